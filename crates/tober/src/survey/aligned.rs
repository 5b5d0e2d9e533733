//! Tables that are set out in columns, with blanks between them: where a name has a blank in it or
//! a field is empty, counting words would put every number behind it into the wrong column.
//!
//! ```text
//!   Point     Northing    Easting   Elev   Description
//!   CP 1      5000.000   2000.000  100.0   control point
//!   101       5012.213   2003.554   99.4   ground shot
//!   ───────  ─────────  ─────────  ─────  ─────────────    what is blank in every line parts columns
//! ```
//!
//! A column is wherever anything stands in any line, and belongs to the title that it reaches. A
//! table of which that cannot be said without doubt is left as it is.

use super::point_file::{is_comment, is_numeric};

/// Lines above the table, beyond which it is taken to have no header.
const LINES_ABOVE: usize = 100;

/// Fewer titles make no table.
const FEWEST: usize = 3;

/// Lines of a table without a header that are looked at.
const LOOKED_AT: usize = 200;

/// The text with tabs between the fields of its table, line for line; absent where it is not set
/// out in columns. `is_header` tells whether fields are the titles of a table.
pub(super) fn with_tabs(text: &str, is_header: impl Fn(&[String]) -> bool) -> Option<String> {
    let lines: Vec<&str> = text.split('\n').map(str::trim_end).collect();
    let header = lines.iter().take(LINES_ABOVE).position(|line| {
        let titles: Vec<String> = pieces(line).map(str::to_owned).collect();
        !line.contains([',', ';', '\t', '|']) && titles.len() >= FEWEST && is_header(&titles)
    });
    let Some(header) = header else {
        return with_wide_gaps(&lines);
    };
    let (above, table) = lines.split_at_checked(header)?;
    let starts = columns(table)?;
    let tabbed = table.iter().enumerate().map(|(number, line)| {
        if number > 0 && !is_row(line) {
            return Some((*line).to_owned());
        }
        let cells = cells(line, &starts);
        (number == 0 || cells.iter().all(|cell| is_one(cell))).then(|| cells.join("\t"))
    });
    let tabbed: Vec<String> = tabbed.collect::<Option<_>>()?;
    let all: Vec<&str> = (above.iter().copied())
        .chain(tabbed.iter().map(String::as_str))
        .collect();
    Some(all.join("\n"))
}

/// Where each column of a table begins, by characters; its first line is the header.
fn columns(table: &[&str]) -> Option<Vec<usize>> {
    let titles = spans(table.first()?);
    let rows = (table.iter().take(1)).chain(table.iter().skip(1).filter(|line| is_row(line)));
    let mut ink: Vec<bool> = Vec::new();
    for line in rows {
        for (place, letter) in line.chars().enumerate() {
            if place >= ink.len() {
                ink.resize(place + 1, false);
            }
            if let Some(here) = ink.get_mut(place) {
                *here |= !letter.is_whitespace();
            }
        }
    }
    // A title of two words is one column, whatever stands under it.
    for (start, end) in &titles {
        if let Some(title) = ink.get_mut(*start..*end) {
            title.fill(true);
        }
    }
    let mut starts: Vec<usize> = Vec::new();
    let (mut place, mut title) = (0, 0);
    while place < ink.len() {
        if ink.get(place) != Some(&true) {
            place += 1;
            continue;
        }
        let run = ink.iter().skip(place).take_while(|ink| **ink).count();
        let reached = (titles.iter().skip(title))
            .take_while(|(start, _)| *start < place + run)
            .count();
        match reached {
            // More of the column before, as the second word of a description.
            0 if !starts.is_empty() => {}
            1 => starts.push(if starts.is_empty() { 0 } else { place }),
            _ => return None,
        }
        title += reached;
        place += run;
    }
    (starts.len() == titles.len()).then_some(starts)
}

/// What stands in each column of a line.
fn cells(line: &str, starts: &[usize]) -> Vec<String> {
    let letters: Vec<char> = line.chars().collect();
    let ends = starts.iter().skip(1).copied().chain([letters.len()]);
    (starts.iter().zip(ends))
        .map(|(start, end)| {
            let end = end.min(letters.len());
            let cell: String = letters
                .get(*start..end)
                .unwrap_or_default()
                .iter()
                .collect();
            cell.trim().to_owned()
        })
        .collect()
}

/// Whether a cell holds one number or else words: two numbers in one cell are of two columns, and
/// so is a dash beside anything.
fn is_one(cell: &str) -> bool {
    let words = || cell.split_whitespace();
    let begins_with_words = words().next().is_some_and(|word| !is_numeric(word));
    let numbers = words().filter(|word| is_numeric(word)).count();
    let is_dash = |word: &str| matches!(word, "-" | "--" | "–" | "—");
    let is_cut = words().count() > 1 && words().any(is_dash);
    is_numeric(cell) || (!is_cut && (numbers < 2 || begins_with_words))
}

/// A table without a header, whose fields stand two blanks or more apart: a name, three numbers,
/// words. Only where names have blanks in them, since otherwise words can be counted.
fn with_wide_gaps(lines: &[&str]) -> Option<String> {
    let rows = || (lines.iter().filter(|line| is_row(line))).take(LOOKED_AT);
    let is_point = |line: &&str| {
        let fields: Vec<&str> = pieces(line).collect();
        let numbers = fields.get(1..4).unwrap_or_default();
        let has_three = numbers.len() == 3 && numbers.iter().all(|it| is_numeric(it));
        has_three && !line.contains([';', '\t', '|'])
    };
    let has_blank = |line: &&str| pieces(line).next().is_some_and(|name| name.contains(' '));
    if !rows().any(has_blank) || !rows().all(is_point) {
        return None;
    }
    let tabbed = lines
        .iter()
        .map(|line| pieces(line).collect::<Vec<_>>().join("\t"));
    Some(tabbed.collect::<Vec<_>>().join("\n"))
}

/// What stands in a line between two blanks or more.
fn pieces(line: &str) -> impl Iterator<Item = &str> {
    line.split("  ")
        .map(str::trim)
        .filter(|piece| !piece.is_empty())
}

/// Where the pieces of a line begin and end, by characters.
fn spans(line: &str) -> Vec<(usize, usize)> {
    let mut spans: Vec<(usize, usize)> = Vec::new();
    for (place, letter) in line.chars().enumerate() {
        if letter.is_whitespace() {
            continue;
        }
        match spans.last_mut() {
            Some((_, end)) if place < *end + 2 => *end = place + 1,
            _ => spans.push((place, place + 1)),
        }
    }
    spans
}

/// Whether a line is a row of the table: a number and something beside it, and no remark.
fn is_row(line: &str) -> bool {
    let has_digit = |piece: &str| piece.contains(|c: char| c.is_ascii_digit());
    let numbers = line.split_whitespace().filter(|word| is_numeric(word));
    let is_wide = pieces(line).count() > 1 && pieces(line).any(has_digit);
    !is_comment(line) && (is_wide || numbers.count() > 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    use proptest::prelude::*;

    fn tabbed(text: &str) -> Option<Vec<String>> {
        let text = with_tabs(text, |titles| {
            titles.iter().any(|it| it.starts_with("Elev"))
        })?;
        Some(text.split('\n').map(str::to_owned).collect())
    }

    #[test]
    fn names_with_blanks_and_empty_fields_stay_in_their_columns() {
        let lines = tabbed(
            "Run of the day\n\nSta     +     HI     -     Elev\n-----  ----  ----   ----  -----\n\
             BM 6  6.12  106.12         100.00\n1+00               5.4    100.7\nTP1   3.45  102.24 7.33    98.79",
        );
        assert_eq!(
            lines.unwrap(),
            [
                "Run of the day",
                "",
                "Sta\t+\tHI\t-\tElev",
                "-----  ----  ----   ----  -----",
                "BM 6\t6.12\t106.12\t\t100.00",
                "1+00\t\t\t5.4\t100.7",
                "TP1\t3.45\t102.24\t7.33\t98.79"
            ]
        );
    }

    #[test]
    fn a_table_without_a_header_is_parted_where_gaps_are_wide() {
        let lines =
            tabbed("CP 1  5000.0  2000.0  100.0  hub\n101  5012.2  2003.5  99.4  edge of gravel");
        assert_eq!(
            lines.unwrap(),
            [
                "CP 1\t5000.0\t2000.0\t100.0\thub",
                "101\t5012.2\t2003.5\t99.4\tedge of gravel"
            ]
        );
        assert_eq!(
            tabbed("CP1  5000.0  2000.0  100.0  hub\n101  5012.2  2003.5  99.4"),
            None
        );
    }

    #[test]
    fn what_is_ragged_is_left_as_it_is() {
        for text in [
            "P  N  E  Elev\n1 5012.213 2003.554 99.41\n22 5012.213 2003.554 99.41",
            "P      N      E      Elev\nA - 2 3",
            "P,  N,  E,  Elev\n1,  2,  3,  4",
            "P N E Elev\n1 2 3 4",
            "",
        ] {
            assert_eq!(tabbed(text), None, "{text}");
        }
    }

    proptest! {
        #[test]
        fn lines_stay_lines(rows in prop::collection::vec("[ a-c0-9.–-]{0,24}", 0..8), text in any::<String>()) {
            let table = format!("Pt    N     E    Elev\n{}", rows.join("\n"));
            for text in [table.as_str(), text.as_str()] {
                if let Some(tabbed) = with_tabs(text, |titles| titles.len() > 2) {
                    prop_assert_eq!(tabbed.split('\n').count(), text.split('\n').count());
                }
            }
        }

        /// Whatever is set out in columns two blanks apart comes back field for field.
        #[test]
        fn columns_come_back(
            rows in prop::collection::vec(
                ("[a-z]{1,3}( [0-9]{1,2})?", "([0-9]{1,4}[.][0-9]{2})?", "([0-9]{1,4}[.][0-9]{2})?", "([0-9]{1,4}[.][0-9]{2})?"),
                1..8,
            )
        ) {
            let mut text = format!("{:<8}{:>9}{:>9}{:>9}", "Point", "North", "East", "Elev");
            for (name, one, two, three) in &rows {
                text += &format!("\n{name:<8}{one:>9}{two:>9}{three:>9}");
            }
            let lines = tabbed(&text).unwrap();
            for (line, (name, one, two, three)) in lines.iter().skip(1).zip(&rows) {
                // A name alone is no row, and stays as it is.
                let whole = [name.as_str(), one, two, three].join("\t");
                prop_assert_eq!(line.trim_end(), whole.trim_end());
            }
        }
    }
}
