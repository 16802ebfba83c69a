"""What is told beside the pointer: always plain text, whatever a rig's file calls its parts."""

from __future__ import annotations

import html

from PySide6.QtCore import QPoint
from PySide6.QtGui import Qt
from PySide6.QtWidgets import QToolTip, QWidget

__all__ = ["plain", "set_tip", "show_tip"]


def plain(text: str) -> str:
    """Return a text such that Qt shows it as it stands; what looks like markup would be taken for it."""
    if not Qt.mightBeRichText(text):
        return text
    return f"<span>{html.escape(text).replace(chr(10), '<br>')}</span>"


def set_tip(widget: QWidget, text: str) -> None:
    """Give a widget what is told when the pointer rests on it."""
    widget.setToolTip(plain(text))


def show_tip(place: QPoint, text: str, widget: QWidget) -> None:
    """Tell something beside a place of the screen, now."""
    QToolTip.showText(place, plain(text), widget)
