"""Terminal voltages of a cell as a circuit, by a general battery modelling library, stored for `published_cell.rs`.

    pip install pybamm==26.10.1.1
    python tools/thevenin_curves.py > tests/published/cell_thevenin.toml

Run once: the library is too heavy for the tests. The circuit has two RC pairs and the open-circuit curve
`lfp-prismatic-52ah` at 25 degC, straight between its points; each current is constant for ten minutes.
"""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import numpy as np
import pybamm

ROOT = Path(__file__).resolve().parents[1]
CAPACITY_AH, START = 100.0, 0.6
R0, R1, C1, R2, C2 = 0.4e-3, 0.3e-3, 1e5, 0.25e-3, 2.4e6
CURRENTS = [50.0, 0.0, -40.0, 100.0, 25.0, -80.0, 0.0, 75.0, 10.0, -25.0, 60.0, 0.0, -90.0, 40.0]
PIECE_S, STEP_S = 600, 20


def curve() -> tuple[Any, Any]:
    """State of charge and volts of the table at 25 degC."""
    text = (ROOT / "crates/orlop/data/cell_ocv_lfp_prismatic_2019.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))
    soc = np.array([float(row["soc_percent"]) / 100 for row in rows])
    return soc, np.array([float(row["v_25"]) for row in rows])


def voltages() -> Any:
    """Terminal voltage at the end of every step, the last of a piece still under its own current."""
    soc, volts = curve()
    model = pybamm.equivalent_circuit.Thevenin(options={"number of rc elements": 2})
    values = model.default_parameter_values
    values.update(
        {
            "Initial SoC": START,
            "Cell capacity [A.h]": CAPACITY_AH,
            "Nominal cell capacity [A.h]": CAPACITY_AH,
            "Open-circuit voltage [V]": lambda s: pybamm.Interpolant(soc, volts, s, interpolator="linear"),
            "R0 [Ohm]": R0,
            "R1 [Ohm]": R1,
            "C1 [F]": C1,
            "R2 [Ohm]": R2,
            "C2 [F]": C2,
            "Element-1 initial overpotential [V]": 0,
            "Element-2 initial overpotential [V]": 0,
            "Entropic change [V/K]": 0,
            "Upper voltage cut-off [V]": 4.0,
            "Lower voltage cut-off [V]": 2.0,
        },
        check_already_exists=False,
    )
    pieces = [pybamm.step.Current(current, duration=PIECE_S, period=STEP_S) for current in CURRENTS]
    simulation = pybamm.Simulation(
        model,
        experiment=pybamm.Experiment([tuple(pieces)]),
        parameter_values=values,
        solver=pybamm.IDAKLUSolver(rtol=1e-11, atol=1e-11),
    )
    solution = simulation.solve()
    return np.concatenate([piece["Voltage [V]"].entries[1:] for piece in solution.cycles[0].steps])


def main() -> None:
    """Prints the file."""
    v = voltages()
    assert len(v) == len(CURRENTS) * PIECE_S // STEP_S
    print('id = "cell-thevenin"\nroom = "cell"')
    print('source = "a general battery modelling library, Thevenin circuit with two RC pairs"')
    print(f'edition = "{pybamm.__version__}"\nplace = "made by tools/thevenin_curves.py"\nconfidence = "published"')
    print('note = "the same open-circuit curve, resistances and currents; solved there step by step"')
    print('tolerance = 1e-8\ntolerance_reason = "the solver there works to 1e-11 of each state"')
    print(f"capacity_ah = {CAPACITY_AH}\nstart = {START}\nr0 = {R0}\npairs = [[{R1}, {C1}], [{R2}, {C2}]]")
    print(f"currents_a = {CURRENTS}\npiece_s = {PIECE_S}\nstep_s = {STEP_S}\nvoltage_v = [")
    for row in v.reshape(len(CURRENTS), -1):
        print("  " + ", ".join(f"{x:.10f}" for x in row) + ",")
    print("]")


if __name__ == "__main__":
    main()
