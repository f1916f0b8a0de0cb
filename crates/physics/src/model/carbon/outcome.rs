//! From a setup in quantities to bare numbers, and back to a run with its remarks.

use casewright_terms::{Composition, Element, Remark, SourceKey, Temperature};

use super::body::{Problem, Solved, moves};
use super::fit::{Law, Limits};
use super::legs::{EXCHANGE_FROM_C, MOVES_FROM_C, legs};
use super::supply::{Supplies, Supply, Taken, Turn, check_program, of_medium, surfaces};
use crate::equilibrium::{AusteniteCarbon, SaturationTable, doubt};
use crate::law::carbon_activity::{
    CARBON_G_MOL, IRON_G_MOL, ln_activity, to_site_fraction, to_wt_pct,
};
use crate::law::diffusivity::{MOST_WT_PCT, RANGE_C, outside};
use crate::medium::{Medium, MediumSetup};
use crate::numerics::chebyshev::Basis;
use crate::numerics::fun::exp;
use crate::numerics::mesh::Section;
use crate::run::{CarbonRun, Failure};
use crate::setup::{CarbonSetup, DiffusivityModel, Shape, Surface};

/// Most carbon that is simulated, in wt%: cast iron begins below it.
const MOST_CARBON_WT_PCT: f64 = 3.0;
/// Hottest cycle, in °C: steel with a carburized case melts below it.
const HOTTEST_C: f64 = 1400.0;
/// Absolute zero, in °C, rounded up.
const COLDEST_C: f64 = -273.0;
/// Tolerances that make sense, in wt%.
const TOLERANCE_WT_PCT: (f64, f64) = (1e-7, 0.1);
/// Factors on the diffusivity that are a doubt and not a mistake.
const FACTOR: (f64, f64) = (1e-2, 1e2);
/// Top of the Gibbs energies, in K.
const HOTTEST_TABLE_K: f64 = 1500.0;
/// Carbon atoms per metal atom in M3C.
const CARBIDE_Y: f64 = 1.0 / 3.0;
/// A doubt about the carbide line that is worth a remark, in K: it moves the surface carbon by
/// 0.015 wt%.
const DOUBT_K: f64 = 5.0;
/// Iron per volume of steel on which uptakes are based, in kg/m³: steel's density at room
/// temperature, common practice. The frame of the unknown is fixed to the substitutional atoms.
const IRON_KG_M3: f64 = 7850.0;
/// Grams of carbon per cubic metre and unit of site fraction.
pub(crate) const GRAMS_PER_M3: f64 = IRON_KG_M3 * 1e3 * CARBON_G_MOL / IRON_G_MOL;
/// Share of the whole movement that may be neglected in silence.
const NEGLIGIBLE: f64 = 0.01;

pub(crate) fn refuse(what: String) -> Failure {
    Failure::Setup { what }
}

/// Checks a setup and turns it into bare numbers; the saturation is that of its steel.
pub(crate) fn problem(setup: &CarbonSetup, table: &SaturationTable) -> Result<Problem, Failure> {
    let core = setup.composition.wt_pct(Element::C);
    carbon("core carbon", core)?;
    let tolerance = setup.tolerance.to_wt_pct();
    between("tolerance", tolerance, TOLERANCE_WT_PCT, "wt%")?;
    between(
        "factor on the diffusivity",
        setup.diffusivity_factor,
        FACTOR,
        "",
    )?;
    for (k, piece) in setup.cycle.pieces.iter().enumerate() {
        let name = format!("piece {} of the cycle", k + 1);
        between(&name, piece.from.to_c(), (COLDEST_C, HOTTEST_C), "°C")?;
        between(&name, piece.to.to_c(), (COLDEST_C, HOTTEST_C), "°C")?;
        if piece.duration.to_s() < 0.0 {
            let h = piece.duration.to_h();
            return Err(refuse(format!(
                "{name} takes {h} h; a duration of 0 or more is needed"
            )));
        }
    }
    let law = match setup.diffusivity {
        DiffusivityModel::Agren1986 => Law::Agren,
        DiffusivityModel::Tibbetts1980 => Law::Tibbetts,
        // Plain iron is its own ratio.
        DiffusivityModel::Alloy => table.factor().map_or(Law::Agren, Law::Alloy),
    };
    let legs = legs(&setup.cycle, &setup.surface);
    let hottest_k = legs
        .iter()
        .fold(0.0_f64, |m, leg| m.max(leg.from_k).max(leg.to_k));
    let coldest_k = Temperature::from_c(MOVES_FROM_C).to_k();
    let range_k = (coldest_k, hottest_k.max(coldest_k));
    let mut supplies = Supplies::default();
    let supply = supply(&setup.surface, setup, range_k, &mut supplies)?;
    if let Surface::Program(_) = setup.surface {
        for (end_s, surface) in surfaces(&setup.surface) {
            let supply = self::supply(surface, setup, range_k, &mut supplies)?;
            supplies.turns.push(Turn { end_s, supply });
        }
    }
    if let Law::Alloy(_) = law {
        let fed = [supply]
            .into_iter()
            .chain(supplies.turns.iter().map(|turn| turn.supply));
        supplies.taken = fed
            .filter_map(|supply| match supply {
                Supply::Fed { potential_y } => Some(potential_y),
                _ => None,
            })
            .map(|y| Taken::new(y, range_k, |t_k| steel_y(&setup.composition, t_k, y)))
            .collect();
    }
    Ok(Problem {
        section: section(setup.shape)?,
        law,
        factor: setup.diffusivity_factor,
        supply,
        supplies,
        legs,
        core_y: to_site_fraction(core),
        // wt% and site fraction are close to proportional; the slope at the core is the lesser.
        tolerance_y: to_site_fraction(tolerance),
        limits: Some(Limits::new(&Basis::new(), coldest_k, hottest_k, table)),
        grading: None,
        #[cfg(test)]
        equal_steps: None,
    })
}

/// What stands at the surface for one surface of the setup.
fn supply(
    surface: &Surface,
    setup: &CarbonSetup,
    range_k: (f64, f64),
    supplies: &mut Supplies,
) -> Result<Supply, Failure> {
    Ok(match surface {
        Surface::Fixed { carbon: c } => {
            carbon("surface carbon", c.to_wt_pct())?;
            Supply::Held {
                y: to_site_fraction(c.to_wt_pct()),
            }
        }
        Surface::Transfer {
            potential,
            coefficient,
            ..
        } => {
            carbon("carbon potential", potential.to_wt_pct())?;
            not_negative(coefficient.to_m_s())?;
            Supply::Fed {
                potential_y: to_site_fraction(potential.to_wt_pct()),
            }
        }
        Surface::Pack {
            coefficient,
            begins,
            full,
        } => {
            not_negative(coefficient.to_m_s())?;
            if full < begins {
                return Err(refuse(format!(
                    "the pack's exchange is full at {:.0} °C, below its beginning at {:.0} °C",
                    full.to_c(),
                    begins.to_c()
                )));
            }
            Supply::Pack
        }
        Surface::Sealed => Supply::Sealed,
        Surface::Medium(MediumSetup::Pack(pack)) => {
            pack.check()
                .map_err(|refusal| refuse(refusal.to_string()))?;
            supplies.sources.extend(pack.sources());
            let hottest = Temperature::from_k(range_k.1);
            supplies.remarks.extend(pack.drive(hottest).remarks);
            Supply::Pack
        }
        Surface::Medium(medium) => of_medium(medium.medium(), setup, range_k, supplies)?,
        Surface::Program(turns) => {
            check_program(turns)?;
            Supply::Sealed
        }
    })
}

/// Site fraction of the steel with the activity of plain iron at `potential_y`; the tables of the
/// Gibbs energies end at 1227 °C, and the ratio of the two is held above.
fn steel_y(steel: &Composition, t_k: f64, potential_y: f64) -> f64 {
    if potential_y <= 0.0 {
        return 0.0;
    }
    let t_k = t_k.min(HOTTEST_TABLE_K);
    let activity = exp(ln_activity(t_k, potential_y));
    AusteniteCarbon::at(steel, Temperature::from_k(t_k))
        .ok()
        .and_then(|austenite| austenite.value.carbon_of_activity(activity))
        // More than 5 wt%: the saturation stands in its place anyway.
        .map_or(potential_y, |carbon| to_site_fraction(carbon.to_wt_pct()))
}

fn section(shape: Shape) -> Result<Section, Failure> {
    let size = |name: &str, m: f64| between(name, m, (1e-9, 1e3), "m").map(|()| m);
    Ok(match shape {
        Shape::Plate { half_thickness } => Section::Plate {
            half_m: size("half thickness", half_thickness.to_m())?,
        },
        Shape::Cylinder { radius } => Section::Cylinder {
            radius_m: size("radius", radius.to_m())?,
        },
        Shape::Sphere { radius } => Section::Sphere {
            radius_m: size("radius", radius.to_m())?,
        },
        Shape::Tube {
            inner_radius,
            outer_radius,
        } => {
            let inner_m = size("inner radius", inner_radius.to_m())?;
            let outer_m = size("outer radius", outer_radius.to_m())?;
            size("wall of the tube", outer_m - inner_m)?;
            Section::Tube { inner_m, outer_m }
        }
    })
}

fn carbon(name: &str, wt_pct: f64) -> Result<(), Failure> {
    between(name, wt_pct, (0.0, MOST_CARBON_WT_PCT), "wt%")
}

pub(crate) fn between(
    name: &str,
    value: f64,
    (low, high): (f64, f64),
    unit: &str,
) -> Result<(), Failure> {
    if value >= low && value <= high {
        return Ok(());
    }
    let text = format!("{name} is {value} {unit}; {low} to {high} {unit} can be simulated");
    Err(refuse(text.replace(" ;", ";").replace("  ", " ")))
}

fn not_negative(beta_m_s: f64) -> Result<(), Failure> {
    between("transfer coefficient", beta_m_s, (0.0, 1.0), "m/s")
}

/// The run: wt%, uptake, remarks, sources.
pub(super) fn run(
    setup: &CarbonSetup,
    problem: &Problem,
    table: &SaturationTable,
    solved: &Solved,
) -> CarbonRun {
    let treated = match problem.section {
        Section::Tube { .. } => 1.0 + solved.mesh.last_area,
        _ => 1.0,
    };
    let most_y = solved.y.iter().fold(0.0_f64, |m, y| m.max(*y));
    let inside = solved.mesh.volume_m.iter().zip(&solved.y);
    let balance_error = balance_error(
        solved.uptake_m,
        solved.gain_m,
        inside.map(|(v, y)| v * y).sum(),
    );
    CarbonRun {
        depth_m: solved.mesh.depth_m.clone(),
        carbon_wt_pct: solved.y.iter().map(|y| to_wt_pct(*y)).collect(),
        carbide_wt_pct: carbide_wt_pct(problem, &solved.y),
        uptake_g_m2: solved.uptake_m * GRAMS_PER_M3 / treated,
        balance_error,
        steps: solved.counts.steps,
        refused: solved.counts.refused,
        remarks: {
            let mut all = remarks(setup, problem, table, most_y);
            all.extend(solved.coarser.map(|looser| edge_coarse(setup, looser)));
            all
        },
        sources: sources(setup, problem, table),
    }
}

/// A difference below this share of the carbon inside is rounding.
const ROUNDING: f64 = 4.0 * f64::EPSILON;

/// Relative difference of what the surface let in and what the inside gained, 0 where it is
/// rounding of the carbon inside: where next to nothing was exchanged, the last digits of what is
/// inside are all there is, and their ratio to the uptake says nothing.
pub(crate) fn balance_error(uptake: f64, gain: f64, inside: f64) -> f64 {
    let off = (uptake - gain).abs();
    // Written so that NaN shows.
    if off <= ROUNDING * inside {
        0.0
    } else {
        off / uptake.abs().max(gain.abs())
    }
}

/// Carbon bound in carbide when the carbon came to rest, by the lever between the saturated matrix
/// and M3C: what is over the limit takes metal with it.
pub(crate) fn carbide_wt_pct(problem: &Problem, y: &[f64]) -> Vec<f64> {
    let last_k = problem.legs.iter().rev().find(|leg| moves(leg));
    let limit = match (problem.limits, last_k) {
        (Some(limits), Some(leg)) => limits.matrix(leg.to_k),
        _ => f64::INFINITY,
    };
    y.iter()
        .map(|&y| {
            if y <= limit {
                return 0.0;
            }
            let share = ((y - limit) / (CARBIDE_Y - limit)).min(1.0);
            to_wt_pct(y) * (share * CARBIDE_Y / y).min(1.0)
        })
        .collect()
}

/// The steps settled only with the carbide's edge on the nodes.
fn edge_coarse(setup: &CarbonSetup, looser: f64) -> Remark {
    Remark::new(
        "carbide-edge-coarse",
        format!(
            "the edge of the carbide goes back and forth and was followed from node to node to {:.1e} wt%; beside it carbon may be off by some thousandths of a percent more",
            setup.tolerance.to_wt_pct() * looser
        ),
    )
}

/// Notes about validity; `most_y` is the greatest total carbon of the run.
pub(crate) fn remarks(
    setup: &CarbonSetup,
    problem: &Problem,
    table: &SaturationTable,
    most_y: f64,
) -> Vec<Remark> {
    let mut remarks = Vec::new();
    let moving = || problem.legs.iter().filter(|leg| moves(leg));
    let hottest_k = moving().fold(0.0_f64, |m, leg| m.max(leg.from_k).max(leg.to_k));
    let d = |t_k: f64| problem.law.d_m2_s(t_k.max(300.0), most_y);
    let done: f64 = moving().map(|leg| leg.integral(d)).sum();
    let left: f64 = problem
        .legs
        .iter()
        .filter(|leg| !moves(leg))
        .map(|leg| leg.integral(d))
        .sum();
    if hottest_k == 0.0 {
        if !problem.legs.is_empty() {
            let text = format!("the cycle stays below {MOVES_FROM_C} °C: no carbon moves");
            remarks.push(Remark::new("carbon-all-cold", text));
        }
        return remarks;
    }
    if left > NEGLIGIBLE * done {
        let text = format!(
            "carbon is frozen below {MOVES_FROM_C} °C; austenite would have moved {:.0} % as much \
             there as above",
            100.0 * left / done
        );
        remarks.push(Remark::new("carbon-frozen-below-floor", text));
    }
    let hottest_c = Temperature::from_k(hottest_k).to_c();
    let hot = hottest_c > RANGE_C.1 || to_wt_pct(most_y) > MOST_WT_PCT;
    if hot || hottest_c < RANGE_C.0 {
        remarks.push(outside(hottest_c, to_wt_pct(most_y)));
    }
    let asked = match problem.supply {
        Supply::Held { y } => Some(("surface carbon", y, "the rest is carbide")),
        Supply::Fed { potential_y } => {
            Some(("carbon potential", potential_y, "the limit is used instead"))
        }
        Supply::Pack | Supply::Sealed | Supply::Curve { .. } | Supply::Flux { .. } => None,
    };
    if let (Some((name, y, then)), Some(limits)) = (asked, problem.limits)
        && y > limits.matrix(hottest_k) * (1.0 + 1e-3)
    {
        let text = format!(
            "{name} {:.2} wt% is more than austenite holds at {hottest_c:.0} °C ({:.2} wt%): {then}",
            to_wt_pct(y),
            to_wt_pct(limits.matrix(hottest_k))
        );
        remarks.push(Remark::new("carbon-over-saturation", text));
    }
    if hottest_c < EXCHANGE_FROM_C && !matches!(setup.surface, Surface::Sealed) {
        let text = format!("the cycle stays below {EXCHANGE_FROM_C} °C: nothing is exchanged");
        remarks.push(Remark::new("carbon-no-exchange", text));
    }
    remarks.extend(table.remarks().iter().cloned());
    let acm_k = doubt(&setup.composition).acm_k;
    if acm_k >= DOUBT_K {
        let text = format!(
            "saturation of the alloy steel: published assessments differ by up to {acm_k:.0} K in \
             its carbide line"
        );
        remarks.push(Remark::new("saturation-doubt", text));
    }
    for remark in &problem.supplies.remarks {
        if !remarks.contains(remark) {
            remarks.push(remark.clone());
        }
    }
    remarks
}

pub(crate) fn sources(
    setup: &CarbonSetup,
    problem: &Problem,
    table: &SaturationTable,
) -> Vec<SourceKey> {
    let mut sources = vec![match setup.diffusivity {
        DiffusivityModel::Tibbetts1980 => "tibbetts-1980",
        DiffusivityModel::Agren1986 | DiffusivityModel::Alloy => "agren-1986",
    }];
    sources.extend(["gustafson-1985", "dinsdale-1991"]);
    if !table.is_plain() {
        sources.push("mc-fe-2059");
    }
    for key in &problem.supplies.sources {
        if !sources.contains(key) {
            sources.push(key);
        }
    }
    sources
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding is no loss, a loss is one however little was exchanged, and NaN is not hidden.
    #[test]
    fn balance_tells_a_loss_from_rounding() {
        assert_eq!(balance_error(0.0, 1e-17, 1.0), 0.0);
        assert_eq!(balance_error(1e-17, -3e-17, 1.0), 0.0);
        assert_eq!(balance_error(0.0, 0.0, 0.0), 0.0);
        assert!((balance_error(1e-14, 2e-14, 1.0) - 0.5).abs() < 1e-15);
        assert!((balance_error(1.0, 0.999, 5.0) - 1e-3).abs() < 1e-15);
        assert!(balance_error(f64::NAN, 1.0, 1.0).is_nan());
        assert!(balance_error(1.0, f64::NAN, 1.0).is_nan());
    }
}
