"""Quantities of the application's units registry. Imported only when the first one is wanted."""

from __future__ import annotations

from typing import Any

import pint

_registry: Any = None
_units: dict[str, Any] = {}


def quantity(number: float, unit: str) -> Any:
    """A quantity of the registry in force now; units are looked up once for each registry."""
    global _registry
    registry = pint.application_registry.get()  # type: ignore[no-untyped-call]
    if registry is not _registry:
        _units.clear()
        _registry = registry
    found = _units.get(unit)
    if found is None:
        found = _units[unit] = registry.Unit(unit)
    return registry.Quantity(number, found)
