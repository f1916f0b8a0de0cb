//! What the hardening kinetics are judged by: end-quench bands, calculated hardenability of plain
//! steels, critical rates, blank-hardened bars. The noses of the atlas stand in `laws::kinetics`.
//!
//! The bands and the hardenability of plain steels are also what the refit was made on
//! (`hardenability/tests.rs`), so their rows show its residuals; with each grade left out in turn the
//! numbers move by a tenth and 91 of 100 points stay inside, see `docs/theory/decomposition.md`.

use casewright_terms::{Length, SourceKey};

use super::{Kind, Row};
use crate::law::decomposition::Refit;

mod evidence;
mod judge;
#[cfg(test)]
mod tests;

use evidence::{BLANK_HARDENED, CRITICAL, PLAIN, bands, held_back, plain};

/// Rows of this family.
#[must_use]
pub fn rows() -> Vec<Row> {
    [
        band_rows(),
        held_back_rows(),
        first_sixteenth(),
        plain_rows(),
        critical_rows(),
        blank_rows(),
    ]
    .concat()
}

/// What the rows of one check share.
struct Check {
    id: &'static str,
    source: SourceKey,
    unit: &'static str,
    reason: &'static str,
    kind: Kind,
}

impl Check {
    fn row(&self, number: usize, what: String, values: (f64, f64), tolerance: f64) -> Row {
        Row {
            id: format!("{}-{}", self.id, number + 1),
            what,
            source: self.source,
            published: values.0,
            computed: values.1,
            unit: self.unit,
            tolerance,
            reason: self.reason,
            kind: self.kind,
        }
    }
}

fn band_rows() -> Vec<Row> {
    let source = |name| {
        if name == "16MnCr5" {
            "en-10084"
        } else {
            "sae-j1268"
        }
    };
    let mut rows = Vec::new();
    for (i, band) in bands().iter().enumerate() {
        let score = judge::band(band, Refit::USED);
        let all = band.points.len();
        let inside = score.as_ref().map_or(0, |s| s.inside);
        rows.push(
            Check {
                id: "end-quench-inside",
                source: source(band.name),
                unit: "1",
                reason: "eight of ten points of the middle chemistry, half a unit for rounding",
                kind: Kind::Validation,
            }
            .row(
                i,
                format!(
                    "{}: {inside} of {all} points inside the band, {:.1} HRC from its middle",
                    band.name,
                    score.as_ref().map_or(f64::MAX, |s| s.rms_hrc)
                ),
                (1.0, inside as f64 / all as f64),
                0.2,
            ),
        );
        // Half the widest place of the band: what a heat inside it may be off.
        let widest = band
            .points
            .iter()
            .filter_map(|(_, high, low)| Some(high - (*low)?))
            .fold(0.0, f64::max);
        rows.push(
            Check {
                id: "end-quench-rms",
                source: source(band.name),
                unit: "HRC",
                reason: "half the band's widest place: what a heat inside it may be off",
                kind: Kind::Validation,
            }
            .row(
                i,
                format!("{}: root mean square from the band's middle", band.name),
                (0.0, score.map_or(f64::MAX, |s| s.rms_hrc)),
                widest / 2.0,
            ),
        );
    }
    rows
}

/// Grades that no fit has seen, by the mean distance from the band's middle.
fn held_back_rows() -> Vec<Row> {
    let mut rows = Vec::new();
    for (i, band) in held_back().iter().enumerate() {
        let score = judge::band(band, Refit::USED);
        let (inside, rms) = score.map_or((0, f64::MAX), |s| (s.inside, s.rms_hrc));
        let all = band.points.len();
        rows.push(
            Check {
                id: "end-quench-held-back",
                source: "sae-j1268",
                unit: "HRC",
                reason: "half the width of the widest band there is, 17 HRC: a grade no fit has seen \
                         may stand at an edge",
                kind: Kind::Validation,
            }
            .row(
                i,
                format!(
                    "{}, held back, recalled: root mean square from the band's middle; {inside} of {all} points inside",
                    band.name
                ),
                (0.0, rms),
                8.5,
            ),
        );
    }
    rows
}

fn first_sixteenth() -> Vec<Row> {
    let ours = judge::end_quench_hrc(
        &plain(0.18, 0.75),
        Refit::USED,
        925.0,
        &[Length::from_in(1.0 / 16.0)],
    );
    let check = Check {
        id: "end-quench-1018",
        source: "astm-a255",
        unit: "HRC",
        reason: "the standard takes the first sixteenth for martensite, at 0.18 % C of 43 HRC; a band \
                 is 7 HRC wide there",
        kind: Kind::CrossCheck,
    };
    let ours = ours.map_or(f64::MAX, |hrc| hrc[0]);
    vec![check.row(
        0,
        "1018 at the first sixteenth".to_owned(),
        (43.0, ours),
        4.0,
    )]
}

fn plain_rows() -> Vec<Row> {
    let check = Check {
        id: "hardenability-plain",
        source: "grossmann-1942",
        unit: "ln(times needed ÷ ours)",
        reason: "diameters by factors are good to 15 %, times go with their square: 0.3; as much again \
                 for the latent heat that the ideal round is computed without",
        kind: Kind::CrossCheck,
    };
    let row = |(i, at): (usize, &(f64, f64))| {
        let ours = judge::ideal_curve(at.0, at.1)
            .map_or(f64::MAX, |curve| judge::plain_ln(Refit::USED, *at, &curve));
        let what = format!(
            "{:.2} C {:.2} Mn: half martensite in the middle of the ideal round",
            at.0, at.1
        );
        check.row(i, what, (0.0, ours), 0.6)
    };
    PLAIN.iter().enumerate().map(row).collect()
}

fn critical_rows() -> Vec<Row> {
    let check = Check {
        id: "critical-rate",
        source: "atlas-it-diagrams",
        unit: "ln(times needed ÷ ours)",
        reason: "rates are recalled to 30 %, and the last percent of another phase is seen or not: a \
                 factor of 2.7",
        kind: Kind::CrossCheck,
    };
    let row = |(i, (name, rate, from_c)): (usize, &(&str, f64, f64))| {
        let steel = super::laws::nominal(name);
        let ours = judge::critical_ln(Refit::USED, &steel, *rate, *from_c);
        let what = format!("{name}: 99 % martensite at {rate} K/s");
        check.row(i, what, (0.0, ours), 1.0)
    };
    CRITICAL.iter().enumerate().map(row).collect()
}

fn blank_rows() -> Vec<Row> {
    let check = Check {
        id: "blank-hardened",
        source: "din-17210",
        unit: "HV",
        reason: "half the printed range, and 25 HV for strength to hardness and for the incidental \
                 elements of a melt",
        kind: Kind::CrossCheck,
    };
    let row = |(i, (diameter_mm, middle, half)): (usize, &(f64, f64, f64))| {
        let steel = plain(0.15, 0.45);
        let ours = judge::blank_hardened_hv(Refit::USED, &steel, *diameter_mm).unwrap_or(f64::MAX);
        let what =
            format!("C15E, {diameter_mm} mm round from 900 °C in stirred water, half way in");
        check.row(i, what, (*middle, ours), half + 25.0)
    };
    BLANK_HARDENED.iter().enumerate().map(row).collect()
}
