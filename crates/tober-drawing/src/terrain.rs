//! The ground on the drawing: contours, spot levels, and where nobody has surveyed.

use std::collections::HashSet;

use tober::Point;
use tober::ground::{Contour, sensible_interval};
use tober::site::{Site, SpotLevel};

use crate::labels::{Labels, text_width, write_along};
use crate::svg::{PathData, Svg};
use crate::window::{Px, View};

/// The ground of a site, worked out once and drawn in every window.
#[derive(Clone, Debug)]
pub struct Terrain {
    contours: Vec<Contour>,
    /// Every shot of the ground but those of the breaklines: field books give some of them.
    shots: Vec<SpotLevel>,
    /// Decimals that tell one contour from the next in the site's unit.
    decimals: usize,
}

const FOOT: f64 = 0.3048;
const SMALL_TEXT: f64 = 11.0;
/// Closer together than this, points of a contour make no difference, pixels.
const CONTOUR_STEP: f64 = 1.5;
/// Marks of spot levels stand at least this far apart, pixels.
const MARK_CELL: f64 = 34.0;
/// Their values are written from this scale on, metres for a pixel.
const VALUES_FROM: f64 = 0.045;

impl Terrain {
    /// Works out the contours of a site's ground, at an interval that suits its range.
    pub fn of(site: &Site) -> Terrain {
        let ground = site.ground();
        let metric = site.file().units.is_metric();
        let range = match (ground.lowest(), ground.highest()) {
            (Some(lowest), Some(highest)) => highest - lowest,
            _ => 0.0,
        };
        let interval = sensible_interval(range, metric);
        let shown = if metric { interval } else { interval / FOOT };
        let decimals = (0..3)
            .find(|&decimals| {
                let scaled = shown * f64::from(10_u32.pow(decimals));
                (scaled - scaled.round()).abs() < 1e-6
            })
            .unwrap_or(3);
        Terrain {
            contours: ground.contours(interval),
            shots: site.shots(),
            decimals: decimals as usize,
        }
    }
}

/// A height as surveyors write it: metres, or decimal feet, without a unit.
fn level_text(metres: f64, metric: bool, decimals: usize) -> String {
    let value = if metric { metres } else { metres / FOOT };
    format!("{value:.decimals$}")
}

/// Hatches what lies on the lot but outside the survey.
pub(crate) fn unsurveyed(svg: &mut Svg, site: &Site, view: &View) {
    let outline = site.ground().outline();
    let mut path = PathData::new();
    path.ring([
        Px::new(0.0, 0.0),
        Px::new(view.width, 0.0),
        Px::new(view.width, view.height),
        Px::new(0.0, view.height),
    ])
    .ring(view.all_px(outline));
    svg.element("path")
        .attr("class", "unsurveyed")
        .attr("fill-rule", "evenodd")
        .attr("clip-path", "url(#tober-lot)")
        .attr("d", path.as_str())
        .end();
    let mut line = PathData::new();
    line.ring(view.all_px(outline));
    svg.path("survey-edge", &line);
}

/// Says of the hatched ground that nobody has surveyed it, where there is room for the words.
pub(crate) fn unsurveyed_words(svg: &mut Svg, labels: &mut Labels, site: &Site, view: &View) {
    let outline = site.ground().outline();
    const WORDS: &str = "not surveyed";
    let boundary = &site.file().lot.boundary;
    let width = text_width(WORDS, SMALL_TEXT);
    // The middle of each side of the lot, drawn in a little: the likeliest places for it.
    let sides = boundary
        .iter()
        .zip(boundary.iter().cycle().skip(1))
        .take(24)
        .map(|(a, b)| middle(*a, *b));
    let inwards = sides.flat_map(|side| {
        [0.04, 0.08, 0.14].map(|share| {
            let centre = view.px(centroid(boundary));
            let side = view.px(side);
            Px::new(
                side.x + (centre.x - side.x) * share,
                side.y + (centre.y - side.y) * share,
            )
        })
    });
    let free: Vec<Px> = inwards
        .filter(|&at| {
            let reach = width / 2.0;
            [-reach, 0.0, reach].iter().all(|&dx| {
                [-7.0, 7.0].iter().all(|&dy| {
                    let place = view.lot(Px::new(at.x + dx, at.y + dy));
                    inside(boundary, place) && !inside(outline, place)
                })
            })
        })
        .collect();
    if let Some(at) = labels.place(view, free, width + 6.0, 16.0) {
        svg.text("label small", Px::new(at.x, at.y + 4.0), WORDS);
    }
}

/// Draws the contours with their heights.
pub(crate) fn contours(
    svg: &mut Svg,
    labels: &mut Labels,
    site: &Site,
    terrain: &Terrain,
    view: &View,
) {
    let metric = site.file().units.is_metric();
    let mut path = PathData::new();
    let mut words = Svg::new();
    for contour in &terrain.contours {
        let mut longest: Option<(f64, Vec<Px>)> = None;
        for line in &contour.lines {
            let run = thinned(view, line);
            if run.len() < 2 || !view.shows_any(&run, 0.0) {
                continue;
            }
            path.run(run.iter().copied());
            let length = seen_length(view, &run);
            if longest.as_ref().is_none_or(|(most, _)| length > *most) {
                longest = Some((length, run));
            }
        }
        if let Some((length, run)) = longest
            && length > 90.0
            && !view.is_crowded()
        {
            let text = level_text(contour.elevation.0, metric, terrain.decimals);
            let lot = &site.file().lot.boundary;
            contour_label(&mut words, labels, view, lot, &run, &text);
        }
    }
    svg.element("path")
        .attr("class", "contour")
        .attr("clip-path", "url(#tober-lot)")
        .attr("d", path.as_str())
        .end();
    svg.append(&words.into_string());
}

/// Writes a contour's height on it, along the line, right way up.
fn contour_label(
    svg: &mut Svg,
    labels: &mut Labels,
    view: &View,
    lot: &[Point],
    run: &[Px],
    text: &str,
) {
    let size = text_width(text, SMALL_TEXT) + 6.0;
    let pieces: Vec<(Px, Px)> = run
        .iter()
        .zip(run.iter().skip(1))
        .map(|(a, b)| (*a, *b))
        .filter(|(a, b)| view.shows(*a, 0.0) && view.shows(*b, 0.0))
        .filter(|(a, b)| inside(lot, view.lot(a.middle(*b))))
        .collect();
    let candidates = [0.5, 0.3, 0.7, 0.15, 0.85].into_iter().filter_map(|share| {
        let &(a, b) = pieces.get((pieces.len() as f64 * share) as usize)?;
        Some((a.middle(b), a.towards(b)?))
    });
    if let Some((at, along)) = labels.place_along(view, candidates, size, 14.0) {
        write_along(svg, "label contour-level", at, along, text);
    }
}

/// Draws the lines along which the slope breaks.
pub(crate) fn breaklines(svg: &mut Svg, site: &Site, view: &View) {
    let mut path = PathData::new();
    for line in &site.file().breaklines {
        let points = line.points.iter();
        path.run(points.map(|shot| view.px(Point::new(shot.x, shot.y))));
    }
    svg.path("breakline", &path);
}

/// Draws the shots, thinned where they stand close, with their heights when near enough.
pub(crate) fn shots(
    svg: &mut Svg,
    labels: &mut Labels,
    site: &Site,
    terrain: &Terrain,
    view: &View,
) {
    let metric = site.file().units.is_metric();
    let values = view.metres_per_px() < VALUES_FROM;
    let mut cells = HashSet::new();
    let mut marks = PathData::new();
    let mut words = Svg::new();
    for shot in &terrain.shots {
        let at = view.px(Point::new(shot.x, shot.y));
        let cell = ((at.x / MARK_CELL) as i64, (at.y / MARK_CELL) as i64);
        if !view.shows(at, 0.0) || !cells.insert(cell) {
            continue;
        }
        marks
            .stroke(Px::new(at.x - 3.0, at.y), Px::new(at.x + 3.0, at.y))
            .stroke(Px::new(at.x, at.y - 3.0), Px::new(at.x, at.y + 3.0));
        if values {
            let text = level_text(shot.elevation.0, metric, 2);
            let width = text_width(&text, SMALL_TEXT);
            let beside = [
                Px::new(at.x + 6.0 + width / 2.0, at.y - 6.0),
                Px::new(at.x - 6.0 - width / 2.0, at.y + 7.0),
            ];
            if let Some(place) = labels.place(view, beside, width + 4.0, 12.0) {
                words.text("label spot-level", Px::new(place.x, place.y + 4.0), &text);
            }
        }
    }
    svg.path("spot", &marks);
    svg.append(&words.into_string());
}

/// Draws the holes and mounds under supports, with what was dug or built.
pub(crate) fn groundwork(svg: &mut Svg, labels: &mut Labels, site: &Site, view: &View) {
    let style = site.file().units;
    for work in &site.file().groundwork {
        let at = view.px(work.at());
        let radius = view.length(work.radius);
        if !view.shows(at, radius) {
            continue;
        }
        svg.circle("groundwork", at, radius);
        let what = if work.by < 0.0 { "dug" } else { "built up" };
        let text = format!("{what} {}", style.format(work.by.abs()));
        let width = text_width(&text, SMALL_TEXT) + 4.0;
        let beside = [
            Px::new(at.x, at.y + radius + 10.0),
            Px::new(at.x, at.y - radius - 8.0),
        ];
        if let Some(place) = labels.place(view, beside, width, 12.0) {
            svg.text("label spot-level", Px::new(place.x, place.y + 4.0), &text);
        }
    }
}

/// A contour line in pixels, without points that make no difference.
fn thinned(view: &View, line: &[Point]) -> Vec<Px> {
    let mut run: Vec<Px> = Vec::with_capacity(line.len().min(256));
    for (index, at) in view.all_px(line).enumerate() {
        let last = index + 1 == line.len();
        if run
            .last()
            .is_none_or(|before| last || before.distance(at) > CONTOUR_STEP)
        {
            run.push(at);
        }
    }
    run
}

/// How much of a line is on the drawing, pixels.
fn seen_length(view: &View, run: &[Px]) -> f64 {
    run.iter()
        .zip(run.iter().skip(1))
        .filter(|(a, b)| view.shows(**a, 0.0) && view.shows(**b, 0.0))
        .map(|(a, b)| a.distance(*b))
        .sum()
}

fn middle(a: Point, b: Point) -> Point {
    a + (b - a) / 2.0
}

/// The mean of the corners: good enough to stand a label by.
pub(crate) fn centroid(places: &[Point]) -> Point {
    let count = places.len().max(1) as f64;
    let x = places.iter().map(|place| place.x).sum::<f64>() / count;
    let y = places.iter().map(|place| place.y).sum::<f64>() / count;
    Point::new(x, y)
}

/// Whether a place lies inside a ring, by the crossings of a ray.
fn inside(ring: &[Point], at: Point) -> bool {
    ring.iter()
        .zip(ring.iter().cycle().skip(1))
        .filter(|(a, b)| {
            (a.y > at.y) != (b.y > at.y) && at.x < a.x + (b.x - a.x) * (at.y - a.y) / (b.y - a.y)
        })
        .count()
        % 2
        == 1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_inside_or_outside_a_ring() {
        let ring = [
            Point::new(0.0, 0.0),
            Point::new(4.0, 0.0),
            Point::new(4.0, 4.0),
            Point::new(0.0, 4.0),
        ];
        assert!(inside(&ring, Point::new(1.0, 3.0)));
        assert!(!inside(&ring, Point::new(5.0, 3.0)));
        assert!(!inside(&[], Point::new(5.0, 3.0)));
    }

    #[test]
    fn heights_are_written_as_surveyors_do() {
        assert_eq!(level_text(30.48, false, 1), "100.0");
        assert_eq!(level_text(30.48, true, 2), "30.48");
    }
}
