"""Whether a proposed longest train keeps all the rules, looked at afresh and without
the solver's reckoning.
"""

from collections import Counter
from collections.abc import Iterator, Sequence

import msgspec

from standage.railway.longest.cars import PoolVehicle
from standage.railway.roads.allowances import Allowance
from standage.railway.roads.places import Place
from standage.railway.standing.spare import stand
from standage.railway.standing.suitability import suited
from standage.railway.stock.coupled import coupled
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.trains import Train
from standage.railway.stock.vehicles import Standing


def train_of(
    engines: Sequence[Standing], pool: Sequence[PoolVehicle], taken: Sequence[int]
) -> Train:
    """Return the engines with those vehicles of the pool behind them, one by one.
    ``taken`` are places in the pool, from the head. **Source** derived.
    """
    vehicles = list(engines)
    for place in taken:
        one = msgspec.structs.replace(pool[place].vehicle, count=1)
        vehicles.append(one)
    return Train(vehicles=tuple(vehicles))


def broken_rules(
    engines: Sequence[Standing],
    pool: Sequence[PoolVehicle],
    taken: Sequence[int],
    *,
    place: Place,
    given: Allowance,
    types: CouplingTypes,
) -> Iterator[str]:
    """Yield every rule that the train of ``engines`` and ``taken`` breaks; nothing
    where it is a sound answer. Written without the search: the train is made up afresh
    and stood in the place. **Source** derived.
    """
    miscounted = list(_miscounted(pool, taken))
    yield from miscounted
    if any(not 0 <= number < len(pool) for number in taken):
        return
    train = train_of(engines, pool, taken)
    if not train.vehicles:
        yield "there is no vehicle in the train"
        return
    for vehicle in train.vehicles:
        if suited(vehicle, place, types=types).barred:
            yield f"{vehicle.name} does not get to the place"
    verdict = stand(coupled(train, types=types), place, given).verdict
    if verdict != "fits":
        yield f"the train is not certain to fit: {verdict}"


def _miscounted(pool: Sequence[PoolVehicle], taken: Sequence[int]) -> Iterator[str]:
    for number, count in Counter(taken).items():
        if not 0 <= number < len(pool):
            yield f"there is no vehicle {number} in the pool"
            continue
        vehicle = pool[number].vehicle
        if count > vehicle.count:
            yield (
                f"{vehicle.name} is taken {count} times, but there are {vehicle.count}"
            )
