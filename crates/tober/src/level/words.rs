//! Plain words for stages, checks, what binds and what would help, so that every face says the
//! same.

use super::{
    Act, ActKind, Bind, BindKind, Change, Check, CheckKind, LevelPlan, Passes, Preference, Remedy,
    StageKind, Way,
};
use crate::assess::Verdict;
use crate::units::LengthStyle;

impl StageKind {
    /// `Lifted and level, on its jacks`.
    pub fn in_words(self) -> &'static str {
        match self {
            StageKind::Parked => "Parked on its tyres, legs dropped and pinned",
            StageKind::Lifted => "Lifted and level, on its jacks",
            StageKind::Blocked => "Outriggers blocked, still on its jacks",
            StageKind::OnOutriggers => "Let down on its outriggers",
            StageKind::Snugged => "At work: jacks snugged",
            StageKind::TakenUp => "Tear-down: jacks carry again",
            StageKind::BlocksOut => "Tear-down: blocks out, outriggers up",
            StageKind::Lowered => "Tear-down: back on its tyres, jacks in their highest holes",
        }
    }
}

impl Act {
    /// What one person does: `wind out 3-1/2 turns under load`, without the support.
    pub fn in_words(&self) -> String {
        let turns = quarters(self.turns);
        let noun = if self.turns > 1.0 { "turns" } else { "turn" };
        let way = match self.way {
            Some(Way::In) => "in",
            _ => "out",
        };
        match self.kind {
            ActKind::Pin => format!("drop the leg and pin it in hole {}", self.hole),
            ActKind::Touch => format!("wind {way} {turns} {noun}, free, until the foot touches"),
            ActKind::Lift | ActKind::Lower | ActKind::TakeUp | ActKind::LetDown => {
                format!("wind {way} {turns} {noun} under load")
            }
            ActKind::Block => "set the blocks".to_owned(),
            ActKind::Snug => format!("wind {way} {turns} {noun}, so that it just bears"),
            ActKind::Unblock => "take the blocks out and swing the outrigger up".to_owned(),
            ActKind::Stow if self.turns > 0.0 => {
                format!(
                    "wind {way} {turns} {noun}, free, and pin the leg in hole {}",
                    self.hole
                )
            }
            ActKind::Stow => format!("raise the leg and pin it in hole {}", self.hole),
        }
    }
}

impl Passes {
    /// `Lifting: 18 acts; no order takes fewer: proven.`
    pub fn in_words(&self) -> String {
        let what = match self.kind {
            ActKind::Lower => "Letting down on the outriggers",
            ActKind::TakeUp => "Taking up to tear down",
            ActKind::LetDown => "Letting down on the tyres",
            _ => "Lifting",
        };
        let (acts, at_least) = (self.acts, self.at_least);
        let noun = if acts == 1 { "act" } else { "acts" };
        if self.kind == ActKind::LetDown {
            return format!("{what}: {acts} {noun}, those of lifting from the last to the first.");
        }
        let of_these = if self.group_after_group {
            " that begins each pair at the same jack, and finishes it before the next,"
        } else {
            ""
        };
        let spares = if self.spares_jacks {
            " In short acts, so that no jack carries more than it may."
        } else {
            ""
        };
        if acts <= at_least {
            format!("{what}: {acts} {noun}; no order{of_these} takes fewer: proven.{spares}")
        } else {
            format!(
                "{what}: {acts} {noun}, not proven to be the fewest; no order{of_these} takes \
                 fewer than {at_least}.{spares}"
            )
        }
    }
}

impl Preference {
    /// `lowest, in steps of 3/4"`.
    pub fn in_words(&self, units: LengthStyle) -> String {
        match self {
            Preference::LeastTilt { step_deg } => {
                format!("least tilt and rack, in steps of {step_deg}°")
            }
            Preference::Lowest { step } if *step > 0.0 => {
                format!("lowest, in steps of {}", units.format(*step))
            }
            Preference::Lowest { .. } => "lowest to the last hair".to_owned(),
            Preference::FewestPieces => "fewest pieces".to_owned(),
            Preference::FewestTurns { step } => {
                format!("fewest turns under load, in steps of {step}")
            }
        }
    }
}

impl LevelPlan {
    /// Every check of a stage that does not pass: `Let down on its outriggers: tyres hang: …`.
    pub fn failing_in_words(&self, units: LengthStyle) -> Vec<String> {
        let checks = self.stages.iter().flat_map(|stage| {
            let of_stage = stage.checks.iter();
            of_stage.map(|check| (stage.kind.in_words(), check))
        });
        checks
            .filter(|(_, check)| check.verdict != Verdict::Pass)
            .map(|(stage, check)| format!("{stage}: {}", check.in_words(units)))
            .collect()
    }

    /// What made this blocking the best, and whether that is proven.
    pub fn chosen_in_words(&self, units: LengthStyle) -> String {
        let each: Vec<String> = self
            .preferences
            .iter()
            .map(|it| it.in_words(units))
            .collect();
        let proven = if self.proven {
            "proven to be the best there is"
        } else {
            "the best that was found"
        };
        format!("Chosen by, in this order: {}; {proven}.", each.join("; "))
    }
}

/// Turns to a quarter: `6-1/4`.
fn quarters(turns: f64) -> String {
    let quarters = (turns.abs() * 4.0).round();
    let whole = (quarters / 4.0).floor();
    let fraction = match quarters % 4.0 {
        1.0 => "1/4",
        2.0 => "1/2",
        3.0 => "3/4",
        _ => return format!("{whole}"),
    };
    if whole == 0.0 {
        fraction.to_owned()
    } else {
        format!("{whole}-{fraction}")
    }
}

impl Check {
    /// What was found, and what it is held against.
    pub fn in_words(&self, units: LengthStyle) -> String {
        let at = match self.support.as_str() {
            "" => String::new(),
            id => format!(" ({id})"),
        };
        let degrees = |angle: f64| format!("{:.2}°", (angle * 100.0 - 1e-6).ceil().abs() / 100.0);
        let (value, limit) = (self.value, self.limit);
        let (room, least) = (units.format_down(value), units.format_up(limit));
        let (reached, most) = (units.format_up(value), units.format_down(limit));
        match self.kind {
            CheckKind::LegsFit => format!("legs go in: {room} of air under the tightest{at}"),
            CheckKind::TravelTilt => format!(
                "steepest on the way {}{at}, {} is allowed",
                degrees(value),
                degrees(limit)
            ),
            CheckKind::Rack => format!(
                "a corner ahead by {} on the way{at}, {} is allowed",
                units.format(value),
                units.format(limit)
            ),
            CheckKind::TyresHang => format!("tyres hang: {room} of air{at}, {least} is asked for"),
            CheckKind::ScrewLeft => {
                format!("screw left before it is wound out: {room}{at}, {least} is asked for")
            }
            CheckKind::ScrewIn => {
                format!("screw left before it is wound in: {room}{at}, {least} is asked for")
            }
            CheckKind::StackHeight => {
                format!("tallest stack for its base {reached}{at}, {most} is allowed")
            }
            CheckKind::TiltAlong => format!(
                "tilt along {}, {} is allowed",
                degrees(value),
                degrees(limit)
            ),
            CheckKind::TiltAcross => format!(
                "tilt across {}, {} is allowed",
                degrees(value),
                degrees(limit)
            ),
            CheckKind::JacksHang => format!("jacks hang free: {room} of air{at}"),
            CheckKind::Bears => {
                format!("air under a foot that should bear: {reached}{at}, {most} is allowed")
            }
        }
    }
}

impl Bind {
    /// One sentence.
    pub fn in_words(&self) -> String {
        let at = &self.at;
        match self.kind {
            BindKind::Tyre => format!("It stands as low as tyre {at} lets it hang free."),
            BindKind::ShortestLeg => {
                format!("It stands as low as jack {at} lets it, in its highest hole.")
            }
            BindKind::LongestLeg => {
                format!("It stands as high as jack {at} lets it, in its lowest hole.")
            }
            BindKind::HighGround => {
                format!("The high ground under {at} holds it up.")
            }
            BindKind::Thicknesses => {
                "The thicknesses of the blocks allow nothing lower that is as level.".to_owned()
            }
            BindKind::BlocksUsedUp => format!("Every \"{at}\" on the truck is used."),
            BindKind::BaseWidth => {
                format!("{at} stands about as tall as three times the width of its base.")
            }
            BindKind::Bearing => format!(
                "{at} stands on wide pieces: narrower ones would press harder than the ground bears."
            ),
            BindKind::Packing => "Thinner packing would level it better.".to_owned(),
        }
    }
}

impl Remedy {
    /// One sentence.
    pub fn in_words(&self, units: LengthStyle) -> String {
        match &self.change {
            Change::AddBlocks { blocks, at } => {
                let kinds: Vec<String> = blocks
                    .iter()
                    .map(|it| format!("{} more \"{}\"", it.count, it.block.id))
                    .collect();
                format!("Bring {}, for {}.", kinds.join(" and "), at.join(", "))
            }
            Change::TurnRound { .. } => {
                "Turn the ride round on the spot, tongue to the other side.".to_owned()
            }
            Change::Move {
                bearing_deg,
                distance,
                ..
            } => format!(
                "Move it {} {}.",
                units.format_up(*distance),
                compass(*bearing_deg)
            ),
            Change::Dig { support, by, .. } => format!(
                "Dig the ground under {support} down by {}.",
                units.format_up(*by)
            ),
            Change::BuildUp { support, by, .. } => format!(
                "Build the ground under {support} up by {}, solid and level.",
                units.format_up(*by)
            ),
        }
    }
}

/// The nearest of sixteen points of the compass.
fn compass(bearing_deg: f64) -> &'static str {
    const POINTS: [&str; 16] = [
        "north",
        "north-north-east",
        "north-east",
        "east-north-east",
        "east",
        "east-south-east",
        "south-east",
        "south-south-east",
        "south",
        "south-south-west",
        "south-west",
        "west-south-west",
        "west",
        "west-north-west",
        "north-west",
        "north-north-west",
    ];
    let point = (bearing_deg.rem_euclid(360.0) / 22.5).round() as usize % POINTS.len();
    POINTS.get(point).copied().unwrap_or("north")
}
