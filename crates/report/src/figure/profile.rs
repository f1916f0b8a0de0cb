//! Carbon, hardness and phases against depth.

use casewright_job::spec::Spec;
use casewright_plan::outcome::{DepthChain, DepthLimit, Prediction, Profile};
use casewright_terms::{Band, Length, Scale, UnitSystem};

use super::axis::{LABEL, Plot, TICK};
use super::svg::{Anchor, Ink, Pen, Svg, Type};
use crate::model::expected::limit_words;
use crate::show;

pub(super) const WIDTH: f64 = 300.0;
/// Left and right end of the depth axis.
pub(super) const FRAME_LEFT: f64 = 42.0;
pub(super) const FRAME_RIGHT: f64 = WIDTH - 8.0;
const HEIGHT: f64 = 236.0;
/// HV on the line that stands for 50 HRC, as the trade's table has it (see `Prediction`).
const HV_OF_50_HRC: f64 = 513.0;

/// What a curve is.
const MIDDLE: Pen = Pen::full(Ink::Steel, 1.8);
const EDGE: Pen = Pen::dashed(Ink::Steel, 0.6, "1.5 1.5");
const RULE: Pen = Pen::dashed(Ink::Note, 1.1, "7 3");
const MARK: Pen = Pen::dashed(Ink::Text, 0.7, "6 2 1 2");

fn plot(p: &Prediction, y: (f64, f64)) -> Plot {
    Plot {
        left: FRAME_LEFT,
        right: FRAME_RIGHT,
        top: 24.0,
        bottom: HEIGHT - 34.0,
        x: (0.0, depth_end_mm(p)),
        y,
    }
}

/// The picture ends a little behind the total depth, or with the profile.
pub(super) fn depth_end_mm(p: &Prediction) -> f64 {
    let last = p.profile.depth_mm.last().copied().unwrap_or(1.0).max(1e-3);
    let deepest = [p.total_depth, p.case_depth, p.depth_50hrc]
        .into_iter()
        .flatten()
        .map(|b| b.high.to_mm())
        .fold(0.0_f64, f64::max);
    if deepest > 0.0 {
        (deepest * 1.3).min(last)
    } else {
        last
    }
}

fn axes(svg: &mut Svg, plot: &Plot, units: UnitSystem) {
    let mm = Length::from_mm(1.0);
    let per = |u: UnitSystem| match u {
        UnitSystem::Metric => 1.0,
        UnitSystem::Inch => mm.to_mm() / mm.to_in(),
    };
    plot.frame(svg);
    plot.axis_below(
        svg,
        per(units),
        &format!(
            "depth from the surface as hardened, {}",
            units.length_unit()
        ),
    );
    plot.axis_above(svg, per(units.other()), units.other().length_unit());
}

/// The stock that will be ground off, hatched away.
fn stock(svg: &mut Svg, plot: &Plot, chain: Option<&DepthChain>) {
    let Some(chain) = chain else { return };
    let off = chain.stock.1.to_mm().min(plot.x.1);
    if off <= 0.0 {
        return;
    }
    let right = plot.px(off);
    let size = (right - plot.left, plot.bottom - plot.top);
    svg.hatch((plot.left, plot.top), size, 5.0, Pen::full(Ink::Faint, 0.6));
    svg.line(
        (right, plot.top),
        (right, plot.bottom),
        Pen::full(Ink::Text, 0.9),
    );
    svg.text(
        ((plot.left + right) / 2.0 + 3.0, plot.bottom - 5.0),
        "ground off",
        Type::new(TICK, Anchor::Start).up().rim(),
    );
}

/// The note's depths, moved by the stock that lies above them.
fn note_depths(svg: &mut Svg, plot: &Plot, chain: Option<&DepthChain>, units: UnitSystem) {
    let Some(chain) = chain else { return };
    let off = chain.stock.1;
    let ends = [
        Some((chain.finish_min, "note: at least ")),
        chain.finish_max.map(|m| (m, "note: at most ")),
    ];
    for (depth, words) in ends.into_iter().flatten() {
        let x = plot.px((depth + off).to_mm());
        if x > plot.right {
            continue;
        }
        svg.line((x, plot.top), (x, plot.bottom), RULE);
        let beside = if words.contains("least") { -3.0 } else { 9.0 };
        svg.text(
            (x + beside, plot.top + 4.0),
            &format!("{words}{}", show::depth(depth, units).main),
            Type::new(TICK, Anchor::End).ink(Ink::Note).up().rim(),
        );
    }
}

/// A depth with its band as a doubt bar at a height, and its words beside it.
fn depth_mark(svg: &mut Svg, plot: &Plot, band: Band<Length>, y: f64, words: &str, side: Side) {
    let pen = Pen::full(Ink::Text, 1.1);
    let (low, mid, high) = (
        plot.px(band.low.to_mm()),
        plot.px(band.mid.to_mm()),
        plot.px(band.high.to_mm().min(plot.x.1)),
    );
    svg.line((low, y), (high, y), pen);
    for x in [low, high] {
        svg.line((x, y - 3.0), (x, y + 3.0), pen);
    }
    svg.rect((mid - 2.2, y - 2.2), (4.4, 4.4), Some(Ink::Text), None);
    let (spot, anchor) = match side {
        Side::BelowLeft => {
            let least = plot.left + 18.0 + super::svg::width_of(words, LABEL);
            (((low - 3.0).max(least), y + 11.5), Anchor::End)
        }
        Side::Left => ((low - 5.0, y + 3.5), Anchor::End),
        Side::Above => {
            let wide = super::svg::width_of(words, LABEL);
            ((low.min(plot.right - wide), y - 8.0), Anchor::Start)
        }
    };
    svg.text(spot, words, Type::new(LABEL, anchor).bold().rim());
}

/// Where a mark's words stand, so that they keep clear of the curve.
#[derive(Clone, Copy)]
enum Side {
    BelowLeft,
    Left,
    Above,
}

fn band_area(svg: &mut Svg, plot: &Plot, depth: &[f64], low: &[f64], high: &[f64]) {
    let lower = plot.curve(depth, low);
    let upper = plot.curve(depth, high);
    let mut outline = upper.clone();
    outline.extend(lower.iter().rev());
    svg.area(&outline, Ink::Band);
    svg.path(&upper, EDGE);
    svg.path(&lower, EDGE);
}

/// Hardness against depth.
pub(crate) fn hardness(spec: &Spec, chain: Option<&DepthChain>, p: &Prediction) -> Option<String> {
    let profile = &p.profile;
    if profile.depth_mm.len() < 2 {
        return None;
    }
    let top = profile
        .hardness_high_hv
        .iter()
        .chain(&profile.hardness_hv)
        .fold(600.0_f64, |a, b| a.max(*b));
    let plot = plot(p, (0.0, (top / 100.0).ceil() * 100.0));
    let mut svg = Svg::new(WIDTH, HEIGHT, "Hardness against depth, with its band");
    band_area(
        &mut svg,
        &plot,
        &profile.depth_mm,
        &profile.hardness_low_hv,
        &profile.hardness_high_hv,
    );
    svg.path(&plot.curve(&profile.depth_mm, &profile.hardness_hv), MIDDLE);
    stock(&mut svg, &plot, chain);
    levels(&mut svg, &plot, chain, p, spec.units);
    note_depths(&mut svg, &plot, chain, spec.units);
    let limit = p.limit_hardness.to_hv();
    let total_asked = matches!(chain.map(|c| c.limit), Some(DepthLimit::CoreCarbon));
    if let Some(band) = p.case_depth
        && !total_asked
    {
        let words = show::depth(band.mid, spec.units).main;
        depth_mark(
            &mut svg,
            &plot,
            band,
            plot.py(limit),
            &words,
            Side::BelowLeft,
        );
    }
    if let Some(band) = p.total_depth {
        let words = format!("total {}", show::depth(band.mid, spec.units).main);
        depth_mark(
            &mut svg,
            &plot,
            band,
            plot.bottom - 16.0,
            &words,
            Side::Left,
        );
    }
    core_label(&mut svg, &plot, p);
    axes(&mut svg, &plot, spec.units);
    plot.axis_left(&mut svg, 7, "hardness, HV");
    Some(svg.finish())
}

/// 550 HV and 50 HRC; the note's own limit as a straw rule.
fn levels(
    svg: &mut Svg,
    plot: &Plot,
    chain: Option<&DepthChain>,
    p: &Prediction,
    units: UnitSystem,
) {
    let limit = match chain.map(|c| c.limit) {
        Some(DepthLimit::Hardness(h)) => Some(h),
        _ => None,
    };
    let is = |scale: Scale, value: f64| {
        limit.is_some_and(|h| h.scale == scale && (h.value - value).abs() < 0.5)
    };
    let rows = [
        (550.0, "550 HV", is(Scale::Hv, 550.0), p.depth_550hv, -3.0),
        (
            HV_OF_50_HRC,
            "50 HRC",
            is(Scale::Hrc, 50.0),
            p.depth_50hrc,
            9.5,
        ),
    ];
    for (hv, words, noted, depth, shift) in rows {
        let y = plot.py(hv);
        let (pen, ink) = if noted {
            (RULE, Ink::Note)
        } else {
            (Pen::dashed(Ink::Faint, 0.7, "1 2.5"), Ink::Faint)
        };
        svg.line((plot.left, y), (plot.right, y), pen);
        let words = match depth {
            _ if noted => format!("{words}, the note's limit"),
            Some(band) => format!("{words} at {}", show::depth(band.mid, units).main),
            None => words.to_owned(),
        };
        svg.text(
            (plot.right - 1.0, y + shift),
            &words,
            Type::new(TICK, Anchor::End).ink(ink).rim(),
        );
    }
    if let Some(h) = limit
        && h.scale == Scale::Hv
        && !is(Scale::Hv, 550.0)
    {
        let y = plot.py(h.value.clamp(plot.y.0, plot.y.1));
        svg.line((plot.left, y), (plot.right, y), RULE);
        svg.text(
            (plot.right - 1.0, y - 3.0),
            &format!("{h}, the note's limit"),
            Type::new(TICK, Anchor::End).ink(Ink::Note).rim(),
        );
    }
}

fn core_label(svg: &mut Svg, plot: &Plot, p: &Prediction) {
    let hv = p.core.mid.to_hv();
    svg.text(
        (plot.right - 1.0, plot.py(hv) - 6.0),
        &format!("core {}", show::vickers(p.core.mid)),
        Type::new(TICK, Anchor::End).ink(Ink::Steel).rim(),
    );
}

/// Carbon against depth.
pub(crate) fn carbon(spec: &Spec, chain: Option<&DepthChain>, p: &Prediction) -> Option<String> {
    let profile = &p.profile;
    if profile.depth_mm.len() < 2 {
        return None;
    }
    let top = profile
        .carbon_high_wt_pct
        .iter()
        .chain(&profile.carbon_wt_pct)
        .fold(0.4_f64, |a, b| a.max(*b));
    let plot = plot(p, (0.0, (top / 0.2).ceil() * 0.2));
    let mut svg = Svg::new(WIDTH, HEIGHT, "Carbon against depth, with its band");
    band_area(
        &mut svg,
        &plot,
        &profile.depth_mm,
        &profile.carbon_low_wt_pct,
        &profile.carbon_high_wt_pct,
    );
    svg.path(
        &plot.curve(&profile.depth_mm, &profile.carbon_wt_pct),
        MIDDLE,
    );
    stock(&mut svg, &plot, chain);
    note_depths(&mut svg, &plot, chain, spec.units);
    if let Some(band) = p.case_depth {
        vertical(
            &mut svg,
            &plot,
            band.mid,
            &format!(
                "{} at {}",
                limit_words(spec, p),
                show::depth(band.mid, spec.units).main
            ),
        );
    }
    if let Some(band) = p.total_depth {
        let y = at(&profile.depth_mm, &profile.carbon_wt_pct, band.mid.to_mm());
        let words = format!("total {}", show::depth(band.mid, spec.units).main);
        depth_mark(&mut svg, &plot, band, plot.py(y), &words, Side::Above);
    }
    if let Some(core) = profile.carbon_wt_pct.last() {
        svg.text(
            (plot.right - 1.0, plot.py(*core) + 12.0),
            &format!("core {core:.2} wt%"),
            Type::new(TICK, Anchor::End).ink(Ink::Steel).rim(),
        );
    }
    axes(&mut svg, &plot, spec.units);
    plot.axis_left(&mut svg, 6, "carbon, wt%");
    Some(svg.finish())
}

fn vertical(svg: &mut Svg, plot: &Plot, depth: Length, words: &str) {
    let x = plot.px(depth.to_mm());
    if x > plot.right {
        return;
    }
    svg.line((x, plot.top), (x, plot.bottom), MARK);
    svg.text(
        (x - 3.0, plot.bottom - 5.0),
        words,
        Type::new(TICK, Anchor::Start).up().rim(),
    );
}

/// The curve's height at a depth, by straight lines between its points.
pub(super) fn at(xs: &[f64], ys: &[f64], x: f64) -> f64 {
    let n = xs.len().min(ys.len());
    let i = xs[..n].partition_point(|v| *v < x);
    if i == 0 {
        return ys.first().copied().unwrap_or(0.0);
    }
    if i >= n {
        return ys[n - 1];
    }
    let share = (x - xs[i - 1]) / (xs[i] - xs[i - 1]);
    ys[i - 1] + share * (ys[i] - ys[i - 1])
}

/// Phases against depth: one line style each, named on the line.
pub(crate) fn phases(spec: &Spec, chain: Option<&DepthChain>, p: &Prediction) -> Option<String> {
    let profile = &p.profile;
    if profile.depth_mm.len() < 2 {
        return None;
    }
    let plot = plot(p, (0.0, 100.0));
    let mut svg = Svg::new(WIDTH, HEIGHT, "Phases against depth");
    let mut taken: Vec<(f64, f64)> = Vec::new();
    let mut drawn = 0;
    for (name, shares, pen) in phase_lines(profile) {
        if shares.len() < 2 || shares.iter().fold(0.0_f64, |a, b| a.max(*b)) < 0.005 {
            continue;
        }
        let percent: Vec<f64> = shares.iter().map(|s| s * 100.0).collect();
        svg.path(&plot.curve(&profile.depth_mm, &percent), pen);
        let spot = label_spot(&plot, profile, &percent, &mut taken);
        svg.text(
            spot,
            name,
            Type::new(TICK, Anchor::Middle).ink(pen.ink).rim(),
        );
        drawn += 1;
    }
    if drawn == 0 {
        return None;
    }
    stock(&mut svg, &plot, chain);
    axes(&mut svg, &plot, spec.units);
    plot.axis_left(&mut svg, 5, "share of the volume, %");
    Some(svg.finish())
}

fn phase_lines(profile: &Profile) -> [(&'static str, &[f64], Pen); 6] {
    [
        (
            "martensite",
            &profile.martensite,
            Pen::full(Ink::Steel, 1.8),
        ),
        (
            "retained austenite",
            &profile.retained_austenite,
            Pen::dashed(Ink::Note, 1.6, "8 3"),
        ),
        (
            "bainite",
            &profile.bainite,
            Pen::dashed(Ink::Text, 1.3, "6 2 1 2"),
        ),
        (
            "pearlite",
            &profile.pearlite,
            Pen::dashed(Ink::Text, 1.3, "3 2"),
        ),
        ("ferrite", &profile.ferrite, Pen::full(Ink::Faint, 1.0)),
        (
            "carbide",
            &profile.carbide,
            Pen::dashed(Ink::Text, 1.5, "1 2"),
        ),
    ]
}

/// A place for a line's name: near its greatest value, away from names already set.
fn label_spot(
    plot: &Plot,
    profile: &Profile,
    percent: &[f64],
    taken: &mut Vec<(f64, f64)>,
) -> (f64, f64) {
    let mut best = ((plot.left + plot.right) / 2.0, plot.top + 10.0);
    let mut best_score = f64::NEG_INFINITY;
    for i in 0..12 {
        let x = plot.x.1 * (0.2 + 0.06 * f64::from(i));
        let value = at(&profile.depth_mm, percent, x);
        let y = (plot.py(value) - 4.0).max(plot.top + 9.0);
        let spot = (plot.px(x), y);
        let near = taken
            .iter()
            .map(|t| ((t.0 - spot.0) / 70.0).powi(2) + ((t.1 - spot.1) / 14.0).powi(2))
            .fold(f64::INFINITY, f64::min);
        let score = value / 100.0 + near.min(1.5);
        if score > best_score {
            best_score = score;
            best = spot;
        }
    }
    taken.push(best);
    best
}
