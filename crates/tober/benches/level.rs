//! The level plan: of a typical ride, as at every step of a drag; and the worst of ten thousand
//! random rides, grounds and trucks, which is printed first.

use std::time::{Duration, Instant};

use divan::{Bencher, black_box};
use tober::ground::Elevation;
use tober::level::{GroundPoint, GroundUnderRide, LevelPlan, SupportKind};
use tober::ride::{RideProfile, builtin};
use tober::site::{Block, Surface};

const RANDOM: u32 = 10_000;

fn main() {
    worst_of_many();
    divan::main();
}

/// The additive-recurrence sequence of the golden ratio: spreads evenly, and is the same on every
/// run.
struct Spread(f64);

impl Spread {
    fn next(&mut self, low: f64, high: f64) -> f64 {
        self.0 = (self.0 + 0.618_033_988_749_894_9).fract();
        low + (high - low) * self.0
    }
}

/// Ground as a plane with a bump under every support.
fn ground(
    profile: &RideProfile,
    along: f64,
    across: f64,
    mut bump: impl FnMut() -> f64,
) -> GroundUnderRide {
    let jacks = profile
        .jacks
        .iter()
        .map(|it| (SupportKind::Jack, &it.id, it.at));
    let outriggers = profile
        .outriggers
        .iter()
        .map(|it| (SupportKind::Outrigger, &it.id, it.at));
    let wheels = profile
        .wheels
        .iter()
        .map(|it| (SupportKind::Wheel, &it.id, it.at));
    GroundUnderRide {
        points: jacks
            .chain(outriggers)
            .chain(wheels)
            .map(|(kind, id, at)| GroundPoint {
                id: id.clone(),
                kind,
                at,
                elevation: Some(Elevation(10.0 + along * at.x + across * at.y + bump())),
                below_high: None,
                surface: Some(Surface::Grass),
                error: Some(0.005),
            })
            .collect(),
        high_corner: None,
        fall_along: None,
        fall_across: None,
        error_covariance: Vec::new(),
    }
}

/// Eight kinds of block, as on an ordinary truck.
fn truck() -> Vec<Block> {
    let kinds = [
        (0.140, 12),
        (0.089, 12),
        (0.064, 8),
        (0.038, 20),
        (0.025, 12),
        (0.018, 12),
        (0.009, 12),
        (0.003, 16),
    ];
    kinds
        .into_iter()
        .zip(0..)
        .map(|((thickness, count), index)| Block {
            id: format!("kind {index}"),
            thickness,
            length: 0.6,
            width: 0.24,
            count,
        })
        .collect()
}

#[divan::bench]
fn typical(bencher: Bencher) {
    let profile = &builtin()[0];
    let mut spread = Spread(0.5);
    let ground = ground(profile, 0.015, -0.02, || spread.next(-0.02, 0.02));
    let blocks = truck();
    bencher.bench(|| LevelPlan::new(profile, black_box(&ground), &blocks));
}

/// Too few blocks: every way must be looked at.
#[divan::bench]
fn impossible(bencher: Bencher) {
    let profile = &builtin()[0];
    let mut spread = Spread(0.5);
    let ground = ground(profile, 0.015, -0.02, || spread.next(-0.02, 0.02));
    let mut blocks = truck();
    for block in &mut blocks {
        block.count = 1;
    }
    bencher.bench(|| LevelPlan::new(profile, black_box(&ground), &blocks));
}

fn worst_of_many() {
    let mut spread = Spread(0.1);
    let (mut worst, mut all, mut unproven) = (Duration::ZERO, Duration::ZERO, 0);
    for index in 0..RANDOM {
        let profile = &builtin()[index as usize % builtin().len()];
        let (along, across) = (spread.next(-0.04, 0.04), spread.next(-0.04, 0.04));
        let rough = spread.next(0.0, 0.05);
        let mut bumps = Spread(f64::from(index) * 0.754_877_666);
        let ground = ground(profile, along, across, || bumps.next(-rough, rough));
        let kinds = spread.next(1.0, 9.0) as usize;
        let blocks: Vec<Block> = (0..kinds)
            .map(|kind| Block {
                id: format!("kind {kind}"),
                thickness: spread.next(0.003, 0.15),
                length: 0.6,
                width: spread.next(0.15, 0.4),
                count: spread.next(0.0, 20.0) as u32,
            })
            .collect();
        let start = Instant::now();
        let plan = black_box(LevelPlan::new(profile, &ground, &blocks));
        let took = start.elapsed();
        all += took;
        worst = worst.max(took);
        unproven += u32::from(!plan.proven);
    }
    println!(
        "{RANDOM} random plans: worst {worst:?}, mean {:?}, {unproven} cut short",
        all / RANDOM
    );
}
