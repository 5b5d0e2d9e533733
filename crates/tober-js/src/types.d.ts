/** One act, for one person (two to a heavy leg) at one support. */
export interface Act {
  /** What is done. */
  kind: ActKind;
  /** At which support. */
  support: string;
  /**
   * Which hole, counted from 1 at the highest, for `ActKind::Pin` and `ActKind::Stow`;
   * else 0.
   */
  hole: number;
  /** Turns of the crank, to a quarter; 0 where nothing is cranked. */
  turns: number;
  /** Which way the screw goes; absent where nothing is cranked. */
  way: Way | null;
  /** Whether the jack may carry while it is cranked. */
  under_load: boolean;
  /** How the frame then stands, simulated; absent when it is not known. */
  after: After | null;
}

/** What an act does to a jack. */
export type ActKind = "pin" | "touch" | "lift" | "block" | "lower" | "snug" | "take_up" | "unblock" | "let_down" | "stow";

/** What every support carries after an act, on ground that gives. */
export interface ActLoads {
  /** Whether it is an act of tearing down. */
  tear_down: boolean;
  /** Its place in the list of building up or of tearing down. */
  act: number;
  /**
   * Newtons, with the ground halfway within its range: jacks, outriggers, tyres, in the order of
   * the profile.
   */
  loads: number[];
}

/** How the frame stands after an act. */
export interface After {
  /** What a level along the frame shows, degrees: positive when the tongue end is high. */
  along_deg: number;
  /** What a level across it shows, degrees: positive when the left side is high. */
  across_deg: number;
  /** How far a corner is ahead of the plane of the others, metres. */
  rack: number;
  /** Jacks, outriggers and tyres that touch nothing or carry nothing. */
  hanging: string[];
  /**
   * What every jack, outrigger and tyre carries, in the order of the profile, newtons. Empty
   * while the ride is parked.
   */
  loads?: number[];
  /**
   * The most that every jack, and every outrigger on its blocks, carries in the act, newtons, where
   * one of them carries more on the way than both before and after it; else empty.
   */
  peaks?: number[];
}

/** What kind of thing a clearance is measured to. */
export type Against = "ride" | "lot_line" | "walkway" | "fire_lane" | "building" | "tree" | "overhead_line" | "buried_service" | "cover" | "power_source" | "fuel_store" | "gate" | "extinguisher" | "disconnect" | "fence_opening" | "rope";

/** What a misclosure is judged against. */
export type Allowance = {
  per_root_km: number;
} | {
  per_root_setup: number;
};

/** Who asks for a clearance: what an organizer sorts the table by. */
export type Asks = "neighbour_ride" | "utility" | "fire_marshal" | "access" | "organizer" | "ride_maker" | "electrician";

/** Everything that follows from a `Site`. */
export interface Assessment {
  /** Always `tober-assessment`. */
  format: string;
  /** The version of this document. */
  version: number;
  /** The site's name. */
  site: string;
  /** How the site shows lengths; the numbers here are metres. */
  units: LengthStyle;
  /** The worst verdict of any check. */
  verdict: Verdict;
  /** What is questionable in the input although it can be used. */
  warnings: Fault[];
  /** What the survey of the ground is good for, in words. */
  survey: string;
  /**
   * Field books that give the ground heights although they do not close: by how much, and what
   * to do. While there are any, no ride is known to stand level.
   */
  unclosed?: string[];
  /** Every placed ride, in the order of the file. */
  rides: RideAssessment[];
  /** What is left of every walkway and fire lane. */
  ways: WayCheck[];
  /** From every gate of the lot to the next. */
  passages?: Passage[];
  /** The power cord of every ride, where the lot has a supply. */
  cords?: CordCheck[];
  /** What every operator must have at hand, as far as the site has it drawn. */
  at_hand?: AtHand[];
  /** Rides that are to be bonded together, or of which nobody knows. */
  bonds?: BondCheck[];
  /** Every rope, and the ways that it crosses. */
  ropes?: RopeCheck[];
  /** What fuel, generators and the stakes of tents keep from other things of the lot. */
  lot_clearances?: LotClearance[];
  /** The clearance rules in force, with sources and overrides. */
  rules: RuleInForce[];
  /** The values of loads and of the ground in force, with sources and overrides. */
  load_rules: LoadRuleInForce[];
  /** What is asked for somewhere and was not checked here. */
  not_checked: NotChecked[];
  /** Cautions that every output carries. */
  cautions: string[];
}

/** Whether an operator has something at hand. */
export interface AtHand {
  /** The placed ride's id. */
  ride: string;
  /** What people call it. */
  ride_name: string;
  /** What is to be at hand. */
  kind: HandyKind;
  /** The id of the nearest; empty where none can be told. */
  id: string;
  /** What people call it. */
  name: string;
  /**
   * From the farthest place of the operator's station, metres; never understated, but where the
   * ground is not surveyed, as a note says. Absent where nobody knows where the operator stands.
   */
  distance: number | null;
  /** The most that it may be, metres. */
  at_most: number;
  /** That farthest place, lot frame. */
  from: [number, number] | null;
  /** Where it hangs or stands, lot frame. */
  to: [number, number] | null;
  /** What stands where it may cut the operator's sight of it. */
  hidden_by?: string[];
  /** The rule's id. */
  rule: string;
  /** Who asks for it. */
  asks: Asks;
  /** How it came out. */
  verdict: Verdict;
  /** What had to be assumed, or is missing, in plain words. */
  notes: string[];
}

/** A line that could not be read. */
export interface BadLine {
  /** Its number, counted from 1. */
  line: number;
  /** What is wrong with it. */
  words: string;
}

/** A bend of a fire lane. */
export interface Bend {
  /** Where, on the middle line, lot frame. */
  at: [number, number];
  /** By how much it turns, degrees, without its sign. */
  turn_deg: number;
  /** The largest inside radius that is free, metres; never overstated. */
  inside_radius: number;
  /** The inside radius that is asked for, metres. */
  required: number;
  /** What stands in the way of a larger one; empty when the straight legs are too short for it. */
  by: string[];
}

/** Something that binds. */
export interface Bind {
  /** What it is. */
  kind: BindKind;
  /** The support or the block that it is about; empty when it holds for the whole ride. */
  at: string;
}

/** What can bind. */
export type BindKind = "tyre" | "shortest_leg" | "longest_leg" | "high_ground" | "thicknesses" | "blocks_used_up" | "base_width" | "bearing" | "packing";

/** A kind of block, packing or shim on the truck. */
export interface Block {
  /** Unique among the blocks; also what the crew calls it. */
  id: string;
  /** Actual thickness, metres (a nominal 2-inch board is 38 mm). */
  thickness: number;
  /** Length, metres. */
  length: number;
  /** Width, metres. */
  width: number;
  /** How many are on the truck. */
  count: number;
}

/** Rides whose separate supplies are bonded together: their grounding conductors, at the rides. */
export interface Bond {
  /** Ids of the rides that are bonded to each other, two or more. */
  rides: string[];
  /** Who confirms it: every output shows it. */
  reason: string;
}

/** Two rides that are to be bonded. */
export interface BondCheck {
  /** The placed rides' ids. */
  rides: [string, string];
  /** What people call them. */
  names: [string, string];
  /** What supplies each; empty where nobody has told. */
  supplied_by: [string[], string[]];
  /** How near they come, metres; never overstated, negative when they overlap. */
  apart: number;
  /** Nearer than this, metres, they are bonded. */
  within: number;
  /** The two nearest places, lot frame. */
  between: [[number, number], [number, number]];
  /** Who confirms that they are bonded; absent where nobody does. */
  confirmed: string | null;
  /** The rule's id. */
  rule: string;
  /** Who asks for it. */
  asks: Asks;
  /** How it came out. */
  verdict: Verdict;
  /** What is to be done or is not known, in plain words. */
  note: string;
}

/** A row of the field book. An empty text is an empty field. */
export interface BookRow {
  /**
   * What the point is called; the same name is the same point, capitals or not. A row without
   * a name stands for a point of its own.
   */
  point?: string;
  /** Rod reading that begins a setup, on a point that is known by then. */
  backsight?: string;
  /** Rod reading on a point in between. */
  intermediate?: string;
  /** Rod reading that ends a setup. */
  foresight?: string;
  /** Elevation of a benchmark; `assumed` is 100, `assumed 50` is 50. */
  known?: string;
  /**
   * From the rod of the backsight past the instrument to this point, in a row with a
   * foresight; in other rows it counts for nothing.
   */
  distance?: string;
  /** Anything. */
  note?: string;
}

/** Whether a field book can be relied on. */
export type BookStanding = "closes" | "not_checked" | "not_all_used" | "does_not_close";

/**
 * A line along which the slope of the ground breaks. A step, such as a kerb, is two of them:
 * its top and its foot.
 */
export interface Breakline {
  /** Unique among the breaklines. */
  id: string;
  /** What people call it. */
  name?: string;
  /** What it is. */
  kind?: BreaklineKind;
  /** Its shots in order, the ground between them straight. */
  points: SpotLevel[];
}

/** What a breakline is. */
export type BreaklineKind = "kerb" | "ditch" | "pavement_edge" | "other";

/**
 * A building, a tent, a stage: solid from the ground up, or from its underside where there is
 * room beneath.
 */
export interface Building {
  /** Unique among the features. */
  id: string;
  /** What people call it. */
  name?: string;
  /** Corners in order. */
  outline: [number, number][];
  /** Height of the top above the highest ground beneath it, metres. */
  height: number;
  /**
   * Height of its underside above the highest ground beneath it, metres, where there is room
   * beneath: an awning, a canopy on posts, a bridge. Left out for what stands on the ground.
   */
  underside?: number | null;
  /** Stakes that hold it down, lot frame. */
  stakes?: Stake[];
}

/** A pipe, a cable or a drain in the ground. */
export interface BuriedService {
  /** Unique among the features. */
  id: string;
  /** What people call it. */
  name?: string;
  /** Where it runs, as marked on the ground. */
  path: [number, number][];
  /**
   * From the ground down to its top, metres. Left out when nobody knows: then it may lie at any
   * depth.
   */
  depth?: number | null;
}

/** What kind of case it is. */
export type CaseKind = "empty" | "full" | "uneven" | "boarding" | "out_of_service";

/** A check of a stage. */
export interface Check {
  /** What is checked. */
  kind: CheckKind;
  /** Where it is tightest; empty when it holds for the whole ride. */
  support: string;
  /** What was found: metres or degrees. */
  value: number;
  /** What it is held against. */
  limit: number;
  /** How it came out. */
  verdict: Verdict;
}

/** What is checked at a stage. */
export type CheckKind = "legs_fit" | "travel_tilt" | "rack" | "tyres_hang" | "screw_left" | "screw_in" | "stack_height" | "tilt_along" | "tilt_across" | "jacks_hang" | "bears";

/** One distance, judged. */
export interface ClearanceRow {
  /** Measured from this part of the ride. */
  part: Part;
  /** Which of its spaces while building up; empty for what is there at work. */
  space?: string;
  /** Measured to this kind of thing. */
  against: Against;
  /** Its id; empty for the lot line. */
  against_id: string;
  /** What people call it. */
  against_name: string;
  /** How it is measured. */
  measure: Measure;
  /**
   * The distance, metres; negative when they overlap, by how far. Never overstated. Absent
   * when it cannot be told.
   */
  value: number | null;
  /** Required distance, metres. */
  required: number;
  /** `value - required`. */
  margin: number | null;
  /** The governing rule's id. */
  rule: string;
  /** Rules that also apply and ask for less. */
  also: string[];
  /** Who asks for it. */
  asks: Asks;
  /** The distance in plan, metres, whatever the heights. */
  horizontal: number | null;
  /** The shortest way through the air, metres; absent where no heights are known. */
  through_air: number | null;
  /** Nearest place on the ride's side, lot frame. */
  from: [number, number];
  /** Nearest place on the other side, lot frame. */
  to: [number, number];
  /**
   * Elevation of the nearest place on the ride's side, metres; absent where it is not known or
   * does not matter.
   */
  from_height: number | null;
  /** Elevation of the nearest place on the other side, metres. */
  to_height: number | null;
  /** How it came out. */
  verdict: Verdict;
  /** What had to be assumed, in plain words; empty when nothing. */
  note: string;
}

/** A clearance value in force here, in place of the rulebook's. */
export interface ClearanceValue {
  /** The id of a rule of `crate::clearance::rulebook`. */
  rule: string;
  /** The required distance here, metres; for a slope, metres of rise in a metre. */
  value: number;
  /** Who says so: every output shows it beside the value. */
  reason: string;
}

/** A run or loop that closes. */
export interface Closure {
  /** The row whose sight closes it, and the sight's column. */
  row: number;
  /** Foresight, or a check in between. */
  column: Column;
  /** The settled point that the last run began on. */
  from: string;
  /** The settled point that it closes on. */
  to: string;
  /**
   * Setups from the one to the other, and from there back to the first by the way that both
   * were settled on; benchmarks are the same place for this.
   */
  setups: number;
  /** Length of that way, metres; absent where it is not written for every setup. */
  length: number | null;
  /** Reduced less settled elevation, metres. */
  misclosure: number;
  /** How large the misclosure may be, metres; absent where the length is needed and not known. */
  allowed: number | null;
}

/** A column of the field book that holds a length. */
export type Column = "backsight" | "intermediate" | "foresight" | "known" | "distance";

/** Which coordinate stands first. */
export type CoordinateOrder = "northing_first" | "easting_first";

/** The cord of one ride. */
export interface CordCheck {
  /** The placed ride's id. */
  ride: string;
  /** What people call it. */
  ride_name: string;
  /** The id of the supply that is nearest along the ground. */
  source: string;
  /** What people call it. */
  source_name: string;
  /** Where the cord lies, from the supply to the ride, lot frame. */
  route: [number, number][];
  /** How long it must be along that way, metres, slack in it; never understated. */
  needed: number;
  /** The walkways and fire lanes that it crosses there. */
  crossings: Crossing[];
  /** How long it must be to cross none, metres; absent when there is no such way. */
  needed_without_crossing: number | null;
  /** How long the cord is, metres, where the site says so. */
  has: number | null;
  /**
   * How it came out; absent when nobody has told how long the cord is and it crosses nothing
   * unprotected.
   */
  verdict: Verdict | null;
  /** What has to be done or was assumed, in plain words. */
  notes: string[];
}

/** A cover in the ground: of a manhole, a drain, a valve, a vault. Nothing stands on it. */
export interface Cover {
  /** Unique among the features. */
  id: string;
  /** What people call it. */
  name?: string;
  /** Its middle. */
  at: [number, number];
  /** Radius that covers it with its frame, metres. */
  radius: number;
}

/** A walkway or a fire lane that a cord crosses. */
export interface Crossing {
  /** Which kind of way. */
  kind: WayKind;
  /** What people call it. */
  name: string;
  /** A place of the crossing, lot frame. */
  at: [number, number];
}

/** What elevations count from. */
export type Datum = "benchmark" | "assumed" | {
  high_corner: string | null;
};

/** A switch that cuts a ride off from its power: a disconnect. */
export interface Disconnect {
  /** Unique among the features. */
  id: string;
  /** What people call it. */
  name?: string;
  /** Where its handle is. */
  at: [number, number];
  /**
   * Ids of the rides that it cuts off. Left out when nobody has told: then it is taken for any
   * ride that has none of its own.
   */
  supplies?: string[];
}

/**
 * A height above the site's benchmark level, metres.
 *
 * Two elevations differ by an offset (`f64`, metres); they do not add.
 */
export type Elevation = number;

/** How many cars in a row may go empty. */
export interface EmptyInRow {
  /**
   * Most cars in a row that may be empty while all others are full, for every foot to bear and
   * every factor and capacity to hold; absent where it does not hold with all of them full.
   */
  most: number | null;
  /** The cars in the smallest ring. */
  of: number;
  /** What the maker allows, where it is stated. */
  stated: number | null;
}

/**
 * The space that a ride sweeps at any speed up to full: a solid of revolution about the hub's
 * axis, filled inwards. Never smaller than what moves.
 */
export interface Envelope {
  /**
   * Radius against height above the datum plane, from the bottom up; straight between rows.
   * A rider's reach, oscillation and the frame's tilt whichever way are in it.
   */
  rows: EnvelopeRow[];
  /** Largest radius, metres. */
  radius: number;
  /** Hang angle of the chairs at full speed, degrees from the vertical; absent for arms. */
  hang_angle_deg: number | null;
  /** Speed of the riders at full speed, metres a second; absent where the profile does not tell. */
  rider_speed: number | null;
  /** How much of the radius is for tilt, metres. */
  tilt_widening: number;
  /** The most that the frame leans, whichever way, degrees. */
  tilt_deg: number;
  /** Elevation of the datum plane; absent when the ground is not known. */
  datum: Elevation | null;
}

/** One row of an `Envelope`. */
export interface EnvelopeRow {
  /** Height above the datum plane, metres. */
  height: number;
  /** Outermost radius at that height, metres. */
  radius: number;
}

/** How a ride may settle under its usual load. */
export interface ExpectedSettling {
  /** The least that any foot sinks, metres. */
  least: number;
  /** The most that any foot sinks, metres. */
  most: number;
  /**
   * The steepest that the frame may then lie along, degrees: what is left after levelling, and
   * the feet each anywhere in their ranges.
   */
  along_deg: number;
  /** The same across, degrees. */
  across_deg: number;
  /** Pass when both stay within the ride's tolerance. */
  verdict: Verdict;
}

/** A fire extinguisher. */
export interface Extinguisher {
  /** Unique among the features. */
  id: string;
  /** What people call it. */
  name?: string;
  /** Where it hangs or stands. */
  at: [number, number];
}

/** A factor of safety against what is asked for. */
export interface Factor {
  /** What was found. Below 1 the ride goes. */
  value: number;
  /**
   * How far outside the line through the two feet its weight comes to act at the worst, metres;
   * 0 where it stays inside, and for sliding.
   */
  outside?: number;
  /** What is asked for at least. */
  required: number;
  /** The case that it comes from, by its place in `RideLoads::cases`. */
  case: number;
  /** The two feet that it would tip over; empty for sliding. */
  over: string[];
  /** How it came out. */
  verdict: Verdict;
}

/** A place that lies far from all the others. It is kept: nothing tells whether it is wrong. */
export interface FarPlace {
  /** The line of the point. */
  line: number;
  /** How far it lies from the middle of all, metres. */
  away: number;
  /** Whether it would lie among the others with northing and easting exchanged. */
  is_turned: boolean;
}

/** One thing that is wrong with a site file. */
export interface Fault {
  /** How bad it is. */
  severity: Severity;
  /**
   * Where in the file: `rides[1].placement.heading`; or `line 12, column 7` where the text
   * stops being JSON.
   */
  path: string;
  /** What stands there. */
  value: string;
  /** What was expected, in words that a crew lead reads. */
  expected: string;
}

/** What stands on, over and under the lot, a list for each kind. */
export interface Features {
  /** Ways that people walk. */
  walkways?: Walkway[];
  /** Ways kept free for fire appliances. */
  fire_lanes?: FireLane[];
  /** Buildings, tents and other solid things. */
  buildings?: Building[];
  /** Trees. */
  trees?: Tree[];
  /** Overhead lines. */
  overhead_lines?: OverheadLine[];
  /** Pipes, cables and drains in the ground. */
  buried_services?: BuriedService[];
  /** Covers in the ground: of manholes, drains, valves, vaults. */
  covers?: Cover[];
  /** Generators and supply pillars. */
  power_sources?: PowerSource[];
  /** Fuel that is kept on the lot. */
  fuel_stores?: FuelStore[];
  /** Fire extinguishers, where they hang or stand. */
  extinguishers?: Extinguisher[];
  /** Switches that cut a ride off from its power. */
  disconnects?: Disconnect[];
  /** Ropes and braces. */
  ropes?: Rope[];
  /** Ways into the lot. */
  gates?: Gate[];
  /** Areas of one kind of ground. */
  ground_zones?: GroundZone[];
}

/** What gets through the panels of a fence. */
export interface FenceGaps {
  /**
   * The largest ball that gets through a panel or between two, metres across. Left out when
   * nobody has told.
   */
  opening?: number | null;
  /** The gap below a panel on level ground, metres. Left out when nobody has told. */
  below?: number | null;
}

/** A closed fence of whole panels. */
export interface FencePlan {
  /**
   * Where the posts stand, lot frame, in order; a panel from each to the next and from the
   * last to the first.
   */
  posts: [number, number][];
  /** Which panels are gates: panel `i` runs from post `i` to the next. */
  gates: number[];
  /** Whole panels, gates included. */
  panels: number;
  /** Panels on the truck, gates included. */
  panels_on_truck: number;
  /** Length of the run, metres. */
  perimeter: number;
  /** Least distance from what moves to the fence that was asked for, metres. */
  standoff: number;
  /** Least distance from what moves to the fence as laid out, metres; never overstated. */
  clear: number;
  /** Height of a panel, metres. */
  height: number;
  /** What gets through it. */
  openings: Openings;
  /** Whether the panels suffice, stand high enough, and turn back what they must. */
  verdict: Verdict;
  /** What is short, in plain words; empty when nothing. */
  notes: string[];
}

/** The fence panels that come with the ride. */
export interface FenceStock {
  /** Least distance from everything that moves to the fence, metres. */
  standoff: number;
  /** Length of a panel from post to post, metres. A gate takes the place of one panel. */
  panel: number;
  /** Height of a panel, metres. */
  height: number;
  /**
   * How deep the stake at each post is driven, metres; left out for a fence that stands on
   * feet.
   */
  stake_depth?: number | null;
  /** Panels on the truck, gates included. */
  panels: number;
  /** How many of them are gates. */
  gates: number;
  /** What gets through them, as made. */
  gaps?: FenceGaps;
}

/** A field book of levelling. */
export interface FieldBook {
  /** Unique among the field books. */
  id: string;
  /** What people call it. */
  name?: string;
  /** How a bare number in it is read. */
  units: LengthStyle;
  /**
   * What a misclosure is judged against. Left out: third order, 12 mm × √km, where every setup
   * has its distance, else 5 mm × √setups.
   */
  allowance?: Allowance | null;
  /** How misclosures are spread. */
  spread_by?: SpreadBy;
  /** Standard error of one rod reading, metres. Left out: 1.5 mm. */
  reading_error?: number | null;
  /** The rows from top to bottom. */
  rows: BookRow[];
  /** Where points lie in plan, for those of which that is known. */
  places?: PointPlace[];
}

/** A field book read from text. */
export interface FieldBookText {
  /** The book. */
  book: FieldBook;
  /** For each row of the book its line in the text, counted from 1. */
  lines: number[];
  /** Whether the text or the user said how a bare number is read; else it is metres. */
  units_were_stated: boolean;
  /** Lines that could not be read, and fields that could not. */
  bad_lines: BadLine[];
  /** Lines above the table that are no setting, and were passed over. */
  passed_over: number[];
  /** The titles of columns that hold numbers and that no title known here names. */
  unread_columns: string[];
  /**
   * For each row of the book the elevation that whoever wrote it computed; empty where none
   * stands.
   */
  carried: string[];
  /**
   * Lines of benchmarks whose elevation was taken for a computed one, that checks nothing: the
   * page carries its elevations from row to row, and this one is what the readings give.
   */
  computed_benchmarks: number[];
  /** What was understood that the text does not say outright, a sentence each. */
  notes: string[];
}

/** A point of a point file. */
export interface FilePoint {
  /** Its line, counted from 1. */
  line: number;
  /** Its number or name; may be empty. */
  name: string;
  /** Where it lies, metres, counted from the origin. */
  at: [number, number];
  /** Its elevation; absent where the field is empty. */
  elevation: Elevation | null;
  /** Standard error of the elevation, metres, where the file has a column of them. */
  error: number | null;
  /** Its description; may be empty. */
  description: string;
}

/** The unit of a point file. */
export type FileUnit = "metres" | "feet" | "us_survey_feet" | "millimetres";

/** A way kept free for fire appliances: a band along a path. */
export interface FireLane {
  /** Unique among the features. */
  id: string;
  /** What people call it. */
  name?: string;
  /** The middle line. */
  path: [number, number][];
  /** Full width of the band, metres. */
  width: number;
}

/** What the ground feels under a foot, and what it bears. */
export interface FootGround {
  /** The zone's name, or its id; empty where no zone covers the foot. */
  zone: string;
  /** What the ground is; absent where no zone covers the foot. */
  surface: Surface | null;
  /** Area of the ground that carries, metres squared. */
  area: number;
  /** Pressure under the greatest load, pascals. */
  pressure: number;
  /** What the ground bears, pascals; absent where nobody has said and the code gives none. */
  bears: number | null;
  /** Where that value comes from; what to do, where there is none. */
  source: string;
  /** How well that source is known; absent where there is none. */
  standing: Standing | null;
  /** Area of ground that the greatest load needs, metres squared. */
  area_needed: number | null;
  /**
   * The block left on the truck that does, laid under the stack as a pad: its id. The smallest
   * that does, as far as they go round (no block is promised to two feet). Absent where the
   * stack does without, where none is left that does, where it is not known what is needed, and
   * for a jack beside outriggers.
   */
  pad: string | null;
  /** Greatest pressure on timber across its grain, pascals; absent where there is no timber. */
  crushing: number | null;
  /** Most that timber takes, pascals. */
  timber_bears: number;
  /** The least that the foot may sink under its usual load, metres. */
  sinks_least: number | null;
  /** The most that it may sink, metres. */
  sinks_most: number | null;
  /** Clay or silt: it bears less when it is wet. */
  soft_when_wet: boolean;
  /** Pass when ground and timber bear; unknown where nobody has said what the ground bears. */
  verdict: Verdict;
}

/** What one foot carries at work. */
export interface FootLoads {
  /** The support's id. */
  id: string;
  /** Its kind. */
  kind: SupportKind;
  /** Where, lot frame. */
  at: [number, number];
  /** Least load of any case, out of service too, newtons. */
  least: number;
  /** The case that it comes from, by its place in `RideLoads::cases`. */
  least_case: number;
  /** Which way the frame is tipped then: degrees from the tongue to the left. */
  least_toward_deg: number;
  /** Load with every seat full, nothing turning and no wind, newtons. */
  usual: number;
  /** Greatest load of any case, out of service too, newtons. */
  greatest: number;
  /** The case that it comes from, by its place in `RideLoads::cases`. */
  greatest_case: number;
  /** Which way the frame is tipped then: degrees from the tongue to the left. */
  greatest_toward_deg: number;
  /**
   * The most that it carries while the ride is built up and torn down; absent for the jacks of a
   * ride that works on them, which are told by themselves, and where it is not known.
   */
  in_acts?: InActs | null;
  /** Whether it lifts off in service. */
  lifts: boolean;
  /** Whether it lifts off in the wind that the ride may stand in at rest. */
  lifts_out_of_service: boolean;
  /** Most that it may carry, newtons; absent where the profile does not say. */
  capacity: number | null;
  /** What the ground feels under it. */
  ground: FootGround;
  /** The worst of lifting, capacity and ground. */
  verdict: Verdict;
}

/** How far one foot may sink. */
export interface FootSinks {
  /** The support's id. */
  id: string;
  /** At least, metres. */
  least: number;
  /** At most, metres. */
  most: number;
}

/** An outrigger at one stage. */
export interface FootState {
  /** The outrigger's id. */
  id: string;
  /** Air between foot and stack, metres; 0 while it bears. */
  gap: number;
}

/** One foot of it. */
export interface FootWithin {
  /** The support's id. */
  id: string;
  /** Its kind. */
  kind: SupportKind;
  /** Standard error of its height against the high corner, metres. */
  error: number;
  /** The probability that it cannot be made up for is no more than this. */
  out_probability: number;
}

/**
 * What the frame weighs while it is levelled, and how far it and its feet give.
 *
 * Used to foretell what the level shows while cranking. The defaults are common practice
 * without a published source; they are told beside whatever hangs on them.
 */
export interface Frame {
  /** Mass while it is levelled, kilograms; 8000 when left out. */
  mass?: number | null;
  /** Where that mass has its centre, ride frame; the hub when left out. */
  centre?: [number, number] | null;
  /**
   * Moment that twists the frame's front against its back by one radian, newton metres;
   * 600 000 (some 10 kN m a degree) when left out.
   */
  twist_stiffness?: number | null;
  /**
   * Load that shortens a jack with its pad and the ground under it by one metre, newtons;
   * 20 000 000 (2 t a millimetre) when left out.
   */
  jack_stiffness?: number | null;
  /**
   * The same for an outrigger with its blocks and the ground under them; 10 000 000 (1 t a
   * millimetre) when left out.
   */
  outrigger_stiffness?: number | null;
}

/**
 * Fuel that is kept on the lot: a tank, drums, gas cylinders. A generator's own tank counts with
 * the generator.
 */
export interface FuelStore {
  /** Unique among the features. */
  id: string;
  /** What people call it. */
  name?: string;
  /** Its middle. */
  at: [number, number];
  /** Radius that covers it whole, metres. */
  radius: number;
}

/** A way into the lot. */
export interface Gate {
  /** Unique among the features. */
  id: string;
  /** What people call it. */
  name?: string;
  /** One gatepost. */
  from: [number, number];
  /** The other gatepost. */
  to: [number, number];
}

/** What the ground bears, as somebody says who answers for it. */
export interface GivenBearing {
  /** Pressure that it bears, pascals. */
  pressure: number;
  /** Who says so: every output shows it beside the value. */
  reason: string;
}

/** A stage of building up or tearing down at which the ride goes over. */
export interface GoesOver {
  /** Which stage. */
  kind: StageKind;
  /** The two feet that it goes over; empty where it has fewer than three. */
  over: string[];
  /** How far outside the line through them its weight acts, metres. */
  outside: number;
  /** How many times as far it leans for that as is foretold; absent where it goes over upright. */
  leaning?: number | null;
}

/** A corner of a grid that was laid out on the ground. */
export interface GridCorner {
  /** The corner that is counted from. */
  from: [number, number];
  /** Direction in which `along` is counted, degrees clockwise from grid north. */
  heading: number;
  /** Spacing of the grid, metres. */
  spacing: number;
  /** Steps along. */
  along: number;
  /** Steps to the left. */
  across: number;
}

/** The ground under one support. */
export interface GroundPoint {
  /** The support's id. */
  id: string;
  /** Its kind. */
  kind: SupportKind;
  /** Where, lot frame. */
  at: [number, number];
  /** Height of the ground; absent outside the survey. */
  elevation: Elevation | null;
  /** How far below the high corner, metres (0 at the high corner); absent outside the survey. */
  below_high: number | null;
  /** What the ground is; absent where no zone covers it. */
  surface: Surface | null;
  /** Standard error of the height, metres; absent outside the survey. */
  error: number | null;
}

/** The ground under a ride. */
export interface GroundUnderRide {
  /** Jacks, outriggers, then wheels, in the order of the profile. */
  points: GroundPoint[];
  /** The foot on the highest ground (jacks and outriggers); absent when any height is unknown. */
  high_corner: string | null;
  /**
   * Fall along the frame, metres in a metre: positive when the ground rises towards the
   * tongue. From the plane that best fits the feet; absent when any height is unknown.
   */
  fall_along: number | null;
  /** Fall across the frame, metres in a metre: positive when the ground rises to the left. */
  fall_across: number | null;
  /**
   * How the errors of the heights go together, square metres: for each of the points its
   * covariance with those up to and with itself. Empty when any height is unknown.
   */
  error_covariance?: number[][];
}

/** An area of one kind of ground. Where zones overlap, the later one in the list lies on top. */
export interface GroundZone {
  /** Unique among the features. */
  id: string;
  /** What people call it. */
  name?: string;
  /** Corners in order. */
  outline: [number, number][];
  /** What the ground is. */
  surface: Surface;
  /** What it bears, where somebody has tested it or answers for it; in place of the rulebook's. */
  bearing?: GivenBearing | null;
  /** How far it gives: its modulus of subgrade reaction, where that is known. */
  subgrade?: Subgrade | null;
}

/** A hole or a mound with a level top. */
export interface Groundwork {
  /** Its middle, metres east. */
  x: number;
  /** Its middle, metres north. */
  y: number;
  /** How far it reaches, metres. */
  radius: number;
  /** How far the ground is higher than surveyed, metres; below 0 where it is dug away. */
  by: number;
}

/** What is to be at hand. */
export type HandyKind = "extinguisher" | "disconnect";

/** Chairs hung from a turning wheel; see `crate::envelope::hang_angle`. */
export interface HungChairs {
  /** From the axis to the point that a hanger swings from, metres. */
  pivot_radius: number;
  /** Height of that point above the datum plane, metres. */
  pivot_height: number;
  /** From that point down to the rider's middle, metres. */
  hanger: number;
  /** How far chair, limbs and belongings reach from the rider's middle, metres. */
  reach: number;
  /** Full speed, turns a minute. */
  full_speed_rpm: number;
  /** Allowance for oscillation and wind beyond the steady angle, degrees. */
  allowance_deg: number;
  /** Radius of the turning top, metres. */
  top_radius: number;
  /** Height of the turning top above the datum plane, metres. */
  top_height: number;
}

/**
 * What is kept in a site file of a point file that was taken in, so that its points can be led
 * back to the surveyor's own numbers.
 */
export interface ImportedPoints {
  /** The name of the file. */
  file: string;
  /** The unit that its numbers were taken to be in. */
  unit: FileUnit;
  /** Which coordinate was taken to stand first. */
  order: CoordinateOrder;
  /** What has been taken off every coordinate, metres. */
  origin: [number, number];
}

/** The most that a foot carries in any act of building up and tearing down. */
export interface InActs {
  /** Newtons. */
  greatest: number;
  /** In which act, by its place in its list. */
  act: number;
  /** Whether that is one of tearing down. */
  tear_down: boolean;
}

/**
 * A levelling jack: a drop leg pinned in one of several holes, then a screw.
 *
 * The leg reaches `drop + hole + screw` below the datum plane, and stands on its pad.
 */
export interface Jack {
  /** Unique among the supports of the profile (`FL`, `FR`, `BL`, `BR`). */
  id: string;
  /** Middle of its foot, ride frame. */
  at: [number, number];
  /**
   * From the datum plane down to the foot's sole, leg in the highest hole and the screw
   * counted from zero, metres.
   */
  drop: number;
  /** How much lower each hole pins the leg than the highest, metres, rising from 0. */
  holes: number[];
  /** The screw's length when wound right in, metres. */
  screw_retracted: number;
  /** The screw's length when wound right out, metres. */
  screw_extended: number;
  /** Lift for one turn of the crank, metres. */
  lift_per_turn: number;
  /** Thickness of the pad under the foot, metres; 0 for none. */
  pad_thickness?: number;
  /**
   * Side of the square that its pad covers, metres: packing under it is no narrower. 0.15 when
   * left out.
   */
  foot_plate?: number | null;
}

/** What one jack carries while the ride is built up and torn down. */
export interface JackLoads {
  /** The jack's id. */
  id: string;
  /** Greatest load in any act, newtons. */
  greatest: number;
  /** In which act, by its place in the list of building up or of tearing down. */
  act: number;
  /** Whether that is an act of tearing down. */
  tear_down: boolean;
  /**
   * Greatest load at work, snugged beside outriggers, over every case, newtons; absent for a
   * ride that works on its jacks, whose feet they are.
   */
  greatest_at_work: number | null;
  /** Most that it may carry, newtons; absent where the profile does not say. */
  capacity: number | null;
  /** What the ground feels under it at its greatest. */
  ground: FootGround;
  /** Pass when the jack and the ground bear; unknown where something is not known. */
  verdict: Verdict;
}

/** How one jack is set. */
export interface JackSetting {
  /** The jack's id. */
  id: string;
  /** Which hole the leg is pinned in, counted from 1 at the highest. */
  hole: number;
  /** How many holes the leg has. */
  holes: number;
  /** The screw's length with the frame lifted, metres. */
  screw_lifted: number;
  /** The screw's length at work, metres. */
  screw_at_work: number;
  /** Turns until the foot touches, to a quarter. */
  turns_free: number;
  /**
   * Turns from there until the frame is lifted, to a quarter; below 0 where the frame is let
   * down.
   */
  turns_loaded: number;
  /**
   * Turns back down from lifted until the outriggers carry and the jack hangs free, the turns
   * that snugging then gives back among them, to a quarter; 0 for a ride that works on its
   * jacks.
   */
  turns_down: number;
  /** Screw left before it is wound right out, with the frame lifted, metres. */
  stroke_left: number;
  /** Thickness of the pad under the foot, metres; 0 for none. */
  pad: number;
  /** Blocks under the pad, from the ground up: none, unless the jack could not reach without. */
  packing: Piece[];
  /**
   * Hole and screw together at work, metres: what is needed below the datum plane, less the
   * leg's own drop, pad and packing.
   */
  extension: number;
  /** From the datum plane down to the top of the pad at work, metres: what a tape shows. */
  to_pad: number;
}

/** A jack at one stage. */
export interface JackState {
  /** The jack's id. */
  id: string;
  /** Which hole the leg is pinned in, counted from 1 at the highest. */
  hole: number;
  /** From the datum plane down to the sole of the foot, metres. */
  extension: number;
  /** The screw's length, metres. */
  screw: number;
  /** Screw left before it is wound right out, metres. */
  stroke_left: number;
  /** Air under the foot, metres; 0 while it bears. */
  gap: number;
}

/** How a point file was read. */
export interface Layout {
  /** What stands between the fields, in a word. */
  separator: string;
  /** Whether decimals come behind a comma. */
  decimal_comma: boolean;
  /** Whether a header named the columns. */
  has_header: boolean;
  /** Which coordinate stands first. */
  order: CoordinateOrder;
  /**
   * Whether a header tells the order beyond doubt, so that a choice of the user is not asked for.
   * x and y do not: in many countries x points north.
   */
  order_is_sure: boolean;
  /** Whether the order was told by the header or by the user, and not taken for granted. */
  order_was_stated: boolean;
  /** The unit. */
  unit: FileUnit;
  /** Whether the unit was told by the header or by the user, and not taken for granted. */
  unit_was_stated: boolean;
  /** The unit of the elevations: that of the coordinates, unless the header names another. */
  elevation_unit: FileUnit;
}

/** How steep a frame is against what is allowed at work. */
export interface Lean {
  /** Pass when both tilts are within tolerance. */
  verdict: Verdict;
  /** Tilt along, degrees: positive when the tongue end is high. */
  along_deg: number | null;
  /** Tilt across, degrees: positive when the left side is high. */
  across_deg: number | null;
  /**
   * How likely either is out of tolerance, for the survey's own errors; absent when those are
   * not known.
   */
  out_probability: number | null;
}

/** How lengths are shown, and how a bare number is read. */
export type LengthStyle = "feet_inches_8" | "feet_inches_16" | "decimal_feet" | "metres" | "millimetres";

/** The level plan of one ride. */
export interface LevelPlan {
  /** Pass when it can be levelled within tolerance; unknown outside the survey. */
  verdict: Verdict;
  /** Elevation of the datum plane at the hub, at work. */
  datum: Elevation | null;
  /** Elevation of the datum plane while lifted to slide the blocks in. */
  lifted: Elevation | null;
  /** The jacks, in the order of the profile. Empty when the ground is not known. */
  jacks: JackSetting[];
  /** The outriggers, in the order of the profile. Empty when the ground is not known. */
  outriggers: Stack[];
  /** What to do to build it up, one act after the other. */
  acts: Act[];
  /** What to do to tear it down again, one act after the other. */
  tear_down: Act[];
  /** How many acts the cranking under load takes, and how few it could. */
  passes: Passes[];
  /**
   * Tilt along the frame left over after rounding, degrees: positive when the tongue end is
   * high.
   */
  tilt_along_deg: number | null;
  /** Tilt across the frame left over, degrees: positive when the left side is high. */
  tilt_across_deg: number | null;
  /** Most tilt allowed along, degrees. */
  tolerance_along_deg: number;
  /** Most tilt allowed across, degrees. */
  tolerance_across_deg: number;
  /** With the frame down on any three of its feet, the widest gap under a fourth, metres. */
  fourth_foot_gap: number | null;
  /**
   * Whether the blocking is proven to be the best there is: false only when the search was cut
   * short.
   */
  proven: boolean;
  /** What is short, where and by how much. Empty when the ride can be levelled. */
  shortfalls: Shortfall[];
  /** What makes one way to block the frame better than another, the weightiest first. */
  preferences: Preference[];
  /** What keeps it from being lower, leveller or blocked with less. */
  binds: Bind[];
  /**
   * How it stands at each stage, building up and then tearing down. Empty when it cannot be
   * levelled.
   */
  stages: Stage[];
  /** How steep the frame is before it is levelled, against what is allowed at work. */
  before: Lean;
  /** How steep it is at work. */
  after: Lean;
  /**
   * How steep it is once the ground has settled; absent where no modulus of the ground is
   * given under every foot that carries.
   */
  settled?: Settled | null;
  /**
   * How likely it stays within stroke and blocking, for the survey's own errors; absent when
   * those are not known.
   */
  within?: Within | null;
}

/** Readings taken on one ride at one time. Kept in the site file. */
export interface LevelRound {
  /** The placed ride's id. */
  ride: string;
  /** When, in seconds since the beginning of 1970, UTC. */
  unix_seconds: number;
  /** What was read. */
  readings: Reading[];
}

/**
 * How the frame is levelled, and how level is level enough.
 *
 * Each of the two tolerances is given once: in degrees, or in whichever form the maker states.
 */
export interface Levelling {
  /** Most tilt at work along the frame, degrees. */
  tolerance_along_deg?: number | null;
  /** Most tilt at work across the frame, degrees. */
  tolerance_across_deg?: number | null;
  /**
   * Most tilt at work along the frame, as the maker states it; in place of
   * `tolerance_along_deg`.
   */
  tolerance_along?: Slope | null;
  /**
   * Most tilt at work across the frame, as the maker states it; in place of
   * `tolerance_across_deg`.
   */
  tolerance_across?: Slope | null;
  /** How far one corner may be ahead of the plane of the others while cranking, metres. */
  rack_limit: number;
  /**
   * Most tilt either way while cranking, degrees; 3 when left out (common practice, no
   * published source). A frame that is parked steeper may be no steeper than parked.
   */
  travel_tilt_deg?: number | null;
  /** How far a hanging tyre must be off the ground, metres. */
  tyre_clearance: number;
  /** How far above the working height the frame is lifted to slide the blocks in, metres. */
  lift_over: number;
  /** Screw that must be left at either end of the stroke, metres. */
  stroke_reserve: number;
  /** Turns given back to each jack once the outriggers carry. */
  snug_turns: number;
  /**
   * The maker's order of cranking, as groups of jack ids: a group is cranked before the next
   * one, in the order written. Left out, the front pair comes first and the low side first in
   * a pair (common practice).
   */
  crank_order?: string[][];
  /** What is not told apart when the best blocking is chosen. */
  steps?: Steps;
}

/** A point of an overhead line. */
export interface LinePoint {
  /** Where, metres east. */
  x: number;
  /** Where, metres north. */
  y: number;
  /** Height of the lowest wire above the ground at this point, metres. */
  height: number;
}

/** A case of riders and wind. */
export interface LoadCase {
  /** What kind of case it is. */
  kind: CaseKind;
  /** How many neighbouring cars are empty in each ring of seats. */
  empty_cars: number[];
  /** Weight, newtons. */
  weight: number;
  /** What riders tip it by, about the ground, starting and stopping too, newton metres. */
  tipped_by_riders: number;
  /** What the wind tips it by, newton metres. */
  tipped_by_wind: number;
  /** What its lean tips it by, newton metres. */
  tipped_by_lean: number;
  /**
   * What the torque of the drive and the brakes tips it by: of a wheel that stands up, newton
   * metres.
   */
  tipped_by_drive?: number;
  /** What pushes it sideways, newtons. */
  sideways: number;
  /** What turns it about the upright axis, newton metres. */
  torque: number;
}

/** A value of the rulebook as it stands on this site. */
export interface LoadRuleInForce {
  /** The rule's id, as `LoadValue::rule` names it. */
  id: string;
  /** The rule in one line. */
  title: string;
  /** The value in force. */
  value: number;
  /** What it is measured in. */
  unit: LoadUnit;
  /** Where it comes from, or the reason of the site's own value. */
  source: string;
  /** How well that source is known. */
  standing: Standing;
  /** The rulebook's value, where the site has replaced it. */
  replaces: number | null;
}

/** What a value of the rulebook is measured in. */
export type LoadUnit = "factor" | "pascal" | "crushing" | "kilogram" | "density";

/** A value of loads or of the ground in force here, in place of the rulebook's. */
export interface LoadValue {
  /** The id of a rule of `crate::loads::load_rulebook`. */
  rule: string;
  /** The value here, in the rule's own unit. */
  value: number;
  /** Who says so: every output shows it beside the value. */
  reason: string;
}

/** What a ride weighs at work, who sits in it, and what the wind and its drive do to it. */
export interface Loading {
  /** Mass of the empty ride at work, kilograms. Without it no load is computed. */
  mass?: number | null;
  /** Where that mass has its centre in plan, ride frame; the hub when left out. */
  centre?: [number, number] | null;
  /**
   * Height of that centre above the datum plane, metres: a frame that leans carries its weight
   * so far off. Left out, the lean is not counted.
   */
  centre_height?: number | null;
  /** The seats, a ring each. Without any, riders are not counted, and the output says so. */
  seats?: SeatRing[];
  /**
   * Most cars of a ring in a row that the maker lets go empty while all others are full. Left
   * out, any number and any pattern may be empty: the worst is taken.
   */
  empty_in_row?: number | null;
  /** Full speed, turns a minute. Left out: that of the hung chairs; without them, not known. */
  full_speed_rpm?: number | null;
  /**
   * Greatest torque of the drive and the brakes about the upright axis, newton metres. Left
   * out, starting and stopping are not counted, and the output says so.
   */
  torque?: number | null;
  /** What the wind pushes against. Left out, the wind is not counted, and the output says so. */
  wind?: Silhouette | null;
  /** Most that one jack may carry, newtons. Left out, it is not held to any. */
  jack_capacity?: number | null;
  /** Most that one outrigger may carry, newtons. Left out, it is not held to any. */
  outrigger_capacity?: number | null;
  /**
   * Side of the square pad under a jack that spreads its whole load on the ground, metres. Left
   * out, the load spreads from the foot through the thickness of the pad.
   */
  jack_pad?: number | null;
  /**
   * Where the tongue jack, or the truck's hitch, holds the frame while it is parked, ride frame.
   * Left out, what the tyres carry while it is parked is not known.
   */
  tongue?: [number, number] | null;
  /** Friction of the feet on what they stand on; the rulebook's when left out. */
  friction?: number | null;
}

/** The ground that the fair may use. */
export interface Lot {
  /** The lot line: corners in order, either way round, not closed by repeating the first. */
  boundary: [number, number][];
}

/** One distance between two things of the lot, whatever the rides. */
export interface LotClearance {
  /** Measured from this feature: its id. */
  id: string;
  /** What people call it. */
  name: string;
  /** The distance, judged. */
  row: ClearanceRow;
}

/** What a level or a rod shows. */
export type Mark = {
  along: Slope;
} | {
  across: Slope;
} | {
  rod: number;
};

/** How a distance is taken. */
export type Measure = "horizontal" | "true" | "slope" | "at_most" | "ball";

/** Something that is asked for and that is not checked. */
export interface NotChecked {
  /** What is asked for. */
  what: string;
  /** Where it comes from. */
  source: string;
}

/**
 * A place along and across a frame. The frame is kept as it stood when the tape was laid, so
 * that the point stays on its ground when the ride is moved.
 */
export interface Offset {
  /** Where both distances are measured from. */
  from: [number, number];
  /** Direction of `along`, degrees clockwise from grid north. */
  heading: number;
  /** Distance along, metres. */
  along: number;
  /** Distance to the left, metres. */
  across: number;
}

/** What gets through a fence. */
export interface Openings {
  /**
   * The largest ball that gets through a panel or between two, metres; absent where nobody has
   * told.
   */
  opening: number | null;
  /**
   * The largest gap below on the ground here, metres; never understated. Absent where nobody
   * has told of the panels, or the ground is not surveyed.
   */
  below: number | null;
  /** The ball that must not get through, metres. */
  ball: number;
  /** How it came out; absent where nobody has told anything: then it was not checked. */
  verdict: Verdict | null;
  /** What lets the ball through, or is not known, in plain words. */
  notes: string[];
}

/** An outrigger: folds down and stands on blocking. */
export interface Outrigger {
  /** Unique among the supports of the profile. */
  id: string;
  /** Middle of its foot, ride frame. */
  at: [number, number];
  /** From the datum plane down to the foot's sole, folded out and braced, metres. */
  foot_drop: number;
  /**
   * Side of the square that its foot covers, metres: no block under it is narrower. 0.15 when
   * left out.
   */
  foot_plate?: number | null;
}

/** How high what moves keeps above the ground. */
export interface OverGround {
  /** The least of all, metres; negative where the ground is struck. Never overstated. */
  least: number;
  /** Where, lot frame. */
  at: [number, number];
  /** Along which bearing that is, degrees clockwise from grid north. */
  bearing_deg: number;
  /**
   * The least in each wedge of 15°, the first about north and on clockwise, metres; absent
   * where no ground is surveyed in it.
   */
  by_bearing: (number | null)[];
  /** Whether the survey tells of all of the ground beneath. */
  surveyed: boolean;
}

/** An overhead line: wires between poles. */
export interface OverheadLine {
  /** Unique among the features. */
  id: string;
  /** What people call it. */
  name?: string;
  /** Poles in order, and any known point between them. */
  points: LinePoint[];
  /**
   * How far the lowest wire hangs below the straight line between neighbouring points at the
   * middle of the span, metres. Left out when nobody knows: then a wire may hang at any height
   * below its points.
   */
  sag?: number | null;
  /**
   * Height of the lowest wire at the lowest place of each span above the ground beneath it,
   * metres: in place of `sag`.
   */
  lowest?: number | null;
  /** Volts between conductors. Left out when nobody knows: then the strictest rule holds. */
  volts?: number | null;
  /**
   * Ids of the rides that it supplies with power: the rule for lines of 600 V or less excepts
   * them. Every other line keeps its distance.
   */
  supplies?: string[];
}

/** Which part of the ride a clearance is measured from; or what else on the lot. */
export type Part = "moving" | "standing" | "feet" | "fence" | "build_up" | "stakes" | "fuel" | "power";

/** The way from one gate to another. */
export interface Passage {
  /** From this gate, by its id. */
  from: string;
  /** To this gate, by its id. */
  to: string;
  /** What people call both. */
  names: [string, string];
  /**
   * The width that the best way between them keeps everywhere, metres; never overstated.
   * Absent when it cannot be told.
   */
  width: number | null;
  /** Width asked for, metres. */
  required: number;
  /** The two sides of its narrowest place, lot frame. */
  narrowest: [[number, number], [number, number]] | null;
  /** What stands on both sides there. */
  between: string[];
  /** How it came out. */
  verdict: Verdict;
  /** Why it cannot be told, in plain words; empty otherwise. */
  note: string;
}

/** How many acts the passes of one kind take, and how few they could. */
export interface Passes {
  /** What the acts do. */
  kind: ActKind;
  /** How many there are. */
  acts: number;
  /**
   * No order that keeps the limits takes fewer: proven. As many as there are acts where these
   * are proven to be the fewest.
   */
  at_least: number;
  /**
   * Whether that is proven only of the orders that begin each pair at the same jack and finish
   * it before the next (for letting down, of those read backwards); else of any order.
   */
  group_after_group: boolean;
  /** Whether the acts are shorter than the frame asks, so that no jack carries more than it may. */
  spares_jacks?: boolean;
}

/** One piece of a stack. */
export interface Piece {
  /** The block's id. */
  block: string;
  /** Its thickness, metres. */
  thickness: number;
}

/** A place where a way is narrowed. */
export interface Pinch {
  /** On the middle line, lot frame. */
  at: [number, number];
  /** Width left there, metres. */
  clear: number;
  /** The two places between which it is left: of what stands there, or on an edge of the way. */
  between: [[number, number], [number, number]];
  /** What stands there. */
  by: string[];
}

/** A place in the lot frame, as it was measured. */
export type Place = {
  coordinates: [number, number];
} | {
  offset: Offset;
} | {
  tapes: Tapes;
} | {
  grid: GridCorner;
};

/** Why a point has no place. */
export type PlaceProblem = {
  ambiguous: {
    /** Where the first tape begins. */
    from: string;
    /** Where the second tape begins. */
    to: string;
    /** The place on the left. */
    left: [number, number];
    /** The place on the right. */
    right: [number, number];
  };
} | {
  too_short: number;
} | {
  too_long: number;
} | "one_centre" | {
  from: string;
} | "not_finite";

/** A ride, placed on the lot. */
export interface PlacedRide {
  /** Unique among the rides. */
  id: string;
  /** What people call it; the profile's name when left out. */
  name?: string;
  /** The id of a profile, in this file or built in. */
  profile: string;
  /** Where it stands. */
  placement: Placement;
  /**
   * What gets through its fence, as measured on the panels that came: in place of what the
   * profile tells.
   */
  fence_gaps?: FenceGaps;
}

/** Where a ride stands and which way it points. */
export interface Placement {
  /** The hub, metres east. */
  x: number;
  /** The hub, metres north. */
  y: number;
  /** Direction in which the tongue points, degrees clockwise from grid north. */
  heading: number;
}

/** A point file as it was read. */
export interface PointFile {
  /** The points, in the order of the file, in metres, counted from the origin. */
  points: FilePoint[];
  /** How the file was read. */
  layout: Layout;
  /** What has been taken off every coordinate, metres: add it to come back to the file's own. */
  origin: [number, number];
  /** Lines that could not be read. */
  bad_lines: BadLine[];
  /** Points that are there more than once. */
  repeats: Repeat[];
  /** Lines with a number in feet and inches. */
  feet_and_inches: number;
  /** Elevations that lie far from all the others. */
  strays: Stray[];
  /** Places that lie far from all the others. */
  far_places: FarPlace[];
  /** The titles of columns that hold numbers, and of which nobody knows what they are. */
  unread_columns: string[];
}

/** What has to be known of a point file, as far as the file does not say. */
export interface PointFileChoice {
  /** Which coordinate stands first in a file without a header; left open, the northing. */
  order?: CoordinateOrder | null;
  /** The unit of every number; left open, what the header says, or else metres. */
  unit?: FileUnit | null;
  /**
   * Where to count coordinates from; left open, the file's own coordinates when they are small,
   * or else a round place near the points.
   */
  origin?: [number, number] | null;
}

/** Where a point of a field book lies. */
export interface PointPlace {
  /** The point's name in the rows. */
  point: string;
  /** How its place was measured. */
  at: Place;
}

/** What a power source is. */
export type PowerKind = "generator" | "supply";

/** A generator or a supply pillar. */
export interface PowerSource {
  /** Unique among the features. */
  id: string;
  /** What people call it. */
  name?: string;
  /** Its middle. */
  at: [number, number];
  /** Radius that covers it whole, metres. */
  radius: number;
  /** What it is. Left out when nobody has told: then what is asked of a generator is asked of it. */
  kind?: PowerKind | null;
  /**
   * Length of the cord that comes with it, metres. Left out when nobody has told: then only
   * the length that is needed is worked out.
   */
  cord?: number | null;
  /** Whether its cord is covered or flown wherever it crosses a walkway or a fire lane. */
  crossings_protected?: boolean;
  /** Ids of the rides that it supplies with power. Left out when nobody has told. */
  supplies?: string[];
}

/** What is compared when two ways to block a frame are, and in which steps. */
export type Preference = {
  by: "least_tilt";
  /** Differences smaller than this are not told apart, degrees. */
  step_deg: number;
} | {
  by: "lowest";
  /** Differences smaller than this are not told apart, metres; 0 for none. */
  step: number;
} | {
  by: "fewest_pieces";
} | {
  by: "fewest_turns";
  /** Differences smaller than this are not told apart, turns. */
  step: number;
};

/** What a quarter turn out of one jack does, with the frame lifted on its jacks. */
export interface QuarterTurn {
  /** The jack that is turned. */
  jack: string;
  /** How much more each jack then carries, newtons, in the order of the profile. */
  changes: number[];
}

/** One reading at one station. */
export interface Reading {
  /** What the crew calls the place; for a rod reading, the id of the support beside it. */
  station: string;
  /** What was read there. */
  mark: Mark;
}

/** A point with its elevation. */
export interface ReducedPoint {
  /** What the crew calls it. */
  name: string;
  /** Adjusted; absent where no sight leads from a settled point. */
  elevation: Elevation | null;
  /** Standard error of the elevation, metres, against what the elevations count from. */
  standard_error: number | null;
  /** Where it lies, lot frame; absent where nobody said. */
  at: [number, number] | null;
  /** Whether it was read on an inverted rod: the underside of something, and not ground. */
  is_overhead: boolean;
  /** The last row that reads it. */
  row: number;
}

/** A row of the book with its computed columns. */
export interface ReducedRow {
  /** The point's name; empty in a row that says nothing. */
  point: string;
  /** The backsight, in numbers. */
  backsight: Sighted | null;
  /** The intermediate sight, in numbers. */
  intermediate: Sighted | null;
  /** The foresight, in numbers. */
  foresight: Sighted | null;
  /** The known elevation that holds for the point, in the row that states it. */
  known: Elevation | null;
  /** Height of instrument of the setup that begins here. */
  instrument: Elevation | null;
  /** Elevation by the height of instrument, before any adjustment. */
  elevation: Elevation | null;
  /** Elevation after it. */
  adjusted: Elevation | null;
  /** Standard error of that, metres. */
  standard_error: number | null;
  /** Reduced less settled elevation, metres, where a sight falls on a settled point. */
  misclosure: number | null;
  /** What could not be used. */
  problems: RowProblem[];
  /** Whether a distance stands here that counts for nothing, since no setup ends in this row. */
  has_idle_distance: boolean;
}

/** A field book reduced to elevations. */
export interface Reduction {
  /** One for each row of the book. */
  rows: ReducedRow[];
  /** What the elevations count from. */
  datum: Datum;
  /** The arithmetic check. */
  sums: Sums;
  /** Where a sight fell on a point that was settled before. */
  closures: Closure[];
  /** What the closures were judged against. */
  allowance: Allowance;
  /**
   * How the misclosures were spread: by setups where distances are missing, whatever the book
   * asks for.
   */
  spread_by: SpreadBy;
  /** Readings more than are needed. */
  redundancy: number;
  /**
   * How the residuals compare with the error of a reading: 1 when they are as large as it lets
   * expect. Absent without redundancy.
   */
  reference_sd: number | null;
  /** The readings most likely to blame for what does not close, likeliest first. */
  suspects: Suspect[];
  /** Readings that nothing checks, and that look like no other of the book. */
  doubts: Suspect[];
  /** The points, in the order in which they were first named. */
  points: ReducedPoint[];
  /** Places that could not be found, by their place in the book's list. */
  lost_places: [number, PlaceProblem][];
}

/** A point that is there more than once: the lines of both. */
export type Repeat = {
  name: {
    /** The first. */
    first: number;
    /** The other. */
    line: number;
  };
} | {
  same: {
    /** The first. */
    first: number;
    /** The other. */
    line: number;
  };
} | {
  heights: {
    /** The first. */
    first: number;
    /** The other. */
    line: number;
    /** Their distance in plan, metres. */
    apart: number;
    /** How much higher the other is, metres. */
    rise: number;
  };
};

/** What an adjustment did to a rise. */
export interface Residual {
  /** Observed less adjusted, metres. */
  residual: number;
  /**
   * The part of an error of this rise that shows in its residual, 0 to 1 (the redundancy
   * number). At 0 nothing checks the rise.
   */
  checked: number;
  /** The residual in its own standard deviation; absent where nothing checks the rise. */
  standardized: number | null;
}

/** Everything that follows for one placed ride. */
export interface RideAssessment {
  /** The placed ride's id. */
  id: string;
  /** What people call it. */
  name: string;
  /** The profile's id. */
  profile: string;
  /** Where it stands. */
  placement: Placement;
  /**
   * The worst verdict of levelling, clearances, fence and what its operator has at hand, and of
   * loads where they fail.
   */
  verdict: Verdict;
  /** Ground heights under its feet and wheels. */
  ground: GroundUnderRide;
  /** Jacks, blocking and the order of cranking. */
  level: LevelPlan;
  /** The space that it sweeps. */
  envelope: Envelope;
  /** How high it keeps above the ground, bearing by bearing; absent where that is not known. */
  over_ground?: OverGround | null;
  /** Outline of the standing parts, lot frame. */
  body: [number, number][];
  /** Where the operator stands, lot frame. */
  console: [number, number] | null;
  /** Where stakes are driven, the ride's own and its fence's, lot frame. */
  stakes?: [number, number][];
  /**
   * What else takes up room: what moves and is not round, steps, and what is there only while
   * building up.
   */
  spaces?: SpaceOnLot[];
  /** Distances that can matter, the tightest margin first. */
  clearances: ClearanceRow[];
  /**
   * How many features and other rides keep so much farther than any rule asks that they have
   * no row: see `FAR`(crate::clearance::FAR).
   */
  far: number;
  /** The fence round it. */
  fence: FencePlan;
  /** What each foot carries, what the ground feels, and whether it could tip. */
  loads: RideLoads;
  /** What to do next, in plain words, the most pressing first. */
  next: string[];
}

/** Which spacing rule a ride falls under. */
export type RideClass = "major" | "kiddie";

/** What a ride's feet carry, and what follows. */
export interface RideLoads {
  /** The worst of what was checked; unknown where something could not be. */
  verdict: Verdict;
  /**
   * The feet that carry at work, in the order of the profile. Empty where the profile states
   * no mass.
   */
  feet: FootLoads[];
  /** The cases that are the worst for something, and the plain ones. */
  cases: LoadCase[];
  /** What holds down against what tips, in the worst case. */
  overturning: Factor | null;
  /** Friction against what pushes sideways, in the worst case. */
  sliding: Factor | null;
  /** How many cars in a row may go empty; absent where no seats are stated. */
  empty_in_row: EmptyInRow | null;
  /**
   * The stages of building up and tearing down at which it goes over, its weight outside the feet
   * that carry then.
   */
  goes_over?: GoesOver[];
  /** What each jack carries while the ride is built up. Empty where that is not known. */
  jacks: JackLoads[];
  /**
   * What every support carries after each act, where a modulus of the ground is given; else it is
   * as the level plan foretells: `RideLoads::after_act`.
   */
  acts?: ActLoads[];
  /** What every support carries at each stage of building up. Empty where that is not known. */
  stages: StageLoads[];
  /** What a quarter turn out of each jack does to the loads of all of them, lifted. */
  quarter_turns: QuarterTurn[];
  /**
   * How the ride may settle under its usual load; absent where no modulus of the ground is
   * given under every foot.
   */
  settling: ExpectedSettling | null;
  /** What is not known and what is therefore not computed, in plain words. */
  not_known: string[];
  /** What was taken where the profile states nothing, in plain words. */
  assumed: string[];
  /** What to do where something fails or is not known, in plain words. */
  to_do: string[];
  /** What else is good to know: how many seats may go empty, what rain does. */
  advice: string[];
}

/** A kind of ride: feet, moving space, fence and tolerances. */
export interface RideProfile {
  /** Unique among the profiles. */
  id: string;
  /** What people call it. */
  name: string;
  /** Which spacing rule it falls under. */
  class: RideClass;
  /** Outline of everything that stands still once built up (frame, deck, steps), ride frame. */
  body: [number, number][];
  /** Height of the standing parts above the datum plane, metres. */
  body_height: number;
  /** Levelling jacks. */
  jacks: Jack[];
  /** Outriggers that carry the ride at work; a ride without them works on its jacks. */
  outriggers?: Outrigger[];
  /** Tyres. */
  wheels?: Wheel[];
  /** How the frame is levelled, and how level is level enough. */
  levelling: Levelling;
  /** What the frame weighs while it is levelled, and how far it and its feet give. */
  frame?: Frame;
  /** What it weighs at work, who sits in it, and what the wind and its drive do to it. */
  loads?: Loading;
  /** What moves. */
  swing: Swing;
  /**
   * What else takes up room: moving parts that are not round, steps and consoles, and what is
   * only there while building up.
   */
  spaces?: Space[];
  /** Where the operator stands, ride frame; must come to lie inside the fence. */
  console?: [number, number] | null;
  /** Radius that covers the console and the operator at it, metres; 0.5 when left out. */
  console_radius?: number | null;
  /** Stakes that hold it down, ride frame. */
  stakes?: Stake[];
  /** The fence that goes round it. */
  fence: FenceStock;
}

/** Rigid arms that go round at one radius. */
export interface RigidArms {
  /** From the axis to the outermost hard part, metres. */
  radius: number;
  /** Lowest height of arms and cars above the datum plane, metres. */
  low: number;
  /** Highest height of arms and cars above the datum plane, metres. */
  high: number;
  /** How far a rider reaches beyond the car, metres. */
  reach: number;
}

/**
 * Arms on hinges that rise and sink while they go round.
 *
 * The hinges stand round the axis; from each an arm reaches outwards, at its lowest when riders
 * get in. Angles are counted from the level, upwards.
 */
export interface RisingArms {
  /** From the axis to the hinge, metres. */
  hinge_radius: number;
  /** Height of the hinge above the datum plane, metres. */
  hinge_height: number;
  /** From the hinge to the rider's middle, metres. */
  arm: number;
  /** Lowest angle of an arm, degrees from the level; negative below it. */
  lowest_deg: number;
  /** Highest angle of an arm, degrees from the level. */
  highest_deg: number;
  /** How far car, limbs and belongings reach from the rider's middle, metres. */
  reach: number;
  /** Radius of the turning middle, metres. */
  top_radius: number;
  /** Height of the turning middle above the datum plane, metres. */
  top_height: number;
}

/** A rope, a guy, a brace: straight from one end to the other. */
export interface Rope {
  /** Unique among the features. */
  id: string;
  /** What people call it. */
  name?: string;
  /** One end. */
  from: RopeEnd;
  /** The other end. */
  to: RopeEnd;
  /**
   * How far it hangs below the straight line at the middle, metres: 0 for a taut one. Left out where
   * nobody knows.
   */
  sag?: number | null;
  /** Whether it is marked, by flags or padding, so that nobody walks into it. */
  marked?: boolean;
}

/** A rope that crosses something. */
export interface RopeCheck {
  /** Its id. */
  id: string;
  /** What people call it. */
  name: string;
  /** Whether it is marked so that nobody walks into it. */
  marked: boolean;
  /** What it crosses. */
  crossings: RopeCrossing[];
  /** How it came out. */
  verdict: Verdict;
}

/** Where a rope crosses a way. */
export interface RopeCrossing {
  /** Which kind of way. */
  over: RopeOver;
  /** What people call it. */
  name: string;
  /** Half-way across, lot frame. */
  at: [number, number];
  /**
   * The least height that it keeps over the ground there, metres; never overstated. Absent
   * where the ground is not surveyed, or nobody has told of its sag.
   */
  height: number | null;
  /** The height that is asked for, metres. */
  required: number;
  /** The rule's id. */
  rule: string;
  /** Who asks for it. */
  asks: Asks;
  /** How it came out. */
  verdict: Verdict;
}

/** An end of a rope. */
export interface RopeEnd {
  /** Where. */
  at: [number, number];
  /** Height above the ground there, metres; 0 at a stake. */
  height: number;
}

/** What a rope crosses. */
export type RopeOver = "walkway" | "fire_lane" | "gate";

/** Something that keeps a field of a row from being used. */
export interface RowProblem {
  /** In which column. */
  column: Column;
  /** What is wrong, in words. */
  words: string;
}

/** A rule of the rulebook as it stands on this site. */
export interface RuleInForce {
  /** The rule's id, as `crate::site::ClearanceValue::rule` names it. */
  id: string;
  /** The rule in one line. */
  title: string;
  /** Measured from these parts of the ride; none for what is asked of a way itself. */
  parts: Part[];
  /** Measured to. */
  against: Against;
  /** How it is measured. */
  measure: Measure;
  /**
   * Required distance, metres; for a slope, the most metres of rise in a metre; for what is to
   * be at hand, the most metres that it may be off.
   */
  required: number;
  /** Where the value comes from. */
  source: string;
  /** How well that source is known. */
  standing: Standing;
  /** Who asks for it. */
  asks: Asks;
  /** Who must confirm it. */
  confirm: string;
  /** The rulebook's value, in the same unit, where the site has put another in its place. */
  replaces: number | null;
}

/** Cars or chairs in a ring about the axis, evenly spaced. */
export interface SeatRing {
  /** How many cars, or chairs, hang or stand in the ring. */
  cars: number;
  /** Seats in a car; 1 when left out. */
  seats_in_car?: number;
  /** Mass of one rider, kilograms; the rulebook's when left out. */
  rider_mass?: number | null;
  /**
   * From the axis to a rider's middle at full speed, metres. Left out: where the chairs hang
   * out to, or the end of the arms.
   */
  radius?: number | null;
  /**
   * Height of a rider's middle above the datum plane at full speed, metres. Left out: where
   * the chairs hang, or the highest part of the arms. For a wheel on a level axle, the height
   * of the axle.
   */
  height?: number | null;
  /** The axis lies level: a wheel that stands up. */
  level_axis?: boolean;
}

/** How the frame lies once the ground has settled. */
export interface Settled {
  /** How far each foot that carries at work may sink, in the order of the profile. */
  feet: FootSinks[];
  /** After every foot has sunk as little as it may. */
  least: Lean;
  /** After every foot has sunk as far as it may. */
  most: Lean;
  /**
   * Where feet are set higher than level asks for now, so that the frame lies better after it
   * has settled: the steepest that it would come to lie, along or across, without, degrees.
   */
  otherwise_deg?: number | null;
  /** Pass when the frame is within tolerance after either. */
  verdict: Verdict;
}

/** How bad a fault is. */
export type Severity = "warning" | "error";

/** What can be short. */
export type ShortOf = "stroke" | "jack_too_long" | "blocking" | "tolerance";

/** Something that is short. */
export interface Shortfall {
  /** At which support; empty when it holds for the whole ride. */
  support: string;
  /** What is short. */
  what: ShortOf;
  /** By how much: metres, or degrees for `ShortOf::Tolerance`. */
  by: number;
}

/** A side of a way, looking along it. */
export type Side = "left" | "right";

/** A reading in numbers. */
export interface Sighted {
  /** Metres; negative on an inverted rod. */
  reading: number;
  /**
   * What the adjustment did to it (read less adjusted reading); absent where the setup hangs
   * in the air.
   */
  residual: Residual | null;
}

/** What the wind pushes against. */
export interface Silhouette {
  /** Solid area seen from the side where it is greatest, metres squared. */
  area: number;
  /** Height of its middle above the datum plane, metres. */
  height: number;
  /**
   * What the pressure of the wind is multiplied by for the shape; the rulebook's when left
   * out.
   */
  shape_factor?: number | null;
  /** Fastest wind that the ride may work in, metres a second, gusts and all. */
  in_service: number;
  /**
   * Fastest wind that it may stand in, built up, empty and at rest, metres a second. Left out,
   * it is not known.
   */
  out_of_service?: number | null;
}

/** A fairground as it is kept in a file. */
export interface SiteFile {
  /** Always `tober-site`. */
  format: string;
  /** The version of the format: 1. */
  version: number;
  /** What people call the site. */
  name: string;
  /** How lengths are shown and how a bare number is read. The file itself is in metres. */
  units?: LengthStyle;
  /** The ground that the fair may use. */
  lot: Lot;
  /** Surveyed ground heights. */
  spot_levels: SpotLevel[];
  /** Where the ground has an edge: the kerb, the ditch, the edge of pavement. */
  breaklines?: Breakline[];
  /** Rod readings as the crew wrote them; points of them that have a place join the spot levels. */
  field_books?: FieldBook[];
  /** Point files whose points were taken into the spot levels, and how they were read. */
  imported_points?: ImportedPoints[];
  /** What stands on, over and under the lot. */
  features?: Features;
  /** Ride profiles that come with this file, beside the built-in ones. */
  profiles?: RideProfile[];
  /** The rides, where they are placed. */
  rides: PlacedRide[];
  /** Blocks, packing and shims on the truck. */
  blocks?: Block[];
  /** Clearance values that replace the rulebook's. */
  clearance_values?: ClearanceValue[];
  /** Rides whose separate supplies are bonded together. */
  bonds?: Bond[];
  /** Values of loads and of the ground that replace the rulebook's. */
  load_values?: LoadValue[];
  /** What crews read on levels and rods once the rides stood, the oldest round first. */
  level_rounds?: LevelRound[];
  /** Holes and mounds under supports that the survey does not show. */
  groundwork?: Groundwork[];
}

/** A way in which a reading goes wrong. */
export type Slip = {
  mark: Mark;
} | "transposed" | "unit" | "feet_and_inches" | "inverted";

/**
 * A slope in the form that somebody stated or read it in; in files `{ "per_cent": 0.5 }`.
 *
 * ```
 * use tober::units::Slope;
 * // A quarter inch in a foot is 2.08 in a hundred.
 * assert!((Slope::InPerFt(0.25).ratio() - 0.25 / 12.0).abs() < 1e-15);
 * assert!((Slope::PerCent(100.0).degrees() - 45.0).abs() < 1e-12);
 * ```
 */
export type Slope = {
  deg: number;
} | {
  per_cent: number;
} | {
  mm_per_m: number;
} | {
  in_per_ft: number;
};

/**
 * A space that a ride takes up beside its body and what it swings: the same outline over a range
 * of heights, filled.
 */
export interface Space {
  /** Unique among the spaces of the profile. */
  id: string;
  /** What people call it: *steps*, *outriggers swinging down*, *tongue drawn out*. */
  name: string;
  /** When it takes up room. */
  kind: SpaceKind;
  /** Corners in order, ride frame: everything that the part passes through. */
  outline: [number, number][];
  /** Lowest height above the datum plane, metres. */
  low: number;
  /** Highest height above the datum plane, metres. */
  high: number;
}

/** When a `Space` takes up room. */
export type SpaceKind = "moving" | "standing" | "build_up";

/** A space of a ride on the lot, on a level frame. */
export interface SpaceOnLot {
  /** What people call it. */
  name: string;
  /** When it takes up room. */
  kind: SpaceKind;
  /** Corners in order, lot frame. */
  outline: [number, number][];
}

/** One surveyed ground height. */
export interface SpotLevel {
  /** Where, metres east. */
  x: number;
  /** Where, metres north. */
  y: number;
  /** Height of the ground above the site's benchmark level, metres. */
  elevation: Elevation;
  /**
   * Standard error of the height, metres. Left out when nobody has worked it out: then
   * `DEFAULT_ERROR`(crate::ground::DEFAULT_ERROR) holds.
   */
  error?: number | null;
}

/** How misclosures are spread, and so how the readings weigh against each other. */
export type SpreadBy = "setups" | "distance";

/** The blocking under one outrigger. */
export interface Stack {
  /** The outrigger's id. */
  id: string;
  /** Height that would be exact, metres. */
  needed: number;
  /** Pieces from the ground up, by block id; a second and further pieces lie crossed. */
  pieces: Piece[];
  /** Height of the stack, metres. */
  height: number;
}

/** How the ride stands at one stage. */
export interface Stage {
  /** Which one. */
  kind: StageKind;
  /** Pass when every check of the stage does. */
  verdict: Verdict;
  /** Elevation of the datum plane at the hub. */
  datum: Elevation;
  /** Tilt along, degrees: positive when the tongue end is high. */
  along_deg: number;
  /** Tilt across, degrees: positive when the left side is high. */
  across_deg: number;
  /** The tyres, in the order of the profile. */
  wheels: WheelState[];
  /** The jacks, in the order of the profile. */
  jacks: JackState[];
  /** The outriggers, in the order of the profile; empty while they are folded up. */
  outriggers: FootState[];
  /** What is checked. */
  checks: Check[];
}

/** A stage of building up or tearing down. */
export type StageKind = "parked" | "lifted" | "blocked" | "on_outriggers" | "snugged" | "taken_up" | "blocks_out" | "lowered";

/** What every support carries at a stage of building up or tearing down. */
export interface StageLoads {
  /** Which stage. */
  kind: StageKind;
  /**
   * Jacks, outriggers, then tyres, in the order of the profile; the tyres are left out where
   * nobody knows what of it they carry.
   */
  loads: SupportLoad[];
  /**
   * What the tongue jack or the hitch carries, newtons; absent where it carries nothing, or that
   * is not known.
   */
  tongue?: number | null;
  /** Of the feet that should carry at this stage, the one that carries least. */
  light: string | null;
}

/** A stake, a peg or a ground screw, driven upright. */
export interface Stake {
  /** Where: in the ride frame for a ride's own, in the lot frame for a tent's. */
  at: [number, number];
  /** How deep it is driven, metres. Left out when nobody knows: then it may go to any depth. */
  depth?: number | null;
}

/** How well the source of a value is known. */
export type Standing = "read" | "memory" | "practice" | "local";

/** A steep place of a way. */
export interface SteepPlace {
  /** On the middle line, lot frame. */
  at: [number, number];
  /** Slope without its sign, metres in a metre. */
  slope: number;
  /** The most that is accessible there. */
  limit: number;
}

/** What a crew does not tell apart: so that nobody stacks five pieces to win a hair. */
export interface Steps {
  /** The least tilt that the crew's level shows, degrees; 0.05 when left out. */
  level_deg?: number;
  /** Heights of the frame nearer than this are alike, metres; 0.02 when left out. */
  height?: number;
  /** Turns under load, all jacks together, fewer than this are none; 1 when left out. */
  turns?: number;
}

/** An elevation that lies far from all the others. It is kept: perhaps there is a cliff. */
export interface Stray {
  /** The line of the point. */
  line: number;
  /** Its elevation, metres. */
  elevation: number;
  /** How far it lies above the middle of all, metres; negative below. */
  above: number;
}

/** Modulus of subgrade reaction: pressure that presses the ground in by a metre. */
export interface Subgrade {
  /** The least that it may be, pascals a metre. */
  lowest: number;
  /** The most that it may be, pascals a metre. */
  highest: number;
}

/** The sums at the foot of the page, metres, over the setups that were closed. */
export interface Sums {
  /** ΣBS */
  backsights: number;
  /** ΣFS */
  foresights: number;
  /** Last less first elevation, summed over the runs. */
  rise: number;
}

/** What kind of support touches the ground. */
export type SupportKind = "jack" | "outrigger" | "wheel";

/** What one support carries. */
export interface SupportLoad {
  /** The support's id. */
  id: string;
  /** Newtons. */
  load: number;
}

/** What the ground is, by its surface. */
export type Surface = "pavement" | "gravel" | "sand" | "clay" | "grass" | "soft_or_fill";

/** A reading that may be to blame. */
export interface Suspect {
  /** The row. */
  row: number;
  /** The column. */
  column: Column;
  /** As it is written. */
  written: string;
  /** What went wrong; absent when it is off by something that no usual slip explains. */
  slip: Slip | null;
  /** What it should have been, as it would have been written. */
  should_be: string;
  /** What it should have been, metres. */
  reading: number;
  /**
   * How likely it is this and no other slip of the usual kinds, 0 to 1, when there was one
   * blunder.
   */
  likelihood: number;
}

/** What moves, and how far out it gets. */
export type Swing = {
  hung_chairs: HungChairs;
} | {
  rigid_arms: RigidArms;
} | {
  rising_arms: RisingArms;
} | {
  table: SwingTable;
};

/** One row of a `SwingTable`. */
export interface SwingRow {
  /** Height above the datum plane, metres. */
  height: number;
  /** Outermost radius at that height, metres. */
  radius: number;
}

/** A moving space as a table of radius against height. */
export interface SwingTable {
  /** Rows from the bottom up; straight between rows. */
  rows: SwingRow[];
  /** How far a rider reaches beyond the table, metres. */
  reach: number;
}

/** A taped distance from a point that has a place. */
export interface Tape {
  /** The name of the point. */
  point: string;
  /** Level distance, metres. */
  distance: number;
}

/** A place by two taped distances. */
export interface Tapes {
  /** One tape. */
  first: Tape;
  /** The other. */
  second: Tape;
  /** On which side of the way from the first point to the second the place lies. */
  side?: Side | null;
}

/** A tree: a round trunk, and a round canopy with room beneath. */
export interface Tree {
  /** Unique among the features. */
  id: string;
  /** What people call it. */
  name?: string;
  /** Middle of the trunk. */
  at: [number, number];
  /** Radius of the trunk, metres. */
  trunk_radius: number;
  /** Radius of the canopy, metres. */
  canopy_radius: number;
  /** Height of the lowest branches above the ground at the trunk, metres. */
  canopy_underside: number;
  /** Height of the top above the ground at the trunk, metres. */
  canopy_top: number;
}

/** How a check came out. Never shown by colour alone: see `Verdict::word`. */
export type Verdict = "pass" | "unknown" | "fail";

/** A way that people walk: a band along a path. */
export interface Walkway {
  /** Unique among the features. */
  id: string;
  /** What people call it. */
  name?: string;
  /** The middle line. */
  path: [number, number][];
  /** Full width of the band, metres. */
  width: number;
}

/** Which way a screw goes. */
export type Way = "out" | "in";

/** What is left of a way. */
export interface WayCheck {
  /** Its id. */
  id: string;
  /** What people call it. */
  name: string;
  /** Which kind. */
  kind: WayKind;
  /** Width as drawn, metres. */
  width: number;
  /** Least width left, metres; never overstated. */
  clear_width: number;
  /** Least width asked for, metres. */
  width_required: number;
  /** Where something stands in it, the narrowest place of each stretch. */
  pinches: Pinch[];
  /** Least height left under wires and canopies, metres; absent when nothing hangs over it. */
  clear_height: number | null;
  /** Least height asked for, metres. */
  height_required: number;
  /** Steepest along, metres in a metre; absent for fire lanes and where the ground is unknown. */
  steepest_along: SteepPlace | null;
  /** Steepest across. */
  steepest_across: SteepPlace | null;
  /** Where a fire lane turns. */
  bends?: Bend[];
  /** Length of it of which the survey does not tell, metres. */
  unsurveyed: number;
  /** How it came out. */
  verdict: Verdict;
  /** What fails, and what had to be assumed, in plain words. */
  notes: string[];
}

/** Which kind of way. */
export type WayKind = "walkway" | "fire_lane";

/** A tyre of the trailer. */
export interface Wheel {
  /** Unique among the supports of the profile. */
  id: string;
  /** Middle of its print, ride frame. */
  at: [number, number];
  /** From the datum plane down to the ground while the tyre carries, metres. */
  drop: number;
  /** How much lower the tyre hangs when the frame is lifted off it, metres. */
  droop: number;
}

/** A tyre at one stage. */
export interface WheelState {
  /** The wheel's id. */
  id: string;
  /** Air under the tyre, drooping, metres; below 0 while it carries. */
  clearance: number;
}

/** How likely the plan stays within stroke and blocking, for the survey's own errors. */
export interface Within {
  /** Jacks and then outriggers, in the order of the profile. */
  feet: FootWithin[];
  /** The probability that any jack runs out of screw or of holes is no more than this. */
  stroke_out: number;
  /**
   * The probability that at any outrigger the blocks on the truck do not make up for it is no
   * more than this; absent for a ride without outriggers.
   */
  blocking_out?: number | null;
}
