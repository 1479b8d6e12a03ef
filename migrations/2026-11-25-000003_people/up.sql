-- People: how they get in, how they sign in, who they share a flat or a class with, and who
-- changed what about them.
--
-- Old code runs on this: it adds tables, indexes and columns that may be left out, and lifts
-- two NOT NULLs of accounts whose rows only new code makes.

-- Somebody without an address signs in with a printed slip; somebody without a password
-- signs in with links.
ALTER TABLE accounts ALTER COLUMN email_lower DROP NOT NULL;
ALTER TABLE accounts ALTER COLUMN password_hash DROP NOT NULL;

-- One device that is signed in. Its refresh tokens are a family: a token that is used twice
-- was stolen, and ends the session.
CREATE TABLE sessions (
    id uuid PRIMARY KEY,
    account_id uuid NOT NULL REFERENCES accounts (id) ON DELETE CASCADE,
    -- How it began.
    began_with text NOT NULL,
    -- What the person calls the device.
    device text,
    created_at timestamptz NOT NULL,
    last_used_at timestamptz NOT NULL,
    -- Whatever happens, it ends here.
    ends_at timestamptz NOT NULL,
    revoked_at timestamptz,
    CONSTRAINT sessions_began_known CHECK (began_with IN ('password', 'link', 'slip', 'invitation', 'reset')),
    CONSTRAINT sessions_device_sane CHECK (device IS NULL OR length(device) BETWEEN 1 AND 60),
    CONSTRAINT sessions_end_after_beginning CHECK (ends_at > created_at)
);
CREATE INDEX sessions_of_account ON sessions (account_id, id) WHERE revoked_at IS NULL;

CREATE TABLE refresh_tokens (
    -- SHA-256 of the token, which has 256 random bits and is kept nowhere.
    token_hash bytea PRIMARY KEY,
    session_id uuid NOT NULL REFERENCES sessions (id) ON DELETE CASCADE,
    issued_at timestamptz NOT NULL,
    expires_at timestamptz NOT NULL,
    used_at timestamptz,
    CONSTRAINT refresh_tokens_hash_is_sha256 CHECK (octet_length(token_hash) = 32),
    CONSTRAINT refresh_tokens_expire_after_issue CHECK (expires_at > issued_at)
);
CREATE INDEX refresh_tokens_of_session ON refresh_tokens (session_id);

-- A link that does one thing, once. Its secret is a signature of the row's key and kind, so
-- that a letter can be written again and a copy of this table opens nothing.
CREATE TABLE account_links (
    id uuid PRIMARY KEY,
    -- None for an address that has no account: asking for a link then costs the same writes,
    -- and the row opens nothing.
    account_id uuid REFERENCES accounts (id) ON DELETE CASCADE,
    kind text NOT NULL,
    created_at timestamptz NOT NULL,
    expires_at timestamptz NOT NULL,
    used_at timestamptz,
    revoked_at timestamptz,
    CONSTRAINT account_links_kind_known CHECK (kind IN ('reset', 'sign_in')),
    CONSTRAINT account_links_expire_after_creation CHECK (expires_at > created_at)
);
CREATE INDEX account_links_of_account ON account_links (account_id, id);

-- From where an account was signed in to before: a guesser elsewhere cannot use up the tries
-- of these places. A keyed hash of the network address, and forgotten after some months.
CREATE TABLE familiar_addresses (
    account_id uuid NOT NULL REFERENCES accounts (id) ON DELETE CASCADE,
    address_mac bytea NOT NULL,
    seen_at timestamptz NOT NULL,
    PRIMARY KEY (account_id, address_mac),
    CONSTRAINT familiar_addresses_mac_is_sha256 CHECK (octet_length(address_mac) = 32)
);
CREATE INDEX familiar_addresses_by_age ON familiar_addresses (seen_at);

-- How often somebody asked in a span of time, counted by all copies together. Losing it in a crash
-- costs nothing but a fresh minute.
CREATE UNLOGGED TABLE allowances (
    -- What is counted and a keyed hash of for whom: no address stands here.
    counted text NOT NULL,
    whom bytea NOT NULL,
    period_start timestamptz NOT NULL,
    used bigint NOT NULL,
    PRIMARY KEY (counted, whom, period_start),
    CONSTRAINT allowances_counted_sane CHECK (counted ~ '^[a-z][a-z_]{0,39}$'),
    CONSTRAINT allowances_used_sane CHECK (used >= 0)
);
CREATE INDEX allowances_by_age ON allowances (period_start);

-- What a site lets residents see of each other; without a word they see only whom to ask.
ALTER TABLE sites ADD COLUMN neighbours_see text;
ALTER TABLE sites ADD CONSTRAINT sites_neighbours_see_known CHECK (neighbours_see IN ('keepers', 'names', 'names_and_flats'));
-- Who gets what the caretaker leaves unanswered.
ALTER TABLE sites ADD COLUMN deputy_id uuid;
ALTER TABLE sites ADD CONSTRAINT sites_deputy_fkey FOREIGN KEY (id, deputy_id) REFERENCES members (site_id, id);

-- Residents of a flat. It has no name of its own: the flat stands with its people's names.
CREATE TABLE households (
    site_id uuid NOT NULL REFERENCES sites (id),
    id uuid NOT NULL,
    created_at timestamptz NOT NULL,
    PRIMARY KEY (site_id, id)
);

ALTER TABLE members ADD COLUMN household_id uuid;
ALTER TABLE members ADD CONSTRAINT members_household_fkey FOREIGN KEY (site_id, household_id) REFERENCES households (site_id, id);
-- The language that they want to be written to in; the site's without one.
ALTER TABLE members ADD COLUMN language text;
ALTER TABLE members ADD CONSTRAINT members_language_known CHECK (language IN ('en', 'es'));
-- Since when they wait to be let in. They have no role until then, and so may do nothing.
ALTER TABLE members ADD COLUMN waiting_since timestamptz;
-- Since when fellow members may see this for covering a turn.
ALTER TABLE members ADD COLUMN shares_phone_since timestamptz;
ALTER TABLE members ADD COLUMN shares_email_since timestamptz;
ALTER TABLE members ADD COLUMN revision bigint NOT NULL DEFAULT 1;
CREATE INDEX members_of_household ON members (site_id, household_id) WHERE left_at IS NULL;

-- An address for somebody who has no account (yet), and a phone number.
ALTER TABLE member_names ADD COLUMN email_lower text;
ALTER TABLE member_names ADD COLUMN phone text;
ALTER TABLE member_names ADD CONSTRAINT member_names_email_sane CHECK (email_lower = lower(email_lower) AND length(email_lower) BETWEEN 3 AND 254);
ALTER TABLE member_names ADD CONSTRAINT member_names_phone_sane CHECK (length(phone) BETWEEN 3 AND 30);

-- An invitation sent by e-mail to a member who stands in members already, without an account.
CREATE TABLE invitations (
    site_id uuid NOT NULL,
    id uuid NOT NULL,
    member_id uuid NOT NULL,
    invited_by uuid NOT NULL,
    created_at timestamptz NOT NULL,
    expires_at timestamptz NOT NULL,
    accepted_at timestamptz,
    revoked_at timestamptz,
    PRIMARY KEY (site_id, id),
    FOREIGN KEY (site_id, member_id) REFERENCES members (site_id, id),
    FOREIGN KEY (site_id, invited_by) REFERENCES members (site_id, id),
    CONSTRAINT invitations_expire_after_creation CHECK (expires_at > created_at),
    CONSTRAINT invitations_end_once CHECK (accepted_at IS NULL OR revoked_at IS NULL)
);
-- A link names only the invitation.
CREATE UNIQUE INDEX invitations_by_id ON invitations (id);
CREATE UNIQUE INDEX invitations_open_once ON invitations (site_id, member_id) WHERE accepted_at IS NULL AND revoked_at IS NULL;

-- What people type from paper: how to join, a slip that signs somebody in once, a bin's lid.
CREATE TABLE codes (
    site_id uuid NOT NULL REFERENCES sites (id),
    id uuid NOT NULL,
    kind text NOT NULL,
    -- HMAC-SHA-256 of the code under a key that is not in the database.
    code_mac bytea NOT NULL,
    -- Whom a slip signs in.
    member_id uuid,
    -- Which lid it is on.
    bin_id uuid,
    made_by uuid NOT NULL,
    created_at timestamptz NOT NULL,
    expires_at timestamptz,
    most_uses integer,
    uses integer NOT NULL,
    revoked_at timestamptz,
    PRIMARY KEY (site_id, id),
    FOREIGN KEY (site_id, member_id) REFERENCES members (site_id, id),
    FOREIGN KEY (site_id, bin_id) REFERENCES bins (site_id, id),
    FOREIGN KEY (site_id, made_by) REFERENCES members (site_id, id),
    CONSTRAINT codes_once UNIQUE (code_mac),
    CONSTRAINT codes_kind_known CHECK (kind IN ('joining', 'slip', 'lid')),
    CONSTRAINT codes_mac_is_sha256 CHECK (octet_length(code_mac) = 32),
    CONSTRAINT codes_uses_sane CHECK (uses >= 0 AND (most_uses IS NULL OR uses <= most_uses)),
    CONSTRAINT codes_joining_is_bounded CHECK (kind <> 'joining' OR (expires_at IS NOT NULL AND most_uses IS NOT NULL)),
    CONSTRAINT codes_slip_is_for_one CHECK ((kind = 'slip') = (member_id IS NOT NULL) AND (kind <> 'slip' OR (expires_at IS NOT NULL AND most_uses = 1))),
    CONSTRAINT codes_lid_is_of_a_bin CHECK ((kind = 'lid') = (bin_id IS NOT NULL)),
    CONSTRAINT codes_expire_after_creation CHECK (expires_at > created_at)
);
-- A lid has one code, and a member one slip, at a time.
CREATE UNIQUE INDEX codes_lid_once ON codes (site_id, bin_id) WHERE kind = 'lid' AND revoked_at IS NULL;
CREATE UNIQUE INDEX codes_slip_once ON codes (site_id, member_id) WHERE kind = 'slip' AND revoked_at IS NULL AND uses = 0;

CREATE TABLE classes (
    site_id uuid NOT NULL REFERENCES sites (id),
    id uuid NOT NULL,
    name text NOT NULL,
    -- The last day of the school year, as the site counts days; its pupils are erased then.
    ends_on date NOT NULL,
    created_at timestamptz NOT NULL,
    ended_at timestamptz,
    revision bigint NOT NULL,
    PRIMARY KEY (site_id, id),
    CONSTRAINT classes_name_sane CHECK (length(name) BETWEEN 1 AND 60)
);
CREATE UNIQUE INDEX classes_name_once ON classes (site_id, name) WHERE ended_at IS NULL;
CREATE INDEX classes_to_end ON classes (ends_on) WHERE ended_at IS NULL;

-- The adults of a class.
CREATE TABLE class_adults (
    site_id uuid NOT NULL,
    class_id uuid NOT NULL,
    member_id uuid NOT NULL,
    part text NOT NULL,
    PRIMARY KEY (site_id, class_id, member_id),
    FOREIGN KEY (site_id, class_id) REFERENCES classes (site_id, id),
    FOREIGN KEY (site_id, member_id) REFERENCES members (site_id, id),
    CONSTRAINT class_adults_part_known CHECK (part IN ('teacher', 'helper'))
);
CREATE INDEX class_adults_of_member ON class_adults (site_id, member_id);

-- A pupil is a first name or initials and nothing else; the row outlives the name.
CREATE TABLE pupils (
    site_id uuid NOT NULL,
    id uuid NOT NULL,
    class_id uuid NOT NULL,
    label text,
    added_at timestamptz NOT NULL,
    left_at timestamptz,
    PRIMARY KEY (site_id, id),
    FOREIGN KEY (site_id, class_id) REFERENCES classes (site_id, id),
    CONSTRAINT pupils_label_sane CHECK (length(label) BETWEEN 1 AND 30),
    -- Whoever is gone has no name here.
    CONSTRAINT pupils_gone_are_nameless CHECK ((label IS NULL) = (left_at IS NOT NULL))
);
CREATE INDEX pupils_of_class ON pupils (site_id, class_id, id);
CREATE UNIQUE INDEX pupils_label_once ON pupils (site_id, class_id, label) WHERE label IS NOT NULL;

-- Who changed what, by key: no name, no address, no free text. The service's own role may add
-- to it and read it, and nothing else.
CREATE TABLE audit (
    site_id uuid NOT NULL REFERENCES sites (id),
    id uuid NOT NULL,
    at timestamptz NOT NULL,
    -- None when the service did it by itself.
    member_id uuid,
    deed text NOT NULL,
    subject_kind text NOT NULL,
    subject_id uuid NOT NULL,
    -- Codes, keys and numbers.
    detail jsonb NOT NULL,
    PRIMARY KEY (site_id, id),
    FOREIGN KEY (site_id, member_id) REFERENCES members (site_id, id),
    CONSTRAINT audit_deed_sane CHECK (deed ~ '^[a-z][a-z_]{0,39}$'),
    CONSTRAINT audit_subject_sane CHECK (subject_kind ~ '^[a-z][a-z_]{0,39}$'),
    CONSTRAINT audit_detail_is_an_object CHECK (jsonb_typeof(detail) = 'object')
);
CREATE INDEX audit_in_time ON audit (site_id, at, id);
