//! Faults, the list of them, and the questions that every check asks.

use std::collections::HashMap;
use std::fmt::{self, Display};

use serde::{Deserialize, Serialize};

use super::limits;

/// How bad a fault is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// The input can be used, and the assessment says what follows.
    Warning,
    /// The input cannot be used.
    Error,
}

/// One thing that is wrong with a site file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Fault {
    /// How bad it is.
    pub severity: Severity,
    /// Where in the file: `rides[1].placement.heading`; or `line 12, column 7` where the text
    /// stops being JSON.
    pub path: String,
    /// What stands there.
    pub value: String,
    /// What was expected, in words that a crew lead reads.
    pub expected: String,
}

impl Display for Fault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.severity == Severity::Warning {
            out.write_str("warning: ")?;
        }
        let Fault {
            path,
            value,
            expected,
            ..
        } = self;
        write!(out, "{path}: is {value}; expected {expected}")
    }
}

/// Why a site cannot be used: at least one error, and then the warnings.
#[derive(Clone, Debug, PartialEq)]
pub struct Faults(pub Vec<Fault>);

impl Display for Faults {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, fault) in self.0.iter().enumerate() {
            if index > 0 {
                out.write_str("\n")?;
            }
            write!(out, "{fault}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Faults {}

/// A place in the file. It grows on the stack as the checks go down, and is written out only
/// when there is a fault.
#[derive(Clone, Copy, Debug)]
pub(super) enum At<'a> {
    Root,
    Key(&'a At<'a>, &'static str),
    Item(&'a At<'a>, usize),
}

impl At<'_> {
    pub(super) fn key(&self, key: &'static str) -> At<'_> {
        At::Key(self, key)
    }

    pub(super) fn item(&self, index: usize) -> At<'_> {
        At::Item(self, index)
    }
}

impl Display for At<'_> {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            At::Root => Ok(()),
            At::Key(At::Root, key) => out.write_str(key),
            At::Key(parent, key) => write!(out, "{parent}.{key}"),
            At::Item(parent, index) => write!(out, "{parent}[{index}]"),
        }
    }
}

/// What a number must be.
#[derive(Clone, Copy, Debug)]
pub(super) struct Quantity {
    /// What it is, with its unit: `a width in metres`.
    what: &'static str,
    least: f64,
    /// Whether `least` itself will do.
    least_included: bool,
    most: f64,
}

impl Quantity {
    pub(super) const fn from_to(what: &'static str, least: f64, most: f64) -> Quantity {
        Quantity {
            what,
            least,
            least_included: true,
            most,
        }
    }

    pub(super) const fn above_zero(what: &'static str, most: f64) -> Quantity {
        Quantity {
            what,
            least: 0.0,
            least_included: false,
            most,
        }
    }

    fn holds(&self, value: f64) -> bool {
        let low_enough = value <= self.most;
        let high_enough = value > self.least || (self.least_included && value == self.least);
        low_enough && high_enough
    }
}

impl Display for Quantity {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Quantity {
            what, least, most, ..
        } = self;
        if self.least_included {
            write!(out, "{what} from {least} to {most}")
        } else {
            write!(out, "{what}, more than {least} and at most {most}")
        }
    }
}

/// The faults found so far.
#[derive(Debug, Default)]
pub(super) struct Report {
    errors: Vec<Fault>,
    warnings: Vec<Fault>,
    unlisted_errors: usize,
    unlisted_warnings: usize,
}

impl Report {
    pub(super) fn error(&mut self, at: &At<'_>, value: impl Display, expected: impl Display) {
        if self.errors.len() < limits::ERRORS {
            self.errors
                .push(fault(Severity::Error, at, value, expected));
        } else {
            self.unlisted_errors += 1;
        }
    }

    pub(super) fn warn(&mut self, at: &dyn Display, value: impl Display, expected: impl Display) {
        if self.warnings.len() < limits::WARNINGS {
            self.warnings
                .push(fault(Severity::Warning, at, value, expected));
        } else {
            self.unlisted_warnings += 1;
        }
    }

    /// The warnings when there is no error; else the errors, then the warnings.
    pub(super) fn finish(mut self) -> Result<Vec<Fault>, Faults> {
        let Report {
            unlisted_errors,
            unlisted_warnings,
            ..
        } = self;
        let (errors, warnings) = (limits::ERRORS, limits::WARNINGS);
        self.errors
            .extend(unlisted(Severity::Error, unlisted_errors, errors));
        self.warnings
            .extend(unlisted(Severity::Warning, unlisted_warnings, warnings));
        if self.errors.is_empty() {
            return Ok(self.warnings);
        }
        self.errors.append(&mut self.warnings);
        Err(Faults(self.errors))
    }

    /// Whether a number is what it must be.
    pub(super) fn number(&mut self, at: &At<'_>, value: f64, quantity: &Quantity) -> bool {
        let sound = quantity.holds(value);
        if !sound {
            self.error(at, Number(value), quantity);
        }
        sound
    }

    /// Whether a count is not absurd.
    pub(super) fn count(&mut self, at: &At<'_>, value: u32, most: u32, what: &str) -> bool {
        let sound = value <= most;
        if !sound {
            self.error(at, value, format_args!("at most {most} {what}"));
        }
        sound
    }

    /// Whether a list holds at least so many entries and at most so many. When it does not,
    /// its entries are best left alone.
    pub(super) fn list(
        &mut self,
        at: &At<'_>,
        length: usize,
        least: usize,
        most: usize,
        what: &str,
    ) -> bool {
        let sound = (least..=most).contains(&length);
        if length < least {
            let value = match length {
                0 => "empty".to_owned(),
                _ => format!("a list of {length}"),
            };
            self.error(at, value, format_args!("{least} or more {what}"));
        } else if length > most {
            let value = format_args!("a list of {length}");
            self.error(at, value, format_args!("at most {most} {what}"));
        }
        sound
    }

    /// Checks a text that may not be blank.
    pub(super) fn text(&mut self, at: &At<'_>, text: &str) {
        if text.trim().is_empty() {
            self.error(at, quoted(text), "a text that is not blank");
        } else {
            self.optional_text(at, text);
        }
    }

    /// Checks a text that may be blank.
    pub(super) fn optional_text(&mut self, at: &At<'_>, text: &str) {
        let length = text.chars().count();
        if length > limits::TEXT {
            let value = format_args!("a text of {length} characters");
            self.error(
                at,
                value,
                format_args!("at most {} characters", limits::TEXT),
            );
        } else if text.chars().any(char::is_control) {
            // They would garble the setup sheet in a terminal.
            self.error(
                at,
                quoted(text),
                "a text on one line, without control characters",
            );
        }
    }
}

fn fault(
    severity: Severity,
    at: &dyn Display,
    value: impl Display,
    expected: impl Display,
) -> Fault {
    Fault {
        severity,
        path: at.to_string(),
        value: value.to_string(),
        expected: expected.to_string(),
    }
}

fn unlisted(severity: Severity, count: usize, listed: usize) -> Option<Fault> {
    (count > 0).then(|| Fault {
        severity,
        path: "elsewhere".to_owned(),
        value: format!("{count} more like these"),
        expected: format!("none; the first {listed} are listed"),
    })
}

/// Ids that must differ from each other.
#[derive(Debug)]
pub(super) struct Ids<'a> {
    /// Whose ids they are: `ride`.
    whose: &'static str,
    first: HashMap<&'a str, String>,
}

impl<'a> Ids<'a> {
    pub(super) fn new(whose: &'static str) -> Ids<'a> {
        Ids {
            whose,
            first: HashMap::new(),
        }
    }

    pub(super) fn check(&mut self, report: &mut Report, at: &At<'_>, id: &'a str) {
        report.text(at, id);
        match self.first.get(id) {
            Some(first) => {
                let expected = format!("one that no other {} has ({first} has it)", self.whose);
                report.error(at, quoted(id), expected);
            }
            None => {
                self.first.insert(id, at.to_string());
            }
        }
    }
}

/// A number as a fault shows it: huge and tiny ones as a power of ten.
#[derive(Clone, Copy, Debug)]
pub(super) struct Number(pub(super) f64);

impl Display for Number {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let size = self.0.abs();
        if self.0.is_finite() && size != 0.0 && !(1e-6..1e9).contains(&size) {
            write!(out, "{:e}", self.0)
        } else {
            write!(out, "{}", self.0)
        }
    }
}

/// A text in quotes, on one line, cut where it grows too long to read.
pub(in crate::site) fn quoted(text: &str) -> String {
    const SHOWN: usize = 60;
    let mut shown: String = text.chars().take(SHOWN).collect();
    if text.chars().nth(SHOWN).is_some() {
        shown.push('…');
    }
    format!("{shown:?}")
}

/// Ids one after the other, cut where there are too many to read.
pub(super) fn listed<'a>(ids: impl Iterator<Item = &'a str>) -> String {
    const SHOWN: usize = 12;
    let mut ids: Vec<&str> = ids.take(SHOWN + 1).collect();
    if ids.len() > SHOWN {
        ids.truncate(SHOWN);
        ids.push("…");
    }
    ids.join(", ")
}
