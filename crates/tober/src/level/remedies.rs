//! What would make an impossible lot possible: the smallest change of each kind, each one verified
//! by solving again with it made.
//!
//! Slow beside the plan itself (some hundreds of plans are solved), and asked for only when a
//! plan fails; it is no part of the assessment. Whether the ride still clears everything at
//! another place is asked of the caller: see [`crate::assess::remedies`].

use serde::{Deserialize, Serialize};

use super::{GroundPoint, GroundUnderRide, LevelPlan, SupportKind, under};
use crate::assess::Verdict;
use crate::clearance::contains;
use crate::ground::Elevation;
use crate::ride::RideProfile;
use crate::site::{Block, Groundwork, Placement, Site, SiteFile};
use crate::{Point, Step};

/// A change that would let the ride be levelled.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Remedy {
    /// What to change.
    pub change: Change,
    /// How much work it is, for sorting only, in minutes of a crew's time. Common practice, no
    /// published source.
    pub effort: f64,
}

/// A change.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Change {
    /// Bring more blocks: kinds and how many, and the feet where they go.
    AddBlocks {
        /// The blocks to bring.
        blocks: Vec<AddedBlock>,
        /// Feet whose stacks then take pieces of these kinds.
        at: Vec<String>,
    },
    /// Turn the ride round on the spot.
    TurnRound {
        /// Where it then stands.
        placement: Placement,
    },
    /// Move it.
    Move {
        /// Direction, degrees clockwise from grid north.
        bearing_deg: f64,
        /// How far, metres.
        distance: f64,
        /// Where it then stands.
        placement: Placement,
    },
    /// Dig the ground down under a support.
    Dig {
        /// Which.
        support: String,
        /// Where that is, and how far round it to dig.
        work: Groundwork,
        /// How deep, metres.
        by: f64,
    },
    /// Build the ground up under a support with packing of its own.
    BuildUp {
        /// Which.
        support: String,
        /// Where that is, and how far round it to build.
        work: Groundwork,
        /// How high, metres.
        by: f64,
    },
}

/// Blocks of one kind to bring.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct AddedBlock {
    /// The kind.
    pub block: Block,
    /// How many more.
    pub count: u32,
}

/// Most blocks of one kind that a remedy asks for.
const MOST_ADDED: u32 = 16;

/// Distances at which a better place is looked for, metres, before the last step is halved.
const RINGS: [f64; 11] = [0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 9.0, 13.0, 20.0];

/// Directions that are tried.
const DIRECTIONS: u32 = 16;

/// Ground is dug and built up in steps, metres.
const SPADE: f64 = 0.01;

/// How far round a support the ground is worked, metres: room for a pad and for a spade.
const WORKED: f64 = 0.5;

/// Deepest hole and highest mound, metres.
const DEEPEST: f64 = 0.5;

impl Change {
    /// Makes the change to ride `index` of a file: `false` where there is no such ride.
    pub fn apply(&self, file: &mut SiteFile, index: usize) -> bool {
        match self {
            Change::AddBlocks { blocks, .. } => {
                for added in blocks {
                    let own = file.blocks.iter_mut().find(|it| it.id == added.block.id);
                    match own {
                        Some(own) => own.count = own.count.saturating_add(added.count),
                        None => file.blocks.push(Block {
                            count: added.count,
                            ..added.block.clone()
                        }),
                    }
                }
                true
            }
            Change::TurnRound { placement } | Change::Move { placement, .. } => {
                let ride = file.rides.get_mut(index);
                ride.map(|ride| ride.placement = *placement).is_some()
            }
            Change::Dig { work, .. } | Change::BuildUp { work, .. } => {
                file.groundwork.push(work.clone());
                true
            }
        }
    }
}

/// What would let ride `index` be levelled, the least work first. Empty when it can be levelled
/// as it stands, when the ground under it is not surveyed, or when nothing helps. Only places of
/// which `clears` says yes are offered.
pub(crate) fn remedies(site: &Site, index: usize, clears: &dyn Fn(&Site) -> bool) -> Vec<Remedy> {
    let (Some(profile), Some(placed), Some(ground)) = (
        site.profile(index),
        site.file().rides.get(index),
        GroundUnderRide::of(site, index),
    ) else {
        return Vec::new();
    };
    let bench = Bench {
        site,
        index,
        profile,
        placement: placed.placement,
        blocks: &site.file().blocks,
        ground,
        clears,
    };
    if LevelPlan::new(profile, &bench.ground, bench.blocks).verdict == Verdict::Pass {
        return Vec::new();
    }
    let mut remedies = bench.more_blocks();
    remedies.extend(bench.turned_round());
    remedies.extend(bench.moved());
    remedies.extend(bench.dug_or_built_up());
    remedies.sort_by(|a, b| a.effort.total_cmp(&b.effort));
    remedies
}

/// A ride that cannot be levelled, and what is tried on it.
struct Bench<'a> {
    site: &'a Site,
    index: usize,
    profile: &'a RideProfile,
    placement: Placement,
    blocks: &'a [Block],
    ground: GroundUnderRide,
    clears: &'a dyn Fn(&Site) -> bool,
}

impl Bench<'_> {
    fn solve(&self, ground: &GroundUnderRide, blocks: &[Block]) -> LevelPlan {
        LevelPlan::without_acts(self.profile, ground, blocks)
    }

    fn works(&self, ground: &GroundUnderRide, blocks: &[Block]) -> bool {
        // The order of the acts is worked out only where blocking is found.
        self.solve(ground, blocks).verdict == Verdict::Pass
            && LevelPlan::new(self.profile, ground, blocks).verdict == Verdict::Pass
    }

    /// With so many more blocks of each kind.
    fn with_more(&self, kinds: &[Block], more: &[u32]) -> Vec<Block> {
        kinds
            .iter()
            .zip(more)
            .map(|(block, more)| Block {
                count: block.count.saturating_add(*more),
                ..block.clone()
            })
            .collect()
    }

    /// The fewest more blocks of each single kind; or, when no kind helps alone, a few kinds.
    fn more_blocks(&self) -> Vec<Remedy> {
        let own = self.blocks.to_vec();
        let kinds = if own.is_empty() { lumber() } else { own };
        let alone: Vec<Remedy> = (0..kinds.len())
            .filter_map(|kind| {
                let more = |count: u32| -> Vec<u32> {
                    (0..kinds.len())
                        .map(|other| if other == kind { count } else { 0 })
                        .collect()
                };
                let works =
                    |count: u32| self.works(&self.ground, &self.with_more(&kinds, &more(count)));
                let count = fewest(MOST_ADDED, works)?;
                self.added(&kinds, &more(count))
            })
            .collect();
        if !alone.is_empty() {
            return alone;
        }
        let mut more = vec![MOST_ADDED; kinds.len()];
        let works = |more: &[u32]| self.works(&self.ground, &self.with_more(&kinds, more));
        if !works(&more) {
            return Vec::new();
        }
        for kind in 0..kinds.len() {
            let with = |count: u32| {
                let mut more = more.clone();
                if let Some(place) = more.get_mut(kind) {
                    *place = count;
                }
                more
            };
            if let Some(count) = fewest_from_none(MOST_ADDED, |count| works(&with(count))) {
                more = with(count);
            }
        }
        self.added(&kinds, &more).into_iter().collect()
    }

    fn added(&self, kinds: &[Block], more: &[u32]) -> Option<Remedy> {
        let plan = self.solve(&self.ground, &self.with_more(kinds, more));
        let blocks: Vec<AddedBlock> = kinds
            .iter()
            .zip(more)
            .filter(|(_, count)| **count > 0)
            .map(|(block, &count)| AddedBlock {
                block: block.clone(),
                count,
            })
            .collect();
        let stacks = plan.outriggers.iter().map(|it| (&it.id, &it.pieces));
        let packed = plan.jacks.iter().map(|it| (&it.id, &it.packing));
        let at = stacks
            .chain(packed)
            .filter(|(_, pieces)| {
                let added = |block: &String| blocks.iter().any(|it| it.block.id == *block);
                pieces.iter().any(|piece| added(&piece.block))
            })
            .map(|(id, _)| id.clone())
            .collect();
        let count: u32 = more.iter().sum();
        (plan.verdict == Verdict::Pass).then_some(Remedy {
            change: Change::AddBlocks { blocks, at },
            effort: 5.0 + f64::from(count),
        })
    }

    fn turned_round(&self) -> Option<Remedy> {
        let placement = Placement {
            heading: (self.placement.heading + 180.0).rem_euclid(360.0),
            ..self.placement
        };
        self.stands_at(placement).then_some(Remedy {
            change: Change::TurnRound { placement },
            effort: 30.0,
        })
    }

    /// Whether it can be levelled at another place on the lot.
    fn stands_at(&self, placement: Placement) -> bool {
        let boundary = &self.site.file().lot.boundary;
        let on_the_lot = |&at: &Point| contains(boundary, placement.to_lot(at));
        if !self.profile.body.iter().all(on_the_lot) {
            return false;
        }
        let ground = under::ground_under(self.site, self.profile, &placement);
        let moved = || self.site.with_placement(self.index, placement);
        self.works(&ground, self.blocks) && moved().is_ok_and(|moved| (self.clears)(&moved))
    }

    /// The smallest move, whichever way.
    fn moved(&self) -> Option<Remedy> {
        let to = |bearing_deg: f64, distance: f64| {
            let (sin, cos) = libm::sincos(bearing_deg.to_radians());
            let hub = self.placement.hub() + Step::new(sin, cos) * distance;
            Placement {
                x: hub.x,
                y: hub.y,
                ..self.placement
            }
        };
        let bearings = || (0..DIRECTIONS).map(|k| f64::from(k) * 360.0 / f64::from(DIRECTIONS));
        let mut inner = 0.0;
        for outer in RINGS {
            let there: Vec<f64> = bearings()
                .filter(|&bearing| self.stands_at(to(bearing, outer)))
                .collect();
            // Nearer along each of these ways, to the last decimetre.
            let nearest = there.into_iter().map(|bearing| {
                let (mut near, mut far) = (inner, outer);
                while far - near > 0.1 {
                    let middle = (near + far) / 2.0;
                    if self.stands_at(to(bearing, middle)) {
                        far = middle;
                    } else {
                        near = middle;
                    }
                }
                (far, bearing)
            });
            if let Some((distance, bearing_deg)) = nearest.min_by(|a, b| a.0.total_cmp(&b.0)) {
                return Some(Remedy {
                    change: Change::Move {
                        bearing_deg,
                        distance,
                        placement: to(bearing_deg, distance),
                    },
                    effort: 20.0 + 2.0 * distance,
                });
            }
            inner = outer;
        }
        None
    }

    /// How far round a support the ground can be worked without touching its neighbours', metres.
    fn room_round(&self, point: &GroundPoint) -> f64 {
        let others = self.ground.points.iter().filter(|it| it.at != point.at);
        others
            .map(|other| (other.at - point.at).norm() / 2.0)
            .fold(WORKED, f64::min)
            .max(0.05)
    }

    /// The least that has to be dug away or built up under one support alone.
    fn dug_or_built_up(&self) -> Vec<Remedy> {
        let mut remedies = Vec::new();
        for point in &self.ground.points {
            // A tyre's place can be dug out, and a foot's built up; both the other way round
            // would only make it worse.
            let ways: &[f64] = match point.kind {
                SupportKind::Wheel => &[-1.0],
                SupportKind::Jack | SupportKind::Outrigger => &[-1.0, 1.0],
            };
            for way in ways {
                let raised = |by: f64| {
                    let mut ground = self.ground.clone();
                    let same = |it: &&mut GroundPoint| it.kind == point.kind && it.id == point.id;
                    if let Some(point) = ground.points.iter_mut().find(same) {
                        point.elevation = point.elevation.map(|at| Elevation(at.0 + way * by));
                    }
                    ground
                };
                let works = |by: f64| self.works(&raised(by), self.blocks);
                // Coarse first, then to the spade's step.
                let coarse = 4.0 * SPADE;
                let Some(found) = (1..)
                    .map(|k| f64::from(k) * coarse)
                    .take_while(|by| *by <= DEEPEST)
                    .find(|by| works(*by))
                else {
                    continue;
                };
                let by = (1..4)
                    .map(|k| found - coarse + f64::from(k) * SPADE)
                    .find(|by| works(*by))
                    .unwrap_or(found);
                let support = point.id.clone();
                let work = Groundwork {
                    x: point.at.x,
                    y: point.at.y,
                    radius: self.room_round(point),
                    by: way * by,
                };
                let (change, effort) = if *way < 0.0 {
                    (Change::Dig { support, work, by }, 10.0 + by / SPADE * 2.0)
                } else {
                    (Change::BuildUp { support, work, by }, 8.0 + by / SPADE)
                };
                remedies.push(Remedy { change, effort });
            }
        }
        remedies
    }
}

/// The fewest, from 1 to `most`, that work; more of them work as well.
fn fewest(most: u32, works: impl Fn(u32) -> bool) -> Option<u32> {
    if !works(most) {
        return None;
    }
    let (mut too_few, mut enough) = (0, most);
    while enough - too_few > 1 {
        let middle = (too_few + enough) / 2;
        if works(middle) {
            enough = middle;
        } else {
            too_few = middle;
        }
    }
    Some(enough)
}

fn fewest_from_none(most: u32, works: impl Fn(u32) -> bool) -> Option<u32> {
    if works(0) {
        return Some(0);
    }
    fewest(most, works)
}

/// Ordinary softwood, for a truck that carries nothing: actual thicknesses of nominal 6, 4, 2 and
/// 1-inch boards (PS 20, *American Softwood Lumber Standard*; memory) and a shim of plywood.
fn lumber() -> Vec<Block> {
    let board = |id: &str, thickness: f64| Block {
        id: id.to_owned(),
        thickness,
        length: 0.6,
        width: 0.235,
        count: 0,
    };
    vec![
        board("6x10", 0.140),
        board("4x10", 0.089),
        board("2x10", 0.038),
        board("1x10", 0.019),
        board("1/4 ply", 0.006),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixtures::{flat_lot, trailer};

    /// The flat lot, its ground raised by `rise` for each metre north.
    fn sloping(rise: f64, blocks: u32) -> SiteFile {
        let mut file = flat_lot();
        for spot in &mut file.spot_levels {
            spot.elevation = Elevation(spot.elevation.0 + rise * spot.y);
        }
        for block in &mut file.blocks {
            block.count = blocks;
        }
        file
    }

    fn plan(file: SiteFile) -> LevelPlan {
        let site = Site::new(file).unwrap();
        let ground = GroundUnderRide::of(&site, 0).unwrap();
        LevelPlan::new(site.profile(0).unwrap(), &ground, &site.file().blocks)
    }

    /// The file with a remedy applied.
    fn applied(file: &SiteFile, change: &Change) -> Option<SiteFile> {
        let mut file = file.clone();
        change.apply(&mut file, 0).then_some(file)
    }

    fn remedies(site: &Site, index: usize) -> Vec<Remedy> {
        super::remedies(site, index, &|_| true)
    }

    /// Two 90 mm blocks a foot are needed on the flat, and one is missing.
    #[test]
    fn a_missing_block_is_named() {
        let file = sloping(0.0, 7);
        assert_eq!(plan(file.clone()).verdict, Verdict::Fail);
        let remedies = remedies(&Site::new(file.clone()).unwrap(), 0);
        let add = remedies
            .iter()
            .find(|it| matches!(it.change, Change::AddBlocks { .. }));
        let Change::AddBlocks { blocks, .. } = &add.unwrap().change else {
            unreachable!()
        };
        assert_eq!((blocks.len(), blocks[0].count), (1, 1));
        let applied = applied(&file, &add.unwrap().change).unwrap();
        assert_eq!(plan(applied).verdict, Verdict::Pass);
    }

    /// A bump under one outrigger, as high as the frame may stand: digging it away is offered,
    /// and does.
    #[test]
    fn a_bump_is_dug_away() {
        let mut file = sloping(0.0, 16);
        let foot = trailer().outriggers[0].at;
        let placement = file.rides[0].placement;
        for (dx, dy) in [(0.0, 0.0), (0.2, 0.0), (-0.2, 0.0), (0.0, 0.2), (0.0, -0.2)] {
            let at = placement.to_lot(foot) + Step::new(dx, dy);
            let height = Elevation(file.spot_levels[0].elevation.0 + 0.6);
            file.spot_levels
                .push(crate::site::SpotLevel::new(at.x, at.y, height));
        }
        assert_eq!(plan(file.clone()).verdict, Verdict::Fail);
        let remedies = remedies(&Site::new(file.clone()).unwrap(), 0);
        let digs = remedies
            .iter()
            .filter(|it| matches!(it.change, Change::Dig { .. }));
        let digs: Vec<&Remedy> = digs.collect();
        assert!(!digs.is_empty(), "{remedies:?}");
        for dig in digs {
            assert_eq!(
                plan(applied(&file, &dig.change).unwrap()).verdict,
                Verdict::Pass
            );
        }
    }

    #[test]
    fn a_lot_that_works_needs_none() {
        assert_eq!(remedies(&Site::new(sloping(0.0, 16)).unwrap(), 0), []);
        assert_eq!(remedies(&Site::new(sloping(0.0, 16)).unwrap(), 5), []);
    }

    /// Steep to the north of y = 0 and flat to the south: a move south helps; and everything that
    /// is said to help does.
    #[test]
    fn every_remedy_works_when_applied() {
        let mut file = sloping(0.0, 12);
        for spot in &mut file.spot_levels {
            spot.elevation = Elevation(if spot.y > 0.0 { 8.0 } else { 0.0 });
        }
        for x in [-40.0, 40.0] {
            file.spot_levels.push(crate::site::SpotLevel {
                x,
                y: 0.0,
                ..file.spot_levels[0].clone()
            });
        }
        assert_eq!(plan(file.clone()).verdict, Verdict::Fail);
        let remedies = remedies(&Site::new(file.clone()).unwrap(), 0);
        let moved = remedies
            .iter()
            .any(|it| matches!(it.change, Change::Move { .. }));
        assert!(moved, "{remedies:?}");
        for remedy in &remedies {
            let applied = applied(&file, &remedy.change).unwrap();
            assert_eq!(plan(applied).verdict, Verdict::Pass, "{remedy:?}");
        }
        assert!(remedies.is_sorted_by(|a, b| a.effort <= b.effort));
    }
}
