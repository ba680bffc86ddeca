//! A lay of folded cloth opened out flat: the lay on single thickness that takes the same cloth.

use super::subject::{Subject, half_up};
use super::{Demand, Label};
use crate::geometry::{Bounds, Point, Pose};
use crate::marker::Form;
use crate::search::task::{Anchor, BANDS, Choice, Extent, Lay, Room, Spot, Task};
use crate::spread::{Family, Plies};

/// One copy of a piece as it comes off flat cloth lying right side up.
struct Copy {
    form: Form,
    pose: Pose,
    /// Lowest corner of the box of the posed outline. Of a piece on the high fold of a tube the box goes past the edge.
    low: Point,
    /// How far the box reaches across.
    height: i64,
}

/// What a lay opens out to.
#[derive(Clone, Debug)]
pub(crate) enum Opened {
    /// A lay on single thickness.
    Sound(Lay),
    /// Positions with overlaps, from which a search may find one: a tube on both of whose folds pieces lie interlocked has
    /// no line along which it can be slit without cutting one, and there need not be a flat lay of its length.
    Rough(Lay),
}

impl Demand {
    /// What this lay of the same job opens out to on single thickness, where it does. A tube is slit where that cuts through
    /// nothing, or else where it cuts through the least.
    pub(crate) fn opened_out(&self, lay: &Lay, single: &Demand) -> Option<Opened> {
        let mut copies: Vec<(usize, Copy)> = Vec::new();
        for spot in &lay.spots {
            copies.extend(self.copies_of(lay, spot)?.into_iter().map(|copy| (spot.item as usize, copy)));
        }
        let mut slits = vec![0];
        if self.is_tube() {
            let edges = copies.iter().flat_map(|(_, copy)| [copy.low.y, copy.low.y + copy.height]);
            slits.extend(edges.chain([self.layouts[0].width / 4, 3 * self.layouts[0].width / 4]));
            slits.sort_unstable();
            slits.dedup();
        }
        // The first of equals: the high fold, where it may be slit at all.
        let cut = |slit: i64| -> i64 { copies.iter().map(|(_, copy)| self.moved(copy, slit).1).sum() };
        let slit = slits.into_iter().min_by_key(|&slit| cut(slit))?;
        let placed: Vec<(usize, &Copy, Point)> =
            copies.iter().map(|(item, copy)| (*item, copy, self.moved(copy, slit).0)).collect();
        let opened = self.laid_single(lay, single, &placed)?;
        if is_sound(&single.task, &opened) {
            Some(Opened::Sound(opened))
        } else {
            self.is_tube().then_some(Opened::Rough(opened))
        }
    }

    fn is_tube(&self) -> bool {
        matches!(&self.layouts[..], [layout] if layout.family == Family::Tubular)
    }

    /// Where a copy lies when a tube is slit along `slit`, and how much of it would be cut off; it is moved in by so much.
    fn moved(&self, copy: &Copy, slit: i64) -> (Point, i64) {
        if !self.is_tube() {
            return (copy.low, 0);
        }
        // Outlines let out for spacing may reach half of it past a cut edge.
        let (around, out) = (self.layouts[0].width, half_up(self.spacing));
        let y = (copy.low.y - slit + out).rem_euclid(around) - out;
        let most = around + out - copy.height;
        if y <= most {
            return (Point::new(copy.low.x, y), 0);
        }
        let before = around - (y + out);
        let cut = before.min(copy.height - before);
        // To the side on which more of it lies.
        (Point::new(copy.low.x, if 2 * before < copy.height { -out } else { most }), cut)
    }

    /// The lay with copies of items at these places on single thickness.
    fn laid_single(&self, lay: &Lay, single: &Demand, placed: &[(usize, &Copy, Point)]) -> Option<Lay> {
        let mut spots = Vec::new();
        let mut ways = vec![u8::MAX; self.subjects.len()];
        for (item, way) in ways.iter_mut().enumerate() {
            let subject = &single.subjects[item];
            let own: Vec<_> = placed.iter().filter(|(of, ..)| *of == item).collect();
            let chosen = single.task.items[item].ways.iter().position(|w| w.parts.len() == own.len())?;
            *way = chosen as u8;
            let mut open: Vec<u8> = (0..own.len() as u8).collect();
            for (_, copy, at) in own {
                let outline = subject.wide(copy.form).posed(copy.pose);
                let parts = &single.task.items[item].ways[chosen].parts;
                let fits = |c: &&Choice| single.task.shapes.is(c.outline, &outline);
                let (slot, choice) = open
                    .iter()
                    .enumerate()
                    .find_map(|(slot, &p)| parts[p as usize].choices.iter().find(fits).map(|c| (slot, *c)))?;
                let part = open.remove(slot);
                spots.push(Spot { item: item as u32, part, choice, at: *at });
            }
        }
        let cloth = self.task.room.cloth(&lay.extents);
        let whole = Extent { end: cloth, ..Extent::default() };
        let mut opened = Lay { length: cloth, extents: vec![whole], ways, spots };
        opened.tighten(&single.task);
        Some(opened)
    }

    /// The copies that one placement gives, where they lie when the cloth is opened out flat, right side up.
    fn copies_of(&self, lay: &Lay, spot: &Spot) -> Option<Vec<Copy>> {
        let s = Room::stretch_of(spot.choice);
        let (layout, extent) = (&self.layouts[s], lay.extents[s]);
        let Label { form, pose, plies, yields } = self.labels[spot.choice.label as usize];
        let subject: &Subject = &self.subjects[spot.item as usize];
        let outline = &self.task.shapes.outline(spot.choice.outline);
        let before = self.task.room.cloth(&lay.extents[..s]);
        let low = spot.at - Point::new(extent.start, 0);
        let table = Bounds { low, high: low + Point::new(outline.width, outline.height) };
        let (lower, flaps) = layout.plies(extent.depths, extent.length());
        let on_cloth = |ply: &crate::geometry::Motion| {
            let back = ply.inverse();
            let flat = back.apply_box(&table).shifted(Point::new(before, 0));
            (pose.then(back.pose), flat)
        };
        let (lower_pose, lower) = on_cloth(&lower);
        if plies == Plies::One {
            return Some(vec![Copy { form, pose: lower_pose, low: lower.low, height: lower.height() }]);
        }
        let high_fold = usize::from(spot.choice.band) % BANDS == 2;
        let (upper_pose, upper) = on_cloth(&flaps[usize::from(high_fold)]);
        if form == Form::OnFold {
            // On the high fold of a tube both halves lie around the line where the flat cloth begins and ends.
            if layout.family == Family::Tubular && spot.choice.anchor == Anchor::High {
                let height = 2 * lower.height();
                // Among sections all are slit along the high fold.
                return self
                    .is_tube()
                    .then(|| vec![Copy { form: Form::OpenedOut, pose: lower_pose, low: lower.low, height }]);
            }
            let both = Bounds::of(&[lower.low, lower.high, upper.low, upper.high]);
            return Some(vec![Copy {
                form: Form::OpenedOut,
                pose: lower_pose,
                low: both.low,
                height: both.height(),
            }]);
        }
        let lower = Copy { form, pose: lower_pose, low: lower.low, height: lower.height() };
        let upper = Copy { form, pose: upper_pose, low: upper.low, height: upper.height() };
        if yields == 2 {
            return Some(vec![lower, upper]);
        }
        // Of the two only one is wanted; of a piece that is its own mirror image either.
        let wanted = subject.symmetric || lower.pose.mirrored == subject.mirrored;
        Some(vec![if wanted { lower } else { upper }])
    }
}

/// Is nothing over another as it is cut, or outside its band or stretch?
fn is_sound(task: &Task, lay: &Lay) -> bool {
    let bands = task.room.bands(lay.depths());
    let inside = |spot: &Spot| {
        let outline = task.shapes.outline(spot.choice.outline);
        let (low, high) = bands[spot.choice.band as usize];
        let extent = lay.extents[Room::stretch_of(spot.choice)];
        let (x, y) = (spot.at.x, spot.at.y);
        low <= y && y + outline.height <= high && extent.start <= x && x + outline.width <= extent.end
    };
    let shapes = task.shapes.exact();
    let apart = |a: &Spot, b: &Spot| !shapes.overlap(a.choice.outline, a.at, b.choice.outline, b.at);
    let fixed: Vec<Spot> =
        (0..lay.extents.len()).flat_map(|s| task.room.fixed(&task.shapes, &lay.extents, s)).collect();
    lay.spots
        .iter()
        .enumerate()
        .all(|(k, a)| inside(a) && lay.spots[..k].iter().chain(&fixed).all(|b| apart(a, b)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demand::Demands;
    use crate::job::Job;
    use crate::search::first_fill;

    /// A half of a piece on a fold of a tube, in centimetres.
    struct Half {
        length: u32,
        height: u32,
        at: i64,
        far: bool,
    }

    fn near(length: u32, height: u32, at: i64) -> Half {
        Half { length, height, at, far: false }
    }

    fn far(length: u32, height: u32, at: i64) -> Half {
        Half { length, height, at, far: true }
    }

    /// What such halves on the folds of a tube of 45 cm open out to.
    fn opened(halves: &[Half]) -> Option<Opened> {
        let piece = |(k, Half { length, height, .. }): (usize, &Half)| {
            format!(
                r#"{{ "id": "p{k}", "outline": [[0, 0], [{length}, 0], [{length}, {height}], [0, {height}]],
                    "grainline": [[1, 1], [5, 1]], "fold_edge": [[0, 0], [{length}, 0]] }}"#
            )
        };
        let pieces: Vec<String> = halves.iter().enumerate().map(piece).collect();
        let text = format!(
            r#"{{ "version": 1, "units": "cm", "pieces": [{}], "cloths": [{{ "width": 45, "form": "tube" }}] }}"#,
            pieces.join(",")
        );
        let job = Job::read(&text).expect("a job");
        let demands = Demands::new(&job, &job.cloths[0]);
        let tube = demands.whole(Family::Tubular).as_ref().expect("a tube");
        let items: Vec<u32> = (0..halves.len() as u32).collect();
        let mut lay = first_fill(tube, &items, &[]).expect("a lay");
        for spot in &mut lay.spots {
            let half = &halves[spot.item as usize];
            let anchor = if half.far { Anchor::High } else { Anchor::Low };
            let ways = &tube.task.items[spot.item as usize].ways;
            let mut places = (0..).zip(ways).flat_map(|(w, way)| way.parts.iter().map(move |part| (w, part)));
            let (way, choice) = places
                .find_map(|(w, part)| Some((w, *part.choices.iter().find(|c| c.anchor == anchor)?)))
                .expect("a place on the fold");
            lay.ways[spot.item as usize] = way;
            spot.choice = choice;
            let outline = tube.task.shapes.outline(choice.outline);
            let y = if half.far { tube.layouts[0].width / 2 - outline.height } else { 0 };
            spot.at = Point::new(half.at * 1000, y);
        }
        lay.tighten(&tube.task);
        assert!(is_sound(&tube.task, &lay), "a lay on the tube");
        tube.opened_out(&lay, demands.single.as_ref().expect("single thickness"))
    }

    #[test]
    fn a_tube_with_pieces_on_both_folds_is_slit_between_them() {
        for (halves, length) in [
            // Side by side, with cloth left between them and without.
            (vec![near(50, 20, 0), far(50, 20, 0)], 50_000),
            (vec![near(50, 30, 0), far(50, 15, 0)], 50_000),
            // The second goes all round but for a tenth, and has nothing beside it.
            (vec![near(50, 30, 0), far(40, 40, 50)], 90_000),
            (vec![far(50, 40, 0)], 50_000),
        ] {
            match opened(&halves) {
                Some(Opened::Sound(lay)) => assert_eq!(lay.length, length),
                other => panic!("{other:?}"),
            }
        }
    }

    #[test]
    fn where_no_slit_goes_through_a_search_starts() {
        // The first two fill the tube all round, the other two as well, and they do not meet along one line.
        let halves = [near(60, 30, 0), far(60, 15, 0), near(60, 15, 60), far(60, 30, 60)];
        match opened(&halves) {
            Some(Opened::Rough(lay)) => assert_eq!((lay.length, lay.spots.len()), (120_000, 4)),
            other => panic!("{other:?}"),
        }
    }
}
