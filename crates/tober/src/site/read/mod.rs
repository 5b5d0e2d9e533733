//! Reading a site file from text.
//!
//! A sound file is read straight into its types. Only when that fails is the text read a second
//! time, for the sake of the answer: as JSON of any kind, from which `types` tells every value
//! that has the wrong type; or, when it is no JSON at all, `syntax` tells where it stops being.

mod lost;
mod place;
mod syntax;
mod types;
mod words;

use serde_json::Value;

use super::check::{self, limits};
use super::{Fault, Faults, SITE_VERSION, Severity, Site, SiteFile};
use crate::slices::Progress;

/// Why a site file cannot be used.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{0}")]
pub struct ReadError(Faults);

impl ReadError {
    /// Every fault found: at least one error, and then the warnings.
    pub fn faults(&self) -> &[Fault] {
        &self.0.0
    }
}

pub(super) async fn site(json: &str, pause: &impl AsyncFn(Progress)) -> Result<Site, ReadError> {
    // Some editors put a byte order mark before the text.
    let json = json.strip_prefix('\u{feff}').unwrap_or(json);
    if json.len() > limits::FILE_BYTES {
        return Err(ReadError(Faults(vec![error(
            "file",
            format!("{:.1} MiB", mebibytes(json.len())),
            format!("at most {} MiB", mebibytes(limits::FILE_BYTES)),
        )])));
    }
    match serde_json::from_str::<SiteFile>(json) {
        Ok(file) => {
            pause(Progress {
                doing: "Reading",
                done: 1,
                of: 1,
            })
            .await;
            Site::prepare(file, pause).await
        }
        Err(_) => Err(refusal(json)),
    }
    .map_err(ReadError)
}

/// Why a text is not a site file.
fn refusal(json: &str) -> Faults {
    let tree: Value = match serde_json::from_str(json) {
        Ok(tree) => tree,
        Err(error) => return Faults(vec![syntax::fault(json, &error)]),
    };
    if let Err(faults) = foreign(&tree) {
        return faults;
    }
    let mut faults: Vec<Fault> = types::given_twice(json, &tree).into_iter().collect();
    faults.extend(types::faults(tree));
    Faults(faults)
}

/// Refuses JSON that is not a site file, or one of another version.
fn foreign(tree: &Value) -> Result<(), Faults> {
    let one = |path, value| {
        let expected = format!("\"{}\": this is not a site file", super::SITE_FORMAT);
        Err(Faults(vec![error(path, value, expected)]))
    };
    let Some(keys) = tree.as_object() else {
        return Err(Faults(vec![error(
            "file",
            words::described(tree),
            "a site file: an object in braces".to_owned(),
        )]));
    };
    let version = match keys.get("version").and_then(Value::as_u64) {
        Some(version) => u32::try_from(version).unwrap_or(u32::MAX),
        // Not a whole number: its type is at fault, and told with the others.
        None => SITE_VERSION,
    };
    match keys.get("format") {
        Some(Value::String(format)) => check::foreign(format, version),
        Some(other) => one("format", words::described(other)),
        None => one("format", "missing".to_owned()),
    }
}

fn error(path: impl Into<String>, value: String, expected: String) -> Fault {
    Fault {
        severity: Severity::Error,
        path: path.into(),
        value,
        expected,
    }
}

fn mebibytes(bytes: usize) -> f64 {
    bytes as f64 / f64::from(1 << 20)
}
