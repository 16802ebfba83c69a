"""A crash loses little: what is open is kept in a file while it changes, and offered again at the next start."""

from __future__ import annotations

import contextlib
import stat
import threading
import time
from collections.abc import Hashable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QDateTime, QLockFile, QStandardPaths, Qt, QUuid
from PySide6.QtGui import QGuiApplication

from trainer import files
from trainer.changing.recovery import (
    LOCK,
    SUFFIX,
    CallLines,
    UnsavedRun,
    found,
    orphans,
    pack,
    passed_over,
    read,
    set_aside,
    take_up,
    texts_kept,
)
from trainer.engine.readings import Readings
from trainer.engine.session import Session
from trainer.errors import SpoolroomError
from trainer.language import tr
from trainer.rig.rig import Rig
from trainer.window.ledgers.presenter import LedgersPresenter
from trainer.window.recovery.past import Page, Past
from trainer.window.recovery.progress import GivenUp, Progress
from trainer.window.rig.presenter import RigPresenter
from trainer.window.session.controller import SessionController
from trainer.window.session.presenter import Presenter
from trainer.window.session.stage import Stage

if TYPE_CHECKING:
    from trainer.window.recovery.pane import RecoveryPane

__all__ = ["RecoveryPresenter", "recovery_folder"]

_FEW = 5  # files that are looked at when a window opens: each costs some hundredths of a second
_SWEPT = 20  # locks that are looked at when a window opens: each is a write to the disk
_EMPTY = 60.0  # a lock without its owner's name is that of a program which ended while it wrote it, after so long [s]
EVERY, SOON = 5.0, 0.5  # wall seconds between two writings: while it runs, and after a change of the rig


def recovery_folder() -> Path:
    """Return the folder of this user's recovery files."""
    state = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.GenericStateLocation)
    return Path(state) / "spoolroom" / "recovery"


def _lock_of(path: Path) -> QLockFile:
    lock = QLockFile(str(path.with_suffix(LOCK)))
    lock.setStaleLockTime(0)  # a lock is given up by the end of its owner, not by its age
    return lock


def _taken(path: Path) -> QLockFile | None:
    """Return the lock of a file once it is held here, None where its owner lives or where no lock can be."""
    place = path.with_suffix(LOCK)
    with contextlib.suppress(OSError):
        there = place.lstat()
        if not stat.S_ISREG(there.st_mode):  # a pipe would be waited for
            return None
        if there.st_size == 0 and time.time() - there.st_mtime > _EMPTY:
            place.unlink()
    lock = _lock_of(path)
    return lock if lock.tryLock(0) else None


def _new_name() -> str:
    return QUuid.createUuid().toString(QUuid.StringFormat.WithoutBraces) + SUFFIX


class RecoveryPresenter(Presenter[Page]):
    """Keeps one file for this window, with a lock while it lives; closed with all saved it leaves none.

    Nothing is written before ``begin``. Files whose owner is gone are offered one after the other.
    """

    folder: Path | None = None

    def __init__(
        self, controller: SessionController, stage: Stage, rig: RigPresenter, ledgers: LedgersPresenter
    ) -> None:
        super().__init__(controller, stage)
        self.rig, self.ledgers = rig, ledgers
        self.lines = CallLines()
        self.pane: RecoveryPane | None = None
        self.offers: list[tuple[Path, UnsavedRun]] = []
        self.older = 0  # files that were not looked at
        self.failure = ""
        self.aside = False  # what is open is kept by somebody else
        self._held: dict[Path, QLockFile] = {}  # of files that are offered
        self._texts = texts_kept()
        self._changed: tuple[Hashable, Rig] | None = None  # the rig of the last file, after its stamp
        self._steps: Iterator[object] | None = None
        self._writing: threading.Thread | None = None
        self._written: Hashable = None  # what was there when it was last written
        self._rig_written: Hashable = None
        self._last = 0.0
        self._told = ""

    def begin(self, folder: Path) -> None:
        """Keep a file in a folder from now on, and offer what others have left there."""
        self.folder = folder
        try:
            files.own_folder(folder)
        except OSError as error:
            self.failure = files.reason(error)
            self.folder = None
            self._tell_failure()
            return
        self.file = folder / _new_name()
        self.lock = _lock_of(self.file)
        self.lock.tryLock(0)
        self._last = self.controller.clock()
        self._written, self._rig_written = self._stamps()
        self._seek()
        self._offer()

    # -- keeping ---------------------------------------------------------------------------------------------------

    def show_instant(self, live: Readings, seconds: float, passed: float) -> None:
        """Follow the calls of the session."""
        if self.folder is not None:
            self.lines.follow(self.session)

    def show_figures(self, seconds: float) -> None:
        """Write where something has changed: soon after a change of the rig, else every few seconds."""
        if self.folder is None or self.aside:
            return
        if self._steps is not None:  # one piece of work at a time, so that no frame is long
            if next(self._steps, None) is None:
                self._steps = None
            return
        if self._writing is not None and self._writing.is_alive():
            return
        self._tell_failure()
        now = self.controller.clock()
        if now - self._last < SOON:
            return
        stamp, rig = self._stamps()
        if stamp != self._written and (rig != self._rig_written or now - self._last >= EVERY):
            self._last, self._written, self._rig_written = now, stamp, rig
            self._steps = self._work(self._unsaved(rig))

    def _work(self, unsaved: UnsavedRun) -> Iterator[object]:
        """Make the text of a file piece by piece, then write it beside the window: no disk holds a frame up."""
        yield self._texts(unsaved.original)
        yield self._texts(unsaved.built)
        yield self._texts(unsaved.changed)
        text = pack(unsaved, self._texts)
        yield text
        self._writing = threading.Thread(target=self._write, args=(text,), daemon=True)
        self._writing.start()

    def stand_aside(self, on: bool) -> None:
        """Keep nothing of what is open now, as somebody else does, or keep it again."""
        if on == self.aside:
            return
        self.aside, self._steps = on, None
        if self.folder is None:
            return
        if on:
            if self._writing is not None:
                self._writing.join(5.0)
            with contextlib.suppress(OSError):
                self.file.unlink(missing_ok=True)
        else:
            self._written, self._rig_written = self._stamps()

    def _stamps(self) -> tuple[Hashable, Hashable]:
        session, changes = self.session, self.rig.changes
        rig = changes.stamp()
        rig = rig, len(changes.done), *changes.done[-1:], len(changes.undone), frozenset(changes.loose)
        controls = tuple(self._controls().values())
        return (rig, len(session.history), session.time, controls, tuple(self.controller.marks)), rig

    def _controls(self) -> dict[str, float]:
        """Return what is asked of all that is the run's: levers, speeds, loads, oil."""
        session, known = self.session, self.rig.changes.known
        run = [name for name, about in known.items() if about.run and not about.control]
        return {name: session.asked(name) for name in (*session.rig.controls(), *run)}

    def _unsaved(self, stamp: Hashable) -> UnsavedRun:
        session, changes = self.session, self.rig.changes
        self.lines.follow(session)
        if self._changed is None or stamp != self._changed[0]:
            self._changed = stamp, changes.changed_rig()
        return UnsavedRun(
            QDateTime.currentDateTime().toString("yyyy-MM-dd HH:mm"),
            changes.original,
            session.rig,
            self._changed[1],
            session.time,
            self._controls(),
            tuple(self.controller.marks),
            self.lines.lines(),
            numbers=session.record.numbers,
            done=tuple(changes.done),
            undone=tuple(changes.undone),
            loose=tuple(sorted(changes.loose)),
        )

    def _write(self, text: str) -> None:
        try:
            files.write(self.file, text, private=True)
        except OSError as error:
            self.failure = files.reason(error)
        else:
            self.failure = ""

    def _tell_failure(self) -> None:
        if self.failure and self.failure != self._told:
            self._told = self.failure
            self.stage.tell(
                tr("The recovery file cannot be written ({failure}). Save the rig yourself (Ctrl+S).").format(
                    failure=self.failure
                ),
                True,
            )

    def unsaved(self) -> str:
        """Return what is not saved of the open rig, as the text of a recovery file; nothing where all is saved."""
        if self.folder is None or self.aside or not self.rig.changes.different():
            return ""
        return pack(self._unsaved(self._stamps()[1]), self._texts)

    def lay_by(self, unsaved: str) -> Path | None:
        """Leave what was not saved of a rig that is gone to the next start; return where it is, None if nowhere."""
        assert self.folder is not None
        self._steps = None
        path = self.folder / _new_name()
        try:
            files.write(path, unsaved, private=True)
        except OSError as error:
            self.failure = files.reason(error)
            return None
        return path

    def close(self) -> None:
        """Take the file away where all is saved; changes of the rig that are not stay, to be offered again."""
        if self.folder is None:
            return
        self.folder = None
        if self._writing is not None:
            self._writing.join(5.0)
        if self.rig.changes.different() and not self.aside:
            self._write(pack(self._unsaved(self._stamps()[1]), self._texts))
        else:
            with contextlib.suppress(OSError):
                self.file.unlink(missing_ok=True)
        self.lock.unlock()
        for lock in self._held.values():
            lock.unlock()
        self._held.clear()

    # -- offering --------------------------------------------------------------------------------------------------

    def _seek(self) -> None:
        """Find the newest few files whose owners are gone; one that cannot be used is told."""
        assert self.folder is not None
        self._sweep(self.folder)
        told = [
            tr("{name} in {folder} is no file, and was passed over.").format(name=name, folder=self.folder)
            for name in passed_over(self.folder)[:_FEW]
        ]
        waiting = [path for path in found(self.folder) if path != self.file]
        seen = 0
        for path in waiting:
            if len(self.offers) + len(told) >= _FEW:
                break
            seen += 1
            lock = _taken(path)
            if lock is None:
                continue
            try:
                self.offers.append((path, read(path)))
                self._held[path] = lock
            except SpoolroomError as error:
                words = str(error)
                told.append(
                    tr("{words}{words2}; it was set aside as {name}.").format(
                        words=words[:1].upper(), words2=words[1:], name=set_aside(path).name
                    )
                )
                lock.unlock()
        self.older = len(waiting) - seen
        if told:
            self.stage.tell(" ".join(told))

    def _sweep(self, folder: Path) -> None:
        """Remove the locks and the half-written files of programs that are gone, a few at a time."""
        for path in orphans(folder)[:_SWEPT]:
            owner = folder / f"{path.stem}{SUFFIX}" if path.suffix == LOCK else folder / f"{path.name[1:37]}{SUFFIX}"
            if owner != self.file and (lock := _taken(owner)) is not None:
                if path.suffix != LOCK:
                    with contextlib.suppress(OSError):
                        path.unlink()
                lock.unlock()

    def take(self, page: Page) -> None:
        """Offer on the new page what was still offered on the one before."""
        super().take(page)
        if self.folder is not None and self.pane is not None:
            self._offer()

    def _offer(self) -> None:
        self.pane = None
        if not self.offers:
            return
        from trainer.window.recovery.pane import RecoveryPane

        self.pane = RecoveryPane(
            self.stage.look, self.stage.ground, self.offers[0][1], len(self.offers) - 1, self.older
        )
        self.pane.taken.connect(self.take_up)
        self.pane.discarded.connect(self.discard)
        self.stage.open_pane(self.pane)

    def _answered(self) -> Path:
        """Close the pane and return the file that was answered."""
        path, _ = self.offers.pop(0)
        if self.pane is not None:
            self.stage.close_pane(self.pane)
            self.pane.deleteLater()
            self.pane = None
        return path

    def _remove(self, path: Path) -> None:
        with contextlib.suppress(OSError):
            path.unlink(missing_ok=True)
        lock = self._held.pop(path, None)
        if lock is not None:
            lock.unlock()

    def take_up(self) -> None:
        """Go on with what is offered; its file goes once this window has written its own."""
        (path, unsaved), pane = self.offers[0], self.pane
        assert pane is not None
        past, progress = Past(), Progress(self.controller, self.stage.frame, pane, unsaved.time)

        def see(session: Session) -> None:
            past.see(session)
            progress.see(session)

        QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
        try:
            with progress:
                changes, exact = take_up(unsaved, self.controller.clock, see)
                self._answered()
                self.controller.marks.clear()
                self.rig.take_up(changes)
                if exact:
                    past.show(self.controller, self.page, self.ledgers)
        except GivenUp:
            pane.show_answers()
            if progress.closes:
                self.stage.frame.close()
            return
        except Exception as error:
            if self.offers and self.offers[0][0] == path:
                self._answered()
            aside = set_aside(path)
            self._remove(path)
            self.stage.tell(
                tr("What was kept cannot be taken up ({error}). It was set aside as {name}.").format(
                    error=error, name=aside.name
                )
            )
            self._offer()
            return
        finally:
            QGuiApplication.restoreOverrideCursor()
        if exact:
            self.controller.marks[:] = unsaved.marks
        told = (
            tr("at {time:.1f} s, where it was").format(time=unsaved.time)
            if exact
            else tr("from its start, with all its changes")
        )
        if not exact and unsaved.time > 0:
            told += (
                tr("; its run was too long to be kept")
                if not unsaved.lines
                else tr("; its run could not be repeated here")
            )
        if unsaved.lost:
            told = (
                tr("at {time:.1f} s; the last {lost:.1f} s of its run are lost").format(
                    time=unsaved.time, lost=unsaved.lost
                )
                if exact
                else told
            )
        self.stage.tell(tr("Taken up again {told}.").format(told=told), frozen=True)
        if self._writing is not None:
            self._writing.join()
        self._steps = None
        self._write(pack(self._unsaved(self._stamps()[1]), self._texts))
        if not self.failure:
            self._remove(path)
        self._offer()

    def discard(self) -> None:
        """Take the file away that is offered."""
        self._remove(self._answered())
        self._offer()
