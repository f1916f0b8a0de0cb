//! What a microscope showed, and the standards a note calls: told, and only decided where the note
//! gives a number.

use casewright_job::evidence::{Network, Structure, What};
use casewright_terms::{Diag, Length};

use super::piece::{self, Need};
use super::{Bench, Quantity, Read, Standing, Value};

/// A skin without carbon that is of no account: a light polish takes it off. [trade-practice]
const SKIN_MM: f64 = 0.02;
/// Retained austenite from which it is worth a word: the wider of two classes. [trade-practice]
const AUSTENITE_PCT: f64 = 20.0;

/// Every structure.
pub(super) fn read(bench: &Bench<'_>, findings: &mut Vec<Diag>) -> Vec<Read> {
    let mut all = Vec::new();
    for (index, item) in bench.evidence.items.iter().enumerate() {
        let What::Structure(seen) = &item.what else {
            continue;
        };
        for diag in told(seen, bench) {
            findings.push(diag.at(item.place.clone()));
        }
        all.push(Read {
            item: index,
            name: item.name.clone(),
            specimen: item.specimen.clone(),
            quantity: Quantity::Structure,
            value: Value::Structure(seen.clone()),
            common: 0.0,
            standing: Standing::Indirect,
            left_out: piece::of(bench.evidence, item)
                .and_then(|p| piece::unfit(bench, p, Need::Finished)),
            how: seen
                .how
                .clone()
                .unwrap_or_else(|| "under the microscope".to_owned()),
            place: item.place.clone(),
        });
    }
    all
}

fn told(seen: &Structure, bench: &Bench<'_>) -> Vec<Diag> {
    let mut found = Vec::new();
    let units = bench.spec.units;
    if seen.network >= Some(Network::Broken) {
        found.push(
            Diag::warn("carbide-network", "Carbide lies along the grains of the case.")
                .why("It chips at corners and cracks under the wheel.")
                .accepted("Older compound, a double reheat, radii on the corners; light cuts when grinding this lot."),
        );
    }
    if seen
        .retained_austenite
        .is_some_and(|share| share.to_pct() > AUSTENITE_PCT)
    {
        found.push(
            Diag::warn(
                "austenite-much",
                "Much retained austenite is seen near the surface.",
            )
            .why("It reads soft on every scale, grows in service and burns under the wheel.")
            .accepted(
                "A coupon chilled below zero and tempered again: if it rises, it was austenite.",
            ),
        );
    }
    let skin = Length::from_mm(SKIN_MM);
    for (depth, code, words) in [
        (seen.decarburized, "skin-decarburized", "lost carbon"),
        (seen.white_layer, "white-layer", "is a white layer"),
    ] {
        if let Some(depth) = depth.filter(|depth| *depth > skin) {
            found.push(
                Diag::warn(
                    code,
                    format!("The skin {words} to {}.", depth.depth_text(units)),
                )
                .why("It is soft or brittle where the part wears.")
                .accepted(
                    "Stock to grind off that is deeper than the skin, or the parts cased again.",
                ),
            );
        }
    }
    found
}

/// Standards are named, never certified.
pub(super) fn standards(bench: &Bench<'_>) -> Option<Diag> {
    let called = &bench.spec.note.standards;
    (!called.is_empty()).then(|| {
        Diag::note(
            "standards-not-judged",
            format!("The note calls {}.", called.join(", ")),
        )
        .why("The clauses that are written in the note were judged; what else those texts ask was not.")
        .accepted("Somebody who holds the text goes through it.")
    })
}
