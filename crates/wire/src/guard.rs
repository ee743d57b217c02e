//! Limits that every frame is to be held to, as weighted sums over the pixels of a panel: plain data,
//! whose meaning is the planner's.
//!
//! Each light pixel of a panel has a number: its slots added up, each 0 to 1 of full. Pixels are
//! counted along the panel's data lines, one line after the other, spares left out. A frame keeps a row
//! if the row's weights times the numbers add up to its limit at most; all numbers scaled by the
//! smallest quotient of limit and sum keep every row.

/// One limit.
#[derive(Clone, Debug, PartialEq)]
pub struct GuardRow {
    /// What it guards, in words for people.
    pub about: String,
    /// The first pixel that has a weight.
    pub first: usize,
    /// Of that pixel and those after it; none below 0 unless a lit pixel may make room for others.
    pub weights: Vec<f32>,
    /// At most; 0 or less where nothing may be lit.
    pub limit: f32,
}

impl GuardRow {
    /// The weighted sum of numbers, one for each pixel of the panel.
    #[must_use]
    pub fn sum(&self, numbers: &[f32]) -> f64 {
        let numbers = numbers.get(self.first..).unwrap_or_default();
        self.weights.iter().zip(numbers).map(|(w, n)| f64::from(*w) * f64::from(*n)).sum()
    }

    /// The largest share of these numbers that keeps the limit, 0 to 1.
    #[must_use]
    pub fn share(&self, numbers: &[f32]) -> f64 {
        let (sum, limit) = (self.sum(numbers), f64::from(self.limit));
        if sum <= limit {
            1.0
        } else if limit <= 0.0 {
            0.0
        } else {
            limit / sum
        }
    }
}

/// The limits of all panels; panels with the same rows share them.
#[derive(Clone, Debug, PartialEq)]
pub struct Guard {
    kinds: Vec<Vec<GuardRow>>,
    of_panel: Vec<usize>,
    all: f64,
}

impl Guard {
    /// Rows by kind, the kind of each panel, and what the numbers of all pixels of all panels may add
    /// up to. `None` if a panel has no such kind, or a weight or limit is not a number.
    #[must_use]
    pub fn new(kinds: Vec<Vec<GuardRow>>, of_panel: Vec<usize>, all: f64) -> Option<Self> {
        let rows = kinds.iter().flatten();
        let numbers = |row: &GuardRow| {
            row.limit.is_finite() && row.weights.iter().all(|weight| weight.is_finite())
        };
        let known = of_panel.iter().all(|kind| *kind < kinds.len());
        (known && !all.is_nan() && rows.into_iter().all(numbers)).then_some(Self {
            kinds,
            of_panel,
            all,
        })
    }

    /// How many panels it speaks of.
    #[must_use]
    pub fn panels(&self) -> usize {
        self.of_panel.len()
    }

    /// The rows of a panel, from 0; none where there is no such panel.
    #[must_use]
    pub fn rows(&self, panel: usize) -> &[GuardRow] {
        self.of_panel.get(panel).and_then(|kind| self.kinds.get(*kind)).map_or(&[], Vec::as_slice)
    }

    /// What the numbers of all pixels of all panels may add up to.
    #[must_use]
    pub fn all(&self) -> f64 {
        self.all
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(first: usize, weights: &[f32], limit: f32) -> GuardRow {
        GuardRow { about: "a feed".into(), first, weights: weights.to_vec(), limit }
    }

    #[test]
    fn a_frame_is_scaled_until_the_limit_holds() {
        let row = row(1, &[2.0, 1.0], 3.0);
        assert_eq!(row.sum(&[9.0, 1.0, 1.0, 9.0]), 3.0);
        assert_eq!(row.share(&[9.0, 1.0, 1.0]), 1.0);
        assert_eq!(row.share(&[0.0, 3.0, 0.0]), 0.5);
        assert_eq!(row.share(&[]), 1.0);
        let shut = GuardRow { limit: 0.0, ..row };
        assert_eq!((shut.share(&[0.0, 0.1]), shut.share(&[0.0; 3])), (0.0, 1.0));
    }

    #[test]
    fn refuses_what_is_no_number_and_kinds_that_are_not() {
        let kinds = vec![vec![row(0, &[1.0], 1.0)]];
        assert!(Guard::new(kinds.clone(), vec![0, 0], 5.0).is_some());
        assert!(Guard::new(kinds.clone(), vec![0, 1], 5.0).is_none());
        assert!(Guard::new(kinds, vec![0], f64::NAN).is_none());
        assert!(Guard::new(vec![vec![row(0, &[f32::NAN], 1.0)]], vec![0], 5.0).is_none());
    }
}
