//! A sound plan, worked out by hand for four pawls in one box, with its prediction and its job.
//! Nothing of it comes from the planner. All names and numbers are invented.

use casewright_job::shop::{Agitation, Medium};
use casewright_job::spec::{RouteWish, Spec};
use casewright_physics::law::hardness_conversion::hrc_of;
use casewright_plan::SteelTable;
use casewright_plan::outcome::*;
use casewright_terms::*;
use jiff::civil::DateTime;

/// What a test may spoil.
#[derive(Clone)]
pub(crate) struct World {
    pub(crate) plan: Plan,
    pub(crate) prediction: Prediction,
    pub(crate) spec: Spec,
}

const SHOP: &str = r#"
name = "Gannet Slip"
scales = ["HRC", "HRA", "HRB", "HR15N", "HR30N"]
micro_hardness = false
file_set = true

[[furnace]]
id = "F1"
inside = "300 x 250 x 450 mm"
power = "9 kW"
survey = "±14 °C"
max = "1100 °C"
independent_high_limit = true
pack_couple = true

[[oven]]
id = "T1"
inside = "400 x 350 x 400 mm"
power = "3 kW"
survey = "±8 °C"
max = "300 °C"

[[box]]
id = "B2"
inside = "200 x 150 x 300 mm"
wall = "6 mm"
gas_tight = false
count = 1

[[compound]]
id = "K-25-11"
energiser = "mixed without barium"
energiser_fraction = "9 %"
fresh = "20 %"
bulk_density = "0.50 kg/L"
grain = "4 mm"
dry = true
stock = "60 L"

[[tank]]
id = "W1"
medium = "water"
volume = "60 L"
bath = "20 °C"
agitation = "good"
transfer = "4 s"

[[tank]]
id = "O1"
medium = "fast oil"
volume = "60 L"
bath = "50 °C"
agitation = "good"
flash_point = "180 °C"
transfer = "4 s"

[staffed]
weekdays = "07:00-21:30"
saturday = "08:00-14:00"
sunday = "none"
"#;

const JOB: &str = r#"
name = "Winch pawls"
quantity = 4
note = "case harden 0.8 +0.4/0 CHD 550 HV, 58-62 HRC after grind"
start = "2026-12-01 07:30"
unattended = false
shop = "shop.toml"

[part]
what = "ratchet pawl"
shape = "plate"
thickness = "14 mm"
width = "40 mm"
length = "60 mm"

[[feature]]
kind = "thread"
name = "spring hole"
diameter = "6 mm"
length = "10 mm"
stays_soft = true

[steel]
grade = "C15E"

[[stock]]
face = "both flat faces"
per_side = "0.12 mm"
bow = "0.02 mm"
"#;

fn spec() -> Spec {
    let (shop, _) = casewright_job::parse_shop("shop.toml", SHOP);
    let (draft, _) = casewright_job::parse("job.toml", JOB);
    casewright_job::resolve(draft, shop, &SteelTable).unwrap_or_else(|diags| panic!("{diags:?}"))
}

fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

pub(crate) fn band_mm(low: f64, mid: f64, high: f64) -> Option<Band<Length>> {
    Some(Band {
        low: mm(low),
        mid: mm(mid),
        high: mm(high),
    })
}

/// A moment so many hours after Tuesday, 1 December 2026, half past seven.
pub(crate) fn moment(hours: f64) -> Moment {
    let start: DateTime = "2026-12-01T07:30".parse().expect("a date");
    let minutes = (hours * 60.0).round() as i64;
    Moment {
        after: Span::from_h(hours),
        clock: Some(start + jiff::SignedDuration::from_mins(minutes)),
    }
}

fn step(kind: StepKind, from: f64, to: f64, what: (&str, Option<f64>, Option<f64>)) -> Step {
    let (equipment, celsius, hours) = what;
    Step {
        kind,
        text: match kind {
            StepKind::Reheat => "Parts wrapped in used compound; then as the sheet says.",
            StepKind::Test => "Tester on the block first; then as the sheet says.",
            _ => "Spring hole plugged with clay; go on as the sheet says.",
        }
        .to_owned(),
        temperature: celsius.map(Temperature::from_c),
        tolerance: celsius.map(|_| TemperatureStep::from_k(10.0)),
        soak: hours.map(Span::from_h),
        begins: moment(from),
        ends: moment(to),
        equipment: Some(equipment.to_owned()),
        acceptance: Vec::new(),
        stop_if: Vec::new(),
        hold_point: true,
        cautions: Vec::new(),
        record: Vec::new(),
    }
}

fn steps() -> Vec<Step> {
    use StepKind::*;
    vec![
        step(Pack, 0.0, 1.0, ("B2", None, None)),
        step(Carburize, 1.0, 10.7, ("F1", Some(925.0), Some(7.5))),
        step(Cool, 10.75, 24.5, ("F1", None, None)),
        step(Reheat, 24.5, 25.25, ("F1", Some(790.0), Some(0.3))),
        step(Quench, 25.25, 25.35, ("W1", None, None)),
        step(Temper, 25.6, 27.6, ("T1", Some(175.0), Some(1.75))),
        step(Test, 27.75, 28.75, ("bench tester", None, None)),
        step(Grind, 29.0, 30.5, ("surface grinder", None, None)),
    ]
}

fn placed(mark: &str, at: [f64; 3], size: [f64; 3], round: bool) -> Placed {
    Placed {
        mark: mark.to_owned(),
        at: at.map(mm),
        size: size.map(mm),
        round,
    }
}

fn pack() -> PackLayout {
    let flat = [40.0, 60.0, 14.0];
    PackLayout {
        box_id: "B2".to_owned(),
        boxes: 1,
        inside: [mm(200.0), mm(150.0), mm(300.0)],
        wall: mm(6.0),
        parts: vec![
            placed("1", [30.0, 30.0, 50.0], flat, false),
            placed("2", [90.0, 30.0, 50.0], flat, false),
            placed("3", [30.0, 110.0, 50.0], flat, false),
            placed("4", [90.0, 110.0, 50.0], flat, false),
        ],
        coupons: vec![
            placed("K1", [150.0, 30.0, 50.0], [20.0, 40.0, 20.0], true),
            placed("K2", [60.0, 200.0, 50.0], [20.0, 40.0, 20.0], true),
        ],
        // Between the four parts: 15 mm and more from each.
        couple: Some([mm(80.0), mm(140.0), mm(90.0)]),
        cover: Cover {
            below: mm(50.0),
            above: mm(80.0),
            wall: mm(25.0),
            between: mm(20.0),
        },
        // 9.0 L inside, 0.16 L of steel, a twentieth for settling.
        compound: Volume::from_l(9.3),
        compound_mass: Mass::from_kg(4.65),
        fresh_mass: Mass::from_kg(0.93),
        compound_id: "K-25-11".to_owned(),
        scoops: vec![Scoop {
            lot: "K-25-11".to_owned(),
            volume: Volume::from_l(9.3),
            mass: Mass::from_kg(4.65),
            fresh: Mass::from_kg(0.93),
        }],
        top_up: Volume::from_l(1.4),
        shell_mass: Mass::from_kg(13.5),
        steel_mass: Mass::from_kg(1.25),
        // Box 13.5, work 1.2, compound 4.65 kg.
        lift: Mass::from_kg(19.4),
    }
}

/// Four parts that are hot between 1.8 and 2.2 h and stand between 921 and 927 °C.
fn pack_heat() -> PackHeat {
    let piece = |mark: &str, hot_h: f64, soaked_c: f64, depth: f64, coupon: bool| PartHeat {
        mark: mark.to_owned(),
        box_number: None,
        coupon,
        place: "in the middle",
        hot_after: Some(Span::from_h(hot_h)),
        soaked: Temperature::from_c(soaked_c),
        depth: Some(mm(depth)),
    };
    PackHeat {
        hot: Band {
            low: Span::from_h(1.6),
            mid: Span::from_h(2.2),
            high: Span::from_h(3.0),
        },
        hot_at: Band {
            low: moment(2.6),
            mid: moment(3.2),
            high: moment(4.0),
        },
        couple_reads: Some(Temperature::from_c(916.0)),
        learnt: false,
        doubts: vec![("bed", Span::from_h(0.8))],
        stated_error: Fraction::from_pct(2.0),
        work_kwh: (25.0, 5.0),
        work_soak: Span::from_h(6.0),
        parts: vec![
            piece("1", 1.8, 921.0, 1.09, false),
            piece("2", 1.9, 921.0, 1.08, false),
            piece("3", 2.1, 927.0, 1.15, false),
            piece("4", 2.2, 926.0, 1.13, false),
        ],
        coupons: vec![
            piece("K1", 2.0, 924.0, 1.11, true),
            piece("K2", 1.8, 928.0, 1.17, true),
        ],
        least: Some(1),
        greatest: Some(2),
        coldest: Some(0),
        hottest: Some(2),
    }
}

fn coupon(mark: &str, control: bool) -> Coupon {
    Coupon {
        mark: mark.to_owned(),
        control,
        size: "20 mm round, 40 mm long, same bar".to_owned(),
        place: "see the sketch".to_owned(),
        proves: "depth and hardness".to_owned(),
    }
}

fn scale(scale: Scale, valid: bool, reading: Option<f64>, core: Option<f64>) -> ScaleAdvice {
    let about = |mid: f64| Band {
        low: mid - 1.0,
        mid,
        high: mid + 1.0,
    };
    ScaleAdvice {
        scale,
        at_hand: true,
        valid,
        reading: reading.map(about),
        core_reading: core.map(about),
        least_case: None,
        round_correction: None,
        why: "worked out by hand".to_owned(),
    }
}

fn caution(hazard: &str, text: &str) -> Caution {
    Caution {
        code: "by-hand",
        hazard: hazard.to_owned(),
        text: text.to_owned(),
    }
}

fn plan() -> Plan {
    Plan {
        route: RouteWish::Single,
        temperature: Temperature::from_c(925.0),
        soak: Span::from_h(7.5),
        pack_hot_after: Band {
            low: Span::from_h(1.6),
            mid: Span::from_h(2.2),
            high: Span::from_h(3.0),
        },
        steps: steps(),
        depth: DepthChain {
            finish_min: mm(0.8),
            finish_max: Some(mm(1.2)),
            stock: (mm(0.10), mm(0.14)),
            scatter: mm(0.12),
            make_min: mm(0.94),
            make_max: Some(mm(1.30)),
            aim: mm(1.12),
            limit: DepthLimit::Hardness(Hardness::new(Scale::Hv, 550.0)),
        },
        pack: pack(),
        pack_heat: Some(pack_heat()),
        pack_ways: Vec::new(),
        loads: vec![LoadTimes {
            number: 1,
            parts: 4,
            packed_from: moment(0.0),
            loaded: moment(1.0),
            soak_ends: moment(10.7),
            tempered: moment(27.6),
            tested: moment(28.75),
        }],
        coupons: vec![coupon("K1", false), coupon("K2", false), coupon("U1", true)],
        test_scales: vec![
            scale(Scale::Hrc, true, Some(60.0), Some(27.0)),
            scale(Scale::Hra, true, Some(81.2), Some(63.8)),
            scale(Scale::Hr15n, true, Some(90.2), Some(73.3)),
            scale(Scale::Hrb, false, None, None),
        ],
        quench: QuenchCheck {
            tank: "W1".to_owned(),
            medium: Medium::Water,
            agitation: Agitation::Good,
            mass: Mass::from_kg(1.055),
            // 1.055 kg * 0.71 kJ/(kg K) * 770 K / (60 L * 4.12 kJ/(L K))
            rise: TemperatureStep::from_k(2.3),
            bath_after: Temperature::from_c(22.3),
            flash_margin: None,
        },
        furnace_curve: vec![(0.0, 20.0), (1.5, 925.0), (9.7, 925.0)],
        part_curve: vec![(0.0, 20.0), (2.2, 918.0), (9.7, 925.0)],
        cautions: vec![
            caution(
                "Carbon monoxide",
                "Carbon monoxide leaves the box: extraction on.",
            ),
            caution("Bursting box", "The lute lets gas out; never gas-tight."),
            caution(
                "Steam",
                "Dry tongs, dry lute: water under hot work throws it.",
            ),
            caution("Hot work", "Face shield, gloves and apron."),
            caution("Lifting", "The box weighs 19 kg: lift it with two people."),
            caution(
                "This sheet",
                "Follow your local codes and your school's procedure; they win.",
            ),
        ],
        furnace_time: Span::from_h(9.75),
    }
}

/// 700 HV at the surface, 550 at 1.12 mm, 280 from 2 mm on.
fn profile() -> Profile {
    let depth_mm: Vec<f64> = (0..=60).map(|i| f64::from(i) * 0.05).collect();
    let over = |f: fn(f64) -> f64| depth_mm.iter().map(|d| f(*d)).collect::<Vec<_>>();
    let hv = |d: f64| {
        if d <= 1.12 {
            700.0 - 150.0 * d / 1.12
        } else {
            (550.0 - 270.0 * (d - 1.12) / 0.88).max(280.0)
        }
    };
    let carbon = |d: f64| (0.95 - 0.8 * d / 1.75).max(0.15);
    let hard: Vec<f64> = depth_mm.iter().map(|d| hv(*d)).collect();
    Profile {
        carbon_wt_pct: depth_mm.iter().map(|d| carbon(*d)).collect(),
        carbon_low_wt_pct: depth_mm.iter().map(|d| 0.95 * carbon(*d)).collect(),
        carbon_high_wt_pct: depth_mm.iter().map(|d| 1.05 * carbon(*d)).collect(),
        hardness_low_hv: hard.iter().map(|h| h - 30.0).collect(),
        hardness_high_hv: hard.iter().map(|h| h + 30.0).collect(),
        hardness_hv: hard,
        martensite: over(|d| if d < 1.5 { 0.85 } else { 0.30 }),
        retained_austenite: over(|d| if d < 1.5 { 0.15 } else { 0.0 }),
        bainite: over(|d| if d < 1.5 { 0.0 } else { 0.30 }),
        pearlite: over(|_| 0.0),
        ferrite: over(|d| if d < 1.5 { 0.0 } else { 0.40 }),
        carbide: over(|_| 0.0),
        depth_mm,
    }
}

fn prediction() -> Prediction {
    let hv = |low, mid, high| Band { low, mid, high }.map(Vickers::from_hv);
    let hrc = |band: Band<Vickers>| band.map(|hv| hrc_of(hv).expect("inside the table"));
    let (surface, core) = (hv(665.0, 697.0, 735.0), hv(255.0, 280.0, 310.0));
    Prediction {
        case_depth: band_mm(0.98, 1.12, 1.26),
        case_depth_after_grind: band_mm(0.86, 1.00, 1.14),
        depth_550hv: band_mm(0.98, 1.12, 1.26),
        depth_50hrc: band_mm(1.06, 1.20, 1.34),
        total_depth: band_mm(1.55, 1.75, 1.95),
        surface,
        surface_hrc: Some(hrc(surface)),
        core,
        core_hrc: Some(hrc(core)),
        surface_carbon_wt_pct: Band {
            low: 0.85,
            mid: 0.95,
            high: 1.05,
        },
        retained_austenite_pct: Band {
            low: 8.0,
            mid: 15.0,
            high: 22.0,
        },
        skin_stress: skin_stress(),
        loads: Vec::new(),
        growth_per_side: (mm(0.0), mm(0.02)),
        limit_hardness: Vickers::from_hv(550.0),
        profile: profile(),
        edges: vec![super::spoilt_edges::corner()],
    }
}

fn skin_stress() -> casewright_plan::skin::SkinStress {
    use casewright_physics::run::{StressSign, SurfaceStress};
    let stress = SurfaceStress {
        sign: StressSign::Compression,
        surface_changes_at: Some(casewright_terms::Span::from_s(9.0)),
        core_changes_at: Some(casewright_terms::Span::from_s(3.0)),
        strain_mismatch: 3e-3,
    };
    let mismatch = casewright_terms::Band {
        low: 2e-3,
        mid: 3e-3,
        high: 4e-3,
    };
    casewright_plan::skin::judge(&stress, mismatch)
}

/// The sound plan with everything around it.
pub(crate) fn sound() -> World {
    World {
        plan: plan(),
        prediction: prediction(),
        spec: spec(),
    }
}

/// The same pawls in an alloy steel and quenched in oil, as sound as the other.
pub(crate) fn sound_in_oil() -> World {
    let mut world = sound();
    world.spec.steel = casewright_job::spec::Steel::Grade {
        name: "8620".to_owned(),
        place: None,
    };
    let quench = &mut world.plan.quench;
    quench.tank = "O1".to_owned();
    quench.medium = Medium::FastOil;
    // 1.055 kg * 0.71 kJ/(kg K) * 740 K / (60 L * 1.65 kJ/(L K))
    quench.rise = TemperatureStep::from_k(5.6);
    quench.bath_after = Temperature::from_c(55.6);
    quench.flash_margin = Some(TemperatureStep::from_k(180.0 - 27.8 - 55.6));
    world.plan.steps[4].equipment = Some("O1".to_owned());
    world.plan.cautions.push(caution(
        "Oil fire",
        "Hot work half out of the oil sets it on fire.",
    ));
    world
}
