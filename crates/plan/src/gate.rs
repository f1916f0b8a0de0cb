//! What can be said before anything is computed: open points of the note, the steel, the band
//! against what a pack can hold, the case against the section.

use casewright_job::spec::{FeatureKind, Spec};
use casewright_physics::law::phase_hardness::martensite_hardness;
use casewright_physics::law::tempering::tempered_martensite;
use casewright_physics::matter::steel::{SteelClass, SteelRecord};
use casewright_terms::{Composition, Diag, Element, Length, Span, Temperature};

use crate::demand::Demand;
use crate::outcome::DepthLimit;
use crate::setup;

/// A narrower depth band than this is finer than the scatter of one pack. [handbook-pack-scatter]
const BAND_LEAST_MM: f64 = 0.25;
/// Below this a pack case is a poor fit: heat-up and scatter are as large as the case. [trade-practice]
const SHALLOW_MM: f64 = 0.5;
/// Total case per side over section: look here, and stop. [trade-practice]
pub const SECTION_WARN: f64 = 1.0 / 6.0;
/// See [`SECTION_WARN`].
pub const SECTION_STOP: f64 = 1.0 / 4.0;

/// Open points of the note, each a stop until it is answered.
#[must_use]
pub fn open_points(spec: &Spec) -> Vec<Diag> {
    spec.note
        .blocks
        .iter()
        .map(|block| {
            Diag::stop(block.code, block.text.clone()).accepted(format!(
                "Ask the customer, then write the answer into the job file: [[answer]] code = \"{}\", value = …, by = who and when.",
                block.code
            ))
        })
        .collect()
}

/// The record of stock that is sold plated; every other record only warns that a bar may be.
const PLATED: &str = "galvanised mild steel";

/// Findings about the steel.
#[must_use]
pub fn steel(record: Option<&'static SteelRecord>) -> Vec<Diag> {
    let Some(record) = record else {
        return vec![
            Diag::note(
                "steel-not-in-table",
                "The steel is known by its certificate only.",
            )
            .why("Grain practice, residuals and dangers of its grade are not known here.")
            .accepted("Run an untreated control with the load, as planned."),
        ];
    };
    let mut list: Vec<Diag> = record
        .warnings
        .iter()
        .map(|warning| {
            // A grade's own danger never stops a plan by itself: the class below does.
            let severity = warning.severity.min(casewright_terms::Severity::Warn);
            Diag::new(
                "steel-warning",
                severity,
                format!("{}: {}", record.name, warning.text),
            )
        })
        .collect();
    if record.name == PLATED {
        list.push(
            Diag::stop("steel-plated", format!("{} is plated stock.", record.name))
                .why("Its zinc boils off as poisonous fume in the box, and a plated face takes no carbon.")
                .accepted("Strip it to bare steel first; then write the steel as what it is, by its certificate or as \"unknown mild steel\"."),
        );
    }
    match record.class {
        SteelClass::Tool | SteelClass::Stainless => list.push(
            Diag::stop("steel-not-for-case", format!("{} is not a steel for case hardening.", record.name))
                .why("It hardens through, or its skin keeps carbon out; packing it adds carbon where none is wanted and cracks it in the quench.")
                .accepted("Harden it by its own data sheet, or make the part of a case-hardening steel such as C15E, 1018 or 8620."),
        ),
        SteelClass::ThroughHardening => list.push(
            Diag::warn("steel-through-hardening", format!("{} hardens through without a case.", record.name))
                .why("A case on it gives a hard, brittle part with little compression in the skin.")
                .accepted("Ask the customer whether it should be quenched and tempered instead."),
        ),
        _ => {}
    }
    list
}

/// Carbon over which a steel is no case-hardening grade: theirs end at 0.25 %, and 0.30 leaves room
/// for a heat at the upper end. [trade-practice]
const CASE_GRADE_WT_PCT: f64 = 0.30;
/// The temper of a case where the job wishes no other. [trade-practice]
const USUAL_TEMPER_C: f64 = 175.0;

/// A steel whose own carbon quenches as hard as the limit that should end the case: then hardness
/// shows how deep the quench went and not how deep the carbon. Nothing is said of a total depth,
/// which ends where the carbon does.
#[must_use]
pub fn through(spec: &Spec, demand: &Demand, composition: &Composition) -> Option<Diag> {
    let carbon = composition.get(Element::C);
    if !matches!(demand.limit, DepthLimit::Hardness(_)) || carbon.to_wt_pct() <= CASE_GRADE_WT_PCT {
        return None;
    }
    let temper = spec
        .wishes
        .temper
        .unwrap_or(Temperature::from_c(USUAL_TEMPER_C));
    let quenched = martensite_hardness(carbon).value;
    let hard = tempered_martensite(quenched, carbon, temper, Span::from_h(2.0)).value;
    let limit = demand.limit_hv();
    (hard >= limit).then(|| {
        Diag::stop(
            "hardens-through",
            format!(
                "The steel's own {:.2} % carbon quenches and tempers to {:.0} HV, over the {:.0} HV that end the case.",
                carbon.to_wt_pct(),
                hard.to_hv(),
                limit.to_hv()
            ),
        )
        .why("Wherever the quench bites it is hard without a case: no case depth can be measured, no tough core is sure, and the carbon added makes it brittle and prone to crack.")
        .accepted("A case-hardening steel such as 8620, C15E or 1018; or ask the customer whether this one should be quenched and tempered without a case.")
    })
}

/// Findings about the depth wanted against what a pack can do.
#[must_use]
pub fn depth(demand: &Demand) -> Vec<Diag> {
    let mut list = Vec::new();
    if let Some(max) = demand.depth_max {
        let band = max - demand.depth_min;
        if band < Length::from_mm(BAND_LEAST_MM) - Length::from_um(5.0) {
            list.push(
                Diag::warn(
                    "band-narrow",
                    format!("The depth band is {:.2} mm ({:.3} in) wide.", band.to_mm(), band.to_in()),
                )
                .why("The spread inside one packed load is about 0.25 mm (0.010 in), so some parts may fall outside however good the plan is.")
                .accepted("Ask for a wider band, or prove the load with coupons from more places."),
            );
        }
    } else {
        list.push(
            Diag::note("depth-open", "The note sets no greatest depth.")
                .why("A case that grows too deep makes thin places brittle.")
                .accepted(
                    "The plan aims a little over the least; the section rule sets the greatest.",
                ),
        );
    }
    if demand.depth_min < Length::from_mm(SHALLOW_MM) {
        list.push(
            Diag::warn(
                "case-shallow",
                format!(
                    "The least case is {:.2} mm ({:.3} in).",
                    demand.depth_min.to_mm(),
                    demand.depth_min.to_in()
                ),
            )
            .why("Below 0.5 mm (0.020 in) heat-up and scatter of a pack are as large as the case.")
            .accepted("Expect a wide band; a gas or salt-bath case is the better fit."),
        );
    }
    list
}

/// The least thickness that two cases share: the body's section or a web that a feature leaves.
#[must_use]
pub fn least_section(spec: &Spec) -> (Length, String) {
    let body = (setup::section(spec.part.shape), "the section".to_owned());
    spec.part
        .features
        .iter()
        .filter(|feature| !feature.stays_soft)
        .filter_map(|feature| {
            feature
                .web
                .map(|web| (web, format!("the web at {}", feature.name)))
        })
        .fold(
            body,
            |least, next| if next.0 < least.0 { next } else { least },
        )
}

/// Whether a total depth per side is too much for the body's section. What features leave is seen
/// in two dimensions (see [`crate::edge`]).
#[must_use]
pub fn section(spec: &Spec, total: Length) -> Option<Diag> {
    share_of(total, setup::section(spec.part.shape), "the section")
}

/// The same for any section.
pub(crate) fn share_of(total: Length, section: Length, what: &str) -> Option<Diag> {
    let share = total / section;
    let seen = format!(
        "The total case would be {:.2} mm ({:.3} in) per side in {what} of {:.1} mm ({:.3} in): {:.0} % of it.",
        total.to_mm(),
        total.to_in(),
        section.to_mm(),
        section.to_in(),
        100.0 * share
    );
    if share > SECTION_STOP {
        Some(
            Diag::stop("cases-meet", seen)
                .why("Above a quarter per side the two cases leave no tough core between them; the part breaks like glass.")
                .accepted("A shallower case, a thicker section, or stop-off on one side."),
        )
    } else if share > SECTION_WARN {
        Some(
            Diag::warn("case-deep-for-section", seen)
                .why("Above a sixth per side little tough core is left.")
                .accepted("Ask whether a shallower case would do."),
        )
    } else {
        None
    }
}

/// Findings about features: what stays soft, what would be over-carburized.
#[must_use]
pub fn features(spec: &Spec) -> Vec<Diag> {
    let mut list = Vec::new();
    for feature in &spec.part.features {
        let name = &feature.name;
        if feature.stays_soft {
            list.push(
                Diag::warn("stays-soft", format!("{name} must stay soft."))
                    .why("Carbon goes wherever the compound reaches.")
                    .accepted("Copper plate it (25 µm or more, no pinholes), or leave stock on it deeper than the total case and cut it off after the box, before the quench. Prove it with a file after hardening."),
            );
            continue;
        }
        match feature.kind {
            FeatureKind::Thread => list.push(
                Diag::warn("thread-cased", format!("{name} is a thread and would be cased."))
                    .why("Thread crests take carbon from two sides and chip.")
                    .accepted("Ask whether it should stay soft; if so set stays_soft = true."),
            ),
            FeatureKind::SharpCorner => list.push(
                Diag::warn("sharp-corner", format!("{name} is a sharp corner."))
                    .why("Carbon enters from two sides and the quench is fiercest there: it chips or cracks.")
                    .accepted("Break the edge, 0.5 mm (0.020 in) or more, before packing."),
            ),
            FeatureKind::BlindHole | FeatureKind::Keyway => list.push(
                Diag::warn("hole", format!("{name} is a hole or slot that ends in the part."))
                    .why("It traps vapour in the quench and starts cracks.")
                    .accepted("Plug it with clay unless its wall must be hard; enter the bath so that it fills."),
            ),
            FeatureKind::Bore | FeatureKind::ThinWeb => {}
        }
    }
    list
}
