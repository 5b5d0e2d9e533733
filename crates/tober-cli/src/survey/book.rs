//! A field book: its rows as they were written, the computed columns beside them, misclosure and
//! suspects at the foot.

use tober::assess::Verdict;
use tober::survey::{
    Closure, Column as Field, Datum, FieldBook, FieldBookText, ReducedRow, Reduction, SpreadBy,
    Standing, Suspect,
};
use tober::units::LengthStyle;

use super::Choice;
use crate::sheet::layout::{Column, heading, item, table};
use crate::sheet::words;

/// A field book that was read from text.
pub(super) fn printed(read: &FieldBookText, choice: &Choice) -> (String, Verdict) {
    let reduction = read.book.reduce();
    let mut verdict = verdict(&reduction, !read.bad_lines.is_empty());
    if !read.wrong_elevations(&reduction).is_empty() {
        verdict = verdict.and(Verdict::Unknown);
    }
    if choice.csv {
        return (reduction.to_csv(), verdict);
    }
    let mut text = page(&read.book, &reduction, choice);
    if !read.units_were_stated {
        text += &item(
            "",
            "Nothing says what unit a bare number is in: metres were taken for granted. Write \
             \"units: feet\" above the table, or give --unit.",
        );
    }
    for bad in &read.bad_lines {
        text += &item("", &format!("Line {}: {}.", bad.line, bad.words));
    }
    for caution in read.cautions(&reduction) {
        text += &item("", &caution);
    }
    if !read.passed_over.is_empty() {
        let lines: Vec<String> = read.passed_over.iter().map(usize::to_string).collect();
        let lines = lines.join(", ");
        text += &item(
            "",
            &format!("Lines above the table that are no setting, taken for remarks: {lines}."),
        );
    }
    (text, verdict)
}

/// A field book of a site file.
pub(super) fn of_site(
    book: &FieldBook,
    reduction: &Reduction,
    choice: &Choice,
) -> (String, Verdict) {
    let text = if choice.csv {
        reduction.to_csv()
    } else {
        page(book, reduction, choice)
    };
    (text, verdict(reduction, false))
}

fn verdict(reduction: &Reduction, has_bad_lines: bool) -> Verdict {
    let of_book = match reduction.standing() {
        Standing::Closes => Verdict::Pass,
        Standing::NotChecked => Verdict::Unknown,
        Standing::NotAllUsed | Standing::DoesNotClose => Verdict::Fail,
    };
    of_book.and(if has_bad_lines {
        Verdict::Fail
    } else {
        Verdict::Pass
    })
}

fn page(book: &FieldBook, reduction: &Reduction, choice: &Choice) -> String {
    let units = choice
        .shown_in
        .map_or(book.units, |units| units.or_own(book.units));
    let name = book.called();
    let word = match reduction.standing() {
        Standing::Closes => "CLOSES",
        Standing::NotChecked => "NOT CHECKED",
        Standing::NotAllUsed => "NOT ALL USED",
        Standing::DoesNotClose => "DOES NOT CLOSE",
    };
    let mut text = heading(&format!("Field book: {name}: {word}"), "=");
    text += &item("", &datum(book, reduction, units));
    text += "\n";
    text += &rows(book, reduction, units);
    text += "\n";
    text += &foot(reduction, units);
    text += &suspects(reduction);
    for doubt in &reduction.doubts {
        let row = doubt.row + 1;
        text += &item(
            "",
            &format!("DOUBTFUL: row {row}, {doubt}. Nothing checks it."),
        );
    }
    text
}

fn datum(book: &FieldBook, reduction: &Reduction, units: LengthStyle) -> String {
    let counted = match &reduction.datum {
        Datum::Benchmark => "Elevations count from the benchmarks that are known.".to_owned(),
        Datum::Assumed => "Elevations count from a benchmark that was assumed.".to_owned(),
        Datum::HighCorner(Some(name)) => {
            format!("No benchmark: elevations count from the high corner, {name}, which is zero.")
        }
        Datum::HighCorner(None) => "Nothing was read.".to_owned(),
    };
    format!(
        "{counted} Readings as written; a bare number is {}. Computed columns in {}.",
        bare(book.units),
        units.label()
    )
}

fn bare(units: LengthStyle) -> &'static str {
    match units {
        LengthStyle::Metres => "metres",
        LengthStyle::Millimetres => "millimetres",
        _ => "feet",
    }
}

fn rows(book: &FieldBook, reduction: &Reduction, units: LengthStyle) -> String {
    let written = book.rows.iter().zip(&reduction.rows).zip(1..);
    let rows = written.map(|((written, row), number)| {
        let elevation = |it: Option<tober::ground::Elevation>| {
            it.map_or_else(String::new, |it| units.format(it.0))
        };
        let error = row.standard_error.filter(|error| *error > 0.0);
        vec![
            number.to_string(),
            row.point.clone(),
            written.backsight.clone(),
            elevation(row.instrument),
            written.intermediate.clone(),
            written.foresight.clone(),
            elevation(row.elevation),
            elevation(row.adjusted),
            error.map_or_else(String::new, |error| units.fine(error)),
            remarks(number - 1, row, &written.note, reduction, units),
        ]
    });
    let error = format!("± {}", units.fine_unit());
    table(
        0,
        &[
            ("Row", Column::Number),
            ("Point", Column::Words),
            ("BS", Column::Number),
            ("HI", Column::Number),
            ("IS", Column::Number),
            ("FS", Column::Number),
            ("Elevation", Column::Number),
            ("Adjusted", Column::Number),
            (&error, Column::Number),
            ("Remarks", Column::Words),
        ],
        rows.collect(),
    )
}

fn remarks(
    index: usize,
    row: &ReducedRow,
    note: &str,
    reduction: &Reduction,
    units: LengthStyle,
) -> String {
    let mut remarks = Vec::new();
    if let Some(known) = row.known {
        remarks.push(format!("known {}", units.format(known.0)));
    }
    if let Some(misclosure) = row.misclosure {
        remarks.push(off(misclosure, units));
    }
    let suspect = reduction
        .suspects
        .iter()
        .position(|suspect| suspect.row == index);
    if let Some(suspect) = suspect {
        remarks.push(format!("SUSPECT {}", suspect + 1));
    }
    if reduction.doubts.iter().any(|doubt| doubt.row == index) {
        remarks.push("DOUBTFUL".to_owned());
    }
    for problem in &row.problems {
        remarks.push(format!(
            "NOT USED, {}: {}",
            problem.column.word(),
            problem.words
        ));
    }
    if !note.is_empty() {
        remarks.push(note.to_owned());
    }
    remarks.join("; ")
}

/// How far off a sight is.
fn off(misclosure: f64, units: LengthStyle) -> String {
    let fine = units.format_fine(misclosure);
    if fine == units.format_fine(0.0) {
        return "to the last digit".to_owned();
    }
    if units == LengthStyle::DecimalFeet {
        let side = if misclosure < 0.0 { "low" } else { "high" };
        return format!("{} {side}", units.format_fine(misclosure.abs()));
    }
    let sign = if misclosure > 0.0 { "+" } else { "" };
    let side = words::sided(misclosure, units, "high", "low");
    format!("{side} ({sign}{fine})")
}

fn foot(reduction: &Reduction, units: LengthStyle) -> String {
    let sums = &reduction.sums;
    let mut text = String::new();
    if sums.backsights != 0.0 || sums.foresights != 0.0 {
        let holds = if sums.arithmetic_check().abs() < 1e-6 {
            "The arithmetic holds."
        } else {
            "THE ARITHMETIC DOES NOT HOLD."
        };
        text += &item(
            "",
            &format!(
                "Sum of backsights {}, less sum of foresights {}: {}. Last less first elevation: \
                 {}. {holds}",
                units.format(sums.backsights),
                units.format(sums.foresights),
                units.format(sums.backsights - sums.foresights),
                units.format(sums.rise),
            ),
        );
    }
    for closure in &reduction.closures {
        text += &item("", &closed(closure, reduction, units));
    }
    if reduction.closures.is_empty() {
        text += &item(
            "",
            "Nothing checks these readings: close on a benchmark, or read the first point again \
             at the end.",
        );
    }
    let idle: Vec<String> = (1..)
        .zip(&reduction.rows)
        .filter(|(_, row)| row.has_idle_distance)
        .map(|(number, _): (usize, _)| number.to_string())
        .collect();
    if !idle.is_empty() {
        let rows = words::listed(&idle);
        text += &item(
            "",
            &format!("Distances not used, for want of a foresight in the row: {rows}."),
        );
    }
    if let Some(sd) = reduction.reference_sd {
        text += &item("", &adjustment(reduction, sd));
    }
    for (index, problem) in &reduction.lost_places {
        text += &item(
            "",
            &format!("Place {}: {}.", index + 1, problem.in_words(units)),
        );
    }
    text
}

fn adjustment(reduction: &Reduction, reference_sd: f64) -> String {
    let spread = match reduction.spread_by {
        SpreadBy::Setups => "evenly over the setups",
        SpreadBy::Distance => "in proportion to the distance of each setup",
    };
    let more = match reduction.redundancy {
        1 => "1 reading more than needed".to_owned(),
        more => format!("{more} readings more than needed"),
    };
    let mut text = format!(
        "Adjusted by least squares, {spread}: {more}; residuals {reference_sd:.1} times what the \
         stated error of a reading lets expect"
    );
    // In a single run they are all alike.
    if reduction.redundancy > 1
        && let Some((row, column, size)) = reduction.largest_residual()
    {
        text += &format!(
            "; the largest, on the {} of row {}, {size:.1} times",
            column.word(),
            row + 1
        );
    }
    text + "."
}

fn closed(closure: &Closure, reduction: &Reduction, units: LengthStyle) -> String {
    let length = closure
        .length
        .map_or_else(String::new, |length| format!(", {}", units.format(length)));
    let setups = match closure.setups {
        1 => "1 setup".to_owned(),
        setups => format!("{setups} setups"),
    };
    let column = match closure.column {
        Field::Foresight => "",
        _ => ", in between,",
    };
    let misclosure = off(closure.misclosure, units);
    let judged = match (closure.allowed, closure.is_within()) {
        (Some(allowed), Some(is_within)) => format!(
            "{}: up to {} is allowed",
            if is_within { "WITHIN" } else { "BEYOND" },
            units.format_fine(allowed)
        ),
        _ => "NOT KNOWN: the allowance needs the distance of every setup".to_owned(),
    };
    format!(
        "Row {} closes{column} on {} ({setups}{length}): {misclosure}. {judged} ({}; {}).",
        closure.row + 1,
        closure.to,
        reduction.allowance.in_words(units),
        reduction.allowance.source()
    )
}

fn suspects(reduction: &Reduction) -> String {
    if reduction.standing() != Standing::DoesNotClose {
        return String::new();
    }
    let suspects = &reduction.suspects;
    let Some(first) = suspects.first() else {
        return item(
            "",
            "No single slip of a usual kind explains what does not close.",
        );
    };
    let is_clear = first.likelihood > 0.9;
    let opening = if is_clear {
        "Most likely, if one reading is wrong:"
    } else {
        "One of these, if one reading is wrong; nothing tells for certain which:"
    };
    let line = |(number, suspect): (usize, &Suspect)| {
        let row = suspect.row + 1;
        let likelihood = match suspect.likelihood * 100.0 {
            percent if percent > 99.0 => "over 99 %".to_owned(),
            percent => format!("{percent:.0} %"),
        };
        item(
            &format!("{number:>4}. "),
            &format!("Row {row}, {suspect} ({likelihood} of what is likely)."),
        )
    };
    let named: f64 = suspects.iter().map(|suspect| suspect.likelihood).sum();
    let others = if named < 1.0 - WORTH_A_WORD {
        let percent = (1.0 - named) * 100.0;
        item(
            "",
            &format!(
                "Other readings would explain it as well ({percent:.0} % of what is likely): read \
                 these again first, and then run the loop again."
            ),
        )
    } else {
        String::new()
    };
    let lines: String = (1..).zip(suspects).map(line).collect();
    "\n".to_owned() + &item("", opening) + &lines + &others
}

/// What the suspects named leave over of the likelihood, for that to be said.
const WORTH_A_WORD: f64 = 0.1;
