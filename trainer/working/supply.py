"""Workings of the supply: pump, engine, hand crank, electric motor, tank, and the shafts between them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from trainer.formula import Term, Working
from trainer.parts.laws import pos, ramp
from trainer.rig.rig import Fitted
from trainer.units import PLAIN, pair
from trainer.working.sheet import LEAK, PERCENT, SLOW, TRICKLE, Sheet, balance

__all__ = [
    "coupling", "engine", "gear", "hand_crank", "induction_motor", "pump", "reservoir", "steady_drive",
]  # fmt: skip

_STANDS, _TURNS = 0.05, 0.5  # rad/s: below the first a pump stands, above the second a shaft is worth its speed


def pump(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield delivery, torque, powers, slip, speed and efficiencies of a pump."""
    id_, now = fitted.id, at.now
    shaft = at.line(id_, "shaft")
    size = at.number("V", id_, "displacement", "displacement")
    turning = at.speed(shaft)
    leak = now.value(id_, "slip")
    slip = at.term("qs", abs(leak), "flow", "slips back inside")
    w = now.speed(shaft)
    swept, pressed = size.value * w, now.value(id_, "filling")
    taken = float(pos(swept, size.value)) * pressed - float(pos(-swept, size.value))  # as the model rounds it at rest
    share = taken / swept if w > _STANDS else pressed
    filling = at.term("f", share, "ratio", "of what it takes in, pressed", (), pair("", 4, "", 4))
    delivery = at.flow_at(id_, "P", now.value(id_, "delivery"), source="pump outlet")
    mark = "−" if leak >= 0 else "+"
    if w > _STANDS:
        yield Working(
            id_, "Delivery of the pump", delivery, (size, turning, filling, slip),
            (f"q = V · n · f / 1000 {mark} qs", f"q = V · n · f / 231 {mark} qs"),
        )  # fmt: skip
    drop = at.drop(id_, "P", "S")
    rub = at.term("Tr", now.value(id_, "drag"), "torque", "friction")
    sign = "+" if rub.value >= 0 else "−"
    rub = replace(rub, value=abs(rub.value))
    torque = at.term("T", now.value(id_, "torque"), "torque", "shaft", drop.refers_to)
    yield Working(
        id_, "Torque on the pump", torque, (drop, size, rub),
        (f"T = Δp · V / 62.8 {sign} Tr", f"T = Δp · V / 75.4 {sign} Tr"),
    )  # fmt: skip
    pressure = at.at_port(id_, "P")
    oil = at.hydraulic(id_, "Power of the oil", pressure.value * delivery.value, pressure, delivery)
    yield oil
    turned = replace(torque, value=-torque.value if w < 0 else torque.value)
    shaft_power = at.turning(id_, "Power on the shaft", now.value(id_, "power"), turned, turning)
    yield shaft_power
    if abs(drop.value) > 1e3:
        rate = now.parameter(id_, "slip") * size.value / 0.035 * at.specific(at.line(id_, "P"))
        k = at.term("k", rate, "leakage", "gaps, with oil of 35 mPa·s", (), LEAK)
        yield Working(
            id_, "Slip of the pump", at.term("qs", leak, "flow", "slips back inside", drop.refers_to, TRICKLE),
            (k, drop, at.viscosity()), ("qs = k · Δp · 35 / μ",) * 2,
        )  # fmt: skip
    if w > _TURNS:
        speed = at.speed(shaft)
        yield Working(
            id_, "Speed that this flow takes", speed, (delivery, slip, size, filling),
            (f"n = ( q {'+' if leak >= 0 else '−'} qs ) · 1000 / ( V · f )",
             f"n = ( q {'+' if leak >= 0 else '−'} qs ) · 231 / ( V · f )"),
        )  # fmt: skip
        result = at.term("η", delivery.value / swept, "ratio", "of what it sweeps", delivery.refers_to, PERCENT)
        yield Working(
            id_, "Volumetric efficiency", result, (delivery, size, turning),
            ("η = q · 1000 · 100 / ( V · n )", "η = q · 231 · 100 / ( V · n )"),
        )  # fmt: skip
    paid, oils = shaft_power.result.value, oil.result.value
    if paid > 1e-3 and oils > 1e-3:
        terms = (
            at.power("Ph", oils, "of the oil", oil.result.refers_to),
            at.power("P", paid, "on the shaft", drop.refers_to),
        )
        result = at.term("η", oils / paid, "ratio", "of what the shaft gives", oil.result.refers_to, PERCENT)
        yield Working(id_, "Efficiency of the pump", result, terms, ("η = Ph · 100 / P",) * 2)


def _drive(at: Sheet, fitted: Fitted, name: str = "Power on the shaft") -> tuple[Term, Term, Working]:
    """Return torque and speed of a prime mover, and its power."""
    id_, now = fitted.id, at.now
    shaft = at.line(id_, "shaft")
    way = -1 if now.speed(shaft) < 0 else 1
    torque = at.term("T", way * now.value(id_, "torque"), "torque", "on its shaft")
    speed = at.speed(shaft)
    return torque, speed, at.turning(id_, name, now.value(id_, "power"), torque, speed)


def steady_drive(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield the power of a drive that holds its speed."""
    yield _drive(at, fitted)[2]


def engine(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield power, torque curve and load of a combustion engine."""
    id_, now = fitted.id, at.now
    _, speed, power = _drive(at, fitted)
    asked = now.control(id_, "speed_asked")
    over = speed.value - asked
    if asked > 1.0 and 0.0 < over <= 1.2 * now.parameter(id_, "droop") * asked:
        fine = pair("r/min", 0, "r/min", 0)
        more = at.term("dn", over, "shaft speed", "more, as its governor asks for less torque", speed.refers_to, fine)
        yield balance(
            id_, "Speed with its governor", speed, (at.term("ns", asked, "shaft speed", "set", (), fine), more),
            f"Set is the speed at full load; without load it turns up to {100 * now.parameter(id_, 'droop'):.0f} % "
            "faster.",
        )  # fmt: skip
    yield power
    made, consumption = now.state(id_, "torque"), now.value(id_, "effort")
    w = now.speed(at.line(id_, "shaft"))
    peak, rated = now.parameter(id_, "peak_speed"), now.parameter(id_, "rated_speed")
    steep = now.parameter(id_, "fall") * ((w - peak) / rated) ** 2
    if consumption < 1e-3 or steep > 0.97:
        return
    most = at.term("Tm", made / consumption - 1.0, "torque", "the most at this speed")
    fine = pair("r/min", 0, "r/min", 0)
    yield Working(
        id_, "Largest torque at this speed", most,
        (
            at.number("Tp", id_, "peak_torque"), at.number("k", id_, "fall", "how steep the curve falls", PLAIN),
            speed, at.number("np", id_, "peak_speed", units=fine), at.number("nr", id_, "rated_speed", units=fine),
        ),
        ("Tm = Tp · ( 1 − k · ( ( n − np ) / nr )² )",) * 2,
    )  # fmt: skip
    inside = at.term("Ti", made, "torque", "made now, its own friction included")
    result = at.term("L", made / most.value, "ratio", "of what it can at this speed", (), PERCENT)
    yield Working(id_, "Load of the engine", result, (inside, most), ("L = Ti · 100 / Tm",) * 2)


def hand_crank(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield power, what the arms can, effort, and how long they last."""
    id_, now = fitted.id, at.now
    torque, speed, power = _drive(at, fitted, "Power of the arms")
    yield power
    given, consumption = now.value(id_, "torque"), now.value(id_, "effort")
    w = now.speed(at.line(id_, "shaft"))
    top = now.parameter(id_, "top_speed")
    left = now.parameter(id_, "work_reserve") - now.state(id_, "spent")
    if consumption > 1e-6 and 1 - w / top > 0.02:
        weary, reserve = now.parameter(id_, "weary"), now.parameter(id_, "work_reserve")
        able = weary + (1 - weary) * float(ramp(left / (0.15 * reserve)))
        place = 1 + 0.3 * math.cos(2 * now.state(id_, "angle"))
        can = at.term("Tc", given / consumption - 0.1, "torque", "that the arms can at this speed")
        yield Working(
            id_, "Torque that the arms can", can,
            (
                at.number("T0", id_, "strength"), at.term("kf", able, "ratio", "how fresh they are", (), PLAIN),
                speed, at.number("n0", id_, "top_speed"),
                at.term("kd", place, "ratio", "place of the crank, weakest at the dead centres", (), PLAIN),
            ),
            ("Tc = T0 · kf · kd · ( 1 − n / n0 )",) * 2,
        )  # fmt: skip
        result = at.term("E", given / can.value, "ratio", "of what they can", (), PERCENT)
        yield Working(id_, "Effort", result, (torque, can), ("E = T · 100 / Tc",) * 2)
    over = now.value(id_, "power") - now.parameter(id_, "steady")
    if over > 1.0 and left > 0:
        work = pair("kJ", 2, "ft lbf", 0)
        watts = pair("W", 2, "hp", 5)
        yield Working(
            id_, "How long the arms last",
            at.term("t", left / over, "time", "at this power", (), pair("s", 0, "s", 0)),
            (
                at.term("W", left, "energy", "work left above what they can all day", (), work),
                at.term("P", now.value(id_, "power"), "power", "now", (), watts),
                at.term("Pd", now.parameter(id_, "steady"), "power", "all day", (), watts),
            ),
            ("t = W · 1000 / ( P − Pd )", "t = W / ( ( P − Pd ) · 550 )"),
        )  # fmt: skip


def induction_motor(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield power, slip and torque after Kloss."""
    id_, now = fitted.id, at.now
    torque, speed, power = _drive(at, fitted)
    yield power
    w, even = now.speed(at.line(id_, "shaft")), now.parameter(id_, "synchronous")
    field = at.number("ns", id_, "synchronous", "of the field", pair("r/min", 0, "r/min", 0))
    slip = at.term("s", now.value(id_, "slip"), "ratio", "behind the field", (), pair("%", 2, "%", 2))
    if w >= 0:
        yield Working(id_, "Slip of the motor", slip, (field, speed), ("s = ( ns − n ) · 100 / ns",) * 2)
    if now.control(id_, "switched") < 0.99 or slip.value <= 1e-4 or w < _TURNS:
        return
    ratio = now.parameter(id_, "breakdown")
    steepest = now.parameter(id_, "rated_slip") * (ratio + math.sqrt(ratio**2 - 1))
    rub = now.parameter(id_, "friction")
    yield Working(
        id_, "Torque after Kloss", torque,
        (
            at.term("Tk", ratio * now.parameter(id_, "rated_torque"), "torque", "breakdown torque"), slip,
            at.term("sk", steepest, "ratio", "slip at the breakdown torque", (), pair("%", 2, "%", 2)),
            at.term("Tr", rub * w / math.sqrt(w * w + 1), "torque", "bearings and fan"),
        ),
        ("T = 2 · Tk / ( s / sk + sk / s ) − Tr",) * 2,
    )  # fmt: skip
    given = now.value(id_, "power")
    drawn = now["supply", id_, "mains"]
    if given > 1 and drawn > 1 and even > 0:
        result = at.term("η", given / drawn, "ratio", "of what the mains give", (), PERCENT)
        terms = (at.power("P", given, "on the shaft"), at.power("Pe", drawn, "from the mains"))
        yield Working(id_, "Efficiency of the motor", result, terms, ("η = P · 100 / Pe",) * 2)


def coupling(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield the torque that a coupling passes, by its twist, and its slip."""
    id_, now = fitted.id, at.now
    angle = pair("deg", 3, "deg", 3)
    twist, reach = now.state(id_, "twist"), now.parameter(id_, "wind")
    bend = at.term("φ", twist, "angle", "twisted", (), angle)
    held = now.parameter(id_, "grip") * twist / reach
    rest = at.term("Td", now.value(id_, "torque") - held, "torque", "rubber damps")
    result = at.term("T", now.value(id_, "torque"), "torque", "passed on")
    sign = "+" if rest.value >= 0 else "−"
    yield Working(
        id_, "Torque of the coupling", result,
        (at.number("Tg", id_, "grip"), bend, at.term("φg", reach, "angle", "twist at which it slips", (), angle),
         replace(rest, value=abs(rest.value))),
        (f"T = Tg · φ / φg {sign} Td",) * 2,
    )  # fmt: skip
    fine = pair("r/min", 2, "r/min", 2)
    halves = [
        at.term(f"n{port}", sign * now.speed(at.line(id_, port)), "shaft speed", f"shaft {at.line(id_, port)}",
                (("speed", at.line(id_, port)),), fine)
        for port, sign in (("1", 1), ("2", -1))
    ]  # fmt: skip
    slip = at.term("ns", now.value(id_, "slip"), "shaft speed", "between its halves", (), fine)
    yield balance(id_, "Slip of the coupling", slip, halves)


def gear(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield speed and torque of the slow shaft of a gear."""
    id_, now = fitted.id, at.now
    fast, slow = at.line(id_, "1"), at.line(id_, "2")
    ratio = at.number("i", id_, "ratio", "teeth", pair("", 2, "", 2))
    w1, w2 = now.speed(fast), now.speed(slow)
    sign = 1 if w1 >= 0 else -1
    n1 = at.term("n1", sign * w1, "shaft speed", f"fast: {at.called(fast)}", (("speed", fast),),
                 pair("r/min", 1, "r/min", 1))  # fmt: skip
    n2 = at.term("n2", sign * w2, "shaft speed", f"slow: {at.called(slow)}", (("speed", slow),), SLOW)
    wound = at.term("nw", sign * (w1 / ratio.value - w2), "shaft speed", "winds up shafts and teeth", (), SLOW)
    mark = "−" if wound.value >= 0 else "+"
    yield Working(
        id_, "Speed of the slow shaft", n2, (n1, ratio, replace(wound, value=abs(wound.value))),
        (f"n2 = n1 · 6 / i {mark} nw",) * 2, "1 r/min is 6 degrees a second.",
    )  # fmt: skip
    into, out = now.load(id_, "1"), -now.load(id_, "2")
    way = 1 if into >= 0 else -1
    drag = way * now.parameter(id_, "mesh") * w2
    mesh = at.term("Tr", abs(drag), "torque", "teeth rub")
    yield Working(
        id_, "Torque of the slow shaft", at.term("T2", way * out, "torque", at.called(slow)),
        (at.term("T1", way * into, "torque", at.called(fast)), ratio, mesh),
        (f"T2 = T1 · i {'−' if drag >= 0 else '+'} Tr",) * 2,
    )  # fmt: skip


def reservoir(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield the tank's heat: what comes in, what the air takes, how fast the oil warms, how long it rests."""
    id_, now = fitted.id, at.now
    network = now.network
    wet = {key: now["heat", *key] for key, heat in network.heats.items() if not heat.dry}
    shed = {
        key[1]: float(now[key]) for key in network.read_index if key[0] == "value" and key[2] == "heat to the air"
    }
    capacity = sum(now[key] for key in network.read_index if key[0] == "value" and key[2] == "heat capacity")
    gained, away = sum(wet.values()), sum(shed.values())
    rise = pair("C/min", 3, "F/min", 3)
    mass = pair("kJ/C", 1, "Btu/F", 1)
    heat, lost = at.power("Ph", gained, "all that becomes heat"), at.power("Pa", away, "taken by the air")
    if at.rig.oil.warms and capacity > 0:
        watts = "0.06" if at.fine else "60"
        yield Working(
            id_, "How fast the oil warms",
            at.term("r", (gained - away) / capacity, "warming", "now", (), rise),
            (heat, lost, at.term("C", capacity, "heat capacity", "oil and steel of the tank", (), mass)),
            (f"r = ( Ph − Pa ) · {watts} / C", "r = ( Ph − Pa ) · 42.41 / C"),
        )  # fmt: skip
    by_part: dict[str, float] = {}
    for (part, _), watt in wet.items():
        by_part[part] = by_part.get(part, 0.0) + watt
    heats = {part: watt for part, watt in by_part.items() if abs(watt) > 1e-6}
    large = sorted(heats, key=lambda part: -abs(heats[part]))[:6]
    if gained > 1e-6:
        terms = [at.power(f"P{k}", heats[part], f"{part} {at.rig.parts[part].label}".rstrip())
                 for k, part in enumerate(large, 1)]  # fmt: skip
        rest = gained - sum(heats[part] for part in large)
        if len(heats) > len(large):
            terms.append(at.power("Pz", rest, "all others"))
        yield balance(id_, "Heat that goes into the oil", heat, terms)
    cooling = pair("W/C", 1, "Btu/h F", 1)
    mine = now.value(id_, "heat to the air")
    thousand = "" if at.fine else " / 1000"
    yield Working(
        id_, "Heat that the tank gives to the air",
        at.power("Pt", mine, "through its walls"),
        (
            at.number("k", id_, "cooling", "walls of the tank", cooling),
            at.term("θ", now.temperature, "temperature", "oil in the tank", (("temperature", id_),)),
            at.number("θa", id_, "ambient", "air", pair("C", 1, "F", 1)),
        ),
        (f"Pt = k · ( θ − θa ){thousand}", "Pt = k · ( θ − θa ) / ( 60 · 42.41 )"),
    )  # fmt: skip
    drawn = -now["enters", id_, "S"]
    if drawn > at.moves:
        content = at.term("Vo", now.value(id_, "content"), "volume", "oil in the tank", (), pair("L", 1, "gal", 2))
        flow = at.flow_at(id_, "S", drawn, source="drawn by the pump")
        yield Working(
            id_, "How long the oil rests in the tank",
            at.term("t", content.value / drawn, "time", "from return to suction", (), pair("s", 0, "s", 0)),
            (content, flow), ("t = Vo · 60 / q",) * 2,
        )  # fmt: skip
