//! Where the ride stands: typed, stepped with a thumb, turned.

use leptos::prelude::*;
use tober::ride::builtin;
use tober::site::Placement;
use tober::units::parse_length;

use crate::field::Field;
use crate::parts::icon;
use crate::state::{Store, store};

/// One step of the pad, as it is written and in metres, for either kind of unit.
struct PadStep {
    metric: (&'static str, f64),
    feet: (&'static str, f64),
}

const PAD_STEPS: [PadStep; 3] = [
    PadStep {
        metric: ("10 mm", 0.01),
        feet: ("1/2 in", 0.0127),
    },
    PadStep {
        metric: ("0.1 m", 0.1),
        feet: ("4 in", 0.1016),
    },
    PadStep {
        metric: ("1 m", 1.0),
        feet: ("3 ft", 0.9144),
    },
];

impl PadStep {
    fn shown(&self, metric: bool) -> (&'static str, f64) {
        if metric { self.metric } else { self.feet }
    }
}

#[component]
pub(crate) fn Place() -> impl IntoView {
    let store = store();
    let fields = move || {
        // Another ride has other fields: what is half typed for one is not for the next.
        store.ride.track();
        view! { <Fields/> }
    };
    view! {
        {fields}
        <p class="hint">
            "East and north of the lot's origin to the hub. Heading: where the tongue points, clockwise from north."
        </p>
        <Turns/>
        <Pad/>
        <Rides/>
    }
}

/// Where it stands, as numbers that can be typed over.
#[component]
fn Fields() -> impl IntoView {
    let store = store();
    view! {
        <div class="fields">
            <Field id="east" label="East"
                value=Signal::derive(move || length(&store, |placement| placement.x))
                commit=Callback::new(move |typed: String| {
                    commit_length(&store, &typed, |placement, metres| placement.x = metres)
                })/>
            <Field id="north" label="North"
                value=Signal::derive(move || length(&store, |placement| placement.y))
                commit=Callback::new(move |typed: String| {
                    commit_length(&store, &typed, |placement, metres| placement.y = metres)
                })/>
            <Field id="heading" label="Heading"
                value=Signal::derive(move || heading(&store))
                commit=Callback::new(move |typed: String| commit_heading(&store, &typed))/>
        </div>
    }
}

fn length(store: &Store, pick: fn(&Placement) -> f64) -> String {
    store
        .with_ride(|ride, style| style.format(pick(&ride.placement)))
        .unwrap_or_default()
}

fn heading(store: &Store) -> String {
    store
        .with_ride(|ride, _| {
            // Two decimals at most: finer is not seen on any ground.
            let hundredths = (ride.placement.heading * 100.0).round() / 100.0;
            format!("{hundredths}°")
        })
        .unwrap_or_default()
}

fn commit_length(
    store: &Store,
    typed: &str,
    change: fn(&mut Placement, f64),
) -> Result<(), String> {
    let metres = parse_length(typed, store.style()).map_err(|error| error.to_string())?;
    commit(store, |placement| change(placement, metres))
}

fn commit_heading(store: &Store, typed: &str) -> Result<(), String> {
    let number = typed
        .trim()
        .trim_end_matches(|end: char| end == '°' || end.is_alphabetic() || end == ' ')
        .replace('−', "-");
    match number.parse::<f64>() {
        Ok(degrees) if degrees.is_finite() => commit(store, |placement| {
            placement.heading = degrees.rem_euclid(360.0);
        }),
        _ => Err(format!(
            "“{}” is not a heading. Write degrees clockwise from north, such as 75 or 247.5.",
            typed.trim()
        )),
    }
}

/// Moves the ride that is worked on, or says why it cannot stand there.
fn commit(store: &Store, change: impl FnOnce(&mut Placement)) -> Result<(), String> {
    let ride = store.ride.get_untracked();
    let Some(mut placement) = store.placement(ride) else {
        return Err("No ride is selected.".to_owned());
    };
    change(&mut placement);
    store
        .site
        .with_untracked(|site| site.with_placement(ride, placement))
        .map_err(|faults| faults.to_string())?;
    store.remember();
    store.move_now(ride, placement);
    Ok(())
}

/// Turning by buttons.
#[component]
fn Turns() -> impl IntoView {
    let store = store();
    let turn = move |degrees: f64| {
        store.nudge(store.ride.get_untracked(), |placement| {
            placement.heading += degrees;
        });
    };
    let steps = [
        (-15.0, "15° left", "turn-left"),
        (-1.0, "1° left", "turn-left"),
        (1.0, "1° right", "turn-right"),
        (15.0, "15° right", "turn-right"),
    ];
    view! {
        <h3>"Turn"</h3>
        <div class="turns" role="group" aria-label="Turn the ride">
            {steps
                .map(|(degrees, words, sign)| view! {
                    <button type="button" class="button" aria-label=format!("Turn {words}")
                        on:click=move |_| turn(degrees)>
                        {icon(sign)}{words}
                    </button>
                })
                .into_iter()
                .collect_view()}
            <button type="button" class="button wide" on:click=move |_| turn(180.0)>
                "Turn round (180°)"
            </button>
        </div>
    }
}

/// Eight arrows for one thumb, and how far one press goes.
#[component]
fn Pad() -> impl IntoView {
    let store = store();
    let chosen = RwSignal::new(1_usize);
    let metric = move || store.style().is_metric();
    let go = move |east: f64, north: f64| {
        let far = PAD_STEPS
            .get(chosen.get_untracked())
            .map_or(0.1, |step| step.shown(metric()).1);
        store.nudge(store.ride.get_untracked(), |placement| {
            placement.x += east * far;
            placement.y += north * far;
        });
    };
    let arrows = [
        ("north-west", "nw", -1.0, 1.0),
        ("north", "n", 0.0, 1.0),
        ("north-east", "ne", 1.0, 1.0),
        ("west", "w", -1.0, 0.0),
        ("east", "e", 1.0, 0.0),
        ("south-west", "sw", -1.0, -1.0),
        ("south", "s", 0.0, -1.0),
        ("south-east", "se", 1.0, -1.0),
    ];
    view! {
        <h3>"Move"</h3>
        <div class="pad-row">
            <div class="pad" role="group" aria-label="Move the ride">
                {arrows
                    .map(|(words, area, east, north)| view! {
                        <button type="button" class=format!("pad-arrow pad-{area}")
                            aria-label=format!("Move {words}")
                            on:click=move |_| go(east, north)>{icon("north")}</button>
                    })
                    .into_iter()
                    .collect_view()}
            </div>
            <fieldset class="steps">
                <legend>"One press"</legend>
                {PAD_STEPS
                    .iter()
                    .enumerate()
                    .map(|(index, step)| view! {
                        <label class="choice">
                            <input type="radio" name="pad-step" value=index.to_string()
                                prop:checked=move || chosen.get() == index
                                on:change=move |_| chosen.set(index)/>
                            <span>{move || step.shown(metric()).0}</span>
                        </label>
                    })
                    .collect_view()}
            </fieldset>
        </div>
    }
}

/// Adding and removing rides.
#[component]
fn Rides() -> impl IntoView {
    let store = store();
    let added = RwSignal::new(
        builtin()
            .first()
            .map(|it| it.id.clone())
            .unwrap_or_default(),
    );
    let name = move || store.with_ride(|ride, _| ride.name.clone());
    // A site has at least one ride.
    let lone = move || store.assessment.with(|it| it.rides.len() < 2);
    view! {
        <h3>"Rides on this lot"</h3>
        <div class="ride-tools">
            <label class="pick">
                <span>"Add a ride"</span>
                <select id="add-ride" on:change=move |event| added.set(event_target_value(&event))>
                    {builtin()
                        .iter()
                        .map(|it| view! { <option value=it.id.clone()>{it.name.clone()}</option> })
                        .collect_view()}
                </select>
            </label>
            <button type="button" class="button" id="add"
                on:click=move |_| store.add_ride(&added.get_untracked())>
                {icon("plus")}"Add"
            </button>
            <button type="button" class="button" id="remove" prop:disabled=lone
                on:click=move |_| store.remove_ride(store.ride.get_untracked())>
                {icon("trash")}
                {move || format!("Remove {}", name().unwrap_or_default())}
            </button>
        </div>
    }
}
