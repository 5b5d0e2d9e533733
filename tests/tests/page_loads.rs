//! Loads in the page: what each foot carries, seats emptied and filled by hand and by keys, the
//! speed and the wind, on a screen and on a phone.

use anyhow::{Context, Result, ensure};
use serde_json::Value;
use thirtyfour::prelude::*;
use tober::assess::assess;
use tober::loads::{Trial, force_down, force_up, try_riders};
use tober::site::Site;
use tober_tests::{Browser, PageServer, Screen, samples};

/// The loads, open on the demo fair.
async fn open(screen: Screen) -> Result<(PageServer, Browser)> {
    let page = PageServer::start().await?;
    let browser = Browser::start(screen).await?;
    browser.goto(page.url()).await?;
    browser
        .wait_until("document.querySelector('.plan .hub')")
        .await?;
    click(&browser, "tab-loads").await?;
    browser
        .wait_until("document.querySelector('.load-foot')")
        .await?;
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

async fn click(browser: &Browser, id: &str) -> Result<()> {
    let element = browser.find(By::Id(id)).await?;
    element.scroll_into_view().await?;
    element.click().await?;
    Ok(())
}

/// What is said of the feet with some riders, foot after foot.
async fn said(browser: &Browser) -> Result<Vec<String>> {
    let all = "[...document.querySelectorAll('.load-now strong')].map(it => it.textContent)";
    Ok(serde_json::from_value(value(browser, all).await?)?)
}

/// What is to be said.
fn expected(site: &Site, trial: &Trial) -> Result<Vec<String>> {
    let units = site.file().units;
    let tried = try_riders(site, &assess(site), 0, trial).context("no loads")?;
    let feet = tried.feet.iter();
    let words = feet.map(|foot| {
        let (least, greatest) = (foot.least, foot.greatest);
        format!(
            "{} to {}",
            force_down(least, units),
            force_up(greatest, units)
        )
    });
    Ok(words.collect())
}

#[tokio::test(flavor = "multi_thread")]
async fn every_foot_has_its_bar_its_ground_and_its_worst_case() -> Result<()> {
    let (page, browser) = open(Screen::Desk).await?;
    let site = demo()?;
    let loads = &assess(&site).rides[0].loads;
    ensure!(value(&browser, "document.querySelectorAll('.load-foot').length").await? == 4);
    // The limit on every bar, beside its words and where the foot stands.
    for place in [".load-foot", ".load-plan"] {
        let limits = format!("document.querySelectorAll('{place} .load-limit').length");
        ensure!(value(&browser, &limits).await? == 4, "{place}");
    }
    let worst = "document.querySelectorAll('.load-plan .load-edge.worst').length";
    ensure!(
        value(&browser, worst).await? == 1,
        "the edge it would tip over first"
    );
    let all = value(&browser, "document.getElementById('tab-body').textContent").await?;
    let all = all.as_str().unwrap_or_default();
    for foot in &loads.feet {
        ensure!(
            all.contains(&foot.id) && all.contains(&force_up(foot.greatest, site.file().units))
        );
        ensure!(all.contains(&loads.cases[foot.greatest_case].in_words()));
    }
    ensure!(all.contains("Against tipping") && all.contains("Against sliding"));
    browser.take_screenshot("loads-desktop").await?;
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn seats_are_emptied_and_the_feet_answer() -> Result<()> {
    let (page, browser) = open(Screen::Phone).await?;
    let site = demo()?;
    ensure!(said(&browser).await?.is_empty());

    click(&browser, "seats-half").await?;
    let mut trial = Trial::all_full(&site, 0).context("no seats")?;
    let half = trial.full_seats[0].len() / 2;
    trial.full_seats[0][..half].fill(0);
    ensure!(
        said(&browser).await? == expected(&site, &trial)?,
        "half of them"
    );

    // One car is filled again with the keyboard.
    browser
        .execute("document.querySelector('.car.empty').focus()", vec![])
        .await?;
    browser
        .active_element()
        .await?
        .send_keys(Key::Enter + "")
        .await?;
    trial.full_seats[0][0] = site.profile(0).context("no ride")?.loads.seats[0].seats_in_car;
    ensure!(
        said(&browser).await? == expected(&site, &trial)?,
        "one more"
    );

    // At rest and without wind.
    click(&browser, "seat-wind").await?;
    browser
        .execute(
            "const slider = document.getElementById('seat-speed');
             slider.value = 0;
             slider.dispatchEvent(new Event('input', { bubbles: true }));",
            vec![],
        )
        .await?;
    (trial.rpm, trial.with_wind) = (0.0, false);
    ensure!(said(&browser).await? == expected(&site, &trial)?, "at rest");

    click(&browser, "seats-empty").await?;
    trial.full_seats[0].fill(0);
    ensure!(said(&browser).await? == expected(&site, &trial)?, "empty");
    browser.take_screenshot("loads-phone").await?;
    let wide = "document.documentElement.scrollWidth <= window.innerWidth";
    ensure!(
        value(&browser, wide).await? == true,
        "it is wider than the screen"
    );
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_value_is_set_for_the_site_and_given_back() -> Result<()> {
    let (page, browser) = open(Screen::Phone).await?;
    let text = "document.getElementById('tab-body').textContent";
    let says = async |words: &str| -> Result<bool> {
        let all = value(&browser, text).await?;
        Ok(all.as_str().unwrap_or_default().contains(words))
    };
    browser
        .find(By::Css(".load-values summary"))
        .await?
        .click()
        .await?;
    // Nobody says so: refused.
    browser
        .find(By::Id("load-value"))
        .await?
        .send_keys("90")
        .await?;
    click(&browser, "load-set").await?;
    ensure!(
        says("Who says so: every paper shows it").await?,
        "no reason"
    );
    let reason = browser.find(By::Id("load-reason")).await?;
    reason.send_keys("the county's inspector").await?;
    click(&browser, "load-set").await?;
    ensure!(
        says("set for this site: the county's inspector. It replaces 1.5.").await?,
        "not set"
    );
    ensure!(
        says("90 is asked for").await? && says("It could tip over").await?,
        "not judged by it"
    );
    browser.take_screenshot("loads-values-phone").await?;
    browser
        .find(By::Css(".load-values .link"))
        .await?
        .click()
        .await?;
    ensure!(
        !says("It replaces").await? && !says("It could tip over").await?,
        "not given back"
    );
    let stages = "document.querySelectorAll('.wide-table')[0].querySelectorAll('tbody tr').length";
    ensure!(value(&browser, stages).await? == 8, "a stage is missing");
    let wide = "document.documentElement.scrollWidth <= window.innerWidth";
    ensure!(
        value(&browser, wide).await? == true,
        "it is wider than the screen"
    );
    browser.assert_clean(&page).await
}

/// Every foot answers a trial beside the seats, in the words of its own card; the answer stays in
/// sight with the speed's slider, on a phone and under a message.
#[tokio::test(flavor = "multi_thread")]
async fn the_answer_and_the_slider_are_seen_together() -> Result<()> {
    let (page, browser) = open(Screen::Phone).await?;
    // What another version kept is told of when the page opens.
    browser
        .execute("localStorage.setItem('tober.site', '{}')", vec![])
        .await?;
    browser.goto(page.url()).await?;
    browser
        .wait_until("document.querySelector('.notice')")
        .await?;
    click(&browser, "tab-loads").await?;
    ensure!(
        value(
            &browser,
            "document.querySelectorAll('.trial-feet li').length"
        )
        .await?
            == 0
    );
    click(&browser, "seats-half").await?;
    let beside = "[...document.querySelectorAll('.trial-feet li')].map(it => it.textContent)";
    let beside: Vec<String> = serde_json::from_value(value(&browser, beside).await?)?;
    let said = said(&browser).await?;
    ensure!(beside.len() == 4, "{beside:?}");
    for (beside, said) in beside.iter().zip(&said) {
        ensure!(beside.ends_with(said), "{beside}, {said}");
    }
    let bars = "document.querySelectorAll('.trial-feet .load-bar').length";
    ensure!(value(&browser, bars).await? == 4, "a bar for each");
    browser
        .execute(
            "document.getElementById('seat-speed').scrollIntoView({ block: 'nearest' })",
            vec![],
        )
        .await?;
    let free = "(() => {
        const slider = document.getElementById('seat-speed').getBoundingClientRect();
        const at = document.elementFromPoint(
            slider.left + slider.width / 2, slider.top + slider.height / 2);
        const answer = document.getElementById('trial-outcome').getBoundingClientRect();
        const body = document.getElementById('tab-body').getBoundingClientRect();
        return at.id === 'seat-speed' && slider.bottom <= answer.top
            && slider.top >= body.top && answer.bottom <= body.bottom + 1;
    })()";
    browser.take_screenshot("loads-phone-message").await?;
    ensure!(
        value(&browser, free).await? == true,
        "the answer covers the slider"
    );
    // It answers while the slider moves.
    let answer = "document.getElementById('trial-outcome').textContent";
    let before = value(&browser, answer).await?;
    browser
        .execute(
            "const slider = document.getElementById('seat-speed');
             slider.value = 2;
             slider.dispatchEvent(new Event('input', { bubbles: true }));",
            vec![],
        )
        .await?;
    ensure!(
        value(&browser, answer).await? != before,
        "slower is the same"
    );
    browser.assert_clean(&page).await
}
