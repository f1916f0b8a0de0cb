//! Surface and core hardness, and whether they can be at all.
//!
//! Values stay on the scale they were written on. The coarse comparison of scales here only
//! notices what cannot be; it converts nothing that is used or shown as a value.

use casewright_terms::{Length, Scale};

use super::amount::{Amount, Shape};
use super::blocks;
use super::depth::{number_form, reversed};
use super::draft::Draft;
use super::piece::Item;
use super::reading::HardnessRange;
use super::role::Role;
use super::scale::{Mark, ScaleName};
use super::words::Meaning as M;

/// Reads surface and core hardness into the draft and checks them.
pub(super) fn read(draft: &mut Draft) {
    draft.reading.surface_hardness = side(draft, Role::Surface);
    draft.reading.core_hardness = side(draft, Role::Core);
    for i in 0..draft.pieces.len() {
        match draft.pieces[i].meaning() {
            Some(M::FileHard) => {
                draft.reading.file_hard = true;
                draft.pieces[i].say("hard to the file: no number, judged with test files");
            }
            Some(M::Surface) => draft.pieces[i].say("surface"),
            Some(M::Core) => draft.pieces[i].say("core"),
            _ => {}
        }
    }
    check_surface(draft);
    check_core(draft);
    check_scale(draft);
}

/// All hardnesses of one role as one requirement.
fn side(draft: &mut Draft, role: Role) -> Option<HardnessRange> {
    let settled = if role == Role::Core {
        draft.settled.core
    } else {
        draft.settled.surface
    };
    let word = if role == Role::Core {
        "core hardness"
    } else {
        "surface hardness"
    };
    let mut governing: Option<(usize, HardnessRange)> = None;
    for i in draft.with_role(role) {
        if settled.is_some() {
            draft.pieces[i].say(format!("{word}, settled by an answer"));
            continue;
        }
        let Some(range) = one(draft, i, word) else {
            draft.pieces[i].say(format!("a {word} that cannot be read for certain"));
            continue;
        };
        draft.pieces[i].say(format!("{word} {}", text(range)));
        governing = Some(match governing {
            None => (i, range),
            Some((first, before)) => (first, together(draft, role, (first, before), (i, range))),
        });
    }
    if let Some((i, range)) = governing
        && range.min.zip(range.max).is_some_and(|(min, max)| min > max)
    {
        reversed(draft, i);
    }
    settled.unwrap_or(governing.map(|(_, range)| range))
}

/// One amount as a hardness, or open points.
fn one(draft: &mut Draft, i: usize, word: &str) -> Option<HardnessRange> {
    let amount = draft.pieces[i].amount()?.clone();
    let written = draft.written(i).to_owned();
    if let Some(doubt) = amount.doubt {
        number_form(draft, i, doubt);
        return None;
    }
    let mark = match &amount.mark {
        Some(mark) => mark.clone(),
        None => borrowed_scale(draft, i, &amount)?,
    };
    let scale = match mark.name {
        ScaleName::Known(scale) => scale,
        ScaleName::Foreign(what) => {
            let text = format!(
                "“{written}” is {what}: it cannot be turned into a reading of a Rockwell or Vickers tester for acceptance."
            );
            draft.block(blocks::SCALE_NOT_CONVERTIBLE, text);
            return None;
        }
    };
    if amount.lone_c {
        draft.assume_at(
            i,
            format!("the lone letter C of “{written}” is read as Rockwell C"),
        );
    }
    if amount.shape == Shape::Single {
        draft.assume_at(
            i,
            format!("“{written}” gives one {word}: taken as the least value"),
        );
    }
    Some(HardnessRange {
        scale,
        force_kgf: mark.force_kgf,
        min: (amount.shape != Shape::Most).then_some(amount.low),
        max: matches!(amount.shape, Shape::Most | Shape::Range).then_some(amount.high),
    })
}

/// A scale for a number that has none: the answer's, or the one that another hardness has.
fn borrowed_scale(draft: &mut Draft, i: usize, amount: &Amount) -> Option<Mark> {
    let written = draft.written(i).to_owned();
    if let Some(scale) = draft.settled.scale {
        return Some(Mark {
            name: ScaleName::Known(scale),
            force_kgf: None,
        });
    }
    let other_role = if draft.roles[i] == Some(Role::Core) {
        Role::Surface
    } else {
        Role::Core
    };
    let lender = draft
        .with_role(other_role)
        .into_iter()
        .find_map(|j| draft.pieces[j].amount()?.mark.clone());
    if let Some(Mark {
        name: ScaleName::Known(scale),
        ..
    }) = lender
        && window(scale).is_some_and(|(low, high)| amount.low >= low * 0.5 && amount.high <= high)
    {
        draft.assume_at(i, format!("“{written}” has no scale of its own: read on {scale} like the other hardness of the note"));
        return Some(Mark {
            name: ScaleName::Known(scale),
            force_kgf: None,
        });
    }
    draft.block(
        blocks::HARDNESS_SCALE,
        format!("“{written}” is a hardness without scale; the number alone means nothing."),
    );
    None
}

/// Two requirements for one place: ends that complete each other, the same on two scales, or a
/// conflict.
fn together(
    draft: &mut Draft,
    role: Role,
    a: (usize, HardnessRange),
    b: (usize, HardnessRange),
) -> HardnessRange {
    let (before, next) = (a.1, b.1);
    let same = before.scale == next.scale;
    if same
        && (before.max.is_none() && next.min.is_none()
            || before.min.is_none() && next.max.is_none())
    {
        return HardnessRange {
            min: before.min.or(next.min),
            max: before.max.or(next.max),
            force_kgf: before.force_kgf.or(next.force_kgf),
            ..before
        };
    }
    if same && before.min == next.min && before.max == next.max {
        return before;
    }
    let (first, second) = (draft.written(a.0).to_owned(), draft.written(b.0).to_owned());
    if !same && alike(before, next) {
        draft.assume_at(
            b.0,
            format!("“{second}” is taken as the same hardness on another scale; “{first}” governs"),
        );
        return before;
    }
    let code = if role == Role::Core {
        blocks::CORE_CONFLICT
    } else {
        blocks::SURFACE_CONFLICT
    };
    draft.block(
        code,
        format!(
            "“{first}” and “{second}” are two requirements for one place; please say which governs."
        ),
    );
    before
}

/// A hardness range in words.
pub(super) fn text(range: HardnessRange) -> String {
    let force = range
        .force_kgf
        .map_or(String::new(), |f| format!(" at {f} kgf"));
    match (range.min, range.max) {
        (Some(min), Some(max)) => format!("{min} to {max} {}{force}", range.scale),
        (Some(min), None) => format!("at least {min} {}{force}", range.scale),
        (None, Some(max)) => format!("at most {max} {}{force}", range.scale),
        (None, None) => format!("on {}{force}", range.scale),
    }
}

/// ASTM E140 table 1, a few rows: HRC, HV, HBW, HK, HRA, HRD, 15N, 30N, 45N. Between them the
/// columns run nearly straight; a unit or two is enough to notice what cannot be.
const ROWS: [[f64; 9]; 10] = [
    [20.0, 238.0, 226.0, 251.0, 60.5, 40.1, 69.4, 41.5, 19.6],
    [25.0, 266.0, 253.0, 278.0, 62.8, 43.8, 72.2, 45.9, 25.5],
    [30.0, 302.0, 286.0, 311.0, 65.3, 47.7, 75.0, 50.4, 31.3],
    [35.0, 345.0, 327.0, 351.0, 67.9, 51.5, 77.7, 55.0, 37.2],
    [40.0, 392.0, 371.0, 402.0, 70.4, 55.4, 80.4, 59.5, 43.1],
    [45.0, 446.0, 421.0, 466.0, 73.1, 59.2, 83.0, 64.0, 49.0],
    [50.0, 513.0, 481.0, 542.0, 75.9, 63.1, 85.5, 68.5, 55.0],
    [55.0, 595.0, 560.0, 630.0, 78.5, 66.9, 87.9, 73.0, 60.9],
    [60.0, 697.0, 654.0, 732.0, 81.2, 70.7, 90.2, 77.5, 66.6],
    [68.0, 940.0, 800.0, 920.0, 85.6, 76.9, 93.2, 84.4, 75.4],
];

fn column(scale: Scale) -> Option<usize> {
    Some(match scale {
        Scale::Hrc => 0,
        Scale::Hv => 1,
        Scale::Hbw => 2,
        Scale::Hk => 3,
        Scale::Hra => 4,
        Scale::Hrd => 5,
        Scale::Hr15n => 6,
        Scale::Hr30n => 7,
        Scale::Hr45n => 8,
        Scale::Hrb => return None,
    })
}

/// Lowest and highest number that the scale gives between 20 and 68 HRC.
fn window(scale: Scale) -> Option<(f64, f64)> {
    let column = column(scale)?;
    Some((ROWS[0][column], ROWS[9][column]))
}

/// A coarse HRC for comparing, run on in a straight line past the ends; 10 for anything on B.
fn coarse_hrc(scale: Scale, value: f64) -> f64 {
    let Some(column) = column(scale) else {
        return 10.0;
    };
    let above = ROWS
        .iter()
        .position(|row| row[column] >= value)
        .unwrap_or(9)
        .max(1);
    let (a, b) = (ROWS[above - 1], ROWS[above]);
    a[0] + (b[0] - a[0]) * (value - a[column]) / (b[column] - a[column])
}

/// Whether two ranges on two scales are one within two Rockwell points at each end, the usual
/// rounding of drawings.
fn alike(a: HardnessRange, b: HardnessRange) -> bool {
    let near = |x: Option<f64>, y: Option<f64>| match (x, y) {
        (Some(x), Some(y)) => (coarse_hrc(a.scale, x) - coarse_hrc(b.scale, y)).abs() <= 2.0,
        (None, None) => true,
        _ => false,
    };
    near(a.min, b.min) && near(a.max, b.max)
}

/// A surface above 68 HRC cannot be, one below 45 HRC is no case.
fn check_surface(draft: &mut Draft) {
    // Two surfaces that do not agree are asked about already; one of them is often a soft area's.
    if draft.is_blocked(blocks::SURFACE_CONFLICT) {
        return;
    }
    let Some(range) = draft.reading.surface_hardness else {
        return;
    };
    let top = range
        .max
        .or(range.min)
        .map_or(0.0, |v| coarse_hrc(range.scale, v));
    let floor = range
        .max
        .or(range.min)
        .map_or(99.0, |v| coarse_hrc(range.scale, v));
    let bottom = range.min.map_or(45.0, |v| coarse_hrc(range.scale, v));
    // Half a point lets 940 HV and its like pass as the 68 HRC they stand for.
    let text = if top > 68.5 || bottom > 68.5 {
        format!(
            "A surface of {} is above 68 HRC or its like, which no carburized case reaches.",
            text(range)
        )
    } else if floor < 45.0 {
        format!(
            "A surface of {} is softer than a hardened case; perhaps it was meant for the core.",
            text(range)
        )
    } else {
        return;
    };
    draft.block(blocks::SURFACE_RANGE, text);
}

/// The core must be softer than the surface; below 20 HRC the C scale ends.
fn check_core(draft: &mut Draft) {
    let Some(core) = draft.reading.core_hardness else {
        return;
    };
    if core.scale == Scale::Hrc && core.min.or(core.max).is_some_and(|v| v < 20.0) {
        draft.assume("the core is asked below 20 HRC, where the C scale is not valid: it will be read on B or HV");
    }
    let Some(surface) = draft.reading.surface_hardness else {
        return;
    };
    let (Some(core_top), Some(surface_low)) = (core.max.or(core.min), surface.min.or(surface.max))
    else {
        return;
    };
    if coarse_hrc(core.scale, core_top) >= coarse_hrc(surface.scale, surface_low) {
        let text = format!(
            "The core, {}, is asked as hard as or harder than the surface, {}.",
            text(core),
            text(surface)
        );
        draft.block(blocks::CORE_ABOVE_SURFACE, text);
    }
}

/// Least effective case that a scale reads without pressing through, mm, at about 60 HRC: ten
/// times the recorded indent depth with its effect (ASTM E18 thickness tables).
fn least_case_mm(scale: Scale) -> Option<f64> {
    Some(match scale {
        Scale::Hr15n => 0.20,
        Scale::Hr30n => 0.38,
        Scale::Hr45n => 0.51,
        Scale::Hra => 0.64,
        Scale::Hrd | Scale::Hrc => 0.76,
        Scale::Hv | Scale::Hk | Scale::Hbw | Scale::Hrb => return None,
    })
}

/// A scale too heavy for the depth is a warning, because drawings say HRC out of habit and a
/// lighter scale answers the same wish; it blocks only where the note demands that scale.
fn check_scale(draft: &mut Draft) {
    let (Some(surface), Some(depth)) = (draft.reading.surface_hardness, draft.reading.case_depth)
    else {
        return;
    };
    let (Some(least_mm), Some(depth)) = (least_case_mm(surface.scale), depth.min.or(depth.max))
    else {
        return;
    };
    if depth >= Length::from_mm(least_mm) {
        return;
    }
    let scale = surface.scale;
    let units = draft.reading.units.unwrap_or_default();
    let text = format!(
        "{scale} presses through a case under {}: the surface will be read on a lighter scale",
        Length::from_mm(least_mm).depth_text_both(units)
    );
    let demanded = draft.has(|m| m == M::Accept)
        || draft
            .pieces
            .iter()
            .zip(draft.pieces.iter().skip(1))
            .any(|(a, b)| matches!(a.item, Item::Amount(_) | Item::Scale(_)) && b.text == "ONLY");
    if demanded {
        let demand = format!(
            "The note demands acceptance on {scale}, which presses through a case under {} and would read the core.",
            Length::from_mm(least_mm).depth_text_both(units)
        );
        draft.block(blocks::SCALE_TOO_HEAVY, demand);
    }
    match draft.with_role(Role::Surface).first() {
        Some(&i) => draft.assume_at(i, text),
        None => draft.assume(text),
    }
}
