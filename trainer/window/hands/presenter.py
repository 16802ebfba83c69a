"""Lets controllers lead the levers, frame by frame, tells of lost ones, and shows the page of hands."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from PySide6.QtCore import QTimer

from trainer.language import mark, tr
from trainer.operating.hands_kept import HandsKept, RigHands, keep_hands, kept_hands
from trainer.operating.pads import Pads
from trainer.operating.patterns import Pattern, first_pattern
from trainer.operating.sdl import ExtraMissing
from trainer.operating.sticks import Pad, Sticks
from trainer.window.hands.setup import Setup
from trainer.window.session.controller import SessionController
from trainer.window.session.presenter import Presenter
from trainer.window.session.screen import Screen
from trainer.window.session.stage import Stage

if TYPE_CHECKING:
    from trainer.window.hands.screen import HandsScreen

__all__ = ["FILE", "HandsPresenter"]

FILE = "hands.json"  # beside the settings
_LOOK = 100  # ms between looks at controllers while the frames of a frozen board rest
_LOST = mark("Controller lost: keys and mouse work.")
_LET_GO = mark("Let go of the sticks.")
_STIRRED = 0.1  # share of its travel by which something is moved that wakes it


class Page(Protocol):
    """Nothing is asked of a page."""


class HandsPresenter(Presenter[Page]):
    """``sticks`` are what controllers say; ``why_none`` why there are none to read, "" where they can be read."""

    actions = {"hands": "change_screen"}
    everywhere = ("hands",)
    screen: HandsScreen | None = None
    pads: Pads | None = None
    _before: Screen | None = None

    def __init__(self, controller: SessionController, stage: Stage) -> None:
        super().__init__(controller, stage)
        self.sticks = Sticks(HandsKept())
        self.setup = Setup(self.sticks, lambda: self.rig_hands, self.keep)
        self.why_none = tr("Controllers are not read yet.")
        self.file: Path | None = None
        self._told_to_let_go = self._lost = False
        self._stirred: dict[tuple[int, str], float] = {}
        self._asleep = QTimer(stage.frame)
        self._asleep.setInterval(_LOOK)
        self._asleep.timeout.connect(self._look)
        controller.sample = self.sample
        controller.rewound.connect(self.sticks.stand_off)  # at another instant levers stand as they stood then

    # -- what is kept ------------------------------------------------------------------------------------------

    def keep_in(self, folder: Path) -> str:
        """Keep patterns and travels in a folder from now on; return why those that are there are not used, or ""."""
        self.file = folder / FILE
        kept, trouble = kept_hands(self.file)
        self.sticks.kept = kept
        self._choose_pattern()
        return trouble

    def keep(self) -> None:
        """Write patterns and travels, where they are to be kept; it is said where that fails."""
        if self.file is not None and (why := keep_hands(self.sticks.kept, self.file)):
            self.stage.tell(tr("What is set of the sticks cannot be kept ({why}).").format(why=why))

    @property
    def rig_hands(self) -> RigHands:
        """The patterns of the open rig; there is one at least."""
        rigs, rig = self.sticks.kept.rigs, self.session.rig
        hands = rigs.setdefault(rig.title, RigHands())
        if not hands.patterns:
            controls = rig.controls()
            hands.patterns.append(first_pattern({name: controls[name] for name in self.controller.operator.levers}))
        return hands

    def _choose_pattern(self) -> None:
        hands = self.rig_hands
        self.put_pattern(hands.patterns[hands.chosen])

    def put_pattern(self, pattern: Pattern) -> None:
        """Let the sticks lead by a pattern; what is off its centre is to be let go first."""
        self.sticks.let_go(self.controller.operator.levers)
        self.sticks.pattern = pattern
        self.sticks.stand_off()

    def take(self, page: Page) -> None:
        """Take the patterns of another rig."""
        super().take(page)
        self._choose_pattern()
        if self.screen is not None:
            self.screen.take_rig(self.session.rig)

    # -- controllers -------------------------------------------------------------------------------------------

    def begin(self, read: Callable[[], Pads] = Pads) -> None:
        """Read controllers from now on, where that can be done."""
        if self.pads is not None:
            return
        try:
            self.pads = read()
            self.why_none = ""
        except ExtraMissing as missing:
            self.why_none = str(missing)
            return
        self._asleep.start()

    def sample(self) -> None:
        """Look at all controllers and let them lead the levers; before each frame."""
        if self.pads is None:
            return
        sticks, controller = self.sticks, self.controller
        come, lost = sticks.take(self.pads.read())
        levers = controller.operator.levers
        if lost:
            sticks.let_go(levers)
            sticks.stand_off()  # what another hand still holds is not to let the clock run again
            controller.run(False)
            self._lost = True
            self.stage.tell(tr(_LOST), warns=True, frozen=True)
        elif come:
            self._tell_of(come)
        self._lost = self._lost and not (come or self.session.running)
        if self.screen is not None and self.stage.screen is self.screen:
            sticks.let_go(levers)
            self.screen.pass_frame()
        elif self._deaf:
            sticks.let_go(levers)
            sticks.stand_off()
        else:
            sticks.lead(levers)
            self._tell_to_let_go()

    @property
    def says(self) -> str:
        """What is wrong with the sticks now, for a screen that shows no notices; "" for nothing."""
        return tr(_LOST) if self._lost else tr(_LET_GO) if self.sticks.waiting else ""

    @property
    def _deaf(self) -> bool:
        """Whether no stick is to lead anything: another window is in front, or no hand is to move a lever."""
        covers = self.controller.covers
        return not self.stage.frame.isActiveWindow() or bool(covers.frozen or covers.led)

    def _tell_of(self, come: list[Pad]) -> None:
        names = ", ".join(dict.fromkeys(pad.name for pad in come))
        key = self.stage.actions["hands"].key
        self.stage.tell(tr("{name}: moves the levers. {key} shows how.").format(name=names, key=key))

    def _tell_to_let_go(self) -> None:
        if self.sticks.waiting and not self._told_to_let_go and not self._lost:
            self.stage.tell(tr(_LET_GO), warns=True)
        self._told_to_let_go = self.sticks.waiting

    def _look(self) -> None:
        """While frames rest: wake the board where a stick is moved, or one comes or goes."""
        if self.pads is None or not self.controller.asleep:
            return
        before = {pad.number for pad in self.sticks.pads}
        pads = self.pads.read()
        now = {(pad.number, name): value for pad in pads for name, value in pad.raw.items()}
        moved = any(abs(value - self._stirred.get(place, value)) > _STIRRED for place, value in now.items())
        self._stirred = now
        if moved or {pad.number for pad in pads} != before:
            self._stirred = {}
            self.controller.wake()

    # -- the page ----------------------------------------------------------------------------------------------

    def change_screen(self) -> None:
        """Show the page of hands, or go back to where one was; before a class nothing comes between."""
        shown = self.stage.screen
        if shown is not None and shown is self.screen:
            self._leave()
        elif shown is None or not shown.full:
            self.show_screen()

    def show_screen(self) -> None:
        """Show the page of hands."""
        if self.screen is None:
            from trainer.window.hands.screen import HandsScreen

            self.screen = HandsScreen(self.stage.look, self.setup, self.stage.room)
            self.screen.left.connect(self._leave)
        self._before = self.stage.screen
        self.screen.take_rig(self.session.rig)
        self.stage.show_screen(self.screen)
        self.screen.why_none = self.why_none
        self.screen.take_look()
        self.screen.setFocus()
        self.controller.wake()

    def _leave(self) -> None:
        before, self._before = self._before, None
        self.sticks.stand_off()
        self.stage.show_screen(before)
        if before is not None:
            before.setFocus()

    def new_look(self) -> None:
        """Take other colours."""
        if self.screen is not None and self.stage.screen is self.screen:
            self.screen.take_look()

    def close(self) -> None:
        """Give the controllers back."""
        self._asleep.stop()
        if self.pads is not None:
            self.pads.close()
            self.pads = None
