//! The HTML report: one file, escaped, readable by an XML reader, nothing from elsewhere.

mod common;

use orlop_paper::html::{one_line_sheets, report};
use orlop_paper::svg::{A4, drops, plan};
use orlop_paper::view::View;

/// The page as XML: the few void elements closed, the head line taken off.
fn as_xml(html: &str) -> String {
    let body = html.strip_prefix("<!DOCTYPE html>").unwrap();
    let mut out = body.replace("<br>", "<br/>");
    for line in body.lines().filter(|l| l.starts_with("<meta")) {
        out = out.replace(line, &line.replace('>', "/>"));
    }
    out
}

fn check(view: &View) -> String {
    let html = report(view).unwrap();
    let xml = as_xml(&html);
    if let Err(error) = roxmltree::Document::parse(&xml) {
        let line = xml.lines().nth(error.pos().row as usize - 1).unwrap_or("");
        panic!("{error}: {line}");
    }
    for (at, found) in html.match_indices("http") {
        let from = &html[at.saturating_sub(7)..];
        assert!(from.starts_with("xmlns=\"http://www.w3.org/2000/svg\""), "{found} at {at}");
    }
    for word in ["<script", "<link", "<img", "url(", "@import", "javascript:"] {
        assert!(!html.contains(word), "{word}");
    }
    html
}

#[test]
fn demo_boat() {
    let view = common::dunlin();
    let html = check(&view);
    std::fs::write(format!("{}/report.html", env!("CARGO_TARGET_TMPDIR")), &html).unwrap();
    for text in
        ["Not covered yet", "Do not build from this", view.caution, "Toilet macerator", "12\u{20}%", "†"]
    {
        let escaped = text.replace('\'', "&#39;");
        assert!(html.contains(&escaped), "{text}");
    }
    let order = [
        "not-covered",
        "findings",
        "panels",
        "one-line",
        "circuits",
        "loads",
        "routes",
        "passed",
        "measure",
        "cautions",
        "sources",
    ];
    let places: Vec<_> = order.iter().map(|id| html.find(&format!("id=\"{id}\"")).unwrap()).collect();
    assert!(places.is_sorted(), "{places:?}");
}

#[test]
fn same_in_same_out() {
    assert_eq!(report(&common::dunlin()).unwrap(), report(&common::dunlin()).unwrap());
}

#[test]
fn empty_boat() {
    check(&common::empty("Nothing"));
}

#[test]
fn hostile_names() {
    let bad = "<script>alert('1')</script>\"]]>&amp;\u{0}\u{1b}\u{ffff}\n</style>{{ v }}";
    let mut view = common::dunlin();
    view.head.boat = bad.into();
    view.head.kind = bad.into();
    for node in &mut view.tree.nodes {
        node.name = bad.into();
        node.detail = bad.into();
        for branch in &mut node.branches {
            branch.id = bad.into();
            if let orlop_paper::view::End::Load { name, .. } = &mut branch.end {
                *name = bad.into();
            }
        }
    }
    for load in &mut view.loads {
        load.name = bad.into();
    }
    for panel in &mut view.panels {
        panel.name = bad.into();
        panel.ways[0].label = bad.into();
    }
    view.findings[0].what = vec![bad.into()];
    view.plan.places[0].0 = bad.into();
    view.plan.spaces[0].0 = bad.into();
    for sheet in one_line_sheets(&view).iter().chain(&drops(&view.loads)).chain(&plan(&view.plan)) {
        roxmltree::Document::parse(&sheet.file(bad, A4)).unwrap();
    }
    check(&view);
}

#[test]
fn drawings_keep_their_texts_apart() {
    let view = common::dunlin();
    let mut many = view.loads.clone();
    for i in 0..130 {
        many.push(orlop_paper::view::Load {
            id: format!("X{i}"),
            ..view.loads[i % view.loads.len()].clone()
        });
    }
    let figures: Vec<_> = drops(&many).into_iter().chain(plan(&view.plan)).collect();
    assert_eq!(figures.len(), 5);
    for (number, f) in figures.iter().enumerate() {
        std::fs::write(format!("{}/figure-{number}.svg", env!("CARGO_TARGET_TMPDIR")), f.file("x", A4))
            .unwrap();
        for (at, a) in f.texts.iter().enumerate() {
            assert!(a.points >= 7.0 && a.x >= -0.01 && a.x + a.w <= f.width + 0.01, "{a:?}");
            for b in &f.texts[at + 1..] {
                let apart = a.x + a.w <= b.x + 0.01
                    || b.x + b.w <= a.x + 0.01
                    || a.y + a.h <= b.y + 0.01
                    || b.y + b.h <= a.y + 0.01;
                assert!(apart, "figure {number}: {a:?} over {b:?}");
            }
        }
    }
}
