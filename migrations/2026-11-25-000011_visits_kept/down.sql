DELETE FROM closure_visits WHERE closure_id IS NULL;
ALTER TABLE closure_visits
    ALTER COLUMN closure_id SET NOT NULL,
    DROP CONSTRAINT closure_visits_site_id_closure_id_fkey,
    ADD CONSTRAINT closure_visits_site_id_closure_id_fkey
        FOREIGN KEY (site_id, closure_id) REFERENCES closures (site_id, id) ON DELETE CASCADE;
