//! Building the ground surface, asking it for heights and errors, and contouring it, beside a
//! published triangulator (`delaunator`, which only joins the shots) in the same run.

use std::time::{Duration, Instant};

use divan::{Bencher, black_box};
use tober::Point;
use tober::ground::{Elevation, Ground};
use tober::site::{Breakline, BreaklineKind, SpotLevel};

fn main() {
    side_by_side(100_000);
    divan::main();
}

/// Times both libraries in turn on the same shots, and prints the ratio.
fn side_by_side(shots: u32) {
    let survey = survey(shots);
    let points = points(&survey);
    let time = |work: &dyn Fn()| {
        let start = Instant::now();
        work();
        start.elapsed()
    };
    let mut ours: Vec<Duration> = Vec::new();
    let mut theirs: Vec<Duration> = Vec::new();
    for _ in 0..15 {
        ours.push(time(&|| {
            black_box(Ground::new(&survey).contours(0.25));
        }));
        theirs.push(time(&|| {
            black_box(delaunator::triangulate(&points));
        }));
    }
    ours.sort();
    theirs.sort();
    let (ours, theirs) = (ours[7], theirs[7]);
    let ratio = ours.as_secs_f64() / theirs.as_secs_f64();
    println!(
        "{shots} shots, median of 15: surface with errors and contours {ours:.1?}; triangles alone \
         by delaunator {theirs:.1?}; ratio {ratio:.1}"
    );
}

/// Shots scattered over 200 m × 200 m of rolling ground (the additive-recurrence sequence R2
/// spreads them evenly without a random number generator).
fn survey(shots: u32) -> Vec<SpotLevel> {
    (1..=shots)
        .map(|i| {
            let x = 200.0 * (f64::from(i) * 0.754_877_666_246_692_7).fract();
            let y = 200.0 * (f64::from(i) * 0.569_840_290_998_053_3).fract();
            SpotLevel::new(x, y, rolling(x, y))
        })
        .collect()
}

fn rolling(x: f64, y: f64) -> Elevation {
    Elevation(100.0 + libm::sin(0.05 * x) + libm::cos(0.07 * y))
}

fn points(survey: &[SpotLevel]) -> Vec<delaunator::Point> {
    let point = |shot: &SpotLevel| delaunator::Point {
        x: shot.x,
        y: shot.y,
    };
    survey.iter().map(point).collect()
}

/// A thousand places all over the surface.
fn places() -> Vec<Point> {
    let turned = |shot: &SpotLevel| Point::new(shot.y, shot.x);
    survey(1_000).iter().map(turned).collect()
}

#[divan::bench(args = [40, 1_000, 100_000, 200_000])]
fn build(bencher: Bencher, shots: u32) {
    let survey = survey(shots);
    bencher.bench(|| Ground::new(black_box(&survey)));
}

/// Forty kerbs across the lot, a shot every 2 m.
#[divan::bench(args = [100_000])]
fn build_with_breaklines(bencher: Bencher, shots: u32) {
    let survey = survey(shots);
    let kerb = |line: u32| Breakline {
        id: format!("kerb {line}"),
        name: String::new(),
        kind: BreaklineKind::Kerb,
        points: (0..=100)
            .map(|i| {
                (
                    2.0 * f64::from(i),
                    5.0 * f64::from(line) + 0.013 * f64::from(i),
                )
            })
            .map(|(x, y)| SpotLevel::new(x, y, rolling(x, y)))
            .collect(),
    };
    let kerbs: Vec<Breakline> = (0..40).map(kerb).collect();
    bencher.bench(|| Ground::with_breaklines(black_box(&survey), &kerbs));
}

#[divan::bench(args = [100_000, 200_000])]
fn triangles_alone_by_delaunator(bencher: Bencher, shots: u32) {
    let points = points(&survey(shots));
    bencher.bench(|| delaunator::triangulate(black_box(&points)));
}

#[divan::bench(args = [40, 1_000, 100_000, 200_000])]
fn thousand_heights(bencher: Bencher, shots: u32) {
    let ground = Ground::new(&survey(shots));
    let places = places();
    bencher.bench(|| {
        let known = places.iter().filter(|&&at| ground.height(at).is_some());
        black_box(known.count())
    });
}

#[divan::bench(args = [40, 1_000, 100_000, 200_000])]
fn thousand_heights_and_errors(bencher: Bencher, shots: u32) {
    let ground = Ground::new(&survey(shots));
    let places = places();
    bencher.bench(|| {
        let errors = places.iter().filter_map(|&at| ground.height_and_error(at));
        black_box(errors.map(|(_, error)| error).sum::<f64>())
    });
}

#[divan::bench(args = [40, 1_000, 100_000, 200_000])]
fn contours(bencher: Bencher, shots: u32) {
    let ground = Ground::new(&survey(shots));
    bencher.bench(|| ground.contours(black_box(0.25)));
}

#[divan::bench(args = [40, 1_000, 100_000])]
fn section(bencher: Bencher, shots: u32) {
    let ground = Ground::new(&survey(shots));
    bencher.bench(|| ground.section(Point::new(-5.0, 3.0), Point::new(205.0, 190.0)));
}

/// Eight feet and two wheels.
#[divan::bench(args = [40, 1_000, 100_000])]
fn next_shot(bencher: Bencher, shots: u32) {
    let ground = Ground::new(&survey(shots));
    let feet: Vec<Point> = (0..10)
        .map(|i| Point::new(90.0 + f64::from(i % 5) * 2.0, 80.0 + f64::from(i / 5) * 3.0))
        .collect();
    bencher.bench(|| ground.next_shot(black_box(&feet)));
}
