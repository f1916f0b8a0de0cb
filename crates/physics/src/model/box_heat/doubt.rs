//! How well the time to heat is known, before a couple has been buried and after its log was read.
//!
//! Before: what is not known about the bed and its surroundings, each within 90 % of its doubt.
//! After: the bed's factor by its likelihood over a line of factors. Neither says anything about
//! the parts' case.

use casewright_terms::{Band, Fraction, Length, Remark, Span, Temperature, TemperatureStep};

use crate::law::packed_bed::{BED_FACTOR_HIGH, BED_FACTOR_LOW};
use crate::numerics::fun::{exp, ln, ln_1p, sqrt};
use crate::numerics::interpolate::monotone_cubic;
use crate::run::{Failure, HotBand, LoggedBed};
use crate::setup::BoxSetup;

use super::{follow, hot_after};

/// Ends of 90 % of what is not known about a packed box. [trade-practice], [box-prior-assumed]
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prior {
    /// Factor on the bed's conductivity.
    pub bed: (f64, f64),
    /// Factor on the exchange with the chamber.
    pub exchange: (f64, f64),
    /// Water as a share of the compound's dry mass; the setup's own value lies between.
    pub moisture: (f64, f64),
    /// Gap at the wall, in metres; the setup's own value lies between.
    pub gap_m: (f64, f64),
}

impl Prior {
    /// Of a box that nobody has measured.
    #[must_use]
    pub fn unmeasured() -> Self {
        Self {
            bed: (BED_FACTOR_LOW, BED_FACTOR_HIGH),
            exchange: (0.85, 1.15),
            moisture: (0.0, 0.12),
            gap_m: (0.0, 0.002),
        }
    }

    /// With the bed's factor as a log has narrowed it; water and gap are in that factor then.
    #[must_use]
    pub fn measured(bed: Band<f64>) -> Self {
        Self {
            bed: (bed.low, bed.high),
            moisture: (f64::NAN, f64::NAN),
            gap_m: (f64::NAN, f64::NAN),
            ..Self::unmeasured()
        }
    }
}

/// When the pack is hot, with 90 % of the doubt: each doubt alone at both ends, their effects on
/// the logarithm of the time added by squares.
///
/// # Errors
/// As for the setup itself.
pub fn hot_band(setup: &BoxSetup, prior: &Prior) -> Result<HotBand, Failure> {
    let mid = hot_after(setup)?.to_s();
    let with = |change: &dyn Fn(&mut BoxSetup)| {
        let mut other = setup.clone();
        change(&mut other);
        hot_after(&other).map(|t| ln(t.to_s() / mid))
    };
    let mut shifts = Vec::new();
    for end in [prior.bed.0, prior.bed.1] {
        let shift = with(&|s| s.boxes.iter_mut().for_each(|b| b.bed.factor = end))?;
        shifts.push(("bed", shift));
    }
    for end in [prior.exchange.0, prior.exchange.1] {
        shifts.push(("exchange", with(&|s| s.furnace.exchange_factor *= end)?));
    }
    for end in [prior.moisture.0, prior.moisture.1] {
        if end.is_finite() {
            let moisture = Fraction::from_ratio(end);
            let shift = with(&|s| s.boxes.iter_mut().for_each(|b| b.bed.moisture = moisture))?;
            shifts.push(("moisture", shift));
        }
    }
    for end in [prior.gap_m.0, prior.gap_m.1] {
        if end.is_finite() {
            let gap = Length::from_m(end);
            let shift = with(&|s| s.boxes.iter_mut().for_each(|b| b.bed.gap = gap))?;
            shifts.push(("gap", shift));
        }
    }
    let side = |later: bool| {
        let squares = shifts.iter().filter(|(_, s)| (*s > 0.0) == later);
        sqrt(squares.map(|(_, s)| s * s).sum())
    };
    let span = |shift: f64| Span::from_s(mid * exp(shift));
    let mut doubts: Vec<(&'static str, Span)> = ["bed", "exchange", "moisture", "gap"]
        .into_iter()
        .filter_map(|name| {
            let own = shifts.iter().filter(|(n, _)| *n == name);
            let most = own
                .map(|(_, s)| (mid * (exp(*s) - 1.0)).abs())
                .reduce(f64::max)?;
            Some((name, Span::from_s(most)))
        })
        .collect();
    doubts.sort_by(|a, b| b.1.to_s().total_cmp(&a.1.to_s()));
    Ok(HotBand {
        hot_after: Band {
            low: span(-side(false)),
            mid: Span::from_s(mid),
            high: span(side(true)),
        },
        doubts,
    })
}

/// Factors that are run; between them the readings follow by interpolation.
const NODES: usize = 11;
/// Factors of the fine line on which the likelihood stands.
const LINE: usize = 241;
/// The line goes this far beyond both ends of the prior.
const BEYOND: f64 = 1.8;
/// Doubt of a couple's reading, in kelvin. [box-prior-assumed]
const COUPLE_K: f64 = 5.0;
/// Doubt of the factor from the couple's place (standard deviation of its logarithm).
/// [box-prior-assumed]
const PLACE: f64 = 0.05;
/// Readings this close in time tell the same thing once.
const SAME_S: f64 = 1800.0;
/// Degrees of freedom of the errors: long tails, so that a slipped reading does little.
const TAILS: f64 = 4.0;
/// 90 % of a normal distribution lie within this many standard deviations.
const WITHIN_90: f64 = 1.645;

/// What the readings of a couple say about the bed's factor. `place` names the box and the probe
/// of the setup; times are from loading.
///
/// # Errors
/// When the probe is not in the setup, there are fewer than three readings, or the setup cannot be
/// simulated.
pub fn learn_from_log(
    setup: &BoxSetup,
    prior: &Prior,
    (box_mark, probe): (&str, &str),
    log: &[(Span, Temperature)],
) -> Result<LoggedBed, Failure> {
    let refuse = |what: String| Failure::Setup { what };
    let end_s = log.iter().map(|(t, _)| t.to_s()).fold(0.0_f64, f64::max);
    if log.len() < 3 || !(60.0..=432_000.0).contains(&end_s) {
        return Err(refuse(format!(
            "a log of {} readings over {:.1} h says nothing about the bed; three readings over up to 120 h are the least",
            log.len(),
            end_s / 3600.0
        )));
    }
    let (low, high) = (ln(prior.bed.0 / BEYOND), ln(prior.bed.1 * BEYOND));
    let nodes: Vec<f64> = (0..NODES)
        .map(|i| low + (high - low) * i as f64 / (NODES - 1) as f64)
        .collect();
    let mut hot = Vec::new();
    let mut read = vec![Vec::new(); log.len()];
    for node in &nodes {
        let mut own = setup.clone();
        for packed in &mut own.boxes {
            packed.bed.factor = exp(*node);
        }
        let run = follow(&own, end_s)?;
        let eye = run
            .0
            .eyes
            .iter()
            .find(|eye| eye.is(box_mark, probe))
            .ok_or_else(|| {
                refuse(format!(
                    "no couple {probe} is in box {box_mark} of the setup"
                ))
            })?;
        hot.push(run.1);
        for ((time, _), row) in log.iter().zip(&mut read) {
            row.push(eye.at_k(time.to_s()));
        }
    }
    let logged: Vec<f64> = log.iter().map(|(_, t)| t.to_k()).collect();
    let line: Vec<f64> = (0..LINE)
        .map(|i| low + (high - low) * i as f64 / (LINE - 1) as f64)
        .collect();
    let misses: Vec<Vec<f64>> = line
        .iter()
        .map(|x| {
            let told = read.iter().map(|row| monotone_cubic(&nodes, row, *x));
            told.zip(&logged)
                .map(|(told, logged)| told - logged)
                .collect()
        })
        .collect();
    let counted = (1.0 + end_s / SAME_S).min(log.len() as f64) / log.len() as f64;
    let posterior = Posterior::of(&line, &misses, counted, prior);
    let factor = posterior.band(&line);
    let hot_at = |f: f64| Span::from_s(monotone_cubic(&nodes, &hot, ln(f)));
    let believed = setup.boxes.first().map_or(1.0, |b| b.bed.factor);
    Ok(LoggedBed {
        // A faster bed is hot earlier.
        hot_after: Band {
            low: hot_at(factor.high),
            mid: hot_at(factor.mid),
            high: hot_at(factor.low),
        },
        moved: hot_at(factor.mid) - hot_at(believed),
        left_over: TemperatureStep::from_k(posterior.left_k),
        remarks: posterior.remarks(&line, &factor),
        factor,
    })
}

struct Posterior {
    /// Of each factor on the line; adds up to 1.
    weight: Vec<f64>,
    best: usize,
    left_k: f64,
}

impl Posterior {
    fn of(line: &[f64], misses: &[Vec<f64>], counted: f64, prior: &Prior) -> Self {
        let middle = (ln(prior.bed.0) + ln(prior.bed.1)) / 2.0;
        let width = (ln(prior.bed.1) - ln(prior.bed.0)) / 2.0 / WITHIN_90;
        let mut scale_k = COUPLE_K;
        let mut likely = Vec::new();
        let mut best = 0;
        // First with the couple's own doubt, then with what the best factor could not explain.
        for _ in 0..2 {
            likely = line
                .iter()
                .zip(misses)
                .map(|(x, miss)| {
                    let far = (x - middle) / width;
                    let fit: f64 = miss
                        .iter()
                        .map(|m| ln_1p((m / scale_k).powi(2) / TAILS) * (TAILS + 1.0) / 2.0)
                        .sum();
                    -0.5 * far * far - counted * fit
                })
                .collect();
            best = (0..likely.len())
                .max_by(|a, b| likely[*a].total_cmp(&likely[*b]))
                .unwrap_or(0);
            let mut sizes: Vec<f64> = misses[best].iter().map(|m| m.abs()).collect();
            sizes.sort_by(f64::total_cmp);
            scale_k = COUPLE_K.max(1.4826 * sizes[sizes.len() / 2]);
        }
        let top = likely[best];
        let raw: Vec<f64> = likely.iter().map(|l| exp((l - top).max(-700.0))).collect();
        let sum: f64 = raw.iter().sum();
        let sane = misses[best].iter().filter(|m| m.abs() <= 5.0 * scale_k);
        let (count, squares) = sane.fold((0.0, 0.0), |(n, s), m| (n + 1.0, s + m * m));
        Self {
            weight: raw.iter().map(|w| w / sum).collect(),
            best,
            left_k: sqrt(squares / f64::max(count, 1.0)),
        }
    }

    fn band(&self, line: &[f64]) -> Band<f64> {
        let mean: f64 = line.iter().zip(&self.weight).map(|(x, w)| x * w).sum();
        let square: f64 = line
            .iter()
            .zip(&self.weight)
            .map(|(x, w)| (x - mean).powi(2) * w)
            .sum();
        let half = WITHIN_90 * sqrt(square + PLACE * PLACE);
        Band {
            low: exp(mean - half),
            mid: exp(mean),
            high: exp(mean + half),
        }
    }

    fn remarks(&self, line: &[f64], factor: &Band<f64>) -> Vec<Remark> {
        let mut remarks = Vec::new();
        if self.left_k > 30.0 {
            remarks.push(Remark::new(
                "log-does-not-fit",
                format!(
                    "no bed explains the log better than {:.0} K; the couple's place, the loading time or the furnace of the setup is not what it was",
                    self.left_k
                ),
            ));
        }
        if self.best == 0 || self.best + 1 == line.len() {
            remarks.push(Remark::new(
                "log-beyond-prior",
                format!(
                    "the log asks for a bed factor beyond the line that was tried, near {:.2}; look for a wrong place of the couple first",
                    factor.mid
                ),
            ));
        }
        remarks
    }
}
