//! The boat file: what reads, what does not and where it says so, and what never happens.

use orlop_boat::document::{self, BoatFileError, read, read_bytes};
use orlop_boat::model::{Boat, Demand, Feeds, LoadState};
use orlop_units::{Quantity, metres};
use proptest::prelude::*;
use std::path::PathBuf;
use std::time::{Duration, Instant};

const DUNLIN: &str = include_str!("../../../python/orlop/boats/dunlin.toml");
const TEAL: &str = include_str!("../../../python/orlop/boats/teal.toml");

fn dunlin() -> Boat {
    read(DUNLIN, "dunlin.toml").unwrap_or_else(|e| panic!("{e}"))
}

fn watts(boat: &Boat, load: &str, state: LoadState) -> f64 {
    match boat.load(load).unwrap().demand_in(state) {
        Demand::Power(w) => w.q.si(),
        other => panic!("{load}: {other:?}"),
    }
}

mod demo {
    use super::*;

    /// Lengths worked out apart from this program when the boat was invented: polyline, and with 8 % and 0.3 m.
    #[test]
    fn trunks_have_the_lengths_of_the_plan() {
        let boat = dunlin();
        let table = [
            ("bat-dcl", 2.15, 2.62),
            ("dcl-hlm", 6.50, 7.32),
            ("dcl-fwd", 7.79, 8.71),
            ("dcl-aft", 4.42, 5.08),
            ("dcl-thruster", 7.78, 8.70),
            ("dcl-windlass", 8.18, 9.13),
            ("dcl-inverter", 0.74, 1.10),
            ("hlm-conv", 0.37, 0.70),
            ("alternator-dcl", 2.68, 3.19),
            ("solar-dcl", 5.15, 5.86),
            ("bat-pump1", 2.65, 3.16),
            ("bat-pump2", 3.60, 4.18),
            ("bat-pump3", 5.94, 6.71),
        ];
        assert_eq!(boat.trunks.len(), table.len());
        for (id, polyline, with_slack) in table {
            let points = &boat.trunk(id).unwrap().points;
            let length = points.windows(2).map(|w| w[0].distance(w[1])).fold(metres(0.0), |a, b| a + b);
            let whole = length * (1.0 + boat.slack.value()) + boat.termination;
            // The table is rounded to the centimetre.
            assert!((length.si() - polyline).abs() < 0.0051, "{id}: {}", length.si());
            assert!((whole.si() - with_slack).abs() < 0.0061, "{id}: {}", whole.si());
        }
    }

    /// Feeder currents at 25.6 V worked out apart from this program when the boat was invented: 9.9, 20.8, 26.2, 27.9 A, inverter 68 A, thruster 168 A, windlass 45 A.
    #[test]
    fn scenarios_give_the_feeder_currents_of_the_plan() {
        let boat = dunlin();
        for (scenario, panel, amperes, digits) in [
            ("passage_night_vhf", "HLM", 9.9, 0.05),
            ("passage_night_hf", "HLM", 20.8, 0.05),
            ("evening", "FWD", 26.2, 0.05),
            ("davit", "AFT", 27.9, 0.05),
        ] {
            let on = &boat.scenario(scenario).unwrap().on;
            let watts: f64 = on
                .iter()
                .map(|(load, state)| {
                    let circuit = boat
                        .circuits
                        .iter()
                        .find(|c| matches!(&c.feeds, Feeds::Loads(l) if l.contains(load)));
                    let from = &circuit.unwrap().from;
                    let share = match boat.source(from) {
                        Some(converter) if panel == "HLM" => 1.0 / converter.efficiency.value(),
                        _ if from == panel => 1.0,
                        _ => 0.0,
                    };
                    share * watts(&boat, load, *state)
                })
                .sum();
            let got = watts / 25.6;
            assert!((got - amperes).abs() <= digits, "{scenario}: {got}");
        }
        for (load, amperes) in [("D3", 68.0), ("D1", 168.0), ("D2", 45.0)] {
            let got = watts(&boat, load, LoadState::Run) / 25.6;
            assert!((got - amperes).abs() <= 0.5, "{load}: {got}");
        }
    }

    /// Daily energy worked out apart from this program when the boat was invented: 4.48 kWh at anchor, 6.75 kWh on passage, with 90 % of the converter.
    #[test]
    fn hours_give_the_daily_energy_of_the_plan() {
        let boat = dunlin();
        for (profile, kilowatt_hours) in [("anchor", 4.48), ("passage", 6.75)] {
            let joules: f64 = boat
                .loads
                .iter()
                .map(|load| {
                    let lists = [
                        (LoadState::Run, &load.hours),
                        (LoadState::Idle, &load.idle_hours),
                        (LoadState::Peak, &load.peak_hours),
                    ];
                    let at_load: f64 = lists
                        .iter()
                        .flat_map(|(state, list)| list.iter().map(move |entry| (state, entry)))
                        .filter(|(_, (p, _))| p == profile)
                        .map(|(state, (_, time))| watts(&boat, &load.id, *state) * time.si())
                        .sum();
                    let behind_converter = ["N1", "N3", "N5"].contains(&load.id.as_str());
                    at_load / if behind_converter { 0.9 } else { 1.0 }
                })
                .sum();
            let got = joules / 3.6e6;
            assert!((got - kilowatt_hours).abs() < 0.006, "{profile}: {got}");
        }
    }

    #[test]
    fn overlaps_take_the_hottest_space() {
        let boat = dunlin();
        for (place, space) in
            [("BAT", "locker"), ("DCL", "saloon"), ("HLM", "wheelhouse"), ("AFT", "lazarette")]
        {
            assert_eq!(boat.place(place).unwrap().space, space);
        }
    }

    #[test]
    fn guesses_stay_marked() {
        let boat = dunlin();
        let marked: Vec<_> = boat.guesses.iter().map(|(address, _)| address.as_str()).collect();
        assert_eq!(
            marked,
            [
                "rules.joint",
                "load.H7.run",
                "load.F6.peak",
                "load.F7.run",
                "load.S1.run",
                "circuit.H7.one_way",
                "circuit.S1.one_way"
            ]
        );
        // The only remarks are those on her bank, whose stated values count before those of its cells.
        assert!(boat.remarks.iter().all(|r| r.starts_with("bank.BANK.")), "{:?}", boat.remarks);
    }

    #[test]
    fn teal_reads_in_her_own_units() {
        let boat = read(TEAL, "teal.toml").unwrap_or_else(|e| panic!("{e}"));
        assert!((boat.termination.si() - 0.3048).abs() < 1e-12);
        assert!((boat.space("engine").unwrap().ambient.degrees_celsius() - 60.0).abs() < 1e-9);
        assert!(boat.space("engine").unwrap().vapour);
        let unprotected =
            boat.loads.iter().filter(|l| l.spark && !l.ignition_protected).map(|l| l.id.as_str());
        assert_eq!(unprotected.collect::<Vec<_>>(), ["WASH", "HORN"]);
    }

    #[test]
    fn byte_order_mark_and_line_ends_change_nothing() {
        let boat = read(TEAL, "t").unwrap();
        assert_eq!(read(&format!("\u{feff}{TEAL}"), "t").unwrap(), boat);
        assert_eq!(read(&TEAL.replace('\n', "\r\n"), "t").unwrap(), boat);
    }
}

mod bad {
    use super::*;

    /// One file of the bad room and what it must say.
    #[derive(Debug)]
    struct Case {
        file: String,
        problems: usize,
        line: u32,
        column: u32,
        what: String,
        expected: String,
        hint: String,
        address: String,
    }

    fn folder() -> PathBuf {
        PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../tests/bad")
    }

    fn cases() -> Vec<Case> {
        let text = std::fs::read_to_string(folder().join("expected.toml")).unwrap();
        let table: toml::Table = text.parse().unwrap();
        let field = |case: &toml::Value, key: &str| case[key].as_str().unwrap().to_string();
        let number = |case: &toml::Value, key: &str| u32::try_from(case[key].as_integer().unwrap()).unwrap();
        let list = table["case"].as_array().unwrap();
        list.iter()
            .map(|case| Case {
                file: field(case, "file"),
                problems: number(case, "problems") as usize,
                line: number(case, "line"),
                column: number(case, "column"),
                what: field(case, "what"),
                expected: field(case, "expected"),
                hint: field(case, "hint"),
                address: field(case, "address"),
            })
            .collect()
    }

    fn error_of(file: &str) -> BoatFileError {
        let bytes = std::fs::read(folder().join(file)).unwrap();
        read_bytes(&bytes, file).expect_err(file)
    }

    #[test]
    fn each_file_says_what_is_wrong_and_where() {
        for case in cases() {
            let error = error_of(&case.file);
            let first = &error.problems[0];
            assert_eq!(error.problems.len() + error.more, case.problems, "{}: {error}", case.file);
            let got =
                (first.line, first.column, &*first.what, &*first.expected, &*first.hint, &*first.address);
            let want = (case.line, case.column, &*case.what, &*case.expected, &*case.hint, &*case.address);
            assert_eq!(got, want, "{}", case.file);
            assert_eq!(first.path, case.file);
            assert!(
                error.to_string().contains(&format!("{}:{}:{}", case.file, case.line, case.column)),
                "{error}"
            );
        }
    }

    #[test]
    fn no_file_of_the_room_is_forgotten() {
        let mut on_disk: Vec<_> = std::fs::read_dir(folder())
            .unwrap()
            .map(|e| e.unwrap().file_name().into_string().unwrap())
            .filter(|f| f != "expected.toml")
            .collect();
        on_disk.sort();
        assert_eq!(on_disk, cases().into_iter().map(|c| c.file).collect::<Vec<_>>());
    }

    #[test]
    fn looks_like_a_compiler_message() {
        let text = error_of("unknown_space.toml").to_string();
        let wanted = "\
error: spaces: there is no space 'cabbin'
  --> unknown_space.toml:51:11
   |
51 | spaces = [\"cabbin\"]
   |           ^^^^^^^^ expected the id of a space
   |
   = help: did you mean 'cabin'?";
        assert_eq!(text, wanted);
    }

    #[test]
    fn many_problems_come_in_order_and_are_counted() {
        let error = error_of("many_problems.toml");
        assert_eq!((error.problems.len(), error.more), (50, 70));
        assert!(error.problems.windows(2).all(|w| (w[0].line, w[0].column) <= (w[1].line, w[1].column)));
        assert!(error.to_string().ends_with("and 70 more problems"));
    }

    #[test]
    fn problems_of_several_sorts_come_in_one_run() {
        let text = TEAL
            .replace("run = { value = \"6.5 A\", known = \"measured\" }", "run = 6.5")
            .replace("path = [\"forward\"]", "path = [\"foreward\"]")
            .replace(
                "drop_class = \"critical\"\nessential = true\nhours = { day = \"0 h\", night = \"8 h\" }",
                "dropclass = \"critical\"",
            );
        let error = read(&text, "teal.toml").unwrap_err();
        let whats: Vec<_> = error.problems.iter().map(|p| p.what.as_str()).collect();
        assert_eq!(
            whats,
            [
                "run cannot be the bare number 6.5",
                "load 'ANCHOR' does not know the key 'dropclass'",
                "path: there is no trunk 'foreward'",
            ]
        );
    }

    #[test]
    fn noise_of_ten_megabytes_is_refused_at_once() {
        let mut state = 1u64;
        let random: Vec<u8> = std::iter::repeat_with(|| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (state >> 56) as u8
        })
        .take(10_000_000)
        .collect();
        for noise in [random, vec![b'['; 10_000_000], vec![0; 10_000_000]] {
            let start = Instant::now();
            let error = read_bytes(&noise, "noise.bin").unwrap_err();
            assert!(start.elapsed() < Duration::from_secs(1));
            assert_eq!(error.problems.len(), 1);
            assert_eq!(error.problems[0].what, "the file has 10.0 million bytes");
        }
    }

    #[test]
    fn noise_below_the_limit_is_one_run_too() {
        for unit in ["[[[[\n", "x = 1\n", "a b c = \"\n", "\u{fc} = 'x'\n", "[a.b.c]\n", "\u{0}"] {
            let noise = unit.repeat(900_000 / unit.len());
            let start = Instant::now();
            let error = read(&noise, "noise.toml").unwrap_err();
            let _ = error.to_string();
            assert!(start.elapsed() < Duration::from_secs(20), "{unit:?}: {:?}", start.elapsed());
            assert!(error.problems.len() <= document::MOST);
        }
    }
}

mod starter {
    use super::*;

    #[test]
    fn reads_whatever_the_name_is() {
        for name in ["Wren", "L'Aigle \"B\"", "back\\slash", "tab\tbell\u{7}del\u{7f}", "\u{fc}\u{1f980}", ""]
        {
            let text = document::starter(name);
            let boat = read(&text, "new.toml").unwrap_or_else(|e| panic!("{e}"));
            assert_eq!(boat.name, name);
            assert_eq!(boat.guesses.len(), 1);
        }
    }

    #[test]
    fn explains_every_key_of_every_section() {
        let text = document::starter("Wren");
        let schema = document::schema();
        for (name, section) in schema["properties"].as_object().unwrap() {
            let Some(section) = section.as_object().filter(|_| name != "format") else { continue };
            let one = section
                .get("patternProperties")
                .map_or(&schema["properties"][name], |p| p.as_object().unwrap().values().next().unwrap());
            let head =
                format!("[{name}{}", if section.contains_key("patternProperties") { '.' } else { ']' });
            let header = text.lines().position(|l| l.trim_start_matches("# ").starts_with(&head)).unwrap();
            let below: Vec<_> = text.lines().skip(header + 1).take_while(|l| !l.is_empty()).collect();
            for key in one["properties"].as_object().unwrap().keys() {
                let line =
                    below.iter().find(|l| l.trim_start_matches("# ").starts_with(&format!("{key} = ")));
                let line = line.unwrap_or_else(|| panic!("{name}.{key} is not explained"));
                let bare = line.trim_start_matches("# ");
                assert!(bare.parse::<toml::Table>().is_ok(), "{bare}");
                assert!(bare.contains("  # "), "{bare}");
            }
        }
    }
}

mod schema {
    use super::*;

    /// Every key of the demo boats is in the schema, which admits no others.
    #[test]
    fn knows_the_demo_boats() {
        let schema = document::schema();
        for text in [DUNLIN, TEAL, &document::starter("Wren")] {
            let boat: toml::Table = text.parse().unwrap();
            for (name, section) in boat.iter().filter(|(name, _)| *name != "format") {
                let of = &schema["properties"][name];
                let rows: Vec<_> = match of["patternProperties"].as_object() {
                    Some(pattern) => {
                        let one = pattern.values().next().unwrap();
                        section.as_table().unwrap().values().map(|row| (row, one)).collect()
                    }
                    None => vec![(section, of)],
                };
                for (row, one) in rows {
                    assert_eq!(one["additionalProperties"], false);
                    for key in row.as_table().unwrap().keys() {
                        assert!(one["properties"][key].is_object(), "{name}.{key}");
                    }
                    for key in one["required"].as_array().unwrap() {
                        assert!(row.get(key.as_str().unwrap()).is_some(), "{name}: {key}");
                    }
                }
            }
        }
    }

    /// References inside the schema resolve, and examples and defaults are there.
    #[test]
    fn is_whole() {
        let schema = document::schema();
        let text = schema.to_string();
        for reference in text.split("\"#/$defs/").skip(1) {
            let name = reference.split('"').next().unwrap();
            assert!(schema["$defs"][name].is_object(), "{name}");
        }
        assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
        assert!(!text.contains("\"default\":null") && !text.contains("[null]"));
    }
}

mod laws {
    use super::*;

    /// Blocks of a text that begin with a circuit's header.
    fn circuits(text: &str) -> (String, Vec<String>, String) {
        let first = text.find("[circuit.").unwrap();
        let last = text.find("[scenario.").unwrap();
        let blocks = text[first..last].split("[circuit.").skip(1).map(|b| format!("[circuit.{b}")).collect();
        (text[..first].to_string(), blocks, text[last..].to_string())
    }

    #[derive(Clone, Debug)]
    enum Change {
        Cut(usize, usize),
        Put(usize, String),
        Copy(usize, usize, usize),
        Word(usize, String),
    }

    fn change() -> impl Strategy<Value = Change> {
        const WORDS: &[&str] = &[
            "nan",
            "inf",
            "-1",
            "0",
            "\"\"",
            "[]",
            "{}",
            "\"1e308 m\"",
            "true",
            "[[",
            "\"-0 A\"",
            "\"x\"",
            "1979-05-27",
        ];
        prop_oneof![
            (any::<usize>(), 0usize..80).prop_map(|(at, n)| Change::Cut(at, n)),
            (any::<usize>(), "\\PC{0,6}|[\\[\\]{}\"'=.,#\\n 0-9-]{1,4}")
                .prop_map(|(at, s)| Change::Put(at, s)),
            (any::<usize>(), any::<usize>(), 0usize..200).prop_map(|(from, to, n)| Change::Copy(from, to, n)),
            (any::<usize>(), proptest::sample::select(WORDS))
                .prop_map(|(at, w)| Change::Word(at, w.to_string())),
        ]
    }

    fn apply(text: &str, change: &Change) -> String {
        let mut chars: Vec<char> = text.chars().collect();
        let count = chars.len().max(1);
        match change {
            Change::Cut(at, n) => {
                let from = at % count;
                chars.drain(from..(from + n).min(chars.len()));
            }
            Change::Put(at, s) => {
                let at = at % count;
                chars.splice(at..at, s.chars());
            }
            Change::Copy(from, to, n) => {
                let from = from % count;
                let piece: Vec<char> = chars[from..(from + n).min(chars.len())].to_vec();
                let to = to % count;
                chars.splice(to..to, piece);
            }
            // Puts a word in place of what follows an equals sign.
            Change::Word(at, word) => {
                let signs: Vec<_> = (0..chars.len()).filter(|i| chars[*i] == '=').collect();
                if let Some(sign) = signs.get(at % signs.len().max(1)) {
                    let end = (*sign..chars.len()).find(|i| chars[*i] == '\n').unwrap_or(chars.len());
                    chars.splice(sign + 1..end, word.chars());
                }
            }
        }
        chars.into_iter().collect()
    }

    fn fine(text: &str) {
        if let Err(error) = read(text, "x.toml") {
            assert!(!error.problems.is_empty() && error.problems.len() <= document::MOST);
            let lines = text.matches('\n').count() + 1;
            for problem in &error.problems {
                assert!(problem.line >= 1 && problem.line as usize <= lines && problem.column >= 1);
                assert!(!problem.what.is_empty());
            }
            assert!(!error.to_string().contains("a fault of orlop"), "{error}");
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn changed_text_never_panics(teal in any::<bool>(), changes in proptest::collection::vec(change(), 1..6)) {
            let text = if teal { TEAL } else { DUNLIN };
            let changed = changes.iter().fold(text.to_string(), |t, c| apply(&t, c));
            fine(&changed);
        }

        #[test]
        fn any_bytes_never_panic(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
            let _ = read_bytes(&bytes, "x.toml").map_err(|e| e.to_string());
        }

        #[test]
        fn any_text_never_panics(text in "\\PC{0,200}") {
            fine(&text);
        }

        #[test]
        fn order_of_circuits_changes_nothing(teal in any::<bool>(), seed in any::<u64>()) {
            let text = if teal { TEAL } else { DUNLIN };
            let (head, mut blocks, tail) = circuits(text);
            let mut state = seed;
            for i in (1..blocks.len()).rev() {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                blocks.swap(i, (state >> 33) as usize % (i + 1));
            }
            let shuffled = format!("{head}{}{tail}", blocks.concat());
            let (mut a, mut b) = (read(text, "a").unwrap(), read(&shuffled, "b").unwrap());
            for boat in [&mut a, &mut b] {
                boat.circuits.sort_by(|x, y| x.id.cmp(&y.id));
                boat.guesses.sort_by(|x, y| x.0.cmp(&y.0));
            }
            prop_assert_eq!(a, b);
        }
    }
}
