//! A side view of one clearance: the ride or the thing of the lot, what is beside it, the ground below both, and the
//! distance between them as it is judged.
//!
//! # Picture
//!
//! An upright cut through the two nearest places, at one scale both ways; heights are true:
//!
//! ```text
//!        ╱▔▔▔╲   dimension     ·  wire, seen along the ground
//!       │ ride │<───────────>  ·
//!        ╲___╱                 ▒ canopy, building, walkway with its headroom
//!     ▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁ ground, where it is surveyed
//! ```
//!
//! A dashed line says how near the ride may come: upright where the rule counts in plan, a circle
//! about the other side's nearest place where it counts through the air.

use std::borrow::Cow;

use tober::assess::{Assessment, RideAssessment, Verdict, parts_of};
use tober::clearance::{
    Against, Asks, ClearanceRow, Measure, Part, Piece, Upright, WayKind, cut_feature, cut_near,
    cut_ride,
};
use tober::compass::Wind;
use tober::envelope::Heights;
use tober::site::Site;
use tober::units::LengthStyle;
use tober::{Point, Step};

use crate::labels::{Area, Labels, around, bold_width, short, text_width};
use crate::svg::{PathData, Svg};
use crate::window::{Px, View, Window};
use crate::{STYLE, cord, dimension, furniture, verdict};

/// How high something is drawn of which no height is known, metres.
const UNTOLD: f64 = 2.5;
/// Room at the foot for the scale, and at the other edges, pixels.
const FOOT: f64 = 40.0;
const EDGE: f64 = 14.0;
/// How much is shown beyond the other side's nearest place, metres, at most.
const BEYOND: f64 = 4.0;

/// How near a thing comes to a narrow place to be shown beside it, metres.
const NEAR: f64 = 3.0;

/// Which clearance is looked at, by places in the lists of the assessment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pair {
    /// A distance of a ride.
    Ride {
        /// The ride.
        ride: usize,
        /// The row, among its own.
        row: usize,
    },
    /// A distance between two things of the lot.
    Lot(usize),
    /// A narrow place of a walkway or a fire lane.
    Pinch {
        /// The way.
        way: usize,
        /// The narrow place, among its own.
        pinch: usize,
    },
    /// The narrowest place from gate to gate.
    Passage(usize),
    /// A power cord, along its way.
    Cord(usize),
}

/// What a pair is about.
struct Seen<'a> {
    /// The ride whose distance it is, with its place in the list.
    ride: Option<(usize, &'a RideAssessment)>,
    /// Whose distance it is.
    whose: String,
    row: Cow<'a, ClearanceRow>,
    /// The feature that it is measured from.
    own: Option<(Against, &'a str)>,
    /// Whether it is a gap between whatever stands there, which is then all shown.
    gap: bool,
}

impl<'a> Seen<'a> {
    fn of(assessment: &'a Assessment, pair: Pair) -> Option<Seen<'a>> {
        match pair {
            Pair::Ride { ride: index, row } => {
                let ride = assessment.rides.get(index)?;
                let row = ride.clearances.get(row)?;
                Some(Seen {
                    ride: Some((index, ride)),
                    whose: format!("{} of {}", row.part.words(), ride.name),
                    row: Cow::Borrowed(row),
                    own: None,
                    gap: false,
                })
            }
            Pair::Lot(index) => {
                let found = assessment.lot_clearances.get(index)?;
                let kind = match found.row.part {
                    Part::Fuel => Against::FuelStore,
                    Part::Power => Against::PowerSource,
                    _ => Against::Building,
                };
                Some(Seen {
                    ride: None,
                    whose: found.name.clone(),
                    row: Cow::Borrowed(&found.row),
                    own: Some((kind, &found.id)),
                    gap: false,
                })
            }
            Pair::Pinch { way: index, pinch } => {
                let way = assessment.ways.get(index)?;
                let pinch = way.pinches.get(pinch)?;
                let against = match way.kind {
                    WayKind::Walkway => Against::Walkway,
                    WayKind::FireLane => Against::FireLane,
                };
                let row = gap(against, pinch.between, pinch.clear, way.width_required);
                Some(Seen::gap(way.name.clone(), &pinch.by, row))
            }
            Pair::Passage(index) => {
                let passage = assessment.passages.get(index)?;
                let (between, width) = (passage.narrowest?, passage.width?);
                let row = gap(Against::Gate, between, width, passage.required);
                let whose = format!("from {} to {}", passage.names.0, passage.names.1);
                Some(Seen::gap(whose, &passage.between, row))
            }
            // Not between two places: see [`crate::cord`].
            Pair::Cord(_) => None,
        }
    }

    fn gap(whose: String, by: &[String], mut row: ClearanceRow) -> Seen<'a> {
        row.against_name = by.join(" and ");
        Seen {
            ride: None,
            whose,
            row: Cow::Owned(row),
            own: None,
            gap: true,
        }
    }
}

/// The width left between two places, as a row.
fn gap(against: Against, (from, to): (Point, Point), clear: f64, required: f64) -> ClearanceRow {
    let margin = clear - required;
    ClearanceRow {
        part: Part::Standing,
        space: String::new(),
        against,
        against_id: String::new(),
        against_name: String::new(),
        measure: Measure::Horizontal,
        value: Some(clear),
        required,
        margin: Some(margin),
        rule: String::new(),
        also: Vec::new(),
        asks: Asks::Access,
        horizontal: Some(clear),
        through_air: None,
        from,
        to,
        from_height: None,
        to_height: None,
        verdict: if margin >= 0.0 {
            Verdict::Pass
        } else {
            Verdict::Fail
        },
        note: String::new(),
    }
}

/// Draws a side view as an SVG element for a page that links [`STYLE`]. `None` when there is no
/// such row.
pub fn side_view(
    site: &Site,
    assessment: &Assessment,
    pair: Pair,
    (width, height): (f64, f64),
) -> Option<String> {
    draw(site, assessment, pair, (width, height), false)
}

/// Draws a side view as a whole SVG document that carries its own style.
pub fn side_svg(
    site: &Site,
    assessment: &Assessment,
    pair: Pair,
    (width, height): (f64, f64),
) -> Option<String> {
    draw(site, assessment, pair, (width, height), true)
}

/// A side view in words, for those who do not see it.
pub fn describe_side(site: &Site, assessment: &Assessment, pair: Pair) -> Option<String> {
    if let Pair::Cord(index) = pair {
        return cord::describe(site, assessment, index);
    }
    let seen = Seen::of(assessment, pair)?;
    let row = seen.row.as_ref();
    let style = assessment.units;
    let mut words = format!(
        "Side view, looking {}: {} {} {}: {}.",
        looking(&plane(&seen)),
        seen.whose,
        if seen.gap { "beside" } else { "to" },
        other_name(row),
        dimension::sentence(row, style)
    );
    let own = if seen.ride.is_some() {
        "of the ride"
    } else {
        "of this side"
    };
    for (whose, at, height) in [
        (own, row.from, row.from_height),
        ("of the other side", row.to, row.to_height),
    ] {
        let ground = site.ground().height(at);
        if let (Some(height), Some(ground)) = (height, ground) {
            let above = style.format(height - ground.0);
            words += &format!(" The nearest place {whose} is {above} above the ground.");
        }
    }
    Some(words)
}

fn draw(
    site: &Site,
    assessment: &Assessment,
    pair: Pair,
    (width, height): (f64, f64),
    alone: bool,
) -> Option<String> {
    let words = describe_side(site, assessment, pair)?;
    let seen = Seen::of(assessment, pair);
    let scene = seen.map(|seen| Scene::new(site, assessment, seen));
    let mut svg = Svg::new();
    let mut root = svg.element("svg");
    if alone {
        root = root.attr("xmlns", "http://www.w3.org/2000/svg");
    }
    root.attr("class", "plan side")
        .px("width", width)
        .px("height", height)
        .attr("viewBox", &format!("0 0 {width:.0} {height:.0}"))
        .attr("role", "img")
        .attr("aria-label", &words)
        .children(|svg| {
            if alone {
                svg.element("style").text(STYLE);
            }
            match (&scene, pair) {
                (Some(scene), _) => scene.draw(svg, &scene.view(width, height)),
                (None, Pair::Cord(index)) => {
                    cord::draw(svg, site, assessment, index, (width, height));
                }
                _ => {}
            }
        });
    Some(svg.into_string())
}

/// The cut through a row's two nearest places, the ride on the left.
fn plane(seen: &Seen<'_>) -> Upright {
    let row = seen.row.as_ref();
    let hub = seen.ride.map(|(_, ride)| ride.placement.hub());
    let from_hub = hub.map(|hub| [row.to - hub, row.from - hub]);
    let along = std::iter::once(row.to - row.from)
        .chain(from_hub.into_iter().flatten())
        .find_map(|way| way.try_normalize(1e-3))
        .unwrap_or_else(|| Step::new(1.0, 0.0));
    Upright {
        at: row.from,
        along,
    }
}

/// Which way one looks onto a cut.
fn looking(cut: &Upright) -> &'static str {
    // To the left of the way along the cut.
    let (east, north) = (-cut.along.y, cut.along.x);
    Wind::nearest(libm::atan2(east, north).to_degrees()).words()
}

fn other_name(row: &ClearanceRow) -> String {
    match row.against_name.as_str() {
        "" => "lot line".to_owned(),
        name => short(name),
    }
}

/// A feature in the cut.
struct Feature {
    against: Against,
    /// Headroom asked for over it, metres.
    headroom: Option<f64>,
    pieces: Vec<Piece>,
}

/// A ride in the cut.
struct Shown {
    parts: Vec<(Part, Vec<Piece>)>,
    fence: f64,
    class: String,
}

/// How a piece looks: its class, and the headroom asked for over it.
type Look<'a> = (&'a str, Option<f64>);

/// What is drawn, in metres: along the cut and up.
struct Scene<'a> {
    site: &'a Site,
    style: LengthStyle,
    seen: Seen<'a>,
    cut: Upright,
    /// The ride that is looked at comes last.
    rides: Vec<Shown>,
    features: Vec<Feature>,
    /// The row's places on the cut, as the dimension is drawn.
    from: Point,
    to: Point,
}

impl<'a> Scene<'a> {
    fn new(site: &'a Site, assessment: &'a Assessment, seen: Seen<'a>) -> Scene<'a> {
        let cut = plane(&seen);
        let row = seen.row.as_ref();
        let all = parts_of(site, assessment);
        let of_ride = |index: usize, space: &str, class: String| {
            let parts = cut_ride(all.get(index)?, &cut).into_iter();
            // Of what is there while building up, only what the row is about.
            let shown = parts.filter(|it| it.part != Part::BuildUp || it.space == space);
            Some(Shown {
                parts: shown.map(|it| (it.part, it.pieces)).collect(),
                fence: assessment.rides.get(index)?.fence.height,
                class,
            })
        };
        let others = assessment.rides.iter().enumerate();
        let others = others
            .filter(|(_, it)| seen.gap || row.against == Against::Ride && it.id == row.against_id);
        let mut rides: Vec<Shown> = others
            .filter_map(|(index, _)| of_ride(index, "", "side-other".to_owned()))
            .collect();
        if let Some((index, _)) = seen.ride {
            let class = format!("ride {}", verdict::class(row.verdict));
            rides.extend(of_ride(index, &row.space, class));
        }
        let found = if seen.gap {
            cut_near(site, &cut, (row.from, row.to), NEAR)
        } else {
            let other = (row.against, row.against_id.as_str());
            let both = seen.own.into_iter().chain([other]);
            let cut = |(against, id)| (against, cut_feature(site, against, id, &cut));
            both.map(cut).collect()
        };
        let features = found.into_iter().map(|(against, pieces)| {
            let rule = match against {
                Against::Walkway => "walkway-height",
                Against::FireLane => "fire-lane-height",
                _ => "",
            };
            let rule = assessment.rules.iter().find(|it| it.id == rule);
            Feature {
                against,
                headroom: rule.map(|rule| rule.required),
                pieces,
            }
        });
        let mut scene = Scene {
            site,
            style: assessment.units,
            cut,
            rides,
            features: features.collect(),
            seen,
            from: Point::origin(),
            to: Point::origin(),
        };
        scene.lay_dimension();
        scene
    }

    fn row(&self) -> &ClearanceRow {
        self.seen.row.as_ref()
    }

    fn ride(&self) -> Option<&'a RideAssessment> {
        self.seen.ride.map(|(_, ride)| ride)
    }

    /// The ride that is looked at, in the cut.
    fn own(&self) -> impl Iterator<Item = &(Part, Vec<Piece>)> {
        let last = self.seen.ride.and_then(|_| self.rides.last());
        last.into_iter().flat_map(|it| &it.parts)
    }

    /// Elevation of its datum plane; 0 where it is not known.
    fn datum(&self) -> f64 {
        let datum = self.ride().and_then(|ride| ride.envelope.datum);
        datum.map_or(0.0, |datum| datum.0)
    }

    fn ground(&self, s: f64) -> Option<f64> {
        self.site.ground().height(self.cut.place(s)).map(|it| it.0)
    }

    /// Elevation that stands in for the ground where it is not surveyed.
    fn base(&self) -> f64 {
        self.ground(0.0).unwrap_or(self.datum() - 0.8)
    }

    fn floor(&self, s: f64) -> f64 {
        self.ground(s).unwrap_or_else(|| self.base())
    }

    /// Where the dimension is drawn.
    fn lay_dimension(&mut self) {
        let row = self.row();
        let s = self.cut.s(row.to);
        let level = row.from_height.unwrap_or_else(|| match row.part {
            Part::Moving => self.widest().unwrap_or_else(|| self.base() + 1.5),
            _ => self.floor(0.0) + 1.0,
        });
        let there = match (row.measure, row.to_height) {
            (Measure::True, Some(height)) => height,
            // In plan: level.
            _ => level,
        };
        (self.from, self.to) = (Point::new(0.0, level), Point::new(s, there));
    }

    /// The height at which what moves reaches farthest to the right.
    fn widest(&self) -> Option<f64> {
        let moving = self.own().filter(|(part, _)| *part == Part::Moving);
        let places = moving.flat_map(|(_, pieces)| pieces).filter_map(|it| {
            let Piece::Swept(outline) = it else {
                return None;
            };
            outline.iter().max_by(|a, b| a.0.total_cmp(&b.0))
        });
        let farthest = places.max_by(|a, b| a.0.total_cmp(&b.0));
        farthest.map(|&(_, z)| z)
    }

    /// Everything that matters, as large as it goes.
    fn view(&self, width: f64, height: f64) -> View {
        let (low, high) = (self.from.x.min(self.to.x), self.from.x.max(self.to.x));
        let hub = self.ride().map(|ride| self.cut.s(ride.placement.hub()));
        let gap = high - low;
        // Without a ride, as much to the left as to the right.
        let beyond = (0.3 * gap).clamp(1.5, BEYOND);
        let left = hub.map_or(low - beyond, |hub| low.min(hub) - 0.6);
        let hub = hub.unwrap_or(low);
        let right = high.max(hub.min(high + 1.0)) + beyond;
        let floors = [left, 0.0, self.to.x, right].map(|s| self.floor(s));
        let floor = floors.into_iter().fold(f64::INFINITY, f64::min);
        // What is in the ground shows as well.
        let floor = self.underground().into_iter().fold(floor, f64::min);
        let top = self.ride().map_or(self.from.y + 1.0, |ride| {
            self.datum() + ride.envelope.heights().high
        });
        let pieces = self.features.iter().flat_map(|it| &it.pieces);
        let blocks = pieces.filter_map(|piece| match piece {
            Piece::Block { heights, .. } if heights.high.is_finite() => Some(heights.high),
            _ => None,
        });
        let highest = blocks
            .map(|high| high.min(top + BEYOND))
            .chain([self.from.y, self.to.y, top])
            .fold(floor + 3.0, f64::max);
        let (tall, long) = (highest + 0.9 - (floor - 0.4), right - left);
        let scale = f64::max(
            long / (width - 2.0 * EDGE).max(1.0),
            tall / (height - FOOT - EDGE).max(1.0),
        );
        // The ground lies low on the drawing, what is left of the height above it.
        let centre = Point::new(
            f64::midpoint(left, right),
            floor - 0.4 + scale * (height / 2.0 - FOOT),
        );
        let window = Window {
            centre,
            metres_per_px: scale,
        };
        View::new(window, width, height)
    }

    fn draw(&self, svg: &mut Svg, view: &View) {
        let middle = Px::new(view.width / 2.0, view.height / 2.0);
        svg.rect("side-air", middle, view.width, view.height);
        let mut labels = Labels::default();
        let foot = Px::new(view.width / 2.0, view.height - 14.0);
        labels.shut(Area::around(foot, view.width, 28.0));
        self.needed(svg, view);
        self.other_side(svg, view);
        for ride in &self.rides {
            self.whole_ride(svg, view, ride);
        }
        self.axis(svg, view);
        self.earth(svg, view);
        self.in_the_ground(svg, view);
        labels.take_stroke(view.px(self.from), view.px(self.to));
        self.needed_words(svg, view, &mut labels);
        self.heights(svg, view, &mut labels);
        self.names(svg, view, &mut labels);
        let row = ClearanceRow {
            from: self.from,
            to: self.to,
            ..self.row().clone()
        };
        dimension::draw(svg, &mut labels, view, &row, self.style, "picked");
        self.foot(svg, view);
    }

    /// The ground, where the survey tells of it.
    fn earth(&self, svg: &mut Svg, view: &View) {
        let (left, right) = (
            view.lot(Px::new(0.0, 0.0)).x,
            view.lot(Px::new(view.width, 0.0)).x,
        );
        let (from, to) = (self.cut.place(left), self.cut.place(right));
        let section = self.site.ground().section(from, to);
        let mut body = PathData::new();
        let mut line = PathData::new();
        for stretch in &section.stretches {
            let top: Vec<Px> = stretch
                .iter()
                .map(|point| view.px(Point::new(left + point.distance, point.elevation.0)))
                .collect();
            let (Some(first), Some(last)) = (top.first().copied(), top.last().copied()) else {
                continue;
            };
            line.run(top.iter().copied());
            let ends = [Px::new(last.x, view.height), Px::new(first.x, view.height)];
            body.ring(top.into_iter().chain(ends));
        }
        svg.path("side-ground", &body);
        svg.path("side-ground-line", &line);
        let mut untold = PathData::new();
        for (from, to) in section.gaps() {
            let at = |distance: f64| view.px(Point::new(left + distance, self.base()));
            untold.stroke(at(from), at(to));
        }
        svg.path("side-untold", &untold);
    }

    /// Elevations of what the row is about in the ground, where they are told.
    fn underground(&self) -> Vec<f64> {
        let service = matches!(self.row().against, Against::BuriedService)
            .then_some(self.row().to_height)
            .flatten();
        self.stakes()
            .map(|(_, heights)| heights.low)
            .chain(service)
            .collect()
    }

    /// The stakes of a row about stakes: where along the cut, and their heights.
    fn stakes(&self) -> impl Iterator<Item = (f64, Heights)> + '_ {
        let own = self.own().filter(|(part, _)| *part == Part::Stakes);
        let pieces = own
            .filter(|_| self.row().part == Part::Stakes)
            .flat_map(|(_, it)| it);
        pieces.filter_map(|piece| match piece {
            Piece::Block { span, heights } if heights.low.is_finite() => {
                Some((f64::midpoint(span.0, span.1), *heights))
            }
            _ => None,
        })
    }

    /// Stakes, services and covers, over the earth so that they show.
    fn in_the_ground(&self, svg: &mut Svg, view: &View) {
        for (s, heights) in self.stakes() {
            let (top, tip) = (
                view.px(Point::new(s, heights.high)),
                view.px(Point::new(s, heights.low)),
            );
            let mut wedge = PathData::new();
            wedge.ring([
                Px::new(top.x - 3.0, top.y - 5.0),
                Px::new(top.x + 3.0, top.y - 5.0),
                tip,
            ]);
            svg.path("side-stake", &wedge);
        }
        let floor = view.px(Point::new(self.to.x, self.floor(self.to.x)));
        match self.row().against {
            Against::BuriedService => {
                // At an unknown depth, a little below the ground.
                let untold = Px::new(floor.x, floor.y + view.length(0.6).min(18.0));
                let at = self
                    .row()
                    .to_height
                    .map_or(untold, |z| view.px(Point::new(self.to.x, z)));
                let mut line = PathData::new();
                line.stroke(floor, at);
                svg.path("buried", &line);
                svg.circle("side-buried", at, 5.0);
            }
            Against::Cover => {
                let mut lid = PathData::new();
                lid.stroke(floor, Px::new(floor.x + view.length(0.6), floor.y));
                svg.path("cover", &lid);
            }
            _ => {}
        }
    }

    /// How near the ride may come.
    fn needed(&self, svg: &mut Svg, view: &View) {
        let row = self.row();
        // A gap has no side that may come nearer.
        if row.required <= 0.0 || self.seen.gap {
            return;
        }
        let to = view.px(self.to);
        if row.measure == Measure::True && row.to_height.is_some() {
            svg.circle("side-needed", to, view.length(row.required));
        } else {
            let x = to.x - view.length(row.required);
            let mut line = PathData::new();
            line.stroke(Px::new(x, 4.0), Px::new(x, view.height - FOOT / 2.0));
            svg.path("side-needed", &line);
        }
    }

    /// What the dashed line says, at its upper end.
    fn needed_words(&self, svg: &mut Svg, view: &View, labels: &mut Labels) {
        let row = self.row();
        if row.required <= 0.0 || self.seen.gap {
            return;
        }
        let text = format!("{} needed", self.style.format_up(row.required));
        let width = text_width(&text, 11.0);
        let to = view.px(self.to);
        let reach = view.length(row.required);
        let candidates: Vec<Px> = if row.measure == Measure::True && row.to_height.is_some() {
            let rim = [
                (-1.0, 0.0),
                (0.0, 1.0),
                (0.0, -1.0),
                (-0.7, 0.7),
                (1.0, 0.0),
            ];
            let beyond = |x: f64| x * (reach + width / 2.0 + 4.0);
            let places = rim.map(|(x, y)| Px::new(to.x + beyond(x), to.y + y * (reach + 11.0)));
            places.to_vec()
        } else {
            let x = to.x - reach;
            [18.0, 36.0, 54.0]
                .into_iter()
                .flat_map(|y| [1.0, -1.0].map(|side| Px::new(x + side * (width / 2.0 + 6.0), y)))
                .collect()
        };
        let at = labels.place_surely(view, &candidates, width, 14.0);
        svg.text("label small", Px::new(at.x, at.y + 4.0), &text);
    }

    fn other_side(&self, svg: &mut Svg, view: &View) {
        for feature in &self.features {
            self.feature(svg, view, feature);
        }
        let x = view.px(self.to).x;
        let floor = view.px(Point::new(self.to.x, self.floor(self.to.x))).y;
        match self.row().against {
            // A way from gate to gate is narrow wherever it is.
            Against::LotLine | Against::Gate if !self.seen.gap => {
                let mut line = PathData::new();
                line.stroke(Px::new(x, floor), Px::new(x, floor - view.length(UNTOLD)));
                let class = if self.row().against == Against::Gate {
                    "side-gate"
                } else {
                    "lot-line"
                };
                svg.path(class, &line);
            }
            Against::OverheadLine => svg.circle("side-wire-end", view.px(self.to), 4.5),
            _ => {}
        }
    }

    fn feature(&self, svg: &mut Svg, view: &View, feature: &Feature) {
        let class = match feature.against {
            // In the ground.
            Against::BuriedService | Against::Cover => return,
            Against::Walkway => "walkway",
            Against::FireLane => "fire-lane",
            Against::Building => "building",
            Against::Tree => "tree",
            Against::OverheadLine | Against::Rope => "wire",
            Against::PowerSource => "power",
            Against::FuelStore => "fuel",
            _ => "",
        };
        for piece in &feature.pieces {
            self.piece(svg, view, piece, (class, feature.headroom));
        }
    }

    fn piece(&self, svg: &mut Svg, view: &View, piece: &Piece, look: Look<'_>) {
        match piece {
            Piece::Block { span, heights } => self.block(svg, view, *span, *heights, look),
            Piece::Wire(places) => {
                let places = places.iter().map(|&(s, z)| view.px(Point::new(s, z)));
                let mut line = PathData::new();
                line.run(places);
                svg.path("overhead", &line);
            }
            Piece::Curtain(ends) => {
                let mut area = PathData::new();
                let [(a, za), (b, zb)] = ends.map(|(s, z)| (s, self.within(z, view)));
                let floor = |s: f64| self.floor(s);
                let corners = [(a, za), (b, zb), (b, floor(b)), (a, floor(a))];
                area.ring(corners.map(|(s, z)| view.px(Point::new(s, z))));
                svg.path("side-curtain", &area);
            }
            Piece::Swept(outline) => {
                let places = outline.iter().map(|&(s, z)| view.px(Point::new(s, z)));
                let mut area = PathData::new();
                area.ring(places);
                svg.path("envelope", &area);
            }
        }
    }

    /// An elevation held on the drawing and a little beyond.
    fn within(&self, z: f64, view: &View) -> f64 {
        let (top, foot) = (
            view.lot(Px::new(0.0, -40.0)).y,
            view.lot(Px::new(0.0, view.height + 40.0)).y,
        );
        z.clamp(foot, top)
    }

    fn block(
        &self,
        svg: &mut Svg,
        view: &View,
        (from, to): (f64, f64),
        heights: Heights,
        (class, headroom): Look<'_>,
    ) {
        // A block stands on the lowest ground beneath its sides.
        let floor = self.floor(from).min(self.floor(to));
        let low = if heights.low.is_finite() {
            heights.low
        } else {
            floor
        };
        let told = heights.high.is_finite();
        let high = match headroom {
            _ if told => heights.high,
            Some(headroom) => self.floor(from).max(self.floor(to)) + headroom,
            None => floor + UNTOLD,
        };
        let at = |s: f64, z: f64| view.px(Point::new(s, self.within(z, view)));
        let mut area = PathData::new();
        area.ring([at(from, low), at(to, low), at(to, high), at(from, high)]);
        let untold = if told { "" } else { " side-open" };
        svg.path(&format!("side-block side-{class}{untold}"), &area);
    }

    fn whole_ride(&self, svg: &mut Svg, view: &View, ride: &Shown) {
        svg.group(&ride.class, |svg| {
            for (part, pieces) in &ride.parts {
                for piece in pieces {
                    match (part, piece) {
                        (Part::Fence, Piece::Block { span, .. }) => {
                            let mut posts = PathData::new();
                            for s in [span.0, span.1] {
                                let foot = self.floor(s);
                                let top = foot + ride.fence;
                                posts.stroke(
                                    view.px(Point::new(s, foot)),
                                    view.px(Point::new(s, top)),
                                );
                            }
                            svg.path("fence side-fence", &posts);
                        }
                        (Part::Feet | Part::Stakes, _) => {}
                        (Part::Standing, piece) => self.piece(svg, view, piece, ("standing", None)),
                        (Part::BuildUp, piece) => self.piece(svg, view, piece, ("build-up", None)),
                        (_, piece) => self.piece(svg, view, piece, ("moving", None)),
                    }
                }
            }
        });
    }

    /// The axis about which the ride turns.
    fn axis(&self, svg: &mut Svg, view: &View) {
        let Some(ride) = self.ride() else {
            return;
        };
        let s = self.cut.s(ride.placement.hub());
        let top = self.datum() + ride.envelope.heights().high + 0.5;
        let mut line = PathData::new();
        line.stroke(
            view.px(Point::new(s, self.floor(s))),
            view.px(Point::new(s, top)),
        );
        svg.path("side-axis", &line);
    }

    /// How high both places are above the ground.
    fn heights(&self, svg: &mut Svg, view: &View, labels: &mut Labels) {
        let known = self.ride().is_none_or(|ride| ride.envelope.datum.is_some());
        let told = self.row().part == Part::Moving || self.row().from_height.is_some();
        let from = (known && told).then_some(self.from);
        let to = self.row().to_height.map(|z| Point::new(self.to.x, z));
        for place in [from, to].into_iter().flatten() {
            let Some(ground) = self.ground(place.x) else {
                continue;
            };
            let (top, foot) = (view.px(place), view.px(Point::new(place.x, ground)));
            if foot.y - top.y < 16.0 {
                continue;
            }
            let mut line = PathData::new();
            line.stroke(top, foot);
            for (y, out) in [(top.y, 6.0), (foot.y, -6.0)] {
                line.run([
                    Px::new(top.x - 3.0, y + out),
                    Px::new(top.x, y),
                    Px::new(top.x + 3.0, y + out),
                ]);
            }
            svg.path("side-height", &line);
            labels.take_stroke(top, foot);
            let text = format!("{} up", self.style.format(place.y - ground));
            let width = text_width(&text, 12.0);
            let middle = top.middle(foot);
            let candidates = [-1.0, 1.0].into_iter().flat_map(|side| {
                [0.0, 14.0, -14.0, 28.0, -28.0]
                    .into_iter()
                    .map(move |down| {
                        Px::new(middle.x + side * (width / 2.0 + 7.0), middle.y + down)
                    })
            });
            let candidates: Vec<Px> = candidates.collect();
            let at = labels.place_surely(view, &candidates, width, 15.0);
            svg.text("label", Px::new(at.x, at.y + 4.0), &text);
        }
    }

    fn names(&self, svg: &mut Svg, view: &View, labels: &mut Labels) {
        let own = match self.ride() {
            Some(ride) => {
                let hub = self.cut.s(ride.placement.hub());
                let heights = ride.envelope.heights();
                let middle = self.datum() + f64::midpoint(heights.low, heights.high);
                (short(&ride.name), f64::midpoint(hub, 0.0), middle)
            }
            // What stands beside a gap is named on the plate.
            None if self.seen.gap => {
                let middle = f64::midpoint(self.from.x, self.to.x);
                (short(&self.seen.whose), middle, self.from.y + 1.0)
            }
            None => (short(&self.seen.whose), self.from.x, self.from.y),
        };
        let other = (other_name(self.row()), self.to.x, self.to.y);
        let other = (!self.seen.gap).then_some(other);
        for (name, s, z) in std::iter::once(own).chain(other) {
            let width = bold_width(&name, 12.0);
            let at = view.px(Point::new(s, z));
            let mut candidates = around(at, width / 2.0 + 10.0, 18.0);
            candidates.extend(around(at, width / 2.0 + 24.0, 40.0));
            let at = labels.place_surely(view, &candidates, width + 4.0, 16.0);
            svg.text("label side-name", Px::new(at.x, at.y + 4.0), &name);
        }
    }

    /// Scale, and which way one looks.
    fn foot(&self, svg: &mut Svg, view: &View) {
        furniture::draw_scale(svg, self.style, view);
        let mut words = format!("Looking {}", looking(&self.cut));
        if self
            .ride()
            .is_some_and(|ride| ride.envelope.datum.is_none())
        {
            words += "; heights not known: the ground is not surveyed";
        }
        let at = Px::new(view.width - 10.0, view.height - 16.0);
        svg.text("side-words", at, &words);
    }
}
