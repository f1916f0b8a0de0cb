//! The packed boxes in three dimensions, as the plan uses them: who stands where in which furnace,
//! one run that is kept, and that run under another soak, set temperature or doubt.
//!
//! The search and the ensemble ask for heat-ups by the thousand; only the kept run is solved. A
//! slower or faster bed stretches its heat-up in time, by the band that the doubts about the box
//! gave; another set temperature moves its temperatures in proportion to their height above the
//! shop's. It does not decide how to pack.

use std::sync::Arc;

use casewright_job::shop::{CompoundLot, Furnace, PackBox};
use casewright_physics::model::box_heat::{self, Prior};
use casewright_physics::model::pack_heat;
use casewright_physics::run::{BoxRun, Failure, PackHeatRun};
use casewright_physics::setup::{
    Axis, BoxDetail, BoxFurnace, BoxSetup, Cooling, Cycle, PackedBed, PackedBox, Probe, Ramp,
    Solid, SolidForm, Survey,
};
use casewright_physics::simulate;
use casewright_terms::{
    Band, Fraction, Length, Remark, SourceKey, Span, Temperature, TemperatureStep,
};

use super::{Packed, chamber_grid, setup_of_piece};
use crate::outcome::Placed;

/// Mark of the buried couple among the probes.
pub(crate) const COUPLE: &str = "couple";
/// A furnace is cold when a box goes in.
const ROOM_C: f64 = 25.0;
/// The controller gives full power this far below its set point: half of a hobby controller's
/// usual 5 K; it moves the time to heat by a minute. [trade-practice]
const BAND_K: f64 = 2.0;
/// More pieces than this are not placed one by one: those at the corners and in the middle are, and
/// the others are spread evenly.
const MOST_SOLIDS: usize = 80;
/// A compound that is not dry is refused; the driest of the old analyses still held 2.7 % of water.
/// [trade-practice]
const DRY_WATER: f64 = 0.03;
/// The kept run soaks at least as long as this: then every part stands at what its place comes to.
const KEPT_SOAK_H: f64 = 3.0;

/// What a learnt bed factor or the lack of one says about the bed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Bed {
    pub(crate) factor: f64,
    pub(crate) prior: Prior,
    pub(crate) learnt: bool,
}

impl Bed {
    /// Of a box of the shop.
    pub(crate) fn of(pack_box: Option<&PackBox>) -> Self {
        let Some(learnt) = pack_box.and_then(|b| b.bed) else {
            return Self {
                factor: 1.0,
                prior: Prior {
                    moisture: (0.0, DRY_WATER),
                    ..Prior::unmeasured()
                },
                learnt: false,
            };
        };
        let doubt = 1.0 + learnt.doubt.to_ratio();
        Self {
            factor: learnt.factor,
            prior: Prior::measured(Band {
                low: learnt.factor / doubt,
                mid: learnt.factor,
                high: learnt.factor * doubt,
            }),
            learnt: true,
        }
    }
}

/// The boxes of one load in their furnace.
pub(crate) struct Scene<'a> {
    pub(crate) packed: &'a Packed,
    pub(crate) furnace: &'a Furnace,
    pub(crate) lot: &'a CompoundLot,
    pub(crate) bed: Bed,
}

impl Scene<'_> {
    /// The setup of the engine.
    pub(crate) fn setup(
        &self,
        set: Temperature,
        soak: Span,
        cooling: Cooling,
        detail: BoxDetail,
    ) -> BoxSetup {
        let survey = self.furnace.survey;
        let [width, height, depth] = self.furnace.inside;
        let grid = chamber_grid(
            &self.packed.layout,
            self.packed.at_once,
            self.furnace.inside,
        );
        let boxes = (0..self.packed.at_once.max(1))
            .map(|number| self.packed_box(number, &grid))
            .collect();
        BoxSetup {
            boxes,
            furnace: BoxFurnace {
                chamber: [width, depth, height],
                power: self.furnace.power,
                // A survey tells how far, not where: the door is the cold side and the back the hot
                // one, and the controller's couple stands between. [trade-practice]
                survey: Survey {
                    at: set,
                    door: TemperatureStep::ZERO - survey,
                    back: survey,
                    hearth: TemperatureStep::ZERO,
                    roof: TemperatureStep::ZERO,
                },
                couple_lag: Span::ZERO,
                band: TemperatureStep::from_k(BAND_K),
                load_at: Temperature::from_c(ROOM_C),
                exchange_factor: 1.0,
            },
            cold: Temperature::from_c(ROOM_C),
            set,
            rise: Span::ZERO,
            hot_within: TemperatureStep::from_k(pack_heat::HOT_WITHIN_K),
            soak,
            cooling,
            detail,
        }
    }

    fn packed_box(&self, number: u32, grid: &super::ChamberGrid) -> PackedBox {
        let layout = &self.packed.layout;
        let [width, height, length] = layout.inside;
        let turn = |v: [Length; 3]| if grid.turned { [v[1], v[0], v[2]] } else { v };
        let all: Vec<&Placed> = layout.parts.iter().chain(&layout.coupons).collect();
        let placed = placed_alone(&all, layout.coupons.len(), [width, length, height]);
        let solid = |piece: &Placed, is_part: bool| {
            let (at, size, round) = setup_of_piece(piece, self.packed.part_fill, is_part);
            let axes = [Axis::X, Axis::Y, Axis::Z];
            let (at, size) = (turn(at), turn(size));
            let longest = (0..3)
                .max_by(|a, b| size[*a].to_m().total_cmp(&size[*b].to_m()))
                .unwrap_or(2);
            Solid {
                mark: piece.mark.clone(),
                at,
                size,
                form: if round {
                    SolidForm::Round {
                        about: axes[longest],
                    }
                } else {
                    SolidForm::Block
                },
            }
        };
        let parts = layout.parts.len();
        let solids: Vec<Solid> = placed.iter().map(|i| solid(all[*i], *i < parts)).collect();
        // The rest as a share of what the solids leave.
        let steel = |pieces: &mut dyn Iterator<Item = usize>| -> f64 {
            pieces
                .map(|i| volume_m3(&solid(all[i], i < parts)))
                .sum::<f64>()
        };
        let own = steel(&mut placed.iter().copied());
        let rest = steel(&mut (0..all.len()).filter(|i| !placed.contains(i)));
        let inside_m3 = width.to_m() * height.to_m() * length.to_m();
        let spread = (rest / (inside_m3 - own).max(1e-9)).clamp(0.0, 0.95);
        PackedBox {
            mark: (number + 1).to_string(),
            inside: turn([width, length, height]),
            wall: layout.wall,
            stands_at: grid.corners.get(number as usize).copied(),
            bed: PackedBed {
                bulk_density: self.lot.bulk_density,
                grain: self.lot.grain,
                moisture: Fraction::ZERO,
                gap: Length::ZERO,
                factor: self.bed.factor,
            },
            solids,
            spread_steel: Fraction::from_ratio(spread),
            probes: layout
                .couple
                .map(|at| Probe {
                    mark: COUPLE.to_owned(),
                    at: turn(at),
                })
                .into_iter()
                .collect(),
            exposure: grid.exposure[number as usize % grid.exposure.len().max(1)],
        }
    }
}

fn volume_m3(solid: &Solid) -> f64 {
    let brick: f64 = solid.size.iter().map(|l| l.to_m()).product();
    match solid.form {
        SolidForm::Block => brick,
        SolidForm::Round { .. } => brick * std::f64::consts::FRAC_PI_4,
    }
}

/// Which pieces stand as bodies of their own: all of them, or of very many the coupons, the parts at
/// the corners and the one in the middle.
fn placed_alone(all: &[&Placed], coupons: usize, inside: [Length; 3]) -> Vec<usize> {
    if all.len() <= MOST_SOLIDS {
        return (0..all.len()).collect();
    }
    let parts = all.len() - coupons;
    let middle = |i: usize, axis: usize| (all[i].at[axis] + all[i].size[axis] * 0.5).to_m();
    let nearest = |goal: [f64; 3]| {
        let off = |i: &usize| {
            (0..3)
                .map(|k| (middle(*i, k) - goal[k]).powi(2))
                .sum::<f64>()
        };
        (0..parts).min_by(|a, b| off(a).total_cmp(&off(b)))
    };
    let side = inside.map(|l| l.to_m());
    let mut list: Vec<usize> = (0..8)
        .filter_map(|corner: usize| {
            let end = |k: usize| if corner >> k & 1 == 1 { side[k] } else { 0.0 };
            nearest([end(0), end(1), end(2)])
        })
        .chain(nearest(side.map(|l| l / 2.0)))
        .chain(parts..all.len())
        .collect();
    list.sort_unstable();
    list.dedup();
    list
}

/// A run that is kept, and how well its time to heat is known.
#[derive(Clone, Debug, PartialEq)]
pub struct HeatUp {
    /// From loading to hot, 90 %.
    pub hot: Band<Span>,
    /// Each doubt about it with what it alone does, greatest first.
    pub doubts: Vec<(&'static str, Span)>,
    /// Whether the bed's factor was learnt from a couple's log.
    pub learnt: bool,
    set: Temperature,
    runs: Vec<Kept>,
    /// Marks of the coupons among the pieces that were run.
    coupons: Vec<String>,
    pub(crate) remarks: Vec<Remark>,
    pub(crate) sources: Vec<SourceKey>,
}

/// The cycles of one run.
#[derive(Clone, Debug, PartialEq)]
struct Kept {
    cooling: Cooling,
    furnace: Cycle,
    /// Mean of all parts.
    part: Cycle,
    hot_after: Span,
    soak_ends: Span,
    ends: Span,
    run: Arc<BoxRun>,
}

impl HeatUp {
    /// The boxes with each of the coolings that the search may want, and the band of the time to
    /// heat.
    ///
    /// # Errors
    /// When the engine does not take the boxes.
    pub(crate) fn of(
        scene: &Scene<'_>,
        set: Temperature,
        coolings: &[Cooling],
    ) -> Result<Self, Failure> {
        let soak = Span::from_h(KEPT_SOAK_H);
        let setup = |cooling| scene.setup(set, soak, cooling, BoxDetail::Coarse);
        let first = setup(coolings[0]);
        let coupons: Vec<String> = scene
            .packed
            .layout
            .coupons
            .iter()
            .map(|coupon| coupon.mark.clone())
            .collect();
        let (band, runs) = rayon::join(
            || simulate::hot_band(&first, &scene.bed.prior),
            || -> Result<Vec<Kept>, Failure> {
                coolings
                    .iter()
                    .map(|cooling| kept(&setup(*cooling), &coupons))
                    .collect()
            },
        );
        let (band, runs) = (band?, runs?);
        let run = &runs[0].run;
        Ok(Self {
            hot: band.hot_after,
            doubts: band.doubts,
            learnt: scene.bed.learnt,
            set,
            remarks: told(run, scene.bed.learnt),
            sources: run.sources.clone(),
            runs,
            coupons,
        })
    }

    /// The same with the plan's own run instead of those of the search. The band keeps its shape.
    ///
    /// # Errors
    /// When the engine does not take the boxes.
    pub(crate) fn with_own_run(&self, setup: &BoxSetup) -> Result<Self, Failure> {
        let own = kept(setup, &self.coupons)?;
        let scale = own.hot_after / self.hot.mid;
        Ok(Self {
            hot: Band {
                mid: own.hot_after,
                ..self.hot.map(|t| t * scale)
            },
            set: setup.set,
            remarks: told(&own.run, self.learnt),
            runs: vec![own],
            ..self.clone()
        })
    }

    /// One run with a band that is known already: for a plan that is taken up again.
    ///
    /// # Errors
    /// When the engine does not take the boxes.
    pub(crate) fn taken_up(
        scene: &Scene<'_>,
        setup: &BoxSetup,
        hot: Band<Span>,
    ) -> Result<Self, Failure> {
        let coupons = scene.packed.layout.coupons.iter();
        let coupons: Vec<String> = coupons.map(|coupon| coupon.mark.clone()).collect();
        let own = kept(setup, &coupons)?;
        Ok(Self {
            hot,
            doubts: Vec::new(),
            learnt: scene.bed.learnt,
            set: setup.set,
            remarks: told(&own.run, scene.bed.learnt),
            sources: own.run.sources.clone(),
            runs: vec![own],
            coupons,
        })
    }

    /// The same with the shape of a band that is known of another box.
    pub(crate) fn with_band_of(self, known: Band<Span>) -> Self {
        let scale = self.runs[0].hot_after / known.mid;
        Self {
            hot: known.map(|span| span * scale),
            ..self
        }
    }

    /// The same for some of the pieces: the mean leaves out those that are named.
    pub(crate) fn without(&self, marks: Vec<String>) -> Self {
        let runs = self.runs.iter().map(|kept| Kept {
            part: mean(&kept.run, &marks),
            ..kept.clone()
        });
        Self {
            runs: runs.collect(),
            coupons: marks,
            ..self.clone()
        }
    }

    /// Mean of the parts in another run of the same boxes.
    pub(crate) fn mean_of(&self, run: &BoxRun) -> Cycle {
        mean(run, &self.coupons)
    }

    /// The run in the boxes itself; of several, that with this cooling or else the first.
    pub(crate) fn run(&self) -> &BoxRun {
        &self.runs[0].run
    }

    /// What the buried couple reads when the last part is hot; of several boxes in the one that
    /// reads least.
    pub(crate) fn couple_reads(&self) -> Option<Temperature> {
        let run = self.run();
        let reads = run.probes.iter().filter(|probe| probe.mark == COUPLE);
        reads
            .map(|probe| at(&probe.cycle, run.hot_after))
            .min_by(|a, b| a.to_k().total_cmp(&b.to_k()))
    }

    /// From loading to hot where the doubts about the box stand at `z` of their 90 %: −1 is the late
    /// end, 1 the early one.
    pub(crate) fn hot_at(&self, z: f64) -> Span {
        self.hot.mid * self.stretch(z)
    }

    fn stretch(&self, z: f64) -> f64 {
        use casewright_physics::numerics::fun::{exp, ln};
        let end = if z < 0.0 { self.hot.high } else { self.hot.low };
        exp(z.abs() * ln(end / self.hot.mid))
    }

    /// The kept run as it is with another set temperature, soak, cooling and doubt about the box.
    pub(crate) fn under(
        &self,
        set: Temperature,
        soak: Span,
        cooling: Cooling,
        z: f64,
    ) -> PackHeatRun {
        let kept = self.kept(cooling);
        // The kept run's own time to heat may differ from the band's middle by the fineness of its
        // cells; the band's middle is what is printed.
        let hot = self.hot_at(z);
        let bend = Bend {
            kept,
            held: self.set,
            set,
            hot,
            soak,
            cooling,
        };
        PackHeatRun {
            furnace: bend.of(&kept.furnace),
            part: bend.of(&kept.part),
            hot_after: hot,
            soak_ends: hot + soak,
            ends: hot + soak + (kept.ends - kept.soak_ends),
            remarks: self.remarks.clone(),
            sources: self.sources.clone(),
        }
    }

    /// The cycle of each part and coupon, box by box, in the plan itself.
    pub(crate) fn part_cycles(&self, set: Temperature, soak: Span, cooling: Cooling) -> Vec<Cycle> {
        let kept = self.kept(cooling);
        let bend = Bend {
            kept,
            held: self.set,
            set,
            hot: self.hot.mid,
            soak,
            cooling,
        };
        let parts = kept.run.parts.iter();
        parts.map(|part| bend.of(&part.mean.cycle)).collect()
    }

    fn kept(&self, cooling: Cooling) -> &Kept {
        let drops = |c: Cooling| matches!(c, Cooling::DropThenQuench { .. });
        self.runs
            .iter()
            .find(|kept| drops(kept.cooling) == drops(cooling))
            .unwrap_or(&self.runs[0])
    }
}

/// How a kept run is bent to another setting.
struct Bend<'a> {
    kept: &'a Kept,
    held: Temperature,
    set: Temperature,
    hot: Span,
    soak: Span,
    cooling: Cooling,
}

impl Bend<'_> {
    fn of(&self, cycle: &Cycle) -> Cycle {
        let kept = self.kept;
        let room = Temperature::from_c(ROOM_C);
        let rise = (self.set - room) / (self.held - room);
        let heating = |t: Temperature| room + (t - room) * rise;
        // In air the whole fall is moved in proportion; at a drop what lies between it and the set
        // temperature.
        let falling = |t: Temperature| match (kept.cooling, self.cooling) {
            (Cooling::DropThenQuench { to: old, .. }, Cooling::DropThenQuench { to, .. })
                if self.held > old =>
            {
                to + (t - old) * ((self.set - to) / (self.held - old))
            }
            _ => heating(t),
        };
        let whole = kept.soak_ends - kept.hot_after;
        let stretch = self.hot / kept.hot_after;
        let mut pieces: Vec<Ramp> = between(cycle, Span::ZERO, kept.hot_after)
            .into_iter()
            .map(|piece| moved(piece, stretch, heating))
            .collect();
        let soaked = between(cycle, kept.hot_after, kept.hot_after + self.soak.min(whole));
        pieces.extend(soaked.into_iter().map(|piece| moved(piece, 1.0, heating)));
        if self.soak > whole {
            let end = pieces.last().map_or(self.set, |piece| piece.to);
            pieces.push(Ramp {
                from: end,
                to: end,
                duration: self.soak - whole,
            });
        }
        let down = between(cycle, kept.soak_ends, kept.ends);
        pieces.extend(down.into_iter().map(|piece| moved(piece, 1.0, falling)));
        Cycle { pieces }
    }
}

/// What the run has to say; that the bed was never logged is said of those that were not.
fn told(run: &BoxRun, learnt: bool) -> Vec<Remark> {
    let all = run.remarks.iter();
    all.filter(|remark| !(learnt && remark.code == "pack-lag-doubt"))
        .cloned()
        .collect()
}

fn kept(setup: &BoxSetup, coupons: &[String]) -> Result<Kept, Failure> {
    let run = simulate::packed_boxes(setup)?;
    Ok(Kept {
        cooling: setup.cooling,
        furnace: run.furnace.clone(),
        part: mean(&run, coupons),
        hot_after: run.hot_after,
        soak_ends: run.soak_ends,
        ends: run.ends,
        run: Arc::new(run),
    })
}

/// From loading to hot only, coarsely: for weighing ways.
///
/// # Errors
/// When the engine does not take the boxes.
pub(crate) fn hot_after(scene: &Scene<'_>, set: Temperature) -> Result<Span, Failure> {
    box_heat::hot_after(&scene.setup(set, Span::ZERO, Cooling::InAir, BoxDetail::Coarse))
}

fn moved(piece: Ramp, stretch: f64, to: impl Fn(Temperature) -> Temperature) -> Ramp {
    Ramp {
        from: to(piece.from),
        to: to(piece.to),
        duration: piece.duration * stretch,
    }
}

/// Mean temperature of the parts along the run, coupons not counted; without parts, of the middle of
/// the boxes.
fn mean(run: &BoxRun, coupons: &[String]) -> Cycle {
    let of_parts: Vec<&Cycle> = run
        .parts
        .iter()
        .map(|part| &part.mean)
        .filter(|mean| !coupons.contains(&mean.mark))
        .map(|mean| &mean.cycle)
        .collect();
    let all: Vec<&Cycle> = if of_parts.is_empty() {
        run.probes.iter().map(|probe| &probe.cycle).collect()
    } else {
        of_parts
    };
    // Records are thinned one by one; a grid of all their corners would be many times as long as
    // the furnace's own, which follows every change of what is around.
    let mut times: Vec<f64> = vec![0.0];
    let mut now = 0.0;
    for piece in all.iter().take(1).flat_map(|cycle| &cycle.pieces) {
        now += piece.duration.to_s();
        times.push(now);
    }
    times.extend([run.hot_after.to_s(), run.soak_ends.to_s()]);
    times.sort_by(f64::total_cmp);
    times.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    let read: Vec<f64> = times
        .iter()
        .map(|t| {
            let sum: f64 = all.iter().map(|c| at(c, Span::from_s(*t)).to_k()).sum();
            sum / all.len().max(1) as f64
        })
        .collect();
    Cycle {
        pieces: times
            .windows(2)
            .zip(read.windows(2))
            .map(|(t, k)| Ramp {
                from: Temperature::from_k(k[0]),
                to: Temperature::from_k(k[1]),
                duration: Span::from_s(t[1] - t[0]),
            })
            .collect(),
    }
}

/// Temperature of a cycle at a time; its ends hold beyond them.
pub(crate) fn at(cycle: &Cycle, time: Span) -> Temperature {
    let mut begins = Span::ZERO;
    let mut last = Temperature::from_c(ROOM_C);
    for piece in &cycle.pieces {
        let ends = begins + piece.duration;
        last = piece.to;
        if time <= ends && piece.duration > Span::ZERO {
            let share = ((time - begins) / piece.duration).clamp(0.0, 1.0);
            return piece.from + (piece.to - piece.from) * share;
        }
        begins = ends;
    }
    last
}

/// The stretch of a cycle between two times.
pub(crate) fn between(cycle: &Cycle, from: Span, to: Span) -> Vec<Ramp> {
    let mut begins = Span::ZERO;
    let mut list = Vec::new();
    for piece in &cycle.pieces {
        let ends = begins + piece.duration;
        let (a, b) = (begins.max(from), ends.min(to));
        if b > a {
            let value =
                |t: Span| piece.from + (piece.to - piece.from) * ((t - begins) / piece.duration);
            list.push(Ramp {
                from: value(a),
                to: value(b),
                duration: b - a,
            });
        }
        begins = ends;
    }
    list
}
