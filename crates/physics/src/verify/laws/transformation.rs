//! Rows of transformation temperatures, martensite and retained austenite.

use casewright_terms::{Composition, Temperature, Valued, WeightPercent};

use super::{Family, Kind, Row, nominal};
use crate::law::martensite_start::{martensite_rate_per_k, martensite_start, retained_austenite};
use crate::law::transformation_temperature as law;

const PRINTED_WHOLE: &str = "worked values are printed in whole degrees";

pub(super) fn rows() -> Vec<Row> {
    [temperatures(), rates(), case(), measured()].concat()
}

type Formula = fn(&Composition) -> Valued<Temperature>;

/// Names of the columns of [`WORKED`], with their formulas.
const COLUMNS: [(&str, Formula); 10] = [
    ("Ac1 Andrews", law::ac1_andrews),
    ("Ac3 Andrews", law::ac3_andrews),
    ("Ms Andrews linear", law::ms_andrews_linear),
    ("Ms Andrews product", law::ms_andrews_product),
    ("Ms Steven-Haynes", law::ms_steven_haynes),
    ("Ms van Bohemen", martensite_start),
    ("Bs Steven-Haynes", law::bs_steven_haynes),
    ("Bs van Bohemen", law::bs_van_bohemen),
    ("Ae1 Grange", law::ae1_grange),
    ("Ae3 Grange", law::ae3_grange),
];

/// Worked values in °C and the rate of van Bohemen in 1/K; NaN where the formula does not apply.
const WORKED: [(&str, [f64; 10], f64); 7] = [
    (
        "1018",
        [
            721.0, 810.0, 440.0, 428.0, 451.0, 444.0, 714.0, 712.0, 717.0, 821.0,
        ],
        0.0222,
    ),
    (
        "8620",
        [
            721.0, 799.0, 413.0, 408.0, 418.0, 415.0, 632.0, 635.0, 721.0, 808.0,
        ],
        0.0216,
    ),
    (
        "4320",
        [
            702.0, 789.0, 398.0, 390.0, 404.0, 399.0, 604.0, 611.0, 706.0, 789.0,
        ],
        0.0216,
    ),
    (
        "9310",
        [
            690.0, 781.0, 407.0, 419.0, 417.0, 418.0, 540.0, 556.0, 702.0, 780.0,
        ],
        0.0238,
    ),
    (
        "4140",
        [
            737.0, 762.0, 330.0, 327.0, 322.0, 331.0, 560.0, 568.0, 738.0, 780.0,
        ],
        0.0177,
    ),
    (
        "4340",
        [
            706.0, 744.0, 305.0, 303.0, 299.0, 305.0, 516.0, 530.0, 711.0, 751.0,
        ],
        0.0176,
    ),
    (
        "1080",
        [
            721.0,
            f64::NAN,
            178.0,
            246.0,
            157.0,
            218.0,
            546.0,
            593.0,
            717.0,
            709.0,
        ],
        0.0129,
    ),
];

fn temperatures() -> Vec<Row> {
    let cells = WORKED.iter().flat_map(|(name, values, _)| {
        COLUMNS
            .iter()
            .zip(values)
            .filter(|(_, worked)| worked.is_finite())
            .map(move |((column, formula), worked)| {
                let ours = formula(&nominal(name)).value.to_c();
                (format!("{column} of {name}"), *worked, ours)
            })
    });
    Family {
        id: "transformation",
        source: "worked-here",
        unit: "°C",
        tolerance: 0.75,
        reason: PRINTED_WHOLE,
        kind: Kind::CrossCheck,
    }
    .rows(cells)
}

fn rates() -> Vec<Row> {
    Family {
        id: "martensite-rate",
        source: "worked-here",
        unit: "1/K",
        tolerance: 0.000_06,
        reason: "worked values are printed to four decimals",
        kind: Kind::CrossCheck,
    }
    .rows(WORKED.iter().map(|(name, _, worked)| {
        let ours = martensite_rate_per_k(&nominal(name)).value;
        (format!("rate of martensite in {name}"), *worked, ours)
    }))
}

/// Case of 8620, all carbon dissolved, cooled to 25 °C: carbon, Ms in °C, rate in 1/K, austenite in %.
const CASE_8620: [(f64, f64, f64, f64); 6] = [
    (0.60, 257.0, 0.0149, 3.2),
    (0.70, 226.0, 0.0138, 6.3),
    (0.80, 198.0, 0.0128, 11.0),
    (0.90, 173.0, 0.0120, 17.0),
    (1.00, 149.0, 0.0113, 25.0),
    (1.10, 128.0, 0.0107, 33.0),
];

fn case() -> Vec<Row> {
    let steel = |carbon: f64| nominal("8620").with_carbon(WeightPercent::from_wt_pct(carbon));
    let start = Family {
        id: "martensite-case-start",
        source: "worked-here",
        unit: "°C",
        tolerance: 0.75,
        reason: PRINTED_WHOLE,
        kind: Kind::CrossCheck,
    }
    .rows(CASE_8620.map(|(c, ms, ..)| {
        (
            format!("Ms of an 8620 case at {c} % C"),
            ms,
            martensite_start(&steel(c)).value.to_c(),
        )
    }));
    let rate = Family {
        id: "martensite-case-rate",
        source: "worked-here",
        unit: "1/K",
        tolerance: 0.000_06,
        reason: "worked values are printed to four decimals",
        kind: Kind::CrossCheck,
    }
    .rows(CASE_8620.map(|(c, _, rate, _)| {
        (
            format!("rate of martensite in an 8620 case at {c} % C"),
            rate,
            martensite_rate_per_k(&steel(c)).value,
        )
    }));
    let left = Family {
        id: "martensite-case-austenite",
        source: "worked-here",
        unit: "%",
        tolerance: 0.6,
        reason: "worked values are printed in whole percent",
        kind: Kind::CrossCheck,
    }
    .rows(CASE_8620.map(|(c, .., percent)| {
        (
            format!("austenite left in an 8620 case at {c} % C, 25 °C"),
            percent,
            retained_austenite(&steel(c), Temperature::from_c(25.0))
                .value
                .to_pct(),
        )
    }));
    [start, rate, left].concat()
}

fn measured() -> Vec<Row> {
    let steel = nominal("4320").with_carbon(WeightPercent::from_wt_pct(1.0));
    let ours = retained_austenite(&steel, Temperature::from_c(25.0));
    Family {
        id: "martensite-measured",
        source: "retained-austenite-4320",
        unit: "%",
        tolerance: 5.0,
        reason: "X-ray readings scatter by 2-3 points; 0.05 % of dissolved carbon is worth 4 points",
        kind: Kind::Validation,
    }
    .rows([(
        "most austenite near the surface of a carburized 4320 at 1.0 % C",
        26.0,
        ours.value.to_pct(),
    )])
}
