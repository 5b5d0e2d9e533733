//! A section of the ground: its height against the distance along a straight line, heights drawn
//! larger than lengths, and how sure they are as a band.
//!
//! ```text
//!   101.42 ┤  ╱╲___                     band: twice the standard error to either side
//!          │ ╱      ╲___ · · · ·        a row of dots where no shot tells
//!   100.93 ┤╱
//!          └───────────────────►
//!          0               23.4
//! ```

use tober::Point;
use tober::ground::{Section, SectionPoint};
use tober::units::LengthStyle;

use crate::svg::{PathData, Svg};
use crate::window::Px;

/// Room at the edges for words, pixels.
const LEFT: f64 = 12.0;
const RIGHT: f64 = 84.0;
const TOP: f64 = 18.0;
const FOOT: f64 = 26.0;

/// Ground that rises less than this is drawn as if it rose by it, metres: flat ground is to look
/// flat.
const LEAST_RISE: f64 = 0.05;

/// Draws a section as SVG for a page that carries the plan's style.
pub fn section_view(section: &Section, style: LengthStyle, (width, height): (f64, f64)) -> String {
    let mut svg = Svg::new();
    svg.element("svg")
        .attr("class", "plan side")
        .px("width", width)
        .px("height", height)
        .attr("viewBox", &format!("0 0 {width:.0} {height:.0}"))
        .attr("role", "img")
        .attr("aria-label", &describe_section(section, style))
        .children(|svg| draw(svg, section, style, (width, height)));
    svg.into_string()
}

/// A section in words: from end to end, the lowest and the highest place, and what is not known.
pub fn describe_section(section: &Section, style: LengthStyle) -> String {
    let mut words = format!("A section of {}.", style.format(section.length));
    if let Some((low, high)) = extremes(section) {
        words += &format!(
            " Lowest {} at {}, highest {} at {}.",
            style.format(low.elevation.0),
            style.format(low.distance),
            style.format(high.elevation.0),
            style.format(high.distance)
        );
    }
    let gaps = section.gaps();
    if let (true, Some((first, last))) = (gaps.is_empty(), ends(section)) {
        let rise = last.elevation - first.elevation;
        let way = if rise < 0.0 { "lower" } else { "higher" };
        words += &format!(
            " The end lies {} {way} than the start.",
            style.format(rise.abs())
        );
    }
    for (from, to) in gaps {
        words += &format!(
            " Not known from {} to {}.",
            style.format(from),
            style.format(to)
        );
    }
    words
}

fn places(section: &Section) -> impl Iterator<Item = &SectionPoint> {
    section.stretches.iter().flatten()
}

fn ends(section: &Section) -> Option<(&SectionPoint, &SectionPoint)> {
    Some((places(section).next()?, places(section).last()?))
}

fn extremes(section: &Section) -> Option<(&SectionPoint, &SectionPoint)> {
    let order =
        |one: &&SectionPoint, other: &&SectionPoint| one.elevation.0.total_cmp(&other.elevation.0);
    Some((
        places(section).min_by(order)?,
        places(section).max_by(order)?,
    ))
}

fn draw(svg: &mut Svg, section: &Section, style: LengthStyle, (width, height): (f64, f64)) {
    let room = (width - LEFT - RIGHT, height - TOP - FOOT);
    let across = |distance: f64| LEFT + room.0 * distance / section.length.max(1e-6);
    let floor = height - FOOT;
    let Some((low, high)) = extremes(section) else {
        let middle = Px::new(LEFT + room.0 / 2.0, TOP + room.1 / 2.0);
        svg.text("side-name", middle, "not surveyed");
        return;
    };
    let bounds = |sign: f64| places(section).map(move |it| it.elevation.0 + sign * 2.0 * it.error);
    let bottom = bounds(-1.0).fold(low.elevation.0, f64::min);
    let top = bounds(1.0).fold(high.elevation.0, f64::max);
    let rise = (top - bottom).max(LEAST_RISE);
    let up = |elevation: f64| floor - room.1 * (elevation - bottom) / rise;
    let px = |at: Point| Px::new(across(at.x), up(at.y));

    let (mut body, mut band, mut line, mut untold) = (
        PathData::new(),
        PathData::new(),
        PathData::new(),
        PathData::new(),
    );
    for stretch in &section.stretches {
        let run = |sign: f64| {
            let at = move |it: &SectionPoint| {
                Point::new(it.distance, it.elevation.0 + sign * 2.0 * it.error)
            };
            stretch.iter().map(at).map(px).collect::<Vec<Px>>()
        };
        let ground = run(0.0);
        let (Some(first), Some(last)) = (ground.first().copied(), ground.last().copied()) else {
            continue;
        };
        line.run(ground.iter().copied());
        let feet = [Px::new(last.x, floor), Px::new(first.x, floor)];
        body.ring(ground.into_iter().chain(feet));
        band.ring(run(1.0).into_iter().chain(run(-1.0).into_iter().rev()));
    }
    for (from, to) in section.gaps() {
        untold.stroke(Px::new(across(from), floor), Px::new(across(to), floor));
    }
    svg.path("side-ground", &body);
    svg.path("section-band", &band);
    svg.path("side-ground-line", &line);
    svg.path("side-untold", &untold);

    let mut levels = PathData::new();
    let (at_low, at_high) = (up(low.elevation.0), up(high.elevation.0));
    for (y, elevation) in [(at_high, high.elevation.0), (at_low, low.elevation.0)] {
        levels.stroke(Px::new(LEFT, y), Px::new(width - RIGHT, y));
        // One word for both where they would lie over each other.
        if y == at_high || at_low - at_high > 14.0 {
            let at = Px::new(width - RIGHT + 6.0, y + 4.0);
            svg.text("section-words", at, &style.format(elevation));
        }
    }
    svg.path("side-height", &levels);
    let base = height - 8.0;
    svg.text("section-words", Px::new(LEFT, base), &style.format(0.0));
    let end = Px::new(width - RIGHT, base);
    svg.text("side-words", end, &style.format(section.length));
    let larger = (room.1 / rise) / (room.0 / section.length.max(1e-6));
    let words = format!("heights {larger:.0} × as large as lengths");
    // Above, where no other words are.
    svg.text(
        "section-scale",
        Px::new(LEFT + room.0 / 2.0, TOP - 6.0),
        &words,
    );
}

#[cfg(test)]
mod tests {
    use tober::ground::{Elevation, Ground};
    use tober::site::SpotLevel;

    use super::*;

    /// A plane that rises 1 in 100 eastwards over 20 m.
    fn ground() -> Ground {
        let corners = [(0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0)];
        Ground::new(&corners.map(|(x, y)| SpotLevel::new(x, y, Elevation(10.0 + x / 100.0))))
    }

    #[test]
    fn a_section_is_told_in_words_and_drawn() {
        let section = ground().section(Point::new(0.0, 10.0), Point::new(20.0, 10.0));
        let words = describe_section(&section, LengthStyle::Metres);
        assert_eq!(
            words,
            "A section of 20.000 m. Lowest 10.000 m at 0.000 m, highest 10.200 m at 20.000 m. The \
             end lies 0.200 m higher than the start."
        );
        let drawn = section_view(&section, LengthStyle::Metres, (400.0, 160.0));
        for part in [
            "section-band",
            "side-ground-line",
            "10.200 m",
            "10.000 m",
            "20.000 m",
        ] {
            assert!(drawn.contains(part), "{part}: {drawn}");
        }
        assert!(!drawn.contains("side-untold"));
    }

    #[test]
    fn what_is_not_surveyed_is_said() {
        let half = ground().section(Point::new(10.0, 10.0), Point::new(40.0, 10.0));
        let words = describe_section(&half, LengthStyle::Metres);
        assert!(
            words.ends_with("Not known from 10.000 m to 30.000 m."),
            "{words}"
        );
        assert!(section_view(&half, LengthStyle::Metres, (400.0, 160.0)).contains("side-untold"));
        let none = ground().section(Point::new(50.0, 0.0), Point::new(60.0, 0.0));
        let drawn = section_view(&none, LengthStyle::Metres, (400.0, 160.0));
        assert!(drawn.contains("not surveyed") && !drawn.contains("NaN"));
        let nowhere = ground().section(Point::new(5.0, 5.0), Point::new(5.0, 5.0));
        assert!(!section_view(&nowhere, LengthStyle::Metres, (400.0, 160.0)).contains("NaN"));
    }
}
