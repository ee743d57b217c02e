//! What is printed at one time: copies of one part, as many as lie on the bed.

use glowloom_units::{Hours, Metres, VolumeFlow};
use serde::Serialize;

use super::grains::{Grains, Volume};

/// Left free between two copies (common practice, no source).
const BETWEEN: Metres = Metres(0.005);

/// One print, done so many times. Copies lie in columns and rows, from the bed's front left.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Plate {
    /// The name of the part.
    pub part: String,
    /// Of the part on the bed; at least 1.
    pub copies: u64,
    /// How often it is printed; at least 1.
    pub times: u64,
    /// That it takes each time.
    pub hours_each: Hours,
    /// How the copies lie.
    #[serde(skip)]
    pub lay: Lay,
}

/// How copies of a part lie on the bed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Lay {
    /// Copies side by side before the next row begins; at least 1.
    pub abreast: u64,
    /// Whether each is turned by a quarter.
    pub turned: bool,
    /// From one copy to the next: to the right, and to the back.
    pub step: (Grains, Grains),
}

/// A part that is to be printed.
pub(super) struct Job<'n> {
    pub name: &'n str,
    /// To the right and to the back, as drawn.
    pub size: (Grains, Grains),
    pub volume: Volume,
    pub wanted: u64,
}

/// What prints them.
pub(super) struct Printer {
    /// Width and depth.
    pub bed: (Grains, Grains),
    pub flow: VolumeFlow,
    /// That it runs.
    pub day: Hours,
}

/// Full plates of a part, and one with the rest. A plate holds no more copies than are done within
/// a day's hours, unless one copy alone takes longer.
pub(super) fn plates(job: &Job<'_>, printer: &Printer) -> Vec<Plate> {
    let bed = printer.bed;
    let one = Hours::from(job.volume.cubic_metres() / printer.flow);
    let (size, turned_size) = (job.size, (job.size.1, job.size.0));
    let upright = (copies(size.0, bed.0), copies(size.1, bed.1));
    let turned = (copies(turned_size.0, bed.0), copies(turned_size.1, bed.1));
    let turn = turned.0 * turned.1 > upright.0 * upright.1;
    let (size, fitting) = if turn { (turned_size, turned) } else { (size, upright) };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates")]
    let in_a_day = (printer.day / one + 1e-9).floor() as u64;
    // A part that is on the list fits the bed; what does not is said elsewhere.
    let full = (fitting.0 * fitting.1).min(in_a_day).max(1);
    let between = Grains::of(BETWEEN);
    let lay =
        Lay { abreast: fitting.0.max(1), turned: turn, step: (size.0 + between, size.1 + between) };
    let plate = |copies: u64, times: u64| {
        #[expect(clippy::cast_precision_loss, reason = "copies on a bed")]
        let hours_each = one * copies as f64;
        let part = job.name.to_owned();
        (copies * times > 0).then_some(Plate { part, copies, times, hours_each, lay })
    };
    let whole = plate(full, job.wanted / full);
    whole.into_iter().chain(plate(job.wanted % full, 1)).collect()
}

/// How many of that size lie beside each other.
fn copies(size: Grains, bed: Grains) -> u64 {
    let between = Grains::of(BETWEEN);
    let copies = (bed + between).0 / (size + between).0.max(1);
    u64::try_from(copies).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(millimetres: i64) -> Grains {
        Grains(millimetres * 32_768)
    }

    fn lay(size: (i64, i64), wanted: u64) -> Vec<(u64, u64, bool)> {
        lay_within(24.0, size, wanted)
    }

    fn lay_within(day: f64, size: (i64, i64), wanted: u64) -> Vec<(u64, u64, bool)> {
        let size = (mm(size.0), mm(size.1));
        let volume = mm(10).volume(mm(10), mm(36));
        let job = Job { name: "part", size, volume, wanted };
        let bed = (mm(220), mm(200));
        let plates = plates(&job, &Printer { bed, flow: VolumeFlow(1.0), day: Hours(day) });
        // 3,600 mm3 each at 1 mm3/s.
        for plate in &plates {
            let copies = f64::from(u32::try_from(plate.copies).unwrap());
            assert!((plate.hours_each.0 - copies).abs() < 1e-9);
        }
        plates.iter().map(|plate| (plate.copies, plate.times, plate.lay.turned)).collect()
    }

    #[test]
    fn full_plates_and_one_with_the_rest() {
        assert_eq!(lay((200, 200), 8), [(1, 8, false)]);
        // 105 + 5 + 105 = 215 of 220; one row of 200.
        assert_eq!(lay((105, 150), 5), [(2, 2, false), (1, 1, false)]);
        assert_eq!(lay((105, 150), 1), [(1, 1, false)]);
    }

    #[test]
    fn a_plate_is_done_within_a_day() {
        assert_eq!(lay_within(2.0, (50, 50), 7), [(2, 3, false), (1, 1, false)]);
        // One copy takes an hour: no less can be printed.
        assert_eq!(lay_within(0.5, (50, 50), 7), [(1, 7, false)]);
    }

    #[test]
    fn a_part_is_turned_where_more_of_it_lie_so() {
        // Upright 1 of 220 wide and 3 of 60 deep; turned 3 of 60 wide, but 200 deep is too short.
        assert_eq!(lay((210, 60), 6), [(3, 2, false)]);
        assert_eq!(lay((190, 50), 4), [(4, 1, true)]);
    }
}
