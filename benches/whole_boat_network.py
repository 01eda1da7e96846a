"""The second half of the whole job with NumPy and SciPy: volts, fault currents, single failures.

The network is that of nodal analysis: a conductance matrix, sparse LU (SuperLU) for its solutions, Newton for loads of
constant power. Nothing here knows of boats.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import coo_matrix, csc_matrix
from scipy.sparse.csgraph import connected_components
from scipy.sparse.linalg import splu
from whole_boat_data import Floats, Integers

WITHIN_KELVIN, WITHIN_VOLTS = 1e-3, 1e-9


@dataclass
class Network:
    """Branches between nodes, sources and loads from a node to the return."""

    nodes: int
    start: Integers
    end: Integers
    ohms: Floats
    source: Integers
    emf: Floats
    source_ohms: Floats
    load: Integers
    watts: Floats

    def conductance(self) -> csc_matrix:
        """The conductance matrix, sources shorted; without loads."""
        siemens = 1 / self.ohms
        return coo_matrix(
            (
                np.concatenate([siemens, siemens, -siemens, -siemens, 1 / self.source_ohms]),
                (
                    np.concatenate([self.start, self.end, self.start, self.end, self.source]),
                    np.concatenate([self.start, self.end, self.end, self.start, self.source]),
                ),
            ),
            shape=(self.nodes, self.nodes),
        ).tocsc()

    def injected(self) -> Floats:
        """Currents of the sources as if shorted."""
        return np.bincount(self.source, self.emf / self.source_ohms, self.nodes)


# --- 5. operating point ---------------------------------------------------------------------------------------------


def operating_point(net: Network, guess: Floats | None = None) -> Floats:
    """Volts at all nodes with loads of constant power: Newton from the unloaded network, or from a guess."""
    conductance, injected = net.conductance(), net.injected()
    power = np.bincount(net.load, net.watts, net.nodes)
    volts = splu(conductance).solve(injected) if guess is None else guess
    for _ in range(50):
        wrong = conductance @ volts - injected + power / volts
        jacobian = conductance.copy()
        jacobian.setdiag(jacobian.diagonal() - power / volts**2)
        step = splu(jacobian).solve(wrong)
        volts = volts - step
        if np.abs(step).max() < WITHIN_VOLTS:
            return volts
    raise SystemExit("the script finds no operating point")


@dataclass
class Point:
    """A solved network."""

    volts: Floats
    amps: Floats
    temperature: Floats


def warm_operating_point(
    net: Network, ohms_at: Callable[[Floats], Floats], temperature_of: Callable[[Floats], Floats]
) -> Point:
    """Volts, currents and temperatures that belong together: solved in turn until no temperature moves by 1 mK.

    `ohms_at` gives the branches at temperatures, `temperature_of` the temperatures at currents.
    """
    temperature = temperature_of(np.zeros(len(net.ohms)))
    volts = None
    for _ in range(100):
        net = replace(net, ohms=ohms_at(temperature))
        volts = operating_point(net, volts)
        amps = (volts[net.start] - volts[net.end]) / net.ohms
        now = temperature_of(amps)
        moved = np.abs(now - temperature).max()
        temperature = now
        if moved < WITHIN_KELVIN:
            return Point(volts, amps, temperature)
    raise SystemExit("the script finds no temperatures")


# --- 6. fault currents ----------------------------------------------------------------------------------------------


@dataclass
class Faults:
    """Bolted faults of one network in one state: at each node, and through each branch for a fault at either end."""

    at_node: Floats
    forward: Floats  # With the branch's own resistance: least that must open it.
    backward: Floats
    forward_free: Floats  # Without it: most that it must break.
    backward_free: Floats


def faults(net: Network) -> Faults:
    """All of them from the inverse of the conductance matrix: one factorisation, a right-hand side for each node."""
    inverse = splu(net.conductance()).solve(np.eye(net.nodes))
    volts = inverse @ net.injected()
    own = np.diagonal(inverse)
    across = inverse[net.start, net.end]

    def toward(a: Integers, b: Integers) -> tuple[Floats, Floats]:
        rest = volts[a] - volts[b] * across / own[b]
        rest[rest < 1e-9 * volts[a]] = 0  # Nothing feeds it from that side.
        return rest / net.ohms, rest / (own[a] - across**2 / own[b])

    forward, forward_free = toward(net.start, net.end)
    backward, backward_free = toward(net.end, net.start)
    return Faults(volts / own, forward, backward, forward_free, backward_free)


@dataclass
class FaultLevels:
    """Both bounds, over all states of the sources."""

    node_low: Floats
    node_high: Floats
    through_low: Floats
    through_high: Floats


def fault_levels(low: list[Network], high: Network) -> FaultLevels:
    """The upper bound from the network at its strongest, the lower one from the weakest of its permitted states."""
    most = faults(high)
    least = [faults(net) for net in low]
    flows = [np.where(way > 0, way, np.inf) for f in least for way in (f.forward, f.backward)]
    return FaultLevels(
        node_low=np.min([f.at_node for f in least], axis=0),
        node_high=most.at_node,
        through_low=np.min(flows, axis=0),
        through_high=np.maximum(most.forward_free, most.backward_free),
    )


# --- 8. single failures ---------------------------------------------------------------------------------------------


def dark_loads(net: Network, parts: list[Integers]) -> list[Integers]:
    """Loads left unfed when one part is out by itself: a list of its branches and, numbered after them, sources."""
    start = np.concatenate([net.start, net.source])
    end = np.concatenate([net.end, np.full(len(net.source), net.nodes)])  # All sources stand on one more node.
    out = []
    for part in parts:
        left = np.ones(len(start), dtype=bool)
        left[part] = False
        links = coo_matrix((left[left], (start[left], end[left])), shape=(net.nodes + 1, net.nodes + 1))
        _, group = connected_components(links, directed=False)
        out.append(np.flatnonzero(group[net.load] != group[net.nodes]))
    return out
