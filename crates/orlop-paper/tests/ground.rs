//! The drawing of negative and bonding: nothing overlaps, everything is there, the one bond is marked once.

mod common;

use common::check;
use orlop_boat::{Design, document, size};
use orlop_paper::svg::{A4, Canvas, ground};
use orlop_paper::view::{Ground, GroundKind, GroundLine, GroundLink, GroundPath, GroundRow, view};

const DUNLIN: &str = include_str!("../../../python/orlop/boats/dunlin.toml");
const PLANTED: &str = "
[bond.STRAP]
name = \"Braid from the battery locker to the gearbox\"
from = \"NEG\"
to = \"ENGINE\"
kind = \"strap\"
size = \"6 mm2\"
piece = \"2 m\"

[bond.TIE]
from = \"PLATE\"
to = \"BONDING\"
kind = \"incidental\"
resistance = \"5 mohm\"

[ground.RUDDER]
role = \"underwater-metal\"
";

fn design(text: &str) -> Design {
    size(&document::read(text, "boat.toml").unwrap_or_else(|e| panic!("{e}"))).unwrap()
}

fn planted() -> String {
    let text = DUNLIN.replacen("[circuit.F1]\n", "[circuit.F1]\nnegative = \"BANK\"\n", 1);
    assert_ne!(text, DUNLIN);
    format!("{text}{PLANTED}")
}

fn draw(ground_of: &Ground, file: &str) -> Canvas {
    let sheet = ground(ground_of, "Dunlin");
    check(std::slice::from_ref(&sheet));
    let path = format!("{}/{file}.svg", env!("CARGO_TARGET_TMPDIR"));
    std::fs::write(path, sheet.file("Negative and bonding", A4)).unwrap();
    sheet
}

fn times(sheet: &Canvas, text: &str) -> usize {
    sheet.texts.iter().filter(|t| t.text == text).count()
}

#[test]
fn the_demo_boat_in_order() {
    let design = design(DUNLIN);
    let drawn = view(&design, None).ground.unwrap();
    let sheet = draw(&drawn, "ground");
    assert!(drawn.links.is_empty() && drawn.wrong.is_empty());
    for ground in &design.boat.grounds {
        assert!(drawn.rows.iter().any(|r| r.id == ground.id), "{}", ground.id);
    }
    // Once as a mark, once in the key.
    assert_eq!(times(&sheet, "the one bond"), 2);
    assert_eq!(times(&sheet, "take out"), 0);
    // Every point is drawn or folded into one that is.
    let all: usize = drawn.rows.iter().map(|r| 1 + r.folded).sum();
    let boat = &design.boat;
    let points =
        boat.banks.len() + boat.panels.len() + boat.sources.len() + boat.loads.len() + boat.grounds.len();
    assert_eq!(all, points);
    // The shunt's permitted bypass is drawn and told.
    assert!(drawn.rows.iter().any(|r| r.id == "B4"));
    assert!(drawn.fine.iter().any(|s| s.contains("except, as permitted, B4")), "{:?}", drawn.fine);
    assert!(sheet.height < orlop_paper::svg::PAGE_HEIGHT);
}

#[test]
fn planted_faults_are_drawn_and_told() {
    let drawn = view(&design(&planted()), None).ground.unwrap();
    let sheet = draw(&drawn, "ground-planted");
    assert_eq!(drawn.links.len(), 2);
    assert!(drawn.links.iter().all(|l| l.path.cut));
    assert_eq!(times(&sheet, "take out"), 2);
    assert_eq!(times(&sheet, "the one bond"), 2);
    // A finding of another rule on the radio's circuit is no mark of this drawing.
    assert!(drawn.rows.iter().any(|r| r.id == "N3" && r.path.as_ref().unwrap().mark.is_none()));
    assert_eq!(times(&sheet, "hangs on nothing"), 1);
    assert!(drawn.rows.iter().any(|r| r.id == "F1" && r.path.as_ref().unwrap().mark == Some('B')));
    let told = drawn.wrong.join("\n");
    for wanted in ["without passing SHUNT", "Take out STRAP", "RUDDER hangs on nothing"] {
        assert!(told.contains(wanted), "{wanted} is not in\n{told}");
    }
}

fn path_of(id: &str, what: &str, line: GroundLine) -> GroundPath {
    GroundPath {
        id: id.into(),
        what: what.into(),
        current: "3.4\u{a0}A, 450\u{a0}A starter".into(),
        line,
        the_bond: line == GroundLine::Bond,
        cut: line == GroundLine::Earth,
        mark: Some('A'),
    }
}

#[test]
fn any_shape_and_any_name() {
    let long = "An exceedingly long name, as people do write them: Wwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwww";
    let kinds = [
        GroundKind::Battery,
        GroundKind::Bus,
        GroundKind::Negative,
        GroundKind::Metal,
        GroundKind::Earth,
        GroundKind::Radio,
    ];
    let lines = [GroundLine::Cable, GroundLine::Shunt, GroundLine::Bond, GroundLine::Earth];
    for name in ["", "Lamp", long, "\u{6f22}\u{5b57}\u{1f6a2}", "<script>"] {
        for (deep, count) in [(true, 60), (false, 60), (true, 1), (false, 0)] {
            let rows = (0..count).map(|i| GroundRow {
                id: if name == long { long.replace([' ', ','], "") } else { format!("P{i}") },
                name: name.into(),
                kind: kinds[i % kinds.len()],
                parent: if i == 0 { None } else { Some(if deep { i - 1 } else { 0 }) },
                path: (i > 0)
                    .then(|| path_of(if name == long { long } else { "E" }, name, lines[i % lines.len()])),
                folded: i % 3,
                loose: i % 7 == 1,
            });
            let links = (0..count / 5).map(|i| GroundLink {
                from: i,
                to: count - 1 - i,
                path: path_of("L", name, GroundLine::Earth),
            });
            let drawn = Ground {
                system: "negative bonded to metal at one place".into(),
                rows: rows.collect(),
                links: links.collect(),
                wrong: vec![long.repeat(9), name.into()],
                fine: vec![name.into()],
                caution: orlop::network::ground::CAUTION,
            };
            draw(&drawn, "ground-any");
        }
    }
}

#[test]
fn a_boat_without_grounds_has_no_drawing() {
    let teal = design(include_str!("../../../python/orlop/boats/teal.toml"));
    assert!(view(&teal, None).ground.is_none());
    let made = orlop_paper::papers(&teal, None).unwrap();
    assert!(made.iter().all(|p| p.name != "negative-and-bonding.svg"));
    let made = orlop_paper::papers(&design(DUNLIN), None).unwrap();
    assert!(made.iter().any(|p| p.name == "negative-and-bonding.svg"));
    let html = made.iter().find(|p| p.name == "report.html").unwrap();
    let html = std::str::from_utf8(&html.bytes).unwrap();
    assert!(html.contains("id=\"ground\"") && html.contains("the one bond"));
}
