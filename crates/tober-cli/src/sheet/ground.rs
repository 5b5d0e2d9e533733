//! The ground under a ride: every foot and tyre against the high corner, and how sure that is.

use tober::assess::Assessment;
use tober::level::GroundUnderRide;
use tober::units::LengthStyle;

use super::layout::{Column, item, table};
use super::words;

/// The field books that do not close, and what to do about them.
pub(crate) fn unclosed(indent: &str, assessment: &Assessment) -> String {
    let books = assessment.unclosed.iter();
    books.map(|book| item(indent, book)).collect()
}

pub(crate) fn section(ground: &GroundUnderRide, units: LengthStyle) -> String {
    let high = ground.high_corner.as_deref();
    let rows = ground.points.iter().map(|point| {
        let below = if high == Some(point.id.as_str()) {
            "high corner".to_owned()
        } else {
            words::or_not_known(point.below_high, |below| {
                words::sided(below, units, "below", "above")
            })
        };
        vec![
            point.id.clone(),
            words::support(point.kind).to_owned(),
            below,
            words::or_not_known(point.elevation.map(|elevation| elevation.0), |elevation| {
                units.format(elevation)
            }),
            words::or_not_known(point.error, |error| format!("± {}", units.format_up(error))),
            point
                .surface
                .map_or("not stated", tober_drawing::surface_word)
                .to_owned(),
        ]
    });
    table(
        2,
        &[
            ("Under", Column::Words),
            ("", Column::Words),
            ("Against high corner", Column::Number),
            ("Elevation", Column::Number),
            ("Sure to", Column::Number),
            ("Ground", Column::Words),
        ],
        rows.collect(),
    ) + &item("  ", &fall(ground))
        + &how_sure(ground)
}

/// What the column of errors means; nothing where none is known.
fn how_sure(ground: &GroundUnderRide) -> String {
    if ground.points.iter().all(|point| point.error.is_none()) {
        return String::new();
    }
    item(
        "  ",
        "Sure to: the standard error of the elevation, rounded up. Two times in three the ground \
         is as near as that, nineteen times in twenty within twice that.",
    )
}

fn fall(ground: &GroundUnderRide) -> String {
    let (Some(along), Some(across)) = (ground.fall_along, ground.fall_across) else {
        return "The ground is not known under every foot: take spot levels all round the ride. \
                Nothing is guessed outside the survey."
            .to_owned();
    };
    format!(
        "Fall along the frame: {}; across: {}.",
        words::slope(along, "up towards the tongue", "down towards the tongue"),
        words::slope(across, "up to the left", "down to the left")
    )
}
