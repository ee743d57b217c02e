//! The list of labels.

use std::io::{self, BufWriter, Write};

use crate::field::field;
use crate::labels::Label;

/// Writes what stands on every label, for a printer of labels: `panel,thing,title,first,second,code`.
/// `first` and `second` are its lines; `code` is what a code for a phone holds.
///
/// # Errors
/// Those of the writer.
pub fn labels(labels: &[Label], out: &mut dyn Write) -> io::Result<()> {
    let mut out = BufWriter::new(out);
    out.write_all(b"panel,thing,title,first,second,code\n")?;
    for label in labels {
        let [first, second] = &label.lines;
        writeln!(
            out,
            "{},{},{},{},{},{}",
            field(&label.panel),
            label.thing.word(),
            field(&label.title),
            field(first),
            field(second),
            field(&label.address),
        )?;
    }
    out.flush()
}
