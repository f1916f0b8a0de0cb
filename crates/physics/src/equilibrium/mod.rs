//! Which phases a steel consists of at a temperature, and at which temperatures they change.
//!
//! Sublattice (compound energy) Gibbs energies of Fe-C-Mn-Si-Cr-Ni-Mo for austenite, ferrite,
//! cementite, M7C3, M23C6 and graphite; see `docs/theory/equilibrium.md`. It knows equilibrium
//! only: how fast a phase comes is the business of the laws of transformation.

mod assessment;
mod austenite;
mod boundary;
mod component;
mod doubt;
mod energy;
mod response;
mod saturation;
mod solve;

use std::sync::OnceLock;

use casewright_terms::{
    Composition, Element, Fraction, SourceKey, Temperature, Valued, WeightPercent,
};

pub use austenite::{AusteniteCarbon, Saturation, saturation_carbide, saturation_graphite};
pub use boundary::{Boundaries, Partition, acm};
pub use doubt::{Doubt, doubt};
pub(crate) use saturation::{AlloyFactor, Ratios};
pub use saturation::{SaturationTable, carbide_limit};

use component::{Alloying, Amounts, COMPONENTS, SUBSTITUTIONAL, molar_mass_g, validity};
use energy::{Mobile, Template};
use solve::{Found, PHASES, Search};

/// A phase the equilibrium knows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Phase {
    /// Face-centred cubic iron with carbon.
    Austenite,
    /// Body-centred cubic iron with a little carbon.
    Ferrite,
    /// M3C.
    Cementite,
    /// M7C3.
    M7c3,
    /// M23C6.
    M23c6,
    /// Graphite.
    Graphite,
}

impl Phase {
    /// All phases.
    pub const ALL: [Self; 6] = [
        Self::Austenite,
        Self::Ferrite,
        Self::Cementite,
        Self::M7c3,
        Self::M23c6,
        Self::Graphite,
    ];

    /// The name used in files and answers.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Austenite => "austenite",
            Self::Ferrite => "ferrite",
            Self::Cementite => "cementite",
            Self::M7c3 => "m7c3",
            Self::M23c6 => "m23c6",
            Self::Graphite => "graphite",
        }
    }
}

/// Which phases may appear.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PhaseSet(u8);

impl PhaseSet {
    /// Austenite, ferrite and all carbides; graphite does not form in the hours of a heat.
    pub const STEEL: Self = Self(0b01_1111);
    /// Austenite, ferrite and cementite.
    pub const CEMENTITE_ONLY: Self = Self(0b00_0111);
    /// Everything, graphite too.
    pub const ALL: Self = Self(0b11_1111);

    /// Whether a phase may appear.
    #[must_use]
    pub const fn has(self, phase: Phase) -> bool {
        self.0 >> phase as u8 & 1 == 1
    }

    /// The same set without a phase.
    #[must_use]
    pub const fn without(self, phase: Phase) -> Self {
        Self(self.0 & !(1 << phase as u8))
    }

    /// The same set with a phase.
    #[must_use]
    pub const fn with(self, phase: Phase) -> Self {
        Self(self.0 | 1 << phase as u8)
    }
}

/// Why there is no equilibrium to tell.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum EquilibriumFailure {
    /// The temperature lies outside the tables.
    #[error(
        "{} °C lies outside the Gibbs energies, which hold from {} to {} °C",
        temperature.to_c().round(), low.to_c().round(), high.to_c().round()
    )]
    OutsideTemperature {
        /// What was asked.
        temperature: Temperature,
        /// Lowest that is tabulated.
        low: Temperature,
        /// Highest.
        high: Temperature,
    },
    /// An element is far outside the assessments.
    #[error(
        "{} is {wt_pct} %; the Gibbs energies are made for steels and hold from 0 to \
         {limit_wt_pct} %",
        element.symbol()
    )]
    OutsideComposition {
        /// Which.
        element: Element,
        /// How much.
        wt_pct: f64,
        /// The most that is computed at all.
        limit_wt_pct: f64,
    },
    /// Neither austenite nor ferrite may appear.
    #[error("neither austenite nor ferrite may appear")]
    NoMatrix,
    /// Austenite dissolves carbon without limit, or a carbide forms from the start.
    #[error("austenite of this steel has no saturation between 0 and 5 % carbon")]
    NoSaturation,
    /// Two phases became the same, or more phases than elements.
    #[error("{phases} phases at {temperature_k} K leave the potentials undetermined")]
    Degenerate {
        /// In kelvin.
        temperature_k: f64,
        /// How many phases.
        phases: usize,
    },
    /// The search did not come to rest.
    #[error(
        "the phases at {temperature_k} K did not settle in {rounds} rounds (last change {change:e})"
    )]
    NotSettled {
        /// In kelvin.
        temperature_k: f64,
        /// How many rounds.
        rounds: usize,
        /// Largest relative change of the last one.
        change: f64,
    },
}

/// One phase of an equilibrium.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PhaseShare {
    /// Which.
    pub phase: Phase,
    /// Its share of all atoms.
    pub mole_fraction: Fraction,
    /// Its share of the mass.
    pub mass_fraction: Fraction,
    wt_pct: [f64; Element::ALL.len()],
    iron_wt_pct: f64,
}

impl PhaseShare {
    /// Carbon in the phase.
    #[must_use]
    pub fn carbon(&self) -> WeightPercent {
        self.content(Element::C)
    }

    /// Content of an element; zero for those the equilibrium does not know.
    #[must_use]
    pub fn content(&self, element: Element) -> WeightPercent {
        WeightPercent::from_wt_pct(self.wt_pct[element as usize])
    }

    /// Iron in the phase.
    #[must_use]
    pub fn iron(&self) -> WeightPercent {
        WeightPercent::from_wt_pct(self.iron_wt_pct)
    }
}

/// The phases of a steel at a temperature.
#[derive(Clone, Debug, PartialEq)]
pub struct Equilibrium {
    /// Stable phases, most first.
    pub phases: Vec<PhaseShare>,
    /// Activity of carbon against graphite.
    pub carbon_activity: f64,
    /// Rounds the search took.
    pub rounds: usize,
}

impl Equilibrium {
    /// Share of all atoms in a phase; zero where it is not stable.
    #[must_use]
    pub fn mole_fraction(&self, phase: Phase) -> Fraction {
        self.get(phase)
            .map_or(Fraction::ZERO, |share| share.mole_fraction)
    }

    /// A phase, where it is stable.
    #[must_use]
    pub fn get(&self, phase: Phase) -> Option<&PhaseShare> {
        self.phases.iter().find(|share| share.phase == phase)
    }

    /// Share of all atoms in carbides.
    #[must_use]
    pub fn carbides(&self) -> Fraction {
        [Phase::Cementite, Phase::M7c3, Phase::M23c6]
            .into_iter()
            .map(|phase| self.mole_fraction(phase))
            .sum()
    }
}

/// The phases of a steel at a temperature, of those in the set.
///
/// # Errors
/// See [`EquilibriumFailure`]; a steel inside the assessments settles at every temperature of the
/// tables.
pub fn equilibrium(
    composition: &Composition,
    temperature: Temperature,
    set: PhaseSet,
) -> Result<Valued<Equilibrium>, EquilibriumFailure> {
    search(composition, temperature, set, Mobile::All)
}

/// The same where only carbon moves between the phases and the metals keep their ratios, as in
/// heats of minutes. Of the carbides only cementite can form so.
///
/// # Errors
/// See [`EquilibriumFailure`].
pub fn para_equilibrium(
    composition: &Composition,
    temperature: Temperature,
    set: PhaseSet,
) -> Result<Valued<Equilibrium>, EquilibriumFailure> {
    let set = set.without(Phase::M7c3).without(Phase::M23c6);
    search(composition, temperature, set, Mobile::Carbon)
}

fn search(
    composition: &Composition,
    temperature: Temperature,
    set: PhaseSet,
    mobile: Mobile,
) -> Result<Valued<Equilibrium>, EquilibriumFailure> {
    check(composition, temperature)?;
    let mut search = Search::new(Amounts::of(composition), set, mobile);
    let found = search.at(temperature.to_k())?;
    Ok(Valued {
        value: told(&search.amounts, &found, mobile),
        remarks: validity(composition),
    })
}

/// Keys of all sources behind the Gibbs energies.
#[must_use]
pub fn sources() -> &'static [SourceKey] {
    &assessment::assessment().sources
}

/// Lowest and highest temperature at which phases can be computed.
#[must_use]
pub fn temperature_range() -> (Temperature, Temperature) {
    let built = assessment::assessment();
    (
        Temperature::from_k(built.low_k),
        Temperature::from_k(built.high_k),
    )
}

/// The most carbon that the Gibbs energies are assessed for: what austenite dissolves.
#[must_use]
pub fn most_carbon() -> WeightPercent {
    WeightPercent::from_wt_pct(component::MOST_CARBON_WT_PCT)
}

fn check(composition: &Composition, temperature: Temperature) -> Result<(), EquilibriumFailure> {
    check_composition(composition)?;
    let built = assessment::assessment();
    if (built.low_k..=built.high_k).contains(&temperature.to_k()) {
        return Ok(());
    }
    Err(EquilibriumFailure::OutsideTemperature {
        temperature,
        low: Temperature::from_k(built.low_k),
        high: Temperature::from_k(built.high_k),
    })
}

fn check_composition(composition: &Composition) -> Result<(), EquilibriumFailure> {
    component::refused(composition).map_or(Ok(()), |(element, wt_pct, limit_wt_pct)| {
        Err(EquilibriumFailure::OutsideComposition {
            element,
            wt_pct,
            limit_wt_pct,
        })
    })
}

/// Mole fractions into weight percent, phase by phase.
fn told(amounts: &Amounts, found: &Found, mobile: Mobile) -> Equilibrium {
    let names: Vec<&str> = amounts.alloying.components().collect();
    let content = |p: usize| match mobile {
        Mobile::All => found.content[p],
        Mobile::Carbon => {
            let [metal, carbon, ..] = found.content[p];
            let last = names.len() - 1;
            let mut content = amounts.mole_fraction;
            for x in &mut content[..last] {
                *x *= metal / (1.0 - amounts.mole_fraction[last]);
            }
            content[last] = carbon;
            content
        }
    };
    let mass = |x: &[f64; COMPONENTS]| -> f64 {
        names
            .iter()
            .zip(x)
            .map(|(name, x)| x * molar_mass_g(name))
            .sum()
    };
    let total = mass(&amounts.mole_fraction);
    let mut phases: Vec<PhaseShare> = (0..PHASES)
        .filter(|p| found.atoms[*p] > 0.0)
        .map(|p| {
            let content = content(p);
            let own = mass(&content);
            let mut wt_pct = [0.0; Element::ALL.len()];
            let mut iron_wt_pct = 0.0;
            for (name, x) in names.iter().zip(&content) {
                let share = 100.0 * x * molar_mass_g(name) / own;
                match Element::from_symbol(name) {
                    Some(element) => wt_pct[element as usize] = share,
                    None => iron_wt_pct = share,
                }
            }
            PhaseShare {
                phase: Phase::ALL[p],
                mole_fraction: Fraction::from_ratio(found.atoms[p]),
                mass_fraction: Fraction::from_ratio(found.atoms[p] * own / total),
                wt_pct,
                iron_wt_pct,
            }
        })
        .collect();
    phases.sort_by(|a, b| {
        b.mole_fraction
            .to_ratio()
            .total_cmp(&a.mole_fraction.to_ratio())
    });
    Equilibrium {
        phases,
        carbon_activity: found.carbon_activity,
        rounds: found.rounds,
    }
}

/// What a phase looks like with a set of elements, made once for each set.
fn template(phase: Phase, alloying: Alloying, mobile: Mobile) -> Option<&'static Template> {
    const SETS: usize = 1 << SUBSTITUTIONAL.len();
    static MADE: [[[OnceLock<Template>; SETS]; PHASES]; 2] =
        [const { [const { [const { OnceLock::new() }; SETS] }; PHASES] }; 2];
    let built = assessment::assessment();
    let data = match phase {
        Phase::Austenite => &built.austenite,
        Phase::Ferrite => &built.ferrite,
        Phase::Cementite => &built.cementite,
        Phase::M7c3 => &built.m7c3,
        Phase::M23c6 => &built.m23c6,
        Phase::Graphite => return None,
    };
    let made =
        &MADE[usize::from(mobile == Mobile::Carbon)][phase as usize][usize::from(alloying.0)];
    Some(made.get_or_init(|| Template::new(data, alloying, mobile)))
}
