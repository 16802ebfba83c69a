"""Instruments find room: at every place of both shipped rigs, on no figure, no part and no other instrument."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache

import pytest

from trainer import resources
from trainer.drawing.free_ground import FACE, FreeGround, Spot, around, figures_ground
from trainer.drawing.labels import labels
from trainer.drawing.layout import lay_out
from trainer.drawing.meter_places import place_meters
from trainer.drawing.nets import Net
from trainer.drawing.pipes import Gauge, route_rig
from trainer.drawing.route import Box
from trainer.drawing.scene import Scene
from trainer.drawing.shapes import Words
from trainer.drawing.still import ground, soft_ground
from trainer.drawing.symbols.symbol import bounds_of
from trainer.drawing.theme import THEMES
from trainer.measuring.instruments import places
from trainer.parts.conduits import SuctionStrainer
from trainer.parts.part import Kind
from trainer.parts.roles import Tank
from trainer.rig import file as rig_file
from trainer.rig.rig import Instrument, Rig
from trainer.units import System

RIGS = ("one-spool-bench", "timber-trailer-loader")
THEME = THEMES["light"]


@lru_cache
def rig_of(name: str) -> Rig:
    return rig_file.load(resources.path(f"rigs/{name}.toml"))


def with_instruments(rig: Rig, *made: tuple[str, str, str]) -> Rig:
    """Return a rig with its own instruments and more: (name, kind, on)."""
    more = {name: Instrument(name, kind, on, 1e7) for name, kind, on in made}
    return replace(rig, instruments={**rig.instruments, **more})


@lru_cache
def words_of(name: str) -> tuple[tuple[Box, ...], tuple[Box, ...]]:
    """Return the boxes of labels and of figures of a rig's drawing."""
    rig = rig_of(name)
    layout = lay_out(rig)
    written = labels(layout.placed, rig, THEME, System.METRIC)
    return tuple(bounds_of((shape,)) for shape in written), tuple(figures_ground(rig, layout))


def meet(one: Box, other: Box, slack: float = 0.0) -> bool:
    return (
        one[0] < other[2] - slack
        and other[0] < one[2] - slack
        and one[1] < other[3] - slack
        and other[1] < one[3] - slack
    )


def routed(name: str, rig: Rig) -> tuple[dict[str, Net], dict[str, Gauge]]:
    layout = lay_out(rig)
    written, _ = words_of(name)
    return route_rig(rig, layout, ground(layout), [*written, *soft_ground(layout)])


def circle(x: float, y: float) -> Box:
    return x - FACE, y - FACE, x + FACE, y + FACE


def free(box: Box, boxes: Iterable[Box]) -> bool:
    return not any(meet(box, other, 1.0) for other in boxes)


def stubs(rig: Rig) -> set[str]:
    """Return the lines between a tank and its strainer: shorter than a gauge is wide, and at no pressure."""
    return {
        line.name
        for line in rig.lines.values()
        if rig.at_ports(line.name, Tank) and any(rig.parts[id_].part is SuctionStrainer for id_, _ in line.joins)
    }


@pytest.mark.soak
@pytest.mark.parametrize("name", RIGS)
def test_a_gauge_finds_room_on_every_oil_line(name: str) -> None:
    written, figures = words_of(name)
    layout = lay_out(rig_of(name))
    crowded = []
    for place in places(rig_of(name), "gauge"):
        if place.on in stubs(rig_of(name)):
            continue
        rig = with_instruments(rig_of(name), ("P8", "gauge", place.on))
        nets, gauges = routed(name, rig)
        gauge = gauges["P8"]
        x, y, _ = gauge.name_at
        words = bounds_of((Words(x, y, "P8", THEME.name_size, align="centre"),))
        others = [circle(g.x, g.y) for other, g in gauges.items() if other != "P8"]
        bodies = [box for box in ground(layout) if box != (0, 0, 0, 0)]
        if not (free(circle(gauge.x, gauge.y), [*figures, *bodies, *others]) and free(words, [*figures, *bodies])):
            crowded.append(place.on)
        taps = [port for run in nets[place.on].runs for port in run.far if port == ("", "P8")]
        assert taps, f"{place.on}: its pipe does not reach the gauge"
    assert not crowded
    assert written


@pytest.mark.parametrize("kind", [pytest.param("flow meter", marks=pytest.mark.soak), "tachometer", "thermometer"])
@pytest.mark.parametrize("name", RIGS)
def test_a_meter_finds_room_at_every_place(name: str, kind: str) -> None:
    """Nobody's figure or name lies under its circle, and its own words lie on no figure."""
    written, figures = words_of(name)
    bare = replace(rig_of(name), instruments={})
    nets, _ = routed(name, bare)
    layout = lay_out(bare)
    crowded = []
    for place in places(bare, kind):
        rig = replace(bare, instruments={"X1": Instrument("X1", kind, place.on, 1e7)})
        meter = place_meters(rig, layout, nets, THEME, written).get("X1")
        if not layout.seen(place.on.partition(".")[0] if kind != "tachometer" else rig.lines[place.on].joins[0][0]):
            continue
        assert meter is not None, place.on
        if meter.shapes and not free(circle(meter.x, meter.y), figures):
            crowded.append(place.on)
        assert min(meter.x, meter.y) > FACE, f"{place.on} lies outside"
        if meter.brief:
            assert len(meter.shapes) > 1
    assert not crowded


@pytest.mark.parametrize("name", RIGS)
def test_eight_instruments_stand_apart(name: str) -> None:
    """Four of the rig's own kinds and more: no two circles meet, and no two names."""
    rig = rig_of(name)
    section = "3" if "loader" in name else "1"
    more = (("P2", "gauge", f"A{section}"), ("P3", "gauge", f"B{section}"), ("Q2", "flow meter", f"{section}A1.A"),
            ("T2", "thermometer", "0P1"), ("P4", "gauge", "R"))  # fmt: skip
    scene = Scene(with_instruments(rig, *more[: 8 - len(rig.instruments)]))
    spots = [(g.x, g.y) for g in scene.gauges.values()]
    spots += [(m.x, m.y) for m in scene.meters.values() if m.shapes]
    for k, one in enumerate(spots):
        for other in spots[k + 1 :]:
            assert math.dist(one, other) > 2 * FACE
    names = [bounds_of((Words(*g.name_at[:2], n, THEME.name_size, align="centre"),)) for n, g in scene.gauges.items()]
    for k, box in enumerate(names):
        assert free(box, names[k + 1 :])


def test_a_gauge_keeps_the_place_of_the_drawing_table_on_its_own_line_only() -> None:
    rig = rig_of("timber-trailer-loader")
    _, gauges = routed("timber-trailer-loader", rig)
    given = rig.drawing["P1"]["at"]
    assert (gauges["P1"].x, gauges["P1"].y) == (given[0] * 10, given[1] * 10)
    moved = replace(rig, instruments={"P1": replace(rig.instruments["P1"], on="A5")})
    _, gauges = routed("timber-trailer-loader", moved)
    assert abs(gauges["P1"].x - 1360) < 200  # beside the grapple's line


def test_a_gauge_that_hangs_has_its_name_below() -> None:
    rig = with_instruments(rig_of("timber-trailer-loader"), ("P8", "gauge", "G4"))
    _, gauges = routed("timber-trailer-loader", rig)
    gauge = gauges["P8"]
    hangs = gauge.symbol.anchors["P"].y < gauge.y - 1
    assert (gauge.name_at[1] > gauge.y) == hangs


def test_where_nothing_is_free_the_cheapest_place_is_taken() -> None:
    """By hand: a body costs more than words; of two equal places the cheaper one of its own cost wins."""
    ground_ = FreeGround([(0.0, 0.0, 400.0, 400.0)], [], [], {})
    words: dict[str, Box] = {"right": (27.0, -8.0, 60.0, 8.0)}
    best = ground_.best(around((200.0, 200.0), (60.0, 80.0), words))
    assert best is not None
    assert best.cost > 1000
    assert (best.x, best.y) == (200.0, 140.0)
    empty = FreeGround([], [(190.0, 100.0, 210.0, 180.0)], [(0.0, 0.0, 600.0, 600.0)], {})
    empty.figures.clear()
    spot = empty.best([Spot(200.0, 140.0, None, (228.0, 130.0, 260.0, 150.0), 0.0),
                       Spot(400.0, 140.0, None, (428.0, 130.0, 460.0, 150.0), 50.0)])  # fmt: skip
    assert spot is not None
    assert spot.x == 400.0
    assert spot.cost == 50.0


def test_kinds_of_lines_are_those_that_are_drawn() -> None:
    rig = rig_of("one-spool-bench")
    nets, _ = routed("one-spool-bench", rig)
    assert set(nets) == {line.name for line in rig.lines_of_kind(Kind.OIL)}
