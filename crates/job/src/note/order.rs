//! Stage, processes, standards, and everything that was left unread.
//!
//! Depths and hardnesses are elsewhere; here stands what surrounds them.

use super::blocks;
use super::draft::Draft;
use super::piece::Item;
use super::reading::{Rule, Stage};
use super::role::Role;
use super::scale::Other;
use super::words::Meaning as M;

/// What is assumed where neither note nor grinding is spoken of.
pub(super) const TAKEN_AS_HARDENED: &str =
    "the note speaks of no grinding: its values are taken directly after heat treatment";

/// Whether the note is about case hardening at all; opens the points where it is not.
pub(super) fn subject(draft: &mut Draft) -> bool {
    let harden = draft.pieces.iter().any(|p| {
        p.meaning() == Some(M::Step)
            && (p.text.contains("HARD") || p.text.contains("HDN") || p.text.contains("HART"))
    });
    let depth = draft.has(|m| matches!(m, M::Depth | M::Total));
    let case = draft.has(|m| matches!(m, M::Case | M::Effective { .. }))
        || draft.pieces.iter().any(|p| {
            matches!(p.item, Item::Jis(_))
                || p.meaning().is_some()
                    && (p.text.contains("CASE")
                        || p.text.contains("EINSATZ")
                        || p.text.contains("CARBURI")
                        || p.text.contains("TCD")
                        || p.text.contains("T C D"))
        })
        || depth && harden
        // A depth beside a core hardness is that of a case.
        || depth && draft.has(|m| m == M::Core);
    let mut other = false;
    for i in 0..draft.pieces.len() {
        let (what, text) = match draft.pieces[i].meaning() {
            Some(M::OtherProcess) => (
                "another treatment than case hardening in a pack",
                "asks for another treatment than carburizing in a pack",
            ),
            Some(M::OtherMethod) => (
                "another way of carburizing than in a pack",
                "asks for another way of carburizing than in a pack",
            ),
            _ => continue,
        };
        other = true;
        draft.pieces[i].say(what);
        let text = format!("“{}” {text}.", draft.written(i));
        draft.block(blocks::OTHER_PROCESS, text);
    }
    let agreed = draft.settled.agreed.contains(blocks::OTHER_PROCESS);
    let lifted = other && agreed;
    if !(case || lifted) {
        if !other {
            draft.block(
                blocks::NOT_A_CASE_NOTE,
                "The text says nothing about case hardening.",
            );
        }
        return false;
    }
    true
}

/// `PACK CARBURIZING NOT PERMITTED`, `NO PACK`: the note itself leaves the pack out.
fn pack_forbidden(draft: &mut Draft) {
    const NO: [&str; 9] = [
        "NO", "NOT", "NEVER", "WITHOUT", "CANNOT", "AVOID", "NICHT", "OHNE", "KEIN",
    ];
    let pieces = &draft.pieces;
    let packed = |i: usize| {
        let text = pieces[i].text.as_str();
        matches!(pieces[i].meaning(), Some(M::Case | M::Remark))
            && ["PACK", "BOX"]
                .iter()
                .any(|word| text.split(' ').next() == Some(word))
    };
    let says_no =
        |i: &usize| pieces[*i].meaning() == Some(M::Not) && NO.contains(&pieces[*i].text.as_str());
    // Words that may stand between the pack and its no.
    let joins = |i: &usize| {
        matches!(pieces[*i].meaning(), Some(M::Filler | M::Case))
            || matches!(pieces[*i].item, Item::Sign)
    };
    let found = (0..pieces.len()).filter(|&i| packed(i)).find_map(|i| {
        let after = (i + 1..pieces.len()).find(|j| !joins(j)).filter(says_no);
        let before = (0..i).rev().find(|j| !joins(j)).filter(says_no);
        after.or(before).map(|no| (i, no))
    });
    if let Some((pack, no)) = found {
        let text = format!(
            "“{}” with “{}” leaves the pack out, and a charcoal box is the only way held here.",
            draft.written(pack),
            draft.written(no)
        );
        draft.pieces[no].item = Item::Label("forbids the pack");
        draft.block(blocks::SPEC_EXCLUDES_PACK, text);
    }
}

/// Standards called, their successors, and what leaves the pack out.
pub(super) fn standards(draft: &mut Draft) {
    pack_forbidden(draft);
    for i in 0..draft.pieces.len() {
        let Item::Standard(name) = draft.pieces[i].item.clone() else {
            continue;
        };
        let name = name.trim().to_owned();
        if !draft.reading.standards.contains(&name) {
            draft.reading.standards.push(name.clone());
        }
        draft.pieces[i].say(format!("calls {name}"));
        if name.starts_with("AMS 2759/7") {
            draft.block(blocks::SPEC_EXCLUDES_PACK, format!("{name} is called. Its scope does not cover pack carburizing, so a job from a charcoal box cannot be certified to it."));
        }
        if let Some(remark) = successor(&name) {
            draft.assume_at(i, format!("{name}: {remark}"));
        }
    }
}

/// What became of older standards, where it is known.
fn successor(name: &str) -> Option<&'static str> {
    let rows = [
        (
            "MIL-S-6090",
            "no longer current; confirm with the customer what governs",
        ),
        (
            "MIL-H-6875",
            "no longer current, and it left carburizing out; confirm with the customer what governs",
        ),
        (
            "MIL-STD-867",
            "no longer current; confirm with the customer what governs",
        ),
        ("ISO 2639", "replaced by ISO 18203; read as that"),
        ("DIN 50190", "replaced by ISO 18203; read as that"),
        ("DIN 6773", "replaced by ISO 15787; read as that"),
        ("DIN 17210", "replaced by EN 10084; read as that"),
    ];
    let letter_or_end = |tail: &str| !tail.starts_with(|c: char| c.is_ascii_digit());
    rows.iter()
        .find(|(old, _)| {
            let bare = name
                .replace("DIN ISO", "ISO")
                .replace("EN ISO", "ISO")
                .replace("DIN EN", "EN")
                .replace("DIN ISO", "ISO");
            bare.strip_prefix(old).is_some_and(letter_or_end)
        })
        .map(|(_, remark)| *remark)
}

/// Before or after grinding.
pub(super) fn stage(draft: &mut Draft) {
    let after: Vec<usize> = with(draft, M::AfterGrind);
    let before: Vec<usize> = with(draft, M::BeforeGrind);
    for &i in &after {
        draft.pieces[i].say("holds on the finished surface, after grinding");
    }
    for &i in &before {
        draft.pieces[i].say("holds before grinding, directly after heat treatment");
    }
    if let Some(stage) = draft.settled.stage {
        draft.reading.stage = stage;
        return;
    }
    match (after.first(), before.first()) {
        (Some(&i), None) => {
            draft.reading.stage = Stage::AfterGrind;
            both_governed(draft, i);
        }
        (None, Some(&i)) => {
            draft.reading.stage = Stage::BeforeGrind;
            both_governed(draft, i);
        }
        (Some(_), Some(_)) => draft.block(blocks::STAGE, "The note speaks of values after grinding and of values before it; please say which the case depth is."),
        (None, None) => unstated_stage(draft),
    }
}

fn with(draft: &Draft, meaning: M) -> Vec<usize> {
    (0..draft.pieces.len())
        .filter(|&i| draft.pieces[i].meaning() == Some(meaning))
        .collect()
}

/// One stage word is taken for depth and hardness alike.
fn both_governed(draft: &mut Draft, i: usize) {
    if draft.reading.case_depth.is_some() && draft.reading.surface_hardness.is_some() {
        let text = format!(
            "“{}” is taken for the depth and for the surface hardness",
            draft.written(i)
        );
        draft.assume_at(i, text);
    }
}

/// Asked where grinding is in play; otherwise taken as hardened.
fn unstated_stage(draft: &mut Draft) {
    let grinding = draft.has(|m| m == M::Grind)
        || !draft.with_role(Role::Stock).is_empty()
        || stock_word(draft);
    if grinding {
        draft.block(blocks::STAGE, STAGE_QUESTION);
    } else if draft.reading.case_depth.is_some() {
        draft.assume(TAKEN_AS_HARDENED);
    }
}

/// `LEAVE THREADS SOFT` is no stock; `STOCK` without a number is.
fn stock_word(draft: &Draft) -> bool {
    draft.pieces.iter().any(|p| {
        p.meaning() == Some(M::Stock)
            && !matches!(
                p.text.as_str(),
                "LEAVE" | "ALLOW" | "REMOVAL" | "ALLOWANCE" | "ABTRAG"
            )
    })
}

/// The words of the open stage.
pub(super) const STAGE_QUESTION: &str = "Metal is ground off after hardening, and the note does not say whether its case depth and hardness hold before grinding or on the finished surface.";

/// One area with two rules.
pub(super) fn areas(draft: &mut Draft) {
    let text = draft.reading.text.clone();
    draft.reading.selective = super::area::find(&mut draft.pieces, &text);
    if let Some(i) =
        (0..draft.pieces.len()).find(|&i| super::area::forbids_without_area(&draft.pieces[i]))
    {
        let text = format!(
            "“{}” names no area; it could speak of a marked area or of the whole part.",
            draft.written(i)
        );
        draft.block(blocks::UNREAD_EXCEPTION, text);
    }
    let list = draft.reading.selective.clone();
    for (k, one) in list.iter().enumerate() {
        let clash = list[..k].iter().find(|other| {
            other.what == one.what
                && other.rule != one.rule
                && (other.rule == Rule::MustNot || one.rule == Rule::MustNot)
        });
        if clash.is_none() {
            continue;
        }
        match draft.settled.area {
            Some(rule) => draft
                .reading
                .selective
                .retain(|s| s.what != one.what || s.rule == rule),
            None => {
                let text = format!("“{}” is to be cased and to be kept free of case.", one.what);
                draft.block(blocks::AREA_CONFLICT, text);
            }
        }
    }
}

/// Says the rest, and opens the points of numbers and negations that were not read.
pub(super) fn leftovers(draft: &mut Draft) {
    let mut numbers: Vec<String> = Vec::new();
    let mut negations: Vec<String> = Vec::new();
    for i in 0..draft.pieces.len() {
        let written = draft.written(i).to_owned();
        let role = draft.roles[i];
        let piece = &mut draft.pieces[i];
        match &piece.item {
            Item::Amount(amount) => match role {
                Some(Role::Instruction) => {
                    let bare = amount.unit.is_none();
                    let time = amount.other() == Some(Other::Time);
                    piece.say(if time {
                        "a time: an instruction, not a requirement on the part"
                    } else {
                        "a temperature: an instruction, not a requirement on the part"
                    });
                    if bare {
                        piece.assume("the temperature has no unit; it is not used");
                    }
                }
                Some(Role::Percentage) => {
                    piece.say("a carbon content or percentage: shown, not planned for");
                    let text =
                        format!("“{written}” is a percentage: kept on the sheet, not planned for");
                    piece.assume(&text);
                    draft.assume(text);
                }
                Some(Role::Size) => {
                    piece.say("a size, count, place or number of a list: no depth and no hardness")
                }
                Some(Role::Unread) if piece.understood.is_none() => {
                    piece.say("not read");
                    numbers.push(written);
                }
                _ => piece.say("not read"),
            },
            Item::Unknown if piece.text.chars().any(char::is_numeric) => numbers.push(written),
            Item::Word(M::Not, _) => {
                piece.say("not read");
                negations.push(written);
            }
            Item::Scale(mark) => {
                let foreign = matches!(mark.name, super::scale::ScaleName::Foreign(_));
                piece.say(if foreign {
                    "a scale or strength without a number"
                } else {
                    "a hardness scale without a number"
                });
            }
            Item::Label(what) => piece.say(*what),
            Item::Steel => piece.say("names a steel; the job's own steel is used"),
            Item::Word(meaning, _) => {
                if let Some(words) = plain_words(*meaning) {
                    piece.say(words);
                }
            }
            _ => {}
        }
    }
    if !numbers.is_empty() {
        draft.block(
            blocks::UNREAD_NUMBER,
            format!(
                "Not understood: {}. If it asks something of the heat treatment, it must be known.",
                list(&numbers)
            ),
        );
    }
    if !negations.is_empty() {
        draft.block(
            blocks::UNREAD_EXCEPTION,
            format!(
                "The note has words of exception or condition that were not understood: {}.",
                list(&negations)
            ),
        );
    }
}

/// At most six quotes, so that a wall of figures does not become a wall of questions.
fn list(quotes: &[String]) -> String {
    let mut shown: Vec<String> = quotes
        .iter()
        .take(6)
        .map(|q| format!("“{}”", q.trim()))
        .collect();
    if quotes.len() > 6 {
        shown.push(format!("and {} more", quotes.len() - 6));
    }
    shown.join(", ")
}

/// What a word says by itself; `None` for words that only join.
fn plain_words(meaning: M) -> Option<&'static str> {
    Some(match meaning {
        M::Case => "case-harden by carburizing",
        M::Depth => "case depth",
        M::Effective { .. } => "effective depth: down to a limit hardness",
        M::Total => "total depth: down to the carbon of the core",
        M::Limit => "a limit hardness follows",
        M::Surface => "surface",
        M::Core => "core",
        M::HardnessWord => "hardness",
        M::FileHard => "hard to the file",
        M::Least => "least value",
        M::Greatest => "greatest value",
        M::AfterGrind => "after grinding",
        M::BeforeGrind => "before grinding",
        M::Grind => "is ground after hardening",
        M::Stock => "metal left for grinding",
        M::PerSide => "per side",
        M::OnDiameter => "on the diameter",
        M::MustNot => "must stay free of case",
        M::May => "may be case-hardened",
        M::Only => "must be case-hardened",
        M::Area => "an area of the part",
        M::Step => "a step of the work: an instruction, not a requirement on the part",
        M::OtherProcess | M::OtherMethod => "another process",
        M::Accept => "acceptance by a stated test",
        M::Size => "a size or place",
        M::Carbon => "carbon content",
        M::Steel => "names the steel; the job's own steel is used",
        M::Label => "number of a note, sheet, part or the like",
        M::Remark => "a general remark",
        M::Not => "not read",
        M::And | M::Filler => return None,
    })
}
