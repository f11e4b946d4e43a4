"""Processes that work beside this one are not waited for when what they work for is given up."""

from __future__ import annotations

import multiprocessing
import time

import pytest

from markrules.reading.processes import processes

LONG = 120.0
"""Seconds that each would work."""


def _ready() -> None:
    """Nothing is to be made ready."""


def _give_up_in_the_midst() -> None:
    with processes(2, _ready) as pool:
        found = pool.submit(abs, -3)
        for _ in range(8):
            pool.submit(time.sleep, LONG)
        assert found.result() == 3
        raise KeyboardInterrupt


@pytest.mark.slow
def test_work_in_hand_is_not_waited_for_when_it_is_given_up() -> None:
    before = set(multiprocessing.active_children())
    began = time.monotonic()
    with pytest.raises(KeyboardInterrupt):
        _give_up_in_the_midst()

    assert time.monotonic() - began < LONG
    assert set(multiprocessing.active_children()) <= before
