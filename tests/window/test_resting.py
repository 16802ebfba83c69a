"""What rests is kept with the pipes: fewer shapes are painted at every frame, and the picture is the same."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from board_moves import FRAME, MakeBoard, pass_time
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication

from trainer.drawing.resting import AFTER
from trainer.drawing.shapes import Figure, Shape, Words
from trainer.rig.rig import Rig
from trainer.window.shell.window import BoardWindow


def pixels(window: BoardWindow) -> np.ndarray:
    image = window.drawing.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
    return np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine()).copy()


def watch(window: BoardWindow, seconds: float) -> None:
    """Let time pass with every frame painted."""
    for _ in range(round(seconds / FRAME)):
        pass_time(window, FRAME)
        window.drawing.repaint()


def moving(window: BoardWindow) -> int:
    """Return how many shapes are painted at every frame, besides words."""
    view = window.drawing
    steps = view.steps()
    shapes = view.scene.moving(view.readings, view.state, steps, view._resting)
    return sum(not isinstance(shape, Words) for shape in shapes)


@pytest.mark.soak
def test_a_resting_section_is_painted_with_the_pipes_and_looks_the_same(make_board: MakeBoard, loader: Rig) -> None:
    window = make_board(loader, size=(1920, 1080))
    window.run()
    window.rack.levers["3V1.lever"].motion.set_exactly(0.6)
    watch(window, 1.0)
    window.run(False)
    view = window.drawing
    resting = set(view._resting)
    assert {"1V1", "2V1", "4V1", "5V1"} <= resting
    assert "3A1" not in resting
    settled, few = pixels(window), moving(window)
    view.state.seen.clear()  # as if all had just moved
    view._steps_of = (None, None)
    assert moving(window) > few + 100
    assert view._resting == {}
    anew = pixels(window)
    assert np.mean(settled != anew) < 2e-4  # a flow mark may lie over a corner instead of under it


def test_what_moves_again_is_painted_at_every_frame_again(make_board: MakeBoard, loader: Rig) -> None:
    window = make_board(loader)
    window.run()
    watch(window, (AFTER + 2) * FRAME)
    assert "4V1" in window.drawing._resting
    window.rack.levers["4V1.lever"].motion.set_exactly(0.5)
    watch(window, 2 * FRAME)
    assert "4V1" not in window.drawing._resting
    assert "5V1" in window.drawing._resting


def told(shapes: Sequence[Shape]) -> set[Figure]:
    """Return what the figures among some shapes are of."""
    return {shape.about for shape in shapes if isinstance(shape, Words) and shape.about is not None}


@pytest.mark.parametrize("freezes", [True, False])
def test_the_words_of_what_begins_to_move_stand_at_the_next_print(
    make_board: MakeBoard, loader: Rig, freezes: bool
) -> None:
    """They wait for their places, and are there a moment later, also where the clock is stopped meanwhile."""
    window = make_board(loader, size=(1920, 1080))
    view = window.drawing
    window.run()
    watch(window, 0.5)
    before = told(view.words.written)
    window.rack.levers["3V1.lever"].motion.set_exactly(0.6)
    places = view.words._placed()
    for _ in range(60):
        watch(window, FRAME)
        if places.wait:
            break
    assert places.wait
    assert told(view.words.written) == before
    if freezes:
        view.take_figures(places=False)  # this instant has been printed
        view.repaint()
        assert places.wait
        window.run(False)
        QApplication.processEvents()
    else:
        watch(window, 0.3)
    assert not places.wait
    known = told(view.scene.moving(view.readings, view.state))
    assert before < known == told(view.words.written)
