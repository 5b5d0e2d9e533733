//! What was taken out of a tree so that the rest of it can be read.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::Fault;
use super::place::{Step, find_mut, is_entry, parsed, remove_key, within, written};
use crate::site::{SITE_FORMAT, SITE_VERSION};

/// Keys whose list is one place, `[x, y]`, and not a list of entries.
const PLACES: [&str; 6] = ["at", "from", "to", "console", "coordinates", "origin"];

/// What was taken out of the tree.
#[derive(Debug, Default)]
pub(super) struct Lost {
    /// Entries of lists: the list's place in the file, and the entries' numbers, rising.
    entries: BTreeMap<String, Vec<usize>>,
    /// Keys of the file, or of its features, that were taken out or replaced by an empty value.
    keys: Vec<String>,
}

impl Lost {
    /// Takes the value at a place out of the tree, and the list entry that it spoils with it;
    /// false when nothing can be taken out. A key that the format does not know spoils nothing.
    pub(super) fn take_out(&mut self, tree: &mut Value, steps: &[Step], unknown: bool) -> bool {
        if unknown {
            return remove_key(tree, steps);
        }
        let is_entry = |pair: &[Step]| match pair {
            [Step::Key(list), Step::Item(_)] => !PLACES.contains(&list.as_str()),
            _ => false,
        };
        match steps.windows(2).rposition(is_entry) {
            Some(list) => self.take_entry(tree, steps.get(..list + 2).unwrap_or_default()),
            None => self.take_key(tree, steps),
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
            [Step::Key(key), Step::Key(_), ..] if key == "features" => 2,
            _ => 1,
        };
        let steps = steps.get(..depth).unwrap_or_default();
        self.keys.push(written(steps));
        let removed = remove_key(tree, steps);
        if let ([Step::Key(key)], Some(keys)) = (steps, tree.as_object_mut())
            && let Some(empty) = empty(key)
        {
            keys.insert(key.clone(), empty);
            return true;
        }
        removed
    }

    /// The steps in the file, from the steps in the tree.
    pub(super) fn in_file(&self, steps: &[Step]) -> Vec<Step> {
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

    /// Whether a fault, found in what is left, may be one only because something was taken out.
    pub(super) fn may_have_caused(&self, fault: &Fault) -> bool {
        let place = written(&self.in_file(&parsed(&fault.path)));
        let of_list = |list: &String| {
            // The entries are told by the numbers that they have now, not by those in the file.
            let entry = format!("{list}[");
            let names_an_entry = fault.value.contains(&entry) || fault.expected.contains(&entry);
            within(list, &place) || is_entry(&place, list) || names_an_entry
        };
        let of_profile = (self.keys.iter().chain(self.entries.keys()))
            .any(|lost| lost == "profiles" && place.ends_with("].profile"));
        // A ride that was taken out is no ride that something supplies.
        let of_ride = (self.keys.iter().chain(self.entries.keys())).any(|lost| {
            lost == "rides" && (place.contains("].supplies[") || place.contains("].rides["))
        });
        self.keys.iter().any(|key| within(&place, key))
            || of_ride
            || self.entries.keys().any(of_list)
            || of_profile
    }
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
