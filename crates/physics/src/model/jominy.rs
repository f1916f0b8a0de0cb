//! The end-quenched bar: cooling, phases and hardness along it.
//!
//! The standard bar of 25.4 mm diameter and 100 mm length, quenched by a water jet at one end and
//! standing in air. Heat flows along it only; the loss of the sides is taken from each slice. The
//! transformation is the one of the chain, coupled to the bar's temperature by its heat.
//! It does not know the dividers of ASTM A255, which stand in `law::hardenability`.
//!
//! The jet's three numbers are fitted to the cooling rates at 700 °C that the trade prints beside
//! the distance [jominy-rates], see `val_bar_cools_as_published`. Without the change from dry to wet
//! no coefficient gives both the first and the fourth sixteenth: the ratio of their rates is 3.9,
//! and 7 with a constant one.

use casewright_terms::quantity::ICE_POINT_K;
use casewright_terms::{Composition, Length, Remark, SourceKey, Temperature, Vickers};

use crate::law::decomposition::{self, LiCoefficients};
use crate::law::hardness_conversion::hrc_of;
use crate::law::phase_hardness;
use crate::law::quench_transfer::TransferCurve;
use crate::run::Failure;
use crate::setup::{Quenchant, Shape, Stirring};

use super::chain::as_quenched_hv;
use super::quench::conduction::{self, Film, Material, Stage};
use super::quench::{self, Body, QuenchRun};
use super::transform::coupling::{Node, Transforming};
use super::transform::{self, Austenite, Kinetics, SteelLines, austenitise};

#[cfg(test)]
mod tests;

/// Length of the bar in mm [astm-a255].
const LENGTH_MM: f64 = 100.0;
/// Its diameter in mm [astm-a255].
const DIAMETER_MM: f64 = 25.4;
/// Jet and air, in °C: the standard asks for water between 5 and 30 °C.
const AROUND_C: f64 = 25.0;
/// Coefficient of the jet on the end face before it wets, in W/(m²·K) [jominy-jet-fit].
const JET_DRY_W_M2_K: f64 = 10_000.0;
/// The same once it wets [jominy-jet-fit].
const JET_WET_W_M2_K: f64 = 80_000.0;
/// Temperature of the face at which it wets, in °C [jominy-jet-fit].
const JET_WETS_C: f64 = 250.0;
/// Time after which the first two inches are below 300 °C: what is austenite then is finished as
/// martensite.
const FOLLOWED_S: f64 = 1200.0;
/// Nodes along the bar: twice as many move 8620 by less than 15 HV at its steepest, 5 HV elsewhere.
const NODES: usize = 64;
/// Grain of the test: the fine grain that ASTM A255 calculates for.
pub const GRAIN_NUMBER: f64 = 7.0;

/// One place on the bar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EndQuenchPoint {
    /// From the quenched end.
    pub distance: Length,
    /// Cooling rate while passing 700 °C, in K/s.
    pub rate_k_s: f64,
    /// Share of martensite with its retained austenite, 0..1.
    pub martensite: f64,
    /// Hardness.
    pub hardness: Vickers,
    /// The same in HRC, `None` where the table has none (below 20 HRC).
    pub hrc: Option<f64>,
}

/// The hardened bar.
#[derive(Clone, Debug, PartialEq)]
pub struct EndQuench {
    /// In the order of the distances asked for.
    pub points: Vec<EndQuenchPoint>,
    /// Notes about validity.
    pub remarks: Vec<Remark>,
    /// Keys of the sources used.
    pub sources: Vec<SourceKey>,
}

/// Distances of the standard's form: sixteenths of an inch, 1 to 32.
#[must_use]
pub fn standard_distances() -> Vec<Length> {
    [
        1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 18, 20, 22, 24, 26, 28, 30, 32,
    ]
    .map(|n| Length::from_in(f64::from(n) / 16.0))
    .to_vec()
}

/// Temperature ASTM A255 austenitises the steel at, by its carbon and nickel.
#[must_use]
pub fn standard_temperature(steel: &Composition) -> Temperature {
    use casewright_terms::Element::{C, Ni};
    // [astm-a255], table 1; the nickel column belongs to the 4800 and 9300 families.
    let high_nickel = steel.wt_pct(Ni) >= 3.0;
    Temperature::from_c(match (steel.wt_pct(C), high_nickel) {
        (c, false) if c < 0.255 => 925.0,
        (c, false) if c < 0.365 => 870.0,
        (c, true) if c >= 0.365 => 800.0,
        (c, true) if c >= 0.255 => 815.0,
        _ => 845.0,
    })
}

/// Runs the end-quench test of a steel.
///
/// # Errors
/// When the bar did not settle, or a distance is not on it.
pub fn end_quench(
    steel: &Composition,
    grain_number: f64,
    from: Temperature,
    distances: &[Length],
) -> Result<EndQuench, Failure> {
    let shared = SteelLines::new(steel);
    let carbon = austenite(steel, from)?.carbon;
    let kinetics = Kinetics::new(&shared, carbon.to_wt_pct(), grain_number, 1.0);
    let mut done = run_bar(steel, &kinetics, from, distances, &bar()?)?;
    done.remarks
        .extend(decomposition::range_remarks(steel, grain_number));
    Ok(done)
}

/// The same with chosen speeds.
pub(crate) fn end_quench_with(
    steel: &Composition,
    lines: LiCoefficients,
    from: Temperature,
    distances: &[Length],
) -> Result<EndQuench, Failure> {
    let shared = SteelLines::new(steel);
    let carbon = austenite(steel, from)?.carbon;
    let kinetics = Kinetics::with_lines(&shared, carbon.to_wt_pct(), lines, 1.0);
    run_bar(steel, &kinetics, from, distances, &bar()?)
}

/// The bar's austenite before the water.
fn austenite(steel: &Composition, from: Temperature) -> Result<Austenite, Failure> {
    austenitise(steel, steel.get(casewright_terms::Element::C), from).map_err(|why| {
        Failure::Setup {
            what: why.to_string(),
        }
    })
}

fn run_bar(
    steel: &Composition,
    kinetics: &Kinetics<'_>,
    from: Temperature,
    distances: &[Length],
    body: &Body,
) -> Result<EndQuench, Failure> {
    for distance in distances {
        if !(0.0..=LENGTH_MM).contains(&distance.to_mm()) {
            return Err(Failure::Setup {
                what: format!(
                    "{:.1} mm from the quenched end is not on a bar of {LENGTH_MM} mm",
                    distance.to_mm()
                ),
            });
        }
    }
    let start = austenite(steel, from)?;
    let inner = Transforming {
        nodes: (0..body.len())
            .map(|_| Node::new(start, kinetics.clone()))
            .collect(),
    };
    let cooling = cool_bar(body, inner, from)?;
    let mut curve = Vec::new();
    let points = distances
        .iter()
        .map(|distance| {
            cooling.curve_into(distance.to_m(), &mut curve);
            let end_k = AROUND_C + ICE_POINT_K;
            let phases = transform::follow(kinetics, &start, &cooling.time_s, &curve, end_k);
            let rate_k_s = rate_at_700(&cooling, *distance);
            let hardness = Vickers::from_hv(as_quenched_hv(steel, &phases, rate_k_s));
            EndQuenchPoint {
                distance: *distance,
                rate_k_s,
                martensite: phases.martensite + phases.retained_austenite,
                hardness,
                hrc: hrc_of(hardness),
            }
        })
        .collect();
    Ok(EndQuench {
        points,
        remarks: Vec::new(),
        sources: sources(),
    })
}

/// Keys of the sources of the model.
#[must_use]
pub fn sources() -> Vec<SourceKey> {
    let mut keys = quench::sources();
    keys.extend(transform::sources());
    keys.extend(phase_hardness::SOURCES);
    keys.extend(["astm-a255", "jominy-rates", "jominy-jet-fit"]);
    keys.sort_unstable();
    keys.dedup();
    keys
}

fn bar() -> Result<Body, Failure> {
    // A plate cooled on one side; its middle plane is the far end, which stays free of flow.
    let shape = Shape::Plate {
        half_thickness: Length::from_mm(LENGTH_MM),
    };
    Body::new(shape, NODES)
}

fn cool_bar(body: &Body, inner: impl Material, from: Temperature) -> Result<QuenchRun, Failure> {
    let jet = Stage {
        ambient_k: AROUND_C + ICE_POINT_K,
        drift_k_s: 0.0,
        film: Film::Jet {
            dry_w_m2_k: JET_DRY_W_M2_K,
            wet_w_m2_k: JET_WET_W_M2_K,
            wets_c: JET_WETS_C,
        },
        lasts_s: Some(FOLLOWED_S),
    };
    let mut material = Standing {
        inner,
        air: TransferCurve::new(Quenchant::Air, Stirring::Still, AROUND_C, 1.0),
    };
    conduction::cool(body, &mut material, from.to_k(), &[jet])
}

fn rate_at_700(cooling: &QuenchRun, distance: Length) -> f64 {
    cooling
        .rate_while_passing(distance, Temperature::from_c(700.0))
        .unwrap_or(0.0)
}

/// A bar that loses heat to the air on its side, in each slice.
struct Standing<M> {
    inner: M,
    air: TransferCurve,
}

impl<M: Material> Material for Standing<M> {
    fn conductivity_w_m_k(&self, node: usize, t_k: f64) -> f64 {
        self.inner.conductivity_w_m_k(node, t_k)
    }
    fn slope_j_m3_k(&self, node: usize, t_k: f64) -> f64 {
        self.inner.slope_j_m3_k(node, t_k)
    }
    fn enthalpy_j_m3(&self, node: usize, t_k: f64) -> f64 {
        self.inner.enthalpy_j_m3(node, t_k)
    }
    fn advance(&mut self, node: usize, from_k: f64, to_k: f64, step_s: f64) -> f64 {
        let side_c = (from_k + to_k) / 2.0 - ICE_POINT_K;
        // Side over volume of a round bar: 4 / D.
        let lost_w_m3 = self.air.at_w_m2_k(side_c) * (side_c - AROUND_C) * 4e3 / DIAMETER_MM;
        self.inner.advance(node, from_k, to_k, step_s) - lost_w_m3 * step_s
    }
}
