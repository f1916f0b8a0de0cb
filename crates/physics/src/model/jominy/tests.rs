use super::*;
use crate::model::quench::conduction::PlainAustenite;

/// Cooling rates at 700 °C at the sixteenths, in °F/s [jominy-rates].
const RATES_F_S: [(u32, f64); 20] = [
    (1, 490.0),
    (2, 305.0),
    (3, 195.0),
    (4, 125.0),
    (5, 77.0),
    (6, 56.0),
    (7, 42.0),
    (8, 33.0),
    (9, 26.0),
    (10, 21.4),
    (11, 18.0),
    (12, 16.3),
    (13, 14.0),
    (14, 12.4),
    (15, 11.0),
    (16, 10.0),
    (18, 8.3),
    (20, 7.0),
    (24, 5.1),
    (32, 3.5),
];

#[test]
fn val_bar_cools_as_published() {
    // 20 %: the printed rates are themselves read from curves; medium-carbon start, 845 °C.
    let body = bar().unwrap();
    let run = cool_bar(&body, PlainAustenite, Temperature::from_c(845.0)).unwrap();
    for (n, f_s) in RATES_F_S {
        let ours = rate_at_700(&run, Length::from_in(f64::from(n) / 16.0));
        let ratio = ours / (f_s / 1.8);
        println!("J{n} {ours:.1} K/s, {ratio:.2} of published");
        assert!((ratio - 1.0).abs() < 0.205, "J{n} {ratio}");
    }
}
