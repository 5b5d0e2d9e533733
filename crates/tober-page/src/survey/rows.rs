//! The rows of a field book: on the left as they were read, beside that what follows.
//!
//! What is typed is kept as it is typed, understood or not; under the row stands what would have
//! worked.

use leptos::prelude::*;
use tober::survey::{BookRow, Column, FieldBook, ReducedRow, Reduction, Suspect};

use super::place::Details;
use super::{Book, level, off, plus_minus};
use crate::browser;
use crate::parts::icon;

/// A field of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Entry {
    Point,
    Reading(Column),
}

impl Entry {
    pub(super) const INTERMEDIATE: Entry = Entry::Reading(Column::Intermediate);

    /// In the order in which they stand in a row.
    const ALL: [Entry; 4] = [
        Entry::Point,
        Entry::Reading(Column::Backsight),
        Entry::INTERMEDIATE,
        Entry::Reading(Column::Foresight),
    ];

    /// The id of its field in the document.
    pub(super) fn id(self, row: usize) -> String {
        match self {
            Entry::Point => format!("book-{row}-point"),
            Entry::Reading(column) => format!("book-{row}-{}", column.key()),
        }
    }

    fn word(self) -> &'static str {
        match self {
            Entry::Point => "point",
            Entry::Reading(column) => column.word(),
        }
    }

    fn text(self, row: &BookRow) -> &str {
        match self {
            Entry::Point => &row.point,
            Entry::Reading(column) => row.text(column),
        }
    }
}

/// Where what is typed into a column goes.
pub(super) fn text_mut(row: &mut BookRow, column: Column) -> &mut String {
    match column {
        Column::Backsight => &mut row.backsight,
        Column::Intermediate => &mut row.intermediate,
        Column::Foresight => &mut row.foresight,
        Column::Known => &mut row.known,
        Column::Distance => &mut row.distance,
    }
}

/// Every row, and an empty one to go on in.
#[component]
pub(super) fn Rows(book: Book) -> impl IntoView {
    let count = Memo::new(move |_| book.with(|it, _| it.rows.len()).unwrap_or(0));
    let open = RwSignal::new(None::<usize>);
    view! {
        <table class="book" id="book-rows" aria-labelledby="book-title">
            <thead>
                <tr>
                    <th scope="col">"Point"</th>
                    <th scope="col"><abbr title="backsight">"BS"</abbr></th>
                    <th scope="col"><abbr title="intermediate sight">"IS"</abbr></th>
                    <th scope="col"><abbr title="foresight">"FS"</abbr></th>
                    <th scope="col" class="computed"><abbr title="height of instrument">"HI"</abbr></th>
                    <th scope="col" class="computed">"Elevation"</th>
                    <th scope="col"><span class="spoken">"More"</span></th>
                </tr>
            </thead>
            <For each=move || 0..=count.get() key=|row| *row let:row>
                <Row book row open/>
            </For>
        </table>
    }
}

#[component]
fn Row(
    book: Book,
    /// Its place in the book.
    row: usize,
    /// The row whose details are open.
    open: RwSignal<Option<usize>>,
) -> impl IntoView {
    let is_there = move || book.with(|it, _| row < it.rows.len()).unwrap_or(false);
    let is_open = move || open.get() == Some(row) && is_there();
    let is_suspect = move || {
        let suspect = book.with(|_, reduction| reduction.suspects.iter().any(|it| it.row == row));
        suspect.unwrap_or(false)
    };
    let computed = move |read: fn(&ReducedRow, &FieldBook) -> String| {
        let text = book.with(|it, reduction| Some(read(reduction.rows.get(row)?, it)));
        text.flatten().unwrap_or_default()
    };
    let words = Memo::new(move |_| {
        book.with(|it, reduction| remarks(it, reduction, row))
            .unwrap_or_default()
    });
    view! {
        <tbody class="book-row" class:suspect=is_suspect>
            <tr>
                {Entry::ALL
                    .map(|entry| view! { <td class=cell_class(entry)><Cell book row entry/></td> })
                    .into_iter()
                    .collect_view()}
                <td class="computed book-hi">
                    {move || computed(|row, book| level(row.instrument, book.units))}
                </td>
                <td class="computed book-elevation">
                    {move || computed(|row, book| level(row.elevation, book.units))}
                    <small>{move || computed(adjusted)}</small>
                </td>
                <td class="book-more">
                    <button type="button" class="tool" id=format!("book-{row}-more")
                        aria-label=format!("More of row {}", row + 1)
                        aria-expanded=move || is_open().to_string()
                        prop:disabled=move || !is_there()
                        on:click=move |_| open.update(|open| {
                            *open = if *open == Some(row) { None } else { Some(row) };
                        })>
                        {move || icon(if is_open() { "close" } else { "menu" })}
                    </button>
                </td>
            </tr>
            <tr class="book-words">
                <td colspan="7" id=format!("book-{row}-words") aria-live="polite">
                    {move || words.get()
                        .into_iter()
                        .map(|(class, words)| view! { <p class=class>{words}</p> })
                        .collect_view()}
                </td>
            </tr>
            <Show when=is_open>
                <tr class="book-details">
                    <td colspan="7"><Details book row open/></td>
                </tr>
            </Show>
        </tbody>
    }
}

fn cell_class(entry: Entry) -> &'static str {
    match entry {
        Entry::Point => "book-point",
        Entry::Reading(_) => "book-reading",
    }
}

/// The adjusted elevation with its error; only the error where none is to be seen of the
/// adjustment.
fn adjusted(row: &ReducedRow, book: &FieldBook) -> String {
    let error = (row.standard_error)
        .filter(|error| *error > 0.0)
        .map_or_else(String::new, |error| plus_minus(error, book.units));
    let adjusted = level(row.adjusted, book.units);
    if adjusted.is_empty() || adjusted == level(row.elevation, book.units) {
        error
    } else {
        format!("adj. {adjusted} {error}")
    }
}

/// A field that is written in.
#[component]
fn Cell(book: Book, row: usize, entry: Entry) -> impl IntoView {
    let draft = RwSignal::new(None::<String>);
    let written = Memo::new(move |_| {
        let text = book.with(|it, _| Some(entry.text(it.rows.get(row)?).to_owned()));
        text.flatten().unwrap_or_default()
    });
    let is_problem = move || {
        let Entry::Reading(column) = entry else {
            return false;
        };
        let found = book.with(|_, reduction| {
            let problems = &reduction.rows.get(row)?.problems;
            Some(problems.iter().any(|it| it.column == column))
        });
        found.flatten().unwrap_or(false)
    };
    let is_suspect = move || {
        let found = book.with(|_, reduction| {
            let mut suspects = reduction.suspects.iter();
            suspects.any(|it| it.row == row && entry == Entry::Reading(it.column))
        });
        found.unwrap_or(false)
    };
    let finish = move || {
        let Some(typed) = draft.get_untracked() else {
            return;
        };
        // What the site does not take stays in the field.
        if typed == written.get_untracked() || book.change(|book| write(book, row, entry, typed)) {
            draft.set(None);
        }
    };
    view! {
        <input type="text" id=entry.id(row) autocomplete="off" autocapitalize="off"
            spellcheck="false" enterkeyhint="next"
            aria-label=format!("Row {}, {}", row + 1, entry.word())
            aria-invalid=move || is_problem().then_some("true")
            aria-describedby=format!("book-{row}-words")
            class:suspect=is_suspect
            prop:value=move || draft.get().unwrap_or_else(|| written.get())
            on:input=move |event| draft.set(Some(event_target_value(&event)))
            on:change=move |_| finish()
            on:keydown=move |event| match event.key().as_str() {
                "Enter" => {
                    event.prevent_default();
                    finish();
                    go_on(book, row, entry);
                }
                "ArrowDown" => {
                    event.prevent_default();
                    finish();
                    go_to(row + 1, entry);
                }
                "ArrowUp" => {
                    event.prevent_default();
                    finish();
                    go_to(row.saturating_sub(1), entry);
                }
                "Escape" => draft.set(None),
                _ => {}
            }/>
    }
}

/// Writes into a row; into the empty one behind the last, and it is a row of the book.
fn write(book: &mut FieldBook, row: usize, entry: Entry, typed: String) {
    if row == book.rows.len() {
        book.rows.push(BookRow::default());
    }
    let Some(written) = book.rows.get_mut(row) else {
        return;
    };
    match entry {
        Entry::Reading(column) => *text_mut(written, column) = typed,
        Entry::Point => {
            let before = std::mem::replace(&mut written.point, typed.clone());
            // A place goes with its point under the new name, unless another row has the old.
            let is_left = book.rows.iter().any(|it| is_same(&it.point, &before));
            if !is_left && !typed.trim().is_empty() {
                let places = book.places.iter_mut();
                places
                    .filter(|place| is_same(&place.point, &before))
                    .for_each(|place| place.point = typed.trim().to_owned());
            }
        }
    }
}

/// Whether two names are one point's.
pub(super) fn is_same(one: &str, other: &str) -> bool {
    one.trim().to_lowercase() == other.trim().to_lowercase()
}

/// To the next field. Behind an intermediate sight or a foresight that is the next row: where
/// its point is named already, as in a book of feet, its reading, or else its name.
fn go_on(book: Book, row: usize, entry: Entry) {
    let is_written = |row: usize, entry: Entry| {
        let found =
            untrack(|| book.with(|it, _| Some(!entry.text(it.rows.get(row)?).trim().is_empty())));
        found.flatten().unwrap_or(false)
    };
    let is_done = match entry {
        Entry::Point | Entry::Reading(Column::Backsight) => false,
        Entry::Reading(Column::Foresight) => true,
        Entry::Reading(_) => is_written(row, entry),
    };
    if is_done {
        let next = if is_written(row + 1, Entry::Point) {
            entry
        } else {
            Entry::Point
        };
        go_to(row + 1, next);
        return;
    }
    let mut behind = Entry::ALL.into_iter().skip_while(|it| *it != entry).skip(1);
    if let Some(next) = behind.next() {
        go_to(row, next);
    }
}

/// Gives a field the keyboard: at once, or when its row has come.
fn go_to(row: usize, entry: Entry) {
    let id = entry.id(row);
    if !browser::focus_text(&id) {
        leptos::task::spawn_local(async move {
            leptos::task::tick().await;
            browser::focus_text(&id);
        });
    }
}

/// What is to be said under a row, each with its class.
fn remarks(book: &FieldBook, reduction: &Reduction, row: usize) -> Vec<(&'static str, String)> {
    let (Some(written), Some(reduced)) = (book.rows.get(row), reduction.rows.get(row)) else {
        return Vec::new();
    };
    let mut remarks = Vec::new();
    for problem in &reduced.problems {
        remarks.push((
            "book-problem",
            format!("Not used, {}: {}.", problem.column.word(), problem.words),
        ));
    }
    let suspects = reduction.suspects.iter().filter(|it| it.row == row);
    remarks.extend(suspects.map(|it| ("book-suspect", suspect(it))));
    let doubts = reduction.doubts.iter().filter(|it| it.row == row);
    remarks.extend(doubts.map(|it| {
        let words = format!("{} Nothing checks it.", should_be("Doubtful", it));
        ("book-doubt", words)
    }));
    if let Some(misclosure) = reduced.misclosure {
        let off = off(misclosure, book.units);
        remarks.push(("book-note", format!("Closes {off}.")));
    }
    let known = (reduced.known).map(|known| format!("known {}", book.units.format(known.0)));
    let place = reduction
        .points
        .iter()
        .find(|it| is_same(&it.name, &reduced.point) && !reduced.point.is_empty())
        .and_then(|point| point.at)
        .map(|at| {
            format!(
                "at {} east, {} north",
                book.units.format(at.x),
                book.units.format(at.y)
            )
        });
    let text = |text: &str| (!text.trim().is_empty()).then(|| text.trim().to_owned());
    let distance = text(&written.distance).map(|it| match reduced.has_idle_distance {
        true => format!("distance {it} not used: no foresight in this row"),
        false => format!("{it} from rod to rod"),
    });
    let notes: Vec<String> = [known, distance, place, text(&written.note)]
        .into_iter()
        .flatten()
        .collect();
    if !notes.is_empty() {
        remarks.push(("book-note", notes.join(" · ")));
    }
    for (index, problem) in &reduction.lost_places {
        let place = book.places.get(*index);
        if place.is_some_and(|place| is_same(&place.point, &reduced.point)) {
            remarks.push((
                "book-problem",
                format!("No place: {}.", problem.in_words(book.units)),
            ));
        }
    }
    remarks
}

/// `Likely (82 %): the backsight 5.31 should be 5.13: two digits changed places.`
fn suspect(suspect: &Suspect) -> String {
    let percent = match suspect.likelihood * 100.0 {
        percent if percent > 99.0 => "over 99 %".to_owned(),
        percent => format!("{percent:.0} %"),
    };
    should_be(&format!("Likely ({percent})"), suspect)
}

fn should_be(opening: &str, suspect: &Suspect) -> String {
    let why = suspect.slip.map_or_else(
        || "about that would fit".to_owned(),
        |slip| slip.to_string(),
    );
    format!(
        "{opening}: the {} {} should be {}: {why}.",
        suspect.column.word(),
        suspect.written.trim(),
        suspect.should_be
    )
}
