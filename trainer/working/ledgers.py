"""Workings of the ledgers' entries: the sum that an entry is, and each named heat or flow that makes it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from trainer.energy.books import FlowBook
from trainer.energy.ledger import Entry
from trainer.formula import Tell, Term, Working
from trainer.language import mark, tr
from trainer.parts.part import Loss
from trainer.parts.roles import Pump
from trainer.parts.sheet import balance
from trainer.parts.workings import heat
from trainer.working.part_sheet import PartSheet
from trainer.working.sheet import Sheet

__all__ = ["entry"]

_LOSSES = {  # style of an entry of the power ledger -> the losses that it is made of
    "past": (Loss.PAST,),
    "metering": (Loss.METERING,),
    "pump": (Loss.PUMP,),
    "relief": (Loss.RELIEF,),
    "lines": (Loss.LINES, Loss.LEAKAGE, Loss.FRICTION, Loss.DRIVE),
}
_SUM = mark("What it is made of")
_MOST = 6  # terms of a sum; the rest is one more
_FLOW: tuple[Tell, ...] = (("ledger", "flow"),)
_POWER: tuple[Tell, ...] = (("ledger", "power"),)


def entry(at: Sheet, book: FlowBook, id_: str, of_part: Callable[[str], list[Working]]) -> list[Working]:
    """Return the workings of a ledger's entry by its id, of a ledger by its own; nothing for any other.

    ``of_part`` gives the workings of a part: those of the flows that make an entry come after the sum.
    """
    for ledger, letter in ((book.ledger(at.now), "q"), (book.power.ledger(at.now), "P")):
        refers_to = (("ledger", ledger.quantity),)
        if ledger.id == id_:
            result = at.term(letter, ledger.total, ledger.quantity, tr("all of it"), refers_to)
            terms = _few(at, ((one.value, one.name) for one in ledger.entries), ledger.quantity, letter)
            return [balance(ledger.name, tr(_SUM), result, terms)] if terms else []
        for one in ledger.entries:
            if one.id == id_:
                return list(_flow(at, book, one, of_part) if letter == "q" else _power(at, book, one))
    return []


def _few(at: Sheet, terms: Iterable[tuple[float, str]], quantity: str, letter: str) -> list[Term]:
    """Return signed terms, the largest ones first, the small ones as one, those that nobody would see left out."""
    ordered = sorted((pair for pair in terms if pair[0] != 0), key=lambda pair: -abs(pair[0]))
    seen = 1e-5 * sum(abs(value) for value, _ in ordered)
    while len(ordered) > 1 and abs(ordered[-1][0]) < seen:
        ordered.pop()
    large = ordered[:_MOST] if len(ordered) > _MOST + 1 else ordered
    refers_to = _FLOW if quantity == "flow" else _POWER
    made = [at.term(f"{letter}{k}", value, quantity, source, refers_to) for k, (value, source) in enumerate(large, 1)]
    rest = [value for value, _ in ordered[len(large) :]]
    if rest:
        made.append(
            at.term(f"{letter}z", sum(rest), quantity, tr("{count} smaller ones").format(count=len(rest)), refers_to)
        )
    return made


def _told(at: Sheet, key: tuple[str, ...]) -> str:
    """Return in words what a reading is."""
    kind, id_, *rest = key
    if kind == "fills":
        return tr("pressed into {called}").format(called=at.called(id_))
    called = at.called(id_)
    return {
        "swells": tr("{called} makes room").format(called=called),
        "enters": tr("into {called}").format(called=called),
    }.get(kind, at.called_of(id_, *rest))


def _flow(at: Sheet, book: FlowBook, one: Entry, of_part: Callable[[str], list[Working]]) -> Iterator[Working]:
    now = at.now
    account = next(account for account in book.accounts if account.id == one.id)
    result = at.term("q", one.value, "flow", tr("booked"), _FLOW)
    found = {key: sign * now[key] for key, sign in account.terms if now[key] != 0}
    terms = _few(at, ((value, _told(at, key)) for key, value in found.items()), "flow", "q")
    streams = {(key[1], key[2]) for key in found if key[0] == "passes"}
    own = [working for id_ in sorted({id_ for id_, _ in streams}) for working in of_part(id_)
           if (id_, working.stream) in streams]  # fmt: skip
    if len(terms) > 1 or (terms and not own):
        yield balance(one.name, tr(_SUM), result, terms)
    yield from own


def _power(at: Sheet, book: FlowBook, one: Entry) -> Iterator[Working]:
    now = at.now
    result = at.power("P", one.value, tr("booked"), _POWER)
    if one.style == "stored" and one.parts:
        stores = [key for key in book.power.separate if key[0] in one.parts]
        terms = _few(at, ((now["gain", *key], at.called_of(*key)) for key in stores), "power", "P")
    elif one.style == "stored":
        kinds = {"oil": tr("pressed oil"), "motion": tr("all that moves")}
        sums: dict[str, float] = {}
        for id_, store in now.network.stored_names:
            if (id_, store) not in book.power.separate:
                kind = kinds.get(store, tr("springs and stops"))
                sums[kind] = sums.get(kind, 0.0) + now["gain", id_, store]
        terms = _few(at, ((value, kind) for kind, value in sums.items()), "power", "P")
    elif one.style in _LOSSES:
        yield from _losses(at, book, one, result)
        return
    elif heights := [id_ for id_ in one.parts if (id_, "height") in now.network.stored_names]:
        rising = [id_ for id_ in heights if now["gain", id_, "height"] > 0]
        terms = _few(at, (term for id_ in rising for term in _lifting(at, id_)), "power", "P")
    else:
        supplies = [key for key in now.network.supply_names if key[0] in one.parts and now["supply", *key] < 0]
        terms = _few(at, ((-now["supply", *key], _told(at, ("supply", *key))) for key in supplies), "power", "P")
    if terms:
        yield balance(one.name, tr(_SUM), result, terms)


def _lifting(at: Sheet, id_: str) -> Iterator[tuple[float, str]]:
    """Yield what lifts a load: what its rods and shafts give, less what goes into motion and friction."""
    now, network = at.now, at.now.network
    model = network.models[id_]
    lines = [at.line(id_, port) for port in model.moving]
    for port, line in zip(model.moving, lines, strict=True):
        yield now.load(id_, port) * now.speed(line), tr("given by {called}").format(called=at.called(line))
    carried = [line for port, line in zip(model.moving, lines, strict=True) if port in model.carried]
    stores = [key for key in network.stored_names if key[0] in (id_, *carried) and key[1] != "height"]
    yield -sum(now["gain", *key] for key in stores), tr("goes into motion and springs")
    word = at.rig.parts[id_].part.word
    yield from (
        (-now["heat", *key], tr("rubs: {heat}").format(heat=word(key[1]))) for key in network.heats if key[0] == id_
    )


def _losses(at: Sheet, book: FlowBook, one: Entry, result: Term) -> Iterator[Working]:
    now = at.now
    found = [key for key, lost in now.network.heats.items() if lost.loss in _LOSSES[one.style]]
    if one.style == "lines":  # without what stands at an end stop, or that alone
        ends = {book.power.end_id(id_): keys for id_, keys in book.power.apart(now).items()}
        apart = {key for keys in ends.values() for key in keys}
        found = [*ends.get(one.id, ())] or [key for key in found if key not in apart]
    terms = _few(at, ((now["heat", *key], at.called_of(*key)) for key in found), "power", "P")
    if len(terms) > 1:
        yield balance(one.name, tr(_SUM), result, terms)
    if one.style == "pump":
        for id_ in book.pumps:
            if at.rig.role(id_, Pump).shaft:
                yield _pump(at, id_, sum(now["heat", *key] for key in found if key[0] == id_))
        return
    for id_, name in sorted(found, key=lambda key: -abs(now["heat", *key]))[:_MOST]:
        watts = now["heat", id_, name]
        if watts < 1e-3:
            continue
        if name in now.network.models[id_].streams:
            yield heat(PartSheet(at, id_), name, at.called_of(id_, name))
        elif name == "rod_friction":
            rubs = at.term("Fr", abs(now.value(id_, "friction")), "force", tr("seals rub"))
            moved = at.term("v", abs(now.speed(at.line(id_, "rod"))), "speed", tr("rod"))
            yield at.pushing(id_, at.called_of(id_, name), watts, rubs, moved)


def _pump(at: Sheet, id_: str, lost: float) -> Working:
    """Return a pump's loss: the power on its shaft less that of its oil."""
    now, role = at.now, at.rig.role(id_, Pump)
    shaft = at.line(id_, role.shaft)
    drop = at.drop(id_, role.outlet, role.inlet)
    delivered = -now["enters", id_, role.outlet]
    flow = at.mean(id_, role.outlet, role.inlet, delivered, "q", tr("delivery, as it is pressed"))
    way = -1 if now.speed(shaft) < 0 else 1
    torque = at.term("T", way * now.value(id_, "torque"), "torque", tr("shaft"), drop.refers_to)
    oil: tuple[Term, ...] = (drop, flow)
    paid = "Δp · q"
    if len(role.outlets) > 1:
        against = dict(
            zip(role.outlets, (role.case,) * 2 if role.case else (role.inlet, role.second[0]), strict=True)
        )
        oil = ()
        for port, back in against.items():
            letter = port[-1]
            leaves = -now["enters", id_, port]
            oil += (
                at.drop(id_, port, back, f"Δp{letter}"),
                at.mean(
                    id_, port, back, leaves, f"q{letter}", tr("out of {port}, as it is pressed").format(port=port)
                ),
            )
        one, two = (port[-1] for port in against)
        paid = f"( Δp{one} · q{one} + Δp{two} · q{two} )"
    words = (f"P = T · n / {at.rev} − {paid} / {at.kw}", f"P = T · n / 5252 − {paid} / 1714")
    result = at.power("P", lost, tr("becomes heat in the pump"), (*drop.refers_to, *_POWER))
    return Working(
        id_,
        tr("Loss of {called}").format(called=at.called(id_)),
        result,
        (torque, at.speed(shaft), *oil),
        words,
    )
