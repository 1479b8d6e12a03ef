DROP TRIGGER letter_from_job ON jobs;
DROP FUNCTION letter_from_job();
-- What is still owed is owed as a job again.
INSERT INTO jobs (id, kind, site_id, purpose, payload, run_after, state, attempts, created_at)
SELECT id, 'letter', site_id, kind || ':' || purpose,
    payload || CASE kind
        WHEN 'invitation' THEN jsonb_build_object('kind', kind, 'site', site_id)
        WHEN 'booking_shrunk' THEN jsonb_build_object('letter', kind, 'member_id', member_id)
        ELSE jsonb_build_object('kind', kind)
    END, due_at, 'waiting', 0, created_at
FROM letters WHERE state IN ('owed', 'leased');
ALTER TABLE members DROP COLUMN bounced_at;
DROP TABLE letters;
