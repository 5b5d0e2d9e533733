//! What gets through a fence: its largest clear opening, and the gap below it on the ground that it
//! stands on.
//!
//! # Picture
//!
//! ```text
//!     ║ ║ ║ ║ ║ ║ ║      opening: the largest ball that gets through a panel, or between two
//!     ╚═╩═╩═╩═╩═╩═╝
//!     gap ↕               the gap as made, between a straight panel and level ground; a dip of
//!     ‾‾‾‾‾\___/‾‾‾‾      the ground under the panel widens it, and a hump lifts the panel
//! ```
//!
//! Both must turn back a ball of 4 in: Wisconsin SPS 334.24(3), read. A ball just as large as the
//! opening gets through. What nobody has measured is not known. Between its posts the ground is
//! looked at wherever its slope breaks, so that no dip of the survey is missed; a dip that was not
//! surveyed is.

use serde::{Deserialize, Serialize};

use crate::Point;
use crate::assess::Verdict;
use crate::ground::Ground;
use crate::ride::FenceGaps;
use crate::units::LengthStyle;

/// A ball smaller by no more than this, metres, is noise of the arithmetic.
const NOISE: f64 = 1e-9;

/// What gets through a fence.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Openings {
    /// The largest ball that gets through a panel or between two, metres; absent where nobody has
    /// told.
    pub opening: Option<f64>,
    /// The largest gap below on the ground here, metres; never understated. Absent where nobody
    /// has told of the panels, or the ground is not surveyed.
    pub below: Option<f64>,
    /// The ball that must not get through, metres.
    pub ball: f64,
    /// How it came out; absent where nobody has told anything: then it was not checked.
    pub verdict: Option<Verdict>,
    /// What lets the ball through, or is not known, in plain words.
    pub notes: Vec<String>,
}

/// Judges the openings of a fence whose posts stand so.
pub fn openings(
    gaps: FenceGaps,
    posts: &[Point],
    ground: &Ground,
    ball: f64,
    style: LengthStyle,
) -> Openings {
    let mut found = Openings {
        opening: gaps.opening,
        below: gaps.below.and_then(|gap| below(gap, posts, ground)),
        ball,
        ..Openings::default()
    };
    if gaps == FenceGaps::default() {
        return found;
    }
    let mut verdict = Verdict::Pass;
    let told = [
        ("its largest opening", found.opening, gaps.opening),
        ("the gap below it", found.below, gaps.below),
    ];
    for (what, here, as_made) in told {
        // On ground that nobody knows, it is no smaller than as made.
        match here.or(as_made) {
            Some(gap) if gap >= ball - NOISE => {
                verdict = Verdict::Fail;
                found.notes.push(format!(
                    "{what}, {}, lets a ball of {} through",
                    style.format_up(gap),
                    style.format_down(ball)
                ));
            }
            _ if here.is_some() => {}
            as_made => {
                verdict = verdict.and(Verdict::Unknown);
                let why = match as_made {
                    Some(_) => "is not known, for the ground there is not surveyed",
                    None => "is not known: measure it on the panels",
                };
                found.notes.push(format!("{what} {why}"));
            }
        }
    }
    found.verdict = Some(verdict);
    found
}

/// The largest gap below any panel. A panel is straight: where the ground dips under it the gap is
/// wider by the dip, and where a hump comes higher than the gap the whole panel stands higher.
fn below(gap: f64, posts: &[Point], ground: &Ground) -> Option<f64> {
    let mut widest = None;
    for (&from, &to) in posts.iter().zip(posts.iter().cycle().skip(1)) {
        let (start, end) = (ground.height(from)?.0, ground.height(to)?.0);
        let section = ground.section(from, to);
        if !section.gaps().is_empty() {
            return None;
        }
        let (mut dip, mut hump) = (0.0_f64, 0.0_f64);
        for place in section.stretches.iter().flatten() {
            let straight = start + (end - start) * (place.distance / section.length);
            let off = straight - place.elevation.0;
            (dip, hump) = (dip.max(off), hump.max(-off));
        }
        let here = gap + dip + (hump - gap).max(0.0);
        widest = Some(widest.map_or(here, |widest: f64| widest.max(here)));
    }
    widest
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::assess::assess;
    use crate::fixtures::{five_by_five, flat_lot};
    use crate::ground::Elevation;
    use crate::site::{ClearanceValue, Site, SiteFile, SpotLevel};

    const INCH: f64 = 0.0254;

    fn found(file: SiteFile) -> (Openings, Verdict) {
        let found = assess(&Site::new(file).expect("a sound site"));
        let ride = &found.rides[0];
        (ride.fence.openings.clone(), ride.fence.verdict)
    }

    fn lot(opening: Option<f64>, below: Option<f64>) -> SiteFile {
        let mut file = flat_lot();
        file.profiles[0].fence.gaps = FenceGaps { opening, below };
        file
    }

    #[test]
    fn nothing_told_is_not_checked() {
        let (openings, fence) = found(lot(None, None));
        assert_eq!((openings.verdict, fence), (None, Verdict::Pass));
    }

    /// Wisconsin SPS 334.24(3): a fence rejects a 4 in ball; read.
    #[test]
    fn a_ball_of_4_inches_is_turned_back() {
        let small = Some(3.9 * INCH);
        for (opening, below, verdict) in [
            (small, small, Verdict::Pass),
            (Some(4.0 * INCH), small, Verdict::Fail),
            (small, Some(4.1 * INCH), Verdict::Fail),
            (small, None, Verdict::Unknown),
            (None, small, Verdict::Unknown),
            (None, Some(5.0 * INCH), Verdict::Fail),
        ] {
            let (openings, fence) = found(lot(opening, below));
            assert_eq!(openings.verdict, Some(verdict), "{opening:?} {below:?}");
            assert_eq!(fence, verdict);
            assert_eq!(openings.notes.is_empty(), verdict == Verdict::Pass);
        }
    }

    #[test]
    fn what_was_measured_on_the_lot_goes_before_the_profile() {
        let mut file = lot(Some(0.2), Some(0.05));
        file.rides[0].fence_gaps.opening = Some(0.09);
        assert_eq!(found(file.clone()).0.verdict, Some(Verdict::Pass));
        file.rides[0].fence_gaps.below = Some(0.11);
        assert_eq!(found(file).0.verdict, Some(Verdict::Fail));
    }

    #[test]
    fn a_site_sets_its_own_ball() {
        let mut file = lot(Some(0.09), Some(0.09));
        file.clearance_values.push(ClearanceValue {
            rule: "fence-opening".to_owned(),
            value: 0.08,
            reason: "Ride inspector".to_owned(),
        });
        assert_eq!(found(file).0.verdict, Some(Verdict::Fail));
    }

    #[test]
    fn a_ditch_under_a_panel_widens_the_gap() {
        // A ditch 0.3 m deep along y = 0, shoulders 1 m off; a panel across it from -2 to 2.
        let shots: Vec<SpotLevel> = [-5.0, -1.0, 0.0, 1.0, 5.0]
            .into_iter()
            .flat_map(|y| {
                let height = if y == 0.0 { -0.3 } else { 0.0 };
                [-5.0, 5.0].map(|x| SpotLevel::new(x, y, Elevation(height)))
            })
            .collect();
        let ground = Ground::new(&shots);
        let across = [Point::new(0.0, -2.0), Point::new(0.0, 2.0)];
        let here = below(0.05, &across, &ground).unwrap();
        assert!((here - 0.35).abs() < 1e-9, "{here}");
        // Along the shoulder there is none; off the survey nobody knows.
        let along = [Point::new(-2.0, -2.0), Point::new(2.0, -2.0)];
        assert!((below(0.05, &along, &ground).unwrap() - 0.05).abs() < 1e-9);
        assert_eq!(
            below(0.05, &[across[0], Point::new(0.0, 9.0)], &ground),
            None
        );
    }

    proptest! {
        /// A straight panel that nowhere cuts the ground and stands as low as it may: nowhere is
        /// the gap wider than is told, and somewhere it is as wide.
        #[test]
        fn the_gap_below_is_as_wide_as_it_gets(
            heights in proptest::collection::vec(-0.3..0.3_f64, 25),
            from in (-9.0..9.0_f64, -9.0..9.0_f64), to in (-9.0..9.0_f64, -9.0..9.0_f64),
            gap in 0.0..0.2_f64,
        ) {
            prop_assume!(libm::hypot(from.0 - to.0, from.1 - to.1) > 0.1);
            let ground = five_by_five(&heights);
            let (from, to) = (Point::new(from.0, from.1), Point::new(to.0, to.1));
            let told = below(gap, &[from, to], &ground).unwrap();
            let height = |share: f64| ground.height(from + (to - from) * share).unwrap().0;
            let (start, end) = (height(0.0), height(1.0));
            let offs: Vec<f64> = (0..=2000)
                .map(|k| f64::from(k) / 2000.0)
                .map(|share| start + (end - start) * share + gap - height(share))
                .collect();
            let least = offs.iter().copied().fold(f64::INFINITY, f64::min);
            let most = offs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let widest = most + (-least).max(0.0);
            prop_assert!(told >= widest - 1e-9, "{told} < {widest}");
            // 26 m looked at every 13 mm, on slopes of up to a quarter.
            prop_assert!(told <= widest + 0.01, "{told} > {widest}");
        }
    }
}
