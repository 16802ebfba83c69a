"""Ledgers on the board and over time, in the real window: entries light parts, stretches are totalled."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from functools import partial
from typing import Any

import pytest
from board_moves import FRAME, MakeBoard, pass_time
from ledgers import power_ledger
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from trainer.drawing.areas_view import NOTHING
from trainer.drawing.ledger_view import PITCH
from trainer.drawing.picking import Pick
from trainer.energy.ledger import Entry, percentages
from trainer.energy.ledger_history import Cycle
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.ledgers.areas import AreasView
from trainer.window.ledgers.pane import LedgerPane
from trainer.window.ledgers.presenter import LedgersPresenter
from trainer.window.ledgers.view import LedgerView
from trainer.window.shell.window import BoardWindow


def move(window: BoardWindow, value: float, seconds: float, lever: str = "1V1.lever") -> None:
    window.rack.levers[lever].motion.set_exactly(value)
    pass_time(window, seconds)


def cycles(window: BoardWindow, count: int, lever: str = "1V1.lever") -> None:
    """Lift and lower some times, with rests."""
    for _ in range(count):
        move(window, 0.7, 1.0, lever)
        move(window, 0.0, 0.3, lever)
        move(window, -0.6, 0.7, lever)
        move(window, 0.0, 0.3, lever)


def shown(window: BoardWindow) -> LedgerPane:
    pane = window.presenter(LedgersPresenter).pane
    if not pane.isVisible():
        QTest.keyClick(window, Qt.Key.Key_F5)
    return pane


def row_point(view: LedgerView, row: int) -> QPoint:
    return QPoint(round(100 * view.look.scale), round((76.0 + PITCH * row) * view.look.scale))


def lit(window: BoardWindow) -> set[str]:
    return {name for kind, name in window.drawing.state.lit if kind == "part"}


def written(widget: Any) -> list[str]:
    return [text for text, _, _ in widget.canvas.texts()]


# -- entries and parts ---------------------------------------------------------------------------------------------


def test_an_entry_under_the_pointer_lights_its_parts(board: BoardWindow) -> None:
    move(board, 0.7, 1.0)
    view = board.power
    row = next(k for k, entry in enumerate(view.entries) if entry.name == "Pump losses")
    QTest.mouseMove(view, row_point(view, row))
    assert view.current == row
    assert lit(board) == {"0P1"}
    QTest.mouseMove(view, QPoint(100, 4))
    assert view.current == -1
    assert lit(board) == set()


def test_a_click_keeps_an_entry_lit_and_tells_it(board: BoardWindow, qtbot: QtBot) -> None:
    move(board, 0.7, 1.0)
    view = board.flow
    with qtbot.waitSignal(view.picked) as told:
        QTest.mouseClick(view, Qt.MouseButton.LeftButton, pos=row_point(view, 0))
    (entry,) = told.args
    assert isinstance(entry, Entry)
    assert entry.name == "Lift cylinder, cap end"
    QTest.mouseMove(view, QPoint(100, 4))
    assert lit(board) == {"1V1", "1A1"}
    assert view.lit_rows() == {0}
    QTest.mouseClick(view, Qt.MouseButton.LeftButton, pos=row_point(view, 0))
    QTest.mouseMove(view, QPoint(100, 5))
    assert lit(board) == set()


@pytest.mark.parametrize("size", [(960, 540), (1280, 720), (1920, 1080)])
def test_the_flow_ledger_says_how_its_oil_is_counted(
    make_board: MakeBoard, loader: Rig, size: tuple[int, int]
) -> None:
    """Beside a flow meter that reads less: on the ledger where it has room, and always in its tip."""
    window = make_board(loader, size=size)
    texts = window.flow.canvas.texts()
    counted = [box for words, box, _ in texts if words == "at tank pressure"]
    assert counted or size == (960, 540)
    assert not [words for words, box, _ in texts if counted and box != counted[0] and box.intersects(counted[0])]
    assert "A flow meter sees the oil as it is where it sits" in window.flow.toolTip()
    assert "at tank pressure" not in written(window.power)
    assert "flow meter" not in window.power.toolTip()


def test_a_ledger_by_keyboard(board: BoardWindow, qtbot: QtBot) -> None:
    """Tab comes to the ledger, Up and Down choose a row, Enter picks it, and what is chosen is told."""
    move(board, 0.7, 1.0)
    view = board.power
    assert view.focusPolicy() & Qt.FocusPolicy.TabFocus
    view.setFocus(Qt.FocusReason.TabFocusReason)
    assert view.current == 0
    QTest.keyClick(view, Qt.Key.Key_Down)
    assert view.current == 1
    assert view.entries[1].name in view.accessibleDescription()
    assert lit(board) == set(view.entries[1].parts)
    QTest.keyClick(view, Qt.Key.Key_End)
    assert view.current == len(view.entries) - 1
    with qtbot.waitSignal(view.picked):
        QTest.keyClick(view, Qt.Key.Key_Return)
    QTest.keyClick(view, Qt.Key.Key_Home)
    assert view.current == 0
    board.rack.levers["1V1.lever"].setFocus()
    assert view.current == -1


def test_a_row_that_goes_under_the_pointer_tells_of_the_next(board: BoardWindow) -> None:
    move(board, 0.7, 1.0)
    view = board.power
    told: list[Any] = []
    view.pointed.connect(told.append)
    QTest.mouseMove(view, row_point(view, 0))
    assert told[-1].name == "Lifts the load"
    move(board, 0.0, 5.0)
    assert view.current == 0
    assert told[-1].name == view.entries[0].name != "Lifts the load"


def test_a_part_picked_on_the_drawing_marks_its_rows(board: BoardWindow) -> None:
    move(board, 0.7, 1.0)
    board.drawing.picked.emit(Pick("part", "0P1"))
    assert {board.power.entries[k].name for k in board.power.lit_rows()} == {"Pump losses"}
    assert board.flow.lit_rows() == set()
    board.drawing.picked.emit(Pick("part", "1A1"))
    assert {board.flow.entries[k].name for k in board.flow.lit_rows()} >= {"Lift cylinder, cap end"}
    board.drawing.picked.emit(Pick("line", "P1"))
    assert board.flow.lit_rows() == board.power.lit_rows() == set()


@pytest.mark.soak
@pytest.mark.parametrize("rows", [4, *(pytest.param(rows, marks=pytest.mark.soak) for rows in (3, 5))])
def test_other_is_small_while_a_row_is_nothing(make_board: MakeBoard, loader: Rig, rows: int) -> None:
    """Levers in steps: "Other" never has more than 5 % below a row of nothing; all is of one instant.

    Where nothing is moved, rows stay: an exchange is a matter of seconds.
    """
    window = make_board(loader)
    session, view, source = window.session, window.power, random.Random(7)
    levers = [name for name in loader.controls() if name.endswith(".lever")]
    view.set_rows(rows)
    largest, changes, calm = 0.0, [], 0
    for k in range(160):
        calm = 0 if k % 32 == 0 else calm + 1
        if calm == 0:
            for name in levers:
                session.set_control(name, source.choice((0.0, 0.0, -1.0, 0.5, 1.0)))
        session.advance(1 / 8)
        before, ledger = [entry.name for entry in view.entries], power_ledger(session)
        view.show_ledger(ledger, 1 / 8)
        now, printed = {entry.name: entry.value for entry in ledger.entries}, view.text.rows
        assert len(printed) <= rows
        assert [entry.value for entry in view.entries if entry.name != "Other"] == [
            now.get(entry.name, 0.0) for entry in view.entries if entry.name != "Other"
        ]
        gains = [max(entry.value, 0.0) for entry in view.entries]
        assert [row.percent for row in printed] == [f"{part} %" for part in percentages(gains)]
        assert sum(entry.value for entry in view.entries) == pytest.approx(ledger.total, abs=0.5)  # W, as printed
        other = next((entry.value for entry in view.entries if entry.name == "Other"), 0.0)
        largest = max(largest, other / ledger.total)
        nothing = any(row.figures.startswith("0.000 ") for row in printed if row.name != "Other")
        assert not nothing or other <= 0.05 * ledger.total
        if calm > 16:
            changes.append([entry.name for entry in view.entries] != before)
    assert largest > 0.0
    assert sum(changes) <= len(changes) / 4  # twice a second at most, two levers swinging a crane


def test_the_row_of_the_smallest_lights_all_their_parts(make_board: MakeBoard, loader: Rig) -> None:
    window = make_board(loader)
    window.run()
    move(window, 0.6, 1.0, "3V1.lever")
    window.power.set_rows(3)
    pass_time(window, 0.2)
    other = next(entry for entry in window.power.entries if entry.name == "Other")
    full = {part for entry in power_ledger(window.session).entries for part in entry.parts}
    assert set(other.parts) <= full
    assert len(other.parts) > 3


# -- over time -------------------------------------------------------------------------------------------------------


def test_the_pane_opens_with_its_key_and_closes(board: BoardWindow) -> None:
    cycles(board, 1)
    pane = shown(board)
    assert pane.isVisible()
    assert pane.place == "wide"
    assert {"Power", "W"} <= set(written(pane.power))
    assert {"Oil", "L/min", "0 s"} <= set(written(pane.flow))
    assert any(text.startswith("whole run") for text in written(pane))
    QTest.keyClick(pane, Qt.Key.Key_Escape)
    assert not pane.isVisible()
    shown(board)
    QTest.keyClick(board, Qt.Key.Key_F5)
    assert not pane.isVisible()


def test_totals_are_printed_and_sum(board: BoardWindow) -> None:
    """The printed figures of each sheet sum to its printed total; percents to 100."""
    cycles(board, 2)
    pane = shown(board)
    _, used, oil = pane.totals.sheets()
    for sheet in (used, oil):
        figures = [float(line.cells[1].replace("−", "-")) for line in sheet.lines]
        total = float(sheet.total.partition(" ")[0])
        assert math.fsum(figures) == pytest.approx(total, abs=1e-9)
        assert sum(int(line.cells[2].removesuffix(" %")) for line in sheet.lines) == 100
    names = [line.name for line in pane.totals.sheets()[0].lines]
    assert {"Hand crank", "Effort of the arms", "Turns of the crank", "Heat into the oil"} <= set(names)
    assert "Lifts the load" in pane.totals.accessibleDescription()


def test_the_heading_is_of_the_instant_of_the_totals(board: BoardWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    """At every paint: the seconds that are said are those that were totalled."""
    pane = shown(board)
    totalled: list[Cycle] = []
    show_cycle = pane.totals.show_cycle

    def show(cycle: Cycle, covered: bool) -> None:
        totalled.append(cycle)
        show_cycle(cycle, covered)

    monkeypatch.setattr(pane.totals, "show_cycle", show)
    said = set()
    for _ in range(90):
        pass_time(board, 1 / 60)
        if totalled:
            now = totalled[-1].end - totalled[-1].begin
            assert f"whole run, {now:.1f} s" in written(pane)
            said.add(f"{now:.1f}")
    assert len(said) > 3
    painted = pane.grab(pane.rect().adjusted(0, 0, 0, 40 - pane.height())).toImage()
    pass_time(board, 1.5)
    assert pane.grab(pane.rect().adjusted(0, 0, 0, 40 - pane.height())).toImage() != painted


@pytest.mark.soak
def test_stretches(board: BoardWindow) -> None:
    """The whole run, the last minute, between marks that can be chosen, and since the lever left neutral."""
    cycles(board, 2)
    pane = shown(board)
    ledger_history = board.presenter(LedgersPresenter).ledger_history
    spans = {}
    for kind in ("run", "minute", "cycle", "marks", "cursors"):
        QTest.mouseClick(pane.kinds[kind], Qt.MouseButton.LeftButton)
        assert pane.kinds[kind].isChecked()
        spans[kind] = pane._span
    assert (spans["run"].begin, spans["run"].end) == (0.0, ledger_history.end)
    assert spans["minute"].end == ledger_history.end
    assert spans["cycle"].words == "cycle 2"
    assert spans["cycle"].begin == ledger_history.cycles("1V1.lever", 1)[-1][0]
    assert "Ctrl+K" in spans["marks"].hint
    assert "cursors" in spans["cursors"].hint
    assert spans["cursors"].hint in written(pane)
    board.marks[:] = [(1.0, "A"), (1.5, "B"), (2.5, "C")]
    QTest.mouseClick(pane.kinds["marks"], Qt.MouseButton.LeftButton)
    assert (pane._span.begin, pane._span.end, pane._span.words) == (1.5, 2.5, "B to C")
    assert [button.text() for button in pane.ends] == ["from B", "to C"]
    assert all(button.isVisible() for button in pane.ends)
    QTest.mouseClick(pane.ends[1], Qt.MouseButton.LeftButton)
    assert (pane._span.begin, pane._span.words) == (1.5, "B to now")
    QTest.keyClick(pane.ends[0], Qt.Key.Key_Return)
    assert pane._span.words == "C to now"
    QTest.mouseClick(pane.ends[0], Qt.MouseButton.LeftButton)
    assert pane._span.words == "start to now"
    assert {"A", "B", "C"} <= set(written(pane.power))


def test_the_strips_cursors_are_a_stretch(board: BoardWindow) -> None:
    cycles(board, 1)
    pane = shown(board)
    board.strip.picture.cursors.times[:] = [2.0, 0.5]
    pane.choose("cursors")
    assert (pane._span.begin, pane._span.end, pane._span.words) == (0.5, 2.0, "between the cursors")
    assert pane.totals.cycle is not None
    assert pane.totals.cycle.seconds == pytest.approx(1.5)


@pytest.mark.soak
def test_the_table_of_cycles(board: BoardWindow) -> None:
    """Each time the lever leaves neutral upwards a cycle begins; a click or an arrow key totals one of them."""
    cycles(board, 3)
    pane = shown(board)
    ledger_history = board.presenter(LedgersPresenter).ledger_history
    heads, rows = pane.table.heads, pane.table.rows
    assert [name for name, _ in heads] == ["Cycle", "time", "paid in", "lifted", "heat", "effort"]
    assert [row[0] for row in rows] == ["1", "2", "3 …", "Mean"]
    begins = [begin for begin, _ in ledger_history.cycles("1V1.lever", 1)]
    first = ledger_history.between(begins[0], begins[1])
    assert rows[0][1] == f"{first.seconds:.1f}" == "2.3"
    whole = ledger_history.between(begins[0], begins[2])
    assert float(rows[-1][2]) == pytest.approx(whole.supplied / 2, abs=0.06)
    assert pane.lever.text() == "Cycles of the lift cylinder lever, from lift"
    QTest.mouseClick(pane.table, Qt.MouseButton.LeftButton, pos=_table_row(pane, 0))
    assert pane._span.words == "cycle 1"
    assert pane.kinds["cycle"].isChecked()
    assert pane.table.chosen == 0
    assert pane.totals.cycle is not None
    assert pane.totals.cycle.paid.total == pytest.approx(first.paid.total)
    QTest.keyClick(pane.table, Qt.Key.Key_Down)
    assert pane._span.words == "cycle 2"
    cycles(board, 9)
    assert len(pane.table.rows) == pane.table.room
    assert pane._span.words == "cycle 2"
    assert pane.table.rows[pane.table.chosen - pane.table.first][0] == "2"
    pane.choose("cycle")
    assert pane._span.words == "cycle 12"


def _table_row(pane: LedgerPane, row: int) -> QPoint:
    table = pane.table
    y = next(box.center().y() for text, box, _ in table.canvas.texts() if text == str(row + 1))
    return QPoint(table.width() // 2, round(y))


@pytest.mark.soak
def test_the_loaders_cycles_cost_fuel(make_board: MakeBoard, loader: Rig) -> None:
    window = make_board(loader)
    window.run()
    cycles(window, 2, "3V1.lever")
    move(window, 0.5, 0.5, "4V1.lever")
    move(window, 0.0, 0.3, "4V1.lever")
    pane = shown(window)
    assert pane.lever.text().startswith("Cycles of the stick lever")
    QTest.mouseClick(pane.lever, Qt.MouseButton.LeftButton)
    assert pane.lever.text() == "Cycles of the boom lever, from lift"
    assert pane.table.heads[-1] == ("fuel", "mL")
    assert float(pane.table.rows[0][-1]) > 0.1
    told = {line.name: line.cells[0] for line in pane.totals.sheets()[0].lines}
    assert told["Fuel"].endswith("mL")
    assert told["Fuel rate"].endswith("L/h")
    assert told["Fuel per work"].endswith("g/kWh")
    window.set_system(System.US)
    told = {line.name: line.cells[0] for line in pane.totals.sheets()[0].lines}
    assert told["Fuel"].endswith("fl oz")
    assert told["Fuel per work"].endswith("lb/hp·h")
    assert {"hp", "gpm"} <= set(written(pane.power)) | set(written(pane.flow))


def test_the_cursor_tells_values(board: BoardWindow) -> None:
    cycles(board, 1)
    board.run(False)
    pane = shown(board)
    ground = pane.power.ground()
    assert ground is not None
    place = QPoint(round(ground.x(1.2) * pane.look.scale), pane.power.height() // 2)
    QTest.mouseMove(pane.power, place)
    assert pane.flow.cursor_time == pytest.approx(1.2, abs=0.01)
    assert any(text.startswith("at 1.2") and text.endswith(" W") for text in written(pane.power))
    cells = {line.name: line.cells[0] for line in pane.totals.sheets()[1].lines}
    assert float(cells["Lifts the load"]) > 5.0
    pane.flow.setFocus()
    QTest.keyClick(pane.flow, Qt.Key.Key_Home)
    assert pane.power.cursor_time == 0.0
    QTest.keyClick(pane.flow, Qt.Key.Key_Right)
    assert 0.0 < pane.power.cursor_time < 0.2
    QTest.keyClick(pane.flow, Qt.Key.Key_End)
    assert pane.power.cursor_time == pytest.approx(board.presenter(LedgersPresenter).ledger_history.end)
    pane.power.setFocus()
    pane.table.setFocus()
    assert pane.power.cursor_time is None


def test_an_area_lights_the_row_and_the_parts(board: BoardWindow) -> None:
    cycles(board, 1)
    board.run(False)
    pane = shown(board)
    ground = pane.power.ground()
    assert ground is not None
    scale = pane.look.scale
    low = QPointF(ground.x(1.2) * scale, (ground.bottom - 3.0) * scale)
    assert pane.power.band_at(low) == "power.into.1W1.height"
    QTest.mouseClick(pane.power, Qt.MouseButton.LeftButton, pos=low.toPoint())
    assert lit(board) == {"1W1"}
    assert pane.totals.lit == pane.power.lit == "power.into.1W1.height"
    row = next(box for text, box, _ in pane.totals.canvas.texts() if text == "Spool metering").center().toPoint()
    QTest.mouseClick(pane.totals, Qt.MouseButton.LeftButton, pos=row)
    assert lit(board) == {"1V1"}
    assert pane.power.lit == "power.metering"


def test_covers_hide_the_figures_over_time_too(board: BoardWindow) -> None:
    cycles(board, 1)
    pane = shown(board)
    board.dials.toggle_all()
    pass_time(board, 0.5)
    for view in (pane.power, pane.flow):
        assert not any(text.replace(".", "").isdigit() for text in written(view))
    assert not any(" J" in text for text in written(pane.totals))
    assert pane.totals.accessibleDescription() == "covered"
    assert "Mean" in written(pane.table) or len(pane.table.rows) == 1
    board.dials.toggle_all()
    pass_time(board, 0.5)
    assert any(text.replace(".", "").isdigit() for text in written(pane.power))


def test_rewinding_shows_the_tally_of_that_instant(board: BoardWindow) -> None:
    cycles(board, 2)
    pane, ledger_history = shown(board), board.presenter(LedgersPresenter).ledger_history
    latest = ledger_history.end
    board.rewind(1.0)
    pass_time(board, 0.3)
    assert pane._span.end == pytest.approx(1.0, abs=0.02)
    assert len(ledger_history.cycles("1V1.lever", 1)) == 1
    board.rewind(latest)
    pass_time(board, 0.3)
    assert pane._span.end == pytest.approx(latest, abs=0.02)
    assert len(ledger_history.cycles("1V1.lever", 1)) == 2
    board.rewind(1.0)
    board.run()
    pass_time(board, 0.5)
    assert ledger_history.end == pytest.approx(1.5, abs=0.12)
    assert len(ledger_history.cycles("1V1.lever", 1)) == 1


def test_areas_are_painted_anew_at_most_four_times_a_second(
    board: BoardWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And in pieces: no frame paints more than its share; closed, nothing of it is done."""
    cycles(board, 1)
    pane = shown(board)
    begun: list[AreasView] = []

    def noted(view: AreasView, begin: Callable[[], None]) -> None:
        begun.append(view)
        begin()

    for view in (pane.power, pane.flow):
        monkeypatch.setattr(view.canvas, "begin", partial(noted, view, view.canvas.begin))
    board.rack.levers["1V1.lever"].motion.set_exactly(0.5)
    for _ in range(3):
        begun.clear()
        pass_time(board, 1.0)
        for view in (pane.power, pane.flow):
            assert 1 <= begun.count(view) <= 4
    for _ in range(20):
        board.tick(FRAME)
        if not (pane.power.canvas.busy or pane.flow.canvas.busy):
            break
    QTest.keyClick(board, Qt.Key.Key_F5)
    begun.clear()
    pass_time(board, 1.0)
    assert begun == []


def test_another_rig_has_a_tally_of_its_own(board: BoardWindow) -> None:
    cycles(board, 1)
    presenter = board.presenter(LedgersPresenter)
    old = presenter.ledger_history
    board.replace_session(type(board.session)(board.session.rig))
    assert presenter.ledger_history is not old
    board.run()
    pass_time(board, 0.5)
    assert presenter.ledger_history.end == pytest.approx(0.5, abs=0.1)
    pane = shown(board)
    assert "A cycle begins each time" in written(pane.table)
    assert pane.lever.text() == "Cycles of a lever"
    QTest.mouseClick(pane.kinds["cycle"], Qt.MouseButton.LeftButton)
    assert pane._span.hint == "A cycle begins when a lever leaves neutral. Move one."


@pytest.mark.parametrize("name", ["bench", "loader"])
def test_over_time_where_no_time_has_passed(make_board: MakeBoard, name: str, request: pytest.FixtureRequest) -> None:
    """At the start and again after going back to it: that nothing has run, no axis of nothing, no cross."""
    window = make_board(request.getfixturevalue(name))
    for _ in range(2):
        window.presenter(LedgersPresenter).show_pane()
        window.presenter(LedgersPresenter).pane.repaint()
        for view in (window.presenter(LedgersPresenter).pane.power, window.presenter(LedgersPresenter).pane.flow):
            assert not view.grab().isNull()
            assert view.canvas.failure == ""
            figures = [text for text, _, _ in view.canvas.texts()]
            assert NOTHING in figures
            assert not any(text[0].isdigit() and not text.endswith(" s") for text in figures)
        window.run()
        pass_time(window, 0.5)
        window.reset()
    assert window.troubles.seen == []
