//! A lay of folded cloth opened out flat: the lay on single thickness that takes the same cloth.

use super::subject::{Subject, spaced};
use super::{Demand, Label};
use crate::geometry::{Bounds, Point, Pose};
use crate::marker::Form;
use crate::search::task::{Anchor, BANDS, Choice, Extent, Lay, Room, Spot, Task};
use crate::spread::{Family, Plies};

/// One copy of a piece as it comes off flat cloth lying right side up.
struct Copy {
    form: Form,
    pose: Pose,
    /// Lowest corner of the box of the posed outline.
    low: Point,
}

impl Demand {
    /// The lay of the same job on single thickness that this one opens out to, where it does.
    pub(crate) fn opened_out(&self, lay: &Lay, single: &Demand) -> Option<Lay> {
        let mut copies: Vec<Vec<Copy>> = (0..self.subjects.len()).map(|_| Vec::new()).collect();
        for spot in &lay.spots {
            copies[spot.item as usize].extend(self.copies_of(lay, spot)?);
        }
        let mut spots = Vec::new();
        let mut ways = vec![u8::MAX; self.subjects.len()];
        for (item, copies) in copies.into_iter().enumerate() {
            let subject = &single.subjects[item];
            let way = single.task.items[item].ways.iter().position(|w| w.parts.len() == copies.len())?;
            ways[item] = way as u8;
            let mut open: Vec<u8> = (0..copies.len() as u8).collect();
            for copy in copies {
                let outline = spaced(&subject.shape, copy.form, single.spacing).posed(copy.pose);
                let parts = &single.task.items[item].ways[way].parts;
                let fits = |c: &&Choice| single.task.shapes.is(c.outline, &outline);
                let (slot, choice) = open
                    .iter()
                    .enumerate()
                    .find_map(|(slot, &p)| parts[p as usize].choices.iter().find(fits).map(|c| (slot, *c)))?;
                let part = open.remove(slot);
                spots.push(Spot { item: item as u32, part, choice, at: copy.low });
            }
        }
        let cloth = self.task.room.cloth(&lay.extents);
        let whole = Extent { end: cloth, ..Extent::default() };
        let mut opened = Lay { length: cloth, extents: vec![whole], ways, spots };
        opened.tighten(&single.task);
        is_sound(&single.task, &opened).then_some(opened)
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
            return Some(vec![Copy { form, pose: lower_pose, low: lower.low }]);
        }
        let high_fold = usize::from(spot.choice.band) % BANDS == 2;
        let (upper_pose, upper) = on_cloth(&flaps[usize::from(high_fold)]);
        if form == Form::OnFold {
            // A tube is slit along its high fold, so nothing may lie across that.
            if layout.family == Family::Tubular && spot.choice.anchor == Anchor::High {
                return None;
            }
            let both = Bounds::of(&[lower.low, lower.high, upper.low, upper.high]);
            return Some(vec![Copy { form: Form::OpenedOut, pose: lower_pose, low: both.low }]);
        }
        let lower = Copy { form, pose: lower_pose, low: lower.low };
        let upper = Copy { form, pose: upper_pose, low: upper.low };
        if yields == 2 {
            return Some(vec![lower, upper]);
        }
        // Of the two only one is wanted; of a piece that is its own mirror image either.
        let wanted = subject.symmetric || lower.pose.mirrored == subject.mirrored;
        Some(vec![if wanted { lower } else { upper }])
    }
}

/// Is nothing over another, or outside its band or stretch?
fn is_sound(task: &Task, lay: &Lay) -> bool {
    let bands = task.room.bands(lay.depths());
    let inside = |spot: &Spot| {
        let outline = task.shapes.outline(spot.choice.outline);
        let (low, high) = bands[spot.choice.band as usize];
        let extent = lay.extents[Room::stretch_of(spot.choice)];
        let (x, y) = (spot.at.x, spot.at.y);
        low <= y && y + outline.height <= high && extent.start <= x && x + outline.width <= extent.end
    };
    let apart = |a: &Spot, b: &Spot| !task.shapes.overlap(a.choice.outline, a.at, b.choice.outline, b.at);
    let fixed: Vec<Spot> =
        (0..lay.extents.len()).flat_map(|s| task.room.fixed(&task.shapes, &lay.extents, s)).collect();
    lay.spots
        .iter()
        .enumerate()
        .all(|(k, a)| inside(a) && lay.spots[..k].iter().chain(&fixed).all(|b| apart(a, b)))
}
