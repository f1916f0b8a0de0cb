//! Hardness of surface, core and areas: each section's mean with its doubt, corrected for a round, and
//! whether the scale could read that case at all.

use casewright_job::evidence::{Item, Readings, Surface, What, Where};
use casewright_physics::law::case_depth::TraversePoint;
use casewright_physics::law::hardness_conversion::{hv_of, scale_of};
use casewright_physics::law::indentation::{
    CaseForScale, cylinder_correction, least_case, rockwell_force, vickers_diagonal,
};
use casewright_physics::law::reading_doubt::{mean_doubt, scatter};
use casewright_physics::model::testers::would_read;
use casewright_terms::{Band, Diag, Hardness, Length, Scale, Vickers};

use super::combine::PieceDepth;
use super::depth::{CONVERSION, Found};
use super::piece::{self, Need};
use super::skin;
use super::steps::layers;
use super::tester::{Testers, force};
use super::{Bench, Quantity, Read, Standing, Value, root_sum};

/// Spread of readings at one place above which it is a soft-spot map: 3 points of HRC, 2 of a
/// superficial scale. [trade-practice]
const SPREAD_HRC: f64 = 3.0;
const SPREAD_SUPERFICIAL: f64 = 2.0;
/// How well a spot is ground to a wanted depth. [reading-scatter-assumed]
const GROUND_ROOM_MM: f64 = 0.02;
/// No steel of a tempered case is harder. [trade-practice]
const TEMPERED_MOST_HRC: f64 = 66.0;

/// Everything about hardness.
pub(super) fn read(
    bench: &Bench<'_>,
    testers: &Testers,
    depths: &[PieceDepth],
    profiles: &[Found],
    findings: &mut Vec<Diag>,
) -> Vec<Read> {
    let mut all: Vec<Read> = Vec::new();
    for (index, item) in bench.evidence.items.iter().enumerate() {
        if let What::Hardness(read) = &item.what {
            let desk = Desk {
                bench,
                testers,
                depths,
                profiles,
                index,
                item,
                read,
            };
            all.extend(desk.one(findings));
        }
    }
    all.extend(from_profiles(bench, profiles));
    skin::scales_differ(bench, &all, findings);
    skin::skins(bench, &all, findings);
    all
}

struct Desk<'a, 'b> {
    bench: &'a Bench<'b>,
    testers: &'a Testers,
    depths: &'a [PieceDepth],
    profiles: &'a [Found],
    index: usize,
    item: &'b Item,
    read: &'b Readings,
}

impl Desk<'_, '_> {
    fn one(&self, findings: &mut Vec<Diag>) -> Option<Read> {
        let read = self.read;
        let mut sorted = read.values.clone();
        sorted.sort_by(f64::total_cmp);
        let raw = sorted.iter().sum::<f64>() / sorted.len().max(1) as f64;
        let mut left_out = self.unfit();
        let correction = self.round(raw, &mut left_out, findings);
        let mid = raw + correction;
        let error = self.testers.of(self.index, read.scale, mid);
        left_out = left_out.or(error.refused);
        let random = mean_doubt(&sorted, scatter(read.scale.scale, force(read.scale), mid));
        let half = root_sum(&[random, error.half]);
        self.impossible(mid, findings);
        if let Some(why) = self.spread(&sorted, findings) {
            left_out = left_out.or(Some(why));
        }
        let vickers = self.vickers(mid, half);
        let at_least = read.at == Where::Surface && self.sinks_through(mid, findings);
        let quantity = match read.at {
            Where::Surface => Quantity::Surface,
            Where::Core => Quantity::Core,
            Where::SoftArea => Quantity::Area,
        };
        if quantity == Quantity::Surface {
            left_out = left_out.or_else(|| wrong_surface(self.bench, &read.surface));
        }
        let mut how = format!("mean of {} on {}", read.values.len(), self.spot());
        if correction > 0.0 {
            how.push_str(&format!(", {correction:+.1} for the round"));
        }
        Some(Read {
            item: self.index,
            name: self.item.name.clone(),
            specimen: self.item.specimen.clone(),
            quantity,
            value: Value::Hardness {
                scale: read.scale,
                reading: Band {
                    low: mid - half,
                    mid,
                    high: mid + half,
                },
                vickers,
                at_least,
            },
            common: error.half,
            standing: self.standing(quantity),
            left_out,
            how,
            place: self.item.place.clone(),
        })
    }

    fn spot(&self) -> String {
        let place = self
            .read
            .spot
            .clone()
            .unwrap_or_else(|| match self.read.at {
                Where::Surface => "the surface".to_owned(),
                Where::Core => "the core".to_owned(),
                Where::SoftArea => "a soft area".to_owned(),
            });
        match &self.read.surface {
            Surface::AsHardened => place,
            Surface::Removed(depth) => {
                format!(
                    "{place}, {} removed",
                    depth.depth_text(self.bench.spec.units)
                )
            }
            Surface::Finished(face) => {
                format!(
                    "{place}, finished{}",
                    face.as_ref().map_or(String::new(), |f| format!(" ({f})"))
                )
            }
        }
    }

    fn unfit(&self) -> Option<String> {
        let piece = piece::of(self.bench.evidence, self.item)?;
        let need = match self.read.at {
            Where::Surface => Need::Finished,
            Where::Core | Where::SoftArea => Need::Core,
        };
        piece::unfit(self.bench, piece, need)
    }

    /// The clause's own scale, or another.
    fn standing(&self, quantity: Quantity) -> Standing {
        let clause = match quantity {
            Quantity::Surface => self.bench.demand.surface,
            Quantity::Core => self.bench.demand.core,
            _ => None,
        };
        match clause {
            Some(clause) if clause.written.scale != self.read.scale.scale => Standing::Indirect,
            _ => Standing::Direct,
        }
    }

    /// What to add on a round.
    fn round(&self, raw: f64, left_out: &mut Option<String>, findings: &mut Vec<Diag>) -> f64 {
        let read = self.read;
        if read.corrected || read.at == Where::Core || rockwell_force(read.scale.scale).is_none() {
            return 0.0;
        }
        let Some(diameter) = read.round else {
            return 0.0;
        };
        match cylinder_correction(Hardness::new(read.scale.scale, raw), diameter) {
            Ok(found) => {
                for remark in found.remarks {
                    findings.push(
                        Diag::note(remark.code, format!("{}: {}", self.item.name, remark.text))
                            .at(self.item.place.clone()),
                    );
                }
                found.value
            }
            Err(remark) => {
                findings.push(
                    Diag::warn(remark.code, format!("{}: {}", self.item.name, remark.text))
                        .at(self.item.place.clone()),
                );
                *left_out = left_out.take().or(Some(
                    "it was read on a round for which its scale has no correction".to_owned(),
                ));
                0.0
            }
        }
    }

    fn vickers(&self, mid: f64, half: f64) -> Option<Band<Vickers>> {
        let scale = self.read.scale.scale;
        let hv = |value: f64| hv_of(Hardness::new(scale, value)).map(|v| v.value.to_hv());
        let at = hv(mid)?;
        // Outside the table an end keeps the share of the nearer one.
        let (low, high) = (hv(mid - half), hv(mid + half));
        let down = low.map(|low| at - low);
        let up = high.map(|high| high - at);
        let (down, up) = (down.or(up).unwrap_or(0.0), up.or(down).unwrap_or(0.0));
        let converted = match scale {
            Scale::Hv => 0.0,
            _ => CONVERSION * at,
        };
        Some(Band {
            low: Vickers::from_hv((at - root_sum(&[down, converted])).max(1.0)),
            mid: Vickers::from_hv(at),
            high: Vickers::from_hv(at + root_sum(&[up, converted])),
        })
    }

    /// Numbers that are no reading of what they are said to be.
    fn impossible(&self, mid: f64, findings: &mut Vec<Diag>) {
        let scale = self.read.scale.scale;
        let mut say = |diag: Diag| findings.push(diag.at(self.item.place.clone()));
        match scale {
            Scale::Hrc if mid < 20.0 => say(Diag::warn(
                "hrc-below-scale",
                format!(
                    "{}: {mid:.1} HRC is below 20, where the C scale is no longer a scale.",
                    self.item.name
                ),
            )
            .why("It shows that the steel is softer than 20 HRC, and not how soft.")
            .accepted("The B scale, up to 100 HRB, or HV.")),
            Scale::Hrb if mid > 100.0 => say(Diag::warn(
                "hrb-above-scale",
                format!(
                    "{}: {mid:.1} HRB is above 100, where the ball flattens.",
                    self.item.name
                ),
            )
            .why("It shows that the steel is harder than 240 HV, and not how hard.")
            .accepted("The C scale, from 20 HRC, or HV.")),
            _ => {}
        }
        let hrc = hv_of(Hardness::new(scale, mid)).and_then(|hv| scale_of(hv.value, Scale::Hrc));
        if self.unfit().is_none() && hrc.is_some_and(|hrc| hrc > TEMPERED_MOST_HRC) {
            say(Diag::warn(
                "harder-than-a-case",
                format!(
                    "{}: {mid:.1} {} is harder than a tempered case gets.",
                    self.item.name, self.read.scale
                ),
            )
            .why("The piece was not tempered, the tester is off, or a digit slipped.")
            .accepted("The block read again, then the piece."));
        }
    }

    /// Readings at one place that differ too much to have a mean.
    fn spread(&self, sorted: &[f64], findings: &mut Vec<Diag>) -> Option<String> {
        let (first, last) = (sorted.first()?, sorted.last()?);
        let most = match self.read.scale.scale {
            Scale::Hr15n | Scale::Hr30n | Scale::Hr45n => SPREAD_SUPERFICIAL,
            Scale::Hrc | Scale::Hra | Scale::Hrd | Scale::Hrb => SPREAD_HRC,
            Scale::Hv | Scale::Hk | Scale::Hbw => 0.12 * last,
        };
        // A billionth of room for decimals.
        if last - first <= most + 1e-9 {
            return None;
        }
        findings.push(
            Diag::warn(
                "soft-spots",
                format!(
                    "{}: from {first:.1} to {last:.1} {} at one place.",
                    self.item.name, self.read.scale
                ),
            )
            .why("A mean would hide soft spots: scale or oil on the work, a touch of tongs, a vapour blanket.")
            .accepted("A map of readings over the face, or nital on it, before it is judged.")
            .at(self.item.place.clone()),
        );
        Some(format!("its readings differ by {:.1}", last - first))
    }

    /// Whether the case here is thinner than the scale needs, so that it reads the core too.
    fn sinks_through(&self, mid: f64, findings: &mut Vec<Diag>) -> bool {
        let scale = self.read.scale.scale;
        let (Some(need), Some(case)) = (self.case_needed(mid), self.case_here()) else {
            return false;
        };
        let units = self.bench.spec.units;
        if case >= need.refuse_below {
            if case < need.sound_from {
                findings.push(
                    Diag::note(
                        "scale-feels-core",
                        format!(
                            "{}: under its full load {scale} feels {}; on a case of {} it may read a little low.",
                            self.item.name,
                            need.sound_from.depth_text(units),
                            case.depth_text(units)
                        ),
                    )
                    .at(self.item.place.clone()),
                );
            }
            return false;
        }
        let true_surface = self.true_surface(mid).map_or(String::new(), |hv| {
            let rockwell =
                scale_of(hv, Scale::Hrc).map_or(String::new(), |hrc| format!(", {hrc:.0} HRC"));
            format!(
                " By the contact model the surface itself is about {:.0} HV{rockwell}.",
                hv.to_hv()
            )
        });
        findings.push(
            Diag::warn(
                "scale-too-heavy",
                format!(
                    "{}: {mid:.1} {scale} on a case of {}; at that hardness the scale needs {}.",
                    self.item.name,
                    case.depth_text(units),
                    need.refuse_below.depth_text(units)
                ),
            )
            .why(format!("The diamond sinks through and reads the core too: the surface is at least this hard, perhaps much harder.{true_surface}"))
            .accepted("A lighter scale: 15N from 0.20 mm, 30N from 0.38 mm, A from 0.64 mm of case; or HV on a section.")
            .at(self.item.place.clone()),
        );
        true
    }

    /// The case that this reading needs: the scale's table, or one and a half diagonals of a Vickers
    /// indent. [iso-6507]
    fn case_needed(&self, mid: f64) -> Option<CaseForScale> {
        let scale = self.read.scale;
        if scale.scale == Scale::Hv {
            let diagonal = vickers_diagonal(Vickers::checked(mid)?, force(scale)?)?;
            return Some(CaseForScale {
                refuse_below: diagonal * 1.5,
                sound_from: diagonal * 1.5,
            });
        }
        Some(least_case(Hardness::new(scale.scale, mid))?.value)
    }

    /// Effective case under this reading: measured on the piece, on the lot, or foretold.
    fn case_here(&self) -> Option<Length> {
        let known = |d: &PieceDepth| d.band.map(|b| b.mid).or(d.at_least);
        let own = self
            .depths
            .iter()
            .find(|d| d.specimen.eq_ignore_ascii_case(&self.item.specimen))
            .and_then(known);
        let lot = self.depths.iter().filter_map(known).reduce(Length::min);
        let foretold = || {
            self.bench
                .report?
                .prediction
                .as_ref()?
                .depth_550hv
                .map(|b| b.mid)
        };
        let case = own.or(lot).or_else(foretold)?;
        Some((case - gone(self.bench, &self.read.surface)).max(Length::ZERO))
    }

    /// What the surface must be so that this scale reads `mid`, the curve below it being of the shape
    /// that was measured or foretold.
    fn true_surface(&self, mid: f64) -> Option<Vickers> {
        // The contact model knows the forces of Rockwell scales; a Vickers indent's is the tester's.
        rockwell_force(self.read.scale.scale)?;
        let (depth_m, hv) = self.shape()?;
        let core = *hv.last()?;
        let ground = gone(self.bench, &self.read.surface);
        let stretched = |factor: f64| -> Vec<f64> {
            hv.iter()
                .map(|h| (core + factor * (h - core)).clamp(60.0, 1000.0))
                .collect()
        };
        let reads = |factor: f64| {
            let body = layers(depth_m.clone(), stretched(factor));
            would_read(&body, self.read.scale.scale, ground, None).reading
        };
        let (mut low, mut high) = (0.2, 2.5);
        // Forty halvings leave 2e-12 of the factor.
        for _ in 0..40 {
            let middle = 0.5 * (low + high);
            match reads(middle) {
                Some(reading) if reading > mid => high = middle,
                Some(_) => low = middle,
                None if middle > 1.0 => high = middle,
                None => low = middle,
            }
        }
        let factor = 0.5 * (low + high);
        let close = reads(factor).is_some_and(|reading| (reading - mid).abs() < 0.2);
        let at = crate::evaluate::at(&depth_m, &stretched(factor), ground.to_m());
        close.then(|| Vickers::from_hv(at))
    }

    fn shape(&self) -> Option<(Vec<f64>, Vec<f64>)> {
        let own = |p: &&Found| p.specimen.eq_ignore_ascii_case(&self.item.specimen);
        let best = self
            .profiles
            .iter()
            .filter(own)
            .chain(self.profiles.iter())
            .find(|p| p.points.len() >= 4);
        if let Some(found) = best {
            let depths: Vec<Length> = found.points.iter().map(|p| p.depth).collect();
            let hv: Vec<f64> = found.points.iter().map(|p| p.hardness.to_hv()).collect();
            let body = super::steps::drawn_on(&depths, &hv);
            return Some((body.depth_m, body.hardness_hv));
        }
        let profile = &self.bench.report?.prediction.as_ref()?.profile;
        let depth_m = profile
            .depth_mm
            .iter()
            .map(|d| Length::from_mm(*d).to_m())
            .collect();
        Some((depth_m, profile.hardness_hv.clone()))
    }
}

/// What is gone of the hardened surface: the stock on a finished face.
fn gone(bench: &Bench<'_>, surface: &Surface) -> Length {
    match surface {
        Surface::AsHardened => Length::ZERO,
        Surface::Removed(depth) => *depth,
        Surface::Finished(face) => {
            let named = face.as_ref().and_then(|face| {
                bench
                    .spec
                    .stock
                    .iter()
                    .find(|stock| stock.face.eq_ignore_ascii_case(face))
            });
            let most = bench
                .spec
                .stock
                .iter()
                .map(|s| s.per_side)
                .reduce(Length::max);
            named
                .map(|stock| stock.per_side)
                .or(most)
                .unwrap_or(Length::ZERO)
        }
    }
}

/// Why a surface is not the one the note speaks of; `None` where it is.
fn wrong_surface(bench: &Bench<'_>, surface: &Surface) -> Option<String> {
    let stock = &bench.spec.stock;
    let room = Length::from_mm(GROUND_ROOM_MM);
    if !bench.demand.after_grind || stock.is_empty() {
        return match surface {
            Surface::AsHardened => None,
            Surface::Finished(_) if stock.is_empty() => None,
            // A light polish to take off scale is no grinding.
            Surface::Removed(depth) if *depth <= room => None,
            _ => Some(
                "it was read below the surface as hardened, of which the note speaks".to_owned(),
            ),
        };
    }
    let units = bench.spec.units;
    match surface {
        Surface::Finished(_) => None,
        Surface::Removed(depth) => {
            let fits = stock.iter().any(|s| {
                *depth >= s.per_side - s.bow - room && *depth <= s.per_side + s.bow + room
            });
            (!fits).then(|| {
                format!(
                    "it was read {} below the surface, not at the depth of the stock",
                    depth.depth_text(units)
                )
            })
        }
        Surface::AsHardened => {
            Some("it was read on the surface as hardened; the note holds after grinding".to_owned())
        }
    }
}

/// Surface hardness and core as curves of hardness tell them.
fn from_profiles(bench: &Bench<'_>, profiles: &[Found]) -> Vec<Read> {
    let mut all = Vec::new();
    let stock = if bench.demand.after_grind {
        bench
            .spec
            .stock
            .iter()
            .map(|s| s.per_side)
            .reduce(Length::max)
    } else {
        None
    };
    let finished = stock.unwrap_or(Length::ZERO);
    let units = bench.spec.units;
    for found in profiles {
        let Some(item) = bench.evidence.items.get(found.item) else {
            continue;
        };
        let mut push = |quantity: Quantity, at: Vickers, how: String| {
            let clause = match quantity {
                Quantity::Core => bench.demand.core,
                _ => bench.demand.surface,
            };
            let own = clause.is_some_and(|c| c.written.scale == Scale::Hv);
            let half = 0.05 * at.to_hv();
            let band = Band {
                low: Vickers::from_hv(at.to_hv() - half),
                mid: at,
                high: Vickers::from_hv(at.to_hv() + half),
            };
            all.push(Read {
                item: found.item,
                name: item.name.clone(),
                specimen: found.specimen.clone(),
                quantity,
                value: Value::Hardness {
                    scale: casewright_job::evidence::TestScale {
                        scale: Scale::Hv,
                        force_kgf: None,
                    },
                    reading: band.map(Vickers::to_hv),
                    vickers: Some(band),
                    at_least: false,
                },
                common: half,
                standing: if own && found.standing == Standing::Direct {
                    Standing::Direct
                } else {
                    Standing::Indirect
                },
                left_out: None,
                how,
                place: item.place.clone(),
            });
        };
        if let Some(at) = at_depth(&found.points, finished) {
            push(
                Quantity::Surface,
                at,
                format!(
                    "the curve of {} at {}",
                    item.name,
                    finished.depth_text(units)
                ),
            );
        }
        let case = found
            .points
            .iter()
            .find(|p| p.hardness < bench.demand.limit_hv());
        let core = found
            .points
            .last()
            .filter(|last| case.is_some_and(|c| last.depth >= c.depth * 2.5));
        if let Some(last) = core {
            push(
                Quantity::Core,
                last.hardness,
                format!(
                    "the last point of {} at {}",
                    item.name,
                    last.depth.depth_text(units)
                ),
            );
        }
    }
    all
}

/// A curve at a depth inside it; a first indent up to a tenth of a millimetre deeper stands for it.
fn at_depth(points: &[TraversePoint], depth: Length) -> Option<Vickers> {
    let first = points.first()?;
    if depth <= first.depth {
        return (first.depth - depth <= Length::from_mm(0.15)).then_some(first.hardness);
    }
    let pair = points.windows(2).find(|pair| pair[1].depth >= depth)?;
    let share = (depth - pair[0].depth) / (pair[1].depth - pair[0].depth);
    Some(pair[0].hardness + (pair[1].hardness - pair[0].hardness) * share)
}
