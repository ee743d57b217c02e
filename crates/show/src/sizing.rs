//! Which part of a picture each pixel of the wall covers.
//!
//! All of it is whole-number arithmetic, so that a picture is never shifted by a rounding error: on
//! each axis a picture pixel is `unit` long and a wall pixel `step` long, in one common measure.

/// Which part of a picture is seen on a wall of other proportions. The wall's pixels are taken to be square.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Sizing {
    /// The wall is full; what does not fit is cut off, equally on both sides.
    #[default]
    Fill,
    /// The whole picture is seen; the rest of the wall is black, equally on both sides.
    Fit,
    /// The whole picture is seen and the wall is full; proportions are lost.
    Stretch,
}

/// How many picture pixels become one pixel of the wall.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Filter {
    /// By the mean of what it covers.
    #[default]
    Area,
    /// Crisper than the mean, with a little ringing beside edges (Lanczos of three lobes).
    Sharp,
}

/// How a picture is laid on a wall. A [`Sizing`] alone goes with [`Filter::Area`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Laying {
    /// Which part of the picture is where.
    pub sizing: Sizing,
    /// How many pixels become one.
    pub filter: Filter,
}

impl From<Sizing> for Laying {
    fn from(sizing: Sizing) -> Self {
        Self { sizing, filter: Filter::Area }
    }
}

/// The picture pixels under one wall pixel along one axis: `count` of them from `first` on.
///
/// The first weighs `head`, the last `tail`, those between [`Axis::whole`]; a single one weighs
/// `head`. Weights are shares of the wall pixel; they add up to 1 unless part of it is black.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Span {
    pub(crate) first: u32,
    pub(crate) count: u32,
    pub(crate) head: f32,
    pub(crate) tail: f32,
}

/// When every wall pixel that shows anything covers the same number of whole picture pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Even {
    /// The first wall pixel that shows anything, and how many do.
    pub(crate) at: u32,
    pub(crate) shown: u32,
    /// The picture pixel where it starts, and how many go to each wall pixel.
    pub(crate) first: u32,
    pub(crate) each: u32,
}

/// One axis of a picture laid on one axis of a wall.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Axis {
    pub(crate) spans: Vec<Span>,
    pub(crate) whole: f32,
    pub(crate) even: Option<Even>,
}

/// The measure of one axis: a picture pixel is `unit` long, a wall pixel `step`, and the first wall
/// pixel starts at `start` (the picture at 0).
#[derive(Clone, Copy)]
struct Measure {
    unit: i64,
    step: i64,
    start: i64,
}

/// Both axes, across and down, for a picture of `width` x `height` (each 1 to 65,535) on a wall of
/// `columns` x `rows` (each at least 1).
pub(crate) fn axes(picture: (u32, u32), wall: (u32, u32), sizing: Sizing) -> (Axis, Axis) {
    let (across, down) = measures(picture, wall, sizing);
    (lay(across, picture.0, wall.0), lay(down, picture.1, wall.1))
}

/// Where the middle of each wall pixel lies along one axis, in picture pixels, and the share of it that
/// is on the picture.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Centres {
    pub(crate) places: Vec<(f64, f64)>,
    /// A wall pixel, in picture pixels.
    pub(crate) width: f64,
}

/// The same for [`Filter::Sharp`].
pub(crate) fn centres(picture: (u32, u32), wall: (u32, u32), sizing: Sizing) -> (Centres, Centres) {
    let (across, down) = measures(picture, wall, sizing);
    (centres_of(across, picture.0, wall.0), centres_of(down, picture.1, wall.1))
}

fn centres_of(measure: Measure, len: u32, wall: u32) -> Centres {
    let Measure { unit, step, start } = measure;
    let end = i64::from(len) * unit;
    let place = |index: u32| {
        let from = start + i64::from(index) * step;
        let covered = (from + step).min(end) - from.max(0);
        let middle = (2 * from + step) as f64 / (2 * unit) as f64;
        (middle, covered.max(0) as f64 / step as f64)
    };
    Centres { places: (0..wall).map(place).collect(), width: step as f64 / unit as f64 }
}

fn measures(
    (width, height): (u32, u32),
    (columns, rows): (u32, u32),
    sizing: Sizing,
) -> (Measure, Measure) {
    let (w, h) = (i64::from(width), i64::from(height));
    let (c, r) = (i64::from(columns), i64::from(rows));
    // The axis that is filled exactly gives the scale; on the other one the picture is centred.
    let filled = |len: i64, wall: i64| Measure { unit: wall, step: len, start: 0 };
    let centred = |len: i64, wall: i64, other_len: i64, other_wall: i64| Measure {
        unit: 2 * other_wall,
        step: 2 * other_len,
        start: len * other_wall - wall * other_len,
    };
    let across_fills = match sizing {
        Sizing::Stretch => {
            return (filled(w, c), filled(h, r));
        }
        Sizing::Fill => c * h >= r * w,
        Sizing::Fit => c * h <= r * w,
    };
    if across_fills {
        (filled(w, c), centred(h, r, w, c))
    } else {
        (centred(w, c, h, r), filled(h, r))
    }
}

/// The spans of `wall` pixels over `len` picture pixels.
fn lay(Measure { unit, step, start }: Measure, len: u32, wall: u32) -> Axis {
    let end = i64::from(len) * unit;
    let share = |part: i64| (part as f64 / step as f64) as f32;
    let span = |index: u32| {
        let from = start + i64::from(index) * step;
        let (from, to) = (from.max(0), (from + step).min(end));
        if from >= to {
            return Span::default();
        }
        let (first, last) = (from / unit, (to - 1) / unit);
        let head = ((first + 1) * unit).min(to) - from;
        let tail = to - (last * unit).max(from);
        Span {
            first: first as u32,
            count: (last - first + 1) as u32,
            head: share(head),
            tail: share(tail),
        }
    };
    let spans: Vec<Span> = (0..wall).map(span).collect();
    let aligned = step % unit == 0 && start % unit == 0;
    let even = if aligned { evenness(&spans, (step / unit) as u32) } else { None };
    Axis { spans, whole: share(unit), even }
}

/// Spans that start and end on picture pixels are even if none is cut short by the picture's edge.
fn evenness(spans: &[Span], each: u32) -> Option<Even> {
    let at = spans.iter().position(|span| span.count > 0)?;
    let shown = spans.iter().filter(|span| span.count > 0).count();
    let all_whole = spans[at..].iter().take(shown).all(|span| span.count == each);
    all_whole.then_some(Even { at: at as u32, shown: shown as u32, first: spans[at].first, each })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sum(axis: &Axis, index: usize) -> f64 {
        let span = axis.spans[index];
        match span.count {
            0 => 0.0,
            1 => f64::from(span.head),
            n => {
                f64::from(span.head)
                    + f64::from(span.tail)
                    + f64::from(n - 2) * f64::from(axis.whole)
            }
        }
    }

    #[test]
    fn fill_cuts_both_sides_alike() {
        // 1920 x 1080 on 60 x 32: 32 x 32 to a pixel, 28 rows cut off above and below.
        let (across, down) = axes((1920, 1080), (60, 32), Sizing::Fill);
        assert_eq!(across.even, Some(Even { at: 0, shown: 60, first: 0, each: 32 }));
        assert_eq!(down.even, Some(Even { at: 0, shown: 32, first: 28, each: 32 }));
    }

    #[test]
    fn fit_leaves_bars_on_both_sides_alike() {
        // 4 x 8 on 6 x 4: 2 x 2 to a pixel, the picture 2 columns wide in the middle.
        let (across, down) = axes((4, 8), (6, 4), Sizing::Fit);
        assert_eq!(across.even, Some(Even { at: 2, shown: 2, first: 0, each: 2 }));
        assert_eq!(down.even, Some(Even { at: 0, shown: 4, first: 0, each: 2 }));
        assert_eq!(across.spans[1].count, 0);
        // 3 x 6 on 4 x 3: 1.5 columns wide, so the outer of two columns are lit by three quarters.
        let (across, _) = axes((3, 6), (4, 3), Sizing::Fit);
        assert_eq!(across.even, None);
        let lit: Vec<f64> = (0..4).map(|column| sum(&across, column)).collect();
        assert_eq!(lit, [0.0, 0.75, 0.75, 0.0]);
    }

    #[test]
    fn weights_of_every_wall_pixel_add_up() {
        for sizing in [Sizing::Fill, Sizing::Stretch] {
            for len in [1, 2, 3, 7, 60, 61, 999, 65_535] {
                for wall in [1, 2, 3, 10, 59, 64] {
                    let (across, down) = axes((len, 13), (wall, 5), sizing);
                    for index in 0..wall as usize {
                        assert!((sum(&across, index) - 1.0).abs() < 1e-6, "{len} on {wall}");
                    }
                    assert!((sum(&down, 4) - 1.0).abs() < 1e-6);
                }
            }
        }
    }

    #[test]
    fn neighbours_share_the_pixel_between_them() {
        // 3 picture pixels on 2 wall pixels: 1 1/2 each.
        let (across, _) = axes((3, 1), (2, 1), Sizing::Stretch);
        let two_thirds = 2.0f32 / 3.0;
        let third = 1.0f32 / 3.0;
        assert_eq!(across.spans[0], Span { first: 0, count: 2, head: two_thirds, tail: third });
        assert_eq!(across.spans[1], Span { first: 1, count: 2, head: third, tail: two_thirds });
    }

    #[test]
    fn enlarging_gives_one_pixel_to_many() {
        let (across, _) = axes((1, 1), (3, 3), Sizing::Fill);
        assert!(across.spans.iter().all(|s| (s.first, s.count, s.head) == (0, 1, 1.0)));
        assert_eq!(across.even, None);
    }
}
