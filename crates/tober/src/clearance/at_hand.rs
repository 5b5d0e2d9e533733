//! What the operator of a ride must have at hand: a fire extinguisher, and the switch that cuts
//! the ride off from its power, no farther off than a rule allows; the switch in [`sight`] too.
//!
//! # Picture
//!
//! ```text
//!     operator's station            the distance runs from the place of the station that is
//!        ╭────╮                     farthest off, so that it holds wherever the operator stands:
//!      • │    │        ▯            to the middle, and its radius on top; uphill or downhill
//!        ╰────╯                     with all that the ground of the station rises or falls
//!      ├──────────────┤
//! ```
//!
//! Here a distance must not exceed a limit, so that it is never understated. The nearest one
//! counts; of disconnects, among those that are told to be the ride's own, or else among those of
//! which nobody has told. Where the ground is not surveyed the distance is taken in plan: too far so
//! is too far, and near enough so is not known.
//!
//! Sources: an extinguisher within 15 ft of each operator, Rhode Island Gen. Laws § 23-34.1-9(g),
//! read; a disconnect within 6 ft and in sight of the operator's station, NEC 525.21 (525.30 in
//! earlier editions), read. Nothing is said of fences or walls on the way to an extinguisher.
//!
//! [`sight`]: super::sight

use serde::{Deserialize, Serialize};

use super::sight::Sight;
use super::standing::round;
use super::{Asks, Parts, PlacedConsole, RuleInForce, contains};
use crate::Point;
use crate::assess::Verdict;
use crate::ground::Ground;
use crate::site::{Disconnect, Extinguisher, Site};

/// More by up to this, metres, is noise of the arithmetic.
const NOISE: f64 = 1e-9;

/// What is to be at hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum HandyKind {
    /// A fire extinguisher.
    Extinguisher,
    /// The switch that cuts the ride off from its power.
    Disconnect,
}

impl HandyKind {
    /// In plain words.
    pub fn words(self) -> &'static str {
        match self {
            HandyKind::Extinguisher => "Fire extinguisher",
            HandyKind::Disconnect => "Disconnect",
        }
    }

    fn rule(self) -> &'static str {
        match self {
            HandyKind::Extinguisher => "extinguisher-at-hand",
            HandyKind::Disconnect => "disconnect-at-hand",
        }
    }
}

/// Whether an operator has something at hand.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct AtHand {
    /// The placed ride's id.
    pub ride: String,
    /// What people call it.
    pub ride_name: String,
    /// What is to be at hand.
    pub kind: HandyKind,
    /// The id of the nearest; empty where none can be told.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// From the farthest place of the operator's station, metres; never understated, but where the
    /// ground is not surveyed, as a note says. Absent where nobody knows where the operator stands.
    pub distance: Option<f64>,
    /// The most that it may be, metres.
    pub at_most: f64,
    /// That farthest place, lot frame.
    #[cfg_attr(feature = "schema", schemars(with = "Option<[f64; 2]>"))]
    pub from: Option<Point>,
    /// Where it hangs or stands, lot frame.
    #[cfg_attr(feature = "schema", schemars(with = "Option<[f64; 2]>"))]
    pub to: Option<Point>,
    /// What stands where it may cut the operator's sight of it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hidden_by: Vec<String>,
    /// The rule's id.
    pub rule: String,
    /// Who asks for it.
    pub asks: Asks,
    /// How it came out.
    pub verdict: Verdict,
    /// What had to be assumed, or is missing, in plain words.
    pub notes: Vec<String>,
}

/// What every operator has at hand, of all that the site has drawn anywhere.
pub fn at_hand(site: &Site, rules: &[RuleInForce], rides: &[Parts]) -> Vec<AtHand> {
    let features = &site.file().features;
    let (extinguishers, disconnects) = (&features.extinguishers, &features.disconnects);
    let rule = |kind: HandyKind| rules.iter().find(|rule| rule.id == kind.rule());
    let extinguisher_rule = rule(HandyKind::Extinguisher).filter(|_| !extinguishers.is_empty());
    let disconnect_rule = rule(HandyKind::Disconnect).filter(|_| !disconnects.is_empty());
    if extinguisher_rule.is_none() && disconnect_rule.is_none() {
        return Vec::new();
    }
    let stations = rides.iter().map(|ride| Station::of(site.ground(), ride));
    let stations: Vec<Station> = stations.collect();
    let mut found = Vec::new();
    if let Some(rule) = extinguisher_rule {
        let each = stations.iter();
        found.extend(each.map(|it| extinguisher(site.ground(), rule, it, extinguishers)));
    }
    if let Some(rule) = disconnect_rule {
        let sight = Sight::new(site, rides);
        let each = stations.iter();
        found.extend(each.map(|it| disconnect(site.ground(), rule, it, disconnects, &sight)));
    }
    found
}

/// Where the operator of a ride stands.
struct Station<'a> {
    ride: &'a Parts,
    /// The lowest and the highest ground there; absent where it is not known.
    ground: Option<(f64, f64)>,
}

impl Station<'_> {
    fn of<'a>(ground: &Ground, ride: &'a Parts) -> Station<'a> {
        let console = ride.console.as_ref();
        Station {
            ride,
            ground: console.and_then(|it| range(ground, &round(it.at, it.radius))),
        }
    }
}

/// The disconnect of one ride: its own, or else the nearest of which nobody has told.
fn disconnect(
    ground: &Ground,
    rule: &RuleInForce,
    station: &Station<'_>,
    disconnects: &[Disconnect],
    sight: &Sight,
) -> AtHand {
    let ride = station.ride;
    let mut check = AtHand::new(HandyKind::Disconnect, rule, ride);
    let Some(console) = ride.console else {
        check.notes.push(NO_STATION.to_owned());
        return check;
    };
    let own = |it: &&Disconnect| it.supplies.contains(&ride.id);
    let has_own = disconnects.iter().any(|it| own(&it));
    let candidates = disconnects.iter().filter(|it| match has_own {
        true => own(it),
        false => it.supplies.is_empty(),
    });
    // One that is near and seen before one that is only near.
    let nearer = |a: &AtHand, b: &AtHand| {
        let key = |it: &AtHand| it.distance.unwrap_or(f64::INFINITY);
        (a.verdict.cmp(&b.verdict)).then(key(a).total_cmp(&key(b)))
    };
    let mut near: Vec<AtHand> = candidates
        .map(|it| {
            let mut check = check.clone();
            let reach = Reach::of(ground, &console, station.ground, it.at);
            check.nearest(&it.id, &it.name, it.at, &reach);
            check
        })
        .collect();
    // What is too far is not mended by being seen: of that only the nearest is looked at.
    let best = near.iter().cloned().min_by(nearer);
    near.retain(|it| it.verdict != Verdict::Fail);
    if near.is_empty() {
        near.extend(best);
    }
    for it in &mut near {
        if let Some(at) = it.to {
            it.look(sight.cut_by(&console, at));
        }
    }
    match near.into_iter().min_by(nearer) {
        Some(mut found) => {
            if !has_own {
                let words = "nobody has told which ride it cuts off: taken for this one's";
                found.notes.push(words.to_owned());
            }
            found
        }
        None => {
            let words = "each that is drawn cuts off other rides";
            check.notes.push(words.to_owned());
            check
        }
    }
}

/// The nearest extinguisher to the operator of one ride.
fn extinguisher(
    ground: &Ground,
    rule: &RuleInForce,
    station: &Station<'_>,
    extinguishers: &[Extinguisher],
) -> AtHand {
    let ride = station.ride;
    let mut check = AtHand::new(HandyKind::Extinguisher, rule, ride);
    let Some(console) = ride.console else {
        check.notes.push(NO_STATION.to_owned());
        return check;
    };
    let reached = extinguishers
        .iter()
        .map(|it| (it, Reach::of(ground, &console, station.ground, it.at)))
        .min_by(|a, b| a.1.distance.total_cmp(&b.1.distance));
    if let Some((it, reach)) = reached {
        check.nearest(&it.id, &it.name, it.at, &reach);
    }
    check
}

const NO_STATION: &str = "the ride's profile does not tell where the operator stands";

impl AtHand {
    fn new(kind: HandyKind, rule: &RuleInForce, ride: &Parts) -> AtHand {
        AtHand {
            ride: ride.id.clone(),
            ride_name: ride.name.clone(),
            kind,
            id: String::new(),
            name: String::new(),
            distance: None,
            at_most: rule.required,
            from: None,
            to: None,
            hidden_by: Vec::new(),
            rule: rule.id.clone(),
            asks: rule.asks,
            verdict: Verdict::Unknown,
            notes: Vec::new(),
        }
    }

    fn nearest(&mut self, id: &str, name: &str, at: Point, reach: &Reach) {
        self.id = id.to_owned();
        self.name = if name.is_empty() { id } else { name }.to_owned();
        self.distance = Some(reach.distance);
        self.from = Some(reach.from);
        self.to = Some(at);
        self.verdict = match (reach.distance <= self.at_most + NOISE, reach.is_surveyed) {
            (false, _) => Verdict::Fail,
            (true, true) => Verdict::Pass,
            (true, false) => Verdict::Unknown,
        };
        if !reach.is_surveyed {
            let words = "the ground there is not surveyed: measured in plan, and it may be farther";
            self.notes.push(words.to_owned());
        }
    }

    /// Takes in what may cut the operator's sight of it.
    fn look(&mut self, hidden_by: Vec<String>) {
        if !hidden_by.is_empty() {
            self.verdict = self.verdict.and(Verdict::Unknown);
            self.notes.push(format!(
                "may be out of the operator's sight: {} may stand between; go and look",
                hidden_by.join(", ")
            ));
        }
        self.hidden_by = hidden_by;
    }

    /// What is left of what is allowed, metres; negative where it is too far.
    pub fn margin(&self) -> Option<f64> {
        Some(self.at_most - self.distance?)
    }
}

/// How far something is from the farthest place of an operator's station.
struct Reach {
    from: Point,
    distance: f64,
    /// Whether the rise of the ground is in it.
    is_surveyed: bool,
}

impl Reach {
    /// From a station to a place. `standing` is the lowest and the highest ground of the station.
    fn of(
        ground: &Ground,
        console: &PlacedConsole,
        standing: Option<(f64, f64)>,
        to: Point,
    ) -> Reach {
        let step = to - console.at;
        let away = step.try_normalize(0.0).unwrap_or_default();
        let in_plan = step.norm() + console.radius;
        // The steepest step anywhere on the station, over the longest way.
        let rise = standing
            .zip(ground.height(to))
            .map(|((low, high), there)| (high - there.0).abs().max((low - there.0).abs()));
        Reach {
            from: console.at - away * console.radius,
            distance: libm::hypot(in_plan, rise.unwrap_or(0.0)),
            is_surveyed: rise.is_some(),
        }
    }
}

/// The lowest and the highest ground within a convex outline; `None` where any of it is not
/// surveyed. The surface is made of flat triangles: both lie at a shot, or where the outline
/// crosses from one triangle to the next.
fn range(ground: &Ground, outline: &[Point]) -> Option<(f64, f64)> {
    let corners = outline.iter().map(|&at| Some(ground.height(at)?.0));
    let mut heights: Vec<f64> = corners.collect::<Option<_>>()?;
    let (low, high) = super::standing::bounds(outline);
    let (middle, reach) = (low + (high - low) / 2.0, (high - low).norm() / 2.0);
    let facets = ground.facets_within(middle, reach);
    // Of one flat triangle the corners tell all.
    if facets.len() != 1 {
        let sides = outline.iter().zip(outline.iter().cycle().skip(1));
        for (&from, &to) in sides.filter(|(from, to)| from != to) {
            let section = ground.section(from, to);
            if !section.gaps().is_empty() {
                return None;
            }
            let places = section.stretches.iter().flatten();
            heights.extend(places.map(|at| at.elevation.0));
        }
        let shots = facets.into_iter().flatten();
        let within = shots.filter(|(at, _)| contains(outline, *at));
        heights.extend(within.map(|(_, elevation)| elevation.0));
    }
    let low = heights.iter().copied().reduce(f64::min)?;
    let high = heights.iter().copied().reduce(f64::max)?;
    Some((low, high))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::Step;
    use crate::assess::assess;
    use crate::fixtures::flat_lot;
    use crate::ground::Elevation;
    use crate::site::{Building, ClearanceValue, SiteFile, SpotLevel};

    /// The plain ride at the origin, its tongue to the north: the operator stands 4 m west of the
    /// hub, within half a metre.
    fn lot(extinguishers: &[(f64, f64)]) -> SiteFile {
        let mut file = flat_lot();
        file.profiles[0].console = Some(Point::new(0.0, 4.0));
        let places = extinguishers.iter().enumerate();
        file.features.extinguishers = places
            .map(|(index, &(x, y))| Extinguisher {
                id: format!("extinguisher-{index}"),
                name: String::new(),
                at: Point::new(x, y),
            })
            .collect();
        file
    }

    fn check(file: SiteFile) -> Vec<AtHand> {
        assess(&Site::new(file).expect("a sound site")).at_hand
    }

    /// 15 ft, Rhode Island Gen. Laws § 23-34.1-9(g); read.
    const MOST: f64 = 15.0 * 0.3048;

    #[test]
    fn nothing_is_said_where_none_is_drawn() {
        assert!(check(lot(&[])).is_empty());
    }

    #[test]
    fn it_holds_up_to_the_farthest_place_of_the_station() {
        // By hand: from the middle of the station and half a metre on.
        for (off, verdict) in [(MOST - 0.5, Verdict::Pass), (MOST - 0.499, Verdict::Fail)] {
            let found = check(lot(&[(-4.0, off), (30.0, 0.0)]));
            let [found] = found.as_slice() else {
                panic!("{found:?}");
            };
            assert_eq!(
                (found.verdict, found.id.as_str()),
                (verdict, "extinguisher-0")
            );
            assert!(
                (found.distance.unwrap() - off - 0.5).abs() < 1e-9,
                "{found:?}"
            );
            assert!((found.from.unwrap() - Point::new(-4.0, -0.5)).norm() < 1e-9);
        }
    }

    #[test]
    fn a_ride_whose_profile_has_no_console_is_not_known() {
        let mut file = lot(&[(-4.0, 1.0)]);
        file.profiles[0].console = None;
        let site = Site::new(file).expect("a sound site");
        let found = assess(&site);
        assert_eq!(found.at_hand[0].verdict, Verdict::Unknown);
        assert_eq!(found.rides[0].verdict, Verdict::Unknown);
        assert!(
            found.rides[0]
                .next
                .iter()
                .any(|it| it.contains("extinguisher"))
        );
    }

    #[test]
    fn a_site_sets_its_own_distance() {
        let mut file = lot(&[(-4.0, 3.0)]);
        file.clearance_values.push(ClearanceValue {
            rule: "extinguisher-at-hand".to_owned(),
            value: 3.4,
            reason: "Fire marshal".to_owned(),
        });
        let found = check(file.clone());
        assert_eq!((found[0].verdict, found[0].at_most), (Verdict::Fail, 3.4));
        file.clearance_values[0].value = 3.5;
        assert_eq!(check(file)[0].verdict, Verdict::Pass);
    }

    #[test]
    fn off_the_survey_it_is_measured_in_plan_and_says_so() {
        let mut file = lot(&[(-4.0, 3.0)]);
        file.spot_levels.truncate(1);
        let found = check(file);
        assert!((found[0].distance.unwrap() - 3.5).abs() < 1e-9);
        assert!(
            found[0].notes[0].contains("in plan"),
            "{:?}",
            found[0].notes
        );
    }

    /// 6 ft, NEC 525.21; read.
    const DISCONNECT: f64 = 6.0 * 0.3048;

    fn with_disconnects(places: &[(f64, f64, &[&str])]) -> SiteFile {
        let mut file = lot(&[]);
        let places = places.iter().enumerate();
        file.features.disconnects = places
            .map(|(index, &(x, y, rides))| Disconnect {
                id: format!("disconnect-{index}"),
                name: String::new(),
                at: Point::new(x, y),
                supplies: rides.iter().map(|&ride| ride.to_owned()).collect(),
            })
            .collect();
        file
    }

    #[test]
    fn a_disconnect_is_within_six_feet() {
        for (off, verdict) in [
            (DISCONNECT - 0.5, Verdict::Pass),
            (DISCONNECT - 0.499, Verdict::Fail),
        ] {
            let found = check(with_disconnects(&[(-4.0, off, &["ride"])]));
            assert_eq!(found[0].verdict, verdict, "{found:?}");
            assert!(found[0].notes.is_empty(), "{found:?}");
        }
    }

    #[test]
    fn its_own_counts_before_any_that_is_nearer() {
        let own = (-4.0, 5.0, &["ride"][..]);
        let found = check(with_disconnects(&[(-4.0, 1.0, &[]), own]));
        assert_eq!(
            (found[0].id.as_str(), found[0].verdict),
            ("disconnect-1", Verdict::Fail)
        );
        let found = check(with_disconnects(&[(-4.0, 1.0, &[])]));
        assert_eq!(found[0].verdict, Verdict::Pass);
        assert!(found[0].notes[0].contains("nobody has told"), "{found:?}");
        // Another ride's is not its own.
        let mut file = with_disconnects(&[(-4.0, 1.0, &["other"])]);
        let mut other = file.rides[0].clone();
        other.id = "other".to_owned();
        other.placement.x = 30.0;
        file.rides.push(other);
        let found = check(file);
        assert_eq!(
            (found[0].verdict, found[0].distance),
            (Verdict::Unknown, None)
        );
    }

    #[test]
    fn what_stands_between_may_hide_it() {
        let tent = |underside| Building {
            id: "tent".to_owned(),
            name: String::new(),
            outline: [(-4.2, 0.7), (-4.0, 0.7), (-4.0, 0.8), (-4.2, 0.8)]
                .map(|(x, y)| Point::new(x, y))
                .to_vec(),
            height: 3.0,
            underside,
            stakes: Vec::new(),
        };
        let mut file = with_disconnects(&[(-4.0, 1.2, &["ride"])]);
        file.features.buildings.push(tent(None));
        let found = check(file.clone());
        assert_eq!(found[0].verdict, Verdict::Unknown);
        assert_eq!(found[0].hidden_by, ["tent"]);
        // Under its roof one sees through.
        file.features.buildings[0] = tent(Some(2.6));
        assert_eq!(check(file.clone())[0].verdict, Verdict::Pass);
        // Behind it, or beside the lines, it hides nothing.
        file.features.buildings[0] = tent(None);
        file.features.disconnects[0].at = Point::new(-4.0, -1.2);
        assert_eq!(check(file.clone())[0].verdict, Verdict::Pass);
        // One that is seen goes before one that is only nearer.
        file.features.disconnects[0].at = Point::new(-4.0, 1.0);
        let mut seen = file.features.disconnects[0].clone();
        (seen.id, seen.at) = ("seen".to_owned(), Point::new(-4.0, -1.25));
        file.features.disconnects.push(seen);
        assert_eq!((check(file)[0].id.as_str()), "seen");
    }

    #[test]
    fn only_a_fence_higher_than_the_eye_hides() {
        // Outside the fence, as far as may be.
        let mut file = with_disconnects(&[(-4.0, 0.0, &["ride"])]);
        file.profiles[0].console = Some(Point::new(0.0, 5.0));
        let site = Site::new(file.clone()).expect("a sound site");
        let fence = assess(&site).rides[0].fence.clone();
        let west = fence.posts.iter().map(|post| post.x).fold(0.0, f64::min);
        file.features.disconnects[0].at = Point::new(west - 0.1, 0.0);
        let low = check(file.clone());
        assert!(low[0].hidden_by.is_empty(), "{low:?}");
        file.profiles[0].fence.height = 1.8;
        let high = check(file);
        assert!(high[0].hidden_by[0].starts_with("fence"), "{high:?}");
        assert_ne!(high[0].verdict, Verdict::Pass);
    }

    proptest! {
        /// From no place of the station is it farther than is told, and on level ground it is told
        /// exactly.
        #[test]
        fn the_distance_is_never_understated(
            heights in proptest::collection::vec(-3.0..3.0_f64, 25),
            level in proptest::bool::ANY,
            console in (-6.0..6.0_f64, -6.0..6.0_f64), radius in 0.05..2.0_f64,
            to in (-9.0..9.0_f64, -9.0..9.0_f64),
        ) {
            let shots: Vec<SpotLevel> = heights
                .iter()
                .enumerate()
                .map(|(k, &height)| {
                    let (x, y) = ((k % 5) as f64 * 5.0 - 10.0, (k / 5) as f64 * 5.0 - 10.0);
                    SpotLevel::new(x, y, Elevation(if level { 0.0 } else { height }))
                })
                .collect();
            let ground = Ground::new(&shots);
            let at = Point::new(console.0, console.1);
            let console = PlacedConsole { at, radius, top: 2.0 };
            let to = Point::new(to.0, to.1);
            let standing = range(&ground, &round(console.at, console.radius));
            let told = Reach::of(&ground, &console, standing, to);
            prop_assert!(told.is_surveyed);
            let there = ground.height(to).unwrap().0;
            let mut farthest = 0.0_f64;
            for ring in 0..=8 {
                for k in 0..48 {
                    let (sin, cos) = libm::sincos(f64::from(k) * std::f64::consts::TAU / 48.0);
                    let out = radius * f64::from(ring) / 8.0;
                    let place = at + Step::new(cos, sin) * out;
                    let rise = ground.height(place).unwrap().0 - there;
                    farthest = farthest.max(libm::hypot((to - place).norm(), rise));
                }
            }
            prop_assert!(told.distance >= farthest - 1e-9, "{} < {farthest}", told.distance);
            if level {
                let exact = (to - at).norm() + radius;
                prop_assert!((told.distance - exact).abs() < 1e-9);
            }
        }
    }
}
