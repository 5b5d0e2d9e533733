//! The site file: one JSON document, numbers in metres and SI.
//!
//! The types here are the format: [`SiteFile`] is what `tober schema` publishes. Unknown keys
//! are refused, so that a misspelt key is a located error and not a silently missing value.

use serde::{Deserialize, Serialize};

use super::Groundwork;
use crate::Point;
use crate::ground::Elevation;
use crate::level::LevelRound;
use crate::ride::{FenceGaps, RideProfile, Stake};
use crate::survey::{FieldBook, ImportedPoints};
use crate::units::LengthStyle;

/// What the `format` key of every site file says.
pub const SITE_FORMAT: &str = "tober-site";

/// The version of the format that this library reads and writes.
pub const SITE_VERSION: u32 = 1;

/// A fairground as it is kept in a file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SiteFile {
    /// Always `tober-site`.
    pub format: String,
    /// The version of the format: 1.
    pub version: u32,
    /// What people call the site.
    pub name: String,
    /// How lengths are shown and how a bare number is read. The file itself is in metres.
    #[serde(default)]
    pub units: LengthStyle,
    /// The ground that the fair may use.
    pub lot: Lot,
    /// Surveyed ground heights.
    pub spot_levels: Vec<SpotLevel>,
    /// Where the ground has an edge: the kerb, the ditch, the edge of pavement.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub breaklines: Vec<Breakline>,
    /// Rod readings as the crew wrote them; points of them that have a place join the spot levels.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub field_books: Vec<FieldBook>,
    /// Point files whose points were taken into the spot levels, and how they were read.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub imported_points: Vec<ImportedPoints>,
    /// What stands on, over and under the lot.
    #[serde(default)]
    pub features: Features,
    /// Ride profiles that come with this file, beside the built-in ones.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub profiles: Vec<RideProfile>,
    /// The rides, where they are placed.
    pub rides: Vec<PlacedRide>,
    /// Blocks, packing and shims on the truck.
    #[serde(default)]
    pub blocks: Vec<Block>,
    /// Clearance values that replace the rulebook's.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub clearance_values: Vec<ClearanceValue>,
    /// Rides whose separate supplies are bonded together.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub bonds: Vec<Bond>,
    /// Values of loads and of the ground that replace the rulebook's.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub load_values: Vec<LoadValue>,
    /// What crews read on levels and rods once the rides stood, the oldest round first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub level_rounds: Vec<LevelRound>,
    /// Holes and mounds under supports that the survey does not show.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub groundwork: Vec<Groundwork>,
}

/// The ground that the fair may use.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Lot {
    /// The lot line: corners in order, either way round, not closed by repeating the first.
    #[cfg_attr(feature = "schema", schemars(with = "Vec<[f64; 2]>"))]
    pub boundary: Vec<Point>,
}

/// One surveyed ground height.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SpotLevel {
    /// Where, metres east.
    pub x: f64,
    /// Where, metres north.
    pub y: f64,
    /// Height of the ground above the site's benchmark level, metres.
    pub elevation: Elevation,
    /// Standard error of the height, metres. Left out when nobody has worked it out: then
    /// [`DEFAULT_ERROR`](crate::ground::DEFAULT_ERROR) holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub error: Option<f64>,
}

impl SpotLevel {
    /// A height whose error nobody has worked out.
    pub fn new(x: f64, y: f64, elevation: Elevation) -> SpotLevel {
        SpotLevel {
            x,
            y,
            elevation,
            error: None,
        }
    }
}

/// A line along which the slope of the ground breaks. A step, such as a kerb, is two of them:
/// its top and its foot.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Breakline {
    /// Unique among the breaklines.
    pub id: String,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// What it is.
    #[serde(default)]
    pub kind: BreaklineKind,
    /// Its shots in order, the ground between them straight.
    pub points: Vec<SpotLevel>,
}

/// What a breakline is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum BreaklineKind {
    /// The top or the foot of a kerb.
    Kerb,
    /// The bottom or a shoulder of a ditch.
    Ditch,
    /// The edge of pavement.
    PavementEdge,
    /// The top or the foot of a bank, or anything else.
    #[default]
    Other,
}

/// What stands on, over and under the lot, a list for each kind.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Features {
    /// Ways that people walk.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub walkways: Vec<Walkway>,
    /// Ways kept free for fire appliances.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub fire_lanes: Vec<FireLane>,
    /// Buildings, tents and other solid things.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub buildings: Vec<Building>,
    /// Trees.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub trees: Vec<Tree>,
    /// Overhead lines.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub overhead_lines: Vec<OverheadLine>,
    /// Pipes, cables and drains in the ground.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub buried_services: Vec<BuriedService>,
    /// Covers in the ground: of manholes, drains, valves, vaults.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub covers: Vec<Cover>,
    /// Generators and supply pillars.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub power_sources: Vec<PowerSource>,
    /// Fuel that is kept on the lot.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub fuel_stores: Vec<FuelStore>,
    /// Fire extinguishers, where they hang or stand.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub extinguishers: Vec<Extinguisher>,
    /// Switches that cut a ride off from its power.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub disconnects: Vec<Disconnect>,
    /// Ropes and braces.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub ropes: Vec<Rope>,
    /// Ways into the lot.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub gates: Vec<Gate>,
    /// Areas of one kind of ground.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub ground_zones: Vec<GroundZone>,
}

impl Features {
    /// The ids of all of them.
    pub fn ids(&self) -> impl Iterator<Item = &str> {
        let Features {
            walkways,
            fire_lanes,
            buildings,
            trees,
            overhead_lines,
            buried_services,
            covers,
            power_sources,
            fuel_stores,
            extinguishers,
            disconnects,
            ropes,
            gates,
            ground_zones,
        } = self;
        let ways = walkways.iter().map(|it| &it.id);
        let ids = ways
            .chain(fire_lanes.iter().map(|it| &it.id))
            .chain(buildings.iter().map(|it| &it.id))
            .chain(trees.iter().map(|it| &it.id))
            .chain(overhead_lines.iter().map(|it| &it.id))
            .chain(buried_services.iter().map(|it| &it.id))
            .chain(covers.iter().map(|it| &it.id))
            .chain(power_sources.iter().map(|it| &it.id))
            .chain(fuel_stores.iter().map(|it| &it.id))
            .chain(extinguishers.iter().map(|it| &it.id))
            .chain(disconnects.iter().map(|it| &it.id))
            .chain(ropes.iter().map(|it| &it.id))
            .chain(gates.iter().map(|it| &it.id))
            .chain(ground_zones.iter().map(|it| &it.id));
        ids.map(String::as_str)
    }

    /// Takes a ride out of all that supplies it or cuts it off: what a ride that is removed asks
    /// for.
    pub fn forget_ride(&mut self, ride: &str) {
        let lines = self.overhead_lines.iter_mut().map(|it| &mut it.supplies);
        let disconnects = self.disconnects.iter_mut().map(|it| &mut it.supplies);
        let sources = self.power_sources.iter_mut().map(|it| &mut it.supplies);
        for supplies in lines.chain(disconnects).chain(sources) {
            supplies.retain(|id| id != ride);
        }
    }
}

/// A way that people walk: a band along a path.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Walkway {
    /// Unique among the features.
    pub id: String,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// The middle line.
    #[cfg_attr(feature = "schema", schemars(with = "Vec<[f64; 2]>"))]
    pub path: Vec<Point>,
    /// Full width of the band, metres.
    pub width: f64,
}

/// A way kept free for fire appliances: a band along a path.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct FireLane {
    /// Unique among the features.
    pub id: String,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// The middle line.
    #[cfg_attr(feature = "schema", schemars(with = "Vec<[f64; 2]>"))]
    pub path: Vec<Point>,
    /// Full width of the band, metres.
    pub width: f64,
}

/// A building, a tent, a stage: solid from the ground up, or from its underside where there is
/// room beneath.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Building {
    /// Unique among the features.
    pub id: String,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// Corners in order.
    #[cfg_attr(feature = "schema", schemars(with = "Vec<[f64; 2]>"))]
    pub outline: Vec<Point>,
    /// Height of the top above the highest ground beneath it, metres.
    pub height: f64,
    /// Height of its underside above the highest ground beneath it, metres, where there is room
    /// beneath: an awning, a canopy on posts, a bridge. Left out for what stands on the ground.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub underside: Option<f64>,
    /// Stakes that hold it down, lot frame.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub stakes: Vec<Stake>,
}

/// A tree: a round trunk, and a round canopy with room beneath.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Tree {
    /// Unique among the features.
    pub id: String,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// Middle of the trunk.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub at: Point,
    /// Radius of the trunk, metres.
    pub trunk_radius: f64,
    /// Radius of the canopy, metres.
    pub canopy_radius: f64,
    /// Height of the lowest branches above the ground at the trunk, metres.
    pub canopy_underside: f64,
    /// Height of the top above the ground at the trunk, metres.
    pub canopy_top: f64,
}

/// An overhead line: wires between poles.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct OverheadLine {
    /// Unique among the features.
    pub id: String,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// Poles in order, and any known point between them.
    pub points: Vec<LinePoint>,
    /// How far the lowest wire hangs below the straight line between neighbouring points at the
    /// middle of the span, metres. Left out when nobody knows: then a wire may hang at any height
    /// below its points.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sag: Option<f64>,
    /// Height of the lowest wire at the lowest place of each span above the ground beneath it,
    /// metres: in place of `sag`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lowest: Option<f64>,
    /// Volts between conductors. Left out when nobody knows: then the strictest rule holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub volts: Option<f64>,
    /// Ids of the rides that it supplies with power: the rule for lines of 600 V or less excepts
    /// them. Every other line keeps its distance.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub supplies: Vec<String>,
}

/// A point of an overhead line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct LinePoint {
    /// Where, metres east.
    pub x: f64,
    /// Where, metres north.
    pub y: f64,
    /// Height of the lowest wire above the ground at this point, metres.
    pub height: f64,
}

/// A pipe, a cable or a drain in the ground.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct BuriedService {
    /// Unique among the features.
    pub id: String,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// Where it runs, as marked on the ground.
    #[cfg_attr(feature = "schema", schemars(with = "Vec<[f64; 2]>"))]
    pub path: Vec<Point>,
    /// From the ground down to its top, metres. Left out when nobody knows: then it may lie at any
    /// depth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth: Option<f64>,
}

/// A cover in the ground: of a manhole, a drain, a valve, a vault. Nothing stands on it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Cover {
    /// Unique among the features.
    pub id: String,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// Its middle.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub at: Point,
    /// Radius that covers it with its frame, metres.
    pub radius: f64,
}

/// Fuel that is kept on the lot: a tank, drums, gas cylinders. A generator's own tank counts with
/// the generator.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct FuelStore {
    /// Unique among the features.
    pub id: String,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// Its middle.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub at: Point,
    /// Radius that covers it whole, metres.
    pub radius: f64,
}

/// What a power source is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum PowerKind {
    /// A generator, with an engine and its fuel.
    Generator,
    /// A supply from the mains: a pillar, a pedestal.
    Supply,
}

/// A generator or a supply pillar.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PowerSource {
    /// Unique among the features.
    pub id: String,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// Its middle.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub at: Point,
    /// Radius that covers it whole, metres.
    pub radius: f64,
    /// What it is. Left out when nobody has told: then what is asked of a generator is asked of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kind: Option<PowerKind>,
    /// Length of the cord that comes with it, metres. Left out when nobody has told: then only
    /// the length that is needed is worked out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cord: Option<f64>,
    /// Whether its cord is covered or flown wherever it crosses a walkway or a fire lane.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub crossings_protected: bool,
    /// Ids of the rides that it supplies with power. Left out when nobody has told.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub supplies: Vec<String>,
}

/// A fire extinguisher.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Extinguisher {
    /// Unique among the features.
    pub id: String,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// Where it hangs or stands.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub at: Point,
}

/// A switch that cuts a ride off from its power: a disconnect.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Disconnect {
    /// Unique among the features.
    pub id: String,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// Where its handle is.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub at: Point,
    /// Ids of the rides that it cuts off. Left out when nobody has told: then it is taken for any
    /// ride that has none of its own.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub supplies: Vec<String>,
}

/// A rope, a guy, a brace: straight from one end to the other.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Rope {
    /// Unique among the features.
    pub id: String,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// One end.
    pub from: RopeEnd,
    /// The other end.
    pub to: RopeEnd,
    /// How far it hangs below the straight line at the middle, metres: 0 for a taut one. Left out where
    /// nobody knows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sag: Option<f64>,
    /// Whether it is marked, by flags or padding, so that nobody walks into it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub marked: bool,
}

/// An end of a rope.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RopeEnd {
    /// Where.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub at: Point,
    /// Height above the ground there, metres; 0 at a stake.
    pub height: f64,
}

/// A way into the lot.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Gate {
    /// Unique among the features.
    pub id: String,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// One gatepost.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub from: Point,
    /// The other gatepost.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub to: Point,
}

/// An area of one kind of ground. Where zones overlap, the later one in the list lies on top.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct GroundZone {
    /// Unique among the features.
    pub id: String,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// Corners in order.
    #[cfg_attr(feature = "schema", schemars(with = "Vec<[f64; 2]>"))]
    pub outline: Vec<Point>,
    /// What the ground is.
    pub surface: Surface,
    /// What it bears, where somebody has tested it or answers for it; in place of the rulebook's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bearing: Option<GivenBearing>,
    /// How far it gives: its modulus of subgrade reaction, where that is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub subgrade: Option<Subgrade>,
}

/// What the ground bears, as somebody says who answers for it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct GivenBearing {
    /// Pressure that it bears, pascals.
    pub pressure: f64,
    /// Who says so: every output shows it beside the value.
    pub reason: String,
}

/// Modulus of subgrade reaction: pressure that presses the ground in by a metre.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Subgrade {
    /// The least that it may be, pascals a metre.
    pub lowest: f64,
    /// The most that it may be, pascals a metre.
    pub highest: f64,
}

/// What the ground is, by its surface.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Surface {
    /// Concrete, asphalt, paving on a sound bed.
    Pavement,
    /// Gravel or sandy gravel.
    Gravel,
    /// Sand, silty or clayey sand.
    Sand,
    /// Clay or silt.
    Clay,
    /// Grass or turf over soil of any kind.
    Grass,
    /// Mud, peat, organic soil, or fill that nobody has compacted.
    SoftOrFill,
}

impl Surface {
    /// Whether every outrigger foot must stand on at least one block.
    ///
    /// All but sound pavement: common practice, no published source.
    pub fn wants_a_block(self) -> bool {
        self != Surface::Pavement
    }
}

/// A ride, placed on the lot.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PlacedRide {
    /// Unique among the rides.
    pub id: String,
    /// What people call it; the profile's name when left out.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// The id of a profile, in this file or built in.
    pub profile: String,
    /// Where it stands.
    pub placement: Placement,
    /// What gets through its fence, as measured on the panels that came: in place of what the
    /// profile tells.
    #[serde(default, skip_serializing_if = "FenceGaps::is_untold")]
    pub fence_gaps: FenceGaps,
}

/// Where a ride stands and which way it points.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Placement {
    /// The hub, metres east.
    pub x: f64,
    /// The hub, metres north.
    pub y: f64,
    /// Direction in which the tongue points, degrees clockwise from grid north.
    pub heading: f64,
}

/// A kind of block, packing or shim on the truck.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Block {
    /// Unique among the blocks; also what the crew calls it.
    pub id: String,
    /// Actual thickness, metres (a nominal 2-inch board is 38 mm).
    pub thickness: f64,
    /// Length, metres.
    pub length: f64,
    /// Width, metres.
    pub width: f64,
    /// How many are on the truck.
    pub count: u32,
}

/// Rides whose separate supplies are bonded together: their grounding conductors, at the rides.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Bond {
    /// Ids of the rides that are bonded to each other, two or more.
    pub rides: Vec<String>,
    /// Who confirms it: every output shows it.
    pub reason: String,
}

/// A value of loads or of the ground in force here, in place of the rulebook's.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct LoadValue {
    /// The id of a rule of [`crate::loads::load_rulebook`].
    pub rule: String,
    /// The value here, in the rule's own unit.
    pub value: f64,
    /// Who says so: every output shows it beside the value.
    pub reason: String,
}

/// A clearance value in force here, in place of the rulebook's.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ClearanceValue {
    /// The id of a rule of [`crate::clearance::rulebook`].
    pub rule: String,
    /// The required distance here, metres; for a slope, metres of rise in a metre.
    pub value: f64,
    /// Who says so: every output shows it beside the value.
    pub reason: String,
}
