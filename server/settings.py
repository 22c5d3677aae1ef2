"""What can be set from outside, by environment variables that begin with CORNERWISE_."""

from __future__ import annotations

import os
from pathlib import Path

from pydantic import Field
from pydantic_settings import BaseSettings, SettingsConfigDict


def user_data_folder() -> Path:
    """Where this user's programs keep their data (XDG base directories)."""
    return Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share") / "cornerwise"


class Settings(BaseSettings):
    """data_folder: where saved plans live; database_url: a database instead of the file in that folder."""

    model_config = SettingsConfigDict(env_prefix="CORNERWISE_")

    data_folder: Path = Field(default_factory=user_data_folder)
    database_url: str = ""
    largest_body_bytes: int = 1_000_000
