"""What a part is to others: its kind of thing, with the ports, numbers and words that go with it.

Tracer, fitting steps, labels, names, ledgers and the class question ask for a role and never for a part's class,
symbol or letter; a new part is right for them by the role it declares.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import ClassVar

from trainer.language import mark, tr

__all__ = [
    "GROUPS",
    "NOTCH",
    "SWITCHED",
    "Actuator",
    "Catcher",
    "Check",
    "Conduit",
    "DirectionalValve",
    "Load",
    "PressureLimiter",
    "PrimeMover",
    "Pump",
    "Restrictor",
    "Role",
    "Store",
    "Tank",
    "Transmission",
    "WarmedConduit",
]

# what kinds of parts there are to who looks for one, in the order of a course
PUMPS = mark("Pumps")
DRIVES = mark("What turns a pump")
SHAFTS = mark("Shafts and gears")
CONDUITS = mark("Tank, lines, filters, coolers")
STORES = mark("Accumulators")
PRESSURE = mark("Pressure valves")
FLOW = mark("Flow valves")
CHECKS = mark("Check valves")
HOLDING = mark("Valves that hold a load")
DIRECTION = mark("Directional control valves")
ACTUATORS = mark("Cylinders and motors")
LOADS = mark("Loads and machines")
TESTS = mark("Test equipment")
OTHERS = mark("Other parts")
GROUPS = (
    PUMPS, DRIVES, SHAFTS, CONDUITS, STORES, PRESSURE, FLOW, CHECKS, HOLDING, DIRECTION, ACTUATORS, LOADS, TESTS,
    OTHERS,
)  # fmt: skip

NOTCH = mark("how far out a notch holds the lever: above 100 % there is none")  # what a detent's number means
SWITCHED = mark("Switch the {} off and lock its switch.")  # how an electric motor is stopped


@dataclass(frozen=True, slots=True)
class Role:
    """Base of all roles; a part that declares none has nothing that others ask for.

    ``group``, of GROUPS, is where such a part is looked for, ``title`` what it is called, ``places`` what the ports
    are that its entries name.
    """

    group: ClassVar[str] = OTHERS
    title: ClassVar[str] = ""
    places: ClassVar[Mapping[str, str]] = {}

    @property
    def spoken(self) -> tuple[str, ...]:
        """The ports whose letters a mechanic says."""
        return ()

    @property
    def border(self) -> tuple[str, str, str]:
        """What power over the rig's border is called in the ledger: coming in, going out, and the latter's style.

        "{}" stands for the part's name.
        """
        return "{}", tr("Work on the {}"), "useful"

    @property
    def stored(self) -> Mapping[str, tuple[str, str, str]]:
        """Stores of its law with an entry of their own: its names giving and taking, and the latter's style."""
        return {}

    @property
    def noun(self) -> str:
        """What it is called in these where it has no label, "" for the words of its class."""
        return ""


@dataclass(frozen=True, slots=True)
class PrimeMover(Role):
    """Turns a pump. ``halt`` says how it is stopped for work on the rig, "{}" stands for its name.

    ``kind``: "diesel", "hand", "electric", and "ideal" for an electric motor without losses of its own. ``droop`` is
    the parameter by which share it turns faster without load than its speed is set to.
    """

    group: ClassVar[str] = DRIVES
    title: ClassVar[str] = mark("prime mover")
    places: ClassVar[Mapping[str, str]] = {"shaft": mark("shaft")}

    shaft: str = "shaft"
    halt: str = mark("Stop the {} and lock it.")
    kind: str = "electric"
    droop: str = ""

    @property
    def by_hand(self) -> bool:
        """Whether a person turns it."""
        return self.kind == "hand"

    @property
    def burns(self) -> bool:
        """Whether it burns fuel, in cylinders."""
        return self.kind == "diesel"

    @property
    def border(self) -> tuple[str, str, str]:
        """What overruns a prime mover is no use."""
        return "{}", tr("Drags the {} along"), "friction"


@dataclass(frozen=True, slots=True)
class Pump(Role):
    """Brings oil from its inlet to its outlet.

    ``family`` is its choice of "piston" or "gear"; ``built`` is which of them it is, where it has no choice.
    ``shaft`` is "" where a hand moves it without one. ``second``: inlet and outlet of a second pump in its housing;
    ``case``: the drain of a pump in a closed loop, that may press either of its two sides.
    """

    group: ClassVar[str] = PUMPS
    title: ClassVar[str] = mark("pump")
    places: ClassVar[Mapping[str, str]] = {"inlet": mark("inlet"), "outlet": mark("outlet"), "shaft": mark("shaft")}

    inlet: str = "S"
    outlet: str = "P"
    shaft: str = "shaft"
    family: str = "kind"
    built: str = ""
    second: tuple[str, str] = ("", "")
    case: str = ""

    @property
    def outlets(self) -> tuple[str, ...]:
        """The ports from which it may deliver."""
        return tuple(filter(None, (self.outlet, self.second[1], self.case and self.inlet)))

    @property
    def inlets(self) -> tuple[str, ...]:
        """The ports at which it takes oil in, and never delivers."""
        return tuple(port for port in (self.inlet, self.second[0]) if port and port not in self.outlets)

    def kind(self, choice: Callable[[str], str]) -> str:
        """Return "piston" or "gear"; ``choice`` gives its chosen words."""
        return self.built or choice(self.family)


@dataclass(frozen=True, slots=True)
class DirectionalValve(Role):
    """Sends oil to one of two work ports and back.

    ``work``: its work ports; ``feed``: the port that feeds them; ``gallery``: the bypass in neutral, into and out of
    the valve; ``tank``: its return. ``spool``: the state that is its place; ``opened``: the reading that is the
    passage from the feed to each work port, ``neutral`` that of the bypass in neutral.
    """

    group: ClassVar[str] = DIRECTION
    title: ClassVar[str] = mark("directional valve")
    places: ClassVar[Mapping[str, str]] = {
        "work": mark("work port"),
        "feed": mark("feed"),
        "gallery": mark("bypass"),
        "tank": mark("return"),
    }

    work: tuple[str, str] = ("A", "B")
    feed: str = "P"
    gallery: tuple[str, str] = ("C", "C1")
    tank: str = "T"
    lever: str = "lever"
    spool: str = "spool"
    opened: tuple[str, str] = ("P_A_area", "P_B_area")
    neutral: str = "neutral_area"

    @property
    def spoken(self) -> tuple[str, ...]:
        """Its work ports."""
        return self.work


@dataclass(frozen=True, slots=True)
class PressureLimiter(Role):
    """Opens when the pressure at its inlet is high enough.

    ``cracking`` is the reading of where it begins, ``swing`` the wear that is the share by which it swings
    where it chatters, if it can.
    """

    group: ClassVar[str] = PRESSURE
    title: ClassVar[str] = mark("pressure limiter")
    places: ClassVar[Mapping[str, str]] = {"inlet": mark("inlet"), "outlet": mark("outlet")}

    inlet: str = "P"
    outlet: str = "T"
    cracking: str = "cracking"
    swing: str = ""


@dataclass(frozen=True, slots=True)
class Restrictor(Role):
    """A narrow place in a line."""

    group: ClassVar[str] = FLOW
    title: ClassVar[str] = mark("restrictor")
    places: ClassVar[Mapping[str, str]] = {"ends": mark("end")}

    ends: tuple[str, str] = ("1", "2")


@dataclass(frozen=True, slots=True)
class Check(Restrictor):
    """Lets oil through one way, from the first of its ends to the second."""

    group: ClassVar[str] = CHECKS
    title: ClassVar[str] = mark("check")
    places: ClassVar[Mapping[str, str]] = {"ends": mark("end")}


@dataclass(frozen=True, slots=True)
class Conduit(Role):
    """What oil passes on its way, with little drop.

    ``hose``: a stretch of line and nothing else; ``filters``: it keeps dirt back.
    """

    group: ClassVar[str] = CONDUITS
    title: ClassVar[str] = mark("conduit")
    places: ClassVar[Mapping[str, str]] = {"ends": mark("end")}

    ends: tuple[str, str] = ("1", "2")
    hose: bool = False
    filters: bool = False

    @property
    def border(self) -> tuple[str, str, str]:
        """Gravity, of which the law is told by the oil's height alone."""
        return tr("Oil coming down the {}"), tr("Lifts the oil in the {}"), "useful"


@dataclass(frozen=True, slots=True)
class WarmedConduit(Conduit):
    """A stretch of line whose oil takes another warmth than the tank's, and swells or shrinks by that."""

    @property
    def border(self) -> tuple[str, str, str]:
        """Its oil's swelling, which does work on what is shut in."""
        return tr("Oil that swells in the {}"), tr("Oil that shrinks in the {}"), "friction"


@dataclass(frozen=True, slots=True)
class Transmission(Role):
    """Joins two shafts. ``geared``: they turn at different speeds."""

    group: ClassVar[str] = SHAFTS
    title: ClassVar[str] = mark("transmission")
    places: ClassVar[Mapping[str, str]] = {"ends": mark("shaft")}

    ends: tuple[str, str] = ("1", "2")
    geared: bool = False


@dataclass(frozen=True, slots=True)
class Actuator(Role):
    """Does the work: a cylinder by its rod, a motor by its shaft.

    ``chambers``: the ports that oil is sent to, one where a load or a spring brings it back; ``output``: its
    mechanical port; ``areas``: the readings of a cylinder's areas, one for each of them, none of a motor; ``push``:
    the reading of what its rod gives; ``stroke``: the parameter of its length, "" without stops of its own;
    ``drain``: the port of its leakage.
    """

    group: ClassVar[str] = ACTUATORS
    title: ClassVar[str] = mark("actuator")
    places: ClassVar[Mapping[str, str]] = {
        "chambers": mark("chamber"),
        "output": mark("output"),
        "drain": mark("drain"),
    }

    chambers: tuple[str, ...] = ("A", "B")
    output: str = "rod"
    areas: tuple[str, ...] = ()
    push: str = "force"
    stroke: str = ""
    drain: str = ""

    @property
    def spoken(self) -> tuple[str, ...]:
        """Its chambers."""
        return self.chambers

    @property
    def linear(self) -> bool:
        """Whether it pushes and pulls."""
        return bool(self.areas)


@dataclass(frozen=True, slots=True)
class Load(Role):
    """What is moved. ``word``: what a class calls it; ``lifted``: the rod port at which it can be asked about.

    ``pushes``: it pushes on that rod with a force that does not depend on a place; ``ways``: a port, what goes on
    there while a rod goes out or a shaft turns to the left, and while it goes in or turns to the right; ``borne``:
    readings of what the ground bears of it [N].
    """

    group: ClassVar[str] = LOADS
    title: ClassVar[str] = mark("load")
    places: ClassVar[Mapping[str, str]] = {"lifted": mark("what is lifted")}

    word: str = "load"
    lifted: str = ""
    pushes: bool = False
    borne: tuple[str, ...] = ()
    ways: tuple[tuple[str, str, str], ...] = ()

    @property
    def stored(self) -> Mapping[str, tuple[str, str, str]]:
        """Its height."""
        return MappingProxyType({"height": (tr("The {} coming down"), tr("Lifts the {}"), "useful")})

    @property
    def noun(self) -> str:
        """A load, whatever it is made of."""
        return tr("load")


@dataclass(frozen=True, slots=True)
class Store(Role):
    """Keeps oil under pressure where all else stands still.

    ``port``: where its oil goes in and out; ``gas``: the store of its law that this oil fills; ``softness``: the
    reading of how much oil it takes per unit of pressure [m3/Pa]. ``release`` and ``hazard`` say what is done before
    a line is opened, and why; "{}" stands for its name.
    """

    group: ClassVar[str] = STORES
    title: ClassVar[str] = mark("store")
    places: ClassVar[Mapping[str, str]] = {"port": mark("oil in and out")}

    port: str = "P"
    gas: str = "gas"
    softness: str = "softness"
    release: str = mark(
        "Let the oil of the {} back to the tank, or shut it off, secure the valve and bleed its line; before the {} "
        "itself comes off, release its pre-charge."
    )
    hazard: str = mark("The {} presses its oil into the line with everything stopped, until it is empty.")

    @property
    def border(self) -> tuple[str, str, str]:
        """The heat that its gas has from the air or gives to it."""
        return tr("Warmth, air to {}"), tr("Warmth, {} to air"), "friction"

    @property
    def stored(self) -> Mapping[str, tuple[str, str, str]]:
        """Its gas."""
        return MappingProxyType({self.gas: (tr("Out of the {}"), tr("Into the {}"), "stored")})


@dataclass(frozen=True, slots=True)
class Catcher(Role):
    """Catches oil to measure it. ``caught``: the reading of what stands in it."""

    group: ClassVar[str] = TESTS
    title: ClassVar[str] = mark("measuring cup")

    caught: str = "caught"


@dataclass(frozen=True, slots=True)
class Tank(Role):
    """The tank: oil stands in it, and comes back to it."""

    group: ClassVar[str] = CONDUITS
    title: ClassVar[str] = mark("tank")
    places: ClassVar[Mapping[str, str]] = {"suction": mark("suction"), "back": mark("return")}

    suction: str = "S"
    back: str = "T"
