//! What the boxes' run says to the person at the furnace: the hour the pack is hot, what the couple
//! reads then, how deep each part's case gets by its own place, and whether a coupon stands for them.
//!
//! Carbon is followed in the part's own body for parts and coupons alike: what is compared is the
//! places. A coupon's own form is for `pieces`.

use casewright_job::shop::Furnace;
use casewright_physics::run::{ChainRun, WatchedPart};
use casewright_physics::setup::CarbonSetup;
use casewright_physics::simulate;
use casewright_terms::{Diag, Length, Span, UnitSystem, WeightPercent};
use rayon::prelude::*;

use super::chamber_grid;
use super::heat::HeatUp;
use crate::clock;
use crate::evaluate::at;
use crate::outcome::{DepthChain, Moment, PackHeat, PartHeat, Placed};
use crate::recipe::Recipe;

/// A part that ends further below the set temperature than this is said to stand cold: the working
/// tolerance of a bench furnace, and about 5 % of the case. [trade-practice]
const COLD_K: f64 = 8.0;
/// A coupon stands for a part when their depths differ by less than a reading of a coupon is good
/// for. [trade-practice]
const READ_MM: f64 = 0.05;

/// What is looked at.
pub(crate) struct Look<'a> {
    pub(crate) recipe: &'a Recipe<'a>,
    pub(crate) heat: &'a HeatUp,
    /// Body, chemistry and surface of the nominal run; its cycle is not used.
    pub(crate) carbon: &'a CarbonSetup,
    pub(crate) chain: &'a ChainRun,
    /// Depth to the note's limit in the nominal run.
    pub(crate) depth: Option<Length>,
    pub(crate) loaded: Moment,
}

impl Look<'_> {
    /// Every part's own time and depth.
    pub(crate) fn look(&self) -> PackHeat {
        let recipe = self.recipe;
        let layout = &recipe.packed.layout;
        let run = self.heat.run();
        let limit = self.depth.map(|depth| self.carbon_at(depth));
        let cycles = self
            .heat
            .part_cycles(recipe.temperature, recipe.soak, recipe.cooling);
        let depths: Vec<Option<Length>> = cycles
            .par_iter()
            .map(|cycle| {
                let own = CarbonSetup {
                    cycle: cycle.clone(),
                    ..self.carbon.clone()
                };
                simulate::carbon(&own).ok()?.depth_to_carbon(limit?)
            })
            .collect();
        let many = recipe.packed.at_once > 1;
        let of = |(i, watched): (usize, &WatchedPart)| {
            let mean = &watched.mean;
            let placed = layout
                .parts
                .iter()
                .chain(&layout.coupons)
                .find(|p| p.mark == mean.mark);
            PartHeat {
                mark: mean.mark.clone(),
                box_number: many.then(|| mean.box_mark.parse().unwrap_or(1)),
                coupon: layout.coupons.iter().any(|p| p.mark == mean.mark),
                place: placed.map_or("", |p| self.place(p)),
                hot_after: mean.settled,
                soaked: mean.soaked,
                depth: depths.get(i).copied().flatten(),
            }
        };
        let pieces: Vec<PartHeat> = run.parts.iter().enumerate().map(of).collect();
        let (coupons, parts): (Vec<PartHeat>, Vec<PartHeat>) =
            pieces.into_iter().partition(|piece| piece.coupon);
        PackHeat {
            hot: self.heat.hot,
            hot_at: self.heat.hot.map(|after| clock::later(self.loaded, after)),
            couple_reads: self.heat.couple_reads(),
            learnt: self.heat.learnt,
            doubts: self.heat.doubts.clone(),
            stated_error: run.numerical_error,
            work_kwh: (run.work_kwh, run.heat_in_boxes_kwh),
            work_soak: run.soak_ends - run.hot_after,
            least: by(&parts, |p| p.depth.map(Length::to_m), false),
            greatest: by(&parts, |p| p.depth.map(Length::to_m), true),
            coldest: by(&parts, |p| Some(p.soaked.to_k()), false),
            hottest: by(&parts, |p| Some(p.soaked.to_k()), true),
            parts,
            coupons,
        }
    }

    fn carbon_at(&self, depth: Length) -> WeightPercent {
        let layers = &self.chain.layers;
        WeightPercent::from_wt_pct(at(&layers.depth_m, &layers.carbon_wt_pct, depth.to_m()))
    }

    /// Where a piece stands, in words.
    fn place(&self, piece: &Placed) -> &'static str {
        let layout = &self.recipe.packed.layout;
        let grid = chamber_grid(
            layout,
            self.recipe.packed.at_once,
            self.recipe.furnace.inside,
        );
        let room = [layout.inside[0], layout.inside[2], layout.inside[1]];
        let share = |axis: usize| (piece.at[axis] + piece.size[axis] * 0.5) / room[axis];
        let (across, along) = if grid.turned { (1, 0) } else { (0, 1) };
        // Thirds: a piece in the middle third of a side is neither here nor there.
        let third = 1.0 / 3.0;
        match (share(along), share(across)) {
            (y, _) if y < third => "at the door",
            (y, _) if y > 2.0 * third => "at the back",
            (_, x) if !(third..=2.0 * third).contains(&x) => "at the side",
            _ => "in the middle",
        }
    }
}

/// The piece with the least or the greatest value; the first of equals.
fn by(parts: &[PartHeat], value: impl Fn(&PartHeat) -> Option<f64>, most: bool) -> Option<usize> {
    let mut best: Option<(usize, f64)> = None;
    for (i, part) in parts.iter().enumerate() {
        let Some(own) = value(part) else { continue };
        let better = best.is_none_or(|(_, held)| if most { own > held } else { own < held });
        if better {
            best = Some((i, own));
        }
    }
    best.map(|(i, _)| i)
}

impl PartHeat {
    /// `7`, or `7 in box 2`.
    #[must_use]
    pub fn name(&self) -> String {
        match self.box_number {
            Some(number) => format!("{} in box {number}", self.mark),
            None => self.mark.clone(),
        }
    }
}

impl PackHeat {
    /// Least and greatest depth of the parts.
    #[must_use]
    pub fn depths(&self) -> Option<(Length, Length)> {
        let depth = |i: Option<usize>| self.parts.get(i?)?.depth;
        Some((depth(self.least)?, depth(self.greatest)?))
    }

    /// `14:20, between 13:40 and 15:00`, or hours from loading where no clock is known.
    #[must_use]
    pub fn clock_text(&self) -> String {
        let at = |moment: Moment, after: Span| {
            moment.clock.map_or_else(
                || after.text(),
                |t| format!("{:02}:{:02}", t.hour(), t.minute()),
            )
        };
        let (hot, of) = (self.hot, self.hot_at);
        format!(
            "{}, between {} and {}",
            at(of.mid, hot.mid),
            at(of.low, hot.low),
            at(of.high, hot.high)
        )
    }

    /// `1.02 to 1.09 mm`; `None` for a single part.
    #[must_use]
    pub fn spread_text(&self, units: UnitSystem) -> Option<String> {
        let (least, greatest) = self.depths()?;
        if self.parts.len() < 2 {
            return None;
        }
        let (low, high) = (least.depth_text(units), greatest.depth_text(units));
        Some(if low == high {
            format!("{low}, all alike")
        } else {
            format!("{low} to {high}")
        })
    }

    /// `7 at the door, 3 in the middle`: the parts with the least and the greatest case.
    #[must_use]
    pub fn ends_text(&self) -> Option<String> {
        let (low, high) = (&self.parts[self.least?], &self.parts[self.greatest?]);
        let alike = low.depth == high.depth;
        (!alike).then(|| {
            format!(
                "{} {}, {} {}",
                low.name(),
                low.place,
                high.name(),
                high.place
            )
        })
    }

    /// What the coupons tell of the parts: the coupon that reads least and the one that reads most,
    /// each against the part it should stand for.
    #[must_use]
    pub fn coupon_text(&self, units: UnitSystem) -> Option<String> {
        let (least, greatest) = self.depths()?;
        let depth = |p: &PartHeat| p.depth;
        let (low, high) = (
            by(&self.coupons, |p| depth(p).map(Length::to_m), false)?,
            by(&self.coupons, |p| depth(p).map(Length::to_m), true)?,
        );
        let (low, high) = (&self.coupons[low], &self.coupons[high]);
        let differs = |coupon: &PartHeat, part: Length, word: &str| {
            let by = depth(coupon)? - part;
            let size = if by < Length::ZERO { -by } else { by };
            Some(if size < Length::from_mm(READ_MM) {
                format!("{} as the {word}", coupon.name())
            } else {
                let side = if by > Length::ZERO { "over" } else { "under" };
                format!(
                    "{} {} {side} the {word}",
                    coupon.name(),
                    size.depth_text(units)
                )
            })
        };
        Some(format!(
            "{}; {}",
            differs(low, least, "least")?,
            differs(high, greatest, "greatest")?
        ))
    }

    /// Where the band of the hour comes from.
    #[must_use]
    pub fn band_from(&self) -> &'static str {
        if self.learnt {
            "the bed factor that a couple's log gave this box, and what is not known of the furnace"
        } else {
            "what is not known of an unmeasured bed and its box; a couple's log narrows it"
        }
    }
}

/// What the spread across the box means for the note, and who stands in the cold.
pub(crate) fn findings(
    heat: &PackHeat,
    chain: &DepthChain,
    recipe: &Recipe<'_>,
    units: UnitSystem,
) -> Vec<Diag> {
    let mut list = Vec::new();
    list.extend(outside(heat, chain, units));
    list.extend(cold(heat, recipe, units));
    list
}

/// Parts outside what may be made while every coupon lies inside: nothing would tell.
fn outside(heat: &PackHeat, chain: &DepthChain, units: UnitSystem) -> Option<Diag> {
    let inside =
        |depth: Length| depth >= chain.make_min && chain.make_max.is_none_or(|most| depth <= most);
    let (least, greatest) = heat.depths()?;
    let told = heat
        .coupons
        .iter()
        .filter_map(|coupon| coupon.depth)
        .any(|depth| !inside(depth));
    if told || (inside(least) && inside(greatest)) {
        return None;
    }
    let (part, depth, side) = if inside(least) {
        (&heat.parts[heat.greatest?], greatest, "over the greatest")
    } else {
        (&heat.parts[heat.least?], least, "under the least")
    };
    Some(
        Diag::warn(
            "box-spread",
            format!(
                "Across the box the case is {} to {}: part {} {} comes to {}, {side} that may be made.",
                least.depth_text_both(units),
                greatest.depth_text_both(units),
                part.name(),
                part.place,
                depth.depth_text_both(units)
            ),
        )
        .why("The coupons lie inside the note, so they would not tell.")
        .accepted("Fewer parts in the box or a smaller box; a lower temperature with a longer soak, which leaves less of the case to the heat-up; or a coupon beside that part."),
    )
}

/// A part that stays well below the set temperature to the end of the soak.
fn cold(heat: &PackHeat, recipe: &Recipe<'_>, units: UnitSystem) -> Option<Diag> {
    let coldest = heat.parts.get(heat.coldest?)?;
    let hottest = heat.parts.get(heat.hottest?)?;
    let below = recipe.temperature - coldest.soaked;
    if below.to_k() <= COLD_K {
        return None;
    }
    let turned = turned_difference(recipe);
    let advice = match turned {
        Some((as_is, other)) if other < as_is * 0.8 => format!(
            "The box with its length across the chamber: its ends would then differ by {other:.0} K instead of {as_is:.0} K. Or parts gathered away from the door; a survey of this furnace with the box in it."
        ),
        _ => "Parts gathered away from the door, the box pushed to the back; a survey of this furnace with the box in it.".to_owned(),
    };
    Some(
        Diag::note(
            "door-cold",
            format!(
                "Part {} {} ends its soak at {}, part {} {} at {}; the furnace is set to {}.",
                coldest.name(),
                coldest.place,
                coldest.soaked.text_both(units),
                hottest.name(),
                hottest.place,
                hottest.soaked.text_both(units),
                recipe.temperature.text_both(units)
            ),
        )
        .why("The survey says how far the chamber differs, and the door is taken as its cold side; 10 K less make the case about 6 % shallower.")
        .accepted(advice),
    )
}

/// Difference between the ends of the box by the survey, as it stands and turned; `None` where it
/// would not fit turned.
fn turned_difference(recipe: &Recipe<'_>) -> Option<(f64, f64)> {
    let furnace: &Furnace = recipe.furnace;
    let layout = &recipe.packed.layout;
    if recipe.packed.at_once > 1 {
        return None;
    }
    let grid = chamber_grid(layout, 1, furnace.inside);
    let [width, _, length] = layout.inside;
    let (along, other) = if grid.turned {
        (width, length)
    } else {
        (length, width)
    };
    let clear = Length::from_mm(2.0 * super::CHAMBER_CLEARANCE_MM) + layout.wall * 2.0;
    if along + clear > furnace.inside[0] || other + clear > furnace.inside[2] {
        return None;
    }
    let per_length = furnace.survey.to_k() * 2.0;
    let differ = |side: Length| per_length * (side / furnace.inside[2]);
    Some((differ(along), differ(other)))
}
