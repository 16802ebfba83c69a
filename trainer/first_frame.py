"""How long a start takes: with what was kept of the rig, with nothing kept, and beside a bare window with a plot.

``python -m trainer.first_frame NAME FOLDER SINCE`` opens a shipped rig as the command does, with what is kept in a
folder, and prints the seconds from SINCE, a time of day [s], to the end of the first live frame.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

from trainer import garbage, resources
from trainer.errors import SpoolroomError
from trainer.rig import file as rig_file

__all__ = ["main", "rows"]

_ROUNDS = 3
_BARE = """
import sys, time
from PySide6.QtWidgets import QApplication
import pyqtgraph
app = QApplication([])
window = pyqtgraph.PlotWidget()
window.plot([0.0, 1.0], [0.0, 1.0])
window.resize(1280, 720)
window.show()
app.processEvents()
window.repaint()
print(time.time() - float(sys.argv[1]))
"""


def _seconds(*command: str) -> float:
    """Return what a child prints that is told when it was begun. Raises SpoolroomError with its last line."""
    done = subprocess.run([sys.executable, *command, str(time.time())], capture_output=True, text=True, check=False)
    if done.returncode:
        raise SpoolroomError((done.stderr.strip().splitlines() or ["it ended"])[-1][-200:])
    return float(done.stdout)


def rows(name: str) -> Iterator[tuple[str, str, str]]:
    """Yield (what, found, goal) of starts with a shipped rig, each kind in turn: medians."""
    own = ("-m", __name__, name)
    bare, cold, warm = [], [], []
    with tempfile.TemporaryDirectory() as place:
        kept = f"{place}/kept"
        try:
            _seconds(*own, kept)  # whatever is new to this computer, too
            _seconds("-c", _BARE)
            for k in range(_ROUNDS):
                bare.append(_seconds("-c", _BARE))
                cold.append(_seconds(*own, f"{place}/{k}"))
                warm.append(_seconds(*own, kept))
        except SpoolroomError as error:
            yield "start to first live frame", str(error), ""
            return
    reference, without, found = (statistics.median(times) for times in (bare, cold, warm))
    yield (
        "start to first live frame of a rig that was open before",
        f"{found:.2f} s = {found / without:.2f} of without = {found / reference:.2f} times a bare window with a plot",
        "<= 1.5 s",
    )
    yield (
        "the same of a rig that was not",
        f"{without:.2f} s = {without / reference:.2f} times a bare window with a plot",
        "",
    )


def main(arguments: list[str]) -> int:
    """Open a rig, let one live frame be painted, and print how long that took."""
    name, folder, since = arguments[0], Path(arguments[1]), float(arguments[2])
    rig = rig_file.load(resources.path(f"rigs/{name}.toml"))
    with garbage.unsought():
        import_module("trainer.before_qt")
        from trainer.engine.kept import Kept
        from trainer.window.shell import app
    made = app.application()
    window = app.open_board(rig, known=Kept(folder))
    while window.session.time == 0.0:
        made.processEvents()
    window.drawing.repaint()
    print(time.time() - since)
    window.close()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
