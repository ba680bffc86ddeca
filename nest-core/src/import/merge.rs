//! Several pattern files as one pattern: pieces side by side, the sizes of one piece brought together, clashes told.

use std::collections::BTreeMap;

use super::assemble::smallest_first;
use super::fault::ImportError;
use super::limits::{MAX_PIECES, MAX_POINTS, MAX_SIZES};
use super::pattern::{Pattern, PatternPiece};
use super::warning::{Notes, Warning, WarningKind};
use super::{Import, LeftOut, note_missing_sizes, to_job};

impl Import {
    /// Patterns read from several files as one, each with the name of its file.
    ///
    /// A piece that comes again in other sizes is one piece in all of them. A piece that comes again in a size it has is
    /// another of the same name, and is numbered. Name, unit and base size are those of the first file that has them.
    ///
    /// # Errors
    /// When together they are more than the [`limits`](super::limits).
    ///
    /// # Complexity
    /// Nearly linear in the pieces.
    pub fn merged(parts: Vec<(String, Import)>) -> Result<Import, ImportError> {
        if parts.len() < 2 {
            let one = parts.into_iter().next().map(|(_, import)| import);
            return one.ok_or(ImportError::NoPieces("no file was given"));
        }
        Merging::default().all(parts)
    }
}

/// The pattern as it grows.
#[derive(Default)]
struct Merging {
    name: Option<String>,
    base_size: Option<String>,
    sizes: Vec<String>,
    pieces: Vec<PatternPiece>,
    /// By name, without regard to case.
    index: BTreeMap<String, usize>,
    notes: Notes,
}

impl Merging {
    fn all(mut self, parts: Vec<(String, Import)>) -> Result<Import, ImportError> {
        let unit = parts[0].1.pattern.unit;
        let mut lists: Vec<Vec<String>> = Vec::new();
        for (file, part) in parts {
            let Import { pattern, mut warnings, mut left_out } = part;
            lists.extend((!pattern.sizes.is_empty()).then(|| pattern.sizes.clone()));
            self.name = self.name.take().or(pattern.name);
            self.base_size = self.base_size.take().or(pattern.base_size);
            for size in pattern.sizes {
                if !self.sizes.iter().any(|s| s.eq_ignore_ascii_case(&size)) {
                    self.sizes.push(size);
                }
            }
            warnings.retain(|warning| !matches!(warning.kind, WarningKind::LacksSizes(_)));
            for piece in pattern.pieces {
                self.take(piece, &file, &mut warnings, &mut left_out);
            }
            for warning in &mut warnings {
                // What is said of a file as a whole is said of that file.
                if warning.places.is_empty() {
                    warning.places.push(file.clone());
                }
            }
            self.keep(warnings);
            for piece in left_out {
                self.notes.leave_out(format!("{file}: {}", piece.place), piece.reason);
            }
            self.within_limits()?;
        }
        let sizes = if lists.windows(2).all(|pair| pair[0] == pair[1]) {
            self.sizes
        } else {
            smallest_first(self.sizes, &self.pieces, &mut self.notes)
        };
        let base_size = self.base_size.filter(|base| sizes.contains(base));
        let pattern = Pattern { name: self.name, unit, sizes, base_size, pieces: self.pieces };
        note_missing_sizes(&pattern, &mut self.notes);
        let import = Import { pattern, warnings: self.notes.warnings, left_out: self.notes.left_out };
        to_job::proved(&import)?;
        Ok(import)
    }

    fn take(
        &mut self,
        mut piece: PatternPiece,
        file: &str,
        warnings: &mut [Warning],
        left_out: &mut [LeftOut],
    ) {
        for (size, _) in &mut piece.shapes {
            let spelled =
                self.sizes.iter().find(|s| size.as_ref().is_some_and(|z| z.eq_ignore_ascii_case(s)));
            *size = spelled.cloned();
        }
        let Some(&at) = self.index.get(&piece.name.to_lowercase()) else {
            self.index.insert(piece.name.to_lowercase(), self.pieces.len());
            self.pieces.push(piece);
            return;
        };
        let there = &mut self.pieces[at];
        let in_other_sizes = piece.shapes.iter().all(|(size, _)| {
            size.is_some() && there.shapes.iter().all(|(other, _)| other.is_some() && other != size)
        });
        if in_other_sizes {
            let alike = (piece.cut, piece.pairs, piece.grain, &piece.cloth)
                == (there.cut, there.pairs, there.grain, &there.cloth)
                && (piece.seam - there.seam).abs() < 1e-6;
            if !alike {
                self.notes.warn_of(&there.name, WarningKind::FilesDiffer(file.to_owned()));
            }
            there.shapes.append(&mut piece.shapes);
            return;
        }
        let old = piece.name.clone();
        let mut number = 2;
        while self.index.contains_key(&format!("{old} {number}").to_lowercase()) {
            number += 1;
        }
        piece.name = format!("{old} {number}");
        self.notes
            .warn_of(&piece.name, WarningKind::SameNameInFiles { file: file.to_owned(), name: old.clone() });
        // What was said of it while its file was read is said of its new name.
        let renamed = |place: &mut String| {
            if let Some(rest) = place.strip_prefix(old.as_str())
                && (rest.is_empty() || rest.starts_with(", size "))
            {
                *place = format!("{}{rest}", piece.name);
            }
        };
        warnings.iter_mut().flat_map(|warning| &mut warning.places).for_each(renamed);
        left_out.iter_mut().map(|piece| &mut piece.place).for_each(renamed);
        self.index.insert(piece.name.to_lowercase(), self.pieces.len());
        self.pieces.push(piece);
    }

    /// Adds warnings; the same of other places is one.
    fn keep(&mut self, warnings: Vec<Warning>) {
        for warning in warnings {
            for place in &warning.places {
                self.notes.warn_of(place, warning.kind.clone());
            }
        }
    }

    /// Before the next file is taken in; the whole is proved at the end.
    fn within_limits(&self) -> Result<(), ImportError> {
        let too_many = |what, most| Err(ImportError::TooMany { what, most });
        if self.pieces.len() > MAX_PIECES {
            return too_many("pieces", MAX_PIECES);
        }
        if self.sizes.len() > MAX_SIZES {
            return too_many("sizes", MAX_SIZES);
        }
        let shapes = self.pieces.iter().flat_map(|piece| &piece.shapes);
        if shapes.map(|(_, shape)| shape.outline.len()).sum::<usize>() > MAX_POINTS {
            return too_many("points", MAX_POINTS);
        }
        Ok(())
    }
}
