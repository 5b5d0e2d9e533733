//! What one foot carries, as a bar against what it and the ground may.
//!
//! ```text
//!   ├───────▓▓▓▓▓▓▓▓┃▓▓▓▓▓▓▓▓▓────────┤▒▒▒▒▒▒▒▒▒
//!   0     least   usual    greatest   limit: beyond it the ground or the foot does not bear
//!            ▬▬▬▬▬                    what a trial makes of it
//! ```
//!
//! And all feet of a ride where they stand, north up as on the plan, each with such a bar that
//! stands up, and the edges that the ride could tip over.

use tober::loads::{FootLoads, RideLoads, TrialFoot, TrialLoads, force_up};
use tober::statics::{Support, edges};
use tober::units::LengthStyle;

use crate::svg::{PathData, Svg};
use crate::window::Px;

/// Size of the drawing, CSS pixels: it scales with the page.
const WIDTH: f64 = 400.0;
const HEIGHT: f64 = 40.0;
/// The track that the bar runs in.
const TOP: f64 = 8.0;
const BOTTOM: f64 = 30.0;
/// Room for the feet of a ride, and round it for their bars and words.
const FEET_WIDE: f64 = 260.0;
const FEET_HIGH: f64 = 220.0;
const AROUND: f64 = 70.0;
/// A bar that stands up.
const TALL: f64 = 60.0;
const BROAD: f64 = 16.0;
/// Room beyond the largest load that is drawn.
const ROOM: f64 = 1.08;

/// The load that a foot may carry: the least of its own capacity and what the ground bears under
/// it, newtons. `None` where neither is known.
pub fn load_limit(foot: &FootLoads) -> Option<f64> {
    let ground = foot.ground.bears.map(|bears| bears * foot.ground.area);
    [foot.capacity, ground]
        .into_iter()
        .flatten()
        .reduce(f64::min)
}

/// The scale that the bars of several feet share: newtons at the right end.
pub fn load_scale<'a>(feet: impl IntoIterator<Item = &'a FootLoads>) -> f64 {
    let largest = feet.into_iter().map(|foot| {
        let limit = load_limit(foot).unwrap_or(0.0);
        // A limit that is far away would leave no room for the loads.
        foot.most().max(limit.min(foot.most() * 2.0))
    });
    largest.fold(1.0, f64::max) * ROOM
}

/// Draws the feet where they stand, each with its bar: from the least to the greatest, the usual,
/// the limit, and what a trial makes of it. It says nothing that the words beside it do not.
pub fn load_plan(loads: &RideLoads, tried: Option<&TrialLoads>, units: LengthStyle) -> String {
    let feet = &loads.feet;
    let of = |axis: fn(&FootLoads) -> f64| {
        let each = || feet.iter().map(axis);
        let (least, most) = (
            each().fold(f64::INFINITY, f64::min),
            each().fold(f64::NEG_INFINITY, f64::max),
        );
        (least, (most - least).max(0.0))
    };
    let ((west, wide), (south, high)) = (of(|it| it.at.x), of(|it| it.at.y));
    let pixels = (FEET_WIDE / wide.max(0.1)).min(FEET_HIGH / high.max(0.1));
    let aside = (FEET_WIDE - wide * pixels) / 2.0;
    let at = |foot: &FootLoads| {
        Px::new(
            AROUND + aside + (foot.at.x - west) * pixels,
            AROUND + (south + high - foot.at.y) * pixels,
        )
    };
    let scale = load_scale(feet);
    let supports: Vec<Support> = feet
        .iter()
        .map(|foot| Support {
            at: foot.at,
            top: 0.0,
            stiffness: 1.0,
        })
        .collect();
    let over = loads.overturning.as_ref().map(|it| it.over.as_slice());
    let mut svg = Svg::new();
    let size = format!(
        "0 0 {} {:.0}",
        FEET_WIDE + 2.0 * AROUND,
        high * pixels + 2.0 * AROUND
    );
    svg.element("svg")
        .attr("class", "load-plan")
        .attr("viewBox", &size)
        .attr("aria-hidden", "true")
        .attr("focusable", "false")
        .children(|svg| {
            for edge in edges(&supports) {
                let (Some(from), Some(to)) = (feet.get(edge.feet.0), feet.get(edge.feet.1)) else {
                    continue;
                };
                let worst =
                    over.is_some_and(|over| over.contains(&from.id) && over.contains(&to.id));
                let mut path = PathData::new();
                path.stroke(at(from), at(to));
                svg.path(
                    if worst {
                        "load-edge worst"
                    } else {
                        "load-edge"
                    },
                    &path,
                );
            }
            for foot in feet {
                let trial = tried.and_then(|it| it.feet.iter().find(|it| it.id == foot.id));
                standing_bar(svg, (foot, trial), at(foot), scale);
                let below = at(foot).y + TALL / 2.0;
                svg.text("load-name", Px::new(at(foot).x, below + 16.0), &foot.id);
                let words = force_up(foot.most(), units);
                svg.text("load-most", Px::new(at(foot).x, below + 31.0), &words);
            }
        });
    svg.into_string()
}

/// A bar that stands up, its middle at a place.
fn standing_bar(
    svg: &mut Svg,
    (foot, trial): (&FootLoads, Option<&TrialFoot>),
    at: Px,
    scale: f64,
) {
    let y = |newtons: f64| {
        let share = newtons / scale;
        let share = if share.is_finite() {
            share.clamp(0.0, 1.0)
        } else {
            1.0
        };
        at.y + TALL * (0.5 - share)
    };
    let bar = |svg: &mut Svg, class: &str, (from, to): (f64, f64), broad: f64| {
        let middle = Px::new(at.x, (y(from) + y(to)) / 2.0);
        svg.rect(class, middle, broad, y(from) - y(to));
    };
    let stroke = |svg: &mut Svg, class: &str, newtons: f64, beyond: f64| {
        let half = BROAD / 2.0 + beyond;
        let mut path = PathData::new();
        path.stroke(
            Px::new(at.x - half, y(newtons)),
            Px::new(at.x + half, y(newtons)),
        );
        svg.path(class, &path);
    };
    bar(svg, "load-track", (0.0, scale), BROAD);
    if let Some(limit) = load_limit(foot) {
        bar(svg, "load-beyond", (limit, scale), BROAD);
    }
    bar(svg, "load-in-acts", (foot.greatest, foot.most()), 6.0);
    bar(svg, "load-range", (foot.least, foot.greatest), BROAD - 4.0);
    if let Some(trial) = trial {
        bar(svg, "load-trial", (trial.least, trial.greatest), 4.0);
    }
    stroke(svg, "load-usual", foot.usual, 2.0);
    if let Some(limit) = load_limit(foot) {
        stroke(svg, "load-limit", limit, 6.0);
    }
}

/// Draws the bar of one foot. It says nothing that the words beside it do not.
pub fn load_bar(foot: &FootLoads, trial: Option<&TrialFoot>, scale: f64) -> String {
    let x = |newtons: f64| {
        let share = newtons / scale;
        if share.is_finite() {
            share.clamp(0.0, 1.0) * WIDTH
        } else {
            WIDTH
        }
    };
    let middle = (TOP + BOTTOM) / 2.0;
    let bar = |svg: &mut Svg, class: &str, from: f64, to: f64, height: f64| {
        let (from, to) = (x(from), x(to));
        svg.rect(class, Px::new((from + to) / 2.0, middle), to - from, height);
    };
    let stroke = |svg: &mut Svg, class: &str, at: f64, (from, to): (f64, f64)| {
        let mut path = PathData::new();
        path.move_to(Px::new(x(at), from));
        path.line_to(Px::new(x(at), to));
        svg.path(class, &path);
    };
    let mut svg = Svg::new();
    svg.element("svg")
        .attr("class", "load-bar")
        .attr("viewBox", &format!("0 0 {WIDTH} {HEIGHT}"))
        .attr("aria-hidden", "true")
        .attr("focusable", "false")
        .children(|svg| {
            let tall = BOTTOM - TOP;
            bar(svg, "load-track", 0.0, scale, tall);
            if let Some(limit) = load_limit(foot) {
                bar(svg, "load-beyond", limit, scale, tall);
            }
            bar(svg, "load-in-acts", foot.greatest, foot.most(), 6.0);
            bar(svg, "load-range", foot.least, foot.greatest, tall - 6.0);
            if let Some(trial) = trial {
                bar(svg, "load-trial", trial.least, trial.greatest, 6.0);
            }
            stroke(svg, "load-usual", foot.usual, (TOP - 3.0, BOTTOM + 3.0));
            if let Some(limit) = load_limit(foot) {
                stroke(svg, "load-limit", limit, (TOP - 6.0, BOTTOM + 6.0));
            }
        });
    svg.into_string()
}
