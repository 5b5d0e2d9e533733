//! Bonding: rides that are supplied from different sources and stand so near that somebody can
//! touch both at once.
//!
//! # Picture
//!
//! ```text
//!     generator ──► ride A │← under 12 ft →│ ride B ◄── pillar
//!                          └── bonded together ──┘   else one hand on each may close a circuit
//! ```
//!
//! Their grounding conductors are bonded together at the rides: NEC 525.11, 12 ft, read. The way
//! between what moves or stands of one and of the other is never overstated, so that no pair is
//! missed. Rides that are supplied from the same sources are not asked. Where the site tells the
//! supply of one ride and not of the other, nobody knows; where it tells of neither, nothing is
//! said here, and the record says that it was not checked. Tents and stands are structures too: the
//! site file does not tell what supplies them.

use serde::{Deserialize, Serialize};

use super::measure::Clearances;
use super::{Asks, Parts, RuleInForce};
use crate::Point;
use crate::assess::Verdict;
use crate::site::{Site, SiteFile};

/// Two rides that are to be bonded.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct BondCheck {
    /// The placed rides' ids.
    pub rides: [String; 2],
    /// What people call them.
    pub names: [String; 2],
    /// What supplies each; empty where nobody has told.
    pub supplied_by: [Vec<String>; 2],
    /// How near they come, metres; never overstated, negative when they overlap.
    pub apart: f64,
    /// Nearer than this, metres, they are bonded.
    pub within: f64,
    /// The two nearest places, lot frame.
    #[cfg_attr(feature = "schema", schemars(with = "[[f64; 2]; 2]"))]
    pub between: (Point, Point),
    /// Who confirms that they are bonded; absent where nobody does.
    pub confirmed: Option<String>,
    /// The rule's id.
    pub rule: String,
    /// Who asks for it.
    pub asks: Asks,
    /// How it came out.
    pub verdict: Verdict,
    /// What is to be done or is not known, in plain words.
    pub note: String,
}

/// Another ride, and how near it comes.
#[derive(Clone, Debug, PartialEq)]
pub struct Beside {
    /// The other ride's id.
    pub id: String,
    /// From what moves or stands of one to what moves or stands of the other, metres, in plan;
    /// never overstated.
    pub apart: f64,
    /// The two nearest places, lot frame.
    pub between: (Point, Point),
}

/// What supplies a ride with power, as the site tells: ids of power sources and of overhead lines.
pub(super) fn supplied_by<'a>(file: &'a SiteFile, ride: &str) -> Vec<&'a str> {
    let features = &file.features;
    let sources = features.power_sources.iter();
    let sources = sources.map(|it| (&it.id, &it.supplies));
    let lines = features.overhead_lines.iter();
    let lines = lines.map(|it| (&it.id, &it.supplies));
    let own = |(_, rides): &(_, &Vec<String>)| rides.iter().any(|it| it == ride);
    let mut ids: Vec<&str> = sources
        .chain(lines)
        .filter(own)
        .map(|(id, _)| id.as_str())
        .collect();
    ids.sort_unstable();
    ids
}

/// Every pair of rides that is to be bonded, or of which nobody knows; `found` are the clearances
/// of `rides`, in the same order.
pub fn bonding(
    site: &Site,
    rules: &[RuleInForce],
    rides: &[Parts],
    found: &[Clearances],
) -> Vec<BondCheck> {
    let Some(rule) = rules.iter().find(|rule| rule.id == "bonding") else {
        return Vec::new();
    };
    let file = site.file();
    let mut checks = Vec::new();
    for (index, (own, clearances)) in rides.iter().zip(found).enumerate() {
        for beside in &clearances.beside {
            let other = rides.iter().skip(index + 1).find(|it| it.id == beside.id);
            let Some(other) = other.filter(|_| beside.apart < rule.required) else {
                continue;
            };
            let supplied = [&own.id, &other.id].map(|id| supplied_by(file, id));
            let is_told = supplied.each_ref().map(|it| !it.is_empty());
            if is_told == [false, false] || (is_told == [true, true] && supplied[0] == supplied[1])
            {
                continue;
            }
            let holds = |rides: &[String]| rides.contains(&own.id) && rides.contains(&other.id);
            let bond = file.bonds.iter().find(|bond| holds(&bond.rides));
            let (verdict, note) = match (bond, is_told) {
                (Some(_), _) => (Verdict::Pass, "bonded together, as the site says"),
                (None, [true, true]) => (
                    Verdict::Unknown,
                    "supplied separately and near enough to touch both: bond them together, and \
                     tell who confirms it",
                ),
                (None, _) => (
                    Verdict::Unknown,
                    "nobody has told what supplies both: they are bonded together unless it is \
                     the same",
                ),
            };
            checks.push(BondCheck {
                rides: [own.id.clone(), other.id.clone()],
                names: [own.name.clone(), other.name.clone()],
                supplied_by: supplied.map(|ids| ids.into_iter().map(str::to_owned).collect()),
                apart: beside.apart,
                within: rule.required,
                between: beside.between,
                confirmed: bond.map(|bond| bond.reason.clone()),
                rule: rule.id.clone(),
                asks: rule.asks,
                verdict,
                note: note.to_owned(),
            });
        }
    }
    checks
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assess::assess;
    use crate::clearance::Part;
    use crate::fixtures::flat_lot;
    use crate::site::{Bond, ClearanceValue, PowerSource};

    /// Two plain rides, so far apart that this is left between what moves, as the rows tell; each
    /// supplied by what is named.
    fn lot(apart: f64, supplies: [Option<&str>; 2]) -> SiteFile {
        let mut file = flat_lot();
        let mut other = file.rides[0].clone();
        other.id = "other".to_owned();
        other.placement.x = 9.0;
        file.rides.push(other);
        let site = Site::new(file.clone()).expect("a sound site");
        let at_nine = nearest(&assess(&site));
        file.rides[1].placement.x += apart - at_nine;
        for (ride, source) in ["ride", "other"].into_iter().zip(supplies) {
            let Some(source) = source else { continue };
            let sources = &mut file.features.power_sources;
            if !sources.iter().any(|it| it.id == source) {
                sources.push(PowerSource {
                    id: source.to_owned(),
                    name: String::new(),
                    at: Point::new(0.0, 25.0 + sources.len() as f64),
                    radius: 0.3,
                    kind: None,
                    cord: None,
                    crossings_protected: false,
                    supplies: Vec::new(),
                });
            }
            let found = sources.iter_mut().find(|it| it.id == source);
            found.unwrap().supplies.push(ride.to_owned());
        }
        file
    }

    fn nearest(assessment: &crate::assess::Assessment) -> f64 {
        let rows = assessment.rides[0].clearances.iter();
        let rows = rows.filter(|row| {
            row.against_id == "other" && matches!(row.part, Part::Moving | Part::Standing)
        });
        let plan = rows.filter_map(|row| row.horizontal);
        plan.fold(f64::INFINITY, f64::min)
    }

    fn checks(file: SiteFile) -> Vec<BondCheck> {
        assess(&Site::new(file).expect("a sound site")).bonds
    }

    /// NEC 525.11: bonded when structures are under 12 ft apart; read.
    const NEAR: f64 = 12.0 * 0.3048;

    #[test]
    fn separate_supplies_are_bonded_under_twelve_feet() {
        let two = [Some("generator"), Some("pillar")];
        let found = checks(lot(NEAR - 0.01, two));
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].verdict, Verdict::Unknown);
        assert!((found[0].apart - (NEAR - 0.01)).abs() < 1e-6, "{found:?}");
        assert_eq!(found[0].supplied_by, [["generator"], ["pillar"]]);
        assert!(checks(lot(NEAR + 0.01, two)).is_empty());
    }

    #[test]
    fn what_is_bonded_says_who_confirms_it() {
        let mut file = lot(1.0, [Some("generator"), Some("pillar")]);
        file.bonds.push(Bond {
            rides: vec!["other".to_owned(), "ride".to_owned()],
            reason: "The electrician measured it".to_owned(),
        });
        let found = checks(file);
        assert_eq!(found[0].verdict, Verdict::Pass);
        assert_eq!(
            found[0].confirmed.as_deref(),
            Some("The electrician measured it")
        );
    }

    #[test]
    fn the_same_supply_is_not_asked_and_an_untold_one_is_not_known() {
        assert!(checks(lot(1.0, [Some("pillar"), Some("pillar")])).is_empty());
        assert!(checks(lot(1.0, [None, None])).is_empty());
        let found = checks(lot(1.0, [Some("pillar"), None]));
        assert_eq!(found[0].verdict, Verdict::Unknown);
        assert!(found[0].note.contains("nobody has told"), "{found:?}");
    }

    #[test]
    fn a_site_sets_its_own_distance() {
        let mut file = lot(NEAR + 1.0, [Some("generator"), Some("pillar")]);
        file.clearance_values.push(ClearanceValue {
            rule: "bonding".to_owned(),
            value: 6.0,
            reason: "The electrician".to_owned(),
        });
        assert_eq!(checks(file).len(), 1);
    }
}
