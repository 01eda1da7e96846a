//! From the charge drawn to a capacity at the reference, and the causes of error on the way.

use super::log::Log;
use super::plan::{Instrument, LINEAR_CORRECTION, Procedure};
use super::result::show_fine;
use crate::error::Error;
use crate::proving::uncertainty::{Budget, Common, GUM, Term};
use crate::working::{Recorder, Step};
use orlop_units::{
    Charge, Fraction, Number, Quantity, Temperature, TemperatureRise, coulombs, show, significant,
};

/// Terms of the charge as measured; `whole` is the result they act on, in coulombs.
pub(super) fn measured(log: &Log, instrument: &Instrument, whole: f64) -> Vec<Term> {
    let scale = whole / log.charge.si();
    vec![
        Term::tolerance("gain", instrument.gain, whole, Common::Instrument),
        Term::tolerance("offset", instrument.offset, scale * log.duration.si(), Common::Own),
        Term::tolerance("clock", instrument.clock, whole, Common::Instrument),
        Term::normal("current between rows", log.integration, scale, Common::Own),
        Term::normal("current in gaps", log.in_gaps, scale, Common::Own),
    ]
}

pub(super) fn corrected(
    log: &Log,
    instrument: &Instrument,
    procedure: &Procedure,
    rec: &mut impl Recorder,
) -> Result<Budget<Charge>, Error> {
    let mut whole = log.charge.si();
    rec.step(|| {
        Step::new("charge drawn", "Q", show_fine(log.charge))
            .formula("integral of the current from row to row")
            .input("duration", show(log.duration))
            .input("charged back", show_fine(log.charged_back))
    });
    let temperature = match procedure.temperature {
        None => None,
        Some(c) => Some((c, by_temperature(log, c.per_kelvin, c.reference)?)),
    };
    if let Some((c, (factor, rise))) = temperature {
        whole /= factor;
        rec.step(|| {
            Step::new("at the reference temperature", "Q", show_fine(coulombs(whole)))
                .formula("Q / (1 + k (t - t_ref))")
                .input("k", format!("{} %/K", significant(100.0 * c.per_kelvin, 3)))
                .input("t - t_ref", format!("{} K", significant(rise, 3)))
                .source(&LINEAR_CORRECTION)
        });
    }
    let rate = procedure.rate.map(|r| (r, (log.load_current.si() / r.reference.si()).ln()));
    if let Some((r, ratio)) = rate {
        whole *= (ratio * (r.exponent - 1.0)).exp();
        rec.step(|| {
            Step::new("at the reference current", "Q", show_fine(coulombs(whole)))
                .formula("Q (I/I_ref)^(p - 1)")
                .input("I", show(log.load_current))
                .input("I_ref", show(r.reference))
                .input("p", significant(r.exponent, 3))
                .source(&crate::cell::PEUKERT)
        });
    }
    if !(0.5..2.0).contains(&(whole / log.charge.si())) {
        let got = format!("{} corrected to {}", show(log.charge), show(coulombs(whole)));
        return Err(Error::input("corrections", got, "corrections that change the charge by less than half"));
    }
    let mut terms = measured(log, instrument, whole);
    let full = procedure.full.unwrap_or(Fraction::new(0.0));
    terms.push(Term::tolerance("definition of full", full, whole, Common::Procedure));
    let (empty, own) = match procedure.empty {
        Some(share) => (share, Common::Procedure),
        None => (empty_by_slope(log, instrument), Common::Instrument),
    };
    terms.push(Term::tolerance("definition of empty", empty, whole, own));
    if let Some((c, (factor, rise))) = temperature {
        let thermometer = instrument.thermometer;
        terms.push(Term::tolerance(
            "thermometer",
            thermometer,
            -whole * c.per_kelvin / factor,
            Common::Instrument,
        ));
        let coefficient = Number::of(c.half_width);
        terms.push(Term::tolerance(
            "temperature coefficient",
            coefficient,
            -whole * rise / factor,
            Common::Procedure,
        ));
    }
    if let Some((r, ratio)) = rate {
        terms.push(Term::tolerance(
            "rate exponent",
            Number::of(r.half_width),
            whole * ratio,
            Common::Procedure,
        ));
    }
    for t in terms.iter().filter(|t| t.effect != 0.0) {
        rec.step(|| {
            Step::new(format!("uncertainty: {}", t.name), "u", show_fine(coulombs(t.effect.abs())))
                .formula("slope of the result times the standard uncertainty of the cause")
                .input("cause", t.input.clone())
                .source(&GUM)
        });
    }
    Budget::new(coulombs(whole), terms)
}

/// The factor 1 + k (t - t_ref), and t - t_ref in kelvins.
fn by_temperature(log: &Log, per_kelvin: f64, reference: Temperature) -> Result<(f64, f64), Error> {
    let Some(mean) = log.mean_temperature else {
        return Err(Error::Input {
            field: "temperature".into(),
            got: "a log without temperatures".into(),
            expected: "a temperature column where results are corrected to a reference temperature".into(),
            hint: "add the column, or ask for no temperature correction".into(),
        });
    };
    let rise: TemperatureRise = mean.minus(reference);
    let factor = 1.0 + per_kelvin * rise.in_kelvins();
    if factor <= 0.0 {
        return Err(Error::input(
            "temperature coefficient",
            per_kelvin.to_string(),
            "a coefficient that leaves a capacity",
        ));
    }
    Ok((factor, rise.in_kelvins()))
}

/// What the error of the cell meter means for the charge, at the slope with which the first cell fell at the end.
fn empty_by_slope(log: &Log, instrument: &Instrument) -> Fraction {
    let Some((cell, end)) = log.lowest_at_end() else { return Fraction::new(0.0) };
    let total = log.charge.si();
    // The last point well above the end: the knee is steep, so a chord over it overstates the charge per volt, if anything.
    let before = log
        .course
        .iter()
        .rev()
        .filter_map(|p| Some((p.drawn_c, p.cells_v[cell]?)))
        .find(|(drawn, v)| *drawn < total && *v > end.si() + 2.0 * instrument.cell_voltage.si());
    match before {
        Some((drawn, v)) => {
            Fraction::new((total - drawn) / (v - end.si()) * instrument.cell_voltage.si() / total)
        }
        None => Fraction::new(0.0),
    }
}
