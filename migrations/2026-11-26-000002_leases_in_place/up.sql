-- Leasing a letter changes no column that an index looks at any more, and a page of letters keeps
-- room for it: the lease is then written beside the row, and none of the indexes.
--
-- Old code runs on this: it asks for letters that are owed or leased, which are those that are
-- not closed, and finds them by another index meanwhile.

DROP INDEX letters_to_claim;
CREATE INDEX letters_to_claim ON letters (goes_first DESC, due_at) WHERE closed_at IS NULL;
ALTER TABLE letters SET (fillfactor = 60);
