-- Version 2: the kinds of entries that carry a run from step to step, which a program of version 1
-- does not know, and the way to find all runs of a book at once.
CREATE INDEX entry_kind ON entry (kind, number);
