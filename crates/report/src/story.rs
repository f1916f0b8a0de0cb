//! The story of one depth in plain sentences: what came in, what the heat made of it, what the
//! quench left, and why it is as hard as it is. Words only; every number was found by the planner.

use casewright_plan::inside::StoryPoint;
use casewright_terms::{Length, Scale, SourceKey, Span, UnitSystem, Vickers};

use crate::show;

/// One sentence or two about one matter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sentence {
    /// What it is about: `carbon`, `box`, `heat`, `quench`, `phases`, `hardness`.
    pub about: &'static str,
    /// The words.
    pub text: String,
    /// Where the numbers come from.
    pub sources: &'static [SourceKey],
}

/// The heading of a depth.
#[must_use]
pub fn heading(point: &StoryPoint, units: UnitSystem) -> String {
    let depth = show::depth(point.depth, units).line();
    match point.below_finished {
        Some(below) if below.to_m().abs() < 5e-7 => {
            format!("{depth} below the surface as hardened: the finished face")
        }
        Some(below) if below == point.depth => format!("{depth} below the surface"),
        Some(below) => format!(
            "{depth} below the surface as hardened, {} below the finished face",
            show::depth(below, units).main
        ),
        None => format!("{depth} below the surface as hardened: ground off later"),
    }
}

/// The story.
#[must_use]
pub fn sentences(point: &StoryPoint, units: UnitSystem) -> Vec<Sentence> {
    let mut all = vec![carbon(point)];
    if let Some(boxed) = &point.boxed {
        all.push(Sentence {
            about: "box",
            text: format!(
                "Cooled slowly in the box it is {}. The reheat undoes this state; only the carbon stays.",
                listed(boxed)
            ),
            sources: &["andrews-1965", "hultgren-1947", "scheil-1935"],
        });
    }
    all.push(heat(point, units));
    all.push(quench(point, units));
    all.push(phases(point));
    all.push(hardness(point, units));
    all
}

fn carbon(p: &StoryPoint) -> Sentence {
    let gain = p.carbon_wt_pct - p.core_carbon_wt_pct;
    let text = match p.half_gain_after {
        Some(half) => {
            let late = if p.gain_while_cooling_wt_pct >= 0.01 {
                format!(
                    " While the box cooled it still gained {:.2} wt%.",
                    p.gain_while_cooling_wt_pct
                )
            } else if p.gain_while_cooling_wt_pct <= -0.01 {
                format!(
                    " While the box cooled it passed {:.2} wt% on to the steel below.",
                    -p.gain_while_cooling_wt_pct
                )
            } else {
                String::new()
            };
            format!(
                "The box brings carbon from {:.2} to {:.2} wt% here; half of the gain of {gain:.2} was there {} after loading.{late}",
                p.core_carbon_wt_pct,
                p.carbon_wt_pct,
                half.text()
            )
        }
        None => format!(
            "Carbon from the box does not reach this depth: it keeps the steel's own {:.2} wt%.",
            p.core_carbon_wt_pct
        ),
    };
    Sentence {
        about: "carbon",
        text,
        sources: &["agren-1986"],
    }
}

fn heat(p: &StoryPoint, units: UnitSystem) -> Sentence {
    let at = p.quenched_from.text_both(units);
    let mut text = format!(
        "At {at}, before the quench, {:.2} wt% carbon is dissolved in the austenite",
        p.dissolved_wt_pct
    );
    if p.carbide_left >= 0.005 {
        text.push_str(&format!(
            "; {:.0} % of the volume stays carbide, which wears well and keeps carbon out of the martensite",
            100.0 * p.carbide_left
        ));
    }
    if p.ferrite_left >= 0.005 {
        text.push_str(&format!(
            "; {:.0} % is still ferrite and will stay soft",
            100.0 * p.ferrite_left
        ));
    }
    if p.carbide_left < 0.005 && p.ferrite_left < 0.005 {
        text.push_str(" and nothing is left undissolved");
    }
    text.push('.');
    Sentence {
        about: "heat",
        text,
        sources: &["gustafson-1985", "mc-fe-2059"],
    }
}

fn quench(p: &StoryPoint, units: UnitSystem) -> Sentence {
    let (from, to) = p.counted;
    let passage = format!("from {} to {}", from.text(units), to.text(units));
    let ms = p.martensite_start.text_both(units);
    let cooling = p.cooling.map(seconds);
    let text = match (cooling, p.cooling, p.needed) {
        (Some(took), Some(t), Some(need)) => {
            let verdict = if t <= need {
                "fast enough"
            } else {
                "too slow for a full hardening"
            };
            format!(
                "It passes {passage} in {took}; this steel with this carbon needs {} or less for nine tenths of martensite: {verdict}. Martensite begins at {ms}.",
                seconds(need)
            )
        }
        (Some(took), ..) => {
            let hard = p
                .phases
                .iter()
                .filter(|(name, _)| ["martensite", "retained austenite"].contains(name))
                .map(|(_, s)| s)
                .sum::<f64>();
            let verdict = if hard >= 0.9 {
                "this steel with this carbon would bear far slower cooling"
            } else {
                "no quench gives nine tenths of martensite here"
            };
            format!("It passes {passage} in {took}; {verdict}. Martensite begins at {ms}.")
        }
        (None, ..) => format!("Martensite begins at {ms}."),
    };
    Sentence {
        about: "quench",
        text,
        sources: &["li-1998", "scheil-1935", "van-bohemen-2012"],
    }
}

fn phases(p: &StoryPoint) -> Sentence {
    let austenite = p
        .phases
        .iter()
        .find(|(name, _)| *name == "retained austenite")
        .map_or(0.0, |(_, s)| *s);
    let why = if austenite >= 0.05 {
        " Austenite stays because so much carbon sets the end of martensite below the shop's temperature."
    } else {
        ""
    };
    let (quenched, drawn) = (listed(&p.phases), listed(&p.drawn_phases));
    let states = if quenched == drawn {
        format!("Quenched, and drawn the same: {quenched}")
    } else {
        format!("Quenched: {quenched}; drawn: {drawn}")
    };
    Sentence {
        about: "phases",
        text: format!("{states}.{why}"),
        sources: &["koistinen-marburger-1959", "van-bohemen-2012"],
    }
}

fn hardness(p: &StoryPoint, units: UnitSystem) -> Sentence {
    let hv = |value: f64| {
        let vickers = Vickers::from_hv(value);
        match casewright_physics::law::hardness_conversion::scale_of(vickers, Scale::Hrc) {
            Some(hrc) => format!(
                "{} ({})",
                show::vickers(vickers),
                show::reading(hrc, Scale::Hrc)
            ),
            None => show::vickers(vickers),
        }
    };
    let why = match p.phases.first() {
        Some((name, share)) if *share >= 0.5 => format!("; {name} decides it",),
        Some((name, _)) => format!("; a mixture, {name} the most"),
        None => String::new(),
    };
    let loss = p.quenched_hv - p.drawn_hv;
    let draw = if loss >= 0.5 {
        format!(
            ", and {} after the draw at {}, which takes {loss:.0} HV and the worst of the brittleness",
            hv(p.drawn_hv),
            p.drawn_at.text_both(units)
        )
    } else {
        format!(
            ", and the same after the draw at {}",
            p.drawn_at.text_both(units)
        )
    };
    Sentence {
        about: "hardness",
        text: format!("{} as quenched{draw}{why}.", hv(p.quenched_hv)),
        sources: &["maynier-1978", "hollomon-jaffe-1945", "astm-e140"],
    }
}

/// `martensite 68 %, retained austenite 30 % and carbide 2 %`.
fn listed(shares: &[(&'static str, f64)]) -> String {
    let words: Vec<String> = shares
        .iter()
        .map(|(name, share)| format!("{name} {:.0} %", 100.0 * share))
        .collect();
    match words.as_slice() {
        [] => "nothing known".to_owned(),
        [one] => one.clone(),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    }
}

/// A short time, to the digit it is worth.
fn seconds(time: Span) -> String {
    let s = time.to_s();
    if s < 10.0 {
        format!("{s:.1} s")
    } else if s < 600.0 {
        format!("{s:.0} s")
    } else {
        time.text()
    }
}

/// The depths whose story is told unless others are asked for: the finished surface, the middle of
/// the case, where the case ends, and the core.
#[must_use]
pub fn usual_depths(
    prediction: &casewright_plan::outcome::Prediction,
    ground: Length,
    deepest: Length,
) -> Vec<Length> {
    let mut depths = vec![ground];
    if let Some(case) = prediction.case_depth.or(prediction.total_depth) {
        depths.push(ground + (case.mid - ground).max(Length::ZERO) * 0.5);
        depths.push(case.mid);
    }
    depths.push(deepest);
    depths.dedup();
    depths
}

/// A Vickers scale with its force, as in `HV0.5`.
#[must_use]
pub fn force_name(force: casewright_terms::Force) -> String {
    format!(
        "HV{}",
        casewright_terms::quantity::format_trimmed(force.to_kgf(), 2)
    )
}

/// The story as text, at most [`crate::text::WIDTH`] columns wide.
#[must_use]
pub fn text(point: &StoryPoint, units: UnitSystem) -> String {
    let mut out = crate::text::Page::default();
    out.title(&heading(point, units));
    for sentence in sentences(point, units) {
        out.hang(
            2,
            &format!("{:<10}", sentence.about),
            &format!("{} [{}]", sentence.text, sentence.sources.join(", ")),
        );
    }
    out.finish()
}
