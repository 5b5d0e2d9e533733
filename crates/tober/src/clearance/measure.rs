//! Measuring: every part of a ride to everything that a rule speaks of.

use super::obstacle::{Obstacle, Solid, obstacles};
use super::plane::{Separation, Shape, within};
use super::rulebook::{Rule, When, rulebook};
use super::{Against, ClearanceRow, Measure, Part, RuleInForce};
use crate::Point;
use crate::assess::Verdict;
use crate::envelope::{Envelope, Heights};
use crate::ride::RideClass;
use crate::site::Site;

/// Shortfalls up to this size, metres, are noise of the arithmetic and not of the ride.
const NOISE: f64 = 1e-9;

/// A placed ride, as clearances see it. Lot frame.
#[derive(Clone, Debug)]
pub struct Parts {
    /// The placed ride's id.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// Its class.
    pub class: RideClass,
    /// The hub.
    pub hub: Point,
    /// The space that it sweeps.
    pub envelope: Envelope,
    /// Outline of the standing parts.
    pub body: Vec<Point>,
    /// Height of the standing parts above the datum plane, metres.
    pub body_height: f64,
    /// Every foot, and the radius that covers its pad or blocking, metres.
    pub feet: Vec<(Point, f64)>,
    /// The fence's posts.
    pub fence: Vec<Point>,
    /// Height of the fence, metres.
    pub fence_height: f64,
}

/// Which rules apply to a pair, by what they hang on.
struct Pair<'a> {
    against: Against,
    id: &'a str,
    name: &'a str,
    applies: &'a dyn Fn(When) -> bool,
    notes: Vec<&'a str>,
}

/// Every distance of ride `index` among `rides`, the tightest margin first. `rules` are those of
/// [`super::in_force`].
pub fn clearances(
    site: &Site,
    rules: &[RuleInForce],
    rides: &[Parts],
    index: usize,
) -> Vec<ClearanceRow> {
    let Some(ride) = rides.get(index) else {
        return Vec::new();
    };
    let mut rows = Vec::new();
    let mut judge = |pair: &Pair, separation: &dyn Fn(Part, Measure) -> Option<Separation>| {
        judge_pair(rules, pair, separation, &mut rows);
    };

    judge(
        &Pair {
            against: Against::LotLine,
            id: "",
            name: "lot line",
            applies: &|_| true,
            notes: Vec::new(),
        },
        &|part, _| {
            let boundary = &site.file().lot.boundary;
            nearest(
                ride.shapes(part)
                    .iter()
                    .map(|shape| within(shape, boundary)),
            )
        },
    );
    for obstacle in obstacles(site) {
        let mut notes: Vec<&str> = obstacle.assumed.into_iter().collect();
        let has_height = matches!(
            obstacle.against,
            Against::Building | Against::Tree | Against::OverheadLine
        );
        if has_height && ride.envelope.datum.is_none() {
            notes.push("the ride's own height is not known: measured in plan");
        }
        if obstacle.against == Against::OverheadLine && obstacle.volts.is_none() {
            notes.push("voltage not known: every rule for lines applies; ask the utility");
        }
        judge(
            &Pair {
                against: obstacle.against,
                id: &obstacle.id,
                name: &obstacle.name,
                applies: &|when| when.volts(obstacle.volts),
                notes,
            },
            &|part, measure| match measure {
                Measure::Horizontal => ride.horizontal(part, &obstacle),
                Measure::True => ride.through_the_air(site, part, &obstacle),
            },
        );
    }
    for (other_index, other) in rides.iter().enumerate() {
        if other_index == index {
            continue;
        }
        judge(
            &Pair {
                against: Against::Ride,
                id: &other.id,
                name: &other.name,
                applies: &|when| when.classes(ride.class, other.class),
                notes: Vec::new(),
            },
            &|part, _| {
                let own = ride.shapes(part);
                let its = match part {
                    Part::Fence => other.shapes(Part::Fence),
                    // From any moving part to whatever of the other comes nearest.
                    _ => [other.shapes(Part::Moving), other.shapes(Part::Standing)].concat(),
                };
                nearest(pairs(&own, &its))
            },
        );
    }
    rows.sort_by(|a, b| {
        let key = |row: &ClearanceRow| row.margin.unwrap_or(f64::NEG_INFINITY);
        key(a).total_cmp(&key(b))
    });
    rows
}

/// One row for each part and each way of measuring that some rule asks for.
fn judge_pair(
    rules: &[RuleInForce],
    pair: &Pair,
    separation: &dyn Fn(Part, Measure) -> Option<Separation>,
    rows: &mut Vec<ClearanceRow>,
) {
    for part in [Part::Moving, Part::Standing, Part::Feet, Part::Fence] {
        for measure in [Measure::Horizontal, Measure::True] {
            let speaks = |rule: &&(&Rule, &RuleInForce)| {
                rule.0.against == pair.against
                    && rule.0.measure == measure
                    && rule.0.parts.contains(&part)
                    && (pair.applies)(rule.0.when)
            };
            let mut asked: Vec<&RuleInForce> = rulebook()
                .iter()
                .zip(rules)
                .filter(|rule| speaks(&rule))
                .map(|(_, in_force)| in_force)
                .collect();
            asked.sort_by(|a, b| b.required.total_cmp(&a.required));
            let Some((governing, also)) = asked.split_first() else {
                continue;
            };
            let Some(found) = separation(part, measure) else {
                continue;
            };
            let margin = found.distance - governing.required;
            rows.push(ClearanceRow {
                part,
                against: pair.against,
                against_id: pair.id.to_owned(),
                against_name: pair.name.to_owned(),
                measure,
                value: Some(found.distance),
                required: governing.required,
                margin: Some(margin),
                rule: governing.id.clone(),
                also: also.iter().map(|rule| rule.id.clone()).collect(),
                from: found.from,
                to: found.to,
                verdict: if margin >= -NOISE {
                    Verdict::Pass
                } else {
                    Verdict::Fail
                },
                note: pair.notes.join("; "),
            });
        }
    }
}

/// The nearest of several separations.
fn nearest(found: impl Iterator<Item = Option<Separation>>) -> Option<Separation> {
    found
        .flatten()
        .min_by(|a, b| a.distance.total_cmp(&b.distance))
}

fn pairs<'a>(own: &'a [Shape], its: &'a [Shape]) -> impl Iterator<Item = Option<Separation>> + 'a {
    own.iter()
        .flat_map(move |one| its.iter().map(move |other| one.separation(other)))
}

impl Parts {
    /// A part's shapes in plan.
    fn shapes(&self, part: Part) -> Vec<Shape> {
        let feet = self
            .feet
            .iter()
            .map(|&(at, radius)| Shape::disc(at, radius));
        match part {
            Part::Moving => vec![Shape::disc(self.hub, self.envelope.radius)],
            Part::Standing => std::iter::once(Shape::area(&self.body))
                .chain(feet)
                .collect(),
            Part::Feet => feet.collect(),
            Part::Fence => vec![Shape::area(&self.fence)],
        }
    }

    /// Distance in plan.
    fn horizontal(&self, part: Part, obstacle: &Obstacle) -> Option<Separation> {
        let own = self.shapes_facing(part, obstacle.against);
        let its: Vec<Shape> = obstacle.solids.iter().map(Solid::in_plan).collect();
        nearest(pairs(&own, &its))
    }

    /// A tree or a supply pillar may stand inside the fence, so long as no panel runs through it.
    fn shapes_facing(&self, part: Part, against: Against) -> Vec<Shape> {
        match (part, against) {
            (Part::Fence, Against::Tree | Against::PowerSource) => vec![Shape::ring(&self.fence)],
            _ => self.shapes(part),
        }
    }

    /// The shortest way through the air.
    fn through_the_air(&self, site: &Site, part: Part, obstacle: &Obstacle) -> Option<Separation> {
        let own = self.shapes_facing(part, obstacle.against);
        nearest(obstacle.solids.iter().map(|solid| match (part, solid) {
            (Part::Moving, Solid::Upright(shape, heights)) => {
                self.swing_to_upright(shape, *heights)
            }
            (Part::Moving, Solid::Run(from, to)) => Some(self.swing_to_run(*from, *to)),
            (_, Solid::Upright(shape, heights)) => self.upright(site, part, &own, shape, *heights),
            // The lower end stands for the whole run.
            (_, Solid::Run((_, from), (_, to))) => {
                let heights = Heights {
                    low: from.low.min(to.low),
                    high: from.high.max(to.high),
                };
                self.upright(site, part, &own, &solid.in_plan(), heights)
            }
        }))
    }

    /// From a part that stands still, by its `own` shapes, to something at a range of heights.
    fn upright(
        &self,
        site: &Site,
        part: Part,
        own: &[Shape],
        shape: &Shape,
        heights: Heights,
    ) -> Option<Separation> {
        let above = heights.low - self.top(site, part);
        nearest(own.iter().map(|one| {
            let flat = one.separation(shape)?;
            let distance = if above > 0.0 {
                libm::hypot(flat.distance.max(0.0), above)
            } else {
                flat.distance
            };
            Some(Separation { distance, ..flat })
        }))
    }

    /// Highest elevation of a part that stands still; infinite when it hangs on unknown ground.
    fn top(&self, site: &Site, part: Part) -> f64 {
        match part {
            Part::Fence => self
                .fence
                .iter()
                .map(|&post| {
                    let ground = site.ground().height(post);
                    ground.map_or(f64::INFINITY, |ground| ground.0 + self.fence_height)
                })
                .fold(f64::NEG_INFINITY, f64::max),
            _ => self
                .envelope
                .datum
                .map_or(f64::INFINITY, |datum| datum.0 + self.body_height),
        }
    }

    fn swing_to_upright(&self, shape: &Shape, heights: Heights) -> Option<Separation> {
        let from_hub = Shape::disc(self.hub, 0.0).separation(shape)?;
        let radius = from_hub.distance.max(0.0);
        let distance = self
            .envelope
            .distance(radius, self.envelope.above_datum(heights));
        // With the hub inside the shape, its own reach in plan adds to the overlap.
        let distance = if distance < 0.0 {
            distance + from_hub.distance.min(0.0)
        } else {
            distance
        };
        Some(Separation {
            distance,
            from: self.rim_towards(from_hub.to),
            to: from_hub.to,
        })
    }

    fn swing_to_run(&self, from: (Point, Heights), to: (Point, Heights)) -> Separation {
        let end =
            |(at, heights): (Point, Heights)| (at - self.hub, self.envelope.above_datum(heights));
        let (distance, share) = self.envelope.distance_to_run(end(from), end(to));
        let place = from.0 + (to.0 - from.0) * share;
        Separation {
            distance,
            from: self.rim_towards(place),
            to: place,
        }
    }

    /// The place of the envelope's rim in plan that faces `place`, or `place` itself when it lies
    /// within the rim.
    fn rim_towards(&self, place: Point) -> Point {
        let out = place - self.hub;
        let far = out.norm();
        if far > self.envelope.radius {
            self.hub + out * (self.envelope.radius / far)
        } else {
            place
        }
    }
}
