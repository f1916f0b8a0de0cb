//! The causes: what each is called, how often it is behind a failed lot, what to change next time.
//!
//! The weights before any reading are judgement of the trade, not counts: no shop has published how
//! often each happens. They stand here in one table so that they can be argued about. [trade-practice]

/// A cause of failure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cause {
    /// The lot is what the plan foretells.
    AsPlanned,
    /// No carbon was taken up at all.
    NoCarbon,
    /// Quenched from below the steel's critical temperature.
    ColdQuench,
    /// Another steel than the plan's.
    WrongSteel,
    /// Soft spots: scale, oil, touch, vapour.
    SoftSpots,
    /// Too little time or heat in the box.
    ShortSoak,
    /// Weak, spent or damp compound.
    WeakCompound,
    /// A sound but thin case read on too heavy a scale.
    HeavyScale,
    /// Quenched too hot: retained austenite.
    HotQuench,
    /// Tempered too hot.
    OverTemper,
    /// Reheated bare: the skin lost carbon.
    BareReheat,
    /// Air reached the parts at the end of the box's time.
    LeakyBox,
    /// Quenched too slowly.
    SlackQuench,
    /// Carbide at the grains' borders.
    Network,
    /// Cracked in the quench or before it.
    Cracks,
    /// Bent, shrunk or tapered.
    Distortion,
    /// Ground through the case.
    GroundThrough,
    /// Burnt under the wheel.
    GrindBurn,
    /// Carbon got into an area that was to stay soft.
    MaskLeak,
    /// Pieces got unlike cases by their place in the box.
    PlaceSpread,
    /// The tester reads wrong.
    TesterOff,
    /// Nothing on this list.
    Other,
}

/// What is known of a cause before a lot is looked at.
pub(super) struct Facts {
    pub(super) code: &'static str,
    pub(super) words: &'static str,
    /// Weight among the causes that are looked at.
    pub(super) prior: f64,
    /// What to change.
    pub(super) next_time: &'static str,
}

impl Cause {
    /// All, in the order of their table.
    pub const ALL: [Self; 22] = [
        Self::AsPlanned,
        Self::NoCarbon,
        Self::ColdQuench,
        Self::WrongSteel,
        Self::SoftSpots,
        Self::ShortSoak,
        Self::WeakCompound,
        Self::HeavyScale,
        Self::HotQuench,
        Self::OverTemper,
        Self::BareReheat,
        Self::LeakyBox,
        Self::SlackQuench,
        Self::Network,
        Self::Cracks,
        Self::Distortion,
        Self::GroundThrough,
        Self::GrindBurn,
        Self::MaskLeak,
        Self::PlaceSpread,
        Self::TesterOff,
        Self::Other,
    ];

    /// The word in answers.
    #[must_use]
    pub fn code(self) -> &'static str {
        self.facts().code
    }

    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        self.facts().words
    }

    /// What to change next time.
    #[must_use]
    pub fn next_time(self) -> &'static str {
        self.facts().next_time
    }

    /// The table. Weights are judgement. [trade-practice]
    pub(super) const fn facts(self) -> Facts {
        let (code, words, prior, next_time) = match self {
            Self::AsPlanned => (
                "as-planned",
                "nothing went wrong that these readings could show",
                0.25,
                "Nothing to change by these readings.",
            ),
            Self::NoCarbon => (
                "no-carbon",
                "no carbon was taken up: far too cold (a slip of unit, a bad couple), spent compound or an open box",
                0.04,
                "An independent couple in the pack, the set value read back in its unit, a draw pin broken before the box is cooled.",
            ),
            Self::ColdQuench => (
                "cold-quench",
                "quenched from below the critical temperature: nothing, or only a part, could harden",
                0.05,
                "Furnace and part read by an independent couple at the reheat; in the bath within the seconds of the plan.",
            ),
            Self::WrongSteel => (
                "wrong-steel",
                "another steel than the plan's: bought wrong or mixed in the shop",
                0.05,
                "Certificate and bar end marked on receipt; a spark or a chemistry before packing; an untreated control of the same bar.",
            ),
            Self::SoftSpots => (
                "soft-spots",
                "soft spots: scale or oil on the work, a touch of tongs or wire, a vapour blanket",
                0.08,
                "Parts degreased and apart, in still water up and down or in brine, held by the non-working end.",
            ),
            Self::ShortSoak => (
                "short-soak",
                "too little time or heat in the box: the soak counted too early, a cold furnace or a box slower than reckoned",
                0.12,
                "The soak counted from when the couple in the pack is hot; the furnace checked with an independent couple; a draw pin broken before it ends.",
            ),
            Self::WeakCompound => (
                "weak-compound",
                "weak, spent or damp compound, or a loose seal: carbon came too slowly",
                0.08,
                "A fifth of fresh compound, dried and sieved; the lid luted anew; the compound weighed before and after.",
            ),
            Self::HeavyScale => (
                "heavy-scale",
                "the case is thin but sound, and was read on a scale too heavy for it",
                0.08,
                "15N from 0.20 mm of case, 30N from 0.38 mm, A from 0.64 mm, C from 0.76 mm; the scale stands on the plan.",
            ),
            Self::HotQuench => (
                "hot-quench",
                "retained austenite: quenched from too hot, or too much carbon",
                0.07,
                "The reheat held to the plan's temperature, read by an independent couple.",
            ),
            Self::OverTemper => (
                "over-temper",
                "tempered too hot",
                0.06,
                "The oven checked with a second thermometer before the lot goes in.",
            ),
            Self::BareReheat => (
                "bare-reheat",
                "the skin lost carbon in a bare reheat; it is soft over a sound case",
                0.10,
                "Parts wrapped in foil with a pinch of used compound, or packed in used compound, for every reheat.",
            ),
            Self::LeakyBox => (
                "leaky-box",
                "air reached the parts in the box: a cracked lute, a warped lid or a thin wall",
                0.05,
                "A lid that fits, lute dried slowly and mended, compound 25 mm and more over the top pieces, weighed before and after.",
            ),
            Self::SlackQuench => (
                "slack-quench",
                "quenched too slowly: still or warm bath, long carry, too much at once",
                0.09,
                "The bath's temperature read, movement on, few parts at a time, furnace to bath within the plan's seconds.",
            ),
            Self::Network => (
                "network",
                "carbide network along the grains of the case",
                0.04,
                "Older compound, no longer soak than planned, a reheat that refines, radii on the edges.",
            ),
            Self::Cracks => (
                "cracks",
                "cracked: in the quench where the walls are clean, before it where they are scaled",
                0.04,
                "Radii on corners and holes, the plan's bath and heat, into the temper within the hour; stock without seams.",
            ),
            Self::Distortion => (
                "distortion",
                "bent, shrunk or tapered",
                0.04,
                "Stress relief before finish machining, parts supported in the pack, entry end first.",
            ),
            Self::GroundThrough => (
                "ground-through",
                "ground through the case, or too deep into it",
                0.06,
                "Stock per side and not per diameter, bow measured before the wheel, the remaining case reckoned face by face.",
            ),
            Self::GrindBurn => (
                "grind-burn",
                "the skin was burnt soft under the wheel",
                0.04,
                "A sharp open wheel, light cuts, plenty of coolant; a temper before the wheel.",
            ),
            Self::MaskLeak => (
                "mask-leak",
                "carbon got into an area that was to stay soft",
                0.05,
                "A masked coupon in the box; stock left on and machined off before the quench where it can be.",
            ),
            Self::PlaceSpread => (
                "place-spread",
                "pieces got unlike cases by their place in the box or furnace",
                0.05,
                "Coupons in the corners and the middle, a narrower box, the box turned, the furnace surveyed.",
            ),
            Self::TesterOff => (
                "tester-off",
                "the tester reads wrong",
                0.06,
                "Block read on the same day in the same range, first readings after a change thrown away.",
            ),
            Self::Other => (
                "other",
                "none of these",
                0.05,
                "Not known before the cause is.",
            ),
        };
        Facts {
            code,
            words,
            prior,
            next_time,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_unlike_and_weights_are_weights() {
        let mut codes: Vec<_> = Cause::ALL.iter().map(|cause| cause.code()).collect();
        codes.sort_unstable();
        codes.dedup();
        assert_eq!(codes.len(), Cause::ALL.len());
        assert!(Cause::ALL.iter().all(|cause| {
            let prior = cause.facts().prior;
            prior > 0.0 && prior < 0.3
        }));
    }
}
