"""Draw lists as text, and their comparison with approved ones; for tests of every picture."""

from __future__ import annotations

import difflib
import os
import re
from collections.abc import Sequence
from pathlib import Path

from trainer.drawing.shapes import Arc, Circle, Marks, Point, Shape, Words
from trainer.drawing.shapes import Path as Line

__all__ = ["APPROVE", "as_text", "check"]

FOLDER = Path(__file__).parent / "approved"
APPROVE = "SPOOLROOM_APPROVE"
_PLACE = re.compile(r"(?<![\w.])-?\d+\.\d(?![\w.])")
_SLACK = 0.11  # px that a rounded place may differ: another system's last digit


def _number(value: float) -> str:
    text = f"{value:.1f}"
    return "0.0" if text == "-0.0" else text


def _points(points: Sequence[Point]) -> str:
    return " ".join(f"{_number(x)},{_number(y)}" for x, y in points)


def _ink(ink: str | None, width: float, fill: str | None, hatch: str | None) -> str:
    told = [f"{ink} {width:g}" if ink is not None else "no outline"]
    told += [f"fill {fill}"] if fill is not None else []
    told += [f"hatch {hatch}"] if hatch is not None else []
    return ", ".join(told)


def _line(shape: Shape) -> str:
    if isinstance(shape, Line):
        kind = "closed path" if shape.closed else "path"
        dash = f", dash {' '.join(f'{part:g}' for part in shape.dash)}" if shape.dash else ""
        return f"{kind} {_points(shape.points)} ({_ink(shape.ink, shape.width, shape.fill, shape.hatch)}{dash})"
    if isinstance(shape, Circle):
        where = f"{_number(shape.x)},{_number(shape.y)} radius {_number(shape.radius)}"
        return f"circle {where} ({_ink(shape.ink, shape.width, shape.fill, shape.hatch)})"
    if isinstance(shape, Arc):
        where = f"{_number(shape.x)},{_number(shape.y)} radius {_number(shape.radius)}"
        turn = f"from {_number(shape.start)} by {_number(shape.span)} degrees"
        return f"arc {where} {turn} ({shape.ink} {shape.width:g})"
    if isinstance(shape, Marks):
        places = " ".join(f"{_number(x)},{_number(y)},{_number(turn)}" for x, y, turn in shape.places)
        return f"marks {places} ({shape.length:g} by {shape.width:g}, {shape.ink})"
    assert isinstance(shape, Words)
    how = f"{shape.align} size {shape.size:g} {shape.ink} {shape.weight}"
    return f"words {_number(shape.x)},{_number(shape.y)} {shape.text!r} ({how})"


def as_text(shapes: Sequence[Shape]) -> str:
    """Return a draw list as text, one shape a line, places [px] and angles rounded to a tenth."""
    return "".join(f"{_line(shape)}\n" for shape in shapes)


def _same(wanted: str, found: str) -> bool:
    """Return whether two lines are equal but for a tenth of a pixel in their places."""
    if wanted == found:
        return True
    if _PLACE.sub("#", wanted.partition(" '")[0]) != _PLACE.sub("#", found.partition(" '")[0]):
        return False
    if wanted.partition(" '")[2] != found.partition(" '")[2]:
        return False
    pairs = zip(_PLACE.findall(wanted), _PLACE.findall(found), strict=True)
    return all(abs(float(one) - float(other)) <= _SLACK for one, other in pairs)


def check(name: str, shapes: Sequence[Shape]) -> None:
    """Compare a draw list with tests/approved/NAME.txt; with SPOOLROOM_APPROVE=1 in the environment, renew that."""
    file, found = FOLDER / f"{name}.txt", as_text(shapes)
    if os.environ.get(APPROVE) == "1":
        FOLDER.mkdir(exist_ok=True)
        file.write_text(found, encoding="utf-8", newline="\n")
    remedy = f"Look at the picture; if it is right, run the test once with {APPROVE}=1 and read what changed in git."
    assert file.is_file(), f"tests/approved/{file.name} does not exist. {remedy}"
    wanted = file.read_text(encoding="utf-8")
    told, now = wanted.splitlines(), found.splitlines()
    if len(told) == len(now) and all(map(_same, told, now)):
        return
    difference = "\n".join(difflib.unified_diff(told, now, f"approved/{file.name}", "now", lineterm="", n=1))
    raise AssertionError(f"the picture '{name}' is not the approved one.\n{difference}\n{remedy}")
