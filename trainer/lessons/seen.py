"""What is said to have been seen of a run: the words for it, which of them it was, and which three are offered."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.language import mark

__all__ = ["SEEN", "offered", "what_it_did"]

SEEN = {  # what a reading did over the run
    "up": mark("rose and stayed"),
    "up-down": mark("rose, then fell"),
    "down": mark("fell"),
    "same": mark("did not move"),
}


def what_it_did(values: Sequence[float], error: float) -> str:
    """Return which of ``SEEN`` the course of a reading is; what is less than its error [its unit] is not seen."""
    begin, end, most, least = values[0], values[-1], max(values), min(values)
    if most - begin <= error and begin - least <= error:
        return "same"
    if end - begin > error:
        return "up" if most - end <= 0.5 * (end - begin) else "up-down"
    return "up-down" if most - begin > error else "down"


def offered(did: str, draw: int) -> tuple[str, ...]:
    """Return the three of ``SEEN`` that are offered, in their order: what it ``did``, and two of the others.

    ``draw``, any whole number, says which one is left out.
    """
    others = [id_ for id_ in SEEN if id_ != did]
    left_out = others[draw % len(others)]
    return tuple(id_ for id_ in SEEN if id_ != left_out)
