"""What leaves an instance and comes into one, whole.

``backup`` writes everything into a ``backup_file``, ``restore`` makes a database of
it. ``club_document`` is one club as JSON, ``club_arrival`` takes it in.

Words: a *backup* is everything, for the same people; a *document* one club, for another
instance.

Decisions, each with what holds it:

- A backup is one file in a form of its own, JSON lines under gzip with a head, a tail
  of row counts and a SHA-256: it needs no server programs on the machine, is streamed
  from one snapshot, goes from either database to the other, and a file of an older
  revision is restored by building that revision, loading it and migrating, all in one
  transaction. SQLite's own backup would have been a second form for one database only.
  (tests/registry/test_backup.py, tests/registry/test_backup_file.py)
- Backup and document are two forms, each with its own reader and writer, and share the
  rooms beneath (``database/lots``, ``database/durable_files``, ``records``). A backup is
  rows of the tables of one revision, every club's, the digests of tokens and rows that
  no member may read included; nobody but ``restore`` reads it, and an older one must be
  read before this version's bodies can be decoded at all. A document is records as the
  service tells them, its form numbered apart from the tables and part of the OpenAPI
  document: any program reads it, a member is given a part of it, and its records are
  checked as if they were sent. One form for both would hand digests about or leave out
  what a restore needs. Nor would one reader and writer of lines serve both forms: a
  backup's goes by its lines, adds every byte up and knows columns by position; a
  document's takes any layout that JSON allows, from whoever wrote it, and knows fields
  by name. Alike are one line that encodes and one that ends it.
  (tests/registry/test_club_document.py, tests/registry/test_restore.py)
- A restore is one transaction in a database that nobody else has open, on SQLite under
  an exclusive lock and with deleted content overwritten. It replaces a club only after
  backing that up into a file it is told. Answers kept for repeated requests are left
  out of backups. (tests/registry/test_restore.py)
- Nothing of a backup lets anybody in: passphrases are in none; a restore issues one
  token and takes nothing back of what the replaced database had taken from members
  (``rights_left``, tests/registry/test_restore.py).
- A club's document holds neither tokens nor what lets people in: it may be handed
  about. It is written record after record from one snapshot and read in part after part
  (``exchange/json_parts``), so that its size is bounded by the file alone; the schema
  is ClubDocument in the OpenAPI document, its form numbered. It goes into an instance
  that has none of it, by the command line, since an empty one has no token.
  (tests/registry/test_club_document.py)
- A club that comes with a document meets the list of erasures as a restored one does,
  also where the history alone names who was erased. ``import-club`` takes 64 MB; a
  larger club moves by a backup, and ``export-club`` says so.
  (tests/registry/test_club_document.py)
- A member's own data tells of changes to what others have only that the member made
  them: bodies are another's data. (tests/api/test_member_data.py)
- A file is there whole or not at all: a backup and a document are written under another
  name beside their own, brought to the disk, and only then called what they are to be
  called. (tests/registry/test_backup.py, tests/contract/test_club_commands.py)
"""
