"""Who asks, may they, and where it is done: on the loop, in a thread, in another
process.

Reading order: ``routes`` (from an address to an operation), ``ask`` (one request in
hand, and its steps), ``idempotency``; ``write_turns``, ``pool`` with
``worker``, ``hash_queue``, ``readiness_gate``; ``way_back`` and ``refused_intents``,
which tell more of a 404 and a 412.

Decisions, each with the test that holds it:

- **One order of checks**: who (401), may they (403), in what form (415, 406, 400, 422),
  is it there (404), is it theirs (403), is it sound (422), which version (428, 412).
  Guards and validation in one place, since a framework's give another order and one
  fault at a time (tests/api/test_order_of_checks.py).
- **The right to write is looked at twice**: in a snapshot, and again in the write's own
  transaction, where the member and then the credential are held to its end. Changes of
  members, tokens, rakes and the club take their turn in the club before that, lest two
  wait for each other (tests/api/test_revoked_meanwhile.py).
- **An Idempotency-Key goes with every change** that answers 2xx, for the three days of
  a show. Of one address the method and the query belong to what was sent; ``If-Match``
  does not, since who reads again after a lost answer means the same change. Of a
  sign-in the body counts without the passphrase: a quick hash of the whole would give
  it away (tests/api/test_repeated_requests.py, tests/api/test_sign_in_meanwhile.py).
- **A repeated creation that comes while the first is worked on** waits 5 s and is then
  ``idempotency_key_in_progress``; on SQLite, where nobody sees another process's
  unfinished write, only to the process that works on the first, and to any other
  ``busy``. No write waits longer for its turn (tests/api/test_turns.py).
- **A 404 looks for a deletion** of any record that its address names, the uppermost
  first, and says where it comes back, to whoever may read of deletions. For a stranger
  the same statements are asked and find nothing (tests/api/test_deleted_records.py).
- **What was refused as stale is put down in a transaction of its own**, whatever
  becomes of that: who, what and from which version, for 72 hours, 200 of a club, one
  row for what a device sends over and over. It is in no backup
  (tests/api/test_refused_changes.py).
- **What takes long is reckoned in a process of its own**: one worker a process, few
  waiting, one too many is ``busy``. Not the standard library's pool: it forks the
  server's threads or imports its main module again, and its workers outlive a parent
  that is killed (tests/api/test_pool.py).
- **Files have a worker of their own** beside that of the searches: behind two long
  searches an import of one row waited 17 s (November 2026, two busy cores). It is
  started at the first file and takes some 90 MB (tests/api/test_long_searches.py).
- **The worker ends with its parent because its input does**: only the parent holds the
  other end of the pipe. Signals to the group are the parent's to follow: what is being
  searched for is still answered, and a caller who goes away is searched for all the
  same, to the budget's end. Short questions meanwhile, on two cores busy with much
  else: p95 14 ms for health and 26 ms for train-fit (tests/api/test_pool.py,
  tests/benchmarks/pool_load.py).
"""
