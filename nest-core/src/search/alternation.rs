//! [`Alternation`]: whether a large lay is searched whole or in windows, by what either has gained of late.
//!
//! The whole comes first: as long as bold steps succeed nothing gains more. (Choosing among ways of search by what each
//! gained, with a trial of the others now and then, is adaptive operator selection: L. Davis, "Adapting operator
//! probabilities in genetic algorithms", ICGA 1989.)

/// Turns of a number of rounds each, most of them for the way that gains more in a round.
#[derive(Clone, Debug)]
pub(crate) struct Alternation {
    windows: bool,
    /// Rounds of the present turn, the last of them that gained, and how long the lay was when it began and then.
    rounds: u64,
    gained: u64,
    began: i64,
    length: i64,
    turns: u64,
    /// Part of the length gained in a round by searching whole and in windows, of late.
    rates: [f64; 2],
}

/// Rounds of a turn for the whole lay; of one for windows that gain less than the whole did.
const WHOLE: u64 = 6;
const MOST: u64 = 20;
/// So many rounds without a gain, a part of the length, end a turn of windows.
const IDLE: u64 = 6;
const GAIN: f64 = 0.000_5;
/// What is known of a way counts so much against its last turn.
const MEMORY: f64 = 0.6;
/// Every so many turns the way that gained less is tried.
const TRIAL: u64 = 5;

impl Alternation {
    /// Begins with the whole lay.
    pub(crate) fn new(length: i64) -> Alternation {
        Alternation { windows: false, rounds: 0, gained: 0, began: length, length, turns: 0, rates: [0.0; 2] }
    }

    /// Is the turn that of windows?
    pub(crate) fn is_turn_of_windows(&self) -> bool {
        self.windows
    }

    /// No window can be opened: the turn is that of the whole.
    pub(crate) fn pass(&mut self) {
        self.windows = false;
    }

    /// Begins the present turn anew with a lay of this length.
    pub(crate) fn restart(&mut self, length: i64) {
        (self.rounds, self.gained, self.began, self.length) = (0, 0, length, length);
    }

    /// Takes note of the length after a round; true when a new turn begins. Windows keep theirs as long as they gain, after
    /// [`MOST`] rounds only while they gain more in a round than the whole did.
    pub(crate) fn round_done(&mut self, length: i64) -> bool {
        self.rounds += 1;
        if (length as f64) < self.length as f64 * (1.0 - GAIN) {
            (self.gained, self.length) = (self.rounds, length);
        }
        let rate = (self.began - length) as f64 / self.began.max(1) as f64 / self.rounds as f64;
        let over = if self.windows {
            self.rounds - self.gained >= IDLE || (self.rounds >= MOST && rate < self.rates[0])
        } else {
            self.rounds >= WHOLE
        };
        if !over {
            return false;
        }
        let known = &mut self.rates[usize::from(self.windows)];
        *known = *known * MEMORY + rate * (1.0 - MEMORY);
        self.turns += 1;
        let [whole, windows] = self.rates;
        // Where neither gains they take turns.
        let better = if whole == windows { !self.windows } else { windows > whole };
        self.windows = better != self.turns.is_multiple_of(TRIAL);
        self.restart(length);
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Plays so many rounds and counts those in windows, when a round gains so much of the length whole and in windows.
    fn rounds_in_windows(rounds: u64, whole: f64, windows: f64) -> u64 {
        let mut alternation = Alternation::new(1_000_000_000);
        let mut length = 1_000_000_000.0;
        let mut count = 0;
        for _ in 0..rounds {
            let in_windows = alternation.is_turn_of_windows();
            count += u64::from(in_windows);
            length *= 1.0 - if in_windows { windows } else { whole };
            alternation.round_done(length as i64);
        }
        count
    }

    #[test]
    fn the_way_that_gains_more_gets_most_rounds_and_windows_are_tried() {
        let many = rounds_in_windows(1000, 0.0001, 0.001);
        assert!((900..=1000).contains(&many), "{many} rounds in windows");
        let few = rounds_in_windows(1000, 0.001, 0.000_02);
        assert!((50..250).contains(&few), "{few} rounds in windows");
    }

    #[test]
    fn where_nothing_gains_both_have_half_the_rounds() {
        let half = rounds_in_windows(1000, 0.0, 0.0);
        assert!((350..600).contains(&half), "{half} rounds in windows");
    }

    #[test]
    fn windows_that_gain_little_are_left() {
        let mut alternation = Alternation::new(1_000_000);
        let mut turn = |length: i64| (1..).find(|_| alternation.round_done(length)).expect("a turn ends");
        assert_eq!(turn(1_000_000), WHOLE);
        // A gain in its first round prolongs a turn by as many rounds as it took.
        assert_eq!(turn(1_000_000), IDLE);
        assert_eq!(turn(1_000_000), WHOLE);
        assert_eq!(turn(990_000), IDLE + 1);
    }
}
