//! How wide the columns of a table are: as wide as their words where all fit, else narrowed where it hurts least.

/// Widths of columns that together are no wider than `room`, if their longest words allow it.
///
/// `least` is what each needs so that no word is broken, `most` what it needs to stay on one line; all in the same unit,
/// gaps left out of `room`. What is lacking is taken from the widest columns, down to one common width: a column of short
/// words stays on one line as long as it can.
pub(super) fn widths(least: &[f64], most: &[f64], room: f64) -> Vec<f64> {
    let (low, high): (f64, f64) = (least.iter().sum(), most.iter().sum());
    if high <= room {
        return most.to_vec();
    }
    if low >= room {
        return least.to_vec();
    }
    let at = |cap: f64| least.iter().zip(most).map(move |(l, m)| m.min(cap).max(*l));
    let (mut from, mut to) = (0.0, most.iter().copied().fold(0.0, f64::max));
    // The sum grows with the cap: halving finds it to less than a hair.
    for _ in 0..50 {
        let cap = (from + to) / 2.0;
        if at(cap).sum::<f64>() <= room { from = cap } else { to = cap }
    }
    at(from).collect()
}

/// Words set into lines no wider than `room` by `wide`; a word that is wider alone stands in a line of its own.
pub(super) fn set(words: &str, room: f64, wide: impl Fn(&str) -> f64) -> Vec<String> {
    let mut lines: Vec<String> = vec![String::new()];
    for word in words.split_whitespace() {
        let last = lines.len() - 1;
        let longer = if lines[last].is_empty() { word.to_owned() } else { format!("{} {word}", lines[last]) };
        if lines[last].is_empty() || wide(&longer) <= room {
            lines[last] = longer;
        } else {
            lines.push(word.to_owned());
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_give_way_where_they_can() {
        assert_eq!(widths(&[1.0, 2.0], &[3.0, 2.0], 10.0), [3.0, 2.0]);
        let narrowed = widths(&[1.0, 2.0, 1.0], &[5.0, 2.0, 9.0], 10.0);
        assert!(narrowed.iter().zip([4.0, 2.0, 4.0]).all(|(a, b)| (a - b).abs() < 1e-6), "{narrowed:?}");
        assert_eq!(widths(&[3.0, 2.0], &[5.0, 2.0], 4.0), [3.0, 2.0], "no word is broken");
    }

    #[test]
    fn lines_are_no_wider_than_their_room() {
        let wide = |s: &str| s.chars().count() as f64;
        assert_eq!(set("a bc def  ghij", 6.0, wide), ["a bc", "def", "ghij"]);
        assert_eq!(set("", 6.0, wide), [""]);
    }
}
