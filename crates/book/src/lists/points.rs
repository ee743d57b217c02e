//! The list of measuring points.

use std::io::{self, BufWriter, Write};

use glowloom_plan::meter::{At, Sheet};

use crate::field::field;

/// Writes what a meter should show on each kind of panel: `panels,place,back,front,why,quantity,unit,
/// brightness,expected,least,most,read`. Panels that are alike stand together, joined by semicolons;
/// brightness is of the white picture that is shown, from 0 to 1; `read` is left open.
///
/// # Errors
/// Those of the writer.
pub fn points(sheet: &Sheet, out: &mut dyn Write) -> io::Result<()> {
    let mut out = BufWriter::new(out);
    out.write_all(
        b"panels,place,back,front,why,quantity,unit,brightness,expected,least,most,read\n",
    )?;
    for kind in &sheet.kinds {
        let panels = kind.panels.join("; ");
        let panels = field(&panels);
        for at in &kind.amps {
            let At { brightness, expected, least, most } = at;
            writeln!(
                out,
                "{panels},whole panel,,,all feeds together,current,A,{brightness},{:.2},{:.2},{:.2},",
                expected.0, least.0, most.0
            )?;
        }
        for point in &kind.points {
            let spot = &point.spot;
            let (words, back, front) = (field(&spot.words), field(&spot.back), field(&spot.front));
            let volts = point
                .volts
                .iter()
                .map(|at| ("volts,V", at.brightness, [at.expected.0, at.least.0, at.most.0]));
            let amps = point
                .amps
                .iter()
                .map(|at| ("current,A", at.brightness, [at.expected.0, at.least.0, at.most.0]));
            for (what, brightness, [expected, least, most]) in volts.chain(amps) {
                let why = field(point.why);
                writeln!(
                    out,
                    "{panels},{words},{back},{front},{why},{what},{brightness},{expected:.2},{least:.2},{most:.2},"
                )?;
            }
        }
    }
    out.flush()
}
