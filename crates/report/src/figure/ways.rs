//! The plan and the ways beside it: hours as bars, the chance of the note as filled squares, the
//! depth after grinding against the note's limits, and why not.

use casewright_job::spec::Spec;
use casewright_plan::outcome::{DepthChain, PlanReport};
use casewright_terms::Length;

use super::axis::{LABEL, TICK};
use super::svg::{Anchor, Ink, Pen, Svg, Type, width_of};
use crate::model::ways::{self, Beside};
use crate::show;
use crate::text::harmless;

const WIDTH: f64 = 540.0;
/// One way, its reason included.
const ROW: f64 = 21.5;
const HEAD: f64 = 13.0;
/// Where the columns begin.
const HOURS: f64 = 252.0;
const CHANCE: f64 = 356.0;
const DEPTH: f64 = 440.0;
/// Length of the longest bar of hours.
const BAR: f64 = 66.0;
/// Room for the depths.
const SCALE: f64 = 56.0;
const SQUARES: usize = 10;
const SQUARE: f64 = 4.4;

/// The picture; `None` where no other way was found.
pub(crate) fn draw(spec: &Spec, report: &PlanReport) -> Option<String> {
    let all = ways::beside(report);
    let chain = &report.plan.as_ref()?.depth;
    let longest = all
        .iter()
        .map(|b| b.way.hours_in_all.to_h())
        .reduce(f64::max)?;
    let mut svg = Svg::new(
        WIDTH,
        HEAD + ROW * all.len() as f64,
        "The plan beside other ways",
    );
    for (x, words) in [
        (HOURS, "hours, dark: to soak's end"),
        (DEPTH, "depth, finished"),
    ] {
        heading(&mut svg, x, words);
    }
    heading(&mut svg, CHANCE, "chance of the note");
    svg.text(
        (0.0, HEAD - 3.0),
        "The plan beside other ways",
        Type::new(LABEL + 0.5, Anchor::Start).bold(),
    );
    let end = depth_end(&all, chain);
    for (i, one) in all.iter().enumerate() {
        let top = HEAD + ROW * i as f64;
        svg.line(
            (0.0, top),
            (WIDTH, top),
            Pen::full(Ink::Text, if i == 0 { 0.9 } else { 0.4 }),
        );
        words(&mut svg, spec, one, i, top);
        hours(&mut svg, one, longest, top);
        chance(&mut svg, one, top);
        depth(&mut svg, spec, one, chain, end, top);
    }
    Some(svg.finish())
}

fn heading(svg: &mut Svg, x: f64, words: &str) {
    svg.text(
        (x, HEAD - 4.0),
        words,
        Type::new(TICK - 1.0, Anchor::Start).ink(Ink::Faint),
    );
}

fn words(svg: &mut Svg, spec: &Spec, one: &Beside<'_>, i: usize, top: f64) {
    let way = &one.way;
    let line = top + 10.5;
    svg.text(
        (0.0, line),
        &ways::name(i),
        Type::new(LABEL + 0.5, Anchor::Start).bold(),
    );
    let heat = format!(
        "{} {}",
        show::temperature(way.temperature, spec.units).main,
        way.soak.text()
    );
    svg.text((26.0, line), &heat, Type::new(LABEL, Anchor::Start).bold());
    let reheats = ways::reheats(way, spec.units);
    let route = if reheats.is_empty() {
        "direct".to_owned()
    } else {
        format!("reheat {reheats}")
    };
    let from = 33.0 + width_of(&heat, LABEL) * 1.04;
    let rest = format!("{route}, {}", ways::quench(way));
    svg.text(
        (from, line),
        &fitted(&rest, HOURS - from - 4.0, TICK),
        Type::new(TICK, Anchor::Start),
    );
    let reason = if i == 0 {
        "taken".to_owned()
    } else {
        format!("not taken: {}", harmless(one.why_not))
    };
    svg.text(
        (26.0, top + 19.3),
        &fitted(&reason, WIDTH - 26.0, TICK - 1.0),
        Type::new(TICK - 1.0, Anchor::Start).ink(Ink::Text),
    );
}

/// As many words as there is room for.
fn fitted(words: &str, room: f64, size: f64) -> String {
    if width_of(words, size) <= room {
        return words.to_owned();
    }
    let mut kept = String::new();
    for word in words.split(' ') {
        let longer = if kept.is_empty() {
            word.to_owned()
        } else {
            format!("{kept} {word}")
        };
        if width_of(&format!("{longer} …"), size) > room {
            break;
        }
        kept = longer;
    }
    format!("{kept} …")
}

/// Hours of work and furnace; the part in the furnace dark.
fn hours(svg: &mut Svg, one: &Beside<'_>, longest: f64, top: f64) {
    let per = BAR / longest;
    let (y, high) = (top + 2.8, 8.0);
    let whole = one.way.hours_in_all.to_h() * per;
    svg.rect(
        (HOURS, y),
        (whole, high),
        Some(Ink::Band),
        Some(Pen::full(Ink::Steel, 0.7)),
    );
    if let Some(furnace) = one.furnace {
        svg.rect(
            (HOURS, y),
            (furnace.to_h() * per, high),
            Some(Ink::Steel),
            None,
        );
    }
    svg.text(
        (HOURS + whole + 4.0, y + 7.7),
        &ways::hours(one.way.hours_in_all),
        Type::new(LABEL, Anchor::Start).bold(),
    );
}

/// Ten squares, as many filled as tenths of a chance.
fn chance(svg: &mut Svg, one: &Beside<'_>, top: f64) {
    let Some(chance) = one.chance else {
        svg.text(
            (CHANCE, top + 10.5),
            "not looked for",
            Type::new(TICK - 1.0, Anchor::Start).ink(Ink::Faint),
        );
        return;
    };
    svg.text(
        (CHANCE + 70.0, top + 10.5),
        &ways::chance(chance),
        Type::new(LABEL, Anchor::End).bold(),
    );
    let filled = (chance * SQUARES as f64).round() as usize;
    for i in 0..SQUARES {
        let at = (CHANCE + i as f64 * SQUARE, top + 4.6);
        let fill = if i < filled { Ink::Steel } else { Ink::Paper };
        svg.rect(
            at,
            (SQUARE - 0.8, 5.5),
            Some(fill),
            Some(Pen::full(Ink::Steel, 0.5)),
        );
    }
}

/// The deepest thing to be shown, with room.
fn depth_end(all: &[Beside<'_>], chain: &DepthChain) -> f64 {
    let deepest = all
        .iter()
        .filter_map(|b| b.depth)
        .chain(chain.finish_max)
        .chain([chain.finish_min])
        .map(Length::to_mm)
        .fold(0.1_f64, f64::max);
    deepest * 1.1
}

/// A dot between the note's limits.
fn depth(svg: &mut Svg, spec: &Spec, one: &Beside<'_>, chain: &DepthChain, end: f64, top: f64) {
    let at = |depth: Length| DEPTH + depth.to_mm() / end * SCALE;
    let y = top + 7.3;
    svg.line((DEPTH, y), (DEPTH + SCALE, y), Pen::full(Ink::Faint, 0.6));
    for limit in std::iter::once(chain.finish_min).chain(chain.finish_max) {
        let x = at(limit);
        svg.line((x, y - 5.5), (x, y + 5.5), Pen::full(Ink::Note, 1.6));
    }
    let Some(depth) = one.depth else { return };
    svg.ellipse((at(depth), y), (2.6, 2.6), Pen::full(Ink::Steel, 1.6));
    svg.text(
        (WIDTH, y + 3.0),
        &show::depth(depth, spec.units).main,
        Type::new(LABEL, Anchor::End).bold().rim(),
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use casewright_plan::ways::of_plan;

    use crate::fixture;

    #[test]
    fn the_plan_and_the_others_stand_in_rows_with_hours_chance_and_reason() {
        let (spec, mut report) = fixture::pawls(4);
        assert!(draw(&spec, &report).is_none(), "no other way, no picture");
        let ours = of_plan(report.plan.as_ref().expect("a plan"));
        for (i, other) in report.alternatives.iter_mut().enumerate() {
            let mut way = ours.clone();
            way.hours_in_all = ours.hours_in_all * (1.5 + i as f64);
            other.way = Some(way);
            other.chance = Some(0.63);
        }
        let svg = draw(&spec, &report).expect("drawn");
        let tree = roxmltree::Document::parse(&svg).expect("well formed");
        let words: Vec<&str> = tree
            .descendants()
            .filter(|n| n.has_tag_name("text"))
            .filter_map(|n| n.text())
            .collect();
        let wanted = [
            "plan".to_owned(),
            "1".to_owned(),
            "2".to_owned(),
            "63 %".to_owned(),
            ways::hours(ours.hours_in_all),
            ways::hours(ours.hours_in_all * 2.5),
        ];
        for want in &wanted {
            assert!(words.iter().any(|w| w == want), "{want} in {words:?}");
        }
        let reasons = words.iter().filter(|w| w.starts_with("not taken: "));
        assert_eq!(reasons.count(), report.alternatives.len());
        let rows = ways::rows(&report, spec.units);
        assert_eq!(rows.len(), 3);
        assert!(rows[0].why_not.is_empty() && rows[1].chance == "63 %");
    }
}
