"""Files that can be made again, in folders of this user alone: what lies there is taken only as it was left.

A folder can be entered by its owner alone and is no link; a file in it is an ordinary file of this user that nobody
else can change, and ends with the checksum of what it holds: both come into their place in one stroke, so that of
programs that leave different things under one name the last one counts, whole. Whatever is not so is not there.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import stat
from pathlib import Path
from typing import Any

import platformdirs

from trainer import files
from trainer.language import tr

__all__ = ["cache", "keep", "keep_newest", "read", "remove", "require", "write"]

_SUM = hashlib.sha256().digest_size  # bytes at the end; a system that loads a library does not look at them
_BESIDE = ".sha256"  # ending of the file in which versions before this one left a checksum
_LARGEST = 1 << 26  # bytes of a file


def cache(name: str) -> Path:
    """Return the folder of a name among what is kept for this user; nothing is made yet."""
    return platformdirs.user_cache_path("spoolroom", appauthor=False) / name


def require(folder: Path) -> Path:
    """Return a folder, made where there is none. Raises OSError where it is not of this user alone."""
    found = files.own_folder(folder)
    if not _own(found, stat.S_ISDIR):
        raise OSError(tr("{folder} is not a folder of this user alone").format(folder=found))
    return found


def _own(path: Path, kind: Any) -> bool:
    """Whether there is a thing of a kind, no link, that this user owns and nobody else can change."""
    try:
        found = path.lstat()
    except OSError:
        return False
    if os.name != "posix":  # there a user's folders say who may
        return bool(kind(found.st_mode))
    return bool(kind(found.st_mode)) and found.st_uid == os.getuid() and not found.st_mode & 0o022


def read(path: Path) -> bytes | None:
    """Return what a file holds if it is ours and as it was left; it counts as new then. None where it is not."""
    if not (_own(path.parent, stat.S_ISDIR) and _own(path, stat.S_ISREG)):
        return None
    try:
        held = files.read(path, _LARGEST)
    except OSError:
        return None
    content, told = held[:-_SUM], held[-_SUM:]
    if hashlib.sha256(content).digest() != told:
        if not _told_beside(path, held):
            return None
        content = held
    with contextlib.suppress(OSError):
        os.utime(path)  # the newest are kept
    return content


def _told_beside(path: Path, content: bytes) -> bool:
    """Whether a file beside another has the checksum of what that holds, as versions before this one left it."""
    beside = path.with_suffix(_BESIDE)
    try:
        kept = files.read(beside, 200) if _own(beside, stat.S_ISREG) else b""
    except OSError:
        return False
    return hashlib.sha256(content).hexdigest().encode() == kept.strip()


def write(path: Path, content: bytes) -> None:
    """Leave a file with its checksum. Raises OSError.

    Who reads while it is written once more finds what was there before or what is there now.
    """
    if os.path.lexists(path) and not _own(path, stat.S_ISREG):
        path.unlink(missing_ok=True)  # a link would be written through
    files.write(path, content + hashlib.sha256(content).digest(), private=True)


def keep(path: Path, content: bytes, most: int) -> None:
    """Leave a file in a folder of its kind, made where there is none; of those with its ending the newest stay.

    ``most`` is how many these are, this one among them. Raises OSError.
    """
    keep_newest(require(path.parent), path.suffix, most - 1)
    write(path, content)


def remove(path: Path) -> None:
    """Take away a file and what stands beside it, where they are there. Raises OSError."""
    for one in (path, path.with_suffix(_BESIDE)):
        one.unlink(missing_ok=True)


def keep_newest(folder: Path, ending: str, most: int) -> None:
    """Take away the oldest files with an ending beyond a number."""
    dated = []
    for path in folder.glob(f"*{ending}"):
        with contextlib.suppress(OSError):  # another process tidies as well
            dated.append((path.lstat().st_mtime, path))
    for _, old in sorted(dated, reverse=True)[most:]:
        with contextlib.suppress(OSError):
            remove(old)
