//! The `tober` command as people and scripts run it, on the sample sites and on files that cannot
//! be used.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use tober::assess::Assessment;

const ROOT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../..");

fn sample(name: &str) -> String {
    format!("{ROOT}/sample-sites/{name}.json")
}

fn village() -> String {
    fs::read_to_string(sample("village-green")).expect("the sample is there")
}

fn tober<'a>(args: impl IntoIterator<Item = &'a str>) -> Output {
    Command::new(env!("CARGO_BIN_EXE_tober"))
        .args(args)
        .stdin(Stdio::null())
        .output()
        .expect("the command runs")
}

fn tober_reading(input: &[u8], args: &[&str]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_tober"))
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the command runs");
    // A file that is too large is not read to its end.
    let _ = child.stdin.take().expect("a pipe").write_all(input);
    child.wait_with_output().expect("the command ends")
}

fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).expect("UTF-8")
}

/// A scratch file that no other test uses.
fn scratch(name: &str) -> PathBuf {
    Path::new(env!("CARGO_TARGET_TMPDIR")).join(name)
}

/// Asserts that the input was refused and returns what was said about it.
fn refused(output: &Output) -> String {
    let said = text(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert_eq!(text(&output.stdout), "");
    assert!(!said.contains("panicked"), "{said}");
    said.to_owned()
}

#[test]
fn the_village_green_has_a_failing_clearance() {
    let output = tober(["sheet", &sample("village-green")]);
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(text(&output.stderr), "");
    insta::assert_snapshot!("village-green", text(&output.stdout));
}

#[test]
fn the_paved_yard_holds() {
    let output = tober(["sheet", &sample("paved-yard")]);
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(text(&output.stderr), "");
    insta::assert_snapshot!("paved-yard", text(&output.stdout));
}
/// Jacks and feet, ground, factors and the values in force; the exit code is the verdict.
#[test]
fn loads_of_a_ride() {
    let output = tober(["loads", &sample("paved-yard"), "--ride", "hop"]);
    assert_eq!(output.status.code(), Some(0));
    insta::assert_snapshot!("loads-hop", String::from_utf8_lossy(&output.stdout));
    let json = tober(["loads", &sample("paved-yard"), "--json"]);
    let told: serde_json::Value = serde_json::from_slice(&json.stdout).expect("JSON");
    assert_eq!(told["rides"].as_array().map(Vec::len), Some(2));
    assert_eq!(told["rides"][1]["loads"]["verdict"], "pass");
}

#[test]
fn the_level_page_of_one_ride() {
    let output = tober(["level", &sample("village-green"), "--ride", "swing"]);
    assert_eq!(text(&output.stderr), "");
    assert_eq!(output.status.code(), Some(0));
    insta::assert_snapshot!("level-swing", text(&output.stdout));
}

/// Without its blocks the truck cannot level the ride; what is said to help does.
#[test]
fn a_lot_that_cannot_work_says_what_would_help() {
    let mut site: serde_json::Value = serde_json::from_str(&village()).expect("JSON");
    for block in site["blocks"].as_array_mut().expect("blocks") {
        block["count"] = 2.into();
    }
    let output = tober_reading(site.to_string().as_bytes(), &["level", "-"]);
    assert_eq!(output.status.code(), Some(1), "{}", text(&output.stderr));
    insta::assert_snapshot!("level-without-blocks", text(&output.stdout));
}

#[test]
fn sheets_fit_a_page() {
    for name in ["village-green", "paved-yard"] {
        for (command, units) in [
            ("sheet", "us"),
            ("sheet", "metric"),
            ("level", "us"),
            ("loads", "us"),
            ("loads", "metric"),
        ] {
            let output = tober([command, &sample(name), "--units", units]);
            for line in text(&output.stdout).lines() {
                assert!(line.chars().count() <= 100, "{name}, {units}: {line}");
            }
        }
    }
}

#[test]
fn units_override_the_sites_own_system_only() {
    let own = tober(["sheet", &sample("village-green")]);
    let us = tober(["sheet", &sample("village-green"), "--units", "us"]);
    assert_eq!(text(&own.stdout), text(&us.stdout));

    let metric = tober(["sheet", &sample("village-green"), "--units", "metric"]);
    let sheet = text(&metric.stdout);
    assert!(sheet.contains("Lengths in metres."), "{sheet}");
    let feet = ["' 0\"", "-1/4\"", "-1/2\""];
    assert!(!feet.iter().any(|mark| sheet.contains(mark)), "{sheet}");
    assert_eq!(metric.status.code(), own.status.code());
}

#[test]
fn json_is_the_whole_assessment() {
    let output = tober(["sheet", &sample("village-green"), "--json"]);
    assert_eq!(output.status.code(), Some(1));
    let printed: Assessment = serde_json::from_slice(&output.stdout).expect("an assessment");
    let site = tober::site::Site::read(&village()).expect("a sound site");
    assert_eq!(printed, tober::assess::assess(&site));
}

#[test]
fn standard_input_is_a_site_as_well() {
    let piped = tober_reading(village().as_bytes(), &["sheet", "-"]);
    let named = tober(["sheet", &sample("village-green")]);
    assert_eq!(text(&piped.stdout), text(&named.stdout));
    assert_eq!(piped.status.code(), Some(1));
}

#[test]
fn what_is_not_known_does_not_pass() {
    // The survey shrinks to a corner of the yard, away from both rides.
    let yard = fs::read_to_string(sample("paved-yard")).expect("the sample is there");
    let mut site: serde_json::Value = serde_json::from_str(&yard).expect("JSON");
    site["spot_levels"] = serde_json::json!([
        {"x": 0.0, "y": 0.0, "elevation": 4.0},
        {"x": 1.0, "y": 0.0, "elevation": 4.0},
        {"x": 0.0, "y": 1.0, "elevation": 4.0},
    ]);
    let output = tober_reading(site.to_string().as_bytes(), &["sheet", "-"]);
    assert_eq!(output.status.code(), Some(1), "{}", text(&output.stderr));
    assert!(text(&output.stdout).contains("Level: NOT KNOWN"));
}

/// A turning point of the green that is levelled by field book, read off the next foot.
#[test]
fn heights_of_a_book_that_does_not_close_do_not_pass() {
    let green = fs::read_to_string(sample("quillow-green")).expect("the sample is there");
    let mut site: serde_json::Value = serde_json::from_str(&green).expect("JSON");
    let turning = &mut site["field_books"][0]["rows"][16]["foresight"];
    assert_eq!(*turning, "5.85");
    *turning = "6.85".into();
    let site = site.to_string();
    for command in ["level", "check", "sheet"] {
        let output = tober_reading(site.as_bytes(), &[command, "-"]);
        assert_eq!(output.status.code(), Some(1), "{command}");
        let said = text(&output.stdout);
        assert!(said.contains("NOT KNOWN"), "{command}");
        assert!(said.contains("does not close"), "{command}");
    }
    let output = tober_reading(site.as_bytes(), &["level", "-"]);
    let head = text(&output.stdout).lines().take(14).collect::<Vec<_>>();
    insta::assert_snapshot!("level-book-does-not-close", head.join("\n"));
    let sound = tober(["level", &sample("quillow-green")]);
    assert_eq!(sound.status.code(), Some(0));
}

#[test]
fn faults_are_located() {
    let mut site: serde_json::Value = serde_json::from_str(&village()).expect("JSON");
    site["rides"][0]["placement"]["heading"] = "north".into();
    let said = refused(&tober_reading(site.to_string().as_bytes(), &["sheet", "-"]));
    assert!(
        said.starts_with("tober: standard input cannot be used:\n"),
        "{said}"
    );
    assert!(
        said.contains("\nrides[0].placement.heading: is \"north\"; expected"),
        "{said}"
    );
}

#[test]
fn every_fault_is_named_at_once() {
    let mut site: serde_json::Value = serde_json::from_str(&village()).expect("JSON");
    site["rides"][0]["profile"] = "nobody-has-it".into();
    site["blocks"][1]["thickness"] = serde_json::json!(-0.1);
    site["name"] = "tidy\u{1b}[31m red".into();
    let said = refused(&tober_reading(site.to_string().as_bytes(), &["sheet", "-"]));
    for place in ["name: ", "rides[0].profile: ", "blocks[1].thickness: "] {
        assert!(said.contains(&format!("\n{place}")), "{place} in {said}");
    }
    assert!(!said.contains('\u{1b}'), "{said:?}");
}

#[test]
fn unusable_input_is_refused() {
    let village = village();
    let half = &village.as_bytes()[..village.len() / 2];
    let said = refused(&tober_reading(half, &["sheet", "-"]));
    assert!(said.contains("\nline "), "{said}");

    for input in ["", "null", "[]", "{}", "NaN", "1e999", "\u{feff}", "\0"] {
        refused(&tober_reading(input.as_bytes(), &["sheet", "-"]));
    }
    let deep = "[".repeat(200_000);
    refused(&tober_reading(deep.as_bytes(), &["sheet", "-"]));

    let said = refused(&tober_reading(b"{\"name\": \"caf\xe9\"}", &["sheet", "-"]));
    assert!(said.contains("not text in UTF-8: byte 13"), "{said}");

    let large = vec![b' '; tober::site::limits::FILE_BYTES + 1];
    let said = refused(&tober_reading(&large, &["sheet", "-"]));
    assert!(said.contains("longer than"), "{said}");
}

#[test]
fn unreadable_files_are_named() {
    for path in ["no-such-site.json", env!("CARGO_MANIFEST_DIR")] {
        for command in ["sheet", "plan"] {
            let mut args = vec![command, path];
            if command == "plan" {
                args.extend(["--out", "unwritten.svg"]);
            }
            let said = refused(&tober(args));
            assert!(said.contains(path), "{said}");
        }
    }
    assert!(!Path::new("unwritten.svg").exists());
}

#[test]
fn usage_errors_are_refused() {
    let site = sample("paved-yard");
    for args in [
        vec![],
        vec!["sheet"],
        vec!["lever", &site],
        vec!["level", &site, "--ride", "nobody"],
        vec!["sheet", &site, "--units", "furlongs"],
        vec!["plan", &site],
        vec!["plan", &site, "--out", "unwritten.svg", "--width", "0"],
        vec!["schema", "ride"],
    ] {
        refused(&tober(args));
    }
    for args in [["--help"], ["--version"]] {
        assert_eq!(tober(args).status.code(), Some(0));
    }
}

#[test]
fn the_plan_is_written_as_svg() {
    let out = scratch("village-green.svg");
    let path = out.to_str().expect("UTF-8");
    let village = sample("village-green");
    let args = ["plan", &village, "--out", path, "--width", "640"];
    let output = tober(args.into_iter().chain(["--height", "480"]));
    assert_eq!(
        output.status.code(),
        Some(1),
        "the plan of a site that fails"
    );
    assert_eq!(text(&output.stdout), "");
    let svg = fs::read_to_string(&out).expect("the plan is written");
    let opening = svg.split('>').next().unwrap_or_default();
    assert!(opening.starts_with("<svg "), "{opening}");
    assert!(
        opening.contains("640") && opening.contains("480"),
        "{opening}"
    );
    assert!(svg.trim_end().ends_with("</svg>"));

    let nowhere = scratch("no-such-folder/plan.svg");
    let args = ["plan", &village, "--out", nowhere.to_str().expect("UTF-8")];
    let said = refused(&tober(args));
    assert!(said.contains("no-such-folder"), "{said}");
}

#[test]
fn published_schemas_are_current() {
    for document in ["site", "assessment"] {
        let output = tober(["schema", document]);
        assert_eq!(output.status.code(), Some(0));
        let file = format!("sample-sites/tober-{document}.schema.json");
        let published = fs::read_to_string(format!("{ROOT}/{file}")).unwrap_or_default();
        assert!(
            published == text(&output.stdout),
            "{file} is not what the types say; publish it anew with\n  \
             cargo run -p tober-cli -- schema {document} > {file}"
        );
    }
}

#[test]
fn a_reader_that_has_seen_enough_is_no_error() {
    for args in [
        vec!["sheet", "-"],
        vec!["sheet", "-", "--json"],
        vec!["schema"],
    ] {
        let mut child = Command::new(env!("CARGO_BIN_EXE_tober"))
            .args(&args)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the command runs");
        // The reader is gone before there is anything to write.
        drop(child.stdout.take());
        let mut stdin = child.stdin.take().expect("a pipe");
        let _ = stdin.write_all(village().as_bytes());
        drop(stdin);
        let output = child.wait_with_output().expect("the command ends");
        assert_eq!(text(&output.stderr), "");
        let expected = if args == ["schema"] { 0 } else { 1 };
        assert_eq!(output.status.code(), Some(expected), "{args:?}");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn an_answer_that_cannot_be_written_is_an_error() {
    let full = fs::OpenOptions::new()
        .write(true)
        .open("/dev/full")
        .expect("Linux has it");
    let output = Command::new(env!("CARGO_BIN_EXE_tober"))
        .args(["sheet", &sample("paved-yard")])
        .stdout(full)
        .output()
        .expect("the command runs");
    let said = refused(&output);
    assert!(said.contains("cannot write the answer"), "{said}");
}
