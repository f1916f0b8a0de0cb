use super::*;
use crate::setup::{Cycle, DiffusivityModel, Ramp};
use casewright_terms::{Composition, Element, HeatTransfer, TemperatureStep, WeightPercent};

fn setup(cover: Cover, celsius: f64, minutes: f64) -> ReheatSetup {
    let wt = WeightPercent::from_wt_pct;
    let mm = Length::from_mm;
    let at = Temperature::from_c(celsius);
    ReheatSetup {
        composition: Composition::new(&[
            (Element::C, wt(0.18)),
            (Element::Mn, wt(0.75)),
            (Element::Si, wt(0.20)),
        ])
        .unwrap(),
        shape: Shape::Cylinder { radius: mm(8.0) },
        profile: vec![
            (mm(0.0), wt(0.95)),
            (mm(0.3), wt(0.80)),
            (mm(1.0), wt(0.18)),
        ],
        cover,
        start: Temperature::from_c(25.0),
        cycle: Cycle {
            pieces: vec![Ramp {
                from: at,
                to: at,
                duration: Span::from_min(minutes),
            }],
        },
        cycle_of: CycleOf::Furnace,
        emissivity: 0.8,
        convection: HeatTransfer::from_w_m2_k(10.0),
        diffusivity: DiffusivityModel::Agren1986,
        diffusivity_factor: 1.0,
        ae3_shift: TemperatureStep::ZERO,
        saturation_shift: TemperatureStep::ZERO,
    }
}

#[test]
fn a_bare_part_loses_its_skin_and_a_wrapped_one_keeps_it() {
    for celsius in [790.0, 845.0] {
        let bare = reheat(&setup(Cover::Bare, celsius, 45.0)).unwrap();
        println!(
            "{celsius}: soaked {:?} above {:?} scaled {:.1} µm lowered {:.3} mm lost {:.2} g/m2 balance {:e} heat {:e}",
            bare.soaked_after.map(|s| s.to_min()),
            bare.above_ac1.to_min(),
            bare.scaled.to_mm() * 1e3,
            bare.poor_to.to_mm(),
            bare.carbon_lost_g_m2,
            bare.carbon_balance_error,
            bare.heating.as_ref().unwrap().balance_error
        );
        for (d, c) in bare
            .depth_m
            .iter()
            .zip(&bare.carbon_wt_pct)
            .take(40)
            .step_by(3)
        {
            println!("  {:.4} {:.3}", d * 1e3, c);
        }
        assert!(bare.carbon_wt_pct[0] < 1e-9);
        // Newton stops at 5e-13 of about 0.04; the sums have 120 steps.
        assert!(
            bare.carbon_balance_error < 1e-9,
            "{:e}",
            bare.carbon_balance_error
        );
        assert!(bare.heating.as_ref().unwrap().balance_error < 1e-9);
        let kept = reheat(&setup(Cover::Protected, celsius, 45.0)).unwrap();
        assert_eq!(kept.scaled, Length::ZERO);
        assert!(kept.carbon_lost_g_m2.abs() < 1e-8);
        assert!(kept.carbon_wt_pct[0] > 0.85, "{}", kept.carbon_wt_pct[0]);
        // Carbide at the skin dissolves only as fast as its neighbours take the carbon.
        assert!(kept.carbon_wt_pct[0] <= 0.95 + 1e-12);
    }
}

#[test]
fn a_logged_couple_replaces_the_furnace() {
    let mut logged = setup(Cover::Bare, 845.0, 45.0);
    let planned = reheat(&logged).unwrap();
    let run = planned.heating.as_ref().unwrap();
    let surface = run.curve_at(Length::ZERO);
    let pieces = (1..run.time_s.len()).map(|i| Ramp {
        from: Temperature::from_k(surface[i - 1]),
        to: Temperature::from_k(surface[i]),
        duration: Span::from_s(run.time_s[i] - run.time_s[i - 1]),
    });
    logged.cycle = Cycle {
        pieces: pieces.collect(),
    };
    logged.cycle_of = CycleOf::Part;
    let again = reheat(&logged).unwrap();
    assert!(again.heating.is_none());
    // The record of the part is finer than the first one's steps.
    let off = again.carbon_lost_g_m2 / planned.carbon_lost_g_m2 - 1.0;
    assert!(off.abs() < 0.01, "{off}");
}

#[test]
fn too_short_a_stay_is_told() {
    let run = reheat(&setup(Cover::Protected, 845.0, 5.0)).unwrap();
    assert!(run.soaked_after.is_none());
    assert_eq!(run.remarks[0].code, "not-soaked");
}

#[test]
fn wrong_setups_are_refused() {
    let good = setup(Cover::Bare, 845.0, 5.0);
    let mut bad = Vec::new();
    for change in [
        (|s: &mut ReheatSetup| s.emissivity = f64::NAN) as fn(&mut ReheatSetup),
        |s| s.emissivity = 0.0,
        |s| s.diffusivity_factor = -1.0,
        |s| s.cycle.pieces.clear(),
        |s| s.cycle.pieces[0].to = Temperature::from_c(1300.0),
        |s| s.profile.reverse(),
    ] {
        let mut setup = good.clone();
        change(&mut setup);
        bad.push(reheat(&setup).is_err());
    }
    assert_eq!(bad, [true; 6]);
}
