//! Gibbs energy of a solution phase with its first and second derivatives.
//!
//! Compound energy formalism: every interaction is written out as monomials in the site fractions
//! once per set of elements; a temperature then only fills in coefficients. On top come the ideal
//! mixing of each sublattice and the Hillert-Jarl magnetic term. The independent variables are the
//! site fractions without the first of each sublattice (iron, vacancy).

use std::collections::BTreeMap;
use std::ops::Range;

use super::assessment::{Coefficients, Kind, Magnetism, Parameter, PhaseData, value};
use super::component::{Alloying, COMPONENTS};
use crate::numerics::fun::ln;

/// Room for the site fractions of a phase. M23C6 with all elements has most, 4 + 5; a power of two
/// lets the compiler see that a masked index is inside.
pub(super) const FRACTIONS: usize = 16;
const MASK: u8 = FRACTIONS as u8 - 1;
/// Most independent ones.
pub(super) const VARIABLES: usize = 7;
/// Longest monomial: two metals and a vacancy, times a difference to the third power.
const DEGREE: usize = 6;

/// Molar gas constant in J/(mol·K), exact by definition.
pub(super) const GAS_CONSTANT: f64 = 8.314_462_618_153_24;

/// Site fractions, in the order of the template's species.
pub(super) type Fractions = [f64; FRACTIONS];

#[derive(Clone, Copy, Debug)]
struct Monomial {
    degree: u8,
    index: [u8; DEGREE],
}

impl Monomial {
    fn at(&self, place: usize) -> usize {
        usize::from(self.index[place] & MASK)
    }

    fn factors(&self) -> impl DoubleEndedIterator<Item = usize> + '_ {
        self.index[..usize::from(self.degree)]
            .iter()
            .map(|i| usize::from(i & MASK))
    }
}

/// A sum of monomials, each a weighted sum of parameters.
#[derive(Debug, Default)]
struct Polynomial {
    monomials: Vec<Monomial>,
    /// Parameter, monomial, weight.
    terms: Vec<(usize, usize, f64)>,
}

/// What a phase looks like for one set of elements.
#[derive(Debug)]
pub(super) struct Template {
    data: &'static PhaseData,
    /// Site fractions of each sublattice; the first of each follows from the others.
    pub(super) sublattices: Vec<Range<usize>>,
    /// For each independent variable: its site fraction and the one that follows.
    pub(super) variables: Vec<(usize, usize)>,
    energy: Polynomial,
    curie: Polynomial,
    moment: Polynomial,
    /// Component of each site fraction; `None` for vacancies.
    pub(super) component: Vec<Option<usize>>,
    /// Atoms of each component per formula unit where all variables are zero.
    content_base: [f64; COMPONENTS],
    /// Change of the content with each variable.
    pub(super) content_slope: [[f64; COMPONENTS]; VARIABLES],
}

/// What may move between phases.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Mobile {
    /// Everything: full equilibrium.
    All,
    /// Carbon alone; the metals keep their ratios (para-equilibrium). All metals together are
    /// then one component.
    Carbon,
}

impl Template {
    pub(super) fn new(data: &'static PhaseData, alloying: Alloying, mobile: Mobile) -> Self {
        let mut names: Vec<&str> = Vec::new();
        let mut sublattices = Vec::new();
        for sublattice in 0..data.sites.len() {
            let start = names.len();
            let allowed = |name: &str| {
                data.parameters.iter().any(|p| {
                    p.kind == Kind::Energy
                        && p.constituents.iter().all(|c| c.len() == 1)
                        && p.constituents[sublattice][0] == name
                })
            };
            let metals = alloying.components().filter(|c| *c != "C");
            names.extend(
                ["Va"]
                    .into_iter()
                    .chain(metals)
                    .chain(["C"])
                    .filter(|n| allowed(n)),
            );
            sublattices.push(start..names.len());
        }
        let variables = sublattices
            .iter()
            .flat_map(|s| (s.start + 1..s.end).map(move |i| (i, s.start)))
            .collect();
        let components: Vec<&str> = alloying.components().collect();
        let component = names
            .iter()
            .map(|name| components.iter().position(|c| c == name))
            .collect();
        let index = |sublattice: usize, name: &str| {
            let range = &sublattices[sublattice];
            range.clone().find(|i| names[*i] == name)
        };
        let mut template = Self {
            energy: polynomial(data, Kind::Energy, index),
            curie: polynomial(data, Kind::Curie, index),
            moment: polynomial(data, Kind::Moment, index),
            data,
            sublattices,
            variables,
            component,
            content_base: [0.0; COMPONENTS],
            content_slope: [[0.0; COMPONENTS]; VARIABLES],
        };
        template.set_content(mobile, components.len());
        template
    }

    /// Atoms of each component as a linear function of the variables.
    fn set_content(&mut self, mobile: Mobile, count: usize) {
        let slot = |component: usize| match mobile {
            Mobile::All => component,
            Mobile::Carbon => usize::from(component + 1 == count),
        };
        if mobile == Mobile::Carbon {
            let component = &self.component;
            self.variables
                .retain(|(i, _)| component[*i].is_some_and(|c| c + 1 == count));
        }
        self.content_base[slot(count - 1)] = self.data.carbon;
        for (range, sites) in self.sublattices.iter().zip(&self.data.sites) {
            if let Some(c) = self.component[range.start] {
                self.content_base[slot(c)] += sites;
            }
        }
        for (k, &(i, dependent)) in self.variables.iter().enumerate() {
            let sites = self.sites_of(i);
            if let Some(c) = self.component[i] {
                self.content_slope[k][slot(c)] += sites;
            }
            if let Some(c) = self.component[dependent] {
                self.content_slope[k][slot(c)] -= sites;
            }
        }
    }

    fn sites_of(&self, fraction: usize) -> f64 {
        let sublattice = self.sublattices.iter().position(|s| s.contains(&fraction));
        self.data.sites[sublattice.expect("a site fraction of this phase")]
    }

    /// Atoms of each component per formula unit.
    pub(super) fn content(&self, y: &Fractions) -> [f64; COMPONENTS] {
        let mut content = self.content_base;
        for (k, &(i, _)) in self.variables.iter().enumerate() {
            for (c, slope) in content.iter_mut().zip(&self.content_slope[k]) {
                *c += slope * y[i];
            }
        }
        content
    }

    /// Fills in the coefficients of a temperature.
    pub(super) fn at(&self, powers: &Coefficients, into: &mut Filled) {
        let values = self
            .data
            .parameters
            .iter()
            .map(|p| value(&p.coefficients, powers));
        into.values.clear();
        into.values.extend(values);
        let rt = GAS_CONSTANT * powers[1];
        self.energy.fill(&into.values, 1.0 / rt, &mut into.energy);
        self.curie.fill(&into.values, 1.0, &mut into.curie);
        self.moment.fill(&into.values, 1.0, &mut into.moment);
        into.t_k = powers[1];
    }

    /// Energy per formula unit over RT with its derivatives by the independent variables.
    pub(super) fn expand(&self, filled: &Filled, y: &Fractions) -> Expansion {
        let mut full = Full::default();
        self.energy.add(&filled.energy, y, &mut full);
        for (range, &sites) in self.sublattices.iter().zip(&self.data.sites) {
            for i in range.clone() {
                let log = ln(y[i]);
                full.value += sites * y[i] * log;
                full.gradient[i] += sites * (log + 1.0);
                full.hessian[i][i] += sites / y[i];
            }
        }
        if let Some(magnetism) = self.data.magnetism {
            self.add_magnetism(magnetism, filled, y, &mut full);
        }
        self.reduce(&full)
    }

    fn add_magnetism(&self, magnetism: Magnetism, filled: &Filled, y: &Fractions, full: &mut Full) {
        let curie_value = self.curie.value(&filled.curie, y);
        let anti = |v: f64| if v < 0.0 { 1.0 / magnetism.anti } else { 1.0 };
        let ordering = curie_value * anti(curie_value);
        // Eight times above the transition the term is below 1e-5 of RT.
        if ordering * 8.0 < filled.t_k {
            return;
        }
        let (mut curie, mut moment) = (Full::default(), Full::default());
        self.curie.add(&filled.curie, y, &mut curie);
        self.moment.add(&filled.moment, y, &mut moment);
        curie.scale(anti(curie.value));
        moment.scale(anti(moment.value));
        // A moment of zero or below carries no entropy.
        if moment.value <= 0.0 {
            return;
        }
        let tau = filled.t_k / curie.value;
        let (g, g1, g2) = magnetic_function(magnetism.share, tau);
        // By the ordering temperature instead of tau: dtau/dTc = -tau/Tc.
        let by_curie = -g1 * tau / curie.value;
        let by_curie_2 = (g2 * tau * tau + 2.0 * g1 * tau) / (curie.value * curie.value);
        let log = ln(1.0 + moment.value);
        let by_moment = 1.0 / (1.0 + moment.value);
        full.value += log * g;
        let n = self.component.len();
        for i in 0..n {
            full.gradient[i] +=
                by_moment * g * moment.gradient[i] + log * by_curie * curie.gradient[i];
            for j in 0..=i {
                full.hessian[i][j] += by_moment * g * moment.hessian[i][j]
                    - by_moment * by_moment * g * moment.gradient[i] * moment.gradient[j]
                    + by_moment
                        * by_curie
                        * (moment.gradient[i] * curie.gradient[j]
                            + moment.gradient[j] * curie.gradient[i])
                    + log * by_curie * curie.hessian[i][j]
                    + log * by_curie_2 * curie.gradient[i] * curie.gradient[j];
            }
        }
    }

    fn reduce(&self, full: &Full) -> Expansion {
        let mut out = Expansion {
            value: full.value,
            gradient: [0.0; VARIABLES],
            hessian: [[0.0; VARIABLES]; VARIABLES],
        };
        let h = |i: usize, j: usize| full.hessian[i.max(j)][i.min(j)];
        for (k, &(i, di)) in self.variables.iter().enumerate() {
            out.gradient[k] = full.gradient[i] - full.gradient[di];
            for (l, &(j, dj)) in self.variables.iter().enumerate().take(k + 1) {
                let second = h(i, j) - h(i, dj) - h(di, j) + h(di, dj);
                out.hessian[k][l] = second;
                out.hessian[l][k] = second;
            }
        }
        out
    }

    /// Second derivatives of the ideal mixing alone; always positive definite.
    pub(super) fn ideal_hessian(&self, y: &Fractions) -> [[f64; VARIABLES]; VARIABLES] {
        let mut full = Full::default();
        for (range, &sites) in self.sublattices.iter().zip(&self.data.sites) {
            for i in range.clone() {
                full.hessian[i][i] = sites / y[i];
            }
        }
        self.reduce(&full).hessian
    }
}

/// Coefficients of a template at one temperature.
#[derive(Clone, Debug, Default)]
pub(super) struct Filled {
    t_k: f64,
    values: Vec<f64>,
    energy: Vec<f64>,
    curie: Vec<f64>,
    moment: Vec<f64>,
}

/// Energy over RT and its derivatives by the independent variables.
#[derive(Clone, Copy, Debug)]
pub(super) struct Expansion {
    pub(super) value: f64,
    pub(super) gradient: [f64; VARIABLES],
    pub(super) hessian: [[f64; VARIABLES]; VARIABLES],
}

/// The same by all site fractions; only the lower triangle of the second derivatives is kept.
#[derive(Default)]
struct Full {
    value: f64,
    gradient: Fractions,
    hessian: [Fractions; FRACTIONS],
}

impl Full {
    fn scale(&mut self, factor: f64) {
        self.value *= factor;
        if factor == 1.0 {
            return;
        }
        for i in 0..FRACTIONS {
            self.gradient[i] *= factor;
            for j in 0..=i {
                self.hessian[i][j] *= factor;
            }
        }
    }

    /// Adds to the second derivative by `i` and `j`, which are in rising order.
    fn add_second(&mut self, i: usize, j: usize, amount: f64) {
        self.hessian[j][i] += if i == j { 2.0 * amount } else { amount };
    }
}

impl Polynomial {
    fn fill(&self, values: &[f64], factor: f64, into: &mut Vec<f64>) {
        into.clear();
        into.resize(self.monomials.len(), 0.0);
        for &(parameter, monomial, weight) in &self.terms {
            into[monomial] += weight * values[parameter] * factor;
        }
    }

    fn value(&self, coefficients: &[f64], y: &Fractions) -> f64 {
        self.monomials
            .iter()
            .zip(coefficients)
            .map(|(m, c)| m.factors().fold(*c, |p, i| p * y[i]))
            .sum()
    }

    fn add(&self, coefficients: &[f64], y: &Fractions, out: &mut Full) {
        for (monomial, &c) in self.monomials.iter().zip(coefficients) {
            match monomial.degree {
                1 => {
                    let i = monomial.at(0);
                    out.value += c * y[i];
                    out.gradient[i] += c;
                }
                2 => {
                    let (i, j) = (monomial.at(0), monomial.at(1));
                    out.value += c * y[i] * y[j];
                    out.gradient[i] += c * y[j];
                    out.gradient[j] += c * y[i];
                    out.add_second(i, j, c);
                }
                3 => {
                    let (i, j, k) = (monomial.at(0), monomial.at(1), monomial.at(2));
                    let (ci, cj, ck) = (c * y[i], c * y[j], c * y[k]);
                    out.value += ci * y[j] * y[k];
                    out.gradient[i] += cj * y[k];
                    out.gradient[j] += ck * y[i];
                    out.gradient[k] += ci * y[j];
                    out.add_second(i, j, ck);
                    out.add_second(i, k, cj);
                    out.add_second(j, k, ci);
                }
                _ => add_long(monomial, c, y, out),
            }
        }
    }
}

/// A monomial of four factors or more.
fn add_long(monomial: &Monomial, c: f64, y: &Fractions, out: &mut Full) {
    let mut after = [1.0; DEGREE + 1];
    let degree = usize::from(monomial.degree).min(DEGREE);
    for p in (0..degree).rev() {
        after[p] = after[p + 1] * y[monomial.at(p)];
    }
    out.value += c * after[0];
    let mut before = c;
    for p in 0..degree {
        let i = monomial.at(p);
        out.gradient[i] += before * after[p + 1];
        let mut between = before;
        for q in p + 1..degree {
            let j = monomial.at(q);
            out.add_second(i, j, between * after[q + 1]);
            between *= y[j];
        }
        before *= y[i];
    }
}

/// Writes out all parameters of a kind whose constituents are present.
fn polynomial(
    data: &PhaseData,
    kind: Kind,
    index: impl Fn(usize, &str) -> Option<usize>,
) -> Polynomial {
    let mut slots: BTreeMap<Vec<usize>, usize> = BTreeMap::new();
    let mut polynomial = Polynomial::default();
    for (number, parameter) in data.parameters.iter().enumerate() {
        if parameter.kind != kind {
            continue;
        }
        let sublattices: Option<Vec<Vec<usize>>> = parameter
            .constituents
            .iter()
            .enumerate()
            .map(|(s, names)| names.iter().map(|name| index(s, name)).collect())
            .collect();
        let Some(sublattices) = sublattices else {
            continue;
        };
        for (mut factors, weight) in written_out(parameter, &sublattices, data) {
            factors.sort_unstable();
            let next = polynomial.monomials.len();
            let slot = *slots.entry(factors.clone()).or_insert(next);
            if slot == next {
                let mut index = [0; DEGREE];
                for (place, factor) in index.iter_mut().zip(&factors) {
                    *place = *factor as u8;
                }
                let degree = factors.len() as u8;
                polynomial.monomials.push(Monomial { degree, index });
            }
            polynomial.terms.push((number, slot, weight));
        }
    }
    polynomial
}

/// One parameter as monomials with weights.
fn written_out(
    parameter: &Parameter,
    sublattices: &[Vec<usize>],
    data: &PhaseData,
) -> Vec<(Vec<usize>, f64)> {
    let product: Vec<usize> = sublattices.iter().flatten().copied().collect();
    let mixing: Vec<&Vec<usize>> = sublattices.iter().filter(|s| s.len() > 1).collect();
    match mixing.as_slice() {
        // Redlich-Kister: times (y_a − y_b)^order.
        [pair] if pair.len() == 2 => {
            let order = parameter.order;
            (0..=order)
                .map(|j| {
                    let mut factors = product.clone();
                    factors.extend(std::iter::repeat_n(pair[0], order - j));
                    factors.extend(std::iter::repeat_n(pair[1], j));
                    let sign = if j % 2 == 0 { 1.0 } else { -1.0 };
                    (factors, sign * binomial(order, j))
                })
                .collect()
        }
        // [muggianu-1975] Ternary by composition: times y_a + (1 − y_a − y_b − y_c)/3, a being the order'th.
        [triple] if triple.len() == 3 && has_orders(parameter, data) => {
            let mut parts = vec![(product.clone(), 1.0 / 3.0)];
            for (place, &element) in triple.iter().enumerate() {
                let mut factors = product.clone();
                factors.push(element);
                let share = if place == parameter.order { 2.0 } else { -1.0 };
                parts.push((factors, share / 3.0));
            }
            parts
        }
        _ => vec![(product, 1.0)],
    }
}

/// Whether the interaction of a ternary depends on composition.
fn has_orders(parameter: &Parameter, data: &PhaseData) -> bool {
    data.parameters.iter().any(|other| {
        other.kind == parameter.kind
            && other.order > 0
            && other.constituents == parameter.constituents
    })
}

fn binomial(n: usize, k: usize) -> f64 {
    (0..k).fold(1.0, |b, i| b * (n - i) as f64 / (i + 1) as f64)
}

/// The function of Hillert and Jarl of T/Tc with its first and second derivatives.
/// [hillert-jarl-1978], [sgte-unary-1991] eq. for the magnetic contribution.
fn magnetic_function(share: f64, tau: f64) -> (f64, f64, f64) {
    let rest = 1.0 / share - 1.0;
    let a = 518.0 / 1125.0 + 11692.0 / 15975.0 * rest;
    if tau < 1.0 {
        let t2 = tau * tau;
        let t3 = t2 * tau;
        let t9 = t3 * t3 * t3;
        let t15 = t9 * t3 * t3;
        let head = 79.0 / (140.0 * share);
        let tail = 474.0 / 497.0 * rest;
        (
            1.0 - (head / tau + tail * (t3 / 6.0 + t9 / 135.0 + t15 / 600.0)) / a,
            -(-head / t2 + tail * (t3 / 2.0 + t9 / 15.0 + t15 / 40.0) / tau) / a,
            -(2.0 * head / t3 + tail * (t3 + t9 * 8.0 / 15.0 + t15 * 14.0 / 40.0) / t2) / a,
        )
    } else {
        let i5 = 1.0 / (tau * tau * tau * tau * tau);
        let i15 = i5 * i5 * i5;
        let i25 = i15 * i5 * i5;
        (
            -(i5 / 10.0 + i15 / 315.0 + i25 / 1500.0) / a,
            (i5 / 2.0 + i15 / 21.0 + i25 / 60.0) / (a * tau),
            -(i5 * 3.0 + i15 * 16.0 / 21.0 + i25 * 26.0 / 60.0) / (a * tau * tau),
        )
    }
}

#[cfg(test)]
#[path = "energy_tests.rs"]
mod tests;
