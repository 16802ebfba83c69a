"""The text of a file from a stranger: read within limits, parsed as TOML, walked for what can hurt.

Nothing in a file is ever run. What is refused here is refused before anything is made of it: too large,
not text, keys or brackets nested without end, numbers of a thousand digits, infinities, control characters.
"""

from __future__ import annotations

import math
import re
import tomllib
import unicodedata
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from trainer.errors import Fault, RigError

__all__ = ["LARGEST_FILE", "Faults", "parse", "place", "read_text", "shown", "what_is"]

LARGEST_FILE = 256_000  # bytes
_LONGEST_NAME = 64
_DEEPEST = 16
_MOST_FAULTS = 60
_PART = r"""(?:[A-Za-z0-9_-]++|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+')"""
_CHAIN = re.compile(rf"(?:^|(?<=[\s\[{{,])){_PART}(?:[ \t]*+\.[ \t]*+{_PART}){{40}}", re.MULTILINE)
_DEEP_BRACKETS = re.compile(r"(?:[\[{][ \t\r\n]*+){33}")
_BIDIRECTIONAL = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
Where = Sequence[str | int]


class Faults:
    """Faults found so far; gives up with all of them when there are too many to be read."""

    def __init__(self, source: str) -> None:
        self.source = source
        self.found: list[Fault] = []

    def add(self, kind: str, where: Where | str, problem: str, remedy: str = "") -> None:
        """Note one fault. Raises RigError when it is one too many."""
        self.found.append(Fault(kind, where if isinstance(where, str) else place(where), problem, remedy))
        if len(self.found) >= _MOST_FAULTS:
            self.found.append(Fault("more faults", "", "there are more; only these are listed.", "Mend these first."))
            self.stop()

    def extend(self, faults: Iterable[Fault]) -> None:
        """Note faults that were found elsewhere, as many as can be read."""
        for fault in faults:
            self.add(fault.kind, fault.where, fault.problem, fault.remedy)

    def stop(self) -> None:
        """Raise RigError if there are any."""
        if self.found:
            raise RigError(self.found, self.source)


def shown(value: object, longest: int = 40) -> str:
    """Return a value from a file as it may be shown in a message: one short line, nothing hidden in it."""
    if isinstance(value, int) and not isinstance(value, bool) and value.bit_length() > 64:
        return "a very long number"
    text = value if isinstance(value, str) else repr(value)
    text = "".join(c if c.isprintable() and c not in _BIDIRECTIONAL else "·" for c in text[: longest + 1])
    return text if len(text) <= longest else text[:longest] + "…"


def what_is(value: object) -> str:
    """Return in words what a TOML value is, e.g. "the number 5"."""
    if isinstance(value, bool):
        return f"{value!r}".lower()
    if isinstance(value, (int, float)):
        return f"the number {shown(value)}"
    if isinstance(value, str):
        return f"the text '{shown(value)}'"
    if isinstance(value, list):
        return "a list"
    return "a table" if isinstance(value, dict) else f"the date or time {shown(str(value))}"


def place(where: Where) -> str:
    """Return a path of keys as it stands in messages: "[parts] 0V1, key 'setting'"."""
    words = [f"entry {word + 1}" if isinstance(word, int) else shown(word) for word in where]
    if not words:
        return ""
    if len(words) == 1:
        return f"key '{words[0]}'"
    if len(words) == 2:
        return f"[{words[0]}] {words[1]}"
    rest = [word if isinstance(key, int) else f"key '{word}'" for word, key in zip(words[2:], where[2:], strict=True)]
    return f"[{words[0]}] {words[1]}, {', '.join(rest)}"


def read_text(path: Path) -> str:
    """Return the text of a file. Raises RigError: missing, no file, too large, binary, not UTF-8."""

    def refuse(kind: str, problem: str, remedy: str) -> RigError:
        return RigError([Fault(kind, "", problem, remedy)], str(path))

    try:
        if not path.exists():
            raise refuse("missing file", "there is no such file.", "Check the name and the folder.")
        if not path.is_file():
            what = "is a folder" if path.is_dir() else "is not an ordinary file"
            raise refuse("not a file", f"this {what}.", "Name a file in it.")
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name cannot be used"
        raise refuse(
            "cannot be read", f"it cannot be opened ({reason}).", "Check its name and who may read it."
        ) from None
    if len(content) > LARGEST_FILE:
        raise refuse(
            "too large",
            f"it is larger than {LARGEST_FILE // 1000} kB.",
            "A file of this kind is a few kB; check that it is the right one.",
        )
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise refuse("not UTF-8", "it is saved as UTF-16.", "Save it again as UTF-8.")
    if b"\0" in content:
        raise refuse("binary", "it holds binary data, not text.", "Choose a text file.")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise refuse(
            "not UTF-8", f"line {line} holds a character that is not UTF-8.", "Save the file again as UTF-8."
        ) from None


def parse(text: str, source: str) -> dict[str, Any]:
    """Return the TOML 1.0 document of a text, its values finite and printable. Raises RigError."""
    faults = Faults(source)
    if len(text) > LARGEST_FILE:
        faults.add("too large", "", f"the text is longer than {LARGEST_FILE // 1000} kB.")
        faults.stop()
    text = text.removeprefix("\ufeff")
    if (chain := _CHAIN.search(text)) is not None:
        faults.add(
            "chain of dotted words",
            _line(text, chain.start()),
            f"'{shown(chain[0], 20)}' is a chain of more than 40 dotted words.",
            "Keys have at most a few words.",
        )
    elif (brackets := _DEEP_BRACKETS.search(text)) is not None:
        faults.add(
            "nested too deeply",
            _line(text, brackets.start()),
            "more than 32 brackets are open at once.",
            "Lists and tables of a rig are at most four deep.",
        )
    faults.stop()
    document: dict[str, Any] = {}
    try:
        document = tomllib.loads(text)
    except RecursionError:
        faults.add(
            "nested too deeply",
            "",
            "lists or tables are nested without end.",
            "Lists and tables of a rig are at most four deep.",
        )
    except tomllib.TOMLDecodeError as error:
        _syntax(str(error), faults)
    except ValueError:
        faults.add("number too long", "", "a number has thousands of digits.", "Write numbers of a few digits.")
    faults.stop()
    _walk(document, [], faults)
    faults.stop()
    return document


def _line(text: str, position: int) -> str:
    return f"line {text.count(chr(10), 0, position) + 1}"


def _syntax(message: str, faults: Faults) -> None:
    reason, _, where = message.partition(" (at ")
    where = where.rstrip(")")
    if any(word in reason.lower() for word in ("overwrite", "twice", "duplicate", "redefine", "mutate")):
        faults.add(
            "duplicate key",
            where,
            "a name is given twice.",
            "Keep one of the two entries, or give the other one its own name.",
        )
    else:
        faults.add(
            "syntax",
            where,
            f"this is not TOML: {shown(reason, 80).lower()}.",
            'Write entries as name = "value", tables as [name], and close every quote and bracket.',
        )


def _walk(value: object, where: list[str | int], faults: Faults) -> None:
    """Note what can hurt later on, at any depth of a document."""
    if len(where) > _DEEPEST:
        faults.add(
            "nested too deeply",
            where[:4],
            f"it is nested more than {_DEEPEST} deep.",
            "Lists and tables of a rig are at most four deep.",
        )
    elif isinstance(value, dict):
        for key, item in value.items():
            if len(key) > _LONGEST_NAME or not key.isprintable():
                faults.add(
                    "bad name",
                    [*where, key],
                    f"'{shown(key)}' cannot be a name.",
                    f"Use up to {_LONGEST_NAME} printable characters.",
                )
            else:
                _walk(item, [*where, key], faults)
    elif isinstance(value, list):
        for index, item in enumerate(value):
            _walk(item, [*where, index], faults)
    elif isinstance(value, str):
        if any(
            c in _BIDIRECTIONAL or (unicodedata.category(c) in ("Cc", "Cn", "Co") and c not in "\n\t") for c in value
        ):
            faults.add(
                "bad characters",
                where,
                f"'{shown(value)}' holds characters that cannot be shown.",
                "Write plain text.",
            )
    elif isinstance(value, float) and not math.isfinite(value):
        faults.add("not finite", where, f"{value} is no number to reckon with.", "Write a finite number.")
    elif isinstance(value, int) and value.bit_length() > 64:
        faults.add(
            "number too long",
            where,
            "it has more digits than any quantity needs.",
            "Write a number of a few digits.",
        )
