//! What an element says of itself, in `data-` attributes and in its names.

use roxmltree::Node;

use super::xml::SVG;
use crate::import::warning::{Notes, WarningKind};
use crate::import::words::{Label, Role, label, measure, role, tidy_name};

/// The namespace in which one vector editor keeps the names that a person gives to layers and objects.
const EDITOR: &str = "http://www.inkscape.org/namespaces/inkscape";

/// The name, role and traits of an element. Attributes come before names.
pub(super) fn said(node: &Node<'_, '_>, notes: &mut Notes) -> Label {
    let title = node.children().find(|child| child.has_tag_name((SVG, "title"))).and_then(|t| t.text());
    let names = [node.attribute((EDITOR, "label")), title, node.attribute("id")];
    let mut said =
        names.into_iter().flatten().map(label).find(|label| *label != Label::default()).unwrap_or_default();
    let place = || place(node);
    for (word, wanted) in std::mem::take(&mut said.unknown) {
        notes.warn_of(&place(), WarningKind::UnknownWord { word: tidy_name(&word), wanted });
    }
    for attribute in node.attributes().filter(|attribute| attribute.namespace().is_none()) {
        let Some(word) = attribute.name().strip_prefix("data-") else {
            continue;
        };
        let value = attribute.value();
        let fault = match word {
            "piece" => {
                said.is_piece = true;
                said.role = None;
                said.name = Some(tidy_name(value)).filter(|name| !name.is_empty()).or(said.name.take());
                None
            }
            "role" => {
                said.role = role(value);
                said.role
                    .is_none()
                    .then_some("one of outline, grainline, fold, notch, drill, internal, scale or ignore")
            }
            "cut" | "pairs" | "cloth" | "size" | "grain" | "seam" => said.traits.take(word, value).err(),
            // Other programs have attributes of their own.
            _ => None,
        };
        if let Some(wanted) = fault {
            let word = tidy_name(&format!("data-{word}=\"{value}\""));
            notes.warn_of(&place(), WarningKind::UnknownWord { word, wanted });
        }
    }
    said
}

/// The true length that an element with the role `scale` is said to have, in millimetres.
pub(super) fn true_length(node: &Node<'_, '_>) -> Option<f64> {
    measure(node.attribute("data-length")?).filter(|mm| *mm > 0.0)
}

/// The element by its name and its line in the file.
pub(super) fn place(node: &Node<'_, '_>) -> String {
    let line = node.document().text_pos_at(node.range().start).row;
    match node.attribute("id") {
        Some(id) => format!("<{} id=\"{}\"> in line {line}", node.tag_name().name(), tidy_name(id)),
        None => format!("<{}> in line {line}", node.tag_name().name()),
    }
}

/// Does a role stand for lines rather than for a piece?
pub(super) fn is_line(role: Option<Role>) -> bool {
    matches!(role, Some(Role::Grainline | Role::Fold | Role::Notch | Role::DrillHole | Role::Internal))
}
