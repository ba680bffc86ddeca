//! Bytes to text: UTF-8, UTF-16 with a byte order mark, or an old code page, and which it was.

use encoding_rs::{Encoding, UTF_8, WINDOWS_1252};

use super::code_page::CodePage;
use super::fault::ImportError;

/// A text, and the code page it was read in when that was a guess.
pub(super) struct Text {
    pub(super) text: String,
    pub(super) guessed: Option<&'static str>,
}

/// Reads a text. `named` is the code page that the file names, if it names one.
///
/// Where the bytes are UTF-8 they are read so, whatever is named: text in an old code page is hardly ever valid UTF-8 unless
/// it is plain ASCII, and then the two are the same.
///
/// # Errors
/// When the bytes hold a NUL, as text never does.
pub(super) fn decode(bytes: &[u8], named: Option<CodePage>) -> Result<Text, ImportError> {
    let (mut text, guessed) = match (Encoding::for_bom(bytes), named) {
        (Some((encoding, mark)), _) => (CodePage::Web(encoding).decode(&bytes[mark..]), None),
        (None, _) if std::str::from_utf8(bytes).is_ok() => (CodePage::Web(UTF_8).decode(bytes), None),
        (None, Some(page)) if page != CodePage::Web(UTF_8) => (page.decode(bytes), None),
        _ => (CodePage::Web(WINDOWS_1252).decode(bytes), Some(WINDOWS_1252.name())),
    };
    if text.contains('\0') {
        return Err(ImportError::UnknownKind);
    }
    if text.trim().is_empty() {
        return Err(ImportError::Empty);
    }
    // Lines of some old programs end with a carriage return alone.
    if text.contains('\r') && !text.contains('\n') {
        text = text.replace('\r', "\n");
    }
    Ok(Text { text, guessed })
}

/// The code page that an XML declaration names.
pub(super) fn named_in_xml(bytes: &[u8]) -> Option<CodePage> {
    let head = String::from_utf8_lossy(&bytes[..bytes.len().min(200)]);
    let declaration = head.trim_start().strip_prefix("<?xml")?.split("?>").next()?;
    let value = declaration.split("encoding").nth(1)?.trim_start().strip_prefix('=')?.trim_start();
    CodePage::web(value.get(1..)?.split(['"', '\'']).next()?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_word_in_five_encodings() {
        let word = "Ärmel";
        let utf16: Vec<u8> =
            [0xff, 0xfe].into_iter().chain(word.encode_utf16().flat_map(u16::to_le_bytes)).collect();
        for (bytes, named, guessed) in [
            (word.as_bytes().to_vec(), None, None),
            ([b"\xef\xbb\xbf", word.as_bytes()].concat(), None, None),
            (utf16, None, None),
            (b"\xc4rmel".to_vec(), None, Some("windows-1252")),
            (b"\x8ermel".to_vec(), CodePage::dos("866"), None),
        ] {
            let text = decode(&bytes, named).unwrap();
            assert_eq!(text.guessed, guessed);
            if named.is_none() {
                assert_eq!(text.text, word);
            }
        }
        assert_eq!(decode(b"0\rSECTION\r", None).unwrap().text, "0\nSECTION\n");
        assert_eq!(decode(b"0\r\nEOF", None).unwrap().text, "0\r\nEOF");
        assert_eq!(decode(b"a\0b", None).err(), Some(ImportError::UnknownKind));
        assert_eq!(decode(b" \r\n", None).err(), Some(ImportError::Empty));
    }

    #[test]
    fn an_xml_declaration_names_its_code_page() {
        let named = |text: &str| match named_in_xml(text.as_bytes()) {
            Some(CodePage::Web(encoding)) => Some(encoding.name()),
            _ => None,
        };
        assert_eq!(named("<?xml version=\"1.0\" encoding='ISO-8859-1'?><svg/>"), Some("windows-1252"));
        assert_eq!(named("<?xml version=\"1.0\" encoding = \"UTF-8\"?>"), Some("UTF-8"));
        assert_eq!(named("<?xml version=\"1.0\"?><a encoding='koi8-r'/>"), None);
        assert_eq!(named("<?xml encoding="), None);
    }
}
