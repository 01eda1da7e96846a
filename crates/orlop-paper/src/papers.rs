//! Every paper of a design, in memory.

use crate::svg::{A4, PAGE_HEIGHT};
use crate::{Error, csv, date, html, json, view};
use orlop_boat::Design;

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
/// `report.html` is the whole report; `one-line.svg` the diagram, or `one-line-1.svg` and so on when it takes several
/// sheets; `negative-and-bonding.svg` the ground graph, where the boat file states it; `tables/*.csv` one file for each table; `boat.json` everything for programs. The date is an argument, or the
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
    let sheets = html::one_line_sheets(&view);
    for (at, sheet) in sheets.iter().enumerate() {
        let name = if sheets.len() > 1 { format!("one-line-{}.svg", at + 1) } else { "one-line.svg".into() };
        add(name, sheet.file(&format!("One-line diagram of {}", view.head.boat), A4));
    }
    if let Some(sheet) = html::ground_sheet(&view) {
        let page = (A4.0, A4.1.max(sheet.height + A4.1 - PAGE_HEIGHT));
        add(
            "negative-and-bonding.svg".into(),
            sheet.file(&format!("Negative and bonding of {}", view.head.boat), page),
        );
    }
    for schema in orlop_boat::tables::SCHEMAS {
        let table = orlop_boat::tables::table(design, schema.name)?;
        add(format!("tables/{}.csv", schema.name), csv::csv(&table));
    }
    add("boat.json".into(), json::json(design, &view)?);
    Ok(out)
}
