"""Signing in takes three steps; what is changed between them counts, and what is kept
of them gives nothing away.
"""

import hashlib
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from threading import Event

import pytest
from sqlalchemy import select

from api.asking import (
    PASSPHRASE,
    Caller,
    Clock,
    Service,
    as_sorrel,
    refusal,
    serving,
    signing_in,
)
from api.ground import Ground
from standage.registry.database.engine import Database
from standage.registry.database.tables import idempotency
from standage.registry.people.hashing import Hasher
from support.patience import PATIENCE_S


class HeldHasher(Hasher):
    """A quick hasher that waits, once it is held, before it says what it found."""

    def __init__(self) -> None:
        super().__init__(memory_kib=8, passes=1)
        self.held = False
        self.begun, self.go_on = Event(), Event()

    def verify(self, hashed: str | None, passphrase: str) -> bool:
        found = super().verify(hashed, passphrase)
        if self.held:
            self.begun.set()
            self.go_on.wait(PATIENCE_S)
        return found


@pytest.fixture
def hasher() -> HeldHasher:
    return HeldHasher()


@pytest.fixture
def held(database: Database, hasher: HeldHasher) -> Iterator[Service]:
    with serving(database, Clock(), hasher=hasher) as running:
        yield running


def reset(steward: Caller, member_id: str) -> None:
    assert (
        steward.ask("POST", f"/v1/members/{member_id}/passphrase-reset").status_code
        == 204
    )


def see_off(steward: Caller, member_id: str) -> None:
    assert (
        steward.ask("DELETE", f"/v1/members/{member_id}", if_match="*").status_code
        == 204
    )


@pytest.mark.parametrize("lose", [reset, see_off])
def test_who_loses_the_passphrase_while_it_is_hashed_is_not_let_in(
    held: Service, hasher: HeldHasher, lose: Callable[[Caller, str], None]
) -> None:
    steward = held.club()
    member = Ground(steward).make("Member")
    steward.invited(member["id"], "Sorrel")
    hasher.held = True
    with ThreadPoolExecutor(1) as thread:
        answer = thread.submit(signing_in, steward)
        assert hasher.begun.wait(PATIENCE_S)
        lose(steward, member["id"])
        hasher.go_on.set()
        refusal(answer.result(PATIENCE_S), 401, "sign_in_failed")


def test_what_is_kept_of_a_repeated_sign_in_is_no_hash_of_the_passphrase(
    service: Service, sorrel: Caller
) -> None:
    """Whoever has the table could try passphrases against a quick hash of the body, all
    else of which they know.
    """
    sent = Caller(http=sorrel.http).ask(
        "POST", "/v1/sessions", as_sorrel(sorrel), idempotency_key="k1"
    )
    assert sent.status_code == 201
    with service.database.read() as connection:
        (kept,) = connection.scalars(
            select(idempotency.c.payload_sha256).where(idempotency.c.key == "k1")
        ).all()
    assert PASSPHRASE.encode() in sent.request.content
    assert kept != hashlib.sha256(sent.request.content).hexdigest()
