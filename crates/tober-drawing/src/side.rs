//! A side view of one clearance: the ride, what is beside it, the ground below both, and the
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

use tober::assess::{Assessment, RideAssessment, parts_of};
use tober::clearance::{
    Against, ClearanceRow, Measure, Part, Piece, Upright, cut_feature, cut_ride,
};
use tober::envelope::Heights;
use tober::site::Site;
use tober::units::LengthStyle;
use tober::{Point, Step};

use crate::labels::{Area, Labels, around, bold_width, short, text_width};
use crate::svg::{PathData, Svg};
use crate::window::{Px, View, Window};
use crate::{STYLE, dimension, furniture, verdict};

/// How high something is drawn of which no height is known, metres.
const UNTOLD: f64 = 2.5;
/// Room at the foot for the scale, and at the other edges, pixels.
const FOOT: f64 = 40.0;
const EDGE: f64 = 14.0;
/// How much is shown beyond the other side's nearest place, metres, at most.
const BEYOND: f64 = 4.0;

/// Which clearance is looked at: the ride's place in the list, and the row's among its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pair {
    /// The ride.
    pub ride: usize,
    /// The row.
    pub row: usize,
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
    let ride = assessment.rides.get(pair.ride)?;
    let row = ride.clearances.get(pair.row)?;
    let style = assessment.units;
    let mut words = format!(
        "Side view, looking {}: {} of {} to {}: {}.",
        looking(&plane(ride, row)),
        crate::words::part_word(row.part),
        ride.name,
        other_name(row),
        dimension::sentence(row, style)
    );
    for (whose, at, height) in [
        ("of the ride", row.from, row.from_height),
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
    let ride = assessment.rides.get(pair.ride)?;
    let row = ride.clearances.get(pair.row)?;
    let scene = Scene::new(site, assessment, pair.ride, ride, row);
    let view = scene.view(width, height);
    let words = describe_side(site, assessment, pair)?;
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
            scene.draw(svg, &view);
        });
    Some(svg.into_string())
}

/// The cut through a row's two nearest places, the ride on the left.
fn plane(ride: &RideAssessment, row: &ClearanceRow) -> Upright {
    let hub = ride.placement.hub();
    let ways = [row.to - row.from, row.to - hub, row.from - hub];
    let along = ways
        .into_iter()
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
    let eighth = (libm::atan2(east, north) / core::f64::consts::FRAC_PI_4).round();
    let words = [
        "north",
        "north-east",
        "east",
        "south-east",
        "south",
        "south-west",
        "west",
        "north-west",
    ];
    let index = (eighth as i64).rem_euclid(8) as usize;
    words.get(index).copied().unwrap_or("north")
}

fn other_name(row: &ClearanceRow) -> String {
    match row.against_name.as_str() {
        "" => "lot line".to_owned(),
        name => short(name),
    }
}

/// What is drawn, in metres: along the cut and up.
struct Scene<'a> {
    site: &'a Site,
    style: LengthStyle,
    ride: &'a RideAssessment,
    row: &'a ClearanceRow,
    cut: Upright,
    own: Vec<(Part, Vec<Piece>)>,
    other: Vec<(Part, Vec<Piece>)>,
    other_fence: Option<f64>,
    feature: Vec<Piece>,
    /// Headroom asked for over a way, metres.
    headroom: Option<f64>,
    /// The row's places on the cut, as the dimension is drawn.
    from: Point,
    to: Point,
}

impl<'a> Scene<'a> {
    fn new(
        site: &'a Site,
        assessment: &'a Assessment,
        index: usize,
        ride: &'a RideAssessment,
        row: &'a ClearanceRow,
    ) -> Scene<'a> {
        let cut = plane(ride, row);
        let all = parts_of(site, assessment);
        let of_ride = |index: usize, space: &str| {
            let parts = all.get(index).into_iter();
            let parts = parts.flat_map(|parts| cut_ride(parts, &cut));
            // Of what is there while building up, only what the row is about.
            let shown = parts.filter(|it| it.part != Part::BuildUp || it.space == space);
            shown.map(|it| (it.part, it.pieces)).collect::<Vec<_>>()
        };
        let other = (row.against == Against::Ride)
            .then(|| {
                let mut rides = assessment.rides.iter();
                rides.position(|it| it.id == row.against_id)
            })
            .flatten();
        let rule = match row.against {
            Against::Walkway => Some("walkway-height"),
            Against::FireLane => Some("fire-lane-height"),
            _ => None,
        };
        let headroom = rule.and_then(|id| {
            let found = assessment.rules.iter().find(|rule| rule.id == id);
            found.map(|rule| rule.required)
        });
        let mut scene = Scene {
            site,
            style: assessment.units,
            ride,
            row,
            cut,
            own: of_ride(index, &row.space),
            other: other.map_or_else(Vec::new, |index| of_ride(index, "")),
            other_fence: other.and_then(|it| Some(assessment.rides.get(it)?.fence.height)),
            feature: cut_feature(site, row.against, &row.against_id, &cut),
            headroom,
            from: Point::origin(),
            to: Point::origin(),
        };
        scene.lay_dimension();
        scene
    }

    fn ground(&self, s: f64) -> Option<f64> {
        self.site.ground().height(self.cut.place(s)).map(|it| it.0)
    }

    /// Elevation that stands in for the ground where it is not surveyed.
    fn base(&self) -> f64 {
        let datum = self.ride.envelope.datum.map_or(0.0, |datum| datum.0);
        self.ground(0.0).unwrap_or(datum - 0.8)
    }

    fn floor(&self, s: f64) -> f64 {
        self.ground(s).unwrap_or_else(|| self.base())
    }

    /// Where the dimension is drawn.
    fn lay_dimension(&mut self) {
        let row = self.row;
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
        self.from = Point::new(0.0, level);
        self.to = Point::new(s, there);
    }

    /// The height at which what moves reaches farthest to the right.
    fn widest(&self) -> Option<f64> {
        let moving = self.own.iter().filter(|(part, _)| *part == Part::Moving);
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
        let hub = self.cut.s(self.ride.placement.hub());
        let envelope = &self.ride.envelope;
        let datum = envelope.datum.map_or(0.0, |datum| datum.0);
        let (low, high) = (self.from.x.min(self.to.x), self.from.x.max(self.to.x));
        let gap = high - low;
        let left = low.min(hub) - 0.6;
        let right = high.max(hub.min(high + 1.0)) + (0.3 * gap).clamp(1.5, BEYOND);
        let floors = [left, 0.0, self.to.x, right].map(|s| self.floor(s));
        let floor = floors.into_iter().fold(f64::INFINITY, f64::min);
        // What is in the ground shows as well.
        let floor = self.underground().into_iter().fold(floor, f64::min);
        let top = datum + envelope.heights().high;
        let blocks = self.feature.iter().filter_map(|piece| match piece {
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
        if !self.other.is_empty() {
            self.whole_ride(svg, view, &self.other, self.other_fence, "side-other");
        }
        let class = format!("ride {}", verdict::class(self.row.verdict));
        let fence = Some(self.ride.fence.height);
        self.whole_ride(svg, view, &self.own, fence, &class);
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
            ..self.row.clone()
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
        let service = matches!(self.row.against, Against::BuriedService)
            .then_some(self.row.to_height)
            .flatten();
        self.stakes()
            .map(|(_, heights)| heights.low)
            .chain(service)
            .collect()
    }

    /// The stakes of a row about stakes: where along the cut, and their heights.
    fn stakes(&self) -> impl Iterator<Item = (f64, Heights)> + '_ {
        let of_stakes = |(part, _): &&(Part, Vec<Piece>)| {
            *part == Part::Stakes && self.row.part == Part::Stakes
        };
        let pieces = self.own.iter().filter(of_stakes).flat_map(|(_, it)| it);
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
        match self.row.against {
            Against::BuriedService => {
                // At an unknown depth, a little below the ground.
                let untold = Px::new(floor.x, floor.y + view.length(0.6).min(18.0));
                let at = self
                    .row
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
        let row = self.row;
        if row.required <= 0.0 {
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
        let row = self.row;
        if row.required <= 0.0 {
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
        let class = match self.row.against {
            Against::Walkway => "walkway",
            Against::FireLane => "fire-lane",
            Against::Building => "building",
            Against::Tree => "tree",
            Against::OverheadLine => "wire",
            Against::PowerSource => "power",
            Against::FuelStore => "fuel",
            _ => "",
        };
        if self.row.against == Against::BuriedService || self.row.against == Against::Cover {
            return;
        }
        for piece in &self.feature {
            self.piece(svg, view, piece, class);
        }
        let x = view.px(self.to).x;
        let floor = view.px(Point::new(self.to.x, self.floor(self.to.x))).y;
        match self.row.against {
            Against::LotLine | Against::Gate => {
                let mut line = PathData::new();
                line.stroke(Px::new(x, floor), Px::new(x, floor - view.length(UNTOLD)));
                let class = if self.row.against == Against::Gate {
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

    fn piece(&self, svg: &mut Svg, view: &View, piece: &Piece, class: &str) {
        match piece {
            Piece::Block { span, heights } => self.block(svg, view, *span, *heights, class),
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
        class: &str,
    ) {
        // A block stands on the lowest ground beneath its sides.
        let floor = self.floor(from).min(self.floor(to));
        let low = if heights.low.is_finite() {
            heights.low
        } else {
            floor
        };
        let told = heights.high.is_finite();
        let high = match self.headroom {
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

    fn whole_ride(
        &self,
        svg: &mut Svg,
        view: &View,
        parts: &[(Part, Vec<Piece>)],
        fence: Option<f64>,
        class: &str,
    ) {
        svg.group(class, |svg| {
            for (part, pieces) in parts {
                for piece in pieces {
                    match (part, piece) {
                        (Part::Fence, Piece::Block { span, .. }) => {
                            let mut posts = PathData::new();
                            for s in [span.0, span.1] {
                                let foot = self.floor(s);
                                let top = foot + fence.unwrap_or(1.0);
                                posts.stroke(
                                    view.px(Point::new(s, foot)),
                                    view.px(Point::new(s, top)),
                                );
                            }
                            svg.path("fence side-fence", &posts);
                        }
                        (Part::Feet | Part::Stakes, _) => {}
                        (Part::Standing, piece) => self.piece(svg, view, piece, "standing"),
                        (Part::BuildUp, piece) => self.piece(svg, view, piece, "build-up"),
                        (_, piece) => self.piece(svg, view, piece, "moving"),
                    }
                }
            }
        });
    }

    /// The axis about which the ride turns.
    fn axis(&self, svg: &mut Svg, view: &View) {
        let s = self.cut.s(self.ride.placement.hub());
        let datum = self.ride.envelope.datum.map_or(0.0, |datum| datum.0);
        let top = datum + self.ride.envelope.heights().high + 0.5;
        let mut line = PathData::new();
        line.stroke(
            view.px(Point::new(s, self.floor(s))),
            view.px(Point::new(s, top)),
        );
        svg.path("side-axis", &line);
    }

    /// How high both places are above the ground.
    fn heights(&self, svg: &mut Svg, view: &View, labels: &mut Labels) {
        let known = self.ride.envelope.datum.is_some();
        let told = self.row.part == Part::Moving || self.row.from_height.is_some();
        let from = (known && told).then_some(self.from);
        let to = self.row.to_height.map(|z| Point::new(self.to.x, z));
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
        let hub = self.cut.s(self.ride.placement.hub());
        let datum = self.ride.envelope.datum.map_or(0.0, |datum| datum.0);
        let heights = self.ride.envelope.heights();
        let middle = datum + f64::midpoint(heights.low, heights.high);
        let ride = short(&self.ride.name);
        let other = other_name(self.row);
        for (name, s, z) in [
            (ride, f64::midpoint(hub, 0.0), middle),
            (other, self.to.x, self.to.y),
        ] {
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
        if self.ride.envelope.datum.is_none() {
            words += "; heights not known: the ground is not surveyed";
        }
        let at = Px::new(view.width - 10.0, view.height - 16.0);
        svg.text("side-words", at, &words);
    }
}
