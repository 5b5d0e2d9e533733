//! Which column of a field book is what, by its title.
//!
//! ```text
//!   Station   B.S. (+)   H.I.   F.S. (-)   Elev (ft)        an American page
//!   BS   IS   FS   Rise   Fall   RL   Remarks               a British one: the remarks name the points
//!   Punkt; Rückblick; Zwischenblick; Vorblick; Höhe         and one from elsewhere
//! ```
//!
//! Titles are taken as surveyors' offices write them, with their unit behind or not, in the
//! languages of the point files. The words are common practice.

use super::point_file::{Kind, Separator, kind};
use crate::units::LengthStyle;

/// What stands in a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Title {
    Point,
    Backsight,
    Between,
    /// A rod reading with no word for what it is: in between.
    Reading,
    Foresight,
    Known,
    /// Known on a benchmark, computed elsewhere.
    Elevation,
    Distance,
    X,
    Y,
    Note,
    /// What this program computes itself.
    Computed,
}

/// The header of a field book.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Header {
    pub(super) separator: Separator,
    /// What is in each column, as far as its title tells.
    pub(super) columns: Vec<Option<Title>>,
    /// The titles as they are written.
    pub(super) written: Vec<String>,
    /// How a bare reading is read, where a title says so.
    pub(super) units: Option<LengthStyle>,
}

impl Header {
    /// Reads a line as a header; absent when it is none.
    pub(super) fn of(line: &str) -> Option<Header> {
        let titles = |separator: Separator| -> Vec<Option<Title>> {
            let fields = separator.split(line);
            fields.iter().map(|field| title(field)).collect()
        };
        let separator = Separator::most(|separator| {
            let is_cut_otherwise = line.contains([',', ';', '\t', '|']);
            if separator == Separator::Blanks && is_cut_otherwise {
                return 0;
            }
            titles(separator).iter().flatten().count()
        });
        let columns = titles(separator);
        let has = |title| columns.contains(&Some(title));
        let sights = [Title::Backsight, Title::Between, Title::Foresight]
            .into_iter()
            .filter(|title| has(*title))
            .count();
        // A rod may be named in a point file too.
        let is_point_file = has(Title::X) && has(Title::Y) && has(Title::Elevation);
        let is_book = if has(Title::Point) {
            sights > 0 || (has(Title::Reading) && !is_point_file)
        } else {
            sights > 1
        };
        is_book.then(|| {
            let written = separator.split(line);
            Header {
                separator,
                units: units_of(&columns, &written),
                columns,
                written,
            }
        })
    }

    /// The column of a title, the first of several.
    pub(super) fn column(&self, title: Title) -> Option<usize> {
        self.columns.iter().position(|it| *it == Some(title))
    }
}

/// The unit that the titles of the readings name, when they agree.
fn units_of(columns: &[Option<Title>], written: &[String]) -> Option<LengthStyle> {
    use Title::{Backsight, Between, Foresight, Reading};
    let mut named = (columns.iter().zip(written))
        .filter(|(title, _)| matches!(title, Some(Backsight | Between | Foresight | Reading)))
        .filter_map(|(_, text)| words(text).iter().find_map(|word| unit(word)));
    let first = named.next()?;
    named.all(|other| other == first).then_some(first)
}

/// The unit that a word stands for.
pub(super) fn unit(word: &str) -> Option<LengthStyle> {
    Some(match word {
        "m" | "metres" | "meters" | "metre" | "meter" => LengthStyle::Metres,
        "mm" | "millimetres" | "millimeters" => LengthStyle::Millimetres,
        "ft" | "feet" | "foot" | "usft" | "ftus" | "sft" => LengthStyle::DecimalFeet,
        _ => return None,
    })
}

/// The words of a title, in small letters.
fn words(field: &str) -> Vec<String> {
    field
        .to_lowercase()
        .replace(['°', 'º'], "o ")
        .replace('№', "no ")
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect()
}

fn title(field: &str) -> Option<Title> {
    let mut words = words(field);
    if words.iter().all(|word| unit(word).is_some()) {
        // What is added to the known elevation, and what is taken off the height of instrument.
        let mark = field.trim_start_matches(|c: char| c == '(' || c.is_whitespace());
        match mark.chars().next() {
            Some('+') => return Some(Title::Backsight),
            Some('-' | '−' | '–') => return Some(Title::Foresight),
            _ => {}
        }
    } else {
        words.retain(|word| unit(word).is_none());
    }
    let joined: String = words.concat();
    sight(&joined).or_else(|| {
        let of_points = std::iter::once(&joined)
            .chain(&words)
            .find_map(|word| kind(word).filter(|_| word.chars().count() > 1 || is_plain(word)));
        Some(match of_points? {
            Kind::Name => Title::Point,
            Kind::Easting => Title::X,
            Kind::Northing => Title::Y,
            Kind::Elevation => Title::Elevation,
            Kind::Description => Title::Note,
            Kind::Error => Title::Computed,
        })
    })
}

/// The single letters that mean in a field book what they mean in a point file.
fn is_plain(letter: &str) -> bool {
    matches!(letter, "x" | "y" | "z" | "e" | "n" | "h")
}

/// The words of levelling.
fn sight(joined: &str) -> Option<Title> {
    Some(match joined {
        "target" | "where" | "object" | "corner" | "foot" | "jack" | "support" | "sta" | "stn"
        | "station" | "turningpoint" | "tp" | "chainage" => Title::Point,
        "backsight" | "backsights" | "bs" | "back" | "backsightreading" | "rückblick"
        | "rueckblick" | "rückwärts" | "rück" | "lecturearrière" | "lecturearriere"
        | "viséearrière" | "arrière" | "arriere" | "ar" | "vistaatrás" | "vistaatras"
        | "lecturaatrás" | "lecturadeespalda" | "atrás" | "atras" | "espalda" | "indietro"
        | "letturaindietro" | "battutaindietro" | "visadaré" | "ré" | "leituraatrás" | "bakåt"
        | "bakre" | "baksikt" | "tilbage" | "achter" | "achterbaak" | "wstecz" | "odczytwstecz"
        | "zpět" | "vzad" | "taakse" => Title::Backsight,
        "between"
        | "intermediate"
        | "intermediates"
        | "intermediatesight"
        | "is"
        | "ifs"
        | "inter"
        | "intermediateforesight"
        | "sideshot"
        | "ss"
        | "zwischenblick"
        | "zwischen"
        | "seitenblick"
        | "intermédiaire"
        | "intermediaire"
        | "lectureintermédiaire"
        | "vistaintermedia"
        | "lecturaintermedia"
        | "intermedia"
        | "intermedio"
        | "letturaintermedia"
        | "intermédia"
        | "mellan"
        | "mellem"
        | "midden"
        | "tussen"
        | "pośredni"
        | "pośrednie"
        | "odczytpośredni"
        | "bočně"
        | "stranou"
        | "väli" => Title::Between,
        "reading" | "readings" | "rod" | "rodreading" | "staff" | "staffreading" | "graderod"
        | "ablesung" | "lattenablesung" | "lecture" | "lectura" | "lettura" | "leitura"
        | "odczyt" | "avläsning" | "aflezing" | "čtení" => Title::Reading,
        "foresight" | "foresights" | "fs" | "fore" | "foresightreading" | "vorblick"
        | "vorwärts" | "vor" | "lectureavant" | "viséeavant" | "avant" | "av" | "vistaadelante"
        | "lecturaadelante" | "lecturadefrente" | "adelante" | "frente" | "avanti"
        | "letturaavanti" | "battutaavanti" | "visadavante" | "vante" | "leituravante"
        | "framåt" | "främre" | "framsikt" | "fremad" | "voor" | "voorbaak" | "wprzód"
        | "odczytwprzód" | "vpřed" | "eteen" => Title::Foresight,
        "known" | "knownelevation" | "knownelev" | "knownrl" | "knownheight" | "benchmark"
        | "bm" | "given" | "givenelevation" => Title::Known,
        "reducedlevel" | "elevationrl" => Title::Elevation,
        "distance" | "dist" | "length" | "entfernung" | "strecke" | "distancia" | "distanza"
        | "distância" | "avstånd" | "afstand" | "odległość" | "vzdálenost" => Title::Distance,
        "hi"
        | "heightofinstrument"
        | "instrumentheight"
        | "instrument"
        | "hpc"
        | "heightofcollimation"
        | "collimation"
        | "rise"
        | "fall"
        | "adjusted"
        | "adjustedelevation"
        | "adj"
        | "adjustment"
        | "correction"
        | "corr"
        | "correctedrl"
        | "steigen"
        | "fallen"
        | "difference"
        | "diff"
        | "row"
        | "line" => Title::Computed,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn columns(line: &str) -> Vec<Option<Title>> {
        Header::of(line).map_or_else(Vec::new, |header| header.columns)
    }

    #[test]
    fn titles_are_known_as_offices_write_them() {
        use Title::{
            Backsight, Between, Computed, Distance, Elevation, Foresight, Known, Note, Point,
            Reading,
        };
        for (line, titles) in [
            (
                "Station\tB.S. (+)\tH.I.\tF.S. (-)\tElev (ft)",
                vec![Point, Backsight, Computed, Foresight, Elevation],
            ),
            (
                "Stn\tB.S.\tI.S.\tF.S.\tH.I.\tR.L.",
                vec![Point, Backsight, Between, Foresight, Computed, Elevation],
            ),
            (
                "Sta., +, HI, −, Elev.",
                vec![Point, Backsight, Computed, Foresight, Elevation],
            ),
            (
                "BS,IS,FS,Rise,Fall,RL,Distance,Remarks",
                vec![
                    Backsight, Between, Foresight, Computed, Computed, Elevation, Distance, Note,
                ],
            ),
            (
                "Punkt;Rückblick;Zwischenblick;Vorblick;Höhe;Bemerkung",
                vec![Point, Backsight, Between, Foresight, Elevation, Note],
            ),
            (
                "Punto;Vista atrás;Vista adelante;Cota",
                vec![Point, Backsight, Foresight, Elevation],
            ),
            (
                "Point;Lecture arrière;Lecture avant;Altitude (m)",
                vec![Point, Backsight, Foresight, Elevation],
            ),
            (
                "| Sta | + (ft) | HI | (-) | Elev |",
                vec![Point, Backsight, Computed, Foresight, Elevation],
            ),
            ("Corner,Rod (ft)", vec![Point, Reading]),
            ("pt bs fs known", vec![Point, Backsight, Foresight, Known]),
        ] {
            let found: Vec<Title> = columns(line).into_iter().flatten().collect();
            assert_eq!(found, titles, "{line}");
        }
    }

    #[test]
    fn the_unit_may_stand_in_the_titles() {
        let units = |line: &str| Header::of(line).and_then(|header| header.units);
        assert_eq!(
            units("Point,BS (ft),FS (ft),Elev (m)"),
            Some(LengthStyle::DecimalFeet)
        );
        assert_eq!(
            units("Punkt;Rückblick [mm];Vorblick [mm]"),
            Some(LengthStyle::Millimetres)
        );
        assert_eq!(units("Point,BS (ft),FS (m)"), None);
        assert_eq!(units("Point,BS,FS"), None);
    }

    #[test]
    fn a_header_of_something_else_is_none() {
        for line in [
            "Point,Northing,Easting,Elevation,Rod",
            "id,x,y,z",
            "BS,Remarks",
            "",
            "point",
            "1,2,3",
        ] {
            assert_eq!(Header::of(line), None, "{line}");
        }
    }
}
