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
    /// Which setup a reading belongs to.
    Setup,
    /// What kind of sight a reading is, in words: all readings stand in one column.
    Sight,
    /// One of the outer two of three wires, behind.
    OuterBack,
    /// One of the outer two of three wires, ahead.
    OuterFore,
    /// What this program computes itself.
    Computed,
}

impl Title {
    /// Whether readings stand in the column.
    pub(super) fn is_reading(self) -> bool {
        use Title::{Backsight, Between, Foresight, Reading};
        matches!(self, Backsight | Between | Foresight | Reading)
    }
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
    /// The unit in each column, where its title names one.
    pub(super) column_units: Vec<Option<&'static str>>,
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
                column_units: written.iter().map(|title| unit_word(title)).collect(),
                columns,
                written,
            }
        })
    }

    /// A header of a table that has none: names, and rod readings of one setup.
    pub(super) fn of_one_setup() -> Header {
        Header {
            separator: Separator::Tab,
            columns: vec![Some(Title::Point), Some(Title::Reading)],
            written: vec!["point".to_owned(), "reading".to_owned()],
            units: None,
            column_units: vec![None; 2],
        }
    }

    /// Takes titles from the line above for columns that have none: a head of two rows. Whether any
    /// was taken.
    ///
    /// ```text
    ///   Station   Readings              Elevation
    ///             BS      IS      FS
    /// ```
    pub(super) fn complete(&mut self, line: &str) -> bool {
        let mut is_taken = false;
        if self.separator == Separator::Blanks {
            // Nothing tells which column a word stands above.
            return false;
        }
        let own = self.columns.iter_mut().zip(&mut self.written);
        let mut over = None;
        for (((column, written), own_unit), above) in own
            .zip(&mut self.column_units)
            .zip(self.separator.split(line))
        {
            let title = in_words(&above);
            if written.is_empty() && title.is_some() {
                (*column, *written, is_taken) = (title, above.clone(), true);
            }
            // What stands over several columns is written over the first.
            if !above.is_empty() {
                over = unit_word(&above);
            }
            if column.is_some_and(Title::is_reading) {
                *own_unit = own_unit.or(over);
            }
        }
        if is_taken && self.units.is_none() {
            let readings = self.columns.iter().zip(&self.column_units);
            let mut named = readings
                .filter(|(title, _)| title.is_some_and(Title::is_reading))
                .map(|(_, own)| unit(own.unwrap_or_default()));
            let first = named.next().flatten();
            self.units = first.filter(|_| named.all(|other| other == first));
        }
        is_taken
    }

    /// Takes more titles from the row below, which says more of the columns that it names. Whether
    /// it was one of titles.
    pub(super) fn go_on(&mut self, fields: &[String]) -> bool {
        let has_digit = |field: &String| field.contains(|c: char| c.is_ascii_digit());
        let titles: Vec<Option<Title>> = fields.iter().map(|field| in_words(field)).collect();
        let is_sight =
            |title: &Title| matches!(title, Title::Backsight | Title::Between | Title::Foresight);
        if fields.iter().any(has_digit) || !titles.iter().flatten().any(is_sight) {
            return false;
        }
        let columns = self.columns.iter_mut().zip(&mut self.written);
        for ((column, written), (title, field)) in columns.zip(titles.into_iter().zip(fields)) {
            if title.is_some() {
                (*column, *written) = (title, field.clone());
            }
        }
        true
    }

    /// The column of a title, the first of several.
    pub(super) fn column(&self, title: Title) -> Option<usize> {
        self.columns.iter().position(|it| *it == Some(title))
    }
}

/// The unit that the titles of the readings name, when they agree.
fn units_of(columns: &[Option<Title>], written: &[String]) -> Option<LengthStyle> {
    let mut named = (columns.iter().zip(written))
        .filter(|(title, _)| title.is_some_and(Title::is_reading))
        .filter_map(|(_, text)| words(text).iter().find_map(|word| unit(word)));
    let first = named.next()?;
    named.all(|other| other == first).then_some(first)
}

/// The unit that a word stands for.
pub(super) fn unit(word: &str) -> Option<LengthStyle> {
    Some(match word {
        "m" | "metres" | "meters" | "metre" | "meter" | "mètres" | "metros" | "metri" => {
            LengthStyle::Metres
        }
        "mm" | "millimetres" | "millimeters" => LengthStyle::Millimetres,
        "ft" | "feet" | "foot" | "usft" | "ftus" | "sft" => LengthStyle::DecimalFeet,
        _ => return None,
    })
}

/// The unit that a title names, as a length has it behind it.
pub(super) fn unit_word(title: &str) -> Option<&'static str> {
    words(title).iter().find_map(|word| match word.as_str() {
        "cm" | "centimetres" | "centimeters" => Some("cm"),
        word => match unit(word)? {
            LengthStyle::Metres => Some("m"),
            LengthStyle::Millimetres => Some("mm"),
            _ => Some("ft"),
        },
    })
}

/// What kind of sight a word means: its title, or its first letter in the languages that have one.
pub(super) fn sight_kind(word: &str) -> Option<Title> {
    let joined = words(word).concat();
    match joined.as_str() {
        "b" | "r" => return Some(Title::Backsight),
        "i" | "z" => return Some(Title::Between),
        "f" | "v" => return Some(Title::Foresight),
        _ => {}
    }
    let is_kind =
        |title: &Title| matches!(title, Title::Backsight | Title::Between | Title::Foresight);
    sight(&joined).filter(is_kind)
}

/// Whether a title is of a rod reading behind, in between or ahead.
pub(super) fn is_sight(title: &str) -> bool {
    let words = words(title);
    let is_kind = |title| matches!(title, Title::Backsight | Title::Between | Title::Foresight);
    let without_units: Vec<&str> = (words.iter().map(String::as_str))
        .filter(|word| unit_word(word).is_none())
        .collect();
    // Any word of it: this is to warn, not to read.
    (sight(&without_units.concat()).is_some_and(is_kind))
        || without_units
            .iter()
            .any(|word| word.chars().count() > 2 && sight(word).is_some_and(is_kind))
}

/// The words of a title, in small letters.
fn words(field: &str) -> Vec<String> {
    field
        .to_lowercase()
        .replace(['°', 'º'], "o ")
        // A capital i with its dot leaves the dot behind.
        .replace('\u{307}', "")
        .replace('№', "no ")
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect()
}

/// A title that is one by its words: a rule under the titles is not that of minus sights.
fn in_words(field: &str) -> Option<Title> {
    title(field).filter(|_| field.contains(char::is_alphabetic))
}

fn title(field: &str) -> Option<Title> {
    let mut words = words(field);
    if words.iter().all(|word| unit_word(word).is_some()) {
        // What is added to the known elevation, and what is taken off the height of instrument.
        let mark = field.trim_start_matches(|c: char| c == '(' || c.is_whitespace());
        match mark.chars().next() {
            Some('+') => return Some(Title::Backsight),
            Some('-' | '−' | '–') => return Some(Title::Foresight),
            _ => {}
        }
    } else {
        words.retain(|word| unit_word(word).is_none());
    }
    if words.len() > 1
        && let Some(wire) = wire(&words)
    {
        return Some(wire);
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

/// One of three wires of a sight: its title names the wire beside the sight.
fn wire(words: &[String]) -> Option<Title> {
    let is_outer = |word: &str| {
        matches!(
            word,
            "upper"
                | "top"
                | "lower"
                | "bottom"
                | "supérieur"
                | "inférieur"
                | "superior"
                | "inferior"
                | "superiore"
                | "inferiore"
                | "oben"
                | "unten"
                | "oberer"
                | "unterer"
        )
    };
    let is_middle = |word: &str| {
        matches!(
            word,
            "middle" | "mid" | "centre" | "center" | "niveleur" | "medio" | "mitte" | "mittlerer"
        )
    };
    let is_wire = |word: &str| {
        matches!(
            word,
            "wire" | "hair" | "thread" | "stadia" | "cross" | "fil" | "hilo" | "filo" | "faden"
        )
    };
    let has_outer = words.iter().any(|word| is_outer(word));
    let has_middle = words.iter().any(|word| is_middle(word));
    let rest = words
        .iter()
        .filter(|word| !is_outer(word) && !is_middle(word) && !is_wire(word));
    let rest: String = rest.map(String::as_str).collect();
    match (has_outer, has_middle, sight(&rest)?) {
        (true, false, Title::Backsight) => Some(Title::OuterBack),
        (true, false, Title::Foresight) => Some(Title::OuterFore),
        (false, true, title @ (Title::Backsight | Title::Foresight)) => Some(title),
        _ => None,
    }
}

/// The single letters that mean in a field book what they mean in a point file.
fn is_plain(letter: &str) -> bool {
    matches!(letter, "x" | "y" | "z" | "e" | "n" | "h")
}

/// The words of levelling.
fn sight(joined: &str) -> Option<Title> {
    Some(match joined {
        "setup" | "setups" | "setupno" | "setupnumber" | "instrumentstation"
        | "instrumentsetup" | "aufstellung" | "standpunkt" | "stationnement" | "opstelling"
        | "uppställning" => Title::Setup,
        "sight" | "kind" | "sighttype" | "typeofsight" | "bsisfs" | "bsfs" | "art" => Title::Sight,
        "target" | "where" | "object" | "corner" | "foot" | "jack" | "support" | "sta" | "stn"
        | "station" | "turningpoint" | "tp" | "chainage" => Title::Point,
        "backsight" | "backsights" | "bs" | "back" | "backsightreading" | "rückblick"
        | "rueckblick" | "rückwärts" | "rück" | "lecturearrière" | "lecturearriere"
        | "viséearrière" | "arrière" | "arriere" | "ar" | "vistaatrás" | "vistaatras"
        | "lecturaatrás" | "lecturadeespalda" | "atrás" | "atras" | "espalda" | "indietro"
        | "letturaindietro" | "battutaindietro" | "visadaré" | "ré" | "leituraatrás" | "bakåt"
        | "bakre" | "baksikt" | "tilbage" | "achter" | "achterbaak" | "wstecz" | "odczytwstecz"
        | "zpět" | "vzad" | "taakse" | "geri" | "geriokuma" | "tilbake" | "baksikte" | "hátra"
        | "înapoi" | "назад" | "задний" | "задняя" | "后视" | "後視" => {
            Title::Backsight
        }
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
        | "väli"
        | "orta"
        | "ara"
        | "ortaokuma"
        | "mellom"
        | "közép"
        | "промежуточный"
        | "промежуточная"
        | "中视"
        | "中间视"
        | "中間視" => Title::Between,
        "reading" | "readings" | "rod" | "rodreading" | "staff" | "staffreading" | "graderod"
        | "ablesung" | "lattenablesung" | "lecture" | "lectura" | "lettura" | "leitura"
        | "odczyt" | "avläsning" | "aflezing" | "čtení" => Title::Reading,
        "foresight" | "foresights" | "fs" | "fore" | "foresightreading" | "vorblick"
        | "vorwärts" | "vor" | "lectureavant" | "viséeavant" | "avant" | "av" | "vistaadelante"
        | "lecturaadelante" | "lecturadefrente" | "adelante" | "frente" | "avanti"
        | "letturaavanti" | "battutaavanti" | "visadavante" | "vante" | "leituravante"
        | "framåt" | "främre" | "framsikt" | "fremad" | "voor" | "voorbaak" | "wprzód"
        | "odczytwprzód" | "vpřed" | "eteen" | "ileri" | "ileriokuma" | "frem" | "fremover"
        | "előre" | "înainte" | "вперед" | "вперёд" | "передний" | "передняя" | "前视" | "前視" => {
            Title::Foresight
        }
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
