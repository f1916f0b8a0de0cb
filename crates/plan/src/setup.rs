//! The only bridge from the shop's words to physics' words.

use casewright_job::shop::{Agitation, CompoundLot, Energiser, Medium, QuenchTank};
use casewright_job::spec::{PartShape, Steel};
use casewright_physics::law::surface_transfer::PackEnergiser;
use casewright_physics::matter::steel;
use casewright_physics::medium;
use casewright_physics::setup::{QuenchSetup, Quenchant, Shape, Stirring, Surface};
use casewright_terms::{Composition, Length, Mass, Volume};

/// Density of steel for masses of parts and boxes; EN 1993-1-2 uses the same round figure.
pub(crate) const STEEL_KG_M3: f64 = 7850.0;

/// The one-dimensional body that stands for a part: a plate for flat parts and blocks (their
/// least side), a cylinder for bars, a tube, a sphere.
#[must_use]
pub fn shape(part: PartShape) -> Shape {
    match part {
        PartShape::Plate { thickness, .. } => Shape::Plate {
            half_thickness: thickness * 0.5,
        },
        PartShape::Block { a, b, c } => Shape::Plate {
            half_thickness: a.min(b).min(c) * 0.5,
        },
        PartShape::Bar { diameter, .. } => Shape::Cylinder {
            radius: diameter * 0.5,
        },
        PartShape::Sphere { diameter } => Shape::Sphere {
            radius: diameter * 0.5,
        },
        PartShape::Tube { outer, inner, .. } => Shape::Tube {
            inner_radius: inner * 0.5,
            outer_radius: outer * 0.5,
        },
    }
}

/// The body's least thickness of steel: what two cases share.
#[must_use]
pub fn section(part: PartShape) -> Length {
    match part {
        PartShape::Plate { thickness, .. } => thickness,
        PartShape::Block { a, b, c } => a.min(b).min(c),
        PartShape::Bar { diameter, .. } | PartShape::Sphere { diameter } => diameter,
        PartShape::Tube { outer, inner, .. } => (outer - inner) * 0.5,
    }
}

/// The brick around a part: three sides, least first.
#[must_use]
pub fn brick(part: PartShape) -> [Length; 3] {
    let mut sides = match part {
        PartShape::Plate {
            thickness,
            width,
            length,
        } => [thickness, width, length],
        PartShape::Block { a, b, c } => [a, b, c],
        PartShape::Bar { diameter, length } => [diameter, diameter, length],
        PartShape::Tube { outer, length, .. } => [outer, outer, length],
        PartShape::Sphere { diameter } => [diameter; 3],
    };
    sides.sort_by(|a, b| a.to_m().total_cmp(&b.to_m()));
    sides
}

/// Whether the part is round about an axis, and the diameter of its round surface.
#[must_use]
pub fn round_diameter(part: PartShape) -> Option<Length> {
    match part {
        PartShape::Bar { diameter, .. } | PartShape::Sphere { diameter } => Some(diameter),
        PartShape::Tube { outer, .. } => Some(outer),
        PartShape::Plate { .. } | PartShape::Block { .. } => None,
    }
}

/// Volume of the body; what is cut into it is not taken off.
#[must_use]
pub fn volume(part: PartShape) -> Volume {
    use std::f64::consts::PI;
    let m3 = match part {
        PartShape::Plate {
            thickness,
            width,
            length,
        } => thickness.to_m() * width.to_m() * length.to_m(),
        PartShape::Block { a, b, c } => a.to_m() * b.to_m() * c.to_m(),
        PartShape::Bar { diameter, length } => {
            PI / 4.0 * diameter.to_m() * diameter.to_m() * length.to_m()
        }
        PartShape::Tube {
            outer,
            inner,
            length,
        } => PI / 4.0 * (outer.to_m() * outer.to_m() - inner.to_m() * inner.to_m()) * length.to_m(),
        PartShape::Sphere { diameter } => {
            PI / 6.0 * diameter.to_m() * diameter.to_m() * diameter.to_m()
        }
    };
    Volume::from_m3(m3)
}

/// Mass of one part.
#[must_use]
pub fn part_mass(part: PartShape) -> Mass {
    Mass::from_kg(volume(part).to_m3() * STEEL_KG_M3)
}

/// The steel's chemistry and, where its grade is in the table, the record.
#[must_use]
pub fn composition(wished: &Steel) -> Option<(Composition, Option<&'static steel::SteelRecord>)> {
    match wished {
        Steel::Grade { name, .. } => {
            steel::find(name).map(|record| (record.middle(), Some(record)))
        }
        Steel::Chemistry {
            composition, grade, ..
        } => Some((*composition, grade.as_deref().and_then(steel::find))),
    }
}

/// The quench of a tank.
#[must_use]
pub fn quench(tank: &QuenchTank) -> QuenchSetup {
    QuenchSetup {
        quenchant: match tank.medium {
            Medium::Water => Quenchant::Water,
            Medium::Brine => Quenchant::Brine,
            Medium::SlowOil => Quenchant::SlowOil,
            Medium::FastOil => Quenchant::FastOil,
            Medium::Polymer => Quenchant::Polymer,
            Medium::Air => Quenchant::Air,
        },
        stirring: match tank.agitation {
            Agitation::Still => Stirring::Still,
            Agitation::Mild => Stirring::Mild,
            Agitation::Good => Stirring::Good,
            Agitation::Strong => Stirring::Strong,
        },
        bath: tank.bath,
        transfer: tank.transfer,
        severity_factor: 1.0,
    }
}

/// The lot as physics knows it. A cyanide counts as a strong energiser here; the planner refuses
/// it before anything is run.
#[must_use]
pub fn pack(lot: &CompoundLot) -> medium::Pack {
    medium::Pack {
        energiser: match lot.energiser {
            Energiser::None => PackEnergiser::None,
            Energiser::CalciumCarbonate => PackEnergiser::Calcium,
            Energiser::SodiumCarbonate | Energiser::MixedWithoutBarium | Energiser::Cyanide => {
                PackEnergiser::Sodium
            }
            Energiser::BariumCarbonate | Energiser::MixedWithBarium => PackEnergiser::Barium,
        },
        energiser_by_mass: lot.energiser_fraction,
        fresh: lot.fresh,
    }
}

/// What a compound lot does at the surface; a shop's coupons replace the estimate behind it.
#[must_use]
pub fn pack_surface(lot: &CompoundLot) -> Surface {
    let pack = pack(lot);
    let (begins, full) = pack.fade_in();
    Surface::Pack {
        coefficient: pack.full_coefficient(),
        begins,
        full,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tube_wall_is_its_section() {
        let tube = PartShape::Tube {
            outer: Length::from_mm(30.0),
            inner: Length::from_mm(20.0),
            length: Length::from_mm(50.0),
        };
        assert!((section(tube).to_mm() - 5.0).abs() < 1e-12);
        assert!((volume(tube).to_mm3() - std::f64::consts::PI / 4.0 * 500.0 * 50.0).abs() < 1e-6);
    }

    #[test]
    fn a_brick_has_its_least_side_first() {
        let bar = PartShape::Bar {
            diameter: Length::from_mm(19.0),
            length: Length::from_mm(10.0),
        };
        assert_eq!(brick(bar)[0], Length::from_mm(10.0));
    }
}
