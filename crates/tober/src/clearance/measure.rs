//! Measuring: every part of a ride to everything near that a rule speaks of, each pair once.

use super::bonding::{Beside, supplied_by};
use super::obstacle::Obstacle;
use super::parts::{Body, PartBody, PlacedStake};
use super::plane::within;
use super::rulebook::{Asked, When, asked};
use super::solid::{Found, nearest};
use super::{Against, ClearanceRow, LotClearance, Measure, Part, Parts, RuleInForce, Solid};
use crate::Point;
use crate::assess::Verdict;
use crate::site::Site;

/// Shortfalls up to this size, metres, are noise of the arithmetic and not of the ride.
const NOISE: f64 = 1e-9;

/// A lot with no more features and other rides than this is listed whole, however far they are:
/// one sheet holds it.
pub const LISTED_WHOLE: usize = 60;

/// On a larger lot, what keeps so much more than is asked for, metres, has no row: it cannot
/// matter. The lot line has its row however far it is.
pub const FAR: f64 = 15.0;

/// The same of an overhead line, which is told of from farther off: nothing else is as deadly.
pub const FAR_LINE: f64 = 30.0;

/// Up to so many volts a line that supplies a ride is excepted: NEC 525.5(B)(1); memory.
const SUPPLY_VOLTS: f64 = 600.0;

/// The clearances of one ride.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Clearances {
    /// Every distance, on a lot of more than [`LISTED_WHOLE`] things those within [`FAR`] of what
    /// is asked for; the tightest margin first.
    pub rows: Vec<ClearanceRow>,
    /// How many features and other rides have no row: they keep farther, or no rule speaks of
    /// them.
    pub far: usize,
    /// Every other ride that was measured, and how near it comes.
    pub beside: Vec<Beside>,
}

/// Every clearance of every ride. `rules` are those of [`super::in_force`].
pub fn clearances(site: &Site, rules: &[RuleInForce], rides: &[Parts]) -> Vec<Clearances> {
    let judge = Judge::new(site, rules);
    let bodies: Vec<Body<'_>> = rides.iter().map(Body::of).collect();
    let mut all: Vec<Clearances> = bodies.iter().map(|body| judge.alone(body)).collect();
    for (index, own) in bodies.iter().enumerate() {
        for (other_index, other) in bodies.iter().enumerate().skip(index + 1) {
            let Some(meetings) = judge.meet(own, other) else {
                for at in [index, other_index] {
                    if let Some(clearances) = all.get_mut(at) {
                        clearances.far += 1;
                    }
                }
                continue;
            };
            if let Some(clearances) = all.get_mut(index) {
                judge.beside(own, other, &meetings, clearances);
            }
            let flipped: Vec<Meeting> = meetings.iter().map(Meeting::flipped).collect();
            if let Some(clearances) = all.get_mut(other_index) {
                judge.beside(other, own, &flipped, clearances);
            }
        }
    }
    for clearances in &mut all {
        clearances.sort();
    }
    all
}

/// Every clearance of ride `index` among `rides`: what a drag of one ride asks for.
pub fn clearances_of(
    site: &Site,
    rules: &[RuleInForce],
    rides: &[Parts],
    index: usize,
) -> Clearances {
    let Some(parts) = rides.get(index) else {
        return Clearances::default();
    };
    let judge = Judge::new(site, rules);
    let own = Body::of(parts);
    let mut clearances = judge.alone(&own);
    for (other_index, other) in rides.iter().enumerate() {
        if other_index != index {
            if judge.too_far(&own, other.hub, other.reach()) {
                clearances.far += 1;
                continue;
            }
            let other = Body::of(other);
            match judge.meet(&own, &other) {
                Some(meetings) => judge.beside(&own, &other, &meetings, &mut clearances),
                None => clearances.far += 1,
            }
        }
    }
    clearances.sort();
    clearances
}

/// What fuel, generators and the stakes of tents keep from other things of the lot, the tightest
/// margin first. On a lot of more than [`LISTED_WHOLE`] things, the tightest towards each kind.
pub fn lot_clearances(site: &Site, rules: &[RuleInForce]) -> Vec<LotClearance> {
    let judge = Judge::new(site, rules);
    let surroundings = site.surroundings();
    let mut found: Vec<LotClearance> = Vec::new();
    for thing in surroundings.all() {
        let part = match thing.against {
            Against::FuelStore => Part::Fuel,
            Against::PowerSource => Part::Power,
            _ => continue,
        };
        let body = PartBody {
            part,
            space: String::new(),
            solids: thing.solids.clone(),
        };
        let mut notes = Vec::new();
        if part == Part::Power && thing.power.is_none() {
            notes.push("what it is nobody has told: taken for a generator");
        }
        let from = LotThing {
            id: &thing.id,
            name: &thing.name,
            body,
            notes,
        };
        judge.of_the_lot(&from, |when| when.power(thing.power), &mut found);
    }
    for tent in &site.file().features.buildings {
        if tent.stakes.is_empty() {
            continue;
        }
        let stakes = tent
            .stakes
            .iter()
            .map(|stake| PlacedStake::new(stake.at, stake.depth, site.ground()).solid());
        let from = LotThing {
            id: &tent.id,
            name: if tent.name.is_empty() {
                &tent.id
            } else {
                &tent.name
            },
            body: PartBody {
                part: Part::Stakes,
                space: String::new(),
                solids: stakes.collect(),
            },
            notes: Vec::new(),
        };
        judge.of_the_lot(&from, |_| true, &mut found);
    }
    found.sort_by(|a, b| {
        let key = |it: &LotClearance| it.row.margin.unwrap_or(f64::NEG_INFINITY);
        key(a).total_cmp(&key(b))
    });
    found
}

/// Something of the lot that is measured from.
struct LotThing<'a> {
    id: &'a str,
    name: &'a str,
    body: PartBody,
    notes: Vec<&'a str>,
}

impl Clearances {
    fn sort(&mut self) {
        self.rows.sort_by(|a, b| {
            let key = |row: &ClearanceRow| row.margin.unwrap_or(f64::NEG_INFINITY);
            key(a).total_cmp(&key(b))
        });
    }
}

/// A distance, measured both ways.
#[derive(Clone, Copy)]
struct Both {
    in_plan: Option<Found>,
    /// Absent where no heights are known: then it is the one in plan.
    through_air: Option<Found>,
}

impl Both {
    /// The nearest between two lists of solids.
    fn between(own: &[Solid], its: &[Solid]) -> Both {
        let high = its.iter().any(Solid::has_heights) && own.iter().any(Solid::has_heights);
        let mut in_plan: Option<Found> = None;
        // What each pair is no nearer than through the air.
        let mut pairs: Vec<(f64, &Solid, &Solid)> = Vec::new();
        for one in own {
            for it in its {
                let Some(found) = one.in_plan(it) else {
                    continue;
                };
                if in_plan.is_none_or(|best| found.distance < best.distance) {
                    in_plan = Some(found);
                }
                if high {
                    pairs.push((one.no_nearer(it, found.distance), one, it));
                }
            }
        }
        pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut through_air: Option<Found> = None;
        for (no_nearer, one, it) in pairs {
            if through_air.is_some_and(|best| best.distance <= no_nearer) {
                break;
            }
            through_air = nearest([through_air, one.through_air(it)].into_iter());
        }
        Both {
            in_plan,
            through_air,
        }
    }

    fn nearer(self, other: Both) -> Both {
        let pick = |a, b| nearest([a, b].into_iter());
        Both {
            in_plan: pick(self.in_plan, other.in_plan),
            through_air: pick(self.through_air, other.through_air),
        }
    }

    fn flipped(self) -> Both {
        Both {
            in_plan: self.in_plan.map(Found::flipped),
            through_air: self.through_air.map(Found::flipped),
        }
    }

    fn by(&self, measure: Measure) -> Option<Found> {
        match measure {
            Measure::Horizontal => self.in_plan,
            Measure::True => self.through_air.or(self.in_plan),
            // Asked of a way or a fence itself, or of how near something is: of no distance that
            // is kept.
            Measure::Slope | Measure::AtMost | Measure::Ball => None,
        }
    }
}

/// How one part of a ride lies to one part of another, by their places in the lists.
struct Meeting {
    own: usize,
    other: usize,
    both: Both,
}

impl Meeting {
    fn flipped(&self) -> Meeting {
        Meeting {
            own: self.other,
            other: self.own,
            both: self.both.flipped(),
        }
    }
}

/// What a part is measured to.
struct Pair<'a> {
    against: Against,
    id: &'a str,
    name: &'a str,
    notes: &'a [&'a str],
}

/// The rules of a site, sorted for measuring.
struct Judge<'a> {
    site: &'a Site,
    asked: Vec<Asked<'a>>,
    /// The most that any rule asks for towards each kind of thing.
    most: Vec<(Against, f64)>,
    /// Rides nearer than this to each other, metres, are bonded when they are supplied separately.
    bonded_within: f64,
    /// Whether everything has its row, however far it is.
    whole: bool,
}

impl<'a> Judge<'a> {
    fn new(site: &'a Site, rules: &'a [RuleInForce]) -> Judge<'a> {
        let asked = asked(rules);
        let mut most: Vec<(Against, f64)> = Vec::new();
        // What is asked of a thing of the lot does not make a ride look farther.
        let of_rides = |it: &&Asked<'_>| !matches!(it.part, Part::Fuel | Part::Power);
        for it in asked.iter().filter(of_rides) {
            match most.iter_mut().find(|(against, _)| *against == it.against) {
                Some((_, most)) => *most = most.max(it.most()),
                None => most.push((it.against, it.most())),
            }
        }
        let bonded_within = rules.iter().find(|rule| rule.id == "bonding");
        let bonded_within = bonded_within.map_or(0.0, |rule| rule.required);
        for (_, most) in most.iter_mut().filter(|(it, _)| *it == Against::Ride) {
            *most = most.max(bonded_within);
        }
        let things = site.surroundings().len() + site.file().rides.len();
        Judge {
            site,
            asked,
            most,
            bonded_within,
            whole: things <= LISTED_WHOLE,
        }
    }

    /// How much more than is asked for something of a kind may keep and still have a row.
    fn far(&self, against: Against) -> f64 {
        match against {
            _ if self.whole => f64::INFINITY,
            Against::OverheadLine => FAR_LINE,
            Against::LotLine => f64::INFINITY,
            _ => FAR,
        }
    }

    /// How far something of a kind may be and still have a row.
    fn matters_within(&self, against: Against) -> f64 {
        let found = self.most.iter().find(|(it, _)| *it == against);
        found.map_or(f64::NEG_INFINITY, |&(_, most)| most + self.far(against))
    }

    /// A ride against the lot line and every feature.
    fn alone(&self, own: &Body<'_>) -> Clearances {
        let mut clearances = Clearances::default();
        self.lot_line(own, &mut clearances.rows);
        let surroundings = self.site.surroundings();
        let kinds = self.most.iter().filter(|(it, _)| *it != Against::LotLine);
        let farthest = kinds
            .map(|&(against, most)| most + self.far(against))
            .fold(0.0, f64::max);
        let mut near = 0;
        for (obstacle, gap) in surroundings.within(own.parts.hub, own.reach + farthest) {
            if gap - own.reach > self.matters_within(obstacle.against) {
                continue;
            }
            let before = clearances.rows.len();
            self.obstacle(own, obstacle, &mut clearances.rows);
            near += usize::from(clearances.rows.len() > before);
        }
        clearances.far = surroundings.len() - near;
        clearances
    }

    fn lot_line(&self, own: &Body<'_>, rows: &mut Vec<ClearanceRow>) {
        let boundary = &self.site.file().lot.boundary;
        let pair = Pair {
            against: Against::LotLine,
            id: "",
            name: "lot line",
            notes: &[],
        };
        self.judge(
            &own.bodies,
            &pair,
            |_| true,
            rows,
            |_, body| {
                let found = body
                    .solids
                    .iter()
                    .map(|solid| within(&solid.plan, boundary));
                let in_plan = found
                    .flatten()
                    .min_by(|a, b| a.distance.total_cmp(&b.distance))
                    .map(Found::level);
                Both {
                    in_plan,
                    through_air: None,
                }
            },
        );
    }

    fn obstacle(&self, own: &Body<'_>, obstacle: &Obstacle, rows: &mut Vec<ClearanceRow>) {
        let mut notes: Vec<&str> = obstacle.assumed.into_iter().collect();
        let has_height = matches!(
            obstacle.against,
            Against::Building | Against::Tree | Against::OverheadLine | Against::Rope
        );
        if has_height && own.parts.envelope.datum.is_none() {
            notes.push("the ride's own height is not known: measured in plan");
        }
        if obstacle.against == Against::OverheadLine && obstacle.volts.is_none() {
            notes.push("voltage not known: every rule for lines applies; ask the utility");
        }
        let supplies = obstacle.supplies.contains(&own.parts.id);
        if supplies {
            notes.push(match obstacle.volts {
                Some(volts) if volts <= SUPPLY_VOLTS => {
                    "it supplies the ride, which the rule for lines of 600 V or less excepts (NEC \
                     525.5(B)(1)); lifting keeps its distance all the same"
                }
                _ => {
                    "it supplies the ride, but only a line that is known to be of 600 V or less is \
                     excepted: every rule applies"
                }
            });
        }
        let pair = Pair {
            against: obstacle.against,
            id: &obstacle.id,
            name: &obstacle.name,
            notes: &notes,
        };
        // A tree or a supply pillar may stand inside the fence, so long as no panel runs through
        // it.
        let line = matches!(obstacle.against, Against::Tree | Against::PowerSource);
        let applies = |when: When| when.line(obstacle.volts, supplies);
        self.judge(&own.bodies, &pair, applies, rows, |_, body| {
            if body.part == Part::Fence && line {
                Both::between(&own.fence_line, &obstacle.solids)
            } else {
                Both::between(&body.solids, &obstacle.solids)
            }
        });
    }

    /// A thing of the lot against every feature that some rule speaks of from it.
    fn of_the_lot(
        &self,
        from: &LotThing<'_>,
        applies: impl Fn(When) -> bool + Copy,
        found: &mut Vec<LotClearance>,
    ) {
        let asked = self
            .asked
            .iter()
            .filter(|it| it.part == from.body.part && it.applying(applies).next().is_some());
        let kinds: Vec<Against> = asked.map(|it| it.against).collect();
        let bodies = std::slice::from_ref(&from.body);
        let mut tightest: Vec<ClearanceRow> = Vec::new();
        for (obstacle, no_nearer) in self.near_a_thing(&from.body, &kinds) {
            if !kinds.contains(&obstacle.against) || obstacle.id == from.id {
                continue;
            }
            // Of each kind only the nearest is told, and it is known.
            let kept = tightest.iter().filter(|it| it.against == obstacle.against);
            let is_near = |it: &&ClearanceRow| it.value.is_some_and(|value| value <= no_nearer);
            let ways = kinds.iter().filter(|it| **it == obstacle.against).count();
            if kept.filter(is_near).count() >= ways {
                continue;
            }
            let pair = Pair {
                against: obstacle.against,
                id: &obstacle.id,
                name: &obstacle.name,
                notes: &from.notes,
            };
            let mut rows = Vec::new();
            self.judge(bodies, &pair, applies, &mut rows, |_, body| {
                Both::between(&body.solids, &obstacle.solids)
            });
            for row in rows {
                let same = |it: &&mut ClearanceRow| {
                    !self.whole && (it.against, it.measure) == (row.against, row.measure)
                };
                match tightest.iter_mut().find(same) {
                    Some(kept) if kept.margin <= row.margin => {}
                    Some(kept) => *kept = row,
                    None => tightest.push(row),
                }
            }
        }
        found.extend(tightest.into_iter().map(|row| LotClearance {
            id: from.id.to_owned(),
            name: from.name.to_owned(),
            row,
        }));
    }

    /// What may have a row from a thing of the lot, with a distance that it is not nearer than: on
    /// a lot that is listed whole in the order of the file, or else the nearest first.
    fn near_a_thing(&self, body: &PartBody, kinds: &[Against]) -> Vec<(&'a Obstacle, f64)> {
        let surroundings = self.site.surroundings();
        let extents = body.solids.iter().filter_map(|solid| solid.plan.extent());
        let around = extents.reduce(|a, b| (a.0.inf(&b.0), a.1.sup(&b.1)));
        let (false, Some((low, high))) = (self.whole, around) else {
            return surroundings
                .all()
                .map(|it| (it, f64::NEG_INFINITY))
                .collect();
        };
        let (middle, reach) = (low + (high - low) / 2.0, (high - low).norm() / 2.0);
        let found = surroundings.nearest_first(middle, kinds);
        found.map(|(it, gap)| (it, gap - reach)).collect()
    }

    /// Whether another ride, which keeps within `reach` of its hub, is too far for any rule.
    fn too_far(&self, own: &Body<'_>, hub: Point, reach: f64) -> bool {
        let apart = (hub - own.parts.hub).norm();
        apart - own.reach - reach > self.matters_within(Against::Ride)
    }

    /// How the parts of two rides lie to each other; `None` when they are too far apart for any
    /// rule.
    fn meet(&self, own: &Body<'_>, other: &Body<'_>) -> Option<Vec<Meeting>> {
        if self.too_far(own, other.parts.hub, other.reach) {
            return None;
        }
        let mut meetings = Vec::new();
        for (index, one) in own.bodies.iter().enumerate() {
            for (other_index, it) in other.bodies.iter().enumerate() {
                if meets(one.part, it.part) {
                    meetings.push(Meeting {
                        own: index,
                        other: other_index,
                        both: Both::between(&one.solids, &it.solids),
                    });
                }
            }
        }
        Some(meetings)
    }

    /// A ride against another.
    fn beside(
        &self,
        own: &Body<'_>,
        other: &Body<'_>,
        meetings: &[Meeting],
        clearances: &mut Clearances,
    ) {
        // From a part to whatever of the other that stays comes nearest.
        let nearest_of = |index: usize| {
            let stays = |meeting: &&Meeting| {
                let part = other.bodies.get(meeting.other).map(|body| body.part);
                meeting.own == index && part != Some(Part::BuildUp)
            };
            let found = meetings.iter().filter(stays).map(|meeting| meeting.both);
            found.reduce(Both::nearer).unwrap_or(Both {
                in_plan: None,
                through_air: None,
            })
        };
        let structures = own.bodies.iter().enumerate();
        let apart = structures
            .filter(|(_, body)| matches!(body.part, Part::Moving | Part::Standing))
            .map(|(index, _)| nearest_of(index).in_plan);
        let apart = nearest(apart);
        clearances.beside.extend(apart.map(|found| Beside {
            id: other.parts.id.clone(),
            apart: found.distance,
            between: (found.from.0, found.to.0),
        }));
        // Where the site tells what supplies them, that is judged.
        let is_told = |ride: &str| !supplied_by(self.site.file(), ride).is_empty();
        let is_near = apart.is_some_and(|found| found.distance < self.bonded_within);
        let bond =
            ["near enough to touch both: bond them when they are supplied separately (NEC 525.11)"];
        let notes: &[&str] = if is_near && !is_told(&own.parts.id) && !is_told(&other.parts.id) {
            &bond
        } else {
            &[]
        };
        let pair = Pair {
            against: Against::Ride,
            id: &other.parts.id,
            name: &other.parts.name,
            notes,
        };
        let applies = |when: When| when.classes(own.parts.class, other.parts.class);
        let before = clearances.rows.len();
        self.judge(
            &own.bodies,
            &pair,
            applies,
            &mut clearances.rows,
            |index, _| nearest_of(index),
        );
        clearances.far += usize::from(clearances.rows.len() == before);
    }

    /// One row for each part and each way of measuring that some rule asks for, unless the part
    /// keeps far.
    fn judge(
        &self,
        bodies: &[PartBody],
        pair: &Pair<'_>,
        applies: impl Fn(When) -> bool + Copy,
        rows: &mut Vec<ClearanceRow>,
        measure: impl Fn(usize, &PartBody) -> Both,
    ) {
        // The last measured part: a part that is asked for both ways is measured once.
        let mut measured: Option<(usize, Both)> = None;
        let here = self.asked.iter().filter(|it| it.against == pair.against);
        for asked in here {
            let mut rules = asked.applying(applies);
            let Some(governing) = rules.next() else {
                continue;
            };
            let also: Vec<String> = rules.map(|rule| rule.id.clone()).collect();
            let bodies = bodies.iter().enumerate();
            for (index, body) in bodies.filter(|(_, body)| body.part == asked.part) {
                let both = match measured {
                    Some((last, both)) if last == index => both,
                    _ => measure(index, body),
                };
                measured = Some((index, both));
                let Some(found) = both.by(asked.measure) else {
                    continue;
                };
                let margin = found.distance - governing.required;
                if margin > self.far(pair.against) {
                    continue;
                }
                let heights = both.through_air.unwrap_or(found);
                rows.push(ClearanceRow {
                    part: body.part,
                    space: body.space.clone(),
                    against: pair.against,
                    against_id: pair.id.to_owned(),
                    against_name: pair.name.to_owned(),
                    measure: asked.measure,
                    value: Some(found.distance),
                    required: governing.required,
                    margin: Some(margin),
                    rule: governing.id.clone(),
                    also: also.clone(),
                    asks: governing.asks,
                    horizontal: both.in_plan.map(|found| found.distance),
                    through_air: both.through_air.map(|found| found.distance),
                    from: found.from.0,
                    to: found.to.0,
                    from_height: heights.from.1,
                    to_height: heights.to.1,
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
}

/// Whether one part of a ride is measured to one of another: fences to fences, and what moves,
/// stands or builds up to each other.
fn meets(one: Part, other: Part) -> bool {
    match (one, other) {
        (Part::Feet | Part::Stakes, _)
        | (_, Part::Feet | Part::Stakes)
        | (Part::BuildUp, Part::BuildUp) => false,
        (Part::Fence, _) | (_, Part::Fence) => one == other,
        _ => true,
    }
}
