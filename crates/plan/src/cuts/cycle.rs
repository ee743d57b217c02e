//! Sums that come out at a whole number of rolls: the lightest choice of pieces whose pixels add up
//! to nothing on a circle of one roll's pixels. By dynamic programming on the circle, in whole
//! numbers.

/// No choice leads there.
const NEVER: i64 = i64::MAX / 4;
/// Steps after which a walk over groups gives up.
const MOST_STEPS: usize = 10_000_000;

/// One kind of thing that leads along: pieces forwards, part rolls backwards.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Kind {
    /// Pixels of one; part rolls below zero.
    pub(super) pixels: i64,
    /// At least 1.
    pub(super) limit: u32,
    /// Not negative.
    pub(super) weight: i64,
}

/// For every place and every tail of the list of kinds: the least weight that leads to 0.
///
/// Places below zero, down to `depth`, lie on a straight line that joins the circle at 0: so far
/// part rolls lead back, and pieces must make up for it. With a depth of 0 part rolls lead back
/// round the circle.
#[derive(Clone, Debug)]
pub(super) struct Cycle {
    /// Places round the circle.
    round: u32,
    depth: u32,
    /// Part rolls first.
    kinds: Vec<Kind>,
    /// Row `j`: kinds from the `j`-th on; the last holds 0 at place 0 alone. The circle, then the
    /// line from -1 down.
    least: Vec<i64>,
}

impl Cycle {
    /// Part rolls come first. Also how many steps it took.
    pub(super) fn new(round: u32, depth: u32, kinds: Vec<Kind>) -> (Self, usize) {
        let n = (round + depth) as usize;
        let mut least = vec![NEVER; (kinds.len() + 1) * n];
        least[kinds.len() * n] = 0;
        let mut tables = Self { round, depth, kinds, least };
        let mut steps = 0;
        for j in (0..tables.kinds.len()).rev() {
            steps += tables.row(j);
        }
        (tables, steps)
    }

    /// Steps that the tables take, about.
    pub(super) fn steps(round: u32, depth: u32, kinds: &[(i64, u32)]) -> u64 {
        let each = |(pixels, limit): &(i64, u32)| {
            let back = (i64::from(depth) / pixels.abs().max(1)).unsigned_abs();
            let tries = back + if *pixels < 0 { 0 } else { u64::from(round) };
            u64::from(depth) * tries.min(u64::from(*limit)) + 6 * u64::from(round)
        };
        kinds.iter().map(each).sum()
    }

    fn row(&mut self, j: usize) -> usize {
        let (n, round, kind) =
            ((self.round + self.depth) as usize, self.round as usize, self.kinds[j]);
        let mut least = std::mem::take(&mut self.least);
        let (head, tail) = least.split_at_mut((j + 1) * n);
        let (new, old) = (&mut head[j * n..], &tail[..n]);
        let backwards = kind.pixels < 0 && self.depth > 0;
        if !backwards {
            let stride = kind.pixels.rem_euclid(i64::from(self.round)) as usize;
            spread(&mut new[..round], &old[..round], stride, kind);
        }
        let mut steps = 6 * round;
        // Place 0 and the line, one number of copies after the other.
        let first = if backwards { 0 } else { 1 };
        for back in first..=i64::from(self.depth) {
            let from = if back == 0 { 0 } else { round + back as usize - 1 };
            let mut best = NEVER;
            for k in 0..=self.most_from(j, back) {
                let Some(place) = self.place(i64::from(k) * kind.pixels - back) else { break };
                best = best.min(i64::from(k) * kind.weight + old[place]);
                steps += 1;
            }
            new[from] = best.min(NEVER);
        }
        self.least = least;
        steps
    }

    /// Where so many pixels are, or `None` beyond the line's end.
    fn place(&self, pixels: i64) -> Option<usize> {
        if pixels >= 0 || self.depth == 0 {
            return usize::try_from(pixels.rem_euclid(i64::from(self.round))).ok();
        }
        let back = u32::try_from(-pixels).ok().filter(|back| *back <= self.depth)?;
        Some((self.round + back - 1) as usize)
    }

    fn at(&self, from: usize, place: usize) -> i64 {
        self.least[from * (self.round + self.depth) as usize + place]
    }

    /// So many of a kind on from a place.
    fn along(&self, place: usize, j: usize, times: u32) -> Option<usize> {
        let round = self.round as usize;
        let pixels = if place < round { place as i64 } else { -((place - round + 1) as i64) };
        self.place(pixels + self.kinds[j].pixels * i64::from(times))
    }

    /// More of one kind than this leads nowhere new from so far back.
    fn most_from(&self, j: usize, back: i64) -> u32 {
        let kind = self.kinds[j];
        let on_line = u32::try_from(back / kind.pixels.abs().max(1) + 1).unwrap_or(u32::MAX);
        kind.limit.min(on_line.saturating_add(self.round))
    }

    /// The same from anywhere.
    fn most(&self, j: usize) -> u32 {
        self.most_from(j, i64::from(self.depth))
    }

    /// The lightest group that is not empty, with its weight.
    pub(super) fn lightest(&self) -> Option<(i64, Vec<u32>)> {
        let firsts = (0..self.kinds.len()).flat_map(|j| (1..=self.most(j)).map(move |k| (j, k)));
        let weighed = firsts.filter_map(|(j, k)| {
            let rest = self.at(j + 1, self.along(0, j, k)?);
            Some((self.kinds[j].weight * i64::from(k) + rest, j, k))
        });
        let (weight, first, times) = weighed.min_by_key(|(weight, ..)| *weight)?;
        if weight >= NEVER {
            return None;
        }
        let mut counts = vec![0; self.kinds.len()];
        counts[first] = times;
        let mut place = self.along(0, first, times)?;
        for (j, count) in counts.iter_mut().enumerate().skip(first + 1) {
            let wanted = self.at(j, place);
            let next = |k: &u32| {
                let rest = self.along(place, j, *k).map(|place| self.at(j + 1, place));
                rest.is_some_and(|rest| i64::from(*k) * self.kinds[j].weight + rest == wanted)
            };
            *count = (0..=self.most(j)).find(next)?;
            place = self.along(place, j, *count)?;
        }
        Some((weight, counts))
    }

    /// Every group of at most this weight that holds one of the first kind. Stops when `found` says
    /// so or after too many steps; says how many it took, and whether it came to its end.
    pub(super) fn groups(&self, most: i64, found: &mut dyn FnMut(&[u32]) -> bool) -> (usize, bool) {
        let mut walk = Walk { tables: self, counts: vec![0; self.kinds.len()], steps: 0, found };
        let ended = walk.down(0, 0, most);
        (walk.steps, ended)
    }
}

/// `new[p]`: the least of `k * weight + old[p + k * stride]` for `k` up to the limit, by a sliding
/// window along each round trip.
fn spread(new: &mut [i64], old: &[i64], stride: usize, Kind { limit, weight, .. }: Kind) {
    let n = new.len();
    let trips = super::problem::common(n as u32, stride as u32) as usize;
    let places = n / trips;
    let window = (limit as usize).min(places - 1);
    let mut queue: std::collections::VecDeque<(usize, i64)> = std::collections::VecDeque::new();
    for start in 0..trips {
        queue.clear();
        // Counted back from one window beyond the end of the trip.
        let mut place = (start + (places - 1 + window) * stride) % n;
        for p in (0..places + window).rev() {
            let value = old[place];
            if value < NEVER {
                let value = value + p as i64 * weight;
                while queue.back().is_some_and(|(_, last)| *last >= value) {
                    queue.pop_back();
                }
                queue.push_back((p, value));
            }
            if p < places {
                while queue.front().is_some_and(|(q, _)| *q > p + window) {
                    queue.pop_front();
                }
                new[place] = queue.front().map_or(NEVER, |(_, v)| v - p as i64 * weight);
            }
            place = (place + n - stride) % n;
        }
    }
}

struct Walk<'k, 'f> {
    tables: &'k Cycle,
    counts: Vec<u32>,
    steps: usize,
    found: &'f mut dyn FnMut(&[u32]) -> bool,
}

impl Walk<'_, '_> {
    /// `false`: enough.
    fn down(&mut self, j: usize, place: usize, most: i64) -> bool {
        self.steps += 1;
        if self.steps > MOST_STEPS {
            return false;
        }
        let tables = self.tables;
        if j == self.counts.len() {
            self.steps += j;
            return (self.found)(&self.counts);
        }
        for k in u32::from(j == 0)..=tables.most(j) {
            let rest = most - i64::from(k) * tables.kinds[j].weight;
            self.steps += 1;
            let Some(next) = tables.along(place, j, k).filter(|_| rest >= 0) else { break };
            if tables.at(j + 1, next) > rest {
                continue;
            }
            self.counts[j] = k;
            if !self.down(j + 1, next, rest) {
                return false;
            }
        }
        self.counts[j] = 0;
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn agrees_with_trying_all() {
        type Case<'c> = (u32, u32, &'c [(i64, u32, i64)]);
        let cases: [Case; 6] = [
            (12, 0, &[(9, 2, 5), (7, 3, 3), (4, 4, 4), (12, 1, 9)]),
            (15, 0, &[(6, 4, 2), (10, 2, 7), (1, 7, 3)]),
            (10, 0, &[(4, 3, 1), (3, 1, 1)]),
            // Part rolls on the line, and round a circle that is too long to go round.
            (10, 16, &[(-7, 1, 2), (-3, 3, 1), (4, 3, 1), (9, 2, 3), (1, 4, 2)]),
            (10, 18, &[(-9, 2, 0), (8, 3, 1), (3, 2, 5)]),
            (17, 0, &[(-7, 1, 2), (-3, 3, 1), (4, 3, 1), (1, 4, 2)]),
        ];
        for (round, depth, kinds) in cases {
            let mut every: Vec<Vec<u32>> = vec![vec![]];
            for (_, limit, _) in kinds {
                every = every
                    .into_iter()
                    .flat_map(|head| (0..=*limit).map(move |k| [&head[..], &[k]].concat()))
                    .collect();
            }
            let each = |g: &[u32], of: fn(&(i64, u32, i64)) -> i64| -> i64 {
                g.iter().zip(kinds).map(|(k, kind)| i64::from(*k) * of(kind)).sum()
            };
            every.retain(|g| {
                let long = each(g, |kind| kind.0);
                g.iter().any(|k| *k > 0) && long >= 0 && long % i64::from(round) == 0
            });
            let heavy = |g: &[u32]| each(g, |kind| kind.2);
            let least = every.iter().map(|g| heavy(g)).min();
            let kinds = kinds.iter();
            let kinds = kinds.map(|(pixels, limit, weight)| Kind {
                pixels: *pixels,
                limit: *limit,
                weight: *weight,
            });
            let (tables, _) = Cycle::new(round, depth, kinds.collect());
            let lightest = tables.lightest();
            assert_eq!(lightest.as_ref().map(|(weight, _)| *weight), least);
            if let Some((weight, group)) = lightest {
                assert_eq!(heavy(&group), weight);
                assert!(every.contains(&group));
            }
            let most = least.unwrap_or(0) + 12;
            let mut wanted: Vec<_> =
                every.into_iter().filter(|g| g[0] > 0 && heavy(g) <= most).collect();
            let mut found = Vec::new();
            let (_, ended) = tables.groups(most, &mut |group| {
                found.push(group.to_vec());
                true
            });
            wanted.sort();
            found.sort();
            assert!(ended);
            assert_eq!(found, wanted);
        }
    }
}
