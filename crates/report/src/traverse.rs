//! The hardness traverse in words: how it is laid, and what is expected at each depth.

use casewright_plan::traverse::Traverse;
use casewright_terms::{Length, UnitSystem};

use crate::show;
use crate::story::force_name;

/// One indent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct IndentRow {
    /// From 1.
    pub number: usize,
    /// Depth in the job's unit, without the unit.
    pub depth: String,
    /// Row it stands in.
    pub row: usize,
    /// Hardness expected.
    pub expected: String,
    /// Band of it.
    pub band: String,
    /// Whether the case is expected to end between this indent and the next.
    pub ends_here: bool,
}

/// How it is laid, in a few sentences.
#[must_use]
pub fn sentences(t: &Traverse, units: UnitSystem) -> Vec<String> {
    let depth = |length: Length| show::depth(length, units).main;
    let limit = show::vickers(t.limit);
    let last = t.indents.len();
    let (a, b) = t.falls_between;
    let mut all = vec![
        format!(
            "Cut coupon {} across, mount, polish. {} times {last} indents at {}, each time at another place of the edge.",
            t.piece,
            t.bands,
            force_name(t.force)
        ),
        format!(
            "Stagger each traverse in {} rows, {} from row to row, so that no two indents stand nearer than {} (three diagonals in the softest place). Read every depth to ± {}.",
            t.rows,
            depth(t.row_distance),
            depth(t.spacing),
            fine(t.depth_accuracy, units)
        ),
        format!(
            "{limit} is expected at {}: between indents {} and {}. The case depth is the straight line between the last indent at or above {limit} and the first below it.",
            depth(t.case_depth.mid),
            a + 1,
            b + 1
        ),
    ];
    all.extend(t.notes.iter().cloned());
    all
}

/// An accuracy: a decimal more than a depth.
fn fine(length: Length, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => format!("{:.3} mm", length.to_mm()),
        UnitSystem::Inch => format!("{:.3} in", length.to_in()),
    }
}

/// The indents, by depth.
#[must_use]
pub fn rows(t: &Traverse, units: UnitSystem) -> Vec<IndentRow> {
    t.indents
        .iter()
        .enumerate()
        .map(|(i, indent)| IndentRow {
            number: i + 1,
            depth: match units {
                UnitSystem::Metric => format!("{:.2}", indent.depth.to_mm()),
                UnitSystem::Inch => format!("{:.4}", indent.depth.to_in()),
            },
            row: indent.row,
            expected: format!("{:.0}", indent.expected.mid.to_hv()),
            band: format!(
                "{:.0} to {:.0}",
                indent.expected.low.to_hv(),
                indent.expected.high.to_hv()
            ),
            ends_here: i == t.falls_between.0,
        })
        .collect()
}

/// The traverse as text.
#[must_use]
pub fn text(t: &Traverse, units: UnitSystem) -> String {
    let mut out = crate::text::Page::default();
    out.title("Hardness traverse of the coupon");
    for sentence in sentences(t, units) {
        out.hang(2, "", &sentence);
    }
    out.gap();
    out.line(&format!(
        "  {:>6}  {:>9}  {:>3}  {:>10}  band",
        "indent",
        format!("depth, {}", units.length_unit()),
        "row",
        "expect, HV"
    ));
    for row in rows(t, units) {
        let ends = if row.ends_here {
            "  <- the case ends below"
        } else {
            ""
        };
        out.line(&format!(
            "  {:>6}  {:>9}  {:>3}  {:>10}  {}{ends}",
            row.number, row.depth, row.row, row.expected, row.band
        ));
    }
    out.hang(2, "", &format!("[{}]", t.sources.join(", ")));
    out.finish()
}
