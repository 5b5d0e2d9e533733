//! What would let a ride be levelled, of which nothing makes a clearance, a fence or a way fail
//! that did not fail before.

use std::collections::HashSet;

use super::{Assessment, Verdict, assess};
use crate::level::{self, Remedy};
use crate::site::Site;

/// What would let ride `index` be levelled, the least work first, each verified by solving and
/// assessing again. Empty when it can be levelled as it stands, when the ground under it is not
/// surveyed, or when nothing helps.
pub fn remedies(site: &Site, index: usize) -> Vec<Remedy> {
    let now = assess(site);
    let before = failing(&now);
    // While a field book does not close nothing better than not known can be reached.
    let best = if now.unclosed.is_empty() {
        Verdict::Pass
    } else {
        Verdict::Unknown
    };
    let mut remedies = level::remedies(site, index, &|moved| {
        failing(&assess(moved)).is_subset(&before)
    });
    // What the loads then ask of the plan (ground that sinks) counts as well.
    remedies.retain(|remedy| {
        let mut file = site.file().clone();
        remedy.change.apply(&mut file, index);
        let levelled = |site: Site| {
            let ride = assess(&site).rides.into_iter().nth(index);
            ride.is_some_and(|ride| ride.level.verdict <= best)
        };
        Site::new(file).is_ok_and(levelled)
    });
    remedies
}

/// What fails beside levelling, in words that tell one from the other.
fn failing(assessment: &Assessment) -> HashSet<String> {
    let rides = assessment.rides.iter().flat_map(|ride| {
        let rows = ride.clearances.iter();
        let rows = rows
            .filter(|row| row.verdict != Verdict::Pass)
            .map(|row| format!("{} {:?} {} {}", ride.id, row.part, row.rule, row.against_id));
        let fence = (ride.fence.verdict != Verdict::Pass).then(|| format!("{} fence", ride.id));
        rows.chain(fence)
    });
    let ways = assessment.ways.iter();
    let ways = ways
        .filter(|way| way.verdict != Verdict::Pass)
        .map(|way| format!("way {}", way.id));
    rides.chain(ways).collect()
}
