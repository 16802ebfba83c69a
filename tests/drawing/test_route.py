"""Routes: orthogonal, trees that reach every port, never on top of one another, far sides that sum."""

from __future__ import annotations

import pytest
from rig_for_drawing import DRAWING, bank, bench

from trainer.drawing.layout import lay_out
from trainer.drawing.nets import Net, Terminal, ring_in, tree_of
from trainer.drawing.pipes import route_rig
from trainer.drawing.route import Router
from trainer.drawing.shapes import Point
from trainer.drawing.still import ground
from trainer.errors import RigError
from trainer.parts.part import Kind
from trainer.rig.rig import Rig


def nets_of(rig: Rig) -> dict[str, Net]:
    layout = lay_out(rig)
    return route_rig(rig, layout, ground(layout), [])[0]


RIGS = {"bench": bench(DRAWING), "automatic bench": bench(), "bank": bank(4)}
NETS = {name: nets_of(rig) for name, rig in RIGS.items()}


def segments(net: Net) -> list[tuple[Point, Point]]:
    return [pair for run in net.runs for pair in zip(run.points, run.points[1:], strict=False)]


@pytest.mark.parametrize("name", RIGS)
def test_every_oil_line_is_drawn_square(name: str) -> None:
    assert set(NETS[name]) == {line.name for line in RIGS[name].lines_of_kind(Kind.OIL)}
    for net in NETS[name].values():
        assert all(a[0] == b[0] or a[1] == b[1] for a, b in segments(net))


@pytest.mark.parametrize("name", RIGS)
def test_no_line_lies_on_another(name: str) -> None:
    nets = list(NETS[name].values())
    for i, one in enumerate(nets):
        for other in nets[i + 1 :]:
            for a, b in segments(one):
                for c, d in segments(other):
                    for k in (0, 1):  # both level at one y, or both upright at one x
                        if a[1 - k] == b[1 - k] == c[1 - k] == d[1 - k] and a[k] != b[k] and c[k] != d[k]:
                            shared = min(max(a[k], b[k]), max(c[k], d[k])) - max(min(a[k], b[k]), min(c[k], d[k]))
                            assert shared <= 0, f"{one.line} on {other.line} at {a} {b} {c} {d}"


@pytest.mark.parametrize("name", RIGS)
def test_trees_reach_every_port(name: str) -> None:
    rig = RIGS[name]
    vessel = {("0Z1", "S"), ("0Z1", "T")}
    for line in rig.lines_of_kind(Kind.OIL):
        runs = NETS[name][line.name].runs
        reached = {port for run in runs for port in run.far if port[0]}
        left_out = set(line.joins) - vessel - reached
        # rooted in the vessel or at a junction; an unbranched line at its first port, on no far side then
        rooted_at_a_port = not (vessel & set(line.joins)) and not NETS[name][line.name].dots
        assert left_out == ({line.joins[0]} if rooted_at_a_port else set())


@pytest.mark.parametrize("name", RIGS)
def test_far_sides_sum_at_every_junction(name: str) -> None:
    """The ports beyond a run are those beyond the runs that follow it, and the port it ends at."""
    for net in NETS[name].values():
        for run in net.runs:
            after = [other for other in net.runs if other.points[0] == run.points[-1]]
            beyond = [port for other in after for port in other.far]
            assert set(beyond) <= set(run.far)
            assert len(set(run.far) - set(beyond)) == (0 if after else 1)


@pytest.mark.parametrize("name", ["automatic bench", "bank"])
def test_lines_keep_off_the_parts(name: str) -> None:
    layout = lay_out(RIGS[name])
    for net in NETS[name].values():
        for a, b in segments(net):
            for part in layout.placed.values():
                if part.vessel is not None or part.symbol.name in ("section", "cyl_da"):
                    continue
                left, top, right, bottom = (part.x - 15, part.y - 15, part.x + 15, part.y + 15)
                across = min(a[0], b[0]) < right and max(a[0], b[0]) > left
                assert not (across and min(a[1], b[1]) < bottom and max(a[1], b[1]) > top) or (part.symbol.through), (
                    f"{net.line} through {part.fitted.id}"
                )


def test_two_drops_into_one_vessel_are_one_tree() -> None:
    net = NETS["bench"]["T"]
    ends = [run.points[0] for run in net.runs]
    assert len(ends) == 2
    assert ends[0][1] == ends[1][1]  # both end under the surface, at one depth
    assert sorted(run.far for run in net.runs) == [(("0V1", "T"),), (("0Z2", "2"),)]


def test_a_ring_is_found_and_left_open() -> None:
    """Where it is written it is refused, see below; where it was searched, one of its sides is not drawn."""
    ports = [Terminal(("a", "1"), (0.0, 0.0), (0.0, 0.0)), Terminal(("b", "1"), (40.0, 0.0), (40.0, 0.0))]
    ring = [[(0.0, 0.0), (40.0, 0.0)], [(0.0, 0.0), (0.0, 40.0), (40.0, 40.0), (40.0, 0.0)]]
    assert ring_in(ring) in {point for path in ring for point in path}
    assert ring_in(ring[:1]) is None
    assert ring_in(ring[1:]) is None
    net = tree_of("x", ring, ports, {})
    assert [run.far for run in net.runs] == [(("b", "1"),)]


def test_a_port_left_out_is_named() -> None:
    ports = [Terminal(("a", "1"), (0.0, 0.0), (0.0, 0.0)), Terminal(("b", "1"), (40.0, 0.0), (50.0, 0.0))]
    with pytest.raises(ValueError, match="join all"):
        tree_of("x", [[(0.0, 0.0), (20.0, 0.0)]], ports, {})


def test_routes_go_round_what_stands_in_the_way() -> None:
    router = Router([(40.0, -20.0, 60.0, 20.0)], (-50.0, -80.0, 150.0, 80.0))
    path = router.search("x", (0.0, 0.0), [(100.0, 0.0)])
    assert path[0] == (0.0, 0.0)
    assert path[-1] == (100.0, 0.0)
    assert any(abs(y) > 20 for _, y in path)


def test_a_line_crosses_another_only_squarely() -> None:
    router = Router([], (-50.0, -80.0, 150.0, 80.0))
    router.take("wall", [(50.0, -80.0), (50.0, 80.0)])
    path = router.search("x", (0.0, 0.0), [(100.0, 0.0)])
    assert path == [(0.0, 0.0), (100.0, 0.0)]


@pytest.mark.parametrize(
    "table",
    [
        {"0P1": {"at": [1]}},
        {"0P1": {"at": "left"}},
        {"0P1": {"at": [True, 3]}},
        {"0P1": 3},
        {"routes": {"S": [["0P1.S", "9X9.P"]]}},
        {"routes": {"S": [["0P1.S", [1, "b"]]]}},
        {"routes": {"P1": [["0P1.P", [10, 10], [20, 10], [20, 20], [10, 20], [10, 10]]]}},
    ],
)
def test_a_drawing_that_cannot_be_used_says_where(table: dict[str, object]) -> None:
    with pytest.raises(RigError, match="drawing"):
        nets_of(bench(table))
