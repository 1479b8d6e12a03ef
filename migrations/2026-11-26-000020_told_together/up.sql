-- Letters that nobody comes to a turn, and that somebody does again, are told together for each bin
-- and reader: their rows name the bin, and one of them speaks for all that wait.
--
-- Old code runs on this, but closes a letter of this kind that new code owed and that it takes up in
-- between as one that it cannot read; the turn itself stays in the list of what is not covered.

UPDATE letters
SET payload = letters.payload || jsonb_build_object('bin', turns.bin_id)
FROM calls
JOIN turns ON turns.site_id = calls.site_id AND turns.id = calls.turn_id
WHERE letters.kind = 'uncovered' AND calls.site_id = letters.site_id
    AND calls.id = (letters.payload ->> 'call')::uuid;

CREATE INDEX letters_about_bin ON letters (site_id, (payload ->> 'bin')) WHERE payload ->> 'bin' IS NOT NULL;
