"""Statements that nearly every request asks: compiled once for each database, and run
by its driver itself.

SQLAlchemy spends some 90 µs on a statement that it has compiled already, the driver 8
µs, and a question about a train on record asks half a dozen. What the driver raises is
put into plain words by ``engine``, as all else is.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

from sqlalchemy import CompoundSelect, Connection, Dialect, Select

Processor = Callable[[Any], Any]


class _Compiled(NamedTuple):
    text: str
    order: Sequence[str] | None
    """The parameters in the order in which the driver wants them; None where it wants
    them by name.
    """
    fixed: Mapping[str, Any]
    """What stands in the statement itself."""
    processors: tuple[tuple[int, Processor], ...]


class Prepared:
    """One statement that reads, its parameters bound by name."""

    def __init__(self, statement: Select[Any] | CompoundSelect[Any]) -> None:
        self._statement = statement
        self._compiled: dict[str, _Compiled] = {}

    def __str__(self) -> str:
        """Return the statement, whichever database it is for."""
        return str(self._statement)

    def rows(
        self, connection: Connection, parameters: Mapping[str, Any]
    ) -> list[tuple[Any, ...]]:
        """Return the rows, each with its columns in the statement's order."""
        dialect = connection.dialect
        compiled = self._compiled.get(dialect.name) or self._compile(dialect)
        named = {**compiled.fixed, **parameters}
        given = (
            named
            if compiled.order is None
            else tuple(named[name] for name in compiled.order)
        )
        driver: Any = connection.connection.driver_connection
        rows: list[tuple[Any, ...]] = driver.execute(compiled.text, given).fetchall()
        return (
            [_processed(row, compiled.processors) for row in rows]
            if compiled.processors
            else rows
        )

    def _compile(self, dialect: Dialect) -> _Compiled:
        compiled = self._statement.compile(dialect=dialect)
        types = (
            column.type.dialect_impl(dialect)
            for column in self._statement.selected_columns
        )
        processors = (one.result_processor(dialect, None) for one in types)
        made = _Compiled(
            text=str(compiled),
            order=getattr(compiled, "positiontup", None),
            fixed={
                name: value
                for name, value in compiled.params.items()
                if value is not None
            },
            processors=tuple(
                (place, one) for place, one in enumerate(processors) if one is not None
            ),
        )
        self._compiled[dialect.name] = made
        return made


def _processed(
    row: tuple[Any, ...], processors: tuple[tuple[int, Processor], ...]
) -> tuple[Any, ...]:
    values = list(row)
    for place, processor in processors:
        values[place] = processor(values[place])
    return tuple(values)
