//! Selectivity of the devices of a network, at the fault currents that it has where they stand.

use super::Network;
use super::fault::in_series;
use crate::error::Error;
use crate::protection::{InSeries, Placed, SelectivityMatrix, selectivity_matrix};
use orlop_units::Fraction;

impl Network {
    /// Which devices are selective with which, at the fault currents through them.
    ///
    /// Each device stands in the branch of its id. Two are in series when the upstream one carries current that the downstream one
    /// passes on into a fault just behind it; that current, at both bounds, is what they are compared at. Where the upstream
    /// device carries only part of it (one string of several), its largest share over all states of the sources
    /// counts. With several strings each string's device is also upstream of the others, by the back-feed into them.
    ///
    /// ```
    /// use orlop::Range;
    /// use orlop::network::{Network, Part, RETURN, Source};
    /// use orlop::protection::{Device, Placed};
    /// use orlop::units::{amperes, ohms, volts};
    /// let mut net = Network::new();
    /// let resistance = Range::new(ohms(0.0025), ohms(0.0055));
    /// net.source("bank", "bank", RETURN, Source { emf: Range::exactly(volts(25.6)), resistance, may_open: false })?;
    /// net.branch("main", "bank", "bus", Part::Resistance(Range::exactly(ohms(0.0001))))?;
    /// net.branch("F5", "bus", "pump", Part::Resistance(Range::new(ohms(0.16), ohms(0.19))))?;
    /// let devices = [
    ///     Placed { id: "main".into(), device: Device::new("iec60269-gg", amperes(160.0))?, load: amperes(60.0) },
    ///     Placed { id: "F5".into(), device: Device::new("iso8820-3-blade", amperes(10.0))?, load: amperes(5.0) },
    /// ];
    /// let matrix = net.selectivity(&devices)?;
    /// assert_eq!(matrix.pair("main", "F5").unwrap().at_low, Some(true));
    /// assert!(matrix.pair("F5", "main").is_none());
    /// # Ok::<(), orlop::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::Input`] for an id that is no branch of this network or comes twice, or a negative load.
    pub fn selectivity(&self, devices: &[Placed]) -> Result<SelectivityMatrix, Error> {
        let mut branches = Vec::with_capacity(devices.len());
        for placed in devices {
            let at = self.branches().iter().position(|b| b.id == placed.id).ok_or_else(|| {
                let expected = "the id of a branch of this network, one device in each";
                Error::input("device", format!("'{}'", placed.id), expected)
            })?;
            if branches.contains(&at) {
                return Err(Error::input(
                    "device",
                    format!("'{}' twice", placed.id),
                    "one device in each branch",
                ));
            }
            branches.push(at);
        }
        let pairs: Vec<InSeries> = in_series(self, &branches)
            .into_iter()
            .map(|s| InSeries {
                upstream: s.upstream,
                downstream: s.downstream,
                fault: s.fault,
                share: Fraction::new(s.share),
            })
            .collect();
        selectivity_matrix(devices, &pairs)
    }
}
