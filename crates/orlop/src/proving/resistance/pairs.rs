//! A resistance from volts and amperes read at the same moments.

use crate::error::Error;
use crate::proving::uncertainty::{Budget, Common, Readings, Term};
use orlop_units::{Current, Quantity, Resistance, Voltage, ohms};

/// R = mean U / mean I from readings taken together, their covariance kept.
///
/// The uncertainty is that of the scatter (degrees of freedom: readings minus one). Errors of the meters themselves do not show in
/// scatter; add them as terms.
///
/// # Errors
/// [`Error::Input`] for fewer than two pairs, lists of different lengths, a reading that is not finite, or a mean current of zero.
///
/// ```
/// use orlop::{proving::resistance::from_pairs, units::{amperes, show, volts}};
/// let volts = [volts(0.1748), volts(0.1754), volts(0.1751)];
/// let amperes = [amperes(61.9), amperes(62.1), amperes(62.0)];
/// assert_eq!(show(from_pairs(&volts, &amperes)?.value()), "2.82 mohm");
/// # Ok::<(), orlop::Error>(())
/// ```
pub fn from_pairs(voltages: &[Voltage], currents: &[Current]) -> Result<Budget<Resistance>, Error> {
    let u: Vec<f64> = voltages.iter().map(|v| v.si()).collect();
    let i: Vec<f64> = currents.iter().map(|c| c.si()).collect();
    let read = Readings::new(&[&u, &i])?;
    if read.mean(1) == 0.0 {
        return Err(Error::input("currents", "a mean of 0 A", "a current that is not zero"));
    }
    let derived = read.derive(|m| vec![m[0] / m[1]]);
    let scatter = Term::normal("scatter of the readings", ohms(derived.standard(0)), 1.0, Common::Own)
        .with_degrees_of_freedom(read.degrees_of_freedom() as f64);
    Budget::new(ohms(derived.values[0]), vec![scatter])
}
