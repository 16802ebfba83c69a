"""Hundreds of rig files and lever scripts with mistakes by chance: each opens, or is refused as it should be."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PATHS = [*filter(None, [os.environ.get("PYTHONPATH")]), str(ROOT)]


def met(first: int, last: int) -> dict[str, int]:
    """Open the files of some seeds in a process of their own, so that none can hang; return how many went how."""
    done = subprocess.run(
        [sys.executable, str(ROOT / "tests" / "mutants.py"), str(first), str(last)],
        env={**os.environ, "PYTHONPATH": os.pathsep.join(PATHS)},
        capture_output=True,
        text=True,
        timeout=3000,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert told["wrong"] == {}
    counts: dict[str, int] = told["met"]
    return counts


@pytest.mark.parametrize("first", range(0, 360, 60))
def test_a_file_with_mistakes_opens_or_is_refused_in_words(first: int) -> None:
    counts = met(first, first + 60)
    assert counts["refused"] > 20  # the mistakes are mistakes
    assert counts["opened"] > 3  # and not all of them


@pytest.mark.soak
@pytest.mark.parametrize("first", range(1000, 3000, 250))
def test_many_more_files_with_mistakes(first: int) -> None:
    assert sum(met(first, first + 250).values()) == 250
