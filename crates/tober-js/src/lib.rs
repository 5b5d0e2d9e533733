//! The calculator as a typed JavaScript library, for other people's pages.
//!
//! ```js
//! import init, { assess, formatLength } from "./tober.js";
//! await init();
//! try {
//!   const answer = assess(site); // the object of a site file
//!   for (const ride of answer.rides) console.log(ride.name, ride.verdict);
//! } catch (faults) {
//!   for (const fault of faults) console.log(fault.path, fault.value, fault.expected);
//! }
//! ```
//!
//! A site comes in by one road, as the text of a site file: an object from JavaScript is
//! written as JSON first. So an object and a file are checked alike, unknown keys included.

#![deny(missing_docs)]

mod input;

use serde::{Deserialize, Serialize};
use tober::assess::Assessment;
use tober::site::{ReadError, Site};
use tober::units::LengthStyle;
use tober_drawing::PlanOptions;
use wasm_bindgen::prelude::*;

/// Declarations of every type that goes in or comes out; a test keeps them current.
#[wasm_bindgen(typescript_custom_section)]
const TYPES: &str = include_str!("types.d.ts");

/// Assesses a site, given as the object of a site file.
///
/// Throws `Fault[]` when the site cannot be used.
#[wasm_bindgen(unchecked_return_type = "Assessment")]
pub fn assess(
    #[wasm_bindgen(unchecked_param_type = "SiteFile")] site: &JsValue,
) -> Result<JsValue, JsValue> {
    to_js(&tober::assess::assess(&read(&input::json(site)?)?))
}

/// Assesses a site, given as the text of a site file; answers with the text of an assessment.
///
/// Throws `Fault[]` when the site cannot be used.
#[wasm_bindgen(js_name = assessJson)]
pub fn assess_json(text: &str) -> Result<String, JsValue> {
    let assessment = tober::assess::assess(&read(text)?);
    serde_json::to_string(&assessment).map_err(|error| JsError::from(error).into())
}

/// Draws the plan view of a site, the whole lot, as an SVG document of a width and a height in
/// CSS pixels. `selected` is the place in the list of a ride to draw as the one worked on.
///
/// Throws `Fault[]` when the site cannot be used.
#[wasm_bindgen(js_name = planSvg)]
pub fn plan_svg(
    #[wasm_bindgen(unchecked_param_type = "SiteFile")] site: &JsValue,
    width: f64,
    height: f64,
    selected: Option<usize>,
) -> Result<String, JsValue> {
    let site = read(&input::json(site)?)?;
    let assessment: Assessment = tober::assess::assess(&site);
    let options = PlanOptions {
        selected,
        ..PlanOptions::fit(&site, width, height)
    };
    Ok(tober_drawing::plan_svg(&site, &assessment, &options))
}

/// Reads a length as people write it, in metres; a bare number is in the unit of `bare`.
///
/// Throws an `Error` whose message shows what would have worked.
#[wasm_bindgen(js_name = parseLength)]
pub fn parse_length(
    text: &str,
    #[wasm_bindgen(unchecked_param_type = "LengthStyle")] bare: JsValue,
) -> Result<f64, JsValue> {
    let bare: LengthStyle = from_js(bare)?;
    tober::units::parse_length(text, bare).map_err(|error| JsError::from(error).into())
}

/// Prints a length in metres as people write it.
#[wasm_bindgen(js_name = formatLength)]
pub fn format_length(
    metres: f64,
    #[wasm_bindgen(unchecked_param_type = "LengthStyle")] style: JsValue,
) -> Result<String, JsValue> {
    let style: LengthStyle = from_js(style)?;
    Ok(style.format(metres))
}

fn read(text: &str) -> Result<Site, JsValue> {
    Site::read(text).map_err(|error: ReadError| match to_js(error.faults()) {
        Ok(faults) | Err(faults) => faults,
    })
}

fn to_js<T: Serialize + ?Sized>(value: &T) -> Result<JsValue, JsValue> {
    // As `JSON.parse` would give it: objects, not maps; null, not undefined.
    let serializer = serde_wasm_bindgen::Serializer::json_compatible();
    Ok(value.serialize(&serializer)?)
}

fn from_js<T: for<'de> Deserialize<'de>>(value: JsValue) -> Result<T, JsValue> {
    Ok(serde_wasm_bindgen::from_value(value)?)
}
