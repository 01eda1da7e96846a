//! `second-source`: where the file names a second supply of the same thing, no single part that fails leaves both dark.

use crate::design::Design;
use orlop::{Confidence, Judgement, Severity, Verdict};

pub(super) fn judge(design: &Design) -> Vec<Judgement> {
    let boat = &design.boat;
    let of = |(at, load): (usize, &crate::model::Load)| {
        let other = load.second_source.as_ref()?;
        let second = boat.loads.iter().position(|l| l.id == *other)?;
        let both = |f: &&crate::network::Failure| f.dark.contains(&at) && f.dark.contains(&second);
        let parts: Vec<&str> = design.network.failures.iter().filter(both).map(|f| f.part.as_str()).collect();
        let verdict = if parts.is_empty() { Verdict::Pass } else { Verdict::Fail };
        let what = if parts.is_empty() {
            format!("no single part that fails leaves both {} and {other} dark", load.id)
        } else {
            format!("both {} and {other} go dark when one of these fails: {}", load.id, parts.join(", "))
        };
        Some(
            Judgement::bare("second-source", format!("load.{}", load.id), Severity::B, verdict)
                .clause("a second source shares no part with the first", Confidence::CommonPractice)
                .what(what)
                .to_do(
                    "feed one of them past that part: from the always-on panel, or from a battery of its own",
                ),
        )
    };
    boat.loads.iter().enumerate().filter_map(of).collect()
}
