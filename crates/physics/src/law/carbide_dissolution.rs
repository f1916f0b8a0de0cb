//! How long a grain of carbide needs to dissolve in austenite.
//!
//! **What** The shortest time: carbon diffuses away as fast as it can, and the metals of the carbide do
//! not hold it. With it a soak can be called too short; it cannot be called long enough.
//!
//! **Equation** t = r² / (k D), k = 2 (c_line − c_around) / (c_carbide − c_line).
//!
//! **Symbols** r radius in m; D of carbon in austenite in m²/s; c in wt%: of austenite beside carbide,
//! of the austenite around, and 6.67 of the carbide.
//!
//! **Source** `aaron-kotler-1971`, the invariant-field form of a sphere; recalled, not re-read.
//!
//! **Valid for** Plain cementite grains of 0.1–5 µm; in alloy steels it is a lower bound.
//!
//! **Weak where** Chromium, manganese and molybdenum gathered in the carbide leave it thousands of
//! times more slowly than carbon does: such grains stay at the amount of full equilibrium, which is
//! what the chain takes.
//!
//! **Checked by** `a_usual_soak_is_long_enough`, `nothing_dissolves_in_saturated_austenite`.

use casewright_terms::{Length, SourceKey, Span, Temperature, WeightPercent};

use super::diffusivity::agren_1986;

/// Keys of the sources behind this law.
pub const SOURCES: [SourceKey; 2] = ["aaron-kotler-1971", "agren-1986"];

const CEMENTITE_WT_PCT: f64 = 6.67;

/// Shortest time in which a grain of `radius` dissolves; `None` where the austenite around is
/// saturated.
#[must_use]
pub fn shortest(
    radius: Length,
    temperature: Temperature,
    line: WeightPercent,
    around: WeightPercent,
) -> Option<Span> {
    let (line, around_wt_pct) = (line.to_wt_pct(), around.to_wt_pct());
    // [aaron-kotler-1971]
    let k = 2.0 * (line - around_wt_pct) / (CEMENTITE_WT_PCT - line);
    let d = agren_1986(temperature, around).value.to_m2_s();
    (k > 0.0 && d > 0.0).then(|| Span::from_s(radius.to_m() * radius.to_m() / (k * d)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn time(radius_um: f64, celsius: f64, line: f64) -> Option<f64> {
        shortest(
            Length::from_um(radius_um),
            Temperature::from_c(celsius),
            WeightPercent::from_wt_pct(line),
            WeightPercent::from_wt_pct(0.76),
        )
        .map(Span::to_s)
    }

    #[test]
    fn a_usual_soak_is_long_enough() {
        // 1 µm at 788 °C: seconds, against the trade's ten minutes [trade-practice].
        let seconds = time(1.0, 788.0, 0.90).unwrap();
        println!("{seconds:.1} s");
        assert!((1.0..60.0).contains(&seconds));
        // With the square of the radius.
        let ratio = time(2.0, 788.0, 0.90).unwrap() / seconds;
        assert!((ratio - 4.0).abs() < 1e-9);
    }

    #[test]
    fn nothing_dissolves_in_saturated_austenite() {
        assert_eq!(time(1.0, 727.0, 0.76), None);
    }
}
