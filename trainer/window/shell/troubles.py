"""What happens when the program itself fails: the clock freezes, one dialog says so, the window stays."""

from __future__ import annotations

import sys
import traceback
from collections.abc import Callable
from types import TracebackType

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QMessageBox, QWidget

from trainer.language import tr

__all__ = ["Troubles"]


class Troubles:
    """Collects failures of one window. ``freeze`` is called at the first sight of each."""

    def __init__(self, window: QWidget, freeze: Callable[[], None]) -> None:
        self.window = window
        self.freeze = freeze
        self.seen: list[str] = []
        self.dialog: QMessageBox | None = None
        self._before: Callable[..., object] | None = None
        self._timer = QTimer(window)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self._show)

    def install(self) -> None:
        """Take over what is otherwise printed and forgotten: exceptions in slots and events."""
        self._before = sys.excepthook
        sys.excepthook = self._hook

    def remove(self) -> None:
        """Give the hook back."""
        self._timer.stop()
        if self._before is not None:
            if sys.excepthook == self._hook:
                sys.excepthook = self._before
            self._before = None

    def _hook(self, kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        if issubclass(kind, KeyboardInterrupt):
            sys.__excepthook__(kind, error, trace)
            return
        self.report(error)

    def report(self, error: BaseException) -> None:
        """Freeze, print the error for the log, and show one dialog, however many come."""
        try:
            self.freeze()
        except Exception as second:
            self.seen.append(f"{type(second).__name__}: {second}")
        self.seen.append(f"{type(error).__name__}: {error}")
        del self.seen[50:]
        traceback.print_exception(error, file=sys.stderr)
        if self.dialog is None:
            self._timer.start(0)

    def _show(self) -> None:
        if self.dialog is not None:
            return
        self.dialog = QMessageBox(self.window)
        self.dialog.setIcon(QMessageBox.Icon.Warning)
        self.dialog.setWindowTitle("Spoolroom")
        self.dialog.setText(tr("Something in the program failed. The clock is frozen; you can go on."))
        self.dialog.setInformativeText(
            tr("If it comes again, reset to the start (Ctrl+Home), and report these lines:")
        )
        self.dialog.setDetailedText("\n".join(self.seen))
        self.dialog.finished.connect(self._closed)
        self.dialog.open()

    def _closed(self) -> None:
        dialog, self.dialog = self.dialog, None
        if dialog is not None:
            dialog.deleteLater()
