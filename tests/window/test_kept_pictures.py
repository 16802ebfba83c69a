"""What is kept of what was painted stays within its bound, however long a window runs."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtGui import QImage, QPainter, QPixmap
from pytestqt.qtbot import QtBot

from trainer.drawing.shapes import Circle, Marks, Shape, Sliding, Words
from trainer.drawing.theme import THEMES
from trainer.window.painting import inks as inks_module
from trainer.window.painting import painter as painter_module
from trainer.window.painting.inks import Inks
from trainer.window.painting.kept import Kept
from trainer.window.painting.layer import Layer
from trainer.window.painting.painter import Strokes, paint


def test_what_is_asked_for_stays_and_what_is_not_goes() -> None:
    kept: Kept[int, str] = Kept(100)
    for k in range(10_000):
        kept.keep(k, f"{k}")
        assert kept.find(0) == "0", k
        assert len(kept.values) <= 100
    assert kept.find(9_990) == "9990"
    assert kept.find(9_000) is None


def test_things_are_kept_by_their_sizes() -> None:
    sizes = np.random.default_rng(3).integers(1, 400, 2_000)
    kept: Kept[int, int] = Kept(1_000, lambda value: value)
    for k, size in enumerate(sizes.tolist()):
        kept.keep(k, size)
        assert sum(kept.values) <= 1_000
        assert kept.find(k) == size


@pytest.mark.parametrize("frames", [200, pytest.param(5_000, marks=pytest.mark.soak)])
def test_pictures_and_shapes_of_many_frames_have_a_bound(qtbot: QtBot, frames: int) -> None:
    """Texts, rows of marks and what slides come at random places; half of the shapes rest for a frame."""
    rng = np.random.default_rng(7)
    inks, image = Inks(THEMES["light"]), QImage(200, 200, QImage.Format.Format_RGB32)
    inks.pictures.most = inks.texts.most = most = 150_000
    slides = [(Circle(20.0, 20.0, 3.0 + k),) for k in range(12)]
    drawing, dial = Strokes(), Strokes()

    def shapes_of(count: int) -> list[Shape | Sliding]:
        found: list[Shape | Sliding] = []
        for across, down, value in rng.uniform(0, 150, (count, 3)).tolist():
            found += [
                Words(across, down, f"{value:.1f} bar"),
                Marks(((across, down, 90.0 * (round(value) % 4), 3),), 6.0, 6.0, "ink", 9.0),
                Sliding(slides[round(value) % 12], down, across),
                Circle(across, down, value),
            ]
        return found

    before: list[Shape | Sliding] = []
    for frame in range(frames):
        fresh = shapes_of(2)
        painter = QPainter(image)
        paint(painter, [*before, *fresh], inks, 0.9, kept=drawing)
        paint(painter, before[:4], inks, 0.9, kept=dial)
        painter.end()
        before = fresh
        if frame % 20 == 0:
            assert all(sum(small.size for small in kept.values) <= most for kept in (inks.pictures, inks.texts))
    assert all(sum(small.size for small in kept.values) > most / 2 for kept in (inks.pictures, inks.texts))
    assert 16 < len(drawing._ready.values) <= painter_module._FRAMES * 16
    assert len(dial._ready.values) <= painter_module._FRAMES * 4
    assert len(dial._said.values) <= painter_module._FRAMES * 4  # these hold their pictures, too


def test_words_written_down_anew_are_found_by_what_they_say(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    """In frame after frame other objects of the same words at the same place: their picture is sought three times."""
    inks, image, strokes = Inks(THEMES["light"]), QImage(200, 100, QImage.Format.Format_RGB32), Strokes()
    asked: list[Words | Sliding] = []
    of = strokes.pictures.of

    def counted(shape: Words | Sliding, inks: Inks) -> object:
        asked.append(shape)
        return of(shape, inks)

    monkeypatch.setattr(strokes.pictures, "of", counted)
    seen = []
    for frame in range(6):
        image.fill(0xFFFFFF)
        painter = QPainter(image)
        paint(painter, [Words(20.0, 40.0 + (frame == 5), "82 bar")], inks, 1.0, kept=strokes)
        painter.end()
        seen.append(image.copy())
    assert len(asked) == 3  # new, made, and at another place
    assert seen[1] == seen[2] == seen[4] != seen[5]


def test_a_layer_remembers_the_places_of_a_few_pictures(qtbot: QtBot) -> None:
    rng, inks, layer, ground = np.random.default_rng(1), Inks(THEMES["light"]), Layer(), QPixmap(200, 200)
    shapes = [Circle(x, y, 9.0) for x, y in rng.uniform(0, 200, (30, 2)).tolist()]
    for k in range(300):
        x, y = rng.uniform(0, 200, 2).tolist()
        shapes[k % 30] = Circle(x, y, 9.0)
        layer.picture(ground, (1,), shapes, inks, (1.0, (0.0, 0.0)), 12.0)
    assert 30 <= len(layer._places.values) <= 4 * 30


def test_the_window_keeps_a_few_megabytes_of_small_pictures() -> None:
    inks = Inks(THEMES["dark"])
    assert inks.pictures.most == inks_module.ROOM
    assert inks.texts.most == inks_module.WRITTEN
    assert inks_module.ROOM + inks_module.WRITTEN <= 20_000_000
