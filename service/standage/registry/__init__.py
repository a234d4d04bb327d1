"""What is kept: records, their history, who may write them, and the two databases.

The rooms lie one above the other; each knows only those below it, which the import
contract holds them to: ``database``, ``records``, ``writing``, ``people``,
``forgetting``, ``moving``. Each has a page of its own: what it holds, its words, and
what was decided there with the test that holds it. Read them in that order.

A record has one descriptor (``records.kinds``), and from it come the write path, its
history, rights, lists, routes and document. So a new sort of record is a body, a table
with its migration, and a descriptor; DEVELOPERS.md lists the steps.
"""
