//! Where the note cannot be met: the nearest that can, planned for real, and the words for the
//! customer.

use casewright_job::note::reading::{LengthRange, Stage};
use casewright_job::spec::{Spec, Steel};
use casewright_terms::{Length, Severity};

mod words;

use crate::gate;
use crate::outcome::{Nearest, PlanReport, Verdict};

/// Depths are offered in these steps, and none below the least that a pack can hold at all.
const OFFER_STEP_MM: f64 = 0.05;
/// See [`OFFER_STEP_MM`].
const OFFER_LEAST_MM: f64 = 0.25;
/// Width of an offered band: the spread of one load and half as much again.
const OFFER_WIDTH_MM: f64 = 0.2;
/// Plans tried for an offer; each next one is scaled by what the last one missed.
const TRIES: usize = 3;
/// A steel that hardens in oil at the sections a small shop carburizes.
const OIL_STEEL: &str = "8620";

/// A changed note, planned.
pub(crate) struct Tried {
    /// Its report.
    pub(crate) report: PlanReport,
    /// Total depth at the middle, where that alone refused it before a prediction was made.
    pub(crate) total: Option<Length>,
}

/// Completes a report whose note cannot be met. `plan` plans a changed spec; the spec whose plan
/// was taken into the report is given back.
pub(crate) fn offer(
    spec: &Spec,
    report: &mut PlanReport,
    plan: impl Fn(&Spec) -> Tried,
) -> Option<Spec> {
    let found = |code: &str| report.findings.iter().any(|diag| diag.code == code);
    if found("cases-meet") {
        shallower(spec, report, plan)
    } else if found("no-way") {
        another_steel(spec, report, plan)
    } else if only_hours_lack(report) {
        more_hours(spec, report);
        None
    } else {
        words::say(spec, report);
        None
    }
}

/// The words alone, for a plan that is stopped after it was made.
pub(crate) fn say(spec: &Spec, report: &mut PlanReport) {
    words::say(spec, report);
}

/// Where a load could fall partly outside a narrow band: the band that it would stand inside.
pub(crate) fn wider(spec: &Spec, report: &mut PlanReport) {
    words::wider(spec, report);
}

/// Whether the note could be met if only somebody were there long enough.
fn only_hours_lack(report: &PlanReport) -> bool {
    let mut stops = report
        .findings
        .iter()
        .filter(|diag| diag.severity == Severity::Stop);
    report.prediction.is_some()
        && stops.clone().next().is_some()
        && stops.all(|diag| diag.code == "no-staffed-window")
}

/// The customer's note is not at fault: what lacks is the shop's own to find.
fn more_hours(spec: &Spec, report: &mut PlanReport) {
    report.nearest = Some(Nearest {
        what: "Nothing in the note stands against it: the staffed hours are too short for the furnace work."
            .to_owned(),
        to_customer: format!(
            "For \"{}\" ({}) we can work to your note, but not in the hours our furnace is attended now. We shall name a day when it can be done.",
            spec.part.what, spec.name
        ),
    });
}

/// The same note in a steel that hardens in this shop's tanks.
fn another_steel(
    spec: &Spec,
    report: &mut PlanReport,
    plan: impl Fn(&Spec) -> Tried,
) -> Option<Spec> {
    let mut offered = spec.clone();
    offered.steel = Steel::Grade {
        name: OIL_STEEL.to_owned(),
        place: None,
    };
    let offer = plan(&offered).report;
    if offer.verdict == Verdict::CannotBeMet {
        return None;
    }
    let what = format!("In {OIL_STEEL} the same note can be met with this shop's tanks.");
    report.nearest = Some(Nearest {
        to_customer: format!(
            "For \"{}\" ({}) the steel does not harden to \"{}\" in the tanks we have. {what} May we make it of {OIL_STEEL}?",
            spec.part.what,
            spec.name,
            spec.note.text.trim()
        ),
        what,
    });
    take(report, offer);
    Some(offered)
}

/// The greatest effective depth whose total stays under a quarter of the section.
fn shallower(spec: &Spec, report: &mut PlanReport, plan: impl Fn(&Spec) -> Tried) -> Option<Spec> {
    let (section, what) = gate::least_section(spec);
    let most_total = section * gate::SECTION_STOP;
    // Effective is about two thirds of total in a plain case; each try below shows the real share.
    let mut greatest = most_total.to_mm() * 0.7;
    for _ in 0..TRIES {
        greatest = (greatest / OFFER_STEP_MM).floor() * OFFER_STEP_MM;
        if greatest < OFFER_LEAST_MM {
            break;
        }
        let max = Length::from_mm(greatest);
        let min = Length::from_mm((greatest - OFFER_WIDTH_MM).max(greatest * 0.5));
        let mut offered = spec.clone();
        offered.note.case_depth = Some(LengthRange {
            min: Some(min),
            max: Some(max),
        });
        if spec.stock.is_empty() {
            offered.note.stage = Stage::BeforeGrind;
        }
        let Tried {
            report: offer,
            total: seen,
        } = plan(&offered);
        if offer.verdict != Verdict::CannotBeMet {
            report.nearest = Some(shallower_words(spec, (min, max), (section, &what)));
            take(report, offer);
            return Some(offered);
        }
        let total = offer
            .prediction
            .as_ref()
            .and_then(|p| p.total_depth)
            .map(|band| band.mid)
            .or(seen);
        greatest = match total {
            Some(total) if total > most_total => greatest * (most_total / total),
            _ => greatest - OFFER_STEP_MM,
        };
    }
    let thicker = section_for(spec, section);
    let words = format!(
        "No pack case fits {what} of {}: the carbon of the heat-up alone goes too deep. The depth asked for needs a section of about {} or more.",
        section.size_text(spec.units),
        thicker.size_text(spec.units)
    );
    report.nearest = Some(Nearest {
        to_customer: format!(
            "For \"{}\" ({}): {words} A salt-bath or gas case of 0.1 to 0.3 mm (0.004 to 0.012 in) from another shop, or a thicker part, would serve. Which do you want?",
            spec.part.what, spec.name
        ),
        what: words,
    });
    None
}

/// A section that leaves a core between two cases of the asked depth; total is about one and a
/// half times the effective depth.
fn section_for(spec: &Spec, section: Length) -> Length {
    let asked = spec.note.case_depth.and_then(|depth| depth.min);
    asked.map_or(section, |asked| asked * (1.5 / gate::SECTION_STOP))
}

fn shallower_words(
    spec: &Spec,
    (min, max): (Length, Length),
    (section, what): (Length, &str),
) -> Nearest {
    let units = spec.units;
    let words = format!(
        "In {what} of {} a case of {} to {} can be made; the depth asked for needs a section of about {} or more.",
        section.size_text(units),
        min.depth_text_both(units),
        max.depth_text_both(units),
        section_for(spec, section).size_text(units),
    );
    Nearest {
        to_customer: format!(
            "For \"{}\" ({}) the case asked for (\"{}\") would meet in the middle of the section and leave the part brittle through. {words} Please tell us which you want.",
            spec.part.what,
            spec.name,
            spec.note.text.trim()
        ),
        what: words,
    }
}

/// Takes an offer's plan into the report; what stops the note itself stays first.
fn take(report: &mut PlanReport, offer: PlanReport) {
    // What was doubtful in a prediction that is now replaced would stand beside the new one's.
    report
        .findings
        .retain(|diag| diag.severity == Severity::Stop || !diag.code.ends_with("-doubtful"));
    let new: Vec<_> = offer
        .findings
        .into_iter()
        .filter(|diag| diag.severity != Severity::Stop && !report.findings.contains(diag))
        .collect();
    report.findings.extend(new);
    report.plan = offer.plan;
    report.prediction = offer.prediction;
    report.alternatives = offer.alternatives;
    report.doubts = offer.doubts;
    report.outlook = offer.outlook;
    report.inside = offer.inside;
    report.traverse = offer.traverse;
    report.sources = offer.sources;
}
