//! The whole chain against what the trade and the literature expect of it.

use casewright_physics::law::hardness_conversion::hrc_of;
use casewright_physics::model::chain::{harden, run_chain};
use casewright_physics::run::{CarbonRun, ChainRun};
use casewright_physics::setup::{
    Austenitise, CarbonSetup, ChainSetup, Cycle, DiffusivityModel, QuenchSetup, Quenchant, Ramp,
    Shape, Stirring, Surface, Temper,
};
use casewright_terms::{
    Composition, Element, Length, Span, Temperature, TransferCoefficient, Vickers, WeightPercent,
};

fn steel(contents: &[(Element, f64)]) -> Composition {
    let list: Vec<_> = contents
        .iter()
        .map(|(e, w)| (*e, WeightPercent::from_wt_pct(*w)))
        .collect();
    Composition::new(&list).unwrap()
}

fn plain() -> Composition {
    steel(&[(Element::C, 0.18), (Element::Mn, 0.75), (Element::Si, 0.20)])
}

fn steel_8620() -> Composition {
    steel(&[
        (Element::C, 0.20),
        (Element::Mn, 0.80),
        (Element::Si, 0.25),
        (Element::Ni, 0.55),
        (Element::Cr, 0.50),
        (Element::Mo, 0.20),
    ])
}

fn setup(
    composition: Composition,
    shape: Shape,
    quenchant: Quenchant,
    stirring: Stirring,
    bath_c: f64,
) -> ChainSetup {
    let hot = Temperature::from_c(927.0);
    ChainSetup {
        carbon: CarbonSetup {
            composition,
            shape,
            diffusivity: DiffusivityModel::Agren1986,
            diffusivity_factor: 1.0,
            surface: Surface::Pack {
                coefficient: TransferCoefficient::from_m_s(1.0e-7),
                begins: Temperature::from_c(700.0),
                full: Temperature::from_c(760.0),
            },
            cycle: Cycle {
                pieces: vec![Ramp {
                    from: hot,
                    to: hot,
                    duration: Span::from_h(6.0),
                }],
            },
            tolerance: WeightPercent::from_wt_pct(1e-4),
        },
        reheats: vec![Austenitise {
            temperature: Temperature::from_c(788.0),
            soak: Span::from_min(15.0),
            bare: false,
        }],
        direct_from: None,
        quench: QuenchSetup {
            quenchant,
            stirring,
            bath: Temperature::from_c(bath_c),
            transfer: Span::from_s(3.0),
            severity_factor: 1.0,
        },
        temper: Some(Temper {
            temperature: Temperature::from_c(204.0),
            soak: Span::from_h(1.0),
        }),
        grain_number: 8.0,
        quench_shape: shape,
        kinetics_factor: 1.0,
        hardness_shift: 0.0,
    }
}

fn plate(thickness_mm: f64) -> Shape {
    Shape::Plate {
        half_thickness: Length::from_mm(thickness_mm / 2.0),
    }
}

fn round(diameter_mm: f64) -> Shape {
    Shape::Cylinder {
        radius: Length::from_mm(diameter_mm / 2.0),
    }
}

fn hrc(hv: f64) -> f64 {
    hrc_of(Vickers::from_hv(hv)).unwrap_or(0.0)
}

fn show(name: &str, run: &ChainRun) {
    let l = &run.layers;
    let end = l.len() - 1;
    println!(
        "{name}: surface {:.0} HV {:.1} HRC -> {:.1} HRC, C {:.2}, RA {:.3}, M {:.3} P {:.3} B {:.3} cem {:.3}; core {:.0} HV {:.1} HRC M {:.2} B {:.2} P {:.2} F {:.2} RA {:.3}; CHD550 {:?} rates {:.0} {:.0} K/s bath {:.0} kJ/kg growth {:.1}..{:.1} um",
        l.quenched_hv[0],
        hrc(l.quenched_hv[0]),
        hrc(l.hardness_hv[0]),
        l.carbon_wt_pct[0],
        l.retained_austenite[0],
        l.martensite[0],
        l.pearlite[0],
        l.bainite[0],
        l.carbide[0],
        l.hardness_hv[end],
        hrc(l.hardness_hv[end]),
        l.martensite[end],
        l.bainite[end],
        l.pearlite[end],
        l.ferrite[end],
        l.retained_austenite[end],
        l.depth_to_hardness(Vickers::from_hv(550.0), Length::ZERO)
            .map(|d| (d.to_mm() * 1000.0).round() / 1000.0),
        run.surface_rate_k_s,
        run.core_rate_k_s,
        run.heat_to_bath_j_kg / 1e3,
        run.growth_per_side.0.to_mm() * 1e3,
        run.growth_per_side.1.to_mm() * 1e3,
    );
}

#[test]
fn look() {
    use Quenchant::*;
    use Stirring::*;
    for t in [6.0, 10.0, 12.0, 14.0, 20.0, 25.0] {
        show(
            &format!("1018 plate {t} water good"),
            &run_chain(&setup(plain(), plate(t), Water, Good, 20.0)).unwrap(),
        );
        show(
            &format!("1018 round {t} water good"),
            &run_chain(&setup(plain(), round(t), Water, Good, 20.0)).unwrap(),
        );
    }
    show(
        "1018 plate 25 still slow oil",
        &run_chain(&setup(plain(), plate(25.0), SlowOil, Still, 60.0)).unwrap(),
    );
    show(
        "1018 plate 6 still slow oil",
        &run_chain(&setup(plain(), plate(6.0), SlowOil, Still, 60.0)).unwrap(),
    );
    show(
        "1018 plate 6 fast oil good",
        &run_chain(&setup(plain(), plate(6.0), FastOil, Good, 60.0)).unwrap(),
    );
    for t in [788.0, 816.0, 843.0, 870.0] {
        let mut s = setup(steel_8620(), round(19.05), FastOil, Good, 60.0);
        s.reheats[0].temperature = Temperature::from_c(t);
        show(&format!("8620 d19 fast oil {t}"), &run_chain(&s).unwrap());
    }
    let mut direct = setup(plain(), round(12.0), Water, Good, 20.0);
    direct.reheats.clear();
    direct.direct_from = Some(Temperature::from_c(927.0));
    show("1018 d12 direct 927", &run_chain(&direct).unwrap());
    let mut bare = setup(plain(), round(12.0), Water, Good, 20.0);
    bare.reheats[0].bare = true;
    let run = run_chain(&bare).unwrap();
    show("1018 d12 bare", &run);
    for i in 0..14 {
        println!(
            "  {:.0} um C {:.2} HV {:.0} F {:.2}",
            run.layers.depth_m[i] * 1e6,
            run.layers.carbon_wt_pct[i],
            run.layers.hardness_hv[i],
            run.layers.ferrite[i]
        );
    }
    let s4320 = steel(&[
        (Element::C, 0.20),
        (Element::Mn, 0.55),
        (Element::Si, 0.25),
        (Element::Ni, 1.8),
        (Element::Cr, 0.5),
        (Element::Mo, 0.25),
    ]);
    let flat = CarbonRun {
        depth_m: vec![0.0, 0.0005, 0.0015, 0.01],
        carbon_wt_pct: vec![1.0, 0.9, 0.2, 0.2],
        uptake_g_m2: 0.0,
        balance_error: 0.0,
        steps: 0,
        refused: 0,
        remarks: vec![],
        sources: vec![],
    };
    for t in [843.0, 870.0, 900.0] {
        let mut s = setup(s4320, round(25.0), FastOil, Good, 60.0);
        s.reheats[0].temperature = Temperature::from_c(t);
        show(&format!("4320 1.0C {t}"), &harden(&flat, &s).unwrap());
    }
    let s = setup(plain(), round(12.0), Water, Good, 20.0);
    let c = casewright_physics::model::carbon::carbonise(&s.carbon).unwrap();
    let start = std::time::Instant::now();
    for _ in 0..50 {
        harden(&c, &s).unwrap();
    }
    println!("harden {:?}", start.elapsed() / 50);
    let start = std::time::Instant::now();
    for _ in 0..50 {
        run_chain(&s).unwrap();
    }
    println!("chain {:?}", start.elapsed() / 50);
}
