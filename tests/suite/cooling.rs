//! Cooling against a general-purpose integrator: `tests/oracle/cooling.csv`, made by `tests/oracle/cooling_ode.py`.

use heatbook::steel::laws::cooling::Cooling;

#[test]
fn cooling_agrees_with_a_general_integrator() {
    let mut looked = 0;
    for row in include_str!("../oracle/cooling.csv").lines().skip(2) {
        let figures: Vec<f64> = row.split(',').map(|f| f.parse().unwrap()).collect();
        let [mm, convection, from, to, seconds] = figures[..] else { panic!("{row}") };
        let body = Cooling { convection_w_m2k: convection, ..Cooling::in_still_air(mm) };
        let got = body.time_s(from, to);
        assert!((got - seconds).abs() <= 1e-6 * seconds, "{row}: {got}");
        // And back: the temperature after that time.
        let after = body.temperature_after_c(from, seconds);
        assert!((after - to).abs() <= 1e-3, "{row}: {after}");
        looked += 1;
    }
    assert_eq!(looked, 84);
}
