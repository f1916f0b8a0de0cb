//! A plan that is carried out: what a coupon, the couple's moment and a log say about it.

use std::sync::OnceLock;

use casewright_job::spec::Spec;
use casewright_plan::evaluate;
use casewright_plan::follow::{Followed, Kit, Way};
use casewright_plan::logged::{self, Couple, Kind, Logged};
use casewright_plan::pull::{self, Advice, Pull, Pulled, ReadTo};
use casewright_plan::remaining::remaining;
use casewright_plan::{Options, PlanReport, SteelTable, propose};
use casewright_terms::{Element, Length, Span, Temperature, TemperatureStep};

const SHOP: &str = include_str!("../../../examples/gannet-slip/shop.toml");
const JOB: &str = include_str!("../../../examples/winch-pawl/job.toml");

fn spec() -> &'static Spec {
    static SPEC: OnceLock<Spec> = OnceLock::new();
    SPEC.get_or_init(|| {
        let (shop, _) = casewright_job::parse_shop("shop.toml", SHOP);
        let (draft, _) = casewright_job::parse("job.toml", JOB);
        casewright_job::resolve(draft, shop, &SteelTable).expect("the example reads")
    })
}

fn report() -> &'static PlanReport {
    static REPORT: OnceLock<PlanReport> = OnceLock::new();
    REPORT.get_or_init(|| propose(spec(), Options::USUAL))
}

fn kit() -> &'static Kit<'static> {
    static KIT: OnceLock<Kit<'static>> = OnceLock::new();
    KIT.get_or_init(|| {
        let way = Way::of(report().plan.as_ref().expect("a plan")).expect("a whole plan");
        Kit::of(spec(), way).expect("the plan's own shop")
    })
}

fn followed() -> &'static Followed<'static> {
    static FOLLOWED: OnceLock<Followed<'static>> = OnceLock::new();
    FOLLOWED.get_or_init(|| kit().follow().expect("the plan runs"))
}

/// Pulls at the middle of the soak, by how far the reading stands from what was foretold, mm.
struct Pulls {
    absurd: Pulled,
    as_foretold: Pulled,
    shallow: Pulled,
    /// As shallow, read four times as coarsely.
    coarse: Pulled,
    deep: Pulled,
}

fn pulls() -> &'static Pulls {
    static PULLS: OnceLock<Pulls> = OnceLock::new();
    PULLS.get_or_init(|| {
        let read = |depth: Length, doubt: f64| {
            let pull = Pull {
                soaked: kit().way.soak * 0.5,
                hot_after: Some(followed().planned.heat.hot_after),
                depth,
                doubt: Length::from_mm(doubt),
                read_to: ReadTo::Total,
            };
            pull::pull(followed(), &pull, 1).unwrap()
        };
        let absurd = read(Length::from_mm(2.6), 0.04);
        let off = |mm: f64| absurd.expected.mid + Length::from_mm(mm);
        Pulls {
            as_foretold: read(off(0.0), 0.04),
            shallow: read(off(-0.08), 0.04),
            coarse: read(off(-0.08), 0.16),
            deep: read(off(0.08), 0.04),
            absurd,
        }
    })
}

/// The way alone, without the search, gives the plan's own depths and hours.
#[test]
fn the_way_gives_the_plan_again() {
    let plan = report().plan.as_ref().unwrap();
    let forecast = report().prediction.as_ref().unwrap();
    let followed = followed();
    let layers = &followed.planned.chain.layers;
    let core = kit().matter.composition.get(Element::C);
    let seen = evaluate::observe(layers, &kit().demand, core, Length::ZERO);
    let made = forecast.case_depth.unwrap().mid;
    // The same run by the same code: nothing but rounding may differ.
    assert!((seen.depth_made.unwrap() - made).to_um().abs() < 0.01);
    assert!(
        (followed.planned.heat.hot_after - plan.pack_hot_after.mid)
            .to_s()
            .abs()
            < 0.1
    );
}

/// A reading as foretold leaves the time nearly as planned and narrows the band; a shallow one asks
/// for more, a deep one for less.
#[test]
fn a_coupon_moves_the_time_the_right_way_and_narrows_the_band() {
    let Pulls {
        as_foretold,
        shallow,
        deep,
        ..
    } = pulls();
    let left = kit().way.soak * 0.5;
    // The plan's soak is rounded to a quarter of an hour and solved for the plan's own run, the
    // coupon's for the median of its doubts: half an hour apart at the most.
    assert!(
        (as_foretold.more.mid - left).to_min().abs() < 30.0,
        "{:?} {left:?}",
        as_foretold.more
    );
    assert!(shallow.more.mid > as_foretold.more.mid && as_foretold.more.mid > deep.more.mid);
    let width = |band: casewright_terms::Band<Length>| (band.high - band.low).to_mm();
    assert!(
        width(as_foretold.after) < 0.8 * width(as_foretold.before),
        "{as_foretold:?}"
    );
    // Knowing a shallow coupon, the planned soak would come out shallower than was foretold.
    assert!(shallow.if_unchanged.mid < shallow.before.mid);
    // What is advised brings the middle back to the aim; five minutes make a few micrometres.
    let miss = (shallow.after.mid - kit().chain.aim).to_mm().abs();
    assert!(miss < 0.01, "{miss}");
    assert!(shallow.chance.1 > shallow.chance.0);
    assert!(shallow.more.low <= shallow.more.mid && shallow.more.mid <= shallow.more.high);
}

/// A finer reading says more.
#[test]
fn a_finer_reading_moves_the_answer_further() {
    let more = |pulled: &Pulled| pulled.more.mid;
    let all = pulls();
    assert!(
        more(&all.shallow) > more(&all.coarse),
        "{:?}",
        all.coarse.more
    );
    assert!(more(&all.coarse) >= more(&all.as_foretold));
}

#[test]
fn an_absurd_coupon_is_told_and_hardly_followed() {
    let (base, absurd) = (&pulls().as_foretold, &pulls().absurd);
    assert!(
        absurd
            .findings
            .iter()
            .any(|diag| diag.code == "pull-absurd")
    );
    assert!(absurd.wrong > 0.9);
    assert!((absurd.after.mid - base.before.mid).to_mm().abs() < 0.1);
    assert_ne!(absurd.advice, Advice::TooDeep);
}

/// A pull long after the planned end shows that the depth is made, or more than it.
#[test]
fn what_is_too_deep_already_is_pulled_now() {
    let followed = followed();
    let read = |hours: f64, depth: f64| {
        let pull = Pull {
            soaked: Span::from_h(hours),
            hot_after: Some(followed.planned.heat.hot_after),
            depth: Length::from_mm(depth),
            doubt: Length::from_mm(0.05),
            read_to: ReadTo::Limit,
        };
        pull::pull(followed, &pull, 1).unwrap()
    };
    let over = read(kit().way.soak.to_h() * 3.0, 1.7);
    assert_eq!(over.advice, Advice::TooDeep, "{over:?}");
    assert_eq!(over.more.mid, Span::ZERO);
    assert!(
        over.findings
            .iter()
            .any(|diag| diag.code == "pull-too-deep")
    );
    let made = read(kit().way.soak.to_h() * 1.15, 1.25);
    assert_eq!(made.advice, Advice::PullNow, "{made:?}");
    // Before the pack is hot a coupon says little, and that is told.
    let early = read(-0.5, 0.2);
    assert!(early.findings.iter().any(|diag| diag.code == "pull-early"));
}

#[test]
fn a_slow_heating_leaves_less_to_soak() {
    let followed = followed();
    let hot = followed.planned.heat.hot_after;
    let as_planned = remaining(followed, hot).unwrap();
    // As planned is as planned, to the seconds to which the bed is found.
    assert_eq!(as_planned.soak, kit().way.soak, "{as_planned:?}");
    assert!(as_planned.findings.is_empty());
    let late = remaining(followed, hot * 1.8).unwrap();
    assert!(late.soak <= as_planned.soak, "{late:?}");
    assert!(late.depth_with_planned >= as_planned.depth_with_planned);
    assert!(late.findings.iter().any(|diag| diag.code == "hot-late"));
    let early = remaining(followed, hot * 0.3).unwrap();
    assert!(early.findings.iter().any(|diag| diag.code == "hot-early"));
    // A quarter of an hour, to which the plan's soak is rounded, makes some hundredths.
    for answer in [&as_planned, &late, &early] {
        assert!(
            (answer.depth - kit().chain.aim).to_mm().abs() < 0.02,
            "{answer:?}"
        );
    }
}

/// The plan's own cycle as a log of the pack, with a change.
fn logged(change: impl Fn(f64, f64) -> f64, holes: Vec<(Span, Span)>) -> logged::Proof {
    let followed = followed();
    let mut corners = vec![];
    let (mut at, mut first) = (0.0, true);
    for piece in &followed.planned.heat.part.pieces {
        let steps = (piece.duration.to_min() / 2.0).ceil().max(1.0) as usize;
        for step in usize::from(!first)..=steps {
            let share = step as f64 / steps as f64;
            let t = piece.from.to_c() + (piece.to.to_c() - piece.from.to_c()) * share;
            let now = at + piece.duration.to_s() * share;
            if corners
                .last()
                .is_none_or(|(last, _): &(Span, Temperature)| last.to_s() < now)
            {
                corners.push((Span::from_s(now), Temperature::from_c(change(now, t))));
            }
        }
        at += piece.duration.to_s();
        first = false;
    }
    let log = Logged {
        couple: Couple::Pack,
        corners,
        holes,
        interval: Span::from_s(60.0),
        tolerance: TemperatureStep::from_k(12.0),
        soak: kit().way.soak,
    };
    logged::judge(followed, &log).unwrap()
}

#[test]
fn the_plans_own_cycle_costs_nothing_and_is_proven() {
    let proof = logged(|_, t| t, vec![]);
    assert!(proof.proven, "{:?}", proof.why_not);
    assert!(proof.excursions.is_empty(), "{:?}", proof.excursions);
    // Cutting pieces in two moves the steps of the solver: below its tolerance of 1e-3 wt%, which is
    // some micrometres at the limit's slope.
    let off = (proof.depth_logged - proof.depth_planned).to_um().abs();
    assert!(off < 5.0, "{off} µm");
}

/// A sag of 40 °C for three quarters of an hour costs what a run without it is deeper by; an
/// overshoot gives; a hole is worth at most the time that it lasts.
#[test]
fn every_departure_has_its_price() {
    let hot = followed().planned.heat.hot_after;
    let begins = hot.to_s() + 3600.0;
    let inside = move |now: f64| now > begins && now < begins + 2700.0;
    let sag = logged(move |now, t| if inside(now) { t - 40.0 } else { t }, vec![]);
    let plain = logged(|_, t| t, vec![]);
    assert_eq!(sag.excursions.len(), 1, "{:?}", sag.excursions);
    let one = sag.excursions[0];
    assert_eq!(one.kind, Kind::Under);
    assert!((one.furthest.unwrap().to_k() + 40.0).abs() < 15.0);
    assert!(one.cost.to_um() > 5.0, "{:?}", one.cost);
    // The whole of what is missing is the sag's; it is put right to the band's edge, 12 K below.
    let missing = plain.depth_logged - sag.depth_logged;
    assert!(
        one.cost < missing && one.cost > missing * 0.5,
        "{one:?} {missing:?}"
    );
    assert!(!sag.proven);
    let over = logged(move |now, t| if inside(now) { t + 40.0 } else { t }, vec![]);
    assert_eq!(over.excursions[0].kind, Kind::Over);
    assert!(over.excursions[0].cost.to_um() < -5.0);
    let hole = (Span::from_s(begins), Span::from_s(begins + 1500.0));
    let hole = logged(|_, t| t, vec![hole]);
    assert_eq!(hole.excursions[0].kind, Kind::Hole);
    assert!(hole.excursions[0].cost.to_um() > 5.0);
    assert!((hole.unknown.to_min() - 25.0).abs() < 0.1);
    assert!(
        hole.findings
            .iter()
            .any(|diag| diag.code == "log-hole-in-soak")
    );
}

#[test]
fn only_a_couple_in_the_pack_proves_a_soak() {
    let followed = followed();
    let plan = &followed.planned.heat;
    let mut at = Span::ZERO;
    let mut corners = vec![(Span::ZERO, plan.furnace.pieces[0].from)];
    for piece in &plan.furnace.pieces {
        at = at + piece.duration;
        if piece.duration > Span::ZERO {
            corners.push((at, piece.to));
        }
    }
    let log = Logged {
        couple: Couple::Furnace,
        corners,
        holes: vec![],
        interval: Span::from_s(60.0),
        tolerance: TemperatureStep::from_k(12.0),
        soak: kit().way.soak,
    };
    let proof = logged::judge(followed, &log).unwrap();
    assert!(!proof.proven);
    assert!(
        proof
            .why_not
            .iter()
            .any(|why| why.contains("only the furnace"))
    );
    // The furnace is hot hours before the pack; its log gives no deeper case for that.
    let gained = (proof.depth_logged - proof.depth_planned).to_mm();
    assert!(gained < 0.03, "{gained}");
    // Rows half an hour apart prove nothing, wherever the couple was.
    let sparse = Logged {
        couple: Couple::Pack,
        interval: Span::from_min(30.0),
        ..log
    };
    assert!(!logged::judge(followed, &sparse).unwrap().proven);
    // A soak that was set longer is not shown by the planned one; a shallower case is told.
    let longer = Logged {
        interval: Span::from_s(60.0),
        // The furnace, whose curve this is, was hot hours before the pack.
        soak: kit().way.soak + Span::from_h(12.0),
        ..sparse
    };
    let proof = logged::judge(followed, &longer).unwrap();
    assert!(
        proof.why_not.iter().any(|why| why.contains("were wanted")),
        "{:?}",
        proof.why_not
    );
}
