//! What each cause predicts: the network solved with the cause in it, read at every place where something could be read.

use super::ask::{GAIN, Probe, Trial};
use super::bench::{Ail, Moment, OPEN, Solved};
use super::cause::{Cause, CauseKind, Target};
use super::reading::What;
use super::scene::Scene;
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
