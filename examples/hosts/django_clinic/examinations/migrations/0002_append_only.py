"""The database itself refuses to change or delete a revision, whoever asks it."""

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

#: By the kind of database: what refuses.
REFUSING = {
    "sqlite": [
        f"CREATE TRIGGER revision_no_{change.lower()} BEFORE {change} ON examinations_revision "
        "BEGIN SELECT RAISE(ABORT, 'revisions are only added'); END"
        for change in ("UPDATE", "DELETE")
    ],
}


def refuse(_: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    """Make the triggers; a database for which there are none is refused, not left open."""
    for statement in REFUSING[editor.connection.vendor]:
        editor.execute(statement)


def allow(_: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    """Take the triggers away."""
    for change in ("update", "delete"):
        editor.execute(f"DROP TRIGGER revision_no_{change}")


class Migration(migrations.Migration):
    """Triggers."""

    dependencies = [("examinations", "0001_initial")]
    operations = [migrations.RunPython(refuse, allow)]
