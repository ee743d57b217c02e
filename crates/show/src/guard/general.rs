//! General flashes: the light goes up and down.

use std::time::Duration;

use super::recent::Recent;

/// The smallest change of relative luminance that is counted. The rule says 0.10; half a hundredth
/// less leaves room for what rounding to bytes adds.
const COUNTED: f64 = 0.095;

/// A change counts only if its darker state is below this share of the wall's full light.
pub(super) const DARKER: f64 = 0.80;

/// The same for mixtures: they are brought to the edge on purpose, where rounding to bytes could
/// take them over it.
pub(super) const MIXED_DARKER: f64 = 0.805;

/// Follows the relative luminance of one zone, 0 to 1, from one extreme to the next.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct General {
    /// The way of the last counted change; `None` before the first.
    last: Option<Way>,
    /// The lowest and the highest light since then.
    low: f64,
    high: f64,
    recent: Recent,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Way {
    Up,
    Down,
}

impl General {
    /// Whether the zone may go to `light` now; changes count whose darker state is below `darker`.
    pub(super) fn allows(&self, light: f64, darker: f64, now: Duration) -> bool {
        self.change(light, darker).is_none() || self.recent.allow(now)
    }

    pub(super) fn note(&mut self, light: f64, darker: f64, now: Duration) {
        if let Some(way) = self.change(light, darker) {
            self.last = Some(way);
            (self.low, self.high) = (light, light);
            self.recent.add(now);
            return;
        }
        let further = match self.last {
            Some(Way::Up) => light > self.high,
            Some(Way::Down) => light < self.low,
            None => false,
        };
        if further {
            self.recent.extend(now);
        }
        self.low = self.low.min(light);
        self.high = self.high.max(light);
    }

    /// The change that is counted if the zone goes to `light`.
    fn change(&self, light: f64, darker: f64) -> Option<Way> {
        let up = light - self.low >= COUNTED && self.low < darker;
        let down = self.high - light >= COUNTED && light < darker;
        match self.last {
            Some(Way::Up) => down.then_some(Way::Down),
            Some(Way::Down) => up.then_some(Way::Up),
            None if up => Some(Way::Up),
            None if down => Some(Way::Down),
            None => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// How many changes a row of lights makes.
    fn changes(lights: &[f64]) -> usize {
        let mut general = General::default();
        let mut count = 0;
        for &light in lights {
            count += usize::from(general.change(light, DARKER).is_some());
            general.note(light, DARKER, Duration::ZERO);
        }
        count
    }

    #[test]
    fn a_rise_in_steps_is_one_change() {
        assert_eq!(changes(&[0.0, 0.05, 0.1, 0.5, 1.0]), 1);
        assert_eq!(changes(&[0.5, 0.45, 0.40, 0.5, 0.45]), 3);
        assert_eq!(changes(&[0.5, 0.45, 0.5, 0.45, 0.5]), 1);
    }

    #[test]
    fn changes_among_bright_states_are_none() {
        assert_eq!(changes(&[1.0, 0.8, 1.0, 0.8]), 1);
        assert_eq!(changes(&[1.0, 0.79, 1.0]), 3);
    }
}
