//! A job of a long lay, made up: twelve pieces of a garment in five sizes, four garments of each, 400 placements in all.
//!
//! `cargo run --release -p nest-benches --example long_lay > long-lay.json` writes it; `nest bench long-lay.json` measures it.

use nest_benches::shape;
use nest_core::geometry::Polygon;
use serde_json::{Value, json};

const SIZES: [&str; 5] = ["36", "38", "40", "42", "44"];

/// Corners of the outlines, from piece to piece.
const CORNERS: [u32; 12] = [24, 28, 30, 33, 36, 39, 42, 46, 50, 53, 56, 60];

fn main() {
    println!("{:#}", job());
}

fn job() -> Value {
    let pieces: Vec<Value> = CORNERS.iter().enumerate().map(|(at, &corners)| piece(at, corners)).collect();
    let order: Vec<Value> = SIZES.iter().map(|size| json!({ "size": size, "garments": 4 })).collect();
    json!({
        "version": 1,
        "name": "A long lay, made up",
        "units": "mm",
        "sizes": SIZES,
        "pieces": pieces,
        "order": order,
        "cloths": [{
            "kind": "self", "width": 1500, "selvage": 10, "sale": { "step": 10, "unit": "cm" }
        }]
    })
}

/// Two of three pieces are cut in mirrored pairs, so that a garment has twenty.
fn piece(at: usize, corners: u32) -> Value {
    // Times the shape as it is drawn; the first pieces are large, the last ones small, as in a garment.
    let size = 1.2 - 0.071 * at as f64;
    let drawn = shape(corners, at as u64 + 1);
    let in_size = |step| json!({ "outline": outline(&drawn, size, step), "grainline": [[-30, 0], [30, 0]] });
    let sizes: serde_json::Map<String, Value> =
        (0..).zip(SIZES).map(|(step, name)| (name.to_owned(), in_size(step))).collect();
    let mut piece = json!({
        "id": format!("p{}", at + 1),
        "name": format!("Piece {}", at + 1),
        "cut": if at % 3 == 2 { 1 } else { 2 },
        "sizes": sizes
    });
    if at % 3 != 2 {
        piece["pairs"] = json!(true);
    }
    piece
}

/// A size larger is about 4 cm more round the body: 2 parts of a hundred each way along and 4 across.
fn outline(drawn: &Polygon, size: f64, step: i32) -> Value {
    let graded = |v: i64, by: f64| (size * (1.0 + by * f64::from(step)) * v as f64).round() / 100.0;
    json!(drawn.points().iter().map(|p| [graded(p.x, 0.02), graded(p.y, 0.04)]).collect::<Vec<_>>())
}

#[cfg(test)]
mod tests {
    use super::*;
    use nest_core::job::Job;

    #[test]
    fn the_job_has_four_hundred_placements_of_sixty_kinds() {
        let job = Job::read(&job().to_string()).unwrap_or_else(|problems| panic!("{problems}"));
        let wants = job.wants("self");
        assert_eq!(wants.len(), 60);
        assert_eq!(wants.iter().map(|want| want.as_drawn + want.mirrored).sum::<u32>(), 400);
        let area: f64 = wants.iter().map(|want| want.area_mm2(&job.style)).sum();
        let at_85_percent = area / 0.85 / 1480.0 / 1000.0;
        assert!((10.0..14.0).contains(&at_85_percent), "a lay of about 12 m: {at_85_percent:.1} m");
    }
}
