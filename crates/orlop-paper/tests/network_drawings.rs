//! Drawings of the network, made by hand: any name and any number may stand there, and nothing overlaps.

mod common;

use common::check;
use orlop_paper::svg::{A4, Canvas, PAGE_WIDTH, headed, pile, time_current, waterfall, windows};
use orlop_paper::view::{Band, Bar, Chart, DropStep, Trust, Waterfall};

const NAMES: [&str; 5] = [
    "",
    "Lamp",
    "An exceedingly long name, as people do write them: Wwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwww",
    "\u{6f22}\u{5b57}\u{1f6a2}",
    "<script>alert(1)</script>\u{0}",
];

#[test]
fn any_name_and_any_number_can_be_drawn() {
    let amps = [None, Some(0.0), Some(1e-9), Some(30.0), Some(30.001), Some(2e4), Some(1e12)];
    for name in NAMES {
        for (n, low) in amps.iter().enumerate() {
            for high in &amps[n..] {
                let band = |id: &str, from: f64| Band {
                    id: id.into(),
                    name: name.into(),
                    device: format!("30 A {name}"),
                    trust: Trust::from(orlop::Confidence::Memory),
                    fastest: vec![(from, 3600.0), (from * 3.0, 0.1), (from * 3.0, 0.0)],
                    slowest: if from > 40.0 { vec![] } else { vec![(from * 1.5, 3600.0), (1e9, 0.01)] },
                };
                let chart = Chart {
                    title: name.into(),
                    bands: vec![band(name, 250.0), band("F", 60.0), band("G", 30.0), band("H", 0.001)],
                    low: *low,
                    high: *high,
                    verdict: name.repeat(20),
                };
                let bar = Bar {
                    id: name.into(),
                    name: name.into(),
                    device: name.into(),
                    design: *low,
                    fits: low.zip(*high).map(|(a, b)| (b, a)),
                    rating: *high,
                    held: high.iter().copied().collect(),
                    opens: *low,
                    low: *low,
                    high: *high,
                    breaking: *high,
                    wrong: vec![name.into()],
                };
                let mut all = vec![time_current(&chart), time_current(&Chart { bands: vec![], ..chart })];
                all.extend(windows(&vec![bar; 50]));
                check(&all);
                for sheet in &all {
                    let text = sheet.file(name, A4);
                    assert!(!text.contains("NaN") && !text.contains("inf"), "{low:?} {high:?}");
                    roxmltree::Document::parse(&text).unwrap();
                }
            }
        }
    }
}

#[test]
fn any_way_can_be_drawn() {
    for name in NAMES {
        for (limit, minimum) in
            [(None, None), (Some(23.28), Some(23.28)), (Some(25.0), Some(10.0)), (Some(0.0), Some(24.0))]
        {
            for steps in [0, 1, 40] {
                let step = |n: usize| DropStep {
                    circuit: name.into(),
                    part: ["conductor", "device", "joints", "all of it"][n % 4].into(),
                    drop: 0.01,
                    left: 24.0 - 0.01 * (n + 1) as f64,
                };
                let drawn = waterfall(&Waterfall {
                    load: name.into(),
                    name: name.into(),
                    case: name.into(),
                    root: name.into(),
                    root_name: name.into(),
                    from: 24.0,
                    at_load: 24.0 - 0.01 * steps as f64,
                    limit,
                    minimum,
                    steps: (0..steps).map(step).collect(),
                });
                check(std::slice::from_ref(&drawn));
                let text = drawn.file("x", A4);
                assert!(!text.contains("NaN") && !text.contains("inf"));
                roxmltree::Document::parse(&text).unwrap();
            }
        }
    }
}

#[test]
fn small_drawings_share_sheets_in_order() {
    let drawing = |text: &str, height: f64| {
        let mut c = Canvas::new(PAGE_WIDTH, height);
        c.text(0.0, 5.0, orlop_paper::svg::canvas::Type::plain(8.0), text);
        c
    };
    let sheets = pile(&[drawing("a", 100.0), drawing("b", 100.0), drawing("c", 100.0), drawing("d", 300.0)]);
    let on: Vec<Vec<&str>> =
        sheets.iter().map(|s| s.texts.iter().map(|t| t.text.as_str()).collect()).collect();
    assert_eq!(on, [vec!["a", "b"], vec!["c"], vec!["d"]]);
    check(&sheets);
    assert!(pile(&[]).is_empty());
    for name in NAMES {
        let long = name.repeat(9);
        let alone = headed(&sheets[0], &long, &long, &long);
        check(std::slice::from_ref(&alone));
        assert!(alone.texts.iter().any(|t| t.text == "a"));
    }
}
