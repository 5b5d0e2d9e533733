//! No text makes the library panic, and no refusal leaves untold where the text is wrong.

use std::time::{Duration, Instant};

use proptest::prelude::*;
use serde_json::{Value, json};
use tober::assess::assess;
use tober::site::limits::SPOT_LEVELS;
use tober::site::{ReadError, Severity, Site};

const SAMPLES: [&str; 2] = [
    include_str!("../../../sample-sites/village-green.json"),
    include_str!("../../../sample-sites/paved-yard.json"),
];

/// A sample as a tree, with a built-in profile written out in it.
fn sample(which: usize) -> Value {
    let mut tree: Value = serde_json::from_str(SAMPLES[which]).expect("a sample is JSON");
    let mut profile = tober::ride::builtin()[which].clone();
    "own".clone_into(&mut profile.id);
    tree["profiles"] = json!([profile]);
    tree["rides"][0]["profile"] = json!("own");
    tree
}

/// Reads, and assesses what could be read. A refusal has an error, and every fault a place.
fn read_and_assess(text: &str) -> Result<(), ReadError> {
    match Site::read(text) {
        Ok(site) => {
            let assessment = assess(&site);
            assert_eq!(assessment.rides.len(), site.file().rides.len());
            Ok(())
        }
        Err(error) => {
            let faults = error.faults();
            assert!(faults.iter().any(|fault| fault.severity == Severity::Error));
            for fault in faults {
                assert!(
                    !fault.path.is_empty() && !fault.value.is_empty(),
                    "{fault:?}"
                );
                assert!(!fault.expected.is_empty(), "{fault:?}");
                assert_eq!(fault.to_string().lines().count(), 1, "{fault:?}");
            }
            Err(error)
        }
    }
}

/// Every place in a tree, as a JSON pointer.
fn places(tree: &Value) -> Vec<String> {
    fn walk(value: &Value, at: &str, places: &mut Vec<String>) {
        places.push(at.to_owned());
        match value {
            Value::Object(keys) => {
                for (key, value) in keys {
                    walk(value, &format!("{at}/{key}"), places);
                }
            }
            Value::Array(entries) => {
                for (index, value) in entries.iter().enumerate() {
                    walk(value, &format!("{at}/{index}"), places);
                }
            }
            _ => {}
        }
    }
    let mut places = Vec::new();
    walk(tree, "", &mut places);
    places
}

/// What a hand that slips, or one that means ill, does to a value.
#[derive(Clone, Debug)]
enum Slip {
    Put(Value),
    Remove,
    Times(f64),
    Repeat(usize),
}

fn slip() -> impl Strategy<Value = Slip> {
    let values = prop::sample::select(vec![
        Value::Null,
        json!(true),
        json!(""),
        json!("north"),
        json!([]),
        json!({}),
        json!([[0, 0]]),
        json!(0),
        json!(-1),
        json!(1e9),
        json!(-1e300),
        json!(1e-300),
        json!(u64::MAX),
    ]);
    let numbers = prop_oneof![-1e3..1e3f64, -1.0..1.0f64, any::<f64>()];
    prop_oneof![
        3 => values.prop_map(Slip::Put),
        3 => numbers.prop_map(|number| Slip::Put(json!(number))),
        2 => Just(Slip::Remove),
        3 => (0.1..3.0f64).prop_map(Slip::Times),
        1 => (2..40usize).prop_map(Slip::Repeat),
    ]
}

fn spoil(tree: &mut Value, place: &str, slip: &Slip) {
    if let Slip::Remove = slip {
        let (parent, last) = place.rsplit_once('/').unwrap_or(("", ""));
        match tree.pointer_mut(parent) {
            Some(Value::Object(keys)) => {
                keys.remove(last);
            }
            Some(Value::Array(entries)) => {
                if let Some(index) = last.parse().ok().filter(|index| *index < entries.len()) {
                    entries.remove(index);
                }
            }
            _ => {}
        }
        return;
    }
    let Some(value) = tree.pointer_mut(place) else {
        return;
    };
    match (slip, value) {
        (Slip::Put(new), value) => *value = new.clone(),
        (Slip::Times(factor), value @ Value::Number(_)) => {
            *value = json!(value.as_f64().unwrap_or_default() * factor);
        }
        (Slip::Repeat(times), Value::Array(entries)) => {
            *entries = vec![entries.clone(); *times].concat();
        }
        _ => {}
    }
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 400,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn no_slip_makes_it_panic(
        which in 0..2usize,
        slips in prop::collection::vec((any::<prop::sample::Index>(), slip()), 1..6),
    ) {
        let mut tree = sample(which);
        let places = places(&tree);
        for (place, slip) in &slips {
            let place: &String = place.get(&places);
            spoil(&mut tree, place, slip);
        }
        let _ = read_and_assess(&tree.to_string());
    }

    #[test]
    fn text_cut_off_anywhere_is_located(which in 0..2usize, at in any::<prop::sample::Index>()) {
        let text = SAMPLES[which].trim_end();
        let cut = text.get(..at.index(text.len())).expect("the samples are plain ASCII");
        let error = read_and_assess(cut).expect_err("a part of a file is no file");
        let line = cut.split('\n').count();
        prop_assert_eq!(error.faults().len(), 1);
        let expected = format!("line {line}, column ");
        prop_assert!(error.faults()[0].path.starts_with(&expected), "{}", error);
    }

    #[test]
    fn strange_text_does_not_make_it_panic(
        which in 0..2usize,
        at in any::<prop::sample::Index>(),
        strange in prop_oneof![any::<String>(), "[\\[\\]{}\",:0-9eE.+-]{1,8}"],
    ) {
        let _ = read_and_assess(&strange);
        let text = SAMPLES[which];
        let at = at.index(text.len());
        let (before, after) = text.split_at(at);
        let _ = read_and_assess(&format!("{before}{strange}{after}"));
        let _ = read_and_assess(&format!("{before}{strange}{}", &after[1..]));
    }

    #[test]
    fn random_bytes_do_not_make_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let _ = read_and_assess(&String::from_utf8_lossy(&bytes));
    }
}

/// The green with so many spot levels, every so many of them spoilt.
fn with_spots(count: usize, spoilt_every: usize) -> String {
    let mut tree = sample(0);
    let spot = |i: usize| {
        let (x, y) = ((i % 250) as f64 * 0.25, (i / 250) as f64 * 0.25);
        let elevation = match i % spoilt_every {
            0 => json!("?"),
            _ => json!(30.0 + (i % 17) as f64 * 0.01),
        };
        json!({ "x": x, "y": y, "elevation": elevation })
    };
    tree["spot_levels"] = (1..=count).map(spot).collect();
    tree.to_string()
}

/// Does a piece of work that takes about a second, unoptimized; one that grew with the square
/// of the count would take minutes.
fn timed<T>(work: impl FnOnce() -> T) -> T {
    let start = Instant::now();
    let result = work();
    let took = start.elapsed();
    assert!(took < Duration::from_secs(30), "{took:?}");
    result
}

#[test]
fn as_many_spot_levels_as_may_be_are_read_quickly() {
    let text = with_spots(SPOT_LEVELS, usize::MAX);
    let site = timed(|| Site::read(&text)).expect("within the limit");
    assert_eq!(site.warnings(), []);
}

#[test]
fn too_many_spot_levels_are_refused_quickly() {
    for spoilt_every in [usize::MAX, 700] {
        let text = with_spots(SPOT_LEVELS + 1, spoilt_every);
        let error = timed(|| Site::read(&text)).expect_err("over the limit");
        assert!(error.faults()[0].path.starts_with("spot_levels"), "{error}");
    }
}
