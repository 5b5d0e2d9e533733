//! Where a text stops being JSON, and what stands in the way.

use super::{Fault, check, error};

/// The one fault of a text that is not JSON.
pub(super) fn fault(json: &str, why: &serde_json::Error) -> Fault {
    let line = json
        .split('\n')
        .nth(why.line().saturating_sub(1))
        .unwrap_or_default();
    let at = why.column().saturating_sub(1);
    let column = line
        .char_indices()
        .take_while(|(index, _)| *index < at)
        .count()
        + 1;
    let place = format!("line {}, column {column}", why.line());
    if why.is_eof() {
        let expected = "more: the file breaks off here, and may not have been saved or sent whole";
        return error(place, "the end of the text".to_owned(), expected.to_owned());
    }
    let token = token(line, at);
    let value = match token {
        "" => "the end of the line".to_owned(),
        token => check::quoted(token),
    };
    let message = why.to_string();
    // serde_json closes its message with the place, which the path tells already.
    let message = message
        .rsplit_once(" at line ")
        .map_or(message.as_str(), |(message, _)| message);
    error(place, value, expected(message, token))
}

/// The word or number at a byte of a line, or the one sign that stands there.
fn token(line: &str, at: usize) -> &str {
    let is_part = |c: char| c.is_alphanumeric() || matches!(c, '+' | '-' | '.' | '_');
    let (Some(before), Some(after)) = (line.get(..at), line.get(at..)) else {
        return "";
    };
    let start = before.trim_end_matches(is_part).len();
    let length = after.find(|c| !is_part(c)).unwrap_or(after.len());
    let sign = after.chars().next().map_or(0, char::len_utf8);
    let end = at + if length == 0 { sign } else { length };
    let start = if length == 0 { at } else { start };
    line.get(start..end).unwrap_or_default().trim()
}

/// What JSON asks for, in plain words.
fn expected(message: &str, token: &str) -> String {
    let name = token.trim_start_matches(['-', '+']).to_ascii_lowercase();
    let words = match (message, name.as_str()) {
        (_, "nan" | "inf" | "infinity") => "a number: JSON knows no NaN and no Infinity",
        (_, "none" | "undefined") => "a value; what is not known is left out with its key",
        (_, "'") => "double quotes around keys and texts",
        (_, "/" | "#") => "no comments: JSON knows none",
        ("trailing comma", _) => "no comma after the last entry",
        ("trailing characters", _) => "nothing after the end of the file's one object",
        ("expected `:`", _) => "a colon between a key and its value",
        ("expected `,` or `]`", _) => "a comma before the next entry, or ] after the last",
        ("expected `,` or `}`", _) => "a comma before the next key, or } after the last",
        ("key must be a string", _) => "a key in double quotes",
        ("number out of range", _) => "a number of a size that a computer can hold",
        ("invalid number", _) => "a number such as 12.5 or -0.3",
        ("recursion limit exceeded", _) => "lists and objects that are not nested so deeply",
        ("expected value" | "expected ident", _) => {
            "a value: a number, a text in double quotes, a list or an object"
        }
        ("invalid escape" | "unexpected end of hex escape", _) => {
            "a sign that may follow a backslash, such as \\n or \\\""
        }
        (message, _) if message.starts_with("control character") => {
            "a text on one line, its quotes closed"
        }
        (message, _) => return format!("valid JSON ({message})"),
    };
    words.to_owned()
}
