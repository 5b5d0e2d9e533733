//! A dimension line: the distance between two places, what was needed, and how it came out.

use tober::clearance::ClearanceRow;
use tober::units::LengthStyle;

use crate::labels::{Labels, bold_width, text_width};
use crate::svg::{PathData, Svg};
use crate::verdict;
use crate::window::{Px, View};

const TEXT: f64 = 13.0;
/// Below this length the arrowheads stand outside and point inwards, as draughtsmen do.
const SHORT: f64 = 26.0;
const HEAD: f64 = 8.0;

/// What a dimension line says: the distance, and the verdict with the other side's name. In
/// brief, where the drawing is small, the line itself shows what it is to.
fn words(row: &ClearanceRow, style: LengthStyle, brief: bool) -> (String, String) {
    let needed = if row.required > 0.0 {
        let needed = if brief { "" } else { " needed" };
        format!("{}{needed}", style.format_up(row.required))
    } else {
        "must not overlap".to_owned()
    };
    let distance = match row.value {
        None => format!("not known, {needed}"),
        // Overlaps are rounded up: the clearance is what must not be overstated.
        Some(value) if value < 0.0 => format!("overlaps {}, {needed}", style.format_up(-value)),
        Some(value) if row.required > 0.0 => format!("{} of {needed}", style.format_down(value)),
        Some(value) => format!("{} clear", style.format_down(value)),
    };
    if brief {
        return (distance, row.verdict.word().to_owned());
    }
    let to = match row.against_name.as_str() {
        "" => "lot line".to_owned(),
        name => crate::labels::short(name),
    };
    (distance, format!("{} · to {to}", row.verdict.word()))
}

/// A row's distance and outcome in one sentence.
pub(crate) fn sentence(row: &ClearanceRow, style: LengthStyle) -> String {
    let (distance, _) = words(row, style, false);
    format!("{distance}: {}", row.verdict.word())
}

/// Draws a row between its two nearest places. `weight` is a further class: how strongly.
pub(crate) fn draw(
    svg: &mut Svg,
    labels: &mut Labels,
    view: &View,
    row: &ClearanceRow,
    style: LengthStyle,
    weight: &str,
) {
    let (from, to) = (view.px(row.from), view.px(row.to));
    let middle = from.middle(to);
    if !view.shows(middle, 0.0) {
        return;
    }
    let class = format!("dimension {} {weight}", verdict::class(row.verdict));
    svg.group(&class, |svg| {
        line(svg, from, to);
        plate(svg, labels, view, row, style, (from, to));
    });
}

/// The line with its arrowheads; where the two places are one, a cross on it.
fn line(svg: &mut Svg, from: Px, to: Px) {
    let mut strokes = PathData::new();
    let mut heads = PathData::new();
    match from.towards(to) {
        None => {
            for (x, y) in [(6.0, 6.0), (6.0, -6.0)] {
                strokes.stroke(
                    Px::new(from.x - x, from.y - y),
                    Px::new(from.x + x, from.y + y),
                );
            }
        }
        Some(ahead) => {
            strokes.stroke(from, to);
            let outside = from.distance(to) < SHORT;
            // Which way each head points: outwards on a long line, inwards on a short one.
            for (tip, outwards) in [(from, -1.0), (to, 1.0)] {
                let points = if outside { -outwards } else { outwards };
                let base = tip.along(ahead, -points * HEAD);
                let right = ahead.turned_right();
                heads.ring([tip, base.along(right, 3.2), base.along(right, -3.2)]);
                if outside {
                    strokes.stroke(tip, tip.along(ahead, outwards * 2.2 * HEAD));
                }
                // An extension line at either end says where the distance is taken.
                strokes.stroke(tip.along(right, 6.0), tip.along(right, -6.0));
            }
        }
    }
    svg.path("dimension-halo", &strokes);
    svg.path("dimension-line", &strokes);
    svg.path("dimension-head", &heads);
}

/// The words on a plate beside the line, joined to it by a leader where it stands off.
fn plate(
    svg: &mut Svg,
    labels: &mut Labels,
    view: &View,
    row: &ClearanceRow,
    style: LengthStyle,
    (from, to): (Px, Px),
) {
    let (distance, outcome) = words(row, style, view.is_small());
    let text = bold_width(&distance, TEXT).max(text_width(&outcome, TEXT - 1.0));
    let (width, height) = (text + 40.0, 40.0);
    let middle = from.middle(to);
    let candidates: Vec<Px> = [30.0, 48.0, 70.0, 100.0, 140.0, 190.0, 250.0, 320.0]
        .into_iter()
        .flat_map(|off: f64| {
            (0..12).map(move |hour| {
                let (sin, cos) = libm::sincos(f64::from(hour) * core::f64::consts::FRAC_PI_6);
                Px::new(
                    middle.x + cos * (width / 2.0 + off - 22.0),
                    middle.y + sin * (height / 2.0 + off - 22.0),
                )
            })
        })
        .collect();
    let Some(at) = labels.place_plate(view, &candidates, width, height) else {
        // Too crowded for words: how it came out, and the table tells the rest.
        verdict::mark(svg, row.verdict, middle, 8.5);
        return;
    };
    let mut leader = PathData::new();
    leader.stroke(middle, at);
    svg.path("dimension-leader", &leader);
    svg.element("rect")
        .attr("class", "dimension-plate")
        .px("x", at.x - width / 2.0)
        .px("y", at.y - height / 2.0)
        .px("width", width)
        .px("height", height)
        .px("rx", 4.0)
        .end();
    let left = at.x - width / 2.0;
    verdict::mark(svg, row.verdict, Px::new(left + 16.0, at.y), 8.5);
    svg.text(
        "dimension-words strong",
        Px::new(left + 32.0, at.y - 3.5),
        &distance,
    );
    svg.text(
        "dimension-words",
        Px::new(left + 32.0, at.y + 12.5),
        &outcome,
    );
}

/// Rows with how strongly each is drawn, but a distance between two rides only once.
pub(crate) fn once<'a>(
    rows: impl IntoIterator<Item = (&'a ClearanceRow, &'static str)>,
) -> Vec<(&'a ClearanceRow, &'static str)> {
    let mut kept: Vec<(&ClearanceRow, &'static str)> = Vec::new();
    for (row, weight) in rows {
        let twin = kept.iter().any(|(other, _)| {
            (other.from - row.to).norm() < 1e-6 && (other.to - row.from).norm() < 1e-6
        });
        if !twin {
            kept.push((row, weight));
        }
    }
    kept
}
