//! From symptoms and readings to causes, on the demo boats.

use orlop::Error;
use orlop_boat::diagnose::{
    Asked, CauseKind, DECIDED, Diagnosis, FaultReading, Sign, Spot, Symptom, find_fault,
};
use orlop_boat::{Design, document, size};
use orlop_units::Quantity;
use std::sync::OnceLock;

fn dunlin() -> &'static Design {
    static DESIGN: OnceLock<Design> = OnceLock::new();
    DESIGN.get_or_init(|| design(include_str!("../../../python/orlop/boats/dunlin.toml")))
}

fn design(text: &str) -> Design {
    size(&document::read(text, "boat.toml").unwrap_or_else(|e| panic!("{e}"))).unwrap()
}

fn ask(design: &Design, symptoms: &[&str], readings: &[&str]) -> Result<Diagnosis, Error> {
    find_fault(design, &Asked::parse(symptoms, readings, &[])?)
}

fn asked(symptoms: &[&str], readings: &[&str]) -> Diagnosis {
    ask(dunlin(), symptoms, readings).unwrap_or_else(|e| panic!("{e}"))
}

fn refused(symptoms: &[&str], readings: &[&str]) -> String {
    ask(dunlin(), symptoms, readings).unwrap_err().to_string()
}

const FRIDGE: [&str; 2] = ["voltage panel.FWD = 24.6 V", "voltage load.F1 = 21.9 V"];

#[test]
fn the_fridge_that_clicks() {
    let first = asked(&["weak load.F1"], &FRIDGE);
    assert!(!first.decided && !first.unexplained());
    // 2.7 V lost between panel and fridge: only the fridge's own circuit and the fridge are left.
    let there: f64 = first
        .causes
        .iter()
        .filter(|c| c.at == "circuit.F1" || c.at == "load.F1")
        .map(|c| c.probability)
        .sum();
    assert!(there > 0.99, "{there}");
    // The drop on one leg says which.
    let next = &first.next[0];
    assert!(next.bits > 0.5 && next.outcomes.len() > 1, "{next:?}");
    let leg = asked(&["weak load.F1"], &[FRIDGE[0], FRIDGE[1], "drop circuit.F1 negative = 2.52 V"]);
    assert!(leg.missing_bits < first.missing_bits);
    let found = asked(
        &["weak load.F1"],
        &[FRIDGE[0], FRIDGE[1], "drop circuit.F1 negative = 2.52 V", "drop circuit.F1 end-negative = 2.39 V"],
    );
    assert!(found.decided && found.next.is_empty());
    let cause = &found.causes[0];
    assert_eq!((cause.kind, cause.spot), (CauseKind::Joint, Some(Spot::EndNegative)));
    assert!(cause.probability >= DECIDED);
    // 50 W at 21.9 V are 2.28 A: 2.39 V are 1.05 ohm and 5.5 W; the label says 50 W, give or take a quarter. The rest of the leg
    // agrees: 0.13 V on 3.1 m of 1 mm2, 54 mohm.
    let [best, low, high] = cause.size.as_ref().unwrap().each_ref().map(|q| q.si);
    assert!(low < 1.05 && 1.05 < high && (best / 1.05 - 1.0).abs() < 0.15, "{low} {best} {high}");
    assert!((cause.heat_now.unwrap().si() / 5.5 - 1.0).abs() < 0.2);
}

#[test]
fn without_anything_there_are_priors_and_a_first_measurement() {
    let d = asked(&[], &[]);
    assert!(d.symptoms.is_empty() && d.readings.is_empty() && !d.decided);
    assert!(d.causes.iter().all(|c| (c.probability - c.prior).abs() < 1e-12));
    assert!(!d.next.is_empty() && d.explained == 1.0);
    assert!(d.cautions.iter().any(|c| c.contains("Never measure ohms on a live circuit")));
}

#[test]
fn probabilities_add_up_and_the_order_is_theirs() {
    let d = asked(&["dead load.F1"], &["voltage load.F1 = 25.4 V"]);
    let sum: f64 = d.causes.iter().map(|c| c.probability).sum();
    assert!(sum > 0.999 && sum <= 1.0 + 1e-9, "{sum}");
    assert!(d.causes.windows(2).all(|w| w[0].probability >= w[1].probability * (1.0 - 1e-8)));
    // Full volts at a fridge that does nothing: it is the fridge.
    assert_eq!((d.causes[0].kind, d.causes[0].at.as_str()), (CauseKind::LoadDead, "load.F1"));
}

#[test]
fn the_order_of_what_is_told_is_of_no_effect() {
    let a = asked(&["dead load.F1", "works load.F4"], &["voltage load.F1 = 0 V", "look circuit.F1 = whole"]);
    let b = asked(&["works load.F4", "dead load.F1"], &["look circuit.F1 = whole", "voltage load.F1 = 0 V"]);
    for (x, y) in a.causes.iter().zip(&b.causes) {
        assert_eq!(x.what, y.what);
        assert!((x.probability - y.probability).abs() < 1e-9);
    }
    assert_eq!(a.verdict, b.verdict);
    let asks = |d: &Diagnosis| d.next.iter().map(|n| n.ask.clone()).collect::<Vec<_>>();
    assert_eq!(asks(&a), asks(&b));
}

#[test]
fn one_probable_fault_for_each_story() {
    let told: [(&[&str], &[&str], CauseKind, &str); 10] = [
        (
            &["dead load.F1"],
            &["look circuit.F1 = open", "swap circuit.F1 = better"],
            CauseKind::DeviceOpen,
            "circuit.F1",
        ),
        (
            &["dead load.F4"],
            &["look circuit.F4 = open", "swap circuit.F4 = same", "resistance load.F4 = 0.1 ohm"],
            CauseKind::Short,
            "circuit.F4",
        ),
        (
            &["weak load.F4"],
            &["current circuit.F4 = 6.9 A", "voltage load.F4 = 24.6 V"],
            CauseKind::LoadHeavy,
            "load.F4",
        ),
        (&["dead load.F1"], &["voltage load.F1 = -25.3 V"], CauseKind::Reversed, "load.F1"),
        (
            &["drains bank.BANK"],
            &["current bank.BANK off = 2.1 A", "voltage bank.BANK off = 25.6 V"],
            CauseKind::Drain,
            "bank.BANK",
        ),
        (
            &["drains bank.BANK"],
            &[
                "voltage bank.BANK off = 23.2 V",
                "current circuit.SHORE charging = 0 A",
                "current circuit.SOL charging = 25 A",
                "current circuit.ALT charging = 60 A",
            ],
            CauseKind::ChargerOff,
            "source.SHORE",
        ),
        (
            &["cuts-off bank.BANK"],
            &["rest-difference bank.BANK = 1.4 V", "voltage bank.BANK off = 24.3 V"],
            CauseKind::Cell,
            "bank.BANK",
        ),
        (&["live circuit.F1"], &["voltage panel.FWD isolated = 24.1 V"], CauseKind::SecondFeed, "boat"),
        (
            &["dead load.N1"],
            &["voltage source.N12 = 0 V", "voltage circuit.CONV = 25.5 V"],
            CauseKind::ConverterOff,
            "source.N12",
        ),
        (
            &["weak load.F5"],
            &["voltage bank.BANK = 25.4 V", "drop circuit.FWD device = 3.0 V", "voltage panel.FWD = 21.6 V"],
            CauseKind::Device,
            "circuit.FWD",
        ),
    ];
    for (symptoms, readings, kind, at) in told {
        let d = asked(symptoms, readings);
        let first = &d.causes[0];
        assert_eq!((first.kind, first.at.as_str()), (kind, at), "{symptoms:?} {readings:?}: {}", d.verdict);
        assert!(
            first.probability > 0.3 && !d.unexplained(),
            "{readings:?}: {} {}",
            first.probability,
            d.explained
        );
    }
}

#[test]
fn what_dims_together_has_its_cause_on_the_common_way() {
    let d = asked(&["dims load.F3 when load.F5"], &[]);
    let own: f64 = d.causes.iter().filter(|c| c.at == "circuit.F3").map(|c| c.probability).sum();
    let common: f64 = d
        .causes
        .iter()
        .filter(|c| c.at == "circuit.FWD" || c.at == "circuit.MAIN" || c.at.starts_with("bank."))
        .map(|c| c.probability)
        .sum();
    assert!(common > 3.0 * own, "{common} {own}");
    // A sound feeder drops what both draw; a dip of 3 V at the lights with the bank steady is the feeder's.
    let d = asked(
        &["dims load.F3 when load.F5"],
        &["voltage bank.BANK = 25.3 V", "voltage panel.FWD before = 25.2 V", "voltage panel.FWD = 21.9 V"],
    );
    let feeder: f64 = d.causes.iter().filter(|c| c.at == "circuit.FWD").map(|c| c.probability).sum();
    assert!(feeder > 0.95, "{feeder}");
}

#[test]
fn what_cannot_be_is_said_plainly() {
    // More volts at the fridge than at the panel above it.
    let d = asked(&["weak load.F1"], &["voltage panel.FWD = 21.0 V", "voltage load.F1 = 25.9 V"]);
    assert!(d.unexplained() && !d.decided && d.next.is_empty());
    assert!(d.verdict.starts_with("None of these causes"), "{}", d.verdict);
}

#[test]
fn nothing_that_tells_nothing_is_proposed() {
    for (symptoms, readings) in [
        (&["weak load.F1"][..], &FRIDGE[..]),
        (&["dead load.H1"], &[]),
        (&["trips load.F4"], &[]),
        (&[], &[]),
    ] {
        let d = asked(symptoms, readings);
        for n in &d.next {
            assert!(n.bits >= 0.02 && n.bits <= d.missing_bits + 1e-6 && n.minutes > 0.0, "{n:?}");
            assert!(!readings.iter().any(|r| r.starts_with(&format!("{} =", n.ask))), "{n:?}");
            let chance: f64 = n.outcomes.iter().map(|o| o.chance).sum();
            assert!((chance - 1.0).abs() < 1e-6, "{n:?}");
            // What is proposed can be answered as it is proposed.
            let word = if n.ask.starts_with("look") {
                "whole"
            } else if n.ask.starts_with("try") {
                "works"
            } else {
                ""
            };
            let told = match (word, n.ask.split(' ').next().unwrap()) {
                ("", "current") => "1 A",
                ("", "rise") => "1 K",
                ("", "resistance") => "1 ohm",
                ("", "swap") => "same",
                ("", "direct") => "works",
                ("", _) => "1 V",
                (word, _) => word,
            };
            FaultReading::parse(&format!("{} = {told}", n.ask)).unwrap();
        }
        assert!(d.next.windows(2).all(|w| w[0].bits_per_minute() >= w[1].bits_per_minute() * (1.0 - 1e-8)));
    }
}

#[test]
fn odds_of_the_asker_count() {
    let d = |odds: &[(&str, f64)]| {
        find_fault(dunlin(), &Asked::parse(&["weak load.F1"], &FRIDGE, odds).unwrap()).unwrap()
    };
    let joints = |d: &Diagnosis| -> f64 {
        d.causes.iter().filter(|c| c.kind == CauseKind::Joint).map(|c| c.probability).sum()
    };
    let (usual, more) = (joints(&d(&[])), joints(&d(&[("joint", 3.0)])));
    // Odds of joints against all else are three times as large.
    let ratio = |p: f64| p / (1.0 - p);
    assert!((ratio(more) / ratio(usual) / 3.0 - 1.0).abs() < 0.02, "{usual} {more}");
    assert!(Asked::parse(&[], &[], &[("gremlin", 1.0)]).unwrap_err().to_string().contains("joint, device"));
    assert!(Asked::parse(&[], &[], &[("joint", 0.0)]).is_err());
    assert!(Asked::parse(&[], &[], &[("joint", f64::NAN)]).is_err());
}

#[test]
fn symptoms_read_and_print() {
    for sign in Sign::ALL.iter().copied() {
        let text = match sign {
            Sign::Dims => "dims load.A when load.B".to_string(),
            Sign::Drains | Sign::CutsOff => format!("{} bank.A", sign.word()),
            _ => format!("{} load.A", sign.word()),
        };
        let read = Symptom::parse(&text).unwrap();
        assert_eq!((read.sign, read.to_string()), (sign, text));
    }
    for (text, says) in [
        ("", "one of dead"),
        ("sad load.F1", "one of dead, weak, trips, hot, intermittent, drains, dims, cuts-off, live, works"),
        ("dead", "dead load.ID"),
        ("dead F1", "dead load.ID"),
        ("drains load.F1", "bank"),
        ("dims load.F1", "dims load.F3 when load.F5"),
        ("dims load.F1 when load.F1", "two different"),
        ("dead load.F1 badly", "dead load.ID"),
    ] {
        let said = Symptom::parse(text).unwrap_err().to_string();
        assert!(said.contains(says), "{text}: {said}");
    }
}

#[test]
fn readings_read_and_print() {
    for text in [
        "voltage load.F1 = 21.9 V",
        "voltage bank.BANK off = 25.9 V +- 20 mV",
        "drop circuit.F1 start-negative = 0.31 V",
        "resistance circuit.F1 negative = 0.4 ohm",
        "look circuit.F1 = open",
        "swap circuit.F1 = same",
        "direct load.F1 = works",
        "rise circuit.F1 device = 12 K",
    ] {
        let read = FaultReading::parse(text).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(FaultReading::parse(&read.to_string()).unwrap(), read, "{text}");
        assert_eq!(FaultReading::parse(&read.exact()).unwrap(), read, "{text}");
    }
    for (text, says) in [
        ("voltage load.F1", "voltage load.F1 = 21.9 V"),
        ("volts load.F1 = 3 V", "one of voltage, drop"),
        ("voltage = 3 V", "voltage load.F1 = 21.9 V"),
        ("voltage load.F1 sometimes = 3 V", "on, off, charging"),
        ("voltage load.F1 on on = 3 V", "once"),
        ("voltage load.F1 = 3", "bare number"),
        ("voltage load.F1 = 3 A", "voltage"),
        ("voltage load.F1 = nan V", "voltage"),
        ("voltage load.F1 = 24 kV", "-1000 V"),
        ("current circuit.F1 = 90 kA", "20 kA"),
        ("resistance circuit.F1 positive = -1 ohm", "zero or more"),
        ("voltage load.F1 = 3 V +- 0 V", "above zero"),
        ("look circuit.F1 = maybe", "open or whole"),
    ] {
        let said = FaultReading::parse(text).unwrap_err().to_string();
        assert!(said.contains(says), "{text}: {said}");
    }
}

#[test]
fn what_the_boat_does_not_have_is_refused() {
    assert!(refused(&["dead load.F99"], &[]).contains("load.F1"));
    assert!(refused(&["dead panel.F99"], &[]).contains("panel.DCL"));
    assert!(refused(&["dead load.F1"], &["voltage load.F99 = 3 V"]).contains("load.F1"));
    // A place off the way, and a part that the way does not have.
    assert!(refused(&["dead load.F1"], &["voltage load.A1 = 24 V"]).contains("voltage load.F1"));
    assert!(refused(&["dead load.F1"], &["drop circuit.F1 switch = 0.1 V"]).contains("drop circuit"));
    let said = refused(&["dead load.F1"], &["voltage load.F1 = 21.9 V", "voltage load.F1 = 24.9 V"]);
    assert!(said.contains("agree") && said.contains("21.9 V") && said.contains("24.9 V"), "{said}");
    assert!(refused(&[], &["look circuit.F1 = open", "look circuit.F1 = whole"]).contains("agree"));
    // Twice the same is no contradiction.
    ask(dunlin(), &["dead load.F1"], &["voltage load.F1 = 21.90 V", "voltage load.F1 = 21.92 V"]).unwrap();
}

#[test]
fn every_load_of_the_demo_boats_can_be_complained_of() {
    for text in [
        include_str!("../../../python/orlop/boats/teal.toml"),
        include_str!("../../../python/orlop/boats/dunlin_as_found.toml"),
    ] {
        let design = design(text);
        for load in &design.boat.loads {
            let d = ask(&design, &[&format!("dead load.{}", load.id)], &[])
                .unwrap_or_else(|e| panic!("{}: {e}", load.id));
            assert!(
                !d.causes.is_empty() && d.causes.iter().all(|c| c.probability.is_finite()),
                "{}",
                load.id
            );
        }
    }
    for panel in ["panel.DCL", "panel.FWD", "bank.BANK", "source.N12", "circuit.MAIN"] {
        let word = if panel.starts_with("source") { continue } else { "dead" };
        asked(&[&format!("{word} {panel}")], &[]);
    }
}
