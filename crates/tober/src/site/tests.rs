//! One mistake in a sound file gives one fault, at its place; many give them all.

use std::sync::Arc;

use proptest::prelude::*;
use serde_json::{Value, json};

use super::{Fault, Placement, Severity, Site, SiteFile, SpotLevel, limits};
use crate::Point;
use crate::ground::Elevation;
use crate::ride::{Loading, builtin};

const GREEN: &str = include_str!("../../../../sample-sites/village-green.json");
const YARD: &str = include_str!("../../../../sample-sites/paved-yard.json");

/// The sample green, with a profile of its own, as JSON to be spoilt.
fn green() -> Value {
    let mut tree: Value = serde_json::from_str(GREEN).unwrap();
    let mut own = builtin()[0].clone();
    own.id = "own".to_owned();
    // Riders of another swing would sit nobody knows where: a second fault.
    own.loads = Loading::default();
    tree["profiles"] = json!([own]);
    tree
}

fn green_file() -> SiteFile {
    serde_json::from_str(GREEN).unwrap()
}

/// Puts a value at a place such as `rides[0].id`; one past the end of a list is added to it.
fn put(tree: &mut Value, place: &str, value: Value) {
    let mut at = tree;
    for step in place.split(['.', '[']) {
        at = match step.strip_suffix(']') {
            Some(index) => {
                let index: usize = index.parse().unwrap();
                let entries = at.as_array_mut().unwrap();
                if index == entries.len() {
                    entries.push(Value::Null);
                }
                &mut entries[index]
            }
            None => &mut at[step],
        };
    }
    *at = value;
}

fn faults(tree: &Value) -> Vec<String> {
    match Site::read(&tree.to_string()) {
        Ok(site) => lines(site.warnings()),
        Err(error) => lines(error.faults()),
    }
}

fn lines(faults: &[Fault]) -> Vec<String> {
    faults.iter().map(Fault::to_string).collect()
}

/// Every row: what is put where, and the one line that comes of it.
fn assert_one_fault_each(rows: &[(&str, Value, &str)]) {
    for (place, value, line) in rows {
        let mut tree = green();
        put(&mut tree, place, value.clone());
        assert_eq!(faults(&tree), [*line], "with {value} at {place}");
    }
}

#[test]
fn the_samples_have_no_fault() {
    for sample in [GREEN, YARD] {
        let site = Site::read(sample).unwrap();
        assert_eq!(site.warnings(), []);
        assert_eq!(
            site.to_json(),
            sample,
            "a sample is kept in the written form"
        );
    }
    assert_eq!(faults(&green()), [""; 0]);
}

#[test]
fn mistakes_of_sense_on_the_lot() {
    let corners = json!([[0.0, 0.0], [60.0, 45.0], [60.0, 0.0], [0.0, 45.0]]);
    let flat = json!([[0.0, 0.0], [30.0, 0.0], [60.0, 0.0]]);
    let tiny = json!([[0.0, 0.0], [0.01, 0.0], [0.01, 0.01]]);
    let closed = json!([
        [0.0, 0.0],
        [60.0, 0.0],
        [60.0, 45.0],
        [0.0, 45.0],
        [0.0, 0.0]
    ]);
    let doubled = json!([
        [0.0, 0.0],
        [60.0, 0.0],
        [60.0, 0.0],
        [60.0, 45.0],
        [0.0, 45.0]
    ]);
    let wide = json!([[0.0, 0.0], [21000.0, 0.0], [21000.0, 45.0], [0.0, 45.0]]);
    assert_one_fault_each(&[
        (
            "name",
            json!("  "),
            "name: is \"  \"; expected a text that is not blank",
        ),
        (
            "lot.boundary",
            json!([]),
            "lot.boundary: is empty; expected 3 or more corners",
        ),
        (
            "lot.boundary",
            json!([[0.0, 0.0], [1.0, 1.0]]),
            "lot.boundary: is a list of 2; expected 3 or more corners",
        ),
        (
            "lot.boundary",
            corners,
            "lot.boundary: is a line that meets itself: the side from [0] to [1] and the side \
             from [2] to [3]; expected corners in order round the outline",
        ),
        (
            "lot.boundary",
            flat,
            "lot.boundary: is a line that meets itself: the side from [0] to [1] and the side \
             from [2] to [0]; expected corners in order round the outline",
        ),
        (
            "lot.boundary",
            tiny,
            "lot.boundary: is an outline of 0.00005 m²; expected corners that enclose an area",
        ),
        (
            "lot.boundary",
            closed,
            "lot.boundary[4]: is the same place as [0]; expected each corner once: the line \
             closes by itself",
        ),
        (
            "lot.boundary",
            doubled,
            "lot.boundary[2]: is the same place as [1]; expected each place once",
        ),
        (
            "lot.boundary",
            wide,
            "lot.boundary: is a line 21000 m across; expected a lot at most 20000 m across",
        ),
        (
            "lot.boundary[3][1]",
            json!(1e9),
            "lot.boundary[3][1]: is 1e9; expected a coordinate in metres from -10000000 to \
             10000000",
        ),
        (
            "spot_levels[2].elevation",
            json!(9500),
            "spot_levels[2].elevation: is 9500; expected an elevation in metres from -500 to 9000",
        ),
        (
            "spot_levels[2].x",
            json!(30_000.0),
            "spot_levels: is a survey 30001 m across; expected at most 20000 m",
        ),
    ]);
}

#[test]
fn mistakes_of_sense_in_features() {
    let way = json!({ "id": "lane", "path": [[1.0, 1.0], [1.0, 1.0]], "width": 2.0 });
    let flat = json!([[0.0, 0.0], [1.0, 1.0], [0.5, 0.5]]);
    assert_one_fault_each(&[
        (
            "features.trees[1].id",
            json!("cross-path"),
            "features.trees[1].id: is \"cross-path\"; expected one that no other feature has \
             (features.walkways[0].id has it)",
        ),
        (
            "features.walkways[1]",
            way,
            "features.walkways[1].path[1]: is the same place as [0]; expected each place once",
        ),
        (
            "features.walkways[0].path",
            json!([[1.0, 1.0]]),
            "features.walkways[0].path: is a list of 1; expected 2 or more points",
        ),
        (
            "features.fire_lanes[0].width",
            json!(-6.1),
            "features.fire_lanes[0].width: is -6.1; expected a width in metres, more than 0 and \
             at most 200",
        ),
        (
            "features.buildings[0].outline",
            flat,
            "features.buildings[0].outline: is a line that meets itself: the side from [0] to [1] \
             and the side from [1] to [2]; expected corners in order round the outline",
        ),
        (
            "features.buildings[0].height",
            json!(0),
            "features.buildings[0].height: is 0; expected a height in metres, more than 0 and at \
             most 500",
        ),
        (
            "features.trees[0].trunk_radius",
            json!(9.0),
            "features.trees[0].trunk_radius: is 9; expected no more than canopy_radius (4.2)",
        ),
        (
            "features.trees[0].canopy_underside",
            json!(20.0),
            "features.trees[0].canopy_underside: is 20; expected no more than canopy_top (14)",
        ),
        (
            "features.overhead_lines[0].volts",
            json!(1e8),
            "features.overhead_lines[0].volts: is 100000000; expected a voltage in volts, more \
             than 0 and at most 2000000",
        ),
        (
            "features.overhead_lines[0].supplies",
            json!(["nobody"]),
            "features.overhead_lines[0].supplies[0]: is \"nobody\"; expected the id of a ride of \
             this site: swing",
        ),
        (
            "features.overhead_lines[0].points[1].height",
            json!(-1),
            "features.overhead_lines[0].points[1].height: is -1; expected a height in metres, \
             more than 0 and at most 500",
        ),
        (
            "features.power_sources[0].radius",
            json!(0),
            "features.power_sources[0].radius: is 0; expected a radius in metres, more than 0 \
             and at most 200",
        ),
        (
            "features.gates[0].to",
            json!([0.49, 12.4]),
            "features.gates[0].to: is the same place as from; expected the other gatepost",
        ),
        (
            "features.trees[0].name",
            json!("\u{1b}[31mred"),
            "features.trees[0].name: is \"\\u{1b}[31mred\"; expected a text on one line, without \
             control characters",
        ),
    ]);
}

#[test]
fn mistakes_of_sense_in_rides_and_truck() {
    let known = "marrowby-swing, tollick-round, wrenlow-hop, brandlewick-wheel";
    assert_one_fault_each(&[
        (
            "rides",
            json!([]),
            "rides: is empty; expected 1 or more rides",
        ),
        (
            "rides[0].profile",
            json!("nobody"),
            &format!(
                "rides[0].profile: is \"nobody\"; expected the id of a profile in this file or \
                 of a built-in one: own, {known}"
            ),
        ),
        (
            "rides[1]",
            json!({ "id": "swing", "profile": "own", "placement": { "x": 30, "y": 25, "heading": 0 } }),
            "rides[1].id: is \"swing\"; expected one that no other ride has (rides[0].id has it)",
        ),
        (
            "rides[0].placement.heading",
            json!(-36_001.0),
            "rides[0].placement.heading: is -36001; expected a heading in degrees clockwise from \
             grid north from -36000 to 36000",
        ),
        (
            "blocks[1].id",
            json!("6x10 crib"),
            "blocks[1].id: is \"6x10 crib\"; expected one that no other block has (blocks[0].id \
             has it)",
        ),
        (
            "blocks[0].thickness",
            json!(140),
            "blocks[0].thickness: is 140; expected a thickness in metres from 0.001 to 1",
        ),
        (
            "blocks[0].width",
            json!(0),
            "blocks[0].width: is 0; expected a length in metres, more than 0 and at most 10",
        ),
        (
            "blocks[0].count",
            json!(5000),
            "blocks[0].count: is 5000; expected at most 1000 blocks",
        ),
        (
            "clearance_values[0].value",
            json!(-0.5),
            "clearance_values[0].value: is -0.5; expected a distance in metres from 0 to 1000",
        ),
        (
            "clearance_values[0].reason",
            json!(""),
            "clearance_values[0].reason: is \"\"; expected a text that is not blank",
        ),
        (
            "clearance_values[1]",
            json!({ "rule": "tree-moving", "value": 1, "reason": "again" }),
            "clearance_values[1].rule: is \"tree-moving\"; expected one that no other clearance \
             value has (clearance_values[0].rule has it)",
        ),
    ]);
    let mut tree = green();
    put(&mut tree, "clearance_values[0].rule", json!("trees"));
    let unknown = "clearance_values[0].rule: is \"trees\"; expected the id of a rule of the \
                   rulebook: ride-spacing-major, ";
    let found = faults(&tree);
    assert!(
        found.len() == 1 && found[0].starts_with(unknown),
        "{found:?}"
    );
}

#[test]
fn mistakes_of_sense_in_a_profile() {
    let at_hub = json!({ "id": "X", "at": [0.0, 0.0], "foot_drop": 0.3 });
    let rows = |heights: [f64; 2]| {
        let row = |height| json!({ "height": height, "radius": 2.0 });
        json!({ "table": { "rows": [row(heights[0]), row(heights[1])], "reach": 0.5 } })
    };
    let arms = json!({ "rigid_arms": { "radius": 0, "low": 1, "high": 2, "reach": 0.5 } });
    let upside = json!({ "rigid_arms": { "radius": 4, "low": 2, "high": 1, "reach": 0.5 } });
    assert_one_fault_each(&[
        (
            "profiles[0].levelling.steps",
            json!({ "level_deg": 0 }),
            "profiles[0].levelling.steps.level_deg: is 0; expected a tilt in degrees from 0.01 \
             to 1",
        ),
        (
            "profiles[0].levelling.steps",
            json!({ "height": -0.02 }),
            "profiles[0].levelling.steps.height: is -0.02; expected a length in metres from \
             0.001 to 0.5",
        ),
        (
            "profiles[0].levelling.steps",
            json!({ "turns": 1e9 }),
            "profiles[0].levelling.steps.turns: is 1e9; expected turns of the crank from \
             0.25 to 100",
        ),
        (
            "profiles[0].id",
            json!("tollick-round"),
            "profiles[0].id: is \"tollick-round\"; expected an id that no built-in profile has",
        ),
        (
            "profiles[0].jacks[1].id",
            json!("O-FL"),
            "profiles[0].outriggers[0].id: is \"O-FL\"; expected one that no other support of \
             the profile has (profiles[0].jacks[1].id has it)",
        ),
        (
            "profiles[0].jacks[2].screw_extended",
            json!(0.05),
            "profiles[0].jacks[2].screw_extended: is 0.05; expected more than screw_retracted \
             (0.05)",
        ),
        (
            "profiles[0].jacks[2].holes",
            json!([]),
            "profiles[0].jacks[2].holes: is empty; expected 1 or more holes",
        ),
        (
            "profiles[0].jacks[2].holes[0]",
            json!(0.01),
            "profiles[0].jacks[2].holes[0]: is 0.01; expected 0, the highest hole",
        ),
        (
            "profiles[0].jacks[2].holes[1]",
            json!(0.2),
            "profiles[0].jacks[2].holes[2]: is 0.15; expected more than the hole before (0.2)",
        ),
        (
            "profiles[0].jacks[0].lift_per_turn",
            json!(0),
            "profiles[0].jacks[0].lift_per_turn: is 0; expected a lift in metres a turn, more \
             than 0 and at most 0.1",
        ),
        (
            "profiles[0].levelling.stroke_reserve",
            json!(0.21),
            "profiles[0].levelling.stroke_reserve: is 0.21; expected at most half the stroke of \
             jack FL (0.4)",
        ),
        (
            "profiles[0].levelling.tolerance_along_deg",
            json!(0),
            "profiles[0].levelling.tolerance_along_deg: is 0; expected a tilt in degrees, more \
             than 0 and at most 10",
        ),
        (
            "profiles[0].jacks",
            json!([]),
            "profiles[0].jacks: is empty; expected 3 or more jacks",
        ),
        (
            "profiles[0].outriggers",
            json!([at_hub]),
            "profiles[0].outriggers: is a list of 1; expected 3 or more outriggers",
        ),
        (
            "profiles[0].outriggers",
            json!([-2.0, 0.0, 2.0].map(|x| json!({
                "id": format!("{x}"), "at": [x, x + 0.03 * (x * x - 4.0)], "foot_drop": 0.3
            }))),
            "profiles[0].outriggers: is feet on one line; expected feet that the ride can stand \
             on",
        ),
        (
            "profiles[0].swing.hung_chairs.hanger",
            json!(0),
            "profiles[0].swing.hung_chairs.hanger: is 0; expected a length in metres, more than \
             0 and at most 200",
        ),
        (
            "profiles[0].swing.hung_chairs.full_speed_rpm",
            json!(201),
            "profiles[0].swing.hung_chairs.full_speed_rpm: is 201; expected a speed in turns a \
             minute from 0 to 200",
        ),
        (
            "profiles[0].swing",
            arms,
            "profiles[0].swing.rigid_arms.radius: is 0; expected a length in metres, more than 0 \
             and at most 200",
        ),
        (
            "profiles[0].swing",
            upside,
            "profiles[0].swing.rigid_arms.high: is 1; expected more than low (2)",
        ),
        (
            "profiles[0].swing",
            rows([1.0, 1.0]),
            "profiles[0].swing.table.rows[1].height: is 1; expected more than the row before (1)",
        ),
        (
            "profiles[0].fence.panel",
            json!(0),
            "profiles[0].fence.panel: is 0; expected a length in metres from 0.25 to 20",
        ),
        (
            "profiles[0].fence.gates",
            json!(25),
            "profiles[0].fence.gates: is 25; expected no more than panels (24)",
        ),
        (
            "profiles[0].body[2][0]",
            json!(5.0),
            "profiles[0].body: is a line that meets itself: the side from [1] to [2] and the \
             side from [3] to [0]; expected corners in order round the outline",
        ),
    ]);
}

#[test]
fn what_is_questionable_is_a_warning() {
    let twin = json!({ "x": 0.004, "y": -0.004, "elevation": 31.5 });
    assert_one_fault_each(&[
        (
            "spot_levels[45]",
            twin,
            "warning: spot_levels[45]: is a height of 31.500 m where spot_levels[0] has 30.886 \
             m; expected one height for one place",
        ),
        (
            "features.trees[0].at",
            json!([-400.0, 20.0]),
            "warning: features.trees[0]: is 400 m or more off the lot; expected a feature within \
             200 m of it",
        ),
        (
            "features.overhead_lines[0].volts",
            Value::Null,
            "warning: features.overhead_lines[0].volts: is not given; expected the voltage in \
             volts; the strictest rule is taken to hold",
        ),
        (
            "features.overhead_lines[0].sag",
            Value::Null,
            "warning: features.overhead_lines[0].sag: is not given; expected the sag in metres; \
             a wire is taken to hang at any height below its points",
        ),
        (
            "profiles[0].swing.hung_chairs.hanger",
            json!(3.9),
            "warning: profiles[0].swing.hung_chairs.hanger: is 3.9; expected no more than \
             pivot_height (3.85): these chairs hang below the frame",
        ),
        (
            "rides[0].placement",
            json!({ "x": 1.9, "y": 20.0, "heading": 0.0 }),
            "warning: rides[0].placement: is outside the spot levels with O-FL, O-BL; expected spot \
             levels on every side of every foot and tyre",
        ),
    ]);
}

#[test]
fn mistakes_of_type() {
    assert_one_fault_each(&[
        (
            "rides[0].placement.heading",
            json!("north"),
            "rides[0].placement.heading: is \"north\"; expected a number of degrees clockwise \
             from grid north",
        ),
        (
            "features.trees[2].canopy_radius",
            json!("wide"),
            "features.trees[2].canopy_radius: is \"wide\"; expected a number of metres",
        ),
        (
            "features.trees[2].at[1]",
            json!("far"),
            "features.trees[2].at[1]: is \"far\"; expected a number of metres",
        ),
        (
            "lot.boundary[2]",
            json!([1.0, 2.0, 3.0]),
            "lot.boundary[2]: is a list of 3; expected a place as [x, y], in metres",
        ),
        (
            "profiles[0].jacks[1].holes[0]",
            Value::Null,
            "profiles[0].jacks[1].holes[0]: is null; expected a number of metres",
        ),
        (
            "profiles[0].swing",
            json!({ "ropes": {} }),
            "profiles[0].swing: is \"ropes\"; expected one of hung_chairs, rigid_arms, rising_arms, table",
        ),
        (
            "units",
            json!("cubits"),
            "units: is \"cubits\"; expected one of feet_inches_8, feet_inches_16, decimal_feet, \
             metres, millimetres",
        ),
        (
            "blocks[0].count",
            json!(2.5),
            "blocks[0].count: is 2.5; expected a whole number, 0 or more",
        ),
        (
            "features.gates",
            json!({}),
            "features.gates: is an object; expected a list in square brackets",
        ),
        ("lot", json!(5), "lot: is 5; expected an object in braces"),
        (
            "features",
            json!(5),
            "features: is 5; expected an object in braces",
        ),
        (
            "rides[0].colour",
            json!("red"),
            "rides[0].colour: is \"red\"; expected no such key, but one of id, name, profile, \
             placement, fence_gaps",
        ),
        (
            "format",
            json!("recipe"),
            "format: is \"recipe\"; expected \"tober-site\": this is not a site file",
        ),
        (
            "version",
            json!(5_000_000_000_u64),
            "version: is 4294967295; expected 1: a newer version of the program wrote this",
        ),
        (
            "version",
            json!(2),
            "version: is 2; expected 1: a newer version of the program wrote this",
        ),
        ("version", json!(0), "version: is 0; expected 1"),
    ]);
}

#[test]
fn a_key_left_out_is_missing() {
    for (place, line) in [
        (
            "/blocks/0",
            "blocks[0].width: is missing; expected a number of metres; the key may not be left out",
        ),
        (
            "/features/trees/1",
            "features.trees[1].id: is missing; expected a text in double quotes; the key may not \
             be left out",
        ),
        (
            "",
            "spot_levels: is missing; expected a list in square brackets; the key may not be \
             left out",
        ),
        (
            "",
            "format: is missing; expected \"tober-site\": this is not a site file",
        ),
    ] {
        let mut tree = green();
        let key = line.split(':').next().unwrap().rsplit('.').next().unwrap();
        let keys = tree.pointer_mut(place).unwrap().as_object_mut().unwrap();
        assert!(keys.remove(key).is_some());
        assert_eq!(faults(&tree), [line]);
    }
}

#[test]
fn every_fault_is_told_at_once_and_where_it_stands_in_the_file() {
    let mut tree = green();
    for (place, value) in [
        ("spot_levels[3]", json!("high")),
        ("spot_levels[7].elevation", json!(1e7)),
        ("spot_levels[9].x", json!([])),
        ("spot_levels[12].y", json!(-1e8)),
        ("features.trees[0].at", json!([1.0])),
        ("features.trees[3].canopy_top", json!(0.5)),
        ("rides[0].placement.x", json!("far")),
        ("blocks[4].thickness", json!(6)),
        ("blocks[2].colour", json!("red")),
        ("lot.boundary[1]", json!({})),
    ] {
        put(&mut tree, place, value);
    }
    let found = faults(&tree);
    let places: Vec<&str> = found
        .iter()
        .map(|line| line.split(": is").next().unwrap())
        .collect();
    assert_eq!(
        places,
        [
            // Of type, in the order of the file …
            "lot.boundary[1]",
            "spot_levels[3]",
            "spot_levels[9].x",
            "features.trees[0].at",
            "rides[0].placement.x",
            "blocks[2].colour",
            // … then of sense. The lot's line and the empty list of rides are not called wrong:
            // what was taken out of them made them so.
            "spot_levels[7].elevation",
            "spot_levels[12].y",
            "features.trees[3].canopy_underside",
            "blocks[4].thickness",
        ]
    );
}

#[test]
fn a_spoilt_profile_is_not_called_unknown() {
    let mut tree = green();
    put(&mut tree, "profiles[0].levelling", json!("level"));
    put(&mut tree, "rides[0].profile", json!("own"));
    assert_eq!(
        faults(&tree),
        ["profiles[0].levelling: is \"level\"; expected an object in braces"]
    );
}

#[test]
fn a_key_given_twice_is_a_fault() {
    let twice = GREEN.replacen("\"width\": 2.4", "\"width\": 2.4, \"width\": 3", 1);
    assert_eq!(
        lines(Site::read(&twice).unwrap_err().faults()),
        ["features.walkways[0].width: is given twice, the second time 3; expected each key once"]
    );
}

#[test]
fn a_strange_key_is_shown_cut_and_on_one_line() {
    for (key, shown) in [
        ("x".repeat(1_000_000), "rides[0].\"xxx"),
        ("a.b\nc".to_owned(), "rides[0].\"a.b\\nc\": is 1; "),
    ] {
        let mut tree = green();
        tree["rides"][0][key] = json!(1);
        let found = faults(&tree);
        assert_eq!(found.len(), 1);
        assert!(found[0].starts_with(shown), "{}", found[0]);
        assert!(found[0].len() < 200, "{}", found[0].len());
    }
}

#[test]
fn text_that_is_not_json_is_located() {
    let nan = GREEN.replacen("\"width\": 2.4", "\"width\": NaN", 1);
    let nan_line = GREEN
        .lines()
        .position(|line| line.contains("\"width\": 2.4"))
        .unwrap()
        + 1;
    let rows = [
        (
            "",
            "line 1, column 1: is the end of the text; expected more: the file breaks off here, \
              and may not have been saved or sent whole",
        ),
        (
            "{\n  \"format\": \"tober",
            "line 2, column 18: is the end of the text; expected more: \
              the file breaks off here, and may not have been saved or sent whole",
        ),
        (
            "{\"é\": 1,}",
            "line 1, column 9: is \"}\"; expected no comma after the last entry",
        ),
        (
            "[1, -Infinity]",
            "line 1, column 6: is \"-Infinity\"; expected a number: JSON knows no \
              NaN and no Infinity",
        ),
        (
            "{\"a\": 1e999}",
            "line 1, column 11: is \"1e999\"; expected a number of a size that a \
              computer can hold",
        ),
        (
            "{'a': 1}",
            "line 1, column 2: is \"'\"; expected double quotes around keys and texts",
        ),
        (
            "{a: 1}",
            "line 1, column 2: is \"a\"; expected a key in double quotes",
        ),
        (
            "{\"a\" 1}",
            "line 1, column 6: is \"1\"; expected a colon between a key and its value",
        ),
        (
            "{\"a\": 1 \"b\": 2}",
            "line 1, column 9: is \"\\\"\"; expected a comma before the next \
              key, or } after the last",
        ),
        (
            "[1 2]",
            "line 1, column 4: is \"2\"; expected a comma before the next entry, or ] \
              after the last",
        ),
        (
            "{} {}",
            "line 1, column 4: is \"{\"; expected nothing after the end of the file's one \
              object",
        ),
        (
            "// site",
            "line 1, column 1: is \"/\"; expected no comments: JSON knows none",
        ),
        (
            "[01]",
            "line 1, column 3: is \"01\"; expected a number such as 12.5 or -0.3",
        ),
        (
            "[tru]",
            "line 1, column 5: is \"]\"; expected a value: a number, a text in double \
              quotes, a list or an object",
        ),
        (
            "[\"a\nb\"]",
            "line 2, column 1: is \"b\"; expected a text on one line, its quotes closed",
        ),
        (
            "[\"\\x\"]",
            "line 1, column 4: is \"x\"; expected a sign that may follow a backslash, \
              such as \\n or \\\"",
        ),
        (
            "[1]",
            "file: is a list of 1; expected a site file: an object in braces",
        ),
    ];
    for (text, line) in rows {
        assert_eq!(
            lines(Site::read(text).unwrap_err().faults()),
            [line],
            "{text}"
        );
    }
    let found = Site::read(&nan).unwrap_err().to_string();
    assert!(
        found.starts_with(&format!("line {nan_line}, column 18: is \"NaN\"; ")),
        "{found}"
    );
    let deep = "[".repeat(100_000);
    assert!(
        Site::read(&deep)
            .unwrap_err()
            .to_string()
            .ends_with("not nested so deeply")
    );
}

#[test]
fn a_byte_order_mark_is_no_fault() {
    assert!(Site::read(&format!("\u{feff}{GREEN}")).is_ok());
}

#[test]
fn what_is_over_a_limit_is_refused_with_the_limit_named() {
    let many = |entry: Value, count: usize| Value::Array(vec![entry; count]);
    let tree = green();
    let first = |place: &str| tree.pointer(place).unwrap().clone();
    let rows = [
        (
            "spot_levels",
            many(first("/spot_levels/0"), 250_001),
            "at most 250000 spot levels",
        ),
        (
            "lot.boundary",
            many(json!([0, 0]), 1_001),
            "at most 1000 corners",
        ),
        (
            "features.walkways[0].path",
            many(json!([0, 0]), 1_001),
            "at most 1000 points",
        ),
        (
            "features.trees",
            many(first("/features/trees/0"), 2_001),
            "at most 2000 features of all kinds",
        ),
        ("rides", many(first("/rides/0"), 61), "at most 60 rides"),
        (
            "profiles",
            many(first("/profiles/0"), 61),
            "at most 60 profiles",
        ),
        (
            "blocks",
            many(first("/blocks/0"), 61),
            "at most 60 kinds of blocks",
        ),
        (
            "clearance_values",
            many(first("/clearance_values/0"), 201),
            "at most 200 clearance values",
        ),
        (
            "profiles[0].jacks",
            many(first("/profiles/0/jacks/0"), 30),
            "at most 24 jacks, outriggers and wheels together",
        ),
        (
            "profiles[0].jacks[0].holes",
            many(json!(0), 41),
            "at most 40 holes",
        ),
        ("name", json!("n".repeat(201)), "at most 200 characters"),
    ];
    for (place, value, expected) in rows {
        let mut tree = green();
        put(&mut tree, place, value);
        let found = Site::read(&tree.to_string()).unwrap_err();
        let found: Vec<&str> = found
            .faults()
            .iter()
            .map(|fault| fault.expected.as_str())
            .collect();
        assert_eq!(found, [expected], "{place}");
    }
    let kinds = tree["features"].as_object().unwrap();
    assert_eq!(kinds.len(), 12);
    for (kind, entries) in kinds {
        let mut tree = green();
        tree["features"][kind] = many(entries[0].clone(), 2_001);
        let found = faults(&tree);
        assert!(
            found[0].ends_with("at most 2000 features of all kinds"),
            "{kind}: {found:?}"
        );
    }
    let zone = json!({ "id": "z", "outline": vec![json!([0, 0]); 1_000], "surface": "sand" });
    let mut tree = green();
    put(&mut tree, "features.ground_zones", many(zone, 10));
    let expected = "at most 10000 points of features";
    assert!(faults(&tree)[0].ends_with(expected));
    let large = format!("{GREEN}{}", " ".repeat(limits::FILE_BYTES));
    assert_eq!(
        Site::read(&large).unwrap_err().to_string(),
        "file: is 32.0 MiB; expected at most 32 MiB"
    );
}

#[test]
fn numbers_that_json_cannot_write_are_faults_too() {
    let mut file = green_file();
    file.lot.boundary[2] = Point::new(f64::NAN, 0.0);
    file.rides[0].placement.heading = f64::INFINITY;
    file.features.trees[0].canopy_top = f64::NEG_INFINITY;
    assert_eq!(
        lines(&Site::new(file).unwrap_err().0),
        [
            "lot.boundary[2][0]: is NaN; expected a coordinate in metres from -10000000 to 10000000",
            "features.trees[0].canopy_top: is -inf; expected a height in metres, more than 0 and \
             at most 500",
            "rides[0].placement.heading: is inf; expected a heading in degrees clockwise from \
             grid north from -36000 to 36000",
        ]
    );
}

#[test]
fn errors_past_the_hundredth_are_counted() {
    let mut file = green_file();
    let spot = SpotLevel {
        x: 0.0,
        y: 0.0,
        elevation: Elevation(f64::NAN),
        error: None,
    };
    file.spot_levels = vec![spot; 1_000];
    let found = Site::new(file).unwrap_err().0;
    assert_eq!(found.len(), limits::ERRORS + 1);
    assert_eq!(
        found[limits::ERRORS].to_string(),
        "elsewhere: is 900 more like these; expected none; the first 100 are listed"
    );
}

#[test]
fn checks_of_the_largest_lists_take_no_time_to_speak_of() {
    // A comb whose teeth all share one range of x, y, and a survey of one place over and over:
    // the worst for the pairs of sides, and for the twins. Quadratic work over the spot levels
    // would take minutes here.
    let mut file = green_file();
    let tooth = |i: usize| Point::new((i % 2) as f64 * 50.0, i as f64 * 0.05);
    file.lot.boundary = (0..limits::POINTS - 1).map(tooth).collect();
    file.lot.boundary.push(Point::new(-1.0, 25.0));
    let spot = |i: usize| SpotLevel {
        x: 10.0,
        y: 10.0 + (i % 3) as f64 * 0.008,
        elevation: Elevation((i % 7) as f64),
        error: None,
    };
    file.spot_levels = (0..limits::SPOT_LEVELS).map(spot).collect();
    assert_eq!(
        Site::new(file).unwrap().warnings().len(),
        limits::WARNINGS + 2
    );
}

#[test]
fn a_change_beside_the_survey_shares_the_ground() {
    let site = Site::new(crate::fixtures::flat_lot()).unwrap();
    let mut file = site.file().clone();
    file.name = "another".to_owned();
    assert!(
        site.changed(file.clone())
            .unwrap()
            .shares_ground_with(&site)
    );
    file.spot_levels[0].elevation = file.spot_levels[0].elevation + 0.1;
    let raised = site.changed(file).unwrap();
    assert!(!raised.shares_ground_with(&site));
    let alone = Site::new(raised.file().clone()).unwrap();
    assert_eq!(raised.ground().highest(), alone.ground().highest());
}

#[test]
fn moving_a_ride_shares_the_ground_and_tells_where_it_stands() {
    let site = Site::read(GREEN).unwrap();
    let off = Placement {
        x: -10.0,
        y: 20.0,
        heading: 725.0,
    };
    let moved = site.with_placement(0, off).unwrap();
    assert!(Arc::ptr_eq(&site.ground, &moved.ground));
    assert_eq!(moved.file().rides[0].placement, off);
    let warnings = lines(moved.warnings());
    assert_eq!(warnings.len(), 2);
    // 10 m west of the lot line, which leans 1.5 in 38 here: 10.78 m = 35' 4-3/8".
    assert!(
        warnings[0].starts_with("warning: rides[0].placement: is 35' "),
        "{}",
        warnings[0]
    );
    assert!(
        warnings[1].contains("FL, FR, BL, BR, O-FL"),
        "{}",
        warnings[1]
    );
    let back = moved
        .with_placement(0, site.file().rides[0].placement)
        .unwrap();
    assert_eq!(back.warnings(), []);
    assert_eq!(back.file(), site.file());
}

#[test]
fn a_ride_cannot_be_moved_nowhere() {
    let site = Site::read(GREEN).unwrap();
    let placement = Placement {
        x: f64::NAN,
        y: 1e8,
        heading: 0.0,
    };
    assert_eq!(
        lines(&site.with_placement(1, placement).unwrap_err().0),
        [
            "rides[1]: is no ride; expected one of 1, counted from 0",
            "rides[1].placement.x: is NaN; expected a coordinate in metres from -10000000 to 10000000",
            "rides[1].placement.y: is 100000000; expected a coordinate in metres from -10000000 to 10000000",
        ]
    );
}

#[test]
fn warnings_follow_errors() {
    let mut tree = green();
    put(&mut tree, "features.overhead_lines[0].volts", Value::Null);
    put(&mut tree, "blocks[0].width", json!(0));
    let error = Site::read(&tree.to_string()).unwrap_err();
    let severities: Vec<Severity> = error.faults().iter().map(|fault| fault.severity).collect();
    assert_eq!(severities, [Severity::Error, Severity::Warning]);
}

proptest! {
    /// What is written reads back as the same file, to the last digit; whatever the names hold.
    #[test]
    fn a_written_file_reads_back_the_same(
        name in r#"[\[\]{},:" a-zé\\]{1,20}x"#,
        x in -1e7..1e7f64,
        elevation in -500.0..9000.0f64,
        radii in (0.01..5.0f64, 0.0..100.0f64),
    ) {
        let mut file = green_file();
        file.name.clone_from(&name);
        file.clearance_values[0].reason = name;
        file.rides[0].placement.x = x;
        file.spot_levels[3].elevation = Elevation(elevation);
        file.features.trees[0].trunk_radius = radii.0;
        file.features.trees[0].canopy_radius = radii.0 + radii.1;
        let site = Site::new(file).unwrap();
        let again = Site::read(&site.to_json()).unwrap();
        prop_assert_eq!(again.file(), site.file());
    }
}
