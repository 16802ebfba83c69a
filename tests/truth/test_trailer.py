"""The trailer and its two legs on one section: which moves first, what each carries, uneven ground, the relief.

Trials of the contract: foot 2 in a hole of 60 mm, leg 1 touches first, both share, N1 + N2 is the weight. S09 and
T02: of two in parallel the one with the least resistance moves first.
"""

from __future__ import annotations

import pytest

from trainer.engine.session import Session
from trainer.rig.rig import Rig

from .printed import check
from .rigs import begin, si, supplied, until

GRAVITY = 9.80665
WEIGHT = (1700.0 + 2 * 15.0) * GRAVITY  # trailer and feet [N]


def legs(title: str, trailer: str = "", one: str = "", two: str = "") -> Rig:
    """Return a rig of the loader's legs on one section; further words for the trailer and each leg's cylinder."""
    cylinder = 'is = "Cylinder", bore = "63 mm", rod = "40 mm", stroke = "500 mm"'
    return supplied(
        title,
        f"""
1V1 = {{ is = "OpenCentreSection" }}
1A1 = {{ {cylinder}{one} }}
1A2 = {{ {cylinder}{two} }}
1W1 = {{ is = "Trailer"{trailer} }}
""",
        """
P1 = { joins = ["0P1.P", "0V1.P", "1V1.C", "1V1.P"], hose = "2 m", bore = "12.7 mm" }
A1 = { joins = ["1V1.A", "1A1.A", "1A2.A"], hose = "4 m", bore = "10 mm" }
B1 = { joins = ["1V1.B", "1A1.B", "1A2.B"], hose = "4 m", bore = "10 mm" }
T = ["0V1.T", "0Z1.T", "1V1.T", "1V1.C1"]
leg1 = ["1A1.rod", "1W1.leg1"]
leg2 = ["1A2.rod", "1W1.leg2"]
""",
        pump='is = "FixedPump"',
        displacement="15.2 cm3/rev",
        setting="180 bar",
        override="10 %",
        rated="27 L/min",
        stiffening="10",
        air="0.5 %",
    )


def setting_down(rig: Rig) -> Session:
    """Return a session with the trailer at rest on its tyres, the pump running and the lever full over."""
    session = begin(rig, tolerance=1e-6)
    session.set_control("0M1.setting", si("1800 r/min"))
    session.advance(3.0)
    session.set_control("1V1.lever", 1.0)
    return session


def loads(session: Session) -> tuple[float, float]:
    """Return what each foot carries [N]."""
    return session.readings.value("1W1", "load_1"), session.readings.value("1W1", "load_2")


@pytest.mark.soak
def test_one_foot_in_a_hole_of_60_mm() -> None:
    """Leg 1 touches first and waits, leg 2 goes on; then both carry, and lifted off the tyres all of the weight."""
    session = setting_down(legs("hole", ', ground2 = "-60 mm"'))
    until(session, lambda s: loads(s)[0] > 100, 1 / 60, 10)
    assert loads(session)[1] == 0.0, "foot 2 is still in the air"
    assert session.readings.value("1W1", "foot_2") > si("-60 mm") + 0.03
    touched = session.readings
    session.advance(0.4)
    one, two = (session.readings.place(leg) - touched.place(leg) for leg in ("leg1", "leg2"))
    assert two > 10 * abs(one), "the foot without load moves, the other waits"
    until(session, lambda s: loads(s)[1] > 100, 1 / 60, 10)
    assert session.readings.place("leg2") - session.readings.place("leg1") > si("50 mm")
    until(session, lambda s: min(s.readings.place("leg1"), s.readings.place("leg2")) > si("480 mm"), 1 / 60, 20)
    session.set_control("1V1.lever", 0.0)
    session.advance(5.0)
    one, two = loads(session)
    assert min(one, two) > 0.2 * WEIGHT, "both share"
    assert session.readings.value("1W1", "heave") > si("50 mm"), "the tyres hang free"
    check("legs", "N1 + N2, lifted [N]", one + two, WEIGHT, 1e-4)


@pytest.mark.parametrize(("ground", "side"), [("-80 mm", -1.0), ("80 mm", 1.0)])
def test_uneven_ground_tilts_the_trailer_until_the_legs_level_it(ground: str, side: float) -> None:
    """With foot 2 in a hole or on a hump the trailer stands level on its tyres, and the legs carry all of it.

    Parallel legs find their own lengths: the difference is near the step of the ground plus what the roll makes.
    """
    session = setting_down(legs("uneven", f', ground2 = "{ground}"'))
    assert session.readings.value("1W1", "roll") == pytest.approx(0.0, abs=1e-6)
    until(session, lambda s: sum(loads(s)) > 0.999 * WEIGHT, 1 / 60, 20)
    session.set_control("1V1.lever", 0.0)
    session.advance(3.0)
    r = session.readings
    check("legs", f"N1 + N2 with {ground} under foot 2 [N]", sum(loads(session)), WEIGHT, 1e-4)
    for leg, ground_now in (("1", 0.0), ("2", si(ground))):
        sunk = r.value("1W1", f"load_{leg}") / 4e6  # of the stiff ground
        assert r.value("1W1", f"foot_{leg}") == pytest.approx(ground_now - sunk, abs=2e-4), "each stands on its own"
    step = r.place("leg1") - r.place("leg2")
    levelled = 2 * 1.1 * r.value("1W1", "roll")
    assert step == pytest.approx(si(ground) + levelled, abs=1e-3)
    assert step * side > 0


def test_the_leg_with_the_least_resistance_moves_first() -> None:
    """S09, T02: the seals of leg 2 rub with 3 kN more: leg 1 goes down to the ground before that one stirs."""
    session = setting_down(legs("lighter", two=', kinetic_friction = "3 kN", stick_slip = "6.67 %"'))
    until(session, lambda s: s.readings.place("leg1") > si("200 mm"), 1 / 60, 10)
    assert session.readings.place("leg2") < si("2 mm"), "the stiff one waits"
    assert session.readings.pressure("A1") * si("31.17 cm2") < 3000, "for what the light one asks is not enough"
    until(session, lambda s: s.readings.place("leg2") > si("10 mm"), 1 / 60, 20)
    assert loads(session)[0] > 2500, "until the light one stands on the ground and asks for as much"
    assert loads(session)[1] == 0.0
    until(session, lambda s: loads(s)[1] > 100, 1 / 60, 20)


def test_legs_at_their_ends_are_on_the_relief() -> None:
    """With both legs out to their stops the oil goes over the relief, and the trailer is lifted all the way."""
    session = setting_down(legs("ends"))
    until(session, lambda s: min(s.readings.place(leg) for leg in ("leg1", "leg2")) > si("499 mm"), 1 / 60, 20)
    session.advance(1.0)
    r = session.readings
    full, rated = si("180 bar"), si("27 L/min")
    check("legs", "pump with both legs at their ends [bar]", r.pressure("P1") / 1e5, full / 1e5, 0.01)
    over = r.stream("0V1", "over_relief")
    assert over > 0.9 * rated, "nearly all of the oil"
    assert r.place("leg1") < si("502 mm")
    # the feet stand on the ground, so what the legs are longer than the gap the trailer is higher
    sunk = WEIGHT / 2 / 4e6
    check("legs", "trailer lifted [mm]", 1e3 * r.value("1W1", "heave"), 1e3 * (r.place("leg1") - 0.25 - sunk), 0.002)


def test_on_its_tyres_the_trailer_sinks_by_its_weight() -> None:
    """Tyres of 300 kN/m under trailer and feet: 28.3 mm (computed), the feet in the air."""
    session = begin(legs("tyres"), tolerance=1e-6)
    session.advance(5.0)
    check("legs", "on the tyres, down by [mm]", -1e3 * session.readings.value("1W1", "heave"), 1e3 * WEIGHT / 6e5)
    assert loads(session) == (0.0, 0.0)
