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
    Judgement,
    LeastCopper,
    Link,
    Network,
    OperatingPoint,
    Pack,
    PackAnswer,
    Range,
    Remains,
    SharedCurrent,
    Sharing,
    SteadyState,
    Step,
    Survey,
    SurveyFinding,
    Table,
    Withstand,
    Working,
    __version__,
    assign_cells,
    best_takeoff,
    coordinate,
    families,
    judge_stall,
    largest_link,
    least_copper,
    protectable_window,
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
    "InputError",
    "InternalError",
    "Judgement",
    "LeastCopper",
    "Link",
    "Network",
    "NoSolution",
    "OperatingPoint",
    "OrlopError",
    "OutOfTable",
    "Pack",
    "PackAnswer",
    "Problem",
    "Range",
    "Remains",
    "SharedCurrent",
    "Sharing",
    "SteadyState",
    "Step",
    "Survey",
    "SurveyFinding",
    "Table",
    "UnitError",
    "Withstand",
    "Working",
    "__version__",
    "assign_cells",
    "best_takeoff",
    "coordinate",
    "demo_boat",
    "families",
    "judge_stall",
    "largest_link",
    "least_copper",
    "plot",
    "protectable_window",
    "selectivity",
    "share_current",
    "size_circuit",
    "sources",
    "standard_sizes",
]

if TYPE_CHECKING:
    from orlop import plot
else:

    def __getattr__(name):
        """Drawing is imported when it is first wanted."""
        if name == "plot":
            import importlib

            return importlib.import_module("orlop.plot")
        raise AttributeError(f"module 'orlop' has no attribute {name!r}")
