//! The packed box for any setup that can be written down.

use casewright_physics::model::pack_heat::heat_pack;
use casewright_physics::setup::{Cooling, Cycle, PackHeatSetup};
use casewright_terms::{Density, Fraction, Length, Power, Span, Temperature};
use proptest::prelude::*;

fn sane(cycle: &Cycle) -> bool {
    cycle.pieces.len() <= 48
        && cycle
            .pieces
            .iter()
            .all(|p| p.duration.to_s() >= 0.0 && (200.0..1600.0).contains(&p.to.to_k()))
        && cycle.pieces.windows(2).all(|p| p[0].to == p[1].from)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    /// Finite, ordered times and cycles of few joined pieces, or a refusal with words.
    #[test]
    fn random_packs_stay_sane(
        sides in prop::array::uniform3(30.0..400.0f64),
        wall_mm in 1.0..15.0f64,
        steel in 0.0..0.6f64,
        density in 100.0..800.0f64,
        grain_mm in 0.5..30.0f64,
        power_kw in 0.5..60.0f64,
        load_c in 20.0..1000.0f64,
        set_c in 700.0..1050.0f64,
        soak_h in 0.0..20.0f64,
        cooling in 0..3usize,
        factor in 0.3..3.0f64,
    ) {
        let mm = Length::from_mm;
        let setup = PackHeatSetup {
            box_inside: sides.map(mm),
            wall: mm(wall_mm),
            steel_fraction: Fraction::from_ratio(steel),
            bulk_density: Density::from_kg_m3(density),
            grain: mm(grain_mm),
            power: Power::from_kw(power_kw),
            chamber: [mm(450.0), mm(450.0), mm(600.0)],
            load_at: Temperature::from_c(load_c),
            set: Temperature::from_c(set_c),
            soak: Span::from_h(soak_h),
            cooling: [
                Cooling::InFurnace,
                Cooling::InAir,
                Cooling::DropThenQuench { to: Temperature::from_c(650.0), hold: Span::from_min(20.0) },
            ][cooling],
            bed_factor: factor,
        };
        match heat_pack(&setup) {
            Ok(run) => {
                prop_assert!(0.0 < run.hot_after.to_s() && run.hot_after.to_s() <= run.soak_ends.to_s());
                prop_assert!(run.soak_ends.to_s() <= run.ends.to_s() + 1e-6);
                prop_assert!(sane(&run.part) && sane(&run.furnace), "{:?}", run.part);
            }
            Err(failure) => prop_assert!(failure.to_string().len() > 30, "{failure}"),
        }
    }
}
