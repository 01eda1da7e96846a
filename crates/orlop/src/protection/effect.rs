//! What each remedy would do, in numbers.

use super::choose::choose;
use super::family::families;
use super::need::Need;
use super::refusal::{NoDevice, Remedy};
use crate::conductor::{Conductor, standard_sizes};
use crate::error::{Error, not_negative, positive};
use orlop_units::{Current, Loop, Quantity, Resistance, Temperature, Voltage, amperes, ohms, show};

/// The circuit whose far end does not draw enough current, at the lower corner.
#[derive(Clone, Debug, PartialEq)]
pub struct FarEnd {
    /// Lowest voltage of the source.
    pub emf: Voltage,
    /// Largest resistance of all but this conductor, up to the far end.
    pub others: Resistance,
    /// The conductor.
    pub conductor: Conductor,
    /// Its length, both legs.
    pub run: Loop,
    /// Its temperature: the rated one.
    pub temperature: Temperature,
}

impl FarEnd {
    /// Fault current at the far end: `E/(R + L r)`, with `r` the conductor's resistance of a metre.
    ///
    /// # Errors
    /// [`Error::Input`] for a voltage or length not above zero, or a negative resistance.
    pub fn fault(&self) -> Result<Current, Error> {
        let emf = positive(self.emf, "emf")?.si();
        let others = not_negative(self.others, "others")?.si();
        let run = positive(self.run.0, "run")?.si();
        Ok(amperes(emf / (others + run * self.conductor.resistance_per_length(self.temperature).si())))
    }

    /// What gives the far end a fault current: the next larger conductor and the first that is enough, each with what a short then
    /// draws, and the largest resistance of a battery near the load that would do.
    ///
    /// # Errors
    /// As [`FarEnd::fault`].
    pub fn remedies(&self, at_least: Current) -> Result<Vec<Remedy>, Error> {
        let mut told = larger(self, at_least)?;
        told.push(Remedy::LocalBattery { at_most: ohms(self.emf.si() / at_least.si()), gives: at_least });
        Ok(told)
    }

    fn with(&self, conductor: Conductor) -> Self {
        Self { conductor, ..self.clone() }
    }
}

/// The remedies of a refusal, and what each would do here.
///
/// Where the far end draws too little current: the next larger conductor and what a short there then draws; the first one that
/// draws enough; the largest resistance of a battery near the load, its leads included, that would do. Where another family
/// fits, it is named.
///
/// ```
/// use orlop::conductor::{Conductor, Material};
/// use orlop::protection::{FarEnd, Need, choose, remedies_in_numbers};
/// use orlop::units::{ConductorSize, Loop, Temperature, amperes, metres, ohms, volts};
/// let warm = Temperature::celsius(70.0);
/// let far = FarEnd {
///     emf: volts(25.6),
///     others: ohms(0.003),
///     conductor: Conductor::new(ConductorSize::Metric(100), warm, Material::Copper, true)?,
///     run: Loop(metres(19.2)),
///     temperature: warm,
/// };
/// let need = Need {
///     fault_low: Some(far.fault()?),
///     ..Need::new(amperes(24.0), amperes(40.0), volts(29.2), Temperature::celsius(25.0))
/// };
/// let families = ["iso8820-3-blade".to_string()];
/// let none = choose(&need, &families).unwrap_err();
/// let told = remedies_in_numbers(&none, &need, &families, Some(&far))?;
/// assert!(told[0].to_string().starts_with("1.5 mm2 instead of 1 mm2: "), "{}", told[0]);
/// # Ok::<(), orlop::Error>(())
/// ```
///
/// # Errors
/// [`Error::Input`] for impossible values in the circuit.
pub fn remedies_in_numbers(
    none: &NoDevice,
    need: &Need,
    preferred: &[String],
    far: Option<&FarEnd>,
) -> Result<Vec<Remedy>, Error> {
    let mut told = Vec::new();
    let wanted = none.remedies().iter().filter_map(more_current).reduce(Current::min);
    if let (Some(far), Some(at_least)) = (far, wanted) {
        told.extend(far.remedies(at_least)?);
    }
    for family in families().iter().filter(|f| !preferred.contains(&f.id)) {
        if let Ok(choice) = choose(need, std::slice::from_ref(&family.id)) {
            told.push(Remedy::OtherFamily { device: Box::new(choice.device) });
        }
    }
    told.extend(none.remedies());
    Ok(told)
}

fn more_current(remedy: &Remedy) -> Option<Current> {
    match remedy {
        Remedy::MoreFaultCurrent { at_least, .. } => Some(*at_least),
        _ => None,
    }
}

/// The next larger conductor, and the first that draws enough.
fn larger(far: &FarEnd, at_least: Current) -> Result<Vec<Remedy>, Error> {
    let now = far.fault()?;
    let area = far.conductor.area();
    let mut told = Vec::new();
    let own = far.conductor.size();
    for size in standard_sizes(own.system()) {
        let c = &far.conductor;
        let Ok(conductor) = Conductor::new(*size, c.insulation(), c.material(), c.tinned()) else { continue };
        if conductor.area() <= area {
            continue;
        }
        let then = far.with(conductor).fault()?;
        let enough = then >= at_least;
        if told.is_empty() || enough {
            told.push(Remedy::LargerConductor { from: own, size: *size, now, then, at_least });
        }
        if enough {
            break;
        }
    }
    Ok(told)
}

/// The sentence of a larger conductor.
pub(super) fn sentence(now: Current, then: Current, at_least: Current) -> String {
    let enough = if then >= at_least { "enough" } else { "not yet enough" };
    format!(
        "a short at the far end draws {} instead of {}, {enough} for the {} that the device needs",
        show(then),
        show(now),
        show(at_least)
    )
}
