//! What a field book is judged by: the allowance for its misclosures, how they are spread, and how
//! well a rod is read.

use leptos::prelude::*;
use tober::survey::{Allowance, FieldBook, READING_ERROR, Reduction, SpreadBy};
use tober::units::{LengthStyle, parse_length};

use super::Book;
use crate::field::Field;

/// What a misclosure is judged against, without its figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Usual,
    PerRootKm,
    PerRootSetup,
}

impl Kind {
    const ALL: [Kind; 3] = [Kind::Usual, Kind::PerRootKm, Kind::PerRootSetup];

    fn of(allowance: Option<Allowance>) -> Kind {
        match allowance {
            None => Kind::Usual,
            Some(Allowance::PerRootKm(_)) => Kind::PerRootKm,
            Some(Allowance::PerRootSetup(_)) => Kind::PerRootSetup,
        }
    }

    fn word(self, units: LengthStyle) -> String {
        match self.allowance() {
            None => "as usual for the book".to_owned(),
            Some(allowance) => format!("a figure × {}", allowance.root(units)),
        }
    }

    /// The allowance of this kind that is known best: a figure to begin with.
    fn allowance(self) -> Option<Allowance> {
        match self {
            Kind::Usual => None,
            Kind::PerRootKm => Some(Allowance::THIRD_ORDER),
            Kind::PerRootSetup => Some(Allowance::CONSTRUCTION),
        }
    }
}

/// The choices, folded away as long as those hold that usually do.
#[component]
pub(super) fn Judging(book: Book) -> impl IntoView {
    let kind = Memo::new(move |_| Kind::of(book.with(|it, _| it.allowance).flatten()));
    let units = Memo::new(move |_| book.with(|it, _| it.units).unwrap_or_default());
    let spread = Memo::new(move |_| book.with(|it, _| it.spread_by).unwrap_or_default());
    let words = move || book.with(in_force);
    let figures = move || {
        let (allowance, error) = if units.get().is_metric() {
            ("Allowance, mm", "Error of a reading, mm")
        } else {
            ("Allowance, ft", "Error of a reading, ft")
        };
        view! {
            <Show when=move || kind.get() != Kind::Usual>
                <Field id="allowance-figure" label=allowance
                    value=Signal::derive(move || book
                        .with(|it, _| it.allowance.map(|of| of.figure(it.units).to_string()))
                        .flatten()
                        .unwrap_or_default())
                    commit=Callback::new(move |typed: String| set_figure(&book, &typed))/>
            </Show>
            <Field id="reading-error" label=error
                value=Signal::derive(move || book
                    .with(|it, _| fine(it.reading_error.unwrap_or(READING_ERROR), it.units))
                    .unwrap_or_default())
                commit=Callback::new(move |typed: String| set_reading_error(&book, &typed))/>
        }
    };
    view! {
        <details class="judging" id="judging">
            <summary>"How it is judged and spread"</summary>
            <div class="book-choices">
                <label class="pick"><span>"Allowance"</span>
                    <select id="book-allowance" on:change=move |event| {
                        let word = event_target_value(&event);
                        if let Some(kind) = Kind::ALL.into_iter().find(|it| it.word(units.get()) == word) {
                            book.change(|book| book.allowance = kind.allowance());
                        }
                    }>
                        {move || Kind::ALL
                            .map(|it| view! {
                                <option value=it.word(units.get()) selected=it == kind.get()>
                                    {it.word(units.get())}
                                </option>
                            })
                            .into_iter()
                            .collect_view()}
                    </select>
                </label>
                <label class="pick"><span>"Misclosure is spread"</span>
                    <select id="book-spread" on:change=move |event| {
                        let word = event_target_value(&event);
                        if let Some((spread, _)) = SPREADS.iter().find(|it| it.1 == word) {
                            book.change(|book| book.spread_by = *spread);
                        }
                    }>
                        {move || SPREADS
                            .map(|(it, word)| view! {
                                <option value=word selected=it == spread.get()>{word}</option>
                            })
                            .into_iter()
                            .collect_view()}
                    </select>
                </label>
            </div>
            <div class="fields">{figures}</div>
            <p class="hint" id="judged-by">{words}</p>
        </details>
    }
}

const SPREADS: [(SpreadBy, &str); 2] = [
    (SpreadBy::Setups, "evenly over the setups"),
    (SpreadBy::Distance, "by the distance of each setup"),
];

/// What holds, and where it comes from.
fn in_force(book: &FieldBook, reduction: &Reduction) -> String {
    let units = book.units;
    let spread = if book.spread_by == reduction.spread_by {
        ""
    } else {
        " Not every setup has its distance (More, Rod to rod), so misclosures are spread evenly \
         over the setups."
    };
    format!(
        "Allowed: {} ({}). A standard error of one reading of {} {} weighs the readings and gives \
         every ±; left empty it is {}.{spread}",
        reduction.allowance.in_words(units),
        reduction.allowance.source(),
        fine(book.reading_error.unwrap_or(READING_ERROR), units),
        if units.is_metric() { "mm" } else { "ft" },
        fine(READING_ERROR, units),
    )
}

/// Millimetres to a thousandth, or feet to a ten-thousandth, as they are typed.
fn fine(metres: f64, units: LengthStyle) -> String {
    if units.is_metric() {
        ((metres * 1e6).round() / 1e3).to_string()
    } else {
        ((metres / 0.3048 * 1e4).round() / 1e4).to_string()
    }
}

fn set_figure(book: &Book, typed: &str) -> Result<(), String> {
    let units = units_of(book);
    let figure = length(typed, units)?;
    taken(book.change(|book| {
        book.allowance = (book.allowance).map(|allowance| allowance.with_figure(figure, units));
    }))
}

fn set_reading_error(book: &Book, typed: &str) -> Result<(), String> {
    let error = match typed.trim() {
        "" => None,
        typed => Some(length(typed, units_of(book))?),
    };
    taken(book.change(|book| book.reading_error = error))
}

fn units_of(book: &Book) -> LengthStyle {
    untrack(|| book.with(|it, _| it.units)).unwrap_or_default()
}

/// A bare number is millimetres, or feet.
fn length(typed: &str, units: LengthStyle) -> Result<f64, String> {
    let bare = if units.is_metric() {
        LengthStyle::Millimetres
    } else {
        LengthStyle::DecimalFeet
    };
    parse_length(typed, bare).map_err(|error| error.to_string())
}

fn taken(is_taken: bool) -> Result<(), String> {
    if is_taken {
        Ok(())
    } else {
        Err("The site does not take that; why is said above.".to_owned())
    }
}
