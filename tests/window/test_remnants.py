"""What stands on the screen after many frames is what would be painted anew: nothing is left over or missing."""

from __future__ import annotations

import os
import random
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from board_moves import FRAME, MakeBoard
from PySide6.QtGui import QGuiApplication, QImage
from PySide6.QtWidgets import QWidget

from trainer.rig.rig import Rig
from trainer.window.shell.window import BoardWindow

_EDGE = 56  # of 255: an edge that slides is placed to a quarter of a device pixel, one that rests is where it is
_FEW = 3e-4  # share of the pixels that may differ by more: a mark that lies over a corner instead of under it


def _screen(window: BoardWindow) -> np.ndarray:
    image = window.backingStore().paintDevice()
    assert isinstance(image, QImage)
    image = image.convertToFormat(QImage.Format.Format_RGB32)
    flat = np.frombuffer(image.constBits(), np.uint8)
    return flat.reshape(image.height(), image.bytesPerLine() // 4, 4)[:, : image.width(), :3].astype(int)


def _differing(window: BoardWindow) -> np.ndarray:
    """Return where the screen, or its drawing at a scale between whole ones, differs from what is painted anew."""
    shown = _screen(window)
    for canvas in window.board.canvases():
        canvas._layer.forget()  # what stands still would have its words placed anew
        canvas._layer_for = None
    for widget in (window, *window.findChildren(QWidget)):
        widget.update()
    QGuiApplication.processEvents()
    found: np.ndarray = np.abs(shown - _screen(window)).max(axis=2)
    ratio = window.devicePixelRatioF()
    if ratio == round(ratio):
        return found
    place = window.drawing.geometry()
    left, top, wide, high = (
        round(edge * ratio) for edge in (place.left(), place.top(), place.width(), place.height())
    )
    return found[top : top + high, left : left + wide]  # Qt rounds the places of letters by what it paints at once


def look_for_remnants(window: BoardWindow, frames: int, seed: int) -> None:
    """Move levers, covers and the keyboard at random, and compare now and then."""
    rng = random.Random(seed)
    levers = [*window.rack.levers.values()]
    grips = [*window.drawing.handles.values(), window.board.side_border, window.board.strip_border, levers[0]]
    window.run()
    window.activateWindow()
    for frame in range(frames):
        if frame % 7 == 0:
            rng.choice(levers).motion.set_exactly(rng.choice((-1.0, -0.4, 0.0, 0.0, 0.3, 1.0)))
        if frame % 23 == 5:
            window.dials.toggle(rng.randint(1, len(window.dials.dials)))
        if frame % 11 == 3:
            rng.choice(grips).setFocus()
        window.tick(FRAME)
        QGuiApplication.processEvents()
        if frame % 20 == 19:
            window.run(False)
            for _ in range(30):  # what is shown less often than 60 times a second is shown, too
                window.tick(FRAME)
                QGuiApplication.processEvents()
            apart = _differing(window)
            assert np.mean(apart > _EDGE) < _FEW, f"frame {frame}: {np.argwhere(apart > _EDGE)[:10].tolist()}"
            window.run()


def test_nothing_is_left_over(make_board: MakeBoard) -> None:
    look_for_remnants(make_board(), 20, 1)


@pytest.mark.soak
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_nothing_is_left_over_on_the_loader(make_board: MakeBoard, loader: Rig, theme: str) -> None:
    look_for_remnants(make_board(loader, theme, size=(1920, 1080)), 240, 2)


@pytest.mark.soak
@pytest.mark.parametrize("ratio", ["1.25", "1.5", "2"])
def test_nothing_is_left_over_on_a_fine_screen(ratio: str) -> None:
    script = (
        "from trainer.window.shell.app import application; app = application()\n"
        "from test_remnants import look_for_remnants\n"
        "from trainer import resources; from trainer.engine.session import Session; from trainer.rig import file\n"
        "from trainer.window.shell.window import BoardWindow\n"
        "rig = file.load(resources.path('rigs/timber-trailer-loader.toml'))\n"
        "window = BoardWindow(Session(rig), clock=lambda: 0.0); window.resize(1000, 600); window.show()\n"
        f"assert window.devicePixelRatioF() == {ratio}\n"
        "[app.processEvents() for _ in range(20)]\n"
        "look_for_remnants(window, 120, 3)\n"
    )
    paths = os.pathsep.join([str(Path(__file__).parent), *sys.path])
    environment = {**os.environ, "QT_SCALE_FACTOR": ratio, "PYTHONPATH": paths}
    subprocess.run([sys.executable, "-c", script], check=True, env=environment, timeout=300)
