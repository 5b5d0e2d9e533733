//! What if the chairs flew at another speed, or the arms rose to another angle: everything of
//! this view is worked out anew, nothing is kept, and it says so wherever it shows. Where a ride's
//! reach hangs on neither, it says that.

use leptos::prelude::*;
use tober::ride::Swing;

use crate::state::{Store, store};

/// The slider goes up to so many times the full speed.
const UP_TO: f64 = 1.5;

/// Nearer to what the profile says than this, turns a minute or degrees, it is that.
const STEP: f64 = 0.1;

/// What of a ride can be imagined otherwise.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Question {
    /// Chairs fly out with speed, turns a minute.
    Speed { full: f64 },
    /// Arms rise, degrees from the level.
    Raised { lowest: f64, highest: f64 },
    /// Nothing: why, in plain words.
    None(&'static str),
}

impl Question {
    fn of(store: Store) -> Option<Question> {
        let ride = store.ride.get();
        store.site.with(|site| {
            Some(match &site.profile(ride)?.swing {
                Swing::HungChairs(chairs) => Question::Speed {
                    full: chairs.full_speed_rpm,
                },
                Swing::RisingArms(arms) => Question::Raised {
                    lowest: arms.lowest_deg,
                    highest: arms.highest_deg,
                },
                Swing::RigidArms(_) => Question::None(
                    "Its arms are rigid: it reaches as far at any speed, so there is no speed to \
                     try.",
                ),
                Swing::Table(_) => Question::None(
                    "Its profile gives the space that it sweeps as a table for every speed, so \
                     there is no speed to try.",
                ),
            })
        })
    }

    /// What the profile says, and the slider's ends; nothing where nothing is asked.
    fn range(self) -> Option<(f64, f64, f64)> {
        match self {
            Question::Speed { full } => Some((full, 0.0, full * UP_TO)),
            Question::Raised { lowest, highest } => Some((highest, lowest, 90.0)),
            Question::None(_) => None,
        }
    }

    fn asks(self) -> &'static str {
        match self {
            Question::Raised { .. } => "What if the arms rose no farther, or farther?",
            _ => "What if it turned at another speed?",
        }
    }

    /// A value in words.
    fn words(self, value: f64) -> String {
        match self {
            Question::Raised { .. } => format!("arms up to {value:.1}°"),
            _ => format!("{value:.1} turns a minute"),
        }
    }

    /// What the profile's own value is called.
    fn own(self) -> &'static str {
        match self {
            Question::Raised { .. } => ", their highest",
            _ => ", full speed",
        }
    }

    fn back(self) -> &'static str {
        match self {
            Question::Raised { .. } => "Back to the highest",
            _ => "Back to full speed",
        }
    }
}

/// What is imagined, in words; `None` where nothing is.
fn imagined(store: Store) -> Option<String> {
    let question = Question::of(store)?;
    let (own, ..) = question.range()?;
    let other = store.imagined_other()?;
    Some(format!(
        "What if: {} in place of {own:.1}",
        question.words(other)
    ))
}

#[component]
pub(super) fn WhatIf() -> impl IntoView {
    let store = store();
    // Not built anew while the slider is drawn along.
    let question = Memo::new(move |_| Question::of(store));
    view! {
        {move || question.get().map(|question| match (question, question.range()) {
            (Question::None(why), _) => view! {
                <p class="hint" id="what-if-none">{why}</p>
            }.into_any(),
            (_, Some(range)) => view! { <Slider question range/> }.into_any(),
            _ => ().into_any(),
        })}
    }
}

#[component]
fn Slider(question: Question, range: (f64, f64, f64)) -> impl IntoView {
    let store = store();
    let (own, least, most) = range;
    let value = move || store.what_if.get().unwrap_or(own);
    let reach = move || {
        store.with_shown_ride(|ride, style| {
            let reach = style.format_up(ride.envelope.radius);
            match ride.envelope.hang_angle_deg {
                Some(angle) => format!("chairs fly at {angle:.1}°, {reach} from the hub"),
                None => {
                    let top = style.format_up(ride.envelope.heights().high);
                    format!("{reach} from the hub, {top} above the frame")
                }
            }
        })
    };
    let slide = move |event: web_sys::Event| {
        let other: Option<f64> = event_target_value(&event).parse().ok();
        let other = other.filter(|other| (other - own).abs() >= STEP / 2.0);
        store.what_if.set(other);
    };
    view! {
        <section class="what-if" class:imagined=move || store.imagined_other().is_some()>
            <label for="what-if-speed">{question.asks()}</label>
            <input type="range" id="what-if-speed" min=format!("{least:.1}") step=STEP.to_string()
                max=format!("{most:.1}")
                prop:value=move || format!("{:.1}", value())
                aria-valuetext=move || question.words(value())
                on:input=slide/>
            <p class="what-if-now" id="what-if-now">
                <strong>{move || question.words(value())}</strong>
                {move || if store.what_if.get().is_none() { question.own() } else { "" }}
                ": " {reach}
            </p>
            <div role="status" id="what-if-status">
                {move || imagined(store).map(|words| view! {
                    <p class="what-if-words">
                        <strong>{words}</strong>
                        ". Nothing of this is kept or printed; the ride maker's manual decides."
                    </p>
                    <button type="button" class="button" id="what-if-back"
                        on:click=move |_| store.what_if.set(None)>
                        {question.back()}
                    </button>
                })}
            </div>
        </section>
    }
}

/// Over the plan, while it shows what is only imagined.
#[component]
pub(crate) fn Flag() -> impl IntoView {
    let store = store();
    let words = move || imagined(store);
    view! {
        {move || words().map(|words| view! {
            <p class="what-if-flag" id="what-if-flag">{words} ". Not saved"</p>
        })}
    }
}
