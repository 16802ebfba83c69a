"""What a rig costs against its size: one of 1, 2, 4 … 32 sections in line, and how each cost grows.

``python -m trainer.bench.sizes N`` measures one rig in a process of its own, so that memory is that of the rig alone,
and prints what it has found. Seconds are of the processor: they are the same beside other work, nearly.
"""

from __future__ import annotations

import itertools
import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping
from pathlib import Path

import numpy as np

from trainer.bench.bank import bank
from trainer.bench.hands import neutral, swinging
from trainer.bench.solver import quick
from trainer.bench.table import Row
from trainer.engine.machine_code import Translator, find_compiler
from trainer.engine.session import FRAME, Session
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig

__all__ = ["exponent", "main", "size_rows"]

SIZES = (1, 2, 4, 8, 16, 32)
_FRAMES = 240
_LARGER = 8  # sections from which on growth is looked at
_MOST = 1.3  # exponent
_REAL_TIME = 16  # sections that are to keep up with the clock as machine code
_STATES, _LOAD, _MEMORY, _COMPILE = "states", "load: read, built, settled [s]", "memory of it [MB]", "compiler [s]"
_NEUTRAL, _SWINGING = "a frame in neutral", "a frame, two levers moving"
_CODED = " as machine code"
_LAYOUT, _PICTURE = "window opened, drawing laid out [s]", "a picture, two levers moving [ms]"


def _resident() -> float:
    """Return the memory in use [MB]; 0 where the system does not tell."""
    try:
        return int(Path("/proc/self/statm").read_text("ascii").split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6
    except OSError:
        return 0.0


def _frame(session: Session, hands: Iterator[Mapping[str, float]]) -> float:
    """Return what a frame without its picture takes, in the middle [ms]."""
    taken = []
    for controls in itertools.islice(hands, _FRAMES):
        begin = time.process_time()
        for name, value in controls.items():
            session.set_control(name, value)
        session.advance(FRAME)
        taken.append(1e3 * (time.process_time() - begin))
    return float(np.median(taken))


def _measured(sections: int) -> Iterator[tuple[str, float]]:
    """Yield what one rig costs."""
    before, begin = _resident(), time.process_time()
    rig = rig_file.loads(bank(sections), f"{sections} sections")
    session = Session(rig)
    yield _LOAD, time.process_time() - begin
    yield _MEMORY, _resident() - before
    yield _STATES, float(len(session.network.states))
    yield _NEUTRAL, _frame(session, neutral(rig))
    yield _SWINGING, _frame(session, swinging(rig))
    yield from _window(rig)
    compiler = find_compiler()
    if compiler is None:
        return
    with tempfile.TemporaryDirectory() as folder:
        before = os.times().children_user
        session = Session(rig)
        if quick(session.solver, (session.x, session.pu), Translator(compiler, Path(folder) / "kept")):
            return
        yield _COMPILE, os.times().children_user - before
        yield _NEUTRAL + _CODED, _frame(session, neutral(rig))
        yield _SWINGING + _CODED, _frame(session, swinging(rig))


def _window(rig: Rig) -> Iterator[tuple[str, float]]:
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    try:
        from trainer.window.costs import opened
    except ImportError:
        return
    layout, picture = opened(rig, swinging(rig))
    yield _LAYOUT, layout
    yield _PICTURE, 1e3 * picture


def exponent(sizes: Mapping[int, float]) -> float:
    """Return how a cost grows over the larger sizes: the n of size^n through them."""
    larger = {size: cost for size, cost in sizes.items() if size >= _LARGER}
    return float(np.polyfit(np.log([*larger]), np.log([*larger.values()]), 1)[0])


def size_rows() -> Iterator[Row]:
    """Yield what grows with the number of sections, and how: frames as shares of real time, all else as multiples."""
    found: dict[str, dict[int, float]] = {}
    for size in SIZES:
        done = subprocess.run(
            [sys.executable, "-m", __name__, str(size)], capture_output=True, text=True, check=False
        )
        if done.returncode:
            yield Row(f"{size} sections", done.stderr.strip()[-300:])
            return
        for what, cost in json.loads(done.stdout).items():
            found.setdefault(what, {})[size] = cost
    yield Row("sections in line", "".join(f"{size:>9}" for size in SIZES))
    grow: dict[str, float] = {}
    for what, costs in found.items():
        if what.startswith((_NEUTRAL, _SWINGING)):
            cells, named = [f"{costs[size] / FRAME / 10:.1f} %" for size in SIZES], f"{what}, of real time"
        else:
            first = costs[SIZES[0]]
            cells, named = [f"{first:.3g}", *(f"x {costs[size] / first:.3g}" for size in SIZES[1:])], what
        grow[what] = exponent(costs)
        told = "".join(f"{cell:>9}" for cell in cells)
        yield Row(named, f"{told}   grows with n^{grow[what]:.2f}", f"<= n^{_MOST}" if what != _STATES else "")
    fastest = max(grow, key=lambda what: grow[what])
    yield Row("grows fastest", f"{fastest}: n^{grow[fastest]:.2f}")
    if coded := found.get(_SWINGING + _CODED):
        told = f"{1e3 * FRAME / coded[_REAL_TIME]:.1f} times real time"
        yield Row(f"{_REAL_TIME} sections{_CODED}, two levers moving", told, ">= 1 time")


def main(sections: int) -> int:
    """Measure one rig, and print what was found. Returns 0."""
    print(json.dumps(dict(_measured(sections))))
    return 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1])))
