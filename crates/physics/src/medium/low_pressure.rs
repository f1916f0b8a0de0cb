//! Low-pressure boost and diffuse: in a boost carbon arrives at a flux until the skin is
//! saturated against carbide, in a diffuse the surface is sealed.
//!
//! The flux belongs to the furnace, its gas and its load, and its owner gives it. That more than
//! saturation arrives as soot or carbide is not followed: the surface is held at the carbide limit
//! (`low-pressure-assumed`).

use casewright_terms::{CarbonFlux, Remark, SourceKey, Span, Temperature, Valued};

use super::{Caution, Drive, Medium, MediumSetup, Refusal};
use crate::setup::Surface;

/// Fluxes that can be meant, g/(m² h): a boost with acetylene gives some hundreds at its start.
/// [trade-practice]
const FLUX_G_M2_H: (f64, f64) = (0.0, 2000.0);

/// A boost.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LowPressure {
    /// Carbon that arrives while the skin still takes all of it.
    pub flux: CarbonFlux,
    /// The gas is let in above this.
    pub above: Temperature,
}

impl Medium for LowPressure {
    fn check(&self) -> Result<(), Refusal> {
        let flux = self.flux.to_g_m2_h();
        if (FLUX_G_M2_H.0..=FLUX_G_M2_H.1).contains(&flux) {
            return Ok(());
        }
        Err(Refusal::value(
            "carbon flux",
            flux,
            "g/(m² h)",
            "0 to 2000 g/(m² h) is taken",
        ))
    }

    fn drive(&self, _: Temperature) -> Valued<Drive> {
        let text = "the boost is a given flux up to the carbide limit; carbide or soot that a \
                    longer boost piles up on the skin is not followed";
        Valued::with(
            Drive::Flux(self.flux),
            Remark::new("low-pressure-assumed", text),
        )
    }

    fn above(&self) -> Temperature {
        self.above
    }

    fn cautions(&self) -> Vec<Caution> {
        vec![
            Caution {
                code: "acetylene",
                hazard: "Explosion",
                text: "Acetylene and propane explode with air: the furnace maker's interlocks on \
                       pressure and leak rate stay in force, and the chamber is pumped out before \
                       air is let in.",
            },
            Caution {
                code: "boost-carbide",
                hazard: "Brittle skin",
                text: "A boost past saturation leaves carbide nets at edges and corners: keep \
                       boosts short and cut a corner of the first part to look.",
            },
        ]
    }

    fn sources(&self) -> Vec<SourceKey> {
        vec!["low-pressure-assumed"]
    }
}

/// A boost and the diffuse after it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pulse {
    /// How long the gas is in.
    pub boost: Span,
    /// How long the surface is sealed afterwards.
    pub diffuse: Span,
}

/// Pulses as a program of surfaces, the first beginning `after` the cycle's start; sealed before
/// and after.
#[must_use]
pub fn pulses(boost: LowPressure, after: Span, list: &[Pulse]) -> Surface {
    let mut turns = Vec::with_capacity(2 * list.len() + 1);
    if after > Span::ZERO {
        turns.push((after, Surface::Sealed));
    }
    for pulse in list {
        turns.push((
            pulse.boost,
            Surface::Medium(MediumSetup::LowPressure(boost)),
        ));
        turns.push((pulse.diffuse, Surface::Sealed));
    }
    Surface::Program(turns)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pulses_follow_each_other() {
        let boost = LowPressure {
            flux: CarbonFlux::from_g_m2_h(120.0),
            above: Temperature::from_c(850.0),
        };
        boost.check().unwrap();
        let pulse = Pulse {
            boost: Span::from_min(5.0),
            diffuse: Span::from_min(10.0),
        };
        let Surface::Program(turns) = pulses(boost, Span::from_h(1.0), &[pulse, pulse]) else {
            panic!("pulses are a program");
        };
        assert_eq!(turns.len(), 5);
        let total: Span = turns.iter().map(|(span, _)| *span).sum();
        assert!((total.to_h() - 1.5).abs() < 1e-12);
        let wild = LowPressure {
            flux: CarbonFlux::from_g_m2_h(1e5),
            ..boost
        };
        assert_eq!(wild.check().unwrap_err().code(), "medium-value");
    }
}
