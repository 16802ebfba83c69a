"""The painter, pictures in files, settings, what Qt keeps: the rest of the window's ground."""

from __future__ import annotations

import gc
import math
import subprocess
import sys
import weakref
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from board_moves import FRAME, Clock, MakeBoard, change_class, class_view_of, pass_time
from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtGui import QColor, QImage, QPainter, QPainterPath, QPixmap
from pytestqt.qtbot import QtBot

from trainer.drawing.instruments import Dial, dial_live, scale_of
from trainer.drawing.shapes import Arc, Circle, DrawList, Marks, Shape, Words
from trainer.drawing.shapes import Path as Line
from trainer.drawing.theme import THEMES
from trainer.engine.session import Session
from trainer.errors import SpoolroomError
from trainer.rig.rig import Instrument, Rig
from trainer.units import System
from trainer.window.board.arrangement import Panes
from trainer.window.painting import fonts, layer, picture
from trainer.window.painting.inks import Inks
from trainer.window.painting.layer import Layer
from trainer.window.painting.lettering import text_boxes
from trainer.window.painting.painter import paint
from trainer.window.shell import app, settings
from trainer.window.shell.window import BoardWindow
from trainer.window.strip.view import StripView

LIGHT = THEMES["light"]


def apart(one: QImage, other: QImage) -> int:
    """The greatest difference of a colour's part anywhere."""
    sides = [np.frombuffer(bytes(image.constBits()), np.uint8).astype(int) for image in (one, other)]
    return int(np.abs(sides[0] - sides[1]).max())


def painted(shapes: DrawList, scale: float = 1.0) -> QImage:
    image = QImage(100, 100, QImage.Format.Format_RGB32)
    inks = Inks(LIGHT)
    image.fill(inks.colour("paper"))
    painter = QPainter(image)
    paint(painter, shapes, inks, scale)
    painter.end()
    return image


@pytest.mark.skipif(sys.version_info >= (3, 12), reason="None has no count of references from Python 3.12 on")
def test_qt_keeps_its_references_to_none() -> None:
    """PySide6 6.12.0 drops one reference to None in every call that returns nothing; Python 3.11 then ends."""
    path = QPainterPath()
    before = sys.getrefcount(None)
    for _ in range(2000):
        path.clear()
    assert sys.getrefcount(None) > before - 200


def test_every_shape_is_painted(qtbot: QtBot) -> None:
    ink, paper = QColor(LIGHT.colour("ink")), QColor(LIGHT.colour("paper"))
    square = ((10.0, 10.0), (90.0, 10.0), (90.0, 90.0), (10.0, 90.0))
    image = painted([Line(square, None, 0.0, "ink", closed=True)])
    assert image.pixelColor(50, 50) == ink
    assert image.pixelColor(5, 5) == paper
    assert painted([Line(((0.0, 50.0), (100.0, 50.0)), "ink", 6.0)]).pixelColor(50, 50) == ink
    assert painted([Circle(50.0, 50.0, 30.0, None, 0.0, "ink")]).pixelColor(50, 50) == ink
    top = painted([Arc(50.0, 50.0, 40.0, 45.0, 90.0, "ink", 6.0)])
    assert top.pixelColor(50, 10) == ink
    assert top.pixelColor(50, 90) == paper
    right = painted([Marks(((50.0, 50.0, 0.0, 1),), 40.0, 40.0, "ink")])  # points to the right: wide at its left
    assert right.pixelColor(34, 38) == ink
    assert right.pixelColor(66, 38) == paper
    up = painted([Marks(((50.0, 50.0, 90.0, 1),), 40.0, 40.0, "ink")])
    assert up.pixelColor(38, 66) == ink
    assert up.pixelColor(38, 34) == paper
    half = painted([Line(square, None, 0.0, "ink", closed=True)], scale=0.5)
    assert half.pixelColor(30, 30) == ink
    assert half.pixelColor(60, 60) == paper


def test_hatching_stays_inside(qtbot: QtBot) -> None:
    image = painted([Circle(50.0, 50.0, 30.0, None, 0.0, "cell", "ink")])
    paper = QColor(LIGHT.colour("paper"))
    dark = 0
    for x in range(100):
        for y in range(100):
            inside = math.hypot(x + 0.5 - 50, y + 0.5 - 50)
            if inside > 33:
                assert image.pixelColor(x, y) == paper
            elif inside < 27:
                dark += image.pixelColor(x, y).lightness() < 128
    assert 0.15 < dark / (math.pi * 27**2) < 0.6


@pytest.mark.parametrize("ratio", [1.0, 2.0, 1.1])  # of the last no tile is so many whole device pixels
def test_a_repaired_layer_is_the_same_as_a_new_one(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, ratio: float
) -> None:
    rng = np.random.default_rng(5)

    def shape(k: int) -> Shape:
        x, y = rng.uniform(0, 300, 2)
        ink = ("ink", "accent", "pressure3")[k % 3]
        if k % 4 == 0:
            return Line(((x, y), (x + 60, y), (x + 60, y + 90)), ink, 8.0)
        if k % 4 == 1:
            return Circle(x, y, 14.0, ink, 2.0, "cell")
        return Line(((x, y), (x + 37, y + 21)), ink, 2.5) if k % 4 == 2 else Words(x, y, f"{k} bar", 15.0, ink)

    inks, placing = Inks(LIGHT), (0.87, (11.5, 7.0))
    ground = QPixmap(round(300 * ratio), round(300 * ratio))
    ground.setDevicePixelRatio(ratio)
    ground.fill(inks.colour("paper"))
    counts: list[int] = []  # of the shapes painted at each call

    def counted(painter: QPainter, shapes: DrawList, *others: Any) -> None:
        counts.append(len(shapes))
        paint(painter, shapes, *others)

    monkeypatch.setattr(layer, "paint", counted)
    kept, shapes, repaired = Layer(), [shape(k) for k in range(60)], list[int]()
    for round_ in range(25):
        for k in rng.integers(0, 60, 3):
            shapes[k] = shape(int(k))
        picture = kept.picture(ground, (1,), shapes, inks, placing, 12.0).toImage()
        repaired.append(counts[-1])
        anew = Layer().picture(ground, (1,), shapes, inks, placing, 12.0).toImage()
        assert apart(picture, anew) <= 4, round_  # of 255: a slanted line that is clipped is rounded otherwise
    assert repaired[0] == 60
    assert 0 < max(repaired[1:]) < 60, "of a few changed ones, those beside them at most"


def test_thick_bent_lines_are_the_same_as_stroked(qtbot: QtBot) -> None:
    bent = ((10.0, 10.0), (80.0, 10.0), (80.0, 85.0), (30.0, 85.0))
    ours = painted([Line(bent, "ink", 8.0)])
    slanted = painted([Line((*bent, (29.999, 85.0001)), "ink", 8.0)])  # not level: by the stroker
    others = [(x, y) for x in range(100) for y in range(100) if ours.pixel(x, y) != slanted.pixel(x, y)]
    assert len(others) < 25


def test_texts_keep_their_least_size_and_place(qtbot: QtBot) -> None:
    words = [Words(20.0, 50.0, "42", 10.0), Words(20.0, 50.0, "42", 10.0, align="right")]
    (_, box, pixels), (_, right, _) = text_boxes(words, 0.5, (5.0, 7.0), 12.0)
    assert pixels == 12
    assert box.left() == pytest.approx(15.0)
    assert right.right() == pytest.approx(15.0)
    assert box.top() < 32.0 < box.bottom()


def test_the_family_is_loaded_with_figures_of_one_width(qtbot: QtBot) -> None:
    assert fonts.load() == fonts.FAMILY
    for weight in (400, 600):
        widths = {fonts.metrics(40, weight).horizontalAdvance(digit) for digit in "0123456789"}
        assert len(widths) == 1


@pytest.mark.parametrize(
    ("range_", "quantity", "system", "end", "major"),
    [
        (250e5, "pressure", System.METRIC, 250.0, 50.0),
        (60e5, "pressure", System.METRIC, 60.0, 10.0),
        (60e5, "pressure", System.US, 1000.0, 250.0),
        (40e-3 / 60, "flow", System.METRIC, 40.0, 10.0),
        (1e-3 / 60, "flow", System.US, 0.3, 0.05),
        (100.0, "temperature", System.METRIC, 100.0, 25.0),
        (100.0, "temperature", System.US, 240.0, 40.0),
    ],
)
def test_dials_have_round_scales(range_: float, quantity: str, system: System, end: float, major: float) -> None:
    scale = scale_of(range_, quantity, system)
    assert (scale.end, scale.major) == pytest.approx((end, major))


def test_no_needle_runs_through_a_numeral() -> None:
    dial = Dial(Instrument("P1", "gauge", "P1", 250e5), System.METRIC)
    for k in range(501):
        shapes = dial_live(dial, k * 0.5e5, k * 0.5e5)
        needle = next(s for s in shapes if isinstance(s, Line))
        (tip_x, tip_y), (hub_x, hub_y) = needle.points[0], (dial.x, dial.y)
        for numeral in [s for s in shapes if isinstance(s, Words) and s.size < 20]:
            half = 0.26 * numeral.size * len(numeral.text)
            for t in np.linspace(0, 1, 30):
                x, y = hub_x + t * (tip_x - hub_x), hub_y + t * (tip_y - hub_y)
                inside = abs(x - numeral.x) < half and numeral.y - 0.68 * numeral.size < y < numeral.y
                assert not inside, (k, numeral.text)


@pytest.mark.parametrize("kind", [".png", ".pdf"])
def test_drawing_goes_into_a_file(qtbot: QtBot, bench: Rig, tmp_path: Path, kind: str) -> None:
    file = tmp_path / f"board{kind}"
    picture.write(Session(bench), file, "print", System.US)
    if kind == ".png":
        image = QImage(str(file))
        assert image.width() > 800
        colours = {image.pixel(x, y) for x in range(0, image.width(), 7) for y in range(0, image.height(), 7)}
        assert len(colours) > 5
    else:
        assert file.read_bytes().startswith(b"%PDF")
        assert file.stat().st_size > 5000


@pytest.mark.soak
def test_a_window_can_be_opened_after_a_picture_was_made(tmp_path: Path) -> None:
    """A program has one application: one that a picture makes must be fit for windows."""
    script = (
        "import sys; from pathlib import Path; from PySide6.QtWidgets import QLabel\n"
        "from trainer import resources; from trainer.changing.opening import session_of\n"
        "from trainer.window.painting import picture\n"
        "picture.write(session_of(resources.rigs()['one-spool-bench']), Path(sys.argv[1]), width=300)\n"
        "QLabel('x').show()"
    )
    subprocess.run(
        [sys.executable, "-c", script, str(tmp_path / "a.png")], check=True, capture_output=True, timeout=120
    )
    assert (tmp_path / "a.png").exists()


def test_picture_of_a_given_width(qtbot: QtBot, bench: Rig, tmp_path: Path) -> None:
    picture.write(Session(bench), tmp_path / "small.png", width=600)
    assert QImage(str(tmp_path / "small.png")).width() == 600


@pytest.mark.parametrize(("name", "theme", "told"), [
    ("board.bmp", "light", "written as .png or .pdf"),
    ("board.png", "ligth", "Did you mean 'light'"),
    ("nowhere/board.png", "light", "cannot be written"),
    ("nowhere/board.pdf", "light", "cannot be written"),
])  # fmt: skip
def test_bad_pictures_are_told(
    qtbot: QtBot, bench: Rig, tmp_path: Path, name: str, theme: str, told: str, qtlog: Any
) -> None:
    with qtlog.disabled(), pytest.raises(SpoolroomError, match=told):
        picture.write(Session(bench), tmp_path / name, theme)


def test_screenshot_has_the_size_of_the_window(make_board: MakeBoard, tmp_path: Path) -> None:
    window = make_board()
    picture.screenshot(window, tmp_path / "window.png")
    assert QImage(str(tmp_path / "window.png")).size() == window.size()
    with pytest.raises(SpoolroomError, match="cannot be written"):
        picture.screenshot(window, tmp_path / "nowhere" / "window.png")


def test_settings_survive(make_board: MakeBoard, tmp_path: Path) -> None:
    window = make_board(size=(1400, 800))
    window.change_theme()
    window.change_system()
    window.change_marks()
    window.close()
    assert settings.recall(tmp_path / "window.ini") == settings.Kept(
        "dark", System.US, True, (1400, 800), Panes("drawing"), rig="one-spool-bench"
    )


@pytest.mark.parametrize("content", [b"", b"\x00\xff\xfe[[", b"[look]\ntheme=neon\nunits=furlongs\n",
                                     b"[window]\nwidth=-5\nheight=many\n", b"x" * 200000])  # fmt: skip
def test_bad_settings_are_as_at_first(qtbot: QtBot, tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "window.ini"
    file.write_bytes(content)
    assert settings.recall(file) == settings.Kept()
    assert settings.keep(settings.Kept("dark"), file) == ""
    assert settings.recall(file).theme == "dark"


def test_settings_that_cannot_be_written_are_let_go(qtbot: QtBot, tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("no folder")
    assert settings.keep(settings.Kept(), blocked / "window.ini")
    assert settings.recall(blocked / "window.ini") == settings.Kept()


def _has_curves(strip: StripView) -> bool:
    return bool(strip.curves)


def test_closed_windows_are_let_go(qtbot: QtBot, bench: Rig) -> None:
    window = BoardWindow(Session(bench), clock=Clock())
    with qtbot.waitExposed(window):
        window.show()
    qtbot.waitUntil(partial(_has_curves, window.strip))
    window.run()
    pass_time(window, 0.1)
    change_class(window)
    change_class(window)
    views = (window, window.board, window.drawing, window.strip, class_view_of(window), window.session)
    kept = [weakref.ref(view) for view in (*views, window.dials.dials[0], window.rack.levers["1V1.lever"])]
    window.close()
    window.deleteLater()
    del window, views
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    gc.collect()
    assert [ref() for ref in kept] == [None] * len(kept)


def test_probe_tells_why(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("QT_QPA_PLATFORM", "offscreen")
    assert "offscreen" in app.probe()
    monkeypatch.delenv("QT_QPA_PLATFORM")
    for name in ("DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    if sys.platform.startswith("linux"):
        assert app.probe() == "there is no display"


def test_first_frame_needs_no_plots(qtbot: QtBot, bench: Rig) -> None:
    window = BoardWindow(Session(bench), clock=Clock())
    qtbot.addWidget(window)
    window.run()
    window.tick(FRAME)
    assert not window.strip.curves
    window.close()
