"""The sorts of figure that fields of many names have alike, by reference beside what is
said of each field.
"""

from collections.abc import Mapping
from typing import Any

import msgspec

from standage.api.document.openapi_bodies import REF
from standage.railway.terms.figures import Identifier, Length, Name, Room

Json = dict[str, Any]

FIGURES: Mapping[str, Any] = {
    "LengthOrNull": Length | None,
    "OneLine": Name,
    "OneLineOrNull": Name | None,
    "RecordId": Identifier,
    "RoomOrNull": Room | None,
}
"""Those that are longer than a reference to them.

No number that is never null: where one has a name, a generator takes every default of
such numbers for a whole number, also where the number is written out.
"""
_OF_THE_FIELD = ("description", "default")


def with_figures(schemas: Mapping[str, Json], known: Mapping[str, Json]) -> Json:
    """Return the schemas with the fields that are such figures by reference."""
    figures = {name: _without_words(figure) for name, figure in known.items()}
    names = {msgspec.json.encode(figure): name for name, figure in figures.items()}
    told = {name: _referring(schema, names) for name, schema in schemas.items()}
    return dict(sorted((told | figures).items()))


def _referring(schema: Json, names: Mapping[bytes, str]) -> Json:
    if "properties" not in schema:
        return schema
    fields = {
        name: _by_figure(field, names) for name, field in schema["properties"].items()
    }
    return {**schema, "properties": fields}


def _by_figure(field: Json, names: Mapping[bytes, str]) -> Json:
    """Return a field, or what a list holds, by reference where it is such a figure."""
    figure = names.get(msgspec.json.encode(_without_words(field)))
    if figure is not None:
        return _beside(field, figure)
    if isinstance(field.get("items"), dict):
        return {**field, "items": _by_figure(field["items"], names)}
    return field


def _without_words(schema: Json) -> Json:
    kept = {key: one for key, one in schema.items() if key not in _OF_THE_FIELD}
    return dict(sorted(kept.items()))


def _beside(field: Json, figure: str) -> Json:
    said = {key: one for key, one in field.items() if key in _OF_THE_FIELD}
    return {"$ref": REF.format(name=figure), **said}
