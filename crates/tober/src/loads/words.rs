//! Plain words: what a case is, and what to do about loads.

use super::{
    CaseKind, Factor, FootLoads, GoesOver, InActs, LoadCase, LoadRuleInForce, LoadUnit, RideLoads,
};
use crate::assess::Verdict;
use crate::clearance::Standing;
use crate::level::{ActKind, LevelPlan, SupportKind};
use crate::ride::RideProfile;
use crate::site::Site;
use crate::units::LengthStyle;

/// A force: kilonewtons with its weight in kilograms, or pounds; rounded up.
pub fn force_up(newtons: f64, units: LengthStyle) -> String {
    // Nothing less a hair, rounded up, is minus zero, and which of two zeros is the greater each
    // machine decides for itself: plus zero it is zero on all of them.
    let up = |tens: f64| (tens - 1e-6).ceil().max(0.0) + 0.0;
    if units.is_metric() {
        format!("{:.1} kN", up(newtons / 100.0) / 10.0)
    } else {
        format!("{:.0} lb", up(newtons / super::POUND / 10.0) * 10.0)
    }
}

/// A force, rounded down.
pub fn force_down(newtons: f64, units: LengthStyle) -> String {
    if units.is_metric() {
        format!("{:.1} kN", (newtons / 100.0 + 1e-6).floor().max(0.0) / 10.0)
    } else {
        let pounds = newtons / super::POUND;
        format!("{:.0} lb", (pounds / 10.0 + 1e-6).floor().max(0.0) * 10.0)
    }
}

/// A pressure on the ground: kilopascals or pounds a square foot; rounded up.
pub fn pressure_up(pascals: f64, units: LengthStyle) -> String {
    if units.is_metric() {
        format!("{:.0} kPa", (pascals / 1e3 - 1e-6).ceil().abs())
    } else {
        format!(
            "{:.0} psf",
            (pascals / super::PSF / 10.0 - 1e-6).ceil().abs() * 10.0
        )
    }
}

/// A pressure that the ground bears, rounded down.
pub fn pressure_down(pascals: f64, units: LengthStyle) -> String {
    if units.is_metric() {
        format!("{:.0} kPa", (pascals / 1e3 + 1e-6).floor())
    } else {
        format!(
            "{:.0} psf",
            (pascals / super::PSF / 10.0 + 1e-6).floor() * 10.0
        )
    }
}

/// A pressure on timber: megapascals or pounds a square inch; rounded up.
pub fn crushing_up(pascals: f64, units: LengthStyle) -> String {
    if units.is_metric() {
        format!("{:.2} MPa", (pascals / 1e4 - 1e-6).ceil().abs() / 100.0)
    } else {
        format!("{:.0} psi", (pascals / super::PSI - 1e-6).ceil().abs())
    }
}

/// A pressure that timber takes, rounded down.
pub fn crushing_down(pascals: f64, units: LengthStyle) -> String {
    if units.is_metric() {
        format!("{:.2} MPa", (pascals / 1e4 + 1e-6).floor() / 100.0)
    } else {
        format!("{:.0} psi", (pascals / super::PSI + 1e-6).floor())
    }
}

/// An area, rounded up.
pub fn area_up(square_metres: f64, units: LengthStyle) -> String {
    if units.is_metric() {
        format!(
            "{:.2} m²",
            (square_metres * 100.0 - 1e-6).ceil().abs() / 100.0
        )
    } else {
        let square_feet = square_metres / (0.3048 * 0.3048);
        format!(
            "{:.2} sq ft",
            (square_feet * 100.0 - 1e-6).ceil().abs() / 100.0
        )
    }
}

/// An area, rounded down.
pub fn area_down(square_metres: f64, units: LengthStyle) -> String {
    let (area, unit) = if units.is_metric() {
        (square_metres, "m²")
    } else {
        (square_metres / (0.3048 * 0.3048), "sq ft")
    };
    format!("{:.2} {unit}", (area * 100.0 + 1e-6).floor() / 100.0)
}

impl LoadUnit {
    /// What a value is shown in, and how much of the library's own unit that is.
    pub fn shown_in(self, units: LengthStyle) -> (&'static str, f64) {
        match (self, units.is_metric()) {
            (LoadUnit::Factor, _) => ("", 1.0),
            (LoadUnit::Pascal, true) => ("kPa", 1e3),
            (LoadUnit::Pascal, false) => ("psf", super::PSF),
            (LoadUnit::Crushing, true) => ("MPa", 1e6),
            (LoadUnit::Crushing, false) => ("psi", super::PSI),
            (LoadUnit::Kilogram, _) => ("kg", 1.0),
            (LoadUnit::Density, _) => ("kg/m³", 1.0),
        }
    }

    /// A value with its unit, to a hundredth.
    pub fn in_words(self, value: f64, units: LengthStyle) -> String {
        let (name, unit) = self.shown_in(units);
        let value = (value / unit * 100.0).round() / 100.0;
        format!("{value} {name}").trim_end().to_owned()
    }
}

impl LoadRuleInForce {
    /// The rule in one line: its value, where that comes from, and what it replaces.
    pub fn in_words(&self, units: LengthStyle) -> String {
        let source = match self.standing {
            Standing::Read => format!("{}, read there", self.source),
            Standing::Memory => format!("{}, from memory and not read again", self.source),
            Standing::Practice => self.source.clone(),
            Standing::Local => format!("set for this site: {}", self.source),
        };
        let replaces = self.replaces.map_or_else(String::new, |replaced| {
            format!(" It replaces {}.", self.unit.in_words(replaced, units))
        });
        format!(
            "{}: {}. Source: {source}.{replaces}",
            self.title,
            self.unit.in_words(self.value, units)
        )
    }
}

/// The values that every paper tells of: what is asked for, and what a site has set for itself.
pub fn load_rules_told(rules: &[LoadRuleInForce]) -> impl Iterator<Item = &LoadRuleInForce> {
    let asked = ["overturning-factor", "sliding-factor"];
    let told =
        move |rule: &&LoadRuleInForce| rule.replaces.is_some() || asked.contains(&rule.id.as_str());
    rules.iter().filter(told)
}

impl LoadCase {
    /// In plain words.
    pub fn in_words(&self) -> String {
        match self.kind {
            CaseKind::Empty => "empty, in the wind it may work in".to_owned(),
            CaseKind::Full => "every seat full, in the wind it may work in".to_owned(),
            CaseKind::OutOfService => "empty and at rest, in the wind it may stand in".to_owned(),
            CaseKind::Uneven => format!(
                "{} cars in a row empty at full speed, in the wind it may work in",
                self.empty_cars_in_words()
            ),
            CaseKind::Boarding => format!(
                "{} cars in a row empty while riders get on or off, in the wind it may work in",
                self.empty_cars_in_words()
            ),
        }
    }

    fn empty_cars_in_words(&self) -> String {
        let each: Vec<String> = self.empty_cars.iter().map(u32::to_string).collect();
        each.join(" and ")
    }
}

/// How much more on a snugged jack than was foretold is worth a word.
const MUCH_MORE: f64 = 1.1;

/// Says what to do.
pub(super) fn advise(loads: &mut RideLoads, profile: &RideProfile, level: &LevelPlan, site: &Site) {
    let units = site.file().units;
    // Where it goes over, what its feet would carry is beside the point.
    let stands = loads.overturning.as_ref().is_none_or(|it| it.value >= 1.0);
    let at_work = feet(loads, units)
        .chain(over_capacity(loads, units))
        .chain(ground(loads, units));
    loads.to_do = goes_over(loads, units)
        .chain(factors(loads, units))
        .chain(at_work.filter(|_| stands))
        .chain(jacks(loads, level, units))
        .chain(settling(loads))
        .collect();
    let wet = loads.feet.iter().any(|foot| foot.ground.soft_when_wet);
    let wet = wet.then(|| {
        "Clay and silt bear less when they are wet: drain water away from the feet, and read the \
         level again after rain."
            .to_owned()
    });
    loads.advice = empty_in_row(loads, profile)
        .into_iter()
        .chain(wet)
        .chain(left_on_a_jack(loads, profile, level, units))
        .collect();
}

/// What the turns of the plan leave on a snugged jack, where that is more than on ground that does not
/// give: under the outriggers it sinks as they take the weight.
fn left_on_a_jack(
    loads: &RideLoads,
    profile: &RideProfile,
    level: &LevelPlan,
    units: LengthStyle,
) -> Option<String> {
    let snugged = level
        .acts
        .iter()
        .rposition(|act| act.kind == ActKind::Snug)?;
    let foretold = level.acts.get(snugged)?.after.as_ref()?;
    let most = |loads: &[f64]| {
        let jacks = loads.iter().take(profile.jacks.len());
        jacks.copied().fold(0.0, f64::max)
    };
    let most_now = most(loads.after_act(level, false, snugged));
    (most_now > MUCH_MORE * most(&foretold.loads)).then(|| {
        format!(
            "The ground gives under the outriggers as they take the weight, so that the turns of the \
             plan may leave {} on a snugged jack: wind each on until it hangs free, and snug it from \
             there.",
            force_up(most_now, units)
        )
    })
}

/// A factor, rounded down to a hundredth.
pub fn factor_down(factor: f64) -> f64 {
    (factor * 100.0 + 1e-6).floor() / 100.0
}

fn case(loads: &RideLoads, case: usize) -> String {
    loads
        .cases
        .get(case)
        .map(LoadCase::in_words)
        .unwrap_or_default()
}

impl RideLoads {
    /// A factor of these: `2.31 (1.5 is asked for), over FL and FR; worst every seat full, …`.
    pub fn factor_in_words(&self, factor: &Factor) -> String {
        let over = match factor.over.as_slice() {
            [] => String::new(),
            over => format!(", over {}", over.join(" and ")),
        };
        format!(
            "{} ({} is asked for){over}; worst {}",
            factor_down(factor.value),
            factor.required,
            case(self, factor.case)
        )
    }

    /// Which foot runs light: for each stage that has one, the stage, the foot and what it carries.
    pub fn light_in_words(&self, units: LengthStyle) -> Vec<[String; 3]> {
        let stages = self.stages.iter();
        let each = stages.filter_map(|stage| {
            let id = stage.light.as_ref()?;
            let own = stage.loads.iter().find(|it| it.id == *id)?;
            let carries = force_down(own.load, units);
            Some([stage.kind.in_words().to_owned(), id.clone(), carries])
        });
        each.collect()
    }
}

impl FootLoads {
    /// The most that it carries, at work and while the ride is built up and torn down, newtons.
    pub fn most(&self) -> f64 {
        self.in_acts
            .map_or(0.0, |it| it.greatest)
            .max(self.greatest)
    }

    /// Where it carries more while the ride is built up and torn down than at work, how much.
    pub fn in_acts_in_words(&self, units: LengthStyle) -> Option<String> {
        let own = self.in_acts.filter(|it| it.greatest > self.greatest)?;
        Some(format!(
            "while it is built up and torn down up to {}, in {}",
            force_up(own.greatest, units),
            own.step_in_words()
        ))
    }
}

impl InActs {
    /// `step 5 of the crank order`.
    fn step_in_words(&self) -> String {
        let order = if self.tear_down {
            "the tear-down"
        } else {
            "the crank order"
        };
        format!("step {} of {order}", self.act + 1)
    }
}

/// How much more or less something carries: `+1.25 kN`, `−280 lb`.
pub fn change_in_words(change: f64, units: LengthStyle) -> String {
    let size = if units.is_metric() {
        format!("{:.2} kN", change.abs() / 1e3)
    } else {
        format!("{:.0} lb", change.abs() / super::POUND)
    };
    format!("{}{size}", if change < 0.0 { "−" } else { "+" })
}

/// Where it goes over while it is built up and torn down; a line for stages at which it does alike.
pub(super) fn goes_over(loads: &RideLoads, units: LengthStyle) -> impl Iterator<Item = String> {
    let mut alike: Vec<&GoesOver> = Vec::new();
    for one in &loads.goes_over {
        if !alike.iter().any(|it| it.over == one.over) {
            alike.push(one);
        }
    }
    alike.into_iter().map(move |it| {
        format!(
            "{}: it goes over {}, its weight{} acts {} outside the line through them. Do not build it \
             up so: move weight, or hold it as the maker says.",
            it.kind.in_words(),
            it.over.join(" and "),
            it.leaning.map_or_else(String::new, |times| format!(
                " (leaning {times} times as far as is foretold on the way there)"
            )),
            units.format_up(it.outside),
        )
    })
}

fn factors(loads: &RideLoads, units: LengthStyle) -> impl Iterator<Item = String> {
    let failing = |factor: &Option<Factor>| {
        factor
            .clone()
            .filter(|factor| factor.verdict == Verdict::Fail)
    };
    let overturns = failing(&loads.overturning).map(|factor| {
        if factor.outside > 0.0 {
            return format!(
                "It goes over {}: its weight comes to act {} outside the line through them ({}). \
                 Spread the feet, ballast or anchor it as the maker says, or do not work it so.",
                factor.over.join(" and "),
                units.format_up(factor.outside),
                case(loads, factor.case),
            );
        }
        format!(
            "It could tip over {}: what holds down is {} times what tips, {} is asked for ({}). \
             Spread the feet, ballast or anchor it as the maker says, or do not work it so.",
            factor.over.join(" and "),
            factor_down(factor.value),
            factor.required,
            case(loads, factor.case),
        )
    });
    let slides = failing(&loads.sliding).map(|factor| {
        format!(
            "It could slide: friction is {} times what pushes, {} is asked for ({}). Anchor it as \
             the maker says, or put the feet on something rougher.",
            factor_down(factor.value),
            factor.required,
            case(loads, factor.case),
        )
    });
    overturns.into_iter().chain(slides)
}

fn feet(loads: &RideLoads, units: LengthStyle) -> impl Iterator<Item = String> {
    loads.feet.iter().flat_map(move |foot| {
        let name = named(foot);
        let lifts = foot.lifts.then(|| {
            if foot.usual <= 0.0 {
                return format!(
                    "{name} carries nothing, with every seat full: pack thin pieces under it until \
                     it bears."
                );
            }
            format!(
                "{name} lifts off ({}): load riders evenly, or ballast it as the maker says.",
                case(loads, foot.least_case)
            )
        });
        let crushing = foot
            .ground
            .crushing
            .filter(|it| *it > foot.ground.timber_bears);
        let crushing = crushing.map(|crushing| {
            format!(
                "{name} crushes its blocks: {} on the timber, {} is what it takes. Put a wider \
                 plate under the foot.",
                crushing_up(crushing, units),
                crushing_down(foot.ground.timber_bears, units)
            )
        });
        lifts.into_iter().chain(crushing)
    })
}

/// The feet that carry more than they may, in one line: all of one kind may carry as much.
fn over_capacity(loads: &RideLoads, units: LengthStyle) -> Option<String> {
    let over = || {
        let feet = loads.feet.iter();
        feet.filter_map(|foot| Some((foot, foot.capacity.filter(|most| foot.most() > *most)?)))
    };
    let (first, capacity) = over().next()?;
    let names: Vec<&str> = over().map(|(foot, _)| foot.id.as_str()).collect();
    let greatest = over().map(|(foot, _)| foot.most()).fold(0.0, f64::max);
    let (kind, carry) = match (first.kind, names.len()) {
        (SupportKind::Outrigger, 1) => ("Outrigger", "carries"),
        (SupportKind::Outrigger, _) => ("Outriggers", "carry"),
        (_, 1) => ("Jack", "carries"),
        (..) => ("Jacks", "carry"),
    };
    // At work they may bear it.
    let only_in_acts = over().all(|(foot, capacity)| foot.greatest <= capacity);
    let hardest = over().max_by(|a, b| a.0.most().total_cmp(&b.0.most()));
    let in_acts = hardest.and_then(|(foot, _)| foot.in_acts.filter(|_| only_in_acts));
    let (when, instead) = in_acts.map_or_else(
        || (String::new(), ""),
        |it| {
            (
                format!(" in {}", it.step_in_words()),
                "go on in smaller steps there, or ",
            )
        },
    );
    Some(format!(
        "{kind} {} {carry} up to {}{when}, and may carry {}: {instead}ask the ride maker.",
        names.join(", "),
        force_up(greatest, units),
        force_down(capacity, units)
    ))
}

/// What to do about the ground: a line for all feet of which the same is to be said.
fn ground(loads: &RideLoads, units: LengthStyle) -> impl Iterator<Item = String> {
    let wanting = |foot: &&FootLoads| {
        let felt = &foot.ground;
        felt.bears.is_none_or(|bears| felt.pressure > bears)
    };
    let mut alike: Vec<Vec<&FootLoads>> = Vec::new();
    for foot in loads.feet.iter().filter(wanting) {
        let same = |others: &&mut Vec<&FootLoads>| {
            let other = others.first().map(|other| &other.ground);
            other.is_some_and(|it| {
                (it.bears, &it.source) == (foot.ground.bears, &foot.ground.source)
            })
        };
        match alike.iter_mut().find(same) {
            Some(others) => others.push(foot),
            None => alike.push(vec![foot]),
        }
    }
    alike.into_iter().filter_map(move |feet| {
        let names: Vec<&str> = feet.iter().map(|foot| foot.id.as_str()).collect();
        let names = names.join(", ");
        let hardest = feet
            .iter()
            .max_by(|a, b| a.ground.pressure.total_cmp(&b.ground.pressure))?;
        let felt = &hardest.ground;
        let pressure = pressure_up(felt.pressure, units);
        let Some(bears) = felt.bears else {
            return Some(format!(
                "Under {names} the ground feels up to {pressure}. {}.",
                felt.source
            ));
        };
        let needed = area_up(felt.area_needed.unwrap_or(0.0), units);
        let pads = pads(&feet);
        Some(format!(
            "Under {names} the ground feels up to {pressure} and bears {}: at least {needed} must \
             carry under each. {pads}",
            pressure_down(bears, units),
        ))
    })
}

/// Which pads go under which feet, and which feet go without.
fn pads(feet: &[&FootLoads]) -> String {
    let mut kinds: Vec<&str> = Vec::new();
    for pad in feet.iter().filter_map(|foot| foot.ground.pad.as_deref()) {
        if !kinds.contains(&pad) {
            kinds.push(pad);
        }
    }
    let under = |pad: Option<&str>| -> Vec<&str> {
        let alike = feet.iter().filter(|foot| foot.ground.pad.as_deref() == pad);
        alike.map(|foot| foot.id.as_str()).collect()
    };
    let laid = kinds.iter().map(|pad| {
        let feet = under(Some(pad)).join(", ");
        format!("Lay {pad} under the stack of {feet}, and plan the level with it.")
    });
    let without = under(None);
    let without = (!without.is_empty()).then(|| {
        format!(
            "Nothing left on the truck is wide enough for {}: bring wider pads, or move the ride.",
            without.join(", ")
        )
    });
    laid.chain(without).collect::<Vec<_>>().join(" ")
}

fn jacks(loads: &RideLoads, level: &LevelPlan, units: LengthStyle) -> impl Iterator<Item = String> {
    let over = loads.jacks.iter().filter_map(move |jack| {
        let most = jack.capacity.filter(|most| jack.greatest > *most)?;
        let (acts, order) = if jack.tear_down {
            (&level.tear_down, "the tear-down")
        } else {
            (&level.acts, "the crank order")
        };
        let turned = acts.get(jack.act).map(|act| act.support.as_str());
        let spared = if loads.acts.is_empty() {
            "no acts were found that spare it"
        } else {
            "so it may come where the ground is firm under some feet and soft under others"
        };
        Some(format!(
            "Jack {} carries up to {} in step {} of {order} (at {}), and may carry {}: {spared}. \
             Take weight off first, or ask the ride maker.",
            jack.id,
            force_up(jack.greatest, units),
            jack.act + 1,
            turned.unwrap_or_default(),
            force_down(most, units)
        ))
    });
    over.chain(jacks_at_work(loads, units))
        .chain(under_jacks(loads, units))
}

/// The jacks that carry too much at work, in one line.
fn jacks_at_work(loads: &RideLoads, units: LengthStyle) -> Option<String> {
    let over = || {
        let jacks = loads.jacks.iter();
        jacks.filter_map(|jack| {
            let (at_work, most) = jack.greatest_at_work.zip(jack.capacity)?;
            (at_work > most).then_some((jack.id.as_str(), at_work, most))
        })
    };
    let (_, _, most) = over().next()?;
    let names: Vec<&str> = over().map(|it| it.0).collect();
    let (jack, carry) = if names.len() == 1 {
        ("Jack", "carries")
    } else {
        ("Jacks", "carry")
    };
    Some(format!(
        "{jack} {} {carry} up to {} at work beside the outriggers, and may carry {}: snug less.",
        names.join(", "),
        force_up(over().map(|it| it.1).fold(0.0, f64::max), units),
        force_down(most, units)
    ))
}

/// The jacks on ground that does not bear, in one line; those of a ride that works on them are
/// told with its feet.
fn under_jacks(loads: &RideLoads, units: LengthStyle) -> Option<String> {
    let feet = loads.feet.iter();
    if feet.clone().any(|foot| foot.kind == SupportKind::Jack) {
        return None;
    }
    let sinks = || {
        let jacks = loads.jacks.iter();
        jacks.filter_map(|jack| {
            let felt = &jack.ground;
            let bears = felt.bears.filter(|bears| felt.pressure > *bears)?;
            Some((jack.id.as_str(), felt, bears))
        })
    };
    let least = sinks().map(|it| it.2).reduce(f64::min)?;
    let names: Vec<&str> = sinks().map(|it| it.0).collect();
    let pressure = sinks().map(|it| it.1.pressure).fold(0.0, f64::max);
    let needed = sinks().map(|it| it.1.area_needed.unwrap_or(0.0));
    let (jack, each) = if names.len() == 1 {
        ("jack", "it")
    } else {
        ("jacks", "each")
    };
    Some(format!(
        "Under {jack} {} the ground feels up to {} and bears {}: put at least {} under {each}.",
        names.join(", "),
        pressure_up(pressure, units),
        pressure_down(least, units),
        area_up(needed.fold(0.0, f64::max), units)
    ))
}

fn settling(loads: &RideLoads) -> impl Iterator<Item = String> {
    let failing = loads.settling.iter();
    failing
        .filter(|settling| settling.verdict == Verdict::Fail)
        .map(|settling| {
            let up = |degrees: f64| (degrees * 100.0 - 1e-6).ceil() / 100.0;
            format!(
                "It may sink out of level: {:.2}° along, {:.2}° across. Put wider pads under it, \
                 and read the level often.",
                up(settling.along_deg),
                up(settling.across_deg)
            )
        })
}

fn named(foot: &FootLoads) -> String {
    match foot.kind {
        SupportKind::Outrigger => format!("Outrigger {}", foot.id),
        SupportKind::Jack | SupportKind::Wheel => format!("Jack {}", foot.id),
    }
}

fn empty_in_row(loads: &RideLoads, profile: &RideProfile) -> Option<String> {
    let found = loads.empty_in_row.as_ref()?;
    let stated = |most: u32| {
        found
            .stated
            .filter(|stated| *stated < most)
            .map_or_else(String::new, |stated| {
                format!(" The maker allows {stated}: that holds.")
            })
    };
    let unknown = loads.feet.iter().any(|foot| foot.ground.bears.is_none());
    let unknown = if unknown && found.most.is_some() {
        " What the ground bears is not known, and not counted in that."
    } else {
        ""
    };
    let words = match found.most {
        Some(most) if most >= found.of => {
            format!(
                "Any number of the {} cars in a row may be empty.{}",
                found.of,
                stated(most)
            )
        }
        Some(0) => "No car may be empty while the others are full.".to_owned(),
        Some(most) => format!(
            "At most {most} of the {} cars in a row may be empty.{}",
            found.of,
            stated(most)
        ),
        None => format!(
            "Even with every seat full not everything holds: do not load the {} before what is \
             listed is put right.",
            profile.name
        ),
    };
    Some(words + unknown)
}
