//! The points of a point file, and how it was read.

use tober::assess::Verdict;
use tober::survey::{CoordinateOrder, PointFile, Repeat};
use tober::units::LengthStyle;

use super::Choice;
use crate::sheet::layout::{Column, heading, item, table};

pub(super) fn printed(file: &PointFile, choice: Choice) -> (String, Verdict) {
    let conflicts = file
        .repeats
        .iter()
        .any(|repeat| matches!(repeat, Repeat::Heights { .. }));
    let verdict = if conflicts || !file.bad_lines.is_empty() {
        Verdict::Fail
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
    for bad in &file.bad_lines {
        text += &item("", &format!("LINE {} NOT READ: {}.", bad.line, bad.words));
    }
    for repeat in &file.repeats {
        text += &item("", &format!("TWICE: {repeat}."));
    }
    let suggestions = file.suggestions();
    if !suggestions.is_empty() {
        text += &item(
            "",
            &format!(
                "Descriptions that suggest more than ground: {}. They become features only when \
                 you take them as such.",
                suggestions.len()
            ),
        );
    }
    (text, verdict)
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
    format!(
        "Separated by {}, decimals behind a {}; {order}{}; {}{}.",
        layout.separator,
        if layout.decimal_comma {
            "comma"
        } else {
            "point"
        },
        taken(layout.order_was_stated, "--order penzd turns it round"),
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
