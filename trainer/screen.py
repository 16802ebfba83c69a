"""Whether a window can be opened here, found out in a child process: a failing Qt ends its process."""

from __future__ import annotations

import os
import re
import subprocess
import sys

from trainer.language import tr

__all__ = ["LIBRARIES", "qt_trouble", "trouble"]

LIBRARIES = {  # what Qt and its window need of a Linux besides what each has -> the package of Debian and Ubuntu
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libX11.so.6": "libx11-6",
    "libX11-xcb.so.1": "libx11-xcb1",
    "libdbus-1.so.3": "libdbus-1-3",
    "libfontconfig.so.1": "libfontconfig1",
    "libfreetype.so.6": "libfreetype6",
    "libglib-2.0.so.0": "libglib2.0-0",
    "libgthread-2.0.so.0": "libglib2.0-0",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
    "libxcb.so.1": "libxcb1",
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-randr.so.0": "libxcb-randr0",
    "libxcb-render.so.0": "libxcb-render0",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-shm.so.0": "libxcb-shm0",
    "libxcb-sync.so.1": "libxcb-sync1",
    "libxcb-util.so.1": "libxcb-util1",
    "libxcb-xfixes.so.0": "libxcb-xfixes0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
}

_CHILD = "from PySide6.QtWidgets import QApplication; QApplication([])"
_LOADS = """
import ctypes, sys

for name in sys.argv[1:]:
    try:
        ctypes.CDLL(name)
    except OSError:
        print(name)
"""
_BLIND = ("offscreen", "minimal")
_PATIENCE = 30.0  # seconds that a display is given to answer


def trouble() -> str:
    """Return why no window can be opened and seen here, in a few words, or nothing if one can."""
    platform = os.environ.get("QT_QPA_PLATFORM", "")
    if platform.partition(":")[0] in _BLIND:
        return tr("QT_QPA_PLATFORM is set to {platform}").format(platform=platform)
    if sys.platform.startswith("linux") and not platform and not (
        os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    ):  # fmt: skip
        return tr("there is no display")
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
        return tr("the display does not answer")
    except OSError as error:
        return tr("no process can be started ({strerror})").format(strerror=error.strerror)
    return _reason(child.stderr.decode("utf-8", "replace")) if child.returncode else ""


def _missing() -> list[str]:
    """Return which of the system's libraries cannot be loaded here, tried in a child process."""
    try:
        child = subprocess.run(
            [sys.executable, "-P", "-c", _LOADS, *LIBRARIES],
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=_PATIENCE,
            check=False,
        )
    except (subprocess.TimeoutExpired, OSError):
        return []
    return [name for name in child.stdout.decode("utf-8", "replace").split() if name in LIBRARIES]


def _reason(said: str) -> str:
    if found := re.search(r"No module named '?(\w+)", said):
        return tr("{found} is not installed").format(found=found[1])
    found = re.search(r"(\S+\.so[.\d]*): cannot open shared object file", said)
    if (found or "xcb-cursor0 is needed" in said) and (missing := _missing()):  # Qt says so whichever is missing
        which = (
            tr("library {missing} is").format(missing=missing[0])
            if len(missing) == 1
            else tr("libraries {missing} are").format(missing=", ".join(missing))
        )
        packages = " ".join(dict.fromkeys(LIBRARIES[name] for name in missing))
        return tr("the system {which} missing; on Debian and Ubuntu: sudo apt-get install {packages}").format(
            which=which, packages=packages
        )
    if found:
        return tr("the system library {found} is missing").format(found=found[1])
    if found := re.search(r"could not connect to display ?(\S*)", said):
        return tr("the display {found} cannot be reached").format(found=found[1]).replace("  ", " ")
    if found := re.search(r'[Nn]o Qt platform plugin|platform plugin "?(\w+)', said):
        return tr("Qt has no working platform {found}").format(found=found[1] or "").rstrip()
    return tr("Qt cannot start")
