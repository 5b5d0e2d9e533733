//! What makes sense in a site file, and what does not.
//!
//! Every check runs, whatever the ones before it found, so that all faults are told at once.
//! A check that needs two values runs only when both make sense by themselves: one mistake
//! gives one fault.
//!
//! The file's own checks ([`file()`]) are made once. Where the rides stand is looked at again
//! whenever one is moved ([`places()`]).

mod features;
mod field_books;
mod groundwork;
mod level_rounds;
pub mod limits;
mod loading;
mod outline;
mod places;
mod profile;
mod report;
mod survey;

pub(super) use places::{full_speed, placement, places, raised};
pub(super) use report::quoted;
pub use report::{Fault, Faults, Severity};
pub(super) use survey::surface;

use crate::clearance::{self, Measure};
use crate::ride;
use crate::site::{Block, ClearanceValue, PlacedRide, SITE_FORMAT, SITE_VERSION, SiteFile};
use crate::survey::Reduction;
use report::{At, Ids, Quantity, Report};

const ROOT: At<'static> = At::Root;

const THICKNESS: Quantity = Quantity::from_to(
    "a thickness in metres",
    limits::BLOCK_THINNEST,
    limits::BLOCK_THICKEST,
);
const BLOCK_SIDE: Quantity = Quantity::above_zero("a length in metres", limits::BLOCK_LENGTH);
const SLOPE: Quantity = Quantity::from_to("a slope, metres of rise in a metre", 0.0, 1.0);
const REQUIRED: Quantity = Quantity::from_to("a distance in metres", 0.0, limits::CLEARANCE);

/// What the checks of a file leave.
#[derive(Debug)]
pub(super) struct Checked {
    pub(super) warnings: Vec<Fault>,
    /// The field books reduced, in the order of the file.
    pub(super) reductions: Vec<Reduction>,
}

/// Checks all but where the rides stand on the ground; gives the warnings.
///
/// # Errors
///
/// Errors and warnings, when there is at least one error.
pub(super) fn file(file: &SiteFile) -> Result<Checked, Faults> {
    foreign(&file.format, file.version)?;
    let mut report = Report::default();
    report.text(&ROOT.key("name"), &file.name);
    let lot = lot(&mut report, file);
    survey::check(&mut report, &file.spot_levels, &file.breaklines);
    if file.spot_levels.is_empty() && file.field_books.is_empty() && file.breaklines.is_empty() {
        report.warn(
            &ROOT.key("spot_levels"),
            "empty",
            "spot levels or a field book; until then the ground is not known, and what hangs on it \
             neither",
        );
    }
    let reductions = field_books::check(&mut report, file);
    features::check(&mut report, &file.features, lot);
    features::supplies(&mut report, file);
    features::bonds(&mut report, file);
    profiles(&mut report, file);
    rides(&mut report, file);
    blocks(&mut report, &file.blocks);
    clearance_values(&mut report, &file.clearance_values);
    loading::values(&mut report, &file.load_values);
    level_rounds::check(&mut report, &file.level_rounds);
    groundwork::check(&mut report, &file.groundwork);
    let warnings = report.finish()?;
    Ok(Checked {
        warnings,
        reductions,
    })
}

/// Refuses a document of another format or of another version: nothing in it need mean what it
/// means here, so no other check makes sense.
///
/// # Errors
///
/// The one fault.
pub(super) fn foreign(format: &str, version: u32) -> Result<(), Faults> {
    let mut report = Report::default();
    if format != SITE_FORMAT {
        let expected = format_args!("\"{SITE_FORMAT}\": this is not a site file");
        report.error(&ROOT.key("format"), quoted(format), expected);
    } else if version > SITE_VERSION {
        let expected = format_args!("{SITE_VERSION}: a newer version of the program wrote this");
        report.error(&ROOT.key("version"), version, expected);
    } else if version != SITE_VERSION {
        report.error(&ROOT.key("version"), version, SITE_VERSION);
    }
    report.finish().map(|_| ())
}

/// Checks the lot line, and gives the box around it when it is sound.
fn lot(report: &mut Report, file: &SiteFile) -> Option<outline::Extent> {
    let lot = ROOT.key("lot");
    let at = lot.key("boundary");
    if !outline::closed(report, &at, &file.lot.boundary, &outline::IN_LOT) {
        return None;
    }
    let extent = outline::Extent::of(&file.lot.boundary)?;
    if extent.across() > limits::ACROSS {
        report.error(
            &at,
            format!("a line {:.0} m across", extent.across()),
            format!("a lot at most {} m across", limits::ACROSS),
        );
    }
    Some(extent)
}

fn profiles(report: &mut Report, file: &SiteFile) {
    let at = ROOT.key("profiles");
    if !report.list(&at, file.profiles.len(), 0, limits::PROFILES, "profiles") {
        return;
    }
    let mut ids = Ids::new("profile");
    for (index, profile) in file.profiles.iter().enumerate() {
        let at = at.item(index);
        ids.check(report, &at.key("id"), &profile.id);
        if ride::builtin().iter().any(|other| other.id == profile.id) {
            report.error(
                &at.key("id"),
                quoted(&profile.id),
                "an id that no built-in profile has",
            );
        }
        profile::check(report, &at, profile);
    }
}

fn rides(report: &mut Report, file: &SiteFile) {
    let at = ROOT.key("rides");
    if !report.list(&at, file.rides.len(), 1, limits::RIDES, "rides") {
        return;
    }
    let mut ids = Ids::new("ride");
    for (index, ride) in file.rides.iter().enumerate() {
        let at = at.item(index);
        ids.check(report, &at.key("id"), &ride.id);
        report.optional_text(&at.key("name"), &ride.name);
        known_profile(report, &at.key("profile"), file, ride);
        places::numbers(report, &at.key("placement"), ride.placement);
        profile::fence_gaps(report, &at.key("fence_gaps"), ride.fence_gaps);
    }
}

fn known_profile(report: &mut Report, at: &At<'_>, file: &SiteFile, ride: &PlacedRide) {
    if super::find_profile(file, &ride.profile).is_none() {
        let known = file.profiles.iter().chain(ride::builtin());
        let known = report::listed(known.map(|profile| profile.id.as_str()));
        report.error(
            at,
            quoted(&ride.profile),
            format!("the id of a profile in this file or of a built-in one: {known}"),
        );
    }
}

fn blocks(report: &mut Report, blocks: &[Block]) {
    let at = ROOT.key("blocks");
    if !report.list(&at, blocks.len(), 0, limits::BLOCKS, "kinds of blocks") {
        return;
    }
    let mut ids = Ids::new("block");
    for (index, block) in blocks.iter().enumerate() {
        let at = at.item(index);
        ids.check(report, &at.key("id"), &block.id);
        report.number(&at.key("thickness"), block.thickness, &THICKNESS);
        report.number(&at.key("length"), block.length, &BLOCK_SIDE);
        report.number(&at.key("width"), block.width, &BLOCK_SIDE);
        report.count(&at.key("count"), block.count, limits::BLOCK_COUNT, "blocks");
    }
}

fn clearance_values(report: &mut Report, values: &[ClearanceValue]) {
    let at = ROOT.key("clearance_values");
    let most = limits::CLEARANCE_VALUES;
    if !report.list(&at, values.len(), 0, most, "clearance values") {
        return;
    }
    let mut rules = Ids::new("clearance value");
    for (index, value) in values.iter().enumerate() {
        let at = at.item(index);
        rules.check(report, &at.key("rule"), &value.rule);
        known_rule(report, &at.key("rule"), &value.rule);
        let slope = clearance::rulebook()
            .iter()
            .any(|rule| rule.id == value.rule && rule.measure == Measure::Slope);
        let quantity = if slope { &SLOPE } else { &REQUIRED };
        report.number(&at.key("value"), value.value, quantity);
        report.text(&at.key("reason"), &value.reason);
    }
}

fn known_rule(report: &mut Report, at: &At<'_>, rule: &str) {
    let rulebook = clearance::rulebook();
    if rulebook.iter().all(|known| known.id != rule) {
        let known = report::listed(rulebook.iter().map(|rule| rule.id));
        let expected = format_args!("the id of a rule of the rulebook: {known}");
        report.error(at, quoted(rule), expected);
    }
}
