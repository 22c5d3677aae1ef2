"""What can be set from outside, by environment variables that begin with CORNERWISE_."""

from __future__ import annotations

import os
import secrets
import tempfile
from contextlib import suppress
from pathlib import Path

from pydantic import Field
from pydantic_settings import BaseSettings, SettingsConfigDict


def user_data_folder() -> Path:
    """Where this user's programs keep their data (XDG base directories)."""
    return Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share") / "cornerwise"


class Settings(BaseSettings):
    """What can be set. The last block bounds what visitors may ask of the server; the owner at home waits for
    no rate."""

    model_config = SettingsConfigDict(env_prefix="CORNERWISE_")

    data_folder: Path = Field(default_factory=user_data_folder)  # where saved plans live
    database_url: str = ""  # a database instead of the file in that folder, e.g. postgresql://...

    names: str = ""  # host names it answers to, with commas between; at home beside those it prints
    proxies: str = ""  # addresses of proxies that are believed when they say who asks, such as 127.0.0.1

    guild: bool = False  # serve a guild behind a proxy: nobody is the owner, keys decide
    guild_password: str = ""  # what everybody must say first; empty: nothing

    secret: str = (
        ""  # what links are made with, the same for all servers of a guild; empty: a file in that folder
    )

    most_plans: int = 0  # that the shelf takes; 0: as many as there is room for
    most_kept_bytes: int = 0  # of all its versions together; 0 the same

    largest_body_bytes: int = 256_000  # five times the longest plan there can be
    largest_archive_bytes: int = 50_000_000
    slowest_body_s: float = 15.0  # an archive may take eight times as long
    looks_a_minute: int = 1200  # a page of the shelf is some thirty requests
    changes_a_minute: int = 60
    tries_a_minute: int = 6  # of the guild's password, from one address
    all_tries_a_minute: int = 30  # of it, from everywhere
    slowest_head_s: float = 10.0  # of a request
    most_connections: int = 400
    most_connections_of_one: int = 100  # address, other than this machine's own

    workers: int = 0  # processes for what takes longer than a page; 0: one for each core
    longest_work_s: float = 20.0  # of a processor's time, for one piece of it
    largest_work_bytes: int = 1_500_000_000  # of memory, for one piece of it
    most_waiting: int = 100  # pieces that wait for a process
    kept_bytes: int = 64_000_000  # of what was drawn lately
    shared_bytes: int = 256_000_000  # of fills and paths, in a PostgreSQL database, for all its servers

    @property
    def store_url(self) -> str:
        """Where the plans are: the database that was named, else a file in the data folder."""
        return self.database_url or f"sqlite:///{self.data_folder / 'plans.db'}"

    @property
    def secret_bytes(self) -> bytes:
        """The secret of this planner: set, or in a file that is made when there is none. Two servers that share
        neither work all the same, but cannot show each other's links again.
        """
        if self.secret:
            return self.secret.encode()
        file, made = self.data_folder / "secret", secrets.token_urlsafe(32)
        with suppress(OSError):
            file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            if not file.exists():
                with tempfile.NamedTemporaryFile("w", dir=file.parent) as new:
                    new.write(made)
                    new.flush()
                    os.link(new.name, file)  # there at once and whole, whoever else makes one
        with suppress(OSError):
            return file.read_bytes()
        return made.encode()
