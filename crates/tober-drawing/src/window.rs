//! The window: which part of the lot is looked at, and how large.
//!
//! North is up. Pixels count from the top left corner, as on every screen.

use tober::Point;
use tober::site::Site;

/// A place on the drawing, CSS pixels from the top left corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Px {
    /// To the right.
    pub x: f64,
    /// Downwards.
    pub y: f64,
}

impl Px {
    /// A place on the drawing.
    pub fn new(x: f64, y: f64) -> Px {
        Px { x, y }
    }

    /// The place `length` pixels away in a direction given by a unit step.
    pub(crate) fn along(self, direction: Px, length: f64) -> Px {
        Px::new(self.x + direction.x * length, self.y + direction.y * length)
    }

    pub(crate) fn middle(self, other: Px) -> Px {
        Px::new((self.x + other.x) / 2.0, (self.y + other.y) / 2.0)
    }

    pub(crate) fn distance(self, other: Px) -> f64 {
        libm::hypot(self.x - other.x, self.y - other.y)
    }

    /// The unit step towards another place; `None` when the two are the same.
    pub(crate) fn towards(self, other: Px) -> Option<Px> {
        let distance = self.distance(other);
        (distance > 1e-6)
            .then(|| Px::new((other.x - self.x) / distance, (other.y - self.y) / distance))
    }

    /// A step turned a quarter to the right, as seen on the screen.
    pub(crate) fn turned_right(self) -> Px {
        Px::new(-self.y, self.x)
    }
}

/// Which part of the lot is looked at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// What stands in the middle of the drawing, lot frame.
    pub centre: Point,
    /// Scale, metres for one CSS pixel.
    pub metres_per_px: f64,
}

/// Closest view: a millimetre for a pixel.
const CLOSEST: f64 = 0.001;
/// Widest view: ten kilometres on a phone.
const WIDEST: f64 = 25.0;
/// Room left around what is fitted, pixels: labels and furniture stand there.
const MARGIN: f64 = 34.0;

/// Drawings below this are small, square pixels.
const SMALL_AREA: f64 = 250_000.0;
/// Small drawings are crowded from this scale on, metres for a pixel.
const CROWDED_FROM: f64 = 0.06;

impl Window {
    /// The window that shows the whole lot in a drawing of that size in pixels.
    pub fn fit(site: &Site, width: f64, height: f64) -> Window {
        let boundary = &site.file().lot.boundary;
        let low = |pick: fn(&Point) -> f64| boundary.iter().map(pick).fold(f64::MAX, f64::min);
        let high = |pick: fn(&Point) -> f64| boundary.iter().map(pick).fold(f64::MIN, f64::max);
        if boundary.is_empty() {
            return Window::around(Point::origin(), 10.0, width, height);
        }
        let (west, east) = (low(|p| p.x), high(|p| p.x));
        let (south, north) = (low(|p| p.y), high(|p| p.y));
        let metres_per_px = f64::max(
            (east - west) / (width - 2.0 * MARGIN).max(1.0),
            (north - south) / (height - 2.0 * MARGIN).max(1.0),
        );
        Window {
            centre: Point::new((west + east) / 2.0, (south + north) / 2.0),
            metres_per_px: metres_per_px.clamp(CLOSEST, WIDEST),
        }
    }

    /// The window that shows a circle, radius in metres, in a drawing of that size in pixels.
    pub fn around(centre: Point, radius: f64, width: f64, height: f64) -> Window {
        let room = (width.min(height) - 2.0 * MARGIN).max(1.0);
        Window {
            centre,
            metres_per_px: (2.0 * radius / room).clamp(CLOSEST, WIDEST),
        }
    }

    /// Where a place of the lot comes to lie on a drawing of that size in pixels.
    pub fn to_px(&self, at: Point, width: f64, height: f64) -> Px {
        Px::new(
            width / 2.0 + (at.x - self.centre.x) / self.metres_per_px,
            height / 2.0 - (at.y - self.centre.y) / self.metres_per_px,
        )
    }

    /// Which place of the lot lies under a pixel of a drawing of that size; undoes
    /// [`Window::to_px`].
    pub fn to_lot(&self, at: Px, width: f64, height: f64) -> Point {
        Point::new(
            self.centre.x + (at.x - width / 2.0) * self.metres_per_px,
            self.centre.y - (at.y - height / 2.0) * self.metres_per_px,
        )
    }

    /// The window after the paper was dragged by so many pixels.
    #[must_use]
    pub fn panned(&self, right: f64, down: f64) -> Window {
        let mut window = *self;
        window.centre.x -= right * self.metres_per_px;
        window.centre.y += down * self.metres_per_px;
        window
    }

    /// The window that shows everything `factor` times as large, the place under the pixel
    /// `about` staying where it is.
    #[must_use]
    pub fn zoomed(&self, factor: f64, about: Px, width: f64, height: f64) -> Window {
        let fixed = self.to_lot(about, width, height);
        let metres_per_px = (self.metres_per_px / factor).clamp(CLOSEST, WIDEST);
        let share = metres_per_px / self.metres_per_px;
        Window {
            centre: fixed + (self.centre - fixed) * share,
            metres_per_px,
        }
    }
}

/// A window on a drawing of known size: what every part of the drawing maps places through.
#[derive(Clone, Copy, Debug)]
pub(crate) struct View {
    window: Window,
    pub(crate) width: f64,
    pub(crate) height: f64,
}

impl View {
    pub(crate) fn new(window: Window, width: f64, height: f64) -> View {
        View {
            window,
            width,
            height,
        }
    }

    pub(crate) fn px(&self, at: Point) -> Px {
        self.window.to_px(at, self.width, self.height)
    }

    pub(crate) fn all_px<'a>(&'a self, places: &'a [Point]) -> impl Iterator<Item = Px> + 'a {
        places.iter().map(|&place| self.px(place))
    }

    pub(crate) fn lot(&self, at: Px) -> Point {
        self.window.to_lot(at, self.width, self.height)
    }

    /// A length of the lot in pixels.
    pub(crate) fn length(&self, metres: f64) -> f64 {
        metres / self.window.metres_per_px
    }

    pub(crate) fn metres_per_px(&self) -> f64 {
        self.window.metres_per_px
    }

    /// Whether the drawing is small, about a phone's: then words are brief.
    pub(crate) fn is_small(&self) -> bool {
        self.width * self.height < SMALL_AREA
    }

    /// Whether it is small and shows much: then only the words that matter most are written.
    pub(crate) fn is_crowded(&self) -> bool {
        self.is_small() && self.window.metres_per_px > CROWDED_FROM
    }

    /// Whether a place is on the drawing or within `margin` pixels of it.
    pub(crate) fn shows(&self, at: Px, margin: f64) -> bool {
        at.x >= -margin
            && at.x <= self.width + margin
            && at.y >= -margin
            && at.y <= self.height + margin
    }

    /// Whether any part of the box around these places is on the drawing.
    pub(crate) fn shows_any(&self, places: &[Px], margin: f64) -> bool {
        let mut low = Px::new(f64::MAX, f64::MAX);
        let mut high = Px::new(f64::MIN, f64::MIN);
        for place in places {
            low = Px::new(low.x.min(place.x), low.y.min(place.y));
            high = Px::new(high.x.max(place.x), high.y.max(place.y));
        }
        low.x <= self.width + margin
            && low.y <= self.height + margin
            && high.x >= -margin
            && high.y >= -margin
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIZE: (f64, f64) = (800.0, 600.0);

    #[test]
    fn a_pixel_and_its_place_undo_each_other() {
        let window = Window {
            centre: Point::new(12.0, -7.0),
            metres_per_px: 0.05,
        };
        let at = Px::new(123.0, 456.0);
        let back = window.to_px(window.to_lot(at, SIZE.0, SIZE.1), SIZE.0, SIZE.1);
        assert!(at.distance(back) < 1e-9);
    }

    #[test]
    fn north_is_up() {
        let window = Window::around(Point::origin(), 10.0, SIZE.0, SIZE.1);
        assert!(window.to_px(Point::new(0.0, 5.0), SIZE.0, SIZE.1).y < 300.0);
    }

    #[test]
    fn zooming_keeps_the_place_under_the_finger() {
        let window = Window::around(Point::new(3.0, 4.0), 10.0, SIZE.0, SIZE.1);
        let about = Px::new(100.0, 500.0);
        let before = window.to_lot(about, SIZE.0, SIZE.1);
        let zoomed = window.zoomed(2.5, about, SIZE.0, SIZE.1);
        let after = zoomed.to_lot(about, SIZE.0, SIZE.1);
        assert!((before - after).norm() < 1e-9);
        assert!(zoomed.metres_per_px < window.metres_per_px);
    }

    #[test]
    fn zooming_stops_at_either_end() {
        let window = Window::around(Point::origin(), 10.0, SIZE.0, SIZE.1);
        let centre = Px::new(400.0, 300.0);
        let near = window.zoomed(1e9, centre, SIZE.0, SIZE.1);
        let far = window.zoomed(1e-9, centre, SIZE.0, SIZE.1);
        assert_eq!((near.metres_per_px, far.metres_per_px), (CLOSEST, WIDEST));
    }
}
