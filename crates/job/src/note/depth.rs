//! Case depth, its kind and limit, and the grinding stock.
//!
//! Turns amounts with these roles into lengths or into open points; hardness is elsewhere.

use casewright_terms::{Hardness, Length, Scale, UnitSystem};

use super::amount::{Amount, Shape};
use super::blocks;
use super::draft::Draft;
use super::piece::Item;
use super::reading::{DepthKind, LengthRange};
use super::role::{Role, behind_effective_comma, ends_clause};
use super::scale::{ScaleName, Unit};
use super::token::Doubt;
use super::unit;
use super::words::Meaning as M;

/// One depth found.
#[derive(Clone, Copy, Debug)]
struct Found {
    at: usize,
    range: LengthRange,
    kind: DepthKind,
    unit: Unit,
}

/// Reads depth, kind, limit and stock into the draft.
pub(super) fn read(draft: &mut Draft) {
    let depths = found_depths(draft);
    if let Some((range, units)) = draft.settled.depth {
        draft.reading.case_depth = Some(range);
        draft.reading.units = Some(units);
        let at = draft.with_role(Role::Depth).first().copied().unwrap_or(0);
        let kind = depths
            .first()
            .map_or_else(|| kind_near(draft, at), |d| d.kind);
        read_kind(draft, kind);
    } else {
        govern(draft, &depths);
    }
    read_limit(draft);
    read_stock(draft);
    check_depth(draft);
}

/// The lengths of all depth amounts whose numbers and units are clear.
fn found_depths(draft: &mut Draft) -> Vec<Found> {
    let habits = unit::habits(draft);
    let mut found = Vec::new();
    for i in draft.with_role(Role::Depth) {
        let Some(unit) = unit_of(draft, i, habits, None) else {
            draft.pieces[i].say("a depth that cannot be read for certain");
            continue;
        };
        let Some(amount) = draft.pieces[i].amount().cloned() else {
            continue;
        };
        let length = |value| unit.length(value);
        let shape = match (amount.shape, draft.settled.depth_shape) {
            (Shape::Single, Some(shape)) => shape,
            (shape, _) => shape,
        };
        let range = LengthRange {
            min: if shape == Shape::Most {
                None
            } else {
                length(amount.low)
            },
            max: if matches!(shape, Shape::Most | Shape::Range) {
                length(amount.high)
            } else {
                None
            },
        };
        let kind = kind_near(draft, i);
        found.push(Found {
            at: i,
            range,
            kind,
            unit,
        });
        if draft.settled.depth.is_some() {
            draft.pieces[i].say("a depth, settled by an answer");
            continue;
        }
        if shape == Shape::Single {
            let text = format!(
                "“{}” gives one depth without tolerance: it may be the least, the middle or the greatest.",
                draft.written(i)
            );
            draft.block(blocks::DEPTH_TOLERANCE, text);
        }
        if amount.shape == Shape::Range && amount.low > amount.high {
            reversed(draft, i);
        }
    }
    found.extend(jis_depths(draft));
    found
}

/// Opens the point of a range that runs backwards.
pub(super) fn reversed(draft: &mut Draft, i: usize) {
    let text = format!(
        "In “{}” the least value is greater than the greatest.",
        draft.written(i)
    );
    draft.block(blocks::RANGE_REVERSED, text);
}

/// Depths in JIS symbols, which are in mm by their standard.
fn jis_depths(draft: &mut Draft) -> Vec<Found> {
    let mut found = Vec::new();
    for i in 0..draft.pieces.len() {
        let Item::Jis(jis) = draft.pieces[i].item else {
            continue;
        };
        let kind = if jis.effective {
            DepthKind::Effective
        } else {
            DepthKind::Total
        };
        let word = if jis.effective { "effective" } else { "total" };
        let force = jis
            .force_kgf
            .map_or(String::new(), |f| format!(", measured at {f} kgf"));
        let depth = jis.depth_mm.map_or(String::new(), |d| format!(" {d} mm"));
        draft.pieces[i].say(format!("{word} case depth{depth} in JIS symbols{force}"));
        draft.assume_at(
            i,
            "JIS G 0557 symbol: the number behind H is the test force in kgf, the depth is in mm",
        );
        let Some(depth_mm) = jis.depth_mm else {
            continue;
        };
        let written = draft.written(i).to_owned();
        let (mut min, mut max) = (Some(Length::from_mm(depth_mm)), None);
        match draft.settled.depth_shape {
            Some(Shape::Most) => std::mem::swap(&mut min, &mut max),
            Some(_) => {}
            None if draft.settled.depth.is_none() => draft.block(blocks::DEPTH_TOLERANCE, format!("“{written}” gives one depth without tolerance: it may be the least, the middle or the greatest.")),
            None => {}
        }
        found.push(Found {
            at: i,
            range: LengthRange { min, max },
            kind,
            unit: Unit::Mm,
        });
    }
    found
}

/// The unit of a length, inferred where that is safe, otherwise asked.
fn unit_of(draft: &mut Draft, i: usize, habits: unit::Habits, other: Option<Unit>) -> Option<Unit> {
    let amount = draft.pieces[i].amount()?.clone();
    let role = draft.roles[i]?;
    let answered = role == Role::Depth && draft.settled.depth.is_some()
        || role == Role::Stock && draft.settled.stock.is_some();
    if let Some(doubt) = amount.doubt
        && !answered
    {
        number_form(draft, i, doubt);
        return None;
    }
    if amount.doubt.is_some() {
        return None;
    }
    if let Some(unit) = amount.unit {
        return Some(unit);
    }
    if let Some(unit) = draft.settled.unit {
        return Some(unit);
    }
    if let Some(unit) = agreeing_unit(draft, i, &amount) {
        let text = format!(
            "“{}” is read in {}: so it agrees with the same depth in the other unit",
            draft.written(i),
            name(unit)
        );
        draft.assume_at(i, text);
        return Some(unit);
    }
    if let Some((unit, why)) = unit::infer(&amount, role, habits, other) {
        let text = format!("“{}” is read in {}: {why}", draft.written(i), name(unit));
        draft.assume_at(i, text);
        return Some(unit);
    }
    if !answered {
        let text = format!(
            "“{}” has no unit, and its form does not tell inch from millimetre for certain.",
            draft.written(i)
        );
        draft.block(blocks::UNIT, text);
    }
    None
}

/// The unit in which a bare depth equals another depth of the note that has its unit.
fn agreeing_unit(draft: &Draft, i: usize, amount: &Amount) -> Option<Unit> {
    if draft.roles[i] != Some(Role::Depth) {
        return None;
    }
    let ends = |a: &Amount, unit: Unit| LengthRange {
        min: unit.length(a.low),
        max: unit.length(a.high),
    };
    // `.030-.040 [0.76-1.02]`: a bracket says the depth again in the other unit.
    let in_bracket = |j: usize| {
        draft.pieces[j].text.starts_with('(')
            || j > 0 && matches!(draft.pieces[j - 1].text.as_str(), "[" | "(")
    };
    let others: Vec<LengthRange> = draft
        .with_role(Role::Depth)
        .into_iter()
        .filter(|&j| j != i)
        .filter_map(|j| Some((j, draft.pieces[j].amount()?)))
        .filter_map(|(j, a)| match a.unit.filter(|u| u.is_length()) {
            Some(unit) => Some(ends(a, unit)),
            None if a.doubt.is_some() || !(in_bracket(i) || in_bracket(j)) => None,
            None if a.comma => Some(ends(a, Unit::Mm)),
            None => a.leading_dot.then(|| ends(a, Unit::Inch)),
        })
        .collect();
    [Unit::Inch, Unit::Mm]
        .into_iter()
        .find(|&unit| others.iter().any(|&other| agree(ends(amount, unit), other)))
}

fn name(unit: Unit) -> &'static str {
    match unit {
        Unit::Mm => "millimetres",
        Unit::Um => "micrometres",
        Unit::Thou => "thousandths of an inch",
        Unit::Inch | Unit::Other(_) => "inches",
    }
}

/// Opens the point of a number that reads two ways.
pub(super) fn number_form(draft: &mut Draft, i: usize, doubt: Doubt) {
    let written = draft.written(i);
    let text = match doubt {
        Doubt::Thousands => {
            format!("“{written}” may hold a decimal comma or a mark between thousands or values.")
        }
        Doubt::LostPoint => {
            format!("“{written}” begins with a zero, as if its decimal point were lost.")
        }
        Doubt::Odd => format!("“{written}” is no number that reads one way only."),
    };
    draft.block(blocks::NUMBER_FORM, text);
}

/// Effective or total, by the words nearest to a depth; the whole note where only one is named.
fn kind_near(draft: &Draft, i: usize) -> DepthKind {
    let kind = |j: usize| match draft.pieces[j].meaning() {
        None => match draft.pieces[j].item {
            Item::Jis(jis) if jis.effective => Some(DepthKind::Effective),
            Item::Jis(_) => Some(DepthKind::Total),
            _ => None,
        },
        Some(M::Effective { .. }) => Some(DepthKind::Effective),
        Some(M::Total) => Some(DepthKind::Total),
        _ => None,
    };
    let all: Vec<DepthKind> = (0..draft.pieces.len()).filter_map(kind).collect();
    let Some(first) = all.first() else {
        return DepthKind::Unstated;
    };
    if all.iter().all(|k| k == first) {
        return *first;
    }
    let start = (0..i)
        .rev()
        .find(|&j| ends_clause(&draft.pieces[j]))
        .map_or(0, |j| j + 1);
    let end = (i..draft.pieces.len())
        .find(|&j| ends_clause(&draft.pieces[j]))
        .unwrap_or(draft.pieces.len());
    let before = || (start..i).rev().find_map(kind);
    let behind = || (i..end).find_map(kind);
    // `EFF .030 TOTAL .050` names before each number, `.030 MIN EFF .050 MAX TOTAL` behind it.
    let first_depth = (start..end).find(|&j| draft.roles[j] == Some(Role::Depth));
    let first_kind = (start..end).find(|&j| kind(j).is_some());
    let near = match (first_kind, first_depth) {
        (Some(word), Some(depth)) if depth < word => behind().or_else(before),
        _ => before().or_else(behind),
    };
    near.unwrap_or(DepthKind::Unstated)
}

/// Chooses the depth that governs, or opens the point where two do not agree.
fn govern(draft: &mut Draft, depths: &[Found]) {
    let Some(first) = depths.first().copied() else {
        let open = [blocks::UNIT, blocks::NUMBER_FORM];
        if draft.with_role(Role::Depth).is_empty() || !open.iter().any(|c| draft.is_blocked(c)) {
            draft.block(blocks::NO_DEPTH, "The note gives no case depth.");
        }
        read_kind(draft, kind_near(draft, 0));
        return;
    };
    let mut governing = first;
    for next in &depths[1..] {
        let complementary = governing.kind == next.kind
            && ((governing.range.max.is_none() && next.range.min.is_none())
                || (governing.range.min.is_none() && next.range.max.is_none()));
        if complementary {
            governing.range.min = governing.range.min.or(next.range.min);
            governing.range.max = governing.range.max.or(next.range.max);
        } else if agree(governing.range, next.range) && governing.kind == next.kind {
            draft.pieces[next.at].say(format!(
                "the same depth again, {}",
                text(next.range, unit::system(next.unit))
            ));
        } else {
            let (a, b) = (
                draft.written(governing.at).to_owned(),
                draft.written(next.at).to_owned(),
            );
            draft.block(blocks::DEPTH_CONFLICT, format!("“{a}” and “{b}” are two depths. Only one can be planned for: please say which governs."));
        }
    }
    if let (Some(min), Some(max)) = (governing.range.min, governing.range.max)
        && min > max
    {
        reversed(draft, governing.at);
    }
    draft.reading.units = unit::system(governing.unit);
    draft.reading.case_depth = Some(governing.range);
    read_kind(draft, governing.kind);
    for depth in depths {
        let kind = match depth.kind {
            DepthKind::Effective => "effective case depth",
            DepthKind::Total => "total case depth",
            DepthKind::Unstated => "case depth",
        };
        draft.pieces[depth.at].say(format!(
            "{kind} {}",
            text(depth.range, unit::system(depth.unit))
        ));
    }
}

/// Whether two depths are one in two units: within two thousandths of an inch at each end.
fn agree(a: LengthRange, b: LengthRange) -> bool {
    let near = |a: Option<Length>, b: Option<Length>| match (a, b) {
        // Rounding to 0.05 mm, as dual dimensions do, moves an end by at most 0.025 mm; 0.05 mm
        // also takes in values rounded to a thousandth and then to 0.05 mm.
        (Some(a), Some(b)) => (a - b).to_mm().abs() <= 0.05,
        (None, None) => true,
        _ => false,
    };
    near(a.min, b.min) && near(a.max, b.max)
}

/// A range in words, as-written unit first.
pub(super) fn text(range: LengthRange, units: Option<UnitSystem>) -> String {
    let units = units.unwrap_or_default();
    match (range.min, range.max) {
        (Some(min), Some(max)) => {
            let ends = |u: UnitSystem| format!("{} to {}", min.depth_text(u), max.depth_text(u));
            format!("{} ({})", ends(units), ends(units.other()))
        }
        (Some(min), None) => format!("at least {}", min.depth_text_both(units)),
        (None, Some(max)) => format!("at most {}", max.depth_text_both(units)),
        (None, None) => "without a value".to_owned(),
    }
}

/// The kind of the governing depth.
fn read_kind(draft: &mut Draft, near: DepthKind) {
    let limits = draft.with_role(Role::Limit);
    let carbon = draft.with_role(Role::CarbonLimit).first().copied();
    for i in 0..draft.pieces.len() {
        match draft.pieces[i].meaning() {
            Some(M::Effective { .. }) => {
                draft.pieces[i].say("effective depth: down to a limit hardness")
            }
            Some(M::Total) => draft.pieces[i].say("total depth: down to the carbon of the core"),
            _ => {}
        }
    }
    draft.reading.depth_kind = near;
    if let Some(kind) = draft.settled.kind {
        draft.reading.depth_kind = kind;
        return;
    }
    if let Some(i) = carbon {
        draft.pieces[i].say("a depth defined by a carbon content");
        let text = format!(
            "“{}” defines the depth by a carbon content, which this shop cannot measure: an effective depth with its limit hardness or a total depth is needed.",
            draft.written(i)
        );
        draft.reading.depth_kind = DepthKind::Unstated;
        draft.block(blocks::DEPTH_KIND, text);
        return;
    }
    match (near, limits.first()) {
        (DepthKind::Unstated, Some(&i)) => {
            draft.reading.depth_kind = DepthKind::Effective;
            let text = format!("“{}” beside the depth is taken as its limit, so the depth is an effective one", draft.written(i));
            draft.assume_at(i, text);
        }
        (DepthKind::Total, Some(_)) => draft.block(blocks::DEPTH_KIND, "The depth is called total and yet has a limit hardness: a total depth has none."),
        (DepthKind::Unstated, None) if draft.reading.case_depth.is_some() || !draft.is_blocked(blocks::NO_DEPTH) => draft.block(
            blocks::DEPTH_KIND,
            "The note does not say whether the depth is effective (down to a limit hardness) or total (down to core carbon). The two differ by a third to a half on the same part.",
        ),
        _ => {}
    }
}

/// The limit hardness, as written or by the custom of the wording.
fn read_limit(draft: &mut Draft) {
    let mut limits: Vec<(usize, Hardness)> = Vec::new();
    for i in draft.with_role(Role::Limit) {
        let Some(amount) = draft.pieces[i].amount().cloned() else {
            continue;
        };
        let scale = match amount.mark.as_ref().map(|m| &m.name) {
            Some(ScaleName::Known(scale)) => Some(*scale),
            Some(ScaleName::Foreign(_)) => None,
            // `CHD550`: three digits beside a depth word are Vickers.
            None if amount.low >= 350.0 && draft.settled.scale.is_none() => {
                let text = format!(
                    "“{}” beside the depth is read as its limit in HV",
                    draft.written(i)
                );
                draft.assume_at(i, text);
                Some(Scale::Hv)
            }
            None => draft.settled.scale,
        };
        match scale {
            Some(scale) => {
                if behind_effective_comma(&draft.pieces, i) {
                    let text = format!(
                        "“{}” behind the effective depth is taken as its limit, not as the surface's hardness",
                        draft.written(i)
                    );
                    draft.assume_at(i, text);
                }
                draft.pieces[i].say(format!(
                    "limit hardness of the depth: {}",
                    Hardness::new(scale, amount.low)
                ));
                limits.push((i, Hardness::new(scale, amount.low)));
            }
            None => {
                let text = format!(
                    "“{}” is a limit hardness without a scale that can be read.",
                    draft.written(i)
                );
                draft.block(blocks::HARDNESS_SCALE, text);
            }
        }
    }
    if draft.reading.depth_kind != DepthKind::Effective {
        return;
    }
    if draft.settled.limit.is_some() {
        draft.reading.limit_hardness = draft.settled.limit;
        return;
    }
    if let Some(&(first, limit)) = limits.first() {
        draft.reading.limit_hardness = Some(limit);
        if let Some(&(second, _)) = limits
            .iter()
            .find(|(_, other)| *other != limit && !same_limit(*other, limit))
        {
            let text = format!(
                "“{}” and “{}” are two limit hardnesses for one depth.",
                draft.written(first),
                draft.written(second)
            );
            draft.block(blocks::LIMIT_HARDNESS, text);
        }
        return;
    }
    assume_limit(draft);
}

/// 550 HV with ISO words, 50 HRC with inch depths; asked otherwise.
fn assume_limit(draft: &mut Draft) {
    let iso = draft.has(|m| m == M::Effective { iso: true })
        || draft.pieces.iter().any(|p| matches!(p.item, Item::Jis(_)));
    let called = |heads: &[&str]| {
        draft
            .reading
            .standards
            .iter()
            .any(|s| heads.iter().any(|h| s.starts_with(h)))
    };
    let iso_called = called(&["ISO", "DIN", "EN ", "JIS"]);
    let sae_called = called(&["SAE"]);
    let inch = draft.reading.units == Some(UnitSystem::Inch);
    let kind_word = (0..draft.pieces.len())
        .find(|&i| matches!(draft.pieces[i].meaning(), Some(M::Effective { .. })));
    let (limit, text) = if iso || (iso_called && !inch) {
        (
            Hardness::new(Scale::Hv, 550.0),
            "no limit hardness is given: 550 HV, as ISO 18203 has it for CHD, is taken",
        )
    } else if inch || sae_called {
        (
            Hardness::new(Scale::Hrc, 50.0),
            "no limit hardness is given: 50 HRC, the custom of SAE J423, is taken",
        )
    } else {
        if draft.reading.case_depth.is_some() {
            draft.block(blocks::LIMIT_HARDNESS, "The depth is an effective one in millimetres without its limit hardness; 550 HV and 50 HRC are both in use and give different depths.");
        }
        return;
    };
    draft.reading.limit_hardness = Some(limit);
    match kind_word {
        Some(i) => draft.assume_at(i, text),
        None => draft.assume(text),
    }
}

/// Stock per side.
fn read_stock(draft: &mut Draft) {
    if draft.settled.stock.is_some() {
        draft.reading.stock_per_side = draft.settled.stock;
    }
    let habits = unit::habits(draft);
    let depth_unit = draft.reading.units.map(|u| {
        if u == UnitSystem::Metric {
            Unit::Mm
        } else {
            Unit::Inch
        }
    });
    for i in draft.with_role(Role::Stock) {
        let Some(unit) = unit_of(draft, i, habits, depth_unit) else {
            draft.pieces[i].say("grinding stock that cannot be read for certain");
            continue;
        };
        let Some(amount) = draft.pieces[i].amount().cloned() else {
            continue;
        };
        let Some(written) = unit.length(amount.high) else {
            continue;
        };
        if draft.settled.stock.is_some() {
            draft.pieces[i].say("grinding stock, settled by an answer");
            continue;
        }
        if amount.low > amount.high {
            reversed(draft, i);
            continue;
        }
        if amount.low < amount.high {
            let text = format!(
                "of “{}” the greater stock is taken, so that the case left over is never too thin",
                draft.written(i)
            );
            draft.assume_at(i, text);
        }
        let Some(per_side) = per_side(draft, i) else {
            draft.pieces[i].say("grinding stock");
            let text = format!(
                "“{}” is grinding stock; whether per side or on the diameter is not said.",
                draft.written(i)
            );
            draft.block(blocks::STOCK, text);
            continue;
        };
        let stock = if per_side { written } else { written / 2.0 };
        let system = unit::system(unit).unwrap_or_default();
        if !per_side {
            let text = format!(
                "“{}” is on the diameter: half of it, {}, comes off each side",
                draft.written(i),
                stock.depth_text_both(system)
            );
            draft.assume_at(i, text);
        }
        draft.pieces[i].say(format!(
            "grinding stock {} per side",
            stock.depth_text_both(system)
        ));
        draft.reading.units = draft.reading.units.or(Some(system));
        match draft.reading.stock_per_side {
            Some(before) if (before - stock).to_mm().abs() > 0.015 => draft.block(
                blocks::STOCK,
                "The note gives two different grinding stocks.",
            ),
            Some(_) => {}
            None => draft.reading.stock_per_side = Some(stock),
        }
    }
}

/// Whether a stock is per side; `None` where nothing tells.
fn per_side(draft: &Draft, i: usize) -> Option<bool> {
    let tells = |j: usize| match draft.pieces[j].meaning() {
        Some(M::PerSide) => Some(true),
        Some(M::OnDiameter) => Some(false),
        _ => None,
    };
    let ends = |j: &usize| ends_clause(&draft.pieces[*j]);
    let ahead = (i + 1..draft.pieces.len())
        .take_while(|j| !ends(j))
        .find_map(tells);
    let back = (0..i).rev().take_while(|j| !ends(j)).find_map(tells);
    ahead.or(back).or(draft.settled.per_side)
}

/// 50 HRC and the 513 or 515 HV that conversion tables give for it name one limit.
fn same_limit(a: Hardness, b: Hardness) -> bool {
    let rockwell = |h: Hardness| h.scale == Scale::Hrc && h.value == 50.0;
    let vickers = |h: Hardness| h.scale == Scale::Hv && [513.0, 515.0].contains(&h.value);
    rockwell(a) && vickers(b) || vickers(a) && rockwell(b)
}

/// Depths that nobody makes, which are often slips of unit.
fn check_depth(draft: &mut Draft) {
    let Some(range) = draft.reading.case_depth else {
        return;
    };
    let inch = draft.reading.units == Some(UnitSystem::Inch);
    // An eighth of an inch is the deepest that the trade packs; in mm the round 3.
    let deepest = if inch {
        Length::from_in(0.125)
    } else {
        Length::from_mm(3.0)
    };
    let shallowest = Length::from_mm(0.1);
    // A bit of rounding room so that 0.125 in itself is not asked about.
    let over = |l: Option<Length>| l.is_some_and(|l| l.to_mm() > deepest.to_mm() * (1.0 + 1e-9));
    let under =
        |l: Option<Length>| l.is_some_and(|l| l.to_mm() < shallowest.to_mm() * (1.0 - 1e-9));
    if over(range.min) || over(range.max) || under(range.min) || under(range.max) {
        let text = format!(
            "A depth {} is outside what cases are made to; often a unit or a decimal point slipped.",
            text(range, draft.reading.units)
        );
        draft.block(blocks::DEPTH_RANGE, text);
    }
    if let (Some(_), None) = (range.min, range.max)
        && !draft.is_blocked(blocks::DEPTH_TOLERANCE)
    {
        draft.assume("the note sets no greatest depth; only the part's thinnest section limits it");
    }
    if let (None, Some(_)) = (range.min, range.max) {
        draft.assume("the note sets no least depth");
    }
}
