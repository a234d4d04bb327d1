"""The migration that binds changes to actions, over a history that was written without
it.
"""

from collections import Counter
from datetime import timedelta

from sqlalchemy import select

from standage.registry.database.engine import Database
from standage.registry.database.migrate import downgrade, migrate
from standage.registry.database.tables import history
from standage.registry.records.bodies import LayoutBody, PlaceBody
from standage.registry.records.kinds import LAYOUTS, PLACES
from standage.registry.records.record import ANY_VERSION
from support.clubs import NOW, new_club, renamed


def actions(database: Database) -> Counter[tuple[str, ...]]:
    """Return how often each set of changes was made at once, whatever its action is
    called.
    """
    with database.read() as connection:
        rows = connection.execute(select(history).order_by(history.c.id)).all()
    found: dict[str, list[str]] = {}
    for row in rows:
        found.setdefault(row.action_id, []).append(f"{row.action} {row.kind}")
    return Counter(tuple(one) for one in found.values())


def test_what_was_written_at_once_becomes_one_action(bare_database: Database) -> None:
    migrate(bare_database)
    club = new_club(bare_database)
    for hours in (1, 2):
        with club.writing(NOW + timedelta(hours=3 * hours)) as writing:
            layout = writing.create(
                LAYOUTS, club.permit, LayoutBody(name=f"Layout {hours}")
            )
        for minutes in (1, 2):
            with club.writing(
                NOW + timedelta(hours=3 * hours, minutes=minutes)
            ) as writing:
                writing.create(
                    PLACES,
                    club.permit,
                    PlaceBody(name=f"Road {minutes}", kind="loop"),
                    parent_id=layout.id,
                )
        with club.writing(NOW + timedelta(hours=3 * hours + 1)) as writing:
            writing.change(
                LAYOUTS,
                club.permit,
                layout.id,
                renamed(f"Renamed {hours}"),
                if_match=ANY_VERSION,
            )
        with club.writing(NOW + timedelta(hours=3 * hours + 2)) as writing:
            writing.remove(LAYOUTS, club.permit, layout.id, if_match=ANY_VERSION)
    wanted = Counter(
        {
            ("create clubs", "create members", "create tokens"): 1,
            ("create layouts",): 2,
            ("create places",): 4,
            ("update layouts",): 2,
            ("delete layouts", "delete places", "delete places"): 2,
        }
    )
    assert actions(bare_database) == wanted
    downgrade(bare_database, "0003")
    migrate(bare_database)
    assert actions(bare_database) == wanted
