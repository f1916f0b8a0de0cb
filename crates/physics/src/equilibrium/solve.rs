//! The stable phases, their amounts and contents at one temperature.
//!
//! Newton's method on the conditions of equilibrium (one potential per element, one energy balance
//! per stable phase, one mass balance per element), with the site fractions of each phase
//! eliminated by its own second derivatives. Phases enter when they would lower the energy and
//! leave when their amount goes below zero. The start is austenite of the overall composition, so
//! nobody has to guess; the end is checked: no phase that is left out may lower the energy.

use super::assessment::{assessment, powers, value};
use super::component::{Amounts, COMPONENTS};
use super::energy::{Filled, Fractions, GAS_CONSTANT, Mobile, Template, VARIABLES};
use super::response::{LEAST_FRACTION, Prepared, add_response, inverse, move_fractions, pull};
use super::{EquilibriumFailure, Phase, PhaseSet};
use crate::numerics::dense::gauss;
use crate::numerics::fun::exp;

/// Elements plus phases: the size of the linear system.
pub(super) const SYSTEM: usize = COMPONENTS + PHASES;
pub(super) const PHASES: usize = Phase::ALL.len();

/// Newton settles in 5 to 15 rounds from any start; this many is a failure.
const ROUNDS: usize = 200;
/// Rounds for a phase that is left out, at fixed potentials.
const INNER_ROUNDS: usize = 40;
/// Relative change of a site fraction (and change of an amount) below which a further round
/// brings nothing: Newton squares it, so what remains is rounding.
const SETTLED: f64 = 1e-7;
/// The same, where looking for further phases becomes worth the effort.
const NEARLY: f64 = 1e-2;
/// A phase enters if it lowers the energy by more than this, in RT per mole of its atoms.
const GAIN_TO_ENTER: f64 = 1e-10;
/// While the potentials are still moving, a phase must be this much better.
const GAIN_TO_ENTER_EARLY: f64 = 3e-3;
/// Step of the way down from the top of the tables, in kelvin: small enough that the last answer is
/// a good start, whatever phase comes.
const STEP_DOWN_K: f64 = 20.0;
/// ln of the factor on the first step after a phase comes back, each time.
const SHORTER_LN: f64 = -2.0;
/// A round may take this share of a phase's amount away at most, while there is much of it.
const LARGEST_LOSS: f64 = 0.8;
/// What counts as little of a phase, in moles of its atoms beside one of all.
const LITTLE: f64 = 1e-3;

/// One phase during the search.
#[derive(Debug)]
struct Candidate {
    /// `None` for graphite, which has no site fractions.
    template: Option<&'static Template>,
    filled: Filled,
    fractions: Fractions,
    /// Formula units.
    amount: f64,
    stable: bool,
    /// Rounds in a row that wanted the amount below zero.
    negative: u8,
    /// How often it has entered.
    entries: i32,
}

/// The search, with its memory of the last answer: neighbouring temperatures start from it.
#[derive(Debug)]
pub(super) struct Search {
    pub(super) amounts: Amounts,
    /// How many components there are, and how much of each; two (metal and carbon) where the
    /// metals do not move.
    count: usize,
    overall: [f64; COMPONENTS],
    allowed: PhaseSet,
    candidates: [Candidate; PHASES],
    graphite: f64,
    /// Potentials of the last round over RT; not yet known at a cold start.
    potential: Option<[f64; COMPONENTS]>,
    /// Longest share of a Newton step the next round may take.
    reach: f64,
    pub(super) t_k: f64,
    warm: bool,
}

/// The answer in the search's own terms.
#[derive(Clone, Debug)]
pub(super) struct Found {
    /// Atoms of each phase (all phases together hold one).
    pub(super) atoms: [f64; PHASES],
    /// Composition of each phase, mole fractions of the components; of phases left out, at their
    /// best.
    pub(super) content: [[f64; COMPONENTS]; PHASES],
    /// For phases left out: energy they would lack to be stable, in RT per mole of atoms.
    pub(super) lack: [f64; PHASES],
    pub(super) rounds: usize,
    /// Activity of carbon against graphite.
    pub(super) carbon_activity: f64,
}

impl Search {
    pub(super) fn new(amounts: Amounts, allowed: PhaseSet, mobile: Mobile) -> Self {
        let candidates = Phase::ALL.map(|phase| Candidate {
            template: super::template(phase, amounts.alloying, mobile),
            filled: Filled::default(),
            fractions: Fractions::default(),
            amount: 0.0,
            stable: false,
            negative: 0,
            entries: 0,
        });
        let mut search = Self {
            amounts,
            count: 0,
            overall: [0.0; COMPONENTS],
            allowed,
            candidates,
            graphite: 0.0,
            potential: None,
            reach: 1.0,
            t_k: 0.0,
            warm: false,
        };
        search.set_amounts(amounts, mobile);
        search
    }

    fn set_amounts(&mut self, amounts: Amounts, mobile: Mobile) {
        self.amounts = amounts;
        let all = amounts.alloying.count();
        match mobile {
            Mobile::All => {
                self.count = all;
                self.overall = amounts.mole_fraction;
            }
            Mobile::Carbon => {
                let carbon = amounts.mole_fraction[all - 1];
                self.count = 2;
                self.overall = [0.0; COMPONENTS];
                self.overall[0] = 1.0 - carbon;
                self.overall[1] = carbon;
            }
        }
    }

    /// Finds the equilibrium at a temperature.
    pub(super) fn at(&mut self, t_k: f64) -> Result<Found, EquilibriumFailure> {
        self.fill(t_k);
        self.search()
    }

    /// Fills in the energies of a temperature.
    pub(super) fn fill(&mut self, t_k: f64) {
        let powers = powers(t_k);
        self.t_k = t_k;
        self.graphite = value(&assessment().graphite, &powers) / (GAS_CONSTANT * t_k);
        for candidate in &mut self.candidates {
            if let Some(template) = candidate.template {
                template.at(&powers, &mut candidate.filled);
            }
        }
    }

    fn search(&mut self) -> Result<Found, EquilibriumFailure> {
        if self.warm
            && let Ok(found) = self.settle()
        {
            return Ok(found);
        }
        if let Ok(found) = self.cold() {
            return Ok(found);
        }
        self.follow_down()
    }

    /// From a single phase, at this temperature.
    fn cold(&mut self) -> Result<Found, EquilibriumFailure> {
        let mut last = None;
        for first in [Phase::Austenite, Phase::Ferrite] {
            if !self.allowed.has(first) {
                continue;
            }
            self.start_from(first);
            match self.settle() {
                Ok(found) => {
                    self.warm = true;
                    return Ok(found);
                }
                Err(failure) => last = Some(failure),
            }
        }
        self.warm = false;
        Err(last.unwrap_or(EquilibriumFailure::NoMatrix))
    }

    /// Down from where everything is dissolved, each temperature from the one before: slower, for
    /// the rare steel whose many phases a cold start does not sort out.
    fn follow_down(&mut self) -> Result<Found, EquilibriumFailure> {
        let wanted_k = self.t_k;
        let mut t_k = assessment().high_k;
        self.fill(t_k);
        let mut found = self.cold();
        while t_k > wanted_k {
            t_k = (t_k - STEP_DOWN_K).max(wanted_k);
            self.fill(t_k);
            found = match found {
                Ok(_) => self.settle(),
                Err(_) => self.cold(),
            };
        }
        self.warm = found.is_ok();
        found
    }

    /// One phase of the overall composition; the others begin with the same metals.
    fn start_from(&mut self, first: Phase) {
        let count = self.amounts.alloying.count();
        let x = &self.amounts.mole_fraction;
        let carbon = x[count - 1];
        let metals = 1.0 - carbon;
        self.potential = None;
        for (phase, candidate) in Phase::ALL.into_iter().zip(&mut self.candidates) {
            let Some(template) = candidate.template else {
                candidate.stable = false;
                candidate.amount = 0.0;
                continue;
            };
            for range in &template.sublattices {
                let mut sum = 0.0;
                for i in range.clone() {
                    let share = match template.component[i] {
                        // A vacancy, beside carbon: one interstitial site per metal in austenite,
                        // three in ferrite, which dissolves little.
                        None if phase == Phase::Austenite => 1.0 - carbon / metals,
                        None if phase == first => 1.0 - carbon / metals / 3.0,
                        None => 0.9998,
                        Some(c) if c + 1 == count && phase == Phase::Austenite => carbon / metals,
                        Some(c) if c + 1 == count && phase == first => carbon / metals / 3.0,
                        Some(c) if c + 1 == count => 0.0002,
                        Some(c) => x[c] / metals,
                    };
                    candidate.fractions[i] = share.max(LEAST_FRACTION);
                    sum += candidate.fractions[i];
                }
                for i in range.clone() {
                    candidate.fractions[i] /= sum;
                }
            }
            candidate.stable = phase == first;
            candidate.amount = if phase == first { metals } else { 0.0 };
            candidate.negative = 0;
        }
    }

    fn settle(&mut self) -> Result<Found, EquilibriumFailure> {
        self.reach = 1.0;
        for candidate in &mut self.candidates {
            candidate.entries = 0;
        }
        let mut change = f64::INFINITY;
        for round in 0..ROUNDS {
            let (potential, now) = self.round()?;
            change = now;
            if change < NEARLY {
                let tight = change < SETTLED;
                let threshold = if tight {
                    GAIN_TO_ENTER
                } else {
                    GAIN_TO_ENTER_EARLY
                };
                let lack = self.lacks(&potential, -threshold);
                let best = (0..PHASES)
                    .filter(|p| !self.candidates[*p].stable)
                    .min_by(|a, b| lack[*a].total_cmp(&lack[*b]));
                match best {
                    Some(p) if lack[p] < -threshold => self.enter(p)?,
                    _ if tight => return Ok(self.found(&potential, lack, round + 1)),
                    _ => {}
                }
            }
        }
        Err(self.not_settled(change))
    }

    fn not_settled(&self, change: f64) -> EquilibriumFailure {
        EquilibriumFailure::NotSettled {
            temperature_k: self.t_k,
            rounds: ROUNDS,
            change,
        }
    }

    /// One round of Newton over all stable phases: new potentials, and the largest change.
    fn round(&mut self) -> Result<([f64; COMPONENTS], f64), EquilibriumFailure> {
        let count = self.count;
        let stable: Vec<usize> = (0..PHASES).filter(|p| self.candidates[*p].stable).collect();
        let size = count + stable.len();
        let mut matrix = [[0.0; SYSTEM]; SYSTEM];
        let mut right = [0.0; SYSTEM];
        right[..count].copy_from_slice(&self.overall[..count]);
        let mut prepared = Vec::with_capacity(stable.len());
        for (column, &p) in stable.iter().enumerate() {
            let phase = self.prepare(p);
            let amount = self.candidates[p].amount;
            for a in 0..count {
                right[a] -= amount * phase.content[a];
                matrix[a][count + column] = phase.content[a];
                matrix[count + column][a] = phase.content[a];
            }
            right[count + column] = phase.value;
            if let Some(template) = self.candidates[p].template {
                add_response(template, &phase, amount, count, &mut matrix, &mut right);
            }
            prepared.push(phase);
        }
        gauss(&mut matrix, size, &mut right).map_err(|_| EquilibriumFailure::Degenerate {
            temperature_k: self.t_k,
            phases: stable.len(),
        })?;
        let length = self.step_length(&stable, &prepared, &right[count..]);
        self.reach = (2.0 * self.reach).min(1.0);
        let mut potential = [0.0; COMPONENTS];
        potential[..count].copy_from_slice(&right[..count]);
        if let Some(old) = self.potential.filter(|_| length < 1.0) {
            for (new, old) in potential.iter_mut().zip(old) {
                *new = old + length * (*new - old);
            }
        }
        self.potential = Some(potential);
        let mut change = 1.0 - length;
        for (column, (&p, phase)) in stable.iter().zip(&prepared).enumerate() {
            let step = self.step(p, phase, &potential);
            let amount = self.change_amount(p, length * right[count + column]);
            change = change.max(step).max(amount);
        }
        if !change.is_finite() {
            return Err(self.not_settled(change));
        }
        Ok((potential, change))
    }

    /// How far a round may go: not so far that a phase of which there is much is used up, or that
    /// one grows beyond all there is. A newcomer with much to gain would otherwise overshoot.
    fn step_length(&self, stable: &[usize], prepared: &[Prepared], moves: &[f64]) -> f64 {
        let mut length = self.reach;
        for ((&p, phase), &by) in stable.iter().zip(prepared).zip(moves) {
            let amount = self.candidates[p].amount;
            let atoms: f64 = phase.content.iter().sum();
            if by < 0.0 && amount * atoms > LITTLE {
                length = length.min(LARGEST_LOSS * amount / -by);
            } else if by > 0.0 {
                length = length.min(1.0 / (by * atoms));
            }
        }
        length
    }

    /// Expansion, content and inverse second derivatives of a phase at its present fractions.
    fn prepare(&self, p: usize) -> Prepared {
        let candidate = &self.candidates[p];
        let Some(template) = candidate.template else {
            let mut content = [0.0; COMPONENTS];
            content[self.count - 1] = 1.0;
            return Prepared {
                value: self.graphite,
                content,
                gradient: [0.0; VARIABLES],
                inverse: [[0.0; VARIABLES]; VARIABLES],
            };
        };
        let expansion = template.expand(&candidate.filled, &candidate.fractions);
        Prepared {
            value: expansion.value,
            content: template.content(&candidate.fractions),
            gradient: expansion.gradient,
            inverse: inverse(template, &expansion, &candidate.fractions),
        }
    }

    /// Moves the fractions of a phase towards given potentials; the largest relative change.
    fn step(&mut self, p: usize, phase: &Prepared, potential: &[f64; COMPONENTS]) -> f64 {
        let candidate = &mut self.candidates[p];
        let Some(template) = candidate.template else {
            return 0.0;
        };
        let pull = pull(template, phase, potential);
        let mut moves = Fractions::default();
        for (k, &(i, dependent)) in template.variables.iter().enumerate() {
            let n = template.variables.len();
            let by: f64 = (0..n).map(|l| phase.inverse[k][l] * pull[l]).sum();
            moves[i] += by;
            moves[dependent] -= by;
        }
        move_fractions(template, &mut candidate.fractions, &moves)
    }

    /// Changes an amount, and lets the phase leave when it keeps going below zero.
    fn change_amount(&mut self, p: usize, by: f64) -> f64 {
        let others_matrix = [Phase::Austenite, Phase::Ferrite]
            .into_iter()
            .any(|phase| phase as usize != p && self.candidates[phase as usize].stable);
        let matrix = p <= Phase::Ferrite as usize;
        let candidate = &mut self.candidates[p];
        let wanted = candidate.amount + by;
        if wanted >= 0.0 {
            candidate.negative = 0;
            candidate.amount = wanted;
            return by.abs();
        }
        candidate.negative += 1;
        // The last of austenite and ferrite stays: carbides alone cannot hold the steel's iron.
        let may_leave = others_matrix || !matrix;
        if may_leave && (candidate.negative >= 2 || candidate.amount < 1e-9) {
            candidate.stable = false;
            candidate.amount = 0.0;
            candidate.negative = 0;
        } else {
            candidate.amount *= 0.25;
        }
        1.0
    }

    /// How much energy each phase that is left out lacks (negative: it should enter), in RT per
    /// mole of its atoms. Phases that are plainly worse than `good_enough` are not refined.
    fn lacks(&mut self, potential: &[f64; COMPONENTS], good_enough: f64) -> [f64; PHASES] {
        let mut lack = [f64::INFINITY; PHASES];
        for (p, lack) in lack.iter_mut().enumerate() {
            if self.candidates[p].stable || !self.allowed.has(Phase::ALL[p]) {
                continue;
            }
            for _ in 0..INNER_ROUNDS {
                let phase = self.prepare(p);
                let atoms: f64 = phase.content.iter().sum();
                let bound: f64 = phase
                    .content
                    .iter()
                    .zip(potential)
                    .map(|(c, m)| c * m)
                    .sum();
                *lack = (phase.value - bound) / atoms;
                let Some(template) = self.candidates[p].template else {
                    break;
                };
                let pull = pull(template, &phase, potential);
                let n = template.variables.len();
                // Twice the energy that a full Newton step would gain.
                let decrement: f64 = (0..n)
                    .flat_map(|k| (0..n).map(move |l| (k, l)))
                    .map(|(k, l)| pull[k] * phase.inverse[k][l] * pull[l])
                    .sum::<f64>()
                    / atoms;
                if decrement < 1e-15 {
                    break;
                }
                let change = self.step(p, &phase, potential);
                // Only near its best can a phase be called plainly worse: far from it, Newton's
                // estimate of the gain is too small for site fractions that must grow.
                if change < 0.3 && *lack - 4.0 * decrement > good_enough + 0.01 {
                    break;
                }
            }
        }
        lack
    }

    /// How much energy the best carbide lacks beside austenite of the overall metals with `u`
    /// carbon atoms for each; at the temperature of the last call of `fill`. `again` goes on from
    /// the carbides of the last call, which is faster where little has changed.
    pub(super) fn carbide_lack(
        &mut self,
        u: f64,
        again: bool,
    ) -> Result<(f64, Phase), EquilibriumFailure> {
        const CARBIDES: [Phase; 3] = [Phase::Cementite, Phase::M7c3, Phase::M23c6];
        let kept = again.then(|| CARBIDES.map(|p| self.candidates[p as usize].fractions));
        self.set_amounts(self.amounts.with_carbon_u_fraction(u), Mobile::All);
        self.start_from(Phase::Austenite);
        if let Some(kept) = kept {
            for (phase, fractions) in CARBIDES.into_iter().zip(kept) {
                self.candidates[phase as usize].fractions = fractions;
            }
        }
        let (potential, _) = self.round()?;
        let lack = self.lacks(&potential, 0.0);
        let best = CARBIDES
            .into_iter()
            .min_by(|a, b| lack[*a as usize].total_cmp(&lack[*b as usize]))
            .unwrap_or(Phase::Cementite);
        Ok((lack[best as usize], best))
    }

    /// Takes a phase in; where the number of phases is at its limit, the one leaves that the
    /// newcomer would use up first.
    fn enter(&mut self, p: usize) -> Result<(), EquilibriumFailure> {
        let count = self.count;
        let stable: Vec<usize> = (0..PHASES).filter(|q| self.candidates[*q].stable).collect();
        if stable.len() == count {
            let mut matrix = [[0.0; SYSTEM]; SYSTEM];
            let mut right = [0.0; SYSTEM];
            for a in 0..count {
                for (column, &q) in stable.iter().enumerate() {
                    matrix[a][column] = self.content(q)[a];
                }
                right[a] = self.content(p)[a];
            }
            gauss(&mut matrix, count, &mut right).map_err(|_| EquilibriumFailure::Degenerate {
                temperature_k: self.t_k,
                phases: count + 1,
            })?;
            let leaving = stable
                .iter()
                .enumerate()
                .filter(|(column, _)| right[*column] > 0.0)
                .min_by(|(a, q), (b, r)| {
                    let ratio = |column: usize, q: usize| self.candidates[q].amount / right[column];
                    ratio(*a, **q).total_cmp(&ratio(*b, **r))
                });
            if let Some((_, &q)) = leaving {
                self.candidates[q].stable = false;
                self.candidates[q].amount = 0.0;
            }
        }
        let candidate = &mut self.candidates[p];
        candidate.stable = true;
        candidate.amount = 0.0;
        candidate.negative = 0;
        // A phase that comes back was thrown out by too long a step: each time shorter.
        self.reach = exp(SHORTER_LN * f64::from(candidate.entries));
        candidate.entries += 1;
        Ok(())
    }

    fn content(&self, p: usize) -> [f64; COMPONENTS] {
        match self.candidates[p].template {
            Some(template) => template.content(&self.candidates[p].fractions),
            None => self.prepare(p).content,
        }
    }

    fn found(&self, potential: &[f64; COMPONENTS], lack: [f64; PHASES], rounds: usize) -> Found {
        let mut found = Found {
            atoms: [0.0; PHASES],
            content: [[0.0; COMPONENTS]; PHASES],
            lack,
            rounds,
            carbon_activity: exp(potential[self.count - 1] - self.graphite),
        };
        for p in 0..PHASES {
            let content = self.content(p);
            let atoms: f64 = content.iter().sum();
            found.atoms[p] = self.candidates[p].amount * atoms;
            found.content[p] = content.map(|c| c / atoms);
        }
        found
    }
}
