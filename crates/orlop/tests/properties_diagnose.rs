//! What must hold for beliefs about causes, whatever the causes are.

use orlop::Error;
use orlop::proving::diagnose::{Ask, Belief, Hypothesis, Model, Point, Seen, entropy};
use proptest::prelude::*;

/// A cause without a magnitude: what it predicts of some values, and the chances of some answers.
fn plain(odds: f64, values: &[f64], chances: &[f64]) -> Hypothesis {
    let point = Point {
        values: values.to_vec(),
        spreads: vec![0.0; values.len()],
        chances: chances.to_vec(),
        ..Point::default()
    };
    Hypothesis { odds, points: vec![point] }
}

/// A cause whose one value is its magnitude, from 0.1 to 10, by the logarithm.
fn joint(odds: f64, steps: usize) -> Hypothesis {
    let points = (0..=steps).map(|k| {
        let at = (0.1_f64).ln() + (100.0_f64).ln() * k as f64 / steps as f64;
        Point { at, values: vec![at.exp()], spreads: vec![0.0], ..Point::default() }
    });
    Hypothesis { odds, points: points.collect() }
}

fn value(of: usize, reading: f64, standard: f64) -> Seen {
    Seen::Value { of, reading, standard }
}

const ASK: Ask = Ask::Value { of: 0, relative: 0.0, least: 0.01 };

#[test]
fn three_causes_by_hand() {
    // Odds 5 : 3 : 2; each predicts a reading of 1, 2 or 4 with a standard deviation of 1; 2 is read.
    let model =
        Model::new(0, vec![plain(5.0, &[1.0], &[]), plain(3.0, &[2.0], &[]), plain(2.0, &[4.0], &[])]);
    let model = model.unwrap();
    let mut belief = Belief::new(&model);
    belief.see(value(0, 2.0, 1.0)).unwrap();
    let raw = [5.0 * (-0.5_f64).exp(), 3.0, 2.0 * (-2.0_f64).exp()];
    let sum: f64 = raw.iter().sum();
    for (got, want) in belief.probabilities().iter().zip(raw) {
        assert!((got - want / sum).abs() < 1e-12, "{got} {}", want / sum);
    }
    // 3.0327 : 3 : 0.2707 of 6.3034.
    assert!((belief.probabilities()[1] - 0.475_93).abs() < 1e-5);
}

#[test]
fn a_perfect_test_of_two_even_causes_tells_one_bit() {
    let model = Model::new(0, vec![plain(1.0, &[0.0], &[0.0]), plain(1.0, &[1.0], &[1.0])]).unwrap();
    let belief = Belief::new(&model);
    assert!((belief.information(Ask::Answer(0)) - 1.0).abs() < 1e-12);
    assert!((belief.information(ASK) - 1.0).abs() < 1e-6);
    let outcomes = belief.outcomes(ASK);
    assert_eq!(outcomes.len(), 2);
    assert!(outcomes.iter().all(|o| (o.chance - 0.5).abs() < 1e-6));
    let edge = outcomes[0].to.unwrap();
    assert!(edge > 0.05 && edge < 0.95 && outcomes[1].from == Some(edge), "{edge}");
}

#[test]
fn a_gaussian_test_of_two_causes_tells_what_quadrature_says() {
    // Two even causes d = 2 standard deviations apart: the information of a binary-input Gaussian channel at amplitude 1,
    // 1 - E[log2(1 + exp(-2 x))] with x normal about 1; by the trapezoidal rule.
    let model = Model::new(0, vec![plain(1.0, &[0.0], &[]), plain(1.0, &[2.0], &[])]).unwrap();
    let got = Belief::new(&model).information(Ask::Value { of: 0, relative: 0.0, least: 1.0 });
    let (n, h) = (4000, 0.004);
    let sum: f64 = (0..=n)
        .map(|k| {
            let z = h * (f64::from(k) - f64::from(n) / 2.0);
            let bell = (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt();
            bell * (1.0 + (-2.0 * (1.0 + z)).exp()).log2() * h
        })
        .sum();
    // Sorting readings into cells may lose a little and never invents any.
    assert!(got < 1.0 - sum + 1e-6 && got > 0.99 * (1.0 - sum), "{got} {}", 1.0 - sum);
}

#[test]
fn alike_causes_tell_nothing_and_stay_alike() {
    let model = Model::new(0, vec![joint(3.0, 24), joint(1.0, 24)]).unwrap();
    let mut belief = Belief::new(&model);
    assert!(belief.information(ASK) < 1e-9);
    belief.see(value(0, 1.7, 0.02)).unwrap();
    let p = belief.probabilities();
    assert!((p[0] - 0.75).abs() < 1e-9 && (p[1] - 0.25).abs() < 1e-9);
    assert!(belief.information(ASK) < 1e-9);
}

#[test]
fn the_magnitude_is_the_one_that_was_read() {
    // With a flat prior of the logarithm the median is the reading, and the interval that of its relative uncertainty.
    for standard in [0.2, 0.02, 0.002] {
        let model = Model::new(0, vec![joint(1.0, 24)]).unwrap();
        let mut belief = Belief::new(&model);
        belief.see(value(0, 2.0, standard)).unwrap();
        let (best, low, high) = belief.magnitude(0, 0.95).unwrap();
        let half = 1.959_964 * standard / 2.0;
        assert!((best.exp() / 2.0 - 1.0).abs() < 0.2 * half, "{best} {standard}");
        assert!(((high - low) / 2.0 / half - 1.0).abs() < 0.06, "{low} {high} {half}");
        assert!(belief.fits(0) > 0.5);
    }
}

#[test]
fn the_evidence_of_a_grid_is_its_integral() {
    // A magnitude flat in its logarithm over 0.1 to 10 against a fixed prediction of 3: the marginal likelihood of reading y
    // is the integral of the Gaussian over ln r, divided by ln 100; here by the trapezoidal rule on a fine grid.
    let (y, s) = (2.0, 0.05);
    let bell = |m: f64| (-0.5 * ((y - m) / s).powi(2)).exp();
    let n = 200_000;
    let h = 100.0_f64.ln() / f64::from(n);
    let integral: f64 = (0..=n).map(|k| bell((0.1_f64.ln() + h * f64::from(k)).exp()) * h).sum();
    let other = bell(2.15);
    let model = Model::new(0, vec![joint(1.0, 24), plain(1.0, &[2.15], &[])]).unwrap();
    let mut belief = Belief::new(&model);
    belief.see(value(0, y, s)).unwrap();
    let want = integral / 100.0_f64.ln() / (integral / 100.0_f64.ln() + other);
    assert!((belief.probabilities()[0] / want - 1.0).abs() < 0.02, "{} {want}", belief.probabilities()[0]);
}

#[test]
fn a_common_unknown_is_learned_from_one_reading_and_used_for_the_next() {
    // Two readings share a gain of 10 %: the second tells the causes apart only by its ratio to the first.
    let with = |odds, first: f64, second: f64| {
        let point = Point {
            values: vec![first, second],
            slopes: vec![0.1 * first, 0.1 * second],
            spreads: vec![0.0; 2],
            ..Point::default()
        };
        Hypothesis { odds, points: vec![point] }
    };
    let model = Model::new(1, vec![with(1.0, 10.0, 10.0), with(1.0, 10.0, 9.0)]).unwrap();
    let mut belief = Belief::new(&model);
    let ask = Ask::Value { of: 1, relative: 0.0, least: 0.01 };
    let before = belief.information(ask);
    belief.see(value(0, 11.0, 0.01)).unwrap();
    let after = belief.information(ask);
    assert!(before < 0.3 && after > 0.999, "{before} {after}");
    belief.see(value(1, 9.9, 0.01)).unwrap();
    assert!(belief.probabilities()[1] > 0.999_999);
    // An independent error of both would have it the other way round: 9.9 is nearer to 10 than to 9.
}

#[test]
fn what_nothing_predicts_is_not_explained() {
    let model = Model::new(0, vec![plain(1.0, &[1.0], &[]), plain(1.0, &[2.0], &[])]).unwrap();
    let mut belief = Belief::new(&model);
    assert_eq!(belief.explained(), 1.0);
    belief.see(value(0, 2.0, 0.1)).unwrap();
    assert!((belief.explained() - 1.0).abs() < 1e-12);
    // Five standard deviations off the nearer: chi-squared of 25 with two readings is exp(-12.5).
    belief.see(value(0, 2.5, 0.1)).unwrap();
    assert!((belief.explained() / (-12.5_f64).exp() - 1.0).abs() < 1e-9, "{}", belief.explained());
}

#[test]
fn bad_input_is_refused() {
    let text = |m: Result<Model, Error>| m.unwrap_err().to_string();
    assert!(text(Model::new(0, vec![])).contains("at least one"));
    assert!(text(Model::new(0, vec![plain(0.0, &[1.0], &[])])).contains("above zero"));
    assert!(text(Model::new(0, vec![plain(f64::NAN, &[1.0], &[])])).contains("above zero"));
    assert!(text(Model::new(0, vec![plain(1.0, &[f64::NAN], &[])])).contains("finite"));
    assert!(text(Model::new(0, vec![plain(1.0, &[1.0], &[1.5])])).contains("finite"));
    assert!(text(Model::new(1, vec![plain(1.0, &[1.0], &[])])).contains("finite"));
    assert!(text(Model::new(0, vec![plain(1.0, &[1.0], &[]), plain(1.0, &[], &[])])).contains("differs"));
    let mut falls = joint(1.0, 3);
    falls.points.reverse();
    assert!(text(Model::new(0, vec![falls])).contains("ascend"));
    let model = Model::new(0, vec![plain(1.0, &[1.0], &[0.5])]).unwrap();
    let mut belief = Belief::new(&model);
    for seen in [
        value(1, 1.0, 0.1),
        value(0, f64::NAN, 0.1),
        value(0, f64::INFINITY, 0.1),
        value(0, 1.0, 0.0),
        value(0, 1.0, f64::NAN),
        Seen::Answer { of: 1, yes: true },
    ] {
        assert!(belief.see(seen).is_err(), "{seen:?}");
    }
    assert_eq!(belief.probabilities(), [1.0]);
}

fn many() -> impl Strategy<Value = Vec<(f64, Vec<f64>, Vec<f64>)>> {
    let one =
        (0.1_f64..10.0, prop::collection::vec(-5.0_f64..5.0, 3), prop::collection::vec(0.01_f64..0.99, 2));
    prop::collection::vec(one, 2..7)
}

fn readings() -> impl Strategy<Value = Vec<Seen>> {
    let read = (0_usize..3, -5.0_f64..5.0, 0.2_f64..2.0).prop_map(|(of, x, s)| value(of, x, s));
    let told = (0_usize..2, any::<bool>()).prop_map(|(of, yes)| Seen::Answer { of, yes });
    prop::collection::vec(prop_oneof![read, told], 0..6)
}

proptest! {
    #[test]
    fn the_order_of_readings_is_of_no_effect(causes in many(), seen in readings()) {
        let mut all: Vec<Hypothesis> = causes.iter().map(|(o, v, c)| plain(*o, v, c)).collect();
        // One with a magnitude, so that unknowns are moved as well.
        let grid = (0..9).map(|k| {
            let x = f64::from(k);
            Point {
                at: x,
                values: vec![x, 4.0 - x, 0.1 * x * x],
                slopes: vec![0.3, -0.2, 0.5],
                spreads: vec![0.1; 3],
                chances: vec![0.1 * x + 0.05, 0.5],
                ..Point::default()
            }
        });
        for h in &mut all {
            h.points[0].slopes = vec![0.1, 0.2, 0.3];
        }
        all.push(Hypothesis { odds: 1.0, points: grid.collect() });
        let model = Model::new(1, all).unwrap();
        let run = |list: &[Seen]| {
            let mut belief = Belief::new(&model);
            list.iter().for_each(|s| belief.see(*s).unwrap());
            (belief.probabilities(), belief.explained())
        };
        let (there, fit) = run(&seen);
        let mut other = seen.clone();
        other.reverse();
        let (back, fit_back) = run(&other);
        prop_assert!((there.iter().sum::<f64>() - 1.0).abs() < 1e-9);
        for (a, b) in there.iter().zip(&back) {
            prop_assert!((a - b).abs() < 1e-9, "{there:?} {back:?}");
        }
        prop_assert!((fit - fit_back).abs() < 1e-6);
    }

    #[test]
    fn information_lies_between_nothing_and_what_is_missing(causes in many(), seen in readings()) {
        let all = causes.iter().map(|(o, v, c)| plain(*o, v, c)).collect();
        let model = Model::new(0, all).unwrap();
        let mut belief = Belief::new(&model);
        seen.iter().for_each(|s| belief.see(*s).unwrap());
        let missing = entropy(&belief.probabilities());
        for ask in [ASK, Ask::Value { of: 2, relative: 0.1, least: 0.5 }, Ask::Answer(1)] {
            let bits = belief.information(ask);
            prop_assert!(bits >= 0.0 && bits <= missing + 1e-6, "{bits} of {missing}");
            let outcomes = belief.outcomes(ask);
            prop_assert!((outcomes.iter().map(|o| o.chance).sum::<f64>() - 1.0).abs() < 1e-6);
            // Averaged over outcomes, the probabilities after are those before.
            for (h, p) in belief.probabilities().iter().enumerate() {
                let mean: f64 = outcomes.iter().map(|o| o.chance * o.after[h]).sum();
                prop_assert!((mean - p).abs() < 1e-5, "{mean} {p}");
            }
        }
    }

    #[test]
    fn odds_count_by_their_ratio_only(causes in many(), factor in 0.01_f64..100.0, seen in readings()) {
        let run = |k: f64| {
            let all = causes.iter().map(|(o, v, c)| plain(k * o, v, c)).collect();
            let model = Model::new(0, all).unwrap();
            let mut belief = Belief::new(&model);
            seen.iter().for_each(|s| belief.see(*s).unwrap());
            belief.probabilities()
        };
        for (a, b) in run(1.0).iter().zip(run(factor)) {
            prop_assert!((a - b).abs() < 1e-9);
        }
    }
}
