//! What currents and days come to.

use crate::common::*;
use orlop::Working;
use orlop_boat::Boat;
use orlop_boat::demand::{CaseKind, Demand, SupplyKind, work_out, work_out_recorded};
use orlop_boat::model::{Demand as Draws, Feeds, LoadState, SourceKind, Value};
use orlop_units::{Fraction, Quantity, amperes, ohms, seconds, watts};

pub fn dunlin() -> Boat {
    let text = include_str!("../../../../python/orlop/boats/dunlin.toml");
    orlop_boat::document::read(text, "dunlin.toml").unwrap_or_else(|e| panic!("{e}"))
}

fn design(demand: &Demand, circuit: &str) -> f64 {
    demand.circuit(circuit).unwrap().design.si()
}

/// The feeder table of the demo boat's description, worked out there by hand at 25.6 V. It prints the heavy loads in
/// whole amperes, hence half an ampere for them: 1750 W / 25.6 V is 68.4 A, printed as 68.
#[test]
fn feeder_currents_of_dunlin() {
    let demand = work_out(&dunlin());
    for (circuit, case, amps, tolerance) in [
        ("HLM", "passage_night_vhf", 9.9, 0.1),
        ("HLM", "passage_night_hf", 20.8, 0.1),
        ("FWD", "evening", 26.2, 0.1),
        ("AFT", "davit", 27.9, 0.1),
        ("D3", "inverter", 68.0, 0.5),
        ("D1", "thruster", 168.0, 0.1),
        ("D2", "windlass", 45.0, 0.1),
    ] {
        near(circuit, demand.circuit(circuit).unwrap().nominal_in(case).si(), amps, tolerance);
    }
    // Thruster and windlass are never together, so that the main feeder has no case with both.
    let both = |c: &orlop_boat::demand::Case| ["D1", "D2"].iter().all(|id| c.on.iter().any(|(l, _)| l == id));
    assert!(!demand.cases.iter().any(both));
    // At the lowest service voltage, 24.0 V: (144 + (330 + 9 + 11) / 0.9) / 24.
    near("HLM design", design(&demand, "HLM"), (144.0 + 350.0 / 0.9) / 24.0, 1e-9);
    assert_eq!(demand.circuit("HLM").unwrap().case, "passage_night_hf@low");
}

/// The same description: 4.48 kWh at anchor, 6.75 kWh on passage; its 12 V loads count through 90 %, the inverter is
/// given on its direct-current side already.
#[test]
fn days_of_dunlin() {
    let demand = work_out(&dunlin());
    let day = |profile: &str| demand.days.iter().find(|d| d.profile == profile).unwrap();
    near("anchor", day("anchor").energy.out(), 4480.0, 5.0);
    near("passage", day("passage").energy.out(), 6750.0, 5.0);
    // B4, N1 and N5 alone are 0.85 kWh.
    let standing: f64 = day("anchor")
        .loads
        .iter()
        .filter(|(id, _)| ["B4", "N5"].contains(&id.as_str()))
        .map(|(_, e)| e.out())
        .sum();
    near("standing", standing + 24.0 * 9.0 / 0.9, 850.0, 5.0);
    // Guesses move it: the cabin sockets alone by 4 h x 20 W down and 4 h x 40 W up.
    let range = day("anchor").range;
    assert!(range.low().unwrap() < day("anchor").energy && range.high().unwrap() > day("anchor").energy);
    near("average", day("anchor").average.si(), day("anchor").energy.out() / 24.0, 1e-9);
}

#[test]
fn each_kind_of_load_counts_at_its_own_worst_voltage() {
    let mut boat = boat();
    add_load(&mut boat, "BANK", load("P", power(240.0)));
    add_load(&mut boat, "BANK", load("I", Draws::Current(Value::stated(amperes(7.0)))));
    add_load(&mut boat, "BANK", load("R", Draws::Resistance(Value::stated(ohms(2.0)))));
    let guess = Value { range: Some((watts(200.0), watts(300.0))), ..Value::stated(watts(240.0)) };
    add_load(&mut boat, "BANK", load("G", Draws::Power(guess)));
    let demand = work_out(&boat);
    for (id, worst, nominal) in
        [("P", 10.0, 240.0 / 25.6), ("I", 7.0, 7.0), ("R", 14.4, 12.8), ("G", 12.5, 240.0 / 25.6)]
    {
        near(id, demand.load(id).unwrap().continuous.si(), worst, 1e-12);
        near(id, demand.load(id).unwrap().nominal.si(), nominal, 1e-12);
        near(id, design(&demand, id), worst, 1e-12);
    }
    assert_eq!(demand.circuit("R").unwrap().case, "R alone@high");
    assert_eq!(demand.circuit("P").unwrap().case, "P alone@low");
}

#[test]
fn a_converter_fixes_the_voltage_below_and_divides_by_its_efficiency_above() {
    let mut boat = boat();
    add_panel(&mut boat, "BANK", "HLM");
    boat.sources.push(source("N12", SourceKind::Converter, 30.0));
    boat.circuits.push(circuit("CONV", "HLM", Feeds::Converter("N12".into())));
    add_panel(&mut boat, "N12", "BUS");
    let mut radio = load("RADIO", power(108.0));
    radio.hours = vec![("day".into(), seconds(3600.0))];
    add_load(&mut boat, "BUS", radio);
    let demand = work_out(&boat);
    near("at 12 V", design(&demand, "RADIO"), 9.0, 1e-12);
    near("input at 24.0 V", design(&demand, "CONV"), 108.0 / 0.9 / 24.0, 1e-12);
    near("feeder", design(&demand, "HLM"), 5.0, 1e-12);
    near("nominal", demand.circuit("CONV").unwrap().nominal_in("RADIO alone").si(), 120.0 / 25.6, 1e-12);
    near("converter", demand.converter("N12").unwrap().design.si(), 9.0, 1e-12);
    assert_eq!(demand.circuit("RADIO").unwrap().supply.kind, SupplyKind::Converter);
    // The way to the root ends at the converter; the parent goes on through it.
    assert_eq!(demand.tree.path_to_root("RADIO"), ["RADIO", "BUS"]);
    assert_eq!(demand.tree.path_to_root("CONV"), ["CONV", "HLM"]);
    assert_eq!(demand.tree.parent("BUS"), Some("CONV"));
    assert_eq!(demand.tree.children("HLM"), ["CONV"]);
    assert!(demand.tree.path_to_root("nothing").is_empty());
    near("day", demand.days[0].energy.out(), 120.0, 1e-9);
    near("day at the load", demand.load("RADIO").unwrap().days[0].energy.out(), 108.0, 1e-9);
}

/// A peak of a minute or of unknown time is continuous; a shorter one is a moment. Common practice.
#[test]
fn a_peak_counts_as_continuous_from_a_minute() {
    for (time, continuous) in [(None, true), (Some(60.0), true), (Some(59.9), false)] {
        let mut boat = boat();
        let mut pump = load("PUMP", power(24.0));
        pump.demand.push((LoadState::Peak, power(96.0)));
        pump.lasts = time.map(|t| (LoadState::Peak, seconds(t))).into_iter().collect();
        add_load(&mut boat, "BANK", pump);
        boat.scenarios.push(scenario("busy", &[("PUMP", LoadState::Peak)]));
        let demand = work_out(&boat);
        let found = demand.circuit("PUMP").unwrap();
        near("design", found.design.si(), if continuous { 4.0 } else { 1.0 }, 1e-12);
        assert_eq!(found.short.len(), usize::from(!continuous));
        if let Some(short) = found.short.first() {
            assert_eq!((short.state, short.time), (LoadState::Peak, Some(seconds(59.9))));
            near("short", short.current.si(), 4.0, 1e-12);
        }
        assert_eq!(demand.cases.len(), 1, "the scenario shows the load at its heaviest");
    }
}

#[test]
fn loads_that_no_scenario_names_run_together_on_their_circuit() {
    let mut boat = boat();
    boat.circuits.push(circuit("LIGHTS", "BANK", Feeds::Loads(vec!["B".into(), "A".into(), "C".into()])));
    boat.loads.extend([load("A", power(24.0)), load("B", power(48.0)), load("C", power(240.0))]);
    boat.scenarios.push(scenario("night", &[("C", LoadState::Run)]));
    boat.scenarios.push(scenario("idle", &[("A", LoadState::Idle)]));
    let demand = work_out(&boat);
    // A without an idle value draws as running, but a scenario that has it idle does not show it at work.
    assert_eq!(demand.cases[2].id, "A+B alone");
    assert_eq!(demand.cases[2].kind, CaseKind::Alone);
    near("A and B", demand.circuit("LIGHTS").unwrap().current_in("A+B alone").si(), 3.0, 1e-12);
    assert_eq!(demand.circuit("LIGHTS").unwrap().case, "night@low");
    assert_eq!(demand.load("B").unwrap().cases, [("A+B alone".to_string(), LoadState::Run)]);
}

#[test]
fn moments_come_on_top_of_what_else_is_on() {
    let mut boat = boat();
    add_panel(&mut boat, "BANK", "FWD");
    let mut pump = load("PUMP", power(96.0));
    pump.demand.push((LoadState::Stall, Draws::Current(Value::stated(amperes(19.0)))));
    pump.demand.push((LoadState::Start, Draws::Current(Value::stated(amperes(12.0)))));
    pump.lasts.push((LoadState::Stall, seconds(2.0)));
    add_load(&mut boat, "FWD", pump);
    add_load(&mut boat, "FWD", load("LIGHT", power(24.0)));
    add_load(&mut boat, "FWD", load("FRIDGE", power(72.0)));
    let on = LoadState::Run;
    boat.scenarios.push(scenario("evening", &[("PUMP", on), ("LIGHT", on)]));
    boat.scenarios.push(scenario("noon", &[("PUMP", on), ("FRIDGE", on)]));
    let demand = work_out(&boat);
    let feeder = demand.circuit("FWD").unwrap();
    near("design", feeder.design.si(), 7.0, 1e-12);
    let short: Vec<_> = feeder.short.iter().map(|s| (s.state, s.current.si(), s.case.as_str())).collect();
    assert_eq!(short, [(LoadState::Stall, 22.0, "noon"), (LoadState::Start, 15.0, "noon")]);
    near("branch", demand.circuit("PUMP").unwrap().short[0].current.si(), 19.0, 1e-12);
}

#[test]
fn charging_flows_up_to_the_bank_and_does_not_grow() {
    let mut boat = boat();
    boat.growth = Fraction::new(0.25);
    add_panel(&mut boat, "BANK", "BUS");
    boat.sources.push(source("ALT", SourceKind::Alternator, 60.0));
    boat.sources.push(source("SUN", SourceKind::Solar, 20.0));
    boat.circuits.push(circuit("ALT", "BUS", Feeds::Source("ALT".into())));
    boat.circuits.push(circuit("SUN", "BUS", Feeds::Source("SUN".into())));
    add_load(&mut boat, "BUS", load("LIGHT", power(48.0)));
    let demand = work_out(&boat);
    near("alternator", design(&demand, "ALT"), 60.0, 1e-12);
    near("load with growth", design(&demand, "LIGHT"), 2.5, 1e-12);
    near("main feeder", design(&demand, "BUS"), 80.0, 1e-12);
    assert_eq!(demand.circuit("BUS").unwrap().case, "charging alone@low");
}

#[test]
fn runs_side_by_side_share_unless_each_must_do_alone() {
    let mut boat = boat();
    add_load(&mut boat, "BANK", load("HEAVY", power(2400.0)));
    boat.circuits[0].runs = 2;
    near("half", work_out(&boat).circuits[0].per_run().si(), 50.0, 1e-12);
    boat.circuits[0].alone = true;
    near("whole", work_out(&boat).circuits[0].per_run().si(), 100.0, 1e-12);
}

#[test]
fn a_ring_and_an_unknown_start_end() {
    let mut boat = boat();
    add_panel(&mut boat, "B", "A");
    add_panel(&mut boat, "A", "B");
    add_load(&mut boat, "B", load("L", power(24.0)));
    add_load(&mut boat, "nowhere", load("M", power(24.0)));
    let demand = work_out(&boat);
    near("L", design(&demand, "L"), 1.0, 1e-12);
    near("M", design(&demand, "M"), 1.0, 1e-12);
    // The ring is cut where it closes.
    assert_eq!(demand.tree.path_to_root("L"), ["L", "B"]);
}

#[test]
fn the_working_tells_each_load_and_the_sum() {
    let mut working = Working::new("circuit.HLM.current");
    let found = work_out_recorded(&dunlin(), "HLM", &mut working).unwrap();
    let text = working.to_string();
    for part in [
        "N3, MF/HF set: peak: I_N3 = 27.5 A",
        "I_in = I_out U_out / (eta U_lowest)",
        "I_design = 22.2 A",
        "sum in case passage_night_vhf",
    ] {
        assert!(text.contains(part), "{part} is not in\n{text}");
    }
    near("as without recording", found.design.si(), design(&work_out(&dunlin()), "HLM"), 0.0);
    assert!(work_out_recorded(&dunlin(), "NONE", &mut working).is_err());
}
