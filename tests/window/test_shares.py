"""What waits for a quiet frame: nothing starves, however long the frames are and however hard the solver works."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np
import pytest
from board_moves import FRAME, Clock, MakeBoard, pass_time

from trainer.engine.solver import Result
from trainer.rig.rig import Rig
from trainer.window.shell.shares import LATEST, Shares
from trainer.window.shell.window import BoardWindow


@pytest.mark.parametrize("hard", [False, True])
@pytest.mark.parametrize("frame", [1 / 60, 1 / 40, 1 / 20, 0.1])
def test_nothing_waits_longer_than_it_may(frame: float, hard: bool) -> None:
    """Six shares, two of them wanted more often than there are frames: none comes less than five times a second."""
    now, times = 0.0, [[0.0] for _ in range(6)]

    def call(k: int) -> Callable[[float], None]:
        def note(seconds: float) -> None:
            assert seconds == pytest.approx(now - times[k][-1], abs=0.13)  # the first one was spread out
            times[k].append(now)

        return note

    shares = Shares([(call(k), 1 / 100 if k < 2 else 1 / 8) for k in range(6)])
    for _ in range(round(10 / frame)):
        now += frame
        shares.pass_time(frame, hard)
    assert max(float(np.diff(found).max()) for found in times) <= LATEST + 1e-9


def _note(done: list[int], which: int, _seconds: float) -> None:
    done.append(which)


def test_a_quiet_frame_does_one_thing() -> None:
    done: list[int] = []
    shares = Shares([(partial(_note, done, k), 1 / 8) for k in range(4)])
    counts = []
    for _ in range(300):
        before = len(done)
        shares.pass_time(1 / 60)
        counts.append(len(done) - before)
    assert max(counts) == 1
    assert {k: done.count(k) for k in range(4)} == {k: pytest.approx(5 / (8 / 60), abs=1) for k in range(4)}


def make_slow(window: BoardWindow, clock: Clock, call: float) -> None:
    """Let every call of the solver take some wall seconds on the window's own clock."""
    solve = window.session.solver.call

    def slow(x: np.ndarray, pu: np.ndarray, over: Callable[[], bool] | None = None) -> Result:
        clock.now += call
        return solve(x, pu, over)

    vars(window.session.solver)["call"] = slow


@pytest.mark.parametrize(
    ("speed", "call"),
    [
        (1.0, 0.0257),
        *(pytest.param(*slow, marks=pytest.mark.soak) for slow in ((4.0, 0.013), (1.0, 0.09))),
    ],
)
def test_curves_come_where_the_computer_cannot_keep_up(
    make_board: MakeBoard, loader: Rig, speed: float, call: float
) -> None:
    """A clock of the window's own, on which the solver is too slow: curves come five times a second, figures four."""
    window = make_board(loader)
    clock = window.clock
    assert isinstance(clock, Clock)
    window.run()
    window.set_speed(speed)
    make_slow(window, clock, call)
    window.controller._last = clock.now
    curves: list[float] = []
    figures: list[float] = []
    draw, say = window.strip.draw_curves, window.dials.dials[0].say

    def drawn() -> None:
        draw()
        assert window.strip.curves[0].xData[-1] == pytest.approx(0.0, abs=FRAME)  # up to the newest instant
        curves.append(clock.now)

    def said() -> None:
        say()
        figures.append(clock.now)

    vars(window.strip)["draw_curves"], vars(window.dials.dials[0])["say"] = drawn, said
    while clock.now < 4.0:
        clock.now += 0.0001  # what else a frame does
        window.controller._frame()
    assert window.session.true_speed < 0.65 * speed
    assert window.strip.record.now == window.session.time > 0.5
    for times, latest in ((curves, LATEST), (figures, 1 / 4 + 1 / 20)):  # with the nearest of ten pictures a second
        assert times[0] <= LATEST + call
        assert max(np.diff(times)) <= latest + 1e-9


def test_a_stretch_without_samples_is_a_gap(board: BoardWindow) -> None:
    """Model time that was not recorded is neither drawn nor told: the pieces of the curve end where samples end."""
    begin = board.session.time
    watch, board.session.watch = board.session.watch, None
    board.session.advance(2.0)  # past the window
    board.session.watch = watch
    pass_time(board, 0.5)
    strip, end = board.strip, begin + 2.0 + FRAME
    strip.draw_curves()
    for k, curve in enumerate(strip.curves):
        assert len(curve.lines) == 2
        before, after = strip.picture.lines(k)[0].pieces()
        assert before[0][-1] == pytest.approx(strip.picture.x_of(begin), abs=0.1)
        assert after[0][0] == pytest.approx(strip.picture.x_of(end), abs=0.1)
    assert strip.picture.value_text(1, begin + 1.0) == "–"
    assert strip.picture.value_text(1, end) != "–"
