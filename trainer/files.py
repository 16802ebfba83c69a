"""Files of the program: written whole or not at all, read within limits and never waited for.

What is written goes beside its place first and is put there in one stroke, so that there is never half of a file
and what was there stays until all of the new one is. Every OSError names the file and says why in a few words.
"""

from __future__ import annotations

import contextlib
import errno
import itertools
import os
import shutil
import stat
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from trainer.language import tr

__all__ = [
    "append",
    "cut",
    "discard_unfinished",
    "own_folder",
    "read",
    "reason",
    "require_writable",
    "set_aside",
    "which_and_why",
    "write",
    "writing",
]

_unfinished: set[Path] = set()
_numbers = itertools.count()
_NEW = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)
_AT_ONCE = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)


def reason(error: OSError) -> str:
    """Return why a file could not be used, in a few words."""
    return str(error.strerror or error).rstrip(".")


def which_and_why(error: OSError) -> str:
    """Return which file could not be used, where that is known, and why: "/tmp/kept: Not a directory"."""
    return f"{error.filename}: {reason(error)}" if error.filename else reason(error)


def write(path: Path, content: str | bytes, private: bool = False, overwrite: bool = True) -> None:
    """Write a file, texts as UTF-8; ``private``: only its owner can read it. Raises OSError."""
    with writing(path, private, overwrite) as file:
        file.write(content.encode("utf-8") if isinstance(content, str) else content)


@contextlib.contextmanager
def writing(path: Path, private: bool = False, overwrite: bool = True) -> Iterator[BinaryIO]:
    """Give a file to write into, which is in its place once all went well and leaves nothing otherwise.

    A link stays a link. Raises OSError, also for what is there and is no ordinary file, and FileExistsError for what
    is there and may not be overwritten.
    """
    path = Path(path)
    beside: Path | None = None
    try:
        place = require_writable(path, overwrite)
        beside = place.with_name(f".{place.name[:40]}.{os.getpid()}-{next(_numbers)}.part")
        _unfinished.add(beside)
        with open(os.open(beside, _NEW, 0o600 if private else 0o666), "wb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        if place.exists() and not private:
            with contextlib.suppress(OSError):
                shutil.copymode(place, beside)
        require_writable(path, overwrite)
        os.replace(beside, place)
    except BaseException as error:
        if beside is not None:
            with contextlib.suppress(OSError):
                beside.unlink(missing_ok=True)
        if isinstance(error, OSError):
            raise OSError(error.errno or errno.EIO, reason(error), str(path)) from error
        raise
    finally:
        if beside is not None:
            _unfinished.discard(beside)
    _keep_name(place.parent)


def require_writable(path: Path, overwrite: bool = True) -> Path:
    """Return where a file would be written, links followed. Raises OSError where that cannot be or may not be."""
    place = Path(path).resolve()
    if not place.parent.is_dir():
        raise FileNotFoundError(errno.ENOENT, tr("its folder does not exist"), str(path))
    try:
        mode = place.stat().st_mode
    except FileNotFoundError:
        return place
    if stat.S_ISDIR(mode):
        raise IsADirectoryError(errno.EISDIR, tr("it is a folder"), str(path))
    if not stat.S_ISREG(mode):
        raise OSError(errno.EINVAL, tr("it is no ordinary file"), str(path))
    if not overwrite:
        raise FileExistsError(errno.EEXIST, tr("it exists"), str(path))
    return place


def discard_unfinished() -> None:
    """Remove what is half written; for a program that ends at once."""
    for beside in [*_unfinished]:
        with contextlib.suppress(OSError):
            beside.unlink(missing_ok=True)


def _keep_name(folder: Path) -> None:
    """Have the folder's entry written too, where the system can."""
    with contextlib.suppress(OSError, AttributeError):
        opened = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)


def read(path: Path, most: int) -> bytes:
    """Return what an ordinary file holds, at most so many bytes. Raises OSError; a pipe is never waited for."""
    opened = os.open(path, _AT_ONCE)
    mode = os.fstat(opened).st_mode
    if not stat.S_ISREG(mode):
        os.close(opened)
        raise OSError(
            errno.EINVAL,
            tr("it is {word}").format(word="a folder" if stat.S_ISDIR(mode) else tr("no ordinary file")),
            str(path),
        )
    with open(opened, "rb") as file:
        content = file.read(most + 1)
    if len(content) > most:
        raise OSError(errno.EFBIG, tr("it is too large"), str(path))
    return content


def append(path: Path, content: bytes) -> None:
    """Write bytes at the end of a file that grows line by line. Raises OSError."""
    with open(path, "ab") as file:
        file.write(content)


def cut(path: Path, size: int) -> None:
    """Leave only the first ``size`` bytes of a file. Raises OSError."""
    os.truncate(path, size)


def own_folder(path: Path) -> Path:
    """Return a folder that only its owner can look into, made where there is none. Raises OSError."""
    path.mkdir(mode=0o700, parents=True, exist_ok=True)
    with contextlib.suppress(OSError):
        path.chmod(0o700)
    return path


def set_aside(path: Path, ending: str) -> Path:
    """Give a file a longer name and return that; nothing is deleted, and what cannot be renamed stays."""
    aside = path.with_name(f"{path.name}{ending}")
    with contextlib.suppress(OSError):
        os.replace(path, aside)
    return aside
