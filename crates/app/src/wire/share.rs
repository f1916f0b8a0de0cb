//! Jobs put together, on the wire.

use casewright_plan::share::{ClassLoad, Group, Portion, SharedCycle, Sharing, Stands, Together};
use serde::Serialize;

use super::number;

/// The answer of `share`.
#[derive(Debug, Serialize)]
pub(crate) struct SharingLine {
    loads: Vec<LoadLine>,
    /// All jobs together first, then every pair where there are more than two.
    groups: Vec<GroupLine>,
}

#[derive(Debug, Serialize)]
struct LoadLine {
    job: String,
    /// `null` where there is no plan.
    load: Option<ClassLine>,
}

#[derive(Debug, Serialize)]
struct ClassLine {
    parts: u32,
    parts_in_a_box: usize,
    boxes: u32,
    loads: usize,
    coupons_in_a_box: usize,
    least_depth_mm: Option<f64>,
    greatest_depth_mm: Option<f64>,
    /// `null` where it is not known.
    coupons_stand_for_all: Option<bool>,
    least_part_below_coupons_mm: Option<f64>,
    greatest_part_above_coupons_mm: Option<f64>,
    parts_followed: usize,
    mind: Vec<String>,
}

#[derive(Debug, Serialize)]
struct GroupLine {
    jobs: Vec<String>,
    together: &'static str,
    why: Vec<String>,
    cycle: Option<CycleLine>,
}

#[derive(Debug, Serialize)]
struct CycleLine {
    #[serde(rename = "box")]
    box_id: String,
    temperature_c: f64,
    soak_h: f64,
    hot_after_h: f64,
    least_chance: Option<f64>,
    hardened_as: Option<String>,
    jobs: Vec<PortionLine>,
    parts: Vec<PlaceLine>,
    coupons: Vec<PlaceLine>,
}

#[derive(Debug, Serialize)]
struct PortionLine {
    job: String,
    case_depth_mm: f64,
    after_grind_mm: f64,
    surface_hv: f64,
    core_hv: f64,
    meets: bool,
    chance: Option<f64>,
    chance_alone: Option<f64>,
}

#[derive(Debug, Serialize)]
struct PlaceLine {
    mark: String,
    at_mm: [f64; 3],
    size_mm: [f64; 3],
}

/// The answer.
pub(crate) fn of(sharing: &Sharing, names: &[&str]) -> SharingLine {
    let loads = names.iter().zip(&sharing.loads);
    SharingLine {
        loads: loads
            .map(|(name, load)| LoadLine {
                job: (*name).to_owned(),
                load: load.as_ref().map(class),
            })
            .collect(),
        groups: sharing.groups.iter().map(|g| group(g, names)).collect(),
    }
}

fn class(load: &ClassLoad) -> ClassLine {
    let apart = match load.stands {
        Stands::NotForAll { below, above } => Some((below, above)),
        Stands::ForAll | Stands::Unknown => None,
    };
    ClassLine {
        parts: load.parts,
        parts_in_a_box: load.in_a_box,
        boxes: load.boxes,
        loads: load.loads,
        coupons_in_a_box: load.coupons_in_a_box,
        least_depth_mm: load.depths.map(|(least, _)| number(least.to_mm())),
        greatest_depth_mm: load.depths.map(|(_, greatest)| number(greatest.to_mm())),
        coupons_stand_for_all: match load.stands {
            Stands::ForAll => Some(true),
            Stands::NotForAll { .. } => Some(false),
            Stands::Unknown => None,
        },
        least_part_below_coupons_mm: apart.map(|(below, _)| number(below.to_mm())),
        greatest_part_above_coupons_mm: apart.map(|(_, above)| number(above.to_mm())),
        parts_followed: load.followed,
        mind: load.mind.clone(),
    }
}

fn group(group: &Group, names: &[&str]) -> GroupLine {
    GroupLine {
        jobs: group.jobs.iter().map(|i| names[*i].to_owned()).collect(),
        together: match group.together {
            Together::AllTheWay => "all the way",
            Together::InTheBox => "in the box",
            Together::Apart => "apart",
        },
        why: group.why.clone(),
        cycle: group.cycle.as_ref().map(|c| cycle(c, names)),
    }
}

fn cycle(cycle: &SharedCycle, names: &[&str]) -> CycleLine {
    let place = |piece: &casewright_plan::outcome::Placed| PlaceLine {
        mark: piece.mark.clone(),
        at_mm: piece.at.map(|l| number(l.to_mm())),
        size_mm: piece.size.map(|l| number(l.to_mm())),
    };
    CycleLine {
        box_id: cycle.layout.box_id.clone(),
        temperature_c: number(cycle.temperature.to_c()),
        soak_h: number(cycle.soak.to_h()),
        hot_after_h: number(cycle.hot_after.to_h()),
        least_chance: cycle.least_chance.map(number),
        hardened_as: cycle.hardened_as.map(|k| names[k].to_owned()),
        jobs: cycle.portions.iter().map(|p| portion(p, names)).collect(),
        parts: cycle.layout.parts.iter().map(place).collect(),
        coupons: cycle.layout.coupons.iter().map(place).collect(),
    }
}

fn portion(own: &Portion, names: &[&str]) -> PortionLine {
    PortionLine {
        job: names[own.job].to_owned(),
        case_depth_mm: number(own.case_depth.to_mm()),
        after_grind_mm: number(own.after_grind.to_mm()),
        surface_hv: number(own.surface.to_hv()),
        core_hv: number(own.core.to_hv()),
        meets: own.meets,
        chance: own.chance.map(number),
        chance_alone: own.alone.map(number),
    }
}
