//! From likelihoods to a ranking: every cause that is looked at, its share, its free amount.

use casewright_job::evidence::Network;
use casewright_physics::numerics::fun;

use super::cause::Cause;
use super::data::{Data, Look, Spot};
use super::foretell::{Foretold, foretell, shown};
use super::mark::Seen;
use super::scene::Scene;
use super::weigh::{Common, Scales, sum_out};
use super::work::{Made, Way, ways};
use crate::evaluate::hardness_at;

/// A scale feels the core when it shows so many points of HRC less than the surface has: the size of its
/// own doubt. [trade-practice]
const FEELS_CORE_HRC: f64 = 1.5;
/// Readings on deeper steps are meant to feel the core, in mm.
const SKIN_MM: f64 = 0.15;
/// Chance of a network to be seen where it is the cause. [trade-practice]
const NETWORK_SEEN: f64 = 0.9;
/// A place that is like the plan's, among places that differ.
const PLACE_SOUND: f64 = 0.35;

/// All ways with what they foretell.
pub(super) struct Bench {
    pub(super) ways: Vec<Way>,
    pub(super) foretold: Vec<Vec<Foretold>>,
    /// What a piece's depth differs from its neighbours', over the doubt about the lot's.
    pub(super) place_ratio: f64,
}

/// One cause, ranked.
#[derive(Clone, Debug)]
pub(super) struct Ranked {
    pub(super) cause: Cause,
    pub(super) chance: f64,
    /// The way it is computed by, in the bench's list.
    pub(super) way: usize,
    /// Grid points with their share within the cause.
    pub(super) shares: Vec<f64>,
}

impl Bench {
    /// Runs the engine for every way; `None` where not even the plan itself can be run.
    pub(super) fn of(scene: &Scene<'_>, data: &Data) -> Option<Self> {
        let ways = ways(scene, data);
        if ways.first().is_none_or(|way| way.cause != Cause::AsPlanned) {
            return None;
        }
        let foretold = ways.iter().map(|way| foretell(scene, way, data)).collect();
        let place_ratio = scene.place_doubt() / scene.depth_doubt;
        Some(Self {
            ways,
            foretold,
            place_ratio,
        })
    }

    fn way_of(&self, cause: Cause) -> Option<usize> {
        let own = match cause {
            Cause::SoftSpots => Cause::SlackQuench,
            Cause::PlaceSpread => Cause::ShortSoak,
            Cause::HeavyScale
            | Cause::TesterOff
            | Cause::Network
            | Cause::Cracks
            | Cause::Distortion
            | Cause::Other => Cause::AsPlanned,
            other => other,
        };
        self.ways.iter().position(|way| way.cause == own)
    }

    pub(super) fn sound(&self) -> &Foretold {
        &self.foretold[0][0]
    }

    pub(super) fn sound_made(&self) -> &Made {
        &self.ways[0].chains[0][0]
    }

    /// The computed lots of a ranked cause with their shares.
    pub(super) fn nodes(&self, ranked: &Ranked) -> Vec<(f64, &Made)> {
        let way = &self.ways[ranked.way];
        let points = &self.foretold[ranked.way];
        let mut nodes: Vec<(f64, &Made)> = Vec::new();
        for (c, chain) in way.chains.iter().enumerate() {
            for (k, made) in chain.iter().enumerate() {
                let share: f64 = points
                    .iter()
                    .zip(&ranked.shares)
                    .filter(|(point, _)| point.node == (c, k))
                    .map(|(_, share)| share)
                    .sum();
                if share > 1e-6 {
                    nodes.push((share, made));
                }
            }
        }
        match ranked.cause {
            Cause::SoftSpots => blend(&mut nodes, 0.35, self.sound_made()),
            Cause::PlaceSpread => blend(&mut nodes, 1.0 - PLACE_SOUND, self.sound_made()),
            _ => {}
        }
        nodes
    }

    /// The grid point with the greatest share.
    pub(super) fn best<'a>(&'a self, ranked: &Ranked) -> &'a Foretold {
        let points = &self.foretold[ranked.way];
        let best = (0..points.len())
            .max_by(|a, b| ranked.shares[*a].total_cmp(&ranked.shares[*b]))
            .unwrap_or(0);
        &points[best]
    }

    /// The computed lot nearest to it.
    pub(super) fn best_made(&self, ranked: &Ranked) -> &Made {
        let (c, k) = self.best(ranked).node;
        &self.ways[ranked.way].chains[c][k]
    }
}

fn blend<'a>(nodes: &mut Vec<(f64, &'a Made)>, share: f64, sound: &'a Made) {
    for node in nodes.iter_mut() {
        node.0 *= share;
    }
    nodes.push((1.0 - share, sound));
}

/// Whether a scale that was used on the surface felt the core of a case like the plan's.
pub(super) fn heavy_scale_used(bench: &Bench, data: &Data) -> bool {
    use casewright_physics::law::hardness_conversion::{hv_of, scale_of};
    use casewright_terms::{Hardness, Scale};
    let sound = bench.sound_made();
    data.readings.iter().any(|datum| {
        let Spot::Surface(gone) = datum.spot else {
            return false;
        };
        let skin = gone.to_mm() <= SKIN_MM;
        if !skin || !datum.class.boxed || matches!(datum.scale.scale, Scale::Hrb) {
            return false;
        }
        let (reading, off_table) = shown(sound.of(datum.class), datum.scale.scale, gone, None);
        if off_table {
            return true;
        }
        let surface = scale_of(hardness_at(sound.of(datum.class), gone), Scale::Hrc);
        let felt = hv_of(Hardness::new(datum.scale.scale, reading))
            .and_then(|hv| scale_of(hv.value, Scale::Hrc));
        matches!((surface, felt), (Some(surface), Some(felt)) if surface - felt > FEELS_CORE_HRC)
    })
}

/// Causes that are looked at, with why the others are not.
pub(super) fn looked_at(
    bench: &Bench,
    data: &Data,
    seen: &[Seen],
) -> (Vec<Cause>, Vec<(Cause, &'static str)>) {
    let heavy = heavy_scale_used(bench, data);
    let spoken_for = |cause| seen.iter().any(|s| s.there && s.mark.speaks_for(cause));
    let network = data
        .sights
        .iter()
        .any(|s| matches!(&s.what, Look::Structure(s) if s.network >= Some(Network::Broken)));
    let mut kept = Vec::new();
    let mut left = Vec::new();
    for cause in Cause::ALL {
        let missing = match cause {
            Cause::HeavyScale => {
                (!heavy).then_some("no reading on a scale that would feel the core of this case")
            }
            Cause::AsPlanned if heavy => {
                Some("a scale too heavy for this case was used; that stands for it")
            }
            Cause::Network => (!network)
                .then_some("no word of its marks: cells on an etched section, chipped edges"),
            Cause::Cracks => Some("no word of cracks; no reading of hardness shows them"),
            Cause::Distortion => Some("no word of bow or taper; no reading of hardness shows them"),
            Cause::PlaceSpread => (data.boxed_pieces().len() < 2)
                .then_some("fewer than two pieces from the box were read"),
            Cause::GroundThrough | Cause::GrindBurn => bench
                .way_of(cause)
                .is_none()
                .then_some("no reading on a finished face"),
            Cause::MaskLeak => bench
                .way_of(cause)
                .is_none()
                .then_some("no reading on an area that was to stay soft"),
            Cause::BareReheat | Cause::LeakyBox => bench
                .way_of(cause)
                .is_none()
                .then_some("the plan quenches from the box; there is no reheat to compute it by"),
            _ => bench
                .way_of(cause)
                .is_none()
                .then_some("the engine gave no answer for it"),
        };
        match missing {
            Some(_) if spoken_for(cause) && cause != Cause::AsPlanned => kept.push(cause),
            Some(why) => left.push((cause, why)),
            None => kept.push(cause),
        }
    }
    (kept, left)
}

/// Ranks the causes, likeliest first; equal ones by their table.
pub(super) fn rank(bench: &Bench, data: &Data, seen: &[Seen], causes: &[Cause]) -> Vec<Ranked> {
    let common = Common::of(data, bench.place_ratio);
    let scales = Scales::new(data, &common);
    let pieces = data.boxed_pieces();
    let mut logs: Vec<(f64, Ranked)> = causes
        .iter()
        .map(|cause| {
            // A cause known by sight alone is read as sound work.
            let way = bench.way_of(*cause).unwrap_or(0);
            let points = &bench.foretold[way];
            let parts = parts(bench, &scales, *cause, points, &pieces);
            let mut log = match cause {
                Cause::PlaceSpread => place_spread(bench, &scales, points, &pieces),
                Cause::SoftSpots => scales.log_spotted(bench.sound(), points),
                _ => sum_out(&parts),
            };
            log += seen.iter().map(|s| fun::ln(s.chance(*cause))).sum::<f64>();
            if *cause == Cause::Network {
                log += network(data, bench.sound());
            }
            log += fun::ln(prior(*cause));
            let ranked = Ranked {
                cause: *cause,
                chance: 0.0,
                way,
                shares: shares(&parts),
            };
            (log, ranked)
        })
        .collect();
    let most = logs
        .iter()
        .map(|(log, _)| *log)
        .fold(f64::NEG_INFINITY, f64::max);
    let sum: f64 = logs.iter().map(|(log, _)| fun::exp(log - most)).sum();
    for (log, ranked) in &mut logs {
        ranked.chance = fun::exp(*log - most) / sum;
    }
    let mut all: Vec<Ranked> = logs.into_iter().map(|(_, ranked)| ranked).collect();
    all.sort_by(|a, b| b.chance.total_cmp(&a.chance).then(a.cause.cmp(&b.cause)));
    all
}

/// Sound work on too heavy a scale stands for all sound work where such a scale was used.
pub(super) fn prior(cause: Cause) -> f64 {
    let own = cause.facts().prior;
    match cause {
        Cause::HeavyScale => own + Cause::AsPlanned.facts().prior,
        _ => own,
    }
}

fn parts(
    bench: &Bench,
    scales: &Scales<'_>,
    cause: Cause,
    points: &[Foretold],
    pieces: &[String],
) -> Vec<(f64, f64)> {
    let sound: Vec<f64> = match cause {
        Cause::PlaceSpread => pieces
            .iter()
            .map(|piece| scales.log_of_piece(bench.sound(), piece))
            .collect(),
        _ => Vec::new(),
    };
    points
        .iter()
        .map(|point| {
            let log = match cause {
                // How soft the spots are, or the worst place: told by the piece that says most.
                Cause::SoftSpots => scales.log_spotted(bench.sound(), std::slice::from_ref(point)),
                Cause::PlaceSpread => pieces
                    .iter()
                    .zip(&sound)
                    .map(|(piece, sound)| scales.log_of_piece(point, piece) - sound)
                    .fold(f64::NEG_INFINITY, f64::max),
                _ => scales.log(cause, point),
            };
            (log, point.weight)
        })
        .collect()
}

/// Each piece has its own amount, or none.
fn place_spread(bench: &Bench, scales: &Scales<'_>, points: &[Foretold], pieces: &[String]) -> f64 {
    let sound = bench.sound();
    let mut all_sound = 0.0;
    let each: f64 = pieces
        .iter()
        .map(|piece| {
            let own = scales.log_of_piece(sound, piece);
            all_sound += own + fun::ln(PLACE_SOUND);
            let mut parts = vec![(own, PLACE_SOUND)];
            parts.extend(points.iter().map(|point| {
                let weight = point.weight * (1.0 - PLACE_SOUND);
                (scales.log_of_piece(point, piece), weight)
            }));
            sum_out(&parts)
        })
        .sum();
    // Where every piece is like the plan's, nothing is spread.
    let spread = fun::ln_1p(-fun::exp((all_sound - each).min(-1e-12)));
    each + spread + scales.log_of_rest(sound, pieces)
}

/// What a network seen says beyond what sound work's carbide explains.
fn network(data: &Data, sound: &Foretold) -> f64 {
    data.sights
        .iter()
        .zip(&sound.sights)
        .filter_map(|(sight, log)| match &sight.what {
            Look::Structure(seen) if seen.network >= Some(Network::Broken) => {
                Some(fun::ln(NETWORK_SEEN) - log)
            }
            _ => None,
        })
        .sum()
}

fn shares(parts: &[(f64, f64)]) -> Vec<f64> {
    let total = sum_out(parts);
    parts
        .iter()
        .map(|(log, weight)| weight * fun::exp((log - total).min(0.0)))
        .collect()
}

/// Where the share of the amounts below reaches `p`.
pub(super) fn quantile(points: &[Foretold], shares: &[f64], p: f64) -> f64 {
    let mut order: Vec<usize> = (0..points.len()).collect();
    order.sort_by(|a, b| points[*a].amount.total_cmp(&points[*b].amount));
    let total: f64 = shares.iter().sum();
    let mut sum = 0.0;
    for i in &order {
        sum += shares[*i];
        if sum >= p * total {
            return points[*i].amount;
        }
    }
    order.last().map_or(0.0, |i| points[*i].amount)
}

/// Depth that a light polish may take. [trade-practice]
pub(super) const POLISH_MM: f64 = 0.1;
