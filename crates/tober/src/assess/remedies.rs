//! What would let a ride be levelled, of which nothing makes anything fail that did not fail
//! before.

use super::holds::Holds;
use super::{Verdict, assess};
use crate::level::{self, Remedy};
use crate::site::Site;

/// What would let ride `index` be levelled, the least work first, each verified by solving and
/// assessing again. Empty when it can be levelled as it stands, when the ground under it is not
/// surveyed, or when nothing helps.
pub fn remedies(site: &Site, index: usize) -> Vec<Remedy> {
    let now = assess(site);
    let before = Holds::of(&now);
    // While a field book does not close nothing better than not known can be reached.
    let best = if now.unclosed.is_empty() {
        Verdict::Pass
    } else {
        Verdict::Unknown
    };
    let mut remedies = level::remedies(site, index, &|moved| {
        Holds::of(&assess(moved)).worse_than(&before).is_empty()
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
