//! How long a frame takes to come to rest, beside `clarabel` on the same frame; and how long all
//! cases of a ride take.

use std::path::Path;

use clarabel::algebra::CscMatrix;
use clarabel::solver::{DefaultSettingsBuilder, DefaultSolver, IPSolver, SupportedConeT};
use tober::assess::assess;
use tober::loads::{Fan, extremes, extremes_on_any_ground, load_rules_in_force, ride_loads};
use tober::site::Site;
use tober::statics::{Load, Support, settle};
use tober::{Point, Step};

fn main() {
    divan::main();
}

/// Four jacks and four outriggers; `high` lifts one of them so that its neighbours hang.
fn frame(high: f64) -> (Load, Vec<Support>) {
    let corners = [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)];
    let at = |x: f64, y: f64, stiffness: f64| {
        corners.map(|(ahead, left)| Support {
            at: Point::new(x * ahead, y * left),
            top: 0.001 * (ahead + 2.0 * left),
            stiffness,
        })
    };
    let mut supports = at(3.6, 1.0, 2e7).to_vec();
    supports.extend(at(2.5, 2.5, 1e7));
    supports[0].top += high;
    let load = Load {
        weight: 90e3,
        centre: Point::new(0.2, -0.1),
        tipping: Step::new(5e3, 9e3),
        twist_stiffness: 3e7,
    };
    (load, supports)
}

#[divan::bench(args = [0.0, 0.03])]
fn settle_on_8_supports(bencher: divan::Bencher, high: f64) {
    let (load, supports) = frame(high);
    bencher.bench(|| settle(divan::black_box(&load), divan::black_box(&supports)));
}

#[divan::bench(args = [0.0, 0.03])]
fn clarabel_on_8_supports(bencher: divan::Bencher, high: f64) {
    let (load, supports) = frame(high);
    bencher.bench(|| clarabel(divan::black_box(&load), divan::black_box(&supports)));
}

#[divan::bench(args = [2e3, 60e3])]
fn extremes_on_8_supports(bencher: divan::Bencher, radius: f64) {
    let (load, supports) = frame(0.005);
    bencher.bench(|| extremes(divan::black_box(&load), radius, divan::black_box(&supports)));
}

/// Six feet under a ride that leans, some of them lifting, on ground ten times as firm here as there.
#[divan::bench(args = [5e3, 50e3])]
fn any_ground_under_6_feet(bencher: divan::Bencher, tips: f64) {
    let (load, supports) = frame(0.005);
    let feet = supports.iter().skip(2);
    let fans: Vec<Fan> = feet
        .map(|foot| Fan {
            at: foot.at,
            top: foot.top,
            firm: 1.0 / foot.stiffness + 2e-8,
            soft: 1.0 / foot.stiffness + 2e-7,
        })
        .collect();
    bencher.bench(|| extremes_on_any_ground(divan::black_box(&load), tips, &fans));
}

/// Every case of riders and wind of a sample's first ride, with its ground; the green gives a modulus of
/// it.
#[divan::bench(args = ["village-green", "paved-yard"])]
fn all_cases(bencher: divan::Bencher, name: &str) {
    ride(bencher, name, false);
}

/// The same with every stage and act of building up and tearing down.
#[divan::bench(args = ["village-green", "paved-yard"])]
fn all_cases_and_acts(bencher: divan::Bencher, name: &str) {
    ride(bencher, name, true);
}

fn ride(bencher: divan::Bencher, name: &str, with_acts: bool) {
    let path =
        Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../../sample-sites/{name}.json"));
    let text = std::fs::read_to_string(path).expect("the sample is there");
    let site = Site::read(&text).expect("the sample is sound");
    let mut assessment = assess(&site);
    let ride = &mut assessment.rides[0];
    if !with_acts {
        ride.level.acts.clear();
        ride.level.tear_down.clear();
    }
    let profile = site.profile(0).expect("a profile");
    let rules = load_rules_in_force(&[]);
    bencher.bench(|| ride_loads(&site, profile, &ride.ground, &ride.level, &rules));
}

/// The loads that take the least energy, by an interior-point method.
fn clarabel(load: &Load, supports: &[Support]) -> Vec<f64> {
    let count = supports.len();
    let unit = 1e7;
    let mut bend = vec![vec![0.0; count + 1]; count + 1];
    let mut slope = vec![0.0; count + 1];
    let mut balance = vec![vec![0.0; count + 1]; 4 + count];
    for (index, support) in supports.iter().enumerate() {
        bend[index][index] = unit / support.stiffness;
        slope[index] = -support.top * unit / load.weight;
        let at = support.at;
        for (row, part) in [1.0, at.x, at.y, at.x * at.y].into_iter().enumerate() {
            balance[row][index] = part;
        }
        balance[4 + index][index] = -1.0;
    }
    bend[count][count] = unit / load.twist_stiffness;
    balance[3][count] = 1.0;
    let (centre, tipping) = (load.centre, load.tipping / load.weight);
    let mut asked = vec![
        1.0,
        centre.x + tipping.x,
        centre.y + tipping.y,
        centre.x * centre.y,
    ];
    asked.extend(vec![0.0; count]);
    let settings = DefaultSettingsBuilder::default()
        .verbose(false)
        .build()
        .expect("sound settings");
    let mut solver = DefaultSolver::new(
        &CscMatrix::from(&bend),
        &slope,
        &CscMatrix::from(&balance),
        &asked,
        &[
            SupportedConeT::ZeroConeT(4),
            SupportedConeT::NonnegativeConeT(count),
        ],
        settings,
    )
    .expect("a sound programme");
    solver.solve();
    solver.solution.x
}
