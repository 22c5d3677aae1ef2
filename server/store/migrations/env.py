"""Run by alembic: the connection and its transaction come from server.store.database.migrate."""

from alembic import context

context.configure(
    connection=context.config.attributes["connection"],
    transactional_ddl=False,  # the caller's transaction holds all of it
)
context.run_migrations()
