//! A site file as text.

use super::SiteFile;

/// Longest line that a list or an object is drawn together into, characters.
const LINE: usize = 110;

/// The file as JSON that people can read and compare: a point, a spot level or a hole list takes
/// one line.
pub(super) fn to_json(file: &SiteFile) -> String {
    // It cannot fail: every key of the format is text.
    let spread = serde_json::to_string_pretty(file).unwrap_or_default();
    let mut text = draw_together(&spread);
    text.push('\n');
    text
}

/// Draws lists and objects that hold no others into one line each.
///
/// In the spread text every entry has its own line; text in quotes never ends in a bracket or
/// begins with one.
fn draw_together(spread: &str) -> String {
    let lines: Vec<&str> = spread.lines().collect();
    let mut drawn: Vec<String> = Vec::new();
    let mut rest = lines.as_slice();
    while let Some((line, after)) = rest.split_first() {
        match innermost(line, after) {
            Some((one, taken)) if one.chars().count() <= LINE => {
                drawn.push(one);
                rest = after.get(taken..).unwrap_or_default();
            }
            _ => {
                drawn.push((*line).to_owned());
                rest = after;
            }
        }
    }
    drawn.join("\n")
}

/// If `line` opens a list or an object without others inside: the whole of it on one line, and
/// how many of the lines `after` belong to it.
fn innermost(line: &str, after: &[&str]) -> Option<(String, usize)> {
    let space = match line.chars().last()? {
        '[' => "",
        '{' => " ",
        _ => return None,
    };
    let end = after
        .iter()
        .position(|line| line.ends_with(['[', '{']) || line.trim_start().starts_with([']', '}']))?;
    let close = after.get(end)?.trim_start();
    if !close.starts_with([']', '}']) {
        return None;
    }
    let entries: Vec<&str> = after
        .get(..end)?
        .iter()
        .map(|entry| entry.trim_start())
        .collect();
    Some((
        format!("{line}{space}{}{space}{close}", entries.join(" ")),
        end + 1,
    ))
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;

    fn drawn(value: &Value) -> String {
        draw_together(&serde_json::to_string_pretty(value).unwrap())
    }

    #[test]
    fn the_innermost_are_drawn_together() {
        let value = json!({ "at": [1, 2.5], "b": [[0, 0], [1, 1]], "c": [{ "d": "[" }, {}] });
        let text = r#"{
  "at": [1, 2.5],
  "b": [
    [0, 0],
    [1, 1]
  ],
  "c": [
    { "d": "[" },
    {}
  ]
}"#;
        assert_eq!(drawn(&value), text);
    }

    #[test]
    fn what_does_not_fit_on_a_line_stays_spread() {
        let value = json!({ "a": "x".repeat(60), "b": "y".repeat(60) });
        assert_eq!(drawn(&value).lines().count(), 4);
    }
}
