"""Workings of what a tank gathers: the heat of all parts, and how fast it warms the oil."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.formula import Working
from trainer.language import tr
from trainer.parts.sheet import balance
from trainer.units import pair
from trainer.working.sheet import Sheet

__all__ = ["heats"]


def heats(at: Sheet, id_: str) -> Iterator[Working]:
    """Yield what comes into a tank's oil as heat, part by part, and how fast it warms for what the air leaves."""
    now = at.now
    network = now.network
    wet = {key: now["heat", *key] for key, heat in network.heats.items() if not heat.dry}
    shed = {key[1]: float(now[key]) for key in network.read_index if key[0] == "value" and key[2] == "heat_to_air"}
    capacity = sum(now[key] for key in network.read_index if key[0] == "value" and key[2] == "heat_capacity")
    gained, away = sum(wet.values()), sum(shed.values())
    rise = pair("C/min", 3, "F/min", 3)
    mass = pair("kJ/C", 1, "Btu/F", 1)
    heat, lost = at.power("Ph", gained, tr("all that becomes heat")), at.power("Pa", away, tr("taken by the air"))
    if at.rig.oil.warms and capacity > 0:
        watts = "0.06" if at.fine else "60"
        yield Working(
            id_, tr("How fast the oil warms"),
            at.term("r", (gained - away) / capacity, "warming", tr("now"), (), rise),
            (heat, lost, at.term("C", capacity, "heat capacity", tr("oil and steel of the tank"), (), mass)),
            (f"r = ( Ph − Pa ) · {watts} / C", "r = ( Ph − Pa ) · 42.41 / C"),
        )  # fmt: skip
    by_part: dict[str, float] = {}
    for (part, _), watt in wet.items():
        by_part[part] = by_part.get(part, 0.0) + watt
    by_size = {part: watt for part, watt in by_part.items() if abs(watt) > 1e-6}
    large = sorted(by_size, key=lambda part: -abs(by_size[part]))[:6]
    if gained > 1e-6:
        terms = [at.power(f"P{k}", by_size[part], f"{part} {at.rig.parts[part].label}".rstrip())
                 for k, part in enumerate(large, 1)]  # fmt: skip
        rest = gained - sum(by_size[part] for part in large)
        if len(by_size) > len(large):
            terms.append(at.power("Pz", rest, tr("all others")))
        yield balance(id_, tr("Heat that goes into the oil"), heat, terms)
