//! How the frame stands at each stage of building up and tearing down, and what is checked.

use leptos::prelude::*;
use tober::assess::RideAssessment;
use tober::level::Stage;
use tober::units::LengthStyle;

use crate::parts::badge;
use crate::state::store;
use crate::words;

/// Folded up until somebody asks: built only while it is open.
#[component]
pub(super) fn Stages() -> impl IntoView {
    let store = store();
    let open = RwSignal::new(false);
    let any =
        Memo::new(move |_| store.with_ride(|ride, _| !ride.level.stages.is_empty()) == Some(true));
    let stages = move || {
        open.get().then(|| {
            store.with_ride(|ride, style| {
                let stages = ride.level.stages.iter();
                stages.map(|it| stage(it, ride, style)).collect_view()
            })
        })
    };
    view! {
        <Show when=move || any.get()>
            <h3>"Stages"</h3>
            <details class="stages" id="stages" prop:open=move || open.get()>
                <summary on:click=move |event| {
                    // Its content is built first, and then it opens.
                    event.prevent_default();
                    open.update(|open| *open = !*open);
                }>
                    "Building up and tearing down, with every check"
                </summary>
                <ol>{stages}</ol>
            </details>
        </Show>
    }
}

fn stage(stage: &Stage, ride: &RideAssessment, style: LengthStyle) -> impl IntoView + use<> {
    let high = ride.ground.points.iter();
    let high = high
        .filter(|point| Some(&point.id) == ride.ground.high_corner.as_ref())
        .find_map(|point| point.elevation);
    let height = high.map(|high| {
        format!(
            "Frame {} above the high corner. ",
            style.format(stage.datum - high)
        )
    });
    let checks = stage
        .checks
        .iter()
        .map(|check| view! { <li>{badge(check.verdict)} <span>{check.in_words(style)}</span></li> })
        .collect_view();
    let air = |gap: f64| {
        if gap > 0.0 {
            format!("{} of air", style.format_down(gap))
        } else {
            "carries".to_owned()
        }
    };
    let jacks = stage
        .jacks
        .iter()
        .map(|jack| {
            view! {
                <tr>
                    <th scope="row">{jack.id.clone()}</th>
                    <td>{jack.hole}</td>
                    <td>{style.format(jack.extension)}</td>
                    <td>{style.format_down(jack.stroke_left)}</td>
                    <td>{air(jack.gap)}</td>
                </tr>
            }
        })
        .collect_view();
    let outriggers = stage.outriggers.iter().map(|it| (&it.id, it.gap));
    let wheels = stage.wheels.iter().map(|it| (&it.id, it.clearance));
    let others = outriggers
        .chain(wheels)
        .map(|(id, gap)| {
            view! {
                <tr>
                    <th scope="row">{id.clone()}</th>
                    <td colspan="3"></td>
                    <td>{air(gap)}</td>
                </tr>
            }
        })
        .collect_view();
    view! {
        <li>
            <h4>{stage.kind.in_words()} " " {badge(stage.verdict)}</h4>
            <p>
                {height}
                {format!(
                    "Along: {}. Across: {}.",
                    words::along(stage.along_deg),
                    words::across(stage.across_deg)
                )}
            </p>
            <ul class="checks">{checks}</ul>
            <table>
                <thead><tr>
                    <th scope="col">"Under"</th>
                    <th scope="col">"Hole"</th>
                    <th scope="col">"Reach"</th>
                    <th scope="col">"Screw left"</th>
                    <th scope="col">"Stands"</th>
                </tr></thead>
                <tbody>{jacks}{others}</tbody>
            </table>
        </li>
    }
}
