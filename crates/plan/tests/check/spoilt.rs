//! Plans with one thing wrong each: what is spoilt, and which finding must come of it.

use casewright_job::note::reading::HardnessRange;
use casewright_job::shop::{Energiser, Medium};
use casewright_job::spec::{PartShape, RouteWish};
use casewright_plan::outcome::{DepthLimit, Placed, Step, StepKind};
use casewright_terms::Severity::{self, Note, Stop, Warn};
use casewright_terms::{
    Band, Composition, Element, Fraction, Hardness, Length, Mass, Scale, Span, Temperature,
    Vickers, Volume, WeightPercent,
};

use super::fixture::{World, band_mm, moment};

/// One mutation of the sound plan in water.
pub(crate) type Case = (&'static str, Severity, &'static str, fn(&mut World));

pub(crate) fn c(celsius: f64) -> Temperature {
    Temperature::from_c(celsius)
}

pub(crate) fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

pub(crate) fn step(world: &mut World, kind: StepKind) -> &mut Step {
    world
        .plan
        .steps
        .iter_mut()
        .find(|step| step.kind == kind)
        .expect("the sound plan has every kind")
}

/// Sets the carburizing temperature everywhere it stands.
pub(crate) fn carburize_at(world: &mut World, celsius: f64) {
    world.plan.temperature = c(celsius);
    step(world, StepKind::Carburize).temperature = Some(c(celsius));
}

pub(crate) fn soak(world: &mut World, hours: f64) {
    world.plan.soak = Span::from_h(hours);
    step(world, StepKind::Carburize).soak = Some(Span::from_h(hours));
}

/// Moves every step from this one on.
pub(crate) fn delay(world: &mut World, from: usize, hours: f64) {
    for step in &mut world.plan.steps[from..] {
        step.begins = moment(step.begins.after.to_h() + hours);
        step.ends = moment(step.ends.after.to_h() + hours);
    }
}

pub(crate) fn remove(world: &mut World, kind: StepKind) {
    world.plan.steps.retain(|step| step.kind != kind);
}

/// Takes the caution with this word out of the plan.
pub(crate) fn silence(world: &mut World, word: &str) {
    world
        .plan
        .cautions
        .retain(|caution| !caution.hazard.contains(word));
}

pub(crate) fn piece(world: &mut World, index: usize) -> &mut Placed {
    &mut world.plan.pack.parts[index]
}

/// Makes the tank W1 another liquid, in the shop and in the plan.
pub(crate) fn fill(world: &mut World, medium: Medium) {
    world.spec.shop.tanks[0].medium = medium;
    world.plan.quench.medium = medium;
}

/// Chemistry in wt% in place of the grade.
pub(crate) fn chemistry(world: &mut World, contents: &[(Element, f64)]) {
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

pub(crate) const HEAT: &[Case] = &[
    (
        "check-soak-heating",
        Warn,
        "an hour after a long heating",
        |w| {
            w.plan.pack_hot_after = Band::exact(Span::from_h(6.0));
            soak(w, 1.0);
        },
    ),
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
        soak(w, 1.0)
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

pub(crate) const DEPTH: &[Case] = &[
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
    ("check-section", Warn, "a 5 mm web", |w| {
        w.spec.part.features[0].stays_soft = false;
        w.spec.part.features[0].web = Some(mm(5.0));
    }),
    ("check-section", Stop, "a 2 mm web, case through", |w| {
        w.spec.part.features[0].stays_soft = false;
        w.spec.part.features[0].web = Some(mm(2.0));
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

pub(crate) const PACK: &[Case] = &[
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
        w.plan.pack.scoops[0].lot = "X".to_owned()
    }),
    ("check-compound-damp", Stop, "damp", |w| {
        w.spec.shop.compounds[0].dry = false
    }),
    ("check-compound-cyanide", Stop, "cyanide", |w| {
        w.spec.shop.compounds[0].energiser = Energiser::Cyanide;
    }),
    ("check-compound-spent", Warn, "5 % fresh", |w| {
        w.spec.shop.compounds[0].fresh = Fraction::from_pct(5.0);
        w.plan.pack.fresh_mass = Mass::from_kg(0.23);
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
    ("check-compound-scoops", Stop, "a lot forgotten", |w| {
        w.plan.pack.scoops[0].volume = Volume::from_l(6.0);
    }),
    ("check-compound-top-up", Warn, "nothing set aside", |w| {
        w.plan.pack.top_up = Volume::ZERO;
    }),
    ("check-coupon-near", Note, "coupons side by side", |w| {
        w.plan.pack.coupons[1].at = [mm(150.0), mm(30.0), mm(83.0)];
    }),
    ("check-couple-steel", Stop, "couple in a pawl", |w| {
        w.plan.pack.couple = Some([mm(40.0), mm(40.0), mm(57.0)]);
    }),
    ("check-couple-outside", Stop, "couple in the lid", |w| {
        w.plan.pack.couple = Some([mm(80.0), mm(140.0), mm(156.0)]);
    }),
    ("check-pack-settles", Warn, "10 mm under the lid", |w| {
        piece(w, 0).at[2] = mm(126.0)
    }),
    ("check-load-count", Stop, "a load forgotten", |w| {
        w.plan.loads[0].parts = 3
    }),
    (
        "check-load-overlap",
        Stop,
        "two loads in one furnace",
        |w| {
            w.plan.loads[0].parts = 2;
            let mut second = w.plan.loads[0].clone();
            second.number = 2;
            second.packed_from = moment(5.0);
            second.loaded = moment(6.0);
            second.soak_ends = moment(15.0);
            w.plan.loads.push(second);
        },
    ),
    ("check-lift-sum", Warn, "a lid heavier than said", |w| {
        w.plan.pack.shell_mass = Mass::from_kg(10.0);
    }),
    ("check-lift", Warn, "the box forgotten", |w| {
        w.plan.pack.lift = Mass::from_kg(6.0)
    }),
    ("check-caution-lift", Stop, "no word on lifting", |w| {
        silence(w, "Lifting")
    }),
];
