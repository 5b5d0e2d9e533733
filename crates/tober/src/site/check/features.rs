//! What stands on, over and under the lot.

use super::outline::{self, Extent, IN_LOT};
use super::report::{At, Ids, Number, Quantity, Report, listed, quoted};
use super::{ROOT, limits, loading};
use crate::Point;
use crate::ride::Stake;
use crate::site::{Building, Features, OverheadLine, Rope, SiteFile, Tree};

const WIDTH: Quantity = Quantity::above_zero("a width in metres", limits::WIDTH);
const RADIUS: Quantity = Quantity::above_zero("a radius in metres", limits::WIDTH);
const CORD: Quantity = Quantity::above_zero("a length in metres", limits::CLEARANCE);
const HEIGHT: Quantity = Quantity::above_zero("a height in metres", limits::HEIGHT);
const UNDERSIDE: Quantity = Quantity::from_to("a height in metres", 0.0, limits::HEIGHT);
const SAG: Quantity = Quantity::from_to("a sag in metres", 0.0, limits::HEIGHT);
pub(super) const DEPTH: Quantity = Quantity::from_to("a depth in metres", 0.0, limits::DEPTH);
const VOLTS: Quantity = Quantity::above_zero("a voltage in volts", limits::VOLTS);

/// A feature that keeps farther from the lot than this, metres, is likely misplaced.
const FAR_OFF: f64 = 200.0;

/// Checks the features; `lot` is the box around the lot, when the lot is sound.
pub(super) fn check(report: &mut Report, features: &Features, lot: Option<Extent>) {
    if !few_enough(report, features) {
        return;
    }
    let mut checks = Checks {
        report,
        ids: Ids::new("feature"),
        lot,
    };
    let root = ROOT.key("features");
    let at = root.key("walkways");
    for (index, way) in features.walkways.iter().enumerate() {
        checks.way(&at.item(index), (&way.id, &way.name), &way.path, way.width);
    }
    let at = root.key("fire_lanes");
    for (index, lane) in features.fire_lanes.iter().enumerate() {
        checks.way(
            &at.item(index),
            (&lane.id, &lane.name),
            &lane.path,
            lane.width,
        );
    }
    let at = root.key("buildings");
    for (index, building) in features.buildings.iter().enumerate() {
        checks.building(&at.item(index), building);
    }
    let at = root.key("trees");
    for (index, tree) in features.trees.iter().enumerate() {
        checks.tree(&at.item(index), tree);
    }
    let at = root.key("overhead_lines");
    for (index, line) in features.overhead_lines.iter().enumerate() {
        checks.overhead_line(&at.item(index), line);
    }
    let at = root.key("buried_services");
    for (index, service) in features.buried_services.iter().enumerate() {
        let at = at.item(index);
        checks.names(&at, &service.id, &service.name);
        checks.path(&at, &service.path);
        if let Some(depth) = service.depth {
            checks.report.number(&at.key("depth"), depth, &DEPTH);
        }
    }
    let at = root.key("covers");
    for (index, cover) in features.covers.iter().enumerate() {
        let at = at.item(index);
        checks.round(&at, (&cover.id, &cover.name), cover.at, cover.radius);
    }
    let at = root.key("fuel_stores");
    for (index, fuel) in features.fuel_stores.iter().enumerate() {
        let at = at.item(index);
        checks.round(&at, (&fuel.id, &fuel.name), fuel.at, fuel.radius);
    }
    let at = root.key("power_sources");
    for (index, source) in features.power_sources.iter().enumerate() {
        let at = at.item(index);
        checks.round(&at, (&source.id, &source.name), source.at, source.radius);
        if let Some(cord) = source.cord {
            checks.report.number(&at.key("cord"), cord, &CORD);
        }
    }
    let at = root.key("extinguishers");
    for (index, it) in features.extinguishers.iter().enumerate() {
        let at = at.item(index);
        checks.names(&at, &it.id, &it.name);
        checks.place(&at, it.at);
    }
    let at = root.key("disconnects");
    for (index, it) in features.disconnects.iter().enumerate() {
        let at = at.item(index);
        checks.names(&at, &it.id, &it.name);
        checks.place(&at, it.at);
    }
    let at = root.key("ropes");
    for (index, rope) in features.ropes.iter().enumerate() {
        let at = at.item(index);
        checks.names(&at, &rope.id, &rope.name);
        checks.rope(&at, rope);
    }
    let at = root.key("gates");
    for (index, gate) in features.gates.iter().enumerate() {
        let at = at.item(index);
        checks.names(&at, &gate.id, &gate.name);
        checks.gate(&at, gate.from, gate.to);
    }
    let at = root.key("ground_zones");
    for (index, zone) in features.ground_zones.iter().enumerate() {
        let at = at.item(index);
        checks.names(&at, &zone.id, &zone.name);
        checks.outline(&at, &zone.outline);
        loading::zone(checks.report, &at, zone);
    }
}

/// Checks that the rides which something supplies are there.
pub(super) fn supplies(report: &mut Report, file: &SiteFile) {
    // A lot without rides has another fault.
    if file.rides.is_empty() {
        return;
    }
    let features = &file.features;
    let lines = features.overhead_lines.iter().map(|it| &it.supplies);
    let disconnects = features.disconnects.iter().map(|it| &it.supplies);
    let sources = features.power_sources.iter().map(|it| &it.supplies);
    each_supplied(report, file, "overhead_lines", lines);
    each_supplied(report, file, "power_sources", sources);
    each_supplied(report, file, "disconnects", disconnects);
}

/// Checks that rides which are bonded together are there.
pub(super) fn bonds(report: &mut Report, file: &SiteFile) {
    let list = ROOT.key("bonds");
    let most = limits::BONDS;
    if file.rides.is_empty() || !report.list(&list, file.bonds.len(), 0, most, "bonds") {
        return;
    }
    for (index, bond) in file.bonds.iter().enumerate() {
        let item = list.item(index);
        let at = item.key("rides");
        if report.list(&at, bond.rides.len(), 2, limits::RIDES, "rides") {
            known_rides(report, file, &at, &bond.rides);
        }
        report.text(&item.key("reason"), &bond.reason);
    }
}

fn known_rides(report: &mut Report, file: &SiteFile, list: &At<'_>, ids: &[String]) {
    for (index, id) in ids.iter().enumerate() {
        if !file.rides.iter().any(|ride| ride.id == *id) {
            let known = listed(file.rides.iter().map(|ride| ride.id.as_str()));
            report.error(
                &list.item(index),
                quoted(id),
                format_args!("the id of a ride of this site: {known}"),
            );
        }
    }
}

fn each_supplied<'f>(
    report: &mut Report,
    file: &SiteFile,
    list: &'static str,
    supplies: impl Iterator<Item = &'f Vec<String>>,
) {
    let root = ROOT.key("features");
    let list = root.key(list);
    for (index, ids) in supplies.enumerate() {
        let item = list.item(index);
        let at = item.key("supplies");
        if report.list(&at, ids.len(), 0, limits::RIDES, "rides") {
            known_rides(report, file, &at, ids);
        }
    }
}

/// Whether the features are few enough for every check of them to be quick.
fn few_enough(report: &mut Report, features: &Features) -> bool {
    let at = ROOT.key("features");
    let count = features.ids().count();
    let Features {
        walkways,
        fire_lanes,
        buildings,
        overhead_lines,
        buried_services,
        ground_zones,
        ..
    } = features;
    let points = walkways.iter().map(|way| way.path.len()).sum::<usize>()
        + fire_lanes.iter().map(|lane| lane.path.len()).sum::<usize>()
        + buildings
            .iter()
            .map(|building| building.outline.len() + building.stakes.len())
            .sum::<usize>()
        + overhead_lines
            .iter()
            .map(|line| line.points.len())
            .sum::<usize>()
        + buried_services
            .iter()
            .map(|service| service.path.len())
            .sum::<usize>()
        + ground_zones
            .iter()
            .map(|zone| zone.outline.len())
            .sum::<usize>();
    let few = report.list(&at, count, 0, limits::FEATURES, "features of all kinds");
    let short = points <= limits::FEATURE_POINTS;
    if few && !short {
        let most = limits::FEATURE_POINTS;
        let value = format_args!("{points} points on paths and outlines");
        report.error(
            &at,
            value,
            format_args!("at most {most} points of features"),
        );
    }
    few && short
}

/// Checks stakes, each at a place of the given quantity.
pub(super) fn stakes(report: &mut Report, list: &At<'_>, stakes: &[Stake], place: &Quantity) {
    if !report.list(list, stakes.len(), 0, limits::STAKES, "stakes") {
        return;
    }
    for (index, stake) in stakes.iter().enumerate() {
        let at = list.item(index);
        outline::place(report, &at.key("at"), stake.at, place);
        if let Some(depth) = stake.depth {
            report.number(&at.key("depth"), depth, &DEPTH);
        }
    }
}

/// What the checks of all features share.
struct Checks<'r, 'f> {
    report: &'r mut Report,
    ids: Ids<'f>,
    lot: Option<Extent>,
}

impl<'f> Checks<'_, 'f> {
    fn names(&mut self, at: &At<'_>, id: &'f str, name: &str) {
        self.ids.check(self.report, &at.key("id"), id);
        self.report.optional_text(&at.key("name"), name);
    }

    fn way(&mut self, at: &At<'_>, (id, name): (&'f str, &str), path: &[Point], width: f64) {
        self.names(at, id, name);
        self.path(at, path);
        self.report.number(&at.key("width"), width, &WIDTH);
    }

    fn round(&mut self, at: &At<'_>, (id, name): (&'f str, &str), place: Point, radius: f64) {
        self.names(at, id, name);
        self.report.number(&at.key("radius"), radius, &RADIUS);
        self.place(at, place);
    }

    fn building(&mut self, at: &At<'_>, building: &'f Building) {
        self.names(at, &building.id, &building.name);
        self.outline(at, &building.outline);
        let sound = self
            .report
            .number(&at.key("height"), building.height, &HEIGHT);
        if let Some(underside) = building.underside
            && self
                .report
                .number(&at.key("underside"), underside, &UNDERSIDE)
            && sound
            && underside > building.height
        {
            self.report.error(
                &at.key("underside"),
                Number(underside),
                format_args!("no more than height ({})", building.height),
            );
        }
        stakes(self.report, &at.key("stakes"), &building.stakes, &IN_LOT);
    }

    fn path(&mut self, at: &At<'_>, path: &[Point]) {
        if outline::path(self.report, &at.key("path"), path) {
            self.near(at, path);
        }
    }

    fn outline(&mut self, at: &At<'_>, corners: &[Point]) {
        if outline::closed(self.report, &at.key("outline"), corners, &IN_LOT) {
            self.near(at, corners);
        }
    }

    fn place(&mut self, at: &At<'_>, place: Point) {
        if outline::place(self.report, &at.key("at"), place, &IN_LOT) {
            self.near(at, &[place]);
        }
    }

    fn rope(&mut self, at: &At<'_>, rope: &Rope) {
        for (key, end) in [("from", &rope.from), ("to", &rope.to)] {
            let at = at.key(key);
            self.place(&at, end.at);
            self.report
                .number(&at.key("height"), end.height, &UNDERSIDE);
        }
        if rope.from.at == rope.to.at {
            let expected = "the other end, somewhere else";
            let at = at.key("to");
            self.report
                .error(&at.key("at"), "the same place as from", expected);
        }
        if let Some(sag) = rope.sag {
            self.report.number(&at.key("sag"), sag, &SAG);
        }
    }

    fn gate(&mut self, at: &At<'_>, from: Point, to: Point) {
        let from_sound = outline::place(self.report, &at.key("from"), from, &IN_LOT);
        let to_sound = outline::place(self.report, &at.key("to"), to, &IN_LOT);
        if !(from_sound && to_sound) {
            return;
        }
        self.near(at, &[from, to]);
        if from == to {
            let expected = "the other gatepost";
            self.report
                .error(&at.key("to"), "the same place as from", expected);
        }
    }

    fn tree(&mut self, at: &At<'_>, tree: &'f Tree) {
        self.names(at, &tree.id, &tree.name);
        self.place(at, tree.at);
        let report = &mut *self.report;
        let trunk = report.number(&at.key("trunk_radius"), tree.trunk_radius, &RADIUS);
        let canopy = report.number(&at.key("canopy_radius"), tree.canopy_radius, &RADIUS);
        if trunk && canopy && tree.trunk_radius > tree.canopy_radius {
            report.error(
                &at.key("trunk_radius"),
                Number(tree.trunk_radius),
                format_args!("no more than canopy_radius ({})", tree.canopy_radius),
            );
        }
        let underside = tree.canopy_underside;
        let underside_sound = report.number(&at.key("canopy_underside"), underside, &UNDERSIDE);
        let top_sound = report.number(&at.key("canopy_top"), tree.canopy_top, &HEIGHT);
        if underside_sound && top_sound && underside > tree.canopy_top {
            report.error(
                &at.key("canopy_underside"),
                Number(underside),
                format_args!("no more than canopy_top ({})", tree.canopy_top),
            );
        }
    }

    fn overhead_line(&mut self, at: &At<'_>, line: &'f OverheadLine) {
        self.names(at, &line.id, &line.name);
        let places: Vec<Point> = line
            .points
            .iter()
            .map(|point| Point::new(point.x, point.y))
            .collect();
        if self
            .report
            .list(&at.key("points"), places.len(), 2, limits::POINTS, "points")
        {
            self.wires(at, line, &places);
        }
        let report = &mut *self.report;
        match (line.sag, line.lowest) {
            (Some(sag), None) => {
                report.number(&at.key("sag"), sag, &SAG);
            }
            (None, Some(lowest)) => {
                report.number(&at.key("lowest"), lowest, &HEIGHT);
            }
            (Some(_), Some(_)) => report.error(
                &at.key("lowest"),
                "given beside sag",
                "one of the two: the sag, or the height at the lowest place",
            ),
            (None, None) => report.warn(
                &at.key("sag"),
                "not given",
                "the sag in metres; a wire is taken to hang at any height below its points",
            ),
        }
        match line.volts {
            Some(volts) => {
                report.number(&at.key("volts"), volts, &VOLTS);
            }
            None => report.warn(
                &at.key("volts"),
                "not given",
                "the voltage in volts; the strictest rule is taken to hold",
            ),
        }
    }

    fn wires(&mut self, at: &At<'_>, line: &OverheadLine, places: &[Point]) {
        let points_at = at.key("points");
        let mut sound = true;
        for (index, point) in line.points.iter().enumerate() {
            let at = points_at.item(index);
            sound &= self.report.number(&at.key("x"), point.x, &IN_LOT);
            sound &= self.report.number(&at.key("y"), point.y, &IN_LOT);
            self.report.number(&at.key("height"), point.height, &HEIGHT);
        }
        if sound && outline::steps(self.report, &points_at, places) {
            self.near(at, places);
        }
    }

    /// Warns of a feature far off the lot.
    fn near(&mut self, at: &At<'_>, places: &[Point]) {
        if let (Some(lot), Some(extent)) = (self.lot, Extent::of(places))
            && extent.gap(&lot) > FAR_OFF
        {
            self.report.warn(
                at,
                format_args!("{:.0} m or more off the lot", extent.gap(&lot)),
                format_args!("a feature within {FAR_OFF} m of it"),
            );
        }
    }
}
