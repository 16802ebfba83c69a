"""The strip as a file: a table of every sample, or a picture made of its draw list."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Mapping
from pathlib import Path

from PySide6.QtGui import QImage, QPainter

from trainer import files, units
from trainer.changing.caption import caption_height, caption_shapes
from trainer.drawing.shapes import Shape
from trainer.drawing.svg import svg
from trainer.drawing.theme import THEMES
from trainer.errors import SpoolroomError
from trainer.language import mark, tr
from trainer.window.painting.inks import Inks
from trainer.window.painting.painter import paint
from trainer.window.painting.picture import png
from trainer.window.painting.sizes import sized
from trainer.window.strip.figures import whole
from trainer.window.strip.picture import WIDTH, StripPicture

__all__ = ["KINDS", "picture_size", "remarks", "table_text", "write"]

_MARGIN, _ZOOM = 24.0, 2.0  # board px around a picture; pixels of a PNG for each
KINDS: Mapping[str, str] = {
    ".csv": mark("Table (*.csv)"),
    ".png": mark("Picture (*.png)"),
    ".svg": mark("Line drawing (*.svg)"),
}


def _cell(title: str) -> str:
    """Return a title that no spreadsheet takes for a formula."""
    return f"'{title}" if title[:1] in ("=", "+", "-", "@", "\t", "\r") else title


def table_text(picture: StripPicture) -> str:
    """Return every sample of the shown stretch as CSV: the time and each shown trace, its unit in the header.

    Covered traces are left out.
    """
    record = picture.record
    begin, end = picture.time.begin(record.now), min(picture.time.end(record.now), record.now)
    traces = [record.traces.all[place] for place in picture.places if place not in picture.hidden]
    shown = [units.shown_unit(trace.quantity, picture.system) for trace in traces]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    titles = [f"{trace.name} [{unit.symbol or '1'}]" for trace, unit in zip(traces, shown, strict=True)]
    writer.writerow(["time [s]", *map(_cell, titles)])
    times = record.series.column(record.series.names[0], begin, end)[0]
    columns = [
        (record.series.column(trace.column, begin, end)[1] - unit.offset) / unit.factor
        for trace, unit in zip(traces, shown, strict=True)
    ]
    for k, time in enumerate(times):
        writer.writerow([f"{time:.6f}".rstrip("0").rstrip("."), *(f"{column[k] + 0.0:.7g}" for column in columns)])
    return out.getvalue()


def remarks(words: str) -> str:
    """Return the words below a table, a line for each piece: behind #, as readers of tables pass remarks over.

    They stand at the end, so that the first row is the header also for those who know nothing of remarks.
    """
    return "".join(f"# {' '.join(piece.split())}\n" for piece in words.split(" · ") if piece.strip())


def picture_size(picture: StripPicture, words: str = "") -> tuple[float, float]:
    """Return width and height of the picture with some words below it [board px]."""
    return WIDTH + 2 * _MARGIN, picture.height + 2 * _MARGIN + caption_height(words, WIDTH)


def _shapes(picture: StripPicture, words: str) -> list[Shape]:
    below = caption_shapes(words, _MARGIN, picture.height + 1.4 * _MARGIN, WIDTH)
    return [*sized(whole(picture), 1.0, (_MARGIN, _MARGIN)), *below]


def _png(picture: StripPicture, title: str, words: str) -> bytes:
    width, height = picture_size(picture, words)
    inks = Inks(THEMES["print"])
    image = QImage(round(width * _ZOOM), round(height * _ZOOM), QImage.Format.Format_RGB32)
    image.setText("Title", title)
    image.fill(inks.colour("paper"))
    painter = QPainter(image)
    try:
        paint(painter, _shapes(picture, words), inks, _ZOOM)
    finally:
        painter.end()
    return png(image)


def _svg(picture: StripPicture, title: str, words: str) -> bytes:
    begin, end = picture.time.begin(picture.record.now), picture.time.end(picture.record.now)
    names = ", ".join(picture.record.traces.all[place].name for place in picture.places)
    about = tr("{names}; {begin:.2f} s to {end:.2f} s").format(names=names, begin=max(begin, 0.0), end=end)
    text = svg(_shapes(picture, words), picture_size(picture, words), THEMES["print"], title, about)
    return text.encode("utf-8")


def _csv(picture: StripPicture, _title: str, words: str) -> bytes:
    return (table_text(picture) + remarks(words)).encode("utf-8")


_MAKERS: Mapping[str, Callable[[StripPicture, str, str], bytes]] = {".csv": _csv, ".png": _png, ".svg": _svg}


def write(picture: StripPicture, path: Path, title: str, words: str = "") -> None:
    """Write the strip as it is shown; the ending of the name says how. What was there stays until all is written.

    Pictures have the look of print, whatever the window's, and ``words`` below them; a table has them below its rows.
    Raises SpoolroomError with a sentence for an unknown ending and for a place that cannot be written to.
    """
    make = _MAKERS.get(path.suffix.lower())
    if make is None:
        raise SpoolroomError(
            tr("{name}: end the name in .csv for a table, in .png or .svg for a picture.").format(name=path.name)
        )
    data = make(picture, title, words)
    try:
        files.write(path, data)
    except OSError as error:
        why = files.reason(error)
        raise SpoolroomError(
            tr("{name} could not be written ({why}). Choose another folder.").format(name=path.name, why=why)
        ) from error
