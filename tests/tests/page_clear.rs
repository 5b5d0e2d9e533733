//! The organizer's view: rows by click and by keys, the pair from the side, who asks, another
//! speed that is only imagined, ways kept free, and the record on paper.

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use thirtyfour::common::print::PrintParameters;
use thirtyfour::prelude::*;
use tober::assess::{Assessment, assess};
use tober::clearance::Asks;
use tober::site::{ClearanceValue, Site, SiteFile};
use tober_tests::{Browser, PageServer, Screen, samples};

/// The clearances, open on the demo fair.
async fn open(screen: Screen) -> Result<(PageServer, Browser)> {
    let page = PageServer::start().await?;
    let browser = Browser::start(screen).await?;
    browser.goto(page.url()).await?;
    browser
        .wait_until("document.querySelector('.plan .hub')")
        .await?;
    click(&browser, "tab-clear").await?;
    Ok((page, browser))
}

fn demo() -> Result<Site> {
    let samples = samples()?;
    let green = samples.iter().find(|it| it.name == "village-green");
    Ok(Site::read(&green.context("no village green")?.json)?)
}

fn demo_assessed() -> Result<Assessment> {
    Ok(assess(&demo()?))
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

async fn open_site(browser: &Browser, file: SiteFile) -> Result<()> {
    let name = file.name.clone();
    let json = Site::new(file)?.to_json();
    browser
        .execute(
            "const file = new File([arguments[0]], 'site.json', { type: 'application/json' });
             const data = new DataTransfer();
             data.items.add(file);
             const input = document.querySelector('.file-input');
             input.files = data.files;
             input.dispatchEvent(new Event('change', { bubbles: true }));",
            vec![json!(json)],
        )
        .await?;
    let shown = format!(
        "document.querySelector('.head h1')?.textContent.includes({})",
        json!(name)
    );
    browser.wait_until(&shown).await
}

/// Draws the slider to a speed.
async fn slide(browser: &Browser, rpm: f64) -> Result<()> {
    browser
        .execute(
            "const slider = document.getElementById('what-if-speed');
             slider.value = arguments[0];
             slider.dispatchEvent(new Event('input', { bubbles: true }));",
            vec![json!(rpm.to_string())],
        )
        .await?;
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn a_row_shows_on_the_plan_and_from_the_side() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    let assessment = demo_assessed()?;
    let rows = &assessment.rides[0].clearances;
    // Before anything is picked, the tightest is looked at.
    let seen = "document.querySelector('.side-beside svg')?.getAttribute('aria-label')";
    let first = value(&browser, seen).await?;
    ensure!(
        first
            .as_str()
            .is_some_and(|it| it.contains(&rows[0].against_name)),
        "{first}"
    );
    click(&browser, "clearance-3").await?;
    browser
        .wait_until("document.querySelector('.plan .dimension.picked')")
        .await?;
    let label = value(&browser, seen).await?;
    let label = label.as_str().unwrap_or_default().to_owned();
    ensure!(label.contains(&rows[3].against_name), "{label}");
    ensure!(label.contains(rows[3].verdict.word()), "{label}");
    // The distance stands in the row, on the plan and in the side view alike.
    let distance = text(&browser, "#clearance-3 strong").await?;
    for place in [".side-beside .dimension", "#plan .dimension.picked"] {
        let drawn = text(&browser, place).await?;
        ensure!(
            drawn.contains(&distance),
            "{place}: {drawn}, not {distance}"
        );
    }
    browser.take_screenshot("clear-picked").await?;
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn arrow_keys_walk_through_the_rows() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    let row = browser.find(By::Id("clearance-0")).await?;
    row.send_keys("" + Key::Enter).await?;
    for (key, at) in [
        (Key::Down, 1),
        (Key::Down, 2),
        (Key::Up, 1),
        (Key::End, -1),
        (Key::Home, 0),
    ] {
        let focused = browser.active_element().await?;
        focused.send_keys("" + key).await?;
        let count = value(&browser, "document.querySelectorAll('.row-button').length").await?;
        let at = if at < 0 {
            count.as_i64().unwrap_or(0) - 1
        } else {
            at
        };
        let wanted = format!(
            "document.activeElement.id === 'clearance-{at}' &&
             document.activeElement.getAttribute('aria-pressed') === 'true' &&
             document.querySelectorAll('.row-button[aria-pressed=true]').length === 1"
        );
        browser.wait_until(&wanted).await?;
    }
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn rows_are_sorted_out_by_who_asks() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    let assessment = demo_assessed()?;
    let count = |asks: Asks| {
        let rows = assessment.rides[0].clearances.iter();
        rows.filter(|row| row.asks == asks).count()
    };
    for asks in [Asks::FireMarshal, Asks::Utility, Asks::Access] {
        let chip = format!(".chip[data-asks='{}']", asks.words());
        browser.find(By::Css(chip)).await?.click().await?;
        let shown = format!(
            "document.querySelectorAll('.row-button').length === {}",
            count(asks)
        );
        browser.wait_until(&shown).await?;
    }
    // Access asks for the walkway, not for the fire lane.
    let ways = text(&browser, ".ways").await?;
    ensure!(
        ways.contains("Walkway") && !ways.contains("Fire lane"),
        "{ways}"
    );
    browser
        .find(By::Css(".chip[data-asks='all']"))
        .await?
        .click()
        .await?;
    let all = assessment.rides[0].clearances.len();
    browser
        .wait_until(&format!(
            "document.querySelectorAll('.row-button').length === {all}"
        ))
        .await?;
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn another_speed_is_imagined_and_never_kept() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    let site = demo()?;
    let before = text(&browser, "#clearance-0 strong").await?;
    let radius = "Number(document.querySelector('#plan .ride .envelope').getAttribute('r'))";
    // The plan has taken its new size.
    tokio::time::sleep(std::time::Duration::from_millis(300)).await;
    let wide = value(&browser, radius)
        .await?
        .as_f64()
        .context("no radius")?;
    slide(&browser, 5.0).await?;
    browser
        .wait_until("document.getElementById('what-if-flag')?.textContent.includes('Not saved')")
        .await?;
    // What the library says of that speed, and the plan draws the smaller circle.
    let imagined = assess(&site.with_full_speed(0, 5.0)?);
    let row = &imagined.rides[0].clearances[0];
    let shown = text(&browser, "#clearance-0 strong").await?;
    let style = imagined.units;
    ensure!(
        row.value.is_some_and(|it| style.format_down(it) == shown),
        "{shown}, not {:?}",
        row.value
    );
    let narrow = value(&browser, radius)
        .await?
        .as_f64()
        .context("no radius")?;
    ensure!(narrow < wide - 1.0, "{narrow} is no smaller than {wide}");
    browser.take_screenshot("clear-what-if").await?;
    // Nothing of it in what is kept, nor in another view.
    tokio::time::sleep(std::time::Duration::from_millis(600)).await;
    let kept = value(&browser, "localStorage.getItem('tober.site') ?? ''").await?;
    ensure!(
        !kept
            .as_str()
            .unwrap_or_default()
            .contains("full_speed_rpm\": 5"),
        "kept"
    );
    click(&browser, "tab-fence").await?;
    browser
        .wait_until("!document.getElementById('what-if-flag')")
        .await?;
    click(&browser, "tab-clear").await?;
    click(&browser, "what-if-back").await?;
    browser
        .wait_until("!document.getElementById('what-if-flag')")
        .await?;
    ensure!(text(&browser, "#clearance-0 strong").await? == before);
    let full = format!("Math.abs({radius} - {wide}) < 0.2");
    browser.wait_until(&full).await?;
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn ways_are_told_and_shown() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    let ways = text(&browser, ".ways").await?;
    for told in [
        "Path across the green",
        "Steepest along".to_lowercase().as_str(),
        "From gate to gate",
        "Power: ",
    ] {
        ensure!(ways.contains(told), "{told} is not in {ways}");
    }
    let view = "document.querySelector('#plan .lot-line')?.getAttribute('d')";
    let before = value(&browser, view).await?;
    let show = browser.find(By::Css(".ways .show-place")).await?;
    show.scroll_into_view().await?;
    show.click().await?;
    ensure!(
        value(&browser, view).await? != before,
        "the plan stays where it was"
    );
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn things_are_put_on_the_lot_by_pressing_on_the_plan() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    let signs = "document.querySelectorAll('#plan .extinguisher').length";
    ensure!(value(&browser, signs).await? == 1);
    click(&browser, "tab-clear").await?;
    browser
        .execute("document.getElementById('things').open = true;", vec![])
        .await?;
    click(&browser, "add-extinguisher").await?;
    browser.wait_until(&format!("{signs} === 2")).await?;
    let east = "document.getElementById('thing-east').value";
    let before = value(&browser, east).await?;
    // The next press on the plan puts it there, and picks no ride.
    let plan = browser.find(By::Id("plan")).await?;
    let chain = browser.action_chain();
    let chain = chain.move_to_element_with_offset(&plan, -120, 90);
    chain.click().perform().await?;
    browser.wait_until(&format!("{east} !== {before}")).await?;
    ensure!(
        value(
            &browser,
            "document.getElementById('thing-place').getAttribute('aria-pressed')"
        )
        .await?
            == "false"
    );
    // Typed, named, and taken away.
    let name = browser.find(By::Id("thing-name")).await?;
    name.send_keys("By the steps" + Key::Enter).await?;
    browser
        .wait_until("document.getElementById('thing').textContent.includes('By the steps')")
        .await?;
    click(&browser, "thing-remove").await?;
    browser.wait_until(&format!("{signs} === 1")).await?;
    // A disconnect is the shown ride's, until it is told to be no ride's.
    let words = "document.querySelector('.ways').textContent";
    ensure!(
        !text(&browser, ".ways")
            .await?
            .contains("which ride it cuts off")
    );
    look_at(&browser, "disconnect-swing").await?;
    browser
        .find(By::Css("#thing-supplies input"))
        .await?
        .click()
        .await?;
    browser
        .wait_until(&format!(
            "{words}.includes('nobody has told which ride it cuts off')"
        ))
        .await?;
    browser.assert_clean(&page).await
}

/// Looks at a thing among those that are put down.
async fn look_at(browser: &Browser, id: &str) -> Result<()> {
    browser
        .execute(
            "const things = document.getElementById('thing');
             things.value = arguments[0];
             things.dispatchEvent(new Event('change', { bubbles: true }));",
            vec![json!(id)],
        )
        .await?;
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn a_rope_has_two_ends_and_a_line_is_told_what_it_supplies() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    browser
        .execute("document.getElementById('things').open = true;", vec![])
        .await?;
    let ropes = "document.querySelectorAll('#plan .rope').length";
    click(&browser, "add-rope").await?;
    browser.wait_until(&format!("{ropes} === 2")).await?;
    let plan = browser.find(By::Id("plan")).await?;
    // One press for each end.
    for (x, told) in [
        (-160, "Now press at the other end"),
        (-60, "Press on the plan"),
    ] {
        let chain = browser.action_chain();
        let chain = chain.move_to_element_with_offset(&plan, x, 120);
        chain.click().perform().await?;
        let place = "document.getElementById('thing-place').textContent.trim()";
        browser
            .wait_until(&format!("{place} === {}", json!(told)))
            .await?;
    }
    let length = "Math.abs(document.querySelectorAll('#plan .rope-end')[3].getAttribute('cx')
         - document.querySelectorAll('#plan .rope-end')[2].getAttribute('cx'))";
    let length = value(&browser, length).await?.as_f64().context("no ends")?;
    ensure!((length - 100.0).abs() < 2.0, "{length}");
    // Scrolled to the top it would lie under the side view.
    let tick = "document.getElementById('thing-marked').click();";
    browser.execute(tick, vec![]).await?;
    browser
        .wait_until("document.querySelectorAll('#plan .rope-flag').length === 2")
        .await?;
    // The line along the north side supplies the ride: the site that is kept says so.
    look_at(&browser, "north-line").await?;
    browser
        .wait_until("document.querySelector('#thing-supplies input:not(:checked)')")
        .await?;
    let tick = "document.querySelector('#thing-supplies input').click();";
    browser.execute(tick, vec![]).await?;
    browser
        .wait_until(
            "JSON.parse(localStorage.getItem('tober.site')).features.overhead_lines[0].supplies?.[0] === 'swing'",
        )
        .await?;
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_phone_shows_the_pair_in_its_row() -> Result<()> {
    let (page, browser) = open(Screen::Phone).await?;
    browser.take_screenshot("clear").await?;
    click(&browser, "clearance-0").await?;
    browser
        .wait_until(
            "document.querySelector('.row .side-inline svg')?.getBoundingClientRect().height > 150",
        )
        .await?;
    let wide = "document.documentElement.scrollWidth - innerWidth";
    ensure!(value(&browser, wide).await? == 0, "scrolls sideways");
    browser.take_screenshot("clear-picked").await?;
    let ways = browser.find(By::Css(".ways")).await?;
    ways.scroll_into_view().await?;
    browser.take_screenshot("clear-ways").await?;
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn the_record_states_what_was_checked_and_what_was_not() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    let mut file = demo()?.file().clone();
    file.name = "Green with its own slope".to_owned();
    file.clearance_values.push(ClearanceValue {
        rule: "walkway-slope-along".to_owned(),
        value: 1.0 / 12.0,
        reason: "Agreed with the access officer".to_owned(),
    });
    open_site(&browser, file.clone()).await?;
    click(&browser, "tab-clear").await?;
    browser
        .execute("dispatchEvent(new Event('beforeprint'));", vec![])
        .await?;
    browser
        .wait_until("document.querySelector('.record')")
        .await?;
    let record = text(&browser, ".record").await?;
    let assessment = assess(&Site::new(file)?);
    for row in &assessment.rides[0].clearances {
        let distance = row.value.map(|it| assessment.units.format_down(it));
        ensure!(record.contains(&distance.unwrap_or_default()), "{row:?}");
    }
    for words in [
        "Agreed with the access officer",
        "set for this site, in place of 1:20",
        "Signature",
        "Seen and confirmed",
    ] {
        ensure!(record.contains(words), "{words} is not in {record}");
    }
    for it in &assessment.not_checked {
        ensure!(record.contains(&it.what), "{}", it.what);
    }
    ensure!(record.contains("Fire extinguisher: "), "what is at hand");
    for caution in &assessment.cautions {
        ensure!(record.contains(caution), "{caution}");
    }
    browser
        .execute("dispatchEvent(new Event('afterprint'));", vec![])
        .await?;
    let paper = browser.print_page(PrintParameters::default()).await?;
    std::fs::write("../target/screenshots/clearance-record.pdf", paper)?;
    browser.assert_clean(&page).await
}
