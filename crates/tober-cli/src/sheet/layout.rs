//! Headings, paragraphs and tables for a page of plain text, [`COLUMNS`] wide.

use comfy_table::{CellAlignment, ContentArrangement, LineStyle, Table, TableStyle, presets};
use textwrap::{Options, WordSplitter};

/// Widest line: what an A4 or a letter page holds in a monospaced type that people can read.
pub(crate) const COLUMNS: usize = 100;

/// A title with a line of `rule` beneath.
pub(crate) fn heading(text: &str, rule: &str) -> String {
    let title = textwrap::fill(text, COLUMNS);
    let widest = title.lines().map(|line| line.chars().count()).max();
    format!("{title}\n{}\n", rule.repeat(widest.unwrap_or(0)))
}

/// Running text behind a mark (`"  "`, `"  1. "`), wrapped so that it stays clear of the mark.
pub(crate) fn item(mark: &str, text: &str) -> String {
    let hang = " ".repeat(mark.chars().count());
    let options = Options::new(COLUMNS)
        .word_splitter(WordSplitter::NoHyphenation)
        .initial_indent(mark)
        .subsequent_indent(&hang);
    loosen(&textwrap::fill(&bind_inches(text), options)) + "\n"
}

/// Words that stay on one line inside an [`item`].
pub(crate) fn bound(text: &str) -> String {
    text.replace(' ', "\u{a0}")
}

/// Ties inches to their feet: `3'` at the end of a line reads as the whole length.
fn bind_inches(text: &str) -> String {
    text.replace("' ", "'\u{a0}")
}

/// Undoes the ties once the lines are broken.
fn loosen(text: &str) -> String {
    text.replace('\u{a0}', " ")
}

/// Numbered items.
pub(crate) fn numbered<T: AsRef<str>>(items: impl IntoIterator<Item = T>) -> String {
    items
        .into_iter()
        .zip(1..)
        .map(|(text, number)| item(&format!("{number:>4}. "), text.as_ref()))
        .collect()
}

/// No lines but one under the header.
const UNDERLINED: TableStyle =
    presets::NOTHING.header_separator(LineStyle::none().fill('-').junction('-'));

/// Which way a column's cells are pushed.
#[derive(Clone, Copy)]
pub(crate) enum Column {
    /// Words.
    Words,
    /// Numbers: their ends line up.
    Number,
}

/// A table under a header, so many columns in; cells wrap when the page is too narrow for them.
pub(crate) fn table(indent: usize, columns: &[(&str, Column)], rows: Vec<Vec<String>>) -> String {
    let mut table = Table::new();
    table
        .load_style(UNDERLINED)
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_width((COLUMNS - indent) as u16)
        .set_header(columns.iter().map(|(title, _)| *title));
    for row in rows {
        table.add_row(row.iter().map(|cell| bind_inches(cell)));
    }
    for (column, (_, kind)) in table.column_iter_mut().zip(columns) {
        column.set_padding(if column.index == 0 { (0, 0) } else { (1, 0) });
        column.set_cell_alignment(match kind {
            Column::Words => CellAlignment::Left,
            Column::Number => CellAlignment::Right,
        });
    }
    textwrap::indent(&loosen(&table.trim_fmt()), &" ".repeat(indent)) + "\n"
}
