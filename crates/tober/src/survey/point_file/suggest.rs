//! What descriptions seem to say. A suggestion is shown; it becomes a feature only when the user
//! agrees, for a surveyor's codes are his own.

use super::{FilePoint, PointFile};
use crate::Point;
use crate::ground::Elevation;
use crate::site::{Breakline, BreaklineKind, Building, LinePoint, OverheadLine, SpotLevel, Tree};

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

/// How large the trees of a point file are taken to be, metres: a shot at a trunk does not say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TreeSize {
    /// Radius of the trunk.
    pub trunk: f64,
    /// Radius of the canopy.
    pub canopy: f64,
    /// Height of the lowest branches above the ground.
    pub underside: f64,
    /// Height of the top above the ground.
    pub top: f64,
}

impl TreeSize {
    /// A tree that nobody has measured: a full-grown one, its branches down to the ground, so that
    /// hardly a tree is larger. Common practice, no source.
    pub const NOT_MEASURED: TreeSize = TreeSize {
        trunk: 0.5,
        canopy: 8.0,
        underside: 0.0,
        top: 30.0,
    };
}

/// How large the poles of a point file are taken to be, metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PoleSize {
    /// Across, at the foot.
    pub width: f64,
    /// From the ground to the top.
    pub height: f64,
}

impl PoleSize {
    /// A pole that nobody has measured: as thick and as high as any along a street. Common
    /// practice, no source.
    pub const NOT_MEASURED: PoleSize = PoleSize {
        width: 0.5,
        height: 15.0,
    };
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

impl PointFile {
    /// The trees, all of one size; where that was not measured, their names say so. For when the
    /// user agrees.
    pub fn suggested_trees(&self, size: TreeSize) -> Vec<Tree> {
        let is_measured = size != TreeSize::NOT_MEASURED;
        (self.suggested(SuggestedFeature::Tree).zip(1..))
            .map(|(point, number)| Tree {
                id: format!("tree-{number}"),
                name: called(point, "tree", is_measured),
                at: point.at,
                trunk_radius: size.trunk,
                canopy_radius: size.canopy,
                canopy_underside: size.underside,
                canopy_top: size.top,
            })
            .collect()
    }

    /// The poles, all of one size, as things to keep clear of: square, the point in the middle.
    /// For when the user agrees.
    pub fn suggested_poles(&self, size: PoleSize) -> Vec<Building> {
        let is_measured = size != PoleSize::NOT_MEASURED;
        let half = size.width / 2.0;
        let corner = |at: Point, x: f64, y: f64| Point::new(at.x + x * half, at.y + y * half);
        (self.suggested(SuggestedFeature::Pole).zip(1..))
            .map(|(point, number)| Building {
                id: format!("pole-{number}"),
                name: called(point, "pole", is_measured),
                outline: [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
                    .map(|(x, y)| corner(point.at, x, y))
                    .to_vec(),
                height: size.height,
                underside: None,
                stakes: Vec::new(),
            })
            .collect()
    }

    /// The poles as one overhead line, joined in the order of the file, its wires so high above the
    /// ground at every pole. How far they sag and what they carry stays unknown, and is taken at
    /// its worst. Absent for fewer than two poles. For when the user agrees.
    pub fn suggested_line(&self, wires: f64) -> Option<OverheadLine> {
        let points: Vec<LinePoint> = self
            .suggested(SuggestedFeature::Pole)
            .map(|point| LinePoint {
                x: point.at.x,
                y: point.at.y,
                height: wires,
            })
            .collect();
        (points.len() > 1).then(|| OverheadLine {
            id: "line-1".to_owned(),
            name: "wires over the poles, not measured".to_owned(),
            points,
            sag: None,
            lowest: None,
            volts: None,
            supplies: Vec::new(),
        })
    }

    fn suggested(&self, feature: SuggestedFeature) -> impl Iterator<Item = &FilePoint> {
        (self.suggestions().into_iter())
            .filter(move |it| it.feature == feature)
            .filter_map(|it| self.points.get(it.point))
    }
}

/// What the file calls a point, and whether anybody knows how large it is.
fn called(point: &FilePoint, word: &str, is_measured: bool) -> String {
    let said = [point.name.as_str(), point.description.as_str()];
    let said: Vec<&str> = said.into_iter().filter(|it| !it.is_empty()).collect();
    let said = if said.is_empty() {
        word.to_owned()
    } else {
        said.join(" ")
    };
    if is_measured {
        said
    } else {
        format!("{said}, size not measured")
    }
}

/// What a description seems to say: by its words, whole ones only.
fn feature(description: &str) -> Option<SuggestedFeature> {
    let description = description.to_lowercase();
    let mut words = description.split(|c: char| !c.is_alphabetic());
    words.find_map(|word| {
        Some(match word {
            "bm" | "tbm" | "benchmark" | "bench" | "festpunkt" | "repère" | "reper"
            | "caposaldo" => SuggestedFeature::Benchmark,
            "kerb" | "curb" | "toc" | "boc" | "bordstein" | "bordure" | "bordillo" | "cordolo"
            | "kantsten" | "krawężnik" | "obrubník" => {
                SuggestedFeature::Edge(BreaklineKind::Kerb)
            }
            "ditch" | "swale" | "gutter" | "graben" | "fossé" | "cuneta" | "fosso" | "rów" => {
                SuggestedFeature::Edge(BreaklineKind::Ditch)
            }
            "eop" | "ep" | "edge" | "pavement" | "kante" => {
                SuggestedFeature::Edge(BreaklineKind::PavementEdge)
            }
            "pole" | "pp" | "lp" | "upole" | "mast" | "poteau" | "poste" | "palo" | "słup"
            | "sloup" | "stolpe" | "laterne" | "lampadaire" | "farola" => SuggestedFeature::Pole,
            "tree" | "oak" | "elm" | "pine" | "maple" | "birch" | "lime" | "baum" | "arbre"
            | "árbol" | "albero" | "árvore" | "drzewo" | "strom" | "träd" | "boom" => {
                SuggestedFeature::Tree
            }
            _ => return None,
        })
    })
}
