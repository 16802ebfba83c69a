"""Ctrl-C in the terminal, and a request to end: the window closes as by its close button, without a question."""

from __future__ import annotations

import contextlib
import signal
import socket
from collections.abc import Iterator

from PySide6.QtCore import QSocketNotifier

from trainer.window.shell.window import BoardWindow

__all__ = ["closed_by_signals"]

_SIGNALS = (signal.SIGINT, signal.SIGTERM)


@contextlib.contextmanager
def closed_by_signals(window: BoardWindow) -> Iterator[None]:
    """Close a window when the program is asked to end.

    Qt may wait for long in a call that runs no Python, where no handler of a signal is called. So the signal's number
    comes through a socket, which wakes Qt; the handler itself has nothing to do, and nothing to be swallowed.
    """
    taken = [number for number in _SIGNALS if signal.getsignal(number) is not signal.SIG_IGN]
    before = {number: signal.signal(number, lambda *_: None) for number in taken}
    ear, mouth = socket.socketpair()
    ear.setblocking(False)
    mouth.setblocking(False)
    notifier = QSocketNotifier(ear.fileno(), QSocketNotifier.Type.Read)

    def come() -> None:
        with contextlib.suppress(OSError):
            ear.recv(64)
        window.end()

    notifier.activated.connect(come)
    woken = signal.set_wakeup_fd(mouth.fileno(), warn_on_full_buffer=False)
    try:
        yield
    finally:
        signal.set_wakeup_fd(woken)
        notifier.setEnabled(False)
        for number, handler in before.items():
            signal.signal(number, handler)
        ear.close()
        mouth.close()
