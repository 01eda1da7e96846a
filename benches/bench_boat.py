"""Reads, sizes and prints the demo boat: time for one call, and sizing against as many single circuits."""

from __future__ import annotations

from big_boat import big_boat
from clock import line, taken

import orlop


def main() -> None:
    """Prints a line for each step, and the ratio."""
    boat = orlop.demo_boat("dunlin")
    text = boat.text
    design = boat.size()
    rows = design.table("circuits").to_dicts()
    asked = [(f"{row['design_current_a']} A", f"{row['one_way_m']} m") for row in rows]

    def singly() -> None:
        for current, one_way in asked:
            orlop.size_circuit(
                current=current,
                one_way=one_way,
                nominal="24 V",
                max_drop="10 %",
                rules="iso-small-craft",
                sizes="metric",
                families="iec60269-gg",
            )

    print(f"{boat!r}")
    print(line("  read the file: Boat.from_text", taken(lambda: orlop.Boat.from_text(text))))
    whole = taken(boat.size)
    print(line("  size: Boat.size", whole))
    print(line("  one table: Design.table, to_dicts", taken(lambda: design.table("circuits").to_dicts())))
    print(line("  explain one conductor: Design.explain", taken(lambda: design.explain("circuit.F5.conductor"))))
    print(line("  all papers: Design.to_json", taken(design.to_json)))
    single = taken(singly)
    print(line(f"  {len(rows)} single circuits: orlop.size_circuit", single))
    big = orlop.Boat.from_text(big_boat())
    print(line("  size 150 circuits: least copper", taken(big.size, runs=3)))
    print(line("  size 150 circuits: drops shared out", taken(lambda: big.size(method="split"), runs=3)))
    print(f"  ratio of sizing the boat to its circuits one by one {whole.middle / single.middle:.1f}")


if __name__ == "__main__":
    main()
