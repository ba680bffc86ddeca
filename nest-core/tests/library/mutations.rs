use nest_core::geometry::{Point, Polygon, Pose, Turn};
use nest_core::job::Job;
use proptest::prelude::*;
use proptest::sample::{Index, select};
use serde_json::{Value, json};

/// A job that uses every field.
fn whole_job() -> Value {
    json!({
        "version": 1, "name": "Two-panel skirt", "units": "cm", "y_axis": "down", "sizes": ["38", "40"],
        "pieces": [
            { "id": "front", "name": "Skirt front", "cloth": "self", "cut": 1,
              "outline": [[0, 0], [62, 0], [62, 26], [0, 31]], "grainline": [[5, 8], [55, 8]],
              "fold_edge": [[0, 0], [62, 0]], "notches": [[30, 28.6]], "drill_holes": [[20, 10]],
              "internal_lines": [[[10, 5], [20, 5]]], "seam_allowance": 1.5 },
            { "id": "pocket", "cloth": "lining", "cut": 4, "pairs": true, "grain": "either",
              "outline": { "path": "M0,0 L16,0 C16,12 12,20 4,20 Q0,20 0,14 a3,3 0 0 1 0,-6 Z" },
              "grainline": [[2, 2], [14, 8]], "seam_allowance": 1 },
            { "id": "sleeve", "pairs": true, "sizes": {
                "38": { "outline": [[0, 0], [50, 0], [50, 30]], "grainline": [[0, 10], [50, 10]] },
                "40": { "outline": [[0, 0], [52, 0], [52, 31]], "grainline": [[0, 10], [52, 10]] } } }
        ],
        "views": [{ "name": "A", "pieces": ["front", "pocket"] }, { "name": "B", "pieces": ["sleeve"] }],
        "order": [{ "view": "A", "size": "38", "garments": 2 }, { "view": "B", "size": "40" }],
        "cloths": [
            { "kind": "self", "width": 150, "selvage": 1, "nap": "one-way", "form": "flat",
              "shrinkage": { "along": 3, "across": 2 }, "end_allowance": 2, "straightening": 5,
              "sale": { "step": 10, "unit": "cm" }, "length_in_hand": 240, "spare_copies": false },
            { "kind": "lining", "width": 140, "form": "tube" }
        ],
        "spacing": 0.5, "curve_tolerance": 0.2, "spreads": ["lengthwise-fold", "single"]
    })
}

/// What a value may be replaced by.
fn junk() -> impl Strategy<Value = Value> {
    let values = vec![
        json!(null),
        json!(true),
        json!(0),
        json!(-1),
        json!(1.5),
        json!(1e300),
        json!(-1e-300),
        json!(u64::MAX),
        json!(""),
        json!("38"),
        json!("front"),
        json!("\u{0}\n\u{202e}"),
        json!([]),
        json!({}),
        json!([0, 0]),
        json!([[0, 0], [62, 0]]),
        json!([[0, 0], [62, 0], [62, 26], [0, 31], [0, 0]]),
        json!([[0, 0], [1e5, 0], [1e5, 1e5]]),
        json!([[0, 0], [62, 0], [0, 0.001]]),
        json!({ "path": "M0,0" }),
    ];
    prop_oneof![
        select(values),
        any::<f64>().prop_map(|v| json!(v)),
        path_data().prop_map(|d| json!({ "path": d }))
    ]
}

/// Path data from the alphabet of the grammar.
fn path_data() -> impl Strategy<Value = String> {
    let word = prop_oneof![
        select(vec![
            "M", "m", "L", "l", "H", "v", "C", "c", "S", "s", "Q", "q", "T", "t", "A", "a", "Z", "z"
        ])
        .prop_map(str::to_owned),
        select(vec!["0", "1", "-1", "10", "62", "1e5", "-1e300", "1e-300", ".5.5", "1e", "+", ","])
            .prop_map(str::to_owned),
        (-100.0..100.0f64).prop_map(|v| format!("{v:.1}")),
    ];
    prop::collection::vec(word, 0..40).prop_map(|words| format!("M0,0 {}", words.join(" ")))
}

/// The places of all values inside `value`, as JSON pointers.
fn places(value: &Value, at: String, into: &mut Vec<String>) {
    match value {
        Value::Object(map) => {
            map.iter().for_each(|(key, inner)| places(inner, format!("{at}/{key}"), into));
        }
        Value::Array(list) => {
            list.iter().enumerate().for_each(|(i, inner)| places(inner, format!("{at}/{i}"), into));
        }
        _ => {}
    }
    into.push(at);
}

#[derive(Clone, Debug)]
enum Change {
    Replace(Index, Value),
    Remove(Index),
    Double(Index),
    Swap(Index, Index),
    /// Numbers stay plausible, so that most jobs stay good.
    Nudge(Index, f64),
}

fn change() -> impl Strategy<Value = Change> {
    let at = any::<Index>;
    prop_oneof![
        1 => (at(), junk()).prop_map(|(i, value)| Change::Replace(i, value)),
        1 => at().prop_map(Change::Remove),
        1 => at().prop_map(Change::Double),
        1 => (at(), at()).prop_map(|(i, j)| Change::Swap(i, j)),
        4 => (at(), 0.9..1.1f64).prop_map(|(i, by)| Change::Nudge(i, by)),
    ]
}

fn apply(job: &mut Value, change: &Change) {
    let mut all = Vec::new();
    places(job, String::new(), &mut all);
    let parent = |at: &str| at.rsplit_once('/').map(|(parent, key)| (parent.to_owned(), key.to_owned()));
    match change {
        Change::Replace(i, value) => {
            if let Some(slot) = job.pointer_mut(&all[i.index(all.len())]) {
                *slot = value.clone();
            }
        }
        Change::Remove(i) | Change::Double(i) => {
            let Some((parent, key)) = parent(&all[i.index(all.len())]) else {
                return;
            };
            match (job.pointer_mut(&parent), change) {
                (Some(Value::Object(map)), Change::Remove(_)) => {
                    map.remove(&key);
                }
                (Some(Value::Object(map)), _) => {
                    map.insert(format!("{key}2"), map[&key].clone());
                }
                (Some(Value::Array(list)), Change::Remove(_)) => {
                    list.remove(key.parse::<usize>().unwrap());
                }
                (Some(Value::Array(list)), _) => {
                    let i: usize = key.parse().unwrap();
                    list.insert(i, list[i].clone());
                }
                _ => {}
            }
        }
        Change::Nudge(i, by) => {
            let numbers: Vec<_> =
                all.iter().filter(|at| job.pointer(at).is_some_and(Value::is_f64)).collect();
            if !numbers.is_empty()
                && let Some(slot) = job.pointer_mut(numbers[i.index(numbers.len())])
            {
                *slot = json!(slot.as_f64().unwrap() * by);
            }
        }
        Change::Swap(i, j) => {
            let (i, j) = (&all[i.index(all.len())], &all[j.index(all.len())]);
            let (Some(a), Some(b)) = (job.pointer(i).cloned(), job.pointer(j).cloned()) else {
                return;
            };
            if let Some(slot) = job.pointer_mut(i) {
                *slot = b;
            }
            if let Some(slot) = job.pointer_mut(j) {
                *slot = a;
            }
        }
    }
}

/// What the types promise of a job that was read.
fn assert_valid(job: &Job) {
    for line in &job.order {
        let size = &job.style.sizes[line.size];
        for &p in &job.style.views[line.view].pieces {
            let piece = &job.style.pieces[p];
            assert!(piece.shapes.contains_key(size), "{} in {size}", piece.id);
            assert!(job.cloths.iter().any(|cloth| cloth.kind == piece.cloth), "{}", piece.cloth);
            assert!(!piece.pairs || piece.cut.is_multiple_of(2), "{} of a pair", piece.cut);
        }
    }
    for shape in job.style.pieces.iter().flat_map(|piece| piece.shapes.values()) {
        let again = |p: &Polygon| Polygon::new(p.points().to_vec()).as_ref() == Ok(p);
        assert!(again(&shape.outline) && again(&shape.full), "not simple");
        assert_eq!(shape.outline.bounds().low, Point::new(0, 0));
        assert_eq!(shape.grainline.0.y, shape.grainline.1.y);
        assert!(shape.grainline.0.x <= shape.grainline.1.x, "the top is at +x");
        let Some((a, b)) = shape.fold else {
            assert_eq!(shape.full, shape.outline);
            continue;
        };
        assert!(a.y == b.y && a.x < b.x, "a level fold");
        assert!(shape.outline.edges().any(|edge| edge == (a, b) || edge == (b, a)), "the fold is an edge");
        assert_eq!(shape.full.doubled_area(), 2 * shape.outline.doubled_area());
        let mirror =
            shape.full.posed(Pose { mirrored: true, turn: Turn::None }).shifted(Point::new(0, 2 * a.y));
        assert_eq!(mirror.canonical(), shape.full.canonical(), "its own mirror image about the fold");
    }
}

#[test]
fn the_job_is_good_before_it_is_changed() {
    let job = Job::read(&whole_job().to_string()).unwrap_or_else(|error| panic!("{error}"));
    assert_valid(&job);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(3000))]

    #[test]
    fn no_change_of_the_values_leads_to_a_panic_or_an_invalid_job(changes in prop::collection::vec(change(), 1..4)) {
        let mut value = whole_job();
        changes.iter().for_each(|change| apply(&mut value, change));
        match Job::read(&value.to_string()) {
            Ok(job) => assert_valid(&job),
            Err(error) => prop_assert!(!error.to_string().is_empty()),
        }
    }

    #[test]
    fn no_change_of_the_text_leads_to_a_panic_or_an_invalid_job(
        edits in prop::collection::vec((any::<Index>(), 0..9usize, "[\\[\\]{}:,\"eE0-9.\\-\u{e9}a-z ]{0,4}"), 1..4)
    ) {
        let mut text = whole_job().to_string();
        for (at, cut, put) in edits {
            let from = at.index(text.len() + 1);
            let to = (from + cut).min(text.len());
            if text.is_char_boundary(from) && text.is_char_boundary(to) {
                text.replace_range(from..to, &put);
            }
        }
        match Job::read(&text) {
            Ok(job) => assert_valid(&job),
            Err(error) => prop_assert!(!error.to_string().is_empty()),
        }
    }

    #[test]
    fn no_path_data_leads_to_a_panic_or_an_invalid_job(data in path_data(), seam in 0..3) {
        let mut value = whole_job();
        value["pieces"][1]["outline"]["path"] = json!(data);
        value["pieces"][1]["seam_allowance"] = json!(seam);
        if let Ok(job) = Job::read(&value.to_string()) {
            assert_valid(&job);
        }
    }

    #[test]
    fn drawn_pieces_are_read_whole_or_folded_at_any_angle(
        radii in prop::collection::vec(20.0..60.0f64, 4..12),
        bulge in -0.2..0.2f64,
        degrees in 0.0..360.0f64,
        seam in 0..3,
        folded: bool,
    ) {
        // A star about the origin, or its upper half on a fold along the diameter, turned and drawn to 0.01 cm.
        let (sin, cos) = degrees.to_radians().sin_cos();
        let turned = |x: f64, y: f64| [cos * x - sin * y, sin * x + cos * y].map(|v| (v * 100.0).round() / 100.0);
        let round = if folded { std::f64::consts::PI } else { std::f64::consts::TAU };
        let steps = if folded { radii.len() - 1 } else { radii.len() };
        let corner = |i: usize, stretch: f64| {
            let angle = round * i as f64 / steps as f64;
            let r = radii[i % radii.len()] * stretch;
            (r * angle.cos(), r * angle.sin())
        };
        let start = turned(corner(0, 1.0).0, corner(0, 1.0).1);
        let mut data = format!("M{},{}", start[0], start[1]);
        for i in 1..=steps {
            let ((ax, ay), (bx, by)) = (corner(i - 1, 1.0 + bulge), corner(i, 1.0 + bulge));
            let control = turned((ax + bx) / 2.0, (ay + by) / 2.0);
            let end = turned(corner(i, 1.0).0, corner(i, 1.0).1);
            data += &match i % 3 {
                0 => format!(" L{},{}", end[0], end[1]),
                1 => format!(" Q{},{} {},{}", control[0], control[1], end[0], end[1]),
                _ => format!(" A200,200 0 0 1 {},{}", end[0], end[1]),
            };
        }
        let [a, b] = [corner(0, 1.0), corner(steps, 1.0)].map(|(x, y)| turned(x, y));
        let mut piece = json!({ "id": "star", "outline": { "path": data + " Z" }, "grainline": [b, a], "seam_allowance": seam });
        if folded {
            piece["fold_edge"] = json!([a, b]);
        } else {
            piece["grainline"] = json!([turned(0.0, 0.0), turned(20.0, 0.0)]);
        }
        let mut value = whole_job();
        value["pieces"] = json!([piece]);
        value["views"] = json!([{ "name": "A", "pieces": ["star"] }]);
        value["order"] = json!([{ "size": "38" }]);
        match Job::read(&value.to_string()) {
            Ok(job) => assert_valid(&job),
            // An arc that bulges far may cross its neighbour, or the fold line.
            Err(error) => {
                let said = error.to_string();
                let crossing = said.contains("crosses or touches itself") || said.contains("meets the fold line");
                prop_assert!(crossing, "{said}");
            }
        }
    }

    #[test]
    fn no_bytes_lead_to_a_panic(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        prop_assert!(Job::read_bytes(&bytes).is_err());
    }
}
