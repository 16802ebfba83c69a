"""A picture of the drawing that leaves the program: its words clear of each other, what it is of below it."""

from __future__ import annotations

from trainer.changing.caption import MARGIN, caption_height, caption_shapes
from trainer.drawing.scene import Scene, SceneOptions, SceneState
from trainer.drawing.shapes import Shape
from trainer.drawing.theme import Theme
from trainer.drawing.word_places import WordPlaces
from trainer.engine.session import Session
from trainer.language import trn
from trainer.units import System

__all__ = ["pictured"]


def pictured(
    session: Session, theme: Theme, system: System, words: str = "", view: SceneState | None = None
) -> tuple[list[Shape], tuple[float, float]]:
    """Return the drawing at the session's present instant with ``words`` below it, and its size [board px].

    Where it is of a ``view``, its covers cover and its needles stand as they do there. Words stand where
    ``WordPlaces`` puts them, as in the window; those without room are left out, and it is told how many.
    """
    scene, readings = Scene(session.rig, SceneOptions(theme, system)), session.readings
    state = SceneState(system)
    if view is not None:
        state.covered, state.needles, state.told = set(view.covered), dict(view.needles), dict(view.told)
        state.unseen, state.unseen_flows, state.nameless = view.unseen, view.unseen_flows, view.nameless
        state.unseen_heat = view.unseen_heat
    scene.advance(readings, state, 1e-9)
    across, down = scene.size
    places = WordPlaces(scene, 1.0, 0.0, (0.0, 0.0, across, down))
    live = scene.live(readings, state)
    shapes = [*places.still(scene.still(system, session.number, state.nameless), live), *places.moving(live, True)]
    if count := places.without_room:
        lost = trn(
            "{count} word has no room in the picture", "{count} words have no room in the picture", count
        ).format(count=count)
        words = f"{words} · {lost}".strip(" ·")
    shapes += caption_shapes(words, MARGIN, down, across - 2 * MARGIN)
    return shapes, (across, down + caption_height(words, across - 2 * MARGIN))
