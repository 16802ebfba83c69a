"""The two-link crane on its slewing column: what hangs from it swings, is set down, gripped and let go."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

import casadi as ca

from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts import logs as yard_logs
from trainer.parts.arm import BELLY, Arm
from trainer.parts.grapple import close, grip_workings, way_workings
from trainer.parts.hanging import drag, meet, rub, tie
from trainer.parts.logs import BLUNT, HUNG, HUNG_SPEED, Logs
from trainer.parts.part import At, Control, Expr, Heat, Kind, Latched, Law, Loss, Parameter, Part, State
from trainer.parts.plain import Plain
from trainer.parts.roles import Load
from trainer.parts.sheet import MOMENT, PERCENT, Sheet
from trainer.parts.yard import LOGS, Yard, bare_height, log_top, yard_faults
from trainer.units import GRAVITY, pair

__all__ = ["Crane"]

ROD, SHAFT = Kind.ROD, Kind.SHAFT
_LENGTH = pair("m", 2, "ft", 2)
_TIP = 0.06  # radius of the stick's end [m]
_TIP_SOIL = (2e6, 1.0)  # stiffness [N/m] and damping [s/m] of the ground under it
_AWAY = 10.0  # m by which a log that is not there is kept off the ground


class Crane(Yard, Part):
    """Boom, stick and slewing column as one mechanism; what hangs from the tip has a place and a speed of its own.

    Angles: slew from straight ahead, boom from level (up positive), stick from the boom (0 straight, folding
    negative). The boom cylinder pushes the boom up, the stick cylinder folds the stick. Slewing is held by dry
    friction (one bristle); the ground may slope. Places of what hangs and lies are ahead of the column's foot, to the
    left of it and above level ground. A tie that only pulls, the links of the grapple, joins what hangs to the tip:
    set down, it goes slack, and the ground carries. The tongs' rod closes them round a log that lies between them; it
    hangs with them until the grip is gone or it slips. ``heave`` and ``roll`` are those of what the crane stands on.
    """

    ports = {"boom": ROD, "stick": ROD, "slew": SHAFT, "tongs": ROD, "heave": ROD, "roll": SHAFT}
    carries = ("boom", "stick", "slew", "tongs")
    spare = ("tongs", "heave", "roll")
    booked = ("switched", "grip_impact")
    ends = {"slew": "slew_end"}
    symbol = "crane"
    letter = "W"
    followed = dict.fromkeys(
        ("sway", "sideways", "sway_rate", "sideways_rate"), mark("slew, boom and stick: the load hangs under the tip")
    )
    plain = Plain(
        mark("Crane mechanism"),
        does=mark(
            "It carries the load: a boom that lifts, a stick that folds, a column that slews, tongs that grip."
        ),
        works=mark(
            "A cylinder pushes at a lever arm that changes with the posture, so the same load asks for "
            "another pressure at each angle. The load hangs from the tip and swings when the tip speeds up or"
            " stops. Set down, it is carried by the ground: the links go slack, and the boom holds only itself."
        ),
        set=mark(
            "Its limits are those of the maker's load chart: far out less may hang than close in. Pressures "
            "may be compared only at the same posture with the same load."
        ),
        law=mark(
            "Its links move by Lagrange's equations of masses, places and forces. What hangs is a body on a tie"
            " that only pulls; the ground and the logs push back as stiff springs whose damping grows with the "
            "load (Hunt and Crossley 1975, from memory). Its sizes are those of a small log loader, our own."
        ),
    )
    role = Load(
        "boom",
        lifted="boom",
        borne=("contact", "log_contact", "tip_contact"),
        ways=(
            ("boom", "up", "down"),
            ("stick", "folding in", "reaching out"),
            ("tongs", "closing", "opening"),
            ("slew", "left", "right"),
        ),
    )
    words = {
        "column": "column", "pins": "pins", "sway": "sway", "motion": "motion", "height": "height",
        "bristle": "bristle", "stops": "stops", "ground": "ground", "rubs": "rubbing on the ground",
        "arm": "arm on the ground", "tongs": "tongs", "grip": "grip", "links": "links", "logs": "logs",
        "switched": "log taken over", "grip_impact": "log caught",
    }  # fmt: skip
    load = Control("0 kg", low="0 kg", high="900 kg", meaning="load in the grapple", ends=("", ""))
    pivot = Parameter(
        "2.2 m", low="1.6 m", high="20 m", meaning="height of the boom's pivot above the ground", at_rest=True
    )
    boom_mass = Parameter("165 kg", low="20 kg", high="2000 kg", meaning="mass of the boom")
    stick_mass = Parameter("95 kg", low="10 kg", high="1500 kg", meaning="mass of the stick")
    grapple_mass = Parameter("115 kg", low="10 kg", high="1000 kg", meaning="mass of rotator and grapple")
    link = Parameter(
        "1.35 m", low="0.3 m", high="5 m", meaning="length from the tip to the middle of the load", at_rest=True
    )
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
    tongs_mass = Parameter("40 kg", low="1 kg", high="1000 kg", meaning="mass of the tongs, as felt at their rod")
    tongs_stroke = Parameter(
        "300 mm", low="20 mm", high="2 m", meaning="stroke that closes the tongs fully", at_rest=True
    )
    tongs_drag = Parameter("600 N s/m", low="0 N s/m", high="1e5 N s/m", meaning="friction of the tongs' pins")
    mouth = Parameter("75 cm", low="10 cm", high="3 m", meaning="width of the open tongs", at_rest=True)
    hooked = Parameter(
        "60 %",
        low="5 %",
        high="100 %",
        meaning="share of the stroke at which the tongs meet a load hooked on by hand",
    )
    slew = State("0 rad", nominal="0.1 rad")
    boom = State("10 deg", nominal="0.1 rad")
    stick = State("-60 deg", nominal="0.1 rad")
    slew_rate = State("0 rad/s", nominal="0.1 rad/s")
    boom_rate = State("0 rad/s", nominal="0.1 rad/s")
    stick_rate = State("0 rad/s", nominal="0.1 rad/s")
    bend = State("0 rad", nominal="1e-4 rad")
    hung_ahead = State("3.88 m", nominal="0.1 m")
    hung_left = State("0 m", nominal="0.1 m")
    hung_up = State("-0.27 m", nominal="0.1 m")
    hung_ahead_rate = State("0 m/s", nominal="0.1 m/s")
    hung_left_rate = State("0 m/s", nominal="0.1 m/s")
    hung_up_rate = State("0 m/s", nominal="0.1 m/s")
    shear_ahead = State("0 mm", nominal="1 mm")
    shear_left = State("0 mm", nominal="1 mm")
    tongs = State("0 m", nominal="0.1 m")
    tongs_rate = State("0 m/s", nominal="0.1 m/s")
    meets = Latched("1")  # share of the stroke at which the tongs meet what is between them
    slipping = Latched("0 s")
    resting = Latched("0 s")
    log1 = Latched("0")  # none, lying, held, loose; where it lies, or off the tongs' middle when held
    log1_x = Latched("0 m")
    log1_y = Latched("0 m")
    log1_z = Latched("0 m")
    log2 = Latched("0")
    log2_x = Latched("0 m")
    log2_y = Latched("0 m")
    log2_z = Latched("0 m")
    log3 = Latched("0")
    log3_x = Latched("0 m")
    log3_y = Latched("0 m")
    log3_z = Latched("0 m")
    soil = Latched("0 J")  # stored in the ground under the logs
    under_ahead = Latched("0 m")  # the stand that is nearest to what hangs
    under_left = Latched("0 m")
    under_long = Latched("1 m")
    under_wide = Latched("1 m")
    under_height = Latched("0 m")
    top = Latched("0")  # 1 where a log lies under tongs that cannot go round it, or under a hooked load
    top_x = Latched("0 m")
    top_y = Latched("0 m")
    top_z = Latched("0 m")
    top_radius = Latched("0.1 m")
    loose_x = Latched("0 m")
    loose_y = Latched("0 m")
    loose_z = Latched("0 m")
    loose_x_rate = Latched("0 m/s")
    loose_y_rate = Latched("0 m/s")
    loose_z_rate = Latched("0 m/s")

    @classmethod
    def objections(cls, value: Callable[[str], float]) -> list[str]:
        """Return what cannot be together in its yard."""
        return list(yard_faults(value))

    @classmethod
    def begin(cls, values: Mapping[str, float]) -> dict[str, float]:
        """Return where what hangs and what lies is at the start, by the angles, and where the tongs meet a load."""
        return yard_logs.begin(values)

    @classmethod
    def latch(cls, values: Mapping[str, float]) -> dict[str, float]:
        """Return who has which log: it lies, is held by the tongs, or is loose."""
        return yard_logs.latch(values)

    def equations(self, at: At) -> Law:
        """Return the crane's law: the arm as a mechanism, what hangs and what is loose as bodies of their own."""
        arm, logs = Arm(at), Logs(at)
        held = arm.held()
        tongs = close(
            at.tongs, at.tongs_rate, at.given.tongs, at.inertia.tongs, at.meets * at.tongs_stroke, at.tongs_mass,
            at.tongs_drag,
        )  # fmt: skip

        # what hangs: the grapple, a load, a log off its middle
        tip = arm.there(arm.reach, arm.up)
        jacobian = ca.jacobian(tip, arm.under)
        tip_speed = ca.mtimes(jacobian, arm.moves)
        body, speed = _three(at, *HUNG), _three(at, *HUNG_SPEED)
        held_mass, off, held_radius = logs.chosen(logs.held)
        hung = at.grapple_mass + at.load + held_mass
        links = tie(body - tip, speed - tip_speed, at.link, at.damping)
        shut = BELLY[1] / at.tongs_stroke
        belly = BELLY[0] - shut * at.tongs
        bare = bare_height(at, body[0], body[1])
        under = [(ca.fmin(at.top, 1), at.top_x, at.top_y, at.top_z, at.top_radius)]
        floor = log_top(at, bare, body[0], body[1], BLUNT, under)
        stands = meet(floor, body[2] - belly, speed, -shut * at.tongs_rate)
        there = ca.fmin(sum(logs.held, ca.SX(0)), 1)
        log_floor = logs.floor(body + off, held_radius)
        log_up = body[2] + off[2] - held_radius
        log_stands = meet(log_floor, log_up + _AWAY * (1 - there), speed)
        ground = stands.load + log_stands.load
        rubs = rub(ca.vertcat(at.shear_ahead, at.shear_left), speed[:2], ground)
        force = links.force + stands.force + log_stands.force + ca.vertcat(rubs.force, 0)
        pushed = shut * stands.load  # the ground shuts the tongs

        # the end of the stick on the ground; what is under the column
        lands = meet(bare_height(at, tip[0], tip[1]), tip[2] - _TIP, tip_speed, soil=_TIP_SOIL)
        scrapes, scrape_heat = drag(lands, tip_speed, 0.5)
        on_arm = ca.mtimes(jacobian.T, lands.force + scrapes - links.force) - ca.gradient(arm.weight, arm.under)
        acceleration = arm.acceleration(held.force + on_arm[:3])

        rate = {
            **{name: arm.v[i] for i, name in enumerate(("slew", "boom", "stick"))},
            **{f"{name}_rate": acceleration[i] for i, name in enumerate(("slew", "boom", "stick"))},
            "bend": held.rate,
            **{name: speed[i] for i, name in enumerate(HUNG)},
            **{name: force[i] / hung - GRAVITY * arm.slope[i] for i, name in enumerate(HUNG_SPEED)},
            "shear_ahead": rubs.rate[0],
            "shear_left": rubs.rate[1],
            "tongs": at.tongs_rate,
            "tongs_rate": tongs.rate + pushed / (at.tongs_mass + at.inertia.tongs),
        }
        return Law(
            carries={port: (arm.place[port], arm.speed[port]) for port in arm.place}
            | {"tongs": (at.tongs, at.tongs_rate)},
            into={"heave": -on_arm[3], "roll": -on_arm[4]},
            inertia={
                "heave": at.boom_mass + at.stick_mass,
                "roll": (at.boom_mass + at.stick_mass) * at.pivot**2,
            },
            rate=rate,
            heat={
                "column": Heat(held.column, Loss.FRICTION, dry=True),
                "pins": Heat(held.pins, Loss.FRICTION, dry=True),
                "sway": Heat(links.heat, Loss.FRICTION, dry=True),
                "ground": Heat(stands.heat + log_stands.heat, Loss.FRICTION, dry=True),
                "rubs": Heat(rubs.heat, Loss.FRICTION, dry=True),
                "arm": Heat(lands.heat + scrape_heat, Loss.FRICTION, dry=True),
                "tongs": Heat(tongs.heat, Loss.FRICTION, dry=True),
                "grip_impact": Heat(0.0, Loss.FRICTION, dry=True),
            },
            supply={"switched": 0.0},
            stored={
                "motion": arm.motion + hung * ca.dot(speed, speed) / 2 + tongs.motion,
                "height": arm.weight
                + GRAVITY * ca.dot(arm.slope, hung * body + held_mass * off)
                + logs.stacked(arm.slope),
                "stops": arm.end_energy,
                "bristle": held.stored,
                "links": links.stored,
                "ground": stands.stored + log_stands.stored + lands.stored + rubs.stored,
                "grip": tongs.held,
            },
            readings=self._readings(at, arm)
            | {
                "tip_speed": (ca.sqrt(ca.dot(tip_speed, tip_speed)), "speed"),
                "load": (at.load + held_mass, "mass"),
                "held": (held_mass, "mass"),
                "hung": (hung * GRAVITY, "force"),
                "load_moment": (hung * GRAVITY * arm.reach, "torque"),
                "tension": (links.tension, "force"),
                "contact": (ground, "force"),
                "log_contact": (log_stands.load, "force"),
                "tip_contact": (lands.load, "force"),
                "pulled_out": (_size(held_mass / hung * force - log_stands.force), "force"),
                "load_height": (
                    there * (log_up - log_floor[0]) + (1 - there) * (body[2] - belly - floor[0]),
                    "length",
                ),
                "grip": (tongs.grip, "force"),
                "rubbing": (tongs.rubs, "force"),
                "pushed": (pushed, "force"),
                "meets": (at.meets * at.tongs_stroke, "length"),
                **_sway(arm, tip - body),
                **_logs_at(at, logs, body),
            },
        )

    @staticmethod
    def _readings(at: At, arm: Arm) -> dict[str, tuple[Expr, str]]:
        """Return the readings of the arm by itself."""
        return {
            "reach": (arm.reach, "length"),
            "tip_height": (arm.up, "length"),
            "pivot_height": (at.pivot + at.place.heave, "length"),
            "slew_end": (arm.end_torque, "torque"),
            "boom_arm": (ca.gradient(arm.place["boom"], arm.q)[1], "length"),
            "stick_arm": (ca.gradient(arm.place["stick"], arm.q)[2], "length"),
        }

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield load moment, weight of what hangs, the moment of each cylinder on its pin, and the grip."""
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
        yield from grip_workings(at, "tongs", "grip", at.value("pushed"))
        share = at.term("k", at.state("meets"), "ratio", tr("of it, where they meet the log"), (), PERCENT)
        yield from way_workings(at, "tongs", share, "tongs_stroke")


def _three(at: At, *names: str) -> Expr:
    return ca.vertcat(*(getattr(at, name) for name in names))


def _size(vector: Expr) -> Expr:
    return ca.sqrt(ca.dot(vector, vector) + 1e-12)


def _sway(arm: Arm, plumb: Expr) -> dict[str, tuple[Expr, str]]:
    """Return the angles of the link off the plumb line: altogether, outward, and to the left; ``plumb`` up it [m]."""
    c, s = ca.cos(arm.at.slew), ca.sin(arm.at.slew)
    out, left, up = -(c * plumb[0] + s * plumb[1]), s * plumb[0] - c * plumb[1], plumb[2]
    level, far = ca.sqrt(out * out + left * left), ca.sqrt(out * out + left * left + up * up + 1e-9)
    return {
        "sway": (ca.atan2(level, up), "angle"),
        "sway_out": (ca.asin(out / far), "angle"),
        "sway_left": (ca.asin(left / far), "angle"),
    }


def _logs_at(at: At, logs: Logs, body: Expr) -> dict[str, tuple[Expr, str]]:
    """Return where each log is, ahead, left and up [m], whoever has it, and how far the load is from the mark."""
    found: dict[str, tuple[Expr, str]] = {}
    for log, place, held, loose in zip(LOGS, logs.places, logs.held, logs.loose, strict=True):
        where = place + held * body + loose * (logs.loose_place - place)
        found |= {f"{log}_at_{name}": (where[i], "length") for i, name in enumerate(("ahead", "left", "up"))}
    _, off, _ = logs.chosen(logs.held)
    away = (body + off)[:2] - ca.vertcat(at.mark_ahead, at.mark_left)
    return found | {"from_mark": (_size(away), "length")}
