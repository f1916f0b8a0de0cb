//! How likely the note is met, what the doubt comes from and what would narrow it, and what a
//! small slip does. Words are made elsewhere; here are the numbers behind them.

use casewright_terms::{Band, Length, Span, TemperatureStep};

use crate::cloud::Cloud;
use crate::demand::Demand;
use crate::doubt::{Cause, DIMENSIONS};
use crate::evaluate::{self, Fared};
use crate::members::Members;
use crate::predict::{Reader, column};
use crate::recipe::Recipe;

/// How likely one clause of the note is met.
#[derive(Clone, Debug, PartialEq)]
pub struct Chance {
    /// The clause, in words.
    pub clause: &'static str,
    /// Share of the members that meet it.
    pub probability: f64,
}

/// One cause of the spread in depth.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    /// The cause.
    pub cause: Cause,
    /// Its share of the variance of the depth, alone.
    pub share: f64,
    /// Its share of the variance of the surface hardness.
    pub share_surface: f64,
    /// What would narrow it; `None` where nothing does before the parts are read.
    pub remedy: Option<Remedy>,
}

/// What would narrow a doubt, and how far.
#[derive(Clone, Debug, PartialEq)]
pub struct Remedy {
    /// What to do.
    pub what: String,
    /// The band of the depth after it.
    pub band_after: (Length, Length),
    /// Width of that band against today's.
    pub width_left: f64,
}

/// What a small change of the plan does.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// What is changed.
    pub what: String,
    /// Depth to make, against the plan's.
    pub depth: Option<Length>,
    /// Hardness of the finished surface against the plan's, HV.
    pub surface_hv: Option<f64>,
}

/// What the bands rest on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Basis {
    /// Members in all.
    pub members: usize,
    /// Of which runs of the whole chain.
    pub runs: usize,
    /// Error of the depth of the others, root mean square of runs left out of the fit.
    pub depth_error: Option<Length>,
    /// Share of the depth's variance that the fit foretells for such runs.
    pub foretold: Option<f64>,
}

/// All of it.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Outlook {
    /// Clauses that the note asks for.
    pub chances: Vec<Chance>,
    /// How likely all of them are met by one part.
    pub chance_all: Option<f64>,
    /// How likely the shop's own readings show all of them met: the tester and the reader of the
    /// coupon scatter too.
    pub chance_found: Option<f64>,
    /// Causes, greatest share of the depth first.
    pub spreads: Vec<Spread>,
    /// Small changes.
    pub sensitivity: Vec<Change>,
    /// What the bands rest on.
    pub basis: Option<Basis>,
    /// The members themselves, as far as the note sees them.
    pub members: Members,
}

/// How likely each clause and all of them are met.
pub(crate) fn chances(demand: &Demand, cloud: &Cloud) -> (Vec<Chance>, Option<f64>) {
    let of = |holds: &dyn Fn(&evaluate::Evaluation) -> bool| {
        cloud.share(|row| holds(&evaluate::evaluate(demand, &Reader::observed(row))))
    };
    type Clause = (&'static str, bool, fn(&evaluate::Evaluation) -> Fared);
    let clauses: [Clause; 3] = [
        ("case depth", true, |e| e.depth),
        ("surface hardness", demand.surface.is_some(), |e| e.surface),
        ("core hardness", demand.core.is_some(), |e| e.core),
    ];
    let list = clauses
        .iter()
        .filter(|(_, asked, _)| *asked)
        .filter_map(|(clause, _, fared)| {
            let probability = of(&|e| fared(e) == Fared::Holds)?;
            Some(Chance {
                clause,
                probability,
            })
        })
        .collect();
    (list, of(&evaluate::Evaluation::meets))
}

/// What the bands rest on.
pub(crate) fn basis(cloud: &Cloud) -> Basis {
    let fit = cloud.surrogate();
    let size = cloud.size();
    Basis {
        members: size.members,
        runs: size.runs,
        depth_error: fit.map(|fit| Length::from_m(fit.error(column::CASE))),
        foretold: fit.map(|fit| fit.foretold(column::CASE)),
    }
}

/// A sawn, etched coupon under a loupe reads its case to this, nine times out of ten.
/// [trade-practice]
const COUPON_READS_MM: f64 = 0.1;
/// A coupon is pulled after two thirds of the soak: late enough to tell, early enough to act.
const PULLED_AFTER: f64 = 2.0 / 3.0;
/// A soak shorter than this is over before a coupon is read.
const PULL_LEAST_H: f64 = 2.0;
/// A couple of special limits against one of standard limits at this heat. [astm-e230]
const SPECIAL_COUPLE: f64 = 0.4 / 0.75;
/// The survey that careful shops hold their furnaces to, either way. [trade-practice]
const GOOD_SURVEY_K: f64 = 6.0;
/// An oven checked with a good couple drifts 3 K, where one that nobody checks drifts 10 K.
const OVEN_CHECKED: f64 = 0.3;
/// A remedy that leaves more of the band than this is not worth its trouble.
const WORTH_IT: f64 = 0.95;
/// A cause with a smaller share of the depth and of the surface is not named.
const LEAST_SHARE: f64 = 0.02;

const QUANTILE: f64 = 1.644_853_626_951_472_7;

/// The causes of the spread with what would narrow each.
pub(crate) fn spreads(
    cloud: &Cloud,
    recipe: &Recipe<'_>,
    depth: Option<Band<Length>>,
    has_certificate: bool,
) -> Vec<Spread> {
    let Some(fit) = cloud.surrogate() else {
        return Vec::new();
    };
    let mut list: Vec<Spread> = Cause::ALL
        .iter()
        .map(|&cause| {
            let own = |d: usize| DIMENSIONS[d] == cause;
            Spread {
                cause,
                share: fit.share(column::CASE, own),
                share_surface: fit.share(column::SURFACE, own),
                remedy: None,
            }
        })
        .filter(|s| s.share.max(s.share_surface) >= LEAST_SHARE)
        .collect();
    list.sort_by(|a, b| b.share.total_cmp(&a.share));
    let Some(depth) = depth else { return list };
    let seeker = Seeker {
        cloud,
        recipe,
        depth,
        has_certificate,
    };
    for spread in &mut list {
        spread.remedy = seeker.remedy(spread.cause);
    }
    list
}

struct Seeker<'a> {
    cloud: &'a Cloud,
    recipe: &'a Recipe<'a>,
    depth: Band<Length>,
    has_certificate: bool,
}

/// What reaches the depth before the quench, and so what a coupon pulled from the soak shows.
fn feeds(dimension: usize) -> bool {
    matches!(
        DIMENSIONS[dimension],
        Cause::Furnace | Cause::Diffusivity | Cause::Compound | Cause::HeatUp
    )
}

fn hardens(dimension: usize) -> bool {
    matches!(DIMENSIONS[dimension], Cause::Quench | Cause::Kinetics)
}

impl Seeker<'_> {
    fn remedy(&self, cause: Cause) -> Option<Remedy> {
        match cause {
            Cause::Compound | Cause::Diffusivity => self.pull_coupon(),
            Cause::HeatUp if self.recipe.furnace.pack_couple => self.pull_coupon(),
            Cause::HeatUp => self.worth(
                "a couple buried in the pack, and the soak counted from when it is hot".to_owned(),
                // A couple shows the middle of the pack; what is left is its place, a fifth.
                |d| {
                    if DIMENSIONS[d] == Cause::HeatUp {
                        0.2
                    } else {
                        1.0
                    }
                },
            ),
            Cause::Furnace => {
                let survey = self.recipe.furnace.survey;
                let surveyed = (GOOD_SURVEY_K / survey.to_k().max(GOOD_SURVEY_K)).min(1.0);
                self.worth(
                    format!(
                        "a couple of special limits and the furnace brought to ±{:.0} °C",
                        TemperatureStep::from_k(GOOD_SURVEY_K).to_k()
                    ),
                    move |d| match (DIMENSIONS[d], d) {
                        (Cause::Furnace, 0) => SPECIAL_COUPLE,
                        (Cause::Furnace, _) => surveyed,
                        _ => 1.0,
                    },
                )
            }
            Cause::Quench | Cause::Kinetics => {
                let left = self.left_by_reading(hardens, 1.0);
                self.worth(
                    "a coupon quenched the same way before the work, sawn and read".to_owned(),
                    move |d| if hardens(d) { left } else { 1.0 },
                )
            }
            Cause::Oven => self.worth("the oven checked with a good couple".to_owned(), |d| {
                if DIMENSIONS[d] == Cause::Oven {
                    OVEN_CHECKED
                } else {
                    1.0
                }
            }),
            Cause::Steel if !self.has_certificate => self.worth(
                "the mill's certificate of this heat".to_owned(),
                // The lines of the steel stay as doubtful as they are.
                |d| {
                    if DIMENSIONS[d] == Cause::Steel && d > 11 {
                        0.0
                    } else {
                        1.0
                    }
                },
            ),
            Cause::Steel | Cause::Scatter | Cause::Grain => None,
        }
    }

    fn pull_coupon(&self) -> Option<Remedy> {
        let soak = self.recipe.soak;
        if soak.to_h() < PULL_LEAST_H {
            return None;
        }
        let at = Span::from_h((soak.to_h() * PULLED_AFTER * 2.0).round() / 2.0);
        let left = self.left_by_reading(feeds, (at / soak).sqrt());
        self.worth(
            format!(
                "a pull coupon {} into the soak, read, and the rest of the soak set by it",
                at.text()
            ),
            move |d| if feeds(d) { left } else { 1.0 },
        )
    }

    /// What a reading leaves of a spread: two independent normal doubts about one depth combine by
    /// their inverse squares. `grown` is the share of the final depth when it is read.
    fn left_by_reading(&self, of: fn(usize) -> bool, grown: f64) -> f64 {
        let Some(fit) = self.cloud.surrogate() else {
            return 1.0;
        };
        let spread_mm = 1e3 * QUANTILE * fit.spread(column::CASE, of) * grown;
        COUPON_READS_MM / COUPON_READS_MM.hypot(spread_mm)
    }

    fn worth(&self, what: String, left: impl Fn(usize) -> f64) -> Option<Remedy> {
        let (low, high) = self.cloud.narrowed(column::CASE, left)?;
        // Against the same response with nothing narrowed, so that only the remedy counts.
        let (was_low, was_high) = self.cloud.narrowed(column::CASE, |_| 1.0)?;
        let width_left = (high - low) / (was_high - was_low);
        if width_left.is_nan() || width_left > WORTH_IT {
            return None;
        }
        let mid = self.depth.mid;
        Some(Remedy {
            what,
            band_after: (Length::from_m(low).min(mid), Length::from_m(high).max(mid)),
            width_left,
        })
    }
}

impl Spread {
    /// The doubt in one sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        let share = part(self.share);
        let what = self.cause.words();
        let head = format!("{share} of the spread in depth is {what}");
        match &self.remedy {
            Some(remedy) => format!("{head}: {} {}.", remedy.what, effect(remedy.width_left)),
            None => format!("{head}."),
        }
    }
}

/// A share in words.
fn part(share: f64) -> String {
    match share {
        s if s >= 0.9 => "nearly all".to_owned(),
        s if s >= 0.71 => "three quarters".to_owned(),
        s if s >= 0.6 => "two thirds".to_owned(),
        s if s >= 0.42 => "half".to_owned(),
        s if s >= 0.29 => "a third".to_owned(),
        s if s >= 0.22 => "a quarter".to_owned(),
        s => format!("{:.0} %", 100.0 * s),
    }
}

/// What is left of the band, in words.
fn effect(left: f64) -> String {
    match left {
        l if (0.45..0.55).contains(&l) => "would halve the band".to_owned(),
        l => format!("would leave {:.0} % of the band", 100.0 * l),
    }
}
