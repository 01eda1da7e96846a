"""The same answers from eight threads at once, while other Python threads go on."""

from __future__ import annotations

import threading
import time
from concurrent.futures import ThreadPoolExecutor

import orlop
from conftest import CIRCUIT


def test_eight_threads_size_the_same_boat(dunlin: orlop.Design) -> None:
    boat = orlop.demo_boat("dunlin")
    expected = [dunlin.table(name) for name in dunlin.tables]
    with ThreadPoolExecutor(8) as pool:
        designs = list(pool.map(lambda _: boat.size(), range(16)))
    for design in designs:
        assert [design.table(name) for name in design.tables] == expected
        assert design.judgements == dunlin.judgements


def test_eight_threads_ask_single_questions() -> None:
    def question(n: int) -> tuple[object, ...]:
        circuit = orlop.size_circuit(**{**CIRCUIT, "current": f"{1 + n} A"})
        return circuit.conductor, circuit.device, circuit.drop, circuit.governed_by

    alone = [question(n) for n in range(40)]
    with ThreadPoolExecutor(8) as pool:
        assert list(pool.map(question, range(40))) == alone


def test_other_threads_go_on_while_a_boat_is_sized() -> None:
    boat = orlop.demo_boat("dunlin")
    ticks = 0
    stop = threading.Event()

    def tick() -> None:
        nonlocal ticks
        while not stop.is_set():
            ticks += 1
            time.sleep(0.0005)

    ticker = threading.Thread(target=tick)
    ticker.start()
    try:
        while ticks == 0:
            time.sleep(0.001)
        before = ticks
        began = time.perf_counter()
        while time.perf_counter() - began < 0.3:
            boat.size()
    finally:
        stop.set()
        ticker.join()
    assert ticks > before + 10
