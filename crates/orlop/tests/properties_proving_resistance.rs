//! What must hold for resistances found by readings, and for leakage and drain.

use orlop::proving::resistance::{
    Cable, Drain, Drop, InsulationTest, Joint, LeakageReadings, Part, PartKind, Pulse, Run, Step,
    ThreeVoltages, from_pairs,
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
        standard: None,
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
        standard: None,
    }];
    let mut truth: Vec<f64> = run.parts.iter().map(|p| p.expected.si()).collect();
    truth[8] += 8e-3;
    run.drops[0].drop = volts(exact(&run, &truth)[0]);
    let answer = run.solve().unwrap();
    let of = |k: usize| answer.found.iter().find(|f| f.part == k).unwrap();
    assert!(!of(6).bad && !of(8).bad);
    assert_eq!((&of(6).or_else, &of(8).or_else), (&vec![7, 8], &vec![6, 7]));
    let judgements = answer.judgements(&run);
    let j8 = judgements.iter().find(|j| j.subject == "joint.J6").unwrap();
    assert!(j8.verdict == Verdict::Undecided && j8.what.contains("joint.J5"), "{}", j8.what);
    assert!(judgements.iter().any(|j| j.verdict == Verdict::Pass), "the parts without a reading stay sound");
}

proptest! {
    #[test]
    fn exact_readings_give_back_the_truth(bad in 0usize..9, extra in 0.0..5e-3_f64) {
        let mut run = feeder();
        run.noise = volts(1e-5);
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
    fn what_does_not_matter_changes_nothing(bad in 0usize..9, extra in 1e-3..5e-3_f64, factor in 0.3..3.0_f64, seed in 0..1000_u64) {
        let mut run = feeder();
        let mut lots = Lots(seed);
        let mut truth: Vec<f64> = run.parts.iter().map(|p| p.expected.si()).collect();
        truth[bad] += extra;
        let drops = exact(&run, &truth);
        run.drops.iter_mut().zip(drops).for_each(|(d, v)| d.drop = volts(v + 0.001 * lots.normal()));
        let of = |run: &Run| {
            let mut found = run.solve().unwrap().found;
            found.sort_by_key(|f| f.part);
            found
        };
        let one = of(&run);
        // All currents scaled: drops and their noise scale with them, resistances stay.
        let mut scaled = run.clone();
        scaled.noise = run.noise * factor;
        for d in &mut scaled.drops {
            d.drop = volts(d.drop.si() * factor);
            d.through.iter_mut().for_each(|(_, i)| *i *= factor);
        }
        // The order of the readings.
        let mut turned = run.clone();
        turned.drops.rotate_left(seed as usize % 9);
        turned.drops.swap(0, 5);
        for other in [of(&scaled), of(&turned)] {
            for (a, b) in one.iter().zip(&other) {
                prop_assert!((a.resistance.si() - b.resistance.si()).abs() < 1e-9 && (a.standard.si() / b.standard.si() - 1.0).abs() < 1e-6);
                prop_assert_eq!((a.bad, &a.or_else), (b.bad, &b.or_else));
            }
        }
        // More noise widens every interval, for as long as the same parts are held to be bad.
        let mut noisier = run.clone();
        noisier.noise = run.noise * 2.0;
        let wide = of(&noisier);
        if one.iter().zip(&wide).all(|(a, b)| a.bad == b.bad && a.or_else == b.or_else) {
            prop_assert!(one.iter().zip(&wide).all(|(a, b)| b.standard > a.standard));
        }
    }

    #[test]
    fn a_cable_cut_in_two_on_paper_has_the_same_sum(share in 0.1..0.9_f64, off in -0.05..0.05_f64) {
        let mut run = feeder();
        let mut truth: Vec<f64> = run.parts.iter().map(|p| p.expected.si()).collect();
        truth[4] *= 1.0 + off;
        let drops = exact(&run, &truth);
        run.drops.iter_mut().zip(drops).for_each(|(d, v)| d.drop = volts(v));
        let whole = run.solve().unwrap();
        // Two pieces whose spreads make that of the whole.
        let mut cut = run.clone();
        let piece = |share: f64, name: &str| Part {
            id: name.into(),
            expected: run.parts[4].expected * share,
            kind: PartKind::Conductor { known_within: Fraction::new(0.03 / share.sqrt()) },
            ..run.parts[4].clone()
        };
        cut.parts[4] = piece(share, "conductor.A1");
        cut.parts.push(piece(1.0 - share, "conductor.A2"));
        for d in &mut cut.drops {
            let same = d.through.iter().find(|(k, _)| *k == 4).map(|(_, i)| (9, *i));
            d.through.extend(same);
        }
        let pieces = cut.solve().unwrap();
        let at = |found: &[orlop::proving::resistance::Found], k: usize| found.iter().find(|f| f.part == k).unwrap().resistance.si();
        let sum = at(&pieces.found, 4) + at(&pieces.found, 9);
        prop_assert!((sum - at(&whole.found, 4)).abs() < 1e-9, "{} {}", sum, at(&whole.found, 4));
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
    fn three_raw_voltages_give_back_both_poles(
        up in 3.0..6.0_f64, down in 3.0..6.0_f64, resistor in 3.5..5.5_f64, system in 10.0..60.0_f64,
    ) {
        let (gu, gd) = (10.0_f64.powf(-up), 10.0_f64.powf(-down));
        let readings = three(system, gu, gd, 10.0_f64.powf(-resistor), 1e-4);
        let exact = readings.solve().unwrap();
        let close = |r: Option<Resistance>, g: f64| (r.unwrap().si() * g - 1.0).abs() < 1e-9;
        prop_assert!(close(exact.likely_positive, gu) && close(exact.likely_negative, gd), "{:?}", exact);
        // Turned about, the poles change places.
        let turned = ThreeVoltages {
            positive_to_hull: readings.negative_to_hull,
            negative_to_hull: readings.positive_to_hull,
            ..readings
        };
        let turned = turned.solve().unwrap();
        for (a, b) in [(turned.positive, exact.negative), (turned.negative, exact.positive)] {
            prop_assert!((a.low().unwrap().si() / b.low().unwrap().si() - 1.0).abs() < 1e-9);
        }
        // More noise widens both intervals.
        let noisier = ThreeVoltages { noise: volts(1e-3), ..readings }.solve().unwrap();
        for (wide, narrow) in [(noisier.positive, exact.positive), (noisier.negative, exact.negative)] {
            prop_assert!(wide.low() < narrow.low());
            prop_assert!(wide.high().is_none_or(|w| w > narrow.high().unwrap()));
        }
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

/// Kirchhoff at the hull: a resistor and a meter of 10 Mohm beside the leak of the pole that is read.
fn three(system: f64, up: f64, down: f64, resistor: f64, noise: f64) -> ThreeVoltages {
    let all = up + down + resistor + 1e-7;
    ThreeVoltages {
        system: volts(system),
        positive_to_hull: volts(system * down / all),
        negative_to_hull: volts(system * up / all),
        resistor: ohms(1.0 / resistor),
        tolerance: Fraction::new(0.0),
        meter: ohms(1e7),
        noise: volts(noise),
    }
}

#[test]
fn intervals_of_insulation_hold_the_truth_in_nineteen_of_twenty_cases() {
    let mut lots = Lots(7);
    let (mut within, mut all) = (0, 0);
    for case in 0..4000 {
        let (up, down) = (
            10.0_f64.powf(-4.0 - f64::from(case % 5) / 2.0),
            10.0_f64.powf(-4.0 - f64::from(case % 7) / 3.0),
        );
        let mut readings = three(25.6, up, down, 1e-5, 0.005);
        for v in [&mut readings.system, &mut readings.positive_to_hull, &mut readings.negative_to_hull] {
            *v = volts(v.si() + 0.005 * lots.normal());
        }
        let found = readings.solve().unwrap();
        for (range, g) in [(found.positive, up), (found.negative, down)] {
            all += 1;
            let holds =
                range.low().unwrap().si() * g <= 1.0 && range.high().is_none_or(|h| h.si() * g >= 1.0);
            within += u32::from(holds);
        }
    }
    println!("{within} of {all} within the 95 % interval");
    let share = f64::from(within) / f64::from(all);
    assert!((0.94..0.96).contains(&share), "{share}");
}

#[test]
fn insulation_is_judged_by_its_interval() {
    let verdict = |readings: ThreeVoltages| readings.solve().unwrap().judge(ohms(0.33e6)).unwrap();
    // 100 kohm is surely below, 10 Mohm surely above, 0.33 Mohm cannot be told.
    assert_eq!(verdict(three(25.6, 1e-5, 1e-7, 1e-5, 0.002)).verdict, Verdict::Fail);
    assert_eq!(verdict(three(25.6, 1e-7, 1e-7, 1e-5, 0.002)).verdict, Verdict::Pass);
    assert_eq!(verdict(three(25.6, 1.0 / 0.331e6, 1e-7, 1e-5, 0.01)).verdict, Verdict::Undecided);
    // Nothing read on either side: a lower bound, and it is enough.
    let nothing = verdict(ThreeVoltages {
        positive_to_hull: volts(0.0),
        negative_to_hull: volts(0.0),
        ..three(25.6, 1e-9, 1e-9, 1e-5, 0.001)
    });
    assert!(nothing.verdict == Verdict::Pass && nothing.what.contains("at least"), "{}", nothing.what);
    let bonded = verdict(three(25.6, 1e-7, 10.0, 1e-4, 0.001));
    assert!(
        bonded.verdict == Verdict::Undecided && bonded.what.contains("negative stands bonded"),
        "{}",
        bonded.what
    );
    let good = three(25.6, 1e-6, 1e-6, 1e-5, 0.001);
    assert!(
        text(ThreeVoltages { positive_to_hull: volts(-1.0), ..good }.solve()).contains("swap the probes")
    );
    let both = ThreeVoltages { positive_to_hull: volts(20.0), negative_to_hull: volts(20.0), ..good };
    assert!(text(both.solve()).contains("at most the system voltage of 25.6 V"));
    assert!(text(ThreeVoltages { noise: volts(0.0), ..good }.solve()).contains("noise"));
    assert!(text(ThreeVoltages { tolerance: Fraction::new(1.0), ..good }.solve()).contains("1 %"));
    assert!(text(ThreeVoltages { system: volts(f64::NAN), ..good }.solve()).contains("system voltage"));
}

#[test]
fn a_bad_feeder_is_told_from_bad_branches() {
    // From the source to either end only: what both have in common is likelier bad than both branches.
    let mut run = feeder();
    let way = |parts: [usize; 6]| parts.iter().map(|k| (*k, amperes(40.0))).collect::<Vec<_>>();
    let (to_a, to_b) = (way([0, 1, 2, 3, 4, 5]), way([0, 1, 2, 6, 7, 8]));
    let over = |through| Drop { through, drop: volts(0.0), standard: None };
    run.drops = vec![over(to_a), over(to_b)];
    let with = |mut run: Run, bad: &[usize]| {
        let mut truth: Vec<f64> = run.parts.iter().map(|p| p.expected.si()).collect();
        bad.iter().for_each(|k| truth[*k] += 5e-3);
        let drops = exact(&run, &truth);
        run.drops.iter_mut().zip(drops).for_each(|(d, v)| d.drop = volts(v));
        run.solve().unwrap()
    };
    let answer = with(run.clone(), &[1]);
    let feeder = answer.found.iter().find(|f| f.part == 1).unwrap();
    assert_eq!(
        (&feeder.or_else, feeder.or_both.len(), feeder.verdict()),
        (&vec![0, 2], 2, Verdict::Undecided)
    );
    // One reading across the feeder alone settles it.
    let feeder_alone = |mut run: Run| {
        run.drops.push(over(way([0, 1, 2, 0, 0, 0])[..3].to_vec()));
        run
    };
    let answer = with(feeder_alone(run.clone()), &[1]);
    assert!(answer.found.iter().all(|f| f.or_both.is_empty()) && !answer.found[0].or_else.is_empty());
    let named: Vec<usize> =
        answer.found.iter().filter(|f| f.verdict() != Verdict::Pass).map(|f| f.part).collect();
    assert!(named.iter().all(|k| *k < 3) && named.len() == 3, "{named:?}");
    let answer = with(feeder_alone(run), &[4, 7]);
    let named: Vec<usize> =
        answer.found.iter().filter(|f| f.verdict() != Verdict::Pass).map(|f| f.part).collect();
    assert!(named.iter().all(|k| *k >= 3) && named.len() == 6, "{named:?}");
}

#[test]
fn readings_that_contradict_each_other_decide_nothing() {
    let mut run = feeder();
    let truth: Vec<f64> = run.parts.iter().map(|p| p.expected.si()).collect();
    let drops = exact(&run, &truth);
    run.drops.iter_mut().zip(drops).for_each(|(d, v)| d.drop = volts(v));
    let mut again = run.drops[5].clone();
    again.drop = volts(0.4);
    run.drops.push(again);
    let answer = run.solve().unwrap();
    assert!(
        answer.contradicting.contains(&5) && answer.contradicting.contains(&9),
        "{:?}",
        answer.contradicting
    );
    let part = answer.found.iter().find(|f| f.part == 5).unwrap();
    assert_eq!(part.verdict(), Verdict::Undecided);
    assert!(part.doubt(|_| String::new()).0.contains("contradict"));
    // A reading far below what its copper must lose.
    run.drops.truncate(9);
    run.drops[1].drop = volts(0.02);
    assert!(run.solve().unwrap().contradicting.contains(&1));
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
    assert!(with(|r| r.drops[0].through[0].1 = amperes(0.0)).contains("no current"));
    assert!(with(|r| r.drops[0].drop = volts(-0.02)).contains("swap the probes"));
    assert!(with(|r| r.drops[0].standard = Some(volts(0.0))).contains("drop 1"));
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
