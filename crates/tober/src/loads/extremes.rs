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

use nalgebra::{Matrix4, MatrixXx4, Vector4};

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

impl Extreme {
    /// Takes in what the foot carries at a place.
    pub(super) fn take(&mut self, at: Step, carries: f64) {
        if carries < self.least {
            (self.least, self.least_at) = (carries, at);
        }
        if carries > self.greatest {
            (self.greatest, self.greatest_at) = (carries, at);
        }
    }
}

/// Most pieces looked at, for each foot and every foot beside it. A foot just touches along one
/// curve of the plane of moments. Where two curves of a rigid frame cross, the frame turns about
/// the line through both tops, and the sum of all loads, convex in that turn, is the weight at two
/// places at the most: so `n` curves make `n² − n + 2` pieces at the most (as `n` circles do). Of a
/// frame that twists nobody has proven it; of 60,000 such on up to 40 feet none had more than
/// `0.83 n²`. A frame on eight feet has a dozen or two, and jacks beside outriggers a hundred.
const MOST_PIECES: usize = 4;

/// Over the edge of a piece by this share of the disc lies its neighbour.
const BEYOND: f64 = 1e-7;

/// Feet that lie nearer to one line than this share of their spread hold no frame upright.
const ON_A_LINE: f64 = 1e-7;

/// Feet that lie nearer to one line than this share `p` of their spread hold it hardly: what tips
/// the frame across the line moves it by `1/p²` as far, so that the last digit of where an edge of
/// the piece is said to be may be a billionth of the weight.
const NARROW: f64 = 1e-3;

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
        if piece
            .gather(&corners, (load, radius), supports, &mut found)
            .is_none()
        {
            return Some(at_worst(load, supports));
        }
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
        if pieces.len() > MOST_PIECES * supports.len() * supports.len() {
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
    /// Whether its feet lie on one line but for a hair.
    narrow: bool,
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
        // A row for each foot that pushes, and one for the frame's twist: energy is half the sum of
        // the squares of what they make of a move. Taken apart as they are: multiplied out first,
        // feet that lie near to one line, by a share `p` of their spread, would leave an answer
        // with `p²` to spare above rounding instead of `p`.
        let stiff = if rigid { 1.0 } else { load.twist_stiffness };
        let mut rows = vec![Vector4::new(0.0, 0.0, 0.0, stiff.sqrt()).transpose()];
        let mut pushes = 0;
        for (index, (support, &carries)) in supports.iter().zip(&rest.loads).enumerate() {
            if carries > 0.0 {
                rows.push(shape(support).transpose() * support.stiffness.sqrt());
                pushes |= 1_u128.checked_shl(u32::try_from(index).ok()?)?;
            }
        }
        let mut rows = MatrixXx4::from_rows(&rows);
        let measures = Vector4::from_fn(|axis, _| rows.column(axis).norm());
        for (axis, measure) in measures.iter().enumerate() {
            rows.column_mut(axis).unscale_mut(*measure);
        }
        // Fewer rows than ways to move hold nothing.
        if rows.nrows() < 4 {
            return None;
        }
        let taken_apart = rows.qr().r();
        let bend: Matrix4<f64> = taken_apart.fixed_view::<4, 4>(0, 0).into();
        let off_a_line = |share: f64| bend.diagonal().iter().all(|it| it.abs() > share);
        if !off_a_line(ON_A_LINE) {
            return None;
        }
        // Halfway through the answer, for what tips the frame and for each foot. What tips it along
        // such a line moves those feet hardly at all: multiplied out, the difference of two large
        // numbers.
        let half = |of: Vector4<f64>| bend.tr_solve_upper_triangular(&of.component_div(&measures));
        let (along, across) = (half(Vector4::y())?, half(Vector4::z())?);
        let feet = supports.iter().zip(&rest.loads).map(|(support, &carries)| {
            let short = if carries > 0.0 {
                carries / support.stiffness
            } else {
                support.top - rest.at(support.at)
            };
            let own = half(shape(support))?;
            Some((short, Step::new(own.dot(&along), own.dot(&across))))
        });
        let feet = feet.collect::<Option<_>>()?;
        Some(Piece {
            pushes,
            at,
            feet,
            stiffness: supports.iter().map(|it| it.stiffness).collect(),
            narrow: !off_a_line(NARROW),
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

    /// Takes the extremes over the piece inside the disc into those found so far. `None` where the
    /// frame was not seen to rest.
    fn gather(
        &self,
        corners: &[Corner],
        (load, radius): (&Load, f64),
        supports: &[Support],
        found: &mut Vec<Extreme>,
    ) -> Option<()> {
        if found.is_empty() {
            let feet = (0..self.feet.len()).map(|foot| self.carries(foot, self.at));
            found.extend(feet.map(|here| Extreme {
                least: here,
                least_at: self.at,
                greatest: here,
                greatest_at: self.at,
            }));
        }
        let mut places: Vec<Step> = corners
            .iter()
            .flat_map(|corner| corner.in_disc(radius))
            .collect();
        if corners.is_empty() {
            places.push(Step::zeros());
        }
        // Where the circle faces the rise and the fall of a foot, if that is in the piece.
        let facing = |foot: usize| {
            let grows = self.feet.get(foot).map(|foot| foot.1);
            let rise = grows
                .and_then(|it| it.try_normalize(0.0))
                .map(|it| it * radius);
            let both = rise.into_iter().flat_map(|rise| [rise, -rise]);
            both.filter(|&at| self.holds(at))
        };
        if self.narrow {
            // Its edges are edges of its neighbours too, which know better what is carried there:
            // of it only what was seen at the places themselves.
            places.extend((0..self.feet.len()).flat_map(facing));
            for at in places {
                let tipping = load.tipping + at;
                let loads = settle(&Load { tipping, ..*load }, supports).ok()?.loads;
                for (extreme, carries) in found.iter_mut().zip(loads) {
                    extreme.take(at, carries);
                }
            }
            return Some(());
        }
        for (foot, extreme) in found.iter_mut().enumerate() {
            for at in places.iter().copied().chain(facing(foot)) {
                extreme.take(at, self.carries(foot, at));
            }
        }
        Some(())
    }

    /// What a foot carries at a place of the piece.
    fn carries(&self, foot: usize, at: Step) -> f64 {
        let both = self.feet.get(foot).zip(self.stiffness.get(foot));
        let pushes = both.filter(|_| self.pushes(foot));
        pushes.map_or(0.0, |(&own, stiffness)| {
            stiffness * self.short(own, at).max(0.0)
        })
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
