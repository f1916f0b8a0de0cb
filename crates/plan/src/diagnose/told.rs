//! What speaks for a cause and against it, in this lot's own numbers; and what the readings show before
//! any cause is named.

use casewright_job::evidence::FileResult;
use casewright_physics::law::hardness_conversion::{hv_of, scale_of};
use casewright_physics::numerics::fun;
use casewright_terms::{Hardness, Scale, UnitSystem};

use super::Held;
use super::cause::Cause;
use super::data::{Data, Datum, Look, Spot};
use super::foretell::Foretold;
use super::mark::Seen;
use super::rank::{Bench, Ranked};
use super::weigh::{Common, Scales};

/// A reading speaks where it changes the odds by a factor of two.
const SPEAKS: f64 = 0.69;
/// A reading is out where it is off by so many standard deviations.
const OUT: f64 = 2.0;
/// Most sentences on one side.
const MOST: usize = 4;
/// Points of HRC that two scales, or two depths, must differ by to be a pattern: their scatter is about
/// one each. [reading-scatter-assumed]
const PATTERN_HRC: f64 = 2.0;
/// What counts as a skin, in mm. [trade-practice]
const POLISHED_MM: f64 = 0.25;
/// Shares of the amounts between which a forecast is told.
const TOLD: (f64, f64) = (0.05, 0.95);

pub(super) struct Teller<'a> {
    pub(super) bench: &'a Bench,
    pub(super) data: &'a Data,
    pub(super) seen: &'a [Seen],
    pub(super) units: UnitSystem,
}

/// A reading with its place, such as `P1, 0.05 mm off`.
pub(super) fn place(datum: &Datum, units: UnitSystem) -> String {
    match datum.spot {
        Spot::Surface(gone) if gone.to_m() == 0.0 => format!("{}, surface", datum.piece),
        Spot::Surface(gone) => {
            let how = if gone.to_mm() > POLISHED_MM {
                "ground"
            } else {
                "polished"
            };
            format!("{}, {} {how} off", datum.piece, gone.depth_text(units))
        }
        Spot::Finished(_) => format!("{}, finished face", datum.piece),
        Spot::Depth(depth) => format!("{}, {} deep", datum.piece, depth.depth_text(units)),
        Spot::Core => format!("{}, core", datum.piece),
        Spot::Soft => format!("{}, soft area", datum.piece),
    }
}

fn number(value: f64, scale: Scale) -> String {
    match scale {
        Scale::Hv | Scale::Hk | Scale::Hbw => format!("{value:.0}"),
        _ => format!("{value:.1}"),
    }
}

/// Range of a reading over the amounts that a cause leaves likely.
pub(super) fn range(points: &[Foretold], shares: &[f64], i: usize) -> (f64, f64) {
    let mut order: Vec<usize> = (0..points.len()).collect();
    order.sort_by(|a, b| points[*a].mean[i].total_cmp(&points[*b].mean[i]));
    let total: f64 = shares.iter().sum();
    let at = |p: f64| {
        let mut sum = 0.0;
        for k in &order {
            sum += shares[*k];
            if sum >= p * total {
                return points[*k].mean[i];
            }
        }
        order.last().map_or(0.0, |k| points[*k].mean[i])
    };
    (at(TOLD.0), at(TOLD.1))
}

impl Teller<'_> {
    /// Sentences for and against.
    pub(super) fn sides(&self, ranked: &Ranked, rival: &Ranked) -> (Vec<String>, Vec<String>) {
        let common = Common::of(self.data, self.bench.place_ratio);
        let scales = Scales::new(self.data, &common);
        let best = self.bench.best(ranked);
        // Sound work is what a cause is held against; sound work itself against its rival.
        let other = if matches!(ranked.cause, Cause::AsPlanned | Cause::HeavyScale) {
            self.bench.best(rival)
        } else {
            self.bench.sound()
        };
        let other_words = if matches!(ranked.cause, Cause::AsPlanned | Cause::HeavyScale) {
            "the next cause on the list"
        } else {
            "sound work"
        };
        let points = &self.bench.foretold[ranked.way];
        let mut weighed: Vec<(f64, String)> = Vec::new();
        for (i, datum) in self.data.readings.iter().enumerate() {
            let (own, theirs) = (scales.off(i, best), scales.off(i, other));
            let gain = 0.5 * (theirs * theirs - own * own);
            let (low, high) = range(points, &ranked.shares, i);
            let scale = datum.scale.scale;
            let by_this = if high - low < 0.1 {
                number(low, scale)
            } else {
                format!("{} to {}", number(low, scale), number(high, scale))
            };
            let words = format!(
                "{}: {} {}; {other_words} would read {}, this cause {by_this}",
                place(datum, self.units),
                number(datum.value, scale),
                datum.scale,
                number(other.mean[i], scale),
            );
            if gain > SPEAKS {
                weighed.push((gain, words));
            } else if gain < -SPEAKS || own.abs() > OUT {
                weighed.push((gain.min(-SPEAKS), words));
            }
        }
        for (i, sight) in self.data.sights.iter().enumerate() {
            let gain = best.sights[i] - other.sights[i];
            if gain.abs() > SPEAKS {
                weighed.push((
                    gain,
                    format!("{}: {}", sight.piece, look_words(&sight.what)),
                ));
            }
        }
        for seen in self.seen {
            let mean = seen_mean(seen);
            let gain = fun::ln(seen.chance(ranked.cause) / mean);
            if gain.abs() > SPEAKS {
                let is = if seen.there {
                    "said to be so"
                } else {
                    "said not to be so"
                };
                weighed.push((
                    gain,
                    format!("{} – {is} ({})", seen.mark.question, seen.mark.why),
                ));
            }
        }
        weighed.sort_by(|a, b| b.0.abs().total_cmp(&a.0.abs()).then(a.1.cmp(&b.1)));
        let side = |for_it: bool| {
            weighed
                .iter()
                .filter(|(gain, _)| (*gain > 0.0) == for_it)
                .take(MOST)
                .map(|(_, words)| words.clone())
                .collect()
        };
        (side(true), side(false))
    }

    /// What the readings show on their own.
    pub(super) fn patterns(&self) -> Vec<String> {
        let mut found = Vec::new();
        let mut pieces: Vec<&str> = self
            .data
            .readings
            .iter()
            .map(|d| d.piece.as_str())
            .collect();
        pieces.dedup();
        for piece in pieces {
            let own: Vec<&Datum> = self
                .data
                .readings
                .iter()
                .filter(|d| d.piece == piece)
                .collect();
            found.extend(by_scale(piece, &own));
            found.extend(by_polish(piece, &own, self.units));
        }
        found
    }

    /// Every reading beside sound work and the first cause.
    pub(super) fn held(&self, first: Option<&Ranked>) -> Vec<Held> {
        self.data
            .readings
            .iter()
            .enumerate()
            .map(|(i, datum)| Held {
                name: datum.name.clone(),
                place: place(datum, self.units),
                scale: datum.scale,
                read: datum.value,
                sound: self.bench.sound().mean[i],
                first: first.map(|ranked| self.bench.best(ranked).mean[i]),
            })
            .collect()
    }
}

fn seen_mean(seen: &Seen) -> f64 {
    let sum: f64 = Cause::ALL.iter().map(|cause| seen.chance(*cause)).sum();
    sum / Cause::ALL.len() as f64
}

fn look_words(look: &Look) -> String {
    match look {
        Look::File {
            result, file_hrc, ..
        } => format!(
            "a file of {file_hrc:.0} HRC {}",
            match result {
                FileResult::Cuts => "bites",
                FileResult::Skates => "skates",
                FileResult::Scratches => "scratches",
            }
        ),
        Look::Ring { mm, .. } => format!("the case is seen {mm:.2} mm deep"),
        Look::Uptake { g_m2, .. } => format!("{g_m2:.0} g/m² of carbon were taken up"),
        Look::Structure(_) => "what the microscope showed".to_owned(),
    }
}

fn hrc(datum: &Datum) -> Option<f64> {
    let hv = hv_of(Hardness::new(datum.scale.scale, datum.value))?.value;
    scale_of(hv, Scale::Hrc)
}

/// Light scale against heavy on one surface.
fn by_scale(piece: &str, own: &[&Datum]) -> Option<String> {
    let weight = |scale: Scale| match scale {
        Scale::Hr15n => Some(0),
        Scale::Hr30n => Some(1),
        Scale::Hr45n => Some(2),
        Scale::Hra => Some(3),
        Scale::Hrc => Some(4),
        _ => None,
    };
    let on = |pick_light: bool| {
        own.iter()
            .filter(|d| matches!(d.spot, Spot::Surface(gone) if gone.to_m() == 0.0))
            .filter_map(|d| Some((weight(d.scale.scale)?, hrc(d)?, *d)))
            .reduce(|a, b| if (b.0 < a.0) == pick_light { b } else { a })
            .map(|(w, hrc, d)| (w, hrc, d.clone()))
    };
    let (light, heavy) = (on(true)?, on(false)?);
    if light.0 == heavy.0 || (light.1 - heavy.1).abs() < PATTERN_HRC {
        return None;
    }
    let shows = |d: &Datum, hrc: f64| format!("{} {:.1} (as {hrc:.0} HRC)", d.scale, d.value);
    let says = if light.1 < heavy.1 {
        "the lighter the scale the softer, so the skin is softer than what lies beneath"
    } else {
        "the heavier the scale the softer, so the case is thin for it or falls off early"
    };
    Some(format!(
        "{piece}: {} against {}: {says}.",
        shows(&light.2, light.1),
        shows(&heavy.2, heavy.1)
    ))
}

/// One scale against metal polished off.
fn by_polish(piece: &str, own: &[&Datum], units: UnitSystem) -> Option<String> {
    let gone = |d: &Datum| match d.spot {
        Spot::Surface(gone) => Some(gone),
        _ => None,
    };
    let on_skin = |d: &&&Datum| gone(d).is_some_and(|g| g.to_m() == 0.0);
    own.iter().filter(on_skin).find_map(|first| {
        let same = |d: &&&Datum| {
            d.scale == first.scale && gone(d).is_some_and(|g| g.to_mm() <= POLISHED_MM)
        };
        let last = own.iter().filter(same).max_by(|a, b| {
            let m = |d: &Datum| gone(d).map_or(0.0, |g| g.to_m());
            m(a).total_cmp(&m(b))
        })?;
        let depth = gone(last)?;
        let (from, to) = (hrc(first)?, hrc(last)?);
        if depth.to_m() == 0.0 || (to - from).abs() < PATTERN_HRC {
            return None;
        }
        let (word, says) = if to > from {
            ("rises", "a soft skin over harder steel")
        } else {
            ("falls", "the hard layer is thin")
        };
        Some(format!(
            "{piece}: {} {word} from {:.1} to {:.1} as {} is polished off: {says}.",
            first.scale,
            first.value,
            last.value,
            depth.depth_text(units)
        ))
    })
}
