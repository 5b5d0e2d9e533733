//! Every check, one after another, with a table at the end.
//!
//! All steps run even when an early one fails: one run tells all that is wrong.

use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail};
use serde_json::Value;

use crate::install::{self, Need};
use crate::wasm::TARGET;
use crate::workspace::{cargo, run as run_command, shown};

/// What the reference libraries need.
const REFERENCE: &[Need] = &[
    Need {
        package: "pkg-config",
        probe: &["pkg-config", "--version"],
    },
    Need {
        package: "libgeos-dev",
        probe: &["pkg-config", "--exists", "geos"],
    },
];

/// What the browser tests need.
const BROWSER: &[Need] = &[
    Need {
        package: "chromium",
        probe: &["chromium", "--version"],
    },
    Need {
        package: "chromium-driver",
        probe: &["chromedriver", "--version"],
    },
];

/// Runs every check, those with a browser only when they are not to be skipped. An error when
/// any of them fails.
pub fn run(skip_browser: bool) -> Result<()> {
    let mut report = Report::default();
    report.step("tools", || {
        install::components()?;
        install::wasm_target(TARGET)?;
        let browser = if skip_browser { &[] } else { BROWSER };
        install::packages([REFERENCE, browser].concat())
    });

    report.step("formatting", || {
        run_command(cargo().args(["fmt", "--all", "--check"]))
    });
    report.step("clippy", || {
        let mut clippy = cargo();
        clippy.args(["clippy", "--workspace", "--all-targets"]);
        run_command(clippy.args(["--", "-D", "warnings"]))
    });
    report.step("clippy for the browser", || {
        let mut clippy = cargo();
        clippy.args(["clippy", "--package", "tober-page", "--package", "tober-js"]);
        run_command(clippy.args(["--target", TARGET, "--", "-D", "warnings"]))
    });
    report.step("unit tests", || test(&["--lib", "--bins"], &[]));
    report.step("examples in the documentation", || test(&["--doc"], &[]));

    let targets = match TestTargets::read() {
        Ok(targets) => targets,
        Err(error) => {
            report.step("list of test targets", || Err(error));
            TestTargets::default()
        }
    };
    report.step("published values", || targets.test(Kind::Published));
    report.step("reference libraries", || targets.test(Kind::Reference));
    report.step("command line and others", || targets.test(Kind::Other));
    if skip_browser {
        report.skip("browser");
    } else {
        report.step("browser", || targets.test(Kind::Browser));
    }
    report.close()
}

/// `cargo test` over the whole workspace: always the whole, so that every step has the same
/// features and compiles nothing anew.
fn test(which: &[&str], runner: &[&str]) -> Result<()> {
    let mut command = cargo();
    command.args(["test", "--workspace", "--no-fail-fast"]);
    run_command(command.args(which).arg("--").args(runner))
}

/// What a test target (a file in a `tests` folder) checks, by its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Published,
    Reference,
    Browser,
    Other,
}

impl Kind {
    fn of(target: &str) -> Kind {
        match target {
            name if name.starts_with("published") => Kind::Published,
            name if name.starts_with("page") || name.starts_with("browser") => Kind::Browser,
            name if name.starts_with("reference") => Kind::Reference,
            _ => Kind::Other,
        }
    }
}

/// The names of the workspace's test targets.
#[derive(Debug, Default)]
struct TestTargets(Vec<String>);

impl TestTargets {
    fn read() -> Result<TestTargets> {
        let mut command = cargo();
        command.args(["metadata", "--format-version", "1", "--no-deps"]);
        let output = command.output()?;
        if !output.status.success() {
            bail!("`{}` failed", shown(&command));
        }
        let metadata: Value = serde_json::from_slice(&output.stdout)?;
        TestTargets::of(&metadata).context("cargo's metadata has another form than expected")
    }

    fn of(metadata: &Value) -> Option<TestTargets> {
        let mut names = Vec::new();
        for package in metadata["packages"].as_array()? {
            for target in package["targets"].as_array()? {
                if target["kind"].as_array()?.iter().any(|kind| kind == "test") {
                    names.push(target["name"].as_str()?.to_owned());
                }
            }
        }
        Some(TestTargets(names))
    }

    /// Runs the targets of one kind.
    fn test(&self, kind: Kind) -> Result<()> {
        let mut which = Vec::new();
        for name in self.0.iter().filter(|name| Kind::of(name) == kind) {
            which.extend(["--test", name.as_str()]);
        }
        if which.is_empty() {
            bail!("no such tests");
        }
        match kind {
            // One browser at a time, and its timings shown.
            Kind::Browser => test(&which, &["--test-threads=1", "--nocapture"]),
            _ => test(&which, &[]),
        }
    }
}

/// How the steps came out.
#[derive(Default)]
struct Report(Vec<Line>);

struct Line {
    step: &'static str,
    result: Outcome,
    time: Duration,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Outcome {
    Passed,
    Failed,
    Skipped,
}

impl Report {
    fn step(&mut self, step: &'static str, check: impl FnOnce() -> Result<()>) {
        println!("\n== {step} ==");
        let start = Instant::now();
        let result = match check() {
            Ok(()) => Outcome::Passed,
            Err(error) => {
                println!("{error:#}");
                Outcome::Failed
            }
        };
        let time = start.elapsed();
        self.0.push(Line { step, result, time });
    }

    fn skip(&mut self, step: &'static str) {
        self.0.push(Line {
            step,
            result: Outcome::Skipped,
            time: Duration::ZERO,
        });
    }

    /// Prints the table; an error when a step failed.
    fn close(&self) -> Result<()> {
        println!("\n== all checks ==");
        for line in &self.0 {
            let word = match line.result {
                Outcome::Passed => "passed",
                Outcome::Failed => "FAILED",
                Outcome::Skipped => "skipped",
            };
            println!("{:<32}{word:<9}{:>5} s", line.step, line.time.as_secs());
        }
        let count = |result| self.0.iter().filter(|line| line.result == result).count();
        println!(
            "steps: {} passed, {} failed, {} skipped",
            count(Outcome::Passed),
            count(Outcome::Failed),
            count(Outcome::Skipped)
        );
        if count(Outcome::Failed) > 0 {
            bail!("not every check passed");
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn targets_are_sorted_by_name() {
        assert_eq!(Kind::of("published"), Kind::Published);
        assert_eq!(Kind::of("reference_ground"), Kind::Reference);
        assert_eq!(Kind::of("published_survey"), Kind::Published);
        assert_eq!(Kind::of("page"), Kind::Browser);
        assert_eq!(Kind::of("page_survey"), Kind::Browser);
        assert_eq!(Kind::of("cli"), Kind::Other);
    }

    #[test]
    fn this_workspace_has_its_test_targets() {
        let targets = TestTargets::read().unwrap();
        assert!(targets.0.iter().any(|name| name == "browser"));
    }

    #[test]
    fn one_failure_fails_the_whole() {
        let mut report = Report::default();
        report.step("good", || Ok(()));
        report.skip("left out");
        assert!(report.close().is_ok());
        report.step("bad", || bail!("no"));
        report.step("good again", || Ok(()));
        assert_eq!(report.0.len(), 4);
        assert!(report.close().is_err());
    }
}
