//! How much a search may still do. A plan reads no clock, so effort is counted in steps of about a
//! nanosecond each, and the same wall gives the same answer on a slow machine as on a fast one.

/// An allowance of steps.
#[derive(Clone, Debug)]
pub struct Steps {
    left: u64,
}

impl Steps {
    /// So many.
    #[must_use]
    pub fn new(steps: u64) -> Self {
        Self { left: steps }
    }

    /// How many are left.
    #[must_use]
    pub fn left(&self) -> u64 {
        self.left
    }

    /// Takes steps away. `false` once none are left.
    pub(super) fn spend(&mut self, steps: usize) -> bool {
        self.left = self.left.saturating_sub(steps as u64);
        self.left > 0
    }

    /// Does something with at most this share of them: a `part`-th.
    pub(super) fn with_part<T>(&mut self, part: u64, what: impl FnOnce(&mut Self) -> T) -> T {
        let lent = self.left / part.max(1);
        let mut steps = Self::new(lent);
        let done = what(&mut steps);
        self.left -= lent - steps.left;
        done
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_that_is_not_used_comes_back() {
        let mut steps = Steps::new(100);
        assert!(steps.with_part(4, |part| part.spend(10)));
        assert_eq!(steps.left(), 90);
        assert!(!steps.with_part(3, |part| part.spend(1000)));
        assert_eq!(steps.left(), 60);
        assert!(!steps.spend(60));
    }
}
