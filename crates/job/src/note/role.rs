//! What each amount of a note is for: depth, surface, core, limit, stock, or none of these.
//!
//! Goes by the words beside a number within its clause. It takes no value over and blocks nothing.

use casewright_terms::Scale;

use super::amount::{Amount, Shape};
use super::piece::{Item, Piece};
use super::scale::{Other, ScaleName};
use super::token::Doubt;
use super::words::{Habit, Meaning as M};

/// What an amount is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Role {
    /// Case depth.
    Depth,
    /// Limit hardness of an effective depth.
    Limit,
    /// Surface hardness.
    Surface,
    /// Core hardness.
    Core,
    /// Stock to be removed.
    Stock,
    /// Depth by carbon content.
    CarbonLimit,
    /// A carbon content or another percentage.
    Percentage,
    /// A temperature or time: an instruction.
    Instruction,
    /// A test force, already given to its hardness.
    Force,
    /// A size, place, count, part or sheet number.
    Size,
    /// None of these: unread.
    Unread,
}

/// The roles of all pieces; `None` for pieces that are no amounts.
pub(super) fn roles(pieces: &mut [Piece]) -> Vec<Option<Role>> {
    give_surfaces_to_areas(pieces);
    give_totals_to_stock(pieces);
    give_scales(pieces);
    give_bounds(pieces);
    share_bounds(pieces);
    give_forces(pieces);
    let mut roles: Vec<Option<Role>> = (0..pieces.len())
        .map(|i| pieces[i].amount().map(|_| Role::Unread))
        .collect();
    for (i, role) in roles.iter_mut().enumerate() {
        if role.is_some() {
            *role = Some(first_role(pieces, i));
        }
    }
    bind_hardness(pieces, &mut roles);
    roles
}

/// `ECD .030-.040 ON OD`: where nothing is ground, the outside is an area and no way to measure.
fn give_surfaces_to_areas(pieces: &mut [Piece]) {
    let ground = |p: &Piece| {
        matches!(
            p.meaning(),
            Some(M::Stock | M::Grind | M::AfterGrind | M::BeforeGrind)
        )
    };
    if pieces.iter().any(ground) {
        return;
    }
    for piece in pieces {
        let named = ["OD", "O D", "ID", "I D"]
            .iter()
            .any(|n| piece.text.ends_with(n));
        if piece.meaning() == Some(M::OnDiameter) && named {
            piece.item = Item::Word(M::Area, Habit::Either);
        }
    }
}

/// `GRIND STOCK .010 TOTAL`, `TOTAL STOCK .010`: the word speaks of the stock, not of the depth.
fn give_totals_to_stock(pieces: &mut [Piece]) {
    for i in 0..pieces.len() {
        if pieces[i].meaning() != Some(M::Total) || pieces[i].text != "TOTAL" {
            continue;
        }
        let stock = |j: Option<usize>| j.filter(|&j| pieces[j].meaning() == Some(M::Stock));
        let ahead = stock(behind(pieces, i)).is_some();
        let single = |j: usize| pieces[j].amount().is_some_and(|a| a.shape == Shape::Single);
        let back = before(pieces, i).filter(|&j| single(j)).is_some_and(|j| {
            let head = before(pieces, j).and_then(|k| pieces[k].meaning());
            matches!(head, Some(M::Stock | M::Grind))
        });
        if ahead || back {
            pieces[i].item = Item::Word(M::Filler, Habit::Either);
            pieces[i].say("all of the stock");
        }
    }
}

/// Whether a piece may be passed over when looking for a neighbour.
fn is_thin(piece: &Piece) -> bool {
    matches!(piece.item, Item::Sign) || piece.meaning() == Some(M::Filler)
}

/// Index of the piece before `i` that says something, within its clause.
pub(super) fn before(pieces: &[Piece], i: usize) -> Option<usize> {
    let j = (0..i).rev().find(|&j| !is_thin(&pieces[j]))?;
    (!ends_clause(&pieces[j])).then_some(j)
}

/// Index of the piece behind `i` that says something, within its clause.
pub(super) fn behind(pieces: &[Piece], i: usize) -> Option<usize> {
    let j = (i + 1..pieces.len()).find(|&j| !is_thin(&pieces[j]))?;
    (!ends_clause(&pieces[j])).then_some(j)
}

/// Breaks and conjunctions end a clause.
pub(super) fn ends_clause(piece: &Piece) -> bool {
    matches!(piece.item, Item::Break { .. }) || piece.meaning() == Some(M::And)
}

/// Whether a bare amount could carry a scale.
fn wants_scale(amount: &Amount) -> bool {
    amount.mark.is_none() && amount.unit.is_none() && amount.high >= 10.0 && !amount.fraction
}

/// A scale apart from its number, as in `HB CORE 250-300`, goes to the next bare number.
fn give_scales(pieces: &mut [Piece]) {
    for i in 0..pieces.len() {
        let Item::Scale(mark) = pieces[i].item.clone() else {
            continue;
        };
        let ahead = (i + 1..pieces.len().min(i + 6)).find(|&j| {
            pieces[j].amount().is_some() || matches!(pieces[j].item, Item::Break { hard: true })
        });
        let back = (i.saturating_sub(4)..i).rev().find(|&j| {
            pieces[j].amount().is_some() || matches!(pieces[j].item, Item::Break { .. })
        });
        for j in [ahead, back].into_iter().flatten() {
            if let Item::Amount(amount) = &mut pieces[j].item
                && wants_scale(amount)
            {
                amount.mark = Some(mark);
                pieces[i].say("scale of the hardness beside it");
                break;
            }
        }
    }
}

/// `MIN CASE DEPTH .030`: a bound apart from its number goes to the next single number.
fn give_bounds(pieces: &mut [Piece]) {
    for i in 0..pieces.len() {
        let shape = match pieces[i].meaning() {
            Some(M::Least) => Shape::Least,
            Some(M::Greatest) => Shape::Most,
            _ => continue,
        };
        let open = |j: &usize| {
            matches!(pieces[*j].item, Item::Break { .. }) || pieces[*j].amount().is_some()
        };
        let ahead = (i + 1..pieces.len().min(i + 8)).find(open);
        let back = (i.saturating_sub(4)..i).rev().find(open);
        // `.030 EFF MIN AFTER GRINDING .008 PER SIDE`, `.030 EFF MIN BUT NOT MORE THAN .045`:
        // what follows has its own word.
        let apart = behind(pieces, i)
            .and_then(|j| pieces[j].meaning())
            .is_some_and(|m| {
                matches!(
                    m,
                    M::AfterGrind | M::BeforeGrind | M::Grind | M::Stock | M::Least | M::Greatest
                )
            });
        // `.76 [.030] MIN TO 50 HRC`: behind a bracket the bound is that of the number inside.
        let closed = i > 1
            && matches!(pieces[i - 1].text.as_str(), "]" | ")")
            && pieces[i - 2].amount().is_some();
        let order = if apart || closed {
            [back, ahead]
        } else {
            [ahead, back]
        };
        let mut given = false;
        for j in order.into_iter().flatten() {
            if let Item::Amount(amount) = &mut pieces[j].item
                && amount.shape == Shape::Single
            {
                amount.shape = shape;
                given = true;
                break;
            }
        }
        if given {
            pieces[i].say(if shape == Shape::Least {
                "least value"
            } else {
                "greatest value"
            });
        }
    }
}

/// `.030 [0.76] MIN`, `.030 MIN [0.76]`: one bound for a depth that is written in two units.
fn share_bounds(pieces: &mut [Piece]) {
    for i in 0..pieces.len().saturating_sub(2) {
        if !matches!(pieces[i + 1].text.as_str(), "[" | "(") {
            continue;
        }
        let (Some(a), Some(b)) = (pieces[i].amount(), pieces[i + 2].amount()) else {
            continue;
        };
        // Two decimals of a millimetre and three of an inch agree within a twentieth.
        let ratio = (a.low / b.low).max(b.low / a.low) / 25.4;
        if a.mark.is_some() || b.mark.is_some() || !(0.95..=1.05).contains(&ratio) {
            continue;
        }
        let (from, to) = match (a.shape, b.shape) {
            (Shape::Single, Shape::Least | Shape::Most) => (b.shape, i),
            (Shape::Least | Shape::Most, Shape::Single) => (a.shape, i + 2),
            _ => continue,
        };
        if let Item::Amount(amount) = &mut pieces[to].item {
            amount.shape = from;
        }
    }
}

/// A test force apart from its hardness, as in `690 KHN (500 G LOAD)`.
fn give_forces(pieces: &mut [Piece]) {
    let mut last: Option<usize> = None;
    for i in 0..pieces.len() {
        let Some(amount) = pieces[i].amount() else {
            continue;
        };
        let force_kgf = match amount.other() {
            Some(Other::GramForce) => super::scale::gram_force_kgf(amount.low),
            Some(Other::KilogramForce) => Some(amount.low),
            _ => {
                if matches!(&amount.mark, Some(m) if matches!(m.name, ScaleName::Known(Scale::Hv | Scale::Hk)))
                {
                    last = Some(i);
                }
                continue;
            }
        };
        if let (Some(j), Some(force)) = (last, force_kgf)
            && let Item::Amount(hardness) = &mut pieces[j].item
            && let Some(mark) = &mut hardness.mark
        {
            mark.force_kgf = mark.force_kgf.or(Some(force));
            pieces[i].say("test force of the hardness before it");
        }
    }
}

/// The role that an amount's own writing and nearest words give it.
fn first_role(pieces: &[Piece], i: usize) -> Role {
    let Some(amount) = pieces[i].amount() else {
        return Role::Unread;
    };
    if let Some(other) = amount.other() {
        return other_role(pieces, i, other);
    }
    let prev = before(pieces, i).and_then(|j| pieces[j].meaning());
    let next = behind(pieces, i).and_then(|j| pieces[j].meaning());
    if amount.shape == Shape::Least
        && amount.whole()
        && amount.mark.is_none()
        && amount.unit.is_none()
        && minutes(pieces, i)
    {
        return Role::Instruction;
    }
    if amount.mark.is_some() {
        return if is_limit(pieces, i) {
            Role::Limit
        } else {
            Role::Surface
        };
    }
    if prev == Some(M::Label) || prev == Some(M::Steel) && amount.whole() {
        return Role::Size;
    }
    if is_roughness(pieces, i) || is_count(pieces, i) {
        return Role::Size;
    }
    let limit = amount.whole()
        && amount.shape == Shape::Single
        && (350.0..=650.0).contains(&amount.low)
        && amount.unit.is_none();
    if limit && matches!(prev, Some(M::Effective { .. })) {
        return Role::Limit;
    }
    if amount.is_length() || looks_like_length(pieces, i) {
        return length_role(pieces, i, prev, next);
    }
    if looks_like_hardness(pieces, i) {
        return if prev == Some(M::Limit) {
            Role::Limit
        } else {
            Role::Surface
        };
    }
    let temperature = amount.whole() && (250.0..=1900.0).contains(&amount.low);
    if temperature && (prev == Some(M::Step) || step_at(pieces, i)) {
        return Role::Instruction;
    }
    if matches!(prev, Some(M::Size)) || matches!(next, Some(M::Size)) {
        return Role::Size;
    }
    Role::Unread
}

/// `RA 0.8`: no steel reads below 25 on the A scale, and no depth follows its name.
fn is_roughness(pieces: &[Piece], i: usize) -> bool {
    let small = pieces[i]
        .amount()
        .is_some_and(|a| a.high < 25.0 && a.mark.is_none());
    small && before(pieces, i).is_some_and(|j| pieces[j].text == "RA")
}

/// `(2) PLCS`: a count in brackets.
fn is_count(pieces: &[Piece], i: usize) -> bool {
    let whole = pieces[i]
        .amount()
        .is_some_and(|a| a.whole() && a.shape == Shape::Single && a.unit.is_none());
    let counted = |p: &Piece| matches!(p.text.as_str(), "PLCS" | "PLACES" | "PL" | "PCS");
    whole && behind(pieces, i).is_some_and(|j| counted(&pieces[j]))
}

/// `TEMPER 60 MIN AT 300 °F`: a step before, a temperature behind.
fn minutes(pieces: &[Piece], i: usize) -> bool {
    let warm = |j: Option<usize>| {
        j.and_then(|j| pieces[j].amount())
            .and_then(Amount::other)
            .is_some_and(|o| matches!(o, Other::Celsius | Other::Fahrenheit))
    };
    let step = before(pieces, i).and_then(|j| pieces[j].meaning()) == Some(M::Step);
    warm(before(pieces, i)) || step && warm(behind(pieces, i))
}

/// `CARBURIZE AT 1650`: a bare number of a furnace's size behind `AT`.
fn step_at(pieces: &[Piece], i: usize) -> bool {
    let at = i > 0 && pieces[i - 1].text == "AT";
    at && before(pieces, i)
        .and_then(|j| pieces[j].meaning())
        .is_some_and(|m| matches!(m, M::Case | M::Step))
}

/// Roles of temperatures, times, percentages and counts.
fn other_role(pieces: &[Piece], i: usize, other: Other) -> Role {
    match other {
        Other::Celsius | Other::Fahrenheit | Other::Time => Role::Instruction,
        Other::Angle | Other::Count => Role::Size,
        Other::GramForce | Other::KilogramForce => {
            if pieces[i].understood.is_some() {
                Role::Force
            } else {
                Role::Unread
            }
        }
        Other::Percent => {
            let prev = before(pieces, i);
            let deep = prev.is_some_and(|j| {
                matches!(
                    pieces[j].meaning(),
                    Some(M::Depth | M::Case | M::Effective { .. } | M::Total | M::Limit)
                ) || pieces[j].amount().is_some_and(|a| a.mark.is_none())
            });
            if deep {
                Role::CarbonLimit
            } else {
                Role::Percentage
            }
        }
    }
}

/// The nearest word that tells a bare number's kind, before it first.
fn nearest(pieces: &[Piece], i: usize) -> Option<M> {
    let tells = |j: &usize| {
        matches!(
            pieces[*j].meaning(),
            Some(
                M::Core
                    | M::Surface
                    | M::HardnessWord
                    | M::Depth
                    | M::Effective { .. }
                    | M::Total
                    | M::Case
                    | M::Stock
                    | M::PerSide
                    | M::OnDiameter
                    | M::Limit
                    | M::Size
                    | M::Grind
            )
        )
    };
    // A few words are enough: what is farther away belongs to another number.
    let back = (i.saturating_sub(8)..i)
        .rev()
        .take_while(|&j| !ends_clause(&pieces[j]) && pieces[j].amount().is_none())
        .find(tells);
    let ahead = (i + 1..pieces.len().min(i + 8))
        .take_while(|&j| !ends_clause(&pieces[j]) && pieces[j].amount().is_none())
        .find(tells);
    let meaning = |j: Option<usize>| j.and_then(|j| pieces[j].meaning());
    match (meaning(back), meaning(ahead)) {
        // `CASE 30 DEEP`, `CASE HARDEN 58-62 HARDNESS`: the word behind says more.
        (Some(M::Case) | None, Some(other)) => Some(other),
        (first, _) => first,
    }
}

/// Whether a bare amount is written like a length.
fn looks_like_length(pieces: &[Piece], i: usize) -> bool {
    let Some(a) = pieces[i].amount() else {
        return false;
    };
    if a.leading_dot || a.fraction || a.doubt == Some(Doubt::LostPoint) {
        return true;
    }
    if a.high < 15.0 && (a.decimals > 0 || a.comma) {
        return true;
    }
    // `.030-.040 ECD 58-62`: the depth is given, the range is a hardness that lost its scale.
    let rockwell = a.shape == Shape::Range && a.low >= 45.0 && a.high <= 70.0;
    let depth_given = || {
        pieces.iter().enumerate().any(|(j, p)| {
            j != i
                && p.amount()
                    .is_some_and(|a| a.is_length() || a.leading_dot || a.fraction)
        })
    };
    match nearest(pieces, i) {
        Some(M::Depth | M::Effective { .. } | M::Total) => !(rockwell && depth_given()),
        Some(M::Stock | M::PerSide | M::OnDiameter) => true,
        Some(M::Case) => !(a.low >= 45.0 && a.high <= 70.0) && a.high < 100.0,
        _ => a.high < 10.0 && a.doubt == Some(Doubt::Thousands),
    }
}

/// Whether a bare amount is written like a hardness.
fn looks_like_hardness(pieces: &[Piece], i: usize) -> bool {
    let Some(a) = pieces[i].amount() else {
        return false;
    };
    let rockwell = a.low >= 15.0 && a.high <= 70.0;
    match nearest(pieces, i) {
        Some(M::Core | M::Surface | M::HardnessWord | M::Limit) => {
            a.low >= 10.0 && a.high <= 1100.0
        }
        Some(M::Case) => a.low >= 45.0 && a.high <= 70.0,
        Some(M::Size | M::Stock | M::Grind) => false,
        _ => rockwell && a.shape != Shape::Single,
    }
}

/// Depth, stock or size.
fn length_role(pieces: &[Piece], i: usize, prev: Option<M>, next: Option<M>) -> Role {
    let deep = |m: Option<M>| {
        matches!(
            m,
            Some(M::Case | M::Depth | M::Effective { .. } | M::Total | M::Limit)
        )
    };
    let per = matches!(next, Some(M::PerSide | M::OnDiameter));
    let speaks_of_stock = pieces.iter().any(|p| {
        matches!(
            p.meaning(),
            Some(M::Stock | M::Grind | M::AfterGrind | M::BeforeGrind)
        )
    });
    if per && (speaks_of_stock || !deep(prev)) {
        return Role::Stock;
    }
    let removal = before(pieces, i).is_some_and(|j| pieces[j].text.ends_with("REMOVAL OF"));
    if removal || prev == Some(M::Stock) && !deep(next) {
        return Role::Stock;
    }
    let stock_behind = behind(pieces, i).filter(|_| next == Some(M::Stock));
    let bare = |k: usize| pieces[k].amount().is_some_and(|a| a.mark.is_none());
    let own_amount = |j: usize| behind(pieces, j).is_some_and(bare);
    // `.030 ECD .005 STOCK`: the depth word has its number already.
    let served = before(pieces, i)
        .and_then(|j| before(pieces, j))
        .is_some_and(bare);
    if stock_behind.is_some_and(|j| !own_amount(j))
        && (!deep(prev) || served || prev == Some(M::Case))
    {
        return Role::Stock;
    }
    if prev == Some(M::Grind) && !deep(next) {
        return Role::Stock;
    }
    let carbon = matches!(prev, Some(M::Carbon)) || matches!(next, Some(M::Carbon));
    if carbon && pieces[i].amount().is_some_and(|a| !a.is_length()) {
        return Role::Percentage;
    }
    if is_place(pieces, i, prev) || prev == Some(M::OnDiameter) && !speaks_of_stock {
        return Role::Size;
    }
    if deep(prev) || is_depth_behind_size(pieces, i, prev, deep(next)) {
        return Role::Depth;
    }
    if matches!(prev, Some(M::Size | M::Label)) || next == Some(M::Size) && !deep(next) {
        return Role::Size;
    }
    if prev.is_none() && nearest(pieces, i) == Some(M::Size) {
        return Role::Size;
    }
    Role::Depth
}

/// `TOTAL ON 1.250 DIA`, `1 1/2 INCHES FROM END`: a size of the part between a word of depth and
/// a word that no depth goes with. Right behind `DEPTH` it stays a depth, and is asked about.
fn is_place(pieces: &[Piece], i: usize, prev: Option<M>) -> bool {
    let place = behind(pieces, i).is_some_and(|j| {
        let text = pieces[j].text.as_str();
        pieces[j].meaning() == Some(M::Size)
            && (text.starts_with("FROM ")
                || matches!(
                    text,
                    "DIA" | "DIAM" | "DIAMETER" | "LONG" | "LENGTH" | "LG" | "WIDE" | "WIDTH"
                ))
    });
    let preposition = i > 0 && matches!(pieces[i - 1].text.as_str(), "ON" | "FOR" | "OVER");
    let deep_word = matches!(prev, Some(M::Depth | M::Effective { .. } | M::Limit));
    place && (preposition || !deep_word)
}

/// `OD X 2.00 LG .020-.030 TOTAL`, `CASE DEPTH FROM .030 TO .040`: a depth in spite of the word
/// of size before it, because that word has its own number or only opens the range.
fn is_depth_behind_size(pieces: &[Piece], i: usize, prev: Option<M>, deep_next: bool) -> bool {
    let Some(j) = before(pieces, i).filter(|_| prev == Some(M::Size)) else {
        return false;
    };
    let head = before(pieces, j);
    let served = head.is_some_and(|k| pieces[k].amount().is_some_and(|a| a.mark.is_none()));
    let opens = matches!(pieces[j].text.as_str(), "FROM" | "VON")
        && pieces[i].amount().is_some_and(|a| a.shape == Shape::Range);
    let deep_head = head
        .and_then(|k| pieces[k].meaning())
        .is_some_and(|m| matches!(m, M::Depth | M::Effective { .. } | M::Total));
    served && deep_next || opens && deep_head
}

/// Whether a hardness is the limit of an effective depth.
fn is_limit(pieces: &[Piece], i: usize) -> bool {
    let Some(amount) = pieces[i].amount() else {
        return false;
    };
    if !matches!(amount.shape, Shape::Single | Shape::Least) || !plausible_limit(amount) {
        return false;
    }
    let prev = before(pieces, i);
    let next = behind(pieces, i);
    let word = |j: Option<usize>| j.and_then(|j| pieces[j].meaning());
    let length = |j: Option<usize>| {
        j.is_some_and(|j| {
            pieces[j].amount().is_some_and(|a| {
                a.mark.is_none()
                    && a.other().is_none()
                    && (a.is_length() || a.high < 15.0 || a.leading_dot)
            })
        })
    };
    let connector = i > 0
        && (matches!(
            pieces[i - 1].text.as_str(),
            "TO" | "AT" | "@" | "(" | "BIS" | "=" | "BEI" | "[" | "A" | "BY" | "HASTA" | "JUSQU'A"
        ));
    // `.030 EFF, 50 HRC`: the comma parts the depth from the limit that everybody uses.
    if amount.shape == Shape::Single && usual_limit(amount) && behind_effective_comma(pieces, i) {
        return true;
    }
    // `50 HRC MIN AT .030`: the depth follows its limit.
    let at_depth = pieces
        .get(i + 1)
        .is_some_and(|p| matches!(p.text.as_str(), "AT" | "@"))
        && length(next);
    if amount.shape == Shape::Least && at_depth {
        return true;
    }
    if amount.shape == Shape::Least {
        return connector
            // `(58 RC MIN)` is a surface; `(50 RC MIN)` can only be the limit.
            && (pieces[i - 1].text != "(" || usual_limit(amount))
            && (length(prev)
                || matches!(word(prev), Some(M::Effective { .. } | M::Limit | M::Depth)));
    }
    // `50 HRC (513 HV)`: the limit again on another scale.
    if i > 1 && pieces[i - 1].text == "(" && is_limit(pieces, i - 2) {
        return true;
    }
    match word(prev) {
        Some(M::Effective { .. } | M::Limit | M::Total) => return true,
        Some(M::Depth) => return connector || length(next),
        Some(M::Core | M::Surface) => return false,
        _ => {}
    }
    if matches!(word(next), Some(M::Effective { .. } | M::Limit))
        && prev.is_none_or(|_| !matches!(word(prev), Some(M::Case)))
    {
        return true;
    }
    length(prev) && (connector || usual_limit(amount))
        || length(next)
            && usual_limit(amount)
            && prev.is_none_or(|j| pieces[j].meaning() != Some(M::Case) || usual_limit(amount))
}

/// Whether only a comma stands between a word for effective depth and the amount.
pub(super) fn behind_effective_comma(pieces: &[Piece], i: usize) -> bool {
    let Some(j) = (0..i).rev().find(|&j| !is_thin(&pieces[j])) else {
        return false;
    };
    matches!(pieces[j].item, Item::Break { hard: false })
        && before(pieces, j)
            .is_some_and(|k| matches!(pieces[k].meaning(), Some(M::Effective { .. })))
}

/// Limits that standards and houses use: 50 HRC, 550 HV, 513 and 515 HV for 50 HRC, 610 HV.
fn usual_limit(amount: &Amount) -> bool {
    match amount.mark.as_ref().map(|m| &m.name) {
        Some(ScaleName::Known(Scale::Hrc)) => amount.low == 50.0,
        Some(ScaleName::Known(Scale::Hv)) => [513.0, 515.0, 550.0, 610.0].contains(&amount.low),
        _ => false,
    }
}

/// Hardnesses that can bound a depth: above cores, below surfaces.
fn plausible_limit(amount: &Amount) -> bool {
    let Some(ScaleName::Known(scale)) = amount.mark.as_ref().map(|m| &m.name) else {
        return false;
    };
    let window = match scale {
        Scale::Hrc => 35.0..=56.0,
        Scale::Hv => 350.0..=650.0,
        Scale::Hk => 370.0..=670.0,
        Scale::Hra => 68.0..=79.5,
        Scale::Hr15n => 78.0..=88.5,
        Scale::Hr30n => 54.0..=74.0,
        Scale::Hr45n => 37.0..=62.0,
        Scale::Hrd => 51.0..=67.0,
        Scale::Hrb | Scale::Hbw => return false,
    };
    window.contains(&amount.low)
}

/// Gives surface and core to the hardnesses that are no limit.
fn bind_hardness(pieces: &[Piece], roles: &mut [Option<Role>]) {
    let mut start = 0;
    // A role word whose clause has no hardness reaches into the next clause.
    let mut pending: Option<M> = None;
    while start < pieces.len() {
        let end = (start..pieces.len())
            .find(|&j| ends_clause(&pieces[j]))
            .unwrap_or(pieces.len());
        let core = (start..end).any(|j| pieces[j].meaning() == Some(M::Core));
        let words: Vec<(usize, M)> = (start..end)
            .filter_map(|j| match pieces[j].meaning()? {
                m @ (M::Core | M::Surface) => Some((j, m)),
                // `CORE RC 25-35 CASE RC 58-62`: beside a core, `CASE` names the other hardness.
                M::Case if core && pieces[j].text == "CASE" => {
                    let own = behind(pieces, j).is_some_and(|k| roles[k] == Some(Role::Surface));
                    own.then_some((j, M::Surface))
                }
                _ => None,
            })
            .collect();
        let amounts: Vec<usize> = (start..end)
            .filter(|&j| roles[j] == Some(Role::Surface))
            .collect();
        let leads = words
            .first()
            .is_some_and(|w| amounts.first().is_some_and(|&a| w.0 < a));
        // `RC 58-62 CORE 250-300 BHN`: fewer words than numbers, and a number behind the word.
        let between = words.len() < amounts.len()
            && words
                .last()
                .is_some_and(|w| amounts.last().is_some_and(|&a| w.0 < a));
        for (k, &a) in amounts.iter().enumerate() {
            let own = if leads || between {
                words.iter().rev().find(|w| w.0 < a)
            } else {
                words
                    .iter()
                    .find(|w| w.0 > a && amounts.get(k + 1).is_none_or(|&next| w.0 < next))
            };
            let meaning = own
                .map(|w| w.1)
                .or(if words.is_empty() { pending } else { None });
            let meaning = meaning.or_else(|| lone_word_behind(pieces, roles, end));
            if meaning == Some(M::Core) {
                roles[a] = Some(Role::Core);
            }
        }
        pending = if amounts.is_empty() {
            words
                .last()
                .map(|w| w.1)
                .or(pending.filter(|_| start == end))
        } else {
            None
        };
        start = end + 1;
    }
}

/// `25-40 HRC, CORE`: a role word alone in the next clause.
fn lone_word_behind(pieces: &[Piece], roles: &[Option<Role>], end: usize) -> Option<M> {
    let from = end + 1;
    if from >= pieces.len() || pieces[end].meaning() == Some(M::And) {
        return None;
    }
    let to = (from..pieces.len())
        .find(|&j| ends_clause(&pieces[j]))
        .unwrap_or(pieces.len());
    let alone = (from..to).all(|j| roles[j].is_none());
    // The word must not belong to a number behind it: `58-62 HRC, CORE\n25-40`.
    let next_is_number = (to + 1..pieces.len())
        .next()
        .is_some_and(|j| roles[j] == Some(Role::Surface));
    let mut words = (from..to).filter_map(|j| {
        pieces[j]
            .meaning()
            .filter(|m| matches!(m, M::Core | M::Surface))
    });
    words.next().filter(|_| alone && !next_is_number)
}
