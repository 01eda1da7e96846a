//! What switches by itself, what is not fed, what has no answer: each worked by hand, and every bad input.

use orlop::network::{
    Bolted, Converter, ConverterState, Corner, Demand, Load, Network, Operating, Part, RETURN, Source,
};
use orlop::units::{Current, Fraction, Power, Quantity, Resistance, Voltage, amperes, ohms, volts, watts};
use orlop::{Error, Range, Working};

fn source(emf: f64, resistance: f64) -> Source {
    Source { emf: Range::exactly(volts(emf)), resistance: Range::exactly(ohms(resistance)), may_open: false }
}
fn resistor(r: f64) -> Part {
    Part::Resistance(Range::exactly(ohms(r)))
}
fn diode(forward: f64) -> Part {
    Part::Diode { forward: volts(forward), slope: ohms(0.005) }
}
fn load(demand: Demand) -> Load {
    Load::new(demand)
}
fn amps(x: f64) -> Load {
    load(Demand::Current(amperes(x)))
}
fn power(x: f64) -> Load {
    load(Demand::Power(watts(x)))
}
fn converter(output: f64, limit: f64) -> Converter {
    Converter {
        output: volts(output),
        limit: amperes(limit),
        efficiency: Fraction::new(0.8),
        minimum: None,
        shuts_down: false,
        capacitor: None,
        runs: true,
    }
}
/// A bank of 24 V on the node "bank", with the branches and loads given.
fn bank(branches: &[(&str, &str, &str, Part)], loads: &[(&str, &str, Load)]) -> Network {
    let mut net = Network::new();
    net.source("BANK", "bank", RETURN, source(24.0, 0.01)).unwrap();
    for (id, from, to, part) in branches {
        net.branch(id, from, to, *part).unwrap();
    }
    for (id, node, load) in loads {
        net.load(id, node, RETURN, *load).unwrap();
    }
    net
}
fn solve(net: &Network) -> Operating {
    net.solve(Corner::Low).unwrap_or_else(|e| panic!("{e}"))
}
fn volts_of(point: &Operating, node: &str) -> f64 {
    point.voltage(node).unwrap().unwrap().si()
}
fn amps_of(point: &Operating, id: &str) -> f64 {
    point.current(id).unwrap().si()
}
#[track_caller]
fn close(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-9 * (1.0 + b.abs()), "{a} is not {b}");
}
fn refusal(net: &Network) -> String {
    let error = net.solve(Corner::Low).unwrap_err();
    assert!(!matches!(error, Error::Unit(_)));
    error.to_string()
}

// --- diodes ---------------------------------------------------------------------------------------------------

#[test]
fn the_stronger_of_two_feeds_carries_the_load_and_the_other_diode_blocks() {
    let two = |b: f64, draw: Load| {
        let mut net = Network::new();
        net.source("A", "a", RETURN, source(12.8, 0.01)).unwrap();
        net.source("B", "b", RETURN, source(b, 0.01)).unwrap();
        net.branch("DA", "a", "bus", diode(0.4)).unwrap();
        net.branch("DB", "b", "bus", diode(0.4)).unwrap();
        net.load("L", "bus", RETURN, draw).unwrap();
        solve(&net)
    };
    let point = two(2.0, amps(10.0));
    close(volts_of(&point, "bus"), 12.8 - 10.0 * 0.015 - 0.4);
    assert_eq!(amps_of(&point, "DB"), 0.0);
    // Equal feeds share equally; unequal ones by Kirchhoff: 12.8 - 0.015 x = 12.7 - 0.015 (10 - x).
    close(amps_of(&two(12.8, amps(10.0)), "DA"), 5.0);
    close(amps_of(&two(12.7, amps(10.0)), "DA"), (0.1 / 0.015 + 10.0) / 2.0);
    // A constant power that a weak second feed could not have taken part in.
    let point = two(2.0, power(600.0));
    let v = volts_of(&point, "bus");
    close(v * (12.4 - v) / 0.015, 600.0);
    assert!(v > 6.2, "the high root: {v}");
    // Heat of a diode: threshold and slope.
    close(point.losses().si(), amps_of(&point, "DA") * (0.4 + 0.005 * amps_of(&point, "DA")));
}

#[test]
fn behind_a_blocking_diode_it_is_dark() {
    let net = bank(&[("D", "tail", "bank", diode(0.4))], &[("L", "tail", amps(1.0))]);
    let point = solve(&net);
    assert_eq!(point.dark(), ["tail"]);
    assert_eq!(point.unfed(), ["L"]);
    assert_eq!(amps_of(&point, "L"), 0.0);
    // The other way round it feeds, and without a load it stands a threshold below.
    let point = solve(&bank(&[("D", "bank", "tail", diode(0.4))], &[]));
    close(volts_of(&point, "tail"), 23.6);
}

// --- converters -----------------------------------------------------------------------------------------------

/// 24 V bank, a run of 0.1 ohm, a converter to 12 V, a run of 0.2 ohm, a load.
fn converted(part: Converter, draw: Load) -> Network {
    let mut net = bank(&[("run", "bank", "in", resistor(0.09))], &[]);
    net.converter("DCDC", "out", RETURN, Some(("in", RETURN)), part).unwrap();
    net.branch("branch", "out", "lamp", resistor(0.2)).unwrap();
    net.load("L", "lamp", RETURN, draw).unwrap();
    net
}

#[test]
fn a_converter_holds_its_voltage_and_takes_output_over_efficiency() {
    let point = solve(&converted(converter(12.0, 30.0), amps(10.0)));
    close(volts_of(&point, "out"), 12.0);
    close(volts_of(&point, "lamp"), 10.0);
    // 120 W out, 150 W in, over 0.1 ohm from 24 V.
    let v = 0.5 * (24.0 + (24.0_f64 * 24.0 - 4.0 * 0.1 * 150.0).sqrt());
    close(volts_of(&point, "in"), v);
    close(amps_of(&point, "BANK"), 150.0 / v);
    assert_eq!(point.converter_state(0), ConverterState::Holds);
    close(point.delivered().si(), point.drawn().si() + point.losses().si());
}

#[test]
fn beyond_its_limit_a_converter_gives_its_limit() {
    // Alone with resistors: 5 A into 0.2 + 1.0 ohm.
    let point = solve(&converted(converter(12.0, 5.0), load(Demand::Resistance(ohms(1.0)))));
    assert_eq!(point.converter_state(0), ConverterState::AtLimit);
    close(volts_of(&point, "out"), 6.0);
    // Alone with a constant current beyond it: no volts to hold it up.
    let what = refusal(&converted(converter(12.0, 5.0), amps(7.0)));
    assert!(what.contains("DCDC") && what.contains("5 A") && what.contains("60 W"), "{what}");
    // Beside a battery: the battery gives the rest.
    let mut net = converted(converter(13.0, 5.0), amps(7.0));
    net.source("AUX", "aux", RETURN, source(12.5, 0.05)).unwrap();
    net.branch("link", "aux", "out", resistor(0.05)).unwrap();
    let point = solve(&net);
    assert_eq!(point.converter_state(0), ConverterState::AtLimit);
    close(amps_of(&point, "DCDC"), 5.0);
    close(amps_of(&point, "AUX"), 2.0);
    // A battery above its voltage leaves it idle.
    let mut net = converted(converter(12.0, 5.0), amps(1.0));
    net.source("AUX", "out", RETURN, source(13.0, 0.05)).unwrap();
    let point = solve(&net);
    assert_eq!(point.converter_state(0), ConverterState::Idle);
    assert_eq!(amps_of(&point, "DCDC"), 0.0);
    close(amps_of(&point, "BANK"), 0.0);
}

#[test]
fn a_converter_goes_off_when_its_input_is_low_or_dark() {
    let fussy = Converter { minimum: Some(volts(23.9)), ..converter(12.0, 30.0) };
    let point = solve(&converted(fussy, amps(10.0)));
    assert_eq!(point.converter_state(0), ConverterState::LowInput);
    assert_eq!(point.unfed(), ["L"]);
    assert_eq!(point.dark(), ["out", "lamp"]);
    let mut net = Network::new();
    net.source("BANK", "bank", RETURN, source(24.0, 0.01)).unwrap();
    net.converter("DCDC", "out", RETURN, Some(("nowhere", RETURN)), converter(12.0, 9.0)).unwrap();
    net.load("L", "out", RETURN, amps(1.0)).unwrap();
    let point = solve(&net);
    assert_eq!(point.converter_state(0), ConverterState::NoInput);
    assert_eq!(point.unfed(), ["L"]);
}

#[test]
fn converters_in_a_row_and_a_ring() {
    let row = |ring: bool| {
        let mut net = bank(&[], &[]);
        net.converter("A", "x", RETURN, Some(("bank", RETURN)), converter(12.0, 30.0)).unwrap();
        net.branch("xy", "x", "y", resistor(0.05)).unwrap();
        net.converter("B", "z", RETURN, Some(("y", RETURN)), converter(5.0, 30.0)).unwrap();
        net.load("L", "z", RETURN, amps(4.0)).unwrap();
        if ring {
            net.converter("C", "bank", RETURN, Some(("z", RETURN)), converter(26.0, 1.0)).unwrap();
        }
        net
    };
    // 20 W at 5 V are 25 W at y, and those and their loss over efficiency again at the bank.
    let point = solve(&row(false));
    let y = 0.5 * (12.0 + (144.0_f64 - 4.0 * 0.05 * 25.0).sqrt());
    close(volts_of(&point, "y"), y);
    close(point.converter_input_amperes()[0] * volts_of(&point, "bank"), 12.0 * (25.0 / y) / 0.8);
    let what = refusal(&row(true));
    assert!(what.contains("a ring: A, B, C feed each other"), "{what}");
}

#[test]
fn charging_sources_take_part_only_when_they_run() {
    let with = |runs: bool| {
        let mut net = bank(&[("run", "bank", "bus", resistor(0.01))], &[("L", "bus", amps(20.0))]);
        net.converter("ALT", "bus", RETURN, None, Converter { runs, ..converter(28.0, 15.0) }).unwrap();
        solve(&net)
    };
    assert_eq!(with(false).converter_state(0), ConverterState::Rests);
    close(amps_of(&with(false), "BANK"), 20.0);
    close(amps_of(&with(true), "BANK"), 5.0);
    let on = with(true);
    close(on.delivered().si(), on.drawn().si() + on.losses().si());
}

// --- islands, two rails, ideal sources ------------------------------------------------------------------------------

#[test]
fn what_nothing_feeds_is_named_and_draws_nothing() {
    let net = bank(
        &[("run", "bank", "bus", resistor(0.01)), ("far", "island", "end", resistor(0.01))],
        &[("L", "bus", amps(5.0)), ("dead", "end", power(50.0)), ("bulb", "island", amps(2.0))],
    );
    let point = solve(&net);
    assert_eq!(point.dark(), ["island", "end"]);
    assert_eq!(point.unfed(), ["dead", "bulb"]);
    assert_eq!(point.voltage("end").unwrap(), None);
    assert_eq!(point.across("far").unwrap(), None);
    assert_eq!(amps_of(&point, "far"), 0.0);
    close(point.drawn().si(), 5.0 * volts_of(&point, "bus"));
    let seen = net.thevenin(Corner::Low).unwrap();
    assert_eq!(seen.resistance("end").unwrap(), None);
    assert_eq!(seen.fault_current("island").unwrap(), None);
    // A network with no source at all is dark everywhere.
    let mut none = Network::new();
    none.branch("b", "a", RETURN, resistor(1.0)).unwrap();
    none.load("L", "a", RETURN, power(5.0)).unwrap();
    assert_eq!(solve(&none).unfed(), ["L"]);
    assert_eq!(solve(&Network::new()).volts(), [0.0]);
}

#[test]
fn a_return_that_is_drawn() {
    // Both legs by themselves: the load sees the source less both drops; in the middle the rails are not the return.
    let mut net = Network::new();
    net.source("BANK", "plus", RETURN, source(12.0, 0.0)).unwrap();
    net.branch("out", "plus", "p", resistor(0.03)).unwrap();
    net.branch("back", "n", RETURN, resistor(0.07)).unwrap();
    net.load("L", "p", "n", power(100.0)).unwrap();
    let point = solve(&net);
    let across = point.across("L").unwrap().unwrap().si();
    close(across, 0.5 * (12.0 + (144.0_f64 - 40.0).sqrt()));
    close(volts_of(&point, "n"), 0.07 * 100.0 / across);
    // Beyond 144 / 0.4 = 360 W there is nothing.
    net.load("more", "p", "n", power(261.0)).unwrap();
    assert!(
        refusal(&net).contains("load more at p asks for 261 W and could have at most 260 W"),
        "{}",
        refusal(&net)
    );
    // With the negative cut the load hangs in the air.
    let mut cut = Network::new();
    cut.source("BANK", "plus", RETURN, source(12.0, 0.0)).unwrap();
    cut.branch("out", "plus", "p", resistor(0.03)).unwrap();
    cut.load("L", "p", "n", power(100.0)).unwrap();
    assert_eq!(solve(&cut).unfed(), ["L"]);
    // A source that hangs on nothing has no voltage against the return.
    cut.source("LOOSE", "q", "m", source(12.0, 0.1)).unwrap();
    assert!(refusal(&cut).contains("LOOSE feeds it, but nothing joins it to the return"));
}

#[test]
fn series_strings_add_up() {
    let mut net = Network::new();
    net.source("low", "mid", RETURN, source(12.0, 0.01)).unwrap();
    net.source("high", "top", "mid", source(12.0, 0.02)).unwrap();
    net.load("L", "top", RETURN, amps(10.0)).unwrap();
    net.load("M", "mid", RETURN, amps(5.0)).unwrap();
    let point = solve(&net);
    close(volts_of(&point, "mid"), 12.0 - 0.15);
    close(volts_of(&point, "top"), 24.0 - 0.15 - 0.2);
    let mut ideal = Network::new();
    ideal.source("low", "mid", RETURN, source(12.0, 0.0)).unwrap();
    ideal.source("high", "top", "mid", source(12.0, 0.0)).unwrap();
    ideal.load("L", "top", RETURN, amps(10.0)).unwrap();
    ideal.load("M", "mid", RETURN, amps(5.0)).unwrap();
    let point = solve(&ideal);
    close(volts_of(&point, "top"), 24.0);
    close(amps_of(&point, "low"), 15.0);
    close(amps_of(&point, "high"), 10.0);
}

#[test]
fn ideal_sources_against_each_other_are_refused_by_name() {
    for (other, wanted) in [(12.0, "the current of neither is defined"), (13.0, "want 13 V and 12 V")] {
        let mut net = Network::new();
        net.source("A", "bus", RETURN, source(12.0, 0.0)).unwrap();
        net.source("B", "bus", RETURN, source(other, 0.0)).unwrap();
        let what = refusal(&net);
        assert!(what.starts_with("sources A and B") && what.contains(wanted), "{what}");
        assert!(net.thevenin(Corner::High).is_err());
    }
    let mut net = Network::new();
    for id in ["A", "B"] {
        net.converter(id, "bus", RETURN, None, converter(14.0, 10.0)).unwrap();
    }
    let what = refusal(&net);
    assert!(what.contains("A") && what.contains("B") && what.contains("14 V"), "{what}");
}

#[test]
fn resistors_in_series_carry_current_and_a_bulb_alone_lights_nothing() {
    let mut net = bank(
        &[("gone", "island", "lamp", resistor(0.1))],
        &[("bulb", "lamp", load(Demand::Resistance(ohms(3.0))))],
    );
    net.load("upper", "bank", "between", load(Demand::Resistance(ohms(2.0)))).unwrap();
    net.load("lower", "between", RETURN, load(Demand::Resistance(ohms(1.0)))).unwrap();
    let mut prepared = net.prepare(Corner::Low).unwrap();
    let point = prepared.solve(&net.demands()).unwrap();
    close(volts_of(&point, "between"), 24.0 / 3.01);
    assert_eq!(point.unfed(), ["bulb"]);
    // With the upper one off, nothing feeds the place between.
    let mut demands = net.demands();
    demands[1] = None;
    let point = prepared.solve(&demands).unwrap();
    assert_eq!(point.unfed(), ["bulb", "lower"]);
    assert_eq!(point.dark(), ["island", "lamp", "between"]);
}

// --- no solution ---------------------------------------------------------------------------------------------------

#[test]
fn the_load_that_is_too_much_is_named_with_what_it_could_have() {
    // A small load beside, and a large one at the end of a long run: E² / 4R with what the small one leaves.
    let net = bank(
        &[("main", "bank", "bus", resistor(0.01)), ("long", "bus", "bow", resistor(0.5))],
        &[("radio", "bus", power(20.0)), ("winch", "bow", power(400.0))],
    );
    let what = refusal(&net);
    assert!(what.contains("load winch at bow asks for 400 W and could have at most 276 W"), "{what}");
    assert!(what.contains("a battery near it"), "{what}");
    let most = net.prepare(Corner::Low).unwrap().largest_power(1, &net.demands()).unwrap().unwrap().si();
    assert!(most < 24.0 * 24.0 / (4.0 * 0.52) && most > 275.0, "{most}");
    for (share, fits) in [(0.999, true), (1.001, false)] {
        let mut demands = net.demands();
        demands[1] = Some(Demand::Power(watts(share * most)));
        assert_eq!(net.prepare(Corner::Low).unwrap().solve(&demands).is_ok(), fits);
    }
    // Two that are each too much: no one of them alone.
    let net = bank(
        &[("a", "bank", "x", resistor(1.0)), ("b", "bank", "y", resistor(1.0))],
        &[("lx", "x", power(400.0)), ("ly", "y", power(300.0))],
    );
    let what = refusal(&net);
    assert!(
        what.contains("nothing with the others as they are") && what.contains("% of what is asked"),
        "{what}"
    );
    // A constant current beyond the short circuit: 24 V / 0.51 ohm = 47.06 A.
    let what = refusal(&bank(&[("r", "bank", "x", resistor(0.5))], &[("pump", "x", amps(60.0))]));
    assert!(what.contains("load pump at x asks for 60 A and could have at most 47 A"), "{what}");
    // The input of a converter.
    let mut net = bank(&[("run", "bank", "in", resistor(0.09))], &[]);
    net.converter("DCDC", "out", RETURN, Some(("in", RETURN)), converter(12.0, 200.0)).unwrap();
    net.load("L", "out", RETURN, amps(120.0)).unwrap();
    // 1440 W out are 1800 W in; 24² / 0.4 = 1440 W is the most there.
    let what = refusal(&net);
    assert!(
        what.contains("the input of converter DCDC at in asks for 1.8 kW and could have at most 1.44 kW"),
        "{what}"
    );
}

// --- bad input -----------------------------------------------------------------------------------------------------

#[test]
fn bad_values_are_refused_at_the_door() {
    let range = |x: f64| Range::exactly(ohms(x));
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let mut net = Network::new();
        assert!(net.branch("b", "a", "c", Part::Resistance(range(bad))).is_err(), "{bad}");
        assert!(net.branch("b", "a", "c", Part::Diode { forward: volts(0.4), slope: ohms(bad) }).is_err());
        assert!(
            net.source("s", "a", RETURN, Source { emf: Range::exactly(volts(bad)), ..source(1.0, 1.0) })
                .is_err()
        );
        assert!(net.load("l", "a", RETURN, load(Demand::Resistance(ohms(bad)))).is_err());
        assert!(net.converter("c", "a", RETURN, None, converter(bad, 1.0)).is_err());
        assert!(net.converter("c", "a", RETURN, None, converter(1.0, bad)).is_err());
        let lossy = Converter { efficiency: Fraction::new(bad), ..converter(1.0, 1.0) };
        assert!(net.converter("c", "a", RETURN, None, lossy).is_err());
        if bad != 0.0 {
            assert!(net.source("s", "a", RETURN, source(12.0, bad)).is_err());
            assert!(net.load("l", "a", RETURN, amps(bad)).is_err());
            assert!(net.load("l", "a", RETURN, power(bad)).is_err());
            assert!(net.branch("b", "a", "c", diode(bad)).is_err());
        }
        // Nothing of all that has left a trace.
        assert!(net.sources().is_empty() && net.branches().is_empty() && net.loads().is_empty());
        let net = bank(&[("r", "bank", "x", resistor(1.0))], &[("L", "x", amps(1.0))]);
        let mut prepared = net.prepare(Corner::Low).unwrap();
        assert!(prepared.set_resistance(0, ohms(bad)).is_err());
        if bad != 0.0 {
            assert!(prepared.solve(&[Some(Demand::Power(watts(bad)))]).is_err());
            assert!(prepared.solve(&[Some(Demand::Current(amperes(bad)))]).is_err());
        }
    }
}

#[test]
fn what_does_not_exist_is_named() {
    let net =
        bank(&[("r", "bank", "x", resistor(1.0)), ("d", "x", "y", diode(0.3))], &[("L", "x", amps(1.0))]);
    let point = solve(&net);
    for error in [
        point.voltage("nowhere").unwrap_err(),
        point.current("nothing").unwrap_err(),
        point.across("nothing").unwrap_err(),
        net.thevenin(Corner::Low).unwrap().resistance("nowhere").unwrap_err(),
        net.thevenin(Corner::Low).unwrap().transfer("bank", "nowhere").unwrap_err(),
    ] {
        assert!(matches!(&error, Error::Input { got, .. } if got.starts_with("'no")), "{error}");
    }
    let mut prepared = net.prepare(Corner::Low).unwrap();
    assert!(prepared.solve(&[]).unwrap_err().to_string().contains("one for each of the 1 loads"));
    assert!(prepared.set_resistance(1, ohms(1.0)).unwrap_err().to_string().contains("the diode d"));
    assert!(prepared.set_resistance(7, ohms(1.0)).is_err());
    assert!(prepared.set_source(7, true).is_err());
    assert!(prepared.largest_power(7, &net.demands()).is_err());
    assert!(net.thevenin_with(Corner::Low, &[]).is_err());
}

#[test]
fn a_bound_that_is_not_known_is_asked_for() {
    let mut net = Network::new();
    let half = Source { resistance: Range::from_bounds(Some(ohms(0.002)), None), ..source(26.0, 0.0) };
    net.source("BANK", "bank", RETURN, half).unwrap();
    assert!(net.solve(Corner::High).is_ok());
    let what = refusal(&net);
    assert!(what.contains("resistance of BANK") && what.contains("low corner"), "{what}");
}

#[test]
fn corners_take_their_ends() {
    let mut net = Network::new();
    let bank = Source {
        emf: Range::new(volts(24.0), volts(28.8)),
        resistance: Range::new(ohms(0.002), ohms(0.006)),
        may_open: true,
    };
    net.source("BANK", "bank", RETURN, bank).unwrap();
    net.branch("r", "bank", "x", Part::Resistance(Range::new(ohms(0.01), ohms(0.014)))).unwrap();
    net.load("L", "x", RETURN, amps(100.0)).unwrap();
    close(volts_of(&net.solve(Corner::Low).unwrap(), "x"), 24.0 - 2.0);
    close(volts_of(&net.solve(Corner::High).unwrap(), "x"), 28.8 - 1.2);
}

// --- the rest ------------------------------------------------------------------------------------------------------

#[test]
fn loads_of_both_kinds_can_be_exchanged_between_rails() {
    // A current between two rails couples nothing; when it becomes a power, the equations must change with it.
    let mut net = Network::new();
    net.source("BANK", "plus", RETURN, source(12.0, 0.0)).unwrap();
    net.branch("out", "plus", "p", resistor(0.03)).unwrap();
    net.branch("back", "n", RETURN, resistor(0.07)).unwrap();
    net.load("L", "p", "n", amps(10.0)).unwrap();
    let mut prepared = net.prepare(Corner::Low).unwrap();
    close(prepared.solve(&net.demands()).unwrap().across("L").unwrap().unwrap().si(), 11.0);
    let power = prepared.solve(&[Some(Demand::Power(watts(100.0)))]).unwrap();
    close(power.across("L").unwrap().unwrap().si(), 0.5 * (12.0 + (144.0_f64 - 40.0).sqrt()));
    let bulb = prepared.solve(&[Some(Demand::Resistance(ohms(0.9)))]).unwrap();
    close(bulb.across("L").unwrap().unwrap().si(), 10.8);
    assert_eq!(bulb.demand(0), Some(Demand::Resistance(ohms(0.9))));
    assert_eq!(prepared.solve(&[None]).unwrap().demand(0), None);
}

#[test]
fn the_working_says_how_it_went() {
    let net = bank(
        &[("r", "bank", "x", resistor(0.01)), ("s", "u", "v", resistor(1.0))],
        &[("L", "x", power(100.0))],
    );
    let mut working = Working::new("volts");
    net.solve_recorded(Corner::Low, &mut working).unwrap();
    let text = working.to_string();
    assert!(text.contains("tree") && text.contains("delivered") && text.contains("u, v"), "{text}");
}

#[test]
fn a_fault_inside_one_of_two_strings_draws_on_the_other() {
    // Two strings behind their own devices: a fault at the cell end of one sends the other through it.
    let mut net = Network::new();
    for id in ["A", "B"] {
        net.source(id, id, RETURN, source(26.8, 0.002)).unwrap();
        net.branch(&format!("fuse{id}"), id, "bus", resistor(0.000_5)).unwrap();
    }
    let seen = net.thevenin(Corner::High).unwrap();
    let fault: Bolted = seen.bolted(net.node_at("A").unwrap()).unwrap();
    close(fault.source[1], 26.8 / 0.003);
    close(fault.branch[0], -26.8 / 0.003);
    let through = seen.through(0);
    close(through.backward.unwrap(), 26.8 / 0.003);
    close(through.backward_bare.unwrap(), 26.8 / 0.002_5);
    close(through.forward_bare.unwrap(), 26.8 / 0.002);
    let one = net.thevenin_with(Corner::High, &[true, false]).unwrap();
    close(one.through(0).backward.unwrap(), 0.0);
    close(one.through(0).backward_bare.unwrap(), 0.0);
    close(one.fault_current("bus").unwrap().unwrap().si(), 26.8 / 0.002_5);
    let kinds: (Current, Power, Resistance, Voltage) = (amperes(1.0), watts(1.0), ohms(1.0), volts(1.0));
    assert_eq!(kinds.0 * kinds.2, kinds.3);
}

#[test]
fn networks_are_equal_by_their_parts_not_by_the_order_of_kinds() {
    let build = |load_first: bool, ohms: f64| {
        let mut net = Network::new();
        net.node("a").unwrap();
        net.node("b").unwrap();
        if load_first {
            net.load("l", "b", RETURN, amps(1.0)).unwrap();
        }
        net.branch("r", "a", "b", resistor(ohms)).unwrap();
        if !load_first {
            net.load("l", "b", RETURN, amps(1.0)).unwrap();
        }
        net
    };
    assert_eq!(build(true, 0.1), build(false, 0.1));
    assert_ne!(build(true, 0.1), build(true, 0.2));
    assert!(build(true, 0.1).find("r").is_some() && build(false, 0.1).find("l").is_some());
}
