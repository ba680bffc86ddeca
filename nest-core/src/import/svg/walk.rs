//! From the elements of a document to lines in millimetres: groups, transforms, uses and nested viewports are resolved.

use std::collections::BTreeMap;

use kurbo::{Affine, Vec2};
use roxmltree::{Document, Node, NodeId};

use super::css::Styles;
use super::element::{place, said, true_length};
use super::scale::{Scale, nested, user_units};
use super::shape::path_data;
use super::xml::SVG;
use crate::geometry::{FlattenLimits, PathFault, flatten_subpaths};
use crate::import::fault::ImportError;
use crate::import::gather::Mark;
use crate::import::limits::{MAX_DEPTH, MAX_ELEMENTS, MAX_LINE_POINTS, MAX_LINES, MAX_POINTS};
use crate::import::line::{Frame, Line};
use crate::import::warning::{Notes, WarningKind};
use crate::import::words::{Label, Role, Traits};

const XLINK: &str = "http://www.w3.org/1999/xlink";

/// The largest coordinate that is drawn, in millimetres: ten times the longest lay. Pieces are laid wherever they are drawn.
const REACH: f64 = 1e6;

/// Everything drawn.
pub(super) struct Drawing {
    pub(super) marks: Vec<Mark>,
    /// The groups that a person named.
    pub(super) names: BTreeMap<usize, String>,
    /// Lines of known length, with that length.
    pub(super) scales: Vec<(Line, Option<f64>)>,
    /// The page in millimetres.
    pub(super) page: Frame,
}

/// Draws the document.
///
/// # Errors
/// When it is larger or deeper than the limits.
///
/// # Complexity
/// O(elements · rules of style + points).
pub(super) fn walk(
    document: &Document<'_>,
    scale: &Scale,
    tolerance: f64,
    notes: &mut Notes,
) -> Result<Drawing, ImportError> {
    let mut ids = BTreeMap::new();
    for node in document.descendants().filter(Node::is_element) {
        if let Some(id) = node.attribute("id") {
            // Of two elements with one id the first counts, as in a browser.
            ids.entry(id).or_insert(node.id());
        }
    }
    let mut walker = Walker {
        document,
        styles: Styles::of(document),
        ids,
        tolerance,
        drawing: Drawing { marks: Vec::new(), names: BTreeMap::new(), scales: Vec::new(), page: scale.page },
        points: 0,
        elements: 0,
        groups: 0,
        hidden: 0,
        outside: 0,
        texts: 0,
        notes,
    };
    let context = Context {
        to_mm: scale.to_mm,
        viewport: scale.viewport,
        traits: Traits::default(),
        role: None,
        piece: None,
        group: 0,
        above: Vec::new(),
    };
    walker.children(document.root_element(), &context)?;
    let (hidden, outside, texts) = (walker.hidden, walker.outside, walker.texts);
    let drawing = walker.drawing;
    for (count, kind) in [
        (hidden, WarningKind::Hidden(hidden)),
        (outside, WarningKind::Outside(outside)),
        (texts, WarningKind::Texts(texts)),
    ] {
        if count > 0 {
            notes.warn(kind);
        }
    }
    Ok(drawing)
}

/// What holds for an element because of where it stands.
#[derive(Clone)]
struct Context {
    to_mm: Affine,
    viewport: Vec2,
    traits: Traits,
    role: Option<Role>,
    piece: Option<usize>,
    group: usize,
    /// The groups and uses it stands in, outermost first.
    above: Vec<NodeId>,
}

struct Walker<'a, 'input, 'n> {
    document: &'a Document<'input>,
    styles: Styles<'a>,
    ids: BTreeMap<&'a str, NodeId>,
    tolerance: f64,
    drawing: Drawing,
    points: usize,
    elements: usize,
    groups: usize,
    hidden: usize,
    outside: usize,
    texts: usize,
    notes: &'n mut Notes,
}

impl<'a, 'input> Walker<'a, 'input, '_> {
    fn children(&mut self, node: Node<'a, 'input>, context: &Context) -> Result<(), ImportError> {
        node.children().filter(Node::is_element).try_for_each(|child| self.element(child, context))
    }

    fn element(&mut self, node: Node<'a, 'input>, context: &Context) -> Result<(), ImportError> {
        let namespace = node.tag_name().namespace();
        // Files written by hand may lack the namespace.
        if namespace.is_some_and(|n| n != SVG) {
            return Ok(());
        }
        let tag = node.tag_name().name();
        match tag {
            "g" | "a" | "svg" | "switch" | "use" | "path" | "rect" | "circle" | "ellipse" | "line"
            | "polyline" | "polygon" => {}
            "text" => {
                self.texts += 1;
                return Ok(());
            }
            "image" => {
                self.outside += 1;
                return Ok(());
            }
            // Definitions, descriptions and styles are not drawn.
            _ => return Ok(()),
        }
        self.elements += 1;
        if self.elements > MAX_ELEMENTS {
            return Err(ImportError::TooMany {
                what: "elements, counted as often as they are used",
                most: MAX_ELEMENTS,
            });
        }
        if context.above.len() >= MAX_DEPTH {
            let line = self.document.text_pos_at(node.range().start).row;
            return Err(ImportError::TooDeep { line, most: MAX_DEPTH });
        }
        if self.styles.is_hidden(node) {
            self.hidden += 1;
            return Ok(());
        }
        let said = said(&node, self.notes);
        match tag {
            "g" | "a" => {
                let inner = self.inner(&node, said, context);
                self.children(node, &inner)
            }
            "svg" => {
                let mut inner = self.inner(&node, said, context);
                self.enter_viewport(&node, &node, &mut inner);
                self.children(node, &inner)
            }
            "switch" => {
                let inner = self.inner(&node, said, context);
                // The first child that needs no extension, as drawing programs write them.
                let first = node
                    .children()
                    .find(|c| c.is_element() && c.attribute("requiredExtensions").is_none_or(str::is_empty));
                first.map_or(Ok(()), |child| self.element(child, &inner))
            }
            "use" => self.used(node, said, context),
            _ => self.shape(node, said, context),
        }
    }

    /// The context inside a group.
    fn inner(&mut self, node: &Node<'_, '_>, said: Label, context: &Context) -> Context {
        let mut inner = context.clone();
        inner.above.push(node.id());
        inner.to_mm = context.to_mm * transform(node);
        inner.traits = said.traits.within(&context.traits);
        inner.role = said.role.or(context.role);
        // Lines in a group of notches belong to the piece of the group around.
        if !super::element::is_line(inner.role) && inner.role != Some(Role::Scale) {
            self.groups += 1;
            inner.group = self.groups;
            if let Some(name) = said.name {
                self.drawing.names.insert(inner.group, name);
            }
            if said.is_piece {
                inner.piece = Some(inner.group);
            }
        }
        inner
    }

    /// Goes into the viewport of an `svg` or a `symbol`, whose place and size `at` gives.
    fn enter_viewport(&mut self, node: &Node<'_, '_>, at: &Node<'_, '_>, inner: &mut Context) {
        let whole = inner.viewport;
        let mut read = |name: &str, whole: f64| match user_units(at, name, whole) {
            Ok(value) => value,
            Err(fault) => {
                self.notes.warn_of(&place(at), WarningKind::BadShape(fault));
                None
            }
        };
        let (x, y) = (read("x", whole.x).unwrap_or(0.0), read("y", whole.y).unwrap_or(0.0));
        let positive = |v: Option<f64>| v.filter(|v| *v > 0.0);
        let (w, h) = (positive(read("width", whole.x)), positive(read("height", whole.y)));
        inner.to_mm = inner.to_mm * Affine::translate((x, y)) * nested(node, w, h);
        inner.viewport = Vec2::new(w.unwrap_or(whole.x), h.unwrap_or(whole.y));
    }

    fn used(&mut self, node: Node<'a, 'input>, said: Label, context: &Context) -> Result<(), ImportError> {
        let link = node.attribute("href").or_else(|| node.attribute((XLINK, "href"))).unwrap_or("");
        let Some(id) = link.trim().strip_prefix('#') else {
            self.outside += 1;
            return Ok(());
        };
        let Some(target) = self.ids.get(id).and_then(|&id| self.document.get_node(id)) else {
            let fault =
                format!("there is no element with the id \"{}\"", id.chars().take(40).collect::<String>());
            self.notes.warn_of(&place(&node), WarningKind::BadShape(fault));
            return Ok(());
        };
        if context.above.contains(&target.id()) || context.above.contains(&node.id()) {
            let fault = "it is a use of the very group it stands in".to_owned();
            self.notes.warn_of(&place(&node), WarningKind::BadShape(fault));
            return Ok(());
        }
        let mut inner = self.inner(&node, said, context);
        // What is used has its own name too, and a copy must not be taken for one piece with it.
        if target.tag_name().name() == "symbol" {
            self.enter_viewport(&target, &node, &mut inner);
            inner.above.push(target.id());
            return self.children(target, &inner);
        }
        let at = |name: &str, whole: f64| user_units(&node, name, whole).ok().flatten().unwrap_or(0.0);
        let (x, y) = (at("x", context.viewport.x), at("y", context.viewport.y));
        inner.to_mm *= Affine::translate((x, y));
        self.element(target, &inner)
    }

    fn shape(&mut self, node: Node<'a, 'input>, said: Label, context: &Context) -> Result<(), ImportError> {
        let to_mm = context.to_mm * transform(&node);
        let lines = match self.lines(&node, to_mm, context) {
            Ok(lines) => lines,
            Err(fault) => {
                self.notes.warn_of(&place(&node), WarningKind::BadShape(fault));
                return Ok(());
            }
        };
        let role = said.role.or(context.role);
        let traits = said.traits.within(&context.traits);
        for line in lines {
            self.points += line.points.len();
            if self.points > MAX_POINTS {
                return Err(ImportError::TooMany { what: "points", most: MAX_POINTS });
            }
            if role == Some(Role::Scale) {
                self.drawing.scales.push((line, true_length(&node)));
                continue;
            }
            if self.drawing.marks.len() >= MAX_LINES {
                return Err(ImportError::TooMany { what: "lines", most: MAX_LINES });
            }
            self.drawing.marks.push(Mark {
                line,
                role,
                name: said.name.clone(),
                traits: traits.clone(),
                piece: context.piece,
                group: context.group,
                round: matches!(node.tag_name().name(), "circle" | "ellipse"),
            });
        }
        Ok(())
    }

    /// The lines of a shape in millimetres.
    fn lines(&self, node: &Node<'_, '_>, to_mm: Affine, context: &Context) -> Result<Vec<Line>, String> {
        let Some(data) = path_data(node, context.viewport)? else {
            return Ok(Vec::new());
        };
        // The most that the mapping stretches anything.
        let stretch = stretch(to_mm);
        if !stretch.is_finite() || stretch <= 0.0 {
            return Err("its transform leaves nothing of it".to_owned());
        }
        let limits = FlattenLimits {
            tolerance: self.tolerance / stretch,
            reach: REACH / stretch,
            points: MAX_LINE_POINTS,
        };
        let subpaths = flatten_subpaths(&data, 1.0, limits).map_err(|fault| match fault {
            PathFault::Syntax { at, expected } => {
                format!("its path data fails at character {at}, {expected}")
            }
            PathFault::TooManyPoints(_) => format!("it has more than {MAX_LINE_POINTS} points"),
            PathFault::TooLarge | PathFault::Empty | PathFault::Several | PathFault::Open(_) => {
                "it reaches farther than a kilometre".to_owned()
            }
        })?;
        let mapped = subpaths.into_iter().map(|subpath| Line {
            points: subpath.points.into_iter().map(|p| to_mm * p).collect(),
            closed: subpath.closed && subpath_encloses(node),
        });
        Ok(mapped.filter(|line| line.points.iter().all(|p| p.x.is_finite() && p.y.is_finite())).collect())
    }
}

/// The most that a mapping stretches any length: its greater singular value.
fn stretch(map: Affine) -> f64 {
    let [a, b, c, d, ..] = map.as_coeffs();
    let (squares, area) = (a * a + b * b + c * c + d * d, a * d - b * c);
    ((squares + (squares * squares - 4.0 * area * area).max(0.0).sqrt()) / 2.0).sqrt()
}

/// A line element is never closed, however short it is.
fn subpath_encloses(node: &Node<'_, '_>) -> bool {
    node.tag_name().name() != "line"
}

/// The transform of an element; one that cannot be read counts for none, as in a browser.
fn transform(node: &Node<'_, '_>) -> Affine {
    let read = node.attribute("transform").and_then(|text| text.parse::<svgtypes::Transform>().ok());
    read.map_or(Affine::IDENTITY, |t| Affine::new([t.a, t.b, t.c, t.d, t.e, t.f]))
}
