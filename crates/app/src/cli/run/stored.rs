//! The plan of a run as it was kept: read back from its JSON, with the job and shop texts beside it,
//! so that the run can be reckoned with and planned again.

use casewright_job::spec::{RouteWish, Spec};
use casewright_plan::follow::{Kit, Way};
use casewright_records::{Book, Look, Run};
use casewright_terms::{Diag, Length, Span, Temperature, UnitSystem};
use serde::Deserialize;
use serde::de::IgnoredAny;

use crate::answer::Trouble;
use crate::cli::job::{self, NamedText};

/// What a run needs of its plan.
#[derive(Debug, Deserialize)]
pub(super) struct Plan {
    pub(super) job: Job,
    pub(super) route: Option<String>,
    pub(super) temperature_c: Option<f64>,
    pub(super) soak_h: Option<f64>,
    pub(super) pack_hot_after_h: Option<Interval>,
    #[serde(default)]
    pub(super) steps: Vec<Step>,
    pub(super) depth: Option<Depth>,
    pub(super) pack: Option<Pack>,
    pub(super) quench: Option<Quench>,
    #[serde(default)]
    pub(super) coupons: Vec<Coupon>,
}

#[derive(Debug, Deserialize)]
pub(super) struct Job {
    pub(super) units: String,
}

#[derive(Clone, Copy, Debug, Deserialize)]
pub(super) struct Interval {
    pub(super) low: f64,
    pub(super) mid: f64,
    pub(super) high: f64,
}

#[derive(Debug, Deserialize)]
pub(super) struct Step {
    pub(super) kind: String,
    pub(super) text: String,
    pub(super) temperature_c: Option<f64>,
    pub(super) temperature_tolerance_k: Option<f64>,
    pub(super) soak_h: Option<f64>,
    pub(super) begins: Moment,
    pub(super) ends: Moment,
    pub(super) equipment: Option<String>,
    #[serde(default)]
    pub(super) acceptance: Vec<String>,
    #[serde(default)]
    pub(super) stop_if: Vec<String>,
    pub(super) hold_point: bool,
}

#[derive(Clone, Debug, Deserialize)]
pub(super) struct Moment {
    pub(super) after_h: f64,
    /// Local time on the shop's wall, where the plan knows its start.
    clock: Option<String>,
}

impl Moment {
    /// Minute of the day on the shop's wall.
    pub(super) fn minute_of_day(&self) -> Option<u32> {
        let clock = self.clock.as_ref()?;
        let (_, time) = clock.split_once('T')?;
        let (hours, rest) = time.split_once(':')?;
        Some(60 * hours.parse::<u32>().ok()? + rest.get(..2)?.parse::<u32>().ok()?)
    }
}

#[derive(Debug, Deserialize)]
pub(super) struct Depth {
    aim_mm: f64,
}

#[derive(Debug, Deserialize)]
pub(super) struct Pack {
    #[serde(rename = "box")]
    pub(super) box_id: String,
    pub(super) boxes: u32,
    parts: Vec<IgnoredAny>,
    pub(super) compound: String,
    #[serde(default)]
    alternatives: Vec<PackWay>,
}

#[derive(Debug, Deserialize)]
struct PackWay {
    spread_out: bool,
    chosen: bool,
}

#[derive(Debug, Deserialize)]
pub(super) struct Quench {
    tank: String,
}

#[derive(Debug, Deserialize)]
pub(super) struct Coupon {
    pub(super) mark: String,
    pub(super) control: bool,
    #[serde(default)]
    pub(super) place: String,
}

impl Plan {
    /// Reads the plan of a run.
    pub(super) fn of(run: &Run) -> Result<Self, Trouble> {
        serde_json::from_str(&run.plan.json).map_err(|fault| {
            Trouble::input(
                Diag::stop(
                    "run-plan-unread",
                    format!(
                        "The plan in entry {} is not one that this program wrote: {fault}.",
                        run.plan.entry
                    ),
                )
                .why("Steps, hold points and times come from it.")
                .accepted("Start a run with `casewright run start`; look at this one with `casewright shop show`."),
            )
        })
    }

    /// Units of the job.
    pub(super) fn units(&self) -> UnitSystem {
        if self.job.units == "inch" {
            UnitSystem::Inch
        } else {
            UnitSystem::Metric
        }
    }

    /// Number of the step of a kind; steps count from 1.
    pub(super) fn number_of(&self, kind: &str) -> Option<u32> {
        let index = self.steps.iter().position(|step| step.kind == kind)?;
        u32::try_from(index + 1).ok()
    }

    /// The step of that number.
    pub(super) fn step(&self, number: u32) -> Option<&Step> {
        self.steps.get((number as usize).checked_sub(1)?)
    }

    /// The way that was chosen; `None` where the plan does not say all of it.
    fn way(&self) -> Option<Way> {
        let first = |kind: &str| self.steps.iter().find(|step| step.kind == kind);
        let heat = |step: &Step| {
            Some((
                Temperature::from_c(step.temperature_c?),
                Span::from_h(step.soak_h?),
            ))
        };
        let pack = self.pack.as_ref()?;
        Some(Way {
            route: match self.route.as_deref()? {
                "direct" => RouteWish::Direct,
                "double" => RouteWish::Double,
                _ => RouteWish::Single,
            },
            temperature: Temperature::from_c(self.temperature_c?),
            soak: Span::from_h(self.soak_h?),
            furnace: first("carburize")?.equipment.clone()?,
            tank: self.quench.as_ref()?.tank.clone(),
            compound: pack.compound.clone(),
            box_id: pack.box_id.clone(),
            boxes: pack.boxes,
            parts_in_box: pack.parts.len(),
            spread_out: pack
                .alternatives
                .iter()
                .any(|way| way.chosen && way.spread_out),
            drop_to: first("cool")?.temperature_c.map(Temperature::from_c),
            reheats: self
                .steps
                .iter()
                .filter(|step| step.kind == "reheat")
                .filter_map(heat)
                .collect(),
            temper: heat(first("temper")?)?,
            aim: Length::from_mm(self.depth.as_ref()?.aim_mm),
        })
    }

    /// Everything the run is reckoned with.
    pub(super) fn kit<'s>(&self, spec: &'s Spec) -> Result<Kit<'s>, Diag> {
        let way = self.way().ok_or_else(|| {
            Diag::stop(
                "run-plan-thin",
                "The kept plan does not say all of its way.",
            )
            .accepted("Start a run from a plan of this program.")
        })?;
        Kit::of(spec, way)
    }
}

/// The job as it was when the run was planned, from the texts kept with the plan.
pub(super) fn spec(book: &Book, run: &Run) -> Result<Spec, Trouble> {
    let missing = |what: &str| {
        Trouble::input(
            Diag::stop(
                "run-text-missing",
                format!("The {what} of run {} is not kept with its plan.", run.name),
            )
            .why("Without the texts nothing about the run can be reckoned again.")
            .accepted("Start runs with `casewright run start`, which keeps both."),
        )
    };
    let made = run
        .plan
        .made
        .as_ref()
        .ok_or_else(|| missing("job's text"))?;
    let text = |hash, what: &str| -> Result<NamedText, Trouble> {
        let name = run
            .plan
            .files
            .iter()
            .find(|file| file.sha256 == hash)
            .map_or_else(|| what.to_owned(), |file| file.name.clone());
        let bytes = book.attachment(&hash)?.ok_or_else(|| missing(what))?;
        let text = casewright_job::decode(&bytes, &name).map_err(Trouble::input)?;
        Ok(NamedText { name, text })
    };
    let job = text(made.job, "job's text")?;
    let shop = made
        .shop
        .map(|hash| text(hash, "shop's text"))
        .transpose()?;
    let shop_text = |_: &str| {
        shop.as_ref()
            .map(|shop| NamedText {
                name: shop.name.clone(),
                text: shop.text.clone(),
            })
            .ok_or_else(|| {
                Diag::stop(
                    "run-text-missing",
                    "The shop's text is not kept with the plan.",
                )
            })
    };
    let (spec, _) = job::understand(&job.name, &job.text, &shop_text)?;
    Ok(spec)
}
