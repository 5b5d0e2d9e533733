//! One full assessment of each sample site, from the checked site; and one drag step, which is
//! the same with the ride moved first.

use std::path::Path;

use tober::assess::assess;
use tober::site::Site;

fn main() {
    divan::main();
}

const SAMPLES: [&str; 2] = ["village-green", "paved-yard"];

fn sample(name: &str) -> Site {
    let path =
        Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../../sample-sites/{name}.json"));
    let text = std::fs::read_to_string(path).expect("the sample is there");
    Site::read(&text).expect("the sample is sound")
}

#[divan::bench(args = SAMPLES)]
fn full(bencher: divan::Bencher, name: &str) {
    let site = sample(name);
    bencher.bench(|| assess(divan::black_box(&site)));
}

#[divan::bench(args = SAMPLES)]
fn drag_step(bencher: divan::Bencher, name: &str) {
    let site = sample(name);
    let mut placement = site.file().rides[0].placement;
    let mut step = 0.05;
    bencher.bench_local(|| {
        // To and fro, so that no two steps are alike.
        step = -step * 1.01;
        placement.x += step;
        let moved = site.with_placement(0, placement).expect("a sound place");
        assess(divan::black_box(&moved))
    });
}

#[divan::bench(args = SAMPLES)]
fn read(bencher: divan::Bencher, name: &str) {
    let text = sample(name).to_json();
    bencher.bench(|| Site::read(divan::black_box(&text)));
}
