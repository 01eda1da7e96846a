//! How large a bank has to be, against outside truth: `tests/published/energy_*.toml`.
//!
//! One line is printed per file: `published|file|source|cells|worst|note`.

#[path = "published/report.rs"]
mod report;

use orlop::Range;
use orlop::cell::ChemistryId;
use orlop::energy::{BankNeed, DutyCycle, Period, RateFactor, temperature_factor};
use orlop::units::{Charge, Fraction, Number, Quantity, Temperature, amperes, parse, seconds, significant};
use serde::Deserialize;

#[derive(Deserialize)]
struct About {
    source: String,
    place: String,
    reading: String,
    confidence: String,
    note: String,
}

#[derive(Deserialize)]
struct Duty {
    #[serde(flatten)]
    about: About,
    tolerance: f64,
    cycle: Cycle,
    expected: Expected,
}

#[derive(Deserialize)]
struct Cycle {
    current_a: Vec<f64>,
    minutes: Vec<f64>,
    random: [f64; 2],
    peukert: [f64; 2],
    temperature: f64,
    margin: f64,
    left: f64,
}

#[derive(Deserialize)]
struct Expected {
    sections_ah: Vec<f64>,
    random_ah: f64,
    uncorrected_ah: f64,
    required_ah: f64,
    drawn_ah: f64,
    terms: Vec<[f64; 3]>,
}

#[derive(Deserialize)]
struct Days {
    #[serde(flatten)]
    about: About,
    case: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    need: Need,
    expected: String,
    tolerance: f64,
    reason: String,
}

#[derive(Deserialize)]
struct Need {
    energy: String,
    days: f64,
    nominal: String,
    depth: String,
    left: String,
    margin: Option<String>,
    celsius: Option<f64>,
}

fn read<T: serde::de::DeserializeOwned>(name: &str) -> T {
    let path = format!("{}/../../tests/published/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    toml::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn told(name: &str, about: &About, cells: usize, worst: f64) {
    assert!(!about.reading.is_empty(), "{name}");
    let from = format!("{}, {}", about.source, about.place);
    let worst = if worst < 1e-12 { "0 %".into() } else { format!("{} %", significant(100.0 * worst, 2)) };
    report::line(name, &from, cells, &worst, &format!("{}: {}", about.confidence, about.note));
}

fn period(amps: f64, minutes: f64) -> Period {
    Period { current: amperes(amps), time: seconds(60.0 * minutes) }
}

#[test]
fn energy_duty_cycle() {
    let duty: Duty = read("energy_duty_cycle");
    let c = &duty.cycle;
    let periods = c.current_a.iter().zip(&c.minutes).map(|(a, t)| period(*a, *t));
    let cycle = DutyCycle::new(periods).unwrap().with_random(period(c.random[0], c.random[1])).unwrap();
    let rate = RateFactor::peukert(seconds(3600.0 * c.peukert[0]), c.peukert[1]).unwrap();
    let (cold, margin, left) =
        (Range::exactly(Number::of(c.temperature)), Fraction::new(c.margin), Fraction::new(c.left));
    let size = cycle.size(&rate, cold, margin, left).unwrap();
    let mut pairs: Vec<(f64, f64)> = Vec::new();
    for (section, want) in size.sections.iter().zip(&duty.expected.sections_ah) {
        pairs.push((section.size.out(), *want));
    }
    assert_eq!(size.sections.len(), duty.expected.sections_ah.len());
    let terms: Vec<(usize, usize, f64)> = size
        .sections
        .iter()
        .enumerate()
        .flat_map(|(n, s)| s.terms.iter().map(move |t| (n + 1, t.period + 1, t.size.out())))
        .collect();
    assert_eq!(terms.len(), duty.expected.terms.len());
    for ((section, period, got), want) in terms.into_iter().zip(&duty.expected.terms) {
        assert_eq!((section as f64, period as f64), (want[0], want[1]));
        pairs.push((got, want[2]));
    }
    let e = &duty.expected;
    pairs.extend([
        (size.random.out(), e.random_ah),
        (size.uncorrected.out(), e.uncorrected_ah),
        (size.capacity.high().unwrap().out(), e.required_ah),
        (size.drawn.out(), e.drawn_ah),
    ]);
    let worst = pairs.iter().map(|(got, want)| ((got - want) / want).abs()).fold(0.0, f64::max);
    assert!(worst <= duty.tolerance, "{worst:.1e}");
    assert_eq!(size.governing, 3, "the fourth section governs");
    told("energy_duty_cycle", &duty.about, pairs.len(), worst);
}

#[test]
fn energy_days() {
    let days: Days = read("energy_days");
    let mut worst = 0.0_f64;
    for case in &days.case {
        let n = &case.need;
        let share = |text: &str| parse::<Fraction>(text, "share").unwrap();
        let (energy, nominal) = (parse(&n.energy, "energy").unwrap(), parse(&n.nominal, "nominal").unwrap());
        let mut need = BankNeed::new(energy, n.days, nominal, share(&n.depth)).unwrap();
        need = need.with_left(share(&n.left)).unwrap();
        if let Some(margin) = &n.margin {
            need = need.with_margin(share(margin)).unwrap();
        }
        if let Some(celsius) = n.celsius {
            let cold = temperature_factor(ChemistryId::LeadFlooded, Temperature::celsius(celsius)).unwrap();
            need = need.with_temperature(cold.value).unwrap();
        }
        let want: Charge = parse(&case.expected, "expected").unwrap();
        let got = need.size().unwrap().capacity.high().unwrap();
        let off = (got.si() / want.si() - 1.0).abs();
        assert!(off <= case.tolerance, "{}: {off:.1e} off; {}", case.expected, case.reason);
        worst = worst.max(off);
    }
    told("energy_days", &days.about, days.case.len(), worst);
}
