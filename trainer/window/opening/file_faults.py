"""What is wrong with the file of a rig or a lesson, all of it, in one dialog."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QPalette
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QPlainTextEdit, QVBoxLayout, QWidget

from trainer.errors import Fault, RigError
from trainer.language import tr, trn
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["FaultDialog", "FaultReports"]


class FaultDialog(QDialog):
    """Every fault of a file in one list that can be read, scrolled and copied."""

    def __init__(self, look: Look, source: str, error: BaseException, parent: QWidget, lesson: bool = False) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr("This lesson cannot be used") if lesson else tr("This rig cannot be used"))
        self.setModal(True)
        faults = list(error.faults) if isinstance(error, RigError) else []
        head = tr("{source} cannot be used.")
        if faults and lesson:
            head = trn(
                "{source}: one thing to put right. All other lessons can be used.",
                "{source}: {count} things to put right. All other lessons can be used.",
                len(faults),
            )
        elif faults:
            head = trn(
                "{source}: one thing to put right. The rig that was open stays.",
                "{source}: {count} things to put right. The rig that was open stays.",
                len(faults),
            )
        head = head.format(source=source, count=len(faults))
        label = QLabel(head, self)
        label.setTextFormat(Qt.TextFormat.PlainText)
        label.setWordWrap(True)
        label.setFont(fonts.font(18, 600))
        self.list = QPlainTextEdit(self)
        self.list.setReadOnly(True)
        self.list.setFont(fonts.font(16))
        self.list.setAccessibleName(tr("Faults"))
        self.list.setPlainText("\n\n".join(_told(fault) for fault in faults) or str(error))
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close, self)
        copy = buttons.addButton(tr("Copy the list"), QDialogButtonBox.ButtonRole.ActionRole)
        copy.clicked.connect(self.copy)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.setContentsMargins(24, 20, 24, 16)
        column.setSpacing(14)
        for widget in (label, self.list, buttons):
            column.addWidget(widget)
        palette = self.palette()
        for role, colour in (
            (QPalette.ColorRole.Window, "paper"),
            (QPalette.ColorRole.WindowText, "ink"),
            (QPalette.ColorRole.Base, "cell"),
            (QPalette.ColorRole.Text, "ink"),
        ):
            palette.setColor(role, look.inks.colour(colour))
        self.setPalette(palette)
        self.resize(min(820, round(0.8 * parent.width())), min(520, round(0.8 * parent.height())))

    def copy(self) -> None:
        """Put the list on the clipboard."""
        QGuiApplication.clipboard().setText(self.list.toPlainText())


def _told(fault: Fault) -> str:
    where, problem, remedy = fault.place, fault.problem, fault.advice
    return "\n".join(line for line in (where, f"    {problem}", f"    {remedy}" if remedy else "") if line.strip())


class FaultReports:
    """Shows one dialog at a time over a window."""

    def __init__(self, look: Look, window: QWidget) -> None:
        self.look = look
        self.window = window
        self.dialog: FaultDialog | None = None

    def show(self, source: str, error: BaseException, lesson: bool = False) -> None:
        """Show what is wrong with a file, of a rig or of a ``lesson``."""
        if self.dialog is not None:
            self.dialog.close()
        self.dialog = FaultDialog(self.look, source, error, self.window, lesson)
        self.dialog.finished.connect(self._read)
        self.dialog.open()

    def _read(self) -> None:
        dialog, self.dialog = self.dialog, None
        if dialog is not None:
            dialog.deleteLater()
