//! The ride as it stands at work: which feet carry, on what, and what may come upon them.

use super::any_ground::End;
use super::cases::{Ring, wind_pressure};
use super::on_ground::{Footing, OnGround};
use super::rulebook::Values;
use crate::level::{
    FOOT_PLATE, GroundUnderRide, JACK_STIFFNESS, JackSetting, LevelPlan, OUTRIGGER_STIFFNESS,
    Piece, SupportKind, TWIST_STIFFNESS, twist_stiffness,
};
use crate::ride::RideProfile;
use crate::site::{Block, GroundZone, Groundwork, Site, Subgrade};
use crate::statics::{GRAVITY, Load, Support};
use crate::{Point, Step};

/// A foot that carries, and what it stands on.
pub(super) struct Foot<'a> {
    pub(super) id: &'a str,
    pub(super) kind: SupportKind,
    /// Ride frame.
    pub(super) at: Point,
    pub(super) lot: Point,
    /// Side of its plate, metres.
    pub(super) plate: f64,
    /// Side of a pad that spreads the whole load, metres.
    pub(super) pad: Option<f64>,
    /// Thickness of a pad that it stands on, metres; as wide as [`PAD`] at the most.
    pub(super) pad_thickness: f64,
    /// From the ground up.
    pub(super) stack: Vec<&'a Block>,
    pub(super) zone: Option<&'a GroundZone>,
    /// Whether the ground under it was built up.
    pub(super) built_up: bool,
    pub(super) capacity: Option<f64>,
}

/// A ride at work.
pub(super) struct Standing<'a> {
    pub(super) profile: &'a RideProfile,
    pub(super) feet: Vec<Foot<'a>>,
    /// On the ground as it is as a rule.
    pub(super) supports: Vec<Support>,
    /// On whatever ground there is.
    pub(super) footing: Footing,
    on_ground: Vec<OnGround>,
    /// The empty ride.
    pub(super) empty: Load,
    /// From the datum plane down to the lowest ground under a foot, metres.
    pub(super) depth: f64,
    /// The steepest that it may lean, metres in a metre.
    pub(super) leans: f64,
    /// What its own weight tips it by then, newton metres.
    pub(super) own_lean: f64,
    pub(super) rings: Vec<Ring>,
    pub(super) rpm: Option<f64>,
    /// What the wind tips it by and how hard it pushes: newton metres and newtons.
    pub(super) wind_in_service: Option<(f64, f64)>,
    pub(super) wind_out_of_service: Option<(f64, f64)>,
    pub(super) friction: f64,
    pub(super) not_known: Vec<String>,
    pub(super) assumed: Vec<String>,
}

/// Side of a pad under a jack that nobody has measured: 12 inches. Common practice.
pub(super) const PAD: f64 = 0.304_8;

impl<'a> Standing<'a> {
    /// `None` when nobody has said what the ride weighs.
    pub(super) fn new(
        site: &'a Site,
        profile: &'a RideProfile,
        ground: &GroundUnderRide,
        level: &'a LevelPlan,
        values: Values<'_>,
    ) -> Option<Standing<'a>> {
        let loading = &profile.loads;
        let weight = loading.mass? * GRAVITY;
        let mut not_known = Vec::new();
        let mut assumed = Vec::new();

        let feet = work_feet(site, profile, ground, level);
        let heights = level
            .stands()
            .then(|| tops(profile, ground, level))
            .flatten();
        if heights.is_none() {
            assumed.push(
                "The frame is taken to stand level on feet that all just touch: it has no level \
                 plan that holds."
                    .to_owned(),
            );
        }
        if !profile.outriggers.is_empty() {
            assumed.push(
                "At work the outriggers are held to the whole load, as if the snugged jacks \
                 carried nothing: snug each from where it hangs free, so that it just bears."
                    .to_owned(),
            );
        }
        let on_ground: Vec<OnGround> = feet
            .iter()
            .enumerate()
            .map(|(index, foot)| {
                let own = heights
                    .as_ref()
                    .and_then(|heights| heights.get(index).copied());
                foot.on_ground(profile, own.unwrap_or(0.0))
            })
            .collect();
        if heights.is_some() {
            assumed.push(
                "The feet stand as high as the plan sets them: read the ground at each, and set its \
                 stack to that. The error of the survey is not in these loads."
                    .to_owned(),
            );
        }
        assumed.extend(stiffness(profile));
        let unsaid = on_ground.iter().zip(&feet);
        let unsaid = unsaid.filter(|(foot, _)| foot.ground.is_none());
        let unsaid: Vec<&str> = unsaid.map(|(_, foot)| foot.id).collect();
        if !unsaid.is_empty() && unsaid.len() < feet.len() {
            not_known.push(gives_unsaid(&unsaid));
        }
        let depth = feet
            .iter()
            .map(|foot| foot.depth(profile, level))
            .fold(0.0, f64::max);

        let rpm = loading.rpm(&profile.swing);
        let rings = rings(profile, rpm, values, &mut not_known, &mut assumed);
        if rpm.is_none() && !loading.seats.is_empty() {
            not_known.push("The full speed: the pull of riders who sit unevenly.".to_owned());
        }
        if loading.torque.is_none() {
            not_known.push(
                "The torque of the drive and the brakes: what it does to sliding.".to_owned(),
            );
        }
        let levelling = &profile.levelling;
        let leans = libm::hypot(levelling.along().ratio(), levelling.across().ratio());
        if loading.centre_height.is_none() {
            not_known.push("The height of the ride's own centre: what its lean tips.".to_owned());
        }
        let own_lean = loading
            .centre_height
            .map_or(0.0, |height| leans * (height + depth).max(0.0) * weight);
        let wind = |speed: f64| {
            let silhouette = loading.wind.as_ref()?;
            let factor = silhouette
                .shape_factor
                .unwrap_or(values.value("shape-factor"));
            let pressure = wind_pressure(speed, values.value("air-density"));
            let force = pressure * silhouette.area * factor;
            Some((force * (silhouette.height + depth).max(0.0), force))
        };
        let in_service = loading.wind.as_ref().map(|wind| wind.in_service);
        let out_of_service = loading.wind.as_ref().and_then(|wind| wind.out_of_service);
        if in_service.is_none() {
            not_known.push("The silhouette: wind, in service and out of it.".to_owned());
        } else if out_of_service.is_none() {
            not_known.push("The wind that it may stand in, built up and at rest.".to_owned());
        }
        let shape_factor = loading.wind.as_ref().map(|wind| wind.shape_factor);
        if shape_factor == Some(None) {
            assumed.push(format!(
                "Shape factor of what the wind pushes against: {}.",
                values.value("shape-factor")
            ));
        }
        if loading.centre.is_none() {
            assumed.push(
                "The ride's own centre is taken to be over the hub: where it is, is not stated."
                    .to_owned(),
            );
        }
        if loading.friction.is_none() {
            assumed.push(format!(
                "Friction of the feet: {}.",
                values.value("friction")
            ));
        }
        let capacity = if profile.outriggers.is_empty() {
            None
        } else {
            loading
                .outrigger_capacity
                .is_none()
                .then_some("an outrigger")
        };
        let capacities = capacity
            .into_iter()
            .chain(loading.jack_capacity.is_none().then_some("a jack"));
        for what in capacities {
            not_known.push(format!("What {what} may carry."));
        }
        let load = Load {
            weight,
            centre: loading.centre.unwrap_or(Point::origin()),
            tipping: Step::zeros(),
            twist_stiffness: twist_stiffness(profile),
        };
        Some(Standing {
            profile,
            feet,
            supports: on_ground.iter().map(OnGround::usual).collect(),
            footing: Footing::under(&on_ground, &load),
            on_ground,
            empty: load,
            depth,
            leans,
            own_lean,
            rings,
            rpm,
            wind_in_service: in_service.and_then(wind),
            wind_out_of_service: out_of_service.and_then(wind),
            friction: loading.friction.unwrap_or(values.value("friction")),
            not_known,
            assumed,
        })
    }
}

impl Standing<'_> {
    /// The most that each jack carries, snugged beside outriggers, over every case, newtons. Empty
    /// for a ride without outriggers, or without a level plan that holds.
    pub(super) fn jacks_at_work(
        &self,
        site: &Site,
        ground: &GroundUnderRide,
        level: &LevelPlan,
    ) -> Vec<f64> {
        let profile = self.profile;
        if profile.outriggers.is_empty() || !level.stands() {
            return Vec::new();
        }
        let jacks = profile.jacks.iter().zip(&level.jacks);
        let jacks: Option<Vec<OnGround>> = jacks
            .map(|(jack, setting)| {
                let elevation = elevation(ground, SupportKind::Jack, &jack.id)?;
                let top = jack_top(jack, setting, elevation, setting.screw_at_work);
                Some(jack_foot(site, profile, ground, level, jack).on_ground(profile, top))
            })
            .collect();
        let Some(mut feet) = jacks else {
            return Vec::new();
        };
        let count = feet.len();
        feet.extend_from_slice(&self.on_ground);
        let footing = Footing::under(&feet, &self.empty);
        let cases = self.cases();
        let seen = self.seen(&cases, &footing);
        let greatest = (0..count).map(|foot| {
            let goes_over = cases.iter().zip(&seen).filter(|(_, seen)| seen.is_none());
            let everything = goes_over.map(|(case, _)| case.weight).fold(0.0, f64::max);
            let found = footing.worst(
                foot,
                End::Greatest,
                &self.all(&cases, &seen, foot, End::Greatest),
            );
            found.map_or(everything, |found| found.load.max(everything))
        });
        greatest.collect()
    }
}

impl Foot<'_> {
    /// How far the ground gives, where that is said: of fill nobody has said it.
    pub(super) fn subgrade(&self) -> Option<Subgrade> {
        let zone = self.zone.filter(|_| !self.built_up);
        zone.and_then(|zone| zone.subgrade)
    }

    /// As it carries where the datum just touches it at `top`.
    pub(super) fn on_ground(&self, profile: &RideProfile, top: f64) -> OnGround {
        let frame = &profile.frame;
        let stiffness = match self.kind {
            SupportKind::Outrigger => frame.outrigger_stiffness.unwrap_or(OUTRIGGER_STIFFNESS),
            _ => frame.jack_stiffness.unwrap_or(JACK_STIFFNESS),
        };
        OnGround {
            foot: Support {
                at: self.at,
                top,
                stiffness,
            },
            ground: self.subgrade(),
            area: self.spread().area(),
        }
    }

    /// From the datum plane down to the ground, metres.
    pub(super) fn depth(&self, profile: &RideProfile, level: &LevelPlan) -> f64 {
        let drop = match self.kind {
            SupportKind::Outrigger => {
                let own = profile.outriggers.iter().find(|it| it.id == self.id);
                own.map_or(0.0, |it| it.foot_drop)
            }
            _ => {
                let setting = level.jacks.iter().find(|it| it.id == self.id);
                let planned = setting.filter(|_| level.stands());
                let own = profile.jacks.iter().find(|it| it.id == self.id);
                planned.map(|it| it.to_pad + it.pad).unwrap_or_else(|| {
                    // The lowest that it can stand at.
                    own.map_or(0.0, |it| {
                        let lowest = it.holes.last().copied().unwrap_or(0.0);
                        it.drop + lowest + it.screw_extended + it.pad_thickness
                    })
                })
            }
        };
        drop + self.stack.iter().map(|block| block.thickness).sum::<f64>()
    }
}

/// That nobody has said how far the ground gives under some feet, where it is told under others.
pub(super) fn gives_unsaid(feet: &[&str]) -> String {
    format!(
        "How far the ground gives under {}: it is told under other feet, and here taken not to give.",
        feet.join(", ")
    )
}

/// What is taken for how stiff the frame and its feet are, where that is not stated.
fn stiffness(profile: &RideProfile) -> Option<String> {
    let frame = &profile.frame;
    let under = |newtons: f64| format!("gives a millimetre under {:.0} kN", newtons / 1e6);
    let jack = frame
        .jack_stiffness
        .is_none()
        .then(|| format!("a jack with its pad {}", under(JACK_STIFFNESS)));
    let outrigger = frame.outrigger_stiffness.is_none() && !profile.outriggers.is_empty();
    let outrigger = outrigger.then(|| {
        format!(
            "an outrigger with its blocks {}",
            under(OUTRIGGER_STIFFNESS)
        )
    });
    let twist = frame.twist_stiffness.is_none().then(|| {
        let degree = TWIST_STIFFNESS * 1.0_f64.to_radians() / 1e3;
        format!("the frame twists by a degree from end to end under {degree:.0} kN·m")
    });
    let taken: Vec<String> = jack.into_iter().chain(outrigger).chain(twist).collect();
    (!taken.is_empty()).then(|| {
        format!(
            "It is taken that {}: the profile does not say.",
            taken.join(", ")
        )
    })
}

/// The seats, a ring each; those of which nobody knows where they are, are told, and taken to be
/// at the hub.
fn rings(
    profile: &RideProfile,
    rpm: Option<f64>,
    values: Values<'_>,
    not_known: &mut Vec<String>,
    assumed: &mut Vec<String>,
) -> Vec<Ring> {
    let seats = &profile.loads.seats;
    if seats.is_empty() {
        not_known.push("Seats: riders, and how unevenly they may sit.".to_owned());
    }
    let rider = values.value("rider-mass");
    if seats.iter().any(|ring| ring.rider_mass.is_none()) {
        let pounds = (rider * GRAVITY / super::POUND).ceil();
        assumed.push(format!("A rider has {rider} kg ({pounds:.0} lb)."));
    }
    if !seats.is_empty() && profile.loads.empty_in_row.is_none() {
        assumed.push("Any seats may be empty: the worst are.".to_owned());
    }
    let mut rings = Vec::new();
    for ring in seats {
        // Where nobody knows where riders are, their weight counts all the same.
        let place = ring.place(profile, rpm.unwrap_or(0.0));
        if place.is_none() {
            not_known.push(
                "Where a ring of seats is: what its riders do when they sit unevenly.".to_owned(),
            );
        }
        let (radius, height) = place.unwrap_or_default();
        rings.push(Ring {
            cars: ring.cars,
            car_mass: f64::from(ring.seats_in_car) * ring.rider_mass.unwrap_or(rider),
            radius,
            height,
            level_axis: ring.level_axis,
        });
    }
    rings
}

/// The feet that carry at work.
pub(super) fn work_feet<'a>(
    site: &'a Site,
    profile: &'a RideProfile,
    ground: &GroundUnderRide,
    level: &'a LevelPlan,
) -> Vec<Foot<'a>> {
    let loading = &profile.loads;
    if profile.outriggers.is_empty() {
        let jacks = profile.jacks.iter();
        return jacks
            .map(|jack| jack_foot(site, profile, ground, level, jack))
            .collect();
    }
    profile
        .outriggers
        .iter()
        .map(|outrigger| {
            let stack = level.outriggers.iter().find(|it| it.id == outrigger.id);
            let lot = lot_place(ground, SupportKind::Outrigger, &outrigger.id);
            Foot {
                id: &outrigger.id,
                kind: SupportKind::Outrigger,
                at: outrigger.at,
                lot,
                plate: outrigger.foot_plate.unwrap_or(FOOT_PLATE),
                pad: None,
                pad_thickness: 0.0,
                stack: stack.map_or_else(Vec::new, |stack| pieces(site, &stack.pieces)),
                zone: site.zone_at(lot),
                built_up: built_up(site, lot),
                capacity: loading.outrigger_capacity,
            }
        })
        .collect()
}

/// A jack as a foot on the ground.
pub(super) fn jack_foot<'a>(
    site: &'a Site,
    profile: &'a RideProfile,
    ground: &GroundUnderRide,
    level: &'a LevelPlan,
    jack: &'a crate::ride::Jack,
) -> Foot<'a> {
    let setting = level.jacks.iter().find(|it| it.id == jack.id);
    let lot = lot_place(ground, SupportKind::Jack, &jack.id);
    Foot {
        id: &jack.id,
        kind: SupportKind::Jack,
        at: jack.at,
        lot,
        plate: jack.foot_plate.unwrap_or(FOOT_PLATE),
        pad: profile.loads.jack_pad,
        pad_thickness: jack.pad_thickness,
        stack: setting.map_or_else(Vec::new, |it| pieces(site, &it.packing)),
        zone: site.zone_at(lot),
        built_up: built_up(site, lot),
        capacity: profile.loads.jack_capacity,
    }
}

fn lot_place(ground: &GroundUnderRide, kind: SupportKind, id: &str) -> Point {
    let own = ground.points.iter();
    own.filter(|point| point.kind == kind)
        .find(|point| point.id == id)
        .map_or(Point::origin(), |point| point.at)
}

fn pieces<'a>(site: &'a Site, pieces: &[Piece]) -> Vec<&'a Block> {
    let blocks = &site.file().blocks;
    pieces
        .iter()
        .filter_map(|piece| blocks.iter().find(|block| block.id == piece.block))
        .collect()
}

/// Whether the ground there was built up: it is fill then, whatever the zone says.
fn built_up(site: &Site, at: Point) -> bool {
    Groundwork::at_place(&site.file().groundwork, at) > 0.0
}

/// Height of the ground under a support.
pub(super) fn elevation(ground: &GroundUnderRide, kind: SupportKind, id: &str) -> Option<f64> {
    let mut points = ground.points.iter();
    let point = points.find(|point| point.kind == kind && point.id == id)?;
    point.elevation.map(|elevation| elevation.0)
}

/// The heights of the datum at which the feet just touch; `None` when one is not known.
pub(super) fn tops(
    profile: &RideProfile,
    ground: &GroundUnderRide,
    level: &LevelPlan,
) -> Option<Vec<f64>> {
    if profile.outriggers.is_empty() {
        let jacks = profile.jacks.iter().zip(&level.jacks);
        return jacks
            .map(|(jack, setting)| {
                let ground = elevation(ground, SupportKind::Jack, &jack.id)?;
                Some(jack_top(jack, setting, ground, setting.screw_at_work))
            })
            .collect();
    }
    let feet = profile.outriggers.iter().zip(&level.outriggers);
    feet.map(|(foot, stack)| {
        let ground = elevation(ground, SupportKind::Outrigger, &foot.id)?;
        Some(ground + stack.height + foot.foot_drop)
    })
    .collect()
}

/// The height of the datum at which a jack just touches, its screw so long.
pub(super) fn jack_top(
    jack: &crate::ride::Jack,
    setting: &JackSetting,
    ground: f64,
    screw: f64,
) -> f64 {
    let packing: f64 = setting.packing.iter().map(|piece| piece.thickness).sum();
    let hole = jack.holes.get(setting.hole.saturating_sub(1)).copied();
    ground + packing + jack.pad_thickness + jack.drop + hole.unwrap_or(0.0) + screw
}
