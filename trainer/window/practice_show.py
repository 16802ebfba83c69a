"""Lever practice for pictures of it: a ladder that somebody stands on, a run, a card, each made by a steady hand."""

from __future__ import annotations

import shutil
import tempfile
import weakref
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path

from trainer.engine.session import FRAME
from trainer.practice.catalogue import MEASURES
from trainer.practice.kept import Book, Done, conditions_of
from trainer.practice.score import band_of
from trainer.practice.task import Task
from trainer.window.practice.desk import PracticeDesk
from trainer.window.practice.presenter import PracticePresenter
from trainer.window.shell.window import BoardWindow

__all__ = ["PracticeShow"]

_SHARES = (2.6, 2.2, 1.5, 1.3, 0.9, 0.8, 0.9, 0.7)  # of what a practised hand does, attempt after attempt
_MOST = 30.0  # s of a run
_AIDS = (0, 0, 0, 0, 0, 0, 1, 1, 2, 2, 3, 3)  # the aid of each attempt


class PracticeShow:
    """Shows screens of practice in a window; attempts are kept in a folder that goes with it."""

    def __init__(
        self, window: BoardWindow, let_pass: Callable[[BoardWindow, float], object] = lambda *_: None
    ) -> None:
        self.window, self.let_pass = window, let_pass
        self._filled = False

    def screens(self) -> Iterator[tuple[str, Callable[[], object]]]:
        """Yield (name, what shows it)."""
        swings = self.window.board.machine.exists
        yield "ladder", lambda: self._desk().show_ladder()
        yield "practice-ready", lambda: self._start("E11" if swings else "E1")
        yield "practice-run", lambda: self.run("E11" if swings else "E1", 2.5)
        yield "practice-laps", lambda: self.run("E6", 2.5, "gauge")
        yield "practice-score", lambda: self.run("E4" if swings else "E1", _MOST)
        yield "practice-replay", self._replay

    def _desk(self) -> PracticeDesk:
        desk = self.window.presenter(PracticePresenter).desk
        if not self._filled:
            self._filled = True
            folder = tempfile.mkdtemp()
            weakref.finalize(self.window, shutil.rmtree, folder, ignore_errors=True)
            desk.book = _filled(Path(folder), desk)
        return desk

    def begin(self, code: str) -> str:
        """Begin an attempt with its first lever, and return which that is."""
        desk = self._start(code, "path")
        assert desk.live is not None
        lever = desk.live.task.levers[0]
        self.window.controller.operator.levers[lever].set_exactly(0.2)
        for _ in range(3):
            self.window.tick(FRAME)
        return lever

    def end(self) -> None:
        """Bring back what was open."""
        self._desk().leave()

    def _start(self, code: str, aid: str = "") -> PracticeDesk:
        desk = self._desk()
        desk.start(next(task.id for task in desk.tasks if task.code == code), aid)
        return desk

    def run(self, code: str, seconds: float, aid: str = "path") -> None:
        """Let a steady hand make an attempt, or so many seconds of it."""
        desk = self._start(code, aid)
        live = desk.live
        passed = 0.0
        while live is not None and not live.over and passed < seconds:
            name = live.task.levers[0]
            self.window.controller.operator.levers[name].set_exactly(_steady(desk, passed))
            self.window.tick(FRAME)
            passed += FRAME
        self.let_pass(self.window, 0.1)

    def _replay(self) -> None:
        desk = self._desk()
        self.run("E4" if self.window.board.machine.exists else "E1", _MOST)
        desk.see_it_run()
        if desk.replay is not None:
            desk.replay.show_at(0.4 * desk.replay.until)


def _steady(desk: PracticeDesk, passed: float) -> float:
    """Return where a steady hand has the lever [share of its travel]."""
    live = desk.live
    assert live is not None
    roles, values = live.attempt.lap.roles, live.attempt.values
    if roles.target is None or roles.place not in values:
        return min(0.3 + 0.06 * passed, 0.62)
    left = roles.target[0] - values[roles.place]
    if roles.sway:  # gently, and back in time
        return min(0.44, 0.2 + 0.3 * passed) if left > 0.45 else 0.0
    within = roles.within[0] if roles.within is not None else 0.0
    if abs(left) < 0.5 * within:
        return 0.0
    return min(0.5 + 4.0 * min(0.06, left) + 0.01 * passed, 0.1 + 0.6 * passed) if left > 0 else -0.22


def _filled(folder: Path, desk: PracticeDesk) -> Book:
    """Return a book with the attempts of some days."""
    book = Book(folder)
    now = desk.now().replace(hour=9, minute=0, second=0, microsecond=0)
    tasks = [task for task in desk.tasks if task.runs]
    for k, task in enumerate(tasks[:9]):
        count = 12 - k
        for n in range(count):
            days = 3 - (3 * n) // count if k > 2 else 4 - min(n // 3, 3)
            book.add(task, _made(task, now - timedelta(days=days) + timedelta(minutes=5 * k + n), n, desk.seat), ())
    return book


def _made(task: Task, when: datetime, n: int, seat: int) -> Done:
    share = _SHARES[min(n, len(_SHARES) - 1)]
    values = {}
    for id_ in task.shown:
        limit = task.bands[id_].practised[0]
        value = limit * share if MEASURES[id_].less else min(limit * (1.2 - 0.25 * share), 0.98)
        values[id_] = float(round(value)) if MEASURES[id_].whole(len(task.laps)) else value
    first = task.shown[0]
    aid = task.aids[min(_AIDS[min(n, len(_AIDS) - 1)], len(task.aids) - 1)]
    band = band_of(first, values[first], task.bands[first]).value
    return Done(when, task.id, seat, "done", aid, conditions_of(task), True, values, band, False, 20.0 + n)
