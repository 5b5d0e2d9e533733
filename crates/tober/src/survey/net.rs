//! A level net adjusted by weighted least squares.
//!
//! Points are joined by observed rises. Where a point can be reached in more than one way the
//! ways disagree by a few millimetres, and the heights that leave the least sum of squared
//! residuals, each measured in its own standard deviation, are the likeliest.
//!
//! ```text
//!   BM1 ●───────○───────● BM2      two ends known, one way between: the misclosure is spread
//!        ╲     ╱                   along the way; a second way joins in at a junction
//!         ╲   ╱
//!          ○ ○──○  a spur: carried along, checked by nothing
//! ```
//!
//! The instrument of a setup is one more point: a reading is the fall from it to the rod.
//!
//! As surveyors have always done, a line of rises between two junctions is first drawn together
//! into one, and taken apart again in the end; spurs are cut off and hung on again. That changes
//! no result, and leaves so few unknowns that a long run costs nothing.
//!
//! Source: C. D. Ghilani and P. R. Wolf, *Adjustment Computations*, level nets; redundancy
//! numbers and standardized residuals after W. Baarda, *A Testing Procedure for Use in Geodetic
//! Networks*, 1968 (memory).

use std::collections::VecDeque;

use nalgebra::{DMatrix, DVector};
use serde::Serialize;

use super::least_squares;
use crate::ground::Elevation;

/// An observed rise from one point to another, the points by number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rise {
    /// Where it begins.
    pub from: usize,
    /// Where it ends.
    pub to: usize,
    /// How much higher the end is, metres.
    pub rise: f64,
    /// Standard deviation of that, metres, more than 0.
    pub sd: f64,
}

/// The adjusted net.
#[derive(Clone, Debug, PartialEq)]
pub struct Adjustment {
    /// One for each point; absent where no rise leads from a known point.
    pub heights: Vec<Option<Height>>,
    /// One for each rise; absent where the heights of its ends are.
    pub residuals: Vec<Option<Residual>>,
    /// Rises more than are needed.
    pub redundancy: usize,
    /// How the residuals compare with the standard deviations that were stated: 1 when they are
    /// as large as those let expect (the standard deviation of unit weight). Absent without
    /// redundancy.
    pub reference_sd: Option<f64>,
}

/// An adjusted height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Height {
    /// The likeliest.
    pub elevation: Elevation,
    /// Its standard error as the stated standard deviations have it, metres; 0 on a known point.
    pub standard_error: f64,
}

/// What an adjustment did to a rise.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Residual {
    /// Observed less adjusted, metres.
    pub residual: f64,
    /// The part of an error of this rise that shows in its residual, 0 to 1 (the redundancy
    /// number). At 0 nothing checks the rise.
    pub checked: f64,
    /// The residual in its own standard deviation; absent where nothing checks the rise.
    pub standardized: Option<f64>,
}

/// A rise that is checked by less than this is checked by nothing but rounding.
const UNCHECKED: f64 = 1e-9;

impl Adjustment {
    /// Adjusts `points` points, some of them known, joined by rises.
    ///
    /// What cannot be used (numbers that are not finite, a standard deviation of 0, a point that
    /// is not there) is left out.
    ///
    /// ```
    /// use tober::ground::Elevation;
    /// use tober::survey::{Adjustment, Rise};
    /// let rise = |from, to, rise| Rise { from, to, rise, sd: 0.002 };
    /// // Up to point 1 and down to point 2: 6 mm too low, three halves of it on each rise.
    /// let known = [(0, Elevation(100.0)), (2, Elevation(100.006))];
    /// let net = Adjustment::new(3, &known, &[rise(0, 1, 1.5), rise(1, 2, -1.5)]);
    /// assert!((net.heights[1].unwrap().elevation.0 - 101.503).abs() < 1e-12);
    /// assert_eq!(net.redundancy, 1);
    /// ```
    pub fn new(points: usize, known: &[(usize, Elevation)], rises: &[Rise]) -> Adjustment {
        Net::new(points, known, rises).adjusted()
    }
}

/// A way between two junctions, in one piece.
struct Line {
    from: usize,
    to: usize,
    /// The rises along it, and whether each is walked the way it was observed.
    steps: Vec<(usize, bool)>,
    rise: f64,
    variance: f64,
}

/// What the adjustment of the lines between junctions says.
struct Solved {
    /// For each unknown junction, its place in `cofactors`.
    place: Vec<Option<usize>>,
    cofactors: DMatrix<f64>,
    /// One less the leverage of each line.
    checked: Vec<f64>,
}

struct Net<'a> {
    rises: &'a [Rise],
    known: Vec<bool>,
    /// The rises that begin or end at each point; rises that have been dealt with are taken out.
    at: Vec<Vec<usize>>,
    heights: Vec<Option<Height>>,
    residuals: Vec<Option<Residual>>,
}

impl<'a> Net<'a> {
    fn new(points: usize, known: &[(usize, Elevation)], rises: &'a [Rise]) -> Net<'a> {
        let mut net = Net {
            rises,
            known: vec![false; points],
            at: vec![Vec::new(); points],
            heights: vec![None; points],
            residuals: vec![None; rises.len()],
        };
        for &(point, elevation) in known {
            if let (Some(known), Some(height)) =
                (net.known.get_mut(point), net.heights.get_mut(point))
            {
                *known = true;
                *height = Some(Height {
                    elevation,
                    standard_error: 0.0,
                });
            }
        }
        for (index, rise) in rises.iter().enumerate() {
            let is_sound = rise.rise.is_finite() && rise.sd.is_finite() && rise.sd > 0.0;
            if is_sound && rise.from < points && rise.to < points {
                for point in [rise.from, rise.to] {
                    if let Some(at) = net.at.get_mut(point) {
                        at.push(index);
                    }
                }
            }
        }
        net.forget_what_is_not_reached();
        net
    }

    fn adjusted(mut self) -> Adjustment {
        let spurs = self.cut_spurs();
        let lines = self.lines();
        let (redundancy, reference_sd) = match self.solve(&lines) {
            Some(solved) => {
                let unknowns = solved.cofactors.nrows();
                let sum: f64 = (lines.iter().zip(&solved.checked))
                    .map(|(line, checked)| self.take_apart(line, *checked, &solved))
                    .sum();
                let redundancy = lines.len().saturating_sub(unknowns);
                let sd = (redundancy > 0).then(|| (sum / redundancy as f64).sqrt());
                (redundancy, sd)
            }
            None => (0, None),
        };
        for (point, rise) in spurs.into_iter().rev() {
            self.hang_on(point, rise);
        }
        Adjustment {
            heights: self.heights,
            residuals: self.residuals,
            redundancy,
            reference_sd,
        }
    }

    fn rise(&self, index: usize) -> Option<&'a Rise> {
        self.rises.get(index)
    }

    fn rises_at(&self, point: usize) -> &[usize] {
        self.at.get(point).map_or(&[], Vec::as_slice)
    }

    fn is_known(&self, point: usize) -> bool {
        self.known.get(point) == Some(&true)
    }

    /// The other end of a rise.
    fn across(&self, index: usize, point: usize) -> Option<usize> {
        let rise = self.rise(index)?;
        Some(if rise.from == point {
            rise.to
        } else {
            rise.from
        })
    }

    fn take_out(&mut self, index: usize) {
        if let Some(rise) = self.rise(index) {
            for point in [rise.from, rise.to] {
                if let Some(at) = self.at.get_mut(point) {
                    at.retain(|other| *other != index);
                }
            }
        }
    }

    fn forget_what_is_not_reached(&mut self) {
        let mut reached = self.known.clone();
        let mut next: VecDeque<usize> =
            (0..reached.len()).filter(|it| self.is_known(*it)).collect();
        while let Some(point) = next.pop_front() {
            for index in self.rises_at(point) {
                let Some(other) = self.across(*index, point) else {
                    continue;
                };
                if let Some(reached) = reached.get_mut(other)
                    && !*reached
                {
                    *reached = true;
                    next.push_back(other);
                }
            }
        }
        for (at, reached) in self.at.iter_mut().zip(reached) {
            if !reached {
                at.clear();
            }
        }
    }

    /// Takes out every point that hangs on a single rise, again and again; gives the points and
    /// their rises, from the tips inwards.
    fn cut_spurs(&mut self) -> Vec<(usize, usize)> {
        let mut spurs = Vec::new();
        let mut next: Vec<usize> = (0..self.at.len()).collect();
        while let Some(point) = next.pop() {
            if let ([index], false) = (self.rises_at(point), self.is_known(point)) {
                let index = *index;
                spurs.push((point, index));
                next.extend(self.across(index, point));
                self.take_out(index);
            }
        }
        spurs
    }

    /// Draws what is left together into lines between junctions.
    fn lines(&mut self) -> Vec<Line> {
        let is_junction: Vec<bool> = (0..self.at.len())
            .map(|point| self.is_known(point) || self.rises_at(point).len() > 2)
            .collect();
        let junctions = (0..is_junction.len()).filter(|it| is_junction.get(*it) == Some(&true));
        let mut lines = Vec::new();
        for from in junctions {
            while let Some(&first) = self.rises_at(from).first() {
                let mut line = Line {
                    from,
                    to: from,
                    steps: Vec::new(),
                    rise: 0.0,
                    variance: 0.0,
                };
                let mut next = Some(first);
                while let Some(index) = next
                    && let Some(rise) = self.rise(index)
                {
                    let forward = rise.from == line.to;
                    line.steps.push((index, forward));
                    line.rise += if forward { rise.rise } else { -rise.rise };
                    line.variance += rise.sd * rise.sd;
                    line.to = if forward { rise.to } else { rise.from };
                    self.take_out(index);
                    next = match is_junction.get(line.to) {
                        Some(false) => self.rises_at(line.to).first().copied(),
                        _ => None,
                    };
                }
                lines.push(line);
            }
        }
        lines
    }

    /// Adjusts the junctions, and sets their heights.
    fn solve(&mut self, lines: &[Line]) -> Option<Solved> {
        let mut place = vec![None; self.at.len()];
        let mut unknowns = Vec::new();
        for point in lines.iter().flat_map(|line| [line.from, line.to]) {
            if let Some(place @ None) = place.get_mut(point)
                && !self.is_known(point)
            {
                *place = Some(unknowns.len());
                unknowns.push(point);
            }
        }
        if unknowns.is_empty() {
            return Some(Solved {
                place,
                cofactors: DMatrix::zeros(0, 0),
                checked: vec![1.0; lines.len()],
            });
        }

        // Heights are counted from one of the known points, to keep the digits for the rest.
        let base = self.heights.iter().flatten().next()?.elevation;
        let mut design = DMatrix::zeros(lines.len(), unknowns.len());
        let mut observed = DVector::zeros(lines.len());
        for (row, line) in lines.iter().enumerate() {
            let weight = 1.0 / line.variance.sqrt();
            let mut rise = line.rise;
            for (point, sign) in [(line.to, 1.0), (line.from, -1.0)] {
                match place.get(point).copied().flatten() {
                    Some(column) => *design.get_mut((row, column))? += sign * weight,
                    None => rise -= sign * (self.elevation(point)? - base),
                }
            }
            *observed.get_mut(row)? = rise * weight;
        }
        let fit = least_squares(&design, &observed)?;
        for (column, point) in unknowns.iter().enumerate() {
            let height = Height {
                elevation: base + *fit.coefficients.get(column)?,
                standard_error: fit.cofactors.get((column, column))?.sqrt(),
            };
            *self.heights.get_mut(*point)? = Some(height);
        }
        Some(Solved {
            place,
            cofactors: fit.cofactors,
            checked: fit
                .leverages
                .iter()
                .map(|leverage| 1.0 - leverage)
                .collect(),
        })
    }

    fn elevation(&self, point: usize) -> Option<Elevation> {
        let height = self.heights.get(point).copied().flatten()?;
        Some(height.elevation)
    }

    /// Spreads the residual of a line over its rises, and sets the heights along it; gives the
    /// line's share of the weighted sum of squares.
    ///
    /// Between two adjusted ends a line is a bridge: at a part t of its variance V the height is
    /// the mean of what both ends say, and wavers about it by t (1 − t) V.
    fn take_apart(&mut self, line: &Line, checked: f64, solved: &Solved) -> f64 {
        let (Some(from), Some(to)) = (self.elevation(line.from), self.elevation(line.to)) else {
            return 0.0;
        };
        let misfit = line.rise - (to - from);
        let cofactor = |one: usize, other: usize| -> f64 {
            let at = |point: usize| solved.place.get(point).copied().flatten();
            match (at(one), at(other)) {
                (Some(one), Some(other)) => {
                    solved.cofactors.get((one, other)).copied().unwrap_or(0.0)
                }
                _ => 0.0,
            }
        };
        let of_from = cofactor(line.from, line.from);
        let of_to = cofactor(line.to, line.to);
        let of_both = cofactor(line.from, line.to);

        let (mut carried, mut variance) = (0.0, 0.0);
        for (step, &(index, forward)) in line.steps.iter().enumerate() {
            let Some(rise) = self.rise(index) else {
                continue;
            };
            let sign = if forward { 1.0 } else { -1.0 };
            let part = rise.sd * rise.sd / line.variance;
            if let Some(residual) = self.residuals.get_mut(index) {
                *residual = Some(Residual::new(sign * misfit * part, checked * part, rise.sd));
            }
            carried += sign * rise.rise;
            variance += rise.sd * rise.sd;
            let end = if forward { rise.to } else { rise.from };
            let is_inside = step + 1 < line.steps.len();
            if let Some(height) = self.heights.get_mut(end)
                && is_inside
            {
                let t = variance / line.variance;
                let bridge = t * (1.0 - t) * line.variance;
                let ends =
                    (1.0 - t) * (1.0 - t) * of_from + t * t * of_to + 2.0 * t * (1.0 - t) * of_both;
                *height = Some(Height {
                    elevation: from + (carried - misfit * t),
                    standard_error: (bridge + ends).max(0.0).sqrt(),
                });
            }
        }
        misfit * misfit / line.variance
    }

    /// Sets the height of a point at the end of a spur.
    fn hang_on(&mut self, point: usize, index: usize) {
        let (Some(rise), Some(other)) = (self.rise(index), self.across(index, point)) else {
            return;
        };
        let Some(foot) = self.heights.get(other).copied().flatten() else {
            return;
        };
        let up = if rise.to == point {
            rise.rise
        } else {
            -rise.rise
        };
        if let Some(height) = self.heights.get_mut(point) {
            *height = Some(Height {
                elevation: foot.elevation + up,
                standard_error: libm::hypot(foot.standard_error, rise.sd),
            });
        }
        if let Some(residual) = self.residuals.get_mut(index) {
            *residual = Some(Residual::new(0.0, 0.0, rise.sd));
        }
    }
}

impl Residual {
    fn new(residual: f64, checked: f64, sd: f64) -> Residual {
        let is_checked = checked > UNCHECKED;
        Residual {
            residual,
            checked: if is_checked { checked.min(1.0) } else { 0.0 },
            standardized: is_checked.then(|| residual / (sd * checked.sqrt())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    use proptest::prelude::*;

    fn rise(from: usize, to: usize, rise: f64, sd: f64) -> Rise {
        Rise { from, to, rise, sd }
    }

    fn height(net: &Adjustment, point: usize) -> f64 {
        net.heights[point].unwrap().elevation.0
    }

    #[test]
    fn a_misclosure_is_spread_by_variance() {
        let known = [(0, Elevation(10.0)), (3, Elevation(10.06))];
        let rises = [
            rise(0, 1, 1.0, 0.01),
            rise(2, 1, 1.0, 0.01),
            rise(2, 3, 0.0, 0.02),
        ];
        let net = Adjustment::new(4, &known, &rises);
        // 60 mm over variances of 1, 1 and 4: 10, 10 and 40 mm.
        assert!((height(&net, 1) - 11.01).abs() < 1e-12);
        assert!((height(&net, 2) - 10.02).abs() < 1e-12);
        let residuals: Vec<f64> = net
            .residuals
            .iter()
            .map(|it| it.unwrap().residual)
            .collect();
        for (found, by_hand) in residuals.iter().zip([-0.01, 0.01, -0.04]) {
            assert!((found - by_hand).abs() < 1e-12, "{residuals:?}");
        }
        let checked: f64 = net.residuals.iter().map(|it| it.unwrap().checked).sum();
        assert!((checked - 1.0).abs() < 1e-12);
        assert_eq!(net.redundancy, 1);
        assert!((net.reference_sd.unwrap() - 0.06 / 6e-4_f64.sqrt()).abs() < 1e-9);
    }

    #[test]
    fn a_point_measured_twice_is_the_weighted_mean() {
        let known = [(0, Elevation(0.0))];
        let net = Adjustment::new(2, &known, &[rise(0, 1, 1.0, 0.01), rise(0, 1, 1.3, 0.02)]);
        assert!((height(&net, 1) - 1.06).abs() < 1e-12);
        let error = net.heights[1].unwrap().standard_error;
        assert!((error - (1.0f64 / (1e4 + 2500.0)).sqrt()).abs() < 1e-12);
    }

    #[test]
    fn a_spur_is_carried_along_unchecked() {
        let known = [(0, Elevation(5.0))];
        let net = Adjustment::new(3, &known, &[rise(1, 0, -1.0, 0.03), rise(1, 2, 1.0, 0.04)]);
        assert!((height(&net, 2) - 7.0).abs() < 1e-12);
        assert!((net.heights[2].unwrap().standard_error - 0.05).abs() < 1e-12);
        assert_eq!(net.redundancy, 0);
        assert_eq!(net.reference_sd, None);
        assert_eq!(net.residuals[1].unwrap().standardized, None);
    }

    #[test]
    fn what_hangs_in_the_air_is_unknown() {
        let net = Adjustment::new(4, &[(0, Elevation(5.0))], &[rise(2, 3, 1.0, 0.01)]);
        assert_eq!(net.heights[1..], [None; 3]);
        assert_eq!(net.residuals, [None]);
    }

    #[test]
    fn what_cannot_be_used_is_left_out() {
        let known = [(0, Elevation(5.0)), (9, Elevation(1.0))];
        let rises = [
            rise(0, 1, f64::NAN, 0.01),
            rise(0, 1, 1.0, 0.0),
            rise(0, 7, 1.0, 0.01),
        ];
        let net = Adjustment::new(2, &known, &rises);
        assert_eq!(net.heights[1], None);
        assert_eq!(Adjustment::new(0, &[], &[]).redundancy, 0);
    }

    /// A net of random ways; every point can be reached from the first.
    fn nets() -> impl Strategy<Value = (usize, Vec<Rise>)> {
        (3..9_usize).prop_flat_map(|points| {
            let tree = prop::collection::vec(
                (any::<prop::sample::Index>(), -2.0..2.0, 0.5..3.0),
                points - 1,
            );
            let more = prop::collection::vec((0..points, 0..points, -2.0..2.0, 0.5..3.0), 0..8);
            (tree, more).prop_map(move |(tree, more)| {
                let tree = tree
                    .into_iter()
                    .enumerate()
                    .map(|(point, (to, up, sd))| rise(point + 1, to.index(point + 1), up, sd));
                let more = more
                    .into_iter()
                    .map(|(from, to, up, sd)| rise(from, to, up, sd));
                (points, tree.chain(more).collect())
            })
        })
    }

    proptest! {
        /// Drawing lines together and cutting off spurs changes nothing against one large
        /// adjustment of every point and every rise.
        #[test]
        fn drawn_together_or_not_is_the_same((points, rises) in nets()) {
            let net = Adjustment::new(points, &[(0, Elevation(50.0))], &rises);
            let mut design = DMatrix::zeros(rises.len(), points - 1);
            for (row, it) in rises.iter().enumerate() {
                for (point, sign) in [(it.to, 1.0), (it.from, -1.0)] {
                    if point > 0 {
                        design[(row, point - 1)] += sign / it.sd;
                    }
                }
            }
            let observed = DVector::from_iterator(rises.len(), rises.iter().map(|it| it.rise / it.sd));
            let whole = least_squares(&design, &observed).unwrap();
            for point in 1..points {
                let height = net.heights[point].unwrap();
                prop_assert!((height.elevation.0 - 50.0 - whole.coefficients[point - 1]).abs() < 1e-9);
                let error = whole.cofactors[(point - 1, point - 1)].sqrt();
                prop_assert!((height.standard_error - error).abs() < 1e-9);
            }
            for (row, it) in rises.iter().enumerate() {
                let residual = net.residuals[row].unwrap();
                prop_assert!((residual.residual - whole.residuals[row] * it.sd).abs() < 1e-9);
                prop_assert!((residual.checked - (1.0 - whole.leverages[row])).abs() < 1e-9);
            }
            prop_assert_eq!(net.redundancy, rises.len() + 1 - points);
        }
    }
}
