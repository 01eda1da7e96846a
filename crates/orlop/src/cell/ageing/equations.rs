//! The equations of the ageing models; the coefficients are in `cell_ageing_models`.

use super::law::{Cycling, Storage};
use super::models::AgeingModel;
use crate::cell::resistance::{GAS_CONSTANT, straight};
use crate::cell::{ChemistryId, StateOfCharge};
use crate::error::Error;
use orlop_units::{Quantity, significant};

/// Part of a model: its formula and its law under the conditions.
pub(super) struct Part {
    pub(super) formula: &'static str,
    pub(super) offset: f64,
    pub(super) factor: f64,
    pub(super) exponent: f64,
    pub(super) flags: Vec<String>,
}

impl Part {
    fn new(formula: &'static str, factor: f64, exponent: f64) -> Self {
        Self { formula, offset: 0.0, factor, exponent, flags: Vec::new() }
    }
}

pub(super) type Answer = Result<Option<Part>, Error>;

impl AgeingModel {
    pub(super) fn calendar_part(self, s: &Storage) -> Answer {
        let (soc, celsius) = (s.charge.share(), s.temperature.si());
        let t = celsius + 273.15;
        let p = |name| self.p(name);
        Ok(Some(match self {
            Self::Wang2011 | Self::Wang2011HalfRate | Self::NmcLto => return Ok(None),
            Self::Naumann => {
                let heat = arrhenius(p("q_ea"), t);
                let factor = p("q_k") * heat * (p("q_c") * (soc - 0.5).powi(3) + p("q_d"));
                Part::new(
                    "k exp(-Ea/R (1/T - 1/298.15)) (C (s - 0.5)^3 + D) sqrt(seconds)",
                    factor * 86400.0_f64.sqrt(),
                    0.5,
                )
            }
            Self::LargeLfp => {
                let x = p("x_empty") + soc * (p("x_full") - p("x_empty"));
                let factor = p("p1") * (p("p2") / t).exp() * (p("p3") * graphite(x) / t).exp();
                Part::new(
                    "p1 exp(p2/T) exp(p3 Ua/T) days^0.526, Ua the graphite potential",
                    factor,
                    p("pcal"),
                )
            }
            Self::Swierczynski2015 => {
                let by_charge = p("soc_factor") * (100.0 * soc).powf(p("soc_power")) + p("soc_offset");
                let by_heat = p("t_factor") * celsius.powf(p("t_power")) + p("t_offset");
                let power = p("time_power");
                let factor = 0.01 * by_charge * by_heat * (12.0_f64 / 365.0).powf(power);
                Part::new(
                    "(a SoC^b + c)(d T^e + f) months^0.8 percent, SoC in percent, T in degC",
                    factor,
                    power,
                )
            }
            Self::Schmalstieg2014 => {
                let factor = (p("ac_v") * nmc_voltage(s.charge) + p("ac_0")) * (p("ac_t") / t).exp();
                Part::new("(7.543 V - 23.75) 1e6 exp(-6976/T) days^0.75", factor, p("time_power"))
            }
            Self::NmcCalendar => {
                let by_charge = (p("c") * (soc / t - 1.0 / 296.0)).exp();
                let factor = p("a") * (p("b") * (1.0 / t - 1.0 / 296.0)).exp() * by_charge;
                let part =
                    Part::new("1 - q0 + a exp(b (1/T - 1/296)) exp(c (s/T - 1/296)) sqrt(days)", factor, 0.5);
                Part { offset: 1.0 - p("q0"), ..part }
            }
            Self::LmoLto => {
                let root = soc.sqrt();
                let heat = (p("cal_t3") * root / t.powi(3)).exp() * (p("cal_t2") * root / t.powi(2)).exp();
                Part::new("a exp(b sqrt(s)/T^3) exp(c sqrt(s)/T^2) days^0.6224", p("cal") * heat, p("cal_p"))
            }
        }))
    }

    pub(super) fn cycling_part(self, c: &Cycling) -> Answer {
        let (depth, rate) = (c.depth.value(), c.rate.per_hour());
        let t = c.temperature.si() + 273.15;
        let p = |name| self.p(name);
        Ok(Some(match self {
            Self::Swierczynski2015 | Self::NmcCalendar => return Ok(None),
            Self::Wang2011 => return self.wang(rate, t).map(Some),
            Self::Wang2011HalfRate => {
                let z = p("z");
                let factor = 0.01 * p("b") * (-p("ea") / (GAS_CONSTANT * t)).exp() * p("cell_ah").powf(z);
                let mut part =
                    Part::new("30330 exp(-31500/(R T)) Ah^0.552 percent, Ah discharged", factor, z);
                if (rate - 0.5).abs() > 0.05 {
                    part.flags.push(format!("{}: made for C/2, asked at {}", self.word(), c.rate));
                }
                part
            }
            Self::Naumann => {
                let shape = p("cq_c") * (depth - 0.6).powi(3) + p("cq_d");
                let factor = 0.01 * (p("cq_a") * rate + p("cq_b")) * shape;
                let mut part =
                    Part::new("(A C + B)(C (depth - 0.6)^3 + D) sqrt(full cycles) percent", factor, 0.5);
                if rate > 1.0 {
                    part.flags.push(format!("{}: tested up to 1C, asked at {}", self.word(), c.rate));
                }
                part
            }
            Self::LargeLfp => {
                let heat = (p("p7") / t).exp() + (-p("p8") / t).exp();
                let factor = (p("p4") + p("p5") * depth + p("p6") * rate) * heat;
                let mut part = Part::new(
                    "(p4 + p5 depth + p6 C)(exp(p7/T) + exp(-p8/T)) (full cycles)^0.828",
                    factor,
                    p("pcyc"),
                );
                if rate > 0.65 {
                    part.flags.push(format!("{}: fitted up to 0.65C, asked at {}", self.word(), c.rate));
                }
                part
            }
            Self::Schmalstieg2014 => {
                let factor =
                    p("bc_v") * (nmc_voltage(c.middle) - p("bc_v0")).powi(2) + p("bc_0") + p("bc_d") * depth;
                Part::new(
                    "(7.348e-3 (Vm - 3.667)^2 + 7.6e-4 + 4.081e-3 depth) sqrt(Ah), Ah charged and discharged",
                    factor * (2.0 * p("cell_ah")).sqrt(),
                    0.5,
                )
            }
            Self::NmcLto => {
                let heat = (p("g_t") * p("t_ref") / t).exp();
                let factor = (p("g_0") + p("g_c") * rate + p("g_d") * depth.powi(3)) * heat;
                Part::new(
                    "(1.29 + 7.83e-5 C + 4.02 depth^3) exp(-8.33 318.15/T) (full cycles)^0.526",
                    factor,
                    p("p"),
                )
            }
            Self::LmoLto => {
                let factor = p("cyc_0") + p("cyc_t4") * t.powi(4) * depth.powf(p("depth_p"));
                Part::new("(-7.146e-4 + 1.071e-13 T^4 depth^0.25) (full cycles)^0.5539", factor, p("cyc_p"))
            }
        }))
    }

    /// B by rate: straight between the four rates tested, that of C/2 below.
    fn wang(self, rate: f64, t: f64) -> Result<Part, Error> {
        let points: Vec<(f64, f64)> = ["0.5", "2", "6", "10"]
            .map(|c| (c.parse().expect("a number"), self.p(&format!("b_{c}"))))
            .to_vec();
        let (first, last) = (points[0].0, points[points.len() - 1].0);
        if rate > last {
            return Err(Error::OutOfTable {
                table: format!("ageing model {}", self.word()),
                asked: format!("{}C", significant(rate, 3)),
                range: format!("up to {last}C"),
                hint: "no boat draws so much for long".into(),
            });
        }
        let c = rate.max(first);
        let b = straight(&points, c);
        let z = self.p("z");
        let energy = self.p("ea") + self.p("ea_per_rate") * c;
        let factor = 0.01 * b * (-energy / (GAS_CONSTANT * t)).exp() * self.p("cell_ah").powf(z);
        let mut part = Part::new("B exp(-(31700 - 370.3 C)/(R T)) Ah^0.55 percent, Ah discharged", factor, z);
        if rate < first {
            part.flags.push(format!("{}: below {first}C that of {first}C is taken", self.word()));
        } else if !points.iter().any(|p| p.0 == c) {
            part.flags.push(format!("{}: straight between the rates tested", self.word()));
        }
        Ok(part)
    }

    pub(super) fn calendar_growth(self, s: &Storage) -> Answer {
        let soc = s.charge.share();
        let t = s.temperature.si() + 273.15;
        let p = |name| self.p(name);
        Ok(match self {
            Self::Naumann => {
                let factor = p("r_k") * arrhenius(p("r_ea"), t) * (p("r_c") * (soc - 0.5).powi(2) + p("r_d"));
                let formula = "k exp(-Ea/R (1/T - 1/298.15)) (C (s - 0.5)^2 + D) seconds";
                Some(Part::new(formula, factor * 86400.0, 1.0))
            }
            Self::Schmalstieg2014 => {
                let factor = (p("ar_v") * nmc_voltage(s.charge) + p("ar_0")) * (p("ar_t") / t).exp();
                Some(Part::new("(5.270 V - 16.32) 1e5 exp(-5986/T) days^0.75", factor, p("time_power")))
            }
            _ => None,
        })
    }

    pub(super) fn cycling_growth(self, c: &Cycling) -> Answer {
        let (depth, rate) = (c.depth.value(), c.rate.per_hour());
        let p = |name| self.p(name);
        Ok(match self {
            Self::Naumann => {
                let factor =
                    0.01 * (p("cr_a") * rate + p("cr_b")) * (p("cr_c") * (depth - 0.5).powi(3) + p("cr_d"));
                Some(Part::new("(A C + B)(C (depth - 0.5)^3 + D) full cycles, percent", factor, 1.0))
            }
            Self::Schmalstieg2014 => {
                let factor =
                    p("br_v") * (nmc_voltage(c.middle) - p("br_v0")).powi(2) + p("br_0") + p("br_d") * depth;
                let formula =
                    "(2.153e-4 (Vm - 3.725)^2 - 1.521e-5 + 2.798e-4 depth) Ah, Ah charged and discharged";
                Some(Part::new(formula, factor * 2.0 * p("cell_ah"), 1.0))
            }
            _ => None,
        })
    }
}

fn arrhenius(energy: f64, t: f64) -> f64 {
    (-energy / GAS_CONSTANT * (1.0 / t - 1.0 / 298.15)).exp()
}

/// Potential of graphite by its lithium content, V: Safari and Delacourt 2011.
fn graphite(x: f64) -> f64 {
    0.6379 + 0.5416 * (-305.5309 * x).exp() + 0.044 * (-(x - 0.1958) / 0.1088).tanh()
        - 0.1978 * ((x - 1.0571) / 0.0854).tanh()
        - 0.6875 * ((x + 0.0117) / 0.0529).tanh()
        - 0.0175 * ((x - 0.5692) / 0.0875).tanh()
}

/// Rest voltage of the NMC cell that the voltages of Schmalstieg 2014 belong to, V.
fn nmc_voltage(charge: StateOfCharge) -> f64 {
    let curve = &ChemistryId::Nmc.chemistry().curves()[0];
    curve.at(curve.ends().0).voltage(charge.share())
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    // Safari and Delacourt 2011 as evaluated at 0, 25, 50, 75 and 100 % of charge, to the five digits given.
    #[test]
    fn potential_of_graphite() {
        for (soc, volts) in [(0.0, 0.68435), (0.25, 0.16388), (0.5, 0.12330), (0.75, 0.10072), (1.0, 0.08638)]
        {
            let m = AgeingModel::LargeLfp;
            let x = m.p("x_empty") + soc * (m.p("x_full") - m.p("x_empty"));
            assert_relative_eq!(graphite(x), volts, epsilon = 5e-6);
        }
    }
}
