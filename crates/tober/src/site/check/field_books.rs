//! The field books: numbers that make sense, and what does not close.
//!
//! A reading that cannot be understood is a warning: the row is left out, and the book, which may
//! still be under somebody's pencil, is kept.

use super::outline::{Extent, IN_LOT};
use super::places::HEADING;
use super::report::{At, Ids, Quantity, Report, quoted};
use super::survey::{SAME_HEIGHT, SAME_PLACE};
use super::{ROOT, limits};
use crate::Point;
use crate::ground::Elevation;
use crate::site::{SiteFile, SpotLevel};
use crate::survey::twins::twins;
use crate::survey::{
    Allowance, Closure, Column, Datum, FieldBook, ImportedPoints, Place, ReducedPoint, Reduction,
    Tapes,
};

const READING_ERROR: Quantity = Quantity::above_zero("an error in metres", limits::READING_ERROR);
const ALLOWANCE: Quantity = Quantity::above_zero("an allowance in metres", limits::ALLOWANCE);
const ALONG: Quantity = Quantity::from_to("a distance in metres", -limits::ACROSS, limits::ACROSS);
const TAPED: Quantity = Quantity::from_to("a distance in metres", 0.0, limits::ACROSS);
const SPACING: Quantity = Quantity::above_zero("a spacing in metres", limits::ACROSS);

/// Checks the field books, and reduces them when they are sound.
pub(super) fn check(report: &mut Report, file: &SiteFile) -> Vec<Reduction> {
    imported(report, &file.imported_points);
    let books = &file.field_books;
    let at = ROOT.key("field_books");
    let rows = books.iter().map(|book| book.rows.len()).sum();
    let places = books.iter().map(|book| book.places.len()).sum();
    let mut sound = report.list(&at, books.len(), 0, limits::FIELD_BOOKS, "field books")
        && report.list(&at, rows, 0, limits::BOOK_ROWS, "rows of all field books")
        && report.list(
            &at,
            places,
            0,
            limits::BOOK_ROWS,
            "places of all field books",
        );
    if !sound {
        return Vec::new();
    }
    let mut ids = Ids::new("field book");
    for (index, book) in books.iter().enumerate() {
        let at = at.item(index);
        ids.check(report, &at.key("id"), &book.id);
        report.optional_text(&at.key("name"), &book.name);
        sound &= numbers(report, &at, book);
        rows_of(report, &at, book);
        for (index, place) in book.places.iter().enumerate() {
            let places = at.key("places");
            let at = places.item(index);
            report.text(&at.key("point"), &place.point);
            sound &= place_of(report, &at.key("at"), &place.at);
        }
    }
    if !sound {
        return Vec::new();
    }
    let reductions: Vec<Reduction> = books.iter().map(FieldBook::reduce).collect();
    across(report, file, &reductions);
    for (index, (book, reduction)) in books.iter().zip(&reductions).enumerate() {
        outcome(report, &at.item(index), file, book, reduction);
    }
    reductions
}

/// The points join the spot levels, and with them must not reach too far. That the spot levels
/// do so by themselves is told at their own place.
fn across(report: &mut Report, file: &SiteFile, reductions: &[Reduction]) {
    let place = |shot: &SpotLevel| Point::new(shot.x, shot.y);
    let reach = |places: &[Point]| Extent::of(places).map_or(0.0, |extent| extent.across());
    let spots: Vec<Point> = file.spot_levels.iter().map(place).collect();
    let read = reductions.iter().flat_map(Reduction::spot_levels);
    let all: Vec<Point> = spots
        .iter()
        .copied()
        .chain(read.map(|shot| place(&shot)))
        .collect();
    let across = reach(&all);
    if across > limits::ACROSS && reach(&spots) <= limits::ACROSS {
        report.error(
            &ROOT.key("field_books"),
            format_args!("a survey {across:.0} m across with the spot levels"),
            format_args!("at most {} m", limits::ACROSS),
        );
        return;
    }
    read_twice(report, file, reductions);
}

/// Warns of points that a field book and a spot level, or two field books, give different
/// heights. Spot levels among themselves are looked at with the spot levels.
fn read_twice(report: &mut Report, file: &SiteFile, reductions: &[Reduction]) {
    let spots = file.spot_levels.len();
    let heights =
        (file.spot_levels.iter()).map(|spot| (Point::new(spot.x, spot.y), spot.elevation));
    let books = ROOT.key("field_books");
    let read: Vec<(usize, &ReducedPoint)> = (reductions.iter().enumerate())
        .filter(|(_, reduction)| !matches!(reduction.datum, Datum::HighCorner(_)))
        .flat_map(|(book, reduction)| reduction.points.iter().map(move |point| (book, point)))
        .filter(|(_, point)| !point.is_overhead && point.at.is_some() && point.elevation.is_some())
        .collect();
    let of_books = read
        .iter()
        .filter_map(|(_, point)| Some((point.at?, point.elevation?)));
    let all: Vec<(Point, Elevation)> = heights.chain(of_books).collect();
    let all_heights = all.iter().map(|(at, height)| (*at, height.0));
    for (twin, first) in twins(all_heights, SAME_PLACE, SAME_HEIGHT) {
        let Some((book, point)) = twin.checked_sub(spots).and_then(|twin| read.get(twin)) else {
            continue;
        };
        let (Some((_, height)), Some((_, other))) = (all.get(twin), all.get(first)) else {
            continue;
        };
        let whose = match first.checked_sub(spots).and_then(|first| read.get(first)) {
            Some((book, point)) => books.item(*book).key("rows").item(point.row).to_string(),
            None => ROOT.key("spot_levels").item(first).to_string(),
        };
        report.warn(
            &books.item(*book).key("rows").item(point.row),
            format_args!(
                "a height of {:.3} m where {whose} has {:.3} m",
                height.0, other.0
            ),
            "one height for one place",
        );
    }
}

fn imported(report: &mut Report, imported: &[ImportedPoints]) {
    let at = ROOT.key("imported_points");
    let most = limits::IMPORTED_FILES;
    if !report.list(&at, imported.len(), 0, most, "imported files") {
        return;
    }
    for (index, file) in imported.iter().enumerate() {
        let at = at.item(index);
        report.text(&at.key("file"), &file.file);
        let at = at.key("origin");
        report.number(&at.item(0), file.origin.x, &IN_LOT);
        report.number(&at.item(1), file.origin.y, &IN_LOT);
    }
}

fn numbers(report: &mut Report, at: &At<'_>, book: &FieldBook) -> bool {
    let error = (book.reading_error)
        .is_none_or(|error| report.number(&at.key("reading_error"), error, &READING_ERROR));
    let at = at.key("allowance");
    let allowance = match book.allowance {
        None => true,
        Some(Allowance::PerRootKm(each)) => report.number(&at.key("per_root_km"), each, &ALLOWANCE),
        Some(Allowance::PerRootSetup(each)) => {
            report.number(&at.key("per_root_setup"), each, &ALLOWANCE)
        }
    };
    error && allowance
}

/// Texts that are no longer than a line; what they say is for the reduction to find out.
fn rows_of(report: &mut Report, at: &At<'_>, book: &FieldBook) {
    let rows = at.key("rows");
    for (index, row) in book.rows.iter().enumerate() {
        let at = rows.item(index);
        report.optional_text(&at.key("point"), &row.point);
        report.optional_text(&at.key("note"), &row.note);
        for column in Column::ALL {
            report.optional_text(&at.key(column.key()), row.text(column));
        }
    }
}

fn place_of(report: &mut Report, at: &At<'_>, place: &Place) -> bool {
    let from = |report: &mut Report, at: &At<'_>, from: Point, heading: f64| {
        let place = at.key("from");
        let x = report.number(&place.item(0), from.x, &IN_LOT);
        let y = report.number(&place.item(1), from.y, &IN_LOT);
        report.number(&at.key("heading"), heading, &HEADING) && x && y
    };
    match place {
        Place::Coordinates(place) => {
            let at = at.key("coordinates");
            let x = report.number(&at.item(0), place.x, &IN_LOT);
            report.number(&at.item(1), place.y, &IN_LOT) && x
        }
        Place::Offset(offset) => {
            let at = at.key("offset");
            let frame = from(report, &at, offset.from, offset.heading);
            let along = report.number(&at.key("along"), offset.along, &ALONG);
            report.number(&at.key("across"), offset.across, &ALONG) && frame && along
        }
        Place::Grid(corner) => {
            let at = at.key("grid");
            let frame = from(report, &at, corner.from, corner.heading);
            report.number(&at.key("spacing"), corner.spacing, &SPACING) && frame
        }
        Place::Tapes(Tapes { first, second, .. }) => {
            let at = at.key("tapes");
            let (one, other) = (at.key("first"), at.key("second"));
            report.text(&one.key("point"), &first.point);
            report.text(&other.key("point"), &second.point);
            let first = report.number(&one.key("distance"), first.distance, &TAPED);
            report.number(&other.key("distance"), second.distance, &TAPED) && first
        }
    }
}

/// Warns of what could not be used, of what does not close, and of points that stay out of the
/// ground.
fn outcome(
    report: &mut Report,
    at: &At<'_>,
    file: &SiteFile,
    book: &FieldBook,
    reduction: &Reduction,
) {
    let rows = at.key("rows");
    for (index, (row, written)) in reduction.rows.iter().zip(&book.rows).enumerate() {
        for problem in &row.problems {
            report.warn(
                &rows.item(index).key(problem.column.key()),
                quoted(written.text(problem.column)),
                format_args!("a field that can be used: {}", problem.words),
            );
        }
    }
    let places = at.key("places");
    for (index, problem) in &reduction.lost_places {
        report.warn(
            &places.item(*index),
            "measured to no place",
            format_args!("one place: {}", problem.in_words(book.units)),
        );
    }
    let units = book.units;
    let beyond = |closure: &&Closure| closure.is_within() == Some(false);
    for closure in reduction.closures.iter().filter(beyond) {
        let allowed = closure.allowed.unwrap_or_default();
        report.warn(
            &rows.item(closure.row),
            format_args!(
                "{} off, closing on {}",
                units.format(closure.misclosure),
                quoted(&closure.to)
            ),
            format_args!(
                "at most {}; suspects: tober survey",
                units.format_down(allowed)
            ),
        );
    }
    let has_points = reduction.spot_levels().next().is_some();
    if has_points && matches!(reduction.datum, Datum::HighCorner(_)) && !file.stands_alone() {
        report.warn(
            &rows,
            "levelled without a benchmark",
            "a known elevation: heights of their own cannot join the spot levels",
        );
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use crate::Point;
    use crate::site::{Fault, Site};

    const GREEN: &str = include_str!("../../../../../sample-sites/village-green.json");

    /// The sample green with a field book: a loop that closes, and a point with a place.
    fn green() -> Value {
        let mut tree: Value = serde_json::from_str(GREEN).unwrap();
        tree["field_books"] = json!([{
            "id": "tuesday",
            "units": "metres",
            "rows": [
                { "point": "BM", "backsight": "1.500", "known": "31.2" },
                { "point": "post", "intermediate": "1.250" },
                { "point": "BM", "foresight": "1.501" },
            ],
            "places": [
                { "point": "post", "at": { "coordinates": [30.0, 20.0] } },
                { "point": "A", "at": { "offset": { "from": [0, 0], "heading": 0, "along": 1, "across": 2 } } },
                { "point": "B", "at": { "grid": { "from": [0, 0], "heading": 0, "spacing": 5, "along": 1, "across": 0 } } },
                { "point": "C", "at": { "tapes": {
                    "first": { "point": "A", "distance": 4 },
                    "second": { "point": "B", "distance": 4 },
                    "side": "left",
                } } },
            ],
        }]);
        tree["imported_points"] = json!([
            { "file": "office.csv", "unit": "us_survey_feet", "order": "easting_first", "origin": [0, 0] },
        ]);
        tree
    }

    fn read(tree: &Value) -> Result<Site, Vec<String>> {
        let lines = |faults: &[Fault]| faults.iter().map(Fault::to_string).collect();
        Site::read(&tree.to_string()).map_err(|error| lines(error.faults()))
    }

    fn warnings(tree: &Value) -> Vec<String> {
        read(tree)
            .unwrap()
            .warnings()
            .iter()
            .map(Fault::to_string)
            .collect()
    }

    #[test]
    fn a_point_of_a_field_book_is_ground() {
        let site = read(&green()).unwrap();
        assert_eq!(site.warnings(), []);
        let height = site.ground().height(Point::new(30.0, 20.0)).unwrap();
        assert!((height.0 - 31.4505).abs() < 1e-9, "{height:?}");
        let written: Value = serde_json::from_str(&site.to_json()).unwrap();
        assert_eq!(
            Site::read(&written.to_string()).unwrap().file(),
            site.file()
        );
        assert_eq!(site.reductions().len(), 1);
    }

    #[test]
    fn two_heights_of_one_place_are_named() {
        let mut tree = green();
        tree["spot_levels"][0] = json!({ "x": 30.0, "y": 20.004, "elevation": 31.5 });
        assert_eq!(
            warnings(&tree),
            [
                "warning: field_books[0].rows[1]: is a height of 31.450 m where spot_levels[0] has \
                 31.500 m; expected one height for one place"
            ]
        );
        // Heights of its own high corner do not join the ground, and contradict nothing.
        tree["field_books"][0]["rows"][0]["known"] = json!("");
        assert!(warnings(&tree).iter().all(|it| !it.contains("one place")));
    }

    #[test]
    fn a_book_without_a_benchmark_stands_alone_or_stays_out() {
        let mut tree = green();
        tree["field_books"][0]["rows"][0]["known"] = json!("");
        let said = warnings(&tree);
        assert!(
            said[0].starts_with("warning: field_books[0].rows: is levelled without a benchmark"),
            "{said:?}"
        );
        let site = read(&tree).unwrap();
        assert_eq!(site.shots().len(), site.file().spot_levels.len());

        tree["spot_levels"] = json!([]);
        let alone = read(&tree).unwrap();
        assert_eq!(alone.shots().len(), 1);
        assert!(
            alone
                .warnings()
                .iter()
                .all(|it| !it.path.starts_with("field_books"))
        );
        tree["field_books"] = json!([]);
        // Nobody has levelled yet.
        let unlevelled = read(&tree).unwrap();
        assert!(unlevelled.shots().is_empty());
        let said = warnings(&tree);
        assert!(
            said[0].starts_with("warning: spot_levels: is empty; expected spot levels or a field"),
            "{said:?}"
        );
    }

    #[test]
    fn what_cannot_be_used_is_a_warning_in_its_row() {
        let mut tree = green();
        let book = &mut tree["field_books"][0];
        book["rows"][1]["intermediate"] = json!("5' 13\"");
        book["rows"][2]["foresight"] = json!("1.601");
        book["places"][3]["at"]["tapes"]["side"] = Value::Null;
        let said = warnings(&tree);
        let starts = [
            "warning: field_books[0].rows[1].intermediate: is \"5' 13\\\"\"; expected a field that can be used: ",
            "warning: field_books[0].places[3]: is measured to no place; expected one place: the tapes cross twice",
            "warning: field_books[0].rows[2]: is -0.101 m off, closing on \"BM\"; expected at most 0.005 m",
        ];
        assert_eq!(said.len(), starts.len(), "{said:?}");
        for (said, start) in said.iter().zip(starts) {
            assert!(said.starts_with(start), "{said}");
        }
    }

    #[test]
    fn numbers_that_make_no_sense_are_faults() {
        for (place, value, line) in [
            (
                "/reading_error",
                json!(0),
                "reading_error: is 0; expected an error in metres, more than 0 and at most 0.1",
            ),
            (
                "/allowance",
                json!({ "per_root_km": -1 }),
                "allowance.per_root_km: is -1; expected an allowance in metres, more than 0 and at most 1",
            ),
            (
                "/places/0/at/coordinates/1",
                json!(1e9),
                "places[0].at.coordinates[1]: is 1e9; expected a coordinate in metres from -10000000 to 10000000",
            ),
            (
                "/places/1/at/offset/across",
                json!(1e9),
                "places[1].at.offset.across: is 1e9; expected a distance in metres from -20000 to 20000",
            ),
            (
                "/places/2/at/grid/spacing",
                json!(-5),
                "places[2].at.grid.spacing: is -5; expected a spacing in metres, more than 0 and at most 20000",
            ),
            (
                "/places/3/at/tapes/first/distance",
                json!(-5),
                "places[3].at.tapes.first.distance: is -5; expected a distance in metres from 0 to 20000",
            ),
            (
                "/rows/0/known",
                json!(31.2),
                "rows[0].known: is 31.2; expected a text in double quotes",
            ),
            (
                "/units",
                json!("cubits"),
                "units: is \"cubits\"; expected one of feet_inches_8, feet_inches_16, decimal_feet, metres, millimetres",
            ),
        ] {
            let mut tree = green();
            let book = tree["field_books"][0].as_object_mut().unwrap();
            book.entry("reading_error").or_insert(json!(0.002));
            book.entry("allowance")
                .or_insert(json!({ "per_root_setup": 0.005 }));
            *tree["field_books"][0].pointer_mut(place).unwrap() = value;
            assert_eq!(
                read(&tree).unwrap_err(),
                [format!("field_books[0].{line}")],
                "{place}"
            );
        }
    }

    #[test]
    fn points_on_another_map_are_refused() {
        let mut tree = green();
        tree["field_books"][0]["places"][0]["at"]["coordinates"] = json!([512_345.0, 20.0]);
        assert_eq!(
            read(&tree).unwrap_err(),
            [
                "field_books: is a survey 512346 m across with the spot levels; expected at most 20000 m"
            ]
        );
    }

    #[test]
    fn too_many_rows_are_refused_before_they_are_reduced() {
        let mut tree = green();
        let row = json!({ "point": "x", "intermediate": "1" });
        tree["field_books"][0]["rows"] = json!(vec![row; 2_001]);
        assert_eq!(
            read(&tree).unwrap_err(),
            ["field_books: is a list of 2001; expected at most 2000 rows of all field books"]
        );
    }
}
