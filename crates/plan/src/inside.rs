//! What went on inside the part, by depth: carbon against time, the state when the box is opened,
//! and what decided the phases of the quench. Values only; the words are the report's business.

use casewright_job::spec::RouteWish as Route;
use casewright_physics::model::chain::inside::{self, BoxCooling};
use casewright_physics::model::transform::Phases;
use casewright_physics::run::Failure;
use casewright_physics::setup::{Cycle, Ramp};
use casewright_physics::simulate;
use casewright_terms::{Length, SourceKey, Span, Temperature};

use crate::evaluate::at;
use crate::recipe::{Departure, Matter, Recipe, Simulated};

/// Moments of the soak at which carbon is looked at, the two ends included.
const SOAK_MOMENTS: usize = 7;

/// Shares of the volume by depth. All vectors have one length.
#[derive(Clone, Debug, PartialEq, Default)]
#[expect(missing_docs, reason = "the names say it")]
pub struct Shares {
    pub martensite: Vec<f64>,
    pub retained_austenite: Vec<f64>,
    pub bainite: Vec<f64>,
    pub pearlite: Vec<f64>,
    pub ferrite: Vec<f64>,
    pub carbide: Vec<f64>,
}

impl Shares {
    fn of(phases: &[Phases]) -> Self {
        let share = |f: fn(&Phases) -> f64| phases.iter().map(f).collect::<Vec<f64>>();
        Self {
            martensite: share(|p| p.martensite),
            retained_austenite: share(|p| p.retained_austenite),
            bainite: share(|p| p.bainite),
            pearlite: share(|p| p.pearlite),
            ferrite: share(|p| p.ferrite),
            carbide: share(|p| p.carbide),
        }
    }

    /// Name and shares of each constituent.
    #[must_use]
    pub fn named(&self) -> [(&'static str, &[f64]); 6] {
        [
            ("martensite", &self.martensite),
            ("retained austenite", &self.retained_austenite),
            ("bainite", &self.bainite),
            ("pearlite", &self.pearlite),
            ("ferrite", &self.ferrite),
            ("carbide", &self.carbide),
        ]
    }
}

/// What lies between the box and the hardness of every depth. Vectors by depth have the length of
/// `depth_m`.
#[derive(Clone, Debug, PartialEq)]
pub struct Inside {
    /// Depth before grinding, in metres, from 0 rising.
    pub depth_m: Vec<f64>,
    /// When carbon was looked at, after loading: the pack hot, through the soak, the box opened.
    pub moments: Vec<Span>,
    /// Carbon at each of those moments, by depth, in wt%.
    pub carbon_wt_pct: Vec<Vec<f64>>,
    /// Carbon of the steel itself, in wt%.
    pub core_carbon_wt_pct: f64,
    /// What the parts are when the box is opened; `None` where they are quenched from it.
    pub boxed: Option<Shares>,
    /// What they are after the last quench, before the draw.
    pub quenched: Shares,
    /// What the draw leaves of it; what retained austenite becomes counts as bainite.
    pub drawn: Shares,
    /// Hardness as quenched.
    pub quenched_hv: Vec<f64>,
    /// Hardness after the draw.
    pub drawn_hv: Vec<f64>,
    /// Carbon dissolved in the austenite before the last quench, in wt%.
    pub dissolved_wt_pct: Vec<f64>,
    /// Share that stayed carbide then.
    pub carbide_left: Vec<f64>,
    /// Share that stayed ferrite then.
    pub ferrite_left: Vec<f64>,
    /// Where martensite begins, in °C.
    pub martensite_start_c: Vec<f64>,
    /// Temperature from which cooling is counted: 800 °C, or the furnace's where that is lower.
    pub counted_from: Temperature,
    /// Temperature to which it is counted.
    pub counted_to: Temperature,
    /// Time of that passage in seconds.
    pub cooling_s: Vec<Option<f64>>,
    /// The longest such time at which nine tenths of the austenite still become martensite.
    pub needed_s: Vec<Option<f64>>,
    /// Where the last quench started.
    pub quenched_from: Temperature,
    /// The draw.
    pub drawn_at: Temperature,
    /// Mean grain of the austenite in the box.
    pub grain_in_box: Length,
    /// Mean grain of the austenite before the last quench.
    pub grain: Length,
    /// Sources that nothing else of the plan names.
    pub sources: Vec<SourceKey>,
}

impl Recipe<'_> {
    /// What went on inside the part of the plan's own run.
    ///
    /// # Errors
    /// What physics could not do.
    pub fn inside(&self, matter: &Matter, run: &Simulated) -> Result<Inside, Failure> {
        let setup = self.chain_setup(matter, &Departure::NONE, &run.heat);
        let boxed_grain = self.grain_in_box();
        let in_box = (self.route != Route::Direct).then_some(BoxCooling {
            part: &run.heat.part,
            soak_ends: run.heat.soak_ends,
            grain_number: boxed_grain,
        });
        let behind = inside::inside(&run.chain.carbon, &setup, in_box)?;
        let moments = moments(run);
        let mut carbon_wt_pct = Vec::new();
        for moment in &moments {
            let mut so_far = setup.carbon.clone();
            so_far.cycle = until(&run.heat.part, *moment);
            let profile = simulate::carbon(&so_far)?;
            carbon_wt_pct.push(
                behind
                    .depth_m
                    .iter()
                    .map(|d| at(&profile.depth_m, &profile.carbon_wt_pct, *d))
                    .collect(),
            );
        }
        let layers = &run.chain.layers;
        let on = |values: &[f64]| -> Vec<f64> {
            behind
                .depth_m
                .iter()
                .map(|d| at(&layers.depth_m, values, *d))
                .collect()
        };
        Ok(Inside {
            boxed: behind.boxed.as_deref().map(Shares::of),
            quenched: Shares::of(&behind.quenched),
            drawn: Shares {
                martensite: on(&layers.martensite),
                retained_austenite: on(&layers.retained_austenite),
                bainite: on(&layers.bainite),
                pearlite: on(&layers.pearlite),
                ferrite: on(&layers.ferrite),
                carbide: on(&layers.carbide),
            },
            quenched_hv: on(&layers.quenched_hv),
            drawn_hv: on(&layers.hardness_hv),
            dissolved_wt_pct: behind.heated.iter().map(|h| h.carbon.to_wt_pct()).collect(),
            carbide_left: behind.heated.iter().map(|h| h.carbide).collect(),
            ferrite_left: behind
                .heated
                .iter()
                .map(|h| h.ferrite + h.pearlite)
                .collect(),
            martensite_start_c: behind.martensite_start_c,
            counted_from: behind.counted_from,
            counted_to: behind.counted_to,
            cooling_s: behind.cooling_s,
            needed_s: behind.needed_s,
            quenched_from: setup
                .reheats
                .last()
                .map(|heat| heat.temperature)
                .or(setup.direct_from)
                .unwrap_or(self.temperature),
            drawn_at: self.temper.temperature,
            grain_in_box: inside::grain_diameter(boxed_grain),
            grain: inside::grain_diameter(setup.grain_number),
            core_carbon_wt_pct: matter.composition.wt_pct(casewright_terms::Element::C),
            sources: inside::SOURCES.to_vec(),
            depth_m: behind.depth_m,
            moments,
            carbon_wt_pct,
        })
    }
}

/// The pack hot, evenly through the soak, and the end of the box's time.
fn moments(run: &Simulated) -> Vec<Span> {
    let heat = &run.heat;
    let last = (SOAK_MOMENTS - 1) as f64;
    let soak = heat.soak_ends - heat.hot_after;
    let mut all: Vec<Span> = (0..SOAK_MOMENTS)
        .map(|i| heat.hot_after + soak * (i as f64 / last))
        .collect();
    if heat.ends > heat.soak_ends {
        all.push(heat.ends);
    }
    all
}

/// The beginning of a cycle, up to a moment.
fn until(cycle: &Cycle, moment: Span) -> Cycle {
    let mut pieces = Vec::new();
    let mut at = Span::ZERO;
    for piece in &cycle.pieces {
        let left = moment - at;
        if left.to_s() <= 0.0 {
            break;
        }
        if left >= piece.duration {
            pieces.push(*piece);
        } else {
            let share = left.to_s() / piece.duration.to_s();
            pieces.push(Ramp {
                from: piece.from,
                to: piece.from + (piece.to - piece.from) * share,
                duration: left,
            });
        }
        at = at + piece.duration;
    }
    Cycle { pieces }
}

/// One depth of the story.
#[derive(Clone, Debug, PartialEq)]
pub struct StoryPoint {
    /// Depth before grinding.
    pub depth: Length,
    /// Depth below the finished face; `None` where this depth is ground off.
    pub below_finished: Option<Length>,
    /// Carbon when the box is opened, in wt%.
    pub carbon_wt_pct: f64,
    /// Of which the steel had this much.
    pub core_carbon_wt_pct: f64,
    /// When half of the gain was there, after loading; `None` where there is no gain to speak of.
    pub half_gain_after: Option<Span>,
    /// Gain after the end of the soak, in wt%.
    pub gain_while_cooling_wt_pct: f64,
    /// The state when the box is opened: name and share, greatest first.
    pub boxed: Option<Vec<(&'static str, f64)>>,
    /// Where the quench started.
    pub quenched_from: Temperature,
    /// Carbon dissolved in the austenite then, in wt%.
    pub dissolved_wt_pct: f64,
    /// Share that stayed carbide.
    pub carbide_left: f64,
    /// Share that stayed ferrite.
    pub ferrite_left: f64,
    /// Where martensite begins.
    pub martensite_start: Temperature,
    /// Temperatures between which cooling is counted.
    pub counted: (Temperature, Temperature),
    /// Time of that passage.
    pub cooling: Option<Span>,
    /// Longest time that leaves nine tenths for martensite.
    pub needed: Option<Span>,
    /// Phases after the quench: name and share, greatest first.
    pub phases: Vec<(&'static str, f64)>,
    /// The same after the draw.
    pub drawn_phases: Vec<(&'static str, f64)>,
    /// Hardness as quenched, in HV.
    pub quenched_hv: f64,
    /// Hardness after the draw, in HV.
    pub drawn_hv: f64,
    /// The draw.
    pub drawn_at: Temperature,
}

/// A gain of carbon below this is none, in wt%: four times the engine's own error.
const GAIN_WT_PCT: f64 = 0.005;
/// Shares below this are not told.
const TOLD_SHARE: f64 = 0.005;

impl Inside {
    /// Deepest depth that is known: the middle of the section.
    #[must_use]
    pub fn deepest(&self) -> Length {
        Length::from_m(self.depth_m.last().copied().unwrap_or(0.0))
    }

    /// The story of one depth, counted before grinding; `None` outside the part. `ground` is what is
    /// taken off afterwards, per side.
    #[must_use]
    pub fn story(&self, depth: Length, ground: Length) -> Option<StoryPoint> {
        if depth < Length::ZERO || depth > self.deepest() {
            return None;
        }
        let x = depth.to_m();
        let read = |values: &[f64]| at(&self.depth_m, values, x);
        let history: Vec<f64> = self.carbon_wt_pct.iter().map(|c| read(c)).collect();
        let carbon = history.last().copied().unwrap_or(self.core_carbon_wt_pct);
        // The last moment is the opened box where it cools, the end of the soak where it does not.
        let soaked = history.get(SOAK_MOMENTS - 1).copied().unwrap_or(carbon);
        Some(StoryPoint {
            depth,
            below_finished: (depth >= ground).then(|| depth - ground),
            carbon_wt_pct: carbon,
            core_carbon_wt_pct: self.core_carbon_wt_pct,
            half_gain_after: self.half_gain(&history),
            gain_while_cooling_wt_pct: carbon - soaked,
            boxed: self.boxed.as_ref().map(|shares| told(shares, &read)),
            quenched_from: self.quenched_from,
            dissolved_wt_pct: read(&self.dissolved_wt_pct),
            carbide_left: read(&self.carbide_left),
            ferrite_left: read(&self.ferrite_left),
            martensite_start: Temperature::from_c(read(&self.martensite_start_c)),
            counted: (self.counted_from, self.counted_to),
            cooling: self.known(&self.cooling_s, x),
            needed: self.known(&self.needed_s, x),
            phases: told(&self.quenched, &read),
            drawn_phases: told(&self.drawn, &read),
            quenched_hv: read(&self.quenched_hv),
            drawn_hv: read(&self.drawn_hv),
            drawn_at: self.drawn_at,
        })
    }

    /// When a history had half of its gain; before the pack was hot counts as then.
    fn half_gain(&self, history: &[f64]) -> Option<Span> {
        let (start, end) = (self.core_carbon_wt_pct, *history.last()?);
        if end - start < GAIN_WT_PCT {
            return None;
        }
        let half = (start + end) / 2.0;
        let i = history.iter().position(|c| *c >= half)?;
        if i == 0 {
            return self.moments.first().copied();
        }
        let share = (half - history[i - 1]) / (history[i] - history[i - 1]);
        Some(self.moments[i - 1] + (self.moments[i] - self.moments[i - 1]) * share)
    }

    /// A time at a depth, where both neighbours have one.
    fn known(&self, times: &[Option<f64>], x: f64) -> Option<Span> {
        let right = self
            .depth_m
            .partition_point(|d| *d < x)
            .clamp(1, self.depth_m.len() - 1);
        let (a, b) = (times[right - 1]?, times[right]?);
        let share = ((x - self.depth_m[right - 1])
            / (self.depth_m[right] - self.depth_m[right - 1]))
            .clamp(0.0, 1.0);
        Some(Span::from_s(a + share * (b - a)))
    }
}

fn told(shares: &Shares, read: &impl Fn(&[f64]) -> f64) -> Vec<(&'static str, f64)> {
    let mut all: Vec<(&'static str, f64)> = shares
        .named()
        .into_iter()
        .map(|(name, values)| (name, read(values)))
        .filter(|(_, share)| *share >= TOLD_SHARE)
        .collect();
    all.sort_by(|a, b| b.1.total_cmp(&a.1));
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cycle_is_cut_where_it_was_asked_to() {
        let ramp = |from: f64, to: f64, h: f64| Ramp {
            from: Temperature::from_c(from),
            to: Temperature::from_c(to),
            duration: Span::from_h(h),
        };
        let cycle = Cycle {
            pieces: vec![ramp(20.0, 920.0, 3.0), ramp(920.0, 920.0, 6.0)],
        };
        let cut = until(&cycle, Span::from_h(1.0));
        assert_eq!(cut.pieces.len(), 1);
        // A third of the way up.
        assert!((cut.pieces[0].to.to_c() - 320.0).abs() < 1e-9);
        assert_eq!(until(&cycle, Span::from_h(20.0)), cycle);
    }
}
