//! Where else a ride would keep what it is asked to keep: told only after the whole site has been
//! assessed with the ride there.
//!
//! # Picture
//!
//! ```text
//!            ·                 from where the ride stands, along each of eight winds, the first
//!        ·   │   ·             place at which the distances hold; the nearest place first, the
//!      ·  ╲  │  ╱  ×           whole site is assessed with the ride there: levels, ways, cords,
//!    ·──────hub──────×  tree   what is at hand, every other ride
//!      ·  ╱  │  ╲  ×
//! ```
//!
//! Along a wind, a ride that is short of `s` is still short after less than `s`: no distance grows
//! faster than the ride goes. So the search steps by what is short, and passes over no place but
//! within its own step. The search carries the ride's parts along as they are; the assessment that
//! follows levels it anew.

use serde::Serialize;

use super::holds::{Holds, to};
use super::{Assessment, RideAssessment, Verdict, assess, parts_of};
use crate::clearance::{Against, ClearanceRow, Measure, Part, Parts, clearances_of};
use crate::compass::Wind;
use crate::site::{Placement, Site};
use crate::units::LengthStyle;

/// Farthest that a ride is moved, metres.
const FARTHEST: f64 = 12.0;

/// Distances that are looked at one by one where no place cures all of them.
const MOST_ALONE: usize = 3;

/// Where a ride would keep distances that it does not keep now.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cure {
    /// The distances of the ride, by their places in its list, that then hold.
    pub rows: Vec<usize>,
    /// Whether these are all that do not hold now.
    pub all: bool,
    /// Which way it is moved.
    pub wind: Wind,
    /// How far, metres.
    pub distance: f64,
    /// Where it then stands.
    pub placement: Placement,
    /// What then does not hold although it holds now, in plain words; empty when nothing.
    pub then: Vec<String>,
}

/// Where ride `index` would keep the distances that fail: one place for all of them, or else one
/// for each of the tightest. A place at which something else then fails is told with it, where
/// there is no better. Empty when every distance holds or no place within reach would do.
pub fn cures(site: &Site, now: &Assessment, index: usize) -> Vec<Cure> {
    let Some(ride) = now.rides.get(index) else {
        return Vec::new();
    };
    let failing: Vec<usize> = fails(&ride.clearances).collect();
    if failing.is_empty() {
        return Vec::new();
    }
    let search = Search {
        site,
        now,
        index,
        ride,
        parts: parts_of(site, now),
        holds: Holds::of(now),
    };
    let mut cures: Vec<Cure> = search.nearest(&failing).into_iter().collect();
    if cures.iter().any(|cure| cure.then.is_empty()) {
        return cures;
    }
    for &row in failing.iter().take(MOST_ALONE) {
        let told = cures
            .iter()
            .any(|it| it.then.is_empty() && it.rows.contains(&row));
        let alone = (!told).then(|| search.nearest(&[row])).flatten();
        // With something that then fails it says no more than the place for all of them.
        cures.extend(alone.filter(|it| it.then.is_empty() || cures.is_empty()));
    }
    cures
}

/// The places of the rows that do not hold.
fn fails(rows: &[ClearanceRow]) -> impl Iterator<Item = usize> {
    let rows = rows.iter().enumerate();
    rows.filter(|(_, row)| row.verdict == Verdict::Fail)
        .map(|(place, _)| place)
}

/// What tells one distance of a ride from another.
fn key(row: &ClearanceRow) -> (Part, &str, Against, &str, Measure) {
    let ids = (row.space.as_str(), row.against_id.as_str());
    (row.part, ids.0, row.against, ids.1, row.measure)
}

struct Search<'a> {
    site: &'a Site,
    now: &'a Assessment,
    index: usize,
    ride: &'a RideAssessment,
    parts: Vec<Parts>,
    holds: Holds,
}

impl Search<'_> {
    /// The nearest place at which these rows hold and nothing else fails; or, where there is none,
    /// at which fewest other things do.
    fn nearest(&self, rows: &[usize]) -> Option<Cure> {
        let places = Wind::all().filter_map(|wind| Some((self.along(wind, rows)?, wind)));
        let mut places: Vec<(f64, Wind)> = places.collect();
        places.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut best: Option<Cure> = None;
        for (distance, wind) in places {
            let Some(cure) = self.tried(wind, distance, rows) else {
                continue;
            };
            if cure.then.is_empty() {
                return Some(cure);
            }
            if best
                .as_ref()
                .is_none_or(|best| cure.then.len() < best.then.len())
            {
                best = Some(cure);
            }
        }
        best
    }

    /// How far along a wind these rows first hold, metres, a whole number of steps, and no other
    /// distance of the ride fails that holds now; as far as carrying its parts along tells.
    fn along(&self, wind: Wind, rows: &[usize]) -> Option<f64> {
        let step = step(self.now.units);
        let mut steps = 1.0;
        let mut parts = self.parts.clone();
        while steps * step <= FARTHEST {
            let distance = steps * step;
            *parts.get_mut(self.index)? = self.parts.get(self.index)?.moved(wind.step() * distance);
            let there = clearances_of(self.site, &self.now.rules, &parts, self.index).rows;
            let short = self.short(&there, rows);
            if short <= 0.0 {
                return Some(distance);
            }
            steps = ((distance + short) / step).floor().max(steps + 1.0);
        }
        None
    }

    /// How much is short of these rows, and of any that holds now, metres.
    fn short(&self, there: &[ClearanceRow], rows: &[usize]) -> f64 {
        let may_fail = |row: &ClearanceRow| {
            let mut failing = fails(&self.ride.clearances);
            failing.any(|place| {
                let own = self.ride.clearances.get(place);
                !rows.contains(&place) && own.is_some_and(|own| key(own) == key(row))
            })
        };
        let short = fails(there).filter_map(|place| there.get(place));
        let short = short.filter(|row| !may_fail(row));
        short
            .map(|row| row.margin.map_or(f64::INFINITY, |margin| -margin))
            .fold(0.0, f64::max)
    }

    /// The whole site with the ride there; `None` when these rows do not hold after all.
    fn tried(&self, wind: Wind, distance: f64, rows: &[usize]) -> Option<Cure> {
        let here = self.ride.placement;
        let hub = here.hub() + wind.step() * distance;
        let placement = Placement {
            x: hub.x,
            y: hub.y,
            ..here
        };
        let site = self.site.with_placement(self.index, placement).ok()?;
        let there = assess(&site);
        let moved = there.rides.get(self.index)?;
        let still: Vec<_> = fails(&moved.clearances)
            .filter_map(|place| moved.clearances.get(place))
            .map(key)
            .collect();
        let failing: Vec<usize> = fails(&self.ride.clearances).collect();
        let cured = failing.iter().copied().filter(|&place| {
            let own = self.ride.clearances.get(place);
            own.is_some_and(|own| !still.contains(&key(own)))
        });
        let cured: Vec<usize> = cured.collect();
        rows.iter().all(|row| cured.contains(row)).then(|| Cure {
            all: cured.len() == failing.len(),
            rows: cured,
            wind,
            distance,
            placement,
            then: Holds::of(&there).worse_than(&self.holds),
        })
    }
}

/// A ride is moved by whole steps, metres, that print as they are: 3 in or 5 cm.
fn step(style: LengthStyle) -> f64 {
    if style.is_metric() { 0.05 } else { 0.0762 }
}

/// What is named of a long list.
const NAMED: usize = 3;

impl Cure {
    /// In plain words, a whole sentence or two. `ride` is the one that it is of.
    pub fn in_words(&self, ride: &RideAssessment, style: LengthStyle) -> String {
        let whole = match (self.all, self.rows.len()) {
            (true, 1) => "the distance that is too small".to_owned(),
            (true, count) => format!("all {count} distances that are too small"),
            (false, _) => {
                let rows = self.rows.iter();
                let rows = rows.filter_map(|&row| ride.clearances.get(row));
                named(
                    rows.map(|row| format!("{} to {}", row.from_words(), to(row)))
                        .collect(),
                )
            }
        };
        let follows = match self.then.as_slice() {
            [] => "Nothing fails there that holds now.".to_owned(),
            then => format!("But there this no longer holds: {}.", named(then.to_vec())),
        };
        format!(
            "Moving {} {} {} cures {whole}. {follows}",
            ride.name,
            style.format(self.distance),
            self.wind.words()
        )
    }
}

/// The first few of a list, and how many more there are.
fn named(mut list: Vec<String>) -> String {
    let more = list.len().saturating_sub(NAMED);
    list.truncate(NAMED);
    match more {
        0 => list.join("; "),
        more => format!("{}; and {more} more", list.join("; ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Point;
    use crate::fixtures::flat_lot;
    use crate::site::{Disconnect, SiteFile, Walkway};
    use proptest::prelude::*;

    fn walk(x: f64) -> Walkway {
        Walkway {
            id: format!("walk-{x}"),
            name: String::new(),
            path: vec![Point::new(x, -30.0), Point::new(x, 30.0)],
            width: 2.0,
        }
    }

    fn cured(file: SiteFile) -> (Site, Assessment, Vec<Cure>) {
        let site = Site::new(file).expect("a sound site");
        let now = assess(&site);
        let found = cures(&site, &now, 0);
        (site, now, found)
    }

    #[test]
    fn a_ride_beside_a_walkway_is_moved_away_by_what_is_short() {
        let mut file = flat_lot();
        file.features.walkways.push(walk(5.0));
        let (_, now, found) = cured(file);
        let ride = &now.rides[0];
        let [cure] = found.as_slice() else {
            panic!("{found:?}")
        };
        let worst = ride.clearances[0].margin.unwrap();
        assert!(cure.all && cure.then.is_empty(), "{cure:?}");
        assert_eq!(cure.wind.words(), "west");
        let more = cure.distance + worst;
        assert!((0.0..=step(now.units)).contains(&more), "{cure:?} {worst}");
        let words = cure.in_words(ride, LengthStyle::Metres);
        assert!(words.contains("west cures all"), "{words}");
        assert!(
            words.ends_with("Nothing fails there that holds now."),
            "{words}"
        );
    }

    #[test]
    fn what_is_left_behind_is_told() {
        // The disconnect hangs at the console now, and stays where it is when the ride goes.
        let mut file = flat_lot();
        file.profiles[0].console = Some(Point::new(0.0, 5.5));
        let console = file.rides[0].placement.to_lot(Point::new(0.0, 5.5));
        file.features.disconnects.push(Disconnect {
            id: "switch".to_owned(),
            name: String::new(),
            at: console,
            supplies: Vec::new(),
        });
        file.features.walkways.push(walk(2.0));
        let (_, now, found) = cured(file);
        assert!(
            now.at_hand.iter().all(|it| it.verdict == Verdict::Pass),
            "{:?}",
            now.at_hand
        );
        let cure = found.first().expect("a cure");
        assert!(
            cure.then.iter().any(|it| it.contains("disconnect")),
            "{cure:?}"
        );
        let words = cure.in_words(&now.rides[0], LengthStyle::Metres);
        assert!(words.contains("no longer holds: the disconnect"), "{words}");
    }

    #[test]
    fn where_no_place_would_do_nothing_is_told() {
        let mut file = flat_lot();
        file.features
            .walkways
            .extend((-9..=9).map(|k| walk(4.0 * f64::from(k))));
        let (_, now, found) = cured(file);
        assert!(
            now.rides[0].verdict == Verdict::Fail && found.is_empty(),
            "{found:?}"
        );
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(ProptestConfig::default().cases / 8))]

        /// Whatever is told holds when it is done: judged by the verdicts of the whole site alone.
        #[test]
        fn what_is_told_is_so(
            places in prop::collection::vec((-14.0..14.0f64, -14.0..14.0f64), 1..4),
            metric in any::<bool>(),
        ) {
            let mut file = flat_lot();
            file.units = if metric { LengthStyle::Metres } else { LengthStyle::FeetInches8 };
            for (index, &(x, y)) in places.iter().enumerate() {
                file.features.trees.push(crate::site::Tree {
                    id: format!("tree-{index}"),
                    name: String::new(),
                    at: Point::new(x, y),
                    trunk_radius: 0.3,
                    canopy_radius: 1.5,
                    canopy_underside: 1.0,
                    canopy_top: 6.0,
                });
            }
            let (site, now, found) = cured(file);
            for cure in &found {
                let moved = assess(&site.with_placement(0, cure.placement).unwrap());
                let bad = |it: &Assessment| {
                    let rows = it.rides[0].clearances.iter();
                    let rows = rows.filter(|row| row.verdict != Verdict::Pass);
                    rows.map(|row| format!("{:?}", key(row))).collect::<Vec<_>>()
                };
                let (before, after) = (bad(&now), bad(&moved));
                for &row in &cure.rows {
                    let row = format!("{:?}", key(&now.rides[0].clearances[row]));
                    prop_assert!(before.contains(&row) && !after.contains(&row));
                }
                prop_assert_eq!(cure.all, cure.rows.len() == before.len());
                if cure.then.is_empty() {
                    prop_assert!(after.iter().all(|it| before.contains(it)), "{:?}", cure);
                }
                let from = now.rides[0].placement.hub();
                let gone = (cure.placement.hub() - from).norm();
                prop_assert!((gone - cure.distance).abs() < 1e-9);
                let steps = cure.distance / step(now.units);
                prop_assert!((steps - steps.round()).abs() < 1e-6);
            }
        }
    }
}
