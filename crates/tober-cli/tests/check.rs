//! `tober check` as an organizer and scripts run it.

use std::process::{Command, Output, Stdio};

const ROOT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../..");

fn check(name: &str, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_tober"))
        .args(["check", &format!("{ROOT}/sample-sites/{name}.json")])
        .args(args)
        .stdin(Stdio::null())
        .output()
        .expect("the command runs")
}

fn text(output: &Output) -> &str {
    std::str::from_utf8(&output.stdout).expect("UTF-8")
}

#[test]
fn the_records_of_the_samples() {
    for (name, code) in [("village-green", 1), ("paved-yard", 0)] {
        let output = check(name, &[]);
        assert_eq!(output.status.code(), Some(code), "{name}");
        assert!(output.stderr.is_empty());
        let record = text(&output);
        for line in record.lines() {
            assert!(line.chars().count() <= 100, "{name}: {line}");
        }
        insta::assert_snapshot!(format!("check-{name}"), record);
    }
}

#[test]
fn one_who_asks_sees_only_that() {
    let output = check("village-green", &["--by", "utility"]);
    // What fails there is asked by others.
    assert_eq!(output.status.code(), Some(0));
    let record = text(&output);
    assert!(record.contains("Only what is asked by: utility"));
    assert!(record.contains("overhead line") && !record.contains("walkway: Path"));
    assert_eq!(
        check("village-green", &["--by", "access"]).status.code(),
        Some(1)
    );
    assert_eq!(
        check("village-green", &["--by", "nobody"]).status.code(),
        Some(2)
    );
}

#[test]
fn json_says_what_the_page_says() {
    let output = check("village-green", &["--json"]);
    assert_eq!(output.status.code(), Some(1));
    let record: serde_json::Value = serde_json::from_str(text(&output)).expect("JSON");
    assert_eq!(record["verdict"], "fail");
    let rows = record["rows"].as_array().expect("rows");
    let margins: Vec<f64> = rows
        .iter()
        .map(|row| row["margin"].as_f64().expect("a margin"))
        .collect();
    assert!(margins.is_sorted() && margins.len() > 15);
    assert_eq!(rows[0]["ride"], "swing");
    assert_eq!(rows[0]["asks"], "access");
    // An overridden value tells what it replaces, wherever it is shown.
    let tree = |rule: &&serde_json::Value| rule["id"] == "tree-moving";
    let rule = record["rules"]
        .as_array()
        .expect("rules")
        .iter()
        .find(tree)
        .expect("the rule");
    assert!(rule["replaces"].is_number() && rule["standing"] == "local");
    assert!(
        record["not_checked"]
            .as_array()
            .is_some_and(|it| it.len() == 3)
    );
    assert_eq!(record["ways"][0]["kind"], "walkway");
    let at_hand = &record["at_hand"][0];
    assert_eq!(at_hand["kind"], "extinguisher");
    assert_eq!(at_hand["verdict"], "pass");
    let at_hand = &record["at_hand"][1];
    assert_eq!(
        (&at_hand["kind"], &at_hand["verdict"]),
        (&"disconnect".into(), &"pass".into())
    );
}

#[test]
fn a_row_is_drawn_from_the_side() {
    let file = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("check-side.svg");
    let out = file.to_str().expect("UTF-8");
    let output = check("village-green", &["--side", "1", "--out", out]);
    // The record is printed as ever.
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output).contains("Clearance record"));
    let drawn = std::fs::read_to_string(&file).expect("written");
    assert!(drawn.starts_with("<svg xmlns=") && drawn.contains("Looking"));
    // The number is that of the table as it is printed: filtered, another row is the first.
    check(
        "village-green",
        &["--by", "utility", "--side", "1", "--out", out],
    );
    let other = std::fs::read_to_string(&file).expect("written");
    assert!(other.contains("Storm drain") && other != drawn);
    for (args, says) in [
        (["--side", "0"], "no row 0"),
        (["--side", "999"], "no row 999"),
    ] {
        let output = check("village-green", &[args[0], args[1], "--out", out]);
        assert_eq!(output.status.code(), Some(2));
        let error = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(error.contains(says), "{error}");
    }
    // What lies between two things of the lot has a side view as well.
    let rows = check("paved-yard", &[]);
    let line = text(&rows)
        .lines()
        .find(|line| line.contains("Diesel tank: "));
    let number = line.and_then(|line| line.split_whitespace().next());
    let number = number.expect("a row of the tank").to_owned();
    let output = check("paved-yard", &["--side", &number, "--out", out]);
    assert_ne!(output.status.code(), Some(2));
    let tank = std::fs::read_to_string(&file).expect("written");
    assert!(tank.contains("Diesel tank"), "{tank}");
    assert_eq!(check("paved-yard", &["--side", "1"]).status.code(), Some(2));
}
