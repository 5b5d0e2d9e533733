//! The fence: what goes round the ride, and whether the truck carries it.

use leptos::prelude::*;
use tober::assess::RideAssessment;
use tober::ride::FenceGaps;
use tober::units::{LengthStyle, parse_length};

use crate::field::Field;
use crate::parts::{badge, fact};
use crate::state::{Store, store};

/// A gap, rounded up; that nobody knows it otherwise.
fn told(gap: Option<f64>, style: LengthStyle) -> String {
    gap.map_or("not known".to_owned(), |gap| style.format_up(gap))
}

/// What gets through the panels, as somebody measures it on the lot.
#[component]
pub(crate) fn Gaps() -> impl IntoView {
    let store = store();
    let fields = move || {
        // Another ride has other panels.
        store.ride.track();
        view! {
            <div class="fields">
                <Field id="fence-opening" label="Largest opening" value=shown(store, |gaps| gaps.opening)
                    commit=commit(store, |gaps, gap| gaps.opening = gap)/>
                <Field id="fence-gap" label="Gap below, level" value=shown(store, |gaps| gaps.below)
                    commit=commit(store, |gaps, gap| gaps.below = gap)/>
            </div>
        }
    };
    view! {
        <h3>"Measured on the panels"</h3>
        {fields}
        <p class="hint">
            "The largest ball that gets through a panel or between two, and the gap below one on level ground. Left empty, they are not known."
        </p>
    }
}

fn shown(store: Store, read: fn(FenceGaps) -> Option<f64>) -> Signal<String> {
    Signal::derive(move || {
        let gap = store.site.with(|site| {
            let index = store.ride.get();
            let placed = site.file().rides.get(index)?;
            read(placed.fence_gaps.or(site.profile(index)?.fence.gaps))
        });
        gap.map_or_else(String::new, |gap| store.style().format(gap))
    })
}

fn commit(
    store: Store,
    write: fn(&mut FenceGaps, Option<f64>),
) -> Callback<String, Result<(), String>> {
    Callback::new(move |typed: String| {
        let gap = match typed.trim() {
            "" => None,
            typed => {
                let gap = parse_length(typed, store.style()).map_err(|error| error.to_string())?;
                if gap < 0.0 {
                    return Err("A gap is not less than nothing.".to_owned());
                }
                Some(gap)
            }
        };
        let ride = store.ride.get_untracked();
        store.change_file(|file| {
            if let Some(placed) = file.rides.get_mut(ride) {
                write(&mut placed.fence_gaps, gap);
            }
        });
        Ok(())
    })
}

/// The fence of a ride.
pub(crate) fn section(ride: &RideAssessment, style: LengthStyle) -> impl IntoView + use<> {
    let fence = &ride.fence;
    let notes = fence
        .notes
        .iter()
        .map(|note| view! { <li>{note.clone()}</li> })
        .collect_view();
    view! {
        <p class="lead">
            {badge(fence.verdict)} " "
            <strong class="key">{fence.panels}</strong>
            {format!(" panels needed, {} on the truck.", fence.panels_on_truck)}
        </p>
        <ul class="notes">{notes}</ul>
        <dl class="facts">
            {fact("Gates", fence.gates.len().to_string())}
            {fact("Posts", fence.posts.len().to_string())}
            {fact("Length of the run", style.format(fence.perimeter))}
            {fact("Panel height", style.format_down(fence.height))}
            {fact("Largest opening", told(fence.openings.opening, style))}
            {fact("Largest gap below, on this ground", told(fence.openings.below, style))}
            {fact("Clear of what moves", style.format_down(fence.clear))}
            {fact("Asked for", style.format_up(fence.standoff))}
        </dl>
        <p class="hint">
            "Gates are drawn open on the plan. A panel runs from each post to the next."
        </p>
    }
}
