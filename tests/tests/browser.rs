//! The page's shell in a browser: it opens, keeps to itself, works without a network, and takes
//! a newer version as a whole.

use std::fs;
use std::path::Path;

use anyhow::Result;
use tober_tests::{Browser, PageServer, Screen};

/// A page that a worker keeps is one that needs no network any more.
const KEPT: &str = "navigator.serviceWorker.controller";

#[tokio::test(flavor = "multi_thread")]
async fn the_page_opens_without_errors_and_asks_nobody_else() -> Result<()> {
    let page = PageServer::start().await?;
    for screen in [Screen::Desk, Screen::Phone] {
        let browser = Browser::start(screen).await?;
        browser.goto(page.url()).await?;
        browser.wait_until(KEPT).await?;
        browser.take_screenshot("opened").await?;
        browser.assert_clean(&page).await?;
    }
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn the_page_opens_without_a_network_after_the_first_visit() -> Result<()> {
    let page = PageServer::start().await?;
    let browser = Browser::start(Screen::Phone).await?;
    browser.goto(page.url()).await?;
    browser.wait_until(KEPT).await?;
    page.stop();
    browser.refresh().await?;
    browser.wait_until(KEPT).await?;
    browser.wait_until("document.querySelector('svg')").await?;
    browser.take_screenshot("offline").await?;
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_newer_page_takes_over_at_the_next_visit() -> Result<()> {
    let folder = tempfile::tempdir()?;
    copy_unpacked(&PageServer::build().await?, folder.path())?;
    let page = PageServer::of(folder.path()).await?;
    let browser = Browser::start(Screen::Desk).await?;
    browser.goto(page.url()).await?;
    browser.wait_until(KEPT).await?;

    replace(
        &folder.path().join("index.html"),
        "<html ",
        "<html data-version=\"newer\" ",
    )?;
    replace(
        &folder.path().join("service-worker.js"),
        "\"hash\":\"",
        "\"hash\":\"newer-",
    )?;
    browser.goto(page.url()).await?;
    browser
        .wait_until("document.documentElement.dataset.version === 'newer'")
        .await?;
    let kept = browser.run_async("return caches.keys()", vec![]).await?;
    assert_eq!(kept.as_array().map(Vec::len), Some(1), "{kept}");
    browser.assert_clean(&page).await
}

/// Copies a built page without the packed forms of its files, which would hide a change.
fn copy_unpacked(from: &Path, to: &Path) -> Result<()> {
    fs::create_dir_all(to)?;
    for entry in fs::read_dir(from)? {
        let path = entry?.path();
        let copy = to.join(path.file_name().unwrap_or_default());
        let packed = path.extension().is_some_and(|it| it == "br" || it == "gz");
        if path.is_dir() {
            copy_unpacked(&path, &copy)?;
        } else if !packed {
            fs::copy(&path, copy)?;
        }
    }
    Ok(())
}

fn replace(path: &Path, old: &str, new: &str) -> Result<()> {
    let text = fs::read_to_string(path)?;
    assert!(text.contains(old), "{} has no {old}", path.display());
    Ok(fs::write(path, text.replacen(old, new, 1))?)
}
