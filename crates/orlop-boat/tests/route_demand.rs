//! Routes and demand: the demo boat against its own tables.

use orlop_boat::Boat;
use orlop_boat::document::read;
use orlop_boat::route::measure;

fn dunlin() -> Boat {
    read(include_str!("../../../python/orlop/boats/dunlin.toml"), "dunlin.toml")
        .unwrap_or_else(|e| panic!("{e}"))
}

#[test]
fn prints() {
    let r = measure(&dunlin()).unwrap();
    for t in &r.trunks {
        println!(
            "{} {:.4} {:.4} {} {:?} {:?}",
            t.id,
            t.polyline.value,
            t.with_slack.value,
            t.supports,
            t.circuits,
            t.segments.iter().map(|s| (s.space.clone(), s.in_no_space)).collect::<Vec<_>>()
        );
    }
    for c in &r.circuits {
        println!(
            "{} {:.4?} {} {} {} {} {} {} {:?}",
            c.circuit,
            c.one_way.0,
            c.space,
            c.space_kind.word(),
            c.bundled,
            c.bundle_where,
            c.bundle_scenario,
            c.supports,
            c.flags
        );
    }
}
