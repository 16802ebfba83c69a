"""The drawing of a rig: what stands still once, what moves at every frame, in one theme."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from trainer import units
from trainer.drawing.cylinder_view import CylinderView, stroke_of
from trainer.drawing.ends import rod_ends, shaft_ends
from trainer.drawing.figures_view import FiguresView
from trainer.drawing.labels import labels, laid_out
from trainer.drawing.lit import Halo, step_discs
from trainer.drawing.meter_places import meter_box, place_meters
from trainer.drawing.meters import Meter
from trainer.drawing.moving import CrankView, MotorView, Passage, ReliefView, SectionView
from trainer.drawing.pipes import (
    MARK,
    PITCH,
    STANDING,
    Pipes,
    Track,
    flowing,
    oil_speed,
    pilot_runs,
    route_rig,
    shared_pressure,
)
from trainer.drawing.placed import Placed, reach
from trainer.drawing.resting import Looks, settled
from trainer.drawing.route import Box
from trainer.drawing.scene_state import SceneOptions, SceneState
from trainer.drawing.shapes import Marks, Path, Point, Row, Shape, Sliding, Words
from trainer.drawing.still import ground, soft_ground, still_parts
from trainer.drawing.symbols.symbol import bounds_of, flat, turned
from trainer.drawing.theme import STEPS
from trainer.parts.part import Kind
from trainer.parts.roles import Actuator, DirectionalValve, Tank
from trainer.rig.live import Live, Number
from trainer.rig.rig import Rig
from trainer.units import System

__all__ = ["Scene", "SceneOptions", "SceneState", "Steps"]

MARGIN = 24.0
_LONGEST = PITCH / 3 - 0.1  # a mark never moves further in one frame [px]
_STROKE = 50.0  # px that a rod goes
_THIN = 6.0  # width of the pinched bypass [px]
Steps = Mapping[str, int | None]  # by line; None where it is covered
_NONE: Looks = {}
_Made = TypeVar("_Made")
_Pieces = dict[str, tuple[list[Shape], list[Shape]]]
_Batches = dict[tuple[str, float], list[Row]]


@dataclass(frozen=True, slots=True)
class _Moving:
    """The ground for a run's marks, the ports that tell its flow, the line's bore, its line."""

    track: Track
    ports: tuple[tuple[str, str], ...]
    bore: float | None
    line: str
    key: int


class Scene:
    """A rig as a drawing. Raises RigError where its drawing table cannot be used.

    ``size`` (width, height) [px]; ``columns`` {circuit: x}; ``levers`` {section id: x}; ``boxes`` {part id or
    instrument: (x, y, width, height)}, of a load all its way; ``labels`` what is written beside the parts.
    """

    def __init__(self, rig: Rig, options: SceneOptions | None = None) -> None:
        self.rig = rig
        self.options = options or SceneOptions()
        self.theme = self.options.theme
        self.layout, self.labels = laid_out(rig, self.theme, self.options.system)
        parts = self.layout.placed
        self.columns: Mapping[str, float] = self.layout.columns
        self.levers: Mapping[str, float] = self.layout.levers
        self.pressure_step = units.read(rig.drawing.get("step", "30 bar"), "pressure")
        self.figures = FiguresView(rig, self.layout, self.theme, self.options.system, self.pressure_step < 20e5)
        soft = [*(bounds_of((words,)) for words in self.labels), *self.figures.soft()]
        nets, self.gauges = route_rig(rig, self.layout, ground(self.layout), [*soft, *soft_ground(self.layout)])
        pilots = pilot_runs(rig, nets)
        self.pipes = Pipes(nets, self.theme, pilots)
        self._standing = max(STANDING, 0.01 * rig.delivery)
        self._order = sorted(nets, key=self._rank)
        named = [(name, run) for name in self._order for run in nets[name].runs]
        self._runs = [
            _Moving(
                Track(() if run in pilots else run.points, run.dotted), flowing(run), rig.lines[name].bore, name, key
            )
            for key, (name, run) in enumerate(named)
        ]
        sections = sum(p.symbol.manner.moves == "spool" for p in parts.values())
        letters = sections <= 2 if self.options.letters is None else self.options.letters
        self._sections = {
            i: SectionView(p, self.theme, letters, self._standing)
            for i, p in parts.items()
            if p.symbol.manner.moves == "spool"
        }
        self._cylinders = {
            i: (CylinderView(parts[i], self.theme), end) for i, end in rod_ends(rig, self.layout).items()
        }
        self._motors = {i: (MotorView(parts[i], self.theme), end) for i, end in shaft_ends(rig, self.layout).items()}
        self._cranks = {i: CrankView(p, self.theme) for i, p in parts.items() if p.symbol.manner.moves == "crank"}
        arrows = ("arrow", "back")
        self._reliefs = {i: ReliefView(p, self.theme) for i, p in parts.items() if p.symbol.manner.moves in arrows}
        self._kept_of: dict[Any, Any] = {}
        self._rested: dict[str, tuple[Hashable, list[Shape | Sliding]]] = {}
        self._marks: dict[int | None, tuple[str, float]] = {}
        self._stubs: dict[tuple[str, str, int | None], tuple[Shape, Shape]] = {}
        self._piped: dict[str, tuple[Sequence[Passage], Hashable, list[tuple[str, Shape, Shape]]]] = {}
        self._oil_ports = {
            id_: [port for port, kind in parts[id_].fitted.part.ports.items() if kind is Kind.OIL]
            for id_ in (*self._sections, *self._cylinders)
        }
        self._line_of = {port: line.name for line in rig.lines.values() for port in line.joins}
        self._hides = {
            name: shared_pressure(rig, instrument.on)
            for name, instrument in rig.instruments.items()
            if instrument.on_line and instrument.on in rig.lines
        }
        self.meters: Mapping[str, Meter] = place_meters(rig, self.layout, nets, self.theme, soft, self.gauges)
        self.figures.take(nets, self.gauges, self.meters)
        drawn = [
            tuple(s for s in p.symbol.drawn() if not _is_port_line(s, p))
            for i, p in parts.items()
            if p.symbol.through and self.layout.seen(i)
        ]
        drawn += [tuple(meter.shapes) for meter in self.meters.values()]
        self._over = [Sliding(tuple(s for s in shapes if not isinstance(s, Words))) for shapes in drawn]
        self._written_over = [shape for shapes in drawn for shape in shapes if isinstance(shape, Words)]
        self._speeds: tuple[Live | None, list[float]] = (None, [])
        self._grid = 0.0
        self.boxes = self._boxes()
        self._halo = Halo(nets, self.layout, self.boxes)
        self.size = self._measured()
        self._discs: tuple[object, list[Shape]] = (None, [])

    @property
    def grid(self) -> float:
        """What slides, and what reaches for it, stands at whole numbers of this [px]; 0: where it is."""
        return self._grid

    @grid.setter
    def grid(self, grid: float) -> None:
        if grid != self._grid:
            self._grid = grid
            for section in self._sections.values():
                section.grid = grid
            for cylinder, _ in self._cylinders.values():
                cylinder.grid = grid

    def once(self, make: Callable[[Scene], _Made]) -> _Made:
        """Return what a function makes of this scene; it is made when it is asked for first."""
        if make not in self._kept_of:
            self._kept_of[make] = make(self)
        found: _Made = self._kept_of[make]
        return found

    def _rank(self, line: str) -> tuple[int, str]:
        """Order of painting: tank lines first, the lines of the actuators last, so that they bridge."""
        owners = [self.layout.placed[owner] for owner, _ in self.rig.lines[line].joins]
        if any(p.vessel is not None for p in owners):
            return 0, line
        return (2 if any(isinstance(p.role, Actuator) for p in owners) else 1), line

    def _boxes(self) -> dict[str, Box]:
        boxes: dict[str, Box] = {}
        for id_, part in self.layout.placed.items():
            left, top, right, bottom = reach(part) if part.symbol.manner.moves == "spool" else part.box
            if part.symbol.manner.moves == "spool":
                left, right = part.x - 36, part.x + 36
            if id_ in self.layout.rods and self.layout.seen(id_):  # its rod goes in by the whole stroke
                rod = self.layout.placed[self.layout.rods[id_]]
                across, down = turned((_STROKE if rod.mirror else -_STROKE, 0.0), rod.turn)
                left, right = min(left, left + across), max(right, right + across)
                top, bottom = min(top, top + down), max(bottom, bottom + down)
            boxes[id_] = (left, top, right - left, bottom - top)
        spots = [(name, gauge.x, gauge.y) for name, gauge in self.gauges.items()]
        spots += [(name, meter.x, meter.y) for name, meter in self.meters.items()]
        for name, x, y in spots:
            boxes[name] = (x - 22, y - 22, 44.0, 44.0)
        return boxes

    def _measured(self) -> tuple[float, float]:
        edges = [bounds_of((shape,)) for shape in self.still()]
        edges += [reach(part) for part in self.layout.placed.values()]
        edges += [bounds_of(tuple(Path(run.points) for run in net.runs)) for net in self.pipes.nets.values()]
        for _, end in self._cylinders.values():
            edges += [(b[0], b[1], b[2] + 7 * self.theme.label, b[3]) for b in (load.box for load in end.loads)]
        boxes = [meter_box(meter, self.theme) for meter in self.meters.values()]
        edges += [(b[0], b[1], b[2] - MARGIN / 2, b[3] - MARGIN / 2) for b in boxes]
        return max(e[2] for e in edges) + MARGIN, max(e[3] for e in edges) + MARGIN

    # -- what stands still ------------------------------------------------------------------------------

    def still(
        self, system: System | None = None, number: Number | None = None, nameless: bool = False
    ) -> list[Shape]:
        """Return all that does not move; labels in a unit system, with the present numbers where known.

        ``nameless``: no ids, names or sizes.
        """
        shown = system or self.options.system
        shapes = still_parts(self.rig, self.layout, self.pipes.nets, self.theme, shown)
        if nameless:
            return [shape for shape in shapes if not (isinstance(shape, Words) and shape.ink == "ink2")]
        shapes += (
            self.labels
            if shown is self.options.system and number is None
            else labels(self.layout.placed, self.rig, self.theme, shown, number)
        )
        return [*shapes, *self.figures.names(self.theme.name_size)]

    # -- what moves -------------------------------------------------------------------------------------

    def advance(self, live: Live, view: SceneState, seconds: float) -> None:
        """Move the flow marks of a view by a stretch of simulated time [s]."""
        if view.reduced or seconds <= 0:
            return
        phases = view.phases
        for moving, speed in zip(self._runs, self.speeds(live), strict=True):
            if speed:
                step = max(-_LONGEST, min(_LONGEST, speed * seconds))
                phases[moving.key] = (phases.get(moving.key, 0.0) + step) % PITCH
        for id_, section in self._sections.items():
            for passage in section.picture(live).passages:
                if passage.stream:
                    bore = self.rig.lines[self._line_of[id_, passage.start]].bore
                    step = oil_speed(live.stream(id_, passage.stream), bore, self._standing) * seconds
                    step = max(-_LONGEST, min(_LONGEST, step))
                    phases[id_, passage.stream] = (phases.get((id_, passage.stream), 0.0) + step) % PITCH

    def speeds(self, live: Live) -> list[float]:
        """Return how fast the marks of every run go [px/s], read once at each instant."""
        if self._speeds[0] is not live:
            flow_of, standing = live.flow, self._standing
            flows = [sum([flow_of(*port) for port in moving.ports]) for moving in self._runs]
            pairs = zip(flows, self._runs, strict=True)
            self._speeds = (live, [oil_speed(flow, moving.bore, standing) for flow, moving in pairs])
        return self._speeds[1]

    def hidden(self, live: Live, view: SceneState) -> set[str]:
        """Return the lines whose pressure must not be told while a view's instruments are covered."""
        found: set[str] = set()
        if view.unseen:
            found |= {
                line.name for line in self.rig.lines_of_kind(Kind.OIL) if not self.rig.at_ports(line.name, Tank)
            }
        for name in view.covered:
            for line in self._hides.get(name, ()):
                drained = line != self.rig.instruments[name].on and self._drained(line, live)
                if not drained:
                    found.add(line)
        return found

    def _drained(self, line: str, live: Live) -> bool:
        """Return whether a work line stands open to the tank and carries next to no pressure."""
        if live.pressure(line) > 0.5 * self.pressure_step:
            return False
        for owner, port, role in self.rig.at_ports(line, DirectionalValve):
            if owner in self._sections and port in role.work:
                return any(p.stream == f"{port}_to_T" for p in self._sections[owner].picture(live).passages)
        return False

    def _step(self, line: str, live: Live, view: SceneState) -> int:
        """Return the pressure step of a line; a step holds until 2 bar beyond its border."""
        size = units.trade_step(self.pressure_step, "pressure", view.system)
        pressure = live.pressure(line)
        was = view.steps.get(line)
        slack = min(1e5, 0.1 * size)
        if was is not None and was * size - slack <= pressure < (was + 1) * size + slack:
            return was
        now = max(0, min(STEPS - 1, int(pressure // size)))
        view.steps[line] = now
        return now

    def live(self, live: Live, view: SceneState) -> list[Shape]:
        """Return all that changes, at one instant, over what stands still."""
        return [*flat(self.pipes_at(live, view)[1]()), *self.moving(live, view), *self.discs(view)]

    def pipes_at(
        self, live: Live, view: SceneState, steps: Steps | None = None, resting: Looks = _NONE
    ) -> tuple[Hashable, Callable[[], list[Shape | Sliding]]]:
        """Return the pipes outside the valves over what is lit, and a key that changes only when their looks do.

        ``steps`` are those of ``steps_at``, where they are known already; what is ``resting`` is among the pipes.
        """
        shown = self.steps_at(live, view) if steps is None else steps
        lit, chosen = view.lit, view.chosen

        def shapes() -> list[Shape | Sliding]:
            return [*self.halo(view), *self.piped(shown), *self.rested(live, shown, resting)]

        return (*shown.values(), frozenset(lit) if lit else None, chosen, *resting.items()), shapes

    def resting_at(self, live: Live, view: SceneState) -> Looks:
        """Return the sections and cylinders that have looked the same for a while, with their looks."""
        looks = {id_: section.look(live) for id_, section in self._sections.items()}
        for id_, (cylinder, end) in self._cylinders.items():
            looks[id_] = cylinder.look(live.place(end.line), stroke_of(cylinder.placed, live))
        awake = frozenset(name for kind, name in (*view.lit, view.chosen or ("", "")) if kind == "part")
        return settled(view.seen, looks, awake)

    def rested(self, live: Live, steps: Steps, resting: Looks) -> list[Shape | Sliding]:
        """Return what is resting, without words and what stands over the flow marks; the same shapes every time."""
        found: list[Shape | Sliding] = []
        for id_, look in resting.items():
            key = (look, *(steps[self._line_of[id_, port]] for port in self._oil_ports[id_]))
            kept = self._rested.get(id_)
            if kept is None or kept[0] != key:
                kept = self._rested[id_] = (key, self._at_rest(id_, live, steps))
            found += kept[1]
        return found

    def _at_rest(self, id_: str, live: Live, steps: Steps) -> list[Shape | Sliding]:
        if id_ in self._cylinders:
            return self._cylinder(id_, live, steps)
        picture = self._sections[id_].picture(live)
        pieces: _Pieces = {}
        self._pipe(id_, picture.passages, steps, pieces)
        return [*picture.under, *self._in_order(pieces)]

    def piped(self, steps: Steps) -> list[Shape]:
        """Return the pipes outside the valves at pressure steps."""
        found: list[Shape] = []
        for line in self._order:
            casing, core = self.pipes.painted(line, steps[line])
            found += casing
            found += core
            found += self.pipes.dots[line]
        return found

    def halo(self, view: SceneState) -> list[Shape]:
        """Return what is painted under the pipes around what is lit, and the ring around what is chosen."""
        return self._halo.shapes(view.lit, view.chosen) if view.lit or view.chosen else []

    def discs(self, view: SceneState, least: float = 0.0) -> list[Shape]:
        """Return the numbered steps of a path, over all else; no text smaller than ``least`` [px]."""
        if not view.steps_shown:
            return []
        key = (view.steps_shown, view.nameless, least)
        if self._discs[0] != key:
            nets = self.pipes.nets
            written = [box for box, *_ in self.figures.places(least)]
            if not view.nameless:
                words = (shape for shape in self.still() if isinstance(shape, Words))
                written += [bounds_of((replace(shape, size=max(shape.size, least)),)) for shape in words]
            made = step_discs(nets, self.layout, self.boxes, view.steps_shown, self.theme, least, written)
            self._discs = (key, made)
        return self._discs[1]

    def steps_at(self, live: Live, view: SceneState) -> Steps:
        """Return the pressure step of every line, None where it is covered."""
        hidden = self.hidden(live, view) if view.covered or view.unseen else ()
        return {line: None if line in hidden else self._step(line, live, view) for line in self._order}

    def moving(self, live: Live, view: SceneState, known: Steps | None = None, resting: Looks = _NONE) -> list[Shape]:
        """Return all that moves from frame to frame, to be painted over the pipes.

        ``known`` steps and what is ``resting`` as for ``pipes_at``.
        """
        shapes, words = self.sliding(live, view, known, resting)
        return [*flat(shapes), *words]

    def sliding(
        self, live: Live, view: SceneState, known: Steps | None = None, resting: Looks = _NONE
    ) -> tuple[list[Shape | Sliding], list[Shape]]:
        """Return all that moves, what slides as a whole still together, and the words and covers over it."""
        hidden = self.hidden(live, view) if view.covered or view.unseen else set()
        steps = self.steps_at(live, view) if known is None else known
        shapes: list[Shape | Sliding] = []
        over: list[Shape | Sliding] = []
        words: list[Shape] = []
        batches: _Batches = {}
        pieces: _Pieces = {}
        for id_, section in self._sections.items():
            picture = section.picture(live)
            lit, chosen = ("part", id_) in view.lit, view.chosen == ("part", id_)
            if lit or chosen:
                shapes += self._halo.around(id_, section.envelope(live), lit, chosen)
            if id_ not in resting:
                shapes += picture.under
                self._pipe(id_, picture.passages, steps, pieces)
            over += picture.over
            words += picture.words
            for passage in () if view.unmarked else picture.passages:
                self._passing(id_, passage, live, view, steps, batches)
        shapes += self._in_order(pieces)
        for moving, speed in zip(self._runs, self.speeds(live), strict=True):
            if speed and not view.unmarked:
                into = self._batch(batches, steps[moving.line])
                moving.track.marks(view.phases.get(moving.key, 0.0), speed, into)
        shapes += [Marks(tuple(rows), MARK, width, ink, PITCH) for (ink, width), rows in batches.items() if rows]
        shapes += over
        shapes += self._over
        words += self._written_over
        self._mechanisms(shapes, words, live, view, steps, resting)
        shapes += self.figures.faces(live, view)
        covers = frozenset(hidden), frozenset(view.covered), view.unseen_flows, view.unseen_heat
        key = (*covers, frozenset(view.moving), view.nameless, view.system)
        words += view.print("", key, lambda: self.figures.shapes(live, view, hidden))
        return shapes, words

    def _batch(self, batches: _Batches, step: int | None) -> list[Row]:
        look = self._marks.get(step)
        if look is None:
            ink, inside = self.theme.mark(step)
            look = self._marks[step] = ink, self.theme.pipe(step) - (2 * self.theme.casing + 1 if inside else 0.0)
        return batches.setdefault(look, [])

    def _pipe(self, id_: str, passages: Sequence[Passage], steps: Steps, pieces: _Pieces) -> None:
        """Add the pipes of a section's passages to the (casings, cores) of their lines."""
        key = tuple([steps[self._line_of[id_, port]] for port in self._oil_ports[id_]])
        kept = self._piped.get(id_)
        if kept is None or kept[0] is not passages or kept[1] != key:
            found: list[tuple[str, Shape, Shape]] = []
            for passage in passages:
                width = _THIN if passage.pinched else 0.0
                for port, points in zip((passage.start, passage.end), passage.halves, strict=True):
                    if points:
                        line = self._line_of[id_, port]
                        found.append((line, *self._piece(id_, passage, points, steps[line], width)))
            kept = self._piped[id_] = (passages, key, found)
        for line, casing, core in kept[2]:
            casings, cores = pieces.setdefault(line, ([], []))
            casings.append(casing)
            cores.append(core)

    def _piece(
        self, id_: str, passage: Passage, points: tuple[Point, ...], step: int | None, width: float
    ) -> tuple[Shape, Shape]:
        """Return (casing, core) of half a passage; a stub's are the same every time."""
        if passage.end:
            return self.pipes.piece(points, step, width)
        key = (id_, passage.start, step)
        found = self._stubs.get(key)
        if found is None:
            told = passage.start in self.rig.parts[id_].part.signals
            found = self.pipes.pilot(points, step) if told else self.pipes.piece(points, step, width)
            self._stubs[key] = found
        return found

    def _in_order(self, pieces: _Pieces) -> list[Shape]:
        return [shape for line in self._order if line in pieces for half in pieces[line] for shape in half]

    def _passing(
        self, id_: str, passage: Passage, live: Live, view: SceneState, steps: Steps, batches: _Batches
    ) -> None:
        """Add the flow marks of a passage."""
        flow = live.stream(id_, passage.stream) if passage.stream else 0.0
        if passage.pinched or not oil_speed(flow, None, self._standing):
            return
        phase = view.phases.get((id_, passage.stream), 0.0)
        for port, points, track in zip((passage.start, passage.end), passage.halves, passage.tracks, strict=True):
            if points:
                track.marks(phase, flow, self._batch(batches, steps[self._line_of[id_, port]]))

    def _cylinder(self, id_: str, live: Live, steps: Steps) -> list[Shape | Sliding]:
        cylinder, end = self._cylinders[id_]
        chambers = [steps[self._line_of[id_, port]] for port in self.rig.role(id_, Actuator).chambers]
        cap, annulus = (*("cover" if step is None else f"pressure{step}" for step in chambers), "cell")[:2]
        return cylinder.picture(live.place(end.line), stroke_of(cylinder.placed, live), cap, annulus)

    def _mechanisms(
        self,
        shapes: list[Shape | Sliding],
        words: list[Shape],
        live: Live,
        view: SceneState,
        steps: Steps,
        resting: Looks,
    ) -> None:
        """Add pistons, rods, loads, cranks and relief arrows; no speed that would tell a covered flow."""
        known = self.rig.instruments
        asked = view.unseen_flows or any(name in known and known[name].kind == "flow meter" for name in view.covered)
        for id_, relief in self._reliefs.items():
            shapes.append(relief.picture(live.value(id_, "opening")))
        for id_, crank in self._cranks.items():
            shapes += crank.picture(live.state(id_, "angle"))
        for motor, shaft in self._motors.values():
            turning = shaft.turning(live, view.moving)
            shapes += motor.picture(live.place(shaft.line), live.speed(shaft.line), turning)
            if turning:
                words += shaft.words(live, self.theme, view, asked)
        for id_, (cylinder, end) in self._cylinders.items():
            if id_ not in resting:
                shapes += self._cylinder(id_, live, steps)
            tip = cylinder.tip(live.place(end.line), stroke_of(cylinder.placed, live))
            loads, figured = end.picture(live, self.theme, view, tip, asked)
            shapes += loads
            words += figured


def _is_port_line(shape: Shape, part: Placed) -> bool:
    """Return whether a shape is the thin line from port to port that a pipe replaces."""
    places = [(a.x, a.y) for a in part.symbol.anchors.values()]
    return isinstance(shape, Path) and len(shape.points) == 2 and all(p in places for p in shape.points)
