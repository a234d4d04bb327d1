"""The tables are what the code says, up and down, and a database that cannot be used
says why.
"""

import sqlite3
from pathlib import Path
from threading import Thread

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import inspect, select

from standage.registry.database.engine import Database, open_database
from standage.registry.database.migrate import downgrade, migrate, prepare, state_of
from standage.registry.database.tables import history, metadata
from standage.shapes.refusals import Busy, Unready
from support.clubs import MADE, new_club


def tables_of(database: Database) -> set[str]:
    with database.read() as connection:
        return set(inspect(connection).get_table_names()) - {"alembic_version"}


def test_a_bare_database_says_so_and_is_ready_once_migrated(
    bare_database: Database,
) -> None:
    assert state_of(bare_database).code == "not_migrated"
    assert "standage migrate" in state_of(bare_database).message
    migrate(bare_database)
    assert state_of(bare_database, thoroughly=True).ready
    migrate(bare_database)
    assert state_of(bare_database).ready


def test_the_migrations_make_exactly_the_tables_that_the_code_declares(
    bare_database: Database,
) -> None:
    migrate(bare_database)
    with bare_database.read() as connection:
        context = MigrationContext.configure(
            connection, opts={"compare_type": True, "render_as_batch": True}
        )
        assert compare_metadata(context, metadata) == []
        for table in metadata.sorted_tables:
            found = {
                index["name"]: index["column_names"]
                for index in inspect(connection).get_indexes(table.name)
            }
            declared = {
                index.name: [column.name for column in index.columns]
                for index in table.indexes
            }
            assert declared.items() <= found.items()


def test_text_is_in_the_order_of_its_code_points_on_postgresql(
    postgresql_database: Database,
) -> None:
    with postgresql_database.read() as connection:
        in_other_order = connection.exec_driver_sql(
            "SELECT table_name, column_name FROM information_schema.columns WHERE"
            " table_schema = 'public' AND data_type = 'text' AND collation_name IS"
            " DISTINCT FROM 'C' AND column_name NOT IN ('body', 'before', 'after',"
            " 'headers', 'head', 'content', 'remark', 'summary')"
        ).all()
    assert in_other_order == []


def test_every_migration_goes_down_and_up_again_over_records(
    bare_database: Database,
) -> None:
    migrate(bare_database)
    club = new_club(bare_database)
    for kind in MADE:
        club.make_sample(kind)
    with bare_database.read() as connection:
        assert connection.execute(select(history)).all()
    downgrade(bare_database, "base")
    assert tables_of(bare_database) == set()
    assert state_of(bare_database).code == "not_migrated"
    migrate(bare_database)
    assert tables_of(bare_database) == set(metadata.tables)
    new_club(bare_database)


def test_there_is_one_head() -> None:
    config = Config()
    config.set_main_option(
        "script_location", str(Path(__file__).parents[2] / "migrations")
    )
    assert len(ScriptDirectory.from_config(config).get_heads()) == 1


def test_a_database_of_a_newer_service_is_left_alone(bare_database: Database) -> None:
    migrate(bare_database)
    with bare_database.write() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")
    assert state_of(bare_database).code == "newer"
    with pytest.raises(Unready, match="newer"):
        migrate(bare_database)
    with pytest.raises(Unready, match="newer"):
        prepare(bare_database)


def test_a_database_that_lacks_a_table_says_which(bare_database: Database) -> None:
    migrate(bare_database)
    with bare_database.write() as connection:
        connection.exec_driver_sql("DROP TABLE links")
    state = state_of(bare_database)
    assert (state.code, "links" in state.message) == ("damaged", True)


def test_tables_without_a_version_are_left_alone(bare_database: Database) -> None:
    migrate(bare_database)
    with bare_database.write() as connection:
        connection.exec_driver_sql("DROP TABLE alembic_version")
    with pytest.raises(Unready, match="does not say"):
        migrate(bare_database)


def test_a_migration_that_fails_leaves_the_database_as_it_was(
    bare_database: Database,
) -> None:
    with bare_database.write() as connection:
        connection.exec_driver_sql("CREATE TABLE in_the_way (id INTEGER)")
        connection.exec_driver_sql(
            "CREATE INDEX ix_history_club_id_at_id ON in_the_way (id)"
        )
    with pytest.raises(Exception, match="ix_history_club_id_at_id"):
        migrate(bare_database)
    assert tables_of(bare_database) == {"in_the_way"}
    with bare_database.write() as connection:
        connection.exec_driver_sql("DROP TABLE in_the_way")
    migrate(bare_database)
    assert state_of(bare_database).ready


@pytest.mark.usefixtures("no_hurry")
def test_several_processes_may_migrate_at_once(bare_database: Database) -> None:
    failed: list[Exception] = []

    def run() -> None:
        own = open_database(bare_database.url)
        try:
            migrate(own)
        except Exception as error:  # noqa: BLE001 - whatever it is, the test shows it
            failed.append(error)
        finally:
            own.dispose()

    threads = [Thread(target=run) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    assert state_of(bare_database).ready


def test_only_sqlite_is_migrated_on_first_use(bare_database: Database) -> None:
    if bare_database.dialect == "sqlite":
        prepare(bare_database)
        assert state_of(bare_database).ready
    else:
        with pytest.raises(Unready, match="standage migrate"):
            prepare(bare_database)


def test_a_file_that_is_no_database_says_so(tmp_path: Path) -> None:
    file = tmp_path / "notes.sqlite3"
    file.write_text("These are the minutes of the meeting. " * 200)
    database = open_database(f"sqlite:///{file}")
    state = state_of(database)
    assert (state.code, state.message) == (
        "unusable",
        "the database file is not a SQLite database",
    )
    with pytest.raises(Unready, match="not a SQLite database"):
        prepare(database)
    database.dispose()


def test_a_file_in_a_folder_that_is_not_there_says_so(tmp_path: Path) -> None:
    database = open_database(f"sqlite:///{tmp_path / 'missing' / 'standage.sqlite3'}")
    assert "does its folder exist?" in state_of(database).message
    database.dispose()


def test_a_damaged_file_is_found_by_a_thorough_look(
    migrated_sqlite: Path, tmp_path: Path
) -> None:
    file = tmp_path / "damaged.sqlite3"
    content = bytearray(migrated_sqlite.read_bytes())
    page_size = int.from_bytes(content[16:18], "big")
    with sqlite3.connect(
        f"file:{migrated_sqlite}?mode=ro&immutable=1", uri=True
    ) as connection:
        (page,) = connection.execute(
            "SELECT rootpage FROM sqlite_master WHERE name = 'trains'"
        ).fetchone()
    connection.close()
    content[(page - 1) * page_size : page * page_size] = b"\xff" * page_size
    file.write_bytes(content)
    database = open_database(f"sqlite:///{file}")
    assert state_of(database, thoroughly=True).message == "the database file is damaged"
    database.dispose()


def test_a_server_that_is_not_there_cannot_be_reached() -> None:
    database = open_database("postgresql+psycopg://nobody@127.0.0.1:1/nothing")
    assert (
        state_of(database).code,
        "cannot be reached" in state_of(database).message,
    ) == ("busy", True)
    with pytest.raises(Busy):
        prepare(database)
    database.dispose()


@pytest.mark.parametrize(
    "url",
    [
        "mysql://localhost/x",
        "sqlite://",
        "sqlite:///:memory:",
        "nonsense",
        "postgresql+asyncpg://x/y",
    ],
)
def test_an_address_that_is_not_supported_is_refused(url: str) -> None:
    with pytest.raises(Unready):
        open_database(url)
