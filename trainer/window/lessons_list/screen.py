"""The screen of the lessons: the list, and from it readiness and the answers so far."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from trainer.language import tr
from trainer.window.controls.labels import Label
from trainer.window.controls.plain_page import PlainPage
from trainer.window.lessons_list.answers_page import AnswersPage
from trainer.window.lessons_list.list_page import ListPage
from trainer.window.lessons_list.readiness_page import ReadinessPage
from trainer.window.painting.look import Look
from trainer.window.session.screen import Screen

__all__ = ["LessonsScreen"]


class LessonsScreen(Screen):
    """Three pages, one of them shown; what is to be said stands at the foot of any."""

    full = False

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look.beside()
        self.pages = QStackedWidget(self)
        self.list = ListPage(self.look, self)
        self.readiness = ReadinessPage(self.look, self)
        self.answers = AnswersPage(self.look, self)
        for page in (self.list, self.readiness, self.answers):
            self.pages.addWidget(page)
        self.says = Label(self.look, "", self, size=18.0, weight=600)
        self.says.setContentsMargins(8, 2, 8, 2)
        self.says.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.pages, 1)
        column.addWidget(self.says)
        self.list.left.connect(self.left)
        for page in (self.readiness, self.answers):
            page.left.connect(self.show_list)
        self.setAccessibleName(tr("Lessons"))
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)

    @property
    def page(self) -> PlainPage:
        """The page that is shown."""
        found = self.pages.currentWidget()
        assert isinstance(found, PlainPage)
        return found

    def show_list(self) -> None:
        """Show the list of lessons."""
        self.show_page(self.list)

    def show_page(self, page: PlainPage) -> None:
        """Show a page with the keyboard in it."""
        self.pages.setCurrentWidget(page)
        page.take_looks()
        page.setFocus(Qt.FocusReason.TabFocusReason)

    def say(self, words: str) -> None:
        """Say something at the foot, or nothing."""
        self.says.setText(words)
        self.says.setVisible(bool(words))

    def take_look(self) -> None:
        """Take the look of the window, at the scale of this size."""
        self.look.scale = min(self.width() / 1920.0, self.height() / 1080.0)
        palette = self.palette()
        palette.setColor(palette.ColorRole.Window, self.look.inks.colour("paper"))
        self.setPalette(palette)
        self.setAutoFillBackground(True)
        self.says.take_look()
        self.page.take_looks()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.take_look()
