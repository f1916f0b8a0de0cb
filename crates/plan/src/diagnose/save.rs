//! What to do with the lot under a cause: whether it can be saved and by which step, computed by the
//! engine where it can be, and said to be lost where it is.

use casewright_physics::law::hardness_conversion::scale_of;
use casewright_physics::run::Layers;
use casewright_terms::{Element, Length, Scale, Span, Temperature, Vickers};

use super::cause::Cause;
use super::probe::again;
use super::rank::{Bench, Ranked, quantile};
use super::scene::{After, Scene};
use super::work::Made;
use crate::evaluate::{depth_to_limit, hardness_at};

/// Whether a lot can be saved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Saved {
    /// Nothing need be done to it.
    Sound,
    /// By the step that is told.
    Yes,
    /// Perhaps; what it hangs on is told.
    Perhaps,
    /// No.
    No,
}

impl Saved {
    /// The word in answers.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Sound => "sound",
            Self::Yes => "yes",
            Self::Perhaps => "perhaps",
            Self::No => "no",
        }
    }
}

/// What to do with the lot.
#[derive(Clone, Debug, PartialEq)]
pub struct Remedy {
    /// Whether it can be saved.
    pub saved: Saved,
    /// What to do, with the numbers.
    pub words: String,
}

/// Step of what is ground off in the reckoning.
const STEP_MM: f64 = 0.01;
/// Deepest skin that is worth grinding off. [trade-practice]
const DEEPEST_MM: f64 = 0.6;
/// Least surface where the note asks none: 58 HRC. [trade-practice]
const USUAL_LEAST_HRC: f64 = 58.0;
/// Sub-zero with dry ice. [trade-practice]
const DRY_ICE_C: f64 = -75.0;

struct Clerk<'a, 'b> {
    scene: &'a Scene<'b>,
    bench: &'a Bench,
    ranked: &'a Ranked,
    made: &'a Made,
}

/// What to do with the lot if this is the cause.
pub(super) fn remedy(scene: &Scene<'_>, bench: &Bench, ranked: &Ranked) -> Remedy {
    let clerk = Clerk {
        scene,
        bench,
        ranked,
        made: bench.best_made(ranked),
    };
    clerk.remedy()
}

fn say(saved: Saved, words: impl Into<String>) -> Remedy {
    Remedy {
        saved,
        words: words.into(),
    }
}

impl Clerk<'_, '_> {
    fn remedy(&self) -> Remedy {
        match self.ranked.cause {
            Cause::AsPlanned => say(
                Saved::Sound,
                "Judge it by the note's clauses; nothing here says it must be touched.",
            ),
            Cause::HeavyScale => say(
                Saved::Sound,
                "Read it again on a scale that fits the case, then judge it; what read low felt the core.",
            ),
            Cause::TesterOff => say(
                Saved::Sound,
                "Nothing is known of the lot yet: tester put right, block read, the lot read again.",
            ),
            Cause::BareReheat | Cause::LeakyBox => self.skin(),
            Cause::ShortSoak | Cause::WeakCompound | Cause::NoCarbon => self.more_carbon(),
            Cause::SlackQuench | Cause::ColdQuench | Cause::OverTemper | Cause::SoftSpots => {
                self.hardened_again()
            }
            Cause::HotQuench => self.chilled(),
            Cause::WrongSteel => self.other_steel(),
            Cause::GroundThrough => self.ground(),
            Cause::GrindBurn => self.burnt(),
            Cause::PlaceSpread => say(
                Saved::Perhaps,
                "Sort it: read every piece by its place. What holds goes on; what is thin is packed again before it is ground.",
            ),
            Cause::Network => say(
                Saved::Perhaps,
                "Before grinding: heated once above the plan's reheat to dissolve the cells, quenched, then hardened by the plan; a section afterwards decides. Chipped or ground pieces are lost.",
            ),
            Cause::Cracks => say(
                Saved::No,
                "Cracked pieces are scrap; the rest goes through a dye or magnetic check, each piece.",
            ),
            Cause::Distortion => say(
                Saved::Perhaps,
                "Straighten warm after the temper where the bow is small; otherwise reckon the case that the wheel will leave on the high side before it is ground.",
            ),
            Cause::MaskLeak => say(
                Saved::Perhaps,
                "Draw the area with the case kept cold in water, or machine it off by carbide or wheel where the drawing leaves stock; a file on it decides.",
            ),
            Cause::Other => say(
                Saved::Perhaps,
                "Hold the lot. Nothing on the list explains the readings; the tests below come first.",
            ),
        }
    }

    fn least_surface(&self) -> Vickers {
        let asked = self.scene.demand.surface.and_then(|clause| clause.min);
        asked.unwrap_or_else(|| {
            casewright_physics::law::hardness_conversion::hv_of(casewright_terms::Hardness::new(
                Scale::Hrc,
                USUAL_LEAST_HRC,
            ))
            .map_or(Vickers::from_hv(653.0), |hv| hv.value)
        })
    }

    fn depth(&self, layers: &Layers, gone: Length) -> Length {
        let demand = self.scene.demand;
        let core = self.scene.setup.carbon.composition.get(Element::C);
        depth_to_limit(layers, demand.limit, demand.limit_hv(), core, gone).unwrap_or(Length::ZERO)
    }

    fn mm(&self, length: Length) -> String {
        length.depth_text(self.scene.spec.units)
    }

    /// Least finished depth that must be left, and its words.
    fn least_depth(&self) -> Length {
        self.scene.plan.depth.finish_min
    }

    fn hrc(hv: Vickers) -> String {
        scale_of(hv, Scale::Hrc).map_or_else(
            || format!("{:.0} HV", hv.to_hv()),
            |hrc| format!("{hrc:.0} HRC"),
        )
    }

    /// A soft skin: how much must be ground off, and what is left of the case.
    fn skin(&self) -> Remedy {
        let layers = self.made.lot();
        let least = self.least_surface();
        let steps = (DEEPEST_MM / STEP_MM).round() as usize;
        let reached = (0..=steps)
            .map(|k| Length::from_mm(STEP_MM * k as f64))
            .find(|gone| hardness_at(layers, *gone) >= least);
        let stock = self.scene.stock(None);
        let Some(gone) = reached else {
            return say(
                Saved::No,
                format!(
                    "Nowhere within {} is the steel as hard as the note asks ({}); grinding cannot save it. Cased again from the start where size and grain allow it, with the customer's word; otherwise scrap.",
                    self.mm(Length::from_mm(DEEPEST_MM)),
                    Self::hrc(least)
                ),
            );
        };
        let off = gone.max(stock);
        let left = self.depth(layers, off);
        let surface = hardness_at(layers, off);
        let by = if gone <= stock {
            format!(
                "The plan's stock of {} takes the soft skin off",
                self.mm(stock)
            )
        } else if stock > Length::ZERO {
            format!(
                "{} per side must go, {} more than the plan's stock; the drawing's size must allow it",
                self.mm(gone),
                self.mm(gone - stock)
            )
        } else {
            format!(
                "{} per side must be ground off; the drawing's size must allow it",
                self.mm(gone)
            )
        };
        let found = format!(
            "{by}. Then the surface has about {} and {} of case are left; the note asks {}",
            Self::hrc(surface),
            self.mm(left),
            self.mm(self.least_depth())
        );
        if left < self.least_depth() {
            say(
                Saved::Perhaps,
                format!(
                    "{found}: too little by grinding alone. Instead: packed once more for a short time to put the carbon back, then reheated wrapped; a coupon decides."
                ),
            )
        } else if gone <= stock {
            say(Saved::Yes, format!("{found}."))
        } else {
            say(Saved::Perhaps, format!("{found}."))
        }
    }

    /// Too little carbon: the root of time says how long it must go back.
    fn more_carbon(&self) -> Remedy {
        let sound = self.depth(self.bench.sound_made().lot(), Length::ZERO);
        let now = self.depth(self.made.lot(), Length::ZERO);
        let plan = self.scene.plan;
        if now.to_m() <= 0.0 || sound.to_m() <= 0.0 {
            return say(
                Saved::Perhaps,
                format!(
                    "Hardly a case is there. Not ground yet: packed again in good compound for the plan's whole time of {}, then hardened by the plan. Ground to size: scrap.",
                    plan.soak.text()
                ),
            );
        }
        let needs = plan.depth.make_min;
        if now >= needs {
            return say(
                Saved::Sound,
                format!(
                    "By this the case is still {} before grinding, and {} are enough; judge it by the note.",
                    self.mm(now),
                    self.mm(needs)
                ),
            );
        }
        // Depth goes with the root of time [harris-1943], so that what is there counts as its own time.
        let ratio = now.to_m() / sound.to_m();
        let more = plan.soak * (1.0 - ratio * ratio).max(0.0);
        let whole = Span::from_min((more.to_min() / 5.0).ceil() * 5.0);
        say(
            Saved::Perhaps,
            format!(
                "The case is about {} before grinding and {} are needed. Not ground yet: packed again, about {} more at {} once the pack is hot, by the root of time from what is there; then hardened by the plan. Ground already: scrap.",
                self.mm(now),
                self.mm(needs),
                whole.text(),
                plan.temperature.text_both(self.scene.spec.units)
            ),
        )
    }

    fn outcome(&self, layers: &Layers) -> (String, bool) {
        let stock = self.scene.stock(None);
        let surface = hardness_at(layers, stock);
        let left = self.depth(layers, stock);
        let holds = surface >= self.least_surface() && left >= self.least_depth();
        let words = format!(
            "{} and {} of case after grinding",
            Self::hrc(surface),
            self.mm(left)
        );
        (words, holds)
    }

    /// The steel is there and was hardened badly.
    fn hardened_again(&self) -> Remedy {
        let made = if self.ranked.cause == Cause::SoftSpots {
            self.bench.sound_made()
        } else {
            self.made
        };
        let Some(layers) = again(self.scene, made) else {
            return say(
                Saved::Perhaps,
                "Hardened again by the plan, wrapped; one piece first.",
            );
        };
        let (words, holds) = self.outcome(&layers);
        let first =
            "Hardened again by the plan: degreased, wrapped, the bath checked, tempered at once";
        if holds {
            say(
                Saved::Yes,
                format!(
                    "{first}. That gives {words}. One piece first, then the lot; the size moves again."
                ),
            )
        } else {
            say(
                Saved::Perhaps,
                format!(
                    "{first}. That gives only {words}; one piece first, and the customer asked."
                ),
            )
        }
    }

    fn chilled(&self) -> Remedy {
        let after = After {
            cold: Some(Temperature::from_c(DRY_ICE_C)),
            ..self.made.after
        };
        let cold = self.scene.harden(&self.made.carbon, &self.made.way, &after);
        let now = hardness_at(self.made.lot(), Length::ZERO);
        let by_cold = cold.map(|layers| hardness_at(&layers, Length::ZERO));
        let again = again(self.scene, self.made).map(|layers| self.outcome(&layers));
        let mut words = String::new();
        if let Some(hv) = by_cold {
            words.push_str(&format!(
                "Chilled to −75 °C (−103 °F) and tempered again the skin goes from {} to about {}, less the longer it has lain since the temper. ",
                Self::hrc(now),
                Self::hrc(hv)
            ));
        }
        let holds = again.as_ref().is_some_and(|(_, holds)| *holds);
        if let Some((found, _)) = again {
            words.push_str(&format!(
                "Hardened again from the plan's heat, wrapped, it gives {found}."
            ));
        }
        say(if holds { Saved::Yes } else { Saved::Perhaps }, words)
    }

    fn other_steel(&self) -> Remedy {
        let (found, holds) = self.outcome(self.made.lot());
        let steel = self.made.way.steel.map_or(String::new(), |steel| {
            format!(
                " The nearest steel of the rack has about {:.2} % carbon, {:.1} % manganese, {:.1} % chromium.",
                steel.wt_pct(Element::C),
                steel.wt_pct(Element::Mn),
                steel.wt_pct(Element::Cr)
            )
        });
        say(
            if holds { Saved::Perhaps } else { Saved::No },
            format!(
                "The drawing names its steel: only the customer can take another, and the certificate must say so.{steel} As it was run it gives {found}."
            ),
        )
    }

    fn ground(&self) -> Remedy {
        let points = &self.bench.foretold[self.ranked.way];
        let deeper = Length::from_mm(quantile(points, &self.ranked.shares, 0.5));
        let left = self.depth(self.made.lot(), self.scene.stock(None) + deeper);
        say(
            Saved::No,
            format!(
                "About {} of case are left where the readings were taken; the note asks {}. What is ground off cannot be put back: scrap, unless the customer takes the face as it is.",
                self.mm(left),
                self.mm(self.least_depth())
            ),
        )
    }

    fn burnt(&self) -> Remedy {
        let points = &self.bench.foretold[self.ranked.way];
        let depth = Length::from_mm(quantile(points, &self.ranked.shares, 0.5));
        let gone = self.scene.stock(None) + depth;
        let left = self.depth(self.bench.sound_made().lot(), gone);
        let holds = left >= self.least_depth();
        say(
            if holds { Saved::Perhaps } else { Saved::No },
            format!(
                "{} more per side, in light wet cuts after a temper, take the burnt skin off; {} of case would be left and the note asks {}. The size must allow it, and cracks must be looked for first.",
                self.mm(depth),
                self.mm(left),
                self.mm(self.least_depth())
            ),
        )
    }
}
