//! What the hardening kinetics are judged by: end-quench bands, calculated hardenability of plain
//! steels, noses and critical rates.

mod evidence;
#[cfg(test)]
mod fit;
