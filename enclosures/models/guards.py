"""Log rows are written once: the database itself refuses to change or delete them, on SQLite and on PostgreSQL.

Installed after every migrate (enclosures/apps.py). `lifted_guards` exists for restoring and for tests that empty their tables.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from django.apps import apps
from django.db import DEFAULT_DB_ALIAS, connections

MESSAGE = "Logged entries are never changed or erased; enter a correction instead."


def guarded_tables() -> list[str]:
    """Every log table and every table of their parts that exists in the app's models."""
    from enclosures.models.record import LoggedRecord, RecordPart

    return sorted(
        model._meta.db_table
        for model in apps.get_app_config("enclosures").get_models()
        if issubclass(model, LoggedRecord | RecordPart)
    )


def install_guards(*, using: str = DEFAULT_DB_ALIAS) -> None:
    connection = connections[using]
    present = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "CREATE OR REPLACE FUNCTION enclosures_refuse() RETURNS trigger LANGUAGE plpgsql AS "
                f"$$ BEGIN RAISE EXCEPTION '{MESSAGE}' USING ERRCODE = 'integrity_constraint_violation'; END $$"
            )
        for table in guarded_tables():
            if table not in present:
                continue
            for act in ("UPDATE", "DELETE"):
                name = f"{table}_no_{act.lower()}"
                if connection.vendor == "postgresql":
                    cursor.execute(f'DROP TRIGGER IF EXISTS "{name}" ON "{table}"')
                    cursor.execute(
                        f'CREATE TRIGGER "{name}" BEFORE {act} ON "{table}" '
                        "FOR EACH ROW EXECUTE FUNCTION enclosures_refuse()"
                    )
                else:
                    cursor.execute(
                        f'CREATE TRIGGER IF NOT EXISTS "{name}" BEFORE {act} ON "{table}" '
                        f"BEGIN SELECT RAISE(ABORT, '{MESSAGE}'); END"
                    )


def remove_guards(*, using: str = DEFAULT_DB_ALIAS) -> None:
    connection = connections[using]
    with connection.cursor() as cursor:
        for table in guarded_tables():
            for act in ("update", "delete"):
                on = f' ON "{table}"' if connection.vendor == "postgresql" else ""
                cursor.execute(f'DROP TRIGGER IF EXISTS "{table}_no_{act}"{on}')


@contextmanager
def lifted_guards(*, using: str = DEFAULT_DB_ALIAS) -> Iterator[None]:
    remove_guards(using=using)
    try:
        yield
    finally:
        install_guards(using=using)
