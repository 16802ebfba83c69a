"""A monkey at lever practice: keys, mouse, fingers and sticks at once, pauses, other gauges, begun again and again.

What it does follows from its seed alone; by turns it works as a practised hand does and only disturbs that, so that
logs are taken, carried and let fall too. After each attempt all that was kept of it is looked at.
"""

from __future__ import annotations

import math
from collections import Counter, deque
from collections.abc import Callable
from random import Random

import numpy as np
from board_moves import FRAME, Clock, there
from ledgers import flow_ledger, open_by, power_ledger
from practice_hands import Hand
from practice_moves import CONTROL, desk_of, focused, id_of, press
from practice_scripts import CLUMSY, PRACTISED
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QPointingDevice
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from virtual_pads import VirtualPad

from trainer.engine.session import Session
from trainer.measuring.instruments import RANGES, places
from trainer.parts.part import Kind
from trainer.practice.attempt import Attempt, State, session_of
from trainer.practice.score import Score
from trainer.window.board.lever_view import LeverView
from trainer.window.dials.presenter import DialsPresenter
from trainer.window.practice.live import Live
from trainer.window.practice.run_rack import RunLever
from trainer.window.shell.window import BoardWindow

__all__ = ["PracticeMonkey"]

_LAST = 15  # actions that are told after a failure
_NOTHING, _WATT = 1e-10, 1e-2  # m3/s and W: what is less is that all stands
_VACUUM = -0.98e5  # Pa: where oil is torn apart
_BOOKED, _TORN = 1e-9, 1e-7  # share by which a ledger may miss its total; where oil is torn the law is rounded
_MOST = 8  # instruments that a rig may have
_CALM = 0.95  # share of the actions in which a practised hand is left alone
_OFTEN = 20  # actions between two looks at the books
_LEFT, _SHIFT = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.ShiftModifier
_STICKS = {True: ("left across", "left along", "right across", "right along"), False: ("across", "along", "twist")}


class PracticeMonkey:
    """Practises at one window. ``screen`` is a touch screen, ``plug_in`` brings one more controller.

    ``seconds`` is the model time that has passed in all attempts, ``ended`` how they ended; ``carried`` counts the
    looks at which a log hung in the tongs, ``lowest`` is where the tip or the middle of a log has been [m].
    """

    def __init__(
        self, window: BoardWindow, seed: int, warnings: Callable[[], list[str]], screen: QPointingDevice,
        plug_in: Callable[[bool], VirtualPad],
    ) -> None:  # fmt: skip
        self.window, self.seed, self.warnings, self.screen, self.plug_in = window, seed, warnings, screen, plug_in
        assert isinstance(window.clock, Clock)
        self.clock = window.clock
        self.desk = desk_of(window)
        self.dice = Random(seed)
        self.done: deque[str] = deque(maxlen=_LAST)
        self.count = 0
        self.seconds = 0.0
        self.ended: Counter[str] = Counter()
        self.lowest, self.carried = 1.0, 0
        self.pads: list[VirtualPad] = []
        self.keys: set[Qt.Key] = set()
        self.dragging: LeverView | None = None
        self.finger: tuple[LeverView, QPoint] | None = None
        self.hand: Hand | None = None
        self.kept = 0
        self.was: tuple[Live | None, Session | None, float] = None, None, 0.0
        self.ways: list[tuple[int, Callable[[], str]]] = [
            (14, self._hold), (10, self._let_go), (8, self._drag), (8, self._touch), (10, self._push),
            (4, self._centre), (1, self._come_or_go), (4, self._grip), (1, self._gauge), (1, self._look),
            (1, self._size), (1, self._aid), (1, self._pause), (1, self._again), (1, self._elsewhere),
            (1, self._speed), (8, self._wait),
        ]  # fmt: skip

    # -- going on ------------------------------------------------------------------------------------------------

    def go(self, code: str, seconds: float) -> None:
        """Practise a rung for so much model time, attempt after attempt."""
        self.until = self.seconds + seconds
        self._begin(code)
        while self.seconds < self.until:
            self.count += 1
            try:
                (way,) = self.dice.choices([way for _, way in self.ways], [weight for weight, _ in self.ways])
                if self.hand is not None and self.dice.random() < _CALM:
                    way = self._wait
                self.done.append(way.__name__.strip("_"))
                self.done[-1] = f"{self.done[-1]} {way()}"
                self._pass_time(self.dice.choice((1, 3, 10, 30)))
                self._look_round()
                self._begin(code)
            except Exception as error:
                last = "\n  ".join(self.done)
                raise AssertionError(
                    f"seed {self.seed}, action {self.count}, {code}: {type(error).__name__}: {error}\n  {last}"
                ) from error
        self._let_all_go()
        self.desk.end()
        if self.desk.live is not None:
            self._look_at_what_was_kept()
        self.desk.leave()

    @property
    def live(self) -> Live:
        """The attempt that is under way."""
        return there(self.desk.live)

    def _begin(self, code: str) -> None:
        """Begin once more where the attempt is over, or another screen is shown."""
        run, live = self.desk.run, self.desk.live
        if live is None or live.over or run is None or self.window.stage.screen is not run:
            self._let_all_go()
            self.desk.end()
            live = self.desk.live
            if live is not None:
                self._look_at_what_was_kept()
                if live.over and live.attempt.traces and self.dice.random() < 0.1:
                    self._see_it_run()
            self.kept = len(self.desk.book.all(self.desk.seat))
            assert self.desk.start(id_of(self.desk, code), self.dice.choice(("", "path")))
            self.hand = None
            if self.dice.random() < 0.5:
                hands = self.dice.choice((PRACTISED, CLUMSY))
                self.hand = hands[code](self.live.attempt.lap)

    def _pass_time(self, frames: int) -> None:
        for _ in range(frames):
            live, session = self.desk.live, self.window.session
            if self.hand is not None and live is not None and live.attempt.values and not live.over:
                if self.dice.random() < 0.02:  # thrown out of what it was about
                    self.hand = None if self.dice.random() < 0.02 else self.hand
                else:
                    self._work(self.hand, live.attempt)
            self.clock.now += FRAME
            before = session.time
            self.window.tick(FRAME)
            if session is self.window.session:
                self.seconds += max(session.time - before, 0.0)
        QApplication.processEvents()

    def _work(self, hand: Hand, attempt: Attempt) -> None:
        levers = self.window.controller.operator.levers
        for name, wanted in hand(attempt.lap_seconds, attempt.values).items():
            motion = levers[name]
            step = min(max(wanted - motion.value, -2.0 * FRAME), 2.0 * FRAME)
            if not (motion.pressed or motion.dragged or motion.led):
                motion.set_exactly(motion.value + step)

    def _look_round(self) -> None:
        window = self.window
        now, (live, session, time) = window.session, self.was
        same = live is not None and live is self.desk.live and session is now  # a lap may have its own
        assert not same or now.time >= time, "time went back"
        self.was = self.desk.live, now, now.time
        assert not window.troubles.seen, window.troubles.seen
        complaints = self.warnings()
        assert not complaints, complaints
        assert window.isVisible(), "the window is gone"
        session = window.session
        assert not session.trouble, session.trouble
        assert np.isfinite(session.x).all()
        self._look_at_the_ground(session)
        if self.count % _OFTEN == 0:
            self._look_at_the_books(session)

    def _look_at_the_books(self, session: Session) -> None:
        residual, size = (float(value) for value in session.network.balance(session.x, session.pu))
        rig = session.rig
        torn = any(session.readings.pressure(line) < _VACUUM for line, of in rig.lines.items() if of.kind is Kind.OIL)
        share = _TORN if torn else _BOOKED
        assert abs(residual) <= share * max(size, _WATT), f"the balance is open by {residual:g} of {size:g}"
        assert open_by(flow_ledger(session), _NOTHING) <= _BOOKED
        assert open_by(power_ledger(session), _WATT) <= share

    def _look_at_the_ground(self, session: Session) -> None:
        if "3W1" not in session.rig.parts:
            return
        live, pivot = session.readings, session.number("3W1", "pivot")
        roll, high = live.state("1W1", "roll"), pivot + live.value("3W1", "tip_height")
        side = live.value("3W1", "reach") * math.sin(live.place("slew"))
        tip = live.value("3W1", "pivot_height") - pivot + high * math.cos(roll) + side * math.sin(roll)
        logs = [live.value("3W1", f"log{k}_at_up") for k in (1, 2, 3)]
        self.lowest, self.carried = min(self.lowest, tip, *logs), self.carried + (live.value("3W1", "held") > 1.0)
        assert tip > 0.0, f"the tip is {tip:g} m under the ground"
        assert min(logs) > 0.05, f"the middles of the logs are at {logs} m"

    def _look_at_what_was_kept(self) -> None:
        """The attempt in the book, and the same numbers again from what the sessions have recorded."""
        live = self.live
        attempt = live.attempt
        state = "given up" if attempt.state in (State.READY, State.LAP_DONE) else attempt.state.value
        self.ended[state] += 1
        book = self.desk.book.all(self.desk.seat)
        assert len(book) == self.kept + live.recorded, (len(book), self.kept, live.recorded)
        if live.recorded:
            assert (book[-1].task, book[-1].state) == (live.task.id, attempt.state.value)
            assert book[-1].seconds == round(attempt.seconds, 2)
        for session in live.sessions:
            assert session.rough_calls == 0, "an emergency step was made"
            self._look_at_the_books(session)
        again = Attempt(live.task, self.desk.seat, live.number)
        for k, session in enumerate(live.sessions):
            if k:
                again.next_lap()
            self._repeat(again, session)
        if attempt.state is State.STOPPED:
            again.stop()
        assert again.state is attempt.state, (again.state, attempt.state)
        assert len(again.traces) == len(attempt.traces)
        for one, trace in zip(again.traces, attempt.traces, strict=True):
            assert one.times.tobytes() == trace.times.tobytes()
            for name, values in trace.values.items():
                assert one.values[name].tobytes() == values.tobytes(), f"{name} is not what is repeated"
        if attempt.state is State.DONE:
            score = Score.of(attempt)
            assert score.values == Score.of(again).values
            assert not attempt.counts or all(np.isfinite([*score.values.values()]))

    def _repeat(self, again: Attempt, session: Session) -> None:
        """Let an attempt take what a session has recorded, in another session: the same bits come of it."""
        other = session_of(again.task, again.lap, self.window.controller.kept)
        again.take(other.readings)
        other.replay(list(session.record), seen=lambda: again.take(other.readings))
        assert other.time == session.time
        assert other.x.tobytes() == session.x.tobytes()
        assert other.totals.tobytes() == session.totals.tobytes()

    # -- hands ---------------------------------------------------------------------------------------------------

    def _levers(self) -> list[LeverView]:
        """Levers of the task, and seldom another one."""
        known, task = there(self.desk.run).rack.levers, self.live.task
        return [view for name, view in known.items() if name in task.levers or self.dice.random() < 0.003]

    def _hold(self) -> str:
        lever = self.dice.choice(self._levers())
        pair = lever.pair if isinstance(lever, RunLever) else ""
        if not pair:
            return "no keys"
        key = Qt.Key(ord(self.dice.choice(pair)))
        QTest.keyPress(focused(self.window), key, self.dice.choice((_SHIFT, Qt.KeyboardModifier.NoModifier)))
        self.keys.add(key)
        return f"{key.name}"

    def _let_go(self) -> str:
        keys, self.keys = self.keys, set()
        for key in sorted(keys):
            QTest.keyRelease(focused(self.window), key)
        for motion in self.window.controller.operator.levers.values():
            if motion.held and self.hand is None:
                motion.set_exactly(0.0)
        return ", ".join(key.name for key in keys)

    def _drag(self) -> str:
        lever, self.dragging = self.dragging, None
        if lever is not None:
            QTest.mouseRelease(lever, _LEFT, pos=lever.rect().center())
            return "let go"
        lever = self.dice.choice(self._levers())
        at = lever.rect().center()
        QTest.mousePress(lever, _LEFT, pos=at)
        QTest.mouseMove(lever, at + QPoint(self.dice.randint(-60, 60), self.dice.randint(-60, 60)))
        self.dragging = lever
        return lever.control_name

    def _touch(self) -> str:
        if self.finger is not None:
            lever, at = self.finger
            self.finger = None
            QTest.touchEvent(lever, self.screen).release(0, at, lever).commit()
            return "let go"
        lever = self.dice.choice(self._levers())
        at = lever.rect().center()
        QTest.touchEvent(lever, self.screen).press(0, at, lever).commit()
        at += QPoint(self.dice.randint(-80, 80), self.dice.randint(-80, 80))
        QTest.touchEvent(lever, self.screen).move(0, at, lever).commit()
        self.finger = lever, at
        return lever.control_name

    def _push(self) -> str:
        if not self.pads:
            return "no pad"
        pad = self.dice.choice(self.pads)
        name = self.dice.choice(_STICKS[pad.both])
        share = self.dice.choice((0.0, self.dice.uniform(-1.0, 1.0)))
        pad.put(name, share)
        return f"{name} to {share:.2f}"

    def _centre(self) -> str:
        for pad in self.pads:
            for name in _STICKS[pad.both]:
                pad.put(name, 0.0)
        return ""

    def _come_or_go(self) -> str:
        if len(self.pads) < 2 or self.dice.random() < 0.5:
            self.pads.append(self.plug_in(self.dice.random() < 0.6))
            return "one more"
        self.pads.pop(self.dice.randrange(len(self.pads))).pull_out()
        return "one less"

    def _grip(self) -> str:
        levers = self.window.controller.operator.levers
        if "5V1.lever" not in self.live.task.levers:
            return "no tongs"
        value = self.dice.choice((-0.7, -0.3, 0.0, 0.7, 1.0))
        levers["5V1.lever"].set_exactly(value)
        return f"{value}"

    def _wait(self) -> str:
        self._pass_time(30)
        return ""

    def _let_all_go(self) -> None:
        if self.finger is not None:
            self._touch()
        if self.dragging is not None:
            self._drag()
        self._let_go()
        self._centre()
        for motion in self.window.controller.operator.levers.values():
            motion.forget()
            motion.set_exactly(0.0)

    # -- what can be asked ---------------------------------------------------------------------------------------

    def _gauge(self) -> str:
        """Fit or take off at once, without the steps that a person is led through on the board."""
        rig, dials = self.window.session.rig, self.window.presenter(DialsPresenter)
        fitted = dict(rig.instruments)
        if fitted and self.dice.random() < 0.5:
            name = self.dice.choice([*fitted])
            del fitted[name]
            told = f"{name} off"
        else:
            kind = self.dice.choice([*RANGES])
            found = [place.on for place in places(rig, kind)]
            if not found or len(fitted) == _MOST:
                return "nowhere"
            made = dials.usual(kind, self.dice.choice(found))
            fitted[made.name] = made
            told = f"{made.name} on {made.on}"
        self.window.refit(fitted)
        return told

    def _look(self) -> str:
        change = self.dice.choice(("theme", "units", "projector"))
        self.window.stage.actions[change].trigger()
        return change

    def _size(self) -> str:
        size = self.dice.choice(((960, 540), (1280, 720), (1366, 768), (1024, 900)))
        self.window.resize(*size)
        return f"{size}"

    def _aid(self) -> str:
        aid = self.dice.choice(self.live.task.aids)
        self.desk.choose_aid(aid)
        return aid

    def _pause(self) -> str:
        if self.dice.random() < 0.7:  # the clock alone, as from elsewhere; a lever goes on
            self.window.controller.run(False)
            return "frozen"
        press(self.window, Qt.Key.Key_Space)
        return "Space"

    def _again(self) -> str:
        if self.dice.random() < 0.7:
            return "not now"
        press(self.window, Qt.Key.Key_Home, CONTROL)
        self._after_again()
        return ""

    def _after_again(self) -> None:
        self.hand = None
        self.kept = len(self.desk.book.all(self.desk.seat))

    def _elsewhere(self) -> str:
        """Another screen, or the ladder; begun once more from there."""
        if self.dice.random() < 0.6:
            return "not now"
        key, modifier = self.dice.choice(
            ((Qt.Key.Key_Escape, Qt.KeyboardModifier.NoModifier), (Qt.Key.Key_H, CONTROL),
             (Qt.Key.Key_F1, Qt.KeyboardModifier.NoModifier))
        )  # fmt: skip
        press(self.window, key, modifier)
        return key.name

    def _speed(self) -> str:
        speed = self.dice.choice((1.0, 1.0, 1.0, 0.5, 2.0, 4.0))
        self.window.set_speed(speed)
        return f"{speed:g}"

    def _see_it_run(self) -> None:
        self.desk.see_it_run()
        replay = self.desk.replay
        if replay is not None and self.window.stage.screen is replay:
            for _ in range(5):
                replay.show_at(self.dice.uniform(0.0, replay.until))
                if self.dice.random() < 0.4:
                    replay.show_view(self.dice.choice(("books", "machine")))
                self._pass_time(3)
            press(self.window, Qt.Key.Key_Escape)
