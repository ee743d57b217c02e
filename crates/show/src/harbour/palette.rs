//! A few colours that stand for many.

use std::collections::BTreeMap;

/// A colour of three 8-bit channels.
pub(super) type Colour = [u8; 3];

/// At most 256 colours, and which of them stands for each colour that was counted.
pub(super) struct Palette {
    colours: Vec<Colour>,
    nearest: BTreeMap<Colour, u8>,
}

impl Palette {
    /// At most `most` colours (1 to 256) for the colours counted, by cutting the set of colours at
    /// the median of its widest channel, again and again.
    pub(super) fn new(counted: &BTreeMap<Colour, u32>, most: usize) -> Self {
        let all: Vec<(Colour, u32)> =
            counted.iter().map(|(&colour, &count)| (colour, count)).collect();
        let mut sets = vec![all];
        while sets.len() < most {
            let weights = sets.iter().map(|set| weight(set));
            let widest = weights.enumerate().max_by_key(|&(n, weight)| (weight, usize::MAX - n));
            let Some((at, 1..)) = widest else { break };
            let set = sets.swap_remove(at);
            sets.extend(cut(set));
        }
        let colours: Vec<Colour> = sets.iter().map(|set| mean(set)).collect();
        let nearest = counted.keys().map(|&colour| (colour, nearest(&colours, colour))).collect();
        Self { colours, nearest }
    }

    /// The colours, in the order of their numbers.
    pub(super) fn colours(&self) -> &[Colour] {
        &self.colours
    }

    /// The number of the colour that stands for one that was counted; 0 for any other.
    pub(super) fn number(&self, colour: Colour) -> u8 {
        self.nearest.get(&colour).copied().unwrap_or(0)
    }
}

/// The channel with the widest range, and that range.
fn widest(set: &[(Colour, u32)]) -> (usize, u8) {
    let range = |channel: usize| {
        let values = || set.iter().map(|(colour, _)| colour[channel]);
        values().max().unwrap_or(0) - values().min().unwrap_or(0)
    };
    [0, 1, 2]
        .map(|channel| (channel, range(channel)))
        .into_iter()
        .max_by_key(|&(_, range)| range)
        .unwrap_or((0, 0))
}

/// How much a cut of this set would gain: its range, and a little for how often it is used.
fn weight(set: &[(Colour, u32)]) -> u64 {
    let count: u32 = set.iter().map(|(_, count)| count).sum();
    u64::from(widest(set).1) * u64::from(count.isqrt().isqrt())
}

/// Cuts a set of two colours or more where half of its pixels lie on each side.
fn cut(mut set: Vec<(Colour, u32)>) -> [Vec<(Colour, u32)>; 2] {
    let (channel, _) = widest(&set);
    set.sort_by_key(|(colour, _)| (colour[channel], *colour));
    let half = set.iter().map(|(_, count)| u64::from(*count)).sum::<u64>() / 2;
    let mut below = 0;
    let at = set.iter().position(|(_, count)| {
        below += u64::from(*count);
        below > half
    });
    let at = at.unwrap_or(0).clamp(1, (set.len() - 1).max(1));
    let right = set.split_off(at.min(set.len()));
    [set, right]
}

fn mean(set: &[(Colour, u32)]) -> Colour {
    let all: u64 = set.iter().map(|(_, count)| u64::from(*count)).sum::<u64>().max(1);
    [0, 1, 2].map(|channel| {
        let sum: u64 =
            set.iter().map(|(colour, count)| u64::from(colour[channel]) * u64::from(*count)).sum();
        ((sum + all / 2) / all) as u8
    })
}

fn nearest(colours: &[Colour], wanted: Colour) -> u8 {
    let distance = |colour: &Colour| -> u32 {
        colour.iter().zip(wanted).map(|(&a, b)| u32::from(a.abs_diff(b)).pow(2)).sum()
    };
    let best = colours.iter().enumerate().min_by_key(|(_, colour)| distance(colour));
    best.map_or(0, |(number, _)| number as u8)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_colours_are_kept_as_they_are() {
        let counted = BTreeMap::from([([0, 0, 0], 9), ([255, 0, 0], 1), ([0, 9, 255], 3)]);
        let palette = Palette::new(&counted, 16);
        for colour in counted.keys() {
            assert_eq!(palette.colours()[usize::from(palette.number(*colour))], *colour);
        }
    }

    #[test]
    fn many_colours_are_stood_for_by_near_ones() {
        let counted: BTreeMap<Colour, u32> =
            (0..=255).flat_map(|r| (0..8).map(move |g| ([r, g * 30, 40], 1))).collect();
        let palette = Palette::new(&counted, 64);
        assert_eq!(palette.colours().len(), 64);
        for &colour in counted.keys() {
            let found = palette.colours()[usize::from(palette.number(colour))];
            let off = found.iter().zip(colour).map(|(&a, b)| a.abs_diff(b)).max().unwrap();
            assert!(off <= 32, "{found:?} for {colour:?}");
        }
    }
}
