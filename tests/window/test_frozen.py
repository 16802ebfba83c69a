"""One instant is one: what a hand sets while the clock is frozen waits for the clock, and everything says so."""

from __future__ import annotations

from typing import Any

import pytest
from board_moves import MakeBoard, pass_time, there

from trainer.drawing.rack import WAITS
from trainer.rig.rig import Rig
from trainer.window.rig.presenter import RigPresenter
from trainer.window.shell.window import BoardWindow

LEVER, CRANK = "1V1.lever", "0M1.speed_asked"
SHORT = WAITS.partition(" ")[2]  # where the lever's column is narrow


def written(board: BoardWindow) -> list[str]:
    """Return the words on the drawing."""
    return [words for words, _, _ in board.drawing.canvas.texts()]


def on_rack(board: BoardWindow) -> list[str]:
    """Return the words on the lever."""
    return [words for words, _, _ in board.rack.levers[LEVER].canvas.texts()]


def shown(board: BoardWindow) -> tuple[Any, ...]:
    """Return what drawing, figures, strip and readings show of the lever and its spool."""
    board.print_figures()
    live, snapshot = board.drawing.readings, board.snapshot()
    traces = board.strip.record.traces.all
    lever = next(k for k, trace in enumerate(traces) if trace.reads[0] == ("control", *LEVER.split(".")))
    row = float(board.strip.record.row(board.session.readings)[lever])
    return live.control("1V1", "lever"), live.state("1V1", "spool"), snapshot["spools"], row, written(board)


def test_a_lever_set_while_frozen_is_of_no_instant_yet(board: BoardWindow) -> None:
    board.run(False)
    pass_time(board, 0.2)
    before = shown(board)
    board.rack.levers[LEVER].motion.set_exactly(0.4)
    pass_time(board, 0.5)
    assert shown(board) == before
    assert before[0] == before[3] == 0.0
    assert {"40 %", SHORT} <= set(on_rack(board))
    assert board.rack.levers[LEVER].stands == 0.0
    assert board.notice.words == f"Lift lever at 40 %: {WAITS}."
    assert WAITS in board.rack.levers[LEVER].accessibleDescription()
    board.run()
    pass_time(board, 1.0)
    after = shown(board)
    assert after[0] == after[3] == 0.4
    assert "40 %" in after[4]  # at the end of the spool, which is there
    assert after[1] == pytest.approx(0.4, abs=0.01)
    assert SHORT not in on_rack(board)
    assert board.notice.words == ""


def test_a_number_set_while_frozen_is_of_no_instant_yet(board: BoardWindow) -> None:
    """Figures, ledgers and strip stay those of the instant; row, plate and dial's mark have what is set."""
    presenter = board.presenter(RigPresenter)
    board.rack.levers[LEVER].motion.set_exactly(1.0)
    pass_time(board, 2.0)
    board.run(False)
    pass_time(board, 7.0)  # rows of the ledgers exchange slowly
    before, ledgers = shown(board), (board.flow.canvas.texts(), board.power.canvas.texts())
    presenter.set("0V1.setting", 10e5)
    pass_time(board, 7.0)
    *after, words = shown(board)
    assert (*after, ["50 bar" if word == "10 bar" else word for word in words]) == before
    assert "10 bar" in words
    assert board.session.readings.parameter("0V1", "setting") == 50e5
    assert there(board.dials.dial("P1")).setting == 10e5
    assert (board.flow.canvas.texts(), board.power.canvas.texts()) == ledgers
    assert presenter.changes.value("0V1.setting") == 10e5
    assert board.notice.words == f"0V1 at 10 bar: {WAITS}."
    board.run()
    pass_time(board, 1.0)
    assert board.notice.words == ""
    assert board.session.readings.pressure("P1") == pytest.approx(10e5, rel=0.06)
    board.rewind(1.0)
    pass_time(board, 0.3)
    assert "50 bar" in written(board)
    assert there(board.dials.dial("P1")).setting == 50e5


def test_a_step_takes_what_waits(board: BoardWindow) -> None:
    board.run(False)
    board.rack.levers[LEVER].motion.set_exactly(-0.3)
    pass_time(board, 0.2)
    board.controller.step(1 / 60)
    pass_time(board, 0.2)
    assert board.drawing.readings.control("1V1", "lever") == -0.3
    assert board.rack.levers[LEVER].stands is None
    assert board.notice.words == ""


def test_a_speed_waits_too_and_going_back_lets_go(board: BoardWindow) -> None:
    board.run(False)
    board.rack.speeds[CRANK].motion.set_exactly(3.0)
    pass_time(board, 0.2)
    assert board.session.readings.control("0M1", "speed_asked") != 3.0
    assert WAITS in [words for words, _, _ in board.rack.speeds[CRANK].canvas.texts()]
    board.rewind(0.2)
    pass_time(board, 0.2)
    assert board.rack.speeds[CRANK].motion.value == board.session.readings.control("0M1", "speed_asked")
    assert board.session.waiting == {}


@pytest.mark.soak
@pytest.mark.parametrize("size", [(960, 540), (1280, 720), (1920, 1080)])
def test_on_every_lever_it_has_room(make_board: MakeBoard, loader: Rig, size: tuple[int, int]) -> None:
    window = make_board(loader, size=size)
    window.run(False)
    for view in window.rack.levers.values():
        view.motion.set_exactly(0.4)
    pass_time(window, 0.2)
    for view in window.rack.levers.values():
        texts = view.canvas.texts()
        assert view.stands == 0.0
        told = ("waits", WAITS, SHORT)
        if size == (960, 540):  # too low for another line: the hollow knob and the notice tell it
            assert not [words for words, _, _ in texts if words in told]
            continue
        box = next(box for words, box, _ in texts if words in told)
        assert -1 <= box.left() < box.right() <= view.width() + 1
        assert not [words for words, other, _ in texts if words not in told and box.intersects(other)]


def test_that_the_clock_is_frozen_is_said_while_it_is(board: BoardWindow) -> None:
    board.run(False)
    board.tell("Taken up again.", frozen=True)
    assert board.notice.words == "Taken up again. The clock is frozen."
    board.change_running()
    assert board.notice.words == "Taken up again."
