//! How much a site file may hold, and how large its numbers may be.
//!
//! Far beyond any fairground, and near enough that no file freezes a phone. A file over a limit
//! is refused with the limit named.

/// Bonds between rides.
pub const BONDS: usize = 200;

/// Most stakes of a ride or a tent.
pub const STAKES: usize = 200;

/// Deepest stake or buried service, metres.
pub const DEPTH: f64 = 50.0;

/// Size of a site file, bytes.
pub const FILE_BYTES: usize = 32 * 1024 * 1024;

/// Errors that are listed one by one; the rest are counted.
pub const ERRORS: usize = 100;

/// Warnings that are listed one by one, by the file and by the rides' places; the rest are
/// counted.
pub const WARNINGS: usize = 20;

/// Corners of the lot line, and of any other outline; points of a path or a line.
pub const POINTS: usize = 1_000;

/// Spot levels.
pub const SPOT_LEVELS: usize = 250_000;

/// Breaklines.
pub const BREAKLINES: usize = 1_000;

/// Points of all breaklines together.
pub const BREAKLINE_POINTS: usize = 10_000;

/// Places where breaklines meet.
pub const BREAKLINE_MEETINGS: usize = 10_000;

/// Field books.
pub const FIELD_BOOKS: usize = 20;

/// Rows of all field books together, and their places.
pub const BOOK_ROWS: usize = 2_000;

/// Files that points were taken in from.
pub const IMPORTED_FILES: usize = 60;

/// Features of all kinds together.
pub const FEATURES: usize = 2_000;

/// Points of all features together.
pub const FEATURE_POINTS: usize = 10_000;

/// Ride profiles in the file.
pub const PROFILES: usize = 60;

/// Placed rides.
pub const RIDES: usize = 60;

/// Kinds of blocks on the truck.
pub const BLOCKS: usize = 60;

/// Blocks of one kind on the truck.
pub const BLOCK_COUNT: u32 = 1_000;

/// Clearance values.
pub const CLEARANCE_VALUES: usize = 200;

/// Jacks, outriggers and wheels of a profile together.
pub const SUPPORTS: usize = 24;

/// Holes of a jack's leg.
pub const HOLES: usize = 40;

/// Rows of a swing table.
pub const TABLE_ROWS: usize = 200;

/// Spaces of a profile.
pub const SPACES: usize = 60;

/// Fence panels on the truck.
pub const PANELS: u32 = 10_000;

/// Characters of an id, a name or a reason.
pub const TEXT: usize = 200;

/// A coordinate in the lot frame, metres either way: room for a national grid.
pub const COORDINATE: f64 = 10_000_000.0;

/// How far the lot, or its survey, may reach in x or y, metres.
pub const ACROSS: f64 = 20_000.0;

/// Lowest elevation, metres: below any dry land.
pub const ELEVATION_LOWEST: f64 = -500.0;

/// Highest elevation, metres: above any land.
pub const ELEVATION_HIGHEST: f64 = 9_000.0;

/// Standard error of a shot, metres.
pub const STANDARD_ERROR: f64 = 10.0;

/// Standard error of a rod reading, metres.
pub const READING_ERROR: f64 = 0.1;

/// Misclosure allowed over one kilometre or one setup, metres.
pub const ALLOWANCE: f64 = 1.0;

/// Height of a building, a tree or a wire, metres.
pub const HEIGHT: f64 = 500.0;

/// Width of a walkway or a fire lane, or radius of a thing on the lot, metres.
pub const WIDTH: f64 = 200.0;

/// Voltage of an overhead line, volts.
pub const VOLTS: f64 = 2_000_000.0;

/// A heading, degrees either way: a hundred turns, so that a dial may be wound on and on.
pub const HEADING: f64 = 36_000.0;

/// A required clearance, metres.
pub const CLEARANCE: f64 = 1_000.0;

/// Any length of a ride, metres.
pub const RIDE: f64 = 200.0;

/// From a ride's datum plane down to a foot or a tyre, metres either way.
pub const DROP: f64 = 10.0;

/// Allowances of levelling (rack, reserve, lift over the blocks, tyre clearance), metres.
pub const LEVELLING: f64 = 1.0;

/// Lift of a jack for one turn of its crank, metres.
pub const LIFT_PER_TURN: f64 = 0.1;

/// Turns given back to a jack once the outriggers carry.
pub const SNUG_TURNS: f64 = 20.0;

/// Tilt that a ride may allow at work, degrees.
pub const TOLERANCE_DEG: f64 = 10.0;

/// Side of a foot, metres.
pub const FOOT_PLATE: f64 = 3.0;

/// Mass of a ride, kilograms.
pub const MASS: f64 = 1_000_000.0;

/// Rings of seats of a profile.
pub const SEAT_RINGS: usize = 6;

/// Cars in a ring, and seats in a car.
pub const SEATS: u32 = 100;

/// Mass of one rider, kilograms.
pub const RIDER_MASS: f64 = 500.0;

/// Torque about the upright axis, newton metres.
pub const TORQUE: f64 = 1e8;

/// Silhouette of a ride, metres squared.
pub const SILHOUETTE: f64 = 5_000.0;

/// Shape factor of a silhouette.
pub const SHAPE_FACTOR: f64 = 5.0;

/// Speed of the wind, metres a second.
pub const WIND: f64 = 100.0;

/// What a foot may carry, newtons.
pub const FORCE: f64 = 1e8;

/// Friction of a foot.
pub const FRICTION: f64 = 2.0;

/// Pressure that ground or timber bears, pascals.
pub const PRESSURE: f64 = 1e8;

/// Least modulus of subgrade reaction, pascals a metre.
pub const SUBGRADE_LEAST: f64 = 1e5;

/// Greatest modulus of subgrade reaction, pascals a metre.
pub const SUBGRADE: f64 = 1e11;

/// Values of loads and of the ground.
pub const LOAD_VALUES: usize = 60;

/// Least stiffness of a frame or a foot, newtons a metre or newton metres a radian.
pub const STIFFNESS_LEAST: f64 = 1_000.0;

/// Greatest stiffness of a frame or a foot, newtons a metre or newton metres a radian.
pub const STIFFNESS: f64 = 1e12;

/// Speed of a ride, turns a minute.
pub const RPM: f64 = 200.0;

/// Allowance for oscillation and wind of hung chairs, degrees.
pub const ALLOWANCE_DEG: f64 = 60.0;

/// Shortest fence panel, metres: a shorter one would take thousands to go round a ride.
pub const PANEL_SHORTEST: f64 = 0.25;

/// Longest fence panel, metres.
pub const PANEL_LONGEST: f64 = 20.0;

/// Height of a fence panel, metres.
pub const PANEL_HEIGHT: f64 = 10.0;

/// Thinnest packing, metres.
pub const BLOCK_THINNEST: f64 = 0.001;

/// Thickest block, metres.
pub const BLOCK_THICKEST: f64 = 1.0;

/// Length or width of a block, metres.
pub const BLOCK_LENGTH: f64 = 10.0;
