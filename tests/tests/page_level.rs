//! The crew's view: acts ticked off in gloves, readings, corrections, what would help.

use std::fs;
use std::time::Duration;

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use thirtyfour::prelude::*;
use tober::assess::remedies;
use tober::assess::{Verdict, assess};
use tober::level::{Change, Mark, Reading, correct};
use tober::site::{Site, SiteFile};
use tober::units::Slope;
use tober_tests::{Browser, PageServer, Screen, samples};

/// The level view, open on the demo fair.
async fn open(screen: Screen) -> Result<(PageServer, Browser)> {
    let page = PageServer::start().await?;
    let browser = Browser::start(screen).await?;
    browser.goto(page.url()).await?;
    browser
        .wait_until("document.querySelector('.plan .hub')")
        .await?;
    click(&browser, "tab-level").await?;
    Ok((page, browser))
}

fn demo() -> Result<Site> {
    let samples = samples()?;
    let green = samples.iter().find(|it| it.name == "village-green");
    Ok(Site::read(&green.context("no village green")?.json)?)
}

async fn value(browser: &Browser, expression: &str) -> Result<Value> {
    let answer = browser.execute(format!("return {expression};"), vec![]);
    Ok(answer.await?.json().clone())
}

async fn text(browser: &Browser, selector: &str) -> Result<String> {
    let expression = format!("document.querySelector('{selector}')?.textContent");
    let value = value(browser, &expression).await?;
    Ok(value.as_str().unwrap_or_default().to_owned())
}

async fn click(browser: &Browser, id: &str) -> Result<()> {
    let element = browser.find(By::Id(id)).await?;
    element.scroll_into_view().await?;
    element.click().await?;
    Ok(())
}

/// Types over what a field holds.
async fn write(browser: &Browser, id: &str, typed: &str) -> Result<()> {
    let field = browser.find(By::Id(id)).await?;
    field.scroll_into_view().await?;
    field.clear().await?;
    field.send_keys(typed).await?;
    Ok(())
}

async fn pick(browser: &Browser, select: &str, option: &str) -> Result<()> {
    browser
        .execute(
            "const select = document.getElementById(arguments[0]);
             select.value = [...select.options].find((it) =>
                 it.textContent === arguments[1]).value;
             select.dispatchEvent(new Event('change', { bubbles: true }));",
            vec![json!(select), json!(option)],
        )
        .await?;
    Ok(())
}

async fn done_is(browser: &Browser, count: usize) -> Result<()> {
    browser
        .wait_until(&format!(
            "document.getElementById('now-count')?.textContent.startsWith('{count} of ')"
        ))
        .await
}

/// Longer than the page takes two presses for one.
async fn a_breath() {
    tokio::time::sleep(Duration::from_millis(450)).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn acts_are_ticked_off_one_at_a_time_and_stay_so() -> Result<()> {
    let (page, browser) = open(Screen::Phone).await?;
    let assessment = assess(&demo()?);
    let acts = &assessment.rides[0].level.acts;
    done_is(&browser, 0).await?;
    browser.take_screenshot("crew-now").await?;
    for (index, act) in acts.iter().take(9).enumerate() {
        let shown = text(&browser, "#now").await?;
        ensure!(
            shown.contains(&act.support) && shown.contains(&act.in_words()),
            "act {index} shows {shown}"
        );
        click(&browser, "now-done").await?;
        done_is(&browser, index + 1).await?;
        a_breath().await;
    }
    // A thick glove presses twice.
    browser
        .execute(
            "const done = document.getElementById('now-done'); done.click(); done.click();",
            vec![],
        )
        .await?;
    done_is(&browser, 10).await?;
    a_breath().await;
    click(&browser, "now-back").await?;
    done_is(&browser, 9).await?;
    ensure!(text(&browser, "#now").await?.contains(&acts[9].in_words()));
    // What the level then shows.
    let after = acts[9].after.as_ref().context("not simulated")?;
    let shows = format!("{:.2}°", after.along_deg.abs());
    ensure!(
        text(&browser, ".now-level").await?.contains(&shows),
        "{shows}"
    );

    browser.refresh().await?;
    browser
        .wait_until("document.querySelector('.plan .hub')")
        .await?;
    done_is(&browser, 9).await?;
    ensure!(text(&browser, "#now").await?.contains(&acts[9].in_words()));
    let ticked = "document.querySelectorAll('.act input:checked').length";
    ensure!(
        value(&browser, ticked).await? == 9,
        "the list says otherwise"
    );
    browser.take_screenshot("crew-act").await?;

    let wide = "document.documentElement.scrollWidth > innerWidth
        || document.getElementById('tab-body').scrollWidth
            > document.getElementById('tab-body').clientWidth";
    ensure!(
        value(&browser, wide).await? == false,
        "wider than the screen"
    );
    let big = "[...document.querySelectorAll('.now-buttons button')].every((button) => {
        const box = button.getBoundingClientRect();
        return box.height >= 64 && box.width >= 90; })";
    ensure!(value(&browser, big).await? == true, "too small for gloves");
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn keys_alone_tick_off_every_act() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    let count = assess(&demo()?).rides[0].level.acts.len();
    // All but the last by the list, and that one by the keyboard.
    browser
        .execute(
            "[...document.querySelectorAll('.act input')].slice(0, -1).forEach((it) => it.click());
             document.getElementById('now-done').focus();",
            vec![],
        )
        .await?;
    done_is(&browser, count - 1).await?;
    browser
        .action_chain()
        .send_keys(Key::Enter + "")
        .perform()
        .await?;
    done_is(&browser, count).await?;
    ensure!(text(&browser, "#now").await?.contains("Every act is done"));
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn the_frame_is_drawn_with_every_foot_and_piece() -> Result<()> {
    for screen in [Screen::Desk, Screen::Phone] {
        let (page, browser) = open(screen).await?;
        let assessment = assess(&demo()?);
        let plan = &assessment.rides[0].level;
        let pieces: usize = plan.outriggers.iter().map(|it| it.pieces.len()).sum();
        let drawn = "document.querySelectorAll('.frame .piece-long, .frame .piece-end').length";
        ensure!(value(&browser, drawn).await? == pieces, "pieces");
        let feet = "document.querySelectorAll('.frame .frame-foot').length";
        let wanted = plan.jacks.len() + plan.outriggers.len();
        ensure!(value(&browser, feet).await? == wanted, "feet");
        // All of one scale: the tallest stack is drawn tallest, in the proportion that it has.
        let words = text(&browser, ".frame").await?;
        for jack in &plan.jacks {
            let hole = format!("hole {} of {}", jack.hole, jack.holes);
            ensure!(words.contains(&jack.id) && words.contains(&hole), "{hole}");
        }
        let current = text(&browser, ".frame-foot.current .foot-id").await?;
        ensure!(current == plan.acts[0].support, "{current}");
        let whole = "(() => { const box = document.querySelector('.frame').getBBox();
            return box.x >= -1 && box.x + box.width <= 401; })()";
        ensure!(value(&browser, whole).await? == true, "words stand out");
        let frame = browser.find(By::Css(".frame")).await?;
        frame.scroll_into_view().await?;
        browser.take_screenshot("crew-frame").await?;
        browser.assert_clean(&page).await?;
    }
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn tearing_down_has_acts_of_its_own() -> Result<()> {
    let (page, browser) = open(Screen::Phone).await?;
    let assessment = assess(&demo()?);
    let acts = &assessment.rides[0].level.tear_down;
    click(&browser, "tear-down").await?;
    done_is(&browser, 0).await?;
    for (index, act) in acts.iter().take(2).enumerate() {
        let shown = text(&browser, "#now").await?;
        ensure!(shown.contains(&act.in_words()), "act {index} shows {shown}");
        click(&browser, "now-done").await?;
        done_is(&browser, index + 1).await?;
        a_breath().await;
    }
    browser.refresh().await?;
    browser
        .wait_until("document.querySelector('.plan .hub')")
        .await?;
    done_is(&browser, 2).await?;
    ensure!(text(&browser, "#now").await?.contains(&acts[2].in_words()));
    browser.take_screenshot("crew-tear-down").await?;
    click(&browser, "build-up").await?;
    done_is(&browser, 0).await?;
    browser.assert_clean(&page).await
}

/// Keeps a reading of degrees: tongue high by `along`, left high by `across`.
async fn read(browser: &Browser, along: &str, across: &str) -> Result<()> {
    write(browser, "along", along).await?;
    write(browser, "across", across).await?;
    click(browser, "keep").await
}

#[tokio::test(flavor = "multi_thread")]
async fn readings_are_kept_and_answered() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    write(&browser, "station", "rear beam").await?;
    read(&browser, "a bit", "0").await?;
    let error = text(&browser, "#entry-error").await?;
    ensure!(error.contains("not a reading"), "{error}");

    // The right side is 0.8° high: out of tolerance.
    pick(&browser, "across-high", "right side high").await?;
    read(&browser, "0.1", "0.8").await?;
    browser
        .wait_until("document.querySelector('#fix li')")
        .await?;
    let site = demo()?;
    let profile = site.profile(0).context("no profile")?;
    let at = |mark| Reading {
        station: "rear beam".to_owned(),
        mark,
    };
    let readings = [
        at(Mark::Along(Slope::Deg(0.1))),
        at(Mark::Across(Slope::Deg(-0.8))),
    ];
    let plan = &assess(&site).rides[0].level;
    let wanted = correct(profile, plan, &site.file().blocks, &readings).context("nothing")?;
    ensure!(wanted.before.verdict == Verdict::Fail && wanted.after.verdict == Verdict::Pass);
    let shown = text(&browser, "#fix").await?;
    for act in &wanted.acts {
        ensure!(shown.contains(&act.support), "{shown}");
    }
    ensure!(shown.contains("FAILS") && shown.contains("OK"), "{shown}");
    let fix = browser.find(By::Id("fix")).await?;
    fix.scroll_into_view().await?;
    browser.take_screenshot("crew-readings").await?;
    // What is done is ticked off, and stays so.
    let first = browser.find(By::Css("#fix .act")).await?;
    first.click().await?;

    browser.refresh().await?;
    browser
        .wait_until("document.querySelector('#fix li')")
        .await?;
    let ticked = "document.querySelectorAll('#fix input:checked').length";
    ensure!(value(&browser, ticked).await? == 1, "the tick is lost");
    let kept = text(&browser, "#rounds").await?;
    ensure!(kept.contains("rear beam across 0.8°, right high"), "{kept}");
    // Level after the shims went in.
    read(&browser, "0.02", "0.1").await?;
    browser
        .wait_until("document.getElementById('fix').textContent.includes('Level enough')")
        .await?;
    let kept = "JSON.parse(localStorage.getItem('tober.site')).level_rounds.length === 2";
    browser.wait_until(kept).await?;
    click(&browser, "undo").await?;
    browser
        .wait_until("!document.getElementById('fix').textContent.includes('Level enough')")
        .await?;
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn settling_is_told_and_foretold() -> Result<()> {
    let mut file = demo()?.file().clone();
    let ride = file.rides[0].id.clone();
    let round = |hour: i64| {
        json!({
            "ride": ride, "unix_seconds": 1_770_000_000 + 3600 * hour,
            "readings": [
                { "station": "hub", "mark": { "along": { "deg": 0.0 } } },
                { "station": "hub", "mark": { "across": { "deg": 0.06 * hour as f64 } } },
            ],
        })
    };
    for hour in 0..5 {
        file.level_rounds.push(serde_json::from_value(round(hour))?);
    }
    let (page, browser) = open(Screen::Phone).await?;
    open_site(&browser, file).await?;
    browser
        .wait_until("document.getElementById('foretold')")
        .await?;
    let moved = text(&browser, "#moved").await?;
    ensure!(moved.contains("sank") && moved.contains("1.0 h"), "{moved}");
    let foretold = text(&browser, "#foretold").await?;
    ensure!(
        foretold.contains("across reaches what is allowed"),
        "{foretold}"
    );
    let outcome = browser.find(By::Id("outcome")).await?;
    outcome.scroll_into_view().await?;
    browser.take_screenshot("crew-settling").await?;
    browser.assert_clean(&page).await
}

async fn open_site(browser: &Browser, file: SiteFile) -> Result<()> {
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("site.json");
    let name = "Test lot";
    let site = Site::new(SiteFile {
        name: name.to_owned(),
        ..file
    });
    fs::write(&path, site?.to_json())?;
    let input = browser.find(By::Id("open")).await?;
    input.send_keys(path.to_string_lossy()).await?;
    browser
        .wait_until(&format!(
            "document.querySelector('h1').textContent === '{name}'"
        ))
        .await
}

/// The demo fair with ever fewer blocks, until a move or a turn is among what would help.
fn short_of_blocks() -> Result<SiteFile> {
    let mut file = demo()?.file().clone();
    // They would be left behind, and no move that leaves them out of reach is told.
    file.features.disconnects.clear();
    file.features.extinguishers.clear();
    for _ in 0..30 {
        let site = Site::new(file.clone())?;
        let places =
            |change: &Change| matches!(change, Change::Move { .. } | Change::TurnRound { .. });
        if remedies(&site, 0).iter().any(|it| places(&it.change)) {
            return Ok(file);
        }
        for block in &mut file.blocks {
            block.count = (block.count * 3 / 4).max(1);
        }
    }
    anyhow::bail!("a move never helps")
}

#[tokio::test(flavor = "multi_thread")]
async fn what_would_help_works_when_applied() -> Result<()> {
    let (page, browser) = open(Screen::Phone).await?;
    open_site(&browser, short_of_blocks()?).await?;
    browser
        .wait_until("document.getElementById('help')")
        .await?;
    ensure!(
        text(&browser, "#now").await?.is_empty(),
        "acts that cannot be done"
    );
    click(&browser, "help").await?;
    browser
        .wait_until("document.querySelector('.remedies button')")
        .await?;
    browser.take_screenshot("crew-help").await?;
    let apply = browser.find(By::Css(".remedies button")).await?;
    apply.scroll_into_view().await?;
    apply.click().await?;
    browser.wait_until("document.getElementById('now')").await?;
    ensure!(
        text(&browser, ".tab-body .lead").await?.contains("OK"),
        "it did not help"
    );
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn stages_unfold_with_their_checks() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    let assessment = assess(&demo()?);
    let stages = &assessment.rides[0].level.stages;
    let summary = browser.find(By::Css("#stages summary")).await?;
    summary.scroll_into_view().await?;
    summary.click().await?;
    let count = "document.querySelectorAll('#stages ol > li').length";
    browser
        .wait_until(&format!("{count} === {}", stages.len()))
        .await?;
    let checks = "document.querySelectorAll('#stages .checks li').length";
    let wanted: usize = stages.iter().map(|it| it.checks.len()).sum();
    ensure!(value(&browser, checks).await? == wanted, "checks");
    summary.scroll_into_view().await?;
    browser.take_screenshot("crew-stages").await?;
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn the_view_keeps_up_with_a_drag() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    let steps = browser
        .run_async(
            "const plan = document.getElementById('plan');
             const at = document.querySelector('.plan .selected .hub');
             const box = at.getBoundingClientRect();
             const fire = (element, kind, dx, dy) => element.dispatchEvent(
                 new PointerEvent(kind, { bubbles: true, pointerId: 1, button: 0,
                     clientX: box.x + 3 + dx, clientY: box.y + 3 + dy }));
             performance.clearMeasures();
             fire(at, 'pointerdown', 0, 0);
             for (let step = 1; step <= 150; step += 1) {
                 fire(plan, 'pointermove', 60 * Math.sin(step / 12), -step / 3);
                 await new Promise(requestAnimationFrame);
             }
             fire(plan, 'pointerup', 0, 0);
             return performance.getEntriesByName('step', 'measure').map((it) => it.duration);",
            vec![],
        )
        .await?;
    let mut steps: Vec<f64> = serde_json::from_value(steps)?;
    ensure!(steps.len() > 100, "{} steps", steps.len());
    steps.sort_by(f64::total_cmp);
    let at = |share: usize| steps.get(steps.len() * share / 100).copied();
    let (half, most) = (at(50).context("none")?, at(95).context("none")?);
    println!("level view, step: 50th percentile {half:.2} ms, 95th {most:.2} ms");
    ensure!(most < 100.0, "a step takes {most} ms");
    browser.assert_clean(&page).await
}
