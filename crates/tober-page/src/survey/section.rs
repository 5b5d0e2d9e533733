//! A section: the ground along the straight line between two places, drawn and in words.

use leptos::prelude::*;
use tober::Point;
use tober::units::parse_length;
use tober_drawing::{describe_section, section_view};

use crate::field::Field;
use crate::parts::icon;
use crate::state::{Store, store};

/// Size of the drawing, CSS pixels: as wide as the narrowest panel holds.
const SIZE: (f64, f64) = (330.0, 150.0);

/// Two places, written, named or pointed at, and the ground between them.
#[component]
pub(super) fn Section() -> impl IntoView {
    let store = store();
    let ends = store.section;
    let field = move |index: usize| {
        let value = Signal::derive(move || {
            let at = ends.with(|ends| ends.get(index).copied().flatten());
            at.map_or_else(String::new, |at| shown(&store, at))
        });
        let commit = Callback::new(move |typed: String| {
            let at = match typed.trim() {
                "" => None,
                typed => Some(place(&store, typed)?),
            };
            set(&store, index, at);
            Ok(())
        });
        (value, commit)
    };
    let [(from, set_from), (to, set_to)] = [field(0), field(1)];
    let pointed = move |index: usize| {
        let label = if index == 0 { "From" } else { "To" };
        let id = if index == 0 {
            "section-from-here"
        } else {
            "section-to-here"
        };
        view! {
            <button type="button" class="button" id=id
                disabled=move || store.probe.with(Option::is_none)
                on:click=move |_| set(&store, index, store.probe.get_untracked())>
                {icon("target")}{format!("{label} the place pointed at")}
            </button>
        }
    };
    let drawn = move || {
        let [Some(from), Some(to)] = ends.get() else {
            return None;
        };
        let style = store.style();
        let section = store
            .scene
            .with(|scene| scene.site.ground().section(from, to));
        let picture = section_view(&section, style, SIZE);
        Some(view! {
            <div class="side-view" id="section-view" inner_html=picture></div>
            <p id="section-words">{describe_section(&section, style)}</p>
        })
    };
    view! {
        <details class="judging" id="section">
            <summary>"Section between two points"</summary>
            <p class="hint">
                "A point by its name, or a place as east, north; or tap the plan and take that."
            </p>
            <div class="fields">
                <Field id="section-from" label="From" value=from commit=set_from/>
                <Field id="section-to" label="To" value=to commit=set_to/>
            </div>
            <div class="book-tools">{pointed(0)}{pointed(1)}</div>
            {drawn}
        </details>
    }
}

fn set(store: &Store, index: usize, at: Option<Point>) {
    store.section.update(|ends| {
        if let Some(end) = ends.get_mut(index) {
            *end = at;
        }
    });
}

fn shown(store: &Store, at: Point) -> String {
    let style = store.style();
    format!("{}, {}", style.format(at.x), style.format(at.y))
}

/// A point of a field book or a foot of the ride by its name, or a place by its coordinates.
fn place(store: &Store, typed: &str) -> Result<Point, String> {
    let is_it = |name: &str| name.trim().to_lowercase() == typed.to_lowercase();
    let of_books = store.site.with_untracked(|site| {
        let mut points = site.reductions().iter().flat_map(|book| &book.points);
        points.find_map(|point| point.at.filter(|_| is_it(&point.name)))
    });
    let of_feet = || {
        let feet = super::feet(store);
        feet.into_iter()
            .find(|(name, _)| is_it(name))
            .map(|(_, at)| at)
    };
    if let Some(at) = of_books.or_else(of_feet) {
        return Ok(at);
    }
    let style = store.style();
    let coordinate = |text: &str| parse_length(text, style).map_err(|error| error.to_string());
    let (east, north) = (typed
        .split_once(", ")
        .or_else(|| typed.split_once([',', ';'])))
    .ok_or_else(|| {
        format!("{typed:?} is no point of a field book, no foot, and no place as east, north")
    })?;
    Ok(Point::new(coordinate(east)?, coordinate(north)?))
}
