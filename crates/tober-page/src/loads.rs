//! Loads: what each foot carries at its least and greatest, what the ground feels, whether the
//! ride could tip; and seats emptied and filled by hand, at any speed, live.

mod seats;
mod values;

use leptos::prelude::*;
use tober::assess::{Assessment, RideAssessment};
use tober::level::{Act, LevelPlan};
use tober::loads::{
    Factor, FootLoads, LoadCase, RideLoads, Trial, TrialFoot, TrialLoads, area_down, area_up,
    change_in_words, factor_down, force_down, force_up, load_rules_told, pressure_down,
    pressure_up, try_riders,
};
use tober::units::LengthStyle;

use crate::level::number;
use crate::parts::{badge, fact};
use crate::state::{Store, store};

#[component]
pub(crate) fn Loads() -> impl IntoView {
    let store = store();
    let trial = RwSignal::new(None::<Trial>);
    // Another ride has other seats.
    let profile = Memo::new(move |_| {
        store.site.with(|site| {
            let profile = site.profile(store.ride.get())?;
            Some((profile.id.clone(), profile.loads.clone()))
        })
    });
    Effect::new(move |_| {
        profile.track();
        trial.set(None);
    });
    let tried = Memo::new(move |_| {
        let trial = trial.get()?;
        let ride = store.ride.get();
        store.site.with(|site| {
            store
                .assessment
                .with(|assessment| try_riders(site, assessment, ride, &trial))
        })
    });
    let seats =
        Memo::new(move |_| profile.with(|it| it.as_ref().is_some_and(|it| !it.1.seats.is_empty())));
    view! {
        {move || store.with_ride(|ride, style| view! {
            <p class="lead">{badge(ride.loads.verdict)} " " {sentence(&ride.loads, style)}</p>
            {listed("notes", &ride.loads.to_do)}
        })}
        <Show when=move || seats.get()>
            <seats::Seats trial/>
        </Show>
        <div role="status" class="trial-outcome" id="trial-outcome">
            {move || tried.get().map(|tried| told(store, &tried))}
            {move || tried.with(|tried| {
                let tried = tried.as_ref()?;
                store.with_ride(|ride, style| answers(&ride.loads.feet, tried, style))
            })}
        </div>
        {move || store.with_ride(|ride, style| {
            tried.with(|tried| feet(ride, tried.as_ref(), style))
        })}
        {move || store.with_ride(rest)}
        <values::Values/>
    }
}

/// What the view comes to, in a sentence.
fn sentence(loads: &RideLoads, style: LengthStyle) -> String {
    if loads.feet.is_empty() {
        return "What the feet carry is not known.".to_owned();
    }
    match &loads.overturning {
        Some(factor) if factor.outside > 0.0 => {
            format!("It goes over {}.", factor.over.join(" and "))
        }
        Some(factor) => format!(
            "{} {} What holds it down is {} times what tips it; {} is asked for.",
            if loads.feet.iter().any(|foot| foot.lifts) {
                "A foot lifts in service."
            } else {
                "Every foot stays down in service."
            },
            lightest(loads, style),
            factor_down(factor.value),
            factor.required
        ),
        None => "Nothing tips it.".to_owned(),
    }
}

/// Which foot runs light at work.
fn lightest(loads: &RideLoads, style: LengthStyle) -> String {
    let least = loads.feet.iter().min_by(|a, b| a.least.total_cmp(&b.least));
    least.map_or_else(String::new, |foot| {
        format!(
            "{} runs lightest, down to {}.",
            foot.id,
            force_down(foot.least, style)
        )
    })
}

/// A list of sentences; nothing when there are none.
fn listed(class: &'static str, lines: &[String]) -> Option<impl IntoView + use<>> {
    let lines: Vec<String> = lines.to_vec();
    (!lines.is_empty()).then(|| {
        let lines = lines.into_iter().map(|line| view! { <li>{line}</li> });
        view! { <ul class=class>{lines.collect_view()}</ul> }
    })
}

/// The feet, each with its bar; all bars at one scale.
pub(crate) fn feet(
    ride: &RideAssessment,
    tried: Option<&TrialLoads>,
    style: LengthStyle,
) -> impl IntoView + use<> {
    let scale = tober_drawing::load_scale(&ride.loads.feet);
    let feet = ride.loads.feet.iter().map(|foot| {
        let trial = tried.and_then(|tried| tried.feet.iter().find(|it| it.id == foot.id));
        one_foot(&ride.loads, &ride.level, foot, trial, scale, style)
    });
    let feet = feet.collect_view();
    (!ride.loads.feet.is_empty()).then(|| view! {
        <h3>"What each foot carries"</h3>
        <p class="hint">
            "The block is from the least to the greatest of all cases; the stroke in it is every \
             seat full at rest. Where more comes on a foot while it is built up or torn down, a \
             thin dashed piece goes on to that. The long red stroke is the most that foot and ground may carry. \
             The drawing lies as the plan does: the thick edge is the one that it would tip over \
             first."
        </p>
        <div class="load-plan-box"
            inner_html=tober_drawing::load_plan(&ride.loads, tried, style)></div>
        <ol class="load-feet">{feet}</ol>
    })
}

fn one_foot(
    loads: &RideLoads,
    plan: &LevelPlan,
    foot: &FootLoads,
    trial: Option<&TrialFoot>,
    scale: f64,
    style: LengthStyle,
) -> impl IntoView + use<> {
    let name = match number(plan, &foot.id) {
        Some(number) => format!("{number} {}", foot.id),
        None => foot.id.clone(),
    };
    let now = trial.map(|trial| {
        view! {
            <p class="load-now">
                "With these riders " <strong>{between(trial.least, trial.greatest, style)}</strong>
            </p>
        }
    });
    view! {
        <li class="load-foot">
            <p class="load-head">
                <strong class="foot-id">{name}</strong> " " {badge(foot.verdict)}
                <span class="load-words">{between(foot.least, foot.greatest, style)}</span>
            </p>
            <div inner_html=tober_drawing::load_bar(foot, trial, scale)></div>
            {now}
            <p class="load-ground">{ground(foot, style)}</p>
            <p class="load-why">{why(loads, foot, style)}</p>
        </li>
    }
}

fn between(least: f64, greatest: f64, style: LengthStyle) -> String {
    format!(
        "{} to {}",
        force_down(least, style),
        force_up(greatest, style)
    )
}

/// What the ground feels under a foot, and what it bears.
fn ground(foot: &FootLoads, style: LengthStyle) -> String {
    let ground = &foot.ground;
    let feels = format!("The ground feels {}", pressure_up(ground.pressure, style));
    let mut words = match ground.bears {
        Some(bears) => format!("{feels} and bears {}.", pressure_down(bears, style)),
        None => format!("{feels}; what it bears is not known. {}", ground.source),
    };
    let needed = ground.area_needed.map(|area| area_up(area, style));
    if let Some(needed) = &needed {
        let lies_on = area_down(ground.area, style);
        words += &format!(" The load needs {needed} of it and lies on {lies_on}.");
    }
    if ground.bears.is_some_and(|bears| ground.pressure > bears) {
        words += &match (needed, &ground.pad) {
            (Some(needed), Some(pad)) => {
                format!(" Spread it over {needed}: lay {pad} under the stack.")
            }
            (Some(needed), None) => {
                format!(" Spread it over {needed}: nothing left on the truck is that large.")
            }
            (None, _) => String::new(),
        };
    }
    words
}

/// Which case is the worst for a foot.
fn why(loads: &RideLoads, foot: &FootLoads, style: LengthStyle) -> String {
    let case = |index: usize| loads.cases.get(index).map(LoadCase::in_words);
    let mut words = String::new();
    if let Some(case) = case(foot.greatest_case) {
        words += &format!("Greatest: {case}.");
    }
    if let Some(case) = case(foot.least_case) {
        words += &format!(" Least: {case}.");
    }
    if let Some(in_acts) = foot.in_acts_in_words(style) {
        words += &format!(" More {in_acts}.");
    }
    if foot.lifts_out_of_service {
        words += " It lifts in the wind that the empty ride may stand in.";
    }
    if let Some(capacity) = foot.capacity {
        words += &format!(" It may carry {}.", force_down(capacity, style));
    }
    words
}

/// What a trial comes to.
fn told(store: Store, tried: &TrialLoads) -> impl IntoView + use<> {
    let style = store.style();
    if tried.overturns {
        return view! { <p><strong>"It goes over."</strong> " Never load it so."</p> }.into_any();
    }
    let lightest = tried
        .feet
        .iter()
        .min_by(|a, b| a.least.total_cmp(&b.least))
        .map(|foot| {
            if foot.least > 0.0 {
                format!(
                    "{} runs lightest, down to {}.",
                    foot.id,
                    force_down(foot.least, style)
                )
            } else {
                format!("{} lifts off: do not load it so.", foot.id)
            }
        });
    let factor = tried.overturning.map(|factor| {
        format!(
            " What holds it down is {} times what tips it.",
            factor_down(factor)
        )
    });
    view! {
        <p>
            <strong>{lightest}</strong> {factor}
            {format!(" Ride and riders weigh {}.", force_up(tried.weight, style))}
        </p>
    }
    .into_any()
}

/// How every foot answers a trial, short enough to stay in sight beside the seats.
fn answers(feet: &[FootLoads], tried: &TrialLoads, style: LengthStyle) -> impl IntoView + use<> {
    let scale = tober_drawing::load_scale(feet);
    let each = feet.iter().filter_map(|foot| {
        let trial = tried.feet.iter().find(|it| it.id == foot.id)?;
        Some(view! {
            <li>
                <strong>{foot.id.clone()}</strong> " "
                {between(trial.least, trial.greatest, style)}
                <div inner_html=tober_drawing::load_bar(foot, Some(trial), scale)></div>
            </li>
        })
    });
    view! { <ol class="trial-feet">{each.collect_view()}</ol> }
}

/// Against tipping and sliding, and what the ground may do.
fn factors(loads: &RideLoads, style: LengthStyle) -> impl IntoView + use<> {
    let factor = |what: &'static str, factor: &Option<Factor>| {
        factor.as_ref().map(|it| {
            let words = loads.factor_in_words(it);
            view! {
                <div class="fact">
                    <dt>{what}</dt>
                    <dd>{badge(it.verdict)} " " {words} "."</dd>
                </div>
            }
        })
    };
    let settling = loads.settling.as_ref().map(|it| {
        fact(
            "May settle",
            format!(
                "{} to {}, then {:.2}° along and {:.2}° across: {}",
                style.format_down(it.least),
                style.format_up(it.most),
                hundredths_up(it.along_deg),
                hundredths_up(it.across_deg),
                it.verdict.word()
            ),
        )
    });
    view! {
        <dl class="facts load-factors">
            {factor("Against tipping", &loads.overturning)}
            {factor("Against sliding", &loads.sliding)}
            {settling}
        </dl>
    }
}

/// Factors, advice, jacks while building up, what is not known.
fn rest(ride: &RideAssessment, style: LengthStyle) -> impl IntoView + use<> {
    let loads = &ride.loads;
    let jacks = loads.jacks.iter().map(|jack| {
        let most = match jack.capacity {
            Some(capacity) => format!(" of {}", force_down(capacity, style)),
            None => ", capacity not known".to_owned(),
        };
        let at_work = jack
            .greatest_at_work
            .map(|load| format!("; snugged at work up to {}", force_up(load, style)));
        view! {
            <li>
                {badge(jack.verdict)}
                {format!(
                    " {}: up to {}{most}, in step {} of {}{}",
                    jack.id,
                    force_up(jack.greatest, style),
                    jack.act + 1,
                    if jack.tear_down { "the tear-down" } else { "the crank order" },
                    at_work.unwrap_or_default()
                )}
            </li>
        }
    });
    let jacks = jacks.collect_view();
    let no_jacks = loads.jacks.is_empty();
    view! {
        {factors(loads, style)}
        {listed("notes calm", &loads.advice)}
        <details class="load-build-up" class:needless=no_jacks>
            <summary>"While building up and tearing down"</summary>
            <ul class="notes calm">{jacks}</ul>
            {stages(ride, style)}
            {quarter_turns(loads, style)}
            {steps(ride, style)}
        </details>
        {told_list("Not known", &loads.not_known)}
        {told_list("Taken where the profile states nothing", &loads.assumed)}
    }
}

/// Degrees of tilt, rounded up: never leveller than it may come to lie. No minus zero.
fn hundredths_up(degrees: f64) -> f64 {
    (degrees * 100.0 - 1e-6).ceil() / 100.0 + 0.0
}

/// What every jack and outrigger carries at each stage; all tyres together.
fn stages(ride: &RideAssessment, style: LengthStyle) -> Option<impl IntoView + use<>> {
    ride.loads.stages.first()?;
    let feet = ride.level.jacks.len() + ride.level.outriggers.len();
    let rows = ride.loads.stages.iter().map(|stage| {
        let loads = || stage.loads.iter().map(|it| it.load);
        let cells = loads().take(feet).map(|load| force_up(load, style));
        let tyres = loads().skip(feet).reduce(|a, b| a + b);
        let tyres = tyres.map_or_else(|| "not known".to_owned(), |load| force_up(load, style));
        let tongue = stage.tongue.map_or_else(String::new, |tongue| {
            format!(", tongue {}", force_up(tongue, style))
        });
        let cells: Vec<String> = cells.chain([format!("{tyres}{tongue}")]).collect();
        let light = stage.light.as_ref().map(|id| format!(" Lightest: {id}."));
        (
            format!("{}.{}", stage.kind.in_words(), light.unwrap_or_default()),
            cells,
        )
    });
    Some(table_of_loads(
        "What they carry at each stage",
        "Stage",
        ride,
        rows.collect(),
    ))
}

/// What every jack and outrigger carries after each step, up and down again.
fn steps(ride: &RideAssessment, style: LengthStyle) -> Option<impl IntoView + use<>> {
    let level = &ride.level;
    level.acts.first()?;
    let feet = level.jacks.len() + level.outriggers.len();
    let numbered = |acts: &[Act], tear_down: bool| -> Vec<(String, Vec<String>)> {
        let rows = acts.iter().enumerate().filter_map(|(place, act)| {
            let loads = ride.loads.after_act(level, tear_down, place);
            let down = if tear_down { "Down " } else { "" };
            let tyres: f64 = loads.iter().skip(feet).sum();
            let loads = loads.first().map(|_| loads.iter().take(feet).copied())?;
            let cells = loads.chain([tyres]).map(|load| force_up(load, style));
            Some((
                format!("{down}{} {}", place + 1, act.support),
                cells.collect(),
            ))
        });
        rows.collect()
    };
    let mut rows = numbered(&level.acts, false);
    rows.extend(numbered(&level.tear_down, true));
    Some(table_of_loads(
        "What they carry after each step",
        "Step",
        ride,
        rows,
    ))
}

/// A row of loads for each of something, a column for each jack and outrigger and one for tyres.
fn table_of_loads(
    title: &'static str,
    of: &'static str,
    ride: &RideAssessment,
    rows: Vec<(String, Vec<String>)>,
) -> impl IntoView + use<> {
    let jacks = ride.level.jacks.iter().map(|it| it.id.clone());
    let outriggers = ride.level.outriggers.iter().map(|it| it.id.clone());
    let heads = jacks.chain(outriggers).chain(["Tyres".to_owned()]);
    let heads = heads.map(|it| view! { <th scope="col">{it}</th> });
    let heads = heads.collect_view();
    let rows = rows.into_iter().map(|(name, cells)| {
        let cells = cells.into_iter().map(|cell| view! { <td>{cell}</td> });
        let cells = cells.collect_view();
        view! { <tr><th scope="row">{name}</th>{cells}</tr> }
    });
    let rows = rows.collect_view();
    view! {
        <h4>{title}</h4>
        <div class="wide-table" tabindex="0" role="region" aria-label=title>
            <table class="quarter-turns">
                <thead><tr><th scope="col">{of}</th>{heads}</tr></thead>
                <tbody>{rows}</tbody>
            </table>
        </div>
    }
}

/// What a quarter turn out of each jack does to all of them.
fn quarter_turns(loads: &RideLoads, style: LengthStyle) -> Option<impl IntoView + use<>> {
    loads.quarter_turns.first()?;
    let jacks = loads.quarter_turns.iter();
    let heads = jacks.map(|it| view! { <th scope="col">{it.jack.clone()}</th> });
    let heads = heads.collect_view();
    let rows = loads.quarter_turns.iter().map(|turn| {
        let cells = turn.changes.iter().map(|change| {
            view! { <td>{change_in_words(*change, style)}</td> }
        });
        let cells = cells.collect_view();
        view! { <tr><th scope="row">{turn.jack.clone()}</th>{cells}</tr> }
    });
    let rows = rows.collect_view();
    Some(view! {
        <h4>"What a quarter turn out does to the jacks' loads, lifted"</h4>
        <table class="quarter-turns">
            <thead><tr><th scope="col">"Turned"</th>{heads}</tr></thead>
            <tbody>{rows}</tbody>
        </table>
    })
}

fn told_list(title: &'static str, lines: &[String]) -> Option<impl IntoView + use<>> {
    let list = listed("notes calm", lines)?;
    Some(view! { <h3>{title}</h3> {list} })
}

/// The values of loads that every paper tells of.
pub(crate) fn values_told(assessment: &Assessment) -> impl IntoView + use<> {
    let told = load_rules_told(&assessment.load_rules);
    let told = told.map(|rule| view! { <li>{rule.in_words(assessment.units)}</li> });
    told.collect_view()
}

/// Which foot runs light at each stage.
fn light(loads: &RideLoads, style: LengthStyle) -> Option<impl IntoView + use<>> {
    let rows = loads.light_in_words(style);
    rows.first()?;
    let rows = rows.into_iter().map(|[stage, foot, carries]| {
        view! { <tr><th scope="row">{stage}</th><td>{foot}</td><td>{carries}</td></tr> }
    });
    let rows = rows.collect_view();
    Some(view! {
        <h4>"Which foot runs light"</h4>
        <table class="quarter-turns">
            <thead><tr>
                <th scope="col">"Stage"</th>
                <th scope="col">"Foot"</th>
                <th scope="col">"Carries"</th>
            </tr></thead>
            <tbody>{rows}</tbody>
        </table>
    })
}

/// What is printed of the loads of a ride.
pub(crate) fn section(ride: &RideAssessment, style: LengthStyle) -> impl IntoView + use<> {
    let loads = &ride.loads;
    view! {
        <p>{badge(loads.verdict)} " " {sentence(loads, style)}</p>
        {listed("notes", &loads.to_do)}
        {feet(ride, None, style)}
        {factors(loads, style)}
        {listed("notes calm", &loads.advice)}
        <div class="sheet-pair">
            <div>{light(loads, style)}</div>
            <div>{quarter_turns(loads, style)}</div>
        </div>
        {told_list("Not known", &loads.not_known)}
        {told_list("Taken where the profile states nothing", &loads.assumed)}
    }
}
