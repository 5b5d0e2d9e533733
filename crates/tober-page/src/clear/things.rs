//! Things that the checks need to know of: put on the lot, moved by pressing on the plan or by
//! typing, named, told what they supply, taken away.

use leptos::prelude::*;
use tober::Point;
use tober::site::{Disconnect, Extinguisher, Features, Site};
use tober::units::parse_length;

use crate::browser;
use crate::field::Field;
use crate::parts::icon;
use crate::state::{Placing, Store, store};

/// Which kind of thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Extinguisher,
    Disconnect,
}

impl Kind {
    const ALL: [Kind; 2] = [Kind::Extinguisher, Kind::Disconnect];

    fn word(self) -> &'static str {
        match self {
            Kind::Extinguisher => "Fire extinguisher",
            Kind::Disconnect => "Disconnect",
        }
    }

    /// What new ids begin with.
    fn stem(self) -> &'static str {
        match self {
            Kind::Extinguisher => "extinguisher",
            Kind::Disconnect => "disconnect",
        }
    }

    /// Puts a new one down, for a ride.
    fn add(self, features: &mut Features, id: String, at: Point, ride: String) {
        let name = String::new();
        match self {
            Kind::Extinguisher => features.extinguishers.push(Extinguisher { id, name, at }),
            Kind::Disconnect => features.disconnects.push(Disconnect {
                id,
                name,
                at,
                supplies: vec![ride],
            }),
        }
    }
}

/// A thing as it is told.
#[derive(Clone, Debug, PartialEq)]
struct Listed {
    word: &'static str,
    id: String,
    name: String,
    /// Where it stands.
    at: Point,
    /// Ids of the rides that it supplies or cuts off, where it does such a thing.
    supplies: Option<Vec<String>>,
}

impl Listed {
    fn words(&self) -> String {
        let name = if self.name.is_empty() {
            &self.id
        } else {
            &self.name
        };
        format!("{}: {name}", self.word)
    }
}

/// Everything that is put down here.
fn listed(site: &Site) -> Vec<Listed> {
    let features = &site.file().features;
    let extinguishers = features.extinguishers.iter().map(|it| Listed {
        word: Kind::Extinguisher.word(),
        id: it.id.clone(),
        name: it.name.clone(),
        at: it.at,
        supplies: None,
    });
    let disconnects = features.disconnects.iter().map(|it| Listed {
        word: Kind::Disconnect.word(),
        id: it.id.clone(),
        name: it.name.clone(),
        at: it.at,
        supplies: Some(it.supplies.clone()),
    });
    extinguishers.chain(disconnects).collect()
}

/// What can be changed of a thing.
struct Handles<'f> {
    name: &'f mut String,
    at: &'f mut Point,
    supplies: Option<&'f mut Vec<String>>,
}

fn handles<'f>(features: &'f mut Features, id: &str) -> Option<Handles<'f>> {
    let mut extinguishers = features.extinguishers.iter_mut();
    if let Some(it) = extinguishers.find(|it| it.id == id) {
        return Some(Handles {
            name: &mut it.name,
            at: &mut it.at,
            supplies: None,
        });
    }
    let mut disconnects = features.disconnects.iter_mut();
    let it = disconnects.find(|it| it.id == id)?;
    Some(Handles {
        name: &mut it.name,
        at: &mut it.at,
        supplies: Some(&mut it.supplies),
    })
}

fn remove(features: &mut Features, id: &str) {
    features.extinguishers.retain(|it| it.id != id);
    features.disconnects.retain(|it| it.id != id);
}

/// Puts what is being placed where the plan was pressed.
pub(crate) fn put(store: &Store, placing: &Placing, at: Point) {
    store.change_file(|file| {
        if let Some(thing) = handles(&mut file.features, &placing.id) {
            *thing.at = at;
        }
    });
}

/// How far from the operator a new thing is put, metres: an arm's length outside the station.
const BESIDE: f64 = 0.6;

/// Where a new thing is put down: beside the operator of the ride that is worked on, away from its
/// hub.
fn beside_the_operator(store: &Store) -> Option<Point> {
    let ride = store.ride.get_untracked();
    let hub = store.placement(ride)?.hub();
    store.assessment.with_untracked(|assessment| {
        let console = assessment.rides.get(ride)?.console.unwrap_or(hub);
        let radius = store
            .site
            .with_untracked(|site| site.profile(ride)?.console_radius);
        let out = (console - hub).try_normalize(0.0).unwrap_or_default();
        Some(console + out * (radius.unwrap_or(0.5) + BESIDE))
    })
}

/// Puts a new thing down for the ride that is worked on; its id.
fn add(store: &Store, kind: Kind) -> Option<String> {
    let at = beside_the_operator(store)?;
    let index = store.ride.get_untracked();
    let (id, ride) = store.site.with_untracked(|site| {
        let features = &site.file().features;
        let mut ids = (1_u32..).map(|number| format!("{}-{number}", kind.stem()));
        let id = ids.find(|id| features.ids().all(|other| other != id))?;
        Some((id, site.file().rides.get(index)?.id.clone()))
    })?;
    let new = id.clone();
    let added = store.change_file(|file| kind.add(&mut file.features, new, at, ride));
    added.then_some(id)
}

#[component]
pub(super) fn Things() -> impl IntoView {
    let store = store();
    let all = Memo::new(move |_| store.site.with(|site| listed(site)));
    let picked = RwSignal::new(None::<String>);
    // What was picked and is gone gives way to the last that there is.
    let shown = Memo::new(move |_| {
        let all = all.get();
        let id = picked.get();
        let found = all.iter().find(|it| Some(&it.id) == id.as_ref());
        found.or(all.last()).cloned()
    });
    let add = move |kind: Kind| {
        if let Some(id) = add(&store, kind) {
            picked.set(Some(id.clone()));
            store.placing.set(Some(Placing { id }));
        }
    };
    let choices = move || {
        let shown = shown.get().map(|it| it.id);
        let all = all.get().into_iter();
        all.map(|it| {
            let is_shown = Some(&it.id) == shown.as_ref();
            view! { <option value=it.id.clone() selected=is_shown>{it.words()}</option> }
        })
        .collect_view()
    };
    // Built anew for another thing, not while its own values change.
    let id = Memo::new(move |_| shown.get().map(|it| it.id));
    let editing = move || id.get().map(|id| view! { <Editing id shown/> });
    on_cleanup(move || store.placing.set(None));
    view! {
        <details class="things" id="things">
            <summary>"Draw on the lot"</summary>
            <p class="hint">
                "What these checks need to know of. Each is put down beside the operator; then press on the plan where it is."
            </p>
            <div class="thing-kinds">
                {Kind::ALL
                    .map(|kind| view! {
                        <button type="button" class="button" id=format!("add-{}", kind.stem())
                            on:click=move |_| add(kind)>
                            {icon("plus")}{kind.word()}
                        </button>
                    })
                    .into_iter()
                    .collect_view()}
            </div>
            <Show when=move || shown.with(Option::is_some)>
                <label class="pick">
                    <span>"On this lot"</span>
                    <select id="thing" on:change=move |event| {
                        store.placing.set(None);
                        picked.set(Some(event_target_value(&event)));
                    }>{choices}</select>
                </label>
                {editing}
            </Show>
        </details>
    }
}

/// One thing: its name, its place, what it supplies, and taking it away.
#[component]
fn Editing(id: String, shown: Memo<Option<Listed>>) -> impl IntoView {
    let store = store();
    let id = StoredValue::new(id);
    let name = Signal::derive(move || shown.get().map(|it| it.name).unwrap_or_default());
    let rename = move |typed: String| {
        change(&store, &id.get_value(), |thing| {
            *thing.name = typed.trim().to_owned();
        })
    };
    let coordinate = move |read: fn(&Point) -> f64| {
        Signal::derive(move || {
            let at = shown.get().map(|it| it.at);
            at.map_or_else(String::new, |at| store.style().format(read(&at)))
        })
    };
    let commit = move |write: fn(&mut Point, f64)| {
        Callback::new(move |typed: String| {
            let metres = parse_length(&typed, store.style()).map_err(|error| error.to_string())?;
            change(&store, &id.get_value(), |thing| write(thing.at, metres))
        })
    };
    let pressed = move || store.placing.with(Option::is_some);
    let place = move |_| {
        let placing = Placing { id: id.get_value() };
        store
            .placing
            .update(|now| *now = now.is_none().then_some(placing));
    };
    let take_away = move |_| {
        store.placing.set(None);
        store.change_file(|file| id.with_value(|id| remove(&mut file.features, id)));
        browser::focus("things");
    };
    view! {
        <div class="fields">
            <Field id="thing-name" label="Name" value=name commit=Callback::new(rename)/>
            <Field id="thing-east" label="East" value=coordinate(|at| at.x)
                commit=commit(|at, metres| at.x = metres)/>
            <Field id="thing-north" label="North" value=coordinate(|at| at.y)
                commit=commit(|at, metres| at.y = metres)/>
        </div>
        <Supplies id shown/>
        <div class="thing-tools">
            <button type="button" class="button" id="thing-place"
                aria-pressed=move || pressed().to_string() on:click=place>
                {icon("target")}
                {move || if pressed() { "Press on the plan now" } else { "Press on the plan" }}
            </button>
            <button type="button" class="button" id="thing-remove" on:click=take_away>
                {icon("trash")}"Take it away"
            </button>
        </div>
    }
}

/// Which rides it supplies or cuts off.
#[component]
fn Supplies(id: StoredValue<String>, shown: Memo<Option<Listed>>) -> impl IntoView {
    let store = store();
    let supplies = Memo::new(move |_| shown.get()?.supplies);
    let rides = Memo::new(move |_| {
        store.assessment.with(|assessment| {
            let rides = assessment.rides.iter();
            rides
                .map(|ride| (ride.id.clone(), ride.name.clone()))
                .collect::<Vec<_>>()
        })
    });
    let choice = move |ride: String, name: String| {
        let of = ride.clone();
        let checked = move || supplies.get().is_some_and(|it| it.contains(&of));
        let toggle = move |event: web_sys::Event| {
            let is_on = event_target_checked(&event);
            let ride = ride.clone();
            // A ride that is there is always taken.
            let _ = change(&store, &id.get_value(), |thing| {
                if let Some(supplies) = thing.supplies {
                    supplies.retain(|other| *other != ride);
                    supplies.extend(is_on.then_some(ride));
                }
            });
        };
        view! {
            <label class="choice">
                <input type="checkbox" prop:checked=checked on:change=toggle/>
                <span>{name}</span>
            </label>
        }
    };
    view! {
        <Show when=move || supplies.with(Option::is_some)>
            <fieldset class="supplies" id="thing-supplies">
                <legend>"Which rides it supplies or cuts off"</legend>
                {move || {
                    let rides = rides.get().into_iter();
                    rides.map(|(ride, name)| choice(ride, name)).collect_view()
                }}
            </fieldset>
        </Show>
    }
}

/// Changes a thing, or says what the site does not take.
fn change(store: &Store, id: &str, change: impl FnOnce(Handles<'_>)) -> Result<(), String> {
    let site = store.site.get_untracked();
    let mut file = site.file().clone();
    if let Some(thing) = handles(&mut file.features, id) {
        change(thing);
    }
    let checked = site.changed(file.clone());
    checked.map_err(|faults| faults.to_string())?;
    store.change_file(|it| *it = file);
    Ok(())
}
