//! Finding a grade by what somebody wrote, and the names that look like it.

use super::SteelRecord;

/// Words around a grade that say nothing about which grade it is.
const NOISE: [&str; 46] = [
    "AISI",
    "SAE",
    "ASTM",
    "DIN",
    "JIS",
    "UNS",
    "BS",
    "BS970",
    "EN10084",
    "EN10083",
    "EN10025",
    "EN10277",
    "WNR",
    "WERKSTOFF",
    "NO",
    "GRADE",
    "GR",
    "STEEL",
    "STAHL",
    "BAR",
    "BARSTOCK",
    "STOCK",
    "ROUND",
    "ROD",
    "PLATE",
    "FLAT",
    "SHEET",
    "CR",
    "CD",
    "CF",
    "CRS",
    "HR",
    "HRS",
    "COLD",
    "HOT",
    "ROLLED",
    "DRAWN",
    "FINISHED",
    "BRIGHT",
    "ANNEALED",
    "NORMALIZED",
    "NORMALISED",
    "TYPE",
    "MILD",
    "TG&P",
    "GROUND",
];

/// Ends that people glue to the number: condition and finish.
const GLUED: [&str; 12] = [
    "CRS", "HRS", "CDS", "CR", "CD", "CF", "HR", "+N", "+A", "+AR", "+FP", "+C",
];

/// Beginnings that people glue to the number.
const GLUED_BEFORE: [&str; 9] = [
    "AISISAE", "AISI", "SAE", "ASTM", "BS970", "BS", "DIN", "JIS", "UNS",
];

pub(super) fn find<'a>(table: &'a [SteelRecord], written: &str) -> Option<&'a SteelRecord> {
    candidates(written)
        .iter()
        .find_map(|candidate| exact(table, candidate))
}

/// The record one of whose names has this key.
fn exact<'a>(table: &'a [SteelRecord], wanted: &str) -> Option<&'a SteelRecord> {
    if wanted.is_empty() {
        return None;
    }
    table
        .iter()
        .find(|record| names(record).any(|name| key(name) == wanted))
}

pub(super) fn names(record: &SteelRecord) -> impl Iterator<Item = &str> {
    std::iter::once(record.name.as_str()).chain(record.aliases.iter().map(String::as_str))
}

/// A name without what does not matter: capitals, no spaces, hyphens, dots between letters.
pub(super) fn key(name: &str) -> String {
    name.chars()
        .filter(|c| c.is_alphanumeric() || matches!(c, '+' | '&'))
        .flat_map(char::to_uppercase)
        .collect()
}

/// Keys to try, the most literal first, so that "EN 36A" is not read as standard "EN".
fn candidates(written: &str) -> Vec<String> {
    // A grade name is short; a whole page of text is not one, and must not cost time.
    if written.chars().count() > 120 {
        return Vec::new();
    }
    let mut found = vec![key(written)];
    let words: Vec<String> = written
        .split(|c: char| c.is_whitespace() || matches!(c, ',' | ';' | ':' | '(' | ')' | '/'))
        .map(key)
        .filter(|word| !word.is_empty())
        .collect();
    let kept: Vec<&str> = words
        .iter()
        .map(String::as_str)
        .filter(|word| !NOISE.contains(word))
        .collect();
    found.push(kept.concat());
    // "EN 10084 16MnCr5", "JIS G 4053 SCM415": the standard's number in separate words.
    if let Some(rest) = after_standard(&kept) {
        found.push(rest);
    }
    for word in found.clone() {
        let mut short = word;
        while let Some(rest) = GLUED_BEFORE.iter().find_map(|g| short.strip_prefix(g)) {
            short = rest.to_owned();
        }
        found.push(short.clone());
        while let Some(rest) = GLUED.iter().find_map(|g| short.strip_suffix(g)) {
            short = rest.to_owned();
            found.push(short.clone());
        }
    }
    found
}

/// The words after a standard's number, such as `EN 10084 …` or `G 4053 …`.
fn after_standard(words: &[&str]) -> Option<String> {
    const STANDARDS: [&str; 12] = [
        "10084", "10083", "10025", "10277", "683", "4051", "4052", "4053", "4104", "3101", "970",
        "10087",
    ];
    let at = words.iter().position(|word| {
        let digits = word.trim_start_matches(|c: char| c.is_ascii_alphabetic());
        STANDARDS.iter().any(|s| digits.starts_with(s)) && words.len() > 1
    })?;
    let rest = &words[at + 1..];
    (!rest.is_empty()).then(|| rest.concat())
}

pub(super) fn near<'a>(table: &'a [SteelRecord], written: &str) -> Vec<&'a str> {
    let candidates = candidates(written);
    let mut scored: Vec<(usize, &str)> = table
        .iter()
        .filter_map(|record| {
            let best = names(record)
                .map(key)
                .flat_map(|name| {
                    candidates
                        .iter()
                        .filter(|c| c.len() >= 2)
                        .map(move |c| unlikeness(c, &name))
                        .collect::<Vec<_>>()
                })
                .min()?;
            (best <= 2).then_some((best, record.name.as_str()))
        })
        .collect();
    scored.sort();
    scored.into_iter().take(5).map(|(_, name)| name).collect()
}

/// How many letters must be changed, added or dropped (Levenshtein), cut off at 3.
fn unlikeness(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    // Two changes in a three-letter name leave nothing alike.
    if a.len().abs_diff(b.len()) > 2 || a.len().min(b.len()) < 2 {
        return 3;
    }
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.iter().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, y) in b.iter().enumerate() {
            let change = diagonal + usize::from(x != y);
            diagonal = row[j + 1];
            row[j + 1] = change.min(row[j] + 1).min(diagonal + 1);
        }
    }
    let changes = row[b.len()];
    if changes * 2 > a.len().max(b.len()) {
        3
    } else {
        changes.min(3)
    }
}
