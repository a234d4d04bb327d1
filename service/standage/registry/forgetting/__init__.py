"""What is no longer kept, and of whom.

``erasing`` takes a member out of records, history and revisions, ``passing_traces``
out of what is kept for a while; ``erasures`` is the list outside the database;
``purging`` takes out what was deleted long ago; ``housekeeping`` does all that every
hour.

Words: to *erase* is to take a person's name and contact out; to *purge*, to take out a
deleted record; to *wipe*, to take both out of the database's own files.

Decisions, each with what holds it:

- An erasure leaves an id. The member's record stays, as 'Former member', since stock
  and history name its id. Where the whole name or the contact stands in any string of
  the member's own stock, a ``*`` takes its place: whatever the field, told by the types
  alone, which spare ids and choices (``names_struck``). A coupling type that is on
  record under such a name is named by its id from then on, and goes on supplying its
  figures. What others wrote is not searched, which the answer says. The list of
  erasures is on the disk before the erasure is committed: a person named there for
  nothing is better than one brought back by a restore. A member deleted thirty days ago
  is forgotten in history as well. (tests/registry/test_erased_everywhere.py,
  tests/registry/test_names_struck.py)
- Backups made before an erasure hold the name until they are thrown away, thirty days
  later at the latest; the answer says until when. (tests/registry/test_erasures.py)
- A name goes from the plans of the member's modules too, from their history as long as
  the module was theirs, and from what is left of plans that are gone for good.
  (tests/registry/test_plans_erased.py)
- Revisions go with their record: thirty days after it was deleted. Of an erased member
  they keep the id; the name goes from remarks, and from bodies of what was theirs.
  (tests/registry/test_revisions.py)
"""
