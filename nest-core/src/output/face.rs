//! The face that words are set in where none of the machine's may be used: DejaVu Sans, plain and bold, built in.
//!
//! It comes with the `dejavu` crate under the free licence of the fonts, and is the face whose widths
//! `draw::lettering` reckons with, so that words take up exactly the room they were given.

use resvg::usvg::Options;

use super::PrintFault;

/// How drawings are read: with the built-in face whatever family they name, and no other.
pub(super) fn options() -> Options<'static> {
    let mut options = Options { font_family: "DejaVu Sans".to_owned(), ..Options::default() };
    let fonts = options.fontdb_mut();
    fonts.load_font_data(dejavu::sans::regular().to_vec());
    fonts.load_font_data(dejavu::sans::bold().to_vec());
    fonts.set_sans_serif_family("DejaVu Sans");
    options
}

/// A drawing of ours, read for printing.
pub(super) fn tree(svg: &str, options: &Options<'_>) -> Result<resvg::usvg::Tree, PrintFault> {
    resvg::usvg::Tree::from_str(svg, options).map_err(|e| PrintFault::Drawing(e.to_string()))
}

/// The characters of a text that the built-in face cannot show, each once, in the order of the text.
pub(super) fn missing(text: &str) -> Vec<char> {
    let Ok(face) = ttf_parser::Face::parse(dejavu::sans::regular(), 0) else { return Vec::new() };
    let mut missing: Vec<char> = Vec::new();
    for c in text.chars() {
        if !c.is_control() && !missing.contains(&c) && face.glyph_index(c).is_none() {
            missing.push(c);
        }
    }
    missing
}
