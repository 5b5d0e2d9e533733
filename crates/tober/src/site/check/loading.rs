//! What a ride weighs, who sits in it, the wind, and what the ground bears.

use super::limits;
use super::outline::{self, IN_RIDE};
use super::report::{At, Ids, Number, Quantity, Report, listed};
use super::{ROOT, quoted};
use crate::loads::{LoadUnit, load_rulebook};
use crate::ride::{Loading, RideProfile, SeatRing, Silhouette, Swing};
use crate::site::{GroundZone, LoadValue};

const MASS: Quantity = Quantity::above_zero("a mass in kilograms", limits::MASS);
const RIDER: Quantity = Quantity::above_zero("a mass in kilograms", limits::RIDER_MASS);
const HEIGHT: Quantity = Quantity::from_to("a height in metres", -limits::DROP, limits::RIDE);
const RADIUS: Quantity = Quantity::from_to("a length in metres", 0.0, limits::RIDE);
const SPEED: Quantity = Quantity::from_to("a speed in turns a minute", 0.0, limits::RPM);
const TORQUE: Quantity = Quantity::from_to("a torque in newton metres", 0.0, limits::TORQUE);
const AREA: Quantity = Quantity::above_zero("an area in metres squared", limits::SILHOUETTE);
const SHAPE: Quantity = Quantity::above_zero("a shape factor", limits::SHAPE_FACTOR);
const WIND: Quantity = Quantity::from_to("a wind in metres a second", 0.0, limits::WIND);
const FORCE: Quantity = Quantity::above_zero("a force in newtons", limits::FORCE);
const PAD: Quantity = Quantity::above_zero("a length in metres", limits::FOOT_PLATE);
const FRICTION: Quantity = Quantity::above_zero("a coefficient of friction", limits::FRICTION);
const PRESSURE: Quantity = Quantity::above_zero("a pressure in pascals", limits::PRESSURE);
const SUBGRADE: Quantity = Quantity::from_to(
    "a modulus in pascals a metre",
    limits::SUBGRADE_LEAST,
    limits::SUBGRADE,
);
const FACTOR: Quantity = Quantity::above_zero("a plain number", 100.0);
const DENSITY: Quantity = Quantity::above_zero("a density in kilograms a cubic metre", 2.0);

/// Checks what a profile says of loads.
pub(super) fn check(report: &mut Report, at: &At<'_>, profile: &RideProfile) {
    let Loading {
        mass,
        centre,
        centre_height,
        seats: rings,
        empty_in_row,
        full_speed_rpm,
        torque,
        wind,
        jack_capacity,
        outrigger_capacity,
        jack_pad,
        tongue,
        friction,
    } = &profile.loads;
    let numbers = [
        ("mass", mass, &MASS),
        ("centre_height", centre_height, &HEIGHT),
        ("full_speed_rpm", full_speed_rpm, &SPEED),
        ("torque", torque, &TORQUE),
        ("jack_capacity", jack_capacity, &FORCE),
        ("outrigger_capacity", outrigger_capacity, &FORCE),
        ("jack_pad", jack_pad, &PAD),
        ("friction", friction, &FRICTION),
    ];
    for (key, number, quantity) in numbers {
        if let Some(number) = number {
            report.number(&at.key(key), *number, quantity);
        }
    }
    for (key, place) in [("centre", centre), ("tongue", tongue)] {
        if let Some(place) = place {
            outline::place(report, &at.key(key), *place, &IN_RIDE);
        }
    }
    if let (Some(mass), Some(levelled)) = (mass, profile.frame.mass)
        && *mass < levelled
    {
        report.warn(
            &at.key("mass"),
            Number(*mass),
            format_args!("no less than the frame has while it is levelled ({levelled})"),
        );
    }
    seats(report, &at.key("seats"), rings, &profile.swing);
    if let Some(empty) = empty_in_row {
        report.count(&at.key("empty_in_row"), *empty, limits::SEATS, "cars");
    }
    if let Some(wind) = wind {
        silhouette(report, &at.key("wind"), wind);
    }
}

fn seats(report: &mut Report, list: &At<'_>, rings: &[SeatRing], swing: &Swing) {
    if !report.list(list, rings.len(), 0, limits::SEAT_RINGS, "rings of seats") {
        return;
    }
    for (index, ring) in rings.iter().enumerate() {
        let at = list.item(index);
        if ring.cars < 2 {
            report.error(&at.key("cars"), ring.cars, "2 or more cars in a ring");
        }
        report.count(&at.key("cars"), ring.cars, limits::SEATS, "cars");
        if ring.seats_in_car == 0 {
            report.error(&at.key("seats_in_car"), 0, "1 or more seats in a car");
        }
        report.count(
            &at.key("seats_in_car"),
            ring.seats_in_car,
            limits::SEATS,
            "seats",
        );
        if let Some(mass) = ring.rider_mass {
            report.number(&at.key("rider_mass"), mass, &RIDER);
        }
        if let Some(radius) = ring.radius {
            report.number(&at.key("radius"), radius, &RADIUS);
        }
        if let Some(height) = ring.height {
            report.number(&at.key("height"), height, &HEIGHT);
        }
        // A table tells no place of the seats.
        if let Swing::Table(_) = swing {
            for (key, number) in [("radius", ring.radius), ("height", ring.height)] {
                if number.is_none() {
                    report.warn(
                        &at.key(key),
                        "left out",
                        format_args!(
                            "a length in metres: without it nobody knows what riders do who sit \
                             unevenly"
                        ),
                    );
                }
            }
        }
    }
}

fn silhouette(report: &mut Report, at: &At<'_>, wind: &Silhouette) {
    report.number(&at.key("area"), wind.area, &AREA);
    report.number(&at.key("height"), wind.height, &HEIGHT);
    if let Some(factor) = wind.shape_factor {
        report.number(&at.key("shape_factor"), factor, &SHAPE);
    }
    let in_service = report.number(&at.key("in_service"), wind.in_service, &WIND);
    if let Some(speed) = wind.out_of_service
        && report.number(&at.key("out_of_service"), speed, &WIND)
        && in_service
        && speed < wind.in_service
    {
        report.error(
            &at.key("out_of_service"),
            Number(speed),
            format_args!("no less than in_service ({})", wind.in_service),
        );
    }
}

/// Checks what somebody says that the ground of a zone bears.
pub(super) fn zone(report: &mut Report, at: &At<'_>, zone: &GroundZone) {
    if let Some(bearing) = &zone.bearing {
        let at = at.key("bearing");
        report.number(&at.key("pressure"), bearing.pressure, &PRESSURE);
        report.text(&at.key("reason"), &bearing.reason);
    }
    if let Some(subgrade) = zone.subgrade {
        let at = at.key("subgrade");
        let lowest = report.number(&at.key("lowest"), subgrade.lowest, &SUBGRADE);
        let highest = report.number(&at.key("highest"), subgrade.highest, &SUBGRADE);
        if lowest && highest && subgrade.highest < subgrade.lowest {
            report.error(
                &at.key("highest"),
                Number(subgrade.highest),
                format_args!("no less than lowest ({})", subgrade.lowest),
            );
        }
    }
}

/// Checks the site's own values of loads.
pub(super) fn values(report: &mut Report, values: &[LoadValue]) {
    let list = ROOT.key("load_values");
    if !report.list(&list, values.len(), 0, limits::LOAD_VALUES, "load values") {
        return;
    }
    let mut rules = Ids::new("load value");
    for (index, value) in values.iter().enumerate() {
        let at = list.item(index);
        rules.check(report, &at.key("rule"), &value.rule);
        report.text(&at.key("reason"), &value.reason);
        let Some(rule) = load_rulebook().iter().find(|rule| rule.id == value.rule) else {
            let known = listed(load_rulebook().iter().map(|rule| rule.id));
            let expected = format_args!("the id of a rule of loads: {known}");
            report.error(&at.key("rule"), quoted(&value.rule), expected);
            continue;
        };
        let quantity = match rule.unit {
            LoadUnit::Factor => &FACTOR,
            LoadUnit::Pascal | LoadUnit::Crushing => &PRESSURE,
            LoadUnit::Kilogram => &RIDER,
            LoadUnit::Density => &DENSITY,
        };
        report.number(&at.key("value"), value.value, quantity);
    }
}
