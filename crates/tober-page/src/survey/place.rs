//! What else there is to a row: a known elevation, a distance, a note, and where its point lies.

use leptos::prelude::*;
use tober::Point;
use tober::survey::{
    BookRow, Column, FieldBook, GridCorner, Offset, Place, PointPlace, Side, Tape, Tapes,
};
use tober::units::parse_length;

use super::Book;
use super::rows::{is_same, text_mut};
use crate::field::Field;
use crate::parts::icon;

/// How a place is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Means {
    Coordinates,
    FromRide,
    Tapes,
    Grid,
}

impl Means {
    const ALL: [Means; 4] = [
        Means::Coordinates,
        Means::FromRide,
        Means::Tapes,
        Means::Grid,
    ];

    fn word(self) -> &'static str {
        match self {
            Means::Coordinates => "east and north",
            Means::FromRide => "along and across the ride",
            Means::Tapes => "two tapes",
            Means::Grid => "a grid",
        }
    }
}

/// A place while it is written down: two numbers, metres, and for tapes where they begin; on a
/// grid two counts of steps, and where the grid lies.
#[derive(Clone, Debug, PartialEq)]
struct Draft {
    means: Means,
    numbers: [Option<f64>; 2],
    from: [String; 2],
    side: Option<Side>,
    steps: [Option<i32>; 2],
    grid: Grid,
}

/// Where a grid lies: its corner, metres east and north, its spacing, metres, and the direction
/// of its lines, degrees.
type Grid = [Option<f64>; 4];

impl Draft {
    fn of(place: Option<&Place>) -> Draft {
        let mut draft = Draft {
            means: Means::Coordinates,
            numbers: [None; 2],
            from: Default::default(),
            side: None,
            steps: [None; 2],
            grid: [None; 4],
        };
        match place {
            Some(Place::Coordinates(at)) => draft.numbers = [Some(at.x), Some(at.y)],
            Some(Place::Offset(offset)) => {
                draft.means = Means::FromRide;
                draft.numbers = [Some(offset.along), Some(offset.across)];
            }
            Some(Place::Tapes(tapes)) => {
                draft.means = Means::Tapes;
                draft.numbers = [Some(tapes.first.distance), Some(tapes.second.distance)];
                draft.from = [tapes.first.point.clone(), tapes.second.point.clone()];
                draft.side = tapes.side;
            }
            Some(Place::Grid(corner)) => {
                draft.means = Means::Grid;
                draft.steps = [Some(corner.along), Some(corner.across)];
                draft.grid = grid_of(corner);
            }
            None => {}
        }
        draft
    }

    /// A place by other means, nothing of it written yet; on a grid, on the one that the book has
    /// already.
    fn by(means: Means, book: &Book) -> Draft {
        let mut draft = Draft {
            means,
            ..Draft::of(None)
        };
        if means == Means::Grid {
            let of_book = untrack(|| {
                book.with(|book, _| {
                    let mut corners = book.places.iter().filter_map(|place| match &place.at {
                        Place::Grid(corner) => Some(grid_of(corner)),
                        _ => None,
                    });
                    corners.next_back()
                })
            });
            draft.grid = of_book.flatten().unwrap_or_default();
        }
        draft
    }

    /// The place, once nothing is missing. Along and across are measured from the ride's hub as
    /// it stands now.
    fn place(&self, book: &Book) -> Option<Place> {
        if self.means == Means::Grid {
            let [east, north, spacing, heading] = self.grid;
            let [along, across] = self.steps;
            return Some(Place::Grid(GridCorner {
                from: Point::new(east?, north?),
                heading: heading?,
                spacing: spacing?,
                along: along?,
                across: across?,
            }));
        }
        let [first, second] = self.numbers;
        let (first, second) = (first?, second?);
        Some(match self.means {
            Means::Coordinates => Place::Coordinates(Point::new(first, second)),
            Means::FromRide => {
                let ride = book.store.ride.get_untracked();
                let placement = book.store.placement(ride)?;
                let profile = book
                    .store
                    .site
                    .with_untracked(|site| site.profile(ride).cloned());
                Place::Offset(Offset::on_ride(&profile?, &placement, None, first, second)?)
            }
            Means::Tapes => {
                let [from, other] = &self.from;
                if from.is_empty() || other.is_empty() {
                    return None;
                }
                let tape = |point: &String, distance: f64| Tape {
                    point: point.clone(),
                    distance,
                };
                Place::Tapes(Tapes {
                    first: tape(from, first),
                    second: tape(other, second),
                    side: self.side,
                })
            }
            Means::Grid => return None,
        })
    }
}

fn grid_of(corner: &GridCorner) -> Grid {
    [corner.from.x, corner.from.y, corner.spacing, corner.heading].map(Some)
}

#[component]
pub(super) fn Details(
    book: Book,
    row: usize,
    /// The row whose details are open.
    open: RwSignal<Option<usize>>,
) -> impl IntoView {
    let written = move |read: fn(&BookRow) -> &str| {
        Signal::derive(move || {
            let text = book.with(|it, _| Some(read(it.rows.get(row)?).to_owned()));
            text.flatten().unwrap_or_default()
        })
    };
    let commit = move |column: Column| {
        Callback::new(move |typed: String| {
            change_row(&book, row, |it| *text_mut(it, column) = typed)
        })
    };
    // Only another name is another point: at any other change what is half written stays.
    let name = Memo::new(move |_| written(|it| &it.point).get());
    let insert = move |_| {
        book.change(|book| {
            let row = row.min(book.rows.len());
            book.rows.insert(row, BookRow::default());
        });
    };
    let remove = move |_| {
        open.set(None);
        book.change(|book| {
            if row < book.rows.len() {
                book.rows.remove(row);
            }
        });
    };
    view! {
        <div class="fields">
            <Field id="book-known" label="Known elevation"
                value=written(|it| &it.known) commit=commit(Column::Known)/>
            <Field id="book-distance" label="Rod to rod"
                value=written(|it| &it.distance) commit=commit(Column::Distance)/>
            <Field id="book-note" label="Note" value=written(|it| &it.note)
                commit=Callback::new(move |typed: String| {
                    change_row(&book, row, |it| it.note = typed)
                })/>
        </div>
        {move || if name.get().trim().is_empty() {
            view! { <p class="hint">"Name the point, and its place can be written down."</p> }
                .into_any()
        } else {
            view! { <PlaceFields book point=name.get()/> }.into_any()
        }}
        <div class="book-tools">
            <button type="button" class="button" on:click=insert>
                {icon("plus")}"Insert a row above"
            </button>
            <button type="button" class="button" on:click=remove>
                {icon("trash")}"Remove this row"
            </button>
        </div>
    }
}

fn change_row(book: &Book, row: usize, change: impl FnOnce(&mut BookRow)) -> Result<(), String> {
    let is_taken = book.change(|book| {
        if let Some(row) = book.rows.get_mut(row) {
            change(row);
        }
    });
    if is_taken {
        Ok(())
    } else {
        Err("The site does not take that; why is said above.".to_owned())
    }
}

/// Where a point lies.
#[component]
fn PlaceFields(book: Book, point: String) -> impl IntoView {
    let point = StoredValue::new(point);
    let kept = untrack(|| {
        book.with(|it, _| {
            let place = point.with_value(|point| {
                let mut places = it.places.iter();
                places.find(|place| is_same(&place.point, point))
            });
            Draft::of(place.map(|place| &place.at))
        })
    });
    let draft = RwSignal::new(kept.unwrap_or_else(|| Draft::of(None)));
    let update = move |change: &dyn Fn(&mut Draft)| {
        draft.update(|draft| change(draft));
        let place = draft.with_untracked(|draft| draft.place(&book));
        // As long as something is missing the point has the place that it had.
        if place.is_none_or(|place| put(&book, &point.get_value(), Some(place))) {
            Ok(())
        } else {
            Err("The site does not take that place; why is said above.".to_owned())
        }
    };
    let number = move |index: usize| {
        let value = Signal::derive(move || {
            let metres = draft.with(|draft| draft.numbers.get(index).copied().flatten());
            metres.map_or_else(String::new, |it| book.store.style().format(it))
        });
        let commit = Callback::new(move |typed: String| {
            let metres =
                parse_length(&typed, book.store.style()).map_err(|error| error.to_string())?;
            update(&|draft| {
                if let Some(number) = draft.numbers.get_mut(index) {
                    *number = Some(metres);
                }
            })
        });
        (value, commit)
    };
    let from = move |index: usize| {
        let value = Signal::derive(move || {
            draft.with(|draft| draft.from.get(index).cloned().unwrap_or_default())
        });
        let commit = Callback::new(move |typed: String| {
            update(&|draft| {
                if let Some(from) = draft.from.get_mut(index) {
                    *from = typed.trim().to_owned();
                }
            })
        });
        (value, commit)
    };
    let steps = move |index: usize| {
        let value = Signal::derive(move || {
            let steps = draft.with(|draft| draft.steps.get(index).copied().flatten());
            steps.map_or_else(String::new, |it| it.to_string())
        });
        let commit = Callback::new(move |typed: String| {
            let steps = typed.trim().replace('−', "-").parse::<i32>();
            let steps = steps.map_err(|_| "Write a whole number of steps, such as 3 or -2.")?;
            update(&|draft| {
                if let Some(number) = draft.steps.get_mut(index) {
                    *number = Some(steps);
                }
            })
        });
        (value, commit)
    };
    let grid = move |index: usize| {
        let is_bearing = index == 3;
        let value = Signal::derive(move || {
            let number = draft.with(|draft| draft.grid.get(index).copied().flatten());
            number.map_or_else(String::new, |it| match is_bearing {
                true => format!("{it}°"),
                false => book.store.style().format(it),
            })
        });
        let commit = Callback::new(move |typed: String| {
            let number = if is_bearing {
                bearing(&typed)?
            } else {
                parse_length(&typed, book.store.style()).map_err(|error| error.to_string())?
            };
            update(&|draft| {
                if let Some(it) = draft.grid.get_mut(index) {
                    *it = Some(number);
                }
            })
        });
        (value, commit)
    };
    let fields = move |means: Means| {
        let [(first, set_first), (second, set_second)] = [number(0), number(1)];
        match means {
            Means::Coordinates => view! {
                <Field id="place-east" label="East" value=first commit=set_first/>
                <Field id="place-north" label="North" value=second commit=set_second/>
            }
            .into_any(),
            Means::FromRide => view! {
                <Field id="place-along" label="Along, to the tongue" value=first commit=set_first/>
                <Field id="place-across" label="Across, to the left" value=second commit=set_second/>
            }
            .into_any(),
            Means::Tapes => {
                let [(one, set_one), (other, set_other)] = [from(0), from(1)];
                view! {
                    <Field id="tape-from" label="First tape from" value=one commit=set_one/>
                    <Field id="tape-length" label="Its length" value=first commit=set_first/>
                    <Field id="tape-from-2" label="Second tape from" value=other commit=set_other/>
                    <Field id="tape-length-2" label="Its length" value=second commit=set_second/>
                    <label class="pick"><span>"Side of the way from the first to the second"</span>
                        <select id="tape-side" on:change=move |event| {
                            let side = match event_target_value(&event).as_str() {
                                "left" => Some(Side::Left),
                                "right" => Some(Side::Right),
                                _ => None,
                            };
                            // What the site refuses is said in its notice.
                            let _ = update(&|draft| draft.side = side);
                        }>
                            {[("", "not said", None), ("left", "left", Some(Side::Left)),
                                ("right", "right", Some(Side::Right))]
                                .map(|(value, word, side)| view! {
                                    <option value=value
                                        selected=draft.with_untracked(|it| it.side == side)>
                                        {word}
                                    </option>
                                })
                                .into_iter()
                                .collect_view()}
                        </select>
                    </label>
                }
                .into_any()
            }
            Means::Grid => {
                let [(along, set_along), (across, set_across)] = [steps(0), steps(1)];
                let [(east, set_east), (north, set_north)] = [grid(0), grid(1)];
                let [(spacing, set_spacing), (way, set_way)] = [grid(2), grid(3)];
                view! {
                    <Field id="grid-along" label="Steps along" value=along commit=set_along/>
                    <Field id="grid-across" label="Steps to the left" value=across commit=set_across/>
                    <Field id="grid-spacing" label="Spacing" value=spacing commit=set_spacing/>
                    <Field id="grid-bearing" label="Bearing of along" value=way commit=set_way/>
                    <Field id="grid-east" label="Counted from, east" value=east commit=set_east/>
                    <Field id="grid-north" label="Counted from, north" value=north commit=set_north/>
                }
                .into_any()
            }
        }
    };
    let means = Memo::new(move |_| draft.with(|draft| draft.means));
    view! {
        <label class="pick"><span>"Placed by"</span>
            <select id="place-means" on:change=move |event| {
                let word = event_target_value(&event);
                let means = Means::ALL.into_iter().find(|it| it.word() == word);
                if let Some(means) = means {
                    draft.set(Draft::by(means, &book));
                }
            }>
                {Means::ALL
                    .map(|it| view! {
                        <option value=it.word()
                            selected=draft.with_untracked(|draft| draft.means == it)>
                            {it.word()}
                        </option>
                    })
                    .into_iter()
                    .collect_view()}
            </select>
        </label>
        <div class="fields place-fields">{move || {
            let means = means.get();
            untrack(|| fields(means))
        }}</div>
        <button type="button" class="link" on:click=move |_| {
            if put(&book, &point.get_value(), None) {
                draft.set(Draft::of(None));
            }
        }>"No place"</button>
    }
}

/// Degrees clockwise from grid north.
fn bearing(typed: &str) -> Result<f64, String> {
    let number = typed.trim().trim_end_matches('°').trim().replace(',', ".");
    let degrees: Option<f64> = number.parse().ok().filter(|it: &f64| it.is_finite());
    degrees
        .map(|it| it.rem_euclid(360.0))
        .ok_or_else(|| "Write degrees clockwise from north, such as 90 or 347.5.".to_owned())
}

/// Gives a point its place, or takes it away; whether the site took that.
fn put(book: &Book, point: &str, place: Option<Place>) -> bool {
    book.change(|book: &mut FieldBook| {
        book.places.retain(|other| !is_same(&other.point, point));
        if let Some(at) = place {
            book.places.push(PointPlace {
                point: point.trim().to_owned(),
                at,
            });
        }
    })
}
