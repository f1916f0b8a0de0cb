//! What an indenter does: sizes and depths of indents, how thick a case a reading needs, what a
//! round does to a reading, and where indents may stand.
//!
//! **What** Geometry of Vickers, Knoop, Brinell and Rockwell indents; least case for a Rockwell
//! reading; corrections on cylinders; rules of spacing and of a traverse.
//!
//! **Equation** HV = 1.8544 F/d², depth d/7, layer 1.5 d; HK = 14.229 F/d², depth d/30;
//! HBW = 2F / [πD (D − √(D² − d²))], depth F/(πD·HBW); HRC, HRA, HRD = 100 − h/0.002 mm; HRB =
//! 130 − h/0.002 mm; HR15N, 30N, 45N = 100 − h/0.001 mm. Depth under full load of the diamond cone
//! (tip radius 0.2 mm, half angle 60°): contact radius a = √(F/(π HV)), depth
//! 0.2 − √(0.04 − a²) on the tip, a cot 60° − 0.2 (1/sin 60° − 1) on the cone.
//!
//! **Symbols** F in kgf, d diagonal or diameter (mm), D ball (mm), h recorded depth (mm).
//!
//! **Source** `iso-6507`, `iso-4545`, `iso-6506`, `iso-6508` for the definitions (recalled);
//! `astm-e18` for least thickness (recalled) and cylinders (seen in a chart; N scales recalled); `trade-practice` for
//! the 0.030 in floor of the C scale.
//!
//! **Valid for** Homogeneous material; least case from 0.15 to 1.02 mm; cylinders from 6.4 mm.
//!
//! **Weak where** The depth under load takes the mean pressure as HV and forgets elastic recovery: a
//! guide to 10 %. A case is not homogeneous, so the table of thickness is the least that is wanted,
//! not a promise. Corrections over 3 points are for guidance only.
//!
//! **Checked by** `val_geometry`, `val_least_case_at_sixty`, `val_cylinder_cells`,
//! `small_rounds_are_refused`, rows `indentation-*`.

mod cylinder;
#[cfg(test)]
mod tests;
mod thickness;

use casewright_terms::{Force, Hardness, Length, Remark, Scale, Vickers};

use crate::numerics::fun;

pub use cylinder::{LEAST_DIAMETER_MM, cylinder_correction};
pub use thickness::{CaseForScale, least_case, thickness_by_depth_rule};

/// Keys of the sources behind this law.
pub const SOURCES: [&str; 7] = [
    "iso-6507",
    "iso-4545",
    "iso-6506",
    "iso-6508",
    "astm-e18",
    "astm-e384",
    "iso-18203",
];

/// Diagonal of a Vickers indent. `None` where hardness or force is not positive.
#[must_use]
pub fn vickers_diagonal(hardness: Vickers, force: Force) -> Option<Length> {
    // [iso-6507]: 2 sin(136°/2) = 1.8544 in kgf and mm
    root_of_ratio(1.8544 * force.to_kgf(), hardness.to_hv())
}

/// Depth of a Vickers indent: a seventh of its diagonal.
#[must_use]
pub fn vickers_depth(hardness: Vickers, force: Force) -> Option<Length> {
    Some(vickers_diagonal(hardness, force)? / 7.0)
}

/// Test forces that give the Vickers scales their names, HV0.1 to HV100, in kgf. [iso-6507]
pub const VICKERS_FORCES_KGF: [f64; 13] = [
    0.1, 0.2, 0.3, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 20.0, 30.0, 50.0, 100.0,
];

/// The same of the Knoop scales that a case is read with, in kgf. [iso-4545]
pub const KNOOP_FORCES_KGF: [f64; 6] = [0.1, 0.2, 0.3, 0.5, 1.0, 2.0];

/// Name of a scale with its test force in kgf, as HV0.5 or HK0.1. [iso-6507], [iso-4545]
#[must_use]
pub fn designation(scale: Scale, force: Force) -> String {
    format!(
        "{scale}{}",
        casewright_terms::quantity::format_trimmed(force.to_kgf(), 3)
    )
}

/// Thinnest layer that a Vickers indent may be made in: one and a half diagonals. `None` where
/// hardness or force is not positive. [iso-6507]
#[must_use]
pub fn vickers_layer(hardness: Vickers, force: Force) -> Option<Length> {
    Some(vickers_diagonal(hardness, force)? * 1.5)
}

/// Vickers hardness from a diagonal. `None` where diagonal or force is not positive.
#[must_use]
pub fn vickers_from_diagonal(diagonal: Length, force: Force) -> Option<Vickers> {
    let d = diagonal.to_mm();
    (d > 0.0 && force.to_kgf() > 0.0)
        .then(|| Vickers::checked(1.8544 * force.to_kgf() / (d * d)))
        .flatten()
}

/// Long diagonal of a Knoop indent. `None` where hardness or force is not positive.
#[must_use]
pub fn knoop_diagonal(hk: f64, force: Force) -> Option<Length> {
    // [iso-4545]
    root_of_ratio(14.229 * force.to_kgf(), hk)
}

/// Depth of a Knoop indent: a thirtieth of its long diagonal.
#[must_use]
pub fn knoop_depth(hk: f64, force: Force) -> Option<Length> {
    Some(knoop_diagonal(hk, force)? / 30.0)
}

/// Depth of a Brinell indent. `None` where a number is not positive.
#[must_use]
pub fn brinell_depth(hbw: f64, force: Force, ball: Length) -> Option<Length> {
    // [iso-6506]: HBW is force over the cap's area π D h
    let depth_mm = force.to_kgf() / (std::f64::consts::PI * ball.to_mm() * hbw);
    (depth_mm.is_finite() && depth_mm > 0.0).then(|| Length::from_mm(depth_mm))
}

/// Diameter of a Brinell indent. `None` where a number is not positive or the ball would sink in
/// past its middle.
#[must_use]
pub fn brinell_diameter(hbw: f64, force: Force, ball: Length) -> Option<Length> {
    let depth = brinell_depth(hbw, force, ball)?.to_mm();
    let d = ball.to_mm();
    (depth <= 0.5 * d).then(|| Length::from_mm(2.0 * fun::sqrt(depth * (d - depth))))
}

fn root_of_ratio(load: f64, hardness: f64) -> Option<Length> {
    let square = load / hardness;
    (square.is_finite() && square > 0.0 && load > 0.0).then(|| Length::from_mm(fun::sqrt(square)))
}

/// Test force of a Rockwell scale.
#[must_use]
pub fn rockwell_force(scale: Scale) -> Option<Force> {
    // [iso-6508]
    let kgf = match scale {
        Scale::Hrc => 150.0,
        Scale::Hrb | Scale::Hrd => 100.0,
        Scale::Hra => 60.0,
        Scale::Hr15n => 15.0,
        Scale::Hr30n => 30.0,
        Scale::Hr45n => 45.0,
        Scale::Hv | Scale::Hk | Scale::Hbw => return None,
    };
    Some(Force::from_kgf(kgf))
}

/// Recorded depth of a Rockwell reading, `None` for other scales and for numbers the scale cannot
/// show.
#[must_use]
pub fn rockwell_depth(reading: Hardness) -> Option<Length> {
    // [iso-6508]
    let (full, unit_mm) = match reading.scale {
        Scale::Hrc | Scale::Hra | Scale::Hrd => (100.0, 0.002),
        Scale::Hrb => (130.0, 0.002),
        Scale::Hr15n | Scale::Hr30n | Scale::Hr45n => (100.0, 0.001),
        Scale::Hv | Scale::Hk | Scale::Hbw => return None,
    };
    (0.0..=full)
        .contains(&reading.value)
        .then(|| Length::from_mm((full - reading.value) * unit_mm))
}

/// Depth of the diamond cone under its full load in uniform material of this hardness; `None` for
/// scales that have another indenter.
#[must_use]
pub fn depth_under_load(scale: Scale, hardness: Vickers) -> Option<Length> {
    if scale == Scale::Hrb || hardness.to_hv() <= 0.0 {
        return None;
    }
    let force = rockwell_force(scale)?;
    Some(Length::from_mm(cone_depth_mm(
        force.to_kgf(),
        hardness.to_hv(),
    )))
}

/// Tip radius of the diamond cone. [iso-6508]
const TIP_MM: f64 = 0.2;

fn cone_depth_mm(force_kgf: f64, pressure_kgf_mm2: f64) -> f64 {
    let radius = fun::sqrt(force_kgf / (std::f64::consts::PI * pressure_kgf_mm2));
    // The tip meets the cone of 60° half angle where its own slope does: at R cos 60°.
    if radius <= 0.5 * TIP_MM {
        TIP_MM - fun::sqrt(TIP_MM * TIP_MM - radius * radius)
    } else {
        let root3 = fun::sqrt(3.0);
        radius / root3 - TIP_MM * (2.0 / root3 - 1.0)
    }
}

/// Diameter of the Rockwell indent under load, for the spacing of readings.
#[must_use]
pub fn rockwell_indent_diameter(scale: Scale, hardness: Vickers) -> Option<Length> {
    if scale == Scale::Hrb || hardness.to_hv() <= 0.0 {
        return None;
    }
    let force = rockwell_force(scale)?;
    let square = force.to_kgf() / (std::f64::consts::PI * hardness.to_hv());
    Some(Length::from_mm(2.0 * fun::sqrt(square)))
}

/// Least distances of Rockwell readings, in indent diameters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RockwellSpacing {
    /// Centre to centre.
    pub between_diameters: f64,
    /// Centre to edge.
    pub to_edge_diameters: f64,
}

/// [iso-6508] and [astm-e18]: three and two and a half diameters.
pub const ROCKWELL_SPACING: RockwellSpacing = RockwellSpacing {
    between_diameters: 3.0,
    to_edge_diameters: 2.5,
};

/// Where the indents of a Vickers traverse may stand.
#[derive(Clone, Debug, PartialEq)]
pub struct TraversePlan {
    /// Diagonal of an indent at the hardest place.
    pub diagonal: Length,
    /// Least depth of the first indent.
    pub first_depth: Length,
    /// Least distance of neighbours, centre to centre, along the zig-zag.
    pub spacing: Length,
    /// Largest step in depth between successive indents.
    pub depth_step: Length,
    /// Width of the band that the zig-zag stays in.
    pub band_width: Length,
    /// Accuracy wanted of each depth, plus or minus.
    pub depth_accuracy: Length,
    /// Fewest bands.
    pub bands: usize,
    /// Notes, such as a force outside the standard's.
    pub remarks: Vec<Remark>,
}

/// Rules of a traverse with this force on material as soft as `softest` (where indents are widest).
/// `None` where hardness or force is not positive.
#[must_use]
pub fn traverse_plan(softest: Vickers, force: Force) -> Option<TraversePlan> {
    let diagonal = vickers_diagonal(softest, force)?;
    let mut remarks = Vec::new();
    // [iso-18203]: 0.98 to 9.8 N; a hundredth of a newton of room for HV0.1 and HV1 by name.
    if !(0.97..=9.82).contains(&force.to_n()) {
        remarks.push(Remark::new(
            "traverse-force",
            format!(
                "{:.2} N is outside the 0.98 to 9.8 N (HV0.1 to HV1) of a case-depth traverse.",
                force.to_n()
            ),
        ));
    }
    Some(TraversePlan {
        diagonal,
        // [iso-6507] 2.5 d from the edge; [iso-18203] not nearer than 0.05 mm in practice
        first_depth: (diagonal * 2.5).max(Length::from_mm(0.05)),
        // [iso-6507] 3 d in steel; [astm-e384] would take 2.5 d
        spacing: diagonal * 3.0,
        depth_step: Length::from_mm(0.1),
        band_width: Length::from_mm(1.5),
        depth_accuracy: Length::from_um(25.0),
        bands: 2,
        remarks,
    })
}
