"""Alembic's entry: runs on the connection, and in the transaction, that it is handed."""

from alembic import context

connection = context.config.attributes["connection"]
context.configure(connection=connection, transactional_ddl=False, transaction_per_migration=False)
context.run_migrations()
