"""Closing with changes that are not saved: the window says that they are kept, and how to get them back."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QPalette
from PySide6.QtWidgets import QMessageBox

from trainer.language import tr, trn
from trainer.window.painting import fonts
from trainer.window.recovery.presenter import RecoveryPresenter
from trainer.window.rig.presenter import RigPresenter
from trainer.window.session.controller import SessionController
from trainer.window.session.stage import Stage

__all__ = ["Closing"]


class Closing:
    """Asks once before a window with unsaved changes closes; closed again while it asks, the window goes.

    ``dialog`` is the open question, with its buttons ``close``, ``save`` and ``stay``.
    """

    def __init__(
        self, controller: SessionController, stage: Stage, rig: RigPresenter, recovery: RecoveryPresenter
    ) -> None:
        self.controller, self.stage, self.rig, self.recovery = controller, stage, rig, recovery
        self.dialog: QMessageBox | None = None
        self.asks = True

    def words(self) -> tuple[str, str]:
        """Return what is not saved, and what becomes of it; nothing where all is saved or nobody would lose it."""
        recovery, changed = self.recovery, self.rig.changes.different()
        if not changed or recovery.aside or (recovery.folder is None and not recovery.failure):
            return "", ""
        told = trn(
            "One number is changed in {title} and not saved as a rig.",
            "{count} numbers are changed in {title} and not saved as a rig.",
            len(changed),
        ).format(count=len(changed), title=self.controller.session.rig.title)
        if recovery.failure:
            return told, tr(
                "The changes cannot be kept either ({failure}): save the rig, else they are lost."
            ).format(failure=recovery.failure)
        return told, (
            tr(
                "Nothing is lost, all changes are kept. When Spoolroom is opened the next time "
                "it offers them first: choose “Take them up again” there. To have them as a file "
                "of your own, save the rig now."
            )
        )

    def holds(self) -> bool:
        """Ask where there is something to say, and return whether the window stays until the answer."""
        app = QGuiApplication.instance()
        leaving = isinstance(app, QGuiApplication) and app.isSavingSession()  # the whole desktop goes; they are kept
        told, more = self.words()
        if not told or not self.asks or leaving or self.dialog is not None or not self.stage.frame.isVisible():
            return False
        self.dialog = dialog = QMessageBox(self.stage.frame)
        dialog.setWindowTitle(tr("Closing Spoolroom"))
        dialog.setIcon(QMessageBox.Icon.NoIcon)
        dialog.setTextFormat(Qt.TextFormat.PlainText)
        dialog.setText(told)
        dialog.setInformativeText(more)
        dialog.setFont(fonts.font(16))
        palette = dialog.palette()
        for role, colour in ((QPalette.ColorRole.Window, "paper"), (QPalette.ColorRole.WindowText, "ink"),
                             (QPalette.ColorRole.Text, "ink")):  # fmt: skip
            palette.setColor(role, self.stage.look.inks.colour(colour))
        dialog.setPalette(palette)
        self.close = dialog.addButton(tr("Close"), QMessageBox.ButtonRole.AcceptRole)
        self.save = dialog.addButton(tr("Save the rig …"), QMessageBox.ButtonRole.ActionRole)
        self.stay = dialog.addButton(tr("Stay"), QMessageBox.ButtonRole.RejectRole)
        dialog.setDefaultButton(self.close)
        dialog.setEscapeButton(self.stay)
        dialog.buttonClicked.connect(lambda button: self._answered({self.close: self._go, self.save: self._keep}
                                                                   .get(button, lambda: None)))  # fmt: skip
        dialog.open()
        return True

    def _answered(self, do: Callable[[], None]) -> None:
        do()
        dialog, self.dialog = self.dialog, None
        if dialog is not None:
            dialog.deleteLater()

    def _go(self) -> None:
        self.stage.frame.close()  # the question is still open, so this closes

    def _keep(self) -> None:
        self.rig.save_as()
        if not self.rig.changes.different():
            self.stage.frame.close()
