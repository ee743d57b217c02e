//! What benches of the book share.

use std::io::Write;
use std::time::Instant;

/// Counts bytes and forgets them.
pub struct Counted(pub usize);

impl Write for Counted {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0 += bytes.len();
        Ok(bytes.len())
    }
    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

/// The least, the median and the most of several runs, s.
pub fn seconds(runs: usize, mut run: impl FnMut()) -> [f64; 3] {
    let mut times: Vec<f64> = (0..runs)
        .map(|_| {
            let start = Instant::now();
            run();
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    [0, runs / 2, runs - 1].map(|i| times[i])
}
