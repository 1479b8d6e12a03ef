ALTER TABLE call_answers DROP CONSTRAINT call_answers_state_known;
UPDATE call_answers SET state = 'yes' WHERE state = 'assigned';
ALTER TABLE call_answers
    ADD CONSTRAINT call_answers_state_known CHECK (state IN ('asked', 'yes', 'no', 'given_back', 'closed'));

-- What goes is only the search: places stay with whoever holds them.
DELETE FROM calls WHERE away_id IS NULL;
ALTER TABLE calls
    DROP CONSTRAINT calls_for_who_is_away,
    DROP CONSTRAINT calls_held_by_who_is_away,
    ALTER COLUMN held_since SET NOT NULL,
    ALTER COLUMN away_id SET NOT NULL;
