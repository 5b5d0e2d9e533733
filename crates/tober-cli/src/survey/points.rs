//! The points of a point file, and how it was read.

use tober::assess::Verdict;
use tober::survey::{CoordinateOrder, PointFile, Repeat, Suggestion};
use tober::units::LengthStyle;

use super::Choice;
use crate::sheet::layout::{Column, heading, item, table};

pub(super) fn printed(file: &PointFile, choice: &Choice) -> (String, Verdict) {
    let conflicts = file
        .repeats
        .iter()
        .any(|repeat| matches!(repeat, Repeat::Heights { .. }));
    let is_far_off = !file.strays.is_empty() || !file.far_places.is_empty();
    let verdict = if conflicts || is_far_off || !file.bad_lines.is_empty() {
        Verdict::Fail
    } else if !file.cautions().is_empty() {
        Verdict::Unknown
    } else {
        Verdict::Pass
    };
    if choice.csv {
        return (file.to_csv(), verdict);
    }
    let units = choice.shown_in.map_or(LengthStyle::Metres, |units| {
        units.or_own(LengthStyle::Metres)
    });
    let mut text = heading(&format!("Point file: {} points", file.points.len()), "=");
    text += &item("", &layout(file));
    if file.origin.x != 0.0 || file.origin.y != 0.0 {
        text += &item(
            "",
            &format!(
                "Coordinates are counted from {} east, {} north.",
                LengthStyle::Metres.format(file.origin.x),
                LengthStyle::Metres.format(file.origin.y)
            ),
        );
    }
    text += "\n";
    text += &rows(file, units);
    text += "\n";
    let cautions = file.cautions();
    for caution in &cautions {
        text += &item("", caution);
    }
    for bad in &file.bad_lines {
        text += &item("", &format!("LINE {} NOT READ: {}.", bad.line, bad.words));
    }
    for repeat in &file.repeats {
        text += &item("", &format!("TWICE: {}.", repeat.in_words(units)));
    }
    for far in &file.far_places {
        text += &item("", &format!("FAR OFF: {}", far.in_words(units)));
    }
    for stray in &file.strays {
        text += &item("", &format!("FAR OFF: {}", stray.in_words(units)));
    }
    let suggestions = file.suggestions();
    if !suggestions.is_empty() {
        text += &item(
            "",
            &format!(
                "Descriptions that say more than ground: {}. They become features only when you \
                 agree: open the file in the page and tick them.",
                counted(&suggestions)
            ),
        );
    }
    (text, verdict)
}

/// `2 edges, 1 tree`.
fn counted(suggestions: &[Suggestion]) -> String {
    let mut counts: Vec<(&str, usize)> = Vec::new();
    for word in suggestions.iter().map(|it| it.feature.word()) {
        match counts.iter_mut().find(|(other, _)| *other == word) {
            Some((_, count)) => *count += 1,
            None => counts.push((word, 1)),
        }
    }
    let said = counts.iter().map(|(word, count)| match count {
        1 => format!("1 {word}"),
        2.. if word.ends_with("ch") => format!("{count} {word}es"),
        _ => format!("{count} {word}s"),
    });
    said.collect::<Vec<_>>().join(", ")
}

fn layout(file: &PointFile) -> String {
    let layout = &file.layout;
    let order = match layout.order {
        CoordinateOrder::NorthingFirst => "northing before easting",
        CoordinateOrder::EastingFirst => "easting before northing",
    };
    let taken = |was_stated: bool, other: &str| {
        if was_stated {
            String::new()
        } else {
            format!(" (taken for granted; {other})")
        }
    };
    let elevations = if layout.elevation_unit == layout.unit {
        String::new()
    } else {
        format!("; elevations in {}", layout.elevation_unit.word())
    };
    // What turns it round.
    let turn = match layout.order {
        CoordinateOrder::NorthingFirst => "--order penzd turns it round",
        CoordinateOrder::EastingFirst => "--order pnezd turns it round",
    };
    format!(
        "Separated by {}, decimals behind a {}; {order}{}; {}{}{elevations}.",
        layout.separator,
        if layout.decimal_comma {
            "comma"
        } else {
            "point"
        },
        taken(layout.order_was_stated, turn),
        layout.unit.word(),
        taken(layout.unit_was_stated, "--unit says otherwise"),
    )
}

fn rows(file: &PointFile, units: LengthStyle) -> String {
    let suggestions = file.suggestions();
    let rows = file.points.iter().enumerate().map(|(index, point)| {
        let seems = suggestions
            .iter()
            .find(|suggestion| suggestion.point == index);
        vec![
            point.line.to_string(),
            point.name.clone(),
            units.format(point.at.x),
            units.format(point.at.y),
            point.elevation.map_or_else(
                || "not known".to_owned(),
                |elevation| units.format(elevation.0),
            ),
            point.description.clone(),
            seems.map_or_else(String::new, |seems| format!("{}?", seems.feature.word())),
        ]
    });
    table(
        0,
        &[
            ("Line", Column::Number),
            ("Point", Column::Words),
            ("East", Column::Number),
            ("North", Column::Number),
            ("Elevation", Column::Number),
            ("Description", Column::Words),
            ("Suggests", Column::Words),
        ],
        rows.collect(),
    )
}
