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
//! Field books and point files are read from text: `readFieldBook`, `reduceBook`, `bookCsv`,
//! `readPoints`.
//!
//! A site comes in by one road, as the text of a site file: an object from JavaScript is
//! written as JSON first. So an object and a file are checked alike, unknown keys included.

#![deny(missing_docs)]

mod input;

use serde::{Deserialize, Serialize};
use tober::assess::Assessment;
use tober::site::{ReadError, Site};
use tober::survey::{FieldBook, PointFileChoice, Reduction, Standing, read_point_file};
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

/// Reduces a field book: elevations with their errors, what does not close, and which readings may
/// be to blame.
#[wasm_bindgen(
    js_name = reduceBook,
    unchecked_return_type = "Reduction & { standing: BookStanding }"
)]
pub fn reduce_book(
    #[wasm_bindgen(unchecked_param_type = "FieldBook")] book: JsValue,
) -> Result<JsValue, JsValue> {
    #[derive(Serialize)]
    struct Reduced {
        standing: Standing,
        #[serde(flatten)]
        reduction: Reduction,
    }
    let reduction = from_js::<FieldBook>(book)?.reduce();
    to_js(&Reduced {
        standing: reduction.standing(),
        reduction,
    })
}

/// Reads a field book from the text of a table; `undefined` when it is none. `bare` is the unit of
/// a bare number where the text does not say.
#[wasm_bindgen(
    js_name = readFieldBook,
    unchecked_return_type = "FieldBookText | undefined"
)]
pub fn read_field_book(
    text: &str,
    #[wasm_bindgen(unchecked_param_type = "LengthStyle | undefined")] bare: JsValue,
) -> Result<JsValue, JsValue> {
    let bare: Option<LengthStyle> = from_js(bare)?;
    let read = tober::survey::read_field_book(text, bare);
    read.map_or(Ok(JsValue::UNDEFINED), |read| to_js(&read))
}

/// Reads a file of points; what the file does not say is taken from `choice`.
#[wasm_bindgen(js_name = readPoints, unchecked_return_type = "PointFile")]
pub fn read_points(
    text: &str,
    #[wasm_bindgen(unchecked_param_type = "PointFileChoice | undefined")] choice: JsValue,
) -> Result<JsValue, JsValue> {
    let choice: Option<PointFileChoice> = from_js(choice)?;
    to_js(&read_point_file(text, choice.unwrap_or_default()))
}

/// The reduced points of a field book as a CSV table: metres, what is not known left empty.
#[wasm_bindgen(js_name = bookCsv)]
pub fn book_csv(
    #[wasm_bindgen(unchecked_param_type = "FieldBook")] book: JsValue,
) -> Result<String, JsValue> {
    Ok(from_js::<FieldBook>(book)?.reduce().to_csv())
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
