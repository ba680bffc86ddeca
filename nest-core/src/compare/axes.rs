//! [`Axes`]: what a comparison varies, and the job of each of its columns.

use crate::cloth::{Cloth, ClothForm, Nap};
use crate::job::Job;
use crate::length::{Length, Unit};
use crate::order::OrderLine;
use crate::spread::Kind;

/// Most columns of a comparison: each holds its own search in memory.
pub const MAX_COLUMNS: usize = 200;

/// What is varied; an axis that is left out stays as the job has it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Axes {
    /// The kind of cloth that is laid.
    pub cloth: String,
    /// Widths of that cloth; none: the job's own.
    pub widths: Vec<Width>,
    /// With nap, without, or both; none: as the job has it.
    pub naps: Vec<Nap>,
    /// Views, each for itself.
    pub views: Pick,
    /// Sizes, each for itself.
    pub sizes: Pick,
    /// Kinds of spread; none: those that the job considers.
    pub spreads: Vec<Kind>,
}

/// A width, and the unit in which it is told.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Width {
    /// From selvage to selvage as bought; of a tube, laid flat.
    pub length: Length,
    /// The unit in which it is told.
    pub unit: Unit,
}

/// Which views, or sizes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Pick {
    /// All that are ordered, laid together.
    #[default]
    AsOrdered,
    /// Every one that there is, each for itself.
    All,
    /// These, each for itself.
    Named(Vec<String>),
}

/// What one column of the comparison is about: a job of its own.
#[derive(Clone, Debug)]
pub struct Case {
    /// The job, with the cloth and the order of this column.
    pub job: Job,
    /// Which of the job's cloths.
    pub cloth: usize,
    /// That cloth as the job describes it, with flaws and remnants that this column may not have.
    pub described: Cloth,
    /// Its width.
    pub width: Width,
    /// The view, when each is laid for itself.
    pub view: Option<String>,
    /// The size, likewise.
    pub size: Option<String>,
    /// Columns with the same number have the same order.
    pub(super) group: usize,
}

/// Why a comparison cannot be made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum AxisFault {
    /// No such cloth.
    #[error("the job has no cloth of the kind \"{kind}\"; it has {there}")]
    NoSuchCloth {
        /// What was asked for.
        kind: String,
        /// What there is.
        there: String,
    },
    /// No such view or size.
    #[error("the job has no {what} \"{name}\"; it has {there}")]
    NoSuch {
        /// View or size.
        what: &'static str,
        /// What was asked for.
        name: String,
        /// What there is.
        there: String,
    },
    /// A piece is not drawn in a size.
    #[error(
        "the piece \"{piece}\" of the view \"{view}\" has no shape in the size \"{size}\": leave out the size or the view"
    )]
    NoShape {
        /// The piece.
        piece: String,
        /// The view that uses it.
        view: String,
        /// The size that it lacks.
        size: String,
    },
    /// The selvages leave nothing of a width.
    #[error("a width of {width} leaves nothing between the selvages: compare wider cloth")]
    TooNarrow {
        /// The width as told.
        width: String,
    },
    /// Nothing is cut from this cloth.
    #[error(
        "nothing that is compared is cut from the cloth \"{kind}\": compare another cloth or other views"
    )]
    NothingCut {
        /// The kind of cloth.
        kind: String,
    },
    /// More than can be compared at once.
    #[error(
        "{0} combinations are more than the {MAX_COLUMNS} that can be compared at once: name fewer widths, views or sizes"
    )]
    TooMany(usize),
}

/// Views and sizes by their indices, laid together.
struct Group {
    view: Option<usize>,
    size: Option<usize>,
    order: Vec<OrderLine>,
}

impl Width {
    /// A width as it is told.
    pub fn told(&self) -> String {
        let value = (self.length.in_unit(self.unit) * 100.0).round() / 100.0;
        format!("{value} {}", self.unit.sign())
    }
}

impl Axes {
    /// The columns: for each view and size, first without and then with nap, from the narrowest cloth to the widest.
    ///
    /// A view and size of which the job orders none is laid for one garment.
    ///
    /// # Errors
    /// What is named and not there, what cannot be laid, and more than [`MAX_COLUMNS`] columns.
    pub fn cases(&self, job: &Job) -> Result<Vec<Case>, AxisFault> {
        let cloth = job.cloths.iter().position(|c| c.kind == self.cloth).ok_or_else(|| {
            let there: Vec<&str> = job.cloths.iter().map(|c| c.kind.as_str()).collect();
            AxisFault::NoSuchCloth { kind: self.cloth.clone(), there: there.join(", ") }
        })?;
        let own = &job.cloths[cloth];
        let mut widths = self.widths.clone();
        if widths.is_empty() {
            widths.push(Width { length: own.width, unit: job.unit });
        }
        widths.sort_by_key(|width| width.length);
        widths.dedup_by_key(|width| width.length);
        let mut naps = self.naps.clone();
        if naps.is_empty() {
            naps.push(own.nap);
        }
        naps.sort_by_key(|nap| *nap == Nap::OneWay);
        naps.dedup();
        let groups = self.groups(job)?;
        let columns = groups.len() * naps.len() * widths.len();
        if columns > MAX_COLUMNS {
            return Err(AxisFault::TooMany(columns));
        }
        let mut cases = Vec::new();
        for (number, group) in groups.iter().enumerate() {
            for &nap in &naps {
                for &width in &widths {
                    cases.push(self.case(job, (cloth, width, nap), (number, group))?);
                }
            }
        }
        Ok(cases)
    }

    fn case(
        &self,
        job: &Job,
        (cloth, width, nap): (usize, Width, Nap),
        (number, group): (usize, &Group),
    ) -> Result<Case, AxisFault> {
        let own = &job.cloths[cloth];
        let mut job = job.clone();
        job.order = group.order.clone();
        if !self.spreads.is_empty() {
            job.spreads = self.spreads.clone();
        }
        job.cloths[cloth] = Cloth {
            width: width.length,
            nap,
            // Flaws lie on one piece of cloth: another width is another piece.
            flaws: if width.length == own.width { own.flaws.clone() } else { Vec::new() },
            // A comparison is about cloth off the roll.
            remnants: Vec::new(),
            ..own.clone()
        };
        if job.cloths[cloth].usable_width() <= Length::ZERO {
            return Err(AxisFault::TooNarrow { width: width.told() });
        }
        if job.wants(&own.kind).is_empty() {
            return Err(AxisFault::NothingCut { kind: own.kind.clone() });
        }
        let view = group.view.map(|v| job.style.views[v].name.clone());
        let size = group.size.map(|s| job.style.sizes[s].clone());
        Ok(Case { job, cloth, described: own.clone(), width, view, size, group: number })
    }

    /// What is laid together, for each view and size asked for.
    fn groups(&self, job: &Job) -> Result<Vec<Group>, AxisFault> {
        let view_names: Vec<&str> = job.style.views.iter().map(|v| v.name.as_str()).collect();
        let size_names: Vec<&str> = job.style.sizes.iter().map(String::as_str).collect();
        let views = self.views.indices("view", &view_names)?;
        let sizes = self.sizes.indices("size", &size_names)?;
        let mut groups = Vec::new();
        for &view in &views {
            for &size in &sizes {
                let order = order(job, view, size);
                for line in &order {
                    drawn(job, line)?;
                }
                groups.push(Group { view, size, order });
            }
        }
        Ok(groups)
    }
}

impl Pick {
    /// One entry, none, when all are laid together; else the index of each.
    fn indices(&self, what: &'static str, there: &[&str]) -> Result<Vec<Option<usize>>, AxisFault> {
        match self {
            Pick::AsOrdered => Ok(vec![None]),
            Pick::All => Ok((0..there.len()).map(Some).collect()),
            Pick::Named(names) => {
                let mut found: Vec<Option<usize>> = Vec::new();
                for name in names {
                    let at = there.iter().position(|t| t == name).ok_or_else(|| AxisFault::NoSuch {
                        what,
                        name: name.clone(),
                        there: there.join(", "),
                    })?;
                    if !found.contains(&Some(at)) {
                        found.push(Some(at));
                    }
                }
                Ok(found)
            }
        }
    }
}

/// The job's order lines of a view and a size, where these are given; one garment of each where it has none.
fn order(job: &Job, view: Option<usize>, size: Option<usize>) -> Vec<OrderLine> {
    let fits = |line: &&OrderLine| {
        view.is_none_or(|view| view == line.view) && size.is_none_or(|size| size == line.size)
    };
    let ordered: Vec<OrderLine> = job.order.iter().filter(fits).cloned().collect();
    if !ordered.is_empty() {
        return ordered;
    }
    let mut lines: Vec<OrderLine> = Vec::new();
    for line in &job.order {
        let line =
            OrderLine { view: view.unwrap_or(line.view), size: size.unwrap_or(line.size), garments: 1 };
        if !lines.contains(&line) {
            lines.push(line);
        }
    }
    lines
}

/// Every piece that a line needs is drawn in its size, whatever cloth it is cut from.
fn drawn(job: &Job, line: &OrderLine) -> Result<(), AxisFault> {
    let (view, size) = (&job.style.views[line.view], &job.style.sizes[line.size]);
    match view.pieces.iter().find(|&&p| !job.style.pieces[p].shapes.contains_key(size)) {
        None => Ok(()),
        Some(&p) => Err(AxisFault::NoShape {
            piece: job.style.pieces[p].name.clone(),
            view: view.name.clone(),
            size: size.clone(),
        }),
    }
}

impl Case {
    /// The cloth of this column.
    pub fn cloth(&self) -> &Cloth {
        &self.job.cloths[self.cloth]
    }

    /// Is the cloth as wide as the job describes it?
    pub(super) fn is_own_width(&self) -> bool {
        self.width.length == self.described.width
    }

    /// Is a marker of `other` one of this case too, as far as cloth and order go: the same order, cloth that is no
    /// narrower, and no nap that the other does not have? Where this cloth has flaws, the check tells.
    pub(super) fn can_hold(&self, other: &Case) -> bool {
        let (own, theirs) = (self.cloth(), other.cloth());
        self.group == other.group
            && own.lay_width() >= theirs.lay_width()
            && (own.nap == Nap::None || theirs.nap == Nap::OneWay)
    }

    /// What the column is called: only what tells it from the others is said.
    pub fn title(&self) -> String {
        let mut words = vec![self.width.told()];
        if self.cloth().form == ClothForm::Tube {
            words[0] += " tube";
        }
        words.push(nap_word(self.cloth().nap).to_owned());
        words.extend(self.garment());
        words.join(", ")
    }

    /// The view and the size, where each is laid for itself.
    pub fn garment(&self) -> Option<String> {
        let words: Vec<String> = [("view", &self.view), ("size", &self.size)]
            .into_iter()
            .filter_map(|(what, name)| Some(format!("{what} {}", name.as_ref()?)))
            .collect();
        (!words.is_empty()).then(|| words.join(", "))
    }
}

/// How a nap is told.
pub(super) fn nap_word(nap: Nap) -> &'static str {
    match nap {
        Nap::None => "no nap",
        Nap::OneWay => "with nap",
    }
}
