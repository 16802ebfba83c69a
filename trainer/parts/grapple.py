"""Tongs that a cylinder closes: a grapple by itself, and their law for the crane that has them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from trainer.formula import Term, Working
from trainer.language import mark, tr
from trainer.parts.laws import contact
from trainer.parts.part import At, Expr, Heat, Kind, Law, Loss, Parameter, Part, State
from trainer.parts.plain import Plain
from trainer.parts.roles import Load
from trainer.parts.sheet import PERCENT, Sheet, balance
from trainer.units import pair

__all__ = ["Grapple", "Tongs", "close", "grip_workings", "way_workings"]


@dataclass(slots=True)
class Tongs:
    """What tongs do: ``grip`` on what they hold [N], ``rubs`` in their pins [N], ``rate`` of speed, energies."""

    grip: Expr
    rubs: Expr
    rate: Expr
    heat: Expr
    held: Expr
    motion: Expr


def close(
    place: Expr, speed: Expr, given: Expr, inertia: Expr, meets: Expr, mass: Expr, drag: Expr,
    rate: Expr = 2e7, damping: Expr = 2.0,
) -> Tongs:  # fmt: skip
    """Return what tongs of a mass [kg] do whose rod has come a way [m] and meets what they take at ``meets`` [m].

    ``rate`` [N/m] and ``damping`` [s/m] of the grip, as felt at the rod; ``given``: the force on it [N].
    """
    grip, shock, held = contact(place - meets, speed, rate, damping)
    rubs = drag * speed
    return Tongs(
        grip,
        rubs,
        (given - grip - rubs) / (mass + inertia),
        shock + rubs * speed,
        held,
        mass * speed * speed / 2,
    )


def grip_workings(at: Sheet, port: str, force: str = "force", pushed: float = 0.0) -> Iterator[Working]:
    """Yield the grip of tongs: the rod's force less what they take; ``pushed`` shut by what they stand on [N]."""
    given = at.load(port)
    rubs = at.value("rubbing")
    grip = at.value(force)
    terms = [
        at.term("Fr", given, "force", tr("given by the rod")),
        at.term("Fz", -rubs, "force", tr("pins of the tongs rub")),
    ]
    if pushed > 0:
        terms.append(at.term("Fb", pushed, "force", tr("the ground pushes them shut")))
    speeds = grip - given + rubs - pushed
    if abs(speeds) > 1.0:
        terms.append(
            at.term("Fa", speeds, "force", tr("speeds the tongs up") if speeds < 0 else tr("slows the tongs down"))
        )
    elif abs(speeds) > 0:
        terms.append(at.term("Fa", speeds, "force", tr("the rest")))
    yield balance(at.part, tr("Grip on the log"), at.reading("F", force, tr("on the log")), terms)


def way_workings(at: Sheet, port: str, share: Term, stroke: str) -> Iterator[Working]:
    """Yield how far tongs that meet the log at a share of their stroke have to go."""
    place = at.place_at(port)
    fine = pair("mm", 1, "in", 2)
    meets = at.value("meets")
    if place < meets:
        left = at.term("x", meets - place, "length", tr("left until the tongs meet the log"), (), fine)
        terms = (
            at.number("L", stroke, tr("stroke that closes them"), fine),
            share,
            at.term("xr", place, "length", tr("rod is out"), (), fine),
        )
        yield Working(at.part, tr("Way to the log"), left, terms, ("x = k · L / 100 − xr",) * 2)


class Grapple(Part):
    """Tongs that a cylinder closes: free, until they meet the log; then stiff, and the force is the grip."""

    ports = {"rod": Kind.ROD}
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
        law=mark(
            "A mass against a stiff spring whose damping grows with the force (Hunt and Crossley 1975, from memory)."
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
        tongs = close(at.x, at.v, at.given.rod, at.inertia.rod, meets, at.moved_mass, at.drag, at.rate, at.damping)
        return Law(
            carries={"rod": (at.x, at.v)},
            rate={"x": at.v, "v": tongs.rate},
            heat={"tongs": Heat(tongs.heat, Loss.FRICTION, dry=True)},
            stored={"motion": tongs.motion, "grip": tongs.held},
            readings={
                "force": (tongs.grip, "force"),
                "rubbing": (tongs.rubs, "force"),
                "meets": (meets, "length"),
                "place": (at.x, "length"),
                "speed": (at.v, "speed"),
            },
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield the grip of a grapple: the rod's force less what the tongs take."""
        yield from grip_workings(at, "rod")
        share = at.number("k", "log", tr("of it, where they meet the log"), PERCENT)
        yield from way_workings(at, "rod", share, "reach")
