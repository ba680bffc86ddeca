//! [`CodePage`]: how bytes beyond ASCII are read in files from before UTF-8.

use encoding_rs::Encoding;

/// What a file says of its bytes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum CodePage {
    /// One of the encodings of the web.
    Web(&'static Encoding),
    /// A page of DOS: the letters of the bytes from 128 to 255.
    Dos(&'static str),
}

// By the tables of the Unicode consortium, VENDORS/MICSFT/PC/CP437.TXT, CP850.TXT and CP852.TXT.
const DOS_437: &str = "ÇüéâäàåçêëèïîìÄÅÉæÆôöòûùÿÖÜ¢£¥₧ƒáíóúñÑªº¿⌐¬½¼¡«»░▒▓│┤╡╢╖╕╣║╗╝╜╛┐\
    └┴┬├─┼╞╟╚╔╩╦╠═╬╧╨╤╥╙╘╒╓╫╪┘┌█▄▌▐▀αßΓπΣσµτΦΘΩδ∞φε∩≡±≥≤⌠⌡÷≈°∙·√ⁿ²■\u{a0}";
const DOS_850: &str = "ÇüéâäàåçêëèïîìÄÅÉæÆôöòûùÿÖÜø£Ø×ƒáíóúñÑªº¿®¬½¼¡«»░▒▓│┤ÁÂÀ©╣║╗╝¢¥┐\
    └┴┬├─┼ãÃ╚╔╩╦╠═╬¤ðÐÊËÈıÍÎÏ┘┌█▄¦Ì▀ÓßÔÒõÕµþÞÚÛÙýÝ¯´\u{ad}±‗¾¶§÷¸°¨·¹³²■\u{a0}";
const DOS_852: &str = "ÇüéâäůćçłëŐőîŹÄĆÉĹĺôöĽľŚśÖÜŤťŁ×čáíóúĄąŽžĘę¬źČş«»░▒▓│┤ÁÂĚŞ╣║╗╝Żż┐\
    └┴┬├─┼Ăă╚╔╩╦╠═╬¤đĐĎËďŇÍÎě┘┌█▄ŢŮ▀ÓßÔŃńňŠšŔÚŕŰýÝţ´\u{ad}˝˛ˇ˘§÷¸°¨˙űŘř■\u{a0}";

impl CodePage {
    /// The page of DOS with this number.
    pub(super) fn dos(number: &str) -> Option<CodePage> {
        match number {
            "437" => Some(CodePage::Dos(DOS_437)),
            "850" => Some(CodePage::Dos(DOS_850)),
            "852" => Some(CodePage::Dos(DOS_852)),
            "866" => CodePage::web("ibm866"),
            _ => None,
        }
    }

    /// The encoding with this label.
    pub(super) fn web(label: &str) -> Option<CodePage> {
        Encoding::for_label(label.as_bytes()).map(CodePage::Web)
    }

    pub(super) fn decode(self, bytes: &[u8]) -> String {
        match self {
            CodePage::Web(encoding) => encoding.decode_without_bom_handling(bytes).0.into_owned(),
            CodePage::Dos(letters) => {
                let letters: Vec<char> = letters.chars().collect();
                let letter = |&b: &u8| if b < 128 { char::from(b) } else { letters[usize::from(b) - 128] };
                bytes.iter().map(letter).collect()
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_of_dos_are_whole_and_tell_one_another_apart() {
        for page in [DOS_437, DOS_850, DOS_852] {
            assert_eq!(page.chars().count(), 128);
            assert!(page.chars().all(|c| !c.is_ascii()));
        }
        // The letter of byte D2 is a box corner in 437, and has other accents in 850 and 852.
        let told: Vec<String> =
            ["437", "850", "852"].map(|n| CodePage::dos(n).unwrap().decode(b"\x8ermel \xd2")).into();
        assert_eq!(told, ["\u{c4}rmel \u{2565}", "\u{c4}rmel \u{ca}", "\u{c4}rmel \u{10e}"]);
        assert_eq!(CodePage::dos("866").unwrap().decode(b"\x8f"), "\u{41f}");
        assert_eq!(CodePage::dos("1"), None);
    }
}
