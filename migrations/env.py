"""Runs the migrations on the connection that clubbot.store.schema hands over."""

from alembic import context
from sqlmodel import SQLModel

from clubbot.store import tables  # noqa: F401 - fills the metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=SQLModel.metadata,
    render_as_batch=True,
    compare_type=True,
)
with context.begin_transaction():
    context.run_migrations()
