//! Outside truth about conductors: regulation tables, standards, worked examples.
//!
//! The cases are data in `tests/published/*.toml`; this runner asks our code each question and compares. Files of other
//! rooms have their own runner. `cargo test -p orlop --test published -- --nocapture` prints one line per source.

#[path = "published/case.rs"]
mod case;
#[path = "published/report.rs"]
mod report;

use case::{Answer, Inputs};
use orlop::Error;
use orlop::conductor::ampacity::ambient_factor;
use orlop::conductor::busbar::{FlatBar, round_rod_current};
use orlop::conductor::withstand::adiabatic_k;
use orlop::conductor::{AmpacityQuestion, Conductor, Material, SpaceKind, standard_sizes};
use orlop::rules::{RuleOptions, RuleSetId};
use orlop::tables::wires::tin_factor;
use orlop::units::{
    ConductorSize, Current, Fraction, Length, Loop, OneWay, Quantity, ResistancePerLength, SizeSystem,
    Temperature, Time, Voltage, metres, square_millimetres,
};

macro_rules! published {
    ($($file:ident),* $(,)?) => {
        const FILES: &[&str] = &[$(stringify!($file)),*];
        $(#[test] fn $file() { case::run(stringify!($file), question); })*
    };
}

published! {
    astm_b258_diameters,
    cfr33_183_425_note1_2015,
    cfr33_183_425_note2_2015,
    cfr33_183_425_table5_2015,
    cfr46_183_340p_2015,
    copper_for_busbars_1996_bar,
    copper_for_busbars_1996_rod,
    din43671_1975_bars_formula,
    iec60092_352_ambient,
    iec60228_2004_resistance,
    iec60364_5_52_ambient,
    iec60364_5_52_method_f,
    iec60364_5_52_method_g,
    iec60364_5_54_k,
    nfpa70_310_15_ambient,
    nfpa70_ch9_table8_areas,
    nfpa70_ch9_table8_resistance,
    trade_ampacity_105c_bundled,
    trade_ampacity_105c_engine_space,
    trade_drop_12v_10pct_copy_a,
    trade_drop_12v_3pct_copy_a,
    trade_drop_12v_3pct_copy_b,
    trade_drop_24v_3pct_copy_b,
    two_touching_singles_free_air,
    vde0298_4_2003_table11_free_air,
    worked_adiabatic_areas,
    worked_circular_mils,
    worked_device_limits,
    worked_drop_sizes,
    worked_length_by_temperature,
    worked_voltage_drops,
}

#[test]
fn every_file_of_this_room_is_run() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/published");
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let text = std::fs::read_to_string(&path).unwrap();
        let name = path.file_stem().unwrap().to_str().unwrap();
        if text.contains("room = \"conductor\"") {
            assert!(FILES.contains(&name), "{name} is not run");
        }
    }
}

fn question(name: &str, q: &Inputs) -> Result<Answer, Error> {
    Ok(match name {
        "ampacity" => Answer::of(conductor(q)?.ampacity(&ampacity_question(q))?.current),
        "place-factor" => Answer::Number(conductor(q)?.ampacity(&ampacity_question(q))?.place_factor),
        "bundle-factor" => Answer::Number(conductor(q)?.ampacity(&ampacity_question(q))?.bundle_factor),
        "device-limit" => {
            let asked = ampacity_question(q);
            let share = asked.rules.device_limit(&asked.options).value;
            Answer::of(conductor(q)?.ampacity(&asked)?.current * share.value())
        }
        "ambient-factor" => {
            Answer::Number(ambient_factor(q.get("rating"), q.get("ambient"), q.get("reference"))?)
        }
        "drop-size" => Answer::Size(drop_size(q)?),
        "circular-mils" => {
            // What the rule's formula asks for: the area of a size, scaled by its drop over the drop allowed.
            let wire = copper(ConductorSize::Awg(10))?;
            let drop = wire.rule_drop(rules(q), q.get("current"), run(q));
            Answer::of(wire.area() * (drop.si() / q.get::<Voltage>("drop").si()))
        }
        "circular-mils-of-size" => Answer::of(conductor(q)?.area()),
        "solid-diameter" => {
            Answer::of(metres((conductor(q)?.area().si() / std::f64::consts::FRAC_PI_4).sqrt()))
        }
        "resistance" => {
            let r = conductor(q)?.resistance_per_length(q.get("temperature"));
            let tin = q.optional::<Length>("strand").map_or(1.0, |d| tin_factor(d).expect("in the table"));
            Answer::of(ResistancePerLength::ohms_per_metre(r.si() * tin))
        }
        "resistance-ratio" => {
            let r = |t| conductor(q).map(|c| c.resistance_per_length(t).si());
            Answer::Number(r(Temperature::celsius(20.0))? / r(q.get("temperature"))?)
        }
        "voltage-drop" => {
            let length = q.optional::<Length>("piece").map_or_else(|| run(q), Loop);
            Answer::of(conductor(q)?.voltage_drop(q.get("current"), length, q.get("temperature")))
        }
        "steady-current" => {
            let wire = conductor(q)?;
            let range = wire.steady_current(q.get("reaches"), q.get("ambient"), q.count("bundled"))?;
            let (low, high) = (range.low().expect("both ends"), range.high().expect("both ends"));
            Answer::of((low + high) * 0.5)
        }
        "adiabatic-k" => {
            Answer::Number(adiabatic_k(material(q), q.get("start"), q.get("end")).expect("hotter at the end"))
        }
        "adiabatic-area" => {
            let k = adiabatic_k(Material::Copper, q.get("start"), q.get("end")).expect("hotter at the end");
            let (fault, time): (Current, Time) = (q.get("fault"), q.get("time"));
            Answer::of(square_millimetres(fault.si() * time.si().sqrt() / k))
        }
        "bar-current" => {
            let bar = FlatBar::new(q.get("width"), q.get("thickness"), Material::Copper)?;
            Answer::of(bar.current(q.get("rise"), q.get("ambient"))?)
        }
        "rod-current" => Answer::of(round_rod_current(q.get("diameter"))?),
        other => panic!("no code answers '{other}'"),
    })
}

fn rules(q: &Inputs) -> RuleSetId {
    RuleSetId::parse(q.text("rules").expect("rules"), "rules").unwrap()
}

fn material(q: &Inputs) -> Material {
    q.text("material").map_or(Material::Copper, |t| Material::parse(t, "material").unwrap())
}

fn copper(size: ConductorSize) -> Result<Conductor, Error> {
    Conductor::new(size, Temperature::celsius(105.0), Material::Copper, true)
}

fn conductor(q: &Inputs) -> Result<Conductor, Error> {
    let size = ConductorSize::parse(q.text("size").expect("size"), "size")?;
    let insulation = q.optional("insulation").unwrap_or(Temperature::celsius(105.0));
    Conductor::new(size, insulation, material(q), q.text("tinned") != Some("no"))
}

fn run(q: &Inputs) -> Loop {
    match q.optional("one_way") {
        Some(one_way) => OneWay(one_way).there_and_back(),
        None => Loop(q.get("loop")),
    }
}

fn ampacity_question(q: &Inputs) -> AmpacityQuestion {
    AmpacityQuestion {
        rules: rules(q),
        options: RuleOptions::default(),
        space: q.text("space").map_or(SpaceKind::Outside, |t| SpaceKind::parse(t, "space").unwrap()),
        bundled: q.count("bundled"),
        ambient: q.optional("ambient"),
    }
}

/// The smallest size whose drop by the rule set's formula keeps the limit.
fn drop_size(q: &Inputs) -> Result<Option<ConductorSize>, Error> {
    let system = SizeSystem::parse(q.text("sizes").expect("sizes"), "sizes")?;
    let smallest = q.text("smallest").map(|t| ConductorSize::parse(t, "smallest")).transpose()?;
    let allowed = q.get::<Voltage>("nominal").si() * q.get::<Fraction>("max_drop").value();
    let (rules, current, length) = (rules(q), q.get("current"), run(q));
    for size in standard_sizes(system).iter().skip_while(|s| smallest.is_some_and(|least| **s != least)) {
        let drop = copper(*size)?.rule_drop(rules, current, length).si();
        if orlop::meets(drop, orlop::Sense::AtMost, allowed) {
            return Ok(Some(*size));
        }
    }
    Ok(None)
}
