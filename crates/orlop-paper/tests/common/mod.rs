//! A report filled by hand, for tests of what is drawn and printed; all boats are invented.
#![allow(dead_code)]

pub mod big;

use orlop::Confidence;
use orlop_paper::cautions;
use orlop_paper::svg::{Canvas, TextBox};
use orlop_paper::view::*;

/// id, name, fed from, current, one way, conductor, rating, essential, place.
type Row = (&'static str, &'static str, &'static str, f64, f64, &'static str, u32, bool);

const ROWS: &[Row] = &[
    ("H1", "Running lights", "HLM", 0.6, 9.6, "1 mm²", 3, true),
    ("H2", "Anchor light", "HLM", 0.1, 6.4, "1 mm²", 3, true),
    ("H3", "Radar", "HLM", 2.4, 5.8, "1.5 mm²", 5, false),
    ("H4", "Plotter and sounder", "HLM", 1.6, 1.6, "1 mm²", 3, false),
    ("H5", "Autopilot computer, sensors", "HLM", 0.4, 2.1, "1 mm²", 3, false),
    ("H6", "Wipers, two", "HLM", 3.9, 2.8, "1.5 mm²", 7, false),
    ("H7", "Horn", "HLM", 2.8, 4.1, "1 mm²", 5, false),
    ("H8", "Demister fan, console USB", "HLM", 1.6, 1.9, "1 mm²", 3, false),
    ("N1", "VHF with AIS", "CONV", 5.8, 1.2, "1.5 mm²", 7, true),
    ("N3", "MF/HF set", "CONV", 28.0, 1.5, "10 mm²", 40, false),
    ("N5", "Position, data network, instruments", "CONV", 1.0, 1.3, "1 mm²", 3, true),
    ("F1", "Fridge compressor", "FWD", 2.3, 3.1, "1.5 mm²", 5, false),
    ("F2", "Freezer compressor", "FWD", 2.7, 3.6, "1.5 mm²", 5, false),
    ("F3", "Galley, fore-cabin lights", "FWD", 1.6, 5.2, "1 mm²", 3, false),
    ("F4", "Fresh-water pump", "FWD", 4.6, 4.4, "1.5 mm²", 10, false),
    ("F5", "Toilet macerator", "FWD", 20.1, 4.0, "6 mm²", 30, false),
    ("F6", "Warm-air heater", "FWD", 11.7, 4.8, "2.5 mm²", 15, false),
    ("F7", "Cabin sockets, fans", "FWD", 1.9, 5.6, "1 mm²", 5, false),
    ("A1", "Saloon lights", "AFT", 1.3, 5.4, "1 mm²", 3, false),
    ("A2", "Deck and cockpit floods", "AFT", 2.1, 4.6, "1 mm²", 5, false),
    ("A3", "Autopilot hydraulic pump", "AFT", 11.2, 2.3, "4 mm²", 15, false),
    ("A4", "Tender davit winch", "AFT", 28.9, 2.6, "10 mm²", 40, false),
    ("A5", "Shower sump pump", "AFT", 3.1, 3.3, "1 mm²", 5, false),
    ("A6", "Engine-space extract fan", "AFT", 2.7, 5.9, "1.5 mm²", 5, false),
    ("D1", "Bow thruster", "DCL", 200.9, 8.7, "95 mm²", 250, false),
    ("D2", "Anchor windlass", "DCL", 53.7, 9.13, "25 mm²", 80, false),
    ("D3", "Inverter", "DCL", 81.8, 1.1, "35 mm²", 125, false),
    ("D5", "Water maker", "DCL", 15.4, 3.2, "4 mm²", 20, false),
    ("B1", "Bilge pump, engine space", "BAT", 4.6, 3.16, "2.5 mm²", 10, true),
    ("B2", "Bilge pump, lazarette", "BAT", 2.6, 4.18, "1.5 mm²", 5, true),
    ("B3", "Bilge pump, forward", "BAT", 2.6, 6.71, "1.5 mm²", 5, true),
    ("B4", "Battery electronics, coils, monitor", "BAT", 0.6, 0.8, "1 mm²", 3, true),
    ("B5", "Gas, CO, smoke, bilge alarms", "BAT", 0.2, 7.0, "1 mm²", 3, true),
];

fn amps(x: f64) -> String {
    format!("{x:.1}\u{a0}A")
}

fn fuse(rating: u32) -> Device {
    Device::Fuse(format!("{rating}\u{a0}A"))
}

/// An empty report of a boat of this name.
pub fn empty(boat: &str) -> View {
    View {
        head: Head {
            boat: boat.into(),
            kind: "motor cruiser, 13.6 m".into(),
            state: "a design, not yet built".into(),
            nominal: "24 V".into(),
            rules: "iso-small-craft".into(),
            rules_name: "ISO 13297 and European practice".into(),
            version: "0.1.0".into(),
            format: "1".into(),
            data_edition: "5d41402a".into(),
            date: Some("2026-11-25".into()),
            basis: vec![
                ("Conductors".into(), "copper, tinned, 105 °C insulation, metric sizes".into()),
                ("Slack".into(), "8 % on lengths along trunks, and 0.3 m for terminations".into()),
            ],
        },
        not_covered: orlop_paper::not_covered(),
        caution: cautions::ALWAYS,
        summary: Summary::default(),
        findings: vec![],
        panels: vec![],
        tree: Tree::default(),
        circuits: vec![],
        notes: vec![],
        wires: vec![],
        devices: vec![],
        loads: vec![],
        scenarios: vec![],
        network: Network::default(),
        banks: vec![],
        trunks: vec![],
        plan: Plan::default(),
        ground: None,
        passed: vec![],
        not_tested: vec![],
        guesses: vec![],
        remarks: vec![],
        rules: vec![],
        sources: vec![],
        cautions: cautions::STAGES.to_vec(),
    }
}

/// A node of a hand-made tree.
pub fn node(id: &str, name: &str, kind: NodeKind, parent: Option<usize>) -> Node {
    Node {
        id: id.into(),
        name: name.into(),
        kind,
        detail: String::new(),
        always_on: false,
        parent,
        branches: vec![],
    }
}

/// A branch to a load.
pub fn branch(id: &str, name: &str) -> Branch {
    Branch {
        id: id.into(),
        wire: "2.5\u{a0}mm² · 8.71\u{a0}m".into(),
        device: fuse(10),
        current: amps(4.3),
        mark: None,
        heat: None,
        end: End::Load { name: name.into(), essential: false },
    }
}

/// The feed tree of the demo boat.
pub fn tree() -> Tree {
    let mut nodes = vec![
        Node {
            detail: "25.6 V, 460 Ah, 2 strings".into(),
            always_on: true,
            ..node("BAT", "House bank", NodeKind::Bank, None)
        },
        Node { detail: "bus rated 300 A".into(), ..node("DCL", "DC locker", NodeKind::Panel, Some(0)) },
        node("HLM", "Console panel", NodeKind::Panel, Some(1)),
        node("FWD", "Forward panel", NodeKind::Panel, Some(1)),
        node("AFT", "Aft panel", NodeKind::Panel, Some(1)),
        Node {
            detail: "12 V, 30 A".into(),
            ..node("CONV", "12 V electronics bus", NodeKind::Converter, Some(2))
        },
    ];
    for (id, name, from, current, one_way, size, rating, essential) in ROWS {
        let at = nodes.iter().position(|n| n.id == *from).unwrap();
        nodes[at].branches.push(Branch {
            id: (*id).into(),
            wire: format!("{size} · {one_way}\u{a0}m"),
            device: match *id {
                "D1" => Device::Missing,
                "D2" => Device::Breaker("80\u{a0}A".into()),
                _ => fuse(*rating),
            },
            current: amps(*current),
            mark: match *id {
                "D1" => Some('A'),
                "F5" => Some('B'),
                "A6" => Some('C'),
                _ => None,
            },
            heat: None,
            end: End::Load { name: (*name).into(), essential: *essential },
        });
    }
    for (at, child, id, wire, rating, current) in [
        (0, 1, "MAIN", "2 × 95 mm² · 2.62 m", 300, 250.0),
        (1, 2, "HLM-feed", "16 mm² · 7.32 m", 40, 20.8),
        (1, 3, "FWD-feed", "16 mm² · 8.71 m", 40, 26.2),
        (1, 4, "AFT-feed", "16 mm² · 5.08 m", 40, 27.9),
        (2, 5, "N12", "10 mm² · 0.7 m", 30, 17.0),
    ] {
        nodes[at].branches.push(Branch {
            id: id.into(),
            wire: wire.into(),
            device: fuse(rating),
            current: amps(current),
            mark: None,
            heat: None,
            end: End::Node(child),
        });
    }
    for (id, name, symbol) in [
        ("ALT", "Alternator, 65 A", SourceSymbol::Alternator),
        ("SOL", "Solar, 30 A", SourceSymbol::Solar),
        ("SHORE", "Shore charger, 50 A", SourceSymbol::Charger),
    ] {
        let end = End::Source { name: name.into(), symbol };
        nodes[1].branches.push(Branch { end, ..branch(id, name) });
    }
    Tree { nodes }
}

/// One bank, one panel, and so many loads on it.
pub fn wide(loads: usize, name: &str) -> Tree {
    let mut nodes =
        vec![node("BAT", "House bank", NodeKind::Bank, None), node("MAIN", name, NodeKind::Panel, Some(0))];
    nodes[0].branches.push(Branch { end: End::Node(1), ..branch("M", "") });
    nodes[1].branches = (0..loads).map(|i| branch(&format!("C{i}"), &format!("{name} {i}"))).collect();
    Tree { nodes }
}

/// A chain of panels, each feeding the next and a load.
pub fn deep(panels: usize) -> Tree {
    let mut nodes = vec![node("BAT", "House bank", NodeKind::Bank, None)];
    for i in 0..panels {
        nodes.push(node(&format!("P{i}"), &format!("Panel {i}"), NodeKind::Panel, Some(i)));
        nodes[i].branches.push(Branch { end: End::Node(i + 1), ..branch(&format!("F{i}"), "") });
        nodes[i + 1].branches.push(branch(&format!("L{i}"), "Lamp"));
    }
    Tree { nodes }
}

/// The demo boat, filled by hand.
pub fn dunlin() -> View {
    let mut view = empty("Dunlin");
    view.tree = tree();
    let trust = Trust::from(Confidence::Published);
    let memory = Trust::from(Confidence::Memory);
    for (id, name, from, current, one_way, size, rating, essential) in ROWS {
        let critical = matches!(&id[..1], "H" | "N" | "B");
        let of_limit = (f64::from(*rating) * one_way / 100.0) % 1.3;
        view.loads.push(Load {
            id: (*id).into(),
            name: (*name).into(),
            place: "wheelhouse".into(),
            demand: vec![
                Draw { state: "run".into(), value: "50 W".into(), guess: *id == "F7" },
                Draw { state: "peak".into(), value: "240 W".into(), guess: false },
            ],
            essential: *essential,
            class: if critical { "critical" } else { "general" }.into(),
            path: format!("MAIN › {from}-feed › {id}"),
            drop: Some(Drop {
                volts: "0.52 V".into(),
                share: format!("{:.1} %", of_limit * if critical { 3.0 } else { 10.0 }),
                limit: if critical { "3 %" } else { "10 %" }.into(),
                by_rule: "0.48 V".into(),
                of_limit,
                case: "passage-night@low".into(),
                lowest: "23.1 V".into(),
            }),
        });
        view.circuits.push(Circuit {
            id: (*id).into(),
            name: (*name).into(),
            from: (*from).into(),
            to: (*name).into(),
            one_way: format!("{one_way} m"),
            one_way_guess: *id == "A6",
            wire: (*size).into(),
            wire_given: *id == "D1",
            device: format!("{rating} A fuse, ISO 8820-3"),
            device_problems: if *id == "D1" {
                vec!["no family holds the start current within 300 A".into()]
            } else {
                vec![]
            },
            current: amps(*current),
            case: "passage-night@low".into(),
            drop: "0.21 V".into(),
            drop_share: Some("0.9 %".into()),
            path_drop: Some("2.2 % of 3 %".into()),
            surroundings: "45 °C, 6 together".into(),
            carries: Some("22 A".into()),
            temperature: Some("58 °C".into()),
            governed_by: "voltage drop".into(),
            margin: Some("12 % to spare".into()),
            trust: memory,
            notes: vec![1],
            mark: None,
        });
    }
    for n in &view.tree.nodes {
        view.panels.push(Panel {
            id: n.id.clone(),
            name: n.name.clone(),
            kind: "panel",
            place: "console".into(),
            fed_by: "HLM-feed: 40 A fuse, 16 mm², 7.32 m from DC locker".into(),
            rating: Some("100 A".into()),
            always_on: n.always_on,
            ways: n
                .branches
                .iter()
                .enumerate()
                .map(|(at, b)| Way {
                    number: at + 1,
                    id: b.id.clone(),
                    feeds: match &b.end {
                        End::Load { name, .. } | End::Source { name, .. } => name.clone(),
                        End::Node(i) | End::Again(i) => view.tree.nodes[*i].name.clone(),
                    },
                    device: "10 A fuse".into(),
                    missing: b.device == Device::Missing,
                    wire: b.wire.clone(),
                    current: b.current.clone(),
                    label: format!("{} · 10 A", b.id),
                    mark: b.mark,
                })
                .collect(),
        });
    }
    view.findings = vec![
        Finding {
            severity: 'A',
            place: "Circuit D1, Bow thruster".into(),
            address: "circuit.D1".into(),
            what: vec!["No listed device holds the start current and still protects the conductor.".into()],
            value: Some("200.9 A".into()),
            limit: Some("at most 250 A".into()),
            margin: Some("19.6 % to spare".into()),
            undecided: true,
            case: "thruster@low".into(),
            clause: "ISO 13297:2020, 10.4".into(),
            to_do: vec!["Take a larger conductor.".into(), "Take a family with a higher rating.".into()],
            trust: memory,
        },
        Finding {
            severity: 'B',
            place: "Load F5, Toilet macerator".into(),
            address: "load.F5".into(),
            what: vec!["The voltage drop on the way to this load is too large.".into()],
            value: Some("12 %".into()),
            limit: Some("at most 10 %".into()),
            margin: Some("20 % over".into()),
            undecided: false,
            case: "evening@low".into(),
            clause: "ISO 13297:2020, Annex A".into(),
            to_do: vec!["Use 10 mm², or shorten the run.".into()],
            trust,
        },
        Finding {
            severity: 'C',
            place: "Trunk DCL-AFT".into(),
            address: "trunk.DCL-AFT".into(),
            what: vec!["Supports are further apart than practice asks.".into()],
            value: Some("1.3 m".into()),
            limit: Some("at most 0.45 m".into()),
            margin: Some("189 % over".into()),
            undecided: false,
            case: String::new(),
            clause: "ISO 13297:2020, 9.3".into(),
            to_do: vec!["Add supports.".into()],
            trust: Trust::from(Confidence::CommonPractice),
        },
    ];
    view.summary = Summary {
        circuits: 41,
        loads: 33,
        a: 1,
        b: 1,
        c: 1,
        passed: 312,
        not_tested: 2,
        guesses: 2,
        copper: Some("48.2 kg".into()),
    };
    view.wires =
        vec![WireTotal {
            wire: "16 mm²".into(), piece: "42.2 m".into(), circuits: 3, mass: "6.1 kg".into()
        }];
    view.devices = vec![DeviceTotal { device: "3 A fuse, ISO 8820-3 blade".into(), count: 11 }];
    view.scenarios = vec![Scenario {
        name: "Passage, night".into(),
        on: vec!["Running lights".into(), "Radar".into()],
        feeders: vec![Feeder {
            id: "HLM-feed".into(),
            name: "Console feeder".into(),
            current: "9.9–11.2 A".into(),
        }],
    }];
    let ways: [(&str, &[[f64; 3]]); 5] = [
        ("BAT-DCL", &[[4.35, 0.0, 0.15], [4.35, 0.95, 0.15], [4.9, 0.95, 0.15], [4.9, 0.95, 0.8]]),
        (
            "DCL-HLM",
            &[
                [4.9, 0.95, 0.8],
                [4.9, 1.55, 1.05],
                [7.0, 1.55, 1.05],
                [7.0, 1.55, 0.55],
                [7.0, -0.6, 0.55],
                [7.0, -0.6, 1.65],
            ],
        ),
        (
            "DCL-FWD",
            &[
                [4.9, 0.95, 0.8],
                [4.9, 1.55, 1.05],
                [7.4, 1.55, 1.05],
                [7.4, -1.2, 0.35],
                [8.4, -1.2, 0.35],
                [8.4, -1.2, 1.15],
            ],
        ),
        ("DCL-AFT", &[[4.9, 0.95, 0.8], [4.9, 1.55, 0.85], [1.6, 1.55, 0.85], [1.5, 1.05, 0.95]]),
        (
            "DCL-thruster",
            &[[4.9, 0.95, 0.8], [4.9, 1.55, 1.05], [9.2, 1.5, 1.05], [11.1, 0.55, 0.2], [11.1, 0.1, -0.1]],
        ),
    ];
    for (at, (id, points)) in ways.iter().enumerate() {
        view.plan.trunks.push((at + 1, points.to_vec()));
        view.trunks.push(Trunk {
            number: at + 1,
            id: (*id).into(),
            name: (*id).into(),
            along: "6.5 m".into(),
            with_slack: "7.32 m".into(),
            spaces: "saloon, wheelhouse, engine space".into(),
            ambient: "60 °C".into(),
            count: 3,
            circuits: "HLM-feed, A1, A2".into(),
            supports: "15 at most 0.45 m apart".into(),
            fill: None,
        });
    }
    view.plan.places = [
        ("BAT", [4.35, 0.0, 0.15]),
        ("DCL", [4.9, 0.95, 0.8]),
        ("HLM", [7.0, -0.6, 1.65]),
        ("FWD", [8.4, -1.2, 1.15]),
        ("AFT", [1.5, 1.05, 0.95]),
        ("CONV", [6.85, -0.75, 1.35]),
    ]
    .map(|(id, p)| (id.to_string(), p))
    .to_vec();
    view.plan.spaces = vec![
        ("lazarette".into(), [0.0, -1.9, -0.4], [1.6, 1.9, 1.0]),
        ("saloon".into(), [1.6, -1.9, -0.4], [5.0, 1.9, 2.0]),
        ("engine space".into(), [4.8, -1.5, -0.5], [7.4, 1.5, 0.6]),
        ("wheelhouse".into(), [5.0, -1.7, 0.6], [7.6, 1.7, 2.8]),
        ("fore-cabin".into(), [7.4, -1.6, -0.4], [11.3, 1.6, 1.6]),
    ];
    view.passed = vec![Passed {
        title: "Voltage drop within the limit".into(),
        count: 41,
        tightest: "Circuit H1, Running lights".into(),
        margin: Some("2 % to spare".into()),
        clause: "ISO 13297:2020, Annex A".into(),
        trust: memory,
    }];
    view.not_tested = vec![NotTested {
        title: "Is what can spark in petrol or gas vapour declared ignition protected?".into(),
        to_do: "Look at its label and write it into the boat file.".into(),
        places: vec!["Circuit A3, Autopilot hydraulic pump".into()],
        what: vec!["Whether the pump is ignition protected is not stated.".into()],
    }];
    view.guesses = vec![Guess {
        address: "load.F7.run".into(),
        place: "Load F7, Cabin sockets, fans: run".into(),
        value: "40 W".into(),
    }];
    view.rules = vec![Rule {
        id: "drop-physical".into(),
        severity: "B".into(),
        asks: "Is the drop from the source to the load within its limit, by physics?".into(),
    }];
    view.sources = vec![Source {
        id: "iso13297-2020-table-a1".into(),
        document: "ISO 13297:2020, Table A.1".into(),
        title: "Ampacity".into(),
        trust: memory,
        reading: "recalled".into(),
    }];
    view
}

fn overlap(a: &TextBox, b: &TextBox) -> bool {
    const TOUCH: f64 = 0.01;
    a.x + TOUCH < b.x + b.w && b.x + TOUCH < a.x + a.w && a.y + TOUCH < b.y + b.h && b.y + TOUCH < a.y + a.h
}

/// Every text inside the sheet, apart from every other text, clear of every wire, 7 points or more.
pub fn check(sheets: &[Canvas]) {
    for (number, sheet) in sheets.iter().enumerate() {
        for (at, a) in sheet.texts.iter().enumerate() {
            assert!(a.points >= 7.0, "{a:?}");
            assert!(
                a.x >= -0.01
                    && a.y >= -0.01
                    && a.x + a.w <= sheet.width + 0.01
                    && a.y + a.h <= sheet.height + 0.01,
                "sheet {number}: {a:?} is off the page"
            );
            for b in &sheet.texts[at + 1..] {
                assert!(!overlap(a, b), "sheet {number}: {a:?} over {b:?}");
            }
            for w in &sheet.wires {
                let (x0, x1) = (w[0].min(w[2]), w[0].max(w[2]));
                let (y0, y1) = (w[1].min(w[3]), w[1].max(w[3]));
                let clear = x1 <= a.x || x0 >= a.x + a.w || y1 <= a.y || y0 >= a.y + a.h;
                // A letter inside a symbol has no wire behind it: symbols are filled.
                assert!(clear, "sheet {number}: wire {w:?} through {a:?}");
            }
        }
    }
}
