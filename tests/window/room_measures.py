"""How the tests measure the room of a page: what is written and drawn, where, and what of it meets or is cut."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator

from board_moves import there
from PySide6.QtCore import QPoint, QPointF, QRectF
from PySide6.QtWidgets import QAbstractButton, QAbstractScrollArea, QLabel, QLineEdit, QWidget

from trainer.drawing.shapes import Words
from trainer.measuring.instruments import places
from trainer.window.board.drawing_view import DrawingView
from trainer.window.board.spool_handle import SpoolHandle
from trainer.window.controls.borders import Border
from trainer.window.controls.buttons import WordButton
from trainer.window.dials.presenter import DialsPresenter
from trainer.window.painting import fonts
from trainer.window.shell.window import BoardWindow

__all__ = [
    "boxes",
    "check",
    "crowded",
    "crowded_controls",
    "crowded_drawing",
    "fit_eight",
    "missing_figures",
    "placed_words",
    "seen",
    "told_missing",
    "written_box",
]

SHARED = 1.5  # px that two boxes of letters may share
TELLING = "no room here"


def boxes(page: QWidget, without: str = "", bold: bool = False) -> list[tuple[str, QRectF, int, QWidget]]:
    """Every text that stands on a page: words, box on the page, height of type, the widget that clips it.

    ``without`` is the name of a widget that is left out; ``bold``: buttons count as wide as when they are chosen.
    """
    found = []
    for widget in [page, *page.findChildren(QWidget)]:
        if not widget.isVisible() or (without and widget.objectName() == without):
            continue
        corner = QPointF(widget.mapTo(page, QPoint())) if widget is not page else QPointF()
        canvas = getattr(widget, "canvas", None)
        if canvas is not None:
            found += [(text, box.translated(corner), pixels, widget) for text, box, pixels in canvas.texts()]
        if isinstance(widget, WordButton) and widget.text():
            metrics = fonts.metrics(widget.pixels, 600 if bold or widget.isChecked() else 400)
            wide, high = metrics.horizontalAdvance(widget.text()), widget.pixels
            left = 8 * widget.look.scale + (1.15 * widget.pixels if widget.glyph else 0.0)
            top = widget.height() / 2 - 0.4 * high
            found.append((widget.text(), QRectF(left, top, wide, 0.8 * high).translated(corner), high, widget))
    return found


def check(
    page: QWidget,
    least: float,
    more_than: int = 10,
    found: list[tuple[str, QRectF, int, QWidget]] | None = None,
) -> None:
    """No text of a page is smaller than ``least`` [px], none is cut, none lies on another."""
    found = boxes(page) if found is None else found
    assert len(found) > more_than
    for text, box, pixels, widget in found:
        assert pixels >= least, text
        clip = seen(widget, page).adjusted(-1, -1, 1, 1)
        assert clip.contains(box), f"'{text}' is cut: {box} in {clip}"
    for (one, a, *_), (other, b, *_) in itertools.combinations(found, 2):
        shared = a.intersected(b)
        assert shared.width() < SHARED or shared.height() < SHARED, f"'{one}' overlaps '{other}': {shared}"


def seen(widget: QWidget, page: QWidget) -> QRectF:
    """What of a widget its ancestors up to the page leave to be seen [px of the page]."""
    box = QRectF(page.rect())
    while widget is not page:
        box = box.intersected(QRectF(_corner(widget, page), QRectF(widget.rect()).size()))
        widget = there(widget.parentWidget())
    return box


def placed_words(view: DrawingView) -> list[tuple[str, QRectF]]:
    """Every text on a drawing, with the box of its letters in Qt's own measure [px]."""
    return [(text, box) for text, box, _ in view.canvas.texts()]


def _pipes(view: DrawingView) -> Iterator[tuple[str, QRectF]]:
    """Every straight piece of a pipe with its casing [px]."""
    scene, steps = view.scene, view.steps()
    zoom, (x, y) = view.placing()
    for line, net in scene.pipes.nets.items():
        half = scene.theme.pipe(steps[line]) / 2 - 0.5
        for run in net.runs:
            for (a, b), (c, d) in itertools.pairwise(run.points):
                left, top, right, bottom = min(a, c) - half, min(b, d) - half, max(a, c) + half, max(b, d) + half
                yield line, QRectF(x + left * zoom, y + top * zoom, (right - left) * zoom, (bottom - top) * zoom)


def _meets(one: QRectF, other: QRectF, shared: float = SHARED) -> bool:
    both = one.intersected(other)
    return both.width() > shared and both.height() > shared


def crowded_drawing(view: DrawingView, words: list[tuple[str, QRectF]]) -> list[str]:
    """What runs into something on a drawing: words into words, into pipes, over the edge."""
    found = []
    pipes = list(_pipes(view))
    for (one, a), (other, b) in itertools.combinations(words, 2):
        if _meets(a, b):
            found.append(f"'{one}' runs into '{other}'")
    for text, box in words:
        if not QRectF(view.rect()).adjusted(-1, -1, 1, 1).contains(box):
            found.append(f"'{text}' is cut")
        found += [f"'{text}' lies on the pipe {line}" for line, pipe in pipes if _meets(box, pipe)]
    return found


def _plain(text: str) -> str:
    """Return a text with its figures left out: they are printed a few times a second only."""
    return re.sub(r"[−0-9.]+", "#", text)


def missing_figures(view: DrawingView, words: list[tuple[str, QRectF]]) -> list[str]:
    """What of the figures and names of an instant is not written on its drawing."""
    written = [_plain(text) for text, _ in words]
    missing = []
    for shape in (*view.scene.moving(view.readings, view.state), *view.scene.figures.names(20.0)):
        if not isinstance(shape, Words) or not shape.text or (shape.ink == "ink2" and shape.weight < 600):
            continue
        text = _plain(shape.text)
        if text in written:
            written.remove(text)
        else:
            missing.append(shape.text)
    return missing


def told_missing(words: list[tuple[str, QRectF]]) -> int:
    """How many words a drawing says it has no room for."""
    told = [text for text, _ in words if TELLING in text]
    return int(told[0].split()[0]) if told else 0


_OVER = (Border, SpoolHandle)  # lie over others on purpose


def _scrolled(widget: QWidget) -> bool:
    """Whether a widget stands in what is scrolled."""
    at: QWidget | None = widget
    while at is not None:
        if isinstance(at, QAbstractScrollArea):
            return True
        at = at.parentWidget()
    return False


def _corner(widget: QWidget, page: QWidget) -> QPointF:
    return QPointF(widget.mapTo(page, QPoint(0, 0)))


def written_box(widget: QWidget) -> QRectF:
    """The box of a button's letters, of another control all of it [px of the widget]."""
    if not isinstance(widget, WordButton):
        return QRectF(widget.rect())
    metrics, high = fonts.metrics(widget.pixels, 600), 0.8 * widget.pixels
    sign = 1.15 * widget.pixels if widget.glyph else 0.0
    wide = metrics.horizontalAdvance(widget.text()) + sign
    left = (widget.width() - wide) / 2 if widget.filled else 8 * widget.look.scale
    return QRectF(left, widget.height() / 2 - high / 2, wide, high)


def crowded_controls(page: QWidget) -> list[str]:
    """What of the buttons, entries and labels of a page is cut, meets another, or has a text that does not fit."""
    found = []
    controls = [
        widget
        for widget in page.findChildren(QWidget)
        if isinstance(widget, QAbstractButton | QLabel | QLineEdit)
        and widget.isVisible()
        and not _scrolled(widget)
        and not isinstance(widget, _OVER)
    ]
    boxes = [(widget, written_box(widget).translated(_corner(widget, page))) for widget in controls]
    for widget, box in boxes:
        name = widget.objectName() or getattr(widget, "text", str)()
        if not seen(widget, page).adjusted(-1, -1, 1, 1).contains(box):
            found.append(f"{name} is cut")
    for (one, a), (other, b) in itertools.combinations(boxes, 2):
        if not one.isAncestorOf(other) and not other.isAncestorOf(one) and _meets(a, b):
            found.append(f"{one.objectName()} meets {other.objectName()}")
    return found


def crowded(window: BoardWindow) -> list[str]:
    """All that is crowded on the board of a window."""
    board = window.board
    found = crowded_controls(board)
    if board.drawing.isVisible():
        words = placed_words(board.drawing)
        found += crowded_drawing(board.drawing, words)
        missing = missing_figures(board.drawing, words)
        if len(missing) > told_missing(words):
            found.append(f"{missing} left out in silence")
    return found


def fit_eight(window: BoardWindow) -> None:
    """Fit instruments until there are eight, most of them around the pump."""
    presenter = window.presenter(DialsPresenter)
    kinds = [places(window.session.rig, kind) for kind in ("gauge", "thermometer", "flow meter")]
    for place in itertools.chain.from_iterable(zip(*kinds, strict=False)):
        fitted = window.session.rig.instruments
        if len(fitted) == 8:
            return
        if not any((item.kind, item.on) == (place.kind, place.on) for item in fitted.values()):
            made = presenter.usual(place.kind, place.on)
            window.refit({**fitted, made.name: made})
