//! Values to be read off the pictures against depth: the same curves as a table, and where the
//! pictures' frame lies, so that a pointer on the paper finds its depth. Computes nothing new.

use casewright_plan::outcome::Prediction;
use casewright_terms::{Length, UnitSystem};

use super::profile::{FRAME_LEFT, FRAME_RIGHT, WIDTH, at, depth_end_mm};
use crate::show::{self, Shown};

/// Rows of the table, the surface and the end of the picture included.
const ROWS: usize = 41;

/// Where the depth axis lies on the paper of each picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Width of the paper.
    pub width: f64,
    /// Place of the surface.
    pub left: f64,
    /// Place of the deepest that is drawn.
    pub right: f64,
    /// How deep that is, in mm.
    pub end_mm: f64,
}

/// One depth.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Depth from the surface as hardened, in mm.
    pub depth_mm: f64,
    /// The same in words.
    pub depth: Shown,
    /// Carbon.
    pub carbon: String,
    /// Hardness.
    pub hardness: String,
    /// Its band.
    pub range: String,
    /// Martensite, retained austenite, bainite, pearlite, ferrite, carbide.
    pub phases: [String; 6],
}

/// The frame of the pictures of carbon, hardness and phases.
#[must_use]
pub fn frame(p: &Prediction) -> Frame {
    Frame {
        width: WIDTH,
        left: FRAME_LEFT,
        right: FRAME_RIGHT,
        end_mm: depth_end_mm(p),
    }
}

/// The curves as a table, evenly spaced from the surface to the end of the pictures.
#[must_use]
pub fn rows(p: &Prediction, units: UnitSystem) -> Vec<Row> {
    let profile = &p.profile;
    let end_mm = depth_end_mm(p);
    (0..ROWS)
        .map(|row| {
            let depth_mm = end_mm * row as f64 / (ROWS - 1) as f64;
            let read = |ys: &[f64]| at(&profile.depth_mm, ys, depth_mm);
            let percent = |ys: &[f64]| format!("{:.0} %", 100.0 * read(ys));
            Row {
                depth_mm,
                depth: show::depth(Length::from_mm(depth_mm), units),
                carbon: format!("{:.2} wt%", read(&profile.carbon_wt_pct)),
                hardness: format!("{:.0} HV", read(&profile.hardness_hv)),
                range: format!(
                    "{:.0} to {:.0} HV",
                    read(&profile.hardness_low_hv),
                    read(&profile.hardness_high_hv)
                ),
                phases: [
                    percent(&profile.martensite),
                    percent(&profile.retained_austenite),
                    percent(&profile.bainite),
                    percent(&profile.pearlite),
                    percent(&profile.ferrite),
                    percent(&profile.carbide),
                ],
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    #[test]
    fn the_table_says_what_the_curves_say() {
        let (_, report) = fixture::pawls(4);
        let p = report.prediction.expect("a prediction");
        let rows = rows(&p, UnitSystem::Metric);
        assert_eq!(rows.len(), ROWS);
        assert_eq!(
            rows[0].hardness,
            format!("{:.0} HV", p.profile.hardness_hv[0])
        );
        let frame = frame(&p);
        assert!(frame.left < frame.right && frame.right < frame.width);
        // The last row stands where the picture ends, to the dust of one product.
        assert!((rows[ROWS - 1].depth_mm - frame.end_mm).abs() < 1e-12 * frame.end_mm);
    }
}
