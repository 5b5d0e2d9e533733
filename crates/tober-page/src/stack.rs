//! Little pictures for the crew: a stack piece by piece, and a leg with its holes.

use std::fmt::Write as _;

use tober::level::Piece;

/// Pixels for a metre of stack.
const SCALE: f64 = 260.0;
/// Thinner pieces are drawn this thick, so that they can be counted.
const THINNEST: f64 = 4.0;
/// Width of a piece that lies along the picture, and of one that is seen from its end.
const LONG: f64 = 120.0;
const ACROSS: f64 = 74.0;
const WIDTH: f64 = 150.0;

/// Draws a stack to scale, the ground below, pieces crossed in turn.
pub(crate) fn stack_svg(pieces: &[Piece]) -> String {
    let height = height(pieces, SCALE) + 26.0;
    let ground = height - 8.0;
    let mut svg = format!(
        "<svg viewBox=\"0 0 {WIDTH} {height:.1}\" width=\"{WIDTH}\" height=\"{height:.1}\">"
    );
    // Writing to a String cannot fail.
    let _ = write!(
        svg,
        "<path class=\"stack-ground\" d=\"M6 {ground:.1}H144\"/>{}</svg>",
        pieces_svg(pieces, WIDTH / 2.0, ground, SCALE)
    );
    svg
}

/// How tall a stack is drawn at so many pixels for a metre.
pub(crate) fn height(pieces: &[Piece], scale: f64) -> f64 {
    pieces.iter().map(|piece| drawn(piece, scale)).sum()
}

fn drawn(piece: &Piece, scale: f64) -> f64 {
    (piece.thickness * scale).max(THINNEST * (scale / SCALE))
}

/// The pieces alone and the foot on them, over `middle` and up from `ground`.
pub(crate) fn pieces_svg(pieces: &[Piece], middle: f64, ground: f64, scale: f64) -> String {
    let mut svg = String::new();
    let (mut top, small) = (ground, scale / SCALE);
    for (index, piece) in pieces.iter().enumerate() {
        let height = drawn(piece, scale);
        top -= height;
        let (class, width) = if index % 2 == 0 {
            ("piece-long", LONG * small)
        } else {
            ("piece-end", ACROSS * small)
        };
        let left = middle - width / 2.0;
        // Writing to a String cannot fail.
        let _ = write!(
            svg,
            "<rect class=\"{class}\" x=\"{left:.1}\" y=\"{top:.1}\" width=\"{width:.1}\" height=\"{height:.1}\"/>"
        );
    }
    let plate = 22.0 * small;
    let _ = write!(
        svg,
        "<path class=\"stack-foot\" d=\"M{:.1} {foot:.1}h{:.1}M{middle:.1} {foot:.1}v{:.1}\"/>",
        middle - plate,
        2.0 * plate,
        -12.0 * small,
        foot = top - 1.5
    );
    svg
}

/// The pieces from the ground up, neighbours of one kind counted: `2 × plank`.
pub(crate) fn counted(pieces: &[Piece]) -> Vec<String> {
    let mut runs: Vec<(&str, u32)> = Vec::new();
    for piece in pieces {
        match runs.last_mut() {
            Some((block, count)) if *block == piece.block => *count += 1,
            _ => runs.push((&piece.block, 1)),
        }
    }
    runs.into_iter()
        .map(|(block, count)| format!("{count} × {block}"))
        .collect()
}

/// Draws a leg with its holes, the pinned one filled. Counted from 1 at the highest.
pub(crate) fn holes_svg(hole: usize, holes: usize) -> String {
    let step = 9.0_f64.min(54.0 / holes.max(1) as f64);
    let height = step * holes as f64 + 8.0;
    let mut svg = format!(
        "<svg viewBox=\"0 0 20 {height:.1}\" width=\"20\" height=\"{height:.1}\">\
         <rect class=\"leg\" x=\"3\" y=\"1\" width=\"14\" height=\"{:.1}\" rx=\"2\"/>",
        height - 2.0
    );
    let radius = (step * 0.36).min(3.2);
    for index in 1..=holes.min(60) {
        let class = if index == hole {
            "hole-pinned"
        } else {
            "hole-free"
        };
        let y = step * (index as f64 - 0.5) + 4.0;
        let _ = write!(
            svg,
            "<circle class=\"{class}\" cx=\"10\" cy=\"{y:.1}\" r=\"{radius:.1}\"/>"
        );
    }
    svg.push_str("</svg>");
    svg
}

#[cfg(test)]
mod tests {
    use super::*;

    fn piece(block: &str) -> Piece {
        Piece {
            block: block.to_owned(),
            thickness: 0.038,
        }
    }

    #[test]
    fn neighbours_are_counted_from_the_ground_up() {
        let pieces = [piece("crib"), piece("plank"), piece("plank")];
        assert_eq!(counted(&pieces), ["1 × crib", "2 × plank"]);
    }

    #[test]
    fn every_piece_and_every_hole_is_drawn() {
        assert_eq!(
            stack_svg(&[piece("a"), piece("b")])
                .matches("<rect")
                .count(),
            2
        );
        let leg = holes_svg(2, 5);
        assert_eq!(leg.matches("hole-free").count(), 4);
        assert_eq!(leg.matches("hole-pinned").count(), 1);
    }
}
