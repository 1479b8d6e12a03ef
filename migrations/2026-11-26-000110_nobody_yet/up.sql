-- Somebody can also be looked for on a place that nobody ever held: then nobody is away. And whoever
-- was given a place by somebody else has not said yes.
--
-- Old code runs on this. Calls and answers of the new sort it cannot read: until it is replaced it
-- answers with an error where it meets one, and leaves looking after it to newer copies.

ALTER TABLE calls
    ALTER COLUMN away_id DROP NOT NULL,
    ALTER COLUMN held_since DROP NOT NULL,
    -- Who is away held the place, and only they are excused or came back.
    ADD CONSTRAINT calls_held_by_who_is_away CHECK ((held_since IS NOT NULL) = (away_id IS NOT NULL)),
    ADD CONSTRAINT calls_for_who_is_away CHECK (away_id IS NOT NULL OR NOT excused AND absence_id IS NULL);

ALTER TABLE call_answers
    DROP CONSTRAINT call_answers_state_known,
    ADD CONSTRAINT call_answers_state_known CHECK (state IN ('asked', 'yes', 'assigned', 'no', 'given_back', 'closed'));
