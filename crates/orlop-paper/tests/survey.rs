//! The test sheet and the survey report.

use orlop_boat::{Design, document, size};
use orlop_paper::{Paper, papers};

const FOUND: &str = include_str!("../../../python/orlop/boats/dunlin_as_found.toml");
const DUNLIN: &str = include_str!("../../../python/orlop/boats/dunlin.toml");

fn made(text: &str) -> (Design, Vec<Paper>) {
    let design = size(&document::read(text, "boat.toml").unwrap_or_else(|e| panic!("{e}"))).unwrap();
    let papers = papers(&design, Some("2026-11-25")).unwrap();
    for paper in papers.iter().filter(|p| p.name.ends_with(".html")) {
        let folder = format!("{}/survey-{}", env!("CARGO_TARGET_TMPDIR"), design.circuits.len());
        std::fs::create_dir_all(&folder).unwrap();
        std::fs::write(format!("{folder}/{}", paper.name), &paper.bytes).unwrap();
    }
    (design, papers)
}

fn text<'a>(papers: &'a [Paper], name: &str) -> Option<&'a str> {
    papers.iter().find(|p| p.name == name).map(|p| std::str::from_utf8(&p.bytes).unwrap())
}

#[test]
fn the_report_holds_every_finding_once_and_the_limits_of_the_inspection() {
    let (_, papers) = made(FOUND);
    let html = text(&papers, "survey.html").unwrap();
    for number in 1..=15 {
        assert_eq!(html.matches(&format!("[AF-{number:02}]")).count(), 1, "AF-{number:02}");
    }
    assert_eq!(html.matches("<b>Correction.</b>").count(), 15);
    assert!(
        html.contains("the steering pedestal could not be opened") || html.contains("The steering pedestal")
    );
    assert!(html.contains("2.87\u{a0}V ± 20\u{a0}mV"));
    // Nothing from elsewhere: only the name of the drawing language.
    assert_eq!(html.matches("http").count(), html.matches("xmlns=\"http://www.w3.org/2000/svg\"").count());
}

#[test]
fn a_design_without_readings_has_a_sheet_and_no_survey() {
    let (design, papers) = made(DUNLIN);
    assert!(text(&papers, "survey.html").is_none());
    let html = text(&papers, "test-sheet.html").unwrap();
    let tests = orlop_boat::sheet::sheet(&design).unwrap();
    assert_eq!(html.matches("<span class=\"tick\"></span>").count(), tests.len());
    for load in &design.boat.loads {
        assert!(html.contains(&load.name), "{}", load.id);
    }
}

#[test]
fn names_in_a_boat_file_cannot_leave_their_text() {
    let hostile = FOUND.replace("name = \"Corroded isolator", "name = \"<script>alert(1)</script> isolator");
    let (_, papers) = made(&hostile);
    assert!(!text(&papers, "survey.html").unwrap().contains("<script>"));
}
