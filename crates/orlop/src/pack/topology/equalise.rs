//! What flows when strings close on each other.

use super::{Order, Pack};
use crate::cell::{Method, StateOfCharge};
use crate::error::{Error, positive};
use crate::range::Range;
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Current, Fraction, Resistance, Temperature, Voltage, ohms, show, volts};

/// What flows when one string closes on the others, or one cell on the rest of its group.
#[derive(Clone, Debug, PartialEq)]
pub struct Equalising {
    /// At the instant of closing: resistances at 1 kHz.
    pub closing: Range<Current>,
    /// What is left after ten seconds if the voltages still differ: ten-second resistances.
    pub sustained: Range<Current>,
    /// What was assumed.
    pub flags: Vec<String>,
}

/// Within which voltage strings may close on each other.
#[derive(Clone, Debug, PartialEq)]
pub struct ClosingWindow {
    /// Difference that keeps the permitted current at the instant of closing.
    pub closing: Voltage,
    /// Difference that keeps it after ten seconds.
    pub sustained: Voltage,
    /// Charge that cells may differ by although their rested voltages agree within the smaller of the two.
    pub hidden_charge: Fraction,
    /// What was assumed.
    pub flags: Vec<String>,
}

impl Pack {
    /// Current when one string closes on all the others at a difference of voltage: `I = dU/(R (1 + 1/(p - 1)))`.
    ///
    /// Series first `R` is a string with its parts; parallel first a cell with two links, and the difference is that of cells.
    ///
    /// # Errors
    /// [`Error::Input`] for a pack with nothing side by side or a difference not above zero; as [`Pack::resistance`].
    ///
    /// ```
    /// use orlop::{Range, cell::{Cell, ChemistryId, StateOfCharge}, pack::{Order, Pack}};
    /// use orlop::units::{ampere_hours, ohms, volts, Temperature};
    /// let cell = Cell::new(ChemistryId::Lfp, ampere_hours(230.0))?
    ///     .with_resistance_1khz(Range::exactly(ohms(0.18e-3)))?
    ///     .with_resistance_dc(Range::exactly(ohms(0.55e-3)))?;
    /// let pack = Pack::new(cell, 8, 2, Order::SeriesFirst)?
    ///     .with_link(Range::exactly(ohms(0.06e-3)))?
    ///     .with_parts(Range::exactly(ohms(0.66e-3)))?;
    /// let flow = pack.equalising(volts(1.0), StateOfCharge::new(0.5)?, Temperature::celsius(25.0))?;
    /// assert_eq!(flow.closing.to_string(), "198 A"); // 1 V over 2 x 2.52 mohm
    /// assert_eq!(flow.sustained.to_string(), "91.2 A"); // 1 V over 2 x 5.48 mohm
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn equalising(
        &self,
        difference: Voltage,
        charge: StateOfCharge,
        temperature: Temperature,
    ) -> Result<Equalising, Error> {
        self.equalising_recorded(difference, charge, temperature, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Pack::equalising`].
    pub fn equalising_recorded(
        &self,
        difference: Voltage,
        charge: StateOfCharge,
        temperature: Temperature,
        rec: &mut impl Recorder,
    ) -> Result<Equalising, Error> {
        let difference = positive(difference, "difference")?;
        let mut flags = Vec::new();
        let mut flow = |method: Method, rec: &mut _| -> Result<Range<Current>, Error> {
            let both = self.both_ways(method, charge, temperature, &mut flags, rec)?;
            let current = |r: Option<Resistance>| r.map(|r| difference / r);
            Ok(Range::from_bounds(current(both.high()), current(both.low())))
        };
        let closing = flow(Method::OneKilohertz, rec)?;
        let sustained = flow(Method::TenSeconds, rec)?;
        for (what, value) in
            [("current at closing, 1 kHz", closing), ("current after ten seconds", sustained)]
        {
            rec.step(|| {
                Step::new(what, "I", value.to_string())
                    .formula("dU/(R (1 + 1/(p - 1)))")
                    .input("dU", difference)
                    .input("p", f64::from(self.parallel()))
            });
        }
        Ok(Equalising { closing, sustained, flags })
    }

    /// Difference of voltage within which one string may close on the others for a permitted current, by the least resistance.
    ///
    /// The smaller of the two is the one to keep. Equal voltages on the flat part of the curve do not mean equal charge: `hidden_charge`
    /// says how much may differ unseen.
    ///
    /// # Errors
    /// As [`Pack::equalising`], for the permitted current.
    pub fn closing_window(
        &self,
        permitted: Current,
        charge: StateOfCharge,
        temperature: Temperature,
    ) -> Result<ClosingWindow, Error> {
        let permitted = positive(permitted, "permitted")?;
        let mut flags = Vec::new();
        let mut limit = |method| -> Result<Voltage, Error> {
            let both = self.both_ways(method, charge, temperature, &mut flags, &mut Silent)?;
            Ok(both.low().map_or(volts(0.0), |r| r * permitted))
        };
        let (closing, sustained) = (limit(Method::OneKilohertz)?, limit(Method::TenSeconds)?);
        let cells = if self.order() == Order::SeriesFirst { f64::from(self.series()) } else { 1.0 };
        let strict = if closing < sustained { closing } else { sustained };
        let chemistry = self.cell().chemistry();
        let rest = chemistry.open_circuit(charge, temperature)?.voltage;
        let may_be = chemistry.charge_from_rest(rest, strict / cells, temperature)?.charge;
        let hidden = may_be.low().zip(may_be.high()).map_or(1.0, |(low, high)| high.share() - low.share());
        if hidden > 0.1 {
            flags.push(format!(
                "voltages this close still permit charges {} apart: join the strings near full charge",
                show(Fraction::new(hidden))
            ));
        }
        Ok(ClosingWindow { closing, sustained, hidden_charge: Fraction::new(hidden), flags })
    }

    /// Resistance around the loop of one string (or cell) and all the others.
    fn both_ways(
        &self,
        method: Method,
        charge: StateOfCharge,
        temperature: Temperature,
        flags: &mut Vec<String>,
        rec: &mut impl Recorder,
    ) -> Result<Range<Resistance>, Error> {
        if self.parallel() < 2 {
            let got = self.parallel().to_string();
            return Err(Error::input("parallel", got, "two or more side by side, to close on each other"));
        }
        let one = match self.order() {
            Order::SeriesFirst => {
                let r = self.resistance_recorded(method, charge, temperature, rec)?;
                add(flags, r.flags);
                r.string
            }
            Order::ParallelFirst => {
                let r = self.cell().resistance_recorded(method, charge, temperature, rec)?;
                let with = |cell: Resistance, link: Option<Resistance>| link.map(|l| cell + l * 2.0);
                let link = self.link();
                let low = with(r.low(), link.low().or(Some(ohms(0.0))));
                let value = Range::from_bounds(low, with(r.high(), link.high()));
                add(flags, r.flags);
                value
            }
        };
        let around = 1.0 + 1.0 / f64::from(self.parallel() - 1);
        Ok(Range::from_bounds(one.low().map(|r| r * around), one.high().map(|r| r * around)))
    }
}

fn add(flags: &mut Vec<String>, more: Vec<String>) {
    for flag in more {
        if !flags.contains(&flag) {
            flags.push(flag);
        }
    }
}
