//! The table against the limits computed anew, and against the references.

use super::super::saturation_graphite;
use super::*;
use casewright_terms::Element::{self, Cr, Mn, Mo, Ni, Si};

fn steel(contents: &[(Element, f64)]) -> Composition {
    let list: Vec<_> = contents
        .iter()
        .map(|(e, w)| (*e, WeightPercent::from_wt_pct(*w)))
        .collect();
    Composition::new(&list).unwrap()
}

fn steels() -> [(&'static str, Composition); 5] {
    [
        ("1018", steel(&[(Mn, 0.75), (Si, 0.22)])),
        (
            "8620",
            steel(&[(Mn, 0.8), (Si, 0.25), (Cr, 0.5), (Ni, 0.55), (Mo, 0.2)]),
        ),
        ("5120", steel(&[(Mn, 0.8), (Si, 0.25), (Cr, 0.8)])),
        (
            "9310",
            steel(&[(Mn, 0.55), (Si, 0.25), (Cr, 1.2), (Ni, 3.25), (Mo, 0.11)]),
        ),
        ("3 % Cr", steel(&[(Mn, 0.5), (Cr, 3.0)])),
    ]
}

/// Against the limits computed anew at every 7 K from 700 to 1190 °C.
#[test]
fn table_carries_the_limits() {
    for (name, steel) in steels() {
        let table = SaturationTable::new(&steel, TemperatureStep::ZERO).unwrap();
        let (mut carbide, mut graphite) = ((0.0_f64, 0.0), (0.0_f64, 0.0));
        for k in 0..=70 {
            let c = 700.0 + 7.0 * f64::from(k);
            let t = Temperature::from_c(c);
            let exact = saturation_carbide(&steel, t, PhaseSet::STEEL)
                .unwrap()
                .value;
            let off = (table.carbide(t).value - exact.carbon).to_wt_pct();
            if off.abs() > carbide.0.abs() {
                carbide = (off, c);
            }
            let exact = saturation_graphite(&steel, t).unwrap().value;
            let off = (table.graphite(t).value - exact.carbon).to_wt_pct();
            if off.abs() > graphite.0.abs() {
                graphite = (off, c);
            }
        }
        // A tenth of what the two databases of the reference differ by, 0.03 wt%.
        assert!(carbide.0.abs() < 3e-3, "{name}: {carbide:?}");
        assert!(graphite.0.abs() < 1e-3, "{name}: {graphite:?}");
    }
}

/// Fe-C computed from the Gibbs energies beside the closed lines that the engine keeps for it: the
/// assessments differ in cementite, by less than 0.01 wt% and 2 K.
#[test]
fn val_plain_lines_agree_with_the_equilibrium() {
    let plain = Composition::plain(WeightPercent::from_wt_pct(0.2));
    let table = SaturationTable::new(&plain, TemperatureStep::ZERO).unwrap();
    assert!(table.is_plain());
    for c in [730.0, 800.0, 850.0, 900.0, 927.0, 1000.0, 1100.0] {
        let t = Temperature::from_c(c);
        let carbide = saturation_carbide(&plain, t, PhaseSet::STEEL).unwrap();
        let graphite = saturation_graphite(&plain, t).unwrap();
        let off = [
            (table.carbide(t).value - carbide.value.carbon).to_wt_pct(),
            (table.graphite(t).value - graphite.value.carbon).to_wt_pct(),
        ];
        let acm = table.acm(carbide.value.carbon).unwrap().to_c() - c;
        assert!(
            off.iter().all(|off| off.abs() < 0.01) && acm.abs() < 2.0,
            "{c}: {off:?} {acm}"
        );
    }
}
