"""Run the migrations in one transaction, behind a lock, on a connection given by the caller."""

from alembic import context
from alembic.autogenerate.api import AutogenContext
from heelwright_service.store import tables  # noqa: F401  (completes the metadata)
from heelwright_service.store.base import Base, JsonDocument, UtcDateTime
from heelwright_service.store.engine import database_url, make_engine
from sqlalchemy import Connection, text

_LOCK = 7_411_052_386  # any number, the same in every process that migrates this database


def render_item(kind: str, item: object, autogen: AutogenContext) -> str | bool:
    """Write our column types in names that a revision has at hand."""
    if kind == "type" and isinstance(item, UtcDateTime):
        return "sa.DateTime(timezone=True)"
    if kind == "type" and item is JsonDocument:
        autogen.imports.add("from sqlalchemy.dialects import postgresql")
        return "sa.JSON(none_as_null=True).with_variant(postgresql.JSONB(none_as_null=True), 'postgresql')"
    return False


def run(connection: Connection) -> None:
    """Upgrade or downgrade; SQLite rebuilds tables, and must not cascade into their children meanwhile."""
    sqlite = connection.dialect.name == "sqlite"
    if sqlite:
        connection.connection.driver_connection.execute("PRAGMA foreign_keys=OFF")
    context.configure(
        connection=connection,
        target_metadata=Base.metadata,
        render_as_batch=True,
        render_item=render_item,
        transactional_ddl=True,
        compare_type=True,
    )
    try:
        with context.begin_transaction():
            if not sqlite:
                connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
            context.run_migrations()
            if sqlite and connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall():
                raise RuntimeError("a migration left rows that point nowhere; nothing was changed")
    finally:
        if sqlite:
            connection.connection.driver_connection.execute("PRAGMA foreign_keys=ON")


with (context.config.attributes.get("engine") or make_engine(database_url())).connect() as opened:
    run(opened)
