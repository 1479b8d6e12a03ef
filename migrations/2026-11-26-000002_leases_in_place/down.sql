ALTER TABLE letters RESET (fillfactor);
DROP INDEX letters_to_claim;
CREATE INDEX letters_to_claim ON letters (goes_first DESC, due_at) WHERE state IN ('owed', 'leased');
