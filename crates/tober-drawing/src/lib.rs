//! Draws an [`Assessment`] as a plan view, in SVG.
//!
//! North is up. From the ground upwards: the lot and its surfaces, contours and spot levels,
//! features, then each ride with its fence, its envelope and its feet, and over all of it a
//! dimension line on the tightest clearance of each ride. A verdict is always a word and a
//! shape as well as a colour.
//!
//! ```text
//! Site + Assessment + PlanOptions ──► plan_svg   a whole document: terminal, sheet, README
//!                                └──► layers     fragments: a page redraws only the rides
//! ```
//!
//! Beside the plan there is the [`side_view`] of one clearance, the [`load_bar`] of one foot and
//! the [`load_plan`] of all.
//!
//! The same input gives the same bytes everywhere. Every name in a site is someone's typing:
//! all of it is escaped.

#![deny(missing_docs)]

mod backdrop;
mod cord;
mod dimension;
mod features;
mod furniture;
mod labels;
mod loads;
mod profile;
mod ride;
mod side;
mod svg;
mod terrain;
mod verdict;
mod window;
mod words;

pub use backdrop::Backdrop;
pub use loads::{load_bar, load_limit, load_plan, load_scale};
pub use profile::{describe_section, section_view};
pub use side::{Pair, describe_side, side_svg, side_view};
pub use terrain::Terrain;
pub use verdict::mark_svg;
pub use window::{Px, Window};
pub use words::{describe, surface_word, title};

use tober::assess::Assessment;
use tober::site::Site;

use svg::Svg;
use window::View;

/// The look of a plan: the stylesheet for its classes, light. [`plan_svg`] carries it inside;
/// a page links it, and may darken it.
pub const STYLE: &str = include_str!("plan.css");

/// What part of a site is drawn, and how large.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlanOptions {
    /// Width of the drawing, CSS pixels.
    pub width: f64,
    /// Height of the drawing, CSS pixels.
    pub height: f64,
    /// Which part of the lot is looked at.
    pub window: Window,
    /// The ride that is being worked on, by its place in the list: drawn over the others, with
    /// a handle to turn it by.
    pub selected: Option<usize>,
    /// The clearance row of the selected ride that a person has picked: its dimension line is
    /// drawn, strongly, in place of the tightest one's.
    pub picked: Option<usize>,
}

impl PlanOptions {
    /// The whole lot, in a drawing of that size, nothing selected.
    pub fn fit(site: &Site, width: f64, height: f64) -> PlanOptions {
        PlanOptions {
            width,
            height,
            window: Window::fit(site, width, height),
            selected: None,
            picked: None,
        }
    }

    fn view(&self) -> View {
        View::new(self.window, self.width, self.height)
    }
}

/// The parts of a plan view as fragments of SVG, the lowest first.
#[derive(Clone, Debug, PartialEq)]
pub struct Layers {
    /// Lot, ground and features: changes with the site and the window.
    pub backdrop: String,
    /// The rides and their dimension lines: changes with every move.
    pub rides: String,
    /// North arrow and scale bar.
    pub furniture: String,
}

/// Draws the parts of a plan view.
///
/// A ride's group carries `data-ride` with its place in the list; the handle that turns the
/// selected one carries `data-handle="turn"` as well. What is above the rides takes no clicks.
pub fn layers(site: &Site, assessment: &Assessment, options: &PlanOptions) -> Layers {
    let backdrop = Backdrop::draw(site, &Terrain::of(site), options);
    Layers {
        rides: rides(assessment, options, &backdrop),
        backdrop: backdrop.into_svg(),
        furniture: furniture(site, options),
    }
}

/// Draws the rides over a backdrop that was drawn for the same window: what a page calls at
/// every step of a drag.
pub fn rides(assessment: &Assessment, options: &PlanOptions, backdrop: &Backdrop) -> String {
    let mut svg = Svg::new();
    ride::draw_all(&mut svg, assessment, options, backdrop.labels());
    svg.into_string()
}

/// Draws the north arrow and the scale bar.
pub fn furniture(site: &Site, options: &PlanOptions) -> String {
    let mut svg = Svg::new();
    furniture::draw(&mut svg, site.file().units, &options.view());
    svg.into_string()
}

/// Draws a plan view as a whole SVG document that carries its own style.
pub fn plan_svg(site: &Site, assessment: &Assessment, options: &PlanOptions) -> String {
    let layers = layers(site, assessment, options);
    let mut svg = Svg::new();
    svg.element("svg")
        .attr("xmlns", "http://www.w3.org/2000/svg")
        .attr("class", "plan")
        .px("width", options.width)
        .px("height", options.height)
        .attr(
            "viewBox",
            &format!("0 0 {:.0} {:.0}", options.width, options.height),
        )
        .attr("role", "img")
        .attr("aria-labelledby", "plan-title plan-description")
        .children(|svg| {
            svg.element("title")
                .attr("id", "plan-title")
                .text(&title(assessment));
            svg.element("desc")
                .attr("id", "plan-description")
                .text(&describe(assessment));
            svg.element("style").text(STYLE);
            svg.append(&layers.backdrop);
            svg.append(&layers.rides);
            svg.append(&layers.furniture);
        });
    svg.into_string()
}
