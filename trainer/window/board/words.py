"""Which words of a drawing are shown in its view, so that none runs into another or is cut off; the legend."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import Protocol

from PySide6.QtCore import QRect, QRectF

from trainer.drawing.legend import LEGEND, legend, standing_size, upright
from trainer.drawing.route import Box
from trainer.drawing.scene import Scene, SceneState, Steps
from trainer.drawing.shapes import DrawList, Path, Point, Shape, Words
from trainer.drawing.theme import Theme
from trainer.drawing.word_places import WordPlaces, box_of
from trainer.language import trn
from trainer.rig.live import Live
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.layer import extents
from trainer.window.painting.lettering import text_boxes
from trainer.window.painting.look import Look
from trainer.window.painting.sizes import sized
from trainer.window.painting.zoom import Zoom

__all__ = ["DrawingWords"]

_LEGEND = 0.86  # of its own size, to which the type of the legend may be larger than the legend
_STEPS, _SIDES = 12, 4  # from end to end, so many times the legend is tried; standing ones at the sides alone
_EDGE = 12.0  # left of what is told below the drawing [px]


def _standing(theme: Theme, system: System, pressure_step: float) -> list[Shape]:
    return upright(theme, system, pressure_step, theme.label)


class _Shown(Protocol):
    """What is asked of the view whose words are chosen."""

    look: Look
    rig: Rig
    readings: Live
    state: SceneState
    canvas: Canvas
    zoom: Zoom
    room: tuple[float, float, float, float]
    words_kept: Callable[[Words | Path, bool], bool] | None

    @property
    def scene(self) -> Scene:
        """The picture."""

    def placing(self) -> tuple[float, tuple[float, float]]:
        """Return the zoom, and left and top [px]."""

    def steps(self) -> Steps:
        """Return the pressure step of each pipe."""

    def update(self) -> None:
        """Paint it again."""

    def width(self) -> int:
        """Return the width [px]."""

    def height(self) -> int:
        """Return the height [px]."""

    def rect(self) -> QRect:
        """Return the whole ground [px]."""


class DrawingWords:
    """Chooses among the words of one view; ``shown`` are those that stand still and have been kept last."""

    def __init__(self, view: _Shown) -> None:
        self.view = view
        self.shown: list[Words] = []
        self.written: DrawList = ()  # over what moves, as it was painted last
        self._patched: list[tuple[QRectF, tuple[Shape, ...]]] = []  # box of each word shown; patch and word
        self._through: dict[int, tuple[Shape, tuple[int, ...]]] = {}
        self._taken: list[QRectF] = []  # by words that stand still
        self._places: tuple[tuple[Scene, float, float, Box | None], WordPlaces] | None = None
        self._corner: Box = (0.0, 0.0, 0.0, 0.0)  # where it is told that words have no room [px of the drawing]
        self._due = True

    def choose_anew(self) -> None:
        """Let the next moving words look for their places again; where some wait for that, soon."""
        self._due = True
        if self._places is not None and self._places[1].wait:
            self.view.update()

    # -- what stands still ---------------------------------------------------------------------------------------

    def still(self, shapes: DrawList) -> DrawList:
        """Return what stands still with the words that are kept, and the legend where there is room for it."""
        view = self.view
        if view.words_kept is not None:
            kept: DrawList = self._told(shapes, True)
        else:
            kept = self._placed().still(shapes, view.scene.moving(view.readings, view.state))
            if view.zoom.fitted:
                kept = [*kept, *self._legend(kept)]
        self.shown = [shape for shape in kept if isinstance(shape, Words)]
        self._patches()
        return kept

    def _placed(self) -> WordPlaces:
        """Return the places of words for the present scene, zoom and size of the view."""
        view = self.view
        zoom, (x, y) = view.placing()
        seen = (-x / zoom, -y / zoom, (view.width() - x) / zoom, (view.height() - y) / zoom)
        wanted = (view.scene, zoom, view.canvas.least, seen if view.zoom.fitted else None)
        if self._places is None or self._places[0] != wanted:
            places = WordPlaces(*wanted)
            self._places = (wanted, places)
            if view.zoom.fitted:
                self._corner = places.clear(self._corners(seen, zoom))
                places.keep_clear(self._corner, always=True)
        return self._places[1]

    def _corners(self, seen: Box, zoom: float) -> list[Box]:
        """Return where it can be told that words have no room [px of the drawing]."""
        edge, least = _EDGE / zoom, self.view.canvas.least
        left, top, right, bottom = box_of(_telling(88), zoom, least)
        wide, high = right - left, bottom - top
        west, east, north, south = (
            seen[0] + edge,
            seen[2] - edge - wide,
            seen[1] + edge / 2,
            seen[3] - edge / 2 - high,
        )
        return [(x, y, x + wide, y + high) for x, y in ((east, south), (west, south), (east, north), (west, north))]

    def _told_out(self) -> list[Words]:
        """Return the sentence that tells how many words have no room, where there are any."""
        count = self._placed().without_room
        if not count or not self.view.zoom.fitted:
            return []
        zoom = self.view.placing()[0]
        base = self._corner[3] - 0.2 * round(self.view.canvas.least) / zoom
        return [replace(_telling(count), x=self._corner[0], y=base)]

    def _pipes(self) -> DrawList:
        return self.view.scene.piped(self.view.steps())

    def _boxes(self, words: Iterable[Shape]) -> list[QRectF]:
        return [box for _, box, _ in text_boxes(words, *self.view.placing(), self.view.canvas.least)]

    def _legend(self, shapes: DrawList) -> DrawList:
        """Return the legend where the drawing leaves room for it [px of the drawing]: lying, standing, or none."""
        view = self.view
        zoom, (x, y) = view.placing()
        theme, room = view.scene.theme, view.room
        scale = max(view.look.scale, _LEGEND * view.canvas.least / theme.label)
        placed = self._placed()
        moving = placed.moving(view.scene.moving(view.readings, view.state), True)
        drawn = [*shapes, *self._pipes(), *moving, *self._told_out()]
        taken = [QRectF(box) for s in drawn for box in extents(s, zoom, (x, y), view.canvas.least)]
        taken += [
            QRectF(x + b[0] * zoom, y + b[1] * zoom, b[2] * zoom, b[3] * zoom) for b in view.scene.boxes.values()
        ]
        slack = 6 * scale
        for made, size, standing in ((legend, LEGEND, False), (_standing, standing_size(theme.label), True)):
            wide, high = size[0] * scale, size[1] * scale
            west, east = 36 * scale, view.width() - room[2] * scale - wide
            north, south = 6 * scale, view.height() - (room[3] + 6) * scale - high
            places = (
                self._beside(west, east, north, south) if standing else self._below(west, east, north, south, high)
            )
            for at, down in places:
                box = QRectF(at - slack, down - slack, wide + 2 * slack, high + 2 * slack)
                if at >= west and down >= north and not any(box.intersects(other) for other in taken):
                    left, top = (at - x) / zoom, (down - y) / zoom
                    placed.keep_clear((left, top, left + wide / zoom, top + high / zoom))
                    return sized(made(theme, view.look.system, view.scene.pressure_step), scale / zoom, (left, top))
        return ()

    def _below(self, west: float, east: float, north: float, south: float, high: float) -> Iterator[Point]:
        """Yield where a lying legend is tried, the best places first [px]: below the drawing, then above it."""
        view = self.view
        zoom, (_, y) = view.placing()
        middle, higher = (west + east) / 2, south - 1.4 * view.canvas.least  # above what is told in a corner
        yield from ((at, down) for down in (south, higher) for at in (east, middle, west))
        yield from ((at, y + view.scene.size[1] * zoom - high) for at in (east, middle))
        lower = north + 20 * view.look.scale
        for down in (lower, south, higher, north):
            yield from ((west + (east - west) * k / _STEPS, down) for k in range(_STEPS + 1))

    @staticmethod
    def _beside(west: float, east: float, north: float, south: float) -> Iterator[Point]:
        """Yield where a standing legend is tried [px]: at the sides, never far from them."""
        for k in range(_SIDES):
            step = (east - west) * k / _STEPS
            for at in (east - step, west + step):
                yield from ((at, south + (north - south) * row / _STEPS) for row in range(_STEPS + 1))

    def over(self, halo: DrawList) -> list[Shape]:
        """Return the words that stand still and that a halo would run through, each on a patch of paper."""
        met = sorted({k for shape in halo for k in self._run_through(shape)})
        return [shape for k in met for shape in self._patched[k][1]]

    def _run_through(self, shape: Shape) -> tuple[int, ...]:
        """Return which of the words shown a piece of a halo runs through; known again for the same piece."""
        kept = self._through.get(id(shape))
        if kept is None or kept[0] is not shape:
            zoom, origin = self.view.placing()
            pieces = _sides(shape) if isinstance(shape, Path) and shape.closed else (shape,)
            edges = [QRectF(box) for piece in pieces for box in extents(piece, zoom, origin, self.view.canvas.least)]
            met = tuple(k for k, (box, _) in enumerate(self._patched) if any(_meet(box, edge) for edge in edges))
            kept = self._through[id(shape)] = (shape, met)
        return kept[1]

    def _patches(self) -> None:
        """Prepare the words shown, each after a patch of paper of its size."""
        zoom, (x, y) = self.view.placing()
        self._through, self._patched = {}, []
        for words in self.shown:
            for box in self._boxes((words,)):
                left, top = (box.left() - x) / zoom, (box.top() - y) / zoom
                right, bottom = (box.right() - x) / zoom, (box.bottom() - y) / zoom
                corners = ((left, top), (right, top), (right, bottom), (left, bottom))
                self._patched.append((box, (Path(corners, None, 0.0, "paper", closed=True), words)))

    # -- what moves ----------------------------------------------------------------------------------------------

    def moving(self, words: DrawList) -> DrawList:
        """Return which of the words and covers over what moves are kept, where they have room."""
        if self.view.words_kept is not None:
            self.written = self._told(words, False)
            return self.written
        words = [*words, *self._flows()] if self.view.look.still_marks else words
        anew, self._due = self._due, False
        self.written = [*self._placed().moving(words, anew), *self._told_out()]
        return self.written

    def _told(self, shapes: DrawList, still: bool) -> list[Shape]:
        """Return the shapes without words and covers that are not kept, and without words that have no room."""
        kept, inside = self.view.words_kept, QRectF(self.view.rect())
        assert kept is not None
        taken = [] if still else list(self._taken)
        found: list[Shape] = []
        for shape in shapes:
            if isinstance(shape, Words):
                boxes = self._boxes((shape,))
                if not kept(shape, still) or not all(inside.contains(box) for box in boxes):
                    continue
                if any(_meet(box, other) for box in boxes for other in taken):
                    continue
                taken += boxes
            elif isinstance(shape, Path) and shape.hatch == "cover-hatch" and not kept(shape, still):
                continue
            found.append(shape)
        if still:
            self._taken = taken
        return found

    def _flows(self) -> DrawList:
        """Return the flow into each port of each cylinder in figures, for marks that stand."""
        view = self.view
        if (
            view.state.unseen_flows
            or view.state.unmarked
            or any(view.rig.instruments[name].kind == "flow meter" for name in view.state.covered)
        ):
            return []
        return [*view.scene.figures.flows(view.readings, view.look.system)]


def _telling(count: int) -> Words:
    """Return the sentence about words that have no room."""
    told = trn(
        "{count} word has no room here: Ctrl++ magnifies", "{count} words have no room here: Ctrl++ magnifies", count
    ).format(count=count)
    return Words(0.0, 0.0, told, 1.0, "ink2")


def _sides(shape: Path) -> list[Path]:
    """Return the pieces of a closed outline."""
    pairs = zip(shape.points, (*shape.points[1:], shape.points[0]), strict=True)
    return [Path(pair, shape.ink, shape.width) for pair in pairs]


def _meet(one: QRectF, other: QRectF) -> bool:
    shared = one.intersected(other)
    return shared.width() > 1.0 and shared.height() > 1.0
