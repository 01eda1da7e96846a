//! Laws of how large a bank has to be.

use orlop::cell::{ChemistryId, Peukert};
use orlop::energy::{BankNeed, DutyCycle, Period, RateFactor, temperature_factor};
use orlop::units::{Fraction, Number, Quantity, Temperature, ampere_hours, amperes, joules, seconds, volts};
use orlop::{Error, Range, Working};
use proptest::prelude::*;

fn period(amps: f64, minutes: f64) -> Period {
    Period { current: amperes(amps), time: seconds(60.0 * minutes) }
}
fn one() -> Range<Number> {
    Range::exactly(Number::of(1.0))
}
fn whole() -> Fraction {
    Fraction::new(1.0)
}
fn none() -> Fraction {
    Fraction::new(0.0)
}
fn rate(hours: f64, exponent: f64) -> RateFactor {
    RateFactor::peukert(seconds(3600.0 * hours), exponent).unwrap()
}
/// Bare size of a cycle, Ah.
fn size(periods: Vec<Period>, rate: &RateFactor) -> f64 {
    let cycle = DutyCycle::new(periods).unwrap();
    cycle.size(rate, one(), none(), whole()).unwrap().capacity.high().unwrap().out()
}
fn need(kwh: f64, days: f64, depth: f64) -> BankNeed {
    BankNeed::new(joules(3.6e6 * kwh), days, volts(25.6), Fraction::new(depth)).unwrap()
}
fn capacity(need: &BankNeed) -> f64 {
    need.size().unwrap().capacity.high().unwrap().out()
}

fn periods() -> impl Strategy<Value = Vec<Period>> {
    prop::collection::vec((0.1..300.0_f64, 1.0..300.0_f64).prop_map(|(a, t)| period(a, t)), 1..9)
}

proptest! {
    #[test]
    fn a_period_cut_in_two_changes_nothing(list in periods(), at in 0..9_usize, share in 0.2..0.8_f64, k in 1.0..1.4_f64) {
        let n = at % list.len();
        let mut cut = list.clone();
        let t = cut[n].time.si();
        prop_assume!(t * share.min(1.0 - share) >= 60.0);
        cut[n].time = seconds(t * share);
        cut.insert(n + 1, Period { current: list[n].current, time: seconds(t * (1.0 - share)) });
        let rate = rate(20.0, k);
        prop_assert!((size(cut, &rate) / size(list, &rate) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn currents_scale(list in periods(), by in 0.1..10.0_f64, k in 1.0..1.4_f64) {
        let more = list.iter().map(|p| Period { current: p.current * by, ..*p }).collect();
        let rate = rate(20.0, k);
        prop_assert!((size(more, &rate) / (by * size(list, &rate)) - 1.0).abs() < 1e-9);
    }

    /// With exponent 1 an ampere-hour is an ampere-hour, whenever it is drawn.
    #[test]
    fn without_haste_the_charge_counts(list in periods()) {
        let drawn: f64 = list.iter().map(|p| p.current.si() * p.time.si()).sum::<f64>() / 3600.0;
        prop_assert!((size(list, &rate(20.0, 1.0)) / drawn - 1.0).abs() < 1e-9);
    }

    /// One current is Peukert's question asked backward.
    #[test]
    fn one_current_is_peukert(ah in 20.0..800.0_f64, i in 1.0..400.0_f64, k in 1.0..1.4_f64) {
        let battery = Peukert::new(ampere_hours(ah), seconds(72e3), k).unwrap();
        let time = battery.time(amperes(i)).unwrap();
        prop_assume!(time.si() > 60.0);
        let found = size(vec![Period { current: amperes(i), time }], &rate(20.0, k));
        prop_assert!((found / ah - 1.0).abs() < 1e-9);
        let by_charge = rate(20.0, k).capacity(amperes(i) * time, amperes(i)).unwrap();
        prop_assert!((by_charge.out() / ah - 1.0).abs() < 1e-9);
    }

    /// A bank needs at least the charge that is drawn, and no load is taken away by adding one.
    #[test]
    fn more_asks_for_more(list in periods(), more in 0.1..200.0_f64, k in 1.0..1.4_f64) {
        let rate = rate(20.0, k);
        let drawn: f64 = list.iter().map(|p| p.current.si() * p.time.si()).sum::<f64>() / 3600.0;
        let before = size(list.clone(), &rate);
        prop_assert!(before >= drawn * (1.0 - 1e-9));
        let higher = list.iter().map(|p| Period { current: p.current + amperes(more), ..*p }).collect();
        prop_assert!(size(higher, &rate) >= before);
    }

    #[test]
    fn days_depth_cold_and_haste_ask_for_more(
        kwh in 0.2..20.0_f64, days in 0.5..5.0_f64, depth in 0.2..0.9_f64, k in 1.0..1.3_f64, i in 1.0..200.0_f64, cold in 1.0..1.5_f64,
    ) {
        let plain = need(kwh, days, depth);
        let bare = capacity(&plain);
        prop_assert!((bare - 1000.0 * kwh * days / 25.6 / depth / 0.8).abs() < 1e-9 * bare);
        prop_assert!(capacity(&need(kwh, days + 0.5, depth)) > bare);
        prop_assert!(capacity(&need(kwh, days, depth + 0.1)) < bare);
        prop_assert!(capacity(&plain.clone().with_rate(rate(20.0, k), amperes(i)).unwrap()) >= bare * (1.0 - 1e-12));
        let range = Range::new(Number::of(1.0), Number::of(cold));
        prop_assert!(capacity(&plain.clone().with_temperature(range).unwrap()) >= bare);
        prop_assert!(capacity(&plain.with_margin(Fraction::new(0.1)).unwrap()) > bare);
    }

    #[test]
    fn the_colder_the_larger(a in 0.0..26.0_f64, b in 0.0..26.0_f64) {
        let (cold, warm) = (a.min(b), a.max(b));
        for id in ChemistryId::ALL {
            let of = |t| temperature_factor(*id, Temperature::celsius(t)).unwrap().value;
            prop_assert!(of(cold).low() >= of(warm).low() && of(cold).high() >= of(warm).high());
        }
    }
}

#[test]
fn points_of_a_sheet_give_what_the_law_gives() {
    let law = rate(8.0, 1.2);
    let points: Vec<_> = [60.0, 600.0, 3600.0, 10_800.0, 28_800.0]
        .into_iter()
        .map(|t| (seconds(t), law.at(seconds(t)).unwrap()))
        .collect();
    let sheet = RateFactor::points(points).unwrap();
    // A power law is straight on double-logarithmic paper.
    for t in [61.0, 333.0, 5000.0, 28_799.0] {
        let (a, b) = (sheet.at(seconds(t)).unwrap().si(), law.at(seconds(t)).unwrap().si());
        assert!((a / b - 1.0).abs() < 1e-12);
    }
    assert!(matches!(sheet.at(seconds(59.0)), Err(Error::OutOfTable { .. })));
}

#[test]
fn less_than_a_minute_counts_as_a_minute() {
    let start = Period { current: amperes(300.0), time: seconds(2.0) };
    let cycle = DutyCycle::new([start]).unwrap();
    let size = cycle.size(&rate(20.0, 1.1), one(), none(), whole()).unwrap();
    assert_eq!(size.flags.len(), 1);
    assert_eq!(size.sections[0].terms[0].to_end, seconds(60.0));
}

#[test]
fn workings_tell_the_same() {
    let mut working = Working::new("days");
    let recorded = need(4.48, 2.0, 0.8).size_recorded(&mut working).unwrap();
    assert_eq!(recorded, need(4.48, 2.0, 0.8).size().unwrap());
    assert!(working.to_string().contains("E_day days/(U efficiency)"));
}

#[test]
fn bad_input_has_no_number() {
    let nan = f64::NAN;
    let energy = |kwh: f64| joules(3.6e6 * kwh);
    for (kwh, days, u, depth) in [
        (0.0, 1.0, 12.0, 0.5),
        (1.0, 0.0, 12.0, 0.5),
        (1.0, nan, 12.0, 0.5),
        (1.0, 1.0, -12.0, 0.5),
        (1.0, 1.0, 12.0, 0.0),
        (1.0, 1.0, 12.0, 1.1),
        (nan, 1.0, 12.0, 0.5),
    ] {
        assert!(BankNeed::new(energy(kwh), days, volts(u), Fraction::new(depth)).is_err());
    }
    let good = || need(1.0, 1.0, 0.5);
    assert!(good().with_left(Fraction::new(nan)).is_err());
    assert!(good().with_efficiency(Fraction::new(1.2)).is_err());
    assert!(good().with_margin(Fraction::new(-0.1)).is_err());
    assert!(good().with_temperature(Range::from_bounds(None, Some(Number::of(1.1)))).is_err());
    assert!(good().with_rate(rate(20.0, 1.1), amperes(0.0)).is_err());
    assert!(DutyCycle::new([]).is_err());
    assert!(DutyCycle::new([period(0.0, 5.0)]).is_err());
    assert!(DutyCycle::new([period(-1.0, 5.0)]).is_err());
    assert!(DutyCycle::new([period(1.0, 0.0)]).is_err());
    assert!(DutyCycle::new([period(f64::INFINITY, 1.0)]).is_err());
    let cycle = DutyCycle::new([period(1.0, 5.0)]).unwrap();
    assert!(cycle.clone().with_random(period(0.0, 1.0)).is_err());
    assert!(cycle.size(&rate(20.0, 1.1), one(), none(), none()).is_err());
    assert!(cycle.size(&rate(20.0, 1.1), one(), Fraction::new(nan), whole()).is_err());
    assert!(cycle.size(&rate(20.0, 1.1), Range::from_bounds(None, None), none(), whole()).is_err());
    assert!(RateFactor::peukert(seconds(0.0), 1.1).is_err());
    assert!(RateFactor::peukert(seconds(1.0), 0.9).is_err());
    let s = seconds;
    assert!(RateFactor::points([(s(60.0), s(60.0))]).is_err());
    assert!(RateFactor::points([(s(60.0), s(50.0)), (s(90.0), s(95.0))]).is_err());
    assert!(RateFactor::points([(s(60.0), s(70.0)), (s(60.0), s(95.0))]).is_err());
    assert!(RateFactor::points([(s(60.0), s(99.0)), (s(90.0), s(95.0))]).is_err());
    for (id, t) in [
        (ChemistryId::Lfp, -5.0),
        (ChemistryId::LeadAgm, -20.0),
        (ChemistryId::LeadGel, 70.0),
        (ChemistryId::Lto, nan),
    ] {
        assert!(matches!(temperature_factor(id, Temperature::celsius(t)), Err(Error::OutOfTable { .. })));
    }
}
