//! The transforming steel as the quench sees it: conductivity, enthalpy and heat given back.

use crate::law::steel_thermal::{self, Product};
use crate::model::quench::Material;

use super::{Austenite, Kinetics, State};

/// One node of the quench.
pub(crate) struct Node<'a> {
    pub(crate) austenite: Austenite,
    pub(crate) kinetics: Kinetics<'a>,
    pub(crate) state: State,
}

impl<'a> Node<'a> {
    pub(crate) fn new(austenite: Austenite, kinetics: Kinetics<'a>) -> Self {
        let state = State::new(&kinetics);
        Self {
            austenite,
            kinetics,
            state,
        }
    }

    fn share(&self) -> f64 {
        self.austenite.austenite * self.state.austenite()
    }
}

/// All nodes of a section.
pub(crate) struct Transforming<'a> {
    pub(crate) nodes: Vec<Node<'a>>,
}

impl Material for Transforming<'_> {
    fn conductivity_w_m_k(&self, node: usize, t_k: f64) -> f64 {
        steel_thermal::conductivity_w_m_k(self.nodes[node].share(), t_k)
    }

    fn slope_j_m3_k(&self, node: usize, t_k: f64) -> f64 {
        let node = &self.nodes[node];
        steel_thermal::heat_capacity_j_m3_k(node.share(), t_k)
            + steel_thermal::latent_j_m3(Product::Martensite, t_k)
                * node.austenite.austenite
                * node.state.martensite_slope_per_k(t_k)
    }

    fn enthalpy_j_m3(&self, node: usize, t_k: f64) -> f64 {
        let node = &self.nodes[node];
        let formed =
            node.austenite.austenite * (node.state.austenite() - node.state.austenite_at(t_k));
        steel_thermal::sensible_j_m3(node.share(), t_k)
            - steel_thermal::latent_j_m3(Product::Martensite, t_k) * formed
    }

    fn advance(&mut self, node: usize, from_k: f64, to_k: f64, step_s: f64) -> f64 {
        let node = &mut self.nodes[node];
        let share = node.austenite.austenite;
        if share <= 0.0 {
            return 0.0;
        }
        let formed = node.state.advance(&node.kinetics, from_k, to_k, step_s);
        let products = [Product::Ferrite, Product::Pearlite, Product::Bainite];
        formed
            .iter()
            .zip(products)
            .map(|(x, p)| share * x * steel_thermal::latent_j_m3(p, to_k))
            .sum()
    }
}
