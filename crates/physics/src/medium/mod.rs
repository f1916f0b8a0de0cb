//! Media that give carbon to steel: charcoal pack, gas, salt bath, low pressure.
//!
//! A medium says what it offers at a temperature (an activity of carbon and how fast it is handed
//! over, or a flux), what to beware of, and where its numbers come from. What the steel makes of
//! it is said by [`offer`]: alloying changes the carbon that goes with an activity. What happens
//! inside is `model::carbon`'s. Nothing here chooses a medium or knows a furnace.

pub mod gas;
pub mod low_pressure;
pub mod offer;
pub mod pack;
pub mod salt;

use casewright_terms::{CarbonFlux, SourceKey, Temperature, TransferCoefficient, Valued};

pub use gas::{Gas, GasControl};
pub use low_pressure::{LowPressure, Pulse, pulses};
pub use pack::Pack;
pub use salt::{Salt, SaltKind};

/// What a medium offers a surface at one temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Drive {
    /// Carbon goes in until the surface has this activity.
    Activity {
        /// Activity of carbon against graphite; above 1 the medium would deposit soot.
        activity: f64,
        /// Coefficient of `flux = β (carbon at that activity − carbon at the surface)`.
        coefficient: TransferCoefficient,
    },
    /// Carbon goes in at this rate until the surface is saturated against carbide.
    Flux(CarbonFlux),
}

impl Drive {
    /// Activity of carbon against graphite; `None` where the medium sets none.
    #[must_use]
    pub fn activity(self) -> Option<f64> {
        match self {
            Self::Activity { activity, .. } => Some(activity),
            Self::Flux(_) => None,
        }
    }

    /// Transfer coefficient; `None` where the medium gives a flux.
    #[must_use]
    pub fn coefficient(self) -> Option<TransferCoefficient> {
        match self {
            Self::Activity { coefficient, .. } => Some(coefficient),
            Self::Flux(_) => None,
        }
    }
}

/// Something to beware of. It never replaces local codes or the instructor's procedure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Caution {
    /// Stable code, lower-case words joined by hyphens.
    pub code: &'static str,
    /// The danger in a word or two.
    pub hazard: &'static str,
    /// What to do or leave.
    pub text: &'static str,
}

/// Why a medium is not taken.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// Cyanide, whatever the rest.
    #[error("a bath with cyanide or ferrocyanide is refused: {why}; {accepted}")]
    Cyanide {
        /// Why.
        why: &'static str,
        /// What is taken instead.
        accepted: &'static str,
    },
    /// A number that cannot be meant.
    #[error("{what} is {value}; {accepted}")]
    Value {
        /// Which number.
        what: &'static str,
        /// Its value with unit.
        value: String,
        /// What would be taken.
        accepted: String,
    },
}

impl Refusal {
    /// Stable code.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::Cyanide { .. } => "refused-cyanide",
            Self::Value { .. } => "medium-value",
        }
    }

    fn value(what: &'static str, value: f64, unit: &str, accepted: &str) -> Self {
        Self::Value {
            what,
            value: format!("{value} {unit}").trim_end().to_owned(),
            accepted: accepted.to_owned(),
        }
    }
}

/// A medium that gives carbon.
pub trait Medium {
    /// Whether it can be meant and is not refused.
    ///
    /// # Errors
    /// See [`Refusal`].
    fn check(&self) -> Result<(), Refusal>;

    /// What it offers at a temperature of the part, with notes on the validity of the numbers.
    fn drive(&self, temperature: Temperature) -> Valued<Drive>;

    /// Below this nothing is exchanged.
    fn above(&self) -> Temperature;

    /// What to beware of.
    fn cautions(&self) -> Vec<Caution>;

    /// Keys of the sources behind the numbers.
    fn sources(&self) -> Vec<SourceKey>;
}

/// One of the media.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MediumSetup {
    /// Charcoal pack.
    Pack(Pack),
    /// Gas.
    Gas(Gas),
    /// Salt bath.
    Salt(Salt),
    /// Low-pressure boost.
    LowPressure(LowPressure),
}

impl MediumSetup {
    /// The medium behind the name.
    #[must_use]
    pub fn medium(&self) -> &dyn Medium {
        match self {
            Self::Pack(pack) => pack,
            Self::Gas(gas) => gas,
            Self::Salt(salt) => salt,
            Self::LowPressure(boost) => boost,
        }
    }
}
