"""The strip as a file: a table of every sample, or a picture made of its draw list."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtGui import QImage, QPainter

from trainer import files, units
from trainer.changing.caption import caption_height, caption_shapes
from trainer.drawing.shapes import DrawList, Shape
from trainer.drawing.svg import svg
from trainer.drawing.theme import THEMES
from trainer.energy.series import TimeSeries
from trainer.errors import SpoolroomError
from trainer.language import mark, tr
from trainer.units import Unit
from trainer.window.painting.inks import Inks
from trainer.window.painting.painter import paint
from trainer.window.painting.picture import png
from trainer.window.painting.sizes import sized
from trainer.window.strip.figures import whole
from trainer.window.strip.picture import WIDTH, StripPicture

__all__ = ["KINDS", "Column", "Sheet", "image_of", "picture_size", "remarks", "table_text", "write", "write_sheet"]

_MARGIN, _ZOOM = 24.0, 2.0  # board px around a picture; pixels of a PNG for each
KINDS: Mapping[str, str] = {
    ".csv": mark("Table (*.csv)"),
    ".png": mark("Picture (*.png)"),
    ".svg": mark("Line drawing (*.svg)"),
}


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its name among the series', its title, its unit."""

    name: str
    title: str
    unit: Unit


@dataclass(frozen=True, slots=True)
class Sheet:
    """What is written: a draw list of a ``size`` [board px], in ``about`` words what it shows, and its table.

    The table has the samples of ``columns`` of a ``series`` at ``stretch`` [s], both ends included.
    """

    shapes: DrawList
    size: tuple[float, float]
    about: str
    series: TimeSeries
    columns: Sequence[Column]
    stretch: tuple[float, float]

    def table(self) -> str:
        """Return every sample as CSV: the time and each column, its unit in the header."""
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\n")
        titles = [f"{column.title} [{column.unit.symbol or '1'}]" for column in self.columns]
        writer.writerow(["time [s]", *map(_cell, titles)])
        times = self.series.column(self.series.names[0], *self.stretch)[0]
        columns = [
            (self.series.column(column.name, *self.stretch)[1] - column.unit.offset) / column.unit.factor
            for column in self.columns
        ]
        for k, time in enumerate(times):
            figures = (f"{column[k] + 0.0:.7g}" for column in columns)
            writer.writerow([f"{time:.6f}".rstrip("0").rstrip("."), *figures])
        return out.getvalue()


def _cell(title: str) -> str:
    """Return a title that no spreadsheet takes for a formula."""
    return f"'{title}" if title[:1] in ("=", "+", "-", "@", "\t", "\r") else title


def _sheet(picture: StripPicture) -> Sheet:
    """Return the shown stretch of a strip; covered traces are left out of its table."""
    record = picture.record
    begin, end = picture.time.begin(record.now), picture.time.end(record.now)
    names = ", ".join(record.traces.all[place].name for place in picture.places)
    about = tr("{names}; {begin:.2f} s to {end:.2f} s").format(names=names, begin=max(begin, 0.0), end=end)
    traces = [record.traces.all[place] for place in picture.places if place not in picture.hidden]
    columns = [Column(one.column, one.name, units.shown_unit(one.quantity, picture.system)) for one in traces]
    stretch = begin, min(end, record.now)
    return Sheet(whole(picture), (WIDTH, picture.height), about, record.series, columns, stretch)


def table_text(picture: StripPicture) -> str:
    """Return every sample of the shown stretch as CSV: the time and each shown trace, its unit in the header.

    Covered traces are left out.
    """
    return _sheet(picture).table()


def remarks(words: str) -> str:
    """Return the words below a table, a line for each piece: behind #, as readers of tables pass remarks over.

    They stand at the end, so that the first row is the header also for those who know nothing of remarks.
    """
    return "".join(f"# {' '.join(piece.split())}\n" for piece in words.split(" · ") if piece.strip())


def picture_size(picture: StripPicture, words: str = "") -> tuple[float, float]:
    """Return width and height of the picture with some words below it [board px]."""
    return _size((WIDTH, picture.height), words)


def _size(size: tuple[float, float], words: str) -> tuple[float, float]:
    """Return how large what is so large becomes with margins, and words below it [board px]."""
    return size[0] + 2 * _MARGIN, size[1] + 2 * _MARGIN + caption_height(words, size[0])


def _shapes(sheet: Sheet, words: str) -> list[Shape]:
    below = caption_shapes(words, _MARGIN, sheet.size[1] + 1.4 * _MARGIN, sheet.size[0])
    return [*sized(sheet.shapes, 1.0, (_MARGIN, _MARGIN)), *below]


def image_of(sheet: Sheet, title: str, words: str) -> QImage:
    """Return the picture in the look of print, with words below it."""
    width, height = _size(sheet.size, words)
    inks = Inks(THEMES["print"])
    image = QImage(round(width * _ZOOM), round(height * _ZOOM), QImage.Format.Format_RGB32)
    image.setText("Title", title)
    image.fill(inks.colour("paper"))
    painter = QPainter(image)
    try:
        paint(painter, _shapes(sheet, words), inks, _ZOOM)
    finally:
        painter.end()
    return image


def _png(sheet: Sheet, title: str, words: str) -> bytes:
    return png(image_of(sheet, title, words))


def _svg(sheet: Sheet, title: str, words: str) -> bytes:
    text = svg(_shapes(sheet, words), _size(sheet.size, words), THEMES["print"], title, sheet.about)
    return text.encode("utf-8")


def _csv(sheet: Sheet, _title: str, words: str) -> bytes:
    return (sheet.table() + remarks(words)).encode("utf-8")


_MAKERS: Mapping[str, Callable[[Sheet, str, str], bytes]] = {".csv": _csv, ".png": _png, ".svg": _svg}


def write(picture: StripPicture, path: Path, title: str, words: str = "") -> None:
    """Write the strip as it is shown, like ``write_sheet``."""
    write_sheet(_sheet(picture), path, title, words)


def write_sheet(sheet: Sheet, path: Path, title: str, words: str = "") -> None:
    """Write what is shown; the ending of the name says how. What was there stays until all is written.

    Pictures have the look of print, whatever the window's, and ``words`` below them; a table has them below its rows.
    Raises SpoolroomError with a sentence for an unknown ending and for a place that cannot be written to.
    """
    make = _MAKERS.get(path.suffix.lower())
    if make is None:
        raise SpoolroomError(
            tr("{name}: end the name in .csv for a table, in .png or .svg for a picture.").format(name=path.name)
        )
    data = make(sheet, title, words)
    try:
        files.write(path, data)
    except OSError as error:
        why = files.reason(error)
        raise SpoolroomError(
            tr("{name} could not be written ({why}). Choose another folder.").format(name=path.name, why=why)
        ) from error
