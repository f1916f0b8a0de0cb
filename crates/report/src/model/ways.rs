//! The plan and the ways beside it, in one row each.

use casewright_job::shop::Medium;
use casewright_job::spec::RouteWish;
use casewright_plan::outcome::PlanReport;
use casewright_plan::ways::{self, Way};
use casewright_terms::{Length, Span, UnitSystem};

use crate::show::{self, Shown};

/// Ways beside the plan that are shown: those whose chance was looked for.
pub(crate) const BESIDE: usize = 3;

/// One way in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WayRow {
    /// `plan`, or its number.
    pub name: String,
    /// Route in a few words.
    pub route: &'static str,
    /// Carburizing temperature.
    pub heat: Shown,
    /// Soak.
    pub soak: String,
    /// Temperature of each reheat; empty for a direct quench.
    pub reheats: String,
    /// Liquid and tank.
    pub quench: String,
    /// Hours of work and furnace, without waits.
    pub hours: String,
    /// Of which box in furnace to the end of the soak.
    pub furnace: String,
    /// Chance of the whole note; empty where not looked for.
    pub chance: String,
    /// Depth after grinding; empty where none.
    pub depth: Shown,
    /// Why not; empty for the plan.
    pub why_not: String,
}

/// A way in numbers, for the picture.
pub(crate) struct Beside<'a> {
    pub(crate) way: Way,
    pub(crate) furnace: Option<Span>,
    pub(crate) chance: Option<f64>,
    pub(crate) depth: Option<Length>,
    pub(crate) why_not: &'a str,
}

/// The plan's way first; nothing without a plan or without another way.
pub(crate) fn beside(report: &PlanReport) -> Vec<Beside<'_>> {
    let Some(plan) = &report.plan else {
        return Vec::new();
    };
    let others: Vec<Beside<'_>> = report
        .alternatives
        .iter()
        .filter_map(|other| {
            Some(Beside {
                way: other.way.clone()?,
                furnace: other.furnace_time,
                chance: other.chance,
                depth: other.case_depth_after_grind,
                why_not: &other.why_not,
            })
        })
        .take(BESIDE)
        .collect();
    if others.is_empty() {
        return others;
    }
    let finished = report
        .prediction
        .as_ref()
        .and_then(|p| p.case_depth_after_grind);
    let ours = Beside {
        way: ways::of_plan(plan),
        furnace: Some(plan.furnace_time),
        chance: report.outlook.chance_all,
        depth: finished.map(|band| band.mid),
        why_not: "",
    };
    std::iter::once(ours).chain(others).collect()
}

/// The rows of [`beside`].
pub(crate) fn rows(report: &PlanReport, units: UnitSystem) -> Vec<WayRow> {
    beside(report)
        .iter()
        .enumerate()
        .map(|(i, b)| WayRow {
            name: name(i),
            route: route(b.way.route),
            heat: show::temperature(b.way.temperature, units),
            soak: b.way.soak.text(),
            reheats: reheats(&b.way, units),
            quench: quench(&b.way),
            hours: hours(b.way.hours_in_all),
            furnace: b.furnace.map(hours).unwrap_or_default(),
            chance: b.chance.map(chance).unwrap_or_default(),
            depth: b
                .depth
                .map(|depth| show::depth(depth, units))
                .unwrap_or_default(),
            why_not: b.why_not.to_owned(),
        })
        .collect()
}

/// `plan`, then numbers.
pub(crate) fn name(i: usize) -> String {
    if i == 0 {
        "plan".to_owned()
    } else {
        i.to_string()
    }
}

/// A route in a few words.
pub(crate) const fn route(route: RouteWish) -> &'static str {
    match route {
        RouteWish::Direct => "direct",
        RouteWish::Single => "one reheat",
        RouteWish::Double => "two reheats",
    }
}

/// The reheats' temperatures.
pub(crate) fn reheats(way: &Way, units: UnitSystem) -> String {
    let unit = format!(" {}", units.temperature_unit());
    let each: Vec<String> = way
        .reheats
        .iter()
        .map(|t| show::temperature(*t, units).main)
        .map(|t| t.trim_end_matches(unit.as_str()).to_owned())
        .collect();
    if each.is_empty() {
        String::new()
    } else {
        format!("{}{unit}", each.join(", "))
    }
}

/// Liquid and tank.
pub(crate) fn quench(way: &Way) -> String {
    let medium = match way.medium {
        Medium::Water => "water",
        Medium::Brine => "brine",
        Medium::SlowOil => "slow oil",
        Medium::FastOil => "fast oil",
        Medium::Polymer => "polymer",
        Medium::Air => "air",
    };
    format!("{medium} {}", way.tank)
}

/// Hours to the tenth.
pub(crate) fn hours(span: Span) -> String {
    format!("{:.1} h", span.to_h())
}

/// A chance in whole percent.
pub(crate) fn chance(chance: f64) -> String {
    format!("{:.0} %", 100.0 * chance)
}
