DROP TABLE calendar_addresses;
ALTER TABLE members DROP COLUMN letters_off, DROP COLUMN reminder_days;
ALTER TABLE sites DROP COLUMN reminder_days, DROP COLUMN quiet_until, DROP COLUMN quiet_from;
DROP INDEX letters_about_turn;
ALTER TABLE letters DROP COLUMN links_revoked_at, DROP COLUMN answered_at, DROP COLUMN answer, DROP COLUMN links_until;
