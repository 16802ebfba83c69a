"""The one type family of the program, loaded from the package that carries it."""

from __future__ import annotations

from functools import lru_cache

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont, QFontDatabase, QFontInfo, QFontMetricsF

__all__ = ["FAMILY", "font", "load", "metrics"]

FAMILY = "Source Sans Pro"
_FACES = ("SourceSansPro", "SourceSansProSemibold")


@lru_cache(maxsize=1)
def load() -> str:
    """Load the family once and return the family really in use; a system family where it is missing.

    A QGuiApplication must exist.
    """
    try:
        import font_source_sans_pro as package
    except ImportError:
        return _fallback()
    for face in _FACES:
        path = package.font_files_ttf.get(face) or package.font_files_otf.get(face)
        if path is None or QFontDatabase.addApplicationFont(path) < 0:
            return _fallback()
    return FAMILY


def _fallback() -> str:
    return QFontInfo(QFontDatabase.systemFont(QFontDatabase.SystemFont.GeneralFont)).family()


@lru_cache(maxsize=256)
def font(pixels: int, weight: int = 400) -> QFont:
    """Return the family at a height in pixels and a weight (400 or 600), with figures of one width."""
    made = QFont(load())
    made.setPixelSize(max(1, pixels))
    made.setWeight(QFont.Weight(weight))
    made.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    made.setStyleStrategy(QFont.StyleStrategy.NoSubpixelAntialias)
    if hasattr(QFont, "Tag"):
        made.setFeature(QFont.Tag("tnum"), 1)
    return made


@lru_cache(maxsize=256)
def metrics(pixels: int, weight: int = 400) -> QFontMetricsF:
    """Return the metrics of ``font(pixels, weight)``."""
    return QFontMetricsF(font(pixels, weight))


def wrapped(text: str, pixels: int, room: float, most: int | None = None, weight: int = 400) -> list[str]:
    """Return a text in lines that fit a width [px]; at ``most`` so many, the last one then ends in an ellipsis."""
    measure, words = metrics(pixels, weight), text.split()
    lines: list[str] = []
    while words and len(lines) + 1 != most:
        count = 1
        while count < len(words) and measure.horizontalAdvance(" ".join(words[: count + 1])) <= room:
            count += 1
        lines.append(" ".join(words[:count]))
        words = words[count:]
    if words:
        lines.append(measure.elidedText(" ".join(words), Qt.TextElideMode.ElideRight, room))
    return lines
