//! A field for a typed value: what is typed stays until it is understood, and what is not
//! understood is answered with what would be.

use leptos::prelude::*;

/// A labelled text field that shows `value`, and hands what is typed to `commit` on Enter or
/// when it is left.
#[component]
pub(crate) fn Field(
    /// Its id in the document.
    id: &'static str,
    label: &'static str,
    /// What it shows while nothing is being typed.
    #[prop(into)]
    value: Signal<String>,
    /// Takes what was typed, or says what would have worked.
    #[prop(into)]
    commit: Callback<String, Result<(), String>>,
) -> impl IntoView {
    let draft = RwSignal::new(None::<String>);
    let error = RwSignal::new(None::<String>);
    let error_id = format!("{id}-error");
    let finish = move || {
        let Some(typed) = draft.get_untracked() else {
            return;
        };
        match commit.run(typed) {
            Ok(()) => {
                draft.set(None);
                error.set(None);
            }
            Err(words) => error.set(Some(words)),
        }
    };
    view! {
        <div class="field">
            <label for=id>{label}</label>
            <input
                id=id
                type="text"
                autocomplete="off"
                spellcheck="false"
                enterkeyhint="done"
                aria-invalid=move || error.with(Option::is_some).then_some("true")
                aria-describedby=error_id.clone()
                prop:value=move || draft.get().unwrap_or_else(|| value.get())
                on:input=move |event| draft.set(Some(event_target_value(&event)))
                on:change=move |_| finish()
                on:keydown=move |event| match event.key().as_str() {
                    "Enter" => finish(),
                    "Escape" => {
                        draft.set(None);
                        error.set(None);
                    }
                    _ => {}
                }
            />
            <p class="field-error" id=error_id role="alert">{move || error.get()}</p>
        </div>
    }
}
