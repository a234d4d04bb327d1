"""Whether the connectors of two module ends go together, pin by pin. Low voltage
only.
"""

import re
from collections.abc import Iterable, Iterator, Mapping

from standage.railway.modules.boards import ConnectorPin, EndConnector
from standage.railway.modules.joining import JoinEnd, JoinFinding
from standage.railway.terms.reasons import Reason

MOST_VOLTS = 50.0
"""Above it an alternating voltage is no longer extra-low. **Source** IEC 61140."""
CAUTION = (
    "This compares what was written down: test for short circuits with a meter before"
    " power is on. These connectors are for low voltage only; for mains follow local"
    " rules and ask a licensed electrician."
)

_VOLTS = re.compile(
    r"(?<![\w.])(\d+(?:[.,]\d+)?) ?(k?)v(?:olts?|ac|dc)?\b", re.IGNORECASE
)
_MAINS = re.compile(r"\bmains\b", re.IGNORECASE)
_RETURN = re.compile(r"\b(?:common|return|earth|ground|0 ?v)\b", re.IGNORECASE)
_RAIL = re.compile(r"\brails?\b", re.IGNORECASE)
_SIDE = re.compile(r"\b(left|right)\b", re.IGNORECASE)
_AFTER_ALL_NUMBERS = 10_000
"""Pins with letters come behind those with numbers, which run to 9999."""


def by_wiring(one: JoinEnd, other: JoinEnd) -> Iterator[JoinFinding]:
    """Yield what the connectors say; nothing where neither end says that it has one.

    Another sort of connector and a pin that carries something else do not join; a pin
    that only one end lists asks for care; a connector or a list of pins that only one
    end gives is ``cannot_tell``. What is no low voltage never joins. **Source** IEC
    61140 for low voltage; the rest common practice.
    """
    for end in (one, other):
        yield from _not_low_voltage(end)
    if one.connector is None and other.connector is None:
        return
    if one.connector is None or other.connector is None:
        silent = one if one.connector is None else other
        message = f"{silent.name}: say what sort of connector it has"
        yield _cannot_tell("connector", message)
    elif _words(one.connector.type) != _words(other.connector.type):
        message = (
            f"{one.name} has a connector of the sort {one.connector.type}, {other.name}"
            f" one of {other.connector.type}: a lead that goes from one to the other is"
            " needed"
        )
        reason = Reason(
            code="connector_differs",
            message=message,
        )
        yield JoinFinding(
            verdict="does_not_join",
            reason=reason,
        )
    elif one.connector.pins or other.connector.pins:
        yield from _pin_by_pin(one, one.connector, other, other.connector)


def _pin_by_pin(
    one: JoinEnd, its: EndConnector, other: JoinEnd, others: EndConnector
) -> Iterator[JoinFinding]:
    if not its.pins or not others.pins:
        silent = other if its.pins else one
        yield _cannot_tell(
            "connector.pins",
            f"{silent.name}: write down what each pin of its connector carries",
        )
        return
    here, there = _carried(its.pins), _carried(others.pins)
    yield from _differing(one, here, other, there)
    yield from _ending(one, here, other, there)
    yield from _ending(other, there, one, here)
    sides = sorted(
        key
        for key in here.keys() & there.keys()
        if _told_by_side(here[key].carries, there[key].carries)
    )
    if sides:
        message = (
            f"left and right on {_pins(sides)} change places with the module one looks"
            " from: test with a meter, and write front and back instead"
        )
        yield JoinFinding(
            verdict="joins_with_care",
            reason=Reason(code="left_or_right", message=message),
        )


def _differing(
    one: JoinEnd,
    here: Mapping[str, ConnectorPin],
    other: JoinEnd,
    there: Mapping[str, ConnectorPin],
) -> Iterator[JoinFinding]:
    wrong = [
        key for key in here.keys() & there.keys() if _differs(here[key], there[key])
    ]
    for key in sorted(wrong, key=_in_order):
        first, second = here[key].carries, there[key].carries
        message = (
            f"pin {here[key].pin} carries {first} in {one.name} but {second} in"
            f" {other.name}"
        )
        code, warning = _what_becomes(first, second)
        swapped = _swapped_with(key, wrong, here, there)
        changed = ""
        if swapped is not None:
            pins = f"{here[key].pin} and {here[swapped].pin}"
            changed = f"; pins {pins} have changed places"
        reason = Reason(
            code=code,
            message=f"{message}{changed}{warning}",
            field=f"pin {here[key].pin}",
        )
        yield JoinFinding(
            verdict="does_not_join",
            reason=reason,
        )


def _differs(one: ConnectorPin, other: ConnectorPin) -> bool:
    """Tell whether two pins carry different things; left and right are told apart."""
    if _alike(one, other):
        return False
    return not _told_by_side(one.carries, other.carries)


def _alike(one: ConnectorPin, other: ConnectorPin) -> bool:
    return _words(one.carries) == _words(other.carries)


def _swapped_with(
    key: str,
    wrong: Iterable[str],
    here: Mapping[str, ConnectorPin],
    there: Mapping[str, ConnectorPin],
) -> str | None:
    """Return the pin that carries over there what this one carries here, and the other
    way round.
    """
    for match in sorted(wrong, key=_in_order):
        if match != key and _exchanged(here, there, key, match):
            return match
    return None


def _what_becomes(first: str, second: str) -> tuple[str, str]:
    """Return the code and the warning for a pin that carries one thing here and another
    there.
    """
    if bool(_RETURN.search(first)) != bool(_RETURN.search(second)):
        return (
            "return_crossed",
            ": a common return would meet a feed, which is a short circuit",
        )
    if _RAIL.search(first) and _RAIL.search(second):
        return (
            "polarity_crossed",
            (
                ": the rails would change places, so trains stop or short-circuit at"
                " the joint"
            ),
        )
    return "pin_differs", ""


def _exchanged(
    here: Mapping[str, ConnectorPin],
    there: Mapping[str, ConnectorPin],
    one: str,
    other: str,
) -> bool:
    this_way = _alike(here[one], there[other])
    that_way = _alike(here[other], there[one])
    return this_way and that_way


def _ending(
    end: JoinEnd,
    here: Mapping[str, ConnectorPin],
    facing: JoinEnd,
    there: Mapping[str, ConnectorPin],
) -> Iterator[JoinFinding]:
    only_here = here.keys() - there.keys()
    for key in sorted(only_here, key=_in_order):
        pin = here[key]
        message = (
            f"pin {pin.pin} carries {pin.carries} in {end.name};"
            f" {facing.name} has nothing on it"
        )
        reason = Reason(
            code="pin_ends_there",
            message=message,
            field=f"pin {pin.pin}",
        )
        yield JoinFinding(verdict="joins_with_care", reason=reason)


def _not_low_voltage(end: JoinEnd) -> Iterator[JoinFinding]:
    pins = () if end.connector is None else end.connector.pins
    for pin in pins:
        if not _is_above_low_voltage(pin.carries):
            continue
        message = (
            f"pin {pin.pin} of {end.name} carries {pin.carries}: that is not low"
            " voltage and must not go through this connector; ask a licensed"
            " electrician"
        )
        reason = Reason(code="not_low_voltage", message=message, field=f"pin {pin.pin}")
        yield JoinFinding(verdict="does_not_join", reason=reason)


def _is_above_low_voltage(carries: str) -> bool:
    if _MAINS.search(carries):
        return True
    return any(volts > MOST_VOLTS for volts in _volts_in(carries))


def _volts_in(text: str) -> Iterator[float]:
    for written, kilo in _VOLTS.findall(text):
        figure = float(written.replace(",", "."))
        yield figure * 1000 if kilo else figure


def _told_by_side(first: str, second: str) -> bool:
    """Tell whether two pins carry the same but for left and right, which nobody can
    judge from afar.
    """
    sides = [_SIDE.search(text) for text in (first, second)]
    if not all(sides):
        return False
    without = [_SIDE.sub("", text) for text in (first, second)]
    one, other = map(_words, without)
    return one == other


def _carried(pins: Iterable[ConnectorPin]) -> dict[str, ConnectorPin]:
    return {pin.key: pin for pin in pins}


def _words(text: str) -> str:
    words = text.casefold().split()
    return " ".join(words)


def _in_order(key: str) -> tuple[int, str]:
    is_a_number = key.isascii() and key.isdigit()
    if is_a_number:
        return int(key), ""
    return _AFTER_ALL_NUMBERS, key


def _pins(keys: list[str]) -> str:
    noun = "pin" if len(keys) == 1 else "pins"
    in_order = sorted(keys, key=_in_order)
    return f"{noun} {', '.join(in_order)}"


def _cannot_tell(field: str, message: str) -> JoinFinding:
    return JoinFinding(
        verdict="cannot_tell",
        reason=Reason(code="missing_figure", message=message, field=field),
    )
