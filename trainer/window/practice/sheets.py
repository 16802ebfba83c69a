"""Asks where a card, its traces or all attempts are to go, and writes them there."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from PySide6.QtWidgets import QFileDialog

from trainer.errors import SpoolroomError
from trainer.language import mark, tr
from trainer.practice.kept import Book
from trainer.practice.sheet import attempt_rows
from trainer.practice.task import Task
from trainer.window.practice.card import Card
from trainer.window.practice.paper import KINDS, table_of, write_card, write_table

if TYPE_CHECKING:
    from trainer.window.session.stage import Stage

__all__ = ["Sheets"]

_TABLES: Mapping[str, str] = {".csv": mark("Table (*.csv)")}


class _Desk(Protocol):
    """Whose card and attempts are written."""

    card: Card | None
    book: Book

    @property
    def stage(self) -> Stage:
        """Where a dialog is shown."""

    @property
    def seat(self) -> int:
        """Whose attempts they are."""

    @property
    def tasks(self) -> Sequence[Task]:
        """All rungs."""

    def tell(self, words: str) -> None:
        """Say something on the screen that is shown."""


class Sheets:
    """Writes what a learner takes along."""

    def __init__(self, desk: _Desk) -> None:
        self.desk = desk

    def print_card(self) -> None:
        """Ask for a file, and write the card there."""
        desk, card = self.desk, self.desk.card
        if card is None:
            return
        path = self._asked(tr("Print the card"), f" {card.task.code} {card.number}.pdf", KINDS)
        if path is not None:
            self._write(lambda: write_card(card, path, desk.seat, desk.stage.look.system), path)

    def export(self) -> None:
        """Ask for a file, and write the traces there."""
        desk, card = self.desk, self.desk.card
        if card is None:
            return
        path = self._asked(tr("Export the traces"), f" {card.task.code} {card.number}.csv", _TABLES)
        if path is not None:
            self._write(lambda: write_table(table_of(card, desk.stage.look.system), path), path)

    def export_all(self) -> None:
        """Ask for a file, and write all attempts of this seat there."""
        desk = self.desk
        path = self._asked(tr("Export all attempts"), tr(" seat {seat}").format(seat=desk.seat) + ".csv", _TABLES)
        if path is not None:
            rows = attempt_rows(desk.tasks, desk.book.all(desk.seat))
            self._write(lambda: write_table(rows, path), path)

    def _asked(self, title: str, ending: str, kinds: Mapping[str, str]) -> Path | None:
        stage = self.desk.stage
        proposed = str(stage.places.folder("practice") / f"{tr('practice')}{ending}")
        name, chosen = QFileDialog.getSaveFileName(stage.frame, title, proposed, ";;".join(map(tr, kinds.values())))
        if not name:
            return None
        path = Path(name)
        if not path.suffix:
            endings = {tr(words): suffix for suffix, words in kinds.items()}
            path = path.with_name(path.name + endings.get(chosen, next(iter(kinds))))
        return path

    def _write(self, do: Callable[[], None], path: Path) -> None:
        try:
            do()
        except SpoolroomError as error:
            self.desk.tell(str(error))
            return
        self.desk.stage.places.went("practice", path)
        self.desk.tell(tr("It is in {name}.").format(name=path.name))
