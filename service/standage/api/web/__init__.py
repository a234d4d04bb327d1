"""One request and its answer as HTTP has them, and what an operation is.

Reading order: ``outermost_layer`` (what holds for every request, and its address),
``receiving``; ``operation`` with its acts; ``arrival`` (what came, decoded), ``call``
(what an operation meets, and what goes back); ``pages``; ``problems``, which alone
knows status codes. Beside them ``journal``, ``metrics`` and ``limits``.

Decisions, each with the test that holds it:

- **One table of operations** makes the addresses, the walk of rights and the OpenAPI
  document: the framework's own generator loses bounds and problems, and is not
  deterministic (tests/contract/test_document.py, tests/api/test_who_may_do_what.py).
- **A request is routed once.** The outermost layer must know the address before a body
  is read, for its bounds and for 404, 405 and OPTIONS; what it finds answers. The
  framework serves the pages that people open, and begins and ends the service
  (tests/api/test_outer_layer.py, tests/laws/test_address_laws.py).
- **Acts carry themselves out** by the steps of one request in hand, so that a new sort
  of act changes nothing in who asks (tests/api/test_order_of_checks.py).
- **What two programs can read in two ways is refused**: more than one Host or length, a
  key that an object has twice (tests/api/test_receiving.py,
  tests/laws/test_json_text_laws.py). HTTP/1.1 only.
- **A body is received in bounds**: a large one only from somebody who may send it,
  asked before it is read; what is held of all bodies at once has a bound, for anybody's
  small ones apart from known callers' large ones; one that stays away is given up
  (408). Of a refused one up to 8 MB are read and dropped, since a proxy sends all
  before it reads the answer (tests/api/test_receiving.py,
  tests/durability/test_half_sent.py).
- **An operation answers in one media type**, which 406 names; so a drawing is an
  operation of its own. One posted for is not to be stored and bears no ETag, one that
  is read does (tests/api/test_media_types.py).
- **The log repeats no words but our own**: fields from a fixed list, a request's route
  and not its path, of an error its sort and the way it came, since its message may
  quote what was sent. The standard library's logging and msgspec do
  (tests/contract/test_redaction.py, tests/api/test_journal.py).
- **Figures by prometheus-client over several processes**: each counts in files of its
  own in one folder, in memory where the machine offers that, so that a full disk stops
  no answer. The outermost layer counts, since a framework's middleware sees no 404 or
  405. ``/metrics`` needs a token of its own and else is not there: behind a proxy every
  caller comes from this machine (tests/api/test_metrics.py).
- **An ETag is known without its quotes** where it can be no other's
  (``v3-9f2c4be1f0c85d2a``, 32 hexadecimal figures); what is no ETag is 400, and never
  "it has changed". 428 and 412 say what to send. In the document the header keeps the
  released schema, without a pattern.
- **A club's document is written out whole, then sent lot by lot** (``web/spooled_answers``): in
  memory up to 1 MB, beyond that in a file without a name in the temporary folder (in a
  container that is memory of the machine, not of the process). So a slow caller holds
  no transaction open, a fault is still a problem and never half a document, and it has
  a length and an entity tag. A club of 36 MB took the process 9 MB.
"""
