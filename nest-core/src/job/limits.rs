//! How large a job may be: far above any real one, and small enough that reading takes bounded time and memory.

/// Bytes of a job file. A style of 60 kinds of piece in 10 sizes with 300 points each takes about 4 MiB.
pub const MAX_FILE_BYTES: usize = 64 << 20;

/// Kinds of piece.
pub const MAX_PIECES: usize = 1000;

/// Sizes.
pub const MAX_SIZES: usize = 100;

/// Views.
pub const MAX_VIEWS: usize = 1000;

/// Lines of the order.
pub const MAX_ORDER_LINES: usize = 10_000;

/// Kinds of cloth.
pub const MAX_CLOTHS: usize = 100;

/// Flaws of one cloth.
pub const MAX_FLAWS: usize = 200;

/// Remnants of one cloth.
pub const MAX_REMNANTS: usize = 50;

/// Copies of one piece for one garment.
pub const MAX_CUT: u32 = 1000;

/// Garments of one order line.
pub const MAX_GARMENTS: u32 = 10_000;

/// Copies of all pieces for the whole order: more than fit on the longest lay that the grid can hold, in the usual sizes.
pub const MAX_COPIES: u64 = 10_000;

/// Length of cloth that the pieces of an order have the area of, in grid units: 40 m. With less than half of the cloth used, as
/// by a single half-circle skirt, the lay still ends within the grid; cutting tables are shorter.
pub const MAX_BY_AREA: i64 = 4_000_000;

/// How thick a piece is at least, as its area over its longer side, in grid units: a tenth of a millimetre. Thinner ones no
/// shears could cut, and those of a single unit the search takes for nothing.
pub const THINNEST: i64 = 10;

/// Points of one outline, and of all the marks of a shape. Proving an outline simple takes at the worst the square of it.
pub const MAX_OUTLINE_POINTS: usize = 5000;

/// Points of all shapes together, a shape that serves several sizes counted for each; bounds memory to about 100 MiB.
pub const MAX_POINTS: usize = 1_000_000;

/// Characters of a name.
pub const MAX_NAME: usize = 100;
