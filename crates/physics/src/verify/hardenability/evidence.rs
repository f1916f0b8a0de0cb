//! The evidence, as recalled from its sources.

use Element::{C, Cr, Mn, Mo, Ni, Si};
use casewright_terms::{Composition, Element, Length, Temperature, WeightPercent};

/// A band of the end-quench test.
pub(super) struct Band {
    /// Grade.
    pub(super) name: &'static str,
    /// Middle of the chemistry.
    pub(super) steel: Composition,
    /// Austenitising temperature in °C.
    pub(super) from_c: f64,
    /// (mm from the end, highest, lowest HRC; the lowest is `None` below 20).
    pub(super) points: Vec<(f64, f64, Option<f64>)>,
}

pub(super) fn steel(contents: &[(Element, f64)]) -> Composition {
    let contents: Vec<(Element, WeightPercent)> = contents
        .iter()
        .map(|&(element, value)| (element, WeightPercent::from_wt_pct(value)))
        .collect();
    Composition::new(&contents).expect("middles of bands are sound")
}

/// A plain steel with 0.20 % Si.
pub(super) fn plain(carbon: f64, manganese: f64) -> Composition {
    steel(&[(C, carbon), (Mn, manganese), (Si, 0.20)])
}

/// Bands of [sae-j1268] at sixteenths (recalled) and of [en-10084] at millimetres (seen).
pub(super) fn bands() -> Vec<Band> {
    let at = |points: &[(f64, f64, f64)]| {
        points
            .iter()
            .map(|&(n, high, low)| {
                (
                    Length::from_in(n / 16.0).to_mm(),
                    high,
                    (low > 0.0).then_some(low),
                )
            })
            .collect::<Vec<_>>()
    };
    let band = |name, contents: &[(Element, f64)], from_c, points| Band {
        name,
        steel: steel(contents),
        from_c,
        points,
    };
    vec![
        Band {
            name: "16MnCr5",
            steel: steel(&[(C, 0.165), (Mn, 1.15), (Si, 0.25), (Cr, 0.95)]),
            from_c: 925.0,
            points: [
                (1.5, 47.0, Some(39.0)),
                (3.0, 46.0, Some(36.0)),
                (5.0, 44.0, Some(31.0)),
                (7.0, 41.0, Some(28.0)),
                (9.0, 39.0, Some(24.0)),
                (11.0, 37.0, Some(21.0)),
                (13.0, 35.0, None),
                (15.0, 33.0, None),
                (20.0, 31.0, None),
                (25.0, 30.0, None),
                (30.0, 29.0, None),
                (35.0, 28.0, None),
                (40.0, 27.0, None),
            ]
            .to_vec(),
        },
        band(
            "8620H",
            &[
                (C, 0.20),
                (Mn, 0.775),
                (Si, 0.25),
                (Ni, 0.55),
                (Cr, 0.5),
                (Mo, 0.2),
            ],
            925.0,
            at(&[
                (1., 48., 41.),
                (2., 47., 37.),
                (3., 44., 32.),
                (4., 41., 27.),
                (5., 37., 23.),
                (6., 34., 21.),
                (7., 32., 0.),
                (8., 30., 0.),
                (9., 29., 0.),
                (10., 28., 0.),
                (12., 26., 0.),
                (16., 24., 0.),
                (20., 23., 0.),
                (24., 23., 0.),
                (32., 22., 0.),
            ]),
        ),
        band(
            "4118H",
            &[(C, 0.20), (Mn, 0.80), (Si, 0.25), (Cr, 0.5), (Mo, 0.115)],
            925.0,
            at(&[
                (1., 48., 41.),
                (2., 46., 36.),
                (3., 41., 27.),
                (4., 35., 23.),
                (5., 31., 20.),
                (6., 28., 0.),
                (7., 27., 0.),
                (8., 25., 0.),
                (9., 24., 0.),
                (10., 23., 0.),
                (12., 21., 0.),
            ]),
        ),
        band(
            "4620H",
            &[(C, 0.20), (Mn, 0.55), (Si, 0.25), (Ni, 1.75), (Mo, 0.25)],
            925.0,
            at(&[
                (1., 48., 41.),
                (2., 45., 35.),
                (3., 42., 27.),
                (4., 39., 24.),
                (5., 34., 21.),
                (6., 31., 0.),
                (7., 29., 0.),
                (8., 27., 0.),
                (9., 26., 0.),
                (10., 25., 0.),
                (12., 23., 0.),
                (16., 21., 0.),
                (20., 20., 0.),
            ]),
        ),
        band(
            "4140H",
            &[(C, 0.405), (Mn, 0.875), (Si, 0.225), (Cr, 0.975), (Mo, 0.2)],
            845.0,
            at(&[
                (1., 60., 53.),
                (2., 60., 53.),
                (3., 60., 52.),
                (4., 59., 51.),
                (5., 59., 51.),
                (6., 58., 50.),
                (7., 58., 48.),
                (8., 57., 47.),
                (9., 57., 44.),
                (10., 56., 42.),
                (12., 55., 39.),
                (16., 53., 35.),
                (20., 51., 33.),
                (24., 48., 32.),
                (32., 44., 30.),
            ]),
        ),
        band(
            "4340H",
            &[
                (C, 0.405),
                (Mn, 0.725),
                (Si, 0.225),
                (Ni, 1.775),
                (Cr, 0.8),
                (Mo, 0.25),
            ],
            845.0,
            at(&[
                (1., 60., 53.),
                (2., 60., 53.),
                (3., 60., 53.),
                (4., 60., 53.),
                (5., 60., 53.),
                (6., 60., 53.),
                (7., 60., 53.),
                (8., 60., 52.),
                (9., 60., 52.),
                (10., 60., 52.),
                (12., 59., 51.),
                (16., 58., 48.),
                (20., 57., 46.),
                (24., 57., 44.),
                (32., 56., 40.),
            ]),
        ),
        band(
            "1045H",
            &[(C, 0.465), (Mn, 0.75), (Si, 0.25)],
            845.0,
            at(&[
                (1., 62., 55.),
                (1.5, 61., 52.),
                (2., 59., 42.),
                (2.5, 56., 34.),
                (3., 52., 31.),
                (3.5, 46., 29.),
                (4., 38., 28.),
                (5., 33., 26.),
                (6., 32., 25.),
                (8., 30., 24.),
                (12., 28., 21.),
            ]),
        ),
        band(
            "1522H",
            &[(C, 0.21), (Mn, 1.25), (Si, 0.25)],
            925.0,
            at(&[
                (1., 50., 41.),
                (1.5, 48., 41.),
                (2., 47., 32.),
                (2.5, 46., 27.),
                (3., 45., 22.),
                (3.5, 42., 21.),
                (4., 39., 20.),
            ]),
        ),
    ]
}

/// Bands of [sae-j1268] at sixteenths, recalled, of grades that no fit has seen.
pub(super) fn held_back() -> Vec<Band> {
    let band = |name, contents: &[(Element, f64)], from_c, points: &[(f64, f64, f64)]| Band {
        name,
        steel: steel(contents),
        from_c,
        points: points
            .iter()
            .map(|&(n, high, low)| {
                let mm = Length::from_in(n / 16.0).to_mm();
                (mm, high, (low > 0.0).then_some(low))
            })
            .collect(),
    };
    vec![
        band(
            "4320H",
            &[
                (C, 0.20),
                (Mn, 0.55),
                (Si, 0.25),
                (Ni, 1.775),
                (Cr, 0.5),
                (Mo, 0.25),
            ],
            925.0,
            &[
                (1., 48., 41.),
                (2., 47., 38.),
                (3., 45., 35.),
                (4., 43., 32.),
                (5., 41., 29.),
                (6., 38., 27.),
                (7., 36., 25.),
                (8., 34., 23.),
                (9., 33., 22.),
                (10., 31., 21.),
                (12., 29., 0.),
                (16., 26., 0.),
                (20., 25., 0.),
                (24., 24., 0.),
                (32., 24., 0.),
            ],
        ),
        band(
            "9310H",
            &[
                (C, 0.10),
                (Mn, 0.55),
                (Si, 0.25),
                (Ni, 3.25),
                (Cr, 1.225),
                (Mo, 0.115),
            ],
            845.0,
            &[
                (1., 43., 36.),
                (2., 43., 35.),
                (3., 43., 35.),
                (4., 42., 34.),
                (5., 42., 32.),
                (6., 42., 31.),
                (7., 42., 30.),
                (8., 41., 29.),
                (9., 40., 28.),
                (10., 40., 27.),
                (12., 38., 26.),
                (16., 36., 26.),
                (20., 35., 25.),
                (24., 35., 25.),
                (32., 34., 24.),
            ],
        ),
        band(
            "5120H",
            &[(C, 0.20), (Mn, 0.80), (Si, 0.25), (Cr, 0.80)],
            925.0,
            &[
                (1., 48., 40.),
                (2., 46., 34.),
                (3., 41., 28.),
                (4., 36., 23.),
                (5., 33., 20.),
                (6., 30., 0.),
                (7., 28., 0.),
                (8., 27., 0.),
                (9., 25., 0.),
                (10., 24., 0.),
                (12., 22., 0.),
            ],
        ),
        band(
            "5140H",
            &[(C, 0.405), (Mn, 0.80), (Si, 0.25), (Cr, 0.80)],
            845.0,
            &[
                (1., 60., 53.),
                (2., 59., 52.),
                (3., 58., 50.),
                (4., 57., 48.),
                (5., 56., 43.),
                (6., 54., 38.),
                (7., 52., 35.),
                (8., 50., 33.),
                (9., 48., 31.),
                (10., 46., 30.),
                (12., 43., 28.),
                (16., 38., 25.),
                (20., 36., 23.),
                (24., 35., 21.),
                (32., 34., 0.),
            ],
        ),
    ]
}

/// Carbon and manganese of the plain steels whose ideal diameter is compared.
pub(super) const PLAIN: [(f64, f64); 12] = [
    (0.2, 0.5),
    (0.2, 0.75),
    (0.2, 1.0),
    (0.4, 0.3),
    (0.4, 0.5),
    (0.4, 0.75),
    (0.4, 1.0),
    (0.6, 0.3),
    (0.6, 0.75),
    (0.8, 0.3),
    (0.8, 0.5),
    (0.8, 0.75),
];

/// Critical cooling rates at 700 °C for martensite alone, in K/s (geometric middle of the range),
/// with the austenitising temperature in °C. [atlas-it-diagrams]
pub(super) const CRITICAL: [(&str, f64, f64); 4] = [
    ("1080", 167.0, 845.0),
    ("4140", 27.4, 845.0),
    ("8620", 84.0, 925.0),
    ("4340", 8.9, 845.0),
];

/// Ideal diameter of a plain steel in inches: Grossmann's carbon, 0.337 √C at grain 7, and the
/// manganese and silicon factors of [astm-a255]. Grossmann's diameter is defined by half martensite
/// in the structure, which is what is computed here; the standard's own carbon factor, the same from
/// 0.4 % on, is 30 % smaller at 0.2 %. [grossmann-1942]
pub(super) fn grossmann_diameter_in(carbon: f64, manganese: f64) -> f64 {
    0.337 * crate::numerics::fun::sqrt(carbon) * (1.0 + 10.0 / 3.0 * manganese) * (1.0 + 0.7 * 0.20)
}

/// Blank-hardened C15E (0.15 C, 0.45 Mn) of 11 and 30 mm: strength of 735 to 1030 and 590 to
/// 785 MPa, as HV by 3.2 MPa: (diameter in mm, middle, half the range). [din-17210]
pub(super) const BLANK_HARDENED: [(f64, f64, f64); 2] = [(11.0, 275.0, 45.0), (30.0, 215.0, 30.0)];

/// Standard start of a plain steel's test.
pub(super) fn plain_start(carbon: f64) -> Temperature {
    crate::model::jominy::standard_temperature(&plain(carbon, 0.5))
}
