//! The sample jobs in `fixtures/` read, and hold the garments that were drafted.
//!
//! The areas here were computed apart from this project, from the Bezier curves themselves by Green's theorem; those of
//! pieces with a seam allowance to add by another library's mitred offset. The program's own come from its chords.

use std::collections::BTreeMap;
use std::f64::consts::PI;
use std::fs;
use std::path::{Path, PathBuf};

use nest_core::cloth::{ClothForm, Nap};
use nest_core::job::Job;
use nest_core::piece::{PieceShape, Symmetry};

/// One cloth kind of a sample, with what its order asks of it.
struct Facts {
    job: &'static str,
    cloth: &'static str,
    /// As bought, in mm.
    width: f64,
    /// Kinds of piece cut from it, in all views.
    kinds: usize,
    /// Copies that the order asks for, and how many of these mirrored.
    copies: u32,
    mirrored: u32,
    /// Of those copies together, opened out, in cm2.
    area: f64,
}

#[rustfmt::skip]
const FACTS: [Facts; 13] = [
    Facts { job: "apron-dress-run", cloth: "self", width: 1500.0, kinds: 7, copies: 140, mirrored: 50, area: 171_657.0 },
    Facts { job: "bias-slip", cloth: "self", width: 1400.0, kinds: 6, copies: 10, mirrored: 4, area: 11_334.1 },
    Facts { job: "corduroy-jacket", cloth: "self", width: 1400.0, kinds: 10, copies: 17, mirrored: 7, area: 16_138.1 },
    Facts { job: "corduroy-jacket", cloth: "lining", width: 1400.0, kinds: 6, copies: 11, mirrored: 5, area: 11_344.3 },
    Facts { job: "corduroy-jacket", cloth: "interfacing", width: 900.0, kinds: 4, copies: 6, mirrored: 2, area: 2028.7 },
    Facts { job: "half-circle-skirt", cloth: "self", width: 1524.0, kinds: 2, copies: 2, mirrored: 0, area: 10_949.9 },
    Facts { job: "offcut-bolero", cloth: "self", width: 1400.0, kinds: 8, copies: 17, mirrored: 4, area: 7066.0 },
    Facts { job: "tapered-trousers", cloth: "self", width: 1500.0, kinds: 9, copies: 17, mirrored: 4, area: 13_989.2 },
    Facts { job: "tapered-trousers", cloth: "lining", width: 1400.0, kinds: 3, copies: 6, mirrored: 2, area: 3435.6 },
    Facts { job: "tiered-skirt", cloth: "self", width: 1143.0, kinds: 5, copies: 12, mirrored: 2, area: 21_119.6 },
    Facts { job: "tubular-tee", cloth: "self", width: 700.0, kinds: 6, copies: 5, mirrored: 1, area: 8690.5 },
    Facts { job: "work-shirt", cloth: "self", width: 1120.0, kinds: 12, copies: 23, mirrored: 5, area: 17_931.6 },
    Facts { job: "work-shirt", cloth: "interfacing", width: 900.0, kinds: 4, copies: 6, mirrored: 1, area: 1480.9 },
];

/// Whole pieces, in cm2: job, piece, size.
const AREAS: [(&str, &str, &str, f64); 14] = [
    ("work-shirt", "back", "one", 4277.6),
    ("work-shirt", "sleeve", "one", 2089.4),
    ("work-shirt", "short-sleeve", "one", 1169.8),
    ("work-shirt", "stand", "one", 248.6),
    ("tapered-trousers", "back", "one", 3045.5),
    ("tapered-trousers", "fly-facing", "one", 125.8),
    ("corduroy-jacket", "top-sleeve", "one", 1413.8),
    ("tubular-tee", "long-sleeve", "one", 1641.9),
    ("tiered-skirt", "pocket", "one", 530.3),
    ("bias-slip", "cup", "one", 477.5),
    ("bias-slip", "skirt-front", "one", 4539.4),
    ("apron-dress-run", "front", "S", 4707.1),
    ("apron-dress-run", "front", "XL", 6073.6),
    ("apron-dress-run", "pocket", "L", 450.7),
];

/// Chords within 0.1 mm of curves take off less than this part of any piece here.
const CHORDS: f64 = 0.002;

fn fixtures() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures")
}

fn sample(name: &str) -> Job {
    let path = fixtures().join(name).join("job.json");
    let text = fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    Job::read(&text).unwrap_or_else(|e| panic!("{name}: {e}"))
}

/// Every folder of `fixtures` that holds a job, by name.
fn sample_names() -> Vec<String> {
    let entries = fs::read_dir(fixtures()).expect("fixtures is there");
    let mut names: Vec<String> = entries
        .map(|entry| entry.expect("fixtures can be listed"))
        .filter(|entry| entry.path().join("job.json").is_file())
        .map(|entry| entry.file_name().into_string().expect("plain names"))
        .collect();
    names.sort();
    names
}

fn shape<'a>(job: &'a Job, piece: &str, size: &str) -> &'a PieceShape {
    let found = job.style.pieces.iter().find(|p| p.id == piece);
    &found.unwrap_or_else(|| panic!("{} has {piece}", job.name)).shapes[size]
}

#[track_caller]
fn assert_close(what: &str, got: f64, want: f64, part: f64) {
    assert!((got - want).abs() <= part * want, "{what}: {got:.1}, drafted as {want:.1}");
}

#[test]
fn every_sample_job_reads() {
    let names = sample_names();
    for name in &names {
        sample(name);
        let path = fixtures().join(name).join("README");
        let line = fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        assert_eq!(line.lines().count(), 1, "{name} says in one line what it shows");
    }
    let mut told: Vec<&str> = FACTS.iter().map(|f| f.job).collect();
    told.dedup();
    assert_eq!(names, told, "each sample has its facts in this file");
}

#[test]
fn each_cloth_is_asked_for_the_pieces_that_were_drafted() {
    for fact in &FACTS {
        let job = sample(fact.job);
        let what = format!("{} {}", fact.job, fact.cloth);
        let told = FACTS.iter().filter(|f| f.job == fact.job).count();
        assert_eq!(job.cloths.len(), told, "{what}");
        let cloth = job.cloths.iter().find(|c| c.kind == fact.cloth).expect(&what);
        assert_eq!(cloth.width.mm(), fact.width, "{what}: width");
        let kinds = job.style.pieces.iter().filter(|p| p.cloth == fact.cloth).count();
        assert_eq!(kinds, fact.kinds, "{what}: kinds of piece");

        let (mut copies, mut mirrored, mut area) = (0, 0, 0.0);
        for want in job.wants(fact.cloth) {
            let size = &job.style.sizes[want.size];
            let full = &job.style.pieces[want.piece].shapes[size].full;
            copies += want.as_drawn + want.mirrored;
            mirrored += want.mirrored;
            area += full.area_mm2() / 100.0 * f64::from(want.as_drawn + want.mirrored);
        }
        assert_eq!((copies, mirrored), (fact.copies, fact.mirrored), "{what}: copies, mirrored ones");
        assert_close(&what, area, fact.area, CHORDS);
    }
}

#[test]
fn pieces_have_the_areas_of_their_drafts() {
    for (name, piece, size, area) in AREAS {
        let job = sample(name);
        let full = &shape(&job, piece, size).full;
        assert_close(&format!("{name} {piece} {size}"), full.area_mm2() / 100.0, area, CHORDS);
    }
}

#[test]
fn halves_open_out_to_twice_their_area_and_are_alike_on_both_sides() {
    let mut halves = BTreeMap::new();
    for name in sample_names() {
        let job = sample(&name);
        for piece in &job.style.pieces {
            for shape in piece.shapes.values() {
                let Some((low, high)) = shape.fold else {
                    assert_eq!(shape.outline, shape.full, "{name} {}", piece.id);
                    continue;
                };
                *halves.entry(name.clone()).or_insert(0) += 1;
                assert_eq!(low.y, high.y, "{name} {}: the fold edge lies along the grain", piece.id);
                assert_eq!(
                    shape.full.doubled_area(),
                    2 * shape.outline.doubled_area(),
                    "{name} {}",
                    piece.id
                );
                assert_eq!(shape.symmetry(), Symmetry::AboutGrain, "{name} {}", piece.id);
            }
        }
    }
    let expected = [
        ("apron-dress-run", 8),
        ("corduroy-jacket", 6),
        ("offcut-bolero", 1),
        ("tubular-tee", 3),
        ("work-shirt", 6),
    ];
    assert_eq!(halves, expected.map(|(name, n)| (name.to_owned(), n)).into());
}

#[test]
fn what_comes_in_left_and_right_is_not_symmetrical() {
    // The cuffs of the shirt are, and are cut as pairs all the same, since one end laps over the other. On the bias even a
    // strip differs from its mirror image.
    let alike = ["cuff", "cuff-interfacing"];
    for name in sample_names() {
        let job = sample(&name);
        for piece in job.style.pieces.iter().filter(|p| p.pairs && !alike.contains(&&*p.id)) {
            for shape in piece.shapes.values() {
                assert_eq!(shape.symmetry(), Symmetry::None, "{name} {}", piece.id);
            }
        }
    }
}

#[test]
fn odd_pieces_are_those_that_need_a_single_ply() {
    let mut odd = Vec::new();
    for name in sample_names() {
        let job = sample(&name);
        for piece in &job.style.pieces {
            let shapes = piece.shapes.values();
            let lopsided = shapes.clone().any(|s| s.symmetry() == Symmetry::None);
            if !piece.pairs && lopsided {
                odd.push(format!("{name} {}", piece.id));
            }
        }
    }
    let expected = ["bias-slip bodice-back", "bias-slip skirt-front", "tapered-trousers fly-facing"];
    assert_eq!(odd, expected, "on the bias a front that is alike on both sides is odd too");
}

#[test]
fn the_half_circle_has_the_size_that_arithmetic_gives() {
    // Radii for a waist of 28 in and a length of 24 in (textbook rule: r = waist / pi for a half circle).
    let r = 28.0 / PI;
    let outer = r + 24.0;
    let job = sample("half-circle-skirt");
    let skirt = shape(&job, "skirt", "one");
    let area = PI * (outer * outer - r * r) / 2.0 * 6.4516;
    assert_close("half ring", skirt.full.area_mm2() / 100.0, area, 0.0005);
    let bounds = skirt.full.bounds();
    assert_close("depth", bounds.width() as f64 / 2540.0, outer, 0.0001);
    assert_close("diameter", bounds.height() as f64 / 2540.0, 2.0 * outer, 0.0001);
}

#[test]
fn a_bias_strip_is_laid_at_forty_five_degrees() {
    let job = sample("bias-slip");
    let bounds = shape(&job, "strap", "one").outline.bounds();
    let side = (2.8 + 44.0) / 2f64.sqrt() * 1000.0;
    assert_close("along", bounds.width() as f64, side, 0.0001);
    assert_close("across", bounds.height() as f64, side, 0.0001);
}

#[test]
fn sizes_grow_and_common_pieces_stay() {
    let job = sample("apron-dress-run");
    assert_eq!(job.style.sizes, ["S", "M", "L", "XL"]);
    let garments: Vec<u32> = job.order.iter().map(|line| line.garments).collect();
    assert_eq!(garments, [2, 4, 3, 1]);
    for piece in &job.style.pieces {
        let areas: Vec<i64> =
            job.style.sizes.iter().map(|size| piece.shapes[size].full.doubled_area()).collect();
        let common = ["pocket", "tie"].contains(&&*piece.id);
        let as_graded = |w: &[i64]| if common { w[0] == w[1] } else { w[0] < w[1] };
        assert!(areas.windows(2).all(as_graded), "{}: {areas:?}", piece.id);
    }
}

#[test]
fn cloths_are_what_the_samples_are_for() {
    let jacket = sample("corduroy-jacket");
    let naps: Vec<Nap> = jacket.cloths.iter().map(|c| c.nap).collect();
    assert_eq!(naps, [Nap::OneWay, Nap::None, Nap::None]);
    assert_eq!(sample("tubular-tee").cloths[0].form, ClothForm::Tube);
    let lining = sample("tapered-trousers").cloths.remove(1);
    assert_eq!(lining.length_in_hand.map(|l| l.mm()), Some(600.0));
}

#[test]
fn no_outline_has_more_corners_than_the_geometry_is_meant_for() {
    for name in sample_names() {
        for piece in &sample(&name).style.pieces {
            for shape in piece.shapes.values() {
                let corners = shape.full.points().len();
                assert!(corners <= 400, "{name} {}: {corners} corners", piece.id);
            }
        }
    }
}
