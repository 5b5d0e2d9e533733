//! How far out of balance a ring of seats is.
//!
//! # Picture
//!
//! Seats all round a ring, each as heavy as the next, pull the axis nowhere. Take out a run of
//! `e` neighbours of `n`, and what is left pulls away from the gap as hard as the missing ones
//! would pull towards it: a sum of `e` unit steps, each turned by `2π/n` from the one before,
//!
//! ```text
//!   |Σ| = sin(e π/n) / sin(π/n)
//! ```
//!
//! No other choice of `e` empty seats of `n` pulls harder: seen along the way it pulls, the seats
//! that lie nearest to that way pull most, and those are neighbours. And the pull is concave in
//! `e`, so that a car that is half empty lies between its neighbours too.
//!
//! # Source
//!
//! The sum of a geometric series of unit complex numbers.

/// Length of the sum of unit steps to the seats of a run of `empty` neighbours out of `seats`
/// evenly round a circle; as much as the riders of the others pull the other way.
///
/// ```
/// use tober::loads::run_resultant;
/// assert!((run_resultant(12, 1) - 1.0).abs() < 1e-12);
/// assert!((run_resultant(12, 6) - 3.863_703).abs() < 1e-6); // 1 / sin 15°
/// assert_eq!(run_resultant(12, 12), 0.0);
/// ```
pub fn run_resultant(seats: u32, empty: u32) -> f64 {
    if seats < 2 {
        return f64::from(seats.min(empty));
    }
    // Where nobody is left the sine is rounding, which must not pass for somebody.
    if empty >= seats {
        return 0.0;
    }
    let step = std::f64::consts::PI / f64::from(seats);
    libm::sin(f64::from(empty) * step) / libm::sin(step)
}

/// A loading of the ring: which seats are full. Length of the sum of unit steps to the riders,
/// each with its own weight.
pub fn resultant(weights: &[f64]) -> (f64, f64) {
    let step = std::f64::consts::TAU / weights.len().max(1) as f64;
    weights
        .iter()
        .enumerate()
        .fold((0.0, 0.0), |(x, y), (seat, weight)| {
            let (sin, cos) = libm::sincos(seat as f64 * step);
            (x + weight * cos, y + weight * sin)
        })
}
