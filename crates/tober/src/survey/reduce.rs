//! From the field book to elevations, and how far they can be trusted.
//!
//! First as the book is reduced by hand, setup by setup, by the height of instrument:
//!
//! ```text
//!   height of instrument = known elevation + backsight
//!              elevation = height of instrument − reading
//! ```
//!
//! The arithmetic check, ΣBS − ΣFS = last − first, catches slips of the sums, not of the
//! readings. Where a sight falls on a point whose elevation was settled before, the difference is
//! a misclosure; it is judged against the allowance.
//!
//! Then all readings together are adjusted as one net ([`Adjustment`]), every benchmark held.
//! With equal weights that spreads the misclosure of a run evenly over its setups, with weights by
//! distance in proportion to the distance; where ways meet it is the least-squares answer.
//!
//! Source: C. D. Ghilani and P. R. Wolf, *Elementary Surveying*, differential levelling.

use serde::Serialize;

use super::Allowance;
use super::blunder::{self, Suspect};
use super::book::{Column, FieldBook, SpreadBy};
use super::net::{Adjustment, Residual, Rise};
use super::place::{PlaceProblem, key, locate};
use super::sights::{RowProblem, Sight, Sights};
use crate::Point;
use crate::ground::Elevation;
use crate::site::SpotLevel;

/// Standard error of one rod reading where the book does not say, metres: common practice with an
/// automatic level or a laser, over sights of up to 50 m. A setup of two readings is then off by
/// 5 mm once in fifty times.
pub const READING_ERROR: f64 = 0.0015;

/// A standardized residual beyond this is no accident: once in a thousand readings.
///
/// Source: W. Baarda, *A Testing Procedure for Use in Geodetic Networks*, 1968 (memory).
pub const OUTLIER: f64 = 3.29;

/// A field book reduced to elevations.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Reduction {
    /// One for each row of the book.
    pub rows: Vec<ReducedRow>,
    /// What the elevations count from.
    pub datum: Datum,
    /// The arithmetic check.
    pub sums: Sums,
    /// Where a sight fell on a point that was settled before.
    pub closures: Vec<Closure>,
    /// What the closures were judged against.
    pub allowance: Allowance,
    /// How the misclosures were spread: by setups where distances are missing, whatever the book
    /// asks for.
    pub spread_by: SpreadBy,
    /// Readings more than are needed.
    pub redundancy: usize,
    /// How the residuals compare with the error of a reading: 1 when they are as large as it lets
    /// expect. Absent without redundancy.
    pub reference_sd: Option<f64>,
    /// The readings most likely to blame for what does not close, likeliest first.
    pub suspects: Vec<Suspect>,
    /// Readings that nothing checks, and that look like no other of the book.
    pub doubts: Vec<Suspect>,
    /// The points, in the order in which they were first named.
    pub points: Vec<ReducedPoint>,
    /// Places that could not be found, by their place in the book's list.
    pub lost_places: Vec<(usize, PlaceProblem)>,
}

/// What elevations count from.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Datum {
    /// A benchmark of known elevation.
    Benchmark,
    /// A benchmark whose elevation was assumed.
    Assumed,
    /// The highest point of ground that was read, by its name: it is zero. Absent when nothing
    /// was read.
    HighCorner(Option<String>),
}

/// A row of the book with its computed columns.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ReducedRow {
    /// The point's name; empty in a row that says nothing.
    pub point: String,
    /// The backsight, in numbers.
    pub backsight: Option<Sighted>,
    /// The intermediate sight, in numbers.
    pub intermediate: Option<Sighted>,
    /// The foresight, in numbers.
    pub foresight: Option<Sighted>,
    /// The known elevation that holds for the point, in the row that states it.
    pub known: Option<Elevation>,
    /// Height of instrument of the setup that begins here.
    pub instrument: Option<Elevation>,
    /// Elevation by the height of instrument, before any adjustment.
    pub elevation: Option<Elevation>,
    /// Elevation after it.
    pub adjusted: Option<Elevation>,
    /// Standard error of that, metres.
    pub standard_error: Option<f64>,
    /// Reduced less settled elevation, metres, where a sight falls on a settled point.
    pub misclosure: Option<f64>,
    /// What could not be used.
    pub problems: Vec<RowProblem>,
    /// Whether a distance stands here that counts for nothing, since no setup ends in this row.
    pub has_idle_distance: bool,
}

/// A reading in numbers.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Sighted {
    /// Metres; negative on an inverted rod.
    pub reading: f64,
    /// What the adjustment did to it (read less adjusted reading); absent where the setup hangs
    /// in the air.
    pub residual: Option<Residual>,
}

/// The sums at the foot of the page, metres, over the setups that were closed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Sums {
    /// ΣBS
    pub backsights: f64,
    /// ΣFS
    pub foresights: f64,
    /// Last less first elevation, summed over the runs.
    pub rise: f64,
}

impl Sums {
    /// (ΣBS − ΣFS) − (last − first), metres: nothing but rounding when the sums are right.
    pub fn arithmetic_check(&self) -> f64 {
        (self.backsights - self.foresights) - self.rise
    }
}

/// A run or loop that closes.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Closure {
    /// The row whose sight closes it, and the sight's column.
    pub row: usize,
    /// Foresight, or a check in between.
    pub column: Column,
    /// The settled point that the last run began on.
    pub from: String,
    /// The settled point that it closes on.
    pub to: String,
    /// Setups from the one to the other, and from there back to the first by the way that both
    /// were settled on; benchmarks are the same place for this.
    pub setups: usize,
    /// Length of that way, metres; absent where it is not written for every setup.
    pub length: Option<f64>,
    /// Reduced less settled elevation, metres.
    pub misclosure: f64,
    /// How large the misclosure may be, metres; absent where the length is needed and not known.
    pub allowed: Option<f64>,
}

impl Closure {
    /// Whether the misclosure is within its allowance; absent where that is not known.
    pub fn is_within(&self) -> Option<bool> {
        // A nanometre is rounding, not levelling.
        Some(self.misclosure.abs() <= self.allowed? + 1e-9)
    }
}

/// A point with its elevation.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ReducedPoint {
    /// What the crew calls it.
    pub name: String,
    /// Adjusted; absent where no sight leads from a settled point.
    pub elevation: Option<Elevation>,
    /// Standard error of the elevation, metres, against what the elevations count from.
    pub standard_error: Option<f64>,
    /// Where it lies, lot frame; absent where nobody said.
    #[cfg_attr(feature = "schema", schemars(with = "Option<[f64; 2]>"))]
    pub at: Option<Point>,
    /// Whether it was read on an inverted rod: the underside of something, and not ground.
    pub is_overhead: bool,
    /// The last row that reads it.
    pub row: usize,
}

/// Whether a field book can be relied on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[cfg_attr(feature = "schema", schemars(rename = "BookStanding"))]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// Every closure is within its allowance, and every reading was understood.
    Closes,
    /// Nothing checks the readings, an allowance is not known, or a reading is doubtful.
    NotChecked,
    /// A field could not be used; what could be closes, or nothing checks it.
    NotAllUsed,
    /// A misclosure is beyond its allowance, or a reading stands out.
    DoesNotClose,
}

impl FieldBook {
    /// Reduces the book. Whatever cannot be used is named in its row, and the rest is reduced.
    ///
    /// ```
    /// use tober::survey::{BookRow, FieldBook};
    /// use tober::units::LengthStyle::Metres;
    /// let row = |point: &str, backsight: &str, foresight: &str, known: &str| BookRow {
    ///     point: point.into(),
    ///     backsight: backsight.into(),
    ///     foresight: foresight.into(),
    ///     known: known.into(),
    ///     ..BookRow::default()
    /// };
    /// let book = FieldBook::new("loop", Metres, vec![
    ///     row("BM", "1.500", "", "assumed"),
    ///     row("TP", "1.400", "1.200", ""),
    ///     row("BM", "", "1.698", ""),
    /// ]);
    /// let reduced = book.reduce();
    /// assert!((reduced.rows[1].elevation.unwrap().0 - 100.300).abs() < 1e-9);
    /// assert!((reduced.closures[0].misclosure - 0.002).abs() < 1e-9);
    /// ```
    pub fn reduce(&self) -> Reduction {
        let sights = Sights::of(self);
        let carried = Carried::through(&sights);
        let adjusted = Adjusted::all(self, &sights, &carried);

        let mut reduction = Reduction {
            rows: rows(&sights, &carried, &adjusted),
            datum: carried.datum(&sights),
            sums: carried.sums,
            closures: Vec::new(),
            allowance: self.allowance_in_force(&sights),
            spread_by: adjusted.spread_by,
            redundancy: adjusted.net.redundancy,
            reference_sd: adjusted.net.reference_sd,
            suspects: Vec::new(),
            doubts: blunder::doubts(self, &sights.sights, &adjusted.sights()),
            points: points(&sights, &adjusted),
            lost_places: Vec::new(),
        };
        for closed in &carried.closed {
            let closure = closed.closure(&sights, reduction.allowance);
            if let Some(row) = reduction.rows.get_mut(closure.row) {
                row.misclosure = Some(closure.misclosure);
            }
            reduction.closures.push(closure);
        }
        if matches!(reduction.datum, Datum::HighCorner(_)) {
            reduction.set_high_corner_to_zero();
        }
        self.place(&mut reduction);
        let is_suspicious = reduction.worst_closure().is_some()
            || reduction
                .largest_residual()
                .is_some_and(|(.., size)| size > OUTLIER);
        if is_suspicious {
            reduction.suspects = blunder::suspects(self, &sights.sights, &adjusted.sights());
        }
        reduction
    }

    /// An empty book of rows.
    pub fn new(id: &str, units: crate::units::LengthStyle, rows: Vec<super::BookRow>) -> FieldBook {
        FieldBook {
            id: id.to_owned(),
            name: String::new(),
            units,
            allowance: None,
            spread_by: SpreadBy::default(),
            reading_error: None,
            rows,
            places: Vec::new(),
        }
    }

    fn allowance_in_force(&self, sights: &Sights) -> Allowance {
        let mut closed = sights
            .setups
            .iter()
            .filter(|setup| setup.is_closed)
            .peekable();
        let has_distances = closed.peek().is_some() && closed.all(|it| it.distance.is_some());
        self.allowance.unwrap_or(if has_distances {
            Allowance::THIRD_ORDER
        } else {
            Allowance::CONSTRUCTION
        })
    }

    /// Gives the points their places.
    fn place(&self, reduction: &mut Reduction) {
        for (index, place) in locate(&self.places).into_iter().enumerate() {
            let name = self.places.get(index).map(|it| key(&it.point));
            let point = (reduction.points.iter_mut()).find(|it| Some(key(&it.name)) == name);
            match (place, point) {
                (Ok(at), Some(point)) => point.at = point.at.or(Some(at)),
                (Ok(_), None) => {}
                (Err(problem), _) => reduction.lost_places.push((index, problem)),
            }
        }
    }
}

impl Reduction {
    /// Whether the book can be relied on.
    pub fn standing(&self) -> Standing {
        let within: Vec<Option<bool>> = self.closures.iter().map(Closure::is_within).collect();
        let has_problem = self.rows.iter().any(|row| !row.problems.is_empty());
        if within.contains(&Some(false)) || !self.suspects.is_empty() {
            Standing::DoesNotClose
        } else if has_problem {
            Standing::NotAllUsed
        } else if within.is_empty() || within.contains(&None) || !self.doubts.is_empty() {
            Standing::NotChecked
        } else {
            Standing::Closes
        }
    }

    /// The closure that is furthest beyond its allowance; absent when none is.
    pub fn worst_closure(&self) -> Option<&Closure> {
        let beyond = |closure: &&Closure| closure.is_within() == Some(false);
        let ratio = |it: &Closure| it.misclosure.abs() / it.allowed.unwrap_or_default();
        let beyond = self.closures.iter().filter(beyond);
        beyond.max_by(|one, other| ratio(one).total_cmp(&ratio(other)))
    }

    /// The reading whose standardized residual is largest: its row, its column and that residual
    /// without its sign.
    pub fn largest_residual(&self) -> Option<(usize, Column, f64)> {
        let sighted = self.rows.iter().enumerate().flat_map(|(index, row)| {
            [
                (Column::Backsight, row.backsight),
                (Column::Intermediate, row.intermediate),
                (Column::Foresight, row.foresight),
            ]
            .map(|(column, sighted)| (index, column, sighted))
        });
        sighted
            .filter_map(|(index, column, sighted)| {
                Some((index, column, sighted?.residual?.standardized?.abs()))
            })
            .max_by(|one, other| one.2.total_cmp(&other.2))
    }

    /// The points of ground that have both a place and an elevation, as spot levels.
    pub fn spot_levels(&self) -> impl Iterator<Item = SpotLevel> {
        self.points
            .iter()
            .filter(|point| !point.is_overhead)
            .filter_map(|point| {
                let at = point.at?;
                Some(SpotLevel {
                    error: point.standard_error,
                    ..SpotLevel::new(at.x, at.y, point.elevation?)
                })
            })
    }

    fn set_high_corner_to_zero(&mut self) {
        let ground = self.points.iter().filter(|point| !point.is_overhead);
        let high = ground
            .filter_map(|point| Some((point.elevation?, point.name.clone())))
            .max_by(|one, other| one.0.0.total_cmp(&other.0.0));
        let Some((high, name)) = high else {
            return;
        };
        self.datum = Datum::HighCorner(Some(name));
        let lower = |elevation: &mut Option<Elevation>| {
            *elevation = elevation.map(|elevation| Elevation(elevation - high));
        };
        for row in &mut self.rows {
            [&mut row.instrument, &mut row.elevation, &mut row.adjusted]
                .into_iter()
                .for_each(lower);
        }
        for point in &mut self.points {
            lower(&mut point.elevation);
        }
    }
}

/// The book as it is reduced by hand.
struct Carried {
    /// What every point is settled at.
    settled: Vec<Option<Elevation>>,
    /// For every point, how it was settled; absent for benchmarks.
    hops: Vec<Option<Hop>>,
    /// Height of instrument of every setup.
    instruments: Vec<Option<Elevation>>,
    /// Elevation that every sight gives.
    sighted: Vec<Option<Elevation>>,
    closed: Vec<Closed>,
    sums: Sums,
    /// The point that a book without benchmarks counts from.
    reference: Option<usize>,
}

/// A closure in numbers.
struct Closed {
    sight: Sight,
    from: usize,
    way: Way,
    misclosure: f64,
}

/// The setup that settled a point: the point that it started from, and its length.
#[derive(Clone, Copy)]
struct Hop {
    from: usize,
    length: Option<f64>,
}

/// A way over so many setups.
#[derive(Clone, Copy)]
struct Way {
    setups: usize,
    length: Option<f64>,
}

impl Way {
    const NONE: Way = Way {
        setups: 0,
        length: Some(0.0),
    };

    fn and(self, other: Way) -> Way {
        Way {
            setups: self.setups + other.setups,
            length: self
                .length
                .zip(other.length)
                .map(|(one, other)| one + other),
        }
    }
}

/// The way since the last settled point.
#[derive(Clone, Copy)]
struct Run {
    from: usize,
    way: Way,
}

impl Carried {
    fn through(sights: &Sights) -> Carried {
        let mut carried = Carried {
            settled: sights
                .known
                .iter()
                .map(|known| Some(known.as_ref()?.elevation))
                .collect(),
            hops: vec![None; sights.names.len()],
            instruments: vec![None; sights.setups.len()],
            sighted: vec![None; sights.sights.len()],
            closed: Vec::new(),
            sums: Sums::default(),
            reference: None,
        };
        if carried.settled.iter().all(Option::is_none)
            && let Some(first) = sights.sights.first()
            && let Some(settled) = carried.settled.get_mut(first.point)
        {
            *settled = Some(Elevation(0.0));
            carried.reference = Some(first.point);
        }
        // A setup may hang on a point that a later row settles: go through until nothing is new.
        let of_setups: Vec<Vec<(usize, Sight)>> = (0..sights.setups.len())
            .map(|setup| {
                let sights = sights.sights.iter().copied().enumerate();
                sights.filter(|(_, sight)| sight.setup == setup).collect()
            })
            .collect();
        loop {
            let before = carried.instruments.iter().flatten().count();
            let mut run = None;
            for (number, (setup, of_setup)) in sights.setups.iter().zip(&of_setups).enumerate() {
                if matches!(carried.instruments.get(number), Some(None)) {
                    run = carried.setup(number, setup, of_setup, run);
                } else {
                    run = None;
                }
            }
            if carried.instruments.iter().flatten().count() == before {
                return carried;
            }
        }
    }

    fn is_settled(&self, point: usize) -> Option<Elevation> {
        self.settled.get(point).copied().flatten()
    }

    /// Reduces one setup; gives the run that goes on from it.
    fn setup(
        &mut self,
        number: usize,
        setup: &super::sights::Setup,
        sights: &[(usize, Sight)],
        run: Option<Run>,
    ) -> Option<Run> {
        // The backsight stands first.
        let (held, (elevation, reference)) = (sights.iter())
            .find_map(|(_, sight)| Some((sight, (self.is_settled(sight.point)?, sight.row))))?;
        let instrument = elevation + held.reading;
        if let Some(slot) = self.instruments.get_mut(number) {
            *slot = Some(instrument);
        }
        let mut run = match run {
            Some(run) if setup.goes_on => run,
            _ => Run {
                from: held.point,
                way: Way::NONE,
            },
        };
        run.way = run.way.and(Way {
            setups: 1,
            length: setup.distance,
        });

        // A setup of which one of the two could not be used has no part in the sums.
        let reads = |column: Column| sights.iter().any(|(_, sight)| sight.column == column);
        let is_summed = reads(Column::Backsight) && reads(Column::Foresight);
        let mut ended = false;
        for (index, sight) in sights {
            let sighted = instrument - sight.reading;
            if let Some(slot) = self.sighted.get_mut(*index) {
                *slot = Some(sighted);
            }
            let is_held = sight.row == reference && sight.column == held.column;
            match self.is_settled(sight.point) {
                Some(settled) if !is_held => {
                    self.closed.push(Closed {
                        sight: *sight,
                        from: run.from,
                        way: run.way.and(self.way_between(run.from, sight.point)),
                        misclosure: sighted - settled,
                    });
                    ended |= sight.column == Column::Foresight;
                }
                Some(_) => {}
                None => {
                    if let Some(slot) = self.settled.get_mut(sight.point) {
                        *slot = Some(sighted);
                    }
                    if let Some(slot) = self.hops.get_mut(sight.point) {
                        *slot = Some(Hop {
                            from: held.point,
                            length: setup.distance,
                        });
                    }
                }
            }
            match sight.column {
                Column::Backsight if is_summed => {
                    self.sums.backsights += sight.reading;
                    self.sums.rise -= self.is_settled(sight.point).unwrap_or(sighted).0;
                }
                Column::Foresight if is_summed => {
                    self.sums.foresights += sight.reading;
                    self.sums.rise += sighted.0;
                }
                _ => {}
            }
        }
        (setup.is_closed && !ended).then_some(run)
    }

    /// The points that a point was settled over, from itself back to a benchmark, each with the
    /// way so far. A point is settled only from one settled before, so that this comes to an end.
    fn back(&self, point: usize) -> impl Iterator<Item = (usize, Way)> {
        std::iter::successors(Some((point, Way::NONE)), |(point, way)| {
            let hop = self.hops.get(*point).copied().flatten()?;
            let step = Way {
                setups: 1,
                length: hop.length,
            };
            Some((hop.from, way.and(step)))
        })
    }

    /// The way by which two settled points hang together.
    fn way_between(&self, one: usize, other: usize) -> Way {
        let of_one: Vec<(usize, Way)> = self.back(one).collect();
        let mut whole = Way::NONE;
        for (point, way) in self.back(other) {
            let meets = of_one.iter().find(|(met, _)| *met == point);
            if let Some((_, way_of_one)) = meets {
                return way.and(*way_of_one);
            }
            whole = way;
        }
        // Two benchmarks.
        of_one.last().map_or(whole, |(_, way)| whole.and(*way))
    }

    fn datum(&self, sights: &Sights) -> Datum {
        let known: Vec<bool> = sights.known.iter().flatten().map(|it| it.assumed).collect();
        match known.as_slice() {
            [] => Datum::HighCorner(None),
            all if all.iter().all(|assumed| *assumed) => Datum::Assumed,
            _ => Datum::Benchmark,
        }
    }
}

impl Closed {
    fn closure(&self, sights: &Sights, allowance: Allowance) -> Closure {
        let name = |point: usize| sights.names.get(point).cloned().unwrap_or_default();
        Closure {
            row: self.sight.row,
            column: self.sight.column,
            from: name(self.from),
            to: name(self.sight.point),
            setups: self.way.setups,
            length: self.way.length,
            misclosure: self.misclosure,
            allowed: allowance.over(self.way.setups, self.way.length),
        }
    }
}

/// The book adjusted as one net: the points, and then the instruments.
struct Adjusted {
    net: Adjustment,
    spread_by: SpreadBy,
    /// Standard deviation of every sight, metres.
    sds: Vec<f64>,
}

impl Adjusted {
    fn all(book: &FieldBook, sights: &Sights, carried: &Carried) -> Adjusted {
        let spread_by = if lacks_distances(sights) {
            SpreadBy::Setups
        } else {
            book.spread_by
        };
        let distances = sights.setups.iter().filter_map(|setup| setup.distance);
        let mean = distances.clone().sum::<f64>() / distances.count() as f64;
        let reading_error = book.reading_error.unwrap_or(READING_ERROR);
        let sds: Vec<f64> = (sights.sights.iter())
            .map(|sight| match (spread_by, sights.setups.get(sight.setup)) {
                (SpreadBy::Distance, Some(setup)) => {
                    // On the mean setup a reading has the error that the book states.
                    reading_error * (setup.distance.unwrap_or(mean) / mean).sqrt()
                }
                _ => reading_error,
            })
            .collect();

        let points = sights.names.len();
        let rises: Vec<Rise> = (sights.sights.iter().zip(&sds))
            .map(|(sight, sd)| Rise {
                from: points + sight.setup,
                to: sight.point,
                rise: -sight.reading,
                sd: *sd,
            })
            .collect();
        let known = sights.known.iter().enumerate();
        let mut held: Vec<(usize, Elevation)> = known
            .filter_map(|(point, known)| Some((point, known.as_ref()?.elevation)))
            .collect();
        held.extend(carried.reference.map(|point| (point, Elevation(0.0))));
        Adjusted {
            net: Adjustment::new(points + sights.setups.len(), &held, &rises),
            spread_by,
            sds,
        }
    }

    fn elevation(&self, point: usize) -> Option<Elevation> {
        Some(self.net.heights.get(point)?.as_ref()?.elevation)
    }

    /// Standard error of a point. Readings that agree better than their stated error do not
    /// become better for it; readings that agree worse do become worse.
    fn standard_error(&self, point: usize) -> Option<f64> {
        let stated = self.net.heights.get(point)?.as_ref()?.standard_error;
        Some(stated * self.net.reference_sd.unwrap_or(1.0).max(1.0))
    }

    /// The residual of every reading (read less adjusted reading) and its standard deviation.
    fn sights(&self) -> Vec<Option<(Residual, f64)>> {
        let residuals = self.net.residuals.iter().zip(&self.sds);
        residuals
            .map(|(residual, sd)| Some((of_reading((*residual)?), *sd)))
            .collect()
    }
}

/// A rise is the reading with the other sign, and so is its residual.
fn of_reading(of_rise: Residual) -> Residual {
    Residual {
        residual: -of_rise.residual,
        standardized: of_rise.standardized.map(|size| -size),
        ..of_rise
    }
}

fn lacks_distances(sights: &Sights) -> bool {
    let mut closed = sights
        .setups
        .iter()
        .filter(|setup| setup.is_closed)
        .peekable();
    closed.peek().is_none() || closed.any(|setup| setup.distance.is_none())
}

fn rows(sights: &Sights, carried: &Carried, adjusted: &Adjusted) -> Vec<ReducedRow> {
    let residuals = adjusted.sights();
    let mut rows: Vec<ReducedRow> = (sights.row_points.iter())
        .zip(&sights.row_problems)
        .zip(&sights.has_idle_distance)
        .map(|((point, problems), has_idle_distance)| {
            let name = point.and_then(|point| sights.names.get(point));
            ReducedRow {
                point: name.cloned().unwrap_or_default(),
                backsight: None,
                intermediate: None,
                foresight: None,
                known: None,
                instrument: None,
                elevation: point.and_then(|point| carried.is_settled(point)),
                adjusted: point.and_then(|point| adjusted.elevation(point)),
                standard_error: point.and_then(|point| adjusted.standard_error(point)),
                misclosure: None,
                problems: problems.clone(),
                has_idle_distance: *has_idle_distance,
            }
        })
        .collect();
    let mut is_stated = vec![false; sights.known.len()];
    for (row, point) in rows.iter_mut().zip(&sights.row_points) {
        if let Some(point) = *point
            && let (Some(Some(known)), Some(is_stated @ false)) =
                (sights.known.get(point), is_stated.get_mut(point))
        {
            row.known = Some(known.elevation);
            *is_stated = true;
        }
    }
    for (index, sight) in sights.sights.iter().enumerate() {
        let Some(row) = rows.get_mut(sight.row) else {
            continue;
        };
        let residual = residuals.get(index).copied().flatten();
        let sighted = Some(Sighted {
            reading: sight.reading,
            residual: residual.map(|(residual, _)| residual),
        });
        match sight.column {
            Column::Backsight => {
                row.backsight = sighted;
                row.instrument = carried.instruments.get(sight.setup).copied().flatten();
            }
            Column::Foresight => row.foresight = sighted,
            _ => row.intermediate = sighted,
        }
        if sight.column != Column::Backsight {
            row.elevation = carried.sighted.get(index).copied().flatten();
        }
    }
    rows
}

fn points(sights: &Sights, adjusted: &Adjusted) -> Vec<ReducedPoint> {
    let names = sights.names.iter().enumerate();
    names
        .map(|(number, name)| {
            let mut readings = sights.sights.iter().filter(|sight| sight.point == number);
            let row = sights
                .row_points
                .iter()
                .rposition(|point| *point == Some(number));
            ReducedPoint {
                name: name.clone(),
                elevation: adjusted.elevation(number),
                standard_error: adjusted.standard_error(number),
                at: None,
                is_overhead: readings.any(|sight| sight.reading < 0.0),
                row: row.unwrap_or_default(),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests;
