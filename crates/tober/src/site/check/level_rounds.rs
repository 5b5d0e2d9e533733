//! Rounds of level readings: what a level or a rod can show.

use super::report::{Quantity, Report};
use super::{ROOT, limits};
use crate::level::{LevelRound, Mark};
use crate::units::Slope;

/// Rounds of all rides: an hourly round for a season.
const ROUNDS: usize = 10_000;
/// Readings of one round.
const READINGS: usize = 200;
/// Steepest that a level shows, degrees.
const STEEPEST_DEG: f64 = 45.0;
const ROD: Quantity = Quantity::from_to("a rod reading in metres", -limits::ACROSS, limits::ACROSS);

/// Checks the readings. A round of a ride that has left the lot stays: it is a record.
pub(super) fn check(report: &mut Report, rounds: &[LevelRound]) {
    let at = ROOT.key("level_rounds");
    if !report.list(&at, rounds.len(), 0, ROUNDS, "rounds") {
        return;
    }
    for (index, round) in rounds.iter().enumerate() {
        let at = at.item(index);
        report.text(&at.key("ride"), &round.ride);
        let at = at.key("readings");
        if !report.list(&at, round.readings.len(), 0, READINGS, "readings") {
            continue;
        }
        for (index, reading) in round.readings.iter().enumerate() {
            let at = at.item(index);
            report.text(&at.key("station"), &reading.station);
            let at = at.key("mark");
            match reading.mark {
                Mark::Along(slope) | Mark::Across(slope) if !shown(slope) => report.error(
                    &at,
                    format_args!("{} {}", slope.number(), slope.form().label()),
                    format_args!("what a level shows, at most {STEEPEST_DEG}° either way"),
                ),
                Mark::Along(_) | Mark::Across(_) => {}
                Mark::Rod(metres) => {
                    report.number(&at.key("rod"), metres, &ROD);
                }
            }
        }
    }
}

/// Whether a level can show it.
fn shown(slope: Slope) -> bool {
    slope.degrees().abs() <= STEEPEST_DEG
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::level::Reading;

    fn found(mark: Mark) -> Vec<String> {
        let round = LevelRound {
            ride: "swing".to_owned(),
            unix_seconds: 1_700_000_000,
            readings: vec![Reading {
                station: "hub".to_owned(),
                mark,
            }],
        };
        let mut report = Report::default();
        check(&mut report, &[round]);
        report
            .finish()
            .err()
            .map(|faults| faults.0.iter().map(ToString::to_string).collect())
            .unwrap_or_default()
    }

    #[test]
    fn readings_that_no_level_shows_are_told() {
        assert!(found(Mark::Along(Slope::PerCent(2.5))).is_empty());
        assert!(found(Mark::Rod(1.37)).is_empty());
        let steep = found(Mark::Across(Slope::Deg(80.0)));
        assert!(
            steep[0].starts_with("level_rounds[0].readings[0].mark: is 80 °"),
            "{steep:?}"
        );
        assert_eq!(found(Mark::Along(Slope::Deg(f64::NAN))).len(), 1);
        assert_eq!(found(Mark::Rod(1e9)).len(), 1);
    }
}
