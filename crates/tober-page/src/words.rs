//! What the page says: numbers and verdicts as words that a crew reads.

use tober::assess::{Assessment, RideAssessment, Verdict};
use tober::clearance::{ClearanceRow, Measure, Standing};
use tober::level::{Act, ActKind, After, Lean, ShortOf, Shortfall, Way};
use tober::units::LengthStyle;

/// A count of turns, to a quarter: `6¼`.
pub(crate) fn turns(count: f64) -> String {
    let quarters = (count * 4.0).round() as i64;
    let part = match quarters % 4 {
        0 => "",
        1 => "¼",
        2 => "½",
        _ => "¾",
    };
    match quarters / 4 {
        0 if !part.is_empty() => part.to_owned(),
        whole => format!("{whole}{part}"),
    }
}

/// A count of turns with its noun.
pub(crate) fn turns_long(count: f64) -> String {
    let noun = if count <= 1.0 { "turn" } else { "turns" };
    format!("{} {noun}", turns(count))
}

pub(crate) fn measure(measure: Measure) -> &'static str {
    match measure {
        Measure::Horizontal => "in plan",
        Measure::True => "through the air",
        Measure::Slope => "rise over run",
        Measure::AtMost => "at most",
        Measure::Ball => "a ball that must not get through",
    }
}

pub(crate) fn standing(standing: Standing) -> &'static str {
    match standing {
        Standing::Read => "read in the source",
        Standing::Memory => "recalled, not read again",
        Standing::Practice => "common practice, no published source",
        Standing::Local => "set for this site",
    }
}

/// What a clearance is measured to.
pub(crate) fn against(row: &ClearanceRow) -> String {
    if row.against_name.is_empty() {
        "Lot line".to_owned()
    } else {
        row.against_name.clone()
    }
}

/// A clearance, rounded to the safe side.
pub(crate) fn distance(row: &ClearanceRow, style: LengthStyle) -> String {
    match row.value {
        None => "not known".to_owned(),
        Some(value) if value < 0.0 => format!("overlaps {}", style.format_up(-value)),
        Some(value) => style.format_down(value),
    }
}

/// What is asked for, after the distance.
pub(crate) fn required(row: &ClearanceRow, style: LengthStyle) -> String {
    if row.required > 0.0 {
        format!("of {} needed", style.format_up(row.required))
    } else {
        "must not overlap".to_owned()
    }
}

/// What is left, or missing.
pub(crate) fn margin(row: &ClearanceRow, style: LengthStyle) -> String {
    match row.margin {
        None => "cannot be told".to_owned(),
        Some(margin) if margin < 0.0 => format!("short by {}", style.format_up(-margin)),
        Some(margin) => format!("{} to spare", style.format_down(margin)),
    }
}

/// The whole site in a few words.
pub(crate) fn overall(assessment: &Assessment) -> String {
    let failing = count(assessment, Verdict::Fail);
    let unknown = count(assessment, Verdict::Unknown);
    match (assessment.verdict, failing) {
        (Verdict::Pass, _) => "Every check holds".to_owned(),
        (Verdict::Unknown, _) => things(unknown, "check is not known", "checks are not known"),
        (Verdict::Fail, _) => things(failing, "check fails", "checks fail"),
    }
}

fn things(count: usize, one: &str, many: &str) -> String {
    match count {
        1 => format!("1 {one}"),
        count => format!("{count} {many}"),
    }
}

/// How many checks of all the rides, and of the ways between them, came out so.
fn count(assessment: &Assessment, verdict: Verdict) -> usize {
    let checks = |ride: &RideAssessment| {
        let rows = ride.clearances.iter().map(|row| row.verdict);
        let ground = ride.over_ground.as_ref().filter(|it| it.least < 0.0);
        // What is not known of the loads is told with them, and counts for nothing.
        let loads = ride.loads.checks().filter(|&it| it == Verdict::Fail);
        rows.chain([ride.level.verdict, ride.fence.verdict])
            .chain(ground.map(|_| Verdict::Fail))
            .chain(loads)
            .filter(|&found| found == verdict)
            .count()
    };
    let ways = assessment.ways.iter();
    let ways = ways.filter(|way| way.verdict == verdict).count();
    let passages = assessment.passages.iter();
    let passages = passages.filter(|it| it.verdict == verdict).count();
    let cords = assessment.cords.iter();
    let cords = cords.filter(|it| it.verdict == Some(verdict)).count();
    let lot = assessment.lot_clearances.iter();
    let lot = lot.filter(|it| it.row.verdict == verdict).count();
    let at_hand = assessment.at_hand.iter();
    let at_hand = at_hand.filter(|it| it.verdict == verdict).count();
    let books = match verdict {
        Verdict::Unknown => assessment.unclosed.len(),
        _ => 0,
    };
    let rides = assessment.rides.iter().map(checks).sum::<usize>();
    let bonds = assessment.bonds.iter();
    let bonds = bonds.filter(|it| it.verdict == verdict).count();
    let ropes = assessment.ropes.iter();
    let ropes = ropes.filter(|it| it.verdict == verdict).count();
    ways + passages + books + cords + at_hand + ropes + bonds + lot + rides
}

/// What is spoken after a move.
pub(crate) fn spoken(ride: &RideAssessment, style: LengthStyle) -> String {
    let tightest = match ride.clearances.first() {
        None => String::new(),
        Some(row) => format!(
            " Tightest: {} to {}, {} {}.",
            row.from_words(),
            against(row),
            distance(row, style),
            required(row, style)
        ),
    };
    format!("{}: {}.{tightest}", ride.name, ride.verdict.word())
}

/// Levelling in a sentence.
pub(crate) fn level_sentence(ride: &RideAssessment) -> &'static str {
    let unsurveyed = ride.ground.points.iter().any(|it| it.elevation.is_none());
    match ride.level.verdict {
        Verdict::Pass => "The frame can be levelled with what is on the truck.",
        Verdict::Unknown if !unsurveyed => {
            "Not known: something that this rests on is not certain. See what to do next."
        }
        Verdict::Unknown => "Not known: the ground under it is not surveyed everywhere.",
        Verdict::Fail => "The frame cannot be levelled here with what is on the truck.",
    }
}

/// A fall in percent and the way it goes. `up` is where positive falls rise to.
pub(crate) fn fall(fall: Option<f64>, up: &str, other: &str) -> String {
    match fall {
        None => "not known".to_owned(),
        Some(fall) if fall.abs() < 0.0005 => "level".to_owned(),
        Some(fall) => {
            let rises = if fall > 0.0 { up } else { other };
            format!("{:.1} %, higher {rises}", fall.abs() * 100.0)
        }
    }
}

/// A tilt in degrees against what is allowed.
pub(crate) fn tilt(tilt: Option<f64>, allowed: f64) -> String {
    match tilt {
        None => format!("not known, of {allowed:.2}° allowed"),
        Some(tilt) => format!("{:.2}° of {allowed:.2}° allowed", tilt.abs()),
    }
}

pub(crate) fn shortfall(short: &Shortfall, style: LengthStyle) -> String {
    let by = style.format_up(short.by);
    let at = match short.support.as_str() {
        "" => String::new(),
        support => format!("{support}: "),
    };
    match short.what {
        ShortOf::Stroke => format!("{at}the jack is {by} short of reach"),
        ShortOf::JackTooLong => format!("{at}the jack is {by} too long"),
        ShortOf::Blocking if short.by > 0.0 => format!("{at}{by} of blocking is missing"),
        ShortOf::Blocking => format!("{at}no block is left to stand on"),
        ShortOf::Tolerance => format!("{at}{:.2}° more tilt than the ride allows", short.by),
    }
}

/// The heading over a run of acts of one kind.
pub(crate) fn act_heading(kind: ActKind) -> &'static str {
    match kind {
        ActKind::Pin => "Pin every leg",
        ActKind::Touch => "Wind out until the foot touches",
        ActKind::Lift => "Lift, one after the other",
        ActKind::Block => "Set the blocks under the outriggers",
        ActKind::Lower => "Wind in until the outriggers carry",
        ActKind::Snug => "Snug each jack so that it just bears",
        ActKind::TakeUp => "Wind out until the jacks carry",
        ActKind::Unblock => "Take the blocks out",
        ActKind::LetDown => "Wind in until the tyres carry",
        ActKind::Stow => "Raise the legs and pin them",
    }
}

/// What one act asks for, beside the support's id.
pub(crate) fn act(act: &Act) -> String {
    match act.kind {
        ActKind::Pin => format!("hole {}", act.hole),
        ActKind::Block => "set".to_owned(),
        ActKind::Unblock => "out, outrigger up".to_owned(),
        ActKind::Stow if act.turns == 0.0 => format!("hole {}", act.hole),
        ActKind::Stow => format!("in {}, hole {}", turns_long(act.turns), act.hole),
        ActKind::Touch
        | ActKind::Lift
        | ActKind::Lower
        | ActKind::Snug
        | ActKind::TakeUp
        | ActKind::LetDown => {
            let way = match act.way {
                Some(Way::Out) => "out ",
                Some(Way::In) => "in ",
                None => "",
            };
            format!("{way}{}", turns_long(act.turns))
        }
    }
}

/// What a level along the frame shows.
pub(crate) fn along(degrees: f64) -> String {
    leaning(degrees, "tongue", "back")
}

/// What a level across the frame shows.
pub(crate) fn across(degrees: f64) -> String {
    leaning(degrees, "left", "right")
}

fn leaning(degrees: f64, up: &str, other: &str) -> String {
    if degrees.abs() < 0.005 {
        "level".to_owned()
    } else {
        let high = if degrees > 0.0 { up } else { other };
        format!("{:.2}°, {high} high", degrees.abs())
    }
}

/// How a frame leans both ways.
pub(crate) fn lean(lean: &Lean) -> String {
    match (lean.along_deg, lean.across_deg) {
        (Some(along_deg), Some(across_deg)) => {
            format!("along {}; across {}", along(along_deg), across(across_deg))
        }
        _ => "not known".to_owned(),
    }
}

/// How a frame leans, whether that is level enough, and how sure that is.
pub(crate) fn lean_and_chance(found: &Lean) -> String {
    let mut words = match found.verdict {
        Verdict::Pass => format!("Level enough. {}", lean(found)),
        Verdict::Fail => format!("Not level enough. {}", lean(found)),
        Verdict::Unknown => return "not known".to_owned(),
    };
    if let Some(chance) = found.out_probability {
        let percent = (chance * 100.0).ceil();
        words += &format!(". With the survey's errors out of tolerance: {percent} in 100");
    }
    words
}

/// What carries nothing after an act, all the tyres together in a word.
pub(crate) fn hanging(after: &After, wheels: &[String]) -> Option<String> {
    let all = !wheels.is_empty() && wheels.iter().all(|id| after.hanging.contains(id));
    let mut words: Vec<&str> = after
        .hanging
        .iter()
        .filter(|id| !(all && wheels.contains(id)))
        .map(String::as_str)
        .collect();
    if all {
        words.push("all tyres");
    }
    (!words.is_empty()).then(|| words.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turns_read_in_quarters() {
        assert_eq!(turns(6.25), "6¼");
        assert_eq!(turns(0.5), "½");
        assert_eq!(turns(3.0), "3");
        assert_eq!(turns_long(1.0), "1 turn");
        assert_eq!(turns_long(1.75), "1¾ turns");
    }

    #[test]
    fn falls_say_which_way() {
        assert_eq!(fall(Some(0.0213), "ahead", "behind"), "2.1 %, higher ahead");
        assert_eq!(fall(Some(-0.01), "ahead", "behind"), "1.0 %, higher behind");
        assert_eq!(fall(None, "ahead", "behind"), "not known");
    }
}
