//! Building the ground surface, asking it for heights, and contouring it.

use divan::{Bencher, black_box};
use tober::Point;
use tober::ground::{Elevation, Ground};
use tober::site::SpotLevel;

fn main() {
    divan::main();
}

/// Shots scattered over 200 m × 200 m of rolling ground (the additive-recurrence sequence R2
/// spreads them evenly without a random number generator).
fn survey(shots: u32) -> Vec<SpotLevel> {
    (1..=shots)
        .map(|i| {
            let x = 200.0 * (f64::from(i) * 0.754_877_666_246_692_7).fract();
            let y = 200.0 * (f64::from(i) * 0.569_840_290_998_053_3).fract();
            let elevation = Elevation(100.0 + libm::sin(0.05 * x) + libm::cos(0.07 * y));
            SpotLevel { x, y, elevation }
        })
        .collect()
}

#[divan::bench(args = [40, 1_000, 50_000])]
fn build(bencher: Bencher, shots: u32) {
    let survey = survey(shots);
    bencher.bench(|| Ground::new(black_box(&survey)));
}

/// A thousand heights all over the surface.
#[divan::bench(args = [40, 1_000, 50_000])]
fn thousand_heights(bencher: Bencher, shots: u32) {
    let ground = Ground::new(&survey(shots));
    let places: Vec<Point> = survey(1_000)
        .iter()
        .map(|shot| Point::new(shot.y, shot.x))
        .collect();
    bencher.bench(|| {
        let known = places.iter().filter(|&&at| ground.height(at).is_some());
        black_box(known.count())
    });
}

#[divan::bench(args = [40, 1_000, 50_000])]
fn contours(bencher: Bencher, shots: u32) {
    let ground = Ground::new(&survey(shots));
    bencher.bench(|| ground.contours(black_box(0.25)));
}
