//! The fence: a closed run of whole panels around everything that moves.
//!
//! What has to lie inside is a circle about the hub (the moving radius and the standoff), the
//! corners of whatever else moves (with the standoff), a number of points with some room (corners
//! of the frame, feet) and the console with its operator; their common
//! [`hull`] is what no panel may cut. The fence takes the fewest panels that it can, and spreads
//! what they are too long by evenly as extra clearance: whole panels only, no leftover gap.
//!
//! # Around a circle: proof that the fewest is the fewest
//!
//! Mostly everything lies within the circle, of radius `r`. Then the fence is the regular
//! polygon of `n` panels of length `p` whose inradius is at least `r`, for the smallest `n` with
//!
//! ```text
//!   p / (2 tan(π/n)) ≥ r
//! ```
//!
//! No closed fence of fewer panels, of whatever shape, goes round the circle. Take one of `n`
//! panels that does. Its convex hull has `k ≤ n` corners, a perimeter of at most `n p`, and
//! holds the circle. Move every side of the hull inwards, parallel to itself, until it touches
//! the circle: the polygon that is left lies within the hull, and of two convex outlines, one
//! within the other, the inner is not longer. With exterior angles `a₁ … a_k`, which sum to a
//! full turn, its perimeter is `2r Σ tan(aᵢ/2)`. The tangent is convex, so that this is at least
//! `2r k tan(π/k)` (Jensen), and `k tan(π/k)` falls as `k` grows, so it is at least
//! `2r n tan(π/n)`. Together: `n p ≥ 2r n tan(π/n)`, the condition above. (The isoperimetric
//! property of the regular polygon, in the form that fences need.)
//!
//! # Around any hull
//!
//! A closed fence around a convex hull is not shorter than the hull is round, so that
//! `n ≥ perimeter / p`; and it goes round the circle. From the larger of these two bounds on,
//! `n` is tried until a closed [`walk`] round a band about the hull cuts nothing, which is
//! verified in closed form: the fence is convex, so a disc lies inside when it is on the inner
//! side of every panel's line, by its radius. Posts at the hull's sharp corners cut off least,
//! so the walk is tried from each of these. Here the number is small, but not proven the fewest.

mod hull;
mod openings;
mod walk;

pub use openings::{Openings, openings};

use std::f64::consts::{PI, TAU};

use serde::{Deserialize, Serialize};

use crate::assess::Verdict;
use crate::ride::FenceStock;
use crate::{Point, Step};

use hull::{Disc, hull, perimeter};
use walk::Band;

/// A closed fence of whole panels.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FencePlan {
    /// Where the posts stand, lot frame, in order; a panel from each to the next and from the
    /// last to the first.
    #[cfg_attr(feature = "schema", schemars(with = "Vec<[f64; 2]>"))]
    pub posts: Vec<Point>,
    /// Which panels are gates: panel `i` runs from post `i` to the next.
    pub gates: Vec<usize>,
    /// Whole panels, gates included.
    pub panels: u32,
    /// Panels on the truck, gates included.
    pub panels_on_truck: u32,
    /// Length of the run, metres.
    pub perimeter: f64,
    /// Least distance from what moves to the fence that was asked for, metres.
    pub standoff: f64,
    /// Least distance from what moves to the fence as laid out, metres; never overstated.
    pub clear: f64,
    /// Height of a panel, metres.
    pub height: f64,
    /// What gets through it.
    #[serde(default)]
    pub openings: Openings,
    /// Whether the panels suffice, stand high enough, and turn back what they must.
    pub verdict: Verdict,
    /// What is short, in plain words; empty when nothing.
    pub notes: Vec<String>,
}

/// What the fence has to go round, lot frame.
#[derive(Clone, Copy, Debug)]
pub struct Enclosed<'a> {
    /// The hub.
    pub hub: Point,
    /// Radius about the hub of everything that moves, metres.
    pub moving_radius: f64,
    /// Places that must come to lie inside, with [`ROOM`] to spare: corners of the frame, feet.
    pub points: &'a [Point],
    /// Round things that must come to lie inside, each with the radius that covers it: the
    /// console with the operator at it.
    pub round: &'a [(Point, f64)],
    /// Corners of what moves and is not round, each with what a leaning frame may move it by; the
    /// fence keeps the standoff from them as well.
    pub moving_corners: &'a [(Point, f64)],
    /// Where people come from: the way in faces it.
    pub arrivals: Point,
}

/// Room between a place that must lie inside and the fence, metres.
///
/// Common practice, no published source: room to pin a foot.
pub const ROOM: f64 = 0.3;

/// Least height of a fence, metres: 42 in.
///
/// Source (read): Wisconsin Administrative Code SPS 334.24(3). ASTM F2291 says the same of fences
/// (memory).
pub const GUARD_HEIGHT: f64 = 1.0668;

/// More panels than any ride is fenced with; a bound on time and memory.
pub const MOST_PANELS: u32 = 2000;

/// How many panels beyond the lower bound are tried. A band spread by half a panel is cut by no
/// chord that turns by less than a quarter, and takes about π panels more than the bound.
const MORE_PANELS: u32 = 12;

/// How many of the hull's corners the walk is tried from.
const MOST_STARTS: usize = 6;

/// Allowance for rounding, metres: asked for on top, and taken off what is reported.
const HAIR: f64 = 1e-9;

/// Lays out the fence.
///
/// The panel that faces the arrivals is the first, and the first gate; further gates follow
/// counter-clockwise, a quarter of the way round apart or nearer when there are many, so that
/// those who leave do not meet those who arrive (common practice, no published source).
///
/// Never fails: a fence that cannot be laid out has no posts, [`Verdict::Fail`] and a note.
pub fn plan(stock: &FenceStock, enclosed: &Enclosed<'_>) -> FencePlan {
    let mut notes = Vec::new();
    let posts = lay_out(stock, enclosed).unwrap_or_else(|obstacle| {
        notes.push(obstacle.to_owned());
        Vec::new()
    });
    let panels = posts.len() as u32;

    if panels > stock.panels {
        let short = panels - stock.panels;
        let plural = if short == 1 { "panel" } else { "panels" };
        notes.push(format!(
            "{short} {plural} short: the fence takes {panels}, the truck carries {}",
            stock.panels
        ));
    }
    if stock.gates == 0 {
        notes.push("none of the panels is a gate".to_owned());
    }
    let is_high_enough = stock.height >= GUARD_HEIGHT - HAIR;
    if !is_high_enough {
        notes.push(
            "the panels are lower than a guard has to be: 42 in (1.07 m), Wisconsin SPS 334.24(3)"
                .to_owned(),
        );
    }
    let moving = enclosed.moving_corners.iter();
    let moving = moving.map(|&(at, wider)| (at - enclosed.hub, wider));
    let moving: Vec<(Step, f64)> = std::iter::once((Step::zeros(), enclosed.moving_radius))
        .chain(moving)
        .collect();
    let clear = sides(&posts)
        .flat_map(|side| moving.iter().map(move |&(at, out)| side.room(at) - out))
        .reduce(f64::min);
    FencePlan {
        gates: gates(posts.len(), stock.gates as usize),
        panels,
        panels_on_truck: stock.panels,
        perimeter: f64::from(panels) * stock.panel,
        standoff: stock.standoff,
        clear: clear.map_or(0.0, |clear| clear - HAIR),
        height: stock.height,
        openings: Openings::default(),
        verdict: if notes.is_empty() {
            Verdict::Pass
        } else {
            Verdict::Fail
        },
        notes,
        posts: posts.into_iter().map(|post| enclosed.hub + post).collect(),
    }
}

/// The posts, counted from the hub, counter-clockwise; the first panel faces the arrivals.
fn lay_out(stock: &FenceStock, enclosed: &Enclosed<'_>) -> Result<Vec<Step>, &'static str> {
    let radius = enclosed.moving_radius + stock.standoff + 2.0 * HAIR;
    let is_usable = stock.panel > 0.0
        && enclosed.moving_radius >= 0.0
        && stock.standoff >= 0.0
        && radius.is_finite()
        && (enclosed.points.iter()).all(|point| (point - enclosed.hub).norm().is_finite())
        && (enclosed.round.iter().chain(enclosed.moving_corners)).all(|(at, radius)| {
            (at - enclosed.hub).norm().is_finite() && radius.is_finite() && *radius >= 0.0
        });
    if !is_usable {
        return Err("the fence cannot be laid out: a length is missing, negative or not a number");
    }

    let circle = Disc {
        centre: Step::zeros(),
        radius,
    };
    let arrivals = enclosed.arrivals - enclosed.hub;
    let mut discs = vec![circle];
    let points = enclosed.points.iter().map(|&point| (point, ROOM));
    let moving = enclosed.moving_corners.iter();
    let moving = moving.map(|&(at, wider)| (at, wider + stock.standoff + 2.0 * HAIR));
    discs.extend(
        points
            .chain(enclosed.round.iter().copied())
            .chain(moving)
            .map(|(at, radius)| Disc {
                centre: at - enclosed.hub,
                radius,
            })
            .filter(|disc| !circle.covers(disc)),
    );
    if discs.len() == 1 {
        let panels = to_count(fewest_around_circle(radius, stock.panel))?;
        Ok(regular(panels, stock.panel, arrivals))
    } else {
        let mut posts = around_hull(&discs, stock.panel)?;
        let to_arrivals = |side: &Side| (side.middle() - arrivals).norm_squared();
        let facing = (sides(&posts).enumerate())
            .map(|(i, side)| (i, to_arrivals(&side)))
            .reduce(|a, b| if b.1 < a.1 { b } else { a });
        posts.rotate_left(facing.map_or(0, |(i, _)| i));
        Ok(posts)
    }
}

/// The smallest number of panels whose regular polygon has an inradius of at least a radius.
fn fewest_around_circle(radius: f64, panel: f64) -> f64 {
    let inradius = |panels: f64| panel / (2.0 * libm::tan(PI / panels));
    // From just below the closed form, which rounding may take to either side of a whole number.
    let mut panels = (PI / libm::atan2(panel, 2.0 * radius)).floor().max(3.0);
    while inradius(panels) < radius && panels <= f64::from(MOST_PANELS) {
        panels += 1.0;
    }
    panels
}

/// The regular polygon about the hub, the middle of its first side towards the arrivals.
fn regular(panels: u32, panel: f64, arrivals: Step) -> Vec<Step> {
    let turn = TAU / f64::from(panels);
    let radius = panel / (2.0 * libm::sin(turn / 2.0));
    let facing = libm::atan2(arrivals.y, arrivals.x);
    (0..panels)
        .map(|i| {
            let (sin, cos) = libm::sincos(facing + turn * (f64::from(i) - 0.5));
            Step::new(cos, sin) * radius
        })
        .collect()
}

/// A closed walk around discs, the first of which is the circle about the hub.
fn around_hull(discs: &[Disc], panel: f64) -> Result<Vec<Step>, &'static str> {
    let arcs = hull(discs);
    let around_circle = (discs.first()).map_or(3.0, |c| fewest_around_circle(c.radius, panel));
    let fewest = to_count(around_circle.max((perimeter(&arcs) / panel).ceil()))?;

    // The corners, the sharpest first: those about points turn most on the least radius.
    let circle = discs.first().map_or(0.0, |it| it.radius);
    let is_corner = |disc: &Disc| disc.centre != Step::zeros() || disc.radius != circle;
    let mut corners: Vec<_> = arcs.iter().filter(|arc| is_corner(&arc.disc)).collect();
    corners.sort_by(|a, b| (b.to - b.from).total_cmp(&(a.to - a.from)));
    let bands: Vec<Band> = (corners.iter().take(MOST_STARTS))
        .map(|corner| Band::starting_at(&arcs, 0.5 * (corner.from + corner.to)))
        .collect();

    for panels in fewest..=fewest + MORE_PANELS {
        let best = (bands.iter())
            .filter_map(|band| band.posts(panels, panel))
            .map(|posts| (least_room(&posts, discs), posts))
            .filter(|(room, _)| *room >= 0.0)
            .reduce(|a, b| if b.0 > a.0 { b } else { a });
        if let Some((_, posts)) = best {
            return Ok(posts);
        }
    }
    Err("no closed run of whole panels was found that cuts nothing")
}

fn to_count(panels: f64) -> Result<u32, &'static str> {
    if panels <= f64::from(MOST_PANELS) {
        Ok(panels as u32)
    } else {
        Err("the fence would take more than 2000 panels: check the panels' length")
    }
}

/// A panel of a fence that runs counter-clockwise.
#[derive(Clone, Copy, Debug)]
struct Side {
    from: Step,
    to: Step,
}

impl Side {
    /// How far inside the panel's line a place lies; negative outside.
    fn room(&self, at: Step) -> f64 {
        let along = self.to - self.from;
        along.perp(&(at - self.from)) / along.norm()
    }

    fn middle(&self) -> Step {
        0.5 * (self.from + self.to)
    }
}

fn sides(posts: &[Step]) -> impl Iterator<Item = Side> + '_ {
    (posts.iter().zip(posts.iter().cycle().skip(1))).map(|(&from, &to)| Side { from, to })
}

/// Least room between any disc and any panel of a convex fence; negative when one is cut.
fn least_room(posts: &[Step], discs: &[Disc]) -> f64 {
    sides(posts)
        .flat_map(|side| (discs.iter()).map(move |disc| side.room(disc.centre) - disc.radius))
        .fold(f64::INFINITY, f64::min)
}

/// Which panels become gates: the first, and others a quarter of the way round apart.
fn gates(panels: usize, gates: usize) -> Vec<usize> {
    let gates = gates.min(panels);
    (0..gates)
        .map(|i| (i * panels).div_ceil(gates.max(4)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    use proptest::prelude::*;

    fn stock(panel: f64, standoff: f64) -> FenceStock {
        FenceStock {
            standoff,
            panel,
            height: 1.1,
            stake_depth: None,
            panels: MOST_PANELS,
            gates: 2,
            gaps: Default::default(),
        }
    }

    fn around(moving_radius: f64, points: &[Point]) -> Enclosed<'_> {
        Enclosed {
            hub: Point::origin(),
            moving_radius,
            round: &[],
            moving_corners: &[],
            points,
            arrivals: Point::new(0.0, -100.0),
        }
    }

    /// Distance from a place to a panel, by its nearest point: another way than [`Side::room`].
    fn distance(at: Point, from: Point, to: Point) -> f64 {
        let along = to - from;
        let share = ((at - from).dot(&along) / along.norm_squared()).clamp(0.0, 1.0);
        (at - (from + along * share)).norm()
    }

    fn panels(plan: &FencePlan) -> impl Iterator<Item = (Point, Point)> + '_ {
        let next = plan.posts.iter().cycle().skip(1);
        plan.posts.iter().copied().zip(next.copied())
    }

    fn least_distance(plan: &FencePlan, at: Point) -> f64 {
        panels(plan)
            .map(|(from, to)| distance(at, from, to))
            .fold(f64::INFINITY, f64::min)
    }

    /// How often the fence winds round a place, by the turn of the line of sight along it.
    fn turns_round(plan: &FencePlan, at: Point) -> f64 {
        let turn = |(from, to): (Point, Point)| {
            let (a, b) = (from - at, to - at);
            libm::atan2(a.perp(&b), a.dot(&b))
        };
        panels(plan).map(turn).sum::<f64>() / TAU
    }

    fn assert_whole_panels(plan: &FencePlan, panel: f64) {
        assert_eq!(plan.posts.len(), plan.panels as usize);
        for (from, to) in panels(plan) {
            let length = (to - from).norm();
            assert!((length - panel).abs() < 1e-9, "{length}");
        }
    }

    #[test]
    fn a_circle_takes_a_regular_polygon() {
        // 2.4 m panels about r = 9 m: 20 panels have an inradius of 7.58 m, 24 of 9.115 m, and
        // 23 of 8.73 m.
        let plan = plan(&stock(2.4, 1.5), &around(7.5, &[]));
        assert_eq!(plan.panels, 24);
        assert_whole_panels(&plan, 2.4);
        let inradius = 1.2 / libm::tan(PI / 24.0);
        assert!((plan.clear - (inradius - 7.5)).abs() < 1e-8);
        assert!(plan.clear <= inradius - 7.5);
        assert_eq!((plan.verdict, plan.notes.len()), (Verdict::Pass, 0));
    }

    #[test]
    fn the_way_in_faces_the_arrivals_and_the_way_out_is_a_quarter_round() {
        let console = [Point::new(10.0, 1.0)];
        for points in [&[][..], &console] {
            let plan = plan(&stock(2.0, 2.0), &around(7.0, points));
            assert_eq!(plan.gates.len(), 2);
            let middle = |i: usize| nalgebra::center(&plan.posts[i], &plan.posts[i + 1]);
            let (way_in, way_out) = (middle(plan.gates[0]), middle(plan.gates[1]));
            assert!(way_in.y < -8.9 && way_in.x.abs() < 1.5, "{way_in}");
            assert!(way_out.x > 8.0, "{way_out}");
        }
        assert_eq!(gates(6, 2), [0, 2]);
        assert_eq!(gates(3, 9), [0, 1, 2]);
        assert_eq!(gates(0, 2), [0; 0]);
        assert_eq!(gates(12, 6), [0, 2, 4, 6, 8, 10]);
    }

    #[test]
    fn what_is_short_is_said() {
        let few = FenceStock {
            panels: 23,
            height: 1.0,
            gates: 0,
            ..stock(2.4, 1.5)
        };
        let plan = plan(&few, &around(7.5, &[]));
        assert_eq!(plan.verdict, Verdict::Fail);
        assert_eq!(
            plan.notes[0],
            "1 panel short: the fence takes 24, the truck carries 23"
        );
        assert!(plan.notes[1].contains("gate"));
        assert!(plan.notes[2].contains("42 in"));
        let exactly = FenceStock {
            panels: 24,
            height: GUARD_HEIGHT,
            ..stock(2.4, 1.5)
        };
        assert_eq!(
            super::plan(&exactly, &around(7.5, &[])).verdict,
            Verdict::Pass
        );
    }

    #[test]
    fn absurd_numbers_fail_in_words() {
        let nan = [Point::new(f64::NAN, 0.0)];
        let far = [Point::new(1e12, 1e12)];
        let at_the_hub = [Point::origin(); 3];
        for (panel, standoff, radius, points) in [
            (1e-9, 1.0, 1e6, &[][..]),
            (0.0, 1.0, 5.0, &[]),
            (-2.0, 1.0, 5.0, &[]),
            (f64::NAN, 1.0, 5.0, &[]),
            (2.0, f64::NAN, 5.0, &[]),
            (2.0, -9.0, 5.0, &[]),
            (2.0, 1.0, f64::INFINITY, &[]),
            (2.0, 1.0, 1e300, &[]),
            (2.0, 1.0, 5.0, &nan),
            (2.0, 1.0, 5.0, &far),
            (1e-300, 0.0, 0.0, &at_the_hub),
        ] {
            let plan = plan(&stock(panel, standoff), &around(radius, points));
            assert_eq!(plan.verdict, Verdict::Fail);
            assert_eq!((plan.panels, plan.clear, plan.notes.len()), (0, 0.0, 1));
        }
        let vast = plan(&stock(1e6, 0.0), &around(0.0, &[]));
        assert_eq!((vast.panels, vast.verdict), (3, Verdict::Pass));
        let unknown_height = FenceStock {
            height: f64::NAN,
            ..stock(2.0, 1.0)
        };
        assert_eq!(
            plan(&unknown_height, &around(5.0, &[])).verdict,
            Verdict::Fail
        );
    }

    proptest! {
        #[test]
        fn a_circle_is_enclosed_by_the_fewest_whole_panels(
            radius in 0.0..40.0f64, standoff in 0.0..5.0f64, panel in 0.5..6.0f64,
        ) {
            let plan = plan(&stock(panel, standoff), &around(radius, &[]));
            assert_whole_panels(&plan, panel);
            let least = least_distance(&plan, Point::origin());
            prop_assert!((turns_round(&plan, Point::origin()) - 1.0).abs() < 1e-9);
            prop_assert!(plan.clear >= standoff && plan.clear <= least - radius);
            prop_assert!(plan.clear > least - radius - 1e-8);
            // One fewer does not go round, even laid out as the roomiest polygon.
            let fewer = f64::from(plan.panels - 1);
            let roomiest = panel / (2.0 * libm::tan(PI / fewer));
            prop_assert!(fewer < 3.0 || roomiest < radius + standoff + 1e-8);
        }

        /// The proof above against brute force: no random closed convex fence of so many panels
        /// holds a larger circle than the regular one. (A circle that a convex outline holds has
        /// a radius of at most twice its area over its perimeter.)
        #[test]
        fn the_regular_polygon_holds_the_largest_circle(
            directions in prop::collection::vec(0.0..TAU, 1..20),
        ) {
            let mut panels: Vec<Step> = directions
                .iter()
                .map(|angle| Step::new(libm::cos(*angle), libm::sin(*angle)))
                .collect();
            // Panels straight back until two more close the fence.
            let mut across: Step = -panels.iter().sum::<Step>();
            while across.norm() > 2.0 {
                let back = across.normalize();
                panels.push(back);
                across -= back;
            }
            let aside = Step::new(-across.y, across.x).try_normalize(0.0).unwrap_or(Step::x());
            let aside = aside * (1.0 - 0.25 * across.norm_squared()).max(0.0).sqrt();
            panels.extend([0.5 * across + aside, 0.5 * across - aside]);
            panels.sort_by(|a, b| libm::atan2(a.y, a.x).total_cmp(&libm::atan2(b.y, b.x)));

            let count = panels.len() as f64;
            let mut at = Step::zeros();
            let mut area = 0.0;
            for panel in &panels {
                area += 0.5 * at.perp(&(at + panel));
                at += panel;
            }
            prop_assert!(at.norm() < 1e-9);
            let largest_circle = 2.0 * area / count;
            prop_assert!(largest_circle <= 1.0 / (2.0 * libm::tan(PI / count)) + 1e-12);
        }

        #[test]
        fn whatever_sticks_out_is_enclosed_with_room(
            radius in 0.0..15.0f64,
            panel in 0.8..4.0f64,
            points in prop::collection::vec(
                (-20.0..20.0f64, -20.0..20.0f64).prop_map(|(x, y)| Point::new(x, y)), 1..10,
            ),
        ) {
            let plan = plan(&stock(panel, 1.5), &around(radius, &points));
            prop_assert_eq!(&plan.notes, &Vec::<String>::new());
            assert_whole_panels(&plan, panel);
            prop_assert!(least_distance(&plan, Point::origin()) >= radius + 1.5);
            prop_assert!(plan.clear >= 1.5);
            for point in points.into_iter().chain([Point::origin()]) {
                prop_assert!((turns_round(&plan, point) - 1.0).abs() < 1e-9);
                prop_assert!(least_distance(&plan, point) >= ROOM - 1e-9);
            }
        }
    }
}
