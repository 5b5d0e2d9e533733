//! What a survey is good for, in words: a surface, a plane, a line, one height, nothing.

use spade::Triangulation;

use super::footing::Footing;
use super::{Elevation, Ground, step, to_lot};
use crate::Point;
use crate::survey::{PlaneFit, fit_plane};
use crate::units::LengthStyle;

/// What the shots allow to be said of the ground.
#[derive(Clone, Debug, PartialEq)]
pub enum Quality {
    /// No shot: nothing.
    Unknown,
    /// Shots at one place only: one height.
    OneHeight {
        /// Its standard error, metres.
        error: f64,
    },
    /// Shots along one line: heights along it, none beside it.
    Line {
        /// Places shot.
        shots: usize,
        /// From end to end, metres.
        length: f64,
    },
    /// Shots that lie on one plane as nearly as they were taken, or three, which always do.
    Plane {
        /// The plane, with its fit error; without one for three shots, which nothing checks.
        fit: PlaneFit,
        /// Places shot.
        shots: usize,
    },
    /// Shots over an area.
    Surface {
        /// Places shot.
        shots: usize,
        /// How far apart they are, metres: the side of the square that each has to itself.
        spacing: f64,
        /// Standard error of a height at the middle of a triangle, metres: the root mean square
        /// over the surface.
        error: f64,
    },
}

impl Quality {
    /// A sentence or two for the crew.
    pub fn words(&self, units: LengthStyle) -> String {
        let length = |metres: f64| units.format(metres);
        let error = |metres: f64| format!("± {}", units.format_up(metres));
        match self {
            Quality::Unknown => "No shots: the ground is not known anywhere.".to_owned(),
            Quality::OneHeight { error: one } => format!(
                "Shots at one place only: one height, {}. Fall is not known; take shots at every \
                 foot.",
                error(*one)
            ),
            Quality::Line {
                shots,
                length: end_to_end,
            } => format!(
                "{shots} shots along one line of {}: heights along it, none beside it. Take shots \
                 to both sides.",
                length(*end_to_end)
            ),
            Quality::Plane { fit, shots } => match fit.spread {
                Some(spread) => format!(
                    "Flat: {shots} shots lie on one plane, {} each.",
                    error(spread.residual_sd)
                ),
                None => "Three shots: a plane that nothing checks. One more shot would show a \
                         misreading."
                    .to_owned(),
            },
            Quality::Surface {
                shots,
                spacing,
                error: between,
            } => format!(
                "{shots} shots, about {} apart: between them heights are good to {}.",
                length(*spacing),
                error(*between)
            ),
        }
    }
}

/// Triangles asked for their error; more would tell nothing new.
const ENOUGH: usize = 2_000;

/// See [`Ground::quality`].
pub(super) fn quality(ground: &Ground) -> Quality {
    let surface = &ground.surface;
    let shots = surface.num_vertices();
    if surface.num_inner_faces() == 0 {
        return on_a_line(ground);
    }
    let heights: Vec<(Point, Elevation)> = surface
        .vertices()
        .map(|shot| {
            (
                to_lot(ground.origin, shot.position()),
                shot.data().elevation,
            )
        })
        .collect();
    if let Some(fit) = fit_plane(&heights)
        && is_flat(ground, &fit)
    {
        return Quality::Plane { fit, shots };
    }
    let stride = surface.num_inner_faces() / ENOUGH + 1;
    let (mut area, mut squares, mut asked_area) = (0.0, 0.0, 0.0);
    for (index, triangle) in surface.inner_faces().enumerate() {
        area += triangle.area();
        if index % stride == 0
            && let Some(footing) = Footing::find(surface, triangle.center())
        {
            asked_area += triangle.area();
            squares += triangle.area() * footing.variance(&ground.roughness);
        }
    }
    Quality::Surface {
        shots,
        spacing: (area / shots as f64).sqrt(),
        error: (squares / asked_area).sqrt(),
    }
}

fn on_a_line(ground: &Ground) -> Quality {
    let mut shots = ground.surface.vertices().map(|shot| *shot.data());
    let Some(first) = shots.next() else {
        return Quality::Unknown;
    };
    // Shots are kept from west to east and from south to north: the ends are the extremes.
    let along = |at: spade::Point2<f64>| step(first.at, at);
    let farthest = shots
        .map(|shot| along(shot.at))
        .reduce(|a, b| if b.norm() > a.norm() { b } else { a });
    let Some(farthest) = farthest else {
        return Quality::OneHeight { error: first.error };
    };
    let shares = ground
        .surface
        .vertices()
        .map(|shot| along(shot.position()).dot(&farthest) / farthest.norm());
    let (least, most) = shares.fold((0.0_f64, 0.0_f64), |(least, most), share| {
        (least.min(share), most.max(share))
    });
    Quality::Line {
        shots: ground.surface.num_vertices(),
        length: most - least,
    }
}

/// Whether shots lie off a plane no farther than their own errors explain, in 19 surveys of 20
/// or so: the sum of squares, each in units of its shot's error, against its mean and twice its
/// spread (chi-square).
fn is_flat(ground: &Ground, fit: &PlaneFit) -> bool {
    let shots = ground.surface.vertices().map(|shot| *shot.data());
    let squares: f64 = shots
        .map(|shot| {
            let off = shot.elevation - fit.height(to_lot(ground.origin, shot.at));
            (off / shot.error) * (off / shot.error)
        })
        .sum();
    let redundancy = ground.surface.num_vertices() as f64 - 3.0;
    squares <= redundancy + 2.0 * (2.0 * redundancy).sqrt() + f64::EPSILON
}
