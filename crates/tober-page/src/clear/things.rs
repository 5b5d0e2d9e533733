//! Things that the checks need and that stand on the lot: put down, moved by pressing on the plan
//! or by typing, named, taken away.

use leptos::prelude::*;
use tober::Point;
use tober::site::{Extinguisher, Features, Site};
use tober::units::parse_length;

use crate::browser;
use crate::field::Field;
use crate::parts::icon;
use crate::state::{Placing, Store, store};

/// Which kind of thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Extinguisher,
}

impl Kind {
    const ALL: [Kind; 1] = [Kind::Extinguisher];

    fn word(self) -> &'static str {
        match self {
            Kind::Extinguisher => "Fire extinguisher",
        }
    }

    /// What new ids begin with.
    fn stem(self) -> &'static str {
        match self {
            Kind::Extinguisher => "extinguisher",
        }
    }

    fn add(self, features: &mut Features, id: String, at: Point) {
        let name = String::new();
        match self {
            Kind::Extinguisher => features.extinguishers.push(Extinguisher { id, name, at }),
        }
    }
}

/// A thing as it is told in the list.
#[derive(Clone, Debug, PartialEq)]
struct Listed {
    kind: Kind,
    id: String,
    name: String,
    /// Where it stands: one place.
    places: Vec<Point>,
}

impl Listed {
    fn words(&self) -> String {
        let name = if self.name.is_empty() {
            &self.id
        } else {
            &self.name
        };
        format!("{}: {name}", self.kind.word())
    }
}

/// Everything that can be put down here.
fn listed(site: &Site) -> Vec<Listed> {
    let features = &site.file().features;
    let extinguishers = features.extinguishers.iter().map(|it| Listed {
        kind: Kind::Extinguisher,
        id: it.id.clone(),
        name: it.name.clone(),
        places: vec![it.at],
    });
    extinguishers.collect()
}

/// A place of a thing: its only one.
fn place_mut<'f>(features: &'f mut Features, placing: &Placing) -> Option<&'f mut Point> {
    let mut extinguishers = features.extinguishers.iter_mut();
    let found = extinguishers.find(|it| it.id == placing.id);
    found.map(|it| &mut it.at)
}

fn name_mut<'f>(features: &'f mut Features, id: &str) -> Option<&'f mut String> {
    let mut extinguishers = features.extinguishers.iter_mut();
    let found = extinguishers.find(|it| it.id == id);
    found.map(|it| &mut it.name)
}

fn remove(features: &mut Features, id: &str) {
    features.extinguishers.retain(|it| it.id != id);
}

/// Puts what is being placed where the plan was pressed.
pub(crate) fn put(store: &Store, placing: &Placing, at: Point) {
    store.change_file(|file| {
        if let Some(place) = place_mut(&mut file.features, placing) {
            *place = at;
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
        let Some(at) = beside_the_operator(&store) else {
            return;
        };
        let id = store.site.with_untracked(|site| {
            let features = &site.file().features;
            let mut ids = (1_u32..).map(|number| format!("{}-{number}", kind.stem()));
            ids.find(|id| features.ids().all(|other| other != id))
        });
        let id = id.unwrap_or_default();
        let put = id.clone();
        if store.change_file(|file| kind.add(&mut file.features, put, at)) {
            picked.set(Some(id.clone()));
            store.placing.set(Some(Placing { id, place: 0 }));
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
    on_cleanup(move || store.placing.set(None));
    view! {
        <details class="things" id="things">
            <summary>"Draw on the lot"</summary>
            <p class="hint">
                "What these checks need to know of. Put one down beside the operator, then press on the plan where it is."
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
                // Built anew for another thing, not while its own values change.
                {
                    let id = Memo::new(move |_| shown.get().map(|it| it.id));
                    move || id.get().map(|id| view! { <Editing id shown/> })
                }
            </Show>
        </details>
    }
}

/// One thing: its name, its place, and taking it away.
#[component]
fn Editing(id: String, shown: Memo<Option<Listed>>) -> impl IntoView {
    let store = store();
    let id = StoredValue::new(id);
    let name = Signal::derive(move || shown.get().map(|it| it.name).unwrap_or_default());
    let rename = move |typed: String| {
        change(&store, |features| {
            let name = id.with_value(|id| name_mut(features, id));
            if let Some(name) = name {
                *name = typed.trim().to_owned();
            }
        })
    };
    let coordinate = move |read: fn(&Point) -> f64| {
        Signal::derive(move || {
            let at = shown.get().and_then(|it| it.places.first().copied());
            at.map_or_else(String::new, |at| store.style().format(read(&at)))
        })
    };
    let commit = move |write: fn(&mut Point, f64)| {
        Callback::new(move |typed: String| {
            let metres = parse_length(&typed, store.style()).map_err(|error| error.to_string())?;
            change(&store, |features| {
                let placing = Placing {
                    id: id.get_value(),
                    place: 0,
                };
                if let Some(place) = place_mut(features, &placing) {
                    write(place, metres);
                }
            })
        })
    };
    let pressed = move || store.placing.with(Option::is_some);
    let place = move |_| {
        let placing = Placing {
            id: id.get_value(),
            place: 0,
        };
        store
            .placing
            .update(|now| *now = now.is_none().then_some(placing));
    };
    let take_away = move |_| {
        store.placing.set(None);
        store.change_file(|file| id.with_value(|id| remove(&mut file.features, id)));
        browser::focus("thing");
    };
    view! {
        <div class="fields">
            <Field id="thing-name" label="Name" value=name commit=Callback::new(rename)/>
            <Field id="thing-east" label="East" value=coordinate(|at| at.x)
                commit=commit(|at, metres| at.x = metres)/>
            <Field id="thing-north" label="North" value=coordinate(|at| at.y)
                commit=commit(|at, metres| at.y = metres)/>
        </div>
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

/// Changes the features, or says what the site does not take.
fn change(store: &Store, change: impl FnOnce(&mut Features)) -> Result<(), String> {
    let site = store.site.get_untracked();
    let mut file = site.file().clone();
    change(&mut file.features);
    let checked = site.changed(file.clone());
    checked.map_err(|faults| faults.to_string())?;
    store.change_file(|it| *it = file);
    Ok(())
}
