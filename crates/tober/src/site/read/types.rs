//! Values of the wrong type: all of them at once.
//!
//! `serde` stops at the first. So the value at fault is taken out of the tree, with the list
//! entry that it spoils, and the tree is read again, until it can be read; then the checks of
//! sense run over what is left. What was taken out is kept in [`Lost`], so that the places of
//! later faults are told as they are in the file, and nothing is called wrong only because
//! something is missing.

use serde_json::Value;

use super::lost::Lost;
use super::place::{Step, find, parsed, steps, written};
use super::words::{described, kind_of, plain};
use super::{Fault, SiteFile, check, error};
use crate::site::Faults;

/// Faults of type after which reading stops.
const ENOUGH: usize = 50;

type Located = serde_path_to_error::Error<serde_json::Error>;

/// Every value of the wrong type, then what else makes no sense in a site file.
pub(super) fn faults(mut tree: Value) -> Vec<Fault> {
    let mut faults = Vec::new();
    let mut lost = Lost::default();
    loop {
        let why = match serde_path_to_error::deserialize::<_, SiteFile>(&tree) {
            Ok(file) => {
                faults.extend(senseless(&file, &lost));
                return faults;
            }
            Err(why) => why,
        };
        let problem = Problem::of(&why, &tree);
        let path = written(&lost.in_file(&problem.steps));
        faults.push(error(path, problem.value, problem.expected));
        if faults.len() == ENOUGH {
            let value = "not read any further".to_owned();
            let expected = format!("these {ENOUGH} faults mended first");
            faults.push(error("elsewhere", value, expected));
            return faults;
        }
        if !lost.take_out(&mut tree, &problem.steps, problem.unknown_key) {
            return faults;
        }
    }
}

/// A key that is given twice, which the tree no longer shows.
pub(super) fn given_twice(json: &str, tree: &Value) -> Option<Fault> {
    let mut text = serde_json::Deserializer::from_str(json);
    let why: Located = serde_path_to_error::deserialize::<_, SiteFile>(&mut text).err()?;
    let message = why.inner().to_string();
    let key = quoted_in(&message, "duplicate field `")?;
    let mut steps = steps(why.path());
    steps.push(Step::Key(key.to_owned()));
    let value = find(tree, &steps).map_or_else(String::new, described);
    Some(error(
        written(&steps),
        format!("given twice, the second time {value}"),
        "each key once".to_owned(),
    ))
}

/// What makes no sense in the part of the file that could be read.
fn senseless(file: &SiteFile, lost: &Lost) -> Vec<Fault> {
    let found = match check::file(file) {
        Ok(checked) => checked.warnings,
        Err(Faults(faults)) => faults,
    };
    found
        .into_iter()
        .filter(|fault| !lost.may_have_caused(fault))
        .map(|fault| Fault {
            path: written(&lost.in_file(&parsed(&fault.path))),
            ..fault
        })
        .collect()
}

/// One value of the wrong type.
struct Problem {
    /// Where it stands in the tree as it is now.
    steps: Vec<Step>,
    value: String,
    expected: String,
    /// Whether the key itself is not known; then nothing but the key need be taken out.
    unknown_key: bool,
}

impl Problem {
    fn of(why: &Located, tree: &Value) -> Problem {
        let message = why.inner().to_string();
        let mut steps = steps(why.path());
        let mut value = find(tree, &steps).map_or_else(String::new, described);
        let unknown_key = message.starts_with("unknown field `");
        let wanted = message.rsplit_once(", expected ");
        let wanted = wanted.map(|(_, wanted)| wanted.replace('`', ""));
        let expected = if let Some(key) = quoted_in(&message, "missing field `") {
            steps.push(Step::Key(key.to_owned()));
            value = "missing".to_owned();
            format!("{}; the key may not be left out", kind_of(key))
        } else if unknown_key {
            format!("no such key, but {}", wanted.unwrap_or_default())
        } else {
            if let Some(word) = quoted_in(&message, "unknown variant `") {
                value = check::quoted(word);
            }
            wanted.map_or(message, |wanted| plain(&wanted, &steps))
        };
        Problem {
            steps,
            value,
            expected,
            unknown_key,
        }
    }
}

/// What stands between an opening and the next backtick.
fn quoted_in<'a>(message: &'a str, opening: &str) -> Option<&'a str> {
    message
        .strip_prefix(opening)?
        .split_once('`')
        .map(|(inside, _)| inside)
}
