"""The shelf: every version of every plan, in SQLite or PostgreSQL."""
