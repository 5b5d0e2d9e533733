//! The survey: a field book that fills while numbers are called out, point files, and how well
//! the ground is known.
//!
//! A book's rows are kept in the site exactly as they are typed; everything beside and under them
//! is the reduction that `tober` makes of them.

mod foot;
mod import;
mod judging;
mod marks;
mod place;
mod rows;
mod section;

use std::sync::Arc;

use leptos::prelude::*;
use tober::Point;
use tober::ground::{Elevation, NextShot};
use tober::site::Placement;
use tober::survey::{Datum, FieldBook, Reduction, read_field_book};
use tober::units::{LengthStyle, parse_length};

use crate::browser;
use crate::field::Field;
use crate::files::file_name;
use crate::parts::icon;
use crate::state::{Notice, Store, Tab, store};

pub(crate) use import::{OpenedPoints, free_id};
pub(crate) use marks::{Cross, Marks, Readout};

/// The field book that is worked on, by its place in the site's list.
#[derive(Clone, Copy, Debug)]
struct Book {
    store: Store,
    index: RwSignal<usize>,
}

impl Book {
    /// Reads the book beside its reduction; `None` when there is none.
    fn with<T>(&self, read: impl FnOnce(&FieldBook, &Reduction) -> T) -> Option<T> {
        let index = self.index.get();
        self.store.site.with(|site| {
            let book = site.file().field_books.get(index)?;
            Some(read(book, site.reductions().get(index)?))
        })
    }

    /// Changes the book; whether the site took the change.
    fn change(&self, change: impl FnOnce(&mut FieldBook)) -> bool {
        let index = self.index.get_untracked();
        self.store.change_file(|file| {
            if let Some(book) = file.field_books.get_mut(index) {
                change(book);
            }
        })
    }
}

/// Opens a text that is no site: a field book joins the site, a point file is shown first.
pub(crate) async fn open(store: Store, name: &str, text: String) {
    if let Some(read) = read_field_book(&text, None) {
        let rows = read.book.rows.len();
        let bad: String = (read.bad_lines.iter().take(5))
            .map(|bad| format!(" Line {}: {}.", bad.line, bad.words))
            .collect();
        let cautions: String = (read.cautions(&read.book.reduce()).iter().take(5))
            .map(|caution| format!(" {caution}"))
            .collect();
        let units = if read.units_were_stated {
            String::new()
        } else {
            " It does not say its unit: metres were taken for granted.".to_owned()
        };
        if add_book(&store, read.book) {
            store.tab.set(Tab::Survey);
            store.notice.set(Some(Notice::Words(format!(
                "{name} is a field book of {rows} rows; it is in the survey view.{units}{bad}{cautions}"
            ))));
        }
        return;
    }
    match OpenedPoints::read(&store, name, text).await {
        Ok(opened) => {
            store.import.set(Some(opened.into()));
            store.tab.set(Tab::Survey);
            store.notice.set(None);
        }
        Err(words) => store.notice.set(Some(Notice::Words(words))),
    }
}

/// Adds a field book to the site, under an id that is free.
fn add_book(store: &Store, mut book: FieldBook) -> bool {
    store.change_file(|file| {
        let stem = book.id.clone();
        let is_free = |id: &str| file.field_books.iter().all(|other| other.id != id);
        let numbered = (2..).map(|number| format!("{stem}-{number}"));
        let id = std::iter::once(stem.clone()).chain(numbered);
        book.id = id.into_iter().find(|id| is_free(id)).unwrap_or(stem);
        file.field_books.push(book);
    })
}

#[component]
pub(crate) fn Survey() -> impl IntoView {
    let store = store();
    let count = Memo::new(move |_| store.site.with(|site| site.file().field_books.len()));
    let book = Book {
        store,
        index: RwSignal::new(count.get_untracked().saturating_sub(1)),
    };
    // A new book is the one to write in.
    Effect::new(move |before: Option<usize>| {
        let count = count.get();
        let is_new = before.is_some_and(|before| count > before);
        if is_new || book.index.get_untracked() >= count {
            book.index.set(count.saturating_sub(1));
        }
        count
    });
    let page = move || {
        let index = book.index.get();
        (index < count.get()).then(|| {
            view! {
                <Head book/>
                <rows::Rows book/>
                {foot::foot(book)}
                <button type="button" class="button" id="save-points"
                    on:click=move |_| save_points(&book)>
                    {icon("save")}"Save reduced points (CSV)"
                </button>
            }
        })
    };
    view! {
        <import::Import/>
        <div class="book-tools">
            <button type="button" class="button" id="read-feet"
                on:click=move |_| start_at_feet(&store)>
                {icon("survey")}"Read the rod at each foot"
            </button>
            <button type="button" class="button" id="new-book"
                on:click=move |_| start_book(&store)>
                {icon("plus")}"New field book"
            </button>
        </div>
        <Show when=move || count.get() == 0>
            <p class="hint">
                "No field book yet. Read the rod at each foot of the ride, start a book, or open "
                "a field book or a point file (CSV) with Open."
            </p>
        </Show>
        {page}
        <Ground/>
    }
}

/// A book of one setup with a row for every foot of the ride that is worked on.
fn start_at_feet(store: &Store) {
    let ride = store.ride.get_untracked();
    let made = store.site.with_untracked(|site| {
        let placed = site.file().rides.get(ride)?;
        let profile = site.profile(ride)?;
        let units = site.file().units;
        let mut book =
            FieldBook::at_feet("feet", profile, &placed.placement, units, |_| String::new());
        let name = if placed.name.is_empty() {
            &profile.name
        } else {
            &placed.name
        };
        book.name = format!("{name}, at its feet");
        Some(book)
    });
    if made.is_some_and(|book| add_book(store, book)) {
        write_first(rows::Entry::INTERMEDIATE);
    }
}

fn start_book(store: &Store) {
    let units = store.style();
    let book = FieldBook::new("book", units, Vec::new());
    if add_book(store, book) {
        write_first(rows::Entry::Point);
    }
}

/// Gives the keyboard to the first row, once it is there.
fn write_first(entry: rows::Entry) {
    leptos::task::spawn_local(async move {
        leptos::task::tick().await;
        browser::focus_text(&entry.id(0));
    });
}

/// Which book, in which unit, judged by what, and what its elevations count from.
#[component]
fn Head(book: Book) -> impl IntoView {
    let store = book.store;
    let names = move || {
        store.site.with(|site| {
            let books = site.file().field_books.iter().enumerate();
            books
                .map(|(index, book)| (index, name(book, index)))
                .collect::<Vec<_>>()
        })
    };
    let several = move || store.site.with(|site| site.file().field_books.len() > 1);
    let remove = move |_| {
        let index = book.index.get_untracked();
        store.change_file(|file| {
            if index < file.field_books.len() {
                file.field_books.remove(index);
            }
        });
    };
    view! {
        <div class="book-head">
            <h3 id="book-title">{move || {
                book.with(|it, _| name(it, book.index.get())).unwrap_or_default()
            }}</h3>
            {move || book.with(|_, reduction| foot::standing(reduction))}
        </div>
        <div class="book-choices">
            <Show when=several>
                <label class="pick"><span>"Book"</span>
                    <select id="book" on:change=move |event| {
                        if let Ok(index) = event_target_value(&event).parse() {
                            book.index.set(index);
                        }
                    }>
                        {move || names()
                            .into_iter()
                            .map(|(index, name)| view! {
                                <option value=index.to_string()
                                    selected=index == book.index.get()>{name}</option>
                            })
                            .collect_view()}
                    </select>
                </label>
            </Show>
            <label class="pick"><span>"Bare numbers"</span>
                <select id="book-units" on:change=move |event| {
                    let label = event_target_value(&event);
                    let units = LengthStyle::ALL.into_iter().find(|it| it.label() == label);
                    if let Some(units) = units {
                        book.change(|book| book.units = units);
                    }
                }>
                    {move || book.with(|it, _| it.units).map(|units| LengthStyle::ALL
                        .map(|style| view! {
                            <option value=style.label() selected=style == units>
                                {style.label()}
                            </option>
                        })
                        .into_iter()
                        .collect_view())}
                </select>
            </label>
            <button type="button" class="button" id="remove-book" on:click=remove>
                {icon("trash")}"Remove this book"
            </button>
        </div>
        <p class="hint" id="book-datum">{move || book.with(|it, reduction| {
            datum(it, reduction)
        })}</p>
        <judging::Judging book/>
        {move || is_apart(&book).then(|| view! {
            <p class="book-apart">
                "Its heights are not part of the site's ground: nothing ties them to the spot "
                "levels. Write the known elevation of one of its points (More) and they join."
            </p>
        })}
    }
}

fn name(book: &FieldBook, index: usize) -> String {
    if book.name.is_empty() {
        format!("Field book {}", index + 1)
    } else {
        book.name.clone()
    }
}

fn datum(book: &FieldBook, reduction: &Reduction) -> String {
    let counted = match &reduction.datum {
        Datum::Benchmark => "Elevations count from the benchmarks that are known.".to_owned(),
        Datum::Assumed => "Elevations count from a benchmark that was assumed.".to_owned(),
        Datum::HighCorner(Some(name)) => {
            format!("No benchmark: the high corner, {name}, is zero.")
        }
        Datum::HighCorner(None) => "Nothing has been read yet.".to_owned(),
    };
    let unit = match book.units {
        LengthStyle::Metres => "metres",
        LengthStyle::Millimetres => "millimetres",
        _ => "feet",
    };
    format!(
        "{counted} A bare number is {unit}; 5' 3-1/4\", 1.606 m and 2.31 inv (inverted rod) are \
         read as well. Enter goes on: after IS or FS to the next row."
    )
}

/// Whether the site says that the book's heights cannot join its ground.
fn is_apart(book: &Book) -> bool {
    let rows = format!("field_books[{}].rows", book.index.get());
    book.store
        .site
        .with(|site| site.warnings().iter().any(|it| it.path == rows))
}

/// An error as the crew reads it, rounded up.
fn plus_minus(error: f64, style: LengthStyle) -> String {
    let style = if style.is_metric() {
        LengthStyle::Millimetres
    } else {
        style
    };
    format!("± {}", style.format_up(error))
}

/// How far off a sight is, in words.
fn off(misclosure: f64, style: LengthStyle) -> String {
    let fine = style.format_fine(misclosure);
    if fine == style.format_fine(0.0) {
        return "to the last digit".to_owned();
    }
    let (side, sign) = if misclosure < 0.0 {
        ("low", "")
    } else {
        ("high", "+")
    };
    if style == LengthStyle::DecimalFeet {
        return format!("{} {side}", style.format_fine(misclosure.abs()));
    }
    let size = style.format(misclosure.abs());
    format!("{size} {side} ({sign}{fine})")
}

/// An elevation, or nothing.
fn level(elevation: Option<Elevation>, style: LengthStyle) -> String {
    elevation.map_or_else(String::new, |it| style.format(it.0))
}

/// How well the ground is known, and where to take one more shot.
#[component]
fn Ground() -> impl IntoView {
    let store = store();
    let quality = Memo::new(move |_| {
        let style = store.style();
        store
            .scene
            .with(|scene| scene.site.ground().quality().words(style))
    });
    let advice = move || {
        let (asked, next) = store.next_shot.get()?;
        let is_new = store.site.with(|site| Arc::ptr_eq(site, &asked));
        is_new.then(|| shot_words(&store, &next))
    };
    view! {
        <h3>"Ground"</h3>
        <p id="ground-quality">{quality}</p>
        <p class="hint">
            "Point at the plan, or tap it, for the height there; or write a place. On the plan the "
            "key H asks by the arrow keys."
        </p>
        <Ask/>
        <section::Section/>
        <div class="book-tools">
            <button type="button" class="button" id="next-shot"
                on:click=move |_| ask_next_shot(&store)>
                {icon("target")}"Where to take the next shot"
            </button>
        </div>
        <p id="next-shot-words" role="status">{advice}</p>
    }
}

/// Asks for the height of the ground at a place that is written down.
#[component]
fn Ask() -> impl IntoView {
    let store = store();
    let asked = RwSignal::new([None::<f64>; 2]);
    let field = move |index: usize| {
        let value = Signal::derive(move || {
            let metres = asked.with(|asked| asked.get(index).copied().flatten());
            metres.map_or_else(String::new, |it| store.style().format(it))
        });
        let commit = Callback::new(move |typed: String| {
            let metres = parse_length(&typed, store.style()).map_err(|error| error.to_string())?;
            asked.update(|asked| {
                if let Some(it) = asked.get_mut(index) {
                    *it = Some(metres);
                }
            });
            if let [Some(east), Some(north)] = asked.get_untracked() {
                store.cross.set(true);
                store.probe.set(Some(Point::new(east, north)));
            }
            Ok(())
        });
        (value, commit)
    };
    let [(east, set_east), (north, set_north)] = [field(0), field(1)];
    let words = move || match asked.get() {
        [Some(east), Some(north)] => marks::height_words(&store, Point::new(east, north)).0,
        _ => String::new(),
    };
    view! {
        <div class="fields ask-fields">
            <Field id="ask-east" label="Height at, east" value=east commit=set_east/>
            <Field id="ask-north" label="Height at, north" value=north commit=set_north/>
            <p class="ask-height"><strong id="ask-height">{words}</strong></p>
        </div>
    }
}

/// The feet of the ride that is worked on, by name.
fn feet(store: &Store) -> Vec<(String, Point)> {
    let ride = store.ride.get_untracked();
    store.site.with_untracked(|site| {
        let placement: Option<Placement> = site.file().rides.get(ride).map(|it| it.placement);
        let (Some(placement), Some(profile)) = (placement, site.profile(ride)) else {
            return Vec::new();
        };
        let supports = profile.supports();
        supports
            .map(|(name, at)| (name.to_owned(), placement.to_lot(at)))
            .collect()
    })
}

fn ask_next_shot(store: &Store) {
    let feet: Vec<Point> = feet(store).into_iter().map(|(_, at)| at).collect();
    let site = store.site.get_untracked();
    match site.ground().next_shot(&feet) {
        Some(next) => store.next_shot.set(Some((site, next))),
        None => {
            store.next_shot.set(None);
            store.notice.set(Some(Notice::Words(
                "No single shot would make the feet better known.".to_owned(),
            )));
        }
    }
}

fn shot_words(store: &Store, next: &NextShot) -> String {
    let style = store.style();
    let worst = feet(store).into_iter().nth(next.worst);
    let worst = worst.map_or_else(String::new, |(name, _)| name);
    let now = next
        .error_now
        .map_or_else(|| "not known".to_owned(), |it| plus_minus(it, style));
    let after = next
        .error_after
        .map_or_else(|| "not known yet".to_owned(), |it| plus_minus(it, style));
    format!(
        "Next shot: {} east, {} north. The worst foot is {worst}, {now}; with that shot the worst \
         would be {after}.",
        style.format(next.at.x),
        style.format(next.at.y)
    )
}

/// The reduced points of the book as a file.
fn save_points(book: &Book) {
    let index = book.index.get_untracked();
    let file = untrack(|| {
        book.with(|book, reduction| (file_name(&name(book, index), "csv"), reduction.to_csv()))
    });
    if let Some((name, csv)) = file
        && browser::download(&name, &csv, "text/csv").is_err()
    {
        let words = "This browser does not let the page save a file.";
        book.store.notice.set(Some(Notice::Words(words.to_owned())));
    }
}
