//! Files as they come, and files as they should not.

use proptest::prelude::*;

use super::*;

fn read(text: &str) -> PointFile {
    read_point_file(text, PointFileChoice::default())
}

/// Name, east, north, elevation in the file's own frame, and description.
fn points(file: &PointFile) -> Vec<(&str, f64, f64, f64, &str)> {
    let whole = |metres: f64| (metres * 1e6).round() / 1e6;
    (file.points.iter())
        .map(|point| {
            let at = point.at + file.origin.coords;
            let elevation = point.elevation.map_or(f64::NAN, |it| it.0);
            (
                point.name.as_str(),
                whole(at.x),
                whole(at.y),
                whole(elevation),
                point.description.as_str(),
            )
        })
        .collect()
}

#[test]
fn every_layout_gives_the_same_points() {
    let expected = [
        ("101", 512_345.678, 4_512_345.111, 31.205, "EOP"),
        ("BM2", 512_390.5, 4_512_300.0, -0.75, "tree, old"),
    ];
    for text in [
        "101,4512345.111,512345.678,31.205,EOP\nBM2,4512300,512390.5,-0.75,\"tree, old\"\n",
        "101;4512345,111;512345,678;31,205;EOP\r\nBM2;4512300;512390,5;-0,75;tree, old\r\n",
        "101\t4.512.345,111\t512.345,678\t31,205\tEOP\rBM2\t4.512.300,0\t512.390,5\t-0,75\ttree, old",
        "101,\"4,512,345.111\",\"512,345.678\",31.205,EOP\nBM2,\"4,512,300.0\",\"512,390.5\",-.75,\"tree, old\"",
        "101 4512345.111 512345.678 31.205 EOP\nBM2 4512300.0 512390.5 -0.75 tree, old\n",
        "\u{feff}# from the office\n\n  \nPoint, Northing, Easting, Elev, Desc\n101 , 4512345.111 , 512345.678 , 31.205 , EOP\n// west\nBM2,4512300,512390.5,−0.75,\"tree, old\"",
        "Code;H\u{f6}he [m];Hochwert;Rechtswert;Punkt\nEOP;31,205;4512345,111;512345,678;101\ntree, old;-0,75;4512300;512390,5;BM2",
        "#P,E,N,Z,D\n101,512345.678,4512345.111,31.205,EOP\nBM2,512390.5,4512300,-0.75,\"tree, old\"",
    ] {
        let file = read(text);
        assert_eq!(file.bad_lines, [], "{text}");
        assert_eq!(points(&file), expected, "{text}");
        assert_eq!(file.origin, Point::new(512_000.0, 4_512_000.0), "{text}");
    }
}

#[test]
fn order_and_unit_are_the_users_where_no_header_tells() {
    let text = "1,100.0,200.0,10.0\n2,110.0,200.0,10.5\n3,120.0,210.0,10.6";
    let taken = read(text);
    assert!(!taken.layout.order_was_stated && !taken.layout.unit_was_stated);
    assert_eq!((taken.points[0].at.x, taken.points[0].at.y), (200.0, 100.0));

    let choice = PointFileChoice {
        order: Some(CoordinateOrder::EastingFirst),
        unit: Some(FileUnit::UsSurveyFeet),
        origin: None,
    };
    let chosen = read_point_file(text, choice);
    assert!(chosen.layout.order_was_stated && chosen.layout.unit_was_stated);
    assert_eq!(chosen.points[0].at.x, 100.0 * 1200.0 / 3937.0);
    assert_eq!(chosen.layout.unit, FileUnit::UsSurveyFeet);
}

#[test]
fn a_header_may_name_the_unit() {
    for (title, unit) in [
        ("Elev (US ft)", FileUnit::UsSurveyFeet),
        ("elev_ft", FileUnit::Feet),
        ("Z [m]", FileUnit::Metres),
    ] {
        let file = read(&format!("N,E,{title}\n1.5,2.5,3.5\n"));
        assert_eq!(
            (file.layout.unit, file.layout.unit_was_stated),
            (unit, true),
            "{title}"
        );
    }
}

/// A state's coordinates in the two kinds of feet lie more than a metre apart.
#[test]
fn feet_of_either_kind_keep_their_millimetres() {
    let text = "1,13123359.580,1968503.937,100.000,a\n2,13123359.583,1968503.940,100.003,b\n";
    for (unit, foot) in [
        (FileUnit::Feet, 0.3048),
        (FileUnit::UsSurveyFeet, 1200.0 / 3937.0),
    ] {
        let choice = PointFileChoice {
            unit: Some(unit),
            ..PointFileChoice::default()
        };
        let file = read_point_file(text, choice);
        let northing = file.origin.y + file.points[0].at.y;
        assert!((northing - 13_123_359.580 * foot).abs() < 1e-6);
        let step = file.points[1].at - file.points[0].at;
        assert!((step.y - 0.003 * foot).abs() < 1e-6 && (step.x - 0.003 * foot).abs() < 1e-6);
    }
}

/// Name, east, north and elevation of the first point.
fn first(text: &str) -> (String, f64, f64, f64) {
    let file = read(text);
    let (name, east, north, elevation, _) = points(&file)[0];
    (name.to_owned(), east, north, elevation)
}

/// Headers as programs and offices of many countries write them.
#[test]
fn headers_in_odd_words_name_the_right_columns() {
    for text in [
        "sep=;\r\nname;east;north;height\r\nA;500,5;900,25;31,2\r\n",
        "survey of the green\nTuesday\n\nPoint,Easting,Northing,Elevation\nA,500.5,900.25,31.2\n",
        "Point No,Y (Easting),X (Northing),Z\nA,500.5,900.25,31.2\n",
        "POINT_ID,POINT_X,POINT_Y,POINT_Z\nA,500.5,900.25,31.2\n",
        "N° point;X;Y;Z;Libellé\nA;500,5;900,25;31,2;arbre\n",
        "Nummer;Nord;Øst;Høyde;Kode\nA;900,25;500,5;31,2;GM\n",
        "Pkt-Nr.;Rechtswert (Y);Hochwert (X);Höhe ü. NN\nA;500,5;900,25;31,2\n",
        "Point,Grid Northing,Grid Easting,Elev.,Code,Latitude,Longitude\nA,900.25,500.5,31.2,,51,-1\n",
    ] {
        let expected = ("A".to_owned(), 500.5, 900.25, 31.2);
        assert_eq!(first(text), expected, "{text}");
    }
}

/// In many countries x points north: x and y are a choice, and stay one.
#[test]
fn x_and_y_are_east_and_north_until_the_user_says_otherwise() {
    let text = "No.;Y;X;Z\n1;3512345,678;5412345,123;112,45\n";
    let taken = read(text);
    assert!(taken.layout.has_header && !taken.layout.order_is_sure);
    assert!(!taken.layout.order_was_stated);
    let choice = PointFileChoice {
        order: Some(CoordinateOrder::EastingFirst),
        ..PointFileChoice::default()
    };
    let turned = read_point_file(text, choice);
    assert_eq!(turned.origin, Point::new(3_512_000.0, 5_412_000.0));
    // Where the header leaves no doubt the choice does not count.
    let sure = read_point_file("N;E;Z\n1,5;2,5;3\n", choice);
    assert_eq!(
        (sure.points[0].at.x, sure.layout.order_is_sure),
        (2.5, true)
    );
}

#[test]
fn elevations_may_have_a_unit_of_their_own() {
    let file = read("Point,Northing (ft),Easting (ft),Elevation (m)\n1,100.0,200.0,10.0\n");
    assert_eq!(file.points[0].elevation, Some(Elevation(10.0)));
    assert!((file.points[0].at.x - 60.96).abs() < 1e-9);
    assert_eq!(file.layout.elevation_unit, FileUnit::Metres);
}

#[test]
fn a_line_above_the_points_may_name_the_unit() {
    for text in [
        "Fair, 12 May\nUnits: US survey feet\nP,N,E,Z\n1,3937,0,3.937\n",
        "# unit ftUS\n1,3937,0,3.937\n",
        "Lower lot, all dimensions in US survey feet\nP,N,E,Z\n1,3937,0,3.937\n",
    ] {
        let file = read(text);
        assert_eq!(file.layout.unit, FileUnit::UsSurveyFeet, "{text}");
        assert!(file.layout.unit_was_stated);
        assert!((file.points[0].at.y - 1200.0).abs() < 1e-9);
    }
    assert!(
        !read("no units in the book\n1,2,3,4\n2,2,4,4\n")
            .layout
            .unit_was_stated
    );
    // What is said below the first point is a description.
    assert!(
        !read("1,2,3,4,units in feet\n2,2,4,4,x\n")
            .layout
            .unit_was_stated
    );
    let millimetres = read("pt,Easting (mm),Northing (mm),Level (mm)\n1,10500,20250,1500\n");
    let point = &millimetres.points[0];
    assert_eq!(
        (point.at.x, point.at.y, point.elevation),
        (10.5, 20.25, Some(Elevation(1.5)))
    );
}

#[test]
fn columns_that_nobody_knows_are_named() {
    let file = read("id;x;y;hloubka;popis\n1;743123,12;1043123,45;201,23;strom\n");
    assert_eq!(file.unread_columns, ["hloubka"]);
    let cautions = file.cautions();
    assert!(
        cautions[0].starts_with("No point has an elevation"),
        "{cautions:?}"
    );
    assert!(cautions[1].contains("hloubka"), "{cautions:?}");
    assert!(read("1,2,3,4\n").cautions().is_empty());
}

#[test]
fn coordinates_that_look_turned_round_are_pointed_out() {
    let cautions = |text: &str| read(text).cautions().len();
    assert_eq!(cautions("1,512345.6,4512345.6,31.2\n"), 1);
    assert_eq!(cautions("1,4512345.6,512345.6,31.2\n"), 0);
    // The header is believed.
    assert_eq!(cautions("p,north,east,z\n1,512345.6,4512345.6,31.2\n"), 0);
}

#[test]
fn degrees_are_refused_and_unknown_headers_are_named() {
    let file = read("PNT,LAT,LON,H\n1,47.1,8.5,400\n2,47.2,8.5,400\n");
    assert_eq!((file.points.len(), file.bad_lines.len()), (0, 1));
    assert!(
        file.bad_lines[0]
            .words
            .starts_with("latitude and longitude")
    );
    let file = read("Foo,Bar,Baz,Qux\n1,100.0,200.0,10.0\n2,110.0,200.0,10.0\n");
    assert_eq!(file.points.len(), 2);
    assert!(
        file.bad_lines[0]
            .words
            .starts_with("a header that does not tell")
    );
}

#[test]
fn the_titles_of_a_field_book_are_no_points() {
    let file = read("who;Backsight;foo;Foresight\n1;1,456;1,2;1,333\n2;1,456;1,2;1,333\n");
    assert_eq!((file.points.len(), file.bad_lines.len()), (0, 1));
    assert!(file.bad_lines[0].words.contains("field book"));
}

#[test]
fn tabs_part_fields_whose_numbers_have_blanks() {
    let file = read("Matricule\tX\tY\tZ\nS1\t652 341,25\t6 862 114,87\t35,412\n");
    assert_eq!(
        points(&file)[0],
        ("S1", 652_341.25, 6_862_114.87, 35.412, "")
    );
}

#[test]
fn names_with_blanks_stay_whole_in_columns() {
    let file = read(
        "Point      Northing    Easting    Elev   Description\n\
         -----      --------    -------    ----   -----------\n\
         CP 1       5000.000   2000.000  100.00   control point\n\
         101        5012.213   2003.554   99.41   edge of gravel\n",
    );
    assert_eq!(file.layout.separator, "blanks");
    assert_eq!(
        points(&file)[0],
        ("CP 1", 2000.0, 5000.0, 100.0, "control point")
    );
    assert_eq!(file.bad_lines, []);
}

#[test]
fn feet_and_inches_are_read_by_their_marks() {
    let header = "Point,East,North,Elev,Desc\n";
    let lines = "1,0,0,\"12' 3-1/2\"\"\",corner\n2,40,10,12' 1,\n";
    let file = read(&format!("{header}{lines}"));
    let heights: Vec<f64> = file
        .points
        .iter()
        .map(|it| it.elevation.unwrap().0)
        .collect();
    assert_eq!(file.bad_lines, []);
    assert!(
        (heights[0] - 147.5 * 0.0254).abs() < 1e-12 && (heights[1] - 145.0 * 0.0254).abs() < 1e-12
    );
    assert_eq!(
        (file.feet_and_inches, file.layout.unit),
        (2, FileUnit::Feet)
    );
    assert!((file.points[1].at.x - 12.192).abs() < 1e-12);
    assert!(
        file.cautions()
            .iter()
            .any(|it| it.contains("feet and inches"))
    );
    // Without a header too.
    assert_eq!(read(lines).points.len(), 2);
    // A file that says metres does not mean feet.
    let file = read(&format!("# units: metres\n{header}{lines}"));
    assert_eq!((file.points.len(), file.bad_lines.len()), (0, 2));
}

#[test]
fn units_may_stand_below_the_titles() {
    let file = read("Pt,Easting,Northing,RL\n,(m),(m),(ft AHD)\n1,402.1,1210.4,10\n");
    assert_eq!(file.layout.unit, FileUnit::Metres);
    assert!(file.layout.unit_was_stated);
    assert!((file.points[0].elevation.unwrap().0 - 3.048).abs() < 1e-12);
}

#[test]
fn places_far_off_are_reported_and_kept() {
    let file = read(
        "P,N,E,Z\n1,4512345.6,512345.6,31.2\n2,4512350.0,512346.4,31.1\n\
         P,N,E,Z\n3,512360.0,4512349.1,31.0\n4,4512341.0,512352.4,31.1\n5,4612341.0,512352.4,31.1\n",
    );
    let words: Vec<String> = (file.far_places.iter())
        .map(|far| far.in_words(LengthStyle::Metres))
        .collect();
    assert_eq!(words.len(), 2);
    assert!(
        words[0].starts_with("line 5: ") && words[0].contains("changed places"),
        "{words:?}"
    );
    assert!(
        words[1].starts_with("line 7: the point lies 9999"),
        "{words:?}"
    );
    assert_eq!((file.points.len(), file.bad_lines.len()), (5, 0));
    assert_eq!((file.origin.x, file.origin.y), (512_000.0, 4_512_000.0));
    let wide = "1,0,0,1\n2,0,1500,1\n3,1500,0,1\n4,900,900,1\n";
    assert_eq!(read(wide).far_places, []);
}

#[test]
fn quotes_group_marks_and_placeholders_are_understood() {
    let file = read(
        "1, 4'512'345.678, \"512,345.678\", 31.2, \"tree, \"\"old\"\"\"\n2,1.0,2.0,-,12\" pipe\n3,1.0,2.0,n/a,\n",
    );
    assert_eq!(file.bad_lines, []);
    assert_eq!(
        points(&file)[0],
        ("1", 512_345.678, 4_512_345.678, 31.2, "tree, \"old\"")
    );
    assert_eq!(file.points[1].description, "12\" pipe");
    assert!(file.points[1].elevation.is_none() && file.points[2].elevation.is_none());
}

#[test]
fn bad_lines_are_named_and_the_rest_is_kept() {
    let text = "1,100.0,200.0,10.0,a\n\
        2,1OO.0,200.0,10.0,letters\n\
        3,100.0\n\
        4,100.0,200.0,ten,b\n\
        5,1e5,200.0,10.0,c\n\
        6,100.0,200.0,99999,d\n\
        7,99999999999.0,200.0,10.0,e\n\
        8,105.0,200.0,10.0,\"never closed\n\
        9,106.0,200.0,,no height\n\
        10,NaN,200.0,1.0,f\n\
        11,\"1,234\",5.0,6.0\n";
    let file = read(text);
    let lines: Vec<usize> = file.bad_lines.iter().map(|bad| bad.line).collect();
    assert_eq!(lines, [2, 3, 4, 5, 6, 7, 10, 11]);
    let kept: Vec<&str> = file
        .points
        .iter()
        .map(|point| point.name.as_str())
        .collect();
    assert_eq!(kept, ["1", "8", "9"]);
    assert_eq!(file.points[2].elevation, None);
    assert_eq!(file.bad_lines[1].words, "only 2 of 4 fields");
    assert!(
        file.bad_lines[0]
            .words
            .starts_with("the northing \"1OO.0\" is no number")
    );
}

#[test]
fn commas_that_cut_numbers_in_two_are_not_guessed_at() {
    let file = read("1,100,5,200,25,10,125,tree\n2,101,5,201,25,10,130,tree\n");
    assert_eq!(file.points, []);
    assert!(
        file.bad_lines[0]
            .words
            .starts_with("decimal commas in a file")
    );
}

#[test]
fn short_heads_name_their_columns() {
    let one = read("Pto;N;E;Z;Cod\n7;20;10;5;kerb\n").points[0].clone();
    assert_eq!((one.name.as_str(), one.at.x, one.at.y), ("7", 10.0, 20.0));
    for head in [
        "Pto,E,N,Elev",
        "Pt,X,Y,Z",
        "Pnt,E,N,H",
        "No,E,N,RL",
        "PtNo,East,North,Elv",
        "Sta,X,Y,Ht",
    ] {
        let file = read(&format!("{head}\n7,10,20,5\n"));
        assert!(
            file.layout.has_header && file.bad_lines.is_empty(),
            "{head}"
        );
        let point = &file.points[0];
        let found = (point.name.as_str(), point.at.x, point.at.y);
        assert_eq!(found, ("7", 10.0, 20.0), "{head}");
        assert_eq!(point.elevation, Some(Elevation(5.0)), "{head}");
    }
}

#[test]
fn repeats_are_reported_and_kept() {
    let file = read(
        "a,10.0,20.0,5.000,x\n\
         b,10.0,20.0,5.000,the same\n\
         A,30.0,40.0,6.000,the name again\n\
         c,10.01,20.0,5.100,another height\n\
         d,10.5,20.0,5.100,a kerb\n",
    );
    assert_eq!(file.points.len(), 5);
    let words: Vec<String> = (file.repeats.iter())
        .map(|it| it.in_words(LengthStyle::Metres))
        .collect();
    assert_eq!(
        words,
        [
            "line 2: the same place and height as line 1",
            "line 3: a point of this name is in line 1 already",
            "line 4: 0.010 m from line 1, but 0.100 m higher",
        ]
    );
}

/// A slipped decimal and a point that was never levelled stand out; a pole's top, a bank and a
/// file that is all hill do not.
#[test]
fn elevations_far_off_are_reported_and_kept() {
    let good = "1,0,0,101.2\n2,0,10,101.3\n3,10,0,101.1\n4,10,10,101.4\n5,20,5,101.2\n";
    let file = read(&format!("{good}6,20,9,1013.34\n7,5,5,0\n8,6,6,108.0\n"));
    assert_eq!(file.points.len(), 8);
    let words: Vec<String> = (file.strays.iter())
        .map(|it| it.in_words(LengthStyle::Metres))
        .collect();
    assert_eq!(
        words,
        [
            "line 6: the elevation 1013.340 m is 912.040 m above the middle of all; has a decimal \
             slipped?",
            "line 7: the elevation 0.000 m is 101.300 m below the middle of all; has a decimal \
             slipped?",
        ]
    );
    let in_feet = file.strays[1].in_words(LengthStyle::DecimalFeet);
    assert!(in_feet.contains("is 332.35 ft below"), "{in_feet}");
    assert_eq!(read(good).strays, []);
    let hill: String = (0..50).map(|i| format!("{i},{i},0,{}\n", 7 * i)).collect();
    assert_eq!(read(&hill).strays, []);
    assert_eq!(read("1,0,0,1\n2,0,9,100\n").strays, []);
}

#[test]
fn descriptions_are_suggestions() {
    let file = read(
        "1,0.0,0.0,1.0,TBM on step\n2,1.0,0.0,1.0,EOP\n3,2.0,0.0,1.1,EOP\n4,3.0,0.0,1.2,EOP\n\
         5,4.0,0.0,1.2,kerb top\n6,5.0,0.0,1.2,Tree 0.4\n7,6.0,0.0,1.2,polecat\n8,7.0,0.0,1.2,pole 7\n",
    );
    let words: Vec<(usize, &str)> = (file.suggestions().iter())
        .map(|it| (it.point + 1, it.feature.word()))
        .collect();
    let edge = "edge";
    assert_eq!(
        words,
        [
            (1, "benchmark"),
            (2, edge),
            (3, edge),
            (4, edge),
            (5, "kerb"),
            (6, "tree"),
            (8, "pole")
        ]
    );
    let lines = file.suggested_breaklines();
    assert_eq!(lines.len(), 1);
    assert_eq!(lines[0].points.len(), 3);
    assert_eq!(file.spot_levels().count(), 8);

    let trees = file.suggested_trees(TreeSize::NOT_MEASURED);
    assert_eq!(trees[0].name, "6 Tree 0.4, size not measured");
    assert_eq!((trees.len(), trees[0].at), (1, file.points[5].at));
    // Branches down to the ground until somebody has looked.
    assert_eq!(trees[0].canopy_underside, 0.0);
    let measured = TreeSize {
        canopy: 3.0,
        ..TreeSize::NOT_MEASURED
    };
    assert_eq!(file.suggested_trees(measured)[0].name, "6 Tree 0.4");
    let poles = file.suggested_poles(PoleSize::NOT_MEASURED);
    let centre = poles[0]
        .outline
        .iter()
        .map(|at| at.coords)
        .sum::<crate::Step>()
        / 4.0;
    assert!((poles.len(), centre) == (1, file.points[7].at.coords));
    assert_eq!(file.suggested_line(6.0), None);
    let two = read("1,0.0,0.0,1.0,pole\n2,30.0,0.0,1.0,pole\n");
    let line = two.suggested_line(6.0).unwrap();
    // Neither sag nor volts are known.
    assert_eq!((line.points.len(), line.sag, line.volts), (2, None, None));
}

proptest! {
    #[test]
    fn no_text_panics(text in any::<String>()) {
        let _ = read(&text);
    }

    /// Any bytes, and a good file with some of its bytes overwritten, taken out or put in: every
    /// line that is told of is one that the text has, and no number is less than finite.
    #[test]
    fn spoilt_files_are_located(
        any_bytes in prop::collection::vec(any::<u8>(), 0..200),
        slips in prop::collection::vec((any::<prop::sample::Index>(), 0..3u8, any::<u8>()), 1..12)
    ) {
        let good = "\u{feff}Punkt;Hochwert;Rechtswert;Höhe;Was\r\n# nass\r\n\r\n\
            1;5712345,123;3512345,456;101,234;\"Rand; Weg\"\r\n2;5712355,1;3512345,4;101,3;Baum\r\n\
            3;5712355,1;3512365,4;101,5;Mast\r\n3;5712355,1;3512365,4;101,7;Mast\r\n";
        let mut spoilt = good.as_bytes().to_vec();
        for (at, how, byte) in slips {
            let at = at.index(spoilt.len());
            match how {
                0 => spoilt[at] = byte,
                1 => spoilt.insert(at, byte),
                _ => { spoilt.remove(at); }
            }
        }
        for bytes in [any_bytes, spoilt] {
            let (text, _) = decode(&bytes);
            let lines = text.replace("\r\n", "\n").replace('\r', "\n").split('\n').count();
            let file = read(&text);
            for bad in &file.bad_lines {
                prop_assert!((1..=lines).contains(&bad.line) && !bad.words.is_empty(), "{bad:?}");
            }
            for point in &file.points {
                prop_assert!((1..=lines).contains(&point.line));
                prop_assert!(point.at.x.is_finite() && point.at.y.is_finite());
                prop_assert!(point.elevation.is_none_or(|it| it.0.is_finite()));
            }
            let _ = (file.suggestions(), file.suggested_breaklines());
        }
    }

    /// Texts made of what point files are made of get further; every line is a point, is named
    /// as bad, or says nothing.
    #[test]
    fn no_line_is_lost(lines in prop::collection::vec("[-0-9.,;\t \"ENZabc#]{0,24}", 0..20)) {
        let text = lines.join("\n");
        let file = read(&text);
        let mut told: Vec<usize> = file.points.iter().map(|point| point.line).collect();
        told.extend(file.bad_lines.iter().map(|bad| bad.line));
        told.sort_unstable();
        for (number, line) in (1..).zip(&lines) {
            let is_rule = line.chars().all(|c| c == '-' || c.is_whitespace());
            let says_nothing = is_rule || line.trim_start().starts_with('#');
            let is_header = file.layout.has_header && !told.contains(&number);
            prop_assert!(says_nothing || is_header || told.contains(&number), "{line:?}");
        }
        for point in &file.points {
            prop_assert!(point.at.x.is_finite() && point.at.y.is_finite());
        }
        let _ = (file.suggestions(), file.suggested_breaklines());
    }

    /// What is written comes back to a tenth of a millimetre, whatever the layout.
    #[test]
    fn points_come_back(
        written in prop::collection::vec((-9_000_000_000..9_000_000_000_i64, -9_000_000_000..9_000_000_000_i64, -400_000..8_000_000_i64), 1..20),
        separator in prop::sample::select(vec![",", ";", "\t", " "]),
        comma in any::<bool>(),
    ) {
        let comma = comma && separator != ",";
        let number = |thousandths: i64| {
            let sign = if thousandths < 0 { "-" } else { "" };
            let text = format!("{sign}{}.{:03}", thousandths.abs() / 1000, thousandths.abs() % 1000);
            if comma { text.replace('.', ",") } else { text }
        };
        let lines: Vec<String> = (written.iter().zip(1..))
            .map(|((n, e, z), name)| [format!("p{name}"), number(*n), number(*e), number(*z)].join(separator))
            .collect();
        let file = read(&lines.join("\r\n"));
        prop_assert_eq!(&file.bad_lines, &[]);
        for ((n, e, z), point) in written.iter().zip(&file.points) {
            let at = point.at + file.origin.coords;
            prop_assert!((at.y - *n as f64 / 1e3).abs() < 1e-4 && (at.x - *e as f64 / 1e3).abs() < 1e-4);
            prop_assert!((point.elevation.unwrap().0 - *z as f64 / 1e3).abs() < 1e-4);
        }
    }
}
