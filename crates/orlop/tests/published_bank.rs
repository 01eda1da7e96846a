//! What surrounds the cells of a bank, against outside truth: every `tests/published/bank_*.toml`.
//!
//! One line is printed per file: `published|file|source|cells|worst|note`.

#[path = "published/report.rs"]
mod report;

use orlop::Confidence;
use orlop::pack::enclosure::{Hull, Item, rise, time_constant};
use orlop::pack::fixture::pressure;
use orlop::pack::manager::{Filling, PreCharge};
use orlop::pack::restraint::pull_of_the_rule;
use orlop::pack::ventilation::{
    Gassing, Ventilation, air_by_cfr46, dilution, hydrogen_per_hour, ventilation,
};
use orlop::units::{AnyQuantity, Length, Quantity, metres, parse};
use std::collections::BTreeMap;

#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Published {
    source: String,
    edition: String,
    place: String,
    reading: String,
    confidence: String,
    note: String,
    case: Vec<Case>,
}

#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    question: String,
    inputs: BTreeMap<String, String>,
    expected: toml::Value,
    tolerance: f64,
    reason: String,
}

impl Case {
    fn text(&self, key: &str) -> &str {
        self.inputs.get(key).unwrap_or_else(|| panic!("no {key} in {:?}", self.inputs))
    }
    fn get<Q: Quantity>(&self, key: &str) -> Q {
        parse(self.text(key), key).unwrap_or_else(|e| panic!("{e}"))
    }
    fn number(&self, key: &str) -> f64 {
        self.text(key).parse().unwrap()
    }
    fn count(&self) -> u32 {
        self.text("cells").parse().unwrap()
    }

    fn air(&self) -> Ventilation {
        let gassing = Gassing::parse(self.text("gassing"), "gassing").unwrap();
        ventilation(self.count(), self.get("capacity"), gassing).unwrap()
    }

    fn filling(&self) -> Filling {
        let (u, c, r) = (self.get("voltage"), self.get("capacitance"), self.get("resistor"));
        PreCharge::new(u, c, r).unwrap().filling().unwrap()
    }

    /// The weight moved forward and to starboard at once.
    fn moved(&self, length: Length) -> (Hull, [Item; 2]) {
        let hull = Hull::new(self.get("displacement"), self.get("gm"), self.get("gm"), length).unwrap();
        let at = |d| Item { mass: self.get("mass"), x: d, y: d, z: metres(0.0) };
        (hull, [at(metres(0.0)), at(self.get("shift"))])
    }

    fn answer(&self) -> AnyQuantity {
        match self.question.as_str() {
            "air" => self.air().air_per_hour.into(),
            "opening" => self.air().opening.into(),
            "hydrogen" => {
                hydrogen_per_hour(self.count(), self.get("current"), self.get("at")).unwrap().into()
            }
            "dilution" => dilution(self.get("gas"), self.get("share")).unwrap().into(),
            "air-cfr46" => {
                air_by_cfr46(self.count(), self.get("gassing"), self.get("charger")).unwrap().into()
            }
            "heel-tangent" => {
                let (hull, [before, after]) = self.moved(metres(1.0));
                let heel = hull.heel_deg(&[before], &[after]).unwrap();
                orlop::units::Number::of(heel.to_radians().tan()).into()
            }
            "trim" => {
                let (hull, [before, after]) = self.moved(self.get("length"));
                hull.trim(&[before], &[after]).unwrap().into()
            }
            "pull" => pull_of_the_rule(self.get("mass")).unwrap().into(),
            "pressure" => pressure(self.get("force"), self.get("width"), self.get("height")).unwrap().into(),
            "pre-charge-peak" => self.filling().peak.into(),
            "pre-charge-tau" => self.filling().time_constant.into(),
            "pre-charge-energy" => self.filling().energy.into(),
            "still-air-rise" => {
                let h = Some(self.number("transfer"));
                rise(self.get("loss"), self.get("surface"), h).unwrap().low().unwrap().into()
            }
            "still-air-time" => {
                let (m, c, a) = (self.get("mass"), self.get("heat"), self.get("surface"));
                time_constant(m, c, a, Some(self.number("transfer"))).unwrap().low().unwrap().into()
            }
            other => panic!("no question '{other}'"),
        }
    }
}

#[test]
fn banks_keep_to_their_sources() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/published");
    let mut files: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    files.retain(|p| p.file_name().unwrap().to_str().unwrap().starts_with("bank_"));
    files.sort();
    assert!(files.len() >= 3, "{files:?}");
    for path in files {
        let name = path.file_stem().unwrap().to_str().unwrap();
        let source: Published = toml::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap();
        let confidence = Confidence::parse(&source.confidence).unwrap_or_else(|| panic!("{name}"));
        for said in [&source.source, &source.place, &source.reading, &source.note] {
            assert!(!said.is_empty(), "{name}: every file says where it comes from");
        }
        let mut worst = 0.0_f64;
        for case in &source.case {
            assert!(!case.reason.is_empty(), "{name}: a tolerance needs its reason");
            let got = case.answer();
            let want = match &case.expected {
                toml::Value::Float(x) => *x,
                text => AnyQuantity::parse_kind(text.as_str().unwrap(), "expected", got.kind).unwrap().si,
            };
            let off = ((got.si - want) / want).abs();
            assert!(
                off <= case.tolerance,
                "{name}, {} {:?}: {got} is {off:.1e} off",
                case.question,
                case.inputs
            );
            worst = worst.max(off);
        }
        let edition =
            if source.edition.is_empty() { String::new() } else { format!(" ({})", source.edition) };
        let from = format!("{}{edition}, {}", source.source, source.place);
        let worst = if worst < 1e-12 {
            "0 %".into()
        } else {
            format!("{} %", orlop::units::significant(100.0 * worst, 2))
        };
        let note = format!("{}: {}", confidence.word(), source.note);
        report::line(name, &from, source.case.len(), &worst, &note);
    }
}
