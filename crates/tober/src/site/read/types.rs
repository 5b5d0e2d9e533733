//! Values of the wrong type: all of them at once.
//!
//! `serde` stops at the first. So the value at fault is taken out of the tree, with the list
//! entry that it spoils, and the tree is read again, until it can be read; then the checks of
//! sense run over what is left. What was taken out is kept in [`Lost`], so that the places of
//! later faults are told as they are in the file, and nothing is called wrong only because
//! something is missing.

use std::collections::BTreeMap;

use serde_json::{Value, json};
use serde_path_to_error::Segment;

use super::{Fault, SiteFile, check, error};
use crate::site::{Faults, SITE_FORMAT, SITE_VERSION};

/// Faults of type after which reading stops.
const ENOUGH: usize = 50;

/// Keys whose list is one place, `[x, y]`, and not a list of entries.
const PLACES: [&str; 4] = ["at", "from", "to", "console"];

/// One step from a value to a part of it.
#[derive(Clone, Debug, PartialEq)]
enum Step {
    Key(String),
    Item(usize),
}

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
        faults.push(error(
            written(&lost.in_file(&problem.steps)),
            problem.value.clone(),
            problem.expected.clone(),
        ));
        if faults.len() == ENOUGH {
            let value = "not read any further".to_owned();
            faults.push(error(
                "elsewhere",
                value,
                format!("these {ENOUGH} faults mended first"),
            ));
            return faults;
        }
        if !lost.take_out(&mut tree, &problem) {
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
    let mut steps = steps(&why);
    if steps.last() != Some(&Step::Key(key.to_owned())) {
        steps.push(Step::Key(key.to_owned()));
    }
    let value = find(tree, &steps).map_or_else(|| "given".to_owned(), described);
    Some(error(
        written(&steps),
        format!("given twice, the second time {value}"),
        "each key once".to_owned(),
    ))
}

/// What makes no sense in the part of the file that could be read.
fn senseless(file: &SiteFile, lost: &Lost) -> Vec<Fault> {
    let found = match check::file(file) {
        Ok(warnings) => warnings,
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
        let mut steps = steps(why);
        if let Some(key) = quoted_in(&message, "missing field `") {
            steps.push(Step::Key(key.to_owned()));
            let expected = format!("{}; the key may not be left out", kind_of(key));
            return Problem {
                steps,
                value: "missing".to_owned(),
                expected,
                unknown_key: false,
            };
        }
        let wanted = message
            .split_once(", expected ")
            .map(|(_, wanted)| wanted.replace('`', ""));
        if let Some(key) = quoted_in(&message, "unknown field `") {
            if steps.last() != Some(&Step::Key(key.to_owned())) {
                steps.push(Step::Key(key.to_owned()));
            }
            let expected = match wanted {
                Some(keys) => format!("no such key, but {keys}"),
                None => "no such key".to_owned(),
            };
            let value = find(tree, &steps).map_or_else(|| "given".to_owned(), described);
            return Problem {
                steps,
                value,
                expected,
                unknown_key: true,
            };
        }
        let value = match quoted_in(&message, "unknown variant `") {
            Some(word) => check::quoted(word),
            None => find(tree, &steps).map_or_else(|| "unreadable".to_owned(), described),
        };
        let expected = match wanted {
            Some(wanted) => plain(&wanted, &steps),
            None => message,
        };
        Problem {
            steps,
            value,
            expected,
            unknown_key: false,
        }
    }
}

/// What was taken out of the tree.
#[derive(Debug, Default)]
struct Lost {
    /// Entries of lists: the list's place in the file, and the entries' numbers, rising.
    entries: BTreeMap<String, Vec<usize>>,
    /// Keys of the file, or of its features, that were taken out or replaced by an empty value.
    keys: Vec<String>,
}

impl Lost {
    /// Takes out as little as will do; false when nothing can be taken out.
    fn take_out(&mut self, tree: &mut Value, problem: &Problem) -> bool {
        if problem.unknown_key {
            return remove_key(tree, &problem.steps);
        }
        let entry = (1..problem.steps.len()).rev().find(|&index| {
            matches!(problem.steps.get(index), Some(Step::Item(_)))
                && matches!(problem.steps.get(index - 1), Some(Step::Key(key)) if !PLACES.contains(&key.as_str()))
        });
        match entry {
            Some(index) => self.take_entry(tree, problem.steps.get(..=index).unwrap_or_default()),
            None => self.take_key(tree, &problem.steps),
        }
    }

    fn take_entry(&mut self, tree: &mut Value, steps: &[Step]) -> bool {
        let in_file = self.in_file(steps);
        let Some((Step::Item(index), list)) = steps.split_last() else {
            return false;
        };
        let Some(Value::Array(entries)) = find_mut(tree, list) else {
            return false;
        };
        if *index >= entries.len() {
            return false;
        }
        entries.remove(*index);
        if let Some((Step::Item(number), list)) = in_file.split_last() {
            let numbers = self.entries.entry(written(list)).or_default();
            let place = numbers.partition_point(|other| other < number);
            numbers.insert(place, *number);
        }
        true
    }

    fn take_key(&mut self, tree: &mut Value, steps: &[Step]) -> bool {
        let depth = match steps {
            [Step::Key(features), Step::Key(_), ..] if features == "features" => 2,
            [Step::Key(_), ..] => 1,
            _ => return false,
        };
        let steps = steps.get(..depth).unwrap_or_default();
        self.keys.push(written(steps));
        let empty = match steps {
            [Step::Key(key)] => empty(key),
            _ => None,
        };
        match (empty, tree.as_object_mut(), steps) {
            (Some(empty), Some(keys), [Step::Key(key)]) => {
                // The same value twice over would be read the same way for ever.
                keys.insert(key.clone(), empty.clone()) != Some(empty)
            }
            _ => remove_key(tree, steps),
        }
    }

    /// The steps in the file, from the steps in the tree.
    fn in_file(&self, steps: &[Step]) -> Vec<Step> {
        let mut in_file: Vec<Step> = Vec::with_capacity(steps.len());
        for step in steps {
            let step = match step {
                Step::Key(key) => Step::Key(key.clone()),
                Step::Item(index) => {
                    let lost = self.entries.get(&written(&in_file));
                    let number = lost.into_iter().flatten().fold(*index, |number, lost| {
                        if *lost <= number { number + 1 } else { number }
                    });
                    Step::Item(number)
                }
            };
            in_file.push(step);
        }
        in_file
    }

    /// Whether a fault may be one only because something was taken out.
    fn may_have_caused(&self, fault: &Fault) -> bool {
        let place = written(&self.in_file(&parsed(&fault.path)));
        let of_key = self.keys.iter().any(|key| within(&place, key));
        let of_list = self.entries.keys().any(|list| {
            let is_entry = within(&place, list)
                && !place
                    .get(list.len()..)
                    .is_some_and(|rest| rest.contains('.'));
            let names_another = fault.value.contains(list) || fault.expected.contains(list);
            within(list, &place) || is_entry || names_another
        });
        let lost_profile = self
            .keys
            .iter()
            .chain(self.entries.keys())
            .any(|lost| lost == "profiles");
        let of_profile =
            lost_profile && place.starts_with("rides[") && place.ends_with("].profile");
        of_key || of_list || of_profile
    }
}

/// Whether a place is another one or a part of it.
fn within(place: &str, other: &str) -> bool {
    place
        .strip_prefix(other)
        .is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']))
}

/// The least that a key of the file can hold, where it may not be left out.
fn empty(key: &str) -> Option<Value> {
    Some(match key {
        "format" => json!(SITE_FORMAT),
        "version" => json!(SITE_VERSION),
        "name" => json!(""),
        "lot" => json!({ "boundary": [] }),
        "spot_levels" | "rides" => json!([]),
        _ => return None,
    })
}

fn steps(why: &Located) -> Vec<Step> {
    why.path()
        .iter()
        .filter_map(|segment| match segment {
            Segment::Seq { index } => Some(Step::Item(*index)),
            Segment::Map { key } => Some(Step::Key(key.clone())),
            Segment::Enum { variant } => Some(Step::Key(variant.clone())),
            Segment::Unknown => None,
        })
        .collect()
}

/// The place as a fault shows it: `rides[1].placement.heading`.
fn written(steps: &[Step]) -> String {
    let mut path = String::new();
    for step in steps {
        match step {
            Step::Key(key) => {
                if !path.is_empty() {
                    path.push('.');
                }
                path.push_str(key);
            }
            Step::Item(index) => path.push_str(&format!("[{index}]")),
        }
    }
    path
}

/// The steps of a place as the checks write it.
fn parsed(path: &str) -> Vec<Step> {
    path.split(['.', '['])
        .map(|part| match part.strip_suffix(']').map(str::parse) {
            Some(Ok(index)) => Step::Item(index),
            _ => Step::Key(part.to_owned()),
        })
        .collect()
}

fn find<'a>(tree: &'a Value, steps: &[Step]) -> Option<&'a Value> {
    steps.iter().try_fold(tree, |value, step| match step {
        Step::Key(key) => value.get(key),
        Step::Item(index) => value.get(index),
    })
}

fn find_mut<'a>(tree: &'a mut Value, steps: &[Step]) -> Option<&'a mut Value> {
    steps.iter().try_fold(tree, |value, step| match step {
        Step::Key(key) => value.get_mut(key),
        Step::Item(index) => value.get_mut(index),
    })
}

fn remove_key(tree: &mut Value, steps: &[Step]) -> bool {
    let Some((Step::Key(key), parent)) = steps.split_last() else {
        return false;
    };
    find_mut(tree, parent)
        .and_then(Value::as_object_mut)
        .is_some_and(|keys| keys.remove(key).is_some())
}

/// A value as a fault shows it.
pub(super) fn described(value: &Value) -> String {
    match value {
        Value::Null => "null".to_owned(),
        Value::Bool(truth) => truth.to_string(),
        Value::Number(number) => number.to_string(),
        Value::String(text) => check::quoted(text),
        Value::Array(entries) if entries.is_empty() => "an empty list".to_owned(),
        Value::Array(entries) => format!("a list of {}", entries.len()),
        Value::Object(_) => "an object".to_owned(),
    }
}

/// What `serde` wanted, in words that a crew lead reads.
fn plain(wanted: &str, steps: &[Step]) -> String {
    let key = steps.iter().rev().find_map(|step| match step {
        Step::Key(key) => Some(key.as_str()),
        Step::Item(_) => None,
    });
    match wanted {
        "f64" => number_of(key.unwrap_or_default()).to_owned(),
        "u32" => "a whole number, 0 or more".to_owned(),
        "a string" | "string" => "a text in double quotes".to_owned(),
        "a sequence" => "a list in square brackets".to_owned(),
        "string or map" => "one of the words of the format, in double quotes".to_owned(),
        wanted if wanted.contains("array") => "a place as [x, y], in metres".to_owned(),
        wanted if wanted.starts_with("struct") => "an object in braces".to_owned(),
        wanted => wanted.to_owned(),
    }
}

/// What a key holds, in a word.
fn kind_of(key: &str) -> &'static str {
    match key {
        "format" | "id" | "name" | "profile" | "rule" | "reason" => "a text in double quotes",
        "lot" | "placement" | "levelling" | "swing" | "fence" => "an object in braces",
        "surface" | "class" => "one of the words of the format",
        "boundary" | "spot_levels" | "rides" | "path" | "outline" | "points" | "body" | "jacks"
        | "holes" | "rows" => "a list in square brackets",
        "at" | "from" | "to" => "a place as [x, y], in metres",
        "version" | "count" | "panels" | "gates" => "a whole number, 0 or more",
        _ => number_of(key),
    }
}

/// What a number under a key counts.
fn number_of(key: &str) -> &'static str {
    match key {
        "heading" => "a number of degrees clockwise from grid north",
        "volts" => "a number of volts",
        "snug_turns" => "a number of turns",
        key if key.ends_with("_deg") => "a number of degrees",
        key if key.ends_with("_rpm") => "a number of turns a minute",
        _ => "a number of metres",
    }
}

/// What stands between an opening and the next backtick.
fn quoted_in<'a>(message: &'a str, opening: &str) -> Option<&'a str> {
    message
        .strip_prefix(opening)?
        .split_once('`')
        .map(|(inside, _)| inside)
}
