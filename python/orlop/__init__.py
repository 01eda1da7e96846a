"""orlop: the direct-current electrics of a small boat, from one wire to the whole boat on paper.

Every physical value is text with its unit ("25 A", "6 m", "12 ft 6 in") or a pint quantity; a bare number is refused.
Every answer is a pint quantity, or an object that holds some and can show its working.

Example:
    >>> import orlop
    >>> wire = orlop.Conductor("6 AWG", insulation="105 degC")
    >>> print(f"{wire.voltage_drop(current='25 A', one_way='6 m', temperature='45 degC'):.2f}")
    0.47 volt
"""

from typing import TYPE_CHECKING

from orlop._demo import demo_boat
from orlop._orlop import (
    DATA_EDITION,
    Ampacity,
    Assignment,
    Boat,
    CapacityTest,
    Cell,
    CellAnswer,
    Circuit,
    Conductor,
    Coordination,
    Course,
    Design,
    Device,
    DischargeLog,
    Family,
    Forecast,
    Judgement,
    LeastCopper,
    Link,
    Measured,
    Network,
    OperatingPoint,
    Pack,
    PackAnswer,
    Purchase,
    Range,
    Remains,
    SharedCurrent,
    Sharing,
    SteadyState,
    Step,
    Table,
    TestHistory,
    Withstand,
    Working,
    __version__,
    assign_cells,
    best_takeoff,
    coordinate,
    families,
    find_bad_part,
    judge_drain,
    judge_joint,
    judge_leakage,
    judge_stall,
    largest_link,
    least_copper,
    protectable_window,
    pulse_resistance,
    selectivity,
    share_current,
    size_circuit,
    sources,
    standard_sizes,
)
from orlop.errors import (
    BoatFileError,
    InputError,
    InternalError,
    NoSolution,
    OrlopError,
    OutOfTable,
    Problem,
    UnitError,
)

__all__ = [
    "DATA_EDITION",
    "Ampacity",
    "Assignment",
    "Boat",
    "BoatFileError",
    "CapacityTest",
    "Cell",
    "CellAnswer",
    "Circuit",
    "Conductor",
    "Coordination",
    "Course",
    "Design",
    "Device",
    "DischargeLog",
    "Family",
    "Forecast",
    "InputError",
    "InternalError",
    "Judgement",
    "LeastCopper",
    "Link",
    "Measured",
    "Network",
    "NoSolution",
    "OperatingPoint",
    "OrlopError",
    "OutOfTable",
    "Pack",
    "PackAnswer",
    "Problem",
    "Purchase",
    "Range",
    "Remains",
    "SharedCurrent",
    "Sharing",
    "SteadyState",
    "Step",
    "Table",
    "TestHistory",
    "UnitError",
    "Withstand",
    "Working",
    "__version__",
    "assign_cells",
    "best_takeoff",
    "coordinate",
    "demo_boat",
    "families",
    "find_bad_part",
    "judge_drain",
    "judge_joint",
    "judge_leakage",
    "judge_stall",
    "largest_link",
    "least_copper",
    "plot",
    "protectable_window",
    "proving",
    "pulse_resistance",
    "selectivity",
    "share_current",
    "size_circuit",
    "sources",
    "standard_sizes",
]

if TYPE_CHECKING:
    from orlop import plot, proving
else:

    def __getattr__(name):
        """Drawing, and the rooms of one subject, are imported when they are first wanted."""
        if name in ("plot", "proving"):
            import importlib

            return importlib.import_module(f"orlop.{name}")
        raise AttributeError(f"module 'orlop' has no attribute {name!r}")
