//! The survey view as crews use it: numbers called out and typed with Enter alone, a slip that is
//! pointed at, point files of other people, heights asked of the plan.

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use thirtyfour::prelude::*;
use tober::survey::{PointFileChoice, read_point_file};
use tober_tests::{Browser, PageServer, Screen};

/// The page, open on the survey of the demo fair, in one of the page's units.
async fn open(screen: Screen, units: &str) -> Result<(PageServer, Browser)> {
    let page = PageServer::start().await?;
    let browser = Browser::start(screen).await?;
    browser.goto(page.url()).await?;
    browser
        .wait_until("document.querySelector('.plan .hub')")
        .await?;
    pick(&browser, "units", units).await?;
    browser.find(By::Id("tab-survey")).await?.click().await?;
    Ok((page, browser))
}

async fn value(browser: &Browser, expression: &str) -> Result<Value> {
    let answer = browser.execute(format!("return {expression};"), vec![]);
    Ok(answer.await?.json().clone())
}

/// The text of the first element that a selector finds.
async fn text(browser: &Browser, selector: &str) -> Result<String> {
    let found = format!("document.querySelector('{selector}')?.textContent ?? ''");
    let value = value(browser, &found).await?;
    Ok(value.as_str().unwrap_or_default().to_owned())
}

/// What a field holds.
async fn field(browser: &Browser, id: &str) -> Result<String> {
    let value = value(browser, &format!("document.getElementById('{id}').value")).await?;
    Ok(value.as_str().unwrap_or_default().to_owned())
}

async fn count(browser: &Browser, selector: &str) -> Result<u64> {
    let found = format!("document.querySelectorAll('{selector}').length");
    value(browser, &found).await?.as_u64().context("no count")
}

/// Elevations down the book, as they are shown, without what an adjustment says below.
async fn elevations(browser: &Browser) -> Result<Vec<String>> {
    let script = "[...document.querySelectorAll('.book-elevation')]
        .map((cell) => [...cell.childNodes].filter((node) => node.nodeName === '#text')
            .map((node) => node.data).join('').trim())
        .filter((text) => text)";
    Ok(serde_json::from_value(value(browser, script).await?)?)
}

/// Types into whatever has the keyboard; `/` is Enter.
async fn call(browser: &Browser, numbers: &str) -> Result<()> {
    for (index, part) in numbers.split('/').enumerate() {
        let focused = browser.active_element().await?;
        if index > 0 {
            focused.send_keys(Key::Enter + "").await?;
        }
        if !part.is_empty() {
            browser.active_element().await?.send_keys(part).await?;
        }
    }
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
    // What is selected goes, even where nothing takes its place.
    element.send_keys(Key::Backspace + typed).await?;
    element.send_keys(Key::Enter + "").await?;
    Ok(())
}

async fn press(browser: &Browser, id: &str) -> Result<()> {
    browser.find(By::Id(id)).await?.click().await?;
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

/// Gives the page a file, as if a person had chosen it, and waits for an element.
async fn open_file(browser: &Browser, path: &Path, shown: &str) -> Result<()> {
    let input = browser.find(By::Id("open")).await?;
    input.send_keys(path.to_string_lossy()).await?;
    browser
        .wait_until(&format!("document.querySelector('{shown}')"))
        .await
}

/// The run over two turning points of the FE exam study guide, *Differential Leveling, Height of
/// Instrument, and Closure* (open-exam-prep); read. The same as in `published_survey`.
#[tokio::test(flavor = "multi_thread")]
async fn a_published_run_is_typed_with_enter_alone() -> Result<()> {
    let (page, browser) = open(Screen::Desk, "decimal feet").await?;
    press(&browser, "new-book").await?;
    browser
        .wait_until("document.activeElement.id === 'book-0-point'")
        .await?;
    call(
        &browser,
        "BM1/4.20///TP1/5.15//2.50/TP2/3.05//3.50/BM2///4.10/",
    )
    .await?;
    press(&browser, "book-0-more").await?;
    enter(&browser, "book-known", "100.00").await?;
    press(&browser, "book-3-more").await?;
    enter(&browser, "book-known", "102.30").await?;

    let shown = elevations(&browser).await?;
    ensure!(
        shown == ["100.00 ft", "101.70 ft", "103.35 ft", "102.30 ft"],
        "{shown:?}"
    );
    let script = "[...document.querySelectorAll('.book-hi')].map((it) => it.textContent)
        .filter((text) => text)";
    let instruments = value(&browser, script).await?;
    ensure!(instruments == json!(["104.20 ft", "106.85 ft", "106.40 ft"]));
    let foot = text(&browser, "#book-foot").await?;
    for said in ["12.40 ft", "10.10 ft", "The arithmetic holds", "WITHIN"] {
        ensure!(foot.contains(said), "no {said:?} in {foot}");
    }
    let standing = text(&browser, ".book-head .badge").await?;
    ensure!(standing == "CLOSES", "{standing}");
    browser.take_screenshot("survey-run").await?;
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_slip_is_pointed_at_and_nonsense_is_kept() -> Result<()> {
    let (page, browser) = open(Screen::Desk, "metres").await?;
    press(&browser, "new-book").await?;
    // The foresight on TP2 was called 1.482; the digits changed places.
    call(
        &browser,
        "BM/1.512///TP1/1.448//1.355/TP2/1.397//1.842/BM///1.520/",
    )
    .await?;
    let standing = text(&browser, ".book-head .badge").await?;
    ensure!(standing == "DOES NOT CLOSE", "{standing}");
    let row = text(&browser, "#book-2-words").await?;
    ensure!(
        row.contains("Likely") && row.contains("1.842 should be 1.482"),
        "{row}"
    );
    ensure!(count(&browser, ".book-row.suspect").await? >= 1);
    browser.take_screenshot("survey-suspect").await?;

    enter(&browser, "book-2-foresight", "1.482").await?;
    let standing = text(&browser, ".book-head .badge").await?;
    ensure!(standing == "CLOSES", "{standing}");

    enter(&browser, "book-1-foresight", "one and a bit").await?;
    ensure!(field(&browser, "book-1-foresight").await? == "one and a bit");
    let words = text(&browser, "#book-1-words").await?;
    ensure!(words.contains("Not used, foresight"), "{words}");
    // As little as a whole page of it is lost when the page is opened again.
    tokio::time::sleep(Duration::from_millis(500)).await;
    browser.refresh().await?;
    browser
        .wait_until("document.getElementById('book-1-foresight')")
        .await?;
    ensure!(field(&browser, "book-1-foresight").await? == "one and a bit");
    // Units are forgiven: the same reading in feet and inches.
    enter(&browser, "book-1-foresight", "4' 5-11/32\"").await?;
    let words = text(&browser, "#book-1-words").await?;
    ensure!(!words.contains("Not used"), "{words}");
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn the_rod_at_each_foot_is_one_click() -> Result<()> {
    for screen in [Screen::Desk, Screen::Phone] {
        let (page, browser) = open(screen, "metres").await?;
        press(&browser, "read-feet").await?;
        browser
            .wait_until("document.activeElement.id === 'book-0-intermediate'")
            .await?;
        let feet = count(&browser, ".book-row").await? - 1;
        ensure!(feet >= 4, "{feet} feet");
        ensure!(!field(&browser, "book-0-point").await?.is_empty());
        // Down the column by Enter; feet and metres as they are called.
        call(&browser, "1.402/1455 mm/1,398/4' 8\"/").await?;
        let shown = elevations(&browser).await?;
        ensure!(shown.len() == 4, "{shown:?}");
        ensure!(shown[2] == "0.000 m" && shown[0] == "-0.004 m", "{shown:?}");
        ensure!(count(&browser, "#survey-marks .survey-mark").await? == feet);
        let apart = text(&browser, ".book-apart").await?;
        ensure!(apart.contains("not part of the site"), "{apart}");
        for wide in [
            "document.documentElement",
            "document.querySelector('#tab-body')",
        ] {
            let over = format!("{wide}.scrollWidth - {wide}.clientWidth");
            ensure!(value(&browser, &over).await? == 0, "{wide} is too wide");
        }
        browser.take_screenshot("survey-feet").await?;

        // One known elevation, and they are ground like any other.
        press(&browser, "book-0-more").await?;
        enter(&browser, "book-known", "31.2").await?;
        ensure!(count(&browser, ".book-apart").await? == 0);
        browser.take_screenshot("survey-details").await?;
        if screen == Screen::Phone {
            let small =
                "[...document.querySelectorAll('#tab-body :is(button, select, input[type=text])')]
                .filter((it) => it.offsetParent && !it.classList.contains('link'))
                .map((it) => [it.outerHTML.slice(0, 80), it.getBoundingClientRect()])
                .filter(([, box]) => box.height < 47.5 || box.width < 44)
                .map(([html]) => html)";
            let small = value(&browser, small).await?;
            ensure!(small == json!([]), "{small}");
        }
        browser.assert_clean(&page).await?;
    }
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn points_are_placed_by_coordinates_and_by_tapes() -> Result<()> {
    let (page, browser) = open(Screen::Desk, "metres").await?;
    press(&browser, "new-book").await?;
    call(&browser, "A/1.5///B//1.4/C//1.3/").await?;
    for (row, east) in [(0, "20"), (1, "30 m")] {
        press(&browser, &format!("book-{row}-more")).await?;
        enter(&browser, "place-east", east).await?;
        enter(&browser, "place-north", "20").await?;
    }
    ensure!(count(&browser, "#survey-marks .survey-mark").await? == 2);
    press(&browser, "book-2-more").await?;
    pick(&browser, "place-means", "two tapes").await?;
    enter(&browser, "tape-from", "A").await?;
    enter(&browser, "tape-length", "6").await?;
    enter(&browser, "tape-from-2", "B").await?;
    enter(&browser, "tape-length-2", "6").await?;
    // Both places are named and shown, and neither is taken.
    let words = text(&browser, "#book-2-words").await?;
    ensure!(words.contains("cross twice"), "{words}");
    ensure!(count(&browser, "#survey-marks .ambiguous").await? == 2);
    pick(&browser, "tape-side", "left").await?;
    let words = text(&browser, "#book-2-words").await?;
    ensure!(words.contains("at 25.000 m east"), "{words}");
    ensure!(count(&browser, "#survey-marks .survey-mark").await? == 3);
    browser.take_screenshot("survey-tapes").await?;
    // Impossible tapes are named too.
    enter(&browser, "tape-length", "2").await?;
    let words = text(&browser, "#book-2-words").await?;
    ensure!(words.contains("short of each other"), "{words}");
    // What is no length stays, and is answered.
    enter(&browser, "tape-length", "a good bit").await?;
    ensure!(field(&browser, "tape-length").await? == "a good bit");
    ensure!(!text(&browser, "#tape-length-error").await?.is_empty());
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_point_file_is_shown_before_it_is_taken() -> Result<()> {
    let (page, browser) = open(Screen::Desk, "metres").await?;
    let samples = xtask::workspace::root().join("sample-sites");
    open_file(&browser, &samples.join("ufer-punkte.csv"), "#import").await?;
    let layout = text(&browser, "#import-layout").await?;
    ensure!(
        layout.contains("semicolon") && layout.contains("behind a comma"),
        "{layout}"
    );
    press(&browser, "import-drop").await?;
    ensure!(count(&browser, "#import").await? == 0);

    let folder = tempfile::tempdir()?;
    let path = folder.path().join("green.csv");
    let mut lines = String::from("\u{feff}P;N;E;Z;D\r\n");
    for (index, (north, east)) in [(2, 2), (2, 58), (40, 2), (40, 58)].iter().enumerate() {
        lines += &format!("{index};{north},25;{east},5;31,{index}00;EOP\r\n");
    }
    lines += "9;20,0;no east;31,2;\r\n\r\n10;20,0;30,0;31,150;TBM 1\r\n";
    fs::write(&path, lines)?;
    open_file(&browser, &path, "#import").await?;
    let counted = text(&browser, "#import-count").await?;
    ensure!(
        counted == "5 points; 1 line could not be read.",
        "{counted}"
    );
    let bad = text(&browser, "#import-lines").await?;
    ensure!(bad.contains("Line 6") && bad.contains("no east"), "{bad}");
    pick(&browser, "import-unit", "US survey feet").await?;
    let layout = text(&browser, "#import-layout").await?;
    ensure!(layout.contains("US survey feet"), "{layout}");
    pick(&browser, "import-unit", "metres").await?;
    browser.take_screenshot("survey-import").await?;

    // Only what is agreed to becomes a feature.
    ensure!(count(&browser, ".suggestions :checked").await? == 0);
    press(&browser, "take-benchmarks").await?;
    press(&browser, "import-replace").await?;
    ensure!(count(&browser, "#import").await? == 0);
    ensure!(field(&browser, "book-0-point").await? == "10");
    let quality = text(&browser, "#ground-quality").await?;
    ensure!(quality.contains('5') || quality.contains('6'), "{quality}");
    let breaklines = "JSON.parse(localStorage['tober.site']).breaklines ?? []";
    browser
        .wait_until("JSON.parse(localStorage['tober.site']).imported_points?.length === 1")
        .await?;
    ensure!(value(&browser, breaklines).await? == json!([]));
    browser.take_screenshot("survey-imported").await?;

    let nonsense = folder.path().join("letter.txt");
    fs::write(&nonsense, "Dear all,\nsee you on Monday.\n")?;
    let input = browser.find(By::Id("open")).await?;
    input.send_keys(nonsense.to_string_lossy()).await?;
    browser
        .wait_until("document.getElementById('notice').textContent.includes('cannot be used')")
        .await?;
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_field_book_file_opens_and_its_points_are_saved() -> Result<()> {
    let (page, browser) = open(Screen::Desk, "feet and inches, to 1/8\"").await?;
    browser.allow_downloads().await?;
    let path = xtask::workspace::root().join("sample-sites/quillow-feet.txt");
    open_file(&browser, &path, "#book-rows").await?;
    ensure!(field(&browser, "book-0-point").await? == "FL");
    let standing = text(&browser, ".book-head .badge").await?;
    ensure!(standing == "CLOSES", "{standing}");
    press(&browser, "save-points").await?;
    let csv = browser.downloaded("csv").await?;
    ensure!(
        csv.starts_with("point,easting_m,northing_m,elevation_m"),
        "{csv}"
    );
    ensure!(csv.lines().count() == 5, "{csv}");
    // Without places they are no map, and the reader says so line by line.
    let read = read_point_file(&csv, PointFileChoice::default());
    ensure!(read.bad_lines.len() == 4);
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn the_plan_answers_with_heights_and_the_next_shot() -> Result<()> {
    let (page, browser) = open(Screen::Desk, "metres").await?;
    let hub = value(
        &browser,
        "(() => { const box = document.querySelector('.plan .hub').getBoundingClientRect();
          return [box.x + box.width / 2, box.y + box.height / 2].map(Math.round); })()",
    )
    .await?;
    let (x, y) = (
        hub[0].as_i64().context("no hub")?,
        hub[1].as_i64().context("no hub")?,
    );
    browser.action_chain().move_to(x, y).perform().await?;
    browser
        .wait_until("document.getElementById('readout')")
        .await?;
    let readout = text(&browser, "#readout strong").await?;
    ensure!(
        readout.contains(" m ±") && readout.ends_with("mm"),
        "{readout}"
    );
    browser.action_chain().move_to(4, 500).perform().await?;
    let readout = text(&browser, "#readout strong").await?;
    ensure!(readout == "not surveyed", "{readout}");

    press(&browser, "next-shot").await?;
    let words = text(&browser, "#next-shot-words").await?;
    ensure!(
        words.contains("Next shot:") && words.contains('±'),
        "{words}"
    );
    ensure!(count(&browser, "#survey-marks .next-shot").await? == 1);
    browser.take_screenshot("survey-next-shot").await?;
    // Another place of the ride is another question.
    browser.find(By::Id("tab-place")).await?.click().await?;
    enter(&browser, "east", "20 m").await?;
    browser.find(By::Id("tab-survey")).await?.click().await?;
    ensure!(text(&browser, "#next-shot-words").await?.is_empty());
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_finger_asks_for_a_height() -> Result<()> {
    let (page, browser) = open(Screen::Phone, "metres").await?;
    browser
        .execute(
            "const plan = document.getElementById('plan'), box = plan.getBoundingClientRect();
             const at = { bubbles: true, pointerId: 7, pointerType: 'touch', button: 0,
                 clientX: box.x + box.width / 2, clientY: box.y + box.height / 3 };
             for (const kind of ['pointerdown', 'pointerup', 'pointerleave']) {
                 plan.dispatchEvent(new PointerEvent(kind, at));
             }",
            vec![],
        )
        .await?;
    browser
        .wait_until("document.getElementById('readout')?.textContent.includes('±')")
        .await?;
    browser.take_screenshot("survey-tap").await?;
    // The capture of a pointer that is none is refused, which the page puts up with.
    let _ = browser.console_errors().await?;
    browser.assert_clean(&page).await
}

/// A section between a foot by its name and a place that is written: drawn, in words, and as a line
/// on the plan. Beyond the shots it says that it does not know.
#[tokio::test(flavor = "multi_thread")]
async fn a_section_runs_between_two_points() -> Result<()> {
    let (page, browser) = open(Screen::Desk, "metres").await?;
    browser
        .execute("document.getElementById('section').open = true", vec![])
        .await?;
    enter(&browser, "section-from", "fl").await?;
    enter(&browser, "section-to", "30, 25 m").await?;
    let words = text(&browser, "#section-words").await?;
    ensure!(
        words.starts_with("A section of ") && words.contains("than the start"),
        "{words}"
    );
    ensure!(count(&browser, "#section-view svg .side-ground-line").await? == 1);
    ensure!(count(&browser, "#section-line").await? == 1);
    browser.take_screenshot("survey-section").await?;
    enter(&browser, "section-to", "3000, 25").await?;
    let words = text(&browser, "#section-words").await?;
    ensure!(words.contains("Not known from "), "{words}");
    // What is no place is answered, and the section stays.
    enter(&browser, "section-to", "nobody").await?;
    let why = text(&browser, "#section-to-error").await?;
    ensure!(why.contains("no point of a field book"), "{why}");
    ensure!(count(&browser, "#section-view svg").await? == 1);
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn the_keyboard_asks_for_heights_too() -> Result<()> {
    let (page, browser) = open(Screen::Desk, "metres").await?;
    // By a place that is written down.
    enter(&browser, "ask-east", "30").await?;
    enter(&browser, "ask-north", "25 m").await?;
    let height = text(&browser, "#ask-height").await?;
    ensure!(
        height.contains(" m ±") && height.ends_with("mm"),
        "{height}"
    );
    let spoken = text(&browser, "#readout-spoken").await?;
    ensure!(
        spoken == format!("Ground {height}, at 30.000 m east, 25.000 m north"),
        "{spoken}"
    );
    // By the arrow keys on the plan: the ride stays where it is.
    let ride = "JSON.stringify(document.querySelector('.plan .hub').getBoundingClientRect())";
    let stood = value(&browser, ride).await?;
    browser
        .execute("document.getElementById('plan').focus();", vec![])
        .await?;
    let plan = browser.active_element().await?;
    plan.send_keys(Key::Right + "").await?;
    let moved = text(&browser, "#readout-spoken").await?;
    ensure!(moved.starts_with("Ground ") && moved != spoken, "{moved}");
    ensure!(moved.contains("25.000 m north"), "{moved}");
    ensure!(count(&browser, "#ground-cross").await? == 1);
    browser.take_screenshot("survey-cross").await?;
    ensure!(value(&browser, ride).await? == stood);
    plan.send_keys("h").await?;
    ensure!(count(&browser, "#ground-cross").await? == 0);
    ensure!(text(&browser, "#readout-spoken").await?.is_empty());
    plan.send_keys(Key::Right + "").await?;
    ensure!(value(&browser, ride).await? != stood);
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_book_is_judged_and_spread_as_the_crew_says() -> Result<()> {
    let (page, browser) = open(Screen::Desk, "metres").await?;
    press(&browser, "new-book").await?;
    // 8 mm off over three setups, the last one long.
    call(
        &browser,
        "BM/1.512///A/1.448//1.355/B/1.397//1.482/BM///1.512/",
    )
    .await?;
    for (row, distance) in [(1, "40"), (2, "40"), (3, "320 m")] {
        press(&browser, &format!("book-{row}-more")).await?;
        enter(&browser, "book-distance", distance).await?;
    }
    let foot = text(&browser, "#book-foot").await?;
    ensure!(
        foot.contains("12 mm × √km") && foot.contains("BEYOND"),
        "{foot}"
    );
    press(&browser, "judging").await?;
    pick(&browser, "book-allowance", "a figure × √km").await?;
    enter(&browser, "allowance-figure", "12.75").await?;
    let foot = text(&browser, "#book-foot").await?;
    ensure!(
        foot.contains("12.75 mm × √km; as set in the field book") && foot.contains("WITHIN"),
        "{foot}"
    );
    pick(&browser, "book-allowance", "a figure × √setups").await?;
    ensure!(field(&browser, "allowance-figure").await? == "5");
    let foot = text(&browser, "#book-foot").await?;
    ensure!(
        foot.contains("Uren and Price") && foot.contains("WITHIN"),
        "{foot}"
    );

    // Evenly: a third each. By distance: a tenth, a tenth and eight tenths.
    let adjusted = "[...document.querySelectorAll('.book-elevation small')]
        .map((it) => it.textContent.replace(/ ±.*/, ''))";
    let evenly = value(&browser, adjusted).await?;
    pick(&browser, "book-spread", "by the distance of each setup").await?;
    let by_distance = value(&browser, adjusted).await?;
    ensure!(evenly != by_distance, "{evenly}");
    let foot = text(&browser, "#book-foot").await?;
    ensure!(foot.contains("in proportion to the distance"), "{foot}");

    let error = "document.querySelectorAll('.book-elevation small')[1].textContent";
    let before = value(&browser, error).await?;
    enter(&browser, "reading-error", "9").await?;
    ensure!(value(&browser, error).await? != before, "{before}");
    enter(&browser, "reading-error", "").await?;
    ensure!(value(&browser, error).await? == before);
    ensure!(field(&browser, "reading-error").await? == "1.5");
    // Nonsense stays in its field and is answered.
    enter(&browser, "reading-error", "fair").await?;
    ensure!(!text(&browser, "#reading-error-error").await?.is_empty());
    browser.take_screenshot("survey-judging").await?;
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn points_are_placed_on_a_grid() -> Result<()> {
    let (page, browser) = open(Screen::Desk, "metres").await?;
    press(&browser, "new-book").await?;
    call(&browser, "A1/1.5///B2//1.4/").await?;
    press(&browser, "book-0-more").await?;
    pick(&browser, "place-means", "a grid").await?;
    for (id, typed) in [
        ("grid-along", "2"),
        ("grid-across", "-3"),
        ("grid-spacing", "5"),
        ("grid-bearing", "90"),
        ("grid-east", "20"),
        ("grid-north", "30"),
    ] {
        enter(&browser, id, typed).await?;
    }
    // Two steps east, and three to the right of that: south.
    let words = text(&browser, "#book-0-words").await?;
    ensure!(
        words.contains("at 30.000 m east, 15.000 m north"),
        "{words}"
    );
    // The next point is on the same grid, and only its steps are to be told.
    press(&browser, "book-1-more").await?;
    pick(&browser, "place-means", "a grid").await?;
    ensure!(field(&browser, "grid-spacing").await? == "5.000 m");
    enter(&browser, "grid-along", "1").await?;
    enter(&browser, "grid-across", "0").await?;
    let words = text(&browser, "#book-1-words").await?;
    ensure!(
        words.contains("at 25.000 m east, 30.000 m north"),
        "{words}"
    );
    enter(&browser, "grid-along", "one").await?;
    ensure!(!text(&browser, "#grid-along-error").await?.is_empty());
    browser.take_screenshot("survey-grid").await?;
    browser.assert_clean(&page).await
}

#[tokio::test(flavor = "multi_thread")]
async fn trees_and_poles_come_when_they_are_agreed_to() -> Result<()> {
    let (page, browser) = open(Screen::Desk, "metres").await?;
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("street.csv");
    fs::write(
        &path,
        "P,N,E,Z,D\n1,2.5,2.5,31.0,\n2,40.0,2.5,31.1,\n3,40.0,58.0,31.2,\n4,2.5,58.0,31.1,\n\
         5,45.0,10.0,31.1,oak 0.6\n6,50.0,5.0,31.1,pole\n7,50.0,40.0,31.1,pole\n",
    )?;
    open_file(&browser, &path, "#import").await?;
    ensure!(count(&browser, ".suggestions :checked").await? == 0);
    press(&browser, "take-trees").await?;
    enter(&browser, "tree-canopy", "4.5").await?;
    press(&browser, "take-poles").await?;
    press(&browser, "take-line").await?;
    browser.take_screenshot("survey-features").await?;
    press(&browser, "import-add").await?;
    let kept = "JSON.parse(localStorage['tober.site']).features";
    browser
        .wait_until(&format!(
            "{kept}.trees?.some((it) => it.name === '5 oak 0.6')"
        ))
        .await?;
    let features = value(&browser, kept).await?;
    let oak = features["trees"].as_array().and_then(|it| it.last());
    ensure!(
        oak.is_some_and(|it| it["canopy_radius"] == 4.5),
        "{features}"
    );
    let names = features["buildings"].to_string();
    ensure!(names.contains("6 pole, size not measured"), "{names}");
    let line = features["overhead_lines"]
        .as_array()
        .and_then(|it| it.last());
    ensure!(
        line.is_some_and(|it| it.get("volts").is_none() && it.get("sag").is_none()),
        "{features}"
    );
    // One step back, and none of it is there.
    press(&browser, "undo").await?;
    browser
        .wait_until(&format!(
            "!{kept}.trees?.some((it) => it.name === '5 oak 0.6')"
        ))
        .await?;
    browser.assert_clean(&page).await
}

/// How long the page did not answer while a large survey came in, milliseconds: the longest task
/// that the browser saw.
#[tokio::test(flavor = "multi_thread")]
async fn two_hundred_thousand_shots_do_not_freeze_the_page() -> Result<()> {
    let (page, browser) = open(Screen::Desk, "metres").await?;
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("large.csv");
    let mut lines = String::from("point,northing,easting,elevation,description\n");
    for shot in 1..=200_000_u32 {
        let x = 60.0 * (f64::from(shot) * 0.754_877_666_246_692_7).fract();
        let y = 45.0 * (f64::from(shot) * 0.569_840_290_998_053_3).fract();
        let z = 31.0 + 0.4 * libm::sin(0.05 * x) + 0.3 * libm::cos(0.07 * y);
        lines += &format!("{shot},{y:.4},{x:.4},{z:.3},\n");
    }
    fs::write(&path, lines)?;
    browser
        .execute(
            "window.tasks = [];
             new PerformanceObserver((list) => {
                 for (const task of list.getEntries()) tasks.push(Math.round(task.duration));
             }).observe({ entryTypes: ['longtask'] });
             window.seen = [];
             new MutationObserver(() => {
                 const words = document.getElementById('notice').textContent;
                 if (words && seen.at(-1) !== words) seen.push(words);
             }).observe(document.getElementById('notice'),
                 { childList: true, subtree: true, characterData: true });",
            vec![],
        )
        .await?;
    let started = Instant::now();
    open_file(&browser, &path, "#import").await?;
    let read = started.elapsed();
    // Stopped while the ground is being built: everything is as it was.
    let stop = "const notice = document.getElementById('notice');
        const look = new MutationObserver(() => {
            const button = notice.querySelector('[aria-label=\"Stop this work\"]');
            if (!button || !notice.textContent.includes('ground')) return;
            look.disconnect();
            button.click();
            window.stopped = true;
        });
        look.observe(notice, { childList: true, subtree: true, characterData: true });";
    browser.execute(stop, vec![]).await?;
    press(&browser, "import-replace").await?;
    browser.wait_until("window.stopped").await?;
    tokio::time::sleep(Duration::from_millis(1500)).await;
    ensure!(
        text(&browser, "#ground-quality")
            .await?
            .starts_with("45 shots")
    );
    ensure!(count(&browser, "#import").await? == 1);

    let started = Instant::now();
    press(&browser, "import-replace").await?;
    browser
        .wait_until(
            "document.getElementById('ground-quality').textContent.includes('200000 shots')",
        )
        .await?;
    let built = started.elapsed();
    tokio::time::sleep(Duration::from_millis(1000)).await;
    let tasks: Vec<u64> = serde_json::from_value(value(&browser, "tasks.splice(0)").await?)?;
    let longest = tasks.into_iter().max().unwrap_or(0);
    println!(
        "200,000 shots in the page: read in {read:.1?}, built, contoured and drawn in {built:.1?}; \
         the page was never held for longer than {longest} ms"
    );
    let seen = value(&browser, "seen").await?.to_string();
    ensure!(
        seen.contains("Reading lines… 50 %") && seen.contains("Building the ground… 30 %"),
        "{seen}"
    );
    // A change that is none of the survey's does not build it anew.
    pick(&browser, "units", "decimal feet").await?;
    browser
        .wait_until("document.getElementById('ground-quality').textContent.includes(' ft')")
        .await?;
    tokio::time::sleep(Duration::from_millis(300)).await;
    let tasks: Vec<u64> = serde_json::from_value(value(&browser, "tasks.splice(0)").await?)?;
    let longest = tasks.into_iter().max().unwrap_or(0);
    println!("other units with 200,000 shots: held for {longest} ms at most");
    browser.assert_clean(&page).await
}
