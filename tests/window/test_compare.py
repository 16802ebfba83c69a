"""Two runs: the kept one laid over the next on the strip, both side by side, what was changed between them."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from board_moves import MakeBoard, pass_time, there
from PySide6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot
from strip_moves import LEVER, P1, number, recorded, work

from trainer.drawing.shapes import Words
from trainer.engine.session import Session
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.compare.pane import RunsPane
from trainer.window.compare.presenter import ComparePresenter
from trainer.window.compare.run import (
    START,
    Number,
    changes,
    numbers_of,
)
from trainer.window.compare.table import common_stretch, stretch_words
from trainer.window.shell.window import BoardWindow
from trainer.window.strip.picture import difference

SETTING = "0V1.setting"


@pytest.fixture
def twice(board: BoardWindow) -> BoardWindow:
    """The bench after two runs: before, and again with a higher relief setting and a heavier weight."""
    board.reset()
    board.run()
    work(board, 2.0, 0.8)
    board.presenter(ComparePresenter).keep_run()
    board.reset()
    board.session.set_parameter(SETTING, 60e5)
    board.session.set_parameter("1W1.mass", 400.0)
    board.run()
    work(board, 1.5, 0.8)
    board.run(False)
    return board


def words(pane: RunsPane) -> list[str]:
    return [shape.text for shape in (*pane.still_shapes(), *pane.live_shapes()) if isinstance(shape, Words)]


def curves_of(pane: RunsPane) -> Any:
    """Return the curves of both runs, by plot; pyqtgraph's have no types."""
    return there(pane.plots).curves


def opened(window: BoardWindow, qtbot: QtBot) -> RunsPane:
    window.activateWindow()
    qtbot.keyClick(window, Qt.Key.Key_F8)
    pane = there(window.findChild(RunsPane))
    assert pane.isVisible()
    return pane


def test_nothing_is_kept_at_first(board: BoardWindow, qtbot: QtBot) -> None:
    pane = opened(board, qtbot)
    assert "No run is kept yet." in words(pane)
    assert not pane.forget.isVisible()
    assert board.strip.picture.before is None
    assert "before" not in [shape.text for shape in board.strip.picture.still() if isinstance(shape, Words)]
    qtbot.keyClick(pane, Qt.Key.Key_Escape)
    assert not pane.isVisible()
    board.reset()
    board.strip.record.clear()
    board.presenter(ComparePresenter).keep_run()
    assert board.snapshot()["notice"].startswith("Nothing has run yet.")


def test_the_run_before_lies_over_the_present_one(twice: BoardWindow) -> None:
    presenter, strip = twice.presenter(ComparePresenter), twice.strip
    lines = strip.picture.lines(1)
    assert [(line.ink, line.width) for line in lines] == [("ink2", 1.0), ("ink", 2.0)]
    times, values = there(presenter.kept).series.column(P1, 0.0, 10.0)
    shown = lines[0]
    inner = (shown.times > 0.2) & (shown.times < strip.record.now - 0.1)
    assert shown.values[inner] == pytest.approx(np.interp(shown.times[inner], times, values / 1e5), abs=0.5)
    assert lines[1].times[-1] == strip.record.now
    assert "before" in [shape.text for shape in strip.picture.still() if isinstance(shape, Words)]
    assert there(presenter.kept).series.end == pytest.approx(2.0, abs=0.05)
    # the heavier weight takes (400 - 255) kg x 9.80665 / (pi/4 (40 mm)^2) = 11.3 bar more
    settled = strip.record.series.mean(P1, 1.2, 1.5) - there(presenter.kept).series.mean(P1, 1.2, 1.5)
    assert settled / 1e5 == pytest.approx(11.3, rel=0.1)


@pytest.mark.soak
def test_a_kept_run_stays_as_it_was(twice: BoardWindow) -> None:
    kept = twice.presenter(ComparePresenter).kept
    before = there(kept).series.column(P1, 0.0, 9.0)[1].copy()
    twice.run()
    work(twice, 2.0, -0.5)
    assert np.array_equal(there(kept).series.column(P1, 0.0, 9.0)[1], before)


@pytest.mark.soak
@pytest.mark.parametrize("system", list(System))
def test_side_by_side_with_figures_and_changes(twice: BoardWindow, qtbot: QtBot, system: System) -> None:
    twice.set_system(system)
    pane = opened(twice, qtbot)
    metric = system is System.METRIC
    factor, unit = (1e5, "bar") if metric else (6894.757, "psi")  # NIST SP 811
    told = words(pane)
    assert {"Before", "Now", "Changed between the runs"} <= set(told)
    kept, record = twice.presenter(ComparePresenter).kept, twice.strip.record
    row = told.index(f"P1, {unit}")
    figures = [number(text) for text in told[row + 1 : row + 7]]
    at = record.now  # the newest instant of the shorter run
    values = [there(kept).series.value(P1, at), record.series.value(P1, at)]
    means = [
        series.mean(P1, 0.0, record.now) for series in (there(kept).series, record.series)
    ]  # of the time of both
    wanted = [*values, values[1] - values[0], *means, means[1] - means[0]]
    assert figures == pytest.approx([value / factor for value in wanted], abs=0.06 if metric else 0.6)
    changed = [text for text in told if "→" in text]
    setting = next(text for text in changed if text.startswith("0V1"))
    mass = next(text for text in changed if text.startswith("1W1"))
    if metric:
        assert re.search(r"50 bar → 60 bar$", setting)
        assert mass.endswith("255 kg → 400 kg")
    else:
        assert re.search(r"725 psi → 870 psi$", setting)
        assert mass.endswith("562 lb → 882 lb")
    assert len(changed) == 2


@pytest.mark.soak
def test_both_columns_have_the_same_axes(twice: BoardWindow, qtbot: QtBot) -> None:
    pane = opened(twice, qtbot)
    plots: Any = pane.plots  # pyqtgraph's have no types
    for one, other in plots.plots:
        assert one.getViewBox().viewRange() == other.getViewBox().viewRange()
    (left, wide), (right, also) = plots.columns()
    assert left + wide < right
    assert wide == pytest.approx(also, abs=2)
    before, now = plots.curves[1]
    assert before.xData[-1] == pytest.approx(2.0, abs=0.05)
    assert now.xData[-1] == pytest.approx(twice.strip.record.now, abs=0.02)
    assert now.yData[-1] == pytest.approx(twice.board.needles.stands("P1") / 1e5, rel=1e-4)


@pytest.mark.soak
def test_the_cursor_of_both(twice: BoardWindow, qtbot: QtBot) -> None:
    pane = opened(twice, qtbot)
    qtbot.keyClick(pane, Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier)
    begin, end = there(pane.plots).reach
    assert pane.cursor_time == pytest.approx(twice.strip.record.now - (end - begin) / 20, abs=1e-6)
    area = pane.plots_area()
    (left, width), _ = there(pane.plots).columns()
    top, height = there(pane.plots).lines()[0]
    at = QPoint(round(area.x() + left + width / 2), round(area.y() + top + height / 2))
    qtbot.mouseClick(pane, Qt.MouseButton.LeftButton, pos=at)
    assert pane.cursor_time == pytest.approx((begin + end) / 2, abs=0.03)
    value = there(twice.presenter(ComparePresenter).kept).series.value(P1, there(pane.cursor_time)) / 1e5
    assert number(pane.rows[1].at_cursor[0]) == pytest.approx(value, abs=0.06)
    qtbot.keyClick(pane, Qt.Key.Key_Delete)
    assert pane.cursor_time is None


@pytest.mark.soak
def test_laid_on_each_other_at_a_mark(twice: BoardWindow, qtbot: QtBot) -> None:
    presenter = twice.presenter(ComparePresenter)
    assert presenter.runs.places() == [START]
    presenter.next_alignment()
    assert "Only the start" in twice.snapshot()["notice"]
    twice.reset()
    twice.run()
    work(twice, 0.5, 0.0)
    twice.marks.append((twice.session.time, "A"))
    work(twice, 1.0, 0.8)
    presenter.keep_run()
    first = twice.marks[0][0]
    twice.reset()
    twice.run()
    work(twice, 1.0, 0.0)
    twice.marks[:] = [(twice.session.time, "A")]
    work(twice, 1.0, 0.8)
    pane = opened(twice, qtbot)
    qtbot.mouseClick(pane.align, Qt.MouseButton.LeftButton)
    assert pane.align.text() == "Aligned at mark A"
    assert presenter.runs.shift() == pytest.approx(twice.marks[0][0] - first)
    assert there(twice.strip.picture.before).shift == presenter.runs.shift()
    lever = twice.strip.picture.lines(0)
    rises = [line.times[np.argmax(line.values > 40.0)] for line in lever]
    assert rises[0] == pytest.approx(rises[1], abs=0.04)  # both levers moved right after the mark
    qtbot.mouseClick(pane.align, Qt.MouseButton.LeftButton)
    assert presenter.runs.aligned == START


@pytest.mark.soak
def test_forget(twice: BoardWindow, qtbot: QtBot) -> None:
    pane = opened(twice, qtbot)
    qtbot.mouseClick(pane.forget, Qt.MouseButton.LeftButton)
    assert twice.presenter(ComparePresenter).kept is None
    assert twice.strip.picture.before is None
    assert "No run is kept yet." in words(pane)
    qtbot.mouseClick(pane.keep, Qt.MouseButton.LeftButton)
    assert twice.presenter(ComparePresenter).kept is not None
    assert "Nothing." in words(pane)


@pytest.mark.soak
def test_covered_figures_stay_covered(twice: BoardWindow, qtbot: QtBot) -> None:
    names = [dial.instrument.name for dial in twice.dials.dials]
    twice.dials.toggle(names.index("P1") + 1)
    pane = opened(twice, qtbot)
    told = words(pane)
    assert told[told.index("P1, bar") + 1] == "Speed, mm/s"
    assert not len(curves_of(pane)[1][0].xData)
    assert not len(curves_of(pane)[1][1].xData)
    assert len(twice.strip.picture.lines(1)) == 0


@pytest.mark.soak
def test_the_kept_run_outlives_another_session_of_the_same_rig(twice: BoardWindow, bench: Rig, loader: Rig) -> None:
    kept = twice.presenter(ComparePresenter).kept
    twice.strip.want([P1])
    twice.replace_session(Session(bench))
    assert twice.presenter(ComparePresenter).kept is kept
    assert there(twice.strip.picture.before).series is there(kept).series
    assert [trace.name for trace in twice.strip.traces] == ["P1"]
    twice.replace_session(Session(loader))
    assert twice.presenter(ComparePresenter).kept is None
    assert twice.strip.picture.before is None
    assert twice.strip.record.traces.wanted is None
    pass_time(twice, 0.1)


def test_what_differs_is_told_with_figures_that_show_it(bench: Rig) -> None:
    before = numbers_of(Session(bench))
    assert changes(before, before, System.METRIC) == []
    now = dict(before)
    now[SETTING] = Number(before[SETTING].words, "pressure", 50.4e5)
    del now[f"{LEVER}"]
    now["1Z9.way"] = Number("1Z9 throttle: way", "", "out")
    told = {change.words.split(":")[0]: (change.before, change.now) for change in changes(before, now, System.METRIC)}
    assert told["0V1 relief valve"] == ("50 bar", "50.4 bar")
    assert told[before[LEVER].words.split(":")[0]] == ("0 %", "–")
    assert told["1Z9 throttle"] == ("–", "out")


@pytest.mark.soak
def test_a_pane_that_is_hidden_does_nothing(twice: BoardWindow, qtbot: QtBot, make_board: MakeBoard) -> None:
    pane = opened(twice, qtbot)
    shown = curves_of(pane)[1][1].xData.copy()
    qtbot.keyClick(twice, Qt.Key.Key_F8)
    assert not pane.isVisible()
    twice.run()
    work(twice, 0.5)
    assert np.array_equal(curves_of(pane)[1][1].xData, shown)
    assert len(recorded(twice.strip, P1)[0]) > len(shown)


@pytest.mark.soak
def test_means_are_of_the_time_that_both_runs_have(twice: BoardWindow, qtbot: QtBot) -> None:
    """A longer run, at rest at its end, next to a short one: its rest does not count, and the table says so."""
    presenter, record = twice.presenter(ComparePresenter), twice.strip.record
    pane = opened(twice, qtbot)
    told = words(pane)
    assert "mean, 0.0 s to 1.5 s of both" in told
    row = told.index("P1, bar")
    before, now, difference = (number(text) for text in told[row + 4 : row + 7])
    heavier = (400.0 - 255.0) * 9.80665 / (math.pi / 4 * 0.04**2) / 1e5  # bar, while it moves
    assert before == pytest.approx(there(presenter.kept).series.mean(P1, 0.0, record.now) / 1e5, abs=0.06)
    assert before != pytest.approx(there(presenter.kept).series.mean(P1, 0.0, 2.0) / 1e5, abs=0.06)
    assert 0.3 * heavier < difference == pytest.approx(now - before, abs=0.11)
    twice.marks.append((1.0, "A"))
    presenter.runs.kept = replace(there(presenter.kept), marks={"A": 0.5})
    pane._align()
    assert "mean, −0.5 s to 0.5 s of both" in words(pane)
    assert (
        stretch_words(common_stretch(twice.strip.picture, there(presenter.kept).series, (0.0, 5.0)))
        == "mean: no time in common"
    )


def test_a_difference_is_that_of_the_figures_shown() -> None:
    assert difference("10", "33") == "23"
    assert difference("−1.5", "2.25") == "3.75"
    assert difference("2.0", "1.5") == "−0.5"
    assert difference("0.3", "0.3") == "0.0"
    assert difference("–", "3") == "–"
