//! The spot levels.

use std::collections::HashMap;
use std::collections::hash_map::Entry;

use super::outline::{Extent, IN_LOT};
use super::report::{Quantity, Report};
use super::{ROOT, limits};
use crate::Point;
use crate::site::SpotLevel;

const ELEVATION: Quantity = Quantity::from_to(
    "an elevation in metres",
    limits::ELEVATION_LOWEST,
    limits::ELEVATION_HIGHEST,
);

/// Spot levels this near to each other in plan, metres, are the same place shot twice: no rod
/// is set down more exactly.
const SAME_PLACE: f64 = 0.01;

/// Heights of the same place that differ by more than this, metres, cannot both be right: the
/// reading of a rod in the field.
const SAME_HEIGHT: f64 = 0.005;

pub(super) fn spot_levels(report: &mut Report, spots: &[SpotLevel]) {
    let at = ROOT.key("spot_levels");
    if !report.list(&at, spots.len(), 1, limits::SPOT_LEVELS, "spot levels") {
        return;
    }
    let mut sound = true;
    for (index, spot) in spots.iter().enumerate() {
        let at = at.item(index);
        sound &= report.number(&at.key("x"), spot.x, &IN_LOT);
        sound &= report.number(&at.key("y"), spot.y, &IN_LOT);
        sound &= report.number(&at.key("elevation"), spot.elevation.0, &ELEVATION);
    }
    if sound {
        across(report, spots);
        shot_twice(report, spots);
    }
}

fn across(report: &mut Report, spots: &[SpotLevel]) {
    let places: Vec<Point> = spots.iter().map(place).collect();
    if let Some(extent) = Extent::of(&places)
        && extent.across() > limits::ACROSS
    {
        report.error(
            &ROOT.key("spot_levels"),
            format_args!("a survey {:.0} m across", extent.across()),
            format_args!("at most {} m", limits::ACROSS),
        );
    }
}

/// Warns of places that were shot twice with different heights.
///
/// The lot is cut into squares of [`SAME_PLACE`]; a spot is compared with the first one in its
/// own square and in the eight around it, so that the work grows only with the count.
fn shot_twice(report: &mut Report, spots: &[SpotLevel]) {
    let at = ROOT.key("spot_levels");
    let mut firsts: HashMap<(i64, i64), (usize, &SpotLevel)> = HashMap::new();
    for (index, spot) in spots.iter().enumerate() {
        // The limit on coordinates keeps this far within an i64.
        let column = (spot.x / SAME_PLACE).floor() as i64;
        let row = (spot.y / SAME_PLACE).floor() as i64;
        let around = (column - 1..=column + 1)
            .flat_map(|column| (row - 1..=row + 1).map(move |row| (column, row)));
        let twin = around
            .filter_map(|square| firsts.get(&square))
            .find(|(_, first)| {
                (place(first) - place(spot)).norm() <= SAME_PLACE
                    && (first.elevation - spot.elevation).abs() > SAME_HEIGHT
            });
        if let Some((first, other)) = twin {
            report.warn(
                &at.item(index),
                format_args!(
                    "a height of {:.3} m where spot_levels[{first}] has {:.3} m",
                    spot.elevation.0, other.elevation.0
                ),
                "one height for one place",
            );
        }
        if let Entry::Vacant(square) = firsts.entry((column, row)) {
            square.insert((index, spot));
        }
    }
}

fn place(spot: &SpotLevel) -> Point {
    Point::new(spot.x, spot.y)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::Elevation;
    use crate::site::check::report::Fault;

    fn warnings(spots: &[(f64, f64, f64)]) -> Vec<String> {
        let spot = |&(x, y, elevation): &(f64, f64, f64)| SpotLevel {
            x,
            y,
            elevation: Elevation(elevation),
        };
        let spots: Vec<SpotLevel> = spots.iter().map(spot).collect();
        let mut report = Report::default();
        spot_levels(&mut report, &spots);
        let warnings = report.finish().expect("no errors");
        warnings.iter().map(Fault::to_string).collect()
    }

    #[test]
    fn twins_are_found_across_the_edges_of_squares() {
        for (dx, dy) in [-1.0, 0.0, 1.0]
            .into_iter()
            .flat_map(|dx| [-1.0, 0.0, 1.0].map(|dy| (dx, dy)))
        {
            // From the middle of a square to just over its edges.
            let twin = (3.005 + 0.006 * dx, -7.005 + 0.006 * dy, 30.1);
            let found = warnings(&[(3.005, -7.005, 30.0), (9.0, 9.0, 30.0), twin]);
            assert_eq!(found.len(), 1, "{twin:?}");
            assert!(
                found[0].starts_with("warning: spot_levels[2]: "),
                "{found:?}"
            );
            assert!(
                found[0].contains("where spot_levels[0] has 30.000 m"),
                "{found:?}"
            );
        }
    }

    #[test]
    fn neighbours_and_repeated_readings_are_no_twins() {
        // A hand's breadth away on a kerb; and the same height read again.
        assert_eq!(warnings(&[(3.0, 3.0, 30.0), (3.1, 3.0, 30.15)]), [""; 0]);
        assert_eq!(warnings(&[(3.0, 3.0, 30.0), (3.0, 3.0, 30.004)]), [""; 0]);
    }
}
