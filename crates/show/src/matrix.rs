//! From the light of three lamps to the eye and back: 3 x 3 matrices between linear red, green and
//! blue and the CIE 1931 tristimulus values X, Y and Z.

use glowloom_units::Chromaticity;

use crate::srgb::FULL;

/// Rows first: `matrix[row][column]`.
pub(crate) type Matrix = [[f64; 3]; 3];

/// Cone responses by the Bradford transform (second-hand: ICC.1, annex E, as libraries print it).
const BRADFORD: Matrix =
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]];

/// Tristimulus values of a light of luminance 1.
pub(crate) fn xyz(light: Chromaticity) -> [f64; 3] {
    let (x, y) = (light.x(), light.y());
    [x / y, 1.0, (1.0 - x - y) / y]
}

pub(crate) fn transformed(matrix: &Matrix, v: [f64; 3]) -> [f64; 3] {
    matrix.map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2])
}

/// First `second`, then `first`.
pub(crate) fn product(first: &Matrix, second: &Matrix) -> Matrix {
    let column = |c: usize| transformed(first, second.map(|row| row[c]));
    transposed([column(0), column(1), column(2)])
}

fn transposed(m: Matrix) -> Matrix {
    [0, 1, 2].map(|c| m.map(|row| row[c]))
}

/// By cofactors. `None` where three lamps lie so nearly in one line that nothing can be mixed of them.
pub(crate) fn inverse(m: &Matrix) -> Option<Matrix> {
    let minor = |r: usize, c: usize| {
        let (a, b) = ((r + 1) % 3, (r + 2) % 3);
        let (d, e) = ((c + 1) % 3, (c + 2) % 3);
        m[a][d] * m[b][e] - m[a][e] * m[b][d]
    };
    let determinant = m[0][0] * minor(0, 0) + m[0][1] * minor(0, 1) + m[0][2] * minor(0, 2);
    if determinant.is_nan() || determinant.abs() < 1e-6 {
        return None;
    }
    Some([0, 1, 2].map(|r| [0, 1, 2].map(|c| minor(c, r) / determinant)))
}

/// What red, green and blue lamps of these chromaticities make in the eye, each scaled so that all
/// three full on give `white` at luminance 1 (SMPTE RP 177, from memory). `None` where they cannot.
pub(crate) fn lamps(primaries: [Chromaticity; 3], white: Chromaticity) -> Option<Matrix> {
    let columns = transposed(primaries.map(xyz));
    let amounts = transformed(&inverse(&columns)?, xyz(white));
    let lit = amounts.iter().all(|amount| *amount > 0.0);
    lit.then(|| columns.map(|row| [0, 1, 2].map(|c| row[c] * amounts[c])))
}

/// What looks the same under another white: tristimulus values scaled as the eye adapts.
pub(crate) fn adapted(from: Chromaticity, to: Chromaticity) -> Option<Matrix> {
    let (from, to) = (transformed(&BRADFORD, xyz(from)), transformed(&BRADFORD, xyz(to)));
    let ratios = [0, 1, 2].map(|i| to[i] / from[i]);
    let scaled: Matrix = [0, 1, 2].map(|r| BRADFORD[r].map(|value| value * ratios[r]));
    Some(product(&inverse(&BRADFORD)?, &scaled))
}

/// The same hues, scaled so that nothing that goes in at full or less asks for more than full.
pub(crate) fn within_full(matrix: Matrix) -> Matrix {
    let most = |row: &[f64; 3]| row.iter().map(|value| value.max(0.0)).sum::<f64>();
    let scale = matrix.iter().map(most).fold(0.0, f64::max);
    if scale > 0.0 { matrix.map(|row| row.map(|value| value / scale)) } else { matrix }
}

/// A matrix made ready for many pixels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Mixer([[f32; 3]; 3]);

impl Mixer {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "24 bits are more than the 16 that come out"
    )]
    pub(crate) fn new(matrix: &Matrix) -> Self {
        Self(matrix.map(|row| row.map(|value| value as f32)))
    }

    /// Linear light of one pixel; what would be below 0 or above full is held there.
    #[inline(always)]
    pub(crate) fn mix(self, [red, green, blue]: [u16; 3]) -> [u16; 3] {
        let (red, green, blue) = (f32::from(red), f32::from(green), f32::from(blue));
        self.0.map(|row| nearest(row[0] * red + row[1] * green + row[2] * blue))
    }
}

/// Rounds to a whole number and holds it to 0 to full.
///
/// From 2^23 on, neighbouring `f32` are 1 apart, so that adding 2^23 rounds, and the low bits hold
/// the whole number. Unlike a cast, that runs on several values at once.
#[inline(always)]
pub(crate) fn nearest(value: f32) -> u16 {
    (value.max(0.0).min(f32::from(FULL)) + 8_388_608.0).to_bits() as u16
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: &Matrix, b: &Matrix, most: f64) -> bool {
        a.iter().flatten().zip(b.iter().flatten()).all(|(a, b)| (a - b).abs() <= most)
    }

    const NONE: Matrix = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

    /// The matrix of IEC 61966-2-1 to its four digits (second-hand: libraries that quote it).
    #[test]
    fn srgb_lamps() {
        let printed =
            [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]];
        let found = lamps(Chromaticity::SRGB, Chromaticity::D65).unwrap();
        assert!(close(&found, &printed, 1e-4), "{found:?}");
    }

    #[test]
    fn there_and_back_is_nothing() {
        let there = lamps(Chromaticity::SRGB, Chromaticity::D65).unwrap();
        assert!(close(&product(&inverse(&there).unwrap(), &there), &NONE, 1e-12));
        let warm = Chromaticity::new(0.4476, 0.4074).unwrap();
        let (to, back) =
            (adapted(Chromaticity::D65, warm).unwrap(), adapted(warm, Chromaticity::D65).unwrap());
        assert!(close(&product(&back, &to), &NONE, 1e-12));
        let white = transformed(&to, xyz(Chromaticity::D65));
        assert!(white.iter().zip(xyz(warm)).all(|(a, b)| (a - b).abs() < 1e-12));
    }

    #[test]
    fn lamps_in_one_line_mix_nothing() {
        let at = |x, y| Chromaticity::new(x, y).unwrap();
        assert_eq!(lamps([at(0.2, 0.2), at(0.3, 0.3), at(0.4, 0.4)], Chromaticity::D65), None);
        // A white that these three cannot make.
        assert_eq!(lamps(Chromaticity::SRGB, at(0.7, 0.29)), None);
    }

    #[test]
    fn nothing_asks_for_more_than_full() {
        let scaled = within_full([[1.5, 0.5, -0.5], [0.2, 0.2, 0.2], [0.0, 1.0, 0.0]]);
        assert_eq!(scaled[0], [0.75, 0.25, -0.25]);
        assert_eq!(scaled[2], [0.0, 0.5, 0.0]);
    }

    #[test]
    fn mixing_rounds_and_holds() {
        let mixer = Mixer::new(&[[0.5, 0.0, 0.0], [2.0, 0.0, 0.0], [-1.0, 0.0, 0.0]]);
        assert_eq!(mixer.mix([40_001, 9, 9]), [20_000, 65_535, 0]);
        assert_eq!(mixer.mix([3, 9, 9]), [2, 6, 0]);
        assert_eq!(Mixer::new(&NONE).mix([1, 32_768, 65_535]), [1, 32_768, 65_535]);
    }
}
