//! What was seen or is known of the run and is no reading, and how likely each such thing is under each
//! cause.
//!
//! The likelihoods are judgement: nobody has counted them. Each row gives the chance that the thing is
//! there without any of the causes it speaks for, the causes with the chance under each, and why. What
//! is written down decides nothing alone: the greatest ratio of the table is about thirty, and the
//! readings easily outweigh it. [trade-practice]

use super::cause::Cause;

/// One thing to be seen or known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mark {
    /// The word for it.
    pub word: &'static str,
    /// What is asked.
    pub question: &'static str,
    /// Chance that it is there under a cause that is not listed.
    base: f64,
    /// Chance under the causes it speaks for.
    under: &'static [(Cause, f64)],
    /// Why.
    pub why: &'static str,
}

/// Something seen, or looked for and not there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seen {
    /// What.
    pub mark: &'static Mark,
    /// Whether it is there.
    pub there: bool,
}

impl Mark {
    /// All marks.
    pub const ALL: &'static [Self] = MARKS;

    /// The mark of a word.
    #[must_use]
    pub fn find(word: &str) -> Option<&'static Self> {
        MARKS
            .iter()
            .find(|mark| mark.word.eq_ignore_ascii_case(word))
    }

    /// Chance that it is there under a cause.
    #[must_use]
    pub fn chance(&self, cause: Cause) -> f64 {
        let own = self.under.iter().find(|(of, _)| *of == cause);
        own.map_or(self.base, |(_, chance)| *chance)
    }

    /// Whether it being there speaks for a cause at all.
    #[must_use]
    pub fn speaks_for(&self, cause: Cause) -> bool {
        self.chance(cause) > self.base
    }
}

impl Seen {
    /// Reads `scale-after-reheat` as there, `no-scale-after-reheat` as not there.
    #[must_use]
    pub fn read(word: &str) -> Option<Self> {
        let there = |word| Mark::find(word).map(|mark| Self { mark, there: true });
        there(word).or_else(|| {
            let mark = Mark::find(word.strip_prefix("no-")?)?;
            Some(Self { mark, there: false })
        })
    }

    /// Chance of this under a cause.
    #[must_use]
    pub fn chance(&self, cause: Cause) -> f64 {
        let there = self.mark.chance(cause);
        if self.there { there } else { 1.0 - there }
    }
}

const fn mark(
    word: &'static str,
    question: &'static str,
    base: f64,
    under: &'static [(Cause, f64)],
    why: &'static str,
) -> Mark {
    Mark {
        word,
        question,
        base,
        under,
        why,
    }
}

/// The table. [trade-practice]
static MARKS: &[Mark] = &[
    mark(
        "reheat-bare",
        "Did the parts lie bare in the reheat?",
        0.15,
        &[(Cause::BareReheat, 0.95), (Cause::SoftSpots, 0.25)],
        "bare parts lose carbon and scale in the reheat",
    ),
    mark(
        "scale-after-reheat",
        "Were the parts scaled when they came out of the reheat?",
        0.15,
        &[(Cause::BareReheat, 0.85), (Cause::SoftSpots, 0.35)],
        "scale is what the air made of the skin",
    ),
    mark(
        "scale-in-box",
        "Were the parts scaled or grey when the box was opened?",
        0.05,
        &[
            (Cause::LeakyBox, 0.75),
            (Cause::NoCarbon, 0.2),
            (Cause::WeakCompound, 0.1),
        ],
        "in a sealed box nothing scales",
    ),
    mark(
        "seal-open",
        "Was the lute cracked, or a steady flame at the seam?",
        0.08,
        &[
            (Cause::LeakyBox, 0.85),
            (Cause::WeakCompound, 0.25),
            (Cause::NoCarbon, 0.25),
        ],
        "air comes in where gas goes out",
    ),
    mark(
        "mass-loss-high",
        "Did the compound lose more than twice its usual mass, or lie as white ash?",
        0.06,
        &[
            (Cause::LeakyBox, 0.8),
            (Cause::WeakCompound, 0.2),
            (Cause::NoCarbon, 0.2),
        ],
        "burnt compound shows how much air came in",
    ),
    mark(
        "compound-old",
        "Was the compound old, damp, or without fresh?",
        0.12,
        &[(Cause::WeakCompound, 0.8), (Cause::NoCarbon, 0.35)],
        "the energiser is used up or the water burns the carbon",
    ),
    mark(
        "soak-from-furnace",
        "Was the soak counted from furnace-on, or from the furnace's own reading?",
        0.15,
        &[(Cause::ShortSoak, 0.6)],
        "the middle of the pack comes hours later",
    ),
    mark(
        "furnace-reads-hot",
        "Does an independent couple show the furnace colder than its display?",
        0.08,
        &[
            (Cause::ShortSoak, 0.5),
            (Cause::ColdQuench, 0.5),
            (Cause::NoCarbon, 0.5),
        ],
        "the load was colder than the record",
    ),
    mark(
        "furnace-reads-cold",
        "Does an independent couple show the furnace hotter than its display?",
        0.08,
        &[(Cause::HotQuench, 0.6), (Cause::Network, 0.3)],
        "the load was hotter than the record",
    ),
    mark(
        "oven-hot",
        "Does a second thermometer show the tempering oven too hot?",
        0.06,
        &[(Cause::OverTemper, 0.85)],
        "the temper was hotter than the dial",
    ),
    mark(
        "straw-or-blue",
        "Were bright spots straw or blue after the temper?",
        0.1,
        &[(Cause::OverTemper, 0.7)],
        "bright steel turns dark straw at 240 °C and blue at 300 °C",
    ),
    mark(
        "bath-warm",
        "Was the bath warm, still or crowded, or the carry long?",
        0.12,
        &[(Cause::SlackQuench, 0.75), (Cause::SoftSpots, 0.4)],
        "a vapour blanket holds the heat",
    ),
    mark(
        "steel-doubtful",
        "Is there doubt about the bar: no certificate, mixed rack, odd sparks?",
        0.08,
        &[(Cause::WrongSteel, 0.7)],
        "bars of one size look alike",
    ),
    mark(
        "patches",
        "Are the soft places patches, on a nital or file map?",
        0.07,
        &[
            (Cause::SoftSpots, 0.85),
            (Cause::GroundThrough, 0.3),
            (Cause::GrindBurn, 0.4),
        ],
        "a fault of the whole lot makes no patches",
    ),
    mark(
        "by-place",
        "Do the pieces differ by their place in the box?",
        0.06,
        &[(Cause::PlaceSpread, 0.85), (Cause::LeakyBox, 0.2)],
        "a cold corner shows in its own pieces",
    ),
    mark(
        "chipped-edges",
        "Are edges chipped or flaked?",
        0.05,
        &[(Cause::Network, 0.6), (Cause::GrindBurn, 0.15)],
        "carbide at the grains' borders breaks out",
    ),
    mark(
        "bright-cells",
        "Does an etched section show bright cells?",
        0.04,
        &[(Cause::Network, 0.95)],
        "that is the network itself",
    ),
    mark(
        "cracks",
        "Are there cracks?",
        0.04,
        &[
            (Cause::Cracks, 0.99),
            (Cause::GrindBurn, 0.3),
            (Cause::Network, 0.25),
        ],
        "seen is seen",
    ),
    mark(
        "bent",
        "Are the parts bent, tapered or off size?",
        0.1,
        &[(Cause::Distortion, 0.98), (Cause::GroundThrough, 0.35)],
        "a bowed part is ground deeper on one side",
    ),
    mark(
        "burn-marks",
        "Does the ground face show tint, or dark zones in nital?",
        0.04,
        &[(Cause::GrindBurn, 0.9)],
        "the wheel tempered or hardened the skin anew",
    ),
    mark(
        "stock-off-more",
        "Was more taken off a face than planned, or stock taken by diameter?",
        0.06,
        &[(Cause::GroundThrough, 0.85)],
        "what is ground off is gone from the case",
    ),
    mark(
        "mask-broken",
        "Was the stop-off thin, old or broken?",
        0.06,
        &[(Cause::MaskLeak, 0.75)],
        "carbon gets in through a pinhole",
    ),
    mark(
        "block-off",
        "Does the tester read a block wrong?",
        0.03,
        &[(Cause::TesterOff, 0.9)],
        "the block is the judge of the tester",
    ),
];

#[cfg(test)]
mod tests {
    use super::*;

    /// A chance is one, a word is read both ways, and no row decides alone: 0.95 against 0.04 is 24,
    /// 0.99 against 0.04 is 25, 0.9 against 0.03 is 30; about thirty, as the head says.
    #[test]
    fn rows_are_sound() {
        for mark in Mark::ALL {
            for cause in Cause::ALL {
                let chance = mark.chance(cause);
                assert!(chance > 0.0 && chance < 1.0, "{} {cause:?}", mark.word);
                assert!(chance / mark.base < 30.1, "{} {cause:?}", mark.word);
            }
            assert!(Seen::read(mark.word).unwrap().there);
            assert!(!Seen::read(&format!("no-{}", mark.word)).unwrap().there);
        }
        assert_eq!(Seen::read("no-such-thing"), None);
    }
}
