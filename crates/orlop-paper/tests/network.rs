//! The boat as one network on paper: what is printed is what was computed, nothing overlaps, any name may stand there.

mod common;

use common::check;
use orlop_boat::{Design, document, size};
use orlop_paper::svg::{A4, Canvas, PAGE_HEIGHT, PAGE_WIDTH, pile};
use orlop_paper::view::{Network, View, view};
use orlop_paper::{html, papers, pretty};
use orlop_units::{Quantity, amperes};
use std::sync::LazyLock;

const DUNLIN: &str = include_str!("../../../python/orlop/boats/dunlin.toml");
const TEAL: &str = include_str!("../../../python/orlop/boats/teal.toml");

/// Each boat with its view.
static BOATS: LazyLock<[(&str, Design, View); 3]> = LazyLock::new(|| {
    let big = common::big::boat();
    [("dunlin", DUNLIN), ("teal", TEAL), ("big", &big)].map(|(name, text)| {
        let design = design(text);
        let view = view(&design, None);
        (name, design, view)
    })
});

fn design(text: &str) -> Design {
    size(&document::read(text, "boat.toml").unwrap_or_else(|e| panic!("{e}"))).unwrap()
}

fn network(boat: &str) -> &'static Network {
    &BOATS.iter().find(|b| b.0 == boat).unwrap().2.network
}

/// Every drawing of the network: single ones, then whole sheets.
fn drawings(view: &View) -> (Vec<Canvas>, Vec<Canvas>) {
    let small: Vec<Canvas> = html::waterfalls(view).into_iter().chain(html::charts(view)).collect();
    let mut sheets = pile(&html::waterfalls(view));
    sheets.extend(pile(&html::charts(view)));
    sheets.extend(html::window_sheets(view));
    (small, sheets)
}

#[test]
fn nothing_overlaps_on_any_boat() {
    for (boat, _, view) in BOATS.iter() {
        let (small, sheets) = drawings(view);
        assert!(small.len() >= 4, "{boat}");
        check(&small);
        check(&sheets);
        for (number, sheet) in sheets.iter().enumerate() {
            assert!(sheet.width <= PAGE_WIDTH && sheet.height <= PAGE_HEIGHT, "{boat}, sheet {number}");
            let text = sheet.file("x", A4);
            roxmltree::Document::parse(&text).unwrap();
            std::fs::write(format!("{}/network-{boat}-{number}.svg", env!("CARGO_TARGET_TMPDIR")), text)
                .unwrap();
        }
    }
}

#[test]
fn every_section_and_file_is_there() {
    let sections = ["loads", "volts", "dips", "faults", "coordination", "failures", "copper", "routes"];
    for (boat, design, _) in BOATS.iter() {
        let made = papers(design, None).unwrap();
        let page = made.iter().find(|p| p.name == "report.html").unwrap();
        let page = std::str::from_utf8(&page.bytes).unwrap();
        let at =
            |id: &str| page.find(&format!("<section id=\"{id}\"")).unwrap_or_else(|| panic!("{boat}: {id}"));
        assert!(sections.map(at).is_sorted(), "{boat}");
        for id in &sections[1..7] {
            assert!(page.contains(&format!("href=\"#{id}\"")), "{boat}: {id}");
        }
        assert!(page.contains("bolted faults") && page.contains("may not be cleared"), "{boat}");
        for file in ["waterfall", "coordination", "windows"] {
            assert!(
                made.iter().any(|p| p.name.starts_with(file) && p.name.ends_with(".svg")),
                "{boat}: {file}"
            );
        }
        // Large boats too: a page for people, not a table of every case.
        assert!(page.matches("<tr").count() < 12 * design.boat.circuits.len() + 400, "{boat}");
    }
}

#[test]
fn what_is_covered_is_no_longer_called_missing() {
    let view = &BOATS[0].2;
    let told = view.not_covered.join(" ") + &html::title(view).notes.join(" ");
    for gone in ["Coordination is not checked", "not a solved network", "fault levels by network"] {
        assert!(!told.contains(gone), "{told}");
    }
    assert!(told.contains("Do not build from this"));
}

#[test]
fn volts_are_those_of_the_network() {
    for (boat, design, view) in BOATS.iter() {
        let drawn = &view.network;
        assert_eq!(drawn.loads.len(), design.boat.loads.len(), "{boat}");
        for (at, row) in drawn.loads.iter().enumerate() {
            let Some((volts, _)) = design.network.lowest_voltage(at) else {
                assert!(!row.lowest.contains('V'), "{boat}: {row:?}");
                continue;
            };
            assert_eq!(row.lowest, format!("{:.2}\u{a0}V", volts.si()), "{boat}: {}", row.id);
            // No case in which it is on has less, by the table that lists them all.
            let node = design.network.of_load[at].unwrap();
            let on = design.network.cases.iter().filter(|c| c.feeds(at));
            let all: Vec<f64> = on.filter_map(|c| c.volts[node]).map(Quantity::si).collect();
            assert!(all.iter().all(|v| *v >= volts.si() - 1e-9), "{boat}: {}", row.id);
            let most = all.iter().copied().fold(0.0, f64::max);
            assert_eq!(row.highest.as_deref(), Some(pretty::volts(most).as_str()), "{boat}: {}", row.id);
        }
        let banks = design.boat.banks.iter().map(|b| (&b.id, b.lowest.si(), b.highest.si()));
        for (id, lowest, highest) in banks {
            // A stiff bank stands where the boat file puts it, in every case.
            let row = drawn.places.iter().find(|p| p.id == *id).unwrap();
            assert_eq!((&row.lowest, &row.highest), (&pretty::volts(lowest), &pretty::volts(highest)));
            assert_eq!(
                (row.lowest_when.as_str(), row.highest_when.as_str()),
                ("always (low)", "always (high)")
            );
        }
    }
}

#[test]
fn waterfalls_add_up_and_are_the_worst() {
    for (boat, design, view) in BOATS.iter() {
        let drawn = &view.network.waterfalls;
        assert_eq!(drawn.len(), 4, "{boat}");
        for w in drawn {
            // Kirchhoff's voltage law, within what the solver leaves open.
            let lost: f64 = w.steps.iter().map(|s| s.drop).sum();
            assert!((w.from - lost - w.at_load).abs() < 1e-3, "{boat}: {} {lost}", w.load);
            assert!((w.steps.last().unwrap().left - w.at_load).abs() < 1e-3, "{boat}: {}", w.load);
        }
        // Of the drop limits alone: no load that is not drawn uses more than the least used of those drawn.
        let used = |load: &str| {
            let of = design.boat.loads.iter().position(|l| l.id == load).unwrap();
            let w = design.network.waterfalls.iter().find(|w| w.load == of)?;
            let r = design.load(load)?;
            let limit = (w.from - w.at_load).si() / (r.limit.si() * r.nominal.si());
            let least = design.boat.loads[of].minimum.map_or(f64::NEG_INFINITY, Quantity::si);
            Some(limit.max((w.from - w.at_load).si() / (w.from.si() - least)))
        };
        let least = drawn.iter().filter_map(|w| used(&w.load)).fold(f64::INFINITY, f64::min);
        for load in design.boat.loads.iter().filter(|l| drawn.iter().all(|w| w.load != l.id)) {
            assert!(used(&load.id).is_none_or(|u| u <= least + 1e-9), "{boat}: {}", load.id);
        }
    }
}

#[test]
fn one_row_for_each_dip_and_none_worse_left_out() {
    for (boat, design, view) in BOATS.iter() {
        let drawn = &view.network.dips;
        let mut causes: Vec<_> = design.network.dips.iter().map(|d| (d.cause, d.state)).collect();
        causes.dedup();
        assert_eq!(drawn.len(), causes.len(), "{boat}");
        // Whatever drops out by a start is told in the row of that start.
        for dip in &design.network.dips {
            let Some(least) = design.boat.loads[dip.victim].minimum else { continue };
            let out = dip.during.is_none_or(|v| v < least);
            let felt = dip.during.is_none_or(|v| v.si() < dip.before.si() - 0.005);
            let cause = &design.boat.loads[dip.cause].id;
            let row = drawn.iter().find(|d| d.cause == *cause && d.state == dip.state.word()).unwrap();
            assert!(!(out && felt) || row.short, "{boat}: {row:?}");
        }
    }
    // Nearly all starts of the large boat are felt by one that states a minimum, and none puts it out.
    let big = network("big");
    let judged = big.dips.iter().filter(|d| d.verdict.starts_with("stays on")).count();
    assert!(judged * 2 > big.dips.len() && judged > 5, "{judged} of {}", big.dips.len());
    for dip in &big.dips {
        assert_eq!(dip.minimum.is_none(), dip.verdict == "not to be judged", "{dip:?}");
    }
}

#[test]
fn a_start_that_puts_something_out_is_marked() {
    // The macerator pulls the forward panel far down; the lights beside it are given a minimum just above that.
    let text = DUNLIN.replacen("[load.F3]\n", "[load.F3]\nminimum = \"22 V\"\n", 1);
    assert_ne!(text, DUNLIN);
    let design = design(&text);
    let dips = view(&design, None).network.dips;
    let row = dips.iter().find(|d| d.cause == "F5").unwrap();
    assert!(row.short && row.victim == "F3" && row.verdict.starts_with("drops out"), "{row:?}");
    assert!(dips[0].short, "the worst stands first");
    assert!(html::report(&view(&design, None)).unwrap().contains("<span class=\"no\">drops out"));
}

#[test]
fn fault_currents_are_those_of_the_network() {
    for (boat, design, view) in BOATS.iter() {
        let drawn = &view.network.faults;
        assert_eq!(drawn.nodes.len(), design.network.nodes.len(), "{boat}");
        assert_eq!(drawn.devices.len(), design.circuits.len(), "{boat}");
        for (row, node) in drawn.nodes.iter().zip(0..) {
            let total = design.network.level(node).unwrap().total;
            let text = |i: Option<_>| i.map_or_else(|| "not known".into(), pretty::show);
            assert_eq!((&row.low, &row.high), (&text(total.low()), &text(total.high())), "{boat}");
        }
        for (row, fault) in drawn.devices.iter().zip(&design.network.devices) {
            assert_eq!(row.id, fault.circuit);
            let sized = design.circuit(&row.id).unwrap();
            let can = sized.device.as_ref().map(|d| d.breaking_capacity().unwrap_or(amperes(0.0)));
            let enough =
                fault.through.high().zip(can).map(|(must, can)| must.si() <= can.si() * (1.0 + 1e-9));
            assert_eq!(row.enough, enough, "{boat}: {row:?}");
            let notes = drawn.notes.len();
            assert!(row.notes.iter().all(|n| (1..=notes).contains(n)), "{boat}: {row:?}");
        }
    }
    // A bank of whose resistance and links nothing is known: no number is made up.
    let unknown = |l: &&str| !["string_resistance", "link = ", "parts = "].iter().any(|k| l.starts_with(k));
    let text: Vec<&str> = DUNLIN.lines().filter(unknown).collect();
    let faults = view(&design(&text.join("\n")), None).network.faults;
    let bank = faults.nodes.iter().find(|n| n.id == "BANK").unwrap();
    assert!(bank.low == "not known" || bank.high == "not known", "{bank:?}");
}

#[test]
fn one_chart_for_each_feeder_with_its_largest_device() {
    for (boat, design, view) in BOATS.iter() {
        let drawn = &view.network.coordination;
        let mut feeders: Vec<&str> =
            drawn.charts.iter().map(|c| c.bands[c.bands.len() - 2].id.as_str()).collect();
        let count = feeders.len();
        feeders.dedup();
        assert_eq!(feeders.len(), count, "{boat}");
        for chart in &drawn.charts {
            let [.., up, down] = chart.bands.as_slice() else { panic!("{boat}: {chart:?}") };
            let id = |c: &str| format!("circuit.{c}");
            let pair = design.network.selectivity.pair(&id(&up.id), &id(&down.id)).unwrap();
            assert_eq!(chart.low, pair.fault.low().map(Quantity::si), "{boat}");
            assert_eq!(chart.high, pair.fault.high().map(Quantity::si), "{boat}");
            let rating = |id: &str| design.circuit(id).unwrap().device.as_ref().unwrap().rating();
            let panel = design.boat.circuits.iter().find(|c| c.id == down.id).map(|c| &c.from);
            let beside = design.boat.circuits.iter().filter(|c| Some(&c.from) == panel);
            for other in beside.filter(|c| design.network.selectivity.pair(&id(&up.id), &id(&c.id)).is_some())
            {
                assert!(rating(&other.id) <= rating(&down.id), "{boat}: {} behind {}", other.id, up.id);
            }
        }
    }
    // Dunlin: the main, the always-on panel, and the three panels behind the main bus.
    let charts = &network("dunlin").coordination.charts;
    let feeders: Vec<&str> = charts.iter().map(|c| c.bands[c.bands.len() - 2].id.as_str()).collect();
    assert_eq!(feeders, ["MAIN", "ALWAYS", "HLM", "FWD", "AFT"]);
}

#[test]
fn every_pair_of_devices_in_one_row() {
    for (boat, design, view) in BOATS.iter() {
        let drawn = &view.network.coordination.pairs;
        for pair in &design.network.selectivity.pairs {
            let name = |id: &str| id.trim_start_matches("circuit.").to_string();
            let (up, down) = (name(&pair.upstream), name(&pair.downstream));
            let rows: Vec<_> =
                drawn.iter().filter(|r| r.upstream == up && r.downstream.contains(&down)).collect();
            assert_eq!(rows.len(), 1, "{boat}: {up} over {down}");
            let verdict = match (pair.at_low, pair.at_high) {
                (_, Some(true)) => "selective",
                (Some(false), _) | (_, Some(false)) => "not selective",
                (_, None) if pair.fault.high().is_some() => "not decided",
                (_, None) => "not known",
            };
            assert_eq!(rows[0].verdict, verdict, "{boat}: {up} over {down}");
            assert_eq!(rows[0].fails, verdict == "not selective");
        }
        let all: usize = drawn.iter().map(|r| r.downstream.len()).sum();
        assert_eq!(all, design.network.selectivity.pairs.len(), "{boat}");
    }
}

#[test]
fn a_bar_for_each_circuit_in_the_order_of_protection() {
    for (boat, design, view) in BOATS.iter() {
        let drawn = &view.network.coordination.bars;
        assert_eq!(drawn.len(), design.circuits.len(), "{boat}");
        for (bar, sized) in drawn.iter().zip(&design.circuits) {
            assert_eq!(bar.rating, sized.device.as_ref().map(|d| d.rating().si()), "{boat}: {}", bar.id);
            if bar.wrong.is_empty() && bar.rating.is_some() {
                // From left to right as the legend says.
                let places = [bar.design, bar.rating, bar.breaking].map(|x| x.unwrap_or(f64::NAN));
                assert!(places[0] < places[1] && places[1] < places[2], "{boat}: {bar:?}");
                assert!(bar.high.is_none_or(|h| h <= places[2] * (1.0 + 1e-9)), "{boat}: {bar:?}");
                let opens = bar.opens.zip(bar.low);
                assert!(opens.is_none_or(|(o, l)| o <= l * (1.0 + 1e-9)), "{boat}: {bar:?}");
            }
        }
    }
}

#[test]
fn failures_and_copper_are_those_of_the_design() {
    for (boat, design, view) in BOATS.iter() {
        let drawn = &view.network;
        let f = &drawn.failures;
        assert_eq!(f.rows.len() + f.harmless.len() + f.others, design.network.failures.len(), "{boat}");
        let worst = design
            .network
            .failures
            .iter()
            .map(|x| x.dark.iter().filter(|l| design.boat.loads[**l].essential).count());
        assert_eq!(f.rows.first().map_or(0, |r| r.essential.len()), worst.max().unwrap(), "{boat}");
        let copper = drawn.copper.as_ref().unwrap();
        assert_eq!(copper.by_split, pretty::show(design.copper.by_split), "{boat}");
        assert_eq!(copper.by_least, pretty::show(design.copper.by_least), "{boat}");
        let differ = design.copper.circuits.iter().filter(|c| c.split != c.least).count();
        assert_eq!(copper.rows.len(), differ, "{boat}");
        let proven = design.copper.gap.is_some_and(|g| g.si() < 5e-4);
        assert_eq!(copper.proof.starts_with("Proven"), proven, "{boat}");
    }
}

#[test]
fn hostile_names_are_only_text() {
    let bad = "<script>alert('1')</script>\"]]>&amp;\u{0}\u{1b}\n</style>{{ v }}";
    let mut view = BOATS[0].2.clone();
    let n = &mut view.network;
    n.places[0].name = bad.into();
    n.loads[0].name = bad.into();
    n.waterfalls[0].name = bad.into();
    n.dips[0].cause_name = bad.into();
    n.faults.nodes[0].name = bad.into();
    n.faults.devices[0].device = bad.into();
    n.faults.notes[0] = bad.into();
    n.coordination.charts[0].title = bad.into();
    n.coordination.charts[0].bands[0].name = bad.into();
    n.coordination.bars[0].name = bad.into();
    n.coordination.bars[0].wrong = vec![bad.into()];
    n.coordination.pairs[0].why = bad.into();
    n.failures.rows[0].part = bad.into();
    n.failures.harmless = vec![bad.into()];
    n.copper.as_mut().unwrap().rows[0].name = bad.into();
    let page = html::report(&view).unwrap();
    assert!(!page.contains("<script") && !page.contains("{{ v }}</td><td><"));
    let (small, sheets) = drawings(&view);
    check(&small);
    for sheet in small.iter().chain(&sheets) {
        roxmltree::Document::parse(&sheet.file(bad, A4)).unwrap();
    }
}
