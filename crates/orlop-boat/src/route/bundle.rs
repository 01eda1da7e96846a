//! How many current-carrying conductors lie together with those of a circuit.
//!
//! Conductors lie together in one trunk, and in two trunks where these run beside each other, unless one of them is
//! kept apart. Counted are those that carry current in the scenario in which the circuit itself carries most.

use super::geometry::beside;
use super::way::{Line, Way};
use crate::demand::{CaseKind, CircuitDemand, Demand};
use crate::model::{Boat, Circuit, Point};
use orlop_units::Quantity;
use std::collections::{BTreeMap, BTreeSet};

/// Trunks nearer than this to each other, m, lie beside each other where they are parallel.
///
/// A choice of this program: within the width of a few cables warm air of one reaches the other.
pub const BESIDE: f64 = 0.05;

/// Trunks count as parallel up to this sine of the angle between them, that of 5 degrees: two that leave a common
/// corner at this angle are [`BESIDE`] apart after about 0.6 m.
pub const PARALLEL: f64 = 0.087_155_742_747_658_17;

/// A shorter stretch is no bundle, m.
const STRETCH: f64 = 1e-6;

/// Two currents this near to each other, relatively, are equal.
const EQUAL: f64 = 1e-9;

/// What lies together with one circuit.
#[derive(Clone, Debug)]
pub(super) struct Bundle {
    pub count: u32,
    pub place: String,
    pub scenario: String,
    /// The trunk and the distance along it.
    pub at: Option<(usize, f64)>,
}

/// Circuits that take the same stretch of one trunk, or the conductors of the trunk that are not in the file.
struct Strand {
    line: usize,
    low: f64,
    high: f64,
    circuits: Vec<usize>,
    others: u32,
}

/// Strands that lie along a trunk, each from one distance to another: its own, and those of trunks beside it.
pub(super) struct Bed {
    strands: Vec<Strand>,
    along: Vec<Vec<(f64, f64, usize)>>,
}

impl Bed {
    pub fn new(lines: &[Line], ways: &[Option<Way>]) -> Self {
        let mut stretches: BTreeMap<(usize, u64, u64), Vec<usize>> = BTreeMap::new();
        for (circuit, way) in ways.iter().enumerate() {
            for portion in way.iter().flat_map(|w| &w.portions) {
                let (low, high) = portion.ends();
                stretches.entry((portion.line, low.to_bits(), high.to_bits())).or_default().push(circuit);
            }
        }
        let taken = stretches.into_iter().map(|((line, low, high), circuits)| {
            let (low, high) = (f64::from_bits(low), f64::from_bits(high));
            Strand { line, low, high, circuits, others: 0 }
        });
        let others = lines.iter().enumerate().filter(|(_, l)| l.trunk.others > 0).map(|(line, l)| Strand {
            line,
            low: 0.0,
            high: l.length(),
            circuits: Vec::new(),
            others: l.trunk.others,
        });
        let strands: Vec<Strand> = taken.chain(others).collect();
        let mut along: Vec<Vec<(f64, f64, usize)>> = vec![Vec::new(); lines.len()];
        for (number, strand) in strands.iter().enumerate() {
            along[strand.line].push((strand.low, strand.high, number));
        }
        let mut bed = Self { strands, along };
        bed.neighbours(lines);
        bed
    }

    /// Finds what lies beside each trunk that is in use.
    fn neighbours(&mut self, lines: &[Line]) {
        let mut pieces: Vec<(f64, f64, usize, Point, Point)> = Vec::new();
        for (number, strand) in self.strands.iter().enumerate().filter(|(_, s)| !lines[s.line].trunk.apart) {
            let line = &lines[strand.line];
            for pair in line.at.windows(2) {
                let (low, high) = (pair[0].max(strand.low), pair[1].min(strand.high));
                if high > low {
                    let (c, d) = (line.point(low), line.point(high));
                    pieces.push((c.x.min(d.x), c.x.max(d.x), number, c, d));
                }
            }
        }
        pieces.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.2.cmp(&b.2)));
        for (number, line) in lines.iter().enumerate() {
            if line.trunk.apart || self.along[number].is_empty() {
                continue;
            }
            for (i, pair) in line.trunk.points.windows(2).enumerate() {
                let (a, b) = (pair[0], pair[1]);
                let (least, most) = (a.x.min(b.x) - BESIDE, a.x.max(b.x) + BESIDE);
                let near = &pieces[..pieces.partition_point(|p| p.0 <= most)];
                for (_, _, strand, c, d) in near.iter().filter(|p| p.1 >= least) {
                    if self.strands[*strand].line == number {
                        continue;
                    }
                    if let Some((low, high)) = beside(a, b, *c, *d, BESIDE, PARALLEL)
                        && high - low > STRETCH
                    {
                        self.along[number].push((line.at[i] + low, line.at[i] + high, *strand));
                    }
                }
            }
        }
    }

    /// The circuits that lie together at a distance along a trunk, and the conductors that are not in the file.
    pub fn content(&self, line: usize, at: f64) -> (BTreeSet<usize>, u32) {
        let here: BTreeSet<usize> =
            self.along[line].iter().filter(|(low, high, _)| *low <= at && at <= *high).map(|x| x.2).collect();
        let strands = || here.iter().map(|s| &self.strands[*s]);
        (strands().flat_map(|s| s.circuits.iter().copied()).collect(), strands().map(|s| s.others).sum())
    }
}

/// In which scenarios a circuit carries current, and in which of them the most.
struct Carries {
    all: Vec<usize>,
    /// Empty when the most is in no scenario of the file.
    most: Vec<usize>,
}

fn carries(demand: &CircuitDemand, number: &BTreeMap<&str, usize>) -> Carries {
    let most = demand.in_scenario.iter().map(|(_, i)| i.si()).fold(0.0, f64::max);
    let scenarios = demand.in_scenario.iter().filter_map(|(id, i)| Some((*number.get(id.as_str())?, i.si())));
    let all: Vec<(usize, f64)> = scenarios.collect();
    Carries {
        most: all.iter().filter(|(_, i)| *i >= most * (1.0 - EQUAL)).map(|(case, _)| *case).collect(),
        all: all.into_iter().map(|(case, _)| case).collect(),
    }
}

/// Conductors of a circuit alone.
fn own(circuit: &Circuit) -> u32 {
    circuit.runs.max(1).saturating_mul(2)
}

/// What lies together in the sweep along one trunk.
struct Count<'a> {
    boat: &'a Boat,
    carries: &'a [Carries],
    /// Conductors with current by scenario; all conductors; those that are not in the file.
    by_case: Vec<u32>,
    all: u32,
    others: u32,
    /// How often a circuit lies here; it counts once.
    times: Vec<u32>,
}

impl Count<'_> {
    fn enter(&mut self, strand: &Strand) {
        self.others += strand.others;
        for circuit in &strand.circuits {
            self.times[*circuit] += 1;
            if self.times[*circuit] == 1 {
                let own = own(&self.boat.circuits[*circuit]);
                self.all += own;
                for case in &self.carries[*circuit].all {
                    self.by_case[*case] += own;
                }
            }
        }
    }
    fn leave(&mut self, strand: &Strand) {
        self.others -= strand.others;
        for circuit in &strand.circuits {
            self.times[*circuit] -= 1;
            if self.times[*circuit] == 0 {
                let own = own(&self.boat.circuits[*circuit]);
                self.all -= own;
                for case in &self.carries[*circuit].all {
                    self.by_case[*case] -= own;
                }
            }
        }
    }
    /// Conductors that count for a circuit here, and the scenario; none stands for all circuits.
    fn of(&self, circuit: usize) -> (u32, Option<usize>) {
        let mut best: Option<(u32, usize)> = None;
        for case in &self.carries[circuit].most {
            if best.is_none_or(|(count, _)| self.by_case[*case] > count) {
                best = Some((self.by_case[*case], *case));
            }
        }
        best.map_or((self.all + self.others, None), |(count, case)| (count + self.others, Some(case)))
    }
}

/// The worst bundle of each circuit.
pub(super) fn count(boat: &Boat, demand: &Demand, lines: &[Line], ways: &[Option<Way>]) -> Vec<Bundle> {
    let number: BTreeMap<&str, usize> = demand
        .cases
        .iter()
        .enumerate()
        .filter(|(_, c)| c.kind == CaseKind::Scenario)
        .map(|(at, c)| (c.id.as_str(), at))
        .collect();
    let carries: Vec<Carries> = demand.circuits.iter().map(|d| carries(d, &number)).collect();
    let name = |case: Option<usize>| match case {
        Some(case) => demand.cases[case].id.clone(),
        None => "every circuit".to_string(),
    };
    let mut out: Vec<Bundle> = boat
        .circuits
        .iter()
        .zip(&carries)
        .map(|(circuit, carries)| Bundle {
            count: own(circuit),
            place: "its own conductors only, in no trunk".into(),
            scenario: name(carries.most.first().copied()),
            at: None,
        })
        .collect();
    let bed = Bed::new(lines, ways);
    let mut order: Vec<usize> = (0..lines.len()).collect();
    order.sort_by(|a, b| lines[*a].trunk.id.cmp(&lines[*b].trunk.id));
    let mut count = Count {
        boat,
        carries: &carries,
        by_case: vec![0; demand.cases.len()],
        all: 0,
        others: 0,
        times: vec![0; boat.circuits.len()],
    };
    for line in order {
        sweep(&bed, line, &mut count, |circuit, (low, high), (most, case)| {
            let best = &mut out[circuit];
            if best.at.is_none() || most > best.count {
                let corners = &lines[line].at;
                let before = corners.partition_point(|c| *c <= low + STRETCH);
                let after = corners.partition_point(|c| *c < high - STRETCH) + 1;
                best.count = most;
                best.at = Some((line, 0.5 * (low + high)));
                best.place = format!("trunk {}, corners {before} to {after}", lines[line].trunk.id);
                best.scenario = name(case);
            }
        });
    }
    for (best, circuit) in out.iter_mut().zip(&boat.circuits) {
        if let Some(stated) = circuit.bundled {
            *best = Bundle {
                count: stated,
                place: "as the boat file states".into(),
                scenario: "as the boat file states".into(),
                at: None,
            };
        }
    }
    out
}

/// Goes along one trunk and tells, for each stretch with the same content, what each of its own circuits meets.
fn sweep(
    bed: &Bed,
    line: usize,
    count: &mut Count,
    mut tell: impl FnMut(usize, (f64, f64), (u32, Option<usize>)),
) {
    let mut events: Vec<(f64, bool, usize)> = Vec::new();
    for (low, high, strand) in &bed.along[line] {
        events.extend([(*low, true, *strand), (*high, false, *strand)]);
    }
    events.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)).then(a.2.cmp(&b.2)));
    // A strand that turns a corner comes in parts, which rounding may let overlap.
    let mut here: BTreeMap<usize, i32> = BTreeMap::new();
    for (at, (s, enters, strand)) in events.iter().enumerate() {
        let times = here.entry(*strand).or_default();
        let before = *times;
        *times += if *enters { 1 } else { -1 };
        match (before, *times) {
            (0, 1) => count.enter(&bed.strands[*strand]),
            (1, 0) => {
                count.leave(&bed.strands[*strand]);
                here.remove(strand);
            }
            _ => {}
        }
        let Some((next, ..)) = events.get(at + 1).filter(|(next, ..)| next - s > STRETCH) else { continue };
        for (own, _) in here.iter().filter(|(own, _)| bed.strands[**own].line == line) {
            for circuit in &bed.strands[*own].circuits {
                tell(*circuit, (*s, *next), count.of(*circuit));
            }
        }
    }
}
