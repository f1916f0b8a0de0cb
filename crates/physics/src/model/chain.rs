//! The chain from the packed part to the tempered one.
//!
//! Carbon, then [`harden`]: reheats (carbon goes on moving in each of them, and bare ones lose it to
//! the air), quench, transformation, temper and growth. Only the last quench decides the phases; an
//! earlier one is felt through the grain, which the setup gives, through its scale and through the
//! carbon it moved.

use casewright_terms::quantity::ICE_POINT_K;
use casewright_terms::{Length, Remark, SourceKey, Temperature};

use crate::law::{phase_hardness, quench_transfer, retained_austenite, tempering, volume_change};
use crate::numerics::interpolate::linear_clamped;
use crate::run::{CarbonRun, ChainRun, Failure, Layers};
use crate::setup::{ChainSetup, SubZero, Temper};

use super::quench::{self, Body, QuenchRun};
use super::quench_part::entering;
use super::reheat::{Section, Ways};
use super::transform::coupling::{Node, Transforming};
use super::transform::{
    self, Austenite, KINETICS_CARBON_LIMIT, Kinetics, Lines, Phases, Shifts, SteelLines,
};

mod cold;
mod growth;
mod hardness;
mod heat;
pub mod inside;
mod profile;
mod stress;
mod tables;

pub(crate) use hardness::as_quenched_hv;
use profile::Profile;
pub use tables::SteelTables;

/// Coldest the part gets before the temper, in °C: the shop.
const SHOP_C: f64 = 25.0;

/// Carbon from which a layer counts as case that must be martensite, in wt% [trade-practice].
const CASE_WT_PCT: f64 = 0.5;
/// Share of softer phases from which that is said: a tenth costs two points of HRC.
const SOFT_CASE: f64 = 0.10;

/// Runs carbon, reheats, quench, transformation and temper.
///
/// # Errors
/// When the setup cannot be simulated or a model did not settle.
pub fn run_chain(setup: &ChainSetup) -> Result<ChainRun, Failure> {
    run_chain_with(setup, &SteelTables::new(&setup.carbon.composition)?)
}

/// The same with the steel's tables made before; they must be of the setup's steel.
///
/// # Errors
/// As [`run_chain`].
pub fn run_chain_with(setup: &ChainSetup, tables: &SteelTables) -> Result<ChainRun, Failure> {
    let steel = &setup.carbon.composition;
    if !tables.lines.is_of(steel) {
        return run_chain(setup);
    }
    let saturation = tables.saturation.shifted(setup.carbon.saturation_shift);
    let carbon = super::carbon::carbonise_with(&setup.carbon, &saturation)?;
    harden_with(&carbon, setup, None, tables.lines_of(steel))
}

/// Everything after the carbon: one carbon run can serve many hardening variants. The carbon part
/// of `setup` is used for the steel and the body only.
///
/// # Errors
/// When the setup cannot be simulated or a model did not settle.
pub fn harden(carbon: &CarbonRun, setup: &ChainSetup) -> Result<ChainRun, Failure> {
    harden_with(
        carbon,
        setup,
        None,
        SteelLines::new(&setup.carbon.composition),
    )
}

/// [`harden`] with a sub-zero treatment between quench and temper.
///
/// # Errors
/// As [`harden`], and when the cold is not between −196 °C and the end of the quench.
pub fn harden_cold(
    carbon: &CarbonRun,
    setup: &ChainSetup,
    cold: &SubZero,
) -> Result<ChainRun, Failure> {
    let lines = SteelLines::new(&setup.carbon.composition);
    harden_with(carbon, setup, Some(cold), lines)
}

/// Quenched once and tempered each way: the layers for each temper of a list, which is what a search
/// for the temper needs of [`harden`]. The tables should be of the setup's steel; another's are made
/// anew.
///
/// # Errors
/// As [`harden`].
pub fn harden_each(
    carbon: &CarbonRun,
    setup: &ChainSetup,
    tempers: &[Temper],
    tables: &SteelTables,
) -> Result<Vec<Layers>, Failure> {
    let mut unsaid = Vec::new();
    let lines = tables.lines_of(&setup.carbon.composition);
    let quenched = Quenched::new(carbon, setup, lines, &mut unsaid)?;
    tempers
        .iter()
        .map(|temper| {
            let setup = ChainSetup {
                temper: Some(*temper),
                ..setup.clone()
            };
            check(carbon, &setup)?;
            let Quenched {
                profile,
                phases,
                rates,
                ..
            } = &quenched;
            Ok(hardness::layers(
                &setup,
                profile,
                phases,
                rates,
                &mut unsaid,
            ))
        })
        .collect()
}

/// A part that is out of the bath and not yet tempered.
struct Quenched {
    body: Body,
    profile: Profile,
    lines: Lines,
    shared: SteelLines,
    cooling: QuenchRun,
    rates: Rates,
    phases: Vec<Phases>,
}

impl Quenched {
    fn new(
        carbon: &CarbonRun,
        setup: &ChainSetup,
        shared: SteelLines,
        remarks: &mut Vec<Remark>,
    ) -> Result<Self, Failure> {
        check(carbon, setup)?;
        remarks.extend(carbon.remarks.iter().cloned());
        let body = quench::section(setup.quench_shape)?;
        let half_m = half_depth_m(&body);
        let mut profile = Profile::new(carbon, half_m);
        let from = quench_from(setup)?;
        let steel = &setup.carbon.composition;
        let lines = lines_at(setup, from)?;
        soak(setup, &lines, from, half_m, &mut profile, remarks)?;
        if !lines.austenitic() {
            remarks.push(Remark::new(
                "quench-below-austenite",
                format!(
                    "at {:.0} °C this steel is not austenite; the quench hardens nothing",
                    from.to_c()
                ),
            ));
        }
        let (cooling, rates) = cool(setup, &body, &profile, &lines, &shared, from)?;
        let surface_k = linear_clamped(
            &cooling.time_s,
            &cooling.curve_at(Length::ZERO),
            setup.quench.transfer.to_s(),
        );
        let skin = lines.split(profile.at(0.0));
        remarks.extend(entering(steel, &skin, Temperature::from_k(surface_k)));
        let phases = follow_layers(setup, &profile, &lines, &shared, &cooling);
        Ok(Self {
            body,
            profile,
            lines,
            shared,
            cooling,
            rates,
            phases,
        })
    }
}

fn harden_with(
    carbon: &CarbonRun,
    setup: &ChainSetup,
    cold: Option<&SubZero>,
    shared: SteelLines,
) -> Result<ChainRun, Failure> {
    let mut remarks = Vec::new();
    let Quenched {
        body,
        profile,
        lines,
        shared,
        cooling,
        rates,
        mut phases,
    } = Quenched::new(carbon, setup, shared, &mut remarks)?;
    if let Some(cold) = cold {
        cold::treat(setup, cold, &mut phases, &mut remarks)?;
    }
    if profile.highest() > KINETICS_CARBON_LIMIT {
        remarks.push(Remark::new(
            "kinetics-above-fit",
            format!(
                "the speed of pearlite and bainite is fitted to {KINETICS_CARBON_LIMIT:.1} wt% carbon; this case has {:.2} wt% and takes the speed at the limit",
                profile.highest()
            ),
        ));
    }
    remarks.extend(heat::remarks(setup, &lines, profile.highest()));
    remarks.extend(slow_case(&profile, &phases, &rates));
    let layers = hardness::layers(setup, &profile, &phases, &rates, &mut remarks);
    remarks.extend(cooling.remarks.iter().cloned());
    let ends = [0, profile.depth_m.len() - 1]
        .map(|i| half_gone(setup, &profile, &lines, &shared, &cooling, i));
    let surface_stress = stress::judge(&layers, &body, ends);
    remarks.push(surface_stress.remark());
    Ok(ChainRun {
        growth_per_side: growth::per_side(&layers, &body),
        surface_stress,
        layers,
        carbon: carbon.clone(),
        surface_rate_k_s: rates.surface,
        core_rate_k_s: rates.core,
        heat_to_bath_j_kg: cooling.heat_to_bath_j_kg,
        remarks: without_repeats(remarks),
        sources: sources(carbon, setup),
    })
}

/// The lines of the setup's steel, its doubts included.
fn lines_at(setup: &ChainSetup, temperature: Temperature) -> Result<Lines, Failure> {
    let shifts = Shifts {
        ferrite: setup.ae3_shift,
        carbide: setup.carbon.saturation_shift,
    };
    Lines::at(&setup.carbon.composition, temperature, shifts).map_err(|why| Failure::Setup {
        what: why.to_string(),
    })
}

/// Takes the profile through the stays in the furnace; `last` are the lines of the last of them.
fn soak(
    setup: &ChainSetup,
    last: &Lines,
    from: Temperature,
    half_m: f64,
    profile: &mut Profile,
    remarks: &mut Vec<Remark>,
) -> Result<(), Failure> {
    let section = Section::new(setup.quench_shape, half_m);
    for heat in &setup.reheats {
        let own;
        let lines = if heat.temperature == from {
            last
        } else {
            own = lines_at(setup, heat.temperature)?;
            &own
        };
        let carbon = &setup.carbon;
        let ways = Ways::new(
            lines,
            heat.temperature.to_k(),
            carbon.diffusivity,
            carbon.diffusivity_factor.clamp(0.01, 100.0),
        );
        profile.soak(heat, section, ways.as_ref(), remarks)?;
    }
    Ok(())
}

/// Cooling rates while passing 700 °C, in K/s; between surface and middle by depth.
struct Rates {
    surface: f64,
    core: f64,
    at_depth: Vec<f64>,
}

fn cool(
    setup: &ChainSetup,
    body: &Body,
    profile: &Profile,
    lines: &Lines,
    shared: &SteelLines,
    from: Temperature,
) -> Result<(QuenchRun, Rates), Failure> {
    let half_m = half_depth_m(body);
    let whole_m = body.depth_m[body.len() - 1];
    let mut material = Transforming {
        nodes: body
            .depth_m
            .iter()
            .map(|depth| {
                // A tube's inner wall is the mirror of its outer one.
                let depth = if *depth > half_m {
                    whole_m - depth
                } else {
                    *depth
                };
                let (start, kinetics) = austenite_of(setup, lines, shared, profile.at(depth));
                Node::new(start, kinetics)
            })
            .collect(),
    };
    let cooling = quench::quench_with(&setup.quench, body, from, &mut material)?;
    let at_depth: Vec<f64> = profile
        .depth_m
        .iter()
        .map(|depth| rate_at(&cooling, *depth, from))
        .collect();
    let rates = Rates {
        surface: at_depth[0],
        core: at_depth[at_depth.len() - 1],
        at_depth,
    };
    Ok((cooling, rates))
}

/// Rate at 700 °C; where the part starts below that, at 50 K below its start.
fn rate_at(cooling: &QuenchRun, depth_m: f64, from: Temperature) -> f64 {
    let level_k = (700.0 + ICE_POINT_K).min(from.to_k() - 50.0);
    cooling
        .rate_while_passing(Length::from_m(depth_m), Temperature::from_k(level_k))
        .unwrap_or(0.0)
}

fn follow_layers(
    setup: &ChainSetup,
    profile: &Profile,
    lines: &Lines,
    shared: &SteelLines,
    cooling: &QuenchRun,
) -> Vec<Phases> {
    let end_k = quench_end_k(setup);
    let mut curve = Vec::new();
    profile
        .depth_m
        .iter()
        .zip(&profile.carbon_wt_pct)
        .map(|(depth, carbon)| {
            let (start, kinetics) = austenite_of(setup, lines, shared, *carbon);
            cooling.curve_into(*depth, &mut curve);
            transform::follow(&kinetics, &start, &cooling.time_s, &curve, end_k)
        })
        .collect()
}

/// What stands at a point of `carbon` wt% before the quench, and how fast it will change.
fn austenite_of<'a>(
    setup: &ChainSetup,
    lines: &Lines,
    shared: &'a SteelLines,
    carbon: f64,
) -> (Austenite, Kinetics<'a>) {
    let start = lines.split(carbon);
    let kinetics = Kinetics::new(
        shared,
        start.carbon.to_wt_pct(),
        setup.grain_number,
        setup.kinetics_factor,
    );
    (start, kinetics)
}

/// When half of a layer's austenite is gone, in seconds from the bath; `None` where it stays or where
/// there was none.
fn half_gone(
    setup: &ChainSetup,
    profile: &Profile,
    lines: &Lines,
    shared: &SteelLines,
    cooling: &QuenchRun,
    layer: usize,
) -> Option<f64> {
    let (start, kinetics) = austenite_of(setup, lines, shared, profile.carbon_wt_pct[layer]);
    let mut curve = Vec::new();
    cooling.curve_into(profile.depth_m[layer], &mut curve);
    (start.austenite > 0.05)
        .then(|| transform::half_gone_s(&kinetics, &cooling.time_s, &curve))
        .flatten()
}

/// Coldest the part gets in the quench, in kelvin.
fn quench_end_k(setup: &ChainSetup) -> f64 {
    setup.quench.bath.to_k().min(SHOP_C + ICE_POINT_K)
}

/// A case that should be martensite and is not, with what it is and why.
fn slow_case(profile: &Profile, phases: &[Phases], rates: &Rates) -> Option<Remark> {
    let (i, phase) = phases
        .iter()
        .enumerate()
        .filter(|(i, _)| profile.carbon_wt_pct[*i] >= CASE_WT_PCT)
        .max_by(|a, b| soft(a.1).total_cmp(&soft(b.1)))?;
    if soft(phase) < SOFT_CASE {
        return None;
    }
    let shares = [
        (phase.pearlite, "pearlite"),
        (phase.bainite, "bainite"),
        (phase.ferrite, "ferrite"),
    ];
    let most = shares.into_iter().max_by(|a, b| a.0.total_cmp(&b.0))?;
    let place = match profile.depth_m[i] {
        depth if depth > 0.0 => format!("{:.2} mm under the surface", 1e3 * depth),
        _ => "at the surface".to_owned(),
    };
    Some(Remark::new(
        "case-cools-too-slowly",
        format!(
            "{place} the case turns to {:.0} % {} before it can be martensite: it passes 700 °C at {:.0} K/s, too slow for this steel; a faster bath, a thinner section or a steel with more alloy would harden it",
            100.0 * most.0,
            most.1,
            rates.at_depth[i]
        ),
    ))
}

fn soft(phase: &Phases) -> f64 {
    phase.pearlite + phase.bainite + phase.ferrite
}

/// Depth of the middle: half the wall of a tube.
fn half_depth_m(body: &Body) -> f64 {
    let whole = body.depth_m[body.len() - 1];
    if body.has_bore { whole / 2.0 } else { whole }
}

fn quench_from(setup: &ChainSetup) -> Result<Temperature, Failure> {
    setup
        .reheats
        .last()
        .map(|heat| heat.temperature)
        .or(setup.direct_from)
        .ok_or_else(|| Failure::Setup {
            what: "neither a reheat nor the temperature of a direct quench is given".to_owned(),
        })
}

fn check(carbon: &CarbonRun, setup: &ChainSetup) -> Result<(), Failure> {
    let refuse = |what: String| Err(Failure::Setup { what });
    let n = carbon.depth_m.len();
    if n < 2 || carbon.carbon_wt_pct.len() != n {
        return refuse(format!(
            "the carbon run has {n} depths and {} carbon contents; two or more of each are needed",
            carbon.carbon_wt_pct.len()
        ));
    }
    if !(setup.kinetics_factor >= 1e-3 && setup.kinetics_factor <= 1e3) {
        return refuse(format!(
            "the factor {} on the kinetics is not between 0.001 and 1000",
            setup.kinetics_factor
        ));
    }
    if !(-2.0..=16.0).contains(&setup.grain_number) {
        return refuse(format!(
            "grain number {} is not between -2 and 16",
            setup.grain_number
        ));
    }
    if !(-0.5..=0.5).contains(&setup.hardness_shift) {
        return refuse(format!(
            "a hardness shift of {} is not between -0.5 and 0.5",
            setup.hardness_shift
        ));
    }
    for heat in &setup.reheats {
        let (t, h) = (heat.temperature.to_c(), heat.soak.to_h());
        if !(400.0..=1200.0).contains(&t) || !(0.0..=100.0).contains(&h) {
            return refuse(format!(
                "a reheat at {t:.0} °C for {h:.1} h is not between 400 and 1200 °C, at most 100 h"
            ));
        }
    }
    if let Some(temper) = &setup.temper {
        let (t, h) = (temper.temperature.to_c(), temper.soak.to_h());
        if !(20.0..=720.0).contains(&t) || !(0.0..=1000.0).contains(&h) {
            return refuse(format!(
                "a temper at {t:.0} °C for {h:.1} h is not between 20 and 720 °C, at most 1000 h"
            ));
        }
    }
    Ok(())
}

fn without_repeats(remarks: Vec<Remark>) -> Vec<Remark> {
    let mut kept: Vec<Remark> = Vec::new();
    for remark in remarks {
        if !kept.contains(&remark) {
            kept.push(remark);
        }
    }
    kept
}

fn sources(carbon: &CarbonRun, setup: &ChainSetup) -> Vec<SourceKey> {
    let mut keys = carbon.sources.clone();
    keys.extend(quench::sources());
    keys.extend(transform::sources());
    keys.extend(phase_hardness::SOURCES);
    keys.extend(volume_change::SOURCES);
    keys.extend(crate::law::austenite_grain::SOURCES);
    keys.extend(crate::law::carbide_dissolution::SOURCES);
    if setup.temper.is_some() {
        keys.extend(tempering::SOURCES);
        keys.extend(retained_austenite::SOURCES);
        keys.push("bainite-temper-assumed");
    }
    if setup.reheats.iter().any(|heat| heat.bare) {
        keys.extend(crate::law::scaling::SOURCES);
    }
    if !setup.reheats.is_empty() {
        keys.extend(crate::law::ferrite_carbon::SOURCES);
    }
    keys.sort_unstable();
    keys.dedup();
    keys
}

/// Doubt of the bath's curve, for callers that draw an ensemble.
pub const SEVERITY_DOUBT: f64 = quench_transfer::DOUBT;

impl ChainRun {
    /// Whether every layer's shares add up to 1 within `tolerance`.
    #[must_use]
    pub fn shares_add_up(&self, tolerance: f64) -> bool {
        shares(&self.layers).all(|sum| (sum - 1.0).abs() <= tolerance)
    }
}

fn shares(layers: &Layers) -> impl Iterator<Item = f64> + '_ {
    (0..layers.len()).map(|i| {
        layers.martensite[i]
            + layers.retained_austenite[i]
            + layers.bainite[i]
            + layers.pearlite[i]
            + layers.ferrite[i]
            + layers.carbide[i]
    })
}
