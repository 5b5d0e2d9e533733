//! The whole lot in one list: every distance once, the tightest first.
//!
//! # Picture
//!
//! ```text
//!     of one ride    moving parts ──► the other  10 ft ┐
//!     of the other   moving parts ──► the one    10 ft ┘ one line: the one, to the other
//! ```
//!
//! Each of two rides carries the distance between them among its own, for it counts in both
//! verdicts. Where the lot is listed as a whole it stands once. From the moving parts of one to
//! whatever of the other may be nearer than the other way round, towards a console for instance:
//! then the nearer of the two stands for both, since the same rule asks the same of both.

use std::collections::{HashMap, HashSet};

use super::{Assessment, RideAssessment};
use crate::clearance::{Against, ClearanceRow, Measure, Part};

/// A pair of rides in the order of the file, from which part and how it is measured; building up,
/// also whose space of which name.
type PairKey<'a> = (usize, usize, Part, Measure, Option<(usize, &'a str)>);

impl Assessment {
    /// The distances of all rides, by the places of a ride and of its row, each pair of rides once
    /// for each part: the tightest margin first.
    pub fn each_once(&self) -> Vec<(usize, usize)> {
        let mut places = self.by_margin();
        let ids = self.ids();
        let mut told: HashSet<PairKey<'_>> = HashSet::new();
        places.retain(|&(ride, _, row)| match pair_key(&ids, ride, row) {
            Some(key) => told.insert(key),
            None => true,
        });
        places
            .into_iter()
            .map(|(ride, place, _)| (ride, place))
            .collect()
    }

    /// How many pairs of a ride and something else have no row, two rides counted once.
    pub fn far_pairs(&self) -> usize {
        let all: usize = self.rides.iter().map(|ride| ride.far).sum();
        let ids = self.ids();
        let told = self.rides.iter().enumerate().flat_map(|(index, ride)| {
            let others = ride.clearances.iter();
            let others = others.filter(|row| row.against == Against::Ride);
            let others = others.filter_map(|row| ids.get(row.against_id.as_str()));
            others.map(move |&other| (index, other))
        });
        let told: HashSet<(usize, usize)> = told.collect();
        // Two rides of which neither tells of the other were counted by both; where only one tells,
        // the other counted what is in the list.
        let twice = (0..self.rides.len()).flat_map(|one| (0..one).map(move |other| (one, other)));
        let twice = twice.filter(|&(one, other)| {
            !(told.contains(&(one, other)) && told.contains(&(other, one)))
        });
        all.saturating_sub(twice.count())
    }

    /// Every row of every ride with its places, the tightest margin first.
    fn by_margin(&self) -> Vec<(usize, usize, &ClearanceRow)> {
        let rides = self.rides.iter().enumerate();
        let mut places: Vec<_> = rides
            .flat_map(|(ride, of)| {
                let rows = of.clearances.iter().enumerate();
                rows.map(move |(place, row)| (ride, place, row))
            })
            .collect();
        let margin = |row: &ClearanceRow| row.margin.unwrap_or(f64::NEG_INFINITY);
        places.sort_by(|a, b| margin(a.2).total_cmp(&margin(b.2)));
        places
    }

    /// The place of every ride by its id.
    fn ids(&self) -> HashMap<&str, usize> {
        let rides = self.rides.iter().enumerate();
        rides
            .map(|(index, ride): (usize, &RideAssessment)| (ride.id.as_str(), index))
            .collect()
    }
}

/// What tells whether two rows are of the same pair of rides; `None` for a row to anything else.
fn pair_key<'a>(
    ids: &HashMap<&str, usize>,
    ride: usize,
    row: &'a ClearanceRow,
) -> Option<PairKey<'a>> {
    if row.against != Against::Ride {
        return None;
    }
    let other = *ids.get(row.against_id.as_str())?;
    let space = (row.part == Part::BuildUp).then_some((ride, row.space.as_str()));
    Some((
        ride.min(other),
        ride.max(other),
        row.part,
        row.measure,
        space,
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assess::{Verdict, assess};
    use crate::fixtures::flat_lot;
    use crate::ride::{Space, SpaceKind};
    use crate::site::{Site, SiteFile};
    use crate::{Point, units::LengthStyle};
    use proptest::prelude::*;

    fn rides(places: &[(f64, f64)]) -> SiteFile {
        let mut file = flat_lot();
        file.units = LengthStyle::Metres;
        file.profiles[0].spaces.push(Space {
            id: "tongue".to_owned(),
            name: "tongue drawn out".to_owned(),
            kind: SpaceKind::BuildUp,
            outline: [(2.0, 0.5), (2.0, -0.5), (7.0, -0.5), (7.0, 0.5)]
                .map(|(x, y)| Point::new(x, y))
                .to_vec(),
            low: -0.5,
            high: 0.5,
        });
        let one = file.rides[0].clone();
        file.rides = places
            .iter()
            .enumerate()
            .map(|(index, &(x, y))| {
                let mut ride = one.clone();
                ride.id = format!("ride-{index}");
                (ride.placement.x, ride.placement.y) = (x, y);
                ride.placement.heading = 40.0 * index as f64;
                ride
            })
            .collect();
        file
    }

    #[test]
    fn two_rides_are_told_once_and_count_for_both() {
        let assessment = assess(&Site::new(rides(&[(0.0, 0.0), (0.0, 11.0)])).unwrap());
        assert!(
            assessment
                .rides
                .iter()
                .all(|it| it.verdict == Verdict::Fail)
        );
        let moving = |(ride, row): &(usize, usize)| {
            let row = &assessment.rides[*ride].clearances[*row];
            row.against == Against::Ride && row.part == Part::Moving
        };
        let listed = assessment.each_once();
        assert_eq!(listed.iter().filter(|it| moving(it)).count(), 1);
        // What each of them builds up is its own.
        let build_up = listed.iter().filter(|&&(ride, row)| {
            let row = &assessment.rides[ride].clearances[row];
            row.against == Against::Ride && row.part == Part::BuildUp
        });
        assert_eq!(build_up.count(), 2);
    }

    proptest! {
        /// By the words: everything that is no pair of rides stands there once; of two rides each
        /// part stands there once, with the least margin that either tells.
        #[test]
        fn each_pair_once_and_none_forgotten(
            places in prop::collection::vec((-25.0..25.0f64, -25.0..25.0f64), 1..5),
        ) {
            let assessment = assess(&Site::new(rides(&places)).unwrap());
            let listed = assessment.each_once();
            let row = |&(ride, row): &(usize, usize)| &assessment.rides[ride].clearances[row];
            let margins: Vec<f64> = listed.iter().filter_map(|it| row(it).margin).collect();
            prop_assert!(margins.is_sorted());
            for (index, ride) in assessment.rides.iter().enumerate() {
                for (place, own) in ride.clearances.iter().enumerate() {
                    let same = listed.iter().filter(|it| {
                        let there = row(it);
                        let pair = (assessment.rides[it.0].id.as_str(), there.against_id.as_str());
                        let same_way = pair == (&*ride.id, &*own.against_id)
                            && there.space == own.space;
                        let other_way = own.against == Against::Ride
                            && own.part != Part::BuildUp
                            && pair == (&*own.against_id, &*ride.id);
                        (there.part, there.measure, there.against)
                            == (own.part, own.measure, own.against)
                            && (same_way || other_way)
                    });
                    let same: Vec<_> = same.collect();
                    prop_assert_eq!(same.len(), 1, "{} {:?}", index, own);
                    prop_assert!(row(same[0]).margin <= own.margin, "{} {}", index, place);
                }
            }
            prop_assert_eq!(assessment.far_pairs(), 0);
        }
    }

    #[test]
    fn what_keeps_far_is_counted_once() {
        // Of two rides that keep far from each other on a lot that is not listed whole, each tells
        // that one thing has no row.
        let mut file = rides(&[(-8.0, 0.0), (8.0, 0.0)]);
        let tree = |index: usize| crate::site::Tree {
            id: format!("tree-{index}"),
            name: String::new(),
            at: Point::new(300.0, 300.0),
            trunk_radius: 0.2,
            canopy_radius: 1.0,
            canopy_underside: 2.0,
            canopy_top: 4.0,
        };
        file.features.trees = (0..60).map(tree).collect();
        let mut assessment = assess(&Site::new(file.clone()).unwrap());
        let near = assessment.far_pairs();
        assert_eq!(near, 120);
        file.rides[1].placement.x = 200.0;
        assessment = assess(&Site::new(file).unwrap());
        assert_eq!(assessment.far_pairs(), 121);
        assert_eq!(assessment.rides[0].far, 61);
    }
}
