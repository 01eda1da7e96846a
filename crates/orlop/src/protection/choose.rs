//! Chooses the smallest rating that fits, family by family in order of preference.

use super::device::Device;
use super::family::{Family, family};
use super::fits::fits;
use super::judge::{bars, judge};
use super::need::{Need, Window};
use super::refusal::{NoDevice, Refusal};
use crate::error::Error;
use crate::judgement::{Judgement, Sense, meets};
use crate::working::{Recorder, Silent, Step};
use orlop_units::Quantity;

/// A chosen device and why it was that one.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// The device.
    pub device: Device,
    /// The window of ratings in which it lies.
    pub window: Window,
    /// The families preferred to it, and why each does not fit.
    pub passed_over: Vec<Refusal>,
    judgements: Vec<Judgement>,
}

impl Choice {
    /// Every criterion of the chosen device under an address of its own.
    #[must_use]
    pub fn judgements(&self, subject: &str) -> Vec<Judgement> {
        self.judgements.iter().map(|j| Judgement { subject: subject.into(), ..j.clone() }).collect()
    }
}

/// The smallest rating of the first family that fits.
///
/// A device fits when its rating lies in the window after derating, its DC voltage rating reaches the highest charging
/// voltage, its DC breaking capacity the highest fault current, and its slowest edge clears the lowest fault current
/// in time and within the conductor's withstand. Fault currents that are not known are not tested, and
/// [`Choice::judgements`] says so.
///
/// ```
/// use orlop::protection::{Need, choose};
/// use orlop::units::{LetThrough, Temperature, amperes, show, volts};
/// let need = Need {
///     fault_high: Some(amperes(900.0)),
///     fault_low: Some(amperes(131.0)),
///     withstand: Some(LetThrough::ampere_squared_seconds(29_756.0)),
///     ..Need::new(amperes(7.0), amperes(20.0), volts(29.2), Temperature::celsius(25.0))
/// };
/// let families = ["iso8820-3-blade".to_string()];
/// assert_eq!(choose(&need, &families).unwrap().device.to_string(), "iso8820-3-blade 10 A");
///
/// let strong = Need { fault_high: Some(amperes(4000.0)), ..need };
/// let none = choose(&strong, &families).unwrap_err();
/// assert_eq!(none.remedies()[0].to_string(), "a family or declared device that breaks 4 kA DC or more");
/// ```
///
/// # Errors
/// [`NoDevice::NoneFits`] with the first reason of each family and remedies; [`NoDevice::Question`] for an
/// impossible need, an unknown family or no family at all.
pub fn choose(need: &Need, families: &[String]) -> Result<Choice, NoDevice> {
    choose_recorded(need, families, &mut Silent)
}

/// [`choose`] with its steps.
///
/// # Errors
/// As there.
pub fn choose_recorded(
    need: &Need,
    families: &[String],
    rec: &mut impl Recorder,
) -> Result<Choice, NoDevice> {
    need.check()?;
    if families.is_empty() {
        return Err(Error::input("families", "an empty list", "at least one family").into());
    }
    let families = families.iter().map(|id| family(id)).collect::<Result<Vec<_>, _>>()?;
    let mut passed_over = Vec::new();
    for family in families {
        match fit(need, family)? {
            Ok((device, window, judgements)) => {
                need.window_recorded(family, rec)?;
                rec.step(|| chosen(&device, &passed_over));
                return Ok(Choice { device, window, passed_over, judgements });
            }
            Err(refusal) => {
                rec.step(|| passed(&refusal));
                passed_over.push(*refusal);
            }
        }
    }
    Err(NoDevice::NoneFits(passed_over))
}

type Fit = Result<(Device, Window, Vec<Judgement>), Box<Refusal>>;

/// The smallest rating of one family that fits, or why none does.
fn fit(need: &Need, family: &'static Family) -> Result<Fit, Error> {
    let window = need.window(family)?;
    let mut nearest = None;
    for rating in &family.ratings {
        let device = Device::of(family, *rating)?;
        let carries = meets(device.rating_at(need.ambient).si(), Sense::AtLeast, window.lowest.si());
        if !carries || !meets(rating.si(), Sense::AtMost, window.highest.si()) {
            continue;
        }
        if fits(&device, need, window.lowest, window.highest) {
            let judgements = judge("", &device, need)?;
            return Ok(Ok((device, window, judgements)));
        }
        if nearest.is_none() {
            let judgements = judge("", &device, need)?;
            nearest =
                judgements.iter().find(|j| bars(j)).map(|failed| Refusal::criterion(&device, need, failed));
        }
    }
    Ok(Err(Box::new(nearest.unwrap_or_else(|| Refusal::window(family, need, &window)))))
}

fn passed(refusal: &Refusal) -> Step {
    Step::new(format!("family {}", refusal.family), "", "does not fit").formula(refusal.why.clone())
}

fn chosen(device: &Device, passed_over: &[Refusal]) -> Step {
    let how = "smallest rating in the window that meets voltage, breaking capacity, clearing and withstand";
    let before: Vec<_> = passed_over.iter().map(|r| r.family.as_str()).collect();
    let step = Step::new("device", "", device.to_string()).formula(how).source(&device.family().citation);
    if before.is_empty() { step } else { step.input("passed over", before.join(", ")) }
}
