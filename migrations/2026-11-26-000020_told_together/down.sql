DROP INDEX letters_about_bin;

-- Nothing of how the bin fares stands in them: it was reckoned when they were read.
UPDATE letters
SET payload = payload - 'bin' || jsonb_build_object('alone', jsonb_build_array())
WHERE kind = 'uncovered' AND NOT payload ? 'alone';
UPDATE letters SET payload = payload - 'bin' WHERE kind = 'uncovered';
