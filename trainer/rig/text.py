"""The text of a file from a stranger: read within limits, parsed as TOML, walked for what can hurt.

Nothing in a file is ever run. What is refused here is refused before anything is made of it: too large,
not text, keys or brackets nested without end, numbers of a thousand digits, infinities, control characters.
"""

from __future__ import annotations

import math
import re
import tomllib
import unicodedata
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from trainer import units
from trainer.errors import Fault, RigError
from trainer.language import tr
from trainer.rig.places import places

__all__ = ["LARGEST_FILE", "Faults", "parse", "place", "quoted", "read_text", "shown", "what_is"]

LARGEST_FILE = 256_000  # bytes
_LONGEST_NAME = 64
_DEEPEST = 16
_MOST_FAULTS = 60
_PART = r"""(?:[A-Za-z0-9_-]++|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+')"""
_CHAIN = re.compile(rf"(?:^|(?<=[\s\[{{,])){_PART}(?:[ \t]*+\.[ \t]*+{_PART}){{40}}", re.MULTILINE)
_DEEP_BRACKETS = re.compile(r"(?:[\[{][ \t\r\n]*+){33}")
_CURLY = "“”„‟«»‘’‚‛´`"
_BIDIRECTIONAL = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
Where = Sequence[str | int]
_PLACE = re.compile(r"\[(\w+)\](?: ([^,\s]+))?")  # of a fault that is found in the rig, not in its text


class Faults:
    """Faults found so far, told in the order of the file; gives up when there are too many to be read.

    ``text`` is that of the file, where it can be parsed; it tells the lines.
    """

    def __init__(self, source: str, text: str = "") -> None:
        self.source = source
        self.found: list[Fault] = []
        self._text = text
        self._lines: dict[tuple[str, ...], int] = {}

    def add(self, kind: str, where: Where | str, problem: str, remedy: str = "", follows: str = "") -> None:
        """Note one fault. Raises RigError when it is one too many."""
        written = where if isinstance(where, str) else place(where)
        self.found.append(Fault(kind, written, problem, remedy, self._line(where), follows))
        if len(self.found) >= _MOST_FAULTS:
            self.stop(more=True)

    def within(self, where: str) -> list[Fault]:
        """Return the faults found at a place, such as "[lines] P1", or in it."""
        return [f for f in self.found if f.where == where or f.where.startswith((f"{where},", f"{where} "))]

    def _line(self, where: Where | str) -> int:
        """Return the line of a place, or of the nearest key around it that is known; 0 for none."""
        if self._text:
            self._lines, self._text = places(self._text), ""
        if isinstance(where, str):
            words = _PLACE.match(where)
            path = tuple(word for word in words.groups() if word) if words else ()
        else:
            path = tuple(word for word in where if isinstance(word, str))
        dotted = tuple(word for key in path for word in key.split("."))
        found = (self._lines.get(way[:k], 0) for k in range(len(dotted), 0, -1) for way in (path, dotted))
        return next((line for line in found if line), 0)

    def stop(self, more: bool = False) -> None:
        """Raise RigError if there are any; ``more`` says that not all are told."""
        if self.found:
            found = sorted(self.found, key=lambda fault: fault.line)
            if more:
                end = tr("there are more; only these are listed.")
                found.append(Fault("more faults", "", end, tr("Mend these first.")))
            raise RigError([*found], self.source)


def shown(value: object, longest: int = 40) -> str:
    """Return a value from a file as it may be shown in a message: one short line, nothing hidden in it."""
    if isinstance(value, int) and not isinstance(value, bool) and value.bit_length() > 64:
        return tr("a very long number")
    text = value if isinstance(value, str) else repr(value)
    text = "".join(c if c.isprintable() and c not in _BIDIRECTIONAL else "·" for c in text[: longest + 1])
    return text if len(text) <= longest else text[:longest] + "…"


def quoted(value: object, longest: int = 40) -> str:
    """Return a value from a file as it may be shown, in quotes that it does not hold itself."""
    return units.quoted(shown(value, longest))


def what_is(value: object) -> str:
    """Return in words what a TOML value is, e.g. "the number 5"."""
    if isinstance(value, bool):
        return f"{value!r}".lower()
    if isinstance(value, (int, float)):
        return tr("the number {shown}").format(shown=shown(value))
    if isinstance(value, str):
        return tr("the text {written}").format(written=quoted(value)) if value else tr("an empty text")
    if isinstance(value, list):
        return (
            tr("a list of {count}, {shown},").format(count=len(value), shown=shown(value))
            if value
            else tr("an empty list")
        )
    return (
        tr("a table") if isinstance(value, dict) else tr("the date or time {shown}").format(shown=shown(str(value)))
    )


def place(where: Where) -> str:
    """Return a path of keys as it stands in messages: "[parts] 0V1, key 'setting'"."""
    words = [tr("entry {word}").format(word=word + 1) if isinstance(word, int) else shown(word) for word in where]
    if not words:
        return ""
    if len(words) == 1:
        return _key(words[0])
    if len(words) == 2:
        return f"[{words[0]}] {words[1]}"
    rest = [word if isinstance(key, int) else _key(word) for word, key in zip(words[2:], where[2:], strict=True)]
    return f"[{words[0]}] {words[1]}, {', '.join(rest)}"


def _key(word: str) -> str:
    return tr("key '{key}'").format(key=word)


def read_text(path: Path) -> str:
    """Return the text of a file. Raises RigError: missing, no file, too large, binary, not UTF-8."""

    def refuse(kind: str, problem: str, remedy: str) -> RigError:
        return RigError([Fault(kind, "", problem, remedy)], str(path))

    try:
        if not path.exists():
            raise refuse("missing file", tr("there is no such file."), tr("Check the name and the folder."))
        if not path.is_file():
            what = tr("is a folder") if path.is_dir() else tr("is not an ordinary file")
            raise refuse("not a file", tr("this {what}.").format(what=what), tr("Name a file in it."))
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or tr("its name cannot be used")
        raise refuse(
            "cannot be read",
            tr("it cannot be opened ({reason}).").format(reason=reason),
            tr("Check its name and who may read it."),
        ) from None
    if len(content) > LARGEST_FILE:
        raise refuse(
            "too large",
            tr("it is larger than {largest_file} kB.").format(largest_file=LARGEST_FILE // 1000),
            tr("A file of this kind is a few kB; check that it is the right one."),
        )
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise refuse("not UTF-8", tr("it is saved as UTF-16."), tr("Save it again as UTF-8."))
    if b"\0" in content and min(len(content[k::2]) - content[k::2].count(0) for k in (0, 1)) < 0.1 * len(content):
        raise refuse("not UTF-8", tr("it is saved as UTF-16."), tr("Save it again as UTF-8."))
    if b"\0" in content:
        raise refuse("binary", tr("it holds binary data, not text."), tr("Choose a text file."))
    try:
        text = content.decode("utf-8-sig")
        return re.sub("\r(?!\n)", "\n", text)  # as some old editors end their lines
    except UnicodeDecodeError as error:
        line = max(content[: error.start].count(mark) for mark in (b"\n", b"\r")) + 1
        raise refuse(
            "not UTF-8",
            tr("line {line} holds a character that is not UTF-8.").format(line=line),
            tr("Save the file again as UTF-8."),
        ) from None


def parse(text: str, source: str) -> dict[str, Any]:
    """Return the TOML 1.0 document of a text, its values finite and printable. Raises RigError."""
    faults = Faults(source)
    if len(text) > LARGEST_FILE:
        faults.add(
            "too large",
            "",
            tr("the text is longer than {largest_file} kB.").format(largest_file=LARGEST_FILE // 1000),
            tr("Shorten it."),
        )
        faults.stop()
    text = text.removeprefix("\ufeff")
    if (chain := _CHAIN.search(text)) is not None:
        faults.add(
            "chain of dotted words",
            _line(text, chain.start()),
            tr("{written} is a chain of more than 40 dotted words.").format(written=quoted(chain[0], 20)),
            tr("Keys have at most a few words."),
        )
    elif (brackets := _DEEP_BRACKETS.search(text)) is not None:
        faults.add(
            "nested too deeply",
            _line(text, brackets.start()),
            tr("more than 32 brackets are open at once."),
            tr("Lists and tables of a rig are at most four deep."),
        )
    faults.stop()
    document: dict[str, Any] = {}
    try:
        document = tomllib.loads(text)
    except RecursionError:
        faults.add(
            "nested too deeply",
            "",
            tr("lists or tables are nested without end."),
            tr("Lists and tables of a rig are at most four deep."),
        )
    except tomllib.TOMLDecodeError as error:
        _syntax(str(error), text, faults)
    except ValueError:
        faults.add(
            "number too long", "", tr("a number has thousands of digits."), tr("Write numbers of a few digits.")
        )
    faults.stop()
    faults = Faults(source, text)
    _walk(document, [], faults)
    faults.stop()
    return document


def require_format(document: Mapping[str, Any], known: int, faults: Faults) -> None:
    """Refuse a document that says it is of another format than is ``known``. Raises RigError."""
    version = document.get("format")
    if isinstance(version, int) and not isinstance(version, bool) and version != known:
        remedy = (
            tr("It was written by a newer Spoolroom; this one reads format = {format}.").format(format=known)
            if version > known
            else tr("Write format = {format}.").format(format=known)
        )
        faults.add(
            "wrong format", ["format"], tr("format {version} is not known here.").format(version=version), remedy
        )
        faults.stop()


def _line(text: str, position: int) -> str:
    return tr("line {count}").format(count=text.count(chr(10), 0, position) + 1)


def _syntax(message: str, text: str, faults: Faults) -> None:
    """Note in a mechanic's words what the parser cannot read, and on which line."""
    reason, _, where = message.partition(" (at ")
    lines = text.split("\n")
    spot = re.match(r"line (\d+), column (\d+)", where)
    number = (
        min(int(spot[1]), len(lines)) if spot else max(k for k, line in enumerate(lines, 1) if line.strip() or k == 1)
    )
    written = lines[number - 1]
    place_ = (
        tr("line {number}, column {spot}").format(number=number, spot=spot[2])
        if spot
        else tr("line {number}").format(number=number)
    )
    told = reason.lower()
    if any(word in told for word in ("overwrite", "twice", "duplicate", "redefine", "mutate", "declare")):
        faults.add(
            "duplicate key",
            place_,
            tr("a name is given twice."),
            tr("Keep one of the two entries, or give the other one its own name."),
        )
    elif (curly := next((c for c in _unquoted(written) if c in _CURLY), "")) != "":
        problem = tr("a curly quote {curly} stands here, as a word processor makes them.").format(curly=curly)
        faults.add("syntax", place_, problem, tr('Write straight quotes: "50 bar".'))
    elif "illegal character '\\n'" in told or "unterminated string" in told:
        problem = tr("a quote is opened and not closed: {shown}").format(shown=shown(written.strip()))
        faults.add("syntax", place_, f"{problem}.", tr('Close every quote on its own line: "50 bar".'))
    elif "unclosed" in told or "expected ']'" in told or "expected '}'" in told:
        begin = _opened(lines, number)
        problem = tr("a bracket that line {begin} opens is not closed before this.").format(begin=begin)
        remedy = tr("Close every [ and {{ of line {begin}, and part what they hold by commas.").format(begin=begin)
        faults.add("syntax", place_, problem, remedy)
    elif "expected '=' after a key" in told or "invalid statement" in told:
        problem = tr("this line is no entry: {shown}").format(shown=shown(written.strip()))
        faults.add(
            "syntax",
            place_,
            f"{problem}.",
            tr('Write entries as name = "value", remarks behind a #, tables as [name].'),
        )
    elif "invalid value" in told:
        problem = tr("what stands behind the = cannot be read: {shown}").format(shown=shown(written.strip()))
        remedy = tr('Write a text in quotes, "50 bar", a plain number, true or false, a [list] or a { table }.')
        faults.add("syntax", place_, f"{problem}.", remedy)
    else:
        faults.add(
            "syntax",
            place_,
            tr("this is not TOML: {shown}.").format(shown=shown(reason, 80).lower()),
            tr('Write entries as name = "value", tables as [name], and close every quote and bracket.'),
        )


def _unquoted(line: str) -> str:
    """Return a line without what stands in straight quotes, and without its remark."""
    return re.sub(r'"[^"]*"|\'[^\']*\'', "", line).partition("#")[0]


def _opened(lines: Sequence[str], number: int) -> int:
    """Return the nearest line up to one, counted from 1, that opens more brackets than it closes; else that one."""
    for k in range(number, 0, -1):
        bare = _unquoted(lines[k - 1])
        if sum(map(bare.count, "[{")) > sum(map(bare.count, "]}")):
            return k
    return number


def _walk(value: object, where: list[str | int], faults: Faults) -> None:
    """Note what can hurt later on, at any depth of a document."""
    if len(where) > _DEEPEST:
        faults.add(
            "nested too deeply",
            where[:4],
            tr("it is nested more than {deepest} deep.").format(deepest=_DEEPEST),
            tr("Lists and tables of a rig are at most four deep."),
        )
    elif isinstance(value, dict):
        for key, item in value.items():
            if len(key) > _LONGEST_NAME or not key.isprintable():
                faults.add(
                    "bad name",
                    [*where, key],
                    tr("{written} cannot be a name.").format(written=quoted(key)),
                    tr("Use up to {longest_name} printable characters.").format(longest_name=_LONGEST_NAME),
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
                tr("{written} holds characters that cannot be shown.").format(written=quoted(value)),
                tr("Write plain text."),
            )
    elif isinstance(value, float) and not math.isfinite(value):
        faults.add(
            "not finite",
            where,
            tr("{value} is no number to reckon with.").format(value=value),
            tr("Write a finite number."),
        )
    elif isinstance(value, int) and value.bit_length() > 64:
        faults.add(
            "number too long",
            where,
            tr("it has more digits than any quantity needs."),
            tr("Write a number of a few digits."),
        )
