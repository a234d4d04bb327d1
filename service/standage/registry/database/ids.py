"""Ids of records, of changes and of actions."""

import uuid_utils


def new_id() -> str:
    """Return a new id: unguessable, and later than those before it."""
    return str(uuid_utils.uuid7())
