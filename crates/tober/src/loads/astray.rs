//! The least and the greatest that each foot carries while the weight, too, may be somewhat more or
//! less.
//!
//! # Picture
//!
//! Riders on a level axis pull up at the top of their round and down at the bottom. Twice the
//! weight and twice what tips it load every foot twice, on feet that give twice as much: a frame
//! `α` times as heavy, tipped `α` times as far, carries
//!
//! ```text
//!   R(α W, α M, tops) = α · R(W, M, tops / α)
//! ```
//!
//! so that a weight that is a little astray is a frame on tops that are a little astray. Tops on
//! one plane are all the same to it; what counts is how far they stray from a plane, and how much
//! a metre of straying moves onto a foot. Where the same feet `S` push, that is linear,
//! `∂R/∂top = D − D B (Bᵀ D B + K)⁻¹ Bᵀ D`, with `D` the stiffnesses of `S` and a row of `B` for
//! each of its feet; over every set `S`, the greatest sum of sizes in the row of a foot bounds it.
//!
//! # Source
//!
//! Statics; a piecewise linear function changes no faster than its steepest piece.

use nalgebra::{Matrix4, Vector4};

use super::Extreme;
use crate::ground::Elevation;
use crate::statics::{Load, Support};
use crate::survey::fit_plane;

/// More feet than these have too many sets that may push: then all that is known is that no foot
/// carries less than nothing or more than everything.
const MOST_FEET: usize = 10;

/// Feet nearer to one line than this share of their spread are not solved for: rounding would be a
/// hundred millionth of their stiffness; and nearer than that by a thousand times they hold no frame.
const NARROW: f64 = 1e-4;
const ON_A_LINE: f64 = 1e-7;

/// The least and the greatest load of every foot while a step of up to `radius` newton metres tips
/// the frame and its weight is up to `astray` newtons more or less, at the hub. `None` where some
/// such step and weight may overturn it.
///
/// Never too little; too much by about `astray` over the weight, and what the tops stray.
pub(super) fn extremes(
    load: &Load,
    radius: f64,
    astray: f64,
    supports: &[Support],
) -> Option<Vec<Extreme>> {
    let share = astray / load.weight;
    if !(0.0..0.5).contains(&share) {
        return None;
    }
    // More weight at the hub leaves the moment of the rest as it is.
    let beside = astray * load.resultant().coords.norm();
    let found = super::extremes(load, (radius + beside) / (1.0 - share), supports)?;
    let at_worst = || vec![f64::INFINITY; supports.len()];
    let moves = moves_at_most(load, supports).unwrap_or_else(at_worst);
    let strays = strays(supports) * share / (1.0 - share);
    // What twists the frame is another part of another weight: as if the tops were twisted.
    let twists = load.centre.x * load.centre.y * astray / load.twist_stiffness;
    let twisted = supports
        .iter()
        .map(|foot| (foot.at.x * foot.at.y * twists).abs());
    let lightest = (1.0 - share) * (1.0 - share);
    let strays = strays + 2.0 * twisted.fold(0.0, f64::max) / lightest;
    let bounded = found.iter().zip(moves).map(|(found, moves)| {
        let moved = if strays > 0.0 { moves * strays } else { 0.0 };
        let greatest = (1.0 + share) * (found.greatest + moved);
        Extreme {
            least: ((1.0 - share) * (found.least - moved)).max(0.0),
            greatest: greatest.min(load.weight + astray),
            ..*found
        }
    });
    Some(bounded.collect())
}

/// How far the tops are off their best plane, metres.
fn strays(supports: &[Support]) -> f64 {
    let shots: Vec<_> = supports
        .iter()
        .map(|foot| (foot.at, Elevation(foot.top)))
        .collect();
    let plane = fit_plane(&shots);
    let off = supports.iter().map(|foot| {
        let on = plane.as_ref().map_or(0.0, |plane| plane.height(foot.at).0);
        (foot.top - on).abs()
    });
    off.fold(0.0, f64::max)
}

/// For each foot, the most that its load grows for each metre that every top may stray, newtons a
/// metre. `None` where there are too many feet to look at every set.
fn moves_at_most(load: &Load, supports: &[Support]) -> Option<Vec<f64>> {
    let count = supports.len();
    if count > MOST_FEET {
        return None;
    }
    let rigid = load.twist_stiffness.is_infinite();
    let shapes: Vec<(Vector4<f64>, f64)> = supports
        .iter()
        .map(|foot| {
            let (x, y) = (foot.at.x, foot.at.y);
            let twist = if rigid { 0.0 } else { x * y };
            (Vector4::new(1.0, x, y, twist), foot.stiffness)
        })
        .collect();
    let mut most = vec![0.0_f64; count];
    for set in 0_u32..1 << count {
        let pushing = || {
            let feet = shapes.iter().enumerate();
            feet.filter(move |(foot, _)| set >> foot & 1 == 1)
        };
        let mut bend = Matrix4::zeros();
        bend[(3, 3)] = if rigid { 1.0 } else { load.twist_stiffness };
        for (_, (shape, stiffness)) in pushing() {
            bend += shape * shape.transpose() * *stiffness;
        }
        let scale = bend.diagonal().map(|it| 1.0 / it.sqrt());
        let scaled = bend.component_mul(&(scale * scale.transpose()));
        // Too few feet, or all on a line: no frame rests on them for longer than it takes to pass
        // over. Such a matrix may be taken apart all the same, but for rounding.
        let Some(solved) = scaled.cholesky() else {
            continue;
        };
        // Multiplied out, feet that lie on one line but for a share `p` of their spread leave an
        // error of rounding over `p²`: of those all that is taken is what holds of any feet, that
        // no entry of `D^-½ (…) D^-½` is above 1, and none beside the diagonal above a half.
        let off_a_line = solved.l_dirty().diagonal().min();
        if off_a_line < ON_A_LINE {
            continue;
        }
        let narrow = off_a_line < NARROW;
        for (foot, &(shape, own_stiffness)) in pushing() {
            let own = shape.component_mul(&scale) * own_stiffness;
            let answer = solved.solve(&own).component_mul(&scale);
            let row = pushing().map(|(other, (shape, stiffness))| {
                let itself = if other == foot { *stiffness } else { 0.0 };
                let exact = (itself - stiffness * shape.dot(&answer)).abs();
                match (narrow, other == foot) {
                    (false, _) => exact,
                    (true, true) => *stiffness,
                    (true, false) => (stiffness * own_stiffness).sqrt() / 2.0,
                }
            });
            let row: f64 = row.sum();
            if let Some(most) = most.get_mut(foot) {
                *most = most.max(row);
            }
        }
    }
    Some(most)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::statics::{edges, settle};
    use crate::{Point, Step};

    proptest! {
        #![proptest_config(ProptestConfig { cases: 2_000, max_global_rejects: 100_000, ..ProptestConfig::default() })]

        /// However it is tipped and however heavy it is, within what was said.
        #[test]
        fn no_foot_carries_more_or_less(
            feet in prop::collection::vec(((-4.0..4.0_f64, -2.5..2.5_f64), -0.02..0.02_f64, 6.0..7.5_f64), 3..7),
            weight in 3e4..2e5_f64,
            centre in (-0.8..0.8_f64, -0.5..0.5_f64),
            twist in prop_oneof![3 => (5.0..9.0_f64).prop_map(|it| libm::pow(10.0, it)), 1 => Just(f64::INFINITY)],
            (share, astray) in (0.05..0.9_f64, 0.0..0.1_f64),
            ways in prop::collection::vec((0.0..6.3_f64, 0.0..=1.0_f64, -1.0..=1.0_f64), 30),
        ) {
            let supports: Vec<Support> = feet
                .iter()
                .map(|&((x, y), top, stiffness)| Support {
                    at: Point::new(x, y),
                    top,
                    stiffness: libm::pow(10.0, stiffness),
                })
                .collect();
            let load = Load {
                weight,
                centre: Point::new(centre.0, centre.1),
                tipping: Step::zeros(),
                twist_stiffness: twist,
            };
            let inside = edges(&supports).map(|edge| edge.inside(load.centre));
            let inside = inside.fold(f64::INFINITY, f64::min);
            prop_assume!(inside.is_finite() && inside > 0.05);
            let (radius, astray) = (share * inside * weight, astray * weight);
            let found = extremes(&load, radius, astray, &supports);
            prop_assume!(found.is_some());
            let found = found.unwrap();
            for (way, far, more) in ways {
                let (sin, cos) = libm::sincos(way);
                let heavy = weight + more * astray;
                let tipped = Load {
                    weight: heavy,
                    centre: Point::from(load.centre.coords * (weight / heavy)),
                    tipping: Step::new(cos, sin) * (radius * libm::sqrt(far)),
                    ..load
                };
                let loads = settle(&tipped, &supports).unwrap().loads;
                for (carries, bound) in loads.iter().zip(&found) {
                    let hair = 1e-9 * weight;
                    prop_assert!(*carries <= bound.greatest + hair, "{carries} {bound:?}");
                    prop_assert!(*carries >= bound.least - hair, "{carries} {bound:?}");
                }
            }
        }
    }
}
