//! The fence: what goes round the ride, and whether the truck carries it.

use leptos::prelude::*;
use tober::assess::RideAssessment;
use tober::units::LengthStyle;

use crate::parts::{badge, fact};

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
            {fact("Clear of what moves", style.format_down(fence.clear))}
            {fact("Asked for", style.format_up(fence.standoff))}
        </dl>
        <p class="hint">
            "Gates are drawn open on the plan. A panel runs from each post to the next."
        </p>
    }
}
