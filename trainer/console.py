"""The terminal of a verb: streams that may be closed, one line for what went wrong, and Ctrl-C, which ends it.

An exception raised by Ctrl-C can be swallowed by what is just being called, a solver's callback or a slot of the
window. So nothing is raised: the program ends where it is, or a verb that holds rows is told and ends by itself.
"""

from __future__ import annotations

import contextlib
import os
import signal
import sys
import threading
from collections.abc import Iterator
from io import FileIO, TextIOWrapper
from types import FrameType

from trainer import files
from trainer.errors import SpoolroomError
from trainer.language import mark, tr

__all__ = ["STOPPED", "Stop", "WrongUse", "complain", "open_streams", "settle_output", "stop"]

_BEFORE = mark("stopped before it began; nothing was written")
STOPPED = 130  # exit code of a program that was stopped: 128 and the number of the signal


class WrongUse(SpoolroomError):
    """The command line asks for something that cannot be done."""


def complain(message: str, code: int) -> int:
    """Say in one line on standard error what went wrong, and return the exit code."""
    print("spoolroom:", " ".join(message.split()), file=sys.stderr)
    return code


class Stop:
    """What Ctrl-C does. ``words`` say where the program is, in one line; ``asked``: it is to end by itself."""

    def __init__(self) -> None:
        self.words = tr(_BEFORE)
        self.asked = False
        self._waits = False

    @contextlib.contextmanager
    def listening(self) -> Iterator[None]:
        """Take Ctrl-C over, where that can be, and give it back."""
        self.words, self.asked, self._waits = tr(_BEFORE), False, False
        main = threading.current_thread() is threading.main_thread()
        if not main or signal.getsignal(signal.SIGINT) is signal.SIG_IGN:  # a job in the background is not stopped
            yield
            return
        before = signal.signal(signal.SIGINT, self._come)
        try:
            yield
        finally:
            signal.signal(signal.SIGINT, before)

    @contextlib.contextmanager
    def waited_for(self) -> Iterator[None]:
        """Only note a first Ctrl-C in ``asked``; a second one ends the program all the same."""
        self._waits = True
        try:
            yield
        finally:
            self._waits = False

    @staticmethod
    @contextlib.contextmanager
    def held_back() -> Iterator[None]:
        """Let a Ctrl-C come after what is done here, if it is work that a shell does: it would be lost meanwhile."""
        if not hasattr(signal, "pthread_sigmask"):
            yield
            return
        before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
        try:
            yield
        finally:
            signal.pthread_sigmask(signal.SIG_SETMASK, before)

    def _come(self, _number: int, _frame: FrameType | None) -> None:
        if self._waits and not self.asked:
            self.asked = True
            return
        files.discard_unfinished()
        with contextlib.suppress(OSError):  # not by print: it may be in the middle of a line
            os.write(2, f"spoolroom: {self.words}\n".encode(errors="replace"))
        os._exit(STOPPED)


stop = Stop()


def open_streams() -> bool:
    """Give every standard stream that is closed a place to go, and return whether standard output was open.

    Else the next file that is opened would take its number, and what a library prints would go into that file.
    """
    was_open = sys.stdout is not None
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            place = os.open(os.devnull, os.O_RDWR)  # takes the lowest free number: its own
            setattr(sys, name, TextIOWrapper(FileIO(place, mode, closefd=False), "utf-8", "replace"))
    return was_open


def settle_output() -> str:
    """Bring all that was printed to standard output; return why that cannot be, or nothing. It is then given up."""
    try:
        sys.stdout.flush()
    except OSError as error:
        with contextlib.suppress(OSError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        return files.reason(error)
    return ""
