//! Lists and figures as sentences have them.

use glowloom_units::{Figures, Kilograms};

/// Most names that a sentence lists.
const MOST_NAMES: usize = 6;

/// `west`, `west and east`, `west, middle and east`, `a, b, c, d, e, f and 12 more`.
pub(super) fn names(names: &[&str]) -> String {
    let (shown, hidden) = names.split_at(names.len().min(MOST_NAMES));
    let more = format!("{} more", hidden.len());
    let mut shown: Vec<&str> = shown.to_vec();
    if !hidden.is_empty() {
        shown.push(&more);
    }
    listed(&shown, "and")
}

/// Joins by commas, the last by a word.
pub(super) fn listed(items: &[&str], word: &str) -> String {
    match items {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [most @ .., last] => format!("{} {word} {last}", most.join(", ")),
    }
}

/// A share of 0 to 1 in per cent: `59 %`, `3.2 %`.
pub(super) fn percent(share: f64) -> String {
    let percent = share * 100.0;
    if percent < 9.95 { format!("{percent:.1} %") } else { format!("{percent:.0} %") }
}

/// A level that may be written in the file: cut to two decimals, so that it keeps its limit.
/// `None` where nothing above zero is left.
pub(super) fn level_to_write(level: f64) -> Option<String> {
    let hundredths = (level.min(1.0) * 100.0 + 1e-9).floor();
    (hundredths >= 1.0).then(|| format!("{}", hundredths / 100.0))
}

/// A rate that may be written in the file, at or below this one: whole, or below 10 with one
/// decimal, and never below what the file takes.
pub(super) fn rate_to_write(fps: f64) -> Option<String> {
    let step = if fps < 10.0 { 10.0 } else { 1.0 };
    let rate = (fps * step + 1e-9).floor() / step;
    (rate >= 0.1).then(|| format!("{rate}"))
}

/// A mass that may be written in the file, at or above this one: tenths of a gram, and hundredths of a
/// pound.
pub(super) fn mass_to_write(mass: Kilograms, figures: Figures) -> String {
    let up = |value: f64, parts: f64| (value * parts - 1e-9).ceil() / parts;
    match figures {
        Figures::Metric if mass.0 < 1.0 => format!("{} g", up(mass.0 * 1000.0, 10.0)),
        Figures::Metric => format!("{} kg", up(mass.0, 100.0)),
        Figures::Imperial => format!("{} lb", up(mass.0 / 0.453_592_37, 100.0)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_read_as_sentences() {
        assert_eq!(names(&["west"]), "west");
        assert_eq!(names(&["west", "east"]), "west and east");
        assert_eq!(names(&["a", "b", "c"]), "a, b and c");
        assert_eq!(names(&["x"; 9]), "x, x, x, x, x, x and 3 more");
        assert_eq!(listed(&["a", "b"], "or"), "a or b");
    }

    #[test]
    fn what_is_to_be_written_keeps_its_limit() {
        assert_eq!(level_to_write(0.4999).as_deref(), Some("0.49"));
        assert_eq!(level_to_write(0.6).as_deref(), Some("0.6"));
        assert_eq!(level_to_write(7.0).as_deref(), Some("1"));
        assert_eq!(level_to_write(0.009), None);
        assert_eq!(rate_to_write(51.34).as_deref(), Some("51"));
        assert_eq!(rate_to_write(6.66).as_deref(), Some("6.6"));
        assert_eq!(rate_to_write(0.09), None);
        let mass =
            |kg| [Figures::Metric, Figures::Imperial].map(|f| mass_to_write(Kilograms(kg), f));
        assert_eq!(mass(2.452_7), ["2.46 kg", "5.41 lb"]);
        assert_eq!(mass(0.083_33), ["83.4 g", "0.19 lb"]);
        assert_eq!(mass(0.25), ["250 g", "0.56 lb"]);
    }

    #[test]
    fn shares_in_per_cent() {
        assert_eq!(percent(0.586), "59 %");
        assert_eq!(percent(0.0321), "3.2 %");
        assert_eq!(percent(1.4), "140 %");
    }
}
