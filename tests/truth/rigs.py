"""Check rigs, written as an instructor writes a rig file, and how they are run and read.

Ideal by what they are given: a pump without slip and drag, a cylinder without friction and leak, oil of a
constant stiffness with the least air there is. The worked examples of the textbooks go further, their oil does
not yield at all: ``unyielding`` gives such oil, which no rig file may.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from string import Template
from typing import Any

import numpy as np

from trainer.engine.session import Session
from trainer.rig.file import loads
from trainer.rig.rig import Rig
from trainer.units import UNITS, read

Numbers = np.ndarray[Any, np.dtype[np.float64]]

LOSS_FREE = {
    "pump": 'is = "FixedPump", slip = 0, viscous_drag = 0, pressure_drag = "0 %", breakaway = "0 N m"',
    "cylinder": (
        'is = "Cylinder", kinetic_friction = "0 N", pressure_friction = "0 %", '
        'leakage = "0 m3/s/Pa", rod_mass = "1 kg"'
    ),
    "held": 'viscous_friction = "2000 N s/m"',  # until ``drive`` takes it away
    "damped": 'viscous_friction = "1e5 N s/m"',
    "carriage": 'is = "Weight", mass = "5 kg", along = 0',
    "tank": 'is = "Reservoir", volume = "500 L"',
}

_HEAD = """
format = 1
title = "$title"

[oil]
density = "$density"
viscosity = "$viscosity"
stiffness = "$stiffness"
stiffening = $stiffening
air = "$air"
warms = false
"""

_OIL = {"density": "875 kg/m3", "viscosity": "40 mm2/s", "stiffness": "1.5 GPa", "stiffening": "0", "air": "0.01 %"}


def rig(title: str, text: str, **written: str) -> Rig:
    """Return the rig of a text without head; ``$pump``, ``$cylinder`` … are the loss-free parts."""
    words = {**_OIL, **LOSS_FREE, "title": title, **written}
    return loads(Template(_HEAD + text).substitute(words), f"check rig {title}")


def unyielding(rig_: Rig) -> Rig:
    """Return the rig with the oil of a worked example: near a thousand times as stiff as oil is."""
    return replace(rig_, oil=replace(rig_.oil, stiffness=1e12))


def begin(rig_: Rig, seconds: float = 0.0, tolerance: float = 1e-8) -> Session:
    """Return a session at the rig's start as written, not settled, after some model time [s]."""
    session = Session(rig_, tolerance, settle=False)
    if seconds:
        session.advance(seconds)
    return session


def drive(session: Session, speed: str = "1200 r/min", seconds: float = 1.0) -> Session:
    """Let the load come to rest on the oil, take the friction away that brought it there, turn the pump."""
    session.advance(0.5)
    for name in session.rig.parts:
        if "viscous_friction" in session.rig.parts[name].values:
            session.set_parameter(f"{name}.viscous_friction", 0.5)
    session.set_control("0M1.setting", si(speed))
    session.advance(seconds)
    return session


def mean(session: Session, reading: Callable[[Session], float], seconds: float = 0.1) -> float:
    """Return the mean of a reading over the next stretch of time [s]: an instrument's needle does no less."""
    count = 60
    total = 0.0
    for _ in range(count):
        session.advance(seconds / count, seconds / count)
        total += reading(session)
    return total / count


def sample(
    session: Session, reading: Callable[[Session], float], seconds: float, length: float
) -> tuple[Numbers, Numbers]:
    """Return times [s] from now on and readings, one a call of ``length`` [s], the present one first."""
    begun = session.time
    times, values = [0.0], [reading(session)]
    for _ in range(round(seconds / length)):
        session.advance(length, length)
        times.append(session.time - begun)
        values.append(reading(session))
    return np.array(times), np.array(values)


def speed(session: Session, rod: str, seconds: float = 0.1) -> float:
    """Return the mean speed [m/s] of a rod over the next stretch [s], by rule and watch."""
    before = session.readings.place(rod)
    session.advance(seconds, seconds / 6)
    return (session.readings.place(rod) - before) / seconds


def work(session: Session, part: str) -> float:
    """Return the work [J] that has come in over the rig's border at a part since the start."""
    names = [("heat", *name) for name in session.network.heat_names]
    names += [("supply", *name) for name in session.network.supply_names]
    return float(sum(session.totals[i] for i, name in enumerate(names) if name[:2] == ("supply", part)))


def power(session: Session, part: str, seconds: float = 0.2) -> float:
    """Return the mean power [W] that goes out over the rig's border at a part in the next stretch [s]."""
    before = work(session, part)
    session.advance(seconds)
    return (before - work(session, part)) / seconds


def until(session: Session, reached: Callable[[Session], bool], length: float, longest: float) -> None:
    """Move on in calls of ``length`` [s] until something is reached; AssertionError after ``longest`` [s]."""
    end = session.time + longest
    while not reached(session):
        assert session.time < end, "it was never reached"
        session.advance(length, length)


def show(value: float, unit: str) -> float:
    """Return a number [SI] in a unit of the trade."""
    return (value - UNITS[unit].offset) / UNITS[unit].factor


def si(written: str) -> float:
    """Return a written number with its unit in SI."""
    number, _, unit = written.partition(" ")
    return read(written, UNITS[unit].quantity) if unit else float(number)


# -- the rigs ---------------------------------------------------------------------------------------------

_SUPPLY = """
[parts]
0Z1 = { $tank }
0M1 = { is = "SteadyDrive", lag = "$lag" }
0P1 = { $pump, displacement = "$displacement", gallery = "$pump_gallery", rated_speed = "$speed" }
0V1 = { is = "ReliefValve", setting = "$setting", override = "$override", rated_flow = "$rated", gallery = "1 cm3" }
"""
_SHAFT = """
shaft = ["0M1.shaft", "0P1.shaft"]
S = ["0Z1.S", "0P1.S"]
"""
_TURNING = """
0M1.turning = "$turning"
0M1.setting = "$turning"
"""
_SUPPLIED = {
    "lag": "50 ms",
    "speed": "1200 r/min",
    "turning": "0 r/min",
    "override": "1 %",
    "setting": "450 bar",
    "rated": "100 L/min",
    "pump_gallery": "60 cm3",
}


def supplied(title: str, parts: str, lines: str, start: str = "", **written: str) -> Rig:
    """Return a rig with tank, drive, pump and relief, and what is given besides.

    ``displacement`` and ``speed`` say the flow; ``setting``, ``override`` and ``rated`` the relief. ``lines``
    must put 0P1.P, 0V1.P, 0V1.T and 0Z1.T on lines.
    """
    text = f"{_SUPPLY}{parts}\n[lines]{_SHAFT}{lines}\n[start]{_TURNING}{start}"
    return rig(title, text, **{**_SUPPLIED, **written})


def one_cylinder(
    title: str, *, way: str, load: str, bore: str, rod: str, stroke: str = "2 m", place: str = "0 m", **written: str
) -> Rig:
    """Return a rig in which a pump drives one cylinder against a force.

    ``way`` "extend" feeds A, "retract" feeds B, "regenerate" feeds A and joins B to it.
    """
    pump, tank = {"extend": ("A", "B"), "retract": ("B", "A"), "regenerate": ("A", "")}[way]
    fed = '"1A1.A", "1A1.B"' if way == "regenerate" else f'"1A1.{pump}"'
    back = f', "1A1.{tank}"' if tank else ""
    return supplied(
        title,
        """
1A1 = { $cylinder, $held, bore = "$bore", rod = "$rod", stroke = "$stroke" }
1W1 = { $carriage }
1W2 = { is = "ConstantForce", force = "$load", mass = "1 kg" }
""",
        f"""
P1 = ["0P1.P", "0V1.P", {fed}]
T = ["0V1.T", "0Z1.T"{back}]
rod1 = ["1A1.rod", "1W1.rod", "1W2.rod"]
""",
        '1W1.x = "$place"\n',
        **{"bore": bore, "rod": rod, "stroke": stroke, "load": load, "place": place, **written},
    )


def press(title: str, *, bore: str, rod: str, regenerates: bool = False, **written: str) -> Rig:
    """Return a rig in which a cylinder presses on a wall while all of the pump's oil goes over the relief."""
    fed, back = ('"1A1.A", "1A1.B"', "") if regenerates else ('"1A1.A"', ', "1A1.B"')
    return supplied(
        title,
        """
1A1 = { $cylinder, $held, bore = "$bore", rod = "$rod", stroke = "500 mm" }
1W1 = { $carriage }
1W3 = { is = "Wall", gap = "20 mm", rate = "1e9 N/m" }
""",
        f"""
P1 = ["0P1.P", "0V1.P", {fed}]
T = ["0V1.T", "0Z1.T"{back}]
rod1 = ["1A1.rod", "1W1.rod", "1W3.rod"]
""",
        '1W1.x = "15 mm"\n',
        **{"bore": bore, "rod": rod, **written},
    )


_TWO_AND_TWENTY = ("1.5957691216 in", "5.0462650440 in")  # bores of 2 and 20 in2


def jack(
    title: str, *, effort: str, load: str = "0 N", wall: str = "5 m", bores: tuple[str, str] = _TWO_AND_TWENTY
) -> Rig:
    """Return a jack: a small cylinder pushed in by a force, a large one that lifts a load or meets a wall."""
    return rig(
        title,
        """
[parts]
0Z1 = { $tank }
1A1 = { $cylinder, $held, bore = "$small", rod = "2 mm", stroke = "100 mm" }
1W1 = { $carriage }
1W2 = { is = "ConstantForce", force = "$effort", mass = "1 kg" }
2A1 = { $cylinder, $held, bore = "$large", rod = "3 mm", stroke = "100 mm", end_give = "0.02 mm" }
2W1 = { $carriage }
2W2 = { is = "ConstantForce", force = "$load", mass = "1 kg" }
2W3 = { is = "Wall", gap = "$wall", rate = "1e9 N/m" }

[lines]
S = ["0Z1.S"]
T = ["0Z1.T", "1A1.B", "2A1.B"]
A1 = ["1A1.A", "2A1.A"]
rod1 = ["1A1.rod", "1W1.rod", "1W2.rod"]
rod2 = ["2A1.rod", "2W1.rod", "2W2.rod", "2W3.rod"]

[start]
1W1.x = "60 mm"
""",
        effort=effort,
        load=load,
        wall=wall,
        small=bores[0],
        large=bores[1],
    )


def restricted(title: str, part: str, *, start: str = "", **written: str) -> Rig:
    """Return a rig in which the pump's oil goes to the tank through one part with ports 1 and 2, 1V1 or 1Z1."""
    id_ = "1Z1" if '"Hose"' in part else "1V1"
    return supplied(
        title,
        f"\n{id_} = {{ {part} }}\n",
        f"""
P1 = ["0P1.P", "0V1.P", "{id_}.1"]
T = ["0V1.T", "0Z1.T", "{id_}.2"]
""",
        start,
        **written,
    )


def metered(title: str, restriction: str, *, load: str, bore: str, **written: str) -> Rig:
    """Return a rig in which a restriction meters the oil into a cylinder and the relief takes the rest."""
    return supplied(
        title,
        f"""
1V1 = {{ {restriction} }}
1A1 = {{ $cylinder, $held, bore = "$bore", rod = "1 in", stroke = "2 m" }}
1W1 = {{ $carriage }}
1W2 = {{ is = "ConstantForce", force = "$load", mass = "1 kg" }}
""",
        """
P1 = ["0P1.P", "0V1.P", "1V1.1"]
A1 = ["1V1.2", "1A1.A"]
T = ["0V1.T", "0Z1.T", "1A1.B"]
rod1 = ["1A1.rod", "1W1.rod", "1W2.rod"]
""",
        '1W1.x = "0.1 m"\n',
        **{"load": load, "bore": bore, **written},
    )


def parallel(title: str, **written: str) -> Rig:
    """Return a rig of two cylinders on one pump line, each with its own force."""
    return supplied(
        title,
        """
1A1 = { $cylinder, viscous_friction = "40 N s/m", bore = "2 in", rod = "1 in", stroke = "4 in" }
1W2 = { is = "ConstantForce", force = "1000 lbf", mass = "5 kg" }
2A1 = { $cylinder, viscous_friction = "40 N s/m", bore = "2 in", rod = "1 in", stroke = "4 in" }
2W2 = { is = "ConstantForce", force = "2000 lbf", mass = "5 kg" }
""",
        """
P1 = ["0P1.P", "0V1.P", "1A1.A", "2A1.A"]
T = ["0V1.T", "0Z1.T", "1A1.B", "2A1.B"]
rod1 = ["1A1.rod", "1W2.rod"]
rod2 = ["2A1.rod", "2W2.rod"]
""",
        **written,
    )


def closed_in(title: str, *, force: str, bore: str, dead: str, stroke: str, place: str, **written: str) -> Rig:
    """Return a rig in which a force stands on oil that is shut in under the piston."""
    return rig(
        title,
        """
[parts]
0Z1 = { $tank }
1A1 = { $cylinder, $damped, bore = "$bore", rod = "$rod", stroke = "$stroke", dead_volume = "$dead" }
1W1 = { $carriage }
1W2 = { is = "ConstantForce", force = "$force", mass = "1 kg" }

[lines]
S = ["0Z1.S"]
T = ["0Z1.T", "1A1.B"]
A1 = ["1A1.A"]
rod1 = ["1A1.rod", "1W1.rod", "1W2.rod"]

[start]
1W1.x = "$place"
""",
        **{"rod": "0 mm", "force": force, "bore": bore, "dead": dead, "stroke": stroke, "place": place, **written},
    )


def oil_springs(title: str, **written: str) -> Rig:
    """Return a rig of a mass between two columns of oil, which the pump fills through two check valves."""
    return supplied(
        title,
        """
1V1 = { is = "CheckValve", leakage = "0 m3/s/Pa", gallery = "1 cm3" }
1V2 = { is = "CheckValve", leakage = "0 m3/s/Pa", gallery = "1 cm3" }
1A1 = { $cylinder, $damped, bore = "4 in", rod = "2.5 in", stroke = "12 in", dead_volume = "1 cm3" }
1W1 = { is = "Weight", mass = "$mass", along = 0 }
1W2 = { is = "ConstantForce", force = "0 N", mass = "1 kg" }
""",
        """
P1 = ["0P1.P", "0V1.P", "1V1.1", "1V2.1"]
A1 = ["1V1.2", "1A1.A"]
B1 = ["1V2.2", "1A1.B"]
T = ["0V1.T", "0Z1.T"]
rod1 = ["1A1.rod", "1W1.rod", "1W2.rod"]
""",
        '1W1.x = "$place"\n',
        **written,
    )
