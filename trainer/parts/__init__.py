"""The parts: one class, one symbol, one set of laws each.

``CATALOGUE`` has every part that stands in a module of this package, by its class's name: being there is enough.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil

from trainer.parts.part import Part

__all__ = ["CATALOGUE"]


def _written() -> dict[str, type[Part]]:
    found: dict[str, type[Part]] = {}
    for module in sorted(one.name for one in pkgutil.iter_modules(__path__)):
        here = importlib.import_module(f"{__name__}.{module}")
        for name, kind in vars(here).items():
            if (
                inspect.isclass(kind)
                and issubclass(kind, Part)
                and kind is not Part
                and kind.__module__ == here.__name__
            ):
                found[name] = kind
    return found


CATALOGUE: dict[str, type[Part]] = _written()
