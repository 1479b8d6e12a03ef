DROP TABLE audit;
DROP TABLE pupils;
DROP TABLE class_adults;
DROP TABLE classes;
DROP TABLE codes;
DROP TABLE invitations;
ALTER TABLE member_names DROP COLUMN email_lower, DROP COLUMN phone;
ALTER TABLE sites DROP COLUMN neighbours_see, DROP COLUMN deputy_id;
ALTER TABLE members DROP COLUMN household_id, DROP COLUMN language, DROP COLUMN waiting_since,
    DROP COLUMN shares_phone_since, DROP COLUMN shares_email_since, DROP COLUMN revision;
DROP TABLE households;
DROP TABLE allowances;
DROP TABLE familiar_addresses;
DROP TABLE account_links;
DROP TABLE refresh_tokens;
DROP TABLE sessions;
-- People who have no address or no password cannot be kept by the older program.
DELETE FROM idempotency_keys USING accounts
    WHERE idempotency_keys.account_id = accounts.id AND (email_lower IS NULL OR password_hash IS NULL);
UPDATE members SET account_id = NULL FROM accounts
    WHERE members.account_id = accounts.id AND (email_lower IS NULL OR password_hash IS NULL);
DELETE FROM accounts WHERE email_lower IS NULL OR password_hash IS NULL;
ALTER TABLE accounts ALTER COLUMN email_lower SET NOT NULL;
ALTER TABLE accounts ALTER COLUMN password_hash SET NOT NULL;
