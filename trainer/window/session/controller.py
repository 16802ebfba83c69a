"""The session as the window has it: its time, its operator, its marks; what happens to it is told by signals."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from trainer.engine.readings import Readings
from trainer.engine.session import FRAME, LONGEST_TICK, Session
from trainer.errors import SolverError
from trainer.language import tr
from trainer.operating.operator import Operator
from trainer.rig.rig import Instrument

__all__ = ["SessionController"]

_HARD = 2.5e-3  # wall seconds of the solver from which a frame leaves out what can wait


class SessionController(QObject):
    """Owns time: the only one that lets it pass, goes back in it, or puts another session in its place.

    ``clock`` is looked at for the length of frames and by the session; without ``start`` only ``tick`` lets it pass.
    ``marks`` are instants to come back to: time [s], name. ``instant`` tells of readings to be shown: (readings, wall
    seconds since the last, model time passed, whether they are others than before); ``given`` of controls that have
    another value by a hand, ``passed`` of wall seconds and whether they were hard, ``rewound`` that an instant is
    shown to which time did not flow, ``restarted`` that what had run is forgotten, ``refitted`` of other instruments,
    ``changed`` that figures are to be printed, ``renewed`` that all of them are other ones, ``renumbered`` that the
    machine has other numbers, ``said`` of a sentence.
    """

    instant = Signal(object, float, float, bool)
    given = Signal(list)
    passed = Signal(float, bool)
    rewound = Signal()
    restarted = Signal()
    refitted = Signal()
    changed = Signal()
    renewed = Signal()
    renumbered = Signal()
    said = Signal(str)

    session: Session
    operator: Operator

    def __init__(self, clock: Callable[[], float], parent: QObject) -> None:
        super().__init__(parent)
        self.clock = clock
        self.marks: list[tuple[float, str]] = []
        self.holds: Callable[[], bool] = lambda: False  # whether somebody keeps the clock frozen; that one says why
        self.replace: Callable[[Session], None]  # puts another session in the place of this one, with its pages
        self._shown: Readings | None = None
        self._paused = False
        self._last = clock()
        self._frames = QTimer(self)
        self._frames.setTimerType(Qt.TimerType.PreciseTimer)
        self._frames.setInterval(16)
        self._frames.timeout.connect(self._frame)

    def begin(self, session: Session, operator: Operator) -> None:
        """Take a session, and the operator of its rig."""
        self.session, self.operator = session, operator
        self._shown = None
        self._last = self.clock()

    # -- frames ------------------------------------------------------------------------------------------------

    def start(self) -> None:
        """Let the frame timer run."""
        self._last = self.clock()
        self._frames.start()

    def stop(self) -> None:
        """Let the frame timer stand."""
        self._frames.stop()

    def pause_frames(self, on: bool) -> None:
        """Let the frame timer stand while something long is done, and go on; frames that were due are dropped."""
        if on:
            self._paused = self._frames.isActive()
            self._frames.stop()
        elif self._paused:
            self.start()

    def _frame(self) -> None:
        now = self.clock()
        seconds, self._last = now - self._last, now
        self.tick(max(seconds, 0.0))

    def tick(self, seconds: float) -> None:
        """Move everything by a stretch of wall time [s]; levers and needles by at most ``LONGEST_TICK``."""
        session, passed = self.session, min(seconds, LONGEST_TICK)
        self.move_hands(passed)
        before, begun = session.time, self.clock()
        session.tick(seconds, self.clock)
        hard = self.clock() - begun > _HARD  # what can wait does
        self.show(passed, session.time - before)
        self.passed.emit(seconds, hard)

    def move_hands(self, seconds: float = 0.0) -> None:
        """Let the operator act for some wall seconds, and give the session what changed."""
        self.given.emit(self.operator.move(seconds, self.session))

    # -- what is shown -----------------------------------------------------------------------------------------

    def show(self, seconds: float, passed: float) -> None:
        """Show the session's instant after some wall seconds, ``passed`` of model time."""
        live = self.session.readings
        moved, self._shown = live is not self._shown, live
        self.instant.emit(live, seconds, passed, moved)

    def show_now(self) -> None:
        """Show the session's instant everywhere at once, levers and needles too, where time did not flow there."""
        self.operator.take(self.session)
        self.rewound.emit()
        self.show_anew(1.0)

    def show_change(self) -> None:
        """Show at once, and everywhere at one instant, what was just changed of the rig."""
        self.show(0.0, 0.0)
        self.renewed.emit()

    def show_anew(self, seconds: float = 0.0) -> None:
        """Show the session's instant as one that was not shown before, figures and all."""
        self._shown = None
        self.show(seconds, 0.0)
        self.changed.emit()
        self.renewed.emit()

    # -- what can be asked -------------------------------------------------------------------------------------

    def run(self, on: bool = True) -> None:
        """Run or freeze the clock; it stays frozen while somebody holds it."""
        if not on:
            self.session.freeze()
        elif not self.holds():
            self.session.run()
        self.changed.emit()

    def change_running(self) -> None:
        """Run if frozen, freeze if running."""
        self.run(not self.session.running)

    def step(self, seconds: float) -> None:
        """Freeze, and move on by some model time [s]."""
        if self.holds():
            return
        before = self.session.time
        self.session.step(seconds)
        self.show(FRAME, self.session.time - before)
        self.changed.emit()

    def set_speed(self, speed: float) -> None:
        """Choose the speed of the clock."""
        self.session.speed = speed
        self.changed.emit()

    def reset(self) -> None:
        """Return to the start, levers and loads and all; what has run is forgotten, the machine stays as it is."""
        try:
            self.session.reset()
        except SolverError as error:
            self.said.emit(
                tr("No start can be found with these numbers: {error} Nothing was forgotten.").format(error=error)
            )
            return
        self.restarted.emit()
        self.show_now()

    def rewind(self, time: float) -> None:
        """Freeze, and show an instant that has been [s]; going on from there gives up what came after."""
        self.session.rewind(time)
        self.show_now()

    def refit(self, instruments: Mapping[str, Instrument]) -> None:
        """Fit other instruments to the session's rig; time, levers and everything else stay. Raises RigError."""
        self.session.refit(replace(self.session.rig, instruments=dict(instruments)))
        self.refitted.emit()
        self.show_anew(1.0)
