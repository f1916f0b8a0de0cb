//! A shelf of odd files and how each comes out. One line a file: its number, the answers given, and
//! what must come of it; a refusal by its code, a log by the counts that tell it from others.

use casewright_job::log::{self, Fate, Log};

use crate::answers;

const SHELF: &str = include_str!("odd.txt");

/// The log in a line: rows, length and start, channels with units, fates that are not plain.
fn told(log: &Log) -> String {
    let channels: Vec<String> = log
        .channels
        .iter()
        .map(|channel| {
            let unit = channel.unit.map_or("-", |unit| unit.symbol());
            let value = |row| channel.value(row).map_or("-".to_owned(), |v| v.to_string());
            format!("{unit} {}..{}", value(0), value(log.rows() - 1))
        })
        .collect();
    let fates: Vec<String> = [
        Fate::Fault,
        Fate::Unreadable,
        Fate::OutOfOrder,
        Fate::Duplicate,
        Fate::Remark,
    ]
    .into_iter()
    .filter_map(|fate| {
        let (_, lines) = log.fates.iter().find(|(known, _)| *known == fate)?;
        (lines.count > 0).then(|| format!("{} {:?}", fate.word(), lines.ranges))
    })
    .collect();
    let mut text = format!(
        "{} rows {} s; {}",
        log.rows(),
        log.length().to_s(),
        channels.join(", ")
    );
    if let Some(ms) = log.start_ms {
        text.push_str(&format!("; from {}", ms / 1000));
    }
    for step in &log.clock_steps {
        text.push_str(&format!(
            "; clock back at {} by {} s",
            step.line,
            step.by_ms / 1000
        ));
    }
    for gap in log.gaps() {
        let hour = if gap.about_an_hour { " (an hour)" } else { "" };
        text.push_str(&format!(
            "; hole after {} of {} s{hour}",
            gap.after_line,
            gap.length.to_s()
        ));
    }
    for fate in fates {
        text.push_str(&format!("; {fate}"));
    }
    text
}

#[test]
fn every_odd_file_comes_out_as_its_line_says() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/logs/odd");
    let mut wrong = Vec::new();
    let mut used = std::collections::BTreeSet::new();
    for line in SHELF
        .lines()
        .filter(|line| !line.is_empty() && !line.starts_with('#'))
    {
        let [name, given, expected] = line.split(" | ").collect::<Vec<_>>()[..] else {
            panic!("a line has a name, answers and what comes out: {line}");
        };
        #[expect(clippy::disallowed_methods, reason = "the shelf is a folder of files")]
        let bytes = std::fs::read(folder.join(format!("{name}.log"))).expect(name);
        used.insert(format!("{name}.log"));
        let outcome = match log::read(&bytes, &answers(given.trim_matches('-'))) {
            Ok(log) => told(&log),
            Err(diags) => {
                for diag in &diags {
                    assert!(!diag.accepted.is_empty(), "{name}: {diag:?}");
                }
                let codes: Vec<&str> = diags.iter().map(|diag| diag.code).collect();
                codes.join(" ")
            }
        };
        if outcome != expected.trim() {
            wrong.push(format!("{name} | {given} | {outcome}"));
        }
    }
    #[expect(clippy::disallowed_methods, reason = "the shelf is a folder of files")]
    let there = std::fs::read_dir(&folder).expect("the shelf").count();
    assert_eq!(used.len(), there, "every file has a line");
    assert!(
        wrong.is_empty(),
        "comes out otherwise:\n{}",
        wrong.join("\n")
    );
}
