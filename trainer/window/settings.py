"""What survives the window: theme, units, marks, size, panes; a bad file is ignored, never an error."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from pathlib import Path

from PySide6.QtCore import QSettings, QStandardPaths

from trainer.units import System
from trainer.window.arrangement import Panes

__all__ = ["Kept", "keep", "place", "recall"]

_THEMES = ("light", "dark")


@dataclass(frozen=True, slots=True)
class Kept:
    """Settings with their first values."""

    theme: str = "light"
    system: System = System.METRIC
    still_marks: bool = False
    size: tuple[int, int] = (1440, 810)
    panes: Panes = field(default_factory=Panes)


def place() -> Path:
    """Return the settings file (INI) of this user."""
    folder = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.GenericConfigLocation)
    return Path(folder) / "spoolroom" / "window.ini"


def recall(file: Path | None = None) -> Kept:
    """Return what was kept; what is missing or cannot be used is as it was at first."""
    first = Kept()
    try:
        path = file or place()
        if path.is_file() and path.stat().st_size > 65536:
            return first
        kept = QSettings(str(path), QSettings.Format.IniFormat)
        theme = str(kept.value("look/theme", first.theme))
        units = str(kept.value("look/units", first.system.name))
        marks = str(kept.value("look/still_marks", "false")).lower() == "true"
        size = (
            round(_number(kept.value("window/width"), first.size[0], 640, 16384)),
            round(_number(kept.value("window/height"), first.size[1], 480, 16384)),
        )
        panes = Panes(
            str(kept.value("panes/view", first.panes.view)),
            _number(kept.value("panes/column"), first.panes.column, 0, 10),
            round(_number(kept.value("panes/rows"), first.panes.rows, 0, 100)),
        ).within()
    except (OSError, ValueError, TypeError):
        return first
    return Kept(
        theme if theme in _THEMES else first.theme,
        System[units] if units in System.__members__ else first.system,
        marks,
        size,
        panes,
    )


def _number(written: object, otherwise: float, low: float, high: float) -> float:
    try:
        number = float(str(written))
    except ValueError:
        return otherwise
    return number if math.isfinite(number) and low <= number <= high else otherwise


def keep(kept: Kept, file: Path | None = None) -> bool:
    """Write the settings; return whether they could be written."""
    try:
        path = file or place()
        path.parent.mkdir(parents=True, exist_ok=True)
        path.unlink(missing_ok=True)  # a file that cannot be read would not be written either
    except OSError:
        return False
    settings = QSettings(str(path), QSettings.Format.IniFormat)
    settings.setValue("look/theme", kept.theme)
    settings.setValue("look/units", kept.system.name)
    settings.setValue("look/still_marks", "true" if kept.still_marks else "false")
    settings.setValue("window/width", kept.size[0])
    settings.setValue("window/height", kept.size[1])
    settings.setValue("panes/view", kept.panes.view)
    settings.setValue("panes/column", f"{kept.panes.column:.4f}")
    settings.setValue("panes/rows", kept.panes.rows)
    settings.sync()
    return settings.status() == QSettings.Status.NoError
