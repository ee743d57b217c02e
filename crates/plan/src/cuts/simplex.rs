//! A small linear programme whose columns come one by one: the simplex method with the basis'
//! inverse kept. In floating point: it guides, and proves nothing; proofs are made from its prices
//! in whole numbers by those who ask.

/// Reduced costs and pivots smaller than this are rounding.
const TINY: f64 = 1e-9;
/// Pivots after which the inverse is worked out anew.
const REFRESH: usize = 60;

/// What stands in a row of the basis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Basic {
    /// The row's own slack or surplus.
    Slack(usize),
    /// A column by its number.
    Column(usize),
}

#[derive(Clone, Debug)]
struct Column {
    cost: f64,
    entries: Vec<(usize, f64)>,
}

/// Least cost of columns that meet every row.
#[derive(Clone, Debug)]
pub(super) struct Simplex {
    wanted: Vec<f64>,
    /// +1 where a row is a ceiling, -1 where it is a floor.
    slack: Vec<f64>,
    columns: Vec<Column>,
    basis: Vec<Basic>,
    /// Row by row.
    inverse: Vec<f64>,
    /// Of what is in the basis, for wanted amounts moved a little so that no two rows tie.
    values: Vec<f64>,
    pivots: usize,
}

impl Simplex {
    /// No columns yet.
    pub(super) fn new(wanted: Vec<f64>, slack: Vec<f64>) -> Self {
        let basis = (0..wanted.len()).map(Basic::Slack).collect();
        let (inverse, values) = (Vec::new(), Vec::new());
        Self { wanted, slack, columns: Vec::new(), basis, inverse, values, pivots: 0 }
    }

    /// Adds a column and gives its number.
    pub(super) fn column(&mut self, cost: f64, entries: Vec<(usize, f64)>) -> usize {
        self.columns.push(Column { cost, entries });
        self.columns.len() - 1
    }

    /// Begins at a basis that meets every row.
    pub(super) fn begin(&mut self, basis: Vec<Basic>) -> bool {
        self.basis = basis;
        self.refresh()
    }

    fn rows(&self) -> usize {
        self.wanted.len()
    }

    fn entries(&self, basic: Basic) -> Vec<(usize, f64)> {
        match basic {
            Basic::Slack(row) => vec![(row, self.slack[row])],
            Basic::Column(c) => self.columns[c].entries.clone(),
        }
    }

    fn cost(&self, basic: Basic) -> f64 {
        match basic {
            Basic::Slack(_) => 0.0,
            Basic::Column(c) => self.columns[c].cost,
        }
    }

    /// What one more of each row's wanted amount would cost.
    pub(super) fn prices(&self) -> Vec<f64> {
        let n = self.rows();
        let mut prices = vec![0.0; n];
        for (row, basic) in self.basis.iter().enumerate() {
            let cost = self.cost(*basic);
            if cost != 0.0 {
                let inverse = &self.inverse[row * n..(row + 1) * n];
                prices.iter_mut().zip(inverse).for_each(|(price, v)| *price += cost * v);
            }
        }
        prices
    }

    /// Cost of the basis.
    pub(super) fn total(&self) -> f64 {
        self.exact().iter().zip(&self.basis).map(|(x, basic)| x * self.cost(*basic)).sum()
    }

    /// How much of each column is taken, where any is.
    pub(super) fn amounts(&self) -> Vec<(usize, f64)> {
        let taken = self.exact().into_iter().zip(&self.basis);
        taken
            .filter_map(|(x, basic)| match basic {
                Basic::Column(c) if x > TINY => Some((*c, x)),
                _ => None,
            })
            .collect()
    }

    /// Values for the amounts really wanted.
    fn exact(&self) -> Vec<f64> {
        let times = |row: &[f64]| row.iter().zip(&self.wanted).map(|(a, b)| a * b).sum();
        self.inverse.chunks(self.rows().max(1)).map(times).collect()
    }

    /// Takes in columns that lower the cost until none known does. Gives the steps it took, and
    /// whether it came to an end within `most` pivots.
    pub(super) fn improve(&mut self, most: usize) -> (usize, bool) {
        let mut steps = 0;
        for _ in 0..most {
            let prices = self.prices();
            let known: usize = self.columns.iter().map(|column| column.entries.len()).sum();
            steps += known + 3 * self.rows() * self.rows();
            let Some(entering) = self.cheapest(&prices) else { return (steps, true) };
            if !self.pivot(entering) {
                return (steps, true);
            }
        }
        (steps, false)
    }

    fn cheapest(&self, prices: &[f64]) -> Option<Basic> {
        let slacks = prices.iter().zip(&self.slack).map(|(price, sign)| -price * sign);
        let slacks = slacks.enumerate().map(|(row, reduced)| (Basic::Slack(row), reduced));
        let reduced = |column: &Column| {
            column.cost - column.entries.iter().map(|(row, a)| prices[*row] * a).sum::<f64>()
        };
        let columns = self.columns.iter().map(reduced).enumerate();
        let columns = columns.map(|(c, reduced)| (Basic::Column(c), reduced));
        let all = slacks.chain(columns).filter(|(_, reduced)| *reduced < -TINY);
        all.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(basic, _)| basic)
    }

    /// Brings one into the basis for the one that runs out first.
    fn pivot(&mut self, entering: Basic) -> bool {
        let n = self.rows();
        let mut direction = vec![0.0; n];
        for (row, amount) in self.entries(entering) {
            for (i, d) in direction.iter_mut().enumerate() {
                *d += amount * self.inverse[i * n + row];
            }
        }
        let mut leaving: Option<(usize, f64)> = None;
        for (i, d) in direction.iter().enumerate().filter(|(_, d)| **d > TINY) {
            let ratio = self.values[i].max(0.0) / d;
            if leaving.is_none_or(|(_, least)| ratio < least) {
                leaving = Some((i, ratio));
            }
        }
        let Some((out, ratio)) = leaving else { return false };
        self.basis[out] = entering;
        self.pivots += 1;
        if self.pivots.is_multiple_of(REFRESH) {
            return self.refresh();
        }
        let by = direction[out];
        let (before, rest) = self.inverse.split_at_mut(out * n);
        let (pivot_row, after) = rest.split_at_mut(n);
        pivot_row.iter_mut().for_each(|v| *v /= by);
        let others = before.chunks_mut(n).chain(after.chunks_mut(n));
        let factors = direction[..out].iter().chain(&direction[out + 1..]);
        for (row, factor) in others.zip(factors).filter(|(_, factor)| **factor != 0.0) {
            row.iter_mut().zip(&*pivot_row).for_each(|(v, p)| *v -= factor * p);
        }
        for (i, d) in direction.iter().enumerate() {
            self.values[i] = if i == out { ratio } else { self.values[i] - ratio * d };
        }
        true
    }

    /// Works out inverse and values from the basis. `false` where it is singular.
    fn refresh(&mut self) -> bool {
        let n = self.rows();
        let mut matrix = vec![0.0; n * n];
        for (column, basic) in self.basis.iter().enumerate() {
            for (row, amount) in self.entries(*basic) {
                matrix[row * n + column] += amount;
            }
        }
        let Some(inverse) = inverted(matrix, n) else { return false };
        self.inverse = inverse;
        // A different little for each row keeps the method from going round in circles.
        let moved: Vec<f64> =
            (0..n).map(|i| self.wanted[i] + 1e-7 * (1.0 + (i * 37 % 101) as f64 / 101.0)).collect();
        let times = |row: &[f64]| row.iter().zip(&moved).map(|(a, b)| a * b).sum();
        self.values = self.inverse.chunks(n.max(1)).map(times).collect();
        true
    }
}

/// By elimination, the largest pivot of each column first.
fn inverted(mut matrix: Vec<f64>, n: usize) -> Option<Vec<f64>> {
    let mut inverse = vec![0.0; n * n];
    (0..n).for_each(|i| inverse[i * n + i] = 1.0);
    for column in 0..n {
        let largest = (column..n)
            .max_by(|a, b| matrix[a * n + column].abs().total_cmp(&matrix[b * n + column].abs()))?;
        if matrix[largest * n + column].abs() < 1e-11 {
            return None;
        }
        for i in 0..n {
            matrix.swap(largest * n + i, column * n + i);
            inverse.swap(largest * n + i, column * n + i);
        }
        let by = matrix[column * n + column];
        for i in 0..n {
            matrix[column * n + i] /= by;
            inverse[column * n + i] /= by;
        }
        for row in (0..n).filter(|row| *row != column) {
            let factor = matrix[row * n + column];
            if factor != 0.0 {
                for i in 0..n {
                    matrix[row * n + i] -= factor * matrix[column * n + i];
                    inverse[row * n + i] -= factor * inverse[column * n + i];
                }
            }
        }
    }
    Some(inverse)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Most of 3x + 5y where x <= 4, 2y <= 12 and 3x + 2y <= 18 is 36 at (2, 6), at prices of
    /// 0, 3/2 and 1 (a worked example of many textbooks, from memory).
    #[test]
    fn a_worked_example() {
        let mut simplex = Simplex::new(vec![4.0, 12.0, 18.0], vec![1.0; 3]);
        let x = simplex.column(-3.0, vec![(0, 1.0), (2, 3.0)]);
        let y = simplex.column(-5.0, vec![(1, 2.0), (2, 2.0)]);
        assert!(simplex.begin((0..3).map(Basic::Slack).collect()));
        assert!(simplex.improve(20).1);
        assert!((simplex.total() + 36.0).abs() < 1e-6);
        let amounts = simplex.amounts();
        assert!(amounts.iter().any(|(c, v)| *c == x && (v - 2.0).abs() < 1e-6), "{amounts:?}");
        assert!(amounts.iter().any(|(c, v)| *c == y && (v - 6.0).abs() < 1e-6), "{amounts:?}");
        for (price, wanted) in simplex.prices().iter().zip([0.0, -1.5, -1.0]) {
            assert!((price - wanted).abs() < 1e-9);
        }
    }

    /// Floors: at least 4 of one and 6 of the other from columns that give (1, 1), (1, 0), (0, 2).
    #[test]
    fn floors_from_a_basis_that_meets_them() {
        let mut simplex = Simplex::new(vec![4.0, 6.0], vec![-1.0; 2]);
        let one = simplex.column(1.0, vec![(0, 1.0)]);
        let two = simplex.column(1.0, vec![(1, 2.0)]);
        simplex.column(1.0, vec![(0, 1.0), (1, 1.0)]);
        assert!(simplex.begin(vec![Basic::Column(one), Basic::Column(two)]));
        assert!(simplex.improve(20).1);
        // 4 of (1, 1) and 1 of (0, 2).
        assert!((simplex.total() - 5.0).abs() < 1e-6);
    }
}
