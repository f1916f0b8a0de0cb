//! `steel --cold`: what a sub-zero treatment does to the hardened case of one steel.

use casewright_job::units;
use casewright_physics::law::hardness_conversion::hrc_of;
use casewright_physics::model::cold_card::{CaseState, ColdCard, cold_card};
use casewright_physics::setup::SubZero;
use casewright_terms::quantity::format_trimmed;
use casewright_terms::{Composition, Diag, Span, UnitSystem, WeightPercent};

use super::words;
use crate::answer::{Texts, Trouble};
use crate::show::wrap::hanging;

/// Usual wait: as soon as the parts are cold [trade-practice].
pub(crate) const WAIT_DEFAULT: &str = "1h";

/// Reads the treatment as typed.
///
/// # Errors
/// What is no temperature and what is no time.
pub(crate) fn read(cold: &str, wait: &str) -> Result<SubZero, Vec<Diag>> {
    let temperature = words::temperature(cold).map_err(|diag| vec![diag]);
    let wait = match units::read::<Span>(wait) {
        Ok(written) if written.value >= Span::ZERO => Ok(written.value),
        Ok(_) => Err(vec![
            Diag::stop("wait-negative", format!("A wait of {wait} is none."))
                .accepted("Zero or more, as in 30min or 1h."),
        ]),
        Err(slip) => Err(vec![*slip.diag]),
    };
    match (temperature, wait) {
        (Ok(temperature), Ok(wait)) => Ok(SubZero { temperature, wait }),
        (temperature, wait) => Err([temperature.err(), wait.err()]
            .into_iter()
            .flatten()
            .flatten()
            .collect()),
    }
}

/// Treats the case.
///
/// # Errors
/// A treatment that is none, a steel that the laws do not reach.
pub(crate) fn treat(case: &Composition, treatment: SubZero) -> Result<ColdCard, Trouble> {
    cold_card(case, treatment).map_err(|remark| Trouble::Input {
        diags: vec![
            Diag::stop(remark.code, remark.text)
                .why("A number for it would be made up.")
                .accepted("A low-alloy case and a cold between -196C and 25C, as in -75C."),
        ],
        texts: Texts::default(),
    })
}

/// The treatment for a person.
pub(crate) fn told(card: &ColdCard, carbon: WeightPercent) -> String {
    let state = |state: &CaseState| {
        let hrc = hrc_of(state.hardness).map_or_else(String::new, |hrc| format!(", {hrc:.0} HRC"));
        format!(
            "{:>3.0} % austenite, {:.0} HV{hrc}",
            state.retained_austenite.to_pct(),
            state.hardness.to_hv()
        )
    };
    let mut out = format!(
        "\nCold treatment of a case of {} wt% C, all dissolved, at {} after {}\n",
        format_trimmed(carbon.to_wt_pct(), 3),
        card.treatment.temperature.text_both(UnitSystem::Metric),
        card.treatment.wait.text()
    );
    out.push_str(&format!(
        "  as quenched to 25 °C (77 °F)  {}\n",
        state(&card.before)
    ));
    out.push_str(&format!(
        "  after the cold                {}\n",
        state(&card.after)
    ));
    for remark in &card.remarks {
        out.push_str(&hanging("▲ ", &remark.text));
    }
    out
}
