//! Heights, outline and contours of the ground.

use geos::{Geom, Geometry};
use proptest::prelude::*;
use tober::Point;
use tober::ground::{Elevation, Ground};
use tober::site::{Breakline, BreaklineKind, SpotLevel};

use crate::shapes::{point, polygon};

fn shot(x: f64, y: f64, elevation: f64) -> SpotLevel {
    SpotLevel::new(x, y, Elevation(elevation))
}

/// Shots anywhere, so that no four lie on one circle and there is but one triangulation.
fn scattered() -> impl Strategy<Value = Vec<SpotLevel>> {
    let shot = (0.0..60.0f64, 0.0..40.0f64, 98.0..102.0f64).prop_map(|(x, y, z)| shot(x, y, z));
    prop::collection::vec(shot, 3..150)
}

fn places() -> impl Strategy<Value = Vec<Point>> {
    let place = (-5.0..65.0f64, -5.0..45.0f64).prop_map(|(x, y)| Point::new(x, y));
    prop::collection::vec(place, 60)
}

/// The surface as the second library triangulates it, searched triangle by triangle.
struct SecondSurface {
    triangles: Vec<[SpotLevel; 3]>,
}

impl SecondSurface {
    fn new(shots: &[SpotLevel]) -> SecondSurface {
        let points: Vec<_> = shots
            .iter()
            .map(|shot| delaunator::Point {
                x: shot.x,
                y: shot.y,
            })
            .collect();
        let triangles = delaunator::triangulate(&points).triangles;
        SecondSurface {
            triangles: triangles
                .chunks_exact(3)
                .map(|t| {
                    [
                        shots[t[0]].clone(),
                        shots[t[1]].clone(),
                        shots[t[2]].clone(),
                    ]
                })
                .collect(),
        }
    }

    fn height(&self, at: Point) -> Option<f64> {
        let area = |a: &SpotLevel, b: &SpotLevel| {
            (a.x - at.x) * (b.y - at.y) - (a.y - at.y) * (b.x - at.x)
        };
        self.triangles.iter().find_map(|[a, b, c]| {
            let weights = [area(b, c), area(c, a), area(a, b)];
            let whole: f64 = weights.iter().sum();
            let inside = weights.iter().all(|weight| weight / whole >= 0.0);
            inside.then(|| {
                let heights = [a, b, c].map(|shot| shot.elevation.0);
                let sum: f64 = weights.iter().zip(heights).map(|(w, z)| w * z).sum();
                sum / whole
            })
        })
    }
}

proptest! {
    #[test]
    fn heights_on_scattered_shots_match_a_second_library(
        shots in scattered(), places in places(),
    ) {
        let (ground, second) = (Ground::new(&shots), SecondSurface::new(&shots));
        let outline = polygon(ground.outline());
        for at in places {
            match (ground.height(at), second.height(at)) {
                (Some(ours), Some(theirs)) => prop_assert!((ours.0 - theirs).abs() < 1e-7),
                (None, None) => {}
                // Up to a millimetre outside, a place counts as on the outline.
                (Some(_), None) => prop_assert!(outline.distance(&point(at)).unwrap() <= 0.001),
                (None, Some(theirs)) => prop_assert!(false, "no height at {at}, not {theirs}"),
            }
        }
    }

    /// On a grid every cell may be halved either way: the height is that of the one or the other.
    #[test]
    fn heights_on_a_grid_halve_every_cell_one_way_or_the_other(
        heights in prop::collection::vec(98.0..102.0f64, 49),
        places in prop::collection::vec((0.0..6.0f64, 0.0..6.0f64), 60),
        spacing in prop_oneof![Just(1.0), Just(2.5), Just(7.62)],
    ) {
        let height = |i: usize, j: usize| heights[7 * j + i];
        let shots: Vec<SpotLevel> = (0..49)
            .map(|k| (k % 7, k / 7))
            .map(|(i, j)| shot(i as f64 * spacing, j as f64 * spacing, height(i, j)))
            .collect();
        let (ground, second) = (Ground::new(&shots), SecondSurface::new(&shots));
        for (x, y) in places {
            let (i, j) = (x as usize, y as usize);
            let (u, v) = (x - i as f64, y - j as f64);
            let [sw, se, nw, ne] =
                [height(i, j), height(i + 1, j), height(i, j + 1), height(i + 1, j + 1)];
            // The plane through three corners, from the one at the right angle.
            let sw_ne = if u > v { se + (1.0 - u) * (sw - se) + v * (ne - se) }
                else { nw + u * (ne - nw) + (1.0 - v) * (sw - nw) };
            let nw_se = if u + v < 1.0 { sw + u * (se - sw) + v * (nw - sw) }
                else { ne + (1.0 - u) * (nw - ne) + (1.0 - v) * (se - ne) };
            let at = Point::new(x * spacing, y * spacing);
            for found in [ground.height(at).map(|height| height.0), second.height(at)] {
                let found = found.unwrap();
                let is_either = (found - sw_ne).abs() < 1e-9 || (found - nw_se).abs() < 1e-9;
                prop_assert!(is_either, "{found} is neither {sw_ne} nor {nw_se}");
            }
        }
    }

    #[test]
    fn a_plane_sampled_on_a_grid_is_met_everywhere(
        slope_x in -0.2..0.2f64,
        slope_y in -0.2..0.2f64,
        places in prop::collection::vec((0.0..9.0f64, 0.0..9.0f64), 60),
    ) {
        let plane = |x: f64, y: f64| 100.0 + slope_x * x + slope_y * y;
        let shots: Vec<SpotLevel> = (0..100)
            .map(|k| (f64::from(k % 10), f64::from(k / 10)))
            .map(|(x, y)| shot(x, y, plane(x, y)))
            .collect();
        let (ground, second) = (Ground::new(&shots), SecondSurface::new(&shots));
        for (x, y) in places {
            let at = Point::new(x, y);
            let (ours, theirs) = (ground.height(at).unwrap().0, second.height(at).unwrap());
            prop_assert!((ours - plane(x, y)).abs() < 1e-9);
            prop_assert!((ours - theirs).abs() < 1e-9);
        }
    }

    #[test]
    fn the_outline_is_the_convex_hull(
        shots in prop_oneof![
            scattered(),
            // Many on one line and many at one place.
            prop::collection::vec((0i32..8, 0i32..8), 3..60).prop_map(|grid| {
                grid.into_iter().map(|(x, y)| shot(f64::from(x), f64::from(y), 0.0)).collect()
            }),
        ],
    ) {
        let outline = Ground::new(&shots).outline().to_vec();
        let all = shots.iter().map(|shot| point(Point::new(shot.x, shot.y))).collect();
        let hull = Geometry::create_multipoint(all).unwrap().convex_hull().unwrap();
        if outline.is_empty() {
            prop_assert_eq!(hull.area().unwrap(), 0.0);
        } else {
            let outline = polygon(&outline);
            let apart = outline.sym_difference(&hull).unwrap().area().unwrap();
            prop_assert!(apart < 1e-9, "{apart} m² apart");
            prop_assert!((outline.length().unwrap() - hull.length().unwrap()).abs() < 1e-9);
        }
    }

    /// The ground above a level, once from the contour lines and the stretches of the outline
    /// that close them, once as the union of the part above the level of every triangle of the
    /// second library.
    #[test]
    fn contours_bound_the_ground_above_their_level(shots in scattered()) {
        check_contours(&Ground::new(&shots), &SecondSurface::new(&shots))?;
    }

    /// A kerb from end to end of the survey parts it into two convex halves, and no triangle lies
    /// across it: each half is what the second library makes of its own shots and the kerb's.
    #[test]
    fn ground_with_a_kerb_matches_a_second_library_side_by_side(
        shots in scattered(),
        inner in prop::collection::btree_map(1..59_u8, 98.0..102.0f64, 0..6),
        ends in prop::array::uniform2(98.0..102.0f64),
        places in places(),
    ) {
        const KERB: f64 = 20.0;
        let inner = inner.into_iter().map(|(x, z)| shot(f64::from(x), KERB, z));
        let kerb: Vec<SpotLevel> = std::iter::once(shot(-4.0, KERB, ends[0]))
            .chain(inner)
            .chain([shot(64.0, KERB, ends[1])])
            .collect();
        let line = Breakline {
            id: "kerb".to_owned(),
            name: String::new(),
            kind: BreaklineKind::Kerb,
            points: kerb.clone(),
        };
        let ground = Ground::with_breaklines(&shots, &[line]);
        prop_assert!(ground.pieces_left_out().is_empty());
        let half = |is_north: bool| {
            let shots = shots.iter().filter(|shot| (shot.y > KERB) == is_north);
            SecondSurface::new(&shots.chain(&kerb).cloned().collect::<Vec<_>>())
        };
        let triangles = [half(true).triangles, half(false).triangles].concat();
        let second = SecondSurface { triangles };
        for at in places {
            if let (Some(ours), Some(theirs)) = (ground.height(at), second.height(at)) {
                prop_assert!((ours.0 - theirs).abs() < 1e-7, "{at}: {ours:?}, not {theirs}");
            }
        }
        check_contours(&ground, &second)?;
    }
}

/// Length of the contours and area above each, ours and the second library's.
fn check_contours(ground: &Ground, second: &SecondSurface) -> Result<(), TestCaseError> {
    for contour in ground.contours(0.5) {
        let level = contour.elevation.0;
        let lines = contour.lines.iter().flat_map(|line| line.windows(2));
        let contour_length: f64 = lines.clone().map(|pair| (pair[1] - pair[0]).norm()).sum();
        let outline = outline_above(ground, level);
        let outline_length: f64 = outline.iter().map(|[from, to]| (to - from).norm()).sum();
        // The higher ground is on the left of both: Green's theorem gives its area.
        let area: f64 = lines
            .map(|pair| [pair[0], pair[1]])
            .chain(outline)
            .map(|[from, to]| 0.5 * from.coords.perp(&to.coords))
            .sum();

        let triangles = second.triangles.iter();
        let parts = triangles
            .filter_map(|triangle| above(triangle, level))
            .collect();
        let union = Geometry::create_geometry_collection(parts).unwrap();
        let union = union.unary_union().unwrap();
        prop_assert!((area - union.area().unwrap()).abs() < 1e-6);
        let boundary = union.length().unwrap();
        prop_assert!((contour_length + outline_length - boundary).abs() < 1e-6);
    }
    Ok(())
}

/// The stretches of the outline that are not below a level, counter-clockwise.
fn outline_above(ground: &Ground, level: f64) -> Vec<[Point; 2]> {
    let corners: Vec<(Point, f64)> = ground
        .outline()
        .iter()
        .map(|&at| (at, ground.height(at).unwrap().0))
        .collect();
    (corners.iter().zip(corners.iter().cycle().skip(1)))
        .filter_map(|(&from, &to)| match (from.1 >= level, to.1 >= level) {
            (true, true) => Some([from.0, to.0]),
            (true, false) => Some([from.0, crossing(from, to, level)]),
            (false, true) => Some([crossing(from, to, level), to.0]),
            (false, false) => None,
        })
        .collect()
}

/// The part of a triangle that is not below a level.
fn above(triangle: &[SpotLevel; 3], level: f64) -> Option<Geometry> {
    let corners = triangle
        .each_ref()
        .map(|shot| (Point::new(shot.x, shot.y), shot.elevation.0));
    let mut part = Vec::new();
    for (from, to) in corners.iter().zip(corners.iter().cycle().skip(1)) {
        if from.1 >= level {
            part.push(from.0);
        }
        if (from.1 >= level) != (to.1 >= level) {
            part.push(crossing(*from, *to, level));
        }
    }
    (!part.is_empty()).then(|| polygon(&part))
}

/// Where an edge meets a level, the same from either end.
fn crossing(a: (Point, f64), b: (Point, f64), level: f64) -> Point {
    let (low, high) = if a.1 < b.1 { (a, b) } else { (b, a) };
    low.0 + (high.0 - low.0) * ((level - low.1) / (high.1 - low.1))
}
