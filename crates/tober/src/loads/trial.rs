//! Seats emptied and filled by hand, at any speed: what the feet then carry, wherever in its round
//! the ride is.

use serde::{Deserialize, Serialize};

use super::cases::{Riders, Ring};
use super::rulebook::Values;
use super::standing::Standing;
use super::{load_rules_in_force, resultant};
use crate::Step;
use crate::assess::Assessment;
use crate::site::Site;

/// Who sits where, and how fast it turns.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Trial {
    /// Turns a minute.
    pub rpm: f64,
    /// For each ring of seats of the profile, for each car: how many of its seats are full.
    pub full_seats: Vec<Vec<u32>>,
    /// With the wind that the ride may work in, from anywhere.
    pub with_wind: bool,
}

impl Trial {
    /// Every seat full, at full speed, in the wind that it may work in.
    pub fn all_full(site: &Site, ride_index: usize) -> Option<Trial> {
        let profile = site.profile(ride_index)?;
        let seats = profile.loads.seats.iter();
        Some(Trial {
            rpm: profile.loads.rpm(&profile.swing).unwrap_or(0.0),
            full_seats: seats
                .map(|ring| vec![ring.seats_in_car; ring.cars as usize])
                .collect(),
            with_wind: true,
        })
    }
}

/// What one foot carries.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TrialFoot {
    /// The support's id.
    pub id: String,
    /// Newtons, wherever the ride is in its round and wherever the wind comes from.
    pub least: f64,
    /// Newtons.
    pub greatest: f64,
}

/// What follows from a [`Trial`].
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TrialLoads {
    /// The feet that carry at work; each from nothing to everything where it would go over.
    pub feet: Vec<TrialFoot>,
    /// Weight of ride and riders, newtons.
    pub weight: f64,
    /// What riders who sit unevenly tip it by, newton metres.
    pub tipped_by_riders: f64,
    /// What holds down against what tips; absent where nothing tips.
    pub overturning: Option<f64>,
    /// Whether it goes over.
    pub overturns: bool,
}

/// What the feet of a ride carry with these seats full at this speed. `None` where the profile
/// states no mass, or there is no such ride.
pub fn try_riders(
    site: &Site,
    assessment: &Assessment,
    ride_index: usize,
    trial: &Trial,
) -> Option<TrialLoads> {
    let profile = site.profile(ride_index)?;
    let ride = assessment.rides.get(ride_index)?;
    let rules = load_rules_in_force(&site.file().load_values);
    let values = Values(&rules);
    let mut standing = Standing::new(site, profile, &ride.ground, &ride.level, values)?;
    if !trial.with_wind {
        standing.wind_in_service = None;
    }
    let rpm = if trial.rpm.is_finite() {
        trial.rpm.clamp(0.0, crate::site::limits::RPM)
    } else {
        0.0
    };
    let mut riders = Riders::default();
    let mut uneven = [Step::zeros(); 4];
    for (seats, full) in profile.loads.seats.iter().zip(&trial.full_seats) {
        let Some((radius, height)) = seats.place(profile, rpm) else {
            continue;
        };
        let rider = seats.rider_mass.unwrap_or(values.value("rider-mass"));
        let weights: Vec<f64> = full
            .iter()
            .take(seats.cars as usize)
            .map(|&full| f64::from(full.min(seats.seats_in_car)) * rider)
            .collect();
        let ring = Ring {
            cars: seats.cars,
            car_mass: rider,
            radius,
            height,
            level_axis: seats.level_axis,
        };
        let (x, y) = resultant(&weights);
        let out = Step::new(x, y) * radius;
        let (tipping, pulling) = ring.tips_and_pulls(rpm, standing.depth);
        let mass = weights.iter().sum::<f64>();
        let above_ground = height + standing.depth;
        riders.mass += mass;
        riders.above_ground += mass * above_ground;
        riders.inertia += mass * radius * radius;
        if seats.level_axis {
            riders.lifts += out.norm() * pulling;
        }
        let each = [tipping, pulling, 1.0, above_ground.max(0.0)];
        for (sum, weighed) in uneven.iter_mut().zip(each) {
            *sum += out * weighed;
        }
    }
    let sizes = uneven.map(|it| it.norm());
    [
        riders.tips,
        riders.pulls,
        riders.uneven,
        riders.uneven_above_ground,
    ] = sizes;
    let case = standing.with_riders(&riders, rpm);
    let found = standing.extremes(&case);
    let feet = standing.feet.iter().enumerate().map(|(index, foot)| {
        let own = found.as_ref().and_then(|found| found.get(index));
        TrialFoot {
            id: foot.id.to_owned(),
            least: own.map_or(0.0, |own| own.least),
            greatest: own.map_or(case.weight, |own| own.greatest),
        }
    });
    Some(TrialLoads {
        feet: feet.collect(),
        weight: case.weight,
        tipped_by_riders: case.told().tipped_by_riders,
        overturning: standing.overturning(&case).map(|it| it.value),
        overturns: found.is_none(),
    })
}
