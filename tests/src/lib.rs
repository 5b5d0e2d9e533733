//! What the browser tests share: the built page on a free port of this machine, and a fresh
//! Chromium that looks at it.
//!
//! ```no_run
//! # async fn example() -> anyhow::Result<()> {
//! use tober_tests::{Browser, PageServer, Screen};
//!
//! let page = PageServer::start().await?;
//! let browser = Browser::start(Screen::Desk).await?;
//! browser.goto(page.url()).await?; // every call of thirtyfour's `WebDriver`
//! browser.take_screenshot("opened").await?; // target/screenshots/opened-desk.png
//! browser.assert_clean(&page).await // no console errors, no foreign requests
//! # }
//! ```
//!
//! Tests are `#[tokio::test(flavor = "multi_thread")]` functions that return `anyhow::Result`.
//! Everything that was started ends with the values that hold it, also when a test fails.

mod browser;
mod random;
mod server;

pub use browser::{Browser, Screen};
pub use random::Random;
pub use server::{JsServer, PageServer};

use std::fs;

use anyhow::{Context, Result};

/// A site file of `sample-sites/`.
#[derive(Clone, Debug)]
pub struct Sample {
    /// The file's name without its ending.
    pub name: String,
    /// What is in it.
    pub json: String,
}

/// Every site file of `sample-sites/`, in the order of their names. (The schemas beside them are
/// no site files.)
pub fn samples() -> Result<Vec<Sample>> {
    let folder = xtask::workspace::root().join("sample-sites");
    let mut samples = Vec::new();
    for entry in fs::read_dir(&folder).with_context(|| format!("no {}", folder.display()))? {
        let path = entry?.path();
        let file = path.file_name().unwrap_or_default().to_string_lossy();
        match file.strip_suffix(".json") {
            Some(name) if !name.ends_with(".schema") => samples.push(Sample {
                name: name.to_owned(),
                json: fs::read_to_string(&path)?,
            }),
            _ => {}
        }
    }
    samples.sort_by(|a, b| a.name.cmp(&b.name));
    Ok(samples)
}
