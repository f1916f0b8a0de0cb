//! What a piece may prove: whether it is of the lot's steel and went through the lot's heats.

use casewright_job::evidence::{Evidence, Item, Specimen, SpecimenKind, State};
use casewright_job::spec::{Spec, Steel};
use casewright_terms::Diag;

use super::Bench;

/// What must be true of a piece so that a reading on it counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Need {
    /// Cased with the lot: a ring, a weight.
    Cased,
    /// Cased, hardened and tempered with the lot: hardness and depth of the case.
    Finished,
    /// Hardened and tempered with the lot: core.
    Core,
}

/// Why readings on this piece do not count for the lot; `None` where they do.
pub(super) fn unfit(bench: &Bench<'_>, piece: &Specimen, need: Need) -> Option<String> {
    let mark = &piece.mark;
    if let Some(why) = other_steel(bench.spec, piece) {
        return Some(why);
    }
    if need != Need::Core {
        match (piece.kind, piece.carburized_with_lot) {
            (SpecimenKind::Control, _) => {
                return Some(format!(
                    "{mark} is an uncased control; it shows the core only"
                ));
            }
            (_, Some(true)) => {}
            (_, Some(false)) => {
                return Some(format!("{mark} was not in the box with the work"));
            }
            (_, None) => {
                return Some(format!(
                    "it is not said whether {mark} was in the box with the work (carburized_with_lot)"
                ));
            }
        }
    }
    if need == Need::Cased {
        return None;
    }
    match piece.hardened_with_lot {
        Some(true) => {}
        Some(false) => {
            return Some(format!(
                "{mark} did not go through the same reheat, quench and temper as the work"
            ));
        }
        None => {
            return Some(format!(
                "it is not said whether {mark} was hardened with the work (hardened_with_lot)"
            ));
        }
    }
    match piece.state {
        State::Tempered => None,
        State::Quenched => Some(format!(
            "{mark} was read before tempering, which takes one to three points of HRC"
        )),
        State::Carburized => Some(format!("{mark} was read before it was hardened")),
    }
}

/// Whether the piece is of another steel or heat than the job says.
fn other_steel(spec: &Spec, piece: &Specimen) -> Option<String> {
    if piece.kind == SpecimenKind::Part && piece.heat.is_none() && piece.steel.is_none() {
        return None;
    }
    if let (Some(own), Some(heat)) = (&spec.heat, &piece.heat)
        && !own.eq_ignore_ascii_case(heat)
    {
        return Some(format!(
            "{} is of heat {heat}, the work of heat {own}: mixed heats do not share one result",
            piece.mark
        ));
    }
    let own = match &spec.steel {
        Steel::Grade { name, .. } => Some(name.as_str()),
        Steel::Chemistry { grade, label, .. } => grade.as_deref().or(Some(label.as_str())),
    };
    let (own, steel) = (own?, piece.steel.as_deref()?);
    let known = |name: &str| casewright_physics::matter::steel::find(name).map(|r| r.name.clone());
    let same = own.eq_ignore_ascii_case(steel)
        || matches!((known(own), known(steel)), (Some(a), Some(b)) if a == b);
    (!same).then(|| {
        format!(
            "{} is of {steel}, the work of {own}: another steel cases and hardens otherwise",
            piece.mark
        )
    })
}

/// The piece of an item; the reader has seen to it that there is one.
pub(super) fn of<'e>(evidence: &'e Evidence, item: &Item) -> Option<&'e Specimen> {
    evidence.specimen(&item.specimen)
}

/// What is to be known about the pieces.
pub(super) fn findings(bench: &Bench<'_>) -> Vec<Diag> {
    let mut found = Vec::new();
    for piece in &bench.evidence.specimens {
        if let Some(why) = other_steel(bench.spec, piece) {
            found.push(
                Diag::warn("piece-other-steel", format!("{}.", capital(&why)))
                    .why("Its readings are shown and do not count for the lot.")
                    .accepted("A piece of the same heat, or the right heat number in the file.")
                    .at(piece.place.clone()),
            );
        } else if piece.kind != SpecimenKind::Part
            && piece.heat.is_none()
            && bench.spec.heat.is_some()
        {
            found.push(
                Diag::note(
                    "piece-heat-unknown",
                    format!("The heat of {} is not given.", piece.mark),
                )
                .why("Whether it is the steel of the work rests on somebody's word.")
                .accepted("heat = \"…\" from the bar it was cut from.")
                .at(piece.place.clone()),
            );
        }
    }
    found
}

/// A sentence's first letter.
pub(super) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters
        .next()
        .map(|first| first.to_uppercase().chain(letters).collect())
        .unwrap_or_default()
}
