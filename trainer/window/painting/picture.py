"""The drawing as a file: PNG for the screen, PDF for paper, by the same painter as the window."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QMarginsF, QSizeF
from PySide6.QtGui import QImage, QPageLayout, QPageSize, QPainter, QPdfWriter
from PySide6.QtWidgets import QApplication, QWidget

from trainer import files
from trainer.changing.pictured import pictured
from trainer.drawing.scene import SceneState
from trainer.drawing.shapes import Shape
from trainer.drawing.theme import THEMES
from trainer.engine.session import Session
from trainer.errors import SpoolroomError, nearest
from trainer.language import tr
from trainer.units import System
from trainer.window.painting.inks import Inks
from trainer.window.painting.painter import paint

__all__ = ["KINDS", "pdf", "png", "screenshot", "write", "write_shapes"]

KINDS = (".png", ".pdf")
_DOTS = 96.0  # board pixels to the inch on paper
_application: list[QApplication] = []


def _need_application() -> None:
    """Make an application where there is none: fonts need one, and a window opened later needs this kind."""
    if QApplication.instance() is None:
        _application.append(QApplication(sys.argv[:1]))


def write(
    session: Session,
    path: Path,
    theme: str = "print",
    system: System = System.METRIC,
    width: int = 0,
    words: str = "",
    view: SceneState | None = None,
) -> None:
    """Write the drawing at the session's present instant, ``words`` below it.

    Where it is of a ``view``, its covers cover and its needles stand as they do there. ``width`` is that of a PNG in
    pixels, 0 for twice the drawing's own size. Raises SpoolroomError for an unknown kind of file or theme, and for a
    place that cannot be written to.
    """
    path = Path(path)
    _require_kind(path)
    if theme not in THEMES:
        raise SpoolroomError(
            tr("'{theme}' is no theme. {nearest}").format(theme=theme, nearest=nearest(theme, THEMES))
        )
    _need_application()
    shapes, size = pictured(session, THEMES[theme], system, words, view)
    write_shapes(shapes, size, path, session.rig.title, theme, width)


def _require_kind(path: Path) -> None:
    if path.suffix.lower() not in KINDS:
        raise SpoolroomError(
            tr("{name}: pictures are written as {kinds}.").format(name=path.name, kinds=" or ".join(KINDS))
        )


def write_shapes(
    shapes: list[Shape], size: tuple[float, float], path: Path, title: str, theme: str = "print", width: int = 0
) -> None:
    """Write a draw list of a size [board px] as a picture or for paper; all else as ``write``."""
    _require_kind(path)
    across, down = size
    if path.suffix.lower() == ".pdf":
        data = pdf(title, int(_DOTS), partial(_draw, shapes, size, theme))
    else:
        zoom = width / across if width else 2.0
        image = QImage(max(round(across * zoom), 1), max(round(down * zoom), 1), QImage.Format.Format_RGB32)
        inks = Inks(THEMES[theme])
        image.fill(inks.colour("paper"))
        painter = QPainter(image)
        try:
            paint(painter, shapes, inks, zoom)
        finally:
            painter.end()
        data = png(image)
    _put(path, data)


def png(image: QImage) -> bytes:
    """Return an image as PNG."""
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    if not image.save(buffer, "PNG"):  # type: ignore[call-overload]  # the stub asks for bytes, the call for str
        raise SpoolroomError(tr("The picture could not be made. Choose a smaller one."))
    buffer.close()
    return bytes(data.data())


def pdf(title: str, dots: int, draw: Callable[[QPdfWriter], None]) -> bytes:
    """Return what is drawn as PDF, with so many dots to the inch."""
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setTitle(title)
    writer.setCreator("Spoolroom")
    writer.setResolution(dots)
    draw(writer)
    buffer.close()
    return bytes(data.data())


def _draw(shapes: list[Shape], size: tuple[float, float], theme: str, writer: QPdfWriter) -> None:
    inches = QSizeF(size[0] / _DOTS, size[1] / _DOTS)
    page = QPageSize(inches, QPageSize.Unit.Inch, "drawing", QPageSize.SizeMatchPolicy.ExactMatch)
    writer.setPageLayout(QPageLayout(page, QPageLayout.Orientation.Portrait, QMarginsF(0, 0, 0, 0)))
    painter = QPainter()
    if not painter.begin(writer):
        raise SpoolroomError(tr("The picture could not be made. Try one as .svg."))
    try:
        inks = Inks(THEMES[theme])
        painter.fillRect(0, 0, round(size[0]), round(size[1]), inks.colour("paper"))
        paint(painter, shapes, inks)
    finally:
        painter.end()


def screenshot(window: QWidget, path: Path) -> None:
    """Write what a window shows as a PNG. Raises SpoolroomError where it cannot be written."""
    _put(path, png(window.grab().toImage()))


def _put(path: Path, data: bytes) -> None:
    try:
        files.write(path, data)
    except OSError as error:
        why = files.reason(error)
        raise SpoolroomError(
            tr("{path}: the picture cannot be written there ({why}). Choose another folder.").format(
                path=path, why=why
            )
        ) from error
