"""Switches sound on and off, keeps its device supplied, and tells its captions."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from PySide6.QtCore import Qt, QTimer

from trainer.engine.readings import Readings
from trainer.language import tr
from trainer.operating.sdl import ExtraMissing
from trainer.sounding.hearing import Captions, Ears, Heard
from trainer.window.session.controller import SessionController
from trainer.window.session.presenter import Presenter
from trainer.window.session.stage import Stage
from trainer.window.sound.device import Device

__all__ = ["SoundPresenter"]

_OFTEN = 20  # ms between supplies


class Page(Protocol):
    """Nothing is asked of a page."""


class SoundPresenter(Presenter[Page]):
    """``on`` whether it plays; ``caption`` what there is to be read of the sound, on or off, in one line.

    On the board captions stand in the line of notices while sound is on; whoever shows them elsewhere asks for
    ``caption`` when figures are printed.
    """

    actions = {"sound": "change"}
    everywhere = ("sound",)
    device: Device | None = None
    caption = ""

    def __init__(self, controller: SessionController, stage: Stage) -> None:
        super().__init__(controller, stage)
        self._supply = QTimer(stage.frame)
        self._supply.setTimerType(Qt.TimerType.PreciseTimer)
        self._supply.setInterval(_OFTEN)
        self._supply.timeout.connect(self.supply)

    def take(self, page: Page) -> None:
        """Hear another rig."""
        super().take(page)
        self._ears, self._captions = Ears(self.session.network), Captions(self.session.network)
        self.caption = ""

    @property
    def on(self) -> bool:
        """Whether it plays."""
        return self.device is not None

    def begin(self, play: Callable[[], Device] = Device) -> None:
        """Play from now on if it was on the last time."""
        if self.stage.remembered.sound and not self.on:
            self._begin(play)

    def change(self, play: Callable[[], Device] = Device) -> None:
        """Switch sound on, or off."""
        if self.on:
            self.stop()
            self.stage.remembered.sound = False
            self.stage.tell(tr("Sound is off."))
        elif self._begin(play):
            self.stage.remembered.sound = True
            self.stage.tell(tr("Sound is on. What is heard is written here too."))

    def _begin(self, play: Callable[[], Device]) -> bool:
        try:
            self.device = play()
        except ExtraMissing as missing:
            self.stage.tell(str(missing))
            return False
        self._supply.start()
        return True

    def stop(self) -> None:
        """Play no more."""
        self._supply.stop()
        if self.device is not None:
            self.device.close()
            self.device = None
        self.stage.heard = ""

    def supply(self) -> None:
        """Give the device what it lacks; a frozen machine is silent. One that fails is given up, and it is said."""
        if self.device is None:
            return
        running = self.session.running
        if not running and self.device.silent:
            return
        try:
            self.device.feed(self._ears.hear(self.session.readings) if running else Heard())
        except ExtraMissing as failed:
            self.stop()
            self.stage.tell(str(failed))

    def show_figures(self, seconds: float) -> None:
        """Find what is to be read now."""
        live: Readings = self.session.readings
        self.caption = self._captions.line(live, seconds) if self.session.running else ""
        self.stage.heard = self.caption if self.on else ""

    def close(self) -> None:
        """Give the device back."""
        self.stop()
