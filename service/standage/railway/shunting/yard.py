"""A yard of sidings worked from a headshunt, and what is asked of it.

Wagons standing in a siding are listed from its points, wagons on the engine from the
engine outwards: so the engine's string followed by a siding's is the line as it stands
when the engine has coupled up there. A *visit* does just that and cuts the line anew.
More wagons on the engine than before is a pick, fewer a drop.

All lengths are over couplings, in mm, and are taken to a millionth of a millimetre.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import Annotated, Literal

import msgspec

from standage.railway.terms.figures import (
    Name,
    RoadRoomMm,
    Room,
    UsableLengthMm,
    VehicleLengthMm,
    counted,
    millimetres,
    says,
    tidy,
)
from standage.railway.terms.senses import ITSELF, NAMES_IT
from standage.shapes.faults import Fault, Faulty, Ruled

MOST_SIDINGS = 6
MOST_WAGONS = 12
MOST_PLACES = 20

Rest = Literal["anywhere", "engine_free", "one_siding"]
Fewest = Literal["visits", "couplings", "cuts_by_hand"]
Action = Literal["pick", "drop"]

Wagons = Annotated[tuple[Name, ...], msgspec.Meta(max_length=MOST_WAGONS)]
Places = Annotated[tuple[Room, ...], msgspec.Meta(max_length=MOST_PLACES)]


SIDING_LENGTH = says("From the fouling point of its points to its end, in mm.")


class SidingFigures(Ruled, frozen=True, kw_only=True):
    """What is known of one siding of the fan besides its length."""

    name: Annotated[Name, says("What it is called."), NAMES_IT]
    uncoupling_places_mm: Annotated[
        Places | None,
        says(
            "Where couplings come apart without a hand (a ramp, a magnet): from the"
            " points end, each in mm."
        ),
    ] = None
    hand_reaches_from_mm: Annotated[
        Room | None,
        says(
            "From where on a hand can get at a coupling: from the points end, in mm;"
            " not known if not said."
        ),
    ] = None


class Siding(SidingFigures, frozen=True, kw_only=True):
    """One siding of the fan."""

    usable_length_mm: Annotated[UsableLengthMm, SIDING_LENGTH]


class RoomBetween(Ruled, frozen=True, kw_only=True):
    """Two sidings that share a set of points nearer to them than the headshunt's first:
    more room on the way across.
    """

    between: Annotated[
        Annotated[tuple[Name, ...], msgspec.Meta(min_length=2, max_length=2)],
        says("The names of the two sidings."),
    ]
    room_mm: Annotated[
        RoadRoomMm,
        says(
            "For a trip straight from one to the other: the engine and what is on it"
            " may be so long, in mm."
        ),
    ]


Sidings = Annotated[
    tuple[Siding, ...], msgspec.Meta(min_length=1, max_length=MOST_SIDINGS)
]
HEADSHUNT = says(
    "From the blade tips of the first points to the end, engine included, in mm."
)
SIDINGS = says("The sidings.")


class YardFigures(Ruled, frozen=True, kw_only=True):
    """What may be known of a yard besides its roads."""

    rooms: Annotated[
        Annotated[tuple[RoomBetween, ...], msgspec.Meta(max_length=15)],
        says(
            "Pairs of sidings between which there is more room than in the headshunt."
        ),
    ] = ()
    headshunt_uncoupling_places_mm: Annotated[
        Places | None,
        says("Uncoupling places in the headshunt, from its points end, each in mm."),
    ] = None
    uncoupled_ahead: Annotated[
        bool,
        says(
            "Whether couplings, once uncoupled over a place, stay so while they are"
            " pushed on to where they are left."
        ),
    ] = False


class Yard(YardFigures, frozen=True, kw_only=True):
    """A fan of sidings and the headshunt that they are worked from."""

    headshunt_usable_length_mm: Annotated[RoadRoomMm, HEADSHUNT]
    sidings: Annotated[Sidings, SIDINGS]

    def rules(self) -> Iterable[Fault]:
        """Names are unique; a pair names two different sidings, once."""
        yield from yard_faults(self.sidings, self.rooms)


def yard_faults(
    sidings: Sequence[SidingFigures], rooms: Sequence[RoomBetween]
) -> Iterator[Fault]:
    """Yield what contradicts itself in a yard: names twice, and pairs of no two sidings
    or given twice. **Source** derived.
    """
    names = [siding.name for siding in sidings]
    for position in _repeated(names):
        yield _fault(
            "not_unique",
            f"there are two sidings {names[position]}",
            f"/sidings/{position}/name",
        )
    for position, room in enumerate(rooms):
        yield from _pair_faults(room, names, f"/rooms/{position}/between")
    pairs = [frozenset(room.between) for room in rooms]
    for position in _repeated(pairs):
        yield _fault(
            "not_unique", "this pair is there already", f"/rooms/{position}/between"
        )


class Wagon(msgspec.Struct, frozen=True, kw_only=True):
    """A wagon by its name, with its length over couplings and how far off that
    may be.
    """

    name: str
    length_mm: float
    plus_minus_mm: float = 0.0


class YardStart(Ruled, frozen=True, kw_only=True):
    """Where every wagon stands at the start."""

    sidings: Annotated[
        Annotated[
            tuple[Wagons, ...], msgspec.Meta(min_length=1, max_length=MOST_SIDINGS)
        ],
        says(
            "What stands in each siding, in the order of the yard's sidings, each"
            " listed from the points end."
        ),
    ]
    engine: Annotated[
        Wagons, says("What is on the engine, from the engine outwards.")
    ] = ()


class YardGoal(Ruled, frozen=True, kw_only=True):
    """What is to stand where at the end: one siding's train, or every siding's full
    contents.
    """

    siding: Annotated[
        Name | None, says("The siding in which the train is to stand, alone.")
    ] = None
    train: Annotated[Wagons | None, says("The train, listed from the points end.")] = (
        None
    )
    sidings: Annotated[
        Annotated[
            tuple[Wagons, ...], msgspec.Meta(min_length=1, max_length=MOST_SIDINGS)
        ]
        | None,
        says(
            "Instead: the full contents of every siding, each listed from the points"
            " end."
        ),
    ] = None
    engine: Annotated[
        Wagons | None,
        says(
            "What is to be on the engine, from the engine outwards; anything if not"
            " said."
        ),
    ] = None
    rest: Annotated[
        Rest,
        says(
            "Where wagons that are not named may be: anywhere; anywhere but on the"
            " engine (engine_free); all in one siding, nothing on the engine"
            " (one_siding)."
        ),
    ] = "anywhere"

    def rules(self) -> Iterable[Fault]:
        """Either a siding and its train, or every siding's contents."""
        for field in ("siding", "train"):
            given = getattr(self, field) is not None
            if self.sidings is None and not given:
                yield _fault("missing", f"{field} is missing", f"/{field}")
            if self.sidings is not None and given:
                yield _fault(
                    "one_or_the_other", "cannot be given beside sidings", f"/{field}"
                )

    def named(self) -> Iterator[tuple[str, str]]:
        """Yield every wagon that the goal names, with the pointer to where."""
        yield from _listed(self.train or (), "/train")
        for number, wagons in enumerate(self.sidings or ()):
            yield from _listed(wagons, f"/sidings/{number}")
        yield from _listed(self.engine or (), "/engine")

    def contents(self, sidings: Sequence[Siding]) -> tuple[tuple[str, ...] | None, ...]:
        """Return what each siding must hold; None where it may hold anything."""
        if self.sidings is not None:
            return self.sidings
        contents: list[tuple[str, ...] | None] = [None] * len(sidings)
        for place, siding in enumerate(sidings):
            if siding.name == self.siding:
                contents[place] = self.train
        return tuple(contents)


class Puzzle(Ruled, frozen=True, kw_only=True):
    """A yard, an engine, wagons, where they stand and where they are to stand."""

    engine_length_mm: VehicleLengthMm
    yard: Annotated[Yard, ITSELF]
    wagons: tuple[Wagon, ...]
    start: YardStart
    goal: YardGoal
    fewest: Fewest = "visits"

    def rules(self) -> Iterable[Fault]:
        """Every wagon stands somewhere once, where it fits; the goal asks for wagons
        and sidings that there are.
        """
        names = [wagon.name for wagon in self.wagons]
        for position in _repeated(names):
            yield _fault(
                "not_unique",
                f"there are two wagons {names[position]}",
                f"/wagons/{position}/name",
            )
        yield from self._start_faults(frozenset(names))
        yield from self._goal_faults(frozenset(names))

    def _start_faults(self, names: frozenset[str]) -> Iterator[Fault]:
        listed = list(_listed(self.start.engine, "/start/engine"))
        for number, wagons in enumerate(self.start.sidings):
            listed += _listed(wagons, f"/start/sidings/{number}")
        wrong = list(_misnamed(listed, names))
        named = {name for name, _ in listed}
        for name in sorted(names - named):
            message = f"{name} is in no siding and not on the engine"
            wrong.append(_fault("missing", message, "/start"))
        wrong += self._miscounted(self.start.sidings, "/start/sidings")
        # what is listed wrongly cannot be measured
        yield from wrong or self._start_overfull()

    def _miscounted(self, listed: Sequence[Wagons], pointer: str) -> Iterator[Fault]:
        sidings = len(self.yard.sidings)
        if len(listed) != sidings:
            listed_sidings = counted(len(listed), "siding")
            message = f"lists {listed_sidings}, but the yard has {sidings}"
            yield _fault("contradiction", message, pointer)

    def _start_overfull(self) -> Iterator[Fault]:
        standing = zip(self.yard.sidings, self.start.sidings, strict=True)
        for number, (siding, wagons) in enumerate(standing):
            over_mm = tidy(self.length_mm(wagons) - siding.usable_length_mm)
            if over_mm > 0:
                message = (
                    f"{siding.name} is {millimetres(over_mm)} too short for what stands"
                    " there"
                )
                yield _fault("does_not_fit", message, f"/start/sidings/{number}")
        asked_mm = self.engine_length_mm + self.length_mm(self.start.engine)
        over_mm = tidy(asked_mm - self.yard.headshunt_usable_length_mm)
        # an engine that is too long by itself is no fault but a reason (see fitting)
        if self.start.engine and over_mm > 0:
            message = (
                f"the headshunt is {millimetres(over_mm)} too short for the engine and"
                " what is on it"
            )
            yield _fault("does_not_fit", message, "/start/engine")

    def _goal_faults(self, names: frozenset[str]) -> Iterator[Fault]:
        listed = [(name, f"/goal{pointer}") for name, pointer in self.goal.named()]
        yield from _misnamed(listed, names)
        goal = self.goal
        sidings = {siding.name for siding in self.yard.sidings}
        if goal.siding is not None and goal.siding not in sidings:
            message = f"there is no siding {goal.siding}"
            yield _fault("unknown_siding", message, "/goal/siding")
        if goal.sidings is not None:
            yield from self._miscounted(goal.sidings, "/goal/sidings")

    def length_mm(self, names: Iterable[str]) -> float:
        """Return how long the named wagons are, coupled together."""
        lengths_mm = {wagon.name: tidy(wagon.length_mm) for wagon in self.wagons}
        in_all_mm = sum(lengths_mm[name] for name in names)
        return tidy(in_all_mm)


class Visit(msgspec.Struct, frozen=True, kw_only=True):
    """One trip into a siding: what is picked up there or dropped there, listed as it
    stands in the line.
    """

    siding: Annotated[str, says("The siding that is visited.")]
    action: Annotated[Action, says("Whether wagons are picked up or dropped.")]
    wagons: Annotated[
        tuple[str, ...],
        says("Which, listed from the engine's side, that is from the points end."),
    ]


def made_sure(puzzle: Puzzle) -> Puzzle:
    """Return ``puzzle``; raises ``Faulty`` with everything that contradicts itself in
    it. **Source** derived.
    """
    faults: list[Fault] = []
    for part, pointer in ((puzzle, ""), (puzzle.yard, "/yard"), (puzzle.goal, "/goal")):
        for fault in part.rules():
            whole = pointer + (fault.pointer or "")
            faults.append(msgspec.structs.replace(fault, pointer=whole))
    if faults:
        raise Faulty(faults)
    return puzzle


def _pair_faults(
    room: RoomBetween, names: Sequence[str], pointer: str
) -> Iterator[Fault]:
    for end, name in enumerate(room.between):
        if name not in names:
            message = f"there is no siding {name}"
            yield _fault("unknown_siding", message, f"{pointer}/{end}")
    if len(set(room.between)) < len(room.between):
        yield _fault("contradiction", "must be two different sidings", pointer)


def _listed(names: Iterable[str], pointer: str) -> Iterator[tuple[str, str]]:
    """Yield each name with the pointer to where it stands in the list at ``pointer``."""
    for place, name in enumerate(names):
        yield name, f"{pointer}/{place}"


def _misnamed(
    listed: Sequence[tuple[str, str]], names: frozenset[str]
) -> Iterator[Fault]:
    for name, pointer in listed:
        if name not in names:
            yield _fault("unknown_wagon", f"there is no wagon {name}", pointer)
    for position in _repeated([name for name, _ in listed]):
        name, pointer = listed[position]
        yield _fault("not_unique", f"{name} is listed twice", pointer)


def _repeated(values: Sequence[object]) -> Iterator[int]:
    """Yield the place of every value that came before."""
    seen: Counter[object] = Counter()
    for position, value in enumerate(values):
        if seen[value]:
            yield position
        seen[value] += 1


def _fault(code: str, message: str, pointer: str) -> Fault:
    return Fault(
        code=code,
        message=message,
        pointer=pointer,
    )
