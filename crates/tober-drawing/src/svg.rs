//! A small SVG writer: elements, attributes and text, always escaped, with coordinates in
//! short decimals so that a drawing is the same bytes everywhere.

use std::fmt::Write as _;

use crate::window::Px;

/// SVG being written.
#[derive(Debug, Default)]
pub(crate) struct Svg {
    out: String,
}

impl Svg {
    pub(crate) fn new() -> Svg {
        Svg::default()
    }

    pub(crate) fn into_string(self) -> String {
        self.out
    }

    /// Opens an element; its attributes follow, then one of the closing calls.
    pub(crate) fn element(&mut self, name: &'static str) -> Element<'_> {
        self.out.push('<');
        self.out.push_str(name);
        Element { svg: self, name }
    }

    /// A group of a class.
    pub(crate) fn group(&mut self, class: &str, children: impl FnOnce(&mut Svg)) {
        self.element("g").attr("class", class).children(children);
    }

    /// A path of a class; nothing when the path is empty.
    pub(crate) fn path(&mut self, class: &str, data: &PathData) {
        if !data.out.is_empty() {
            self.element("path")
                .attr("class", class)
                .attr("d", &data.out)
                .end();
        }
    }

    /// A true circle of a class.
    pub(crate) fn circle(&mut self, class: &str, centre: Px, radius: f64) {
        self.element("circle")
            .attr("class", class)
            .px("cx", centre.x)
            .px("cy", centre.y)
            .px("r", radius)
            .end();
    }

    /// A rectangle of a class by its middle and its sides.
    pub(crate) fn rect(&mut self, class: &str, centre: Px, width: f64, height: f64) {
        self.element("rect")
            .attr("class", class)
            .px("x", centre.x - width / 2.0)
            .px("y", centre.y - height / 2.0)
            .px("width", width)
            .px("height", height)
            .end();
    }

    /// A line of text of a class; `at` is the middle of its baseline unless the class anchors
    /// it elsewhere.
    pub(crate) fn text(&mut self, class: &str, at: Px, text: &str) {
        self.element("text")
            .attr("class", class)
            .px("x", at.x)
            .px("y", at.y)
            .text(text);
    }

    /// Markup that was written by this writer before.
    pub(crate) fn append(&mut self, fragment: &str) {
        self.out.push_str(fragment);
    }
}

/// An element that is open for attributes.
#[derive(Debug)]
#[must_use = "close it with `end`, `text` or `children`"]
pub(crate) struct Element<'a> {
    svg: &'a mut Svg,
    name: &'static str,
}

impl Element<'_> {
    /// An attribute, escaped.
    pub(crate) fn attr(self, name: &str, value: &str) -> Self {
        self.svg.out.push(' ');
        self.svg.out.push_str(name);
        self.svg.out.push_str("=\"");
        escape(&mut self.svg.out, value);
        self.svg.out.push('"');
        self
    }

    /// An attribute in CSS pixels.
    pub(crate) fn px(self, name: &str, value: f64) -> Self {
        self.svg.out.push(' ');
        self.svg.out.push_str(name);
        self.svg.out.push_str("=\"");
        push_px(&mut self.svg.out, value);
        self.svg.out.push('"');
        self
    }

    /// Closes an element without content.
    pub(crate) fn end(self) {
        self.svg.out.push_str("/>");
    }

    /// Closes an element that holds text, escaped.
    pub(crate) fn text(self, text: &str) {
        self.svg.out.push('>');
        escape(&mut self.svg.out, text);
        self.close();
    }

    /// Closes an element that holds elements.
    pub(crate) fn children(self, children: impl FnOnce(&mut Svg)) {
        self.svg.out.push('>');
        children(self.svg);
        self.close();
    }

    fn close(self) {
        self.svg.out.push_str("</");
        self.svg.out.push_str(self.name);
        self.svg.out.push('>');
    }
}

/// The `d` of a path.
#[derive(Clone, Debug, Default)]
pub(crate) struct PathData {
    out: String,
}

impl PathData {
    pub(crate) fn new() -> PathData {
        PathData::default()
    }

    pub(crate) fn as_str(&self) -> &str {
        &self.out
    }

    pub(crate) fn move_to(&mut self, at: Px) -> &mut Self {
        self.command('M', at)
    }

    pub(crate) fn line_to(&mut self, at: Px) -> &mut Self {
        self.command('L', at)
    }

    /// One straight stroke.
    pub(crate) fn stroke(&mut self, from: Px, to: Px) -> &mut Self {
        self.move_to(from).line_to(to)
    }

    /// The shorter arc of a circle from the last place to `to`.
    pub(crate) fn arc_to(&mut self, radius: f64, clockwise: bool, to: Px) -> &mut Self {
        self.out.push('A');
        push_px(&mut self.out, radius);
        self.out.push(' ');
        push_px(&mut self.out, radius);
        self.out
            .push_str(if clockwise { " 0 0 1 " } else { " 0 0 0 " });
        push_pair(&mut self.out, to);
        self
    }

    pub(crate) fn close(&mut self) -> &mut Self {
        self.out.push('Z');
        self
    }

    /// An open run of straight strokes.
    pub(crate) fn run(&mut self, places: impl IntoIterator<Item = Px>) -> &mut Self {
        for (index, place) in places.into_iter().enumerate() {
            self.command(if index == 0 { 'M' } else { 'L' }, place);
        }
        self
    }

    /// A closed run; nothing when there are no places.
    pub(crate) fn ring(&mut self, places: impl IntoIterator<Item = Px>) -> &mut Self {
        let before = self.out.len();
        self.run(places);
        if self.out.len() > before {
            self.close();
        }
        self
    }

    fn command(&mut self, letter: char, at: Px) -> &mut Self {
        self.out.push(letter);
        push_pair(&mut self.out, at);
        self
    }
}

fn push_pair(out: &mut String, at: Px) {
    push_px(out, at.x);
    out.push(' ');
    push_px(out, at.y);
}

/// Writes a length or a coordinate to a tenth of a pixel. Far outside any screen it is held at
/// a million pixels, where renderers still count exactly.
fn push_px(out: &mut String, value: f64) {
    let tenths = (value.clamp(-1e6, 1e6) * 10.0).round() as i64;
    if tenths < 0 {
        out.push('-');
    }
    let tenths = tenths.unsigned_abs();
    // Writing to a String cannot fail.
    let _ = match tenths % 10 {
        0 => write!(out, "{}", tenths / 10),
        tenth => write!(out, "{}.{tenth}", tenths / 10),
    };
}

/// Escapes text for content and for attributes alike. What XML cannot hold even escaped
/// (control characters, the two non-characters) becomes the replacement character.
fn escape(out: &mut String, text: &str) {
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' | '\r' => out.push(' '),
            '\u{0}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            other => out.push(other),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn px(value: f64) -> String {
        let mut out = String::new();
        push_px(&mut out, value);
        out
    }

    #[test]
    fn coordinates_are_short_and_never_nan() {
        assert_eq!(px(12.0), "12");
        assert_eq!(px(12.34), "12.3");
        assert_eq!(px(-0.04), "0");
        assert_eq!(px(-0.26), "-0.3");
        assert_eq!(px(f64::NAN), "0");
        assert_eq!(px(f64::INFINITY), "1000000");
    }

    #[test]
    fn text_and_attributes_are_escaped() {
        let mut svg = Svg::new();
        svg.element("text")
            .attr("class", "a\"b")
            .text("<b> & 'c'\u{1}");
        assert_eq!(
            svg.into_string(),
            "<text class=\"a&quot;b\">&lt;b&gt; &amp; &#39;c&#39;\u{fffd}</text>"
        );
    }
}
