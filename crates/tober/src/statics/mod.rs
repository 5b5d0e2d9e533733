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
//! chain of parabolas. The set of feet that push changes a finite number of times. Each foot's
//! shortening is carried along instead of worked out anew from heights, so that a stiff foot's
//! load does not hang on the last digit of a height. A rigid frame (`K` infinite) has no twist.
//!
//! # Certificate
//!
//! Every answer brings what proves it: the forces and moments left over, as a share of the
//! weight, and the complementarity, that no foot pushes over a gap and none pulls.
//!
//! # Source
//!
//! Minimum of the potential energy under unilateral contact (Signorini); semismooth Newton for
//! piecewise quadratic functions (Qi and Sun, *Mathematical Programming* 58, 1993; memory).

mod tipping;

use nalgebra::{Cholesky, Matrix4, U4, Vector4};

use crate::{Point, Step};

pub use tipping::{Tipping, edges, tipping};

/// Acceleration of gravity, metres per second squared (the standard value).
pub const GRAVITY: f64 = 9.806_65;

/// A foot, a jack or a tyre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Support {
    /// Where, ride frame.
    pub at: Point,
    /// Height of the datum above it at which it just touches, metres. A gap under the foot
    /// lowers it; a preload raises it.
    pub top: f64,
    /// Load that shortens it by a metre, newtons a metre.
    pub stiffness: f64,
}

impl Support {
    /// The same support with so much air under it, metres, while the frame lies as it did.
    pub fn with_gap(self, gap: f64) -> Support {
        Support {
            top: self.top - gap,
            ..self
        }
    }

    /// The same support, wound up until it pushes so much harder, newtons, against a frame that
    /// does not give.
    pub fn preloaded(self, force: f64) -> Support {
        Support {
            top: self.top + force / self.stiffness,
            ..self
        }
    }
}

/// What rests on the feet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// Weight, newtons.
    pub weight: f64,
    /// Where it acts, ride frame.
    pub centre: Point,
    /// What tips the frame beside the weight, newton metres: towards the tongue, and to the left.
    /// A pull `F` towards the tongue at height `h` is `F · h` along.
    pub tipping: Step,
    /// `K`: energy is half of it times the square of the twist, newton metres cubed; infinite for
    /// a rigid frame.
    pub twist_stiffness: f64,
}

impl Load {
    /// Where the weight would act that tips the frame as much by itself.
    pub fn resultant(&self) -> Point {
        self.centre + self.tipping / self.weight
    }
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
    /// How fast the crossfall changes along the frame, per metre; 0 for a rigid frame.
    pub twist: f64,
    /// What every support carries, newtons, in the order given. None is ever below zero.
    pub loads: Vec<f64>,
    /// Forces and moments (about axes through the hub, over a metre) left over, as a share of the
    /// weight.
    pub residual: f64,
    /// The most that a foot pushes over a gap or pulls, as a share of the weight.
    pub complementarity: f64,
}

impl Rest {
    /// Height of the datum over a place of the ride frame, metres.
    pub fn at(&self, place: Point) -> f64 {
        self.at_hub + self.along * place.x + self.across * place.y + self.twist * place.x * place.y
    }
}

/// Why a frame does not come to rest.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NoRest {
    /// The weight lies outside the polygon of the feet, or on its edge.
    #[error("the weight lies outside the polygon of the feet: the frame overturns")]
    Overturns(Tipping),
    /// The search did not end; the numbers are absurd.
    #[error("no rest was found")]
    NotFound,
}

/// Steps of Newton's method with one breath; a frame takes fewer than ten.
const MOST_STEPS: usize = 25;

/// Residual that counts as none, as a share of the weight.
const AT_REST: f64 = 1e-10;

/// Residual that is still an answer where numbers so far apart leave no better.
const NEARLY_AT_REST: f64 = 1e-9;

/// What holds a frame on two feet while it falls, as a share of its measures: the first that
/// brings it to rest.
const BREATHS: [f64; 4] = [1e-12, 1e-10, 1e-14, 1e-8];

/// Where a frame comes to rest.
///
/// # Errors
///
/// [`NoRest::Overturns`] when the weight lies outside the polygon of the feet or on its edge,
/// with the edge and by how far.
///
/// ```
/// use tober::{Point, Step, statics::{Load, Support, settle}};
/// let foot = |x, y| Support { at: Point::new(x, y), top: 0.5, stiffness: 1e7 };
/// let load = Load {
///     weight: 80e3,
///     centre: Point::new(0.5, 0.0),
///     tipping: Step::zeros(),
///     twist_stiffness: 1e7,
/// };
/// let rest = settle(&load, &[foot(2., 1.), foot(2., -1.), foot(-2., 1.), foot(-2., -1.)])?;
/// // A quarter of the way to the front pair: it carries 5/8 of the weight.
/// assert!((rest.loads[0] - 25e3).abs() < 1e-3 && (rest.loads[2] - 15e3).abs() < 1e-3);
/// # Ok::<(), tober::statics::NoRest>(())
/// ```
pub fn settle(load: &Load, supports: &[Support]) -> Result<Rest, NoRest> {
    // A weight of nothing, or no number, rests nowhere; a frame that does not resist twist at all
    // need not either.
    if !(load.weight > 0.0 && load.twist_stiffness > 0.0) {
        return Err(NoRest::NotFound);
    }
    if let Some(tipping) = tipping(load.resultant(), supports) {
        return Err(NoRest::Overturns(tipping));
    }
    let mut settling = Settling::new(load, supports);
    let mut best = f64::INFINITY;
    let breaths = BREATHS.into_iter().flat_map(|it| [it; MOST_STEPS]);
    for breath in breaths {
        let (slope, bend) = settling.slope_and_bend();
        let residual = slope.amax() / load.weight;
        if !residual.is_finite() {
            return Err(NoRest::NotFound);
        }
        let stuck = residual >= best && residual <= NEARLY_AT_REST;
        if residual <= AT_REST || stuck {
            return Ok(settling.rest());
        }
        best = best.min(residual);
        settling.step(&downhill(&slope, &bend, breath).ok_or(NoRest::NotFound)?);
    }
    Err(NoRest::NotFound)
}

/// The step to the least value of the quadratic, or, where too few feet push to hold the frame, a
/// long one down the way it falls.
fn downhill(slope: &Vector4<f64>, bend: &Matrix4<f64>, breath: f64) -> Option<Vector4<f64>> {
    // Each unknown by its own measure: metres, metres in a metre, twist.
    let scale = bend.diagonal().map(|it| 1.0 / it.sqrt());
    let mut scaled = bend.component_mul(&(scale * scale.transpose()));
    let sound = |solved: &Cholesky<f64, U4>| solved.l_dirty().diagonal().min() > breath.sqrt();
    let solved = scaled.cholesky().filter(sound).or_else(|| {
        // A breath more, for the frame on two feet: rounding alone would say which way it falls.
        for index in 0..4 {
            scaled[(index, index)] += breath;
        }
        scaled.cholesky()
    })?;
    Some(
        solved
            .solve(&-slope.component_mul(&scale))
            .component_mul(&scale),
    )
}

/// What a height at a place is made of: `w = shape · (at_hub, along, across, twist)`.
fn shape(at: Point) -> Vector4<f64> {
    Vector4::new(1.0, at.x, at.y, at.x * at.y)
}

/// The frame on its way to rest.
struct Settling<'a> {
    load: &'a Load,
    supports: &'a [Support],
    rigid: bool,
    /// Of the datum, heights counted from `mean`.
    at: Vector4<f64>,
    mean: f64,
    /// How far each support is shortened; below zero when it hangs free.
    short: Vec<f64>,
}

impl<'a> Settling<'a> {
    fn new(load: &'a Load, supports: &'a [Support]) -> Settling<'a> {
        let mean = supports.iter().map(|it| it.top).sum::<f64>() / supports.len().max(1) as f64;
        // From below: every foot pushes at first.
        let lowest = supports.iter().map(|it| it.top - mean);
        let at = Vector4::new(lowest.fold(0.0_f64, f64::min) - 1e-3, 0.0, 0.0, 0.0);
        let short = supports.iter().map(|it| it.top - mean - at[0]).collect();
        Settling {
            load,
            supports,
            rigid: load.twist_stiffness.is_infinite(),
            at,
            mean,
            short,
        }
    }

    /// What a height at a place is made of; a rigid frame has no twist.
    fn shape(&self, at: Point) -> Vector4<f64> {
        let mut shape = shape(at);
        if self.rigid {
            shape[3] = 0.0;
        }
        shape
    }

    /// Forces and moments left over but for those of the feet.
    fn weight(&self) -> Vector4<f64> {
        let Load {
            weight, tipping, ..
        } = *self.load;
        let mut force = self.shape(self.load.centre) * weight;
        force[1] += tipping.x;
        force[2] += tipping.y;
        if !self.rigid {
            force[3] += self.load.twist_stiffness * self.at[3];
        }
        force
    }

    fn slope_and_bend(&self) -> (Vector4<f64>, Matrix4<f64>) {
        let mut slope = self.weight();
        let mut bend = Matrix4::zeros();
        bend[(3, 3)] = if self.rigid {
            1.0
        } else {
            self.load.twist_stiffness
        };
        for (support, &short) in self.supports.iter().zip(&self.short) {
            if short > 0.0 {
                let shape = self.shape(support.at);
                slope -= shape * (support.stiffness * short);
                bend += shape * shape.transpose() * support.stiffness;
            }
        }
        // Where nothing pushes any measure will do.
        for index in 0..4 {
            if bend[(index, index)] <= 0.0 {
                bend[(index, index)] = 1.0;
            }
        }
        (slope, bend)
    }

    /// Goes the share of a step at which the energy along it is least.
    fn step(&mut self, step: &Vector4<f64>) {
        let share = self.best_share(step);
        self.at += step * share;
        for index in 0..self.supports.len() {
            if let (Some(support), Some(short)) =
                (self.supports.get(index), self.short.get_mut(index))
            {
                let mut shape = shape(support.at);
                if self.rigid {
                    shape[3] = 0.0;
                }
                *short -= share * shape.dot(step);
            }
        }
    }

    /// Along a step the slope of the energy is a rising, broken line: where it crosses zero.
    fn best_share(&self, step: &Vector4<f64>) -> f64 {
        let mut slope = self.weight().dot(step);
        let mut bend = if self.rigid {
            0.0
        } else {
            self.load.twist_stiffness * step[3] * step[3]
        };
        let feet = || {
            self.supports.iter().zip(&self.short).map(|(foot, &short)| {
                let faster = -self.shape(foot.at).dot(step);
                (foot.stiffness, short, faster)
            })
        };
        for (stiffness, short, faster) in feet() {
            if short > 0.0 || (short == 0.0 && faster > 0.0) {
                slope += stiffness * short * faster;
                bend += stiffness * faster * faster;
            }
        }
        // From one place where a foot starts or ends to push to the next.
        let mut from = 0.0;
        loop {
            let next = feet()
                .map(|(_, short, faster)| -short / faster)
                .filter(|change| *change > from && change.is_finite())
                .fold(f64::INFINITY, f64::min);
            if next.is_infinite() || slope + bend * next >= 0.0 {
                break;
            }
            for (stiffness, short, faster) in feet() {
                if -short / faster == next {
                    let sign = if faster > 0.0 { 1.0 } else { -1.0 };
                    slope += sign * stiffness * short * faster;
                    bend += sign * stiffness * faster * faster;
                }
            }
            from = next;
        }
        if bend > 0.0 {
            (-slope / bend).max(from)
        } else {
            1.0
        }
    }

    /// The answer, with its certificate taken from the loads that are handed out.
    fn rest(self) -> Rest {
        let mut left = self.weight();
        let mut complementarity = 0.0_f64;
        let pushes = self.supports.iter().zip(&self.short);
        let loads: Vec<f64> = pushes
            .map(|(support, &short)| {
                let load = support.stiffness * short.max(0.0);
                left -= self.shape(support.at) * load;
                complementarity = complementarity
                    .max((load * (-short).max(0.0)).abs())
                    .max(-load);
                load
            })
            .collect();
        Rest {
            at_hub: self.at[0] + self.mean,
            along: self.at[1],
            across: self.at[2],
            twist: if self.rigid { 0.0 } else { self.at[3] },
            loads,
            residual: left.amax() / self.load.weight,
            complementarity: complementarity / self.load.weight,
        }
    }
}

#[cfg(test)]
mod tests;
