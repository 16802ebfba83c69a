"""The figures of a drawing: instruments, pressures at actuators, pump and return, the oil; covered ones hatched."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set
from dataclasses import replace

from trainer import units
from trainer.drawing.functions import twins
from trainer.drawing.labels import label_lines, oil_block, pressure_place, return_place
from trainer.drawing.meters import Meter, covered_figure, face, figures, pump_figures, read_figures, reading
from trainer.drawing.nets import Net
from trainer.drawing.pipes import Gauge
from trainer.drawing.placed import Layout
from trainer.drawing.route import Box
from trainer.drawing.scene_state import SceneState
from trainer.drawing.shapes import Figure, Shape, Sliding, Words
from trainer.drawing.symbols.symbol import M, bounds_of
from trainer.drawing.theme import Theme
from trainer.language import tr
from trainer.parts.roles import Actuator, Catcher, Conduit, DirectionalValve, Pump
from trainer.rig.live import Live
from trainer.rig.rig import Rig
from trainer.units import System

__all__ = ["FiguresView"]

_PRESSURE, _FLOW = "A  000 bar", "000.0 L/min"  # as wide as they get
_CAUGHT = "0000 cm³"


class FiguresView:
    """What is printed of an instant on a drawing in one theme; ``fine``: pressures and flows with one decimal more.

    ``gauges`` and ``meters`` are set by the scene once they are placed.
    """

    def __init__(self, rig: Rig, layout: Layout, theme: Theme, system: System, fine: bool) -> None:
        self.rig, self.theme, self.fine = rig, theme, fine
        parts = layout.placed
        self._layout = layout
        self._sections = len(rig.having(DirectionalValve))
        self._pressures = {
            i: pressure_place(p, rig, theme, system)
            for i, p in parts.items()
            if isinstance(p.role, Actuator) and label_lines(p, rig, p.fitted.value, system)
        }
        pairs = twins(rig)
        self._together = {id_: pairs.get(id_, (id_,)) for id_ in self._pressures}
        self._line_of = {port: line.name for line in rig.lines.values() for port in line.joins}
        self._oil = (3 * M, 2 * M + 0.8 * theme.name_size) if oil_block(rig) else None
        self._returns = (
            {i: return_place(parts[i], theme) for i, role in rig.having(Conduit).items() if role.filters}
            if self._sections > 1
            else {}
        )
        self._cups = {i: (parts[i].box[2] + 8.0, parts[i].y) for i in rig.having(Catcher) if i in parts}
        self._pumps: dict[str, tuple[float, float]] = {}
        self.gauges: Mapping[str, Gauge] = {}
        self.meters: Mapping[str, Meter] = {}

    def _chambers(self, id_: str) -> tuple[str, ...]:
        return self.rig.role(id_, Actuator).chambers

    def _outlet(self, id_: str) -> str:
        return self.rig.role(id_, Pump).outlet

    def take(self, nets: Mapping[str, Net], gauges: Mapping[str, Gauge], meters: Mapping[str, Meter]) -> None:
        """Take the routed lines and the placed instruments."""
        self._pumps = pump_figures(self._layout, nets, self.rig)
        self.gauges, self.meters = gauges, meters

    def soft(self) -> list[Box]:
        """Return where pressures of actuators will stand (left, top, right, bottom) [px]."""
        size = 18.0
        return [bounds_of((Words(x, y + size, _PRESSURE, size, align=a),)) for x, y, a in self._pressures.values()]

    def places(self, least: float = 0.0) -> Iterator[tuple[Box, str, str, str]]:
        """Yield what each figure is of: its box (left, top, right, bottom) [px], kind, name, port or "".

        No text is smaller than ``least`` [px].
        """
        size = max(self.theme.label, least)
        for id_, (x, y, align) in self._pressures.items():
            for k, port in enumerate(self._chambers(id_)):
                words = Words(x, y + 1.15 * self.theme.label * k, _PRESSURE, size, align=align)
                yield bounds_of((words,)), "part", id_, port
        for id_, (x, y) in self._pumps.items():
            for words in (Words(x + 14, y, _PRESSURE[3:], size), Words(x - 14, y, _FLOW, size, align="right")):
                yield bounds_of((words,)), "part", id_, self._outlet(id_)
        for id_, (x, y) in self._cups.items():
            yield bounds_of((Words(x, y, _CAUGHT, size),)), "part", id_, ""
        for id_, (x, y, align) in self._returns.items():
            yield (
                bounds_of((Words(x, y, _FLOW, size, align=align),)),
                "part",
                id_,
                self.rig.role(id_, Conduit).ends[0],
            )
        for name, meter in self.meters.items():
            x, y, align = meter.words
            yield bounds_of((Words(x, y, f"{name}  0000 r/min", size, align=align),)), "instrument", name, ""

    def flows(self, live: Live, system: System) -> Iterator[Words]:
        """Yield the flow at each port of each cylinder, below its pressures.

        For a picture whose marks stand: they tell the way, the figure how much. A port that passes nothing has none.
        """
        for id_, (x, y, align) in self._pressures.items():
            if self._layout.placed[id_].symbol.manner.moves != "piston":
                continue
            row = 2
            for port in self._chambers(id_):
                text, unit = figures(abs(live.flow(id_, port)), "flow", system, self.fine)
                if float(text) > 0:
                    at = y + 1.15 * self.theme.label * row
                    about = Figure("part", id_, "flow", port)
                    yield Words(x, at, f"{port}  {text} {unit}", self.theme.label, "ink", 600, align, about)
                    row += 1

    def names(self, size: float) -> list[Shape]:
        """Return what stands still: the gauges' names, and the oil's grade where it is told in the corner."""
        found: list[Shape] = []
        if self._oil is not None:
            x, y = self._oil
            found.append(Words(x, y + 1.2 * self.theme.label, f"ISO {self.rig.oil.grade}", self.theme.label, "ink2"))
        for name, gauge in self.gauges.items():
            x, y, align = gauge.name_at
            found.append(Words(x, y, name, size, "ink", 600, align))
        return found

    def faces(self, live: Live, view: SceneState) -> list[Shape | Sliding]:
        """Return the gauges with their needles at an instant."""
        shapes: list[Shape | Sliding] = []
        for name, gauge in self.gauges.items():
            instrument = self.rig.instruments[name]
            stands = view.needles.get(name, live.pressure(instrument.on) * (1 if instrument.kind == "gauge" else -1))
            shapes += face(gauge, None if name in view.covered else stands / instrument.range_, self.theme)
        return shapes

    def shapes(self, live: Live, view: SceneState, hidden: Set[str]) -> list[Shape]:
        """Return the figures at an instant; ``hidden`` lines do not tell their pressure."""
        theme, system, fine = self.theme, view.system, self.fine
        shapes: list[Shape] = []
        hot = {name for name, item in self.rig.instruments.items() if item.kind == "thermometer"}
        if self._oil is not None and not (view.unseen_heat or hot & view.covered):
            told = " ".join(units.text(live.temperature, "temperature", system))
            about = Figure("part", self.rig.tank, "temperature")
            shapes.append(
                Words(*self._oil, tr("Oil {told}").format(told=told), theme.name_size, "ink", 600, about=about)
            )
        for id_, (x, y, align) in self._pressures.items():
            weight = 600 if self._sections < 2 or not view.moving.isdisjoint(self._together[id_]) else 400
            for k, port in enumerate(self._chambers(id_)):
                at = y + 1.15 * theme.label * k
                shapes += self._pressure(live, system, hidden, (id_, port), (x, at, align), port, weight)
        told_covered = {m.instrument.on for m in self.meters.values() if m.instrument.name in view.covered}
        for id_, (x, y) in self._pumps.items():
            outlet = self._outlet(id_)
            shapes += self._pressure(live, system, hidden, (id_, outlet), (x + 14, y, "left"))
            by = next((m.instrument for m in self.meters.values() if m.instrument.on == f"{id_}.{outlet}"), None)
            if by is not None and by.name in view.told:
                text, unit = read_figures(by, view.told[by.name], system, fine)
            else:
                text, unit = figures(-live.flow(id_, outlet), "flow", system, fine)
            about = Figure("part", id_, "flow", outlet)
            if view.unseen_flows or f"{id_}.{outlet}" in told_covered:
                shapes += covered_figure(x - 14, y, unit, theme, "right", about=about)
            else:
                shapes.append(Words(x - 14, y, f"{text} {unit}", theme.label, "ink", 600, "right", about))
        for id_, (x, y) in self._cups.items():
            caught = live.value(id_, self.rig.role(id_, Catcher).caught)
            fine_unit, decimals = ("cm3", 0) if system is System.METRIC else ("in3", 2)
            written, unit = units.text_in(caught, units.unit(fine_unit), decimals)
            about = Figure("part", id_, "volume")
            if view.unseen_flows:
                shapes += covered_figure(x, y, unit, theme, "left", about=about)
            else:
                shapes.append(Words(x, y, f"{written} {unit}", theme.label, "ink", 600, "left", about))
        kinds = {self.rig.instruments[name].kind for name in view.covered if name in self.meters}
        if "flow meter" not in kinds and not view.unseen_flows:
            for id_, (x, y, align) in self._returns.items():
                inlet = self.rig.role(id_, Conduit).ends[0]
                text = " ".join(figures(abs(live.flow(id_, inlet)), "flow", system, fine))
                about = Figure("part", id_, "flow", inlet)
                shapes.append(Words(x, y, text, theme.label, "ink", 600, align, about))
        for name, meter in self.meters.items():
            told_there = meter.instrument.on in {f"{id_}.{self._outlet(id_)}" for id_ in self._pumps}
            made = reading(meter, live, theme, system, name in view.covered, told_there, view.told.get(name))
            shapes += _unnamed(made, name) if view.nameless else made
        return shapes

    def _pressure(
        self,
        live: Live,
        system: System,
        hidden: Set[str],
        of: tuple[str, str],
        at: tuple[float, float, str],
        before: str = "",
        weight: int = 600,
    ) -> list[Shape]:
        (x, y, align), theme = at, self.theme
        line, about = self._line_of[of], Figure("part", of[0], "pressure", of[1])
        if line in hidden:
            return covered_figure(x, y, units.shown_unit("pressure", system).pretty, theme, align, before, about)
        text = " ".join(figures(live.pressure(line), "pressure", system, self.fine))
        return [Words(x, y, f"{before}  {text}" if before else text, theme.label, "ink", weight, align, about)]


def _unnamed(shapes: list[Shape], name: str) -> list[Shape]:
    """Return shapes with an instrument's name taken out; nothing is left of words that say no more."""
    found: list[Shape] = []
    for shape in shapes:
        if not isinstance(shape, Words) or not shape.text.startswith(name):
            found.append(shape)
        elif left := shape.text[len(name) :].strip():
            found.append(replace(shape, text=left))
    return found
