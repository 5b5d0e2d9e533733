//! A fresh Chromium, driven by chromedriver.

use std::ops::Deref;
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use std::{fs, thread};

use anyhow::{Context, Result, bail, ensure};
use serde_json::{Value, json};
use thirtyfour::{ChromiumLikeCapabilities, DesiredCapabilities, LoggingPrefsLogLevel, WebDriver};

use crate::PageServer;

/// The screens that the page is looked at on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Screen {
    /// 1440 × 900, with a mouse.
    Desk,
    /// 390 × 844, with a finger.
    Phone,
}

impl Screen {
    /// Width and height, CSS px.
    pub fn size(self) -> (u32, u32) {
        match self {
            Screen::Desk => (1440, 900),
            Screen::Phone => (390, 844),
        }
    }

    /// The word in the names of screenshots.
    fn word(self) -> &'static str {
        match self {
            Screen::Desk => "desk",
            Screen::Phone => "phone",
        }
    }
}

/// A headless Chromium with a profile of its own; all of `WebDriver`'s calls are there.
///
/// Fields end in the order in which they stand: the session closes the browser, then the driver
/// goes, then the profile.
#[derive(Debug)]
pub struct Browser {
    driver: WebDriver,
    screen: Screen,
    _chromedriver: ChromeDriver,
    _profile: tempfile::TempDir,
}

impl Browser {
    /// Starts one, showing nothing yet.
    pub async fn start(screen: Screen) -> Result<Browser> {
        let profile = tempfile::tempdir()?;
        let chromedriver = ChromeDriver::start()?;
        let mut wanted = DesiredCapabilities::chrome();
        for argument in [
            "--headless=new",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--no-first-run",
            // Containers often have a /dev/shm too small for a browser.
            "--disable-dev-shm-usage",
            &format!("--user-data-dir={}", profile.path().display()),
        ] {
            wanted.add_arg(argument)?;
        }
        wanted.set_browser_log_level(LoggingPrefsLogLevel::All)?;
        wanted.add_experimental_option(
            "prefs",
            json!({ "download.default_directory": profile.path().join("downloads") }),
        )?;
        let driver = WebDriver::new(&chromedriver.url, wanted)
            .await
            .context("chromedriver started no Chromium")?;
        let mut browser = Browser {
            driver,
            screen,
            _chromedriver: chromedriver,
            _profile: profile,
        };
        browser.set_screen(screen).await?;
        Ok(browser)
    }

    /// Changes the screen.
    pub async fn set_screen(&mut self, screen: Screen) -> Result<()> {
        let (width, height) = screen.size();
        let phone = screen == Screen::Phone;
        let devtools = self.driver.cdp();
        devtools
            .send_raw(
                "Emulation.setDeviceMetricsOverride",
                json!({
                    "width": width, "height": height, "deviceScaleFactor": 1, "mobile": phone,
                }),
            )
            .await?;
        devtools
            .send_raw(
                "Emulation.setTouchEmulationEnabled",
                json!({ "enabled": phone }),
            )
            .await?;
        self.screen = screen;
        Ok(())
    }

    /// Writes what the screen shows to `target/screenshots/NAME-SCREEN.png`.
    pub async fn take_screenshot(&self, name: &str) -> Result<PathBuf> {
        let folder = xtask::workspace::target().join("screenshots");
        fs::create_dir_all(&folder)?;
        let path = folder.join(format!("{name}-{}.png", self.screen.word()));
        self.driver.screenshot(&path).await?;
        Ok(path)
    }

    /// Lets the page save files, without asking anybody where to.
    pub async fn allow_downloads(&self) -> Result<()> {
        let folder = self.downloads();
        self.driver
            .cdp()
            .send_raw(
                "Browser.setDownloadBehavior",
                json!({ "behavior": "allow", "downloadPath": folder }),
            )
            .await?;
        Ok(())
    }

    /// What the first file that the page saves with an ending (without its dot) holds.
    ///
    /// Chromium makes an empty file of the last name first, to see which permissions it has, and
    /// then moves what it has saved over it: an empty file is none yet.
    pub async fn downloaded(&self, ending: &str) -> Result<String> {
        let end = Instant::now() + Duration::from_secs(30);
        loop {
            let files = fs::read_dir(self.downloads())
                .into_iter()
                .flatten()
                .flatten();
            let mut named = files
                .map(|file| file.path())
                .filter(|path| path.extension().is_some_and(|it| it == ending));
            if let Some(path) = named.next() {
                let text = fs::read_to_string(path)?;
                if !text.is_empty() {
                    return Ok(text);
                }
            }
            ensure!(Instant::now() < end, "no .{ending} was saved");
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
    }

    /// Where downloads go.
    fn downloads(&self) -> PathBuf {
        self._profile.path().join("downloads")
    }

    /// Runs the body of an `async` JavaScript function and waits for what it returns.
    ///
    /// `arguments` are there as in `WebDriver`'s scripts; what is thrown is an error here.
    pub async fn run_async(&self, body: &str, arguments: Vec<Value>) -> Result<Value> {
        let script = format!(
            "const given = [...arguments], done = given.pop();
             (async function () {{ {body} }})(...given).then(
                 (value) => done({{ value: value ?? null }}),
                 (error) => done({{ error: String(error) }}),
             );"
        );
        let answer = self.driver.execute_async(script, arguments).await?;
        let answer = answer.json();
        match answer.get("error") {
            Some(error) => bail!("the script failed: {error}"),
            None => Ok(answer["value"].clone()),
        }
    }

    /// Waits until a JavaScript expression is true, 10 seconds at most. One that throws is not
    /// true yet: what it reads (an element, the kept site) comes a moment after the change.
    pub async fn wait_until(&self, expression: &str) -> Result<()> {
        let script = format!(
            "try {{ return Boolean({expression}); }} catch (error) {{ return String(error); }}"
        );
        let end = Instant::now() + Duration::from_secs(10);
        loop {
            let answer = self.driver.execute(&script, vec![]).await?;
            if answer.json() == &Value::Bool(true) {
                return Ok(());
            }
            if Instant::now() > end {
                let console = self.console_errors().await?;
                bail!(
                    "in 10 s never true: {expression}; last: {}; on the console: {console:#?}",
                    answer.json()
                );
            }
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
    }

    /// Errors and warnings on the console since the last call.
    pub async fn console_errors(&self) -> Result<Vec<String>> {
        let log = self.driver.browser_log().await?;
        Ok(log
            .into_iter()
            .filter(|entry| matches!(entry.level.as_str(), "SEVERE" | "WARNING"))
            .map(|entry| format!("{}: {}", entry.level, entry.message))
            .collect())
    }

    /// Everything that the shown document has fetched, as addresses.
    pub async fn requests(&self) -> Result<Vec<String>> {
        let script = "return performance.getEntries()
            .filter((entry) => ['navigation', 'resource'].includes(entry.entryType))
            .map((entry) => entry.name);";
        Ok(self.driver.execute(script, vec![]).await?.convert()?)
    }

    /// Fails when the console shows an error, or when the page has asked another server for
    /// anything.
    pub async fn assert_clean(&self, page: &PageServer) -> Result<()> {
        let errors = self.console_errors().await?;
        ensure!(errors.is_empty(), "on the console: {errors:#?}");
        let mut foreign = self.requests().await?;
        foreign.retain(|address| {
            !address.starts_with(page.url())
                && !address.starts_with("blob:")
                && !address.starts_with("data:")
        });
        ensure!(foreign.is_empty(), "asked of others: {foreign:#?}");
        Ok(())
    }
}

impl Deref for Browser {
    type Target = WebDriver;

    fn deref(&self) -> &WebDriver {
        &self.driver
    }
}

/// A running chromedriver; ends when dropped.
#[derive(Debug)]
struct ChromeDriver {
    process: Child,
    url: String,
}

impl ChromeDriver {
    fn start() -> Result<ChromeDriver> {
        // Its own choice of a free port is printed among other things; a port found free here
        // and given to it would be anyone's in between.
        let log = tempfile::NamedTempFile::new()?;
        let process = Command::new("chromedriver")
            .arg("--port=0")
            .stdin(Stdio::null())
            .stdout(log.reopen()?)
            .stderr(Stdio::null())
            .spawn()
            .context("no chromedriver: apt-get install chromium chromium-driver")?;
        let mut driver = ChromeDriver {
            process,
            url: String::new(),
        };
        let end = Instant::now() + Duration::from_secs(20);
        while Instant::now() < end {
            let printed = fs::read_to_string(log.path())?;
            if let Some((_, rest)) = printed.split_once("started successfully on port ") {
                let port = rest.split_once(['.', '\n']);
                if let Some((port, _)) = port {
                    driver.url = format!("http://127.0.0.1:{port}");
                    return Ok(driver);
                }
            }
            thread::sleep(Duration::from_millis(20));
        }
        bail!("chromedriver did not start within 20 s")
    }
}

impl Drop for ChromeDriver {
    fn drop(&mut self) {
        // Nothing can be done about a process that is gone already.
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}
