//! North arrow and scale bar.

use tober::units::LengthStyle;

use crate::labels::{Area, Labels, text_width};
use crate::svg::{PathData, Svg};
use crate::window::{Px, View};

/// Middle of the north arrow.
const NORTH: Px = Px { x: 30.0, y: 36.0 };
/// From the left edge and from the bottom edge to the scale bar, pixels.
const BAR_INSET: (f64, f64) = (18.0, 20.0);

/// A length that reads round in the site's unit.
struct Bar {
    metres: f64,
    words: String,
}

/// The longest round length that stays within the room for it.
fn bar(style: LengthStyle, view: &View) -> Option<Bar> {
    let room = (view.width * 0.22).min(170.0);
    let (unit, name) = match style {
        LengthStyle::Metres | LengthStyle::Millimetres => (1.0, "m"),
        LengthStyle::FeetInches8 | LengthStyle::FeetInches16 | LengthStyle::DecimalFeet => {
            (0.3048, "ft")
        }
    };
    [
        2000.0, 1000.0, 500.0, 200.0, 100.0, 50.0, 20.0, 10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1,
    ]
    .into_iter()
    .find(|count| view.length(count * unit) <= room)
    .map(|count| Bar {
        metres: count * unit,
        words: format!("{count} {name}"),
    })
}

/// The places that north arrow and scale bar take, and those where a page has its buttons: on
/// a small screen along the foot and in the upper right corner, else up from the lower right.
pub(crate) fn reserved(style: LengthStyle, view: &View) -> Labels {
    let mut labels = Labels::default();
    let (right, foot) = (view.width, view.height);
    labels.shut(Area::around(NORTH, 40.0, 60.0));
    if view.width < 600.0 {
        labels.shut(Area::around(Px::new(right / 2.0, foot - 28.0), right, 56.0));
        labels.shut(Area::around(Px::new(right - 30.0, 30.0), 60.0, 60.0));
    } else {
        labels.shut(Area::around(
            Px::new(right - 30.0, foot - 105.0),
            60.0,
            210.0,
        ));
    }
    if let Some(bar) = bar(style, view) {
        let length = view.length(bar.metres);
        let middle = Px::new(BAR_INSET.0 + length / 2.0, foot - BAR_INSET.1 - 6.0);
        labels.shut(Area::around(middle, length + 90.0, 40.0));
    }
    labels
}

pub(crate) fn draw(svg: &mut Svg, style: LengthStyle, view: &View) {
    svg.group("furniture", |svg| {
        north_arrow(svg);
        if let Some(bar) = bar(style, view) {
            scale_bar(svg, &bar, view);
        }
    });
}

/// The scale bar by itself: a side view has no north.
pub(crate) fn draw_scale(svg: &mut Svg, style: LengthStyle, view: &View) {
    svg.group("furniture", |svg| {
        if let Some(bar) = bar(style, view) {
            scale_bar(svg, &bar, view);
        }
    });
}

fn north_arrow(svg: &mut Svg) {
    let place = |x: f64, y: f64| Px::new(NORTH.x + x, NORTH.y + y);
    svg.circle("plate", NORTH, 22.0);
    let mut west = PathData::new();
    west.ring([place(0.0, -17.0), place(-7.0, 8.0), place(0.0, 3.0)]);
    svg.path("north-filled", &west);
    let mut east = PathData::new();
    east.ring([place(0.0, -17.0), place(7.0, 8.0), place(0.0, 3.0)]);
    svg.path("north-open", &east);
    svg.text("north-letter", place(0.0, 18.0), "N");
}

/// A bar in four parts, filled and open in turn, its length at the end.
fn scale_bar(svg: &mut Svg, bar: &Bar, view: &View) {
    let length = view.length(bar.metres);
    let part = length / 4.0;
    let left = BAR_INSET.0;
    let y = view.height - BAR_INSET.1;
    let width = length + text_width(&bar.words, 12.0) + 28.0;
    svg.element("rect")
        .attr("class", "plate")
        .px("x", left - 8.0)
        .px("y", y - 12.0)
        .px("width", width)
        .px("height", 24.0)
        .px("rx", 4.0)
        .end();
    for index in 0..4 {
        let middle = Px::new(left + part * (f64::from(index) + 0.5), y);
        let class = if index % 2 == 0 {
            "scale-filled"
        } else {
            "scale-open"
        };
        svg.rect(class, middle, part, 6.0);
    }
    svg.text(
        "scale-words",
        Px::new(left + length + 8.0, y + 4.5),
        &bar.words,
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::window::Window;
    use tober::Point;

    fn words(style: LengthStyle, radius: f64) -> String {
        let window = Window::around(Point::origin(), radius, 800.0, 600.0);
        bar(style, &View::new(window, 800.0, 600.0)).unwrap().words
    }

    #[test]
    fn the_bar_is_round_in_the_sites_unit() {
        assert_eq!(words(LengthStyle::FeetInches8, 20.0), "20 ft");
        assert_eq!(words(LengthStyle::Metres, 20.0), "10 m");
        assert_eq!(words(LengthStyle::Millimetres, 0.5), "0.2 m");
    }
}
