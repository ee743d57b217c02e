//! Where a sound begins anew: beats.
//!
//! Spectral flux: by how much the bands of an octave or less have got louder within two hops, in dB, mean of
//! all. What gets quieter does not count. Power far below what has been heard lately counts as none, so
//! that the grain of silence is not taken for rhythm. A beat is where the flux passes a threshold that
//! stands above what the flux has been in the last second and a half.

/// Hops that a rise is measured over: as long as half a window, in which a sound comes in.
const LAG: usize = 2;

/// What is this far below the loudest of late is as good as silent, as a ratio of powers: 40 dB.
const FAINT: f32 = 1e-4;

/// And what is below this at all: 80 dB under full scale, where cheap inputs hiss.
const SILENT: f32 = 1e-8;

/// How much of the loudness of late is left after a second.
const FADE_A_SECOND: f32 = 0.5;

/// A band counts in full when it is this far above what is faint, dB.
const IN_FULL: f32 = 20.0;

/// At least so many bands are reckoned with: one alone makes no beat easily.
const LEAST_BANDS: f32 = 4.0;

/// A rise of less is never a beat: dB, mean over bands.
const LEAST_RISE: f32 = 2.4;

/// How far above the median of late a beat rises, as a multiple of what lies between that and the upper
/// quartile. Of evenly scattered rises one in millions does; beats are too few to move these two.
const DISTANCES: f32 = 9.0;

/// Finds beats in powers by band, hop by hop.
pub(crate) struct Onsets {
    /// dB of the bands, `LAG` hops back and since, oldest first.
    before: Vec<Vec<f32>>,
    /// Flux of late, as a ring, and the same in order.
    late: Vec<f32>,
    sorted: Vec<f32>,
    next: usize,
    loudest: f32,
    fade: f32,
    /// Hops to wait until the next beat, and after each.
    rest: usize,
    rests: usize,
}

impl Onsets {
    /// For so many bands and hops a second.
    pub(crate) fn new(bands: usize, hops_a_second: f32) -> Self {
        let hops = |seconds: f32| (seconds * hops_a_second).round().max(1.0) as usize;
        let silent = 10.0 * SILENT.log10();
        Self {
            before: vec![vec![silent; bands]; LAG],
            late: vec![0.0; hops(1.5)],
            sorted: vec![0.0; hops(1.5)],
            next: 0,
            loudest: 0.0,
            fade: FADE_A_SECOND.powf(1.0 / hops_a_second),
            rest: 0,
            // 0.12 s: no music has faster beats.
            rests: hops(0.12),
        }
    }

    /// Takes the powers of one hop. How strong a beat began: dB, mean over bands; `None`: none did.
    pub(crate) fn hear(&mut self, powers: &[f32]) -> Option<f32> {
        let rise = self.rise(powers);
        let threshold = self.threshold();
        if let Some(place) = self.late.get_mut(self.next) {
            *place = rise;
        }
        self.next = (self.next + 1) % self.late.len().max(1);
        self.rest = self.rest.saturating_sub(1);
        if rise < threshold || self.rest > 0 {
            return None;
        }
        self.rest = self.rests;
        Some(rise)
    }

    /// Mean rise of the bands that are not faint, dB.
    fn rise(&mut self, powers: &[f32]) -> f32 {
        let all: f32 = powers.iter().sum();
        self.loudest = all.max(self.loudest * self.fade);
        let floor = (self.loudest * FAINT / powers.len().max(1) as f32).max(SILENT);
        let faint = 10.0 * floor.log10();
        self.before.rotate_left(1);
        let [oldest, .., newest] = &mut self.before[..] else { return 0.0 };
        let (mut sum, mut count) = (0.0, 0.0f32);
        for ((was, into), power) in oldest.iter().zip(newest.iter_mut()).zip(powers) {
            let now = 10.0 * (power + floor).log10();
            // What was before is brought up to the floor of today.
            let was = was.max(faint);
            let counts = ((now.max(was) - faint) / IN_FULL).min(1.0);
            sum += (now - was).max(0.0) * counts;
            count += counts;
            *into = now;
        }
        sum / count.max(LEAST_BANDS)
    }

    /// What a rise has to pass, from the rises of late.
    fn threshold(&mut self) -> f32 {
        self.sorted.copy_from_slice(&self.late);
        self.sorted.sort_unstable_by(f32::total_cmp);
        let part = |quarters: usize| {
            self.sorted.get(self.sorted.len() * quarters / 4).copied().unwrap_or(0.0)
        };
        (part(2) + DISTANCES * (part(3) - part(2))).max(LEAST_RISE)
    }
}
