"""Sorts of record, and how they are read.

``record`` is what all have in common; ``bodies`` what a club sends of each sort;
``yard_roads`` a yard's roads, each with a length of its own or a place of the layout;
``kind`` what a descriptor says, and ``kinds`` the one of each sort. ``references``,
``stock_counts`` and ``coupling_reaches`` are what makes bodies right or wrong beside
others. ``reading`` reads; ``joint_reading`` reads several kinds in one statement,
``layout_reading`` as much as a share link shows, ``revisions`` what was saved of
drafts, ``drafts`` what there is one of beneath another record. ``plan_summaries`` is
what a list shows of a track plan, ``stock_of_scales`` the stock whose sizes count for
one. ``naming``, ``names_found`` and ``look_alikes`` find records by what they are
called. ``passphrases`` and ``stock_keys`` are by what members sign in and lists find
stock again.

Words: a *kind* is a sort of record; its *body* is what the club sends, the *envelope*
what the service adds (id, version, times); a *draft* is a record of which *revisions*
are saved; a *summary* is what a list shows of a big body.

Decisions, each with what holds it:

- Records are documents with filing columns. One table for each sort of record; the body
  is JSON text, and only what is filtered, sorted, unique or linked is copied into
  columns. Eight sorts of record would otherwise grow eight CRUDs.
  (tests/registry/test_store.py)
- A share link shows one layout, and its questions have the answers that a member's
  have: ``LayoutReading`` narrows every way to read, and a test holds it to that; of
  what the club has besides, only its coupling types are read for a question, and they
  are shown to nobody. It ends with its layout and with whoever made it.
  (tests/api/test_share_links.py, tests/registry/test_together.py)
- A rake in a train is a link, not a copy: a train follows its rakes, so a change of a
  rake is refused where a train would then use more of a vehicle than there are. What
  was measured of a train as it stands overrules what was measured of a rake in it.
  (tests/registry/test_rakes_on_record.py)
- A road of a yard may be a place of the same layout: a link, not a copy, so that its
  length and the room for stopping there are measured and changed in one place. Such a
  place stays while a yard names it; of another layout it is as if it were not there.
  (tests/api/test_yards_of_places.py, tests/registry/test_club_document.py)
- A list narrowed by a beginning has PostgreSQL plan for that beginning: a plan for any
  would walk the list's order. (tests/registry/test_lists.py)
- A question about a train on record is two statements: who asks, and one union of all
  that it rests on (``joint_reading``), which finds a train's vehicles by the links;
  what links do not bring is asked for as before, so that no answer rests on them. Six
  statements had taken 0.15 ms of processor on a file and 0.57 ms on a server.
  (tests/registry/test_together.py, tests/api/test_statements.py)
- A name stands for an id where one record of the club bears it (``naming``, one table
  of fields): resolved before a question is gathered or a record is kept, so that
  nothing else knows of names. A visitor's names are those of the layout alone. Two of
  one name are a fault, since choosing would be a guess about somebody's train.
  (tests/api/test_names_for_ids.py)
- An ETag names one content for ever: the version, and 64 bits of a hash of the whole
  record. The version alone comes again after a restore, and would be 304 to the holder
  of something else, or let a change go over what nobody saw.
  (tests/api/test_tags_after_restore.py)
- A standard's field ``rules`` is ``asks`` in Python, since ``rules()`` is what every
  body is checked by. (tests/api/test_modules_over_http.py)
- A visitor's answer about a plan is a member's too: the saved plans of the modules in
  it, and the sizes of the club's stock, are read for it past ``LayoutReading`` and are
  shown to nobody themselves; revisions are not shown. (tests/api/test_plan_checks_on_record.py)
- A kind groups what it says by who asks: naming, rights, life, leaning and room. Of big
  bodies a list shows a summary that is kept beside them, and reads no body.
  (tests/registry/test_revisions.py)
- SQLAlchemy runs every statement: the driver beneath it took 9 µs in place of 35 for a
  record by its id, and 62 in place of 120 for all that a question rests on (November
  2026, two busy cores): a stored train-fit's answer has the same share of the
  yardstick's processor time without, within what a measurement scatters, and a second
  path has gone. (tests/benchmarks/answers.py)
"""
