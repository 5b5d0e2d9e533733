//! What descriptions seem to say. A suggestion is shown; it becomes a feature only when the user
//! agrees, for a surveyor's codes are his own.

use super::PointFile;
use crate::ground::Elevation;
use crate::site::{Breakline, BreaklineKind, SpotLevel};

/// What a point seems to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SuggestedFeature {
    /// A benchmark, to level from.
    Benchmark,
    /// A point on an edge: a kerb, a ditch, the edge of pavement.
    Edge(BreaklineKind),
    /// A pole, which may carry wires.
    Pole,
    /// A tree; how large it is has to be measured.
    Tree,
}

impl SuggestedFeature {
    /// What people call it.
    pub fn word(self) -> &'static str {
        match self {
            SuggestedFeature::Benchmark => "benchmark",
            SuggestedFeature::Edge(BreaklineKind::Kerb) => "kerb",
            SuggestedFeature::Edge(BreaklineKind::Ditch) => "ditch",
            SuggestedFeature::Edge(_) => "edge",
            SuggestedFeature::Pole => "pole",
            SuggestedFeature::Tree => "tree",
        }
    }
}

/// A point that seems to be more than a spot level.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Suggestion {
    /// Its place in the list of points.
    pub point: usize,
    /// What it seems to be.
    pub feature: SuggestedFeature,
}

impl PointFile {
    /// The points whose descriptions say what they are.
    pub fn suggestions(&self) -> Vec<Suggestion> {
        (self.points.iter().enumerate())
            .filter_map(|(point, it)| {
                let feature = feature(&it.description)?;
                Some(Suggestion { point, feature })
            })
            .collect()
    }

    /// The edges as breaklines: shots of one description, one after the other in the file. For
    /// when the user agrees.
    pub fn suggested_breaklines(&self) -> Vec<Breakline> {
        let mut lines: Vec<(String, BreaklineKind, Vec<SpotLevel>)> = Vec::new();
        let mut last = None;
        for (index, point) in self.points.iter().enumerate() {
            let shot = |elevation: Elevation| SpotLevel::new(point.at.x, point.at.y, elevation);
            let (Some(SuggestedFeature::Edge(kind)), Some(elevation)) =
                (feature(&point.description), point.elevation)
            else {
                continue;
            };
            let goes_on = last.is_some_and(|last| last + 1 == index);
            match lines.last_mut() {
                Some((name, _, shots)) if goes_on && *name == point.description => {
                    shots.push(shot(elevation));
                }
                _ => lines.push((point.description.clone(), kind, vec![shot(elevation)])),
            }
            last = Some(index);
        }
        (lines
            .into_iter()
            .filter(|(.., shots)| shots.len() > 1)
            .zip(1..))
        .map(|((name, kind, points), number)| Breakline {
            id: format!("edge-{number}"),
            name,
            kind,
            points,
        })
        .collect()
    }
}

/// What a description seems to say: by its words, whole ones only.
fn feature(description: &str) -> Option<SuggestedFeature> {
    let description = description.to_lowercase();
    let mut words = description.split(|c: char| !c.is_alphabetic());
    words.find_map(|word| {
        Some(match word {
            "bm" | "tbm" | "benchmark" | "bench" | "festpunkt" => SuggestedFeature::Benchmark,
            "kerb" | "curb" | "toc" | "boc" | "bordstein" | "bordure" => {
                SuggestedFeature::Edge(BreaklineKind::Kerb)
            }
            "ditch" | "swale" | "gutter" | "graben" => SuggestedFeature::Edge(BreaklineKind::Ditch),
            "eop" | "ep" | "edge" | "pavement" | "kante" => {
                SuggestedFeature::Edge(BreaklineKind::PavementEdge)
            }
            "pole" | "pp" | "lp" | "upole" | "mast" | "poteau" => SuggestedFeature::Pole,
            "tree" | "oak" | "elm" | "pine" | "maple" | "birch" | "lime" | "baum" | "arbre" => {
                SuggestedFeature::Tree
            }
            _ => return None,
        })
    })
}
