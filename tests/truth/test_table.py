"""The table of published check values: every row is shown by a test, or is left with a reason; none is both."""

from __future__ import annotations

import re
from pathlib import Path

from .table import ELSEWHERE, LEFT, ROWS

HERE = Path(__file__).parent
CHECKED = re.compile(r'"([A-Z]{1,2}\d{2,3})"')


def test_every_row_is_shown_or_left_with_a_reason() -> None:
    texts = (path.read_text("utf-8") for path in HERE.glob("test_*.py") if path.name != Path(__file__).name)
    checked = {id_ for text in texts for id_ in CHECKED.findall(text)}
    known = set(ROWS)
    assert len(known) == len(ROWS)
    shown = (checked & known) | ELSEWHERE.keys()
    assert not shown & LEFT.keys(), "shown, and said not to be"
    assert not known - shown - LEFT.keys(), "neither shown nor left with a reason"
    assert not (ELSEWHERE.keys() | LEFT.keys()) - known
    assert all(LEFT.values())


def test_what_is_said_to_show_a_row_is_there() -> None:
    for where in ELSEWHERE.values():
        file, _, name = where.partition("::")
        assert f"def {name}(" in (HERE.parents[1] / file).read_text("utf-8"), where
