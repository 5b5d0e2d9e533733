//! What a setup crew reads: jacks, blocking, the order of cranking.

use std::hash::{DefaultHasher, Hash, Hasher};

use leptos::prelude::*;
use tober::assess::RideAssessment;
use tober::level::{Act, ActKind, JackSetting, LevelPlan, Stack};
use tober::units::LengthStyle;

use crate::parts::{badge, fact};
use crate::stack;
use crate::state::{Store, store};
use crate::words;

/// The level plan of a ride.
pub(crate) fn section(ride: &RideAssessment, style: LengthStyle) -> impl IntoView + use<> {
    let plan = &ride.level;
    view! {
        {lead(ride, style)}
        {feet(ride, style)}
        {(!plan.acts.is_empty()).then(|| view! {
            <h3>"Crank order"</h3>
            {crank_order(&ride.id, &plan.acts)}
            <h3>"Tear-down, in order"</h3>
            {crank_order(&ride.id, &plan.tear_down)}
        })}
        {why(ride, style)}
        {tilts(ride, style)}
    }
}

/// Whether it can be levelled, and what is short.
pub(crate) fn lead(ride: &RideAssessment, style: LengthStyle) -> impl IntoView + use<> {
    let shortfalls = ride
        .level
        .shortfalls
        .iter()
        .map(|short| words::shortfall(short, style))
        .chain(ride.level.failing_in_words(style))
        .map(|short| view! { <li>{short}</li> })
        .collect_view();
    view! {
        <p class="lead">{badge(ride.level.verdict)} {words::level_sentence(ride)}</p>
        <ul class="shortfalls">{shortfalls}</ul>
    }
}

/// How high it stands, and every jack and outrigger.
pub(crate) fn feet(ride: &RideAssessment, style: LengthStyle) -> impl IntoView + use<> {
    let plan = &ride.level;
    let high = ride.ground.high_corner.clone();
    let high = high.unwrap_or_else(|| "not known".to_owned());
    view! {
        <dl class="facts">
            {fact("High corner", high)}
            {fact("Frame above high corner", datum(ride, style))}
        </dl>
        {(!plan.jacks.is_empty()).then(|| view! {
            <h3>"Jacks"</h3>
            <ul class="cards">{plan.jacks.iter().map(|it| jack(ride, it, style)).collect_view()}</ul>
        })}
        {(!plan.outriggers.is_empty()).then(|| view! {
            <h3>"Outriggers"</h3>
            <p class="hint stack-hint">
                "Pieces from the ground up, each crossed over the one below."
            </p>
            <ul class="cards">
                {plan.outriggers.iter().map(|it| outrigger(ride, it, style)).collect_view()}
            </ul>
        })}
    }
}

/// What keeps it from being lower or blocked with less, what made this blocking the best, and how
/// few acts there could be.
pub(crate) fn why(ride: &RideAssessment, style: LengthStyle) -> impl IntoView + use<> {
    let plan = &ride.level;
    let binds = plan.binds.iter().map(|bind| bind.in_words());
    let chosen = (!plan.outriggers.is_empty()).then(|| plan.chosen_in_words(style));
    let passes = plan.passes.iter().map(|it| it.in_words());
    let all: Vec<String> = binds.chain(chosen).chain(passes).collect();
    (!all.is_empty()).then(|| {
        let all = all.into_iter().map(|it| view! { <li>{it}</li> });
        view! {
            <h3>"Why so, and not otherwise"</h3>
            <ul class="why">{all.collect_view()}</ul>
        }
    })
}

/// How level it is before and after, and how the ground falls.
pub(crate) fn tilts(ride: &RideAssessment, style: LengthStyle) -> impl IntoView + use<> {
    let plan = &ride.level;
    let settled = plan.settled.as_ref();
    let settled = settled.map(|it| fact("Once the ground has settled", it.in_words(style)));
    let within = plan.within.as_ref();
    let within = within.map(|it| fact("Stroke and blocks", it.in_words()));
    let (along, across) = (ride.ground.fall_along, ride.ground.fall_across);
    view! {
        <h3>"Tilt left over, and the ground"</h3>
        <dl class="facts">
            {fact("Parked, before levelling", words::lean_and_chance(&plan.before))}
            {fact("At work", words::lean_and_chance(&plan.after))}
            {within}
            {settled}
            {fact("Tilt along", words::tilt(plan.tilt_along_deg, plan.tolerance_along_deg))}
            {fact("Tilt across", words::tilt(plan.tilt_across_deg, plan.tolerance_across_deg))}
            {fact("Ground along", words::fall(along, "at the tongue", "at the back"))}
            {fact("Ground across", words::fall(across, "on the left", "on the right"))}
        </dl>
    }
}

/// The number of a jack or an outrigger in the drawing, in a disc.
pub(crate) fn foot_number(plan: &LevelPlan, id: &str) -> impl IntoView + use<> {
    number(plan, id).map(|number| view! { <span class="foot-number">{number}</span> })
}

/// Jacks and then outriggers, counted from 1 in the order of the profile.
pub(crate) fn number(plan: &LevelPlan, id: &str) -> Option<usize> {
    let jacks = plan.jacks.iter().map(|it| &it.id);
    let outriggers = plan.outriggers.iter().map(|it| &it.id);
    let at = jacks.chain(outriggers).position(|other| other == id)?;
    Some(at + 1)
}

/// How far the frame's datum plane, its underside, stands above the highest ground under a foot.
pub(crate) fn datum(ride: &RideAssessment, style: LengthStyle) -> String {
    let high = ride.ground.high_corner.as_deref();
    let high = ride
        .ground
        .points
        .iter()
        .find(|point| Some(point.id.as_str()) == high)
        .and_then(|point| point.elevation);
    match (ride.level.datum, high) {
        (Some(datum), Some(high)) => style.format(datum - high),
        _ => "not known".to_owned(),
    }
}

/// How far the ground under a foot lies below the high corner, as the crew reads everything, and
/// its standard error, rounded up.
fn below_high(ride: &RideAssessment, id: &str, style: LengthStyle) -> String {
    let point = ride.ground.points.iter().find(|point| point.id == id);
    let height = if ride.ground.high_corner.as_deref() == Some(id) {
        "high corner".to_owned()
    } else {
        match point.and_then(|point| point.below_high) {
            Some(below) => format!("ground {} down", style.format(below)),
            None => return "ground not known".to_owned(),
        }
    };
    match point.and_then(|point| point.error) {
        Some(error) => format!("{height} ± {}", style.format_up(error)),
        None => height,
    }
}

fn jack(ride: &RideAssessment, jack: &JackSetting, style: LengthStyle) -> impl IntoView + use<> {
    let pad = if jack.pad > 0.0 {
        style.format(jack.pad)
    } else {
        "none".to_owned()
    };
    view! {
        <li class="card">
            <div class="card-head">
                <h4>{foot_number(&ride.level, &jack.id)} {jack.id.clone()}</h4>
                <span class="card-note">{below_high(ride, &jack.id, style)}</span>
            </div>
            <div class="hole">
                <span aria-hidden="true" inner_html=stack::holes_svg(jack.hole, jack.holes)></span>
                <p>"Hole " <strong>{jack.hole}</strong> {format!(" of {}", jack.holes)}</p>
            </div>
            <dl class="turn-counts">
                <div><dt>"until it touches"</dt><dd>{words::turns(jack.turns_free)}</dd></div>
                <div><dt>"lifting"</dt><dd>{words::turns(jack.turns_loaded)}</dd></div>
                <div><dt>"back down"</dt><dd>{words::turns(jack.turns_down)}</dd></div>
            </dl>
            <dl class="small-facts">
                <div><dt>"Frame to pad, at work"</dt><dd>{style.format(jack.to_pad)}</dd></div>
                <div><dt>"Screw at work"</dt><dd>{style.format(jack.screw_at_work)}</dd></div>
                <div><dt>"Screw to spare"</dt><dd>{style.format_down(jack.stroke_left)}</dd></div>
                <div><dt>"Pad"</dt><dd>{pad}</dd></div>
            </dl>
            {(!jack.packing.is_empty()).then(|| view! {
                <p class="pieces">
                    {format!("Under the pad: {}", stack::counted(&jack.packing).join(", "))}
                </p>
            })}
        </li>
    }
}

fn outrigger(ride: &RideAssessment, it: &Stack, style: LengthStyle) -> impl IntoView + use<> {
    let pieces: String = if it.pieces.is_empty() {
        "No blocking: the foot stands on the ground.".to_owned()
    } else {
        stack::counted(&it.pieces).join(", ")
    };
    view! {
        <li class="card">
            <div class="card-head">
                <h4>{foot_number(&ride.level, &it.id)} {it.id.clone()}</h4>
                <span class="card-note">{below_high(ride, &it.id, style)}</span>
            </div>
            <div class="stack" aria-hidden="true" inner_html=stack::stack_svg(&it.pieces)></div>
            <p class="pieces">{pieces}</p>
            <dl class="small-facts">
                <div><dt>"Stack"</dt><dd>{style.format(it.height)}</dd></div>
                <div><dt>"Exact would be"</dt><dd>{style.format(it.needed)}</dd></div>
            </dl>
        </li>
    }
}

/// The acts in runs of one kind, each to be ticked off.
pub(crate) fn crank_order(ride: &str, acts: &[Act]) -> impl IntoView + use<> {
    let store = store();
    let prefix = tick_prefix(ride, acts);
    let mut runs: Vec<(ActKind, Vec<(usize, Act)>)> = Vec::new();
    for (index, act) in acts.iter().enumerate() {
        match runs.last_mut() {
            Some((kind, run)) if *kind == act.kind => run.push((index, act.clone())),
            _ => runs.push((act.kind, vec![(index, act.clone())])),
        }
    }
    let total = acts.len();
    let counted = prefix.clone();
    view! {
        <p class="hint">
            {move || {
                let done = store.ticks.with(|ticks| {
                    ticks.iter().filter(|key| key.starts_with(&counted)).count()
                });
                format!("{done} of {total} done. Two people to a leg; nobody under the frame.")
            }}
        </p>
        <ol class="runs">
            {runs
                .into_iter()
                .map(|(kind, run)| view! {
                    <li>
                        <h4>{words::act_heading(kind)}</h4>
                        <ol class="acts">
                            {run
                                .into_iter()
                                .map(|(index, act)| {
                                    let key = format!("{prefix}{index}");
                                    tick(store, key, None, act.support.clone(), words::act(&act))
                                })
                                .collect_view()}
                        </ol>
                    </li>
                })
                .collect_view()}
        </ol>
    }
}

/// Something to do at a support, to be ticked off; with the support's number in the drawing where
/// no drawing stands beside it.
pub(crate) fn tick(
    store: Store,
    key: String,
    number: Option<usize>,
    support: String,
    words: String,
) -> impl IntoView + use<> {
    let shown = key.clone();
    view! {
        <li>
            <label class="act">
                <input type="checkbox"
                    prop:checked=move || store.ticks.with(|ticks| ticks.contains(&shown))
                    on:change=move |event| {
                        let done = event_target_checked(&event);
                        let key = key.clone();
                        store.ticks.update(|ticks| {
                            if done { ticks.insert(key); } else { ticks.remove(&key); }
                        });
                    }/>
                {number.map(|number| view! { <span class="foot-number">{number}</span> })}
                <span><strong>{support}</strong> " " {words}</span>
            </label>
        </li>
    }
}

/// What the ticks of a ride begin with. Another crank order has other ticks: nothing stays
/// ticked that was never done.
pub(crate) fn tick_prefix(ride: &str, acts: &[Act]) -> String {
    // What is done, not how the frame then stands: a level that would show a hundredth of a degree
    // more makes no act undone.
    let done: Vec<String> = acts
        .iter()
        .map(|act| {
            let Act {
                kind,
                support,
                hole,
                turns,
                way,
                ..
            } = act;
            format!("{kind:?} {support} {hole} {turns} {way:?}")
        })
        .collect();
    format!("{ride}/{:x}/", hashed(&done))
}

/// The same number for the same things, in this build of the page.
pub(crate) fn hashed(things: &impl Hash) -> u64 {
    let mut hasher = DefaultHasher::new();
    things.hash(&mut hasher);
    hasher.finish()
}
