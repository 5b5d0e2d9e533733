//! What lies under the rides: paper, lot, surfaces, contours, features.

use tober::site::{Site, Surface};

use crate::labels::{Labels, short, text_width};
use crate::svg::{PathData, Svg};
use crate::terrain::{self, Terrain, centroid};
use crate::window::{Px, View};
use crate::words::surface_word;
use crate::{PlanOptions, features, furniture};

/// Everything under the rides, drawn for one window, and the places its words take.
#[derive(Clone, Debug, PartialEq)]
pub struct Backdrop {
    svg: String,
    labels: Labels,
}

impl Backdrop {
    /// Draws the lot, its ground and its features.
    pub fn draw(site: &Site, terrain: &Terrain, options: &PlanOptions) -> Backdrop {
        let view = options.view();
        let mut svg = Svg::new();
        let mut labels = furniture::reserved(site.file().units, &view);
        definitions(&mut svg, site, &view);
        svg.group("backdrop", |svg| {
            paper(svg, site, &view);
            features::flat(svg, site, &view);
            terrain::contours(svg, &mut labels, site, terrain, &view);
            terrain::breaklines(svg, site, &view);
            if !view.is_crowded() {
                grid(svg, site, &view);
            }
            terrain::unsurveyed(svg, site, &view);
            lot_line(svg, site, &view);
            features::standing(svg, &mut labels, site, &view);
            if !view.is_crowded() {
                zone_labels(svg, &mut labels, site, &view);
                terrain::shots(svg, &mut labels, site, terrain, &view);
            }
            terrain::groundwork(svg, &mut labels, site, &view);
            terrain::unsurveyed_words(svg, &mut labels, site, &view);
        });
        Backdrop {
            svg: svg.into_string(),
            labels,
        }
    }

    /// The fragment.
    pub fn svg(&self) -> &str {
        &self.svg
    }

    pub(crate) fn into_svg(self) -> String {
        self.svg
    }

    pub(crate) fn labels(&self) -> &Labels {
        &self.labels
    }
}

/// A hatch: id, size of its tile in pixels, and what is drawn on a tile.
struct Hatch {
    id: &'static str,
    tile: f64,
    d: &'static str,
}

const HATCHES: [Hatch; 7] = [
    Hatch {
        id: "tober-unsurveyed",
        tile: 9.0,
        d: "M-1 1L1 -1M-1 10L10 -1M8 10L10 8",
    },
    Hatch {
        id: "tober-building",
        tile: 7.0,
        d: "M-1 6L1 8M-1 -1L8 8M6 -1L8 1",
    },
    Hatch {
        id: "tober-gravel",
        tile: 22.0,
        d: "M3 5h1.2M14 3h1.2M8 12h1.2M19 10h1.2M3 18h1.2M14 19h1.2",
    },
    Hatch {
        id: "tober-sand",
        tile: 16.0,
        d: "M3 4h.9M11 12h.9",
    },
    Hatch {
        id: "tober-clay",
        tile: 20.0,
        d: "M2 6h6M12 16h6",
    },
    Hatch {
        id: "tober-grass",
        tile: 34.0,
        d: "M6 10l-1.5-4M7 10v-5M8 10l1.5-4M23 27l-1.5-4M24 27v-5M25 27l1.5-4",
    },
    Hatch {
        id: "tober-soft",
        tile: 18.0,
        d: "M1 6q2-3 4 0t4 0M10 15q2-3 4 0t4 0",
    },
];

/// Hatches and the clip to the lot. Hatches move with the paper, so that nothing swims while
/// the window is dragged.
fn definitions(svg: &mut Svg, site: &Site, view: &View) {
    let origin = view.px(tober::Point::origin());
    svg.element("defs").children(|svg| {
        for hatch in &HATCHES {
            let (dx, dy) = (
                origin.x.rem_euclid(hatch.tile),
                origin.y.rem_euclid(hatch.tile),
            );
            svg.element("pattern")
                .attr("id", hatch.id)
                .px("width", hatch.tile)
                .px("height", hatch.tile)
                .attr("patternUnits", "userSpaceOnUse")
                .attr("patternTransform", &format!("translate({dx:.1} {dy:.1})"))
                .children(|svg| {
                    svg.element("path")
                        .attr("class", "hatch")
                        .attr("d", hatch.d)
                        .end();
                });
        }
        svg.element("clipPath")
            .attr("id", "tober-lot")
            .children(|svg| {
                let mut path = PathData::new();
                path.ring(view.all_px(&site.file().lot.boundary));
                svg.element("path").attr("d", path.as_str()).end();
            });
    });
}

fn paper(svg: &mut Svg, site: &Site, view: &View) {
    let middle = Px::new(view.width / 2.0, view.height / 2.0);
    svg.rect("outside", middle, view.width, view.height);
    let mut lot = PathData::new();
    lot.ring(view.all_px(&site.file().lot.boundary));
    svg.path("lot", &lot);
    for zone in &site.file().features.ground_zones {
        let mut ring = PathData::new();
        ring.ring(view.all_px(&zone.outline));
        // The tint, then the hatch over it: a surface is told by its pattern, not by its colour.
        svg.path(zone_class(zone.surface), &ring);
        if zone.surface != Surface::Pavement {
            svg.path(&format!("{}-hatch", zone_class(zone.surface)), &ring);
        }
    }
}

fn zone_class(surface: Surface) -> &'static str {
    match surface {
        Surface::Pavement => "pavement",
        Surface::Gravel => "gravel",
        Surface::Sand => "sand",
        Surface::Clay => "clay",
        Surface::Grass => "grass",
        Surface::SoftOrFill => "soft",
    }
}

fn zone_labels(svg: &mut Svg, labels: &mut Labels, site: &Site, view: &View) {
    for zone in &site.file().features.ground_zones {
        let surface = surface_word(zone.surface);
        let text = match zone.name.as_str() {
            "" => surface.to_owned(),
            name => format!("{} ({surface})", short(name)),
        };
        let middle = view.px(centroid(&zone.outline));
        let width = text_width(&text, 12.0);
        let corners = zone.outline.iter().map(|&corner| {
            let corner = view.px(corner);
            Px::new(
                corner.x + (middle.x - corner.x) * 0.22,
                corner.y + (middle.y - corner.y) * 0.16,
            )
        });
        if let Some(at) = labels.place(view, corners.chain([middle]), width + 6.0, 16.0) {
            svg.text("label zone", Px::new(at.x, at.y + 4.0), &text);
        }
    }
}

/// Small crosses at round coordinates, so that the eye can judge distances anywhere.
fn grid(svg: &mut Svg, site: &Site, view: &View) {
    let unit = if site.file().units.is_metric() {
        1.0
    } else {
        0.3048
    };
    let Some(step) = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0]
        .into_iter()
        .map(|step| step * unit)
        .find(|&step| view.length(step) >= 64.0)
    else {
        return;
    };
    let low = view.lot(Px::new(0.0, view.height));
    let high = view.lot(Px::new(view.width, 0.0));
    let lines = |low: f64, high: f64| (low / step).ceil() as i64..=(high / step).floor() as i64;
    let mut path = PathData::new();
    for east in lines(low.x, high.x) {
        for north in lines(low.y, high.y) {
            let at = view.px(tober::Point::new(east as f64 * step, north as f64 * step));
            path.stroke(Px::new(at.x - 2.5, at.y), Px::new(at.x + 2.5, at.y))
                .stroke(Px::new(at.x, at.y - 2.5), Px::new(at.x, at.y + 2.5));
        }
    }
    svg.element("path")
        .attr("class", "grid")
        .attr("clip-path", "url(#tober-lot)")
        .attr("d", path.as_str())
        .end();
}

/// The lot line as surveyors draw it: a long dash and two short ones, posts at its corners.
fn lot_line(svg: &mut Svg, site: &Site, view: &View) {
    let boundary = &site.file().lot.boundary;
    let mut line = PathData::new();
    line.ring(view.all_px(boundary));
    svg.path("lot-line", &line);
    for corner in view.all_px(boundary).filter(|&at| view.shows(at, 4.0)) {
        svg.circle("lot-corner", corner, 2.5);
    }
}
