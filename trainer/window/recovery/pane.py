"""What was not saved, offered again: when it was, which rig, what was changed."""

from __future__ import annotations

import pathlib

from PySide6.QtCore import QRect, Qt, Signal
from PySide6.QtGui import QFocusEvent
from PySide6.QtWidgets import QWidget

from trainer import resources
from trainer.changing.recovery import UnsavedRun
from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.language import mark, tr
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.flow_layout import FlowLayout
from trainer.window.controls.pane import Pane
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["RecoveryPane"]

_LOUD = 28.0  # how far it is [board px]
_TEXT, _MOST = 18.0, 14  # size of type [board px], changes that are told one by one


def _where(source: str) -> str:
    """Return which file a rig is from, and where that is."""
    file = pathlib.Path(source)
    return (
        tr("{name}, a rig that came with Spoolroom").format(name=file.name)
        if resources.is_shipped(file)
        else tr("{name} in {folder}").format(name=file.name, folder=file.parent)
    )


class RecoveryPane(Pane):
    """One rescue. ``taken`` and ``discarded`` tell the answer; closed without one, it is offered once more."""

    place = "wide"
    title = mark("Not saved when the program ended")
    taken = Signal()
    discarded = Signal()

    def __init__(self, look: Look, parent: QWidget, unsaved: UnsavedRun, more: int, older: int = 0) -> None:
        super().__init__(look, parent)
        self.unsaved, self.more, self.older = unsaved, more, older
        self.progress: tuple[float, float] | None = None  # how far its run is repeated, and how far it goes [s]
        self.setObjectName("recovery")
        self.take = WordButton(look, tr("Take them up again"), mark("Take them up again"),
                               tr("Open this rig as it was, frozen"), self, filled=False)  # fmt: skip
        self.discard = WordButton(look, tr("Discard"), mark("Discard"), tr("Delete what was kept"), self)
        self.later = WordButton(
            look, tr("Later"), mark("Later"), tr("Keep it, and offer it at the next start  (Esc)"), self
        )
        self.answers = FlowLayout()
        for button in (self.take, self.discard, self.later):
            self.answers.addWidget(button)
        self.take.clicked.connect(self.taken)
        self.discard.clicked.connect(self.discarded)
        self.later.clicked.connect(self.closed)
        self.setAccessibleDescription(" ".join(text for text, _, _ in self.told()))

    def show_progress(self, reached: float, whole: float) -> None:
        """Show instead of the answers how far the run is repeated [s]."""
        self.progress = reached, whole
        self.setFocus(Qt.FocusReason.OtherFocusReason)  # before its buttons hide, else another gets it
        for button in (self.take, self.discard, self.later):
            button.hide()
        self.setAccessibleDescription(self.taking_words())
        self.canvas.forget()
        self.update()

    def show_answers(self) -> None:
        """Show the answers again."""
        self.progress = None
        for button in (self.take, self.discard, self.later):
            button.show()
        self.canvas.forget()
        self.update()

    def taking_words(self) -> str:
        """Return how far the run is repeated, in words; nothing while it is not."""
        if self.progress is None:
            return ""
        return tr("Taking up: {progress:.0f} of {progress2:.0f} s").format(
            progress=self.progress[0], progress2=self.progress[1]
        )

    def told(self) -> list[tuple[str, str, int]]:
        """Return what is said, line by line: text, ink, weight."""
        unsaved, system = self.unsaved, self.look.system
        changes = [difference.words(system) for difference in unsaved.differences()]
        lines = [
            (unsaved.changed.title, "ink", 600),
            *(
                [(tr("From {where}.").format(where=_where(unsaved.original.source)), "ink2", 400)]
                if unsaved.original.source
                else []
            ),
            (
                tr("Last kept {when}, {time:.1f} s into its run.").format(when=unsaved.when, time=unsaved.time),
                "ink2",
                400,
            ),
            ("", "ink", 400),
        ]
        if unsaved.lost:
            lines.insert(
                -1,
                (
                    tr("The end of its file is damaged: the last {lost:.1f} s are lost.").format(lost=unsaved.lost),
                    "ink2",
                    400,
                ),
            )
        if changes:
            lines.append((tr("What was changed and not saved:"), "ink", 400))
            lines += [(f"•  {words}", "ink", 400) for words in changes[:_MOST]]
            if len(changes) > _MOST:
                lines.append((tr("   and {count} more").format(count=len(changes) - _MOST), "ink2", 400))
        else:
            lines.append((tr("Nothing of the rig was changed; only its run is kept."), "ink", 400))
        if self.more:
            lines += [
                ("", "ink", 400),
                (tr("{more} more will be asked about after this.").format(more=self.more), "ink2", 400),
            ]
        if self.older:
            lines.append(
                (
                    tr("{older} older ones are kept, and asked about at a later start.").format(older=self.older),
                    "ink2",
                    400,
                )
            )
        return lines

    def lay_out(self) -> None:
        """Place the answers below what is said."""
        room = self.inner()
        lines = len(self._lines())
        top = room.top() + round((lines + 2) * 1.45 * self.look.pixels(_TEXT))
        high = self.take.sizeHint().height()
        self.answers.setGeometry(QRect(room.left() - 8, top, room.width(), 2 * high))

    def _lines(self) -> list[tuple[str, str, int]]:
        high, room = self.look.pixels(_TEXT), self.inner().width()
        return [
            (line, ink, weight)
            for text, ink, weight in self.told()
            for line in (fonts.wrapped(text, high, room, 3, weight) or [""])
        ]

    def still_shapes(self) -> DrawList:
        """Return what is said."""
        scale, room = self.look.scale, self.inner()
        found: list[Shape] = []
        y = room.top() / scale + 8.0
        for text, ink, weight in self._lines():
            y += 1.45 * self.look.pixels(_TEXT) / scale
            if text:
                found.append(Words(room.left() / scale, y, text, _TEXT, ink, weight))
        if self.progress is not None:
            left, right = room.left() / scale, room.right() / scale
            reached, whole = self.progress
            end = left + (right - left) * min(reached / max(whole, 1e-9), 1.0)
            y += 2.4 * self.look.pixels(_LOUD) / scale
            found.append(Words(left, y, self.taking_words(), _LOUD, weight=600))
            found.append(Path(((left, y + 24.0), (right, y + 24.0)), "hairline", 8.0))
            found.append(Path(((left, y + 24.0), (end, y + 24.0)), "accent", 8.0))
            y += 24.0 + 2.0 * self.look.pixels(_TEXT) / scale
            found.append(
                Words(
                    left, y, tr("Keys and clicks do nothing meanwhile. Esc stops it; all stays kept."), _TEXT, "ink2"
                )
            )
        return found

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Give the keyboard to the first answer."""
        if self.progress is None:
            self.take.setFocus(Qt.FocusReason.TabFocusReason)
