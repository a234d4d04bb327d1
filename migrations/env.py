"""What Alembic runs to change the tables: over the connection it is handed, or over the
database of the settings.
"""

import os
from typing import Any, Literal

from alembic import context
from sqlalchemy import Connection

from standage.registry.database.engine import open_database
from standage.registry.database.tables import UtcDateTime, metadata


def render(kind: str, item: Any, _autogenerate: object) -> str | Literal[False]:
    """Write the service's own types as SQLAlchemy's, so that a migration never depends
    on the service.
    """
    return (
        "sa.DateTime(timezone=True)"
        if kind == "type" and isinstance(item, UtcDateTime)
        else False
    )


def run(connection: Connection) -> None:
    """Run the migrations in the transaction that the connection is in."""
    context.configure(
        connection=connection,
        target_metadata=metadata,
        render_as_batch=True,
        render_item=render,
        transactional_ddl=True,
        compare_type=True,
    )
    with context.begin_transaction():
        context.run_migrations()


handed = context.config.attributes.get("connection")
if handed is not None:
    run(handed)
else:
    database = open_database(
        os.environ.get("STANDAGE_DATABASE_URL", "sqlite:///standage.sqlite3")
    )
    with database.migrate() as own:
        run(own)
    database.dispose()
