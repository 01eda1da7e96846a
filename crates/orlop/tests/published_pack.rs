//! Outside truth about packs: the files `tests/published/pack_*.toml` that concern tying cells and sharing their current.
//!
//! `cargo test -p orlop --test published_pack -- --nocapture` prints one line per source.

#[path = "published/case.rs"]
mod case;
#[path = "published/report.rs"]
mod report;

use case::{Answer, Inputs};
use orlop::cell::{Cell, ChemistryId, CircuitState, CurveAt, EquivalentCircuit, Method, Pair, StateOfCharge};
use orlop::pack::{Ladder, Order, Pack, TakeOff, Wired, Wiring};
use orlop::units::{
    Fraction, Quantity, Resistance, Temperature, Time, Voltage, ampere_hours, amperes, farads, ohms, parse,
    seconds, significant, volts,
};
use orlop::{Error, Range};

#[test]
fn pack_ladder() {
    case::run("pack_ladder", ladder);
}

#[test]
fn pack_ladder_trade() {
    case::run("pack_ladder_trade", ladder);
}

#[test]
fn pack_two_cells() {
    case::run("pack_two_cells", two_cells);
}

#[test]
fn pack_worked() {
    case::run("pack_worked", worked);
}

fn list<Q: Quantity>(text: &str) -> Vec<Q> {
    text.split(',').map(|one| parse(one.trim(), "list").unwrap()).collect()
}

fn ladder(_: &str, q: &Inputs) -> Result<Answer, Error> {
    let rails = |name| list::<Resistance>(q.text(name).unwrap());
    let mut row = Ladder::new(&list(q.text("cells").unwrap()), &rails("positive"), &rails("negative"))?;
    if let Some(voltages) = q.text("voltages") {
        row = row.with_voltages(&list(voltages))?;
    }
    let take_off = TakeOff::At {
        positive: q.count("take_positive") as usize,
        negative: q.count("take_negative") as usize,
    };
    let shared = row.share(take_off, q.get("current"))?;
    Ok(Answer::of(shared.currents[q.count("cell") as usize - 1]))
}

fn two_cells(_: &str, q: &Inputs) -> Result<Answer, Error> {
    let rise = q.get::<Voltage>("rise").si();
    let curve = CurveAt::from_points(&[(0.0, 3.2), (1.0, 3.2 + rise)])?;
    let cell =
        |r: Resistance| EquivalentCircuit::new(curve.clone(), q.get("capacity"), Fraction::new(1.0), r, &[]);
    let cells = [cell(q.get("r1"))?, cell(q.get("r2"))?];
    let pack = Wired::new(Wiring::new(1, 2, Order::ParallelFirst), &cells)?;
    let (step, time) = (10.0, q.get::<Time>("time").si());
    let current = q.get::<orlop::units::Current>("current");
    let full = vec![CircuitState::rested(StateOfCharge::FULL)?; 2];
    let course = pack.simulate(&full, &vec![current.si(); (time / step) as usize], seconds(step), 1000)?;
    assert!(course.stopped.is_none());
    let now = pack.currents(&course.states, current)?;
    Ok(Answer::Number(match q.text("what").unwrap() {
        "I1" => now[0].si(),
        "I2" => now[1].si(),
        _ => course.states[0].charge().share() - course.states[1].charge().share(),
    }))
}

fn worked(_: &str, q: &Inputs) -> Result<Answer, Error> {
    if q.text("what") == Some("share") {
        let row = Ladder::even(q.count("count") as usize, q.get("cell_resistance"), q.get("link"))?;
        let shared = row.share(TakeOff::parse(q.text("take_off").unwrap(), "take_off")?, amperes(100.0))?;
        return Ok(Answer::Number(shared.currents[q.count("cell") as usize - 1].si()));
    }
    let cell = Cell::new(ChemistryId::Lfp, ampere_hours(230.0))?
        .with_resistance_1khz(Range::exactly(ohms(0.18e-3)))?
        .with_resistance_dc(Range::exactly(ohms(0.55e-3)))?;
    let pack = Pack::new(cell, 8, 2, Order::SeriesFirst)?
        .with_link(Range::exactly(ohms(0.06e-3)))?
        .with_parts(Range::exactly(q.get("parts")))?;
    let method = Method::parse(q.text("method").unwrap(), "method")?;
    let r = pack.resistance(method, StateOfCharge::new(0.5)?, Temperature::celsius(25.0))?;
    let string = r.string.high().unwrap();
    assert_eq!(r.string.low(), r.string.high());
    Ok(match q.text("what").unwrap() {
        "string resistance" => Answer::of(string),
        "string fault" => Answer::of(q.get::<Voltage>("voltage") / string),
        _ => Answer::of(q.get::<Voltage>("voltage") / r.value.high().unwrap()),
    })
}

/// A worked fault by the question itself: the upper bound with the voltage of full cells at rest.
#[test]
fn the_upper_fault_current_of_the_worked_bank() {
    let cell = Cell::new(ChemistryId::Lfp, ampere_hours(230.0))
        .unwrap()
        .with_resistance_1khz(Range::exactly(ohms(0.18e-3)))
        .unwrap();
    let pack = Pack::new(cell, 8, 2, Order::SeriesFirst)
        .unwrap()
        .with_link(Range::exactly(ohms(0.06e-3)))
        .unwrap()
        .with_parts(Range::exactly(ohms(0.66e-3)))
        .unwrap();
    let at = orlop::cell::FaultConditions {
        warmest: Some(Temperature::celsius(25.0)),
        coldest: Some(Temperature::celsius(25.0)),
        least_charge: Some(StateOfCharge::new(0.5).unwrap()),
        highest_voltage: Some(volts(26.8 / 8.0)),
        lowest_voltage: Some(volts(25.6 / 8.0)),
    };
    let fault = pack.fault_current(at).unwrap();
    let high = |i: Range<orlop::units::Current>| i.high().unwrap().si();
    assert!((high(fault.own) / 10.6e3 - 1.0).abs() < 0.005);
    assert!((high(fault.current) / 21.3e3 - 1.0).abs() < 0.005);
    // What the other string sends back through the device of this one.
    assert!((high(fault.from_others.unwrap()) / 10.6e3 - 1.0).abs() < 0.005);
    assert!(fault.current.low().unwrap() <= fault.all_closed.low().unwrap());
}

/// Packs of unequal cells over time against stored curves of another solver.
#[test]
fn pack_over_time() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/published/pack_over_time.toml");
    let file: toml::Table = std::fs::read_to_string(path).unwrap().parse().unwrap();
    let number =
        |v: &toml::Value| v.as_float().or_else(|| v.as_integer().map(|n| n as f64)).expect("a number");
    let list = |v: &toml::Value| v.as_array().unwrap().iter().map(number).collect::<Vec<f64>>();
    let lists = |v: &toml::Value| v.as_array().unwrap().iter().map(list).collect::<Vec<_>>();
    let curve = ChemistryId::Lfp
        .chemistry()
        .curve_at(Some("lfp-prismatic-52ah"), Temperature::celsius(25.0))
        .unwrap();
    let (sample, piece, step) = (number(&file["sample_s"]), number(&file["piece_s"]), 1.0);
    let (mut volts_off, mut amperes_off, mut points) = (0.0_f64, Vec::new(), 0);
    for pack in file["pack"].as_array().unwrap() {
        let count = |key: &str| number(&pack[key]) as usize;
        let take = list(&pack["take"]);
        let wiring = Wiring {
            take_off: TakeOff::At { positive: take[0] as usize, negative: take[1] as usize },
            rail_link: ohms(number(&pack["rail"])),
            series_link: ohms(number(&pack["series_link"])),
            manager: ohms(number(&pack["manager"])),
            ..Wiring::new(
                count("series"),
                count("parallel"),
                Order::parse(pack["order"].as_str().unwrap(), "order").unwrap(),
            )
        };
        let (capacity, r0) = (list(&pack["capacity_ah"]), list(&pack["r0"]));
        let (pair_r, pair_c) = (lists(&pack["pair_r"]), lists(&pack["pair_c"]));
        let cells: Vec<EquivalentCircuit> = (0..capacity.len())
            .map(|k| {
                let pairs: Vec<Pair> = pair_r
                    .iter()
                    .zip(&pair_c)
                    .map(|(r, c)| Pair::new(ohms(r[k]), farads(c[k])).unwrap())
                    .collect();
                let held = ampere_hours(capacity[k]);
                EquivalentCircuit::new(curve.clone(), held, Fraction::new(1.0), ohms(r0[k]), &pairs).unwrap()
            })
            .collect();
        let loads: Vec<f64> = list(&pack["currents_a"])
            .into_iter()
            .flat_map(|i| std::iter::repeat_n(i, (piece / step) as usize))
            .collect();
        let start = CircuitState::rested(StateOfCharge::new(number(&pack["start"])).unwrap()).unwrap();
        let wired = Wired::new(wiring, &cells).unwrap();
        let course = wired
            .simulate(&vec![start; cells.len()], &loads, seconds(step), (sample / step) as usize)
            .unwrap();
        assert!(course.stopped.is_none());
        let (theirs_v, theirs_a) = (list(&pack["voltage_v"]), lists(&pack["branch_a"]));
        assert_eq!(course.voltage_v.len(), theirs_v.len() + 1);
        for (k, (v, i)) in theirs_v.iter().zip(&theirs_a).enumerate() {
            volts_off = volts_off.max((course.voltage_v[k + 1] / v - 1.0).abs());
            let ours = &course.branch_current_a[k + 1];
            amperes_off.extend(ours.iter().zip(i).map(|(a, b)| (a - b).abs()));
            points += 1 + i.len();
        }
    }
    amperes_off.sort_by(f64::total_cmp);
    let at = |q: f64| amperes_off[((amperes_off.len() - 1) as f64 * q) as usize];
    assert!(volts_off < 1e-7, "{volts_off}");
    assert!(at(0.5) < 5e-5 && at(1.0) < 2e-3, "{} {}", at(0.5), at(1.0));
    let note = format!("currents of branches within {} A of 20 to 60 A each", significant(at(1.0), 2));
    let worst = format!("{} %", significant(100.0 * volts_off, 2));
    report::line("pack_over_time", file["source"].as_str().unwrap(), points, &worst, &note);
}
