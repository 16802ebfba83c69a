"""On which line of its text a key of a rig file stands, so that faults can be told in the order of the file."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator

__all__ = ["places"]

_WORD = re.compile(r"""[A-Za-z0-9_-]+|"(?:[^"\\\n]|\\.)*"|'[^'\n]*'""")
_QUOTED = re.compile(
    r'"""(?:[^\\]|\\.)*?"""|\'\'\'.*?\'\'\'|"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'|#[^\n]*|[\[\]{}\n]', re.DOTALL
)


def places(text: str) -> dict[tuple[str, ...], int]:
    """Return the line, counted from 1, of every table and key of a TOML text that can be parsed, by its path.

    Keys within a value stand where the value begins; a table that is named again stays where it was first.
    """
    begins = [k for k, c in enumerate(text) if c == "\n"]
    found: dict[tuple[str, ...], int] = {}
    table: tuple[str, ...] = ()
    for start, statement in _statements(text):
        path = _path(statement.lstrip("["))
        if statement.startswith("["):
            table = whole = path
        else:
            whole = (*table, *path)
        line = bisect_right(begins, start - 1) + 1
        for k in range(len(whole)):
            found.setdefault(whole[: k + 1], line)
    return found


def _statements(text: str) -> Iterator[tuple[int, str]]:
    """Yield where each statement begins, and its text: a table's header, or a key with its value."""
    start, depth = 0, 0
    for match in _QUOTED.finditer(text):
        mark = match[0]
        if mark in "[{":
            depth += 1
        elif mark in "]}":
            depth -= 1
        elif mark == "\n" and depth <= 0:
            yield from _told(text, start, match.start())
            start, depth = match.end(), 0
    yield from _told(text, start, len(text))


def _told(text: str, start: int, end: int) -> Iterator[tuple[int, str]]:
    statement = text[start:end].lstrip(" \t\r\n")
    if statement and not statement.startswith("#"):
        yield end - len(statement), statement


def _path(words: str) -> tuple[str, ...]:
    """Return the words of a dotted key at the beginning of a statement."""
    found: list[str] = []
    at = 0
    while match := _WORD.match(words, at):
        word = match[0]
        found.append(word[1:-1] if word[0] in "\"'" else word)
        rest = words[match.end() :]
        dot = re.match(r"[ \t]*\.[ \t]*", rest)
        if dot is None:
            break
        at = match.end() + dot.end()
    return tuple(found)
