//! The survey on the plan: points of the field books where they lie, the next shot, and the
//! height of the ground wherever somebody points.

use std::sync::Arc;

use leptos::prelude::*;
use tober::Point;
use tober::survey::{PlaceProblem, Reduction};
use tober::units::LengthStyle;
use tober_drawing::Px;

use super::{level, plus_minus};
use crate::state::{Store, Tab, store};

/// Names are written from this scale on, metres for a pixel.
const NAMES_FROM: f64 = 0.12;
/// More points than this are not marked: they would be a carpet.
const MOST_MARKS: usize = 600;

/// Height of a line of names, and more than the middling width of its letters, pixels, as they are
/// drawn: tried on the page.
const LINE: f64 = 15.0;
const LETTER: f64 = 7.5;

/// A mark on the plan.
struct Mark {
    at: Point,
    class: &'static str,
    words: String,
}

/// The marks, while the survey is looked at.
#[component]
pub(crate) fn Marks() -> impl IntoView {
    let store = store();
    let marks = move || {
        if store.tab.get() != Tab::Survey || store.printing.get() {
            return None;
        }
        let options = store.plan_options();
        let next = store.next_shot.get();
        let marks = store.site.with(|site| {
            let books = site.file().field_books.iter().zip(site.reductions());
            let of_books = books.flat_map(|(book, reduction)| points(reduction, book.units));
            let next = next.filter(|(asked, _)| Arc::ptr_eq(asked, site));
            let next = next.map(|(_, next)| Mark {
                at: next.at,
                class: "survey-mark next-shot",
                words: "next shot".to_owned(),
            });
            of_books.take(MOST_MARKS).chain(next).collect::<Vec<_>>()
        });
        let mut written: Vec<Name> = Vec::new();
        let drawn = marks.iter().map(|mark| {
            let at = options.window.to_px(mark.at, options.width, options.height);
            let wanted = options.window.metres_per_px <= NAMES_FROM || mark.class != "survey-mark";
            let name = Name::new(at, &mark.words);
            let named = wanted && !written.iter().any(|before| before.is_over(&name));
            if named {
                written.push(name);
            }
            draw(mark, at, named)
        });
        let section = match store.section.get() {
            [Some(from), Some(to)] => {
                let [from, to] =
                    [from, to].map(|end| options.window.to_px(end, options.width, options.height));
                let line = format!("M{:.1} {:.1}L{:.1} {:.1}", from.x, from.y, to.x, to.y);
                Some(view! { <path class="section-line" id="section-line" d=line></path> })
            }
            _ => None,
        };
        Some(view! { {section}{drawn.collect_view()} })
    };
    view! { <g id="survey-marks">{marks}</g> }
}

/// The points of a book that have a place, and both places of those whose tapes cross twice.
fn points(reduction: &Reduction, units: LengthStyle) -> Vec<Mark> {
    let placed = reduction.points.iter().filter_map(|point| {
        Some(Mark {
            at: point.at?,
            class: "survey-mark",
            words: format!("{} {}", point.name, level(point.elevation, units)),
        })
    });
    let crossing = |(_, problem): &(usize, PlaceProblem)| match problem {
        PlaceProblem::Ambiguous { left, right, .. } => vec![(*left, "left?"), (*right, "right?")],
        _ => Vec::new(),
    };
    let either = reduction.lost_places.iter().flat_map(crossing);
    let either = either.map(|(at, words)| Mark {
        at,
        class: "survey-mark ambiguous",
        words: words.to_owned(),
    });
    placed.chain(either).collect()
}

/// Where a name is written, pixels.
struct Name {
    at: Px,
    long: f64,
}

impl Name {
    fn new(at: Px, words: &str) -> Name {
        let long = words.chars().count() as f64 * LETTER;
        Name { at, long }
    }

    /// Whether two names would lie over each other. The later is left out then, and comes when the
    /// plan is drawn larger.
    fn is_over(&self, other: &Name) -> bool {
        let apart = other.at.x - self.at.x;
        (other.at.y - self.at.y).abs() < LINE && -other.long < apart && apart < self.long
    }
}

fn draw(mark: &Mark, at: Px, is_named: bool) -> impl IntoView + use<> {
    let words = is_named.then(|| mark.words.clone());
    view! {
        <g class=mark.class transform=format!("translate({:.1} {:.1})", at.x, at.y)>
            <path d="M0 -5L4.3 2.5L-4.3 2.5Z"></path>
            <text x="8" y="-5">{words}</text>
        </g>
    }
}

/// The cross that the keyboard moves.
#[component]
pub(crate) fn Cross() -> impl IntoView {
    let store = store();
    let cross = move || {
        let at = store.probe.get().filter(|_| store.cross.get())?;
        if store.printing.get() {
            return None;
        }
        let options = store.plan_options();
        let at = options.window.to_px(at, options.width, options.height);
        Some(view! {
            <g class="ground-cross" id="ground-cross"
                transform=format!("translate({:.1} {:.1})", at.x, at.y)>
                <path d="M-14 0H-4M4 0H14M0 -14V-4M0 4V14"></path>
            </g>
        })
    };
    view! { {cross} }
}

/// The height of the ground at a place with its error, and the place, in words.
pub(super) fn height_words(store: &Store, at: Point) -> (String, String) {
    let style = store.style();
    let height = store
        .scene
        .with(|scene| scene.site.ground().height_and_error(at));
    let height = match height {
        Some((height, error)) => {
            format!("{} {}", style.format(height.0), plus_minus(error, style))
        }
        None => "not surveyed".to_owned(),
    };
    let place = format!("{} east, {} north", style.format(at.x), style.format(at.y));
    (height, place)
}

/// The height of the ground where somebody points; where the keyboard asks, it is spoken.
#[component]
pub(crate) fn Readout() -> impl IntoView {
    let store = store();
    let words = move || {
        let (height, place) = height_words(&store, store.probe.get()?);
        Some(view! {
            <p class="readout" id="readout"><strong>{height}</strong><span>{place}</span></p>
        })
    };
    let spoken = move || {
        let at = store.probe.get().filter(|_| store.cross.get())?;
        let (height, place) = height_words(&store, at);
        Some(format!("Ground {height}, at {place}"))
    };
    view! {
        {words}
        <p class="spoken" role="status" id="readout-spoken">{spoken}</p>
    }
}
