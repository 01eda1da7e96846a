//! What must hold for every device, current and need.

use orlop::protection::{
    Choice, Device, Need, NoDevice, choose, coordinate, families, fitting, holds, judge, placement,
};
use orlop::units::strategy::between;
use orlop::units::{
    Current, LetThrough, Quantity, Temperature, Time, Voltage, amperes, metres, seconds, volts,
};
use orlop::{Confidence, Error, Sense, Verdict, Working, meets};
use proptest::prelude::*;
use proptest::sample::Index;

fn device(family: Index, rating: Index) -> Device {
    let family = family.get(families());
    Device::new(&family.id, *rating.get(&family.ratings)).unwrap()
}

fn any_device() -> impl Strategy<Value = Device> {
    (any::<Index>(), any::<Index>()).prop_map(|(f, r)| device(f, r))
}

/// Currents from half to a thousand times the rating.
fn multiple() -> impl Strategy<Value = f64> {
    (0.5_f64.ln()..1000.0_f64.ln()).prop_map(f64::exp)
}

fn any_need() -> impl Strategy<Value = Need> {
    (
        (between::<Current>(1.0, 300.0), 1.0..4.0, between::<Voltage>(12.0, 60.0), -20.0..70.0),
        (
            proptest::option::of(between::<Current>(20.0, 20_000.0)),
            0.05..1.0,
            proptest::option::of(between::<LetThrough>(1e3, 1e9)),
            any::<bool>(),
            proptest::option::of(between::<Current>(5.0, 500.0)),
        ),
    )
        .prop_map(|((design, share, voltage, ambient), (high, part, withstand, next, other))| Need {
            fault_high: high,
            fault_low: high.map(|h| h * part),
            withstand,
            next_standard_from: next.then_some(design * share),
            other_limits: other.map(|o| ("terminal".to_string(), o)).into_iter().collect(),
            ..Need::new(design, design * share * 1.5, voltage, Temperature::celsius(ambient))
        })
}

/// A time for ordering: never is later than anything.
fn late(time: Option<Time>) -> f64 {
    time.map_or(f64::INFINITY, Quantity::si)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, ..ProptestConfig::default() })]

    #[test]
    fn fastest_is_never_later_than_slowest(device in any_device(), m in multiple()) {
        let time = device.opening_time(device.rating() * m).unwrap();
        // Never opening and yet bound to open cannot both be; the order of two known ends is held beside the tables.
        prop_assert!(time.low().is_some() || time.high().is_none(), "{device} at {m} In: {time}");
    }

    #[test]
    fn both_edges_fall_with_current(device in any_device(), a in multiple(), b in multiple()) {
        let (a, b) = if a < b { (a, b) } else { (b, a) };
        let (at_a, at_b) = (
            device.opening_time(device.rating() * a).unwrap(),
            device.opening_time(device.rating() * b).unwrap(),
        );
        let slack = 1.0 + 1e-7;
        prop_assert!(late(at_b.low()) <= late(at_a.low()) * slack, "{device}: {at_a} then {at_b}");
        prop_assert!(late(at_b.high()) <= late(at_a.high()) * slack, "{device}: {at_a} then {at_b}");
    }

    #[test]
    fn a_bigger_rating_never_opens_faster(family in any::<Index>(), r in any::<Index>(), s in any::<Index>(), m in multiple()) {
        let (one, two) = (device(family, r), device(family, s));
        let (small, big) = if one.rating() < two.rating() { (one, two) } else { (two, one) };
        let current = small.rating() * m;
        let (of_small, of_big) = (small.opening_time(current).unwrap(), big.opening_time(current).unwrap());
        let slack = 1.0 + 1e-7;
        prop_assert!(late(of_small.low()) <= late(of_big.low()) * slack, "{small} {of_small}, {big} {of_big}");
        prop_assert!(late(of_small.high()) <= late(of_big.high()) * slack, "{small} {of_small}, {big} {of_big}");
    }

    #[test]
    fn opens_within_is_the_exact_inverse(device in any_device(), limit in between::<Time>(1e-3, 1e5)) {
        match device.opens_within(limit) {
            Some(current) => {
                let slowest = device.opening_time(current).unwrap().high().unwrap();
                prop_assert!(slowest <= limit, "{device}: {slowest:?} at {current:?}");
                // And it is the least: a little less current does not do.
                let less = device.opening_time(current * (1.0 - 1e-6)).unwrap().high();
                let flat = slowest.si() < limit.si() * (1.0 - 1e-9);
                prop_assert!(flat || less.is_none_or(|t| t > limit), "{device}");
                if flat {
                    prop_assert!(less.is_none_or(|t| t > limit), "{device}: {less:?} for {limit:?}");
                }
            }
            None => {
                let far = device.opening_time(device.rating() * 1e5).unwrap().high();
                prop_assert!(far.is_none_or(|t| t > limit), "{device}: {far:?} for {limit:?}");
            }
        }
    }

    #[test]
    fn let_through_is_current_squared_times_time(device in any_device(), m in multiple()) {
        let current = device.rating() * m;
        let (time, through) = (device.opening_time(current).unwrap(), device.let_through(current).unwrap());
        for (t, w) in [(time.low(), through.low()), (time.high(), through.high())] {
            prop_assert_eq!(t.map(|t| current.si().powi(2) * t.si()), w.map(Quantity::si));
        }
    }

    #[test]
    fn a_hotter_place_never_carries_more(device in any_device(), a in -40.0..200.0, b in -40.0..200.0) {
        let (cool, hot) = if a < b { (a, b) } else { (b, a) };
        let (cool, hot) = (device.rating_at(Temperature::celsius(cool)), device.rating_at(Temperature::celsius(hot)));
        prop_assert!(hot <= cool && cool <= device.rating() && hot.si() >= 0.0);
    }

    #[test]
    fn selective_means_selective_at_every_current(
        up in any_device(), down in any_device(), m in 2.0..200.0, share in 0.0..1.0, at in 0.0..1.0,
    ) {
        let (fault, load) = (down.rating() * m, up.rating() * share);
        let found = coordinate(&up, &down, fault, load).unwrap();
        prop_assert!((0.0..=1.0).contains(&found.preload_factor));
        if let Some(limit) = found.selective_up_to {
            prop_assert!(limit <= fault);
            prop_assert!(!found.selective || limit == fault);
            // Any current from the downstream rating up to the limit.
            let current = down.rating() * (limit.si() / down.rating().si()).powf(at) * (1.0 - 1e-6);
            let slowest = late(down.opening_time(current).unwrap().high());
            let fastest = late(up.opening_time(current).unwrap().low());
            let opens = down.opening_time(current).unwrap().low().is_some();
            prop_assert!(
                !opens || fastest.is_infinite() || slowest <= found.preload_factor * fastest * (1.0 + 1e-6),
                "{up} above {down} at {current:?}: {slowest} s, {fastest} s"
            );
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn a_chosen_device_lies_in_its_window_and_fits(need in any_need()) {
        let all: Vec<String> = families().iter().map(|f| f.id.clone()).collect();
        prop_assert_eq!(fitting(&need, &all).unwrap(), choose(&need, &all).ok().map(|c| c.device));
        match choose(&need, &all) {
            Ok(Choice { device, window, passed_over, .. }) => {
                prop_assert!(meets(device.rating().si(), Sense::AtMost, window.highest.si()));
                prop_assert!(meets(device.rating_at(need.ambient).si(), Sense::AtLeast, need.design.si() * 1.25));
                prop_assert!(device.voltage_rating().is_some_and(|v| v >= need.voltage));
                if let Some(fault) = need.fault_high {
                    prop_assert!(device.breaking_capacity().is_some_and(|b| b >= fault));
                }
                if let Some(fault) = need.fault_low {
                    let slowest = device.opening_time(fault).unwrap().high();
                    prop_assert!(slowest.is_some_and(|t| t <= need.clear_within));
                    let through = device.let_through(fault).unwrap().high().unwrap();
                    prop_assert!(need.withstand.is_none_or(|w| meets(through.si(), Sense::AtMost, w.si())));
                }
                // The families before it are explained, one by one.
                let before = all.iter().position(|id| *id == device.family().id).unwrap();
                prop_assert_eq!(passed_over.len(), before);
                // No smaller rating of the family fits.
                for rating in device.family().ratings.iter().filter(|r| **r < device.rating()) {
                    let smaller = Device::new(&device.family().id, *rating).unwrap();
                    let fails = judge("x", &smaller, &need).unwrap().iter().any(|j| j.verdict == Verdict::Fail);
                    prop_assert!(fails, "{smaller} would do instead of {device}");
                }
            }
            Err(NoDevice::NoneFits(refusals)) => {
                prop_assert_eq!(refusals.len(), all.len());
                for refusal in &refusals {
                    prop_assert!(!refusal.why.is_empty() && !refusal.remedies.is_empty(), "{refusal:?}");
                }
                // Nothing was overlooked: every single device fails something.
                for family in families() {
                    for rating in &family.ratings {
                        let device = Device::new(&family.id, *rating).unwrap();
                        let all = judge("x", &device, &need).unwrap();
                        prop_assert!(all.iter().any(|j| j.verdict == Verdict::Fail), "{device} fits {need:?}");
                    }
                }
            }
            Err(error) => prop_assert!(false, "{error}"),
        }
    }

    #[test]
    fn a_missing_breaking_capacity_never_passes(device in any_device(), fault in between::<Current>(1e-3, 1e5)) {
        let need = Need {
            fault_high: Some(fault),
            ..Need::new(amperes(1.0), amperes(1000.0), volts(14.4), Temperature::celsius(25.0))
        };
        let all = judge("x", &device, &need).unwrap();
        let breaking = all.iter().find(|j| j.rule == "device-breaking").unwrap();
        match device.breaking_capacity() {
            None => prop_assert_eq!(breaking.verdict, Verdict::Fail),
            Some(capacity) => {
                let fits = meets(capacity.si(), Sense::AtLeast, fault.si());
                prop_assert_eq!(breaking.verdict == Verdict::Pass, fits);
            }
        }
    }

    #[test]
    fn a_working_says_the_same(device in any_device(), m in multiple()) {
        let mut working = Working::new("when does it open?");
        let current = device.rating() * m;
        let recorded = device.opening_time_recorded(current, &mut working).unwrap();
        prop_assert_eq!(recorded, device.opening_time(current).unwrap());
        prop_assert_eq!(working.steps.len(), 3);
        prop_assert!(working.confidence().unwrap() >= device.confidence());
    }
}

fn sound() -> Need {
    Need {
        fault_high: Some(amperes(900.0)),
        fault_low: Some(amperes(131.0)),
        withstand: Some(LetThrough::ampere_squared_seconds(29_756.0)),
        ..Need::new(amperes(7.0), amperes(20.0), volts(29.2), Temperature::celsius(25.0))
    }
}

#[test]
fn bad_input_is_an_error_and_never_a_number() {
    let device = Device::new("iso8820-3-blade", amperes(10.0)).unwrap();
    let blade = vec!["iso8820-3-blade".to_string()];
    for bad in [f64::NAN, 0.0, -1.0, f64::INFINITY, f64::NEG_INFINITY] {
        assert!(device.opening_time(amperes(bad)).is_err(), "{bad}");
        assert!(device.let_through(amperes(bad)).is_err(), "{bad}");
        assert!(Device::new("iso8820-3-blade", amperes(bad)).is_err(), "{bad}");
        assert!(device.clone().declared(volts(bad), amperes(1e4)).is_err(), "{bad}");
        assert!(device.clone().declared(volts(32.0), amperes(bad)).is_err(), "{bad}");
        for need in [
            Need { design: amperes(bad), ..sound() },
            Need { conductor_limit: amperes(bad), ..sound() },
            Need { other_limits: vec![("bus".into(), amperes(bad))], ..sound() },
            Need { voltage: volts(bad), ..sound() },
            Need { next_standard_from: Some(amperes(bad)), ..sound() },
            Need { withstand: Some(LetThrough::ampere_squared_seconds(bad)), ..sound() },
            Need { clear_within: seconds(bad), ..sound() },
        ] {
            assert!(
                matches!(choose(&need, &blade), Err(NoDevice::Question(Error::Input { .. }))),
                "{need:?}"
            );
            assert!(judge("x", &device, &need).is_err(), "{need:?}");
        }
        if bad != 0.0 {
            for need in [
                Need { fault_high: Some(amperes(bad)), ..sound() },
                Need { fault_low: Some(amperes(bad)), ..sound() },
            ] {
                assert!(matches!(choose(&need, &blade), Err(NoDevice::Question(_))), "{need:?}");
            }
            assert!(
                choose(&Need { ambient: Temperature::celsius(bad * 1e9), ..sound() }, &blade).is_err(),
                "{bad}"
            );
        }
    }
    for bad in [f64::NAN, -1.0, f64::INFINITY] {
        assert!(coordinate(&device, &device, amperes(bad), amperes(1.0)).is_err(), "{bad}");
        assert!(coordinate(&device, &device, amperes(100.0), amperes(bad)).is_err(), "{bad}");
        assert!(holds("x", &device, amperes(bad), seconds(1.0)).is_err(), "{bad}");
        assert!(holds("x", &device, amperes(20.0), seconds(bad)).is_err(), "{bad}");
    }
    assert_eq!(device.opens_within(seconds(f64::NAN)), None);
    assert_eq!(device.opens_within(seconds(0.0)), None);
    assert_eq!(device.opens_within(seconds(-1.0)), None);
    assert_eq!(device.rating_at(Temperature::celsius(f64::NAN)), amperes(0.0));
    assert!(matches!(choose(&sound(), &[]), Err(NoDevice::Question(_))));
    assert!(matches!(choose(&sound(), &["fuse".to_string()]), Err(NoDevice::Question(_))));
    let crossed = Need { fault_low: Some(amperes(1000.0)), ..sound() };
    assert!(matches!(choose(&crossed, &blade), Err(NoDevice::Question(_))));
}

#[test]
fn a_source_that_shuts_down_cannot_open_a_fuse() {
    let need = Need { fault_low: Some(amperes(0.0)), ..sound() };
    let none = choose(&need, &["iso8820-3-blade".to_string()]).unwrap_err();
    assert_eq!(none.refusals()[0].rule, "device-clears");
}

#[test]
fn refusals_name_the_reason_and_the_remedy() {
    let ids = |list: &[&str]| list.iter().map(ToString::to_string).collect::<Vec<_>>();
    // 25 A asks for 31.25 A; a conductor of 30 A allows no blade fuse: 35 A is wanted.
    let need = Need::new(amperes(25.0), amperes(30.0), volts(14.4), Temperature::celsius(20.0));
    let none = choose(&need, &ids(&["iso8820-3-blade"])).unwrap_err();
    assert_eq!(none.refusals()[0].rule, "device-protects");
    assert_eq!(
        none.remedies()[0].to_string(),
        "a larger conductor: one that allows 35 A instead of 30 A (1.17 times)"
    );
    // A long thin run: 40 A at the far end never opens a 20 A fuse in time; it needs more than twice its rating.
    let need = Need {
        fault_low: Some(amperes(36.0)),
        ..Need::new(amperes(15.0), amperes(30.0), volts(14.4), Temperature::celsius(20.0))
    };
    let none = choose(&need, &ids(&["iso8820-3-blade"])).unwrap_err();
    assert_eq!(none.refusals()[0].rule, "device-clears");
    assert!(none.to_string().contains("40 A at the far end instead of 36 A"), "{none}");
    // 48 V bank charging at 58 V: blade and strip fuses stop at 32 V, class T takes over.
    let need = Need {
        fault_high: Some(amperes(10_600.0)),
        fault_low: Some(amperes(4_600.0)),
        ..Need::new(amperes(160.0), amperes(300.0), volts(58.0), Temperature::celsius(30.0))
    };
    let choice = choose(&need, &ids(&["iso8820-5-strip", "ul248-15-class-t"])).unwrap();
    assert_eq!(choice.device.to_string(), "ul248-15-class-t 225 A");
    assert_eq!(choice.passed_over[0].rule, "device-voltage");
    // The same at 24 V: the strip fuse breaks 2 kA of 10.6 kA.
    let need = Need { voltage: volts(29.2), ..need };
    let choice = choose(&need, &ids(&["iso8820-5-strip", "ul248-15-class-t"])).unwrap();
    assert_eq!(choice.passed_over[0].rule, "device-breaking");
    let error: Error = choose(&need, &ids(&["iso8820-5-strip"])).unwrap_err().into();
    assert_eq!(error.code(), "no-solution");
    // What is not known is said, never passed.
    let unknown = Need { fault_high: None, fault_low: None, ..need };
    let choice = choose(&unknown, &ids(&["iso8820-5-strip"])).unwrap();
    let open: Vec<_> = choice.judgements("source.bank");
    let untested = open.iter().filter(|j| j.verdict == Verdict::NotTested).count();
    assert_eq!(untested, 4);
    assert!(open.iter().all(|j| j.subject == "source.bank"));
}

#[test]
fn a_declared_breaker_can_be_judged() {
    let bare = Device::new("ul489-breaker", amperes(100.0)).unwrap();
    let need = Need {
        fault_high: Some(amperes(4000.0)),
        ..Need::new(amperes(70.0), amperes(120.0), volts(29.2), Temperature::celsius(40.0))
    };
    let verdict = |device: &Device, rule: &str| {
        judge("x", device, &need).unwrap().into_iter().find(|j| j.rule == rule).unwrap().verdict
    };
    assert_eq!(verdict(&bare, "device-breaking"), Verdict::Fail);
    assert_eq!(verdict(&bare, "device-voltage"), Verdict::Fail);
    let declared = bare.declared(volts(65.0), amperes(5000.0)).unwrap();
    assert_eq!(verdict(&declared, "device-breaking"), Verdict::Pass);
    assert_eq!(verdict(&declared, "device-voltage"), Verdict::Pass);
}

#[test]
fn gg_fuses_at_1_6_to_1_melt_in_order() {
    // IEC 60269: gG fuse-links whose ratings stand at 1.6 : 1 are selective; by the gates, for melting within 0.1 s.
    let ratings =
        [16.0, 20.0, 25.0, 32.0, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 315.0, 400.0];
    let larger =
        [25.0, 32.0, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 315.0, 400.0, 500.0, 630.0];
    for (small, large) in ratings.into_iter().zip(larger) {
        let gg = |rating| Device::new("iec60269-gg", amperes(rating)).unwrap();
        let (small, large) = (gg(small), gg(large));
        let from = small.opens_within(seconds(0.1)).unwrap();
        let i2t_at = small.opens_within(seconds(0.01)).unwrap();
        for current in [from, i2t_at] {
            let (first, second) =
                (small.opening_time(current).unwrap().high(), large.opening_time(current).unwrap().low());
            assert!(
                meets(first.unwrap().si(), Sense::AtMost, second.unwrap().si() * 1.01),
                "{small} {first:?}, {large} {second:?} at {current:?}"
            );
        }
    }
}

#[test]
fn an_impossible_distance_is_undecided() {
    for bad in [f64::NAN, -0.1, f64::INFINITY] {
        let found = placement::judge(
            "circuit.F1",
            "panel bus",
            Some(metres(bad)),
            metres(0.2),
            "ISO 10133:2000, 8.1",
            Confidence::Published,
        );
        assert_eq!(found.verdict, Verdict::Undecided, "{bad}");
    }
}
