//! What CSS says that matters to a pattern: which elements are not displayed.

use roxmltree::{Document, Node};
use simplecss::{AttributeOperator, DeclarationTokenizer, Element, PseudoClass, Rule, StyleSheet};

/// A style sheet longer than this is passed over; drawing programs write a few lines.
const LONGEST: usize = 256 << 10;

/// Rules about display that are looked at for every element.
const MOST_RULES: usize = 200;

/// The rules that hide elements or show them again.
pub(super) struct Styles<'a> {
    rules: Vec<Rule<'a>>,
}

impl<'a> Styles<'a> {
    /// The style sheets of the document.
    pub(super) fn of(document: &'a Document<'_>) -> Styles<'a> {
        let mut rules = Vec::new();
        let mut length = 0;
        for style in document.descendants().filter(|node| node.tag_name().name() == "style") {
            for text in style.children().filter_map(|child| child.text()) {
                length += text.len();
                if length <= LONGEST {
                    let about_display = |rule: &Rule<'_>| rule.declarations.iter().any(|d| hides(d.name));
                    rules.extend(StyleSheet::parse(text).rules.into_iter().filter(about_display));
                }
            }
        }
        rules.truncate(MOST_RULES);
        Styles { rules }
    }

    /// Is the element itself not displayed, whatever the groups around it say?
    pub(super) fn is_hidden(&self, node: Node<'_, '_>) -> bool {
        // In the order in which they give way to one another: attributes, rules, the element's own style.
        let mut said = Said::default();
        for property in ["display", "visibility"] {
            if let Some(value) = node.attribute(property) {
                said.take(property, value);
            }
        }
        for rule in self.rules.iter().filter(|rule| rule.selector.matches(&Selected(node))) {
            rule.declarations.iter().for_each(|d| said.take(d.name, d.value));
        }
        if let Some(style) = node.attribute("style") {
            DeclarationTokenizer::from(style).for_each(|d| said.take(d.name, d.value));
        }
        said.no_display || said.invisible
    }
}

#[derive(Default)]
struct Said {
    no_display: bool,
    invisible: bool,
}

impl Said {
    fn take(&mut self, property: &str, value: &str) {
        match property {
            "display" => self.no_display = value == "none",
            "visibility" => self.invisible = matches!(value, "hidden" | "collapse"),
            _ => {}
        }
    }
}

fn hides(property: &str) -> bool {
    matches!(property, "display" | "visibility")
}

/// An element as a selector sees it.
struct Selected<'a, 'input>(Node<'a, 'input>);

impl Element for Selected<'_, '_> {
    fn parent_element(&self) -> Option<Self> {
        self.0.parent_element().map(Selected)
    }

    fn prev_sibling_element(&self) -> Option<Self> {
        self.0.prev_sibling_element().map(Selected)
    }

    fn has_local_name(&self, name: &str) -> bool {
        self.0.tag_name().name() == name
    }

    fn attribute_matches(&self, name: &str, operator: AttributeOperator<'_>) -> bool {
        self.0.attribute(name).is_some_and(|value| operator.matches(value))
    }

    fn pseudo_class_matches(&self, class: PseudoClass<'_>) -> bool {
        matches!(class, PseudoClass::FirstChild) && self.0.prev_sibling_element().is_none()
    }
}
