"""What a rig's file calls things is text beside the pointer, never markup."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape
from pathlib import Path

import pytest
from board_moves import MakeBoard
from PySide6.QtCore import QPoint
from PySide6.QtGui import Qt
from PySide6.QtWidgets import QToolTip, QWidget
from pytestqt.qtbot import QtBot

from trainer.drawing.picking import Pick
from trainer.rig.rig import Rig
from trainer.window.board.drawing_view import DrawingPicks
from trainer.window.controls import tips
from trainer.window.dials.presenter import DialsPresenter
from trainer.window.rig.presenter import RigPresenter
from trainer.window.shell.window import BoardWindow

BOLD = '<b style="font-size:99px">boom</b>'
WINDOW = Path(tips.__file__).parents[1]


def marked(rig: Rig) -> Rig:
    """Return a rig in which everything that has a label is called something that looks like markup."""
    parts = {id_: replace(part, label=BOLD) for id_, part in rig.parts.items()}
    parts = {i: replace(p, ends=(BOLD[:16], BOLD[:16])) if i == "1V1" else p for i, p in parts.items()}
    instruments = {name: replace(item, label=BOLD) for name, item in rig.instruments.items()}
    return replace(rig, title=BOLD, notes=f"{BOLD}.", parts=parts, instruments=instruments)


def told(window: BoardWindow) -> list[str]:
    """Return all that is told beside the pointer anywhere in a window."""
    return [widget.toolTip() for widget in window.findChildren(QWidget) if widget.toolTip()]


def test_labels_are_text_beside_the_pointer(make_board: MakeBoard, bench: Rig) -> None:
    window = make_board(marked(bench))
    window.presenter(RigPresenter).change_pane()
    window.presenter(RigPresenter).show_part("0V1")
    window.presenter(DialsPresenter).open_fit()
    marked_up = [text for text in told(window) if "boom" in text]
    assert marked_up
    for text in marked_up:
        assert "<b" not in text, text
        assert "&lt;b" in text, text


def test_what_is_shown_at_once_is_text(make_board: MakeBoard, bench: Rig, monkeypatch: pytest.MonkeyPatch) -> None:
    shown: list[str] = []
    monkeypatch.setattr(QToolTip, "showText", lambda place, text, widget: shown.append(text))
    window = make_board(marked(bench))
    (picks,) = [held for held in vars(window.drawing).values() if isinstance(held, DrawingPicks)]
    picks.tell(QPoint(10, 10), Pick("part", "0V1"))
    assert shown == [tips.plain(picks.words(Pick("part", "0V1")))]
    assert "<b" not in shown[0]
    assert "&lt;b" in shown[0]


def test_plain_text_stays_as_it_is_and_markup_is_shown(qtbot: QtBot) -> None:
    assert tips.plain("Relief 0V1: < 180 bar & more") == "Relief 0V1: < 180 bar & more"
    shown = tips.plain("<b>a</b>\n& b")
    assert Qt.mightBeRichText(shown)
    assert unescape(re.sub("<br>", "\n", shown).removeprefix("<span>").removesuffix("</span>")) == "<b>a</b>\n& b"


def test_every_tip_goes_through_it() -> None:
    files = [file for file in WINDOW.rglob("*.py") if file.name != "tips.py"]
    assert len(files) > 80
    for file in files:
        text = file.read_text("utf-8")
        assert not re.search(r"setToolTip\((?!plain\()", text), file.name
        assert "QToolTip.showText(" not in text, file.name
