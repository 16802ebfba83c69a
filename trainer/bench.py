"""What it costs, in one table: ratios against references run side by side. ``spoolroom bench`` prints it.

For developers: needs the test extra (scipy) and, for the compiled row, a C compiler. Nothing here is asserted.
"""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import casadi as ca
import numpy as np

from trainer import resources, rig_file
from trainer.engine.network import Vector
from trainer.engine.session import FRAME, Session
from trainer.engine.solver import LIVE, Solver
from trainer.rig import Rig

__all__ = ["main", "operator_like"]

_FRAMES = 900


@dataclass(frozen=True, slots=True)
class _Row:
    what: str
    found: str
    goal: str = ""


def operator_like(rig: Rig, seed: int) -> Iterator[dict[str, float]]:
    """Yield the controls [SI] of frame after frame: full lever steps at random every 0.35 s, drives at work."""
    rng = random.Random(seed)
    controls = rig.controls()
    levers = [
        name for name, control in controls.items() if control.low < 0 < control.high and control.quantity == "ratio"
    ]
    drives = [name for name, control in controls.items() if control.quantity == "shaft speed"]
    now = {name: 0.7 * controls[name].high for name in drives}
    frame = 0
    while True:
        if frame % 21 == 0:
            now |= {name: rng.choice((-1.0, 0.0, 1.0)) for name in levers}
            now |= {name: rng.uniform(0.3, 1.0) * controls[name].high for name in drives}
        yield dict(now)
        frame += 1


def _stretches(rig: Rig, frames: int, seed: int = 1) -> tuple[Session, list[tuple[Vector, Vector]]]:
    session, found = Session(rig), []
    for controls, _ in zip(operator_like(rig, seed), range(frames), strict=False):
        for name, value in controls.items():
            session.set_control(name, value)
        session.pu[0] = FRAME
        found.append((session.x.copy(), session.pu.copy()))
        session.advance(FRAME)
    return session, found


def _milliseconds(run: Callable[[Vector, Vector], Any], stretches: list[tuple[Vector, Vector]]) -> Vector:
    taken = []
    for x, pu in stretches:
        begin = time.perf_counter()
        run(x, pu)
        taken.append(1e3 * (time.perf_counter() - begin))
    return np.array(taken)


def _spread(taken: Vector) -> str:
    mean, (p50, p99), most = taken.mean(), np.percentile(taken, [50, 99]), taken.max()
    return f"mean {mean:.2f}  p50 {p50:.2f}  p99 {p99:.2f}  max {most:.2f} ms"


def _scipy_runs(solver: Solver) -> dict[str, Callable[[Vector, Vector], Any]]:
    from scipy.integrate import solve_ivp

    rate = ca.Function("rate", [solver.z, solver.pu], [solver.scaled_rate])
    jacobian = ca.Function("jacobian", [solver.z, solver.pu], [ca.jacobian(solver.scaled_rate, solver.z)])
    nominal = solver.network.nominal

    def run(method: str) -> Callable[[Vector, Vector], Any]:
        def one(x: Vector, pu: Vector) -> Any:
            return solve_ivp(
                lambda _, z: rate(z, pu).full().ravel(),
                (0.0, 1.0),
                x / nominal,
                method=method,
                rtol=LIVE,
                atol=LIVE / 10,
                jac=lambda _, z: jacobian(z, pu).full(),
            )

        return one

    return {method: run(method) for method in ("BDF", "LSODA", "Radau")}


def _solver_rows(rig: Rig) -> list[_Row]:
    session, stretches = _stretches(rig, _FRAMES)
    ours = _milliseconds(session.solver.call, stretches)
    rows = [_Row(f"one frame at {LIVE:g}, {len(session.network.states)} states, ledgers included", _spread(ours))]
    exact = Solver(session.network, 1e-6)
    rows.append(_Row("the same at 1e-06", _spread(_milliseconds(exact.call, stretches))))
    few = stretches[:: max(1, len(stretches) // 60)]
    mine = _milliseconds(session.solver.call, few).mean()
    try:
        references = _scipy_runs(session.solver)
    except ImportError:
        rows.append(_Row("against SciPy", "scipy is not installed: install the test extra"))
    else:
        times = {name: _milliseconds(run, few).mean() for name, run in references.items()}
        rows += [
            _Row(f"SciPy {name}, same equations", f"{taken:.2f} ms = {taken / mine:.0f} times")
            for name, taken in times.items()
        ]
        rows.append(_Row("SciPy's best against ours", f"{min(times.values()) / mine:.0f} times", ">= 15 times"))
    if shutil.which("gcc"):
        compiled = Solver(
            session.network,
            LIVE,
            jit=True,
            compiler="shell",
            jit_options={"flags": ["-O2"], "verbose": False},
        )
        compiled.call(*stretches[0])
        theirs = _milliseconds(compiled.call, stretches).mean()
        rows.append(
            _Row(
                "ours against the same right-hand side compiled to C",
                f"{ours.mean() / theirs:.2f} times",
                "<= 2 times",
            )
        )
    else:
        rows.append(_Row("against compiled C", "no C compiler found"))
    begin = time.perf_counter()
    session.advance(20.0)
    rows.append(_Row("batch of calls", f"{20.0 / (time.perf_counter() - begin):.0f} times real time"))
    return rows


def main(name: str = "one-spool-bench", minutes: float = 10.0) -> int:
    """Print the table for a shipped rig; ``minutes`` of model time for the memory row. Returns 0."""
    rig = rig_file.load(resources.path(f"rigs/{name}.toml"))
    rows = _solver_rows(rig)
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    try:
        from trainer.window import measure
    except ImportError as error:
        rows.append(_Row("the window", f"cannot be opened here: {error}"))
    else:
        rows += [_Row(*row) for row in measure.rows(rig, operator_like(rig, 2), minutes)]
    for _ in range(2):  # the second start is warm
        asked = [sys.executable, "-m", "trainer.window.measure", name, str(time.time())]
        first = subprocess.run(asked, capture_output=True, text=True, check=False)
    found = first.stdout.strip() or first.stderr.strip()[-200:]
    rows.append(_Row("start to first live frame, warm", found, "<= 1.5 s"))
    width = max(len(row.what) for row in rows)
    print(f"{rig.title}: {sys.platform}, Python {sys.version.split()[0]}, casadi {ca.__version__}")
    for row in rows:
        print(f"{row.what:<{width}}  {row.found}" + (f"   (goal {row.goal})" if row.goal else ""))
    return 0
