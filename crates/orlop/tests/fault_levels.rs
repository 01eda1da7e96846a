//! The node table of the demo boat: two strings of eight cells, a bus, a thruster, a bilge pump, a masthead lamp.
//!
//! The table (own design data of the boat, made by hand for its assignment) was made with 0.0179 ohm mm2/m and, for its lower
//! column, warm copper. First the case as it was computed, then with the conductors that would be bought, then the bound.

use orlop::Range;
use orlop::conductor::{Conductor, Material};
use orlop::network::fault::BatteryForm;
use orlop::network::{Converter, Network, Part, RETURN, Source};
use orlop::units::{
    ConductorSize, Current, Fraction, Quantity, Resistance, Temperature, Voltage, amperes, ohms, seconds,
    volts,
};

/// Node, loop in metres, area in hundredths of mm2, upper and lower column in amperes.
const CIRCUITS: [(&str, f64, u32, Option<f64>, f64); 3] = [
    ("thruster", 17.4, 5000, Some(3600.0), 2500.0),
    ("pump", 13.4, 150, None, 131.0),
    ("lamp", 19.2, 100, None, 62.0),
];

/// Of the table: copper in ohm mm2/m at 20 degC.
const RHO: f64 = 0.0179;
/// The copper of its lower column: 1.20 times that at 20 degC (found below).
const WARM: f64 = 70.0;

/// A device of nearly no resistance, so that the table's nodes can be asked on both sides of it.
const DEVICE: f64 = 1e-7;

fn boat(
    emf: Range<Voltage>,
    string: Range<Resistance>,
    loop_ohms: impl Fn(f64, u32) -> Range<Resistance>,
    open: bool,
) -> Network {
    let mut net = Network::new();
    for s in ["A", "B"] {
        let source = Source { emf, resistance: string, may_open: open };
        net.source(&format!("string {s}"), &format!("behind {s}"), RETURN, source).unwrap();
        let device = Part::Resistance(Range::exactly(ohms(DEVICE)));
        net.branch(&format!("fuse {s}"), &format!("behind {s}"), "bus", device).unwrap();
    }
    for (node, metres, size, ..) in CIRCUITS {
        net.branch(&format!("lead {node}"), "bus", node, Part::Resistance(loop_ohms(metres, size))).unwrap();
    }
    net
}

fn case(loop_ohms: impl Fn(f64, u32) -> Range<Resistance>) -> Network {
    let string = Range::new(ohms(2.52e-3), ohms(5.53e-3));
    boat(Range::new(volts(25.6), volts(26.8)), string, loop_ohms, false)
}

fn by_hand(metres: f64, size: u32, warm: f64) -> f64 {
    metres * RHO / (f64::from(size) / 100.0) * Material::Copper.temperature_ratio(Temperature::celsius(warm))
}

fn near(got: Option<Current>, want: f64, within: f64, what: &str) -> f64 {
    let got = got.unwrap_or_else(|| panic!("{what}: no bound")).si();
    let off = (got - want) / want;
    assert!(off.abs() <= within, "{what}: {got:.1} A against {want} A, {:.1} %", off * 100.0);
    off
}

#[test]
fn the_table_as_the_case_it_is() {
    let net = case(|m, s| Range::new(ohms(by_hand(m, s, 20.0)), ohms(by_hand(m, s, WARM))));
    let levels = net.fault_levels();
    let mut worst = 0.0_f64;
    let mut check = |got, want, what: &str| worst = worst.max(near(got, want, 0.03, what).abs());
    // Behind one string fuse: that string, and the back-feed of the other through the fuse.
    let fuse = levels.through("fuse A").unwrap();
    check(fuse.forward.high(), 10_600.0, "one string, upper");
    check(fuse.forward.low(), 4_600.0, "one string, lower");
    check(fuse.backward.high(), 10_600.0, "back-feed, upper");
    check(fuse.backward.low(), 4_600.0, "back-feed, lower");
    let bus = levels.node("bus").unwrap().total;
    check(bus.high(), 21_300.0, "bus, upper");
    check(bus.low(), 9_300.0, "bus, lower");
    for (node, _, _, upper, lower) in CIRCUITS {
        let total = levels.node(node).unwrap().total;
        if let Some(upper) = upper {
            check(total.high(), upper, node);
        }
        check(total.low(), lower, node);
    }
    assert!(worst < 0.03);
    println!("node table of the demo boat: 9 of 9 cells, worst {:.2} %", worst * 100.0);
}

/// Which copper temperature the lower column was made with: the ratio to 20 degC that each row gives.
#[test]
fn the_lower_column_was_made_with_copper_of_seventy_degrees() {
    for (node, metres, size, _, lower) in CIRCUITS {
        let rounding = if lower > 1000.0 { 50.0 } else { 0.5 };
        let ratio = |amps: f64| (25.6 / amps - 5.53e-3 / 2.0) / by_hand(metres, size, 20.0);
        let (least, most) = (ratio(lower + rounding), ratio(lower - rounding));
        // 1.20 is 70.9 degC; the pump's row says 1.200 to 1.209.
        assert!(least <= 1.201 && 1.199 <= most, "{node}: {least:.4} to {most:.4}");
    }
    let ratio = Material::Copper.temperature_ratio(Temperature::celsius(WARM));
    assert!((ratio - 1.20).abs() < 0.005, "{ratio}");
}

/// With the conductor of IEC 60228 class 5, tinned, that is bought: less current by the ratio of the resistances, no more.
#[test]
fn the_conductors_that_are_bought_explain_the_rest() {
    let wire = |size| {
        Conductor::new(ConductorSize::Metric(size), Temperature::celsius(70.0), Material::Copper, true)
            .unwrap()
    };
    let real = |m: f64, size: u32| {
        let at = |t| m * wire(size).resistance_per_length(Temperature::celsius(t)).in_ohms_per_metre();
        Range::new(ohms(at(20.0)), ohms(at(WARM)))
    };
    let levels = case(real).fault_levels();
    for (node, metres, size, upper, lower) in CIRCUITS {
        let total = levels.node(node).unwrap().total;
        // 9.8 % (50 mm2), 14.8 % (1.5 mm2), 11.7 % (1.0 mm2) more than 0.0179 ohm mm2/m.
        let dearer = real(metres, size).low().unwrap().si() / by_hand(metres, size, 20.0);
        assert!((1.09..1.16).contains(&dearer), "{node}: {dearer:.3}");
        let expected =
            |emf: f64, string: f64, warm: f64| emf / (string / 2.0 + by_hand(metres, size, warm) * dearer);
        near(total.low(), expected(25.6, 5.53e-3, WARM), 1e-3, node);
        let off = near(total.low(), lower, 0.14, node);
        assert!(off < -0.05, "{node}: {off}");
        if let Some(upper) = upper {
            near(total.high(), expected(26.8, 2.52e-3, 20.0), 1e-3, node);
            near(total.high(), upper, 0.09, node);
        }
    }
}

/// Beside it the bound: charging at 28.8 V with alternator, solar and shore charger; one string open, cells cold and aged.
#[test]
fn the_bound_of_the_definitions_is_wider() {
    let links = 5.53e-3 - 8.0 * 0.55e-3;
    // Assumed: cold and aged cells have twice the resistance of those in the table.
    let string = Range::new(ohms(2.52e-3), ohms(links + 8.0 * 2.0 * 0.55e-3));
    let emf = Range::new(volts(24.0), volts(28.8));
    let copper = |m, s| Range::new(ohms(by_hand(m, s, 20.0)), ohms(by_hand(m, s, WARM)));
    let mut net = boat(emf, string, copper, true);
    for (id, limit) in [("alternator", 65.0), ("solar", 30.0), ("shore", 50.0)] {
        let charger = Converter {
            output: volts(28.8),
            limit: amperes(limit),
            efficiency: Fraction::new(0.9),
            minimum: None,
            shuts_down: false,
            capacitor: None,
            runs: false,
        };
        net.converter(id, "bus", RETURN, None, charger).unwrap();
    }
    let levels = net.fault_levels();
    let bus = levels.node("bus").unwrap();
    near(bus.total.high(), 2.0 * 28.8 / 2.52e-3 + 145.0, 1e-3, "bus, upper");
    near(bus.total.low(), 24.0 / (links + 8.8e-3), 1e-3, "bus, lower");
    assert_eq!(bus.open.len(), 4, "one string and three chargers: {:?}", bus.open);
    let plain = case(|m, s| Range::new(ohms(by_hand(m, s, 20.0)), ohms(by_hand(m, s, WARM)))).fault_levels();
    for node in ["bus", "thruster", "pump", "lamp"] {
        let (bound, case) = (levels.node(node).unwrap().total, plain.node(node).unwrap().total);
        println!("{node}: case {case}, bound {bound}");
        assert!(bound.low() < case.low() && bound.high() > case.high(), "{node}");
    }
    // A 20 kA device is not enough at the bus, yet each string fuse sees one string and the chargers.
    let fuse = levels.through("fuse A").unwrap().through;
    near(fuse.high(), 28.8 / 2.52e-3 + 145.0, 1e-3, "string fuse");
}

// IEC 61660-1 as remembered: U_nB 12.8 V, R_B 1.0 mohm, R_L 0.5 mohm give 9.60 and 8.51 kA (derived from the formula).
#[test]
fn the_form_of_iec_61660() {
    let form = BatteryForm::Iec61660;
    let ask = |t| form.short_circuit(volts(12.8), ohms(1e-3), ohms(0.5e-3), t).unwrap();
    near(Some(ask(None).peak), 9600.0, 1e-12, "peak");
    near(Some(ask(None).sustained), 8512.0, 1e-12, "sustained");
    assert_eq!(ask(None).rise, None);
    // 2/(1/3 ms + 1/30 ms).
    assert!(
        (ask(Some(seconds(3e-3))).rise.unwrap().si() - 2.0 / (1000.0 / 3.0 + 1000.0 / 30.0)).abs() < 1e-12
    );
    // As a source of a network it gives the same two currents behind the same leads.
    let mut net = Network::new();
    net.source("b", "b", RETURN, form.source(volts(12.8), ohms(1e-3), false).unwrap()).unwrap();
    net.branch("l", "b", "bus", Part::Resistance(Range::exactly(ohms(0.5e-3)))).unwrap();
    let total = net.fault_at("bus").unwrap().total;
    near(total.high(), 9600.0, 1e-6, "network, upper");
    near(total.low(), 8512.0, 1e-6, "network, lower");
    let plain = BatteryForm::Resistive.short_circuit(volts(12.8), ohms(1e-3), ohms(0.5e-3), None).unwrap();
    assert_eq!((plain.peak, plain.rise), (plain.sustained, None));
    near(Some(plain.peak), 12.8 / 1.5e-3, 1e-12, "resistive");
    let mut working = orlop::Working::new("battery");
    form.short_circuit_recorded(volts(12.8), ohms(1e-3), ohms(0.0), None, &mut working).unwrap();
    assert_eq!(working.confidence(), Some(orlop::Confidence::Memory));
    for (u, r, l) in [
        (0.0, 1.0, 0.0),
        (-1.0, 1.0, 0.0),
        (f64::NAN, 1.0, 0.0),
        (12.0, 0.0, 0.0),
        (12.0, f64::INFINITY, 0.0),
        (12.0, 1.0, -1.0),
    ] {
        assert!(form.short_circuit(volts(u), ohms(r), ohms(l), None).is_err());
        assert!(l < 0.0 || form.source(volts(u), ohms(r), true).is_err());
    }
    assert!(form.short_circuit(volts(12.0), ohms(1.0), ohms(0.0), Some(seconds(0.0))).is_err());
}
