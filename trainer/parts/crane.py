"""The two-link crane on its slewing column, with a load that hangs and swings; and the grapple on it."""

from __future__ import annotations

from collections.abc import Iterator

import casadi as ca

from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts.laws import bristle, contact, pos, pos_energy, ramp
from trainer.parts.mechanics import mechanism, pin_distance
from trainer.parts.part import At, Control, Expr, Heat, Kind, Law, Loss, Parameter, Part, State
from trainer.parts.plain import Plain
from trainer.parts.roles import Load
from trainer.parts.sheet import MOMENT, PERCENT, Sheet, balance
from trainer.units import GRAVITY, pair

__all__ = ["BOOM_PINS", "STICK_PINS", "Crane", "Grapple"]

ROD, SHAFT = Kind.ROD, Kind.SHAFT
_LENGTH = pair("m", 2, "ft", 2)

# Geometry of our own small log loader [m, kg, kg m2]: frames as in the class's text.
_BOOM, _STICK = 2.60, 2.05
BOOM_PINS = ((0.33, -0.15), (0.18, -1.08))  # on the boom, on the column
STICK_PINS = ((-0.27, 0.09), (1.32 - _BOOM, 0.20))  # on the stick, on the boom, both from the stick's pivot
BOOM_CLOSED, STICK_CLOSED = 0.825, 1.03  # pin distance of the closed cylinders
_LINK_SPIN = 4.0  # of rotator and grapple about the cross joint


class Crane(Part):
    """Boom, stick and slewing column as one mechanism; a load hangs from the tip by a cross joint and swings.

    Angles: slew from straight ahead, boom from level (up positive), stick from the boom (0 straight, folding
    negative), sway radial and sideways. The boom cylinder pushes the boom up, the stick cylinder folds the stick.
    Slewing is held by dry friction (one bristle); the ground may slope.
    """

    ports = {"boom": ROD, "stick": ROD, "slew": SHAFT}
    carries = ("boom", "stick", "slew")
    ends = {"slew": "slew_end"}
    symbol = "crane"
    letter = "W"
    plain = Plain(
        mark("Crane mechanism"),
        does=mark("It carries the load: a boom that lifts, a stick that folds, a column that slews."),
        works=mark(
            "A cylinder pushes at a lever arm that changes with the posture, so the same load asks for "
            "another pressure at each angle. The load hangs from the tip and swings when the tip speeds up or"
            " stops."
        ),
        set=mark(
            "Its limits are those of the maker's load chart: far out less may hang than close in. Pressures "
            "may be compared only at the same posture with the same load."
        ),
    )
    role = Load("boom", lifted="boom", ways=(("boom", "up", "down"), ("stick", "folding in", "reaching out")))
    words = {
        "column": "column", "pins": "pins", "sway": "sway", "motion": "motion", "height": "height",
        "bristle": "bristle", "stops": "stops",
    }  # fmt: skip
    load = Control("0 kg", low="0 kg", high="900 kg", meaning="load in the grapple", ends=("", ""))
    boom_mass = Parameter("165 kg", low="20 kg", high="2000 kg", meaning="mass of the boom")
    stick_mass = Parameter("95 kg", low="10 kg", high="1500 kg", meaning="mass of the stick")
    grapple_mass = Parameter("115 kg", low="10 kg", high="1000 kg", meaning="mass of rotator and grapple")
    link = Parameter("1.35 m", low="0.3 m", high="5 m", meaning="length from the tip to the middle of the load")
    damping = Parameter("3 %", low="0 %", high="50 %", meaning="damping ratio of the sway")
    pin_friction = Parameter(
        "150 N m", low="0 N m", high="5000 N m", meaning="friction torque of boom and stick pins"
    )
    column_friction = Parameter(
        "600 N m", low="0 N m", high="20000 N m", meaning="friction torque that holds the slew"
    )
    column_drag = Parameter(
        "40 N m s", low="0 N m s", high="5000 N m s", meaning="slewing drag that grows with speed"
    )
    column_inertia = Parameter(
        "60 kg m2", low="1 kg m2", high="5000 kg m2", meaning="moment of inertia of the column"
    )
    slope = Parameter("0 deg", low="-15 deg", high="15 deg", meaning="slope of the ground, straight ahead downhill")
    slew_range = Parameter("105 deg", low="20 deg", high="360 deg", meaning="slewing each way from straight ahead")
    slew = State("0 rad", nominal="0.1 rad")
    boom = State("10 deg", nominal="0.1 rad")
    stick = State("-60 deg", nominal="0.1 rad")
    sway = State("0 rad", nominal="0.1 rad")
    sideways = State("0 rad", nominal="0.1 rad")
    slew_rate = State("0 rad/s", nominal="0.1 rad/s")
    boom_rate = State("0 rad/s", nominal="0.1 rad/s")
    stick_rate = State("0 rad/s", nominal="0.1 rad/s")
    sway_rate = State("0 rad/s", nominal="0.1 rad/s")
    sideways_rate = State("0 rad/s", nominal="0.1 rad/s")
    bend = State("0 rad", nominal="1e-4 rad")

    def equations(self, at: At) -> Law:
        """Return the crane's law by ``mechanism``: sway first keeps the elimination thin."""
        q = ca.vertcat(at.slew, at.boom, at.stick, at.sway, at.sideways)
        v = ca.vertcat(at.slew_rate, at.boom_rate, at.stick_rate, at.sway_rate, at.sideways_rate)

        def rate(value: Expr) -> Expr:
            return ca.jtimes(value, q, v)

        th, fold = at.boom, at.boom + at.stick
        reach, up = _BOOM * ca.cos(th) + _STICK * ca.cos(fold), _BOOM * ca.sin(th) + _STICK * ca.sin(fold)
        tip_x, tip_up = _BOOM * ca.cos(th), _BOOM * ca.sin(th)
        hung = at.grapple_mass + at.load
        bodies = [
            (at.boom_mass, 1.15 * ca.cos(th) - 0.06 * ca.sin(th), 0.0, 1.15 * ca.sin(th) + 0.06 * ca.cos(th)),
            (
                at.stick_mass,
                tip_x + 0.80 * ca.cos(fold) - 0.03 * ca.sin(fold),
                0.0,
                tip_up + 0.80 * ca.sin(fold) + 0.03 * ca.cos(fold),
            ),
            (
                hung,
                reach + at.link * ca.sin(at.sway) * ca.cos(at.sideways),
                at.link * ca.sin(at.sideways),
                up - at.link * ca.cos(at.sway) * ca.cos(at.sideways),
            ),
        ]
        points = [
            (mass, ca.vertcat(rate(x) - v[0] * s, rate(ca.SX(s)) + v[0] * x, rate(h))) for mass, x, s, h in bodies
        ]
        spin = (
            at.column_inertia * v[0] ** 2 / 2
            + 105.0 * (v[1] ** 2 + (v[0] * ca.cos(th)) ** 2) / 2
            + 38.0 * ((v[1] + v[2]) ** 2 + (v[0] * ca.cos(fold)) ** 2) / 2
            + _LINK_SPIN * (v[3] ** 2 + v[4] ** 2) / 2
        )
        place = {
            "boom": pin_distance(th, *BOOM_PINS) - BOOM_CLOSED,
            "stick": pin_distance(at.stick, *STICK_PINS) - STICK_CLOSED,
            "slew": at.slew,
        }
        speed = {port: rate(value) for port, value in place.items()}
        others = sum((at.inertia[port] * speed[port] ** 2 / 2 for port in place), ca.SX(0))

        bend_rate, hold, hold_heat, held = bristle(
            at.bend, v[0], at.column_friction, 3e-4, 0.45 * 20.0 * ca.sqrt(at.column_friction + 1e-12)
        )
        swing = 2 * at.damping * ca.sqrt(GRAVITY / at.link) * hung * at.link**2
        pins = [at.pin_friction * ca.tanh(w / 0.01) for w in (v[1], v[2])]
        slew_end = 3e5 * (pos(at.slew - at.slew_range, 1e-3) - pos(-at.slew - at.slew_range, 1e-3))
        bump = 3e4 * (ramp((at.slew - at.slew_range) / 0.005) + ramp((-at.slew - at.slew_range) / 0.005))
        force = ca.vertcat(
            -hold - at.column_drag * v[0] - bump * v[0] - slew_end,
            -pins[0],
            -pins[1],
            -swing * v[3],
            -swing * v[4],
        )
        for port, value in place.items():
            force += ca.gradient(value, q) * at.given[port]
        soft = ca.SX(0)
        for i, angle in ((3, at.sway), (4, at.sideways)):
            soft += 3e3 * (pos_energy(angle - 1.1, 0.01) + pos_energy(-angle - 1.1, 0.01))
            force[i] -= 3e3 * (pos(angle - 1.1, 0.01) - pos(-angle - 1.1, 0.01))
        slope = ca.sin(at.slope)
        gravity = -GRAVITY * ca.vertcat(ca.cos(at.slew) * slope, -ca.sin(at.slew) * slope, -ca.cos(at.slope))
        acceleration = mechanism(q, v, points, spin + others, force, gravity, order=(3, 4, 0, 1, 2))
        moving = sum((mass * ca.dot(u, u) / 2 for mass, u in points), ca.SX(0)) + spin
        height = sum((mass * ca.dot(gravity, ca.vertcat(x, s, h)) for mass, x, s, h in bodies), ca.SX(0))
        end_energy = 3e5 * (pos_energy(at.slew - at.slew_range, 1e-3) + pos_energy(-at.slew - at.slew_range, 1e-3))
        names = ("slew", "boom", "stick", "sway", "sideways")
        return Law(
            carries={port: (place[port], speed[port]) for port in place},
            rate={
                **{name: v[i] for i, name in enumerate(names)},
                **{f"{name}_rate": acceleration[i] for i, name in enumerate(names)},
                "bend": bend_rate,
            },
            heat={
                "column": Heat(hold_heat + at.column_drag * v[0] ** 2 + bump * v[0] ** 2, Loss.FRICTION, dry=True),
                "pins": Heat(pins[0] * v[1] + pins[1] * v[2], Loss.FRICTION, dry=True),
                "sway": Heat(swing * (v[3] ** 2 + v[4] ** 2), Loss.FRICTION, dry=True),
            },
            stored={"motion": moving, "height": height, "stops": soft + end_energy, "bristle": held},
            readings={
                "reach": (reach, "length"),
                "tip_height": (up, "length"),
                "tip_speed": (ca.sqrt(rate(reach) ** 2 + rate(up) ** 2 + (reach * v[0]) ** 2), "speed"),
                "sway": (ca.sqrt(at.sway**2 + at.sideways**2), "angle"),
                "load": (at.load, "mass"),
                "hung": (hung * GRAVITY, "force"),
                "load_moment": (hung * GRAVITY * reach, "torque"),
                "slew_end": (
                    3e5 * (ca.fmax(at.slew - at.slew_range, 0) - ca.fmax(-at.slew - at.slew_range, 0)),
                    "torque",
                ),
                "boom_arm": (ca.gradient(place["boom"], q)[1], "length"),
                "stick_arm": (ca.gradient(place["stick"], q)[2], "length"),
            },
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield load moment, weight of what hangs, and the moment of each cylinder on its pin."""
        kilograms = pair("kg", 0, "lb", 0)
        load = at.reading("m", "load", tr("load"), (), kilograms)
        own = at.number("mg", "grapple_mass", tr("rotator and grapple"), kilograms)
        reach = at.reading("r", "reach", tr("from column to tip, level"), (), _LENGTH)
        yield Working(
            at.part, tr("Load moment about the column"),
            at.reading("M", "load_moment", tr("load and grapple"), (), MOMENT), (load, own, reach),
            ("M = ( m + mg ) · 9.807 · r / 1000", "M = ( m + mg ) · r"),
        )  # fmt: skip
        yield Working(
            at.part,
            tr("Weight that hangs from the tip"),
            at.reading("F", "hung", tr("load and grapple")),
            (load, own),
            ("F = ( m + mg ) · 9.807 / 1000", "F = m + mg"),
        )
        for port in ("boom", "stick"):
            arm = at.value(f"{port}_arm")
            for other, force in at.rods(port):
                yield Working(
                    at.part,
                    tr("Moment of {other} on the {port}").format(other=other, port=port),
                    at.term(
                        "M",
                        abs(force * arm),
                        "torque",
                        tr("about the pin of the {port}").format(port=port),
                        (),
                        MOMENT,
                    ),
                    (
                        at.term(
                            "F",
                            abs(force),
                            "force",
                            tr("pushed by the rod") if force >= 0 else tr("pulled by the rod"),
                        ),
                        at.term(
                            "y", abs(arm), "length", tr("lever arm of the cylinder now"), (), pair("mm", 0, "in", 2)
                        ),
                    ),
                    ("M = F · y / 1000", "M = F · y / 12"),
                )


class Grapple(Part):
    """Tongs that a cylinder closes: free, until they meet the log; then stiff, and the force is the grip."""

    ports = {"rod": ROD}
    carries = ("rod",)
    symbol = "grapple"
    letter = "W"
    plain = Plain(
        mark("Grapple"),
        does=mark("It takes hold of the log and keeps hold of it."),
        works=mark(
            "The cylinder closes the tongs freely until they meet the log; from there on its pressure becomes"
            " grip. The rod then hardly moves, however long the oil comes."
        ),
        set=mark(
            "The grip follows the pressure that is shut in. A leak past the piston or the spool lets go "
            "slowly; a thicker log is met sooner."
        ),
    )
    role = Load(ways=(("rod", "closing", "opening"),))
    words = {"tongs": "tongs", "grip": "grip", "motion": "motion"}
    moved_mass = Parameter("40 kg", low="1 kg", high="1000 kg", meaning="mass of the tongs, as felt at the rod")
    log = Parameter("60 %", low="5 %", high="100 %", meaning="share of the stroke at which the tongs meet the log")
    reach = Parameter("300 mm", low="20 mm", high="2 m", meaning="stroke that closes the tongs fully")
    rate = Parameter("2e7 N/m", low="1e5 N/m", high="1e9 N/m", meaning="stiffness of the grip")
    damping = Parameter("2 s/m", low="0 s/m", high="50 s/m", meaning="damping of the grip")
    drag = Parameter("600 N s/m", low="0 N s/m", high="1e5 N s/m", meaning="friction of the tongs' pins")
    x = State("0 m", nominal="0.1 m")
    v = State("0 m/s", nominal="0.1 m/s")

    def equations(self, at: At) -> Law:
        """Return the grapple's law: a mass against a contact."""
        meets = at.log * at.reach
        grip, shock, held = contact(at.x - meets, at.v, at.rate, at.damping)
        rubs = at.drag * at.v
        return Law(
            carries={"rod": (at.x, at.v)},
            rate={"x": at.v, "v": (at.given.rod - grip - rubs) / (at.moved_mass + at.inertia.rod)},
            heat={"tongs": Heat(shock + rubs * at.v, Loss.FRICTION, dry=True)},
            stored={"motion": at.moved_mass * at.v * at.v / 2, "grip": held},
            readings={
                "force": (grip, "force"),
                "rubbing": (rubs, "force"),
                "meets": (meets, "length"),
                "place": (at.x, "length"),
                "speed": (at.v, "speed"),
            },
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield the grip of a grapple: the rod's force less what the tongs take."""
        given = at.load("rod")
        rubs = at.value("rubbing")
        grip = at.value("force")
        terms = [
            at.term("Fr", given, "force", tr("given by the rod")),
            at.term("Fz", -rubs, "force", tr("pins of the tongs rub")),
        ]
        speeds = grip - given + rubs
        if abs(speeds) > 1.0:
            terms.append(
                at.term(
                    "Fa", speeds, "force", tr("speeds the tongs up") if speeds < 0 else tr("slows the tongs down")
                )
            )
        elif abs(speeds) > 0:
            terms.append(at.term("Fa", speeds, "force", tr("the rest")))
        yield balance(at.part, tr("Grip on the log"), at.reading("F", "force", tr("on the log")), terms)
        place = at.place_at("rod")
        fine = pair("mm", 1, "in", 2)
        meets = at.value("meets")
        if place < meets:
            left = at.term("x", meets - place, "length", tr("left until the tongs meet the log"), (), fine)
            terms_ = (
                at.number("L", "reach", tr("stroke that closes them"), fine),
                at.number("k", "log", tr("of it, where they meet the log"), PERCENT),
                at.term("xr", place, "length", tr("rod is out"), (), fine),
            )
            yield Working(at.part, tr("Way to the log"), left, terms_, ("x = k · L / 100 − xr",) * 2)
