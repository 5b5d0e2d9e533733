//! The cases of riders and wind.
//!
//! # Picture
//!
//! A case is a weight with its centre, and the most that tips the frame beside it, whichever way:
//!
//! - riders who sit unevenly shift weight to one side and pull the axis that way, at their height
//!   above the ground: `Q (g + ω² h)`, with `Q` the sum of mass times place of those riders whom
//!   nobody balances;
//! - starting and stopping, the drive's torque `T` swings them round faster or slower and they push
//!   back, square to that pull: `Q α` at their height. Whatever else turns, `α` is no more than `T`
//!   over the `Σ m r²` of the riders. About a level axis the torque itself tips the ride as well;
//! - the wind pushes `½ ρ v² · area · shape factor` at the height of the silhouette's middle;
//! - a frame that leans carries its own centre, and its riders, off to the low side.
//!
//! Riders who get on or off sit as unevenly as it comes, at rest: where the maker allows only so many
//! empty cars at full speed, more are empty then. A wheel that stands up is moved on from car to car
//! meanwhile, its drive and its brakes at work.
//!
//! Which cars are empty: a run of neighbours in every ring, one car more from case to case, each
//! time in the ring where it tips most for the weight it takes away. Since the pull is concave in
//! the run's length, no other loading of as many riders tips more ([`super::unbalance`]).

use serde::{Deserialize, Serialize};

use super::Extreme;
use super::on_ground::Upon;
use super::standing::Standing;
use super::unbalance::run_resultant;
use crate::ride::angular_speed;
use crate::statics::{GRAVITY, Load, edges};

/// What kind of case it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum CaseKind {
    /// Nobody in it, in the wind that it may work in.
    Empty,
    /// Every seat full, in the wind that it may work in.
    Full,
    /// Some cars empty, at full speed, in the wind that it may work in.
    Uneven,
    /// More cars empty than may be at full speed, while riders get on or off, in the wind that it may
    /// work in.
    Boarding,
    /// Empty and at rest, in the wind that it may stand in.
    OutOfService,
}

/// A case of riders and wind.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LoadCase {
    /// What kind of case it is.
    pub kind: CaseKind,
    /// How many neighbouring cars are empty in each ring of seats.
    pub empty_cars: Vec<u32>,
    /// Weight, newtons.
    pub weight: f64,
    /// What riders tip it by, about the ground, starting and stopping too, newton metres.
    pub tipped_by_riders: f64,
    /// What the wind tips it by, newton metres.
    pub tipped_by_wind: f64,
    /// What its lean tips it by, newton metres.
    pub tipped_by_lean: f64,
    /// What the torque of the drive and the brakes tips it by: of a wheel that stands up, newton
    /// metres.
    #[serde(default, skip_serializing_if = "super::is_nothing")]
    pub tipped_by_drive: f64,
    /// What pushes it sideways, newtons.
    pub sideways: f64,
    /// What turns it about the upright axis, newton metres.
    pub torque: f64,
}

/// A case, ready to be put on the feet.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Case {
    pub(super) kind: CaseKind,
    empty_cars: Vec<u32>,
    pub(super) weight: f64,
    /// Mass of the riders times the distance from the hub of whom nobody balances.
    by_riders: f64,
    by_wind: f64,
    by_lean: f64,
    by_drive: f64,
    /// Force of the wind, newtons.
    wind: f64,
    /// The pull of riders out of balance, newtons.
    pull: f64,
    /// What they push square to that and tip it by, starting and stopping.
    swerve: Swerve,
    torque: f64,
    /// How much heavier or lighter it may be, newtons: riders on a level axis pull up and down.
    astray: f64,
}

/// What riders out of balance do while the drive makes them faster or slower.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Swerve {
    /// Newtons.
    pub(super) force: f64,
    /// Newton metres.
    pub(super) tips: f64,
}

/// What holds a ride down against what tips it.
pub(super) struct Tips {
    pub(super) value: f64,
    /// How far outside the edge its weight comes to act, metres.
    pub(super) outside: f64,
    /// The two feet of that edge.
    pub(super) over: (usize, usize),
}

/// Pressure of a wind, pascals: `½ ρ v²`.
///
/// ```
/// use tober::loads::wind_pressure;
/// // 0.613 V², the metric constant of ASCE 7 at a density of 1.226 kg/m³ (memory).
/// assert!((wind_pressure(20.0, 1.226) - 0.613 * 400.0).abs() < 1e-9);
/// ```
pub fn wind_pressure(speed: f64, density: f64) -> f64 {
    density * speed * speed / 2.0
}

/// Riders as somebody has set them: sums over all of them.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Riders {
    /// Kilograms.
    pub(super) mass: f64,
    /// Of mass times height above the ground, kilogram metres.
    pub(super) above_ground: f64,
    /// Of mass times the square of the distance from the axis, kilogram metres squared.
    pub(super) inertia: f64,
    /// How much of mass times place nobody balances, kilogram metres.
    pub(super) uneven: f64,
    /// That times their height above the ground, kilogram metres squared.
    pub(super) uneven_above_ground: f64,
    /// What they tip the ride by, newton metres.
    pub(super) tips: f64,
    /// How hard they pull the axis, newtons.
    pub(super) pulls: f64,
    /// How hard those about a level axis pull up or down, newtons.
    pub(super) lifts: f64,
}

/// A ring of seats as it turns.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Ring {
    pub(super) cars: u32,
    /// Mass of the riders of a full car, kilograms.
    pub(super) car_mass: f64,
    /// From the axis, metres.
    pub(super) radius: f64,
    /// Above the datum plane, metres.
    pub(super) height: f64,
    pub(super) level_axis: bool,
}

impl Ring {
    /// What a kilogram metre out of balance tips about the ground, and pulls sideways.
    pub(super) fn tips_and_pulls(&self, rpm: f64, depth: f64) -> (f64, f64) {
        let turning = angular_speed(rpm);
        let pull = turning * turning;
        (GRAVITY + pull * (self.height + depth).max(0.0), pull)
    }
}

impl Case {
    pub(super) fn in_service(&self) -> bool {
        self.kind != CaseKind::OutOfService
    }

    /// The most that tips it, whichever way, newton metres.
    pub(super) fn tips(&self) -> f64 {
        self.tipped_by_riders() + self.by_wind + self.by_lean + self.by_drive
    }

    fn tipped_by_riders(&self) -> f64 {
        libm::hypot(self.by_riders, self.swerve.tips)
    }

    /// What pushes it sideways, newtons.
    fn sideways(&self) -> f64 {
        libm::hypot(self.pull, self.swerve.force) + self.wind
    }

    /// With the pull of its riders as far up as it may be.
    fn at_its_lightest(&self) -> Case {
        Case {
            weight: (self.weight - self.astray).max(1.0),
            astray: 0.0,
            ..self.clone()
        }
    }

    pub(super) fn told(&self) -> LoadCase {
        LoadCase {
            kind: self.kind,
            empty_cars: self.empty_cars.clone(),
            weight: self.weight,
            tipped_by_riders: self.tipped_by_riders(),
            tipped_by_wind: self.by_wind,
            tipped_by_lean: self.by_lean,
            tipped_by_drive: self.by_drive,
            sideways: self.sideways(),
            torque: self.torque,
        }
    }
}

impl Standing<'_> {
    /// Every case, the plain ones first.
    pub(super) fn cases(&self) -> Vec<Case> {
        let none: Vec<u32> = self.rings.iter().map(|ring| ring.cars).collect();
        let mut cases = vec![self.in_service(CaseKind::Empty, &none)];
        if !self.rings.is_empty() {
            let full = vec![0; self.rings.len()];
            cases.push(self.in_service(CaseKind::Full, &full));
            let allowed = self.profile.loads.empty_in_row.unwrap_or(u32::MAX);
            let rpm = self.rpm.unwrap_or(0.0);
            for empty in self.runs(rpm, allowed) {
                cases.extend(self.uneven(&empty));
            }
            let more = |empty: &Vec<u32>| empty.iter().any(|empty| *empty > allowed);
            for empty in self.runs(0.0, u32::MAX).filter(more) {
                cases.push(self.in_service(CaseKind::Boarding, &empty));
            }
        }
        if let Some(force) = self.wind_out_of_service {
            let mut case = self.case(CaseKind::OutOfService, &none, 0.0);
            (case.by_wind, case.wind) = force;
            cases.push(case);
        }
        cases
    }

    /// So many neighbouring cars empty in every ring, all others full.
    pub(super) fn run_of(&self, empty: u32) -> Case {
        let empty: Vec<u32> = self.rings.iter().map(|ring| empty.min(ring.cars)).collect();
        self.in_service(CaseKind::Uneven, &empty)
    }

    /// Riders who sit as somebody has set them.
    pub(super) fn with_riders(&self, riders: &Riders, rpm: f64) -> Case {
        let none: Vec<u32> = self.rings.iter().map(|ring| ring.cars).collect();
        let mut case = self.case(CaseKind::Uneven, &none, rpm);
        case.weight += riders.mass * GRAVITY;
        case.by_lean += self.leans * riders.above_ground * GRAVITY;
        case.by_riders = riders.tips;
        case.pull = riders.pulls;
        case.astray = riders.lifts;
        if rpm > 0.0 && riders.inertia > 0.0 {
            let faster = case.torque / riders.inertia;
            case.swerve = Swerve {
                force: faster * riders.uneven,
                tips: faster * riders.uneven_above_ground,
            };
            if case.astray > 0.0 {
                case.astray += case.swerve.force;
            }
        }
        if let Some((tips, force)) = self.wind_in_service {
            (case.by_wind, case.wind) = (tips, force);
        }
        case
    }

    /// About a level axis the pull goes up and down too: on its way round it tips the less the
    /// more it lifts. In three parts, each bounded: lifted, neither, and pressed down.
    fn uneven(&self, empty: &[u32]) -> Vec<Case> {
        let case = self.in_service(CaseKind::Uneven, empty);
        let lift = self.out_of_balance(empty, |ring, it| if ring.level_axis { it } else { 0.0 });
        let lift = lift * self.pull();
        if lift <= 0.0 {
            return vec![case];
        }
        let tips = self.out_of_balance(empty, |ring, it| {
            let tips = it * ring.tips_and_pulls(self.rpm.unwrap_or(0.0), self.depth).0;
            if ring.level_axis { tips } else { 0.0 }
        });
        // Where it lifts or presses by a third or more it tips by no more than this share. Square to
        // that, starting and stopping, riders push up and down by no more than the same share, and
        // what that tips may be at its most.
        let beside = libm::sqrt(1.0 - 1.0 / 9.0);
        let swerve = case.swerve;
        let outer = Case {
            by_riders: case.by_riders - (1.0 - beside) * tips,
            by_drive: case.by_drive + swerve.tips,
            swerve: Swerve {
                tips: 0.0,
                ..swerve
            },
            ..case.clone()
        };
        let part = |of: &Case, by: f64, share: f64| Case {
            weight: of.weight + by * lift,
            astray: lift / 3.0 + share * swerve.force,
            ..of.clone()
        };
        vec![
            part(&case, 0.0, 1.0),
            part(&outer, 2.0 / 3.0, beside),
            part(&outer, -2.0 / 3.0, beside),
        ]
    }

    fn in_service(&self, kind: CaseKind, empty: &[u32]) -> Case {
        let rpm = self.rpm.filter(|_| kind != CaseKind::Boarding);
        let mut case = self.case(kind, empty, rpm.unwrap_or(0.0));
        if let Some((tips, force)) = self.wind_in_service {
            (case.by_wind, case.wind) = (tips, force);
        }
        case
    }

    fn case(&self, kind: CaseKind, empty: &[u32], rpm: f64) -> Case {
        let each = self.rings.iter().zip(empty);
        let riders: Vec<f64> = each
            .map(|(ring, &empty)| f64::from(ring.cars - empty.min(ring.cars)) * ring.car_mass)
            .collect();
        let above_ground = riders.iter().zip(&self.rings);
        let above_ground = above_ground.map(|(mass, ring)| mass * (ring.height + self.depth));
        let by_riders = self.out_of_balance(empty, |ring, it| {
            it * ring.tips_and_pulls(rpm, self.depth).0
        });
        let pull = self.out_of_balance(empty, |ring, it| {
            it * ring.tips_and_pulls(rpm, self.depth).1
        });
        // Whose speed nobody has told may turn all the same.
        let level_axis = self.rings.iter().any(|ring| ring.level_axis);
        let turns = match kind {
            CaseKind::OutOfService => false,
            // A wheel that stands up is driven on and braked from car to car.
            CaseKind::Boarding => level_axis,
            _ => rpm > 0.0 || self.rpm.is_none(),
        };
        let torque = if turns {
            self.profile.loads.torque.unwrap_or(0.0)
        } else {
            0.0
        };
        let swerve = if by_riders > 0.0 && torque > 0.0 {
            self.swerve(torque, empty)
        } else {
            Swerve::default()
        };
        Case {
            kind,
            empty_cars: empty.to_vec(),
            weight: self.empty.weight + riders.iter().sum::<f64>() * GRAVITY,
            by_riders,
            by_wind: 0.0,
            by_lean: self.own_lean + self.leans * above_ground.sum::<f64>() * GRAVITY,
            by_drive: if level_axis { torque } else { 0.0 },
            wind: 0.0,
            pull,
            swerve,
            torque,
            astray: 0.0,
        }
    }

    /// The most that riders out of balance push, starting and stopping: `T Q / Σ m r²`, with a car
    /// fewer to be swung round than in the case, so that it holds for one that is half empty too;
    /// and no more than `T / r` in any.
    fn swerve(&self, torque: f64, empty: &[u32]) -> Swerve {
        let each = || self.rings.iter().filter(|ring| ring.radius > 0.0);
        let most = |of: &dyn Fn(&Ring) -> f64| each().map(of).fold(0.0, f64::max);
        let high = |ring: &Ring| (ring.height + self.depth).max(0.0);
        let of_car = |ring: &Ring| ring.car_mass * ring.radius * ring.radius;
        let full = self.rings.iter().zip(empty);
        let full = full.map(|(ring, &empty)| f64::from(ring.cars.saturating_sub(empty + 1)));
        // A car fewer in every ring is at least a car fewer.
        let swung: f64 = full
            .zip(&self.rings)
            .map(|(cars, ring)| cars * of_car(ring))
            .sum();
        let faster = if swung > 0.0 {
            torque / swung
        } else {
            f64::INFINITY
        };
        let uneven = self.out_of_balance(empty, |_, it| it);
        let uneven_high = self.out_of_balance(empty, |ring, it| it * high(ring));
        Swerve {
            force: (faster * uneven).min(torque * most(&|ring| 1.0 / ring.radius)),
            tips: (faster * uneven_high).min(torque * most(&|ring| high(ring) / ring.radius)),
        }
    }

    /// What each ring is out of balance, kilogram metres, weighed and added up.
    fn out_of_balance(&self, empty: &[u32], weigh: impl Fn(&Ring, f64) -> f64) -> f64 {
        let each = self.rings.iter().zip(empty).map(|(ring, &empty)| {
            let run = run_resultant(ring.cars, empty).max(0.0);
            weigh(ring, run * ring.car_mass * ring.radius)
        });
        each.sum()
    }

    fn pull(&self) -> f64 {
        let turning = angular_speed(self.rpm.unwrap_or(0.0));
        turning * turning
    }

    /// More and more empty cars in each ring, until as many are empty as `allowed`.
    fn runs(&self, rpm: f64, allowed: u32) -> impl Iterator<Item = Vec<u32>> + '_ {
        let full = vec![0; self.rings.len()];
        let all = std::iter::successors(Some(full), move |empty| {
            let ring = self.next_to_empty(empty, rpm, allowed)?;
            let mut empty = empty.clone();
            *empty.get_mut(ring)? += 1;
            Some(empty)
        });
        all.skip(1)
    }

    /// The ring in which one more empty car tips the most for the weight that it takes away;
    /// `None` when as many are empty as may be.
    fn next_to_empty(&self, empty: &[u32], rpm: f64, allowed: u32) -> Option<usize> {
        let gains = self.rings.iter().zip(empty).enumerate();
        gains
            .filter(|(_, (ring, empty))| **empty < ring.cars.min(allowed))
            .map(|(index, (ring, &empty))| {
                let more = run_resultant(ring.cars, empty + 1) - run_resultant(ring.cars, empty);
                let tips = ring.tips_and_pulls(rpm, self.depth).0;
                (index, more * ring.radius * tips)
            })
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(index, _)| index)
    }

    /// The ride with so much weight in all. Its own acts at its centre `c`, the riders' at the hub:
    /// what twists the frame is `W₀ c_x c_y`, as of a weight `W` at `c √(W₀/W)`, and the rest of
    /// what tips it is told beside.
    pub(super) fn load(&self, weight: f64) -> Load {
        let share = (self.empty.weight / weight).sqrt();
        let own = self.empty.centre.coords;
        Load {
            weight,
            centre: (own * share).into(),
            tipping: own * (self.empty.weight - share * weight),
            twist_stiffness: self.empty.twist_stiffness,
        }
    }

    /// A case as it comes upon the feet.
    pub(super) fn upon(&self, case: &Case) -> Upon {
        Upon {
            load: self.load(case.weight),
            tips: case.tips(),
            astray: case.astray,
        }
    }

    /// The least and the greatest load of every foot; `None` where it may go over.
    pub(super) fn extremes(&self, case: &Case) -> Option<Vec<Extreme>> {
        self.footing.extremes(&self.upon(case))
    }

    /// What every foot carries with all seats full, nothing turning and no wind, newtons; each an
    /// even share where that does not come to rest.
    pub(super) fn usual(&self) -> Vec<f64> {
        let full = vec![0; self.rings.len()];
        let case = self.case(CaseKind::Full, &full, 0.0);
        let rest = crate::statics::settle(&self.load(case.weight), &self.supports);
        rest.map_or_else(
            |_| vec![case.weight / self.supports.len().max(1) as f64; self.supports.len()],
            |rest| rest.loads,
        )
    }

    /// What holds it down against what tips it, and the two feet it would go over. `None` where it
    /// stands and nothing tips it.
    pub(super) fn overturning(&self, case: &Case) -> Option<Tips> {
        let tips = case.tips();
        let lightest = case.at_its_lightest();
        let centre = self.load(lightest.weight).resultant();
        let worst = edges(&self.supports)
            .map(|edge| (edge.inside(centre), edge.feet))
            .min_by(|a, b| a.0.total_cmp(&b.0));
        let (inside, over) = worst?;
        (tips > 0.0 || inside <= 0.0).then(|| Tips {
            value: if inside > 0.0 {
                inside * lightest.weight / tips
            } else {
                0.0
            },
            outside: (tips / lightest.weight - inside).max(0.0),
            over,
        })
    }

    /// Friction against what pushes it sideways and turns it. `None` where nothing does.
    ///
    /// Sideways, every foot holds in the share that it carries. Turned, it holds in that share
    /// times its distance from where the weight acts, `Σ N d² = Σ N r² − W · off²` in all. Both together lie within the friction of
    /// every foot, so that the ride can do no worse (the static theorem of limit analysis).
    ///
    /// What pushes at the hub turns the ride as well where the weight acts beside the line of the
    /// push. What a push tips moves the weight along its own line; only its own centre, its lean,
    /// and riders and wind across each other leave it. A ride that could go over is told of that,
    /// and here it stands on the verge of it.
    pub(super) fn sliding(&self, case: &Case) -> Option<f64> {
        let case = &case.at_its_lightest();
        let holds = self.friction * case.weight;
        let (sideways, swerve) = (case.sideways(), case.swerve);
        let push = sideways / holds;
        let centre = self.load(case.weight).resultant();
        let own = centre.coords.norm();
        let verge = edges(&self.supports).map(|edge| edge.inside(centre));
        let verge = verge.fold(f64::INFINITY, f64::min).max(0.0);
        let off = own + (case.tips() / case.weight).min(verge);
        // What pushes riders starting and stopping, square to their pull, turns it with whatever
        // moves the weight, and what that moves the weight by with whatever pushes.
        let across = (case.pull * case.by_wind - case.wind * case.by_riders).abs()
            + swerve.force * (case.by_wind + case.by_riders)
            + swerve.tips * (case.wind + case.pull);
        let off_its_line = own + (case.by_lean + case.by_drive) / case.weight;
        let beside = sideways * off_its_line + across / case.weight;
        let torque = case.torque + beside;
        let far = |fold: fn(f64, f64) -> f64, start: f64| {
            let each = self.supports.iter().map(|it| it.at.coords.norm());
            each.fold(start, fold)
        };
        let (nearest, farthest) = (far(f64::min, f64::INFINITY), far(f64::max, 0.0));
        let turn = if torque > 0.0 {
            let held = (self.farness(case, nearest, farthest) - off * off).max(0.0);
            torque * (farthest + off) / (holds * held)
        } else {
            0.0
        };
        let used = push + turn;
        (used > 0.0).then(|| 1.0 / used)
    }

    /// The least that the squares of the feet's distances from the hub come to, each weighed by the
    /// share of the weight that it carries, metres squared: as much on the nearest feet as they ever
    /// carry. Where all stand about as far out, the nearest alone says as much.
    fn farness(&self, case: &Case, nearest: f64, farthest: f64) -> f64 {
        let plain = nearest * nearest;
        if nearest >= farthest / 2.0 {
            return plain;
        }
        let Some(found) = self.extremes(case) else {
            return plain;
        };
        let feet = self.supports.iter().zip(&found);
        let mut feet: Vec<(f64, f64)> = feet
            .map(|(foot, found)| (foot.at.coords.norm_squared(), found.greatest))
            .collect();
        feet.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut left = case.weight;
        let each = feet.into_iter().map(|(square, greatest)| {
            let carries = greatest.min(left);
            left -= carries;
            square * carries
        });
        each.sum::<f64>() / case.weight
    }
}
