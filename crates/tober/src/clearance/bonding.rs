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
    use proptest::prelude::*;

    use super::*;
    use crate::assess::assess;
    use crate::clearance::Part;
    use crate::fixtures::flat_lot;
    use crate::ride::{Space, SpaceKind};
    use crate::site::{
        Bond, ClearanceValue, LinePoint, OverheadLine, PlacedRide, Placement, PowerSource,
    };

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

    /// A lot of plain rides with steps of `steps` metres to the left, supplied and bonded as told;
    /// source 2 is an overhead line.
    fn strewn(
        places: &[(f64, f64, f64)],
        steps: f64,
        supplies: &[Vec<bool>],
        bonds: &[(usize, usize)],
        own: Option<f64>,
    ) -> SiteFile {
        let mut file = flat_lot();
        let outline = [(-1.0, 1.0), (0.5, 1.0), (0.5, steps), (-1.0, steps)];
        file.profiles[0].spaces.push(Space {
            id: "steps".to_owned(),
            name: "steps".to_owned(),
            kind: SpaceKind::Standing,
            outline: outline.map(|(x, y)| Point::new(x, y)).to_vec(),
            low: -0.5,
            high: 0.3,
        });
        let one = file.rides.remove(0);
        for (index, &(x, y, heading)) in places.iter().enumerate() {
            file.rides.push(PlacedRide {
                id: format!("ride-{index}"),
                placement: Placement { x, y, heading },
                ..one.clone()
            });
        }
        let fed = |source: usize| {
            let rides = (0..places.len()).filter(|&ride| supplies[ride][source]);
            rides.map(|ride| format!("ride-{ride}")).collect::<Vec<_>>()
        };
        for source in 0..2 {
            file.features.power_sources.push(PowerSource {
                id: format!("source-{source}"),
                name: String::new(),
                at: Point::new(30.0, 30.0 - 3.0 * source as f64),
                radius: 0.3,
                kind: None,
                cord: None,
                crossings_protected: false,
                supplies: fed(source),
            });
        }
        file.features.overhead_lines.push(OverheadLine {
            id: "source-2".to_owned(),
            name: String::new(),
            points: [-30.0, 30.0]
                .map(|x| LinePoint {
                    x,
                    y: -36.0,
                    height: 9.0,
                })
                .to_vec(),
            sag: Some(0.3),
            lowest: None,
            volts: Some(230.0),
            supplies: fed(2),
        });
        for &(one, other) in bonds.iter().filter(|(one, other)| one != other) {
            let rides = [one, other].map(|it| it % places.len());
            if rides[0] != rides[1] {
                file.bonds.push(Bond {
                    rides: rides.map(|it| format!("ride-{it}")).to_vec(),
                    reason: format!("told of {one}"),
                });
            }
        }
        if let Some(value) = own {
            file.clearance_values.push(ClearanceValue {
                rule: "bonding".to_owned(),
                value,
                reason: "The electrician".to_owned(),
            });
        }
        file
    }

    /// Places of what moves or stands of a plain ride with steps, dense along its edge: the swept
    /// circle and the steps.
    fn edge((x, y, heading): (f64, f64, f64), radius: f64, steps: f64) -> Vec<Point> {
        let placement = Placement { x, y, heading };
        let round = (0..360).map(|k| {
            let at = core::f64::consts::TAU * f64::from(k) / 360.0;
            let (sin, cos) = libm::sincos(at);
            Point::new(x + radius * cos, y + radius * sin)
        });
        let side = |from: (f64, f64), to: (f64, f64)| {
            (0..=60).map(move |k| {
                let on = |a: f64, b: f64| a + (b - a) * f64::from(k) / 60.0;
                placement.to_lot(Point::new(on(from.0, to.0), on(from.1, to.1)))
            })
        };
        let corners = [(-1.0, 1.0), (0.5, 1.0), (0.5, steps), (-1.0, steps)];
        let sides = (0..4).flat_map(|k| side(corners[k], corners[(k + 1) % 4]));
        round.chain(sides).collect()
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(ProptestConfig::default().cases / 8))]

        /// The rule in words, read pair by pair: two structures under 12 ft apart (or what the site
        /// says) that are supplied from different sources are bonded together. Nobody asks where
        /// both have the same sources or nobody told of either; what is told of one only is not
        /// known. The distance is taken between every two places of two dense edges.
        #[test]
        fn every_pair_is_asked_as_the_rule_reads(
            places in prop::collection::vec((-18.0..18.0f64, -18.0..18.0f64, 0.0..360.0f64), 2..5),
            steps in 2.0..8.0f64,
            supplies in prop::collection::vec(prop::collection::vec(any::<bool>(), 3), 4),
            bonds in prop::collection::vec((0..4usize, 0..4usize), 0..3),
            own in prop::option::of(0.5..6.0f64),
        ) {
            let file = strewn(&places, steps, &supplies, &bonds, own);
            let site = Site::new(file.clone()).expect("a sound site");
            let assessment = assess(&site);
            let radius = assessment.rides[0].envelope.radius;
            let edges: Vec<Vec<Point>> =
                places.iter().map(|&it| edge(it, radius, steps)).collect();
            let within = own.unwrap_or(NEAR);
            for one in 0..places.len() {
                for other in one + 1..places.len() {
                    let ids = [one, other].map(|it| format!("ride-{it}"));
                    let found = assessment.bonds.iter().find(|it| it.rides == ids);
                    let gaps = edges[one].iter().flat_map(|a| {
                        edges[other].iter().map(move |b| (a - b).norm_squared())
                    });
                    let hubs = [one, other].map(|it| Point::new(places[it].0, places[it].1));
                    let inside = |hub: Point, edge: &[Point]| {
                        edge.iter().any(|at| (at - hub).norm() < radius)
                    };
                    let least = gaps.fold(f64::INFINITY, f64::min).sqrt();
                    // Edges that cross have places within a step of each other.
                    let overlap = least < 0.15
                        || inside(hubs[0], &edges[other])
                        || inside(hubs[1], &edges[one]);
                    let apart = if overlap { 0.0 } else { least };
                    // What stands may lean out by a few centimetres, and the edges are dense to a
                    // few millimetres.
                    let (near, far) = (apart < within - 0.01, apart > within + 0.1);
                    let told = [one, other].map(|it| &supplies[it]);
                    let is_told = told.map(|it| it.contains(&true));
                    let asked = match is_told {
                        [false, false] => false,
                        [true, true] => told[0] != told[1],
                        _ => true,
                    };
                    if far || !asked {
                        prop_assert!(found.is_none(), "{found:?} at {apart}");
                    }
                    if !near || !asked {
                        continue;
                    }
                    let Some(found) = found else {
                        return Err(TestCaseError::fail(format!("{ids:?} at {apart}")));
                    };
                    prop_assert!(overlap || found.apart <= apart + 1e-9, "{found:?} {apart}");
                    prop_assert!(overlap || found.apart > apart - 0.1, "{found:?} {apart}");
                    let bond = file.bonds.iter().find(|it| ids.iter().all(|id| it.rides.contains(id)));
                    let verdict = bond.map_or(Verdict::Unknown, |_| Verdict::Pass);
                    prop_assert_eq!(found.verdict, verdict);
                    prop_assert_eq!(&found.confirmed, &bond.map(|it| it.reason.clone()));
                    for (told, names) in told.iter().zip(&found.supplied_by) {
                        let by = (0..3).filter(|&source| told[source]);
                        let by: Vec<String> = by.map(|it| format!("source-{it}")).collect();
                        prop_assert_eq!(names, &by);
                    }
                }
            }
            // Each pair once.
            let mut pairs: Vec<_> = assessment.bonds.iter().map(|it| it.rides.clone()).collect();
            pairs.sort();
            let count = pairs.len();
            pairs.dedup();
            prop_assert_eq!(pairs.len(), count);
        }
    }
}
