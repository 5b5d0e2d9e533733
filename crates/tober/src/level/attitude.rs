//! How the frame lies: a plane over the ride frame.

use crate::Point;
use crate::ground::Elevation;
use crate::survey::fit_plane;

/// A plane over the ride frame: heights of the frame's datum, as it leans.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Attitude {
    pub(super) at_hub: f64,
    pub(super) along: f64,
    pub(super) across: f64,
}

impl Attitude {
    pub(super) fn level(at_hub: f64) -> Attitude {
        Attitude {
            at_hub,
            along: 0.0,
            across: 0.0,
        }
    }

    /// The plane that best fits heights over the ride frame; level at their mean when they do
    /// not span a plane.
    pub(super) fn fit(heights: &[(Point, f64)]) -> Attitude {
        let shots: Vec<(Point, Elevation)> = heights
            .iter()
            .map(|&(at, height)| (at, Elevation(height)))
            .collect();
        match fit_plane(&shots) {
            Some(plane) => Attitude {
                at_hub: plane.height(Point::origin()).0,
                along: plane.slope_x,
                across: plane.slope_y,
            },
            None => {
                let sum: f64 = heights.iter().map(|&(_, height)| height).sum();
                Attitude::level(sum / heights.len().max(1) as f64)
            }
        }
    }

    /// How the plane through heights over `places` answers to each of them: the attitude for a
    /// height of one metre there and none elsewhere. The fit is linear, so these add up.
    pub(super) fn answers(places: &[Point]) -> Vec<Attitude> {
        (0..places.len())
            .map(|raised| {
                let heights: Vec<(Point, f64)> = places
                    .iter()
                    .enumerate()
                    .map(|(index, &at)| (at, if index == raised { 1.0 } else { 0.0 }))
                    .collect();
                Attitude::fit(&heights)
            })
            .collect()
    }

    pub(super) fn at(&self, place: Point) -> f64 {
        self.at_hub + self.along * place.x + self.across * place.y
    }

    pub(super) fn along_deg(&self) -> f64 {
        libm::atan(self.along).to_degrees()
    }

    pub(super) fn across_deg(&self) -> f64 {
        libm::atan(self.across).to_degrees()
    }
}
