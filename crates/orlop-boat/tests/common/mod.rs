//! Small boats made in code, with sensible defaults, for tests of the stages after the reader.
#![allow(dead_code)]

use orlop::conductor::{Duty, Material, SpaceKind};
use orlop::rules::{DropClass, RuleOptions, RuleSetId};
use orlop_boat::Boat;
use orlop_boat::model::*;
use orlop_units::*;

pub fn point(x: f64, y: f64, z: f64) -> Point {
    Point { x, y, z }
}

/// A boat of 24 V with one space around everything and a bank `BANK` at place `BAT` in its origin.
pub fn boat() -> Boat {
    Boat {
        name: "Test".into(),
        kind: "open boat".into(),
        state: State::Design,
        nominal: volts(24.0),
        rules: RuleSetId::IsoSmallCraft,
        options: RuleOptions::default(),
        drop_limits: (None, None),
        sizes: SizeSystem::Metric,
        insulation: Temperature::celsius(105.0),
        material: Material::Copper,
        tinned: true,
        slack: Fraction::new(0.08),
        termination: metres(0.3),
        joint: Value::stated(ohms(1e-4)),
        negative: None,
        families: vec!["iso8820-3-blade".into()],
        growth: Fraction::new(0.0),
        spaces: vec![space("hull", (-50.0, 50.0), 35.0, SpaceKind::Outside)],
        places: vec![place("BAT", point(0.0, 0.0, 0.0))],
        trunks: vec![],
        banks: vec![bank("BANK")],
        sources: vec![],
        panels: vec![],
        loads: vec![],
        circuits: vec![],
        scenarios: vec![],
        grounds: vec![],
        bonds: vec![],
        hull: String::new(),
        visit: orlop_boat::found::Visit::default(),
        found: vec![],
        guesses: vec![],
        remarks: vec![],
    }
}

/// A space that fills the boat from one x to another.
pub fn space(id: &str, x: (f64, f64), ambient: f64, kind: SpaceKind) -> Space {
    Space {
        id: id.into(),
        name: id.into(),
        boxes: vec![Block { low: point(x.0, -50.0, -50.0), high: point(x.1, 50.0, 50.0) }],
        ambient: Temperature::celsius(ambient),
        winter: None,
        kind,
        damp: false,
        vapour: false,
    }
}

pub fn place(id: &str, at: Point) -> Place {
    Place { id: id.into(), name: id.into(), at, space: "hull".into() }
}

pub fn bank(id: &str) -> Bank {
    Bank {
        id: id.into(),
        name: id.into(),
        place: "BAT".into(),
        nominal: volts(25.6),
        capacity: None,
        lowest: volts(24.0),
        highest: volts(28.8),
        open_circuit: None,
        strings: 1,
        string_low: None,
        string_high: None,
        build: None,
    }
}

pub fn trunk(id: &str, points: &[Point]) -> Trunk {
    Trunk {
        id: id.into(),
        name: id.into(),
        points: points.to_vec(),
        places: vec![None; points.len()],
        space: None,
        conduit: None,
        enclosed: false,
        apart: false,
        others: 0,
        support: None,
    }
}

pub fn panel(id: &str) -> Panel {
    Panel { id: id.into(), name: id.into(), place: None, rating: None, always_on: false }
}

pub fn source(id: &str, kind: SourceKind, rating: f64) -> Source {
    let converter = kind == SourceKind::Converter;
    Source {
        id: id.into(),
        name: id.into(),
        kind,
        place: None,
        nominal: converter.then(|| volts(12.0)),
        rating: amperes(rating),
        efficiency: Fraction::new(if converter { 0.9 } else { 1.0 }),
        minimum: None,
        self_limiting: true,
        protected: false,
    }
}

pub fn power(p: f64) -> Demand {
    Demand::Power(Value::stated(watts(p)))
}

pub fn load(id: &str, run: Demand) -> Load {
    Load {
        id: id.into(),
        name: id.into(),
        place: None,
        demand: vec![(LoadState::Run, run)],
        lasts: vec![],
        drop_class: DropClass::General,
        max_drop: None,
        minimum: None,
        essential: false,
        second_source: None,
        stall_withstand: None,
        thermal_protection: false,
        unattended: false,
        motor: false,
        capacitance: None,
        max_device: None,
        spark: false,
        ignition_protected: false,
        hours: vec![],
        idle_hours: vec![],
        peak_hours: vec![],
    }
}

/// A circuit with a stated wire length of 2 m in the hull.
pub fn circuit(id: &str, from: &str, feeds: Feeds) -> Circuit {
    Circuit {
        id: id.into(),
        name: id.into(),
        from: from.into(),
        negative: None,
        feeds,
        run: Run::OneWay {
            length: Value { q: OneWay(metres(2.0)), known: Known::Stated, range: None },
            spaces: vec!["hull".into()],
        },
        string: None,
        runs: 1,
        alone: false,
        size: None,
        minimum_size: None,
        insulation: None,
        material: None,
        sheathed: false,
        device: None,
        families: None,
        device_distance: None,
        device_enclosed: false,
        cranking: false,
        ignition_protected: false,
        device_space: None,
        bundled: None,
        duty: Duty::Continuous,
        max_drop: None,
        extra_resistance: None,
    }
}

/// A load and the circuit of the same id that feeds it.
pub fn add_load(boat: &mut Boat, from: &str, load: Load) {
    boat.circuits.push(circuit(&load.id, from, Feeds::Loads(vec![load.id.clone()])));
    boat.loads.push(load);
}

/// A panel and the circuit of the same id that feeds it.
pub fn add_panel(boat: &mut Boat, from: &str, id: &str) {
    boat.panels.push(panel(id));
    boat.circuits.push(circuit(id, from, Feeds::Panel(id.into())));
}

pub fn scenario(id: &str, on: &[(&str, LoadState)]) -> Scenario {
    let on = on.iter().map(|(load, state)| ((*load).to_string(), *state)).collect();
    Scenario { id: id.into(), name: id.into(), on }
}

pub fn along(path: &[&str]) -> Run {
    Run::Trunks { path: path.iter().map(|id| (*id).to_string()).collect(), tail: None }
}

pub fn shortest(from: &str, to: &str) -> Run {
    Run::Shortest { from: from.into(), to: to.into(), tail: None }
}

#[track_caller]
pub fn near(what: &str, got: f64, expected: f64, tolerance: f64) {
    assert!((got - expected).abs() <= tolerance, "{what}: {got} is not {expected} within {tolerance}");
}
