//! What must hold for resistances found by readings, and for leakage and drain.

use orlop::proving::resistance::{
    Cable, Drain, Drop, InsulationTest, Joint, LeakageReadings, Part, PartKind, Pulse, Run, Step, from_pairs,
};
use orlop::units::{
    Fraction, Quantity, Resistance, ResistancePerLength, TemperatureRise, ampere_hours, amperes, millimetres,
    ohms, seconds, square_millimetres, volts,
};
use orlop::{Error, Severity, Verdict};
use proptest::prelude::*;

fn text<T: std::fmt::Debug>(answer: Result<T, Error>) -> String {
    answer.unwrap_err().to_string()
}

/// Numbers that look random and are the same on every run: splitmix64 and the polar method.
struct Lots(u64);

impl Lots {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }
    fn normal(&mut self) -> f64 {
        loop {
            let (x, y) = (2.0 * self.unit() - 1.0, 2.0 * self.unit() - 1.0);
            let s = x * x + y * y;
            if s > 0.0 && s < 1.0 {
                return x * (-2.0 * s.ln() / s).sqrt();
            }
        }
    }
}

/// A feeder with two branches: three cables and joints at each end of each, both legs in one.
fn feeder() -> Run {
    let joint = |id: &str, design: f64| Part {
        id: id.into(),
        kind: PartKind::Joint { sound_to: ohms(0.15e-3) },
        expected: ohms(0.1e-3),
        design: amperes(design),
    };
    let cable = |id: &str, milliohms: f64, design: f64| Part {
        id: id.into(),
        kind: PartKind::Conductor { known_within: Fraction::new(0.03) },
        expected: ohms(1e-3 * milliohms),
        design: amperes(design),
    };
    let parts = vec![
        joint("joint.J1", 120.0),
        cable("conductor.F", 3.0, 120.0),
        joint("joint.J2", 120.0),
        joint("joint.J3", 60.0),
        cable("conductor.A", 8.0, 60.0),
        joint("joint.J4", 60.0),
        joint("joint.J5", 60.0),
        cable("conductor.B", 12.0, 60.0),
        joint("joint.J6", 60.0),
    ];
    let through = |parts: &[(usize, f64)]| Drop {
        through: parts.iter().map(|(k, i)| (*k, amperes(*i))).collect(),
        drop: volts(0.0),
    };
    // 50 A to A and 30 A to B; probes at each terminal that can be reached.
    let drops = vec![
        through(&[(0, 80.0)]),
        through(&[(1, 80.0)]),
        through(&[(2, 80.0), (3, 50.0)]),
        through(&[(2, 80.0), (6, 30.0)]),
        through(&[(4, 50.0)]),
        through(&[(5, 50.0)]),
        through(&[(6, 30.0), (7, 30.0), (8, 30.0)]),
        through(&[(8, 30.0)]),
        through(&[(3, 50.0), (4, 50.0), (5, 50.0)]),
    ];
    Run { parts, drops, noise: volts(0.001), gain: Fraction::new(0.005) }
}

/// Readings of a run with these true resistances, without noise.
fn exact(run: &Run, truth: &[f64]) -> Vec<f64> {
    run.drops.iter().map(|d| d.through.iter().map(|(k, i)| truth[*k] * i.si()).sum()).collect()
}

#[test]
fn a_bad_joint_is_located_in_nineteen_of_twenty_cases() {
    let (mut lots, mut run) = (Lots(1), feeder());
    let joints: Vec<usize> =
        (0..run.parts.len()).filter(|k| matches!(run.parts[*k].kind, PartKind::Joint { .. })).collect();
    let (mut located, mut named, mut alarms, mut within, mut parts) = (0, 0, 0, 0, 0);
    const CASES: u32 = 2000;
    for case in 0..CASES {
        let bad = joints[case as usize % joints.len()];
        let truth: Vec<f64> = run
            .parts
            .iter()
            .enumerate()
            .map(|(k, p)| match p.kind {
                PartKind::Conductor { known_within } => {
                    p.expected.si() * (1.0 + known_within.value() * lots.normal())
                }
                PartKind::Joint { .. } if k == bad => 1e-3 * (1.0 + 2.0 * lots.unit()),
                PartKind::Joint { .. } => 0.05e-3 + 0.1e-3 * lots.unit(),
            })
            .collect();
        for (d, exact) in
            run.drops.clone().iter().zip(exact(&run, &truth)).enumerate().map(|(k, (_, e))| (k, e))
        {
            let error = 0.001 * lots.normal() + 0.005 * exact * lots.normal();
            run.drops[d].drop = volts(exact + error);
        }
        let answer = run.solve().unwrap();
        located += u32::from(answer.found[0].part == bad);
        named += u32::from(answer.found.iter().any(|f| f.bad && f.part == bad));
        alarms += answer.found.iter().filter(|f| f.bad && f.part != bad).count();
        for f in &answer.found {
            parts += 1;
            within += u32::from((f.resistance.si() - truth[f.part]).abs() <= 1.96 * f.standard.si());
        }
    }
    println!(
        "located {located}, named {named} of {CASES}; {alarms} false alarms; {within} of {parts} within two deviations"
    );
    assert!(located * 20 >= CASES * 19, "{located} of {CASES}");
    // At most one sound part in a hundred is called bad.
    assert!(alarms * 100 <= parts as usize, "{alarms}");
    // The stated uncertainties are true ones: 95 %, give or take the chance of so many parts.
    assert!((f64::from(within) / f64::from(parts) - 0.95).abs() < 0.02, "{within} of {parts}");
}

#[test]
fn parts_that_no_reading_tells_apart_are_said_to_be_so() {
    let mut run = feeder();
    // One reading over three parts of the branch; nothing else on it.
    run.drops = vec![Drop {
        through: vec![(6, amperes(60.0)), (7, amperes(60.0)), (8, amperes(60.0))],
        drop: volts(0.0),
    }];
    let mut truth: Vec<f64> = run.parts.iter().map(|p| p.expected.si()).collect();
    truth[8] += 8e-3;
    run.drops[0].drop = volts(exact(&run, &truth)[0]);
    let answer = run.solve().unwrap();
    let of = |k: usize| answer.found.iter().find(|f| f.part == k).unwrap();
    assert!(!of(6).bad && !of(8).bad);
    assert_eq!((&of(6).or_else, &of(8).or_else), (&vec![8], &vec![6]));
    let judgements = answer.judgements(&run);
    let j8 = judgements.iter().find(|j| j.subject == "joint.J6").unwrap();
    assert!(j8.verdict == Verdict::Undecided && j8.what.contains("joint.J5"), "{}", j8.what);
    assert!(judgements.iter().any(|j| j.verdict == Verdict::Pass), "the parts without a reading stay sound");
}

proptest! {
    #[test]
    fn exact_readings_give_back_the_truth(bad in 0usize..9, extra in 0.0..5e-3_f64) {
        let mut run = feeder();
        run.noise = volts(1e-7);
        run.gain = Fraction::new(0.0);
        let mut truth: Vec<f64> = run.parts.iter().map(|p| p.expected.si()).collect();
        truth[bad] += extra;
        let drops = exact(&run, &truth);
        run.drops.iter_mut().zip(drops).for_each(|(d, v)| d.drop = volts(v));
        for f in run.solve().unwrap().found {
            prop_assert!((f.resistance.si() - truth[f.part]).abs() < 1e-6, "{} {}", f.part, f.resistance.si());
            prop_assert!(f.resistance.si() >= 0.0);
        }
    }

    #[test]
    fn the_three_readings_give_back_both_leaks(
        up in 3.0..7.0_f64, down in 3.0..7.0_f64, resistor in 3.5..6.5_f64, meter in 6.0..8.0_f64, system in 10.0..60.0_f64,
    ) {
        let g = |decade: f64| 10.0_f64.powf(-decade);
        let (gu, gd, g0, gm) = (g(up), g(down), g(resistor), g(meter));
        let (vu, vd) = (system * gd / (gu + gd + gm), system * gu / (gu + gd + gm));
        let shunted = vu.max(vd) * (gu + gd + gm) / (gu + gd + gm + g0);
        let readings = LeakageReadings {
            system: volts(system),
            positive_to_hull: volts(vu),
            negative_to_hull: volts(vd),
            with_resistor: volts(shunted),
            resistor: ohms(1.0 / g0),
            meter: ohms(1.0 / gm),
            noise: volts(0.0),
        };
        let leak = readings.solve().unwrap();
        let close = |r: Option<Resistance>, g: f64| (r.unwrap().si() * g - 1.0).abs() < 1e-4;
        prop_assert!(close(leak.positive, gu) && close(leak.negative, gd), "{:?}", leak);
        prop_assert!((leak.current.si() / (system / (1.0 / gu + 1.0 / gd)) - 1.0).abs() < 1e-4);
        let noisy = LeakageReadings { noise: volts(0.01), ..readings }.solve().unwrap();
        prop_assert!(noisy.at_least.si() <= 1.001 / (gu + gd));
    }

    #[test]
    fn pulse_does_not_care_what_was_drawn_before(rest in 12.0..14.0_f64, r in 1e-3..1e-2_f64, i in 0.0..50.0_f64, more in 10.0..100.0_f64) {
        let step = |i: f64| Step { voltage: volts(rest - r * i), current: amperes(i) };
        let pulse = Pulse {
            first: step(i),
            second: step(i + more),
            volt_noise: volts(0.002),
            current_noise: amperes(0.1),
            gain: Fraction::new(0.005),
            rest_fell: (volts(0.0), volts(0.0)),
        };
        let there = pulse.resistance().unwrap();
        prop_assert!((there.value().si() / r - 1.0).abs() < 1e-9);
        let fell = Pulse { rest_fell: (volts(0.0), volts(0.004)), ..pulse };
        if let Ok(less) = fell.resistance() {
            prop_assert!(less.value() < there.value() && less.combined() > there.combined());
        }
        let noisier = Pulse { volt_noise: volts(0.004), ..pulse }.resistance().unwrap();
        prop_assert!(noisier.half_width(Fraction::new(0.95)).unwrap() > there.half_width(Fraction::new(0.95)).unwrap());
    }

    #[test]
    fn heat_of_a_joint_goes_with_the_square(i in 1.0..500.0_f64, r in 1e-5..1e-2_f64) {
        let joint = Joint {
            resistance: ohms(r),
            standard: ohms(r * 0.01),
            length: millimetres(20.0),
            cable: Some(Cable {
                resistance: ResistancePerLength::ohms_per_metre(0.25e-3),
                area: square_millimetres(70.0),
                outside_diameter: millimetres(14.0),
                count: 2,
            }),
            measured_rise: None,
        };
        let (one, two) = (joint.heat(amperes(i), amperes(i)).unwrap(), joint.heat(amperes(2.0 * i), amperes(i)).unwrap());
        prop_assert!((two.power.si() / one.power.si() - 4.0).abs() < 1e-9);
        let (a, b) = (one.rise.unwrap(), two.rise.unwrap());
        prop_assert!(a.low() < a.high() && b.low() > a.low());
        // The prediction agrees with a measured rise where that is the predicted one.
        let measured = Joint { measured_rise: a.low(), ..joint }.heat(amperes(2.0 * i), amperes(i)).unwrap();
        prop_assert!((measured.rise.unwrap().low().unwrap().in_kelvins() / b.low().unwrap().in_kelvins() - 1.0).abs() < 1e-9);
    }
}

#[test]
fn joints_of_a_survey_get_their_severity() {
    // A corroded isolator of a thruster, and a stud of a negative bus that was measured 38 K warm.
    let joint = |u: f64, i: f64| {
        Joint::measured(volts(u), volts(0.001), amperes(i), amperes(1.0), millimetres(30.0)).unwrap()
    };
    let isolator = joint(0.32, 168.0).judge("device.Q3", amperes(168.0), amperes(168.0)).unwrap();
    assert_eq!((isolator.verdict, isolator.severity), (Verdict::Fail, Severity::A));
    let mut stud = joint(0.175, 62.0);
    stud.measured_rise = Some(TemperatureRise::kelvins(38.0));
    let stud = stud.judge("joint.N3", amperes(62.0), amperes(62.0)).unwrap();
    assert_eq!((stud.verdict, stud.severity), (Verdict::Fail, Severity::B));
    // Milliohms alone only flag: 2 mohm at 10 A makes 0.2 W.
    let thin = joint(0.02, 10.0).judge("joint.L1", amperes(10.0), amperes(10.0)).unwrap();
    assert!(thin.verdict == Verdict::Pass && thin.what.contains("worth a look"), "{}", thin.what);
}

#[test]
fn readings_taken_together_know_more_than_apart() {
    let u: Vec<_> = [0.100, 0.103, 0.106].map(volts).to_vec();
    let i: Vec<_> = [50.0, 51.5, 53.0].map(amperes).to_vec();
    let r = from_pairs(&u, &i).unwrap();
    assert!((r.value().si() - 2e-3).abs() < 1e-12 && r.combined().si() < 1e-10);
    assert!(text(from_pairs(&u[..1], &i[..1])).contains("two sets"));
    assert!(text(from_pairs(&u, &i[..2])).contains("as many readings"));
}

#[test]
fn drain_is_judged_against_what_is_meant_to_run() {
    let drain = |ma: f64| Drain { current: amperes(1e-3 * ma), standard: amperes(0.005) };
    let verdict = |ma: f64| drain(ma).judge(amperes(0.030), amperes(0.050)).unwrap().verdict;
    assert_eq!(
        (verdict(40.0), verdict(78.0), verdict(200.0)),
        (Verdict::Pass, Verdict::Undecided, Verdict::Fail)
    );
    let by_charge = Drain::from_charge(ampere_hours(8.4), ampere_hours(1.0), seconds(7.0 * 86400.0)).unwrap();
    assert!((by_charge.current.si() - 0.05).abs() < 1e-12);
}

#[test]
fn an_insulation_test_with_too_little_voltage_proves_nothing() {
    let test = InsulationTest::of(volts(24.0)).unwrap();
    let verdict = |reading: f64, at: f64| test.judge("L1", ohms(reading), volts(at)).unwrap().verdict;
    assert_eq!(verdict(0.51e6, 250.0), Verdict::Pass);
    assert_eq!(verdict(0.49e6, 250.0), Verdict::Fail);
    // A multimeter tests with a few volts: what fails there fails, what passes there is not proven.
    assert_eq!(verdict(20e6, 9.0), Verdict::Undecided);
    assert_eq!(verdict(0.1e6, 9.0), Verdict::Fail);
    for bad in [f64::NAN, -1.0] {
        assert!(test.judge("L1", ohms(bad), volts(250.0)).is_err());
        assert!(InsulationTest::of(volts(bad)).is_err());
    }
    assert!(test.judge("L1", ohms(1e6), volts(0.0)).is_err());
}

#[test]
fn bonded_poles_and_dead_hulls_are_told() {
    let readings = |up: f64, down: f64, with: f64| LeakageReadings {
        system: volts(25.6),
        positive_to_hull: volts(up),
        negative_to_hull: volts(down),
        with_resistor: volts(with),
        resistor: ohms(10e3),
        meter: ohms(10e6),
        noise: volts(0.001),
    };
    let bonded = readings(25.5999, 0.0001, 25.5999).solve().unwrap();
    assert!(bonded.negative_bonded);
    let judged = bonded.judge(ohms(0.33e6)).unwrap();
    assert!(
        judged.verdict == Verdict::Undecided && judged.what.contains("negative stands bonded"),
        "{}",
        judged.what
    );
    let dead = readings(0.0, 0.0, 0.0).solve().unwrap();
    assert!(dead.positive.is_none() && dead.at_least.si() > 1e6);
    assert_eq!(dead.judge(ohms(0.33e6)).unwrap().verdict, Verdict::Pass);
    assert!(text(readings(30.0, 0.0, 1.0).solve()).contains("at most the system voltage"));
    assert!(text(readings(10.0, 5.0, 12.0).solve()).contains("no higher than"));
    assert!(text(readings(f64::NAN, 5.0, 1.0).solve()).contains("positive_to_hull"));
}

#[test]
fn bad_readings_of_a_run_are_refused() {
    let run = feeder();
    let with = |change: fn(&mut Run)| {
        let mut run = run.clone();
        change(&mut run);
        text(run.solve())
    };
    assert!(with(|r| r.drops.clear()).contains("at least one reading"));
    assert!(with(|r| r.drops[2].drop = volts(f64::NAN)).contains("drop 3"));
    assert!(with(|r| r.drops[0].through[0].0 = 99).contains("part 100 of 9"));
    assert!(with(|r| r.noise = volts(0.0)).contains("noise"));
    assert!(with(|r| r.parts[1].expected = ohms(0.0)).contains("conductor.F"));
    assert!(with(|r| r.parts[0].design = amperes(-1.0)).contains("joint.J1"));
    let step = |v: f64, i: f64| Step { voltage: volts(v), current: amperes(i) };
    let pulse = |first, second| {
        let pulse = Pulse {
            first,
            second,
            volt_noise: volts(0.0),
            current_noise: amperes(0.0),
            gain: Fraction::new(0.0),
            rest_fell: (volts(0.0), volts(0.0)),
        };
        text(pulse.resistance())
    };
    assert!(pulse(step(13.0, 10.0), step(12.9, 10.0)).contains("above the first"));
    assert!(pulse(step(13.0, 10.0), step(13.1, 20.0)).contains("volts that fall"));
    assert!(pulse(step(f64::NAN, 10.0), step(13.1, 20.0)).contains("volts that fall"));
}
