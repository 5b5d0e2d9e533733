//! What of an assessment holds and what does not, thing by thing, so that a site as it stands and
//! the same site with a ride moved can be laid side by side. Ropes, fuel and generators are not in
//! it: no ride's place bears on them.

use std::collections::BTreeMap;

use super::{Assessment, RideAssessment, Verdict};
use crate::clearance::{Against, ClearanceRow, HandyKind, WayKind};

/// Every check with its verdict, by what tells one from the other.
pub(super) struct Holds(BTreeMap<String, (Verdict, String)>);

impl Holds {
    pub(super) fn of(assessment: &Assessment) -> Holds {
        let mut all = Vec::new();
        for ride in &assessment.rides {
            of_ride(ride, &mut all);
        }
        for way in &assessment.ways {
            let kind = match way.kind {
                WayKind::Walkway => "walkway",
                WayKind::FireLane => "fire lane",
            };
            all.push((&way.id, way.verdict, format!("{kind} {}", way.name)));
        }
        for it in &assessment.passages {
            let (from, to) = &it.names;
            all.push((&it.from, it.verdict, format!("the way from {from} to {to}")));
        }
        for it in &assessment.cords {
            let verdict = it.verdict.unwrap_or(Verdict::Pass);
            let words = format!("the power cord of {}", it.ride_name);
            all.push((&it.ride, verdict, words));
        }
        for it in &assessment.at_hand {
            let what = match it.kind {
                HandyKind::Extinguisher => "an extinguisher at hand at",
                HandyKind::Disconnect => "the disconnect at hand at",
            };
            all.push((&it.ride, it.verdict, format!("{what} {}", it.ride_name)));
        }
        for it in &assessment.bonds {
            let [one, other] = &it.names;
            let [id, _] = &it.rides;
            all.push((id, it.verdict, format!("bonding of {one} and {other}")));
        }
        let mut holds = BTreeMap::new();
        for (id, verdict, words) in all {
            // Two things of one name and id are one: the worse counts.
            let kept = holds
                .entry(format!("{id} {words}"))
                .or_insert((verdict, words));
            kept.0 = kept.0.and(verdict);
        }
        Holds(holds)
    }

    /// What came out better in the other one, in words that follow "no longer hold: ".
    pub(super) fn worse_than(&self, other: &Holds) -> Vec<String> {
        let worse = self.0.iter().filter(|(key, (verdict, _))| {
            let before = other.0.get(*key).map_or(Verdict::Pass, |it| it.0);
            *verdict > before
        });
        worse.map(|(_, (_, words))| words.clone()).collect()
    }
}

fn of_ride<'a>(ride: &'a RideAssessment, all: &mut Vec<(&'a String, Verdict, String)>) {
    let name = &ride.name;
    let mut of = |verdict, words| all.push((&ride.id, verdict, words));
    for row in &ride.clearances {
        of(
            row.verdict,
            format!("{} of {name} to {}", row.from_words(), to(row)),
        );
    }
    let struck = ride.over_ground.as_ref().is_some_and(|it| it.least < 0.0);
    let over_ground = if struck { Verdict::Fail } else { Verdict::Pass };
    of(ride.fence.verdict, format!("the fence of {name}"));
    of(ride.level.verdict, format!("levelling {name}"));
    of(ride.loads.counts(), format!("the loads of {name}"));
    of(
        over_ground,
        format!("moving parts of {name} over the ground"),
    );
}

/// What a row is measured to, in words.
pub(super) fn to(row: &ClearanceRow) -> String {
    match (row.against, row.against_name.as_str()) {
        (Against::LotLine, _) => "the lot line".to_owned(),
        (_, "") => row.against_id.clone(),
        (_, name) => name.to_owned(),
    }
}
