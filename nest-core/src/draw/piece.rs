//! A placement drawn: its outline, its build, its marks and its label.

use std::collections::BTreeMap;

use svg::node::element::{Circle, Group, Path, Use};

use super::ink::{self, INK, mm};
use super::label::{Label, Words, label};
use super::lettering::{self, clean};
use super::marks::{Marks, on_page};
use super::room::Stretch;
use super::sheet::Sheet;
use super::way::{Way, face_down};
use crate::cloth::Nap;
use crate::geometry::Pose;
use crate::job::{Job, ONE_SIZE};
use crate::marker::{Form, Placement};
use crate::piece::PieceShape;
use crate::spread::Plies;

/// Between the two lines of a doubled outline, in widths of the pen.
const GAP: f64 = 2.2;

/// Draws the placements of one marker, finding room for the words once for pieces that lie alike.
pub(super) struct Pieces<'a> {
    sheet: &'a Sheet,
    job: &'a Job,
    nap: Nap,
    alike: BTreeMap<(usize, usize, Form, Pose, Plies), Dressed>,
}

/// What comes on top of an outline.
struct Dressed {
    marks: Marks,
    label: Option<Label>,
}

impl<'a> Pieces<'a> {
    pub(super) fn new(sheet: &'a Sheet, job: &'a Job, cloth: &str) -> Pieces<'a> {
        let nap = job.cloths.iter().find(|c| c.kind == cloth).map_or(Nap::None, |c| c.nap);
        Pieces { sheet, job, nap, alike: BTreeMap::new() }
    }

    /// The `n`th placement, counted from 0.
    pub(super) fn drawn(&mut self, n: usize, placement: &Placement) -> Group {
        let piece = &self.job.style.pieces[placement.piece];
        let size = &self.job.style.sizes[placement.size];
        let shape = &piece.shapes[size];
        let outline = placement.outline(shape);
        let way = Way::of(placement);
        let number = placement.piece + 1;
        let (sheet, job, nap) = (self.sheet, self.job, self.nap);

        let key = (placement.piece, placement.size, placement.form, placement.pose, placement.plies);
        let dressed = self.alike.entry(key).or_insert_with(|| {
            let marks = Marks::new(shape, placement.form, placement.pose, nap, sheet.text());
            let ring: Vec<(f64, f64)> =
                outline.shifted(-placement.position).points().iter().map(|&p| on_page(p)).collect();
            let words = Words {
                number: number.to_string(),
                name: clean(&piece.name),
                size: clean(shown_size(job, placement.size)),
                way: told(placement, shape),
            };
            let mut in_the_way = marks.in_the_way();
            if placement.plies == Plies::Two {
                in_the_way.extend(second_line(&ring, (GAP + 1.0) * sheet.pen()));
            }
            let label = label(&words, &ring, &in_the_way, sheet.text());
            Dressed { marks, label }
        });

        let turned = match placement.pose.turn.degrees() {
            0 => String::new(),
            degrees => format!(", turned by {degrees} degrees"),
        };
        let of_size = match shown_size(job, placement.size) {
            "" => String::new(),
            size => format!(", {size}"),
        };
        let title = format!("{number} {}{of_size}: {}{turned}", piece.name, told(placement, shape));
        let path = format!("outline-{}", n + 1);
        let again = || Use::new().set("href", format!("#{path}"));
        let pen = sheet.pen();

        let mut group = Group::new()
            .set("class", "piece")
            .set("id", format!("piece-{}", n + 1))
            .set("data-piece", clean(&piece.id))
            .set("data-size", clean(size))
            .add(lettering::told("title", &title))
            .add(again().set("fill", way.tint()).set("stroke", "none"));
        if face_down(placement, shape) {
            group = group.add(again().set("fill", format!("url(#{})", ink::FACE_DOWN)).set("stroke", "none"));
        }
        if placement.plies == Plies::Two {
            // The second line of a doubled outline is what shows of a wide stroke between the outline and a less wide
            // stroke of the tint; the clip keeps both inside the piece.
            let gap = GAP * pen;
            let inner = Group::new()
                .set("clip-path", format!("url(#inside-{})", n + 1))
                .set("fill", "none")
                .add(again().set("stroke", INK).set("stroke-width", mm(2.0 * (gap + pen))))
                .add(again().set("stroke", way.tint()).set("stroke-width", mm(2.0 * gap)));
            group = group.add(inner);
        }
        // The outline itself carries no paint of its own, so that the copies above can have theirs.
        let outline = Path::new()
            .set("id", path.as_str())
            .set("d", ink::ring(sheet, &outline))
            .set("vector-effect", "non-scaling-stroke");
        group = group.add(
            Group::new().set("fill", "none").set("stroke", INK).set("stroke-width", mm(pen)).add(outline),
        );

        let origin = sheet.at_mm(placement.position);
        group = group.add(marks(sheet, &dressed.marks, origin));
        match &dressed.label {
            Some(label) => group.add(label.drawn(origin, way.tint())),
            None => group,
        }
    }
}

/// The second line of a doubled outline, `depth` inside the first: for each side one as long beside it.
fn second_line(ring: &[(f64, f64)], depth: f64) -> Vec<Stretch> {
    let sides = || ring.iter().zip(ring.iter().cycle().skip(1));
    let doubled_area: f64 = sides().map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum();
    let inwards = depth * doubled_area.signum();
    let beside = |(a, b): (&(f64, f64), &(f64, f64))| {
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let length = dx.hypot(dy);
        let by = (-dy / length * inwards, dx / length * inwards);
        (length > 0.0).then_some(((a.0 + by.0, a.1 + by.1), (b.0 + by.0, b.1 + by.1)))
    };
    sides().filter_map(beside).collect()
}

/// A size as the drawing shows it: not at all where the job has a single one and gives it no name.
pub(crate) fn shown_size(job: &Job, size: usize) -> &str {
    let nameless = job.style.sizes.len() == 1 && job.style.sizes[size] == ONE_SIZE;
    if nameless { "" } else { &job.style.sizes[size] }
}

/// How it is cut, and on which face it lies where that is not the usual one.
pub(crate) fn told(placement: &Placement, shape: &PieceShape) -> String {
    let way = Way::of(placement).brief();
    if face_down(placement, shape) { format!("{way}, face down") } else { way.to_string() }
}

fn marks(sheet: &Sheet, marks: &Marks, origin: (f64, f64)) -> Group {
    let at = |p: (f64, f64)| (origin.0 + p.0, origin.1 + p.1);
    let text = sheet.text();
    let thin = |points: &[(f64, f64)]| {
        let points: Vec<(f64, f64)> = points.iter().map(|&p| at(p)).collect();
        ink::line(&points).set("vector-effect", "non-scaling-stroke")
    };
    let mut group = Group::new().set("class", "marks").set("stroke-width", mm(sheet.pen() * 0.8));

    for stitching in &marks.stitching {
        group = group.add(thin(stitching).set("stroke-dasharray", ink::dashes(sheet, &[3.0, 3.0])));
    }
    for line in &marks.lines {
        group = group.add(thin(line));
    }
    if let Some((from, to)) = marks.crease {
        group =
            group.add(thin(&[from, to]).set("stroke-dasharray", ink::dashes(sheet, &[9.0, 3.0, 1.5, 3.0])));
    }
    for &(from, to) in &marks.notches {
        group = group.add(thin(&[from, to]).set("stroke-width", mm(sheet.pen() * 1.6)));
    }
    for &hole in &marks.holes {
        let (x, y) = at(hole);
        let r = (text * 0.14).clamp(1.5, 4.0);
        group = group
            .add(
                Circle::new()
                    .set("cx", mm(x))
                    .set("cy", mm(y))
                    .set("r", mm(r))
                    .set("fill", "none")
                    .set("stroke", INK)
                    .set("vector-effect", "non-scaling-stroke"),
            )
            .add(Circle::new().set("cx", mm(x)).set("cy", mm(y)).set("r", mm(r * 0.3)).set("fill", INK));
    }

    let (bottom, top) = marks.grainline;
    // On a long lay text is as tall as small pieces are wide; the heads need not be.
    let head = (text * 0.55).min(40.0);
    group = group.add(thin(&[bottom, top]));
    group = group.add(ink::arrowhead(at(bottom), at(top), head, 0.25));
    if marks.both_heads {
        group = group.add(ink::arrowhead(at(top), at(bottom), head, 0.25));
    }
    if let Some(bracket) = marks.bracket {
        group = group.add(thin(&bracket));
        group = group.add(ink::arrowhead(at(bracket[1]), at(bracket[0]), text * 0.35, 0.7));
        group = group.add(ink::arrowhead(at(bracket[2]), at(bracket[3]), text * 0.35, 0.7));
    }
    group
}

#[cfg(test)]
mod piece_tests {
    use super::second_line;

    #[test]
    fn the_second_line_lies_inside_whichever_way_the_outline_runs() {
        let mut ring = vec![(0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0)];
        for _ in 0..2 {
            let line = second_line(&ring, 2.0);
            assert_eq!(line.len(), 4);
            for (a, b) in line {
                let middle = ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0);
                let to_side = middle.0.min(40.0 - middle.0).min(middle.1).min(30.0 - middle.1);
                assert!((to_side - 2.0).abs() < 1e-9, "{middle:?}");
            }
            ring.reverse();
        }
    }
}
