//! Ropes and braces across ways: how high each of them keeps over a walkway, a fire lane or a gate
//! that it crosses.
//!
//! # Picture
//!
//! ```text
//!     pole o╲
//!          │  ╲ ↕ height         over a walkway it keeps above heads, or it is marked so that
//!          │   walk╲way          nobody walks into it; over a fire lane marking helps nobody
//!     ─────┴──────────╲x stake
//! ```
//!
//! A rope is as straight as its sag lets it be: 0 for a taut one. Where nobody tells of a sag it may
//! hang at any height below its ends. The height is the least over all the ground under it, from
//! one edge of the way to the other, as with a wire ([`headroom`]); where that ground is not
//! surveyed, or the sag not told, it is not known.
//!
//! Source: ropes and braces not across pedestrian ways, or marked, COMAR 09.12.62.16 B(2), read.
//! What is higher than heads is across nobody's way: 80 in, ADA Standards (2010) 307.4, memory.
//! Low ropes that are not marked also stand in people's way wherever else they walk: they count as
//! things that stand there ([`standing`]).
//!
//! [`headroom`]: super::headroom
//! [`standing`]: super::standing

use serde::{Deserialize, Serialize};

use super::headroom::under_wire;
use super::{Asks, RuleInForce, Shape};
use crate::assess::Verdict;
use crate::envelope::Wire;
use crate::ground::Ground;
use crate::site::{Rope, Site};
use crate::{Point, Step};

/// Lower by up to this, metres, is noise of the arithmetic.
const NOISE: f64 = 1e-9;

/// People come through a gate this deep, metres: half of it on either side of its line. Common
/// practice, no published source.
const GATE_DEEP: f64 = 1.0;

/// A rope that crosses something.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct RopeCheck {
    /// Its id.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// Whether it is marked so that nobody walks into it.
    pub marked: bool,
    /// What it crosses.
    pub crossings: Vec<RopeCrossing>,
    /// How it came out.
    pub verdict: Verdict,
}

/// Where a rope crosses a way.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct RopeCrossing {
    /// Which kind of way.
    pub over: RopeOver,
    /// What people call it.
    pub name: String,
    /// Half-way across, lot frame.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub at: Point,
    /// The least height that it keeps over the ground there, metres; never overstated. Absent
    /// where the ground is not surveyed, or nobody has told of its sag.
    pub height: Option<f64>,
    /// The height that is asked for, metres.
    pub required: f64,
    /// The rule's id.
    pub rule: String,
    /// Who asks for it.
    pub asks: Asks,
    /// How it came out.
    pub verdict: Verdict,
}

/// What a rope crosses.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum RopeOver {
    /// A walkway.
    Walkway,
    /// A fire lane.
    FireLane,
    /// A gate of the lot.
    Gate,
}

impl RopeOver {
    /// In plain words.
    pub fn words(self) -> &'static str {
        match self {
            RopeOver::Walkway => "walkway",
            RopeOver::FireLane => "fire lane",
            RopeOver::Gate => "gate",
        }
    }

    fn rule(self) -> &'static str {
        match self {
            RopeOver::Walkway | RopeOver::Gate => "rope-over-way",
            RopeOver::FireLane => "fire-lane-height",
        }
    }
}

/// Every rope of a site, and what it crosses.
pub fn ropes(site: &Site, rules: &[RuleInForce]) -> Vec<RopeCheck> {
    let features = &site.file().features;
    if features.ropes.is_empty() {
        return Vec::new();
    }
    let walkways = features.walkways.iter();
    let walkways = walkways.map(|it| {
        (
            RopeOver::Walkway,
            &it.id,
            &it.name,
            Shape::band(&it.path, it.width),
        )
    });
    let lanes = features.fire_lanes.iter();
    let lanes = lanes.map(|it| {
        (
            RopeOver::FireLane,
            &it.id,
            &it.name,
            Shape::band(&it.path, it.width),
        )
    });
    let gates = features.gates.iter();
    let gates = gates.map(|it| {
        (
            RopeOver::Gate,
            &it.id,
            &it.name,
            Shape::band(&[it.from, it.to], GATE_DEEP),
        )
    });
    let ways: Vec<_> = walkways.chain(lanes).chain(gates).collect();
    let check = |rope: &Rope| {
        let strung = Strung::new(rope, site.ground());
        let crossings = ways.iter().filter_map(|(over, id, name, shape)| {
            let rule = rules.iter().find(|rule| rule.id == over.rule())?;
            let (at, height) = strung.across(shape, site.ground())?;
            let is_high = height.map(|height| height >= rule.required - NOISE);
            let verdict = match (is_high, rope.marked && *over != RopeOver::FireLane) {
                (Some(true), _) | (_, true) => Verdict::Pass,
                (Some(false), false) => Verdict::Fail,
                (None, false) => Verdict::Unknown,
            };
            Some(RopeCrossing {
                over: *over,
                name: if name.is_empty() { *id } else { *name }.clone(),
                at,
                height,
                required: rule.required,
                rule: rule.id.clone(),
                asks: rule.asks,
                verdict,
            })
        });
        let crossings: Vec<RopeCrossing> = crossings.collect();
        let verdicts = crossings.iter().map(|it| it.verdict);
        RopeCheck {
            id: rope.id.clone(),
            name: if rope.name.is_empty() {
                rope.id.clone()
            } else {
                rope.name.clone()
            },
            marked: rope.marked,
            verdict: verdicts.fold(Verdict::Pass, Verdict::and),
            crossings,
        }
    };
    features.ropes.iter().map(check).collect()
}

/// A rope as it hangs.
pub(super) struct Strung {
    from: Point,
    to: Point,
    /// Absent where the ground at an end is not surveyed, or nobody has told of its sag.
    pub(super) wire: Option<Wire>,
}

impl Strung {
    pub(super) fn new(rope: &Rope, ground: &Ground) -> Strung {
        let top =
            |end: &crate::site::RopeEnd| Some((end.at, ground.height(end.at)?.0 + end.height));
        let ends = top(&rope.from).zip(top(&rope.to));
        Strung {
            from: rope.from.at,
            to: rope.to.at,
            wire: ends
                .zip(rope.sag)
                .map(|((from, to), sag)| Wire::with_sag(from, to, sag)),
        }
    }

    /// Its run in plan: the way along, of length 1, and how far.
    fn run(&self) -> Option<(Step, f64)> {
        let run = self.to - self.from;
        Some((run.try_normalize(0.0)?, run.norm()))
    }

    /// Half-way across an area that it crosses, and the least height that it keeps there; `None`
    /// where it does not cross it.
    fn across(&self, shape: &Shape, ground: &Ground) -> Option<(Point, Option<f64>)> {
        let (along, span) = self.run()?;
        let pieces = shape.pieces_along(self.from, along).into_iter();
        let pieces = pieces
            .map(|(a, b)| (a.max(0.0), b.min(span)))
            .filter(|(a, b)| a < b);
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        let mut least = Some(f64::INFINITY);
        for piece in pieces {
            (low, high) = (low.min(piece.0), high.max(piece.1));
            let here = self.over(piece, ground);
            least = least.zip(here).map(|(least, here)| least.min(here));
        }
        (low < high).then(|| (self.from + along * ((low + high) / 2.0), least))
    }

    /// The least height over a piece of its run, from and to in metres along it; `None` where it is
    /// not known.
    fn over(&self, piece: (f64, f64), ground: &Ground) -> Option<f64> {
        let (along, span) = self.run()?;
        under_wire(ground, self.wire.as_ref()?, (self.from, along), span, piece)
    }

    /// The parts of its run, as outlines in plan, that come lower than `head` above the ground or
    /// may do so.
    pub(super) fn lower_than(&self, head: f64, ground: &Ground) -> Vec<Vec<Point>> {
        /// Parts that it is looked at in: a part that is low somewhere is taken to be low all over.
        const PARTS: u32 = 20;
        /// Half of its thickness, metres.
        const HALF: f64 = 0.02;
        let Some((along, span)) = self.run() else {
            return Vec::new();
        };
        if self.over((0.0, span), ground).is_some_and(|it| it >= head) {
            return Vec::new();
        }
        let side = Step::new(-along.y, along.x) * HALF;
        let parts = (0..PARTS).map(|part| {
            let at = |part: u32| span * f64::from(part) / f64::from(PARTS);
            (at(part), at(part + 1))
        });
        let low = parts.filter(|&part| self.over(part, ground).is_none_or(|it| it < head));
        low.map(|(from, to)| {
            let (from, to) = (self.from + along * from, self.from + along * to);
            vec![from - side, to - side, to + side, from + side]
        })
        .collect()
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::assess::{Assessment, assess};
    use crate::clearance::Against;
    use crate::fixtures::{five_by_five, flat_lot};
    use crate::site::{FireLane, Gate, RopeEnd, SiteFile, Walkway};

    const HEAD: f64 = 80.0 * 0.0254;

    fn end(x: f64, y: f64, height: f64) -> RopeEnd {
        RopeEnd {
            at: Point::new(x, y),
            height,
        }
    }

    fn rope(from: RopeEnd, to: RopeEnd) -> Rope {
        Rope {
            id: "guy".to_owned(),
            name: String::new(),
            from,
            to,
            sag: Some(0.0),
            marked: false,
        }
    }

    /// A walkway 2 m wide along x = 20, and a rope from a stake at (18, 0) up to a pole at (28, 0).
    fn lot(top: f64) -> SiteFile {
        let mut file = flat_lot();
        file.features.walkways.push(Walkway {
            id: "walk".to_owned(),
            name: String::new(),
            path: vec![Point::new(20.0, -30.0), Point::new(20.0, 30.0)],
            width: 2.0,
        });
        let rope = rope(end(18.0, 0.0, 0.0), end(28.0, 0.0, top));
        file.features.ropes.push(rope);
        file
    }

    fn assessed(file: SiteFile) -> Assessment {
        assess(&Site::new(file).expect("a sound site"))
    }

    #[test]
    fn it_keeps_least_at_the_lower_edge_of_the_way() {
        // A metre from the stake the rope has risen by a tenth of its rise.
        for (top, verdict) in [
            (10.0 * HEAD, Verdict::Pass),
            (10.0 * HEAD - 0.01, Verdict::Fail),
        ] {
            let found = assessed(lot(top));
            let crossing = &found.ropes[0].crossings[0];
            assert!((crossing.height.unwrap() - top / 10.0).abs() < 1e-9);
            assert_eq!(
                (crossing.verdict, found.ropes[0].verdict),
                (verdict, verdict)
            );
            assert_eq!(
                (crossing.name.as_str(), crossing.over),
                ("walk", RopeOver::Walkway)
            );
            assert_eq!(found.verdict == Verdict::Fail, verdict == Verdict::Fail);
        }
    }

    #[test]
    fn a_marked_one_may_cross_a_walkway_and_no_fire_lane() {
        let mut file = lot(3.0);
        file.features.ropes[0].marked = true;
        assert_eq!(assessed(file.clone()).ropes[0].verdict, Verdict::Pass);
        let walk = file.features.walkways.remove(0);
        file.features.fire_lanes.push(FireLane {
            id: walk.id,
            name: walk.name,
            path: walk.path,
            width: walk.width,
        });
        let found = assessed(file);
        assert_eq!(found.ropes[0].crossings[0].over, RopeOver::FireLane);
        assert_eq!(found.ropes[0].verdict, Verdict::Fail);
    }

    #[test]
    fn a_sagging_rope_is_lower_and_unknown_ground_leaves_it_unknown() {
        let mut file = lot(25.0);
        assert_eq!(assessed(file.clone()).ropes[0].verdict, Verdict::Pass);
        file.features.ropes[0].sag = Some(2.5);
        assert_eq!(assessed(file.clone()).ropes[0].verdict, Verdict::Fail);
        let unknown = |file: SiteFile| {
            let found = assessed(file);
            let crossing = &found.ropes[0].crossings[0];
            assert_eq!(
                (crossing.verdict, crossing.height),
                (Verdict::Unknown, None)
            );
        };
        // As does a sag that nobody has told.
        file.features.ropes[0].sag = None;
        unknown(file.clone());
        file.features.ropes[0].sag = Some(2.5);
        file.spot_levels.truncate(1);
        unknown(file);
    }

    #[test]
    fn a_gate_is_crossed_as_a_walkway_is() {
        let mut file = lot(3.0);
        file.features.walkways.clear();
        file.features.gates.push(Gate {
            id: "gate".to_owned(),
            name: String::new(),
            from: Point::new(40.0, -2.0),
            to: Point::new(40.0, 2.0),
        });
        file.features.ropes[0] = rope(end(39.0, -3.0, 1.0), end(39.9, 3.0, 1.0));
        let found = assessed(file);
        let crossing = &found.ropes[0].crossings[0];
        assert_eq!(
            (crossing.over, crossing.verdict),
            (RopeOver::Gate, Verdict::Fail)
        );
    }

    #[test]
    fn beside_every_way_it_crosses_nothing() {
        let mut file = lot(3.0);
        file.features.ropes[0] = rope(end(22.0, 0.0, 1.0), end(30.0, 0.0, 1.0));
        let found = assessed(file);
        assert!(found.ropes[0].crossings.is_empty());
        assert_eq!(found.ropes[0].verdict, Verdict::Pass);
    }

    #[test]
    fn a_low_unmarked_one_stands_in_the_way_from_gate_to_gate() {
        let gate = |id: &str, x: f64| Gate {
            id: id.to_owned(),
            name: String::new(),
            from: Point::new(x, -2.0),
            to: Point::new(x, 2.0),
        };
        let mut file = lot(3.0);
        file.features.walkways.clear();
        file.features.gates = vec![gate("east", 40.0), gate("west", -40.0)];
        // From one side of the lot to the other, but for a metre.
        file.features.ropes[0] = rope(end(20.0, -40.0, 1.0), end(20.0, 39.0, 1.0));
        let narrow = assessed(file.clone()).passages[0].width.unwrap();
        assert!((0.9..1.0 + 1e-9).contains(&narrow), "{narrow}");
        file.features.ropes[0].marked = true;
        let wide = assessed(file).passages[0].width.unwrap();
        assert!(wide > 3.0, "{wide}");
    }

    #[test]
    fn moving_parts_keep_off_ropes() {
        let mut file = lot(3.0);
        file.features.ropes[0] = rope(end(5.0, -6.0, 2.0), end(5.0, 6.0, 2.0));
        let found = assessed(file.clone());
        let row = |found: &Assessment| {
            let mut rows = found.rides[0].clearances.iter();
            rows.find(|row| row.against == Against::Rope)
                .unwrap()
                .clone()
        };
        assert_eq!(row(&found).rule, "rope-moving");
        let near = row(&found).horizontal.unwrap();
        // A metre farther off.
        file.features.ropes[0].from.at.x += 1.0;
        file.features.ropes[0].to.at.x += 1.0;
        let far = row(&assessed(file)).horizontal.unwrap();
        assert!((far - near - 1.0).abs() < 1e-6, "{near} {far}");
    }

    proptest! {
        /// Nowhere over the way does the rope hang lower than is told.
        #[test]
        fn the_height_is_never_overstated(
            heights in proptest::collection::vec(-1.0..1.0_f64, 25),
            from in (-9.0..9.0_f64, -9.0..9.0_f64), to in (-9.0..9.0_f64, -9.0..9.0_f64),
            ends in (0.0..5.0_f64, 0.0..5.0_f64), sag in 0.0..1.0_f64, wide in 0.2..6.0_f64,
        ) {
            prop_assume!(libm::hypot(from.0 - to.0, from.1 - to.1) > 0.5);
            let ground = five_by_five(&heights);
            let mut rope = rope(end(from.0, from.1, ends.0), end(to.0, to.1, ends.1));
            rope.sag = Some(sag);
            let strung = Strung::new(&rope, &ground);
            let way = Shape::band(&[Point::new(0.0, -8.0), Point::new(0.0, 8.0)], wide);
            let wire = strung.wire.as_ref().unwrap();
            let mut least = f64::INFINITY;
            for k in 0..=1000 {
                let (at, height) = wire.at(f64::from(k) / 1000.0);
                if at.x.abs() < wide / 2.0 && at.y.abs() < 8.0 {
                    least = least.min(height - ground.height(at).unwrap().0);
                }
            }
            let told = strung.across(&way, &ground).map(|(_, height)| height.unwrap());
            if least.is_finite() {
                prop_assert!(told.is_some_and(|told| told <= least + 1e-6), "{told:?} {least}");
            }
        }
    }
}
