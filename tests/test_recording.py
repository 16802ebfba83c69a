"""Records of a run: the table, its instants, and books that close."""

from __future__ import annotations

import csv
import io
import math

import pytest

from trainer import recording, resources
from trainer.engine.session import Session
from trainer.rig import file as rig_file
from trainer.rig import levers
from trainer.units import System

BENCH = rig_file.load(resources.rigs()["one-spool-bench"])
SCRIPT = levers.loads("time [s], 1V1.lever [%], 0M1.speed_asked [r/min]\n0, 0, 60\n0.505, 100,\n1, 0,\n")


def table(system: System = System.METRIC, rate: float = 60.0) -> list[dict[str, str]]:
    """Return the rows of a short run."""
    out = io.StringIO()
    rows = recording.record(Session(BENCH, 1e-6), SCRIPT, 2.0, out, rate, system)
    found = list(csv.DictReader(io.StringIO(out.getvalue())))
    assert len(found) == rows
    return found


def test_one_time_column_units_in_the_header_and_plain_numbers() -> None:
    rows = table()
    titles = list(rows[0])
    assert titles[0] == "time [s]"
    assert [title for title in titles if title.startswith("time")] == ["time [s]"]
    expected = (
        "1V1.lever [%], pump outlet [bar], lift cylinder cap end [bar], gauge P1 [bar], flow meter Q1 [L/min], "
    )
    expected += "lift rod place [mm], lift rod speed [mm/s], hand crank shaft speed [r/min], "
    expected += "tachometer n1 [r/min], thermometer T1 [C]"
    assert set(expected.split(", ")) <= set(titles)
    assert all("[" in title and title.endswith("]") for title in titles)
    assert all(math.isfinite(float(value)) for row in rows for value in row.values())


def test_instants_are_even_and_levers_jump_between_them() -> None:
    rows = table()
    times = [float(row["time [s]"]) for row in rows]
    assert times == pytest.approx([k / 60 for k in range(121)], abs=1e-6)
    lever = {round(time, 4): float(row["1V1.lever [%]"]) for time, row in zip(times, rows, strict=True)}
    assert lever[0.5] == 0  # the lever jumps at 0.505 s, between two rows
    assert lever[0.5167] == 100
    assert lever[1.0] == 100  # a row shows the instant reached with the controls that led there
    assert lever[1.0167] == 0


def test_the_load_rises_while_the_lever_is_out() -> None:
    rows = table()
    place = [float(row["lift rod place [mm]"]) for row in rows]
    assert place[0] == pytest.approx(0, abs=0.1)
    assert place[-1] > 2


def test_the_books_of_every_row_close() -> None:
    for row in table():
        paid = sum(float(value) for title, value in row.items() if title.startswith("paid in"))
        spent = sum(float(value) for title, value in row.items() if title.startswith(("heat", "stored")))
        largest = max(abs(float(value)) for title, value in row.items() if title.endswith("[W]"))
        assert spent == pytest.approx(paid, abs=2e-5 * max(1.0, largest))


def test_us_units_are_the_same_run() -> None:
    metric, us = table()[-1], table(System.US)[-1]
    assert float(us["pump outlet [psi]"]) == pytest.approx(
        14.503774 * float(metric["pump outlet [bar]"]), rel=1e-5
    )  # NIST SP 811
    assert float(us["lift rod place [in]"]) == pytest.approx(float(metric["lift rod place [mm]"]) / 25.4, rel=1e-5)


def test_the_rate_changes_the_rows_and_not_the_run() -> None:
    slow, fast = table(rate=10.0), table(rate=60.0)
    assert len(slow) == 21
    for column, least in (("pump outlet [bar]", 0.05), ("lift rod place [mm]", 0.02)):
        assert float(slow[-1][column]) == pytest.approx(float(fast[-1][column]), abs=least)


def test_the_same_script_gives_the_same_table() -> None:
    assert table() == table()
