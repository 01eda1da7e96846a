//! Which device opens, and whether it can: charts, bars, and the list of devices in series.

use super::{circuit, device, words};
use crate::pretty;
use crate::view::{Band, Bar, Chart, Coordination, Pair};
use orlop::protection::{Edge, ProtectableWindow, Selectivity};
use orlop_boat::Design;
use orlop_boat::design::SizedCircuit;
use orlop_units::{Current, Quantity, amperes};

/// Bands on one chart at most; those nearest the fault.
const BANDS: usize = 4;

pub(super) fn coordination(design: &Design) -> Coordination {
    Coordination { charts: charts(design), bars: bars(design), pairs: pairs(design) }
}

/// One chart for each device that others stand directly behind, with the largest of these.
fn charts(design: &Design) -> Vec<Chart> {
    let pairs = &design.network.selectivity.pairs;
    // Of several upstream devices the nearest is behind all the others.
    let depth = |id: &str| pairs.iter().filter(|p| p.downstream == id).count();
    let nearest = |down: &str| {
        let up = pairs.iter().filter(|p| p.downstream == down);
        up.max_by_key(|p| depth(&p.upstream))
    };
    let feeders = design.boat.circuits.iter().map(|c| format!("circuit.{}", c.id));
    feeders
        .filter_map(|feeder| {
            let behind = design.network.selectivity.ids.iter().filter_map(|id| nearest(id));
            let largest = behind
                .filter(|p| p.upstream == feeder)
                .map(|p| (p, rating(design, &p.downstream)))
                .reduce(|best, next| if next.1 > best.1 { next } else { best });
            largest.map(|(pair, _)| chart(design, pair, &nearest))
        })
        .collect()
}

fn sized<'a>(design: &'a Design, id: &str) -> Option<&'a SizedCircuit> {
    design.circuit(id.strip_prefix("circuit.").unwrap_or(id))
}

fn rating(design: &Design, id: &str) -> f64 {
    sized(design, id).and_then(|c| c.device.as_ref()).map_or(0.0, |d| d.rating().si())
}

fn chart<'a>(
    design: &Design,
    pair: &Selectivity,
    nearest: &dyn Fn(&str) -> Option<&'a Selectivity>,
) -> Chart {
    let mut ids = vec![pair.downstream.as_str(), pair.upstream.as_str()];
    while let Some(up) = nearest(ids[ids.len() - 1]).filter(|_| ids.len() < BANDS) {
        ids.push(&up.upstream);
    }
    ids.reverse();
    let most = ids.iter().map(|id| rating(design, id)).fold(0.0, f64::max) * 1000.0;
    let up_to = pair.fault.high().map_or(most, |h| most.max(h.si() * 2.0));
    let (up, down) = (circuit(&design.boat, &pair.upstream), circuit(&design.boat, &pair.downstream));
    Chart {
        title: format!("Behind {}: its largest device, {}", words::named(&up.0, &up.1), down.0),
        bands: ids.iter().filter_map(|id| band(design, id, amperes(up_to))).collect(),
        low: pair.fault.low().map(Quantity::si),
        high: pair.fault.high().map(Quantity::si),
        verdict: words::sentence(&pair.why),
    }
}

fn band(design: &Design, id: &str, up_to: Current) -> Option<Band> {
    let own = sized(design, id)?.device.as_ref()?;
    let points = own.band_points(up_to).ok()?;
    let plain = |list: &[(Current, orlop_units::Time)]| list.iter().map(|(i, t)| (i.si(), t.si())).collect();
    let (id, name) = circuit(&design.boat, id);
    Some(Band {
        device: device(design, &id),
        id,
        name,
        trust: own.confidence().into(),
        fastest: plain(&points.fastest),
        slowest: plain(&points.slowest),
    })
}

fn bars(design: &Design) -> Vec<Bar> {
    design.circuits.iter().map(|c| bar(design, c)).collect()
}

fn bar(design: &Design, sized: &SizedCircuit) -> Bar {
    let (id, name) = circuit(&design.boat, &sized.id);
    let none = sized.device.is_none() && !sized.device_problems.is_empty();
    let wrong = none.then(|| "No device fits: see the findings.".to_string()).into_iter().collect();
    let bare = Bar { device: device(design, &id), id, name, wrong, ..Bar::default() };
    let Some(need) = &sized.need else { return bare };
    let known = |i: Current| Some(i.si()).filter(|a| *a > 0.0);
    let bare = Bar {
        design: known(need.design),
        low: need.fault_low.and_then(known),
        high: need.fault_high.and_then(known),
        held: need.inrush.iter().filter_map(|(i, _)| known(*i)).collect(),
        ..bare
    };
    let window = sized.device.as_ref().and_then(|d| ProtectableWindow::of_device(need, d).ok());
    let Some(window) = window else { return bare };
    let at = |edge: Edge| window.marks.iter().find(|m| m.edge == edge).and_then(|m| known(m.at));
    let fits = window.window();
    Bar {
        fits: known(fits.lowest).zip(known(fits.highest)),
        rating: at(Edge::Rating),
        opens: at(Edge::Opens),
        low: at(Edge::FaultLow),
        breaking: at(Edge::Breaking),
        wrong: window.crossings.iter().map(|c| words::sentence(&c.to_string())).collect(),
        ..bare
    }
}

/// Devices in series: those behind one device that behave alike stand in one row; the worst first.
fn pairs(design: &Design) -> Vec<Pair> {
    struct Group<'a> {
        first: &'a Selectivity,
        verdict: &'static str,
        why: String,
        up_to: String,
        all: Vec<&'a Selectivity>,
    }
    let mut groups: Vec<Group> = Vec::new();
    for pair in &design.network.selectivity.pairs {
        let verdict = verdict(pair);
        let (why, up_to) = (why(pair, verdict), up_to(pair, verdict));
        let same = |g: &&mut Group| {
            let of = g.first;
            of.upstream == pair.upstream && g.verdict == verdict && g.why == why && g.up_to == up_to
        };
        match groups.iter_mut().find(same) {
            Some(group) => group.all.push(pair),
            None => groups.push(Group { first: pair, verdict, why, up_to, all: vec![pair] }),
        }
    }
    groups.sort_by_key(|g| ORDER.iter().position(|v| *v == g.verdict));
    let rows = groups.into_iter().map(|g| Pair {
        upstream: circuit(&design.boat, &g.first.upstream).0,
        downstream: g.all.iter().map(|p| circuit(&design.boat, &p.downstream).0).collect(),
        fault: span(g.all.iter().map(|p| p.fault.high())),
        up_to: g.up_to,
        verdict: g.verdict,
        fails: g.verdict == FAILS,
        why: g.why,
        trust: g.all.iter().map(|p| p.confidence).max().unwrap_or(g.first.confidence).into(),
    });
    rows.collect()
}

const SELECTIVE: &str = "selective";
const UNDECIDED: &str = "not decided";
const UNKNOWN: &str = "not known";
const FAILS: &str = "not selective";
const ORDER: [&str; 4] = [FAILS, UNKNOWN, UNDECIDED, SELECTIVE];

fn up_to(pair: &Selectivity, verdict: &str) -> String {
    if verdict == SELECTIVE {
        return "every current".into();
    }
    pair.up_to.map_or_else(|| "no current".into(), pretty::show)
}

/// The reason; where it is decided up to a current, only what is said of larger ones.
fn why(pair: &Selectivity, verdict: &str) -> String {
    match verdict {
        SELECTIVE => String::new(),
        UNDECIDED => words::sentence(pair.why.split_once("; ").map_or(pair.why.as_str(), |(_, rest)| rest)),
        _ => words::sentence(&pair.why),
    }
}

/// As the judgement of the pair has it.
fn verdict(pair: &Selectivity) -> &'static str {
    match (pair.at_low, pair.at_high) {
        (_, Some(true)) => SELECTIVE,
        (Some(false), _) | (_, Some(false)) => FAILS,
        (_, None) if pair.fault.high().is_none() => UNKNOWN,
        (_, None) => UNDECIDED,
    }
}

/// From the least to the most of several currents.
fn span(all: impl Iterator<Item = Option<Current>> + Clone) -> String {
    let missing = all.clone().any(|i| i.is_none());
    let ends =
        all.flatten().map(Quantity::si).fold((f64::INFINITY, 0.0_f64), |(a, b), i| (a.min(i), b.max(i)));
    if missing || !ends.0.is_finite() {
        return "not known".into();
    }
    let (low, high) = (pretty::show(amperes(ends.0)), pretty::show(amperes(ends.1)));
    if low == high { low } else { format!("{low} to {high}") }
}
