//! A large boat, made up.

/// The text of a made-up boat file of 150 circuits: two strings, six panels behind the main bus, eight scenarios.
///
/// Every seventh load starts with six times its power and every fifth states a lowest voltage, so that there are dips.
pub fn boat() -> String {
    const PANELS: usize = 6;
    const LOADS: usize = 150 - PANELS - 1;
    let mut out = String::from(
        r#"
format = 1
[boat]
name = "Big"
kind = "made up"
state = "design"
nominal = "24 V"
rules = "iso-small-craft"
sizes = "metric"
insulation = "105 degC"
families = ["iso8820-3-blade", "iso8820-3-high-current", "iso8820-5-strip", "ul248-15-class-t", "iec60269-gg"]
[space.saloon]
boxes = [["0, -2, -0.5 m", "13, 2, 2.3 m"]]
ambient = "35 degC"
[place.BAT]
at = "4.3, 0, 0.1 m"
[bank.BANK]
name = "Two strings"
place = "BAT"
nominal = "25.6 V"
lowest = "24 V"
highest = "28.8 V"
open_circuit = "26.8 V"
strings = 2
string_resistance = { low = "2.52 mohm", high = "5.53 mohm" }
[circuit.MAIN]
from = "BANK"
panel = "P0"
one_way = "2.6 m"
spaces = ["saloon"]
runs = 2
alone = true
[panel.P0]
name = "Main bus"
place = "BAT"
"#,
    );
    for p in 1..=PANELS {
        let long = 2.0 + 1.7 * p as f64;
        out += &format!(
            "[panel.P{p}]\nname = \"Panel {p}\"\nplace = \"BAT\"\n[circuit.FEED{p}]\nfrom = \"P0\"\npanel = \"P{p}\"\n\
             one_way = \"{long:.1} m\"\nspaces = [\"saloon\"]\n"
        );
    }
    for n in 0..LOADS {
        let (power, long) = (4 + (n * 37) % 97, 1.0 + ((n * 53) % 89) as f64 / 10.0);
        out += &format!("[load.L{n}]\nrun = \"{power} W\"\n");
        if n % 3 == 0 {
            out += "drop_class = \"critical\"\n";
        }
        if n % 5 == 0 {
            out += "minimum = \"21 V\"\n";
        }
        if n % 7 == 0 {
            out += &format!("start = \"{} W\"\nstart_time = \"1 s\"\n", power * 6);
        }
        out += &format!(
            "[circuit.C{n}]\nfrom = \"P{}\"\nloads = [\"L{n}\"]\none_way = \"{long:.1} m\"\nspaces = [\"saloon\"]\n",
            1 + n % PANELS
        );
    }
    for s in 0..8 {
        let on = (0..LOADS).filter(|n| (n * 29 + s * 41) % 7 < 3).map(|n| format!("\"L{n}\""));
        out += &format!("[scenario.S{s}]\nrun = [{}]\n", on.collect::<Vec<_>>().join(", "));
    }
    out
}
