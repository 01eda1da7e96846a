//! Outside truth about cells: every `tests/published/cell_*.toml`.
//!
//! `cargo test -p orlop --test published_cell -- --nocapture` prints one line per source.

#[path = "published/case.rs"]
mod case;
#[path = "published/report.rs"]
mod report;

use case::{Answer, Inputs};
use orlop::cell::ageing::{AgeingModel, Cycling, Storage, by_range, rainflow};
use orlop::cell::{
    Cell, ChemistryId, CircuitState, Direction, EquivalentCircuit, KineticModel, Method, Pair, Peukert, Rate,
    StateOfCharge, TwoPairs, Wells,
};
use orlop::units::{
    Charge, Fraction, Number, Quantity, Temperature, Time, Voltage, ampere_hours, farads, ohms, seconds,
    significant,
};
use orlop::{Error, Range, Silent, tables};

macro_rules! published {
    ($($file:ident),* $(,)?) => {
        const FILES: &[&str] = &[$(stringify!($file)),*];
        $(#[test] fn $file() { case::run(stringify!($file), question); })*
    };
}

published! {
    cell_ageing,
    cell_ageing_nmc,
    cell_kinetic_deliverable,
    cell_kinetic_fit,
    cell_kinetic_limit,
    cell_kinetic_step,
    cell_ocv_lead,
    cell_ocv_lfp,
    cell_peukert,
    cell_rainflow,
    cell_rainflow_records,
    cell_two_rc,
}

#[test]
fn every_file_about_cells_is_asked() {
    let dir = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/published");
    let mut found: Vec<String> = std::fs::read_dir(dir)
        .expect("tests/published")
        .map(|entry| entry.expect("readable").file_name().to_string_lossy().into_owned())
        .filter_map(|name| Some(name.strip_suffix(".toml")?.to_string()))
        .filter(|name| name.starts_with("cell_") && name != "cell_thevenin")
        .collect();
    found.sort();
    assert_eq!(found, FILES);
}

fn question(question: &str, q: &Inputs) -> Result<Answer, Error> {
    match question {
        "open-circuit" => {
            let chemistry = ChemistryId::parse(q.text("chemistry").unwrap(), "chemistry")?.chemistry();
            let at = q.get::<Temperature>("temperature");
            let rest =
                chemistry.open_circuit_recorded(q.text("curve"), charge(q, "charge")?, at, &mut Silent)?;
            Ok(Answer::of(rest.voltage))
        }
        "two-pairs" => two_pairs(q),
        "peukert-time" => {
            let law = Peukert::new(q.get("rated"), q.get("hours"), number(q, "exponent"))?;
            law.time(q.get("current")).map(Answer::of)
        }
        "kinetic-deliverable" => fitted()?.deliverable(q.get("rating")).map(Answer::of),
        "kinetic-fit" => {
            let model = fitted()?;
            Ok(Answer::Number(match q.text("constant").unwrap() {
                "rate" => model.rate_per_hour(),
                "share" => model.share(),
                _ => model.largest().out(),
            }))
        }
        "kinetic-step" => {
            let wells = drawn(q)?;
            Ok(Answer::of(match q.text("what").unwrap() {
                "available" => wells.available,
                "bound" => wells.bound,
                _ => wells.total(),
            }))
        }
        "kinetic-limit" => {
            let (model, wells) = (gridded()?, drawn(q)?);
            let first = model.largest_current(wells, hour(1.0))?;
            if q.text("turn") == Some("first") {
                return Ok(Answer::of(first));
            }
            let next = model.after(wells, first, hour(1.0))?;
            model.largest_current(next, hour(1.0)).map(Answer::of)
        }
        "ageing" => ageing(q),
        "ageing-at-voltage" => ageing_at_voltage(q),
        "rainflow" => {
            let record: Vec<f64> =
                q.text("record").unwrap().split(',').map(|x| x.trim().parse().unwrap()).collect();
            let range = number(q, "range");
            let counted = by_range(&rainflow(&record)?);
            Ok(Answer::Number(counted.iter().filter(|c| c.0 == range).map(|c| c.1).sum()))
        }
        other => panic!("question '{other}'"),
    }
}

fn number(q: &Inputs, name: &str) -> f64 {
    q.get::<Number>(name).get()
}

fn charge(q: &Inputs, name: &str) -> Result<StateOfCharge, Error> {
    StateOfCharge::of(q.get::<Fraction>(name))
}

fn hour(hours: f64) -> Time {
    seconds(3600.0 * hours)
}

fn two_pairs(q: &Inputs) -> Result<Answer, Error> {
    let direction = Direction::parse(q.text("direction").unwrap(), "direction")?;
    let cell = TwoPairs::lfp_26650(direction, charge(q, "charge")?, q.get("temperature"))?;
    let [fast, slow] = cell.pairs;
    Ok(match q.text("part").unwrap() {
        "R0" => Answer::of(cell.r0),
        "R1" => Answer::of(fast.resistance()),
        "R2" => Answer::of(slow.resistance()),
        "C1" => Answer::of(fast.capacitance()),
        "C2" => Answer::of(slow.capacitance()),
        "tau1" => Answer::of(fast.time_constant()),
        "tau2" => Answer::of(slow.time_constant()),
        other => panic!("part {other}"),
    })
}

fn fitted() -> Result<KineticModel, Error> {
    let rating = |q: f64, h: f64| (ampere_hours(q), hour(h));
    KineticModel::from_ratings([rating(60.0, 1.0), rating(93.0, 10.0), rating(100.0, 20.0)])
}

/// With the constants that the published steps were made with.
fn gridded() -> Result<KineticModel, Error> {
    KineticModel::new(0.475_11, 0.677, ampere_hours(108.159_33))
}

fn drawn(q: &Inputs) -> Result<Wells, Error> {
    let model = gridded()?;
    let mut wells = model.rested(charge(q, "start")?);
    for draw in q.text("draws").unwrap().split(", ") {
        wells = model.after(wells, orlop::units::parse(draw, "draws")?, hour(1.0))?;
    }
    Ok(wells)
}

fn cycling(q: &Inputs) -> Result<Cycling, Error> {
    Ok(Cycling {
        depth: q.get("depth"),
        rate: Rate::new(number(q, "rate"))?,
        middle: StateOfCharge::new(0.5)?,
        temperature: q.get("temperature"),
    })
}

fn ageing(q: &Inputs) -> Result<Answer, Error> {
    let model = AgeingModel::parse(q.text("model").unwrap(), "model")?;
    let storage =
        || Ok::<_, Error>(Storage { charge: charge(q, "charge")?, temperature: q.get("temperature") });
    let law = match q.text("part").unwrap() {
        "calendar" => model.calendar(&storage()?)?,
        "calendar-resistance" => model.calendar_resistance(&storage()?)?,
        "cycles" => model.cycling(&cycling(q)?)?,
        "cycle-resistance" => model.cycling_resistance(&cycling(q)?)?,
        other => panic!("part {other}"),
    };
    law.after(number(q, "x")).map(Answer::of)
}

fn ageing_at_voltage(q: &Inputs) -> Result<Answer, Error> {
    let (model, at) = (AgeingModel::Schmalstieg2014, q.get::<Temperature>("temperature"));
    let volts = q.get::<Voltage>("voltage").si();
    // The charge at which the cell of the model rests at this voltage, by halving.
    let curve = ChemistryId::Nmc.chemistry().curve_at(None, Temperature::celsius(35.0))?;
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if curve.voltage(middle) < volts { low = middle } else { high = middle }
    }
    let storage = Storage { charge: StateOfCharge::new(low)?, temperature: at };
    let cycling =
        Cycling { depth: q.get("depth"), rate: Rate::new(1.0)?, middle: storage.charge, temperature: at };
    // Throughput counts charge and discharge of the 2.05 Ah cell.
    let (days, cycles) = (number(q, "days"), number(q, "throughput") / (2.0 * 2.05));
    Ok(Answer::Number(if q.text("what") == Some("capacity") {
        let lost =
            model.calendar(&storage)?.after(days)?.value() + model.cycling(&cycling)?.after(cycles)?.value();
        1.0 - lost
    } else {
        let calendar = model.calendar_resistance(&storage)?.after(days)?.value();
        1.0 + calendar + model.cycling_resistance(&cycling)?.after(cycles)?.value()
    }))
}

/// The circuit with two pairs against stored curves, made step by step by another solver.
#[test]
fn cell_thevenin() {
    let text = std::fs::read_to_string(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../tests/published/cell_thevenin.toml"
    ))
    .expect("the stored curves");
    let file: toml::Table = text.parse().expect("toml");
    let number = |key: &str| file[key].as_float().or(file[key].as_integer().map(|n| n as f64)).expect(key);
    let list = |value: &toml::Value| -> Vec<f64> {
        value.as_array().expect("a list").iter().map(|x| x.as_float().expect("a number")).collect()
    };
    let pairs: Vec<Pair> = file["pairs"]
        .as_array()
        .expect("pairs")
        .iter()
        .map(list)
        .map(|p| Pair::new(ohms(p[0]), farads(p[1])).unwrap())
        .collect();
    let curve = ChemistryId::Lfp
        .chemistry()
        .curve_at(Some("lfp-prismatic-52ah"), Temperature::celsius(25.0))
        .unwrap();
    let capacity = ampere_hours(number("capacity_ah"));
    let circuit =
        EquivalentCircuit::new(curve, capacity, Fraction::new(1.0), ohms(number("r0")), &pairs).unwrap();
    let step = number("step_s");
    let each = (number("piece_s") / step).round() as usize;
    let currents: Vec<f64> =
        list(&file["currents_a"]).into_iter().flat_map(|i| std::iter::repeat_n(i, each)).collect();
    let start = CircuitState::rested(StateOfCharge::new(number("start")).unwrap()).unwrap();
    let ours = circuit.simulate(&start, &currents, seconds(step)).unwrap();
    let theirs = list(&file["voltage_v"]);
    assert_eq!(ours.voltage_v.len(), theirs.len());
    let errors: Vec<f64> = ours.voltage_v.iter().zip(&theirs).map(|(a, b)| ((a - b) / b).abs()).collect();
    let worst = errors.iter().copied().fold(0.0, f64::max);
    assert!(worst <= number("tolerance"), "{worst}");
    let source = file["source"].as_str().expect("source");
    report::line("cell_thevenin", source, theirs.len(), &format!("{} %", significant(100.0 * worst, 2)), "");
}

/// Measured resistances lie within our bounds when the cell is known at 25 degC and half charge.
#[test]
fn measured_resistances_lie_within_the_bounds() {
    let table = tables::file("cell_resistance_lfp_26650_2018");
    let mut cells = 0;
    for direction in ["charge", "discharge"] {
        let half = table.rows().find(|r| r.number("soc_percent") == 50.0).unwrap();
        let known = ohms(1e-3 * half.number(&format!("{direction}_25")));
        let cell = lfp(ampere_hours(3.0)).with_resistance_dc(Range::exactly(known)).unwrap();
        for row in table.rows() {
            for celsius in [10, 25, 40] {
                let measured = 1e-3 * row.number(&format!("{direction}_{celsius}"));
                let charge = StateOfCharge::new(row.number("soc_percent") / 100.0).unwrap();
                let at = Temperature::celsius(f64::from(celsius));
                let bounds = cell.resistance(Method::TenSeconds, charge, at).unwrap();
                let slack = 1e-9 * measured;
                assert!(
                    bounds.low().si() <= measured + slack && measured <= bounds.high().si() + slack,
                    "{direction} {} % {celsius} degC: {measured} outside {}",
                    row.text("soc_percent"),
                    bounds.value
                );
                cells += 1;
            }
        }
    }
    let note = "every measured cell lies within the bounds given from one of them";
    report::line("cell_resistance_lfp", "Naumann, doctoral thesis, 2018", cells, "-", note);
}

/// The resistance at once of Lin 2014 by temperature lies within the bounds of the 1 kHz resistance.
#[test]
fn resistance_at_once_by_temperature_lies_within_the_bounds() {
    let half = StateOfCharge::new(0.5).unwrap();
    let r0 = |t: f64| TwoPairs::lfp_26650(Direction::Discharge, half, Temperature::celsius(t)).unwrap().r0;
    let cell = lfp(ampere_hours(2.3)).with_resistance_1khz(Range::exactly(r0(25.0))).unwrap();
    let mut cells = 0;
    for t in [10.0, 15.0, 20.0, 25.0, 30.0, 38.0] {
        let bounds = cell.resistance(Method::OneKilohertz, half, Temperature::celsius(t)).unwrap();
        let measured = r0(t).si();
        assert!(bounds.low().si() <= measured * (1.0 + 1e-9), "{t}: {measured} {}", bounds.value);
        assert!(measured <= bounds.high().si() * (1.0 + 1e-9), "{t}: {measured} {}", bounds.value);
        cells += 1;
    }
    report::line(
        "cell_resistance_1khz",
        "Lin, J. Power Sources 257:1 (2014)",
        cells,
        "-",
        "within the bounds",
    );
}

fn lfp(capacity: Charge) -> Cell {
    Cell::new(ChemistryId::Lfp, capacity).unwrap()
}
