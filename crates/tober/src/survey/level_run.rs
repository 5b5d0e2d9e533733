//! A level run, reduced by height of instrument.
//!
//! The level stands somewhere between; the rod is read first on a known point (backsight), then
//! on new ones, and last on the point that the next setup starts from (foresight, on a turning
//! point).
//!
//! ```text
//!   height of instrument = known elevation + backsight
//!          new elevation = height of instrument − reading
//!
//!      backsight           foresight
//!   ├───────────── level ─────────────┤
//!   rod               ▲               rod
//!   known                             turning point
//! ```
//!
//! The arithmetic check, ΣBS − ΣFS = last − first, catches slips of the sums, not of the
//! readings; the misclosure on a known last point catches those.
//!
//! Source: C. D. Ghilani and P. R. Wolf, *Elementary Surveying*, differential levelling.

use crate::ground::Elevation;

/// The readings of one run.
#[derive(Clone, Debug, PartialEq)]
pub struct LevelRun {
    /// Elevation of the point that the first backsight is taken on.
    pub start: Elevation,
    /// The setups in order.
    pub setups: Vec<Setup>,
    /// Known elevation of the point that the last foresight is taken on, if it is known.
    pub close_on: Option<Elevation>,
}

/// The readings of one setup: rod readings in metres, up from the foot of the rod.
#[derive(Clone, Debug, PartialEq)]
pub struct Setup {
    /// On the start, or on the last turning point.
    pub backsight: f64,
    /// On points in between.
    pub intermediate: Vec<f64>,
    /// On the next turning point, or on the end.
    pub foresight: f64,
}

/// A run reduced to elevations.
#[derive(Clone, Debug, PartialEq)]
pub struct Reduction {
    /// The setups in order.
    pub setups: Vec<ReducedSetup>,
    /// Elevation of the last point.
    pub last: Elevation,
    /// ΣBS, metres.
    pub backsights: f64,
    /// ΣFS, metres.
    pub foresights: f64,
    /// (ΣBS − ΣFS) − (last − first), metres: nothing but rounding when the sums are right.
    pub arithmetic_check: f64,
    /// Reduced less known elevation of the last point, metres; absent when that is not known.
    pub misclosure: Option<f64>,
}

/// One setup reduced to elevations.
#[derive(Clone, Debug, PartialEq)]
pub struct ReducedSetup {
    /// Height of instrument.
    pub instrument: Elevation,
    /// The points in between.
    pub intermediate: Vec<Elevation>,
    /// The next turning point, or the end.
    pub turning_point: Elevation,
}

impl LevelRun {
    /// Carries the elevation from the start through every setup.
    pub fn reduce(&self) -> Reduction {
        let mut known = self.start;
        let mut setups = Vec::with_capacity(self.setups.len());
        for setup in &self.setups {
            let instrument = known + setup.backsight;
            known = instrument - setup.foresight;
            setups.push(ReducedSetup {
                instrument,
                intermediate: (setup.intermediate.iter())
                    .map(|reading| instrument - *reading)
                    .collect(),
                turning_point: known,
            });
        }
        let backsights: f64 = self.setups.iter().map(|setup| setup.backsight).sum();
        let foresights: f64 = self.setups.iter().map(|setup| setup.foresight).sum();
        Reduction {
            setups,
            last: known,
            backsights,
            foresights,
            arithmetic_check: (backsights - foresights) - (known - self.start),
            misclosure: self.close_on.map(|mark| known - mark),
        }
    }
}

/// Misclosure allowed for third-order levelling over a distance in metres, one way: 12 mm × √K,
/// K in kilometres. In metres.
///
/// Source (from memory): FGCS, *Specifications and Procedures to Incorporate Electronic Digital
/// / Bar-Code Leveling Systems*.
pub fn third_order_allowance(distance: f64) -> f64 {
    0.012 * (distance / 1000.0).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    use proptest::prelude::*;

    #[test]
    fn one_setup_reads_every_foot() {
        let run = LevelRun {
            start: Elevation(100.0),
            setups: vec![Setup {
                backsight: 1.5,
                intermediate: vec![1.25, 1.75],
                foresight: 2.0,
            }],
            close_on: None,
        };
        let reduced = run.reduce();
        assert_eq!(reduced.setups[0].instrument, Elevation(101.5));
        assert_eq!(
            reduced.setups[0].intermediate,
            [Elevation(100.25), Elevation(99.75)]
        );
        assert_eq!(reduced.last, Elevation(99.5));
        assert_eq!(reduced.misclosure, None);
    }

    #[test]
    fn a_run_without_setups_ends_where_it_starts() {
        let run = LevelRun {
            start: Elevation(3.0),
            setups: Vec::new(),
            close_on: Some(Elevation(2.5)),
        };
        let reduced = run.reduce();
        assert_eq!(reduced.last, Elevation(3.0));
        assert_eq!(reduced.misclosure, Some(0.5));
    }

    #[test]
    fn the_allowance_grows_with_the_root_of_the_distance() {
        // By hand from the formula in its source: 12 mm for 1 km, 24 mm for 4 km.
        assert!((third_order_allowance(1000.0) - 0.012).abs() < 1e-15);
        assert!((third_order_allowance(4000.0) - 0.024).abs() < 1e-15);
    }

    proptest! {
        /// Out and back over the same turning points closes, whatever the ground.
        #[test]
        fn a_loop_over_true_heights_closes(
            ground in prop::collection::vec(95.0..105.0f64, 2..12),
            lines_of_sight in prop::collection::vec(106.0..108.0f64, 24),
        ) {
            let there_and_back: Vec<f64> =
                ground.iter().chain(ground.iter().rev().skip(1)).copied().collect();
            let start = Elevation(there_and_back[0]);
            let setups = (there_and_back.windows(2).zip(lines_of_sight))
                .map(|(pair, sight)| Setup {
                    backsight: sight - pair[0],
                    intermediate: Vec::new(),
                    foresight: sight - pair[1],
                })
                .collect();
            let reduced = LevelRun { start, setups, close_on: Some(start) }.reduce();
            prop_assert!(reduced.misclosure.unwrap().abs() < 1e-10);
            prop_assert!(reduced.arithmetic_check.abs() < 1e-10);
            for (setup, truth) in reduced.setups.iter().zip(&there_and_back[1..]) {
                prop_assert!((setup.turning_point.0 - truth).abs() < 1e-10);
            }
        }
    }
}
