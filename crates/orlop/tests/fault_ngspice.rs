//! Fault currents against a general circuit simulator, where it is installed (Debian: `apt install ngspice`).

use orlop::Range;
use orlop::network::{Corner, Network, Part, RETURN, Source};
use orlop::units::{Quantity, ohms, volts};
use std::fmt::Write as _;
use std::process::Command;

/// A ladder of three strings with rungs and cross ties: meshed, with unequal resistances.
fn mesh(seed: u32) -> Network {
    let mut state = seed;
    // A linear congruential sequence: the same networks in every run.
    let mut next = || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(state >> 8) / f64::from(1_u32 << 24)
    };
    let mut net = Network::new();
    let span = |r: f64| Range::new(ohms(r), ohms(1.6 * r));
    for s in 0..3 {
        let source = Source {
            emf: Range::new(volts(24.0), volts(28.8)),
            resistance: span(2e-3 + 3e-3 * next()),
            may_open: s > 0,
        };
        net.source(&format!("s{s}"), &format!("n{s}"), RETURN, source).unwrap();
    }
    for k in 3..40 {
        let part = Part::Resistance(span(1e-4 + 0.05 * next()));
        let older = (next() * f64::from(k)) as u32;
        net.branch(&format!("t{k}"), &format!("n{older}"), &format!("n{k}"), part).unwrap();
    }
    for k in 0..8 {
        let (a, b) = ((next() * 20.0) as u32, 20 + (next() * 20.0) as u32);
        let part = Part::Resistance(span(1e-3 + 0.1 * next()));
        net.branch(&format!("c{k}"), &format!("n{a}"), &format!("n{b}"), part).unwrap();
    }
    // The three strings meet.
    for s in 1..3 {
        net.branch(&format!("j{s}"), "n0", &format!("n{s}"), Part::Resistance(span(1e-4))).unwrap();
    }
    net
}

/// The network as a netlist, with a source of zero volts as the fault; its current is the answer.
fn netlist(net: &Network, corner: Corner, closed: &[bool], node: usize) -> String {
    let mut text = String::from("fault\n");
    for (k, b) in net.branches().iter().enumerate() {
        let Part::Resistance(r) = b.part else { unreachable!() };
        writeln!(text, "Rb{k} {} {} {:e}", b.from, b.to, corner.ohms(r).unwrap().si()).unwrap();
    }
    for (k, s) in net.sources().iter().enumerate().filter(|(k, _)| closed[*k]) {
        let (emf, r) = (corner.volts(s.part.emf).unwrap().si(), corner.ohms(s.part.resistance).unwrap().si());
        writeln!(text, "Vs{k} e{k} 0 {emf:e}\nRs{k} e{k} {} {r:e}", s.from).unwrap();
    }
    writeln!(text, "Vfault {node} 0 0\n.control\nset numdgt=12\nop\nprint i(vfault)\n.endc\n.end").unwrap();
    text
}

fn simulated(text: &str, name: &str) -> Option<f64> {
    let path = std::env::temp_dir().join(format!("orlop-{}-{name}.cir", std::process::id()));
    std::fs::write(&path, text).unwrap();
    let run = Command::new("ngspice").arg("-b").arg(&path).output();
    std::fs::remove_file(&path).unwrap();
    let out = String::from_utf8_lossy(&run.ok()?.stdout).into_owned();
    let (_, value) = out.split_once("i(vfault) = ").unwrap_or_else(|| panic!("{out}"));
    let number: String = value.chars().take_while(|c| !c.is_whitespace() && *c != 'W').collect();
    Some(number.parse().unwrap())
}

#[test]
fn a_circuit_simulator_finds_the_same_currents() {
    if Command::new("ngspice").arg("--version").output().is_err() {
        println!("skipped: ngspice is not installed (Debian: apt install ngspice)");
        return;
    }
    let mut worst = 0.0_f64;
    let mut cells = 0;
    for seed in [7, 1987] {
        let net = mesh(seed);
        let levels = net.fault_levels();
        for node in [1, 5, 17, 29, 40] {
            let total = levels.nodes[node].total;
            // High with all closed, low with the first string alone.
            for (corner, closed, ours) in
                [(Corner::High, [true; 3], total.high()), (Corner::Low, [true, false, false], total.low())]
            {
                let name = format!("{seed}-{node}-{}", corner.word());
                let theirs = simulated(&netlist(&net, corner, &closed, node), &name).expect("ngspice ran");
                let off = (ours.unwrap().si() / theirs.abs() - 1.0).abs();
                assert!(off < 1e-9, "{name}: {ours:?} against {theirs}");
                worst = worst.max(off);
                cells += 1;
            }
        }
    }
    println!("ngspice: {cells} fault currents, worst {worst:.1e}");
}
