//! Heat in packed boxes, in three dimensions, with the furnace around them.
//!
//! Conduction in box wall, compound and the steel in its places; radiation and convection from the
//! chamber, which is colder at the door and has a controller and only so much power; then cooling
//! in the furnace or in air. Cells are those of `grid`, flows those of `field`, steps those of
//! `step`. Not included: steam on the move, reaction heat of the energiser, scale, and shade of one
//! box on another beyond the exposure that the setup gives each face.

use casewright_terms::quantity::ICE_POINT_K;
use casewright_terms::{Fraction, Remark, SourceKey, Span};

use crate::law::{packed_bed, steel_thermal};
use crate::run::{BoxRun, Failure};
use crate::setup::{BoxDetail, BoxSetup, Cooling, PackedBox, PowerCut};

mod chamber;
mod check;
pub(crate) mod closed;
mod doubt;
mod empty;
mod field;
mod grid;
mod matter;
mod spread;
mod step;
mod watch;

pub use closed::brick_against_series;
pub use doubt::{Prior, hot_band, learn_from_log};
pub use empty::{FurnaceWork, furnace_work};
pub(crate) use field::Around;
pub use spread::depths;
pub use watch::MIDDLE;

use super::pack_heat::OPEN_BELOW_C;
use super::pack_heat::trace::Trace;
use chamber::Chamber;
use field::Field;
use step::{Engine, Refused};
use watch::Eye;

/// Longest stage that is simulated.
const LONGEST_S: f64 = 120.0 * 3600.0;
/// Longest step: records are read off straight between two.
const LONGEST_STEP_S: f64 = 900.0;
/// First step after a change of what is around.
const FIRST_STEP_S: f64 = 4.0;
const LEAST_STEP_S: f64 = 1e-5;
/// This close to a temperature that is waited for is there.
const THERE_K: f64 = 0.02;
const MOST_STEPS: usize = 20_000;
/// Wanted miss of a linear system against the error allowed in a step.
const SOLVED: f64 = 0.08;

/// Cells along the shortest side, and error allowed in a step in kelvin.
pub(crate) const fn fineness(detail: BoxDetail) -> Option<(f64, f64)> {
    match detail {
        BoxDetail::Coarse => Some((7.0, 3.0)),
        BoxDetail::Standard => Some((12.0, 0.7)),
        BoxDetail::Fine => Some((24.0, 0.1)),
        BoxDetail::Given { .. } => None,
    }
}

/// Heats the boxes, holds and cools them.
///
/// # Errors
/// When the setup cannot be simulated, or the pack is not hot within five days.
pub fn heat_boxes(setup: &BoxSetup) -> Result<BoxRun, Failure> {
    heat(setup, None)
}

/// [`heat_boxes`] with the power away for a while in the soak. The soak ends by the clock, as if
/// nobody had seen it: what was lost is lost.
///
/// # Errors
/// As [`heat_boxes`], and when the cut begins before the pack is hot or has no length.
pub fn heat_boxes_with_cut(setup: &BoxSetup, cut: PowerCut) -> Result<BoxRun, Failure> {
    check::check_cut(cut)?;
    heat(setup, Some(cut))
}

fn heat(setup: &BoxSetup, cut: Option<PowerCut>) -> Result<BoxRun, Failure> {
    let cell_m = division(setup).0;
    let (mut run, hot_s) = to_heat(setup)?;
    let soak_s = hot_s + setup.soak.to_s();
    if let Some(cut) = cut {
        run.cut(hot_s + cut.after.to_s(), cut.lasts.to_s(), soak_s)?;
    }
    run.hold_until(Around::Furnace, soak_s)?;
    let heat_j = run.engine.field.total_j(&run.engine.state.t_k) - run.begin_j;
    run.cool(setup)?;
    let full = Ends {
        hot_s,
        soak_s,
        heat_j,
    };
    Ok(run.result(setup, &cell_m, &full))
}

/// From loading until the pack is hot, and no further.
///
/// # Errors
/// As [`heat_boxes`].
pub fn hot_after(setup: &BoxSetup) -> Result<Span, Failure> {
    Ok(Span::from_s(to_heat(setup)?.1))
}

/// A run that has just become hot, and when.
fn to_heat(setup: &BoxSetup) -> Result<(Run, f64), Failure> {
    check::check(setup)?;
    let (cell_m, allowed_k) = division(setup);
    let field = Field::new(setup, &cell_m);
    check::check_cells(&field)?;
    let mut run = Run::new(setup, field, allowed_k);
    run.begin(Around::Furnace, setup.set.to_k());
    run.record(true);
    let within_k = setup.hot_within.to_k();
    let hot_s = run.until("the heat-up", Around::Furnace, |run| {
        run.deciding(|eye, t| eye.goal_k - within_k - t)
    })?;
    Ok((run, hot_s))
}

/// A run that has become hot and is at least this old, and when it was hot; the furnace stays on.
fn follow(setup: &BoxSetup, end_s: f64) -> Result<(Run, f64), Failure> {
    let (mut run, hot_s) = to_heat(setup)?;
    run.hold_until(Around::Furnace, end_s)?;
    Ok((run, hot_s))
}

/// Keys of the sources of the model.
#[must_use]
pub fn sources() -> Vec<SourceKey> {
    let mut keys = packed_bed::SOURCES.to_vec();
    keys.extend([
        steel_thermal::SOURCES[0],
        "furnace-assumed",
        "radiation-handbook",
        "trade-practice",
        "bank-1985",
        "peaceman-1978",
        "box-prior-assumed",
    ]);
    keys
}

/// Cell size of each box, and the error allowed in a step.
fn division(setup: &BoxSetup) -> (Vec<f64>, f64) {
    let least = |packed: &PackedBox| {
        packed
            .inside
            .iter()
            .map(|l| l.to_m())
            .fold(f64::INFINITY, f64::min)
    };
    match (fineness(setup.detail), setup.detail) {
        (_, BoxDetail::Given { cell, step_error }) => {
            (vec![cell.to_m(); setup.boxes.len()], step_error.to_k())
        }
        (fine, _) => {
            let (across, allowed_k) = fine.unwrap_or((12.0, 0.7));
            let cells = setup.boxes.iter().map(|b| least(b) / across);
            (cells.collect(), allowed_k)
        }
    }
}

/// The moments that divide a cycle, and the heat in the boxes at the end of the soak.
struct Ends {
    hot_s: f64,
    soak_s: f64,
    heat_j: f64,
}

/// Engine and records under way.
struct Run {
    engine: Engine,
    eyes: Vec<Eye>,
    furnace: Trace,
    step_s: f64,
    allowed_k: f64,
    steps: usize,
    refused: usize,
    full_power_s: f64,
    begin_j: f64,
    greatest_j: f64,
    /// Set temperature now, and how it got there: from, over what time.
    set_k: f64,
    rise: (f64, f64),
}

impl Run {
    fn new(setup: &BoxSetup, field: Field, allowed_k: f64) -> Self {
        let eyes = watch::eyes(setup, &field);
        let load_k = setup.furnace.load_at.to_k();
        let start = (setup.cold.to_k(), Chamber::held_at(load_k));
        let chamber = Chamber::new(&setup.furnace);
        let engine = Engine::new(field, chamber, start, SOLVED * allowed_k);
        let begin_j = engine.field.total_j(&engine.state.t_k);
        Self {
            engine,
            eyes,
            furnace: Trace::default(),
            step_s: FIRST_STEP_S,
            allowed_k,
            steps: 0,
            refused: 0,
            full_power_s: 0.0,
            begin_j,
            greatest_j: 0.0,
            set_k: setup.set.to_k(),
            rise: (load_k, setup.rise.to_s()),
        }
    }

    /// Something around has changed.
    fn begin(&mut self, around: Around, set_k: f64) {
        self.set_k = set_k;
        let now_k = self.set_at(self.engine.state.time_s);
        self.engine.begin(around, now_k);
        self.step_s = FIRST_STEP_S;
    }

    fn set_at(&self, time_s: f64) -> f64 {
        set_at(self.set_k, self.rise, time_s)
    }

    fn record(&mut self, in_furnace: bool) {
        let state = &self.engine.state;
        for eye in &mut self.eyes {
            eye.record(state.time_s, &state.t_k);
        }
        if in_furnace {
            self.furnace.add(state.time_s, state.lining.couple);
        }
        let inside_j = self.begin_j + state.through_j;
        self.greatest_j = self.greatest_j.max((inside_j - self.begin_j).abs());
    }

    /// The greatest of `miss` over the parts, or over the middles where there are no parts.
    fn deciding(&self, miss: impl Fn(&Eye, f64) -> f64) -> f64 {
        let t_k = &self.engine.state.t_k;
        let parts = self.eyes.iter().any(Eye::is_part);
        self.eyes
            .iter()
            .filter(|eye| eye.is_part() == parts)
            .map(|eye| miss(eye, eye.now_k(t_k)))
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// One accepted step of at most `most_s`; recorded by the caller.
    fn step(&mut self, around: Around, most_s: f64) -> Result<(), Failure> {
        loop {
            let step_s = self.step_s.min(LONGEST_STEP_S).min(most_s);
            if step_s < LEAST_STEP_S.min(most_s) || self.steps + self.refused > MOST_STEPS {
                return Err(self.not_settled("steps shrink without end"));
            }
            let (set_k, rise) = (self.set_k, self.rise);
            let set = move |time_s: f64| set_at(set_k, rise, time_s);
            match self.engine.step(around, set, step_s, self.allowed_k) {
                Ok(error) => {
                    self.steps += 1;
                    // Without an estimate, and a step cut for the clock, nothing is learnt.
                    let grown = step_s * growth(error.unwrap_or(0.1));
                    self.step_s = if step_s < self.step_s {
                        grown.max(self.step_s)
                    } else {
                        grown
                    };
                    if self.engine.chamber().at_full(self.engine.state.power_w) {
                        self.full_power_s += step_s;
                    }
                    return Ok(());
                }
                Err(Refused::Error(error)) => {
                    self.refused += 1;
                    self.step_s = step_s * growth(error);
                }
                Err(Refused::NotSettled) => {
                    self.refused += 1;
                    self.step_s = step_s * 0.3;
                }
            }
        }
    }

    /// Steps until `miss` is no longer positive; gives the time, at which the state then is.
    fn until(
        &mut self,
        what: &str,
        around: Around,
        miss: impl Fn(&Self) -> f64,
    ) -> Result<f64, Failure> {
        let begin_s = self.engine.state.time_s;
        let in_furnace = around == Around::Furnace;
        let mut left = miss(self);
        while left > THERE_K {
            if self.engine.state.time_s - begin_s > LONGEST_S {
                return Err(self.too_long(what));
            }
            let held = self.engine.state.clone();
            self.step(around, f64::INFINITY)?;
            let mut now = miss(self);
            if now < -THERE_K {
                // Back, and a step towards the moment itself; the next ones close in on it.
                let step_s = self.engine.state.time_s - held.time_s;
                self.engine.state = held;
                self.engine.forget();
                let share = left / (left - now);
                self.step(around, (share * step_s).max(LEAST_STEP_S))?;
                now = miss(self);
            }
            left = now;
            self.record(in_furnace);
        }
        Ok(self.engine.state.time_s)
    }

    fn hold_until(&mut self, around: Around, end_s: f64) -> Result<(), Failure> {
        while self.engine.state.time_s < end_s - 1e-6 {
            let left_s = end_s - self.engine.state.time_s;
            // Two even steps rather than a long one and a splinter.
            let most_s = if left_s < 2.0 * self.step_s {
                left_s / 2.0
            } else {
                left_s
            };
            let most_s = if left_s <= self.step_s || left_s < 1.0 {
                left_s
            } else {
                most_s
            };
            self.step(around, most_s)?;
            self.record(around == Around::Furnace);
        }
        Ok(())
    }

    /// The power is away from one moment for so long, or to the end of the soak: the controller asks
    /// for nothing, and the furnace cools with the boxes in it through its lining.
    fn cut(&mut self, from_s: f64, lasts_s: f64, soak_s: f64) -> Result<(), Failure> {
        let set_k = self.set_k;
        self.hold_until(Around::Furnace, from_s.min(soak_s))?;
        self.rise = (0.0, 0.0);
        self.begin(Around::Furnace, 0.0);
        self.hold_until(Around::Furnace, (from_s + lasts_s).min(soak_s))?;
        self.begin(Around::Furnace, set_k);
        Ok(())
    }

    fn cool(&mut self, setup: &BoxSetup) -> Result<(), Failure> {
        let opens_k = OPEN_BELOW_C + ICE_POINT_K;
        let open = move |run: &Self| {
            let t_k = &run.engine.state.t_k;
            let middles = run.eyes.iter().filter(|eye| eye.is_middle());
            middles.map(|eye| eye.now_k(t_k)).fold(0.0_f64, f64::max) - opens_k
        };
        self.rise = (0.0, 0.0);
        match setup.cooling {
            Cooling::InFurnace => {
                self.begin(Around::Furnace, 0.0);
                self.until("cooling in the furnace", Around::Furnace, open)?;
            }
            Cooling::InAir => {
                self.begin(Around::Air, 0.0);
                self.until("cooling in air", Around::Air, open)?;
            }
            Cooling::DropThenQuench { to, hold } => {
                let (to_k, set_k) = (to.to_k(), setup.set.to_k());
                let within_k = setup.hot_within.to_k();
                self.begin(Around::Furnace, to_k);
                let there_s = self.until("the drop", Around::Furnace, |run| {
                    run.deciding(|eye, t| t - (eye.goal_k + to_k - set_k) - within_k)
                })?;
                self.hold_until(Around::Furnace, there_s + hold.to_s())?;
            }
        }
        Ok(())
    }

    fn too_long(&self, what: &str) -> Failure {
        let coldest_c = self.deciding(|_, t| -t).abs() - ICE_POINT_K;
        Failure::Setup {
            what: format!(
                "{what} is not over after {:.0} h: the coldest part is at {coldest_c:.0} °C, the furnace at {:.0} °C; a smaller box, more power or another temperature is needed",
                LONGEST_S / 3600.0,
                self.engine.state.lining.couple - ICE_POINT_K
            ),
        }
    }

    fn not_settled(&self, detail: &str) -> Failure {
        Failure::NotSettled {
            stage: "heat in the box",
            detail: detail.to_owned(),
            time_s: self.engine.state.time_s,
            step_s: self.step_s,
            steps: self.steps,
        }
    }

    fn result(self, setup: &BoxSetup, cell_m: &[f64], ends: &Ends) -> BoxRun {
        let (set_k, within_k) = (setup.set.to_k(), setup.hot_within.to_k());
        let (parts, probes): (Vec<_>, Vec<_>) = self.eyes.iter().partition(|eye| eye.is_part());
        let parts: Vec<_> = parts
            .iter()
            .map(|e| e.part(set_k, within_k, ends.soak_s))
            .collect();
        let by = |sign: f64| {
            (0..parts.len()).min_by(|a, b| {
                let at = |i: usize| sign * parts[i].mean.soaked.to_k();
                at(*a).total_cmp(&at(*b))
            })
        };
        let state = &self.engine.state;
        let gained_j = self.engine.field.total_j(&state.t_k) - self.begin_j;
        let kwh = |j: f64| j / 3.6e6;
        BoxRun {
            furnace: self.furnace.cycle(),
            coldest: by(1.0),
            hottest: by(-1.0),
            probes: probes
                .iter()
                .map(|e| e.watched(set_k, within_k, ends.soak_s))
                .collect(),
            hot_after: Span::from_s(ends.hot_s),
            soak_ends: Span::from_s(ends.soak_s),
            ends: Span::from_s(state.time_s),
            work_kwh: kwh(state.work_j),
            heat_in_boxes_kwh: kwh(ends.heat_j),
            full_power: Span::from_s(self.full_power_s),
            balance_error: (gained_j - state.through_j).abs() / self.greatest_j.max(1.0),
            numerical_error: Fraction::from_ratio(numerical_error(setup, cell_m, self.allowed_k)),
            cells: self
                .engine
                .field
                .blocks
                .iter()
                .map(|b| b.end() - b.start)
                .sum(),
            steps: self.steps,
            refused: self.refused,
            passes: self.engine.passes(),
            remarks: remarks(setup, self.full_power_s),
            sources: sources(),
            parts,
        }
    }
}

fn set_at(set_k: f64, (from_k, over_s): (f64, f64), time_s: f64) -> f64 {
    if time_s < over_s {
        from_k + (set_k - from_k) * time_s / over_s
    } else {
        set_k
    }
}

/// How much longer the next step may be, by the error over the allowed one.
fn growth(error: f64) -> f64 {
    let root = crate::numerics::fun::cbrt(error.max(1e-6));
    (0.85 / root).clamp(0.2, 2.0)
}

/// Share of the time to heat that cells and steps may cost.
fn numerical_error(setup: &BoxSetup, cell_m: &[f64], allowed_k: f64) -> f64 {
    setup
        .boxes
        .iter()
        .zip(cell_m)
        .map(|(packed, cell)| {
            let least = packed
                .inside
                .iter()
                .map(|l| l.to_m())
                .fold(f64::INFINITY, f64::min);
            CELLS_COST * cell / least
        })
        .fold(0.0_f64, f64::max)
        + STEPS_COST_PER_K * allowed_k
}

/// Error of the time to heat by the cell over the shortest side, and by the error allowed in a
/// step: what covers the loads of `refining_stays_within_the_stated_error`.
const CELLS_COST: f64 = 0.2;
/// See [`CELLS_COST`].
const STEPS_COST_PER_K: f64 = 0.004;

fn remarks(setup: &BoxSetup, full_power_s: f64) -> Vec<Remark> {
    let mut remarks = Vec::new();
    for packed in &setup.boxes {
        for remark in packed_bed::range_remarks(packed.bed.bulk_density, packed.bed.grain) {
            if !remarks.contains(&remark) {
                remarks.push(remark);
            }
        }
    }
    remarks.push(Remark::new(
        "pack-lag-doubt",
        "the time to heat the pack is known to a factor of about two either way until a couple buried in this box has been logged",
    ));
    if full_power_s > 1200.0 {
        remarks.push(Remark::new(
            "furnace-at-full-power",
            format!(
                "the furnace runs at its full {:.1} kW for {} of this cycle; the load is heavy for it",
                setup.furnace.power.to_kw(),
                Span::from_s(full_power_s).text()
            ),
        ));
    }
    remarks
}

#[cfg(test)]
mod tests;
