//! Rows of the baths' curves against Grossmann's severities: the constant film that brings the middle
//! of a 25 mm bar half the way down in the same time.

use casewright_terms::quantity::METRES_PER_INCH;
use casewright_terms::{Length, Span, Temperature};

use super::Check;
use crate::law::quench_transfer::grossmann_severity_per_inch;
use crate::model::quench::conduction::{self, PlainAustenite};
use crate::model::quench::{Body, Film, Stage, quench};
use crate::numerics::fun::{exp, ln};
use crate::setup::{QuenchSetup, Quenchant, Shape, Stirring};
use crate::verify::{Kind, Row};

const FROM_C: f64 = 845.0;
/// Conductivity that goes with a severity, as everywhere [grossmann-1940].
const K_W_M_K: f64 = 30.0;

fn bar() -> Shape {
    Shape::Cylinder {
        radius: Length::from_mm(12.7),
    }
}

/// Seconds until the axis is half the way to the bath.
fn half_time(time_s: &[f64], axis_k: &[f64], bath_k: f64) -> f64 {
    let level = (axis_k[0] + bath_k) / 2.0;
    let Some(i) = axis_k.iter().position(|t| *t < level) else {
        return f64::MAX;
    };
    let share = (axis_k[i - 1] - level) / (axis_k[i - 1] - axis_k[i]);
    time_s[i - 1] + share * (time_s[i] - time_s[i - 1])
}

fn of_curve(quenchant: Quenchant, stirring: Stirring, bath: Temperature) -> f64 {
    let setup = QuenchSetup {
        quenchant,
        stirring,
        bath,
        transfer: Span::ZERO,
        severity_factor: 1.0,
    };
    quench(&setup, bar(), Temperature::from_c(FROM_C)).map_or(f64::MAX, |run| {
        half_time(
            &run.time_s,
            &run.curve_at(Length::from_mm(12.7)),
            bath.to_k(),
        )
    })
}

fn of_constant(h_w_m2_k: f64, bath: Temperature) -> f64 {
    let stage = Stage {
        ambient_k: bath.to_k(),
        drift_k_s: 0.0,
        film: Film::Constant { h_w_m2_k },
        lasts_s: None,
    };
    Body::new(bar(), 21)
        .and_then(|body| {
            let from = Temperature::from_c(FROM_C).to_k();
            conduction::cool(&body, &mut PlainAustenite, from, &[stage])
        })
        .map_or(f64::MAX, |run| {
            half_time(
                &run.time_s,
                &run.curve_at(Length::from_mm(12.7)),
                bath.to_k(),
            )
        })
}

/// Severity whose constant film takes the same time, in 1/inch.
fn equivalent(quenchant: Quenchant, stirring: Stirring, bath_c: f64) -> f64 {
    let bath = Temperature::from_c(bath_c);
    let wanted = of_curve(quenchant, stirring, bath);
    let (mut low, mut high): (f64, f64) = (ln(20.0), ln(60_000.0));
    // Twenty halvings: a millionth.
    for _ in 0..20 {
        let middle = (low + high) / 2.0;
        if of_constant(exp(middle), bath) > wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    exp(low) / (2.0 * K_W_M_K) * METRES_PER_INCH
}

/// Least and most severity that the handbook lists for a liquid, unmoved to violently moved.
fn band(quenchant: Quenchant) -> (f64, f64) {
    match quenchant {
        Quenchant::Water => (0.9, 4.0),
        Quenchant::Brine => (2.0, 5.0),
        // Air has one value; the doubt of the curves stands for its band.
        Quenchant::Air => (0.02 / 1.4, 0.02 * 1.4),
        _ => (0.25, 1.1),
    }
}

pub(super) fn rows() -> Vec<Row> {
    use Quenchant::{Air, Brine, FastOil, SlowOil, Water};
    use Stirring::{Good, Mild, Still};
    let cases = [
        ("still water", Water, Still, 20.0),
        ("mild water", Water, Mild, 20.0),
        ("stirred water", Water, Good, 20.0),
        ("mild brine", Brine, Mild, 20.0),
        ("still slow oil", SlowOil, Still, 60.0),
        ("stirred slow oil", SlowOil, Good, 60.0),
        ("stirred fast oil", FastOil, Good, 60.0),
        ("still air", Air, Still, 25.0),
    ];
    let mut rows = Vec::new();
    for (number, (name, quenchant, stirring, bath_c)) in (1..).zip(cases) {
        let (low, high) = band(quenchant);
        let ours = equivalent(quenchant, stirring, bath_c);
        let listed = grossmann_severity_per_inch(quenchant, stirring).unwrap_or(f64::NAN);
        let made = Check {
            id: "grossmann-half-time",
            source: "grossmann-1940",
            unit: "ln of 1/inch",
            tolerance: ln(high / low) / 2.0,
            reason: "the band the handbook lists for this liquid, unmoved to violently moved; with this movement it lists what stands in the name: one film for all temperatures knows no boiling peak",
            kind: Kind::CrossCheck,
        }
        .rows([(
            format!("severity of {name} of {bath_c:.0} °C by the half time of a 25 mm bar: {ours:.3} per inch, listed {listed}"),
            ln(low * high) / 2.0,
            ln(ours),
        )]);
        rows.extend(made.into_iter().map(|row| Row {
            id: format!("grossmann-half-time-{number}"),
            ..row
        }));
    }
    rows
}
