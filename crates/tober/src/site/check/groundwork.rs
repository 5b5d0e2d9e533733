//! Holes and mounds under supports: what a crew digs or builds by hand.

use super::ROOT;
use super::limits;
use super::report::{Quantity, Report};
use crate::site::Groundwork;

/// Holes and mounds of a lot.
const MOST: usize = 1_000;
const RADIUS: Quantity = Quantity::from_to("a radius in metres", 0.05, 10.0);
const BY: Quantity = Quantity::from_to("a height in metres", -2.0, 2.0);
const PLACE: Quantity =
    Quantity::from_to("metres on the map", -limits::COORDINATE, limits::COORDINATE);

pub(super) fn check(report: &mut Report, all: &[Groundwork]) {
    let at = ROOT.key("groundwork");
    if !report.list(&at, all.len(), 0, MOST, "holes and mounds") {
        return;
    }
    for (index, work) in all.iter().enumerate() {
        let at = at.item(index);
        report.number(&at.key("x"), work.x, &PLACE);
        report.number(&at.key("y"), work.y, &PLACE);
        report.number(&at.key("radius"), work.radius, &RADIUS);
        report.number(&at.key("by"), work.by, &BY);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_no_spade_does_is_located() {
        let work = Groundwork {
            x: f64::NAN,
            y: 0.0,
            radius: 0.0,
            by: -40.0,
        };
        let mut report = Report::default();
        check(&mut report, &[work]);
        let faults = report.finish().unwrap_err().to_string();
        for key in ["x", "radius", "by"] {
            assert!(faults.contains(&format!("groundwork[0].{key}")), "{faults}");
        }
        assert!(!faults.contains("groundwork[0].y"), "{faults}");
    }
}
