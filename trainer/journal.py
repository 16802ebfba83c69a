"""Attempts, kept one a line in a file that only grows; what a crash has left of a line is put aside and told."""

from __future__ import annotations

import contextlib
import errno
import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Generic, TypeVar

import msgspec

from trainer import files
from trainer.language import tr

__all__ = ["Journal"]

_LARGEST = 1 << 27  # bytes of a file that is still read
_ASIDE = ".damaged"
_FLAGS = os.O_WRONLY | os.O_APPEND | os.O_CREAT | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)
Entry = TypeVar("Entry", bound=msgspec.Struct)


class Journal(Generic[Entry]):
    """Entries of one kind in one file, JSON a line. Each is written in one stroke, and is on the disk then.

    ``notices`` are what is to be told of what was kept, in sentences.
    """

    def __init__(self, path: Path, kind: type[Entry]) -> None:
        self.path = path
        self.notices: list[str] = []
        self._kind = kind
        self._mended = False

    def add(self, entry: Entry) -> None:
        """Keep one more. Raises OSError; then it is not kept."""
        self._mend()
        line = msgspec.json.encode(entry) + b"\n"
        files.own_folder(self.path.parent)
        opened = os.open(self.path, _FLAGS, 0o600)
        try:
            before = os.fstat(opened).st_size
            written = os.write(opened, line)
            if written != len(line):
                os.ftruncate(opened, before)
                raise OSError(errno.ENOSPC, tr("not all of it could be written"), str(self.path))
            os.fsync(opened)
        finally:
            os.close(opened)

    def all(self) -> Iterator[Entry]:
        """Yield all of them, the oldest first; lines that cannot be read are passed over and told."""
        self._mend()
        lost = 0
        for line in self._content().splitlines():
            if not line.strip():
                continue
            try:
                yield msgspec.json.decode(line, type=self._kind)
            except msgspec.DecodeError:
                lost += 1
        if lost:
            self._tell(
                tr("{name}: {lost} lines cannot be read and are passed over.").format(name=self.path.name, lost=lost)
            )

    def take_out(self, which: Callable[[Entry], bool]) -> int:
        """Take out for good what is asked for, and return how many these were. Raises OSError; then all stay."""
        self._mend()
        kept, gone = [], 0
        for line in files.read(self.path, _LARGEST).splitlines() if self.path.exists() else []:
            try:
                meant = which(msgspec.json.decode(line, type=self._kind))
            except msgspec.DecodeError:
                meant = False  # what cannot be read is nobody's, and stays
            gone += meant
            if line.strip() and not meant:
                kept.append(line + b"\n")
        if gone:
            files.write(self.path, b"".join(kept), private=True)
        return gone

    def _content(self) -> bytes:
        try:
            return files.read(self.path, _LARGEST)
        except FileNotFoundError:
            return b""
        except OSError as error:
            self._tell(tr("{path} cannot be read: {reason}.").format(path=self.path, reason=files.reason(error)))
            return b""

    def _mend(self) -> None:
        """Put aside what stands behind the last whole line, as a crash or a full disk leaves it."""
        if self._mended:
            return
        self._mended = True
        content = self._content()
        if not content or content.endswith(b"\n"):
            return
        kept, _, rest = content.rpartition(b"\n")
        end = len(kept) + 1 if kept else 0
        with contextlib.suppress(msgspec.DecodeError):  # only its end of line is missing
            msgspec.json.decode(rest, type=self._kind)
            with contextlib.suppress(OSError):
                files.append(self.path, b"\n")
            return
        aside = self.path.with_name(f"{self.path.name}{_ASIDE}")
        try:
            files.append(aside, rest + b"\n")
            files.cut(self.path, end)
        except OSError as error:
            self._tell(
                tr("{path} ends in a damaged line, which cannot be put aside: {reason}.").format(
                    path=self.path, reason=files.reason(error)
                )
            )
            return
        self._tell(
            tr("The last attempt was not written to its end; what there is of it is in {aside}.").format(aside=aside)
        )

    def _tell(self, words: str) -> None:
        if words not in self.notices:
            self.notices.append(words)
