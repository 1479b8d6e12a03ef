-- Visits: turns that take place although the site is shut, so that its bins live.
--
-- Old code runs on this: it adds a table. A copy that does not know it calls visits off when it
-- brings turns to what closures want; whoever looks after the site calls them on again.

CREATE TABLE closure_visits (
    site_id uuid NOT NULL,
    turn_id uuid NOT NULL,
    closure_id uuid NOT NULL,
    -- The days on which the visit would have done when it was planned.
    earliest date NOT NULL,
    latest date NOT NULL,
    PRIMARY KEY (site_id, turn_id),
    -- A visit is one only while its turn and its closure are there.
    FOREIGN KEY (site_id, turn_id) REFERENCES turns (site_id, id) ON DELETE CASCADE,
    FOREIGN KEY (site_id, closure_id) REFERENCES closures (site_id, id) ON DELETE CASCADE,
    CONSTRAINT closure_visits_days_in_order CHECK (latest >= earliest)
);
CREATE INDEX closure_visits_of_closure ON closure_visits (site_id, closure_id);
