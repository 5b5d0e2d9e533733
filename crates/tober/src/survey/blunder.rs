//! Which reading is to blame when a book does not close.
//!
//! Every reading is asked, for every slip that people make ([`Slip`]): had it been this, how well
//! would the net close? A residual of v on a reading that is checked by r betrays a blunder of
//! v / r; correcting the reading by g takes the sum of squared residuals from Q to
//!
//! ```text
//!   Q − r (∇² − (g − ∇)²) / σ²,   ∇ = v / r
//! ```
//!
//! without another adjustment. In a single run or loop every ∇ is the misclosure: by size alone
//! all readings are equally suspect. What tells them apart is whether the digits of one have a
//! slip of just that size, and whether the reading would look more like its neighbours for it:
//! a rod on a fairground is read about as high as everywhere else, and as high behind as ahead.
//!
//! What is found is a likelihood, and is to be said as one: *one of these*.
//!
//! Source: the test of one blunder at a time is W. Baarda's, *A Testing Procedure for Use in
//! Geodetic Networks*, 1968 (memory); the slips and the neighbours are common practice.

use serde::Serialize;

use super::book::{Column, FieldBook};
use super::net::Residual;
use super::reading::LONGEST_ROD;
use super::sights::Sight;
use super::slips::{Slip, alternatives};

/// A reading that may be to blame.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Suspect {
    /// The row.
    pub row: usize,
    /// The column.
    pub column: Column,
    /// As it is written.
    pub written: String,
    /// What went wrong; absent when it is off by something that no usual slip explains.
    pub slip: Option<Slip>,
    /// What it should have been, as it would have been written.
    pub should_be: String,
    /// What it should have been, metres.
    pub reading: f64,
    /// How likely it is this and no other slip of the usual kinds, 0 to 1, when there was one
    /// blunder.
    pub likelihood: f64,
}

impl std::fmt::Display for Suspect {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Suspect {
            written, should_be, ..
        } = self;
        let written = written.trim();
        let word = self.column.word();
        match self.slip {
            Some(slip) => write!(
                out,
                "{word} {written}: {slip}? It would have been {should_be}"
            ),
            None => write!(out, "{word} {written}: about {should_be} would fit"),
        }
    }
}

/// Most suspects that are named.
const NAMED: usize = 5;

/// What all suspects before it leave of the likelihood, for the next one to be worth naming.
const WORTH_NAMING: f64 = 0.05;

/// Degrees of freedom of the likelihood of what is left over: few, for a crew's readings are now
/// and then worse than they state.
const FREEDOM: f64 = 4.0;

/// A reading that stands on its own as an outlier is this much less likely than a usual slip.
const NO_USUAL_SLIP: f64 = 1e-3;

/// The readings most likely to blame, likeliest first; none when no single slip explains what
/// does not close. `adjusted` has the residual of every sight and its standard deviation.
pub(super) fn suspects(
    book: &FieldBook,
    sights: &[Sight],
    adjusted: &[Option<(Residual, f64)>],
) -> Vec<Suspect> {
    let neighbours = Neighbours::of(sights);
    let squares: f64 = (adjusted.iter().flatten())
        .map(|(residual, sd)| (residual.residual / sd) * (residual.residual / sd))
        .sum();
    let redundancy: f64 = adjusted.iter().flatten().map(|(it, _)| it.checked).sum();
    // What a net without a blunder leaves once in a thousand times, for twice the stated error.
    let acceptable = 4.0 * (11.0 + 2.0 * (redundancy - 1.0).max(0.0));

    let mut found: Vec<Suspect> = Vec::new();
    for (index, (sight, adjusted)) in sights.iter().zip(adjusted).enumerate() {
        let (Some((residual, sd)), Some(row)) = (adjusted, book.rows.get(sight.row)) else {
            continue;
        };
        if residual.checked == 0.0 {
            continue;
        }
        let text = row.text(sight.column);
        let blunder = residual.residual / residual.checked;
        let left_after = |change: f64| {
            let off = change + blunder;
            let gained = residual.checked * (blunder * blunder - off * off) / (sd * sd);
            (squares - gained).max(0.0)
        };
        for other in alternatives(text, sight.reading, book.units) {
            let left = left_after(other.reading - sight.reading);
            if left <= acceptable {
                let fit = libm::pow(1.0 + left / FREEDOM, -(FREEDOM + 1.0) / 2.0);
                found.push(Suspect {
                    row: sight.row,
                    column: sight.column,
                    written: text.to_owned(),
                    slip: Some(other.slip),
                    should_be: other.written,
                    reading: other.reading,
                    likelihood: other.weight
                        * fit
                        * neighbours.favour(sights, index, other.reading),
                });
            }
        }
        // In a net the residuals may point at one reading whatever went wrong with it.
        let should_be = sight.reading - blunder;
        let left = left_after(-blunder);
        if redundancy > 1.5 && left <= acceptable && should_be.abs() <= LONGEST_ROD {
            let fit = libm::pow(1.0 + left / FREEDOM, -(FREEDOM + 1.0) / 2.0);
            found.push(Suspect {
                row: sight.row,
                column: sight.column,
                written: text.to_owned(),
                slip: None,
                should_be: book.units.format(should_be),
                reading: should_be,
                likelihood: NO_USUAL_SLIP * fit,
            });
        }
    }
    likeliest(found)
}

/// Readings of a book, below which nothing is usual.
const USUAL: usize = 4;

/// A reading this many times further from the usual than most is doubtful.
const DOUBTFUL: f64 = 8.0;

/// Readings that nothing checks and that look like no other of the book, where one slip explains
/// that: most of all the wrong unit. `adjusted` as for [`suspects`].
pub(super) fn doubts(
    book: &FieldBook,
    sights: &[Sight],
    adjusted: &[Option<(Residual, f64)>],
) -> Vec<Suspect> {
    let neighbours = Neighbours::of(sights);
    if sights.len() < USUAL {
        return Vec::new();
    }
    let is_checked = |adjusted: &Option<(Residual, f64)>| {
        adjusted.is_some_and(|(residual, _)| residual.checked > 0.0)
    };
    let unchecked = (sights.iter().zip(adjusted)).filter(|(_, adjusted)| !is_checked(adjusted));
    let doubtful = unchecked.filter(|(sight, _)| neighbours.off(sight.reading) > DOUBTFUL);
    let explained = doubtful.filter_map(|(sight, _)| {
        let written = book.rows.get(sight.row)?.text(sight.column);
        let others = alternatives(written, sight.reading, book.units);
        let nearest = others
            .into_iter()
            .filter(|other| other.slip != Slip::Inverted)
            .min_by(|one, other| {
                let off = |reading: f64| neighbours.off(reading);
                off(one.reading).total_cmp(&off(other.reading))
            })?;
        let is_usual = neighbours.off(nearest.reading) < DOUBTFUL / 4.0;
        is_usual.then(|| Suspect {
            row: sight.row,
            column: sight.column,
            written: written.to_owned(),
            slip: Some(nearest.slip),
            should_be: nearest.written,
            reading: nearest.reading,
            likelihood: 1.0,
        })
    });
    explained.collect()
}

/// The likeliest suspects, their likelihoods brought to a sum of 1 over all.
fn likeliest(mut found: Vec<Suspect>) -> Vec<Suspect> {
    let sum: f64 = found.iter().map(|suspect| suspect.likelihood).sum();
    if sum <= 0.0 {
        return Vec::new();
    }
    for suspect in &mut found {
        suspect.likelihood /= sum;
    }
    found.sort_by(|one, other| other.likelihood.total_cmp(&one.likelihood));
    let mut left = 1.0;
    found.retain(|suspect| {
        let is_worth_naming = left > WORTH_NAMING;
        left -= suspect.likelihood;
        is_worth_naming
    });
    found.truncate(NAMED);
    found
}

/// How readings usually look in this book.
struct Neighbours {
    /// The middle of all upright readings, metres: how high above the ground the level stands.
    usual: f64,
    /// How far readings usually are from it.
    spread: f64,
    /// How far the mean of back and fore sight usually is from it.
    pair_spread: f64,
}

/// Readings of a book are never taken to be more alike than this, metres.
const LEAST_SPREAD: f64 = 0.1;

/// Nor the means of back and fore sights.
const LEAST_PAIR_SPREAD: f64 = 0.05;

impl Neighbours {
    fn of(sights: &[Sight]) -> Neighbours {
        let upright = || sights.iter().filter(|sight| sight.reading >= 0.0);
        let usual = middle(upright().map(|sight| sight.reading)).unwrap_or(0.0);
        let off = upright().map(|sight| (sight.reading - usual).abs());
        let pairs = (0..sights.len()).filter_map(|index| {
            let mean = pair_mean(sights, index, sights.get(index)?.reading)?;
            Some((mean - usual).abs())
        });
        Neighbours {
            usual,
            spread: middle(off).unwrap_or(0.0).max(LEAST_SPREAD),
            pair_spread: middle(pairs).unwrap_or(0.0).max(LEAST_PAIR_SPREAD),
        }
    }

    /// How far a reading is from the usual, as a multiple of how far most are.
    fn off(&self, reading: f64) -> f64 {
        (reading.abs() - self.usual).abs() / self.spread
    }

    /// How much more the book would look like itself with another reading in one place: a ratio
    /// of likelihoods, from two-sided exponential distributions.
    fn favour(&self, sights: &[Sight], index: usize, other: f64) -> f64 {
        let Some(sight) = sights.get(index) else {
            return 1.0;
        };
        let mut gain = self.off(sight.reading) - self.off(other);
        if let (Some(now), Some(then)) = (
            pair_mean(sights, index, sight.reading),
            pair_mean(sights, index, other),
        ) {
            let off = |mean: f64| (mean - self.usual).abs() / self.pair_spread;
            gain += off(now) - off(then);
        }
        // Neighbours are a hint, and no proof: one part in a million at most.
        libm::exp(gain.clamp(-14.0, 14.0))
    }
}

/// The mean of a reading and the one on the other side of its setup.
fn pair_mean(sights: &[Sight], index: usize, reading: f64) -> Option<f64> {
    let sight = sights.get(index)?;
    let opposite = match sight.column {
        Column::Backsight => Column::Foresight,
        Column::Foresight => Column::Backsight,
        _ => return None,
    };
    let partner = (sights.iter()).find(|it| it.setup == sight.setup && it.column == opposite)?;
    Some(f64::midpoint(reading, partner.reading))
}

/// The middle one of numbers, the upper of two.
fn middle(numbers: impl Iterator<Item = f64>) -> Option<f64> {
    let mut numbers: Vec<f64> = numbers.collect();
    numbers.sort_by(f64::total_cmp);
    numbers.get(numbers.len() / 2).copied()
}
