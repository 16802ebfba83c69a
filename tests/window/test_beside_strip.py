"""The strip of two rigs beside each other: what is recorded, marks, both back in step, and its files."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from board_moves import MakeBoard, pass_time, there
from cases import shipped
from PySide6.QtCore import QPoint, QRectF, Qt
from PySide6.QtGui import QGuiApplication, QImage
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot
from test_beside import BAR, CTRL, beside, screen_of

from trainer import resources
from trainer.pairing.figures import OVER_TIME
from trainer.pairing.sides import Otherwise
from trainer.units import System
from trainer.window.beside.screen import BesideScreen
from trainer.window.shell.window import BoardWindow

ALT = Qt.KeyboardModifier.AltModifier


def worn(board: BoardWindow) -> BesideScreen:
    """Return the bench beside itself with a smaller pump, both cranked and the lever moved for a second."""
    board.activateWindow()
    beside(board).show_changed(Otherwise({"0P1.displacement": 0.7 * board.session.machine["0P1.displacement"]}))
    screen = screen_of(board)
    screen.rack.levers["1V1.lever"].motion.set_exactly(0.6)
    pass_time(board, 1.0)
    return screen


def place(screen: BesideScreen, plot: int, time: float) -> QPoint:
    """Return where an instant stands in a plot [px]."""
    box = screen.strip.picture.box(plot)
    scale = screen.look.scale
    return QPoint(round((screen.strip.picture.x_of(box, time) + 28.0) * scale), round((box[1] + box[3] / 2) * scale))


def test_what_has_run_is_recorded_of_both_marked_and_gone_back_to_in_step(board: BoardWindow, qtbot: QtBot) -> None:
    screen = worn(board)
    pair, record, picture = screen.pair, screen.record, screen.strip.picture
    assert screen.strip.isHidden()
    qtbot.keyClick(screen, Qt.Key.Key_F2)
    assert (screen.strip.isVisible(), screen.band.isVisible(), screen.power.isVisible()) == (True, False, False)
    times = record.series.column("1 pressure", 0.0, 9.0)[0]
    assert times == pytest.approx([0.0, *pair.first.history.times])  # every call of both has its row
    qtbot.keyClick(board, Qt.Key.Key_K, CTRL)
    marked = pair.time
    assert (screen.marks, board.marks) == ([(marked, "A")], [])  # the board's session has its own
    pass_time(board, 0.5)
    assert screen.bar.line.marks == ((marked, "A"),)
    latest = pair.time
    screen.take_figures()
    for plot, name in enumerate(OVER_TIME):
        told = [figures.texts[name] for figures in screen.band.figures]
        assert picture.figures(name) == told, plot  # over the plots as in the blocks of figures
    qtbot.keyClick(board, Qt.Key.Key_Left, ALT)
    assert [one.time for one in pair.both] == pytest.approx([marked, marked])
    assert not pair.running
    assert (record.now, record.series.end) == pytest.approx((marked, latest))  # what came later waits
    for side, (gauge, session) in enumerate(zip(screen.gauges, pair.both, strict=True)):
        for name, value in gauge.at_pump(session.readings).items():
            assert record.value(side, name, marked) == pytest.approx(value, rel=1e-6)
    qtbot.mouseClick(screen.strip, Qt.MouseButton.LeftButton, pos=place(screen, 1, 0.5))
    assert [one.time for one in pair.both] == pytest.approx([0.5, 0.5], abs=0.04)
    qtbot.keyClick(board, Qt.Key.Key_Space)
    pass_time(board, 0.2)
    assert record.series.end == pair.time < marked  # going on gives up what came after, the mark too
    assert screen.marks == []
    qtbot.keyClick(screen, Qt.Key.Key_F2)
    assert (screen.strip.isHidden(), screen.band.isVisible()) == (True, True)


def test_both_are_written_as_a_table_and_a_picture_and_copied(
    board: BoardWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    screen = worn(board)
    board.set_system(System.US)
    qtbot.keyClick(board, Qt.Key.Key_K, CTRL)
    asked = []

    def answer(_parent: object, _title: str, name: str, _kinds: str) -> tuple[str, str]:
        asked.append(Path(name).name)
        return str(tmp_path / "both.csv"), ""

    monkeypatch.setattr(QFileDialog, "getSaveFileName", answer)
    qtbot.keyClick(screen, Qt.Key.Key_E, CTRL)
    assert asked[0].endswith(" beside.csv")
    text = (tmp_path / "both.csv").read_text("utf-8")
    rows = list(csv.reader(line for line in text.splitlines() if not line.startswith("#")))
    assert rows[0] == [
        "time [s]", "1 Pressure [psi]", "2 Pressure [psi]", "1 Delivery [gpm]", "2 Delivery [gpm]", "1 Input [hp]",
        "2 Input [hp]",
    ]  # fmt: skip
    table = np.array(rows[1:], float)
    assert table[:, 0] == pytest.approx([0.0, *screen.pair.first.history.times], abs=1e-6)
    first, second = (session.readings for session in screen.pair.both)
    line = first.network.line_of[screen.gauges[0].outlets[0]]
    wanted = first.pressure(line) / 6894.757, second.pressure(line) / 6894.757  # NIST SP 811
    assert table[-1, 1:3] == pytest.approx(wanted, rel=1e-5)
    assert table[-1, 4] / table[-1, 3] == pytest.approx(0.7, abs=0.08)  # a pump so much smaller, leaking as much
    remarks = [line.removeprefix("# ") for line in text.splitlines() if line.startswith("#")]
    assert [remark for remark in remarks if remark.endswith("One-spool bench")] == [
        "1: One-spool bench", "2: One-spool bench",
    ]  # fmt: skip
    assert remarks[-1] == f"mark A at {screen.marks[0][0]:.2f} s"
    assert any(remark.startswith("changed: ") for remark in remarks)
    assert beside(board).write(tmp_path / "both.png")
    assert not beside(board).write(tmp_path / "none" / "both.png")
    assert "could not be written" in board.snapshot()["notice"]
    qtbot.keyClick(screen, Qt.Key.Key_C, CTRL)
    copied = QGuiApplication.clipboard().image()
    assert copied.size() == QImage(str(tmp_path / "both.png")).size()
    colours = {copied.pixelColor(x, y).name() for x in range(0, copied.width(), 3) for y in range(60, 400, 3)}
    assert {"#ffffff", "#000000"} <= colours


@pytest.mark.soak
@pytest.mark.parametrize(
    ("one", "other"),
    [("timber-trailer-loader", "bank-parallel"), ("two-lifts", "two-banks"), ("one-spool-bench", "")],
)
def test_nothing_on_the_strip_overlaps_is_cut_or_is_small(make_board: MakeBoard, one: str, other: str) -> None:
    board = make_board(shipped(one), "dark", System.US)
    if other:
        beside(board).show_rig(resources.rigs()[other])
    else:
        beside(board).show_changed(Otherwise({"0V1.setting": 30 * BAR}))
    screen = screen_of(board)
    screen.show_strip(True)
    next(iter(screen.rack.levers.values())).motion.set_exactly(0.6)
    pass_time(board, 1.0)
    board.stage.actions["mark"].trigger()
    for size in ((1280, 720), (960, 540), (1920, 1080)):
        board.resize(*size)
        pass_time(board, 0.2)
        strip = screen.strip
        found = strip.canvas.texts()
        buttons = [QRectF(button.geometry()) for button in (strip.copy, strip.export)]
        assert {"A", "Pressure", "psi"} <= {text for text, _, _ in found}
        for k, (text, box, height) in enumerate(found):
            assert height >= 12, text
            assert QRectF(strip.rect()).adjusted(-1, -3, 1, 3).contains(box), (text, box, size)
            assert not any(button.intersects(box.adjusted(1, 2, -1, -2)) for button in buttons), (text, size)
            others = (word for word, at, _ in found[k + 1 :] if at.adjusted(1, 3, -1, -3).intersects(box))
            assert next(others, None) is None, (text, size)
        assert there(strip.picture.time_at(strip.picture.box(0)[0], strip.picture.box(0)[1] + 5.0)) >= 0.0
