//! The quantities: one type a unit, SI inside.

use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

/// Declares a quantity: a number whose unit is its type. Sums, differences and multiples of one
/// unit always have a meaning; products of two units are declared one by one below.
macro_rules! quantity {
    ($($(#[$doc:meta])* $name:ident;)*) => { $(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, serde::Serialize)]
        #[serde(transparent)]
        pub struct $name(pub f64);

        impl $name {
            /// The larger of two; the other one where either is not a number.
            #[must_use]
            pub fn max(self, other: Self) -> Self { Self(self.0.max(other.0)) }
            /// The smaller of two; the other one where either is not a number.
            #[must_use]
            pub fn min(self, other: Self) -> Self { Self(self.0.min(other.0)) }
            /// The size without the sign.
            #[must_use]
            pub fn abs(self) -> Self { Self(self.0.abs()) }
        }
        impl Add for $name { type Output = Self; fn add(self, o: Self) -> Self { Self(self.0 + o.0) } }
        impl AddAssign for $name { fn add_assign(&mut self, o: Self) { self.0 += o.0; } }
        impl Sub for $name { type Output = Self; fn sub(self, o: Self) -> Self { Self(self.0 - o.0) } }
        impl Neg for $name { type Output = Self; fn neg(self) -> Self { Self(-self.0) } }
        impl Mul<f64> for $name { type Output = Self; fn mul(self, k: f64) -> Self { Self(self.0 * k) } }
        impl Div<f64> for $name { type Output = Self; fn div(self, k: f64) -> Self { Self(self.0 / k) } }
        /// The ratio of two of a kind has no unit.
        impl Div for $name { type Output = f64; fn div(self, o: Self) -> f64 { self.0 / o.0 } }
        impl Sum for $name { fn sum<I: Iterator<Item = Self>>(i: I) -> Self { Self(i.map(|q| q.0).sum()) } }
    )* };
}

quantity! {
    /// Potential difference, V.
    Volts;
    /// Current, A.
    Amps;
    /// Resistance, ohm.
    Ohms;
    /// Resistance of a conductor for its length, ohm/m.
    OhmsPerMetre;
    /// Power, W.
    Watts;
    /// Apparent power, VA.
    VoltAmps;
    /// Length, m.
    Metres;
    /// A count for each metre, 1/m.
    PerMetre;
    /// Time, s.
    Seconds;
    /// Frequency or rate, 1/s.
    Hertz;
    /// Mass, kg.
    Kilograms;
    /// Mass, g.
    Grams;
    /// Mass of something long for its length, kg/m.
    KilogramsPerMetre;
    /// Mass of something flat for its area, kg/m2.
    KilogramsPerSquareMetre;
    /// Density as makers of filament print it, g/cm3.
    GramsPerCubicCentimetre;
    /// Volume for each second, mm3/s.
    VolumeFlow;
    /// Stiffness of a material, Pa.
    Pascals;
    /// Light in one direction, cd.
    Candelas;
    /// Brightness of a surface, cd/m2.
    CandelasPerSquareMetre;
    /// Heat spread over a surface, W/m2.
    WattsPerSquareMetre;
    /// Volume, m3.
    CubicMetres;
    /// Time as a workshop counts it, h.
    Hours;
    /// Level: ten times the decimal logarithm of a ratio of powers, dB. To what, is said where it stands.
    Decibels;
    /// Rise or fall of a level, dB/s.
    DecibelsPerSecond;
}

/// Declares products and the quotients that follow from them.
macro_rules! product {
    ($($a:ident * $b:ident = $c:ident;)*) => { $(
        impl Mul<$b> for $a { type Output = $c; fn mul(self, b: $b) -> $c { $c(self.0 * b.0) } }
        impl Mul<$a> for $b { type Output = $c; fn mul(self, a: $a) -> $c { $c(self.0 * a.0) } }
        impl Div<$a> for $c { type Output = $b; fn div(self, a: $a) -> $b { $b(self.0 / a.0) } }
        impl Div<$b> for $c { type Output = $a; fn div(self, b: $b) -> $a { $a(self.0 / b.0) } }
    )* };
}

product! {
    Volts * Amps = Watts;
    Amps * Ohms = Volts;
    OhmsPerMetre * Metres = Ohms;
    KilogramsPerMetre * Metres = Kilograms;
}

impl PerMetre {
    /// The distance from one to the next.
    #[must_use]
    pub fn pitch(self) -> Metres {
        Metres(1.0 / self.0)
    }
}

impl Seconds {
    /// How often a second something happens that takes this long.
    #[must_use]
    pub fn rate(self) -> Hertz {
        Hertz(1.0 / self.0)
    }
}

impl Hertz {
    /// How long one turn takes.
    #[must_use]
    pub fn period(self) -> Seconds {
        Seconds(1.0 / self.0)
    }
}

impl From<Seconds> for Hours {
    fn from(time: Seconds) -> Self {
        Self(time.0 / 3600.0)
    }
}

/// 1 g/cm3 is 1000 kg/m3.
impl Mul<GramsPerCubicCentimetre> for CubicMetres {
    type Output = Kilograms;
    fn mul(self, density: GramsPerCubicCentimetre) -> Kilograms {
        Kilograms(self.0 * density.0 * 1000.0)
    }
}

/// 1 m3 is 1e9 mm3.
impl Div<VolumeFlow> for CubicMetres {
    type Output = Seconds;
    fn div(self, flow: VolumeFlow) -> Seconds {
        Seconds(self.0 * 1e9 / flow.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ohms_law_in_every_direction() {
        assert_eq!(Volts(5.0) * Amps(2.0), Watts(10.0));
        assert_eq!(Watts(10.0) / Volts(5.0), Amps(2.0));
        assert_eq!(Ohms(2.5) * Amps(2.0), Volts(5.0));
        assert_eq!(Volts(5.0) / Amps(2.0), Ohms(2.5));
        assert_eq!(OhmsPerMetre(0.1) * Metres(2.0), Ohms(0.2));
    }

    #[test]
    fn a_pitch_and_a_rate_turn_round() {
        assert_eq!(PerMetre(40.0).pitch(), Metres(0.025));
        assert_eq!(Seconds(0.02).rate(), Hertz(50.0));
        assert_eq!(Hertz(50.0).period(), Seconds(0.02));
    }

    /// A litre of water weighs a kilogram; at 1 cm3 a second it takes 1000 s.
    #[test]
    fn a_volume_has_a_mass_and_takes_its_time() {
        let litre = CubicMetres(0.001);
        assert_eq!(litre * GramsPerCubicCentimetre(1.0), Kilograms(1.0));
        assert_eq!(litre / VolumeFlow(1000.0), Seconds(1000.0));
        assert_eq!(Hours::from(Seconds(5400.0)), Hours(1.5));
    }
}
