//! Checks of [`crate::steel::contrast`] against the computed tables of the reference, section 4.5.

use crate::steel::contrast::{
    Pair, centres, even_percent, layer_means, means, time_constant_s, unequal_time_constant_s,
};
use crate::steel::diffusion::{callister_m2_s, nickel_m2_s};
use crate::steel::testing::{near, within};

#[test]
fn table_computed() {
    for (fo, centre, mean) in [
        (0.001, 1.0, 0.92864),
        (0.005, 1.0, 0.84042),
        (0.01, 0.99919, 0.77432),
        (0.02, 0.97516, 0.68085),
        (0.05, 0.77231, 0.49591),
        (0.1, 0.47449, 0.30212),
        (0.2, 0.17687, 0.11260),
        (0.3, 0.06592, 0.04197),
        (0.5, 0.00916, 0.00583),
        (1.0, 0.00007, 0.00004),
    ] {
        within(centres(fo), centre, 6e-6);
        within(means(fo), mean, 6e-6);
    }
    assert_eq!((centres(0.0), means(0.0)), (1.0, 1.0));
    assert!(centres(-1.0).is_nan() && means(f64::NAN).is_nan());
    // No step where one way of summing hands over to the other.
    within(means(5e-3 - 1e-12), means(5e-3), 1e-9);
    within(centres(1e-3 - 1e-12), centres(1e-3), 1e-9);
    // Early rule of the reference: 1 - 4 sqrt(Fo/pi) below 0.05.
    within(means(0.04), 1.0 - 4.0 * (0.04 / std::f64::consts::PI).sqrt(), 1e-3);
}

#[test]
fn time_constants_computed() {
    let d = callister_m2_s(1200.0);
    for (mm, s) in [(6.0, 2.80e4), (3.0, 7.01e3), (1.0, 779.0), (0.5, 195.0), (0.15, 17.5), (0.05, 1.95)] {
        near(time_constant_s(mm, d), s, 3e-3);
    }
    let d = callister_m2_s(1100.0);
    for (mm, s) in [(6.0, 6.76e4), (3.0, 1.69e4), (1.0, 1880.0), (0.5, 470.0), (0.15, 42.3), (0.05, 4.70)] {
        near(time_constant_s(mm, d), s, 3e-3);
    }
    let nickel = nickel_m2_s(1200.0);
    near(time_constant_s(1.0, nickel) / 3600.0, 12100.0, 3e-3);
    near(time_constant_s(0.15, nickel) / 3600.0, 272.0, 3e-3);
    within(unequal_time_constant_s(0.5, 1.5, d), time_constant_s(1.0, d), 1e-9);
}

#[test]
fn time_to_one_per_cent_computed() {
    let tau = time_constant_s(1.0, callister_m2_s(1200.0));
    let time = tau * (400.0 / std::f64::consts::PI).ln();
    near(time, 3780.0, 2e-3);
    within(centres(callister_m2_s(1200.0) * time / 1e-6), 0.01, 1e-5);
}

#[test]
fn profile_computed() {
    // 0.95 and 0.20 % C at 1200 C: layer mm, seconds, contrast, carbon at the two centres.
    for (mm, s, left, rich, poor) in [
        (1.0, 60.0, 0.99987, 0.9500, 0.2000),
        (1.0, 300.0, 0.85310, 0.8949, 0.2551),
        (1.0, 600.0, 0.58907, 0.7959, 0.3541),
        (1.0, 1800.0, 0.12636, 0.6224, 0.5276),
        (0.5, 300.0, 0.27292, 0.6773, 0.4727),
    ] {
        let fo: f64 = callister_m2_s(1200.0) * s / (mm * mm * 1e-6);
        within(centres(fo), left, 1e-5);
        let even = even_percent(0.95, mm, 0.20, mm);
        within(even + 0.375 * centres(fo), rich, 6e-5);
        within(even - 0.375 * centres(fo), poor, 6e-5);
    }
}

#[test]
fn four_heats_computed() {
    // D(1150 C) 8.506e-11, 10 min each at 3, 1.5, 0.75, 0.375 mm.
    let mut fo = 0.0;
    for (mm, sum, centre, mean) in [
        (3.0, 0.00567, 1.0, 0.8301),
        (1.5, 0.02835, 0.9285, 0.6200),
        (0.75, 0.11908, 0.3931, 0.2503),
        (0.375, 0.48199, 0.0109, 0.0070),
    ] {
        fo += callister_m2_s(1150.0) * 600.0 / (mm * mm * 1e-6);
        within(fo, sum, 2e-5);
        within(centres(fo), centre, 6e-5);
        within(means(fo), mean, 6e-5);
    }
}

#[test]
fn published_billet() {
    // Abstract of the study of a layered billet of plain and nickel steel: carbon ended even at about 150 um,
    // nickel hardly moved. The model at 1200 C for one minute: 4 % of the contrast (Fo 0.347, computed).
    let fo = callister_m2_s(1200.0) * 60.0 / (0.15e-3 * 0.15e-3);
    within(fo, 0.347, 5e-4);
    within(centres(fo), 0.04, 5e-3);
    assert!(means(nickel_m2_s(1200.0) * 60.0 / (0.15e-3 * 0.15e-3)) > 0.98);
}

#[test]
fn means_of_unequal_layers_computed() {
    let start = Pair { first: 0.9, second: 0.1 };
    for fo in [1e-4, 4e-3, 6e-3, 0.03, 0.3, 2.0] {
        // Equal layers: the period is twice the layer.
        let equal = layer_means(start, 0.5, fo / 4.0);
        within(equal.first, 0.5 + 0.4 * means(fo), 1e-9);
        within(equal.second, 0.5 - 0.4 * means(fo), 1e-9);
        for share in [0.05, 0.3, 0.8] {
            let now = layer_means(start, share, fo / 4.0);
            let whole = share * now.first + (1.0 - share) * now.second;
            within(whole, share * 0.9 + (1.0 - share) * 0.1, 1e-12);
            assert!(now.first < 0.9 && now.second > 0.1 && now.first > now.second - 1e-12);
            // Which layer is named first makes no difference.
            let turned = Pair { first: start.second, second: start.first };
            let other = layer_means(turned, 1.0 - share, fo / 4.0);
            within(other.second, now.first, 1e-9);
        }
    }
    assert_eq!(layer_means(start, 0.0, 0.1), start);
    assert_eq!(layer_means(start, 0.4, 0.0), start);
    let even = layer_means(start, 0.25, 1.0);
    within(even.first, 0.3, 1e-12);
}
