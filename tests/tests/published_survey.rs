//! Level runs, nets and least-squares problems against published values, each with its source
//! beside it. *Read* means that the figure was read in the named publication or a copy of it;
//! *memory* that it was recalled, and then found to agree with itself: the published answer is
//! what the published readings give.

use nalgebra::{DMatrix, DVector};
use tober::Point;
use tober::ground::Elevation;
use tober::survey::{
    Adjustment, Allowance, BookRow, FieldBook, Reduction, Rise, Standing, fit_plane, least_squares,
    read_field_book,
};
use tober::units::LengthStyle;

const FOOT: f64 = 0.3048;

/// A field book, a row of text for each point: name, backsight, intermediate sight, foresight,
/// known elevation; a dash for an empty field.
fn book(units: LengthStyle, rows: &[[&str; 5]]) -> FieldBook {
    let field = |text: &str| text.replace('-', "");
    let rows = rows
        .iter()
        .map(|[point, back, between, fore, known]| BookRow {
            point: (*point).to_owned(),
            backsight: field(back),
            intermediate: field(between),
            foresight: field(fore),
            known: field(known),
            ..BookRow::default()
        });
    FieldBook::new("published", units, rows.collect())
}

/// Elevations by the height of instrument, row by row.
fn elevations(reduced: &Reduction, unit: f64) -> Vec<f64> {
    (reduced.rows.iter())
        .map(|row| row.elevation.expect("every row is reduced").0 / unit)
        .collect()
}

#[track_caller]
fn assert_near(found: f64, published: f64, within: f64) {
    assert!(
        (found - published).abs() <= within,
        "{found}, not {published}"
    );
}

#[track_caller]
fn assert_all_near(found: &[f64], published: &[f64], within: f64) {
    assert_eq!(found.len(), published.len());
    for (found, published) in found.iter().zip(published) {
        assert_near(*found, *published, within);
    }
}

/// Rounding of doubles, and nothing else.
const EXACT: f64 = 1e-9;

/// FE exam study guide, *Differential Leveling, Height of Instrument, and Closure*
/// (open-exam-prep); read.
#[test]
fn a_run_over_two_turning_points() {
    let book = book(
        LengthStyle::DecimalFeet,
        &[
            ["BM1", "4.20", "-", "-", "100.00"],
            ["TP1", "5.15", "-", "2.50", "-"],
            ["TP2", "3.05", "-", "3.50", "-"],
            ["BM2", "-", "-", "4.10", "102.30"],
        ],
    );
    let reduced = book.reduce();
    let published = [100.00, 101.70, 103.35, 102.30];
    assert_all_near(&elevations(&reduced, FOOT), &published, EXACT);
    let instruments: Vec<f64> = (reduced.rows.iter().filter_map(|row| row.instrument))
        .map(|instrument| instrument.0 / FOOT)
        .collect();
    assert_all_near(&instruments, &[104.20, 106.85, 106.40], EXACT);
    assert_near(reduced.sums.backsights / FOOT, 12.40, EXACT);
    assert_near(reduced.sums.foresights / FOOT, 10.10, EXACT);
    assert_near(reduced.sums.arithmetic_check(), 0.0, EXACT);
    assert_near(reduced.closures[0].misclosure, 0.0, EXACT);
    assert_eq!(reduced.standing(), Standing::Closes);
}

/// Ghilani & Wolf, *Elementary Surveying*, differential levelling figure; read in a copy.
#[test]
fn a_run_of_one_setup() {
    let book = book(
        LengthStyle::DecimalFeet,
        &[
            ["BM", "8.42", "-", "-", "820.00"],
            ["TP", "-", "-", "1.20", "-"],
        ],
    );
    let reduced = book.reduce();
    assert_near(reduced.rows[0].instrument.unwrap().0 / FOOT, 828.42, EXACT);
    assert_all_near(&elevations(&reduced, FOOT), &[820.00, 827.22], EXACT);
    assert_eq!(reduced.standing(), Standing::NotChecked);
}

/// Ghilani & Wolf, *Elementary Surveying*, ch. 5, the page of differential levelling notes of a
/// loop from BM Mil over BM Oak and back; memory. The published page closes with +0.03 ft, and
/// adjusts BM Oak from 2019.44 to 2019.42 ft.
#[test]
fn a_loop_with_adjustment() {
    let book = book(
        LengthStyle::DecimalFeet,
        &[
            ["BM Mil", "1.33", "-", "-", "2053.18"],
            ["TP1", "0.22", "-", "8.37", "-"],
            ["TP2", "0.96", "-", "7.91", "-"],
            ["TP3", "0.46", "-", "11.72", "-"],
            ["BM Oak", "11.95", "-", "8.71", "-"],
            ["TP4", "12.55", "-", "2.61", "-"],
            ["TP5", "12.77", "-", "0.68", "-"],
            ["BM Mil", "-", "-", "0.21", "-"],
        ],
    );
    let reduced = book.reduce();
    let published = [
        2053.18, 2046.14, 2038.45, 2027.69, 2019.44, 2028.78, 2040.65, 2053.21,
    ];
    assert_all_near(&elevations(&reduced, FOOT), &published, 1e-6);
    assert_near(reduced.sums.backsights / FOOT, 40.24, EXACT);
    assert_near(reduced.sums.foresights / FOOT, 40.21, EXACT);
    assert_near(reduced.closures[0].misclosure / FOOT, 0.03, 1e-6);
    assert_eq!(reduced.closures[0].setups, 7);
    // A seventh of 0.03 ft for each setup.
    for (setup, row) in reduced.rows[..7].iter().enumerate() {
        let by_hand = published[setup] - 0.03 / 7.0 * setup as f64;
        assert_near(row.adjusted.unwrap().0 / FOOT, by_hand, 1e-6);
    }
    assert_near(reduced.rows[4].adjusted.unwrap().0 / FOOT, 2019.42, 0.005);
}

/// B. C. Punmia, *Surveying* vol. I, levelling: a 4 m staff on ground that falls all the way, one
/// reading every 30 m; memory.
#[test]
fn a_falling_line_with_intermediate_sights() {
    let book = book(
        LengthStyle::Metres,
        &[
            ["A", "0.855", "-", "-", "380.500"],
            ["30", "-", "1.545", "-", "-"],
            ["60", "-", "2.335", "-", "-"],
            ["90", "-", "3.115", "-", "-"],
            ["120", "0.455", "-", "3.825", "-"],
            ["150", "-", "1.380", "-", "-"],
            ["180", "-", "2.055", "-", "-"],
            ["210", "-", "2.855", "-", "-"],
            ["240", "0.585", "-", "3.455", "-"],
            ["270", "-", "1.015", "-", "-"],
            ["300", "-", "1.850", "-", "-"],
            ["330", "-", "2.755", "-", "-"],
            ["B", "-", "-", "3.845", "-"],
        ],
    );
    let reduced = book.reduce();
    let published = [
        380.500, 379.810, 379.020, 378.240, 377.530, 376.605, 375.930, 375.130, 374.530, 374.100,
        373.265, 372.360, 371.270,
    ];
    assert_all_near(&elevations(&reduced, 1.0), &published, EXACT);
    assert_near(reduced.sums.backsights, 1.895, EXACT);
    assert_near(reduced.sums.foresights, 11.125, EXACT);
    assert_near(reduced.sums.arithmetic_check(), 0.0, EXACT);
}

/// A published page as it is printed, computed columns and all: its readings give the elevations
/// that it prints.
#[track_caller]
fn page(text: &str) -> Reduction {
    let read = read_field_book(text, Some(LengthStyle::Metres)).expect("a field book");
    assert_eq!(read.bad_lines, []);
    assert_eq!(read.unread_columns, [""; 0]);
    let printed = read.carried.iter().filter(|text| !text.is_empty()).count();
    assert_eq!(printed + 1, read.book.rows.len(), "the first one is given");
    let reduced = read.book.reduce();
    assert_eq!(read.wrong_elevations(&reduced), []);
    assert_near(reduced.sums.arithmetic_check(), 0.0, EXACT);
    reduced
}

/// Uren & Price, *Surveying for Engineers*, levelling by rise and fall between a bench mark of
/// 49.873 m and one of 48.710 m: it closes 6 mm low, is allowed 5 mm × √3, and each change point
/// takes 2 mm of it; memory.
#[test]
fn a_page_of_rise_and_fall() {
    let text = "BS,IS,FS,Rise,Fall,Initial RL,Remarks\n\
                2.191,,,,,49.873,TBM 49.873\n\
                ,2.505,,,0.314,49.559,A\n\
                ,2.325,,0.180,,49.739,B\n\
                3.019,,1.496,0.829,,50.568,C (CP)\n\
                ,2.513,,0.506,,51.074,D\n\
                1.752,,2.811,,0.298,50.776,E (CP)\n\
                ,,3.824,,2.072,48.704,TBM 48.710\n";
    let reduced = page(text);
    assert_near(reduced.sums.backsights, 6.962, EXACT);
    assert_near(reduced.sums.foresights, 8.131, EXACT);
    // The known elevation of the last one stands in its remark.
    let mut book = read_field_book(text, Some(LengthStyle::Metres))
        .unwrap()
        .book;
    book.rows[6].known = "48.710".to_owned();
    let reduced = book.reduce();
    assert_near(reduced.closures[0].misclosure, -0.006, EXACT);
    assert_near(reduced.closures[0].allowed.unwrap(), 0.0087, 5e-5);
    assert_eq!(reduced.standing(), Standing::Closes);
    let adjusted: Vec<f64> = (reduced.rows.iter())
        .filter_map(|row| Some(row.adjusted?.0))
        .collect();
    // Published adjustments: 2, 4 and 6 mm, a sight in between that of its setup's change point.
    let turning = [adjusted[0], adjusted[3], adjusted[5], adjusted[6]];
    assert_all_near(&turning, &[49.873, 50.570, 50.780, 48.710], 1e-6);
}

/// B. C. Punmia, *Surveying* vol. I, levelling: ten readings, the instrument moved after the third,
/// sixth and eighth, from a bench mark of 432.384 m; memory.
#[test]
fn a_page_of_the_height_of_instrument() {
    let reduced = page(
        "Station\tB.S.\tI.S.\tF.S.\tH.I.\tR.L.\tRemarks\n\
         1\t2.228\t\t\t434.612\t432.384\tB.M.\n\
         2\t\t1.606\t\t\t433.006\t\n\
         3\t2.090\t\t0.988\t435.714\t433.624\tC.P.\n\
         4\t\t2.864\t\t\t432.850\t\n\
         5\t0.602\t\t1.262\t435.054\t434.452\tC.P.\n\
         6\t1.044\t\t1.982\t434.116\t433.072\tC.P.\n\
         7\t\t\t2.684\t\t431.432\t\n",
    );
    assert_near(reduced.sums.backsights, 5.964, EXACT);
    assert_near(reduced.sums.foresights, 6.916, EXACT);
    let instruments: Vec<f64> = (reduced.rows.iter())
        .filter_map(|row| Some(row.instrument?.0))
        .collect();
    assert_all_near(&instruments, &[434.612, 435.714, 435.054, 434.116], EXACT);
}

/// N. N. Basak, *Surveying and Levelling*: readings every 15 m along a chain line from chainage
/// 165 m at 98.085 m, the instrument moved after the fourth and the ninth; memory.
#[test]
fn a_page_of_chainages() {
    let reduced = page(
        "Chainage;BS;IS;FS;Rise;Fall;RL;Remarks\n\
         165;3.150;;;;;98.085;\n\
         180;;2.245;;0.905;;98.990;\n\
         195;;1.125;;1.120;;100.110;\n\
         210;3.125;;0.860;0.265;;100.375;Change point\n\
         225;;2.760;;0.365;;100.740;\n\
         240;;1.835;;0.925;;101.665;\n\
         255;;1.470;;0.365;;102.030;\n\
         270;1.225;;1.965;;0.495;101.535;Change point\n\
         285;;2.390;;;1.165;100.370;\n\
         300;;;3.035;;0.645;99.725;\n",
    );
    assert_near(reduced.sums.backsights, 7.500, EXACT);
    assert_near(reduced.sums.foresights, 5.860, EXACT);
    assert_near(reduced.rows[9].elevation.unwrap().0, 99.725, EXACT);
}

/// Ghilani & Wolf, *Adjustment Computations*, level nets: BM X 100.00 ft and BM Y 107.50 ft, three
/// new points, seven lines. Unweighted A 105.141, B 104.483, C 106.188; weighted by 12 / miles
/// A 105.150, B 104.489, C 106.197 with a standard deviation of unit weight of 0.107; memory.
#[test]
fn a_net_of_seven_lines() {
    let [x, y, a, b, c] = [0, 1, 2, 3, 4];
    let known = [(x, Elevation(100.00)), (y, Elevation(107.50))];
    let lines = [
        (x, a, 5.10, 4.0),
        (a, y, 2.34, 3.0),
        (y, c, -1.25, 2.0),
        (c, x, -6.13, 3.0),
        (a, b, -0.68, 2.0),
        (y, b, -3.00, 2.0),
        (b, c, 1.70, 2.0),
    ];
    let adjusted = |sd: fn(f64) -> f64| {
        let rises = lines.map(|(from, to, rise, miles)| Rise {
            from,
            to,
            rise,
            sd: sd(miles),
        });
        Adjustment::new(5, &known, &rises)
    };
    let heights = |net: &Adjustment| [a, b, c].map(|point| net.heights[point].unwrap().elevation.0);

    let unweighted = adjusted(|_| 1.0);
    assert_all_near(&heights(&unweighted), &[105.141, 104.483, 106.188], 0.0005);
    assert_eq!(unweighted.redundancy, 4);

    let weighted = adjusted(|miles| (miles / 12.0).sqrt());
    assert_all_near(&heights(&weighted), &[105.150, 104.489, 106.197], 0.0005);
    assert_near(weighted.reference_sd.unwrap(), 0.107, 0.0005);
}

/// Ghilani & Wolf, *Adjustment Computations*, a level net of six lines with their standard
/// deviations, A held at 437.596 m: B 448.1087, C 453.4685, D 444.9436 with standard deviations of
/// 2.3, 2.6 and 1.8 mm; memory.
#[test]
fn a_net_of_six_lines_with_standard_deviations() {
    let [a, b, c, d] = [0, 1, 2, 3];
    let rises = [
        (a, b, 10.509, 0.006),
        (b, c, 5.360, 0.004),
        (c, d, -8.523, 0.005),
        (d, a, -7.348, 0.003),
        (b, d, -3.167, 0.004),
        (a, c, 15.881, 0.012),
    ]
    .map(|(from, to, rise, sd)| Rise { from, to, rise, sd });
    let net = Adjustment::new(4, &[(a, Elevation(437.596))], &rises);
    let unit = net.reference_sd.unwrap();
    for (point, elevation, sd) in [
        (b, 448.1087, 0.0023),
        (c, 453.4685, 0.0026),
        (d, 444.9436, 0.0018),
    ] {
        let height = net.heights[point].unwrap();
        assert_near(height.elevation.0, elevation, 0.00005);
        assert_near(unit * height.standard_error, sd, 0.00005);
    }
    assert_eq!(net.redundancy, 3);
}

/// FGCS, *Specifications and Procedures … Leveling Systems*: third order 12 mm × √K, K in
/// kilometres one way; memory. Uren & Price, *Surveying for Engineers*: 5 mm × √n on a
/// construction site, n setups; memory.
#[test]
fn allowances() {
    assert_near(
        Allowance::THIRD_ORDER.over(9, Some(1_000.0)).unwrap(),
        0.012,
        1e-15,
    );
    assert_near(
        Allowance::THIRD_ORDER.over(9, Some(250.0)).unwrap(),
        0.006,
        1e-15,
    );
    assert_near(Allowance::CONSTRUCTION.over(4, None).unwrap(), 0.010, 1e-15);
}

/// NIST Statistical Reference Datasets, linear regression, which the solver beneath every
/// adjustment must return. The certified values were reproduced from the data in exact rational
/// arithmetic, standard errors included.
mod nist {
    use super::*;

    /// Decimal digits that a double holds.
    const HELD: f64 = 15.95;

    struct Certified<'a> {
        name: &'a str,
        coefficients: &'a [f64],
        standard_errors: &'a [f64],
        residual_sd: f64,
    }

    /// Digits in which a number agrees with its reference; absolute where that is 0.
    fn digits(found: f64, reference: f64) -> f64 {
        let off = (found - reference).abs()
            / if reference == 0.0 {
                1.0
            } else {
                reference.abs()
            };
        -off.max(1e-17).log10()
    }

    fn worst(found: &DVector<f64>, certified: &[f64]) -> f64 {
        assert_eq!(found.len(), certified.len());
        (found.iter().zip(certified))
            .map(|(found, reference)| digits(*found, *reference))
            .fold(f64::INFINITY, f64::min)
    }

    /// Digits of the coefficients and of their standard errors; both must keep so many.
    fn check(design: &DMatrix<f64>, observed: &[f64], certified: &Certified<'_>, keep: f64) {
        let fit = least_squares(design, &DVector::from_column_slice(observed)).unwrap();
        let spread = fit.spread.unwrap();
        let coefficients = worst(&fit.coefficients, certified.coefficients);
        let errors = worst(&spread.standard_errors, certified.standard_errors);
        let sd = digits(spread.residual_sd, certified.residual_sd);
        println!(
            "{:<9} coefficients keep {coefficients:4.1} digits and lose {:4.1}; standard errors \
             keep {errors:4.1}, residual sd {sd:4.1}",
            certified.name,
            (HELD - coefficients).max(0.0)
        );
        assert!(
            coefficients > keep,
            "{}: {coefficients} digits",
            certified.name
        );
        assert!(errors > keep, "{}: {errors} digits", certified.name);
        assert!(sd > keep, "{}: {sd} digits", certified.name);
    }

    fn powers(x: &[f64], degree: usize) -> DMatrix<f64> {
        DMatrix::from_fn(x.len(), degree + 1, |row, power| x[row].powi(power as i32))
    }

    /// *Pontius*, a load cell's deflection against load; the loads run twice from 150,000 in steps
    /// of 150,000. Read.
    fn load(i: usize) -> f64 {
        150_000.0 * (i % 20 + 1) as f64
    }

    const DEFLECTIONS: [f64; 40] = [
        0.11019, 0.21956, 0.32949, 0.43899, 0.54803, 0.65694, 0.76562, 0.87487, 0.98292, 1.09146,
        1.20001, 1.30822, 1.41599, 1.52399, 1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844,
        0.11052, 0.22018, 0.32939, 0.43886, 0.54798, 0.65739, 0.76596, 0.87474, 0.98300, 1.09150,
        1.20004, 1.30818, 1.41613, 1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177, 2.16829,
    ];

    const PONTIUS: Certified<'_> = Certified {
        name: "Pontius",
        coefficients: &[
            6.735_657_894_736_84E-04,
            7.320_591_604_010_03E-07,
            -3.160_818_713_450_29E-15,
        ],
        standard_errors: &[
            1.079_386_120_330_77E-04,
            1.578_173_999_816_59E-10,
            4.866_528_499_920_36E-17,
        ],
        residual_sd: 2.051_774_240_761_85E-04,
    };

    #[test]
    fn pontius() {
        let loads: Vec<f64> = (0..40).map(load).collect();
        check(&powers(&loads, 2), &DEFLECTIONS, &PONTIUS, 11.0);
    }

    /// The plane through (x, x², y) is the same problem by another door.
    #[test]
    fn pontius_as_a_plane() {
        let heights: Vec<(Point, Elevation)> = (DEFLECTIONS.iter().enumerate())
            .map(|(i, deflection)| {
                let load = load(i);
                (Point::new(load, load * load), Elevation(*deflection))
            })
            .collect();
        let plane = fit_plane(&heights).unwrap();
        let spread = plane.spread.unwrap();
        let at_origin = plane.height(Point::origin()).0;
        for (found, certified) in [
            (at_origin, PONTIUS.coefficients[0]),
            (plane.slope_x, PONTIUS.coefficients[1]),
            (plane.slope_y, PONTIUS.coefficients[2]),
            (spread.slope_x, PONTIUS.standard_errors[1]),
            (spread.slope_y, PONTIUS.standard_errors[2]),
            (spread.residual_sd, PONTIUS.residual_sd),
        ] {
            let agree = digits(found, certified);
            assert!(agree > 11.0, "{found}: {agree} digits");
        }
    }

    /// *Longley*, seven coefficients that all but depend on one another. Data from the
    /// `statsmodels` package; certified values from memory.
    #[test]
    fn longley() {
        const ROWS: [[f64; 7]; 16] = [
            [60323.0, 83.0, 234289.0, 2356.0, 1590.0, 107608.0, 1947.0],
            [61122.0, 88.5, 259426.0, 2325.0, 1456.0, 108632.0, 1948.0],
            [60171.0, 88.2, 258054.0, 3682.0, 1616.0, 109773.0, 1949.0],
            [61187.0, 89.5, 284599.0, 3351.0, 1650.0, 110929.0, 1950.0],
            [63221.0, 96.2, 328975.0, 2099.0, 3099.0, 112075.0, 1951.0],
            [63639.0, 98.1, 346999.0, 1932.0, 3594.0, 113270.0, 1952.0],
            [64989.0, 99.0, 365385.0, 1870.0, 3547.0, 115094.0, 1953.0],
            [63761.0, 100.0, 363112.0, 3578.0, 3350.0, 116219.0, 1954.0],
            [66019.0, 101.2, 397469.0, 2904.0, 3048.0, 117388.0, 1955.0],
            [67857.0, 104.6, 419180.0, 2822.0, 2857.0, 118734.0, 1956.0],
            [68169.0, 108.4, 442769.0, 2936.0, 2798.0, 120445.0, 1957.0],
            [66513.0, 110.8, 444546.0, 4681.0, 2637.0, 121950.0, 1958.0],
            [68655.0, 112.6, 482704.0, 3813.0, 2552.0, 123366.0, 1959.0],
            [69564.0, 114.2, 502601.0, 3931.0, 2514.0, 125368.0, 1960.0],
            [69331.0, 115.7, 518173.0, 4806.0, 2572.0, 127852.0, 1961.0],
            [70551.0, 116.9, 554894.0, 4007.0, 2827.0, 130081.0, 1962.0],
        ];
        let design = DMatrix::from_fn(16, 7, |row, column| match column {
            0 => 1.0,
            column => ROWS[row][column],
        });
        let certified = Certified {
            name: "Longley",
            coefficients: &[
                -3_482_258.634_595_82,
                15.061_872_271_373_3,
                -0.035_819_179_292_591_0,
                -2.020_229_803_816_83,
                -1.033_226_867_173_59,
                -0.051_104_105_653_580_7,
                1_829.151_464_613_55,
            ],
            standard_errors: &[
                890_420.383_607_373,
                84.914_925_774_766_9,
                0.033_491_007_772_243_2,
                0.488_399_681_651_699,
                0.214_274_163_161_675,
                0.226_073_200_069_370,
                455.478_499_142_212,
            ],
            residual_sd: 304.854_073_561_965,
        };
        check(&design, &ROWS.map(|row| row[0]), &certified, 10.0);
    }

    /// *Filip*, a polynomial of the tenth degree at 82 places, the hardest of all: its columns so
    /// nearly depend on one another that many a solver gives it up. Data and certified values
    /// from memory.
    #[test]
    fn filip() {
        const PLACES: [(f64, f64); 82] = [
            (-6.860120914, 0.8116),
            (-4.324130045, 0.9072),
            (-4.358625055, 0.9052),
            (-4.358426747, 0.9039),
            (-6.955852379, 0.8053),
            (-6.661145254, 0.8377),
            (-6.355462942, 0.8667),
            (-6.118102026, 0.8809),
            (-7.115148017, 0.7975),
            (-6.815308569, 0.8162),
            (-6.519993057, 0.8515),
            (-6.204119983, 0.8766),
            (-5.853871964, 0.8885),
            (-6.109523091, 0.8859),
            (-5.79832982, 0.8959),
            (-5.482672118, 0.8913),
            (-5.171791386, 0.8959),
            (-4.851705903, 0.8971),
            (-4.517126416, 0.9021),
            (-4.143573228, 0.909),
            (-3.709075441, 0.9139),
            (-3.499489089, 0.9199),
            (-6.300769497, 0.8692),
            (-5.953504836, 0.8872),
            (-5.642065153, 0.89),
            (-5.031376979, 0.891),
            (-4.680685696, 0.8977),
            (-4.329846955, 0.9035),
            (-3.928486195, 0.9078),
            (-8.56735134, 0.7675),
            (-8.363211311, 0.7705),
            (-8.107682739, 0.7713),
            (-7.823908741, 0.7736),
            (-7.522878745, 0.7775),
            (-7.218819279, 0.7841),
            (-6.920818754, 0.7971),
            (-6.628932138, 0.8329),
            (-6.323946875, 0.8641),
            (-5.991399828, 0.8804),
            (-8.781464495, 0.7668),
            (-8.663140179, 0.7633),
            (-8.473531488, 0.7678),
            (-8.247337057, 0.7697),
            (-7.971428747, 0.77),
            (-7.676129393, 0.7749),
            (-7.352812702, 0.7796),
            (-7.072065318, 0.7897),
            (-6.774174009, 0.8131),
            (-6.478861916, 0.8498),
            (-6.159517513, 0.8741),
            (-6.835647144, 0.8061),
            (-6.53165267, 0.846),
            (-6.224098421, 0.8751),
            (-5.910094889, 0.8856),
            (-5.598599459, 0.8919),
            (-5.290645224, 0.8934),
            (-4.974284616, 0.894),
            (-4.64454848, 0.8957),
            (-4.290560426, 0.9047),
            (-3.885055584, 0.9129),
            (-3.408378962, 0.9209),
            (-3.13200249, 0.9219),
            (-8.726767166, 0.7739),
            (-8.66695597, 0.7681),
            (-8.511026475, 0.7665),
            (-8.165388579, 0.7703),
            (-7.886056648, 0.7702),
            (-7.588043762, 0.7761),
            (-7.283412422, 0.7809),
            (-6.995678626, 0.7961),
            (-6.691862621, 0.8253),
            (-6.392544977, 0.8602),
            (-6.067374056, 0.8809),
            (-6.684029655, 0.8301),
            (-6.378719832, 0.8664),
            (-6.065855188, 0.8834),
            (-5.752272167, 0.8898),
            (-5.132414673, 0.8964),
            (-4.811352704, 0.8963),
            (-4.098269308, 0.9074),
            (-3.66174277, 0.9119),
            (-3.2644011, 0.9228),
        ];
        let x = PLACES.map(|(x, _)| x);
        let certified = Certified {
            name: "Filip",
            coefficients: &[
                -1_467.489_614_229_80,
                -2_772.179_591_933_42,
                -2_316.371_081_608_93,
                -1_127.973_940_983_72,
                -354.478_233_703_349,
                -75.124_201_739_375_7,
                -10.875_318_035_534_3,
                -1.062_214_985_889_47,
                -0.067_019_115_459_340_8,
                -2.467_810_782_754_79E-03,
                -4.029_625_250_804_04E-05,
            ],
            standard_errors: &[
                298.084_530_995_537,
                559.779_865_474_950,
                466.477_572_127_796,
                227.204_274_477_751,
                71.647_866_087_592_7,
                15.289_717_874_740_0,
                2.236_911_598_160_33,
                0.221_624_321_934_227,
                0.014_236_376_315_472_4,
                5.356_174_088_898_21E-04,
                8.966_328_373_738_68E-06,
            ],
            residual_sd: 3.348_010_513_245_44E-03,
        };
        check(&powers(&x, 10), &PLACES.map(|(_, y)| y), &certified, 6.5);
    }

    /// *Wampler* 1 to 5, a polynomial of the fifth degree at 0 to 20: 1 and 2 exact, 3 to 5 with
    /// ever more noise, which is square to the polynomial. Data and certified values from memory.
    #[test]
    fn wampler() {
        const NOISE: [f64; 21] = [
            759.0, -2048.0, 2048.0, -2048.0, 2523.0, -2048.0, 2048.0, -2048.0, 1838.0, -2048.0,
            2048.0, -2048.0, 1838.0, -2048.0, 2048.0, -2048.0, 2523.0, -2048.0, 2048.0, -2048.0,
            759.0,
        ];
        let x: Vec<f64> = (0..21).map(f64::from).collect();
        let design = powers(&x, 5);
        let ones = DVector::from_element(6, 1.0);
        let certified_errors = [
            2_152.326_246_781_70,
            2_363.551_734_696_81,
            779.343_524_331_583,
            101.475_507_550_350,
            5.645_665_121_707_52,
            0.112_324_854_679_312,
        ];
        for (name, times, keep) in [
            ("Wampler3", 1.0, 8.5),
            ("Wampler4", 1e2, 7.5),
            ("Wampler5", 1e4, 5.5),
        ] {
            let exact = &design * &ones;
            let observed: Vec<f64> = (exact.iter().zip(NOISE))
                .map(|(exact, noise)| exact + times * noise)
                .collect();
            let certified = Certified {
                name,
                coefficients: ones.as_slice(),
                standard_errors: &certified_errors.map(|error| error * times),
                residual_sd: 2_360.145_023_792_68 * times,
            };
            check(&design, &observed, &certified, keep);
        }

        let tenths: Vec<f64> = (0..6).map(|power| 0.1_f64.powi(power)).collect();
        for (name, certified) in [("Wampler1", ones.as_slice()), ("Wampler2", &tenths)] {
            // Written with as few digits as in the publication.
            let observed =
                (&design * DVector::from_column_slice(certified)).map(|y| (y * 1e5).round() / 1e5);
            let fit = least_squares(&design, &observed).unwrap();
            let kept = worst(&fit.coefficients, certified);
            println!(
                "{name:<9} coefficients keep {kept:4.1} digits and lose {:4.1}",
                HELD - kept
            );
            assert!(kept > 8.5, "{name}: {kept} digits");
            assert!(fit.spread.unwrap().residual_sd < 1e-7, "{name} is exact");
        }
    }
}
