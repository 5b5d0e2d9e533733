//! The convex hull of discs: a tight band around them.
//!
//! The band is a chain of arcs, one for each disc that it bends around, joined by straight
//! pieces along common tangents. Described by its *outward normal* it is simple: going round
//! counter-clockwise the normal turns through one arc after the other, once round in all.
//! Spreading the hull by `t` only lengthens every radius by `t`; centres and normals stay.

use std::f64::consts::TAU;

use crate::Step;

/// A disc that lies inside the fence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Disc {
    /// Its middle, from the hub, metres.
    pub(super) centre: Step,
    /// Its radius, metres.
    pub(super) radius: f64,
}

impl Disc {
    pub(super) fn covers(&self, other: &Disc) -> bool {
        (other.centre - self.centre).norm() <= self.radius - other.radius
    }
}

/// The part of a hull that bends around one disc.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Arc {
    pub(super) disc: Disc,
    /// Direction of the outward normal where the arc begins, radians.
    pub(super) from: f64,
    /// Direction of the outward normal where it ends, radians; not less than `from`.
    pub(super) to: f64,
}

/// Two tangents closer in direction than this, radians, are one.
const SAME_DIRECTION: f64 = 1e-9;

/// The arcs of the hull, counter-clockwise, from the normal along x once round.
pub(super) fn hull(discs: &[Disc]) -> Vec<Arc> {
    let discs = uncovered(discs);
    // The disc that reaches farthest along x has a piece of the hull whose normal is along x.
    let reach = |disc: &Disc| disc.centre.x + disc.radius;
    let farthest = |a, b| if reach(&b) > reach(&a) { b } else { a };
    let Some(start) = discs.iter().copied().reduce(farthest) else {
        return Vec::new();
    };
    let mut arcs = Vec::new();
    let mut here = Arc {
        disc: start,
        from: 0.0,
        to: TAU,
    };
    // A band around n discs bends around fewer than 2n, counting one as often as it comes back.
    for _ in 0..2 * discs.len() {
        let next = discs
            .iter()
            .filter_map(|disc| Some((*disc, here.from + turn_to_tangent(&here, disc)?)))
            .reduce(|a, b| if b.1 < a.1 { b } else { a });
        match next {
            Some((disc, normal)) if normal < TAU => {
                arcs.push(Arc { to: normal, ..here });
                here = Arc {
                    disc,
                    from: normal,
                    to: TAU,
                };
            }
            _ => break,
        }
    }
    arcs.push(here);
    arcs
}

/// The discs that do not lie within another; of equal ones the first.
fn uncovered(discs: &[Disc]) -> Vec<Disc> {
    let mut kept: Vec<Disc> = Vec::with_capacity(discs.len());
    for disc in discs {
        if !kept.iter().any(|other| other.covers(disc)) {
            kept.retain(|other| !disc.covers(other));
            kept.push(*disc);
        }
    }
    kept
}

/// How far the normal turns, from where the arc begins, until it is the normal of the tangent
/// that leads on to another disc; `None` for the arc's own disc. Neither disc may cover the
/// other.
fn turn_to_tangent(arc: &Arc, next: &Disc) -> Option<f64> {
    (arc.disc != *next).then(|| {
        let across = next.centre - arc.disc.centre;
        let cosine = (arc.disc.radius - next.radius) / across.norm();
        let normal = libm::atan2(across.y, across.x) - libm::acos(cosine.clamp(-1.0, 1.0));
        let turn = (normal - arc.from).rem_euclid(TAU);
        if turn < TAU - SAME_DIRECTION {
            turn
        } else {
            0.0
        }
    })
}

/// Length round the hull, metres.
pub(super) fn perimeter(arcs: &[Arc]) -> f64 {
    arcs.iter()
        .zip(arcs.iter().cycle().skip(1))
        .map(|(arc, next)| {
            let (sin, cos) = libm::sincos(arc.to);
            let straight = (next.disc.centre - arc.disc.centre).dot(&Step::new(-sin, cos));
            arc.disc.radius * (arc.to - arc.from) + straight
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    use proptest::prelude::*;

    fn disc(x: f64, y: f64, radius: f64) -> Disc {
        Disc {
            centre: Step::new(x, y),
            radius,
        }
    }

    #[test]
    fn the_band_round_two_equal_discs_is_a_stadium() {
        let stadium = hull(&[disc(0.0, 0.0, 1.0), disc(0.0, 5.0, 1.0)]);
        assert!((perimeter(&stadium) - (TAU + 10.0)).abs() < 1e-12);
        let lying = hull(&[
            disc(-3.0, 1.0, 1.0),
            disc(0.0, 1.0, 1.0),
            disc(4.0, 1.0, 1.0),
        ]);
        assert!((perimeter(&lying) - (TAU + 14.0)).abs() < 1e-12);
    }

    #[test]
    fn a_disc_within_another_does_not_show() {
        let alone = hull(&[
            disc(0.0, 0.0, 3.0),
            disc(1.0, 1.0, 0.5),
            disc(0.0, 0.0, 3.0),
        ]);
        assert!((perimeter(&alone) - 3.0 * TAU).abs() < 1e-12);
        // Touching from inside, where both reach equally far along x.
        let touching = hull(&[disc(5.0, 5.0, 0.25), disc(4.0, 5.0, 1.25)]);
        assert!((perimeter(&touching) - 1.25 * TAU).abs() < 1e-12);
    }

    #[test]
    fn a_tangent_that_rounding_turns_back_is_not_missed() {
        // Both reach 2 m along x. The tangent's normal is along x, but for rounding either way,
        // and the other tangent's lies as far on the far side of the line through both middles.
        let large = disc(0.0, 0.0, 2.0);
        for aside in 1..60 {
            let small = disc(1.0, 0.001 * f64::from(aside), 1.0);
            let turn = 2.0 * libm::atan2(small.centre.y, small.centre.x);
            let arcs = hull(&[large, small]);
            let bend = arcs.iter().find(|arc| arc.disc == small).unwrap();
            assert!((bend.to - bend.from - turn).abs() < 1e-9);
        }
    }

    proptest! {
        /// In every direction the hull reaches just as far as the farthest disc.
        #[test]
        fn the_hull_reaches_as_far_as_its_discs(
            discs in prop::collection::vec(
                (-6i32..6, -6i32..6, 1i32..6)
                    .prop_map(|(x, y, r)| disc(f64::from(x), f64::from(y), f64::from(r) * 0.25)),
                1..12,
            ),
        ) {
            let arcs = hull(&discs);
            prop_assert_eq!(arcs[0].from, 0.0);
            prop_assert_eq!(arcs[arcs.len() - 1].to, TAU);
            for arc in &arcs {
                for share in [0.0, 0.5, 1.0] {
                    let angle = arc.from + share * (arc.to - arc.from);
                    let normal = Step::new(libm::cos(angle), libm::sin(angle));
                    let reach = |disc: &Disc| disc.centre.dot(&normal) + disc.radius;
                    let farthest = discs.iter().map(reach).fold(f64::MIN, f64::max);
                    prop_assert!((reach(&arc.disc) - farthest).abs() < 1e-7);
                }
            }
            for (arc, next) in arcs.iter().zip(&arcs[1..]) {
                prop_assert_eq!(arc.to, next.from);
            }
        }
    }
}
