//! How large a pattern file may be: far above any real one, and small enough that reading takes bounded time and memory.

pub use crate::job::limits::{MAX_OUTLINE_POINTS, MAX_PIECES, MAX_POINTS, MAX_SIZES};

/// Bytes of a pattern file. A style of 30 pieces in 10 sizes, every outline twice, takes about 8 MiB of DXF.
pub const MAX_BYTES: usize = 32 << 20;

/// Elements and attributes of an SVG document, counted after entities are replaced.
pub const MAX_XML_NODES: u32 = 1_000_000;

/// Elements drawn, an element that is used several times counted for each.
pub const MAX_ELEMENTS: usize = 200_000;

/// Groups in groups, and blocks in blocks.
pub const MAX_DEPTH: usize = 100;

/// Lines and shapes drawn, before they are sorted to pieces: the sorting takes up to the product of this and of
/// [`MAX_PIECES`].
pub const MAX_LINES: usize = 20_000;

/// Points of one line as drawn; an outline of more than [`MAX_OUTLINE_POINTS`] is thinned.
pub const MAX_LINE_POINTS: usize = 50_000;

/// Entities of one block of a DXF file, vertices counted.
pub const MAX_BLOCK_ENTITIES: usize = 100_000;

/// Blocks of a DXF file: one for each piece in each size.
pub const MAX_BLOCKS: usize = 20_000;

/// Entity declarations of an XML document, the characters of each, and the references to them.
pub const MAX_ENTITY: (usize, usize, usize) = (100, 1000, 10_000);
