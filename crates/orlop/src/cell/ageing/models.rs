//! Published ageing models: what each is for, and the laws it gives. The equations are in `equations`.

use super::equations::Part;
use super::law::{Cycling, Law, Storage};
use crate::cell::ChemistryId;
use crate::choice::choice;
use crate::error::Error;
use crate::source::Citation;
use crate::tables::{Row, file};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Quantity, Temperature, show, significant};

choice! {
    /// A published model of ageing. The words are those of Python and boat files.
    AgeingModel {
        /// LFP, cycles: B exp(-(Ea + 370.3 C)/(R T)) Ah^0.55 percent, B by rate.
        Wang2011 = "wang-2011",
        /// LFP, cycles at C/2: 30330 exp(-31500/(R T)) Ah^0.552 percent.
        Wang2011HalfRate = "wang-2011-half-rate",
        /// LFP, calendar and cycles, capacity and resistance: Naumann 2018 and 2020.
        Naumann = "naumann",
        /// LFP above 250 Ah, calendar and cycles.
        LargeLfp = "lfp-250ah",
        /// LFP, calendar.
        Swierczynski2015 = "swierczynski-2015",
        /// NMC, calendar and cycles, capacity and resistance.
        Schmalstieg2014 = "schmalstieg-2014",
        /// NMC, calendar.
        NmcCalendar = "nmc-calendar",
        /// NMC against LTO, cycles.
        NmcLto = "nmc-lto-10ah",
        /// LMO against LTO, calendar and cycles.
        LmoLto = "lmo-lto",
    }
}

impl AgeingModel {
    /// The chemistry it was made for.
    #[must_use]
    pub fn chemistry(self) -> ChemistryId {
        match self {
            Self::Wang2011
            | Self::Wang2011HalfRate
            | Self::Naumann
            | Self::LargeLfp
            | Self::Swierczynski2015 => ChemistryId::Lfp,
            Self::Schmalstieg2014 | Self::NmcCalendar => ChemistryId::Nmc,
            Self::NmcLto | Self::LmoLto => ChemistryId::Lto,
        }
    }

    /// Capacity lost on the calendar, over days.
    ///
    /// # Errors
    /// [`Error::Input`] for a model without a calendar part or conditions that no cell is in; [`Error::OutOfTable`] where
    /// the formula has no value.
    ///
    /// ```
    /// use orlop::{cell::{ageing::{AgeingModel, Storage}, StateOfCharge}, units::{show, Temperature}};
    /// let shelf = Storage { charge: StateOfCharge::new(0.5)?, temperature: Temperature::celsius(25.0) };
    /// let year = AgeingModel::Naumann.calendar(&shelf)?.after(365.0)?;
    /// assert_eq!(show(year), "4.25 %");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn calendar(self, storage: &Storage) -> Result<Law, Error> {
        self.calendar_recorded(storage, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`AgeingModel::calendar`].
    pub fn calendar_recorded(self, storage: &Storage, rec: &mut impl Recorder) -> Result<Law, Error> {
        let part = self.calendar_part(&storage.checked()?)?;
        self.law(part, "calendar", storage.temperature, ("valid_from", "valid_to"), Self::has_calendar, rec)
    }

    /// Capacity lost by cycles, over full equivalent cycles.
    ///
    /// # Errors
    /// [`Error::Input`] for a model without cycles or conditions that no cell is in; [`Error::OutOfTable`] where the
    /// formula has no value.
    pub fn cycling(self, cycling: &Cycling) -> Result<Law, Error> {
        self.cycling_recorded(cycling, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`AgeingModel::cycling`].
    pub fn cycling_recorded(self, cycling: &Cycling, rec: &mut impl Recorder) -> Result<Law, Error> {
        let part = self.cycling_part(&cycling.checked()?)?;
        self.law(part, "cycles", cycling.temperature, self.cycle_range(), Self::has_cycling, rec)
    }

    /// Growth of the resistance on the calendar, over days.
    ///
    /// # Errors
    /// As [`AgeingModel::calendar`].
    pub fn calendar_resistance(self, storage: &Storage) -> Result<Law, Error> {
        let part = self.calendar_growth(&storage.checked()?)?;
        let asked = storage.temperature;
        self.law(
            part,
            "growth of resistance on the calendar",
            asked,
            ("valid_from", "valid_to"),
            Self::has_resistance,
            &mut Silent,
        )
    }

    /// Growth of the resistance by cycles, over full equivalent cycles.
    ///
    /// # Errors
    /// As [`AgeingModel::cycling`].
    pub fn cycling_resistance(self, cycling: &Cycling) -> Result<Law, Error> {
        let part = self.cycling_growth(&cycling.checked()?)?;
        let asked = cycling.temperature;
        self.law(
            part,
            "growth of resistance by cycles",
            asked,
            self.cycle_range(),
            Self::has_resistance,
            &mut Silent,
        )
    }

    /// Whether it tells the loss on the calendar.
    #[must_use]
    pub fn has_calendar(self) -> bool {
        !matches!(self, Self::Wang2011 | Self::Wang2011HalfRate | Self::NmcLto)
    }
    /// Whether it tells the loss by cycles.
    #[must_use]
    pub fn has_cycling(self) -> bool {
        !matches!(self, Self::Swierczynski2015 | Self::NmcCalendar)
    }
    /// Whether it tells the growth of the resistance.
    #[must_use]
    pub fn has_resistance(self) -> bool {
        matches!(self, Self::Naumann | Self::Schmalstieg2014)
    }

    /// Names of the temperatures between which its cycles were tested.
    fn cycle_range(self) -> (&'static str, &'static str) {
        match self {
            Self::Naumann => ("cycle_valid_from", "cycle_valid_to"),
            _ => ("valid_from", "valid_to"),
        }
    }

    fn row(self, parameter: &str) -> Row<'static> {
        file("cell_ageing_models")
            .rows()
            .find(|row| row.text("model") == self.word() && row.text("parameter") == parameter)
            .unwrap_or_else(|| panic!("cell_ageing_models: no {parameter} of {}", self.word()))
    }

    pub(super) fn p(self, parameter: &str) -> f64 {
        self.row(parameter).number("value")
    }

    /// The source of the formula that a coefficient belongs to, with the weakest confidence of its coefficients.
    fn citation(self, parameter: &str) -> Citation {
        let first = self.row(parameter);
        let rows = file("cell_ageing_models").rows().filter(|row| {
            row.text("model") == self.word()
                && row.text("source") == first.text("source")
                && !row.text("parameter").contains("valid_")
        });
        Citation {
            document: first.text("source").to_string().into(),
            edition: "".into(),
            place: "".into(),
            reading: first.text("reading").to_string().into(),
            confidence: rows.map(|r| r.confidence()).fold(first.confidence(), crate::Confidence::weaker),
            ..first.citation()
        }
    }

    /// A coefficient that stands for the source of a formula.
    fn stands_for(self, what: &str) -> &'static str {
        match (self, what) {
            (Self::Naumann, what) if what.contains("cycles") => "cq_a",
            (Self::Naumann, _) => "q_k",
            (Self::Wang2011, _) => "b_0.5",
            (Self::Wang2011HalfRate, _) => "ea",
            (Self::LargeLfp, _) => "p1",
            (Self::Swierczynski2015, _) => "soc_factor",
            (Self::Schmalstieg2014, _) => "ac_v",
            (Self::NmcCalendar, _) => "q0",
            (Self::NmcLto, _) => "g_0",
            (Self::LmoLto, _) => "cal",
        }
    }

    fn law(
        self,
        part: Option<Part>,
        what: &str,
        temperature: Temperature,
        range: (&str, &str),
        has: fn(Self) -> bool,
        rec: &mut impl Recorder,
    ) -> Result<Law, Error> {
        let part = part.ok_or_else(|| {
            let others: Vec<_> = Self::ALL.iter().filter(|m| has(**m)).map(|m| m.word()).collect();
            Error::input(
                "model",
                format!("{}, which tells nothing of {what}", self.word()),
                others.join(", "),
            )
        })?;
        if !(part.factor.is_finite() && part.factor > 0.0) {
            return Err(Error::OutOfTable {
                table: format!("ageing model {}", self.word()),
                asked: format!("{what} at {}", show(temperature)),
                range: "conditions in which its formula is above zero".into(),
                hint: "ask another model".into(),
            });
        }
        let mut flags = part.flags;
        let (from, to) = (self.p(range.0), self.p(range.1));
        if !(from..=to).contains(&temperature.si()) {
            flags.push(format!(
                "{}: {what} were tested between {from} and {to} degC; {} lies outside",
                self.word(),
                show(temperature)
            ));
        }
        let law = Law {
            offset: part.offset,
            factor: part.factor,
            exponent: part.exponent,
            flags,
            citation: self.citation(self.stands_for(what)),
        };
        rec.step(|| {
            let value = format!("{} x^{}", significant(law.factor, 4), significant(law.exponent, 4));
            Step::new(format!("loss by {what}, model {}", self.word()), "q", value)
                .formula(part.formula)
                .input("T", temperature)
                .source(&law.citation)
        });
        Ok(law)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cell::StateOfCharge;

    #[test]
    fn every_model_has_a_part_and_every_part_its_rows() {
        for model in AgeingModel::ALL {
            assert!(model.has_calendar() || model.has_cycling());
            let storage =
                Storage { charge: StateOfCharge::new(0.6).unwrap(), temperature: Temperature::celsius(30.0) };
            let cycling = Cycling {
                depth: orlop_units::Fraction::new(0.8),
                rate: crate::cell::Rate::new(0.5).unwrap(),
                middle: storage.charge,
                temperature: storage.temperature,
            };
            assert_eq!(model.calendar(&storage).is_ok(), model.has_calendar(), "{}", model.word());
            assert_eq!(model.cycling(&cycling).is_ok(), model.has_cycling(), "{}", model.word());
            assert_eq!(model.calendar_resistance(&storage).is_ok(), model.has_resistance());
            assert_eq!(model.cycling_resistance(&cycling).is_ok(), model.has_resistance());
        }
    }
}
