-- Version 1 of the shop book's file. Entries are only added: the triggers hold every program to it.
CREATE TABLE entry (
  number INTEGER PRIMARY KEY CHECK (number >= 1),
  utc_us INTEGER NOT NULL,
  kind TEXT NOT NULL,
  job TEXT,
  run TEXT,
  about INTEGER,
  token TEXT UNIQUE,
  body TEXT NOT NULL,
  before BLOB NOT NULL CHECK (length(before) = 32),
  hash BLOB NOT NULL UNIQUE CHECK (length(hash) = 32)
) STRICT;
CREATE INDEX entry_job ON entry (job, number) WHERE job IS NOT NULL;
CREATE INDEX entry_run ON entry (run, number) WHERE run IS NOT NULL;
CREATE INDEX entry_about ON entry (about, number) WHERE about IS NOT NULL;
CREATE TABLE file (
  sha256 BLOB PRIMARY KEY CHECK (length(sha256) = 32),
  bytes BLOB NOT NULL
) STRICT;
CREATE TABLE head (
  one INTEGER PRIMARY KEY CHECK (one = 1),
  count INTEGER NOT NULL,
  hash BLOB NOT NULL CHECK (length(hash) = 32)
) STRICT;
CREATE TRIGGER entry_stays BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END;
CREATE TRIGGER entry_kept BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT, 'an entry is never removed'); END;
CREATE TRIGGER file_stays BEFORE UPDATE ON file BEGIN SELECT RAISE(ABORT, 'a kept file is never changed'); END;
CREATE TRIGGER file_kept BEFORE DELETE ON file BEGIN SELECT RAISE(ABORT, 'a kept file is never removed'); END;
