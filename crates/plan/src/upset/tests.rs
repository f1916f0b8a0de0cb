//! How far moved members stand from members that are run through the mishap themselves.

use casewright_job::spec::Spec;
use casewright_terms::TemperatureStep;

use super::*;
use crate::cloud::{Cloud, Size};
use crate::doubt::Doubts;
use crate::members::Members;
use crate::predict::{Reader, column};
use crate::{Options, SteelTable, propose};

const SHOP: &str = include_str!("../../../../examples/gannet-slip/shop.toml");
const PAWL: &str = include_str!("../../../../examples/winch-pawl/job.toml");

fn pawls() -> Spec {
    let (shop, _) = casewright_job::parse_shop("shop.toml", SHOP);
    let (draft, _) = casewright_job::parse("job.toml", PAWL);
    casewright_job::resolve(draft, shop, &SteelTable).unwrap_or_else(|diags| panic!("{diags:?}"))
}

const FEW: Options = Options {
    seed: 1,
    members: 64,
    runs: 64,
};

/// The plan that is taken up again is the plan: the same middle, and the same members for a mishap
/// of nothing.
#[test]
fn a_plan_taken_up_again_is_the_plan_itself() {
    let spec = pawls();
    let report = propose(&spec, FEW);
    let prediction = report.prediction.as_ref().expect("planned");
    taken_up(&spec, &report, |again| {
        let was = prediction.case_depth.expect("a case").mid;
        let is = Length::from_m(again.seen.case_m);
        // The boxes are run with the soak that was chosen in the end, a quarter hour off at most.
        assert!((was - is).to_mm().abs() < 2e-3, "{was:?} {is:?}");
        assert!((prediction.surface.mid.to_hv() - again.seen.surface_hv).abs() < 0.5);
        let stage = Stage {
            again,
            report: &report,
        };
        let same = stage.values(&again.seen);
        assert_eq!(same.chance, report.outlook.chance_all);
    })
    .unwrap();
}

/// The furnace 14 K low, once by moving the plan's members and once by running the same draws through
/// it. The residual is what `members` says is left out: 0.03 mm of a band of 0.3 mm, and a tenth of the
/// chance, of which one member in 64 is already a sixtieth.
#[test]
fn moved_members_stand_near_members_that_were_run() {
    let spec = pawls();
    let report = propose(&spec, FEW);
    let low = TemperatureStep::from_k(-14.0);
    taken_up(&spec, &report, |again| {
        let stage = Stage {
            again,
            report: &report,
        };
        let moved = stage.outcome(Upset::SetWrong(low)).gives.expect("run");
        let (slip, _) = act::seen(again, Upset::SetWrong(low)).unwrap();
        let nominal = slip
            .recipe
            .simulate(&again.matter, &crate::recipe::Departure::NONE)
            .unwrap();
        let reader = Reader {
            nominal: &nominal,
            ground: again.ground(),
            demand: &again.demand,
            matter: &again.matter,
            depths_m: Reader::depths_of(&nominal, &again.matter),
        };
        let cloud = Cloud::grow(
            // The steel comes with its certificate: its range is not among the doubts.
            &Doubts::of(&slip.recipe, &again.matter, None, FEW.seed),
            &slip.recipe,
            &again.matter,
            Size {
                members: FEW.members,
                runs: FEW.runs,
            },
            |run| reader.row(run),
            &reader.kinds(),
            &column::KEY,
        );
        let run = Members::of(&cloud);
        let bands = moved.bands.expect("carried");
        let own = run
            .band(moved.after_grind.to_m(), |seen| seen.after_grind_m)
            .unwrap();
        for (a, b) in [
            (bands.after_grind.low, own.low),
            (bands.after_grind.high, own.high),
        ] {
            let apart_mm = (a - Length::from_m(b)).to_mm().abs();
            assert!(apart_mm < 0.03, "{apart_mm} mm between moved and run");
        }
        let (a, b) = (moved.chance.unwrap(), run.chance(&again.demand).unwrap());
        assert!((a - b).abs() < 0.10, "chance {a} moved, {b} run");
    })
    .unwrap();
}
