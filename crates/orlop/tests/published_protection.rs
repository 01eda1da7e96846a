//! Protection against outside truth: every `tests/published/protection_*.toml`, cell by cell.
//!
//! Each file names its source, edition, place, how it was read, the tolerance and its reason. One line is printed per file:
//! `published|file|source|cells|worst|note`.

use orlop::protection::battery::{Position, breaking_by_cranking};
use orlop::protection::{Device, Need, family, judge};
use orlop::units::{Current, Fraction, Quantity, Temperature, Voltage, parse, volts};
use orlop::{Confidence, Range, Verdict};
use std::collections::BTreeMap;

#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Source {
    source: String,
    edition: String,
    place: String,
    reading: String,
    confidence: String,
    tolerance: f64,
    reason: String,
    note: String,
    case: Vec<BTreeMap<String, String>>,
}

/// One case; every cell compared counts once.
struct Case<'a> {
    cells: &'a BTreeMap<String, String>,
    compared: usize,
    worst: f64,
}

impl Case<'_> {
    fn text(&self, key: &str) -> &str {
        self.cells.get(key).unwrap_or_else(|| panic!("no {key} in {:?}", self.cells))
    }
    fn read<Q: Quantity>(&self, key: &str) -> Q {
        parse(self.text(key), key).unwrap()
    }
    fn device(&self) -> Device {
        Device::new(self.text("family"), self.read("rating")).unwrap()
    }
    /// Compares a cell, when the case has it; `none` and `never` want no value.
    fn cell<Q: Quantity>(&mut self, key: &str, got: Option<Q>) {
        let Some(wanted) = self.cells.get(key) else { return };
        self.compared += 1;
        if matches!(wanted.as_str(), "none" | "never") {
            assert!(got.is_none(), "{key}: wanted {wanted}, got {got:?} in {:?}", self.cells);
            return;
        }
        let wanted: Q = parse(wanted, key).unwrap();
        let got = got.unwrap_or_else(|| panic!("{key}: no value in {:?}", self.cells));
        self.worst = self.worst.max(((got.si() - wanted.si()) / wanted.si()).abs());
    }
    fn edges<Q: Quantity>(&mut self, got: Range<Q>) {
        self.cell("fastest", got.low());
        self.cell("slowest", got.high());
    }

    fn run(&mut self) {
        match self.text("kind") {
            "opening" => {
                let got = self.device().opening_time(self.read("current")).unwrap();
                self.edges(got);
            }
            "let-through" => {
                let got = self.device().let_through(self.read("current")).unwrap();
                self.edges(got);
            }
            "family" => {
                let family = family(self.text("family")).unwrap();
                self.cell("voltage", family.voltage);
                self.cell("breaking", family.breaking);
            }
            "cranking" => {
                let ask = |p| breaking_by_cranking(self.read("system"), self.read("cranking"), p).ok();
                let (main, branch) = (ask(Position::Main), ask(Position::Branch));
                self.cell("main", main.map(|m| m.0));
                self.cell("branch", branch.map(|b| b.0));
            }
            "resistance" => self.resistance(),
            "allowed" => self.allowed(),
            other => panic!("kind '{other}'"),
        }
        let expected = self.cells.keys().filter(|k| {
            matches!(
                k.as_str(),
                "fastest"
                    | "slowest"
                    | "voltage"
                    | "breaking"
                    | "main"
                    | "branch"
                    | "cold"
                    | "drop"
                    | "highest"
                    | "passes"
                    | "fails"
            )
        });
        assert_eq!(self.compared, expected.count(), "{:?}", self.cells);
    }

    fn resistance(&mut self) {
        let device = self.device();
        let range = device.resistance().unwrap();
        let (cold, hot) = (range.low().unwrap(), range.high().unwrap());
        self.cell("cold", Some(cold));
        let drop: Voltage = self.read("drop");
        assert!(cold * device.rating() <= drop && drop <= hot * device.rating(), "{:?}", self.cells);
        self.compared += 1;
    }

    fn allowed(&mut self) {
        let ampacity: Current = self.read("ampacity");
        let share: Fraction = self.read("share");
        let family = family(self.text("family")).unwrap();
        let need = Need {
            next_standard_from: self.cells.contains_key("next_standard").then_some(ampacity),
            ..Need::new(ampacity * 0.5, ampacity * share.value(), volts(14.4), Temperature::celsius(30.0))
        };
        self.cell("highest", Some(need.window(family).unwrap().highest));
        for (key, verdict) in [("passes", Verdict::Pass), ("fails", Verdict::Fail)] {
            let device = Device::new(&family.id, self.read(key)).unwrap();
            let all = judge("x", &device, &need).unwrap();
            let got = all.iter().find(|j| j.rule == "device-protects").unwrap().verdict;
            assert_eq!(got, verdict, "{device} in {:?}", self.cells);
            self.compared += 1;
        }
    }
}

#[test]
fn protection_keeps_to_its_sources() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/published");
    let mut files: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    files.retain(|p| p.file_name().unwrap().to_str().unwrap().starts_with("protection_"));
    files.sort();
    assert!(files.len() >= 10, "{files:?}");
    for path in files {
        let name = path.file_stem().unwrap().to_str().unwrap();
        let text = std::fs::read_to_string(&path).unwrap();
        let source: Source = toml::from_str(&text).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert!(Confidence::parse(&source.confidence).is_some(), "{name}: {}", source.confidence);
        for said in [&source.source, &source.place, &source.reading, &source.reason, &source.note] {
            assert!(!said.is_empty(), "{name}: every file says where it comes from");
        }
        let (mut cells, mut worst) = (0, 0.0_f64);
        for case in &source.case {
            let mut case = Case { cells: case, compared: 0, worst: 0.0 };
            case.run();
            cells += case.compared;
            worst = worst.max(case.worst);
            assert!(case.worst <= source.tolerance, "{name}: {} off in {:?}", case.worst, case.cells);
        }
        assert!(cells > 0, "{name}");
        let edition =
            if source.edition.is_empty() { String::new() } else { format!(" ({})", source.edition) };
        println!(
            "published|{name}|{}{edition}, {}|{cells}|{worst:.1e}|{}: {}",
            source.source, source.place, source.confidence, source.note
        );
    }
}
