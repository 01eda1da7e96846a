//! What each cause predicts: the network solved with the cause in it, read at every place where something could be read.

use super::ask::{GAIN, Probe, Trial, counted};
use super::bench::{Ail, Moment, OPEN, Solved};
use super::cause::{Axis, Cause, CauseKind, Target};
use super::reading::{Spot, What, When};
use super::scene::{Scene, amperes};
use super::sign::{chance_of_sign, chance_of_trial};
use super::symptom::Symptom;
use crate::model::{Known, LoadState};
use orlop::Error;
use orlop::proving::diagnose::{Hypothesis, Point};
use orlop_units::Quantity;
use std::collections::BTreeMap;

/// What nobody knows exactly and all readings share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Unknown {
    /// Electromotive force of the bank.
    Charge,
    /// Resistance of the bank.
    Inside,
    /// Temperature and joints of all wires.
    Wires,
    /// What the loads draw.
    Draw,
    /// Output of converters.
    Output,
    /// Gain of the voltmeter.
    Gain,
}

/// Relative standard deviations, from memory.
const WIRES: f64 = 0.08;
const OUTPUT: f64 = 0.01;
/// Rise of a joint or device over its cable, K/W, and its relative standard deviation: from memory.
const RISE: f64 = 4.0;
const RISE_SPREAD: f64 = 0.4;
/// Cells or batteries of one bank at rest differ by so much, V, standard deviation: from memory.
const APART: f64 = 0.02;

/// Operating points of one boat with one cause in it.
#[derive(Clone, Debug)]
pub(super) struct Solves {
    pub ail: Ail,
    pub on: Solved,
    pub before: Option<Solved>,
    pub off: Solved,
    pub charging: Option<Solved>,
}

/// Everything that predictions are made from.
pub(super) struct Predictor<'a, 'b> {
    pub scene: &'b Scene<'a>,
    pub probes: &'b [Probe],
    pub trials: &'b [Trial],
    pub symptoms: &'b [Symptom],
    pub unknowns: Vec<Unknown>,
    sound: Solves,
    /// Excess ohms in a circuit are the same to the network wherever in the circuit they are.
    series: BTreeMap<(usize, usize), Vec<Solves>>,
}

impl<'a, 'b> Predictor<'a, 'b> {
    pub fn new(
        scene: &'b Scene<'a>,
        probes: &'b [Probe],
        trials: &'b [Trial],
        symptoms: &'b [Symptom],
    ) -> Result<Self, Error> {
        let mut unknowns =
            vec![Unknown::Charge, Unknown::Inside, Unknown::Wires, Unknown::Draw, Unknown::Gain];
        if !scene.converters.is_empty() {
            unknowns.push(Unknown::Output);
        }
        let sound = solves(scene, &Ail::NONE, None)?;
        Ok(Self { scene, probes, trials, symptoms, unknowns, sound, series: BTreeMap::new() })
    }

    /// One cause over its grid.
    pub fn hypothesis(&mut self, cause: &Cause) -> Result<Hypothesis, Error> {
        let mut points = Vec::new();
        for (k, at) in cause.axis.grid().into_iter().enumerate() {
            let size = cause.axis.magnitude(at);
            let key = match cause.target {
                Target::Circuit(c) if cause.kind.is_series() => Some((c, k)),
                _ => None,
            };
            let all = match key.and_then(|key| self.series.get(&key)) {
                Some(all) => all.clone(),
                None => self.all(&self.ail(cause, size), cause)?,
            };
            if let Some(key) = key {
                self.series.insert(key, all.clone());
            }
            points.push(self.point(cause, size, at, &all));
        }
        Ok(Hypothesis { odds: cause.odds, points })
    }

    /// The boat with a cause of a size in it, and the unknowns at so many standard deviations.
    ///
    /// # Errors
    /// [`Error::Input`] for values that make no network.
    pub fn solved(&self, cause: &Cause, size: f64, unknowns: &[f64]) -> Result<Solves, Error> {
        let mut ail = self.ail(cause, size);
        for (unknown, deviations) in self.unknowns.iter().zip(unknowns) {
            ail = self.moved(&ail, *unknown, *deviations).unwrap_or(ail);
        }
        solves(self.scene, &ail, Some(&self.sound))
    }

    /// The boat with the cause in it, then with each unknown moved by one standard deviation.
    fn all(&self, ail: &Ail, cause: &Cause) -> Result<Vec<Solves>, Error> {
        // Most causes change nothing where nothing flows.
        let rest = (!cause.kind.shows_at_rest()).then_some(&self.sound);
        let mut all = vec![solves(self.scene, ail, rest)?];
        for unknown in &self.unknowns {
            all.push(match self.moved(ail, *unknown, 1.0) {
                Some(moved) => {
                    let rests = matches!(unknown, Unknown::Wires | Unknown::Draw | Unknown::Output);
                    let rest = if rests { Some(all[0].clone()) } else { None };
                    solves(self.scene, &moved, rest.as_ref())?
                }
                None => all[0].clone(),
            });
        }
        Ok(all)
    }

    fn moved(&self, ail: &Ail, unknown: Unknown, deviations: f64) -> Option<Ail> {
        let mut moved = ail.clone();
        let times = |relative: f64| (1.0 + relative * deviations).max(0.05);
        match unknown {
            Unknown::Charge if ail.emf.is_none() => moved.charge += self.scene.emf().1 * deviations,
            Unknown::Inside => moved.inside *= times(self.scene.inside().1),
            Unknown::Wires => moved.wires *= times(WIRES),
            Unknown::Draw => moved.draw *= times(self.draw()),
            Unknown::Output => moved.output *= times(OUTPUT),
            Unknown::Charge | Unknown::Gain => return None,
        }
        Some(moved)
    }

    /// Relative standard deviation of what the load draws, by how it is known.
    fn draw(&self) -> f64 {
        use crate::model::Demand;
        let load = &self.scene.boat.loads[self.scene.complained[0]];
        let (known, range) = match load.demand_in(LoadState::Run) {
            Demand::Power(p) => (p.known, p.range.map(|r| (r.0.si() / p.q.si(), r.1.si() / p.q.si()))),
            Demand::Current(i) => (i.known, i.range.map(|r| (r.0.si() / i.q.si(), r.1.si() / i.q.si()))),
            Demand::Resistance(r) => (r.known, r.range.map(|x| (x.0.si() / r.q.si(), x.1.si() / r.q.si()))),
        };
        let wide = range.map_or(0.0, |(low, high)| 0.25 * (high - low).abs());
        wide.max(match known {
            Known::Measured => 0.05,
            Known::Label | Known::Stated => 0.12,
            Known::Guess => 0.2,
        })
    }

    /// What a cause of a size changes.
    pub fn ail(&self, cause: &Cause, size: f64) -> Ail {
        let scene = self.scene;
        let bank = &scene.boat.banks[scene.bank];
        let mut ail = Ail::NONE;
        match (cause.kind, cause.target) {
            (
                CauseKind::Joint | CauseKind::Device | CauseKind::Switch | CauseKind::Conductor,
                Target::Circuit(c),
            ) => {
                ail.excess = Some((c, size));
            }
            (CauseKind::DeviceOpen | CauseKind::Open | CauseKind::Short, Target::Circuit(c)) => {
                ail.excess = Some((c, OPEN));
            }
            (CauseKind::Undersized, Target::Circuit(c)) => ail.thinner = Some((c, size)),
            (CauseKind::Reversed | CauseKind::LoadDead, Target::Load(l)) => ail.load = Some((l, 0.0)),
            (CauseKind::LoadHeavy | CauseKind::LoadLight, Target::Load(l)) => ail.load = Some((l, size)),
            (CauseKind::BankLow, _) => ail.emf = Some(size),
            (CauseKind::ChargerOff, Target::Source(s)) => {
                (ail.emf, ail.charger) = (Some(size), Some((s, None)));
            }
            (CauseKind::ChargerLow, Target::Source(s)) => {
                let short = 0.06 * scene.boat.nominal.si();
                (ail.emf, ail.charger) = (Some(size), Some((s, Some(-short))));
            }
            (CauseKind::Cell, _) => {
                ail.charge = -size;
                ail.inside = 1.5;
            }
            (CauseKind::StringOff, _) => {
                let strings = f64::from(bank.strings.max(2));
                ail.inside = strings / (strings - 1.0);
            }
            (CauseKind::Terminal, _) => ail.terminal = size,
            (CauseKind::ConverterOff, _) => ail.limit = Some(0.0),
            (CauseKind::ConverterLimit, Target::Source(s)) => {
                ail.limit = Some(size * scene.boat.sources[s].rating.si());
            }
            (CauseKind::Drain, Target::Node(n)) => ail.drain = Some((n, size)),
            _ => {}
        }
        ail
    }

    fn point(&self, cause: &Cause, size: f64, at: f64, all: &[Solves]) -> Point {
        let base = &all[0];
        let (mut values, mut slopes, mut spreads) = (Vec::new(), Vec::new(), Vec::new());
        for probe in self.probes {
            let what = probe.place.what;
            let (value, spread) = self.read(probe, cause, size, base);
            for (unknown, moved) in self.unknowns.iter().zip(&all[1..]) {
                slopes.push(match unknown {
                    Unknown::Gain if matches!(what, What::Voltage | What::Drop) => GAIN * value,
                    Unknown::Gain => 0.0,
                    _ => self.read(probe, cause, size, moved).0 - value,
                });
            }
            values.push(value);
            spreads.push(spread);
        }
        let signs = self.symptoms.iter().map(|s| chance_of_sign(self.scene, s, cause, size, base));
        let trials = self.trials.iter().map(|t| chance_of_trial(self.scene, &t.place, cause, base));
        let chances = signs.chain(trials).map(|p| p.clamp(0.005, 0.995)).collect();
        Point { at, state: base.on.state, values, slopes, spreads, chances }
    }

    /// A value as the model counts it, and its standard deviation from what nothing else shares.
    fn read(&self, probe: &Probe, cause: &Cause, size: f64, s: &Solves) -> (f64, f64) {
        let scene = self.scene;
        let (place, nominal) = (&probe.place, scene.boat.nominal.si());
        let circuit = |at: &str| {
            let id = at.strip_prefix("circuit.")?;
            scene.boat.circuits.iter().position(|c| c.id == id)
        };
        let live = |node: usize| {
            let reversed = cause.kind == CauseKind::Reversed
                && matches!(cause.target, Target::Load(l) if scene.anatomy.of_load[l] == Some(node));
            if reversed { -1.0 } else { 1.0 }
        };
        match (place.what, circuit(&place.at)) {
            (What::Voltage, _) => {
                let node = scene.node(&place.at).unwrap_or(scene.bank_node);
                let volts = |at: &Solved| live(node) * at.volts[node];
                match place.when {
                    When::On => (volts(&s.on), 0.0),
                    When::Before => (volts(s.before.as_ref().unwrap_or(&s.on)), 0.0),
                    When::Off => (volts(&s.off), 0.0),
                    When::Charging => (s.charging.as_ref().unwrap_or(&s.off).volts[node], 0.02 * nominal),
                    When::Isolated if cause.kind == CauseKind::SecondFeed => {
                        (scene.nominal(node), 0.05 * nominal)
                    }
                    When::Isolated => (0.0, 0.02),
                }
            }
            (What::RestDifference, _) => {
                let bad = if cause.kind == CauseKind::Cell { size } else { 0.0 };
                (bad, APART.hypot(0.2 * bad))
            }
            (What::Current, None) => (s.off.bank, 0.05),
            (What::Current, Some(c)) if place.when == When::Charging => {
                let flows = s.charging.as_ref().map_or(0.0, |p| p.amps[c].abs());
                (flows, 0.3 * flows)
            }
            (What::Current, Some(c)) => (s.on.amps[c], 0.0),
            (What::Drop, None) => {
                let node = scene.node(&place.at).unwrap_or(scene.bank_node);
                (s.on.volts[scene.bank_node] - live(node) * s.on.volts[node], 0.0)
            }
            (What::Drop, Some(c)) => self.drop(c, place.spot, cause, size, s),
            (What::Rise, Some(c)) => {
                let spot = place.spot.unwrap_or(Spot::Device);
                let amps = scene.run_amps(c, &s.ail, &s.on);
                let ohm = scene.part_ohms(c, spot).0 + excess(cause, size, c, Some(spot));
                let rise = RISE * amps * amps * ohm;
                (rise, RISE_SPREAD * rise)
            }
            (What::Resistance, Some(c)) => {
                let spot = place.spot.unwrap_or(Spot::Positive);
                let extra = excess(cause, size, c, Some(spot)) + thicker(scene, cause, size, c);
                (counted(What::Resistance, (scene.part_ohms(c, spot).0 + extra).min(1e6)), 0.0)
            }
            (What::Resistance, None) => {
                let id = place.at.strip_prefix("load.").unwrap_or_default();
                let load = scene.boat.loads.iter().position(|l| l.id == id).unwrap_or(0);
                let ohm = scene.load_ohms(load);
                match (cause.kind, cause.target) {
                    (CauseKind::LoadDead, Target::Load(l)) if l == load => {
                        (counted(What::Resistance, 1e6), 1.0)
                    }
                    (CauseKind::LoadHeavy | CauseKind::LoadLight, Target::Load(l)) if l == load => {
                        (counted(What::Resistance, ohm / size), 0.7)
                    }
                    (CauseKind::Short, Target::Circuit(c))
                        if Some(c) == scene.anatomy.of_load[load].and_then(|n| scene.anatomy.ended_by[n]) =>
                    {
                        (counted(What::Resistance, size), 0.1)
                    }
                    // A motor or a set of electronics measures anything from a fifth to five times its working resistance.
                    _ => (counted(What::Resistance, ohm), 0.8),
                }
            }
            (What::Rise, None) | (What::Look | What::Swap | What::Direct | What::Try, _) => (0.0, 0.0),
        }
    }

    fn drop(&self, c: usize, spot: Option<Spot>, cause: &Cause, size: f64, s: &Solves) -> (f64, f64) {
        let scene = self.scene;
        let (from, to) = scene.anatomy.ends[c];
        let Some(spot) = spot else { return (s.on.volts[from] - s.on.volts[to], 0.0) };
        let amps = scene.run_amps(c, &s.ail, &s.on);
        let (ohm, spread) = scene.part_ohms(c, spot);
        let extra = excess(cause, size, c, Some(spot)) + leg(spot) * thicker(scene, cause, size, c);
        (amps * (ohm * s.ail.wires + extra), amps.abs() * spread)
    }
}

fn leg(spot: Spot) -> f64 {
    if matches!(spot, Spot::Positive | Spot::Negative) { 1.0 } else { 0.0 }
}

/// Ohms that a thinner conductor adds to each leg.
fn thicker(scene: &Scene<'_>, cause: &Cause, size: f64, c: usize) -> f64 {
    let here = cause.kind == CauseKind::Undersized && cause.target == Target::Circuit(c);
    if here { scene.anatomy.parts[c].leg * (size - 1.0) } else { 0.0 }
}

/// Excess ohms that a cause puts between the ends of a part of a circuit.
fn excess(cause: &Cause, size: f64, c: usize, part: Option<Spot>) -> f64 {
    if cause.target != Target::Circuit(c) {
        return 0.0;
    }
    let ohm = match cause.kind {
        CauseKind::Open | CauseKind::DeviceOpen | CauseKind::Short => OPEN,
        kind if kind.is_series() => size,
        _ => return 0.0,
    };
    let lies = cause.spot.unwrap_or(Spot::Device);
    let positive = matches!(
        lies,
        Spot::Positive | Spot::Device | Spot::Switch | Spot::StartPositive | Spot::EndPositive
    );
    let within = match part {
        None => true,
        Some(Spot::Positive) => positive,
        Some(Spot::Negative) => !positive,
        Some(Spot::Supply) => matches!(lies, Spot::Device | Spot::Switch | Spot::StartPositive),
        Some(one) => one == lies,
    };
    if within { ohm } else { 0.0 }
}

fn solves(scene: &Scene<'_>, ail: &Ail, rest: Option<&Solves>) -> Result<Solves, Error> {
    let on = scene.solve(ail, Moment::Loads(&scene.on))?;
    let before = scene.before.as_ref().map(|b| scene.solve(ail, Moment::Loads(b))).transpose()?;
    let (off, charging) = match rest {
        Some(rest) => (rest.off.clone(), rest.charging.clone()),
        None => {
            let off = scene.solve(ail, Moment::Loads(&[]))?;
            let any = !scene.chargers.is_empty();
            (off, any.then(|| scene.solve(ail, Moment::Charging)).transpose()?)
        }
    };
    Ok(Solves { ail: ail.clone(), on, before, off, charging })
}

impl Scene<'_> {
    /// How many times its current a load can draw for as long as a measurement takes: half again what its device is rated for.
    fn heaviest(&self, load: usize) -> f64 {
        let c = self.anatomy.of_load[load].and_then(|n| self.anatomy.ended_by[n]);
        let device = c.and_then(|c| self.design.circuits[c].device.as_ref());
        let times = device.map_or(8.0, |d| 1.5 * d.rating().si() / amperes(self.boat, load));
        times.clamp(1.6, 8.0)
    }

    /// Every cause that this part of the boat can have.
    pub fn causes(&self) -> Vec<Cause> {
        let mut out = Vec::new();
        let mut add = |kind: CauseKind, target, spot, axis| {
            // Several chargers are not more often the cause than one.
            let share = match kind {
                CauseKind::ChargerOff | CauseKind::ChargerLow => self.chargers.len() as f64,
                _ => 1.0,
            };
            out.push(Cause { kind, target, spot, odds: kind.odds() / share, axis });
        };
        let short = Axis::Ohms(1e-3, 1.0);
        for c in &self.blamed {
            let at = Target::Circuit(*c);
            for spot in self.spots(*c) {
                match spot {
                    Spot::Device => add(CauseKind::Device, at, Some(spot), Axis::EXCESS),
                    Spot::Switch => add(CauseKind::Switch, at, Some(spot), Axis::EXCESS),
                    _ => add(CauseKind::Joint, at, Some(spot), Axis::EXCESS),
                }
            }
            for leg in [Spot::Positive, Spot::Negative] {
                add(CauseKind::Conductor, at, Some(leg), Axis::EXCESS);
                add(CauseKind::Open, at, Some(leg), Axis::Fixed);
            }
            if self.has_device(*c) {
                add(CauseKind::DeviceOpen, at, Some(Spot::Device), Axis::Fixed);
                add(CauseKind::DeviceWeak, at, Some(Spot::Device), Axis::Fixed);
                add(CauseKind::Short, at, Some(Spot::Device), short);
            }
            add(CauseKind::Undersized, at, None, Axis::Times(1.3, 10.0));
        }
        let bank = &self.boat.banks[self.bank];
        let nominal = self.boat.nominal.si();
        let low = Axis::Volts(0.75 * nominal, bank.lowest.si() + 0.02 * nominal);
        let whole = Target::Bank(self.bank);
        add(CauseKind::BankLow, whole, None, low);
        let series = bank.build.as_ref().map_or(nominal / 2.0, |b| f64::from(b.pack.series()));
        add(CauseKind::Cell, whole, None, Axis::Volts(0.1, 1.1 * bank.nominal.si() / series));
        if bank.strings > 1 {
            add(CauseKind::StringOff, whole, None, Axis::Fixed);
        }
        add(CauseKind::Terminal, whole, None, Axis::EXCESS);
        for (source, _) in &self.chargers {
            add(CauseKind::ChargerOff, Target::Source(*source), None, low);
            add(CauseKind::ChargerLow, Target::Source(*source), None, low);
        }
        for (source, _) in &self.converters {
            add(CauseKind::ConverterOff, Target::Source(*source), None, Axis::Fixed);
            add(CauseKind::ConverterLimit, Target::Source(*source), None, Axis::Times(0.02, 0.9));
        }
        for load in &self.complained {
            let at = Target::Load(*load);
            add(CauseKind::LoadDead, at, None, Axis::Fixed);
            add(CauseKind::LoadHeavy, at, None, Axis::Times(1.3, self.heaviest(*load)));
            add(CauseKind::LoadLight, at, None, Axis::Times(0.05, 0.75));
            add(CauseKind::Reversed, at, None, Axis::Fixed);
        }
        for node in self.nodes.iter().filter(|n| !self.anatomy.nodes[**n].starts_with("circuit.")) {
            add(CauseKind::Drain, Target::Node(*node), None, Axis::Amps(0.05, 20.0));
        }
        add(CauseKind::SecondFeed, Target::Nothing, None, Axis::Fixed);
        add(CauseKind::Sound, Target::Nothing, None, Axis::Fixed);
        out
    }
}
