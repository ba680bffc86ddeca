//! [`Descent`]: how a search got on from its start, and whether it still gets anywhere.

/// One way down from a start that was too long, told in work done: depths measured by a lane, rounds of a race.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Descent {
    began: u64,
    /// Work so short that no gain is taken to have come sooner.
    short: u64,
    /// When the lay was last a good deal shorter than before, and how long it was then.
    gained: u64,
    length: i64,
}

/// A gain worth the name, as part of the length: compressing alone goes on for ever by a hair at a time.
const GAIN: f64 = 0.001;
/// A descent is over when since the last gain it has taken so many times the work that led to it.
const PATIENCE: u64 = 2;

impl Descent {
    pub(crate) fn new(length: i64, now: u64, short: u64) -> Descent {
        Descent { began: now, short, gained: now, length }
    }

    /// The same, gone on with from another lay as if that had just been gained.
    pub(crate) fn resumed(self, length: i64, now: u64) -> Descent {
        Descent { length, gained: now, ..self }
    }

    /// Takes note of a shorter lay.
    pub(crate) fn note(&mut self, length: i64, now: u64) {
        if (length as f64) < self.length as f64 * (1.0 - GAIN) {
            self.length = length;
            self.gained = now;
        }
    }

    /// Work done since the last gain.
    pub(crate) fn since(&self, now: u64) -> u64 {
        now - self.gained
    }

    /// Has it gained nothing for so many times as long as it took to get here?
    pub(crate) fn stands_still(&self, now: u64, times: u64) -> bool {
        self.since(now) > times * self.led()
    }

    /// The work that led to the last gain.
    fn led(&self) -> u64 {
        (self.gained - self.began).max(self.short)
    }

    /// Has it come to its end?
    pub(crate) fn is_over(&self, now: u64) -> bool {
        self.stands_still(now, PATIENCE)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_descent_is_over_when_it_gains_nothing_for_twice_what_led_there() {
        const SHORT: u64 = 8_000_000;
        let mut descent = Descent::new(100_000, 1_000, SHORT);
        assert!(!descent.is_over(1_000 + 2 * SHORT), "so little is nothing");
        assert!(descent.is_over(1_001 + 2 * SHORT));
        descent.note(90_000, 50_000_000);
        assert!(!descent.is_over(140_000_000));
        assert!(!descent.stands_still(99_999_000, 1) && descent.stands_still(100_000_000, 1));
        // A hair is no gain, and hairs add up to one.
        descent.note(89_950, 100_000_000);
        assert!(descent.is_over(150_000_000));
        descent.note(89_900, 120_000_000);
        assert!(!descent.is_over(150_000_000));
        // Resumed after 400 million, it is given twice as long again.
        let resumed = descent.resumed(80_000, 400_001_000);
        assert!(!resumed.is_over(1_200_001_000) && resumed.is_over(1_200_002_000));
    }
}
