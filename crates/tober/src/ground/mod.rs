//! The ground: a triangulated surface through the spot levels, and how sure it is.
//!
//! Neighbouring shots are joined into triangles, with breaklines (a kerb, a ditch, the edge of
//! pavement) as sides, and the ground is taken as flat within each.
//!
//! ```text
//!      99.8 ───── 99.6        inside a triangle: linear between its three shots
//!       │ ╲        │          on an edge: linear between two
//!       │   ╲  ·   │          on a shot: the shot
//!       │     ╲    │          outside the outline: unknown, never extrapolated
//!      99.9 ───── 99.7
//! ```
//!
//! Every height comes with its standard error: what the shots themselves are off, and what the
//! ground does between them, learnt from the survey. It is least at a shot and grows away from
//! it.
//!
//! Surveys that span no area degrade honestly: shots along one line give heights along that
//! line, a single shot gives one height, no shot gives none ([`Quality`] says so in words).
//!
//! | file | what it holds | source |
//! |---|---|---|
//! | `shot` | one shot a place, with its error | Birge 1932 |
//! | `breakline` | where breaklines cross | |
//! | `triangulate` | the triangles | Delaunay 1934, Chew 1989 |
//! | `footing` | height and error from the shots around | |
//! | `roughness` | the ground between shots | Matheron 1973, Cressie 1993, ISO 8608 |
//! | `contour`, `section` | lines of one height, heights along a line | |
//! | `quality` | what the survey is good for, in words | |
//! | `next_shot` | where one more shot helps most | |

mod around;
mod breakline;
mod contour;
mod elevation;
mod footing;
mod next_shot;
mod quality;
mod roughness;
mod section;
mod shot;
#[cfg(test)]
mod tests;
mod triangulate;

use spade::handles::{DirectedEdgeHandle, InnerTag};
use spade::{
    CdtEdge, ConstrainedDelaunayTriangulation, HierarchyHintGenerator, Point2, Triangulation,
};

use crate::site::{Breakline, SpotLevel, limits};
use crate::slices::{Progress, in_one_go, no_pause};
use crate::{Point, Step};
use footing::Footing;
use roughness::Roughness;
use shot::Shot;

pub(crate) use around::Facet;
pub(crate) use breakline::{Meeting, meetings};
pub use contour::{Contour, sensible_interval};
pub use elevation::Elevation;
pub use next_shot::NextShot;
pub use quality::Quality;
pub use section::{Section, SectionPoint};
pub use shot::DEFAULT_ERROR;

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
/// let shot = |x, y, z| SpotLevel::new(x, y, Elevation(z));
/// let ground = Ground::new(&[shot(0.0, 0.0, 99.0), shot(8.0, 0.0, 99.4), shot(0.0, 8.0, 99.0)]);
/// assert_eq!(ground.height(Point::new(2.0, 2.0)), Some(Elevation(99.1)));
/// assert_eq!(ground.height(Point::new(7.0, 7.0)), None);
///
/// // A shot is as good as the rod was read; between shots nobody has looked.
/// let error = |at| ground.height_and_error(at).map(|(_, error)| error);
/// assert_eq!(error(Point::new(8.0, 0.0)), Some(0.005));
/// assert!(error(Point::new(2.0, 2.0)) > Some(0.01));
/// ```
#[derive(Clone, Debug)]
pub struct Ground {
    /// The lot-frame place that the surface counts its coordinates from, so that numbers as
    /// large as a national grid's lose nothing in the sums.
    origin: Point,
    surface: Surface,
    roughness: Roughness,
    outline: Vec<Point>,
    left_out: Vec<[Point; 2]>,
    lowest: Option<Elevation>,
    highest: Option<Elevation>,
    quality: Quality,
}

type Surface = ConstrainedDelaunayTriangulation<Shot, (), (), (), HierarchyHintGenerator<f64>>;

type Edge<'a> = DirectedEdgeHandle<'a, Shot, (), CdtEdge<()>, ()>;

type Triangle<'a> = spade::handles::FaceHandle<'a, InnerTag, Shot, (), CdtEdge<()>, ()>;

type Located = spade::PositionInTriangulation;

impl Ground {
    /// Builds the surface. Never fails: what cannot be a shot (not finite, or beyond any
    /// fairground) is left out.
    ///
    /// Several shots at exactly one place count as one, at their mean, as a surveyor books
    /// repeated readings; that they disagree is for the site's check to report.
    pub fn new(spot_levels: &[SpotLevel]) -> Ground {
        Ground::with_breaklines(spot_levels, &[])
    }

    /// Builds the surface with breaklines: triangles have sides along them, and their points are
    /// shots like any other.
    ///
    /// Breaklines that cross where neither has a point are joined there, at the mean of their
    /// heights; that they disagree is for the site's check to report.
    pub fn with_breaklines(spot_levels: &[SpotLevel], breaklines: &[Breakline]) -> Ground {
        in_one_go(Ground::prepare(spot_levels, breaklines, &no_pause))
    }

    /// Builds the surface in slices.
    pub(crate) async fn prepare(
        spot_levels: &[SpotLevel],
        breaklines: &[Breakline],
        pause: &impl AsyncFn(Progress),
    ) -> Ground {
        const PARTS: usize = 6;
        let part = async |done| {
            pause(Progress {
                doing: "Building the ground",
                done,
                of: PARTS,
            })
            .await;
        };
        let of_lines = breaklines.iter().flat_map(|line| &line.points);
        let usable = || {
            let all = spot_levels.iter().chain(of_lines.clone());
            all.filter(|shot| shot::is_usable(shot))
        };
        let low_corner = |along: fn(&SpotLevel) -> f64| {
            let least = usable().map(along).reduce(f64::min);
            // To the whole metre, so that taking it away keeps round coordinates round.
            least.unwrap_or(0.0).floor()
        };
        let origin = Point::new(low_corner(|shot| shot.x), low_corner(|shot| shot.y));

        let (nodes, pieces) =
            breakline::nodes_and_pieces(origin, breaklines, limits::BREAKLINE_MEETINGS);
        let spots = spot_levels.iter().filter(|shot| shot::is_usable(shot));
        let shots = spots.map(|spot| Shot::new(origin, spot)).chain(nodes);
        let shots = shot::merge(shots.collect());
        let elevations = || shots.iter().map(|shot| shot.elevation);
        let lowest = elevations().reduce(|a, b| if b < a { b } else { a });
        let highest = elevations().reduce(|a, b| if b > a { b } else { a });

        part(1).await;
        let (mut surface, left_out) = triangulate::join(shots, &pieces);
        part(2).await;
        let roughness = Roughness::learn(&mut surface, &pieces, &part).await;
        let outline = outline(&surface, origin);
        let mut ground = Ground {
            origin,
            surface,
            roughness,
            outline,
            left_out: left_out
                .into_iter()
                .map(|piece| piece.map(|end| to_lot(origin, end)))
                .collect(),
            lowest,
            highest,
            quality: Quality::Unknown,
        };
        ground.quality = quality::quality(&ground);
        ground
    }

    /// The height of the ground, or `None` where the survey does not tell.
    ///
    /// A place up to a millimetre outside the outline takes the height of the nearest place on
    /// it, so that a foot on a shot stays on it through rounding.
    pub fn height(&self, at: Point) -> Option<Elevation> {
        self.footing(at).map(|footing| footing.elevation())
    }

    /// The height of the ground and its standard error in metres, or `None` where the survey
    /// does not tell.
    ///
    /// The error covers what the shots are off and what the ground does between them; in two
    /// places of three the ground is within one standard error, in nineteen of twenty within two.
    pub fn height_and_error(&self, at: Point) -> Option<(Elevation, f64)> {
        let footing = self.footing(at)?;
        Some((
            footing.elevation(),
            footing.variance(&self.roughness).sqrt(),
        ))
    }

    /// How the errors of two heights go together: their covariance, square metres; the variance
    /// when both are one place. `None` where the survey does not tell.
    ///
    /// Feet that stand on the same triangle are too high or too low together, so that their
    /// difference is surer than either.
    pub fn error_covariance(&self, one: Point, other: Point) -> Option<f64> {
        let (one, other) = (self.footing(one)?, self.footing(other)?);
        Some(one.covariance(&other, &self.roughness))
    }

    /// How the errors of many heights go together: for each place its covariance with the places
    /// up to and with itself, square metres. `None` where the survey does not tell of all.
    pub fn error_covariances(&self, places: &[Point]) -> Option<Vec<Vec<f64>>> {
        let footings = places.iter().map(|&at| self.footing(at));
        let footings: Vec<Footing> = footings.collect::<Option<_>>()?;
        let row = |(index, one): (usize, &Footing)| {
            let upto = footings.iter().take(index + 1);
            let row = upto.map(|other| one.covariance(other, &self.roughness));
            row.collect()
        };
        Some(footings.iter().enumerate().map(row).collect())
    }

    /// The fall of the ground: rise towards the east and towards the north, metres in a metre, or
    /// `None` where the survey does not tell.
    ///
    /// On an edge or a shot, where the slope breaks, that of the steepest triangle there. Unknown,
    /// too, in a triangle less than a centimetre thick: its shots tell nothing of the fall across.
    pub fn gradient(&self, at: Point) -> Option<Step> {
        if !(is_near(at.x) && is_near(at.y)) {
            return None;
        }
        let at = to_local(self.origin, at);
        let steepest = |edges: &mut dyn Iterator<Item = Edge<'_>>| {
            let slopes = edges.filter_map(|edge| slope(edge.face().as_inner()?));
            slopes.reduce(|a, b| if b.norm() > a.norm() { b } else { a })
        };
        match self.surface.locate(at) {
            Located::OnVertex(shot) => steepest(&mut self.surface.vertex(shot).out_edges()),
            Located::OnEdge(edge) => {
                let edge = self.surface.directed_edge(edge);
                steepest(&mut [edge, edge.rev()].into_iter())
            }
            Located::OnFace(face) => slope(self.surface.face(face)),
            Located::OutsideOfConvexHull(_) | Located::NoTriangulation => None,
        }
    }

    /// The ground along the straight line between two places.
    pub fn section(&self, from: Point, to: Point) -> Section {
        section::section(self, from, to)
    }

    /// Where to take the next shot: the place that lowers the error of the worst of these feet
    /// most, or makes one known that was not. `None` when no shot would help to speak of, or
    /// there are no feet.
    pub fn next_shot(&self, feet: &[Point]) -> Option<NextShot> {
        next_shot::next_shot(self, feet)
    }

    /// What the survey is good for.
    pub fn quality(&self) -> &Quality {
        &self.quality
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

    /// Pieces of breaklines, from and to, that are sides of no triangle although they should be:
    /// such as all but touch another where they cross it. The ground runs on across them.
    pub fn pieces_left_out(&self) -> &[[Point; 2]] {
        &self.left_out
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

    fn footing(&self, at: Point) -> Option<Footing> {
        if !(is_near(at.x) && is_near(at.y)) {
            return None;
        }
        Footing::find(&self.surface, to_local(self.origin, at))
    }
}

/// Triangles thinner than this, metres, tell nothing of the fall across them.
const THINNEST_WITH_A_FALL: f64 = 0.01;

/// Rise of a triangle's plane towards the east and the north, metres in a metre.
fn slope(triangle: Triangle<'_>) -> Option<Step> {
    if footing::thickness(&triangle) < THINNEST_WITH_A_FALL {
        return None;
    }
    let [a, b, c] = triangle.vertices().map(|shot| *shot.data());
    let (to_b, to_c) = (step(a.at, b.at), step(a.at, c.at));
    let (up_b, up_c) = (b.elevation - a.elevation, c.elevation - a.elevation);
    let across = Step::new(up_b * to_c.y - up_c * to_b.y, up_c * to_b.x - up_b * to_c.x);
    Some(across / to_b.perp(&to_c))
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
