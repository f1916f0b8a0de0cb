//! What every rule needs to see: the plan, the job, and the machines that the plan names, looked up
//! once. Decides nothing.

use casewright_job::shop::{CompoundLot, Furnace, PackBox, QuenchTank};
use casewright_job::spec::{PartShape, RouteWish, Spec, Steel};
use casewright_physics::matter::steel::{self, UsualQuench};
use casewright_terms::{Composition, Element, Length, Mass, Temperature, Volume};

use crate::outcome::{Caution, Placed, Plan, Prediction, Step, StepKind};

/// Density of steel when cold. [en-1993-1-2], the same in every handbook to half a percent.
pub(super) const STEEL_KG_M3: f64 = 7850.0;

/// The plan with its surroundings.
pub(super) struct Sight<'a> {
    pub(super) plan: &'a Plan,
    pub(super) prediction: Option<&'a Prediction>,
    pub(super) spec: &'a Spec,
}

/// What a steel wants to be quenched in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Wants {
    /// Water or brine.
    Water,
    /// Oil.
    Oil,
    /// Not a carburizing steel.
    Neither,
}

impl<'a> Sight<'a> {
    pub(super) fn new(plan: &'a Plan, prediction: Option<&'a Prediction>, spec: &'a Spec) -> Self {
        Self {
            plan,
            prediction,
            spec,
        }
    }

    /// Steps of one kind, in the plan's order.
    pub(super) fn steps(&self, kind: StepKind) -> impl Iterator<Item = &'a Step> {
        self.plan.steps.iter().filter(move |step| step.kind == kind)
    }

    /// The furnace that a step names.
    pub(super) fn furnace(&self, step: &Step) -> Option<&'a Furnace> {
        named(step, &self.spec.shop.furnaces, |furnace| &furnace.id)
    }

    /// The oven, or else the furnace, that a tempering step names.
    pub(super) fn oven(&self, step: &Step) -> Option<&'a Furnace> {
        named(step, &self.spec.shop.ovens, |oven| &oven.id).or_else(|| self.furnace(step))
    }

    pub(super) fn pack_box(&self) -> Option<&'a PackBox> {
        let id = &self.plan.pack.box_id;
        self.spec.shop.boxes.iter().find(|item| item.id == *id)
    }

    pub(super) fn lot(&self, id: &str) -> Option<&'a CompoundLot> {
        self.spec.shop.compounds.iter().find(|lot| lot.id == id)
    }

    /// The lots in the box that the shop has.
    pub(super) fn compounds(&self) -> impl Iterator<Item = &'a CompoundLot> {
        let scoops = &self.plan.pack.scoops;
        scoops.iter().filter_map(|scoop| self.lot(&scoop.lot))
    }

    pub(super) fn tank(&self) -> Option<&'a QuenchTank> {
        let id = &self.plan.quench.tank;
        self.spec.shop.tanks.iter().find(|tank| tank.id == *id)
    }

    /// What goes into the tank hot: the last reheat, on the direct route the drop, or else the box.
    pub(super) fn quench_from(&self) -> Temperature {
        let kind = match self.plan.route {
            RouteWish::Direct => StepKind::Cool,
            RouteWish::Single | RouteWish::Double => StepKind::Reheat,
        };
        let last = self.steps(kind).last().and_then(|step| step.temperature);
        last.unwrap_or(self.plan.temperature)
    }

    /// All cautions, of the job and of its steps.
    pub(super) fn cautions(&self) -> impl Iterator<Item = &'a Caution> {
        let of_steps = self.plan.steps.iter().flat_map(|step| &step.cautions);
        self.plan.cautions.iter().chain(of_steps)
    }

    /// What the steel wants, by its grade, or by its chemistry where no grade is known.
    pub(super) fn wants(&self) -> Wants {
        let grade = match &self.spec.steel {
            Steel::Grade { name, .. } => Some(name),
            Steel::Chemistry { grade, .. } => grade.as_ref(),
        };
        if let Some(record) = grade.and_then(|name| steel::find(name)) {
            return match record.quench {
                UsualQuench::WaterOrBrine => Wants::Water,
                UsualQuench::Oil => Wants::Oil,
                UsualQuench::NotCarburized => Wants::Neither,
            };
        }
        match &self.spec.steel {
            Steel::Chemistry { composition, .. } => by_chemistry(composition),
            Steel::Grade { .. } => Wants::Neither,
        }
    }

    /// Chemistry of the core; `None` for a grade that the table does not know.
    pub(super) fn composition(&self) -> Option<Composition> {
        match &self.spec.steel {
            Steel::Chemistry { composition, .. } => Some(*composition),
            Steel::Grade { name, .. } => Some(steel::find(name)?.middle()),
        }
    }

    /// Mass of one part without what is cut into it.
    pub(super) fn part_mass(&self) -> Mass {
        Mass::from_kg(body(&self.spec.part.shape).to_m3() * STEEL_KG_M3)
    }

    /// Steel volume of one placed thing: never more than its brick.
    pub(super) fn placed_volume(item: &Placed) -> Volume {
        let brick: f64 = item.size.iter().map(|side| side.to_m()).product();
        Volume::from_m3(if item.round {
            brick * std::f64::consts::FRAC_PI_4
        } else {
            brick
        })
    }
}

/// Carburizing steels harden in oil from about half a percent of chromium, nickel and molybdenum
/// together: 8620 has 1.25 %, 4320 2.5 %, residuals of a plain steel stay under 0.35 %.
/// [trade-practice]
fn by_chemistry(composition: &Composition) -> Wants {
    // Over 0.28 % carbon the core hardens through: the table's border of the carburizing grades.
    if composition.wt_pct(Element::C) > 0.28 {
        return Wants::Neither;
    }
    let alloy: f64 = [Element::Cr, Element::Ni, Element::Mo]
        .into_iter()
        .map(|element| composition.wt_pct(element))
        .sum();
    if alloy < 0.5 {
        Wants::Water
    } else {
        Wants::Oil
    }
}

/// The machine whose mark stands as a word in the step's equipment.
fn named<'a, T>(step: &Step, items: &'a [T], mark: impl Fn(&T) -> &String) -> Option<&'a T> {
    let text = step.equipment.as_deref()?;
    items.iter().find(|item| {
        let mark = mark(item).as_str();
        text.trim() == mark
            || text
                .split([' ', ',', ';', '+', '(', ')'])
                .any(|w| w == mark)
    })
}

/// Volume of a body.
fn body(shape: &PartShape) -> Volume {
    use std::f64::consts::PI;
    Volume::from_m3(match *shape {
        PartShape::Plate {
            thickness,
            width,
            length,
        } => thickness.to_m() * width.to_m() * length.to_m(),
        PartShape::Bar { diameter, length } => {
            PI / 4.0 * diameter.to_m() * diameter.to_m() * length.to_m()
        }
        PartShape::Tube {
            outer,
            inner,
            length,
        } => {
            let ring = outer.to_m() * outer.to_m() - inner.to_m() * inner.to_m();
            PI / 4.0 * ring * length.to_m()
        }
        PartShape::Sphere { diameter } => {
            PI / 6.0 * diameter.to_m() * diameter.to_m() * diameter.to_m()
        }
        PartShape::Block { a, b, c } => a.to_m() * b.to_m() * c.to_m(),
    })
}

/// The brick around a body, smallest side first.
pub(super) fn brick(shape: &PartShape) -> [Length; 3] {
    let mut sides = match *shape {
        PartShape::Plate {
            thickness,
            width,
            length,
        } => [thickness, width, length],
        PartShape::Bar { diameter, length } => [diameter, diameter, length],
        PartShape::Tube { outer, length, .. } => [outer, outer, length],
        PartShape::Sphere { diameter } => [diameter; 3],
        PartShape::Block { a, b, c } => [a, b, c],
    };
    sort(&mut sides);
    sides
}

/// Smallest first. Lengths are finite by their constructor.
pub(super) fn sort(sides: &mut [Length; 3]) {
    sides.sort_by(|a, b| a.to_m().total_cmp(&b.to_m()));
}

/// Thickness that both cases share.
pub(super) fn section(shape: &PartShape) -> Length {
    match *shape {
        PartShape::Plate { thickness, .. } => thickness,
        PartShape::Bar { diameter, .. } | PartShape::Sphere { diameter } => diameter,
        PartShape::Tube { outer, inner, .. } => (outer - inner) * 0.5,
        PartShape::Block { a, .. } => a,
    }
}
