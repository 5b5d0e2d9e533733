//! The plane that fits a handful of heights best: the fall of the ground under a frame.
//!
//! ```text
//!   z = at_centre + slope_x · (x − centre.x) + slope_y · (y − centre.y)
//! ```
//!
//! Counted from the middle of the points, so that numbers as large as a national grid's do not
//! drown the few metres that matter.

use nalgebra::{DMatrix, DVector};

use super::least_squares;
use crate::ground::Elevation;
use crate::{Point, Step};

/// A plane through heights, by least squares.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaneFit {
    /// The middle of the points.
    pub centre: Point,
    /// Height of the plane there: the mean of the heights.
    pub at_centre: Elevation,
    /// Rise towards the east, metres in a metre.
    pub slope_x: f64,
    /// Rise towards the north, metres in a metre.
    pub slope_y: f64,
    /// How far the heights spread about the plane; absent for three points, which nothing checks.
    pub spread: Option<PlaneSpread>,
}

/// How sure a [`PlaneFit`] is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlaneSpread {
    /// Standard deviation of one height about the plane, metres.
    pub residual_sd: f64,
    /// Standard error of [`PlaneFit::at_centre`], metres.
    pub at_centre: f64,
    /// Standard error of [`PlaneFit::slope_x`], metres in a metre.
    pub slope_x: f64,
    /// Standard error of [`PlaneFit::slope_y`], metres in a metre.
    pub slope_y: f64,
}

/// Points closer than this to one line, metres (root mean square), say nothing of the fall
/// across it.
const NARROWEST: f64 = 0.001;

/// The plane that leaves the least sum of squared heights above and below it.
///
/// `None` when the points do not span a plane: fewer than three, all within a millimetre of one
/// line, or not finite.
///
/// ```
/// use tober::Point;
/// use tober::ground::Elevation;
/// use tober::survey::fit_plane;
/// let at = |x, y, z| (Point::new(x, y), Elevation(z));
/// let plane = fit_plane(&[at(0., 0., 5.), at(4., 0., 5.2), at(0., 2., 4.9)]).unwrap();
/// assert!((plane.slope_x - 0.05).abs() < 1e-12 && (plane.slope_y + 0.05).abs() < 1e-12);
/// ```
pub fn fit_plane(heights: &[(Point, Elevation)]) -> Option<PlaneFit> {
    let (first, base) = *heights.first()?;
    let count = heights.len() as f64;
    let to_middle: Step = heights.iter().map(|(at, _)| at - first).sum::<Step>() / count;
    let centre = first + to_middle;
    let steps: Vec<Step> = heights
        .iter()
        .map(|(at, _)| at - first - to_middle)
        .collect();
    let spans_a_plane = narrow_extent(&steps) > NARROWEST;
    if !spans_a_plane {
        return None;
    }

    let design = DMatrix::from_fn(heights.len(), 3, |row, column| match steps.get(row) {
        Some(step) if column == 1 => step.x,
        Some(step) if column == 2 => step.y,
        _ => 1.0,
    });
    let above_base = heights.iter().map(|(_, height)| *height - base);
    let observed = DVector::from_iterator(heights.len(), above_base);
    let fit = least_squares(&design, &observed)?;
    let [above_base, slope_x, slope_y] = fit.coefficients.as_slice() else {
        return None;
    };
    Some(PlaneFit {
        centre,
        at_centre: base + *above_base,
        slope_x: *slope_x,
        slope_y: *slope_y,
        spread: fit.spread.and_then(|spread| {
            let [at_centre, slope_x, slope_y] = *spread.standard_errors.as_slice() else {
                return None;
            };
            Some(PlaneSpread {
                residual_sd: spread.residual_sd,
                at_centre,
                slope_x,
                slope_y,
            })
        }),
    })
}

impl PlaneFit {
    /// Height of the plane at a place.
    pub fn height(&self, at: Point) -> Elevation {
        let step = at - self.centre;
        self.at_centre + (self.slope_x * step.x + self.slope_y * step.y)
    }
}

/// Root-mean-square distance of steps from the line through their middle that lies nearest to
/// them all: the lesser principal extent.
fn narrow_extent(steps: &[Step]) -> f64 {
    let sum_of = |product: fn(&Step) -> f64| steps.iter().map(product).sum::<f64>();
    let (xx, yy, xy) = (
        sum_of(|step| step.x * step.x),
        sum_of(|step| step.y * step.y),
        sum_of(|step| step.x * step.y),
    );
    // The two eigenvalues of [xx xy; xy yy]; the lesser by their product, which cancels least.
    let greater = 0.5 * (xx + yy + libm::hypot(xx - yy, 2.0 * xy));
    let lesser = (xx * yy - xy * xy) / greater;
    (lesser / steps.len() as f64).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    use proptest::prelude::*;

    fn at(x: f64, y: f64, z: f64) -> (Point, Elevation) {
        (Point::new(x, y), Elevation(z))
    }

    #[test]
    fn four_corners_out_of_plane_leave_equal_residuals() {
        // A twisted rectangle: the plane halves the twist, ± 0.01 at every corner.
        let plane = fit_plane(&[
            at(0.0, 0.0, 1.01),
            at(6.0, 0.0, 0.99),
            at(6.0, 4.0, 1.01),
            at(0.0, 4.0, 0.99),
        ])
        .unwrap();
        assert!(plane.slope_x.abs() < 1e-15 && plane.slope_y.abs() < 1e-15);
        assert!((plane.at_centre.0 - 1.0).abs() < 1e-15);
        // Σr² = 4 × 0.01², one observation more than unknowns.
        assert!((plane.spread.unwrap().residual_sd - 0.02).abs() < 1e-15);
    }

    #[test]
    fn points_that_span_no_plane_are_refused() {
        assert_eq!(fit_plane(&[]), None);
        assert_eq!(fit_plane(&[at(0.0, 0.0, 1.0), at(1.0, 0.0, 1.0)]), None);
        let line = [0.1, 0.7, 3.3, 9.9].map(|x| at(651_000.0 + x, 5_313_000.0 + 0.3 * x, x));
        assert_eq!(fit_plane(&line), None);
        // Half a millimetre beside the line tells nothing of the fall across it.
        let bent = [at(0.0, 0.0, 1.0), at(5.0, 0.0005, 1.1), at(10.0, 0.0, 1.0)];
        assert_eq!(fit_plane(&bent), None);
        assert_eq!(fit_plane(&[at(1.0, 1.0, 1.0); 5]), None);
        let nan = [at(0.0, 0.0, 1.0), at(f64::NAN, 0.0, 1.0), at(0.0, 1.0, 1.0)];
        assert_eq!(fit_plane(&nan), None);
        let unknown = [at(0.0, 0.0, 1.0), at(1.0, 0.0, f64::NAN), at(0.0, 1.0, 1.0)];
        assert_eq!(fit_plane(&unknown), None);
    }

    proptest! {
        #[test]
        fn a_plane_is_recovered_anywhere_on_the_map(
            corners in prop::collection::vec((-20.0..20.0f64, -20.0..20.0f64), 3..9),
            (east, north) in prop_oneof![Just((0.0, 0.0)), Just((651_000.0, 5_313_000.0))],
            base in -100.0..2000.0f64,
            slope_x in -0.2..0.2f64,
            slope_y in -0.2..0.2f64,
        ) {
            let heights: Vec<_> = corners
                .iter()
                .map(|(x, y)| at(east + x, north + y, base + slope_x * x + slope_y * y))
                .collect();
            let steps: Vec<Step> = heights.iter().map(|(p, _)| p - heights[0].0).collect();
            prop_assume!(narrow_extent(&steps) > 0.5);
            let plane = fit_plane(&heights).unwrap();
            prop_assert!((plane.slope_x - slope_x).abs() < 1e-7);
            prop_assert!((plane.slope_y - slope_y).abs() < 1e-7);
            for (place, height) in heights {
                prop_assert!((plane.height(place) - height).abs() < 1e-7);
            }
        }
    }
}
