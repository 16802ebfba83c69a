"""What instruments tell on the real window: needles that err, covers, the drawing, whether a reading counts."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from board_moves import FRAME, MakeBoard, change_class, class_view_of, pass_time, there
from cases import first
from looks import SYSTEMS
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from trainer.drawing.shapes import Path
from trainer.measuring.needles import Needle
from trainer.measuring.validity import MOVING, Met
from trainer.rig.rig import Instrument, Rig
from trainer.units import System
from trainer.window.dials.validity import in_lines
from trainer.window.shell.window import BoardWindow

LEVER = "1V1.lever"
BAR = 1e5


def fitted(window: BoardWindow, name: str = "P1", **changes: Any) -> None:
    """Change an instrument of the window's rig as a workshop would exchange it."""
    known = dict(window.session.rig.instruments)
    known[name] = replace(known[name], **changes)
    window.refit(known)


def figure(window: BoardWindow, name: str) -> str:
    """Return what is printed below a dial."""
    view = window.dials.dial(name)
    assert view is not None
    view.say()
    return view.dial.figures(view.shown)


# -- needles ------------------------------------------------------------------------------------------------------


def test_a_zero_error_shows_on_top_of_the_pressure(board: BoardWindow) -> None:
    """By hand: a gauge 2 bar too high shows the line's pressure and 2 bar."""
    fitted(board, zero=2 * BAR)
    pass_time(board, 1.5)
    view, true = board.dials.dials[0], board.session.readings.pressure("P1")
    assert view.needle == pytest.approx(true + 2 * BAR, abs=0.1 * BAR)
    assert float(figure(board, "P1")) == pytest.approx(true / BAR + 2, abs=0.1)


def test_a_needle_lags_by_its_damping_in_model_time(board: BoardWindow) -> None:
    """By hand: one time constant after a step a first-order needle has gone 63 % of the way; slow clock or not."""
    fitted(board, damping=0.6)
    pass_time(board, 2.0)
    view = board.dials.dials[0]
    board.set_speed(1 / 10)
    before = view.needle
    view.pointer.take(before + 10 * BAR, 0.6)
    assert view.needle - before == pytest.approx(10 * BAR * (1 - math.exp(-1)), rel=0.02)
    board.run(False)
    stands = view.needle
    pass_time(board, 0.5)
    assert view.needle == stands  # a frozen clock freezes the needle


def test_a_range_too_small_rests_on_the_stop_and_bends(board: BoardWindow) -> None:
    """Overload bends a spring for good (common practice, no source); the exact start has the sound one."""
    fitted(board, range_=6 * BAR)
    board.rack.levers[LEVER].motion.set_exactly(1.0)
    pass_time(board, 2.0)
    view = board.dials.dials[0]
    assert board.session.readings.pressure("P1") > 1.5 * 6 * BAR
    assert figure(board, "P1").startswith("> 6")
    assert view.pointer.state == "bent"
    assert "beyond the end" in view.accessibleDescription()
    board.reset()
    assert view.pointer.state == "sound"


def test_a_plugged_gauge_stands_still_while_the_pressure_rises(board: BoardWindow) -> None:
    fitted(board, state="plugged")
    pass_time(board, 1.0)
    stands = board.dials.dials[0].needle
    board.rack.levers[LEVER].motion.set_exactly(0.8)
    pass_time(board, 1.5)
    assert board.session.readings.pressure("P1") > stands + 15 * BAR
    assert board.dials.dials[0].needle == pytest.approx(stands, abs=0.5 * BAR)


@pytest.mark.soak
def test_a_trembling_needle_is_a_pale_fan(make_board: MakeBoard, loader: Rig) -> None:
    """A gear pump's beat is too fast for the eye: the needle widens to a fan, and is sharp when the pump rests."""
    window = make_board(loader)
    window.run()
    fitted(window, damping=0.0)
    window.rack.levers["3V1.lever"].motion.set_exactly(0.6)
    pass_time(window, 1.0)
    view = window.dials.dials[0]
    assert view.pointer.tremble > 0
    view.pointer.tremble = 0.05 * view.instrument.range_  # as wide as a poor line would make it
    fans = [s for s in view._live() if isinstance(s, Path) and s.fill == "hairline"]
    assert len(fans) == 1
    window.session.set_control("0M1.speed_asked", 0.0)
    window.rack.speeds["0M1.speed_asked"].motion.take(0.0)
    window.set_speed(4)
    pass_time(window, 3.0)
    assert view.pointer.tremble == 0
    assert not [s for s in view._live() if isinstance(s, Path) and s.fill == "hairline"]


# -- covers --------------------------------------------------------------------------------------------------------


def test_covering_a_fitted_gauge_hides_its_line_and_one_key_uncovers(
    make_board: MakeBoard, loader: Rig, qtbot: QtBot
) -> None:
    window = make_board(loader)
    window.run()
    window.refit({**window.session.rig.instruments, "P2": Instrument("P2", "gauge", "A3", 250 * BAR)})
    window.rack.levers["3V1.lever"].motion.set_exactly(0.6)
    pass_time(window, 0.5)
    window.dials.toggle(4)
    drawing = window.drawing
    assert drawing.state.covered == {"P2"}
    assert "A3" in drawing.scene.hidden(drawing.readings, drawing.state)
    assert window.snapshot()["instruments"]["P2"] is None
    assert window.dials.dials[3].needle == 0.0
    qtbot.keyClick(window, Qt.Key.Key_0, Qt.KeyboardModifier.AltModifier)
    assert drawing.state.covered == set()


def test_a_covered_flow_meter_hides_what_would_give_it_away(make_board: MakeBoard, loader: Rig) -> None:
    window = make_board(loader)
    window.run()
    window.rack.levers["3V1.lever"].motion.set_exactly(0.6)
    pass_time(window, 1.0)
    drawing = window.drawing

    def printed() -> list[str]:
        return [s.text for s in drawing.scene.moving(drawing.readings, drawing.state) if hasattr(s, "text")]

    assert any(text.endswith("mm/s up") and text[0].isdigit() for text in printed())
    window.dials.toggle(2)
    assert "mm/s up" in printed()  # its unit and its way stay
    assert not any(text[0].isdigit() and ("mm/s" in text or "L/min" in text) for text in printed())


# -- what counts ---------------------------------------------------------------------------------------------------


def test_the_line_of_validity_follows_the_conditions(make_board: MakeBoard, loader: Rig) -> None:
    window = make_board(loader)
    window.run()
    pass_time(window, 2.0)
    shown = window.dials.validity
    assert shown.there
    assert shown.pieces[0] == "P1 against the sheet:"
    assert "oil as asked" in shown.pieces
    assert shown.pieces[-1].startswith("sheet 5.3 ")
    window.session.set_temperature(20.0)
    pass_time(window, 0.5)
    assert "oil at 20, the sheet asks for 45 °C" in shown.pieces
    assert not any(piece.startswith("sheet") for piece in shown.pieces)


def test_the_line_of_validity_is_of_the_instant_at_which_time_stops(make_board: MakeBoard, loader: Rig) -> None:
    """The oil is a degree warmer each frame: wherever the clock is frozen, the line tells what it is by then."""
    window = make_board(loader)
    warm = 0
    for frames in (3, 4, 5, 6, 7, 8):
        window.run()
        for _ in range(frames):
            warm += 1
            window.session.set_temperature(warm)
            window.tick(FRAME)
        window.run(False)
        assert f"oil at {warm}, the sheet asks for 45 °C" in window.dials.validity.pieces, frames


def test_the_latest_instant_is_gone_back_to_with_its_needles_on_their_way(board: BoardWindow) -> None:
    """Not with needles at rest: the reading at this very instant has been seen, and stands in the strip."""
    board.run()
    board.rack.levers[LEVER].motion.set_exactly(1.0)
    pass_time(board, 0.1)
    board.run(False)
    figures = [figure(board, name) for name in ("P1", "Q1", "n1")]
    pieces = board.dials.validity.pieces
    assert MOVING in pieces
    pointer, latest = board.dials.dials[0].pointer, board.session.history.end
    middle = pointer.middle
    board.rewind(0.05)
    assert pointer.middle != pytest.approx(middle, rel=0.01)
    board.rewind(latest)
    assert pointer.middle == pytest.approx(middle, rel=1e-6)
    assert [figure(board, name) for name in ("P1", "Q1", "n1")] == figures
    assert board.dials.validity.pieces == pieces


def test_a_needle_does_not_depend_on_how_often_pictures_come(
    make_board: MakeBoard, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A pump by hand beats slowly: what its gauge feels of that it feels at each call, seen or not."""
    told: list[list[float]] = []
    for every in (1, 6):
        window, needles, left = make_board(), list[float](), [0]
        monkeypatch.setattr(
            window.controller.pace, "pass_time", lambda *_, left=left, every=every: not left[0] % every
        )
        window.run()
        for k in range(1, 121):
            left[0] = k
            window.rack.levers[LEVER].motion.set_exactly(0.9 * math.sin(k / 25))
            window.tick(FRAME)
            if k % 6 == 0:
                needles.append(window.snapshot()["needles"]["P1"])
        told.append(needles)
    assert told[0] == told[1]


@pytest.mark.soak
def test_a_reading_is_not_judged_while_its_needle_moves(make_board: MakeBoard, loader: Rig) -> None:
    """Counted in model time: a clock that stands lets no needle come to rest, nor does going back to its swing."""
    window = make_board(loader)
    window.run()
    pass_time(window, 2.0)
    shown = window.dials.validity
    assert MOVING not in shown.pieces
    window.rack.levers["3V1.lever"].motion.set_exactly(1.0)
    pass_time(window, 0.3)
    assert shown.pieces[1] == MOVING
    assert not any(piece.startswith("sheet") for piece in shown.pieces)
    swinging = window.session.time
    window.run(False)
    pass_time(window, 3.0)
    assert MOVING in shown.pieces
    window.rack.levers["3V1.lever"].motion.set_exactly(0.0)
    window.run()
    pass_time(window, 4.0)
    assert MOVING not in shown.pieces
    assert shown.pieces[-1].startswith("sheet 5.3 ")
    window.rewind(swinging)
    pass_time(window, 0.5)
    assert MOVING in shown.pieces


def test_covers_keep_the_comparison_back(make_board: MakeBoard, loader: Rig) -> None:
    window = make_board(loader)
    window.run()
    pass_time(window, 2.0)
    window.dials.toggle(1)
    pass_time(window, 0.3)
    assert not any(piece.startswith("sheet") for piece in window.dials.validity.pieces)


def test_a_rig_without_a_sheet_has_no_line(make_board: MakeBoard, bench: Rig) -> None:
    window = make_board(replace(bench, healthy=()))
    assert not window.dials.validity.isVisible()
    assert window.dials.validity.height_board() == 0.0


def test_met_conditions_go_first_where_there_is_no_room(board: BoardWindow) -> None:
    pieces = ["P1:", Met("speed as asked"), "oil at 31", Met("lever as asked"), Met("load as asked")]
    assert in_lines(pieces, 4000.0, 12, 1) == ["P1: speed as asked · oil at 31 · lever as asked · load as asked"]
    assert in_lines(pieces, 100.0, 12, 1) == ["P1: oil at 31"]


def test_the_drawing_tells_what_the_pointers_read(make_board: MakeBoard, bench: Rig) -> None:
    """By hand: a thermometer 10 K too high tells 55 °C of oil at 45 °C, on the drawing as on its dial."""
    window = make_board(bench)
    window.run()
    fitted(window, "T1", zero=10.0)
    fitted(window, "P1", state="seized")
    pass_time(window, 0.5)
    drawing = window.drawing
    told = [s.text for s in drawing.scene.moving(drawing.readings, drawing.state) if hasattr(s, "text")]
    assert "T1  55 °C" in told
    assert drawing.state.needles["P1"] == window.dials.dials[0].pointer.needle


@pytest.mark.soak
@pytest.mark.parametrize("system", SYSTEMS)
def test_dial_drawing_and_strip_say_the_same_of_an_instrument(
    make_board: MakeBoard, loader: Rig, system: System
) -> None:
    """While pressures rise and the engine sags: at every frame the figures on the screen are of one instant."""
    gauges = {"P2": Instrument("P2", "gauge", "pump", 250 * BAR, "class 1.6", 0.016)}
    window = make_board(replace(loader, instruments={**loader.instruments, **gauges}), system=system)
    strip = window.strip
    strip.want(["dial P1", "dial P2", "dial n1", "dial Q1"])
    window.run()
    window.rack.levers["3V1.lever"].motion.set_exactly(1.0)
    seen = set()
    for k in range(120):
        if k == 60:
            window.set_speed(4.0)
        window.tick(FRAME)
        window.drawing.repaint()
        told = window.snapshot()["strip"]
        for dial in window.dials.dials:
            if dial.instrument.name in told:
                seen.add((dial.instrument.name, dial.accessibleDescription()))
                assert told[dial.instrument.name] == dial._said
                assert window.drawing.state.told[dial.instrument.name] == dial.shown
                assert window.drawing.state.needles[dial.instrument.name] == dial.pointer.needle
    assert len(seen) > 30
    told = [text for text, _, _ in window.drawing.canvas.texts()]
    speed = next(text for text in told if text.startswith("n1  "))
    assert speed.split()[1].replace(" ", "") == there(window.dials.dial("n1"))._said.split()[0].replace(" ", "")


@pytest.mark.parametrize("defect", first(1, [{"state": "plugged"}, {"state": "bent"}, {"zero": 3 * BAR}]))
def test_projector_and_strip_show_a_bad_gauge_as_the_board_does(board: BoardWindow, defect: dict[str, Any]) -> None:
    """One needle: before the class and on the strip it stands where it would stand on the board."""
    fitted(board, **defect)
    board.session.freeze()
    twin = Needle(board.session.rig.instruments["P1"])
    twin.take(board.session.readings, rest=True)
    twin.pointer.put(board.board.needles.stands("P1"))
    change_class(board)
    board.run()
    board.rack.levers[LEVER].motion.set_exactly(0.8)
    for _ in range(90):
        board.tick(FRAME)
        twin.take(board.session.readings)
    stands = board.board.needles.stands("P1")
    assert stands == pytest.approx(twin.pointer.middle, rel=1e-9)
    shown = class_view_of(board).column.needles["P1"].pointer
    assert shown.needle == board.dials.dials[0].needle
    assert board.strip.record.stood("P1", board.session.time) == pytest.approx(stands, rel=1e-6)
    assert abs(stands - board.session.readings.pressure("P1")) > 2.5 * BAR
