"""Sizes 2,000 circuits by orlop and by the loop that one writes with the tables on paper.

The loop does far less: it takes the smallest gauge that keeps the ampacity column and the drop formula, and
that is all. It reads no units and checks no input. orlop besides chooses the device and checks it, solves the
heat balance, counts the physical drop with the resistance at that temperature, keeps every judgement with its
source, and can explain each number.
"""

from __future__ import annotations

import random

from clock import line, taken

import orlop

COUNT = 2000
VOLTS, SHARE, OHM_CIRCULAR_MIL_PER_FOOT, FEET_PER_METRE = 12.0, 0.10, 10.75, 3.28084

# 33 CFR 183.425, Table 5, column 105 degC, outside engine spaces: gauge (0 is 1/0, -3 is 4/0) and amperes.
TABLE_5 = (
    (18, 20), (16, 25), (14, 35), (12, 45), (10, 60), (8, 80), (6, 120),
    (4, 160), (2, 210), (1, 245), (0, 285), (-1, 330), (-2, 385), (-3, 445),
)  # fmt: skip
CIRCULAR_MILS = {gauge: (5 * 92 ** ((36 - gauge) / 39)) ** 2 for gauge, _ in TABLE_5}


def by_the_loop(amperes: float, metres: float) -> str:
    """The gauge by table and formula alone."""
    for gauge, allowed in TABLE_5[1:]:  # 16 AWG is the smallest that the rules allow
        lost = OHM_CIRCULAR_MIL_PER_FOOT * amperes * 2 * metres * FEET_PER_METRE / CIRCULAR_MILS[gauge]
        if allowed >= amperes and lost <= SHARE * VOLTS:
            return f"{gauge} AWG" if gauge > 0 else f"{1 - gauge}/0 AWG"
    raise ValueError(f"no gauge carries {amperes} A over {metres} m")


def by_orlop(current: str, one_way: str) -> orlop.Circuit:
    """The whole answer."""
    return orlop.size_circuit(
        current=current,
        one_way=one_way,
        nominal="12 V",
        max_drop="10 %",
        rules="us-small-craft",
        sizes="awg",
        insulation="105 degC",
    )


def main() -> None:
    """Prints both times, their ratio, and how often the answers differ."""
    chance = random.Random(1)
    asked = [(round(chance.uniform(0.5, 80), 1), round(chance.uniform(0.5, 15), 1)) for _ in range(COUNT)]
    texts = [(f"{amperes} A", f"{metres} m") for amperes, metres in asked]

    plain = taken(lambda: [by_the_loop(*one) for one in asked])
    whole = taken(lambda: [by_orlop(*one) for one in texts], runs=3)
    print(f"{COUNT} circuits of 12 V, at most 10 % of drop")
    print(line("  loop over table and formula: gauge only", plain, COUNT))
    print(line("  orlop.size_circuit: wire, fuse, heat, judgements", whole, COUNT))
    print(f"  ratio {whole.middle / plain.middle:.0f}")

    sizes = list(orlop.standard_sizes("awg"))
    step = [
        sizes.index(by_orlop(*text).conductor.size) - sizes.index(by_the_loop(*one))
        for one, text in zip(asked, texts, strict=True)
    ]
    thicker, thinner = sum(n > 0 for n in step), sum(n < 0 for n in step)
    print(f"  orlop takes a thicker wire than the loop in {thicker} of them, a thinner one in {thinner}")


if __name__ == "__main__":
    main()
