//! Transformation curves: what one austenite does when it is held, and when it is cooled.
//!
//! The kinetics of the chain, asked at one temperature after the other and along steady ways down;
//! no formula of its own. The carbon is dissolved as far as the carbide line at the austenitising
//! temperature allows. It draws nothing.
//!
//! A way down is Newton's towards 25 °C and is named by its rate at 700 °C, as the trade names the
//! places of the end-quench bar; a real part leaves that way where its heat transfer changes.

use casewright_terms::quantity::ICE_POINT_K;
use casewright_terms::{Remark, Span, Temperature, Vickers, WeightPercent};

use crate::equilibrium::carbide_limit;
use crate::law::decomposition::{self, Product};
use crate::law::hardness_conversion::hrc_of;
use crate::law::{martensite_start, phase_hardness};
use crate::numerics::fun::{exp, ln, sqrt};
use crate::run::{
    CoolingCurve, CurveLines, CurvePoint, Failure, IsothermalPoint, TransformationCurves,
};
use crate::setup::CurvesSetup;

use super::chain::as_quenched_hv;
use super::transform::{self, Austenite, Kinetics, Phases, State, SteelLines};

#[cfg(test)]
mod tests;

/// Where every way ends, in °C.
const ROOM_C: f64 = 25.0;
/// Temperature at which ways are named, in °C.
const NAMED_AT_C: f64 = 700.0;
/// Spacing of the isothermal curve in kelvin.
const STEP_K: f64 = 5.0;
/// First and last time looked at, in seconds: under any bath, and over eleven days.
const EARLIEST_S: f64 = 1e-3;
/// See [`EARLIEST_S`].
pub const LONGEST_S: f64 = 1e6;
/// Growth of the isothermal step. The incubation is exact within a step and growth is integrated
/// inside it, so only where two products compete does it matter: below 5 % in time
/// (`finer_steps_change_nothing_that_is_read`).
const RATIO: f64 = 1.04;
/// Step on the way down in kelvin.
const COOLING_STEP_K: f64 = 2.0;
/// Rates at 700 °C that are looked at: these in each decade of K/s.
const RATES_IN_DECADE: [f64; 8] = [1.0, 1.3, 1.7, 2.2, 3.0, 4.0, 5.5, 7.5];
/// The decades; one rate more ends the last.
const DECADES_K_S: [f64; 5] = [0.01, 0.1, 1.0, 10.0, 100.0];
/// See [`DECADES_K_S`].
const FASTEST_K_S: f64 = 1000.0;
/// Shares that are marked.
const START: f64 = 0.01;
const HALF: f64 = 0.5;
const END: f64 = 0.99;
/// Halvings of the ratio of rates when a critical one is sought: 100 000 to a thousandth.
const HALVINGS: usize = 14;

/// Computes the curves.
///
/// # Errors
/// A grain number or a carbon that cannot be, or a steel outside the Gibbs energies.
pub fn transformation_curves(setup: &CurvesSetup) -> Result<TransformationCurves, Failure> {
    let one = One::new(setup)?;
    let shared = SteelLines::new(&setup.composition);
    let kinetics = Kinetics::new(&shared, one.carbon, setup.grain_number, 1.0);
    let lines = lines(&kinetics, setup, one.carbon);
    let way = Way {
        setup,
        kinetics: &kinetics,
        start: one.start(),
        from_k: lines.ae3.to_k().max(lines.ae1.to_k()),
    };
    Ok(TransformationCurves {
        carbon: WeightPercent::from_wt_pct(one.carbon),
        grain_number: setup.grain_number,
        isothermal: isothermal(&kinetics, &lines),
        cooling: rates().map(|rate| way.cool(rate)).collect(),
        critical_rate_k_s: way.slowest_with(1.0 - START),
        half_martensite_rate_k_s: way.slowest_with(HALF),
        lines,
        remarks: remarks(setup, &one),
        sources: sources(),
    })
}

/// Keys of the sources of the model.
#[must_use]
pub fn sources() -> Vec<casewright_terms::SourceKey> {
    let mut keys = transform::sources();
    keys.extend(phase_hardness::SOURCES);
    keys.sort_unstable();
    keys.dedup();
    keys
}

/// Temperature after `time_s` on Newton's way from `from_k` towards 25 °C.
pub(crate) fn newton_k(from_k: f64, rate_k_s: f64, time_s: f64) -> f64 {
    let end_k = ROOM_C + ICE_POINT_K;
    let per_s = rate_k_s / (NAMED_AT_C - ROOM_C);
    end_k + (from_k - end_k) * exp(-per_s * time_s)
}

/// Time to `t_k` on the same way.
fn newton_s(from_k: f64, rate_k_s: f64, t_k: f64) -> f64 {
    let end_k = ROOM_C + ICE_POINT_K;
    let per_s = rate_k_s / (NAMED_AT_C - ROOM_C);
    ln((from_k - end_k) / (t_k - end_k)) / per_s
}

fn rates() -> impl Iterator<Item = f64> {
    DECADES_K_S
        .into_iter()
        .flat_map(|decade| RATES_IN_DECADE.map(|rate| rate * decade))
        .chain([FASTEST_K_S])
}

/// The austenite that is looked at.
struct One {
    /// Carbon dissolved, in wt%.
    carbon: f64,
    /// Carbide line where the steel is austenitised, in wt%.
    limit: f64,
}

impl One {
    fn new(setup: &CurvesSetup) -> Result<Self, Failure> {
        let refuse = |what: String| Failure::Setup { what };
        if !(-2.0..=16.0).contains(&setup.grain_number) {
            return Err(refuse(format!(
                "grain number {} is not between -2 and 16",
                setup.grain_number
            )));
        }
        if let Some(remark) = decomposition::FIT.withheld("Curves are", &setup.composition) {
            return Err(refuse(remark.text.trim_end_matches('.').to_owned()));
        }
        let asked = setup.carbon.to_wt_pct();
        if !(0.0..=2.1).contains(&asked) {
            return Err(refuse(format!(
                "{asked} wt% carbon is not between 0 and 2.1 wt%, which austenite can hold"
            )));
        }
        let limit = carbide_limit(&setup.composition, setup.from)
            .map_err(|why| refuse(why.to_string()))?
            .to_wt_pct();
        Ok(Self {
            carbon: asked.min(limit),
            limit,
        })
    }

    fn start(&self) -> Austenite {
        Austenite {
            austenite: 1.0,
            carbon: WeightPercent::from_wt_pct(self.carbon),
            ferrite: 0.0,
            pearlite: 0.0,
            carbide: 0.0,
        }
    }
}

fn lines(kinetics: &Kinetics<'_>, setup: &CurvesSetup, carbon: f64) -> CurveLines {
    let starts = kinetics.starts();
    let austenite = setup
        .composition
        .with_carbon(WeightPercent::from_wt_pct(carbon));
    let ms = martensite_start::martensite_start(&austenite).value;
    let per_k = martensite_start::martensite_rate_per_k(&austenite).value;
    // [koistinen-marburger-1959] solved for the temperature.
    let left = |share: f64| Temperature::from_k((ms.to_k() + ln(share) / per_k).max(1.0));
    CurveLines {
        ae3: Temperature::from_k(starts.ae3_k),
        ae1: Temperature::from_k(starts.ae1_k),
        bainite: Temperature::from_k(starts.bs_k),
        martensite: ms,
        half_martensite: left(0.5),
        most_martensite: left(0.1),
    }
}

fn isothermal(kinetics: &Kinetics<'_>, lines: &CurveLines) -> Vec<IsothermalPoint> {
    let top_k = lines.ae3.to_k().max(lines.ae1.to_k());
    let low_k = lines.martensite.to_k();
    let many = ((top_k - low_k) / STEP_K).floor().max(0.0) as usize;
    (1..=many)
        .map(|i| hold(kinetics, top_k - STEP_K * i as f64, RATIO))
        .filter(|point| point.temperature > lines.martensite)
        .collect()
}

/// Holds the austenite at one temperature.
fn hold(kinetics: &Kinetics<'_>, t_k: f64, ratio: f64) -> IsothermalPoint {
    let mut state = State::new(kinetics);
    let mut marks = [(START, None), (HALF, None), (END, None)];
    let mut first = None;
    let (mut time_s, mut gone) = (0.0, 0.0);
    let mut next_s = EARLIEST_S;
    while next_s < LONGEST_S && marks[2].1.is_none() {
        let formed = state.advance(kinetics, t_k, t_k, next_s - time_s);
        if first.is_none() {
            first = Product::ALL.into_iter().find(|p| formed[*p as usize] > 0.0);
        }
        let now = 1.0 - state.austenite();
        for (share, at) in &mut marks {
            if at.is_none() && now >= *share {
                let part = ((*share - gone) / (now - gone)).clamp(0.0, 1.0);
                *at = Some(Span::from_s(time_s + part * (next_s - time_s)));
            }
        }
        (time_s, gone) = (next_s, now);
        next_s *= ratio;
    }
    IsothermalPoint {
        temperature: Temperature::from_k(t_k),
        first,
        start: marks[0].1,
        half: marks[1].1,
        end: marks[2].1,
    }
}

/// What all ways down of one austenite share.
struct Way<'a> {
    setup: &'a CurvesSetup,
    kinetics: &'a Kinetics<'a>,
    start: Austenite,
    /// Where the clock starts.
    from_k: f64,
}

impl Way<'_> {
    /// Martensite with its austenite after a way down; it forms no carbide.
    fn martensitic(&self, rate_k_s: f64) -> f64 {
        let phases = self.follow(rate_k_s, |_, _, _| ());
        phases.martensite + phases.retained_austenite
    }

    /// Slowest rate that leaves `share` martensitic.
    fn slowest_with(&self, share: f64) -> Option<f64> {
        let (mut slow, mut fast) = (DECADES_K_S[0], FASTEST_K_S);
        if self.martensitic(fast) < share || self.martensitic(slow) >= share {
            return None;
        }
        for _ in 0..HALVINGS {
            let rate = sqrt(slow * fast);
            if self.martensitic(rate) >= share {
                fast = rate;
            } else {
                slow = rate;
            }
        }
        Some(fast)
    }

    /// Takes the austenite down; `seen` gets time, temperature and state after each step.
    fn follow(&self, rate_k_s: f64, mut seen: impl FnMut(f64, f64, &State)) -> Phases {
        let mut state = State::new(self.kinetics);
        let end_k = ROOM_C + ICE_POINT_K;
        let (mut time_s, mut t_k) = (0.0, self.from_k);
        while t_k - COOLING_STEP_K > end_k && !state.below_martensite_start() {
            let to_k = t_k - COOLING_STEP_K;
            let at_s = newton_s(self.from_k, rate_k_s, to_k);
            state.advance(self.kinetics, t_k, to_k, at_s - time_s);
            (time_s, t_k) = (at_s, to_k);
            seen(time_s, t_k, &state);
        }
        state.finish(end_k);
        state.phases(&self.start)
    }

    fn cool(&self, rate_k_s: f64) -> CoolingCurve {
        let mut starts = [None; 3];
        let (mut half, mut end, mut martensite) = (None, None, None);
        let mut before = (0.0, self.from_k, [0.0; 3], 0.0);
        let phases = self.follow(rate_k_s, |time_s, t_k, state| {
            let (was_s, was_k, was, was_gone) = before;
            if state.below_martensite_start() {
                martensite.get_or_insert(point(was_s, was_k));
                return;
            }
            // On a straight line within the step.
            let mark = |at: &mut Option<CurvePoint>, share: f64, from: f64, to: f64| {
                if to >= share && at.is_none() {
                    let part = ((share - from) / (to - from)).clamp(0.0, 1.0);
                    *at = Some(point(
                        was_s + part * (time_s - was_s),
                        was_k + part * (t_k - was_k),
                    ));
                }
            };
            let formed = state.formed();
            for i in 0..3 {
                mark(&mut starts[i], START, was[i], formed[i]);
            }
            let gone = 1.0 - state.austenite();
            mark(&mut half, HALF, was_gone, gone);
            mark(&mut end, END, was_gone, gone);
            before = (time_s, t_k, formed, gone);
        });
        let hardness = Vickers::from_hv(as_quenched_hv(&self.setup.composition, &phases, rate_k_s));
        CoolingCurve {
            rate_k_s,
            starts,
            half,
            end,
            // The last percent's martensite is no line worth drawing.
            martensite: martensite.filter(|_| end.is_none()),
            phases,
            hardness,
            hrc: hrc_of(hardness),
        }
    }
}

fn point(time_s: f64, t_k: f64) -> CurvePoint {
    CurvePoint {
        time: Span::from_s(time_s),
        temperature: Temperature::from_k(t_k),
    }
}

fn remarks(setup: &CurvesSetup, one: &One) -> Vec<Remark> {
    let austenite = setup
        .composition
        .with_carbon(WeightPercent::from_wt_pct(one.carbon));
    let mut remarks = decomposition::range_remarks(&austenite, setup.grain_number);
    let mut martensite = Vec::new();
    martensite_start::martensite_start(&austenite).into_value(&mut martensite);
    remarks.extend(martensite);
    if setup.carbon.to_wt_pct() > one.limit {
        remarks.push(Remark::new(
            "curves-carbide-left",
            format!(
                "At {:.0} °C this steel dissolves {:.2} wt% carbon; the curves are those of that austenite, the rest stays carbide.",
                setup.from.to_c(),
                one.limit
            ),
        ));
    }
    if one.carbon > transform::KINETICS_CARBON_LIMIT {
        remarks.push(Remark::new(
            "curves-no-carbide",
            "Carbide that forms on the grain boundaries before pearlite is not followed; slow cooling of this austenite brings some.",
        ));
    }
    remarks.sort();
    remarks.dedup();
    remarks
}
