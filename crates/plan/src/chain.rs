//! The depth chain face by face, for whoever grinds: what is made, what each face's own stock takes,
//! what is left, and the most that may come off before the note's least depth is gone.
//!
//! All lengths are per side. A bow moves stock from one place of a face to another: where the grinder
//! takes `s` on average, one place loses `s + bow` and another `s − bow`. So made depth − local stock
//! counts, never made depth − average stock [trade-practice]:
//!
//! - least left: least made − (s + bow); it must not be under the finish's least;
//! - most left: greatest made − (s − bow); it must not be over the finish's greatest;
//! - most that may be taken: made − finish's least − bow;
//! - least that must be taken: made − finish's greatest + bow, where that is more than nothing.
//!
//! `made` is what the coupon shows; before there is one, the prediction's band, or the depth to make.
//! Tests: `a_bow_counts_on_both_ends`, `the_most_leaves_exactly_the_least`.

use casewright_job::note::reading::Stage;
use casewright_job::spec::Spec;
use casewright_terms::{Band, Length};

use crate::outcome::{DepthChain, Prediction};

/// Sums of lengths written in millimetres or inches differ by far less, and no shop measures it: a
/// nanometre.
const ROUNDING_M: f64 = 1e-9;

/// The chain from the surface as hardened to the finished faces.
#[derive(Clone, Debug, PartialEq)]
pub struct FaceChain {
    /// Depth made, before grinding: expected, with its band; the depth to make without a prediction.
    pub made: Band<Length>,
    /// Whether `made` is a prediction.
    pub predicted: bool,
    /// Whether the finish's limits are the note's own; else they are what the planned stock leaves
    /// of limits that hold before grinding.
    pub finish_asked: bool,
    /// Each ground face; empty where nothing is ground.
    pub faces: Vec<Face>,
}

/// One ground face.
#[derive(Clone, Debug, PartialEq)]
pub struct Face {
    /// Which, in the shop's words.
    pub face: String,
    /// Planned stock, on average.
    pub stock: Length,
    /// How far a bow or growth shifts it from place to place.
    pub bow: Length,
    /// Least and greatest stock at one place.
    pub local: (Length, Length),
    /// Depth left: where least was made and most comes off, in the middle, the other way round.
    pub left: Band<Length>,
    /// Never more than the depth made less this.
    pub keep: Length,
    /// Most that may come off on average, for the made depth's low end, middle and high end; nothing
    /// where the case is too shallow to be ground at all.
    pub most: Band<Length>,
    /// Least that must come off where the made depth is at its high end, so that the finish's greatest
    /// depth is kept; `None` where that is open or needs no grinding.
    pub least: Option<Length>,
    /// The same, as what the made depth is lessened by.
    pub keep_under: Option<Length>,
}

impl Face {
    /// Whether the planned stock can come off whatever of its band the made depth is.
    #[must_use]
    pub fn is_safe(&self) -> bool {
        // Both are sums of written numbers: the rounding of a sum is no metal.
        self.stock <= self.most.low + Length::from_m(ROUNDING_M)
    }
}

/// Follows the chain to every ground face.
#[must_use]
pub fn faces(spec: &Spec, chain: &DepthChain, prediction: Option<&Prediction>) -> FaceChain {
    let predicted = prediction.and_then(|p| p.case_depth);
    let made = predicted.unwrap_or(Band {
        low: chain.make_min,
        mid: chain.aim,
        high: chain.make_max.unwrap_or(chain.aim).max(chain.aim),
    });
    let rest = |made: Length, off: Length| (made - off).max(Length::ZERO);
    let faces = spec
        .stock
        .iter()
        .map(|stock| {
            let local = (
                (stock.per_side - stock.bow).max(Length::ZERO),
                stock.per_side + stock.bow,
            );
            let keep = chain.finish_min + stock.bow;
            let keep_under = chain.finish_max.map(|max| rest(max, stock.bow));
            Face {
                face: stock.face.clone(),
                stock: stock.per_side,
                bow: stock.bow,
                local,
                left: Band {
                    low: rest(made.low, local.1),
                    mid: rest(made.mid, stock.per_side),
                    high: rest(made.high, local.0),
                },
                keep,
                most: made.map(|made| rest(made, keep)),
                least: keep_under
                    .map(|under| rest(made.high, under))
                    .filter(|least| *least > Length::ZERO),
                keep_under,
            }
        })
        .collect();
    FaceChain {
        made,
        predicted: predicted.is_some(),
        finish_asked: spec.note.stage != Stage::BeforeGrind,
        faces,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::SteelTable;
    use crate::outcome::DepthLimit;
    use casewright_terms::{Hardness, Scale};

    fn mm(v: f64) -> Length {
        Length::from_mm(v)
    }

    /// The pawl of the examples, with its own stock.
    fn spec() -> Spec {
        let shop = include_str!("../../../examples/gannet-slip/shop.toml");
        let job = include_str!("../../../examples/winch-pawl/job.toml");
        let (shop, _) = casewright_job::parse_shop("shop.toml", shop);
        let (draft, _) = casewright_job::parse("job.toml", job);
        casewright_job::resolve(draft, shop, &SteelTable)
            .unwrap_or_else(|diags| panic!("{diags:?}"))
    }

    fn chain() -> DepthChain {
        DepthChain {
            finish_min: mm(0.8),
            finish_max: Some(mm(1.2)),
            stock: (mm(0.10), mm(0.20)),
            scatter: mm(0.125),
            make_min: mm(1.0),
            make_max: Some(mm(1.3)),
            aim: mm(1.15),
            limit: DepthLimit::Hardness(Hardness::new(Scale::Hv, 550.0)),
        }
    }

    fn one_face() -> Face {
        let mut spec = spec();
        spec.stock.truncate(1);
        spec.stock[0].per_side = mm(0.15);
        spec.stock[0].bow = mm(0.05);
        faces(&spec, &chain(), None).faces.remove(0)
    }

    #[test]
    fn a_bow_counts_on_both_ends() {
        let face = one_face();
        // Worked by hand: 1.0 − (0.15 + 0.05) and 1.3 − (0.15 − 0.05).
        assert!((face.left.low.to_mm() - 0.8).abs() < 1e-9, "{face:?}");
        assert!((face.left.high.to_mm() - 1.2).abs() < 1e-9, "{face:?}");
        assert!(face.is_safe());
    }

    #[test]
    fn the_most_leaves_exactly_the_least() {
        let face = one_face();
        for (made, most) in [(1.0, face.most.low), (1.15, face.most.mid)] {
            let thinnest = mm(made) - (most + face.bow);
            let off = (thinnest - chain().finish_min).to_mm();
            assert!(off.abs() < 1e-9, "{off}");
        }
        // 1.3 made, at most 1.2 left where the bow takes least: 0.1 + 0.05.
        let least = face.least.expect("must be ground");
        assert!((least.to_mm() - 0.15).abs() < 1e-9, "{least:?}");
    }

    #[test]
    fn a_case_too_shallow_may_not_be_ground() {
        let mut spec = spec();
        spec.stock.truncate(1);
        let thin = DepthChain {
            make_min: mm(0.5),
            ..chain()
        };
        let face = faces(&spec, &thin, None).faces.remove(0);
        assert_eq!(face.most.low, Length::ZERO);
        assert!(!face.is_safe());
    }

    #[test]
    fn nothing_ground_has_no_face() {
        let mut spec = spec();
        spec.stock.clear();
        assert!(faces(&spec, &chain(), None).faces.is_empty());
    }
}
