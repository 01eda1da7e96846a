//! All papers of the demo boats, from their files to the last byte.

use orlop_boat::{Design, document, size};
use orlop_paper::{Paper, papers};

fn design(text: &str) -> Design {
    size(&document::read(text, "boat.toml").unwrap()).unwrap()
}

const BOATS: [(&str, &str); 2] = [
    ("dunlin", include_str!("../../../python/orlop/boats/dunlin.toml")),
    ("teal", include_str!("../../../python/orlop/boats/teal.toml")),
];

fn text<'a>(papers: &'a [Paper], name: &str) -> &'a str {
    let paper = papers.iter().find(|p| p.name == name).unwrap_or_else(|| panic!("{name}"));
    std::str::from_utf8(&paper.bytes).unwrap()
}

#[test]
fn every_paper_of_the_demo_boats() {
    for (boat, file) in BOATS {
        let design = design(file);
        let made = papers(&design, Some("2026-11-25")).unwrap();
        for paper in &made {
            let path = format!("{}/{boat}/{}", env!("CARGO_TARGET_TMPDIR"), paper.name);
            std::fs::create_dir_all(std::path::Path::new(&path).parent().unwrap()).unwrap();
            std::fs::write(path, &paper.bytes).unwrap();
        }
        let names: Vec<&str> = made.iter().map(|p| p.name.as_str()).collect();
        for schema in orlop_boat::tables::SCHEMAS {
            let csv = text(&made, &format!("tables/{}.csv", schema.name));
            let columns: Vec<&str> = schema.columns.iter().map(|c| c.name).collect();
            assert_eq!(csv.lines().next().unwrap(), columns.join(","));
        }
        let html = text(&made, "report.html");
        for load in &design.boat.loads {
            assert!(html.contains(&load.id), "{boat}: {}", load.id);
        }
        for svg in names.iter().filter(|n| n.ends_with(".svg")) {
            roxmltree::Document::parse(text(&made, svg)).unwrap();
        }
        let json: serde_json::Value = serde_json::from_str(text(&made, "boat.json")).unwrap();
        assert_eq!(json["date"], "2026-11-25");
        assert_eq!(json["tables"]["circuits"].as_array().unwrap().len(), design.circuits.len());
        assert_eq!(json["judgements"].as_array().unwrap().len(), design.judgements.len());
        let found = design.findings().count();
        assert_eq!(json["report"]["findings"].as_array().unwrap().len(), found);
        assert_eq!(text(&made, "tables/findings.csv").matches("\r\n").count(), found + 1);
        for (at, _) in html.match_indices("http") {
            assert!(html[..at].ends_with("xmlns=\""), "{boat}: something from elsewhere");
        }
        let again = papers(&self::design(file), Some("2026-11-25")).unwrap();
        assert!(made == again, "{boat}: same in, same out");
    }
}

#[test]
fn every_circuit_once_on_the_diagram() {
    for (boat, file) in BOATS {
        let design = design(file);
        let view = orlop_paper::view::view(&design, None);
        let drawn: usize = view.tree.nodes.iter().map(|n| n.branches.len()).sum();
        assert_eq!(drawn, design.boat.circuits.len(), "{boat}");
        let ways: usize = view.panels.iter().map(|p| p.ways.len()).sum();
        assert_eq!(ways, design.circuits.len(), "{boat}");
    }
}

#[test]
fn a_bad_date_makes_no_papers() {
    let error = papers(&design(BOATS[0].1), Some("yesterday")).unwrap_err();
    assert_eq!(
        error.to_string(),
        "date: got 'yesterday', expected a day as year-month-day, such as 2026-11-25"
    );
}

#[test]
fn hostile_names_in_a_boat_file() {
    let file = BOATS[0].1.replace("name = \"Dunlin\"", "name = \"<script>alert(1)</script>\"");
    let made = papers(&design(&file), None).unwrap();
    let html = text(&made, "report.html");
    assert!(html.contains("&#60;script&#62;") || html.contains("&lt;script&gt;"));
    assert!(!html.contains("<script"));
}
