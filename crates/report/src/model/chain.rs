//! The depth chain in rows: from the note's depth to the depth aimed at, then face by face what the
//! grinder may take.

use casewright_job::note::reading::Stage;
use casewright_job::spec::Spec;
use casewright_plan::chain::{self, Face};
use casewright_plan::outcome::{DepthChain, DepthLimit, Prediction};
use casewright_terms::{Length, UnitSystem};

use super::parts::ChainRow;
use crate::show::{self, Shown};

pub(super) fn rows(
    depth: &DepthChain,
    spec: &Spec,
    prediction: Option<&Prediction>,
) -> Vec<ChainRow> {
    let units = spec.units;
    // Where the note's depth holds before grinding, what is left is a result and no wish.
    let finish = match spec.note.stage {
        Stage::BeforeGrind => "Depth left after grinding",
        Stage::AfterGrind | Stage::Unstated => "Finished depth the note asks",
    };
    let limit = match depth.limit {
        DepthLimit::Hardness(h) => h.to_string(),
        DepthLimit::CoreCarbon => "core carbon + 0.04 wt%".to_owned(),
    };
    let stock = if depth.stock.0 == depth.stock.1 {
        show::depth(depth.stock.1, units)
    } else {
        show::depth_range(Some(depth.stock.0), Some(depth.stock.1), units)
    };
    let mut all: Vec<ChainRow> = [
        ("Depth is measured to", Shown::plain(limit)),
        (
            finish,
            show::depth_range(Some(depth.finish_min), depth.finish_max, units),
        ),
        ("+ stock removed per side", stock),
        (
            "± scatter in the load, one way",
            show::depth(depth.scatter, units),
        ),
        (
            "= depth to make, before grinding",
            show::depth_range(Some(depth.make_min), depth.make_max, units),
        ),
        ("Aim", show::depth(depth.aim, units)),
    ]
    .into_iter()
    .map(|(what, value)| ChainRow {
        what: what.to_owned(),
        value,
    })
    .collect();
    let followed = chain::faces(spec, depth, prediction);
    all.extend(
        followed
            .faces
            .iter()
            .map(|face| one_face(face, followed.predicted, units)),
    );
    all
}

/// One face: what comes off, what is left, how far the wheel may go.
fn one_face(face: &Face, predicted: bool, units: UnitSystem) -> ChainRow {
    let d = |depth: Length| depth.depth_text(units);
    let bow = if face.bow > Length::ZERO {
        format!(" ± {} of bow", d(face.bow))
    } else {
        String::new()
    };
    let made = if predicted { "as expected" } else { "as aimed" };
    let least = face.least.map_or_else(String::new, |least| {
        format!(
            "; at least {} off where it comes out at its high end, or too much is left",
            d(least)
        )
    });
    ChainRow {
        what: format!("Grinding {}", face.face),
        value: Shown::plain(format!(
            "{}{bow} off leaves {} ({} to {}); never more than the coupon's depth less {}: {} if made {made}, {} at its low end{least}",
            d(face.stock),
            d(face.left.mid),
            d(face.left.low),
            d(face.left.high),
            d(face.keep),
            d(face.most.mid),
            d(face.most.low),
        )),
    }
}
