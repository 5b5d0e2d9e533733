//! The picture in the README is what the library draws today.
//!
//! `UPDATE_PICTURE=1 cargo test -p tober-drawing --test picture` draws it anew.

use std::fs;
use std::path::Path;

use tober::assess::assess;
use tober::site::Site;
use tober_drawing::{PlanOptions, plan_svg};

#[test]
fn the_picture_is_current() {
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-sites");
    let json = fs::read_to_string(samples.join("village-green.json")).unwrap();
    let site = Site::read(&json).unwrap();
    let options = PlanOptions::fit(&site, 960.0, 780.0);
    let drawn = plan_svg(&site, &assess(&site), &options);
    let picture = samples.join("village-green.svg");
    if std::env::var_os("UPDATE_PICTURE").is_some() {
        fs::write(&picture, &drawn).unwrap();
    }
    let kept = fs::read_to_string(&picture).unwrap_or_default();
    assert!(
        kept == drawn,
        "sample-sites/village-green.svg is not what is drawn today: see the head of this test"
    );
}
