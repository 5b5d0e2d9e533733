//! The seat map: cars in their rings, each tapped emptier or fuller; the speed; the wind.

use leptos::prelude::*;
use tober::loads::Trial;
use tober::ride::SeatRing;

use crate::state::store;

/// Radius of the outermost ring on the map, and how much the next one is nearer in.
const OUTER: f64 = 86.0;
const BETWEEN: f64 = 30.0;
/// The hub, which no ring comes nearer to.
const HUB: f64 = 22.0;
/// How much of the room between neighbours a car takes, and its largest radius.
const SHARE: f64 = 0.44;
const LARGEST: f64 = 13.0;

/// The slider goes in such steps, turns a minute.
const STEP: f64 = 0.1;

#[component]
pub(super) fn Seats(trial: RwSignal<Option<Trial>>) -> impl IntoView {
    let store = store();
    let rings = Memo::new(move |_| {
        store.site.with(|site| {
            let profile = site.profile(store.ride.get());
            profile.map(|it| it.loads.seats.clone()).unwrap_or_default()
        })
    });
    let full = move || {
        store
            .site
            .with_untracked(|site| Trial::all_full(site, store.ride.get_untracked()))
            .unwrap_or_default()
    };
    let change = move |make: &dyn Fn(&mut Trial)| {
        let mut now = trial.get_untracked().unwrap_or_else(full);
        make(&mut now);
        trial.set(Some(now));
    };
    let fullest = Memo::new(move |_| {
        rings.track();
        full()
    });
    let shown = move || trial.get().unwrap_or_else(|| fullest.get());
    let top = move || fullest.with(|full| full.rpm);
    let every = move |seats: fn(&SeatRing) -> u32| {
        change(&|trial| {
            trial.full_seats = rings.with_untracked(|rings| {
                let rings = rings.iter();
                rings
                    .map(|ring| vec![seats(ring); ring.cars as usize])
                    .collect()
            });
        });
    };
    let half = move |_| {
        change(&|trial| {
            rings.with_untracked(|rings| {
                for (cars, ring) in trial.full_seats.iter_mut().zip(rings) {
                    let left = cars.len() / 2;
                    for (index, car) in cars.iter_mut().enumerate() {
                        *car = if index < left { 0 } else { ring.seats_in_car };
                    }
                }
            });
        });
    };
    let map = move || {
        rings.with(|rings| {
            let each = rings.iter().enumerate();
            each.map(|(index, ring)| cars(trial, change, fullest, index, ring))
                .collect_view()
        })
    };
    view! {
        <section class="seats" aria-label="Riders">
            <h3>"Who sits where"</h3>
            <p class="hint">
                "Tap a car to empty or fill it. The feet below answer for wherever the ride is in \
                 its round."
            </p>
            <div class="seat-tools">
                <button type="button" class="button" id="seats-full"
                    on:click=move |_| every(|ring| ring.seats_in_car)>"All full"</button>
                <button type="button" class="button" id="seats-half" on:click=half>
                    "One half empty"
                </button>
                <button type="button" class="button" id="seats-empty"
                    on:click=move |_| every(|_| 0)>"All empty"</button>
            </div>
            <svg class="seat-map" viewBox="-104 -104 208 208" role="group" aria-label="Seat map">
                <circle class="seat-hub" cx="0" cy="0" r="10"></circle>
                {map}
            </svg>
            <label class="seat-speed" for="seat-speed">
                "Speed: "
                <strong>{move || format!("{:.1} turns a minute", shown().rpm)}</strong>
            </label>
            <input type="range" id="seat-speed" min="0" step=STEP.to_string()
                max=move || format!("{:.1}", top())
                prop:value=move || format!("{:.1}", shown().rpm)
                aria-valuetext=move || format!("{:.1} turns a minute", shown().rpm)
                on:input=move |event| {
                    if let Ok(rpm) = event_target_value(&event).parse::<f64>() {
                        change(&|trial| trial.rpm = rpm);
                    }
                }/>
            <label class="choice">
                <input type="checkbox" id="seat-wind" prop:checked=move || shown().with_wind
                    on:change=move |event| {
                        let with = event_target_checked(&event);
                        change(&|trial| trial.with_wind = with);
                    }/>
                <span>"With the wind that it may work in"</span>
            </label>
        </section>
    }
}

/// The cars of one ring.
fn cars<C: Fn(&dyn Fn(&mut Trial)) + Copy + Send + Sync + 'static>(
    trial: RwSignal<Option<Trial>>,
    change: C,
    fullest: Memo<Trial>,
    ring_index: usize,
    ring: &SeatRing,
) -> impl IntoView + use<C> {
    let radius = (OUTER - BETWEEN * ring_index as f64).max(HUB);
    let count = ring.cars.max(1);
    let seats = ring.seats_in_car;
    let room = std::f64::consts::PI * radius / f64::from(count);
    let size = (2.0 * room * SHARE).min(LARGEST);
    let ring_cars = (0..ring.cars).map(move |car| {
        let angle = f64::from(car) / f64::from(count) * std::f64::consts::TAU;
        let (sin, cos) = libm::sincos(angle);
        let (x, y) = (radius * sin, -radius * cos);
        let full = move || {
            let of = |trial: &Trial| {
                let cars = trial.full_seats.get(ring_index);
                cars.and_then(|cars| cars.get(car as usize)).copied()
            };
            let now = trial.with(|trial| trial.as_ref().and_then(of));
            now.or_else(|| fullest.with(of)).unwrap_or(seats)
        };
        let emptier = move || {
            change(&|trial| {
                let cars = trial.full_seats.get_mut(ring_index);
                if let Some(full) = cars.and_then(|cars| cars.get_mut(car as usize)) {
                    *full = full.checked_sub(1).unwrap_or(seats);
                }
            });
        };
        let class = move || match full() {
            0 => "car empty",
            full if full >= seats => "car full",
            _ => "car part",
        };
        let label = move || format!("Car {}: {} of {seats} seats full", car + 1, full());
        view! {
            <g class=class role="button" tabindex="0" aria-label=label
                on:click=move |_| emptier()
                on:keydown=move |event: web_sys::KeyboardEvent| {
                    if matches!(event.key().as_str(), "Enter" | " ") {
                        event.prevent_default();
                        emptier();
                    }
                }>
                <circle cx=format!("{x:.1}") cy=format!("{y:.1}") r=format!("{size:.1}")></circle>
                <text x=format!("{x:.1}") y=format!("{:.1}", y + size * 0.35)
                    font-size=format!("{size:.1}") text-anchor="middle">
                    {move || full().to_string()}
                </text>
            </g>
        }
    });
    ring_cars.collect_view()
}
