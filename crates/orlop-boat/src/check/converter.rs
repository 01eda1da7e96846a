//! `converter-rating` and `converter-input`: a converter delivers what its circuits draw, and gets the voltage it needs.

use crate::design::Design;
use crate::model::{Feeds, SourceKind};
use orlop::{Confidence, Judgement, Sense, Severity};
use orlop_units::show;

pub(super) fn judge(design: &Design) -> Vec<Judgement> {
    let mut all = Vec::new();
    for converter in design.boat.sources.iter().filter(|s| s.kind == SourceKind::Converter) {
        let subject = format!("source.{}", converter.id);
        if let Some(demand) = design.demand.converter(&converter.id) {
            all.push(
                Judgement::compare(
                    "converter-rating",
                    subject.clone(),
                    Severity::B,
                    demand.design,
                    Sense::AtMost,
                    converter.rating,
                )
                .case(demand.case.clone())
                .clause("rating stated for the converter", Confidence::Published)
                .what(format!(
                    "its circuits draw up to {}; it is rated {}",
                    show(demand.design),
                    show(converter.rating)
                ))
                .to_do("take a larger converter, buffer its peaks, or feed the largest load directly"),
            );
        }
        let feeder = design
            .boat
            .circuits
            .iter()
            .find(|c| matches!(&c.feeds, Feeds::Converter(id) if *id == converter.id));
        if let (Some(least), Some(feeder)) = (converter.minimum, feeder) {
            let network = &design.network;
            let node = network.node(&format!("circuit.{}", feeder.id));
            let Some((volts, case)) = node.and_then(|n| network.lowest_at(n)) else { continue };
            all.push(
                Judgement::compare("converter-input", subject, Severity::B, volts, Sense::AtLeast, least)
                    .case(case.to_string())
                    .clause("lowest input voltage stated for the converter", Confidence::Published)
                    .what(format!(
                        "with the bank at its lowest, {} reach its input; it needs {}",
                        show(volts),
                        show(least)
                    ))
                    .to_do("take a larger conductor to the converter"),
            );
        }
    }
    all
}
