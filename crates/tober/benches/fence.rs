//! Laying out the fence, as happens at every step of a drag.

use divan::{Bencher, black_box};
use tober::Point;
use tober::fence::{Enclosed, plan};
use tober::ride::{FenceGaps, FenceStock};

fn main() {
    divan::main();
}

const STOCK: FenceStock = FenceStock {
    standoff: 1.8,
    panel: 2.4,
    height: 1.1,
    stake_depth: None,
    panels: 30,
    gates: 2,
    gaps: FenceGaps {
        opening: None,
        below: None,
    },
};

fn lay_out(bencher: Bencher, points: &[Point]) {
    let enclosed = Enclosed {
        hub: Point::new(40.0, 30.0),
        moving_radius: 8.0,
        points,
        round: &[],
        moving_corners: &[],
        arrivals: Point::new(0.0, 0.0),
    };
    bencher.bench(|| plan(&STOCK, black_box(&enclosed)));
}

#[divan::bench]
fn all_within_the_circle(bencher: Bencher) {
    lay_out(bencher, &[Point::new(45.0, 33.0), Point::new(38.0, 24.0)]);
}

#[divan::bench]
fn a_console_sticks_out(bencher: Bencher) {
    lay_out(bencher, &[Point::new(50.4, 31.0)]);
}

#[divan::bench]
fn a_frame_sticks_out_at_four_corners(bencher: Bencher) {
    let corner = |x, y| Point::new(40.0 + x, 30.0 + y);
    lay_out(
        bencher,
        &[
            corner(10.5, 1.3),
            corner(10.5, -1.3),
            corner(-10.5, 1.3),
            corner(-10.5, -1.3),
        ],
    );
}
