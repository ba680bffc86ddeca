//! [`Settings`]: what decides a search's result, apart from the job.

/// What decides a search's result, apart from the job.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// Seed of every random stream. Default 1.
    pub seed: u64,
    /// Stop after so many rounds; none: until the observer says stop. Default none.
    pub rounds: Option<u64>,
    /// Searches of one spread side by side, 1 to 64: the first keeps to the shortest lay of all, but at first to its own where
    /// lays that are their own images are sought beside it; every other begins anew once it gets nowhere. Part of the
    /// result: more lanes give another answer, more threads do not. Default 2.
    pub lanes: u32,
}

impl Default for Settings {
    fn default() -> Settings {
        Settings { seed: 1, rounds: None, lanes: 2 }
    }
}
