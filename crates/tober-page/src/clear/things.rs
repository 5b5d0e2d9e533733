//! Things that the checks need to know of: put on the lot, moved by pressing on the plan or by
//! typing, named, told what they supply, taken away. What is drawn elsewhere and only has to be
//! told what it supplies (power sources, overhead lines) is told here as well.

use leptos::prelude::*;
use tober::Point;
use tober::site::{Disconnect, Extinguisher, Features, Rope, RopeEnd, Site};
use tober::units::parse_length;

use crate::browser;
use crate::field::Field;
use crate::parts::icon;
use crate::state::{Placing, Store, store};
use crate::survey::free_id;

/// Which kind of thing can be put down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Extinguisher,
    Disconnect,
    Rope,
}

/// How high the far end of a new rope is tied, metres.
const TIED: f64 = 3.0;

/// How far off the far end of a new rope is, metres.
const LONG: f64 = 3.0;

impl Kind {
    const ALL: [Kind; 3] = [Kind::Extinguisher, Kind::Disconnect, Kind::Rope];

    fn word(self) -> &'static str {
        match self {
            Kind::Extinguisher => "Fire extinguisher",
            Kind::Disconnect => "Disconnect",
            Kind::Rope => "Rope or brace",
        }
    }

    /// What new ids begin with.
    fn stem(self) -> &'static str {
        match self {
            Kind::Extinguisher => "extinguisher",
            Kind::Disconnect => "disconnect",
            Kind::Rope => "rope",
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
            Kind::Rope => features.ropes.push(Rope {
                id,
                name,
                from: RopeEnd { at, height: 0.0 },
                to: RopeEnd {
                    at: Point::new(at.x + LONG, at.y),
                    height: TIED,
                },
                sag: None,
                marked: false,
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
    /// Where it is: one place, both ends of a rope, none of what is drawn elsewhere.
    places: Vec<Point>,
    /// Heights of both ends of a rope, metres.
    heights: Vec<f64>,
    /// How far a rope hangs below its straight line, metres, where somebody has told.
    sag: Option<f64>,
    /// Whether a rope is marked.
    marked: Option<bool>,
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

/// Everything that can be told of here.
fn listed(site: &Site) -> Vec<Listed> {
    let features = &site.file().features;
    let listed = |word, id: &String, name: &String| Listed {
        word,
        id: id.clone(),
        name: name.clone(),
        places: Vec::new(),
        heights: Vec::new(),
        sag: None,
        marked: None,
        supplies: None,
    };
    let sources = features.power_sources.iter().map(|it| Listed {
        supplies: Some(it.supplies.clone()),
        ..listed("Power source", &it.id, &it.name)
    });
    let lines = features.overhead_lines.iter().map(|it| Listed {
        supplies: Some(it.supplies.clone()),
        ..listed("Overhead line", &it.id, &it.name)
    });
    let extinguishers = features.extinguishers.iter().map(|it| Listed {
        places: vec![it.at],
        ..listed(Kind::Extinguisher.word(), &it.id, &it.name)
    });
    let disconnects = features.disconnects.iter().map(|it| Listed {
        places: vec![it.at],
        supplies: Some(it.supplies.clone()),
        ..listed(Kind::Disconnect.word(), &it.id, &it.name)
    });
    let ropes = features.ropes.iter().map(|it| Listed {
        places: vec![it.from.at, it.to.at],
        heights: vec![it.from.height, it.to.height],
        sag: it.sag,
        marked: Some(it.marked),
        ..listed(Kind::Rope.word(), &it.id, &it.name)
    });
    let put_down = extinguishers.chain(disconnects).chain(ropes);
    sources.chain(lines).chain(put_down).collect()
}

/// What can be changed of a thing.
struct Handles<'f> {
    name: &'f mut String,
    places: Vec<&'f mut Point>,
    heights: Vec<&'f mut f64>,
    sag: Option<&'f mut Option<f64>>,
    marked: Option<&'f mut bool>,
    supplies: Option<&'f mut Vec<String>>,
}

impl<'f> Handles<'f> {
    fn of(name: &'f mut String) -> Handles<'f> {
        Handles {
            name,
            places: Vec::new(),
            heights: Vec::new(),
            sag: None,
            marked: None,
            supplies: None,
        }
    }
}

fn handles<'f>(features: &'f mut Features, id: &str) -> Option<Handles<'f>> {
    let extinguishers = features.extinguishers.iter_mut().map(|it| {
        let handles = Handles {
            places: vec![&mut it.at],
            ..Handles::of(&mut it.name)
        };
        (&it.id, handles)
    });
    let disconnects = features.disconnects.iter_mut().map(|it| {
        let handles = Handles {
            places: vec![&mut it.at],
            supplies: Some(&mut it.supplies),
            ..Handles::of(&mut it.name)
        };
        (&it.id, handles)
    });
    let ropes = features.ropes.iter_mut().map(|it| {
        let handles = Handles {
            places: vec![&mut it.from.at, &mut it.to.at],
            heights: vec![&mut it.from.height, &mut it.to.height],
            sag: Some(&mut it.sag),
            marked: Some(&mut it.marked),
            ..Handles::of(&mut it.name)
        };
        (&it.id, handles)
    });
    let sources = features.power_sources.iter_mut().map(|it| {
        let handles = Handles {
            supplies: Some(&mut it.supplies),
            ..Handles::of(&mut it.name)
        };
        (&it.id, handles)
    });
    let lines = features.overhead_lines.iter_mut().map(|it| {
        let handles = Handles {
            supplies: Some(&mut it.supplies),
            ..Handles::of(&mut it.name)
        };
        (&it.id, handles)
    });
    let put_down = extinguishers.chain(disconnects).chain(ropes);
    let mut all = put_down.chain(sources).chain(lines);
    let found = all.find(|(its, _)| *its == id);
    found.map(|(_, handles)| handles)
}

fn remove(features: &mut Features, id: &str) {
    features.extinguishers.retain(|it| it.id != id);
    features.disconnects.retain(|it| it.id != id);
    features.ropes.retain(|it| it.id != id);
}

/// Puts what is being placed where the plan was pressed; after one end of a rope comes the other.
pub(crate) fn put(store: &Store, placing: &Placing, at: Point) {
    let mut places = 0;
    store.change_file(|file| {
        if let Some(mut thing) = handles(&mut file.features, &placing.id) {
            places = thing.places.len();
            if let Some(place) = thing.places.get_mut(placing.place) {
                **place = at;
            }
        }
    });
    let next = placing.place + 1;
    store.placing.set((next < places).then(|| Placing {
        id: placing.id.clone(),
        place: next,
    }));
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
        let id = free_id(kind.stem(), features.ids());
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
            store.placing.set(Some(Placing { id, place: 0 }));
        }
    };
    let choices = move || {
        let shown = shown.get().map(|it| it.id);
        let all = all.get().into_iter();
        all.map(|it| {
            let is_shown = Some(&it.id) == shown.as_ref();
            let words = it.words();
            view! { <option value=it.id selected=is_shown>{words}</option> }
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
                "What these checks need to know of. Each is put down beside the operator; then press on the plan where it is, for a rope at both ends."
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

/// Ids and labels of the fields of each place: east, north, height.
const FIELDS: [[(&str, &str); 3]; 2] = [
    [
        ("thing-east", "East"),
        ("thing-north", "North"),
        ("thing-height", "Height"),
    ],
    [
        ("thing-east-2", "Other end, east"),
        ("thing-north-2", "Other end, north"),
        ("thing-height-2", "Other end, height"),
    ],
];

/// One thing: its name, its places, what it supplies, and taking it away.
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
    // How many places and heights a thing has never changes.
    let first = shown.get_untracked();
    let count = |of: fn(&Listed) -> usize| first.as_ref().map_or(0, of);
    let (places, heights) = (count(|it| it.places.len()), count(|it| it.heights.len()));
    let is_rope = first.as_ref().is_some_and(|it| it.marked.is_some());
    let fields = FIELDS.iter().enumerate().take(places).map(|(place, keys)| {
        let [east, north, height] = *keys;
        let at = move |read: fn(&Point) -> f64| {
            length(store, shown, move |it| it.places.get(place).map(read))
        };
        let put = move |write: fn(&mut Point, f64)| {
            commit(store, id, move |thing, metres| {
                if let Some(at) = thing.places.get_mut(place) {
                    write(at, metres);
                }
            })
        };
        let height = (place < heights).then(|| {
            let shown = length(store, shown, move |it| it.heights.get(place).copied());
            let commit = commit(store, id, move |thing, metres| {
                if let Some(height) = thing.heights.get_mut(place) {
                    **height = metres;
                }
            });
            view! { <Field id=height.0 label=height.1 value=shown commit/> }
        });
        view! {
            <Field id=east.0 label=east.1 value=at(|at| at.x) commit=put(|at, metres| at.x = metres)/>
            <Field id=north.0 label=north.1 value=at(|at| at.y) commit=put(|at, metres| at.y = metres)/>
            {height}
        }
    });
    let fields = fields.collect_view();
    let tools = (places > 0).then(|| view! { <Tools id/> });
    let sag = is_rope.then(|| {
        let shown = length(store, shown, |it| it.sag);
        let commit = commit(store, id, |thing, metres| {
            if let Some(sag) = &mut thing.sag {
                **sag = Some(metres);
            }
        });
        view! { <Field id="thing-sag" label="Sag at the middle, 0 if taut" value=shown commit/> }
    });
    let marked = is_rope.then(|| view! { <Marked id shown/> });
    view! {
        <div class="fields">
            <Field id="thing-name" label="Name" value=name commit=Callback::new(rename)/>
            {fields}
            {sag}
        </div>
        {marked}
        <Supplies id shown/>
        {tools}
    }
}

/// A length of a thing as it is written.
fn length(
    store: Store,
    shown: Memo<Option<Listed>>,
    read: impl Fn(&Listed) -> Option<f64> + Send + Sync + 'static,
) -> Signal<String> {
    Signal::derive(move || {
        let metres = shown.with(|it| read(it.as_ref()?));
        metres.map_or_else(String::new, |metres| store.style().format(metres))
    })
}

/// Takes a typed length into a thing.
fn commit(
    store: Store,
    id: StoredValue<String>,
    write: impl Fn(&mut Handles<'_>, f64) + Send + Sync + 'static,
) -> Callback<String, Result<(), String>> {
    Callback::new(move |typed: String| {
        let metres = parse_length(&typed, store.style()).map_err(|error| error.to_string())?;
        change(&store, &id.get_value(), |mut thing| {
            write(&mut thing, metres);
        })
    })
}

/// Pressing on the plan, and taking it away.
#[component]
fn Tools(id: StoredValue<String>) -> impl IntoView {
    let store = store();
    let pressed = move || store.placing.with(Option::is_some);
    let words = move || {
        let place = store.placing.with(|it| it.as_ref().map(|it| it.place));
        match place {
            None => "Press on the plan",
            Some(0) => "Press on the plan now",
            Some(_) => "Now press at the other end",
        }
    };
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
        <div class="thing-tools">
            <button type="button" class="button" id="thing-place"
                aria-pressed=move || pressed().to_string() on:click=place>
                {icon("target")}{words}
            </button>
            <button type="button" class="button" id="thing-remove" on:click=take_away>
                {icon("trash")}"Take it away"
            </button>
        </div>
    }
}

/// Whether a rope is marked.
#[component]
fn Marked(id: StoredValue<String>, shown: Memo<Option<Listed>>) -> impl IntoView {
    let store = store();
    let marked = move || shown.with(|it| it.as_ref().is_some_and(|it| it.marked == Some(true)));
    let toggle = move |event: web_sys::Event| {
        let is_on = event_target_checked(&event);
        // A rope takes either.
        let _ = change(&store, &id.get_value(), |thing| {
            if let Some(marked) = thing.marked {
                *marked = is_on;
            }
        });
    };
    view! {
        <label class="choice">
            <input type="checkbox" id="thing-marked" prop:checked=marked on:change=toggle/>
            <span>"Marked, so that nobody walks into it"</span>
        </label>
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
