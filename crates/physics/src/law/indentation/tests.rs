use super::*;

fn reading(scale: Scale, value: f64) -> Hardness {
    Hardness::new(scale, value)
}

fn kgf(value: f64) -> Force {
    Force::from_kgf(value)
}

#[test]
fn val_geometry() {
    // [worked-here] from the definitions of [iso-6507] and [iso-4545]; printed to three digits at most.
    let hv = Vickers::from_hv;
    for (ours, printed, half_digit) in [
        (vickers_diagonal(hv(700.0), kgf(1.0)), 51.5, 0.06),
        (vickers_depth(hv(700.0), kgf(1.0)), 7.4, 0.06),
        (vickers_diagonal(hv(550.0), kgf(1.0)), 58.1, 0.06),
        (vickers_diagonal(hv(700.0), kgf(0.3)), 28.2, 0.06),
        (knoop_diagonal(700.0, kgf(0.5)), 101.0, 0.6),
        (rockwell_depth(reading(Scale::Hrc, 60.0)), 80.0, 1e-9),
    ] {
        let ours = ours.unwrap().to_um();
        assert!((ours - printed).abs() < half_digit, "{ours} {printed}");
    }
}

#[test]
fn hardness_and_diagonal_are_inverse() {
    let hardness = Vickers::from_hv(655.0);
    let diagonal = vickers_diagonal(hardness, kgf(1.0)).unwrap();
    let back = vickers_from_diagonal(diagonal, kgf(1.0)).unwrap();
    assert!((back.to_hv() - 655.0).abs() < 1e-9);
}

#[test]
fn brinell_depth_and_diameter_fit_the_definition() {
    // [iso-6506]: HBW = 2F / (πD (D − √(D² − d²))) must give the number back; rounding only.
    let ball = Length::from_mm(10.0);
    let d = brinell_diameter(285.0, kgf(3000.0), ball).unwrap().to_mm();
    let back = 2.0 * 3000.0 / (std::f64::consts::PI * 10.0 * (10.0 - (100.0 - d * d).sqrt()));
    assert!((back - 285.0).abs() < 1e-6, "{back}");
    assert_eq!(brinell_diameter(1.0, kgf(3000.0), ball), None);
}

#[test]
fn val_least_case_at_sixty() {
    // Table of the trade for a surface equal to 60 HRC: least for a uniform sheet and ten times the
    // depth under load. Those numbers are printed to 0.01 mm and were read off the coarse steps of
    // the table of thickness, so 0.02 mm; C under load is printed to two digits, 1.2.
    for (scale, value, refuse, sound) in [
        (Scale::Hr15n, 90.2, 0.20, 0.20),
        (Scale::Hr30n, 77.5, 0.38, 0.38),
        (Scale::Hr45n, 66.6, 0.46, 0.51),
        (Scale::Hra, 81.2, 0.53, 0.64),
        (Scale::Hrc, 60.0, 0.76, 1.20),
    ] {
        let case = least_case(reading(scale, value)).unwrap().value;
        assert!(
            (case.refuse_below.to_mm() - refuse).abs() < 0.02,
            "{scale}: {case:?}"
        );
        assert!(
            (case.sound_from.to_mm() - sound).abs() < 0.02,
            "{scale}: {case:?}"
        );
    }
}

#[test]
fn softer_readings_need_more_case() {
    for (scale, from, to) in [
        (Scale::Hrc, 20, 68),
        (Scale::Hra, 61, 85),
        (Scale::Hr15n, 70, 93),
        (Scale::Hr30n, 42, 84),
        (Scale::Hr45n, 20, 75),
    ] {
        let mut last = f64::INFINITY;
        for value in from..=to {
            let case = least_case(reading(scale, f64::from(value))).unwrap().value;
            assert!(case.sound_from.to_mm() <= last, "{scale} {value}");
            assert!(case.refuse_below <= case.sound_from);
            last = case.sound_from.to_mm();
        }
    }
}

#[test]
fn a_number_that_is_no_reading_has_no_case() {
    assert_eq!(least_case(reading(Scale::Hrc, 12.0)), None);
    assert_eq!(least_case(reading(Scale::Hv, 700.0)), None);
    assert_eq!(rockwell_depth(reading(Scale::Hrc, 101.0)), None);
}

#[test]
fn the_ball_needs_fifteen_depths() {
    // [astm-e18]: 90 HRB is 0.080 mm deep, 1.2 mm thick; rounding only.
    let thickness = thickness_by_depth_rule(reading(Scale::Hrb, 90.0)).unwrap();
    assert!((thickness.to_mm() - 1.2).abs() < 1e-12);
}

#[test]
fn val_cylinder_cells() {
    // [astm-e18] chart; cells come back exactly, between them the mean.
    for (scale, value, mm, printed) in [
        (Scale::Hrc, 60.0, 6.4, 1.5),
        (Scale::Hrc, 20.0, 6.4, 6.0),
        (Scale::Hrc, 35.0, 12.7, 2.0),
        (Scale::Hra, 80.0, 19.0, 0.5),
        (Scale::Hrc, 62.5, 19.0, 0.5),
        (Scale::Hrc, 55.0, 38.0, 0.0),
        (Scale::Hrb, 30.0, 9.5, 6.5),
        (Scale::Hrb, 40.0, 25.0, 2.25),
    ] {
        let ours = cylinder_correction(reading(scale, value), Length::from_mm(mm)).unwrap();
        assert!(
            (ours.value - printed).abs() < 1e-9,
            "{value} {scale} {mm}: {ours:?}"
        );
    }
}

#[test]
fn small_rounds_are_refused() {
    let refused = cylinder_correction(reading(Scale::Hrc, 60.0), Length::from_mm(6.0));
    assert!(refused.unwrap_err().text.contains("6.4 mm"));
    assert!(cylinder_correction(reading(Scale::Hrc, 60.0), Length::from_in(0.25)).is_ok());
    // The superficial scales go down to 1/8 in.
    assert!(cylinder_correction(reading(Scale::Hr15n, 90.0), Length::from_mm(3.2)).is_ok());
    let refused = cylinder_correction(reading(Scale::Hr15n, 90.0), Length::from_mm(3.0));
    assert!(refused.unwrap_err().text.contains("3.2 mm"));
}

/// The recalled superficial table against what the C scale's table, which was seen, says of the
/// geometry: on a round of radius R the surface lies a²/4R lower on the mean under an indent of
/// radius a, and the tables give a fixed part of that back.
#[test]
fn superficial_corrections_follow_the_round() {
    let sagitta_mm = |scale: Scale, value: f64, mm: f64| {
        let hv = crate::law::hardness_conversion::hv_of(reading(scale, value))
            .unwrap()
            .value;
        let a = 0.5 * rockwell_indent_diameter(scale, hv).unwrap().to_mm();
        a * a / (2.0 * mm)
    };
    let part = |scale: Scale, values: &[f64], diameters: &[f64], unit_mm: f64| {
        let (mut given, mut whole) = (0.0, 0.0);
        for value in values {
            for mm in diameters {
                let tabled = cylinder_correction(reading(scale, *value), Length::from_mm(*mm))
                    .unwrap()
                    .value;
                given += tabled * unit_mm;
                whole += sagitta_mm(scale, *value, *mm);
            }
        }
        given / whole
    };
    let c = part(
        Scale::Hrc,
        &[30.0, 40.0, 50.0, 60.0],
        &[6.4, 9.5, 12.7, 19.0],
        0.002,
    );
    for (scale, values) in [
        (Scale::Hr15n, &[75.0, 80.0, 85.0, 90.0][..]),
        (Scale::Hr30n, &[50.0, 60.0, 70.0, 80.0]),
        (Scale::Hr45n, &[30.0, 40.0, 50.0, 60.0, 70.0]),
    ] {
        let n = part(scale, values, &[3.2, 6.4, 9.5, 12.7], 0.001);
        println!("{scale}: part {n:.2} against {c:.2} on C");
        // One table serves three forces and is printed in halves of a unit: half as much either way.
        assert!(n > 0.5 * c && n < 1.5 * c, "{scale} {n} {c}");
    }
}

#[test]
fn corrections_shrink_with_diameter_and_hardness() {
    let at = |value: f64, mm: f64| {
        cylinder_correction(reading(Scale::Hrc, value), Length::from_mm(mm))
            .unwrap()
            .value
    };
    for step in 0..500 {
        let mm = 6.4 + 0.15 * f64::from(step);
        assert!(at(60.0, mm + 0.15) <= at(60.0, mm) + 1e-12);
        assert!(at(45.0, mm) >= at(60.0, mm) - 1e-12);
    }
    assert_eq!(at(60.0, 1000.0), 0.0);
}

#[test]
fn a_big_correction_is_guidance_only() {
    let big = cylinder_correction(reading(Scale::Hrc, 25.0), Length::from_mm(9.5)).unwrap();
    assert_eq!(big.remarks[0].code, "cylinder-guidance-only");
}

#[test]
fn a_traverse_keeps_its_distances() {
    let plan = traverse_plan(Vickers::from_hv(300.0), kgf(1.0)).unwrap();
    // d = √(1.8544/300) = 78.6 µm; 2.5 d and 3 d of it, to the printed micrometre.
    assert!((plan.first_depth.to_um() - 196.6).abs() < 0.1);
    assert!((plan.spacing.to_um() - 235.9).abs() < 0.1);
    assert!(plan.remarks.is_empty());
    assert_eq!(
        traverse_plan(Vickers::from_hv(300.0), kgf(5.0))
            .unwrap()
            .remarks
            .len(),
        1
    );
}
