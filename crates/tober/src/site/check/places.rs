//! Where the rides stand.
//!
//! A ride off the lot or a foot outside the survey is a warning: the assessment then says what
//! is not known, and a ride being dragged may pass over anything.

use geo::{Contains, Distance, Euclidean};

use super::outline::IN_LOT;
use super::profile::RAISED;
use super::report::{At, Fault, Faults, Number, Quantity, Report};
use super::{ROOT, limits};
use crate::ride::RideProfile;
use crate::site::{Placement, Site};

pub(super) const HEADING: Quantity = Quantity::from_to(
    "a heading in degrees clockwise from grid north",
    -limits::HEADING,
    limits::HEADING,
);

const SPEED: Quantity = Quantity::from_to("a speed in turns a minute", 0.0, limits::RPM);

/// Checks the numbers of a placement.
pub(super) fn numbers(report: &mut Report, at: &At<'_>, placement: Placement) {
    report.number(&at.key("x"), placement.x, &IN_LOT);
    report.number(&at.key("y"), placement.y, &IN_LOT);
    report.number(&at.key("heading"), placement.heading, &HEADING);
}

/// Checks a new placement for one of so many rides.
pub(in crate::site) fn placement(
    rides: usize,
    ride_index: usize,
    placement: Placement,
) -> Result<(), Faults> {
    let mut report = Report::default();
    let list = ROOT.key("rides");
    let ride = list.item(ride_index);
    if ride_index >= rides {
        report.error(
            &ride,
            "no ride",
            format_args!("one of {rides}, counted from 0"),
        );
    }
    numbers(&mut report, &ride.key("placement"), placement);
    report.finish().map(|_| ())
}

/// Checks another full speed for a ride, which has hung chairs or not.
pub(in crate::site) fn full_speed(
    hung_chairs: bool,
    ride_index: usize,
    rpm: f64,
) -> Result<(), Faults> {
    let mut report = Report::default();
    let list = ROOT.key("rides");
    let ride = list.item(ride_index);
    if !hung_chairs {
        report.error(&ride, "no ride with hung chairs", "one with hung chairs");
    }
    report.number(&ride.key("full_speed_rpm"), rpm, &SPEED);
    report.finish().map(|_| ())
}

/// Checks how far the arms of a ride are to rise.
pub(in crate::site) fn raised(
    rising_arms: Option<f64>,
    ride_index: usize,
    degrees: f64,
) -> Result<(), Faults> {
    let mut report = Report::default();
    let list = ROOT.key("rides");
    let ride = list.item(ride_index);
    let at = ride.key("highest_deg");
    match rising_arms {
        None => report.error(&ride, "no ride that raises its arms", "one that does"),
        Some(lowest) => {
            if report.number(&at, degrees, &RAISED) && degrees < lowest {
                let expected = format_args!("no less than lowest_deg ({lowest})");
                report.error(&at, Number(degrees), expected);
            }
        }
    }
    report.finish().map(|_| ())
}

/// Warns of rides off the lot and of supports outside the survey.
pub(in crate::site) fn places(site: &Site) -> Vec<Fault> {
    let mut report = Report::default();
    let corners = site
        .file
        .lot
        .boundary
        .iter()
        .map(|corner| (corner.x, corner.y));
    let lot = geo::Polygon::new(corners.collect(), Vec::new());
    let list = ROOT.key("rides");
    for (index, ride) in site.file.rides.iter().enumerate() {
        let ride_at = list.item(index);
        let at = ride_at.key("placement");
        let hub = geo::Point::new(ride.placement.x, ride.placement.y);
        if !lot.contains(&hub) {
            let outside = Euclidean.distance(&hub, &lot);
            report.warn(
                &at,
                format_args!("{} off the lot", site.file.units.format(outside)),
                "a hub on the lot",
            );
        }
        let unsurveyed: Vec<&str> = site
            .profile(index)
            .into_iter()
            .flat_map(RideProfile::supports)
            .filter(|(_, place)| site.ground.height(ride.placement.to_lot(*place)).is_none())
            .map(|(id, _)| id)
            .collect();
        if !unsurveyed.is_empty() {
            report.warn(
                &at,
                format_args!("outside the spot levels with {}", unsurveyed.join(", ")),
                "spot levels on every side of every foot and tyre",
            );
        }
    }
    // Warnings alone cannot fail.
    report.finish().unwrap_or_default()
}
