//! Plans with one thing wrong each: what is spoilt, and which finding must come of it.

use casewright_job::note::reading::{HardnessRange, Rule, Selective};
use casewright_job::shop::{Energiser, Medium};
use casewright_job::spec::{PartShape, RouteWish};
use casewright_plan::outcome::{DepthLimit, Placed, Step, StepKind};
use casewright_terms::Severity::{self, Stop, Warn};
use casewright_terms::{
    Band, Composition, Element, Fraction, Hardness, Length, Mass, Scale, Span, Temperature,
    TemperatureStep, Vickers, Volume, WeightPercent,
};

use super::fixture::{World, band_mm, moment};

/// One mutation of the sound plan in water.
pub type Case = (&'static str, Severity, &'static str, fn(&mut World));

fn c(celsius: f64) -> Temperature {
    Temperature::from_c(celsius)
}

fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

fn step(world: &mut World, kind: StepKind) -> &mut Step {
    world
        .plan
        .steps
        .iter_mut()
        .find(|step| step.kind == kind)
        .expect("the sound plan has every kind")
}

/// Sets the carburizing temperature everywhere it stands.
fn carburize_at(world: &mut World, celsius: f64) {
    world.plan.temperature = c(celsius);
    step(world, StepKind::Carburize).temperature = Some(c(celsius));
}

fn soak(world: &mut World, hours: f64) {
    world.plan.soak = Span::from_h(hours);
    step(world, StepKind::Carburize).soak = Some(Span::from_h(hours));
}

/// Moves every step from this one on.
fn delay(world: &mut World, from: usize, hours: f64) {
    for step in &mut world.plan.steps[from..] {
        step.begins = moment(step.begins.after.to_h() + hours);
        step.ends = moment(step.ends.after.to_h() + hours);
    }
}

fn remove(world: &mut World, kind: StepKind) {
    world.plan.steps.retain(|step| step.kind != kind);
}

/// Takes the caution with this word out of the plan.
fn silence(world: &mut World, word: &str) {
    world
        .plan
        .cautions
        .retain(|caution| !caution.hazard.contains(word));
}

fn piece(world: &mut World, index: usize) -> &mut Placed {
    &mut world.plan.pack.parts[index]
}

/// Makes the tank W1 another liquid, in the shop and in the plan.
fn fill(world: &mut World, medium: Medium) {
    world.spec.shop.tanks[0].medium = medium;
    world.plan.quench.medium = medium;
}

/// Chemistry in wt% in place of the grade.
fn chemistry(world: &mut World, contents: &[(Element, f64)]) {
    let contents: Vec<_> = contents
        .iter()
        .map(|(element, value)| (*element, WeightPercent::from_wt_pct(*value)))
        .collect();
    world.spec.steel = casewright_job::spec::Steel::Chemistry {
        label: "bar".to_owned(),
        grade: None,
        composition: Composition::new(&contents).expect("a steel"),
        place: None,
    };
}

pub const HEAT: &[Case] = &[
    ("check-temperature-cold", Stop, "900 entered as °F", |w| {
        carburize_at(w, 482.0)
    }),
    ("check-temperature-hot", Stop, "1010 °C", |w| {
        carburize_at(w, 1010.0)
    }),
    ("check-temperature-low", Warn, "780 °C", |w| {
        carburize_at(w, 780.0)
    }),
    ("check-temperature-slow", Warn, "850 °C", |w| {
        carburize_at(w, 850.0)
    }),
    ("check-temperature-high", Warn, "965 °C", |w| {
        carburize_at(w, 965.0)
    }),
    (
        "check-temperature-differs",
        Stop,
        "step and plan differ",
        |w| {
            step(w, StepKind::Carburize).temperature = Some(c(900.0));
        },
    ),
    ("check-furnace", Stop, "a furnace nobody has", |w| {
        step(w, StepKind::Carburize).equipment = Some("F9".to_owned());
    }),
    (
        "check-furnace-max",
        Stop,
        "hotter than the furnace may go",
        |w| {
            w.spec.shop.furnaces[0].max = c(900.0);
        },
    ),
    (
        "check-furnace-max",
        Stop,
        "hotter than the oven may go",
        |w| {
            w.spec.shop.ovens[0].max = c(150.0);
        },
    ),
    ("check-soak", Stop, "no soak", |w| soak(w, 0.0)),
    ("check-soak-short", Stop, "an hour for 1.1 mm", |w| {
        soak(w, 2.0)
    }),
    ("check-soak-long", Stop, "thirty hours for 1.1 mm", |w| {
        soak(w, 30.0)
    }),
    ("check-soak-differs", Stop, "step and plan differ", |w| {
        step(w, StepKind::Carburize).soak = Some(Span::from_h(7.0));
    }),
    ("check-pack-hot", Stop, "band crossed", |w| {
        w.plan.pack_hot_after.low = Span::from_h(2.5);
    }),
    ("check-pack-hot-early", Stop, "hot in half an hour", |w| {
        w.plan.pack_hot_after = Band {
            low: Span::from_h(0.3),
            mid: Span::from_h(0.5),
            high: Span::from_h(0.7),
        };
    }),
    ("check-pack-hot-late", Warn, "hot after a day", |w| {
        w.plan.pack_hot_after.mid = Span::from_h(24.0);
        w.plan.pack_hot_after.high = Span::from_h(30.0);
    }),
    ("check-compound-strong", Warn, "all new, nine hours", |w| {
        w.spec.shop.compounds[0].fresh = Fraction::from_pct(100.0);
        soak(w, 9.0);
    }),
    (
        "check-furnace-hours",
        Stop,
        "hours without the heating",
        |w| {
            w.plan.furnace_time = Span::from_h(7.5);
        },
    ),
    ("check-curve", Stop, "the drawn part stays cold", |w| {
        w.plan.part_curve = vec![(0.0, 20.0), (9.7, 700.0)];
    }),
    ("check-curve", Stop, "the drawn part runs back", |w| {
        w.plan.part_curve[2].0 = 1.0
    }),
];

pub const DEPTH: &[Case] = &[
    ("check-aim-scatter", Warn, "aim at the least", |w| {
        w.plan.depth.aim = mm(0.95)
    }),
    ("check-depth-order", Stop, "negative scatter", |w| {
        w.plan.depth.scatter = mm(-0.1)
    }),
    ("check-stock-small", Stop, "stock forgotten", |w| {
        w.plan.depth.stock = (Length::ZERO, Length::ZERO);
        w.plan.depth.make_min = mm(0.8);
    }),
    ("check-stock-small", Stop, "bow forgotten", |w| {
        w.plan.depth.stock = (mm(0.12), mm(0.12))
    }),
    (
        "check-stock-on-diameter",
        Stop,
        "stock on the diameter",
        |w| {
            w.plan.depth.stock = (mm(0.24), mm(0.28));
            w.plan.depth.make_min = mm(1.08);
        },
    ),
    (
        "check-stock-large",
        Warn,
        "a third more stock than the job says",
        |w| {
            w.plan.depth.stock = (mm(0.10), mm(0.19));
            w.plan.depth.make_min = mm(0.99);
        },
    ),
    (
        "check-make-min",
        Stop,
        "average stock instead of greatest",
        |w| {
            w.plan.depth.make_min = mm(0.92);
        },
    ),
    (
        "check-make-min-large",
        Warn,
        "stock and scatter twice",
        |w| {
            w.plan.depth.make_min = mm(1.10);
        },
    ),
    (
        "check-make-max",
        Stop,
        "greatest stock instead of least",
        |w| {
            w.plan.depth.make_max = Some(mm(1.34));
        },
    ),
    ("check-make-max", Stop, "greatest depth forgotten", |w| {
        w.plan.depth.make_max = None
    }),
    ("check-aim", Stop, "aim below the least", |w| {
        w.plan.depth.aim = mm(0.90)
    }),
    ("check-aim", Stop, "aim above the greatest", |w| {
        w.plan.depth.aim = mm(1.35)
    }),
    ("check-scatter", Warn, "no scatter", |w| {
        w.plan.depth.scatter = Length::ZERO
    }),
    ("check-band-narrow", Warn, "a tenth of a millimetre", |w| {
        w.plan.depth.make_max = Some(mm(1.12));
    }),
    ("check-case-shallow", Warn, "a case of 0.3 mm", |w| {
        w.plan.depth.finish_min = mm(0.3)
    }),
    ("check-section", Stop, "a 5 mm plate", |w| {
        w.spec.part.shape = PartShape::Plate {
            thickness: mm(5.0),
            width: mm(40.0),
            length: mm(60.0),
        };
    }),
    ("check-section-thin", Warn, "a 9 mm plate", |w| {
        w.spec.part.shape = PartShape::Plate {
            thickness: mm(9.0),
            width: mm(40.0),
            length: mm(60.0),
        };
    }),
    ("check-section", Stop, "a 5 mm web", |w| {
        w.spec.part.features[0].stays_soft = false;
        w.spec.part.features[0].web = Some(mm(5.0));
    }),
    ("check-section", Stop, "the wall of a tube", |w| {
        w.spec.part.shape = PartShape::Tube {
            outer: mm(14.0),
            inner: mm(2.0),
            length: mm(40.0),
        };
    }),
    (
        "check-note-finish",
        Stop,
        "another least depth than the note's",
        |w| {
            w.plan.depth.finish_min = mm(0.7);
        },
    ),
    ("check-note-limit", Stop, "50 HRC for 550 HV", |w| {
        w.plan.depth.limit = DepthLimit::Hardness(Hardness::new(Scale::Hrc, 50.0));
    }),
    ("check-note-limit", Stop, "total for effective", |w| {
        w.plan.depth.limit = DepthLimit::CoreCarbon;
    }),
    ("check-limit-differs", Stop, "prediction to 513 HV", |w| {
        w.prediction.limit_hardness = Vickers::from_hv(513.0);
    }),
    ("check-note-depth", Stop, "predicted too thin", |w| {
        w.prediction.case_depth = band_mm(0.72, 0.87, 1.0);
        w.prediction.case_depth_after_grind = band_mm(0.6, 0.75, 0.9);
    }),
    ("check-note-depth", Stop, "never holds the limit", |w| {
        w.prediction.case_depth_after_grind = None;
    }),
    ("check-note-surface", Stop, "predicted too soft", |w| {
        w.prediction.surface.low = Vickers::from_hv(590.0);
        w.prediction.surface.mid = Vickers::from_hv(620.0);
    }),
    ("check-note-core", Stop, "core too soft for the note", |w| {
        w.spec.note.core_hardness = Some(HardnessRange {
            scale: Scale::Hrc,
            force_kgf: None,
            min: Some(30.0),
            max: Some(40.0),
        });
    }),
    ("check-wish", Warn, "another route than wished", |w| {
        w.spec.wishes.route = Some(RouteWish::Double);
    }),
    ("check-wish", Warn, "another temper than wished", |w| {
        w.spec.wishes.temper = Some(c(200.0))
    }),
];

pub const PACK: &[Case] = &[
    ("check-box", Stop, "a box nobody has", |w| {
        w.plan.pack.box_id = "B7".to_owned()
    }),
    ("check-box", Stop, "another size than the shop's", |w| {
        w.spec.shop.boxes[0].inside[0] = mm(150.0)
    }),
    ("check-box-gas-tight", Stop, "welded lid", |w| {
        w.spec.shop.boxes[0].gas_tight = true
    }),
    ("check-box-wide", Warn, "250 mm on every side", |w| {
        w.plan.pack.inside = [mm(250.0), mm(250.0), mm(300.0)];
        w.spec.shop.boxes[0].inside = w.plan.pack.inside;
    }),
    ("check-box-chamber", Stop, "chamber too low", |w| {
        w.spec.shop.furnaces[0].inside[1] = mm(155.0);
    }),
    ("check-box-loads", Warn, "four boxes in one heat", |w| {
        w.plan.pack.boxes = 4;
        w.spec.quantity = 16;
    }),
    ("check-pack-outside", Stop, "through the wall", |w| {
        piece(w, 1).at[0] = mm(170.0)
    }),
    ("check-pack-part-size", Stop, "drawn as a coin", |w| {
        piece(w, 0).size = [mm(14.0), mm(14.0), mm(14.0)];
    }),
    ("check-pack-overlap", Stop, "in the same place", |w| {
        piece(w, 1).at[0] = mm(50.0)
    }),
    ("check-pack-spacing", Stop, "6 mm apart", |w| {
        piece(w, 1).at[0] = mm(76.0)
    }),
    ("check-pack-cover", Stop, "on the bottom", |w| {
        piece(w, 0).at[2] = mm(5.0)
    }),
    ("check-pack-cover", Stop, "at the wall", |w| {
        piece(w, 0).at[0] = mm(6.0)
    }),
    ("check-pack-cover", Stop, "bared on top", |w| {
        piece(w, 0).at[2] = mm(120.0)
    }),
    ("check-pack-cover-thin", Warn, "18 mm to the bottom", |w| {
        piece(w, 0).at[2] = mm(18.0)
    }),
    (
        "check-pack-cover-said",
        Warn,
        "words and sketch differ",
        |w| {
            w.plan.pack.cover.wall = mm(40.0);
        },
    ),
    ("check-pack-count", Stop, "five parts, four places", |w| {
        w.spec.quantity = 5
    }),
    ("check-pack-boxes", Warn, "a box too many", |w| {
        w.plan.pack.boxes = 2
    }),
    ("check-coupon-none", Stop, "no coupon", |w| {
        w.plan.pack.coupons.clear()
    }),
    ("check-coupon-few", Warn, "one coupon in 9 L", |w| {
        w.plan.pack.coupons.pop();
    }),
    (
        "check-coupon-unknown",
        Warn,
        "a coupon without an entry",
        |w| {
            w.plan.pack.coupons[0].mark = "K9".to_owned();
        },
    ),
    ("check-control-none", Warn, "no control", |w| {
        w.plan.coupons.retain(|coupon| !coupon.control)
    }),
    (
        "check-control-packed",
        Stop,
        "the control in the pack",
        |w| {
            w.plan.coupons[0].control = true;
        },
    ),
    ("check-compound", Stop, "a lot nobody has", |w| {
        w.plan.pack.compound_id = "X".to_owned()
    }),
    ("check-compound-damp", Stop, "damp", |w| {
        w.spec.shop.compounds[0].dry = false
    }),
    ("check-compound-cyanide", Stop, "cyanide", |w| {
        w.spec.shop.compounds[0].energiser = Energiser::Cyanide;
    }),
    ("check-compound-spent", Warn, "5 % fresh", |w| {
        w.spec.shop.compounds[0].fresh = Fraction::from_pct(5.0);
    }),
    ("check-compound-much", Stop, "more than goes in", |w| {
        w.plan.pack.compound = Volume::from_l(14.0)
    }),
    ("check-compound-little", Stop, "half a box", |w| {
        w.plan.pack.compound = Volume::from_l(5.0)
    }),
    (
        "check-compound-mass",
        Warn,
        "litres taken for kilograms",
        |w| {
            w.plan.pack.compound_mass = Mass::from_kg(9.3);
        },
    ),
    ("check-compound-fresh", Warn, "all fresh", |w| {
        w.plan.pack.fresh_mass = Mass::from_kg(4.65)
    }),
    ("check-compound-stock", Stop, "sack nearly empty", |w| {
        w.spec.shop.compounds[0].stock = Some(Volume::from_l(3.0));
    }),
    ("check-lift", Warn, "the box forgotten", |w| {
        w.plan.pack.lift = Mass::from_kg(6.0)
    }),
    ("check-caution-lift", Stop, "no word on lifting", |w| {
        silence(w, "Lifting")
    }),
];

pub const STEPS: &[Case] = &[
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

pub const TIMES: &[Case] = &[
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

pub const QUENCH: &[Case] = &[
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
pub const OIL: &[Case] = &[
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

pub const PEOPLE: &[Case] = &[
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

pub const SCALES: &[Case] = &[
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

pub const FORECAST: &[Case] = &[
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
