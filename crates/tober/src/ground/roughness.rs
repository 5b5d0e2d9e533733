//! How far the ground strays from flat between shots, learnt from the shots themselves.
//!
//! The ground is taken as a random surface about a fall of its own: heights at two places `h`
//! apart differ, beyond that fall, by a variogram that is a power of the distance,
//!
//! ```text
//!   γ(h) = c · h^a        a = 1/2, 1, 3/2           broken ground: turf, ruts, rubble
//!   γ(h) = −c · h^a       a = 5/2, 3, 7/2           smooth ground: the same read as a
//!                                                   generalized variogram of the first order
//! ```
//!
//! For counts λ that add up to nothing and lean on no fall (Σ λ = 0, Σ λ·x = 0), the variance of
//! Σ λ·z is exactly −Σ Σ λ λ′ γ(h), over every two of the places, `h` apart. A place against the shots of its triangle is such a
//! contrast, so this is the variance of linear interpolation itself, not a bound on it; no matrix
//! is inverted. Source: G. Matheron, *The intrinsic random functions and their applications*,
//! Advances in Applied Probability 5, 1973; N. Cressie, *Statistics for Spatial Data*, 1993.
//!
//! What is learnt from: at every edge that two triangles share, how far the shot beyond it lies
//! off the plane of the triangle on this side. These bends are contrasts too.
//!
//! ```text
//!          b                  λ: the areas of the triangles that the other three shots make,
//!        ╱ │ ╲                   with signs in turn
//!      c   │   d   ◄ how far off the plane a, b, c?
//!        ╲ │ ╱
//!          a
//! ```
//!
//! So that the power shows, the surface is looked at again with a quarter and with a sixteenth
//! of its shots, where bends are two and four times as wide. The pair of `c` and `a` is the one
//! that makes all those bends likeliest (normal, and taken one by one: the composite likelihood
//! of F. Curriero and S. Lele, *A composite likelihood approach to semivariogram estimation*,
//! 1999). Where there are few, a common surface counts as four bends more ([`USUAL`]).
//!
//! A lot is seldom all alike: where the bends about a shot are larger or smaller than the survey's
//! own roughness tells, the ground about it counts as rougher or smoother.

use spade::{Point2, Triangulation};

use super::breakline::Piece;
use super::shot::Shot;
use super::triangulate;
use super::{Edge, Surface, step};

/// Places with counts that add up to nothing and lean on no fall.
pub(super) type Contrast = [(Point2<f64>, f64); 4];

/// A power of the distance, in halves; 4/2 is no roughness but a fall that changes evenly.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Power(u8);

const POWERS: [Power; 6] = [Power(1), Power(2), Power(3), Power(5), Power(6), Power(7)];

impl Power {
    /// The variogram for `c` = 1 at a squared distance. By square roots alone, which are exact
    /// everywhere and quick.
    fn variogram(self, distance_2: f64) -> f64 {
        let distance = distance_2.sqrt();
        match self.0 {
            1 => distance.sqrt(),
            2 => distance,
            3 => distance * distance.sqrt(),
            5 => -distance_2 * distance.sqrt(),
            6 => -distance_2 * distance,
            _ => -distance_2 * distance * distance.sqrt(),
        }
    }
}

/// A variogram: how rough the ground is, and over what distances.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Roughness {
    power: Power,
    /// `c`, square metres in a metre to the power.
    scale: f64,
}

/// A road surface of class D, the roughness of a fair field track: displacement 1024e-6 m³ at
/// 0.1 cycles in a metre, waviness 2, which is the variogram π² · 1024e-6 · 0.1² · h. Source:
/// ISO 8608, road surface profiles (from memory); that a lot is like it, common practice.
pub(super) const USUAL: Roughness = Roughness {
    power: Power(2),
    scale: 1.01e-4,
};

impl Roughness {
    /// Variance of a contrast, square metres.
    pub(super) fn variance(&self, contrast: &Contrast) -> f64 {
        self.scale * growth(self.power, contrast)
    }

    /// Covariance of two contrasts, square metres.
    pub(super) fn covariance(&self, one: &Contrast, other: &Contrast) -> f64 {
        let mut sum = 0.0;
        for (a, count_a) in one {
            for (b, count_b) in other {
                sum -= count_a * count_b * self.power.variogram(a.distance_2(*b));
            }
        }
        self.scale * sum
    }

    /// Learns the roughness of a surface, and sets that about every shot.
    ///
    /// `pieces` are the surface's breaklines: over them the ground may bend as it likes. Comes to
    /// a pause after each of its parts, the third of all to the fifth.
    pub(super) async fn learn(
        surface: &mut Surface,
        pieces: &[Piece],
        pause: &impl AsyncFn(usize),
    ) -> Roughness {
        let mut bends = usual_bends();
        bends.extend(some_bends(surface));
        for (part, thinned) in [(3, 4), (4, 16)] {
            bends.extend(some_bends(&triangulate::thinned(surface, pieces, thinned)));
            pause(part).await;
        }
        let roughness = likeliest(&bends);
        pause(5).await;
        set_about_shots(surface, &roughness);
        roughness
    }
}

/// Variance of a contrast for `c` = 1.
fn growth(power: Power, [a, b, c, d]: &Contrast) -> f64 {
    let pair = |one: &(Point2<f64>, f64), other: &(Point2<f64>, f64)| {
        one.1 * other.1 * power.variogram(one.0.distance_2(other.0))
    };
    let sum = pair(a, b) + pair(a, c) + pair(a, d) + pair(b, c) + pair(b, d) + pair(c, d);
    // Nothing but rounding can bring it below nothing.
    (-2.0 * sum).max(0.0)
}

/// How far four neighbouring shots lie off one plane.
#[derive(Clone, Copy, Debug)]
struct Bend {
    /// Square of what was found, square metres.
    found: f64,
    /// Variance that the shots' own errors give, square metres.
    noise: f64,
    contrast: Contrast,
}

impl Bend {
    /// `None` at the outline, and over a breakline.
    fn over(edge: Edge<'_>) -> Option<(Bend, [spade::handles::FixedVertexHandle; 4])> {
        if edge.is_constraint_edge() {
            return None;
        }
        let corners = [
            edge.from(),
            edge.to(),
            edge.opposite_vertex()?,
            edge.rev().opposite_vertex()?,
        ];
        let [a, b, c, d] = corners.map(|corner| *corner.data());
        let area = |a: &Shot, b: &Shot, c: &Shot| step(a.at, b.at).perp(&step(a.at, c.at));
        let counts = [
            area(&b, &c, &d),
            -area(&a, &c, &d),
            area(&a, &b, &d),
            -area(&a, &b, &c),
        ];
        let largest = counts.iter().fold(0.0, |most: f64, it| most.max(it.abs()));
        let [count_a, count_b, count_c, count_d] = counts.map(|count| count / largest);
        let counted = [(a, count_a), (b, count_b), (c, count_c), (d, count_d)];
        let off: f64 = counted
            .iter()
            .map(|(shot, count)| count * (shot.elevation - a.elevation))
            .sum();
        let bend = Bend {
            found: off * off,
            noise: counted
                .iter()
                .map(|(shot, count)| (count * shot.error) * (count * shot.error))
                .sum(),
            contrast: counted.map(|(shot, count)| (shot.at, count)),
        };
        // Corners too close to a line for the sums to tell an area by.
        (largest > 0.0 && bend.found.is_finite()).then(|| (bend, corners.map(|it| it.fix())))
    }
}

/// Bends looked at in one go: more would tell nothing new.
const ENOUGH: usize = 1_500;

/// The bends of a surface, or so many of them spread evenly over it.
fn some_bends(surface: &Surface) -> Vec<Bend> {
    let stride = surface.num_undirected_edges() / ENOUGH + 1;
    surface
        .undirected_edges()
        .step_by(stride)
        .filter_map(|edge| Bend::over(edge.as_directed()))
        .map(|(bend, _)| bend)
        .collect()
}

/// Four bends just as large as they are on usual ground, at shots 1 m and 10 m apart.
fn usual_bends() -> Vec<Bend> {
    let square = |side: f64| {
        let noise = 4.0 * super::DEFAULT_ERROR * super::DEFAULT_ERROR;
        let contrast = [
            (Point2::new(0.0, 0.0), 1.0),
            (Point2::new(side, 0.0), -1.0),
            (Point2::new(side, side), 1.0),
            (Point2::new(0.0, side), -1.0),
        ];
        Bend {
            found: noise + USUAL.variance(&contrast),
            noise,
            contrast,
        }
    };
    [1.0, 1.0, 10.0, 10.0].map(square).to_vec()
}

fn likeliest(bends: &[Bend]) -> Roughness {
    POWERS
        .iter()
        .map(|&power| {
            let grown: Vec<(&Bend, f64)> = bends
                .iter()
                .map(|bend| (bend, growth(power, &bend.contrast)))
                .collect();
            let scale = likeliest_scale(&grown);
            (unlikeliness(&grown, scale), Roughness { power, scale })
        })
        .reduce(|a, b| if b.0 < a.0 { b } else { a })
        .map_or(USUAL, |(_, roughness)| roughness)
}

/// The `c` that makes bends likeliest, by Fisher's scoring: a weighted fit of what was found to
/// `noise + c · growth`, the weights renewed at every step.
fn likeliest_scale(bends: &[(&Bend, f64)]) -> f64 {
    const STEPS: usize = 20;
    let sum_of = |of: &dyn Fn(&(&Bend, f64)) -> f64| bends.iter().map(of).sum::<f64>();
    let most = sum_of(&|(bend, _)| bend.found) / sum_of(&|(_, growth)| *growth);
    let mut scale = most;
    for _ in 0..STEPS {
        let weight = |bend: &Bend, growth: f64| {
            let variance = bend.noise + scale * growth;
            growth / (variance * variance)
        };
        let above_noise = sum_of(&|(bend, g)| weight(bend, *g) * (bend.found - bend.noise));
        let fitted = above_noise / sum_of(&|(bend, g)| weight(bend, *g) * g);
        // Ground is never without any roughness, however well a few shots may fit a plane.
        scale = fitted.clamp(most * 1e-6, most);
    }
    scale
}

/// Twice the negative logarithm of the likelihood, but for a constant.
fn unlikeliness(bends: &[(&Bend, f64)], scale: f64) -> f64 {
    bends
        .iter()
        .map(|(bend, growth)| {
            let variance = bend.noise + scale * growth;
            libm::log(variance) + bend.found / variance
        })
        .sum()
}

/// As many bends as the survey's own roughness counts for beside those about a shot.
const SHARED: f64 = 8.0;

/// Sets the roughness about every shot from the bends that it has a part in.
fn set_about_shots(surface: &mut Surface, roughness: &Roughness) {
    let mut about: Vec<(f64, f64)> = vec![(SHARED, SHARED); surface.num_vertices()];
    for edge in surface.undirected_edges() {
        let Some((bend, corners)) = Bend::over(edge.as_directed()) else {
            continue;
        };
        let expected = bend.noise + roughness.variance(&bend.contrast);
        for corner in corners {
            if let Some((found, count)) = about.get_mut(corner.index()) {
                *found += bend.found / expected;
                *count += 1.0;
            }
        }
    }
    let shots: Vec<_> = surface.fixed_vertices().zip(about).collect();
    for (shot, (found, count)) in shots {
        surface.vertex_data_mut(shot).rough = found / count;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    use proptest::prelude::*;

    use crate::ground::Elevation;
    use crate::slices::in_one_go;

    fn learn(surface: &mut Surface, pieces: &[Piece]) -> Roughness {
        in_one_go(Roughness::learn(surface, pieces, &async |_| {}))
    }

    #[test]
    fn half_way_between_two_shots_the_variance_is_that_of_the_textbook() {
        // Linear variogram c·h, shots 2 m apart: 2·γ(1) − γ(2)/2 = c. Cressie 1993, kriging variance
        // with both weights a half, by hand.
        let half_way = [
            (Point2::new(1.0, 0.0), 1.0),
            (Point2::new(0.0, 0.0), -0.5),
            (Point2::new(2.0, 0.0), -0.5),
            (Point2::new(9.0, 9.0), 0.0),
        ];
        assert!((USUAL.variance(&half_way) - 1.01e-4).abs() < 1e-18);
        assert!((USUAL.covariance(&half_way, &half_way) - 1.01e-4).abs() < 1e-18);
    }

    #[test]
    fn the_usual_roughness_is_class_d_of_iso_8608() {
        // γ(h) = ∫ G(n) (1 − cos 2πnh) dn with G = 1024e-6 · (0.1 / n)², by small steps.
        let steps = 400_000;
        let variogram: f64 = (0..steps)
            .map(|i| (f64::from(i) + 0.5) * 0.001)
            .map(|n| {
                1024e-6 * 0.01 / (n * n) * (1.0 - libm::cos(std::f64::consts::TAU * n)) * 0.001
            })
            .sum();
        assert!((variogram / USUAL.scale - 1.0).abs() < 0.01, "{variogram}");
    }

    /// A surface over a jittered grid of places a metre apart.
    fn surface(side: u32, height: impl Fn(f64, f64) -> f64) -> Surface {
        let mut shots = Vec::new();
        for i in 0..side {
            for j in 0..side {
                let jitter = |k: u32| 0.6 * (f64::from(k) * 0.754_877_666_246_692_7).fract();
                let x = f64::from(i) + jitter(i * 97 + j * 31);
                let y = f64::from(j) + jitter(i * 57 + j * 83);
                shots.push(Shot {
                    at: Point2::new(x, y),
                    elevation: Elevation(height(x, y)),
                    error: 0.001,
                    rough: 1.0,
                });
            }
        }
        triangulate::join(shots, &[]).0
    }

    #[test]
    fn the_power_tells_broken_ground_from_smooth() {
        let noise =
            |x: f64, y: f64| 0.1 * (libm::sin(12.9898 * x + 78.233 * y) * 43758.5453).fract();
        let broken = learn(&mut surface(25, noise), &[]);
        assert_eq!(broken.power, Power(1));
        let hill = |x: f64, y: f64| libm::sin(0.2 * x) * libm::cos(0.15 * y);
        let smooth = learn(&mut surface(25, hill), &[]);
        assert_eq!(smooth.power, Power(7));
    }

    #[test]
    fn a_fall_is_no_roughness() {
        let level = learn(&mut surface(12, |_, _| 0.0), &[]);
        let fall = learn(&mut surface(12, |x, y| 0.08 * x - 0.05 * y), &[]);
        assert_eq!(level.power, fall.power);
        assert!((level.scale / fall.scale - 1.0).abs() < 1e-6);
        // Not the least bit of roughness to be seen: far smoother than usual, yet not perfect.
        assert!(level.scale < USUAL.scale && level.scale > 0.0);
    }

    #[test]
    fn three_shots_learn_nothing_and_keep_the_usual() {
        let shot = |x, y| Shot {
            at: Point2::new(x, y),
            elevation: Elevation(1.0),
            error: 0.005,
            rough: 1.0,
        };
        let mut triangle =
            triangulate::join(vec![shot(0.0, 0.0), shot(9.0, 0.0), shot(0.0, 9.0)], &[]).0;
        let kept = learn(&mut triangle, &[]);
        assert_eq!(kept.power, USUAL.power);
        assert!((kept.scale / USUAL.scale - 1.0).abs() < 1e-6, "{kept:?}");
    }

    proptest! {
        /// Every power is allowed: no place in a triangle has a variance below nothing, and a
        /// place on a corner has none.
        #[test]
        fn no_variance_is_below_nothing(
            corners in prop::array::uniform3((-20.0..20.0f64, -20.0..20.0f64)),
            parts in prop::array::uniform3(0.0..1.0f64),
        ) {
            let whole: f64 = parts.iter().sum();
            prop_assume!(whole > 1e-3);
            let [a, b, c] = corners.map(|(x, y)| Point2::new(x, y));
            let [p, q, r] = parts.map(|part| part / whole);
            let at = Point2::new(p * a.x + q * b.x + r * c.x, p * a.y + q * b.y + r * c.y);
            for power in POWERS {
                let roughness = Roughness { power, scale: 1.0 };
                let contrast = [(at, 1.0), (a, -p), (b, -q), (c, -r)];
                let size: f64 = [a, b, c].iter().map(|it| power.variogram(at.distance_2(*it)).abs()).sum();
                let variance = roughness.covariance(&contrast, &contrast);
                prop_assert!(variance >= -1e-9 * size.max(1e-9), "{power:?}: {variance}");
                prop_assert!((variance - roughness.variance(&contrast)).abs() <= 1e-9 * size.max(1e-9));
                let on_corner = [(a, 1.0), (a, -1.0), (b, 0.0), (c, 0.0)];
                prop_assert_eq!(roughness.variance(&on_corner), 0.0);
            }
        }
    }
}
