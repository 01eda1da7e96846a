//! `cell-outlier`, `cell-arrival-voltage`: acceptance of each delivered cell. A cell that is left out is no finding.

use super::Subject;
use orlop::{Judgement, Verdict};

pub(super) fn judge(of: &Subject<'_>) -> Vec<Judgement> {
    let Some(delivery) = &of.build.delivery else { return Vec::new() };
    let used: Option<Vec<String>> = of
        .answer
        .built()
        .assignment
        .as_ref()
        .map(|a| a.groups().into_iter().flat_map(|group| group.cells).collect());
    let chemistry = of.build.pack.cell().chemistry();
    let addressed = |mut judgement: Judgement| {
        let Some(rest) = judgement.subject.strip_prefix("cell.").map(str::to_string) else {
            return judgement;
        };
        let (serial, measure) = rest.rsplit_once('.').unwrap_or((&rest, ""));
        // The key of the boat file.
        let key = match measure {
            "arrival-voltage" => "arrival".to_string(),
            other => other.replace('-', "_"),
        };
        let out = used.as_ref().is_some_and(|cells| !cells.iter().any(|c| c == serial));
        if out && judgement.is_finding() {
            judgement.verdict = Verdict::NotApplicable;
            judgement.what = format!("{}; it is left out", judgement.what);
            judgement.to_do = String::new();
        }
        judgement.subject = format!("delivered.{serial}.{key}");
        judgement
    };
    delivery.acceptance(chemistry).into_iter().map(addressed).collect()
}
