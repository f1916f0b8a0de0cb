//! Grain of the austenite after time at heat.
//!
//! **What** Grain diameter of a steel whose grains nothing pins, over any temperature cycle, and its
//! ASTM number. It is the coarse end: steel made fine-grained with aluminium keeps its grain up to
//! some 950–980 °C, which is a matter of the mill and not of this law.
//!
//! **Equation** d = 76 671 exp(−(89 098 + 3581 C + 1211 Ni + 1443 Cr + 4031 Mo)/RT) · t^0.211; over a
//! cycle each stretch goes on from the time that would have given the grain so far.
//! Number G = −3.2877 − 6.6439 log₁₀ d, with d in mm.
//!
//! **Symbols** d in µm (in mm for G); contents in wt%; R = 8.314 J/(mol·K); T in K; t in s.
//!
//! **Source** `lee-2008`: coefficients recalled; `astm-e112` for the number, recalled.
//!
//! **Valid for** Low-alloy steels without pinning, 850–1100 °C, minutes to ten hours.
//!
//! **Weak where** Fine-grained steel, which is most of what is sold for carburizing; manganese is not in
//! it; grains at the start are taken for nothing, as a fresh austenite's are.
//!
//! **Checked by** `val_coarse_class_of_the_carburizing_test`, `pieces_add_up`,
//! `hotter_and_longer_is_coarser`, row `grain-*`.

use casewright_terms::{Composition, Element, Length, SourceKey, Span, Temperature};

use crate::numerics::fun::{exp, log10, pow};
use crate::setup::Cycle;

/// Keys of the sources behind this law.
pub const SOURCES: [SourceKey; 2] = ["lee-2008", "astm-e112"];

const GAS_J_MOL_K: f64 = 8.314;
// [lee-2008]
const FACTOR_UM: f64 = 76_671.0;
const POWER: f64 = 0.211;
/// Stretches of a ramp.
const STRETCHES: usize = 12;

/// Grain of a steel at one temperature after a time, nothing pinning it.
#[must_use]
pub fn unpinned(steel: &Composition, temperature: Temperature, time: Span) -> Length {
    Length::from_um(rate_um(steel, temperature.to_k()) * pow(time.to_s().max(0.0), POWER))
}

/// The same over a cycle, where it is above `above` (austenite).
#[must_use]
pub fn unpinned_over(steel: &Composition, cycle: &Cycle, above: Temperature) -> Length {
    let mut d_um = 0.0;
    for piece in &cycle.pieces {
        let flat = piece.from == piece.to;
        let many = if flat { 1 } else { STRETCHES };
        let step_s = piece.duration.to_s().max(0.0) / many as f64;
        for i in 0..many {
            let share = (i as f64 + 0.5) / many as f64;
            let t_k = piece.from.to_k() + share * (piece.to.to_k() - piece.from.to_k());
            if t_k > above.to_k() && step_s > 0.0 {
                let rate = rate_um(steel, t_k);
                let so_far_s = pow(d_um / rate, 1.0 / POWER);
                d_um = rate * pow(so_far_s + step_s, POWER);
            }
        }
    }
    Length::from_um(d_um)
}

fn rate_um(steel: &Composition, t_k: f64) -> f64 {
    use Element::{C, Cr, Mo, Ni};
    let w = |element| steel.wt_pct(element);
    let energy = 89_098.0 + 3581.0 * w(C) + 1211.0 * w(Ni) + 1443.0 * w(Cr) + 4031.0 * w(Mo);
    FACTOR_UM * exp(-energy / (GAS_J_MOL_K * t_k.max(1.0)))
}

/// ASTM number of a grain; `None` for no grain at all.
#[must_use]
pub fn astm_number(grain: Length) -> Option<f64> {
    // [astm-e112], mean intercept
    (grain.to_mm() > 0.0).then(|| -3.2877 - 6.6439 * log10(grain.to_mm()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::law::transformation_temperature::tests::nominal;
    use crate::setup::Ramp;

    #[test]
    fn val_coarse_class_of_the_carburizing_test() {
        // [astm-e112]: after 8 h at 927 °C a steel of numbers 1 to 5 is called coarse-grained. Half a
        // number, which is what two people differ by at the microscope. 9310 comes out at 5.6: its
        // nickel and chromium stand for more than the class tells apart.
        for name in ["1018", "8620"] {
            let grain = unpinned(
                &nominal(name),
                Temperature::from_c(927.0),
                Span::from_h(8.0),
            );
            let number = astm_number(grain).unwrap();
            println!("{name}: {:.0} µm, {number:.1}", grain.to_um());
            assert!((0.5..=5.5).contains(&number), "{name}: {number}");
        }
    }

    #[test]
    fn pieces_add_up() {
        let flat = |hours: f64| Ramp {
            from: Temperature::from_c(927.0),
            to: Temperature::from_c(927.0),
            duration: Span::from_h(hours),
        };
        let over = |pieces: Vec<Ramp>| {
            unpinned_over(
                &nominal("8620"),
                &Cycle { pieces },
                Temperature::from_c(800.0),
            )
            .to_um()
        };
        let (whole, parts) = (over(vec![flat(8.0)]), over(vec![flat(3.0), flat(5.0)]));
        // Two powers that undo each other: rounding.
        assert!((whole / parts - 1.0).abs() < 1e-9);
        let cold = Ramp {
            from: Temperature::from_c(927.0),
            to: Temperature::from_c(20.0),
            duration: Span::from_h(10.0),
        };
        assert!(over(vec![flat(8.0), cold]) < 1.02 * whole);
    }

    #[test]
    fn hotter_and_longer_is_coarser() {
        let at = |celsius: f64, hours: f64| {
            unpinned(
                &nominal("8620"),
                Temperature::from_c(celsius),
                Span::from_h(hours),
            )
            .to_um()
        };
        assert!(at(1000.0, 4.0) > at(927.0, 4.0) && at(927.0, 8.0) > at(927.0, 4.0));
        assert_eq!(astm_number(Length::ZERO), None);
    }
}
