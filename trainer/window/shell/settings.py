"""What survives the window: theme, units, marks, size, panes, rig, seat; a bad file is ignored, never an error."""

from __future__ import annotations

import configparser
import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from PySide6.QtCore import QStandardPaths

from trainer import files
from trainer.language import tr
from trainer.units import System
from trainer.window.board.arrangement import Panes
from trainer.window.session.remembered import MOST_SEATS, Remembered

__all__ = ["Kept", "keep", "passed_over", "place", "recall", "within_screens"]

_THEMES = ("light", "dark")
_LARGEST = 65536  # bytes


@dataclass(frozen=True, slots=True)
class Kept:
    """Settings with their first values; ``rig`` is the file that was open, "" for none."""

    theme: str = "light"
    system: System = System.METRIC
    still_marks: bool = False
    size: tuple[int, int] = (1440, 810)
    panes: Panes = field(default_factory=Panes)
    machine_code: bool = True
    rig: str = ""
    remembered: Remembered = field(default_factory=Remembered)


def place() -> Path:
    """Return the settings file (INI) of this user."""
    folder = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.GenericConfigLocation)
    return Path(folder) / "spoolroom" / "window.ini"


def recall(file: Path | None = None) -> Kept:
    """Return what was kept; what is missing or cannot be used is as it was at first."""
    first = Kept()
    try:
        kept = _entries(file or place())
        theme = str(kept.get("look/theme", first.theme))
        units = str(kept.get("look/units", first.system.name))
        marks = str(kept.get("look/still_marks", "false")).lower() == "true"
        code = str(kept.get("solver/machine_code", "true")).lower() != "false"
        size = (
            round(_number(kept.get("window/width"), first.size[0], 640, 16384)),
            round(_number(kept.get("window/height"), first.size[1], 480, 16384)),
        )
        panes = Panes(
            str(kept.get("panes/view", first.panes.view)),
            _number(kept.get("panes/column"), first.panes.column, 0, 10),
            round(_number(kept.get("panes/rows"), first.panes.rows, 0, 100)),
        ).within()
        remembered = Remembered(
            round(_number(kept.get("start/seat"), 1, 0, MOST_SEATS)),
            str(kept.get("start/lesson", "")),
            str(kept.get("start/task", "")),
            str(kept.get("start/welcomed", "false")).lower() == "true",
            str(kept.get("sound/on", "false")).lower() == "true",
        )
        rig = str(kept.get("start/rig", ""))
    except (OSError, ValueError, TypeError, configparser.Error):
        return first
    return Kept(
        theme if theme in _THEMES else first.theme,
        System[units] if units in System.__members__ else first.system,
        marks,
        size,
        panes,
        code,
        rig,
        remembered,
    )


def _number(written: object, otherwise: float, low: float, high: float) -> float:
    try:
        number = float(str(written))
    except ValueError:
        return otherwise
    return number if math.isfinite(number) and low <= number <= high else otherwise


def within_screens(kept: Kept, screens: Sequence[tuple[int, int]]) -> Kept:
    """Return settings whose window fits on one of the screens, given by their free width and height [px]."""
    fitting = [(min(kept.size[0], wide), min(kept.size[1], high)) for wide, high in screens]
    return replace(kept, size=max(fitting, key=lambda size: size[0] * size[1], default=kept.size))


def _entries(path: Path) -> dict[str, str]:
    """Return what a settings file says by "section/key". Raises OSError, ValueError, configparser.Error."""
    parser = configparser.ConfigParser(interpolation=None, strict=False)
    parser.read_string(files.read(path, _LARGEST).decode("utf-8"), str(path))
    return {f"{name}/{key}": value for name in parser.sections() for key, value in parser.items(name)}


def _line(words: str) -> str:
    """Return words that can stand in one line, nothing for others, such as a name with a line's end in it."""
    return words if words == "".join(words.splitlines()).strip() else ""


def passed_over(path: Path) -> str:
    """Return in a sentence why a settings file that is there is not used, or nothing."""
    try:
        _entries(path)
    except FileNotFoundError:
        return ""
    except OSError as error:
        return tr("The settings in {path} are passed over: {reason}.").format(path=path, reason=files.reason(error))
    except (ValueError, configparser.Error):
        return tr("The settings in {path} are passed over: they cannot be read.").format(path=path)
    return ""


def keep(kept: Kept, file: Path | None = None) -> str:
    """Write the settings, all or nothing; return why they could not be written, or nothing."""
    path = file or place()
    sections: dict[str, dict[str, object]] = {
        "look": {"theme": kept.theme, "units": kept.system.name, "still_marks": str(kept.still_marks).lower()},
        "window": {"width": kept.size[0], "height": kept.size[1]},
        "panes": {"view": kept.panes.view, "column": f"{kept.panes.column:.4f}", "rows": kept.panes.rows},
        "solver": {"machine_code": str(kept.machine_code).lower()},
        "sound": {"on": str(kept.remembered.sound).lower()},
        "start": {
            "rig": _line(kept.rig),
            "seat": kept.remembered.seat,
            "lesson": _line(kept.remembered.lesson),
            "task": _line(kept.remembered.task),
            "welcomed": str(kept.remembered.welcomed).lower(),
        },
    }
    lines = (
        line
        for name, entries in sections.items()
        for line in (f"[{name}]", *(f"{key}={value}" for key, value in entries.items()), "")
    )
    try:
        files.own_folder(path.parent)
        files.write(path, "\n".join(lines), private=True)
    except OSError as error:
        return files.reason(error)
    return ""
