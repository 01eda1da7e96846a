//! One question per circuit that no chosen size can change.

use crate::demand::Demand;
use crate::design::Told;
use crate::model::{Boat, Circuit, Feeds, SourceKind};
use crate::route::Routes;
use orlop::circuit::{CircuitQuestion, Supply};
use orlop::conductor::Material;
use orlop::protection::{Device, families, family};
use orlop::rules::DropClass;
use orlop::{Error, Range};
use orlop_units::{Current, Fraction, Quantity, Resistance, Temperature, Voltage, amperes, ohms, volts};

/// One circuit as a segment of the feed tree.
#[derive(Clone)]
pub(crate) struct Segment<'a> {
    pub circuit: &'a Circuit,
    /// The segment it hangs on; none for those that start at a bank or converter.
    pub parent: Option<usize>,
    /// Everything but the budget and what lies before it.
    pub question: CircuitQuestion,
    /// `length x sqrt(current)`: its weight when a drop is shared.
    pub weight: f64,
    /// Volts that the file permits a feeder by itself.
    pub own_limit: Option<f64>,
    /// The case of its design current.
    pub case: String,
    /// Where the fault current comes from.
    pub root: Root,
}

/// The source at the root of a segment's tree.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Root {
    pub lowest: Voltage,
    pub highest: Voltage,
    /// Upper fault current with no cable.
    pub high: Option<Current>,
    /// Highest resistance of the source.
    pub resistance: Option<Resistance>,
    /// Most it delivers, when it limits itself.
    pub limit: Option<Current>,
}

/// One load, the circuits to it, and what flows in them in each scenario that has it on.
#[derive(Clone)]
pub(crate) struct LoadPath {
    pub load: String,
    /// Segments from the root to the load.
    pub segments: Vec<usize>,
    /// Volts that sizing may use on the whole path: what is permitted, or less where the network showed that it must be less.
    pub permitted: f64,
    pub limit: Fraction,
    pub nominal: Voltage,
    /// Scenario and current in each segment (of each run).
    pub scenarios: Vec<(String, Vec<f64>)>,
}

impl LoadPath {
    /// Largest current in one segment of the path while the load is on.
    pub fn peak_current(&self, at: usize) -> f64 {
        self.scenarios.iter().map(|(_, currents)| currents[at]).fold(0.0, f64::max)
    }
}

#[derive(Clone)]
pub(crate) struct Envelope<'a> {
    pub segments: Vec<Segment<'a>>,
    /// Segments, each after its parent.
    pub order: Vec<usize>,
    pub loads: Vec<LoadPath>,
    /// Highest fault current through the device of each segment, where a network has told it: less than that of the whole bank.
    pub breaks: Vec<Option<Current>>,
    /// For each segment: the loads behind it and the place of the segment in their path.
    behind: Vec<Vec<(usize, usize)>>,
}

impl<'a> Envelope<'a> {
    pub fn of(boat: &'a Boat, routes: &Routes, demand: &Demand) -> Result<Self, Error> {
        let mut segments = Vec::with_capacity(boat.circuits.len());
        for circuit in &boat.circuits {
            segments.push(segment(boat, circuit, routes, demand)?);
        }
        for segment in &mut segments {
            let way = demand.tree.path_to_root(&segment.circuit.id);
            segment.parent = way.get(1).and_then(|id| boat.circuits.iter().position(|c| c.id == *id));
        }
        let path_of = |at: usize| {
            let mut path = vec![at];
            path.extend(std::iter::successors(segments[at].parent, |&s| segments[s].parent));
            path.reverse();
            path
        };
        let mut order: Vec<usize> = (0..segments.len()).collect();
        order.sort_by_key(|&at| path_of(at).len());
        let mut loads = Vec::new();
        for load in &boat.loads {
            let Some(last) = boat
                .circuits
                .iter()
                .position(|c| matches!(&c.feeds, Feeds::Loads(ids) if ids.contains(&load.id)))
            else {
                continue;
            };
            let path = path_of(last);
            let nominal = nominal_of(boat, &segments[path[0]].circuit.from);
            let growth = 1.0 + boat.growth.value();
            let limit = drop_limit(boat, load, &boat.circuits[last]);
            let in_case = |case: &str| -> Vec<f64> {
                let of = |&s: &usize| {
                    let circuit = demand.circuit(&segments[s].circuit.id);
                    circuit.map_or(0.0, |c| c.share(c.current_in(case)).si() * growth)
                };
                path.iter().map(of).collect()
            };
            let cases = demand.load(&load.id).map_or(&[][..], |l| &l.cases);
            let scenarios = cases.iter().map(|(case, _)| (case.clone(), in_case(case))).collect();
            loads.push(LoadPath {
                load: load.id.clone(),
                permitted: nominal.si() * limit.value(),
                limit,
                nominal,
                segments: path,
                scenarios,
            });
        }
        let mut behind = vec![Vec::new(); segments.len()];
        for (l, load) in loads.iter().enumerate() {
            for (at, s) in load.segments.iter().enumerate() {
                behind[*s].push((l, at));
            }
        }
        let breaks = vec![None; segments.len()];
        Ok(Self { segments, order, loads, breaks, behind })
    }

    /// The envelope of a design, with what its network told.
    ///
    /// # Errors
    /// As [`Self::of`].
    pub fn again(design: &'a crate::design::Design) -> Result<Self, Error> {
        let mut envelope = Self::of(&design.boat, &design.routes, &design.demand)?;
        envelope.tell(&design.told);
        Ok(envelope)
    }

    /// Takes over what a network has told.
    pub fn tell(&mut self, told: &Told) {
        self.breaks.clone_from(&told.breaks);
        for (path, permitted) in self.loads.iter_mut().zip(&told.permitted) {
            path.permitted = *permitted;
        }
        for (segment, families) in self.segments.iter_mut().zip(&told.families) {
            segment.question.families.clone_from(families);
        }
    }

    /// What the network has told so far.
    pub fn told(&self) -> Told {
        let permitted = self.loads.iter().map(|l| l.permitted).collect();
        let families = self.segments.iter().map(|s| s.question.families.clone()).collect();
        Told { breaks: self.breaks.clone(), permitted, families }
    }

    /// The loads behind a segment, with the segment's place in their paths.
    pub fn behind(&self, segment: usize) -> impl Iterator<Item = (&LoadPath, usize)> {
        self.behind[segment].iter().map(|(l, at)| (&self.loads[*l], *at))
    }

    /// What stands behind a segment, given the resistance of all circuits before it at their hottest.
    ///
    /// Of a fault where several runs end, each of them carries its share.
    pub fn supply(&self, segment: usize, before: Resistance) -> Supply {
        let Segment { root, circuit, .. } = &self.segments[segment];
        let runs = f64::from(circuit.runs);
        let low = match root.limit {
            Some(limit) => Some(limit / runs),
            None => root.resistance.map(|r| root.lowest / ((r + before) * runs)),
        };
        let high = self.breaks[segment].or(root.high);
        Supply {
            // Both bounds are of a fault at one place: the lower one never above the upper one.
            fault: Range::from_bounds(low.map(|l| high.map_or(l, |h| l.min(h))), high),
            lowest: root.lowest,
            highest: root.highest,
            limit: root.limit.map(|limit| limit / runs),
        }
    }
}

fn segment<'a>(
    boat: &Boat,
    circuit: &'a Circuit,
    routes: &Routes,
    demand: &Demand,
) -> Result<Segment<'a>, Error> {
    let missing = |what: &str| Error::input(&format!("circuit.{}", circuit.id), "nothing", what);
    let route = routes.circuit(&circuit.id).ok_or_else(|| missing("a measured route"))?;
    let wanted = demand.circuit(&circuit.id).ok_or_else(|| missing("a current"))?;
    let mut q = CircuitQuestion::new(
        wanted.per_run(),
        route.one_way.there_and_back(),
        boat.rules,
        boat.sizes,
        // Filled in when the circuits before it are sized.
        Supply::nominal(boat.nominal)?,
    );
    q.options = boat.options;
    q.insulation = circuit.insulation.unwrap_or(boat.insulation);
    q.material = circuit.material.unwrap_or(boat.material);
    q.tinned = boat.tinned && q.material == Material::Copper;
    q.sheathed = circuit.sheathed;
    q.space = route.space_kind;
    q.ambient = Some(route.ambient);
    q.bundled = route.bundled;
    q.duty = circuit.duty;
    q.joints = boat.joint.high() * JOINTS;
    q.extra = circuit.extra_resistance.unwrap_or_else(|| ohms(0.0));
    q.families = circuit.families.clone().unwrap_or_else(|| boat.families.clone());
    q.device_ambient = device_ambient(boat, circuit);
    q.device_limits = device_limits(boat, circuit);
    q.exempt = circuit.cranking;
    // Starts, short peaks, and stalls of a stated brief time; a stall without a time is not to be held.
    q.inrush = wanted.short.iter().filter_map(|s| s.time.map(|t| (wanted.share(s.current), t))).collect();
    q.size = circuit.size;
    q.minimum_size = circuit.minimum_size;
    q.device = given_device(circuit, &q.families)?;
    let weight = (q.run.0.si() * q.current.si().sqrt()).max(1e-12);
    let feeder = !matches!(circuit.feeds, Feeds::Loads(_));
    let own_limit =
        circuit.max_drop.filter(|_| feeder).map(|share| share.value() * nominal_of(boat, &circuit.from).si());
    Ok(Segment {
        circuit,
        own_limit,
        parent: None,
        question: q,
        weight,
        case: wanted.case.clone(),
        root: root_of(boat, &circuit.from),
    })
}

/// Lugs of a circuit: two on each leg.
const JOINTS: f64 = 4.0;

fn given_device(circuit: &Circuit, allowed: &[String]) -> Result<Option<Device>, Error> {
    let Some((name, rating)) = &circuit.device else { return Ok(None) };
    if let Some(name) = name {
        return Device::new(name, *rating).map(Some);
    }
    let named = allowed.iter().filter_map(|id| family(id).ok());
    named.chain(families()).find_map(|f| Device::new(&f.id, *rating).ok()).map(Some).ok_or_else(|| {
        Error::input(
            &format!("circuit.{}.device", circuit.id),
            orlop_units::show(*rating),
            "a rating that some family of devices has",
        )
    })
}

fn drop_limit(boat: &Boat, load: &crate::model::Load, circuit: &Circuit) -> Fraction {
    let own = match load.drop_class {
        DropClass::Critical => boat.drop_limits.0,
        DropClass::General => boat.drop_limits.1,
    };
    load.max_drop.or(circuit.max_drop).or(own).unwrap_or_else(|| boat.rules.drop_limit(load.drop_class).value)
}

/// Nominal voltage of the tree that starts at a bank, panel or converter.
fn nominal_of(boat: &Boat, from: &str) -> Voltage {
    boat.source(from).and_then(|s| s.nominal).unwrap_or(boat.nominal)
}

/// Where the device of a circuit stands: the space of its beginning, unless the file names another.
pub(crate) fn device_space<'a>(boat: &'a Boat, circuit: &'a Circuit) -> Option<&'a str> {
    if let Some(space) = &circuit.device_space {
        return Some(space);
    }
    let place = boat
        .panel(&circuit.from)
        .and_then(|p| p.place.as_deref())
        .or_else(|| boat.bank(&circuit.from).map(|b| b.place.as_str()))
        .or_else(|| boat.source(&circuit.from).and_then(|s| s.place.as_deref()))?;
    boat.place(place).map(|p| p.space.as_str())
}

fn device_ambient(boat: &Boat, circuit: &Circuit) -> Option<Temperature> {
    device_space(boat, circuit).and_then(|id| boat.space(id)).map(|s| s.ambient)
}

fn device_limits(boat: &Boat, circuit: &Circuit) -> Vec<(String, Current)> {
    let mut limits = Vec::new();
    if let Some(rating) = boat.panel(&circuit.from).and_then(|p| p.rating) {
        limits.push((format!("bus of panel {}", circuit.from), rating));
    }
    match &circuit.feeds {
        Feeds::Panel(id) => {
            if let Some(rating) = boat.panel(id).and_then(|p| p.rating) {
                limits.push((format!("bus of panel {id}"), rating));
            }
        }
        Feeds::Loads(ids) => limits.extend(ids.iter().filter_map(|id| {
            boat.load(id)
                .and_then(|l| l.max_device)
                .map(|rating| (format!("most that load {id} allows"), rating))
        })),
        Feeds::Converter(_) | Feeds::Source(_) => {}
    }
    limits
}

fn root_of(boat: &Boat, from: &str) -> Root {
    if let Some(converter) = boat.source(from) {
        let voltage = converter.nominal.unwrap_or(boat.nominal);
        return Root {
            lowest: voltage,
            highest: voltage,
            high: Some(converter.rating),
            resistance: None,
            limit: Some(converter.rating),
        };
    }
    // A panel hangs on whatever feeds it.
    let feeder = boat.circuits.iter().find(|c| matches!(&c.feeds, Feeds::Panel(p) if p == from));
    if let Some(feeder) = feeder.filter(|_| boat.bank(from).is_none()) {
        return root_of(boat, &feeder.from);
    }
    let bank = boat.bank(from).or_else(|| boat.banks.first());
    let Some(bank) = bank else {
        return Root {
            lowest: boat.nominal,
            highest: boat.nominal,
            high: None,
            resistance: None,
            limit: None,
        };
    };
    // Upper: every string closed, highest voltage, sources charging at their limit. Lower: one string alone.
    let charging: f64 =
        boat.sources.iter().filter(|s| s.kind != SourceKind::Converter).map(|s| s.rating.si()).sum();
    let highest = volts(bank.highest.si().max(bank.open_circuit.map_or(0.0, Quantity::si)));
    Root {
        lowest: bank.lowest,
        highest,
        high: bank.string_low.map(|r| highest * f64::from(bank.strings) / r + amperes(charging)),
        resistance: bank.string_high,
        limit: None,
    }
}
