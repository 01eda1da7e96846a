//! From symptoms and readings to causes: on the demo boats.

use orlop_boat::diagnose::{Asked, Diagnosis, find_fault};
use orlop_boat::{Design, document, size};

const DUNLIN: &str = include_str!("../../../python/orlop/boats/dunlin.toml");

fn design(text: &str) -> Design {
    size(&document::read(text, "boat.toml").unwrap_or_else(|e| panic!("{e}"))).unwrap()
}

fn asked(design: &Design, symptoms: &[&str], readings: &[&str]) -> Diagnosis {
    find_fault(design, &Asked::parse(symptoms, readings, &[]).unwrap()).unwrap()
}

fn print(d: &Diagnosis) {
    println!("== {:?} {:?}\n{} | explained {:.3} missing {:.2} bits", d.symptoms, d.readings, d.verdict, d.explained, d.missing_bits);
    for c in d.causes.iter().take(8) {
        let size = c.size.as_ref().map(|s| format!("{} [{} {}]", s[0], s[1], s[2])).unwrap_or_default();
        println!("  {:6.3} {} {} {} fit {:.3} heat {:?}", c.probability, c.kind.word(), c.what, size, c.fit, c.heat_now);
    }
    for n in &d.next {
        println!("  > {} {:.2} bits {} min: {}", n.ask, n.bits, n.minutes, n.how);
        for o in &n.outcomes {
            println!("      {} ({:.2}): {} {:.2}", o.outcome, o.chance, o.means, o.probability);
        }
    }
}

#[test]
fn explore() {
    let design = design(DUNLIN);
    let t = std::time::Instant::now();
    print(&asked(&design, &["weak load.F1"], &[]));
    println!("{:?}", t.elapsed());
    print(&asked(&design, &["weak load.F1"], &["voltage panel.FWD = 24.6 V", "voltage load.F1 = 21.9 V"]));
    print(&asked(&design, &["dead load.F1"], &[]));
    print(&asked(&design, &["drains bank.BANK"], &[]));
    print(&asked(&design, &["dims load.F3 when load.F5"], &[]));
    print(&asked(&design, &["dead load.N1"], &[]));
    print(&asked(&design, &["trips load.F4"], &[]));
    print(&asked(&design, &[], &[]));
    println!("{:?}", t.elapsed());
}
