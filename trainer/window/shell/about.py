"""About: the versions and licences of the program and of all that it is made with, to be read and copied."""

from __future__ import annotations

import platform
from typing import Protocol

from PySide6.QtCore import Qt, qVersion
from PySide6.QtGui import QGuiApplication, QTextOption
from PySide6.QtWidgets import QFrame, QPlainTextEdit, QVBoxLayout, QWidget

from trainer import __version__
from trainer.engine.machine_code import Translator
from trainer.engine.solver import Solver
from trainer.language import mark, tr
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.flow_layout import FlowLayout
from trainer.window.controls.pane import Pane
from trainer.window.controls.qt_look import bar_style, coloured
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.look import Look
from trainer.window.session.presenter import Presenter

__all__ = ["EXTRAS", "PACKAGES", "AboutPane", "AboutPresenter", "about_words", "licence_of", "solver_words"]

PACKAGES = (
    "PySide6-Essentials", "shiboken6", "casadi", "numpy", "pyqtgraph", "msgspec", "platformdirs",
    "tomlkit", "fsrs", "font-source-sans-pro",
)  # fmt: skip
EXTRAS = ("PySDL2", "pysdl2-dll")  # where they are installed: the program does without
_LONGEST = 70  # letters of a licence's name; some packages give the whole text
_NOTES = mark(
    "Spoolroom's own licence is in resources/LICENSE. Each package carries the text of its own. Qt and CasADi are "
    "used as libraries under the LGPL: you may put other versions of them in their place.\n\n"
    "Spoolroom prepares for practical work and never replaces it: the maker's manual, local codes and licensed "
    "instruction come first."
)
_CODE = mark("Translate the equations with this computer's C compiler: the same numbers, two to four times as quick")
_SIZE = 15.4  # of the type [board px]


def licence_of(package: str) -> str:
    """Return the name of a package's licence, from its own metadata. Raises PackageNotFoundError."""
    from importlib import metadata

    told = metadata.metadata(package)
    named = (told["License-Expression"] or told["License"] or "").strip().splitlines()
    if named and len(named[0]) <= _LONGEST:
        return named[0]
    kinds = [kind.rpartition(" :: ")[2] for kind in told.get_all("Classifier") or () if kind.startswith("License ::")]
    return ", ".join(kinds) or tr("see the package")


def solver_words(solver: Solver, wanted: bool, translator: Translator | None) -> str:
    """Return in a sentence what solves the equations, machine code or CasADi's virtual machine, and why that."""
    if solver.machine_code:
        return tr("Equations run as machine code: the same numbers, sooner.")
    if not wanted:
        why = tr("machine code is switched off")
    elif translator is None:
        why = tr("there is no C compiler here, or none is to be used")
    elif solver.translating:
        why = tr("{compiler} is making machine code of them").format(compiler=translator.compiler.name)
    else:
        why = solver.no_machine_code
    told = tr("Equations run in CasADi's virtual machine")
    return f"{told}: {why}." if why else f"{told}."


def about_words(solver: str) -> str:
    """Return the lines of About: a name, a version and a licence each, and what the ``solver`` says of itself."""
    from importlib import metadata

    rows = [
        ("Spoolroom", __version__, "MIT"),
        ("Python", platform.python_version(), "PSF-2.0"),
        ("Qt", qVersion(), "LGPL-3.0-only"),
    ]
    for package in (*PACKAGES, *EXTRAS):
        try:
            rows.append((package, metadata.version(package), licence_of(package)))
        except metadata.PackageNotFoundError:
            if package in PACKAGES:
                rows.append((package, tr("not installed as a package"), ""))
    lines = [" · ".join(word for word in row if word) for row in rows]
    system = " ".join(filter(None, (platform.system(), platform.release(), platform.machine())))
    return "\n".join([*lines, "", system, solver, "", tr(_NOTES)])


class AboutPane(Pane):
    """The lines in a field to read and to select from, and a button that copies them all."""

    title = mark("About Spoolroom")

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.text = QPlainTextEdit(self)
        self.text.setReadOnly(True)
        self.text.setFrameShape(QFrame.Shape.NoFrame)
        self.text.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.text.setWordWrapMode(QTextOption.WrapMode.WordWrap)
        self.text.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self.text.setObjectName("about")
        self.text.setAccessibleName(tr("Versions and licences"))
        set_tip(self.text, tr("Versions and licences: select and Ctrl+C, or the button below"))
        self.copy = WordButton(
            look, tr("Copy"), mark("Copy versions and licences"), tr("Copy all of these lines"), self
        )
        self.copy.clicked.connect(self.copy_all)
        self.foot = FlowLayout()
        self.code = WordButton(look, tr("Machine code"), mark("Machine code"), tr(_CODE), self)
        self.code.setCheckable(True)
        self.foot.addWidget(self.copy)
        self.foot.addWidget(self.code)
        column = QVBoxLayout(self)
        column.addWidget(self.text, 1)
        column.addLayout(self.foot)
        self.setFocusProxy(self.text)

    def fill(self, solver: str, code: bool) -> None:
        """Read the versions; ``solver`` says what solves the equations, ``code`` whether machine code is wanted."""
        self.text.setPlainText(about_words(solver))
        self.code.setChecked(code)

    def copy_all(self) -> None:
        """Put all lines on the clipboard."""
        QGuiApplication.clipboard().setText(self.text.toPlainText())

    def lay_out(self) -> None:
        """Size and colour what the layout places for the present look."""
        coloured(self.text, self.look, "accent-pale")
        self.text.verticalScrollBar().setStyleSheet(bar_style(self.look))
        self.text.setFont(fonts.font(self.look.pixels(_SIZE)))
        self.foot.outdent = round(8 * self.look.scale)


class Page(Protocol):
    """The views that are asked of a page."""

    beside: Look


class AboutPresenter(Presenter[Page]):
    """Shows About and puts it away."""

    actions = {"about": "change_pane"}

    def take(self, page: Page) -> None:
        """Build the pane of the new page."""
        super().take(page)
        self.pane = AboutPane(page.beside, self.stage.ground)
        self.pane.code.clicked.connect(self._set_code)

    def change_pane(self) -> None:
        """Show versions and licences, or put them away."""
        if self.pane.isVisible():
            self.stage.close_pane(self.pane)
        else:
            self._fill()
            self.stage.open_pane(self.pane)

    def _fill(self) -> None:
        controller = self.controller
        told = solver_words(controller.session.solver, controller.machine_code, controller.translator)
        self.pane.fill(told, controller.machine_code)

    def _set_code(self) -> None:
        self.controller.set_machine_code(self.pane.code.isChecked())
        self._fill()

    def new_look(self) -> None:
        """Take other colours."""
        if self.pane.isVisible():
            self.pane.arrange()
