//! `brown-out`: each load that states a lowest voltage keeps it while another one starts, stalls or peaks.

use crate::design::Design;
use crate::network::Dip;
use orlop::{Confidence, Judgement, Sense, Severity, Verdict};
use orlop_units::{Quantity, show};

const TO_DO: &str = "feed one of the two from nearer the bank, enlarge what they share, or give the smaller one a converter or battery of its own";

/// The worst moment of each victim.
pub(super) fn judge(design: &Design) -> Vec<Judgement> {
    let (boat, network) = (&design.boat, &design.network);
    let worst = |victim: usize| {
        let volts = |d: &Dip| d.during.map_or(f64::NEG_INFINITY, Quantity::si);
        let own = network.dips.iter().filter(|d| d.victim == victim);
        own.min_by(|a, b| volts(a).total_cmp(&volts(b)))
    };
    let of = |(at, load): (usize, &crate::model::Load)| {
        let least = load.minimum?;
        let dip = worst(at)?;
        let cause = &boat.loads[dip.cause];
        let subject = format!("load.{}", load.id);
        let moment = format!("while {} is in its {}", cause.id, dip.state.word());
        let judgement = match dip.during {
            Some(during) => {
                Judgement::compare("brown-out", subject, Severity::B, during, Sense::AtLeast, least).what(
                    format!(
                        "{moment}, {} is left of {}, {} of it lost in the bank; it asks for {}",
                        show(during),
                        show(dip.before),
                        show(dip.in_bank),
                        show(least)
                    ),
                )
            }
            None => Judgement {
                limit: Some(least.into()),
                ..Judgement::bare("brown-out", subject, Severity::B, Verdict::Fail)
            }
            .what(format!(
                "{moment}, the network cannot carry both: {} cannot have what it asks for",
                cause.id
            )),
        };
        let clause = "lowest voltage stated for the load, in the moment of another";
        Some(judgement.case(dip.case.clone()).clause(clause, Confidence::Published).to_do(TO_DO))
    };
    boat.loads.iter().enumerate().filter_map(of).collect()
}
