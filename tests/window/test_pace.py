"""The picture gives way before time does: slow painters and slow solvers, on a clock of their own."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from board_moves import Clock, MakeBoard
from PySide6.QtCore import QEvent, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from trainer.engine.solver import Result
from trainer.window.session.pace import RATES, Pace
from trainer.window.shell.window import BoardWindow

TIMER = 0.016


class Slow:
    """A window whose calls and pictures take wall seconds of its own clock. ``pictures`` are their times."""

    def __init__(self, window: BoardWindow, call: float, picture: float) -> None:
        assert isinstance(window.clock, Clock)
        self.window, self.clock, self.call, self.picture = window, window.clock, call, picture
        self.pictures: list[float] = []
        self.rates: list[int] = []
        solve = window.session.solver.call

        def slow(x: np.ndarray, pu: np.ndarray, over: Callable[[], bool] | None = None) -> Result:
            self.clock.now += self.call
            return solve(x, pu, over)

        vars(window.session.solver)["call"] = slow
        window.controller.instant.connect(self._shown)
        window.run()
        window.controller._last = self.clock.now

    def _shown(self) -> None:
        self.pictures.append(self.clock.now)
        self.clock.now += self.picture

    def go(self, seconds: float) -> float:
        """Let the timer run for some wall seconds; return how many seconds of model time went by in each."""
        window, begun, time = self.window, self.clock.now, self.window.session.time
        self.pictures.clear()
        self.rates.clear()
        due = begun
        while self.clock.now < begun + seconds:
            due = max(due + TIMER, self.clock.now)
            self.clock.now = due
            window.controller._frame()
            self.rates.append(window.controller.pace.rate)
        return (window.session.time - time) / (self.clock.now - begun)


@pytest.mark.parametrize(
    ("call", "picture", "rates"),
    [
        pytest.param(0.001, 0.004, (60,), id="a quick computer"),
        pytest.param(0.001, 0.030, (20, 15), id="a slow painter"),
        pytest.param(0.010, 0.005, (60, 30), id="a slow solver"),
        pytest.param(0.010, 0.030, (10,), id="both"),
    ],
)
@pytest.mark.parametrize("rig", ["bench", pytest.param("loader", marks=pytest.mark.soak)])
def test_time_keeps_its_pace(
    make_board: MakeBoard,
    request: pytest.FixtureRequest,
    rig: str,
    call: float,
    picture: float,
    rates: tuple[int, ...],
) -> None:
    slow = Slow(make_board(request.getfixturevalue(rig)), call, picture)
    slow.go(4.0)  # it finds its rate
    assert slow.go(6.0) == pytest.approx(1.0, abs=0.01)
    assert set(slow.rates) <= {*rates}
    assert len(slow.pictures) == pytest.approx(6.0 * np.mean(slow.rates), rel=0.08)
    assert slow.window.snapshot()["notice"] == ""
    assert sum(a != b for a, b in zip(slow.rates, slow.rates[1:], strict=False)) <= 1, "it hunts"
    assert max(np.diff(slow.pictures)) <= 2.0 / min(rates) + 0.02


def test_only_a_solver_that_is_too_slow_is_told(make_board: MakeBoard) -> None:
    slow = Slow(make_board(), 0.030, 0.002)
    assert slow.go(6.0) == pytest.approx(1 / (60 * 0.030), rel=0.1)
    assert slow.window.snapshot()["notice"].startswith("The computer cannot keep up")
    assert slow.window.controller.pace.rate == RATES[-1]
    slow.call = 0.001
    assert slow.go(30.0) > 0.97
    assert slow.window.snapshot()["notice"] == ""
    assert slow.window.controller.pace.rate == RATES[0]


def test_nothing_is_left_out_of_the_record(make_board: MakeBoard) -> None:
    """Six calls to a picture: the strip has every one of them."""
    slow = Slow(make_board(), 0.010, 0.030)
    slow.go(4.0)
    begin = slow.window.session.time
    slow.go(2.0)
    record = slow.window.strip.record
    assert record.now == slow.window.session.time
    times, _ = record.series.column(record.series.names[0], begin, record.now)
    assert len(times) > 100
    assert max(np.diff(times)) == pytest.approx(1 / 60, rel=1e-6)


@pytest.mark.parametrize("told", [False, True], ids=["found by a frame", "told by an event"])
def test_a_hand_pulls_the_next_picture_forward(make_board: MakeBoard, told: bool) -> None:
    """At ten pictures a second a lever that begins to move is seen with the next frame; held, it costs no more."""
    slow = Slow(make_board(), 0.010, 0.030)
    slow.go(4.0)
    window = slow.window
    assert window.controller.pace.rate == 10
    waits = []
    for k in range(20):
        slow.go(0.3 + 0.007 * k)
        motion = window.controller.operator.levers["1V1.lever"]
        motion.set_exactly(0.1 * (k % 2 + 1))
        if told:
            window.rack.levers["1V1.lever"].moved.emit()
        begun = slow.clock.now
        slow.go(0.05)
        waits.append(slow.pictures[0] - begun)
    assert np.median(waits) <= 0.05
    motion.press(1)
    slow.go(2.0)
    motion.release(1)
    assert len(slow.pictures) <= 2.0 * 10 + 3


def test_a_rise_in_vain_is_waited_for_longer() -> None:
    """Pictures that cost more the more often they come: the rate does not go up and down for ever."""
    pace, changes, before = Pace(), 0, 60
    for _ in range(round(120 / TIMER)):
        pace.solved(1, 0.006)
        if pace.pass_time(TIMER, 0.006, 60.0, False):
            pace.shown(0.008 if pace.rate < 60 else 0.016)
        changes += pace.rate != before
        before = pace.rate
    assert changes <= 14


def test_a_frozen_board_rests_until_somebody_does_something(make_board: MakeBoard) -> None:
    window = make_board()
    controller = window.controller
    assert isinstance(window.clock, Clock)
    controller.start()
    window.run(False)
    for _ in range(600):
        window.clock.now += TIMER
        controller._frame()
        if not controller._frames.isActive():
            break
    assert not controller._frames.isActive()
    assert 6.0 < window.clock.now < 10.0  # not before a message has gone
    QApplication.sendEvent(window.drawing, QEvent(QEvent.Type.UpdateRequest))
    assert not controller._frames.isActive()
    QTest.keyClick(window, Qt.Key.Key_Shift)
    assert controller._frames.isActive()
    controller._wakes_for = -1.0
    controller._frame()
    assert not controller._frames.isActive()
    window.run()
    assert controller._frames.isActive()
    controller._wakes_for = -1.0
    controller._frame()
    assert controller._frames.isActive()  # while time runs there are frames
    controller.stop()
