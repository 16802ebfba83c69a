"""Whether a window can be opened here, found out in a child process: a failing Qt ends its process."""

from __future__ import annotations

import os
import re
import subprocess
import sys

__all__ = ["qt_trouble", "trouble"]

_CHILD = "from PySide6.QtWidgets import QApplication; QApplication([])"
_BLIND = ("offscreen", "minimal")
_PATIENCE = 30.0  # seconds that a display is given to answer


def trouble() -> str:
    """Return why no window can be opened and seen here, in a few words, or nothing if one can."""
    platform = os.environ.get("QT_QPA_PLATFORM", "")
    if platform.partition(":")[0] in _BLIND:
        return f"QT_QPA_PLATFORM is set to {platform}"
    if sys.platform.startswith("linux") and not platform and not (
        os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    ):  # fmt: skip
        return "there is no display"
    return qt_trouble(platform)


def qt_trouble(platform: str = "offscreen") -> str:
    """Return why Qt cannot start with a platform, "" for its own choice, or nothing if it can."""
    if getattr(sys, "frozen", False):  # a frozen program cannot run a line of Python in a child
        return ""
    environment = {**os.environ, "QT_QPA_PLATFORM": platform} if platform else dict(os.environ)
    try:
        child = subprocess.run(
            [sys.executable, "-P", "-c", _CHILD],
            env=environment,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=_PATIENCE,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return "the display does not answer"
    except OSError as error:
        return f"no process can be started ({error.strerror})"
    return _reason(child.stderr.decode("utf-8", "replace")) if child.returncode else ""


def _reason(said: str) -> str:
    if found := re.search(r"No module named '?(\w+)", said):
        return f"{found[1]} is not installed"
    if found := re.search(r"(\S+\.so[.\d]*): cannot open shared object file", said):
        return f"the system library {found[1]} is missing"
    if found := re.search(r"could not connect to display ?(\S*)", said):
        return f"the display {found[1]} cannot be reached".replace("  ", " ")
    if "xcb-cursor0 is needed" in said:
        return "the system library libxcb-cursor.so.0 is missing"
    if found := re.search(r'[Nn]o Qt platform plugin|platform plugin "?(\w+)', said):
        return f"Qt has no working platform {found[1] or ''}".rstrip()
    return "Qt cannot start"
