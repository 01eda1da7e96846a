//! A link between two cells: its resistance with its joints, its temperature, its mass.
//!
//! R = rho(T) L/A + 2 Rj, one joint at each end. The heat of the joints is counted as if all of it left through the body of the
//! link and none went into the posts, which is on the hot side.

use crate::conductor::busbar::{FLAT_BAR, FlatBar};
use crate::conductor::resistance::RESISTIVITY;
use crate::conductor::{Conductor, Material};
use crate::error::{Error, not_negative, positive};
use crate::range::Range;
use crate::source::{Citation, Confidence};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Current, Length, Mass, Quantity, Resistance, Temperature, kilograms, ohms};

pub(crate) static JOINTS: Citation = Citation::fixed(
    "cell-link-joints",
    "a builder's four-wire measurements of cell links",
    "",
    "",
    "5 to 18 microohm for a clean bolted joint on a cell; 0.2 mOhm for each crimp and lug in one trade calculation",
    Confidence::CommonPractice,
    "one copy",
);

/// Density of copper and of aluminium, kg/m3.
const DENSITY: [f64; 2] = [8900.0, 2700.0];

#[derive(Clone, Debug, PartialEq)]
enum Body {
    Bar(FlatBar),
    Cable(Conductor),
}

/// A bar or a cable with a joint at either end.
///
/// ```
/// use orlop::{pack::link::Jumper, conductor::{Material, busbar::FlatBar}, units::{millimetres, show, Temperature}};
/// let bar = FlatBar::new(millimetres(20.0), millimetres(2.0), Material::Copper)?;
/// let link = Jumper::bar(bar, millimetres(105.0))?;
/// let cold = Temperature::celsius(20.0);
/// assert_eq!(show(link.body_resistance(cold)), "45.3 uohm");
/// assert_eq!(link.resistance(cold).to_string(), "55.3 uohm to 81.3 uohm");
/// # Ok::<(), orlop::Error>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Jumper {
    body: Body,
    length: Length,
    joint: (Resistance, Resistance),
}

impl Jumper {
    /// A flat bar of a length between the posts.
    ///
    /// # Errors
    /// [`Error::Input`] for a length not above zero.
    pub fn bar(bar: FlatBar, length: Length) -> Result<Self, Error> {
        Self::new(Body::Bar(bar), length)
    }

    /// A cable of a length between the posts.
    ///
    /// # Errors
    /// [`Error::Input`] for a length not above zero.
    pub fn cable(cable: Conductor, length: Length) -> Result<Self, Error> {
        Self::new(Body::Cable(cable), length)
    }

    fn new(body: Body, length: Length) -> Result<Self, Error> {
        Ok(Self { body, length: positive(length, "length")?, joint: (ohms(5e-6), ohms(18e-6)) })
    }

    /// The same with the resistance of each of its two joints, measured or supposed.
    ///
    /// # Errors
    /// [`Error::Input`] for a negative or missing bound.
    pub fn with_joints(self, each: Range<Resistance>) -> Result<Self, Error> {
        let (Some(low), Some(high)) = (each.low(), each.high()) else {
            return Err(Error::input("joints", each.to_string(), "a resistance with both bounds"));
        };
        Ok(Self { joint: (not_negative(low, "joints")?, not_negative(high, "joints")?), ..self })
    }

    /// Its resistance without the joints.
    #[must_use]
    pub fn body_resistance(&self, at: Temperature) -> Resistance {
        let per_length = match &self.body {
            Body::Bar(bar) => bar.resistance_per_length(at),
            Body::Cable(cable) => cable.resistance_per_length(at),
        };
        per_length * self.length
    }

    /// Its resistance with both joints.
    #[must_use]
    pub fn resistance(&self, at: Temperature) -> Range<Resistance> {
        let body = self.body_resistance(at);
        Range::new(body + self.joint.0 * 2.0, body + self.joint.1 * 2.0)
    }

    /// Its temperature under a lasting current with the better and the worse joints. See the [module](self).
    ///
    /// # Errors
    /// As [`FlatBar::rise`] or [`Conductor::steady_state`].
    pub fn temperature(&self, current: Current, ambient: Temperature) -> Result<Range<Temperature>, Error> {
        self.temperature_recorded(current, ambient, &mut Silent)
    }

    /// The same with its steps, those of its resistance first.
    ///
    /// # Errors
    /// As [`Jumper::temperature`].
    pub fn temperature_recorded(
        &self,
        current: Current,
        ambient: Temperature,
        rec: &mut impl Recorder,
    ) -> Result<Range<Temperature>, Error> {
        let current = positive(current, "current")?;
        let at = |joint: Resistance| -> Result<Temperature, Error> {
            let share = 1.0 + 2.0 * joint.si() / self.body_resistance(ambient).si();
            let heated = current * share.sqrt();
            match &self.body {
                Body::Bar(bar) => Ok(ambient.plus(bar.rise(heated, ambient)?)),
                Body::Cable(cable) => Ok(cable.steady_state(heated, ambient, 1)?.temperature),
            }
        };
        let temperature = Range::new(at(self.joint.0)?, at(self.joint.1)?);
        let joints = Range::new(self.joint.0, self.joint.1);
        let body = self.body_resistance(ambient);
        rec.step(|| {
            Step::new("resistance of the body", "R_body", body)
                .formula("R'(T) L")
                .input("T", ambient)
                .input("L", self.length)
                .source(&RESISTIVITY)
        });
        rec.step(|| {
            Step::new("resistance with both joints", "R", self.resistance(ambient).to_string())
                .formula("R_body + 2 Rj")
                .input("Rj", joints.to_string())
                .source(&JOINTS)
        });
        rec.step(|| {
            let step = Step::new("temperature under the current", "T", temperature.to_string())
                .formula("heat balance of the body under I sqrt(1 + 2 Rj/R_body)")
                .input("I", current)
                .input("Ta", ambient);
            if matches!(self.body, Body::Bar(_)) { step.source(&FLAT_BAR) } else { step }
        });
        Ok(temperature)
    }

    /// Its mass, lugs left out.
    #[must_use]
    pub fn mass(&self) -> Mass {
        match &self.body {
            Body::Bar(bar) => {
                let density = DENSITY[usize::from(bar.material() == Material::Aluminium)];
                kilograms(bar.area().si() * self.length.si() * density)
            }
            Body::Cable(cable) => cable.mass_per_length() * self.length,
        }
    }
}
