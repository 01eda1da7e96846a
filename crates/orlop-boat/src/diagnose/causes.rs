//! Every cause that this part of the boat can have.

use super::cause::{Axis, Cause, CauseKind, Target};
use super::reading::Spot;
use super::scene::{Scene, amperes};
use orlop_units::Quantity;

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
