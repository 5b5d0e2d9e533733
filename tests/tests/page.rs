//! The page as people use it: with a mouse, a thumb, keys alone, good files and bad ones.

use std::fs;
use std::path::Path;
use std::time::Instant;

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use thirtyfour::TypingData;
use thirtyfour::prelude::*;
use tober::site::Site;
use tober_tests::{Browser, PageServer, Screen, samples};

/// The page, open on the demo fair.
async fn open(screen: Screen) -> Result<(PageServer, Browser)> {
    let page = PageServer::start().await?;
    let browser = Browser::start(screen).await?;
    browser.goto(page.url()).await?;
    browser.wait_until(READY).await?;
    Ok((page, browser))
}

const READY: &str = "document.querySelector('.plan .hub')";

/// What an expression comes to.
async fn value(browser: &Browser, expression: &str) -> Result<Value> {
    let answer = browser.execute(format!("return {expression};"), vec![]);
    Ok(answer.await?.json().clone())
}

async fn text(browser: &Browser, expression: &str) -> Result<String> {
    let value = value(browser, expression).await?;
    Ok(value.as_str().unwrap_or_default().to_owned())
}

/// What a field of the place view holds.
async fn field(browser: &Browser, id: &str) -> Result<String> {
    text(browser, &format!("document.getElementById('{id}').value")).await
}

/// The middle of an element on the screen.
async fn middle(browser: &Browser, selector: &str) -> Result<(i64, i64)> {
    let place = value(
        browser,
        &format!(
            "(() => {{ const box = document.querySelector('{selector}').getBoundingClientRect();
              return [box.x + box.width / 2, box.y + box.height / 2].map(Math.round); }})()"
        ),
    )
    .await?;
    let at = |index: usize| place[index].as_i64().context("no place on the screen");
    Ok((at(0)?, at(1)?))
}

async fn drag(browser: &Browser, from: (i64, i64), to: (i64, i64)) -> Result<()> {
    let halfway = ((from.0 + to.0) / 2, (from.1 + to.1) / 2);
    browser
        .action_chain()
        .move_to(from.0, from.1)
        .click_and_hold()
        .move_to(halfway.0, halfway.1)
        .move_to(to.0, to.1)
        .release()
        .perform()
        .await?;
    // What was asked for is shown with the next frame.
    browser
        .run_async(
            "await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));",
            vec![],
        )
        .await?;
    Ok(())
}

/// Types over what a field holds, and leaves it by Enter.
async fn enter(browser: &Browser, id: &str, typed: &str) -> Result<()> {
    let element = browser.find(By::Id(id)).await?;
    element.click().await?;
    browser
        .execute(
            "document.getElementById(arguments[0]).select();",
            vec![json!(id)],
        )
        .await?;
    element.send_keys(typed).await?;
    element.send_keys(Key::Enter + "").await?;
    Ok(())
}

/// Gives the page a file, as if a person had chosen it.
async fn open_file(browser: &Browser, path: &Path) -> Result<()> {
    let input = browser.find(By::Id("open")).await?;
    input.send_keys(path.to_string_lossy()).await?;
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

#[tokio::test(flavor = "multi_thread")]
async fn a_ride_is_dragged_and_everything_follows() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    let (east, north) = (
        field(&browser, "east").await?,
        field(&browser, "north").await?,
    );
    let overall = text(&browser, "document.querySelector('#overall').textContent").await?;
    ensure!(overall.contains("FAILS"), "{overall}");

    let hub = middle(&browser, ".plan .hub").await?;
    // A metre: what must be at hand of the console stays where it hangs.
    drag(&browser, hub, (hub.0, hub.1 - 12)).await?;
    ensure!(
        field(&browser, "east").await? == east,
        "it went sideways too"
    );
    ensure!(
        field(&browser, "north").await? != north,
        "it did not go north"
    );
    // Away from the path, every check holds.
    let overall = text(&browser, "document.querySelector('#overall').textContent").await?;
    ensure!(overall.contains("OK"), "{overall}");
    browser.take_screenshot("dragged").await?;

    browser.find(By::Id("undo")).await?.click().await?;
    ensure!(field(&browser, "north").await? == north, "undo");
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn the_handle_turns_the_ride() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    let hub = middle(&browser, ".plan .hub").await?;
    let handle = middle(&browser, ".plan .handle-grip").await?;
    drag(&browser, handle, (hub.0, hub.1 + 150)).await?;
    let heading = field(&browser, "heading").await?;
    let degrees: f64 = heading.trim_end_matches('°').parse()?;
    ensure!((degrees - 180.0).abs() < 3.0, "{heading}");
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_place_is_typed_in_feet_and_inches() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    enter(&browser, "east", "99 ft 3 1/2 in").await?;
    ensure!(
        field(&browser, "east").await? == "99' 3-1/2\"",
        "{}",
        field(&browser, "east").await?
    );
    enter(&browser, "heading", "-90").await?;
    ensure!(field(&browser, "heading").await? == "270°");
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn nonsense_is_answered_and_costs_nothing() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    let north = field(&browser, "north").await?;
    for (id, typed) in [
        ("east", "over there"),
        ("heading", "north-ish"),
        ("east", "1e300"),
    ] {
        let before = text(&browser, "localStorage.getItem('tober.site')").await?;
        enter(&browser, id, typed).await?;
        ensure!(
            field(&browser, id).await? == typed,
            "what was typed is gone"
        );
        let error = text(
            &browser,
            &format!("document.getElementById('{id}-error').textContent"),
        )
        .await?;
        ensure!(error.len() > 20, "{typed}: no help but {error:?}");
        ensure!(field(&browser, "north").await? == north);
        ensure!(text(&browser, "localStorage.getItem('tober.site')").await? == before);
        browser.take_screenshot("nonsense").await?;
        let element = browser.find(By::Id(id)).await?;
        element.send_keys(Key::Escape + "").await?;
        ensure!(
            field(&browser, id).await? != typed,
            "Escape brings the value back"
        );
    }
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn keys_alone_are_enough() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    pick(&browser, "units", "millimetres").await?;
    let millimetres = async |id: &str| -> Result<f64> {
        let shown = field(&browser, id).await?;
        Ok(shown.trim_end_matches(" mm").parse()?)
    };
    let mut tabs = 0;
    while text(&browser, "document.activeElement.id").await? != "plan" {
        tabs += 1;
        ensure!(tabs < 30, "the plan is not reached with Tab");
        browser
            .action_chain()
            .send_keys(Key::Tab + "")
            .perform()
            .await?;
    }
    let (east, north) = (millimetres("east").await?, millimetres("north").await?);
    let press = async |keys: TypingData| browser.action_chain().send_keys(keys).perform().await;
    press(Key::Right + "").await?;
    press(Key::Up + "").await?;
    ensure!(millimetres("east").await? == east + 100.0);
    ensure!(millimetres("north").await? == north + 100.0);
    let fine = browser.action_chain().key_down(Key::Alt);
    fine.send_keys(Key::Left + "")
        .key_up(Key::Alt)
        .perform()
        .await?;
    ensure!(millimetres("east").await? == east + 90.0);
    let heading = field(&browser, "heading").await?;
    press("]".into()).await?;
    press("[".into()).await?;
    ensure!(field(&browser, "heading").await? == heading);
    press("}".into()).await?;
    ensure!(field(&browser, "heading").await? != heading);
    browser
        .wait_until("document.getElementById('spoken').textContent.includes('Tightest')")
        .await?;
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn every_number_follows_the_units() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    for (style, sign) in [
        ("metres", " m"),
        ("millimetres", " mm"),
        ("decimal feet", " ft"),
        ("feet and inches, to 1/16\"", "\""),
    ] {
        pick(&browser, "units", style).await?;
        browser.find(By::Id("tab-place")).await?.click().await?;
        let east = field(&browser, "east").await?;
        ensure!(east.ends_with(sign), "{style}: {east}");
        browser.find(By::Id("tab-level")).await?.click().await?;
        let reach = "document.querySelector('.card .small-facts dd').textContent";
        let reach = text(&browser, reach).await?;
        ensure!(reach.ends_with(sign), "{style}: {reach}");
        let words = "document.querySelector('.dimension-words.strong').textContent";
        let words = text(&browser, words).await?;
        ensure!(words.contains(sign), "{style}: {words}");
    }
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_reload_loses_nothing() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    enter(&browser, "east", "88' 0\"").await?;
    browser.find(By::Id("tab-level")).await?.click().await?;
    browser.find(By::Css(".act input")).await?.click().await?;
    browser.refresh().await?;
    browser.wait_until(READY).await?;
    ensure!(
        value(&browser, "document.querySelector('.act input').checked").await? == true,
        "the view or the tick is gone"
    );
    browser.find(By::Id("tab-place")).await?.click().await?;
    ensure!(field(&browser, "east").await? == "88' 0\"");
    browser.assert_clean(&page).await
}

/// A name and the text of a file that cannot be used, and what its refusal must name.
fn broken_files() -> Result<Vec<(&'static str, String, &'static str)>> {
    let sample = &samples()?
        .into_iter()
        .find(|sample| sample.name == "village-green")
        .context("no village green")?
        .json;
    let spoilt = |spoil: &dyn Fn(&mut Value)| -> Result<String> {
        let mut file: Value = serde_json::from_str(sample)?;
        spoil(&mut file);
        Ok(file.to_string())
    };
    Ok(vec![
        (
            "truncated.json",
            sample.chars().take(700).collect(),
            "line ",
        ),
        ("empty.json", String::new(), "line "),
        ("words.json", "not a site at all".to_owned(), "line "),
        (
            "wrong-type.json",
            spoilt(&|file| file["rides"][0]["placement"]["heading"] = json!("north"))?,
            "rides[0].placement.heading",
        ),
        (
            "huge-numbers.json",
            spoilt(&|file| file["lot"]["boundary"][0] = json!([1e9, -1e9]))?,
            "lot.boundary[0]",
        ),
        (
            "unknown-profile.json",
            spoilt(&|file| file["rides"][0]["profile"] = json!("nobody-has-this"))?,
            "rides[0].profile",
        ),
    ])
}

#[tokio::test(flavor = "multi_thread")]
async fn broken_files_are_refused_with_their_places() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    let folder = tempfile::tempdir()?;
    let name = text(&browser, "document.querySelector('h1').textContent").await?;
    let east = field(&browser, "east").await?;
    for (file, json, place) in broken_files()? {
        let path = folder.path().join(file);
        fs::write(&path, json)?;
        open_file(&browser, &path).await?;
        browser
            .wait_until(&format!(
                "document.getElementById('notice').textContent.includes('{file} cannot be used')"
            ))
            .await?;
        let notice = text(&browser, "document.getElementById('notice').textContent").await?;
        ensure!(
            notice.contains(place),
            "{file}: {place} is not in {notice:?}"
        );
        ensure!(text(&browser, "document.querySelector('h1').textContent").await? == name);
        ensure!(field(&browser, "east").await? == east);
    }
    browser.take_screenshot("refused").await?;
    // And the page still works.
    enter(&browser, "east", "90' 0\"").await?;
    ensure!(field(&browser, "east").await? == "90' 0\"");
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_good_file_opens_and_two_hundred_thousand_levels_do_not_stop_the_page() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    let folder = tempfile::tempdir()?;
    let yard = samples()?
        .into_iter()
        .find(|sample| sample.name == "paved-yard")
        .context("no paved yard")?
        .json;
    let path = folder.path().join("yard.json");
    fs::write(&path, &yard)?;
    open_file(&browser, &path).await?;
    browser
        .wait_until("document.querySelector('h1').textContent.includes('yard')")
        .await?;

    let mut file: Value = serde_json::from_str(&yard)?;
    let levels: Vec<Value> = (0..200_000_u32)
        .map(|index| {
            let (column, row) = (f64::from(index % 500), f64::from(index / 500));
            json!({
                "x": -1.0 + column * 0.1, "y": -1.0 + row * 0.11,
                "elevation": 4.0 + 0.002 * column + 0.1 * libm::sin(row * 0.05),
            })
        })
        .collect();
    file["spot_levels"] = levels.into();
    let path = folder.path().join("dense.json");
    fs::write(&path, file.to_string())?;
    let start = Instant::now();
    open_file(&browser, &path).await?;
    let done = "/dense.json (is open|cannot be used)/.test(
        document.getElementById('notice').textContent)";
    browser.wait_until(done).await?;
    let notice = text(&browser, "document.getElementById('notice').textContent").await?;
    println!("200,000 spot levels: {:.1?}; {notice}", start.elapsed());
    let east = field(&browser, "east").await?;
    enter(&browser, "east", "14 m").await?;
    ensure!(field(&browser, "east").await? != east, "the page is stuck");
    browser.take_screenshot("dense").await?;
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_saved_can_be_read() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    browser.allow_downloads().await?;
    pick(&browser, "units", "metres").await?;
    enter(&browser, "east", "27.5").await?;
    browser.find(By::Id("save")).await?.click().await?;
    let site = Site::read(&browser.downloaded("json").await?)?;
    ensure!(site.file().rides[0].placement.x == 27.5);
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_clearance_that_is_picked_shows_on_the_plan() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    browser.find(By::Id("tab-clear")).await?.click().await?;
    let rows = browser.find_all(By::Css(".row-button")).await?;
    ensure!(rows.len() > 4);
    rows[3].click().await?;
    browser
        .wait_until("document.querySelector('.plan .dimension.picked')")
        .await?;
    browser.find(By::Id("failing-only")).await?.click().await?;
    let failing = browser.find_all(By::Css(".row-button")).await?.len();
    ensure!(
        failing < rows.len(),
        "the filter shows {failing} of {}",
        rows.len()
    );
    browser.assert_clean(&page).await
}

/// Everything that can be pressed or typed into and has no name, and ids that are there twice.
const NAMELESS: &str = "
    const named = (element) =>
        element.getAttribute('aria-label') || element.labels?.length ||
        element.getAttribute('aria-labelledby') || element.textContent.trim();
    const controls = [...document.querySelectorAll(
        'button, input, select, a, summary, [tabindex], [role=application], [role=tabpanel]')];
    const nameless = controls.filter((element) => !named(element))
        .map((element) => element.outerHTML.slice(0, 120));
    const ids = [...document.querySelectorAll('[id]')].map((element) => element.id);
    const twice = ids.filter((id, index) => ids.indexOf(id) !== index);
    const refs = [...document.querySelectorAll('[aria-describedby],[aria-labelledby],[aria-controls]')]
        .flatMap((element) => ['aria-describedby', 'aria-labelledby', 'aria-controls']
            .flatMap((name) => (element.getAttribute(name) ?? '').split(' ')))
        .filter((id) => id && !document.getElementById(id));
    return [...nameless, ...twice, ...refs];";

/// Visible controls smaller than a thumb in a glove.
const SMALL: &str = "
    return [...document.querySelectorAll('button, select, input[type=text], label.choice, label.act')]
        .filter((element) => element.offsetParent && !element.classList.contains('link'))
        .map((element) => [element, element.getBoundingClientRect()])
        .filter(([, box]) => box.height < 47.5 || box.width < 44)
        .map(([element, box]) => `${element.outerHTML.slice(0, 90)} ${box.width}x${box.height}`);";

#[tokio::test(flavor = "multi_thread")]
async fn every_view_has_names_and_fits_its_screen() -> Result<()> {
    for screen in [Screen::Desk, Screen::Phone] {
        let (page, browser) = open(screen).await?;
        for view in ["place", "level", "clear", "fence"] {
            browser
                .find(By::Id(format!("tab-{view}")))
                .await?
                .click()
                .await?;
            let faults = browser.execute(NAMELESS, vec![]).await?;
            ensure!(faults.json() == &json!([]), "{view}: {}", faults.json());
            let wide = "document.documentElement.scrollWidth - innerWidth";
            ensure!(value(&browser, wide).await? == 0, "{view} scrolls sideways");
            let wide = "document.querySelector('#tab-body').scrollWidth
                - document.querySelector('#tab-body').clientWidth";
            ensure!(value(&browser, wide).await? == 0, "{view} is cut off");
            if screen == Screen::Phone {
                let small = browser.execute(SMALL, vec![]).await?;
                ensure!(small.json() == &json!([]), "{view}: {}", small.json());
            }
            browser.take_screenshot(view).await?;
        }
        browser.assert_clean(&page).await?;
    }
    Ok(())
}

/// The 50th and the 95th percentile of durations, milliseconds.
fn percentiles(mut durations: Vec<f64>) -> Option<(f64, f64)> {
    durations.sort_by(f64::total_cmp);
    let at = |share: f64| {
        let index = (share * (durations.len() as f64 - 1.0)).round();
        durations.get(index as usize).copied()
    };
    Some((at(0.5)?, at(0.95)?))
}

#[tokio::test(flavor = "multi_thread")]
async fn a_drag_keeps_up_with_the_hand() -> Result<()> {
    for (sample, title) in [
        ("village green", "Village green, in feet"),
        ("paved yard", "Paved yard, in metres"),
    ] {
        let (page, browser) = open(Screen::Desk).await?;
        pick(&browser, "samples", title).await?;
        let hub = middle(&browser, ".plan .selected .hub").await?;
        // One move a frame, as a hand gives them.
        browser
            .run_async(
                "const plan = document.getElementById('plan'), [x, y] = arguments;
                 const at = document.elementFromPoint(x, y);
                 const fire = (element, kind, dx, dy) => element.dispatchEvent(
                     new PointerEvent(kind, { bubbles: true, pointerId: 1, button: 0,
                         clientX: x + dx, clientY: y + dy }));
                 performance.clearMeasures();
                 fire(at, 'pointerdown', 0, 0);
                 for (let step = 1; step <= 150; step += 1) {
                     fire(plan, 'pointermove', 60 * Math.sin(step / 12), step / 3);
                     await new Promise(requestAnimationFrame);
                 }
                 fire(plan, 'pointerup', 0, 0);",
                vec![json!(hub.0), json!(hub.1)],
            )
            .await?;
        for name in ["assess", "draw", "step"] {
            let entries = format!(
                "performance.getEntriesByName('{name}', 'measure').map((entry) => entry.duration)"
            );
            let durations: Vec<f64> = serde_json::from_value(value(&browser, &entries).await?)?;
            ensure!(durations.len() > 100, "{name}: {} steps", durations.len());
            let (half, most) = percentiles(durations).context("no steps")?;
            println!("{sample}, {name}: 50th percentile {half:.2} ms, 95th {most:.2} ms");
            ensure!(most < 100.0, "{name} takes {most} ms");
        }
        browser.assert_clean(&page).await?;
    }
    Ok(())
}
