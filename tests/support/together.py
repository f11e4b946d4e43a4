"""Many like cases in one test that tries all of them and tells of every one that fails.

A test of its own costs five milliseconds of setting up and reporting, times more than most cases
take. `every_case` is written where `pytest.mark.parametrize` would be, and takes the same.
"""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable, Iterable, Sequence
from typing import Any, TypeVar

import pytest

Tried = TypeVar("Tried", bound=Callable[..., None])

FAILING = (Exception, pytest.fail.Exception)
LONGEST_ID = 120


def every_case(
    names: str | Sequence[str],
    cases: Iterable[Any],
    *,
    ids: Iterable[str] | Callable[[Any], object] | None = None,
) -> Callable[[Tried], Tried]:
    """The test with all cases in it, one after the other.

    Each failing case is told by its id, with what it says, and where there are several the first
    is the cause. A case that is skipped is passed over; where all are, so is the test. Fixtures
    that a test takes besides are made once for all cases: take none that a case changes. Raises
    ValueError where there is no case.
    """
    named = [each.strip() for each in names.split(",")] if isinstance(names, str) else list(names)
    every = [_named(named, case) for case in cases]
    ids = ids if ids is None or callable(ids) else list(ids)
    if not every:
        raise ValueError("no case to try")
    told = [_id(case, at, ids) for at, case in enumerate(every)]

    def grouped(test: Tried) -> Tried:
        @functools.wraps(test)
        def tried(*given: Any, **fixtures: Any) -> None:
            failed: list[tuple[str, BaseException]] = []
            skipped: list[BaseException] = []
            for name, case in zip(told, every, strict=True):
                try:
                    test(*given, **fixtures, **case)
                except pytest.skip.Exception as error:
                    skipped.append(error)
                except FAILING as error:
                    failed.append((name, error))
            if failed:
                raise AssertionError(_said(failed, len(every))) from failed[0][1]
            if len(skipped) == len(every):
                raise skipped[0]

        signature = inspect.signature(test)
        left = [each for name, each in signature.parameters.items() if name not in named]
        tried.__signature__ = signature.replace(parameters=left)  # type: ignore[attr-defined]
        return tried  # type: ignore[return-value]

    return grouped


def _named(names: Sequence[str], case: Any) -> dict[str, Any]:
    values = [case] if len(names) == 1 else list(case)
    return dict(zip(names, values, strict=True))


def _id(case: dict[str, Any], at: int, ids: Any) -> str:
    if callable(ids):
        told = "-".join(str(ids(each)) for each in case.values())
    else:
        told = str(ids[at]) if ids is not None else "-".join(map(str, case.values()))
    return told if len(told) <= LONGEST_ID else f"{told[:LONGEST_ID]}…"


def _said(failed: Sequence[tuple[str, BaseException]], count: int) -> str:
    lines = [f"{len(failed)} of {count} cases fail:"]
    for name, error in failed:
        lines.append(f"[{name}] {type(error).__name__}: {error}")
    return "\n".join(lines)
