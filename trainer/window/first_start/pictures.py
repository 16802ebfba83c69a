"""What is behind the doors, as pictures: the loader under way, the bench, a lever."""

from __future__ import annotations

from trainer import resources
from trainer.drawing.rack import lever_live, lever_still
from trainer.drawing.scene_picture import scene_picture
from trainer.drawing.shapes import Shape, Words
from trainer.drawing.symbols.symbol import flat
from trainer.drawing.theme import THEMES
from trainer.errors import SpoolroomError
from trainer.language import tr
from trainer.rig import file as rig_file

__all__ = ["drawn", "lever"]


def drawn(name: str, theme: str) -> list[Shape]:
    """Return the drawing of a shipped rig without words, its lines empty; nothing where it cannot be read."""
    try:
        rig = rig_file.load(resources.rigs()[name])
    except (SpoolroomError, KeyError):
        return []
    return scene_picture(rig, THEMES[theme])


def lever() -> list[Shape]:
    """Return a lever a third of its way over."""
    ends = (tr("lower"), tr("lift"))
    still = [shape for shape in lever_still("", -1.0, 1.0) if not (isinstance(shape, Words) and not shape.text)]
    return [*still, *flat(lever_live(0.35, ends))]
