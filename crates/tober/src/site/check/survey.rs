//! The spot levels and the breaklines.

use std::fmt;

use super::outline::{self, Extent, IN_LOT};
use super::report::{At, Ids, Quantity, Report};
use super::{Fault, ROOT, limits};
use crate::Point;
use crate::ground::{Ground, Meeting, meetings};
use crate::site::{Breakline, SpotLevel};
use crate::survey::twins::twins;

const ELEVATION: Quantity = Quantity::from_to(
    "an elevation in metres",
    limits::ELEVATION_LOWEST,
    limits::ELEVATION_HIGHEST,
);

const ERROR: Quantity =
    Quantity::from_to("a standard error in metres", 0.0, limits::STANDARD_ERROR);

/// Spot levels this near to each other in plan, metres, are the same place shot twice: no rod
/// is set down more exactly.
pub(super) const SAME_PLACE: f64 = 0.01;

/// Heights of the same place that differ by more than this, metres, cannot both be right: the
/// reading of a rod in the field.
pub(super) const SAME_HEIGHT: f64 = 0.005;

pub(super) fn check(report: &mut Report, spots: &[SpotLevel], lines: &[Breakline]) {
    let sound_spots = spot_levels(report, spots);
    let sound_lines = breaklines(report, lines);
    if sound_spots && sound_lines {
        let shots = {
            let spots = spots.iter().enumerate();
            let on_lines = lines.iter().enumerate().flat_map(|(line, breakline)| {
                let points = breakline.points.iter().enumerate();
                points.map(move |(point, shot)| (Source::OnLine(line, point), shot))
            });
            spots
                .map(|(index, spot)| (Source::Spot(index), spot))
                .chain(on_lines)
        };
        let shots: Vec<(Source, &SpotLevel)> = shots.collect();
        let places: Vec<Point> = shots.iter().map(|(_, shot)| place(shot)).collect();
        across(report, &places);
        shot_twice(report, &shots);
    }
    if sound_lines {
        lines_meet(report, lines);
    }
}

fn spot_levels(report: &mut Report, spots: &[SpotLevel]) -> bool {
    let at = ROOT.key("spot_levels");
    let mut sound = report.list(&at, spots.len(), 0, limits::SPOT_LEVELS, "spot levels");
    if sound {
        for (index, spot) in spots.iter().enumerate() {
            sound &= shot(report, &at.item(index), spot);
        }
    }
    sound
}

fn shot(report: &mut Report, at: &At<'_>, shot: &SpotLevel) -> bool {
    let x = report.number(&at.key("x"), shot.x, &IN_LOT);
    let y = report.number(&at.key("y"), shot.y, &IN_LOT);
    let elevation = report.number(&at.key("elevation"), shot.elevation.0, &ELEVATION);
    let error = shot
        .error
        .is_none_or(|error| report.number(&at.key("error"), error, &ERROR));
    x && y && elevation && error
}

fn breaklines(report: &mut Report, lines: &[Breakline]) -> bool {
    let at = ROOT.key("breaklines");
    let points = lines.iter().map(|line| line.points.len()).sum();
    let (most_lines, most_points) = (limits::BREAKLINES, limits::BREAKLINE_POINTS);
    if !(report.list(&at, lines.len(), 0, most_lines, "breaklines")
        && report.list(&at, points, 0, most_points, "points of breaklines"))
    {
        return false;
    }
    let mut ids = Ids::new("breakline");
    let mut sound = true;
    for (index, line) in lines.iter().enumerate() {
        let at = at.item(index);
        ids.check(report, &at.key("id"), &line.id);
        report.optional_text(&at.key("name"), &line.name);
        let at = at.key("points");
        sound &= report.list(&at, line.points.len(), 2, most_points, "points");
        let mut sound_points = true;
        for (index, point) in line.points.iter().enumerate() {
            sound_points &= shot(report, &at.item(index), point);
        }
        let places: Vec<Point> = line.points.iter().map(place).collect();
        sound &= sound_points && outline::steps(report, &at, &places);
    }
    sound
}

/// Warns of breaklines that cross at different heights.
fn lines_meet(report: &mut Report, lines: &[Breakline]) {
    let root = ROOT.key("breaklines");
    let most = limits::BREAKLINE_MEETINGS;
    let (found, more) = meetings(lines, most);
    if more {
        let value = format_args!("lines that meet at more than {most} places");
        report.error(&root, value, "each edge of the ground once");
        return;
    }
    let is_a_shot_of_both = |meeting: &Meeting| {
        let at_an_end = |share: f64| share == 0.0 || share == 1.0;
        meeting.shares.into_iter().all(at_an_end)
    };
    for meeting in found.iter().filter(|meeting| !is_a_shot_of_both(meeting)) {
        let [height, other_height] = meeting.heights;
        let [piece, other] = meeting.pieces;
        if (height - other_height).abs() > SAME_HEIGHT {
            report.warn(
                &root.item(other.line).key("points").item(other.from),
                format_args!(
                    "followed by a piece that has a height of {:.3} m where the one from \
                     breaklines[{}].points[{}] has {:.3} m; their mean is taken",
                    other_height.0, piece.line, piece.from, height.0
                ),
                "one height for one place",
            );
        }
    }
}

fn across(report: &mut Report, places: &[Point]) {
    if let Some(extent) = Extent::of(places)
        && extent.across() > limits::ACROSS
    {
        report.error(
            &ROOT.key("spot_levels"),
            format_args!("a survey {:.0} m across", extent.across()),
            format_args!("at most {} m", limits::ACROSS),
        );
    }
}

/// Where in the file a shot stands.
#[derive(Clone, Copy)]
enum Source {
    Spot(usize),
    OnLine(usize, usize),
}

impl fmt::Display for Source {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Source::Spot(index) => ROOT.key("spot_levels").item(*index).fmt(out),
            Source::OnLine(line, point) => {
                let lines = ROOT.key("breaklines");
                lines.item(*line).key("points").item(*point).fmt(out)
            }
        }
    }
}

/// Warns of places that were shot twice with different heights.
fn shot_twice(report: &mut Report, shots: &[(Source, &SpotLevel)]) {
    let heights = shots
        .iter()
        .map(|(_, spot)| (place(spot), spot.elevation.0));
    for (twin, first) in twins(heights, SAME_PLACE, SAME_HEIGHT) {
        if let (Some((source, spot)), Some((first, other))) = (shots.get(twin), shots.get(first)) {
            report.warn(
                source,
                format_args!(
                    "a height of {:.3} m where {first} has {:.3} m",
                    spot.elevation.0, other.elevation.0
                ),
                "one height for one place",
            );
        }
    }
}

/// Warns of pieces of breaklines that the surface could not take: those that cross another one
/// closer to its points than places can be told apart.
pub(in crate::site) fn surface(ground: &Ground) -> Vec<Fault> {
    let mut report = Report::default();
    for [from, to] in ground.pieces_left_out() {
        report.warn(
            &ROOT.key("breaklines"),
            format_args!(
                "edges that all but touch: the ground runs on across the one from ({:.3}, {:.3}) \
                 to ({:.3}, {:.3})",
                from.x, from.y, to.x, to.y
            ),
            "edges that share a point or keep a millimetre apart",
        );
    }
    report.finish().unwrap_or_else(|faults| faults.0)
}

fn place(spot: &SpotLevel) -> Point {
    Point::new(spot.x, spot.y)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::Elevation;
    use crate::site::BreaklineKind;
    use crate::site::check::report::Fault;

    fn warnings(spots: &[(f64, f64, f64)]) -> Vec<String> {
        let spot =
            |&(x, y, elevation): &(f64, f64, f64)| SpotLevel::new(x, y, Elevation(elevation));
        let spots: Vec<SpotLevel> = spots.iter().map(spot).collect();
        let mut report = Report::default();
        check(&mut report, &spots, &[]);
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

    fn breakline(id: &str, points: &[(f64, f64, f64)]) -> Breakline {
        Breakline {
            id: id.to_owned(),
            name: String::new(),
            kind: BreaklineKind::Ditch,
            points: points
                .iter()
                .map(|&(x, y, z)| SpotLevel::new(x, y, Elevation(z)))
                .collect(),
        }
    }

    fn faults(spots: &[SpotLevel], lines: &[Breakline]) -> Vec<String> {
        let mut report = Report::default();
        check(&mut report, spots, lines);
        let found = report.finish().unwrap_or_else(|faults| faults.0);
        found.iter().map(Fault::to_string).collect()
    }

    #[test]
    fn breaklines_that_cross_at_one_height_are_sound_and_at_two_are_named() {
        let spots = [SpotLevel::new(0.0, 0.0, Elevation(5.0))];
        let ditch = breakline("ditch", &[(0.0, 2.0, 5.0), (8.0, 2.0, 5.4)]);
        let level = breakline("kerb", &[(4.0, 0.0, 5.2), (4.0, 4.0, 5.2)]);
        assert_eq!(faults(&spots, &[ditch.clone(), level]), [""; 0]);
        let high = breakline(
            "kerb",
            &[(4.0, -4.0, 6.0), (4.0, 0.0, 6.0), (4.0, 4.0, 6.0)],
        );
        assert_eq!(
            faults(&spots, &[ditch, high]),
            [
                "warning: breaklines[1].points[1]: is followed by a piece that has a height of \
                 6.000 m where the one from breaklines[0].points[0] has 5.200 m; their mean is \
                 taken; expected one height for one place"
            ]
        );
    }

    #[test]
    fn a_breakline_beside_a_spot_level_of_another_height_is_named() {
        let spots = [SpotLevel::new(3.0, 3.0, Elevation(5.0))];
        let kerb = breakline("kerb", &[(0.0, 0.0, 5.0), (3.0, 3.0, 5.2)]);
        let found = faults(&spots, &[kerb]);
        assert_eq!(found.len(), 1);
        assert!(found[0].starts_with("warning: breaklines[0].points[1]: is a height of 5.200 m"));
        assert!(
            found[0].contains("where spot_levels[0] has 5.000 m"),
            "{found:?}"
        );
    }

    #[test]
    fn breaklines_that_make_no_sense_are_refused_with_their_place() {
        let mut spots = [SpotLevel::new(0.0, 0.0, Elevation(5.0))];
        spots[0].error = Some(-0.1);
        let one = breakline("a", &[(0.0, 0.0, 5.0)]);
        let still = breakline("a", &[(0.0, 0.0, 5.0), (0.0, 0.0, 5.0)]);
        let wild = breakline("c", &[(0.0, f64::NAN, 5.0), (1.0, 0.0, 1e9)]);
        assert_eq!(
            faults(&spots, &[one, still, wild]),
            [
                "spot_levels[0].error: is -0.1; expected a standard error in metres from 0 to 10",
                "breaklines[0].points: is a list of 1; expected 2 or more points",
                "breaklines[1].id: is \"a\"; expected one that no other breakline has \
                 (breaklines[0].id has it)",
                "breaklines[1].points[1]: is the same place as [0]; expected each place once",
                "breaklines[2].points[0].y: is NaN; expected a coordinate in metres from \
                 -10000000 to 10000000",
                "breaklines[2].points[1].elevation: is 1e9; expected an elevation in metres from \
                 -500 to 9000",
            ]
        );
        let net: Vec<Breakline> = (0..150)
            .flat_map(|i| {
                let at = f64::from(i);
                [
                    breakline(&format!("e{i}"), &[(-1.0, at, 5.0), (200.0, at, 5.0)]),
                    breakline(&format!("n{i}"), &[(at, -1.0, 5.0), (at, 200.0, 5.0)]),
                ]
            })
            .collect();
        spots[0].error = None;
        assert_eq!(
            faults(&spots, &net),
            [
                "breaklines: is lines that meet at more than 10000 places; expected each edge of the \
              ground once"
            ]
        );
    }
}
