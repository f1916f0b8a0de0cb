use super::*;

fn point(mm: f64, hv: f64) -> TraversePoint {
    TraversePoint {
        depth: Length::from_mm(mm),
        hardness: Vickers::from_hv(hv),
    }
}

fn limit() -> Vickers {
    Vickers::from_hv(LIMIT_ISO_HV)
}

#[test]
fn val_worked_interpolation() {
    // [worked-here]: 0.70 mm 590 HV, 0.90 mm 520 HV → 0.814 mm, printed to a micrometre.
    let depth = between(point(0.70, 590.0), point(0.90, 520.0), limit()).unwrap();
    assert!((depth.value.to_mm() - 0.814).abs() < 0.0005);
    assert!(depth.remarks.is_empty());
}

#[test]
fn traverse_reads_the_same_as_two_points() {
    let points = [
        point(0.1, 780.0),
        point(0.5, 660.0),
        point(0.7, 590.0),
        point(0.9, 520.0),
        point(2.6, 300.0),
    ];
    let found = from_traverse(&points, limit()).unwrap();
    let two = between(points[2], points[3], limit()).unwrap();
    assert_eq!(found.value, DepthFound::At(two.value));
    assert!(found.remarks.is_empty(), "{:?}", found.remarks);
}

#[test]
fn a_soft_skin_is_said() {
    let points = [point(0.05, 450.0), point(0.2, 700.0), point(0.4, 500.0)];
    let found = from_traverse(&points, limit()).unwrap();
    let codes: Vec<&str> = found.remarks.iter().map(|r| r.code).collect();
    assert_eq!(codes, ["case-depth-soft-skin", "case-depth-core-not-read"]);
    assert!(matches!(found.value, DepthFound::At(d) if (d.to_mm() - 0.35).abs() < 1e-9));
}

#[test]
fn no_case_and_deep_case_are_told_apart() {
    let soft = [point(0.1, 300.0), point(0.5, 250.0)];
    assert_eq!(
        from_traverse(&soft, limit()).unwrap().value,
        DepthFound::None
    );
    let hard = [point(0.1, 700.0), point(0.5, 600.0)];
    assert_eq!(
        from_traverse(&hard, limit()).unwrap().value,
        DepthFound::AtLeast(Length::from_mm(0.5))
    );
}

#[test]
fn a_point_on_the_limit_holds() {
    let points = [point(0.1, 700.0), point(0.5, 550.0), point(0.7, 400.0)];
    assert_eq!(
        from_traverse(&points, limit()).unwrap().value,
        DepthFound::At(Length::from_mm(0.5))
    );
}

#[test]
fn wrong_orders_are_refused() {
    assert_eq!(
        between(point(0.9, 520.0), point(0.7, 590.0), limit()),
        Err(TraverseProblem::NotRising)
    );
    assert_eq!(
        between(point(0.7, 540.0), point(0.9, 520.0), limit()),
        Err(TraverseProblem::NotEnclosing)
    );
    assert_eq!(
        from_traverse(&[point(0.7, 540.0)], limit()),
        Err(TraverseProblem::TooFew)
    );
}

#[test]
fn a_hard_core_raises_the_limit() {
    assert_eq!(limit_for_core(Vickers::from_hv(440.0)).value.to_hv(), 550.0);
    for (core, raised) in [
        (450.0, 575.0),
        (560.0, 600.0),
        (575.0, 600.0),
        (576.0, 625.0),
    ] {
        let limit = limit_for_core(Vickers::from_hv(core));
        assert_eq!(limit.value.to_hv(), raised, "{core}");
        assert_eq!(limit.remarks.len(), 1);
    }
}
