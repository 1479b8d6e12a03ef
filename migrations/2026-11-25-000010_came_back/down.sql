ALTER TABLE calls DROP COLUMN held_how, DROP COLUMN held_kept;
