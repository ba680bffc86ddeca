//! The only door to `geo`, whose polygons are the public currency for shapes: conversion in both directions.

use geo::{Coord, LineString, Polygon as GeoPolygon};

use super::{Point, Polygon, PolygonFault};
use crate::length::{GRID_PER_MM, MAX_GRID};

impl Polygon {
    /// The polygon with coordinates in millimetres.
    ///
    /// The ring is closed by repeating its first point, as `geo` has it. Going there and back gives the same polygon.
    pub fn to_geo(&self) -> GeoPolygon<f64> {
        let mm = |v: i64| v as f64 / GRID_PER_MM as f64;
        let ring = self.points().iter().map(|p| Coord { x: mm(p.x), y: mm(p.y) }).collect();
        GeoPolygon::new(LineString(ring), Vec::new())
    }

    /// From a polygon with coordinates in millimetres, each rounded to the nearest 0.01 mm.
    ///
    /// # Errors
    /// [`PolygonFault::Holes`] when it has holes, and as [`Polygon::new`]; a coordinate that is not a number is
    /// [`PolygonFault::TooLarge`].
    pub fn from_geo(polygon: &GeoPolygon<f64>) -> Result<Polygon, PolygonFault> {
        if !polygon.interiors().is_empty() {
            return Err(PolygonFault::Holes);
        }
        let grid = |mm: f64| {
            let grid = (mm * GRID_PER_MM as f64).round();
            if grid.abs() <= MAX_GRID as f64 { Ok(grid as i64) } else { Err(PolygonFault::TooLarge) }
        };
        let ring: Result<Vec<Point>, PolygonFault> =
            polygon.exterior().0.iter().map(|c| Ok(Point::new(grid(c.x)?, grid(c.y)?))).collect();
        Polygon::new(ring?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{Area, BoundingRect, polygon};

    #[test]
    fn there_and_back_is_the_same_and_geo_finds_the_same_area() {
        let points = [(0, 0), (12_345, 0), (9_999, 6_701), (5_000, 2_000)];
        let ours = Polygon::new(points.iter().map(|&(x, y)| Point::new(x, y)).collect()).unwrap();
        let theirs = ours.to_geo();
        assert_eq!(Polygon::from_geo(&theirs), Ok(ours.clone()));
        assert!((theirs.unsigned_area() - ours.area_mm2()).abs() < 1e-9);
        assert_eq!(theirs.bounding_rect().unwrap().width(), 123.45);
    }

    #[test]
    fn what_is_no_outline_is_refused() {
        let holed = polygon!(exterior: [(x: 0., y: 0.), (x: 9., y: 0.), (x: 0., y: 9.)],
            interiors: [[(x: 1., y: 1.), (x: 2., y: 1.), (x: 1., y: 2.)]]);
        assert_eq!(Polygon::from_geo(&holed), Err(PolygonFault::Holes));
        let endless = polygon![(x: 0., y: 0.), (x: f64::NAN, y: 0.), (x: 0., y: 9.)];
        assert_eq!(Polygon::from_geo(&endless), Err(PolygonFault::TooLarge));
    }
}
