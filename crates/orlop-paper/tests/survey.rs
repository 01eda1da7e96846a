//! The test sheet and the survey report.

use orlop_boat::{Design, document, size};
use orlop_paper::{Paper, papers, survey_papers};

const FOUND: &str = include_str!("../../../python/orlop/boats/dunlin_as_found.toml");
const SECOND: &str = include_str!("../../../python/orlop/boats/dunlin_second_visit.toml");
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

fn two_visits(second: &str) -> Vec<Paper> {
    let sized =
        |text: &str| size(&document::read(text, "boat.toml").unwrap_or_else(|e| panic!("{e}"))).unwrap();
    let (first, second) = (sized(FOUND), sized(second));
    let two = orlop_boat::survey::compare(&first, &second).unwrap();
    survey_papers(&second, Some(&two), Some("2027-04-18")).unwrap()
}

#[test]
fn the_second_visit_has_its_section_and_the_insurer_his_page() {
    let papers = two_visits(SECOND);
    let html = text(&papers, "survey.html").unwrap();
    for said in [
        "Since the visit of 2026-10-10",
        "Still open",
        "Put right",
        "counted as open",
        "<b>worse</b>: 10.9\u{a0}W then",
    ] {
        assert!(html.contains(said), "{said}");
    }
    // Half-widths have two digits: 1.86 W, and twice 2 mV at 62 A in quadrature for independent readings of which half repeats.
    assert!(html.contains("+1.86\u{a0}W ± 88\u{a0}mW"));
    let page = text(&papers, "insurer-extract.html").unwrap();
    assert!(!page.contains("http"), "nothing from elsewhere");
    assert!(page.contains("7 put right") && page.contains("2026-10-10") && page.contains("2027-04-17"));
    // What is of good practice alone stays out.
    assert!(!page.contains("[AF-10]") && !page.contains("[AF-14]"));
    let names: Vec<&str> = papers.iter().map(|p| p.name.as_str()).collect();
    for name in
        ["survey.csv", "survey_notes.csv", "found.csv", "insurer_extract.csv", "resurvey.csv", "survey.json"]
    {
        assert!(names.contains(&name), "{name}");
    }
}

#[test]
fn names_cannot_leave_their_text_on_the_second_visit_either() {
    let hostile = SECOND
        .replace("name = \"Negative bus, third stud\"", "name = \"<script>alert(1)</script>\"")
        .replace("scope = \"", "scope = \"<script>");
    for paper in two_visits(&hostile).iter().filter(|p| p.name.ends_with(".html")) {
        assert!(!String::from_utf8_lossy(&paper.bytes).contains("<script>"), "{}", paper.name);
    }
}
