//! A diagnosis on the wire.

use casewright_job::evidence::Evidence;
use casewright_job::spec::Spec;
use casewright_plan::diagnose::{self, Diagnosis, chance_words};
use serde::Serialize;

use super::diag::{Finding, findings};
use super::{Interval, number};
use crate::answer::Texts;

/// The answer of `diagnose`.
#[derive(Debug, Serialize)]
pub(crate) struct Diagnosed {
    /// `nothing-measured`, `told`, `not-told-apart`, `nothing-wrong`, `none-of-these`.
    outcome: &'static str,
    job: Option<String>,
    run: Option<String>,
    /// Likeliest first.
    causes: Vec<Suspect>,
    /// The one to make first in front.
    tests: Vec<Test>,
    patterns: Vec<String>,
    readings: Vec<Held>,
    not_used: Vec<NotUsed>,
    not_looked_at: Vec<NotLookedAt>,
    findings: Vec<Finding>,
    sources: Vec<&'static str>,
}

#[derive(Debug, Serialize)]
struct Suspect {
    cause: &'static str,
    words: &'static str,
    /// Share among the causes looked at, 0 to 1.
    chance: f64,
    chance_words: &'static str,
    amount: Option<Amount>,
    speaks_for: Vec<String>,
    speaks_against: Vec<String>,
    /// `sound`, `yes`, `perhaps`, `no`.
    can_be_saved: &'static str,
    lot: String,
    next_time: &'static str,
}

#[derive(Debug, Serialize)]
struct Amount {
    of: &'static str,
    unit: &'static str,
    value: Interval,
}

#[derive(Debug, Serialize)]
struct Test {
    test: &'static str,
    words: &'static str,
    minutes: f64,
    gain_bits: f64,
    /// Of what is open between the leading causes.
    gain_share: f64,
    reads: &'static str,
    expected: Vec<Expected>,
}

#[derive(Debug, Serialize)]
struct Expected {
    cause: &'static str,
    /// `null` where a chance is foretold.
    value: Option<f64>,
    standard_deviation: Option<f64>,
    chance: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Held {
    name: String,
    place: String,
    scale: String,
    read: f64,
    sound: f64,
    first_cause: Option<f64>,
}

#[derive(Debug, Serialize)]
struct NotUsed {
    name: String,
    because: String,
}

#[derive(Debug, Serialize)]
struct NotLookedAt {
    cause: &'static str,
    because: &'static str,
}

impl Diagnosed {
    /// From a diagnosis.
    pub(crate) fn of(found: &Diagnosis, spec: &Spec, evidence: &Evidence, texts: &Texts) -> Self {
        Self {
            outcome: found.outcome.word(),
            job: spec.number.clone(),
            run: evidence.run.clone(),
            causes: found.suspects.iter().map(suspect).collect(),
            tests: found.tests.iter().map(test).collect(),
            patterns: found.patterns.clone(),
            readings: found
                .held
                .iter()
                .map(|held| Held {
                    name: held.name.clone(),
                    place: held.place.clone(),
                    scale: held.scale.to_string(),
                    read: number(held.read),
                    sound: number(held.sound),
                    first_cause: held.first.map(number),
                })
                .collect(),
            not_used: found
                .left_out
                .iter()
                .map(|(name, because)| NotUsed {
                    name: name.clone(),
                    because: because.clone(),
                })
                .collect(),
            not_looked_at: found
                .not_looked_at
                .iter()
                .map(|(cause, because)| NotLookedAt {
                    cause: cause.code(),
                    because,
                })
                .collect(),
            findings: findings(&found.findings, texts),
            sources: found.sources.clone(),
        }
    }
}

fn suspect(own: &diagnose::Suspect) -> Suspect {
    Suspect {
        cause: own.cause.code(),
        words: own.cause.words(),
        chance: number(own.chance),
        chance_words: chance_words(own.chance),
        amount: own.amount.as_ref().map(|amount| Amount {
            of: amount.of,
            unit: amount.unit,
            value: Interval {
                low: number(amount.low),
                mid: number(amount.mid),
                high: number(amount.high),
            },
        }),
        speaks_for: own.speaks_for.clone(),
        speaks_against: own.speaks_against.clone(),
        can_be_saved: own.remedy.saved.word(),
        lot: own.remedy.words.clone(),
        next_time: own.cause.next_time(),
    }
}

fn test(own: &diagnose::Test) -> Test {
    Test {
        test: own.code,
        words: own.words,
        minutes: number(own.minutes),
        gain_bits: number(own.bits),
        gain_share: number(own.share),
        reads: own.reads,
        expected: own
            .expected
            .iter()
            .map(|(cause, value, doubt)| Expected {
                cause: cause.code(),
                value: (!own.is_chance).then(|| number(*value)),
                standard_deviation: (!own.is_chance).then(|| number(*doubt)),
                chance: own.is_chance.then(|| number(*value)),
            })
            .collect(),
    }
}
