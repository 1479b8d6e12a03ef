-- Calls: somebody is looked for who comes to a place in the stead of who is away.
--
-- Old code runs on this: it adds tables, and columns that may be left out.

-- Whether days away cost the member nothing in the next rota; so it is without a word, unless
-- the site counts every absence. No reason is kept.
ALTER TABLE absences ADD COLUMN excused boolean;
ALTER TABLE sites ADD COLUMN absences_cost boolean;

CREATE TABLE calls (
    site_id uuid NOT NULL,
    id uuid NOT NULL,
    turn_id uuid NOT NULL,
    place_id uuid NOT NULL,
    -- Who cannot come, and the absence that it is for, where there is one.
    away_id uuid NOT NULL,
    absence_id uuid,
    -- Since when they held it: whether it was in their part of a rota follows from it.
    held_since timestamptz NOT NULL,
    -- Whether it costs them nothing; without an absence it does not.
    excused boolean NOT NULL,
    -- Whether somebody who keeps the rota wants it taken though the bin could do without.
    wanted boolean NOT NULL,
    state text NOT NULL,
    -- Whether the bin needs the turn, and what that was reckoned from: codes, instants and
    -- numbers. None while the turn is too far ahead to tell.
    need jsonb,
    -- The last instant at which somebody must have come, if the bin needs somebody.
    deadline_at timestamptz,
    -- From then on it is too late to come; and until then a helper can give the place back.
    turn_at timestamptz NOT NULL,
    settled_at timestamptz NOT NULL,
    helper_id uuid,
    -- When the service looks at it next; none when it has nothing to look for.
    look_at timestamptz,
    created_at timestamptz NOT NULL,
    closed_at timestamptz,
    PRIMARY KEY (site_id, id),
    -- A turn that a pattern does not want any more goes with its free places.
    FOREIGN KEY (site_id, turn_id) REFERENCES turns (site_id, id) ON DELETE CASCADE,
    FOREIGN KEY (site_id, place_id) REFERENCES places (site_id, id) ON DELETE CASCADE,
    FOREIGN KEY (site_id, away_id) REFERENCES members (site_id, id),
    FOREIGN KEY (site_id, helper_id) REFERENCES members (site_id, id),
    -- open -> covered, nobody, left_empty, withdrawn or missed; nobody -> covered, left_empty,
    -- withdrawn or missed; covered -> open; left_empty -> open or withdrawn.
    CONSTRAINT calls_state_known CHECK (state IN ('open', 'nobody', 'covered', 'left_empty', 'withdrawn', 'missed')),
    CONSTRAINT calls_need_is_an_object CHECK (jsonb_typeof(need) = 'object'),
    CONSTRAINT calls_helped_when_covered CHECK ((state = 'covered') = (helper_id IS NOT NULL)),
    CONSTRAINT calls_in_order CHECK (settled_at <= turn_at)
);
-- A place has one call that is not over.
CREATE UNIQUE INDEX calls_one_of_place ON calls (site_id, place_id) WHERE closed_at IS NULL;
CREATE INDEX calls_to_look_at ON calls (look_at) WHERE look_at IS NOT NULL;
CREATE INDEX calls_newest_first ON calls (site_id, id DESC);
CREATE INDEX calls_of_away ON calls (site_id, away_id);
CREATE INDEX calls_of_helper ON calls (site_id, helper_id) WHERE helper_id IS NOT NULL;
CREATE INDEX calls_of_turn ON calls (site_id, turn_id);

-- Who was asked, and what they said.
CREATE TABLE call_answers (
    site_id uuid NOT NULL,
    call_id uuid NOT NULL,
    member_id uuid NOT NULL,
    state text NOT NULL,
    asked_at timestamptz NOT NULL,
    answer_by timestamptz NOT NULL,
    answered_at timestamptz,
    PRIMARY KEY (site_id, call_id, member_id),
    FOREIGN KEY (site_id, call_id) REFERENCES calls (site_id, id) ON DELETE CASCADE,
    FOREIGN KEY (site_id, member_id) REFERENCES members (site_id, id),
    CONSTRAINT call_answers_state_known CHECK (state IN ('asked', 'yes', 'no', 'given_back', 'closed')),
    CONSTRAINT call_answers_in_order CHECK (answer_by >= asked_at)
);
CREATE INDEX call_answers_of_member ON call_answers (site_id, member_id, asked_at);
