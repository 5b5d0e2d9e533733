//! An object from JavaScript, as the text of a site file.

use js_sys::{JSON, JsString};
use tober::site::{Fault, Severity};
use wasm_bindgen::prelude::*;

/// Writes an object as JSON, without loss of what is wrong with it.
///
/// `JSON.stringify` alone would write NaN and infinities as null, and a fault would then speak
/// of a null that nobody has written: here they become strings, which are no numbers either.
pub(crate) fn json(object: &JsValue) -> Result<String, JsValue> {
    let mut keep = |_key: JsString, value: JsValue| {
        Ok(Some(match value.as_f64() {
            Some(number) if !number.is_finite() => name_of(number).into(),
            _ => value,
        }))
    };
    let text = JSON::stringify_with_replacer_func(object, &mut keep, None)
        // Objects that hold themselves, and integers of a type that JSON lacks.
        .map_err(|error| unwritable(&error))?;
    // Undefined and functions have no JSON at all.
    text.as_string().ok_or_else(|| unwritable(object))
}

/// What JavaScript calls a number that is not finite.
fn name_of(number: f64) -> &'static str {
    if number.is_nan() {
        "NaN"
    } else if number > 0.0 {
        "Infinity"
    } else {
        "-Infinity"
    }
}

fn unwritable(value: &JsValue) -> JsValue {
    let fault = Fault {
        severity: Severity::Error,
        path: "file".to_owned(),
        value: format!("{value:?}"),
        expected: "an object that can be written as JSON".to_owned(),
    };
    match super::to_js(&[fault]) {
        Ok(faults) | Err(faults) => faults,
    }
}
