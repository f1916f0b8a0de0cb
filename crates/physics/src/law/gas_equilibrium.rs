//! Gas equilibria of carburizing.
