//! How the capacitors of the loads fill before the switch of a bank closes.

use crate::demand::{Demand, SupplyKind};
use crate::model::{Bank, Boat, Build, Demand as Draws, Load, LoadState};
use orlop::pack::manager::{self, PreCharge, Standing};
use orlop::working::Step;
use orlop::{Error, Recorder};
use orlop_units::{Capacitance, Current, Power, Quantity, Resistance, Voltage, farads};

/// Pre-charge of the loads of a bank.
#[derive(Clone, Debug, PartialEq)]
pub struct Filling {
    /// All capacitance that hangs on the bank without a converter between.
    pub capacitance: Capacitance,
    /// What takes power meanwhile, seen from the bank.
    pub standing: Power,
    /// Current at the first moment without any resistor: highest voltage over the least resistance of one string, where that is known.
    pub bare: Option<Current>,
    /// The resistor at the lowest voltage of the bank, where standing loads take most, and at the highest, where a short heats it most.
    pub resistor: Option<[PreCharge; 2]>,
    /// How it goes at nominal voltage; none without a resistor, or where the bus cannot come up.
    pub nominal: Option<manager::Filling>,
}

impl Filling {
    /// None where no load on the bank states a capacitance.
    pub(super) fn of(
        boat: &Boat,
        demand: &Demand,
        bank: &Bank,
        build: &Build,
    ) -> Option<Result<Self, Error>> {
        let on_the_bank = |load: &Load| {
            let supply = demand.load(&load.id).and_then(|d| demand.tree.supply(&d.circuit));
            supply.is_some_and(|s| s.kind == SupplyKind::Bank && s.id == bank.id)
        };
        let capacitors = boat.loads.iter().filter(|l| on_the_bank(l)).filter_map(|l| l.capacitance);
        let capacitance = farads(capacitors.map(Quantity::si).sum());
        (capacitance.si() > 0.0).then(|| Self::with(boat, demand, bank, build, capacitance))
    }

    fn with(
        boat: &Boat,
        demand: &Demand,
        bank: &Bank,
        build: &Build,
        capacitance: Capacitance,
    ) -> Result<Self, Error> {
        let standing = standing(boat, demand, bank, build);
        let at = |voltage, resistor| question(voltage, capacitance, resistor, standing);
        let resistor = match build.precharge {
            Some(r) => Some([at(bank.lowest, r)?, at(bank.highest, r)?]),
            None => None,
        };
        let nominal = match build.precharge {
            Some(r) => at(bank.nominal, r)?.filling().ok(),
            None => None,
        };
        let bare = bank.string_low.filter(|r| r.si() > 0.0).map(|r| bank.highest / r);
        Ok(Self { capacitance, standing, bare, resistor, nominal })
    }
}

fn question(
    voltage: Voltage,
    capacitance: Capacitance,
    resistor: Resistance,
    standing: Power,
) -> Result<PreCharge, Error> {
    let filling = PreCharge::new(voltage, capacitance, resistor)?;
    if standing.si() > 0.0 { filling.with_standing(Standing::Power(standing)) } else { Ok(filling) }
}

/// How the capacitors fill at nominal voltage, with its steps.
pub(super) fn explain(
    boat: &Boat,
    demand: &Demand,
    bank: &Bank,
    build: &Build,
    rec: &mut impl Recorder,
) -> Result<(), Error> {
    let Some(filling) = Filling::of(boat, demand, bank, build).transpose()? else {
        rec.step(|| Step::new("capacitance on the bank", "C", "none is stated for any load"));
        return Ok(());
    };
    rec.step(|| {
        Step::new("capacitance on the bank", "C", filling.capacitance)
            .formula("sum over the loads with no converter between")
    });
    rec.step(|| {
        Step::new("standing power, seen from the bank", "P", filling.standing)
            .formula("loads named by the file, else all that idle; over the efficiency of converters between")
    });
    match build.precharge {
        Some(r) => {
            question(bank.nominal, filling.capacitance, r, filling.standing)?.filling_recorded(rec)?;
        }
        None => rec.step(|| Step::new("resistor", "R", "none is stated")),
    }
    Ok(())
}

/// Power of what stands on the bus while it fills: the loads that the file names, else all that idle.
fn standing(boat: &Boat, demand: &Demand, bank: &Bank, build: &Build) -> Power {
    let idles = |load: &Load| load.demand.iter().any(|(s, _)| *s == LoadState::Idle);
    let stands = |load: &&Load| match &build.standing {
        Some(named) => named.contains(&load.id),
        None => idles(load),
    };
    let of = |load: &Load| -> Option<f64> {
        let circuit = &demand.load(&load.id)?.circuit;
        let efficiency = efficiency_to(boat, demand, circuit, &bank.id)?;
        let supply = demand.tree.supply(circuit)?;
        let state = if idles(load) { LoadState::Idle } else { LoadState::Run };
        let watts = match load.demand_in(state) {
            Draws::Power(p) => p.high().si(),
            Draws::Current(i) => i.high().si() * supply.highest.si(),
            Draws::Resistance(r) => supply.highest.si().powi(2) / r.low().si(),
        };
        Some(watts / efficiency)
    };
    Power::from_si(boat.loads.iter().filter(stands).filter_map(of).sum())
}

/// What the converters between a circuit and a bank leave of its power; none where the circuit is not fed by that bank.
fn efficiency_to(boat: &Boat, demand: &Demand, circuit: &str, bank: &str) -> Option<f64> {
    let (mut at, mut left, mut behind) = (circuit, 1.0, "");
    loop {
        let supply = demand.tree.supply(at)?;
        if supply.kind == SupplyKind::Converter && supply.id != behind {
            left *= boat.source(&supply.id)?.efficiency.value();
        }
        behind = &supply.id;
        match demand.tree.parent(at) {
            Some(up) => at = up,
            None => return (boat.circuit(at)?.from == bank).then_some(left),
        }
    }
}
