//! Which compound fills the box: one lot, or two of a kind mixed to a normal share of fresh.
//!
//! The mixture is itself a lot, so that heat-up and carbon transfer are reckoned with what is in
//! the box and not with what is in one of the bins.

use casewright_job::shop::{CompoundLot, Energiser};
use casewright_job::spec::Spec;
use casewright_terms::{Density, Fraction, Mass, Volume};

use crate::outcome::Scoop;

/// Share of fresh compound a mixture is made to: inside the trade's 12 to 30 %. [trade-practice]
const FRESH: f64 = 0.20;
/// The trade's normal range. [trade-practice]
pub(crate) const FRESH_NORMAL: (f64, f64) = (0.12, 0.30);
/// The greatest shrinkage of a run: what is set aside to top up with, and what the top pieces are
/// kept below. [trade-practice]
pub(crate) const SETTLES: f64 = 0.15;

/// What fills a box.
#[derive(Clone, Debug, PartialEq)]
pub struct Charge<'s> {
    /// The charge as one lot: what the forecast knows.
    pub lot: CompoundLot,
    /// The lots it is made of, with their share by loose volume.
    pub of: Vec<(&'s CompoundLot, f64)>,
}

impl<'s> Charge<'s> {
    fn one(lot: &'s CompoundLot) -> Self {
        Self {
            lot: lot.clone(),
            of: vec![(lot, 1.0)],
        }
    }

    /// Two lots of one kind mixed to the wanted share of fresh, where one has more and one less.
    fn mixed(rich: &'s CompoundLot, lean: &'s CompoundLot) -> Option<Self> {
        let (a, b) = (rich.fresh.to_ratio(), lean.fresh.to_ratio());
        if rich.energiser != lean.energiser || a <= FRESH || b >= FRESH {
            return None;
        }
        let (heavy, light) = (rich.bulk_density.to_kg_m3(), lean.bulk_density.to_kg_m3());
        let share = light * (FRESH - b) / (heavy * (a - FRESH) + light * (FRESH - b));
        let bulk = share * heavy + (1.0 - share) * light;
        let by_mass = share * heavy / bulk;
        let mean = |x: f64, y: f64| by_mass * x + (1.0 - by_mass) * y;
        let lot = CompoundLot {
            id: format!("{} + {}", lean.id, rich.id),
            energiser: rich.energiser,
            energiser_fraction: Fraction::from_ratio(mean(
                rich.energiser_fraction.to_ratio(),
                lean.energiser_fraction.to_ratio(),
            )),
            fresh: Fraction::from_ratio(mean(a, b)),
            bulk_density: Density::from_kg_m3(bulk),
            grain: rich.grain * by_mass + lean.grain * (1.0 - by_mass),
            dry: rich.dry && lean.dry,
            stock: match (rich.stock, lean.stock) {
                (None, None) => None,
                (rich, lean) => {
                    let of = |stock: Option<Volume>, share: f64| {
                        stock.map(|stock| stock / share.max(1e-9))
                    };
                    [of(rich, share), of(lean, 1.0 - share)]
                        .into_iter()
                        .flatten()
                        .reduce(Volume::min)
                }
            },
        };
        Some(Self {
            lot,
            of: vec![(lean, 1.0 - share), (rich, share)],
        })
    }

    /// How much of each lot goes into so much.
    #[must_use]
    pub fn scoops(&self, volume: Volume) -> Vec<Scoop> {
        self.of
            .iter()
            .map(|(lot, share)| {
                let volume = volume * *share;
                let mass = lot.bulk_density * volume;
                Scoop {
                    lot: lot.id.clone(),
                    volume,
                    mass,
                    fresh: mass * lot.fresh.to_ratio(),
                }
            })
            .collect()
    }

    /// Whether the stock fills so much and leaves enough to top up with.
    #[must_use]
    pub fn suffices(&self, volume: Volume) -> bool {
        self.lot
            .stock
            .is_none_or(|stock| stock >= volume + top_up(volume))
    }
}

/// What is set aside for tamping and topping up.
#[must_use]
pub fn top_up(volume: Volume) -> Volume {
    volume * SETTLES
}

/// Fresh compound in a charge.
#[must_use]
pub fn fresh(scoops: &[Scoop]) -> Mass {
    scoops.iter().map(|scoop| scoop.fresh).sum()
}

/// All charges of the shop, best first. A lot that the job insists on is not mixed.
#[must_use]
pub fn charges(spec: &Spec) -> Vec<Charge<'_>> {
    let wish = &spec.wishes.compound;
    let lots: Vec<&CompoundLot> = spec
        .shop
        .compounds
        .iter()
        .filter(|lot| wish.as_ref().is_none_or(|w| *w == lot.id))
        .collect();
    let mut list: Vec<Charge<'_>> = lots.iter().map(|lot| Charge::one(lot)).collect();
    for rich in &lots {
        list.extend(lots.iter().filter_map(|lean| Charge::mixed(rich, lean)));
    }
    // A stable sort: of two equally good charges the one from a single bin stands first.
    list.sort_by(|a, b| rank(&b.lot).total_cmp(&rank(&a.lot)));
    list
}

/// Strongest usable charge first: dry, not cyanide, energised, with a normal share of fresh.
fn rank(lot: &CompoundLot) -> f64 {
    let usable = if lot.dry && lot.energiser != Energiser::Cyanide {
        10.0
    } else {
        0.0
    };
    let energised = if lot.energiser == Energiser::None {
        0.0
    } else {
        1.0
    };
    // All-new compound over-carburizes on a long soak, spent compound makes thin cases. A
    // thousandth is far below what a shop can measure out.
    let off = (lot.fresh.to_ratio() - FRESH).abs();
    usable + energised - (off * 1e3).round() / 1e3
}

#[cfg(test)]
mod tests {
    use super::*;
    use casewright_terms::Length;

    fn lot(id: &str, fresh: f64, kg_m3: f64, stock_l: f64) -> CompoundLot {
        CompoundLot {
            id: id.to_owned(),
            energiser: Energiser::SodiumCarbonate,
            energiser_fraction: Fraction::from_ratio(0.1),
            fresh: Fraction::from_ratio(fresh),
            bulk_density: Density::from_kg_m3(kg_m3),
            grain: Length::from_mm(4.0),
            dry: true,
            stock: Some(Volume::from_l(stock_l)),
        }
    }

    #[test]
    fn a_mixture_has_a_fifth_fresh_and_its_scoops_add_up() {
        let (new, old) = (lot("new", 1.0, 520.0, 40.0), lot("old", 0.04, 480.0, 10.0));
        let mixed = Charge::mixed(&new, &old).expect("one rich, one lean");
        assert!((mixed.lot.fresh.to_ratio() - FRESH).abs() < 1e-12);
        let scoops = mixed.scoops(Volume::from_l(6.0));
        let litres: f64 = scoops.iter().map(|s| s.volume.to_l()).sum();
        let mass: Mass = scoops.iter().map(|s| s.mass).sum();
        assert!((litres - 6.0).abs() < 1e-9);
        assert!(
            (mass.to_kg() - (mixed.lot.bulk_density * Volume::from_l(6.0)).to_kg()).abs() < 1e-9
        );
        assert!((fresh(&scoops) / mass - FRESH).abs() < 1e-12);
        // The lean bin holds 10 L and gives the larger part, so it ends the stock.
        assert!(mixed.suffices(Volume::from_l(9.0)));
        assert!(!mixed.suffices(Volume::from_l(12.0)));
    }

    #[test]
    fn lots_of_different_kinds_are_never_mixed() {
        let new = lot("new", 1.0, 520.0, 40.0);
        let mut old = lot("old", 0.04, 480.0, 10.0);
        old.energiser = Energiser::BariumCarbonate;
        assert_eq!(Charge::mixed(&new, &old), None);
        assert_eq!(Charge::mixed(&old, &new), None);
    }
}
