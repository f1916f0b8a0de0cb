//! Media in the engine: a medium against the surface it stands for, equilibrium with alloy steel,
//! programs against runs in pieces, boosts, refusals, balance.

use casewright_physics::law::saturation::cementite_limit;
use casewright_physics::law::surface_transfer::PackEnergiser;
use casewright_physics::matter::steel;
use casewright_physics::medium::{
    Gas, GasControl, LowPressure, MediumSetup, Pack, Pulse, Salt, SaltKind, offer, pulses,
};
use casewright_physics::run::{CarbonRun, Failure};
use casewright_physics::setup::{CarbonSetup, Cycle, DiffusivityModel, Ramp, Shape, Surface};
use casewright_physics::simulate;
use casewright_terms::{
    CarbonFlux, Composition, Fraction, Length, Span, Temperature, TemperatureStep,
    TransferCoefficient, WeightPercent,
};
use proptest::prelude::*;

fn w(x: f64) -> WeightPercent {
    WeightPercent::from_wt_pct(x)
}

fn c(x: f64) -> Temperature {
    Temperature::from_c(x)
}

fn share(x: f64) -> Fraction {
    Fraction::from_ratio(x)
}

fn ramp(from_c: f64, to_c: f64, hours: f64) -> Ramp {
    Ramp {
        from: c(from_c),
        to: c(to_c),
        duration: Span::from_h(hours),
    }
}

fn setup(surface: Surface, pieces: Vec<Ramp>) -> CarbonSetup {
    CarbonSetup {
        composition: Composition::plain(w(0.18)),
        shape: Shape::Plate {
            half_thickness: Length::from_mm(10.0),
        },
        diffusivity: DiffusivityModel::Agren1986,
        diffusivity_factor: 1.0,
        surface,
        cycle: Cycle { pieces },
        tolerance: w(1e-4),
        saturation_shift: TemperatureStep::ZERO,
    }
}

fn run(setup: &CarbonSetup) -> CarbonRun {
    simulate::carbon(setup).expect("a valid setup settles")
}

fn surface_carbon(run: &CarbonRun) -> f64 {
    run.carbon_wt_pct[0]
}

fn gas(control: GasControl) -> Gas {
    Gas {
        control,
        coefficient: Some(TransferCoefficient::from_m_s(1.5e-7)),
        above: c(760.0),
    }
}

fn boost(flux_g_m2_h: f64) -> LowPressure {
    LowPressure {
        flux: CarbonFlux::from_g_m2_h(flux_g_m2_h),
        above: c(760.0),
    }
}

/// Largest difference at a few depths, wt%.
fn apart(a: &CarbonRun, b: &CarbonRun) -> f64 {
    let depths: Vec<Length> = (0..30)
        .map(|k| Length::from_mm(0.1 * f64::from(k)))
        .collect();
    a.at(&depths)
        .iter()
        .zip(b.at(&depths))
        .map(|(x, y)| (x.to_wt_pct() - y.to_wt_pct()).abs())
        .fold(0.0, f64::max)
}

/// With the alloy's law a transfer potential is that of plain iron, as a gas's always is: the two
/// ways to an alloy steel's carbon, alone and in turns, start from one activity and one table, so
/// the 1e-4 wt% of each run is all they may differ by (1e-6 when written).
#[test]
fn a_gas_of_a_potential_is_the_transfer_surface_on_an_alloy_steel() {
    let pieces = vec![ramp(800.0, 927.0, 1.0), ramp(927.0, 927.0, 6.0)];
    let coefficient = TransferCoefficient::from_m_s(1.5e-7);
    let transfer = |wt_pct: f64| Surface::Transfer {
        potential: w(wt_pct),
        coefficient,
        above: c(760.0),
    };
    let medium =
        |wt_pct: f64| Surface::Medium(MediumSetup::Gas(gas(GasControl::Potential(w(wt_pct)))));
    let turns = |first: Surface, second: Surface| {
        Surface::Program(vec![
            (Span::from_h(4.0), first),
            (Span::from_h(9.0), second),
        ])
    };
    for (a, b) in [
        (transfer(0.95), medium(0.95)),
        (
            turns(transfer(1.0), transfer(0.8)),
            turns(medium(1.0), medium(0.8)),
        ),
    ] {
        let [a, b] = [a, b].map(|surface| {
            let mut setup = setup(surface, pieces.clone());
            setup.composition = steel::find("16MnCr5").unwrap().middle();
            setup.diffusivity = DiffusivityModel::Alloy;
            run(&setup)
        });
        let off = apart(&a, &b);
        println!("{off:.1e} wt%, surface {:.3}", surface_carbon(&a));
        assert!(off < 2e-4, "{off:e}");
    }
}

/// On plain iron a gas of a potential is the transfer surface of that potential. The sublattice
/// tables and the plain law differ by 2e-4 of the activity (about 2e-4 wt% here), and each run
/// has its 1e-4.
#[test]
fn a_gas_of_a_potential_is_the_transfer_surface_on_plain_iron() {
    let pieces = vec![
        ramp(780.0, 927.0, 1.0),
        ramp(927.0, 927.0, 6.0),
        ramp(927.0, 840.0, 1.0),
    ];
    let transfer = Surface::Transfer {
        potential: w(0.95),
        coefficient: TransferCoefficient::from_m_s(1.5e-7),
        above: c(760.0),
    };
    let medium = Surface::Medium(MediumSetup::Gas(gas(GasControl::Potential(w(0.95)))));
    let (a, b) = (
        run(&setup(transfer, pieces.clone())),
        run(&setup(medium, pieces)),
    );
    let off = apart(&a, &b);
    assert!(off < 4e-4, "{off:e}");
}

/// The same numbers through both doors.
#[test]
fn reg_a_pack_medium_is_the_pack_surface() {
    let pack = Pack {
        energiser: PackEnergiser::Barium,
        energiser_by_mass: share(0.12),
        fresh: share(0.2),
    };
    let pieces = vec![
        ramp(25.0, 927.0, 3.0),
        ramp(927.0, 927.0, 6.0),
        ramp(927.0, 25.0, 10.0),
    ];
    let (begins, full) = pack.fade_in();
    let surface = Surface::Pack {
        coefficient: pack.full_coefficient(),
        begins,
        full,
    };
    let a = run(&setup(surface, pieces.clone()));
    let b = run(&setup(Surface::Medium(MediumSetup::Pack(pack)), pieces));
    assert_eq!(a.carbon_wt_pct, b.carbon_wt_pct);
    assert!(b.remarks.iter().any(|r| r.code == "pack-transfer-estimate"));
    assert!(b.sources.contains(&"pack-transfer-estimate"));
}

/// A thin strip left long in a gas has everywhere the carbon whose activity is the gas's, alloy
/// steel or plain, however the gas is described. 200 h through 0.25 mm leaves exp(−1000); the bound is the tolerance.
#[test]
fn a_strip_comes_to_the_activity_of_the_gas() {
    let t = c(927.0);
    let controls = [
        GasControl::Potential(w(0.7)),
        GasControl::DewPoint {
            dew_point: c(2.0),
            carbon_monoxide: share(0.2),
            hydrogen: share(0.4),
        },
        GasControl::CarbonDioxide {
            carbon_dioxide: share(0.0018),
            carbon_monoxide: share(0.2),
        },
        GasControl::Probe {
            probe_mv: 1125.0,
            probe: Some(c(927.0)),
            carbon_monoxide: share(0.2),
        },
    ];
    for grade in ["1018", "8620", "9310"] {
        let steel = steel::find(grade).unwrap().middle();
        for control in controls {
            let medium = MediumSetup::Gas(gas(control));
            let mut strip = setup(Surface::Medium(medium), vec![ramp(927.0, 927.0, 200.0)]);
            strip.composition = steel;
            strip.shape = Shape::Plate {
                half_thickness: Length::from_mm(0.25),
            };
            let run = run(&strip);
            let activity = medium.medium().drive(t).value.activity().unwrap();
            let wanted = offer::carbon(&steel, t, activity)
                .unwrap()
                .value
                .to_wt_pct();
            for carbon in &run.carbon_wt_pct {
                assert!(
                    (carbon - wanted).abs() < 1e-4,
                    "{grade} {control:?}: {carbon} for {wanted}"
                );
            }
        }
    }
}

/// A program of one surface is that surface; a seal in the middle is the same as a cycle whose
/// pieces are cut there. Twice the tolerance.
#[test]
fn a_program_is_its_turns() {
    let held = Surface::Fixed { carbon: w(1.1) };
    let pieces = vec![ramp(927.0, 927.0, 6.0)];
    let alone = run(&setup(held.clone(), pieces.clone()));
    let whole = Surface::Program(vec![(Span::from_h(6.0), held.clone())]);
    let whole = run(&setup(whole, pieces.clone()));
    assert_eq!(alone.carbon_wt_pct, whole.carbon_wt_pct);
    let turns = vec![
        (Span::from_h(2.0), held.clone()),
        (Span::from_h(4.0), Surface::Sealed),
    ];
    let cut = run(&setup(
        Surface::Program(turns.clone()),
        vec![ramp(927.0, 927.0, 1.0), ramp(927.0, 927.0, 5.0)],
    ));
    let one = run(&setup(Surface::Program(turns), pieces));
    assert!(apart(&cut, &one) < 2e-4, "{}", apart(&cut, &one));
    // What went in during the two hours is what is there after six.
    let two = run(&setup(held, vec![ramp(927.0, 927.0, 2.0)]));
    assert!((one.uptake_g_m2 / two.uptake_g_m2 - 1.0).abs() < 1e-3);
    assert!(surface_carbon(&one) < 0.8 && surface_carbon(&two) > 1.0999);
}

/// A weak boost gives its flux and no more; a strong one holds the skin just under saturation,
/// and then no carbon beyond what a held surface takes.
#[test]
fn a_boost_gives_its_flux_and_stops_at_the_carbide_limit() {
    let weak = pulses(
        boost(20.0),
        Span::ZERO,
        &[Pulse {
            boost: Span::from_h(1.0),
            diffuse: Span::ZERO,
        }],
    );
    let weak = run(&setup(weak, vec![ramp(940.0, 940.0, 1.0)]));
    // 20 g/m² in an hour; the skin is far from saturation (exponential of −100).
    assert!(
        (weak.uptake_g_m2 - 20.0).abs() < 1e-6,
        "{}",
        weak.uptake_g_m2
    );
    let limit = cementite_limit(c(940.0)).value;
    let strong = pulses(
        boost(200.0),
        Span::ZERO,
        &[Pulse {
            boost: Span::from_h(2.0),
            diffuse: Span::ZERO,
        }],
    );
    let strong = run(&setup(strong, vec![ramp(940.0, 940.0, 2.0)]));
    let held = run(&setup(
        Surface::Fixed { carbon: limit },
        vec![ramp(940.0, 940.0, 2.0)],
    ));
    let skin = surface_carbon(&strong);
    assert!(
        skin <= limit.to_wt_pct() && skin > limit.to_wt_pct() - 0.02,
        "{skin} {limit:?}"
    );
    // A flux that is a few times the uptake's late rate reaches the limit within minutes.
    assert!(
        strong.uptake_g_m2 < held.uptake_g_m2,
        "{} {}",
        strong.uptake_g_m2,
        held.uptake_g_m2
    );
    assert!(
        strong.uptake_g_m2 > 0.9 * held.uptake_g_m2,
        "{} {}",
        strong.uptake_g_m2,
        held.uptake_g_m2
    );
    assert!(
        strong
            .remarks
            .iter()
            .any(|r| r.code == "low-pressure-assumed")
    );
}

/// Pulses: carbon in the boosts only, the skin falls in the last diffuse.
#[test]
fn pulses_fill_and_level() {
    let pulse = Pulse {
        boost: Span::from_min(4.0),
        diffuse: Span::from_min(12.0),
    };
    let cycle = vec![
        ramp(25.0, 940.0, 1.0),
        ramp(940.0, 940.0, 1.0),
        ramp(940.0, 860.0, 0.5),
    ];
    let surface = pulses(boost(150.0), Span::from_h(1.0), &[pulse; 3]);
    let run = run(&setup(surface, cycle));
    assert!(run.uptake_g_m2 > 0.0 && run.uptake_g_m2 <= 150.0 * 12.0 / 60.0);
    assert!(run.balance_error < 1e-12, "{}", run.balance_error);
    assert!(surface_carbon(&run) < 1.0);
}

#[test]
fn refusals_are_told() {
    let salt = Salt {
        kind: SaltKind::Cyanide,
        potential: w(1.0),
        coefficient: TransferCoefficient::from_m_s(1e-7),
        above: c(800.0),
    };
    let hour = vec![ramp(927.0, 927.0, 1.0)];
    let told = |surface: Surface| match simulate::carbon(&setup(surface, hour.clone())) {
        Err(Failure::Setup { what }) => what,
        other => panic!("{other:?}"),
    };
    assert!(told(Surface::Medium(MediumSetup::Salt(salt))).contains("cyanide"));
    let inner = Surface::Program(vec![(Span::from_h(1.0), Surface::Sealed)]);
    let outer = Surface::Program(vec![(Span::from_h(1.0), inner)]);
    assert!(told(outer).contains("program"));
    let backward = Surface::Program(vec![(Span::from_h(-1.0), Surface::Sealed)]);
    assert!(told(backward).contains("-1"));
    let potential = Surface::Medium(MediumSetup::Gas(gas(GasControl::Potential(w(9.0)))));
    assert!(told(potential).contains("potential"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]
    /// Any gas and any boost on any cycle: finite, within core and saturation, balanced.
    #[test]
    fn media_never_break_the_engine(
        kind in 0_u8..5,
        x in 0.01_f64..1.0,
        co in 0.05_f64..0.5,
        hot in 700.0_f64..1100.0,
        hours in 0.01_f64..20.0,
        flux in 0.0_f64..1000.0,
        grade in 0_usize..3,
    ) {
        let medium = match kind {
            0 => MediumSetup::Gas(Gas { coefficient: None, ..gas(GasControl::Potential(w(1.5 * x))) }),
            1 => MediumSetup::Gas(gas(GasControl::DewPoint {
                dew_point: c(-45.0 + 80.0 * x), carbon_monoxide: share(co), hydrogen: share(0.4),
            })),
            2 => MediumSetup::Gas(Gas { coefficient: None, ..gas(GasControl::CarbonDioxide {
                carbon_dioxide: share(0.05 * x), carbon_monoxide: share(co),
            })}),
            3 => MediumSetup::Gas(gas(GasControl::Probe {
                probe_mv: 1000.0 + 250.0 * x, probe: None, carbon_monoxide: share(co),
            })),
            _ => MediumSetup::LowPressure(boost(flux)),
        };
        let pieces = vec![ramp(25.0, hot, 1.0), ramp(hot, hot, hours), ramp(hot, 600.0, 1.0)];
        let turns = vec![
            (Span::from_h(1.0), Surface::Sealed),
            (Span::from_h(0.6 * hours), Surface::Medium(medium)),
        ];
        for surface in [Surface::Medium(medium), Surface::Program(turns)] {
            let mut case = setup(surface, pieces.clone());
            case.composition = steel::find(["1018", "8620", "9310"][grade]).unwrap().middle();
            case.tolerance = w(1e-3);
            let run = run(&case);
            // Saturation at 1100 °C is 1.9 wt%.
            prop_assert!(run.carbon_wt_pct.iter().all(|x| (0.0..2.0).contains(x)));
            let error = run.balance_error * run.uptake_g_m2.abs();
            prop_assert!(error <= 1e-10 * (1.0 + run.uptake_g_m2.abs()), "{error:e}");
        }
    }
}
