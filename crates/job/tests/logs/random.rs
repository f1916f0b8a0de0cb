//! Every made-up log is read right, or asks about what it truly leaves open and is read right
//! with the true answer. None is read wrong.
//!
//! `CASEWRIGHT_LOGS` sets the number of files.
#![expect(
    clippy::disallowed_methods,
    reason = "the number of files comes from outside for long runs"
)]

use casewright_job::log::{self, Answers, Fate, Log};
use proptest::prelude::*;

use crate::dialect::{Truth, written};

const USUAL_FILES: u64 = 2000;
/// Times of a spreadsheet are written with nine digits, which is less than a tenth of a
/// millisecond, and rounded to one.
const SLACK_MS: i64 = 1;

/// Why a log differs from the truth.
fn differs(log: &Log, truth: &Truth) -> Option<String> {
    let told = |what: &str, is: String, be: String| Some(format!("{what}: {is}, not {be}"));
    if log.rows() != truth.rows.len() {
        let fates: Vec<_> = log
            .fates
            .iter()
            .filter(|(_, lines)| lines.count > 0)
            .collect();
        return told(
            "rows",
            format!("{} of {fates:?} {:?}", log.rows(), log.reasons.first()),
            truth.rows.len().to_string(),
        );
    }
    if log.channels.len() != truth.channels {
        let names: Vec<_> = log.channels.iter().map(|channel| &channel.name).collect();
        return told("channels", format!("{names:?}"), truth.channels.to_string());
    }
    if log.lines != truth.lines {
        return told("lines", log.lines.to_string(), truth.lines.to_string());
    }
    let start = log.start_ms.map(|ms| (ms + SLACK_MS) / 10);
    if start != truth.start_ms.map(|ms| (ms + SLACK_MS) / 10) {
        return told(
            "start",
            format!("{:?}", log.start_ms),
            format!("{:?}", truth.start_ms),
        );
    }
    let mut faults = 0;
    for (row, (ms, values)) in truth.rows.iter().enumerate() {
        if ((log.time(row).to_s() * 1000.0).round() as i64 - ms).abs() > SLACK_MS {
            return told(
                &format!("time of row {row}"),
                format!("{:?}", log.time(row)),
                ms.to_string(),
            );
        }
        faults += u64::from(values.contains(&None));
        for (channel, value) in log.channels.iter().zip(values) {
            if channel.unit != Some(truth.unit) || channel.value(row) != *value {
                return told(
                    &format!("row {row}"),
                    format!("{:?} {:?}", channel.value(row), channel.unit),
                    format!("{value:?} {:?}", truth.unit),
                );
            }
        }
    }
    let counted: u64 = Fate::ALL.into_iter().map(|fate| log.count(fate)).sum();
    if counted != log.lines {
        return told("fates", counted.to_string(), log.lines.to_string());
    }
    let fates = [
        Fate::Fault,
        Fate::Unreadable,
        Fate::Duplicate,
        Fate::OutOfOrder,
    ];
    let is = fates.map(|fate| log.count(fate));
    (is != [faults, truth.unreadable, 0, 0])
        .then(|| format!("{fates:?} are {is:?}, {faults} faults"))
}

#[test]
fn made_up_logs_are_read_right_or_ask_and_are_never_read_wrong() {
    let files = std::env::var("CASEWRIGHT_LOGS")
        .ok()
        .and_then(|text| text.parse().ok())
        .unwrap_or(USUAL_FILES);
    let (mut at_once, mut asked) = (0_u64, 0_u64);
    let mut faults: Vec<String> = Vec::new();
    for seed in 0..files {
        let (bytes, truth) = written(seed);
        let mut answers = Answers::NONE;
        let mut outcome = log::read(&bytes, &answers);
        if let Err(questions) = &outcome {
            for question in questions {
                match question.code {
                    "log-dates-open" => answers.dates = Some(truth.order),
                    "log-decimal-open" | "log-comma-glued" => answers.decimal = Some(truth.decimal),
                    "log-unit-open" => answers.unit = Some(truth.unit),
                    _ => {}
                }
            }
            outcome = log::read(&bytes, &answers);
        }
        let fault = match &outcome {
            Ok(log) => differs(log, &truth),
            Err(diags) => Some(format!("refused: {diags:?}")),
        };
        if let Some(fault) = fault {
            let text = String::from_utf8_lossy(&bytes);
            let lines: Vec<&str> = text.lines().collect();
            let first = lines[..lines.len().min(8)].join("\n");
            let last = lines[lines.len().saturating_sub(3)..].join("\n");
            faults.push(format!("file {seed}: {fault}\n{first}\n…\n{last}"));
        } else if answers == Answers::NONE {
            at_once += 1;
        } else {
            asked += 1;
        }
    }
    println!("{files} files: {at_once} read at once, {asked} after a question");
    assert!(
        faults.is_empty(),
        "{} of {files} wrong; the first:\n{}",
        faults.len(),
        faults[..faults.len().min(6)].join("\n\n")
    );
    assert!(
        asked > 0 && at_once > asked,
        "{at_once} at once, {asked} asked"
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// Whatever the bytes, the reader answers, and every line has one fate.
    #[test]
    fn no_bytes_upset_the_reader(bytes in prop::collection::vec(any::<u8>(), 0..600)) {
        if let Ok(log) = log::read(&bytes, &Answers::NONE) {
            let counted: u64 = Fate::ALL.into_iter().map(|fate| log.count(fate)).sum();
            prop_assert_eq!(counted, log.lines);
        }
    }

    /// A log in which bytes were changed, cut out or doubled is no cause for a fall, and no
    /// line is lost from the count.
    #[test]
    fn a_spoilt_log_is_counted_to_the_last_line(
        seed in 0..500_u64,
        at in any::<prop::sample::Index>(),
        byte in any::<u8>(),
        cut in 0..40_usize,
    ) {
        let (mut bytes, truth) = written(seed);
        let place = at.index(bytes.len());
        let end = (place + cut).min(bytes.len());
        bytes.splice(place..end, [byte]);
        let answers = Answers {
            dates: Some(truth.order),
            decimal: Some(truth.decimal),
            unit: Some(truth.unit),
            clock_put_back: true,
        };
        if let Ok(log) = log::read(&bytes, &answers) {
            let counted: u64 = Fate::ALL.into_iter().map(|fate| log.count(fate)).sum();
            prop_assert_eq!(counted, log.lines);
            for row in 1..log.rows() {
                prop_assert!(log.time(row) > log.time(row - 1));
            }
        }
    }
}
