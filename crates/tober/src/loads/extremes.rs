//! The least and the greatest that each foot carries while something tips the frame by up to so
//! much, whichever way.
//!
//! # Picture
//!
//! What tips the frame is a step in the plane of the two moments: any step inside a disc, since
//! neither the riders' place in their round nor the wind's way is known. Over that disc the load
//! of a foot is a continuous, piecewise linear function: linear as long as the same feet push.
//! The pieces are polygons, bounded by the lines on which a foot lifts or touches.
//!
//! ```text
//!        ╭───────╮        FL hangs │ all push
//!       ╱   │     ╲                │
//!      │    │  ·   │      a linear function is greatest over a piece either
//!       ╲   │     ╱       where the circle faces its rise, or at a corner
//!        ╰───────╯
//! ```
//!
//! So the extremes are exact: piece by piece, from the middle outwards over every edge that
//! crosses the disc. Nothing is sampled.

use nalgebra::{Matrix4, Vector4};

use crate::Step;
use crate::statics::{Load, ON_THE_EDGE, Support, edges, settle};

/// What a foot carries at the least and at the most, and which way the frame is tipped then.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extreme {
    /// Newtons.
    pub least: f64,
    /// What tips the frame then, newton metres.
    pub least_at: Step,
    /// Newtons.
    pub greatest: f64,
    /// What tips the frame then, newton metres.
    pub greatest_at: Step,
}

/// Most pieces looked at: a frame on eight feet has a dozen.
const MOST_PIECES: usize = 200;

/// Over the edge of a piece by this share of the disc lies its neighbour.
const BEYOND: f64 = 1e-7;

/// Feet that lie nearer to one line than this share of their spread hold no frame upright.
const ON_A_LINE: f64 = 1e-7;

/// The least and the greatest load of every foot while a step of up to `radius` newton metres
/// tips the frame beside what `load` says. `None` where some such step overturns it.
///
/// ```
/// use tober::{Point, Step, loads::extremes, statics::{Load, Support}};
/// let foot = |x, y| Support { at: Point::new(x, y), top: 0.0, stiffness: 1e7 };
/// let load = Load {
///     weight: 80e3,
///     centre: Point::origin(),
///     tipping: Step::zeros(),
///     twist_stiffness: f64::INFINITY,
/// };
/// let feet = [foot(2., 1.), foot(2., -1.), foot(-2., 1.), foot(-2., -1.)];
/// let found = extremes(&load, 16e3, &feet).unwrap();
/// // W/4 ± M·√(2² + 1²·4²/2²...): along a foot's own way, M/(4·2) and M/(4·1) together.
/// assert!((found[0].greatest - 20e3 - 16e3 * f64::sqrt(1. / 64. + 1. / 16.)).abs() < 1e-3);
/// ```
pub fn extremes(load: &Load, radius: f64, supports: &[Support]) -> Option<Vec<Extreme>> {
    // As far as it may come to an edge and is not taken to go over it.
    let reach = radius / load.weight + 2.0 * ON_THE_EDGE;
    if !(reach >= 0.0 && edges(supports).all(|edge| edge.inside(load.resultant()) > reach)) {
        return None;
    }
    let Some(first) = Piece::near(load, Step::zeros(), supports, radius) else {
        return Some(at_worst(load, supports));
    };
    let mut pieces = vec![first];
    let mut found: Vec<Extreme> = Vec::new();
    let mut next = 0;
    while let Some(piece) = pieces.get(next) {
        let corners = piece.corners(radius);
        piece.gather(&corners, radius, &mut found);
        let beyond: Vec<Step> = corners
            .iter()
            .filter_map(|corner| corner.neighbour(radius))
            .collect();
        for at in beyond {
            let Some(other) = Piece::near(load, at, supports, radius) else {
                return Some(at_worst(load, supports));
            };
            if pieces.iter().all(|known| known.pushes != other.pushes) {
                pieces.push(other);
            }
        }
        next += 1;
        if pieces.len() > MOST_PIECES {
            return Some(at_worst(load, supports));
        }
    }
    Some(found)
}

/// What holds whatever happens: none carries less than nothing, nor more than everything.
fn at_worst(load: &Load, supports: &[Support]) -> Vec<Extreme> {
    let any = Extreme {
        least: 0.0,
        least_at: Step::zeros(),
        greatest: load.weight,
        greatest_at: Step::zeros(),
    };
    vec![any; supports.len()]
}

/// A piece of the plane of moments over which the same feet push.
struct Piece {
    /// Which feet, a bit for each.
    pushes: u128,
    /// A place inside.
    at: Step,
    /// Of every foot: how far it is shortened there (below zero when it hangs), and how that
    /// grows with what tips.
    feet: Vec<(f64, Step)>,
    /// Of every foot, newtons a metre.
    stiffness: Vec<f64>,
}

/// A corner of a piece, and the side that leads on from it to the next.
#[derive(Clone, Copy)]
struct Corner {
    at: Step,
    next: Step,
    /// The way out over that side; nothing where the side is not an edge of the piece.
    out: Option<Step>,
}

impl Piece {
    /// The piece at a place or beside it: a frame that balances on two feet is on no piece but on
    /// the line between two.
    fn near(load: &Load, at: Step, supports: &[Support], radius: f64) -> Option<Piece> {
        let aside = BEYOND * (radius + load.weight * 1e-3);
        let places = [(0.0, 0.0), (1.0, 0.3), (-0.3, 1.0)];
        let mut pieces = places.into_iter().filter_map(|(x, y)| {
            let beside = at + Step::new(x, y) * aside;
            Piece::at(load, beside, supports)
        });
        pieces.next()
    }

    fn at(load: &Load, at: Step, supports: &[Support]) -> Option<Piece> {
        let tipped = Load {
            tipping: load.tipping + at,
            ..*load
        };
        let rest = settle(&tipped, supports).ok()?;
        let rigid = load.twist_stiffness.is_infinite();
        let shape = |support: &Support| {
            let at = support.at;
            Vector4::new(1.0, at.x, at.y, if rigid { 0.0 } else { at.x * at.y })
        };
        let mut bend = Matrix4::zeros();
        bend[(3, 3)] = if rigid { 1.0 } else { load.twist_stiffness };
        let mut pushes = 0;
        for (index, (support, &carries)) in supports.iter().zip(&rest.loads).enumerate() {
            if carries > 0.0 {
                let shape = shape(support);
                bend += shape * shape.transpose() * support.stiffness;
                pushes |= 1_u128.checked_shl(u32::try_from(index).ok()?)?;
            }
        }
        let scale = bend.diagonal().map(|it| 1.0 / it.sqrt());
        let solved = bend
            .component_mul(&(scale * scale.transpose()))
            .cholesky()
            .filter(|solved| solved.l_dirty().diagonal().min() > ON_A_LINE)?;
        let answer = |axis: usize| {
            let mut unit = Vector4::zeros();
            unit[axis] = scale[axis];
            solved.solve(&unit).component_mul(&scale)
        };
        let (along, across) = (answer(1), answer(2));
        let feet = supports
            .iter()
            .zip(&rest.loads)
            .map(|(support, &carries)| {
                let short = if carries > 0.0 {
                    carries / support.stiffness
                } else {
                    support.top - rest.at(support.at)
                };
                let shape = shape(support);
                (short, Step::new(shape.dot(&along), shape.dot(&across)))
            })
            .collect();
        Some(Piece {
            pushes,
            at,
            feet,
            stiffness: supports.iter().map(|it| it.stiffness).collect(),
        })
    }

    fn pushes(&self, foot: usize) -> bool {
        self.pushes >> foot.min(127) & 1 == 1
    }

    /// How far a foot is shortened where `at` tips the frame.
    fn short(&self, (short, grows): (f64, Step), at: Step) -> f64 {
        short + grows.dot(&(at - self.at))
    }

    /// Whether no foot lifts or touches anywhere in the disc.
    fn covers(&self, radius: f64) -> bool {
        self.feet.iter().enumerate().all(|(index, &foot)| {
            let middle = self.short(foot, Step::zeros());
            let swing = foot.1.norm() * radius;
            if self.pushes(index) {
                middle >= swing
            } else {
                middle <= -swing
            }
        })
    }

    /// The corners of the piece inside a square round the disc, in turn. None where the piece
    /// covers the whole disc.
    fn corners(&self, radius: f64) -> Vec<Corner> {
        if self.covers(radius) {
            return Vec::new();
        }
        let side = radius * 1.5;
        let square = [(1., -1.), (1., 1.), (-1., 1.), (-1., -1.)].map(|(x, y)| Step::new(x, y));
        let mut corners: Vec<Corner> = (0..4)
            .map(|index| Corner {
                at: square.get(index).copied().unwrap_or_default() * side,
                next: square.get((index + 1) % 4).copied().unwrap_or_default() * side,
                out: None,
            })
            .collect();
        for (index, &foot) in self.feet.iter().enumerate() {
            let sign = if self.pushes(index) { 1.0 } else { -1.0 };
            let inside = |at: Step| sign * self.short(foot, at);
            let out = (-sign * foot.1).try_normalize(0.0);
            let mut kept: Vec<Corner> = Vec::with_capacity(corners.len() + 1);
            for corner in &corners {
                let (here, there) = (inside(corner.at), inside(corner.next));
                let crossing = || corner.at + (corner.next - corner.at) * (here / (here - there));
                match (here >= 0.0, there >= 0.0) {
                    (true, true) => kept.push(*corner),
                    (true, false) => {
                        // Leaves here; the cut leads on to wherever it comes back.
                        let cut = crossing();
                        kept.push(Corner {
                            next: cut,
                            ..*corner
                        });
                        kept.push(Corner {
                            at: cut,
                            next: cut,
                            out,
                        });
                    }
                    (false, true) => kept.push(Corner {
                        at: crossing(),
                        ..*corner
                    }),
                    (false, false) => {}
                }
            }
            for place in 0..kept.len() {
                let following = kept.get((place + 1) % kept.len()).map(|it| it.at);
                if let (Some(corner), Some(following)) = (kept.get_mut(place), following) {
                    corner.next = following;
                }
            }
            corners = kept;
        }
        corners
    }

    /// Takes the extremes over the piece inside the disc into those found so far.
    fn gather(&self, corners: &[Corner], radius: f64, found: &mut Vec<Extreme>) {
        let whole = corners.is_empty();
        let mut places: Vec<Step> = corners
            .iter()
            .flat_map(|corner| corner.in_disc(radius))
            .collect();
        if whole {
            places.push(Step::zeros());
        }
        let first = found.is_empty();
        for (index, (&foot, &stiffness)) in self.feet.iter().zip(&self.stiffness).enumerate() {
            let carries = |at: Step| {
                if self.pushes(index) {
                    stiffness * self.short(foot, at).max(0.0)
                } else {
                    0.0
                }
            };
            if first {
                let here = carries(self.at);
                found.push(Extreme {
                    least: here,
                    least_at: self.at,
                    greatest: here,
                    greatest_at: self.at,
                });
            }
            let Some(extreme) = found.get_mut(index) else {
                continue;
            };
            // Where the circle faces the rise and the fall, if that is in the piece.
            let rise = foot.1.try_normalize(0.0).unwrap_or_default() * radius;
            let facing = [rise, -rise].into_iter().filter(|&at| self.holds(at));
            for at in places.iter().copied().chain(facing) {
                let load = carries(at);
                if load < extreme.least {
                    (extreme.least, extreme.least_at) = (load, at);
                }
                if load > extreme.greatest {
                    (extreme.greatest, extreme.greatest_at) = (load, at);
                }
            }
        }
    }

    /// Whether a place lies in the piece.
    fn holds(&self, at: Step) -> bool {
        self.feet.iter().enumerate().all(|(index, &foot)| {
            let short = self.short(foot, at);
            if self.pushes(index) {
                short >= 0.0
            } else {
                short <= 0.0
            }
        })
    }
}

impl Corner {
    /// Where the side from this corner to the next enters and leaves the disc.
    fn chord(&self, radius: f64) -> Option<(Step, Step)> {
        let side = self.next - self.at;
        let (square, half) = (side.norm_squared(), self.at.dot(&side));
        let rest = half * half - square * (self.at.norm_squared() - radius * radius);
        if rest < 0.0 || square <= 0.0 {
            return (self.at.norm() <= radius).then_some((self.at, self.at));
        }
        let root = rest.sqrt();
        let (enters, leaves) = ((-half - root) / square, (-half + root) / square);
        (enters <= 1.0 && leaves >= 0.0).then(|| {
            (
                self.at + side * enters.max(0.0),
                self.at + side * leaves.min(1.0),
            )
        })
    }

    /// What of the side lies in the disc.
    fn in_disc(&self, radius: f64) -> impl Iterator<Item = Step> {
        let chord = self.chord(radius);
        chord.into_iter().flat_map(|(from, to)| [from, to])
    }

    /// A place just over the side, where it is an edge of the piece that crosses the disc.
    fn neighbour(&self, radius: f64) -> Option<Step> {
        let out = self.out?;
        let (from, to) = self.chord(radius)?;
        Some((from + to) * 0.5 + out * (radius * BEYOND))
    }
}
