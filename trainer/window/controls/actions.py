"""What can be done in the window: each action once, with its key, its words, and why it cannot be done now."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterator, Mapping

from PySide6.QtGui import QAction, QActionGroup, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QWidget

from trainer.window.controls.keys import KEYS
from trainer.window.controls.tips import plain

__all__ = ["Action", "Actions"]

_ALSO = {  # the same key unshifted, or on the other side; a key that not every keyboard has
    "larger": "Ctrl+=",
    "offers": "Menu",
    "commit": "Ctrl+Enter",
}
_REPEATING = ("step", "tenth", "back", "larger", "smaller", "undo", "redo", "trace", "pan")


class Action(QAction):
    """An action of the window: its key, its button and its entry in a menu all do this one.

    ``key`` is how its key is written, "" without one; ``refusal`` why it cannot be done now.
    """

    refusal = ""
    _held = _own_refusal = ""

    def __init__(self, name: str, words: str, key: str, parent: QWidget) -> None:
        super().__init__(words, parent)
        self.key, self._own = key, words
        self.setObjectName(name)
        self.setShortcuts([QKeySequence(keys) for keys in (key, _ALSO.get(name)) if keys])
        self.setAutoRepeat(name.partition(" ")[0] in _REPEATING)
        self.setToolTip(plain(self.tip()))

    def tip(self, words: str = "") -> str:
        """Return words, or its own, with its key behind; why it cannot be done, where it cannot."""
        told = self.refusal or words or self.text()
        return f"{told}  ({self.key})" if self.key else told

    def allow(self, refusal: str = "", words: str = "") -> None:
        """Let it be done, or say why it cannot be; with other words where what it does is another thing now."""
        self._own_refusal, refusal = refusal, self._held or refusal
        told = words or self._own
        if (refusal, told) != (self.refusal, self.text()):
            self.refusal = refusal
            self.setText(told)
            self.setToolTip(plain(self.tip()))
        self.setEnabled(not refusal)

    def hold(self, refusal: str) -> None:
        """Say why it cannot be done, whatever else is allowed, until "" is said."""
        if refusal != self._held:
            self._held = refusal
            self.allow(self._own_refusal, self.text() if self.text() != self._own else "")


class Actions:
    """All actions of a window by name, those of the table of keys and some more."""

    def __init__(self, frame: QWidget) -> None:
        self.frame = frame
        self._known: dict[str, Action] = {}
        self._board = QActionGroup(frame)  # what is the board's alone, and cannot be done while it is not shown
        self._board.setExclusionPolicy(QActionGroup.ExclusionPolicy.None_)

    def add(self, name: str, do: Callable[[], object], key: str = "", words: str = "") -> None:
        """Add an action; key and words are those of the table where it has the name."""
        row = next((row for row in KEYS if row.action == name), None)
        if row is not None:
            key, words = row.keys, row.words
        self._known[name] = action = Action(name, words, key, self.frame)
        action.triggered.connect(lambda _=False: do())
        self.frame.addAction(action)

    def leave_to_board(self, others: Container[str]) -> None:
        """Let all be the board's alone but some."""
        for name, action in self._known.items():
            if name not in others:
                self._board.addAction(action)

    def hold(self, refusals: Mapping[str, str]) -> None:
        """Refuse some, with why, and no others."""
        for name, action in self._known.items():
            action.hold(refusals.get(name, ""))

    def show_board(self, shown: bool) -> None:
        """Let the board's actions be done, or not."""
        self._board.setEnabled(shown)

    def __getitem__(self, name: str) -> Action:
        return self._known[name]

    def __contains__(self, name: object) -> bool:
        return name in self._known

    def __iter__(self) -> Iterator[str]:
        return iter(self._known)

    def refused(self, event: QKeyEvent) -> str:
        """Return why the action of a key cannot be done now; nothing for what is no key of a refused one."""
        pressed = QKeySequence(event.keyCombination())
        for action in self._known.values():
            if action.refusal and any(
                keys.matches(pressed) == QKeySequence.SequenceMatch.ExactMatch for keys in action.shortcuts()
            ):
                return action.refusal
        return ""
