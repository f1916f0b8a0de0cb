//! `run pull`: a coupon pulled during the soak, and how long to go on.

use casewright_plan::pull::{self, Advice, Pull, Pulled, ReadTo};
use casewright_records::{Event, Measured, Stamp};
use casewright_terms::{Diag, Length, Span};
use clap::{Args, ValueEnum};

use super::steps::{minutes, not_reckoned};
use super::{Common, Open, measured, next, show, stored};
use crate::answer::{Answer, Texts, Trouble};
use crate::show::number::depth_band;
use crate::show::wrap::hanging;
use crate::wire;
use crate::world;

/// Options of `run pull`.
#[derive(Debug, Args)]
pub(super) struct Options {
    #[command(flatten)]
    common: Common,
    /// Mark of the coupon, as on the sketch.
    #[arg(value_name = "COUPON")]
    coupon: String,
    /// Depth read, per side, as in 0.62mm or 0.024in.
    #[arg(long, value_name = "DEPTH")]
    depth: String,
    /// How far off it may be, either way, in the same unit.
    #[arg(long, value_name = "DOUBT")]
    doubt: String,
    /// What it was read to.
    #[arg(long, value_enum, default_value_t)]
    to: ToName,
}

/// What a coupon is read to.
#[derive(Clone, Copy, Debug, Default, ValueEnum)]
enum ToName {
    /// The whole ring, broken or etched.
    #[default]
    Ring,
    /// The note's limit, by hardness readings.
    Limit,
}

/// Enters the reading and reckons.
pub(super) fn run(options: &Options) -> Result<Answer, Trouble> {
    let common = &options.common;
    let mut open = common.open()?;
    let step = open.plan.number_of("carburize").ok_or_else(|| {
        Trouble::input(
            Diag::stop("run-no-soak", "The plan of this run has no soak.")
                .accepted("Enter the reading with `casewright run read`."),
        )
    })?;
    let at = common.when()?;
    let soak = clock(&open, step, &at)?;
    let depth = measured(&options.depth)?;
    let doubt = measured(&options.doubt)?;
    let length = |measured: &Measured, what: &str| {
        measured
            .length()
            .filter(|l| *l > Length::ZERO)
            .ok_or_else(|| {
                Trouble::input(
                    Diag::stop("run-pull-length", format!("The {what} is {measured}."))
                        .accepted("Give a length above zero in mm or in, per side."),
                )
            })
    };
    let pull = Pull {
        soaked: soak.soaked,
        hot_after: soak.hot_after,
        depth: length(&depth, "depth")?,
        doubt: length(&doubt, "doubt")?,
        read_to: match options.to {
            ToName::Ring => ReadTo::Total,
            ToName::Limit => ReadTo::Limit,
        },
    };
    let event = Event::CouponReading {
        run: common.run.clone(),
        coupon: options.coupon.clone(),
        what: match options.to {
            ToName::Ring => "total depth of the ring, pulled during the soak",
            ToName::Limit => "depth to the limit, pulled during the soak",
        }
        .to_owned(),
        depth: None,
        measured: depth,
        doubt: Some(doubt),
    };
    let known = open
        .plan
        .coupons
        .iter()
        .any(|c| c.mark == options.coupon && !c.control);
    let receipt = open.put(&common.addition(event)?)?;
    let pulled = match reckon(&open, &pull) {
        Ok(pulled) => pulled,
        Err(Trouble::Numbers(failure)) => {
            return Ok(open.answer(
                &receipt,
                "The reading is kept.",
                vec![not_reckoned(&failure)],
            ));
        }
        Err(Trouble::Input { mut diags, .. }) if !diags.is_empty() => {
            return Ok(open.answer(
                &receipt,
                "The reading is kept; nothing was reckoned.",
                vec![diags.remove(0)],
            ));
        }
        Err(other) => return Err(other),
    };
    let mut diags = pulled.findings.clone();
    if !known {
        diags.push(
            Diag::warn(
                "run-coupon-unknown",
                format!(
                    "The plan has no coupon {} that rides in the box.",
                    options.coupon
                ),
            )
            .accepted("Correct the entry where the mark is misread."),
        );
    }
    let said = sentence(&pulled, &open);
    let set = Event::SoakSet {
        run: common.run.clone(),
        soak: minutes(pulled.soak),
        because: format!("coupon {}: {said}", options.coupon),
        reckoned_json: Some(wire::json(&wire::run::PulledLine::of(&pulled))),
    };
    // A reading that nobody believes changes nothing until somebody says so.
    let believed = !diags.iter().any(|diag| diag.code == "pull-absurd");
    let receipt = if believed {
        open.put(&common.addition(set)?)?
    } else {
        receipt
    };
    let standing = next::Standing::of(&open.run, &open.plan);
    let after = show::after(&open.run, &standing, &receipt, &said, diags.clone());
    let text = format!("{}{}", told(&pulled, &open), after.text);
    let json = wire::json(&wire::run::PullAnswer::of(
        &receipt,
        &said,
        believed,
        &pulled,
        &show::standing_line(&standing),
        &diags,
    ));
    Ok(Answer::done(text, json).with_diags(diags, Texts::default()))
}

/// How long the pack had been hot.
struct Soaked {
    soaked: Span,
    hot_after: Option<Span>,
}

/// From the moments that were entered; where nobody saw the pack get hot, the plan's hour stands in.
fn clock(open: &Open, step: u32, at: &Stamp) -> Result<Soaked, Trouble> {
    let since = |from: &Stamp| Span::from_s((at.utc_us - from.utc_us) as f64 / 1e6);
    let begun = open.run.time(step, next::BEGUN);
    let hot = open.run.time(step, next::HOT);
    match (begun, hot) {
        (Some(begun), Some(hot)) => Ok(Soaked {
            soaked: since(&hot.at),
            hot_after: Some(since(&begun.at) - since(&hot.at)),
        }),
        (None, Some(hot)) => Ok(Soaked {
            soaked: since(&hot.at),
            hot_after: None,
        }),
        (Some(begun), None) => {
            let planned = open.plan.pack_hot_after_h.map_or(0.0, |band| band.mid);
            Ok(Soaked {
                soaked: since(&begun.at) - Span::from_h(planned),
                hot_after: None,
            })
        }
        (None, None) => Err(Trouble::input(
            Diag::stop(
                "run-not-begun",
                "Neither the loading nor the hot pack is entered, so the coupon has no time.",
            )
            .why("A depth says something about the run only with its hours.")
            .accepted("Enter `casewright run begin` and `casewright run hot` with --at first."),
        )),
    }
}

fn reckon(open: &Open, pull: &Pull) -> Result<Pulled, Trouble> {
    let spec = stored::spec(&open.book, &open.run)?;
    let kit = open.plan.kit(&spec).map_err(Trouble::input)?;
    let seed = open.run.plan.made.as_ref().map_or(1, |made| made.seed);
    world::with_progress("reckoning", || {
        kit.follow()
            .and_then(|followed| pull::pull(&followed, pull, seed))
    })
    .map_err(Trouble::Numbers)
}

fn sentence(pulled: &Pulled, open: &Open) -> String {
    let units = open.plan.units();
    let after = depth_band(pulled.after, units);
    match pulled.advice {
        Advice::GoOn => format!(
            "{} more ({} to {}), for {after}",
            pulled.more.mid.text(),
            pulled.more.low.text(),
            pulled.more.high.text(),
        ),
        Advice::PullNow => format!("pull now: the depth is made, {after}"),
        Advice::TooDeep => format!("pull now: too deep already, {after}"),
    }
}

fn told(pulled: &Pulled, open: &Open) -> String {
    let units = open.plan.units();
    let band = |band| depth_band(band, units);
    let mut text = hanging("Expected on the coupon: ", &band(pulled.expected));
    text.push_str(&hanging(
        "With the planned soak, before: ",
        &band(pulled.before),
    ));
    text.push_str(&hanging(
        "With the planned soak, knowing this: ",
        &band(pulled.if_unchanged),
    ));
    text.push_str(&hanging("With the soak advised: ", &band(pulled.after)));
    text.push_str(&format!(
        "Depth to make is met: {:.0} % before, {:.0} % as advised\n",
        100.0 * pulled.chance.0,
        100.0 * pulled.chance.1
    ));
    text
}
