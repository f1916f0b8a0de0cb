//! Rows of hardness, hardenability, tempering, hardness tests and size.

use casewright_terms::{Force, Hardness, Length, Scale, Span, Temperature, Vickers, WeightPercent};

use super::{Family, Kind, Row, nominal};
use crate::law::case_depth::{LIMIT_ISO_HV, TraversePoint, between};
use crate::law::hardenability::{
    half_martensite_hrc, ideal_diameter_in, initial_hrc, jominy_points,
};
use crate::law::hardness_conversion::table::{C_COLUMNS, C_TABLE, HV_SECOND_COPY, slips};
use crate::law::hardness_conversion::{convert, scale_of};
use crate::law::indentation::{
    cylinder_correction, knoop_diagonal, least_case, rockwell_depth, vickers_depth,
    vickers_diagonal,
};
use crate::law::phase_hardness::{SoftHardness, martensite_hv};
use crate::law::tempering::{USUAL_CONSTANT, hollomon_jaffe, tempered_martensite};
use crate::law::volume_change::{Phase, from_austenite, volume_strain};

pub(super) fn rows() -> Vec<Row> {
    [
        phases(),
        high_carbon(),
        hardenability(),
        jominy(),
        conversions(),
        misprints(),
        geometry(),
        thickness(),
        cylinders(),
        depth(),
        parameter(),
        temper(),
        volume(),
    ]
    .concat()
}

fn phases() -> Vec<Row> {
    let worked = [
        ("8620", 275.0, 190.0),
        ("4140", 378.0, 240.0),
        ("1020", 207.0, 139.0),
        ("4340", 397.0, 284.0),
    ];
    Family {
        id: "hardness-maynier",
        source: "worked-here",
        unit: "HV",
        tolerance: 0.75,
        reason: "worked values are printed in whole HV",
        kind: Kind::CrossCheck,
    }
    .rows(worked.into_iter().flat_map(|(name, bainite, pearlite)| {
        let soft = SoftHardness::new(&nominal(name));
        [
            (
                format!("bainite of {name} at 10 K/s"),
                bainite,
                soft.bainite_hv(10.0),
            ),
            (
                format!("ferrite-pearlite of {name} at 10 K/s"),
                pearlite,
                soft.maynier_ferrite_pearlite_hv(10.0),
            ),
        ]
    }))
}

fn high_carbon() -> Vec<Row> {
    let yurioka = [
        (0.4, 631.0),
        (0.6, 767.0),
        (0.8, 865.0),
        (0.9, 896.0),
        (1.0, 913.0),
    ];
    Family {
        id: "hardness-martensite",
        source: "yurioka-1987",
        unit: "HV",
        tolerance: 45.0,
        reason: "published martensite curves differ by up to 45 HV among themselves (0.6 % C: 767, \
                 817 and 772-816)",
        kind: Kind::CrossCheck,
    }
    .rows(yurioka.map(|(c, hv)| (format!("martensite at {c} % C"), hv, martensite_hv(c))))
}

fn hardenability() -> Vec<Row> {
    let initial = [
        38.0, 41.0, 44.0, 47.0, 50.0, 53.0, 56.0, 59.0, 61.0, 63.0, 64.0, 65.0,
    ];
    let half = [
        26.2, 28.9, 31.8, 34.7, 37.5, 40.0, 42.4, 44.7, 46.8, 48.9, 50.7, 52.2,
    ];
    let carbon = |step: usize| 0.10 + 0.05 * step as f64;
    let table = Family {
        id: "hardenability-initial",
        source: "astm-a255",
        unit: "HRC",
        tolerance: 0.6,
        reason: "the standard's table is in whole HRC; a tenth for its own fit",
        kind: Kind::Validation,
    }
    .rows(initial.into_iter().enumerate().map(|(i, hrc)| {
        (
            format!("initial hardness at {:.2} % C", carbon(i)),
            hrc,
            initial_hrc(carbon(i)),
        )
    }));
    let fifty = Family {
        id: "hardenability-half",
        source: "worked-here",
        unit: "HRC",
        tolerance: 0.06,
        reason: "worked values are printed to one decimal",
        kind: Kind::CrossCheck,
    }
    .rows(half.into_iter().enumerate().map(|(i, hrc)| {
        (
            format!("half martensite at {:.2} % C", carbon(i)),
            hrc,
            half_martensite_hrc(carbon(i)),
        )
    }));
    let diameters = [
        ("1018", 0.39),
        ("8620", 1.86),
        ("4320", 2.16),
        ("4140", 4.83),
        ("4340", 6.61),
        ("9310", 1.87),
    ];
    let ideal = Family {
        id: "hardenability-diameter",
        source: "worked-here",
        unit: "in",
        tolerance: 0.006,
        reason: "worked values are printed to two decimals",
        kind: Kind::CrossCheck,
    }
    .rows(diameters.map(|(name, inch)| {
        (
            format!("ideal diameter of {name}"),
            inch,
            ideal_diameter_in(&nominal(name)),
        )
    }));
    [table, fifty, ideal].concat()
}

fn jominy() -> Vec<Row> {
    let points = jominy_points(&nominal("8620"), 7.0).value;
    let worked = [44.2, 43.4, 40.3, 32.8, 23.5];
    Family {
        id: "hardenability-jominy",
        source: "worked-here",
        unit: "HRC",
        tolerance: 0.15,
        reason: "worked with DI rounded to two decimals; a hundredth of an inch is worth 0.1 HRC",
        kind: Kind::CrossCheck,
    }
    .rows(points.iter().zip(worked).map(|(point, hrc)| {
        (
            format!("J{} of 8620", point.sixteenths),
            hrc,
            point.hrc.unwrap_or(0.0),
        )
    }))
}

fn conversions() -> Vec<Row> {
    let cells = [
        (60.0, Scale::Hrc, Scale::Hv, 697.0),
        (50.0, Scale::Hrc, Scale::Hv, 513.0),
        (20.0, Scale::Hrc, Scale::Hv, 238.0),
        (60.0, Scale::Hrc, Scale::Hra, 81.2),
        (60.0, Scale::Hrc, Scale::Hr15n, 90.2),
        (60.0, Scale::Hrc, Scale::Hr30n, 77.5),
        (60.0, Scale::Hrc, Scale::Hr45n, 66.6),
        (58.0, Scale::Hrc, Scale::Hbw, 615.0),
        (58.0, Scale::Hrc, Scale::Hk, 690.0),
        (45.0, Scale::Hrc, Scale::Hrd, 59.2),
        (353.0, Scale::Hbw, Scale::Hrc, 38.0),
        (90.0, Scale::Hrb, Scale::Hv, 185.0),
        (150.0, Scale::Hv, Scale::Hrb, 80.0),
        (697.0, Scale::Hv, Scale::Hrc, 60.0),
    ];
    let table = Family {
        id: "conversion",
        source: "astm-e140",
        unit: "scale's own",
        tolerance: 1e-9,
        reason: "a row of the table must come back as printed",
        kind: Kind::Validation,
    }
    .rows(cells.map(|(value, from, to, printed)| {
        let ours = convert(Hardness::new(from, value)).on(to);
        (
            format!("{value} {from} on {to}"),
            printed,
            ours.unwrap_or(0.0),
        )
    }));
    let fit = |hv: f64| (100.0 * hv - 14_500.0) / (hv + 223.0);
    let smooth = Family {
        id: "conversion-fit",
        source: "worked-here",
        unit: "HRC",
        tolerance: 0.3,
        reason: "a smooth curve HRC = (100 HV − 14500)/(HV + 223) stays within 0.3 of the table",
        kind: Kind::CrossCheck,
    }
    .rows([392.0, 513.0, 550.0, 653.0, 697.0].map(|hv| {
        (
            format!("{hv} HV on HRC against the curve"),
            fit(hv),
            scale_of(Vickers::from_hv(hv), Scale::Hrc).unwrap_or(0.0),
        )
    }));
    [table, smooth].concat()
}

/// The four misprints seen in copies of the table: HRC, column, what was printed.
const MISPRINTS: [(f64, &str, f64); 4] = [
    (59.0, "HR30N", 56.6),
    (37.0, "HRA", 58.9),
    (52.0, "HR15N", 84.4),
    (62.0, "HV", 745.0),
];

fn misprints() -> Vec<Row> {
    let family = Family {
        id: "conversion-misprint",
        source: "astm-e140",
        unit: "cells named",
        tolerance: 0.0,
        reason: "the check must name that cell and no other",
        kind: Kind::Validation,
    };
    let clean = (
        "cells named in the table as held".to_owned(),
        0.0,
        slips(&C_TABLE, &HV_SECOND_COPY).len() as f64,
    );
    let put_back = MISPRINTS.iter().map(|&(hrc, column, printed)| {
        let mut table = C_TABLE;
        for row in table.iter_mut().filter(|row| row.hrc == hrc) {
            for (cell, name) in row.values.iter_mut().zip(C_COLUMNS) {
                if name == column {
                    *cell = Some(printed);
                }
            }
        }
        let found = slips(&table, &HV_SECOND_COPY);
        let right = found.iter().all(|s| s.hrc == hrc && s.column == column);
        (
            format!("{column} {printed} at {hrc} HRC, put back"),
            1.0,
            if right { found.len() as f64 } else { -1.0 },
        )
    });
    family.rows(std::iter::once(clean).chain(put_back))
}

fn geometry() -> Vec<Row> {
    let hv = Vickers::from_hv;
    let kgf = Force::from_kgf;
    let um = |length: Option<Length>| length.map_or(0.0, Length::to_um);
    Family {
        id: "indentation-size",
        source: "worked-here",
        unit: "µm",
        tolerance: 0.5,
        reason: "worked values are printed to three digits at most",
        kind: Kind::CrossCheck,
    }
    .rows([
        (
            "diagonal, HV1 at 700 HV",
            51.5,
            um(vickers_diagonal(hv(700.0), kgf(1.0))),
        ),
        (
            "depth, HV1 at 700 HV",
            7.4,
            um(vickers_depth(hv(700.0), kgf(1.0))),
        ),
        (
            "diagonal, HV1 at 550 HV",
            58.1,
            um(vickers_diagonal(hv(550.0), kgf(1.0))),
        ),
        (
            "diagonal, HV0.3 at 700 HV",
            28.2,
            um(vickers_diagonal(hv(700.0), kgf(0.3))),
        ),
        (
            "diagonal, HV10 at 700 HV",
            163.0,
            um(vickers_diagonal(hv(700.0), kgf(10.0))),
        ),
        (
            "diagonal, HK0.5 at 700 HK",
            101.0,
            um(knoop_diagonal(700.0, kgf(0.5))),
        ),
        (
            "recorded depth at 60 HRC",
            80.0,
            um(rockwell_depth(Hardness::new(Scale::Hrc, 60.0))),
        ),
    ])
}

fn thickness() -> Vec<Row> {
    let cells = [
        (Scale::Hr15n, 90.2, 0.20),
        (Scale::Hr30n, 77.5, 0.38),
        (Scale::Hr45n, 66.6, 0.51),
        (Scale::Hra, 81.2, 0.64),
        (Scale::Hrc, 60.0, 1.2),
    ];
    let sound = Family {
        id: "indentation-case",
        source: "trade-practice",
        unit: "mm",
        tolerance: 0.02,
        reason: "the trade's numbers are rounded to 0.01-0.02 mm",
        kind: Kind::CrossCheck,
    }
    .rows(cells.map(|(scale, value, mm)| {
        let ours = least_case(Hardness::new(scale, value));
        (
            format!("effective case free of the core at {value} {scale}"),
            mm,
            ours.map_or(0.0, |case| case.value.sound_from.to_mm()),
        )
    }));
    let printed = [
        (Scale::Hr15n, 83.0, 0.30),
        (Scale::Hr30n, 74.0, 0.41),
        (Scale::Hr45n, 58.0, 0.56),
        (Scale::Hra, 76.0, 0.61),
        (Scale::Hrc, 45.0, 0.86),
    ];
    let table = Family {
        id: "indentation-thickness",
        source: "astm-e18",
        unit: "mm",
        tolerance: 1e-9,
        reason: "a row of the table must come back as printed",
        kind: Kind::Validation,
    }
    .rows(printed.map(|(scale, value, mm)| {
        let ours = least_case(Hardness::new(scale, value));
        (
            format!("least thickness at {value} {scale}"),
            mm,
            ours.map_or(0.0, |case| case.value.refuse_below.to_mm()),
        )
    }));
    [sound, table].concat()
}

fn cylinders() -> Vec<Row> {
    let cells = [
        (Scale::Hrc, 60.0, 6.4, 1.5),
        (Scale::Hrc, 20.0, 6.4, 6.0),
        (Scale::Hrc, 35.0, 12.7, 2.0),
        (Scale::Hrc, 50.0, 9.5, 2.0),
        (Scale::Hra, 80.0, 19.0, 0.5),
        (Scale::Hrc, 62.5, 19.0, 0.5),
        (Scale::Hrb, 30.0, 9.5, 6.5),
        (Scale::Hrb, 40.0, 25.0, 2.25),
    ];
    Family {
        id: "indentation-cylinder",
        source: "astm-e18",
        unit: "scale's own",
        tolerance: 1e-9,
        reason: "cells come back as printed, and the mean half-way between two",
        kind: Kind::Validation,
    }
    .rows(cells.map(|(scale, value, mm, printed)| {
        let ours = cylinder_correction(Hardness::new(scale, value), Length::from_mm(mm));
        (
            format!("correction at {value} {scale} on {mm} mm"),
            printed,
            ours.map_or(-1.0, |valued| valued.value),
        )
    }))
}

fn depth() -> Vec<Row> {
    let point = |mm: f64, hv: f64| TraversePoint {
        depth: Length::from_mm(mm),
        hardness: Vickers::from_hv(hv),
    };
    let ours = between(
        point(0.70, 590.0),
        point(0.90, 520.0),
        Vickers::from_hv(LIMIT_ISO_HV),
    );
    Family {
        id: "case-depth",
        source: "worked-here",
        unit: "mm",
        tolerance: 0.000_5,
        reason: "the worked value is printed to a micrometre",
        kind: Kind::CrossCheck,
    }
    .rows([(
        "0.70 mm 590 HV and 0.90 mm 520 HV, limit 550 HV",
        0.814,
        ours.map_or(0.0, |valued| valued.value.to_mm()),
    )])
}

fn parameter() -> Vec<Row> {
    let cells = [
        (150.0, 1.0, 8463.0),
        (180.0, 2.0, 9199.0),
        (200.0, 1.0, 9463.0),
        (538.0, 1.0, 16_223.0),
    ];
    Family {
        id: "temper-parameter",
        source: "worked-here",
        unit: "K",
        tolerance: 0.6,
        reason: "worked values are printed in whole numbers",
        kind: Kind::CrossCheck,
    }
    .rows(cells.map(|(celsius, hours, worked)| {
        let ours = hollomon_jaffe(
            Temperature::from_c(celsius),
            Span::from_h(hours),
            USUAL_CONSTANT,
        );
        (
            format!("P at {celsius} °C, {hours} h"),
            worked,
            ours.unwrap_or(0.0),
        )
    }))
}

fn temper() -> Vec<Row> {
    let cells = [(150.0, 62.5), (180.0, 61.5), (202.5, 59.5), (230.0, 57.5)];
    Family {
        id: "temper-case",
        source: "case-temper-anchors",
        unit: "HRC",
        tolerance: 0.6,
        reason: "the anchors are ranges one HRC wide, recalled; a tenth for the fit",
        kind: Kind::Validation,
    }
    .rows(cells.map(|(celsius, hrc)| {
        let tempered = tempered_martensite(
            Vickers::from_hv(800.0),
            WeightPercent::from_wt_pct(0.85),
            Temperature::from_c(celsius),
            Span::from_h(1.5),
        );
        (
            format!("64 HRC case after {celsius} °C, 1.5 h"),
            hrc,
            scale_of(tempered.value, Scale::Hrc).unwrap_or(0.0),
        )
    }))
}

fn volume() -> Vec<Row> {
    let carbon = WeightPercent::from_wt_pct;
    Family {
        id: "volume",
        source: "lement-1959",
        unit: "vol %",
        tolerance: 0.006,
        reason: "printed to two decimals",
        kind: Kind::Validation,
    }
    .rows([
        (
            "annealed to martensite at 0.9 % C",
            1.51,
            volume_strain(Phase::Martensite, carbon(0.9)).value.to_pct(),
        ),
        (
            "annealed to martensite at 0.2 % C",
            0.34,
            volume_strain(Phase::Martensite, carbon(0.2)).value.to_pct(),
        ),
        (
            "austenite to martensite at 0.9 % C",
            4.64 - 0.53 * 0.9,
            from_austenite(Phase::Martensite, carbon(0.9)).to_pct(),
        ),
        (
            "austenite to lower bainite at 0.5 % C",
            4.64 - 1.43 * 0.5,
            from_austenite(Phase::Bainite, carbon(0.5)).to_pct(),
        ),
        (
            "austenite to pearlite at 0.8 % C",
            4.64 - 2.21 * 0.8,
            from_austenite(Phase::Annealed, carbon(0.8)).to_pct(),
        ),
    ])
}
