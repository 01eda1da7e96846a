//! The bank in the papers: any name and any number can be drawn without overlap, and the report tells what the design holds.

mod common;

use common::check;
use orlop_boat::{document, size};
use orlop_paper::svg::{A4, pack, shares, thresholds};
use orlop_paper::view::{Bank, PackDrawing, Rung, ShareRow, Slot, view};
use orlop_paper::{html, papers};

const DUNLIN: &str = include_str!("../../../python/orlop/boats/dunlin.toml");
const TEAL: &str = include_str!("../../../python/orlop/boats/teal.toml");

const NAMES: [&str; 4] = [
    "",
    "D01",
    "An exceedingly long serial, as labels do have them: Wwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwww",
    "<script>alert(1)</script>\u{0}",
];

#[test]
fn packs_of_any_shape_and_name_can_be_drawn() {
    for name in NAMES {
        for (count, cells) in [(0, 0), (1, 1), (1, 24), (24, 1), (2, 8), (8, 2), (24, 24)] {
            for groups_first in [false, true] {
                let slot = Slot { serial: name.into(), capacity: name.into(), flagged: cells % 2 == 0 };
                let drawing = PackDrawing {
                    title: name.into(),
                    groups_first,
                    groups: vec![vec![slot; cells]; count],
                    holds: vec![name.into(); count],
                };
                let sheet = pack(&drawing);
                check(std::slice::from_ref(&sheet));
                let text = sheet.file(name, A4);
                assert!(!text.contains("NaN") && !text.contains("inf"));
                roxmltree::Document::parse(&text).unwrap();
            }
        }
    }
}

#[test]
fn thresholds_and_shares_of_any_number_can_be_drawn() {
    let numbers = [f64::NAN, 0.0, 1e-9, 2.5, 3.65, 1e9];
    for name in NAMES {
        for low in numbers {
            for high in numbers {
                let rung = Rung {
                    id: name.into(),
                    name: name.into(),
                    role: name.into(),
                    setting: name.chars().take(12).collect(),
                    cell: low,
                    ends: (low, high),
                    mark: (low < high).then_some('B'),
                };
                let bank = Bank { rungs: vec![rung; 5], harm: (Some(low), Some(high)), ..Bank::default() };
                let row =
                    ShareRow { label: name.into(), members: vec![(name.into(), low), (name.into(), high)] };
                let drawn: Vec<_> = thresholds(&bank).into_iter().chain(shares(&[row])).collect();
                check(&drawn);
                for sheet in &drawn {
                    let text = sheet.file(name, A4);
                    assert!(!text.contains("NaN") && !text.contains("inf"), "{low} {high}");
                    roxmltree::Document::parse(&text).unwrap();
                }
            }
        }
    }
    assert!(thresholds(&Bank::default()).is_none() && shares(&[]).is_none());
}

#[test]
fn the_report_shows_the_bank_of_the_demo_boat() {
    let design = size(&document::read(DUNLIN, "dunlin.toml").unwrap()).unwrap();
    let view = view(&design, None);
    assert_eq!(view.banks.len(), 1);
    let bank = &view.banks[0];
    // Strings of the plan: 237.6 and 230.8 Ah, 468.4 together; pairs 470.3 Ah.
    assert_eq!(bank.packs[0].holds, ["237.6\u{a0}Ah", "230.8\u{a0}Ah"]);
    let capacity = bank.compared.iter().find(|(what, _)| what == "Capacity of the delivered cells").unwrap();
    assert_eq!(capacity.1, ["468.4\u{a0}Ah", "470.3\u{a0}Ah"]);
    let serials = |d: &PackDrawing| {
        let mut all: Vec<String> = d.groups.iter().flatten().map(|s| s.serial.clone()).collect();
        all.sort();
        all.dedup();
        all.len()
    };
    assert_eq!(bank.packs.iter().map(serials).collect::<Vec<_>>(), [16, 16]);
    for row in &bank.shares {
        let sum: f64 = row.members.iter().map(|m| m.1).sum();
        assert!((sum - 1.0).abs() < 1e-12, "{row:?}");
    }
    // Highest first, none out of order on this boat.
    assert!(bank.rungs.windows(2).all(|w| w[0].cell >= w[1].cell));
    assert!(bank.rungs.iter().all(|r| r.mark.is_none()));
    let page = html::report(&view).unwrap();
    for text in ["id=\"bank-BANK\"", "D16", "Who acts first", "As built, strings in a row first"] {
        assert!(page.contains(text), "{text}");
    }
    let names: Vec<String> = papers(&design, None).unwrap().into_iter().map(|p| p.name).collect();
    assert!(names.iter().any(|n| n.starts_with("bank") && n.ends_with(".svg")), "{names:?}");
}

#[test]
fn a_threshold_out_of_order_is_marked_in_the_drawing() {
    let text = DUNLIN.replace("setting = \"3.625 V\"", "setting = \"3.60 V\"");
    assert_ne!(text, DUNLIN);
    let view = view(&size(&document::read(&text, "dunlin.toml").unwrap()).unwrap(), None);
    let mark = |id: &str| view.banks[0].rungs.iter().find(|r| r.id == id).unwrap().mark;
    assert_eq!((mark("STOP_HIGH"), mark("CUT_LOW")), (Some('C'), None));
}

#[test]
fn a_boat_without_cells_has_no_such_section() {
    let design = size(&document::read(TEAL, "teal.toml").unwrap()).unwrap();
    let view = view(&design, None);
    assert!(view.banks.is_empty());
    assert!(!html::report(&view).unwrap().contains("The bank"));
}
