"""The symbols of the trade as data; ``SYMBOLS`` is the one registry, by name."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from trainer.drawing.symbols import (
    cells,
    cylinders,
    instruments,
    loads,
    plumbing,
    pressure,
    restrictors,
    supply,
    valves,
)
from trainer.drawing.symbols.manner import PLAIN
from trainer.drawing.symbols.notation import sketch
from trainer.drawing.symbols.symbol import Anchor, M, Symbol

__all__ = ["SYMBOLS", "Anchor", "M", "Symbol"]


def _registry() -> Mapping[str, Symbol]:
    families = (plumbing, supply, cylinders, cells, valves, pressure, restrictors, instruments, loads)
    rows = {name: row for family in families for name, row in family.ROWS.items()}
    drawings = {name: drawing for name, (_, drawing, _) in rows.items()}
    manners = {name: manner for family in families for name, manner in getattr(family, "MANNERS", {}).items()}
    inner = dict.fromkeys(
        ("section", "section_closed", "section_ls", "section_four", "section_piloted"), loads.SECTION
    )
    return MappingProxyType(
        {
            name: sketch(name, title, drawing, ports, drawings, inner.get(name), manners.get(name, PLAIN))
            for name, (title, drawing, ports) in rows.items()
        }
    )


SYMBOLS: Mapping[str, Symbol] = _registry()
