//! What binds: what keeps the frame from standing lower or leveller, or from being blocked at
//! all.

use serde::{Deserialize, Serialize};

use super::blocking::Foot;
use super::stacks::{TALLEST_TO_BASE, base};
use super::stand::{Blocked, Stand};
use super::{LevelPlan, ShortOf, SupportKind};
use crate::site::Block;

/// Something that binds.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Bind {
    /// What it is.
    pub kind: BindKind,
    /// The support or the block that it is about; empty when it holds for the whole ride.
    pub at: String,
}

/// What can bind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum BindKind {
    /// The datum is as low as this tyre lets it hang free.
    Tyre,
    /// The datum is as low as this jack lets it, wound in and in its highest hole.
    ShortestLeg,
    /// The datum is about as high as this jack lets it, wound out and in its lowest hole.
    LongestLeg,
    /// The ground under this outrigger holds the datum up: it stands on the least it may.
    HighGround,
    /// No lower datum suits the thicknesses of the blocks on the truck.
    Thicknesses,
    /// Every block of this kind is used.
    BlocksUsedUp,
    /// This stack is about as tall as three times the width of its base.
    BaseWidth,
    /// A narrower stack would press harder under this outrigger than the ground bears.
    Bearing,
    /// The blocks leave more tilt than one step of the crew's level: thinner packing would
    /// level it better.
    Packing,
}

pub(super) fn binds(
    stand: &Stand,
    blocked: &Blocked,
    plan: &LevelPlan,
    blocks: &[Block],
) -> Vec<Bind> {
    let mut binds = Vec::new();
    let steps = stand.profile.levelling.steps;
    let mut add = |kind, at: &str| {
        binds.push(Bind {
            kind,
            at: at.to_owned(),
        });
    };
    match &blocked.floor {
        Some((SupportKind::Wheel, id, over)) if *over < steps.height => add(BindKind::Tyre, id),
        Some((_, id, over)) if *over < steps.height => add(BindKind::ShortestLeg, id),
        _ => {
            // It stands on the least it may, and others on more.
            let height = |index: usize| blocked.stacks.get(index).map_or(0.0, |it| it.height);
            let tallest = (0..stand.feet.len()).map(height).fold(0.0, f64::max);
            let least = |(index, _): &(usize, _)| {
                let stack = blocked.stacks.get(*index);
                let wants = stand.feet.get(*index).is_some_and(|it| it.wants_a_block);
                stack.is_some_and(|stack| stack.len() <= usize::from(wants))
                    && tallest - height(*index) > steps.height
            };
            let high = blocked.tops.iter().enumerate().filter(least);
            match high.max_by(|a, b| a.1.1.total_cmp(&b.1.1)) {
                Some((index, _)) => {
                    add(
                        BindKind::HighGround,
                        stand.feet.get(index).map_or("", |foot| foot.id),
                    );
                }
                None => add(BindKind::Thicknesses, ""),
            }
        }
    }
    let reserve = stand.profile.levelling.stroke_reserve;
    for (jack, setting) in stand.profile.jacks.iter().zip(&plan.jacks) {
        let packed = !setting.packing.is_empty();
        let in_lowest_hole = setting.hole == setting.holes;
        let short = plan
            .shortfalls
            .iter()
            .any(|it| it.what == ShortOf::Stroke && it.support == jack.id);
        if packed || short || (in_lowest_hole && setting.stroke_left - reserve < steps.height) {
            add(BindKind::LongestLeg, &jack.id);
        }
    }
    let stacks = || blocked.stacks.iter().chain(&blocked.packing);
    for (kind, block) in blocks.iter().enumerate() {
        let used = stacks()
            .flat_map(|stack| stack.pieces())
            .filter(|&piece| piece == kind)
            .count();
        if used > 0 && used >= block.count as usize {
            add(BindKind::BlocksUsedUp, &block.id);
        }
    }
    let widest = blocks.iter().map(base).fold(0.0, f64::max);
    for (index, stack) in blocked.stacks.iter().enumerate() {
        let bottom = stack.pieces().next().and_then(|kind| blocks.get(kind));
        let tallest = TALLEST_TO_BASE * bottom.map_or(f64::INFINITY, base);
        let short = |foot: &Foot| {
            let own = blocked.shortfalls.iter().find(|it| it.support == foot.id);
            own.map_or(0.0, |short| short.by)
        };
        let needed = stack.height + stand.feet.get(index).map_or(0.0, short);
        let too_tall = needed > TALLEST_TO_BASE * widest;
        if tallest - stack.height < steps.height || too_tall {
            add(
                BindKind::BaseWidth,
                stand.feet.get(index).map_or("", |foot| foot.id),
            );
        }
    }
    for foot in stand.feet.iter().filter(|foot| foot.least_area > 0.0) {
        add(BindKind::Bearing, foot.id);
    }
    let steepest = [plan.tilt_along_deg, plan.tilt_across_deg]
        .into_iter()
        .flatten()
        .fold(0.0, |steepest: f64, tilt| steepest.max(tilt.abs()));
    if !stand.feet.is_empty() && steepest > steps.level_deg {
        add(BindKind::Packing, "");
    }
    binds
}
