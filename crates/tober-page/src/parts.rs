//! Small parts that several views share.

use leptos::prelude::*;
use tober::assess::Verdict;

/// The class that goes with a verdict; a word and a shape always stand beside the colour.
pub(crate) fn class(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "pass",
        Verdict::Unknown => "unknown",
        Verdict::Fail => "fail",
    }
}

/// A verdict's shape. The word that belongs to it stands beside it, so it is hidden from
/// screen readers.
pub(crate) fn mark(verdict: Verdict) -> impl IntoView {
    view! {
        <span class="mark-icon" aria-hidden="true" inner_html=tober_drawing::mark_svg(verdict)></span>
    }
}

/// A verdict as shape and word.
pub(crate) fn badge(verdict: Verdict) -> impl IntoView {
    view! {
        <span class=format!("badge {}", class(verdict))>
            {mark(verdict)}
            <span>{verdict.word()}</span>
        </span>
    }
}

/// A number with what it is, as one entry of a description list.
pub(crate) fn fact(what: &'static str, value: String) -> impl IntoView {
    view! {
        <div class="fact">
            <dt>{what}</dt>
            <dd>{value}</dd>
        </div>
    }
}

/// A line icon of our own, 24 px. It says nothing by itself: its button has a name.
pub(crate) fn icon(name: &'static str) -> impl IntoView {
    let path = match name {
        "plus" => "M12 5v14M5 12h14",
        "minus" => "M5 12h14",
        "fit" => "M4 9V4h5M15 4h5v5M20 15v5h-5M9 20H4v-5",
        "target" => "M12 3v4M12 17v4M3 12h4M17 12h4M12 8a4 4 0 1 0 0 8a4 4 0 1 0 0-8",
        "grow" => "M12 3v18M8 7l4-4l4 4M8 17l4 4l4-4",
        "undo" => "M9 7L4 12l5 5M4 12h11a5 5 0 0 1 0 10h-3",
        "redo" => "M15 7l5 5l-5 5M20 12H9a5 5 0 0 0 0 10h3",
        "open" => "M3 19V5h6l2 3h10v11zM3 11h18",
        "save" => "M12 4v11M7 11l5 5l5-5M4 20h16",
        "print" => "M7 9V4h10v5M7 17H4V9h16v8h-3M7 14h10v6H7z",
        "menu" => "M4 7h16M4 12h16M4 17h16",
        "close" => "M6 6l12 12M18 6L6 18",
        "north" => "M12 19V5M6 11l6-6l6 6",
        "turn-left" => "M5 5v6h6M6 10a7 7 0 1 1 0 6",
        "turn-right" => "M19 5v6h-6M18 10a7 7 0 1 0 0 6",
        "place" => {
            "M12 21s-6.5-6-6.5-11a6.5 6.5 0 0 1 13 0c0 5-6.5 11-6.5 11zM12 12.5a2.5 2.5 0 1 0 0-5a2.5 2.5 0 1 0 0 5"
        }
        "level" => "M3 8h18v8H3zM9.5 8v8M14.5 8v8M12 10.5v3",
        "loads" => "M12 3v9M8.5 8.5L12 12l3.5-3.5M5 16h14M7 16v4M12 16v4M17 16v4",
        "clear" => "M4 5v14M20 5v14M7 12h10M9.5 9.5L7 12l2.5 2.5M14.5 9.5L17 12l-2.5 2.5",
        "fence" => "M4 6v14M12 6v14M20 6v14M2 10h20M2 16h20",
        "survey" => "M12 3v5M8 8h8v5H8zM12 13v2M12 15l-6 6M12 15l6 6M12 15v6",
        "trash" => "M5 7h14M10 7V4h4v3M7 7l1 13h8l1-13",
        _ => "",
    };
    view! {
        <svg class="icon" viewBox="0 0 24 24" aria-hidden="true" focusable="false">
            <path d=path></path>
        </svg>
    }
}
