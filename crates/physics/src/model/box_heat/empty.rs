//! A furnace by itself: the work that it takes to be brought to a temperature and held there.
//!
//! The lining is that of the boxes' furnace, with nothing in the chamber. What a load takes up is
//! heat that is added to this work, whenever it is taken; that a load makes the heat-up longer, and
//! so the loss a little greater, is left out. It knows no door that is opened.

use casewright_terms::{Power, Span};

use super::chamber::{Chamber, Lining};
use crate::run::Failure;
use crate::setup::BoxFurnace;

/// Step of the lining: its hot face answers within minutes.
const STEP_S: f64 = 20.0;
/// Passes for one step; the controller's band makes the balance bend once.
const PASSES: usize = 60;
/// Longest time that is followed.
const LONGEST_S: f64 = 120.0 * 3600.0;
/// This close to the band below the set point is there.
const THERE_K: f64 = 1.0;

/// What a furnace takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FurnaceWork {
    /// From switching on until the couple is at the set point.
    pub to_heat: Span,
    /// Electrical work of heat-up and hold, in kWh.
    pub work_kwh: f64,
    /// What is lost through the lining at the end of the hold.
    pub held: Power,
}

/// The work of an empty furnace from `furnace.load_at` to the set point, and held there.
///
/// # Errors
/// When the furnace does not come to the set point within five days, or a step does not settle.
pub fn furnace_work(
    furnace: &BoxFurnace,
    set: casewright_terms::Temperature,
    hold: Span,
) -> Result<FurnaceWork, Failure> {
    let chamber = Chamber::new(furnace);
    let set_k = set.to_k();
    let mut lining = Chamber::held_at(furnace.load_at.to_k());
    let (mut time_s, mut work_j) = (0.0, 0.0);
    let there_k = set_k - furnace.band.to_k() - THERE_K;
    let mut power_w = 0.0;
    while lining.couple < there_k {
        if time_s > LONGEST_S {
            return Err(Failure::Setup {
                what: format!(
                    "a furnace of {:.1} kW does not come to {:.0} °C by itself; more power or a lower temperature is needed",
                    furnace.power.to_kw(),
                    set.to_c()
                ),
            });
        }
        (lining, power_w) = step(&chamber, &lining, set_k, time_s, STEP_S)?;
        time_s += STEP_S;
        work_j += power_w * STEP_S;
    }
    let to_heat = Span::from_s(time_s);
    let end_s = time_s + hold.to_s();
    while time_s < end_s - 1e-6 {
        let step_s = STEP_S.min(end_s - time_s);
        (lining, power_w) = step(&chamber, &lining, set_k, time_s, step_s)?;
        time_s += step_s;
        work_j += power_w * step_s;
    }
    Ok(FurnaceWork {
        to_heat,
        work_kwh: work_j / 3.6e6,
        held: Power::from_w(power_w),
    })
}

/// One implicit step of hot face, lining and controller; gives the power in it.
fn step(
    chamber: &Chamber,
    base: &Lining,
    set_k: f64,
    time_s: f64,
    step_s: f64,
) -> Result<(Lining, f64), Failure> {
    let storage = chamber.hot_j_k() / step_s;
    // Bracketed: more than the hot face can gain at full power, and colder than the shop.
    let (mut low, mut high) = (200.0, base.hot + 2000.0);
    let mut hot_k = base.hot;
    for _ in 0..PASSES {
        let answer = chamber.answer(base, hot_k, set_k, 0.0, step_s);
        // Balance of the hot face: what it gains by the rates against what it has gained.
        let miss = storage * (hot_k - base.hot) - chamber.hot_j_k() * answer.rates.hot;
        if miss > 0.0 {
            high = hot_k;
        } else {
            low = hot_k;
        }
        let by = miss / (storage + answer.slope_w_k);
        if by.abs() < 1e-6 {
            let (_, power_w) = chamber.rates(&answer.lining, set_k, 0.0);
            return Ok((answer.lining, power_w));
        }
        let next = hot_k - by;
        hot_k = if next > low && next < high {
            next
        } else {
            f64::midpoint(low, high)
        };
    }
    Err(Failure::NotSettled {
        stage: "heat in the furnace",
        detail: "the hot face does not settle".to_owned(),
        time_s,
        step_s,
        steps: PASSES,
    })
}

#[cfg(test)]
mod tests {
    use super::super::tests::furnace;
    use super::*;
    use casewright_terms::Temperature;

    /// In the end the power is what a straight fall through the lining carries away.
    #[test]
    fn a_long_hold_costs_the_loss_through_the_lining() {
        let own = furnace(9.0);
        let set = Temperature::from_c(927.0);
        let run = furnace_work(&own, set, Span::from_h(100.0)).unwrap();
        let sides = own.chamber.map(|l| l.to_m());
        let area = 1.1 * 2.0 * (sides[0] * sides[1] + sides[1] * sides[2] + sides[2] * sides[0]);
        let flux = (927.0 - 25.0) / (0.1 / 0.25 + 1.0 / 10.0);
        let loss_w = area * flux;
        // The hot node stands half a cell behind the face, which the flux crosses for nothing: 2 %.
        let error = run.held.to_w() / loss_w - 1.0;
        assert!(error.abs() < 0.02, "{} against {loss_w}", run.held.to_w());
    }

    /// What went in is what is stored and what was lost: the loss can be no more than its end value
    /// over the whole time, and no less than nothing.
    #[test]
    fn the_work_of_a_heat_up_lies_between_what_is_stored_and_that_with_all_loss() {
        let own = furnace(9.0);
        let set = Temperature::from_c(927.0);
        let run = furnace_work(&own, set, Span::from_h(6.0)).unwrap();
        let chamber = Chamber::new(&own);
        let gained = |c: f64| chamber.content_j(&Chamber::held_at(c + 273.15));
        let stored_kwh = (gained(927.0) - gained(25.0)) / 3.6e6;
        let hours = (run.to_heat + Span::from_h(6.0)).to_h();
        let most = stored_kwh + run.held.to_kw() * hours;
        assert!(
            run.work_kwh > 0.8 * stored_kwh && run.work_kwh < most,
            "{} kWh with {stored_kwh} stored and at most {most}",
            run.work_kwh
        );
        let longer = furnace_work(&own, set, Span::from_h(7.0)).unwrap();
        let hour = longer.work_kwh - run.work_kwh;
        // An hour more costs an hour of holding, within what the lining still takes up.
        assert!((hour / longer.held.to_kw() - 1.0).abs() < 0.05, "{hour}");
    }

    #[test]
    fn a_furnace_too_weak_says_so() {
        let weak = furnace(0.5);
        let set = Temperature::from_c(927.0);
        assert!(matches!(
            furnace_work(&weak, set, Span::from_h(1.0)),
            Err(Failure::Setup { .. })
        ));
    }
}
