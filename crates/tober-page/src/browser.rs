//! The few things asked of the browser itself.

use leptos::prelude::*;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

use crate::state::Store;

/// Hangs a stylesheet onto the document, without a `<style>` element that a content security
/// policy would have to allow.
pub(crate) fn adopt_style(text: &str) {
    let (Some(document), Ok(sheet)) = (document(), web_sys::CssStyleSheet::new()) else {
        return;
    };
    if sheet.replace_sync(text).is_ok() {
        let sheets = document.adopted_style_sheets();
        sheets.push(&sheet);
    }
}

/// Says that the page has stopped, where a person sees it. Nothing typed is lost: the last
/// state is kept at every change.
pub(crate) fn report_stop(why: &str) {
    web_sys::console::error_1(&JsValue::from_str(why));
    let Some(document) = document() else { return };
    let (Some(body), Ok(banner)) = (document.body(), document.create_element("p")) else {
        return;
    };
    banner.set_class_name("stopped");
    // Setting an attribute of a fresh element and adding it to the body cannot fail in a way
    // that could still be reported.
    let _ = banner.set_attribute("role", "alert");
    banner.set_text_content(Some(
        "The page has stopped: that is our mistake. Reload it; your last change is kept.",
    ));
    let _ = body.prepend_with_node_1(&banner);
}

fn document() -> Option<web_sys::Document> {
    web_sys::window()?.document()
}

/// Has the browser's own title follow the site's name.
pub(crate) fn name_document(store: Store) {
    Effect::new(move || {
        let title = store.assessment.with(|it| format!("{} · Tober", it.site));
        if let Some(document) = document() {
            document.set_title(&title);
        }
    });
}

/// The time of day, seconds since the beginning of 1970.
pub(crate) fn unix_seconds() -> i64 {
    (js_sys::Date::now() / 1000.0) as i64
}

/// A time as the clock on the wall here shows it: `2026-05-02 14:30`.
pub(crate) fn local_time(unix_seconds: i64) -> String {
    let date = js_sys::Date::new(&JsValue::from_f64(unix_seconds as f64 * 1000.0));
    if date.get_time().is_nan() {
        return "at an unknown time".to_owned();
    }
    format!(
        "{}-{:02}-{:02} {:02}:{:02}",
        date.get_full_year(),
        date.get_month() + 1,
        date.get_date(),
        date.get_hours(),
        date.get_minutes()
    )
}

/// Whether the page is laid out for a phone, as the stylesheet does it.
pub(crate) fn is_narrow() -> bool {
    const NARROW: &str = "(max-width: 820px) and (orientation: portrait), (max-width: 560px)";
    let window = web_sys::window();
    let query = window.and_then(|window| window.match_media(NARROW).ok()?);
    query.is_some_and(|query| query.matches())
}

/// Lets the browser draw and answer before it goes on.
pub(crate) async fn turn() {
    let timeout = js_sys::Promise::new(&mut |resolve, _| {
        if let Some(window) = web_sys::window() {
            // A window that cannot wait has no turn to give: the work would stop, and it says so.
            if let Err(error) = window.set_timeout_with_callback(&resolve) {
                web_sys::console::error_1(&error);
            }
        }
    });
    // A timeout is never refused.
    let _ = JsFuture::from(timeout).await;
}

/// Milliseconds since the page was opened.
pub(crate) fn now() -> f64 {
    performance().map_or(0.0, |performance| performance.now())
}

pub(crate) fn performance() -> Option<web_sys::Performance> {
    web_sys::window()?.performance()
}

/// Hands a text of a media type to the person as a file.
pub(crate) fn download(name: &str, text: &str, kind: &str) -> Result<(), JsValue> {
    let parts = js_sys::Array::of1(&JsValue::from_str(text));
    let options = web_sys::BlobPropertyBag::new();
    options.set_type(kind);
    let blob = web_sys::Blob::new_with_str_sequence_and_options(&parts, &options)?;
    let url = web_sys::Url::create_object_url_with_blob(&blob)?;
    let link: web_sys::HtmlAnchorElement = document()
        .ok_or(JsValue::NULL)?
        .create_element("a")?
        .dyn_into()?;
    link.set_href(&url);
    link.set_download(name);
    link.click();
    web_sys::Url::revoke_object_url(&url)
}

/// Gives the keyboard to the text field of that id, with what it holds selected, to be typed
/// over; false when there is none.
pub(crate) fn focus_text(id: &str) -> bool {
    let element = document().and_then(|document| document.get_element_by_id(id));
    let field = element.and_then(|element| element.dyn_into::<web_sys::HtmlInputElement>().ok());
    let Some(field) = field else { return false };
    // A field that cannot take the focus stays as it is.
    let _ = field.focus();
    field.select();
    true
}

/// Brings the element of that id into view, and gives it the keyboard.
pub(crate) fn focus(id: &str) {
    let element = document().and_then(|document| document.get_element_by_id(id));
    if let Some(element) =
        element.and_then(|element| element.dyn_into::<web_sys::HtmlElement>().ok())
    {
        // An element that cannot take the focus stays as it is.
        let _ = element.focus();
    }
}
