"""What it costs, in one table: ratios against references run side by side. ``spoolroom bench`` prints it.

For developers: needs the test extra (scipy) and, for machine code, a C compiler. Nothing here is asserted.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Sequence

import casadi as ca

from trainer import first_frame, resources
from trainer.bench.hands import neutral, operator_like, swinging
from trainer.bench.sizes import size_rows
from trainer.bench.solver import solver_rows
from trainer.bench.table import Row, printed
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig

__all__ = ["main"]


def main(names: Sequence[str], minutes: float, sizes: bool = False) -> int:
    """Print the tables of shipped rigs, or of rigs of growing ``sizes``; ``minutes`` of model time for memory.

    Returns 0.
    """
    print(f"{sys.platform}, {os.cpu_count()} cores, Python {sys.version.split()[0]}, casadi {ca.__version__}")
    if sizes:
        print("", printed("Cost against size", [*size_rows()]), sep="\n")
        return 0
    for name in names:
        rig = rig_file.load(resources.path(f"rigs/{name}.toml"))
        print("", printed(rig.title, [*solver_rows(rig), *_window_rows(name, rig, minutes)]), sep="\n")
    return 0


def _window_rows(name: str, rig: Rig, minutes: float) -> Iterator[Row]:
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    try:
        from trainer.window import costs as measure
    except ImportError as error:
        yield Row("the window", f"cannot be opened here: {error}")
        return
    live = {"in neutral": neutral(rig), "two levers moving": swinging(rig)}
    for row in measure.rows(rig, operator_like(rig, 2), live, minutes):
        yield Row(*row)
    for row in first_frame.rows(name):
        yield Row(*row)
