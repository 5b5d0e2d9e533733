//! A side view of a power cord along its way: the ground from the supply to the ride as the cord
//! lies on it, and every walkway and fire lane that it crosses.
//!
//! ```text
//!   Pillar                                   console
//!     ▓                 ┌─────┐                ▓
//!     ▓━━━━━━━━━━━━━━━━━│━━━━━│━━━━━━━━━━━━━━━━▓     the cord, on the ground
//!   ▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁
//!                     walkway: under a cover
//! ```
//!
//! Its bends are laid straight. Heights are drawn larger than lengths where that shows more.

use tober::Point;
use tober::assess::{Assessment, Verdict};
use tober::clearance::{Against, CordCheck, Crossed, cut_route};
use tober::ground::Section;
use tober::site::Site;
use tober::units::LengthStyle;

use crate::labels::{Labels, bold_width, short, text_width};
use crate::svg::{PathData, Svg};
use crate::verdict;
use crate::window::{Px, View, Window};

/// Room at the edges for words, pixels.
const EDGE: f64 = 30.0;
const FOOT: f64 = 52.0;

/// The ground takes at most so much of the height, pixels.
const RELIEF: f64 = 40.0;

/// Heights are drawn at most so many times as large as lengths.
const LARGEST: f64 = 5.0;

/// How high a way that is crossed and what stands at both ends is drawn, pixels.
const WAY: f64 = 46.0;
const STAND: f64 = 30.0;

/// A cord and what it runs over.
struct Cord<'a> {
    check: &'a CordCheck,
    style: LengthStyle,
    /// Length of its way on the plan, metres.
    length: f64,
    /// The ground under each straight piece, and where the piece begins.
    ground: Vec<(f64, Section)>,
    crossed: Vec<Crossed>,
}

impl<'a> Cord<'a> {
    fn of(site: &Site, assessment: &'a Assessment, index: usize) -> Option<Cord<'a>> {
        let check = assessment.cords.get(index)?;
        let mut length = 0.0;
        let mut ground = Vec::new();
        for piece in check.route.windows(2) {
            let &[from, to] = piece else { continue };
            ground.push((length, site.ground().section(from, to)));
            length += (to - from).norm();
        }
        Some(Cord {
            check,
            style: assessment.units,
            length,
            ground,
            crossed: cut_route(site, &check.route),
        })
    }

    /// Known ground along the way: how far along, and how high.
    fn heights(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.ground.iter().flat_map(|(start, section)| {
            let points = section.stretches.iter().flatten();
            points.map(move |it| (start + it.distance, it.elevation.0))
        })
    }

    /// What a crossing asks for, and whether that is so.
    fn crossing_words(&self) -> &'static str {
        match self.check.verdict {
            // With a length that is told and enough, only a crossing stands in the way.
            Some(Verdict::Pass) => "covered or flown",
            _ => "cover or fly it",
        }
    }

    fn describe(&self) -> String {
        let check = self.check;
        let mut words = format!(
            "Side view along the power cord from {} to {}: {} along the ground, {} of cord with \
             slack",
            check.source_name,
            check.ride_name,
            self.style.format_up(self.length),
            self.style.format_up(check.needed)
        );
        words += &match check.has {
            Some(has) => format!("; the cord is {} long.", self.style.format_down(has)),
            None => "; nobody has told how long the cord is.".to_owned(),
        };
        for crossed in &self.crossed {
            for &(from, to) in &crossed.spans {
                words += &format!(
                    " It crosses {} from {} to {}: {}.",
                    crossed.name,
                    self.style.format(from),
                    self.style.format(to),
                    self.crossing_words()
                );
            }
        }
        words
    }
}

/// A cord in words, for those who do not see it drawn.
pub(crate) fn describe(site: &Site, assessment: &Assessment, index: usize) -> Option<String> {
    Some(Cord::of(site, assessment, index)?.describe())
}

/// Draws a cord into a drawing of that size.
pub(crate) fn draw(
    svg: &mut Svg,
    site: &Site,
    assessment: &Assessment,
    index: usize,
    size: (f64, f64),
) {
    if let Some(cord) = Cord::of(site, assessment, index) {
        Scene::new(&cord, size).draw(svg);
    }
}

/// A cord laid out on a drawing.
struct Scene<'a> {
    cord: &'a Cord<'a>,
    size: (f64, f64),
    /// Lowest known ground; where none is known the way is drawn level.
    lowest: f64,
    /// Pixels for a metre along, and up.
    along: f64,
    up: f64,
}

impl<'a> Scene<'a> {
    fn new(cord: &'a Cord<'a>, (width, height): (f64, f64)) -> Scene<'a> {
        let (lowest, highest) = cord
            .heights()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), (_, z)| {
                (low.min(z), high.max(z))
            });
        let known = lowest.is_finite();
        let rise = if known { highest - lowest } else { 0.0 };
        let along = (width - 2.0 * EDGE).max(1.0) / cord.length.max(0.1);
        let relief = RELIEF.min(height / 4.0);
        Scene {
            cord,
            size: (width, height),
            lowest: if known { lowest } else { 0.0 },
            along,
            up: (relief / rise.max(1e-3)).min(along * LARGEST),
        }
    }

    fn px(&self, distance: f64, elevation: f64) -> Px {
        Px::new(
            EDGE + self.along * distance,
            self.size.1 - FOOT - self.up * (elevation - self.lowest),
        )
    }

    /// Where the ground is drawn; level with the nearest that is known where it is not.
    fn floor(&self, distance: f64) -> f64 {
        let mut before: Option<(f64, f64)> = None;
        for (at, z) in self.cord.heights() {
            if at >= distance {
                return match before {
                    Some((from, low)) if at > from => {
                        low + (z - low) * (distance - from) / (at - from)
                    }
                    _ => z,
                };
            }
            before = Some((at, z));
        }
        before.map_or(self.lowest, |(_, z)| z)
    }

    fn on_ground(&self, distance: f64) -> Px {
        self.px(distance, self.floor(distance))
    }

    fn draw(&self, svg: &mut Svg) {
        let (width, height) = self.size;
        svg.rect(
            "side-air",
            Px::new(width / 2.0, height / 2.0),
            width,
            height,
        );
        self.earth(svg);
        self.ways(svg);
        self.line(svg);
        self.ends(svg);
        self.words(svg);
    }

    fn earth(&self, svg: &mut Svg) {
        let floor = self.size.1;
        let (mut body, mut line, mut untold) = (PathData::new(), PathData::new(), PathData::new());
        for (start, section) in &self.cord.ground {
            for stretch in &section.stretches {
                let top = stretch
                    .iter()
                    .map(|it| self.px(start + it.distance, it.elevation.0));
                let top: Vec<Px> = top.collect();
                let (Some(first), Some(last)) = (top.first().copied(), top.last().copied()) else {
                    continue;
                };
                line.run(top.iter().copied());
                let feet = [Px::new(last.x, floor), Px::new(first.x, floor)];
                body.ring(top.into_iter().chain(feet));
            }
            for (from, to) in section.gaps() {
                untold.stroke(self.on_ground(start + from), self.on_ground(start + to));
            }
        }
        svg.path("side-ground", &body);
        svg.path("side-ground-line", &line);
        svg.path("side-untold", &untold);
    }

    fn ways(&self, svg: &mut Svg) {
        for crossed in &self.cord.crossed {
            let class = match crossed.against {
                Against::FireLane => "side-block side-fire-lane side-open",
                _ => "side-block side-walkway side-open",
            };
            for &(from, to) in &crossed.spans {
                let (left, right) = (self.on_ground(from), self.on_ground(to));
                let mut area = PathData::new();
                area.ring([
                    left,
                    right,
                    Px::new(right.x, right.y - WAY),
                    Px::new(left.x, left.y - WAY),
                ]);
                svg.path(class, &area);
            }
        }
    }

    /// The cord on the ground, and its covers.
    fn line(&self, svg: &mut Svg) {
        let kinks = self.cord.heights().map(|(at, _)| at);
        let mut places: Vec<f64> = [0.0, self.cord.length].into_iter().chain(kinks).collect();
        places.sort_by(f64::total_cmp);
        let mut line = PathData::new();
        line.run(places.into_iter().map(|at| {
            let ground = self.on_ground(at);
            Px::new(ground.x, ground.y - 2.5)
        }));
        let class = self.cord.check.verdict.map_or("untold", verdict::class);
        svg.path(&format!("side-cord {class}"), &line);
        if self.cord.check.verdict != Some(Verdict::Pass) {
            return;
        }
        for &(from, to) in self.cord.crossed.iter().flat_map(|it| &it.spans) {
            let (left, right) = (self.on_ground(from), self.on_ground(to));
            let mut cover = PathData::new();
            cover.run([
                Px::new(left.x - 4.0, left.y),
                Px::new(left.x + 1.0, left.y - 7.0),
                Px::new(right.x - 1.0, right.y - 7.0),
                Px::new(right.x + 4.0, right.y),
            ]);
            svg.path("side-cover", &cover);
        }
    }

    /// The supply and the ride.
    fn ends(&self, svg: &mut Svg) {
        for (at, class) in [(0.0, "side-power"), (self.cord.length, "side-standing")] {
            let foot = self.on_ground(at);
            let middle = Px::new(foot.x, foot.y - STAND / 2.0);
            svg.rect(&format!("side-block {class}"), middle, 14.0, STAND);
        }
    }

    fn words(&self, svg: &mut Svg) {
        let (width, height) = self.size;
        let window = Window {
            centre: Point::origin(),
            metres_per_px: 1.0,
        };
        let view = View::new(window, width, height);
        let mut labels = Labels::default();
        let check = self.cord.check;
        let ends = [
            (0.0, &check.source_name),
            (self.cord.length, &check.ride_name),
        ];
        for (at, name) in ends {
            let foot = self.on_ground(at);
            let name = short(name);
            let wide = bold_width(&name, 12.0) + 4.0;
            let wanted = Px::new(foot.x, foot.y - STAND - 12.0);
            let higher = Px::new(wanted.x, wanted.y - 18.0);
            let at = labels.place_surely(&view, &[wanted, higher], wide, 16.0);
            svg.text("label side-name", Px::new(at.x, at.y + 4.0), &name);
        }
        for crossed in &self.cord.crossed {
            for &(from, to) in &crossed.spans {
                let middle = self.on_ground(f64::midpoint(from, to));
                let words = format!("{}: {}", short(&crossed.name), self.cord.crossing_words());
                let wide = text_width(&words, 11.0) + 4.0;
                let tries =
                    [0.0, 16.0, 32.0, 48.0].map(|up| Px::new(middle.x, middle.y - WAY - 10.0 - up));
                let at = labels.place_surely(&view, &tries, wide, 14.0);
                svg.text("label small", Px::new(at.x, at.y + 4.0), &words);
            }
        }
        let style = self.cord.style;
        let base = height - 10.0;
        let needed = format!("{} needed, slack in it", style.format_up(check.needed));
        svg.text("section-words", Px::new(10.0, base), &needed);
        let has = match check.has {
            Some(has) => format!("the cord is {}", style.format_down(has)),
            None => "its length is not told".to_owned(),
        };
        svg.text("side-words", Px::new(width - 10.0, base), &has);
        let larger = self.up / self.along;
        if larger > 1.05 && self.cord.heights().next().is_some() {
            let words = format!("bends laid straight; heights {larger:.1} × as large as lengths");
            svg.text("section-scale", Px::new(width / 2.0, 14.0), &words);
        }
    }
}
