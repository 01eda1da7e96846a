//! The report as one self-contained HTML file: no script, no picture, font or style from elsewhere.

use crate::svg::oneline::{Title, oneline};
use crate::svg::{
    Canvas, drops, ground, joints, pack, pile, plan, shares, thresholds, time_current, waterfall, windows,
};
use crate::view::{Bank, ExtractPage, Head, JointMap, Sheet, SurveyReport, View};
use crate::{Error, cautions};
use askama::Template;

/// The stylesheet, for screens and for paper.
const STYLE: &str = include_str!("../templates/style.css");

/// Titles of drawings.
pub(crate) const VOLTS_GO: &str = "Where the volts go";
pub(crate) const IN_SERIES: &str = "Time-current bands of devices in series";
pub(crate) const CELLS: &str = "Which cell stands where";
pub(crate) const SHARES: &str = "Who carries how much";
pub(crate) const LADDER: &str = "Who acts first";
pub(crate) const BOUNDS: &str = "What bounds the device of each circuit";

#[derive(Template)]
#[template(path = "report.html")]
struct Report<'a> {
    v: &'a View,
    css: &'static str,
    foot_caution: String,
    foot_boat: String,
    oneline: Vec<String>,
    drops: Vec<String>,
    plan: Option<String>,
    ground: Option<String>,
    banks: Vec<BankPage<'a>>,
    waterfalls: Vec<String>,
    charts: Vec<String>,
    windows: Vec<String>,
    wrong: bool,
}

/// A bank with its drawings.
struct BankPage<'a> {
    view: &'a Bank,
    packs: Vec<String>,
    shares: Option<String>,
    thresholds: Option<String>,
}

impl<'a> BankPage<'a> {
    fn of(view: &'a Bank) -> Self {
        let named = |what: &str, sheet: Option<Canvas>| {
            sheet.map(|s| s.inline(&format!("{what} of bank {}", view.id)))
        };
        Self {
            view,
            packs: view.packs.iter().map(|p| pack(p).inline(&format!("{} ({})", view.id, p.title))).collect(),
            shares: named(SHARES, shares(&view.shares)),
            thresholds: named(LADDER, thresholds(view)),
        }
    }
}

impl Report<'_> {
    fn note(&self, stage: &str) -> Option<&'static cautions::Caution> {
        cautions::of(stage)
    }
}

/// Head and foot of the one-line diagram of a report.
#[must_use]
pub fn title(view: &View) -> Title {
    heading(&view.head, view.caution)
}

fn heading(head: &Head, caution: &str) -> Title {
    let mut line = vec![head.nominal.clone(), head.state.clone(), head.rules.clone()];
    line.push(format!("orlop {}", head.version));
    line.extend(head.date.clone());
    Title {
        boat: head.boat.clone(),
        line: line.join(" · "),
        notes: vec![
            "Not covered yet: charging, energy over the day. Do not build from this.".into(),
            caution.into(),
        ],
    }
}

/// The one-line diagram of a report, one canvas for each sheet.
#[must_use]
pub fn one_line_sheets(view: &View) -> Vec<Canvas> {
    oneline(&view.tree, &title(view))
}

/// The drawing of negative and bonding, when the boat file states them.
#[must_use]
pub fn ground_sheet(view: &View) -> Option<Canvas> {
    view.ground.as_ref().map(|g| ground(g, &view.head.boat))
}

/// The drawings of banks: how cells are tied, how they share, who acts first; one pile for each bank.
#[must_use]
pub fn bank_sheets(view: &View) -> Vec<Canvas> {
    let of = |bank: &Bank| {
        let packs = bank.packs.iter().map(pack);
        packs.chain(shares(&bank.shares)).chain(thresholds(bank)).collect::<Vec<_>>()
    };
    view.banks.iter().flat_map(of).collect()
}

/// The drawings of where the volts go, one for each of the loads that use most of what they may.
#[must_use]
pub fn waterfalls(view: &View) -> Vec<Canvas> {
    view.network.waterfalls.iter().map(waterfall).collect()
}

/// The time-current charts, one for each device that others stand behind.
#[must_use]
pub fn charts(view: &View) -> Vec<Canvas> {
    view.network.coordination.charts.iter().map(time_current).collect()
}

/// The protectable windows of all circuits, one canvas for each sheet.
#[must_use]
pub fn window_sheets(view: &View) -> Vec<Canvas> {
    windows(&view.network.coordination.bars)
}

/// The whole report as one HTML file.
///
/// # Errors
/// [`Error::Html`] when the template cannot be filled.
pub fn report(view: &View) -> Result<String, Error> {
    let page = Report {
        v: view,
        css: STYLE,
        foot_caution: css_string(view.caution),
        foot_boat: css_string(&format!("{} · ", view.head.boat)),
        oneline: sheets_of(&one_line_sheets(view), &view.head.boat),
        drops: inline(&drops(&view.loads), "Voltage drop of each load"),
        ground: ground_sheet(view).map(|s| s.inline(&format!("Negative and bonding of {}", view.head.boat))),
        banks: view.banks.iter().map(BankPage::of).collect(),
        waterfalls: inline(&waterfalls(view), VOLTS_GO),
        charts: inline(&charts(view), IN_SERIES),
        windows: inline(&window_sheets(view), BOUNDS),
        wrong: view.network.coordination.bars.iter().any(|b| !b.wrong.is_empty()),
        plan: plan(&view.plan).map(|s| s.inline("Cable routes from above and from the side")),
    };
    Ok(clean(&page.render()?))
}

/// Sheets of the one-line diagram within a page.
fn sheets_of(sheets: &[Canvas], boat: &str) -> Vec<String> {
    let name = |at: usize| {
        let of =
            if sheets.len() > 1 { format!(", sheet {} of {}", at + 1, sheets.len()) } else { String::new() };
        format!("One-line diagram of {boat}{of}")
    };
    sheets.iter().enumerate().map(|(at, s)| s.inline(&name(at))).collect()
}

#[derive(Template)]
#[template(path = "test-sheet.html")]
struct SheetPage<'a> {
    v: &'a Sheet,
    css: &'static str,
    foot_caution: String,
    foot_boat: String,
    survey_caution: &'static str,
}

#[derive(Template)]
#[template(path = "survey.html")]
struct SurveyPage<'a> {
    v: &'a SurveyReport,
    css: &'static str,
    foot_caution: String,
    foot_boat: String,
    /// The one-line diagram tinted by what was read, where drops were read.
    oneline: Vec<String>,
    joints: Vec<String>,
}

/// Title of the map of joints.
pub const JOINTS: &str = "Heat of segments and joints at full load";

/// The map of segments and joints, one canvas for each sheet; empty where no drop was read over any.
#[must_use]
pub fn joint_sheets(map: Option<&JointMap>) -> Vec<Canvas> {
    map.map_or_else(Vec::new, |map| pile(&joints(map)))
}

/// The test sheet as one HTML file.
///
/// # Errors
/// [`Error::Html`] when the template cannot be filled.
pub fn test_sheet(sheet: &Sheet) -> Result<String, Error> {
    let page = SheetPage {
        v: sheet,
        css: STYLE,
        foot_caution: css_string(sheet.caution),
        foot_boat: css_string(&format!("{} · ", sheet.head.boat)),
        survey_caution: cautions::of("survey").map_or("", |c| c.text),
    };
    Ok(clean(&page.render()?))
}

/// The survey report as one HTML file.
///
/// # Errors
/// [`Error::Html`] when the template cannot be filled.
pub fn survey(report: &SurveyReport) -> Result<String, Error> {
    let oneline = match report.joints {
        Some(_) => {
            sheets_of(&oneline(&report.tree, &heading(&report.head, report.caution)), &report.head.boat)
        }
        None => Vec::new(),
    };
    let page = SurveyPage {
        v: report,
        oneline,
        css: STYLE,
        foot_caution: css_string(report.caution),
        foot_boat: css_string(&format!("{} · ", report.head.boat)),
        joints: inline(&joint_sheets(report.joints.as_ref()), JOINTS),
    };
    Ok(clean(&page.render()?))
}

#[derive(Template)]
#[template(path = "insurer-extract.html")]
struct InsurerPage<'a> {
    v: &'a ExtractPage,
    css: &'static str,
    foot_caution: String,
    foot_boat: String,
}

/// The extract for an insurer as one HTML file.
///
/// # Errors
/// [`Error::Html`] when the template cannot be filled.
pub fn insurer_extract(extract: &ExtractPage) -> Result<String, Error> {
    let page = InsurerPage {
        v: extract,
        css: STYLE,
        foot_caution: css_string(extract.caution),
        foot_boat: css_string(&format!("{} · ", extract.head.boat)),
    };
    Ok(clean(&page.render()?))
}

/// Text without characters that HTML forbids.
fn clean(html: &str) -> String {
    html.chars().map(|c| if printable(c) { c } else { '\u{fffd}' }).collect()
}

fn inline(drawings: &[Canvas], name: &str) -> Vec<String> {
    drawings.iter().map(|d| d.inline(name)).collect()
}

/// Whether a character may stand in HTML and XML.
fn printable(c: char) -> bool {
    !matches!(c, '\0'..='\u{8}' | '\u{b}'..='\u{1f}' | '\u{7f}'..='\u{9f}' | '\u{fffe}' | '\u{ffff}')
}

/// Text inside a quoted CSS string: all but plain letters, figures and blanks as code points.
fn css_string(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            'a'..='z' | 'A'..='Z' | '0'..='9' | ' ' | ',' | '.' => c.to_string(),
            '\0'..='\u{1f}' => " ".into(),
            c => format!("\\{:x} ", c as u32),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::css_string;

    #[test]
    fn no_way_out_of_a_css_string() {
        assert_eq!(css_string("a\"}</style>\n"), "a\\22 \\7d \\3c \\2f style\\3e  ");
    }
}
