//! What stands at the treated surface: the kinds, and media as curves over temperature.
//!
//! A medium's activity and the steel's answer to it change smoothly with temperature and are kept
//! as short polynomials; the carbon that goes with an activity is found once per evaluation.

use casewright_terms::{Remark, SourceKey, Span, Temperature};

use super::legs::EXCHANGE_FROM_C;
use super::outcome::GRAMS_PER_M3;
use crate::medium::offer::{Line, SteelCarbon};
use crate::medium::{Drive, Medium};
use crate::numerics::chebyshev::{Basis, Polynomial};
use crate::numerics::fun::{exp, ln};
use crate::run::Failure;
use crate::setup::{CarbonSetup, Surface};

/// What stands at the treated surface, in site fractions.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Supply {
    Held {
        y: f64,
    },
    Fed {
        potential_y: f64,
    },
    /// Follows the saturation; never takes carbon out.
    Pack,
    /// A medium whose activity changes with temperature, by its place among the problem's curves.
    Curve {
        index: usize,
    },
    /// Carbon at a rate until the skin is saturated, in site fraction × m/s.
    Flux {
        y_m_s: f64,
    },
    Sealed,
}

impl Supply {
    /// Whether carbon is never taken out.
    pub(crate) fn gives_only(self) -> bool {
        matches!(self, Self::Pack | Self::Flux { .. })
    }
}

/// A supply for a stretch of time; none holds after the last.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Turn {
    pub end_s: f64,
    pub supply: Supply,
}

/// A medium over the temperatures of a cycle.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Curve {
    ln_activity: Polynomial,
    constant: Polynomial,
    slope: Polynomial,
    ln_beta: Polynomial,
    /// Engine's site fraction over the u of the line.
    ratio: f64,
    /// Offers nothing at all: no logarithm stands for it.
    empty: (bool, bool),
}

impl Curve {
    fn new(
        basis: &Basis,
        medium: &dyn Medium,
        steel: &SteelCarbon<'_>,
        range_k: (f64, f64),
    ) -> Self {
        let (low, high) = (range_k.0, range_k.1.max(range_k.0 + 1.0));
        let part = |t_k: f64| match medium.drive(Temperature::from_k(t_k)).value {
            Drive::Activity {
                activity,
                coefficient,
            } => (activity, coefficient.to_m_s()),
            Drive::Flux(_) => (0.0, 0.0),
        };
        let (activity, beta) = part(high);
        // What is positive at one temperature is so at all: a share or an exponential.
        let log = |x: f64| if x > 0.0 { ln(x) } else { 0.0 };
        Self {
            ln_activity: basis.fit(low, high, |t| log(part(t).0)),
            constant: basis.fit(low, high, |t| steel.line(t).constant),
            slope: basis.fit(low, high, |t| steel.line(t).slope),
            ln_beta: basis.fit(low, high, |t| log(part(t).1)),
            ratio: steel.ratio,
            empty: (activity <= 0.0, beta <= 0.0),
        }
    }

    /// Site fraction the medium would bring the surface to, at most `most`.
    pub(crate) fn potential_y(&self, t_k: f64, most: f64) -> f64 {
        if self.empty.0 {
            return 0.0;
        }
        let line = Line {
            constant: self.constant.value(t_k),
            slope: self.slope.value(t_k),
        };
        self.ratio * line.u(self.ln_activity.value(t_k), most / self.ratio)
    }

    pub(crate) fn beta_m_s(&self, t_k: f64) -> f64 {
        if self.empty.1 {
            return 0.0;
        }
        exp(self.ln_beta.value(t_k))
    }
}

/// How near saturation the skin comes before a boost gives way, as site fraction (0.005 wt%): a
/// quarter of the doubt about the line, and wide enough that steps do not chatter.
pub(crate) const YIELD_Y: f64 = 2.3e-4;

/// Flux of a boost into matrix carbon `y` and its derivative: the given rate, giving way within
/// [`YIELD_Y`] of the limit, smoothly to nothing at it (a corner there would make steps chatter).
#[inline]
pub(crate) fn boost(rate: f64, limit: f64, y: f64) -> (f64, f64) {
    let gap = ((limit - y) / YIELD_Y).max(0.0);
    let left = exp(-gap * gap);
    (rate * (1.0 - left), -2.0 * rate * gap * left / YIELD_Y)
}

/// What the steel takes of a potential that is given as carbon of plain iron, over the temperatures
/// of a cycle.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Taken {
    potential_y: f64,
    steel_y: Polynomial,
}

impl Taken {
    /// `steel_y` gives the steel's site fraction of the same activity at a temperature.
    pub(crate) fn new(
        potential_y: f64,
        (low_k, high_k): (f64, f64),
        steel_y: impl FnMut(f64) -> f64,
    ) -> Self {
        Self {
            potential_y,
            // A range of no width would divide by zero; a kelvin more on top costs nothing.
            steel_y: Basis::new().fit(low_k, high_k.max(low_k + 1.0), steel_y),
        }
    }
}

/// Everything that is known of the supply: one or in turns, with the curves behind it.
#[derive(Clone, Debug, Default)]
pub(crate) struct Supplies {
    pub turns: Vec<Turn>,
    pub curves: Vec<Curve>,
    /// By potential; what is not here is carbon of the steel itself.
    pub taken: Vec<Taken>,
    pub remarks: Vec<Remark>,
    pub sources: Vec<SourceKey>,
}

impl Supplies {
    /// Site fraction that the steel takes of a potential, limits apart.
    pub(crate) fn taken_y(&self, t_k: f64, potential_y: f64) -> f64 {
        self.taken
            .iter()
            .find(|taken| taken.potential_y == potential_y)
            .map_or(potential_y, |taken| taken.steel_y.value(t_k))
    }
}

/// The surfaces of a setup in order, each with its end in seconds (infinite for one alone).
pub(crate) fn surfaces(surface: &Surface) -> Vec<(f64, &Surface)> {
    match surface {
        Surface::Program(turns) => {
            let mut end_s = 0.0;
            turns
                .iter()
                .map(|(span, surface)| {
                    end_s += span.to_s();
                    (end_s, surface)
                })
                .chain([(f64::INFINITY, &Surface::Sealed)])
                .collect()
        }
        one => vec![(f64::INFINITY, one)],
    }
}

/// Checks the turns of a program.
pub(crate) fn check_program(turns: &[(Span, Surface)]) -> Result<(), Failure> {
    for (k, (span, surface)) in turns.iter().enumerate() {
        if span.to_s() < 0.0 {
            return Err(Failure::Setup {
                what: format!(
                    "turn {} of the surface takes {} h; a duration of 0 or more is needed",
                    k + 1,
                    span.to_h()
                ),
            });
        }
        if matches!(surface, Surface::Program(_)) {
            return Err(Failure::Setup {
                what: format!(
                    "turn {} of the surface is itself a program; list its turns in the outer one",
                    k + 1
                ),
            });
        }
    }
    Ok(())
}

/// Turns a medium into a supply; its curve is added to the list.
pub(crate) fn of_medium(
    medium: &dyn Medium,
    setup: &CarbonSetup,
    range_k: (f64, f64),
    supplies: &mut Supplies,
) -> Result<Supply, Failure> {
    medium.check().map_err(|refusal| Failure::Setup {
        what: refusal.to_string(),
    })?;
    let hottest = Temperature::from_k(range_k.1);
    let at_hottest = medium.drive(hottest);
    supplies.sources.extend(medium.sources());
    // Below A1 nothing is exchanged, so what a law says of colder iron is no concern here.
    if hottest.to_c() >= EXCHANGE_FROM_C {
        supplies.remarks.extend(at_hottest.remarks);
    }
    match at_hottest.value {
        Drive::Flux(flux) => Ok(Supply::Flux {
            y_m_s: flux.to_g_m2_h() / 3600.0 / GRAMS_PER_M3,
        }),
        Drive::Activity { .. } => {
            let steel = SteelCarbon::between(&setup.composition, range_k.0, range_k.1);
            let curve = Curve::new(&Basis::new(), medium, &steel, range_k);
            supplies.sources.extend(steel.sources());
            supplies.remarks.extend(steel.remarks);
            supplies.curves.push(curve);
            Ok(Supply::Curve {
                index: supplies.curves.len() - 1,
            })
        }
    }
}

/// Stands for a limit where there is none: 5 wt%.
pub(crate) const MOST_Y: f64 = 0.25;
