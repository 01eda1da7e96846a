//! Solving: once, or many times over one network.

use super::build::{Feed, Network};
use super::collapse;
use super::element::{Corner, Demand, Part};
use super::flow::{self, Flow};
use super::join::Sets;
use super::kernel::{Kernel, Report};
use super::operating::{Method, Operating, unknown};
use super::plan::{Draw, Mode, Plan, Values};
use crate::error::{Error, positive};
use crate::working::{Recorder, Silent};
use orlop_units::{Power, Quantity, Resistance, watts};

impl Network {
    /// The operating point: the voltage of every node and the current of every element.
    ///
    /// Kirchhoff's laws with loads of constant current, power and resistance, diodes and regulated converters. Of the two
    /// voltages at which a load can take its power, the higher is found, always: the answer is checked to have a positive
    /// definite Jacobian, which at most one root has. A tree takes time linear in its nodes.
    ///
    /// A converter holds its output voltage up to its limit and then gives that current; it takes output power over
    /// efficiency from its input, and nothing below its least input voltage.
    ///
    /// # Errors
    /// [`Error::NoSolution`] names the node of a load that cannot be fed and the most that it could have, all others as they
    /// are. [`Error::Input`] when this corner needs a bound that is not known, for ideal sources against each other, for a
    /// ring of converters, and for a source whose island hangs on nothing.
    ///
    /// ```
    /// use orlop::Range;
    /// use orlop::network::{Corner, Demand, Load, Network, Part, RETURN, Source};
    /// use orlop::units::{ohms, volts, watts};
    ///
    /// let mut net = Network::new();
    /// let bank = Source { emf: Range::exactly(volts(12.0)), resistance: Range::exactly(ohms(0.01)), may_open: false };
    /// net.source("bank", "bank", RETURN, bank)?;
    /// net.branch("run", "bank", "bow", Part::Resistance(Range::exactly(ohms(0.01))))?;
    /// net.load("thruster", "bow", RETURN, Load::new(Demand::Power(watts(240.0))))?;
    /// let point = net.solve(Corner::Low)?;
    /// // V = (E + sqrt(E^2 - 4 R P)) / 2
    /// assert!((point.voltage("bow")?.unwrap() - volts(11.585_696_018)).abs() < volts(1e-9));
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn solve(&self, corner: Corner) -> Result<Operating, Error> {
        self.solve_recorded(corner, Silent)
    }

    /// [`Self::solve`], with a summary of how it went.
    ///
    /// # Errors
    /// Those of [`Self::solve`].
    pub fn solve_recorded(&self, corner: Corner, rec: impl Recorder) -> Result<Operating, Error> {
        let point = self.prepare(corner)?.solve(&self.demands())?;
        point.record(rec);
        Ok(point)
    }

    /// What every load draws, in their order: the starting point of a scenario.
    #[must_use]
    pub fn demands(&self) -> Vec<Option<Demand>> {
        self.loads().iter().map(|load| Some(load.part.demand)).collect()
    }

    /// Makes ready for many solutions of one network: scenarios, or resistances that follow temperatures.
    ///
    /// # Errors
    /// [`Error::Input`] when this corner needs a bound that is not known, or for a ring of converters.
    pub fn prepare(&self, corner: Corner) -> Result<Prepared, Error> {
        no_ring(self)?;
        let values = Values::new(self, corner)?;
        let latched = vec![false; self.converters().len()];
        Ok(Prepared {
            net: self.clone(),
            corner,
            values,
            solver: None,
            volts: Vec::new(),
            latched,
            is_warm: false,
            force_mesh: false,
            converters_rest: false,
        })
    }
}

/// A network made ready for many solutions: the symbolic work is done once, the last answer is where the next one starts.
///
/// ```
/// use orlop::Range;
/// use orlop::network::{Corner, Demand, Load, Network, Part, RETURN, Source};
/// use orlop::units::{amperes, ohms, volts};
///
/// let mut net = Network::new();
/// let bank = Source { emf: Range::exactly(volts(12.0)), resistance: Range::exactly(ohms(0.0)), may_open: false };
/// net.source("bank", "bank", RETURN, bank)?;
/// net.branch("run", "bank", "bow", Part::Resistance(Range::exactly(ohms(0.1))))?;
/// net.load("lamp", "bow", RETURN, Load::new(Demand::Current(amperes(2.0))))?;
/// let mut prepared = net.prepare(Corner::Low)?;
/// let lit = prepared.solve(&net.demands())?;
/// let out = prepared.solve(&[None])?;
/// prepared.set_resistance(0, ohms(0.12))?;
/// let warm = prepared.solve(&net.demands())?;
/// let volts_at = |point: &orlop::network::Operating| point.volts()[2];
/// assert!((volts_at(&lit) - 11.8).abs() < 1e-12);
/// assert!((volts_at(&out) - 12.0).abs() < 1e-12);
/// assert!((volts_at(&warm) - 11.76).abs() < 1e-12);
/// # Ok::<(), orlop::Error>(())
/// ```
#[derive(Clone, Debug)]
pub struct Prepared {
    net: Network,
    corner: Corner,
    values: Values,
    solver: Option<Solver>,
    /// Voltages of the last solution.
    volts: Vec<f64>,
    /// Converters that went off because their input was too low.
    latched: Vec<bool>,
    is_warm: bool,
    force_mesh: bool,
    /// No converter takes part.
    pub(super) converters_rest: bool,
}

/// Equations and buffers of one set of states.
#[derive(Clone, Debug)]
struct Solver {
    plan: Plan,
    kernel: Kernel,
    conducts: Vec<bool>,
    mode: Vec<Mode>,
    source_on: Vec<bool>,
}

/// Why a run ended without an answer.
enum Stop {
    Error(Error),
    /// A load of constant power cannot have it.
    Collapse,
    /// A load of constant current would have to push it.
    Backward,
}

impl From<Error> for Stop {
    fn from(error: Error) -> Self {
        Self::Error(error)
    }
}

impl Prepared {
    /// The network.
    #[must_use]
    pub fn network(&self) -> &Network {
        &self.net
    }

    /// Changes the resistance of a branch: a conductor at another temperature.
    ///
    /// # Errors
    /// [`Error::Input`] for a diode, a branch that does not exist, or a resistance that is not above zero.
    pub fn set_resistance(&mut self, branch: usize, resistance: Resistance) -> Result<(), Error> {
        let found = self.net.branches().get(branch).ok_or_else(|| unknown("branch", &branch.to_string()))?;
        if matches!(found.part, Part::Diode { .. }) {
            let expected = "a branch that is a resistance";
            return Err(Error::input("branch", format!("the diode {}", found.id), expected));
        }
        positive(resistance, &format!("branch {}: resistance", found.id))?;
        self.values.siemens[branch] = 1.0 / resistance.si();
        Ok(())
    }

    /// Opens or closes a source.
    ///
    /// # Errors
    /// [`Error::Input`] for a source that does not exist.
    pub fn set_source(&mut self, source: usize, on: bool) -> Result<(), Error> {
        let slot = self.values.source_on.get_mut(source);
        *slot.ok_or_else(|| unknown("source", &source.to_string()))? = on;
        Ok(())
    }

    /// Treats a tree like a network with loops: for comparison.
    pub fn set_mesh(&mut self, always: bool) {
        self.force_mesh = always;
        self.solver = None;
    }

    pub(super) fn equations(&self) -> (&Plan, &Kernel, &Values) {
        let solver = self.solver.as_ref().expect("solved before");
        (&solver.plan, &solver.kernel, &self.values)
    }

    /// Solves with these demands, one for each load in the order of [`Network::loads`]; none is switched off.
    ///
    /// # Errors
    /// Those of [`Network::solve`], and [`Error::Input`] for a number of demands other than that of the loads, or for a
    /// demand that no load can have.
    pub fn solve(&mut self, demands: &[Option<Demand>]) -> Result<Operating, Error> {
        if demands.len() != self.net.loads().len() {
            let expected = format!("one for each of the {} loads", self.net.loads().len());
            return Err(Error::input("demands", format!("{} demands", demands.len()), expected));
        }
        for (k, demand) in demands.iter().enumerate() {
            if let Some(demand) = demand {
                let load = &self.net.loads()[k];
                if *demand != load.part.demand {
                    super::element::Load::new(*demand).check(&load.id)?;
                }
            }
            self.values.draw[k] = demand.map_or(Draw::Off, Draw::from);
        }
        let was_warm = self.is_warm;
        let mut done = self.run(was_warm);
        if was_warm && done.is_err() {
            done = self.run(false);
        }
        self.is_warm = done.is_ok();
        match done {
            Ok((report, iterations, flow)) => Ok(self.answer(report, iterations, flow)),
            Err(Stop::Error(error)) => Err(error),
            Err(stop) => {
                let solver = self.solver.as_mut().expect("a collapse comes from a solver");
                let backward = matches!(stop, Stop::Backward);
                Err(collapse::explain(&self.net, &solver.plan, &mut solver.kernel, backward))
            }
        }
    }

    /// The most that a load of constant power could have with these demands of the others; none when nothing limits it.
    ///
    /// Between two nodes this is E²/4R. In general it is found by bisection, to nine digits.
    ///
    /// # Errors
    /// Those of [`Self::solve`], when the others cannot be fed even without it.
    pub fn largest_power(&mut self, load: usize, demands: &[Option<Demand>]) -> Result<Option<Power>, Error> {
        let mut trial = demands.to_vec();
        if load >= trial.len() {
            return Err(unknown("load", &load.to_string()));
        }
        trial[load] = None;
        self.solve(&trial)?;
        let mut can = |watt: f64| {
            trial[load] = Some(Demand::Power(watts(watt)));
            match self.solve(&trial) {
                Ok(point) => Ok(!point.unfed[load]),
                Err(Error::NoSolution { .. }) => Ok(false),
                Err(other) => Err(other),
            }
        };
        let (mut low, mut high) = (0.0, 1.0);
        while can(high)? {
            low = high;
            high *= 4.0;
            if high > 1e12 {
                return Ok(None);
            }
        }
        while high - low > 1e-10 * high && high > 1e-12 {
            let middle = 0.5 * (low + high);
            if can(middle)? {
                low = middle;
            } else {
                high = middle;
            }
        }
        Ok(Some(watts(low)))
    }

    fn answer(&self, report: Report, iterations: usize, flow: Flow) -> Operating {
        let plan = &self.solver.as_ref().expect("just solved").plan;
        Operating {
            net: self.net.clone(),
            corner: self.corner,
            flow,
            values: self.values.clone(),
            dark: plan.dark.clone(),
            unfed: plan.unfed.clone(),
            low_input: self.latched.clone(),
            method: if plan.symbolic.is_forest() { Method::Tree } else { Method::Mesh },
            iterations,
            balance: report.balance,
        }
    }

    /// Rounds of Newton, states and converter inputs until nothing changes.
    fn run(&mut self, warm: bool) -> Result<(Report, usize, Flow), Stop> {
        self.latched.fill(false);
        for (mode, feed) in self.values.mode.iter_mut().zip(self.net.converters()) {
            let runs = feed.output.part.runs && !self.converters_rest;
            *mode = if runs { Mode::Held } else { Mode::Off };
        }
        let switching = self.values.mode.iter().any(|m| *m != Mode::Off) || self.has_diodes();
        let mut total = 0;
        let mut warm = warm;
        if !warm {
            self.values.conducts.fill(true);
            self.values.taken.fill(0.0);
            self.volts.clear();
            if self.has_diodes() {
                // First the diodes by themselves: constant powers come when it is known which way they look.
                let draw = self.values.draw.clone();
                for d in &mut self.values.draw {
                    if matches!(d, Draw::Watts(_)) {
                        *d = Draw::Off;
                    }
                }
                let bare = self.rounds(&mut total, false, switching);
                self.values.draw = draw;
                bare?;
                warm = true;
            }
        }
        let (report, flow) = self.rounds(&mut total, warm, switching)?;
        self.volts.clone_from(&flow.volts);
        let solver = self.solver.as_ref().expect("just solved");
        if collapse::backward(&self.net, &solver.kernel).is_some() {
            return Err(Stop::Backward);
        }
        Ok((report, total, flow))
    }

    fn rounds(&mut self, total: &mut usize, warm: bool, switching: bool) -> Result<(Report, Flow), Stop> {
        let most = 60 + 6 * (self.values.mode.len() + self.values.conducts.len().min(1000));
        let mut warm = warm;
        for round in 0..most {
            self.replan()?;
            let solver = self.solver.as_mut().expect("planned");
            solver.kernel.load(&self.net, &solver.plan, &self.values);
            let done = solver.kernel.solve(&solver.plan, warm);
            *total += done.map_or(0, |r| r.iterations);
            if !switching {
                let report = done.map_err(|_| Stop::Collapse)?;
                return Ok((report, flow::flow(&self.net, &solver.plan, &self.values, &solver.kernel)));
            }
            let flow = flow::flow(&self.net, &solver.plan, &self.values, &solver.kernel);
            self.volts.clone_from(&flow.volts);
            let switched = self.switch(&flow, done.is_ok(), round);
            let report = match done {
                _ if switched => {
                    warm = done.is_ok();
                    continue;
                }
                Ok(report) => report,
                Err(_) => return Err(Stop::Collapse),
            };
            warm = true;
            if !self.take_power(&flow) {
                return Ok((report, flow));
            }
        }
        Err(Stop::Error(Error::NoSolution {
            what: format!("diodes and converters find no rest in {most} rounds"),
            hint: "look for a converter that feeds its own input, or a diode against a source".into(),
        }))
    }

    fn has_diodes(&self) -> bool {
        self.net.branches().iter().any(|b| matches!(b.part, Part::Diode { .. }))
    }

    /// New equations where states or kinds of loads have changed; the unknowns then start from the last voltages.
    fn replan(&mut self) -> Result<(), Error> {
        if let Some(solver) = &self.solver {
            let values = &self.values;
            let same = solver.mode == values.mode
                && solver.conducts == values.conducts
                && solver.source_on == values.source_on
                && solver.plan.fits(&self.net, values);
            if same {
                return Ok(());
            }
        }
        let plan = Plan::new(&self.net, &mut self.values, self.force_mesh)?;
        let mut kernel = Kernel::new(&plan);
        for (place, &node) in plan.node_of.iter().enumerate() {
            let known = self.volts.get(node as usize).filter(|v| v.is_finite());
            kernel.u[place] = known.map_or(0.0, |v| v - plan.base[node as usize]);
        }
        self.solver = Some(Solver {
            plan,
            kernel,
            conducts: self.values.conducts.clone(),
            mode: self.values.mode.clone(),
            source_on: self.values.source_on.clone(),
        });
        Ok(())
    }

    /// Switches what does not fit its voltages; says whether anything did.
    fn switch(&mut self, flow: &Flow, solved: bool, round: usize) -> bool {
        let mut switched = false;
        for k in 0..self.net.branches().len() {
            // After many rounds one at a time, lowest first, which cannot go in circles (Murty 1974).
            if switched && round > 30 {
                return true;
            }
            switched |= self.switch_diode(k, flow, solved);
        }
        for k in 0..self.net.converters().len() {
            if switched && round > 30 {
                return true;
            }
            switched |= self.switch_converter(k, flow, solved);
        }
        switched
    }

    fn switch_diode(&mut self, k: usize, flow: &Flow, solved: bool) -> bool {
        let branch = &self.net.branches()[k];
        let Part::Diode { forward, .. } = branch.part else { return false };
        // A node that nothing feeds stands at zero as far as a diode towards it can tell.
        let (from, to) = (flow.volts[branch.from], flow.volts[branch.to]);
        if from.is_nan() {
            return false;
        }
        let to = if to.is_nan() { 0.0 } else { to };
        let beyond = from - to - forward.si();
        let slack = 1e-12 * (from.abs() + to.abs() + forward.si());
        let conducts = &mut self.values.conducts[k];
        let wanted = if *conducts { !solved || beyond >= -slack } else { beyond > slack };
        std::mem::replace(conducts, wanted) != wanted
    }

    fn switch_converter(&mut self, k: usize, flow: &Flow, solved: bool) -> bool {
        let Feed { output, input } = &self.net.converters()[k];
        let part = &output.part;
        let mode = self.values.mode[k];
        if mode == Mode::Off {
            return false;
        }
        if let (Some((a, b)), Some(least)) = (*input, part.minimum)
            && flow.volts[a] - flow.volts[b] < least.si() * (1.0 - 1e-12)
        {
            self.latched[k] = true;
            self.values.mode[k] = Mode::Off;
            return true;
        }
        let across = flow.volts[output.from] - flow.volts[output.to];
        let set = part.output.si();
        let limit = part.limit.si();
        let wanted = match mode {
            Mode::Held if solved && flow.output[k] < -1e-12 * limit => Mode::Idle,
            Mode::Held if solved && flow.output[k] > limit * (1.0 + 1e-12) => Mode::Limited,
            Mode::Limited if solved && across > set * (1.0 + 1e-12) => Mode::Held,
            Mode::Idle if across.is_nan() || across < set * (1.0 - 1e-12) => Mode::Held,
            mode => mode,
        };
        self.values.mode[k] = wanted;
        wanted != mode
    }

    /// Lets converters take from their inputs what they now deliver; says whether that has changed.
    fn take_power(&mut self, flow: &Flow) -> bool {
        let mut changed = false;
        for (k, feed) in self.net.converters().iter().enumerate() {
            if feed.input.is_none() || self.values.mode[k] == Mode::Off {
                continue;
            }
            let across = flow.volts[feed.output.from] - flow.volts[feed.output.to];
            let delivered = if flow.output[k] == 0.0 { 0.0 } else { across * flow.output[k].max(0.0) };
            let wanted = delivered / feed.output.part.efficiency.value();
            let before = std::mem::replace(&mut self.values.taken[k], wanted);
            changed |= (wanted - before).abs() > 1e-12 * wanted.abs().max(before.abs());
        }
        changed
    }
}

/// Refuses converters that feed each other in a ring: none of them would have a source.
fn no_ring(net: &Network) -> Result<(), Error> {
    let feeds: Vec<&Feed> =
        net.converters().iter().filter(|f| f.output.part.runs && f.input.is_some()).collect();
    if feeds.is_empty() {
        return Ok(());
    }
    let mut rails = Sets::new(net.nodes().len());
    for branch in net.branches().iter().filter(|b| b.from != 0 && b.to != 0) {
        rails.join(branch.from, branch.to);
    }
    let ends: Vec<(usize, usize)> =
        feeds.iter().map(|f| (rails.find(f.input.expect("filtered").0), rails.find(f.output.from))).collect();
    let mut left: Vec<usize> = (0..feeds.len()).collect();
    // What is fed by nothing that is left falls away; then what feeds nothing that is left: rings remain.
    for feeding in [true, false] {
        let pick = |k: usize| if feeding { (ends[k].0, ends[k].1) } else { (ends[k].1, ends[k].0) };
        loop {
            let mut offered = vec![false; net.nodes().len()];
            left.iter().for_each(|&k| offered[pick(k).1] = true);
            let before = left.len();
            left.retain(|&k| offered[pick(k).0]);
            if left.len() == before {
                break;
            }
        }
    }
    if left.is_empty() {
        return Ok(());
    }
    let names: Vec<&str> = left.iter().map(|&k| feeds[k].output.id.as_str()).collect();
    Err(Error::Input {
        field: "converters".into(),
        got: format!("a ring: {} feed each other", names.join(", ")),
        expected: "at least one of them at rest".into(),
        hint: "let only those run that work in this scenario".into(),
    })
}
