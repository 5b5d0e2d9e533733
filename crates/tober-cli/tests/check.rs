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
            .is_some_and(|it| it.len() > 3)
    );
    assert_eq!(record["ways"][0]["kind"], "walkway");
}
