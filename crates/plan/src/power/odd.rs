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
