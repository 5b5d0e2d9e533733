//! Thousands of synthetic field books with one planted blunder each: is it found, and is it named?
//!
//! A level goes round a lot of up to 4 % fall with bumps in it. Rods are read with an error and
//! rounded as they are written; then one back or fore sight is spoilt in one of the ways in which
//! people spoil them. A *hit* is the right reading with the right value: as the first that is
//! named, or among the first three. In a single run nothing but digits and neighbours tells
//! readings apart, so that some of it is luck; in a net the residuals point.

use tober::survey::{BookRow, Column, FieldBook, LONGEST_ROD, parse_reading};
use tober::units::LengthStyle;

/// A small generator of the linear congruential kind (Knuth's MMIX), so that every run of the
/// test plants the same blunders.
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.next()
    }

    fn below(&mut self, count: usize) -> usize {
        (self.next() * count as f64) as usize
    }

    /// About normal, of standard deviation 1.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.next()).sum::<f64>() - 6.0
    }
}

/// A lot: a plane with two waves on it.
struct Lot {
    slope: [f64; 2],
    wave: [f64; 2],
    height: f64,
}

impl Lot {
    fn new(chance: &mut Chance) -> Lot {
        Lot {
            slope: [chance.between(-0.03, 0.03), chance.between(-0.03, 0.03)],
            wave: [chance.between(0.03, 0.2), chance.between(0.03, 0.2)],
            height: chance.between(0.0, 0.2),
        }
    }

    fn elevation(&self, [x, y]: [f64; 2]) -> f64 {
        50.0 + self.slope[0] * x
            + self.slope[1] * y
            + self.height * (libm::sin(self.wave[0] * x) + libm::sin(self.wave[1] * y))
    }
}

/// The true reading of every sight that is written, beside the book.
struct Levelled {
    book: FieldBook,
    truth: Vec<(usize, Column, f64)>,
}

fn write(reading: f64, units: LengthStyle) -> String {
    let printed = units.format(reading);
    // As people write it: decimals without their unit.
    match units {
        LengthStyle::Metres | LengthStyle::DecimalFeet => {
            printed.split(' ').next().unwrap_or_default().to_owned()
        }
        _ => printed,
    }
}

impl Levelled {
    fn new(units: LengthStyle) -> Levelled {
        Levelled {
            book: FieldBook::new("synthetic", units, Vec::new()),
            truth: Vec::new(),
        }
    }

    fn sight(&mut self, row: usize, column: Column, truth: f64, chance: &mut Chance) {
        let read = truth + 0.0012 * chance.normal();
        let text = write(read, self.book.units);
        let Some(cells) = self.book.rows.get_mut(row) else {
            return;
        };
        match column {
            Column::Backsight => cells.backsight = text,
            Column::Foresight => cells.foresight = text,
            _ => cells.intermediate = text,
        }
        self.truth.push((row, column, truth));
    }

    fn row(&mut self, point: &str) -> usize {
        self.book.rows.push(BookRow {
            point: point.to_owned(),
            ..BookRow::default()
        });
        self.book.rows.len() - 1
    }

    /// Levels from point to point, one setup each, with shots in between.
    fn run(&mut self, way: &[(String, [f64; 2])], lot: &Lot, chance: &mut Chance) {
        let Some((first, _)) = way.first() else {
            return;
        };
        let mut row = self.row(first);
        for pair in way.windows(2) {
            let [(_, behind), (name, ahead)] = pair else {
                continue;
            };
            let middle =
                [0, 1].map(|i| f64::midpoint(behind[i], ahead[i]) + chance.between(-4.0, 4.0));
            let instrument = lot.elevation(middle) + chance.between(1.35, 1.6);
            self.sight(
                row,
                Column::Backsight,
                instrument - lot.elevation(*behind),
                chance,
            );
            for _ in 0..chance.below(3) {
                let place = middle.map(|at| at + chance.between(-15.0, 15.0));
                let between = self.row(&format!("shot {}", self.book.rows.len()));
                self.sight(
                    between,
                    Column::Intermediate,
                    instrument - lot.elevation(place),
                    chance,
                );
            }
            row = self.row(name);
            self.sight(
                row,
                Column::Foresight,
                instrument - lot.elevation(*ahead),
                chance,
            );
        }
    }

    /// Whether every rod could have been read.
    fn is_level_ground(&self) -> bool {
        self.truth
            .iter()
            .all(|(.., reading)| (0.1..4.5).contains(reading))
    }
}

/// Stations round the lot.
fn ring(count: usize) -> Vec<(String, [f64; 2])> {
    let radius = 35.0 * count as f64 / std::f64::consts::TAU;
    (0..count)
        .map(|station| {
            let turn = std::f64::consts::TAU * station as f64 / count as f64;
            (
                format!("P{station}"),
                [radius * libm::cos(turn), radius * libm::sin(turn)],
            )
        })
        .collect()
}

/// A loop of 3 to 10 setups, from the benchmark back to it.
fn levelled_loop(units: LengthStyle, chance: &mut Chance) -> Levelled {
    let lot = Lot::new(chance);
    let mut way = ring(3 + chance.below(8));
    way.extend(way.first().cloned());
    let mut levelled = Levelled::new(units);
    levelled.run(&way, &lot, chance);
    levelled.book.rows[0].known = "assumed".to_owned();
    levelled
}

/// A loop of 6 to 9 setups with two ways across.
fn net(units: LengthStyle, chance: &mut Chance) -> Levelled {
    let lot = Lot::new(chance);
    let count = 6 + chance.below(4);
    let stations = ring(count);
    let mut way = stations.clone();
    way.extend(stations.first().cloned());
    let mut levelled = Levelled::new(units);
    levelled.run(&way, &lot, chance);
    for (from, to, name) in [(1, 1 + count / 2, "X"), (2, 2 + count / 2, "Y")] {
        let [(_, a), (_, b)] = [&stations[from], &stations[to]];
        let middle = [0, 1].map(|i| f64::midpoint(a[i], b[i]));
        let across = [
            stations[from].clone(),
            (name.to_owned(), middle),
            stations[to].clone(),
        ];
        levelled.run(&across, &lot, chance);
    }
    levelled.book.rows[0].known = "assumed".to_owned();
    levelled
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Planted {
    /// A whole foot, or a whole metre.
    Whole,
    /// 100 mm, a tenth of a foot or an inch.
    Part,
    Transposed,
    WrongUnit,
    FeetAndInches,
    Inverted,
}

const KINDS: [Planted; 6] = [
    Planted::Whole,
    Planted::Part,
    Planted::Transposed,
    Planted::WrongUnit,
    Planted::FeetAndInches,
    Planted::Inverted,
];

/// What is written when a slip is made on a true reading; nothing when it cannot be made there.
fn spoilt(kind: Planted, text: &str, units: LengthStyle, chance: &mut Chance) -> Option<String> {
    let reading = parse_reading(text, units).ok()?;
    let sign = if chance.next() < 0.5 { -1.0 } else { 1.0 };
    let feet = reading / 0.3048;
    let spoilt = match (kind, units) {
        (Planted::Whole, units) => write(
            reading + sign * if units.is_metric() { 1.0 } else { 0.3048 },
            units,
        ),
        (Planted::Part, LengthStyle::Metres) => write(reading + sign * 0.1, units),
        (Planted::Part, LengthStyle::DecimalFeet) => write(reading + sign * 0.03048, units),
        (Planted::Part, _) => write(reading + sign * 0.0254, units),
        (Planted::Transposed, _) => {
            let mut signs: Vec<char> = text.chars().collect();
            let pairs: Vec<usize> = (1..signs.len())
                .filter(|i| signs[*i].is_ascii_digit() && signs[*i - 1].is_ascii_digit())
                .collect();
            let second = *pairs.get(chance.below(pairs.len().max(1)))?;
            signs.swap(second - 1, second);
            signs.into_iter().collect()
        }
        (Planted::WrongUnit, LengthStyle::Metres) => write(reading, LengthStyle::DecimalFeet),
        (Planted::WrongUnit, LengthStyle::DecimalFeet) => write(reading, LengthStyle::Metres),
        (Planted::FeetAndInches, LengthStyle::DecimalFeet) => {
            let inches = ((feet - feet.floor()) * 12.0).round();
            let exact = (feet.floor() + inches / 12.0 - feet).abs() < 0.012;
            let behind = if inches < 10.0 {
                inches / 10.0
            } else {
                inches / 100.0
            };
            (exact && inches < 12.0 && inches != 10.0)
                .then(|| write((feet.floor() + behind) * 0.3048, units))?
        }
        (Planted::Inverted, _) => format!("-{text}"),
        _ => return None,
    };
    let now = parse_reading(&spoilt, units).ok()?;
    let upright = now > 0.0 || kind == Planted::Inverted;
    // What is smaller than this closes, and harms nobody.
    let shows = (now - reading).abs() > 0.024;
    (upright && shows && now.abs() <= LONGEST_ROD).then_some(spoilt)
}

#[derive(Clone, Copy, Debug, Default)]
struct Score {
    planted: usize,
    noticed: usize,
    first: usize,
    first_three: usize,
    /// Books in which the first that is named takes more than nine tenths of the likelihood.
    sure: usize,
    /// Of these, how many name the right one first.
    rightly_sure: usize,
}

impl Score {
    fn add(&mut self, other: Score) {
        self.planted += other.planted;
        self.noticed += other.noticed;
        self.first += other.first;
        self.first_three += other.first_three;
        self.sure += other.sure;
        self.rightly_sure += other.rightly_sure;
    }

    fn share(self, part: usize) -> f64 {
        part as f64 / self.planted.max(1) as f64
    }

    fn line(&self, what: &str) -> String {
        let percent = |part| 100.0 * self.share(part);
        format!(
            "{what:<28} {:5} planted, {:5.1} % noticed, {:5.1} % named first, {:5.1} % among the first \
             three; sure of {:5.1} %, rightly {:5.1} %",
            self.planted,
            percent(self.noticed),
            percent(self.first),
            percent(self.first_three),
            percent(self.sure),
            100.0 * self.rightly_sure as f64 / self.sure.max(1) as f64
        )
    }
}

/// Plants one blunder in a book, and looks for it.
fn look_for_one(mut levelled: Levelled, kind: Planted, chance: &mut Chance) -> Option<Score> {
    if !levelled.is_level_ground() {
        return None;
    }
    let turning: Vec<(usize, Column, f64)> = levelled
        .truth
        .iter()
        .copied()
        .filter(|(_, column, _)| *column != Column::Intermediate)
        .collect();
    let (row, column, truth) = turning[chance.below(turning.len())];
    let units = levelled.book.units;
    let cells = &mut levelled.book.rows[row];
    let cell = if column == Column::Backsight {
        &mut cells.backsight
    } else {
        &mut cells.foresight
    };
    *cell = spoilt(kind, cell, units, chance)?;

    let reduced = levelled.book.reduce();
    let rank = (reduced.suspects.iter())
        .position(|it| it.row == row && it.column == column && (it.reading - truth).abs() < 0.008);
    let out_of_allowance = reduced
        .closures
        .iter()
        .any(|closure| closure.is_within() == Some(false));
    let is_sure = (reduced.suspects.first()).is_some_and(|first| first.likelihood > 0.9);
    Some(Score {
        planted: 1,
        noticed: usize::from(out_of_allowance),
        first: usize::from(rank == Some(0)),
        first_three: usize::from(rank.is_some_and(|rank| rank < 3)),
        sure: usize::from(is_sure),
        rightly_sure: usize::from(is_sure && rank == Some(0)),
    })
}

fn score(level: fn(LengthStyle, &mut Chance) -> Levelled, name: &str, each: usize) -> Score {
    let mut chance = Chance(20_251_125);
    let mut all = Score::default();
    for kind in KINDS {
        let mut of_kind = Score::default();
        for units in [
            LengthStyle::Metres,
            LengthStyle::DecimalFeet,
            LengthStyle::FeetInches8,
        ] {
            let mut left = 20 * each;
            let target = of_kind.planted + each;
            while of_kind.planted < target && left > 0 {
                left -= 1;
                let levelled = level(units, &mut chance);
                if let Some(one) = look_for_one(levelled, kind, &mut chance) {
                    of_kind.add(one);
                }
            }
        }
        println!("{}", of_kind.line(&format!("{name}, {kind:?}")));
        all.add(of_kind);
    }
    println!("{}", all.line(&format!("{name}, all kinds")));
    all
}

#[test]
fn blunders_in_loops() {
    let all = score(levelled_loop, "loop", 300);
    assert!(all.planted > 3_000, "{all:?}");
    assert!(all.share(all.noticed) > 0.99, "{all:?}");
    assert!(all.share(all.first) > 0.60, "{all:?}");
    assert!(all.share(all.first_three) > 0.72, "{all:?}");
    assert!(all.rightly_sure * 100 > all.sure * 95, "{all:?}");
}

#[test]
fn blunders_in_nets() {
    let all = score(net, "net", 300);
    assert!(all.planted > 3_000, "{all:?}");
    assert!(all.share(all.noticed) > 0.99, "{all:?}");
    assert!(all.share(all.first) > 0.72, "{all:?}");
    assert!(all.share(all.first_three) > 0.88, "{all:?}");
    assert!(all.rightly_sure * 100 > all.sure * 95, "{all:?}");
}

#[test]
fn books_without_a_blunder_accuse_nobody() {
    let mut chance = Chance(7);
    let (mut books, mut accused) = (0, 0);
    for round in 0..2_000 {
        let units = [
            LengthStyle::Metres,
            LengthStyle::DecimalFeet,
            LengthStyle::FeetInches8,
        ][round % 3];
        let levelled = if round % 2 == 0 {
            levelled_loop(units, &mut chance)
        } else {
            net(units, &mut chance)
        };
        if levelled.is_level_ground() {
            books += 1;
            accused += usize::from(!levelled.book.reduce().suspects.is_empty());
        }
    }
    println!("{accused} of {books} sound books have a suspect");
    assert!(
        books > 1_500 && accused * 33 < books,
        "{accused} of {books}"
    );
}
