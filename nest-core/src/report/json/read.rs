//! The text of a marker file back to markers: everything that the job decides is worked out again and compared.

use std::fmt;

use serde::Deserialize;

use super::write::{self, mm, two_decimals};
use super::{MarkerFile, MarkerForm, PlacementForm, SectionForm, SideForm, VERSION};
use crate::cloth::Cloth;
use crate::geometry::{Point, Pose, Turn};
use crate::job::limits::{MAX_COPIES, MAX_FILE_BYTES};
use crate::job::{Job, Portion, Want, unmarked};
use crate::length::{Length, MAX_GRID};
use crate::marker::{Marker, Placement};
use crate::piece::PieceShape;
use crate::purchase::{Efficiency, Purchase};
use crate::report::NotCut;
use crate::spread::{Band, Plies, Section, Spread};

/// Why a text gives no markers.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum MarkerFault {
    /// Not JSON, or not in the form of a marker file.
    #[error("{}{message} (line {line}, column {column})", if .place.is_empty() { String::new() } else { format!("{place}: ") })]
    Form {
        /// The line, from 1.
        line: usize,
        /// The character in the line, from 1.
        column: usize,
        /// The path inside the file; empty at the top.
        place: String,
        /// What is wrong.
        message: String,
    },
    /// The form is right and the content does not go with the job: every problem, in the order of the file.
    #[error("{}", lines(.0))]
    Problems(Vec<MarkerProblem>),
}

/// Something in a marker file that does not go with its job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MarkerProblem {
    /// The path inside the file, such as `markers[0].placements[3].outline_mm`.
    pub place: String,
    /// What is wrong and how to mend it.
    pub message: String,
}

impl fmt::Display for MarkerProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.place.is_empty() {
            f.write_str(&self.message)
        } else {
            write!(f, "{}: {}", self.place, self.message)
        }
    }
}

fn lines(problems: &[MarkerProblem]) -> String {
    /// A page; mending these usually mends the rest.
    const SHOWN: usize = 50;
    let mut text: Vec<String> = problems.iter().take(SHOWN).map(ToString::to_string).collect();
    if problems.len() > SHOWN {
        text.push(format!("and {} more", problems.len() - SHOWN));
    }
    text.join("\n")
}

/// Reads the markers of a file that was made for `job`. They are not checked yet: give each to
/// [`check`](crate::check::check).
///
/// # Errors
/// [`MarkerFault`], with the place in the file. Outlines, names, lengths to buy and efficiencies that are not what the job
/// and the placements make them are problems too. Never panics, whatever the text holds.
pub fn read(text: &str, job: &Job) -> Result<Vec<Marker>, MarkerFault> {
    let file = parse(text)?;
    let mut problems = Problems(Vec::new());
    let not_cut = not_cut_of(&file, job, &mut problems);
    let mut kinds: Vec<&str> = Vec::new();
    let mut markers = Vec::new();
    if file.markers.is_empty() {
        problems.push("markers", "holds no marker: nothing can be read from this file");
    }
    for (i, form) in file.markers.iter().enumerate() {
        let place = format!("markers[{i}]");
        if kinds.contains(&&*form.cloth) {
            problems
                .push(format!("{place}.cloth"), format!("there is another marker for \"{}\"", form.cloth));
        }
        kinds.push(&form.cloth);
        if let Some((cloth, remnant)) = crate::remnant::find(job, &form.cloth) {
            // What a remnant is to give is what its marker says; whether all remnants together give everything is for who
            // reads the file to ask.
            let empty = remnant.job(job, cloth, Portion::default());
            markers.extend(marker(&empty, &empty.cloths[0], form, &place, &mut problems));
            continue;
        }
        let Some(cloth) = job.cloths.iter().find(|c| c.kind == form.cloth) else {
            let message = format!("the job has no cloth \"{}\": is this marker for another job?", form.cloth);
            problems.push(format!("{place}.cloth"), message);
            continue;
        };
        if let Some(cloth) = crate::remnant::find_roll(job, &form.cloth) {
            // Likewise of the roll that gives what goes into no remnant.
            let empty = crate::remnant::roll_job(job, cloth, Portion::default());
            let read = marker(&empty, cloth, form, &place, &mut problems);
            markers.extend(read);
            continue;
        }
        let rest = not_cut.iter().find(|n| n.cloth == cloth.kind).map(|n| n.rest(job));
        markers.extend(marker(rest.as_ref().unwrap_or(job), cloth, form, &place, &mut problems));
    }
    if problems.0.is_empty() { Ok(markers) } else { Err(MarkerFault::Problems(problems.0)) }
}

/// What a marker file says is not cut of `job`, one for each cloth: of a cloth that is not cut from remnants the marker is
/// for [the rest](NotCut::rest).
///
/// # Errors
/// As [`read`].
pub fn not_cut(text: &str, job: &Job) -> Result<Vec<NotCut>, MarkerFault> {
    let mut problems = Problems(Vec::new());
    let not_cut = not_cut_of(&parse(text)?, job, &mut problems);
    if problems.0.is_empty() { Ok(not_cut) } else { Err(MarkerFault::Problems(problems.0)) }
}

fn not_cut_of(file: &MarkerFile, job: &Job, problems: &mut Problems) -> Vec<NotCut> {
    let mut all: Vec<NotCut> = Vec::new();
    for (i, form) in file.not_cut.iter().enumerate() {
        let wanted = job.wants(&form.cloth);
        let own = wanted.iter().find(|want| {
            job.style.pieces[want.piece].id == form.piece && job.style.sizes[want.size] == form.size
        });
        let Some(want) = own.filter(|want| (1..=want.copies()).contains(&form.copies)) else {
            let message = format!(
                "the job does not cut {} x \"{}\" in size \"{}\" from \"{}\": is this marker for another job?",
                form.copies, form.piece, form.size, form.cloth
            );
            problems.push(format!("not_cut[{i}]"), message);
            continue;
        };
        let want = Want { as_drawn: form.copies, mirrored: 0, ..want.clone() };
        match all.iter_mut().find(|n| n.cloth == form.cloth) {
            Some(not_cut) => not_cut.wants.push(want),
            None => all.push(NotCut {
                cloth: form.cloth.clone(),
                wants: vec![want],
                kept_whole: Vec::new(),
                from_roll: None,
            }),
        }
    }
    all
}

/// The form alone.
fn parse(text: &str) -> Result<MarkerFile, MarkerFault> {
    /// Read first, so that a file of another version is not blamed for its fields.
    #[derive(Deserialize)]
    struct VersionOnly {
        version: f64,
    }
    let only =
        |message: String| Err(MarkerFault::Problems(vec![MarkerProblem { place: String::new(), message }]));
    if text.len() > MAX_FILE_BYTES {
        return only(format!(
            "the file has {} bytes; the most that can be read is {MAX_FILE_BYTES}",
            text.len()
        ));
    }
    let text = unmarked(text);
    if let Ok(VersionOnly { version }) = serde_json::from_str(text)
        && version != f64::from(VERSION)
    {
        return only(format!("the file is of version {version}; this program reads version {VERSION}"));
    }
    let mut deserializer = serde_json::Deserializer::from_str(text);
    serde_path_to_error::deserialize(&mut deserializer)
        .map_err(|e| (e.path().to_string(), e.into_inner()))
        .and_then(|file| deserializer.end().map(|()| file).map_err(|e| (String::new(), e)))
        .map_err(|(path, error)| {
            let told = error.to_string();
            let told = told.rsplit_once(" at line ").map_or(&*told, |(what, _)| what);
            let data = error.is_data();
            MarkerFault::Form {
                line: error.line().max(1),
                column: error.column().max(1),
                place: if data && path != "." { path } else { String::new() },
                message: if data {
                    format!("{told}: this is not the form of a marker file; write it anew from the job")
                } else {
                    format!("this is not JSON: {told}; write the file anew from the job")
                },
            }
        })
}

/// Everything found so far.
struct Problems(Vec<MarkerProblem>);

impl Problems {
    fn push(&mut self, place: impl Into<String>, message: impl Into<String>) {
        self.0.push(MarkerProblem { place: place.into(), message: message.into() });
    }

    /// Millimetres to grid units, if the grid holds them exactly.
    fn grid(&mut self, place: &str, mm: f64) -> Option<i64> {
        let grid = (mm * 100.0).round();
        if !grid.is_finite() || grid.abs() > MAX_GRID as f64 {
            self.push(place, "is beyond the 100 m that can be handled");
            return None;
        }
        // A double is exact to far more than this at any length the grid holds.
        if (mm * 100.0 - grid).abs() > 1e-4 {
            self.push(place, format!("is {mm}, which is not a whole number of hundredths of a millimetre"));
            return None;
        }
        Some(grid as i64)
    }

    fn plies(&mut self, place: &str, plies: u32) -> Option<Plies> {
        match plies {
            1 => Some(Plies::One),
            2 => Some(Plies::Two),
            _ => {
                self.push(place, format!("is {plies}; cloth lies in 1 or 2 plies"));
                None
            }
        }
    }
}

fn marker(
    job: &Job,
    cloth: &Cloth,
    form: &MarkerForm,
    place: &str,
    problems: &mut Problems,
) -> Option<Marker> {
    let before = problems.0.len();
    let sections: Vec<Section> = form
        .sections
        .iter()
        .enumerate()
        .filter_map(|(i, s)| section(s, &format!("{place}.sections[{i}]"), problems))
        .collect();
    if form.placements.len() as u64 > MAX_COPIES {
        let message = format!("holds {} entries; no job has more than {MAX_COPIES}", form.placements.len());
        problems.push(format!("{place}.placements"), message);
        return None;
    }
    let placements: Vec<Placement> = form
        .placements
        .iter()
        .enumerate()
        .filter_map(|(i, p)| placement(job, p, i, &format!("{place}.placements[{i}]"), problems))
        .collect();
    let marker = Marker { cloth: form.cloth.clone(), spread: Spread { sections }, placements };
    if problems.0.len() > before {
        return None;
    }
    figures(job, cloth, form, &marker, &format!("{place}.summary"), problems);
    Some(marker)
}

fn section(form: &SectionForm, place: &str, problems: &mut Problems) -> Option<Section> {
    let bands: Vec<Option<Band>> = form
        .bands
        .iter()
        .enumerate()
        .map(|(i, band)| {
            let place = format!("{place}.bands[{i}]");
            let low = problems.grid(&format!("{place}.low_mm"), band.low_mm);
            let high = problems.grid(&format!("{place}.high_mm"), band.high_mm);
            let plies = problems.plies(&format!("{place}.plies"), band.plies);
            Some(Band {
                low: low?,
                high: high?,
                plies: plies?,
                low_edge: band.low_edge.into(),
                high_edge: band.high_edge.into(),
            })
        })
        .collect();
    let mut length =
        |name: &str, mm: f64| problems.grid(&format!("{place}.{name}"), mm).map(Length::from_grid);
    let width = length("width_mm", form.width_mm);
    let start = length("start_mm", form.start_mm);
    let extent = length("length_mm", form.length_mm);
    Some(Section {
        family: form.spread.into(),
        bands: bands.into_iter().collect::<Option<_>>()?,
        width: width?,
        start: start?,
        length: extent?,
        fold_at_start: form.fold_at_start,
    })
}

fn placement(
    job: &Job,
    form: &PlacementForm,
    index: usize,
    place: &str,
    problems: &mut Problems,
) -> Option<Placement> {
    if form.number != index + 1 {
        problems.push(format!("{place}.number"), format!("is {}, and should be {}", form.number, index + 1));
    }
    let piece = job.style.pieces.iter().position(|p| p.id == form.piece);
    if piece.is_none() {
        let message = format!("the job has no piece \"{}\": is this marker for another job?", form.piece);
        problems.push(format!("{place}.piece"), message);
    }
    let size = job.style.sizes.iter().position(|s| *s == form.size);
    if size.is_none() {
        problems.push(format!("{place}.size"), format!("the job has no size \"{}\"", form.size));
    }
    let turn = Turn::from_degrees(form.turn_degrees);
    if turn.is_none() {
        let message = format!("is {}; pieces are turned by 0, 90, 180 or 270 degrees", form.turn_degrees);
        problems.push(format!("{place}.turn_degrees"), message);
    }
    let plies = problems.plies(&format!("{place}.plies"), form.plies);
    let x = problems.grid(&format!("{place}.position_mm[0]"), form.position_mm[0]);
    let y = problems.grid(&format!("{place}.position_mm[1]"), form.position_mm[1]);
    for (name, number) in [("section", form.section), ("band", form.band)] {
        if number == 0 {
            problems.push(format!("{place}.{name}"), "is 0; sections and bands are numbered from 1");
        }
    }
    let placement = Placement {
        piece: piece?,
        size: size?,
        form: form.form.into(),
        pose: Pose { mirrored: form.printed_side == SideForm::Down, turn: turn? },
        position: Point::new(x?, y?),
        section: form.section.checked_sub(1)?,
        band: form.band.checked_sub(1)?,
        plies: plies?,
        yields: form.wanted,
    };
    let piece = &job.style.pieces[placement.piece];
    if form.name != piece.name {
        let message = format!("is \"{}\", and the job calls this piece \"{}\"", form.name, piece.name);
        problems.push(format!("{place}.name"), message);
    }
    match piece.shapes.get(&form.size) {
        Some(shape) => compare_outline(form, &placement, shape, place, problems),
        None => problems.push(format!("{place}.size"), format!("this piece has no outline in {}", form.size)),
    }
    Some(placement)
}

/// The outline in the file must be the one that the job's piece has when laid so; it may begin at any corner.
fn compare_outline(
    form: &PlacementForm,
    placement: &Placement,
    shape: &PieceShape,
    place: &str,
    problems: &mut Problems,
) {
    let place = format!("{place}.outline_mm");
    let due = placement.outline(shape);
    let due: Vec<[f64; 2]> = due.points().iter().map(|p| [mm(p.x), mm(p.y)]).collect();
    let told = &form.outline_mm;
    if told.len() != due.len() {
        let message = format!("has {} corners, and the piece laid there has {}", told.len(), due.len());
        return problems.push(place, message);
    }
    // Both are multiples of 0.01 below 2e5, printed and read without loss: equal means nearer than half of that.
    let same = |a: &[f64; 2], b: &[f64; 2]| (a[0] - b[0]).abs() < 0.005 && (a[1] - b[1]).abs() < 0.005;
    let begin = due.iter().position(|p| same(p, &told[0])).unwrap_or(0);
    let wrong = (0..due.len()).find(|&i| !same(&told[i], &due[(begin + i) % due.len()]));
    if let Some(i) = wrong {
        let ([x, y], [u, v]) = (told[i], due[(begin + i) % due.len()]);
        let message = format!(
            "corner {} is at [{x}, {y}], and the job's piece, laid as the placement says, has it at [{u}, {v}]",
            i + 1
        );
        problems.push(format!("{place}[{i}]"), message);
    }
}

/// The job of cutting from a remnant, or from the roll of a cloth that has some, what its marker gives.
fn given_of(job: &Job, cloth: &Cloth, marker: &Marker) -> Job {
    job.with_portion(&cloth.kind, crate::remnant::given(job, cloth, marker))
}

/// The figures of the file must be those that the job and the marker make.
fn figures(
    job: &Job,
    cloth: &Cloth,
    form: &MarkerForm,
    marker: &Marker,
    place: &str,
    problems: &mut Problems,
) {
    let purchase = Purchase::new(cloth, &marker.spread);
    let is_part = cloth.within.is_some() || !cloth.remnants.is_empty();
    let portion = is_part.then(|| given_of(job, cloth, marker));
    let efficiency = Efficiency::new(portion.as_ref().unwrap_or(job), cloth, purchase.cloth);
    let told = &form.summary;
    for (name, told, due) in [
        ("lay_mm", told.lay_mm, mm(purchase.lay.grid())),
        ("cloth_mm", told.cloth_mm, mm(purchase.cloth.grid())),
        ("to_buy_mm", told.to_buy_mm, mm(purchase.to_buy.grid())),
        ("efficiency_percent", told.efficiency_percent, two_decimals(100.0 * efficiency.of_cloth())),
        (
            "usable_efficiency_percent",
            told.usable_efficiency_percent,
            two_decimals(100.0 * efficiency.of_usable()),
        ),
    ] {
        if (told - due).abs() > 0.005 {
            problems.push(format!("{place}.{name}"), format!("is {told}, and this marker makes it {due}"));
        }
    }
    if told.purchase.as_ref().is_some_and(|told| *told != write::purchase(&purchase)) {
        let message = "is not how this marker comes to its length to buy: take it out, or lay the job anew";
        problems.push(format!("{place}.purchase"), message.to_owned());
    }
    if told.to_buy != purchase.to_buy_text() {
        let message =
            format!("is \"{}\", and this marker makes it \"{}\"", told.to_buy, purchase.to_buy_text());
        problems.push(format!("{place}.to_buy"), message);
    }
}
