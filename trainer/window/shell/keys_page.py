"""The page of keys: all that can be done, each with its key; a click or Enter on a row does it."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QWidget

from trainer.drawing.shapes import DrawList, Words
from trainer.language import tr
from trainer.rig.names import capital
from trainer.window.controls.actions import Actions
from trainer.window.controls.item_list import ItemList
from trainer.window.controls.items import Item, ItemStyle
from trainer.window.controls.keys import KEYS, Key
from trainer.window.controls.over import Over
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["KeysPage"]

_TOP, _EDGE, _TEXT = 116.0, 60.0, 17.0  # board px
_STYLE = ItemStyle(size=_TEXT, head_size=19.8, indent=20.0, bold_before=True, chosen="bar")
_LEAST, _MOST, _KEYS = 1.3, 36.0, 11.0  # pitch: in heights of type, [board px]; least room of keys [heights of type]


class KeysPage(Over):
    """All keys on one page, over the board, in as many lists as have room; a row of an action does it.

    ``closed`` tells that it goes away, ``refused`` why an action cannot be done now.
    """

    gives_way = True
    refused = Signal(str)

    def __init__(self, look: Look, actions: Actions, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.all_actions = actions
        self.keys = KEYS
        self.lists = [ItemList(look, name, self, _STYLE, one_click=True) for name in (tr("Keys"), tr("More keys"))]
        self.line = QHBoxLayout(self)
        for rows in self.lists:
            self.line.addWidget(rows, 1)
            rows.entered.connect(self._do)
        self.setFocusProxy(self.lists[0])
        self.setObjectName("keys")
        self.setAccessibleName(tr("Keys"))

    def show_keys(self, keys: tuple[Key, ...]) -> None:
        """Show the keys of a rig."""
        self.keys = keys
        self.setAccessibleDescription("; ".join(f"{key.keys}: {key.words} {tr(key.where)}" for key in keys))
        self.lay_out()

    def _items(self) -> list[Item]:
        items: list[Item] = []
        for where in dict.fromkeys(key.where for key in self.keys):
            items.append(Item(where, capital(tr(where)), heading=True))
            items += [
                Item(key.action, key.words, before=key.keys, inert=key.action not in self.all_actions)
                for key in self.keys
                if key.where == where
            ]
        return items

    def lay_out(self) -> None:
        """Divide the keys into two lists, or one where two have no room, as high as the page, once it is seen."""
        if not self.isVisible():
            return
        scale, edge = self.look.scale, round(_EDGE * self.look.scale)
        bottom = round(24 * scale)
        self.line.setContentsMargins(edge, round(_TOP * scale), edge, bottom)
        self.line.setSpacing(edge)
        pixels = self.look.pixels(_TEXT)
        before = max(fonts.metrics(pixels, 600).horizontalAdvance(key.keys) for key in self.keys) / pixels + 0.8
        before = max(before, _KEYS)
        words = max(fonts.metrics(pixels).horizontalAdvance(key.words) for key in self.keys)
        items = self._items()
        second = len(items)
        if 2 * (words + (before + 1) * pixels + 20 * scale) + 2.5 * edge <= self.width():
            breaks = [row for row, item in enumerate(items) if item.heading]
            second = min(breaks, key=lambda row: abs(row - len(items) / 2))
        longest, room = max(second, len(items) - second), self.height() - round(_TOP * scale) - bottom
        pitch = max(min(_MOST * scale, room / longest) / pixels, _LEAST)
        for rows, part in zip(self.lists, (items[:second], items[second:]), strict=True):
            rows.delegate.style = replace(_STYLE, before=before, pitch=pitch, head=pitch)
            rows.setVisible(bool(part))
            rows.fill(part, rows.key)
            rows.take_look()
        self.line.activate()
        self.canvas.forget()
        self.update()

    def still_shapes(self) -> DrawList:
        """Return the title, and what can be done."""
        more = any(not rows.isHidden() and rows.verticalScrollBar().maximum() > 0 for rows in self.lists)
        told = tr("A click or Enter does it. F1 or Esc: back to the board")
        told = tr("The wheel or Page Down: more. {told}").format(told=told) if more else told
        right = self.width() / self.look.scale - _EDGE
        return [
            Words(_EDGE, 96.0, tr("Keys"), 30.8, weight=600),
            Words(right, 96.0, told, 18.0, "ink2", align="right"),
        ]

    # -- hands ---------------------------------------------------------------------------------------------------

    def _do(self, name: str) -> None:
        self.closed.emit()
        action = self.all_actions[name]
        if action.isEnabled():
            action.trigger()
        else:
            self.refused.emit(action.refusal)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go from the end of one list to the other."""
        first, second = self.lists
        if event.key() == Qt.Key.Key_Down and first.hasFocus() and second.isVisible():
            second.choose_end(last=False)
            second.setFocus(Qt.FocusReason.TabFocusReason)
        elif event.key() == Qt.Key.Key_Up and second.hasFocus():
            first.choose_end(last=True)
            first.setFocus(Qt.FocusReason.TabFocusReason)
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.lay_out()

    def showEvent(self, event: QShowEvent) -> None:
        self.lay_out()
