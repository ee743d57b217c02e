//! A table of figures: names, numbers aligned at the point, units, remarks.

use crate::output::{QUIET, STRONG};

/// Most names that a remark lists.
const MOST_NAMES: usize = 6;

/// Columns that a line may take before remarks go on in the next.
pub const WIDTH: usize = 96;

/// A table with a title.
pub struct Schedule {
    title: &'static str,
    rows: Vec<Row>,
}

struct Row {
    name: String,
    number: String,
    unit: String,
    remark: String,
}

impl Schedule {
    /// An empty one.
    pub fn new(title: &'static str) -> Self {
        Self { title, rows: Vec::new() }
    }

    /// A number with its unit.
    pub fn row(&mut self, name: &str, number: &str, unit: &str, remark: &str) {
        let row = [name, number, unit, remark].map(str::to_owned);
        let [name, number, unit, remark] = row;
        self.rows.push(Row { name, number, unit, remark });
    }

    /// A text such as `33.3 mm`: its last word is the unit. One of several numbers, such as
    /// `6 ft 6.7 in`, stays whole.
    pub fn quantity(&mut self, name: &str, text: &str, remark: &str) {
        match text.split_once(' ').filter(|(_, unit)| !unit.contains(' ')) {
            Some((number, unit)) => self.row(name, number, unit, remark),
            None => self.row(name, text, "", remark),
        }
    }

    /// The lines.
    pub fn text(&self) -> String {
        let wide = |of: fn(&Row) -> usize| self.rows.iter().map(of).max().unwrap_or(0);
        let name = wide(|row| row.name.chars().count());
        let whole = wide(|row| before_point(&row.number)).max(9);
        let behind = wide(|row| row.number.chars().count() - before_point(&row.number));
        let unit = wide(|row| row.unit.chars().count());
        let mut text = format!("{STRONG}{}{STRONG:#}\n", self.title);
        for row in &self.rows {
            let lead = whole - before_point(&row.number);
            let number = format!("{:lead$}{}", "", row.number);
            let start = format!(
                "  {:name$}  {number:w$}  {:unit$}",
                row.name,
                row.unit,
                w = whole + behind
            );
            let indent = start.chars().count() + 2;
            let remark = wrapped(&row.remark, WIDTH.saturating_sub(indent).max(24));
            let remark = remark.join(&format!("\n{:indent$}", ""));
            if remark.is_empty() {
                text.push_str(&format!("{}\n", start.trim_end()));
            } else {
                text.push_str(&format!("{start}  {QUIET}{remark}{QUIET:#}\n"));
            }
        }
        text
    }
}

/// Characters ahead of the decimal point.
fn before_point(number: &str) -> usize {
    // `6 ft 6.7 in` has no one point to align at.
    let whole = if number.contains(' ') { number } else { number.split('.').next().unwrap_or("") };
    whole.chars().count()
}

/// Breaks a text between words.
pub fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// `west, middle, east`; a long list is cut and counted.
pub fn listed<'n>(names: impl Iterator<Item = &'n str>) -> String {
    let mut names: Vec<&str> = names.collect();
    names.dedup();
    if names.len() <= MOST_NAMES {
        return names.join(", ");
    }
    let more = names.len() - (MOST_NAMES - 1);
    format!("{} and {more} more", names[..MOST_NAMES - 1].join(", "))
}

/// `1920` as `1,920`.
pub fn grouped(number: impl Into<u64>) -> String {
    let digits = number.into().to_string();
    let mut out = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_stand_under_each_other() {
        let mut table = Schedule::new("T");
        table.quantity("a", "35.1 A", "");
        table.row("bb", "1,920", "pixels", "all of them");
        table.quantity("c", "6 ft 6.7 in", "");
        let text = anstream::adapter::strip_str(&table.text()).to_string();
        assert_eq!(
            text,
            "T\n  a            35.1  A\n  bb        1,920    pixels  all of them\n  c   6 ft 6.7 in\n"
        );
    }

    #[test]
    fn thousands_are_grouped() {
        assert_eq!(grouped(7u64), "7");
        assert_eq!(grouped(1920u64), "1,920");
        assert_eq!(grouped(4_000_000u64), "4,000,000");
    }
}
