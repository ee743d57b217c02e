//! Readings held against the strip that was fitted to them: how far each is off, and which one is unlike
//! the others.
//!
//! A reading that is wrong pulls the fit toward itself, the more so the fewer there are. So each is judged
//! by the fit of the others: its miss over the error that it and they leave (the studentized residual of
//! least squares, by the slopes at the fit; e.g. Cook and Weisberg, *Residuals and Influence in
//! Regression*, 1982, from memory).

use super::fit::{Fit, NoFit, Reading, Rig, normal, shown, slopes, solve, squares};

/// Beyond this many errors a reading is unlike the others (a choice; where errors are as stated and normal,
/// one set of a hundred right readings in twenty holds such a one).
pub const ODD: f64 = 3.5;
/// Of its own weight; a reading that the fit hangs on this much cannot be judged by the others.
const FREE: f64 = 0.05;

/// A reading beside the fitted network.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Compared {
    /// What a meter would show on the fitted network, V or A as the reading.
    pub fitted: f64,
    /// What was read less that, in its own standard deviations.
    pub miss: f64,
    /// How unlike the others it is, in errors; `None` where they do not tell.
    pub unlike: Option<f64>,
}

/// Holds each reading against a fit of all of them.
///
/// # Errors
/// As [`super::fit::fit_all`], which gave the fit.
pub fn compared(
    rigs: &[Rig],
    readings: &[(usize, Reading)],
    fit: &Fit,
) -> Result<Vec<Compared>, NoFit> {
    let at = [fit.rail.0.ln(), fit.channel.0.ln()];
    let shown = shown(rigs, readings, at)?;
    let misses: Vec<f64> = shown
        .iter()
        .zip(readings)
        .map(|(shown, (_, reading))| {
            let (found, error) = reading.read.figure();
            (found - shown) / error
        })
        .collect();
    let slopes = slopes(rigs, readings, at)?;
    let (normal, _) = normal(&slopes, &misses);
    let all = squares(&misses);
    let others = readings.len().saturating_sub(3) as f64;
    let unlike = |slope: [f64; 2], miss: f64| {
        let [rail, channel] = solve(normal, slope)?;
        let free = 1.0 - (slope[0] * rail + slope[1] * channel);
        if others < 1.0 || free < FREE {
            return None;
        }
        // What the others scatter, never less than the errors that were stated.
        let scatter = ((all - miss * miss / free) / others).max(1.0).sqrt();
        Some(miss.abs() / (free.sqrt() * scatter))
    };
    let each = shown.iter().zip(&misses).zip(&slopes);
    Ok(each
        .map(|((fitted, miss), slope)| Compared {
            fitted: *fitted,
            miss: *miss,
            unlike: unlike(*slope, *miss),
        })
        .collect())
}

/// The reading that is most unlike the others, if it is beyond [`ODD`].
#[must_use]
pub fn odd_one_out(compared: &[Compared]) -> Option<usize> {
    let unlike = |i: &usize| compared[*i].unlike.unwrap_or(0.0);
    let most = (0..compared.len()).max_by(|a, b| unlike(a).total_cmp(&unlike(b)))?;
    (unlike(&most) > ODD).then_some(most)
}

#[cfg(test)]
mod tests {
    use glowloom_units::{Amps, Volts};

    use super::*;
    use crate::power::Network;
    use crate::power::fit::{Read, fit_all};
    use crate::power::measure::Place;

    /// A roll of 60 pixels, read at five places, and the current into it.
    fn set(off: [f64; 6]) -> (Vec<Rig>, Vec<(usize, Reading)>) {
        let text = "format = 1\n[wall]\nname = \"W\"\ncolumns = 60\nrows = 1\n[strip]\npart = \"ws2812b-30\"\n\
                    [[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = 60\nrows = 1\n";
        let wall = glowloom_design::read(text.as_bytes())
            .unwrap_or_else(|wrong| panic!("a wall: {wrong:?}"));
        let network = Network::bench(&wall, 60, Volts(5.0));
        let rigs = vec![Rig { network, lit: None }];
        let reading = |read| (0, Reading { levels: [1.0; 4], brightness: 0.3, read });
        let volts = |pixel| {
            let place = Place::Mark { strip: 1, pixel };
            reading(Read::Volts { place, found: Volts(0.0), error: Volts(0.01) })
        };
        let mut readings: Vec<_> = [9, 19, 29, 44, 59].map(volts).to_vec();
        readings.push(reading(Read::Amps { found: Amps(0.0), error: Amps(0.02) }));
        let right = shown(&rigs, &readings, [0.1_f64.ln(), 0.02_f64.ln()])
            .unwrap_or_else(|no| panic!("{no}"));
        for (((_, reading), right), off) in readings.iter_mut().zip(right).zip(off) {
            match &mut reading.read {
                Read::Volts { found, error, .. } => *found = Volts(right + off * error.0),
                Read::Amps { found, error } => *found = Amps(right + off * error.0),
                Read::FeedAmps { .. } => unreachable!("there is none"),
            }
        }
        (rigs, readings)
    }

    /// A reading's miss from the fit of all times its miss from the fit of the others is the square of how
    /// unlike it is, where errors are as stated.
    #[test]
    fn each_is_judged_by_the_others() {
        let (rigs, readings) = set([0.6, -0.4, 0.9, -0.7, 0.5, -0.3]);
        let fit = |readings: &[(usize, Reading)]| {
            fit_all(&rigs, readings).unwrap_or_else(|no| panic!("{no}"))
        };
        let all = compared(&rigs, &readings, &fit(&readings)).unwrap_or_default();
        let mut judged = 0;
        for (i, one) in all.iter().enumerate() {
            let Some(unlike) = one.unlike else { continue };
            let mut others = readings.clone();
            others.remove(i);
            let by_others = compared(&rigs, &readings, &fit(&others)).unwrap_or_default();
            let wanted = (one.miss * by_others[i].miss).sqrt();
            assert!((unlike / wanted - 1.0).abs() < 0.01, "{i}: {unlike}, not {wanted}");
            judged += 1;
        }
        assert!(judged >= 5, "{all:?}");
        assert_eq!(odd_one_out(&all), None);
    }

    /// One that is five errors off is named, whichever way; where the others scatter as much it is not.
    #[test]
    fn the_odd_one_is_named() {
        let odd = |off| {
            let (rigs, readings) = set(off);
            let fit = fit_all(&rigs, &readings).unwrap_or_else(|no| panic!("{no}"));
            odd_one_out(&compared(&rigs, &readings, &fit).unwrap_or_default())
        };
        assert_eq!(odd([0.3, 0.0, -6.0, 0.2, 0.1, 0.0]), Some(2));
        assert_eq!(odd([0.3, 7.0, 0.4, 0.2, 0.1, 0.0]), Some(1));
        assert_eq!(odd([0.3, 2.0, 0.4, 0.2, 0.1, 0.0]), None);
        assert_eq!(odd([-6.0, 5.0, -6.0, 7.0, 0.1, 0.0]), None);
    }
}
