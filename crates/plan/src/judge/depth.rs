//! Case depth from traverses, ground steps, slants, rings and weights, each with its doubt.

use casewright_job::evidence::{
    Direction, Item, Ring, RingKind, StepGrind, TaperGrind, TestScale, Traverse, WeightGain, What,
};
use casewright_physics::law::case_depth::{DepthFound, TraversePoint, from_traverse};
use casewright_physics::law::hardness_conversion::hv_of;
use casewright_physics::law::indentation::traverse_plan;
use casewright_physics::law::reading_doubt::{mean_doubt, scatter};
use casewright_terms::{Band, Diag, Hardness, Length, Remark, Scale, Vickers};

use super::piece::{self, Need};
use super::steps::{self, Steps};
use super::tester::{Testers, force};
use super::{Bench, Quantity, Read, Standing, Value, root_sum};
use crate::outcome::DepthLimit;

/// Half-width of the normal distribution that holds 90 %, in standard deviations.
pub(super) const Z_90: f64 = 1.644_853_626_951_472_7;
/// Error of an indent's depth where the file gives none. [iso-18203]
const INDENT_DEPTH_MM: f64 = 0.025;
/// Error of a ground step's depth where the file gives none. [reading-scatter-assumed]
const STEP_DEPTH_MM: f64 = 0.02;
/// Scatter of the depth from band to band, a standard deviation. [reading-scatter-assumed]
const BAND_TO_BAND_MM: f64 = 0.02;
/// Doubt of a conversion, as a share of HV: scatter of real pairs of about 1 HRC. [astm-e140]
pub(super) const CONVERSION: f64 = 0.035;
/// Doubt of a ring by eye where the file gives none, etched and broken. [trade-practice]
const ETCHED_MM: f64 = 0.05;
const FRACTURE_MM: f64 = 0.10;
/// Effective over total depth: low, usual, high. [trade-practice]
const EFFECTIVE_SHARE: (f64, f64, f64) = (0.45, 0.60, 0.75);
/// Error of a weighing where the file gives none. [reading-scatter-assumed]
const WEIGHING_G: f64 = 0.005;
/// How far a depth from a weight gain may be off: the surface's carbon is only foretold. [reading-scatter-assumed]
const WEIGHT_SHARE: f64 = 0.20;

/// Hardness against depth that was found on a piece.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Found {
    pub(super) specimen: String,
    pub(super) points: Vec<TraversePoint>,
    pub(super) standing: Standing,
    pub(super) item: usize,
}

/// Everything about depth.
pub(super) fn read(
    bench: &Bench<'_>,
    testers: &Testers,
    profiles: &mut Vec<Found>,
    findings: &mut Vec<Diag>,
) -> Vec<Read> {
    let mut all = Vec::new();
    for (index, item) in bench.evidence.items.iter().enumerate() {
        let mut desk = Desk {
            bench,
            testers,
            index,
            item,
            profiles,
            findings,
        };
        match &item.what {
            What::Traverse(traverse) => all.extend(desk.traverse(traverse)),
            What::StepGrind(steps) => all.extend(desk.step_grind(steps)),
            What::TaperGrind(taper) => all.extend(desk.taper(taper)),
            What::Ring(ring) => all.extend(desk.ring(ring)),
            What::WeightGain(weight) => all.extend(desk.weight(weight)),
            What::Hardness(_) | What::FileTest(_) | What::Structure(_) => {}
        }
    }
    all
}

/// One item on the desk.
struct Desk<'a, 'b> {
    bench: &'a Bench<'b>,
    testers: &'a Testers,
    index: usize,
    item: &'b Item,
    profiles: &'a mut Vec<Found>,
    findings: &'a mut Vec<Diag>,
}

/// What decides how sure a crossing is, all in metres (half-widths).
struct Doubt {
    random: f64,
    common: f64,
}

impl Desk<'_, '_> {
    fn say(&mut self, remark: Remark) {
        self.findings.push(
            Diag::warn(remark.code, format!("{}: {}", self.item.name, remark.text))
                .at(self.item.place.clone()),
        );
    }

    fn one(&self, quantity: Quantity, value: Value, common: f64, how: String) -> Read {
        Read {
            item: self.index,
            name: self.item.name.clone(),
            specimen: self.item.specimen.clone(),
            quantity,
            value,
            common,
            standing: Standing::Direct,
            left_out: None,
            how,
            place: self.item.place.clone(),
        }
    }

    fn unfit(&self, need: Need) -> Option<String> {
        let piece = piece::of(self.bench.evidence, self.item)?;
        piece::unfit(self.bench, piece, need)
    }

    /// The limit that a hardness curve is read to: the note's, or that of ISO for a total depth.
    fn limit(&self) -> Vickers {
        self.bench.demand.limit_hv()
    }

    fn traverse(&mut self, read: &Traverse) -> Vec<Read> {
        let mut points = Vec::new();
        for (depth, value) in read.depths.iter().zip(&read.values) {
            let hardness = Hardness::new(read.scale.scale, *value);
            match hv_of(hardness) {
                Some(hv) => points.push(TraversePoint {
                    depth: *depth,
                    hardness: hv.value,
                }),
                None => self.say(Remark::new(
                    "traverse-outside-table",
                    format!("{hardness} has no conversion; the indent is left out."),
                )),
            }
        }
        let mean =
            points.iter().map(|p| p.hardness.to_hv()).sum::<f64>() / points.len().max(1) as f64;
        let error = self.testers.of(self.index, read.scale, mean);
        self.rules(read, &points);
        let odd = outliers(&points, read.scale);
        for i in &odd {
            self.say(Remark::new(
                "traverse-outlier",
                format!(
                    "{:.0} HV at {:.2} mm stands far off the line of its neighbours; it is kept, and the doubt holds the depth with and without it.",
                    points[*i].hardness.to_hv(),
                    points[*i].depth.to_mm()
                ),
            ));
        }
        let share = error.half / mean.max(1.0);
        let converted = if read.scale.scale == Scale::Hk {
            CONVERSION
        } else {
            0.0
        };
        let depth_error = read.depth_error.map_or(INDENT_DEPTH_MM, Length::to_mm) * 1e-3;
        let scale = read.scale;
        let sigma = move |hv: f64| scatter(Scale::Hv, force(scale), hv);
        let found = self.crossing(
            &points,
            &odd,
            &sigma,
            root_sum(&[share, converted]),
            root_sum(&[depth_error, Z_90 * BAND_TO_BAND_MM * 1e-3]),
        );
        let left_out = error.refused.clone().or_else(|| self.unfit(Need::Finished));
        if left_out.is_none() {
            self.profiles.push(Found {
                specimen: self.item.specimen.clone(),
                points,
                standing: Standing::Direct,
                item: self.index,
            });
        }
        let standing = if converted > 0.0 {
            Standing::Indirect
        } else {
            Standing::Direct
        };
        let how = format!(
            "interpolated to {:.0} HV between two indents",
            self.limit().to_hv()
        );
        self.finish(found, standing, left_out, how)
    }

    /// A crossing as one or two reads: the case depth.
    fn finish(
        &self,
        found: Option<(Value, f64)>,
        standing: Standing,
        left_out: Option<String>,
        how: String,
    ) -> Vec<Read> {
        let Some((value, common)) = found else {
            return Vec::new();
        };
        let how = match value {
            Value::DepthAtLeast(_) => {
                "it never falls to the limit: a bound, not a depth".to_owned()
            }
            Value::DepthAtMost(_) => "nothing holds the limit".to_owned(),
            _ => how,
        };
        let mut one = self.one(Quantity::CaseDepth, value, common, how);
        one.standing = standing;
        one.left_out = left_out.or_else(|| {
            (self.bench.demand.limit == DepthLimit::CoreCarbon).then(|| {
                "the note asks for total depth, which is a matter of carbon; this is the depth to 550 HV".to_owned()
            })
        });
        vec![one]
    }

    /// Where a curve falls to the limit, with its doubt; the doubt of a depth is that of the hardness
    /// over the slope.
    fn crossing(
        &mut self,
        points: &[TraversePoint],
        odd: &[usize],
        sigma: &dyn Fn(f64) -> f64,
        common_share: f64,
        depth_half_m: f64,
    ) -> Option<(Value, f64)> {
        let limit = self.limit();
        let found = match from_traverse(points, limit) {
            Ok(found) => found,
            Err(problem) => {
                self.say(Remark::new("traverse-no-depth", format!("{problem}.")));
                return None;
            }
        };
        let mut remarks = Vec::new();
        let found = found.into_value(&mut remarks);
        // Ground steps stop in the fall of the curve; nobody asks them for the core.
        let traverse = matches!(self.item.what, What::Traverse(_));
        for remark in remarks {
            if traverse || remark.code != "case-depth-core-not-read" {
                self.say(remark);
            }
        }
        match found {
            DepthFound::AtLeast(depth) => Some((Value::DepthAtLeast(depth), 0.0)),
            DepthFound::None => {
                let first = points.first().map_or(Length::ZERO, |p| p.depth);
                Some((Value::DepthAtMost(first), 0.0))
            }
            DepthFound::At(depth) => {
                let doubt = slope_doubt(points, depth, limit, sigma, common_share)?;
                let random = root_sum(&[doubt.random, depth_half_m]);
                let half = root_sum(&[random, doubt.common]);
                let (mut low, mut high) = (depth.to_m() - half, depth.to_m() + half);
                for i in odd {
                    let mut without = points.to_vec();
                    without.remove(*i);
                    if let Ok(other) = from_traverse(&without, limit)
                        && let DepthFound::At(other) = other.value
                    {
                        low = low.min(other.to_m());
                        high = high.max(other.to_m());
                    }
                }
                let band = Band {
                    low: Length::from_m(low.max(0.0)),
                    mid: depth,
                    high: Length::from_m(high),
                };
                Some((Value::Depth(band), doubt.common))
            }
        }
    }

    /// The standard's rules for a traverse, as far as the file tells.
    fn rules(&mut self, read: &Traverse, points: &[TraversePoint]) {
        let Some(first) = points.first() else { return };
        let Some(test_force) = force(read.scale) else {
            return;
        };
        let Some(rules) = traverse_plan(first.hardness, test_force) else {
            return;
        };
        // [iso-6507] three diagonals of the softer of two neighbours, where the depths alone do not
        // part them.
        let crowded = points
            .windows(2)
            .filter_map(|pair| {
                let wanted =
                    traverse_plan(pair[0].hardness.min(pair[1].hardness), test_force)?.spacing;
                let gap = pair[1].depth - pair[0].depth;
                (gap + Length::from_um(1.0) < wanted).then_some((gap, wanted))
            })
            .max_by(|a, b| a.1.to_m().total_cmp(&b.1.to_m()));
        for remark in &rules.remarks {
            self.say(remark.clone());
        }
        // A micrometre of room: depths come from decimal text.
        let room = Length::from_um(1.0);
        if first.depth + room < rules.first_depth {
            self.say(Remark::new(
                "traverse-edge",
                format!(
                    "The first indent stands {:.3} mm from the surface; {:.3} mm (2.5 diagonals) are wanted, or the edge gives way and it reads low.",
                    first.depth.to_mm(),
                    rules.first_depth.to_mm()
                ),
            ));
        }
        match (read.spacing, crowded) {
            (Some(said), Some((_, wanted))) if said + room < wanted => self.say(Remark::new(
                "traverse-crowded",
                format!(
                    "Indents stand {:.3} mm apart; {:.3} mm (3 diagonals) are wanted, or one is pushed up by the other.",
                    said.to_mm(),
                    wanted.to_mm()
                ),
            )),
            // On a slant indents lie further apart than their depths.
            (None, Some((gap, wanted))) if read.direction == Direction::Perpendicular => self.say(Remark::new(
                "traverse-spacing-unsaid",
                format!(
                    "Depths rise by {:.3} mm, less than the {:.3} mm (3 diagonals) that indents must stand apart; whether they are staggered is not said (spacing).",
                    gap.to_mm(),
                    wanted.to_mm()
                ),
            )),
            _ => {}
        }
    }

    fn step_grind(&mut self, read: &StepGrind) -> Vec<Read> {
        let steps = Steps {
            scale: read.scale,
            depths: read.removed.clone(),
            values: read.values.clone(),
            depth_error_m: read.depth_error.map_or(STEP_DEPTH_MM, Length::to_mm) * 1e-3,
        };
        self.ground(&steps, "ground steps")
    }

    fn taper(&mut self, read: &TaperGrind) -> Vec<Read> {
        let steps = Steps {
            scale: read.scale,
            depths: read.along.iter().map(|along| *along * read.slope).collect(),
            values: read.values.iter().map(|value| vec![*value]).collect(),
            depth_error_m: read.depth_error.map_or(STEP_DEPTH_MM, Length::to_mm) * 1e-3,
        };
        self.ground(&steps, "a ground slant")
    }

    fn ground(&mut self, read: &Steps, words: &str) -> Vec<Read> {
        let Some(solved) = steps::solve(read) else {
            self.say(Remark::new(
                "steps-outside-table",
                "A step has a reading without conversion; no depth follows.",
            ));
            return Vec::new();
        };
        if !solved.settled {
            self.say(Remark::new(
                "steps-not-settled",
                "The tester's share of the core could not be taken out; the readings count as converted.",
            ));
        }
        let mean =
            read.values.concat().iter().sum::<f64>() / read.values.concat().len().max(1) as f64;
        let error = self.testers.of(self.index, read.scale, mean);
        let share = share_of(read.scale, mean, error.half);
        let scale = read.scale;
        let one = scatter(scale.scale, None, mean);
        let n = read.values.iter().map(Vec::len).min().unwrap_or(1).max(1) as f64;
        let sigma_share = share_of(scale, mean, one) / n.sqrt();
        let sigma = move |hv: f64| hv * sigma_share;
        let common_share = root_sum(&[share, CONVERSION]);
        let found = self.crossing(
            &solved.points,
            &[],
            &sigma,
            common_share,
            read.depth_error_m,
        );
        // Half of what the model moved the depth is doubt about the model.
        let limit = self.limit();
        let at = |points: &[TraversePoint]| match from_traverse(points, limit).map(|f| f.value) {
            Ok(DepthFound::At(depth)) => Some(depth.to_m()),
            _ => None,
        };
        let model = match (at(&solved.points), at(&solved.raw)) {
            (Some(a), Some(b)) => 0.5 * (a - b).abs(),
            _ => 0.0,
        };
        let found = found.map(|(value, common)| match value {
            Value::Depth(band) => {
                let half = root_sum(&[(band.high - band.mid).to_m(), model]);
                let value = Value::Depth(Band {
                    low: Length::from_m((band.mid.to_m() - half).max(0.0)),
                    mid: band.mid,
                    high: Length::from_m(band.mid.to_m() + half),
                });
                (value, root_sum(&[common, model]))
            }
            other => (other, common),
        });
        let left_out = error.refused.clone().or_else(|| self.unfit(Need::Finished));
        if left_out.is_none() {
            self.profiles.push(Found {
                specimen: self.item.specimen.clone(),
                points: solved.points,
                standing: Standing::Indirect,
                item: self.index,
            });
        }
        let how = format!(
            "{scale} on {words}, converted, with the softer steel under each reading taken out; {:.2} mm without that",
            at(&solved.raw).unwrap_or(0.0) * 1e3
        );
        self.finish(found, Standing::Indirect, left_out, how)
    }

    fn ring(&mut self, read: &Ring) -> Vec<Read> {
        let mm: Vec<f64> = read.depths.iter().map(|d| d.to_mm()).collect();
        let mut sorted = mm.clone();
        sorted.sort_by(f64::total_cmp);
        let mid = sorted.iter().sum::<f64>() / sorted.len().max(1) as f64;
        let usual = match read.kind {
            RingKind::Etched => ETCHED_MM,
            RingKind::Fracture => FRACTURE_MM,
        };
        let doubt = read.doubt.map_or(usual, Length::to_mm);
        let half = doubt.max(mean_doubt(&mm, doubt / Z_90));
        let band = |low: f64, mid: f64, high: f64| Band {
            low: Length::from_mm(low.max(0.0)),
            mid: Length::from_mm(mid),
            high: Length::from_mm(high),
        };
        let (words, standing) = match read.kind {
            RingKind::Etched => ("seen on an etched face", Standing::Direct),
            RingKind::Fracture => ("seen on a broken face", Standing::Indirect),
        };
        let left_out = self.unfit(Need::Cased);
        let mut total = self.one(
            Quantity::TotalDepth,
            Value::Depth(band(mid - half, mid, mid + half)),
            half,
            words.to_owned(),
        );
        total.standing = standing;
        total.left_out = left_out.clone();
        if self.bench.demand.limit == DepthLimit::CoreCarbon {
            return vec![total];
        }
        let (low, usual, high) = EFFECTIVE_SHARE;
        let mut effective = self.one(
            Quantity::CaseDepth,
            Value::Depth(band((mid - half) * low, mid * usual, (mid + half) * high)),
            half,
            format!("{words}; the effective depth is 45 to 75 % of what is seen"),
        );
        effective.standing = Standing::Indirect;
        effective.left_out = left_out;
        vec![total, effective]
    }

    fn weight(&mut self, read: &WeightGain) -> Vec<Read> {
        let gain_g = (read.after - read.before).to_g();
        let error_g = read.error.map_or(WEIGHING_G, |error| error.to_g());
        let area = read.area.to_m2();
        let half = error_g * std::f64::consts::SQRT_2 / area;
        let mid = gain_g / area;
        let left_out = self.unfit(Need::Cased);
        if mid + half < 0.0 {
            self.say(Remark::new(
                "weight-lost",
                format!(
                    "The piece lost {:.0} mg in the box: scale fell off, or it never took carbon.",
                    -gain_g * 1e3
                ),
            ));
        }
        let band = Band {
            low: mid - half,
            mid,
            high: mid + half,
        };
        let how = format!("{:+.1} mg on {:.1} cm²", gain_g * 1e3, area * 1e4);
        let mut uptake = self.one(Quantity::Uptake, Value::Uptake(band), 0.0, how);
        uptake.standing = Standing::Indirect;
        uptake.left_out = left_out.clone();
        let mut all = vec![uptake];
        if let Some(depth) = self.depth_by_weight(read, band) {
            all.push(Read { left_out, ..depth });
        }
        all
    }

    /// The foretold depth times the share of the foretold uptake: profiles of one surface carbon
    /// differ in depth only.
    fn depth_by_weight(&self, read: &WeightGain, uptake: Band<f64>) -> Option<Read> {
        let foretold = super::compare::uptake(self.bench, self.item)?;
        let prediction = self.bench.report?.prediction.as_ref()?;
        let depth = match self.bench.demand.limit {
            DepthLimit::CoreCarbon => prediction.total_depth?,
            DepthLimit::Hardness(_) => prediction.case_depth?,
        };
        if foretold <= 0.0 || read.area.to_m2() <= 0.0 {
            return None;
        }
        let at = |uptake: f64, share: f64| {
            Length::from_m((depth.mid.to_m() * (uptake / foretold).max(0.0) * share).max(0.0))
        };
        let band = Band {
            low: at(uptake.low, 1.0 - WEIGHT_SHARE),
            mid: at(uptake.mid, 1.0),
            high: at(uptake.high, 1.0 + WEIGHT_SHARE),
        };
        let quantity = match self.bench.demand.limit {
            DepthLimit::CoreCarbon => Quantity::TotalDepth,
            DepthLimit::Hardness(_) => Quantity::CaseDepth,
        };
        let mut one = self.one(
            quantity,
            Value::Depth(band),
            (band.high - band.mid).to_m(),
            format!("the foretold depth by the share of the foretold uptake of {foretold:.1} g/m²"),
        );
        one.standing = Standing::Indirect;
        Some(one)
    }
}

/// A half-width on a scale as a share of HV, by the local slope of the table.
fn share_of(scale: TestScale, reading: f64, half: f64) -> f64 {
    let hv = |value: f64| hv_of(Hardness::new(scale.scale, value)).map(|v| v.value.to_hv());
    match (hv(reading - 0.5), hv(reading), hv(reading + 0.5)) {
        (Some(a), Some(b), Some(c)) => (c - a).abs() * half / b,
        _ => CONVERSION,
    }
}

/// Doubt of a crossing from the readings' scatter and the tester's error, over the slope there.
fn slope_doubt(
    points: &[TraversePoint],
    depth: Length,
    limit: Vickers,
    sigma: &dyn Fn(f64) -> f64,
    common_share: f64,
) -> Option<Doubt> {
    let i = points.iter().position(|p| p.depth >= depth)?.max(1);
    // A pair beyond on each side: the slope of one pair is mostly scatter.
    let left = points.get(i.saturating_sub(2))?;
    let right = points.get((i + 1).min(points.len() - 1))?;
    let fall = (left.hardness - right.hardness).to_hv();
    let way = (right.depth - left.depth).to_m();
    let (a, b) = (points[i - 1], points[i]);
    let pair_fall = (a.hardness - b.hardness).to_hv();
    let pair_way = (b.depth - a.depth).to_m();
    let per_hv = if fall > 0.0 {
        way / fall
    } else {
        pair_way / pair_fall.max(1.0)
    };
    let t = (depth - a.depth).to_m() / pair_way;
    let weight = ((1.0 - t) * (1.0 - t) + t * t).sqrt();
    Some(Doubt {
        random: Z_90 * sigma(limit.to_hv()) * weight * per_hv,
        common: common_share * limit.to_hv() * per_hv,
    })
}

/// Indents that stand far off the line between their neighbours: four standard deviations of that
/// difference, and at least 60 HV, which no honest case does within two steps. [trade-practice]
fn outliers(points: &[TraversePoint], scale: TestScale) -> Vec<usize> {
    let mut found: Vec<usize> = Vec::new();
    for i in 1..points.len().saturating_sub(1) {
        let (a, b, c) = (points[i - 1], points[i], points[i + 1]);
        let share = (b.depth - a.depth) / (c.depth - a.depth);
        let line = a.hardness.to_hv() + share * (c.hardness - a.hardness).to_hv();
        let off = (b.hardness.to_hv() - line).abs();
        let room = 4.0 * 1.22 * scatter(Scale::Hv, force(scale), b.hardness.to_hv());
        // Between its neighbours it may be a steep part of the curve, not a wrong indent.
        let (low, high) = (a.hardness.min(c.hardness), a.hardness.max(c.hardness));
        let between = b.hardness >= low && b.hardness <= high;
        if !between && off > room.max(60.0) && found.last() != Some(&(i - 1)) {
            found.push(i);
        }
    }
    found
}
