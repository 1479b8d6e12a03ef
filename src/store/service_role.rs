//! The role under which the service works: it may read and write, but neither change tables
//! nor rewrite the trail of who changed what.
//!
//! Whoever migrates owns the tables. Every connection of the service steps down to this role,
//! so that a mistake in a query cannot alter the trail. A database where the role may not be
//! made still works, with one warning at the start.

use super::{Conn, StoreError};
use diesel::connection::SimpleConnection;
use diesel::dsl::sql;
use diesel::sql_types::Bool;
use diesel_async::RunQueryDsl;

/// Makes the role if it may and gives it what it needs; harmless to repeat.
const ENSURE: &str = "
DO $$
BEGIN
    BEGIN
        IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'wormrota_service') THEN
            CREATE ROLE wormrota_service NOLOGIN;
        END IF;
    EXCEPTION
        -- Another database of this server makes it at the same moment.
        WHEN duplicate_object OR unique_violation THEN NULL;
        WHEN insufficient_privilege THEN RETURN;
    END;
    IF NOT pg_has_role('wormrota_service', 'MEMBER') THEN
        BEGIN
            EXECUTE format('GRANT wormrota_service TO %I', current_user);
        EXCEPTION
            WHEN insufficient_privilege THEN RETURN;
        END;
    END IF;
    GRANT USAGE ON SCHEMA public TO wormrota_service;
    GRANT SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA public TO wormrota_service;
    REVOKE UPDATE, DELETE ON audit FROM wormrota_service;
    REVOKE INSERT, UPDATE, DELETE ON __diesel_schema_migrations FROM wormrota_service;
END
$$";

/// Steps down where the role is there and has what it needs.
pub(super) const STEP_DOWN: &str = "
SELECT set_config('role', 'wormrota_service', false)
FROM pg_roles
WHERE rolname = 'wormrota_service'
    AND pg_has_role(oid, 'MEMBER')
    AND has_table_privilege(oid, to_regclass('public.audit'), 'INSERT')";

/// Makes the role and gives it what it needs, if whoever migrates may do that.
pub(super) fn ensure(conn: &mut impl SimpleConnection) -> Result<(), StoreError> {
    Ok(conn.batch_execute(ENSURE)?)
}

/// Whether this connection can only add to the trail.
pub async fn is_stepped_down(conn: &mut Conn) -> Result<bool, StoreError> {
    Ok(diesel::select(sql::<Bool>(
        "NOT has_table_privilege('audit', 'UPDATE, DELETE')",
    ))
    .get_result(conn)
    .await?)
}
