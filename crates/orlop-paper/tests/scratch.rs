//! x
#[test]
fn p() {
    let t = include_str!("../../../python/orlop/boats/dunlin.toml");
    let d = orlop_boat::size(&orlop_boat::document::read(t, "d").unwrap()).unwrap();
    std::fs::create_dir_all("/tmp/bb/tables").unwrap();
    for p in orlop_paper::papers(&d, Some("2026-11-28")).unwrap() {
        std::fs::write(format!("/tmp/bb/{}", p.name), p.bytes).unwrap();
    }
}
