//! Routes and demand: the demo boat against its own tables, and laws that hold for any boat.

use orlop_boat::Boat;
use orlop_boat::demand::{Demand, work_out};
use orlop_boat::document::read;
use orlop_units::Quantity;

fn dunlin() -> Boat {
    read(include_str!("../../../python/orlop/boats/dunlin.toml"), "dunlin.toml")
        .unwrap_or_else(|e| panic!("{e}"))
}

#[track_caller]
fn near(what: &str, got: f64, expected: f64, tolerance: f64) {
    assert!((got - expected).abs() <= tolerance, "{what}: {got} is not {expected} within {tolerance}");
}

fn nominal(demand: &Demand, circuit: &str, case: &str) -> f64 {
    demand.circuit(circuit).unwrap().nominal_in(case).si()
}

#[test]
fn prints() {
    let d = work_out(&dunlin());
    for c in &d.circuits {
        println!("{} design {:?} case {} short {:?}", c.circuit, c.design, c.case, c.short);
    }
    for c in &d.converters {
        println!("{c:?}");
    }
    for c in &d.days {
        println!("{} {:?} {} {:?}", c.profile, c.energy.out(), c.range, c.average);
    }
    for c in &d.cases {
        println!("{c:?}");
    }
    for l in &d.loads {
        println!("{l:?}");
    }
    near("x", nominal(&d, "HLM", "passage_night_vhf"), 9.9, 0.1);
}
