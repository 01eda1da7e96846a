//! Every paper of a design, in memory.

use crate::svg::{A4, PAGE_HEIGHT};
use crate::{Error, csv, date, html, json, svg, view};
use orlop_boat::Design;
use orlop_boat::survey::Resurvey;

/// One file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Paper {
    /// Its name, with `/` between folder and file.
    pub name: String,
    /// What it holds.
    pub bytes: Vec<u8>,
}

/// Makes every paper of a design; writing them is the caller's.
///
/// `report.html` is the whole report; `test-sheet.html` what to test and where to write it down; `survey.html` the survey of a boat
/// as found, or of any boat whose file holds readings, and `insurer-extract.html` what of it goes to an insurer; `one-line.svg` the diagram, or
/// `one-line-1.svg` and so on when it takes several sheets; `joints.svg` the heat of segments and joints, where drops were read over them; `bank.svg`
/// how cells are tied and who acts first, where a bank is built from cells; `waterfall.svg` where the volts go, `coordination.svg` the time-current
/// charts, `windows.svg` what bounds each
/// device, in as many sheets as they take; `negative-and-bonding.svg` the ground graph, where the boat file states it;
/// `tables/*.csv` one file for each table; `boat.json` everything for programs. The date is an argument, or the
/// environment's `SOURCE_DATE_EPOCH`; the same design and date give the same bytes.
///
/// # Errors
/// [`Error::Date`] for a date that is none. The other errors are those of writing the files and do not come from a
/// design that was sized.
pub fn papers(design: &Design, date: Option<&str>) -> Result<Vec<Paper>, Error> {
    let view = view::view(design, date::of_papers(date)?);
    let mut out = Vec::new();
    let mut add = |name: String, text: String| out.push(Paper { name, bytes: text.into_bytes() });
    add("report.html".into(), html::report(&view)?);
    let date = view.head.date.clone();
    add("test-sheet.html".into(), html::test_sheet(&view::sheet(design, date.clone())?)?);
    if design.boat.state == orlop_boat::model::State::AsFound || !design.boat.found.is_empty() {
        add("survey.html".into(), html::survey(&view::survey_report(design, None, date.clone()))?);
        add("insurer-extract.html".into(), html::insurer_extract(&view::extract_page(design, None, date))?);
    }
    let boat = &view.head.boat;
    let headed = |what: &str, sheets: Vec<svg::Canvas>| -> Vec<svg::Canvas> {
        sheets.iter().map(|s| svg::headed(s, boat, what, view.caution)).collect()
    };
    let drawings = [
        ("one-line", "One-line diagram", html::one_line_sheets(&view)),
        ("waterfall", html::VOLTS_GO, headed(html::VOLTS_GO, svg::pile(&html::waterfalls(&view)))),
        ("bank", html::CELLS, headed(html::CELLS, svg::pile(&html::bank_sheets(&view)))),
        ("coordination", html::IN_SERIES, headed(html::IN_SERIES, svg::pile(&html::charts(&view)))),
        ("windows", html::BOUNDS, headed(html::BOUNDS, html::window_sheets(&view))),
    ];
    for (file, title, sheets) in &drawings {
        for (at, sheet) in sheets.iter().enumerate() {
            let number = if sheets.len() > 1 { format!("-{}", at + 1) } else { String::new() };
            let title = format!("{title} of {}", view.head.boat);
            // A drawing of one thing that is higher than a page takes a longer one.
            let page = (A4.0, A4.1.max(sheet.height + 20.0));
            add(format!("{file}{number}.svg"), sheet.file(&title, page));
        }
    }
    let joints = headed(html::JOINTS, html::joint_sheets(view::joint_map(design).as_ref()));
    for (at, sheet) in joints.iter().enumerate() {
        let number = if joints.len() > 1 { format!("-{}", at + 1) } else { String::new() };
        let page = (A4.0, A4.1.max(sheet.height + 20.0));
        add(
            format!("joints{number}.svg"),
            sheet.file(&format!("{} of {}", html::JOINTS, view.head.boat), page),
        );
    }
    if let Some(sheet) = html::ground_sheet(&view) {
        let page = (A4.0, A4.1.max(sheet.height + A4.1 - PAGE_HEIGHT));
        add(
            "negative-and-bonding.svg".into(),
            sheet.file(&format!("Negative and bonding of {}", view.head.boat), page),
        );
    }
    let tables = orlop_boat::tables::SCHEMAS.iter().map(|s| orlop_boat::tables::table(design, s.name));
    let tables = tables.collect::<Result<Vec<_>, _>>()?;
    for table in &tables {
        add(format!("tables/{}.csv", table.name), csv::csv(table));
    }
    add("boat.json".into(), json::json(design, &view, &tables)?);
    Ok(out)
}

/// The papers of a survey alone, and of a second visit where the visits were compared.
///
/// `survey.html` the report, with what has changed since the earlier visit; `insurer-extract.html`; `survey.csv`, `survey_notes.csv`,
/// `found.csv`, `insurer_extract.csv` and, for two visits, `resurvey.csv`; `survey.json` the same tables for programs.
///
/// # Errors
/// As [`papers`].
pub fn survey_papers(
    design: &Design,
    since: Option<&Resurvey>,
    date: Option<&str>,
) -> Result<Vec<Paper>, Error> {
    let date = date::of_papers(date)?;
    let report = view::survey_report(design, since, date.clone());
    let mut tables = Vec::new();
    for name in ["survey", "survey_notes", "found"] {
        tables.push(orlop_boat::tables::table(design, name)?);
    }
    tables.push(orlop_boat::tables::insurer_extract(&orlop_boat::survey::extract(design, since)));
    tables.extend(since.map(orlop_boat::tables::resurvey));
    let mut out = Vec::new();
    let mut add = |name: String, text: String| out.push(Paper { name, bytes: text.into_bytes() });
    add("survey.html".into(), html::survey(&report)?);
    add("insurer-extract.html".into(), html::insurer_extract(&view::extract_page(design, since, date))?);
    for table in &tables {
        add(format!("{}.csv", table.name), csv::csv(table));
    }
    add("survey.json".into(), json::survey(&report, &tables)?);
    Ok(out)
}
