//! A ride on known ground: where its feet stand, how high it must and may stand.

use super::attitude::Attitude;
use super::blocking::{Bound, Foot, Found, Role, Search, Turns};
use super::jacks::Packed;
use super::stacks::Built;
use super::{Asked, GroundUnderRide, Shortfall, SupportKind};
use crate::ride::RideProfile;
use crate::site::{Block, Surface};
use crate::statics::{GRAVITY, Load, Rest, Support, settle};
use crate::{Point, Step};

/// Mass of a frame that nobody has weighed, kilograms. Common practice, no published source; so
/// are the stiffnesses.
pub const MASS: f64 = 8_000.0;

/// Stiffness of a jack with its pad, newtons a metre; of its ground too, where nobody has said how
/// far that gives.
pub const JACK_STIFFNESS: f64 = 2e7;

/// Stiffness of an outrigger with its blocks, newtons a metre; of its ground too, where nobody has
/// said how far that gives.
pub const OUTRIGGER_STIFFNESS: f64 = 1e7;

/// Moment that twists front against back by a radian, newton metres.
pub const TWIST_STIFFNESS: f64 = 6e5;

/// Most tilt while cranking, degrees.
pub const TRAVEL_TILT_DEG: f64 = 3.0;

/// Side of the square that a foot covers, metres. Common practice, no published source.
pub const FOOT_PLATE: f64 = 0.15;

/// A tyre that does not droop is as hard as so little droop makes it, metres.
const LEAST_DROOP: f64 = 0.005;

/// A ride on known ground.
pub(super) struct Stand<'a> {
    pub(super) profile: &'a RideProfile,
    /// The jacks, in the order of the profile.
    pub(super) jacks: Vec<Packed<'a>>,
    /// Outriggers, in the order of the profile.
    pub(super) feet: Vec<Foot<'a>>,
    /// Tyres: they push once the datum above them is lower than it hangs them free.
    pub(super) tyres: Vec<Support>,
    /// The frame parked on its tyres, as steep as the ground under it; absent without wheels.
    pub(super) parked: Option<Attitude>,
    pub(super) load: Load,
    pub(super) jack_stiffness: f64,
    pub(super) outrigger_stiffness: f64,
    /// How much higher the feet that carry at work are set than level asks for, since the ground
    /// will sink under them, metres: outriggers, or the jacks of a ride without any.
    set_higher: Vec<f64>,
}

/// How a ride is blocked.
pub(super) struct Blocked {
    /// Under the outriggers.
    pub(super) stacks: Vec<Built>,
    /// Under the jacks.
    pub(super) packing: Vec<Built>,
    pub(super) attitude: Attitude,
    /// Heights at which the outriggers carry, with their places.
    pub(super) tops: Vec<(Point, f64)>,
    pub(super) proven: bool,
    pub(super) shortfalls: Vec<Shortfall>,
    /// What the datum stands above, and how far over that it is, metres.
    pub(super) floor: Option<(SupportKind, String, f64)>,
}

impl<'a> Stand<'a> {
    /// `None` when the ground under any support is not known.
    pub(super) fn new(profile: &'a RideProfile, ground: &GroundUnderRide) -> Option<Stand<'a>> {
        let levelling = &profile.levelling;
        let jack_ground: Vec<f64> = profile
            .jacks
            .iter()
            .map(|jack| ground.elevation(SupportKind::Jack, &jack.id))
            .collect::<Option<_>>()?;
        let feet = profile
            .outriggers
            .iter()
            .map(|outrigger| {
                let point = ground
                    .points
                    .iter()
                    .find(|p| p.kind == SupportKind::Outrigger && p.id == outrigger.id)?;
                Some(Foot {
                    id: &outrigger.id,
                    at: outrigger.at,
                    plate: outrigger.foot_plate.unwrap_or(FOOT_PLATE),
                    // Ground that nobody has described may be soft.
                    wants_a_block: point.surface.is_none_or(Surface::wants_a_block),
                    least_area: 0.0,
                    role: Role::Outrigger {
                        base: point.elevation?.0 + outrigger.foot_drop,
                    },
                })
            })
            .collect::<Option<_>>()?;
        let wheel_ground: Vec<f64> = profile
            .wheels
            .iter()
            .map(|wheel| ground.elevation(SupportKind::Wheel, &wheel.id))
            .collect::<Option<_>>()?;
        let parked = parked(profile, &wheel_ground, &jack_ground);
        let frame = &profile.frame;
        // A ride is not lighter at work than while it is levelled.
        let mass = frame.mass.or(profile.loads.mass).unwrap_or(MASS);
        let weight = mass * GRAVITY;
        let tyres = tyres(profile, &wheel_ground, weight);
        let lift_over = if profile.outriggers.is_empty() {
            0.0
        } else {
            levelling.lift_over
        };
        let jacks: Vec<Packed> = profile
            .jacks
            .iter()
            .zip(jack_ground)
            .map(|(jack, ground)| Packed {
                jack,
                ground,
                parked: parked.map(|parked| parked.at(jack.at)),
                reserve: levelling.stroke_reserve,
                lift_over,
            })
            .collect();
        Some(Stand {
            profile,
            jacks,
            feet,
            tyres,
            parked,
            load: Load {
                weight,
                centre: frame
                    .centre
                    .or(profile.loads.centre)
                    .unwrap_or(Point::origin()),
                tipping: Step::zeros(),
                twist_stiffness: twist_stiffness(profile),
            },
            jack_stiffness: frame.jack_stiffness.unwrap_or(JACK_STIFFNESS),
            outrigger_stiffness: frame.outrigger_stiffness.unwrap_or(OUTRIGGER_STIFFNESS),
            set_higher: Vec::new(),
        })
    }

    /// The same ride, to be blocked as its loads ask.
    pub(super) fn asked(mut self, asked: &Asked) -> Stand<'a> {
        for (foot, by) in self.feet.iter_mut().zip(&asked.higher) {
            if let Role::Outrigger { base } = &mut foot.role {
                *base -= by;
            }
        }
        for (foot, area) in self.feet.iter_mut().zip(&asked.areas) {
            foot.least_area = *area;
        }
        self.set_higher = asked.higher.clone();
        self
    }

    /// How the frame rests on its outriggers alone; `None` where they do not hold it.
    pub(super) fn rest_on(&self, tops: &[(Point, f64)]) -> Option<Rest> {
        let supports = tops.iter().map(|&(at, top)| Support {
            at,
            top,
            stiffness: self.outrigger_stiffness,
        });
        settle(&self.load, &supports.collect::<Vec<_>>()).ok()
    }

    /// How much higher a foot that carries at work is set, metres.
    fn higher(&self, foot: usize) -> f64 {
        self.set_higher.get(foot).copied().unwrap_or(0.0)
    }

    /// How far above the working height the frame is lifted.
    pub(super) fn lift_over(&self) -> f64 {
        self.jacks.first().map_or(0.0, |jack| jack.lift_over)
    }

    /// Blocks it, with packing under jacks only where nothing else will do. Where nothing is
    /// within tolerance, shows how near it comes if asked to.
    pub(super) fn block(&self, blocks: &[Block], however_steep: bool) -> Blocked {
        let places: Vec<Point> = self.feet.iter().map(|foot| foot.at).collect();
        let answers = Attitude::answers(&places);
        let lean = |place: Point| -> f64 {
            let each = answers.iter().map(|answer| answer.at(place).abs());
            each.sum()
        };
        let mut floors: Vec<Bound> = self
            .tyres
            .iter()
            .map(|tyre| Bound {
                height: tyre.top + self.profile.levelling.tyre_clearance,
                lean: lean(tyre.at),
            })
            .collect();
        floors.extend(self.jacks.iter().map(|jack| Bound {
            height: jack.lowest(0.0),
            lean: lean(jack.jack.at),
        }));
        let at_hub = lean(Point::origin());
        let ceilings: Vec<Bound> = self
            .jacks
            .iter()
            .map(|jack| Bound {
                height: jack.highest(0.0),
                lean: at_hub,
            })
            .collect();
        let levelling = &self.profile.levelling;
        let turns = self.turns(&answers);
        let bare = Search {
            feet: &self.feet,
            blocks,
            floors: &floors,
            ceilings: &ceilings,
            tolerance_deg: levelling
                .along()
                .degrees()
                .min(levelling.across().degrees()),
            however_steep: false,
            turns: &turns,
            steps: levelling.steps,
        };
        let outcome = bare.run();
        let proven = outcome.proven;
        if let Some(found) = outcome.found {
            return self.blocked(found, Vec::new(), (proven, Vec::new()), &bare);
        }
        let mut feet = self.feet.clone();
        feet.extend(self.jacks.iter().map(|&jack| Foot {
            id: &jack.jack.id,
            at: jack.jack.at,
            plate: jack.jack.foot_plate.unwrap_or(FOOT_PLATE),
            wants_a_block: false,
            least_area: 0.0,
            role: Role::Jack {
                jack,
                lean: lean(jack.jack.at).max(at_hub),
            },
        }));
        let packed = Search {
            feet: &feet,
            however_steep,
            ceilings: &[],
            ..bare
        };
        let outcome = packed.run();
        if let Some(mut found) = outcome.found {
            let packing = found
                .stacks
                .split_off(self.feet.len().min(found.stacks.len()));
            let proven = proven && outcome.proven;
            return self.blocked(found, packing, (proven, Vec::new()), &packed);
        }
        let (found, shortfalls) = bare.as_far_as_it_goes();
        let proven = proven && outcome.proven;
        self.blocked(found, Vec::new(), (proven, shortfalls), &bare)
    }

    fn blocked(
        &self,
        found: Found,
        packing: Vec<Built>,
        (proven, shortfalls): (bool, Vec<Shortfall>),
        search: &Search,
    ) -> Blocked {
        let tops: Vec<(Point, f64)> = self
            .feet
            .iter()
            .zip(&found.stacks)
            .enumerate()
            .filter_map(|(index, (foot, stack))| {
                // The ground has not sunk yet.
                let base = foot.base()? + self.higher(index);
                Some((foot.at, base + stack.height))
            })
            .collect();
        let attitude = if self.feet.is_empty() {
            self.on_jacks(found.datum, &packing)
        } else {
            Attitude::fit(&tops)
        };
        // Floors are the tyres' first, then the jacks'.
        let wheels = &self.profile.wheels;
        let kinds = wheels
            .iter()
            .map(|wheel| (SupportKind::Wheel, &wheel.id))
            .chain(
                self.profile
                    .jacks
                    .iter()
                    .map(|jack| (SupportKind::Jack, &jack.id)),
            );
        let floor = search
            .floors
            .iter()
            .map(|floor| floor.height + floor.lean * found.reach)
            .zip(kinds)
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(height, (kind, id))| (kind, id.clone(), found.datum - height));
        Blocked {
            packing,
            stacks: found.stacks,
            attitude,
            tops,
            proven,
            shortfalls,
            floor,
        }
    }

    /// Turns under load, all jacks together, as a function of the outriggers' tops.
    fn turns(&self, answers: &[Attitude]) -> Turns {
        let hub = Point::origin();
        let constant = self.jacks.iter().map(|it| {
            let parked = it.parked.unwrap_or(it.lowest(0.0));
            (2.0 * it.lift_over - parked) / it.jack.lift_per_turn
        });
        let per_metre = answers.iter().map(|answer| {
            let turns = self
                .jacks
                .iter()
                .map(|it| (2.0 * answer.at(hub) - answer.at(it.jack.at)) / it.jack.lift_per_turn);
            turns.sum()
        });
        Turns {
            constant: constant.sum(),
            per_metre: per_metre.collect(),
        }
    }

    /// The attitude of a ride that works on its jacks, each turned to the nearest quarter that
    /// is not too low.
    fn on_jacks(&self, datum: f64, packing: &[Built]) -> Attitude {
        let tops: Vec<(Point, f64)> = self
            .jacks
            .iter()
            .enumerate()
            .map(|(index, it)| {
                let quarter = it.jack.lift_per_turn / 4.0;
                let under = packing.get(index).map_or(0.0, |stack| stack.height);
                let foot = it.ground
                    + under
                    + it.jack.pad_thickness
                    + it.jack.drop
                    + it.jack.screw_retracted;
                (
                    it.jack.at,
                    foot + ((datum + self.higher(index) - foot) / quarter).ceil() * quarter,
                )
            })
            .collect();
        Attitude::fit(&tops)
    }
}

/// How a frame resists twist: energy is half of it times the square of the twist, newton metres
/// cubed.
pub(crate) fn twist_stiffness(profile: &RideProfile) -> f64 {
    // Between the two ends of the frame the crossfall changes by the twist times its length.
    let ends = profile.jacks.iter().map(|jack| jack.at.x);
    let (back, front) = ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(back, front), x| {
        (back.min(x), front.max(x))
    });
    let length = (front - back).max(0.1);
    profile.frame.twist_stiffness.unwrap_or(TWIST_STIFFNESS) * length * length
}

/// Tyres on their ground, under a frame of such a weight: they push once the datum above them is
/// lower than it hangs them free.
pub(crate) fn tyres(profile: &RideProfile, ground: &[f64], weight: f64) -> Vec<Support> {
    let wheels = profile.wheels.iter().zip(ground);
    let even_share = weight / profile.wheels.len().max(1) as f64;
    let tyres = wheels.map(|(wheel, ground)| Support {
        at: wheel.at,
        top: ground + wheel.drop + wheel.droop,
        // Parked, it carries its share and is shortened by its droop.
        stiffness: even_share / wheel.droop.max(LEAST_DROOP),
    });
    tyres.collect()
}

/// The frame on its tyres: as steep as the ground, and as high as the tyres hold it.
fn parked(profile: &RideProfile, wheel_ground: &[f64], jack_ground: &[f64]) -> Option<Attitude> {
    let wheels = &profile.wheels;
    if wheels.is_empty() {
        return None;
    }
    let wheel_places = wheels.iter().map(|wheel| wheel.at);
    let jack_places = profile.jacks.iter().map(|jack| jack.at);
    let under: Vec<(Point, f64)> = wheel_places
        .zip(wheel_ground.iter().copied())
        .chain(jack_places.zip(jack_ground.iter().copied()))
        .collect();
    let drops: f64 = wheels.iter().map(|wheel| wheel.drop).sum();
    let mut attitude = Attitude::fit(&under);
    attitude.at_hub += drops / wheels.len() as f64;
    Some(attitude)
}
