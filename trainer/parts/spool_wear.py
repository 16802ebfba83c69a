"""What wears and fails in a spool section, of open and of closed centre alike."""

from __future__ import annotations

from trainer.parts.laws import clip, opened
from trainer.parts.part import At, Expr, Wear

__all__ = ["SpoolWear", "asked", "dirty_port", "load_check", "through_check", "weak_port"]


class SpoolWear:
    """The wear of a section's spool, load check and port valves. Dirt and a tired spring sit in one port's relief.

    Leaks of new and worn spools and all degrees are common practice, no source.
    """

    leakage = Wear(
        "3e-14 m3/s/Pa",
        mild=4,
        marginal=15,
        failed=50,
        notice="the load sinks with the lever at rest, and more so when it is hot",
        meaning="leak of each shut land at 35 mPa s and 40 L/min size",
    )
    off_centre = Wear(
        "0 %",
        mild="10 %",
        marginal="25 %",
        failed="60 %",
        notice="it moves with nobody at the lever, and the machine runs hot doing nothing",
        meaning="share of its travel by which the spool stands off its middle, towards A",
    )
    short_travel = Wear(
        "0 %",
        mild="25 %",
        marginal="40 %",
        failed="65 %",
        notice="this one is slow both ways with the lever right over; the others go as ever",
        meaning="share of its travel that linkage or spool no longer make",
    )
    check_held_open = Wear(
        "0 %",
        mild="3 %",
        marginal="15 %",
        failed="100 %",
        notice="the load dips before it lifts",
        meaning="share of the load check that dirt holds open",
    )
    check_seizing = Wear(
        "0 bar",
        mild="10 bar",
        marginal="60 bar",
        failed="400 bar",
        notice="it lifts late or not at all, and the engine labours",
        meaning="what more it takes to open a load check that sticks",
    )
    port_held_open = Wear(
        "0 mm2",
        mild="0.05 mm2",
        marginal="0.3 mm2",
        failed="3 mm2",
        notice="one way it is weak, or sinks; the other way it is as ever",
        meaning="opening that dirt leaves in a port's valves, those of A where both ports have them",
    )
    port_fatigue = Wear(
        "0 %",
        mild="15 %",
        marginal="35 %",
        failed="75 %",
        notice="one way it stops pushing early; the other way it is as strong as ever",
        meaning="share of a port relief's spring that is lost, that of A where both ports have one",
    )
    filling_seizing = Wear(
        "0 %",
        mild="60 %",
        marginal="90 %",
        failed="100 %",
        notice="after it has come down quickly it does nothing for a moment, then it knocks",
        meaning="share of the anti-cavitation checks that stays shut",
    )


def asked(at: At, lever: Expr, most_a: Expr = 1.0, most_b: Expr = 1.0) -> Expr:
    """Return where the spool goes for a lever, of its travel, within its limiters."""
    reach = 1 - clip(at.short_travel, 0, 1)
    return clip(lever + at.off_centre, -most_b * reach, most_a * reach)


def load_check(at: At) -> Expr:
    """Return the drop [Pa] at which the load check begins to open."""
    return at.load_check + at.check_seizing


def through_check(at: At, drop: Expr) -> Expr:
    """Return how far the load check is open at a drop [Pa], 0 … 1."""
    open_ = opened(drop, load_check(at))
    return open_ + (1 - open_) * clip(at.check_held_open, 0, 1)


def dirty_port(words: str) -> str:
    """Return the port whose valves wear, by which ports have some; "" for none."""
    return {"none": "", "B": "B"}.get(words, "A")


def weak_port(at: At) -> Expr:
    """Return what is left of the spring of that port's relief."""
    return 1 - clip(at.port_fatigue, 0, 0.95)
