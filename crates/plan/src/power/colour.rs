//! How white "white" still is where the voltage has fallen: colours lose light below their knees one
//! after the other.
//!
//! The strip's own primaries are not known, so its colours are taken for those of sRGB (ITU-R BT.709,
//! IEC 61966-2-1) and its white channel, if there is one, for their white: the shift is an estimate.

use glowloom_units::Volts;
use serde::Serialize;

use super::sinks::Law;

/// CIE XYZ of red, green and blue full on (IEC 61966-2-1).
const XYZ: [[f64; 3]; 3] =
    [[0.4124, 0.2126, 0.0193], [0.3576, 0.7152, 0.1192], [0.1805, 0.0722, 0.9505]];

/// Light that is left of each colour of white, and where its colour has gone.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct WhiteLeft {
    /// Red, green, blue, white: 0 to 1 of what volts enough would give; white 0 on strips without.
    pub light: [f64; 4],
    /// From white with volts enough, in CIE 1976 u'v'; about 0.001 is one step of the usual ellipses
    /// (from memory), 0.02 is plain to everybody. Null where nothing is lit.
    pub shift: Option<f64>,
}

impl WhiteLeft {
    /// White at a voltage.
    #[must_use]
    pub fn at(law: &Law, volts: Volts) -> Self {
        let light = law.light(volts);
        let full = law.light(law.top_knee());
        let shift = chromaticity(light).zip(chromaticity(full));
        let shift = shift.map(|([u, v], [u0, v0])| (u - u0).hypot(v - v0));
        Self { light, shift }
    }
}

/// u' and v' (CIE 15): 4X / (X + 15Y + 3Z) and 9Y / (X + 15Y + 3Z).
fn chromaticity([red, green, blue, white]: [f64; 4]) -> Option<[f64; 2]> {
    let light = [red + white, green + white, blue + white];
    let sum_of = |i: usize| -> f64 { XYZ.iter().zip(light).map(|(p, level)| p[i] * level).sum() };
    let [x, y, z] = [0, 1, 2].map(sum_of);
    let sum = x + 15.0 * y + 3.0 * z;
    (sum > 0.0).then(|| [4.0 * x / sum, 9.0 * y / sum])
}

#[cfg(test)]
mod tests {
    use super::*;
    use glowloom_units::Amps;

    /// D65 is u' 0.1978, v' 0.4683; red of sRGB 0.4507, 0.5229 (from memory, both well known).
    #[test]
    fn known_colours() {
        let near = |light, wanted: [f64; 2]| {
            let found = chromaticity(light).unwrap();
            assert!(found.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 2e-4), "{found:?}");
        };
        near([1.0, 1.0, 1.0, 0.0], [0.1978, 0.4683]);
        near([0.0, 0.0, 0.0, 0.5], [0.1978, 0.4683]);
        near([1.0, 0.0, 0.0, 0.0], [0.4507, 0.5229]);
        assert_eq!(chromaticity([0.0; 4]), None);
    }

    #[test]
    fn white_turns_red_as_volts_fall() {
        let strip = "format = 1\n[wall]\nname = \"W\"\ncolumns = 2\nrows = 2\n[strip]\npart = \
                     \"ws2812b-30\"\n[[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = 2\nrows = 2\n";
        let law = Law::of(&glowloom_design::read(strip.as_bytes()).unwrap().strip);
        assert_eq!(law.channel_amps(), Amps(0.020));
        let shift = |volts| WhiteLeft::at(&law, Volts(volts)).shift.unwrap();
        assert!(shift(3.8) < 1e-12 && shift(5.0) < 1e-12);
        assert!(shift(3.0) > shift(3.5) && shift(2.6) > shift(3.0), "{}", shift(3.5));
        // By hand from the matrix: at 2.6 V green and blue keep 0.684 of their light.
        assert!((shift(2.6) - 0.0209).abs() < 5e-4, "{}", shift(2.6));
        // Below the red knee all fall together: the colour stays.
        assert!((shift(2.6) - shift(1.0)).abs() < 1e-9);
        assert_eq!(WhiteLeft::at(&law, Volts(0.0)).shift, None);
    }
}
