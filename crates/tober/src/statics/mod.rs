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
//! An active set. At first every foot holds the frame, as if it could pull as well: one 4 × 4
//! system says where the frame lies. Then the foot that pulls most is let go, and the frame moves
//! to where it rests without it; whichever hanging foot it touches on the way is taken along from
//! there. When no foot pulls, that is the answer.
//!
//! It ends, whatever the feet: each time a foot is let go, the energy of the frame held by those
//! that are left is less than it was before; a foot taken along, be it one that was let go once,
//! adds nothing, since it is not shortened yet when it touches. So no set of feet comes up twice,
//! and there are only so many sets (the dual method of Goldfarb and Idnani, seen from the frame's
//! place). Nor is a frame that balances on two feet a special case: a foot that neither pushes nor
//! pulls need not be let go; where one must be, and the frame then turns freely about the others,
//! it turns until it touches one that hangs, and it does, since the weight lies over the polygon.
//!
//! Each foot's shortening is carried along instead of worked out anew from heights, so that a
//! stiff foot's load does not hang on the last digit of a height. A rigid frame (`K` infinite) has
//! no twist.
//!
//! # Certificate
//!
//! Every answer brings what proves it: the forces and moments left over, as a share of the
//! weight, and the complementarity, that no foot pushes over a gap and none pulls.
//!
//! # Source
//!
//! Minimum of the potential energy under unilateral contact (Signorini); Goldfarb and Idnani, *A
//! numerically stable dual method for solving strictly convex quadratic programs*, *Mathematical
//! Programming* 27, 1983 (memory).

mod tipping;

use nalgebra::{Matrix4, Vector4};

use crate::{Point, Step};

pub(crate) use tipping::ON_THE_EDGE;
pub use tipping::{Tipping, edges, tipping};

/// Standard acceleration of free fall, metres a second squared (exact by convention: 3rd CGPM,
/// 1901).
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

/// A foot that pulls by less than this share of the weight neither pushes nor pulls.
const PULLS: f64 = 1e-12;

/// Residual that counts as none, as a share of the weight: further steps are rounding.
const AT_REST: f64 = 1e-13;

/// Residual that an answer may have, as a share of the weight.
const NEARLY_AT_REST: f64 = 1e-9;

/// Corrections of where a frame lies on a set of feet: the first is exact but for rounding.
const MOST_CORRECTIONS: usize = 4;

/// What keeps a frame that turns freely from turning infinitely far, as a share of its measures:
/// as little as arithmetic can tell from nothing.
const BREATH: f64 = 4.0 * f64::EPSILON;

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
    // A frame of eight feet lets go of four or five, and takes up one or two again.
    let most_steps = 20 + 10 * supports.len();
    settling.come_to_rest();
    for _ in 0..most_steps {
        let Some(foot) = settling.pulls_most() else {
            break;
        };
        settling.let_go(foot);
    }
    let rest = settling.rest();
    if rest.residual <= NEARLY_AT_REST {
        Ok(rest)
    } else {
        Err(NoRest::NotFound)
    }
}

/// What a height at a place is made of: `w = shape · (at_hub, along, across, twist)`. A rigid
/// frame has no twist.
fn shape(at: Point, rigid: bool) -> Vector4<f64> {
    Vector4::new(1.0, at.x, at.y, if rigid { 0.0 } else { at.x * at.y })
}

/// The frame on its way to rest.
struct Settling<'a> {
    load: &'a Load,
    supports: &'a [Support],
    rigid: bool,
    /// Of the datum, heights counted from `mean`.
    at: Vector4<f64>,
    mean: f64,
    feet: Vec<Foot>,
}

/// A foot under a frame on its way to rest.
#[derive(Clone, Copy)]
struct Foot {
    shape: Vector4<f64>,
    stiffness: f64,
    /// How far it is shortened; below zero when it hangs free or pulls.
    short: f64,
    /// Whether it holds the frame.
    holds: bool,
}

impl<'a> Settling<'a> {
    /// Every foot holds, the frame somewhere among them.
    fn new(load: &'a Load, supports: &'a [Support]) -> Settling<'a> {
        let mean = supports.iter().map(|it| it.top).sum::<f64>() / supports.len().max(1) as f64;
        let rigid = load.twist_stiffness.is_infinite();
        let foot = |support: &Support| Foot {
            shape: shape(support.at, rigid),
            stiffness: support.stiffness,
            short: support.top - mean,
            holds: true,
        };
        Settling {
            load,
            supports,
            rigid,
            at: Vector4::zeros(),
            mean,
            feet: supports.iter().map(foot).collect(),
        }
    }

    /// Forces and moments left over but for those of the feet.
    fn weight(&self) -> Vector4<f64> {
        let Load {
            weight, tipping, ..
        } = *self.load;
        let mut force = shape(self.load.centre, self.rigid) * weight;
        force[1] += tipping.x;
        force[2] += tipping.y;
        if !self.rigid {
            force[3] += self.load.twist_stiffness * self.at[3];
        }
        force
    }

    /// Forces and moments left over while the feet that hold push or pull.
    fn left_over(&self) -> Vector4<f64> {
        let holding = self.feet.iter().filter(|foot| foot.holds);
        holding.fold(self.weight(), |left, foot| {
            left - foot.shape * (foot.stiffness * foot.short)
        })
    }

    /// Force and moment for each unit of height, tilts and twist, from such feet and the frame.
    fn bend(&self, from: fn(&Foot) -> bool) -> Matrix4<f64> {
        let mut bend = Matrix4::zeros();
        bend[(3, 3)] = if self.rigid {
            1.0
        } else {
            self.load.twist_stiffness
        };
        for foot in self.feet.iter().filter(|foot| from(foot)) {
            bend += foot.shape * foot.shape.transpose() * foot.stiffness;
        }
        bend
    }

    /// The step to where the frame rests on the feet that hold.
    fn step(&self) -> Vector4<f64> {
        let bend = self.bend(|foot| foot.holds);
        // Each unknown by its own measure: metres, metres in a metre, twist. Feet that hold and
        // stand on one of the frame's axes measure nothing about it; all feet together do.
        let whole = self.bend(|_| true).diagonal() * BREATH;
        let scale = bend.diagonal().sup(&whole).map(|it| 1.0 / it.sqrt());
        let mut scaled = bend.component_mul(&(scale * scale.transpose()));
        for index in 0..4 {
            scaled[(index, index)] += BREATH;
        }
        let left = self.left_over().component_mul(&scale);
        scaled.cholesky().map_or(Vector4::zeros(), |solved| {
            -solved.solve(&left).component_mul(&scale)
        })
    }

    fn go(&mut self, step: &Vector4<f64>) {
        self.at += step;
        for foot in &mut self.feet {
            foot.short -= foot.shape.dot(step);
        }
    }

    /// The foot that holds and pulls most; `None` when none pulls.
    fn pulls_most(&self) -> Option<usize> {
        let pulls = |foot: &Foot| foot.stiffness * foot.short;
        let holding = self.feet.iter().enumerate().filter(|(_, foot)| foot.holds);
        holding
            .map(|(index, foot)| (index, pulls(foot)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .filter(|(_, load)| *load < -PULLS * self.load.weight)
            .map(|(index, _)| index)
    }

    /// Lets go of a foot, and lets the frame move to its new rest.
    fn let_go(&mut self, let_go: usize) {
        if let Some(foot) = self.feet.get_mut(let_go) {
            foot.holds = false;
        }
        self.come_to_rest();
    }

    /// Lets the frame move to where it rests on the feet that hold, as exactly as arithmetic does;
    /// a hanging foot that it touches on the way holds from there on. The frame moves off a foot
    /// that was let go because it pulled: unless all that pulled was rounding.
    fn come_to_rest(&mut self) {
        let mut before = f64::INFINITY;
        // Every round another foot holds, or the frame lies where it should but for rounding.
        for _ in 0..self.feet.len() + MOST_CORRECTIONS {
            let left = self.left_over().amax() / self.load.weight;
            // Turning freely, a frame is kept back by nothing but the breath it is given: it turns
            // on, as far as to the foot that it will touch.
            let turns = left > NEARLY_AT_REST && left > before / 2.0;
            if left <= AT_REST || (left >= before && !turns) {
                return;
            }
            let reach = if turns { f64::INFINITY } else { 1.0 };
            let step = self.step();
            let touches = self.feet.iter().enumerate().filter_map(|(index, foot)| {
                let nearer = -foot.shape.dot(&step);
                let share = (-foot.short).max(0.0) / nearer;
                (!foot.holds && nearer > 0.0).then_some((index, share))
            });
            let first = touches.min_by(|a, b| a.1.total_cmp(&b.1));
            match first.filter(|(_, share)| *share < reach) {
                Some((index, share)) => {
                    self.go(&(step * share));
                    if let Some(foot) = self.feet.get_mut(index) {
                        foot.holds = true;
                    }
                }
                None => {
                    before = left;
                    self.go(&step);
                }
            }
        }
    }

    /// The answer, with its certificate taken from the loads that are handed out.
    fn rest(self) -> Rest {
        let mut left = self.weight();
        let mut complementarity = 0.0_f64;
        let feet = self.supports.iter().zip(&self.feet);
        let loads: Vec<f64> = feet
            .map(|(support, foot)| {
                let load = support.stiffness * foot.short.max(0.0);
                left -= foot.shape * load;
                complementarity = complementarity
                    .max((load * (-foot.short).max(0.0)).abs())
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
