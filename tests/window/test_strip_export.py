"""The strip as files: the table, the picture, the line drawing, and what happens where they cannot be written."""

from __future__ import annotations

import csv
import datetime
import io
import os
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from board_moves import pass_time, there
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot
from strip_moves import A1, P1, drag, place, recorded, work

from trainer.drawing.scene import Scene, SceneOptions
from trainer.drawing.theme import THEMES
from trainer.units import System
from trainer.window.board.presenter import BoardPresenter
from trainer.window.rig.presenter import RigPresenter
from trainer.window.shell.window import BoardWindow
from trainer.window.strip.export import picture_size, table_text
from trainer.window.strip.presenter import StripPresenter

SVG = "{http://www.w3.org/2000/svg}"


def rows_of(text: str) -> tuple[list[str], np.ndarray]:
    lines = (line for line in io.StringIO(text) if not line.startswith("#"))
    rows = list(csv.reader(lines))
    return rows[0], np.array(rows[1:], float)


@pytest.mark.parametrize("system", list(System))
def test_the_table_has_every_sample_of_the_shown_stretch(board: BoardWindow, tmp_path: Path, system: System) -> None:
    work(board, 3.0)
    board.run(False)
    board.set_system(system)
    strip = board.strip
    strip.want([P1, "temperature tank", "control 1V1.lever"])
    strip.zoom(4)  # 1 s
    assert board.presenter(StripPresenter).write(tmp_path / "a.csv")
    assert board.snapshot()["notice"] == "The strip is in a.csv."
    titles, rows = rows_of((tmp_path / "a.csv").read_text("utf-8"))
    metric = system is System.METRIC
    assert titles == ["time [s]", f"P1 [{'bar' if metric else 'psi'}]", f"Tank oil [{'C' if metric else 'F'}]",
                      "Lift cylinder lever [%]"]  # fmt: skip
    times, pressures = recorded(strip, P1)
    shown = times >= strip.record.now - 1.0
    assert len(rows) == shown.sum() >= 60
    assert rows[:, 0] == pytest.approx(times[shown], abs=1e-6)
    assert rows[:, 1] == pytest.approx(pressures[shown] / (1e5 if metric else 6894.757), rel=1e-5)  # NIST SP 811
    celsius = recorded(strip, "temperature tank")[1][shown]
    assert rows[:, 2] == pytest.approx(celsius if metric else celsius * 1.8 + 32, rel=1e-5)
    assert rows[:, 3] == pytest.approx(80.0)


def test_a_title_is_no_formula(board: BoardWindow) -> None:
    work(board, 0.5)
    record = board.strip.record
    board.strip.want([P1])
    k = record.traces.place(P1)
    from dataclasses import replace

    record.traces.all[there(k)] = replace(record.traces.all[there(k)], name='=1+1,"x"')
    titles, _ = rows_of(table_text(board.strip.picture))
    assert titles[1] == '\'=1+1,"x" [bar]'


def test_a_covered_trace_is_left_out_and_that_is_said(board: BoardWindow, tmp_path: Path) -> None:
    work(board, 1.0)
    names = [dial.instrument.name for dial in board.dials.dials]
    board.dials.toggle(names.index("P1") + 1)
    board.presenter(StripPresenter).write(tmp_path / "a.csv")
    assert rows_of((tmp_path / "a.csv").read_text("utf-8"))[0] == [
        "time [s]",
        "Lift cylinder lever [%]",
        "Lift cylinder speed [mm/s]",
    ]
    assert board.snapshot()["notice"].endswith("P1 is covered and was left out.")
    board.presenter(StripPresenter).write(tmp_path / "a.svg")
    assert "bar</text>" in (tmp_path / "a.svg").read_text("utf-8")  # the unit stays, the figure is covered
    assert 'fill="url(#hatch-cover-hatch)"' in (tmp_path / "a.svg").read_text("utf-8")


def test_the_line_drawing_is_made_of_the_draw_list(board: BoardWindow, qtbot: QtBot, tmp_path: Path) -> None:
    work(board, 3.0)
    board.run(False)
    drag(qtbot, board.strip, place(board.strip, 0.92), place(board.strip, 0.98))
    assert board.presenter(StripPresenter).write(tmp_path / "a.svg")
    root = ElementTree.fromstring((tmp_path / "a.svg").read_text("utf-8"))
    lines = [line.get("points", "").split() for line in root.iter(f"{SVG}polyline")]
    for k in range(3):
        line = board.strip.picture.lines(k)[-1]
        points = [(x + 24, y + 24) for x, y in zip(line.x, line.y, strict=True)]  # within a margin of 24
        wanted = [f"{x:.2f},{y:.2f}" for x, y in points]
        longest = max(lines, key=lambda line: len(set(line) & set(_plain(wanted))))
        assert len(set(longest) & set(_plain(wanted))) == len(set(_plain(wanted)))
    texts = {text.text for text in root.iter(f"{SVG}text")}
    assert {"Strip", "P1, bar", "mean", "last 30 s"} <= texts
    assert "Lift cylinder" in (root.findtext(f"{SVG}desc") or "")
    width, height = picture_size(board.strip.picture, board.caption())
    assert float(root.get("width", "")) == pytest.approx(width, abs=0.01)
    assert float(root.get("height", "")) == pytest.approx(height, abs=0.01)


def _plain(points: list[str]) -> list[str]:
    def figure(text: str) -> str:
        return text.rstrip("0").rstrip(".") if "." in text else text

    return [",".join(figure(part) for part in point.split(",")) for point in points]


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_the_picture_has_paper_ink_and_accent(board: BoardWindow, tmp_path: Path, theme: str) -> None:
    if theme == "dark":
        board.change_theme()
    work(board, 3.0)
    assert board.presenter(StripPresenter).write(tmp_path / "a.png")
    image = QImage(str(tmp_path / "a.png"))
    width, height = picture_size(board.strip.picture, board.caption())
    assert (image.width(), image.height()) == (round(2 * width), round(2 * height))
    seen = {image.pixelColor(x, y).name() for x in range(0, image.width(), 2) for y in range(0, image.height(), 2)}
    theme_of = THEMES["print"]  # whatever the window's
    for role in ("paper", "ink", "accent"):
        assert QColor(theme_of.colour(role)).name() in seen


def test_below_every_picture_stands_what_it_is_of(
    board: BoardWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """From a dark window: in the look of print, with rig, day, speed, oil and the change, strip and drawing alike."""
    board.change_theme()
    board.presenter(RigPresenter).set("0V1.setting", 40e5)
    work(board, 1.0)
    assert board.presenter(StripPresenter).write(tmp_path / "a.svg")
    root = ElementTree.fromstring((tmp_path / "a.svg").read_text("utf-8"))
    told = " ".join(text.text or "" for text in root.iter(f"{SVG}text"))
    today = datetime.date.today()
    for words in ("One-spool bench · ", f"{today.day} {today:%b %Y}", "r/min · oil 45 °C · changed: ", "50 → 40 bar"):
        assert words in told
    assert THEMES["print"].colour("ink") in (tmp_path / "a.svg").read_text("utf-8")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "b.png"), ""))
    board.presenter(BoardPresenter).save_picture()
    image = QImage(str(tmp_path / "b.png"))
    assert image.pixelColor(2, 2) == QColor(THEMES["print"].colour("paper"))
    across, down = Scene(board.session.rig, SceneOptions(THEMES["print"])).size
    assert image.width() == round(2 * across)
    assert image.height() > 2 * down + 2 * 14
    ink = QColor(THEMES["print"].colour("ink"))
    below = {image.pixelColor(x, y) == ink for x in range(40, 400) for y in range(round(2 * down), image.height())}
    assert True in below


def test_ctrl_e_asks_for_a_file(board: BoardWindow, qtbot: QtBot, tmp_path: Path,
                                monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    work(board, 0.5)
    asked = []

    def answer(parent: object, title: str, name: str, kinds: str) -> tuple[str, str]:
        asked.append((title, name, kinds))
        return str(tmp_path / "without ending"), "Line drawing (*.svg)"

    monkeypatch.setattr(QFileDialog, "getSaveFileName", answer)
    board.activateWindow()
    qtbot.keyClick(board, Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    assert asked[0][1].endswith("strip.csv")
    assert (tmp_path / "without ending.svg").read_text("utf-8").startswith("<?xml")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: ("", ""))
    board.presenter(StripPresenter).export()
    assert os.listdir(tmp_path).count("without ending.svg") == 1


def test_what_cannot_be_written_is_told_and_the_old_file_stays(board: BoardWindow, tmp_path: Path,
                                                               monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    work(board, 0.5)
    presenter = board.presenter(StripPresenter)
    assert not presenter.write(tmp_path / "no such folder" / "a.csv")
    assert board.snapshot()["notice"].startswith("a.csv could not be written (")
    assert board.snapshot()["notice"].endswith("Choose another folder.")
    assert not presenter.write(tmp_path / "a.jpg")
    assert board.snapshot()["notice"] == "a.jpg: end the name in .csv for a table, in .png or .svg for a picture."
    old = tmp_path / "a.csv"
    old.write_text("as it was", "utf-8")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    assert not presenter.write(old)
    assert old.read_text("utf-8") == "as it was"
    assert sorted(os.listdir(tmp_path)) == ["a.csv", "window.ini"] or os.listdir(tmp_path) == ["a.csv"]


def test_an_empty_strip_is_a_table_of_titles(board: BoardWindow, tmp_path: Path) -> None:
    board.strip.record.clear()
    board.strip.want([A1])
    assert table_text(board.strip.picture) == "time [s],Lift cap end [bar]\n"
    for ending in ("csv", "svg", "png"):
        assert board.presenter(StripPresenter).write(tmp_path / f"a.{ending}")
    pass_time(board, 0.1)


def test_a_table_says_below_its_rows_what_it_is_of_and_is_read_back_all_the_same(
    board: BoardWindow, tmp_path: Path
) -> None:
    """Rig, date, speed, oil and changes, behind #: readers pass them over, and the first row is the header."""
    board.presenter(RigPresenter).set("0V1.setting", 30e5)
    pass_time(board, 1.0)
    board.run(False)
    file = tmp_path / "a.csv"
    assert board.presenter(StripPresenter).write(file)
    text = file.read_text("utf-8")
    rows = [line for line in text.splitlines() if not line.startswith("#")]
    remarks = [line.removeprefix("# ") for line in text.splitlines() if line.startswith("#")]
    assert text.splitlines() == [*rows, *(f"# {remark}" for remark in remarks)]
    assert " · ".join(remarks) == board.caption()
    assert remarks[0] == "One-spool bench"
    assert remarks[-1] == "changed: Relief valve 0V1: pressure at rated flow 50 → 30 bar"
    named = np.genfromtxt(file, delimiter=",", names=True, encoding="utf-8")
    plain = np.loadtxt(file, delimiter=",", skiprows=1, encoding="utf-8")
    assert len(named) == len(plain) == len(rows) - 1
    assert len(there(named.dtype.names)) == plain.shape[1] == len(next(csv.reader(rows)))
    assert np.array_equal(named[there(named.dtype.names)[0]], plain[:, 0])


def test_the_foot_of_an_instant_that_has_been_tells_its_own_numbers(board: BoardWindow) -> None:
    """The relief stood at 50 bar then, and stands at 42 now: the picture is of then."""
    board.run()
    pass_time(board, 0.5)
    board.presenter(RigPresenter).set("0V1.setting", 42e5)
    pass_time(board, 0.5)
    assert "then" not in board.caption()
    board.rewind(0.25)
    foot = board.caption()
    assert "at 0.2 s" in foot
    assert "Relief valve 0V1: pressure at rated flow 50 → 42 bar" in foot
    assert "was 50 bar then; it is 42 bar now" in foot
