//! The same for what is done at the furnace and after it: steps, clock, tank, people, testers, and
//! the prediction.

use casewright_job::note::reading::{Rule, Selective};
use casewright_job::shop::{Energiser, HotOpening, Lute, Medium};
use casewright_job::spec::{PartShape, RouteWish};
use casewright_plan::outcome::{PackHeat, StepKind};
use casewright_terms::Severity::{Stop, Warn};
use casewright_terms::{
    Band, Element, Fraction, Mass, Scale, Span, TemperatureStep, Vickers, Volume,
};

use super::fixture::{World, band_mm, moment};
use super::spoilt::{
    Case, c, carburize_at, chemistry, delay, fill, mm, remove, silence, soak, step,
};

pub(crate) const STEPS: &[Case] = &[
    (
        "check-direct-hot",
        Warn,
        "quenched from the box at 925 °C",
        |w| {
            w.plan.route = RouteWish::Direct;
            remove(w, StepKind::Reheat);
            remove(w, StepKind::Cool);
        },
    ),
    ("check-step-missing", Stop, "no packing", |w| {
        remove(w, StepKind::Pack)
    }),
    ("check-step-missing", Stop, "no quench", |w| {
        remove(w, StepKind::Quench)
    }),
    ("check-temper-missing", Stop, "no temper", |w| {
        remove(w, StepKind::Temper)
    }),
    ("check-test-missing", Stop, "no test", |w| {
        remove(w, StepKind::Test)
    }),
    ("check-grind-missing", Warn, "stock and no grinding", |w| {
        remove(w, StepKind::Grind)
    }),
    ("check-order", Stop, "carburized before packing", |w| {
        w.plan.steps.swap(0, 1)
    }),
    (
        "check-order-temper",
        Stop,
        "tempered before the quench",
        |w| w.plan.steps.swap(4, 5),
    ),
    ("check-grind-before-temper", Stop, "ground first", |w| {
        w.plan.steps.swap(5, 7)
    }),
    (
        "check-grind-before-test",
        Stop,
        "ground before the test",
        |w| w.plan.steps.swap(6, 7),
    ),
    ("check-grind-before-quench", Stop, "ground soft", |w| {
        let grind = w.plan.steps.remove(7);
        w.plan.steps.insert(3, grind);
    }),
    (
        "check-test-early",
        Stop,
        "tested before the quench only",
        |w| {
            let test = w.plan.steps.remove(6);
            w.plan.steps.insert(3, test);
        },
    ),
    ("check-route", Stop, "single without a reheat", |w| {
        remove(w, StepKind::Reheat)
    }),
    ("check-route", Stop, "direct with a reheat", |w| {
        w.plan.route = RouteWish::Direct
    }),
    ("check-route", Stop, "double with one reheat", |w| {
        w.plan.route = RouteWish::Double
    }),
    ("check-route", Stop, "single without cooling", |w| {
        remove(w, StepKind::Cool)
    }),
    ("check-step-open", Stop, "no reheat temperature", |w| {
        step(w, StepKind::Reheat).temperature = None;
    }),
    ("check-step-open", Stop, "no temper time", |w| {
        step(w, StepKind::Temper).soak = None
    }),
    ("check-step-tolerance", Warn, "no tolerance", |w| {
        step(w, StepKind::Carburize).tolerance = None;
    }),
    ("check-step-silent", Warn, "no words", |w| {
        step(w, StepKind::Cool).text.clear()
    }),
    ("check-reheat-hot", Stop, "reheat at 925 °C", |w| {
        step(w, StepKind::Reheat).temperature = Some(c(925.0));
    }),
    ("check-reheat-cold", Stop, "reheat below Ac1", |w| {
        step(w, StepKind::Reheat).temperature = Some(c(700.0));
    }),
    ("check-reheat-low", Warn, "reheat at 750 °C", |w| {
        step(w, StepKind::Reheat).temperature = Some(c(750.0));
    }),
    ("check-reheat-high", Warn, "reheat at 870 °C", |w| {
        step(w, StepKind::Reheat).temperature = Some(c(870.0));
    }),
    (
        "check-temper-temperature",
        Stop,
        "tempered at 400 °C",
        |w| {
            step(w, StepKind::Temper).temperature = Some(c(400.0));
            w.spec.shop.ovens[0].max = c(600.0);
        },
    ),
    ("check-temper-unusual", Warn, "tempered at 120 °C", |w| {
        step(w, StepKind::Temper).temperature = Some(c(120.0));
    }),
    (
        "check-temper-short",
        Stop,
        "tempered for half an hour",
        |w| {
            step(w, StepKind::Temper).soak = Some(Span::from_min(30.0));
        },
    ),
    ("check-temper-brief", Warn, "an hour for 14 mm", |w| {
        step(w, StepKind::Temper).soak = Some(Span::from_h(1.1));
    }),
    ("check-hold-quench", Stop, "alone at the quench", |w| {
        step(w, StepKind::Quench).hold_point = false;
    }),
    ("check-hold", Warn, "pack not looked at", |w| {
        step(w, StepKind::Pack).hold_point = false
    }),
    ("check-hold", Warn, "test not held", |w| {
        step(w, StepKind::Test).hold_point = false
    }),
];

pub(crate) const TIMES: &[Case] = &[
    (
        "check-soak-overrun",
        Stop,
        "left in the furnace for two hours more",
        |w| delay(w, 2, 2.0),
    ),
    (
        "check-time-overlap",
        Stop,
        "tempered during the quench",
        |w| {
            step(w, StepKind::Temper).begins = moment(25.0);
        },
    ),
    ("check-clock", Stop, "the wall clock an hour off", |w| {
        let clock = step(w, StepKind::Temper).begins.clock.as_mut();
        let clock = clock.expect("the fixture has clocks");
        *clock += jiff::SignedDuration::from_hours(1);
    }),
    ("check-clock-early", Stop, "before work may start", |w| {
        let later: jiff::civil::DateTime = "2026-12-01T09:00".parse().expect("a date");
        w.spec.start = Some(later);
    }),
    (
        "check-soak-from-hot",
        Stop,
        "soak counted from loading",
        |w| {
            step(w, StepKind::Carburize).ends = moment(8.5);
        },
    ),
    (
        "check-quench-late",
        Stop,
        "a quarter of an hour to the tank",
        |w| delay(w, 4, 0.25),
    ),
    ("check-temper-wait", Warn, "tempered after two hours", |w| {
        delay(w, 5, 2.0)
    }),
    (
        "check-temper-late",
        Stop,
        "tempered after five hours",
        |w| delay(w, 5, 5.0),
    ),
    ("check-unstaffed", Stop, "quench at night", |w| {
        delay(w, 3, 16.0)
    }),
    ("check-unstaffed-bench", Warn, "ground at night", |w| {
        delay(w, 7, 12.0)
    }),
    ("check-unattended", Stop, "soak into the night", |w| {
        delay(w, 1, 8.0)
    }),
    (
        "check-unattended-limit",
        Stop,
        "alone without a cut-off",
        |w| {
            delay(w, 1, 8.0);
            w.spec.unattended = true;
            w.spec.shop.furnaces[0].independent_high_limit = false;
        },
    ),
];

pub(crate) const QUENCH: &[Case] = &[
    ("check-tank", Stop, "a tank nobody has", |w| {
        w.plan.quench.tank = "W9".to_owned()
    }),
    ("check-tank", Stop, "the step names another tank", |w| {
        step(w, StepKind::Quench).equipment = Some("O1".to_owned());
    }),
    ("check-tank", Stop, "another liquid than the shop's", |w| {
        w.plan.quench.medium = Medium::Brine
    }),
    ("check-quench-air", Stop, "plain steel in air", |w| {
        fill(w, Medium::Air)
    }),
    ("check-quench-plain-oil", Warn, "plain steel in oil", |w| {
        fill(w, Medium::SlowOil)
    }),
    (
        "check-quench-alloy-water",
        Warn,
        "alloy steel in water",
        |w| {
            chemistry(
                w,
                &[(Element::C, 0.2), (Element::Cr, 1.0), (Element::Mn, 1.2)],
            );
        },
    ),
    ("check-steel", Warn, "a steel with 0.45 % carbon", |w| {
        chemistry(w, &[(Element::C, 0.45), (Element::Mn, 0.7)]);
    }),
    ("check-quench-mass", Stop, "a hundred grams", |w| {
        w.plan.quench.mass = Mass::from_kg(0.1)
    }),
    ("check-quench-volume", Stop, "a bucket", |w| {
        w.spec.shop.tanks[0].volume = Volume::from_l(4.0)
    }),
    ("check-quench-volume-small", Warn, "two buckets", |w| {
        w.spec.shop.tanks[0].volume = Volume::from_l(8.0);
    }),
    ("check-bath-sum", Stop, "sum wrong", |w| {
        w.plan.quench.bath_after = c(20.0)
    }),
    ("check-bath-rise", Stop, "rise forgotten", |w| {
        w.spec.shop.tanks[0].volume = Volume::from_l(10.0);
        w.plan.quench.rise = TemperatureStep::ZERO;
        w.plan.quench.bath_after = c(20.0);
    }),
    ("check-bath-rise-differs", Warn, "rise doubled", |w| {
        w.plan.quench.rise = TemperatureStep::from_k(6.0);
        w.plan.quench.bath_after = c(26.0);
    }),
    ("check-water-warm", Warn, "water at 36 °C", |w| {
        w.spec.shop.tanks[0].bath = c(34.0);
        w.plan.quench.bath_after = c(36.3);
    }),
    ("check-water-hot", Stop, "water at 50 °C", |w| {
        w.spec.shop.tanks[0].bath = c(48.0);
        w.plan.quench.bath_after = c(50.3);
    }),
    ("check-water-hot", Stop, "polymer at 50 °C", |w| {
        w.spec.shop.tanks[0].medium = Medium::Polymer;
        w.plan.quench.medium = Medium::Polymer;
        w.spec.shop.tanks[0].bath = c(48.0);
        w.plan.quench.bath_after = c(50.3);
    }),
    (
        "check-bath-lot",
        Warn,
        "sixteen parts one after the other",
        |w| {
            w.spec.quantity = 16;
            w.spec.shop.tanks[0].bath = c(28.0);
            w.plan.quench.bath_after = c(30.3);
        },
    ),
    ("check-transfer", Stop, "25 s to the tank", |w| {
        w.spec.shop.tanks[0].transfer = Span::from_s(25.0);
    }),
    ("check-transfer-slow", Warn, "14 s to the tank", |w| {
        w.spec.shop.tanks[0].transfer = Span::from_s(14.0);
    }),
];

/// Spoilt from the sound plan in oil.
/// The packed box's heat; every sound plan has one.
fn heat(world: &mut World) -> &mut PackHeat {
    world
        .plan
        .pack_heat
        .as_mut()
        .expect("the sound plan tells the pack's heat")
}

pub(crate) const BOXES: &[Case] = &[
    ("check-pack-hot-brick", Warn, "hot within the hour", |w| {
        let early = Band {
            low: Span::from_h(0.5),
            mid: Span::from_h(0.7),
            high: Span::from_h(0.9),
        };
        w.plan.pack_hot_after = early;
        heat(w).hot = early;
    }),
    ("check-pack-hot-brick", Warn, "hot after three days", |w| {
        let late = Band {
            low: Span::from_h(60.0),
            mid: Span::from_h(70.0),
            high: Span::from_h(80.0),
        };
        w.plan.pack_hot_after = late;
        heat(w).hot = late;
    }),
    ("check-hot-clock", Stop, "the clock an hour early", |w| {
        heat(w).hot_at.mid = moment(2.2)
    }),
    (
        "check-hot-clock",
        Stop,
        "hours other than the plan's",
        |w| heat(w).hot.mid = Span::from_h(2.5),
    ),
    ("check-couple-reading", Stop, "a couple at 700 °C", |w| {
        heat(w).couple_reads = Some(c(700.0))
    }),
    (
        "check-couple-reading",
        Stop,
        "hotter than the furnace",
        |w| heat(w).couple_reads = Some(c(960.0)),
    ),
    ("check-spread-ends", Stop, "a part below the least", |w| {
        heat(w).parts[3].depth = Some(mm(0.9))
    }),
    ("check-box-spread", Warn, "half as much again", |w| {
        heat(w).parts[2].depth = Some(mm(1.62))
    }),
    ("check-coupon-stands", Warn, "coupons by the wall", |w| {
        for coupon in &mut heat(w).coupons {
            coupon.depth = Some(mm(1.4));
        }
    }),
    ("check-quench-cover", Stop, "120 mm over the work", |w| {
        w.spec.shop.tanks[0].over_work = Some(mm(120.0))
    }),
    ("check-fixture-mass", Stop, "a basket nobody counted", |w| {
        w.spec.shop.tanks[0].fixture = Some(Mass::from_kg(30.0))
    }),
];

pub(crate) const OIL: &[Case] = &[
    ("check-oil-water", Stop, "0.1 % of water in the oil", |w| {
        w.spec.shop.tanks[1].water = Some(Fraction::from_pct(0.1));
    }),
    ("check-oil-air", Stop, "air blown into the oil", |w| {
        w.spec.shop.tanks[1].air_blown = true;
    }),
    ("check-flash-unknown", Stop, "flash point unknown", |w| {
        w.spec.shop.tanks[1].flash_point = None;
    }),
    ("check-oil-flash", Stop, "oil at 160 °C", |w| {
        w.spec.shop.tanks[1].bath = c(155.0);
        w.plan.quench.bath_after = c(160.6);
        w.plan.quench.flash_margin = Some(TemperatureStep::from_k(-8.4));
    }),
    ("check-flash-margin", Stop, "50 °F taken for 10 °C", |w| {
        w.plan.quench.flash_margin = Some(TemperatureStep::from_k(180.0 - 10.0 - 55.6));
    }),
    ("check-quench-air-alloy", Warn, "alloy steel in air", |w| {
        w.spec.shop.tanks[1].medium = Medium::Air;
        w.plan.quench.medium = Medium::Air;
    }),
    ("check-caution-oil", Stop, "no word on oil fires", |w| {
        silence(w, "Oil")
    }),
];

pub(crate) const PEOPLE: &[Case] = &[
    (
        "check-caution-co",
        Stop,
        "no word on carbon monoxide",
        |w| silence(w, "Carbon"),
    ),
    ("check-caution-barium", Stop, "no word on barium", |w| {
        w.spec.shop.compounds[0].energiser = Energiser::MixedWithBarium;
    }),
    (
        "check-caution-deferral",
        Warn,
        "the sheet has the last word",
        |w| silence(w, "This sheet"),
    ),
    ("check-soft-area", Stop, "the spring hole forgotten", |w| {
        for step in &mut w.plan.steps {
            step.text = "Go on as the sheet says.".to_owned();
        }
    }),
    (
        "check-soft-area-unnamed",
        Warn,
        "plugged, but which hole",
        |w| {
            for step in &mut w.plan.steps {
                step.text = "Plug with clay what stays soft.".to_owned();
            }
        },
    ),
    (
        "check-soft-area",
        Stop,
        "the note's soft area forgotten",
        |w| {
            w.spec.part.features.clear();
            w.spec.note.selective.push(Selective {
                what: "tail".to_owned(),
                rule: Rule::MustNot,
            });
            for step in &mut w.plan.steps {
                step.text = "Go on as the sheet says.".to_owned();
            }
        },
    ),
];

pub(crate) const NEVER: &[Case] = &[
    ("check-asbestos", Stop, "lid luted with asbestos", |w| {
        w.spec.shop.boxes[0].lute = Some(Lute::Asbestos);
    }),
    ("check-asbestos", Stop, "hole plugged with asbestos", |w| {
        step(w, StepKind::Pack).text = "Plug the spring hole with asbestos.".to_owned();
    }),
    ("check-open-indoors", Stop, "opened hot in the room", |w| {
        w.plan.route = RouteWish::Direct;
        remove(w, StepKind::Reheat);
        w.spec.shop.hot_opening = Some(HotOpening::Indoors);
    }),
    ("check-plated", Stop, "galvanised stock", |w| {
        grade(w, "galvanised mild steel")
    }),
    (
        "check-specification",
        Stop,
        "a scope without the pack",
        |w| {
            w.spec.note.standards.push("AMS 2759/7".to_owned());
        },
    ),
    ("check-caution-vent", Stop, "no word on bursting", |w| {
        silence(w, "Bursting")
    }),
    ("check-caution-steam", Stop, "no word on steam", |w| {
        silence(w, "Steam")
    }),
    ("check-caution-burn", Stop, "no word on what to wear", |w| {
        silence(w, "Hot work")
    }),
    (
        "check-caution-unattended",
        Stop,
        "left alone without a word on how",
        |w| w.spec.unattended = true,
    ),
    (
        "check-coupon-steel",
        Stop,
        "coupons of another steel",
        |w| {
            w.plan.coupons[1].size = "20 mm round, 40 mm long, 8620".to_owned();
        },
    ),
    ("check-stock-over-case", Stop, "more stock than case", |w| {
        w.spec.stock[0].bow = mm(1.1);
    }),
    ("check-stock-share", Warn, "half the case ground off", |w| {
        w.spec.stock[0].bow = mm(0.5);
    }),
    ("check-reheat-bare", Warn, "reheated bare", |w| {
        step(w, StepKind::Reheat).text = "Onto the hearth as they are.".to_owned();
    }),
    ("check-test-block", Warn, "a tester nobody checked", |w| {
        step(w, StepKind::Test).text = "Read the surface.".to_owned();
    }),
    ("check-steel", Warn, "a steel for through hardening", |w| {
        grade(w, "4140")
    }),
    ("check-steel", Warn, "a tool steel", |w| grade(w, "O1")),
    ("check-quench-alloy-water", Warn, "8620 in water", |w| {
        grade(w, "8620")
    }),
    ("check-quench-plain-oil", Warn, "C15E in slow oil", |w| {
        fill(w, Medium::SlowOil)
    }),
    ("check-lift", Warn, "pounds taken for kilograms", |w| {
        w.plan.pack.lift = Mass::from_kg(19.4 / 2.2046)
    }),
    (
        "check-temperature-hot",
        Stop,
        "1700 °F entered as °C",
        |w| carburize_at(w, 1700.0),
    ),
    ("check-soak-short", Stop, "minutes taken for hours", |w| {
        soak(w, 7.5 / 60.0)
    }),
    (
        "check-note-finish",
        Stop,
        "thousandths taken for millimetres",
        |w| {
            w.plan.depth.finish_min = mm(0.8 * 0.0254);
        },
    ),
];

/// Another grade of the steel table.
fn grade(world: &mut World, name: &str) {
    world.spec.steel = casewright_job::spec::Steel::Grade {
        name: name.to_owned(),
        place: None,
    };
}

pub(crate) const SCALES: &[Case] = &[
    (
        "check-scale-correction",
        Warn,
        "a round of 10 mm read like a flat",
        |w| {
            w.spec.part.shape = PartShape::Bar {
                diameter: mm(10.0),
                length: mm(60.0),
            };
        },
    ),
    ("check-scale-round", Stop, "a needle", |w| {
        w.spec.part.shape = PartShape::Bar {
            diameter: mm(5.0),
            length: mm(60.0),
        };
    }),
    ("check-scale-thin-case", Stop, "C on 0.6 mm", |w| {
        w.prediction.case_depth_after_grind = band_mm(0.5, 0.6, 0.7);
    }),
    (
        "check-scale-thin-case",
        Stop,
        "against its own least case",
        |w| {
            w.plan.test_scales[0].least_case = Some(mm(1.2));
        },
    ),
    ("check-scale-no-reading", Stop, "15 HRC", |w| {
        w.plan.test_scales[0].core_reading = Some(Band::exact(15.0));
    }),
    (
        "check-scale-no-reading",
        Stop,
        "core predicted in HRC below 20",
        |w| {
            w.prediction.core_hrc = Some(Band {
                low: 12.0,
                mid: 22.0,
                high: 25.0,
            });
        },
    ),
    ("check-conversion", Stop, "63 HRC for 697 HV", |w| {
        w.prediction.surface_hrc = Some(Band {
            low: 61.0,
            mid: 63.0,
            high: 65.0,
        });
    }),
    ("check-scale-at-hand", Warn, "a tester nobody has", |w| {
        w.spec.shop.scales.retain(|scale| *scale != Scale::Hr15n);
    }),
    ("check-scale-none", Warn, "no scale can judge", |w| {
        for advice in &mut w.plan.test_scales {
            advice.valid = false;
        }
    }),
    (
        "check-scale-reading",
        Stop,
        "reads more than uniform steel",
        |w| {
            w.plan.test_scales[1].reading = Some(Band::exact(84.0));
        },
    ),
];

pub(crate) const FORECAST: &[Case] = &[
    ("check-effective-share", Warn, "a third of the total", |w| {
        w.prediction.depth_50hrc = band_mm(0.5, 0.6, 0.7);
    }),
    ("check-total-harris", Stop, "half a total depth", |w| {
        w.prediction.total_depth = band_mm(0.7, 0.9, 1.1);
    }),
    ("check-total-harris", Stop, "two total depths", |w| {
        w.prediction.total_depth = band_mm(3.0, 3.5, 4.0);
    }),
    ("check-band-order", Stop, "core band crossed", |w| {
        w.prediction.core.low = Vickers::from_hv(400.0);
    }),
    (
        "check-depth-550-50",
        Stop,
        "550 HV deeper than 50 HRC",
        |w| {
            w.prediction.depth_50hrc = band_mm(0.9, 1.0, 1.1);
        },
    ),
    (
        "check-depth-total",
        Stop,
        "total less than effective",
        |w| {
            w.prediction.total_depth = band_mm(0.9, 1.0, 1.1);
        },
    ),
    ("check-core-hard", Warn, "core harder than the skin", |w| {
        w.prediction.core = Band::exact(Vickers::from_hv(720.0));
    }),
    ("check-grind-depth", Stop, "stock not taken off", |w| {
        w.prediction.case_depth_after_grind = w.prediction.case_depth;
    }),
    ("check-grind-depth", Stop, "stock taken off twice", |w| {
        w.prediction.case_depth_after_grind = band_mm(0.74, 0.88, 1.02);
    }),
    ("check-carbon-limit", Stop, "2 % carbon", |w| {
        w.prediction.surface_carbon_wt_pct = Band::exact(2.0);
    }),
    ("check-carbon-high", Warn, "1.2 % carbon", |w| {
        w.prediction.surface_carbon_wt_pct = Band::exact(1.2);
    }),
    ("check-carbon-low", Warn, "0.4 % carbon", |w| {
        w.prediction.surface_carbon_wt_pct = Band::exact(0.4);
    }),
    (
        "check-austenite",
        Stop,
        "more than all of it austenite",
        |w| {
            w.prediction.retained_austenite_pct = Band::exact(120.0);
        },
    ),
    ("check-austenite-high", Warn, "40 % austenite", |w| {
        w.prediction.retained_austenite_pct = Band::exact(40.0);
    }),
    ("check-profile-shape", Stop, "a short column", |w| {
        w.prediction.profile.carbide.pop();
    }),
    ("check-profile-shape", Stop, "no number", |w| {
        w.prediction.profile.pearlite[3] = f64::NAN
    }),
    ("check-profile-phases", Stop, "phases over one", |w| {
        w.prediction.profile.ferrite[3] = 0.3
    }),
    ("check-profile-phases", Stop, "a negative phase", |w| {
        w.prediction.profile.carbide[3] = -0.2;
        w.prediction.profile.ferrite[3] = 0.2;
    }),
    ("check-profile-band", Stop, "hardness band crossed", |w| {
        w.prediction.profile.hardness_high_hv[3] = 100.0;
    }),
    ("check-profile-hardness", Stop, "1500 HV", |w| {
        w.prediction.profile.hardness_high_hv[0] = 1500.0;
    }),
    (
        "check-profile-depth",
        Stop,
        "drawing and number differ",
        |w| {
            for depth in &mut w.prediction.profile.depth_mm {
                *depth *= 1.5;
            }
        },
    ),
    ("check-profile-depth", Warn, "drawn and not said", |w| {
        w.prediction.depth_550hv = None
    }),
];
