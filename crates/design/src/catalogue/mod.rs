//! Generic parts: what the trade sells under a type name, each figure with its source.
//!
//! A figure is a starting point: parts sold under one name differ by a factor of two, so a wall
//! file may override any of them, and a meter on the bench beats them all.

pub mod board;
pub mod cloth;
pub mod filament;
pub mod receiver;
pub mod small;
pub mod strip;
pub mod supply;
pub mod wire;

/// A value and where it comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figure<T> {
    /// The value.
    pub value: T,
    /// Who says so: a data sheet, a standard, "from memory", "common practice, no source".
    pub source: &'static str,
}

/// Short form for the tables of this folder.
const fn figure<T>(value: T, source: &'static str) -> Figure<T> {
    Figure { value, source }
}

const MEMORY: &str = "from memory";
const PRACTICE: &str = "common practice, no source";
/// Marks an assumption that a design should be tried against: measure the real part.
const SOFT: &str = "from memory; soft, measure yours";

/// The keys of every part, for prices and for messages.
pub fn keys() -> impl Iterator<Item = &'static str> {
    let strips = strip::ALL.iter().map(|part| part.key);
    let supplies = supply::ALL.iter().map(|part| part.key);
    let receivers = receiver::ALL.iter().map(|part| part.key);
    let boards = board::ALL.iter().map(|part| part.key);
    let filaments = filament::ALL.iter().map(|part| part.key);
    let small = small::ALL.iter().map(|part| part.key);
    strips.chain(supplies).chain(receivers).chain(boards).chain(filaments).chain(small)
}

#[cfg(test)]
mod tests {
    #[test]
    fn no_key_twice() {
        let mut keys: Vec<_> = super::keys().collect();
        let count = keys.len();
        keys.sort_unstable();
        keys.dedup();
        assert_eq!(keys.len(), count);
    }
}
