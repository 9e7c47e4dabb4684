"""Run by Alembic: migrate on the connection and within the transaction of the caller.

To write a new revision, from the project's root with ``HOLEWISE_DATA`` at a scratch folder::

    alembic --config trials/store/migrations/alembic.ini revision --autogenerate -m "what changes"
"""

from typing import Any, Literal

from alembic import context
from sqlalchemy.types import TypeDecorator

from trials.store._tables import metadata


def plain_type(kind: str, item: Any, _context: Any) -> str | Literal[False]:
    """A revision names the engine's own types, so that it stays true when our code changes."""
    if kind == "type" and isinstance(item, TypeDecorator):
        return f"sa.{item.impl!r}"
    return False


def migrate(connection: Any) -> None:
    """Run what is missing within the transaction that is open."""
    context.configure(
        connection=connection,
        target_metadata=metadata,
        render_as_batch=True,
        render_item=plain_type,
    )
    context.run_migrations()


connection = context.config.attributes.get("connection")
if connection is None:  # called by the alembic command of a contributor
    from trials.store._engine import Database
    from trials.store._folder import shop_folder

    database = Database(shop_folder().url)
    with database.writing() as own:
        migrate(own)
    database.close()
else:
    migrate(connection)
