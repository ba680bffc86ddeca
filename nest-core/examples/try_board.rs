//! scratch
#![allow(clippy::disallowed_methods, reason = "a program to try things with reads files and the clock")]
use nest_core::board::{Board, BoardPiece};
use nest_core::geometry::{Point, Polygon, Turn};
use nest_core::search::{Continue, Settings, lay_board};
use std::time::Instant;
fn main() {
    let args: Vec<String> = std::env::args().collect();
    let text = std::fs::read_to_string(&args[1]).unwrap();
    let secs: f64 = args[2].parse().unwrap();
    let seed: u64 = args[3].parse().unwrap();
    let v: serde_json::Value = serde_json::from_str(&text).unwrap();
    let w = v["strip_width"].as_f64().unwrap();
    let scale = (200_000.0 / w).floor();
    let mut area = 0.0;
    let pieces: Vec<BoardPiece> = v["pieces"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| {
            let pts = p["outline"]
                .as_array()
                .unwrap()
                .iter()
                .map(|q| {
                    Point::new(
                        (q[0].as_f64().unwrap() * scale).round() as i64,
                        (q[1].as_f64().unwrap() * scale).round() as i64,
                    )
                })
                .collect();
            let outline = Polygon::new(pts).unwrap();
            let quantity = p["quantity"].as_u64().unwrap() as u32;
            area += outline.doubled_area() as f64 / 2.0 * quantity as f64;
            BoardPiece {
                name: p["id"].to_string(),
                outline,
                quantity,
                turns: p["turns"]
                    .as_array()
                    .unwrap()
                    .iter()
                    .map(|t| Turn::from_degrees(t.as_f64().unwrap() as u16).unwrap())
                    .collect(),
            }
        })
        .collect();
    let board = Board::new((w * scale) as i64, pieces).unwrap();
    let t = Instant::now();
    let mut last = 0;
    let mut when = 0.0;
    let mut ev = 0;
    let mut rounds = 0;
    let rounds_arg: Option<u64> = std::env::var("ROUNDS").ok().and_then(|s| s.parse().ok());
    let settings = Settings { seed, rounds: rounds_arg, ..Settings::default() };
    let lay = lay_board(&board, &settings, |progress| {
        let (r, lay, e) = (progress.round, progress, progress.evaluations);
        if lay.length != last {
            last = lay.length;
            when = t.elapsed().as_secs_f64();
            if args.len() > 4 {
                println!(
                    "{r} {:.1}s {:.2}",
                    when,
                    100.0 * area / (board.height() as f64 * lay.length as f64)
                );
            }
        }
        ev = e;
        rounds = r;
        if t.elapsed().as_secs_f64() > secs { Continue::Stop } else { Continue::Yes }
    })
    .lay;
    println!(
        "{} seed {seed} density {:.2} last {:.1}s rounds {rounds} {:.2} Mev/s",
        v["name"],
        100.0 * area / (board.height() as f64 * lay.length as f64),
        when,
        ev as f64 / 1e6 / t.elapsed().as_secs_f64()
    );
}
