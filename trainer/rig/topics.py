"""What a rig teaches: the topics under which rigs are listed, in the order of a course."""

from __future__ import annotations

from collections.abc import Mapping

from trainer.language import mark, tr

__all__ = ["TOPICS", "heading"]

TOPICS: Mapping[str, str] = {  # what a rig file says it teaches -> the heading
    "machines": mark("Machines to drive"),
    "pressure": mark("Where pressure comes from"),
    "speed": mark("What decides a speed"),
    "sharing": mark("Who gets the oil, and in which order"),
    "loads": mark("Holding a load, letting it down"),
    "pumps": mark("Pumps: fixed, variable, two together"),
    "motors": mark("Oil that turns something"),
    "testing": mark("Testing with gauges"),
}
_OTHERS = mark("Other rigs")


def heading(topic: str) -> str:
    """Return the heading of a topic, "" being none of them."""
    return tr(TOPICS.get(topic, _OTHERS))
