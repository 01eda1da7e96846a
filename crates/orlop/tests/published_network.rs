//! Networks against outside truth: every `tests/published/network_*.toml`, cell by cell.
//!
//! Each file names its source, edition, place, how it was read, the reason of its tolerances. A cell that is `computed` was not
//! printed but found a second time by another method: it is checked, but not counted as published. A cell with a `difference` is
//! a misprint: ours is given beside it, and the printed value must disagree. One line is printed per file.

#[path = "published/report.rs"]
mod report;

use orlop::network::{Corner, Demand, Load, Network, Operating, Part, RETURN, Source};
use orlop::units::{AnyQuantity, Current, Kind, Power, Quantity, Resistance, Voltage, ohms, significant};
use orlop::{Confidence, Error, Range};
use std::collections::BTreeMap;

#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    source: String,
    edition: String,
    place: String,
    confidence: String,
    reading: String,
    reason: String,
    note: String,
    case: Vec<Case>,
}

#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    name: String,
    /// Ideal sources, at a node or between two.
    sources: BTreeMap<String, String>,
    /// The node that is the return.
    #[serde(default)]
    ground: String,
    branches: BTreeMap<String, String>,
    /// Constant currents and powers.
    #[serde(default)]
    loads: BTreeMap<String, String>,
    #[serde(default)]
    resistors: BTreeMap<String, String>,
    cell: Vec<Cell>,
}

#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Cell {
    what: String,
    at: String,
    printed: Option<String>,
    tolerance: Option<String>,
    ours: Option<String>,
    difference: Option<String>,
    #[serde(default)]
    computed: bool,
}

fn read<Q: Quantity>(text: &str) -> Q {
    orlop::units::parse(text, "a cell").unwrap_or_else(|e| panic!("{e}"))
}

impl Case {
    fn ends(&self, key: &str) -> (String, String) {
        let (from, to) = key.split_once('-').unwrap_or((key, RETURN));
        let node = |name: &str| if name == self.ground { RETURN.to_string() } else { name.to_string() };
        (node(from), node(to))
    }

    fn network(&self, scale: f64) -> Network {
        let mut net = Network::new();
        for (key, emf) in &self.sources {
            let (from, to) = self.ends(key);
            let emf = Range::exactly(read::<Voltage>(emf));
            let ideal = Source { emf, resistance: Range::exactly(ohms(0.0)), may_open: false };
            net.source(&format!("source {key}"), &from, &to, ideal).unwrap();
        }
        for (key, r) in &self.branches {
            let (from, to) = self.ends(key);
            net.branch(key, &from, &to, Part::Resistance(Range::exactly(read(r)))).unwrap();
        }
        for (key, r) in &self.resistors {
            let (from, to) = self.ends(key);
            net.load(key, &from, &to, Load::new(Demand::Resistance(read::<Resistance>(r)))).unwrap();
        }
        for (key, size) in &self.loads {
            let (from, to) = self.ends(key);
            let size = AnyQuantity::parse(size, key).unwrap();
            let demand = match size.kind {
                Kind::Current => Demand::Current(Current::from_si(size.si * scale)),
                Kind::Power => Demand::Power(Power::from_si(size.si * scale)),
                other => panic!("{other:?}"),
            };
            net.load(&format!("load {key}"), &from, &to, Load::new(demand)).unwrap();
        }
        net
    }

    /// The scale of all loads at which the network gives way.
    fn collapse(&self) -> f64 {
        let (mut low, mut high) = (1.0, 1000.0);
        while high - low > 1e-8 {
            let middle = 0.5 * (low + high);
            match self.network(middle).solve(Corner::Low) {
                Ok(_) => low = middle,
                Err(Error::NoSolution { .. }) => high = middle,
                Err(other) => panic!("{other}"),
            }
        }
        low
    }

    /// Ours, as a number in base units, and the kind of cell.
    fn ours(&self, point: &Operating, cell: &Cell) -> f64 {
        let net = point.network();
        match cell.what.as_str() {
            "volts" => point.voltage(&cell.at).unwrap().unwrap().si(),
            "amps" => point.current(&cell.at).unwrap().si(),
            "across" => {
                let (from, to) = self.ends(&cell.at);
                let at = |node: &str| point.voltage(node).unwrap().unwrap().si();
                at(&from) - at(&to)
            }
            "loss" => point.losses().si(),
            "collapse" => self.collapse(),
            "largest" => {
                let load = net.loads().iter().position(|l| l.id == format!("load {}", cell.at)).unwrap();
                let mut prepared = net.prepare(Corner::Low).unwrap();
                prepared.largest_power(load, &net.demands()).unwrap().unwrap().si()
            }
            other => panic!("{}: what is '{other}'?", self.name),
        }
    }
}

fn number(text: &str) -> f64 {
    text.parse().unwrap_or_else(|_| AnyQuantity::parse(text, "a cell").unwrap_or_else(|e| panic!("{e}")).si)
}

#[test]
fn networks_keep_to_their_sources() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/published");
    let mut files: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    files.retain(|p| p.file_name().unwrap().to_str().unwrap().starts_with("network_"));
    files.sort();
    assert!(files.len() >= 4, "{files:?}");
    for path in files {
        let name = path.file_stem().unwrap().to_str().unwrap();
        let text = std::fs::read_to_string(&path).unwrap();
        let file: File = toml::from_str(&text).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert!(Confidence::parse(&file.confidence).is_some(), "{name}: {}", file.confidence);
        for said in [&file.source, &file.reading, &file.reason, &file.note] {
            assert!(!said.is_empty(), "{name}: every file says where it comes from");
        }
        let (mut printed, mut again, mut misprints, mut worst) = (0, 0, 0, 0.0_f64);
        for case in &file.case {
            let point = case.network(1.0).solve(Corner::Low).unwrap_or_else(|e| panic!("{}: {e}", case.name));
            for cell in &case.cell {
                if cell.what == "lowest" {
                    let v = point.volts();
                    let lowest = (1..v.len()).min_by(|&a, &b| v[a].total_cmp(&v[b])).unwrap();
                    assert_eq!(point.network().nodes()[lowest], cell.at, "{}", case.name);
                    printed += 1;
                    continue;
                }
                let ours = case.ours(&point, cell);
                let wanted = number(cell.printed.as_ref().expect("a value"));
                let tolerance = number(cell.tolerance.as_ref().expect("a tolerance"));
                let agrees = |x: f64| (ours - x).abs() <= tolerance * (1.0 + 1e-9);
                if let Some(difference) = &cell.difference {
                    assert!(!agrees(wanted), "{} {}: no longer differs: {difference}", case.name, cell.at);
                    let stated = number(cell.ours.as_ref().expect("ours beside a difference"));
                    assert!((ours - stated).abs() < 1e-3, "{} {}: {ours}", case.name, cell.at);
                    misprints += 1;
                    continue;
                }
                assert!(
                    agrees(wanted),
                    "{name}: {} {} {}: {ours}, printed {wanted}",
                    case.name,
                    cell.what,
                    cell.at
                );
                if cell.computed {
                    again += 1;
                } else {
                    printed += 1;
                    worst = worst.max(((ours - wanted) / wanted).abs());
                }
            }
        }
        assert!(printed > 0, "{name}");
        let mut note = file.note.clone();
        if misprints > 0 {
            note += &format!("; {misprints} printed cells of 13.24 with a tie differ for the stated reason");
        }
        if again > 0 {
            note += &format!("; {again} more cells agree with a second method");
        }
        if file.confidence != "published" {
            note = format!("{}: {note}", file.confidence);
        }
        let place = if file.place.is_empty() { String::new() } else { format!(", {}", file.place) };
        let edition = if file.edition.is_empty() { String::new() } else { format!(" ({})", file.edition) };
        let worst = format!("{} %", significant(100.0 * worst, 2));
        report::line(name, &format!("{}{edition}{place}", file.source), printed + misprints, &worst, &note);
    }
}
