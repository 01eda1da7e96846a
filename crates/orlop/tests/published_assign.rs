//! Assignment of cells against outside truth: every `tests/published/assign_*.toml`.
//!
//! One line is printed per file: `published|file|source|cells|worst|note`.

#[path = "published/report.rs"]
mod report;

use orlop::Confidence;
use orlop::pack::Order;
use orlop::pack::assign::{Delivered, Delivery, Plan};
use orlop::units::{Quantity, ampere_hours};

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
    place: String,
    numbers: Vec<f64>,
    groups: usize,
    /// The largest smallest sum.
    smallest: f64,
}

fn delivery(numbers: &[f64]) -> Delivery {
    let cells = numbers.iter().enumerate();
    let cells = cells.map(|(i, n)| Delivered::new(&format!("C{i}"), ampere_hours(*n)).unwrap());
    Delivery::new(cells.collect()).unwrap()
}

#[test]
fn groupings_keep_to_their_sources() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/published");
    let mut files: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    files.retain(|p| p.file_name().unwrap().to_str().unwrap().starts_with("assign_"));
    files.sort();
    assert!(!files.is_empty());
    for path in files {
        let name = path.file_stem().unwrap().to_str().unwrap();
        let source: Published = toml::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap();
        let confidence = Confidence::parse(&source.confidence).unwrap_or_else(|| panic!("{name}"));
        for said in [&source.source, &source.place, &source.reading, &source.note] {
            assert!(!said.is_empty(), "{name}: every file says where it comes from");
        }
        for case in &source.case {
            let size = case.numbers.len() / case.groups;
            let plan = Plan::new(case.groups, size, Order::ParallelFirst).unwrap().without([""; 0]);
            let best = delivery(&case.numbers).assign(&plan).unwrap();
            assert!(best.proved(), "{name}, {}", case.place);
            assert!((best.capacity().out() - case.smallest).abs() < 1e-6, "{name}, {}", case.place);
        }
        let edition =
            if source.edition.is_empty() { String::new() } else { format!(" ({})", source.edition) };
        let from = format!("{}{edition}, {}", source.source, source.place);
        let note = format!("{}: {}", confidence.word(), source.note);
        report::line(name, &from, source.case.len(), "exact", &note);
    }
}
