//! A point file that has been opened: how it was read, what in it could not be, and what is to
//! become of its points. Nothing joins the site before the person says so.

use std::collections::HashSet;
use std::sync::Arc;

use leptos::prelude::*;
use tober::Point;
use tober::site::SiteFile;
use tober::survey::{
    BookRow, CoordinateOrder, FIELD_BOOK_EXAMPLE, FieldBook, FileUnit, Place, PointFile,
    PointFileChoice, PointPlace, PoleSize, SuggestedFeature, Suggestion, TreeSize,
    read_point_file_in_slices,
};
use tober::units::{LengthStyle, parse_length};

use super::add_book;
use crate::browser;
use crate::field::Field;
use crate::parts::icon;
use crate::state::{Store, store};
use crate::turns::Turns;

/// Lines that are named at once.
const MOST_LINES: usize = 40;

const UNITS: [FileUnit; 4] = [
    FileUnit::Metres,
    FileUnit::Feet,
    FileUnit::UsSurveyFeet,
    FileUnit::Millimetres,
];

/// A point file as it was opened.
#[derive(Debug)]
pub(crate) struct OpenedPoints {
    name: String,
    text: String,
    choice: PointFileChoice,
    /// As it is read by that choice.
    file: Arc<PointFile>,
}

impl OpenedPoints {
    /// Takes a text that has at least one point; else says what it should have been.
    pub(super) async fn read(
        store: &Store,
        name: &str,
        text: String,
    ) -> Result<OpenedPoints, String> {
        // A file of the same survey as one before is counted from the same place.
        let origin = store
            .site
            .with_untracked(|site| Some(site.file().imported_points.first()?.origin));
        let choice = PointFileChoice {
            origin,
            ..PointFileChoice::default()
        };
        let file = read_in_turns(store, &text, choice).await;
        if !file.points.is_empty() {
            return Ok(OpenedPoints {
                name: name.to_owned(),
                text,
                choice,
                file: Arc::new(file),
            });
        }
        let bad: String = (file.bad_lines.iter().take(3))
            .map(|bad| format!(" Line {}: {}.", bad.line, bad.words))
            .collect();
        Err(format!(
            "{name} cannot be used: it is neither a site file, nor a field book (a table with the \
             columns point, backsight, foresight), nor a point file (point, northing, easting, \
             elevation, description).{bad} A field book begins like this, a line each: {}. Your \
             work is as it was.",
            FIELD_BOOK_EXAMPLE.map(|line| format!("“{line}”")).join(" ")
        ))
    }
}

async fn read_in_turns(store: &Store, text: &str, choice: PointFileChoice) -> PointFile {
    let turns = Turns::begin(*store);
    let pause = async |progress| turns.pause(progress).await;
    let file = read_point_file_in_slices(text, choice, &pause).await;
    turns.end();
    file
}

#[component]
pub(super) fn Import() -> impl IntoView {
    let store = store();
    let form = move || {
        let opened = store.import.get()?;
        Some(view! { <Form opened/> })
    };
    view! { {form} }
}

#[component]
fn Form(opened: Arc<OpenedPoints>) -> impl IntoView {
    let store = store();
    let choice = RwSignal::new(opened.choice);
    let name = opened.name.clone();
    let file = RwSignal::new(opened.file.clone());
    // Read anew whenever the person says something else of it.
    Effect::new(move |before: Option<()>| {
        let choice = choice.get();
        if before.is_some() {
            let opened = opened.clone();
            leptos::task::spawn_local(async move {
                let read = read_in_turns(&store, &opened.text, choice).await;
                // Nobody waits for it any more when the form has been put away.
                let _ = file.try_set(Arc::new(read));
            });
        }
    });
    let agreed = Agreed::default();
    let title = name.clone();
    let take = move |replace: bool| {
        let taken = Taken {
            file: file.get_untracked(),
            name: name.clone(),
            agreed,
            replace,
        };
        leptos::task::spawn_local(async move {
            if taken.join(&store).await {
                store.import.set(None);
                store.fit_lot();
            }
        });
    };
    let (add, replace) = (take.clone(), take);
    view! {
        <section class="import" id="import" aria-labelledby="import-title">
            <h3 id="import-title">{title}</h3>
            <p class="lead" id="import-count">{move || file.with(|file| counted(file))}</p>
            <p class="hint" id="import-layout">{move || file.with(|file| layout(file))}</p>
            <div class="book-choices">
                <label class="pick"><span>"Unit"</span>
                    <select id="import-unit" on:change=move |event| {
                        let word = event_target_value(&event);
                        let unit = UNITS.into_iter().find(|unit| unit.word() == word);
                        choice.update(|choice| choice.unit = unit);
                    }>
                        {move || UNITS
                            .map(|unit| view! {
                                <option value=unit.word()
                                    selected=file.with(|file| file.layout.unit == unit)>
                                    {unit.word()}
                                </option>
                            })
                            .into_iter()
                            .collect_view()}
                    </select>
                </label>
                <label class="pick"><span>"Order"</span>
                    <select id="import-order"
                        prop:disabled=move || file.with(|file| file.layout.order_is_sure)
                        on:change=move |event| {
                            let order = ORDERS.iter().find(|(key, ..)| *key == event_target_value(&event));
                            choice.update(|choice| choice.order = order.map(|it| it.1));
                        }>
                        {move || ORDERS
                            .map(|(key, order, words)| view! {
                                <option value=key
                                    selected=file.with(|file| file.layout.order == order)>
                                    {words}
                                </option>
                            })
                            .into_iter()
                            .collect_view()}
                    </select>
                </label>
            </div>
            <div class="fields origin-fields">
                <Field id="origin-east" label="Lot's zero, file's east"
                    value=Signal::derive(move || file.with(|it| shown(it.origin.x)))
                    commit=Callback::new(move |typed: String| {
                        set_origin(choice, file, &typed, |origin, metres| origin.x = metres)
                    })/>
                <Field id="origin-north" label="Lot's zero, file's north"
                    value=Signal::derive(move || file.with(|it| shown(it.origin.y)))
                    commit=Callback::new(move |typed: String| {
                        set_origin(choice, file, &typed, |origin, metres| origin.y = metres)
                    })/>
            </div>
            {move || file.with(|file| complaints(file, store.style()))}
            {move || file.with(|file| suggestions(file, agreed))}
            <div class="book-tools">
                <button type="button" class="button" id="import-add" on:click=move |_| add(false)>
                    {icon("plus")}"Add to the survey"
                </button>
                <button type="button" class="button" id="import-replace"
                    on:click=move |_| replace(true)>
                    {icon("survey")}"Replace the survey"
                </button>
                <button type="button" class="button" id="import-drop"
                    on:click=move |_| {
                        store.import.set(None);
                        browser::focus("tab-survey");
                    }>
                    {icon("close")}"Leave it"
                </button>
            </div>
        </section>
    }
}

const ORDERS: [(&str, CoordinateOrder, &str); 2] = [
    ("n", CoordinateOrder::NorthingFirst, "northing, easting"),
    ("e", CoordinateOrder::EastingFirst, "easting, northing"),
];

fn shown(metres: f64) -> String {
    LengthStyle::Metres.format(metres)
}

/// Counts coordinates from another place; a bare number is metres.
fn set_origin(
    choice: RwSignal<PointFileChoice>,
    file: RwSignal<Arc<PointFile>>,
    typed: &str,
    change: fn(&mut Point, f64),
) -> Result<(), String> {
    let metres = parse_length(typed, LengthStyle::Metres).map_err(|error| error.to_string())?;
    let mut origin = file.with_untracked(|file| file.origin);
    change(&mut origin, metres);
    choice.update(|choice| choice.origin = Some(origin));
    Ok(())
}

fn counted(file: &PointFile) -> String {
    let points = match file.points.len() {
        1 => "1 point".to_owned(),
        count => format!("{count} points"),
    };
    let bad = match file.bad_lines.len() {
        0 => "every line was read".to_owned(),
        1 => "1 line could not be read".to_owned(),
        count => format!("{count} lines could not be read"),
    };
    format!("{points}; {bad}.")
}

fn layout(file: &PointFile) -> String {
    let layout = &file.layout;
    let mark = if layout.decimal_comma {
        "comma"
    } else {
        "point"
    };
    let order = match layout.order {
        CoordinateOrder::NorthingFirst => "northing before easting",
        CoordinateOrder::EastingFirst => "easting before northing",
    };
    let taken = |was_stated: bool| match was_stated {
        true => "",
        false => " (taken for granted)",
    };
    let elevations = if layout.elevation_unit == layout.unit {
        String::new()
    } else {
        format!("; elevations in {}", layout.elevation_unit.word())
    };
    format!(
        "Separated by {}, decimals behind a {mark}; {order}{}; {}{}{elevations}.",
        layout.separator,
        taken(layout.order_was_stated),
        layout.unit.word(),
        taken(layout.unit_was_stated),
    )
}

/// What to look at, lines that could not be read, points that are there twice, and elevations far
/// off.
fn complaints(file: &PointFile, units: LengthStyle) -> Option<impl IntoView + use<>> {
    let bad = file
        .bad_lines
        .iter()
        .map(|bad| format!("Line {} was not read: {}.", bad.line, bad.words));
    let twice = file
        .repeats
        .iter()
        .map(|repeat| format!("Twice: {}.", repeat.in_words(units)));
    let places = file.far_places.iter().map(|far| far.in_words(units));
    let heights = file.strays.iter().map(|stray| stray.in_words(units));
    let far_off = places
        .chain(heights)
        .map(|words| format!("Far off: {words}"));
    let cautions = file.cautions();
    let far = file.far_places.len() + file.strays.len();
    let count = cautions.len() + file.bad_lines.len() + file.repeats.len() + far;
    let lines = (cautions.into_iter())
        .chain(bad)
        .chain(far_off)
        .chain(twice);
    let lines: Vec<String> = lines.take(MOST_LINES).collect();
    let more = count - lines.len();
    (count > 0).then(|| {
        view! {
            <ul class="import-lines" id="import-lines">
                {lines.into_iter().map(|line| view! { <li>{line}</li> }).collect_view()}
                {(more > 0).then(|| view! { <li>{format!("and {more} more")}</li> })}
            </ul>
        }
    })
}

/// What the person agrees to, and how large things are taken to be.
#[derive(Clone, Copy, Debug)]
struct Agreed {
    edges: RwSignal<bool>,
    benchmarks: RwSignal<bool>,
    trees: RwSignal<bool>,
    tree: RwSignal<TreeSize>,
    poles: RwSignal<bool>,
    pole: RwSignal<PoleSize>,
    line: RwSignal<bool>,
    /// Height of the wires at the poles, metres.
    wires: RwSignal<f64>,
}

impl Default for Agreed {
    fn default() -> Agreed {
        let no = || RwSignal::new(false);
        Agreed {
            edges: no(),
            benchmarks: no(),
            trees: no(),
            tree: RwSignal::new(TreeSize::NOT_MEASURED),
            poles: no(),
            pole: RwSignal::new(PoleSize::NOT_MEASURED),
            line: no(),
            // From there down a wire of unknown sag may hang anywhere.
            wires: RwSignal::new(PoleSize::NOT_MEASURED.height),
        }
    }
}

/// What descriptions seem to say, each to be agreed to.
fn suggestions(file: &PointFile, agreed: Agreed) -> Option<impl IntoView + use<>> {
    let suggestions = file.suggestions();
    let count =
        |is: fn(SuggestedFeature) -> bool| suggestions.iter().filter(|it| is(it.feature)).count();
    let lines = file.suggested_breaklines();
    let shots: usize = lines.iter().map(|line| line.points.len()).sum();
    let known = count(|it| it == SuggestedFeature::Benchmark);
    let (trees, poles) = (
        count(|it| it == SuggestedFeature::Tree),
        count(|it| it == SuggestedFeature::Pole),
    );
    let edges = match lines.len() {
        1 => format!("Edges: {shots} shots, taken as 1 breakline"),
        lines => format!("Edges: {shots} shots, taken as {lines} breaklines"),
    };
    let benchmarks = format!("Benchmarks: {known}, to begin a field book on");
    let trees_words = format!("Trees: {trees}, each as large as this");
    let poles_words = format!("Poles: {poles}, each as large as this");
    let line_words = format!("Wires over the {poles} poles, in the order of the file");
    (!suggestions.is_empty()).then(|| {
        view! {
            <fieldset class="suggestions">
                <legend>"Descriptions that say more than ground"</legend>
                {(!lines.is_empty()).then(|| tick("take-edges", edges, agreed.edges))}
                {(known > 0).then(|| tick("take-benchmarks", benchmarks, agreed.benchmarks))}
                {(trees > 0).then(|| tick("take-trees", trees_words, agreed.trees))}
                <Show when=move || (trees > 0) && agreed.trees.get()>
                    {tree_fields(agreed.tree)}
                </Show>
                {(poles > 0).then(|| tick("take-poles", poles_words, agreed.poles))}
                <Show when=move || (poles > 0) && agreed.poles.get()>
                    {pole_fields(agreed.pole)}
                </Show>
                {(poles > 1).then(|| tick("take-line", line_words, agreed.line))}
                <Show when=move || (poles > 1) && agreed.line.get()>
                    <div class="fields">
                        {size("wires-height", "Wires at the poles", agreed.wires, |it| it, |it, to| *it = to)}
                    </div>
                    <p class="hint">
                        "Sag and volts stay unknown: a wire may hang anywhere below that, and the "
                        "strictest rule holds."
                    </p>
                </Show>
            </fieldset>
        }
    })
}

fn tick(id: &'static str, words: String, agreed: RwSignal<bool>) -> impl IntoView {
    view! {
        <label class="choice">
            <input type="checkbox" id=id prop:checked=move || agreed.get()
                on:change=move |event| agreed.set(event_target_checked(&event))/>
            <span>{words}</span>
        </label>
    }
}

fn tree_fields(tree: RwSignal<TreeSize>) -> impl IntoView {
    view! {
        <div class="fields">
            {size("tree-canopy", "Canopy, radius", tree, |it| it.canopy, |it, to| it.canopy = to)}
            {size("tree-trunk", "Trunk, radius", tree, |it| it.trunk, |it, to| it.trunk = to)}
            {size("tree-underside", "Lowest branches", tree, |it| it.underside, |it, to| it.underside = to)}
            {size("tree-top", "Top", tree, |it| it.top, |it, to| it.top = to)}
        </div>
        <p class="hint">
            "Nobody has measured them: as it stands here a tree is full-grown, its branches down "
            "to the ground, and its name says that its size was not measured."
        </p>
    }
}

fn pole_fields(pole: RwSignal<PoleSize>) -> impl IntoView {
    view! {
        <div class="fields">
            {size("pole-width", "Across", pole, |it| it.width, |it, to| it.width = to)}
            {size("pole-height", "Height", pole, |it| it.height, |it, to| it.height = to)}
        </div>
    }
}

/// A field for one of the lengths of a size.
fn size<T: Copy + Send + Sync + 'static>(
    id: &'static str,
    label: &'static str,
    of: RwSignal<T>,
    read: fn(T) -> f64,
    write: fn(&mut T, f64),
) -> impl IntoView {
    let style = store().style();
    let value = Signal::derive(move || style.format(read(of.get())));
    let commit = Callback::new(move |typed: String| {
        let metres = parse_length(&typed, style).map_err(|error| error.to_string())?;
        of.update(|it| write(it, metres));
        Ok(())
    });
    view! { <Field id=id label=label value commit/> }
}

/// What the person takes in.
struct Taken {
    file: Arc<PointFile>,
    name: String,
    agreed: Agreed,
    replace: bool,
}

impl Taken {
    /// Joins the points to the site; whether the site took them.
    async fn join(&self, store: &Store) -> bool {
        let taken = store.change_survey(|site| {
            if self.replace {
                site.spot_levels.clear();
                site.breaklines.clear();
                site.imported_points.clear();
            }
            site.spot_levels.extend(self.file.spot_levels());
            site.imported_points.push(self.file.record(&self.name));
            if self.agreed.edges.get_untracked() {
                for mut line in self.file.suggested_breaklines() {
                    let taken = site.breaklines.iter().map(|other| other.id.as_str());
                    line.id = free_id("edge", taken);
                    site.breaklines.push(line);
                }
            }
            self.add_features(site);
        });
        let is_taken = taken.await;
        if is_taken && self.agreed.benchmarks.get_untracked() {
            add_book(store, self.book());
        }
        is_taken
    }

    /// Trees, poles and wires, as far as they are agreed to.
    fn add_features(&self, site: &mut SiteFile) {
        let Agreed {
            trees,
            tree,
            poles,
            pole,
            line,
            wires,
            ..
        } = self.agreed;
        let features = &mut site.features;
        if trees.get_untracked() {
            for mut tree in self.file.suggested_trees(tree.get_untracked()) {
                tree.id = free_id("tree", features.ids());
                features.trees.push(tree);
            }
        }
        if poles.get_untracked() {
            for mut pole in self.file.suggested_poles(pole.get_untracked()) {
                pole.id = free_id("pole", features.ids());
                features.buildings.push(pole);
            }
        }
        if line.get_untracked()
            && let Some(mut line) = self.file.suggested_line(wires.get_untracked())
        {
            line.id = free_id("line", features.ids());
            features.overhead_lines.push(line);
        }
    }

    /// A field book that begins on the benchmarks of the file.
    fn book(&self) -> FieldBook {
        let known: Vec<_> = (self.file.suggestions().into_iter())
            .filter(|it| it.feature == SuggestedFeature::Benchmark)
            .filter_map(|Suggestion { point, .. }| {
                let point = self.file.points.get(point)?;
                Some((point, point.elevation?))
            })
            .collect();
        let rows = known.iter().map(|(point, elevation)| BookRow {
            point: point.name.clone(),
            known: LengthStyle::Metres.format(elevation.0),
            note: point.description.clone(),
            ..BookRow::default()
        });
        let mut book = FieldBook::new("benchmarks", LengthStyle::Metres, rows.collect());
        book.name = format!("From {}", self.name);
        let named = known.iter().filter(|(point, _)| !point.name.is_empty());
        book.places = named
            .map(|(point, _)| PointPlace {
                point: point.name.clone(),
                at: Place::Coordinates(point.at),
            })
            .collect();
        book
    }
}

/// The first of `stem-1`, `stem-2` … that is not taken.
pub(crate) fn free_id<'a>(stem: &str, taken: impl Iterator<Item = &'a str>) -> String {
    let taken: HashSet<&str> = taken.collect();
    let mut ids = (1_u32..).map(|number| format!("{stem}-{number}"));
    ids.find(|id| !taken.contains(id.as_str()))
        .unwrap_or_default()
}
