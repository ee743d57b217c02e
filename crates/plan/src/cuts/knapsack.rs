//! The most that one roll can hold, where each length has a weight: the question behind every bound
//! and every new pattern. By dynamic programming over pixels, in whole numbers, so that what it says
//! is exact.

/// For every number of pixels and every tail of the list of lengths: the most weight that fits.
/// Lengths come longest first, each no more often than its limit.
#[derive(Clone, Debug)]
pub(super) struct Knapsack {
    lengths: Vec<u32>,
    limits: Vec<u32>,
    weights: Vec<i64>,
    width: usize,
    /// Row `j`: lengths from the `j`-th on; one row more than lengths, the last all zero.
    best: Vec<i64>,
}

/// Steps after which a walk over fillings gives up.
const MOST_STEPS: usize = 10_000_000;

/// How many cells the tables of so many lengths and pixels have.
pub(super) fn cells(lengths: usize, pixels: u32) -> usize {
    (lengths + 1).saturating_mul(pixels as usize + 1)
}

impl Knapsack {
    /// Tables up to `most` pixels; weights are not negative. Also how many steps it took.
    pub(super) fn new(
        lengths: &[u32],
        limits: &[u32],
        weights: Vec<i64>,
        most: u32,
    ) -> (Self, usize) {
        let width = most as usize + 1;
        let mut best = vec![0; (lengths.len() + 1) * width];
        let mut steps = 0;
        for j in (0..lengths.len()).rev() {
            let (head, tail) = best.split_at_mut((j + 1) * width);
            let row = &mut head[j * width..];
            row.copy_from_slice(&tail[..width]);
            let mut left = limits[j].min(most / lengths[j]);
            // 1, 2, 4, .. copies at once make up every number up to the limit.
            let mut copies = 1;
            while left > 0 {
                let now = copies.min(left);
                let (wide, heavy) = ((now * lengths[j]) as usize, i64::from(now) * weights[j]);
                for at in (wide..width).rev() {
                    row[at] = row[at].max(row[at - wide] + heavy);
                }
                steps += width;
                (left, copies) = (left - now, copies * 2);
            }
        }
        let (lengths, limits) = (lengths.to_vec(), limits.to_vec());
        let steps = steps + best.len();
        (Self { lengths, limits, weights, width, best }, steps)
    }

    fn at(&self, from: usize, pixels: u32) -> i64 {
        self.best[from * self.width + pixels as usize]
    }

    /// The most weight that fits into so many pixels.
    pub(super) fn most(&self, pixels: u32) -> i64 {
        self.at(0, pixels)
    }

    /// How often each length comes in the heaviest filling; of equals the one with the most of the
    /// longest.
    pub(super) fn filling(&self, pixels: u32) -> Vec<u32> {
        let mut left = pixels;
        let mut counts = vec![0; self.lengths.len()];
        for (j, count) in counts.iter_mut().enumerate() {
            let (length, wanted) = (self.lengths[j], self.at(j, left));
            *count = (0..=self.limits[j].min(left / length))
                .rev()
                .find(|k| {
                    i64::from(*k) * self.weights[j] + self.at(j + 1, left - k * length) == wanted
                })
                .unwrap_or(0);
            left -= *count * length;
        }
        counts
    }

    /// Every filling of at least this weight that holds the `must`-th length and none before it,
    /// and into which no further piece would fit. Stops when `found` says so or after too many
    /// steps; says how many it took, and whether it came to its end.
    pub(super) fn fillings(
        &self,
        pixels: u32,
        must: usize,
        least: i64,
        found: &mut dyn FnMut(&[u32]) -> bool,
    ) -> (usize, bool) {
        let mut walk =
            Walk { tables: self, counts: vec![0; self.lengths.len()], must, steps: 0, found };
        let ended = walk.down(must, pixels, least);
        (walk.steps, ended)
    }
}

struct Walk<'k, 'f> {
    tables: &'k Knapsack,
    counts: Vec<u32>,
    must: usize,
    steps: usize,
    found: &'f mut dyn FnMut(&[u32]) -> bool,
}

impl Walk<'_, '_> {
    /// `false`: enough.
    fn down(&mut self, j: usize, left: u32, least: i64) -> bool {
        self.steps += 1;
        if self.steps > MOST_STEPS {
            return false;
        }
        let tables = self.tables;
        let Some(length) = tables.lengths.get(j).copied() else {
            self.steps += self.counts.len();
            return !self.is_full(left) || (self.found)(&self.counts);
        };
        let first = u32::from(j == self.must);
        for k in (first..=tables.limits[j].min(left / length)).rev() {
            let rest = least - i64::from(k) * tables.weights[j];
            if tables.at(j + 1, left - k * length) < rest {
                continue;
            }
            self.counts[j] = k;
            if !self.down(j + 1, left - k * length, rest) {
                return false;
            }
        }
        self.counts[j] = 0;
        true
    }

    fn is_full(&self, left: u32) -> bool {
        let tables = self.tables;
        let mut spare = tables.lengths.iter().zip(&tables.limits).zip(&self.counts);
        spare.all(|((length, limit), count)| *length > left || limit == count)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every filling, by trying all.
    fn all(lengths: &[u32], limits: &[u32], pixels: u32) -> Vec<Vec<u32>> {
        let mut out = vec![vec![]];
        for limit in limits {
            out = out
                .into_iter()
                .flat_map(|head: Vec<u32>| (0..=*limit).map(move |k| [&head[..], &[k]].concat()))
                .collect();
        }
        let long = |f: &Vec<u32>| f.iter().zip(lengths).map(|(k, l)| k * l).sum::<u32>();
        out.retain(|filling| long(filling) <= pixels);
        out
    }

    #[test]
    fn agrees_with_trying_all() {
        let (lengths, limits) = ([9, 7, 4, 3], [2, 1, 3, 5]);
        let weights = vec![10, 8, 4, 3];
        let heavy = |f: &[u32]| f.iter().zip(&weights).map(|(k, w)| i64::from(*k) * w).sum::<i64>();
        let (tables, _) = Knapsack::new(&lengths, &limits, weights.clone(), 30);
        for pixels in 0..=30 {
            let every = all(&lengths, &limits, pixels);
            let most = every.iter().map(|f| heavy(f)).max().unwrap();
            assert_eq!(tables.most(pixels), most, "{pixels}");
            assert_eq!(heavy(&tables.filling(pixels)), most, "{pixels}");
            for must in 0..4 {
                let full = |f: &Vec<u32>| {
                    let long: u32 = f.iter().zip(&lengths).map(|(k, l)| k * l).sum();
                    (0..4).all(|i| f[i] == limits[i] || long + lengths[i] > pixels)
                };
                let mut wanted: Vec<_> = every
                    .iter()
                    .filter(|f| f[must] > 0 && f[..must].iter().all(|k| *k == 0))
                    .filter(|f| heavy(f) >= most - 2 && full(f))
                    .cloned()
                    .collect();
                let mut found = Vec::new();
                let (_, ended) = tables.fillings(pixels, must, most - 2, &mut |filling| {
                    found.push(filling.to_vec());
                    true
                });
                wanted.sort();
                found.sort();
                assert!(ended);
                assert_eq!(found, wanted, "{pixels} pixels from length {must}");
            }
        }
    }
}
