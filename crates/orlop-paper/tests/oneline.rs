//! The one-line diagram: nothing overlaps, everything is there, small enough for A4, large enough to read.

mod common;

use common::check;
use orlop_paper::svg::oneline::{Title, oneline};
use orlop_paper::svg::{Canvas, TextBox};
use orlop_paper::view::Tree;

fn title() -> Title {
    orlop_paper::html::title(&common::empty("Dunlin"))
}

/// How many texts begin with an id as their first word.
fn count(sheets: &[Canvas], id: &str) -> usize {
    let begins = |t: &&TextBox| t.text.split([' ', '\u{a0}']).next() == Some(id);
    sheets.iter().flat_map(|s| &s.texts).filter(begins).count()
}

fn draw(tree: &Tree) -> Vec<Canvas> {
    let sheets = oneline(tree, &title());
    check(&sheets);
    sheets
}

#[test]
fn demo_boat() {
    let tree = common::tree();
    let sheets = draw(&tree);
    assert!((1..=2).contains(&sheets.len()), "{} sheets", sheets.len());
    for node in &tree.nodes {
        for branch in &node.branches {
            if matches!(
                branch.end,
                orlop_paper::view::End::Load { .. } | orlop_paper::view::End::Source { .. }
            ) {
                assert_eq!(count(&sheets, &branch.id), 1, "{}", branch.id);
            }
        }
    }
    for (at, sheet) in sheets.iter().enumerate() {
        let path = format!("{}/one-line-{}.svg", env!("CARGO_TARGET_TMPDIR"), at + 1);
        std::fs::write(path, sheet.file("One-line diagram", orlop_paper::svg::A4)).unwrap();
    }
}

#[test]
fn small_boat_needs_one_sheet() {
    assert_eq!(draw(&common::wide(12, "Main panel")).len(), 1);
}

#[test]
fn one_hundred_and_fifty_circuits() {
    let tree = common::wide(150, "Main panel");
    let sheets = draw(&tree);
    assert!(sheets.len() > 3);
    for i in 0..150 {
        assert_eq!(count(&sheets, &format!("C{i}")), 1);
    }
}

#[test]
fn long_and_odd_names() {
    let long = "An exceedingly long name of a load, as people do write them, with everything in it: Wwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwww";
    draw(&common::wide(40, long));
    draw(&common::wide(40, "\u{6f22}\u{5b57}\u{6f22}\u{5b57} \u{1f6a2}\u{1f6a2}\u{1f6a2}\u{1f6a2}"));
    draw(&common::wide(3, ""));
    draw(&common::wide(3, "<script>alert(1)</script>"));
}

#[test]
fn panels_behind_panels() {
    for panels in [1, 5, 30, 3000] {
        let tree = common::deep(panels);
        let sheets = draw(&tree);
        for i in [0, panels / 2, panels - 1] {
            assert_eq!(count(&sheets, &format!("L{i}")), 1);
        }
    }
}

#[test]
fn nothing_at_all() {
    assert_eq!(draw(&Tree::default()).len(), 1);
}

#[test]
fn splits_by_panel() {
    // Two panels of 30 circuits each do not fit one sheet; neither is torn apart.
    let mut tree = common::wide(30, "First panel");
    let mut second = common::node("SECOND", "Second panel", orlop_paper::view::NodeKind::Panel, Some(0));
    second.branches = (0..30).map(|i| common::branch(&format!("S{i}"), "Lamp")).collect();
    tree.nodes.push(second);
    let end = orlop_paper::view::End::Node(2);
    tree.nodes[0].branches.push(orlop_paper::view::Branch { end, ..common::branch("M2", "") });
    let sheets = draw(&tree);
    assert_eq!(sheets.len(), 2);
    for panel in ["C", "S"] {
        let on: Vec<_> = sheets
            .iter()
            .map(std::slice::from_ref)
            .map(|s| (0..30).map(|i| count(s, &format!("{panel}{i}"))).sum::<usize>())
            .collect();
        assert!(on == [30, 0] || on == [0, 30], "{panel}: {on:?}");
    }
}

#[test]
fn heat_that_was_read_tints_its_wire_and_is_named() {
    use orlop_paper::view::Heat;
    let told = |sheets: &[Canvas], text: &str| {
        sheets.iter().filter(|s| s.texts.iter().any(|t| t.text == text)).count()
    };
    let plain = draw(&common::tree());
    let mut tree = common::tree();
    let heat = |watts: f64, label: &str, bad: bool| Some(Heat { watts, label: label.into(), bad });
    let load = |b: &&mut orlop_paper::view::Branch| matches!(b.end, orlop_paper::view::End::Load { .. });
    let mut loads: Vec<_> = tree.nodes.iter_mut().flat_map(|n| &mut n.branches).filter(load).collect();
    loads[0].heat = heat(0.2, "", false);
    loads[1].heat = heat(53.8, "switch 53.8 W", true);
    let hot = draw(&tree);
    assert_eq!((told(&plain, "switch 53.8 W"), told(&hot, "switch 53.8 W")), (0, 1));
    // The scale of tints stands on each sheet, and only where something was read.
    let scale = "50 W and more: at once";
    assert_eq!((told(&plain, scale), told(&hot, scale)), (0, hot.len()));
}
