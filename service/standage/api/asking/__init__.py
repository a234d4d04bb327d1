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
- **The framework routes and tests; ``asking/ask`` decides.** Guards, validation and errors
  in one place give one order of checks, one set of problems, and every fault at once,
  which msgspec alone does not.
- **Existence before validity, validity before preconditions** on PUT and PATCH: 404,
  403, 422, 428, 412.
- **A process that dies is replaced**, also the only one: twice within seconds ends the
  service, for whatever watches it.
- **Whoever stops a service that is still starting** ends it at once: the server's own
  handler comes only later, and the signal was lost on a worker just begun, for ever
  (seen under load with two of them). So that no moment is left, signals are kept back
  while one is forked (``app.let_whoever_begins_be_ended``). kept back while one is
  forked (``app.let_whoever_begins_be_ended``). A stop takes 15 s at most
  (``cli.LONGEST_STOP_S``).
- **The writers' threads take the next write themselves** (``asking/write_turns``). Handed over
  by the event loop, each write waited for the loop to come round among a crowd of
  readers.
- **Granian's own stop is relied on**: it shuts the port, answers what it has received,
  long searches included, then ends the pool (tests/durability/test_stopping.py). Bodies
  that are still coming get five seconds (``app``, on the signal; it is noted by a
  handler of ours, and the server's is called all the same), and a stop takes 15 s at
  most (tests/durability/test_half_sent.py).
- **What an answer costs beside the yardstick** (``tests/benchmarks/answers.py``,
  November 2026, two cores with nothing else to do, median of seven rounds; answers a
  second, processor in brackets): stored train-fit 51 % (54 %) on SQLite, wanted 55; 67
  % (72 %) on PostgreSQL, wanted 50; inline 62 % (65 %) and 77 % (75 %), wanted 75;
  inline with vehicles never asked about before 43 % (44 %) and 60 % (54 %). So SQLite's
  are missed, where the yardstick itself takes 0.73 ms of processor and leaves 0.6 to a
  stored answer and 0.24 to an inline one. Slips remembered by train were tried and took
  off 0.013 ms, which is not worth a memory more. The parts of an inline answer, run
  alone over and over, had come to 0.43 ms, in the service to 0.64: between two requests
  others push its code and values out of the caches, so only fewer calls help (1,214
  became 597). Of the 0.29 ms left over the yardstick without the server, most goes to
  decoding and recognising twelve vehicles, looking for slips in one walk, and the
  answer's own figures and words; new vehicles cost 0.4 to 0.6 ms more, as everything is
  worked out of each. What would bring more: cheaper building of twelve frozen values
  (each has 34 fields), and, for stored questions, an answer remembered under the
  versions of all it rests on, which was left alone while cheaper work remained.
"""
