//! The plan: drawn in layers, worked with fingers, mouse and keys.

use std::sync::Arc;

use leptos::html::Div;
use leptos::prelude::*;
use tober::Step;
use tober_drawing::{Backdrop, PlanOptions, Px, describe, furniture, rides, title};
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

use crate::clear::Flag;
use crate::gesture::{Gesture, Target};
use crate::parts::icon;
use crate::state::{Store, store};
use crate::survey::{Cross, Marks, Readout};
use crate::timing::timed;

/// What one press of a zoom button or key does.
const ZOOM_STEP: f64 = 1.4;

#[component]
pub(crate) fn Plan() -> impl IntoView {
    let store = store();
    let frame = NodeRef::<Div>::new();
    let gesture = StoredValue::new(Gesture::new());
    watch_size(frame, store);

    let place = move |event: &web_sys::MouseEvent| {
        let rect = frame.get_untracked()?.get_bounding_client_rect();
        Some(Px::new(
            f64::from(event.client_x()) - rect.left(),
            f64::from(event.client_y()) - rect.top(),
        ))
    };
    let down = move |event: web_sys::PointerEvent| {
        if event.button() != 0 {
            return;
        }
        let (Some(at), Some(frame)) = (place(&event), frame.get_untracked()) else {
            return;
        };
        // Without the capture a drag still works until it leaves the plan.
        let _ = frame.set_pointer_capture(event.pointer_id());
        let on = Target::of(&event);
        ask(&store, at);
        gesture.update_value(|gesture| gesture.down(event.pointer_id(), at, on));
    };
    let moved = move |event: web_sys::PointerEvent| {
        if let Some(at) = place(&event) {
            ask(&store, at);
            gesture.update_value(|gesture| gesture.moved(event.pointer_id(), at, &store));
        }
    };
    let up = move |event: web_sys::PointerEvent| {
        gesture.update_value(|gesture| gesture.up(event.pointer_id(), &store));
    };
    let wheel = move |event: web_sys::WheelEvent| {
        event.prevent_default();
        if let Some(at) = place(&event) {
            // Lines and pages, where a wheel counts in them, as so many pixels.
            let unit = [1.0, 30.0, 400.0];
            let unit = unit.get(event.delta_mode() as usize).unwrap_or(&1.0);
            let turned = (event.delta_y() * unit).clamp(-400.0, 400.0);
            zoom(&store, libm::exp(-0.0022 * turned), at);
        }
    };

    view! {
        <section class="plan-pane" aria-label="Plan of the lot">
            <div
                class="plan-frame"
                class:placing=move || store.placing.with(Option::is_some)
                id="plan"
                node_ref=frame
                tabindex="0"
                role="application"
                aria-label="Plan: move the selected ride with the arrow keys"
                aria-describedby="plan-help"
                on:pointerdown=down
                on:pointermove=moved
                on:pointerup=up
                on:pointercancel=up
                on:pointerleave=move |event| {
                    // What a finger has asked for stays to be read.
                    if event.pointer_type() == "mouse" {
                        store.probe.set(None);
                    }
                }
                on:wheel=wheel
                on:keydown=move |event| press(&store, &event)
            >
                <Drawing/>
            </div>
            <p class="plan-help" id="plan-help">
                "Arrow keys move the selected ride, with Shift farther, with Alt finer. "
                "[ and ] turn it by a degree, with Shift by 15. "
                "Control Z undoes. Plus and minus zoom, 0 shows the lot, G goes to the ride, Page Up and Page Down choose the next ride. "
                "H asks for the height of the ground: the arrow keys then move a cross, until H or Escape puts it away."
            </p>
            <Readout/>
            <Flag/>
            <button type="button" class="tool grow" aria-label="Larger plan" title="Larger plan"
                aria-pressed=move || store.tall_plan.get().to_string()
                on:click=move |_| store.tall_plan.update(|tall| *tall = !*tall)>
                {icon("grow")}
            </button>
            <div class="plan-tools" role="group" aria-label="View">
                <button type="button" class="tool" aria-label="Zoom in" title="Zoom in"
                    on:click=move |_| zoom_middle(&store, ZOOM_STEP)>{icon("plus")}</button>
                <button type="button" class="tool" aria-label="Zoom out" title="Zoom out"
                    on:click=move |_| zoom_middle(&store, 1.0 / ZOOM_STEP)>{icon("minus")}</button>
                <button type="button" class="tool" aria-label="Show the whole lot" title="Show the whole lot" id="fit-lot"
                    on:click=move |_| store.fit_lot()>{icon("fit")}</button>
                <button type="button" class="tool" aria-label="Go to the ride" title="Go to the ride" id="go-to-ride"
                    on:click=move |_| store.go_to_ride()>{icon("target")}</button>
            </div>
        </section>
    }
}

/// The layers. Each is drawn anew only when what it shows has changed.
#[component]
fn Drawing() -> impl IntoView {
    let store = store();
    let backdrop = Memo::new(move |_| {
        let options = store.plan_options();
        store.scene.with(|scene| {
            timed("backdrop", "backdrop:start", || {
                Arc::new(Backdrop::draw(&scene.site, &scene.terrain, &options))
            })
        })
    });
    let rides_layer = move || {
        let backdrop = backdrop.get();
        let options = PlanOptions {
            picked: store.picked_row(),
            ..store.plan_options()
        };
        store.with_shown(|assessment| {
            timed("draw", "draw:start", || {
                rides(assessment, &options, &backdrop)
            })
        })
    };
    let over = move || {
        let options = store.plan_options();
        store.scene.with(|scene| furniture(&scene.site, &options))
    };
    let view_box = move || {
        let (width, height) = store.size.get();
        format!("0 0 {width:.0} {height:.0}")
    };
    view! {
        <svg class="plan" viewBox=view_box role="img" aria-labelledby="plan-title plan-words">
            <title id="plan-title">{move || store.assessment.with(|it| title(it))}</title>
            <desc id="plan-words">{move || store.assessment.with(|it| describe(it))}</desc>
            <g inner_html=move || backdrop.with(|it| it.svg().to_owned())></g>
            <g inner_html=rides_layer></g>
            <g inner_html=over></g>
            <Marks/>
            <Cross/>
        </svg>
    }
}

/// Keeps the drawing as large as its frame, and shows the whole lot once the size is known.
fn watch_size(frame: NodeRef<Div>, store: Store) {
    Effect::new(move || {
        let Some(element) = frame.get() else { return };
        let measured = element.clone();
        let measure = move || {
            let (width, height) = (
                f64::from(measured.client_width()),
                f64::from(measured.client_height()),
            );
            if width < 1.0 || height < 1.0 || (width, height) == store.size.get_untracked() {
                return;
            }
            store.resize(width, height);
        };
        measure();
        let changed = Closure::<dyn Fn()>::new(measure);
        if let Ok(observer) = web_sys::ResizeObserver::new(changed.as_ref().unchecked_ref()) {
            observer.observe(&element);
            // The plan is there as long as the page is.
            changed.forget();
        }
    });
}

/// Puts a cross on the middle of the plan, or away, for the keyboard to ask for heights with.
fn show_cross(store: &Store, is_shown: bool) {
    store.cross.set(is_shown);
    let centre = store.window.get_untracked().centre;
    store.probe.set(is_shown.then_some(centre));
}

/// Moves the cross by so many pixels to the right and upwards.
fn move_cross(store: &Store, event: &web_sys::KeyboardEvent, right: f64, up: f64) {
    let pixels = match (event.shift_key(), event.alt_key()) {
        (true, _) => 50.0,
        (_, true) => 1.0,
        _ => 10.0,
    };
    let metres = pixels * store.window.get_untracked().metres_per_px;
    store.probe.update(|probe| {
        if let Some(at) = probe {
            *at += Step::new(right, up) * metres;
        }
    });
}

/// Asks for the height of the ground under a pixel.
fn ask(store: &Store, at: Px) {
    if store.cross.get_untracked() {
        store.cross.set(false);
    }
    let (width, height) = store.size.get_untracked();
    let window = store.window.get_untracked();
    store.probe.set(Some(window.to_lot(at, width, height)));
}

fn zoom(store: &Store, factor: f64, about: Px) {
    let (width, height) = store.size.get_untracked();
    let window = store.window.get_untracked();
    store.look_at(window.zoomed(factor, about, width, height));
}

fn zoom_middle(store: &Store, factor: f64) {
    let (width, height) = store.size.get_untracked();
    zoom(store, factor, Px::new(width / 2.0, height / 2.0));
}

/// A key on the plan.
fn press(store: &Store, event: &web_sys::KeyboardEvent) {
    if event.ctrl_key() || event.meta_key() {
        match (event.key().as_str(), event.shift_key()) {
            ("z", false) => store.undo(),
            ("z" | "Z", true) | ("y", false) => store.redo(),
            _ => return,
        }
        event.prevent_default();
        return;
    }
    let ride = store.ride.get_untracked();
    let metric = store.style().is_metric();
    let far = match (event.shift_key(), event.alt_key(), metric) {
        (true, _, true) => 1.0,
        (true, _, false) => 0.9144,
        (_, true, true) => 0.01,
        (_, true, false) => 0.0127,
        (_, _, true) => 0.1,
        (_, _, false) => 0.1016,
    };
    let shift = |east: f64, north: f64| {
        store.nudge(ride, |placement| {
            placement.x += east * far;
            placement.y += north * far;
        });
    };
    let turn = |degrees: f64| store.nudge(ride, |placement| placement.heading += degrees);
    if store.cross.get_untracked() {
        let step = match event.key().as_str() {
            "ArrowUp" => Some((0.0, 1.0)),
            "ArrowDown" => Some((0.0, -1.0)),
            "ArrowLeft" => Some((-1.0, 0.0)),
            "ArrowRight" => Some((1.0, 0.0)),
            _ => None,
        };
        if let Some((right, up)) = step {
            move_cross(store, event, right, up);
            event.prevent_default();
            return;
        }
    }
    match event.key().as_str() {
        "h" | "H" => show_cross(store, !store.cross.get_untracked()),
        "Escape" => {
            show_cross(store, false);
            store.placing.set(None);
        }
        "ArrowUp" => shift(0.0, 1.0),
        "ArrowDown" => shift(0.0, -1.0),
        "ArrowLeft" => shift(-1.0, 0.0),
        "ArrowRight" => shift(1.0, 0.0),
        "[" => turn(-1.0),
        "]" => turn(1.0),
        "{" => turn(-15.0),
        "}" => turn(15.0),
        "+" | "=" => zoom_middle(store, ZOOM_STEP),
        "-" => zoom_middle(store, 1.0 / ZOOM_STEP),
        "0" => store.fit_lot(),
        "g" | "G" => store.go_to_ride(),
        "PageDown" => choose(store, 1),
        "PageUp" => choose(store, -1),
        _ => return,
    }
    event.prevent_default();
}

/// The next ride in the list, or the one before.
fn choose(store: &Store, step: isize) {
    let count = store.assessment.with_untracked(|it| it.rides.len());
    if count > 0 {
        let ride = store.ride.get_untracked() as isize + step;
        store.select(ride.rem_euclid(count as isize) as usize);
    }
}
