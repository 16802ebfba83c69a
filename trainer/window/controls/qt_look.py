"""The look of the window for widgets of Qt's own: colours, scroll bars."""

from __future__ import annotations

from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QWidget

from trainer.window.painting.look import Look

__all__ = ["bar_style", "coloured", "written_in"]


def coloured(widget: QWidget, look: Look, highlight: str = "accent-pale") -> None:
    """Give a widget of Qt's own the colours of the look."""
    palette = widget.palette()
    for role, colour in (
        (QPalette.ColorRole.Base, "paper"),
        (QPalette.ColorRole.Window, "paper"),
        (QPalette.ColorRole.Text, "ink"),
        (QPalette.ColorRole.WindowText, "ink"),
        (QPalette.ColorRole.PlaceholderText, "ink2"),
        (QPalette.ColorRole.Highlight, highlight),
        (QPalette.ColorRole.HighlightedText, "ink"),
        (QPalette.ColorRole.Button, "paper"),
        (QPalette.ColorRole.Mid, "hairline"),
    ):
        palette.setColor(role, look.inks.colour(colour))
    widget.setPalette(palette)


def written_in(line: QWidget, look: Look) -> None:
    """Give a line, or a sheet, to write in the colours of the look: its own ground, what is marked in the accent."""
    coloured(line, look, "accent")
    palette = line.palette()
    palette.setColor(QPalette.ColorRole.HighlightedText, look.inks.colour("paper"))
    palette.setColor(QPalette.ColorRole.Base, look.inks.colour("cell"))
    line.setPalette(palette)


def bar_style(look: Look) -> str:
    """Return a plain scroll bar in the colours of the look, as a style sheet."""
    ink, wide = look.inks.colour("cover-hatch").name(), max(round(9 * look.scale), 7)
    return (
        f"QScrollBar:vertical {{ width: {wide}px; background: transparent; border: none; margin: 0px; }}"
        f"QScrollBar::handle:vertical {{ background: {ink}; min-height: 24px; margin: 0px 2px; }}"
        "QScrollBar::add-line, QScrollBar::sub-line, QScrollBar::add-page, QScrollBar::sub-page "
        "{ height: 0px; background: transparent; }"
    )
