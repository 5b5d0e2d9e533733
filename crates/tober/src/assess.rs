//! The whole answer for a site: [`assess`] and the [`Assessment`] that every face reads.

mod cures;
mod holds;
mod listed;
mod remedies;
mod words;

pub use cures::{Cure, cures};
pub use remedies::remedies;

use serde::{Deserialize, Serialize};

use crate::Point;
use crate::clearance::{
    Against, AtHand, BondCheck, ClearanceRow, CordCheck, LotClearance, NotChecked, Parts, Passage,
    PlacedConsole, PlacedSpace, PlacedStake, RopeCheck, RuleInForce, Shape, WayCheck, WayKind,
    at_hand, bonding, clearances, cords, in_force, lot_clearances, not_checked, passages, ropes,
    ways,
};
use crate::envelope::{Envelope, Heights, OverGround, over_ground};
use crate::fence::{self, Enclosed, FencePlan};
use crate::level::{GroundUnderRide, LevelPlan};
use crate::loads::{LoadRuleInForce, RideLoads, level_and_loads, load_rules_in_force};
use crate::ride::{FenceGaps, RideProfile, SpaceKind};
use crate::site::{Fault, PlacedRide, Placement, Site};
use crate::units::LengthStyle;

/// What the `format` key of every assessment says.
pub const ASSESSMENT_FORMAT: &str = "tober-assessment";

/// The version of the assessment that this library writes.
pub const ASSESSMENT_VERSION: u32 = 1;

/// How a check came out. Never shown by colour alone: see [`Verdict::word`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// It holds.
    Pass,
    /// Something that the answer depends on is not known.
    Unknown,
    /// It does not hold.
    Fail,
}

impl Verdict {
    /// The worse of two verdicts: fail, then unknown, then pass.
    pub fn and(self, other: Verdict) -> Verdict {
        self.max(other)
    }

    /// The word that outputs print.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Pass => "OK",
            Verdict::Unknown => "NOT KNOWN",
            Verdict::Fail => "FAILS",
        }
    }
}

/// Everything that follows from a [`Site`].
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Assessment {
    /// Always `tober-assessment`.
    pub format: String,
    /// The version of this document.
    pub version: u32,
    /// The site's name.
    pub site: String,
    /// How the site shows lengths; the numbers here are metres.
    pub units: LengthStyle,
    /// The worst verdict of any check.
    pub verdict: Verdict,
    /// What is questionable in the input although it can be used.
    pub warnings: Vec<Fault>,
    /// What the survey of the ground is good for, in words.
    #[serde(default)]
    pub survey: String,
    /// Field books that give the ground heights although they do not close: by how much, and what
    /// to do. While there are any, no ride is known to stand level.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub unclosed: Vec<String>,
    /// Every placed ride, in the order of the file.
    pub rides: Vec<RideAssessment>,
    /// What is left of every walkway and fire lane.
    pub ways: Vec<WayCheck>,
    /// From every gate of the lot to the next.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub passages: Vec<Passage>,
    /// The power cord of every ride, where the lot has a supply.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cords: Vec<CordCheck>,
    /// What every operator must have at hand, as far as the site has it drawn.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub at_hand: Vec<AtHand>,
    /// Rides that are to be bonded together, or of which nobody knows.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub bonds: Vec<BondCheck>,
    /// Every rope, and the ways that it crosses.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ropes: Vec<RopeCheck>,
    /// What fuel, generators and the stakes of tents keep from other things of the lot.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lot_clearances: Vec<LotClearance>,
    /// The clearance rules in force, with sources and overrides.
    pub rules: Vec<RuleInForce>,
    /// The values of loads and of the ground in force, with sources and overrides.
    #[serde(default)]
    pub load_rules: Vec<LoadRuleInForce>,
    /// What is asked for somewhere and was not checked here.
    #[serde(default)]
    pub not_checked: Vec<NotChecked>,
    /// Cautions that every output carries.
    pub cautions: Vec<String>,
}

impl Assessment {
    /// The rules that a clearance record tells of: those that judged a distance, a way or what is
    /// at hand, and those that the site has changed.
    pub fn rules_told(&self) -> Vec<&RuleInForce> {
        let way = |kind| self.ways.iter().any(|way| way.kind == kind);
        let judged_a_way = |rule: &RuleInForce| match rule.against {
            Against::Walkway => way(WayKind::Walkway),
            Against::FireLane => way(WayKind::FireLane),
            Against::Gate => !self.passages.is_empty(),
            Against::Ride => self.bonds.iter().any(|it| it.rule == rule.id),
            Against::Rope => {
                let mut crossings = self.ropes.iter().flat_map(|it| &it.crossings);
                crossings.any(|it| it.rule == rule.id)
            }
            Against::FenceOpening => {
                let mut fences = self.rides.iter().map(|ride| &ride.fence);
                fences.any(|fence| fence.openings.verdict.is_some())
            }
            _ => self.at_hand.iter().any(|it| it.rule == rule.id),
        };
        let judged = |rule: &RuleInForce| {
            let of_lot = self.lot_clearances.iter().map(|it| &it.row);
            let rows = self.rides.iter().flat_map(|ride| &ride.clearances);
            rows.chain(of_lot)
                .any(|row| row.rule == rule.id || row.also.contains(&rule.id))
        };
        let told = self.rules.iter().filter(|rule| {
            rule.replaces.is_some() || judged(rule) || (rule.parts.is_empty() && judged_a_way(rule))
        });
        told.collect()
    }
}

/// Everything that follows for one placed ride.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct RideAssessment {
    /// The placed ride's id.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// The profile's id.
    pub profile: String,
    /// Where it stands.
    pub placement: Placement,
    /// The worst verdict of levelling, clearances, fence and what its operator has at hand, and of
    /// loads where they fail.
    pub verdict: Verdict,
    /// Ground heights under its feet and wheels.
    pub ground: GroundUnderRide,
    /// Jacks, blocking and the order of cranking.
    pub level: LevelPlan,
    /// The space that it sweeps.
    pub envelope: Envelope,
    /// How high it keeps above the ground, bearing by bearing; absent where that is not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub over_ground: Option<OverGround>,
    /// Outline of the standing parts, lot frame.
    #[cfg_attr(feature = "schema", schemars(with = "Vec<[f64; 2]>"))]
    pub body: Vec<Point>,
    /// Where the operator stands, lot frame.
    #[cfg_attr(feature = "schema", schemars(with = "Option<[f64; 2]>"))]
    pub console: Option<Point>,
    /// Where stakes are driven, the ride's own and its fence's, lot frame.
    #[cfg_attr(feature = "schema", schemars(with = "Vec<[f64; 2]>"))]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub stakes: Vec<Point>,
    /// What else takes up room: what moves and is not round, steps, and what is there only while
    /// building up.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub spaces: Vec<SpaceOnLot>,
    /// Distances that can matter, the tightest margin first.
    pub clearances: Vec<ClearanceRow>,
    /// How many features and other rides keep so much farther than any rule asks that they have
    /// no row: see [`FAR`](crate::clearance::FAR).
    pub far: usize,
    /// The fence round it.
    pub fence: FencePlan,
    /// What each foot carries, what the ground feels, and whether it could tip.
    #[serde(default)]
    pub loads: RideLoads,
    /// What to do next, in plain words, the most pressing first.
    pub next: Vec<String>,
}

/// A space of a ride on the lot, on a level frame.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SpaceOnLot {
    /// What people call it.
    pub name: String,
    /// When it takes up room.
    pub kind: SpaceKind,
    /// Corners in order, lot frame.
    #[cfg_attr(feature = "schema", schemars(with = "Vec<[f64; 2]>"))]
    pub outline: Vec<Point>,
}

/// Side of the pad under a jack where nobody tells of another, metres: 12 in. Common practice, no
/// published source.
const PAD: f64 = 0.3048;

/// Radius that covers a console and the operator at it where nobody tells of another, metres.
/// Common practice, no published source.
const CONSOLE_RADIUS: f64 = 0.5;

/// An operator, or a console, is no taller than this, metres. Common practice, no published
/// source.
const CONSOLE_HEIGHT: f64 = 2.0;

/// Assesses a site: every placed ride, by itself and against everything round it.
///
/// Pure: the same site gives the same assessment, everywhere.
///
/// ```
/// use tober::{assess::{Verdict, assess}, site::Site};
/// let site = Site::read(include_str!("../../../sample-sites/paved-yard.json"))?;
/// assert_eq!(assess(&site).verdict, Verdict::Pass);
/// # Ok::<(), tober::site::ReadError>(())
/// ```
pub fn assess(site: &Site) -> Assessment {
    let file = site.file();
    let rules = in_force(&file.clearance_values);
    let load_rules = load_rules_in_force(&file.load_values);
    let mut rides: Vec<RideAssessment> = file
        .rides
        .iter()
        .enumerate()
        .filter_map(|(index, placed)| stand(site, index, placed, &load_rules))
        .collect();
    let unclosed: Vec<String> = words::unclosed(site).collect();
    let heights = if unclosed.is_empty() {
        Verdict::Pass
    } else {
        Verdict::Unknown
    };
    let parts = all_parts(site, &rides);
    let at_hand = at_hand(site, &rules, &parts);
    let ball = rules.iter().find(|rule| rule.id == "fence-opening");
    let ball = ball.map_or(0.0, |rule| rule.required);
    let gaps = file.rides.iter().enumerate().map(|(index, placed)| {
        let made = site.profile(index).map(|profile| profile.fence.gaps);
        placed.fence_gaps.or(made.unwrap_or_default())
    });
    let measured = clearances(site, &rules, &parts);
    let bonds = bonding(site, &rules, &parts, &measured);
    let each = rides.iter_mut().zip(measured);
    for ((ride, found), gaps) in each.zip(gaps) {
        ride.clearances = found.rows;
        ride.far = found.far;
        ride.level.verdict = ride.level.verdict.and(heights);
        see_through(&mut ride.fence, gaps, site, ball);
        let rows = ride.clearances.iter().map(|row| row.verdict);
        let own = ride.level.verdict.and(ride.fence.verdict);
        ride.verdict = rows.fold(own.and(ride.loads.counts()), Verdict::and);
        // What the feet carry hangs on how the ride stands.
        ride.loads.verdict = ride.loads.verdict.and(heights);
        if ride.over_ground.as_ref().is_some_and(|it| it.least < 0.0) {
            ride.verdict = Verdict::Fail;
        }
        let own = at_hand.iter().filter(|it| it.ride == ride.id);
        ride.verdict = own
            .clone()
            .fold(ride.verdict, |all, it| all.and(it.verdict));
        ride.next = unclosed.clone();
        ride.next.extend(words::next(site, ride, own));
    }
    let ways = ways(site, &rules, &parts);
    let passages = passages(site, &rules, &parts);
    let consoles = rides
        .iter()
        .map(|ride| ride.console.unwrap_or_else(|| ride.placement.hub()));
    let cords = cords(site, &parts, &consoles.collect::<Vec<_>>());
    let ropes = ropes(site, &rules);
    let lot_clearances = lot_clearances(site, &rules);
    let judged = rides
        .iter()
        .map(|ride| ride.verdict)
        .chain(ways.iter().map(|way| way.verdict))
        .chain(passages.iter().map(|passage| passage.verdict))
        .chain(cords.iter().filter_map(|cord| cord.verdict))
        .chain(at_hand.iter().map(|it| it.verdict))
        .chain(ropes.iter().map(|it| it.verdict))
        .chain(bonds.iter().map(|it| it.verdict))
        .chain(lot_clearances.iter().map(|it| it.row.verdict));
    let cautions = words::cautions(&rides);
    Assessment {
        format: ASSESSMENT_FORMAT.to_owned(),
        version: ASSESSMENT_VERSION,
        site: file.name.clone(),
        units: file.units,
        verdict: judged.fold(heights, Verdict::and),
        warnings: site.warnings().to_vec(),
        survey: site.ground().quality().words(file.units),
        unclosed,
        rides,
        ways,
        passages,
        cords,
        at_hand,
        bonds,
        ropes,
        lot_clearances,
        rules,
        load_rules,
        not_checked: not_checked(file),
        cautions,
    }
}

/// One ride by itself: on its ground, level, with its envelope and its fence.
fn stand(
    site: &Site,
    index: usize,
    placed: &PlacedRide,
    load_rules: &[LoadRuleInForce],
) -> Option<RideAssessment> {
    let profile = site.profile(index)?;
    let placement = placed.placement;
    let ground = GroundUnderRide::of(site, index)?;
    let (level, loads) = level_and_loads(site, profile, &ground, load_rules);
    let envelope = Envelope::new(&profile.swing, leaning(&level), level.datum);
    let body: Vec<Point> = profile
        .body
        .iter()
        .map(|&at| placement.to_lot(at))
        .collect();
    let console = profile.console.map(|at| placement.to_lot(at));
    let fence = fence(site, profile, &placement, &envelope, &body);
    let posts = profile.fence.stake_depth.iter();
    let posts = posts.flat_map(|_| fence.posts.iter().copied());
    let own_stakes = profile.stakes.iter().map(|it| placement.to_lot(it.at));
    let stakes = own_stakes.chain(posts).collect();
    Some(RideAssessment {
        id: placed.id.clone(),
        name: if placed.name.is_empty() {
            profile.name.clone()
        } else {
            placed.name.clone()
        },
        profile: profile.id.clone(),
        placement,
        verdict: Verdict::Unknown,
        ground,
        level,
        over_ground: over_the_ground(site, profile, &placement, &envelope),
        envelope,
        body,
        console,
        stakes,
        spaces: placed_spaces(profile, &placement)
            .into_iter()
            .map(|space| SpaceOnLot {
                name: space.name,
                kind: space.kind,
                outline: space.outline,
            })
            .collect(),
        clearances: Vec::new(),
        far: 0,
        fence,
        loads,
        next: Vec::new(),
    })
}

/// The most that the frame leans at work, radians: what is left over after levelling, or what
/// the ride allows where that is more or nothing is known.
fn leaning(level: &LevelPlan) -> f64 {
    let worse =
        |left: Option<f64>, allowed: f64| left.map_or(allowed, |left| left.abs().max(allowed));
    let along = worse(level.tilt_along_deg, level.tolerance_along_deg);
    let across = worse(level.tilt_across_deg, level.tolerance_across_deg);
    // The two tilts lean one way together: their slopes add like the sides of a right triangle.
    let slope = |degrees: f64| libm::tan(degrees.to_radians());
    libm::atan(libm::hypot(slope(along), slope(across)))
}

/// What every ride of an assessed site shows to clearances.
pub fn parts_of(site: &Site, assessment: &Assessment) -> Vec<Parts> {
    all_parts(site, &assessment.rides)
}

fn all_parts(site: &Site, rides: &[RideAssessment]) -> Vec<Parts> {
    rides
        .iter()
        .enumerate()
        .filter_map(|(index, ride)| Some(parts(site, site.profile(index)?, ride)))
        .collect()
}

/// What a ride shows to clearances.
fn parts(site: &Site, profile: &RideProfile, ride: &RideAssessment) -> Parts {
    let blocks = &site.file().blocks;
    let fence = &ride.fence;
    let fence_tops = fence.posts.iter().map(|&post| {
        let ground = site.ground().height(post);
        ground.map_or(f64::INFINITY, |ground| ground.0 + fence.height)
    });
    let fence_top = fence_tops.fold(f64::NEG_INFINITY, f64::max);
    let placement = &ride.placement;
    // Pads and blocking lie square to the frame. Blocking is as wide as the longest block on the
    // truck, for it is crossed.
    let longest = blocks.iter().map(|it| it.length.max(it.width));
    let longest = longest.fold(PAD, f64::max);
    let pad = profile.loads.jack_pad.map_or(PAD, |side| side.max(PAD));
    let jacks = profile.jacks.iter().map(|jack| {
        let side = jack.foot_plate.map_or(pad, |plate| plate.max(pad));
        square(jack.at, side)
    });
    let outriggers = profile.outriggers.iter().map(|it| {
        let side = it.foot_plate.map_or(longest, |plate| plate.max(longest));
        square(it.at, side)
    });
    let to_lot = |outline: [Point; 4]| outline.map(|at| placement.to_lot(at)).to_vec();
    let ground = site.ground();
    let own_stakes = profile.stakes.iter();
    let own_stakes =
        own_stakes.map(|it| PlacedStake::new(placement.to_lot(it.at), it.depth, ground));
    let posts = profile.fence.stake_depth.into_iter().flat_map(|depth| {
        let posts = fence.posts.iter();
        posts.map(move |&at| PlacedStake::new(at, Some(depth), ground))
    });
    Parts {
        id: ride.id.clone(),
        name: ride.name.clone(),
        class: profile.class,
        hub: placement.hub(),
        envelope: ride.envelope.clone(),
        body: ride.body.clone(),
        body_height: profile.body_height,
        feet: jacks.chain(outriggers).map(to_lot).collect(),
        console: ride.console.map(|at| PlacedConsole {
            at,
            radius: profile.console_radius.unwrap_or(CONSOLE_RADIUS),
            top: ground
                .height(at)
                .map_or(f64::INFINITY, |ground| ground.0 + CONSOLE_HEIGHT),
        }),
        stakes: own_stakes.chain(posts).collect(),
        fence: ride.fence.posts.clone(),
        fence_height: ride.fence.height,
        fence_top,
        spaces: placed_spaces(profile, placement),
    }
}

/// The spaces of a ride, on the lot.
fn placed_spaces(profile: &RideProfile, placement: &Placement) -> Vec<PlacedSpace> {
    let spaces = profile.spaces.iter().map(|space| PlacedSpace {
        name: space.name.clone(),
        kind: space.kind,
        outline: space
            .outline
            .iter()
            .map(|&at| placement.to_lot(at))
            .collect(),
        heights: Heights {
            low: space.low,
            high: space.high,
        },
    });
    spaces.collect()
}

/// A square about a place of the ride frame.
fn square(at: Point, side: f64) -> [Point; 4] {
    let half = side / 2.0;
    [(1.0, 1.0), (1.0, -1.0), (-1.0, -1.0), (-1.0, 1.0)]
        .map(|(x, y)| Point::new(at.x + x * half, at.y + y * half))
}

/// How high everything that moves keeps above the ground.
fn over_the_ground(
    site: &Site,
    profile: &RideProfile,
    placement: &Placement,
    envelope: &Envelope,
) -> Option<OverGround> {
    let (hub, ground) = (placement.hub(), site.ground());
    let mut over = over_ground(envelope, hub, ground)?;
    let datum = envelope.datum?.0;
    let spaces = placed_spaces(profile, placement);
    for space in spaces.iter().filter(|it| it.kind == SpaceKind::Moving) {
        let up = space.leaning(hub, envelope.tilt_deg).up;
        let outline = space.wherever(hub, envelope.tilt_deg);
        let highest = ground.highest_within(&outline);
        let height = highest.map(|highest| datum + space.heights.low - up - highest);
        // Told of by its corner over the highest ground.
        let up = |at: &&Point| ground.height(**at).map_or(f64::NEG_INFINITY, |it| it.0);
        let corner = space.outline.iter().max_by(|a, b| up(a).total_cmp(&up(b)));
        over = over.and(height, corner.copied().unwrap_or(hub), hub);
    }
    Some(over)
}

/// The fence of one ride.
fn fence(
    site: &Site,
    profile: &RideProfile,
    placement: &Placement,
    envelope: &Envelope,
    body: &[Point],
) -> FencePlan {
    let jacks = profile.jacks.iter().map(|jack| jack.at);
    let outriggers = profile.outriggers.iter().map(|it| it.at);
    let feet = jacks.chain(outriggers).map(|at| placement.to_lot(at));
    let points: Vec<Point> = body.iter().copied().chain(feet).collect();
    // All of the console and the operator stand inside.
    let radius = profile.console_radius.unwrap_or(CONSOLE_RADIUS);
    let console = profile.console.map(|at| (placement.to_lot(at), radius));
    let console: Vec<(Point, f64)> = console.into_iter().collect();
    let spaces = placed_spaces(profile, placement);
    let corners = |kind| {
        let spaces = spaces.iter().filter(move |it| it.kind == kind);
        spaces.flat_map(|space| {
            let aside = space.leaning(placement.hub(), envelope.tilt_deg).aside;
            space.outline.iter().map(move |&at| (at, aside))
        })
    };
    let moving_corners: Vec<(Point, f64)> = corners(SpaceKind::Moving).collect();
    let standing = corners(SpaceKind::Standing).map(|(at, _)| at);
    let points: Vec<Point> = points.into_iter().chain(standing).collect();
    let hub = placement.hub();
    let enclosed = Enclosed {
        hub,
        moving_radius: envelope.radius,
        points: &points,
        round: &console,
        moving_corners: &moving_corners,
        arrivals: arrivals(site, hub).unwrap_or_else(|| hub - placement.axes().0),
    };
    fence::plan(&profile.fence, &enclosed)
}

/// Takes in what gets through a fence.
fn see_through(fence: &mut FencePlan, gaps: FenceGaps, site: &Site, ball: f64) {
    let style = site.file().units;
    let found = fence::openings(gaps, &fence.posts, site.ground(), ball, style);
    fence.verdict = fence.verdict.and(found.verdict.unwrap_or(Verdict::Pass));
    fence.notes.extend(found.notes.iter().cloned());
    fence.openings = found;
}

/// Where people come from: the nearest place of a walkway, or else of a gate of the lot.
fn arrivals(site: &Site, hub: Point) -> Option<Point> {
    let features = &site.file().features;
    let here = Shape::disc(hub, 0.0);
    let nearest = |ways: &mut dyn Iterator<Item = Shape>| {
        ways.filter_map(|way| here.separation(&way))
            .min_by(|a, b| a.distance.total_cmp(&b.distance))
            .map(|found| found.to)
    };
    let mut walkways = features
        .walkways
        .iter()
        .map(|it| Shape::band(&it.path, 0.0));
    let mut gates = features
        .gates
        .iter()
        .map(|it| Shape::band(&[it.from, it.to], 0.0));
    nearest(&mut walkways).or_else(|| nearest(&mut gates))
}

#[cfg(test)]
mod tests;
