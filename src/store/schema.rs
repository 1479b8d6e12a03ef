//! The tables as diesel sees them. The reasons stand in the migrations.

use diesel::{allow_tables_to_appear_in_same_query, joinable, table};

table! {
    accounts (id) {
        id -> Uuid,
        email_lower -> Nullable<Text>,
        password_hash -> Nullable<Text>,
        is_educator -> Bool,
        created_at -> Timestamptz,
    }
}

table! {
    sessions (id) {
        id -> Uuid,
        account_id -> Uuid,
        began_with -> Text,
        device -> Nullable<Text>,
        created_at -> Timestamptz,
        last_used_at -> Timestamptz,
        ends_at -> Timestamptz,
        revoked_at -> Nullable<Timestamptz>,
    }
}

table! {
    refresh_tokens (token_hash) {
        token_hash -> Bytea,
        session_id -> Uuid,
        issued_at -> Timestamptz,
        expires_at -> Timestamptz,
        used_at -> Nullable<Timestamptz>,
    }
}

table! {
    account_links (id) {
        id -> Uuid,
        account_id -> Nullable<Uuid>,
        kind -> Text,
        created_at -> Timestamptz,
        expires_at -> Timestamptz,
        used_at -> Nullable<Timestamptz>,
        revoked_at -> Nullable<Timestamptz>,
    }
}

table! {
    familiar_addresses (account_id, address_mac) {
        account_id -> Uuid,
        address_mac -> Bytea,
        seen_at -> Timestamptz,
    }
}

table! {
    allowances (counted, whom, period_start) {
        counted -> Text,
        whom -> Bytea,
        period_start -> Timestamptz,
        used -> BigInt,
    }
}

table! {
    sites (id) {
        id -> Uuid,
        name -> Text,
        zone -> Text,
        units -> Text,
        language -> Text,
        paper -> Text,
        is_school -> Bool,
        monthly_air_c -> Nullable<Array<Double>>,
        scrap_outlets -> Jsonb,
        created_at -> Timestamptz,
        revision -> Int8,
        neighbours_see -> Nullable<Text>,
        deputy_id -> Nullable<Uuid>,
        give_back_days -> Nullable<SmallInt>,
        quiet_from -> Nullable<Time>,
        quiet_until -> Nullable<Time>,
        reminder_days -> Nullable<Array<SmallInt>>,
        absences_cost -> Nullable<Bool>,
    }
}

table! {
    site_foods (site_id, subject) {
        site_id -> Uuid,
        subject -> Text,
        class -> Text,
    }
}

table! {
    site_containers (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        name -> Text,
        volume_ml -> Integer,
    }
}

table! {
    members (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        account_id -> Nullable<Uuid>,
        joined_at -> Timestamptz,
        left_at -> Nullable<Timestamptz>,
        household_id -> Nullable<Uuid>,
        language -> Nullable<Text>,
        waiting_since -> Nullable<Timestamptz>,
        shares_phone_since -> Nullable<Timestamptz>,
        shares_email_since -> Nullable<Timestamptz>,
        revision -> BigInt,
        bounced_at -> Nullable<Timestamptz>,
        reminder_days -> Nullable<Array<SmallInt>>,
        letters_off -> Nullable<Array<Text>>,
    }
}

table! {
    member_roles (site_id, member_id, role) {
        site_id -> Uuid,
        member_id -> Uuid,
        role -> Text,
    }
}

table! {
    member_names (site_id, member_id) {
        site_id -> Uuid,
        member_id -> Uuid,
        name -> Text,
        flat -> Nullable<Text>,
        email_lower -> Nullable<Text>,
        phone -> Nullable<Text>,
    }
}

table! {
    households (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        created_at -> Timestamptz,
    }
}

table! {
    invitations (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        member_id -> Uuid,
        invited_by -> Uuid,
        created_at -> Timestamptz,
        expires_at -> Timestamptz,
        accepted_at -> Nullable<Timestamptz>,
        revoked_at -> Nullable<Timestamptz>,
    }
}

table! {
    codes (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        kind -> Text,
        code_mac -> Bytea,
        member_id -> Nullable<Uuid>,
        bin_id -> Nullable<Uuid>,
        made_by -> Uuid,
        created_at -> Timestamptz,
        expires_at -> Nullable<Timestamptz>,
        most_uses -> Nullable<Integer>,
        uses -> Integer,
        revoked_at -> Nullable<Timestamptz>,
    }
}

table! {
    classes (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        name -> Text,
        ends_on -> Date,
        created_at -> Timestamptz,
        ended_at -> Nullable<Timestamptz>,
        revision -> BigInt,
    }
}

table! {
    class_adults (site_id, class_id, member_id) {
        site_id -> Uuid,
        class_id -> Uuid,
        member_id -> Uuid,
        part -> Text,
    }
}

table! {
    pupils (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        class_id -> Uuid,
        label -> Nullable<Text>,
        added_at -> Timestamptz,
        left_at -> Nullable<Timestamptz>,
    }
}

table! {
    audit (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        at -> Timestamptz,
        member_id -> Nullable<Uuid>,
        deed -> Text,
        subject_kind -> Text,
        subject_id -> Uuid,
        detail -> Jsonb,
    }
}

table! {
    bins (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        name -> Text,
        spot -> Text,
        vessel -> Text,
        surface_cm2 -> Integer,
        created_at -> Timestamptz,
        retired_at -> Nullable<Timestamptz>,
        next_seq -> BigInt,
        head_event -> Nullable<Uuid>,
    }
}

table! {
    trays (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        bin_id -> Uuid,
        position -> SmallInt,
        volume_ml -> Integer,
    }
}

table! {
    bin_events (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        bin_id -> Uuid,
        seq -> BigInt,
        kind -> Text,
        occurred_at -> Timestamptz,
        recorded_at -> Timestamptz,
        member_id -> Nullable<Uuid>,
        payload -> Jsonb,
        supersedes -> Nullable<Uuid>,
    }
}

table! {
    bin_states (site_id, event_id) {
        site_id -> Uuid,
        event_id -> Uuid,
        bin_id -> Uuid,
        occurred_at -> Timestamptz,
        seq -> BigInt,
        state -> Jsonb,
        model_version -> Integer,
        settings_revision -> Text,
    }
}

table! {
    bookings (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        bin_id -> Uuid,
        member_id -> Uuid,
        on_date -> Date,
        promised_g -> BigInt,
        state -> Text,
        created_at -> Timestamptz,
        decision_id -> Uuid,
    }
}

table! {
    decisions (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        bin_id -> Uuid,
        member_id -> Uuid,
        event_id -> Nullable<Uuid>,
        booking_id -> Nullable<Uuid>,
        deed -> Text,
        outcome -> Text,
        decided_at -> Timestamptz,
        offered_g -> BigInt,
        allowed_g -> BigInt,
        decision -> Jsonb,
        inputs -> Jsonb,
    }
}

table! {
    notices (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        bin_id -> Uuid,
        event_id -> Nullable<Uuid>,
        kind -> Text,
        created_at -> Timestamptz,
        seen_at -> Nullable<Timestamptz>,
        seen_by -> Nullable<Uuid>,
    }
}

table! {
    idempotency_keys (account_id, key) {
        account_id -> Uuid,
        key -> Text,
        request_hash -> Bytea,
        answer -> Nullable<Jsonb>,
        created_at -> Timestamptz,
    }
}

table! {
    jobs (id) {
        id -> Uuid,
        kind -> Text,
        site_id -> Nullable<Uuid>,
        purpose -> Text,
        payload -> Jsonb,
        run_after -> Timestamptz,
        state -> Text,
        attempts -> Integer,
        leased_until -> Nullable<Timestamptz>,
        last_error -> Nullable<Text>,
        created_at -> Timestamptz,
    }
}

table! {
    letters (id) {
        id -> Uuid,
        site_id -> Nullable<Uuid>,
        kind -> Text,
        purpose -> Text,
        account_id -> Nullable<Uuid>,
        member_id -> Nullable<Uuid>,
        payload -> Jsonb,
        goes_first -> Bool,
        state -> Text,
        due_at -> Timestamptz,
        too_late_at -> Timestamptz,
        attempts -> Integer,
        leased_until -> Nullable<Timestamptz>,
        reason -> Nullable<Text>,
        created_at -> Timestamptz,
        closed_at -> Nullable<Timestamptz>,
        links_until -> Nullable<Timestamptz>,
        answer -> Nullable<Text>,
        answered_at -> Nullable<Timestamptz>,
        links_revoked_at -> Nullable<Timestamptz>,
    }
}

table! {
    calls (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        turn_id -> Uuid,
        place_id -> Uuid,
        away_id -> Nullable<Uuid>,
        absence_id -> Nullable<Uuid>,
        held_since -> Nullable<Timestamptz>,
        excused -> Bool,
        wanted -> Bool,
        state -> Text,
        need -> Nullable<Jsonb>,
        deadline_at -> Nullable<Timestamptz>,
        turn_at -> Timestamptz,
        settled_at -> Timestamptz,
        helper_id -> Nullable<Uuid>,
        look_at -> Nullable<Timestamptz>,
        created_at -> Timestamptz,
        closed_at -> Nullable<Timestamptz>,
        held_how -> Nullable<Text>,
        held_kept -> Nullable<Bool>,
    }
}

table! {
    call_answers (site_id, call_id, member_id) {
        site_id -> Uuid,
        call_id -> Uuid,
        member_id -> Uuid,
        state -> Text,
        asked_at -> Timestamptz,
        answer_by -> Timestamptz,
        answered_at -> Nullable<Timestamptz>,
    }
}

table! {
    calendar_addresses (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        member_id -> Uuid,
        bin_id -> Nullable<Uuid>,
        created_at -> Timestamptz,
        revoked_at -> Nullable<Timestamptz>,
    }
}

table! {
    demo_clock (only_row) {
        only_row -> Bool,
        offset_seconds -> BigInt,
    }
}

joinable!(members -> sites (site_id));

table! {
    probes (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        bin_id -> Uuid,
        name -> Text,
        key_hash -> Bytea,
        created_at -> Timestamptz,
        revoked_at -> Nullable<Timestamptz>,
    }
}

table! {
    readings (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        bin_id -> Uuid,
        probe_id -> Nullable<Uuid>,
        member_id -> Nullable<Uuid>,
        measured_at -> Timestamptz,
        recorded_at -> Timestamptz,
        quantity -> Text,
        value -> Double,
        set_aside -> Nullable<Text>,
    }
}

table! {
    patterns (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        bin_id -> Uuid,
        duty -> Text,
        rule -> Text,
        first_day -> Date,
        last_day -> Nullable<Date>,
        places -> SmallInt,
        effort -> SmallInt,
        opens -> Nullable<Time>,
        closes -> Nullable<Time>,
        class_id -> Nullable<Uuid>,
        created_at -> Timestamptz,
        ended_at -> Nullable<Timestamptz>,
        revision -> BigInt,
    }
}

table! {
    closures (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        first_day -> Date,
        last_day -> Date,
        created_at -> Timestamptz,
    }
}

table! {
    turns (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        bin_id -> Uuid,
        pattern_id -> Nullable<Uuid>,
        on_date -> Date,
        duty -> Text,
        effort -> SmallInt,
        opens -> Nullable<Time>,
        closes -> Nullable<Time>,
        class_id -> Nullable<Uuid>,
        called_off -> Nullable<Text>,
        off_pattern -> Bool,
        created_at -> Timestamptz,
        revision -> BigInt,
    }
}

table! {
    places (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        turn_id -> Uuid,
        seat -> SmallInt,
        member_id -> Nullable<Uuid>,
        pupil_id -> Nullable<Uuid>,
        how -> Nullable<Text>,
        kept -> Bool,
        held_since -> Nullable<Timestamptz>,
        booking_id -> Nullable<Uuid>,
    }
}

table! {
    member_limits (site_id, member_id) {
        site_id -> Uuid,
        member_id -> Uuid,
        cannot_weekdays -> Array<SmallInt>,
        likes_weekdays -> Array<SmallInt>,
        rather_not_weekdays -> Array<SmallInt>,
        rest_days -> SmallInt,
        most_in_28_days -> Nullable<SmallInt>,
        share -> Nullable<Text>,
        only_trained_bins -> Bool,
        experienced -> Bool,
        not_alone -> Bool,
        revision -> BigInt,
    }
}

table! {
    member_bins (site_id, member_id, bin_id) {
        site_id -> Uuid,
        member_id -> Uuid,
        bin_id -> Uuid,
    }
}

table! {
    apart_pairs (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        one_id -> Uuid,
        other_id -> Uuid,
        created_at -> Timestamptz,
    }
}

table! {
    absences (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        member_id -> Uuid,
        first_day -> Date,
        last_day -> Nullable<Date>,
        reported_by -> Uuid,
        created_at -> Timestamptz,
        excused -> Nullable<Bool>,
    }
}

table! {
    pupil_absences (site_id, pupil_id, on_date) {
        site_id -> Uuid,
        pupil_id -> Uuid,
        on_date -> Date,
    }
}

table! {
    rotas (site_id, id) {
        site_id -> Uuid,
        id -> Uuid,
        first_day -> Date,
        last_day -> Date,
        replans_id -> Nullable<Uuid>,
        replan_from -> Nullable<Date>,
        state -> Text,
        seed -> BigInt,
        steps_planned -> BigInt,
        steps_done -> BigInt,
        asked -> Jsonb,
        found -> Nullable<Jsonb>,
        failure -> Nullable<Text>,
        made_by -> Uuid,
        created_at -> Timestamptz,
        drafted_at -> Nullable<Timestamptz>,
        put_up_at -> Nullable<Timestamptz>,
        put_up_by -> Nullable<Uuid>,
    }
}

table! {
    rota_shares (site_id, rota_id, member_id) {
        site_id -> Uuid,
        rota_id -> Uuid,
        member_id -> Uuid,
        share -> SmallInt,
        carried_milli -> BigInt,
        fair_milli -> BigInt,
    }
}

table! {
    closure_visits (site_id, turn_id) {
        site_id -> Uuid,
        turn_id -> Uuid,
        closure_id -> Nullable<Uuid>,
        earliest -> Date,
        latest -> Date,
    }
}

allow_tables_to_appear_in_same_query!(
    accounts,
    sites,
    members,
    member_roles,
    member_names,
    bins,
    trays,
    bin_events,
    bin_states,
    bookings,
    decisions,
    notices,
    probes,
    readings,
    sessions,
    refresh_tokens,
    account_links,
    familiar_addresses,
    households,
    invitations,
    codes,
    classes,
    class_adults,
    pupils,
    audit,
    patterns,
    closures,
    turns,
    places,
    member_limits,
    member_bins,
    apart_pairs,
    absences,
    pupil_absences,
    rotas,
    rota_shares,
    calendar_addresses,
    calls,
    call_answers,
    closure_visits,
);
