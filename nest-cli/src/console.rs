//! Progress: a bar with the best length so far on a terminal, plain lines elsewhere, nothing when quiet.

use std::io::{IsTerminal, stderr};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use nest_core::length::{Length, Unit};
use nest_core::search::Event;
use nest_core::spread::Kind;

use crate::complaint::tell;

/// A plain line is followed by the next after this long at the earliest: a search finds much in its first second.
const PAUSE: Duration = Duration::from_secs(1);

/// Where progress goes.
enum Channel {
    Bar(ProgressBar),
    Lines { last: Option<Instant> },
    Nothing,
}

/// Tells a person how the search of one cloth goes.
pub(crate) struct Console {
    channel: Channel,
    unit: Unit,
    begun: Instant,
    length_of_bar: Work,
    cloth: String,
    best: Option<Best>,
}

/// What a full bar stands for.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Work {
    /// So much time.
    Time(Duration),
    /// So many rounds.
    Rounds(u64),
}

#[derive(Clone, Copy)]
struct Best {
    kind: Kind,
    cloth: Length,
    efficiency: f64,
}

impl Console {
    /// A console for a cloth of a job whose lengths are read in `unit`.
    pub(crate) fn new(cloth: &str, unit: Unit, work: Work, quiet: bool) -> Console {
        let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
        let channel = if quiet {
            Channel::Nothing
        } else if stderr().is_terminal() && !dumb {
            let full = match work {
                Work::Time(time) => time.as_millis() as u64,
                Work::Rounds(rounds) => rounds,
            };
            let bar = ProgressBar::with_draw_target(Some(full.max(1)), ProgressDrawTarget::stderr());
            let style = ProgressStyle::with_template("{prefix} [{bar:24}] {wide_msg}");
            bar.set_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()).progress_chars("=> "));
            bar.set_prefix(cloth.to_owned());
            bar.set_message("looking for a first lay");
            Channel::Bar(bar)
        } else {
            Channel::Lines { last: None }
        };
        let (begun, cloth) = (Instant::now(), cloth.to_owned());
        Console { channel, unit, begun, length_of_bar: work, cloth, best: None }
    }

    /// Tells of an event, if it is worth telling.
    pub(crate) fn event(&mut self, event: &Event) {
        match *event {
            Event::Started { spreads, placements, .. } => {
                if let Channel::Lines { .. } = self.channel {
                    let (spreads, pieces) =
                        (counted(spreads as u64, "spread"), counted(placements as u64, "piece"));
                    tell(&format!("{}: {spreads} to try, {pieces} to lay on single thickness", self.cloth));
                }
            }
            Event::Improved { kind, cloth, efficiency, round, .. }
                if self.best.is_none_or(|best| cloth < best.cloth) =>
            {
                self.best = Some(Best { kind, cloth, efficiency });
                self.line(round);
            }
            Event::RoundDone { round, bound_cloth, .. } => {
                let best = self.best.map(|best| self.told(&best));
                if let Channel::Bar(bar) = &self.channel {
                    bar.set_position(match self.length_of_bar {
                        Work::Time(_) => self.begun.elapsed().as_millis() as u64,
                        Work::Rounds(_) => round,
                    });
                    if let Some(best) = best {
                        bar.set_message(format!("{best}; at least {}", length(bound_cloth, self.unit)));
                    }
                }
            }
            _ => {}
        }
    }

    /// The search of this cloth is over.
    pub(crate) fn finish(mut self, rounds: u64) {
        match &self.channel {
            Channel::Bar(bar) => bar.finish_and_clear(),
            Channel::Lines { .. } => {
                let best = self.best.map_or("nothing found".to_owned(), |best| self.told(&best));
                tell(&format!("{}: {best}, after {}", self.cloth, counted(rounds, "round")));
                self.channel = Channel::Nothing;
            }
            Channel::Nothing => {}
        }
    }

    fn line(&mut self, round: u64) {
        let Some(best) = self.best else { return };
        let told = self.told(&best);
        if let Channel::Lines { last } = &mut self.channel
            && last.is_none_or(|last| last.elapsed() >= PAUSE)
        {
            *last = Some(Instant::now());
            tell(&format!("{}: {told}, in round {round}", self.cloth));
        }
    }

    fn told(&self, best: &Best) -> String {
        let cloth = length(best.cloth, self.unit);
        format!("{cloth} of cloth, {:.1} %, {}", 100.0 * best.efficiency, best.kind.title())
    }
}

pub(crate) fn counted(count: u64, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

/// A length in the unit of the job.
pub(crate) fn length(length: Length, unit: Unit) -> String {
    let decimals = if unit == Unit::Mm { 0 } else { 1 };
    format!("{:.decimals$} {}", length.in_unit(unit), unit.sign())
}
