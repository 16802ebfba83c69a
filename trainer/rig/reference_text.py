"""Reference pages of parts as text: for a terminal, and as the file for people who write rigs."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from trainer.language import tr
from trainer.parts.part import Part
from trainer.rig.reference import Reference, Table, groups
from trainer.units import System

__all__ = ["COMMAND", "all_parts", "listed", "page", "wrapped"]

COMMAND = "spoolroom parts --out resources/parts.md --overwrite"  # how the file is made
_WIDTH = 100


def listed() -> Iterator[str]:
    """Yield the lines of the list of parts: by what they are, each with what it does."""
    known = groups()
    wide = max(len(part.__name__) for parts in known.values() for part in parts) + 2
    for k, (group, parts) in enumerate(known.items()):
        yield from ([""] if k else [])
        yield tr(group)
        for part in parts:
            told = f"{part.plain.term}. {part.plain.depths[0]}"
            yield from wrapped(f"  {part.__name__:{wide}}", told)


def page(part: type[Part], system: System) -> Iterator[str]:
    """Yield the lines of a part's page."""
    reference = Reference(part, system)
    yield f"{part.__name__}  {reference.title}"
    yield reference.group
    heads = (tr("What it does"), tr("How it works"), tr("How it is set"))
    for head, text in (*zip(heads, part.plain.depths, strict=True), (tr("Its law"), reference.law)):
        yield ""
        yield head
        yield from wrapped("  ", text)
    yield ""
    yield tr("In a rig file")
    yield f"  {reference.example}"
    for table in reference.tables:
        yield from _columns(table)
    if (shares := reference.efficiency) is not None:
        yield from _columns(shares)
        yield from wrapped("  ", reference.efficiency_words)


def wrapped(begin: str, text: str) -> list[str]:
    """Return a text in lines of a terminal behind what it begins with."""
    return textwrap.wrap(text, _WIDTH, initial_indent=begin, subsequent_indent=" " * len(begin)) or [begin.rstrip()]


def _columns(table: Table) -> Iterator[str]:
    """Yield a table in columns, the last one wrapped."""
    yield ""
    yield table.title
    rows = [table.heads, *table.rows]
    widths = [max(len(row[k]) for row in rows) for k in range(len(table.heads) - 1)]
    for row in rows:
        begin = "  " + "".join(f"{cell:{width}}  " for cell, width in zip(row[:-1], widths, strict=True))
        if len(begin) < 0.75 * _WIDTH:
            yield from wrapped(begin, row[-1])
        else:
            yield begin.rstrip()
            yield from wrapped("      ", row[-1])


def all_parts() -> str:
    """Return the pages of all parts in one text of Markdown, with numbers as rig files have them."""
    lines = [
        f"# {tr('Parts')}",
        "",
        tr("All that can stand in the table [parts] of a rig file, with every key that it takes. Made by"),
        f"`{COMMAND}`.",
        tr("A key that is not written has its default. What wears takes a number, or mild, marginal or failed."),
        tr("In [start] stand names of what is moved by hand and of what is told as at the start: 1V1.lever, 1W1.x."),
        "",
    ]
    known = groups()
    for group, parts in known.items():
        links = ", ".join(f"[{part.__name__}](#{part.__name__.lower()})" for part in parts)
        lines.append(f"- {tr(group)}: {links}")
    for group, parts in known.items():
        lines += ["", f"## {tr(group)}"]
        for part in parts:
            lines += _marked_down(Reference(part))
    return "\n".join(lines) + "\n"


def _marked_down(reference: Reference) -> Iterator[str]:
    part = reference.part
    yield from ("", f"### {part.__name__}", "")
    yield f"**{reference.title}.** {' '.join(part.plain.depths)}"
    yield from ("", f"{tr('Its law')}: {reference.law}", "", "```toml", reference.example, "```")
    tables = reference.tables
    if (shares := reference.efficiency) is not None:
        tables.append(shares)
    for table in tables:
        if len(table.heads) == 2:  # names with a word or a number each
            yield from ("", f"{table.title}: {', '.join(f'`{name}` ({told})' for name, told in table.rows)}")
            continue
        yield from ("", f"{table.title}:", "")
        yield f"| {' | '.join(table.heads)} |"
        yield f"|{'---|' * len(table.heads)}"
        for row in table.rows:
            cells = (f"`{cell}`" if k in table.names and cell else cell for k, cell in enumerate(row))
            yield f"| {' | '.join(cells)} |"
    if reference.efficiency_words:
        yield from ("", reference.efficiency_words)
