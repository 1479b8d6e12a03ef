-- Letters that are owed, with what became of them.
--
-- Old code runs on this: it adds a table and a column that may be left out. An older copy goes
-- on owing letters as jobs; a trigger turns them into rows of this table, so that none is left
-- behind while copies are replaced. It can go with the release after this one.

CREATE TABLE letters (
    id uuid PRIMARY KEY,
    -- None for letters of an account, which belong to no site.
    site_id uuid REFERENCES sites (id),
    kind text NOT NULL,
    -- What it is about, in keys that the program composes: owing the same letter twice is
    -- then one row.
    purpose text NOT NULL,
    -- Whom it is for. Letters of an account go with it.
    account_id uuid REFERENCES accounts (id) ON DELETE CASCADE,
    member_id uuid,
    -- Keys and numbers, from which the letter is worded when it is sent.
    payload jsonb NOT NULL,
    -- Somebody waits for it, or its link ends soon.
    goes_first boolean NOT NULL,
    -- owed -> leased -> sent, refused, too_late, not_wanted or given_up; leased -> owed when it
    -- is to be tried again.
    state text NOT NULL,
    -- Not before.
    due_at timestamptz NOT NULL,
    -- From then on nobody is helped by it.
    too_late_at timestamptz NOT NULL,
    attempts integer NOT NULL,
    leased_until timestamptz,
    -- Why it was not sent, or not yet.
    reason text,
    created_at timestamptz NOT NULL,
    closed_at timestamptz,
    FOREIGN KEY (site_id, member_id) REFERENCES members (site_id, id),
    CONSTRAINT letters_purpose_once UNIQUE (kind, purpose),
    CONSTRAINT letters_kind_sane CHECK (kind ~ '^[a-z][a-z_]{0,39}$'),
    CONSTRAINT letters_member_is_of_a_site CHECK (member_id IS NULL OR site_id IS NOT NULL),
    CONSTRAINT letters_payload_is_an_object CHECK (jsonb_typeof(payload) = 'object'),
    CONSTRAINT letters_state_known CHECK (state IN ('owed', 'leased', 'sent', 'refused', 'too_late', 'not_wanted', 'given_up')),
    CONSTRAINT letters_lease_belongs_to_leased CHECK ((state = 'leased') = (leased_until IS NOT NULL)),
    CONSTRAINT letters_closed_when_over CHECK ((state IN ('owed', 'leased')) = (closed_at IS NULL)),
    CONSTRAINT letters_refused_for_a_reason CHECK (state NOT IN ('refused', 'given_up') OR reason IS NOT NULL),
    CONSTRAINT letters_sent_without_a_reason CHECK (state <> 'sent' OR reason IS NULL),
    CONSTRAINT letters_reason_sane CHECK (reason ~ '^[a-z][a-z_]{0,39}$'),
    CONSTRAINT letters_attempts_sane CHECK (attempts >= 0)
);
-- Claiming looks at what is owed and at leases that ran out.
CREATE INDEX letters_to_claim ON letters (goes_first DESC, due_at) WHERE state IN ('owed', 'leased');
CREATE INDEX letters_of_site ON letters (site_id, id DESC) WHERE site_id IS NOT NULL;
CREATE INDEX letters_of_account ON letters (account_id) WHERE account_id IS NOT NULL;
CREATE INDEX letters_of_member ON letters (site_id, member_id) WHERE member_id IS NOT NULL;
CREATE INDEX letters_to_forget ON letters (closed_at) WHERE closed_at IS NOT NULL;

-- Since when letters to the member's address come back.
ALTER TABLE members ADD COLUMN bounced_at timestamptz;

-- A letter that an older copy owes as a job.
CREATE FUNCTION letter_from_job() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    INSERT INTO letters (id, site_id, kind, purpose, account_id, member_id, payload, goes_first, state, due_at, too_late_at, attempts, created_at, closed_at)
    SELECT NEW.id, NEW.site_id, split_part(NEW.purpose, ':', 1), substr(NEW.purpose, strpos(NEW.purpose, ':') + 1),
        link.account_id, coalesce(invitation.member_id, booking.member_id),
        NEW.payload - 'kind' - 'letter' - 'site' - 'member_id', link.id IS NOT NULL,
        CASE WHEN NEW.state = 'waiting' THEN 'owed' ELSE 'not_wanted' END, NEW.run_after,
        -- A bin's day is over everywhere so long after it began.
        coalesce(link.expires_at, invitation.expires_at, booking.on_date::timestamp AT TIME ZONE 'UTC' + interval '36 hours'), 0, NEW.created_at,
        CASE WHEN NEW.state <> 'waiting' THEN NEW.created_at END
    FROM (SELECT) AS one
    LEFT JOIN account_links AS link ON link.id = (NEW.payload ->> 'link')::uuid
    LEFT JOIN invitations AS invitation ON invitation.site_id = NEW.site_id AND invitation.id = (NEW.payload ->> 'invitation')::uuid
    LEFT JOIN bookings AS booking ON booking.site_id = NEW.site_id AND booking.id = (NEW.payload ->> 'booking_id')::uuid
    WHERE coalesce(link.id, invitation.id, booking.id) IS NOT NULL
    ON CONFLICT DO NOTHING;
    RETURN NULL;
END
$$;

-- What is owed already goes the same way.
CREATE TRIGGER letter_from_job BEFORE INSERT ON jobs FOR EACH ROW WHEN (NEW.kind = 'letter') EXECUTE FUNCTION letter_from_job();
WITH owed AS (
    DELETE FROM jobs WHERE kind = 'letter' AND state IN ('waiting', 'leased') RETURNING *
)
INSERT INTO jobs (id, kind, site_id, purpose, payload, run_after, state, attempts, created_at)
SELECT id, kind, site_id, purpose, payload, run_after, 'waiting', 0, created_at FROM owed;
DELETE FROM jobs WHERE kind = 'letter';
