"""Changing the rig while it runs: numbers, screws, loads, oil; undone, redone, saved; what is not saved is told."""

from __future__ import annotations

from collections.abc import Hashable
from pathlib import Path
from typing import Protocol

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog

from trainer.changing.adjustables import Value
from trainer.changing.changes import Changes, Step
from trainer.changing.opening import opened
from trainer.changing.screws import Screw, held, screws
from trainer.drawing.picking import Pick
from trainer.errors import SpoolroomError
from trainer.language import mark, tr, trn
from trainer.rig.rig import Rig
from trainer.window.board.drawing_view import DrawingView
from trainer.window.controls.keys import key_of
from trainer.window.dials.dials import DialsView
from trainer.window.painting.look import Look
from trainer.window.rig.blocks import REBUILT
from trainer.window.rig.gauge import gauge_at_screw
from trainer.window.rig.pane import RigPane
from trainer.window.session.presenter import Presenter

__all__ = ["RigPresenter"]

_WAYS = {"undo": "undo", "redo": "redo", "file": "as_in_file", "then": "as_then"}  # steps besides a new number
_LOOSENED = (
    mark("Loosen, set, tighten"),
    mark("Loosen the lock-nut, set the screw, tighten the nut: one step to undo"),
)
_ONE_DRAG = 1.5  # wall seconds within which turns of one screw are one step to undo


class Bar(Protocol):
    """The bar, which names the file."""

    def show_file(self, file: Path | None, changed: bool) -> None:
        """Show the file that is open, and whether something is not saved there."""


class Page(Protocol):
    """The views that are asked of a page."""

    beside: Look
    drawing: DrawingView
    dials: DialsView

    @property
    def bar(self) -> Bar:
        """The bar."""


class RigPresenter(Presenter[Page]):
    """Makes every change of the rig, whoever asks for it, and shows the pane of its numbers."""

    actions = {"numbers": "change_pane", "undo": "undo", "redo": "redo", "save": "save_as", "then": "as_then"}
    changes: Changes
    pane: RigPane
    _turned: tuple[str, float] = ("", 0.0)
    _marked: tuple[bool, Path | None] | None = None  # what title and bar show: whether changed, and the file
    _drawn: Hashable = None  # the numbers that the drawing shows
    _allowed: tuple[object, ...] = ()  # what can be undone and made again, as the actions tell it
    _asked: tuple[str, Value] | str | None = None  # what waits for an answer: a name and a value, or one of _WAYS

    # -- sessions and pages --------------------------------------------------------------------------------------

    def take(self, page: Page) -> None:
        """Follow the window to another session: of the same rig, built anew, or of another rig."""
        super().take(page)
        if not hasattr(self, "changes") or self.changes.session is not self.session:
            self.changes = Changes(self.session, build=opened)
        self._asked = None
        before: RigPane | None = getattr(self, "pane", None)
        self.pane = pane = RigPane(page.beside, self.stage.ground, self.changes, self._gauge, self.stage.actions)
        pane.asked.connect(self.ask)
        pane.turned.connect(self.turn)
        pane.nut.connect(self.set_nut)
        pane.said.connect(self.stage.tell)
        pane.file_asked.connect(self.as_in_file)
        pane.question.answered.connect(self._answered)
        pane.closed.connect(self._closed)
        self.page.drawing.picked.connect(self._picked)
        self._marked, self._drawn = None, None
        self._mark()
        if before is not None and not before.isHidden() and before.changes.known.keys() == self.changes.known.keys():
            pane.page, pane.part = before.page, before.part
            self.stage.open_pane(pane)
            pane.again()

    def take_up(self, changes: Changes) -> None:
        """Go on with the changes of another session, as after a crash."""
        changes.build = opened
        self.changes = changes
        self.controller.replace(changes.session)

    def refit(self) -> None:
        """Other instruments are fitted."""
        self._show()

    def new_look(self) -> None:
        """Show everything in the present units and theme."""
        self.pane.new_look()
        if self.pane.isVisible():
            self.pane.again()

    # -- each instant ----------------------------------------------------------------------------------------------

    def show_figures(self, seconds: float) -> None:
        """Show present values, whether something is not saved, and what was otherwise at a rewound instant."""
        self._show()

    def _show_change(self) -> None:
        """Show what was just changed: drawing, pane and all at one instant."""
        self.controller.show_change()
        self._show()

    def _show(self) -> None:
        if self.pane.isVisible():
            self.pane.refresh()
        self._mark()

    def _mark(self) -> None:
        """Show that something is not saved, the machine's numbers on the drawing, and whether they are of then."""
        session = self.session
        numbers = (session.pu[session.machine.places] if session.back else session.machine.numbers).tobytes()
        if numbers != self._drawn:
            first, self._drawn = self._drawn is None, numbers
            if not first:
                self.controller.renumbered.emit()
        self.stage.standing = self._then()
        self._allow()
        marked = bool(self.changes.different()), self.file
        if marked != self._marked:
            self._marked = marked
            self._name_window(*marked)

    def _allow(self) -> None:
        """Say of undo, redo and "as it was then" what each does now, or why it cannot be done."""
        system, actions = self.stage.look.system, self.stage.actions
        steps = self.changes.next_undo(), self.changes.next_redo()
        allowed = *steps, system, bool(self.stage.standing)
        if allowed == self._allowed:
            return
        self._allowed = allowed
        for name, step, nothing in zip(
            ("undo", "redo"),
            steps,
            (tr("There is no change to take back."), tr("There is no change to make again.")),
            strict=True,
        ):
            words = self.changes.words(step, system) if step is not None else ""
            actions[name].allow("" if step is not None else nothing, words)
        actions["then"].allow("" if self.stage.standing else tr("The machine was then as it is now."))

    def _name_window(self, changed: bool, file: Path | None) -> None:
        """Name rig and file in the window's title and in the bar, with the desktop's mark of what is not saved."""
        title = self.session.rig.title + (f" — {file.name}" if file is not None else "")
        self.stage.frame.setWindowTitle(f"{title.replace('[*]', '[*][*]')}[*] · Spoolroom")
        self.stage.frame.setWindowFilePath("" if file is None else str(file))
        self.stage.frame.setWindowModified(changed)
        self.page.bar.show_file(file, changed)

    @property
    def file(self) -> Path | None:
        """The file that is open: it was opened, or the rig was saved there; None for a rig of no file."""
        source = self.changes.original.source
        return Path(source) if source else None

    def _gauge(self, part: str) -> str:
        return gauge_at_screw(self.session.rig, part, self.page.dials.dials)

    def _then(self) -> str:
        """Return that the machine was otherwise at the instant that is shown, or nothing."""
        told = self.changes.then(self.stage.look.system)
        if not told:
            return ""
        more = trn(" (and {count} more number)", " (and {count} more numbers)", len(told) - 1)
        more = more.format(count=len(told) - 1) if len(told) > 1 else ""
        return tr("{told}{more}. Going on takes what is now; {key_of}: as it was then.").format(
            told=told[0], more=more, key_of=key_of("then")
        )

    # -- changing --------------------------------------------------------------------------------------------------

    def ask(self, name: str, value: Value) -> None:
        """Change a number or word; ask first where the rig must be built anew, or where a lock-nut is tight."""
        if self.refused("numbers"):
            self.pane.refresh()
            return
        about = self.changes.known[name]
        screw = held(self.changes, name)
        if not about.at_rest and screw is None:
            self.set(name, value)
            return
        try:
            value = about.checked(value)
        except ValueError as error:
            self.stage.tell(str(error))
            return
        if value == self.changes.value(name):
            return
        if screw is not None and not isinstance(value, str):
            self._put(screw.question(value, self.stage.look.system), (name, value), _LOOSENED)
            return
        self._question(about.change(self.changes.value(name), value, self.stage.look.system), (name, value))

    def _question(self, change: str, asked: tuple[str, Value] | str) -> None:
        self._put(
            tr(
                "{change}. This cannot be changed while it runs: the rig is put together anew "
                "and stands at its start, frozen. What has run is gone."
            ).format(change=change),
            asked,
        )

    def _put(self, question: str, asked: tuple[str, Value] | str, yes: tuple[str, str] = REBUILT) -> None:
        self._asked = asked
        if not self.pane.isVisible():
            self.stage.open_pane(self.pane)
        self.pane.question.ask(question, yes)

    def _answered(self, yes: bool) -> None:
        self.pane.question.hide()
        asked, self._asked = self._asked, None
        if yes and asked is not None:
            if isinstance(asked, str):
                self._go(asked)
            else:
                self.set(*asked)
        else:
            self.pane.refresh()
        self.pane.setFocus(Qt.FocusReason.OtherFocusReason)

    def set(self, name: str, value: Value, going_on: bool = False) -> Step | None:
        """Change a number [SI] or a word now; what cannot be is told. Return what was done."""
        system, part = self.stage.look.system, name.partition(".")[0]
        turned = self.changes.known[name].own in screws(self.changes.session.rig).get(part, ())
        spring = self.screw(name).wants(value, system) if turned and not isinstance(value, str) else ""
        step = self._do(lambda: self.changes.set(name, value, going_on))
        if step is not None:
            self.stage.tell(f"{self.changes.words(step, system)}. {spring}".rstrip())
        self._show_change()
        return step

    def _do(self, change: object) -> Step | None:
        assert callable(change)
        before = self.changes.session, [*self.changes.done], [*self.changes.undone]
        QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
        try:
            step: Step | None = change()
            if self.changes.session is not self.session:
                self.controller.replace(self.changes.session)
        except (ValueError, SpoolroomError) as error:
            self.stage.tell(str(error))
            if self.changes.session is not self.session:  # its page cannot be
                self.changes.session, self.changes.done, self.changes.undone = before
            return None
        finally:
            QGuiApplication.restoreOverrideCursor()
        return step

    def undo(self) -> None:
        """Take the last change back."""
        self._undo_or_redo("undo", self.changes.next_undo())

    def redo(self) -> None:
        """Make the last change again that was taken back."""
        self._undo_or_redo("redo", self.changes.next_redo())

    def _undo_or_redo(self, way: str, step: Step | None) -> None:
        if step is None:  # it has gone since the actions were told
            self._allow()
            self.stage.tell(self.stage.actions[way].refusal)
        elif self.changes.is_at_rest(step):
            self._question(self._words(way, step), way)
        else:
            self._go(way)

    def as_in_file(self) -> None:
        """Bring the machine back to what its file has; ask first where the rig must be built anew."""
        different = [found.about for found in self.changes.different() if found.about is not None]
        if not different:
            self.stage.tell(tr("The machine is as in its file."))
        elif any(about.at_rest for about in different):
            self._question(tr("As in the file: {count} of its numbers").format(count=len(different)), "file")
        else:
            self._go("file")

    def as_then(self) -> None:
        """Let the machine be as it was at the instant that is shown."""
        self._go("then")

    def _words(self, way: str, step: Step) -> str:
        system = self.stage.look.system
        if way == "undo":
            return tr("Taken back: {words}").format(words=self.changes.words(step, system, back=True))
        return f"{tr('Again: ') if way == 'redo' else ''}{self.changes.words(step, system)}"

    def _go(self, way: str) -> None:
        step = self._do(getattr(self.changes, _WAYS[way]))
        if step is not None:
            self.stage.tell(f"{self._words(way, step)}.")
        self._show_change()

    # -- screws ----------------------------------------------------------------------------------------------------

    def screw(self, name: str) -> Screw:
        """Return a set screw, "part.parameter", or the first of a part. Raises KeyError where there is none."""
        part, _, own = name.partition(".")
        return Screw(self.changes, part, own or screws(self.changes.session.rig)[part][0])

    def turn(self, name: str, eighths: int) -> None:
        """Turn a screw by eighths of a turn, clockwise positive."""
        screw, now = self.screw(name), self.controller.clock()
        going_on = self._turned[0] == name and now - self._turned[1] < _ONE_DRAG
        self._turned = name, now
        step = self._do(lambda: screw.turn(eighths, going_on))
        if step is not None:
            self.stage.tell(screw.notice)
        self._show_change()

    def set_nut(self, name: str, loose: bool) -> None:
        """Loosen or tighten a lock-nut; the setting stays."""
        screw = self.screw(name)
        if loose:
            screw.loosen()
            self.stage.tell(screw.notice, warns=True)
        else:
            screw.tighten()
            self.stage.tell(
                tr("The lock-nut of {part} is tight. The setting stays {setting}.").format(
                    part=screw.about.part, setting=self._setting(screw)
                )
            )
        self._show()

    def _setting(self, screw: Screw) -> str:
        return screw.about.shown(screw.present, self.stage.look.system)

    def _loose(self) -> None:
        for name in sorted(self.changes.loose):
            if name.partition(".")[0] in screws(self.changes.session.rig):
                self.stage.tell(self.screw(name).notice)

    # -- the pane --------------------------------------------------------------------------------------------------

    def change_pane(self) -> None:
        """Show or hide the numbers of the rig."""
        if self.pane.isVisible():
            self.pane.closed.emit()
            return
        self.pane.finder.clear()  # what was sought the last time would hide the rest
        self.pane.show_parts()
        self.stage.open_pane(self.pane)

    def show_part(self, part: str) -> None:
        """Show the numbers of one part."""
        if self.refused("numbers"):
            return
        if not self.pane.isVisible():
            self.stage.open_pane(self.pane)
        self.pane.show_numbers(part)

    def _closed(self) -> None:
        self._loose()

    def _picked(self, pick: Pick) -> None:
        if self.pane.isVisible() and isinstance(pick, Pick) and pick.kind == "part":
            if self.pane.part != pick.name:
                self._loose()
            self.pane.show_numbers(pick.name)

    # -- saving ----------------------------------------------------------------------------------------------------

    def save_as(self) -> None:
        """Ask for a file and write the rig with its changes there."""
        places = self.stage.places
        proposed = str(places.own or places.proposed("rig", self.session.rig.title, "-changed.toml"))
        chosen, _ = QFileDialog.getSaveFileName(self.stage.frame, tr("Save the rig"), proposed, "Rigs (*.toml)")
        if chosen:
            self.write(Path(chosen))

    def write(self, path: Path) -> bool:
        """Write the rig with its changes into a file; what cannot be is told."""
        if not path.suffix:
            path = path.with_name(f"{path.name}.toml")
            if path.exists():
                self.stage.tell(
                    tr("{name} is there already. Write its full name to replace it.").format(name=path.name)
                )
                return False
        from trainer.changing.saving import save

        try:
            saved: Rig = save(self.changes.changed_rig(), path)
        except SpoolroomError as error:
            self.stage.tell(str(error))
            return False
        self.stage.places.went("rig", path)
        self.changes.original = saved
        self.stage.tell(tr("The rig is in {name}.").format(name=path.name))
        self._show()
        return True
