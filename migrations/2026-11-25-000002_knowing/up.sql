-- Knowing a bin: what probes and people measure.
--
-- Old code runs on this: it only adds tables, indexes, and a column with a default.

-- Something that measures a bin by itself and signs in with a key of its own.
CREATE TABLE probes (
    site_id uuid NOT NULL,
    id uuid NOT NULL,
    bin_id uuid NOT NULL,
    name text NOT NULL,
    -- SHA-256 of the key: the key itself is shown once and kept nowhere.
    key_hash bytea NOT NULL,
    created_at timestamptz NOT NULL,
    revoked_at timestamptz,
    PRIMARY KEY (site_id, id),
    FOREIGN KEY (site_id, bin_id) REFERENCES bins (site_id, id),
    CONSTRAINT probes_key_once UNIQUE (key_hash),
    CONSTRAINT probes_key_is_sha256 CHECK (octet_length(key_hash) = 32),
    CONSTRAINT probes_name_sane CHECK (length(name) BETWEEN 1 AND 60)
);
CREATE INDEX probes_of_bin ON probes (site_id, bin_id);

-- Every value that came, as it came. Those that can be true and say something new become
-- entries on the bin's spine; the others stay here with the reason.
CREATE TABLE readings (
    site_id uuid NOT NULL,
    id uuid NOT NULL,
    bin_id uuid NOT NULL,
    probe_id uuid,
    member_id uuid,
    measured_at timestamptz NOT NULL,
    recorded_at timestamptz NOT NULL,
    quantity text NOT NULL,
    value double precision NOT NULL,
    -- Why it counts for nothing: impossible for a bed, or not of the bed at all.
    set_aside text,
    PRIMARY KEY (site_id, id),
    FOREIGN KEY (site_id, bin_id) REFERENCES bins (site_id, id),
    FOREIGN KEY (site_id, probe_id) REFERENCES probes (site_id, id),
    FOREIGN KEY (site_id, member_id) REFERENCES members (site_id, id),
    -- A value sent twice is one value.
    CONSTRAINT readings_once UNIQUE NULLS NOT DISTINCT (site_id, bin_id, probe_id, member_id, quantity, measured_at),
    CONSTRAINT readings_quantity_known CHECK (quantity IN ('bed_c', 'bed_moisture', 'air_c')),
    CONSTRAINT readings_of_somebody CHECK (num_nonnulls(probe_id, member_id) = 1),
    CONSTRAINT readings_set_aside_sane CHECK (set_aside ~ '^[a-z][a-z_]{0,39}$')
);
CREATE INDEX readings_in_time ON readings (site_id, bin_id, measured_at);

-- Grows with every change of a site, so that two people who edit at once notice. The
-- default serves copies of the older program, which do not name it.
ALTER TABLE sites ADD COLUMN revision bigint NOT NULL DEFAULT 1;
