-- What was a visit during a closure that is no more is known as one: when the site is shut on its
-- day again, whoever holds it keeps it.
--
-- Old code runs on this: it never writes nothing there, and what has no closure is a turn to it
-- that closures leave alone.

ALTER TABLE closure_visits
    ALTER COLUMN closure_id DROP NOT NULL,
    DROP CONSTRAINT closure_visits_site_id_closure_id_fkey,
    ADD CONSTRAINT closure_visits_site_id_closure_id_fkey
        FOREIGN KEY (site_id, closure_id) REFERENCES closures (site_id, id)
        ON DELETE SET NULL (closure_id);
