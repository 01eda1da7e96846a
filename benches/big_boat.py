"""A made-up boat of 150 circuits, for the benches: two strings, seven panels, eight scenarios; the same every time."""

from __future__ import annotations

HEAD = """\
format = 1

[boat]
name = "Bench"
kind = "made up to be timed"
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
"""


def big_boat(circuits: int = 150, panels: int = 6, scenarios: int = 8) -> str:
    """The text of a boat file with so many circuits in all, the feeders of its panels among them."""
    parts = [HEAD]
    for p in range(1, panels + 1):
        parts.append(f'[panel.P{p}]\nname = "Panel {p}"\nplace = "BAT"\n')
        parts.append(
            f'[circuit.FEED{p}]\nfrom = "P0"\npanel = "P{p}"\none_way = "{2 + 1.7 * p:.1f} m"\nspaces = ["saloon"]\n'
        )
    loads = circuits - panels - 1
    for n in range(loads):
        # A small step through the residues of 97 gives powers and lengths that repeat late.
        power, length = 4 + (n * 37) % 97, 1 + ((n * 53) % 89) / 10
        critical = ' \ndrop_class = "critical"' if n % 3 == 0 else ""
        parts.append(f'[load.L{n}]\nrun = "{power} W"{critical}\n')
        parts.append(
            f'[circuit.C{n}]\nfrom = "P{1 + n % panels}"\nloads = ["L{n}"]\none_way = "{length:.1f} m"\n'
            'spaces = ["saloon"]\n'
        )
    for s in range(scenarios):
        on = ", ".join(f'"L{n}"' for n in range(loads) if (n * 29 + s * 41) % 7 < 3)
        parts.append(f"[scenario.S{s}]\nrun = [{on}]\n")
    return "\n".join(parts)


if __name__ == "__main__":
    print(big_boat())
