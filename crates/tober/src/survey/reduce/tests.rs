//! Field books against what a hand would get.

use proptest::prelude::*;

use super::*;
use crate::survey::{BookRow, Place, PointPlace};
use crate::units::LengthStyle;

/// Rows of point, backsight, intermediate sight, foresight, known elevation, distance.
fn book(rows: &[[&str; 6]]) -> FieldBook {
    let rows = rows
        .iter()
        .map(|[point, back, between, fore, known, distance]| BookRow {
            point: (*point).to_owned(),
            backsight: (*back).to_owned(),
            intermediate: (*between).to_owned(),
            foresight: (*fore).to_owned(),
            known: (*known).to_owned(),
            distance: (*distance).to_owned(),
            note: String::new(),
        });
    FieldBook::new("book", LengthStyle::Metres, rows.collect())
}

fn adjusted(reduction: &Reduction) -> Vec<f64> {
    let millimetres = |elevation: Elevation| (elevation.0 * 1e6).round() / 1e6;
    reduction
        .rows
        .iter()
        .map(|row| row.adjusted.map_or(f64::NAN, millimetres))
        .collect()
}

fn words(reduction: &Reduction) -> Vec<(usize, &str, &str)> {
    let rows = reduction.rows.iter().enumerate();
    rows.flat_map(|(index, row)| {
        let problems = row.problems.iter();
        problems.map(move |problem| (index, problem.column.key(), problem.words.as_str()))
    })
    .collect()
}

#[test]
fn without_a_benchmark_the_high_corner_is_zero() {
    let reduced = book(&[
        ["FL", "", "1.402", "", "", ""],
        ["FR", "", "1.455", "", "", ""],
        ["BL", "", "1.390", "", "", ""],
        ["eaves", "", "1.000 inv", "", "", ""],
    ])
    .reduce();
    assert_eq!(reduced.datum, Datum::HighCorner(Some("BL".to_owned())));
    // The underside of the eaves is higher, and no ground.
    assert_eq!(adjusted(&reduced), [-0.012, -0.065, 0.0, 2.39]);
    assert_eq!(reduced.standing(), Standing::NotChecked);
    assert!(reduced.points[3].is_overhead);
}

#[test]
fn an_assumed_benchmark_is_a_hundred() {
    for (known, elevation) in [("assumed", 100.0), ("Assumed 50", 50.0), ("12.5", 12.5)] {
        let reduced = book(&[
            ["BM", "1.5", "", "", known, ""],
            ["x", "", "2.0", "", "", ""],
        ])
        .reduce();
        assert_eq!(adjusted(&reduced), [elevation, elevation - 0.5]);
        assert_eq!(reduced.datum == Datum::Assumed, known != "12.5");
    }
}

#[test]
fn an_inverted_rod_reads_what_is_overhead() {
    let reduced = book(&[
        ["BM", "1.500", "", "", "10", ""],
        ["beam", "", "-2.250", "", "", ""],
        ["BM", "", "", "1.500", "", ""],
    ])
    .reduce();
    assert_eq!(adjusted(&reduced)[1], 13.75);
    assert_eq!(reduced.standing(), Standing::Closes);
    assert_eq!(reduced.spot_levels().count(), 0);
}

#[test]
fn a_misclosure_is_spread_by_setups_or_by_distance() {
    let mut loop_book = book(&[
        ["A", "1.000", "", "", "0", ""],
        ["B", "1.000", "", "1.000", "", "30"],
        ["C", "1.000", "", "1.000", "", "60"],
        ["A", "", "", "0.994", "", "90"],
    ]);
    let by_setups = loop_book.reduce();
    assert_eq!(adjusted(&by_setups), [0.0, -0.002, -0.004, 0.0]);
    assert_eq!(by_setups.closures[0].length, Some(180.0));
    assert_eq!(by_setups.allowance, Allowance::THIRD_ORDER);

    loop_book.spread_by = SpreadBy::Distance;
    let by_distance = loop_book.reduce();
    assert_eq!(adjusted(&by_distance), [0.0, -0.001, -0.003, 0.0]);

    // One distance is missing: by setups, and judged by setups.
    loop_book.rows[2].distance.clear();
    let some_missing = loop_book.reduce();
    assert_eq!(some_missing.spread_by, SpreadBy::Setups);
    assert_eq!(some_missing.allowance, Allowance::CONSTRUCTION);
    assert_eq!(adjusted(&some_missing), [0.0, -0.002, -0.004, 0.0]);
}

/// Distances on the first row and on intermediate shots, or a column of chainages, are no part of
/// the run, and no reason not to rely on the book.
#[test]
fn distances_where_no_setup_ends_do_no_harm() {
    let distances = |first: &'static str, between: &'static str| {
        book(&[
            ["A", "1.000", "", "", "0", first],
            ["x", "", "1.200", "", "", between],
            ["B", "1.000", "", "1.000", "", "30"],
            ["A", "", "", "1.001", "", "90"],
        ])
        .reduce()
    };
    let (plain, filled) = (distances("", ""), distances("0", "12.5"));
    assert_eq!(filled.standing(), Standing::Closes);
    assert_eq!(filled.closures, plain.closures);
    assert_eq!(filled.closures[0].length, Some(120.0));
    let idle: Vec<bool> = (filled.rows.iter())
        .map(|row| row.has_idle_distance)
        .collect();
    assert_eq!(idle, [true, true, false, false]);
}

#[test]
fn an_allowance_by_length_is_not_known_without_lengths() {
    let mut loop_book = book(&[
        ["A", "1.000", "", "", "0", ""],
        ["A", "", "", "1.000", "", ""],
    ]);
    loop_book.allowance = Some(Allowance::THIRD_ORDER);
    let reduced = loop_book.reduce();
    assert_eq!(reduced.closures[0].is_within(), None);
    assert_eq!(reduced.standing(), Standing::NotChecked);
}

#[test]
fn errors_grow_away_from_the_benchmark_and_with_the_misclosure() {
    let rows = |last: &'static str| {
        book(&[
            ["A", "1.000", "", "", "0", ""],
            ["B", "1.000", "", "1.000", "", ""],
            ["spur", "", "1.000", "", "", ""],
            ["A", "", "", last, "", ""],
        ])
        .reduce()
    };
    let sound = rows("1.001");
    let error = |reduction: &Reduction, row: usize| reduction.rows[row].standard_error.unwrap();
    // Half way round a loop of four readings of 1.5 mm: √(2 · 2 / 4) readings.
    assert!((error(&sound, 1) - READING_ERROR).abs() < 1e-12);
    assert_eq!(error(&sound, 0), 0.0);
    assert!(error(&sound, 2) > error(&sound, 1));
    // 12 mm where 3 mm are expected: everything is four times as uncertain.
    assert!((error(&rows("1.012"), 1) - 4.0 * READING_ERROR).abs() < 1e-12);
}

#[test]
fn what_cannot_be_used_is_named_in_its_row() {
    let reduced = book(&[
        ["x", "", "", "1.2", "", ""],
        ["BM", "1.5", "", "", "ten", "5"],
        ["y", "", "1.2.3", "", "", ""],
        ["BM2", "", "", "1606", "", ""],
        ["z", "", "1.0", "", "", ""],
        ["", "", "", "", "", ""],
        ["BM3", "", "", "", "4", ""],
        ["BM3", "", "", "", "5", ""],
        ["BM4", "", "", "", "9999", ""],
    ])
    .reduce();
    let found = words(&reduced);
    let places: Vec<(usize, &str)> = found
        .iter()
        .map(|(row, column, _)| (*row, *column))
        .collect();
    assert_eq!(
        places,
        [
            (0, "foresight"),
            (1, "known"),
            (2, "intermediate"),
            (3, "foresight"),
            (4, "intermediate"),
            (7, "known"),
            (8, "known"),
        ]
    );
    assert!(found[3].2.ends_with("1606 mm would fit one"), "{found:?}");
    assert_eq!(reduced.rows[5].point, "");
    assert_eq!(reduced.standing(), Standing::NotAllUsed);
}

#[test]
fn a_setup_may_hang_on_a_point_that_comes_later() {
    let reduced = book(&[
        ["P", "1.000", "", "", "", ""],
        ["Q", "", "", "1.500", "", ""],
        ["BM", "2.000", "", "", "10", ""],
        ["P", "", "", "1.000", "", ""],
    ])
    .reduce();
    assert_eq!(adjusted(&reduced), [11.0, 10.5, 10.0, 11.0]);
    assert_eq!(reduced.rows[1].elevation.map(|it| it.0), Some(10.5));
}

/// A backsight that nobody can read leaves a foresight over: that is no slip of the sums.
#[test]
fn the_arithmetic_holds_where_a_reading_cannot_be_used() {
    let reduced = book(&[
        ["BM", "1.275", "", "", "100", ""],
        ["TP1", "1.4O2", "", "0.780", "", ""],
        ["TP2", "0.967", "", "1.744", "", ""],
        ["BM", "", "", "1.121", "", ""],
    ])
    .reduce();
    assert_eq!(words(&reduced).len(), 1);
    assert!(
        reduced.sums.arithmetic_check().abs() < 1e-9,
        "{:?}",
        reduced.sums
    );
    assert!((reduced.sums.backsights - 2.242).abs() < 1e-9);
}

#[test]
fn a_setup_in_the_air_is_unknown() {
    let reduced = book(&[
        ["BM", "1.0", "", "", "10", ""],
        ["A", "", "", "1.0", "", ""],
        ["lost", "1.0", "", "", "", ""],
        ["B", "", "", "1.0", "", ""],
    ])
    .reduce();
    assert_eq!(reduced.rows[3].elevation, None);
    assert_eq!(reduced.rows[3].adjusted, None);
}

#[test]
fn closures_count_the_whole_way_round() {
    // Out to B and C, then a side loop from B to C: three setups round, not one.
    let reduced = book(&[
        ["BM", "1.0", "", "", "10", ""],
        ["B", "1.0", "", "1.0", "", ""],
        ["C", "1.0", "", "1.0", "", ""],
        ["BM", "", "", "1.0", "", ""],
        ["B", "1.0", "", "", "", ""],
        ["D", "1.0", "", "1.0", "", ""],
        ["C", "", "", "1.0", "", ""],
    ])
    .reduce();
    let ways: Vec<(usize, &str, &str, usize)> = (reduced.closures.iter())
        .map(|it| (it.row, it.from.as_str(), it.to.as_str(), it.setups))
        .collect();
    assert_eq!(ways, [(3, "BM", "BM", 3), (6, "B", "C", 3)]);
    assert_eq!(reduced.redundancy, 2);
}

#[test]
fn a_planted_blunder_is_named_with_what_it_should_have_been() {
    // 2.57 written for 2.75: 180 mm, and no other reading has digits that change places so.
    let reduced = book(&[
        ["BM", "1.35", "", "", "10", ""],
        ["A", "1.44", "", "2.57", "", ""],
        ["B", "2.66", "", "1.11", "", ""],
        ["BM", "", "", "1.59", "", ""],
    ])
    .reduce();
    let suspect = &reduced.suspects[0];
    assert_eq!((suspect.row, suspect.column), (1, Column::Foresight));
    assert_eq!(
        suspect.to_string(),
        "foresight 2.57: two digits changed places? It would have been 2.75"
    );
}

#[test]
fn a_reading_in_the_wrong_unit_is_doubtful_even_where_nothing_checks_it() {
    let mut rows = vec![["BM", "1.512", "", "", "10", ""]];
    for reading in ["1.402", "1.455", "5.02", "1.390", "1.618", "2.105"] {
        rows.push(["foot", "", reading, "", "", ""]);
        rows.last_mut().unwrap()[0] = reading;
    }
    rows.push(["BM", "", "", "1.512", "", ""]);
    let reduced = book(&rows).reduce();
    let rows: Vec<usize> = reduced.doubts.iter().map(|doubt| doubt.row).collect();
    assert_eq!(rows, [3]);
    assert!((reduced.doubts[0].reading - 5.02 * 0.3048).abs() < 1e-9);
    assert_eq!(reduced.standing(), Standing::NotChecked);
    assert_eq!(reduced.suspects, []);
}

#[test]
fn points_with_places_are_spot_levels() {
    let mut levelled = book(&[
        ["BM", "1.0", "", "", "10", ""],
        ["Post", "", "1.25", "", "", ""],
        ["nowhere", "", "1.5", "", "", ""],
    ]);
    let place = |point: &str, x: f64| PointPlace {
        point: point.to_owned(),
        at: Place::Coordinates(Point::new(x, 2.0)),
    };
    levelled.places = vec![
        place("post ", 1.0),
        place("stranger", 3.0),
        place("POST", 9.0),
    ];
    let reduced = levelled.reduce();
    let spots: Vec<SpotLevel> = reduced.spot_levels().collect();
    assert_eq!(spots.len(), 1);
    assert_eq!((spots[0].x, spots[0].elevation), (1.0, Elevation(9.75)));
    assert!((spots[0].error.unwrap() - READING_ERROR * 2f64.sqrt()).abs() < 1e-12);
}

proptest! {
    /// Out and back over the same turning points closes, whatever the ground and the unit.
    #[test]
    fn a_loop_over_true_heights_closes(
        ground in prop::collection::vec(95.0..97.0f64, 2..12),
        sights in prop::collection::vec(97.5..98.5f64, 24),
        units in prop::sample::select(LengthStyle::ALL.to_vec()),
    ) {
        let way: Vec<f64> = ground.iter().chain(ground.iter().rev().skip(1)).copied().collect();
        let mut rows = vec![BookRow::default(); way.len()];
        for (number, (pair, sight)) in way.windows(2).zip(sights).enumerate() {
            rows[number].backsight = format!("{:.6} m", sight - pair[0]);
            rows[number + 1].foresight = format!("{:.6} m", sight - pair[1]);
        }
        for (number, row) in rows.iter_mut().enumerate() {
            row.point = format!("P{}", number.min(way.len() - 1 - number));
        }
        rows[0].known = format!("{:.6} m", ground[0]);
        let reduced = FieldBook::new("loop", units, rows).reduce();
        prop_assert!(reduced.sums.arithmetic_check().abs() < 1e-9);
        for closure in &reduced.closures {
            prop_assert!(closure.misclosure.abs() < 1e-4);
        }
        for (row, truth) in reduced.rows.iter().zip(&way) {
            prop_assert!((row.elevation.unwrap().0 - truth).abs() < 1e-4);
            prop_assert!((row.adjusted.unwrap().0 - truth).abs() < 1e-4);
        }
        prop_assert_eq!(reduced.standing(), Standing::Closes);
    }

    /// In one run between benchmarks the adjustment is the surveyor's rule: the misclosure spread
    /// in proportion to the setups, or to the distance.
    #[test]
    fn one_run_is_adjusted_in_proportion(
        setups in prop::collection::vec((500..2500_u32, 500..2500_u32, 10..90_u32), 1..12),
        misclosure in -0.02..0.02f64,
        by_distance in any::<bool>(),
    ) {
        let mut rows = vec![BookRow { known: "10".to_owned(), point: "BM1".to_owned(), ..BookRow::default() }];
        let mut elevations = vec![10.0];
        for (number, (back, fore, distance)) in setups.iter().enumerate() {
            rows[number].backsight = format!("{back} mm");
            rows.push(BookRow {
                point: format!("TP{number}"),
                foresight: format!("{fore} mm"),
                distance: format!("{distance}"),
                ..BookRow::default()
            });
            elevations.push(elevations[number] + (f64::from(*back) - f64::from(*fore)) / 1000.0);
        }
        let last = elevations[setups.len()];
        rows[setups.len()].known = format!("{:.6}", last - misclosure);
        let mut run = FieldBook::new("run", LengthStyle::Metres, rows);
        if by_distance {
            run.spread_by = SpreadBy::Distance;
        }
        let reduced = run.reduce();
        let parts = setups.iter().map(|(.., distance)| if by_distance { f64::from(*distance) } else { 1.0 });
        let whole: f64 = parts.clone().sum();
        let mut share = 0.0;
        for ((row, elevation), part) in reduced.rows.iter().zip(&elevations).zip(parts.chain([0.0])) {
            let by_hand = elevation - misclosure * share / whole;
            prop_assert!((row.adjusted.unwrap().0 - by_hand).abs() < 1e-6, "{} {by_hand}", row.adjusted.unwrap().0);
            share += part;
        }
    }
}
