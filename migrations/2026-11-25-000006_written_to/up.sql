-- When people are written to, what about, and what they answer by a link.
--
-- Old code runs on this: it adds columns that may be left out, and a table.

-- Until when the links of a letter do something, what came of them, and when they were taken
-- back. A letter is answered once.
ALTER TABLE letters
    ADD COLUMN links_until timestamptz,
    ADD COLUMN answer text,
    ADD COLUMN answered_at timestamptz,
    ADD COLUMN links_revoked_at timestamptz,
    ADD CONSTRAINT letters_answered_somehow CHECK ((answer IS NULL) = (answered_at IS NULL)),
    ADD CONSTRAINT letters_answer_sane CHECK (answer ~ '^[a-z][a-z_]{0,39}$'),
    ADD CONSTRAINT letters_only_links_are_answered CHECK (answer IS NULL OR links_until IS NOT NULL);

-- Letters about a turn name it: whether somebody was asked, and what they answered.
CREATE INDEX letters_about_turn ON letters (site_id, (payload ->> 'turn')) WHERE payload ->> 'turn' IS NOT NULL;

-- The hours in which a site's people are not written to, and how many days before a turn its
-- holder is reminded (0: on its morning). The usual without a word.
ALTER TABLE sites
    ADD COLUMN quiet_from time,
    ADD COLUMN quiet_until time,
    ADD COLUMN reminder_days smallint[],
    ADD CONSTRAINT sites_quiet_whole CHECK ((quiet_from IS NULL) = (quiet_until IS NULL) AND quiet_from <> quiet_until),
    ADD CONSTRAINT sites_reminder_days_sane CHECK (reminder_days <@ ARRAY[0, 1, 2, 3, 4, 5, 6, 7]::smallint[]);

-- Their own days, and the sorts of letters that they do without.
ALTER TABLE members
    ADD COLUMN reminder_days smallint[],
    ADD COLUMN letters_off text[],
    ADD CONSTRAINT members_reminder_days_sane CHECK (reminder_days <@ ARRAY[0, 1, 2, 3, 4, 5, 6, 7]::smallint[]),
    ADD CONSTRAINT members_letters_off_sane CHECK (letters_off <@ ARRAY['reminders', 'questions', 'changes', 'calls', 'keeping', 'digest']);

-- Secret addresses at which a calendar program fetches turns: a member's own, or those of a
-- bin. The secret itself stands nowhere.
CREATE TABLE calendar_addresses (
    site_id uuid NOT NULL,
    id uuid NOT NULL,
    -- Whose it is: it ends when they leave.
    member_id uuid NOT NULL,
    -- None for the member's own turns.
    bin_id uuid,
    created_at timestamptz NOT NULL,
    revoked_at timestamptz,
    PRIMARY KEY (site_id, id),
    FOREIGN KEY (site_id, member_id) REFERENCES members (site_id, id),
    FOREIGN KEY (site_id, bin_id) REFERENCES bins (site_id, id)
);
CREATE UNIQUE INDEX calendar_addresses_by_id ON calendar_addresses (id);
CREATE INDEX calendar_addresses_of_member ON calendar_addresses (site_id, member_id);
