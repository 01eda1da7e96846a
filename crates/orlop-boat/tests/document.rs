//! The boat file: demo boats, bad files, and what never happens.

use orlop_boat::document::read;

const DUNLIN: &str = include_str!("../../../python/orlop/boats/dunlin.toml");

#[test]
fn dunlin_reads() {
    let boat = read(DUNLIN, "dunlin.toml").unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(boat.trunks.len(), 13);
    assert_eq!(boat.scenarios.len(), 13);
}
const TEAL: &str = include_str!("../../../python/orlop/boats/teal.toml");
#[test]
fn teal_reads() {
    let boat = read(TEAL, "teal.toml").unwrap_or_else(|e| panic!("{e}"));
    println!("{}", orlop_boat::document::starter("Wren \"x\" \\ \u{7f}"));
    println!("{}", orlop_boat::document::schema());
    assert_eq!(boat.scenarios.len(), 7);
}
