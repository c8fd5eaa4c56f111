"""Bringing a stores up to date by alembic. Loaded only when there is something to do.

Every table refuses UPDATE and DELETE by trigger: a migration that has to fill a column drops these
triggers first and makes them anew, also after alembic's batch mode, which rebuilds a table without
them.
"""

from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory
from sqlalchemy import Engine

__all__ = ["known_versions", "upgrade"]


SCRIPTS = Path(__file__).with_name("migrations")


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", str(SCRIPTS).replace("%", "%%"))
    return config


def known_versions() -> list[str]:
    """Give the versions this program knows, the newest first."""
    scripts = ScriptDirectory.from_config(_config())
    return [script.revision for script in scripts.walk_revisions()]


def upgrade(engine: Engine, version: str = "head") -> None:
    """Run the migrations up to ``version`` in one transaction."""
    config = _config()
    with engine.connect() as connection:
        writing = connection.execution_options(stores_writing=True, stores_migrating=True)
        if engine.dialect.name != "sqlite":  # what another began before its lock was had is seen
            writing.execution_options(isolation_level="READ COMMITTED")
        with writing.begin():
            config.attributes["connection"] = writing
            command.upgrade(config, version)
