//! What if the chairs flew at another speed: everything of this view is worked out anew, nothing
//! is kept, and it says so wherever it shows.

use leptos::prelude::*;
use tober::ride::Swing;

use crate::state::{Store, store};

/// The slider goes up to so many times the full speed.
const UP_TO: f64 = 1.5;

/// Nearer to full speed than this, turns a minute, it is full speed.
const STEP: f64 = 0.1;

/// The ride's full speed; `None` where its reach does not hang on how fast it turns.
fn full_speed(store: Store) -> Option<f64> {
    let ride = store.ride.get();
    store.site.with(|site| match &site.profile(ride)?.swing {
        Swing::HungChairs(chairs) => Some(chairs.full_speed_rpm),
        Swing::RigidArms(_) | Swing::Table(_) => None,
    })
}

fn turns(rpm: f64) -> String {
    format!("{rpm:.1} turns a minute")
}

/// What is imagined, in words; `None` at full speed.
fn imagined(store: Store) -> Option<String> {
    let full = full_speed(store)?;
    let rpm = store.imagined_speed()?;
    Some(format!("What if: {} in place of {full:.1}", turns(rpm)))
}

#[component]
pub(super) fn WhatIf() -> impl IntoView {
    let store = store();
    // Not built anew while the slider is drawn along.
    let full = Memo::new(move |_| full_speed(store));
    let speed = move || store.what_if.get().or(full.get()).unwrap_or(0.0);
    let reach = move || {
        store.with_shown_ride(|ride, style| {
            let reach = style.format_up(ride.envelope.radius);
            match ride.envelope.hang_angle_deg {
                Some(angle) => format!("chairs fly at {angle:.1}°, {reach} from the hub"),
                None => format!("{reach} from the hub"),
            }
        })
    };
    let slide = move |event: web_sys::Event| {
        let Some(full) = full.get_untracked() else {
            return;
        };
        let rpm: Option<f64> = event_target_value(&event).parse().ok();
        let other = rpm.filter(|rpm| (rpm - full).abs() >= STEP / 2.0);
        store.what_if.set(other);
    };
    view! {
        {move || full.get().map(|full| view! {
            <section class="what-if" class:imagined=move || store.imagined_speed().is_some()>
                <label for="what-if-speed">"What if it turned at another speed?"</label>
                <input type="range" id="what-if-speed" min="0" step=STEP.to_string()
                    max=format!("{:.1}", full * UP_TO)
                    prop:value=move || format!("{:.1}", speed())
                    aria-valuetext=move || turns(speed())
                    on:input=slide/>
                <p class="what-if-now" id="what-if-now">
                    <strong>{move || turns(speed())}</strong>
                    {move || if store.what_if.get().is_none() { ", full speed" } else { "" }}
                    ": " {reach}
                </p>
                <div role="status" id="what-if-status">
                    {move || imagined(store).map(|words| view! {
                        <p class="what-if-words">
                            <strong>{words}</strong>
                            ". Nothing of this is kept or printed; the ride maker's manual sets the speed."
                        </p>
                        <button type="button" class="button" id="what-if-back"
                            on:click=move |_| store.what_if.set(None)>
                            "Back to full speed"
                        </button>
                    })}
                </div>
            </section>
        })}
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
