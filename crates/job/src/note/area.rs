//! Areas that a note treats apart: must, may, must not.
//!
//! Goes by the rule word and the areas named in its clause; which surface of the part that is,
//! only the drawing shows.

use super::piece::{Item, Piece};
use super::reading::{Rule, Selective};
use super::role::before;
use super::words::Meaning as M;

/// Words for an area that the note does not name.
const UNNAMED: &str = "area marked on the drawing";

/// Words for what `MASK ALL EXCEPT TEETH` masks.
const EVERYTHING_ELSE: &str = "everything else";

/// Finds all rules and says their pieces.
pub(super) fn find(pieces: &mut [Piece], text: &str) -> Vec<Selective> {
    let mut found: Vec<Selective> = Vec::new();
    let mut unnamed: Vec<(usize, Rule)> = Vec::new();
    let mut claimed = vec![false; pieces.len()];
    for i in 0..pieces.len() {
        let Some(rule) = rule(pieces, i) else {
            continue;
        };
        let ahead = areas_behind(pieces, i);
        let back = areas_before(pieces, i);
        let (first, second) = if follows_its_area(&pieces[i]) {
            (back, ahead)
        } else {
            (ahead, back)
        };
        let areas = if first.is_empty() { second } else { first };
        let areas: Vec<usize> = areas
            .into_iter()
            .filter(|&j| !(claimed[j] && rule == Rule::Must))
            .collect();
        if areas.is_empty() && rule == Rule::MustNot && exception_follows(pieces, i) {
            pieces[i].say(words(rule));
            push(&mut found, EVERYTHING_ELSE.to_owned(), rule);
            continue;
        }
        if areas.is_empty() {
            unnamed.push((i, rule));
            continue;
        }
        for j in areas {
            claimed[j] = true;
            let what = name(text, &pieces[j]);
            pieces[j].say(format!("area: {what}"));
            push(&mut found, what, rule);
        }
        pieces[i].say(words(rule));
    }
    for (i, rule) in unnamed {
        if pieces[i].text == "ANNEAL"
            || rule == Rule::Must && pieces[i].text == "ONLY" && !found.is_empty()
        {
            continue;
        }
        pieces[i].say(words(rule));
        // `COPPER PLATE THREADS … STOP OFF`: the second word adds no second area.
        if !found.iter().any(|s| s.rule == rule) {
            pieces[i].assume("the area is the one marked on the drawing");
            push(&mut found, UNNAMED.to_owned(), rule);
        }
    }
    cased_areas(pieces, text, &claimed, &mut found);
    found
}

/// The area in the note's words, without the preposition in front.
fn name(text: &str, piece: &Piece) -> String {
    let words = text[piece.span.clone()].to_lowercase();
    let bare = words
        .strip_prefix("on the ")
        .or_else(|| words.strip_prefix("on "));
    bare.unwrap_or(&words).to_owned()
}

fn push(found: &mut Vec<Selective>, what: String, rule: Rule) {
    let one = Selective { what, rule };
    if !found.contains(&one) {
        found.push(one);
    }
}

/// The rule a piece states.
fn rule(pieces: &[Piece], i: usize) -> Option<Rule> {
    match pieces[i].meaning()? {
        M::MustNot if is_exception(&pieces[i]) && excepts_soft(pieces, i) => Some(Rule::Must),
        M::MustNot => Some(Rule::MustNot),
        M::May => Some(Rule::May),
        M::Only => Some(Rule::Must),
        _ => None,
    }
}

/// Whether a piece takes areas out of what was said before it.
fn is_exception(piece: &Piece) -> bool {
    let heads = [
        "EXCEPT",
        "EXCLUD",
        "AUSSER",
        "AUSGENOMMEN",
        "SAUF",
        "SALVO",
        "BUT NOT",
    ];
    piece.meaning() == Some(M::MustNot) && heads.iter().any(|h| piece.text.starts_with(h))
}

/// `MASK ALL EXCEPT TEETH`: the exception is from what stays soft, so the teeth are cased.
fn excepts_soft(pieces: &[Piece], i: usize) -> bool {
    (0..i)
        .rev()
        .take_while(|&j| {
            !matches!(pieces[j].item, Item::Break { hard: true })
                && !matches!(
                    pieces[j].meaning(),
                    Some(M::Case | M::Step | M::May | M::Only)
                )
                && pieces[j].amount().is_none()
        })
        .find(|&j| pieces[j].meaning() == Some(M::MustNot))
        .is_some_and(|j| !is_exception(&pieces[j]))
}

/// Whether the next rule behind a piece, in its sentence, is an exception from it.
fn exception_follows(pieces: &[Piece], i: usize) -> bool {
    (i + 1..pieces.len())
        .take_while(|&j| !ends_reach(pieces, j) || is_exception(&pieces[j]))
        .any(|j| is_exception(&pieces[j]))
}

fn words(rule: Rule) -> &'static str {
    match rule {
        Rule::Must => "must be case-hardened",
        Rule::May => "may be case-hardened",
        Rule::MustNot => "must stay free of case",
    }
}

/// Whether the rule word stands behind its area: `THREADS SOFT`, `BORE MAY BE CASED`.
fn follows_its_area(piece: &Piece) -> bool {
    let text = piece.text.as_str();
    let starts = [
        "TO ",
        "MUST",
        "SHALL",
        "MAY ",
        "NOT ",
        "STAY",
        "REMAIN",
        "KEPT",
        "LEFT",
        "DARF",
        "BLEIB",
        "WEICH",
        "MUSS",
        "NICHT",
        "ONLY",
        "NUR",
        "MASKED",
        "STOPPED",
        "FREE",
        "CASE FREE",
        "OPTIONAL",
        "FROM",
        "ABDECKEN",
        "ABGEDECKT",
        "ISOLIER",
        "UN",
        "CASE REQUIRED",
        "ZULASSIG",
        "FREIGESTELLT",
        "SOLO",
        "BLAND",
        "NON CEM",
    ];
    let starts = starts.iter().any(|s| text.starts_with(s)) && !matches!(text, "NOT ON" | "NOT IN");
    starts || text == "SOFT"
}

/// Whether a piece ends the reach of a rule.
fn ends_reach(pieces: &[Piece], j: usize) -> bool {
    matches!(pieces[j].item, Item::Break { hard: true })
        || rule(pieces, j).is_some()
        || matches!(pieces[j].meaning(), Some(M::Case))
        || pieces[j].amount().is_some() && !is_size(pieces, j)
}

/// `BORE .500 DIA`: a size belongs to its area.
fn is_size(pieces: &[Piece], j: usize) -> bool {
    let size = |j: usize| pieces.get(j).is_some_and(|p| p.meaning() == Some(M::Size));
    size(j + 1) || j > 0 && size(j - 1)
}

/// `NO CASE`, `DO NOT CARBURIZE` with no area beside it would forbid the job itself.
pub(super) fn forbids_without_area(piece: &Piece) -> bool {
    let text = piece.text.as_str();
    let heads = [
        "NO ",
        "DO NOT",
        "NOT ",
        "MUST NOT",
        "SHALL NOT",
        "NICHT",
        "NE PAS",
        "SIN ",
        "EXCEPT",
        "CASE NOT",
        "OMIT",
        "NON ",
        "BUT NOT",
        "MAY NOT",
        "CANNOT",
        "UNCARBURI",
        "UNHARDENED",
    ];
    piece.meaning() == Some(M::MustNot)
        && piece.assumed.is_some()
        && heads.iter().any(|h| text.starts_with(h))
}

/// Areas behind a rule word, over commas as long as the clause holds nothing but areas.
fn areas_behind(pieces: &[Piece], i: usize) -> Vec<usize> {
    let mut areas = Vec::new();
    let mut j = i + 1;
    while j < pieces.len() && !ends_reach(pieces, j) {
        if matches!(pieces[j].item, Item::Break { .. }) {
            let list = !areas.is_empty() && only_areas(pieces, j + 1);
            if !list {
                break;
            }
        }
        if is_area(&pieces[j]) {
            areas.push(j);
        }
        j += 1;
    }
    areas
}

/// Areas before a rule word in its clause; `THREADS, BORE TO BE SOFT` reaches over the comma.
fn areas_before(pieces: &[Piece], i: usize) -> Vec<usize> {
    let mut areas = Vec::new();
    for j in (0..i).rev() {
        if ends_reach(pieces, j) {
            break;
        }
        if matches!(pieces[j].item, Item::Break { .. }) {
            let start = (0..j)
                .rev()
                .find(|&k| matches!(pieces[k].item, Item::Break { .. }))
                .map_or(0, |k| k + 1);
            if areas.is_empty() || !only_areas(pieces, start) {
                break;
            }
        }
        if is_area(&pieces[j]) {
            areas.push(j);
        }
    }
    areas.reverse();
    areas
}

fn is_area(piece: &Piece) -> bool {
    piece.meaning() == Some(M::Area)
}

/// Whether the clause that starts at `from` holds areas and joining words only.
fn only_areas(pieces: &[Piece], from: usize) -> bool {
    let clause = pieces[from.min(pieces.len())..]
        .iter()
        .take_while(|p| !matches!(p.item, Item::Break { .. }));
    let mut any = false;
    for piece in clause {
        any |= is_area(piece);
        let joining = matches!(piece.meaning(), Some(M::Area | M::And | M::Filler))
            || matches!(piece.item, Item::Sign);
        if !joining {
            return false;
        }
    }
    any
}

/// `CASE HARDEN TEETH AND BORE`: areas of the hardening itself must be cased.
fn cased_areas(pieces: &mut [Piece], text: &str, claimed: &[bool], found: &mut Vec<Selective>) {
    for i in 0..pieces.len() {
        if pieces[i].meaning() != Some(M::Case) {
            continue;
        }
        for j in areas_behind(pieces, i) {
            if claimed[j] {
                continue;
            }
            let what = name(text, &pieces[j]);
            pieces[j].say(format!("area to be case-hardened: {what}"));
            push(found, what, Rule::Must);
        }
    }
    for j in 0..pieces.len() {
        if is_area(&pieces[j]) && !claimed[j] && takes_a_depth(pieces, j) {
            let what = name(text, &pieces[j]);
            pieces[j].say(format!("area to be case-hardened: {what}"));
            push(found, what, Rule::Must);
        }
    }
}

/// `.020-.030 TOTAL ON TEETH`: the place of the depth before it, in a sentence without grinding.
fn takes_a_depth(pieces: &[Piece], j: usize) -> bool {
    let placed = j > 0 && matches!(pieces[j - 1].text.as_str(), "ON" | "IN" | "THE")
        || pieces[j].text.starts_with("ON ");
    // `MEASURED ON TEETH` names a test point.
    let measured = j > 1 && pieces[j - 2].text == "MEASURED";
    let other = pieces[..j]
        .iter()
        .rev()
        .take_while(|p| !matches!(p.item, Item::Break { hard: true }))
        .any(|p| {
            matches!(
                p.meaning(),
                Some(M::Stock | M::Grind | M::AfterGrind | M::BeforeGrind | M::Size)
            )
        });
    let depth = before(pieces, j).is_some_and(|k| {
        matches!(
            pieces[k].meaning(),
            Some(M::Depth | M::Effective { .. } | M::Total)
        ) || pieces[k]
            .amount()
            .is_some_and(|a| a.mark.is_none() && a.other().is_none())
    });
    placed && depth && !other && !measured
}
