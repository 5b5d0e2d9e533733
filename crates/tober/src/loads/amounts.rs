//! The greatest of a linear sum of amounts that balance and of which none is below zero: a linear
//! program.
//!
//! ```text
//!   greatest  Σ gain · amount     where  Σ column · amount + Σ free column · anything = sum
//! ```
//!
//! The answer brings prices, one for each row, that prove it: no column's gain is above what its
//! entries cost, so that no other amounts gain more than `Σ price · sum` (weak duality). They
//! prove a bound for any other sums as well.
//!
//! # Method
//!
//! The simplex method in two phases on a whole tableau: what is free is taken out first, then the
//! column that gains most comes in, and after a while, lest it go round in circles, the first that
//! gains anything (Bland). Where amounts are ruled out or let in, it goes on from where it was.
//! Programs here have a dozen rows and some fifty columns: a general solver (`microlp`, which the
//! tests hold it against) takes some ten times as long, and tells no prices.
//!
//! # Source
//!
//! Dantzig, *Linear Programming and Extensions*, 1963; Bland, *Mathematics of Operations Research*
//! 2, 1977 (memory).

/// What is too small to be anything, where the largest entries are about one.
const NOTHING: f64 = 1e-11;

/// What is left of a balance that holds but for rounding.
const BALANCED: f64 = 1e-9;

/// Steps after which the first column that gains comes in, not the one that gains most.
const MANY_STEPS: usize = 60;

/// Steps after which the search is given up.
const MOST_STEPS: usize = 1_000;

/// What amounts must balance and what each gains, and how far it is solved: columns
/// `free | amounts | one for each row`, and the sums last.
#[derive(Clone, Debug)]
pub(super) struct Program {
    /// Rows, and below them the gains: how long a column is.
    stride: usize,
    free: usize,
    /// Of every amount, whether it is let in.
    let_in: Vec<bool>,
    /// Column after column.
    entries: Vec<f64>,
    /// Of every row, the column that it is solved for.
    solved: Vec<Option<usize>>,
    /// A column while it is taken out of all others.
    taken: Vec<f64>,
    steps: usize,
}

/// The amounts that gain most.
#[derive(Clone, Debug)]
pub(super) struct Answer {
    pub(super) amounts: Vec<f64>,
    /// Of every row.
    pub(super) prices: Vec<f64>,
}

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum NoAnswer {
    /// No amounts balance: with each row taken so many times, no column comes to less than nothing,
    /// and the sums do (Farkas).
    CannotBalance(Vec<f64>),
    /// There is no end to what is gained, or the numbers are absurd.
    NotFound,
}

impl Program {
    /// So many rows, nothing in them.
    pub(super) fn new(rows: usize) -> Program {
        Program {
            stride: rows + 1,
            free: 0,
            let_in: Vec::new(),
            entries: Vec::with_capacity((rows + 1) * (4 * rows + 40)),
            solved: vec![None; rows],
            taken: Vec::with_capacity(rows + 1),
            steps: 0,
        }
    }

    fn push(&mut self, gain: f64, entries: impl IntoIterator<Item = (usize, f64)>) {
        let start = self.entries.len();
        self.entries.resize(start + self.stride, 0.0);
        let rows = self.solved.len();
        if let Some(column) = self.entries.get_mut(start..) {
            for (row, entry) in entries.into_iter().chain([(rows, gain)]) {
                if let Some(it) = column.get_mut(row) {
                    *it = entry;
                }
            }
        }
    }

    /// Something that may be above zero or below, and what a unit of it adds to each row. Such come
    /// before all amounts.
    pub(super) fn free(&mut self, entries: impl IntoIterator<Item = (usize, f64)>) {
        self.push(0.0, entries);
        self.free += 1;
    }

    /// An amount: what a unit of it gains, and adds to each row.
    pub(super) fn amount(&mut self, gain: f64, entries: impl IntoIterator<Item = (usize, f64)>) {
        self.push(gain, entries);
        self.let_in.push(true);
    }

    /// What the rows come to, once all amounts are told.
    pub(super) fn sums(&mut self, sums: &[f64]) {
        for row in 0..self.solved.len() {
            self.push(0.0, [(row, 1.0)]);
        }
        self.push(0.0, sums.iter().copied().enumerate());
        self.take_out_what_is_free();
    }

    /// Lets an amount in, or rules it out.
    pub(super) fn let_in(&mut self, amount: usize, whether: bool) {
        if let Some(it) = self.let_in.get_mut(amount) {
            *it = whether;
        }
        // A row that is solved for what is ruled out lacks as much.
        let column = Some(self.free + amount);
        for solved in self
            .solved
            .iter_mut()
            .filter(|it| !whether && **it == column)
        {
            *solved = None;
        }
    }

    /// The amounts that gain most.
    pub(super) fn greatest(&mut self) -> Result<Answer, NoAnswer> {
        self.steps = 0;
        self.balance()?;
        self.gain()?;
        Ok(self.answer())
    }

    fn entry(&self, row: usize, column: usize) -> f64 {
        let at = self.entries.get(column * self.stride + row);
        at.copied().unwrap_or(0.0)
    }

    fn sum(&self, row: usize) -> f64 {
        self.entry(row, self.free + self.let_in.len() + self.solved.len())
    }

    fn unsolved(&self) -> impl Iterator<Item = usize> + '_ {
        let rows = self.solved.iter().enumerate();
        rows.filter(|(_, solved)| solved.is_none())
            .map(|(row, _)| row)
    }

    /// Whether a row is solved for an amount, which may not fall below zero.
    fn is_bound(&self, row: usize) -> bool {
        let solved = self.solved.get(row).copied().flatten();
        solved.is_none_or(|column| column >= self.free)
    }

    /// Solves a row for a column, and takes that out of all others.
    fn pivot(&mut self, row: usize, column: usize) {
        let entry = self.entry(row, column);
        let start = column * self.stride;
        self.taken.clear();
        let own = self.entries.get(start..start + self.stride);
        self.taken.extend_from_slice(own.unwrap_or_default());
        for column in self.entries.chunks_exact_mut(self.stride) {
            let Some(share) = column.get(row).map(|it| it / entry) else {
                continue;
            };
            if share != 0.0 {
                let each = column.iter_mut().zip(&self.taken);
                each.for_each(|(it, own)| *it -= share * own);
                if let Some(it) = column.get_mut(row) {
                    *it = share;
                }
            }
        }
        if let Some(solved) = self.solved.get_mut(row) {
            *solved = Some(column);
        }
        self.steps += 1;
    }

    fn take_out_what_is_free(&mut self) {
        for column in 0..self.free {
            let size = |&row: &usize| self.entry(row, column).abs();
            let largest = self.unsolved().max_by(|a, b| size(a).total_cmp(&size(b)));
            if let Some(row) = largest.filter(|row| size(row) > NOTHING) {
                self.pivot(row, column);
            }
        }
    }

    /// Finds amounts that balance: what the unsolved rows lack is brought down to nothing.
    fn balance(&mut self) -> Result<(), NoAnswer> {
        let below: Vec<usize> = self.unsolved().filter(|&row| self.sum(row) < 0.0).collect();
        for row in below {
            for column in self.entries.chunks_exact_mut(self.stride) {
                if let Some(it) = column.get_mut(row) {
                    *it = -*it;
                }
            }
        }
        loop {
            let rows: Vec<usize> = self.unsolved().collect();
            let lacks = |column: &[f64]| -> f64 {
                let each = rows.iter().filter_map(|&row| column.get(row));
                each.sum()
            };
            let comes_in = self.gains_most(lacks);
            let lacking: f64 = rows.iter().map(|&row| self.sum(row)).sum();
            match comes_in.filter(|_| lacking > 0.0) {
                Some(column) => self.step(column)?,
                None if lacking <= BALANCED => break,
                None => return Err(NoAnswer::CannotBalance(self.own(lacks))),
            }
        }
        self.solve_what_lacks_nothing();
        Ok(())
    }

    /// A row that lacks nothing and is not solved for any column could come to lack something again.
    /// One without entries says nothing that the others do not.
    fn solve_what_lacks_nothing(&mut self) {
        let rows: Vec<usize> = self.unsolved().collect();
        for row in rows {
            let size = |column: &usize| self.entry(row, *column).abs();
            let largest = self.amounts().max_by(|a, b| size(a).total_cmp(&size(b)));
            if let Some(column) = largest.filter(|column| size(column) > BALANCED) {
                self.pivot(row, column);
            }
        }
    }

    /// Brings in columns that gain until none does.
    fn gain(&mut self) -> Result<(), NoAnswer> {
        while let Some(column) = self.gains_most(gain_of) {
            self.step(column)?;
        }
        Ok(())
    }

    /// The columns of the amounts that are let in.
    fn amounts(&self) -> impl Iterator<Item = usize> + '_ {
        let amounts = self.let_in.iter().enumerate();
        amounts
            .filter(|(_, let_in)| **let_in)
            .map(|(amount, _)| self.free + amount)
    }

    fn gains_most(&self, gain: impl Fn(&[f64]) -> f64) -> Option<usize> {
        let gains = self.amounts().filter_map(|column| {
            let start = column * self.stride;
            let entries = self.entries.get(start..start + self.stride)?;
            Some((column, gain(entries)))
        });
        let mut gains = gains.filter(|(_, gain)| *gain > NOTHING);
        let comes_in = if self.steps > MANY_STEPS {
            gains.next()
        } else {
            gains.max_by(|a, b| a.1.total_cmp(&b.1))
        };
        comes_in.map(|(column, _)| column)
    }

    /// As much of a column as the others let in: the row that gives out first is solved for it.
    fn step(&mut self, column: usize) -> Result<(), NoAnswer> {
        if self.steps > MOST_STEPS {
            return Err(NoAnswer::NotFound);
        }
        let rows = (0..self.solved.len()).filter(|&row| self.is_bound(row));
        let giving = rows.filter(|&row| self.entry(row, column) > NOTHING);
        let lasts = giving.map(|row| (self.sum(row).max(0.0) / self.entry(row, column), row));
        let first = lasts.min_by(|a, b| {
            // Of several, the one that was solved for the first column.
            let solved = |row: usize| self.solved.get(row).copied().flatten();
            a.0.total_cmp(&b.0)
                .then_with(|| solved(a.1).cmp(&solved(b.1)))
        });
        let (_, row) = first.ok_or(NoAnswer::NotFound)?;
        self.pivot(row, column);
        Ok(())
    }

    fn answer(&self) -> Answer {
        let mut amounts = vec![0.0; self.let_in.len()];
        for (row, solved) in self.solved.iter().enumerate() {
            let own = solved.and_then(|it| it.checked_sub(self.free));
            if let Some(amount) = own.and_then(|own| amounts.get_mut(own)) {
                *amount = self.sum(row).max(0.0);
            }
        }
        let prices = self.own(gain_of);
        Answer { amounts, prices }
    }

    /// How often every row was taken off to come to such gains.
    fn own(&self, gain: impl Fn(&[f64]) -> f64) -> Vec<f64> {
        let own = self.entries.chunks_exact(self.stride);
        let own = own
            .skip(self.free + self.let_in.len())
            .take(self.solved.len());
        own.map(|column| -gain(column)).collect()
    }
}

fn gain_of(column: &[f64]) -> f64 {
    column.last().copied().unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn program(free: &[&[f64]], amounts: &[(f64, &[f64])], sums: &[f64]) -> Program {
        let mut program = Program::new(sums.len());
        for column in free {
            program.free(column.iter().copied().enumerate());
        }
        for (gain, column) in amounts {
            program.amount(*gain, column.iter().copied().enumerate());
        }
        program.sums(sums);
        program
    }

    /// A worked example: the most of `3 x + 5 y` where `x ≤ 4`, `2 y ≤ 12` and `3 x + 2 y ≤ 18` is 36 at
    /// (2, 6), and a unit more of each limit is worth 0, 3/2 and 1 (Hillier & Lieberman,
    /// *Introduction to Operations Research*, chapters 3 and 4; memory).
    #[test]
    fn a_worked_example() {
        let columns: [(f64, &[f64]); 5] = [
            (3.0, &[1.0, 0.0, 3.0]),
            (5.0, &[0.0, 2.0, 2.0]),
            (0.0, &[1.0]),
            (0.0, &[0.0, 1.0]),
            (0.0, &[0.0, 0.0, 1.0]),
        ];
        let mut program = program(&[], &columns, &[4.0, 12.0, 18.0]);
        let Answer { amounts, prices } = program.greatest().unwrap();
        let near = |found: &[f64], by_hand: &[f64]| {
            let each = found.iter().zip(by_hand);
            each.clone().all(|(a, b)| (a - b).abs() < 1e-12) && each.count() == by_hand.len()
        };
        assert!(near(&amounts, &[2.0, 6.0, 2.0, 0.0, 0.0]), "{amounts:?}");
        assert!(near(&prices, &[0.0, 1.5, 1.0]), "{prices:?}");
        // Without y: 12 at (4, 0), the first limit worth 3. And with it again.
        program.let_in(1, false);
        let Answer { amounts, prices } = program.greatest().unwrap();
        assert!(near(&amounts, &[4.0, 0.0, 0.0, 12.0, 6.0]), "{amounts:?}");
        assert!(near(&prices, &[3.0, 0.0, 0.0]), "{prices:?}");
        program.let_in(1, true);
        assert!(near(&program.greatest().unwrap().prices, &[0.0, 1.5, 1.0]));
    }

    #[test]
    fn what_cannot_be_is_told() {
        // x + y = −1.
        let mut below = program(&[], &[(1.0, &[1.0]), (0.0, &[1.0])], &[-1.0]);
        let Err(NoAnswer::CannotBalance(prices)) = below.greatest() else {
            panic!("nothing balances that");
        };
        assert!(prices[0] > 0.0);
        // x − y = 1, and x gains.
        let mut endless = program(&[], &[(1.0, &[1.0]), (0.0, &[-1.0])], &[1.0]);
        assert_eq!(endless.greatest().unwrap_err(), NoAnswer::NotFound);
        // The same row twice.
        let mut twice = program(&[], &[(1.0, &[1.0, 2.0]), (0.0, &[1.0, 2.0])], &[3.0, 6.0]);
        assert!((twice.greatest().unwrap().amounts[0] - 3.0).abs() < 1e-12);
        // Something free in one row of two: the other decides.
        let mut free = program(&[&[1.0, 0.0]], &[(1.0, &[1.0, 1.0])], &[-5.0, 2.0]);
        assert!((free.greatest().unwrap().amounts[0] - 2.0).abs() < 1e-12);
    }

    proptest! {
        /// What is found balances, and its prices prove that nothing gains more; what cannot balance is
        /// proven too. After amounts were ruled out and let in, all is as in a program made so.
        #[test]
        fn answers_prove_themselves(
            columns in prop::collection::vec((-1.0..1.0_f64, prop::collection::vec(-3..=3_i8, 5)), 4..14),
            free in prop::collection::vec(prop::collection::vec(-3..=3_i8, 5), 0..3),
            sums in prop::collection::vec(-3..=3_i8, 5),
            out in prop::collection::vec(any::<prop::sample::Index>(), 0..4),
        ) {
            let whole = |it: &Vec<i8>| -> Vec<f64> { it.iter().map(|&it| f64::from(it)).collect() };
            let free: Vec<Vec<f64>> = free.iter().map(whole).collect();
            let columns: Vec<(f64, Vec<f64>)> =
                columns.iter().map(|(gain, column)| (*gain, whole(column))).collect();
            let sums = whole(&sums);
            let out: Vec<usize> = out.iter().map(|it| it.index(columns.len())).collect();
            let made = || {
                let free: Vec<&[f64]> = free.iter().map(|it| &it[..]).collect();
                let columns: Vec<(f64, &[f64])> =
                    columns.iter().map(|(gain, column)| (*gain, &column[..])).collect();
                program(&free, &columns, &sums)
            };
            let mut first = made();
            let at_first = first.greatest();
            let mut later = made();
            for &amount in &out {
                first.let_in(amount, false);
                later.let_in(amount, false);
            }
            let dot = |a: &[f64], b: &[f64]| -> f64 { a.iter().zip(b).map(|(a, b)| a * b).sum() };
            let mut values = Vec::new();
            for (answer, out) in
                [(at_first, &[][..]), (first.greatest(), &out), (later.greatest(), &out)]
            {
                let let_in = || {
                    let columns = columns.iter().enumerate();
                    columns.filter(|(amount, _)| !out.contains(amount))
                };
                match answer {
                    Ok(Answer { amounts, prices }) => {
                        for (row, sum) in sums.iter().enumerate() {
                            if free.iter().any(|column| column[row] != 0.0) {
                                continue;
                            }
                            let each = let_in().map(|(amount, (_, column))| amounts[amount] * column[row]);
                            prop_assert!((each.sum::<f64>() - sum).abs() < 1e-8);
                        }
                        prop_assert!(free.iter().all(|column| dot(column, &prices).abs() < 1e-8));
                        for (_, (gain, column)) in let_in() {
                            prop_assert!(*gain <= dot(column, &prices) + 1e-8);
                        }
                        let gains = let_in().map(|(amount, (gain, _))| amounts[amount] * gain);
                        let gains: f64 = gains.sum();
                        prop_assert!((gains - dot(&prices, &sums)).abs() < 1e-7 * (1.0 + gains.abs()));
                        values.push(Some(gains));
                    }
                    Err(NoAnswer::CannotBalance(prices)) => {
                        prop_assert!(free.iter().all(|column| dot(column, &prices).abs() < 1e-8));
                        for (_, (_, column)) in let_in() {
                            prop_assert!(dot(column, &prices) >= -1e-8);
                        }
                        prop_assert!(dot(&prices, &sums) < 0.0);
                        values.push(None);
                    }
                    // Where there is no end to what is gained, later there may be.
                    Err(NoAnswer::NotFound) => values.push(Some(f64::INFINITY)),
                }
            }
            let same = match (values[1], values[2]) {
                (Some(a), Some(b)) => a == b || (a - b).abs() < 1e-7 * (1.0 + a.abs()),
                (a, b) => a == b,
            };
            prop_assert!(same, "{values:?}");
        }
    }
}
