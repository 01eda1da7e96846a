//! In a scenario each load is on once, in one state.

use crate::document::problem::Problems;
use crate::document::row::Rows;
use crate::model::LoadState;
use std::collections::BTreeMap;

pub(super) fn check(rows: &Rows, problems: &mut Problems) {
    for row in rows.of("scenario") {
        let mut seen: BTreeMap<&str, &str> = BTreeMap::new();
        let mut all: Vec<_> = LoadState::ALL
            .iter()
            .flat_map(|s| row.ids(s.word()).unwrap_or_default().iter().map(|(id, at)| (s.word(), id, at)))
            .collect();
        all.sort_by_key(|(_, _, at)| at.start);
        for (state, id, at) in all {
            if let Some(first) = seen.insert(id, state) {
                let what = if first == state {
                    format!("{} has '{id}' twice in {state}", row.title())
                } else {
                    format!("{} has '{id}' in {first} and in {state}", row.title())
                };
                problems.add(at, row.address(state), what, "each load in one state", "");
            }
            if state != "run"
                && let Some(load) = rows.find("load", id)
                && !load.given(state)
            {
                let what = format!("the load '{id}' has no {state}");
                let hint = format!("add {state} = \"...\" to [load.{id}], or list it under run");
                problems.add(at, row.address(state), what, format!("a load with {state}"), hint);
            }
        }
    }
}
