//! The garments wanted.

/// One line of an order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OrderLine {
    /// Index into the style's views.
    pub view: usize,
    /// Index into the style's sizes.
    pub size: usize,
    /// How many garments.
    pub garments: u32,
}
