"""The drawing of a rig: what stands still once, what moves at every frame, in one theme."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass

from trainer import units
from trainer.drawing.ends import rod_ends, shaft_ends
from trainer.drawing.functions import twins
from trainer.drawing.labels import label_lines, labels, oil_block, pressure_place, return_place
from trainer.drawing.layout import Layout, Placed, lay_out, reach
from trainer.drawing.live import Live
from trainer.drawing.meters import Meter, covered_figure, face, figures, place_meters, pump_figures, reading
from trainer.drawing.moving import CrankView, CylinderView, MotorView, Passage, ReliefView, SectionView, stroke_of
from trainer.drawing.pipes import MARK, PITCH, STANDING, Pipes, Track, flowing, oil_speed, route_rig, shared_pressure
from trainer.drawing.route import Box
from trainer.drawing.scene_state import SceneOptions, SceneState
from trainer.drawing.shapes import Marks, Path, Shape, Words
from trainer.drawing.still import ground, soft_ground, still_parts
from trainer.drawing.symbols.symbol import M, bounds_of
from trainer.drawing.theme import STEPS, Theme
from trainer.rig import Rig
from trainer.units import System

__all__ = ["Scene", "SceneOptions", "SceneState"]

MARGIN = 24.0
_LONGEST = PITCH / 3 - 0.1  # a mark never moves further in one frame [px]
_THIN = 6.0  # width of the pinched bypass [px]
_Batches = dict[tuple[str, float], list[tuple[float, float, float]]]


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
    instrument: (x, y, width, height)}.
    """

    def __init__(self, rig: Rig, options: SceneOptions | None = None) -> None:
        self.rig = rig
        self.options = options or SceneOptions()
        self.theme = self.options.theme
        self.layout: Layout = lay_out(rig)
        parts = self.layout.placed
        self.columns: Mapping[str, float] = self.layout.columns
        self.levers: Mapping[str, float] = self.layout.levers
        self._lines = label_shapes(rig, self.layout, self.theme, self.options.system, None)
        self._pressures = {
            i: pressure_place(p, rig, self.theme, self.options.system)
            for i, p in parts.items()
            if p.symbol.name == "cyl_da" or p.symbol.name.startswith("motor")
        }
        self._pressures = {
            i: place
            for i, place in self._pressures.items()
            if label_lines(parts[i], rig, parts[i].fitted.value, self.options.system)
        }
        figures_at = [Words(x, y + 18, "A  000 bar", 18.0, align=a) for x, y, a in self._pressures.values()]
        soft = [bounds_of((words,)) for words in (*self._lines, *figures_at)]
        nets, self.gauges = route_rig(rig, self.layout, ground(self.layout), [*soft, *soft_ground(self.layout)])
        self.pipes = Pipes(nets, self.theme)
        self.pressure_step = units.read(rig.drawing.get("step", "30 bar"), "pressure")
        delivered = sum(f.part.delivery(f.value) for f in rig.parts.values())
        self._standing = max(STANDING, 0.01 * delivered)
        self._order = sorted(nets, key=self._rank)
        named = [(name, run) for name in self._order for run in nets[name].runs]
        self._runs = [
            _Moving(Track(run.points, run.dotted), flowing(run), rig.lines[name].bore, name, key)
            for key, (name, run) in enumerate(named)
        ]
        sections = sum(p.symbol.name == "section" for p in parts.values())
        letters = sections <= 2 if self.options.letters is None else self.options.letters
        self._sections = {
            i: SectionView(p, self.theme, letters) for i, p in parts.items() if p.symbol.name == "section"
        }
        self._cylinders = {
            i: (CylinderView(parts[i], self.theme), end) for i, end in rod_ends(rig, self.layout).items()
        }
        self._motors = {i: (MotorView(parts[i], self.theme), end) for i, end in shaft_ends(rig, self.layout).items()}
        self._cranks = {i: CrankView(p, self.theme) for i, p in parts.items() if p.symbol.name == "hand_crank"}
        self._reliefs = {i: ReliefView(p, self.theme) for i, p in parts.items() if p.symbol.name == "relief"}
        self._line_of = {port: line.name for line in rig.lines.values() for port in line.joins}
        self._hides = {
            name: shared_pressure(rig, instrument.on)
            for name, instrument in rig.instruments.items()
            if instrument.kind == "gauge" and instrument.on in rig.lines
        }
        self.meters: Mapping[str, Meter] = place_meters(rig, self.layout, nets, self.theme)
        self._figures = pump_figures(self.layout, nets, rig)
        pairs = twins(rig)
        self._together = {id_: pairs.get(id_, (id_,)) for id_ in self._pressures}
        self._oil = (3 * M, 2 * M + 0.8 * self.theme.name_size) if oil_block(rig) else None
        self._returns = (
            {i: return_place(p, self.theme) for i, p in parts.items() if p.symbol.name.startswith("filter")}
            if sections > 1
            else {}
        )
        self._over = [
            s for p in parts.values() if p.symbol.through for s in p.symbol.drawn() if not _is_port_line(s, p)
        ]
        self._over += [s for meter in self.meters.values() for s in meter.shapes]
        self.boxes = self._boxes()
        self.size = self._measured()

    def _rank(self, line: str) -> tuple[int, str]:
        """Order of painting: tank lines first, the lines of the actuators last, so that they bridge."""
        owners = [self.layout.placed[owner] for owner, _ in self.rig.lines[line].joins]
        if any(p.vessel is not None for p in owners):
            return 0, line
        return (2 if any(p.symbol.name.startswith(("cyl", "motor")) for p in owners) else 1), line

    def _boxes(self) -> dict[str, Box]:
        boxes: dict[str, Box] = {}
        for id_, part in self.layout.placed.items():
            left, top, right, bottom = reach(part) if part.symbol.name == "section" else part.box
            if part.symbol.name == "section":
                left, right = part.x - 36, part.x + 36
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
        return max(e[2] for e in edges) + MARGIN, max(e[3] for e in edges) + MARGIN

    # -- what stands still ------------------------------------------------------------------------------

    def still(self, system: System | None = None, live: Live | None = None) -> list[Shape]:
        """Return all that does not move; labels in a unit system, with the present numbers where known."""
        shown = system or self.options.system
        shapes = still_parts(self.rig, self.layout, self.pipes.nets, self.theme, shown)
        words = (
            self._lines
            if shown is self.options.system and live is None
            else label_shapes(self.rig, self.layout, self.theme, shown, live)
        )
        shapes += words
        if self._oil is not None:
            x, y = self._oil
            shapes.append(Words(x, y + 1.2 * self.theme.label, f"ISO {self.rig.oil.grade}", self.theme.label, "ink2"))
        for name, gauge in self.gauges.items():
            shapes.append(Words(gauge.x, gauge.y - 28, name, self.theme.name_size, "ink", 600, "centre"))
        return shapes

    # -- what moves -------------------------------------------------------------------------------------

    def advance(self, live: Live, view: SceneState, seconds: float) -> None:
        """Move the flow marks of a view by a stretch of simulated time [s]."""
        if view.reduced or seconds <= 0:
            return
        phases = view.phases
        flow_of = live.flow
        for moving in self._runs:
            flow = sum([flow_of(*port) for port in moving.ports])
            step = oil_speed(flow, moving.bore, self._standing) * seconds
            if step:
                step = max(-_LONGEST, min(_LONGEST, step))
                phases[moving.key] = (phases.get(moving.key, 0.0) + step) % PITCH
        for id_, section in self._sections.items():
            for passage in section.picture(live)[1]:
                if passage.stream:
                    bore = self.rig.lines[self._line_of[id_, passage.start]].bore
                    step = oil_speed(live.stream(id_, passage.stream), bore, self._standing) * seconds
                    step = max(-_LONGEST, min(_LONGEST, step))
                    phases[id_, passage.stream] = (phases.get((id_, passage.stream), 0.0) + step) % PITCH

    def hidden(self, live: Live, view: SceneState) -> set[str]:
        """Return the lines whose pressure must not be told while a view's instruments are covered."""
        found: set[str] = set()
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
        for owner, port in self.rig.lines[line].joins:
            if owner in self._sections and port in ("A", "B"):
                return any(p.stream == f"{port} to T" for p in self._sections[owner].picture(live)[1])
        return False

    def _step(self, line: str, live: Live, view: SceneState) -> int:
        """Return the pressure step of a line; a step holds until 2 bar beyond its border."""
        size = self.pressure_step
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
        return [*self.pipes_at(live, view)[1](), *self.moving(live, view)]

    def pipes_at(self, live: Live, view: SceneState) -> tuple[Hashable, Callable[[], list[Shape]]]:
        """Return the pipes outside the valves, and a key that changes only when their looks do."""
        steps = self._steps(live, view)

        def shapes() -> list[Shape]:
            found: list[Shape] = []
            for line in self._order:
                casing, core = self.pipes.painted(line, steps[line])
                found += casing
                found += core
                found += self.pipes.dots[line]
            return found

        return tuple(steps.values()), shapes

    def _steps(self, live: Live, view: SceneState) -> dict[str, int | None]:
        hidden = self.hidden(live, view) if view.covered else ()
        return {line: None if line in hidden else self._step(line, live, view) for line in self._order}

    def moving(self, live: Live, view: SceneState) -> list[Shape]:
        """Return all that moves from frame to frame, to be painted over the pipes."""
        hidden = self.hidden(live, view) if view.covered else ()
        steps = self._steps(live, view)
        shapes: list[Shape] = []
        over: list[Shape] = []
        batches: _Batches = {}
        casings: dict[str, list[Shape]] = {}
        cores: dict[str, list[Shape]] = {}
        for id_, section in self._sections.items():
            under, passages, front = section.picture(live)
            shapes += under
            over += front
            for passage in passages:
                self._passage(id_, passage, live, view, steps, casings, cores, batches)
        for line in self._order:
            shapes += casings.get(line, ())
            shapes += cores.get(line, ())
        flow_of = live.flow
        for moving in self._runs:
            flow = sum([flow_of(*port) for port in moving.ports])
            if oil_speed(flow, moving.bore, self._standing):
                into = self._batch(batches, steps[moving.line])
                moving.track.marks(view.phases.get(moving.key, 0.0), flow, into)
        shapes += [Marks(tuple(places), MARK, width, ink) for (ink, width), places in batches.items() if places]
        shapes += over
        shapes += self._over
        self._mechanisms(shapes, live, view, steps)
        self._readings(shapes, live, view, hidden)
        return shapes

    def _batch(self, batches: _Batches, step: int | None) -> list[tuple[float, float, float]]:
        ink, inside = self.theme.mark(step)
        width = self.theme.pipe(step) - (2 * self.theme.casing + 1 if inside else 0.0)
        return batches.setdefault((ink, width), [])

    def _passage(
        self,
        id_: str,
        passage: Passage,
        live: Live,
        view: SceneState,
        steps: Mapping[str, int | None],
        casings: dict[str, list[Shape]],
        cores: dict[str, list[Shape]],
        batches: _Batches,
    ) -> None:
        """Add a passage's pipes to those of its two lines, and its marks."""
        width = _THIN if passage.pinched else 0.0
        ends = (passage.start, passage.end)
        flow = live.stream(id_, passage.stream) if passage.stream else 0.0
        moving = oil_speed(flow, None, self._standing) and not passage.pinched
        phase = view.phases.get((id_, passage.stream), 0.0) if moving else 0.0
        for port, points, track in zip(ends, passage.halves, passage.tracks, strict=True):
            if not points:
                continue
            line = self._line_of[id_, port]
            step = steps[line]
            casing, core = self.pipes.piece(points, step, width)
            casings.setdefault(line, []).append(casing)
            cores.setdefault(line, []).append(core)
            if moving:
                track.marks(phase, flow, self._batch(batches, step))

    def _mechanisms(self, shapes: list[Shape], live: Live, view: SceneState, steps: Mapping[str, int | None]) -> None:
        """Add pistons, rods, loads, cranks and relief arrows."""
        for id_, relief in self._reliefs.items():
            shapes += relief.picture(live.value(id_, "opening"))
        for id_, crank in self._cranks.items():
            shapes += crank.picture(live.state(id_, "angle"))
        for motor, shaft in self._motors.values():
            turning = shaft.turning(live, view.moving)
            shapes += motor.picture(live.place(shaft.line), live.speed(shaft.line), turning)
            if turning:
                shapes += shaft.picture(live, self.theme, view.system)
        for id_, (cylinder, end) in self._cylinders.items():
            place, stroke = live.place(end.line), stroke_of(cylinder.placed, live)
            chambers = [steps[self._line_of[id_, port]] for port in ("A", "B")]
            cap, annulus = ("cover" if step is None else f"pressure{step}" for step in chambers)
            shapes += cylinder.picture(place, stroke, cap, annulus)
            shapes += end.picture(live, self.theme, view.system, cylinder.tip(place, stroke), view.moving)

    def _readings(self, shapes: list[Shape], live: Live, view: SceneState, hidden: set[str] | tuple[()]) -> None:
        """Add instruments and figures; covered ones hide theirs."""
        theme, system = self.theme, view.system
        fine = self.pressure_step < 20e5
        for name, gauge in self.gauges.items():
            instrument = self.rig.instruments[name]
            share = None if name in view.covered else live.pressure(instrument.on) / instrument.range_
            shapes += face(gauge, share, theme)

        def pressure(line: str, x: float, y: float, align: str, before: str, weight: int = 600) -> None:
            if line in hidden:
                unit = units.text(0.0, "pressure", system)[1]
                shapes.extend(covered_figure(x, y, unit, theme, align, before))
                return
            text = " ".join(figures(live.pressure(line), "pressure", system, fine))
            shapes.append(Words(x, y, f"{before}  {text}" if before else text, theme.label, "ink", weight, align))

        if self._oil is not None:
            shapes.append(
                Words(
                    *self._oil,
                    f"Oil {' '.join(units.text(live.temperature, 'temperature', system))}",
                    theme.name_size,
                    "ink",
                    600,
                )
            )
        for id_, (x, y, align) in self._pressures.items():
            weight = 600 if len(self._sections) < 2 or not view.moving.isdisjoint(self._together[id_]) else 400
            for k, port in enumerate(("A", "B")):
                pressure(self._line_of[id_, port], x, y + 1.15 * theme.label * k, align, port, weight)
        for id_, (x, y) in self._figures.items():
            line = self._line_of[id_, "P"]
            pressure(line, x + 14, y, "left", "")
            flow = -live.flow(id_, "P")
            covered = any(
                m.instrument.name in view.covered and m.instrument.on == f"{id_}.P" for m in self.meters.values()
            )
            text, unit = figures(flow, "flow", system, fine)
            if covered:
                shapes += covered_figure(x - 14, y, unit, theme, "right")
            else:
                shapes.append(Words(x - 14, y, f"{text} {unit}", theme.label, "ink", 600, "right"))
        for id_, (x, y, align) in self._returns.items():
            if not any(
                m.instrument.kind == "flow meter" and m.instrument.name in view.covered for m in self.meters.values()
            ):
                text = " ".join(figures(abs(live.flow(id_, "1")), "flow", system, fine))
                shapes.append(Words(x, y, text, theme.label, "ink", 600, align))
        for name, meter in self.meters.items():
            told = meter.instrument.on in {f"{id_}.P" for id_ in self._figures}
            shapes += reading(meter, live, theme, system, name in view.covered, told)


def _is_port_line(shape: Shape, part: Placed) -> bool:
    """Return whether a shape is the thin line from port to port that a pipe replaces."""
    places = [(a.x, a.y) for a in part.symbol.anchors.values()]
    return isinstance(shape, Path) and len(shape.points) == 2 and all(p in places for p in shape.points)


def label_shapes(rig: Rig, layout: Layout, theme: Theme, system: System, live: Live | None) -> list[Shape]:
    """Return every part's label, with the rig's numbers or the present ones."""

    def value(part: str, name: str) -> float:
        return live.parameter(part, name) if live is not None else rig.parts[part].value(name)

    return labels(layout.placed, rig, theme, system, value)
