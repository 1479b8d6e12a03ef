-- A letter about a bin in trouble tells of all that was found at one moment: it was owed with the
-- key of one notice, and is owed with a list of them now.
--
-- Old code runs on this, but closes a letter of this kind that it takes up in between as one that
-- it cannot read; the notice itself stays in the list.

UPDATE letters
SET payload = jsonb_build_object('notices', jsonb_build_array(payload -> 'notice'))
WHERE kind = 'bin_trouble' AND payload ? 'notice';
