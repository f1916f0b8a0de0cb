//! Rows of the decomposition kinetics.

use super::{Family, Kind, Row, nominal, nose, shortest};
use crate::law::decomposition::{
    FerriteActivation, KirkaldyCoefficients, LiCoefficients, Product, kirkaldy_integral,
    li_integral,
};
use crate::numerics::fun;

pub(super) fn rows() -> Vec<Row> {
    [integrals(), noses(), kirkaldy_noses(), atlas()].concat()
}

fn integrals() -> Vec<Row> {
    let li = [
        (0.001, 0.0264),
        (0.01, 0.1043),
        (0.05, 0.2689),
        (0.10, 0.4012),
        (0.25, 0.6775),
        (0.50, 1.0259),
        (0.75, 1.3742),
        (0.90, 1.6506),
        (0.95, 1.7829),
        (0.99, 1.9474),
    ];
    let kirkaldy = [
        (0.01, 0.6406),
        (0.10, 1.3261),
        (0.50, 2.1795),
        (0.90, 3.0328),
        (0.99, 3.7183),
    ];
    let family = |id| Family {
        id,
        source: "worked-here",
        unit: "1",
        tolerance: 6e-5,
        reason: "worked values are printed to four decimals",
        kind: Kind::CrossCheck,
    };
    [
        family("decomposition-li-integral")
            .rows(li.map(|(x, s)| (format!("S({x}) of Li"), s, li_integral(x)))),
        family("decomposition-kirkaldy-integral").rows(
            kirkaldy.map(|(x, i)| (format!("I({x}) of Kirkaldy"), i, kirkaldy_integral(x, 0.0))),
        ),
    ]
    .concat()
}

/// Worked noses (1 % start, grain 8): steel, product, time in s with 27 500 cal/mol, its °C.
const NOSES: [(&str, Product, f64, f64); 8] = [
    ("1080", Product::Pearlite, 0.83, 565.0),
    ("4140", Product::Bainite, 5.5, 465.0),
    ("4140", Product::Ferrite, 72.0, 610.0),
    ("4340", Product::Bainite, 18.0, 450.0),
    ("4340", Product::Ferrite, 545.0, 590.0),
    ("8620", Product::Ferrite, 6.0, 630.0),
    ("8620", Product::Bainite, 0.35, 480.0),
    ("1020", Product::Ferrite, 0.16, 640.0),
];

fn noses() -> Vec<Row> {
    let slow = |name, product| nose(name, product, FerriteActivation::Cal27500);
    let ratio = |what: &str, name: &str, product: Product| {
        format!("{what} of the nose of {} in {name}", product.word())
    };
    let times = Family {
        id: "decomposition-nose-time",
        source: "worked-here",
        unit: "1 (ours ÷ worked)",
        tolerance: 0.03,
        reason: "worked times are printed to two digits",
        kind: Kind::CrossCheck,
    }
    .rows(NOSES.map(|(name, product, time_s, _)| {
        (
            ratio("time", name, product),
            1.0,
            slow(name, product).0 / time_s,
        )
    }));
    let temperatures = Family {
        id: "decomposition-nose-temperature",
        source: "worked-here",
        unit: "°C",
        tolerance: 3.0,
        reason: "worked temperatures are rounded to 5 degrees",
        kind: Kind::CrossCheck,
    }
    .rows(NOSES.map(|(name, product, _, celsius)| {
        (
            ratio("temperature", name, product),
            celsius,
            slow(name, product).1,
        )
    }));
    let fast = [
        ("4140", 7.2),
        ("4340", 52.0),
        ("8620", 0.63),
        ("1020", 0.017),
    ];
    let ferrite = Family {
        id: "decomposition-nose-ferrite-23500",
        source: "worked-here",
        unit: "1 (ours ÷ worked)",
        tolerance: 0.03,
        reason: "worked times are printed to two digits",
        kind: Kind::CrossCheck,
    }
    .rows(fast.map(|(name, time_s)| {
        let ours = nose(name, Product::Ferrite, FerriteActivation::Cal23500).0;
        (ratio("time", name, Product::Ferrite), 1.0, ours / time_s)
    }));
    [times, temperatures, ferrite].concat()
}

/// Worked 1 % noses of Kirkaldy in seconds, grain 8: ferrite, pearlite, bainite.
const KIRKALDY: [(&str, [Option<f64>; 3]); 5] = [
    ("1018", [Some(0.18), Some(0.43), Some(0.13)]),
    ("8620", [Some(0.63), Some(53.0), Some(0.77)]),
    ("4140", [Some(1.2), Some(36.0), Some(1.8)]),
    ("4340", [Some(1.9), Some(182.0), Some(2.9)]),
    ("1080", [None, Some(0.43), Some(0.72)]),
];

fn kirkaldy_noses() -> Vec<Row> {
    let cells = KIRKALDY.iter().flat_map(|(name, times)| {
        Product::ALL
            .into_iter()
            .zip(times)
            .filter_map(move |(product, time)| {
                let worked = (*time)?;
                let kinetics = KirkaldyCoefficients::new(&nominal(name), 8.0);
                let (ours, _) = shortest(|t_k| kinetics.tau_s(product, 0.01, t_k));
                let what = format!("time of the nose of {} in {name}, Kirkaldy", product.word());
                Some((what, 1.0, ours / worked))
            })
    });
    Family {
        id: "decomposition-kirkaldy-nose",
        source: "worked-here",
        unit: "1 (ours ÷ worked)",
        tolerance: 0.05,
        reason: "worked times are printed to two digits, 0.13 being the coarsest",
        kind: Kind::CrossCheck,
    }
    .rows(cells)
}

/// Noses read from the atlas: steel, product, middle of the range in s (geometric).
pub(in crate::verify) const ATLAS: [(&str, Product, f64); 7] = [
    ("1080", Product::Pearlite, 0.71),
    ("4140", Product::Bainite, 4.2),
    ("4140", Product::Ferrite, 7.1),
    ("4340", Product::Bainite, 11.0),
    ("4340", Product::Ferrite, 212.0),
    ("8620", Product::Ferrite, 1.7),
    ("8620", Product::Bainite, 1.7),
];

fn atlas() -> Vec<Row> {
    Family {
        id: "decomposition-atlas",
        source: "atlas-it-diagrams",
        unit: "ln(ours ÷ read)",
        tolerance: 1.61,
        reason: "a factor of five in time, no more than a guard: a line further off would be misread \
                 rather than weak; the atlas itself is recalled to 30 %",
        kind: Kind::CrossCheck,
    }
    .rows(ATLAS.map(|(name, product, read_s)| {
        let kinetics = LiCoefficients::new(&nominal(name), 8.0);
        let (ours, _) = shortest(|t_k| kinetics.tau_s(product, 0.01, t_k));
        (
            format!("nose of {} in {name} against the atlas", product.word()),
            0.0,
            fun::ln(ours / read_s),
        )
    }))
}
