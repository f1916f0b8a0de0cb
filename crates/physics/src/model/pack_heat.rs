//! When the pack is hot.
//!
//! Furnace lining, box wall and the brick of compound with its parts as a mixture, heated with the
//! furnace's power at most. It does not place single parts, and knows no door side.
//! The middle of the box stands for the part. The doubt is carried by `bed_factor`; its prior is
//! [`crate::law::packed_bed::BED_FACTOR_LOW`] to `BED_FACTOR_HIGH` until a buried couple is logged.

use casewright_terms::quantity::ICE_POINT_K;
use casewright_terms::{Remark, SourceKey, Span};

use crate::law::packed_bed::{self, Bed};
use crate::law::steel_thermal;
use crate::run::{Failure, PackHeatRun};
use crate::setup::{Cooling, PackHeatSetup};

mod brick;
pub(crate) mod furnace;
pub(crate) mod trace;

pub(crate) use brick::Brick;
use furnace::{Around, Furnace};
use trace::Trace;

/// The pack counts as hot when its middle is this close to the set temperature, in kelvin.
pub const HOT_WITHIN_K: f64 = 10.0;
/// A box is opened, and the cycle ends, when its middle is below this, in °C.
pub const OPEN_BELOW_C: f64 = 150.0;
/// The pack is put in at this temperature, in °C.
const COLD_C: f64 = 25.0;
/// Longest stage that is simulated.
const LONGEST_S: f64 = 96.0 * 3600.0;
const LONGEST_STEP_S: f64 = 300.0;
/// Wanted change of the wall in one step, in kelvin.
const WALL_CHANGE_K: f64 = 12.0;

/// Heats the packed box, holds it and cools it.
///
/// # Errors
/// When the setup cannot be simulated, the box does not fit the chamber, or the furnace cannot
/// bring the middle to temperature within four days.
pub fn heat_pack(setup: &PackHeatSetup) -> Result<PackHeatRun, Failure> {
    check(setup)?;
    let bed = Bed {
        bulk_kg_m3: setup.bulk_density.to_kg_m3(),
        grain_m: setup.grain.to_m(),
        steel_share: setup.steel_fraction.to_ratio(),
        factor: setup.bed_factor,
    };
    let inside = setup.box_inside.map(|l| l.to_m());
    let mut run = Run {
        furnace: Furnace::new(setup),
        brick: Brick::new(inside, &bed, COLD_C + ICE_POINT_K),
        time_s: 0.0,
        step_s: 5.0,
        furnace_trace: Trace::default(),
        part_trace: Trace::default(),
        full_power_s: 0.0,
    };
    run.record(true);
    let set_k = setup.set.to_k();
    let hot_s = run.until("the heat-up", Around::Furnace { set_k }, |r| {
        r.brick.middle_k() >= set_k - HOT_WITHIN_K
    })?;
    let soak_end_s = hot_s + setup.soak.to_s().max(0.0);
    run.hold_until(Around::Furnace { set_k }, soak_end_s);
    cool(&mut run, setup)?;
    Ok(PackHeatRun {
        furnace: run.furnace_trace.cycle(),
        part: run.part_trace.cycle(),
        hot_after: Span::from_s(hot_s),
        soak_ends: Span::from_s(soak_end_s),
        ends: Span::from_s(run.time_s),
        remarks: remarks(setup, &run),
        sources: sources(),
    })
}

/// Keys of the sources of the model.
#[must_use]
pub fn sources() -> Vec<SourceKey> {
    let mut keys = packed_bed::SOURCES.to_vec();
    keys.extend([
        steel_thermal::SOURCES[0],
        "furnace-assumed",
        "trade-practice",
    ]);
    keys
}

fn cool(run: &mut Run, setup: &PackHeatSetup) -> Result<(), Failure> {
    let opens_k = OPEN_BELOW_C + ICE_POINT_K;
    match setup.cooling {
        Cooling::InFurnace => {
            run.until(
                "cooling in the furnace",
                Around::Furnace { set_k: 0.0 },
                |r| r.brick.middle_k() <= opens_k,
            )?;
        }
        Cooling::InAir => {
            run.until("cooling in air", Around::Air, |r| {
                r.brick.middle_k() <= opens_k
            })?;
        }
        Cooling::DropThenQuench { to, hold } => {
            let set_k = to.to_k();
            let there_s = run.until("the drop", Around::Furnace { set_k }, |r| {
                r.brick.middle_k() <= set_k + HOT_WITHIN_K
            })?;
            run.hold_until(Around::Furnace { set_k }, there_s + hold.to_s().max(0.0));
        }
    }
    Ok(())
}

/// The state of the whole and its traces.
struct Run {
    furnace: Furnace,
    brick: Brick,
    time_s: f64,
    step_s: f64,
    furnace_trace: Trace,
    part_trace: Trace,
    full_power_s: f64,
}

impl Run {
    fn record(&mut self, in_furnace: bool) {
        if in_furnace {
            self.furnace_trace
                .add(self.time_s, self.furnace.temperature_k());
        }
        self.part_trace.add(self.time_s, self.brick.middle_k());
    }

    /// One step of at most `most_s`.
    fn step(&mut self, around: Around, most_s: f64) {
        let step_s = self.step_s.min(most_s);
        let before_k = self.furnace.wall_k();
        let power_share = self.furnace.step(&mut self.brick, around, step_s);
        self.time_s += step_s;
        if power_share >= 1.0 {
            self.full_power_s += step_s;
        }
        let change_k = (self.furnace.wall_k() - before_k).abs();
        self.step_s = (step_s * (WALL_CHANGE_K / change_k.max(1e-3)).clamp(0.5, 1.4))
            .clamp(1.0, LONGEST_STEP_S);
        self.record(matches!(around, Around::Furnace { .. }));
    }

    /// Steps until `done`; gives the time.
    fn until(
        &mut self,
        what: &str,
        around: Around,
        done: impl Fn(&Self) -> bool,
    ) -> Result<f64, Failure> {
        let begin_s = self.time_s;
        self.step_s = self.step_s.min(30.0);
        while !done(self) {
            if self.time_s - begin_s > LONGEST_S {
                return Err(Failure::Setup {
                    what: format!(
                        "{what} is not over after {:.0} h: the middle of the box is at {:.0} °C, the furnace at {:.0} °C; a smaller box, more power or another temperature is needed",
                        LONGEST_S / 3600.0,
                        self.brick.middle_k() - ICE_POINT_K,
                        self.furnace.temperature_k() - ICE_POINT_K
                    ),
                });
            }
            self.step(around, f64::INFINITY);
        }
        Ok(self.time_s)
    }

    fn hold_until(&mut self, around: Around, end_s: f64) {
        while self.time_s < end_s - 1e-6 {
            self.step(around, end_s - self.time_s);
        }
        self.time_s = self.time_s.max(end_s);
    }
}

fn remarks(setup: &PackHeatSetup, run: &Run) -> Vec<Remark> {
    let mut remarks = packed_bed::range_remarks(setup.bulk_density, setup.grain);
    remarks.push(Remark::new(
        "pack-lag-doubt",
        "the time to heat the pack is known to a factor of about two either way until a couple buried in this box has been logged",
    ));
    if run.full_power_s > 1200.0 {
        remarks.push(Remark::new(
            "furnace-at-full-power",
            format!(
                "the furnace runs at its full {:.1} kW for {} of this cycle; the load is heavy for it",
                setup.power.to_kw(),
                Span::from_s(run.full_power_s).text()
            ),
        ));
    }
    remarks
}

fn check(setup: &PackHeatSetup) -> Result<(), Failure> {
    let refuse = |what: String| Err(Failure::Setup { what });
    for side in setup.box_inside {
        if !(0.02..=2.0).contains(&side.to_m()) {
            return refuse(format!(
                "a box side of {:.1} mm is not between 20 and 2000 mm",
                side.to_mm()
            ));
        }
    }
    if !(0.0005..=0.1).contains(&setup.wall.to_m()) {
        return refuse(format!(
            "a box wall of {:.1} mm is not between 0.5 and 100 mm",
            setup.wall.to_mm()
        ));
    }
    let mut outside = setup
        .box_inside
        .map(|l| l.to_mm() + 2.0 * setup.wall.to_mm());
    let mut chamber = setup.chamber.map(|l| l.to_mm());
    outside.sort_by(f64::total_cmp);
    chamber.sort_by(f64::total_cmp);
    if outside.iter().zip(chamber).any(|(o, c)| *o > c) || chamber[2] > 5000.0 {
        return refuse(format!(
            "a box of {:.0} × {:.0} × {:.0} mm outside does not fit a chamber of {:.0} × {:.0} × {:.0} mm",
            outside[0], outside[1], outside[2], chamber[0], chamber[1], chamber[2]
        ));
    }
    let steel = setup.steel_fraction.to_ratio();
    if !(0.0..=0.7).contains(&steel) {
        return refuse(format!(
            "{:.0} % of the box as steel is not between 0 and 70 %",
            steel * 100.0
        ));
    }
    let (density, grain) = (setup.bulk_density.to_kg_m3(), setup.grain.to_mm());
    if !(20.0..=3000.0).contains(&density) || !(0.01..=100.0).contains(&grain) {
        return refuse(format!(
            "compound of {density:.0} kg/m³ and {grain:.2} mm grain is not between 20 and 3000 kg/m³ and 0.01 and 100 mm"
        ));
    }
    if !(0.1..=1000.0).contains(&setup.power.to_kw()) {
        return refuse(format!(
            "a furnace of {:.2} kW is not between 0.1 and 1000 kW",
            setup.power.to_kw()
        ));
    }
    if !(0.05..=20.0).contains(&setup.bed_factor) {
        return refuse(format!(
            "the factor {} on the bed is not between 0.05 and 20",
            setup.bed_factor
        ));
    }
    check_temperatures(setup)
}

fn check_temperatures(setup: &PackHeatSetup) -> Result<(), Failure> {
    let refuse = |what: String| Err(Failure::Setup { what });
    let (set, load) = (setup.set.to_c(), setup.load_at.to_c());
    if !(100.0..=1150.0).contains(&set) {
        return refuse(format!(
            "a set temperature of {set:.0} °C is not between 100 and 1150 °C"
        ));
    }
    if !(0.0..=1200.0).contains(&load) {
        return refuse(format!(
            "loading at {load:.0} °C is not between 0 and 1200 °C"
        ));
    }
    if !(0.0..=200.0).contains(&setup.soak.to_h()) {
        return refuse(format!(
            "a soak of {:.1} h is not between 0 and 200 h",
            setup.soak.to_h()
        ));
    }
    if let Cooling::DropThenQuench { to, hold } = setup.cooling
        && !((100.0..=set).contains(&to.to_c()) && (0.0..=200.0).contains(&hold.to_h()))
    {
        return refuse(format!(
            "a drop to {:.0} °C held {:.1} h is not between 100 °C and the set {set:.0} °C, at most 200 h",
            to.to_c(),
            hold.to_h()
        ));
    }
    Ok(())
}

#[cfg(test)]
mod tests;
