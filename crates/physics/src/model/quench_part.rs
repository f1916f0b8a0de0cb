//! The quench of one part as a person asks for it: what each place goes through, what stands there
//! afterwards, and what the bath makes of it.
//!
//! A bar's section is solved in two dimensions, because with a film that depends on the temperature
//! of the surface a corner is not the product of two plates. Each place is then followed on its own
//! cooling curve by the transformation model. Faces cool alike: which of them hangs lower is not
//! known here.

use casewright_terms::quantity::ICE_POINT_K;
use casewright_terms::{
    Composition, Element, Length, Remark, SourceKey, Span, Temperature, Vickers,
};

use super::chain::as_quenched_hv;
use super::quench::section::{ALONG, Quarter};
use super::quench::{self, Body};
use super::transform::coupling::{Node, Transforming};
use super::transform::{self, Austenite, Kinetics, Lines, Shifts, SteelLines};
use crate::law::transformation_temperature::{ac1_andrews, ac3_andrews};
use crate::law::{bath_heat, phase_hardness};
use crate::numerics::interpolate::linear_clamped;
use crate::run::{Failure, QuenchPartRun, QuenchedPlace};
use crate::setup::{PlanePoint, QuenchBody, QuenchPartSetup, QuenchPlaces};

#[cfg(test)]
mod tests;

/// Coldest the part gets, in °C: the shop.
const SHOP_C: f64 = 25.0;
/// Carbon of the eutectoid in wt%.
const EUTECTOID_WT_PCT: f64 = 0.76;
/// Most places of one answer.
const MOST_PLACES: usize = 1000;

/// Quenches the part.
///
/// # Errors
/// When the setup cannot be simulated or a model did not settle.
pub fn quench_part(setup: &QuenchPartSetup) -> Result<QuenchPartRun, Failure> {
    check(setup)?;
    let steel = &setup.composition;
    let lines = Lines::at(steel, setup.from, Shifts::NONE).map_err(|why| Failure::Setup {
        what: why.to_string(),
    })?;
    let shared = SteelLines::new(steel);
    let part = Part {
        setup,
        lines: &lines,
        shared: &shared,
    };
    match setup.body {
        QuenchBody::Round(shape) => {
            let body = quench::section(shape)?;
            let whole = Length::from_m(body.depth_m[body.len() - 1]);
            let along: Vec<(PlanePoint, Length)> = match &setup.places {
                QuenchPlaces::Depths(depths) => depths
                    .iter()
                    .map(|x| {
                        (
                            PlanePoint {
                                x: *x,
                                y: Length::ZERO,
                            },
                            *x,
                        )
                    })
                    .collect(),
                QuenchPlaces::Points(_) => {
                    return refuse("points are for a bar; this body takes depths".to_owned());
                }
            };
            if let Some((_, deep)) = along.iter().find(|(_, d)| *d > whole || *d < Length::ZERO) {
                return refuse(format!(
                    "a depth of {} mm is not in the part, which is {} mm deep",
                    deep.to_mm(),
                    whole.to_mm()
                ));
            }
            let run = part.cool(&body)?;
            let places = along
                .iter()
                .map(|(at, depth)| {
                    let from_wall = if body.has_bore {
                        (*depth).min(whole - *depth)
                    } else {
                        *depth
                    };
                    part.place(*at, from_wall, &run, run.curve_at(*depth))
                })
                .collect();
            Ok(part.run(run, places))
        }
        QuenchBody::Bar { width, height } => {
            let quarter = Quarter::new(width, height, ALONG)?;
            let QuenchPlaces::Points(points) = &setup.places else {
                return refuse("a bar takes points of its section, not depths".to_owned());
            };
            let inside = |at: &&PlanePoint| {
                at.x >= Length::ZERO && at.y >= Length::ZERO && at.x <= width && at.y <= height
            };
            if let Some(at) = points.iter().find(|at| !inside(at)) {
                return refuse(format!(
                    "the point {}, {} mm is not in the bar of {} by {} mm",
                    at.x.to_mm(),
                    at.y.to_mm(),
                    width.to_mm(),
                    height.to_mm()
                ));
            }
            let run = part.cool(&quarter.body)?;
            let n = quarter.body.len();
            let places = points
                .iter()
                .map(|at| {
                    let around = quarter.around(at.x, at.y);
                    let curve = run
                        .temperature_k
                        .chunks_exact(n)
                        .map(|row| around.iter().map(|(i, w)| w * row[*i]).sum())
                        .collect();
                    let depth = at.x.min(width - at.x).min(at.y).min(height - at.y);
                    part.place(*at, depth, &run, curve)
                })
                .collect();
            Ok(part.run(run, places))
        }
    }
}

fn refuse<T>(what: String) -> Result<T, Failure> {
    Err(Failure::Setup { what })
}

fn check(setup: &QuenchPartSetup) -> Result<(), Failure> {
    let count = match &setup.places {
        QuenchPlaces::Depths(list) => list.len(),
        QuenchPlaces::Points(list) => list.len(),
    };
    if !(1..=MOST_PLACES).contains(&count) {
        return refuse(format!(
            "{count} places are asked for; 1 to {MOST_PLACES} are answered"
        ));
    }
    if !(-2.0..=16.0).contains(&setup.grain_number) {
        return refuse(format!(
            "grain number {} is not between -2 and 16",
            setup.grain_number
        ));
    }
    if let Some(pair) = setup.profile.windows(2).find(|p| p[1].0 <= p[0].0) {
        return refuse(format!(
            "the depths of the carbon profile must rise; {} mm follows {} mm",
            pair[1].0.to_mm(),
            pair[0].0.to_mm()
        ));
    }
    if let Some(bath) = &setup.bath
        && !(bath.volume.to_l() > 0.0 && bath.parts.to_kg() >= 0.0)
    {
        return refuse(format!(
            "a bath of {} L for {} kg of parts is none",
            bath.volume.to_l(),
            bath.parts.to_kg()
        ));
    }
    Ok(())
}

/// What all places share.
struct Part<'a> {
    setup: &'a QuenchPartSetup,
    lines: &'a Lines,
    shared: &'a SteelLines,
}

impl Part<'_> {
    fn carbon_at(&self, depth_m: f64) -> f64 {
        let profile = &self.setup.profile;
        if profile.is_empty() {
            return self.setup.composition.get(Element::C).to_wt_pct();
        }
        let places: Vec<f64> = profile.iter().map(|p| p.0.to_m()).collect();
        let carbon: Vec<f64> = profile.iter().map(|p| p.1.to_wt_pct()).collect();
        linear_clamped(&places, &carbon, depth_m)
    }

    fn kinetics(&self, carbon_wt_pct: f64) -> Kinetics<'_> {
        Kinetics::new(self.shared, carbon_wt_pct, self.setup.grain_number, 1.0)
    }

    fn cool(&self, body: &Body) -> Result<quench::QuenchRun, Failure> {
        let whole = body.depth_m[body.len() - 1];
        let nodes = body
            .depth_m
            .iter()
            .map(|depth| {
                let depth = if body.has_bore {
                    depth.min(whole - depth)
                } else {
                    *depth
                };
                let start = self.lines.split(self.carbon_at(depth));
                Node::new(start, self.kinetics(start.carbon.to_wt_pct()))
            })
            .collect();
        let mut material = Transforming { nodes };
        quench::quench_with(&self.setup.quench, body, self.setup.from, &mut material)
    }

    fn place(
        &self,
        at: PlanePoint,
        depth: Length,
        run: &quench::QuenchRun,
        temperature_k: Vec<f64>,
    ) -> QuenchedPlace {
        let carbon_wt_pct = self.carbon_at(depth.to_m());
        let start = self.lines.split(carbon_wt_pct);
        let kinetics = self.kinetics(start.carbon.to_wt_pct());
        let end_k = self.setup.quench.bath.to_k().min(SHOP_C + ICE_POINT_K);
        let phases = transform::follow(&kinetics, &start, &run.time_s, &temperature_k, end_k);
        let passing = |c: f64| quench::rate_of(&run.time_s, &temperature_k, Temperature::from_c(c));
        let rate = passing(700.0);
        let colder = self.setup.from.to_c() - 50.0;
        let rate_for_hardness = rate.or_else(|| passing(colder)).unwrap_or(0.0);
        let hv = as_quenched_hv(&self.setup.composition, &phases, rate_for_hardness);
        QuenchedPlace {
            at,
            carbon_wt_pct,
            entering: Temperature::from_k(linear_clamped(
                &run.time_s,
                &temperature_k,
                self.setup.quench.transfer.to_s(),
            )),
            rate_at_700_k_s: rate,
            cooling_800_500: between(&run.time_s, &temperature_k, 800.0, 500.0),
            temperature_k,
            phases,
            hardness: Vickers::from_hv(hv),
        }
    }

    fn run(&self, run: quench::QuenchRun, places: Vec<QuenchedPlace>) -> QuenchPartRun {
        let setup = self.setup;
        let mut remarks = run.remarks;
        let start = self.lines.split(self.carbon_at(0.0));
        let entering_k = linear_clamped(
            &run.time_s,
            &surface(&run.temperature_k, run.depth_m.len()),
            setup.quench.transfer.to_s(),
        );
        remarks.extend(entering(
            &setup.composition,
            &start,
            Temperature::from_k(entering_k),
        ));
        let bath = setup.bath.as_ref().and_then(|vessel| {
            let mixed = bath_heat::mix(
                setup.quench.quenchant,
                setup.quench.bath,
                vessel,
                run.heat_to_bath_j_kg,
            )?;
            remarks.extend(bath_heat::remarks(setup.quench.quenchant, vessel, &mixed));
            Some(mixed)
        });
        QuenchPartRun {
            time_s: run.time_s,
            places,
            heat_to_bath_j_kg: run.heat_to_bath_j_kg,
            balance_error: run.balance_error,
            steps: run.steps,
            sources: sources(bath.is_some()),
            bath,
            remarks,
        }
    }
}

/// Temperatures of the first node.
fn surface(temperature_k: &[f64], nodes: usize) -> Vec<f64> {
    temperature_k.iter().step_by(nodes).copied().collect()
}

/// A remark where the surface comes to the bath colder than austenite of its carbon can be; where
/// ferrite stood beside it in the furnace already, that is another matter.
pub(crate) fn entering(
    steel: &Composition,
    start: &Austenite,
    surface: Temperature,
) -> Option<Remark> {
    if start.ferrite > 0.0 || start.austenite <= 0.0 {
        return None;
    }
    let dissolved_wt_pct = start.carbon.to_wt_pct();
    let a1 = ac1_andrews(steel).value;
    let line = if dissolved_wt_pct < EUTECTOID_WT_PCT {
        let carbon = casewright_terms::WeightPercent::from_wt_pct(dissolved_wt_pct);
        ac3_andrews(&steel.with_carbon(carbon)).value.max(a1)
    } else {
        a1
    };
    (surface < line).then(|| {
        Remark::new(
            "enters-cold",
            format!(
                "the surface comes to the bath at {:.0} °C, under the {:.0} °C below which its austenite begins to break down: go faster or hotter",
                surface.to_c(),
                line.to_c()
            ),
        )
    })
}

/// Time between two levels on the way down, from the start where that is colder than the first.
fn between(time_s: &[f64], curve_k: &[f64], high_c: f64, low_c: f64) -> Option<Span> {
    let passes = |celsius: f64| {
        let level_k = celsius + ICE_POINT_K;
        let i = curve_k.iter().position(|t| *t < level_k)?;
        if i == 0 {
            return Some(0.0);
        }
        let share = (curve_k[i - 1] - level_k) / (curve_k[i - 1] - curve_k[i]);
        Some(time_s[i - 1] + share * (time_s[i] - time_s[i - 1]))
    };
    let (from, to) = (passes(high_c)?, passes(low_c)?);
    (to > from).then(|| Span::from_s(to - from))
}

/// Keys of the sources of the model.
fn sources(with_bath: bool) -> Vec<SourceKey> {
    let mut keys = quench::sources();
    keys.extend(transform::sources());
    keys.extend(phase_hardness::SOURCES);
    if with_bath {
        keys.extend(bath_heat::SOURCES);
    }
    keys.sort_unstable();
    keys.dedup();
    keys
}
