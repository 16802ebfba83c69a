"""Where the dialogs of files begin: beside the opened file, under its name, or where the last of a kind went."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QStandardPaths

from trainer import resources

__all__ = ["Places"]


class Places:
    """Proposes files of kinds such as "rig" and "strip", and remembers each kind's folder while the window is open.

    ``opened`` returns the file that is open, None where there is none.
    """

    def __init__(self, opened: Callable[[], Path | None]) -> None:
        self.opened = opened
        self._last: dict[str, Path] = {}

    @property
    def own(self) -> Path | None:
        """The opened file where it is the user's own; None for a shipped rig."""
        file = self.opened()
        return None if file is None or resources.is_shipped(file) else file

    def folder(self, kind: str) -> Path:
        """Return where a dialog begins: where the last of its kind went, beside one's own file, or the documents."""
        if kind in self._last:
            return self._last[kind]
        if self.own is not None and self.own.parent.is_dir():
            return self.own.parent.resolve()
        documents = Path(QStandardPaths.writableLocation(QStandardPaths.StandardLocation.DocumentsLocation))
        return documents if documents.is_dir() else Path.home()

    def proposed(self, kind: str, title: str, ending: str) -> str:
        """Return a file for a dialog, named after the opened one, else after a rig's title; ``ending`` is added."""
        file = self.opened()
        slug = "-".join("".join(c if c.isalnum() else " " for c in title.lower()).split()) or "rig"
        return str(self.folder(kind) / f"{file.stem if file is not None else slug}{ending}")

    def went(self, kind: str, path: Path) -> None:
        """Remember where a file of a kind went."""
        self._last[kind] = path.resolve().parent
