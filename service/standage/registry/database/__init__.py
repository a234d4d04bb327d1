"""The two databases, and what they hold: tables, migrations, files, moments.

``engine`` opens either database and is all that others see of it (``Database``);
``driver_refusals`` puts into plain words what the drivers say; ``tables`` declares the
tables once for both, ``ids`` makes the records' ids, ``lots`` says how many rows go at
once, ``upserts`` adds rows that may be there already; ``migrate`` brings the tables to
what the service needs and tells whether they are so; ``moments`` says what time it is;
``wiping`` and ``durable_files`` see to what files keep. Read them in that order.

Words: a *read* is one snapshot, a *write* one transaction; a database is *unready*
where it cannot be used, *busy* where it can in a moment.

Decisions, each with what holds it:

- Synchronous SQLAlchemy Core. Reads of a SQLite file run on the event loop, where they
  cost less than a thread; writes queue for one thread; everything on PostgreSQL runs in
  threads. (tests/registry/test_engine.py)
- Names are compared with letter case and spacing aside; filed text sorts by code points
  on both databases. (tests/registry/test_lists.py, tests/registry/test_migrations.py)
- Migrations run in one transaction; SQLite's with references unchecked, and checked
  before it is committed. (tests/durability/test_killed_migrations.py)
- No moment lies before the newest on record (``moments``): not by a clock without a
  battery, not by another process. Each change asks for its club's newest change, one
  look into an index; where the clock is behind, changes follow one another by a
  microsecond. One record's history is in the order of its versions, since times of
  before that may be wrong. (tests/registry/test_moments.py)
- A clock that goes ahead by more than 30 days throws nothing away for its age until it
  has run on for 24 hours or somebody says ``standage clock-is-right``: by the command,
  not over HTTP, since the clock is every club's. Till then deleted records, files taken
  in and Idempotency-Keys are reckoned by the moment before the jump, for reading too. A
  computer in a cupboard between shows looks the same, so the next start at a later time
  takes the last one for right, if it ran for an hour. Readiness tells (``clock``) and
  stays 200: a service that is taken out of use for it would help nobody.
  (tests/registry/test_moments.py, tests/api/test_wrong_clocks.py)
- Wiping is apart from erasing. SQLite overwrites what it deletes (``secure_delete``),
  but pages keep scraps when they are rebuilt, so the file is written anew (VACUUM) and
  its journal emptied right after an erasure, and every hour until that succeeds.
  PostgreSQL needs VACUUM FULL, of its statistics too, which shuts tables: ``standage
  wipe``, by hand. Not reached: PostgreSQL's journal (``pg_wal``) until it is recycled,
  archives of it, and what the file system leaves of freed blocks.
  (tests/registry/test_wiping.py)
- Readiness believes the last write for a minute, and asks for room beside a SQLite
  file: the look's own small write fits into a journal that is long already.
  ``writable`` is said apart, since reads go on. (tests/registry/test_engine.py,
  tests/api/test_unfit_databases.py)
- A damaged file is shut, not served as far as it goes: it is looked through at the
  start (before the first answer where that takes less than a second) and whenever
  ``/health/ready`` looks anew, over a connection that remembers nothing. A read-only or
  full one is read, and refuses writes as ``unready`` with 503.
  (tests/api/test_unfit_databases.py)
- A PostgreSQL database must keep its text in UTF8: any other is refused at the first
  connection, in plain words. In SQL_ASCII the driver gives bytes, in LATIN1 half the
  names of a club cannot be written. (tests/registry/test_engine.py)
"""
