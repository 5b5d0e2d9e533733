//! How a frame comes to rest on feet that can only push.
//!
//! # Picture
//!
//! The frame is stiff but not rigid: it may stand higher or lower, lean along and across, and
//! twist. Over the ride frame its datum lies at
//!
//! ```text
//!   w(x, y) = at_hub + along · x + across · y + twist · x · y
//! ```
//!
//! A foot that would just touch with the datum at `top` above it pushes with
//! `k · max(0, top − w)`: it shortens under load, and when the frame lifts off it does nothing.
//! The energy
//!
//! ```text
//!   E = ½ Σ kᵢ · max(0, topᵢ − w(xᵢ, yᵢ))² + ½ K · twist² + W · w(x_c, y_c)
//! ```
//!
//! is convex and smooth, and bounded below when the weight lies over the feet's polygon. Its
//! least value is where the frame rests. Four feet under a frame are statically indeterminate;
//! this is what decides between them, and no reaction is ever clamped.
//!
//! # Method
//!
//! Semismooth Newton: the feet that push make a quadratic, whose minimum is one 4 × 4 system
//! away; the step is cut where `E` along it is least, found exactly, since `E` along a line is a
//! chain of parabolas. The set of feet that push changes a finite number of times. The residual
//! is the certificate: the forces and moments left over, as a share of the weight.
//!
//! # Source
//!
//! Minimum of the potential energy under unilateral contact (Signorini); semismooth Newton for
//! piecewise quadratic functions (Qi and Sun, *Mathematical Programming* 58, 1993; memory).

use nalgebra::{Matrix4, Vector4};

use crate::{Point, Step};

/// Acceleration of gravity, metres per second squared (the standard value).
pub const GRAVITY: f64 = 9.806_65;

/// A foot, a jack or a tyre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Support {
    /// Where, ride frame.
    pub at: Point,
    /// Height of the datum above it at which it just touches, metres.
    pub top: f64,
    /// Load that shortens it by a metre, newtons a metre.
    pub stiffness: f64,
}

/// What rests on the feet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// Weight, newtons.
    pub weight: f64,
    /// Where it acts, ride frame.
    pub centre: Point,
    /// `K`: energy is half of it times the square of the twist, newton metres cubed.
    pub twist_stiffness: f64,
}

/// A frame at rest.
#[derive(Clone, Debug, PartialEq)]
pub struct Rest {
    /// Height of the datum at the hub, metres.
    pub at_hub: f64,
    /// Rise towards the tongue, metres in a metre.
    pub along: f64,
    /// Rise to the left, metres in a metre.
    pub across: f64,
    /// How fast the crossfall changes along the frame, per metre.
    pub twist: f64,
    /// What every support carries, newtons, in the order given.
    pub loads: Vec<f64>,
    /// Forces and moments left over, as a share of the weight.
    pub residual: f64,
}

impl Rest {
    /// Height of the datum over a place of the ride frame, metres.
    pub fn at(&self, place: Point) -> f64 {
        self.at_hub + self.along * place.x + self.across * place.y + self.twist * place.x * place.y
    }
}

/// Why a frame does not come to rest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoRest {
    /// The weight lies outside the polygon of the feet.
    #[error("the weight lies outside the polygon of the feet: the frame overturns")]
    Overturns,
    /// The search did not end; the numbers are absurd.
    #[error("no rest was found")]
    NotFound,
}

/// Steps of Newton's method; a frame takes fewer than ten.
const MOST_STEPS: usize = 100;

/// Residual that counts as none, as a share of the weight.
const AT_REST: f64 = 1e-9;

/// Where a frame comes to rest.
///
/// # Errors
///
/// [`NoRest::Overturns`] when the weight lies outside the polygon of the feet or on its edge.
///
/// ```
/// use tober::{Point, statics::{Load, Support, settle}};
/// let foot = |x, y| Support { at: Point::new(x, y), top: 0.5, stiffness: 1e7 };
/// let load = Load { weight: 80e3, centre: Point::new(0.5, 0.0), twist_stiffness: 1e7 };
/// let rest = settle(&load, &[foot(2., 1.), foot(2., -1.), foot(-2., 1.), foot(-2., -1.)])?;
/// // A quarter of the way to the front pair: it carries 5/8 of the weight.
/// assert!((rest.loads[0] - 25e3).abs() < 1e-3 && (rest.loads[2] - 15e3).abs() < 1e-3);
/// # Ok::<(), tober::statics::NoRest>(())
/// ```
pub fn settle(load: &Load, supports: &[Support]) -> Result<Rest, NoRest> {
    let mean = supports.iter().map(|it| it.top).sum::<f64>() / supports.len().max(1) as f64;
    if !stands(load.centre, supports) {
        return Err(NoRest::Overturns);
    }
    let energy = Energy {
        load,
        supports,
        mean,
    };
    // From below: every foot pushes at first.
    let lowest = supports
        .iter()
        .map(|it| it.top - mean)
        .fold(0.0_f64, f64::min);
    let mut at = Vector4::new(lowest - 1e-3, 0.0, 0.0, 0.0);
    for _ in 0..MOST_STEPS {
        let (slope, bend) = energy.slope_and_bend(&at);
        let residual = slope.amax() / load.weight;
        if !residual.is_finite() {
            return Err(NoRest::NotFound);
        }
        if residual <= AT_REST {
            return Ok(energy.rest(&at, residual));
        }
        let step = bend.cholesky().ok_or(NoRest::NotFound)?.solve(&-slope);
        at += step * energy.best_share(&at, &step);
    }
    Err(NoRest::NotFound)
}

/// Whether a place lies inside the polygon of the feet.
fn stands(centre: Point, supports: &[Support]) -> bool {
    // Outside when some line through two feet has every foot on one side and the place on the
    // other, or when all feet lie on one line.
    let side = |from: Point, along: Step, place: Point| along.perp(&(place - from));
    let mut spread = false;
    for (index, a) in supports.iter().enumerate() {
        for b in supports.iter().skip(index + 1) {
            let along = b.at - a.at;
            let (least, most) = supports
                .iter()
                .map(|foot| side(a.at, along, foot.at))
                .fold((0.0_f64, 0.0_f64), |(least, most), side| {
                    (least.min(side), most.max(side))
                });
            let own = side(a.at, along, centre);
            let hair = 1e-9 * along.norm_squared();
            spread |= most - least > hair;
            if along.norm_squared() > 0.0
                && ((least >= -hair && own <= hair) || (most <= hair && own >= -hair))
            {
                return false;
            }
        }
    }
    spread
}

/// The energy, heights counted from the mean of the tops.
struct Energy<'a> {
    load: &'a Load,
    supports: &'a [Support],
    mean: f64,
}

/// What a height at a place is made of: `w = shape · (at_hub, along, across, twist)`.
fn shape(at: Point) -> Vector4<f64> {
    Vector4::new(1.0, at.x, at.y, at.x * at.y)
}

impl Energy<'_> {
    /// How far a support is shortened; below zero when it hangs free.
    fn shortened(&self, support: &Support, at: &Vector4<f64>) -> f64 {
        support.top - self.mean - shape(support.at).dot(at)
    }

    fn slope_and_bend(&self, at: &Vector4<f64>) -> (Vector4<f64>, Matrix4<f64>) {
        let mut slope = shape(self.load.centre) * self.load.weight;
        slope[3] += self.load.twist_stiffness * at[3];
        let mut bend = Matrix4::zeros();
        bend[(3, 3)] = self.load.twist_stiffness;
        for support in self.supports {
            let shape = shape(support.at);
            let short = self.shortened(support, at);
            if short > 0.0 {
                slope -= shape * (support.stiffness * short);
                bend += shape * shape.transpose() * support.stiffness;
            }
            // A breath of stiffness, so that a frame on two feet still has a way to fall.
            bend += shape * shape.transpose() * (support.stiffness * 1e-9);
        }
        (slope, bend)
    }

    /// The share of a step at which the energy along it is least.
    fn best_share(&self, at: &Vector4<f64>, step: &Vector4<f64>) -> f64 {
        // Along the step: slope of the energy at share `s` is a rising, broken line.
        let mut slope = self.load.weight * shape(self.load.centre).dot(step)
            + self.load.twist_stiffness * at[3] * step[3];
        let mut bend = self.load.twist_stiffness * step[3] * step[3];
        // Shares at which a support starts or ends to push, and what it then adds.
        let mut changes: Vec<(f64, f64, f64)> = Vec::with_capacity(self.supports.len());
        for support in self.supports {
            let short = self.shortened(support, at);
            let faster = -shape(support.at).dot(step);
            let (own_slope, own_bend) = (
                support.stiffness * short * faster,
                support.stiffness * faster * faster,
            );
            let pushes = short > 0.0 || (short == 0.0 && faster > 0.0);
            if pushes {
                slope += own_slope;
                bend += own_bend;
            }
            let change = -short / faster;
            if change > 0.0 && change.is_finite() {
                let sign = if pushes { -1.0 } else { 1.0 };
                changes.push((change, sign * own_slope, sign * own_bend));
            }
        }
        changes.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (change, more_slope, more_bend) in changes {
            if slope + bend * change >= 0.0 {
                break;
            }
            slope += more_slope;
            bend += more_bend;
        }
        if bend > 0.0 { -slope / bend } else { 1.0 }
    }

    fn rest(&self, at: &Vector4<f64>, residual: f64) -> Rest {
        Rest {
            at_hub: at[0] + self.mean,
            along: at[1],
            across: at[2],
            twist: at[3],
            loads: self
                .supports
                .iter()
                .map(|support| support.stiffness * self.shortened(support, at).max(0.0))
                .collect(),
            residual,
        }
    }
}

#[cfg(test)]
mod tests;
