"""Tells what a part is, beside the drawing, and shows the glossary; made when it is asked for first."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Protocol

from trainer.changing.adjustables import adjustables
from trainer.parts.part import Choice, Parameter
from trainer.rig.names import capital, part_title
from trainer.window.board.drawing_view import DrawingView
from trainer.window.board.rack_view import RackView
from trainer.window.controls.pane import Pane
from trainer.window.painting.look import Look
from trainer.window.rig.presenter import RigPresenter
from trainer.window.session.controller import SessionController
from trainer.window.session.presenter import Presenter
from trainer.window.session.screen import Screen
from trainer.window.session.stage import Stage
from trainer.window.working.presenter import WorkingPresenter
from trainer.working import Subject

if TYPE_CHECKING:
    from trainer.lessons.glossary import Word
    from trainer.window.explaining.pane import PartPane
    from trainer.window.explaining.screen import GlossaryScreen

__all__ = ["ExplainingPresenter"]


class Page(Protocol):
    """The views that are asked of a page."""

    beside: Look
    drawing: DrawingView
    rack: RackView


class ExplainingPresenter(Presenter[Page]):
    """Shows the ``pane`` of a part and the ``screen`` with all words."""

    actions = {"part page": "change_pane", "glossary": "change_screen"}
    everywhere = ("glossary",)
    pane: PartPane | None = None
    screen: GlossaryScreen | None = None
    _words: dict[str, Word] | None = None
    _before: Screen | None = None

    def __init__(
        self, controller: SessionController, stage: Stage, working: WorkingPresenter, rig: RigPresenter
    ) -> None:
        super().__init__(controller, stage)
        self.working, self.rig = working, rig
        self.part = ""  # that is told of, "" for none
        controller.renumbered.connect(self._anew)
        controller.covers.changed.connect(self._covered)

    def take(self, page: Page) -> None:
        """Tell of the parts of another rig."""
        super().take(page)
        self.pane, self.part = None, ""

    @property
    def words(self) -> dict[str, Word]:
        """All words by their keys, parts among them."""
        if self._words is None:
            from trainer.lessons import glossary

            self._words = {**glossary.shipped(), **{word.key: word for word in glossary.parts()}}
        return self._words

    # -- a part ----------------------------------------------------------------------------------------------------

    def change_pane(self) -> None:
        """Tell of the part that has the keyboard, or was clicked last; or put the page away."""
        asked = self._meant()
        if self.pane is not None and self.pane.isVisible() and asked in ("", self.part):
            self.stage.close_pane(self.pane)
        else:
            self.show_part(asked or self.part or next(iter(self.session.rig.parts)))

    def _meant(self) -> str:
        """Return the part that has the keyboard, else the one clicked last, "" for none."""
        focus, page, rig = self.stage.frame.focusWidget(), self.page, self.session.rig
        for controls in (page.rack.handles, page.drawing.handles):
            for name, view in controls.items():
                if view is focus and focus is not None and name.partition(".")[0] in rig.parts:
                    picked = page.drawing.picks.last
                    return picked.name if picked is not None and picked.kind == "part" else name.partition(".")[0]
        for thing in (page.drawing.picks.chosen(), page.drawing.picks.last):
            if thing is not None and thing.kind == "part" and thing.name in rig.parts:
                return thing.name
        return ""

    def show_part(self, id_: str) -> None:
        """Tell what a part of the rig is, with its numbers; without them while anything is covered: they may tell."""
        if self.refused("part page"):
            return
        rig, pane = self.session.rig, self._pane()
        self.part = id_
        known = {} if self.controller.covers.cover.anything else adjustables(rig)
        numbers = [
            (capital(one.meaning), one.shown(self.session.asked(name), self.stage.look.system))
            for name, one in known.items()
            if one.part == id_ and not one.options and not one.control and not one.started
        ]
        fitted = rig.parts[id_]
        given = {name: self.session.asked(f"{id_}.{name}") for name in fitted.part.declared(Parameter)}
        here = (given, {name: fitted.choice(name) for name in fitted.part.declared(Choice)}) if known else None
        word = self.words[f"part {fitted.part.__name__}"]
        pane.show_part(part_title(rig, id_), word, self.words, numbers, True, here)
        self._open(pane)

    def show_word(self, key: str) -> None:
        """Tell a word in the pane."""
        if key in self.words and not self.refused("part page"):
            pane, word = self._pane(), self.words[key]
            self.part = ""
            pane.show_part(word.term, word, self.words, (), False)
            self._open(pane)

    def _open(self, pane: Pane) -> None:
        if not pane.isVisible():
            self.stage.open_pane(pane)
        else:
            pane.arrange()

    def _pane(self) -> PartPane:
        if self.pane is None:
            from trainer.window.explaining.pane import PartPane

            self.pane = pane = PartPane(self.page.beside, self.stage.ground)
            for button, action in zip(pane.buttons.values(), ("working", "numbers", "glossary"), strict=True):
                button.follow(self.stage.actions[action], click=False)
            pane.entry.asked.connect(self.show_word)
            pane.all_asked.connect(partial(self.show_all, ""))
            pane.working_asked.connect(lambda: self.working.show(Subject("part", self.part)))
            pane.numbers_asked.connect(lambda: self.rig.show_part(self.part))
        return self.pane

    def _anew(self) -> None:
        if self.pane is not None and self.pane.isVisible() and self.part:
            self.show_part(self.part)

    def _covered(self) -> None:
        """Put the page away while names are asked for; show no numbers while anything is covered."""
        if self.pane is None or not self.pane.isVisible():
            return
        if self.controller.covers.cover.names:
            self.stage.close_pane(self.pane)
        else:
            self._anew()

    # -- the glossary ----------------------------------------------------------------------------------------------

    def change_screen(self) -> None:
        """Show all words, or go back to where one was; before a class nothing comes between."""
        shown = self.stage.screen
        if shown is not None and shown is self.screen:
            self._leave()
        elif shown is None or not shown.full:
            self.show_all()

    def show_all(self, key: str = "") -> None:
        """Show all words, one of them chosen; while names are asked for it is said why not."""
        if self.refused("glossary"):
            return
        if self.screen is None:
            from trainer.window.explaining.screen import GlossaryScreen

            self.screen = GlossaryScreen(self.stage.look, self.words, self.stage.room)
            self.screen.left.connect(self._leave)
        screen = self.screen
        if self.stage.screen is not screen:
            self._before = self.stage.screen
            self.stage.show_screen(screen)
        screen.take_look()
        screen.line.clear()
        wanted = key or (self.pane.entry.word.key if self.pane is not None and self.pane.entry.word else "")
        if wanted:
            screen.show_word(wanted)
        screen.line.setFocus()

    def _leave(self) -> None:
        before, self._before = self._before, None
        self.stage.show_screen(before)
        if before is not None:
            before.setFocus()

    def new_look(self) -> None:
        """Take other colours and units."""
        self._anew()
        if self.screen is not None and self.stage.screen is self.screen:
            self.screen.take_look()
