//! Every piece lies inside its band, clear of the selvages, and inside its section's length.

use super::footprint::Footprint;
use super::violation::{Fault, LengthEnd, Violation};
use crate::geometry::Point;

/// Judges one placement; the box of an outline is exact, so comparing it with the band's edges is too.
pub(super) fn judge(footprint: &Footprint<'_>, found: &mut Vec<Violation>) {
    let Some((section, band)) = footprint.ground else { return };
    let (bounds, middle) = (&footprint.bounds, footprint.middle());
    let end = section.start.grid().saturating_add(section.length.grid());
    let mut beyond = |by: i64, fault: Fault, place: Point| {
        if by > 0 {
            found.push(footprint.violation(fault, Some(place)));
        }
    };
    let by = band.low.saturating_sub(bounds.low.y);
    beyond(by, Fault::OutsideBand { low: true, by }, Point::new(middle.x, bounds.low.y));
    let by = bounds.high.y.saturating_sub(band.high);
    beyond(by, Fault::OutsideBand { low: false, by }, Point::new(middle.x, bounds.high.y));
    let by = section.start.grid().saturating_sub(bounds.low.x);
    beyond(by, Fault::OutsideLength { end: LengthEnd::Start, by }, Point::new(bounds.low.x, middle.y));
    let by = bounds.high.x.saturating_sub(end);
    beyond(by, Fault::OutsideLength { end: LengthEnd::End, by }, Point::new(bounds.high.x, middle.y));
}
