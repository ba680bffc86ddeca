//! [`Outline`]: points or SVG path data, told apart by their JSON type so that a fault is named where it is.

use std::fmt;

use schemars::JsonSchema;
use serde::de::value::{MapAccessDeserializer, SeqAccessDeserializer};
use serde::de::{Deserializer, MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Serialize};

/// An outline: points, or a closed path.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum Outline {
    /// The corners in order, `[x, y]` each, joined by straight lines; the last is joined to the first.
    Points(#[schemars(length(max = 5000))] Vec<[f64; 2]>),
    /// SVG path data with a single closed subpath.
    Path(OutlinePath),
}

/// An outline as SVG path data.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OutlinePath {
    /// The path data, as in the `d` attribute of an SVG path, in the file's `units` and with its `y_axis`: lines, arcs and
    /// Bezier curves, absolute or relative, ending in Z.
    pub path: String,
}

impl<'de> Deserialize<'de> for Outline {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Outline, D::Error> {
        deserializer.deserialize_any(OutlineVisitor)
    }
}

struct OutlineVisitor;

impl<'de> Visitor<'de> for OutlineVisitor {
    type Value = Outline;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an array of points or {\"path\": \"...\"}")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, seq: A) -> Result<Outline, A::Error> {
        Vec::deserialize(SeqAccessDeserializer::new(seq)).map(Outline::Points)
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Outline, A::Error> {
        OutlinePath::deserialize(MapAccessDeserializer::new(map)).map(Outline::Path)
    }
}
