//! The page in a browser: it starts, keeps to itself, and calculates what a terminal does.

use anyhow::Result;
use tober_tests::{Browser, PageServer, Screen};

#[tokio::test(flavor = "multi_thread")]
async fn the_page_opens_without_errors_and_asks_nobody_else() -> Result<()> {
    let page = PageServer::start().await?;
    for screen in [Screen::Desk, Screen::Phone] {
        let browser = Browser::start(screen).await?;
        browser.goto(page.url()).await?;
        browser
            .wait_until("navigator.serviceWorker.controller")
            .await?;
        browser.take_screenshot("opened").await?;
        browser.assert_clean(&page).await?;
    }
    Ok(())
}
