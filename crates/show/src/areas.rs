//! Parts of the picture whose LEDs are brighter or of another tint than the rest, and how far each is
//! dimmed so that no seam shows.

/// How much of its light each colour keeps: red, green, blue, white, 0 to 1 each.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shares([f32; 4]);

impl Shares {
    /// All of it.
    pub const ALL: Self = Self([1.0; 4]);

    /// `None` unless each is 0 to 1.
    #[must_use]
    pub fn new(shares: [f32; 4]) -> Option<Self> {
        shares.iter().all(|share| (0.0..=1.0).contains(share)).then_some(Self(shares))
    }

    /// Red, green, blue, white.
    #[must_use]
    pub fn get(self) -> [f32; 4] {
        self.0
    }
}

/// Which pixels of the picture keep how much of their light.
#[derive(Clone, Debug, PartialEq)]
pub struct Areas {
    shares: Vec<Shares>,
    runs: Vec<Run>,
}

/// Pixels of one area that follow each other in a row of the picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Run {
    pub(crate) pixels: u32,
    /// Which of the shares.
    pub(crate) area: u32,
}

impl Areas {
    /// A picture of `columns` x `rows` that keeps all of its light, save in the parts given: each with
    /// its pixels, counted row-major from 0. A pixel outside of the picture is passed over; of two parts
    /// that both have one, the later holds.
    #[must_use]
    pub fn new<P: IntoIterator<Item = u32>>(
        columns: u32,
        rows: u32,
        parts: impl IntoIterator<Item = (Shares, P)>,
    ) -> Self {
        let mut of_pixel = vec![0u32; columns as usize * rows as usize];
        let mut shares = vec![Shares::ALL];
        for (area, (share, pixels)) in (1..).zip(parts) {
            shares.push(share);
            for pixel in pixels {
                if let Some(of) = of_pixel.get_mut(pixel as usize) {
                    *of = area;
                }
            }
        }
        let mut runs: Vec<Run> = Vec::new();
        for row in of_pixel.chunks_exact(columns.max(1) as usize) {
            for same in row.chunk_by(|a, b| a == b) {
                // At most as many as there are columns.
                runs.push(Run { pixels: same.len() as u32, area: same[0] });
            }
        }
        Self { shares, runs }
    }

    /// A picture that keeps all of its light.
    #[must_use]
    pub fn even(columns: u32, rows: u32) -> Self {
        Self::new(columns, rows, std::iter::empty::<(Shares, [u32; 0])>())
    }

    pub(crate) fn shares(&self) -> &[Shares] {
        &self.shares
    }

    pub(crate) fn runs(&self) -> &[Run] {
        &self.runs
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_end_with_rows() {
        let dim = Shares::new([0.5, 1.0, 1.0, 1.0]).unwrap();
        let areas = Areas::new(3, 2, [(dim, [1, 2, 3, 99])]);
        let found: Vec<_> = areas.runs().iter().map(|run| (run.pixels, run.area)).collect();
        assert_eq!(found, [(1, 0), (2, 1), (1, 1), (2, 0)]);
        assert_eq!(areas.shares(), [Shares::ALL, dim]);
        assert_eq!(Areas::even(3, 2).runs().len(), 2);
        assert!(Areas::even(0, 2).runs().is_empty());
    }

    #[test]
    fn a_share_is_0_to_1() {
        assert_eq!(Shares::new([1.0, 1.1, 1.0, 1.0]), None);
        assert_eq!(Shares::new([1.0, f32::NAN, 1.0, 1.0]), None);
        assert_eq!(Shares::new([1.0; 4]), Some(Shares::ALL));
    }
}
