//! Places in a tree of JSON, step by step from the root.

use std::borrow::Cow;

use serde_json::Value;
use serde_path_to_error::Segment;

use super::check;

/// Longest key that is shown as it stands, bytes.
const LONGEST_KEY: usize = 60;

/// One step from a value to a part of it.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Step {
    Key(String),
    Item(usize),
}

/// The steps to where reading failed.
pub(super) fn steps(path: &serde_path_to_error::Path) -> Vec<Step> {
    path.iter()
        .filter_map(|segment| match segment {
            Segment::Seq { index } => Some(Step::Item(*index)),
            Segment::Map { key } => Some(Step::Key(key.clone())),
            Segment::Enum { variant } => Some(Step::Key(variant.clone())),
            Segment::Unknown => None,
        })
        .collect()
}

/// The place as a fault shows it: `rides[1].placement.heading`.
pub(super) fn written(steps: &[Step]) -> String {
    let mut path = String::new();
    for step in steps {
        match step {
            Step::Key(key) => {
                if !path.is_empty() {
                    path.push('.');
                }
                path.push_str(&shown(key));
            }
            Step::Item(index) => path.push_str(&format!("[{index}]")),
        }
    }
    path
}

/// A key as it stands; one that is not of the format may be of any length and hold any sign.
fn shown(key: &str) -> Cow<'_, str> {
    let is_plain = |c: char| c.is_ascii_alphanumeric() || c == '_';
    if key.len() <= LONGEST_KEY && key.chars().all(is_plain) {
        Cow::Borrowed(key)
    } else {
        Cow::Owned(check::quoted(key))
    }
}

/// The steps of a place as the checks write it.
pub(super) fn parsed(path: &str) -> Vec<Step> {
    path.split(['.', '['])
        .map(|part| match part.strip_suffix(']').map(str::parse) {
            Some(Ok(index)) => Step::Item(index),
            _ => Step::Key(part.to_owned()),
        })
        .collect()
}

pub(super) fn find<'a>(tree: &'a Value, steps: &[Step]) -> Option<&'a Value> {
    steps.iter().try_fold(tree, |value, step| match step {
        Step::Key(key) => value.get(key),
        Step::Item(index) => value.get(index),
    })
}

pub(super) fn find_mut<'a>(tree: &'a mut Value, steps: &[Step]) -> Option<&'a mut Value> {
    steps.iter().try_fold(tree, |value, step| match step {
        Step::Key(key) => value.get_mut(key),
        Step::Item(index) => value.get_mut(index),
    })
}

pub(super) fn remove_key(tree: &mut Value, steps: &[Step]) -> bool {
    let Some((Step::Key(key), parent)) = steps.split_last() else {
        return false;
    };
    find_mut(tree, parent)
        .and_then(Value::as_object_mut)
        .is_some_and(|keys| keys.remove(key).is_some())
}

/// Whether a place is another one or a part of it.
pub(super) fn within(place: &str, other: &str) -> bool {
    place
        .strip_prefix(other)
        .is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']))
}

/// Whether a place is a whole entry of a list, such as a hole, which is compared with the ones
/// before it.
pub(super) fn is_entry(place: &str, list: &str) -> bool {
    place
        .strip_prefix(list)
        .and_then(|rest| rest.strip_prefix('['))
        .is_some_and(|rest| !rest.contains(['[', '.']))
}
