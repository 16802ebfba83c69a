"""The session as the window has it: its time, its operator, its marks; what happens to it is told by signals."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Protocol

from PySide6.QtCore import QCoreApplication, QEvent, QObject, Qt, QTimer, Signal

from trainer.engine.kept import Kept
from trainer.engine.machine_code import Translator
from trainer.engine.readings import Readings
from trainer.engine.session import FRAME, LONGEST_TICK, Session
from trainer.errors import SolverError
from trainer.language import tr
from trainer.operating.operator import Operated, Operator
from trainer.rig.rig import Instrument
from trainer.window.session.covers import Covers
from trainer.window.session.pace import Pace

__all__ = ["Lent", "SessionController", "Timed"]

_HARD = 2.5e-3  # wall seconds of the solver from which a frame leaves out what can wait
_AWAKE = 8.0  # s: frames go on for so long after the last deed while the clock is frozen; a message stands for six
_DEEDS = frozenset(
    {
        QEvent.Type.KeyPress, QEvent.Type.KeyRelease, QEvent.Type.ShortcutOverride, QEvent.Type.Shortcut,
        QEvent.Type.MouseButtonPress, QEvent.Type.MouseButtonRelease, QEvent.Type.MouseMove, QEvent.Type.HoverMove,
        QEvent.Type.Enter, QEvent.Type.Leave, QEvent.Type.Wheel, QEvent.Type.TouchBegin, QEvent.Type.TouchUpdate,
        QEvent.Type.TouchEnd, QEvent.Type.TabletPress, QEvent.Type.TabletMove, QEvent.Type.ContextMenu,
        QEvent.Type.DragEnter, QEvent.Type.DragMove, QEvent.Type.Drop, QEvent.Type.NativeGesture,
        QEvent.Type.InputMethod, QEvent.Type.FocusIn, QEvent.Type.FocusOut, QEvent.Type.Resize,
        QEvent.Type.WindowActivate, QEvent.Type.WindowStateChange,
    }
)  # fmt: skip


class Timed(Protocol):
    """What time passes for: a session, or several in step."""

    speed: float

    @property
    def running(self) -> bool:
        """Whether time passes."""

    @property
    def time(self) -> float:
        """Model time since the start [s]."""

    @property
    def calls_a_frame(self) -> int:
        """How many calls of the solver a frame of wall time takes."""

    def tick(self, wall_seconds: float, clock: Callable[[], float]) -> int:
        """Answer for wall seconds; return how many calls were made."""

    def run(self) -> None:
        """Let time pass."""

    def freeze(self) -> None:
        """Stop time."""

    def step(self, seconds: float) -> None:
        """Freeze, and move on by one stretch [s]."""

    def reset(self) -> None:
        """Return to the start. Raises SolverError."""

    def rewind(self, time: float) -> None:
        """Freeze, and show an instant that has been [s]."""


@dataclass(frozen=True, slots=True)
class Lent:
    """Something else that has time and hands for a while, instead of the session, which stands as it is.

    ``operator`` moves what is ``operated``. ``show`` is told wall seconds since the last picture and model time
    passed, ``given`` what hands have given another value. ``latest`` returns the latest instant that has been [s];
    ``marks`` are its own.
    """

    timed: Timed
    operator: Operator
    operated: Operated
    show: Callable[[float, float], None]
    given: Callable[[list[str]], None]
    latest: Callable[[], float]
    marks: list[tuple[float, str]]


class SessionController(QObject):
    """Owns time: the only one that lets it pass, goes back in it, or puts another session in its place.

    ``clock`` is looked at for the length of frames and by the session; without ``start`` only ``tick`` lets it pass.
    ``marks`` are instants of the session to come back to: time [s], name. ``instant`` tells of readings to be shown:
    (readings, wall seconds since the last, model time passed, whether they are others than before); ``given`` of
    controls that have another value by a hand, ``passed`` of wall seconds and whether they were hard, ``rewound``
    that an instant is shown to which time did not flow, ``restarted`` that what had run is forgotten, ``refitted`` of
    other instruments, ``changed`` that figures are to be printed, ``renewed`` that all of them are other ones,
    ``renumbered`` that the machine has other numbers, ``said`` of a sentence.
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
        self.sample: Callable[[], object] = bool  # looks at what hands hold, before these act
        self.hands: Callable[[float], object] = bool  # moves things before some model time [s] passes
        self.covers = Covers(self)  # what may not be told now
        self.translator: Translator | None = None  # makes machine code of a session's equations
        self.machine_code = True  # whether it is to
        self.kept: Kept | None = None  # what is known of rigs that were open before
        self.replace: Callable[[Session], None]  # puts another session in the place of this one, with its pages
        self.pace = Pace()
        self._lent: Lent | None = None
        self._own: Operator | None = None  # the session's, while another one has the hands
        self._shown: Readings | None = None
        self._unshown = self._unshown_passed = 0.0  # wall seconds and model time since the last picture
        self._given = False  # whether a hand has moved something since the last frame
        self._moving = self._hand = False  # whether a hand moves something, and has begun to since the last picture
        self._paused = self._asleep = False
        self._wakes_for = _AWAKE
        self._last = clock()
        self._frames = QTimer(self)
        self._frames.setTimerType(Qt.TimerType.PreciseTimer)
        self._frames.setInterval(16)
        self._frames.timeout.connect(self._frame)

    def begin(self, session: Session, operator: Operator) -> None:
        """Take a session, and the operator of its rig."""
        self.session, self.operator = session, operator
        self._lent = self._own = None
        self._shown = None
        self._last = self.clock()

    # -- lent ------------------------------------------------------------------------------------------------

    @property
    def timed(self) -> Timed:
        """What time passes for: the session, or what it is lent to."""
        return self.session if self._lent is None else self._lent.timed

    @property
    def own(self) -> Operator:
        """What hands want of the session itself, also while another one has the hands."""
        return self.operator if self._own is None else self._own

    @property
    def timed_marks(self) -> list[tuple[float, str]]:
        """The marks of what time passes for."""
        return self.marks if self._lent is None else self._lent.marks

    @property
    def latest(self) -> float:
        """The latest instant that has been of what time passes for [s]."""
        return self.session.history.end if self._lent is None else self._lent.latest()

    @property
    def lends(self) -> bool:
        """Whether something else than the session has time and hands."""
        return self._lent is not None

    def lend(self, lent: Lent) -> None:
        """Freeze the session, and let something else have time and hands until they are taken back."""
        self.take_back()
        self.session.freeze()
        self.operator.let_go()
        self._own, self._lent, self.operator = self.operator, lent, lent.operator
        self.pace = Pace()
        self.wake()

    def take_back(self) -> None:
        """Let the session have time and hands again; it stands where it stood, frozen."""
        lent, self._lent = self._lent, None
        if lent is not None and self._own is not None:
            lent.timed.freeze()
            lent.operator.let_go()
            self.operator, self._own = self._own, None
            self.pace = Pace()

    def translate(self) -> None:
        """Let the session's equations become machine code where they can and are to; time goes on meanwhile."""
        if self.machine_code and self.translator is not None:
            self.session.solver.translate(self.translator, self.session.x, self.session.pu)

    def keep(self) -> None:
        """Keep for the next start what was found of the rigs that were opened."""
        if self.kept is not None:
            self.kept.write()

    def set_machine_code(self, on: bool) -> None:
        """Let the solver have machine code from now on, or do without."""
        self.machine_code = on
        if on:
            self.translate()
        else:
            self.session.solver.use_virtual_machine()

    # -- frames ------------------------------------------------------------------------------------------------

    def start(self) -> None:
        """Let the frame timer run."""
        self._wakes_for = _AWAKE
        self._last = self.clock()
        self._frames.start()

    def stop(self) -> None:
        """Let the frame timer stand."""
        self._frames.stop()

    def pause_frames(self, on: bool) -> None:
        """Let the frame timer stand while something long is done, and go on; frames that were due are dropped."""
        if on:
            self.wake()
            self._paused = self._frames.isActive()
            self._frames.stop()
        elif self._paused:
            self.start()

    def _frame(self) -> None:
        now = self.clock()
        seconds, self._last = now - self._last, now
        self.tick(max(seconds, 0.0))
        self._wakes_for -= seconds
        if self._wakes_for < 0.0 and not self.timed.running:
            self._sleep()

    def tick(self, seconds: float) -> None:
        """Move everything by a stretch of wall time [s]; levers and needles by at most ``LONGEST_TICK``.

        Where the picture is not due, time has passed and is recorded all the same.
        """
        session, timed = self.session, self.timed
        self.sample()
        if timed is session:
            self.hands(min(seconds, LONGEST_TICK) * session.speed if session.running else 0.0)
        self.move_hands(min(seconds, LONGEST_TICK))
        given, self._given = self._given, False
        before, begun = timed.time, self.clock()
        calls = timed.tick(seconds, self.clock)
        taken = self.clock() - begun
        self._unshown += seconds
        self._unshown_passed += timed.time - before
        self._hand = (given and not self._moving) or (self._hand and not calls and timed.running)
        self._moving = given
        calls_a_second = 60.0 * timed.calls_a_frame if timed.running else 0.0
        due = self.pace.pass_time(seconds, taken, calls_a_second, self._hand)
        if not due and calls and timed is session and session.watch is not None:
            session.watch(session.readings)
        self.pace.solved(calls, self.clock() - begun)
        if due:
            self._picture(taken)

    def _picture(self, taken: float) -> None:
        """Show what has passed since the last picture; the solver has taken some wall seconds of this frame."""
        seconds, passed = self._unshown + taken, self._unshown_passed
        self._unshown, self._unshown_passed = -taken, 0.0  # this frame's will be counted at the next one
        self._hand = False
        begun = self.clock()
        self.show(min(seconds, LONGEST_TICK), passed)
        self.passed.emit(seconds, taken > _HARD)  # where the solver leaves little of this frame what can wait does
        self.pace.shown(self.clock() - begun)

    def move_hands(self, seconds: float = 0.0) -> bool:
        """Let the operator act for some wall seconds, give the session what changed, and return whether that is."""
        lent, operated = self._lent, self._operated
        if self.covers.frozen:
            self.operator.take(operated)  # whatever a hand has tried
        given = self.operator.move(seconds, operated)
        self._given = self._given or bool(given)
        (self.given.emit if lent is None else lent.given)(given)
        return bool(given)

    @property
    def _operated(self) -> Operated:
        """What hands move."""
        return self.session if self._lent is None else self._lent.operated

    # -- a frozen board rests ----------------------------------------------------------------------------------

    @property
    def asleep(self) -> bool:
        """Whether the timer stands until somebody does something."""
        return self._asleep

    def _sleep(self) -> None:
        """Let the timer stand until somebody does something: nothing that is shown moves by itself."""
        app = QCoreApplication.instance()
        if app is not None:
            self._frames.stop()
            self._asleep = True
            app.installEventFilter(self)

    def wake(self) -> None:
        """Let frames pass again, for as long at least as a message stands."""
        self._wakes_for = _AWAKE
        if self._asleep:
            self._asleep = False
            app = QCoreApplication.instance()
            if app is not None:
                app.removeEventFilter(self)
            self.start()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Wake at whatever a person does; only asked while asleep."""
        if event.type() in _DEEDS:
            self.wake()
        return False

    # -- what is shown -----------------------------------------------------------------------------------------

    def show(self, seconds: float, passed: float) -> None:
        """Show the session's instant after some wall seconds, ``passed`` of model time."""
        if self._lent is not None:
            self._lent.show(seconds, passed)
            return
        live = self.session.readings
        moved, self._shown = live is not self._shown, live
        self.instant.emit(live, seconds, passed, moved)

    def show_now(self) -> None:
        """Show the session's instant everywhere at once, levers and needles too, where time did not flow there."""
        self.wake()
        self.operator.take(self._operated)
        if self._lent is None:
            self.rewound.emit()
        self.show_anew(1.0)

    def show_change(self) -> None:
        """Show at once, and everywhere at one instant, what was just changed of the rig."""
        self.wake()
        self.show(0.0, 0.0)
        self.renewed.emit()

    def show_anew(self, seconds: float = 0.0) -> None:
        """Show the session's instant as one that was not shown before, figures and all."""
        self.wake()
        self._shown = None
        self.show(seconds, 0.0)
        self.changed.emit()
        self.renewed.emit()

    # -- what can be asked -------------------------------------------------------------------------------------

    def run(self, on: bool = True) -> None:
        """Run or freeze the clock; it stays frozen while somebody holds it."""
        self.wake()
        if not on:
            self.timed.freeze()
        elif not self._held():
            self.timed.run()
        self.changed.emit()

    def _held(self) -> bool:
        """Whether somebody keeps the clock frozen; it is said why."""
        if self.covers.frozen:
            self.said.emit(f"{self.covers.frozen}.")
        return bool(self.covers.frozen)

    def change_running(self) -> None:
        """Run if frozen, freeze if running."""
        self.run(not self.timed.running)

    def step(self, seconds: float) -> None:
        """Freeze, and move on by some model time [s]."""
        self.wake()
        if self._held():
            return
        before = self.timed.time
        self.timed.step(seconds)
        self.show(FRAME, self.timed.time - before)
        self.changed.emit()

    def set_speed(self, speed: float) -> None:
        """Choose the speed of the clock."""
        self.wake()
        self.timed.speed = speed
        self.changed.emit()

    def reset(self) -> None:
        """Return to the start, levers and loads and all; what has run is forgotten, the machine stays as it is."""
        if self._held():
            return
        try:
            self.timed.reset()
        except SolverError as error:
            self.said.emit(
                tr("No start can be found with these numbers: {error} Nothing was forgotten.").format(error=error)
            )
            return
        if self._lent is None:
            self.restarted.emit()
        self.show_now()

    def rewind(self, time: float) -> None:
        """Freeze, and show an instant that has been [s]; going on from there gives up what came after."""
        if self._held():
            return
        self.timed.rewind(time)
        self.show_now()

    def refit(self, instruments: Mapping[str, Instrument]) -> None:
        """Fit other instruments to the session's rig; time, levers and everything else stay. Raises RigError."""
        self.session.refit(replace(self.session.rig, instruments=dict(instruments)))
        self.refitted.emit()
        self.show_anew(1.0)
