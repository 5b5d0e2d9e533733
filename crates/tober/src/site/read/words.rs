//! Values and types in words that a crew lead reads.

use serde_json::Value;

use super::check;
use super::place::Step;

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
pub(super) fn plain(wanted: &str, steps: &[Step]) -> String {
    let key = steps.iter().rev().find_map(|step| match step {
        Step::Key(key) => Some(key.as_str()),
        Step::Item(_) => None,
    });
    let words = match wanted {
        "f64" => number_of(key.unwrap_or_default()),
        "u32" => "a whole number, 0 or more",
        "i32" => "a whole number",
        "a string" | "string" => "a text in double quotes",
        "a sequence" => "a list in square brackets",
        "map with a single key" => "an object with one key",
        "string or map" | "unit" => "one of the words of the format, in double quotes",
        wanted if wanted.contains("array") => "a place as [x, y], in metres",
        wanted if wanted.starts_with("struct") => "an object in braces",
        wanted => wanted,
    };
    words.to_owned()
}

/// What a key holds, in a word.
pub(super) fn kind_of(key: &str) -> &'static str {
    match key {
        "format" | "id" | "name" | "profile" | "rule" | "reason" | "point" | "file" => {
            "a text in double quotes"
        }
        "lot" | "placement" | "levelling" | "swing" | "fence" | "first" | "second" => {
            "an object in braces"
        }
        "surface" | "class" | "units" | "unit" | "order" => "one of the words of the format",
        "boundary" | "spot_levels" | "rides" | "path" | "outline" | "points" | "body" | "jacks"
        | "holes" | "rows" => "a list in square brackets",
        "at" | "from" | "to" | "origin" => "a place as [x, y], in metres",
        "version" | "count" | "panels" | "gates" => "a whole number, 0 or more",
        _ => number_of(key),
    }
}

/// What a number under a key counts.
fn number_of(key: &str) -> &'static str {
    match key {
        "heading" => "a number of degrees clockwise from grid north",
        "volts" => "a number of volts",
        "snug_turns" | "turns" => "a number of turns",
        key if key.ends_with("_deg") => "a number of degrees",
        key if key.ends_with("_rpm") => "a number of turns a minute",
        _ => "a number of metres",
    }
}
