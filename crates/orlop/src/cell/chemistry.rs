//! The chemistries: which there are, and what is known of each.

use super::curve::Curve;
use super::facts::{Fact, GasFact, fact, gas};
use crate::choice::choice;
use crate::error::Error;
use crate::range::Range;
use orlop_units::{
    Fraction, Number, Quantity, SpecificEnergy, SpecificHeat, Temperature, Time, Voltage,
    VoltagePerTemperature,
};
use std::sync::LazyLock;

choice! {
    /// A battery chemistry.
    ChemistryId {
        /// Lithium iron phosphate against graphite.
        Lfp = "lfp",
        /// Lithium nickel manganese cobalt oxide against graphite.
        Nmc = "nmc",
        /// Lithium titanate against nickel manganese cobalt oxide.
        Lto = "lto",
        /// Lead-acid with free electrolyte.
        LeadFlooded = "lead-flooded",
        /// Lead-acid with electrolyte in glass mats, valve regulated.
        LeadAgm = "lead-agm",
        /// Lead-acid with gelled electrolyte, valve regulated.
        LeadGel = "lead-gel",
    }
}

/// What is known of a chemistry, per cell. Rates are multiples of the capacity per hour.
#[derive(Debug)]
pub struct Chemistry {
    /// Which it is.
    pub id: ChemistryId,
    /// Nominal voltage.
    pub nominal_voltage: Fact<Voltage>,
    /// Voltage at which a discharge ends.
    pub lowest_voltage: Fact<Voltage>,
    /// Voltage that charging must not exceed.
    pub highest_voltage: Fact<Voltage>,
    /// Temperature from which it may be charged.
    pub charge_from: Fact<Temperature>,
    /// Temperature up to which it may be charged.
    pub charge_to: Fact<Temperature>,
    /// Temperature from which it may be discharged.
    pub discharge_from: Fact<Temperature>,
    /// Temperature up to which it may be discharged.
    pub discharge_to: Fact<Temperature>,
    /// Highest continuous rate of charge.
    pub charge_rate: Fact<Number>,
    /// Highest continuous rate of discharge.
    pub discharge_rate: Fact<Number>,
    /// Charge out over charge in.
    pub coulombic_efficiency: Fact<Fraction>,
    /// Energy out over energy in.
    pub energy_efficiency: Fact<Fraction>,
    /// Entropy coefficient: how the rest voltage moves with temperature.
    pub entropy: Fact<VoltagePerTemperature>,
    /// Specific heat of a cell.
    pub heat_capacity: Fact<SpecificHeat>,
    /// Ten-second resistance over that at 1 kHz.
    pub ten_seconds_over_1khz: Fact<Number>,
    /// Data-sheet maximum of the 1 kHz resistance times capacity, mOhm Ah.
    pub resistance_capacity: Fact<Number>,
    /// Activation energy of the resistance, kJ/mol.
    pub activation_energy: Fact<Number>,
    /// Resistance at the end of life over that of a new cell.
    pub aged_resistance: Fact<Number>,
    /// Peukert exponent.
    pub peukert: Fact<Number>,
    /// Hours of the discharge that capacities are rated at.
    pub rated_hours: Fact<Time>,
    /// Self-discharge in a month.
    pub self_discharge: Fact<Fraction>,
    /// Energy per mass: a thumb range, never a substitute for weighing.
    pub specific_energy: Fact<SpecificEnergy>,
    /// What it gives off when it fails.
    pub gas: Vec<GasFact>,
    curves: Vec<Curve>,
}

static ALL: LazyLock<Vec<Chemistry>> =
    LazyLock::new(|| ChemistryId::ALL.iter().map(|id| Chemistry::read(*id)).collect());

/// Data files of the open-circuit curves of a chemistry; the first is the default.
fn curve_files(id: ChemistryId) -> &'static [&'static str] {
    match id {
        ChemistryId::Lfp => &[
            "cell_ocv_lfp_prismatic_2019",
            "cell_ocv_lfp_26650_2018",
            "cell_ocv_lfp_18650_pseudo",
            "cell_ocv_lfp_18650_half_cells",
        ],
        ChemistryId::Nmc => &["cell_ocv_nmc111_2014", "cell_ocv_nmc_75ah", "cell_ocv_nmc811_2020"],
        ChemistryId::Lto => &["cell_ocv_nmc_lto_estimate"],
        ChemistryId::LeadFlooded => &["cell_ocv_lead_flooded_bci", "cell_ocv_lead_flooded_1280"],
        ChemistryId::LeadAgm | ChemistryId::LeadGel => {
            &["cell_ocv_lead_2000", "cell_ocv_lead_flooded_1280", "cell_ocv_lead_2007"]
        }
    }
}

impl ChemistryId {
    /// What is known of it.
    ///
    /// ```
    /// use orlop::{cell::ChemistryId, units::Quantity};
    /// assert_eq!(ChemistryId::Lfp.chemistry().nominal_voltage.low().out(), 3.2);
    /// ```
    #[must_use]
    pub fn chemistry(self) -> &'static Chemistry {
        let at = ChemistryId::ALL.iter().position(|id| *id == self).expect("listed");
        &ALL[at]
    }
}

impl Chemistry {
    fn read(id: ChemistryId) -> Self {
        Self {
            id,
            nominal_voltage: fact(id, "nominal_voltage"),
            lowest_voltage: fact(id, "lowest_voltage"),
            highest_voltage: fact(id, "highest_voltage"),
            charge_from: fact(id, "charge_from"),
            charge_to: fact(id, "charge_to"),
            discharge_from: fact(id, "discharge_from"),
            discharge_to: fact(id, "discharge_to"),
            charge_rate: fact(id, "charge_rate"),
            discharge_rate: fact(id, "discharge_rate"),
            coulombic_efficiency: fact(id, "coulombic_efficiency"),
            energy_efficiency: fact(id, "energy_efficiency"),
            entropy: fact(id, "entropy"),
            heat_capacity: fact(id, "heat_capacity"),
            ten_seconds_over_1khz: fact(id, "ten_seconds_over_1khz"),
            resistance_capacity: fact(id, "resistance_capacity"),
            activation_energy: fact(id, "activation_energy"),
            aged_resistance: fact(id, "aged_resistance"),
            peukert: fact(id, "peukert"),
            rated_hours: fact(id, "rated_hours"),
            self_discharge: fact(id, "self_discharge"),
            specific_energy: fact(id, "specific_energy"),
            gas: gas(id),
            curves: curve_files(id).iter().map(|name| Curve::read(name)).collect(),
        }
    }

    /// Lowest and highest voltage of a cell in service: the strictest of what the sources say.
    #[must_use]
    pub fn voltage_window(&self) -> Range<Voltage> {
        Range::new(self.lowest_voltage.high(), self.highest_voltage.low())
    }

    /// Its open-circuit curves; the first is the default.
    #[must_use]
    pub fn curves(&self) -> &[Curve] {
        &self.curves
    }

    /// A curve by its name.
    ///
    /// # Errors
    /// [`Error::Input`] with the names there are.
    pub fn curve(&self, id: &str) -> Result<&Curve, Error> {
        self.curves.iter().find(|c| c.id() == id.trim()).ok_or_else(|| {
            let names: Vec<_> = self.curves.iter().map(Curve::id).collect();
            Error::input("curve", format!("'{}'", id.trim()), format!("one of {}", names.join(", ")))
        })
    }

    /// Lowest and highest temperature at which any source has the chemistry at work, degC.
    pub(super) fn working_temperatures(&self) -> (f64, f64) {
        (self.discharge_from.low().si(), self.discharge_to.high().si())
    }

    /// Refuses a temperature at which no source has the chemistry at work.
    pub(super) fn at_work(&self, temperature: Temperature) -> Result<f64, Error> {
        let t = temperature.si();
        if !t.is_finite() {
            return Err(Error::input("temperature", t.to_string(), "a temperature"));
        }
        let (low, high) = self.working_temperatures();
        if (low..=high).contains(&t) {
            return Ok(t);
        }
        Err(Error::OutOfTable {
            table: format!("working temperatures of {}", self.id.word()),
            asked: orlop_units::show(temperature),
            range: format!("{low} to {high} degC"),
            hint: "warm or cool the cells".into(),
        })
    }
}
