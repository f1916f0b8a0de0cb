//! What each cause makes of the lot, over its free amount: the ways that the engine runs.

use casewright_physics::matter::steel;
use casewright_physics::run::{CarbonRun, Layers};
use casewright_terms::{Element, Length, Span, TemperatureStep};
use rayon::prelude::*;

use super::cause::Cause;
use super::data::{Class, Data, Spot};
use super::scene::{After, InBox, Scene};

/// Minutes bare: from a forgotten wrap to a forgotten lot. [trade-practice]
const BARE_MIN: [f64; 9] = [5.0, 10.0, 15.0, 20.0, 30.0, 40.0, 50.0, 60.0, 90.0];
/// Shares of the time at heat.
const SOAK: [f64; 6] = [0.05, 0.15, 0.3, 0.45, 0.6, 0.75];
/// Pack colder than planned, in K.
const COLDER_K: [f64; 4] = [-30.0, -60.0, -90.0, -130.0];
/// Factors on the transfer of carbon.
const TRANSFER: [f64; 6] = [0.02, 0.05, 0.1, 0.18, 0.3, 0.5];
/// Factors on the quench: a vapour blanket to a lukewarm bath.
const SEVERITY: [f64; 8] = [0.03, 0.06, 0.1, 0.15, 0.2, 0.3, 0.4, 0.55];
/// Quench from too cold, in K.
const TOO_COLD_K: [f64; 6] = [-120.0, -100.0, -80.0, -60.0, -45.0, -30.0];
/// Quench from too hot, in K.
const TOO_HOT_K: [f64; 6] = [80.0, 100.0, 125.0, 150.0, 175.0, 200.0];
/// Box hotter than planned where too much carbon came with it, in K.
const RICH_K: f64 = 40.0;
/// Temper too hot, in K above the plan.
const OVER_K: [f64; 7] = [40.0, 70.0, 100.0, 130.0, 170.0, 210.0, 260.0];
/// Metal off a finished face beyond the plan, in mm.
const DEEPER_MM: [f64; 8] = [0.1, 0.2, 0.3, 0.4, 0.5, 0.65, 0.8, 1.0];
/// Depth of a burnt skin, in mm.
const BURNT_MM: [f64; 3] = [0.05, 0.12, 0.25];
/// What a burnt skin was tempered to, in K above the plan's temper.
const BURNT_K: [f64; 3] = [120.0, 200.0, 280.0];
/// Shares of the case's carbon that reached a masked area.
const LEAKED: [f64; 4] = [0.1, 0.3, 0.6, 1.0];
/// Other steels: what lies in the same rack.
const RACK: [&str; 8] = [
    "1018", "12L14", "A36", "8620", "C15E", "16MnCr5", "4140", "C45E",
];
/// A lot as a cause would have made it.
#[derive(Clone, Debug)]
pub(super) struct Made {
    /// Free amount.
    pub(super) amount: f64,
    /// By class of piece.
    layers: Vec<(Class, Layers)>,
    /// Uptake of a cased piece, g/m².
    pub(super) uptake_g_m2: f64,
    /// Metal off finished faces beyond the plan.
    pub(super) deeper: Length,
    /// Layers of the finished faces where they differ from the lot's.
    pub(super) finished: Option<Layers>,
    /// Layers of an area that was to stay soft.
    pub(super) soft: Layers,
    /// Carbon and way, for hardening once more.
    pub(super) carbon: CarbonRun,
    pub(super) way: InBox,
    pub(super) after: After,
}

/// All amounts of one cause.
#[derive(Clone, Debug)]
pub(super) struct Way {
    pub(super) cause: Cause,
    /// Unit of the amount; empty where there is none.
    pub(super) unit: &'static str,
    /// What the amount is of.
    pub(super) amount_is: &'static str,
    /// One chain of amounts each; between neighbours the readings are drawn straight.
    pub(super) chains: Vec<Vec<Made>>,
}

const fn class(boxed: bool, hardened: bool) -> Class {
    Class { boxed, hardened }
}
pub(super) const CLASSES: [Class; 4] = [
    class(true, true),
    class(true, false),
    class(false, true),
    class(false, false),
];

impl Made {
    pub(super) fn of(&self, class: Class) -> &Layers {
        let own = self.layers.iter().find(|(own, _)| *own == class);
        &own.unwrap_or(&self.layers[0]).1
    }

    /// The same lot with more taken off its finished faces than planned.
    pub(super) fn ground_deeper(&self, deeper: Length) -> Self {
        Self {
            amount: deeper.to_mm(),
            deeper,
            ..self.clone()
        }
    }

    /// The lot's own pieces.
    pub(super) fn lot(&self) -> &Layers {
        self.of(class(true, true))
    }
}

/// Makes one lot; `None` where the engine gives no answer.
pub(super) fn make(scene: &Scene<'_>, amount: f64, way: &InBox, after: &After) -> Option<Made> {
    let carbon = scene.boxed(way)?;
    let bare_core = scene.uncased(way.steel.as_ref());
    let in_box_only = InBox {
        air: Span::ZERO,
        ..way.clone()
    };
    let layers = scene
        .classes
        .iter()
        .map(|class| {
            let after = if class.hardened { after } else { &After::PLAN };
            let run = if class.boxed {
                scene.harden(&carbon, way, after)
            } else {
                scene.harden(&bare_core, &in_box_only, after)
            };
            Some((*class, run?))
        })
        .collect::<Option<Vec<_>>>()?;
    // A masked area is the steel without a case, hardened with the lot.
    let soft = match layers.iter().find(|(own, _)| *own == CLASSES[2]) {
        Some((_, soft)) => soft.clone(),
        None => layers[0].1.clone(),
    };
    Some(Made {
        amount,
        layers,
        uptake_g_m2: carbon.uptake_g_m2,
        deeper: Length::ZERO,
        finished: None,
        soft,
        carbon,
        way: way.clone(),
        after: *after,
    })
}

fn chain(
    scene: &Scene<'_>,
    amounts: &[f64],
    bend: impl Fn(f64) -> (InBox, After) + Sync,
) -> Vec<Made> {
    amounts
        .par_iter()
        .filter_map(|amount| {
            let (way, after) = bend(*amount);
            make(scene, *amount, &way, &after)
        })
        .collect()
}

/// The ways of all causes that change what is read. The first is the plan itself.
pub(super) fn ways(scene: &Scene<'_>, data: &Data) -> Vec<Way> {
    let plain = chain(scene, &[0.0], |_| (InBox::PLAN, After::PLAN));
    let Some(sound) = plain.first().cloned() else {
        return Vec::new();
    };
    let mut all = vec![way(Cause::AsPlanned, "", "", vec![plain])];
    all.extend(in_box(scene, &sound));
    if scene.reheated() {
        all.extend(in_air(scene));
    }
    all.extend(in_quench(scene));
    all.push(over_tempered(scene));
    if data
        .readings
        .iter()
        .any(|d| matches!(d.spot, Spot::Finished(_)))
    {
        all.extend(under_wheel(scene, &sound));
    }
    if data.on_soft_area() {
        all.push(masked(scene, &sound));
    }
    all.retain(|way| way.chains.iter().any(|chain| !chain.is_empty()));
    all
}

const fn way(
    cause: Cause,
    amount_is: &'static str,
    unit: &'static str,
    chains: Vec<Vec<Made>>,
) -> Way {
    Way {
        cause,
        unit,
        amount_is,
        chains,
    }
}

/// Too little carbon, or another steel.
fn in_box(scene: &Scene<'_>, sound: &Made) -> Vec<Way> {
    let bent =
        |amounts: &[f64], bend: fn(f64) -> InBox| chain(scene, amounts, |x| (bend(x), After::PLAN));
    let none = bent(&[0.0], |_| InBox {
        none: true,
        ..InBox::PLAN
    });
    let soak = bent(&SOAK, |soak| InBox {
        soak,
        ..InBox::PLAN
    });
    let cold = bent(&COLDER_K, |k| InBox {
        heat: TemperatureStep::from_k(k),
        ..InBox::PLAN
    });
    let weak = bent(&TRANSFER, |transfer| InBox {
        transfer,
        ..InBox::PLAN
    });
    vec![
        way(Cause::NoCarbon, "", "", vec![none]),
        // A colder pack is told as the share of the time that would give its uptake.
        way(
            Cause::ShortSoak,
            "worth this share of the time at heat",
            "%",
            vec![percent(soak), as_soak(cold, sound)],
        ),
        way(
            Cause::WeakCompound,
            "carbon coming at this share of the usual speed",
            "%",
            vec![percent(weak)],
        ),
        way(Cause::WrongSteel, "", "", other_steels(scene)),
    ]
}

/// Air at the hot skin: in the reheat, or in the box before it.
fn in_air(scene: &Scene<'_>) -> Vec<Way> {
    let bare = chain(scene, &BARE_MIN, |min| {
        let after = After {
            bare: Some(Span::from_min(min)),
            ..After::PLAN
        };
        (InBox::PLAN, after)
    });
    let air = chain(scene, &BARE_MIN, |min| {
        let way = InBox {
            air: Span::from_min(min),
            ..InBox::PLAN
        };
        (way, After::PLAN)
    });
    vec![
        way(Cause::BareReheat, "bare for", "min", vec![bare]),
        way(Cause::LeakyBox, "in air at heat for", "min", vec![air]),
    ]
}

/// Too slow, too cold, too hot.
fn in_quench(scene: &Scene<'_>) -> Vec<Way> {
    let heated = |by: &[f64], box_k: f64| {
        chain(scene, by, |k| {
            let way = InBox {
                heat: TemperatureStep::from_k(box_k),
                ..InBox::PLAN
            };
            let after = After {
                heat: TemperatureStep::from_k(k),
                ..After::PLAN
            };
            (way, after)
        })
    };
    let slack = chain(scene, &SEVERITY, |severity| {
        let after = After {
            severity,
            ..After::PLAN
        };
        (InBox::PLAN, after)
    });
    let off = "quenched from this much off the plan's heat";
    // Too much carbon from a hot box and too hot a quench keep austenite together.
    let hot = vec![heated(&TOO_HOT_K, 0.0), heated(&TOO_HOT_K, RICH_K)];
    vec![
        way(
            Cause::SlackQuench,
            "cooling at this share of the plan's",
            "%",
            vec![percent(slack)],
        ),
        way(Cause::ColdQuench, off, "K", vec![heated(&TOO_COLD_K, 0.0)]),
        way(Cause::HotQuench, off, "K", hot),
    ]
}

/// The plan's temper and so many kelvins.
fn tempered(scene: &Scene<'_>, by_k: f64) -> After {
    After {
        temper: scene
            .setup
            .temper
            .map(|temper| temper.temperature + TemperatureStep::from_k(by_k)),
        ..After::PLAN
    }
}

fn over_tempered(scene: &Scene<'_>) -> Way {
    let over = chain(scene, &OVER_K, |k| (InBox::PLAN, tempered(scene, k)));
    way(
        Cause::OverTemper,
        "tempered hotter than planned by",
        "K",
        vec![over],
    )
}

/// Ground too deep, or burnt.
fn under_wheel(scene: &Scene<'_>, sound: &Made) -> Vec<Way> {
    let deeper = DEEPER_MM
        .iter()
        .map(|mm| sound.ground_deeper(Length::from_mm(*mm)))
        .collect();
    let burnt = BURNT_K
        .iter()
        .filter_map(|k| {
            let soft = scene.harden(&sound.carbon, &InBox::PLAN, &tempered(scene, *k))?;
            Some(burnt(scene, sound, &soft))
        })
        .collect();
    vec![
        way(
            Cause::GroundThrough,
            "ground deeper than planned by",
            "mm",
            vec![deeper],
        ),
        way(Cause::GrindBurn, "burnt to a depth of", "mm", burnt),
    ]
}

/// Carbon in an area that was to stay soft.
fn masked(scene: &Scene<'_>, sound: &Made) -> Way {
    let leaked = LEAKED
        .iter()
        .filter_map(|share| {
            let core = scene.setup.carbon.composition.wt_pct(Element::C);
            let mut carbon = sound.carbon.clone();
            for c in &mut carbon.carbon_wt_pct {
                *c = core + share * (*c - core);
            }
            let soft = scene.harden(&carbon, &InBox::PLAN, &After::PLAN)?;
            Some(Made {
                amount: 100.0 * share,
                soft,
                ..sound.clone()
            })
        })
        .collect();
    way(
        Cause::MaskLeak,
        "this share of the case's carbon reached it",
        "%",
        vec![leaked],
    )
}

fn percent(mut chain: Vec<Made>) -> Vec<Made> {
    for made in &mut chain {
        made.amount *= 100.0;
    }
    chain
}

/// Uptake goes with the root of time: the share of the time that gives the uptake.
fn as_soak(mut chain: Vec<Made>, sound: &Made) -> Vec<Made> {
    for made in &mut chain {
        let share = made.uptake_g_m2 / sound.uptake_g_m2.max(1e-9);
        made.amount = 100.0 * (share * share).min(1.0);
    }
    chain
}

/// The job's work done in every other steel of the rack, one chain each.
fn other_steels(scene: &Scene<'_>) -> Vec<Vec<Made>> {
    let own = &scene.setup.carbon.composition;
    let unlike = |other: &casewright_terms::Composition| {
        Element::ALL.iter().any(|element| {
            let (a, b) = (own.wt_pct(*element), other.wt_pct(*element));
            // Less than that changes nothing that a tester could show: it would be no cause.
            (a - b).abs() > if *element == Element::C { 0.1 } else { 0.35 }
        })
    };
    let mut steels: Vec<casewright_terms::Composition> = Vec::new();
    for name in RACK {
        if let Some(record) = steel::find(name) {
            let middle = record.middle();
            if unlike(&middle) && !steels.contains(&middle) {
                steels.push(middle);
            }
        }
    }
    steels
        .par_iter()
        .filter_map(|steel| {
            let way = InBox {
                steel: Some(*steel),
                ..InBox::PLAN
            };
            make(scene, 0.0, &way, &After::PLAN).map(|made| vec![made])
        })
        .collect()
}

/// A finished face whose skin was burnt, over its depth.
fn burnt(scene: &Scene<'_>, sound: &Made, soft: &Layers) -> Vec<Made> {
    let ground = scene.stock(None).to_m();
    BURNT_MM
        .iter()
        .map(|mm| {
            let mut layers = sound.lot().clone();
            let end = ground + Length::from_mm(*mm).to_m();
            for i in 0..layers.depth_m.len() {
                if layers.depth_m[i] < end {
                    layers.hardness_hv[i] = soft.hardness_hv[i];
                }
            }
            Made {
                amount: *mm,
                finished: Some(layers),
                ..sound.clone()
            }
        })
        .collect()
}
