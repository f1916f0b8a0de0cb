//! What each hardness scale would read on a layered case.
//!
//! Contact model: the indenter under its full load feels the material to ten times its depth
//! (fifteen for the ball); the reading is the conversion of the mean hardness of that zone. The
//! weight falls as (1 − z/Z)² from the surface to the zone's end Z: an assumption
//! ([tester-weight-assumed]) chosen so that a case as thick as the standard's least thickness at
//! 60 HRC reads about 1 HRC low, which is what that table is for; a straight fall would make it
//! 3 HRC. On uniform material the conversion comes back exactly. It does not model the ridge of a
//! soft layer, adhesion of thin layers or a bending part. Vickers and Knoop are read with any test
//! force, the Vickers layer being no thinner than one and a half diagonals [iso-6507].

use casewright_terms::{Force, Hardness, Length, Remark, Scale, SourceKey, Vickers};

use crate::law::hardness_conversion::scale_of;
use crate::law::indentation::{
    self, brinell_depth, cylinder_correction, depth_under_load, designation, knoop_depth,
    knoop_diagonal, least_case, rockwell_force, vickers_depth, vickers_diagonal, vickers_layer,
};
use crate::run::Layers;

/// Zone of influence over depth under load, diamond.
const DIAMOND_ZONE: f64 = 10.0;
/// The same for balls.
const BALL_ZONE: f64 = 15.0;
/// Points of the mean over the zone.
const POINTS: usize = 60;
/// A layer counts as case while it is as hard as this, or as nine tenths of the surface.
const CASE_HV: f64 = 550.0;
/// Forces where a scale's name leaves them open: HV 1, HK 0.5, HBW 10/3000.
pub const VICKERS_KGF: f64 = 1.0;
/// See [`VICKERS_KGF`].
pub const KNOOP_KGF: f64 = 0.5;
/// A diagonal shorter than this is measured with doubt: the standard's tables begin here. [iso-6507]
const LEAST_DIAGONAL_MM: f64 = 0.020;
/// What an eye and a good microscope miss of a diagonal, both ends together, in mm. [trade-practice]
const DIAGONAL_DOUBT_MM: f64 = 0.0005;
const BRINELL_KGF: f64 = 3000.0;
const BRINELL_BALL_MM: f64 = 10.0;
const ROCKWELL_BALL_MM: f64 = 1.5875;

/// What a tester would show, and whether that is a reading of the case.
#[derive(Clone, Debug, PartialEq)]
pub struct TesterReading {
    /// The number on the dial, without round correction; `None` where the scale has none.
    pub reading: Option<f64>,
    /// Whether the number may be used as the hardness of the surface.
    pub valid: bool,
    /// Least uniform case this scale can read at this hardness, where its table reaches.
    pub least_case: Option<Length>,
    /// Add this to a reading taken on the round; `None` on a flat or where no table reaches.
    pub round_correction: Option<f64>,
    /// Why it is valid or not, in a sentence.
    pub why: String,
    /// Notes about validity.
    pub remarks: Vec<Remark>,
}

/// Keys of the sources of the model.
#[must_use]
pub fn sources() -> Vec<SourceKey> {
    let mut keys = indentation::SOURCES.to_vec();
    keys.extend(crate::law::hardness_conversion::SOURCES);
    keys.push("tester-weight-assumed");
    keys
}

/// What `scale` would read on the case after `ground` has been removed from the surface.
///
/// `curvature_diameter` is the diameter of a round surface; `None` for a flat.
#[must_use]
pub fn would_read(
    layers: &Layers,
    scale: Scale,
    ground: Length,
    curvature_diameter: Option<Length>,
) -> TesterReading {
    let force = usual_force(scale);
    read(layers, Tester { scale, force }, ground, curvature_diameter)
}

/// What Vickers or Knoop with this test force would read; other scales have their own force, and
/// read as in [`would_read`].
#[must_use]
pub fn would_read_with(
    layers: &Layers,
    scale: Scale,
    force: Force,
    ground: Length,
    curvature_diameter: Option<Length>,
) -> TesterReading {
    let force = match scale {
        Scale::Hv | Scale::Hk if force.to_kgf() > 0.0 => force,
        _ => usual_force(scale),
    };
    read(layers, Tester { scale, force }, ground, curvature_diameter)
}

/// Force of a scale, by its name or where that leaves it open the usual one.
#[must_use]
pub fn usual_force(scale: Scale) -> Force {
    rockwell_force(scale).unwrap_or_else(|| {
        Force::from_kgf(match scale {
            Scale::Hk => KNOOP_KGF,
            Scale::Hbw => BRINELL_KGF,
            _ => VICKERS_KGF,
        })
    })
}

/// A scale with its test force.
#[derive(Clone, Copy, Debug)]
struct Tester {
    scale: Scale,
    force: Force,
}

impl Tester {
    /// As a report writes it: HV10, HK0.5, HRC.
    fn name(self) -> String {
        match self.scale {
            Scale::Hv | Scale::Hk => designation(self.scale, self.force),
            scale => scale.to_string(),
        }
    }
}

fn read(
    layers: &Layers,
    tester: Tester,
    ground: Length,
    curvature_diameter: Option<Length>,
) -> TesterReading {
    let scale = tester.scale;
    let Some(case) = Ground::new(layers, ground) else {
        return no_reading(
            tester,
            "there is nothing left to test after this much grinding".to_owned(),
        );
    };
    let felt_hv = felt_hardness(&case, tester);
    let Some(flat) = scale_of(Vickers::from_hv(felt_hv), scale) else {
        return no_reading(tester, out_of_scale(scale, felt_hv));
    };
    let mut remarks = Vec::new();
    // Vickers, Knoop and Brinell numbers of a case are read on a flat: a section, or a ground spot.
    let on_section =
        curvature_diameter.is_some() && matches!(scale, Scale::Hv | Scale::Hk | Scale::Hbw);
    let curvature_diameter = curvature_diameter.filter(|_| !on_section);
    let round_correction = curvature_diameter.and_then(|d| round(flat, scale, d, &mut remarks));
    let reading = flat - round_correction.unwrap_or(0.0);
    let case_depth = case.case_depth();
    let least = least_case(Hardness::new(scale, flat));
    let (valid, why, least_case) = match least {
        Some(least) => {
            let least = least.into_value(&mut remarks);
            let (refuse, sound) = (least.refuse_below, least.sound_from);
            judge(tester, case_depth, refuse, sound, &mut remarks)
        }
        None => {
            let zone = Length::from_m(zone_m(tester, felt_hv));
            let layer = match scale {
                Scale::Hv => vickers_layer(Vickers::from_hv(felt_hv), tester.force),
                _ => None,
            };
            judge(
                tester,
                case_depth,
                layer.unwrap_or(zone),
                layer.map_or(zone, |layer| layer.max(zone)),
                &mut remarks,
            )
        }
    };
    remarks.extend(small_indent(tester, flat));
    let round_refused = curvature_diameter.is_some() && round_correction.is_none();
    TesterReading {
        reading: Some(reading),
        valid: valid && !round_refused,
        least_case: Some(least_case),
        round_correction,
        why: if valid && round_refused {
            format!(
                "the round is outside the correction tables of {scale}; read a ground flat or a section"
            )
        } else if on_section {
            format!("{why}; read it on a polished section, not on the round")
        } else {
            why
        },
        remarks,
    }
}

/// A word on an indent too small to be measured well.
fn small_indent(tester: Tester, reading: f64) -> Option<Remark> {
    let diagonal = match tester.scale {
        Scale::Hv => vickers_diagonal(Vickers::checked(reading)?, tester.force),
        Scale::Hk => knoop_diagonal(reading, tester.force),
        _ => None,
    }?
    .to_mm();
    (diagonal < LEAST_DIAGONAL_MM).then(|| {
        // Hardness goes with the inverse square of the diagonal.
        let doubt_pct = 200.0 * DIAGONAL_DOUBT_MM / diagonal;
        Remark::new(
            "tester-indent-small",
            format!(
                "an indent of {} is {:.1} µm across there: half a micrometre misread is {doubt_pct:.0} % of the number",
                tester.name(),
                1e3 * diagonal
            ),
        )
    })
}

fn judge(
    tester: Tester,
    case: Length,
    at_least: Length,
    free_from: Length,
    remarks: &mut Vec<Remark>,
) -> (bool, String, Length) {
    let (depth, least, free) = (case.to_mm(), at_least.to_mm(), free_from.to_mm());
    let scale = tester.name();
    if depth < least {
        let why = format!(
            "the hard layer of {depth:.2} mm is thinner than the {least:.2} mm that {scale} needs at this hardness; it reads the core too"
        );
        return (false, why, at_least);
    }
    if depth < free {
        remarks.push(Remark::new(
            "tester-feels-core",
            format!("under its full load {scale} feels {free:.2} mm; on {depth:.2} mm it may read a little low"),
        ));
    }
    let why = format!(
        "the hard layer of {depth:.2} mm carries {scale}, which needs {least:.2} mm at this hardness"
    );
    (true, why, at_least)
}

fn no_reading(tester: Tester, why: String) -> TesterReading {
    TesterReading {
        reading: None,
        valid: false,
        least_case: None,
        round_correction: None,
        remarks: vec![Remark::new(
            "tester-no-reading",
            format!("{}: {why}", tester.name()),
        )],
        why,
    }
}

fn out_of_scale(scale: Scale, felt_hv: f64) -> String {
    let hv = Vickers::from_hv(felt_hv);
    match scale {
        Scale::Hrc if felt_hv < 300.0 => scale_of(hv, Scale::Hrb).map_or_else(
            || format!("{felt_hv:.0} HV is below 20 HRC, which is no reading"),
            |b| format!("{felt_hv:.0} HV is below 20 HRC, which is no reading; the B scale would show {b:.0} HRB"),
        ),
        Scale::Hrb if felt_hv > 240.0 => {
            format!("{felt_hv:.0} HV is above 100 HRB, which flattens the ball; use the C scale")
        }
        _ => format!("{felt_hv:.0} HV is outside the table of {scale}"),
    }
}

/// Correction of a dial reading: flat = dial + correction(dial).
fn round(flat: f64, scale: Scale, diameter: Length, remarks: &mut Vec<Remark>) -> Option<f64> {
    let mut correction = 0.0;
    for pass in 0..4 {
        match cylinder_correction(Hardness::new(scale, flat - correction), diameter) {
            Ok(found) => {
                correction = found.value;
                if pass == 3 {
                    remarks.extend(found.remarks);
                }
            }
            Err(remark) => {
                remarks.push(remark);
                return None;
            }
        }
    }
    Some(correction)
}

/// The case below a ground surface.
struct Ground<'a> {
    layers: &'a Layers,
    from_m: f64,
}

impl<'a> Ground<'a> {
    fn new(layers: &'a Layers, ground: Length) -> Option<Self> {
        let from_m = ground.to_m().max(0.0);
        (layers.len() >= 2 && from_m < layers.depth_m[layers.len() - 1])
            .then_some(Self { layers, from_m })
    }

    fn hardness_hv(&self, below_m: f64) -> f64 {
        crate::numerics::interpolate::linear_clamped(
            &self.layers.depth_m,
            &self.layers.hardness_hv,
            self.from_m + below_m,
        )
    }

    /// Depth below the ground surface that counts as case.
    fn case_depth(&self) -> Length {
        let limit = Vickers::from_hv(CASE_HV.min(0.9 * self.hardness_hv(0.0)));
        let from = Length::from_m(self.from_m);
        self.layers
            .depth_to_hardness(limit, from)
            .map_or(Length::ZERO, |d| d - from)
    }
}

/// Depth of the zone that counts, in metres.
fn zone_m(Tester { scale, force }: Tester, hv: f64) -> f64 {
    let hardness = Vickers::from_hv(hv);
    let ball = |force, mm| brinell_depth(hv, force, Length::from_mm(mm)).map(|d| d * BALL_ZONE);
    let zone = match scale {
        Scale::Hv => vickers_depth(hardness, force).map(|d| d * DIAMOND_ZONE),
        Scale::Hk => knoop_depth(hv, force).map(|d| d * DIAMOND_ZONE),
        Scale::Hbw => ball(force, BRINELL_BALL_MM),
        Scale::Hrb => ball(force, ROCKWELL_BALL_MM),
        _ => depth_under_load(scale, hardness).map(|d| d * DIAMOND_ZONE),
    };
    zone.map_or(0.0, Length::to_m)
}

/// Mean hardness of the zone; the zone depends on it, so it is found by repetition.
fn felt_hardness(case: &Ground<'_>, tester: Tester) -> f64 {
    let top = case.hardness_hv(0.0).max(1.0);
    let mut felt = top;
    for _ in 0..60 {
        let next = weighted(case, zone_m(tester, felt), top).max(1.0);
        if (next - felt).abs() < 1e-9 * top {
            return next;
        }
        felt = (felt + next) / 2.0;
    }
    felt
}

fn weighted(case: &Ground<'_>, zone_m: f64, top_hv: f64) -> f64 {
    let (mut sum, mut weights) = (0.0, 0.0);
    for i in 0..POINTS {
        let share = (i as f64 + 0.5) / POINTS as f64;
        let weight = (1.0 - share) * (1.0 - share);
        // Against the top, so that uniform material comes back to the last bit.
        sum += weight * (case.hardness_hv(share * zone_m) - top_hv);
        weights += weight;
    }
    top_hv + sum / weights
}

#[cfg(test)]
mod tests;
