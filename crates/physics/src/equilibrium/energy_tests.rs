//! Tests of the energies: derivatives against differences, the magnetic function at its joints.

use super::super::assessment::{assessment, powers};
use super::*;

#[test]
fn derivatives_agree_with_differences() {
    let all = Alloying(0b11111);
    let built = assessment();
    for (name, data) in [
        ("austenite", &built.austenite),
        ("ferrite", &built.ferrite),
        ("cementite", &built.cementite),
        ("m7c3", &built.m7c3),
        ("m23c6", &built.m23c6),
    ] {
        let template = Template::new(data, all, Mobile::All);
        // 900 K is below, 1100 K above the Curie temperature of ferrite.
        for t_k in [900.0, 1100.0] {
            let mut filled = Filled::default();
            template.at(&powers(t_k), &mut filled);
            let mut y = [0.0; FRACTIONS];
            for range in &template.sublattices {
                let n = range.len();
                for (place, i) in range.clone().enumerate() {
                    y[i] = if place == 0 {
                        1.0
                    } else {
                        0.04 + 0.01 * place as f64
                    };
                }
                let rest: f64 = range.clone().skip(1).map(|i| y[i]).sum();
                y[range.start] = 1.0 - rest;
                assert!(n > 1);
            }
            let shifted = |k: usize, by: f64| {
                let mut moved = y;
                let (i, d) = template.variables[k];
                moved[i] += by;
                moved[d] -= by;
                template.expand(&filled, &moved)
            };
            let here = template.expand(&filled, &y);
            let step = 1e-6;
            for k in 0..template.variables.len() {
                let (up, down) = (shifted(k, step), shifted(k, -step));
                let slope = (up.value - down.value) / (2.0 * step);
                // Rounding of the value (about 1e2 × 1e-16) over the step leaves 1e-8; the
                // truncation with third derivatives of order 1e3 stays below 1e-9.
                assert!((slope - here.gradient[k]).abs() < 1e-6, "{name} {t_k} {k}");
                for l in 0..template.variables.len() {
                    let second = (up.gradient[l] - down.gradient[l]) / (2.0 * step);
                    let size = here.hessian[k][k].abs().max(1.0);
                    assert!(
                        (second - here.hessian[k][l]).abs() < 1e-6 * size,
                        "{name} {t_k} {k} {l}: {second} {}",
                        here.hessian[k][l]
                    );
                }
            }
        }
    }
}

#[test]
fn magnetic_function_is_smooth_at_the_transition() {
    for share in [0.28, 0.40] {
        let below = magnetic_function(share, 1.0 - 1e-9);
        let above = magnetic_function(share, 1.0);
        // The published series are cut after three terms: their values and slopes join at τ = 1
        // exactly, their curvature need not.
        assert!(
            (below.0 - above.0).abs() < 1e-7,
            "{share} {below:?} {above:?}"
        );
        assert!(
            (below.1 - above.1).abs() < 1e-2,
            "{share} {below:?} {above:?}"
        );
    }
}

#[test]
fn ternary_with_equal_orders_is_symmetric() {
    // Three equal composition-dependent interactions add up to one constant interaction.
    let built = assessment();
    let template = Template::new(&built.austenite, Alloying(0b10001), Mobile::All);
    let number = |order: usize| {
        built
            .austenite
            .parameters
            .iter()
            .position(|p| p.constituents[0] == ["Fe", "Mn", "Mo"] && p.order == order)
            .unwrap()
    };
    let mut y = [0.0; FRACTIONS];
    y[..5].copy_from_slice(&[0.8, 0.15, 0.05, 0.9, 0.1]);
    let sum: f64 = (0..3)
        .map(|order| {
            template
                .energy
                .terms
                .iter()
                .filter(|(p, _, _)| *p == number(order))
                .map(|&(_, m, weight)| {
                    let monomial = template.energy.monomials[m];
                    weight * monomial.factors().map(|i| y[i]).product::<f64>()
                })
                .sum::<f64>()
        })
        .sum();
    let vacancy = template.sublattices[1].start;
    let metals: f64 = (0..3).map(|i| y[i]).product();
    assert!((sum - metals * y[vacancy]).abs() < 1e-15);
}
