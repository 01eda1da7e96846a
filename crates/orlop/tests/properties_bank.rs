//! What must hold for balancing, thresholds, managers, links and boxes, whatever the numbers.

use orlop::cell::{ChemistryId, CurveAt, Size, StateOfCharge};
use orlop::conductor::busbar::FlatBar;
use orlop::conductor::{Conductor, Material};
use orlop::pack::balance::{BenchSupply, Bleeder, drift, spread, to_the_top};
use orlop::pack::enclosure::{
    Gaps, Hull, Inside, Item, Stance, arrangements, centre_of_gravity, judge_fit, rise, total_mass,
};
use orlop::pack::fixture::{Fixture, clamp_force, force, pressure, torque_for};
use orlop::pack::link::Jumper;
use orlop::pack::manager::{Coil, Contactor, Demand, Manager, PreCharge, Standing, Switch, judge_breaking};
use orlop::pack::restraint::{HoldDown, Motion, judge, judge_movement, needed, pull_of_the_rule};
use orlop::pack::threshold::{Discharge, Ladder, Role, Rung};
use orlop::pack::ventilation::{
    Gassing, Installation, air_by_cfr46, hydrogen_per_hour, ventilation, ventilation_recorded,
};
use orlop::protection::Device;
use orlop::units::{
    ConductorSize, Force, Fraction, Pressure, Quantity, Temperature, TemperatureRise, Torque, ampere_hours,
    amperes, farads, joules, kilograms, metres, millimetres, newton_metres, newtons, ohms, parse, seconds,
    square_metres, volts, watts,
};
use orlop::{Confidence, Judgement, Range, Verdict, Working};
use proptest::prelude::*;

fn celsius(t: f64) -> Temperature {
    Temperature::celsius(t)
}

fn soc(share: f64) -> StateOfCharge {
    StateOfCharge::new(share).unwrap()
}

fn lfp() -> CurveAt {
    ChemistryId::Lfp.chemistry().curve_at(None, celsius(25.0)).unwrap()
}

fn of<'a>(all: &'a [Judgement], rule: &str) -> Vec<&'a Judgement> {
    all.iter().filter(|j| j.rule == rule).collect()
}

// ---------------------------------------------------------------- balance

#[test]
fn a_bench_charge_takes_what_the_cells_lack_and_leads_cost_time() {
    let cells = [(ampere_hours(280.0), soc(0.5)), (ampere_hours(280.0), soc(0.3))];
    let charge = |leads: f64| {
        let supply = BenchSupply::new(volts(3.60), amperes(10.0), ohms(leads)).unwrap();
        supply.charge(&lfp(), &cells, ohms(0.5e-3), amperes(0.5)).unwrap()
    };
    let (bare, thin) = (charge(0.0), charge(0.03));
    // 0.5 + 0.7 of 280 Ah: 336 Ah at 10 A are 33.6 h while the limit holds.
    assert!((bare.charge.out() - 336.0).abs() < 0.1, "{bare:?}");
    assert!((bare.time.si() / 3600.0 - 33.6).abs() < 0.05, "{bare:?}");
    assert_eq!(bare.drop.si(), 0.0);
    assert!(thin.time > bare.time && (thin.drop.si() - 0.3).abs() < 1e-9);
    assert!((thin.without_leads.si() / bare.time.si() - 1.0).abs() < 1e-9);
    // Too low a setting never fills them.
    let low = BenchSupply::new(volts(3.34), amperes(10.0), ohms(0.02)).unwrap();
    let end = low.charge(&lfp(), &cells, ohms(0.5e-3), amperes(0.5)).unwrap();
    assert!(end.reached.si() < 1.0);
    let none = BenchSupply::new(volts(3.0), amperes(10.0), ohms(0.02)).unwrap();
    assert_eq!(none.charge(&lfp(), &cells, ohms(0.0), amperes(0.5)).unwrap_err().code(), "no-solution");
}

proptest! {
    /// The time of the kernel against a plain march of small steps.
    #[test]
    fn the_bench_time_is_that_of_a_march(
        from in 0.0..0.9_f64, set in 3.36..3.65_f64, limit in 2.0..50.0_f64, leads in 0.0..0.05_f64,
    ) {
        let (q, r, tail) = (100.0 * 3600.0, leads + 1e-3, 1.0);
        let curve = lfp();
        let supply = BenchSupply::new(volts(set), amperes(limit), ohms(leads)).unwrap();
        let got = supply.charge(&curve, &[(ampere_hours(100.0), soc(from))], ohms(1e-3), amperes(tail)).unwrap();
        let (steps, mut z, mut time) = (200_000, from, 0.0);
        let dz = (1.0 - from) / f64::from(steps);
        for _ in 0..steps {
            let i = ((set - curve.voltage(z + 0.5 * dz)) / r).min(limit);
            if i <= tail { break; }
            time += q * dz / i;
            z += dz;
        }
        prop_assert!((got.reached.si() - z).abs() < 1e-4, "{:?} {z}", got);
        prop_assert!((got.time.si() - time).abs() < 1e-3 * time + 1.0, "{:?} {time}", got);
    }
}

#[test]
fn balancing_by_arithmetic() {
    let q = ampere_hours(280.0);
    assert!((to_the_top(q, soc(0.9)).unwrap().out() - 28.0).abs() < 1e-9);
    assert!((spread(&[(q, soc(0.9)), (q, soc(0.95)), (q, soc(0.93))]).unwrap().out() - 14.0).abs() < 1e-9);
    // 1 percent of 280 Ah in a month of 730.5 h.
    assert!((drift(q, Fraction::new(0.01)).unwrap().si() - 2.8 / 730.485).abs() < 1e-6);
    let bleeder = Bleeder::of_current(amperes(0.1), volts(3.45)).unwrap();
    let often = bleeder.keeps_up(q, Fraction::new(0.01), Fraction::new(0.1)).unwrap();
    let seldom = bleeder.keeps_up(q, Fraction::new(0.01), Fraction::new(0.01)).unwrap();
    assert_eq!((often.verdict, seldom.verdict), (Verdict::Pass, Verdict::Fail));
    assert!(!seldom.to_do.is_empty());
}

// ---------------------------------------------------------------- thresholds

/// Eight LFP cells in series, 2.5 V to 3.65 V each.
fn good() -> Vec<Rung> {
    let rung = |id, role, v, n| Rung::new(id, role, volts(v), n).unwrap();
    let own = |r: Rung| r.with_tolerance(volts(0.01)).unwrap();
    vec![
        own(rung("cell low", Role::LowLimit, 2.5, 1)).with_tolerance(volts(0.0)).unwrap(),
        own(rung("manager low", Role::LowCutOff, 2.65, 1)),
        rung("inverter", Role::LoadStop, 24.0, 8).with_tolerance(volts(0.2)).unwrap(),
        own(rung("buzzer low", Role::LowAlarm, 3.1, 1)),
        rung("shore", Role::ChargeTarget, 27.6, 8).with_tolerance(volts(0.1)).unwrap(),
        own(rung("buzzer high", Role::HighAlarm, 3.50, 1)),
        own(rung("relay", Role::ChargeStop, 3.55, 1)),
        own(rung("manager high", Role::HighCutOff, 3.60, 1)),
        rung("cell high", Role::HighLimit, 3.65, 1),
    ]
}

fn with(change: impl Fn(Rung) -> Rung) -> Vec<Judgement> {
    Ladder::new(good().into_iter().map(change).collect()).unwrap().judgements()
}

#[test]
fn a_good_ladder_passes_and_each_planted_fault_is_found() {
    let fine = with(|r| r);
    assert_eq!(fine.len(), 8);
    assert!(fine.iter().all(|j| j.verdict == Verdict::Pass), "{fine:#?}");

    // Cable drop: 0.05 ohm and 40 A put the cells 0.25 V lower at the inverter's reading, above the alarm.
    let dropped = with(|r| match r.id() {
        "inverter" => r.with_cable(ohms(0.05), amperes(40.0)).unwrap(),
        _ => r,
    });
    let found: Vec<_> = dropped.iter().filter(|j| j.is_finding()).collect();
    assert_eq!(found.len(), 1);
    assert_eq!(
        (found[0].verdict, found[0].subject.as_str()),
        (Verdict::Undecided, "threshold.inverter.buzzer low")
    );

    // Interchanged.
    let wrong = with(|r| match r.id() {
        "manager high" => Rung::new("manager high", Role::HighCutOff, volts(3.7), 1).unwrap(),
        _ => r,
    });
    let found: Vec<_> = wrong.iter().filter(|j| j.is_finding()).collect();
    assert_eq!((found.len(), found[0].verdict, found[0].severity), (1, Verdict::Fail, orlop::Severity::A));

    // Left out.
    let rungs = good().into_iter().filter(|r| r.id() != "buzzer low").collect();
    let all = Ladder::new(rungs).unwrap().judgements();
    let found = of(&all, "threshold-present");
    assert_eq!((found.len(), found[0].subject.as_str()), (1, "threshold.low-alarm"));
}

proptest! {
    /// Errors never mend an order: what passes with a larger error passes with a smaller one.
    #[test]
    fn a_larger_error_never_makes_a_pass(error in 0.0..0.3_f64, more in 0.0..0.3_f64, cable in 0.0..0.05_f64) {
        let verdicts = |e: f64| -> Vec<bool> {
            with(|r| r.with_tolerance(volts(e)).unwrap().with_cable(ohms(cable), amperes(20.0)).unwrap())
                .iter()
                .map(|j| j.verdict == Verdict::Pass)
                .collect()
        };
        for (small, large) in verdicts(error).into_iter().zip(verdicts(error + more)) {
            prop_assert!(small || !large);
        }
    }

    #[test]
    fn a_cell_lies_within_what_its_rung_says(
        set in 24.0..29.0_f64, error in 0.0..0.3_f64, r in 0.0..0.02_f64, i in 0.0..100.0_f64, u in 0.0..1.0_f64,
    ) {
        // A charger that regulates its own terminals while any current up to i flows.
        let rung = Rung::new("c", Role::ChargeTarget, volts(set), 8).unwrap()
            .with_tolerance(volts(error)).unwrap()
            .with_cable(ohms(r), amperes(i)).unwrap();
        let cell = (set + error * (2.0 * u - 1.0) - r * i * u) / 8.0;
        let range = rung.at_cell();
        prop_assert!(range.low().unwrap().si() <= cell + 1e-12 && cell <= range.high().unwrap().si() + 1e-12);
    }
}

#[test]
fn lead_time_is_charge_over_current() {
    let curve = lfp();
    let points: Vec<(f64, f64)> = curve.points().collect();
    // Thresholds on two points of the curve, less the sag.
    let ((z1, v1), (z2, v2)) = (points[4], points[1]);
    let sag = 20.0 * 0.5e-3;
    let ladder = Ladder::new(vec![
        Rung::new("alarm", Role::LowAlarm, volts(v1 - sag), 1).unwrap(),
        Rung::new("cut", Role::LowCutOff, volts(v2 - sag), 1).unwrap(),
    ])
    .unwrap();
    let of_bank = Discharge::new(curve, ampere_hours(230.0), ohms(0.5e-3), amperes(20.0)).unwrap();
    let time = ladder.lead_time("alarm", "cut", &of_bank).unwrap();
    let want = (z1 - z2) * 230.0 / 20.0 * 3600.0;
    assert!((time.low().unwrap().si() / want - 1.0).abs() < 1e-9 && time.low() == time.high());
    let short = ladder.warned_in_time(seconds(1.01 * want), &of_bank).unwrap();
    let long = ladder.warned_in_time(seconds(0.99 * want), &of_bank).unwrap();
    assert_eq!((short[0].verdict, long[0].verdict), (Verdict::Fail, Verdict::Pass));
    let reversed = ladder.lead_time("cut", "alarm", &of_bank).unwrap();
    assert_eq!(reversed.high().unwrap().si(), 0.0);
    assert!(ladder.lead_time("nobody", "cut", &of_bank).unwrap_err().to_string().contains("alarm"));
}

// ---------------------------------------------------------------- manager

#[test]
fn managers_after_the_loss_of_one_string() {
    let demand = |i, n| Demand::new(amperes(i), n).unwrap();
    assert_eq!(demand(185.0, 1).each_after_a_loss(), demand(185.0, 2).each_after_a_loss());
    assert!((demand(185.0, 3).each_after_a_loss().si() - 92.5).abs() < 1e-9);
    let manager = Manager::new(amperes(150.0)).unwrap().with_peak(amperes(300.0), seconds(10.0)).unwrap();
    let peak = |i, t| demand(120.0, 2).with_peak(amperes(i), seconds(t)).unwrap();
    let verdict = |d: &Demand, rule| of(&manager.judge(d), rule)[0].verdict;
    assert_eq!(verdict(&peak(280.0, 5.0), "manager-continuous"), Verdict::Pass);
    assert_eq!(verdict(&peak(280.0, 5.0), "manager-peak"), Verdict::Pass);
    assert_eq!(verdict(&peak(310.0, 5.0), "manager-peak"), Verdict::Fail);
    assert_eq!(verdict(&peak(280.0, 20.0), "manager-peak"), Verdict::Undecided);
    assert_eq!(verdict(&peak(140.0, 60.0), "manager-peak"), Verdict::Pass);
    assert_eq!(verdict(&demand(121.0, 2), "manager-continuous"), Verdict::Fail);
    assert_eq!(verdict(&demand(121.0, 2), "manager-peak"), Verdict::NotTested);
    assert_eq!(verdict(&demand(100.0, 1), "manager-redundancy"), Verdict::Fail);
}

proptest! {
    /// Voltage and heat of the filling against a march of small steps.
    #[test]
    fn a_filling_is_that_of_a_march(r in 5.0..50.0_f64, c in 1e-3..20e-3_f64, load in 20.0..1000.0_f64, times in 1.0..6.0_f64) {
        let (u, limit) = (25.6, times * r * c);
        let pre = PreCharge::new(volts(u), farads(c), ohms(r)).unwrap()
            .with_standing(Standing::Resistance(ohms(load))).unwrap()
            .with_limit(seconds(limit)).unwrap();
        let got = pre.filling().unwrap();
        let (steps, mut v, mut heat) = (20_000, 0.0_f64, 0.0);
        let dt = limit / f64::from(steps);
        for _ in 0..steps {
            let slope = |v: f64| ((u - v) / r - v / load) / c;
            let middle = v + 0.5 * dt * slope(v);
            heat += (u - middle) * (u - middle) / r * dt;
            v += dt * slope(middle);
        }
        prop_assert!((got.reached.si() / v - 1.0).abs() < 1e-4, "{got:?} {v}");
        prop_assert!((got.energy.si() / heat - 1.0).abs() < 1e-4, "{got:?} {heat}");
        prop_assert!(got.reached <= got.settles && got.energy < got.energy_short);
    }
}

#[test]
fn pre_charge_with_standing_loads_and_a_short() {
    let pre = |standing| {
        PreCharge::new(volts(25.6), farads(0.012), ohms(15.0)).unwrap().with_standing(standing).unwrap()
    };
    // 25.6 V on 15 ohm pass 10.9 W at most: U^2/(4 R).
    let asleep = pre(Standing::Nothing).judge(Some(joules(40.0))).unwrap();
    assert_eq!((asleep[0].verdict, asleep[1].verdict), (Verdict::Pass, Verdict::Pass));
    let awake = pre(Standing::Power(watts(11.0))).judge(None).unwrap();
    assert_eq!((awake.len(), awake[0].verdict), (1, Verdict::Fail));
    assert!(awake[0].what.contains("10.9 W"), "{}", awake[0].what);
    let some = pre(Standing::Power(watts(5.0)));
    let v = some.filling().unwrap().settles.si();
    assert!(((25.6 - v) / 15.0 * v - 5.0).abs() < 1e-9 && v > 12.8);
    assert_eq!(some.judge(None).unwrap()[0].verdict, Verdict::Fail);
    assert_eq!(some.judge(None).unwrap()[1].verdict, Verdict::NotTested);
    // 0.1 A of alarms take 1.5 V: 94 percent.
    assert_eq!(pre(Standing::Current(amperes(0.1))).judge(None).unwrap()[0].verdict, Verdict::Fail);
    // 43.7 W for 0.9 s.
    let short = pre(Standing::Nothing).filling().unwrap();
    assert!((short.energy_short.si() - 25.6 * 25.6 / 15.0 * 0.9).abs() < 1e-9);
    assert_eq!(pre(Standing::Nothing).judge(Some(joules(39.0))).unwrap()[1].verdict, Verdict::Fail);
    let jump = pre(Standing::Nothing).closing_current(ohms(0.01)).unwrap();
    assert!((jump.si() - 25.6 * (-5.0_f64).exp() / 0.01).abs() < 1e-6);
    let wanted = PreCharge::of_current(volts(25.6), farads(0.012), amperes(2.0)).unwrap();
    assert!((wanted.resistor().si() - 12.8).abs() < 1e-12);
}

proptest! {
    /// The closed form against the fixed point it solves; the derating gives the limit back.
    #[test]
    fn a_switch_settles(i in 1.0..150.0_f64, r in 0.1e-3..1e-3_f64, growth in 0.0..0.007_f64, air in -10.0..60.0_f64) {
        let switch = Switch::new(ohms(r), growth, TemperatureRise::kelvins(30.0), watts(20.0)).unwrap();
        if let Ok(warm) = switch.under(amperes(i), celsius(air)) {
            let t = warm.temperature.degrees_celsius();
            let loss = i * i * r * (1.0 + growth * (t - 25.0));
            prop_assert!((warm.loss.si() - loss).abs() < 1e-9 * (1.0 + loss));
            prop_assert!((t - air - 1.5 * loss).abs() < 1e-9 * (1.0 + loss));
            if t - air > 0.01 {
                let back = switch.current_at(warm.temperature, celsius(air)).unwrap();
                prop_assert!((back.si() / i - 1.0).abs() < 1e-6);
            }
        }
    }
}

#[test]
fn a_switch_that_runs_away_fails() {
    let switch = Switch::new(ohms(2e-3), 0.006, TemperatureRise::kelvins(60.0), watts(10.0)).unwrap();
    assert_eq!(switch.under(amperes(150.0), celsius(40.0)).unwrap_err().code(), "no-solution");
    let judged = switch.judge(amperes(150.0), celsius(40.0), celsius(100.0)).unwrap();
    assert_eq!(judged.verdict, Verdict::Fail);
    assert!(Switch::new(ohms(2e-3), 0.5, TemperatureRise::kelvins(60.0), watts(10.0)).is_err());
    let coil = Coil::new(watts(4.0)).unwrap().with_pull_in(watts(40.0), seconds(0.1)).unwrap();
    assert!((coil.energy(seconds(3600.0), 3).unwrap().si() - 14_412.0).abs() < 1e-9);
    assert!((coil.charge(seconds(86_400.0), 0, volts(25.6)).unwrap().out() - 3.75).abs() < 1e-9);
}

#[test]
fn the_fuse_before_the_contactor() {
    let fuse = Device::new("ul248-15-class-t", amperes(200.0)).unwrap();
    let fault = Range::new(amperes(4600.0), amperes(10_600.0));
    let judge = |breaks: Option<f64>, parts: Option<f64>| {
        let contactor = Contactor::new(breaks.map(amperes), parts.map(seconds)).unwrap();
        judge_breaking(&contactor, &fuse, fault).unwrap()
    };
    let slowest = fuse.opening_time(amperes(4600.0)).unwrap().high().unwrap().si();
    assert_eq!(judge(None, Some(1.01 * slowest)).verdict, Verdict::Pass);
    assert_eq!(judge(None, Some(0.5 * slowest)).verdict, Verdict::Fail);
    assert_eq!(judge(Some(11_000.0), None).verdict, Verdict::Pass);
    assert_eq!(judge(Some(2_000.0), None).verdict, Verdict::Fail);
    assert_eq!(judge(None, None).severity, orlop::Severity::A);
    // The contactor breaks the least, the fuse clears the most in time; in between neither acts.
    let slow = Device::new("iec60269-gg", amperes(200.0)).unwrap();
    let wide = Range::new(amperes(800.0), amperes(10_600.0));
    let half = 0.5 * slow.opening_time(amperes(1000.0)).unwrap().high().unwrap().si();
    let contactor = Contactor::new(Some(amperes(1000.0)), Some(seconds(half))).unwrap();
    let between = judge_breaking(&contactor, &slow, wide).unwrap();
    let least = slow.opens_within(seconds(half)).unwrap();
    assert!(least > amperes(1000.0) && least < amperes(10_600.0));
    assert_eq!((between.verdict, between.value), (Verdict::Fail, Some(least.into())));
    assert!(between.what.starts_with("from 1 kA to "), "{}", between.what);
    let unknown = Range::<orlop::units::Current>::from_bounds(None, None);
    assert!(judge_breaking(&Contactor::new(None, None).unwrap(), &fuse, unknown).is_err());
}

// ---------------------------------------------------------------- links, fixture

#[test]
fn links_as_measured() {
    let cold = celsius(20.0);
    let strip = FlatBar::new(millimetres(20.0), millimetres(2.0), Material::Copper).unwrap();
    let bar = Jumper::bar(strip, millimetres(105.0)).unwrap();
    // A builder's four-wire reading of that strip: 0.08 mOhm, 0.045 of it copper.
    assert!((bar.body_resistance(cold).si() - 0.045e-3).abs() < 0.0005e-3);
    assert!(bar.resistance(cold).high().unwrap().si() >= 0.08e-3);
    let size = ConductorSize::parse("35 mm2", "size").unwrap();
    let wire = Conductor::new(size, celsius(105.0), Material::Copper, false).unwrap();
    // A trade article's link: 0.2 m of 35 mm2 at 0.6 mOhm/m and 0.2 mOhm at each end, 0.52 mOhm.
    let article =
        Jumper::cable(wire.clone(), metres(0.2)).unwrap().with_joints(Range::exactly(ohms(0.2e-3))).unwrap();
    assert!((article.resistance(cold).high().unwrap().si() / 0.52e-3 - 1.0).abs() < 0.03);
    assert!(bar.mass().si() > 0.035 && bar.mass().si() < 0.04);
    // Joints warm a link; without them it is the bare bar.
    let air = celsius(30.0);
    let bare = bar.clone().with_joints(Range::exactly(ohms(0.0))).unwrap();
    let t = |l: &Jumper| l.temperature(amperes(100.0), air).unwrap();
    let rise = strip.rise(amperes(100.0), air).unwrap();
    assert_eq!(t(&bare).low().unwrap(), air.plus(rise));
    assert!(t(&bar).low() > t(&bare).low() && t(&bar).high() > t(&bar).low());
    assert!(Jumper::cable(wire, metres(0.0)).is_err());
}

proptest! {
    #[test]
    fn force_and_pressure_go_both_ways(p in 1e3..1e6_f64, w in 0.05..0.3_f64, h in 0.05..0.3_f64, d in 0.004..0.012_f64) {
        let f = force(Pressure::from_si(p), metres(w), metres(h)).unwrap();
        prop_assert!((pressure(f, metres(w), metres(h)).unwrap().si() / p - 1.0).abs() < 1e-12);
        let torque = torque_for(f, metres(d)).unwrap();
        let range = clamp_force(torque, metres(d)).unwrap();
        prop_assert!(range.low().unwrap() < f && f < range.high().unwrap());
    }
}

#[test]
fn a_fixture_breathes() {
    let (w, h) = (millimetres(174.0), millimetres(207.0));
    let kgf = |x: f64| newtons(x * 9.806_65);
    let stiff = Fixture::new(kgf(100.0), (kgf(100.0), millimetres(1.0)), 8, (w, h)).unwrap();
    assert!((stiff.stroke(millimetres(0.5)).unwrap().si() - 4e-3).abs() < 1e-12);
    assert!((stiff.force_after(millimetres(0.5)).unwrap().si() / kgf(500.0).si() - 1.0).abs() < 1e-12);
    let permitted = Range::new(Pressure::from_si(20e3), Pressure::from_si(82e3));
    let judged = stiff.judge(millimetres(0.5), permitted).unwrap();
    assert_eq!((judged[0].verdict, judged[1].verdict), (Verdict::Pass, Verdict::Fail));
    let soft = Fixture::new(kgf(100.0), (kgf(100.0), millimetres(4.0)), 8, (w, h)).unwrap();
    assert!(soft.judge(millimetres(0.5), permitted).unwrap().iter().all(|j| j.verdict == Verdict::Pass));
}

// ---------------------------------------------------------------- box, weights

#[test]
fn sixteen_cells_in_a_box() {
    let cell = Size::parse("54 x 174 x 207 mm", "size").unwrap();
    let gaps = Gaps::new(millimetres(1.0), millimetres(10.0), millimetres(60.0)).unwrap();
    let mm = |a, b, c| Inside::new(millimetres(a), millimetres(b), millimetres(c)).unwrap();
    // Two rows of eight upright: 8 x 54 + 7 + 20 = 459, 2 x 174 + 1 + 20 = 369, 207 + 20 + 60 = 287 mm.
    let fit = |inside, stances: &[Stance]| judge_fit(&inside, cell, 16, stances, 1, &gaps).unwrap();
    let (fits, how) = fit(mm(459.0, 369.0, 287.0), &[Stance::Upright]);
    assert_eq!(fits.verdict, Verdict::Pass);
    assert_eq!(how.rows.map(|r| r.count), [8, 2, 1]);
    let (not, nearest) = fit(mm(459.0, 369.0, 280.0), &[Stance::Upright]);
    assert_eq!(not.verdict, Verdict::Fail);
    assert!(not.to_do.contains("7 mm more height"), "{}", not.to_do);
    assert_eq!(nearest.rows.map(|r| r.count), [8, 2, 1]);
    // The other way round, and on the side where the box is low.
    assert_eq!(fit(mm(369.0, 459.0, 287.0), &[Stance::Upright]).0.verdict, Verdict::Pass);
    let flat = mm(900.0, 560.0, 200.0);
    assert_eq!(fit(flat, &[Stance::Upright]).0.verdict, Verdict::Fail);
    assert_eq!(fit(flat, &[Stance::OnSide, Stance::OnFace]).0.verdict, Verdict::Pass);
}

proptest! {
    #[test]
    fn arrangements_hold_all_cells_and_no_empty_row(count in 1..60_u32, layers in 1..4_u32) {
        let cell = Size::parse("54 x 174 x 207 mm", "size").unwrap();
        let gaps = Gaps::new(millimetres(2.0), millimetres(5.0), millimetres(30.0)).unwrap();
        let all = arrangements(cell, count, Stance::ALL, layers, &gaps).unwrap();
        prop_assert!(!all.is_empty());
        for a in &all {
            let [x, y, z] = a.rows.map(|r| r.count);
            prop_assert!(x * y * z >= count && z <= layers);
            prop_assert!((x - 1) * y * z < count && x * y * (z - 1) < count);
            // The box is never smaller than the cells in it.
            prop_assert!(a.volume().si() >= f64::from(count) * cell.volume().si());
            prop_assert!(a.fits(&a.needs));
        }
    }

    /// A weight that stays does nothing; moves add up; the centre moves by w d over the whole.
    #[test]
    fn weights_add_up(m in 1.0..300.0_f64, a in -3.0..3.0_f64, b in -3.0..3.0_f64, rest in 1000.0..9000.0_f64) {
        let hull = Hull::new(kilograms(rest + m), metres(0.9), metres(12.0), metres(10.0)).unwrap();
        let at = |y| Item { mass: kilograms(m), x: metres(y), y: metres(y), z: metres(y) };
        prop_assert_eq!(hull.heel_deg(&[at(a)], &[at(a)]).unwrap(), 0.0);
        let tan = |from, to| hull.heel_deg(&[at(from)], &[at(to)]).unwrap().to_radians().tan();
        prop_assert!((tan(a, b) + tan(b, 0.0) - tan(a, 0.0)).abs() < 1e-9);
        let boat = Item { mass: kilograms(rest), x: metres(0.0), y: metres(0.0), z: metres(0.0) };
        let g = |y| centre_of_gravity(&[boat, at(y)]).unwrap()[1].si();
        prop_assert!((g(b) - g(a) - m * (b - a) / (rest + m)).abs() < 1e-9);
        prop_assert!((tan(a, b) - (g(b) - g(a)) / 0.9).abs() < 1e-9);
        prop_assert!((total_mass(&[boat, at(a)]).si() - rest - m).abs() < 1e-9);
    }

    #[test]
    fn restraint_is_the_larger_of_rule_and_sea(m in 1.0..300.0_f64, g in 0.0..3.0_f64) {
        let need = needed(kilograms(m), g).unwrap();
        let rule = pull_of_the_rule(kilograms(m)).unwrap();
        prop_assert!(need >= rule && need.si() >= m * g * 9.8);
        prop_assert!(rule.si() <= 400.4 && rule.si() <= 2.0 * m * 9.81);
    }
}

#[test]
fn hold_downs_and_the_pull_test() {
    let mass = kilograms(95.0);
    let holds = HoldDown { up: Some(newtons(2000.0)), sideways: Some(newtons(900.0)), lengthways: None };
    let judged = judge(mass, Motion::COMMON, holds).unwrap();
    let verdicts: Vec<Verdict> = judged.iter().map(|j| j.verdict).collect();
    // 2 g of 95 kg are 1863 N, 1 g is 932 N.
    assert_eq!(verdicts, [Verdict::Pass, Verdict::Fail, Verdict::NotTested]);
    let pull: Force = parse("90 lbf", "pull").unwrap();
    let moved = |mm, f: Force| judge_movement("fore", mass, f, millimetres(mm)).unwrap().verdict;
    assert_eq!(moved(25.0, pull), Verdict::Pass);
    assert_eq!(moved(45.0, pull), Verdict::Fail);
    assert_eq!(moved(25.0, newtons(100.0)), Verdict::Undecided);
    assert_eq!(moved(45.0, newtons(100.0)), Verdict::Fail);
}

#[test]
fn air_grows_with_the_bank_and_with_the_charge() {
    let air = |n, ah, g| ventilation(n, ampere_hours(ah), g).unwrap();
    let (one, two) = (air(12, 200.0, Gassing::VentedBoost), air(12, 400.0, Gassing::VentedBoost));
    assert!((two.air_per_hour.si() / one.air_per_hour.si() - 2.0).abs() < 1e-12);
    assert!((two.keep_away.si() / one.keep_away.si() - 2.0_f64.cbrt()).abs() < 1e-12);
    let worst = Gassing::ALL.iter().map(|g| air(6, 100.0, *g).opening.si()).fold(0.0, f64::max);
    assert_eq!(worst, air(6, 100.0, Gassing::VentedBoost).opening.si());
    // The quarter of the charger counts when it is more.
    let cfr = |i, charger| air_by_cfr46(12, amperes(i), amperes(charger)).unwrap();
    assert_eq!(cfr(5.0, 80.0), cfr(20.0, 80.0));
    // 0.42 l/Ah at 0 degC, 0.45 at 25: textbooks of lead-acid batteries, from memory.
    let gas = |t| hydrogen_per_hour(1, amperes(1.0), celsius(t)).unwrap().out();
    assert!((gas(0.0) - 0.42).abs() < 0.005 && (gas(25.0) - 0.45).abs() < 0.01);
    let size = |w| Installation::of(watts(w)).unwrap();
    assert_eq!(
        [size(100.0), size(200.0), size(2000.0), size(2001.0)],
        [Installation::Small, Installation::Moderate, Installation::Moderate, Installation::Large]
    );
}

#[test]
fn workings_tell_what_the_silent_answers_say() {
    let mut working = Working::new("pre-charge");
    let pre = PreCharge::new(volts(25.6), farads(0.012), ohms(15.0)).unwrap();
    assert_eq!(pre.filling_recorded(&mut working).unwrap(), pre.filling().unwrap());
    assert_eq!((working.steps.len(), working.steps[0].value.as_str()), (6, "1.71 A"));
    let mut working = Working::new("air");
    let air = ventilation_recorded(108, ampere_hours(50.0), Gassing::ValveFloat, &mut working).unwrap();
    assert_eq!(air, ventilation(108, ampere_hours(50.0), Gassing::ValveFloat).unwrap());
    assert_eq!((working.steps[0].value.as_str(), working.confidence()), ("270 l", Some(Confidence::Memory)));
}

// ---------------------------------------------------------------- bad input

#[test]
fn bad_input_has_no_number() {
    let cell = Size::parse("54 x 174 x 207 mm", "size").unwrap();
    let gaps = Gaps::new(metres(0.0), metres(0.0), metres(0.0)).unwrap();
    let up = [Stance::Upright];
    for bad in [f64::NAN, f64::INFINITY, -1.0] {
        assert!(to_the_top(ampere_hours(bad), soc(0.5)).is_err());
        assert!(drift(ampere_hours(100.0), Fraction::new(bad)).is_err());
        assert!(Bleeder::new(ohms(bad), volts(3.4)).is_err());
        assert!(BenchSupply::new(volts(bad), amperes(1.0), ohms(0.0)).is_err());
        assert!(Rung::new("a", Role::LowAlarm, volts(bad), 1).is_err());
        assert!(Rung::new("a", Role::LowAlarm, volts(3.0), 1).unwrap().with_tolerance(volts(bad)).is_err());
        assert!(Discharge::new(lfp(), ampere_hours(1.0), ohms(bad), amperes(1.0)).is_err());
        assert!(Manager::new(amperes(bad)).is_err() && Demand::new(amperes(bad), 1).is_err());
        assert!(PreCharge::new(volts(24.0), farads(bad), ohms(1.0)).is_err());
        assert!(Coil::new(watts(bad)).is_err());
        assert!(Contactor::new(Some(amperes(bad)), None).is_err());
        assert!(clamp_force(newton_metres(bad), millimetres(6.0)).is_err());
        assert!(pressure(newtons(bad), metres(1.0), metres(1.0)).is_err());
        assert!(pull_of_the_rule(kilograms(bad)).is_err());
        assert!(needed(kilograms(1.0), bad).is_err());
        assert!(ventilation(6, ampere_hours(bad), Gassing::VentedFloat).is_err());
        assert!(Inside::new(metres(bad), metres(1.0), metres(1.0)).is_err());
        assert!(Gaps::new(metres(bad), metres(0.0), metres(0.0)).is_err());
        assert!(rise(watts(bad), square_metres(1.0), None).is_err());
        assert!(rise(watts(1.0), square_metres(1.0), Some(bad)).is_err());
        assert!(Hull::new(kilograms(bad), metres(1.0), metres(1.0), metres(1.0)).is_err());
        assert!(torque_for(newtons(bad), millimetres(6.0)).is_err());
    }
    assert!(clamp_force(Torque::from_si(0.0), millimetres(6.0)).is_err());
    assert!(spread(&[]).is_err() && Ladder::new(Vec::new()).is_err());
    let twice = Rung::new("a", Role::LowAlarm, volts(3.0), 1).unwrap();
    assert!(Ladder::new(vec![twice.clone(), twice]).unwrap_err().to_string().contains("'a' twice"));
    assert!(Rung::new("a", Role::LowAlarm, volts(3.0), 0).is_err());
    assert!(Demand::new(amperes(1.0), 0).is_err());
    assert!(Manager::new(amperes(100.0)).unwrap().with_peak(amperes(50.0), seconds(1.0)).is_err());
    assert!(arrangements(cell, 0, &up, 1, &gaps).is_err() && arrangements(cell, 1, &[], 1, &gaps).is_err());
    assert!(arrangements(cell, 1, &up, 0, &gaps).is_err());
    assert!(centre_of_gravity(&[]).is_err());
    assert!(hydrogen_per_hour(0, amperes(1.0), celsius(20.0)).is_err());
    assert!(hydrogen_per_hour(1, amperes(1.0), celsius(-300.0)).is_err());
    assert!(ventilation(0, ampere_hours(1.0), Gassing::VentedFloat).is_err());
}
