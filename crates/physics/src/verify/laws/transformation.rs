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

/// Worked values in °C and the rate of van Bohemen in 1/K. Ac3 of
/// 1080 is not worked: the formula ends below that carbon, and its column holds `None`.
const WORKED: [(&str, [Option<u32>; 10], f64); 7] = [
    (
        "1018",
        [
            Some(721),
            Some(810),
            Some(440),
            Some(428),
            Some(451),
            Some(444),
            Some(714),
            Some(712),
            Some(717),
            Some(821),
        ],
        0.0222,
    ),
    (
        "8620",
        [
            Some(721),
            Some(799),
            Some(413),
            Some(408),
            Some(418),
            Some(415),
            Some(632),
            Some(635),
            Some(721),
            Some(808),
        ],
        0.0216,
    ),
    (
        "4320",
        [
            Some(702),
            Some(789),
            Some(398),
            Some(390),
            Some(404),
            Some(399),
            Some(604),
            Some(611),
            Some(706),
            Some(789),
        ],
        0.0216,
    ),
    (
        "9310",
        [
            Some(690),
            Some(781),
            Some(407),
            Some(419),
            Some(417),
            Some(418),
            Some(540),
            Some(556),
            Some(702),
            Some(780),
        ],
        0.0238,
    ),
    (
        "4140",
        [
            Some(737),
            Some(762),
            Some(330),
            Some(327),
            Some(322),
            Some(331),
            Some(560),
            Some(568),
            Some(738),
            Some(780),
        ],
        0.0177,
    ),
    (
        "4340",
        [
            Some(706),
            Some(744),
            Some(305),
            Some(303),
            Some(299),
            Some(305),
            Some(516),
            Some(530),
            Some(711),
            Some(751),
        ],
        0.0176,
    ),
    (
        "1080",
        [
            Some(721),
            None,
            Some(178),
            Some(246),
            Some(157),
            Some(218),
            Some(546),
            Some(593),
            Some(717),
            Some(709),
        ],
        0.0129,
    ),
];

fn temperatures() -> Vec<Row> {
    let cells = WORKED.iter().flat_map(|(name, values, _)| {
        COLUMNS
            .iter()
            .zip(values)
            .filter_map(move |((column, formula), worked)| {
                let ours = formula(&nominal(name)).value.to_c();
                Some((format!("{column} of {name}"), f64::from((*worked)?), ours))
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
