"""In every pane nothing that is written is cut or meets another, no control leaves the pane or lies on another."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from board_moves import MakeBoard, opening_of, pass_time, there
from looks import SYSTEMS
from PySide6.QtCore import QPoint, QPointF, QRect, QRectF, Qt
from PySide6.QtWidgets import QAbstractButton, QAbstractScrollArea, QLineEdit, QListView, QWidget
from room_measures import fit_eight, seen, written_box

from trainer.changing.recovery import UnsavedRun
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.compare.presenter import ComparePresenter
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.choice import ValueChoice
from trainer.window.controls.pane import Pane
from trainer.window.dials.presenter import DialsPresenter
from trainer.window.dials.stopwatch import StopwatchPresenter
from trainer.window.ledgers.presenter import LedgersPresenter
from trainer.window.painting.canvas import Canvas
from trainer.window.recovery.pane import RecoveryPane
from trainer.window.rig.presenter import RigPresenter
from trainer.window.shell.about import AboutPresenter
from trainer.window.shell.window import BoardWindow
from trainer.window.strip.presenter import StripPresenter
from trainer.window.tracing.pane import StepRow, TracePane
from trainer.window.tracing.presenter import TracingPresenter
from trainer.window.working.presenter import WorkingPresenter
from trainer.working import Subject

SIZES = ((960, 540), (1280, 720), (1366, 768))
SHARED = 1.5  # px that two boxes of letters may share


def box_of(widget: QWidget, pane: QWidget) -> QRectF:
    return QRectF(QPointF(widget.mapTo(pane, QPoint(0, 0))), QRectF(widget.rect()).size())


def meets(one: QRectF, other: QRectF) -> bool:
    both = one.intersected(other)
    return both.width() > SHARED and both.height() > SHARED


def shown(pane: QWidget) -> list[QWidget]:
    """The pane and all that is seen of its children."""
    return [pane, *(w for w in pane.findChildren(QWidget) if w.isVisible() and not w.size().isEmpty())]


def written(pane: QWidget) -> Iterator[tuple[QWidget, str, QRectF]]:
    """Every text that a canvas writes in a pane, with its widget and its box [px of the pane]."""
    for widget in shown(pane):
        canvas = getattr(widget, "canvas", None)
        if isinstance(canvas, Canvas):
            corner = QPointF(widget.mapTo(pane, QPoint(0, 0)))
            for text, box, _ in canvas.texts():
                if text.strip():
                    yield widget, text, box.translated(corner)


def crowded_pane(pane: QWidget) -> list[str]:
    """All that is crowded in a pane."""
    found, words = [], list[tuple[QWidget, str, QRectF]]()
    for widget, text, box in written(pane):
        if not box_of(widget, pane).adjusted(-1, -1, 1, 1).contains(box):
            found.append(f"'{text}' is cut")
        words.append((widget, text, box.intersected(seen(widget, pane))))
    for (_, one, a), (_, other, b) in itertools.combinations(words, 2):
        if meets(a, b):
            found.append(f"'{one}' runs into '{other}'")
    for child in shown(pane)[1:]:
        found += crowded_child(child, pane, words)
    for rows in pane.findChildren(QListView):
        if rows.isVisible() and rows.model().rowCount():
            high, room = rows.sizeHintForRow(0), rows.viewport().height()
            if room < min(2, rows.model().rowCount()) * high:
                found.append(f"{rows.objectName()} shows {room / high:.1f} rows")
            elif any(cut_rows(rows)):
                found.append(f"{rows.objectName()} cuts a row")
    return found


def cut_rows(rows: QListView) -> Iterator[QRect]:
    """Yield where a row is painted of which only a part is seen."""
    view = rows.viewport().rect()
    picture = rows.viewport().grab().toImage()
    for row in range(rows.model().rowCount()):
        place = rows.visualRect(rows.model().index(row, 0))
        left = place.intersected(view)
        if left.isEmpty() or left == place:
            continue
        part = picture.copy(left)
        inks = {part.pixel(x, y) for x in range(part.width()) for y in range(part.height())}
        if len(inks) > 1:
            yield left


def crowded_child(child: QWidget, pane: QWidget, words: list[tuple[QWidget, str, QRectF]]) -> Iterator[str]:
    """What a widget of a pane hides, lies on or has no room for."""
    name, parent = child.objectName() or type(child).__name__, there(child.parentWidget())
    if isinstance(child, WordButton | ValueChoice) and child.width() < child.sizeHint().width() - 1:
        yield f"{name}: its text does not fit"
    if isinstance(parent, QAbstractScrollArea):
        return  # Qt's own bars and viewport
    room = QRectF(parent.rect()).adjusted(-1, -1, 1, 1)
    if isinstance(parent.parentWidget(), QAbstractScrollArea):
        room = room.united(QRectF(0, child.y(), 1, child.height()))  # scrolled up and down
    if not room.contains(written_box(child).translated(child.pos())):
        yield f"{name} is cut"
    if isinstance(child, QAbstractButton | QLineEdit | ValueChoice | QListView):
        clipped = written_box(child).translated(box_of(child, pane).topLeft()).intersected(seen(child, pane))
        for widget, text, letters in words:
            if widget is not child and meets(letters, clipped):
                yield f"{name} lies on '{text}'"
    for other in parent.findChildren(QWidget, options=Qt.FindChildOption.FindDirectChildrenOnly):
        if other is not child and other.isVisible() and meets(QRectF(child.geometry()), QRectF(other.geometry())):
            yield f"{name} lies on {other.objectName() or type(other).__name__}"


def numbers(window: BoardWindow) -> QWidget:
    window.presenter(RigPresenter).change_pane()
    return window.presenter(RigPresenter).pane


def screw(part: str) -> Callable[[BoardWindow], QWidget]:
    def show(window: BoardWindow) -> QWidget:
        window.presenter(RigPresenter).show_part(part)
        return window.presenter(RigPresenter).pane

    return show


def fit(kind: str, instructor: bool = False) -> Callable[[BoardWindow], QWidget]:
    def show(window: BoardWindow) -> QWidget:
        presenter = window.presenter(DialsPresenter)
        presenter.open_fit()
        presenter.pane.choose_kind(kind)
        presenter.pane.hidden.setChecked(instructor)
        return presenter.pane

    return show


def change(window: BoardWindow) -> QWidget:
    window.presenter(DialsPresenter).open_change("P1")
    return window.presenter(DialsPresenter).pane


def fit_steps(window: BoardWindow) -> QWidget:
    presenter = window.presenter(DialsPresenter)
    line = window.session.rig.line_of("3V1", "B").name
    presenter.want(presenter.usual("gauge", line))
    return presenter.steps


def path(window: BoardWindow) -> TracePane:
    presenter = window.presenter(TracingPresenter)
    presenter.next_step()
    presenter._whole()
    return presenter.pane


def asked(window: BoardWindow) -> QWidget:
    window.presenter(TracingPresenter).change_asking()
    return window.presenter(TracingPresenter).pane


def traces(window: BoardWindow) -> QWidget:
    window.presenter(StripPresenter).show_traces()
    return window.board.over.open["side"]


def ledgers(window: BoardWindow) -> QWidget:
    window.presenter(LedgersPresenter).show_pane()
    return window.presenter(LedgersPresenter).pane


def runs(window: BoardWindow) -> QWidget:
    window.presenter(ComparePresenter).keep_run()
    window.presenter(RigPresenter).set("0V1.setting", 0.95 * window.session.readings.parameter("0V1", "setting"))
    window.presenter(ComparePresenter).show_runs()
    return window.board.over.open["wide"]


def recovery(window: BoardWindow) -> QWidget:
    presenter = window.presenter(RigPresenter)
    presenter.set("0V1.setting", 0.9 * window.session.readings.parameter("0V1", "setting"))
    rig = window.session.rig
    pane = RecoveryPane(
        window.look,
        window.board,
        UnsavedRun("2026-11-25 08:15", rig, rig, presenter.changes.changed_rig(), window.session.time),
        0,
    )
    window.open_pane(pane)
    return pane


def stopwatch(window: BoardWindow) -> QWidget:
    window.presenter(StopwatchPresenter).open()
    return window.presenter(StopwatchPresenter).pane


def about(window: BoardWindow) -> QWidget:
    window.presenter(AboutPresenter).change_pane()
    return window.presenter(AboutPresenter).pane


def working(part: str) -> Callable[[BoardWindow], QWidget]:
    def show(window: BoardWindow) -> QWidget:
        window.presenter(WorkingPresenter).show(Subject("part", part))
        return window.presenter(WorkingPresenter).pane

    return show


def chooser(window: BoardWindow) -> QWidget:
    opening_of(window).change_chooser()
    return window.board.rigs


def keys(window: BoardWindow) -> QWidget:
    window.change_help()
    return window.board.help


PANES = {
    "working of a cylinder": working("3A1"),
    "working of the pump": working("0P1"),
    "numbers": numbers,
    "relief's screw": screw("0V1"),
    "port reliefs' screws": screw("3V1"),
    "pump": screw("0P1"),
    "fit a gauge": fit("gauge"),
    "fit a flow meter": fit("flow meter", True),
    "fit steps": fit_steps,
    "change a gauge": change,
    "path": path,
    "path asked": asked,
    "traces": traces,
    "ledgers": ledgers,
    "runs": runs,
    "stopwatch": stopwatch,
    "about": about,
    "recovery": recovery,
    "chooser": chooser,
    "keys": keys,
}


@pytest.mark.soak
@pytest.mark.parametrize("system", SYSTEMS)
def test_room_of_every_pane(make_board: MakeBoard, loader: Rig, system: System) -> None:
    window = make_board(loader, system=system)
    window.run()
    for _ in range(2):  # two cycles of a lever, for the table of the ledgers
        window.rack.levers["3V1.lever"].motion.set_exactly(0.6)
        pass_time(window, 1.0)
        window.rack.levers["3V1.lever"].motion.set_exactly(0.0)
        pass_time(window, 0.5)
    window.rack.levers["3V1.lever"].motion.set_exactly(0.6)
    pass_time(window, 0.5)
    found = []
    for name, show in PANES.items():
        pane = show(window)
        for size in SIZES:
            window.resize(*size)
            pass_time(window, 0.1)
            assert pane.isVisible(), name
            found += [f"{size[0]}x{size[1]} {name}: {fault}" for fault in crowded_pane(pane)]
        if name in ("chooser", "keys"):
            show(window)
        else:
            assert isinstance(pane, Pane)
            pane.closed.emit()
        window.presenter(TracingPresenter).stop()
    assert not found, "\n".join(found)


@pytest.mark.soak
@pytest.mark.parametrize("system", SYSTEMS)
def test_room_of_the_strip_with_eight_instruments(make_board: MakeBoard, loader: Rig, system: System) -> None:
    window = make_board(loader, system=system)
    fit_eight(window)
    window.run()
    window.rack.levers["3V1.lever"].motion.set_exactly(0.6)
    pass_time(window, 1.0)
    found = []
    for count, size in itertools.product((3, 4), SIZES):
        window.strip.want([trace.column for trace in window.strip.record.traces.all[:4]] if count == 4 else None)
        window.resize(*size)
        pass_time(window, 0.3)
        found += [f"{size[0]}x{size[1]}, {count} traces: {fault}" for fault in crowded_pane(window.strip)]
        written_now = [text for text, *_ in window.strip.canvas.texts()]
        picture = window.strip.picture
        assert len(picture.places) == count
        found += [f"{size[0]}x{size[1]}: {picture.value_text(k)} is not to be read"
                  for k in range(count) if picture.value_text(k) not in written_now]  # fmt: skip
    assert not found, "\n".join(found)


@pytest.mark.parametrize("size", SIZES)
def test_room_of_the_bar_of_a_changed_rig(make_board: MakeBoard, loader: Rig, size: tuple[int, int]) -> None:
    window = make_board(loader, size=size)
    for name in ("yard.toml", "timber-trailer-loader-with-the-long-boom.toml"):
        for changed in (False, True):
            window.bar.show_file(Path("/school") / name, changed)
            (words,) = [text for text, *_ in window.bar.canvas.texts() if text.endswith(("toml", ", not saved"))]
            assert words.startswith("• ") == changed
            assert words.removeprefix("• ").startswith(name[:2])
            assert not crowded_pane(window.bar)


@pytest.mark.parametrize("size", SIZES)
def test_a_path_of_many_steps_shows_the_last_that_is_lit(
    make_board: MakeBoard, loader: Rig, size: tuple[int, int]
) -> None:
    window = make_board(loader, size=size)
    pane = path(window)
    for lit in (1, 17, 40):
        rows = [StepRow(k, f"place {k}", "", ("10.0", "L/min"), k <= lit) for k in range(1, 41)]
        pane.show_path("All oil of the pump, now:", rows, "Then it comes back to the tank.", False, False)
        assert f"place {lit}" in [text for _, text, _ in written(pane)]
        assert any(text.startswith("Steps ") and text.endswith(" of 40") for _, text, _ in written(pane))
        assert not crowded_pane(pane)
