//! `tober survey` as people and scripts run it.

use std::io::Write;
use std::process::{Command, Output, Stdio};

use serde_json::json;

const SAMPLES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../sample-sites");

fn survey(input: &str, args: &[&str]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_tober"))
        .arg("survey")
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the command runs");
    let _ = child
        .stdin
        .take()
        .expect("a pipe")
        .write_all(input.as_bytes());
    child.wait_with_output().expect("the command ends")
}

fn sample(name: &str, args: &[&str]) -> Output {
    let path = format!("{SAMPLES}/{name}");
    survey("", &[&[path.as_str()], args].concat())
}

fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).expect("UTF-8")
}

#[test]
fn a_slip_in_a_loop_is_named() {
    let output = sample("quillow-loop.txt", &[]);
    assert_eq!(output.status.code(), Some(1));
    insta::assert_snapshot!("quillow-loop", text(&output.stdout));
}

#[test]
fn one_setup_with_a_check_closes() {
    let output = sample("quillow-feet.txt", &[]);
    assert_eq!(output.status.code(), Some(0));
    insta::assert_snapshot!("quillow-feet", text(&output.stdout));
}

#[test]
fn point_files_of_two_regions() {
    for name in ["ufer-punkte.csv", "quillow-points.csv"] {
        let output = sample(name, &[]);
        assert_eq!(output.status.code(), Some(0), "{name}");
        insta::assert_snapshot!(name, text(&output.stdout));
    }
}

#[test]
fn tables_fit_a_page() {
    for name in [
        "quillow-loop.txt",
        "quillow-feet.txt",
        "ufer-punkte.csv",
        "quillow-points.csv",
    ] {
        for units in ["us", "metric"] {
            let output = sample(name, &["--units", units]);
            for line in text(&output.stdout).lines() {
                assert!(line.chars().count() <= 100, "{name}, {units}: {line}");
            }
        }
    }
}

#[test]
fn exported_points_import() {
    for name in ["ufer-punkte.csv", "quillow-points.csv"] {
        let exported = sample(name, &["--csv"]);
        let again = survey(text(&exported.stdout), &["-", "--csv"]);
        assert_eq!(text(&again.stdout), text(&exported.stdout), "{name}");
    }
    let exported = sample("quillow-loop.txt", &["--csv"]);
    assert_eq!(exported.status.code(), Some(1), "the verdict is the same");
    assert!(text(&exported.stdout).contains("\nstage,26.8224,18.6538,"));
}

#[test]
fn a_run_that_nothing_checks_is_not_known() {
    let output = survey(
        "point,bs,fs,known\nBM,1.500,,10\nTP,,1.2,\n",
        &["-", "--unit", "metres"],
    );
    assert_eq!(output.status.code(), Some(1));
    let said = text(&output.stdout);
    assert!(
        said.contains("NOT CHECKED") && said.contains("Nothing checks these readings"),
        "{said}"
    );
}

#[test]
fn units_that_nobody_stated_are_said_to_be_taken() {
    let book = "point,bs,fs,known\nBM,1.500,,10\nBM,,1.500,\n";
    let taken = survey(book, &["-"]);
    assert!(text(&taken.stdout).contains("metres were taken for granted"));
    let stated = survey(book, &["-", "--unit", "feet"]);
    assert!(!text(&stated.stdout).contains("taken for granted"));
    let points = survey("1,100.0,200.0,5.0\n", &["-"]);
    assert_eq!(text(&points.stdout).matches("taken for granted").count(), 2);
    let points = survey(
        "1,100.0,200.0,5.0\n",
        &["-", "--unit", "us-survey-feet", "--order", "penzd"],
    );
    assert!(text(&points.stdout).contains("easting before northing; US survey feet."));
}

#[test]
fn bad_lines_fail_and_the_rest_is_printed() {
    let output = survey("1,100.0,200.0,5.0,a\n2,x,200.0,5.0,b\n", &["-"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output.stdout).contains("LINE 2 NOT READ: the northing \"x\" is no number"));
}

#[test]
fn a_site_prints_its_field_books() {
    let green = std::fs::read_to_string(format!("{SAMPLES}/village-green.json")).expect("a sample");
    let mut site: serde_json::Value = serde_json::from_str(&green).expect("JSON");
    let said = survey(&green, &["-"]);
    assert_eq!(said.status.code(), Some(2));
    assert!(text(&said.stderr).contains("has no field books"));

    site["field_books"] = json!([{
        "id": "b", "name": "Tuesday", "units": "metres",
        "rows": [
            { "point": "BM", "backsight": "1.5", "known": "31.2" },
            { "point": "BM", "foresight": "1.5" },
        ],
    }]);
    let output = survey(&site.to_string(), &["-"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert!(text(&output.stdout).starts_with("Field book: Tuesday: CLOSES\n"));
}

#[test]
fn what_is_no_survey_is_refused() {
    for input in ["", "\n\n", "hello\n", "{", "[]", "point,bs\n\u{0}"] {
        let output = survey(input, &["-"]);
        let code = output.status.code();
        assert!(
            code == Some(2) || input.starts_with("point"),
            "{input:?}: {code:?}"
        );
        assert!(!text(&output.stderr).contains("panicked"), "{input:?}");
    }
    let missing = survey("", &["no-such-file.csv"]);
    assert_eq!(missing.status.code(), Some(2));
    assert!(text(&missing.stderr).contains("no-such-file.csv"));
}

#[test]
fn other_encodings_are_read() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_tober"))
        .args(["survey", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the command runs");
    let latin = b"Punkt;Rechtswert;Hochwert;H\xf6he;Code\r\n1;10,5;20,5;3,25;B\xf6schung\r\n";
    child
        .stdin
        .take()
        .expect("a pipe")
        .write_all(latin)
        .expect("written");
    let output = child.wait_with_output().expect("the command ends");
    assert_eq!(output.status.code(), Some(0));
    assert!(text(&output.stdout).contains("Böschung"));
}

#[test]
fn a_list_of_names_and_readings_is_one_setup() {
    let output = survey("FL 4.5\nFR 4.7\n", &["-", "--unit", "feet"]);
    assert_eq!(output.status.code(), Some(1));
    let page = text(&output.stdout);
    assert!(
        page.contains("-0.20 ft") && page.contains("No titles"),
        "{page}"
    );
}

#[test]
fn a_text_that_is_no_survey_is_shown_how_a_field_book_begins() {
    let output = survey("about 4 feet everywhere\nregards\n", &["-"]);
    assert_eq!(output.status.code(), Some(2));
    let shown = text(&output.stderr).split("begins like this:\n").nth(1);
    let shown = shown.expect("an example").replace("\n  ", "\n");
    let output = survey(shown.trim_start(), &["-"]);
    assert_eq!(output.status.code(), Some(1), "{shown}");
    assert!(text(&output.stdout).contains("101.70 ft"), "{shown}");
}

#[test]
fn a_slipped_decimal_is_remarked_and_kept() {
    let good = "1,0,0,101.2\n2,0,10,101.3\n3,10,0,101.1\n4,10,10,101.4\n5,20,5,101.2\n";
    assert_eq!(survey(good, &["-"]).status.code(), Some(0));
    let output = survey(&format!("{good}6,20,9,1013.34\n"), &["-"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output.stdout).contains("FAR OFF: line 6"));
    assert!(text(&output.stdout).contains("6 points"));
}

/// A plane that rises 1 in 100 eastwards: the section says so, and nothing beyond the shots.
#[test]
fn a_section_runs_between_points_or_places() {
    let plane = "A,0,0,10.00\nB,0,20,10.20\nC,20,20,10.20\nD,20,0,10.00\n";
    let output = survey(plane, &["-", "--section", "a", "10,20"]);
    assert_eq!(output.status.code(), Some(0));
    let shown = text(&output.stdout);
    assert!(
        shown.contains("From 0.000 m east, 0.000 m north"),
        "{shown}"
    );
    assert!(
        shown.contains("10,20 lies 0.100 m higher than a."),
        "{shown}"
    );

    let beyond = survey(plane, &["-", "--section", "10,10", "40,10"]);
    assert_eq!(beyond.status.code(), Some(1));
    let shown = text(&beyond.stdout);
    assert!(
        shown.contains("NOT KNOWN from 10.000 m to 30.000 m"),
        "{shown}"
    );

    let csv = survey(plane, &["-", "--section", "A", "C", "--csv"]);
    let shown = text(&csv.stdout);
    assert!(shown.starts_with("distance,easting,northing,elevation,standard_error\r\n0.0000,"));
    assert!(
        shown.contains("\r\n28.2843,20.0000,20.0000,10.2000,"),
        "{shown}"
    );

    let nobody = survey(plane, &["-", "--section", "A", "Z"]);
    assert_eq!(nobody.status.code(), Some(2));
    assert!(text(&nobody.stderr).contains("called for example A, B, C, D"));
}

#[test]
fn a_page_of_rise_and_fall_is_read() {
    let page = "BS,IS,FS,Rise,Fall,RL,Distance,Remarks\n\
                2.554,,,,,50.000,0,Datum\n,1.786,,0.768,,50.768,15,A\n\
                1.305,,3.589,,1.803,48.965,63,B\n,,0.270,1.035,,50.000,90,Datum\n";
    let output = survey(page, &["-", "--unit", "metres"]);
    assert_eq!(output.status.code(), Some(0));
    let shown = text(&output.stdout);
    assert!(
        shown.contains("Row 4 closes on Datum") && shown.contains("CLOSES"),
        "{shown}"
    );
    assert!(shown.contains("Distances not used, for want of a foresight in the row: 1 and 2."));

    let slipped = page.replace("50.768", "50.678");
    let output = survey(&slipped, &["-", "--unit", "metres"]);
    assert_eq!(output.status.code(), Some(1));
    let told = "Line 3: the book says 50.678, and its readings give 50.768 m";
    assert!(
        text(&output.stdout).contains(told),
        "{}",
        text(&output.stdout)
    );
}

#[test]
fn what_a_point_file_leaves_open_is_said() {
    let told = |input: &str| {
        let output = survey(input, &["-"]);
        (output.status.code(), text(&output.stdout).to_owned())
    };
    let (code, shown) = told("id;y;x;hloubka\n1;743123,12;1043123,45;201,23\n");
    assert_eq!(code, Some(1));
    assert!(
        shown.contains("No point has an elevation") && shown.contains("hloubka"),
        "{shown}"
    );
    let (code, shown) = told("Units: feet\nid,north,east,level\n1,100,200,10\n");
    assert!(
        shown.contains("international feet.") && shown.contains("60.960 m"),
        "{shown}"
    );
    assert_eq!(code, Some(0));
}
