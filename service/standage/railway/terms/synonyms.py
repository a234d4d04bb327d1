"""Words of the trade for one thing, British and American, as they may be sent; what is
kept is always our own word.

**Source** common practice of the trade, no source.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from standage.railway.terms.scales import Practice
from standage.railway.terms.spellings import choice_spelt
from standage.shapes.decoding import FieldWords

VEHICLE_KINDS: Mapping[str, str] = {
    "engine": (
        "engine, engines, loco, locos, locomotive, locomotives, steam engine, steam"
        " loco, steam locomotive, tank engine, tank loco, tank locomotive, tender"
        " engine, tender loco, pannier tank, saddle tank, side tank, diesel, diesel"
        " engine, diesel loco, diesel locomotive, diesel shunter, electric engine,"
        " electric loco, electric locomotive, shunter, switcher, road switcher, cab"
        " unit, booster unit"
    ),
    "coach": (
        "coach, coaches, carriage, carriages, passenger car, passenger coach, passenger"
        " stock, railway carriage, saloon, dining car, restaurant car, buffet car,"
        " sleeping car, baggage car, observation car, dome car, lounge car, parlor car,"
        " parlour car, mail car, post office car, brake composite, autocoach, auto"
        " coach, autotrailer, auto trailer, coaching stock"
    ),
    "wagon": (
        "wagon, wagons, freight car, freight cars, freight wagon, goods wagon, goods"
        " van, van, vans, boxcar, boxcars, box car, hopper, hoppers, hopper car,"
        " covered hopper, tank wagon, tank car, tanker, flat wagon, flat car, flatcar,"
        " open wagon, gondola, mineral wagon, coal wagon, reefer, refrigerator car,"
        " stock car, cattle car, auto rack, autorack, container wagon, container flat,"
        " well wagon, well car, spine car, ore car, coal car, log car, ballast car,"
        " dump car, bogie bolster, horse box, horsebox"
    ),
    "brake_van": (
        "brake van, brakevan, goods brake, guards van, guard's van, guard van, caboose,"
        " cabin car, way car"
    ),
    "multiple_unit_car": (
        "multiple unit car, multiple unit, unit car, motor coach, trailer car, driving"
        " trailer, driving motor, dmu, dmus, dmmu, demu, demus, emu, emus, dmu car, emu"
        " car, demu car, dmu power car, emu power car, demu power car, dmu trailer, emu"
        " trailer, hst, high speed train, railcar set"
    ),
    "railcar": (
        "railcar, railcars, rail car, railbus, rail bus, railmotor, rail motor, steam"
        " railmotor, tram, tramcar, streetcar, interurban, gas electric"
    ),
    "other": (
        "other, crane, departmental, maintenance, maintenance of way, snowplough, snow"
        " plough, snowplow, snow plow, track machine, on track machine"
    ),
}
"""The words for each kind of vehicle that stand for nothing else."""
PRACTICES: Mapping[str, str] = {
    "british": "british, uk, gb, britain",
    "continental": "continental, european, europe, german, french, swiss",
    "american": "american, us, usa, north american",
}
LENGTHS_OVER: Mapping[str, str] = {
    "buffers": "buffers, over buffers, buffer faces, buffer, lob",
    "couplings": (
        "couplings, over couplings, couplers, over couplers, coupler, coupling, pulling"
        " faces, over pulling faces"
    ),
    "body": "body, over the body, over body, body only",
}
LENGTHS_FROM: Mapping[str, str] = {
    "measured": "measured, ruler, calipers, callipers, tape",
    "maker": (
        "maker, makers figure, maker's figure, manufacturer, catalogue, catalog, box"
    ),
    "scaled": "scaled, scaled down, from the full size, drawing",
}
MOUNTINGS: Mapping[str, str] = {
    "body": "body, body mounted",
    "bogie": "bogie, bogie mounted, truck, truck mounted",
    "guided": "guided, shaft",
}
PLACE_KINDS: Mapping[str, str] = {
    "loop": (
        "passing loop, passing siding, passing track, run-round loop, runaround,"
        " run-around track"
    ),
    "siding": (
        "spur, spur track, stub siding, stub track, dead-end siding, industrial spur,"
        " dock siding"
    ),
    "headshunt": (
        "switching lead, lead, drill track, tail track, shunting neck, shunting spur"
    ),
    "platform": "platform road, platform track, station track",
    "storage_road": (
        "fiddle yard road, fiddle road, fiddle track, staging track, storage track,"
        " storage siding"
    ),
    "traverser": "transfer table",
    "reversing_section": "return loop, balloon loop, reversing loop, reverse loop",
}
_LIMITS: Mapping[str, str] = {
    "blade_tips": "point blades, point tips, switch points, switch blades, blades",
    "fouling_point": "clearance point, clearance post",
    "buffer_stop": (
        "buffers, buffer stops, bumper, bumper post, bumping post, end of track"
    ),
    "isolation_gap": "insulated gap, insulated joint, rail gap",
}
_FIELDS: Mapping[str, str] = {
    "engine": "locomotive, loco",
    "engines": "locomotives, locos",
    "coupling": "coupler",
    "couplings": "couplers",
    "coach": "carriage, passenger_car",
    "wagon": "freight_car, goods_wagon",
    "wagons": "freight_cars, goods_wagons, cars",
    "siding": "spur",
    "sidings": "spurs",
    "headshunt": "switching_lead, shunting_neck, lead",
    "points": "turnout, turnouts",
    "bogie": "truck",
    "centres": "centers",
}
_PLAINLY: Mapping[str, Sequence[str]] = {
    "length": ("length_mm", "usable_length_mm"),
    "radius": ("radius_mm", "minimum_radius_mm"),
    "gradient": ("gradient_percent", "steepest_gradient_percent"),
}
"""Which field a plain word means where several hold it: the one that answers are judged
by.
"""
_UNITS = frozenset(
    {
        "mm",
        "cm",
        "m",
        "in",
        "inch",
        "inches",
        "ft",
        "feet",
        "percent",
        "pct",
        "deg",
        "degrees",
        "g",
    }
)


class TwoWays(NamedTuple):
    """A word that means one thing here and another across the ocean: how it is taken,
    and what else to write.
    """

    taken_as: str
    words: str
    other: str
    plain_in: frozenset[Practice]
    """By whose practice there is no doubt."""


TWO_WAYS: Mapping[str, TwoWays] = {
    "car": TwoWays(
        "coach",
        "a coach, which carries passengers",
        "for a freight car write wagon",
        frozenset({"british", "continental"}),
    ),
    "points": TwoWays(
        "blade_tips",
        "the tips of the moving blades",
        "where the next road is fouled write fouling_point",
        frozenset({"american"}),
    ),
    "siding": TwoWays(
        "siding",
        "a road that ends at a buffer stop (a spur)",
        "for a passing siding write loop",
        frozenset({"british", "continental"}),
    ),
    "loop": TwoWays(
        "loop",
        "a passing siding, open at both ends",
        "for a loop that turns trains round write reversing_section",
        frozenset({"british", "continental"}),
    ),
}
"""Our own words among them are in doubt only where practice is known to be American."""


def choice_meant(text: str, choices: Sequence[object]) -> str | None:
    """Return the one of ``choices`` that ``text`` is another word for, or another
    spelling of; None where it is none. **Source** the trade's words, no source.

    >>> choice_meant("Freight Car", ["coach", "wagon"]), choice_meant("brake-van", ["brake_van"])
    ('wagon', 'brake_van')
    """
    plain = in_plain_letters(text)
    double = TWO_WAYS.get(plain)
    if double is not None and double.taken_as in choices:
        return double.taken_as
    meant = () if double is not None else _BY_WORD.get(plain, ())
    for own in meant:
        if own in choices:
            return own
    return choice_spelt(text, choices)


def field_meant(name: str, known: Iterable[str]) -> str | None:
    """Return the one of the fields ``known`` that ``name`` is another word for; None
    where it is none.

    What a record is called stands for its id, as ``train`` for ``train_id``. **Source**
    the trade's words, no source.

    >>> field_meant("front_coupler", ["front_coupling"]), field_meant("locomotive", ["engine_id"])
    ('front_coupling', 'engine_id')
    """
    fields = set(known)
    for spelt in dict.fromkeys((name, own_words(name))):
        for meant in (spelt, f"{spelt}_id"):
            if meant in fields and meant != name:
                return meant
    return None


def own_words(name: str) -> str:
    """Return a field's name in our own words. **Source** the trade's words, no source.

    >>> own_words("switching_lead_usable_length_mm"), own_words("truck_centers_mm")
    ('headshunt_usable_length_mm', 'bogie_centres_mm')
    """
    parts = name.split("_")
    own: list[str] = []
    while parts:
        size = _words_known(parts)
        word = "_".join(parts[: max(size, 1)])
        own.append(_FIELDS_BY_WORD[word] if size else word)
        parts = parts[max(size, 1) :]
    return "_".join(own)


def _words_known(parts: Sequence[str]) -> int:
    """Return how many of the first parts together are a word of the trade: two before
    one.
    """
    for size in (2, 1):
        if "_".join(parts[:size]) in _FIELDS_BY_WORD:
            return size
    return 0


def fields_near(name: str, known: Sequence[str]) -> list[str]:
    """Return the fields ``known`` that hold every word of ``name``, units aside; those
    with the fewest others. **Source** the trade's words, no source.

    >>> (
    ...     fields_near("length", ["usable_length_mm", "face_length_mm"]),
    ...     fields_near("width_in", ["width_mm"]),
    ... )
    (['usable_length_mm'], ['width_mm'])
    """
    spelt = name.casefold().replace("-", "_")
    wanted = _words(own_words(spelt.replace(" ", "_")))
    if not wanted:
        return []
    said_plainly = _PLAINLY.get("_".join(sorted(wanted)), ())
    for field in said_plainly:
        if field in known:
            return [field]
    others = {
        field: len(_words(field) - wanted) for field in known if wanted <= _words(field)
    }
    fewest = min(others.values(), default=0)
    return [field for field, count in others.items() if count == fewest]


def _words(name: str) -> frozenset[str]:
    words = frozenset(name.split("_"))
    return words - _UNITS


def in_plain_letters(text: str) -> str:
    """Return a word as words are compared: its case, spaces, hyphens and underscores
    count for nothing. **Source** the trade's words, no source.
    """
    folded = text.casefold()
    spaced = folded.replace("_", " ").replace("-", " ")
    words = spaced.split()
    return " ".join(words)


def by_word(table: Mapping[str, str]) -> dict[str, str]:
    """Return what each word stands for, by the word in plain letters; our own words
    stand for themselves. **Source** the trade's words, no source.
    """
    meant: dict[str, str] = {}
    for value, words in table.items():
        for word in words.split(", "):
            plain = in_plain_letters(word)
            meant[plain] = value
    for own in table:
        plain = in_plain_letters(own)
        meant[plain] = own
    return meant


def _in_every(tables: Iterable[Mapping[str, str]]) -> dict[str, tuple[str, ...]]:
    """Return what each word stands for by all tables: buffers end a road, and lengths
    are measured over them.
    """
    meant: dict[str, tuple[str, ...]] = {}
    for table in tables:
        words = by_word(table)
        for word, value in words.items():
            before = meant.get(word, ())
            meant[word] = (*before, value)
    return meant


CHOICES = (
    VEHICLE_KINDS,
    PRACTICES,
    LENGTHS_OVER,
    LENGTHS_FROM,
    MOUNTINGS,
    PLACE_KINDS,
    _LIMITS,
)
"""Every table of words for choices."""
_BY_WORD = _in_every(CHOICES)
_FIELDS_BY_WORD = {
    word: field for field, words in _FIELDS.items() for word in words.split(", ")
}
TRADE_WORDS = FieldWords(meant=field_meant, near=fields_near)
"""What the trade calls the fields of this service."""
