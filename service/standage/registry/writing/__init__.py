"""The only way in which records change, and what is told of it.

``store`` is the write path; ``ownership``, ``faults_on_record``, ``unique_names``,
``links`` and ``way_in`` are what it asks on the way, in that order. ``history`` tells
each change; ``undoing`` takes them back, ``revising`` saves drafts, ``taking_out``
takes a vehicle out of trains. ``answers`` keep what a repeated request gets again,
``refused_changes`` what came too late; ``told_lists`` pages both lists.
``list_imports`` keeps lists that came in, ``stock_found`` finds the vehicles they mean,
``names_listed`` lists names in messages, ``names_struck`` strikes them out of whatever
people wrote.

Words: a *change* is one row of a record's history; an *action* all the changes of one
request; a *permit* what the table of rights grants for one operation; records *lean* on
those that they name.

Decisions, each with what holds it:

- One record is a list of one in the write path (``store``): writing many had skipped
  rules that one is held to. (tests/registry/test_many_at_once.py)
- An accepted change always makes a version and a history row, even where the body is
  equal. (tests/api/test_one_row_a_write.py)
- A refusal leaves the transaction fit only to be rolled back. Rows are held in one
  order (the record, then what it names, kind by kind by id); changes of members, of
  tokens and of rakes, which are right or wrong by others of their kind, go one after
  the other in a club. A deadlock all the same, or a lock that takes too long, is
  ``busy``. (tests/registry/test_concurrency.py)
- One ``Writing`` is one action. All that is done through it bears one ``action_id``, so
  that it can be undone as a whole; what writes several records (an import) does so
  through one, or hands on the ``action_id``. (tests/registry/test_undoing.py)
- History keeps whole bodies, and tells differences. The fields that differ are found
  when they are asked for; a list that became longer or shorter is told whole. Of kinds
  that a role may not read it is told nothing. (tests/api/test_history.py)
- An undo is a write like any other. It asks for the right to make the very changes that
  it makes, puts all of them, and is then held to every rule that a new record is held
  to; a refusal takes all of it back. A deleted token never comes back: deleting it is
  how it is revoked, and its hash is gone. (tests/registry/test_undoing.py)
- Deleted records are found in history, as deletions that nothing has followed: one list
  over every kind, in the order in which they went. After thirty days the record is
  taken out of its table every hour; its history stays.
  (tests/api/test_deleted_records.py)
- A layout takes its places and yards with it when it is deleted, each with its own row
  of history. (tests/registry/test_store.py)
- A way in: after any change of members or tokens some steward must hold a token that
  writes and has not expired. (tests/registry/test_credentials.py)
- A vehicle is its owner's: taking it out changes other members' trains and rakes, as
  one action with its owner's name in their history. Trains are held before rakes, as a
  change of a train does. What was measured with it goes with it.
  (tests/api/test_taking_out.py)
- What was refused as stale is put down in a transaction of its own
  (``refused_changes``), whatever becomes of that: who, what and from which version, for
  72 hours, 200 of a club, one row for what a device sends over and over. It is in no
  backup. (tests/api/test_refused_changes.py)
- A repeated creation that comes while the first is worked on waits 5 s and is then
  ``idempotency_key_in_progress``; on SQLite, where nobody sees another process's
  unfinished write, only to the process that works on the first, and to any other
  ``busy``. No write waits longer than 5 s for its turn.
  (tests/registry/test_answers.py)
- A module's plan is whose the module is, as the module stands when it is changed: no
  owner is copied into it, so that it follows the module to its next one. What it lies
  beneath is held before it, as whoever deletes that holds it first.
  (tests/api/test_plans_on_record.py)
- Saving a revision is no change of the draft: version and ETag of the draft stay,
  nothing is told in history, and nobody undoes it, since a revision is never changed
  and goes only with its record. Two who save at once get two numbers.
  (tests/registry/test_revisions.py)
"""
