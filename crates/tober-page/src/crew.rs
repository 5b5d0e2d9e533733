//! The crew's view of the level plan: what to do now, the frame seen from above, what the level
//! shows once it stands, and what would help where it cannot be levelled.

mod frame;
mod now;
mod phase;
mod readings;
mod remedies;
mod stages;

use leptos::prelude::*;

use crate::level;
use crate::state::store;

/// The level view of the ride that is worked on. What is typed and what is unfolded stays while
/// the ride moves.
#[component]
pub(crate) fn Crew() -> impl IntoView {
    let store = store();
    let order = move || {
        store.with_ride(|ride, _| {
            let acts = phase::Phase::of(&store, &ride.id).acts(&ride.level);
            (!acts.is_empty()).then(|| {
                view! {
                    <h3>"Every act in order"</h3>
                    {level::crank_order(&ride.id, acts)}
                }
            })
        })
    };
    view! {
        <now::Now/>
        {move || store.with_ride(level::lead)}
        <remedies::Help/>
        {move || frame::frame(store)}
        {move || store.with_ride(level::feet)}
        {order}
        <readings::Readings/>
        {move || store.with_ride(level::why)}
        <stages::Stages/>
        {move || store.with_ride(level::tilts)}
    }
}
