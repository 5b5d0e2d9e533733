//! Ways that are kept free: walkways, fire lanes, from gate to gate, and the power cords; and what
//! operators have at hand.

use leptos::prelude::*;
use tober::Point;
use tober::assess::{Assessment, Verdict};
use tober::clearance::{
    Asks, AtHand, BondCheck, CordCheck, LotClearance, Measure, Passage, RopeCheck, WayCheck,
    WayKind,
};
use tober::fence::Openings;
use tober::units::LengthStyle;
use tober_drawing::Pair;

use super::Filter;
use super::side::OfLot;
use crate::parts::{badge, class};
use crate::state::{Store, store};
use crate::words;

/// One way, as it is told: on the screen and on paper.
pub(super) struct Told {
    pub(super) name: String,
    pub(super) asks: Asks,
    pub(super) verdict: Option<Verdict>,
    pub(super) facts: Vec<(String, Option<Point>)>,
    /// What of it is seen from the side.
    sides: Vec<Pair>,
}

/// Everything that is kept free.
pub(super) fn all(assessment: &Assessment) -> Vec<Told> {
    let style = assessment.units;
    let ways = assessment.ways.iter().enumerate();
    let ways = ways.map(|(index, way)| of_way(index, way, style));
    let passages = assessment.passages.iter().enumerate();
    let passages = passages.map(|(index, it)| of_passage(index, it, style));
    let cords = assessment.cords.iter().enumerate();
    let cords = cords.map(|(index, it)| of_cord(index, it, style));
    let at_hand = assessment.at_hand.iter().map(|it| of_at_hand(it, style));
    let fences = assessment.rides.iter();
    let fences = fences.filter_map(|ride| of_fence(&ride.name, &ride.fence.openings, style));
    let lot = ways.chain(passages).chain(cords);
    let ropes = assessment.ropes.iter().map(|it| of_rope(it, style));
    let bonds = assessment.bonds.iter().map(|it| of_bond(it, style));
    let rest = fences.chain(ropes).chain(bonds);
    lot.chain(at_hand).chain(rest).collect()
}

/// How those came out that somebody asks for.
pub(super) fn verdicts(assessment: &Assessment, asks: Option<Asks>) -> Vec<Verdict> {
    let told = all(assessment).into_iter();
    let lot = assessment.lot_clearances.iter();
    let lot = lot.map(|it| (it.row.asks, Some(it.row.verdict)));
    let all = told.map(|it| (it.asks, it.verdict)).chain(lot);
    let all = all.filter(|(whose, _)| asks.is_none_or(|asks| asks == *whose));
    all.filter_map(|(_, verdict)| verdict).collect()
}

fn of_way(index: usize, way: &WayCheck, style: LengthStyle) -> Told {
    let (kind, asks) = match way.kind {
        WayKind::Walkway => ("Walkway", Asks::Access),
        WayKind::FireLane => ("Fire lane", Asks::FireMarshal),
    };
    let name = if way.name.eq_ignore_ascii_case(kind) {
        way.name.clone()
    } else {
        format!("{kind}: {}", way.name)
    };
    let mut facts = vec![(
        format!(
            "{} clear at the narrowest, of {} needed; drawn {} wide",
            style.format_down(way.clear_width),
            style.format_up(way.width_required),
            style.format(way.width)
        ),
        None,
    )];
    facts.extend(way.pinches.iter().map(|pinch| {
        let by = pinch.by.join(", ");
        let left = style.format_down(pinch.clear);
        (format!("{left} is left beside {by}"), Some(pinch.at))
    }));
    facts.extend(way.clear_height.map(|height| {
        let needed = style.format_up(way.height_required);
        let words = format!("{} overhead, of {needed} needed", style.format_down(height));
        (words, None)
    }));
    for (name, steep) in [
        ("along", way.steepest_along),
        ("across", way.steepest_across),
    ] {
        facts.extend(steep.map(|steep| {
            let words = format!(
                "steepest {name} {:.2} %, at most {} ({:.2} %)",
                (steep.slope * 1e4 - 1e-6).ceil().abs() / 100.0,
                Measure::Slope.in_words(steep.limit, style),
                (steep.limit * 1e4 + 1e-6).floor() / 100.0
            );
            (words, Some(steep.at))
        }));
    }
    facts.extend(way.bends.iter().map(|bend| {
        let by = match bend.by.as_slice() {
            [] => String::new(),
            by => format!(", beside {}", by.join(", ")),
        };
        let words = format!(
            "bend of {:.0}°: inside radius {} free{by}, of {} needed",
            bend.turn_deg,
            style.format_down(bend.inside_radius),
            style.format_up(bend.required)
        );
        (words, Some(bend.at))
    }));
    facts.extend(way.notes.iter().map(|note| (note.clone(), None)));
    Told {
        name,
        asks,
        verdict: Some(way.verdict),
        facts,
        sides: (0..way.pinches.len())
            .map(|pinch| Pair::Pinch { way: index, pinch })
            .collect(),
    }
}

fn of_passage(index: usize, passage: &Passage, style: LengthStyle) -> Told {
    let (from, to) = &passage.names;
    let fact = match (passage.width, passage.narrowest) {
        (Some(width), Some((one, other))) => (
            format!(
                "{} clear at the narrowest, beside {}, of {} needed",
                style.format_down(width),
                passage.between.join(" and "),
                style.format_up(passage.required)
            ),
            Some(one + (other - one) / 2.0),
        ),
        _ => (passage.note.clone(), None),
    };
    Told {
        name: format!("From gate to gate: {from} to {to}"),
        asks: Asks::FireMarshal,
        verdict: Some(passage.verdict),
        facts: vec![fact],
        sides: passage
            .narrowest
            .map(|_| Pair::Passage(index))
            .into_iter()
            .collect(),
    }
}

fn of_cord(index: usize, cord: &CordCheck, style: LengthStyle) -> Told {
    let mut facts = vec![(
        format!(
            "{} of cord needed along the ground, a tenth for slack in it",
            style.format_up(cord.needed)
        ),
        None,
    )];
    facts.push(match cord.has {
        Some(has) => (format!("the cord is {} long", style.format_down(has)), None),
        None => ("nobody has told how long the cord is".to_owned(), None),
    });
    let places = cord.crossings.first().map(|it| it.at);
    facts.extend(cord.notes.iter().map(|note| (note.clone(), places)));
    if !cord.crossings.is_empty() {
        let words = match cord.needed_without_crossing {
            Some(needed) => format!("{} without crossing a way", style.format_up(needed)),
            None => "no way was found that crosses nothing".to_owned(),
        };
        facts.push((words, None));
    }
    Told {
        name: format!("Power: {} to {}", cord.source_name, cord.ride_name),
        asks: Asks::Electrician,
        verdict: cord.verdict,
        facts,
        sides: vec![Pair::Cord(index)],
    }
}

fn of_at_hand(check: &AtHand, style: LengthStyle) -> Told {
    let fact = check.distance.map(|distance| {
        let words = format!(
            "{}: {} from the farthest place of the operator's station, of {} at most",
            check.name,
            style.format_up(distance),
            style.format_down(check.at_most)
        );
        (words, check.to)
    });
    let notes = check.notes.iter().map(|note| (note.clone(), None));
    Told {
        name: format!("{}: {}", check.kind.words(), check.ride_name),
        asks: check.asks,
        verdict: Some(check.verdict),
        facts: fact.into_iter().chain(notes).collect(),
        sides: Vec::new(),
    }
}

fn of_bond(bond: &BondCheck, style: LengthStyle) -> Told {
    let [one, other] = &bond.names;
    let (from, to) = bond.between;
    let apart = format!(
        "{} apart; nearer than {} they are bonded when they are supplied separately",
        style.format_down(bond.apart),
        style.format_up(bond.within)
    );
    let told = |(name, ids): (&String, &Vec<String>)| match ids.as_slice() {
        [] => format!("nobody has told what supplies {name}"),
        ids => format!("{} supplies {name}", ids.join(", ")),
    };
    let supplies = bond.names.iter().zip(&bond.supplied_by).map(told);
    let mut facts = vec![(apart, Some(from + (to - from) / 2.0))];
    facts.extend(supplies.map(|words| (words, None)));
    let confirmed: String = bond
        .confirmed
        .iter()
        .map(|who| format!(": {who}"))
        .collect();
    facts.push((format!("{}{confirmed}", bond.note), None));
    Told {
        name: format!("Bonding: {one} and {other}"),
        asks: bond.asks,
        verdict: Some(bond.verdict),
        facts,
        sides: Vec::new(),
    }
}

fn of_rope(rope: &RopeCheck, style: LengthStyle) -> Told {
    let mut facts = vec![(
        match (rope.crossings.is_empty(), rope.marked) {
            (true, _) => "crosses no walkway, fire lane or gate".to_owned(),
            (_, true) => "marked".to_owned(),
            (_, false) => "not marked".to_owned(),
        },
        None,
    )];
    facts.extend(rope.crossings.iter().map(|crossing| {
        let height = crossing
            .height
            .map_or("at a height that is not known".to_owned(), |it| {
                format!("{} up", style.format_down(it))
            });
        let words = format!(
            "{height} over the {} {}, of {} needed",
            crossing.over.words(),
            crossing.name,
            style.format_up(crossing.required)
        );
        (words, Some(crossing.at))
    }));
    let worst = rope.crossings.iter().max_by_key(|it| it.verdict);
    Told {
        name: format!("Rope: {}", rope.name),
        asks: worst.map_or(Asks::Access, |it| it.asks),
        verdict: Some(rope.verdict),
        facts,
        sides: Vec::new(),
    }
}

/// What gets through a fence; nothing where nobody has told.
fn of_fence(ride: &str, found: &Openings, style: LengthStyle) -> Option<Told> {
    let gap = |gap: Option<f64>| gap.map_or("not known".to_owned(), |gap| style.format_up(gap));
    let fact = format!(
        "largest opening {}, largest gap below {}; a ball of {} must not get through",
        gap(found.opening),
        gap(found.below),
        style.format_down(found.ball)
    );
    let notes = found.notes.iter().map(|note| (note.clone(), None));
    Some(Told {
        name: format!("Fence of {ride}"),
        asks: Asks::NeighbourRide,
        verdict: Some(found.verdict?),
        facts: std::iter::once((fact, None)).chain(notes).collect(),
        sides: Vec::new(),
    })
}

/// What fuel, generators and the stakes of tents keep: a distance of the lot, which a record has
/// in its table.
fn of_lot(index: usize, found: &LotClearance, style: LengthStyle) -> Told {
    let row = &found.row;
    let mut facts = vec![(
        format!(
            "{} {}; {}",
            words::distance(row, style),
            words::required(row, style),
            words::margin(row, style)
        ),
        Some(row.from + (row.to - row.from) / 2.0),
    )];
    if !row.note.is_empty() {
        facts.push((row.note.clone(), None));
    }
    Told {
        name: format!(
            "{}: {} to {}",
            found.name,
            row.from_words(),
            words::against(row)
        ),
        asks: row.asks,
        verdict: Some(row.verdict),
        facts,
        sides: vec![Pair::Lot(index)],
    }
}

#[component]
pub(super) fn Ways(filter: Filter) -> impl IntoView {
    let store = store();
    let cards = move || {
        let told = store.with_shown(|assessment| {
            let style = assessment.units;
            let lot = assessment.lot_clearances.iter();
            let mut told = all(assessment);
            told.extend(lot.enumerate().map(|(index, it)| of_lot(index, it, style)));
            told
        });
        let told = told.into_iter().filter(|it| {
            let failing = it.verdict == Some(Verdict::Fail);
            filter.asked(it.asks) && (failing || !filter.failing_only.get())
        });
        told.map(|it| card(store, it)).collect::<Vec<_>>()
    };
    view! {
        <section class="ways" aria-labelledby="ways-title">
            <h3 id="ways-title">"Ways kept free, at hand, and the lot itself"</h3>
            {move || {
                let cards = cards();
                if cards.is_empty() {
                    view! { <p class="hint">"None."</p> }.into_any()
                } else {
                    view! { <ul class="rows">{cards}</ul> }.into_any()
                }
            }}
        </section>
    }
}

fn card(store: Store, told: Told) -> impl IntoView {
    let facts: Vec<_> = told
        .facts
        .into_iter()
        .map(|(words, at)| {
            let place = at.map(|at| {
                let name = format!("Show on the plan: {words}");
                view! {
                    <button type="button" class="button show-place" aria-label=name
                        on:click=move |_| store.look_round(at)>"Show"</button>
                }
            });
            view! { <li><span>{words}</span>{place}</li> }
        })
        .collect();
    view! {
        <li class=format!("row way {}", told.verdict.map_or("untold", class))>
            <p class="way-head">
                <span class="row-name">{told.name}</span>
                {told.verdict.map(badge)}
            </p>
            <ul class="way-facts">{facts}</ul>
            {told.sides.into_iter().map(|pair| view! { <OfLot pair/> }).collect_view()}
        </li>
    }
}
