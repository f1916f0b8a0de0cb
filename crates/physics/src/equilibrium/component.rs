//! The elements the Gibbs energies know, and the amounts of them in a steel.

use casewright_terms::{Composition, Element, Remark};

/// Substitutional elements besides iron, in the order of the bits of an [`Alloying`].
pub(super) const SUBSTITUTIONAL: [Element; 5] = [
    Element::Mn,
    Element::Si,
    Element::Cr,
    Element::Ni,
    Element::Mo,
];
/// Carbon, iron and the five above.
pub(super) const COMPONENTS: usize = 7;

/// Molar masses in g/mol, IUPAC 2021 abridged values.
const MOLAR_MASS_C: f64 = 12.011;
const MOLAR_MASS_FE: f64 = 55.845;

pub(super) fn molar_mass_g(component: &str) -> f64 {
    match component {
        "C" => MOLAR_MASS_C,
        "Mn" => 54.938,
        "Si" => 28.085,
        "Cr" => 51.996,
        "Ni" => 58.693,
        "Mo" => 95.95,
        _ => MOLAR_MASS_FE,
    }
}

/// Less of an element than this, in wt%, is left out: it would move no boundary by 0.01 K, and a
/// site fraction of zero has no logarithm.
const LEAST_WT_PCT: f64 = 1e-3;
/// Carbon-free iron is computed with this much carbon, in wt%, for the same reason.
const LEAST_CARBON_WT_PCT: f64 = 1e-7;

/// Which of the five alloying elements are present: one bit each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Alloying(pub(super) u8);

impl Alloying {
    /// Names of the components in the order of every vector of components: iron first, carbon
    /// last.
    pub(super) fn components(self) -> impl Iterator<Item = &'static str> {
        std::iter::once("Fe")
            .chain(
                SUBSTITUTIONAL
                    .into_iter()
                    .enumerate()
                    .filter(move |(bit, _)| self.0 >> bit & 1 == 1)
                    .map(|(_, element)| element.symbol()),
            )
            .chain(std::iter::once("C"))
    }

    pub(super) fn count(self) -> usize {
        2 + self.0.count_ones() as usize
    }
}

/// Mole fractions of a steel in the order of [`Alloying::components`].
#[derive(Clone, Copy, Debug)]
pub(super) struct Amounts {
    pub(super) alloying: Alloying,
    pub(super) mole_fraction: [f64; COMPONENTS],
}

impl Amounts {
    pub(super) fn of(composition: &Composition) -> Self {
        let mut alloying = Alloying(0);
        for (bit, element) in SUBSTITUTIONAL.into_iter().enumerate() {
            if composition.wt_pct(element) >= LEAST_WT_PCT {
                alloying.0 |= 1 << bit;
            }
        }
        let mut moles = [0.0; COMPONENTS];
        let mut iron_wt_pct = 100.0;
        for (slot, name) in alloying.components().enumerate().skip(1) {
            let element = Element::from_symbol(name).expect("a component other than iron");
            let mut wt_pct = composition.wt_pct(element);
            if element == Element::C {
                wt_pct = wt_pct.max(LEAST_CARBON_WT_PCT);
            }
            iron_wt_pct -= wt_pct;
            moles[slot] = wt_pct / molar_mass_g(name);
        }
        moles[0] = iron_wt_pct / MOLAR_MASS_FE;
        let sum: f64 = moles.iter().sum();
        Self {
            alloying,
            mole_fraction: moles.map(|n| n / sum),
        }
    }

    /// The same steel with another carbon, as atoms per substitutional atom.
    pub(super) fn with_carbon_u_fraction(mut self, u: f64) -> Self {
        let last = self.alloying.count() - 1;
        let rest: f64 = 1.0 - self.mole_fraction[last];
        for slot in 0..last {
            self.mole_fraction[slot] /= rest * (1.0 + u);
        }
        self.mole_fraction[last] = u / (1.0 + u);
        self
    }

    /// Carbon in wt% of a steel with these substitutional atoms and `u` carbon atoms for each.
    pub(super) fn carbon_wt_pct(&self, u: f64) -> f64 {
        let carbon = u * MOLAR_MASS_C;
        100.0 * carbon / (carbon + self.metal_mass_g())
    }

    /// Carbon atoms per substitutional atom at a carbon in wt%, below 100.
    pub(super) fn u_fraction_of(&self, carbon_wt_pct: f64) -> f64 {
        carbon_wt_pct / MOLAR_MASS_C * self.metal_mass_g() / (100.0 - carbon_wt_pct)
    }

    /// Mass of one mole of the substitutional atoms.
    fn metal_mass_g(&self) -> f64 {
        let last = self.alloying.count() - 1;
        let rest: f64 = 1.0 - self.mole_fraction[last];
        self.alloying
            .components()
            .take(last)
            .zip(&self.mole_fraction)
            .map(|(name, x)| x / rest * molar_mass_g(name))
            .sum()
    }
}

/// The content that is far outside every assessment, where there is one: the models are made for
/// the iron-rich corner and may unmix or run away beyond it. Contents that are none (a carbon put
/// in afterwards may be negative or not a number) are outside too.
pub(super) fn refused(composition: &Composition) -> Option<(Element, f64, f64)> {
    [
        (Element::C, 5.0),
        (Element::Mn, 35.0),
        (Element::Si, 8.0),
        (Element::Cr, 35.0),
        (Element::Ni, 40.0),
        (Element::Mo, 12.0),
    ]
    .into_iter()
    .map(|(element, limit)| (element, composition.wt_pct(element), limit))
    // Written so that NaN is found.
    .find(|(_, content, limit)| !(0.0..=*limit).contains(content))
}

/// Carbon that austenite dissolves at most, in wt%.
pub(super) const MOST_CARBON_WT_PCT: f64 = 2.1;

/// What lies outside the assessments, in words. The limits are those that the open database
/// states, except for carbon, whose limit is the solubility in austenite.
pub(super) fn validity(composition: &Composition) -> Vec<Remark> {
    let mut remarks = Vec::new();
    for (element, limit) in [
        (Element::C, MOST_CARBON_WT_PCT),
        (Element::Mn, 25.0),
        (Element::Si, 3.5),
        (Element::Cr, 25.0),
        (Element::Ni, 26.0),
        (Element::Mo, 5.0),
    ] {
        let content = composition.wt_pct(element);
        if content > limit {
            remarks.push(Remark::new(
                "equilibrium-outside-assessment",
                format!(
                    "{} is {content} %, the Gibbs energies are assessed up to {limit} %: phase \
                     temperatures may be off by tens of degrees.",
                    element.symbol()
                ),
            ));
        }
    }
    // Contents that move Ae3 by more than about 2 K by the coefficients of Andrews 1965.
    let left_out: Vec<String> = [
        (Element::Cu, 0.35),
        (Element::V, 0.03),
        (Element::W, 0.10),
        (Element::Al, 0.06),
        (Element::P, 0.04),
        (Element::N, 0.02),
        (Element::Ti, 0.02),
        (Element::Nb, 0.02),
    ]
    .into_iter()
    .filter(|(element, limit)| composition.wt_pct(*element) > *limit)
    .map(|(element, _)| format!("{} {} %", element.symbol(), composition.wt_pct(element)))
    .collect();
    if !left_out.is_empty() {
        remarks.push(Remark::new(
            "equilibrium-element-left-out",
            format!(
                "The equilibrium knows C, Mn, Si, Cr, Ni and Mo; {} counts as iron.",
                left_out.join(", ")
            ),
        ));
    }
    remarks
}
