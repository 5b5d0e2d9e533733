//! The ground: a triangulated surface through the spot levels.
//!
//! Neighbouring shots are joined into triangles (the Delaunay triangulation: of all ways to
//! join them, the one with the fewest slivers), and the ground is taken as flat within each.
//!
//! ```text
//!      99.8 ───── 99.6        inside a triangle: linear between its three shots
//!       │ ╲        │          on an edge: linear between two
//!       │   ╲  ·   │          on a shot: the shot
//!       │     ╲    │          outside the outline: unknown, never extrapolated
//!      99.9 ───── 99.7
//! ```
//!
//! Surveys that span no area degrade honestly: shots along one line give heights along that
//! line, a single shot gives one height, no shot gives none.
//!
//! Source: B. Delaunay, *Sur la sphère vide*, 1934; built and searched by the `spade` library.

mod contour;

use serde::{Deserialize, Serialize};
use spade::handles::{DirectedEdgeHandle, InnerTag};
use spade::{
    DelaunayTriangulation, HasPosition, HierarchyHintGenerator, Point2, PositionInTriangulation,
    Triangulation,
};

use crate::site::SpotLevel;
use crate::{Point, Step};

pub use contour::{Contour, sensible_interval};

/// A height above the site's benchmark level, metres.
///
/// Two elevations differ by an offset (`f64`, metres); they do not add.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(transparent)]
pub struct Elevation(pub f64);

impl std::ops::Sub for Elevation {
    type Output = f64;
    fn sub(self, other: Elevation) -> f64 {
        self.0 - other.0
    }
}

impl std::ops::Add<f64> for Elevation {
    type Output = Elevation;
    fn add(self, offset: f64) -> Elevation {
        Elevation(self.0 + offset)
    }
}

impl std::ops::Sub<f64> for Elevation {
    type Output = Elevation;
    fn sub(self, offset: f64) -> Elevation {
        Elevation(self.0 - offset)
    }
}

/// How far beside the outline (or beside a line of shots, or beside a single shot) a place
/// still counts as on it, metres.
///
/// A foot whose shot was taken right under it is computed through the ride's heading and comes
/// out a rounding away from the shot. A millimetre is less than anyone stakes out on grass.
const ON_THE_OUTLINE: f64 = 0.001;

/// Numbers beyond this, metres, are no place on a fairground; the site's own check refuses them
/// long before. It keeps every product of coordinates far from overflow.
const FARTHEST: f64 = 1e9;

/// The prepared surface.
///
/// Built once and shared while a ride is dragged. The order in which the shots are listed has
/// no influence, to the last digit.
///
/// ```
/// use tober::Point;
/// use tober::ground::{Elevation, Ground};
/// use tober::site::SpotLevel;
///
/// let shot = |x, y, z| SpotLevel { x, y, elevation: Elevation(z) };
/// let ground = Ground::new(&[shot(0.0, 0.0, 99.0), shot(8.0, 0.0, 99.4), shot(0.0, 8.0, 99.0)]);
/// assert_eq!(ground.height(Point::new(2.0, 2.0)), Some(Elevation(99.1)));
/// assert_eq!(ground.height(Point::new(7.0, 7.0)), None);
/// ```
#[derive(Clone, Debug)]
pub struct Ground {
    /// The lot-frame place that the surface counts its coordinates from, so that numbers as
    /// large as a national grid's lose nothing in the sums.
    origin: Point,
    surface: Surface,
    outline: Vec<Point>,
    lowest: Option<Elevation>,
    highest: Option<Elevation>,
}

type Surface = DelaunayTriangulation<Shot, (), (), (), HierarchyHintGenerator<f64>>;

type Edge<'a> = DirectedEdgeHandle<'a, Shot, (), (), ()>;

type Triangle<'a> = spade::handles::FaceHandle<'a, InnerTag, Shot, (), (), ()>;

/// A spot level in the surface's own frame.
#[derive(Clone, Copy, Debug)]
struct Shot {
    at: Point2<f64>,
    elevation: Elevation,
}

impl HasPosition for Shot {
    type Scalar = f64;
    fn position(&self) -> Point2<f64> {
        self.at
    }
}

impl Ground {
    /// Builds the surface. Never fails: what cannot be a shot (not finite, or beyond any
    /// fairground) is left out.
    ///
    /// Several shots at exactly one place count as one, at their mean, as a surveyor books
    /// repeated readings; that they disagree is for the site's check to report.
    pub fn new(spot_levels: &[SpotLevel]) -> Ground {
        let usable: Vec<&SpotLevel> = spot_levels.iter().filter(|shot| is_usable(shot)).collect();
        let low_corner = |along: fn(&SpotLevel) -> f64| {
            let least = usable.iter().map(|shot| along(shot)).reduce(f64::min);
            // To the whole metre, so that taking it away keeps round coordinates round.
            least.unwrap_or(0.0).floor()
        };
        let origin = Point::new(low_corner(|shot| shot.x), low_corner(|shot| shot.y));

        let shots = merge(
            usable
                .into_iter()
                .map(|shot| Shot {
                    at: to_local(origin, Point::new(shot.x, shot.y)),
                    elevation: shot.elevation,
                })
                .collect(),
        );
        let elevations = || shots.iter().map(|shot| shot.elevation);
        let lowest = elevations().reduce(|a, b| if b < a { b } else { a });
        let highest = elevations().reduce(|a, b| if b > a { b } else { a });

        // Every coordinate is finite and of an ordinary size: nothing is left to be refused.
        let surface = Surface::bulk_load(shots).unwrap_or_default();
        let outline = outline(&surface, origin);
        Ground {
            origin,
            surface,
            outline,
            lowest,
            highest,
        }
    }

    /// The height of the ground, or `None` where the survey does not tell.
    ///
    /// A place up to a millimetre outside the outline takes the height of the nearest place on
    /// it, so that a foot on a shot stays on it through rounding.
    pub fn height(&self, at: Point) -> Option<Elevation> {
        if !(is_near(at.x) && is_near(at.y)) {
            return None;
        }
        let at = to_local(self.origin, at);
        match self.surface.locate(at) {
            PositionInTriangulation::OnVertex(shot) => {
                Some(self.surface.vertex(shot).data().elevation)
            }
            PositionInTriangulation::OnEdge(edge) => {
                Some(Nearest::on(self.surface.directed_edge(edge), at).elevation)
            }
            PositionInTriangulation::OnFace(face) => {
                Some(height_in_triangle(self.surface.face(face), at))
            }
            PositionInTriangulation::OutsideOfConvexHull(edge) => {
                self.height_beside_outline(self.surface.directed_edge(edge), at)
            }
            PositionInTriangulation::NoTriangulation => {
                let shot = self.surface.vertices().next()?;
                let room = shot.position().distance_2(at);
                (room <= ON_THE_OUTLINE * ON_THE_OUTLINE).then(|| shot.data().elevation)
            }
        }
    }

    /// The lowest shot.
    pub fn lowest(&self) -> Option<Elevation> {
        self.lowest
    }

    /// The highest shot.
    pub fn highest(&self) -> Option<Elevation> {
        self.highest
    }

    /// The outline of the surface, counter-clockwise, lot frame, not closed by repeating the
    /// first corner: the convex hull of the shots. Empty when they span no area.
    pub fn outline(&self) -> &[Point] {
        &self.outline
    }

    /// The triangles of the surface, each with its three shots counter-clockwise, lot frame.
    pub fn triangles(&self) -> impl Iterator<Item = [(Point, Elevation); 3]> + '_ {
        self.surface.inner_faces().map(|triangle| {
            triangle
                .vertices()
                .map(|shot| (to_lot(self.origin, shot.position()), shot.data().elevation))
        })
    }

    /// Contour lines at every whole multiple of `interval` metres, the lowest first.
    ///
    /// Empty when the interval is not a positive number, or so fine that it would draw more
    /// than 200 levels or two million pieces of line: [`sensible_interval`] picks a good one.
    pub fn contours(&self, interval: f64) -> Vec<Contour> {
        let (Some(lowest), Some(highest)) = (self.lowest, self.highest) else {
            return Vec::new();
        };
        contour::trace(&self.surface, self.origin, lowest, highest, interval)
    }

    /// `outside` is any edge of the outline that has the place on its outer side.
    fn height_beside_outline(&self, outside: Edge<'_>, at: Point2<f64>) -> Option<Elevation> {
        let room_2 = ON_THE_OUTLINE * ON_THE_OUTLINE;
        // The edge's line separates the place from the whole surface: most places end here.
        if distance_to_line_2(outside, at) > room_2 {
            return None;
        }
        self.surface
            .convex_hull()
            .map(|edge| Nearest::on(edge, at))
            .reduce(|a, b| if b.distance_2 < a.distance_2 { b } else { a })
            .filter(|nearest| nearest.distance_2 <= room_2)
            .map(|nearest| nearest.elevation)
    }
}

/// The place on an edge that is nearest to some place.
struct Nearest {
    distance_2: f64,
    elevation: Elevation,
}

impl Nearest {
    fn on(edge: Edge<'_>, at: Point2<f64>) -> Nearest {
        // Always in the same direction, so that both sides of an edge tell the same last digit.
        let [a, b] = if edge.from().index() < edge.to().index() {
            [edge.from(), edge.to()]
        } else {
            [edge.to(), edge.from()]
        };
        let (from, to) = (*a.data(), *b.data());
        let along = step(from.at, to.at);
        let share = (step(from.at, at).dot(&along) / along.norm_squared()).clamp(0.0, 1.0);
        let nearest = step(from.at, at) - along * share;
        Nearest {
            distance_2: nearest.norm_squared(),
            elevation: from.elevation + share * (to.elevation - from.elevation),
        }
    }
}

/// The height of a triangle's plane at a place inside it: always between its lowest and its
/// highest corner, however thin the triangle.
fn height_in_triangle(triangle: Triangle<'_>, at: Point2<f64>) -> Elevation {
    let [a, b, c] = triangle.vertices().map(|shot| *shot.data());
    // Each corner weighs as much as the part of the triangle on the far side of the place.
    let [to_a, to_b, to_c] = [a, b, c].map(|corner| step(at, corner.at));
    let weight_a = to_b.perp(&to_c).max(0.0);
    let weight_b = to_c.perp(&to_a).max(0.0);
    let weight_c = to_a.perp(&to_b).max(0.0);
    let whole = weight_a + weight_b + weight_c;
    if whole <= 0.0 {
        // Thinner than the sums can tell: the place is on all three corners at once.
        return a.elevation;
    }
    // Counted from one corner, so that level ground comes out level to the last digit.
    a.elevation
        + weight_b / whole * (b.elevation - a.elevation)
        + weight_c / whole * (c.elevation - a.elevation)
}

fn distance_to_line_2(edge: Edge<'_>, at: Point2<f64>) -> f64 {
    let [from, to] = edge.positions();
    let along = step(from, to);
    let area = along.perp(&step(from, at));
    area * area / along.norm_squared()
}

/// One shot for each place, in an order that does not depend on the order of the file.
fn merge(mut shots: Vec<Shot>) -> Vec<Shot> {
    shots.sort_by(|a, b| {
        (a.at.x.total_cmp(&b.at.x))
            .then(a.at.y.total_cmp(&b.at.y))
            .then(a.elevation.0.total_cmp(&b.elevation.0))
    });
    shots
        .chunk_by(|a, b| a.at == b.at)
        .filter_map(|same_place| {
            let first = same_place.first()?;
            let above_first: f64 = (same_place.iter())
                .map(|shot| shot.elevation - first.elevation)
                .sum();
            Some(Shot {
                at: first.at,
                elevation: first.elevation + above_first / same_place.len() as f64,
            })
        })
        .collect()
}

fn outline(surface: &Surface, origin: Point) -> Vec<Point> {
    if surface.num_inner_faces() == 0 {
        return Vec::new();
    }
    // The library goes round clockwise, with the outer side on the left.
    let mut corners: Vec<Point> = surface
        .convex_hull()
        .map(|edge| to_lot(origin, edge.from().position()))
        .collect();
    corners.reverse();
    corners
}

fn is_usable(shot: &SpotLevel) -> bool {
    is_near(shot.x) && is_near(shot.y) && is_near(shot.elevation.0)
}

/// Whether a coordinate is a number that can occur on a fairground; not so for NaN.
fn is_near(coordinate: f64) -> bool {
    coordinate.abs() <= FARTHEST
}

fn to_local(origin: Point, at: Point) -> Point2<f64> {
    spade::mitigate_underflow(Point2::new(at.x - origin.x, at.y - origin.y))
}

fn to_lot(origin: Point, at: Point2<f64>) -> Point {
    origin + Step::new(at.x, at.y)
}

fn step(from: Point2<f64>, to: Point2<f64>) -> Step {
    Step::new(to.x - from.x, to.y - from.y)
}

#[cfg(test)]
mod tests {
    use super::*;

    use proptest::prelude::*;

    fn shot(x: f64, y: f64, elevation: f64) -> SpotLevel {
        SpotLevel {
            x,
            y,
            elevation: Elevation(elevation),
        }
    }

    fn square() -> Ground {
        Ground::new(&[
            shot(0.0, 0.0, 10.0),
            shot(10.0, 0.0, 11.0),
            shot(10.0, 10.0, 13.0),
            shot(0.0, 10.0, 12.0),
        ])
    }

    fn height(ground: &Ground, x: f64, y: f64) -> Option<f64> {
        ground.height(Point::new(x, y)).map(|elevation| elevation.0)
    }

    #[test]
    fn a_prepared_surface_can_be_shared() {
        fn shareable<T: Send + Sync + Clone + std::fmt::Debug + 'static>() {}
        shareable::<Ground>();
    }

    #[test]
    fn a_plane_is_met_inside_on_edges_and_on_shots() {
        let ground = square();
        for (x, y) in [
            (0.0, 0.0),
            (10.0, 4.0),
            (5.0, 5.0),
            (2.5, 7.0),
            (10.0, 10.0),
        ] {
            let expected = 10.0 + 0.1 * x + 0.2 * y;
            let found = height(&ground, x, y).unwrap();
            assert!((found - expected).abs() < 1e-12, "{x} {y}: {found}");
        }
        assert_eq!(ground.lowest(), Some(Elevation(10.0)));
        assert_eq!(ground.highest(), Some(Elevation(13.0)));
    }

    #[test]
    fn outside_the_outline_the_ground_is_unknown() {
        let ground = square();
        for (x, y) in [
            (-0.01, 5.0),
            (10.01, 5.0),
            (5.0, -0.01),
            (11.0, 11.0),
            (1e300, 0.0),
        ] {
            assert_eq!(height(&ground, x, y), None, "{x} {y}");
        }
        assert_eq!(height(&ground, f64::NAN, 1.0), None);
        assert_eq!(height(&ground, f64::INFINITY, 1.0), None);
    }

    #[test]
    fn a_rounding_beside_the_outline_is_on_it() {
        let ground = square();
        assert_eq!(height(&ground, 10.0 + 1e-9, 5.0), Some(12.0));
        assert_eq!(height(&ground, -0.0009, 0.0), Some(10.0));
        assert_eq!(height(&ground, -0.0011, 0.0), None);
        // Beyond a sharp corner the line of an edge runs on; the ground does not.
        let sharp = Ground::new(&[
            shot(0.0, 0.0, 1.0),
            shot(9.0, 0.0, 2.0),
            shot(0.0, 1.0, 1.0),
        ]);
        assert_eq!(height(&sharp, 9.5, 0.0), None);
        assert_eq!(height(&sharp, 9.0005, 0.0), Some(2.0));
    }

    #[test]
    fn a_line_of_shots_gives_heights_along_the_line_only() {
        let ground = Ground::new(&[
            shot(0.0, 0.0, 1.0),
            shot(4.0, 4.0, 3.0),
            shot(2.0, 2.0, 1.0),
        ]);
        assert_eq!(height(&ground, 3.0, 3.0), Some(2.0));
        assert_eq!(height(&ground, 4.0, 4.0), Some(3.0));
        assert_eq!(height(&ground, 4.1, 4.1), None);
        assert_eq!(height(&ground, 3.0, 3.1), None);
        assert!(ground.outline().is_empty());
        assert!(ground.contours(0.5).is_empty());
    }

    #[test]
    fn a_single_shot_gives_one_height_and_none_gives_none() {
        let single = Ground::new(&[shot(7.0, 8.0, 9.0)]);
        assert_eq!(height(&single, 7.0, 8.0), Some(9.0));
        assert_eq!(height(&single, 7.0, 8.1), None);
        assert_eq!(single.lowest(), single.highest());

        let none = Ground::new(&[]);
        assert_eq!(height(&none, 0.0, 0.0), None);
        assert_eq!(none.lowest(), None);
        assert!(none.outline().is_empty() && none.contours(1.0).is_empty());
    }

    #[test]
    fn repeated_readings_at_one_place_count_as_their_mean() {
        let ground = Ground::new(&[
            shot(0.0, 0.0, 1.0),
            shot(0.0, 0.0, 2.0),
            shot(5.0, 0.0, 0.0),
            shot(0.0, 5.0, 0.0),
        ]);
        assert_eq!(height(&ground, 0.0, 0.0), Some(1.5));
        assert_eq!(ground.highest(), Some(Elevation(1.5)));
    }

    #[test]
    fn what_cannot_be_a_shot_is_left_out() {
        let ground = Ground::new(&[
            shot(0.0, 0.0, 1.0),
            shot(f64::NAN, 0.0, 1.0),
            shot(1.0, f64::INFINITY, 1.0),
            shot(1.0, 1.0, f64::NAN),
            shot(1e300, -1e300, 1e300),
            shot(5e-324, 5.0, 2.0),
            shot(5.0, 0.0, 2.0),
        ]);
        assert_eq!(ground.triangles().count(), 1);
        assert_eq!(ground.highest(), Some(Elevation(2.0)));
    }

    #[test]
    fn the_outline_runs_counter_clockwise() {
        let outline = square().outline().to_vec();
        assert_eq!(outline.len(), 4);
        let doubled: f64 = (0..4)
            .map(|i| outline[i].coords.perp(&outline[(i + 1) % 4].coords))
            .sum();
        assert_eq!(doubled, 200.0);
    }

    #[test]
    fn national_grid_numbers_lose_nothing() {
        let near = [
            shot(0.0, 0.0, 1.0),
            shot(30.5, 0.25, 1.5),
            shot(0.75, 25.0, 2.0),
            shot(31.0, 24.5, 1.25),
        ];
        let far: Vec<SpotLevel> = near
            .iter()
            .map(|s| shot(s.x + 651_000.0, s.y + 5_313_000.0, s.elevation.0))
            .collect();
        let (near, far) = (Ground::new(&near), Ground::new(&far));
        for (x, y) in [(7.5, 3.25), (15.0, 12.5), (28.0, 20.0)] {
            let here = height(&near, x, y);
            assert!(here.is_some());
            assert_eq!(here, height(&far, x + 651_000.0, y + 5_313_000.0));
        }
    }

    fn shots() -> impl Strategy<Value = Vec<SpotLevel>> {
        // Coarse coordinates, so that repeats, lines and co-circular shots are common.
        let coordinate = || (-20i32..20).prop_map(|steps| f64::from(steps) * 0.5);
        prop::collection::vec(
            (coordinate(), coordinate(), -5.0..5.0f64).prop_map(|(x, y, z)| shot(x, y, z)),
            0..60,
        )
    }

    proptest! {
        #[test]
        fn a_height_lies_between_the_lowest_and_the_highest_shot(
            shots in shots(), x in -11.0..11.0f64, y in -11.0..11.0f64,
        ) {
            let ground = Ground::new(&shots);
            if let Some(found) = ground.height(Point::new(x, y)) {
                prop_assert!(found >= ground.lowest().unwrap() - 1e-12);
                prop_assert!(found <= ground.highest().unwrap() + 1e-12);
            }
        }

        #[test]
        fn the_order_of_the_shots_changes_nothing(
            (shots, shuffled) in shots().prop_flat_map(|shots| {
                (Just(shots.clone()), Just(shots).prop_shuffle())
            }),
            x in -11.0..11.0f64,
            y in -11.0..11.0f64,
        ) {
            let (one, other) = (Ground::new(&shots), Ground::new(&shuffled));
            prop_assert_eq!(one.height(Point::new(x, y)), other.height(Point::new(x, y)));
            prop_assert_eq!(one.contours(0.5), other.contours(0.5));
        }

        #[test]
        fn a_shot_taken_once_is_met_exactly(shots in shots()) {
            let ground = Ground::new(&shots);
            for s in &shots {
                let found = ground.height(Point::new(s.x, s.y)).unwrap();
                let alone = shots.iter().filter(|o| (o.x, o.y) == (s.x, s.y)).count() == 1;
                prop_assert!(!alone || found == s.elevation);
            }
        }
    }
}
