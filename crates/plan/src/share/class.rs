//! A job of many parts: how many boxes and loads, and whether its coupons stand for all of them.

use casewright_job::spec::Spec;
use casewright_terms::Length;

use crate::outcome::{PackHeat, PlanReport};

/// A coupon stands for a part when their depths differ by less than a reading of a coupon is good
/// for. [trade-practice]
const READ_MM: f64 = 0.05;

/// Whether the coupons stand for the parts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stands {
    /// The least and the greatest case of the parts are those of the coupons, within a reading.
    ForAll,
    /// They do not: the parts go so far below the coupon that reads least, and so far above the one
    /// that reads most (zero where they do not).
    NotForAll {
        /// Least coupon less least part.
        below: Length,
        /// Greatest part less greatest coupon.
        above: Length,
    },
    /// The parts' own depths are not known.
    Unknown,
}

/// The load of one job.
#[derive(Clone, Debug, PartialEq)]
pub struct ClassLoad {
    /// Parts in all.
    pub parts: u32,
    /// Parts in one box.
    pub in_a_box: usize,
    /// Boxes in all.
    pub boxes: u32,
    /// Loads one after another.
    pub loads: usize,
    /// Coupons in one box, the control not counted.
    pub coupons_in_a_box: usize,
    /// Least and greatest depth over the parts of one load, before grinding.
    pub depths: Option<(Length, Length)>,
    /// Whether the coupons stand for the parts of their own load.
    pub stands: Stands,
    /// Parts that were followed one by one; the others stand between them.
    pub followed: usize,
    /// What follows from it.
    pub mind: Vec<String>,
}

/// The load of a planned job; `None` without a plan.
#[must_use]
pub fn class_load(spec: &Spec, report: &PlanReport) -> Option<ClassLoad> {
    let plan = report.plan.as_ref()?;
    let heat = plan.pack_heat.as_ref();
    let depths = heat.and_then(PackHeat::depths);
    let stands = heat.map_or(Stands::Unknown, stands);
    let followed = heat.map_or(0, |heat| heat.parts.len());
    let loads = plan.loads.len().max(1);
    let mut mind = Vec::new();
    if loads > 1 {
        mind.push(format!(
            "{loads} loads: a coupon stands for its own load only, and each load needs its own"
        ));
    }
    if plan.pack.boxes > loads as u32 {
        mind.push("boxes that stand together differ: coupons are read from each".to_owned());
    }
    if let Stands::NotForAll { below, above } = stands {
        let units = spec.units;
        if below > Length::ZERO {
            mind.push(format!(
                "take {} off the coupon that reads least before it speaks for the least part, or put a coupon beside that part",
                below.depth_text(units)
            ));
        }
        if above > Length::ZERO {
            mind.push(format!(
                "add {} to the coupon that reads most before it speaks for the greatest part",
                above.depth_text(units)
            ));
        }
    }
    if spec.heat.is_none() {
        mind.push("one heat of steel is taken for all parts: parts of another heat need a coupon of their own".to_owned());
    }
    Some(ClassLoad {
        parts: spec.quantity,
        in_a_box: plan.pack.parts.len(),
        boxes: plan.pack.boxes,
        loads,
        coupons_in_a_box: plan.pack.coupons.len(),
        depths,
        stands,
        followed,
        mind,
    })
}

fn stands(heat: &PackHeat) -> Stands {
    let Some((least, greatest)) = heat.depths() else {
        return Stands::Unknown;
    };
    let read = heat.coupons.iter().filter_map(|coupon| coupon.depth);
    let (Some(low), Some(high)) = (read.clone().reduce(Length::min), read.reduce(Length::max))
    else {
        return Stands::Unknown;
    };
    let over = |by: Length| {
        if by > Length::from_mm(READ_MM) {
            by
        } else {
            Length::ZERO
        }
    };
    let (below, above) = (over(low - least), over(greatest - high));
    if below == Length::ZERO && above == Length::ZERO {
        Stands::ForAll
    } else {
        Stands::NotForAll { below, above }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::outcome::{Moment, PartHeat};
    use casewright_terms::{Band, Fraction, Span, Temperature};

    fn heat(parts_mm: &[f64], coupons_mm: &[f64]) -> PackHeat {
        let piece = |mm: &f64| PartHeat {
            mark: "1".to_owned(),
            box_number: None,
            coupon: false,
            place: "",
            hot_after: None,
            soaked: Temperature::from_c(920.0),
            depth: Some(Length::from_mm(*mm)),
        };
        let by = |most: bool| {
            (0..parts_mm.len()).max_by(|a, b| {
                let order = parts_mm[*a].total_cmp(&parts_mm[*b]);
                if most { order } else { order.reverse() }
            })
        };
        let span = Band {
            low: Span::ZERO,
            mid: Span::ZERO,
            high: Span::ZERO,
        };
        PackHeat {
            hot: span,
            hot_at: span.map(|after| Moment { after, clock: None }),
            couple_reads: None,
            learnt: false,
            doubts: Vec::new(),
            stated_error: Fraction::ZERO,
            work_kwh: (0.0, 0.0),
            work_soak: Span::ZERO,
            least: by(false),
            greatest: by(true),
            coldest: None,
            hottest: None,
            parts: parts_mm.iter().map(piece).collect(),
            coupons: coupons_mm.iter().map(piece).collect(),
        }
    }

    #[test]
    fn a_coupon_stands_within_what_it_can_be_read_to() {
        assert_eq!(stands(&heat(&[1.00, 1.08], &[1.03, 1.05])), Stands::ForAll);
        // The least part lies 0.12 mm under the only coupon, the greatest no more than a reading over.
        let Stands::NotForAll { below, above } = stands(&heat(&[0.90, 1.05], &[1.02])) else {
            panic!("the coupon does not stand for the least part");
        };
        assert!((below.to_mm() - 0.12).abs() < 1e-9 && above == Length::ZERO);
        assert_eq!(stands(&heat(&[1.0], &[])), Stands::Unknown);
    }
}
