"""Everything that runs is killed at random moments while four write: what was
acknowledged is there, and no halves.

STANDAGE_KILLS says how often on each database (10); STANDAGE_KILLS_SEED, which moments.
"""

import os
import time
from collections.abc import Callable
from http.client import HTTPConnection
from random import Random

from durability import audit
from durability.born import Born, Nursery
from durability.conftest import Place
from durability.writers import HOW_MANY, Attempt, Writer, sent, writing
from support.tally import TOLD

KILLS = int(os.environ.get("STANDAGE_KILLS", "5"))
SEED = int(os.environ.get("STANDAGE_KILLS_SEED", "1"))
LONGEST_LIFE_S = 0.35
SERVER_TOO = 3
"""Every third time the database's server is killed as well."""


def test_what_was_acknowledged_survives_every_kill_and_nothing_is_there_in_halves(
    place: Place, services: Nursery, record_property: Callable[[str, object], None]
) -> None:
    chance = Random(SEED)
    writers = [
        Writer(number=number, token=place.token, chance=Random(SEED + number))
        for number in range(HOW_MANY)
    ]
    service = services.start(place.url)
    servers = 0
    for round_ in range(1, KILLS + 1):
        with writing(writers, service):
            time.sleep(chance.uniform(0.02, LONGEST_LIFE_S))
            if place.kill is not None and round_ % SERVER_TOO == 0:
                servers += 1
                place.kill()
            service.kill()
        if place.kill is not None and round_ % SERVER_TOO == 0:
            place.mend()
        service = services.start(place.url, port=service.port)
        judge(place, service, writers)
    written = sum(len(writer.attempts) for writer in writers)
    unknown = sum(attempt.unknown for writer in writers for attempt in writer.attempts)
    assert written > KILLS
    assert unknown > 0, "no kill met a write on its way"
    record_property(
        TOLD,
        f"{place.url.split(':')[0]}: {KILLS} kills of all processes ({servers} of the"
        f" database's server), {written - unknown} writes acknowledged, {unknown} cut"
        " off; none lost, none in halves",
    )


def judge(place: Place, service: Born, writers: list[Writer]) -> None:
    attempts = [attempt for writer in writers for attempt in writer.attempts]
    assert [one for one in attempts if not (one.acknowledged or one.unknown)] == []
    found = audit.kept(place.url)
    assert audit.lost(found, attempts) == []
    assert found.halves() == []
    connection = service.connection()
    for writer in writers:
        if writer.attempts and writer.attempts[-1].unknown:
            ask_again(connection, writer, writer.attempts[-1], found)
        writer.forget()
    connection.close()


def ask_again(
    connection: HTTPConnection, writer: Writer, cut_off: Attempt, found: audit.Kept
) -> None:
    """Send a creation that was cut off again: it is done once, whether it had been done
    or not.
    """
    if cut_off.key is None:
        return
    was_there = found.keys.get(cut_off.key)
    status, answer, _ = sent(connection, writer.token, cut_off)
    assert status == 201, answer
    if was_there is not None:
        assert answer["id"] in was_there.body.decode()
