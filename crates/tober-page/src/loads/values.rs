//! The values of loads and of the ground in force, with their sources, each to be set for the site
//! with who says so, or given back to the rulebook.

use leptos::prelude::*;
use tober::loads::LoadRuleInForce;
use tober::site::LoadValue;
use tober::units::LengthStyle;

use crate::state::{Store, store};

#[component]
pub(super) fn Values() -> impl IntoView {
    let store = store();
    let rules = move || {
        store
            .assessment
            .with(|assessment| assessment.load_rules.clone())
    };
    let list = move || {
        let style = store.style();
        let rules = rules().into_iter();
        rules.map(|rule| one(store, &rule, style)).collect_view()
    };
    view! {
        <details class="load-values">
            <summary>"Values in force, and where they come from"</summary>
            <ul class="notes">{list}</ul>
            <Setting/>
        </details>
    }
}

/// A rule, and the way back where the site has set its own value.
fn one(store: Store, rule: &LoadRuleInForce, style: LengthStyle) -> impl IntoView + use<> {
    let words = rule.in_words(style);
    let back = rule.replaces.is_some().then(|| {
        let id = rule.id.clone();
        view! {
            " "
            <button type="button" class="link" on:click=move |_| {
                store.change_file(|file| file.load_values.retain(|it| it.rule != id));
            }>"Back to the rulebook"</button>
        }
    });
    let class = if back.is_some() { "overridden" } else { "" };
    view! { <li><span class=class>{words}</span> {back}</li> }
}

/// One value, set for the site.
#[component]
fn Setting() -> impl IntoView {
    let store = store();
    let rules = move || {
        store
            .assessment
            .with(|assessment| assessment.load_rules.clone())
    };
    let picked = RwSignal::new("overturning-factor".to_owned());
    let value = RwSignal::new(String::new());
    let reason = RwSignal::new(String::new());
    let error = RwSignal::new(None::<&'static str>);
    let rule = move || rules().into_iter().find(|rule| rule.id == picked.get());
    let unit = move || rule().map_or("", |rule| rule.unit.shown_in(store.style()).0);
    let set = move |_| {
        let (Some(rule), Ok(number)) = (rule(), value.get().trim().parse::<f64>()) else {
            error.set(Some("A number, such as 1.8."));
            return;
        };
        let who = reason.get().trim().to_owned();
        if who.is_empty() {
            error.set(Some("Who says so: every paper shows it beside the value."));
            return;
        }
        error.set(None);
        let own = LoadValue {
            rule: rule.id.clone(),
            value: number * rule.unit.shown_in(store.style()).1,
            reason: who,
        };
        let changed = store.change_file(|file| {
            file.load_values.retain(|it| it.rule != own.rule);
            file.load_values.push(own);
        });
        if changed {
            value.set(String::new());
        }
    };
    let choices = move || {
        let choices = rules().into_iter();
        choices
            .map(|rule| view! { <option value=rule.id>{rule.title}</option> })
            .collect_view()
    };
    view! {
        <div class="load-setting">
            <label for="load-rule">"Set for this site"</label>
            <select id="load-rule" on:change=move |event| picked.set(event_target_value(&event))>
                {choices}
            </select>
            <label for="load-value">{move || match unit() {
                "" => "Value".to_owned(),
                unit => format!("Value, {unit}"),
            }}</label>
            <input id="load-value" type="text" inputmode="decimal" autocomplete="off"
                prop:value=move || value.get()
                on:input=move |event| value.set(event_target_value(&event))/>
            <label for="load-reason">"Who says so"</label>
            <input id="load-reason" type="text" autocomplete="off"
                prop:value=move || reason.get()
                on:input=move |event| reason.set(event_target_value(&event))/>
            <p class="field-error" role="alert">{move || error.get()}</p>
            <button type="button" class="button" id="load-set" on:click=set>"Use it here"</button>
        </div>
    }
}
