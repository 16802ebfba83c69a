"""Cases of a test that stand in every run, and those that only the long tests go through."""

from __future__ import annotations

import functools
import os
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest

from trainer import resources
from trainer.engine.kept import Kept
from trainer.lessons.running import Courses
from trainer.practice import file as practice_file
from trainer.practice.task import Task
from trainer.rig import file
from trainer.rig.rig import Rig

__all__ = ["LARGER", "courses", "first", "rungs", "shipped"]

LARGER = ("one-spool-bench", "timber-trailer-loader")  # shipped rigs with more kinds of parts than the small ones


def first(count: int, cases: Iterable[Any]) -> list[Any]:
    """Return cases for ``parametrize``: the first ``count`` in every run, the others with the long tests."""
    marked = []
    for k, case in enumerate(cases):
        values = case if isinstance(case, tuple) else (case,)
        marked.append(case if k < count else pytest.param(*values, marks=pytest.mark.soak))
    return marked


@functools.cache
def shipped(name: str) -> Rig:
    """Return a shipped rig, read once for all tests of a process."""
    return file.load(resources.rigs()[name])


@functools.cache
def courses() -> Courses:
    """Return what runs tasks, and keeps what they gave in a folder that all processes of the tests share."""
    folder = Path(os.environ["SPOOLROOM_TESTS_TOGETHER"])
    return Courses(folder / "runs", Kept(folder / "starts"), most=10_000)


@functools.cache
def rungs() -> list[Task]:
    """Return all rungs of the ladder, read once for all tests of a process."""
    return practice_file.ladder()
