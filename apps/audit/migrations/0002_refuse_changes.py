"""Let the database itself refuse to change or remove an audit entry (append-only trail).

On SQLite a migration that alters the table makes it anew, without its triggers; it must
call ``refuse`` of this one again.
"""

from django.db import migrations

TABLE = "audit_entry"
REFUSAL = "audit entries are only ever added"

REFUSE = {
    "sqlite": [
        f"CREATE TRIGGER audit_entry_no_{change.lower()} BEFORE {change} ON {TABLE} "
        f"BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END"
        for change in ("UPDATE", "DELETE")
    ],
    "postgresql": [
        "CREATE FUNCTION refuse_audit_change() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{REFUSAL}' USING ERRCODE = 'restrict_violation'; END $$",
        f"CREATE TRIGGER audit_entry_no_change BEFORE UPDATE OR DELETE OR TRUNCATE ON {TABLE} "
        "FOR EACH STATEMENT EXECUTE FUNCTION refuse_audit_change()",
    ],
}
ALLOW = {
    "sqlite": [
        "DROP TRIGGER IF EXISTS audit_entry_no_update",
        "DROP TRIGGER IF EXISTS audit_entry_no_delete",
    ],
    "postgresql": [
        f"DROP TRIGGER IF EXISTS audit_entry_no_change ON {TABLE}",
        "DROP FUNCTION IF EXISTS refuse_audit_change()",
    ],
}


def refuse(apps, schema_editor):
    for statement in REFUSE[schema_editor.connection.vendor]:
        schema_editor.execute(statement)


def allow(apps, schema_editor):
    for statement in ALLOW[schema_editor.connection.vendor]:
        schema_editor.execute(statement)


class Migration(migrations.Migration):
    dependencies = [("audit", "0001_first_tables")]

    operations = [migrations.RunPython(refuse, allow)]
