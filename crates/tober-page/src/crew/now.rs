//! One act at a time, for hands in gloves.

use leptos::prelude::*;
use tober::level::{Act, ActKind, Piece, SupportKind};

use super::phase::{Choice, Phase};
use crate::browser;
use crate::level::{number, tick_prefix};
use crate::stack;
use crate::state::{Store, store};
use crate::words;

/// Presses that follow each other this fast are one press of a thick glove, milliseconds.
const ONE_PRESS: f64 = 350.0;

/// The acts of the ride that is worked on, and what is known beside them.
#[derive(Clone, Debug, PartialEq)]
struct Order {
    phase: Phase,
    prefix: String,
    acts: Vec<Step>,
    wheels: Vec<String>,
}

/// An act, with what a person needs for it.
#[derive(Clone, Debug, PartialEq)]
struct Step {
    act: Act,
    /// Of the support in the drawing.
    number: Option<usize>,
    /// Blocks to set, or packing under the jack's pad, from the ground up.
    pieces: Vec<Piece>,
}

impl Order {
    fn of(store: &Store) -> Option<Order> {
        store.with_ride(|ride, _| {
            let plan = &ride.level;
            let phase = Phase::of(store, &ride.id);
            let acts = phase.acts(plan);
            let pieces = |act: &Act| {
                let stack = plan.outriggers.iter().find(|it| it.id == act.support);
                let jack = plan.jacks.iter().find(|it| it.id == act.support);
                match act.kind {
                    ActKind::Block | ActKind::Unblock => stack.map(|it| it.pieces.clone()),
                    ActKind::Pin => jack.map(|it| it.packing.clone()),
                    _ => None,
                }
                .unwrap_or_default()
            };
            let wheels = ride.ground.points.iter();
            Order {
                phase,
                prefix: tick_prefix(&ride.id, acts),
                acts: acts
                    .iter()
                    .map(|act| Step {
                        act: act.clone(),
                        number: number(plan, &act.support),
                        pieces: pieces(act),
                    })
                    .collect(),
                wheels: wheels
                    .filter(|point| point.kind == SupportKind::Wheel)
                    .map(|point| point.id.clone())
                    .collect(),
            }
        })
    }

    fn key(&self, index: usize) -> String {
        format!("{}{index}", self.prefix)
    }

    /// The first act that is not ticked off; how many there are when all are.
    fn current(&self, store: &Store) -> usize {
        store.ticks.with(|ticks| {
            (0..self.acts.len())
                .find(|&index| !ticks.contains(&self.key(index)))
                .unwrap_or(self.acts.len())
        })
    }
}

/// The support that is worked at now.
pub(super) fn current_support(store: &Store) -> Option<String> {
    let order = Order::of(store)?;
    let step = order.acts.get(order.current(store))?;
    Some(step.act.support.clone())
}

/// The card with the act of the moment. Nothing where there is nothing to do.
#[component]
pub(super) fn Now() -> impl IntoView {
    let store = store();
    let order = Memo::new(move |_| Order::of(&store).filter(|it| !it.acts.is_empty()));
    let at = Memo::new(move |_| order.with(|order| order.as_ref().map(|it| it.current(&store))));
    let any = Memo::new(move |_| order.with(Option::is_some));
    let total = move || order.with(|order| order.as_ref().map_or(0, |it| it.acts.len()));
    let done = move || at.get().unwrap_or(0);
    let last_press = StoredValue::new(f64::NEG_INFINITY);
    // Ticks the act of the moment, or takes the last tick back.
    let press = move |forward: bool| {
        let now = browser::now();
        if now - last_press.get_value() < ONE_PRESS {
            return;
        }
        last_press.set_value(now);
        let index = at.get_untracked().unwrap_or(0);
        order.with_untracked(|order| {
            let Some(order) = order else { return };
            store.ticks.update(|ticks| {
                if forward && index < order.acts.len() {
                    ticks.insert(order.key(index));
                } else if !forward && index > 0 {
                    ticks.remove(&order.key(index - 1));
                }
            });
        });
    };
    let card = move || {
        order.with(|order| {
            let order = order.as_ref()?;
            let step = order.acts.get(at.get()?);
            Some(match step {
                Some(step) => act(step, &order.wheels).into_any(),
                None => view! {
                    <p class="now-act">"Every act is done."</p>
                    <p>{match order.phase {
                        Phase::BuildUp => "Put a level on the frame, along and across, and write \
                            down what it shows under “What the level shows”.",
                        Phase::TearDown => "Walk round it before it is hitched up: legs pinned, \
                            outriggers up, no block left on the ground.",
                    }}</p>
                }
                .into_any(),
            })
        })
    };
    view! {
        <Show when=move || any.get()>
            <section class="now" aria-labelledby="now-title">
                <Choice/>
                <div class="now-head">
                    <h3 id="now-title">"Do this now"</h3>
                    <p id="now-count">{move || format!("{} of {} done", done(), total())}</p>
                </div>
                <progress class="now-progress" aria-label="Acts done"
                    max=move || total().to_string()
                    prop:value=move || done() as f64></progress>
                <div class="now-card" id="now" aria-live="polite" aria-atomic="true">{card}</div>
                <div class="now-buttons">
                    <button type="button" class="button now-back" id="now-back"
                        prop:disabled=move || done() == 0 on:click=move |_| press(false)>
                        "Back"
                    </button>
                    <button type="button" class="button now-done" id="now-done"
                        prop:disabled=move || done() == total() on:click=move |_| press(true)>
                        "Done"
                    </button>
                </div>
            </section>
        </Show>
    }
}

fn act(step: &Step, wheels: &[String]) -> impl IntoView + use<> {
    let act = &step.act;
    let stacked = matches!(act.kind, ActKind::Block | ActKind::Unblock);
    let blocks = (stacked || !step.pieces.is_empty()).then(|| {
        let listed = stack::counted(&step.pieces).join(", ");
        let pieces = match act.kind {
            _ if step.pieces.is_empty() => "None: the foot stands on the ground.".to_owned(),
            ActKind::Block => {
                format!("From the ground up, each crossed over the one below: {listed}.")
            }
            ActKind::Unblock => format!("Under it, from the ground up: {listed}."),
            _ => format!(
                "Under its pad, from the ground up, each crossed over the one below: {listed}."
            ),
        };
        view! {
            <div class="stack" aria-hidden="true" inner_html=stack::stack_svg(&step.pieces)></div>
            <p class="pieces">{pieces}</p>
        }
    });
    let then = act.after.as_ref().map(|after| {
        let hanging = words::hanging(after, wheels);
        let hanging = hanging.unwrap_or_else(|| "nothing".to_owned());
        view! {
            <p class="now-then">"Then the level shows, about:"</p>
            <dl class="now-level">
                <div><dt>"Along"</dt><dd>{words::along(after.along_deg)}</dd></div>
                <div><dt>"Across"</dt><dd>{words::across(after.across_deg)}</dd></div>
                <div><dt>"Carries nothing"</dt><dd>{hanging}</dd></div>
            </dl>
        }
    });
    view! {
        <p class="now-foot">
            {step.number.map(|number| view! { <span class="foot-number">{number}</span> })}
            <strong>{act.support.clone()}</strong>
            <span class="now-kind">{words::act_heading(act.kind)}</span>
        </p>
        <p class="now-act">{act.in_words()}</p>
        {blocks}
        {then}
    }
}
