//! The ground under a ride: heights at every support, high corner, fall along and across.

use super::attitude::Attitude;
use super::{GroundPoint, GroundUnderRide, SupportKind};
use crate::Point;
use crate::ground::Elevation;
use crate::ride::RideProfile;
use crate::site::{Groundwork, Placement, Site};

pub(super) fn ground_under(
    site: &Site,
    profile: &RideProfile,
    placement: &Placement,
) -> GroundUnderRide {
    let jacks = profile
        .jacks
        .iter()
        .map(|it| (SupportKind::Jack, &it.id, it.at));
    let outriggers = profile
        .outriggers
        .iter()
        .map(|it| (SupportKind::Outrigger, &it.id, it.at));
    let wheels = profile
        .wheels
        .iter()
        .map(|it| (SupportKind::Wheel, &it.id, it.at));
    let mut feet: Vec<(Point, f64)> = Vec::new();
    let mut all_known = true;
    let mut points: Vec<GroundPoint> = jacks
        .chain(outriggers)
        .chain(wheels)
        .map(|(kind, id, own)| {
            let at = placement.to_lot(own);
            let (surveyed, error) = site.ground().height_and_error(at).unzip();
            let worked = Groundwork::at_place(&site.file().groundwork, at);
            let elevation = surveyed.map(|it| Elevation(it.0 + worked));
            if kind != SupportKind::Wheel {
                match elevation {
                    Some(elevation) => feet.push((own, elevation.0)),
                    None => all_known = false,
                }
            }
            GroundPoint {
                id: id.clone(),
                kind,
                at,
                elevation,
                below_high: None,
                surface: site.zone_at(at).map(|zone| zone.surface),
                error,
            }
        })
        .collect();
    let is_foot = |point: &&GroundPoint| point.kind != SupportKind::Wheel;
    let high = points
        .iter()
        .filter(is_foot)
        .filter_map(|point| Some((point.elevation?, point.id.clone())))
        .max_by(|a, b| a.0.0.total_cmp(&b.0.0));
    let mut under = GroundUnderRide {
        points: Vec::new(),
        high_corner: None,
        fall_along: None,
        fall_across: None,
        error_covariance: Vec::new(),
    };
    if let (true, Some((Elevation(highest), id))) = (all_known, high) {
        for point in &mut points {
            point.below_high = point.elevation.map(|elevation| highest - elevation.0);
        }
        let plane = Attitude::fit(&feet);
        under.high_corner = Some(id);
        under.fall_along = Some(plane.along);
        under.fall_across = Some(plane.across);
    }
    let places: Vec<Point> = points.iter().map(|point| point.at).collect();
    under.error_covariance = site.ground().error_covariances(&places).unwrap_or_default();
    under.points = points;
    under
}

/// With a rigid frame down on three of its feet and none of the others below its plane, the
/// widest gap under another: how far it rocks. Feet given by place in the ride frame and height
/// at which they carry. `None` for fewer than three feet, or all in line.
pub(super) fn widest_gap(tops: &[(Point, f64)]) -> Option<f64> {
    let mut widest: Option<f64> = None;
    for (i, a) in tops.iter().enumerate() {
        for (j, b) in tops.iter().enumerate().skip(i + 1) {
            for c in tops.iter().skip(j + 1) {
                let (ab, ac) = (b.0 - a.0, c.0 - a.0);
                let turn = ab.perp(&ac);
                if turn == 0.0 {
                    continue;
                }
                let gap = |&(at, top): &(Point, f64)| {
                    let to = at - a.0;
                    let (share_b, share_c) = (to.perp(&ac) / turn, ab.perp(&to) / turn);
                    a.1 + share_b * (b.1 - a.1) + share_c * (c.1 - a.1) - top
                };
                let gaps = tops.iter().map(gap);
                let (least, most) = gaps.fold((0.0_f64, 0.0_f64), |(least, most), gap| {
                    (least.min(gap), most.max(gap))
                });
                // A foot above the plane by more than rounding would carry instead.
                if least > -1e-9 {
                    widest = Some(widest.unwrap_or(0.0).max(most));
                }
            }
        }
    }
    widest
}
