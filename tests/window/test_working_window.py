"""The working on the real window: a click opens what was clicked, live or frozen, covered with its gauge."""

from __future__ import annotations

import itertools
import math
import re

import pytest
from board_moves import FRAME, MakeBoard, pass_time
from looks import SYSTEMS, sizes
from PySide6.QtCore import QPoint, QPointF, QRectF, Qt
from pytestqt.qtbot import QtBot

from trainer.drawing.shapes import Path, Words
from trainer.drawing.type_widths import text_width
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.painting import fonts
from trainer.window.shell.window import BoardWindow
from trainer.window.working.pane import WorkingPane
from trainer.window.working.presenter import WorkingPresenter
from trainer.working import Subject

BOOM, LOAD = "3V1.lever", "3W1.load"


@pytest.fixture
def lifting(make_board: MakeBoard, loader: Rig) -> BoardWindow:
    """The loader's boom going up with 250 kg at 70 %."""
    window = make_board(loader, size=(1920, 1080))
    window.session.set_control(LOAD, 250.0)
    window.controller.operator.take(window.session)
    window.rack.levers[BOOM].motion.set_exactly(0.7)
    window.run()
    pass_time(window, 1.0)
    return window


def pane_of(window: BoardWindow) -> WorkingPane:
    return window.presenter(WorkingPresenter).pane


def click(qtbot: QtBot, window: BoardWindow, place: QPointF) -> None:
    qtbot.mouseClick(window.drawing, Qt.MouseButton.LeftButton, pos=place.toPoint())


def written(window: BoardWindow) -> list[str]:
    """Return everything that the pane says now, its title included."""
    return [text for text, _, _ in pane_of(window).canvas.texts()]


def figures_on_drawing(window: BoardWindow, start: str, near: str = "") -> tuple[QPointF, str]:
    """Return the middle of a printed number [px of the drawing's widget] that begins so, nearest to a part."""
    view = window.drawing
    zoom, (left, top) = view.placing()
    found = [s for s in view.scene.moving(window.session.readings, view.state)
             if isinstance(s, Words) and re.match(start, s.text)]  # fmt: skip
    x = view.scene.layout.placed[near].x if near else 0.0
    words = min(found, key=lambda s: abs(s.x - x))
    wide = text_width(words.text, words.size, words.weight)
    middle = words.x + {"left": wide / 2, "centre": 0.0, "right": -wide / 2}[words.align]
    return QPointF(left + middle * zoom, top + (words.y - 0.3 * words.size) * zoom), words.text


# -- what opens -----------------------------------------------------------------------------------------------------


OPENED = (
    (r"Load ", "3A1", "Boom cylinder 3A1", "Force on the rod", "F"),
    (r"\d+ mm/s up", "3A1", "Boom cylinder 3A1", "Speed out", "v"),
    (r"A  ", "3A1", "Boom, cap end", "Asked for by 3A1 boom", "p"),
    (r"B  ", "3A1", "Boom, rod end", "All drops on the way to the tank", "p"),
    (r"[\d.]+ L/min", "0P1", "Pump 0P1", "Delivery of the pump", "q"),
    (r"[\d.]+ L/min", "0Z2", "Return filter 0Z2", "Oil that comes to 0Z2", "q"),
    (r"\d+ bar", "0P1", "Pump outlet", "All drops up to the load", "p"),
    (r"Oil ", "", "Tank 0Z1", "How fast the oil warms", "r"),
)


@pytest.mark.parametrize(
    ("start", "near", "title", "name", "letter"),
    [case if k in (0, 2, 4) else pytest.param(*case, marks=pytest.mark.soak) for k, case in enumerate(OPENED)],
)
def test_a_click_on_a_number_opens_its_working(
    qtbot: QtBot, lifting: BoardWindow, start: str, near: str, title: str, name: str, letter: str
) -> None:
    """The first working ends with the very number that was clicked, as far as its figures go.

    Where a meter is fitted the number is what its damped pointer stands at; the working has what the oil does.
    """
    lifting.run(False)
    place, text = figures_on_drawing(lifting, start, near)
    click(qtbot, lifting, place)
    pane = pane_of(lifting)
    assert pane.isVisible()
    assert pane.title == title
    assert pane.shown is not None
    assert pane.shown.name == name
    assert pane.shown.result.letter.startswith(letter)
    number = re.search(r"[\d.]+", text)
    assert number is not None
    if letter != "r":
        decimals = len(number[0].partition(".")[2])
        found = pane.shown.found(System.METRIC).number(System.METRIC)
        meters = [name for name, item in lifting.session.rig.instruments.items() if item.on == f"{near}.P"]
        if meters and "L/min" in text:
            assert found == pytest.approx(abs(lifting.session.readings.flow(near, "P")) * 60e3, rel=1e-6)
            found = lifting.drawing.state.told[meters[0]] * 60e3
        assert float(number[0]) == pytest.approx(found, abs=0.6 * 10.0**-decimals)


def test_parts_lines_and_instruments_open(qtbot: QtBot, lifting: BoardWindow) -> None:
    view = lifting.drawing
    zoom, (left, top) = view.placing()

    def at(x: float, y: float) -> QPointF:
        return QPointF(left + x * zoom, top + y * zoom)

    pump, gauge = view.scene.layout.placed["0P1"], view.scene.gauges["P1"]
    (run, *_) = view.scene.pipes.nets["A3"].runs
    (ax, ay), (bx, by) = max(itertools.pairwise(run.points), key=lambda pair: math.dist(*pair))
    for place, title in (
        (at(pump.x, pump.y), "Pump 0P1"),
        (at((ax + bx) / 2, (ay + by) / 2), "Boom, cap end"),
        (at(gauge.x, gauge.y), "Gauge P1"),
    ):
        click(qtbot, lifting, place)
        assert pane_of(lifting).title == title
        assert pane_of(lifting).workings


def test_a_ledger_row_opens_its_working(qtbot: QtBot, lifting: BoardWindow) -> None:
    row = next(k for k, entry in enumerate(lifting.power.entries) if entry.name == "Pump losses")
    scale = lifting.board.beside.scale
    qtbot.mouseDClick(lifting.power, Qt.MouseButton.LeftButton, pos=QPoint(60, round((80 + 21 * row - 5) * scale)))
    pane = pane_of(lifting)
    assert pane.title == "Pump losses"
    assert [working.name for working in pane.workings] == ["What it is made of", "Loss of 0P1"]


def test_all_small_entries_together_open_the_whole_ledger(lifting: BoardWindow) -> None:
    from trainer.energy.ledger import Entry

    lifting.flow.opened.emit(Entry("other", "Other", 1e-6, "friction"))
    assert pane_of(lifting).title == "Flow ledger"
    assert pane_of(lifting).workings


def test_the_ground_opens_nothing(qtbot: QtBot, lifting: BoardWindow) -> None:
    click(qtbot, lifting, QPointF(4.0, lifting.drawing.height() - 4.0))
    assert not pane_of(lifting).isVisible()


def test_another_tool_beside_the_drawing_keeps_its_place(qtbot: QtBot, lifting: BoardWindow) -> None:
    """A plain click does not take it away; a double click and the key do."""
    from trainer.window.controls.pane import Pane

    other = Pane(lifting.board.beside, lifting.board)
    lifting.open_pane(other)
    place, _ = figures_on_drawing(lifting, "Load ", "3A1")
    click(qtbot, lifting, place)
    assert other.isVisible()
    assert not pane_of(lifting).isVisible()
    lifting.presenter(WorkingPresenter).change_pane()
    assert pane_of(lifting).isVisible()
    assert not other.isVisible()


# -- the key --------------------------------------------------------------------------------------------------------


def test_the_key_opens_what_has_the_keyboard(qtbot: QtBot, lifting: BoardWindow) -> None:
    for focus, title in (
        (lifting.dials.dials[1], "Flow meter Q1"),
        (lifting.rack.levers[BOOM], "Boom section 3V1"),
    ):
        focus.setFocus()
        qtbot.keyClick(focus, Qt.Key.Key_F4)
        assert pane_of(lifting).isVisible()
        assert pane_of(lifting).title == title
    qtbot.keyClick(pane_of(lifting), Qt.Key.Key_F4)
    assert not pane_of(lifting).isVisible()


@pytest.mark.soak
def test_the_key_opens_the_first_cylinder_where_nothing_was_asked(qtbot: QtBot, board: BoardWindow) -> None:
    board.bar.run.setFocus()
    qtbot.keyClick(board.bar.run, Qt.Key.Key_F4)
    assert pane_of(board).title == "Lift cylinder 1A1"
    qtbot.keyClick(pane_of(board), Qt.Key.Key_Escape)
    assert not pane_of(board).isVisible()


def test_enter_and_click_on_a_dial_cover_it_still(qtbot: QtBot, board: BoardWindow) -> None:
    dial = board.dials.dials[0]
    qtbot.mouseClick(dial, Qt.MouseButton.LeftButton)
    assert dial.covered
    assert not pane_of(board).isVisible()


def test_arrows_and_rows_step_through_the_list(qtbot: QtBot, lifting: BoardWindow) -> None:
    presenter = lifting.presenter(WorkingPresenter)
    presenter.show(Subject("part", "3A1"))
    pane = presenter.pane
    names = [working.name for working in pane.workings]
    assert len(names) > 6
    qtbot.keyClick(pane, Qt.Key.Key_Down)
    assert pane.shown is not None
    assert pane.shown.name == names[1]
    qtbot.keyClick(pane, Qt.Key.Key_End)
    assert pane.shown.name == names[-1]
    qtbot.keyClick(pane, Qt.Key.Key_Down)
    assert pane.shown.name == names[-1]
    qtbot.keyClick(pane, Qt.Key.Key_Home)
    qtbot.keyClick(pane, Qt.Key.Key_Up)
    assert pane.shown.name == names[0]
    row = next(y for y in range(pane.height()) if pane.row_at(float(y)) == 3)
    qtbot.mouseClick(pane, Qt.MouseButton.LeftButton, pos=QPoint(60, row + 4))
    assert pane.shown.name == names[3]
    assert f"4 of {len(names)}" in written(lifting)


# -- what it shows --------------------------------------------------------------------------------------------------


def test_it_follows_the_machine_and_freezes_with_the_clock(lifting: BoardWindow) -> None:
    presenter = lifting.presenter(WorkingPresenter)
    presenter.show(Subject("part", "3A1", "speed"))

    def result() -> str:
        assert presenter.pane.shown is not None
        return presenter.pane.shown.lines(System.METRIC)[2]

    before = result()
    lifting.rack.levers[BOOM].motion.set_exactly(0.45)
    pass_time(lifting, 0.5)
    assert result() != before
    assert result() in presenter.pane.accessibleDescription()
    lifting.run(False)
    pass_time(lifting, 0.3)
    after, spoken = result(), presenter.pane.accessibleDescription()
    pass_time(lifting, 0.5)
    assert (result(), presenter.pane.accessibleDescription()) == (after, spoken)


@pytest.mark.soak
def test_it_shows_the_instant_that_was_gone_back_to(lifting: BoardWindow) -> None:
    presenter = lifting.presenter(WorkingPresenter)
    presenter.show(Subject("part", "3A1", "speed"))
    pass_time(lifting, 0.5)
    lifting.rewind(0.0)
    pass_time(lifting, 3 * FRAME)
    pass_time(lifting, 0.3)
    assert presenter.pane.shown is not None
    assert presenter.pane.shown.result.value == pytest.approx(abs(lifting.session.readings.speed("boom")), abs=1e-12)


@pytest.mark.soak
def test_the_chosen_working_stays_chosen_while_it_comes_and_goes(lifting: BoardWindow) -> None:
    """The drop from P to A is only there while that edge is open; it comes back when it opens again."""
    presenter = lifting.presenter(WorkingPresenter)
    presenter.show(Subject("part", "3V1"))
    presenter.pane.choose([working.name for working in presenter.pane.workings].index("Drop P to A"))
    lifting.rack.levers[BOOM].motion.set_exactly(0.0)
    pass_time(lifting, 0.8)
    assert presenter.pane.shown is not None
    assert presenter.pane.shown.name == "Flow past the spool"
    lifting.rack.levers[BOOM].motion.set_exactly(0.7)
    pass_time(lifting, 0.6)
    assert presenter.pane.shown.name == "Drop P to A"


@pytest.mark.soak
def test_both_unit_systems_are_on_it(lifting: BoardWindow) -> None:
    presenter = lifting.presenter(WorkingPresenter)
    lifting.run(False)
    presenter.show(Subject("part", "3A1"))
    for system in (System.METRIC, System.US, System.METRIC):
        lifting.set_system(system)
        shapes = [s for s in (*presenter.pane.still_shapes(), *presenter.pane.live_shapes()) if isinstance(s, Words)]
        first = {unit: next(s for s in shapes if s.text == unit) for unit in ("kN", "lbf")}
        chosen, other = ("kN", "lbf") if system is System.METRIC else ("lbf", "kN")
        assert first[chosen].y < first[other].y
        assert max(s.size for s in shapes if s.text == chosen) > max(s.size for s in shapes if s.text == other)


def test_covers_hide_the_term_and_uncovering_shows_it(lifting: BoardWindow) -> None:
    """Gauge, line, chamber and term hide together: the load can be predicted, its pressure not be read."""
    presenter = lifting.presenter(WorkingPresenter)
    lifting.run(False)
    presenter.show(Subject("part", "3A1"))
    assert presenter.pane.shown is not None
    pressure = presenter.pane.shown.terms[0]
    assert pressure.letter == "pA"
    figures = pressure.figures(System.METRIC)[0]
    assert written(lifting).count(figures) == 2  # in the formula and in the table
    lifting.dials.toggle(1)
    assert figures not in written(lifting)
    assert any(isinstance(s, Path) and s.hatch == "cover-hatch" for s in presenter.pane.still_shapes())
    assert figures not in presenter.pane.accessibleDescription()
    lifting.dials.toggle(1)
    assert written(lifting).count(figures) == 2


@pytest.mark.soak
def test_nothing_to_work_out_is_said(lifting: BoardWindow) -> None:
    presenter = lifting.presenter(WorkingPresenter)
    presenter.show(Subject("ledger", "flow.relief.0V1"))
    assert presenter.pane.workings == ()
    assert "Nothing to work out here now" in presenter.pane.accessibleDescription()
    assert any("Nothing to work out" in text for text in written(lifting))
    presenter.pane.choose(3)  # no row is there to be chosen
    assert presenter.pane.shown is None


@pytest.mark.soak
def test_an_instrument_taken_off_takes_its_working_along(lifting: BoardWindow) -> None:
    presenter = lifting.presenter(WorkingPresenter)
    presenter.show(Subject("instrument", "Q1"))
    fitted = {name: one for name, one in lifting.session.rig.instruments.items() if name != "Q1"}
    lifting.refit(fitted)
    assert not presenter.pane.isVisible()
    pass_time(lifting, 0.3)


SUBJECTS = (
    Subject("part", "3A1"), Subject("part", "3V1"), Subject("part", "0Z2"), Subject("part", "0Z1"),
    Subject("part", "0M1"), Subject("line", "pump"), Subject("line", "R"), Subject("line", "boom"),
    Subject("ledger", "power.lines"), Subject("ledger", "power.into.1W1.height"),
)  # fmt: skip


@pytest.mark.parametrize("size", sizes((1280, 720), (1366, 768), (1920, 1080)))
@pytest.mark.parametrize("system", SYSTEMS)
def test_everything_has_room_in_the_pane(
    make_board: MakeBoard, loader: Rig, size: tuple[int, int], system: System
) -> None:
    """Every working of ten subjects, at every size: no word out of the pane, none over another, none under 12 px."""
    window = make_board(loader, "dark", system, size)
    window.session.set_control(LOAD, 250.0)
    window.session.set_control(BOOM, 0.7)
    window.session.advance(1.0)
    window.controller.operator.take(window.session)
    pass_time(window, 2 * FRAME)
    presenter = window.presenter(WorkingPresenter)
    room = QRectF(presenter.pane.rect())
    for subject in SUBJECTS:
        presenter.show(subject)
        room = QRectF(presenter.pane.rect())
        assert presenter.pane.workings, subject
        for place in range(len(presenter.pane.workings)):
            presenter.pane.choose(place)
            texts = presenter.pane.canvas.texts()
            for k, (text, box, pixels) in enumerate(texts):
                assert pixels >= 12, (subject, text)
                assert room.contains(box), (subject, presenter.pane.shown, text)
                for other, another, _ in texts[k + 1 :]:
                    common = box.intersected(another)
                    assert common.width() < 1.5 or common.height() < 0.32 * pixels, (subject, place, text, other)


def test_the_table_of_widths_is_that_of_the_family(board: BoardWindow) -> None:
    """What is laid out by table is as wide on the screen."""
    for weight in (400, 600):
        metrics = fonts.metrics(1000, weight)
        for text in (
            "12.34 kN",
            "Δp · V / 62.8 + Tr",
            "Oil that leaves the rod end",
            "θ = √( μ / ρ )² − 0.50 °C",
            "ληφν",
        ):
            assert text_width(text, 1000, weight) == pytest.approx(metrics.horizontalAdvance(text), rel=0.01)
