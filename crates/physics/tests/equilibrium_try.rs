//! try
use casewright_physics::equilibrium::*;
use casewright_terms::*;
fn comp(v: &[(Element, f64)]) -> Composition {
    Composition::new(
        &v.iter()
            .map(|(e, x)| (*e, WeightPercent::from_wt_pct(*x)))
            .collect::<Vec<_>>(),
    )
    .unwrap()
}
#[test]
fn tryit() {
    use Element::*;
    let s8620 = comp(&[
        (C, 0.2),
        (Mn, 0.8),
        (Si, 0.25),
        (Cr, 0.5),
        (Ni, 0.55),
        (Mo, 0.2),
    ]);
    for (c, t, set) in [
        (
            comp(&[(C, 0.18), (Mn, 0.75), (Si, 0.22)]),
            788.0,
            PhaseSet::STEEL,
        ),
        (s8620, 788.0, PhaseSet::STEEL),
        (s8620, 715.0, PhaseSet::STEEL),
        (s8620, 600.0, PhaseSet::STEEL),
        (comp(&[(C, 0.8)]), 600.0, PhaseSet::ALL),
    ] {
        for para in [false, true] {
            let e = if para {
                para_equilibrium(&c, Temperature::from_c(t), set)
            } else {
                equilibrium(&c, Temperature::from_c(t), set)
            };
            match e {
                Ok(e) => {
                    let e = e.value;
                    println!("{t} rounds {} aC {:.5}", e.rounds, e.carbon_activity);
                    for p in &e.phases {
                        println!(
                            "   {:?} {:.5} C {:.4}",
                            p.phase,
                            p.mole_fraction.to_ratio(),
                            p.carbon().to_wt_pct()
                        );
                    }
                }
                Err(x) => println!("{t} ERR {x}"),
            }
            let t0 = std::time::Instant::now();
            let n = 2000;
            for _ in 0..n {
                let _ = std::hint::black_box(if para {
                    para_equilibrium(&c, Temperature::from_c(t), set)
                } else {
                    equilibrium(&c, Temperature::from_c(t), set)
                });
            }
            println!("   {:.1} us", t0.elapsed().as_secs_f64() / n as f64 * 1e6);
        }
    }
    for (name, c) in [
        ("FeC", comp(&[(C, 0.2)])),
        ("1018", comp(&[(C, 0.18), (Mn, 0.75), (Si, 0.22)])),
        ("8620", s8620),
        ("5120", comp(&[(C, 0.2), (Mn, 0.8), (Si, 0.25), (Cr, 0.8)])),
        (
            "9310",
            comp(&[
                (C, 0.1),
                (Mn, 0.55),
                (Si, 0.25),
                (Cr, 1.2),
                (Ni, 3.25),
                (Mo, 0.11),
            ]),
        ),
        (
            "304",
            comp(&[(C, 0.05), (Mn, 1.4), (Si, 0.45), (Cr, 19.0), (Ni, 9.25)]),
        ),
        (
            "D2",
            comp(&[(C, 1.5), (Mn, 0.35), (Si, 0.35), (Cr, 12.0), (Mo, 0.95)]),
        ),
    ] {
        for (set, part) in [
            (PhaseSet::CEMENTITE_ONLY, Partition::Full),
            (PhaseSet::STEEL, Partition::Full),
            (PhaseSet::STEEL, Partition::CarbonOnly),
        ] {
            let t0 = std::time::Instant::now();
            let mut b = Boundaries::new(&c, set, part);
            let f = |r: Result<Valued<Option<Temperature>>, EquilibriumFailure>| match r {
                Ok(v) => v.value.map_or("-".into(), |t| format!("{:.2}", t.to_c())),
                Err(e) => format!("{e}"),
            };
            println!(
                "{name} {part:?} ae1 {} 10% {} cg {} ae3 {}  {:?}",
                f(b.ae1()),
                f(b.ae1_10pct()),
                f(b.carbide_gone()),
                f(b.ae3()),
                t0.elapsed()
            );
        }
        for cc in [0.8, 1.0, 1.2] {
            print!(
                " acm({cc}) {:?}",
                acm(&c, WeightPercent::from_wt_pct(cc)).map(|v| v.value.map(|t| t.to_c()))
            );
        }
        println!();
        for t in [788.0, 927.0] {
            let t = Temperature::from_c(t);
            let a = AusteniteCarbon::at(&c, t).unwrap().value;
            println!(
                "  a(0.8) {:.5} sat g {:?} c {:?}",
                a.activity(WeightPercent::from_wt_pct(0.8)),
                saturation_graphite(&c, t).map(|v| v.value.carbon.to_wt_pct()),
                saturation_carbide(&c, t, PhaseSet::STEEL)
                    .map(|v| (v.value.carbon.to_wt_pct(), v.value.phase))
            );
        }
    }
}
