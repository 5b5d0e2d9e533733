//! Fingers and mouse on the plan: which gesture is going on, in pixels.

use leptos::prelude::*;
use tober::Step;
use tober::site::Placement;
use tober_drawing::{Px, Window};
use wasm_bindgen::JsCast;

use crate::clear;
use crate::state::Store;

/// How far a finger may tremble before a press becomes a drag, pixels.
const TREMBLE: f64 = 6.0;

/// What lies under a finger that comes down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Target {
    Ground,
    Ride(usize),
    Handle(usize),
}

impl Target {
    /// What an event happened to, by the marks that the drawing carries.
    pub(crate) fn of(event: &web_sys::Event) -> Target {
        let element = event
            .target()
            .and_then(|target| target.dyn_into::<web_sys::Element>().ok());
        let marked = element.and_then(|element| element.closest("[data-ride]").ok().flatten());
        let Some(marked) = marked else {
            return Target::Ground;
        };
        let ride = marked.get_attribute("data-ride");
        match ride.and_then(|ride| ride.parse().ok()) {
            Some(ride) if marked.has_attribute("data-handle") => Target::Handle(ride),
            Some(ride) => Target::Ride(ride),
            None => Target::Ground,
        }
    }
}

/// What is going on.
#[derive(Clone, Copy, Debug)]
enum Doing {
    Nothing,
    /// A finger is down and has not moved yet.
    Press {
        on: Target,
        at: Px,
    },
    /// The ride keeps its step from the finger to the hub, metres.
    Drag {
        ride: usize,
        grip: Step,
    },
    /// The ride keeps its angle from the finger's bearing to its heading, degrees.
    Turn {
        ride: usize,
        lead: f64,
    },
    Pan,
    Pinch,
}

/// The fingers that are down and what they do.
#[derive(Clone, Debug)]
pub(crate) struct Gesture {
    fingers: Vec<(i32, Px)>,
    doing: Doing,
}

impl Gesture {
    pub(crate) fn new() -> Gesture {
        Gesture {
            fingers: Vec::new(),
            doing: Doing::Nothing,
        }
    }

    pub(crate) fn down(&mut self, finger: i32, at: Px, on: Target) {
        self.fingers.retain(|(id, _)| *id != finger);
        self.fingers.push((finger, at));
        self.doing = match self.fingers.len() {
            1 => Doing::Press { on, at },
            _ => Doing::Pinch,
        };
    }

    pub(crate) fn moved(&mut self, finger: i32, at: Px, store: &Store) {
        let Some(index) = self.fingers.iter().position(|(id, _)| *id == finger) else {
            return;
        };
        let before = self.fingers.clone();
        if let Some(place) = self.fingers.get_mut(index) {
            place.1 = at;
        }
        if let Doing::Press { on, at: start } = self.doing
            && distance(start, at) > TREMBLE
        {
            self.doing = begin(on, start, store);
        }
        match self.doing {
            Doing::Nothing | Doing::Press { .. } => {}
            Doing::Drag { ride, grip } => {
                if let Some(mut placement) = store.placement(ride) {
                    let hub = lot(store, at) + grip;
                    (placement.x, placement.y) = (hub.x, hub.y);
                    store.move_soon(ride, placement);
                }
            }
            Doing::Turn { ride, lead } => {
                if let Some(mut placement) = store.placement(ride) {
                    let bearing = bearing(store, &placement, at);
                    // Whole degrees: finer is typed, or stepped with the keys.
                    placement.heading = (bearing + lead).round().rem_euclid(360.0);
                    store.move_soon(ride, placement);
                }
            }
            Doing::Pan => {
                if let Some((_, last)) = before.get(index) {
                    let window = store.window.get_untracked();
                    store.look_at(window.panned(at.x - last.x, at.y - last.y));
                }
            }
            Doing::Pinch => pinch(&before, &self.fingers, store),
        }
    }

    /// Puts down what is being placed, if anything is.
    fn put_down(&self, store: &Store, at: Px) -> bool {
        let Some(Some(placing)) = store.placing.try_update(Option::take) else {
            return false;
        };
        clear::put(store, &placing, lot(store, at));
        true
    }

    pub(crate) fn up(&mut self, finger: i32, store: &Store) {
        self.fingers.retain(|(id, _)| *id != finger);
        if let Doing::Press { on, at } = self.doing {
            match on {
                _ if self.put_down(store, at) => {}
                Target::Ride(ride) | Target::Handle(ride) => store.select(ride),
                Target::Ground => {}
            }
        }
        self.doing = if self.fingers.is_empty() {
            Doing::Nothing
        } else {
            // The finger that is left over from a pinch moves the paper.
            Doing::Pan
        };
    }
}

/// What a press becomes once it moves.
fn begin(on: Target, start: Px, store: &Store) -> Doing {
    let (Target::Ride(ride) | Target::Handle(ride)) = on else {
        return Doing::Pan;
    };
    let Some(placement) = store.placement(ride) else {
        return Doing::Pan;
    };
    store.select(ride);
    store.remember();
    match on {
        Target::Handle(_) => Doing::Turn {
            ride,
            lead: placement.heading - bearing(store, &placement, start),
        },
        _ => Doing::Drag {
            ride,
            grip: placement.hub() - lot(store, start),
        },
    }
}

/// Two fingers: what was between them stays between them.
fn pinch(before: &[(i32, Px)], now: &[(i32, Px)], store: &Store) {
    let ([(_, a), (_, b), ..], [(_, c), (_, d), ..]) = (before, now) else {
        return;
    };
    let factor = distance(*c, *d) / distance(*a, *b).max(1.0);
    let (was, is) = (middle(*a, *b), middle(*c, *d));
    let (width, height) = store.size.get_untracked();
    let window = store.window.get_untracked();
    store.look_at(
        window
            .panned(is.x - was.x, is.y - was.y)
            .zoomed(factor, is, width, height),
    );
}

/// From the hub to a pixel, degrees clockwise from north.
fn bearing(store: &Store, placement: &Placement, at: Px) -> f64 {
    let step = lot(store, at) - placement.hub();
    libm::atan2(step.x, step.y).to_degrees()
}

fn lot(store: &Store, at: Px) -> tober::Point {
    let (width, height) = store.size.get_untracked();
    let window: Window = store.window.get_untracked();
    window.to_lot(at, width, height)
}

fn distance(a: Px, b: Px) -> f64 {
    ((a.x - b.x).powi(2) + (a.y - b.y).powi(2)).sqrt()
}

fn middle(a: Px, b: Px) -> Px {
    Px::new((a.x + b.x) / 2.0, (a.y + b.y) / 2.0)
}
