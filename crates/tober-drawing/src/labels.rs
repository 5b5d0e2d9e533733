//! Where words stand: a label takes the first free place among those that suit it.

use crate::svg::Svg;
use crate::window::{Px, View};

/// An upright box on the drawing, in pixels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Area {
    low: Px,
    high: Px,
}

impl Area {
    pub(crate) fn around(centre: Px, width: f64, height: f64) -> Area {
        Area {
            low: Px::new(centre.x - width / 2.0, centre.y - height / 2.0),
            high: Px::new(centre.x + width / 2.0, centre.y + height / 2.0),
        }
    }

    fn meets(&self, other: &Area) -> bool {
        self.low.x < other.high.x
            && other.low.x < self.high.x
            && self.low.y < other.high.y
            && other.low.y < self.high.y
    }
}

/// The places that are taken.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Labels {
    taken: Vec<Area>,
    /// Words below, which may be covered where nothing else is free.
    below: Vec<Area>,
    /// Where words would not be read at all.
    shut: Vec<Area>,
    /// Plates: words on a ground of their own, which hides what is below.
    plates: Vec<Area>,
}

impl Labels {
    /// For words that are drawn over others: those may be covered, at a cost.
    pub(crate) fn over(mut self, below: &Labels) -> Labels {
        self.below.extend_from_slice(&below.taken);
        self
    }

    /// Keeps words off a part of the drawing where they would be covered.
    pub(crate) fn shut(&mut self, area: Area) {
        self.shut.push(area);
    }

    /// Keeps words off a part of the drawing.
    pub(crate) fn take(&mut self, area: Area) {
        self.taken.push(area);
    }

    /// Keeps words off a stroke, by boxes along it.
    pub(crate) fn take_stroke(&mut self, from: Px, to: Px) {
        let steps = (from.distance(to) / 10.0).ceil().clamp(1.0, 60.0);
        for step in 0..=steps as u32 {
            let share = f64::from(step) / steps;
            let at = Px::new(
                from.x + (to.x - from.x) * share,
                from.y + (to.y - from.y) * share,
            );
            self.take(Area::around(at, 6.0, 6.0));
        }
    }

    /// The first of `candidates` (middles) at which a box of that size is on the drawing and
    /// meets nothing, or at least nothing but words below; it is then taken.
    pub(crate) fn place(
        &mut self,
        view: &View,
        candidates: impl IntoIterator<Item = Px>,
        width: f64,
        height: f64,
    ) -> Option<Px> {
        let mut free = candidates
            .into_iter()
            .map(|centre| (centre, Area::around(centre, width, height)))
            .filter(|(_, area)| self.is_free(view, area));
        let (mut centre, mut area) = free.next()?;
        let covers = |area: &Area| self.below.iter().any(|other| other.meets(area));
        if covers(&area)
            && let Some(better) = free.find(|(_, area)| !covers(area))
        {
            (centre, area) = better;
        }
        self.take(area);
        Some(centre)
    }

    /// As [`Labels::place`], for words that run along a line. Candidates carry the direction of
    /// their line, a unit step.
    pub(crate) fn place_along(
        &mut self,
        view: &View,
        candidates: impl IntoIterator<Item = (Px, Px)>,
        width: f64,
        height: f64,
    ) -> Option<(Px, Px)> {
        let boxes = |(centre, along): (Px, Px)| {
            // Boxes as broad as the words are high, strung along them.
            let count = (width / height).ceil().max(1.0);
            (0..count as u32).map(move |index| {
                let share = (f64::from(index) + 0.5) / count - 0.5;
                Area::around(centre.along(along, share * width), height, height)
            })
        };
        let chosen = candidates
            .into_iter()
            .find(|&candidate| boxes(candidate).all(|area| self.is_free(view, &area)))?;
        self.taken.extend(boxes(chosen));
        Some(chosen)
    }

    /// As [`Labels::place`], for words that must be read: they stand at the candidate that covers
    /// the least, pushed onto the drawing.
    pub(crate) fn place_surely(
        &mut self,
        view: &View,
        candidates: &[Px],
        width: f64,
        height: f64,
    ) -> Px {
        let centre = self
            .least_covering(view, candidates, width, height, |_| true)
            .unwrap_or_else(|| Px::new(width / 2.0, height / 2.0));
        self.take(Area::around(centre, width, height));
        centre
    }

    /// As [`Labels::place_surely`], for a plate: never over another one. `None` when no candidate
    /// leaves room.
    pub(crate) fn place_plate(
        &mut self,
        view: &View,
        candidates: &[Px],
        width: f64,
        height: f64,
    ) -> Option<Px> {
        let clear = |area: &Area| !self.plates.iter().any(|other| other.meets(area));
        let centre = self.least_covering(view, candidates, width, height, clear)?;
        let area = Area::around(centre, width, height);
        self.take(area);
        self.plates.push(area);
        Some(centre)
    }

    /// The candidate that covers the least, pushed onto the drawing, among those that may be.
    fn least_covering(
        &self,
        view: &View,
        candidates: &[Px],
        width: f64,
        height: f64,
        may: impl Fn(&Area) -> bool,
    ) -> Option<Px> {
        const EDGE: f64 = 4.0;
        let inside =
            |at: f64, size: f64, room: f64| at.min(room - size / 2.0 - EDGE).max(size / 2.0 + EDGE);
        let cost = |area: &Area, order: usize, pushed: f64| {
            let count = |areas: &[Area]| areas.iter().filter(|it| it.meets(area)).count() as f64;
            60.0 * count(&self.shut)
                + 6.0 * count(&self.taken)
                + count(&self.below)
                + 0.08 * order as f64
                + pushed / 12.0
        };
        let all = candidates.iter().enumerate().map(|(order, &wanted)| {
            let at = Px::new(
                inside(wanted.x, width, view.width),
                inside(wanted.y, height, view.height),
            );
            (order, wanted, at, Area::around(at, width, height))
        });
        let costs = all
            .filter(|(_, _, _, area)| may(area))
            .map(|(order, wanted, at, area)| (cost(&area, order, wanted.distance(at)), at));
        costs
            .min_by(|(a, _), (b, _)| a.total_cmp(b))
            .map(|(_, at)| at)
    }

    fn is_free(&self, view: &View, area: &Area) -> bool {
        area.low.x >= 0.0
            && area.low.y >= 0.0
            && area.high.x <= view.width
            && area.high.y <= view.height
            && !self.shut.iter().any(|other| other.meets(area))
            && !self.taken.iter().any(|other| other.meets(area))
    }
}

/// Places around a middle, nearest first, `gap` pixels away and further: above, below, right,
/// left, then between.
pub(crate) fn around(centre: Px, across: f64, up: f64) -> Vec<Px> {
    [1.0, 1.4, 1.9, 2.6]
        .iter()
        .flat_map(|far| {
            [
                (0.0, -1.0),
                (0.0, 1.0),
                (1.0, 0.0),
                (-1.0, 0.0),
                (0.8, -0.8),
                (-0.8, -0.8),
                (0.8, 0.8),
                (-0.8, 0.8),
            ]
            .map(|(x, y)| Px::new(centre.x + x * across * far, centre.y + y * up * far))
        })
        .collect()
}

/// As [`text_width`], for bold words.
pub(crate) fn bold_width(text: &str, size: f64) -> f64 {
    1.13 * text_width(text, size)
}

/// Writes words along a line, right way up. `along` is the line's direction, a unit step.
pub(crate) fn write_along(svg: &mut Svg, class: &str, at: Px, along: Px, text: &str) {
    let mut angle = libm::atan2(along.y, along.x).to_degrees();
    if angle > 90.0 {
        angle -= 180.0;
    } else if angle <= -90.0 {
        angle += 180.0;
    }
    svg.element("text")
        .attr("class", class)
        .px("x", at.x)
        .px("y", at.y + 4.0)
        .attr(
            "transform",
            &format!("rotate({angle:.1} {:.1} {:.1})", at.x, at.y),
        )
        .text(text);
}

/// About how wide a line of text comes out, pixels, for a text size in pixels. A little too
/// wide for most faces, so that words keep apart.
pub(crate) fn text_width(text: &str, size: f64) -> f64 {
    let ems: f64 = text
        .chars()
        .map(|character| match character {
            'i' | 'l' | 'j' | '.' | ',' | '\'' | '|' | ' ' | ':' => 0.33,
            'm' | 'w' | 'M' | 'W' | '@' | '%' => 0.9,
            'A'..='Z' => 0.7,
            // Wide scripts take a whole em.
            '\u{1100}'.. => 1.0,
            _ => 0.61,
        })
        .sum();
    ems * size
}

/// A name as it fits on a drawing: whole, or its beginning.
pub(crate) fn short(name: &str) -> String {
    const LONGEST: usize = 28;
    if name.chars().count() <= LONGEST {
        return name.to_owned();
    }
    let mut short: String = name.chars().take(LONGEST - 1).collect();
    short.push('…');
    short
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::window::Window;
    use tober::Point;

    fn view() -> View {
        View::new(
            Window::around(Point::origin(), 10.0, 200.0, 200.0),
            200.0,
            200.0,
        )
    }

    #[test]
    fn a_second_label_gives_way() {
        let mut labels = Labels::default();
        let candidates = [Px::new(100.0, 100.0), Px::new(100.0, 140.0)];
        assert_eq!(
            labels.place(&view(), candidates, 40.0, 20.0),
            Some(candidates[0])
        );
        assert_eq!(
            labels.place(&view(), candidates, 40.0, 20.0),
            Some(candidates[1])
        );
        assert_eq!(labels.place(&view(), candidates, 40.0, 20.0), None);
    }

    #[test]
    fn words_that_must_be_read_stay_on_the_drawing() {
        let mut labels = Labels::default();
        let centre = labels.place_surely(&view(), &[Px::new(-50.0, 500.0)], 40.0, 20.0);
        assert_eq!(centre, Px::new(24.0, 186.0));
    }

    #[test]
    fn no_plate_lies_on_another() {
        let mut labels = Labels::default();
        let candidates = [Px::new(100.0, 60.0), Px::new(100.0, 90.0)];
        let mut place = || labels.place_plate(&view(), &candidates, 40.0, 30.0);
        assert_eq!(place(), Some(candidates[0]));
        assert_eq!(place(), Some(candidates[1]));
        assert_eq!(place(), None);
    }

    #[test]
    fn words_on_top_rather_cover_words_below_than_their_like() {
        let [first, second] = [Px::new(100.0, 60.0), Px::new(100.0, 140.0)];
        let mut below = Labels::default();
        below.take(Area::around(second, 40.0, 20.0));
        let mut labels = Labels::default().over(&below);
        labels.take(Area::around(first, 40.0, 20.0));
        let centre = labels.place_surely(&view(), &[first, second], 40.0, 20.0);
        assert_eq!(centre, second);
    }

    #[test]
    fn long_names_are_cut_between_characters() {
        assert_eq!(short("Öl"), "Öl");
        assert_eq!(short(&"ö".repeat(40)).chars().count(), 28);
    }
}
