//! A verdict as a shape: a tick in a circle, a question in a diamond, a bar in a triangle.

use tober::assess::Verdict;

use crate::svg::{PathData, Svg};
use crate::window::Px;

/// The class that colours and dashes what a verdict is about.
pub(crate) fn class(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "pass",
        Verdict::Unknown => "unknown",
        Verdict::Fail => "fail",
    }
}

/// Draws the mark of a verdict, `r` pixels from its middle to its edge.
pub(crate) fn mark(svg: &mut Svg, verdict: Verdict, at: Px, r: f64) {
    let place = |x: f64, y: f64| Px::new(at.x + x * r, at.y + y * r);
    let mut sign = PathData::new();
    let mut shape = PathData::new();
    match verdict {
        Verdict::Pass => {
            svg.circle("mark pass", at, r);
            sign.run([place(-0.45, 0.0), place(-0.1, 0.4), place(0.5, -0.4)]);
        }
        Verdict::Unknown => {
            shape.ring([
                place(0.0, -1.15),
                place(1.15, 0.0),
                place(0.0, 1.15),
                place(-1.15, 0.0),
            ]);
            sign.run([place(-0.3, -0.3), place(0.0, -0.6), place(0.3, -0.3)])
                .line_to(place(0.0, 0.05))
                .line_to(place(0.0, 0.2))
                .stroke(place(0.0, 0.5), place(0.0, 0.6));
        }
        Verdict::Fail => {
            shape.ring([place(0.0, -1.1), place(1.15, 0.9), place(-1.15, 0.9)]);
            sign.stroke(place(0.0, -0.45), place(0.0, 0.25))
                .stroke(place(0.0, 0.55), place(0.0, 0.65));
        }
    }
    svg.path(&format!("mark {}", class(verdict)), &shape);
    svg.path("mark-sign", &sign);
}

/// The mark of a verdict as an SVG of its own, 20 px: for lists beside a plan.
pub fn mark_svg(verdict: Verdict) -> String {
    let mut svg = Svg::new();
    svg.element("svg")
        .attr("class", "plan")
        .attr("viewBox", "0 0 20 20")
        .attr("focusable", "false")
        .children(|svg| mark(svg, verdict, Px::new(10.0, 10.5), 8.0));
    svg.into_string()
}
