//! What one foot carries, as a bar against what it and the ground may.
//!
//! ```text
//!   ├───────▓▓▓▓▓▓▓▓┃▓▓▓▓▓▓▓▓▓────────┤▒▒▒▒▒▒▒▒▒
//!   0     least   usual    greatest   limit: beyond it the ground or the foot does not bear
//!            ▬▬▬▬▬                    what a trial makes of it
//! ```

use tober::loads::{FootLoads, TrialFoot};

use crate::svg::{PathData, Svg};
use crate::window::Px;

/// Size of the drawing, CSS pixels: it scales with the page.
const WIDTH: f64 = 400.0;
const HEIGHT: f64 = 40.0;
/// The track that the bar runs in.
const TOP: f64 = 8.0;
const BOTTOM: f64 = 30.0;
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
        foot.greatest.max(limit.min(foot.greatest * 2.0))
    });
    largest.fold(1.0, f64::max) * ROOM
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
