-- Turns: when which bin is due, who has which place, what people cannot, and the rota.
--
-- Old code runs on this: it adds tables, and columns that may be left out.

-- A span of days and a key in one exclusion constraint. Part of Postgres, and trusted: whoever
-- owns the database may create it.
CREATE EXTENSION IF NOT EXISTS btree_gist;

-- How many days before a turn its place can still be given back; the usual without a number.
ALTER TABLE sites ADD COLUMN give_back_days smallint;
ALTER TABLE sites ADD CONSTRAINT sites_give_back_days_sane CHECK (give_back_days BETWEEN 0 AND 28);

-- How often a bin is due: a recurrence rule (RFC 5545) read as local days of the site.
CREATE TABLE patterns (
    site_id uuid NOT NULL,
    id uuid NOT NULL,
    bin_id uuid NOT NULL,
    duty text NOT NULL,
    rule text NOT NULL,
    first_day date NOT NULL,
    last_day date,
    -- How many people each turn takes, and what it costs each of them.
    places smallint NOT NULL,
    effort smallint NOT NULL,
    -- The hours of the day, as the site counts them.
    opens time,
    closes time,
    -- Whose pupils take the turns, if a class does.
    class_id uuid,
    created_at timestamptz NOT NULL,
    ended_at timestamptz,
    revision bigint NOT NULL,
    PRIMARY KEY (site_id, id),
    FOREIGN KEY (site_id, bin_id) REFERENCES bins (site_id, id),
    FOREIGN KEY (site_id, class_id) REFERENCES classes (site_id, id),
    CONSTRAINT patterns_duty_known CHECK (duty IN ('feeding', 'watering', 'looking', 'harvest', 'tidying')),
    CONSTRAINT patterns_rule_sane CHECK (length(rule) BETWEEN 1 AND 500),
    CONSTRAINT patterns_days_in_order CHECK (last_day >= first_day),
    CONSTRAINT patterns_places_sane CHECK (places BETWEEN 1 AND 20),
    CONSTRAINT patterns_effort_sane CHECK (effort BETWEEN 1 AND 20),
    CONSTRAINT patterns_window_sane CHECK ((opens IS NULL) = (closes IS NULL) AND closes > opens)
);
CREATE INDEX patterns_of_bin ON patterns (site_id, bin_id, id) WHERE ended_at IS NULL;

-- Days on which a site is shut.
CREATE TABLE closures (
    site_id uuid NOT NULL REFERENCES sites (id),
    id uuid NOT NULL,
    first_day date NOT NULL,
    last_day date NOT NULL,
    created_at timestamptz NOT NULL,
    PRIMARY KEY (site_id, id),
    CONSTRAINT closures_days_in_order CHECK (last_day >= first_day),
    CONSTRAINT closures_apart EXCLUDE USING gist (site_id WITH =, daterange(first_day, last_day, '[]') WITH &&)
);

-- One bin on one local date when something is due. Rows of the past are never changed.
CREATE TABLE turns (
    site_id uuid NOT NULL,
    id uuid NOT NULL,
    bin_id uuid NOT NULL,
    -- None for a turn that was added by hand.
    pattern_id uuid,
    on_date date NOT NULL,
    duty text NOT NULL,
    effort smallint NOT NULL,
    opens time,
    closes time,
    class_id uuid,
    -- Why it does not take place, if it does not. The places stay with their holders: what
    -- was called off can be on again.
    called_off text,
    -- The pattern does not want this day any more, but somebody holds a place.
    off_pattern boolean NOT NULL,
    created_at timestamptz NOT NULL,
    revision bigint NOT NULL,
    PRIMARY KEY (site_id, id),
    FOREIGN KEY (site_id, bin_id) REFERENCES bins (site_id, id),
    FOREIGN KEY (site_id, pattern_id) REFERENCES patterns (site_id, id),
    FOREIGN KEY (site_id, class_id) REFERENCES classes (site_id, id),
    CONSTRAINT turns_once_a_day UNIQUE (site_id, pattern_id, on_date),
    CONSTRAINT turns_duty_known CHECK (duty IN ('feeding', 'watering', 'looking', 'harvest', 'tidying')),
    CONSTRAINT turns_effort_sane CHECK (effort BETWEEN 1 AND 20),
    CONSTRAINT turns_window_sane CHECK ((opens IS NULL) = (closes IS NULL) AND closes > opens),
    CONSTRAINT turns_called_off_known CHECK (called_off IN ('hand', 'closure'))
);
CREATE INDEX turns_by_day ON turns (site_id, on_date, id);

-- The places of a turn: a row for each, free or held. That a place has one holder needs no
-- rule: it has one column for a member and one for a pupil.
CREATE TABLE places (
    site_id uuid NOT NULL,
    id uuid NOT NULL,
    turn_id uuid NOT NULL,
    -- 1, 2 and so on.
    seat smallint NOT NULL,
    member_id uuid,
    pupil_id uuid,
    -- How the holder came to it.
    how text,
    -- Whether the planner leaves it alone.
    kept boolean NOT NULL,
    held_since timestamptz,
    -- The room that the holder has booked for what they bring.
    booking_id uuid,
    PRIMARY KEY (site_id, id),
    FOREIGN KEY (site_id, turn_id) REFERENCES turns (site_id, id),
    FOREIGN KEY (site_id, member_id) REFERENCES members (site_id, id),
    FOREIGN KEY (site_id, pupil_id) REFERENCES pupils (site_id, id),
    FOREIGN KEY (site_id, booking_id) REFERENCES bookings (site_id, id),
    CONSTRAINT places_seat_once UNIQUE (site_id, turn_id, seat),
    CONSTRAINT places_seat_sane CHECK (seat BETWEEN 1 AND 20),
    CONSTRAINT places_one_holder CHECK (member_id IS NULL OR pupil_id IS NULL),
    CONSTRAINT places_held_somehow CHECK ((member_id IS NULL AND pupil_id IS NULL) = (how IS NULL) AND (how IS NULL) = (held_since IS NULL)),
    CONSTRAINT places_how_known CHECK (how IN ('taken', 'assigned', 'rota', 'duty')),
    CONSTRAINT places_free_are_bare CHECK (how IS NOT NULL OR (NOT kept AND booking_id IS NULL))
);
CREATE UNIQUE INDEX places_member_once ON places (site_id, turn_id, member_id) WHERE member_id IS NOT NULL;
CREATE UNIQUE INDEX places_pupil_once ON places (site_id, turn_id, pupil_id) WHERE pupil_id IS NOT NULL;
CREATE INDEX places_of_member ON places (site_id, member_id) WHERE member_id IS NOT NULL;
CREATE INDEX places_of_pupil ON places (site_id, pupil_id) WHERE pupil_id IS NOT NULL;

-- What a member cannot, likes and would rather not. Somebody without a row has no limits.
CREATE TABLE member_limits (
    site_id uuid NOT NULL,
    member_id uuid NOT NULL,
    -- Weekdays, 1 is Monday.
    cannot_weekdays smallint[] NOT NULL,
    likes_weekdays smallint[] NOT NULL,
    rather_not_weekdays smallint[] NOT NULL,
    -- Free days between two turns.
    rest_days smallint NOT NULL,
    most_in_28_days smallint,
    -- What part of the turns is theirs; without a word that of their role and household.
    share text,
    -- Only the bins of member_bins, or all.
    only_trained_bins boolean NOT NULL,
    experienced boolean NOT NULL,
    not_alone boolean NOT NULL,
    revision bigint NOT NULL,
    PRIMARY KEY (site_id, member_id),
    FOREIGN KEY (site_id, member_id) REFERENCES members (site_id, id),
    CONSTRAINT member_limits_weekdays_sane CHECK (
        cannot_weekdays <@ ARRAY[1, 2, 3, 4, 5, 6, 7]::smallint[]
        AND likes_weekdays <@ ARRAY[1, 2, 3, 4, 5, 6, 7]::smallint[]
        AND rather_not_weekdays <@ ARRAY[1, 2, 3, 4, 5, 6, 7]::smallint[]
        AND NOT likes_weekdays && rather_not_weekdays),
    CONSTRAINT member_limits_rest_sane CHECK (rest_days BETWEEN 0 AND 60),
    CONSTRAINT member_limits_most_sane CHECK (most_in_28_days BETWEEN 1 AND 28),
    CONSTRAINT member_limits_share_known CHECK (share IN ('full', 'half', 'household', 'none'))
);

-- The bins that a member is trained for.
CREATE TABLE member_bins (
    site_id uuid NOT NULL,
    member_id uuid NOT NULL,
    bin_id uuid NOT NULL,
    PRIMARY KEY (site_id, member_id, bin_id),
    FOREIGN KEY (site_id, member_id) REFERENCES members (site_id, id),
    FOREIGN KEY (site_id, bin_id) REFERENCES bins (site_id, id)
);

-- Two who do not share a turn. Nobody but caretaker and teacher learns of it, not even those
-- two, and no reason is kept.
CREATE TABLE apart_pairs (
    site_id uuid NOT NULL,
    id uuid NOT NULL,
    one_id uuid NOT NULL,
    other_id uuid NOT NULL,
    created_at timestamptz NOT NULL,
    PRIMARY KEY (site_id, id),
    FOREIGN KEY (site_id, one_id) REFERENCES members (site_id, id),
    FOREIGN KEY (site_id, other_id) REFERENCES members (site_id, id),
    CONSTRAINT apart_pairs_in_order CHECK (one_id < other_id),
    CONSTRAINT apart_pairs_once UNIQUE (site_id, one_id, other_id)
);
CREATE INDEX apart_pairs_of_other ON apart_pairs (site_id, other_id);

-- Days on which a member is away; no reason is kept. Without a last day until further notice.
CREATE TABLE absences (
    site_id uuid NOT NULL,
    id uuid NOT NULL,
    member_id uuid NOT NULL,
    first_day date NOT NULL,
    last_day date,
    reported_by uuid NOT NULL,
    created_at timestamptz NOT NULL,
    PRIMARY KEY (site_id, id),
    FOREIGN KEY (site_id, member_id) REFERENCES members (site_id, id),
    FOREIGN KEY (site_id, reported_by) REFERENCES members (site_id, id),
    CONSTRAINT absences_days_in_order CHECK (last_day >= first_day),
    CONSTRAINT absences_apart EXCLUDE USING gist (site_id WITH =, member_id WITH =, daterange(first_day, last_day, '[]') WITH &&)
);

-- Days on which a pupil is away from class.
CREATE TABLE pupil_absences (
    site_id uuid NOT NULL,
    pupil_id uuid NOT NULL,
    on_date date NOT NULL,
    PRIMARY KEY (site_id, pupil_id, on_date),
    FOREIGN KEY (site_id, pupil_id) REFERENCES pupils (site_id, id)
);

-- Who holds which place over a span of days: drafted, then put up.
CREATE TABLE rotas (
    site_id uuid NOT NULL REFERENCES sites (id),
    id uuid NOT NULL,
    first_day date NOT NULL,
    last_day date NOT NULL,
    -- The rota in force that this one changes, and the first day on which it may.
    replans_id uuid,
    replan_from date,
    state text NOT NULL,
    seed bigint NOT NULL,
    -- Steps of the planner: how many there are to be, and how far it is.
    steps_planned bigint NOT NULL,
    steps_done bigint NOT NULL,
    -- What the planner was asked with, and what it found: keys and numbers.
    asked jsonb NOT NULL,
    found jsonb,
    -- A code, when it could not be drafted.
    failure text,
    made_by uuid NOT NULL,
    created_at timestamptz NOT NULL,
    drafted_at timestamptz,
    put_up_at timestamptz,
    put_up_by uuid,
    PRIMARY KEY (site_id, id),
    FOREIGN KEY (site_id, replans_id) REFERENCES rotas (site_id, id),
    FOREIGN KEY (site_id, made_by) REFERENCES members (site_id, id),
    FOREIGN KEY (site_id, put_up_by) REFERENCES members (site_id, id),
    CONSTRAINT rotas_days_in_order CHECK (last_day >= first_day),
    -- waiting -> drafting -> drafted -> put_up -> replaced; failed and dropped end a draft.
    CONSTRAINT rotas_state_known CHECK (state IN ('waiting', 'drafting', 'drafted', 'failed', 'dropped', 'put_up', 'replaced')),
    CONSTRAINT rotas_replan_whole CHECK ((replans_id IS NULL) = (replan_from IS NULL)),
    CONSTRAINT rotas_steps_sane CHECK (steps_planned > 0 AND steps_done >= 0),
    CONSTRAINT rotas_found_when_drafted CHECK (state NOT IN ('drafted', 'put_up', 'replaced') OR found IS NOT NULL),
    CONSTRAINT rotas_put_up_by_somebody CHECK ((put_up_at IS NULL) = (put_up_by IS NULL) AND (state IN ('put_up', 'replaced')) = (put_up_at IS NOT NULL)),
    CONSTRAINT rotas_in_force_apart EXCLUDE USING gist (site_id WITH =, daterange(first_day, last_day, '[]') WITH &&) WHERE (state = 'put_up')
);
CREATE INDEX rotas_newest_first ON rotas (site_id, id DESC);
-- One draft of a site at a time: it takes a processor for a minute.
CREATE UNIQUE INDEX rotas_one_at_work ON rotas (site_id) WHERE state IN ('waiting', 'drafting');

-- What each member's part of a rota was when it was put up: from it follows what the next one
-- owes them. Thousandths of effort, since a fair share is rarely whole.
CREATE TABLE rota_shares (
    site_id uuid NOT NULL,
    rota_id uuid NOT NULL,
    member_id uuid NOT NULL,
    -- Sixtieths of a full share.
    share smallint NOT NULL,
    -- Effort beyond the fair share that was brought along.
    carried_milli bigint NOT NULL,
    -- Their part of all effort that was brought along and is held in this rota.
    fair_milli bigint NOT NULL,
    PRIMARY KEY (site_id, rota_id, member_id),
    FOREIGN KEY (site_id, rota_id) REFERENCES rotas (site_id, id),
    FOREIGN KEY (site_id, member_id) REFERENCES members (site_id, id),
    CONSTRAINT rota_shares_share_sane CHECK (share BETWEEN 1 AND 60)
);
CREATE INDEX rota_shares_of_member ON rota_shares (site_id, member_id);
