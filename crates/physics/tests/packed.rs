//! Packed boxes of any layout: whatever is asked, an answer in numbers or a refusal in words.

use casewright_physics::run::Failure;
use casewright_physics::setup::{
    Axis, BoxDetail, BoxFurnace, BoxSetup, Cooling, PackedBed, PackedBox, Solid, SolidForm, Survey,
};
use casewright_physics::simulate;
use casewright_terms::{Density, Fraction, Length, Power, Span, Temperature, TemperatureStep};
use proptest::prelude::*;

fn mm3(l: [f64; 3]) -> [Length; 3] {
    l.map(Length::from_mm)
}

fn setup(
    inside: [f64; 3],
    solids: Vec<Solid>,
    spread: f64,
    moisture: f64,
    gap: f64,
    door: f64,
) -> BoxSetup {
    let k = TemperatureStep::from_k;
    BoxSetup {
        boxes: vec![PackedBox {
            mark: "any".to_owned(),
            inside: mm3(inside),
            wall: Length::from_mm(5.0),
            stands_at: None,
            bed: PackedBed {
                bulk_density: Density::from_kg_m3(320.0),
                grain: Length::from_mm(5.0),
                moisture: Fraction::from_ratio(moisture),
                gap: Length::from_mm(gap),
                factor: 1.0,
            },
            solids,
            spread_steel: Fraction::from_ratio(spread),
            probes: Vec::new(),
            exposure: [1.0, 1.0, 1.0, 1.0, 0.4, 1.0],
        }],
        furnace: BoxFurnace {
            chamber: mm3([400.0; 3]),
            power: Power::from_kw(12.0),
            survey: Survey {
                at: Temperature::from_c(927.0),
                door: k(door),
                back: k(5.0),
                hearth: k(0.0),
                roof: k(0.0),
            },
            couple_lag: Span::from_s(60.0),
            band: k(4.0),
            load_at: Temperature::from_c(700.0),
            exchange_factor: 1.0,
        },
        cold: Temperature::from_c(20.0),
        set: Temperature::from_c(900.0),
        rise: Span::ZERO,
        hot_within: k(10.0),
        soak: Span::from_h(1.0),
        cooling: Cooling::InAir,
        detail: BoxDetail::Given {
            cell: Length::from_mm(25.0),
            step_error: k(3.0),
        },
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_layout_gives_numbers_or_words(
        inside in prop::array::uniform3(60.0..260.0_f64),
        pieces in prop::collection::vec(
            (prop::array::uniform3(0.0..1.0_f64), prop::array::uniform3(0.02..0.5_f64), 0..4_u8), 0..6),
        (spread, moisture, gap, door) in (0.0..0.3_f64, 0.0..0.2_f64, 0.0..4.0_f64, -30.0..10.0_f64),
    ) {
        let solids = pieces.iter().enumerate().map(|(i, (at, size, form))| {
            let size: [f64; 3] = std::array::from_fn(|a| (size[a] * inside[a]).max(1.5));
            Solid {
                mark: i.to_string(),
                at: mm3(std::array::from_fn(|a| at[a] * (inside[a] - size[a]).max(0.0))),
                size: mm3(size),
                form: match form {
                    0 => SolidForm::Block,
                    1 => SolidForm::Round { about: Axis::X },
                    2 => SolidForm::Round { about: Axis::Y },
                    _ => SolidForm::Round { about: Axis::Z },
                },
            }
        });
        match simulate::packed_boxes(&setup(inside, solids.collect(), spread, moisture, gap, door)) {
            Ok(run) => {
                prop_assert!(run.balance_error < 1e-9, "{:e}", run.balance_error);
                prop_assert!(run.hot_after.to_s() > 0.0 && run.ends.to_s() > run.soak_ends.to_s());
                let cycles = run.parts.iter().flat_map(|p| [&p.mean.cycle, &p.last])
                    .chain(run.probes.iter().map(|p| &p.cycle));
                for piece in cycles.flat_map(|c| &c.pieces) {
                    let t = piece.to.to_c();
                    // Between the cold and the hottest place of the chamber, by a step's error.
                    prop_assert!((19.0..=915.0).contains(&t), "{t}");
                }
            }
            // Pieces that lie in each other.
            Err(Failure::Setup { what }) => prop_assert!(what.contains("lie in each other"), "{what}"),
            Err(other) => prop_assert!(false, "{other}"),
        }
    }
}
