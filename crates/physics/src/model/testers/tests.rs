//! What a tester reads, tried on made-up layers.

use super::*;

fn layers(steps: &[(f64, f64)]) -> Layers {
    let n = steps.len();
    let zeros = vec![0.0; n];
    Layers {
        depth_m: steps.iter().map(|s| s.0 * 1e-3).collect(),
        carbon_wt_pct: zeros.clone(),
        martensite: vec![1.0; n],
        retained_austenite: zeros.clone(),
        bainite: zeros.clone(),
        pearlite: zeros.clone(),
        ferrite: zeros.clone(),
        carbide: zeros,
        quenched_hv: steps.iter().map(|s| s.1).collect(),
        hardness_hv: steps.iter().map(|s| s.1).collect(),
    }
}

#[test]
fn uniform_material_reads_its_conversion_exactly() {
    for hv in [150.0, 238.0, 392.0, 550.0, 697.0, 800.0] {
        let body = layers(&[(0.0, hv), (0.2, hv), (5.0, hv)]);
        for scale in Scale::ALL {
            let expected = scale_of(Vickers::from_hv(hv), scale);
            let read = would_read(&body, scale, Length::ZERO, None);
            assert_eq!(read.reading, expected, "{scale} at {hv}");
        }
    }
}

#[test]
fn a_thin_case_is_read_low_and_by_the_heavy_scale_most() {
    // Core of 200 HV at 0.45 mm.
    let body = layers(&[
        (0.0, 697.0),
        (0.30, 690.0),
        (0.45, 400.0),
        (0.6, 200.0),
        (5.0, 200.0),
    ]);
    let hv_of_reading = |scale| {
        let read = would_read(&body, scale, Length::ZERO, None);
        let hv =
            crate::law::hardness_conversion::hv_of(Hardness::new(scale, read.reading.unwrap()));
        (hv.unwrap().value.to_hv(), read.valid)
    };
    let (c, a, n) = (
        hv_of_reading(Scale::Hrc),
        hv_of_reading(Scale::Hra),
        hv_of_reading(Scale::Hr15n),
    );
    println!("C {c:?} A {a:?} 15N {n:?}");
    assert!(c.0 < a.0 && a.0 < n.0 && n.0 < 697.5);
    assert!(!c.1 && n.1);
}

#[test]
fn the_least_thickness_costs_about_one_unit() {
    // [astm-e18]: 0.74 mm at 60 HRC. The weight was chosen for about 1 HRC; core 200 HV.
    let body = layers(&[(0.0, 697.0), (0.74, 697.0), (0.7401, 200.0), (6.0, 200.0)]);
    let read = would_read(&body, Scale::Hrc, Length::ZERO, None)
        .reading
        .unwrap();
    println!("{read}");
    assert!((58.0..=59.7).contains(&read), "{read}");
}

#[test]
fn soft_steel_is_sent_to_the_b_scale() {
    let body = layers(&[(0.0, 185.0), (5.0, 185.0)]);
    let read = would_read(&body, Scale::Hrc, Length::ZERO, None);
    assert!(read.reading.is_none() && !read.valid);
    assert!(read.why.contains("90 HRB"), "{}", read.why);
    assert!(would_read(&body, Scale::Hrb, Length::ZERO, None).valid);
}

#[test]
fn a_small_round_reads_low_by_its_correction() {
    let body = layers(&[(0.0, 697.0), (5.0, 697.0)]);
    let read = would_read(&body, Scale::Hrc, Length::ZERO, Some(Length::from_mm(10.0)));
    let correction = read.round_correction.unwrap();
    // [astm-e18] 60 HRC on 10 mm: add 1.0; between tabled diameters interpolated.
    assert!((correction - 1.0).abs() <= 0.2, "{correction}");
    assert!((read.reading.unwrap() + correction - 60.0).abs() < 0.05);
    let tiny = would_read(&body, Scale::Hrc, Length::ZERO, Some(Length::from_mm(3.0)));
    assert!(!tiny.valid);
}

#[test]
fn grinding_through_leaves_nothing() {
    let body = layers(&[(0.0, 697.0), (2.0, 697.0)]);
    assert!(
        would_read(&body, Scale::Hrc, Length::from_mm(2.5), None)
            .reading
            .is_none()
    );
    let deeper = layers(&[(0.0, 750.0), (1.0, 600.0), (3.0, 200.0)]);
    let a = would_read(&deeper, Scale::Hr15n, Length::ZERO, None)
        .reading
        .unwrap();
    let b = would_read(&deeper, Scale::Hr15n, Length::from_mm(0.5), None)
        .reading
        .unwrap();
    assert!(b < a);
}

#[test]
fn one_scale_with_its_usual_force_is_that_scale() {
    let body = layers(&[(0.0, 720.0), (0.5, 600.0), (1.0, 350.0), (5.0, 250.0)]);
    let round = Some(Length::from_mm(20.0));
    for scale in Scale::ALL {
        let plain = would_read(&body, scale, Length::ZERO, round);
        let force = usual_force(scale);
        assert_eq!(
            would_read_with(&body, scale, force, Length::ZERO, round),
            plain,
            "{scale}"
        );
    }
}

#[test]
fn a_heavier_load_reads_a_thin_case_lower_and_needs_a_thicker_one() {
    let body = layers(&[
        (0.0, 720.0),
        (0.2, 690.0),
        (0.4, 420.0),
        (0.6, 220.0),
        (5.0, 200.0),
    ]);
    let all: Vec<TesterReading> = indentation::VICKERS_FORCES_KGF
        .iter()
        .map(|kgf| {
            let force = Force::from_kgf(*kgf);
            would_read_with(&body, Scale::Hv, force, Length::ZERO, None)
        })
        .collect();
    for pair in all.windows(2) {
        assert!(
            pair[1].reading.unwrap() < pair[0].reading.unwrap(),
            "{pair:?}"
        );
        assert!(pair[1].least_case.unwrap() > pair[0].least_case.unwrap());
    }
    // 550 HV lie at 0.304 mm. HV10 at about 700 HV: d = 0.163 mm, layer 0.245 mm; HV30: 0.42 mm and more.
    let valid = |kgf: f64| {
        let i = indentation::VICKERS_FORCES_KGF
            .iter()
            .position(|k| *k == kgf);
        all[i.unwrap()].valid
    };
    assert!(valid(10.0) && !valid(30.0) && !valid(100.0));
    assert!(all[9].why.contains("HV20") && all[8].why.contains("HV10"));
    // 16 µm across with HV0.1, 23 µm with HV0.2.
    let small = |i: usize| {
        all[i]
            .remarks
            .iter()
            .any(|r| r.code == "tester-indent-small")
    };
    assert!(small(0) && !small(1));
}

#[test]
fn a_reading_lies_between_the_softest_and_the_hardest_place() {
    let bodies = [
        layers(&[(0.0, 720.0), (0.3, 690.0), (0.6, 220.0), (5.0, 200.0)]),
        // A soft skin over a hard case.
        layers(&[
            (0.0, 480.0),
            (0.05, 700.0),
            (0.8, 650.0),
            (1.5, 300.0),
            (5.0, 260.0),
        ]),
    ];
    for body in &bodies {
        let (low, high) = body
            .hardness_hv
            .iter()
            .fold((f64::MAX, 0.0_f64), |(low, high), hv| {
                (low.min(*hv), high.max(*hv))
            });
        // A millionth for the sums.
        let within = |hv: f64| hv > low * (1.0 - 1e-6) && hv < high * (1.0 + 1e-6);
        for kgf in indentation::VICKERS_FORCES_KGF {
            for ground in [0.0, 0.1, 0.4, 2.0] {
                let force = Force::from_kgf(kgf);
                let ground = Length::from_mm(ground);
                let read = would_read_with(body, Scale::Hv, force, ground, None);
                assert!(within(read.reading.unwrap()), "HV{kgf}: {read:?}");
                let knoop = would_read_with(body, Scale::Hk, force, ground, None).reading;
                let hv = knoop.and_then(|hk| {
                    crate::law::hardness_conversion::hv_of(Hardness::new(Scale::Hk, hk))
                });
                assert!(hv.is_none_or(|hv| within(hv.value.to_hv())), "HK{kgf}");
            }
        }
        for scale in [
            Scale::Hrc,
            Scale::Hra,
            Scale::Hrd,
            Scale::Hr15n,
            Scale::Hr30n,
            Scale::Hr45n,
        ] {
            let reading = would_read(body, scale, Length::ZERO, None).reading;
            let hv = reading.and_then(|value| {
                crate::law::hardness_conversion::hv_of(Hardness::new(scale, value))
            });
            assert!(hv.is_none_or(|hv| within(hv.value.to_hv())), "{scale}");
        }
    }
}
