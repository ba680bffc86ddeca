//! The words of printed pages as text to search and copy, set unseen over their drawn outlines.
//!
//! Outlines look the same in every reader; text that is neither filled nor stroked (text rendering mode 3, ISO 32000-1, 9.3.6)
//! lies on them letter for letter. The face is written once, with the letters that were used alone, in an order that
//! depends on the words only: the same pages give the same bytes.

use std::collections::BTreeMap;

use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, TextRenderingMode, UnicodeCmap};
use pdf_writer::{Content, Finish, Name, Pdf, Rect, Ref, Str};
use resvg::usvg::{Group, Node, Tree};
use subsetter::GlyphRemapper;
use ttf_parser::{Face, GlyphId};

use super::PrintFault;

/// What the face is called on a page.
const NAME: Name<'static> = Name(b"W");
/// What it is called in the file: six capitals tell that it is a part of a face (ISO 32000-1, 9.6.4).
const BASE: Name<'static> = Name(b"NESTAA+DejaVuSans");
const SYSTEM: SystemInfo<'static> =
    SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };

/// A line of words on a drawing. Lengths are parts of the drawing's width and height; y runs down.
#[derive(Clone, Debug)]
pub(super) struct Line {
    words: String,
    /// Where the foot of the first letter stands.
    foot: (f64, f64),
    /// From there to the foot of the last letter's end.
    run: (f64, f64),
    /// From the foot of a letter to the top of the line it stands in.
    rise: (f64, f64),
}

/// The lines of a drawing, in the order of drawing.
pub(super) fn lines(tree: &Tree) -> Vec<Line> {
    let mut found = Vec::new();
    gather(tree.root(), (f64::from(tree.size().width()), f64::from(tree.size().height())), &mut found);
    found
}

fn gather(group: &Group, size: (f64, f64), found: &mut Vec<Line>) {
    for node in group.children() {
        match node {
            Node::Group(group) => gather(group, size, found),
            Node::Text(text) => {
                let on_page = text.abs_transform();
                let mut glyphs = text.layouted().iter().flat_map(|span| &span.positioned_glyphs);
                let Some(first) = glyphs.next() else { continue };
                let last = glyphs.last().unwrap_or(first);
                let Ok(face) = Face::parse(dejavu::sans::bold(), 0) else { continue };
                let em = f32::from(face.units_per_em());
                // A letter's own units, y up, to the page.
                let (a, b) = (
                    first.outline_transform().post_concat(on_page),
                    last.outline_transform().post_concat(on_page),
                );
                let advance = f32::from(face.glyph_hor_advance(last.id).unwrap_or(0));
                let part = |x: f32, y: f32| (f64::from(x) / size.0, f64::from(y) / size.1);
                found.push(Line {
                    words: text.chunks().iter().map(|chunk| chunk.text()).collect(),
                    foot: part(a.tx, a.ty),
                    run: part(b.tx + b.sx * advance - a.tx, b.ty + b.ky * advance - a.ty),
                    rise: part(a.kx * em, a.sy * em),
                });
            }
            Node::Path(_) | Node::Image(_) => {}
        }
    }
}

/// The letters used, and the face they become.
pub(super) struct Words {
    glyphs: GlyphRemapper,
    letters: BTreeMap<u16, char>,
    face: Ref,
}

impl Words {
    pub(super) fn new(face: Ref) -> Words {
        Words { glyphs: GlyphRemapper::new(), letters: BTreeMap::new(), face }
    }

    /// Sets the lines of a drawing that stands on a page with its upper left corner at `corner`, `size` large, where the
    /// foot of the line lies in the window; lengths in points from the page's lower left corner.
    pub(super) fn set(
        &mut self,
        content: &mut Content,
        lines: &[Line],
        (corner, size): ((f64, f64), (f64, f64)),
        window: impl Fn((f64, f64)) -> bool,
    ) {
        let Ok(face) = Face::parse(dejavu::sans::regular(), 0) else { return };
        let em = f64::from(face.units_per_em());
        for line in lines {
            let foot = (corner.0 + line.foot.0 * size.0, corner.1 - line.foot.1 * size.1);
            let run = (line.run.0 * size.0, -line.run.1 * size.1);
            let rise = (line.rise.0 * size.0, -line.rise.1 * size.1);
            let (long, high) = (run.0.hypot(run.1), rise.0.hypot(rise.1));
            if line.words.is_empty() || long < 1e-3 || high < 1e-3 || !window(foot) {
                continue;
            }
            let (mut codes, mut natural) = (Vec::new(), 0.0);
            for letter in line.words.chars() {
                let glyph = face.glyph_index(letter).unwrap_or(GlyphId(0));
                let code = self.glyphs.remap(glyph.0);
                if glyph.0 != 0 {
                    self.letters.entry(code).or_insert(letter);
                }
                codes.extend(code.to_be_bytes());
                natural += f64::from(face.glyph_hor_advance(glyph).unwrap_or(0)) / em * high;
            }
            let (ux, uy) = (run.0 / long, run.1 / long);
            content.begin_text();
            content.set_text_rendering_mode(TextRenderingMode::Invisible);
            content.set_font(NAME, high as f32);
            // Stretched to the drawn line, which may be bold.
            content.set_horizontal_scaling((100.0 * long / natural.max(1e-6)) as f32);
            content.set_text_matrix([ux, uy, rise.0 / high, rise.1 / high, foot.0, foot.1].map(|v| v as f32));
            content.show(Str(&codes));
            content.end_text();
        }
    }

    /// Names the face among what a page uses.
    pub(super) fn resources(&self, resources: &mut pdf_writer::writers::Resources<'_>) {
        resources.fonts().pair(NAME, self.face);
    }

    /// Writes the face.
    pub(super) fn finish(self, pdf: &mut Pdf, next: &mut Ref) -> Result<(), PrintFault> {
        let fault = |what: &str| PrintFault::Drawing(format!("the face of the words {what}"));
        let face = Face::parse(dejavu::sans::regular(), 0).map_err(|_| fault("cannot be read"))?;
        let [letters, descriptor, unicode, data] = [(); 4].map(|()| next.bump());
        let thousandths = |units: f32| units / f32::from(face.units_per_em()) * 1000.0;

        pdf.type0_font(self.face)
            .base_font(BASE)
            .encoding_predefined(Name(b"Identity-H"))
            .descendant_font(letters)
            .to_unicode(unicode);

        let mut cid = pdf.cid_font(letters);
        cid.subtype(CidFontType::Type2).base_font(BASE).system_info(SYSTEM).font_descriptor(descriptor);
        cid.default_width(0.0).cid_to_gid_map_predefined(Name(b"Identity"));
        let advance =
            |glyph: u16| thousandths(f32::from(face.glyph_hor_advance(GlyphId(glyph)).unwrap_or(0)));
        cid.widths().consecutive(0, self.glyphs.remapped_gids().map(advance));
        cid.finish();

        let bbox = face.global_bounding_box();
        let bbox = [bbox.x_min, bbox.y_min, bbox.x_max, bbox.y_max].map(|v| thousandths(f32::from(v)));
        pdf.font_descriptor(descriptor)
            .name(BASE)
            .flags(FontFlags::SYMBOLIC)
            .bbox(Rect::new(bbox[0], bbox[1], bbox[2], bbox[3]))
            .italic_angle(0.0)
            .ascent(thousandths(f32::from(face.ascender())))
            .descent(thousandths(f32::from(face.descender())))
            .cap_height(thousandths(f32::from(face.capital_height().unwrap_or(face.ascender()))))
            .stem_v(80.0)
            .font_file2(data);

        let mut map = UnicodeCmap::new(Name(b"Letters"), SYSTEM);
        self.letters.iter().for_each(|(&code, &letter)| map.pair(code, letter));
        pdf.cmap(unicode, &map.finish());
        let part = subsetter::subset(dejavu::sans::regular(), 0, &self.glyphs);
        let part = part.map_err(|_| fault("cannot be divided"))?;
        pdf.stream(data, &part).pair(Name(b"Length1"), i32::try_from(part.len()).unwrap_or(i32::MAX));
        Ok(())
    }
}
