UPDATE letters
SET payload = jsonb_build_object('notice', payload -> 'notices' -> 0)
WHERE kind = 'bin_trouble' AND payload ? 'notices';
