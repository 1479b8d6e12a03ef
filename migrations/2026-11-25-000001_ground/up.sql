-- The ground: people, sites, bins and what happened to them.
--
-- Read this before changing a table:
-- * Time is bound by the program. There is no now() and no time default here, because
--   the demo's clock can stand elsewhere and because tests choose their times.
-- * Keys are UUIDs of version 7, made by the program, so that a row can be named before
--   it is written and a retry writes the same row.
-- * Everything but accounts belongs to a site, and its keys and foreign keys begin with
--   site_id: a mistake in a query cannot join two sites, and the tables can be spread
--   over machines by site one day.
-- * Amounts are whole grams, volumes whole millilitres: facts are never rounded twice.
-- * Words that the program chooses are text with a CHECK rather than enum types: adding
--   a word is then one short lock and can be undone.

-- Somebody who can sign in. Global: one person may belong to several sites.
CREATE TABLE accounts (
    id uuid PRIMARY KEY,
    -- Compared without case: people type their address as they like.
    email_lower text NOT NULL,
    -- A PHC string: it carries its own parameters, so these can be raised later.
    password_hash text NOT NULL,
    -- May open sites.
    is_educator boolean NOT NULL,
    created_at timestamptz NOT NULL,
    CONSTRAINT accounts_email_unique UNIQUE (email_lower),
    CONSTRAINT accounts_email_sane CHECK (email_lower = lower(email_lower) AND length(email_lower) BETWEEN 3 AND 254)
);

CREATE TABLE sites (
    id uuid PRIMARY KEY,
    name text NOT NULL,
    -- A name of the IANA database; the program checks it, since Postgres carries a list of its own.
    zone text NOT NULL,
    units text NOT NULL,
    language text NOT NULL,
    paper text NOT NULL,
    is_school boolean NOT NULL,
    -- Mean outdoor air of each month in degrees Celsius, January first, when known.
    monthly_air_c double precision[],
    -- Codes of places where scraps can go that no bin takes.
    scrap_outlets jsonb NOT NULL,
    created_at timestamptz NOT NULL,
    CONSTRAINT sites_name_sane CHECK (length(name) BETWEEN 1 AND 100),
    CONSTRAINT sites_units_known CHECK (units IN ('metric', 'us')),
    CONSTRAINT sites_language_known CHECK (language IN ('en', 'es')),
    CONSTRAINT sites_paper_known CHECK (paper IN ('a4', 'letter')),
    CONSTRAINT sites_air_is_a_year CHECK (monthly_air_c IS NULL OR (array_ndims(monthly_air_c) = 1 AND cardinality(monthly_air_c) = 12 AND array_position(monthly_air_c, NULL) IS NULL)),
    CONSTRAINT sites_outlets_are_a_list CHECK (jsonb_typeof(scrap_outlets) = 'array')
);

-- Foods that a site treats more strictly than the catalogue. Loosening is refused by the
-- domain, which alone knows the catalogue.
CREATE TABLE site_foods (
    site_id uuid NOT NULL REFERENCES sites (id),
    -- An item or a group of the catalogue.
    subject text NOT NULL,
    class text NOT NULL,
    PRIMARY KEY (site_id, subject),
    CONSTRAINT site_foods_subject_sane CHECK (length(subject) BETWEEN 1 AND 60),
    CONSTRAINT site_foods_class_is_stricter CHECK (class IN ('sparing', 'never'))
);

-- What a site measures its scraps with.
CREATE TABLE site_containers (
    site_id uuid NOT NULL REFERENCES sites (id),
    id uuid NOT NULL,
    name text NOT NULL,
    volume_ml integer NOT NULL,
    PRIMARY KEY (site_id, id),
    CONSTRAINT site_containers_name_unique UNIQUE (site_id, name),
    CONSTRAINT site_containers_name_sane CHECK (length(name) BETWEEN 1 AND 60),
    CONSTRAINT site_containers_volume_sane CHECK (volume_ml BETWEEN 1 AND 200000)
);

-- A person at a site, perhaps without an account. Holds no name: see member_names.
CREATE TABLE members (
    site_id uuid NOT NULL REFERENCES sites (id),
    id uuid NOT NULL,
    account_id uuid REFERENCES accounts (id),
    joined_at timestamptz NOT NULL,
    left_at timestamptz,
    PRIMARY KEY (site_id, id),
    CONSTRAINT members_leave_after_joining CHECK (left_at IS NULL OR left_at >= joined_at)
);
-- One membership for each account and site at a time; also serves "my sites".
CREATE UNIQUE INDEX members_account_once ON members (account_id, site_id) WHERE left_at IS NULL AND account_id IS NOT NULL;

CREATE TABLE member_roles (
    site_id uuid NOT NULL,
    member_id uuid NOT NULL,
    role text NOT NULL,
    PRIMARY KEY (site_id, member_id, role),
    FOREIGN KEY (site_id, member_id) REFERENCES members (site_id, id),
    CONSTRAINT member_roles_known CHECK (role IN ('resident', 'caretaker', 'teacher', 'educator'))
);

-- The one table with names and flats. Erasing a person here erases them everywhere:
-- events, decisions, notices and idempotency rows hold ids.
CREATE TABLE member_names (
    site_id uuid NOT NULL,
    member_id uuid NOT NULL,
    name text NOT NULL,
    flat text,
    PRIMARY KEY (site_id, member_id),
    FOREIGN KEY (site_id, member_id) REFERENCES members (site_id, id),
    CONSTRAINT member_names_name_sane CHECK (length(name) BETWEEN 1 AND 100),
    CONSTRAINT member_names_flat_sane CHECK (flat IS NULL OR length(flat) BETWEEN 1 AND 30)
);

CREATE TABLE bins (
    site_id uuid NOT NULL REFERENCES sites (id),
    id uuid NOT NULL,
    name text NOT NULL,
    -- Where it stands: the guess of its temperature depends on it.
    spot text NOT NULL,
    -- Trays with a tap, or a tub with drilled holes.
    vessel text NOT NULL,
    surface_cm2 integer NOT NULL,
    created_at timestamptz NOT NULL,
    retired_at timestamptz,
    -- The next number on the spine. Taken under the row's lock, so numbers have no gaps.
    next_seq bigint NOT NULL,
    -- The event whose state is the newest. NULL until the bin is stocked. Its foreign key
    -- stands below, since the two tables need each other.
    head_event uuid,
    PRIMARY KEY (site_id, id),
    CONSTRAINT bins_name_unique UNIQUE (site_id, name),
    CONSTRAINT bins_name_sane CHECK (length(name) BETWEEN 1 AND 60),
    CONSTRAINT bins_spot_known CHECK (spot IN ('indoors', 'sheltered', 'outdoors')),
    CONSTRAINT bins_vessel_known CHECK (vessel IN ('trays', 'tub')),
    CONSTRAINT bins_surface_sane CHECK (surface_cm2 BETWEEN 100 AND 1000000),
    CONSTRAINT bins_next_seq_sane CHECK (next_seq >= 1),
    CONSTRAINT bins_retire_after_creation CHECK (retired_at IS NULL OR retired_at >= created_at)
);

CREATE TABLE trays (
    site_id uuid NOT NULL,
    id uuid NOT NULL,
    bin_id uuid NOT NULL,
    -- 1 is the lowest.
    position smallint NOT NULL,
    volume_ml integer NOT NULL,
    PRIMARY KEY (site_id, id),
    FOREIGN KEY (site_id, bin_id) REFERENCES bins (site_id, id),
    -- Deferred, so that two trays can change places in one transaction.
    CONSTRAINT trays_position_once UNIQUE (site_id, bin_id, position) DEFERRABLE INITIALLY DEFERRED,
    CONSTRAINT trays_position_sane CHECK (position BETWEEN 1 AND 12),
    CONSTRAINT trays_volume_sane CHECK (volume_ml BETWEEN 100 AND 2000000)
);

-- The spine: what happened to a bin, in the order in which it was written (seq). What it
-- means is told by occurred_at; a late entry has a high seq and an early occurred_at.
-- Append-only: a correction is a new row that supersedes an old one.
CREATE TABLE bin_events (
    site_id uuid NOT NULL,
    id uuid NOT NULL,
    bin_id uuid NOT NULL,
    seq bigint NOT NULL,
    kind text NOT NULL,
    occurred_at timestamptz NOT NULL,
    recorded_at timestamptz NOT NULL,
    member_id uuid,
    payload jsonb NOT NULL,
    supersedes uuid,
    PRIMARY KEY (site_id, id),
    FOREIGN KEY (site_id, bin_id) REFERENCES bins (site_id, id),
    FOREIGN KEY (site_id, member_id) REFERENCES members (site_id, id),
    FOREIGN KEY (site_id, supersedes) REFERENCES bin_events (site_id, id),
    CONSTRAINT bin_events_seq_once UNIQUE (site_id, bin_id, seq),
    CONSTRAINT bin_events_kind_sane CHECK (kind ~ '^[a-z][a-z_]{0,39}$'),
    CONSTRAINT bin_events_payload_is_an_object CHECK (jsonb_typeof(payload) = 'object')
);
-- Replay reads forward from a moment; pages of feedings read backward.
CREATE INDEX bin_events_in_time ON bin_events (site_id, bin_id, occurred_at, seq);
-- An entry is corrected once; a correction may itself be corrected.
CREATE UNIQUE INDEX bin_events_superseded_once ON bin_events (site_id, supersedes) WHERE supersedes IS NOT NULL;

-- The state after each event: admission reads one of these however long the history.
-- Unlike events these may be reckoned again, by a replay or by a newer model.
CREATE TABLE bin_states (
    site_id uuid NOT NULL,
    event_id uuid NOT NULL,
    bin_id uuid NOT NULL,
    occurred_at timestamptz NOT NULL,
    seq bigint NOT NULL,
    state jsonb NOT NULL,
    model_version integer NOT NULL,
    settings_revision text NOT NULL,
    PRIMARY KEY (site_id, event_id),
    FOREIGN KEY (site_id, event_id) REFERENCES bin_events (site_id, id),
    FOREIGN KEY (site_id, bin_id) REFERENCES bins (site_id, id),
    CONSTRAINT bin_states_model_sane CHECK (model_version >= 1)
);
CREATE INDEX bin_states_newest_first ON bin_states (site_id, bin_id, occurred_at DESC, seq DESC);

-- The head is an event of this site. (That it is one of this bin is the program's care:
-- a key over three columns would cost an index on the busiest table.)
ALTER TABLE bins ADD CONSTRAINT bins_head_event_fkey
    FOREIGN KEY (site_id, head_event) REFERENCES bin_events (site_id, id) DEFERRABLE INITIALLY DEFERRED;

CREATE TABLE bookings (
    site_id uuid NOT NULL,
    id uuid NOT NULL,
    bin_id uuid NOT NULL,
    member_id uuid NOT NULL,
    -- A day at the site, as people agreed on it.
    on_date date NOT NULL,
    promised_g bigint NOT NULL,
    state text NOT NULL,
    created_at timestamptz NOT NULL,
    decision_id uuid NOT NULL,
    PRIMARY KEY (site_id, id),
    FOREIGN KEY (site_id, bin_id) REFERENCES bins (site_id, id),
    FOREIGN KEY (site_id, member_id) REFERENCES members (site_id, id),
    CONSTRAINT bookings_amount_positive CHECK (promised_g > 0),
    CONSTRAINT bookings_state_known CHECK (state IN ('open', 'used', 'withdrawn', 'lapsed'))
);
CREATE UNIQUE INDEX bookings_open_once ON bookings (site_id, bin_id, member_id, on_date) WHERE state = 'open';
CREATE INDEX bookings_open_by_day ON bookings (site_id, bin_id, on_date) WHERE state = 'open';

-- An answer given to an offer, with what it was reckoned from. Immutable: a later model
-- may judge otherwise, but this is what people were told. Refusals are kept too.
CREATE TABLE decisions (
    site_id uuid NOT NULL,
    id uuid NOT NULL,
    bin_id uuid NOT NULL,
    member_id uuid NOT NULL,
    event_id uuid,
    booking_id uuid,
    -- What the answer was for. Merely asking leaves no row.
    deed text NOT NULL,
    outcome text NOT NULL,
    decided_at timestamptz NOT NULL,
    offered_g bigint NOT NULL,
    allowed_g bigint NOT NULL,
    decision jsonb NOT NULL,
    inputs jsonb NOT NULL,
    PRIMARY KEY (site_id, id),
    FOREIGN KEY (site_id, bin_id) REFERENCES bins (site_id, id),
    FOREIGN KEY (site_id, member_id) REFERENCES members (site_id, id),
    FOREIGN KEY (site_id, event_id) REFERENCES bin_events (site_id, id),
    FOREIGN KEY (site_id, booking_id) REFERENCES bookings (site_id, id) DEFERRABLE INITIALLY DEFERRED,
    CONSTRAINT decisions_deed_known CHECK (deed IN ('put_in', 'tell', 'book')),
    CONSTRAINT decisions_outcome_sane CHECK (outcome ~ '^[a-z][a-z_]{0,39}$'),
    CONSTRAINT decisions_amounts_sane CHECK (offered_g > 0 AND allowed_g >= 0)
);
CREATE INDEX decisions_in_time ON decisions (site_id, bin_id, decided_at);
CREATE INDEX decisions_of_event ON decisions (site_id, event_id) WHERE event_id IS NOT NULL;
ALTER TABLE bookings ADD CONSTRAINT bookings_decision_fkey
    FOREIGN KEY (site_id, decision_id) REFERENCES decisions (site_id, id) DEFERRABLE INITIALLY DEFERRED;

-- Something a caretaker has to know. The kind is a code; wording makes the sentence.
CREATE TABLE notices (
    site_id uuid NOT NULL,
    id uuid NOT NULL,
    bin_id uuid NOT NULL,
    event_id uuid,
    kind text NOT NULL,
    created_at timestamptz NOT NULL,
    seen_at timestamptz,
    seen_by uuid,
    PRIMARY KEY (site_id, id),
    FOREIGN KEY (site_id, bin_id) REFERENCES bins (site_id, id),
    FOREIGN KEY (site_id, event_id) REFERENCES bin_events (site_id, id),
    FOREIGN KEY (site_id, seen_by) REFERENCES members (site_id, id),
    CONSTRAINT notices_kind_sane CHECK (kind ~ '^[a-z][a-z_]{0,39}$'),
    CONSTRAINT notices_seen_by_somebody CHECK ((seen_at IS NULL) = (seen_by IS NULL))
);

-- The first answer to a write that named an Idempotency-Key. The row is written in the
-- transaction of the write, so that it stands exactly when the write stands; a twin that
-- comes at the same moment waits on the primary key.
CREATE TABLE idempotency_keys (
    account_id uuid NOT NULL REFERENCES accounts (id),
    key text NOT NULL,
    -- SHA-256 of method, path and body: the same key on another request is an error.
    request_hash bytea NOT NULL,
    -- Ids and figures only, never a name. NULL only inside the transaction that writes it.
    answer jsonb,
    created_at timestamptz NOT NULL,
    PRIMARY KEY (account_id, key),
    CONSTRAINT idempotency_keys_key_sane CHECK (key ~ '^[!-~]{1,255}$'),
    CONSTRAINT idempotency_keys_hash_is_sha256 CHECK (octet_length(request_hash) = 32)
);
-- For the clean-up by age.
CREATE INDEX idempotency_keys_by_age ON idempotency_keys (created_at);

-- Background work, leased by any copy of the service.
CREATE TABLE jobs (
    id uuid PRIMARY KEY,
    kind text NOT NULL,
    site_id uuid REFERENCES sites (id),
    -- What it is for, in words that the program composes: owing the same work twice
    -- is then one row.
    purpose text NOT NULL,
    payload jsonb NOT NULL,
    run_after timestamptz NOT NULL,
    state text NOT NULL,
    attempts integer NOT NULL,
    leased_until timestamptz,
    last_error text,
    created_at timestamptz NOT NULL,
    CONSTRAINT jobs_purpose_once UNIQUE (kind, purpose),
    CONSTRAINT jobs_kind_sane CHECK (kind ~ '^[a-z][a-z_]{0,39}$'),
    CONSTRAINT jobs_state_known CHECK (state IN ('waiting', 'leased', 'done', 'given_up')),
    CONSTRAINT jobs_lease_belongs_to_leased CHECK ((state = 'leased') = (leased_until IS NOT NULL)),
    CONSTRAINT jobs_attempts_sane CHECK (attempts >= 0)
);
-- Claiming looks at what waits and at leases that ran out, oldest first.
CREATE INDEX jobs_to_claim ON jobs (run_after) WHERE state IN ('waiting', 'leased');

-- How far the demo's clock stands from the wall clock. Only `demo` writes it; all copies
-- on one database read it.
CREATE TABLE demo_clock (
    only_row boolean PRIMARY KEY,
    offset_seconds bigint NOT NULL,
    CONSTRAINT demo_clock_has_one_row CHECK (only_row)
);
