//! The library for other people's pages, in a browser: the same numbers as in a terminal, to the
//! last bit, and faults that say where.

use anyhow::{Context, Result};
use serde_json::{Value, json};
use tober::assess::assess;
use tober::site::{Placement, Site};
use tober_tests::{Browser, JsServer, Screen, samples};

/// What every script starts with.
const LOAD: &str = "const tober = await import('/tober.js'); await tober.default();";

/// A browser that can load the library from `server`.
async fn browser(server: &JsServer) -> Result<Browser> {
    let browser = Browser::start(Screen::Desk).await?;
    // Any document of the same origin will do.
    browser.goto(format!("{}tober.js", server.url())).await?;
    Ok(browser)
}

/// Each sample as it is, and with its rides moved and turned to places of all kinds, some of
/// them hopeless: every way through the calculation should be walked.
fn scenes() -> Result<Vec<(String, Site)>> {
    let mut scenes = Vec::new();
    for sample in samples()? {
        let site = Site::read(&sample.json)?;
        for ride in 0..site.file().rides.len() {
            let at = site.file().rides[ride].placement;
            for step in 0..40 {
                let step_length = f64::from(step);
                let placement = Placement {
                    x: at.x + 0.37 * step_length * (1.0 - 2.0 * f64::from(step % 2)),
                    y: at.y + 0.23 * step_length * (1.0 - 2.0 * f64::from(step / 2 % 2)),
                    heading: (at.heading + 31.7 * step_length) % 360.0,
                };
                // A place off the lot is no site.
                if let Ok(moved) = site.with_placement(ride, placement) {
                    scenes.push((format!("{} ride {ride} step {step}", sample.name), moved));
                }
            }
        }
        scenes.push((sample.name, site));
    }
    Ok(scenes)
}

#[tokio::test(flavor = "multi_thread")]
async fn a_browser_calculates_what_a_terminal_does() -> Result<()> {
    let server = JsServer::start().await?;
    let browser = browser(&server).await?;
    let scenes = scenes()?;
    let texts: Vec<String> = scenes.iter().map(|(_, site)| site.to_json()).collect();
    let script = format!("{LOAD} return arguments[0].map((text) => tober.assessJson(text));");
    let answers = browser.run_async(&script, vec![json!(texts)]).await?;
    let answers = answers.as_array().context("no list of assessments")?;
    assert_eq!(answers.len(), scenes.len());

    let mut worst = Difference::default();
    for ((name, site), answer) in scenes.iter().zip(answers) {
        // Through its text, as in the browser.
        let here = assess(&Site::read(&site.to_json())?);
        let here = serde_json::to_string(&here)?;
        let there = answer.as_str().context("an assessment is no text")?;
        if here != there {
            let (here, there) = (serde_json::from_str(&here)?, serde_json::from_str(there)?);
            worst.look(name, &here, &there)?;
        }
    }
    println!("{} scenes, largest difference {}", scenes.len(), worst.size);
    assert!(worst.place.is_empty(), "not the same bits: {worst:?}");
    Ok(())
}

/// The largest relative difference of two numbers at the same place.
#[derive(Debug, Default)]
struct Difference {
    size: f64,
    place: String,
}

impl Difference {
    /// Compares two documents; an error when they differ in more than numbers.
    fn look(&mut self, place: &str, here: &Value, there: &Value) -> Result<()> {
        match (here, there) {
            (Value::Number(a), Value::Number(b)) if a != b => {
                let (a, b) = (a.as_f64().unwrap_or(0.0), b.as_f64().unwrap_or(0.0));
                let size = (a - b).abs() / a.abs().max(b.abs());
                if size >= self.size {
                    *self = Difference {
                        size,
                        place: format!("{place}: {a} here, {b} in the browser"),
                    };
                }
            }
            (Value::Array(a), Value::Array(b)) if a.len() == b.len() => {
                for (index, (a, b)) in a.iter().zip(b).enumerate() {
                    self.look(&format!("{place}[{index}]"), a, b)?;
                }
            }
            (Value::Object(a), Value::Object(b)) if a.keys().eq(b.keys()) => {
                for (key, a) in a {
                    self.look(&format!("{place}.{key}"), a, &b[key])?;
                }
            }
            _ => anyhow::ensure!(
                here == there,
                "{place}: {here} here, {there} in the browser"
            ),
        }
        Ok(())
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn objects_and_texts_give_the_same() -> Result<()> {
    let server = JsServer::start().await?;
    let browser = browser(&server).await?;
    for sample in samples()? {
        let script = format!(
            "{LOAD} const [text] = arguments;
             const answer = tober.assess(JSON.parse(text));
             return [JSON.stringify(answer), JSON.stringify(JSON.parse(tober.assessJson(text)))];"
        );
        let answer = browser.run_async(&script, vec![json!(sample.json)]).await?;
        assert_eq!(answer[0], answer[1], "{}", sample.name);

        let script = format!("{LOAD} return tober.planSvg(JSON.parse(arguments[0]), 800, 600);");
        let plan = browser.run_async(&script, vec![json!(sample.json)]).await?;
        assert!(plan.as_str().is_some_and(|svg| svg.starts_with("<svg")));
    }
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn a_field_book_and_a_point_file_are_read() -> Result<()> {
    let server = JsServer::start().await?;
    let browser = browser(&server).await?;
    let script = format!(
        "{LOAD} const read = tober.readFieldBook(arguments[0]);
         const reduced = tober.reduceBook(read.book);
         const points = tober.readPoints(arguments[1], {{ order: 'easting_first' }});
         return [read.lines, reduced.standing, reduced.suspects[0].should_be,
                 reduced.points.map((point) => point.elevation), points.points[0].at,
                 points.bad_lines.length, tober.readFieldBook('no table') === undefined,
                 tober.bookCsv(read.book).split('\\n')[1]];"
    );
    // The second foresight is off by a whole metre.
    let book = "units: m\npoint,bs,fs,known\nBM,1.500,,10\nTP,1.612,1.204,\nBM,,2.908,\n";
    let points = "1;10,5;20,5;3,25\nwet\n";
    let answer = browser
        .run_async(&script, vec![json!(book), json!(points)])
        .await?;
    assert_eq!(answer[0], json!([3, 4, 5]));
    assert_eq!(answer[1], "does_not_close");
    assert_eq!(answer[2], "1.908 m");
    assert_eq!(answer[3][0], json!(10));
    assert_eq!(answer[4], json!([10.5, 20.5]));
    assert_eq!(answer[5], json!(1));
    assert_eq!(answer[6], json!(true));
    assert_eq!(answer[7], json!("BM,,,10.0000,0.0000,"));
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_wrong_is_told_with_its_place() -> Result<()> {
    let server = JsServer::start().await?;
    let browser = browser(&server).await?;
    let sample = samples()?.into_iter().next().context("no samples")?;
    for (spoil, path, value) in [
        (
            "site.rides[0].placement.heading = NaN",
            "rides[0].placement.heading",
            "NaN",
        ),
        (
            "site.rides[0].placement.x = Infinity",
            "rides[0].placement.x",
            "Infinity",
        ),
        (
            "site.spot_levels[3].elevation = 'high'",
            "spot_levels[3].elevation",
            "high",
        ),
        ("site.rides[0].headnig = 1", "rides[0]", "headnig"),
        ("delete site.lot", "lot", "missing"),
        ("site.lot = site", "file", "circular"),
        ("site = undefined", "file", "undefined"),
        ("site = 7n", "file", "BigInt"),
    ] {
        let script = format!(
            "{LOAD} let site = JSON.parse(arguments[0]); {spoil};
             try {{ tober.assess(site); }} catch (faults) {{ return faults; }}"
        );
        let faults = browser.run_async(&script, vec![json!(sample.json)]).await?;
        let faults = faults
            .as_array()
            .with_context(|| format!("{spoil}: {faults}"))?;
        let told = faults.iter().any(|fault| {
            let has = |key, part: &str| fault[key].as_str().is_some_and(|it| it.contains(part));
            fault["severity"] == "error"
                && has("path", path)
                && (has("value", value) || has("path", value))
        });
        assert!(told, "{spoil}: {faults:?}");
    }
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn lengths_are_read_and_printed() -> Result<()> {
    let server = JsServer::start().await?;
    let browser = browser(&server).await?;
    let script = format!(
        "{LOAD} const style = 'feet_inches_8';
         let refusal = '';
         try {{ tober.parseLength('a bit', style); }} catch (error) {{ refusal = error.message; }}
         const metres = tober.parseLength('5\\' 3-1/4\"', style);
         return [metres, tober.formatLength(metres, style), refusal];"
    );
    let answer = browser.run_async(&script, vec![]).await?;
    assert_eq!(answer[0], json!(1.60655));
    assert_eq!(answer[1], json!("5' 3-1/4\""));
    let refusal = answer[2].as_str().unwrap_or_default();
    assert!(refusal.contains("a bit"), "{refusal}");
    Ok(())
}
