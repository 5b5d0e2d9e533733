//! The height that is left over a way: under wires, canopies and roofs with room beneath.
//!
//! # Picture
//!
//! ```text
//!    ‾‾‾‾-----_____       ___----  wire      between two breaks of the ground below it, a wire
//!                  ------↕                   keeps least where it runs as steep as the ground,
//!    ▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁╱▔▔▔▔▔▔▔▔▔▔▔ ground      or at an end: both are in closed form
//! ```
//!
//! What is flat below (a canopy, a roof) keeps least over the highest ground of what it covers
//! of the way. Nothing is sampled: neither is ever overstated.

use super::Shape;
use crate::envelope::Wire;
use crate::ground::Ground;
use crate::site::{LinePoint, Site};
use crate::{Point, Step};

/// What hangs over a way.
#[derive(Default)]
pub(super) struct Overhead {
    /// Least height left, metres; absent where nothing is known to hang over it.
    pub(super) least: Option<f64>,
    /// What hangs over it at a height that cannot be told, in plain words.
    pub(super) unknown: Vec<&'static str>,
}

impl Overhead {
    fn take(&mut self, height: Option<f64>, what: &'static str) {
        match height {
            Some(height) => self.least = Some(self.least.map_or(height, |it| it.min(height))),
            None if !self.unknown.contains(&what) => self.unknown.push(what),
            None => {}
        }
    }
}

/// What hangs over a band of a full width along a path. What comes lower than `head` above the
/// ground is taken to stand in the way instead, and does not count here.
pub(super) fn overhead(site: &Site, path: &[Point], width: f64, head: f64) -> Overhead {
    let ground = site.ground();
    let features = &site.file().features;
    let band = Shape::band(path, width);
    let covers = |shape: &Shape| band.is_nearer(shape, 0.0);
    let mut found = Overhead::default();
    for tree in &features.trees {
        let canopy = Shape::disc(tree.at, tree.canopy_radius);
        if tree.canopy_underside < head || !covers(&canopy) {
            continue;
        }
        let outline = super::standing::round(tree.at, tree.canopy_radius);
        let least = ground.height(tree.at).and_then(|foot| {
            let highest = highest_beneath(ground, &outline, path, width)?;
            Some(foot.0 + tree.canopy_underside - highest)
        });
        found.take(
            least,
            "a canopy hangs over it, at a height that is not known",
        );
    }
    for roof in &features.buildings {
        let Some(underside) = roof.underside.filter(|&underside| underside >= head) else {
            continue;
        };
        let shape = Shape::area(&roof.outline);
        if !covers(&shape) {
            continue;
        }
        let corners = roof.outline.iter();
        let corners: Option<Vec<f64>> = corners.map(|&at| Some(ground.height(at)?.0)).collect();
        let least = corners.and_then(|corners| {
            let foot = corners.into_iter().fold(f64::NEG_INFINITY, f64::max);
            let highest = highest_beneath(ground, shape.convex().corners(), path, width)?;
            Some(foot + underside - highest)
        });
        found.take(least, "a roof hangs over it, at a height that is not known");
    }
    for line in &features.overhead_lines {
        for pair in line.points.windows(2) {
            let [from, to] = pair else { continue };
            let place = |it: &LinePoint| Point::new(it.x, it.y);
            let (start, end) = (place(from), place(to));
            let run = end - start;
            let Some(along) = run.try_normalize(0.0) else {
                continue;
            };
            let span = run.norm();
            let over: Vec<(f64, f64)> = band
                .pieces_along(start, along)
                .into_iter()
                .map(|(a, b)| (a.max(0.0), b.min(span)))
                .filter(|(a, b)| a < b)
                .collect();
            if over.is_empty() {
                continue;
            }
            let top = |it: &LinePoint| Some((place(it), ground.height(place(it))?.0 + it.height));
            let wire = match (top(from), top(to), line.sag, line.lowest) {
                (Some(a), Some(b), Some(sag), _) => Some(Wire::with_sag(a, b, sag)),
                (Some(a), Some(b), None, Some(lowest)) => {
                    Wire::with_lowest(a, b, lowest, |at| ground.height(at).map(|it| it.0))
                }
                _ => None,
            };
            for piece in over {
                let least = wire
                    .as_ref()
                    .and_then(|wire| under_wire(ground, wire, (start, along), span, piece));
                found.take(least, "a wire hangs over it whose height is not known");
            }
        }
    }
    found
}

/// What is left under a piece of a wire, from one distance along its span to another, metres;
/// `None` where any of the ground beneath is not surveyed.
pub(super) fn under_wire(
    ground: &Ground,
    wire: &Wire,
    (start, along): (Point, Step),
    span: f64,
    (from, to): (f64, f64),
) -> Option<f64> {
    let section = ground.section(start + along * from, start + along * to);
    if !section.gaps().is_empty() {
        return None;
    }
    let places = section
        .stretches
        .iter()
        .flat_map(|stretch| stretch.windows(2));
    let least = places.filter_map(|pair| {
        let [a, b] = pair else { return None };
        let share = |distance: f64| ((from + distance) / span).clamp(0.0, 1.0);
        let shares = (share(a.distance), share(b.distance));
        Some(wire.least_above(shares, (a.elevation.0, b.elevation.0)))
    });
    least.reduce(f64::min)
}

/// The highest ground beneath what a convex outline covers of a band; `None` where any of that
/// is not surveyed.
fn highest_beneath(ground: &Ground, outline: &[Point], path: &[Point], width: f64) -> Option<f64> {
    let half = width / 2.0;
    let mut highest: Option<f64> = None;
    for side in path.windows(2) {
        let &[from, to] = side else { continue };
        let Some(along) = (to - from).try_normalize(0.0) else {
            continue;
        };
        let left = Step::new(-along.y, along.x);
        // The band's side with square ends half a width beyond, which hold its round corners.
        let walls = [
            (from - along * half, -along),
            (to + along * half, along),
            (from + left * half, left),
            (from - left * half, -left),
        ];
        let mut covered = outline.to_vec();
        for (at, outwards) in walls {
            covered = cut(&covered, at, outwards);
        }
        if covered.len() > 2 {
            let here = ground.highest_within(&covered)?;
            highest = Some(highest.map_or(here, |it| it.max(here)));
        }
    }
    highest
}

/// What is left of a convex outline on the inner side of a wall (Sutherland & Hodgman, 1974).
fn cut(outline: &[Point], at: Point, outwards: Step) -> Vec<Point> {
    let beyond = |p: &Point| (p - at).dot(&outwards);
    let next = outline.iter().cycle().skip(1);
    let mut left = Vec::new();
    for (from, to) in outline.iter().zip(next) {
        let (a, b) = (beyond(from), beyond(to));
        if a <= 0.0 {
            left.push(*from);
        }
        if (a < 0.0 && b > 0.0) || (a > 0.0 && b < 0.0) {
            left.push(from + (to - from) * (a / (a - b)));
        }
    }
    left
}
