"""Cylinders of every build on the drawing: each its own body, at the place of its rod, and called by itself."""

from __future__ import annotations

import pytest

from trainer.drawing.cylinder_view import CylinderView
from trainer.drawing.functions import twins
from trainer.drawing.placed import Placed
from trainer.drawing.symbols import SYMBOLS
from trainer.drawing.symbols.symbol import bounds_of, flat
from trainer.drawing.theme import THEMES
from trainer.parts import CATALOGUE
from trainer.rig import file as rig_file
from trainer.rig.rig import Fitted

BUILDS = [name for name, part in CATALOGUE.items() if SYMBOLS[part.symbol].manner.moves == "piston"]


@pytest.mark.parametrize("name", BUILDS)
def test_its_tip_is_where_the_rod_is(name: str) -> None:
    """Out by half its stroke the tip stands half of 50 px further, and the body ends there; all stays in reach."""
    fitted = Fitted("1A1", CATALOGUE[name], {}, {})
    placed = Placed(fitted, SYMBOLS[fitted.part.symbol].placed(0.0, 0.0), 0.0, 0.0, 0, False)
    view = CylinderView(placed, THEMES["light"])
    for share in (0.0, 0.5, 1.0):
        tip = view.tip(share, 1.0)
        assert tip == pytest.approx((55.0 + 50.0 * share, 0.0))
        left, top, right, bottom = bounds_of(tuple(flat(view.picture(share, 1.0, "pressure1", "cell"))))
        assert right == pytest.approx(tip[0])
        assert left >= -112.0
        assert -19.0 <= top < bottom <= 19.0


def test_only_cylinders_of_one_build_are_twins() -> None:
    """Two alike on the same lines are told once; a plunger beside them is another one."""
    rig = rig_file.loads("""
format = 1
title = "Three lifts on one line"
[parts]
0Z1 = { is = "Reservoir" }
0M1 = { is = "SteadyDrive" }
0P1 = { is = "FixedPump" }
0V1 = { is = "ReliefValve" }
1A1 = { is = "PlungerCylinder" }
1A2 = { is = "PlungerCylinder" }
1A3 = { is = "TelescopicCylinder" }
1W1 = { is = "Weight" }
1W2 = { is = "Weight" }
1W3 = { is = "Weight" }
[lines]
drive = ["0M1.shaft", "0P1.shaft"]
S = ["0Z1.S", "0P1.S"]
P = ["0P1.P", "0V1.P", "1A1.A", "1A2.A", "1A3.A"]
T = ["0V1.T", "0Z1.T"]
rod1 = ["1A1.rod", "1W1.rod"]
rod2 = ["1A2.rod", "1W2.rod"]
rod3 = ["1A3.rod", "1W3.rod"]
""")
    assert dict(twins(rig)) == {"1A1": ("1A1", "1A2")}
